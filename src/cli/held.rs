//! `wearbook held ...`

use clap::{Args, Subcommand};

use super::failure::Failure;
use super::flags::{ShowArgs, WriteArgs, form, mode};
use super::output::Form;
use super::session::Session;
use crate::answer::held;
use crate::intake::{name_held, rule_on};
use crate::record::Outcome;
use crate::show::{held_report, held_table, taken_report};

#[derive(Debug, Args)]
pub(super) struct HeldArgs {
    #[command(subcommand)]
    pub verb: Option<HeldVerb>,
    #[command(flatten)]
    pub show: ShowArgs,
}

#[derive(Debug, Subcommand)]
pub(super) enum HeldVerb {
    /// Rule on a held item, or say who or what was meant
    ///
    /// Example: wearbook held resolve 118.1 --is PD-03 --reason "a slip of the pen"
    Resolve {
        /// The item, as `wearbook held` prints it
        item: String,
        /// It counts as it stands
        #[arg(long, conflicts_with_all = ["does_not_count", "is"])]
        counts: bool,
        /// It does not count
        #[arg(long, conflicts_with = "is")]
        does_not_count: bool,
        /// The id of the worker, dosimeter, job or piece of equipment that was meant
        #[arg(long, value_name = "ID")]
        is: Option<String>,
        /// Why
        #[arg(long)]
        reason: String,
        #[command(flatten)]
        write: WriteArgs,
    },
}

pub(super) fn run(session: &mut Session<'_>, args: HeldArgs) -> Result<(), Failure> {
    let Some(HeldVerb::Resolve {
        item,
        counts,
        does_not_count,
        is,
        reason,
        write,
    }) = args.verb
    else {
        let answer = session.ask(None, held)?;
        let form = form(&args.show);
        return session.output.answer(form, "held", &answer, || match form {
            Form::Csv => held_table(&answer),
            _ => held_report(&answer),
        });
    };
    let (entry, place) = read_item(&item)?;
    let author = session.author(write.by.as_deref());
    let (now, mode) = (session.clock.now(), mode(write.dry_run));
    let mut ledger = session.open()?;
    let taken = match (counts, does_not_count, is) {
        (true, _, _) => rule_on(
            &mut ledger,
            &author,
            now,
            mode,
            (entry, place),
            Outcome::Counts,
            &reason,
        )?,
        (_, true, _) => {
            let outcome = Outcome::DoesNotCount;
            rule_on(
                &mut ledger,
                &author,
                now,
                mode,
                (entry, place),
                outcome,
                &reason,
            )?
        }
        (_, _, Some(id)) => name_held(
            &mut ledger,
            &author,
            now,
            mode,
            (entry, place),
            &id,
            &reason,
        )?,
        _ => {
            return Err(Failure::Refused {
                what: format!("nothing is said about held item {item}"),
                hint: "one of --counts, --does-not-count, --is ID".to_owned(),
            });
        }
    };
    session.output.report(taken_report(&taken, write.dry_run))
}

fn read_item(item: &str) -> Result<(i64, i64), Failure> {
    let parts = item.split_once('.');
    let read = parts.and_then(|(entry, place)| Some((entry.parse().ok()?, place.parse().ok()?)));
    read.ok_or_else(|| Failure::Refused {
        what: format!("`{item}` is not a held item"),
        hint: "as `wearbook held` prints it, such as 118.1".to_owned(),
    })
}
