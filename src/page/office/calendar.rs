//! What falls due, for calendar programs: they do not sign in, and bring a secret in the address
//! instead. It is 256 bits at random, so that guessing needs no other bound.

use crate::answer::due_ahead;
use crate::intake::IntakeError;
use crate::ledger::{CalendarDoor, KnownAt, Ledger};
use crate::page::shell::desk::Desk;
use crate::page::shell::guard::secret;
use crate::show::due_calendar;

/// Days ahead.
const AHEAD: u32 = 400;

/// The type of what is sent.
pub const TYPE: &str = "text/calendar; charset=utf-8";

/// A secret for a new address.
///
/// # Errors
/// A system that has nothing at random.
pub fn calendar_secret() -> Result<String, getrandom::Error> {
    Ok(secret()? + &secret()?)
}

/// What an address opens: the calendar, or status and sentence.
pub fn calendar(
    desk: &Desk,
    name: &str,
) -> Result<Result<String, (u16, &'static str)>, IntakeError> {
    let secret = name.strip_suffix(".ics").unwrap_or(name);
    let ledger = Ledger::open(&desk.ledger)?;
    Ok(
        match ledger.read(KnownAt::Now, |it| it.calendar_door(secret))? {
            CalendarDoor::Unknown => Err((404, "No calendar has this address.")),
            CalendarDoor::Withdrawn => Err((
                410,
                "This calendar was withdrawn. Ask the RSO for another address.",
            )),
            CalendarDoor::Open => {
                let now = desk.commands.now();
                let all = desk.read(|house| due_ahead(house, (house.today(now), AHEAD), now))?;
                Ok(due_calendar(&all, now))
            }
        },
    )
}
