//! Who may work on a day, and what stands against it.

use serde::Serialize;

use super::on_hold::HeldLine;
use super::qualified::{duties_of, not_kept};
use super::work_status_equipment::instruments;
use crate::answer::context::badge_clock::badge_clocks;
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::answer::context::view::{LevelLine, level_lines, nearest};
use crate::answer::dose::nobody::{NobodysLine, nobodys};
use crate::answer::dose::private::{GoneLine, gone, lost_finding};
use crate::answer::event::in_event::{InEvents, over_shift_level};
use crate::answer::event::person::end_of;
use crate::calendar::{Day, Instant, Span};
use crate::dose::index::DoseIndex;
use crate::dose::input::{History, WorkerFacts};
use crate::dose::population::population_on;
use crate::dose::qualification::{DutyState, Held};
use crate::dose::work_status::{CAUTION, Cause, HeldItem, Reason, WorkStatus, WorkStatusFacts};
use crate::record::{RecordId, Role};
use crate::rule::{AppliesTo, Finding, RemovedType, RuleSet, Severity, Status};

/// One person's work status.
#[derive(Debug, Clone, Serialize)]
pub struct WorkStatusLine {
    /// The worker's id.
    pub worker: String,
    /// Full name.
    pub name: String,
    /// Whether nothing on record stands against it.
    pub may_work: bool,
    /// What stands against it or needs somebody, the most serious first.
    pub reasons: Vec<ReasonLine>,
    /// What would have to be known and is not on record.
    pub not_known: Vec<String>,
    /// Private records of which the content is not there.
    pub gone: Vec<GoneLine>,
    /// Clocks that run, with what is left.
    pub clocks: Vec<String>,
    /// Those of them whose time is past; the board marks them.
    #[serde(skip)]
    pub overdue: Vec<String>,
    /// The limit or administrative level of which least is left.
    pub nearest: Option<LevelLine>,
    /// How the person's qualifications stand.
    pub duties: Vec<DutyLine>,
    /// Every level that holds for the person, those too that are for the person and the RSO alone:
    /// other answers may reckon with them, and show none.
    #[serde(skip)]
    pub levels: Vec<LevelLine>,
}

/// One reason, and what ends it.
#[derive(Debug, Clone, Serialize)]
pub struct ReasonLine {
    /// The reason, with its rule.
    #[serde(flatten)]
    pub finding: Finding,
    /// What ends it, in one line.
    pub ends: &'static str,
    /// What kind of reason.
    #[serde(skip)]
    pub cause: Cause,
}

/// One qualification.
#[derive(Debug, Clone, Serialize)]
pub struct DutyLine {
    /// What it is.
    pub what: String,
    /// Whether it is in force.
    pub in_force: bool,
    /// Whether the rule asks for it; where it does not, `words` say why.
    pub required: bool,
    /// The last day on which it is; nothing where it has no end or is not in force.
    pub until: Option<Day>,
    /// The same in plain words.
    pub words: String,
    /// Where the rule stands.
    pub citation: String,
}

/// Who may work.
#[derive(Debug, Clone, Serialize)]
pub struct WorkStatusAnswer {
    /// The day.
    pub on: Day,
    /// Whether it is of everybody. Then nobody's allowance is told, and of what is private no
    /// more than whom to ask.
    pub of_everybody: bool,
    /// Levels that are left out and would hold for somebody here, each with its reason.
    pub left_out: Vec<String>,
    /// The people, by id.
    pub lines: Vec<WorkStatusLine>,
    /// Results that are unassigned, and so are in no figure above.
    pub nobodys: Vec<NobodysLine>,
    /// The unit of figures for people.
    pub unit: String,
    /// The caution.
    pub caution: String,
    /// The rule set's caution.
    pub confirm: String,
}

/// Who may work on a day: one person or everybody who is monitored then.
pub fn work_status(
    house: &OpenHouse<'_>,
    worker: Option<RecordId>,
    on: Day,
    now: Instant,
) -> Result<WorkStatusAnswer, AnswerError> {
    let rule_set = house.rule_set_on(on)?;
    let of_everybody = worker.is_none();
    let mut lines = of_people(house, worker, on, now)?;
    if of_everybody {
        lines = lines.into_iter().map(masked).collect();
    }
    Ok(WorkStatusAnswer {
        on,
        of_everybody,
        left_out: left_out(house, rule_set, worker, on),
        lines,
        nobodys: nobodys(house)?,
        unit: house.unit().symbol().to_owned(),
        caution: CAUTION.to_owned(),
        confirm: rule_set.confirm.clone(),
    })
}

