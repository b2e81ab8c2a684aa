//! The lists that an inspector asks for: who is above a share of a limit, which
//! estimates are in force, who has no result for a period, and which doses have
//! no upper bound.

use serde::Serialize;

use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::context::view::{LevelLine, level_lines};
use crate::answer::dose::nobody::{NobodysLine, nobodys};
use crate::calendar::{Day, Span};
use crate::dose::account::Account;
use crate::dose::conservative::Conservative;
use crate::dose::index::DoseIndex;
use crate::dose::input::{Pregnancy, WorkerFacts};
use crate::record::{Determination, Words};
use crate::rule::{AppliesTo, LevelType, Quantity, Tells};

/// One line of a list: whom it is about, and what it says.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ListLine {
    /// The worker's id.
    pub worker: String,
    /// Full name.
    pub name: String,
    /// What the line says.
    pub what: String,
    /// The entry that it rests on, where it is one.
    pub entry: Option<i64>,
}

/// The lists.
#[derive(Debug, Clone, Serialize)]
pub struct ListsAnswer {
    /// First day.
    pub first: Day,
    /// Last day.
    pub last: Day,
    /// The day for which levels stand.
    pub on: Day,
    /// The share asked for, in per cent.
    pub percent: i64,
    /// Everybody above that share of a limit.
    pub above: Vec<ListLine>,
    /// Determinations in force: estimates kept until the license ends.
    pub estimates: Vec<ListLine>,
    /// Wear periods that are over and have no result.
    pub no_result: Vec<ListLine>,
    /// Shifts whose dose has no upper bound.
    pub undetermined: Vec<ListLine>,
    /// Results that are unassigned, whatever their day.
    pub nobodys: Vec<NobodysLine>,
    /// The rule set's caution.
    pub confirm: String,
}

/// What stands for a level that is for the person and the RSO alone.
const MASKED: &str = "see RSO (wearbook dose show ID)";

/// The share of a level in words; where nothing measured the dose, what quarters without records
/// take is told.
fn above(level: &LevelLine) -> String {
    match level.is_assessed {
        true => {
            let (share, of) = (&level.share, &level.limit.shown);
            format!("{share} of {of}: {}", level.words())
        }
        false => format!(
            "not assessed, and {} of {} taken by quarters without records: {}",
            level.cut.shown,
            level.limit.shown,
            level.words()
        ),
    }
}

/// Declared pregnancies that ended within the span and before the day for which levels stand: no
/// level of that day speaks of them any more.
fn ended(facts: &WorkerFacts, span: Span, on: Day) -> Vec<&Pregnancy> {
    let all = facts.pregnancies.iter();
    all.filter(|it| {
        it.ended_on
            .is_some_and(|last| span.contains(last) && last < on && it.notice_on <= last)
    })
    .collect()
}

/// The lists of a span, with levels as of `on`.
pub fn lists(
    house: &OpenHouse<'_>,
    span: Span,
    on: Day,
    percent: i64,
) -> Result<ListsAnswer, AnswerError> {
    const PPM_A_PERCENT: i64 = 10_000;
    let rule_set = house.rule_set_on(on)?;
    let mut answer = ListsAnswer {
        first: span.first,
        last: span.last,
        on,
        percent,
        above: Vec::new(),
        estimates: Vec::new(),
        no_result: Vec::new(),
        undetermined: Vec::new(),
        nobodys: nobodys(house)?,
        confirm: rule_set.caution_of(Tells::Levels),
    };
    for facts in house.workers() {
        let line = |what: String, entry: Option<i64>| ListLine {
            worker: facts.id.clone(),
            name: facts.name.clone(),
            what,
            entry,
        };
        let mut needed = house.span_needed(rule_set, facts, span, on);
        let ended = ended(facts, span, on);
        let conceived = ended.iter().map(|it| it.counts_from());
        needed.first = conceived.fold(needed.first, Ord::min);
        let history = house.history(facts.record, needed)?;
        let index = DoseIndex::build(&history)?;
        let is_above = |level: &LevelLine| {
            let most = percent.saturating_mul(PPM_A_PERCENT);
            level.kind == LevelType::Limit.name() && level.most_ppm().is_some_and(|ppm| ppm > most)
        };
        let (levels, _) = level_lines(house, rule_set, &history.facts, &index, on)?;
        let (private, open): (Vec<_>, Vec<_>) = levels
            .iter()
            .filter(|it| is_above(it))
            .partition(|it| it.is_private);
        for level in open {
            answer.above.push(line(above(level), None));
        }
        let mut is_private = !private.is_empty();
        for last in ended.iter().filter_map(|it| it.ended_on) {
            let rule_set = house.rule_set_on(last)?;
            let (levels, standings) = level_lines(house, rule_set, &history.facts, &index, last)?;
            let declared = levels
                .iter()
                .zip(&standings)
                .filter(|(_, it)| it.level.applies_to == AppliesTo::DeclaredPregnancy);
            is_private |= declared.into_iter().any(|it| is_above(it.0));
        }
        if is_private {
            answer.above.push(line(MASKED.to_owned(), None));
        }
        let account = Account::of(&history, span)?;
        for part in &account.contributions {
            if part.doses.get(Quantity::Deep).is_undetermined() {
                let what = format!("{}: {}", part.first, part.words.join("; "));
                answer.undetermined.push(line(what, Some(part.entry)));
            }
        }
        // What is of record and open on the conservative side all the same.
        let safe = Conservative::of(&history, span)?;
        for raise in safe.raised_by.iter().filter(|it| it.undetermined) {
            let known = |it: &ListLine| it.entry == Some(raise.entry);
            if !answer.undetermined.iter().any(known) {
                let what = format!("{}, on the conservative side: {}", raise.day, raise.words);
                answer.undetermined.push(line(what, Some(raise.entry)));
            }
        }
        for badge in house
            .snapshot
            .badges(Some(facts.record), span.first, span.last)?
        {
            let last = badge.changes.last();
            // One read on demand waits for no processor; once it is off, it waits for its read.
            let over = match badge.on_demand {
                true => last.is_some_and(|(_, day, _)| *day < on),
                false => badge.last_day < on,
            };
            if badge.results.is_empty() && over {
                let state = last.map_or("not handed back", |it| it.0.word());
                let what = format!(
                    "badge {} of {} to {}: {state}",
                    badge.badge, badge.first_day, badge.last_day
                );
                answer.no_result.push(line(what, Some(badge.entry)));
            }
        }
    }
    for stored in house.snapshot.all::<Determination>()? {
        let it = stored.body;
        let facts = house.facts(it.worker.number())?;
        answer.estimates.push(ListLine {
            worker: facts.id.clone(),
            name: facts.name.clone(),
            what: format!(
                "{}: {} {} by {}, {}: {}",
                it.on,
                house.terms().short_of(it.quantity.word()),
                it.figure(house.unit()),
                it.method.word(),
                it.relation.word(),
                it.basis
            ),
            entry: Some(stored.entry),
        });
    }
    Ok(answer)
}
