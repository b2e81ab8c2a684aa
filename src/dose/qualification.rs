//! What a person must have to act as a radiographer or an assistant: certification or the
//! qualification of an assistant, refresher training, inspection of job performance, and a
//! practical examination after a longer time without work. The intervals are the rule set's, under
//! `refresher` and `job-inspection`; a rule set without one asks for nothing. Where each rule
//! stands is the rule set's too.

use crate::calendar::{Day, Interval, YearStart};
use crate::rule::{CheckKey, IntervalRule, RuleSet, RuleText, Status};

/// Something that was done on a day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Done {
    /// The entry that records it.
    pub entry: i64,
    /// The day.
    pub on: Day,
}

/// A certification.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Certification {
    /// The entry that records it.
    pub entry: i64,
    /// The first day on which it holds.
    pub from: Day,
    /// The last day on which it holds; `None` where it does not end.
    pub until: Option<Day>,
}

/// One person's qualifications on record.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Qualifications {
    /// Whether the person's role needs a certification: a radiographer's does, an assistant's
    /// does not.
    pub needs_certification: bool,
    /// Whether it needs the qualification of an assistant.
    pub needs_assistant: bool,
    /// Whether refresher training and inspections are asked of the person:
    /// of each radiographer and assistant.
    pub acts: bool,
    /// Whether the person is the RSO and does all radiography alone.
    pub is_sole: bool,
    /// Certifications.
    pub certifications: Vec<Certification>,
    /// Qualifications as an assistant.
    pub assistant: Vec<Certification>,
    /// Initial training and each refresher.
    pub training: Vec<Done>,
    /// Inspections of job performance, by which the person was observed at
    /// actual work.
    pub inspections: Vec<Done>,
    /// Whether an approval for unescorted access is asked of the person.
    pub needs_access: bool,
    /// Whether the person was with such sources only under the eyes of somebody who led.
    pub is_beside: bool,
    /// Approvals and reinvestigations.
    pub access: Vec<Done>,
    /// Whether hazmat training is asked of the person.
    pub needs_hazmat: bool,
    /// Hazmat training.
    pub hazmat: Vec<Done>,
    /// Practical examinations. One that was passed counts from its day like an
    /// inspection.
    pub examinations: Vec<Done>,
    /// The days on which the person took part in radiographic work.
    pub worked: Vec<Day>,
}

/// What is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Duty {
    /// The certification.
    Certification,
    /// The qualification of an assistant.
    Assistant,
    /// Refresher training.
    Refresher,
    /// The inspection of job performance.
    JobInspection,
    /// The practical examination after a longer time without work.
    PracticalExamination,
    /// Approval for unescorted access, renewed by a reinvestigation.
    Access,
    /// Training for shipments of sources.
    Hazmat,
}

impl Duty {
    /// The rule of a rule set that is about this duty alone.
    const fn rule_key(self) -> Option<&'static str> {
        match self {
            Duty::Certification => Some("certification"),
            Duty::Assistant => Some("assistant-qualification"),
            Duty::Access => Some("access-reinvestigation"),
            Duty::Hazmat => Some("hazmat-training"),
            Duty::Refresher | Duty::JobInspection | Duty::PracticalExamination => None,
        }
    }

    /// Whether who lacks it stays in. Who has no approval for access works under the eyes of
    /// somebody who has, and who is not trained for shipments prepares and carries none.
    pub const fn stops(self) -> bool {
        !matches!(self, Duty::Access | Duty::Hazmat)
    }

    /// What stands in the key of a finding: two qualifications of one person that rest on the same
    /// entry, or on none, are two findings.
    const fn key(self) -> &'static str {
        match self {
            Duty::Certification => "certification",
            Duty::Assistant => "assistant",
            Duty::Refresher => "refresher",
            Duty::JobInspection => "job-inspection",
            Duty::PracticalExamination => "practical-examination",
            Duty::Access => "unescorted-access",
            Duty::Hazmat => "hazmat-training",
        }
    }

    /// What people call it.
    pub fn name(self) -> &'static str {
        match self {
            Duty::Certification => "certification",
            Duty::Assistant => "qualification as an assistant",
            Duty::Refresher => "refresher training",
            Duty::JobInspection => "inspection of job performance",
            Duty::PracticalExamination => "practical examination",
            Duty::Access => "approval for unescorted access",
            Duty::Hazmat => "hazmat training",
        }
    }
}

/// How a duty stands on a day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DutyState {
    /// In force up to and with this day; `None` where it does not end.
    Until(Option<Day>),
    /// Not in force since this day.
    Since(Day),
    /// Never done.
    Never,
    /// The rule does not ask for it.
    NotRequired,
}

