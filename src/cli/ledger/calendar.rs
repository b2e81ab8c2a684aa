//! `wearbook ledger calendar`: addresses of the page that calendar programs may subscribe to.

use clap::Subcommand;

use crate::cli::frame::failure::Failure;
use crate::cli::frame::session::Session;
use crate::ledger::{CalendarDoor, KnownAt};
use crate::page::calendar_secret;
use crate::show::{Report, Table};
use crate::text::{bounded, one_line};

/// `wearbook ledger calendar ...`
#[derive(Debug, Subcommand)]
pub(crate) enum CalendarVerb {
    /// Make an address; its secret is shown once and kept nowhere
    ///
    /// Example: wearbook ledger calendar new --label "office"
    New {
        /// Whose calendar it is for, so that it can be told from others
        #[arg(long, value_name = "TEXT")]
        label: String,
        /// Your name [default: the system user]
        #[arg(long, env = "WEARBOOK_BY", value_name = "NAME")]
        by: Option<String>,
    },
    /// End an address: whoever has it is told that it was withdrawn
    ///
    /// Example: wearbook ledger calendar withdraw 1
    Withdraw {
        /// Its number
        #[arg(value_name = "NUMBER", allow_negative_numbers = true)]
        number: i64,
    },
    /// List the addresses, without their secrets
    ///
    /// Example: wearbook ledger calendar list
    List,
}

pub(crate) fn run(session: &mut Session<'_>, verb: CalendarVerb) -> Result<(), Failure> {
    match verb {
        CalendarVerb::New { label, by } => new(session, &label, by.as_deref()),
        CalendarVerb::Withdraw { number } => withdraw(session, number),
        CalendarVerb::List => list(session),
    }
}

fn new(session: &mut Session<'_>, label: &str, by: Option<&str>) -> Result<(), Failure> {
    let label = bounded(&one_line(label.trim()));
    if label.is_empty() {
        let right = "whose it is, such as --label \"office\"";
        return Err(Failure::flag("label", "it is blank", right));
    }
    let (now, by) = (session.clock.now(), session.author(by).name);
    let secret = calendar_secret().map_err(Failure::internal)?;
    let ledger = session.open()?;
    let number = ledger.add_calendar(&secret, (&by, &label), now)?;
    let Some(number) = number else {
        return Err(Failure::Refused {
            what: "there are 50 addresses already; none was made".to_owned(),
            hint: "withdraw one that nobody needs: wearbook ledger calendar list".to_owned(),
        });
    };
    let mut report = Report::new(format!("/calendar/{secret}.ics"));
    report.line(format!(
        "Calendar {number}, for {label}. Put it behind the address that `wearbook serve` prints, \
         up to the port, and let the calendar program subscribe to that."
    ));
    report.line(
        "It is shown this once. It opens what falls due and nothing else: no names, no doses.",
    );
    report.line(format!(
        "To end it: wearbook ledger calendar withdraw {number}"
    ));
    report.caution("Whoever has the address reads it without signing in: treat it as a password.");
    session.output.report(report)
}

fn withdraw(session: &mut Session<'_>, number: i64) -> Result<(), Failure> {
    let now = session.clock.now();
    let said = match session.open()?.withdraw_calendar(number, now)? {
        CalendarDoor::Open => format!("calendar {number} is withdrawn; its address opens nothing"),
        CalendarDoor::Withdrawn => format!("calendar {number} was withdrawn already"),
        CalendarDoor::Unknown => {
            return Err(Failure::Refused {
                what: format!("there is no calendar {number}"),
                hint: "to see what there is: wearbook ledger calendar list".to_owned(),
            });
        }
    };
    session.output.report(Report::new(said))
}

fn list(session: &mut Session<'_>) -> Result<(), Failure> {
    let ledger = session.open()?;
    let all = ledger.read(KnownAt::Now, |it| it.calendar_secrets())?;
    let mut report = Report::new(format!(
        "Calendars that may be subscribed to: {}",
        all.iter().filter(|it| it.withdrawn_at.is_none()).count()
    ));
    let mut table = Table::new(&["number", "for", "made", "by", "withdrawn"]);
    for it in all {
        let withdrawn = it.withdrawn_at.unwrap_or_default();
        table.row([
            it.number.to_string(),
            it.for_whom,
            it.made_at,
            it.made_by,
            withdrawn,
        ]);
    }
    if !table.rows.is_empty() {
        report.table(table);
    }
    session.output.report(report)
}
