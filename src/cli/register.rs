//! `wearbook worker ...`, `job`, `instrument`, `equipment`, `badge`, `determination`: the
//! registers, each from its table of columns.

use std::path::PathBuf;

use clap::{ArgMatches, FromArgMatches};

use super::args::ShowArgs;
use super::failure::Failure;
use super::run::{Session, form, mode, text_of};
use crate::answer::register_of;
use crate::intake::{REGISTERS, Register, Rows, take_register};
use crate::show::{register_report, taken_report};

/// Examples of verbs whose flags do not speak for themselves: noun, verb, what to type.
const EXAMPLES: &[(&str, &str, &str)] = &[
    (
        "instrument",
        "check",
        "wearbook instrument check --instrument PD-01 --on 2026-06-01 --sort \"response check\" \
         --result pass --by \"Ada Example\"",
    ),
    (
        "instrument",
        "service",
        "wearbook instrument service --instrument SM-01 --on 2026-05-19 --sort servicing \
         --what \"detector replaced\" --by \"Cal Lab\"",
    ),
    (
        "equipment",
        "fit",
        "wearbook equipment fit --equipment CU-2 --component \"drive cable\" \
         --fitted-on 2026-03-02 --by \"Ada Example\" --serial 771",
    ),
    (
        "equipment",
        "leak-test",
        "wearbook equipment leak-test --item S-7 --on 2026-05-12 --part source \
         --removable \"< 5 Bq\" --by \"Wipe Lab\" --certificate W-12",
    ),
    (
        "equipment",
        "inventory",
        "wearbook equipment inventory --on 2026-06-01 --by \"Ada Example\" --found \"D-2 S-7\"",
    ),
    (
        "equipment",
        "load",
        "wearbook equipment load --device D-2 --source S-7 --on 2026-05-20 --by \"Ada Example\"",
    ),
];

/// What to type, where a verb of a register has an example.
pub(super) fn example(noun: &str, verb: &str) -> Option<&'static str> {
    let found = EXAMPLES.iter().find(|it| it.0 == noun && it.1 == verb);
    found.map(|it| it.2)
}

pub(super) fn run(
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
    take(session, register, Rows::File(&file), matches)
}

fn take(
    session: &mut Session<'_>,
    register: &Register,
    rows: Rows<'_>,
    matches: &ArgMatches,
) -> Result<(), Failure> {
    let dry_run = matches.get_flag("dry_run");
    let mut ledger = session.open()?;
    let author = session.author(text_of(matches, "written_by").as_deref());
    let now = session.clock.now();
    let taken = take_register(&mut ledger, &author, now, mode(dry_run), register, rows)?;
    session.output.report(taken_report(&taken, dry_run))
}

fn list(session: &mut Session<'_>, noun: &str, matches: &ArgMatches) -> Result<(), Failure> {
    let show = ShowArgs::from_arg_matches(matches)?;
    let on = text_of(matches, "on")
        .map(|text| super::failure::day("on", &text))
        .transpose()?;
    let now = session.clock.now();
    let answer = session.ask(None, |snapshot, house| {
        register_of(
            snapshot,
            house,
            noun,
            on.unwrap_or_else(|| house.today(now)),
        )
    })?;
    session
        .output
        .answer(form(&show), &format!("{noun} list"), &answer, || {
            register_report(&answer)
        })
}
