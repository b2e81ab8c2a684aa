//! What one shift gives: the dose that its readings show, in the account and
//! on the conservative side, and the words that explain it.
//!
//! The parts of a re-zeroed dosimeter add up. Of two dosimeters on one shift
//! the higher counts, and the words say which. A held reading is left out of
//! the account and kept on the conservative side. An off-scale dosimeter, held or not, a
//! reading that was not taken or a shift without any reading leave the shift
//! without an upper bound.

use crate::dose::input::{Reading, ReadsLow, Shift};
use crate::dose::total::{Amount, PerQuantity};
use crate::quantity::{Dose, Overflow};
use crate::record::{DoubtType, Words};

/// The figures of one shift.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ShiftDose {
    /// What the account counts.
    pub account: Amount,
    /// What the conservative total counts; never below the account.
    pub safe: Amount,
    /// Held readings that the account leaves out.
    pub held: u32,
    /// Whether a dosimeter that was found to read low raised the conservative total.
    pub reads_low: bool,
    /// Whether every reading that counts was determined by the RSO.
    pub determined: bool,
}

/// What is known of a shift's readings besides what they say.
pub(crate) struct Besides<'a> {
    /// The dose that the RSO determined for a reading.
    pub determined: &'a dyn Fn(&Reading) -> Option<Determined>,
    /// Dosimeters found to read low.
    pub low: &'a [ReadsLow],
}

/// A reading's determined dose.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Determined {
    /// What the account counts.
    pub account: Dose,
    /// What the conservative total counts.
    pub safe: Dose,
    /// Whether what the account counts has no upper bound.
    pub open: bool,
    /// The same on the conservative side.
    pub safe_open: bool,
    /// Whether the reading itself still counts on the conservative side, where it is
    /// higher: a determination that only stands until a result comes.
    pub readings_too: bool,
}

/// One reading's figures.
#[derive(Clone, Copy)]
struct Figure {
    known: Dose,
    safe: Dose,
    open: bool,
}

/// One dosimeter's sums over its parts.
#[derive(Clone, Copy, Default)]
struct Sums {
    counted: Dose,
    safe: Dose,
}

/// What one shift gives, or `None` where a disposition says that the person was
/// not on it (its readings are all ruled out, and the doubt was about the
/// sheet or the person and not about a dosimeter).
///
/// # Errors
/// [`Overflow`] when the parts do not fit together in one dose.
pub fn resolve(shift: &Shift) -> Result<Option<ShiftDose>, Overflow> {
    let besides = Besides {
        determined: &|_| None,
        low: &[],
    };
    resolve_with(shift, &besides)
}

/// The same with determinations of single readings, and with dosimeters that
/// read low.
pub(crate) fn resolve_with(
    shift: &Shift,
    besides: &Besides<'_>,
) -> Result<Option<ShiftDose>, Overflow> {
    if ruled_away(shift)
        && !shift
            .readings
            .iter()
            .any(|r| (besides.determined)(r).is_some())
    {
        return Ok(None);
    }
    let mut tally = Tally::default();
    for (nth, reading) in shift.readings.iter().enumerate() {
        let mut earlier = shift.readings.iter().take(nth);
        if !earlier.any(|earlier| same_dosimeter(earlier, reading)) {
            tally.dosimeter(shift, reading, besides)?;
        }
    }
    // Without any reading that could count there is no upper bound. A reading
    // that waits for a disposition is a doubt of its own, and said as "held".
    if tally.counted == 0 && tally.held == 0 {
        tally.open = true;
        tally.safe_open = true;
    }
    Ok(Some(ShiftDose {
        account: Amount::of(tally.known, tally.open),
        safe: Amount::of(tally.safe, tally.safe_open),
        held: tally.held,
        reads_low: tally.low,
        determined: tally.determined > 0 && tally.determined == tally.counted,
    }))
}

/// What the dosimeters of one shift come to.
#[derive(Default)]
struct Tally {
    known: Dose,
    safe: Dose,
    open: bool,
    safe_open: bool,
    held: u32,
    counted: u32,
    determined: u32,
    low: bool,
}

