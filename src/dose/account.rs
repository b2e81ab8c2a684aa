//! The account: what the records say one worker received over a span, and
//! the contributions that make it up.
//!
//! A shift's dose belongs to the day on which the shift started. A lump (a
//! badge's result, a determination of a period, dose of another employer) that
//! the span cuts is apportioned, by the readings inside or by days, and marked
//! as such.

use crate::calendar::{Day, Span};
use crate::dose::explain;
use crate::dose::input::History;
use crate::dose::resolve::{Conflict, Resolved, Silence, Source};
use crate::dose::total::{Amount, Class, PerQuantity, QUANTITIES, Total};
use crate::quantity::Overflow;
use crate::rule::Quantity;

/// One part of an account, with the entry that it comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Contribution {
    /// First day of it inside the span.
    pub first: Day,
    /// Last day of it inside the span; a shift has one day.
    pub last: Day,
    /// How sure it is.
    pub class: Class,
    /// The dose of each quantity; elsewhere where another contribution speaks
    /// of it.
    pub doses: PerQuantity<Amount>,
    /// Held readings that it leaves out.
    pub held: u32,
    /// The entry that says so.
    pub entry: i64,
    /// Whether it counts apart, in a planned special exposure, and is not in
    /// [`Account::totals`].
    pub special: bool,
    /// Whether it is what an event left open: no record measured anything.
    pub open_event: bool,
    /// How it came about, in plain words, one line each.
    pub words: Vec<String>,
}

/// One worker's account over a span.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Account {
    /// The days that it covers.
    pub span: Span,
    /// What makes it up, by day and entry.
    pub contributions: Vec<Contribution>,
    /// The totals of the contributions, without planned special exposures.
    pub totals: PerQuantity<Total>,
    /// The totals of authorized planned special exposures, which count apart
    /// (10 CFR 20.1206).
    pub special: PerQuantity<Total>,
    /// The conflicts that touch the span and wait for the RSO.
    pub conflicts: Vec<Conflict>,
    /// What records say of the span that counts in it no more.
    pub silent: Vec<NoMore>,
    /// Whether exposure readings (mR) are in it, which count as dose 1 mR to
    /// 1 mrem by convention. Whoever shows the account says so.
    pub counts_exposure_as_dose: bool,
}

/// What a record says that counts no more.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoMore {
    /// Its entry.
    pub entry: i64,
    /// Its first day.
    pub first: Day,
    /// Its last day.
    pub last: Day,
    /// What it says, in plain words.
    pub words: String,
    /// What kind of thing took its place.
    pub how: Silence,
    /// The entry of that.
    pub by: i64,
}

/// What a contribution comes from.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Origin {
    Shift(usize),
    Lump(Source),
    Above(Source),
    Event(usize),
}

struct Part {
    origin: Origin,
    whole: Span,
    contribution: Contribution,
}

impl Account {
    /// The account of one worker over a span, both ends inclusive.
    ///
    /// # Errors
    /// [`Overflow`] when a sum does not fit.
    pub fn of(history: &History, span: Span) -> Result<Account, Overflow> {
        let resolved = Resolved::of(history)?;
        let mut totals = PerQuantity::<Total>::empty();
        let mut special = PerQuantity::<Total>::empty();
        let mut parts = Parts::default();
        let mut counts_exposure_as_dose = false;
        for quantity in QUANTITIES {
            *special.get_mut(quantity) = resolved.special(span, quantity)?;
            let total = totals.get_mut(quantity);
            counts_exposure_as_dose |=
                parts.of_shifts(&resolved, history, span, quantity, total)?;
            parts.of_lumps(&resolved, span, quantity, total)?;
            parts.of_events(history, span, quantity, total)?;
        }
        let mut contributions = Vec::new();
        for mut part in parts.0 {
            if !says_something(&part.contribution.doses) {
                continue;
            }
            part.contribution.words = match part.origin {
                Origin::Shift(at) => explain::shift(history, &resolved, at),
                Origin::Lump(source) => explain::lump(history, &resolved, source, part.whole, span),
                Origin::Above(source) => explain::above(history, source),
                Origin::Event(at) => {
                    let open = history.facts.unmeasured.get(at);
                    open.map(|it| it.words.clone()).into_iter().collect()
                }
            };
            contributions.push(part.contribution);
        }
        contributions.sort_by_key(|part| (part.first, part.last, part.entry));
        let silent = no_more(history, &resolved, span);
        let open = resolved.conflicts.into_iter();
        Ok(Account {
            span,
            contributions,
            totals,
            special,
            conflicts: open.filter(|it| it.days.overlaps(&span)).collect(),
            silent,
            counts_exposure_as_dose,
        })
    }
}

