//! What must be told of an event to whom by when: the duties of a rule set held against what is
//! known. Pure: facts and a moment in, plain values out. Uses `rule`, `quantity`, `calendar`.
//!
//! Each duty has a clock of its own with its own start, and clocks are never merged: one
//! disconnect starts one at the occurrence (10 CFR 34.101), one at the discovery (30.50(b)) and,
//! once the call is made, one at the call (30.50(c)(2)). A question that nobody answered and a
//! dose that nobody knows count as yes. Where a moment can be read in two ways the earlier holds.

mod case;
mod deadline;
mod fact;
mod facts;
mod state;
#[cfg(test)]
mod tests;

pub use fact::FactState;
pub use facts::{
    Answered, Assessed, Category, Facts, Given, Happening, Known, Left, Start, Unmeasured,
};
pub use state::{Applies, Content, DutyState, Notifications, Progress, State};

use case::{Case, case_of};
use deadline::deadline;
use fact::facts_of;
use state::minutes_left;

use crate::calendar::Instant;
use crate::rule::{Clock, Duty, How, RuleSet, Within};

/// One fact of an event, by its key in the rule set; nothing where the rule set has none.
pub fn fact(rule_set: &RuleSet, facts: &Facts, key: &str) -> Option<FactState> {
    facts_of(rule_set, facts)
        .into_iter()
        .find(|it| it.key == key)
}

/// The duties of an event, the most pressing first.
///
/// A deadline beyond the calendar is none, and its clock stays open.
pub fn notifications(rule_set: &RuleSet, facts: &Facts) -> Notifications {
    if rule_set.notifications().is_empty() {
        return Notifications {
            ask: Some(format!(
                "The rule set {} does not hold what must be reported of an event: ask your \
                authority.",
                rule_set.key
            )),
            ..Notifications::default()
        };
    }
    let mut duties: Vec<DutyState> = Vec::new();
    let states = facts_of(rule_set, facts);
    let desk = NotificationDesk {
        rule_set,
        facts,
        states: &states,
    };
    // What follows another duty needs its states, and what goes with a report needs the report's.
    let rank = |it: &&Duty| desk.depth(it) * 2 + usize::from(it.within == Within::WithTheReport);
    let mut all: Vec<&Duty> = rule_set.notifications().iter().collect();
    all.sort_by_key(rank);
    for duty in all {
        let made = desk.states(duty, &duties);
        duties.extend(made);
    }
    let place = |key: &str| rule_set.notifications().iter().position(|it| it.key == key);
    duties.sort_by_key(|it| (it.state.progress(), it.deadline, place(&it.duty), it.start));
    let answers =
        |given: &Given, it: &DutyState| it.duty == given.duty && it.start == Some(given.from);
    let stray = facts
        .given()
        .filter(|given| !duties.iter().any(|it| answers(given, it)));
    Notifications {
        stray: stray.cloned().collect(),
        duties,
        facts: states,
        ask: None,
    }
}

struct NotificationDesk<'a> {
    rule_set: &'a RuleSet,
    facts: &'a Facts,
    states: &'a [FactState],
}

