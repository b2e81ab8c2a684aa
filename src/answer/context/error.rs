//! Why a question has no answer.

use super::sought::NoSuchName;
use crate::calendar::Day;
use crate::ledger::LedgerError;
use crate::quantity::Overflow;

/// Why a question has no answer.
#[derive(Debug, thiserror::Error)]
pub enum AnswerError {
    /// The ledger fails.
    #[error(transparent)]
    Ledger(#[from] LedgerError),
    /// A name leads nowhere.
    #[error(transparent)]
    NoSuchName(#[from] NoSuchName),
    /// The forecast cannot be computed.
    #[error("no forecast: {0}")]
    Forecast(String),
    /// The doses do not fit the store.
    #[error("a sum of doses is larger than the store can hold")]
    Overflow(#[from] Overflow),
    /// The adopted rule set cannot be read.
    #[error("entry {entry}: the rule set `{name}` cannot be read: {detail}")]
    RuleSet {
        /// The entry of the adoption.
        entry: i64,
        /// The rule set.
        name: String,
        /// The first problem.
        detail: String,
    },
    /// The adopted checklist cannot be read.
    #[error("entry {entry}: the checklist `{name}` cannot be read: {detail}")]
    Checklist {
        /// The entry of the adoption.
        entry: i64,
        /// The list.
        name: String,
        /// The first problem.
        detail: String,
    },
    /// What is asked for has not begun.
    #[error("{what} has not begun: today is {today}")]
    NotYet {
        /// What is asked for.
        what: String,
        /// Today.
        today: Day,
    },
    /// What is asked for is of a later day than the one for which it is asked.
    #[error("{what} is of {day}, later than {on}")]
    OfLaterDay {
        /// What is asked for.
        what: String,
        /// Its day.
        day: Day,
        /// The day that was asked for.
        on: Day,
    },
    /// A day that is not of the month or year that is asked for, or has not come.
    #[error("{on} is no day of {what} up to today, {today}")]
    NotOfPeriod {
        /// The month or year.
        what: String,
        /// The day that was asked for.
        on: Day,
        /// Today.
        today: Day,
    },
    /// Somebody who was not monitored in a year.
    #[error("{worker} was not monitored in {year}")]
    NotMonitoredIn {
        /// The worker's id.
        worker: String,
        /// The licensee's year.
        year: i32,
    },
    /// What is asked for ended before the ledger began.
    #[error("{what} was over before this ledger began on {day}")]
    BeforeCharter {
        /// What is asked for.
        what: String,
        /// The day of the charter.
        day: Day,
    },
    /// The code of a printed form leads to none.
    #[error(transparent)]
    Form(#[from] crate::answer::entry::form_fault::FormFault),
    /// No checklist is in force on that day.
    #[error("no checklist is in force on {day}")]
    NoChecklist {
        /// The day.
        day: Day,
    },
    /// An item is asked for its wear and nobody gave its figures.
    #[error("`{}` of `{}` is inactive: its limit has not been given", .0.line, .0.equipment)]
    Inactive(Box<crate::answer::equipment::inactive_item::InactiveItem>),
    /// Days that are asked for lie in more than one year.
    #[error("the days from {first} reach over the end of their year, {last}")]
    OverYears {
        /// The first day.
        first: Day,
        /// The last day of its year.
        last: Day,
    },
    /// A time that the clocks of the zone went over twice, or not at all.
    #[error("`{time}` is {} in {zone}", if *.never { "no time" } else { "two times" })]
    NotOneMoment {
        /// The time as written.
        time: String,
        /// The zone.
        zone: String,
        /// The clocks went forward over it.
        never: bool,
    },
    /// Figures that cannot be meant.
    #[error("{} figures cannot be meant", .0.len())]
    Unlikely(Vec<crate::dose::reconstruct::Slip>),
    /// No rule set is in force on that day.
    #[error("no rule set is in force on {day}")]
    NoRuleSet {
        /// The day.
        day: Day,
    },
}
