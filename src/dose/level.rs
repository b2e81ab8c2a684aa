//! One worker against the levels of a rule set: what is used of each, what is
//! left, and how sure that is.
//!
//! Used and left are taken from the conservative total; the account stands
//! beside it. A level can have several windows on one day; the worst is given.

use crate::calendar::{Day, Quarter, Span, Window, WindowFacts, YearStart};
use crate::dose::index::{DoseIndex, Used};
use crate::dose::input::{Pregnancy, WorkerFacts};
use crate::dose::population::{last_day_under_18, population, population_on};
use crate::dose::total::{Extent, Total};
use crate::quantity::{Dose, Overflow, Share};
use crate::rule::{AppliesTo, Level, LevelType, Reached, RuleSet};

/// How sure a standing is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Certainty {
    /// Everything known is in the figures.
    Known,
    /// Some contributions have no figure in this quantity.
    PartlyAssessed,
    /// Nothing measured this quantity.
    NotAssessed,
    /// Something has no upper bound: there is no allowance.
    Undetermined,
}

/// How a level stops being an allowance.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Gone {
    /// the conservative total has reached or passed it, as the level says.
    Passed,
    /// Used up to the last, and not passed.
    AtTheLevel,
    /// Quarters without records take what the dose left of it.
    ByMissingQuarters,
}

/// One worker against one level, in the worst of its windows.
#[derive(Clone, Debug)]
pub struct Standing<'s> {
    /// The level, with its citation and status.
    pub level: &'s Level,
    /// The window. Only days up to `on` are summed.
    pub window: Span,
    /// The day for which it stands.
    pub on: Day,
    /// The two figures over the days that are summed.
    pub used: Used,
    /// The days that are summed.
    pub summed: Span,
    /// What may be received over those days: the level's dose, or the budget
    /// that a declaration left.
    pub limit: Dose,
    /// What quarters without records take from the allowance.
    pub cut: Dose,
    /// The entries that state those quarters.
    pub missing: Vec<i64>,
    /// Limit less cut less the conservative total. It may be negative. Unless
    /// [`Standing::certainty`] is `Known` it is the most that can be left.
    pub left: Dose,
    /// How sure it is.
    pub certainty: Certainty,
    /// The share of the limit that the conservative total and the cut take,
    /// rounded up; `None` for a level of no dose at all.
    pub share: Option<Share>,
    /// Whether the account has reached or passed the level.
    pub account_passed: bool,
    /// Whether the conservative total has.
    pub passed: bool,
    /// For a declared pregnancy: what was received before the notice.
    pub before_notification: Option<Used>,
    /// For a declared pregnancy whose budget was fixed at the declaration: how it stands over the
    /// entire pregnancy.
    pub whole: Option<Whole>,
    /// What is special about it, in plain words.
    pub words: Vec<String>,
    /// Whether nothing more can count against it: it was the level of a minor, who has come of age.
    pub closed: bool,
}

/// How a declared pregnancy stands from conception on, where its level's window is what the
/// declaration left of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Whole {
    /// The two figures since conception.
    pub used: Used,
    /// The dose of the level.
    pub of: Dose,
    /// The share of it that the conservative total takes, rounded up.
    pub share: Option<Share>,
}

impl Standing<'_> {
    /// Whether the allowance is gone, and how.
    pub fn gone(&self) -> Option<Gone> {
        match self.left <= Dose::ZERO {
            _ if self.passed => Some(Gone::Passed),
            true if self.cut > Dose::ZERO => Some(Gone::ByMissingQuarters),
            true if self.used.safe.known() > Dose::ZERO => Some(Gone::AtTheLevel),
            _ => None,
        }
    }

    /// Whether it says how much the person may still receive.
    pub fn binds(&self) -> bool {
        let kind = self.level.kind;
        !self.closed
            && self.certainty != Certainty::NotAssessed
            && matches!(kind, LevelType::Limit | LevelType::Administrative)
    }
}

/// One worker against every level of a rule set that applies on a day. The
/// level of a single shift is not among them: the checks of a sheet hold it.
///
/// # Errors
/// [`Overflow`] when a sum does not fit.
pub fn standings<'s>(
    rule_set: &'s RuleSet,
    facts: &WorkerFacts,
    index: &DoseIndex,
    on: Day,
) -> Result<Vec<Standing<'s>>, Overflow> {
    let asked = Asked {
        rule_set,
        facts,
        index,
        on,
        year: rule_set.year_start,
    };
    let authorized = facts.authorized_on(on);
    let (now, under_18) = (asked.population(), asked.population_at(true));
    let mut keys: Vec<&str> = Vec::new();
    for who in [now, under_18, AppliesTo::DeclaredPregnancy] {
        keys.extend(
            rule_set
                .levels_of(who, &authorized)
                .map(|level| level.key.as_str()),
        );
    }
    let mut standings = Vec::new();
    for level in &rule_set.levels {
        if keys.contains(&level.key.as_str()) {
            standings.extend(asked.worst(level)?);
        }
    }
    Ok(standings)
}

