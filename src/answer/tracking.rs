//! The dated checks of sources and the reports about them that a rule set asks for: the survey on
//! receipt, the report of a transaction, the yearly reconciliation, the presence check. Each is
//! asked for from the first record of its sort on, so that a ledger in which nobody writes such
//! things down says nothing of them. Only names of pieces and days are told here.

use chrono::Datelike;

use super::category::{TOGETHER, kept_sources, of_sources};
use super::due::{DueLine, DueState};
use super::error::AnswerError;
use super::load::House;
use crate::calendar::{Day, Span, next_business_day};
use crate::dose::checks::rule_text;
use crate::ledger::Stored;
use crate::record::{RecordId, SourceCheck, SourceCheckSort as Sort};
use crate::rule::{Finding, Severity, Tolerance};

/// The keys of the tolerances, which are those of the rules too.
pub(super) const RECEIPT: &str = "package-survey";
pub(super) const REPORT: &str = "tracking-report";
pub(super) const RECONCILE: &str = "tracking-reconciliation";
pub(super) const PRESENCE: &str = "presence-check";

/// The records that say that the tracking system is kept.
const TRACKED: &[Sort] = &[
    Sort::ReceiptReport,
    Sort::TransferReport,
    Sort::Reconciliation,
];

/// One thing that is asked for once, done or not.
#[derive(Debug, Clone)]
pub(super) struct Asked {
    /// The piece, or all sources.
    pub item: String,
    pub key: &'static str,
    pub what: &'static str,
    /// What it follows: the receipt, the transfer, the last check.
    pub since: Day,
    /// The last day on which it is in time.
    pub due: Day,
    /// When it was done.
    pub done: Option<Day>,
    /// Since when it is asked for no more: the source has left or has decayed.
    pub ended: Option<Day>,
    /// By how many minutes a survey on the day came after the hours of the rule.
    pub minutes_late: Option<i64>,
    /// The entries that say so.
    pub entries: Vec<i64>,
}

impl Asked {
    /// Whether it is late on a day, or was late when it was done.
    pub fn is_late(&self, on: Day) -> bool {
        self.until(on) > self.due || self.minutes_late.is_some()
    }

    /// Until when it was not done, as known on a day.
    pub fn until(&self, on: Day) -> Day {
        self.done.or(self.ended).unwrap_or(on)
    }

    /// Whether it is still to be done.
    pub const fn is_open(&self) -> bool {
        self.done.is_none() && self.ended.is_none()
    }
}

/// The records of a ledger as far as these duties go.
struct Tracking<'a> {
    house: &'a House,
    on: Day,
}

/// Everything that is asked for by a day, done or not, by key and day.
pub(super) fn all_asked(house: &House, on: Day) -> Result<Vec<Asked>, AnswerError> {
    let tracking = Tracking { house, on };
    let mut all = tracking.receipts()?;
    all.extend(tracking.reports()?);
    all.extend(tracking.reconciliations()?);
    all.extend(tracking.presence()?);
    Ok(all)
}

