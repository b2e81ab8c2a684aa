//! `wearbook worker ...`, `job`, `instrument`, `equipment`, `badge`, `determination`: the
//! registers, each from its table of columns.

use std::path::PathBuf;

use clap::{ArgMatches, FromArgMatches};

use crate::answer::register_of;
use crate::cli::frame::failure::Failure;
use crate::cli::frame::flags::{OnArg, ShowArgs, WriteArgs, text_of};
use crate::cli::frame::session::Session;
use crate::cli::frame::table::previewed;
use crate::intake::{REGISTERS, Register, Rows, TableFile, take_register};
use crate::show::register_report;

pub(crate) fn run(
    session: &mut Session<'_>,
    noun: &str,
    verbs: &ArgMatches,
) -> Result<(), Failure> {
    let Some((verb, matches)) = verbs.subcommand() else {
        return Ok(());
    };
    if verb == "list" {
        return list(session, noun, matches);
    }
    let register = REGISTERS
        .iter()
        .find(|it| it.noun == noun && (it.add == verb || it.import == verb))
        .ok_or_else(|| Failure::internal(format!("no register `{noun} {verb}`")))?;
    if verb == register.add {
        let values = register
            .names
            .iter()
            .map(|name| text_of(matches, name).unwrap_or_default())
            .collect();
        return take(session, register, Rows::Typed(values), matches);
    }
    if matches.get_flag("template") {
        return session
            .output
            .raw(&format!("{}\n", register.names.join(",")));
    }
    let file = matches
        .get_one::<PathBuf>("file")
        .cloned()
        .unwrap_or_default();
    let said = session.said.clone();
    let file = TableFile {
        path: &file,
        said: &said,
    };
    if previewed(session, &file, register.names, &register.needed())? {
        return Ok(());
    }
    take(session, register, Rows::File(file), matches)
}

fn take(
    session: &mut Session<'_>,
    register: &Register,
    rows: Rows<'_>,
    matches: &ArgMatches,
) -> Result<(), Failure> {
    let dry_run = matches.get_flag("dry_run");
    let by = text_of(matches, "written_by");
    let write = WriteArgs { by, dry_run };
    session.take(&write, |writer, now| {
        take_register(writer, now, register, rows)
    })
}

fn list(session: &mut Session<'_>, noun: &str, matches: &ArgMatches) -> Result<(), Failure> {
    let show = ShowArgs::from_arg_matches(matches)?;
    let on = OnArg::from_arg_matches(matches)?;
    let answer = session.ask_on(&on, |house, on| register_of(house, noun, on))?;
    session.answer(&show, &format!("{noun} list"), &answer, register_report)
}
