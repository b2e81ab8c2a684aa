//! the conservative total of one worker over a span, and what raised it above
//! the account.
//!
//! Work status, allowance and levels use this figure. It is never below the
//! account. It takes the higher of result and readings until the RSO accepts
//! the result, the highest that contradicting claims could make together, the
//! higher of a minimum and the readings, and of two dosimeters. It adds what the account
//! leaves out or splits: readings that wait for a disposition, a lump whose period
//! the span cuts (whole), and a night shift that ran into the span's first day.

use crate::calendar::{Day, Span};
use crate::dose::explain;
use crate::dose::input::History;
use crate::dose::resolve::group::Group;
use crate::dose::resolve::why::Why;
use crate::dose::resolve::{Excess, Live, Resolved, Single, Source, Units};
use crate::dose::total::{Amount, Class, PerQuantity, QUANTITIES, Total};
use crate::quantity::{Dose, Overflow};
use crate::record::Words;
use crate::rule::Quantity;

/// One thing that raised the figure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Raise {
    /// Why.
    pub why: Why,
    /// The entry that it comes from.
    pub entry: i64,
    /// Its day, or the first day of its period.
    pub day: Day,
    /// By how much, a quantity. Zero where it only takes the upper bound away.
    pub by: PerQuantity<Dose>,
    /// Whether it takes the upper bound away.
    pub undetermined: bool,
    /// The same in plain words.
    pub words: String,
}

/// The conservative totals over a span.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Conservative {
    /// The days that it covers.
    pub span: Span,
    /// The totals. Nothing is held in them: held readings are counted.
    pub totals: PerQuantity<Total>,
    /// What raised them above the account, by day.
    pub raised_by: Vec<Raise>,
}

/// What a raise comes from.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Origin {
    Shift(usize),
    Group(Source),
    Excess(Source),
}

/// One thing's two figures in a span.
#[derive(Clone, Copy, Default)]
struct Figures {
    account: Dose,
    safe: Dose,
    opens: bool,
}

struct Step {
    origin: Origin,
    raise: Raise,
}

impl Conservative {
    /// the conservative total of one worker over a span.
    ///
    /// # Errors
    /// [`Overflow`] when a sum does not fit.
    pub fn of(history: &History, span: Span) -> Result<Conservative, Overflow> {
        let resolved = Resolved::of(history)?;
        let mut work = Work {
            history,
            resolved: &resolved,
            span,
            totals: PerQuantity::<Total>::empty(),
            steps: Vec::new(),
        };
        for quantity in QUANTITIES {
            work.shifts(quantity)?;
            work.lumps(quantity)?;
            let total = work.totals.get_mut(quantity);
            for it in &history.facts.unmeasured {
                if let Some(amount) = it.within(span, quantity) {
                    total.add(Class::Provisional, amount, 0)?;
                }
            }
        }
        let mut raised_by: Vec<Raise> = work.steps.into_iter().map(|step| step.raise).collect();
        raised_by.retain(|raise| raise.undetermined || raise.by != PerQuantity::default());
        raised_by.sort_by_key(|raise| (raise.day, raise.entry));
        Ok(Conservative {
            span,
            totals: work.totals,
            raised_by,
        })
    }
}

struct Work<'a> {
    history: &'a History,
    resolved: &'a Resolved,
    span: Span,
    totals: PerQuantity<Total>,
    steps: Vec<Step>,
}

