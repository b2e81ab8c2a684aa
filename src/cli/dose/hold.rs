//! `wearbook hold ...`

use clap::{Args, Subcommand};

use crate::answer::held;
use crate::cli::frame::failure::Failure;
use crate::cli::frame::flags::{OnArg, ShowArgs, WriteArgs};
use crate::cli::frame::session::Session;
use crate::intake::{name_held, rule_on};
use crate::record::Outcome;
use crate::show::held_report;

#[derive(Debug, Subcommand)]
pub(crate) enum HoldVerb {
    /// List what is on hold
    ///
    /// Example: wearbook hold list
    List {
        #[command(flatten)]
        on: OnArg,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// Decide on an item on hold, or say who or what was meant
    ///
    /// Example: wearbook hold resolve 118.1 --is PD-03 --reason "a slip of the pen"
    Resolve(ResolveArgs),
}

#[derive(Debug, Args)]
pub(crate) struct ResolveArgs {
    /// The item, as `wearbook hold list` prints it
    item: String,
    /// It counts as it stands
    #[arg(long, conflicts_with_all = ["does_not_count", "is"])]
    counts: bool,
    /// It does not count
    #[arg(long, conflicts_with = "is")]
    does_not_count: bool,
    /// The id of the worker, dosimeter, job or item of equipment that was meant
    #[arg(long, value_name = "ID")]
    is: Option<String>,
    /// Why
    #[arg(long)]
    reason: String,
    #[command(flatten)]
    write: WriteArgs,
}

pub(crate) fn run(session: &mut Session<'_>, verb: HoldVerb) -> Result<(), Failure> {
    match verb {
        HoldVerb::List { on, show } => {
            let answer = session.ask_until(None, on.day()?, held)?;
            session.answer(&show, "hold list", &answer, held_report)
        }
        HoldVerb::Resolve(args) => resolve(session, args),
    }
}

fn resolve(session: &mut Session<'_>, args: ResolveArgs) -> Result<(), Failure> {
    let ResolveArgs {
        item,
        reason,
        write,
        ..
    } = args;
    let at = read_item(&item)?;
    match (args.counts, args.does_not_count, args.is) {
        (true, _, _) => session.take(&write, |writer, _| {
            rule_on(writer, at, Outcome::Counts, &reason)
        }),
        (_, true, _) => session.take(&write, |writer, _| {
            rule_on(writer, at, Outcome::DoesNotCount, &reason)
        }),
        (_, _, Some(id)) => session.take(&write, |writer, _| name_held(writer, at, &id, &reason)),
        _ => {
            // A ledger that cannot be opened is told first.
            session.open()?;
            Err(Failure::Refused {
                what: format!("nothing is said about item {item}"),
                hint: "one of --counts, --does-not-count, --is ID".to_owned(),
            })
        }
    }
}

fn read_item(item: &str) -> Result<(i64, i64), Failure> {
    let parts = item.split_once('.');
    let read = parts.and_then(|(entry, place)| Some((entry.parse().ok()?, place.parse().ok()?)));
    read.ok_or_else(|| Failure::Refused {
        what: format!("`{item}` is not an item on hold"),
        hint: "as `wearbook hold list` prints it, such as 118.1".to_owned(),
    })
}