impl Tally {
    /// Adds one dosimeter with all its parts: the higher of several counts.
    fn dosimeter(
        &mut self,
        shift: &Shift,
        one: &Reading,
        besides: &Besides<'_>,
    ) -> Result<(), Overflow> {
        let mut sums = Sums::default();
        let parts = shift.readings.iter();
        for part in parts.filter(|part| same_dosimeter(part, one)) {
            if let Some(dose) = (besides.determined)(part) {
                let shown = figure(part)?.safe;
                let floor = if dose.readings_too && !part.is_ruled_out() {
                    shown
                } else {
                    Dose::ZERO
                };
                self.counted = self.counted.saturating_add(1);
                self.determined = self.determined.saturating_add(1);
                self.open |= dose.open;
                self.safe_open |= dose.safe_open;
                sums.counted = sums.counted.checked_add(dose.account)?;
                sums.safe = sums.safe.checked_add(dose.safe.max(floor))?;
                continue;
            }
            if part.is_ruled_out() {
                continue;
            }
            let figure = figure(part)?;
            let raise = raised_by(part, shift, figure.safe, besides.low)?;
            self.low |= raise > Dose::ZERO;
            sums.safe = sums.safe.checked_add(figure.safe)?.checked_add(raise)?;
            self.safe_open |= figure.open;
            if part.is_held() {
                self.held = self.held.saturating_add(1);
                // Whose it is may be in doubt; that nobody knows an upper bound is not.
                self.open |= part.off_scale;
            } else {
                self.counted = self.counted.saturating_add(1);
                self.open |= figure.open;
                sums.counted = sums.counted.checked_add(figure.known)?;
            }
        }
        self.known = self.known.max(sums.counted);
        self.safe = self.safe.max(sums.safe);
        Ok(())
    }
}

/// The most that the readings which wait for somebody would give the shift: of
/// several dosimeters the higher.
///
/// # Errors
/// [`Overflow`] when the parts do not fit together in one dose.
pub(crate) fn held_at_most(shift: &Shift, low: &[ReadsLow]) -> Result<Dose, Overflow> {
    let mut most = Dose::ZERO;
    for one in &shift.readings {
        let mut sum = Dose::ZERO;
        let parts = shift.readings.iter();
        for part in parts.filter(|part| part.is_held() && same_dosimeter(part, one)) {
            let shown = figure(part)?.safe;
            let raise = raised_by(part, shift, shown, low)?;
            sum = sum.checked_add(shown)?.checked_add(raise)?;
        }
        most = most.max(sum);
    }
    Ok(most)
}

/// What is added on the conservative side to a reading of a dosimeter that was found
/// to read low. Of several findings about it the worst counts.
fn raised_by(
    reading: &Reading,
    shift: &Shift,
    shown: Dose,
    low: &[ReadsLow],
) -> Result<Dose, Overflow> {
    let permille = low
        .iter()
        .filter(|one| reading.record == Some(one.dosimeter) && one.days.contains(shift.day))
        .map(|one| one.raise_permille.max(0))
        .max();
    let Some(permille) = permille else {
        return Ok(Dose::ZERO);
    };
    let product = i128::from(shown.nsv()) * i128::from(permille);
    i64::try_from((product + 999).div_euclid(1_000))
        .map(Dose::from_nsv)
        .map_err(|_| Overflow)
}

/// Direct readings stand in for deep, lens and shallow dose; no reading at
/// the trunk says anything of an extremity.
pub fn stands_in(amount: Amount) -> PerQuantity<Amount> {
    PerQuantity {
        deep: amount,
        lens: amount,
        shallow: amount,
        extremity: Amount::NotAssessed,
    }
}

/// The two ends of a reading as dose, by the rule set's convention for exposure
/// scales, and their difference. Negative where the end is below the start;
/// `None` where an end was not taken.
///
/// # Errors
/// [`Overflow`] when the difference does not fit.
pub fn shown(reading: &Reading) -> Result<Option<Dose>, Overflow> {
    match (reading.start, reading.end) {
        (Some(start), Some(end)) => end
            .as_dose_by_convention()
            .checked_sub(start.as_dose_by_convention())
            .map(Some),
        _ => Ok(None),
    }
}

/// Whether two readings are parts of one dosimeter.
pub fn same_dosimeter(one: &Reading, other: &Reading) -> bool {
    match (one.record, other.record) {
        (Some(one), Some(other)) => one == other,
        (None, None) => one.dosimeter == other.dosimeter,
        _ => false,
    }
}

