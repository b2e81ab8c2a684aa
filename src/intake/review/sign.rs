//! The RSO's signature under a month.

use crate::answer::{House, figures_of, review};
use crate::calendar::Month;
use crate::intake::entry::authority;
use crate::intake::entry::fault::{Fault, Faults, IntakeError};
use crate::intake::entry::take::take_one;
use crate::intake::entry::taken::Taken;
use crate::ledger::{Instant, Writer};
use crate::record::{Body, Review};

/// Signs a month: what it shows now, with the entry count and head hash that it covers.
///
/// # Errors
/// Somebody without the role; open findings that say stop, or a second signature, without a
/// reason; a month that has not begun; tables that do not say what the entries say.
pub fn sign(
    writer: &mut Writer<'_>,
    now: Instant,
    month: Month,
    (by, reason): (&str, Option<&str>),
) -> Result<Taken, IntakeError> {
    // Before a name is put under figures: the tables must say what the entries say.
    writer.snapshot()?.prove(None)?;
    let house = House::load(&writer.snapshot()?)?;
    let (body, faults) = {
        let snapshot = writer.snapshot()?;
        let house = &house.open(&snapshot);
        let answer = review(house, month, (None, now))?;
        let reason = reason.filter(|it| !it.trim().is_empty());
        let body = Body::from(Review {
            by: house.names.worker(by)?,
            entries: answer.entries,
            figures: figures_of(house, month, answer.on)?,
            head: answer.head,
            month: answer.month.clone(),
            on: house.today(now),
            open_stops: answer.open_stops,
            program: env!("CARGO_PKG_VERSION").to_owned(),
            reason: reason.map(str::to_owned),
        });
        let mut faults = Faults::default();
        if let (Some(last), None) = (answer.signed.last(), reason) {
            let what = format!("is signed already, by {} on {}", last.by, last.on);
            let right = "--reason with why it is signed again";
            faults.push(Fault::new(None, "month", &answer.month, what, right));
        }
        let said = authority::problems(house.snapshot, &house.names, &body)?;
        for problem in said {
            faults.push(Fault::of_problem(None, problem));
        }
        (body, faults)
    };
    take_one(writer, &house.names, body, faults)
}
