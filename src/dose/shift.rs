//! What one shift gives: the dose that its readings show, in the account and
//! on the safe side, and the words that explain it.
//!
//! The parts of a re-zeroed dosimeter add up. Of two dosimeters on one shift
//! the higher counts, and the words say which. A held reading is left out of
//! the account and kept on the safe side. An off-scale dosimeter, a reading
//! that was not taken or a shift without any reading leave the shift without
//! an upper bound.

use crate::dose::input::{Reading, Shift};
use crate::dose::total::{Amount, PerQuantity};
use crate::quantity::{Dose, Overflow};
use crate::record::{DoubtSort, Words};

/// The figures of one shift.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ShiftDose {
    /// What the account counts.
    pub account: Amount,
    /// What the safe side counts; never below the account.
    pub safe: Amount,
    /// Held readings that the account leaves out.
    pub held: u32,
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

/// What one shift gives, or `None` where a ruling says that the person was
/// not on it (its readings are all ruled out, and the doubt was about the
/// sheet or the person and not about a dosimeter).
///
/// # Errors
/// [`Overflow`] when the parts do not fit together in one dose.
pub fn resolve(shift: &Shift) -> Result<Option<ShiftDose>, Overflow> {
    if ruled_away(shift) {
        return Ok(None);
    }
    let (mut counted, mut held) = (0_u32, 0_u32);
    let (mut open, mut safe_open) = (false, false);
    let (mut known, mut safe) = (Dose::ZERO, Dose::ZERO);
    for (nth, reading) in shift.readings.iter().enumerate() {
        if shift
            .readings
            .iter()
            .take(nth)
            .any(|earlier| same_dosimeter(earlier, reading))
        {
            continue;
        }
        let mut sums = Sums::default();
        for part in shift
            .readings
            .iter()
            .filter(|part| same_dosimeter(part, reading))
        {
            if part.is_ruled_out() {
                continue;
            }
            let figure = figure(part)?;
            sums.safe = sums.safe.checked_add(figure.safe)?;
            safe_open |= figure.open;
            if part.is_held() {
                held = held.saturating_add(1);
            } else {
                counted = counted.saturating_add(1);
                open |= figure.open;
                sums.counted = sums.counted.checked_add(figure.known)?;
            }
        }
        known = known.max(sums.counted);
        safe = safe.max(sums.safe);
    }
    // Without any reading that could count there is no upper bound. A reading
    // that waits for a ruling is a doubt of its own, and said as "held".
    if counted == 0 && held == 0 {
        open = true;
        safe_open = true;
    }
    Ok(Some(ShiftDose {
        account: amount(known, open),
        safe: amount(safe, safe_open),
        held,
    }))
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

/// The two ends of a reading as dose, by the scheme's convention for exposure
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
        words.push_str("; ruled not to count");
    } else if reading.is_held() {
        let doubts: Vec<&str> = reading.held.iter().map(|doubt| doubt.word()).collect();
        words.push_str(&format!("; held, not counted: {}", doubts.join(", ")));
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

/// Whether a ruling took the person off the shift altogether. A ruling
/// against a dosimeter only (above range, on two people) leaves the person on
/// the shift, with a dose that nothing shows.
fn ruled_away(shift: &Shift) -> bool {
    let about_the_sheet =
        |reason: &DoubtSort| matches!(reason, DoubtSort::Overlap | DoubtSort::UnknownWorker);
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
        // misread or exchanged. The safe side takes what its face showed.
        Some(_) | None => Figure {
            known: Dose::ZERO,
            safe: at_end,
            open: true,
        },
    })
}

fn amount(dose: Dose, open: bool) -> Amount {
    if open {
        Amount::Undetermined(dose)
    } else {
        Amount::Known(dose)
    }
}