struct Asked<'s, 'a> {
    rule_set: &'s RuleSet,
    facts: &'a WorkerFacts,
    index: &'a DoseIndex,
    on: Day,
    year: YearStart,
}

impl<'s> Asked<'s, '_> {
    /// The standing in the level's worst window, if the level applies.
    fn worst(&self, level: &'s Level) -> Result<Option<Standing<'s>>, Overflow> {
        let Some(window) = level.over() else {
            return Ok(None);
        };
        let mut all = Vec::new();
        if level.applies_to == AppliesTo::DeclaredPregnancy {
            for pregnancy in self
                .facts
                .pregnancies
                .iter()
                .filter(|p| holds_on(p, self.on))
            {
                all.push(self.pregnancy(level, window, pregnancy)?);
            }
        } else {
            let facts = WindowFacts {
                year_start: self.year,
                ..WindowFacts::default()
            };
            for span in window.spans(self.on, &facts) {
                if let Some(days) = self.days_of(level, span) {
                    all.push(self.over(level, span, days)?);
                }
            }
        }
        // The first of equals: for any five years the run that ends with this
        // year, which holds everything that has happened.
        Ok(all.into_iter().min_by_key(|standing| standing.left))
    }

    /// The days of a window whose dose counts against a level of one
    /// population; `None` where the worker is not of it.
    fn days_of(&self, level: &Level, window: Span) -> Option<Span> {
        let through = Span {
            first: window.first,
            last: window.last.min(self.on),
        };
        if through.last < through.first {
            return None;
        }
        if level.applies_to == AppliesTo::Anyone || level.applies_to == self.population() {
            return Some(through);
        }
        // What was received under 18 stays held against the lower level for
        // the rest of the window.
        let last = last_day_under_18(self.facts)?.min(through.last);
        let mine = level.applies_to == self.population_at(true) && through.first <= last;
        mine.then_some(Span {
            first: through.first,
            last,
        })
    }

    fn over(&self, level: &'s Level, span: Span, summed: Span) -> Result<Standing<'s>, Overflow> {
        let used = self.index.used(summed, level.quantity)?;
        let (cut, missing) = self.cut(level, span)?;
        let mut words = Vec::new();
        if summed.last < span.last.min(self.on) {
            words.push(format!("dose received under 18, to {}", summed.last));
        }
        if !missing.is_empty() {
            let n = missing.len();
            words.push(format!("{n} quarter(s) without records cut the allowance"));
        }
        if self.facts.birth_date.is_none() && level.applies_to != AppliesTo::Anyone {
            words.push("birth date not given: taken as under 18".to_string());
        }
        self.standing(Parts {
            level,
            span,
            summed,
            used,
            limit: level.dose,
            cut,
            missing,
            words,
        })
    }

    /// A declared pregnancy. Where the level has a floor, its budget is fixed
    /// at the declaration: what the dose since conception left of the level,
    /// and not less than the floor (10 CFR 20.1208(d)). The day of the notice
    /// belongs to the rest of the pregnancy.
    fn pregnancy(
        &self,
        level: &'s Level,
        window: Window,
        pregnancy: &Pregnancy,
    ) -> Result<Standing<'s>, Overflow> {
        let end = pregnancy.ended_on.unwrap_or(Span::OPEN_END);
        let rest = Span {
            first: pregnancy.notice_on,
            last: end,
        };
        let whole = Span {
            first: pregnancy.counts_from(),
            last: end,
        };
        let rule = self
            .rule_set
            .pregnancy
            .as_ref()
            .filter(|rule| rule.level == level.key);
        let mut words = vec![format!("declared on {}", pregnancy.notice_on)];
        if window == Window::EntirePregnancy {
            words.extend(pregnancy.counted_from_words());
        }
        let mut before_notification = None;
        let (span, limit) = match (window, rule) {
            (Window::RestOfPregnancy, _) => (rest, level.dose),
            (_, Some(rule)) => {
                let before = self.before_notification(level, pregnancy)?;
                before_notification = Some(before);
                words.push("budget fixed at the declaration".to_string());
                (rest, rule.budget(before.safe.known())?)
            }
            (_, None) => (whole, level.dose),
        };
        let summed = Span {
            first: span.first,
            last: span.last.min(self.on),
        };
        let used = self.index.used(summed, level.quantity)?;
        let parts = Parts {
            level,
            span,
            summed,
            used,
            limit,
            cut: Dose::ZERO,
            missing: Vec::new(),
            words,
        };
        let mut standing = self.standing(parts)?;
        if let Some(before) = before_notification {
            standing.certainty = standing.certainty.max(certainty(&before.safe));
            standing.before_notification = Some(before);
            let since_conception = Span {
                last: whole.last.min(self.on),
                ..whole
            };
            let used = self.index.used(since_conception, level.quantity)?;
            standing.whole = Some(Whole {
                used,
                of: level.dose,
                share: Share::of(used.safe.known(), level.dose),
            });
        }
        self.doubt_missing_quarters(&mut standing, pregnancy);
        Ok(standing)
    }

    /// What was received from conception to the eve of the notice.
    fn before_notification(&self, level: &Level, pregnancy: &Pregnancy) -> Result<Used, Overflow> {
        let quantity = level.quantity;
        match pregnancy.notice_on.pred_opt() {
            Some(eve) if pregnancy.counts_from() <= eve => self.index.used(
                Span {
                    first: pregnancy.counts_from(),
                    last: eve,
                },
                quantity,
            ),
            _ => Ok(Used {
                account: Total::empty(quantity),
                safe: Total::empty(quantity),
            }),
        }
    }

    /// A quarter without records in the pregnancy may not be taken as zero,
    /// nor as the most possible (HPPOS Q406): until the RSO states an
    /// estimate, there is no upper bound.
    fn doubt_missing_quarters(&self, standing: &mut Standing<'_>, pregnancy: &Pregnancy) {
        let whole = Span {
            first: pregnancy.counts_from(),
            last: self.on,
        };
        let entries: Vec<i64> = self
            .exposed_quarters()
            .filter(|(quarter, _)| quarter.span(self.year).overlaps(&whole))
            .map(|(_, entry)| entry)
            .collect();
        if !entries.is_empty() {
            standing.missing = entries;
            standing.certainty = Certainty::Undetermined;
            standing
                .words
                .push("a quarter without records lies in the pregnancy".to_string());
        }
    }

    fn standing(&self, parts: Parts<'s>) -> Result<Standing<'s>, Overflow> {
        let Parts {
            level,
            span,
            summed,
            used,
            limit,
            cut,
            missing,
            words,
        } = parts;
        let taken = used.safe.known().checked_add(cut)?;
        Ok(Standing {
            level,
            window: span,
            on: self.on,
            summed,
            limit,
            cut,
            missing,
            left: limit.checked_sub(taken)?,
            certainty: certainty(&used.safe),
            share: Share::of(taken, limit),
            account_passed: is_passed(level, used.account.known(), limit),
            passed: is_passed(level, used.safe.known(), limit),
            used,
            before_notification: None,
            whole: None,
            words,
            closed: summed.last < span.last.min(self.on),
        })
    }

    /// What the quarters without records in a window take from a level, and
    /// the entries that state them.
    fn cut(&self, level: &Level, span: Span) -> Result<(Dose, Vec<i64>), Overflow> {
        let mut quarters: Vec<Quarter> = Vec::new();
        let mut entries = Vec::new();
        for (quarter, entry) in self.exposed_quarters() {
            let days = quarter.span(self.year);
            if days.overlaps(&span) && days.first <= self.on && level.cut_by_missing_quarters {
                entries.push(entry);
                if !quarters.contains(&quarter) {
                    quarters.push(quarter);
                }
            }
        }
        let count = u32::try_from(quarters.len()).map_err(|_| Overflow)?;
        Ok((self.rule_set.missing_quarter_cut(level, count)?, entries))
    }

    /// Quarters without records in which the person may have been exposed.
    fn exposed_quarters(&self) -> impl Iterator<Item = (Quarter, i64)> {
        self.facts
            .missing
            .iter()
            .filter(|missing| missing.exposure_possible)
            .map(|missing| {
                (
                    Quarter {
                        year: missing.year,
                        number: missing.quarter,
                    },
                    missing.entry,
                )
            })
    }

    /// The population whose levels hold on the day asked for. Whose age is
    /// not known is not taken for an adult.
    fn population(&self) -> AppliesTo {
        population_on(self.rule_set, self.facts, self.on)
    }

    fn population_at(&self, under_18: bool) -> AppliesTo {
        population(self.rule_set, self.facts, under_18)
    }
}

struct Parts<'s> {
    level: &'s Level,
    span: Span,
    summed: Span,
    used: Used,
    limit: Dose,
    cut: Dose,
    missing: Vec<i64>,
    words: Vec<String>,
}

fn holds_on(pregnancy: &Pregnancy, on: Day) -> bool {
    pregnancy.notice_on <= on && pregnancy.ended_on.is_none_or(|end| on <= end)
}

/// Whether a dose has reached a limit, in the sense of the level that it comes from.
pub(crate) fn is_passed(level: &Level, dose: Dose, limit: Dose) -> bool {
    match level.reached {
        Reached::Above => dose > limit,
        Reached::AtOrAbove => dose >= limit,
    }
}

fn certainty(safe: &Total) -> Certainty {
    if safe.undetermined > 0 {
        return Certainty::Undetermined;
    }
    match safe.extent() {
        Extent::NotAssessed => Certainty::NotAssessed,
        Extent::Whole(_) => Certainty::Known,
        Extent::AtLeast(_) => Certainty::PartlyAssessed,
    }
}