/// Who is asked about: one person, or everybody who is monitored on the day.
fn asked(house: &House, worker: Option<RecordId>, on: Day) -> impl Iterator<Item = &WorkerFacts> {
    let asked = move |record| match worker {
        Some(worker) => worker == record,
        None => house.names.monitored(record, on),
    };
    house
        .workers()
        .into_iter()
        .filter(move |it| asked(it.record))
}

/// The levels that are left out and would hold for somebody who is asked about. Of a pregnancy it
/// is not said for whom: that would tell of it.
fn left_out(house: &House, rule_set: &RuleSet, worker: Option<RecordId>, on: Day) -> Vec<String> {
    let held = |whom: AppliesTo| {
        let is = |it: &&WorkerFacts| match population_on(rule_set, it, on) {
            // Of what age somebody is nobody knows without a birth date.
            AppliesTo::Minor | AppliesTo::Apprentice => {
                matches!(whom, AppliesTo::Minor | AppliesTo::Apprentice)
                    || it.birth_date.is_none() && whom == AppliesTo::Adult
            }
            own => own == whom,
        };
        let ids = asked(house, worker, on).filter(is);
        ids.map(|it| it.id.clone()).collect::<Vec<String>>()
    };
    let told = rule_set.removed().iter().filter_map(|it| {
        let though = match (it.of, it.applies_to) {
            (Some(RemovedType::Duty), _) => return None,
            (_, None | Some(AppliesTo::Anyone)) => String::new(),
            (_, Some(AppliesTo::DeclaredPregnancy)) => {
                ", though it would apply to anyone who declares a pregnancy".to_owned()
            }
            (_, Some(whom)) => match held(whom).as_slice() {
                [] => return None,
                ids => format!(", though it would hold for {}", ids.join(", ")),
            },
        };
        Some(rule_set.left_out(it, &though))
    });
    told.collect()
}

/// The people, by id, with all that stands against each: for the person and the RSO, and for
/// answers that mask it themselves.
pub(crate) fn of_people(
    house: &OpenHouse<'_>,
    worker: Option<RecordId>,
    on: Day,
    now: Instant,
) -> Result<Vec<WorkStatusLine>, AnswerError> {
    let rule_set = house.rule_set_on(on)?;
    let held = super::on_hold::held(house)?.lines;
    let events = InEvents::load(house, on)?;
    let mut lines = Vec::new();
    for facts in asked(house, worker, on) {
        let worker = facts.record;
        let of = (&held[..], &events);
        let mut line = line(house, rule_set, of, worker, on, now)?;
        line.not_known.extend(not_kept(house, worker, on));
        lines.push(line);
    }
    Ok(lines)
}

impl ReasonLine {
    /// The reason as anybody may read it: the same words for every reason of which only the RSO
    /// may say more (a level, a dose without an upper bound, an age, a private record that is not
    /// there), so that none of them gives away another.
    pub(crate) fn masked(mut self) -> ReasonLine {
        self.finding.private |= matches!(
            self.cause,
            Cause::Limit | Cause::AdministrativeLevel | Cause::Undetermined | Cause::Age
        );
        if self.finding.private {
            self.ends = "ends as the RSO says";
        }
        self.finding = self.finding.masked();
        self
    }
}

/// The line as anybody may read it.
fn masked(line: WorkStatusLine) -> WorkStatusLine {
    let mut reasons: Vec<ReasonLine> = Vec::new();
    // Several of them are said once: two would tell that they are not of one kind.
    for it in line.reasons.into_iter().map(ReasonLine::masked) {
        let said = |one: &ReasonLine| one.finding.private && one.finding.what == it.finding.what;
        if !it.finding.private || !reasons.iter().any(said) {
            reasons.push(it);
        }
    }
    WorkStatusLine {
        reasons,
        gone: Vec::new(),
        nearest: None,
        ..line
    }
}