/// One duty of one person on a day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Held {
    /// Which.
    pub duty: Duty,
    /// How it stands.
    pub state: DutyState,
    /// The entries that it rests on.
    pub entries: Vec<i64>,
    /// Where the rule stands.
    pub citation: String,
    /// Whether it was read there.
    pub status: Status,
    /// Whether work without it was work under the eyes of somebody else, which it is not asked for.
    pub beside: bool,
    /// The same in plain words.
    pub words: String,
}

impl Held {
    /// Whether the person may act as far as this duty goes.
    pub fn in_force(&self) -> bool {
        matches!(self.state, DutyState::Until(_) | DutyState::NotRequired)
    }

    /// The rule that a finding about it prints: the rule set's on qualifications, with what its own
    /// says where it has one.
    pub fn rule(&self, rule_set: &RuleSet) -> RuleText {
        let mut text = rule_set.text_of(CheckKey::Qualification);
        if let Some(own) = self.duty.rule_key().and_then(|key| rule_set.rule(key)) {
            text.meaning.clone_from(&own.meaning);
            text.remedy.clone_from(&own.remedy);
        }
        text.key = format!("{}:{}", text.key, self.duty.key());
        text.citation.clone_from(&self.citation);
        text.status = self.status;
        text
    }

    /// The last day on which it is in force, where one is known and ahead.
    pub fn due(&self) -> Option<Day> {
        match self.state {
            DutyState::Until(until) => until,
            DutyState::Since(_) | DutyState::Never | DutyState::NotRequired => None,
        }
    }
}

/// How many days are named before the rest is counted.
const NAMED: usize = 6;

/// On which days a person worked while a duty was not in force, in words: `worked on 8 days since:
/// 2026-05-21, 2026-05-22 and 6 more`.
pub fn worked_words(days: &[Day], when: &str) -> String {
    let named: Vec<String> = days.iter().take(NAMED).map(ToString::to_string).collect();
    let more = match days.len().saturating_sub(NAMED) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    let count = match days.len() {
        1 => "1 day".to_owned(),
        count => format!("{count} days"),
    };
    format!("worked on {count} {when}: {}{more}", named.join(", "))
}

/// How one person's duties stand on a day. Nothing is asked of who neither
/// acts nor needs a certification. What is dated after the day has not
/// happened yet.
pub fn duties(known: &Qualifications, rule_set: &RuleSet, on: Day) -> Vec<Held> {
    let mut duties = Vec::new();
    if known.needs_certification {
        duties.push(paper(
            Duty::Certification,
            &known.certifications,
            rule_set,
            on,
        ));
    }
    if known.needs_assistant {
        duties.push(paper(Duty::Assistant, &known.assistant, rule_set, on));
    }
    if known.acts {
        duties.extend(rule_set.interval("refresher").map(|rule| {
            let last = latest(known.training.iter(), on);
            interval_duty(Duty::Refresher, rule, last, rule_set.year_start, on)
        }));
        duties.extend(rule_set.interval("job-inspection").map(|rule| {
            match rule_set.rule(SOLE).filter(|_| known.is_sole) {
                Some(exempts) => sole(exempts),
                None => inspection(known, rule, rule_set.year_start, on),
            }
        }));
    }
    let others = [
        (Duty::Access, known.needs_access, &known.access),
        (Duty::Hazmat, known.needs_hazmat, &known.hazmat),
    ];
    for (duty, needed, all) in others {
        let rule = duty.rule_key().and_then(|key| rule_set.interval(key));
        duties.extend(rule.filter(|_| needed).map(|rule| {
            let last = latest(all.iter(), on);
            let held = interval_duty(duty, rule, last, rule_set.year_start, on);
            match duty == Duty::Access && known.is_beside {
                true => beside(held),
                false => held,
            }
        }));
    }
    duties
}

/// The day after; the last day that there is has none.
fn day_after(day: Day) -> Day {
    day.succ_opt().unwrap_or(day)
}

fn latest<'a>(all: impl Iterator<Item = &'a Done>, on: Day) -> Option<Done> {
    all.filter(|done| done.on <= on)
        .max_by_key(|done| (done.on, done.entry))
        .copied()
}