impl Work<'_> {
    fn shifts(&mut self, quantity: Quantity) -> Result<(), Overflow> {
        let units = self.resolved.of.get(quantity);
        let all = self.resolved.live.iter().zip(&units.singles).enumerate();
        for (at, (live, single)) in all.filter(|(_, (live, _))| !live.special) {
            let eve = live.crosses && live.day.succ_opt() == Some(self.span.first);
            let (account, safe) = match (eve, self.span.contains(live.day)) {
                (true, _) => (Amount::Elsewhere, single.carries),
                (false, true) => (single.account, single.safe),
                (false, false) => continue,
            };
            self.totals.get_mut(quantity).add(
                if eve {
                    Class::Provisional
                } else {
                    single.class
                },
                safe,
                0,
            )?;
            // Where a bundle speaks for it, the bundle says what it raises.
            if safe != Amount::Elsewhere {
                let why = self.why(live, single, eve);
                let figures = Figures {
                    account: known(account),
                    safe: known(safe),
                    opens: safe.is_undetermined() && !account.is_undetermined(),
                };
                self.put(Origin::Shift(at), quantity, figures, |it| {
                    it.of_shift(live, why)
                })?;
            }
        }
        Ok(())
    }

    fn why(&self, live: &Live, single: &Single, eve: bool) -> Why {
        if eve {
            Why::OverMidnight
        } else if single.held > 0 {
            Why::Held
        } else if live.dose.reads_low {
            Why::ReadsLow
        } else if single.wide {
            Why::Range
        } else if live.dose.account == live.dose.safe {
            Why::UntilResult
        } else {
            Why::ReadingIncomplete
        }
    }

    fn of_shift(&self, live: &Live, why: Why) -> Raise {
        let shift = self.history.shifts.get(live.at);
        let words = shift.map_or(String::new(), |it| {
            say_shift(why, live.day, it.shift.word())
        });
        raise(why, live.entry, live.day, words)
    }

    fn lumps(&mut self, quantity: Quantity) -> Result<(), Overflow> {
        let span = self.span;
        let units = self.resolved.of.get(quantity);
        for group in units.groups.iter().filter(|it| it.is_in(span)) {
            let safe = group.safe(span)?;
            let total = self.totals.get_mut(quantity);
            total.add(group.class, safe, 0)?;
            let figures = self.figures_of(group, safe, units)?;
            let source = Origin::Group(group.source);
            self.put(source, quantity, figures, |it| it.of_group(group))?;
        }
        for excess in &units.excesses {
            let Some(part) = excess.part(span) else {
                continue;
            };
            let Some(amount) = excess.within(units, span, self.singles(units, part)?)? else {
                continue;
            };
            let total = self.totals.get_mut(quantity);
            total.add(Class::Provisional, amount, 0)?;
            let account = excess.account(span).map_or(Amount::Elsewhere, |it| it.1);
            let figures = Figures {
                account: known(account),
                safe: known(amount),
                opens: amount.is_undetermined(),
            };
            let source = Origin::Excess(excess.source);
            self.put(source, quantity, figures, |it| it.of_excess(excess))?;
        }
        Ok(())
    }

    /// What the conservative total counts of shifts on some days that speak for
    /// themselves.
    fn singles(&self, units: &Units, days: Span) -> Result<Dose, Overflow> {
        let all = self.resolved.live.iter().zip(&units.singles);
        Dose::sum(
            all.filter(|(live, _)| days.contains(live.day) && !live.special)
                .map(|(_, single)| known(single.safe)),
        )
    }

    /// What account and conservative total count in the span of a group and of its
    /// shifts.
    fn figures_of(&self, group: &Group, safe: Amount, units: &Units) -> Result<Figures, Overflow> {
        let (mut account, mut open) = (Dose::ZERO, false);
        let places = group.shifts();
        for (live, single) in places.filter_map(|at| {
            let live = self.resolved.live.get(at)?;
            Some((live, units.singles.get(at)?))
        }) {
            if self.span.contains(live.day) && !live.special {
                account = account.checked_add(known(single.account))?;
                open |= single.account.is_undetermined();
            }
        }
        for lump in units.lumps.iter().filter(|it| group.counts(it.source)) {
            if let Some((_, amount)) = lump.within(self.span).filter(|_| !lump.special) {
                account = account.checked_add(known(amount))?;
                open |= amount.is_undetermined();
            }
        }
        Ok(Figures {
            account,
            safe: known(safe),
            opens: safe.is_undetermined() && !open,
        })
    }

    fn of_group(&self, group: &Group) -> Raise {
        let whole = group.days.common(&self.span) == Some(group.days);
        let why = if whole { group.why } else { Why::WholeLump };
        let day = group.days.first.max(self.span.first);
        let origin = explain::origin(self.history, group.source);
        let origin = origin.first().cloned().unwrap_or_default();
        raise(why, group.entry, day, say_lump(why, group.why, &origin))
    }

    fn of_excess(&self, excess: &Excess) -> Raise {
        let day = excess.days.first.max(self.span.first);
        let origin = explain::origin(self.history, excess.source);
        let origin = origin.first().cloned().unwrap_or_default();
        let words = say_lump(excess.why, excess.why, &origin);
        raise(excess.why, excess.entry, day, words)
    }

    fn put(
        &mut self,
        origin: Origin,
        quantity: Quantity,
        figures: Figures,
        new: impl Fn(&Self) -> Raise,
    ) -> Result<(), Overflow> {
        let by = figures.safe.checked_sub(figures.account)?;
        if by == Dose::ZERO && !figures.opens {
            return Ok(());
        }
        if !self.steps.iter().rev().any(|step| step.origin == origin) {
            let raise = new(self);
            self.steps.push(Step { origin, raise });
        }
        if let Some(step) = self.steps.iter_mut().rev().find(|it| it.origin == origin) {
            let sum = step.raise.by.get(quantity).checked_add(by)?;
            *step.raise.by.get_mut(quantity) = sum;
            step.raise.undetermined |= figures.opens;
        }
        Ok(())
    }
}