/// What stands against a crew that is proposed again: who is stopped, and which of their
/// instruments are not to be taken.
///
/// # Errors
/// A ledger that fails, or no rule set on the day.
pub fn against_crew(
    house: &OpenHouse<'_>,
    crew: &[&str],
    on: Day,
    now: Instant,
) -> Result<Vec<String>, AnswerError> {
    let mut all = Vec::new();
    for worker in crew.iter().filter_map(|id| house.names.find_worker(id)) {
        let found = work_status(house, Some(worker.number()), on, now)?;
        for line in found.lines.into_iter().map(masked) {
            let told = line.reasons.iter().filter(|it| {
                it.finding.severity == Severity::Stop || it.cause == Cause::Instrument
            });
            let id = &line.worker;
            all.extend(told.map(|it| format!("{id}: {}; {}", it.finding.what, it.ends)));
        }
    }
    Ok(all)
}

fn line(
    house: &OpenHouse<'_>,
    rule_set: &RuleSet,
    (held, events): (&[HeldLine], &InEvents),
    worker: RecordId,
    on: Day,
    now: Instant,
) -> Result<WorkStatusLine, AnswerError> {
    let facts = house.facts(worker)?;
    let year = rule_set.year_start.year(rule_set.year_start.year_of(on));
    let seen = seen(house, on, now);
    let wide = Span {
        first: year.first,
        last: seen,
    };
    let needed = house.span_needed(rule_set, facts, wide, on);
    let history = house.history(worker, events.reach(worker, needed))?;
    let index = DoseIndex::build(&history)?;
    let (mut levels, standings) = level_lines(house, rule_set, &history.facts, &index, on)?;
    let badges = house.snapshot.badges(Some(worker), needed.first, seen)?;
    let duties = duties_of(house, &history, on)?;
    let duty_lines = duties.iter().map(duty_line).collect();
    let items = instruments(house, rule_set, &history, on)?;
    let keeps_badges = !house.snapshot.badges(None, needed.first, seen)?.is_empty();
    let asked = WorkStatusFacts {
        day_is_over: end_of(house, on) <= now,
        needs_badge: !badges.is_empty() || keeps_badges && works(&history, on),
        instruments: items.assigned,
        duties,
        held: held_of(house, held, worker, on),
        over_shift_level: over_shift_level(house, rule_set, &history)?,
        in_events: events.of(worker).to_vec(),
        clocks: badge_clocks(house, &history, &badges, (seen, now))?,
    };
    // What is left of a clock on an earlier day is what was left at its end.
    let at = end_of(house, on).min(now);
    let mut found = WorkStatus::of(&history, &standings, &asked, rule_set, on, at)?;
    if seen > on {
        let (later, standings) = level_lines(house, rule_set, &history.facts, &index, seen)?;
        levels.extend(later);
        found.add(WorkStatus::of(
            &history, &standings, &asked, rule_set, seen, at,
        )?);
    }
    let nearest = nearest(&levels).filter(|_| is_known(&found)).cloned();
    let gone = gone(house, worker)?;
    let lost = lost_finding(rule_set, &facts.id, &gone).map(lost_reason);
    let mut not_known = items.not_known;
    not_known.extend((!asked.needs_badge).then(|| no_badge(keeps_badges)));
    not_known.extend(unknown_age(rule_set, facts));
    let running = || found.clocks.iter().filter(|it| it.done.is_none());
    Ok(WorkStatusLine {
        worker: facts.id.clone(),
        name: facts.name.clone(),
        may_work: found.may_work(),
        clocks: running().map(ToString::to_string).collect(),
        overdue: running()
            .filter(|it| it.left_minutes < 0)
            .map(ToString::to_string)
            .collect(),
        reasons: found.reasons.into_iter().map(reason).chain(lost).collect(),
        not_known,
        gone,
        nearest,
        duties: duty_lines,
        levels,
    })
}

/// What is not known of the badge of somebody of whom none is asked for: whoever was never given
/// one and does not work at sources, and anybody while the ledger keeps none.
fn no_badge(keeps_badges: bool) -> String {
    match keeps_badges {
        true => "whether a badge is worn: none was issued to them",
        false => "whether a badge is worn: none is on record (wearbook badge issue)",
    }
    .to_owned()
}

/// Whether a person works at sources, by the role or by a sheet: then a badge is asked for.
fn works(history: &History, on: Day) -> bool {
    let acts = matches!(
        history.facts.role_on(on),
        Some(Role::Radiographer | Role::Assistant | Role::Trainee)
    );
    acts || history.shifts.iter().any(|it| it.day <= on)
}

fn lost_reason(finding: Finding) -> ReasonLine {
    ReasonLine {
        ends: "ends as the RSO says",
        cause: Cause::Undetermined,
        finding,
    }
}

