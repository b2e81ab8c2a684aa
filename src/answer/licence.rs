//! Under whose authority the licence is and under whose a job is, and the rule sets as they hold
//! for each. Doses, badges, records and calibration hang on the licence; calls, reports, papers and
//! what a crew does at a job hang on the job.

use std::collections::HashMap;

use super::error::AnswerError;
use super::load::House;
use super::names::Names;
use crate::calendar::Day;
use crate::record::{Job, Sheet};
use crate::rule::{Authority, Checklist, Scheme};

/// The rule sets as they hold at jobs under another authority than the licence's, by the entry of
/// the adoption and the jurisdiction of the job; nothing where one holds as it is written.
pub(super) type AtJobs = HashMap<(i64, String), Option<Scheme>>;

/// What holds at every job that is not under the authority of the licence.
pub(super) fn at_jobs(written: &[(Day, i64, Scheme)], names: &Names) -> AtJobs {
    let mut all = AtJobs::new();
    for (_, entry, scheme) in written {
        let own = names.charter.jurisdiction.as_deref();
        let own = own.or(scheme.jurisdiction());
        let own = own.and_then(|it| scheme.authority(it));
        for body in names.jobs() {
            let place = (*entry, body.jurisdiction.clone());
            let Some(theirs) = scheme.authority(&body.jurisdiction) else {
                continue;
            };
            if own.as_ref().is_some_and(|it| it.is(&theirs)) || all.contains_key(&place) {
                continue;
            }
            let held = scheme.at_job(&body.jurisdiction);
            all.insert(place, held);
        }
    }
    all
}

impl House {
    /// The scheme in force on a day as it is written: for what happens where another authority's
    /// numbers hold.
    pub(super) fn written_on(&self, day: Day) -> Result<&Scheme, AnswerError> {
        in_force(&self.written, day).ok_or(AnswerError::NoScheme { day })
    }

    /// The scheme in force on a day as it holds at a job; nothing where that is under the authority
    /// of the licence, or under none that the scheme knows.
    fn elsewhere(&self, job: Option<&Job>, day: Day) -> Option<&Scheme> {
        let (entry, written) = in_force_with_entry(&self.written, day)?;
        let held = self.at_jobs.get(&(entry, job?.jurisdiction.clone()))?;
        Some(held.as_ref().unwrap_or(written))
    }

    /// By which rules something is judged that happened at a job: those that hold there.
    pub fn scheme_at(&self, job: Option<&Job>, day: Day) -> Result<&Scheme, AnswerError> {
        match self.elsewhere(job, day) {
            Some(scheme) => Ok(scheme),
            None => self.scheme_on(day),
        }
    }

    /// The same of a sheet.
    pub(super) fn scheme_of_sheet(&self, sheet: &Sheet) -> Result<&Scheme, AnswerError> {
        let job = sheet.job.known();
        let job = job.and_then(|it| self.names.job_body(it.number()));
        self.scheme_at(job, sheet.day)
    }

    /// By which duties of a scheme an event at a job is told: as they are written, with the
    /// authority to number them.
    pub(super) fn duties_at(&self, job: Option<&Job>, day: Day) -> Result<&Scheme, AnswerError> {
        match self.elsewhere(job, day) {
            Some(scheme) => Ok(scheme),
            None => self.written_on(day),
        }
    }

    /// Whose licence it is, as a job would name it; nothing where nobody says.
    pub(super) fn licence_under(&self, day: Day) -> Option<&str> {
        let by_scheme = || in_force(&self.written, day)?.jurisdiction();
        let own = self.names.charter.jurisdiction.as_deref();
        own.or_else(by_scheme)
    }

    /// The authority of the licence, where the scheme names any.
    pub(super) fn authority(&self, day: Day) -> Option<Authority> {
        let scheme = in_force(&self.written, day)?;
        scheme.authority(self.licence_under(day)?)
    }

    /// A checklist in the words of the licence: its bases as the authority numbers them and
    /// without the laws of others, its rates in the unit of the ledger.
    pub fn tell_list(&self, list: &mut Checklist, day: Day) {
        for item in &mut list.items {
            item.basis = self.cite(&item.basis, day);
        }
        if let Some(scheme) = in_force(&self.written, day).or(newest(&self.written)) {
            list.tell(&scheme.other_laws(), self.unit());
        }
    }

    /// A citation as the authority of a job numbers it.
    pub(super) fn cite_at(&self, job: &Job, citation: &str, day: Day) -> String {
        let written = in_force(&self.written, day);
        let authority = written.and_then(|it| it.authority(&job.jurisdiction));
        match (authority, written.map(Scheme::root)) {
            (Some(authority), Some(root)) => authority.cite(root, citation),
            _ => citation.to_owned(),
        }
    }

    /// A citation as the authority of the licence numbers it.
    pub(super) fn cite(&self, citation: &str, day: Day) -> String {
        let root = in_force(&self.written, day).map(Scheme::root);
        match (self.authority(day), root) {
            (Some(authority), Some(root)) => authority.cite(root, citation),
            _ => citation.to_owned(),
        }
    }
}

/// Each as it holds for a licensee of a jurisdiction; where none is said, of its own.
pub(super) fn under_licence(
    written: &[(Day, i64, Scheme)],
    jurisdiction: Option<&str>,
) -> Vec<(Day, i64, Scheme)> {
    let under = |(from, entry, scheme): &(Day, i64, Scheme)| {
        let own = jurisdiction.or(scheme.jurisdiction());
        let held = own.and_then(|own| scheme.under(own));
        (*from, *entry, held.unwrap_or_else(|| scheme.clone()))
    };
    written.iter().map(under).collect()
}

/// Of the schemes adopted from a day or earlier the latest; of two from the same day the one
/// that was written later.
pub(super) fn in_force(schemes: &[(Day, i64, Scheme)], day: Day) -> Option<&Scheme> {
    in_force_with_entry(schemes, day).map(|it| it.1)
}

/// The same with the entry of its adoption.
fn in_force_with_entry(schemes: &[(Day, i64, Scheme)], day: Day) -> Option<(i64, &Scheme)> {
    schemes
        .iter()
        .filter(|(from, _, _)| *from <= day)
        .max_by_key(|(from, entry, _)| (*from, *entry))
        .map(|(_, entry, scheme)| (*entry, scheme))
}

pub(super) fn newest(schemes: &[(Day, i64, Scheme)]) -> Option<&Scheme> {
    let newest = schemes.iter().max_by_key(|it| (it.0, it.1));
    newest.map(|it| &it.2)
}