impl Tracking<'_> {
    fn rule(&self, key: &str) -> Result<Option<&Tolerance>, AnswerError> {
        Ok(self.house.scheme_on(self.on)?.tolerance(key))
    }

    /// The records of some sorts up to the day, the earliest first.
    fn records(&self, sorts: &[Sort]) -> Vec<&Stored<SourceCheck>> {
        let all = self.house.upkeep.source_checks().iter();
        all.filter(|it| it.body.on <= self.on && sorts.contains(&it.body.sort))
            .collect()
    }

    /// The first record about a source from a day on.
    fn first_of<'r>(
        records: &[&'r Stored<SourceCheck>],
        source: RecordId,
        from: Day,
    ) -> Option<&'r Stored<SourceCheck>> {
        let mine = |it: &&&Stored<SourceCheck>| {
            it.body.on >= from && it.body.sources.contains(&source.into())
        };
        records.iter().find(mine).copied()
    }

    /// Sources with the day on which each came, of those that came from a day on.
    fn came(&self, from: Day) -> Vec<(RecordId, Day)> {
        let all = self.house.names.sources();
        let mut came: Vec<(RecordId, Day)> = all
            .filter_map(|(source, body)| Some((source, body.received_on?)))
            .filter(|(_, day)| from <= *day && *day <= self.on)
            .collect();
        came.sort_by_key(|(source, day)| (*day, *source));
        came
    }

    /// Whether a source alone is tracked by its category on a day; what is not known is.
    fn is_tracked(&self, source: RecordId, day: Day) -> Result<bool, AnswerError> {
        let line = of_sources(self.house, &[source], "", day)?;
        Ok(line.is_some_and(|it| it.counts_as_two()))
    }

    fn receipts(&self) -> Result<Vec<Asked>, AnswerError> {
        let records = self.records(&[Sort::ReceiptSurvey, Sort::Lodged]);
        let (Some(rule), Some(first)) = (self.rule(RECEIPT)?, records.first()) else {
            return Ok(Vec::new());
        };
        let hours = rule.hours().unwrap_or_default();
        let asked = self.came(first.body.on).into_iter().map(|(source, day)| {
            let done = Self::first_of(&records, source, day);
            let over = done
                .and_then(|it| it.body.minutes())
                .map(|it| it - hours * 60);
            Asked {
                item: self.house.names.label(source),
                key: RECEIPT,
                what: "receipt survey",
                since: day,
                due: day,
                done: done.map(|it| it.body.on),
                ended: None,
                minutes_late: over.filter(|it| *it > 0),
                entries: done.map(|it| it.entry).into_iter().collect(),
            }
        });
        Ok(asked.collect())
    }

    fn reports(&self) -> Result<Vec<Asked>, AnswerError> {
        let records = self.records(TRACKED);
        let (Some(_), Some(first)) = (self.rule(REPORT)?, records.first()) else {
            return Ok(Vec::new());
        };
        let from = first.body.on;
        let came = self.came(from).into_iter();
        let mut all: Vec<(RecordId, Day, Sort, &'static str)> = came
            .map(|(source, day)| (source, day, Sort::ReceiptReport, "report of the receipt"))
            .collect();
        // A piece that is no source has no quantity, and is left out below.
        let left = self.house.upkeep.transfers().iter();
        all.extend(
            left.filter(|it| from <= it.body.on && it.body.on <= self.on)
                .map(|it| (it.body.item.number(), it.body.on))
                .filter(|it| self.house.names.sources().any(|(source, _)| source == it.0))
                .map(|(item, day)| (item, day, Sort::TransferReport, "report of the transfer")),
        );
        let mut asked = Vec::new();
        for (source, day, sort, what) in all {
            if !self.is_tracked(source, day)? {
                continue;
            }
            let of_sort = self.records(&[sort]);
            let done = Self::first_of(&of_sort, source, day);
            asked.push(Asked {
                item: self.house.names.label(source),
                key: REPORT,
                what,
                since: day,
                due: next_business_day(day),
                done: done.map(|it| it.body.on),
                ended: None,
                minutes_late: None,
                entries: done.map(|it| it.entry).into_iter().collect(),
            });
        }
        Ok(asked)
    }

    /// One for each January from the first record on, while a tracked source is kept.
    fn reconciliations(&self) -> Result<Vec<Asked>, AnswerError> {
        let records = self.records(TRACKED);
        let by = self.rule(RECONCILE)?.and_then(Tolerance::by_day);
        let (Some(by), Some(first)) = (by, records.first()) else {
            return Ok(Vec::new());
        };
        let done = self.records(&[Sort::Reconciliation]);
        let mut asked = Vec::new();
        for year in first.body.on.year()..=self.on.year().saturating_add(1) {
            let due = by.first_day(year);
            let january = Day::from_ymd_opt(year, 1, 1).unwrap_or(due);
            if due < first.body.on {
                continue;
            }
            let mut tracked = false;
            for source in kept_sources(self.house, due.min(self.on)) {
                tracked |= self.is_tracked(source, due.min(self.on))?;
            }
            if !tracked {
                continue;
            }
            let mine = |it: &&&Stored<SourceCheck>| it.body.on.year() == year;
            let mine = done.iter().find(mine);
            asked.push(Asked {
                item: "all sources".to_owned(),
                key: RECONCILE,
                what: "yearly reconciliation",
                since: january,
                due,
                done: mine.map(|it| it.body.on),
                ended: None,
                minutes_late: None,
                entries: mine.map(|it| it.entry).into_iter().collect(),
            });
        }
        Ok(asked)
    }

    /// From each check to the next, while all sources together are of category 2 or more.
    fn presence(&self) -> Result<Vec<Asked>, AnswerError> {
        let records = self.records(&[Sort::Presence]);
        let days = self.rule(PRESENCE)?.and_then(Tolerance::days);
        let days = days.and_then(|it| u64::try_from(it).ok());
        let (Some(days), Some(first)) = (days, records.first()) else {
            return Ok(Vec::new());
        };
        let mut asked = Vec::new();
        for (source, body) in self.house.names.sources() {
            let came = [body.received_on, body.in_service].into_iter().flatten();
            let came = came.min().unwrap_or(first.body.on).max(first.body.on);
            let mine = records
                .iter()
                .filter(|it| it.body.sources.contains(&source.into()));
            let mut times: Vec<(Day, Option<i64>)> = vec![(came, None)];
            times.extend(mine.map(|it| (it.body.on, Some(it.entry))));
            times.sort_unstable();
            for (at, (since, entry)) in times.iter().enumerate() {
                let Some(due) = since.checked_add_days(chrono::Days::new(days)) else {
                    continue;
                };
                let next = times.get(at + 1);
                if next.is_some_and(|it| it.0 <= due) {
                    continue;
                }
                // What has left or has decayed by the day on which it is due is not looked for.
                if !self.needs_presence(source, due.min(self.on))? {
                    continue;
                }
                let entries = [*entry, next.and_then(|it| it.1)];
                asked.push(Asked {
                    item: self.house.names.label(source),
                    key: PRESENCE,
                    what: "presence check",
                    since: *since,
                    due,
                    done: next.map(|it| it.0),
                    ended: self.ended(source, due, next.map(|it| it.0))?,
                    minutes_late: None,
                    entries: entries.into_iter().flatten().collect(),
                });
            }
        }
        Ok(asked)
    }

    /// The first day after `due` on which a check that was never made is asked for no more.
    fn ended(
        &self,
        source: RecordId,
        due: Day,
        next: Option<Day>,
    ) -> Result<Option<Day>, AnswerError> {
        if next.is_some() || due >= self.on || self.needs_presence(source, self.on)? {
            return Ok(None);
        }
        let (mut asked, mut over) = (due, self.on);
        while (over - asked).num_days() > 1 {
            let half = u64::try_from((over - asked).num_days() / 2).unwrap_or(1);
            let middle = asked
                .checked_add_days(chrono::Days::new(half))
                .unwrap_or(over);
            match self.needs_presence(source, middle)? {
                true => asked = middle,
                false => over = middle,
            }
        }
        Ok(Some(over))
    }

    fn needs_presence(&self, source: RecordId, day: Day) -> Result<bool, AnswerError> {
        let kept = kept_sources(self.house, day);
        let all = of_sources(self.house, &kept, TOGETHER, day)?;
        Ok(kept.contains(&source) && all.is_some_and(|it| it.counts_as_two()))
    }
}

