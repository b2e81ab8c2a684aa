//! `wearbook sheet start`: the start of a shift, by flags or at a terminal.

use super::ask::Asking;
use super::crew::{of_this_shift, standing};
use super::draft::begin;
use super::during::check_of;
use super::prompt::{LAST_TIME, Part, when};
use super::reading::people_at_start;
use super::row::{StartArgs, cell, person_row, put, row_of};
use super::settle::{Settled, is_written, settle_with};
use super::written::on_the_way;
use crate::answer::{House, StartAnswer, after_start, sheet_offer};
use crate::cli::frame::failure::Failure;
use crate::cli::frame::flags::mode;
use crate::cli::frame::session::Session;
use crate::intake::{PERSON_FIELDS, SHEET_COLUMNS, Taken, take_start};
use crate::ledger::Mode;
use crate::rule::{Finding, Severity};
use crate::show::{Report, stops_in_short, taken_report, with_start, written_after};

/// Records the start of a shift.
pub(crate) fn run(session: &mut Session<'_>, args: &StartArgs) -> Result<(), Failure> {
    let head = row_of(&args.head.cells());
    let by = args.write.by.as_deref();
    let dry_run = args.write.dry_run;
    let typed = head.iter().any(|value| !value.is_empty()) || !args.head.person.is_empty();
    if !typed {
        if !session.asks {
            return Err(Failure::Refused {
                what: "there is no terminal to ask at, and no flag was given".to_owned(),
                hint: "wearbook sheet start --help".to_owned(),
            });
        }
        session.speak(&args.language, by)?;
        return prompt(session, by, dry_run);
    }
    let rows = args.head.person.iter().map(|text| person_row(&head, text));
    let rows = rows.collect::<Result<Vec<_>, _>>()?;
    for column in PERSON_FIELDS.iter().filter(|it| !START_FIELDS.contains(it)) {
        if rows.iter().any(|row| !cell(row, column).is_empty()) {
            return Err(Failure::Flag {
                flag: "person",
                what: format!("`{column}` is no field of a start: it goes on the sheet"),
                right: person_fields(),
            });
        }
    }
    let rows = if rows.is_empty() { vec![head] } else { rows };
    let started = take(session, by, mode(dry_run), &rows)?;
    show(session, &started, dry_run)
}

/// What was taken, and what stands against it.
type Started = (Taken, Option<StartAnswer>);

fn show(
    session: &mut Session<'_>,
    (taken, answer): &Started,
    dry_run: bool,
) -> Result<(), Failure> {
    let report = taken_report(taken, dry_run);
    session.output.report(match answer {
        Some(answer) => with_start(report, answer),
        None => report,
    })
}

/// The fields of a sheet that a start has.
const START_FIELDS: &[&str] = &[
    "sheet",
    "day",
    "shift",
    "begins",
    "job",
    "work",
    "device",
    "source",
    "control_unit",
    "guide_tubes",
    "meter",
    "meter_checked",
    "note",
    "worker",
    "role",
    "dosimeter",
    "start",
    "ratemeter",
    "alarm_tested",
    "badge_worn",
    "badge",
    "recharged",
];

/// Those of a person, in words.
fn person_fields() -> String {
    let of_person = START_FIELDS.iter().filter(|it| PERSON_FIELDS.contains(it));
    let of_person: Vec<&str> = of_person.copied().collect();
    format!("fields {}", of_person.join(", "))
}

fn take(
    session: &mut Session<'_>,
    by: Option<&str>,
    mode: Mode,
    rows: &[Vec<String>],
) -> Result<Started, Failure> {
    session.write_as((by, mode), |writer, now| {
        let taken = take_start(writer, now, rows.to_vec())?;
        let snapshot = writer.snapshot()?;
        let house = House::load(&snapshot)?;
        let entry = taken.items.first().map(|it| it.written.entry());
        let answer = match entry {
            Some(entry) => after_start(&house.open(&snapshot), entry, now)?,
            None => None,
        };
        Ok((taken, answer))
    })
}

fn prompt(session: &mut Session<'_>, by: Option<&str>, dry_run: bool) -> Result<(), Failure> {
    let draft = begin(session, "start")?;
    let mut asking = Asking { session, draft };
    let mut stops = Vec::new();
    let done = start(&mut asking, by, dry_run, &mut stops);
    asking.end(done, dry_run, |_| Ok(stops))
}

fn start(
    asking: &mut Asking<'_, '_>,
    by: Option<&str>,
    dry_run: bool,
    stops: &mut Vec<Finding>,
) -> Result<(), Failure> {
    asking.session.output.tell(
        "The start of a shift: what is done now. Enter keeps what stands in [ ], - leaves a field \
         blank; nothing is written before you say yes at the end.",
    )?;
    let now = asking.session.clock.now();
    let offer = asking.session.ask(None, |house| sheet_offer(house, now))?;
    let standing = standing(asking, (&offer, LAST_TIME))?;
    let mut head = vec![String::new(); SHEET_COLUMNS.len()];
    for (column, value) in standing.cells() {
        put(&mut head, column, value);
    }
    when(asking, &mut head, &offer, &standing, Part::Start)?;
    of_this_shift(asking, &head, &standing)?;
    if !standing.meter.is_empty() {
        let checked = check_of(asking, &standing.meter)?;
        put(
            &mut head,
            "meter_checked",
            if checked { "yes" } else { "no" },
        );
    }
    let mut rows = Vec::new();
    people_at_start(asking, &head, &standing, &mut rows)?;
    settle_with(
        asking,
        &mut rows,
        START_FIELDS,
        |session, rows, settled| match settled {
            Settled::Shown => {
                let (_, answer) = take(session, by, Mode::Rehearse, rows)?;
                let Some(answer) = answer else {
                    return Ok(());
                };
                let all = answer.findings.iter();
                let all = all.filter(|it| it.severity == Severity::Stop);
                *stops = all.cloned().collect();
                on_the_way(session, stops);
                session.output.tell_stops(&answer.findings)?;
                let report = with_start(Report::new(""), &answer);
                session.output.talk_report(&stops_in_short(report, stops))
            }
            Settled::Yes => {
                let (taken, answer) = take(session, by, mode(dry_run), rows)?;
                let shown = answer.map(|it| with_start(Report::new(""), &it));
                let written = taken_report(&taken, dry_run);
                is_written(session, dry_run)?;
                session
                    .output
                    .report(written_after(shown.unwrap_or_default(), written))
            }
        },
    )
}
