//! One wear period in one quantity: which of readings, result and
//! determination is of record, and what the safe side takes.

use crate::calendar::Span;
use crate::dose::input::{
    BadgeResult, Counting, Determination, Dosimetry, Relation, Reported, Scope, Settlement,
    WearPeriod,
};
use crate::dose::resolve::conflict::{Conflict, Dispute};
use crate::dose::resolve::figure::{Figure, Mode, pick};
use crate::dose::safe_side::Why;
use crate::dose::total::{Amount, Class};
use crate::quantity::{Dose, Overflow};
use crate::rule::Quantity;

/// Where a lump comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) enum Source {
    /// A result, by its place in the dosimetry.
    Result(usize),
    /// A determination, by its place.
    Determination(usize),
    /// Dose of another employer, by its place.
    Prior(usize),
    /// A wear period whose shifts speak for themselves, by its place.
    Readings(usize),
}

/// The reports of one badge.
pub(crate) struct Reports<'h> {
    /// Those that count, in the order in which they were written.
    pub counting: Vec<(usize, &'h BadgeResult)>,
    /// Those that wait for a ruling.
    pub held: Vec<(usize, &'h BadgeResult)>,
}

impl<'h> Reports<'h> {
    pub(crate) fn of(dosimetry: &'h Dosimetry, wear: i64) -> Reports<'h> {
        let mine = || {
            dosimetry
                .results
                .iter()
                .enumerate()
                .filter(move |(_, result)| result.wear == Some(wear))
        };
        let corrected: Vec<i64> = mine()
            .filter(|(_, result)| result.counting == Counting::Counts)
            .filter_map(|(_, result)| result.corrects)
            .collect();
        let with = |counting: Counting| {
            let mut found: Vec<(usize, &BadgeResult)> = mine()
                .filter(|(_, result)| result.counting == counting)
                .filter(|(_, result)| !corrected.contains(&result.entry))
                .collect();
            found.sort_by_key(|(_, result)| result.entry);
            found
        };
        Reports {
            counting: with(Counting::Counts),
            held: with(Counting::Held),
        }
    }

    fn held_at_most(&self, quantity: Quantity) -> Option<Dose> {
        let stated = |(_, result): &(usize, &BadgeResult)| {
            result.doses.get(quantity).as_ref().map(Reported::at_most)
        };
        self.held.iter().filter_map(stated).max()
    }
}

/// What the decision is made from.
pub(super) struct Asked<'a, 'h> {
    pub dosimetry: &'h Dosimetry,
    pub worker: i64,
    pub wear: &'h WearPeriod,
    pub at: usize,
    pub quantity: Quantity,
    pub reports: &'a Reports<'h>,
    /// Determinations of single readings and shifts of its members that
    /// replace, in this quantity.
    pub of_members: Vec<&'h Determination>,
    /// The members' figures in a mode.
    pub figures: &'a dyn Fn(Mode) -> Result<Vec<Figure>, Overflow>,
    /// Whether the members' readings are above a dose though one of them
    /// takes what the others leave.
    pub nothing_left: &'a dyn Fn(Dose, Mode) -> Result<bool, Overflow>,
}

/// What was decided.
pub(super) struct Decided {
    /// The lump of record; without one the members speak for themselves.
    pub lump: Option<(Source, i64, Dose, Class)>,
    /// How the members' figures are taken.
    pub mode: Mode,
    /// The whole period on the safe side; without one the members' own
    /// safe-side figures count.
    pub safe: Option<Amount>,
    /// What mostly raises it.
    pub why: Why,
    /// What is open.
    pub conflicts: Vec<Conflict>,
    /// Determinations of spans that a settlement set aside, by entry.
    pub set_aside: Vec<i64>,
    /// Whether a result or a determination of the whole period stands, so
    /// that determinations of spans leave its members alone.
    pub settled: bool,
}

/// What a period's members come to.
#[derive(Clone, Copy)]
struct Sums {
    known: Dose,
    open: bool,
    safe: Dose,
    safe_open: bool,
    held: bool,
}

type Stated<'h> = (usize, &'h BadgeResult, &'h Reported);

impl<'h> Asked<'_, 'h> {
    pub(super) fn decide(&self) -> Result<Decided, Overflow> {
        let stated: Vec<Stated<'h>> = self
            .reports
            .counting
            .iter()
            .filter_map(|(at, result)| {
                let reported = result.doses.get(self.quantity).as_ref()?;
                Some((*at, *result, reported))
            })
            .collect();
        match stated.first() {
            None => self.without_result(),
            Some(first) => self.with_result(*first, &stated),
        }
    }

    fn sums(&self, mode: Mode) -> Result<Sums, Overflow> {
        let figures = (self.figures)(mode)?;
        let known = |amount: Amount| amount.known().unwrap_or(Dose::ZERO);
        Ok(Sums {
            known: Dose::sum(figures.iter().map(|it| known(it.account)))?,
            open: figures.iter().any(|it| it.account.is_undetermined()),
            safe: Dose::sum(figures.iter().map(|it| known(it.safe)))?,
            safe_open: figures.iter().any(|it| it.safe.is_undetermined()),
            held: figures.iter().any(|it| it.held > 0),
        })
    }

    /// The determinations of the whole period that stand.
    fn whole(&self) -> Vec<&'h Determination> {
        self.dosimetry
            .determinations
            .iter()
            .filter(|one| one.scope == Scope::WearPeriod(self.wear.record))
            .filter(|one| one.relation != Relation::Adds && one.stands_for(self.worker))
            .collect()
    }

    fn replacing(&self) -> Vec<&'h Determination> {
        let mut found: Vec<&Determination> = self
            .whole()
            .into_iter()
            .filter(|one| one.quantity == self.quantity && one.relation == Relation::Replaces)
            .collect();
        found.sort_by_key(|one| one.entry);
        found
    }

    /// Replacing determinations of spans that meet this period's days.
    fn spans(&self) -> Vec<&'h Determination> {
        let days = self.wear.days();
        self.dosimetry
            .determinations
            .iter()
            .filter(|one| one.quantity == self.quantity && one.relation == Relation::Replaces)
            .filter(|one| one.stands_for(self.worker))
            .filter(|one| matches!(one.scope, Scope::Span(span) if span.overlaps(&days)))
            .collect()
    }

    fn place_of(&self, one: &Determination) -> Source {
        let place = self
            .dosimetry
            .determinations
            .iter()
            .position(|it| std::ptr::eq(it, one));
        Source::Determination(place.unwrap_or_default())
    }

    /// Whether a report that states the deep dose leaves out this quantity,
    /// for which the safe side then takes the deep dose.
    fn deep_stated(&self) -> Option<Dose> {
        if !matches!(self.quantity, Quantity::Lens | Quantity::Shallow) {
            return None;
        }
        let deep =
            |(_, result): &(usize, &BadgeResult)| result.doses.deep.as_ref().map(Reported::at_most);
        self.reports.counting.iter().filter_map(deep).max()
    }

    fn without_result(&self) -> Result<Decided, Overflow> {
        let mode = Mode::NO_RESULT;
        let sums = self.sums(mode)?;
        let held = self.reports.held_at_most(self.quantity);
        let whole = self.whole();
        let mut decided = Decided {
            lump: None,
            mode,
            safe: None,
            why: Why::Held,
            conflicts: Vec::new(),
            set_aside: Vec::new(),
            settled: false,
        };
        if let Some(picked) = pick(&whole, self.quantity, mode, |_| true) {
            let one = whole.iter().find(|one| one.entry == picked.entry);
            let source = one.map_or(Source::Readings(self.at), |one| self.place_of(one));
            let shifts = Dose::sum(self.of_members.iter().map(|one| one.dose))?;
            let mut safe = picked.dose.safe.max(held.unwrap_or(Dose::ZERO)).max(shifts);
            if sums.held || picked.dose.readings_too {
                safe = safe.max(sums.safe);
            }
            decided.lump = Some((source, picked.entry, picked.dose.account, picked.class));
            decided.safe = Some(Amount::Known(safe));
            decided.why = Why::DeterminationOrResult;
            decided.settled = true;
            self.disagreeing(&mut decided);
        } else if let Some(other) = held.max(self.deep_stated()) {
            decided.safe = Some(Amount::of(sums.safe.max(other), sums.safe_open));
            decided.why = if held.is_some() {
                Why::Held
            } else {
                Why::ResultNotAccepted
            };
        }
        Ok(decided)
    }

    /// The highest that determinations of the period and of its shifts give;
    /// readings that wait for a ruling count until then.
    fn highest(&self, replacing: &[&Determination], sums: &Sums) -> Result<Dose, Overflow> {
        let whole = replacing.iter().map(|one| one.dose).max();
        let shifts = Dose::sum(self.of_members.iter().map(|one| one.dose))?;
        let held = if sums.held { sums.safe } else { Dose::ZERO };
        Ok(whole.unwrap_or(Dose::ZERO).max(shifts).max(held))
    }

    /// Two determinations of the period that replace and differ.
    fn disagreeing(&self, decided: &mut Decided) {
        let replacing = self.replacing();
        let sides: Vec<(i64, Dose)> = replacing.iter().map(|one| (one.entry, one.dose)).collect();
        if sides
            .iter()
            .any(|(_, dose)| Some(*dose) != sides.first().map(|it| it.1))
        {
            decided
                .conflicts
                .push(self.conflict(Dispute::Determinations, &sides));
        }
    }

    fn conflict(&self, dispute: Dispute, sides: &[(i64, Dose)]) -> Conflict {
        let days: Span = self.wear.days();
        Conflict::new(dispute, Some(self.wear.record), days, self.quantity, sides)
    }

    fn with_result(&self, first: Stated<'h>, stated: &[Stated<'h>]) -> Result<Decided, Overflow> {
        let replacing = self.replacing();
        let spans = self.spans();
        let meets: Vec<&Determination> = replacing
            .iter()
            .chain(&self.of_members)
            .chain(&spans)
            .copied()
            .collect();
        let sums = self.sums(Mode::RESULT)?;
        // By determinations: that of the whole period, or each shift's own.
        let by_rso = match replacing.first() {
            Some(one) => Sums {
                known: one.dose,
                open: false,
                safe: self.highest(&replacing, &sums)?,
                safe_open: false,
                held: sums.held,
            },
            None => sums,
        };
        let settled = self.settled(stated, &meets);
        let standing = stated
            .iter()
            .find(|(_, result, _)| Some(result.entry) == settled)
            .copied()
            .unwrap_or(first);
        let held = self
            .reports
            .held_at_most(self.quantity)
            .unwrap_or(Dose::ZERO);
        let spans_of: Vec<i64> = spans.iter().map(|one| one.entry).collect();
        if let Some(settled) = settled {
            let mut decided = if settled == standing.1.entry {
                let mut decided = self.result_stands(standing, true, &sums)?;
                decided.set_aside = spans_of;
                decided
            } else {
                self.determination_stands(&replacing, &by_rso)
            };
            raise(&mut decided.safe, held);
            return Ok(decided);
        }
        let counted = standing.2.counted();
        let agree = spans.is_empty()
            && stated.iter().all(|(_, _, it)| it.counted() == counted)
            && (by_rso.known, by_rso.open, by_rso.held) == (counted, false, false);
        let at_most = stated.iter().map(|(_, _, it)| it.at_most()).max();
        let at_most = at_most.unwrap_or(counted).max(held);
        if !meets.is_empty() && !agree {
            let mut decided = self.determination_stands(&replacing, &by_rso);
            raise(&mut decided.safe, at_most);
            let mut sides = sides_of(stated);
            sides.extend(meets.iter().map(|one| (one.entry, one.dose)));
            let conflict = self.conflict(Dispute::ResultAndDetermination, &sides);
            decided.conflicts.push(conflict);
            decided.settled = spans.is_empty();
            return Ok(decided);
        }
        let mut decided = self.result_stands(standing, false, &sums)?;
        if stated.iter().any(|(_, _, it)| *it != standing.2) {
            raise(&mut decided.safe, at_most.max(sums.safe));
            let conflict = self.conflict(Dispute::Results, &sides_of(stated));
            decided.conflicts.push(conflict);
        }
        if (self.nothing_left)(counted, Mode::RESULT)? {
            let conflict = self.conflict(Dispute::ReadingsAboveResult, &sides_of(stated));
            decided.conflicts.push(conflict);
            decided.lump = None;
            let safe = decided.safe.and_then(Amount::known).unwrap_or(Dose::ZERO);
            let open = sums.safe_open;
            decided.safe = Some(Amount::of(safe.max(sums.safe), open));
        }
        raise(&mut decided.safe, held);
        Ok(decided)
    }

    /// A result of record.
    fn result_stands(
        &self,
        (at, result, reported): Stated<'h>,
        settled: bool,
        sums: &Sums,
    ) -> Result<Decided, Overflow> {
        let accepted = settled || result.accepted.is_some();
        let below = matches!(reported, Reported::BelowMinimum { .. });
        let mut safe = reported.at_most();
        let mut open = false;
        let mut why = Why::BelowMinimum;
        if !accepted {
            let until = Mode {
                until: true,
                ..Mode::RESULT
            };
            let whole = self.whole();
            let estimate = pick(&whole, self.quantity, until, |_| true);
            let estimate = estimate.map_or(Dose::ZERO, |pick| pick.dose.safe);
            safe = safe.max(self.sums(until)?.safe).max(estimate);
            open = sums.safe_open;
            why = Why::ResultNotAccepted;
        }
        if below || sums.held || !accepted {
            safe = safe.max(sums.safe);
        }
        if accepted && sums.held {
            why = Why::Held;
        }
        Ok(Decided {
            lump: Some((
                Source::Result(at),
                result.entry,
                reported.counted(),
                Class::OfRecord,
            )),
            mode: Mode::RESULT,
            safe: Some(Amount::of(safe, open)),
            why,
            conflicts: Vec::new(),
            set_aside: Vec::new(),
            settled: true,
        })
    }

    /// Determinations of record: one of the whole period, or those of single
    /// shifts with the readings of the others.
    fn determination_stands(&self, replacing: &[&Determination], by_rso: &Sums) -> Decided {
        let lump = replacing.first().map(|one| {
            let source = self.place_of(one);
            (source, one.entry, one.dose, Class::OfRecord)
        });
        Decided {
            lump,
            mode: Mode::RESULT,
            safe: Some(Amount::of(by_rso.safe, by_rso.safe_open)),
            why: Why::DeterminationOrResult,
            conflicts: Vec::new(),
            set_aside: Vec::new(),
            settled: true,
        }
    }

    /// The entry that a settlement made of record, where one speaks of all
    /// that meets here.
    fn settled(&self, stated: &[Stated<'h>], meets: &[&Determination]) -> Option<i64> {
        let speaks = |settlement: &&Settlement| {
            let names =
                |entry: i64| settlement.of_record == entry || settlement.set_aside.contains(&entry);
            let of_result = stated
                .iter()
                .any(|(_, result, _)| result.entry == settlement.of_record);
            let of_determination = meets.iter().any(|one| one.entry == settlement.of_record);
            settlement.wear == self.wear.record
                && settlement.quantity.is_none_or(|it| it == self.quantity)
                && stated.iter().all(|(_, result, _)| names(result.entry))
                && (of_determination || (of_result && meets.iter().all(|one| names(one.entry))))
        };
        self.dosimetry
            .settlements
            .iter()
            .filter(speaks)
            .max_by_key(|settlement| settlement.entry)
            .map(|settlement| settlement.of_record)
    }
}

fn sides_of(stated: &[Stated<'_>]) -> Vec<(i64, Dose)> {
    stated
        .iter()
        .map(|(_, result, reported)| (result.entry, reported.counted()))
        .collect()
}

fn raise(safe: &mut Option<Amount>, to: Dose) {
    if let Some(amount) = safe {
        let known = amount.known().unwrap_or(Dose::ZERO).max(to);
        *amount = Amount::of(known, amount.is_undetermined());
    }
}
