//! On which days somebody was with a source of category 2, alone or beside somebody who led, or
//! carried one: on these hang the approval for unescorted access and the hazmat training.

use std::collections::HashMap;

use chrono::Months;

use crate::answer::context::error::AnswerError;
use crate::answer::context::load::{House, OpenHouse};
use crate::answer::equipment::category::of_sources;
use crate::calendar::Day;
use crate::ledger::Handled;
use crate::record::{RecordId, Setting};

/// The keys of the intervals, which are those of the rules too.
pub(crate) const ACCESS: &str = "access-reinvestigation";
pub(crate) const HAZMAT: &str = "hazmat-training";

/// For how long a person counts as somebody who does such work.
const MONTHS: Months = Months::new(12);

/// One person's days.
#[derive(Debug, Default)]
pub(crate) struct Handling {
    /// Under nobody's eyes.
    access: Vec<Day>,
    /// Under the eyes of somebody who led.
    beside: Vec<Day>,
    hazmat: Vec<Day>,
}

impl Handling {
    /// The days up to one, from the first on which they are asked about.
    pub fn load(
        house: &OpenHouse<'_>,
        worker: RecordId,
        until: Day,
    ) -> Result<Handling, AnswerError> {
        let asked = |key: &str| {
            house.asked_from(until, None, |it| {
                it.has_categories() && it.interval(key).is_some()
            })
        };
        let (access, hazmat) = (asked(ACCESS), asked(HAZMAT));
        let mut handling = Handling::default();
        let Some(first) = access.into_iter().chain(hazmat).min() else {
            return Ok(handling);
        };
        let mut sources = Sources::default();
        let all = house.snapshot.handled(worker, until)?.into_iter();
        for it in all.filter(|it| it.day >= first) {
            if !sources.is_two(house, &it)? {
                continue;
            }
            if access.is_some_and(|from| from <= it.day) {
                match it.is_alone {
                    true => handling.access.push(it.day),
                    false => handling.beside.push(it.day),
                }
            }
            if may_have_driven(house, &it) && hazmat.is_some_and(|from| from <= it.day) {
                handling.hazmat.push(it.day);
            }
        }
        Ok(handling)
    }

    /// Whether the approval is asked for on a day.
    pub fn needs_access(&self, on: Day) -> bool {
        within(&self.access, on) || self.is_beside(on)
    }

    /// Whether all that is on record is work under the eyes of somebody who led.
    pub fn is_beside(&self, on: Day) -> bool {
        within(&self.beside, on) && !within(&self.access, on)
    }

    /// Whether the training is asked for on a day.
    pub fn needs_hazmat(&self, on: Day) -> bool {
        within(&self.hazmat, on)
    }
}

fn within(days: &[Day], on: Day) -> bool {
    let first = on.checked_sub_months(MONTHS).unwrap_or(on);
    days.iter().any(|day| first <= *day && *day <= on)
}

/// A sheet of a temporary jobsite does not say who drove: whoever led the crew may have.
fn may_have_driven(house: &House, it: &Handled) -> bool {
    let job = it.job.and_then(|job| house.names.job_body(job));
    let is_away = job.is_some_and(|it| it.setting == Setting::Temporary);
    it.is_transport || it.leads && is_away
}

/// Of each source the day on which it was first asked about, and from which on it is below
/// category 2: it only gets weaker.
#[derive(Default)]
struct Sources {
    known: HashMap<RecordId, Option<(bool, Option<Day>)>>,
}

impl Sources {
    /// Whether the source of a shift was of category 2 or more that day. Of a device of which
    /// nobody wrote which source it held nothing is said.
    fn is_two(&mut self, house: &House, it: &Handled) -> Result<bool, AnswerError> {
        let held = || Some(house.maintenance.source_in(it.device?, it.day)?.0);
        let Some(source) = it.source.or_else(held) else {
            return Ok(false);
        };
        let known = match self.known.get(&source) {
            Some(known) => *known,
            None => {
                let line = of_sources(house, &[source], "", it.day)?;
                let found = line.map(|it| (it.counts_as_two(), it.below_from));
                self.known.insert(source, found);
                found
            }
        };
        Ok(known.is_some_and(|(two, below)| two && below.is_none_or(|below| it.day < below)))
    }
}