impl NotificationDesk<'_> {
    /// How many duties come before it.
    fn depth(&self, duty: &Duty) -> usize {
        let mut before = duty.after.as_deref();
        let mut depth = 0;
        // A rule set in which they go round in a circle ends here.
        while let Some(key) = before.filter(|_| depth < self.rule_set.notifications().len()) {
            before = self.rule_set.duty(key).and_then(|it| it.after.as_deref());
            depth += 1;
        }
        depth
    }

    /// The clocks of one duty: always one at least, so that none is missing from the list.
    fn states(&self, duty: &Duty, known: &[DutyState]) -> Vec<DutyState> {
        let mut case = case_of(self.rule_set, duty, self.facts, self.states);
        let Some(after) = &duty.after else {
            if case.applies == Applies::Waits && case.learned.is_empty() {
                let whose = case.awaited.join(", ");
                let words = format!(
                    "not started: no dose above a limit is known; waits for the dose of {whose}"
                );
                return vec![self.clock(duty, &case, None, words, known)];
            }
            let starts = self.starts(duty, &case);
            return starts
                .into_iter()
                .map(|(at, words)| self.clock(duty, &case, Some(at), words, known))
                .collect();
        };
        let before: Vec<&DutyState> = known.iter().filter(|it| it.duty == *after).collect();
        if !before.is_empty() && before.iter().all(|it| it.applies == Applies::No) {
            case.applies = Applies::No;
            case.because = vec![format!("`{after}`, which it follows, does not apply")];
            return vec![self.clock(duty, &case, None, String::new(), known)];
        }
        let on = before.into_iter().filter(|it| it.applies != Applies::No);
        on.map(|before| self.following(duty, &case, before, known))
            .collect()
    }

    /// A duty whose clock starts when another one is done.
    fn following(
        &self,
        duty: &Duty,
        case: &Case,
        before: &DutyState,
        known: &[DutyState],
    ) -> DutyState {
        let mut case = case.clone();
        if case.applies != Applies::No {
            case.because.insert(0, format!("follows `{}`", before.duty));
        }
        if case.applies == Applies::Yes || before.applies == Applies::Waits {
            case.applies = before.applies;
        }
        if let State::Done(given) = &before.state {
            let words = format!("`{}` done", before.duty);
            return self.clock(duty, &case, Some(given.at), words, known);
        }
        let words = format!("not begun: `{}` is not done", before.duty);
        let mut state = self.clock(duty, &case, None, words, known);
        // At the latest: as if the duty before were done at its last moment.
        let latest = before.deadline.and_then(|at| self.until(duty, at, known));
        state.deadline = latest;
        state.latest = true;
        if case.applies != Applies::No && case.applies != Applies::Waits {
            state.left_minutes = latest.map(|at| minutes_left(at, self.facts.now));
            state.state = match latest {
                Some(at) if at < self.facts.now => State::Overdue,
                _ => State::NotBegun,
            };
        }
        state
    }

    /// The starts of a clock that follows no other duty, with the fact that starts it.
    ///
    /// What happened later than the event starts its clocks later, and nobody can have known of
    /// it before; what happened earlier starts the clocks that count from it earlier.
    fn starts(&self, duty: &Duty, case: &Case) -> Vec<(Instant, String)> {
        let facts = self.facts;
        let from = |start: &Start, words: &str| match &start.taken {
            Some(taken) => (start.at, taken.clone()),
            None => (start.at, words.to_owned()),
        };
        let known = |start: &Start, words: &str| match case.from(start.at) {
            Some(it) if it.at > start.at => {
                let words = format!("nobody can have known it before: {}", it.words);
                (it.at, words)
            }
            _ => from(start, words),
        };
        match duty.clock {
            Clock::Occurrence => match case.from(facts.occurred.at) {
                Some(it) => vec![(it.at, format!("it happened: {}", it.words))],
                None => vec![from(&facts.occurred, "it occurred")],
            },
            Clock::Discovery => vec![known(&facts.discovered, "it was discovered")],
            Clock::Test => vec![match facts.tested {
                Some(at) => (at, "the test".to_owned()),
                None => (
                    facts.occurred.at.min(facts.discovered.at),
                    "the test is not on record: when it occurred is taken, the earliest".to_owned(),
                ),
            }],
            Clock::FirstReport => vec![(
                facts.discovered.at,
                "what starts it is not on record: the discovery is taken, the earliest".to_owned(),
            )],
            Clock::Learning if case.learned.is_empty() => {
                let words = "it was learned, taken as the discovery";
                vec![known(&facts.discovered, words)]
            }
            Clock::Learning => case
                .learned
                .iter()
                .map(|(at, words)| (*at, words.clone()))
                .collect(),
        }
    }

    /// How long there is: the time of the authority at the job, where it has one of its own.
    fn within(&self, duty: &Duty) -> Within {
        self.own_time(duty).unwrap_or(duty.within)
    }

    fn own_time(&self, duty: &Duty) -> Option<Within> {
        self.facts.authority.as_ref()?.own_time(&duty.key)
    }

    /// The rule set whose time is taken for want of one of the authority's own.
    fn time_of(&self, duty: &Duty) -> Option<String> {
        let (authority, root) = (self.facts.authority.as_ref()?, self.rule_set.root());
        authority.borrows_time(root, duty).then(|| root.to_owned())
    }

    /// Whom: an authority with rules of its own by its name, and each with its telephone.
    fn to(&self, duty: &Duty) -> String {
        let theirs = self.facts.authority.as_ref();
        let Some(it) = theirs.filter(|_| duty.is_to_the_authority()) else {
            return duty.to.clone();
        };
        let above = it.binding(&duty.citation).filter(|_| it.equivalent);
        let (who, telephone) = match (above, it.equivalent) {
            (Some(above), _) => (&above.name, &above.telephone),
            (None, true) => (&it.name, &it.telephone),
            (None, false) => (&duty.to, &it.telephone),
        };
        match (telephone, duty.how) {
            (_, How::Written) => who.clone(),
            (Some(number), _) => format!("{who}, {number}"),
            (None, _) => format!("{who} (no telephone number here: look it up)"),
        }
    }

    fn cited(&self, duty: &Duty) -> String {
        match &self.facts.authority {
            Some(it) => it.cite(self.rule_set.root(), &duty.cited()),
            None => duty.cited(),
        }
    }

    fn until(&self, duty: &Duty, start: Instant, known: &[DutyState]) -> Option<Instant> {
        let within = self.within(duty);
        if within != Within::WithTheReport {
            return deadline(within, start, self.facts.zone);
        }
        // The report that it goes with: of the same doses, in writing, by a day of its own.
        let report = known.iter().find(|it| {
            it.start == Some(start)
                && self.rule_set.duty(&it.duty).is_some_and(|other| {
                    matches!(other.within, Within::Days(_) | Within::WorkingDays(_))
                        && other.above_a_limit == duty.above_a_limit
                        && other.doses == duty.doses
                })
        });
        match report {
            Some(it) => match &it.state {
                State::Done(given) => Some(it.deadline.map_or(given.at, |at| at.min(given.at))),
                _ => it.deadline,
            },
            // No report to go with: at once.
            None => Some(start),
        }
    }

    fn clock(
        &self,
        duty: &Duty,
        case: &Case,
        start: Option<Instant>,
        start_words: String,
        known: &[DutyState],
    ) -> DutyState {
        let now = self.facts.now;
        let deadline = start.and_then(|at| self.until(duty, at, known));
        let mut given = self.facts.given();
        let given = given.find(|it| it.duty == duty.key && Some(it.from) == start);
        let until = given.map_or(now, |it| it.at);
        // Nobody can tell at once what nobody knows yet: up to the discovery it is now, however
        // long ago it happened.
        let unknown_yet = self.within(duty) == Within::AtOnce && until <= self.facts.discovered.at;
        let state = match (given, case.applies, deadline) {
            (Some(given), _, _) => State::Done(given.clone()),
            (None, Applies::No, _) => State::NotApplicable,
            (None, Applies::Waits, _) => State::Waits,
            (None, _, Some(at)) if at < now && !unknown_yet => State::Overdue,
            _ => State::Open,
        };
        let left = deadline.map(|at| minutes_left(at, until));
        let held = |key: &str| {
            let mut present = self.facts.present.iter();
            present.any(|(of, content)| of == &duty.key && content == key)
        };
        let contents = duty.contents.iter().map(|it| Content {
            key: it.key.clone(),
            text: it.text.clone(),
            present: held(&it.key),
        });
        DutyState {
            duty: duty.key.clone(),
            report: duty.report().to_owned(),
            what: duty.what.clone(),
            citation: self.cited(duty),
            how: duty.how,
            to: self.to(duty),
            meaning: duty.meaning.trim().to_owned(),
            applies: case.applies,
            because: case.because.clone(),
            unanswered: case.unanswered.clone(),
            unmeasured: case.unmeasured.clone(),
            clock: duty.clock,
            within: self.within(duty),
            time_of: self.time_of(duty),
            not_since: case.not_since,
            start,
            start_words,
            left_minutes: left.map(|it| if unknown_yet { it.max(0) } else { it }),
            deadline,
            latest: false,
            state,
            contents: contents.collect(),
        }
    }
}
