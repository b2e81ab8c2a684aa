//! Under whose authority the license is and under whose a job is, and the rule sets as they hold
//! for each. Doses, badges, records and calibration hang on the license; calls, reports, papers and
//! what a crew does at a job hang on the job.

use super::error::AnswerError;
use super::load::House;
use crate::answer::entry::adopted::{in_force, in_force_with_entry, newest};
use crate::calendar::Day;
use crate::record::{Job, Sheet};
use crate::rule::{Authority, Checklist, RuleSet};

impl House {
    /// The rule set in force on a day as it is written: for what happens where another authority's
    /// numbers hold.
    pub(crate) fn written_on(&self, day: Day) -> Result<&RuleSet, AnswerError> {
        in_force(&self.written, day).ok_or(AnswerError::NoRuleSet { day })
    }

    /// The rule set in force on a day as it holds at a job; nothing where that is under the
    /// authority of the license, or under none that the rule set knows.
    fn elsewhere(&self, job: Option<&Job>, day: Day) -> Option<&RuleSet> {
        let (entry, written) = in_force_with_entry(&self.written, day)?;
        let held = self.at_jobs.get(&(entry, job?.jurisdiction.clone()))?;
        Some(held.as_deref().unwrap_or(written))
    }

    /// By which rules something is judged that happened at a job: those that hold there.
    pub fn rule_set_at(&self, job: Option<&Job>, day: Day) -> Result<&RuleSet, AnswerError> {
        match self.elsewhere(job, day) {
            Some(rule_set) => Ok(rule_set),
            None => self.rule_set_on(day),
        }
    }

    /// The day of whose rules something of an earlier day is judged: of what was before the first
    /// rule set that the ledger has, the first day of that one. Nobody was free of duties before
    /// somebody adopted a file.
    pub(crate) fn judged_on(&self, day: Day) -> Day {
        let first = self.written.iter().map(|it| it.0).min();
        first.map_or(day, |first| day.max(first))
    }

    /// The rules by which an event of a day is judged, of the license.
    pub fn judging(&self, day: Day) -> Result<&RuleSet, AnswerError> {
        self.rule_set_on(self.judged_on(day))
    }

    /// That an event is judged by rules which were adopted for later days alone, in words.
    pub(crate) fn judged_by_later(&self, day: Day) -> Option<String> {
        let first = self.judged_on(day);
        let key = in_force(&self.written, first).map(|it| &it.key)?;
        (first > day).then(|| {
            format!(
                "no rule set was in force here on {day}: the earliest that the ledger has is \
                 taken, {key} from {first} on; what held before is to be confirmed"
            )
        })
    }

    /// The same of a sheet.
    pub(crate) fn rule_set_of_sheet(&self, sheet: &Sheet) -> Result<&RuleSet, AnswerError> {
        let job = sheet.job.known();
        let job = job.and_then(|it| self.names.job_body(it.number()));
        self.rule_set_at(job, sheet.day)
    }

    /// By which duties of a rule set an event at a job is told: as they are written, with the
    /// authority to number them.
    pub fn duties_at(&self, job: Option<&Job>, day: Day) -> Result<&RuleSet, AnswerError> {
        let day = self.judged_on(day);
        match self.elsewhere(job, day) {
            Some(rule_set) => Ok(rule_set),
            None => self.written_on(day),
        }
    }

    /// Whose license it is, as a job would name it; nothing where nobody says.
    pub(crate) fn license_under(&self, day: Day) -> Option<&str> {
        let by_rule_set = || in_force(&self.written, day)?.jurisdiction();
        let own = self.names.charter.jurisdiction.as_deref();
        own.or_else(by_rule_set)
    }

    /// The authority of the license, where the rule set names any.
    pub(crate) fn authority(&self, day: Day) -> Option<Authority> {
        let rule_set = in_force(&self.written, day)?;
        rule_set.authority(self.license_under(day)?)
    }

    /// Since when this ledger can be asked for what a rule set asks for up to a day: since the rule
    /// sets ask for it without a break, and since the ledger began or, where somebody wrote such
    /// things down of days before, since the first of them.
    pub(crate) fn asked_from(
        &self,
        on: Day,
        first: Option<Day>,
        asks: impl Fn(&RuleSet) -> bool,
    ) -> Option<Day> {
        let days = self.written.iter().map(|it| it.0);
        let mut days: Vec<Day> = days.filter(|day| *day <= on).collect();
        days.sort_unstable();
        let mut from = None;
        for day in days {
            match self.rule_set_on(day) {
                Ok(rule_set) if asks(rule_set) => from = from.or(Some(day)),
                _ => from = None,
            }
        }
        let began = self.began.into_iter().chain(first).min();
        Some(from?.max(began.unwrap_or(Day::MIN)))
    }

    /// A checklist in the words of the license: its bases as the authority numbers them and
    /// without the laws of others, its rates in the unit of the ledger.
    pub fn tell_list(&self, list: &mut Checklist, day: Day) {
        if let (Some(authority), Some(rule_set)) =
            (self.authority(day), in_force(&self.written, day))
        {
            let say = rule_set.as_said_by(&authority);
            list.confirm = say(&list.confirm);
            for item in &mut list.items {
                item.basis = authority.cite(rule_set.root(), &item.basis);
                let texts = [&mut item.how, &mut item.good];
                for text in texts.into_iter().chain(&mut item.caution) {
                    *text = say(text);
                }
            }
        }
        if let Some(rule_set) = in_force(&self.written, day).or(newest(&self.written)) {
            list.tell(&rule_set.other_laws(), self.unit());
        }
    }
}