/// Plain words on how the shift's dose came about, for the contributions of a
/// total. Readings are quoted as written.
pub fn explain(shift: &Shift) -> Vec<String> {
    let mut words: Vec<String> = shift.readings.iter().map(say_reading).collect();
    if shift.readings.is_empty() {
        words.push("no dosimeter reading: the dose is undetermined".to_string());
    } else if !shift
        .readings
        .iter()
        .any(|r| r.is_held() || !r.is_ruled_out())
    {
        words.push("no reading that counts is left: the dose is undetermined".to_string());
    }
    if let Some((chosen, others)) = higher_of_two(shift) {
        let others = others.join(", ");
        words.push(format!(
            "of {chosen} and {others} the higher counts: {chosen}, not the sum"
        ));
    }
    if shift.crosses_midnight {
        words.push("ran over midnight: counted on the day on which it started".to_string());
    }
    words
}

fn say_reading(reading: &Reading) -> String {
    let mut words = reading.dosimeter.to_string();
    if reading.part > 1 {
        words.push_str(&format!(" part {}", reading.part));
    }
    let end = |indication: Option<crate::quantity::Indication>| match indication {
        Some(indication) => indication.to_string(),
        None => "not taken".to_string(),
    };
    words.push_str(&format!(" {} to {}", end(reading.start), end(reading.end)));
    if reading.off_scale {
        words.push_str(", off-scale: no upper bound until the RSO determines the dose");
    } else if reading.start.is_none() || reading.end.is_none() {
        words.push_str(": undetermined");
    }
    if reading.is_ruled_out() {
        words.push_str("; resolved not to count");
    } else if reading.is_held() {
        let doubts: Vec<&str> = reading.held.iter().map(|doubt| doubt.word()).collect();
        words.push_str(&format!("; on hold, not counted: {}", doubts.join(", ")));
    }
    words
}

/// Of several dosimeters that count, the one that gives the dose, and the
/// others. `None` where there is only one.
fn higher_of_two(shift: &Shift) -> Option<(&str, Vec<&str>)> {
    let mut sums: Vec<(&Reading, Dose)> = Vec::new();
    for reading in shift
        .readings
        .iter()
        .filter(|r| !r.is_held() && !r.is_ruled_out())
    {
        let known = figure(reading).ok()?.known;
        match sums
            .iter_mut()
            .find(|(other, _)| same_dosimeter(other, reading))
        {
            Some((_, sum)) => *sum = sum.checked_add(known).ok()?,
            None => sums.push((reading, known)),
        }
    }
    if sums.len() < 2 {
        return None;
    }
    let highest = sums.iter().map(|(_, sum)| *sum).max()?;
    let chosen = sums.iter().position(|(_, sum)| *sum == highest)?;
    let (reading, _) = sums.remove(chosen);
    Some((
        &reading.dosimeter,
        sums.iter().map(|(other, _)| &*other.dosimeter).collect(),
    ))
}

/// Whether a disposition took the person off the shift altogether. A disposition
/// against a dosimeter only (above range, on two people) leaves the person on
/// the shift, with a dose that nothing shows.
fn ruled_away(shift: &Shift) -> bool {
    let about_the_sheet =
        |reason: &DoubtType| matches!(reason, DoubtType::Overlap | DoubtType::UnknownWorker);
    shift.readings.iter().all(Reading::is_ruled_out)
        && shift
            .readings
            .iter()
            .any(|reading| reading.held.iter().any(about_the_sheet))
}

fn figure(reading: &Reading) -> Result<Figure, Overflow> {
    let at_end = reading
        .end
        .map_or(Dose::ZERO, |end| end.as_dose_by_convention());
    Ok(match shown(reading)? {
        Some(dose) if dose >= Dose::ZERO => Figure {
            known: dose,
            safe: dose,
            open: reading.off_scale,
        },
        // An end below its start bounds nothing: the dosimeter was re-zeroed,
        // misread or exchanged. The conservative total takes what its face showed.
        Some(_) | None => Figure {
            known: Dose::ZERO,
            safe: at_end,
            open: true,
        },
    })
}