fn held(duty: Duty, state: DutyState, entries: Vec<i64>, rule: Rule<'_>) -> Held {
    let name = duty.name();
    let words = match state {
        DutyState::Until(Some(day)) => format!("{name} valid through {day}"),
        DutyState::Until(None) => format!("{name} in force"),
        DutyState::Since(day) => format!("{name} lapsed since {day}"),
        DutyState::Never => format!("{name} not on record"),
        DutyState::NotRequired => format!(
            "{name} not required: one person is radiographer and RSO and does all radiography"
        ),
    };
    Held {
        duty,
        state,
        entries,
        citation: rule.0.to_string(),
        status: rule.1,
        beside: false,
        words,
    }
}

/// An approval of which all work on record needs none. It is told all the same: a sheet does not
/// say that nobody was ever left alone with the source.
fn beside(held: Held) -> Held {
    match held.in_force() {
        true => held,
        false => Held {
            words: format!(
                "{}; around a category 2 quantity only when escorted by an approved individual",
                held.words
            ),
            beside: true,
            ..held
        },
    }
}

/// Where a rule stands, and whether it was read there.
type Rule<'a> = (&'a str, Status);

fn of(rule: &IntervalRule) -> Rule<'_> {
    (&rule.citation, rule.status)
}

/// The rule of a rule set under which somebody who is radiographer and RSO in one, and does all
/// radiography, has no inspection of job performance by another.
const SOLE: &str = "job-inspection-sole-rso";

fn sole(rule: &RuleText) -> Held {
    let rule = (rule.citation.as_str(), rule.status);
    held(
        Duty::JobInspection,
        DutyState::NotRequired,
        Vec::new(),
        rule,
    )
}

/// Where the rule set has the rule of a duty. One that was adopted before the rule was asked for
/// has none, and another rule's place would be wrong.
fn rule(rule_set: &RuleSet, duty: Duty) -> Rule<'_> {
    let own = duty.rule_key().and_then(|key| rule_set.rule(key));
    own.map_or(
        (
            "good practice, no rule text in this rule set",
            Status::ToBeConfirmed,
        ),
        |it| (&it.citation, it.status),
    )
}

/// What stands on a paper with a first day and perhaps a last.
fn paper(duty: Duty, papers: &[Certification], rule_set: &RuleSet, on: Day) -> Held {
    let begun = papers.iter().filter(|it| it.from <= on);
    // One without an end is the last to end.
    let best = begun.max_by_key(|it| (it.until.is_none(), it.until, it.entry));
    let (state, entries) = match best {
        None => (DutyState::Never, Vec::new()),
        Some(it) => {
            let state = match it.until {
                Some(until) if until < on => DutyState::Since(day_after(until)),
                until => DutyState::Until(until),
            };
            (state, vec![it.entry])
        }
    };
    held(duty, state, entries, rule(rule_set, duty))
}

fn interval_duty(
    duty: Duty,
    rule: &IntervalRule,
    last: Option<Done>,
    year: YearStart,
    on: Day,
) -> Held {
    let state = match last {
        None => DutyState::Never,
        Some(last) => match rule.interval.due_after(last.on, year) {
            Some(until) if until < on => DutyState::Since(day_after(until)),
            until => DutyState::Until(until),
        },
    };
    let entries = last.map(|it| it.entry).into_iter().collect();
    held(duty, state, entries, of(rule))
}

/// The inspection, or the practical examination in its place: who has not
/// taken part in radiographic work for longer than the interval since the last
/// inspection is examined before the next operation. Work
/// after such a time without an examination does not make up for it.
fn inspection(known: &Qualifications, rule: &IntervalRule, year: YearStart, on: Day) -> Held {
    let seen = known.inspections.iter().chain(&known.examinations);
    let Some(last) = latest(seen, on) else {
        return held(Duty::JobInspection, DutyState::Never, Vec::new(), of(rule));
    };
    match gap_since(known, rule.interval, last.on, year, on) {
        Some(since) => held(
            Duty::PracticalExamination,
            DutyState::Since(since),
            vec![last.entry],
            of(rule),
        ),
        None => interval_duty(Duty::JobInspection, rule, Some(last), year, on),
    }
}

/// The first day by which a time without work had grown longer than the
/// interval.
fn gap_since(
    known: &Qualifications,
    interval: Interval,
    from: Day,
    year: YearStart,
    on: Day,
) -> Option<Day> {
    let mut days: Vec<Day> = known
        .worked
        .iter()
        .copied()
        .filter(|day| from < *day && *day < on)
        .collect();
    days.push(on);
    days.sort_unstable();
    let mut last = from;
    for day in days {
        let until = interval.due_after(last, year)?;
        if until < day {
            return Some(day_after(until));
        }
        last = day;
    }
    None
}