fn no_more(history: &History, resolved: &Resolved, span: Span) -> Vec<NoMore> {
    let all = resolved.silent.iter();
    let mine = all.filter(|it| it.days.overlaps(&span));
    mine.map(|it| NoMore {
        entry: it.entry,
        first: it.days.first,
        last: it.days.last,
        words: explain::said(history, it.source),
        how: it.how,
        by: it.by,
    })
    .collect()
}

/// An extremity that nothing measured is no contribution of its own.
fn says_something(doses: &PerQuantity<Amount>) -> bool {
    QUANTITIES.iter().any(|it| doses.get(*it).known().is_some())
}

#[derive(Default)]
struct Parts(Vec<Part>);

impl Parts {
    /// Adds an amount to the contribution that it belongs to. Quantities of one
    /// origin and class stand together; what nothing measured stands with the
    /// others.
    fn put(&mut self, part: Part, quantity: Quantity, amount: Amount) {
        let (class, held) = (part.contribution.class, part.contribution.held);
        let special = part.contribution.special;
        let found = self.0.iter_mut().rev().find(|it| {
            it.origin == part.origin
                && it.contribution.special == special
                && (amount == Amount::NotAssessed
                    || (it.contribution.class, it.contribution.held) == (class, held))
        });
        match found {
            Some(found) => *found.contribution.doses.get_mut(quantity) = amount,
            None => {
                let mut part = part;
                *part.contribution.doses.get_mut(quantity) = amount;
                self.0.push(part);
            }
        }
    }

    /// Whether exposure readings are among them.
    fn of_shifts(
        &mut self,
        resolved: &Resolved,
        history: &History,
        span: Span,
        quantity: Quantity,
        total: &mut Total,
    ) -> Result<bool, Overflow> {
        let mut exposure = false;
        let singles = &resolved.of.get(quantity).singles;
        let all = resolved.live.iter().zip(singles).enumerate();
        for (at, (live, single)) in all.filter(|(_, (live, _))| span.contains(live.day)) {
            if single.account == Amount::Elsewhere {
                continue;
            }
            if !live.special {
                total.add(single.class, single.account, single.held)?;
            }
            if single.account != Amount::NotAssessed {
                exposure |= explain::shows_exposure(history, live.at);
            }
            let day = Span {
                first: live.day,
                last: live.day,
            };
            let mut part = new(Origin::Shift(at), live.entry, day, span, single.class);
            part.contribution.held = single.held;
            part.contribution.special = live.special;
            self.put(part, quantity, single.account);
        }
        Ok(exposure)
    }

    fn of_events(
        &mut self,
        history: &History,
        span: Span,
        quantity: Quantity,
        total: &mut Total,
    ) -> Result<(), Overflow> {
        for (at, it) in history.facts.unmeasured.iter().enumerate() {
            let days = it.days.first().zip(it.days.last());
            let (Some(amount), Some((first, last))) = (it.within(span, quantity), days) else {
                continue;
            };
            total.add(Class::Provisional, amount, 0)?;
            let days = Span {
                first: *first,
                last: *last,
            };
            let mut part = new(Origin::Event(at), it.entry, days, span, Class::Provisional);
            part.contribution.open_event = true;
            self.put(part, quantity, amount);
        }
        Ok(())
    }

    fn of_lumps(
        &mut self,
        resolved: &Resolved,
        span: Span,
        quantity: Quantity,
        total: &mut Total,
    ) -> Result<(), Overflow> {
        let units = resolved.of.get(quantity);
        for lump in &units.lumps {
            let origin = Origin::Lump(lump.source);
            if let Some((class, amount)) = lump.within(span) {
                if !lump.special {
                    total.add(class, amount, 0)?;
                }
                let mut part = new(origin, lump.entry, lump.days, span, class);
                part.contribution.special = lump.special;
                self.put(part, quantity, amount);
            }
            if let Some((class, amount)) = lump.special_within(span) {
                let mut part = new(origin, lump.entry, lump.days, span, class);
                part.contribution.special = true;
                self.put(part, quantity, amount);
            }
        }
        for excess in &units.excesses {
            if let Some((class, amount)) = excess.account(span) {
                total.add(class, amount, 0)?;
                let origin = Origin::Above(excess.source);
                let part = new(origin, excess.entry, excess.days, span, class);
                self.put(part, quantity, amount);
            }
        }
        Ok(())
    }
}

fn new(origin: Origin, entry: i64, whole: Span, span: Span, class: Class) -> Part {
    let part = whole.common(&span).unwrap_or(whole);
    Part {
        origin,
        whole,
        contribution: Contribution {
            first: part.first,
            last: part.last,
            class,
            doses: PerQuantity {
                deep: Amount::Elsewhere,
                lens: Amount::Elsewhere,
                shallow: Amount::Elsewhere,
                extremity: Amount::Elsewhere,
            },
            held: 0,
            entry,
            special: false,
            open_event: false,
            words: Vec::new(),
        },
    }
}