/// What a rule set asks for and nothing is on record of, while the sources are of category 2 or
/// more: a ledger that keeps none must not look as if all were done.
pub(super) fn not_kept(house: &House, on: Day) -> Result<Vec<String>, AnswerError> {
    let tracking = Tracking { house, on };
    let all = of_sources(house, &kept_sources(house, on), TOGETHER, on)?;
    if !all.is_some_and(|it| it.counts_as_two()) {
        return Ok(Vec::new());
    }
    let sorts: [(&str, &str, &[Sort]); 3] = [
        (PRESENCE, "presence checks", &[Sort::Presence]),
        (
            RECEIPT,
            "surveys on receipt",
            &[Sort::ReceiptSurvey, Sort::Lodged],
        ),
        (REPORT, "reports to the tracking system", TRACKED),
    ];
    let mut missing = Vec::new();
    for (key, words, sorts) in sorts {
        if let Some(rule) = tracking.rule(key)?
            && tracking.records(sorts).is_empty()
        {
            missing.push(format!("{words} ({})", rule.cited()));
        }
    }
    Ok(missing)
}

/// What is still to be done on a day, as lines of what falls due.
pub(super) fn due_lines(house: &House, on: Day) -> Result<Vec<DueLine>, AnswerError> {
    let scheme = house.scheme_on(on)?;
    let open = all_asked(house, on)?.into_iter().filter(Asked::is_open);
    let lines = open.map(|it| {
        let (state, words) = match it.due < on {
            true => (DueState::Overdue, format!("overdue since {}", it.due)),
            false => {
                let days = (it.due - on).num_days();
                (
                    DueState::InTime,
                    format!("in {}", crate::text::counted(days, "day", "days")),
                )
            }
        };
        DueLine {
            item: it.item,
            sort: "source".to_owned(),
            key: it.key,
            what: it.what.to_owned(),
            // What a receipt or a transfer asks for was never done before.
            last: (it.key == PRESENCE).then_some(it.since),
            due: Some(it.due),
            state,
            words,
            rule: scheme
                .tolerance(it.key)
                .map(Tolerance::cited)
                .unwrap_or_default(),
        }
    });
    Ok(lines.collect())
}

const HARM: &str = "A source that is missing is missed late, and nobody can say since when.";

/// What was late in the days of a span, done since or not.
pub(super) fn findings(
    house: &House,
    (span, on): (Span, Day),
) -> Result<Vec<Finding>, AnswerError> {
    let scheme = house.scheme_on(on)?;
    let mut found = Vec::new();
    for it in all_asked(house, on)? {
        // The days on which it was missing must touch the span.
        let same_day = it.minutes_late.is_some();
        let begins = it.due < span.last || same_day && it.due <= span.last;
        if !it.is_late(on) || !begins || it.until(on) < span.first {
            continue;
        }
        let then = match (it.done, it.minutes_late) {
            (Some(day), Some(minutes)) => format!(
                "done on {day}, {} h {:02} min after the time that the rule gives",
                minutes / 60,
                minutes % 60
            ),
            (Some(day), None) => format!("done on {day}"),
            (None, _) => match it.ended {
                Some(day) => format!("not made before {day}, when it was asked for no more"),
                None => format!("not on record by {on}"),
            },
        };
        let of = match it.key {
            PRESENCE => format!("after that of {}", it.since),
            RECONCILE => format!("of January {}", it.since.year()),
            _ => format!("of {}", it.since),
        };
        let what = format!("{}: {} {of} due {}, {then}", it.item, it.what, it.due);
        let rule = rule_text(scheme, it.key, HARM);
        let subject = format!("{}/{}", it.item, it.since);
        found.push(Finding::new(
            Severity::Act,
            &rule,
            subject,
            what,
            it.entries,
        ));
    }
    Ok(found)
}