fn known(amount: Amount) -> Dose {
    amount.known().unwrap_or(Dose::ZERO)
}

fn raise(why: Why, entry: i64, day: Day, words: String) -> Raise {
    Raise {
        why,
        entry,
        day,
        by: PerQuantity::default(),
        undetermined: false,
        words,
    }
}

const RANGE: &str =
    "determined as a range: its high end counts; as above a dose only: it has no upper bound";

fn say_shift(why: Why, day: Day, shift: &str) -> String {
    match why {
        Why::OverMidnight => format!("{shift} shift of {day} ran over midnight: counts here too"),
        Why::Held => format!("held reading of the {shift} shift of {day} counts until ruled on"),
        Why::ReadsLow => {
            format!("{shift} shift of {day}: its dosimeter was found to read low")
        }
        Why::UntilResult => {
            format!("{shift} shift of {day}: the higher of estimate and readings until a result")
        }
        Why::Range => format!("{shift} shift of {day}: {RANGE}"),
        _ => format!("{shift} shift of {day}: what the dosimeter's face showed counts"),
    }
}

/// Words for a lump. `why` is what raises it here; where that is the cut, the
/// lump can have a reason of its own besides.
fn say_lump(why: Why, own: Why, origin: &str) -> String {
    let reason = match own {
        Why::Held => "on hold: the higher counts until resolved",
        Why::ResultNotAccepted => {
            "the higher of result and readings until the RSO accepts the result"
        }
        Why::BelowMinimum => "the higher of the minimum and the readings",
        Why::Conflict => "the highest that the contradicting claims could make until resolved",
        Why::UntilResult => "the higher of estimate and readings",
        Why::Range => RANGE,
        Why::OtherBadge => "the higher of two badges worn at the same time",
        Why::Elsewhere => {
            "over shifts of ours: it adds until it is recorded whether it measured the same dose"
        }
        Why::NoSecondPerson => "a determination of their own dose without a second person",
        _ => "",
    };
    match (why, reason) {
        (Why::WholeLump, "") => format!("dose of {origin} counts whole"),
        (Why::WholeLump, reason) => format!("dose of {origin} counts whole; {reason}"),
        (_, reason) => format!("{origin}: {reason}"),
    }
}