/// Whether every dose is known: of one that nobody knows no allowance can be told.
fn is_known(found: &WorkStatus) -> bool {
    found.reasons.iter().all(|it| it.cause > Cause::LostBadge)
}

/// What a rule set with ages cannot judge.
fn unknown_age(rule_set: &RuleSet, facts: &WorkerFacts) -> Option<String> {
    let asks = rule_set.tolerance("exposed-from-age").is_some();
    (asks && facts.birth_date.is_none()).then(|| "the age: no birth date on record".to_owned())
}

/// The last day that is looked at: today is longer where a job lies east of the office, and its
/// sheets are seen too.
fn seen(house: &House, on: Day, now: Instant) -> Day {
    match on == house.today(now) {
        true => house.names.newest_day(now).max(on),
        false => on,
    }
}

fn reason(it: Reason) -> ReasonLine {
    ReasonLine {
        ends: it.cause.ends(),
        cause: it.cause,
        finding: it.finding,
    }
}

fn duty_line(it: &Held) -> DutyLine {
    DutyLine {
        what: it.duty.name().to_owned(),
        in_force: it.in_force(),
        required: it.state != DutyState::NotRequired,
        until: it.due(),
        words: it.words.clone(),
        citation: match it.status {
            Status::Read => it.citation.clone(),
            Status::ToBeConfirmed => format!("{} (to be confirmed)", it.citation),
        },
    }
}

/// What of a person is on hold, of records up to a day.
fn held_of(house: &House, held: &[HeldLine], worker: RecordId, on: Day) -> Vec<HeldItem> {
    let id = house.names.label(worker);
    let mine = held
        .iter()
        .filter(|it| it.about_dose && it.day <= on && it.person.as_deref() == Some(id.as_str()));
    mine.map(|it| HeldItem {
        entry: it.entry,
        words: format!("{}: {}", it.of, it.about),
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reason(cause: Cause, private: bool) -> ReasonLine {
        ReasonLine {
            finding: Finding {
                severity: cause.severity(),
                check: format!("{cause:?}"),
                subject: "W07".to_owned(),
                what: format!("deep 500 mrem, {cause:?}"),
                rule: "a rule".to_owned(),
                citation: "its place".to_owned(),
                status: Status::Read,
                remedy: "do this".to_owned(),
                entries: Vec::new(),
                private,
            },
            ends: cause.ends(),
            cause,
        }
    }

    fn said(it: &ReasonLine) -> String {
        let found = &it.finding;
        format!(
            "{} {} {} {} {}",
            found.key(),
            found.what,
            found.rule,
            found.remedy,
            it.ends
        )
    }

    /// A declared pregnancy stops in a limit's words; what the crew can put right is told.
    #[test]
    fn every_reason_of_which_the_rso_alone_says_more_has_the_same_words() {
        let private = said(&reason(Cause::Limit, true).masked());
        assert!(private.contains("may not: see RSO"), "{private}");
        for (cause, is_same) in [
            (Cause::Limit, true),
            (Cause::AdministrativeLevel, true),
            (Cause::Undetermined, true),
            (Cause::Age, true),
            (Cause::OffScale, false),
            (Cause::LostBadge, false),
            (Cause::NoBadge, false),
            (Cause::Qualification, false),
        ] {
            let words = said(&reason(cause, false).masked());
            assert_eq!(words == private, is_same, "{cause:?}: {words}");
        }
    }

    /// One who has both reads no longer than one who has either.
    #[test]
    fn two_such_reasons_are_one_line() {
        let line = |causes: &[(Cause, bool)]| {
            let reasons = causes
                .iter()
                .map(|(cause, private)| reason(*cause, *private));
            let line = WorkStatusLine {
                worker: "W07".to_owned(),
                name: String::new(),
                may_work: false,
                reasons: reasons.collect(),
                not_known: Vec::new(),
                gone: Vec::new(),
                clocks: Vec::new(),
                overdue: Vec::new(),
                nearest: None,
                duties: Vec::new(),
                levels: Vec::new(),
            };
            masked(line).reasons.iter().map(said).collect::<Vec<_>>()
        };
        let both = line(&[
            (Cause::Age, false),
            (Cause::Limit, false),
            (Cause::Limit, true),
        ]);
        assert_eq!(both, line(&[(Cause::Limit, true)]));
        let beside = line(&[(Cause::Limit, true), (Cause::NoBadge, false)]);
        assert_eq!(beside.len(), 2, "{beside:?}");
    }
}
