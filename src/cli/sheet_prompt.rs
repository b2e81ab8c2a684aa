//! The end-of-shift sheet field by field, in the order in which a tired crew
//! has the figures at hand. What was so last time is proposed whole; what must
//! be true (readings, alarm, badge) is typed every time.

use super::failure::Failure;
use super::session::Session;
use super::sheet::{PERSON_FIELDS, hand_in, place, preview, put, show};
use crate::answer::{House, against_crew, last_sheet};
use crate::calendar::Day;
use crate::intake::{SHEET_COLUMNS, SheetBatch};
use crate::ledger::Mode;
use crate::record::{Ref, Sheet, Words};
use crate::show::Report;

/// Fields that are the same on most days.
const STANDING: &[(&str, &str)] = &[
    ("job", "job"),
    ("work", "kind of work"),
    ("device", "exposure device"),
    ("source", "source assembly"),
    ("control_unit", "control unit"),
    ("guide_tubes", "guide tubes, parted by blanks"),
    ("meter", "survey meter"),
];

/// Fields that change every shift.
const CHANGING: &[(&str, &str)] = &[
    ("exposures", "exposures made"),
    ("source_out_min", "minutes with the source out, in all"),
    ("boundary", "highest rate at the boundary, with unit"),
    ("device_out", "device left storage, HH:MM"),
    ("device_back", "device back in storage, HH:MM"),
    (
        "storage_survey",
        "rate of the survey before storage, with unit",
    ),
];

/// One person of the crew that is proposed.
#[derive(Debug, Clone, Default)]
struct Member {
    worker: String,
    role: String,
    dosimeters: Vec<String>,
    ratemeter: String,
}

/// What was so last time.
#[derive(Debug, Default)]
struct Proposal {
    head: Vec<String>,
    crew: Vec<Member>,
    today: Option<Day>,
    /// What stands against that crew today, in a line each.
    stops: Vec<String>,
}

/// Asks for a sheet, shows what it means, asks once, writes.
pub(super) fn run(
    session: &mut Session<'_>,
    by: Option<&str>,
    dry_run: bool,
) -> Result<(), Failure> {
    let proposal = propose(session)?;
    session.output.talk_report(&Report::new(
        "A new sheet. Enter keeps what stands in [ ], - leaves a field blank; nothing is written \
         before you say yes at the end.",
    ))?;
    let mut head = vec![String::new(); SHEET_COLUMNS.len()];
    let today = proposal
        .today
        .map(|day| day.to_string())
        .unwrap_or_default();
    let day = session.field("day on which the shift began", &today)?;
    put(&mut head, "day", day);
    let shift = session.field(
        "shift: day, evening or night",
        &cell(&proposal.head, "shift"),
    )?;
    put(&mut head, "shift", shift);
    let crew = standing(session, &mut head, &proposal)?;
    for (column, label) in CHANGING {
        if blank_without(&head, column) {
            continue;
        }
        let value = session.field(label, "")?;
        put(&mut head, column, value);
    }
    session.output.talk_report(&Report::new(
        "Type a start and end as `0 12`, off scale as `0 off`, set back to zero in between as \
         `0 12 / 0 8`.",
    ))?;
    let mut rows = Vec::new();
    for member in &crew {
        person(session, &head, member, &mut rows)?;
    }
    let first = crew.first().map(|it| it.worker.clone()).unwrap_or_default();
    let attested = session.field("who attests that this sheet is true", &first)?;
    for row in &mut rows {
        put(row, "attested_by", attested.clone());
    }
    settle(session, by, dry_run, rows)
}

/// Whether a field makes no sense because what it is about is not on the sheet.
fn blank_without(head: &[String], column: &str) -> bool {
    let needs = match column {
        "device_out" | "device_back" | "storage_survey" => "device",
        "exposures" | "source_out_min" => "source",
        _ => return false,
    };
    cell(head, needs).is_empty()
}

fn cell(row: &[String], column: &str) -> String {
    row.get(place(column)).cloned().unwrap_or_default()
}

fn propose(session: &mut Session<'_>) -> Result<Proposal, Failure> {
    let now = session.clock.now();
    session.ask(None, |snapshot, house| {
        let today = house.today(now);
        let last = last_sheet(snapshot, today)?;
        let there = last.as_ref().map(|it| house.names.today_at(&it.job, now));
        let (head, crew) = last
            .map(|sheet| of_sheet(house, &sheet))
            .unwrap_or_default();
        let ids: Vec<&str> = crew.iter().map(|it| it.worker.as_str()).collect();
        let stops = against_crew(snapshot, house, &ids, today, now)?;
        Ok(Proposal {
            head,
            crew,
            stops,
            today: Some(there.unwrap_or(today)),
        })
    })
}

fn of_sheet(house: &House, sheet: &Sheet) -> (Vec<String>, Vec<Member>) {
    fn optional<T>(house: &House, it: &Option<Ref<T>>) -> String {
        let words = it.as_ref().map(|it| house.names.words(it));
        words.unwrap_or_default()
    }
    let mut head = vec![String::new(); SHEET_COLUMNS.len()];
    put(&mut head, "shift", sheet.shift.word());
    put(&mut head, "job", house.names.words(&sheet.job));
    put(&mut head, "work", sheet.work.word());
    put(&mut head, "device", optional(house, &sheet.device));
    put(&mut head, "source", optional(house, &sheet.source));
    put(
        &mut head,
        "control_unit",
        optional(house, &sheet.control_unit),
    );
    put(&mut head, "meter", optional(house, &sheet.meter));
    let tubes: Vec<String> = sheet
        .guide_tubes
        .iter()
        .map(|it| house.names.words(it))
        .collect();
    put(&mut head, "guide_tubes", tubes.join(" "));
    let crew = sheet
        .people
        .iter()
        .map(|person| {
            let mut dosimeters: Vec<String> = person
                .readings
                .iter()
                .map(|it| house.names.words(&it.dosimeter))
                .collect();
            dosimeters.dedup();
            Member {
                worker: house.names.words(&person.worker),
                role: person.role.word().to_owned(),
                dosimeters,
                ratemeter: optional(house, &person.ratemeter),
            }
        })
        .collect();
    (head, crew)
}

/// What was so last time, and what stands against that crew now.
fn last_time(session: &mut Session<'_>, proposal: &Proposal) -> Result<(), Failure> {
    session.output.talk("Last time:")?;
    for (column, label) in STANDING {
        let value = cell(&proposal.head, column);
        if !value.is_empty() {
            session.output.talk(&format!("  {label}: {value}"))?;
        }
    }
    for member in &proposal.crew {
        let line = format!(
            "  {} as {}, dosimeter {}, ratemeter {}",
            member.worker,
            member.role,
            member.dosimeters.join(" and "),
            if member.ratemeter.is_empty() {
                "none"
            } else {
                &member.ratemeter
            },
        );
        session.output.talk(&line)?;
    }
    for stop in &proposal.stops {
        let words = format!("NOT AS IT STANDS: {stop}");
        session.output.talk_report(&Report::new(words))?;
    }
    Ok(())
}

/// The job, the equipment and the crew: as last time, or field by field.
fn standing(
    session: &mut Session<'_>,
    head: &mut [String],
    proposal: &Proposal,
) -> Result<Vec<Member>, Failure> {
    if !proposal.crew.is_empty() {
        last_time(session, proposal)?;
        // What must not go out again is not taken by pressing Enter.
        let usual = proposal.stops.is_empty().then_some(true);
        if session.yes("the same job, equipment and crew", usual)? {
            for (column, _) in STANDING {
                put(head, column, cell(&proposal.head, column));
            }
            return Ok(proposal.crew.clone());
        }
    }
    for (column, label) in STANDING {
        let value = session.field(label, &cell(&proposal.head, column))?;
        put(head, column, value);
    }
    let mut crew = Vec::new();
    loop {
        let known = proposal.crew.get(crew.len()).cloned().unwrap_or_default();
        let number = crew.len() + 1;
        let label = format!("person {number}: id of the worker, - when there are no more");
        let worker = session.field(&label, &known.worker)?;
        if worker.is_empty() {
            return Ok(crew);
        }
        let role = session.field(
            "  acts as: radiographer, assistant, trainee, rso ...",
            &known.role,
        )?;
        let dosimeters = session.field(
            "  dosimeters, parted by blanks",
            &known.dosimeters.join(" "),
        )?;
        let ratemeter = session.field("  alarm ratemeter", &known.ratemeter)?;
        let dosimeters = dosimeters.split_whitespace().map(str::to_owned).collect();
        crew.push(Member {
            worker,
            role,
            dosimeters,
            ratemeter,
        });
    }
}

/// One person's readings, alarm and badge; a row a dosimeter or part.
fn person(
    session: &mut Session<'_>,
    head: &[String],
    member: &Member,
    rows: &mut Vec<Vec<String>>,
) -> Result<(), Failure> {
    let mut base = head.to_vec();
    put(&mut base, "worker", member.worker.clone());
    put(&mut base, "role", member.role.clone());
    put(&mut base, "ratemeter", member.ratemeter.clone());
    let first = rows.len();
    for dosimeter in &member.dosimeters {
        let label = format!("{} {dosimeter}: start and end", member.worker);
        loop {
            let typed = session.field(&label, "")?;
            match parts(&typed) {
                Some(parts) => {
                    for (at, (start, end)) in parts.into_iter().enumerate() {
                        let mut row = base.clone();
                        put(&mut row, "dosimeter", dosimeter.clone());
                        put(&mut row, "part", (at + 1).to_string());
                        put(&mut row, "start", start);
                        put(
                            &mut row,
                            "off_scale",
                            if end == "off" { "yes" } else { "no" },
                        );
                        put(
                            &mut row,
                            "end",
                            if end == "off" { String::new() } else { end },
                        );
                        rows.push(row);
                    }
                    break;
                }
                None => session
                    .output
                    .talk("  two readings, such as `0 12` or `0mR 12mR`")?,
            }
        }
    }
    if rows.len() == first {
        rows.push(base);
    }
    let tested = match member.ratemeter.is_empty() {
        true => "",
        false => word(session.yes(
            &format!(
                "{} {}: alarm heard before use",
                member.worker, member.ratemeter
            ),
            None,
        )?),
    };
    let worn = word(session.yes(&format!("{}: badge worn", member.worker), None)?);
    for row in rows.iter_mut().skip(first) {
        put(row, "alarm_tested", tested);
        put(row, "badge_worn", worn);
    }
    Ok(())
}

fn word(yes: bool) -> &'static str {
    if yes { "yes" } else { "no" }
}

/// Starts and ends as typed: `0 12`, `0 off`, `0 12 / 0 8`.
fn parts(typed: &str) -> Option<Vec<(String, String)>> {
    typed
        .split('/')
        .map(|part| {
            let words: Vec<&str> = part.split_whitespace().collect();
            match words.as_slice() {
                [start, end] => Some(((*start).to_owned(), (*end).to_lowercase_if_off())),
                // `0 mR 12 mR`
                [start, unit, end, again] => {
                    Some((format!("{start} {unit}"), format!("{end} {again}")))
                }
                _ => None,
            }
        })
        .collect()
}

trait LowercaseIfOff {
    fn to_lowercase_if_off(&self) -> String;
}

impl LowercaseIfOff for &str {
    fn to_lowercase_if_off(&self) -> String {
        if self.eq_ignore_ascii_case("off") {
            "off".to_owned()
        } else {
            (*self).to_owned()
        }
    }
}

/// Shows what was understood and what it means; writes, stops, or corrects a
/// field and shows it again.
fn settle(
    session: &mut Session<'_>,
    by: Option<&str>,
    dry_run: bool,
    mut rows: Vec<Vec<String>>,
) -> Result<(), Failure> {
    loop {
        understood(session, &rows)?;
        let rehearsed = hand_in(session, by, Mode::Rehearse, SheetBatch::Typed(rows.clone()));
        let sound = match rehearsed {
            Ok((_, answer)) => {
                session.output.talk_report(&preview(&answer))?;
                true
            }
            Err(failure @ (Failure::Intake(_) | Failure::Ledger(_))) => {
                failure.say(&mut session.output)?;
                false
            }
            Err(other) => return Err(other),
        };
        let question = if sound {
            "yes writes it, no stops; or correct a field: exposures=24, 2.end=31"
        } else {
            "correct a field: exposures=24, 2.end=31 (line 2); no stops"
        };
        let typed = session.field(question, "")?;
        match typed.to_lowercase().as_str() {
            "yes" | "y" if sound && dry_run => {
                let handed = hand_in(session, by, Mode::Rehearse, SheetBatch::Typed(rows))?;
                return show(session, handed, true);
            }
            "yes" | "y" if sound => {
                let handed = hand_in(session, by, Mode::Commit, SheetBatch::Typed(rows))?;
                return show(session, handed, false);
            }
            "no" | "n" => return Err(Failure::Cancelled),
            _ => {
                if !correct(&mut rows, &typed) {
                    session.output.talk(
                        "  a field and its value, such as exposures=24, or 2.end=31 for line 2",
                    )?;
                }
            }
        }
    }
}

/// Prints the sheet as it was understood, a line a person.
fn understood(session: &mut Session<'_>, rows: &[Vec<String>]) -> Result<(), Failure> {
    let Some(first) = rows.first() else {
        return Ok(());
    };
    let fields = |row: &[String], of_person: bool| -> String {
        let given = SHEET_COLUMNS
            .iter()
            .filter(|column| PERSON_FIELDS.contains(column) == of_person)
            .map(|column| (column, cell(row, column)))
            .filter(|(_, value)| !value.is_empty())
            .map(|(column, value)| format!("{column}={value}"));
        given.collect::<Vec<_>>().join(", ")
    };
    let mut report = Report::new("");
    report.gap();
    report.line(format!("Understood: {}", fields(first, false)));
    for (row, line) in rows.iter().zip(1..) {
        report.under(format!("line {line}: {}", fields(row, true)));
    }
    report.gap();
    session.output.talk_report(&report)
}

/// Sets `field=value` on the whole sheet, or `line.field=value` on one line.
fn correct(rows: &mut [Vec<String>], typed: &str) -> bool {
    let Some((field, value)) = typed.split_once('=') else {
        return false;
    };
    let (line, field) = match field.trim().split_once('.') {
        Some((line, field)) => (line.parse::<usize>().ok(), field.trim()),
        None => (None, field.trim()),
    };
    if !SHEET_COLUMNS.contains(&field) {
        return false;
    }
    let value = value.trim();
    match (line, PERSON_FIELDS.contains(&field)) {
        (Some(line), true) => match line.checked_sub(1).and_then(|at| rows.get_mut(at)) {
            Some(row) => put(row, field, value),
            None => return false,
        },
        (None, true) if rows.len() > 1 => return false,
        _ => rows.iter_mut().for_each(|row| put(row, field, value)),
    }
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn readings_are_typed_in_one_line() {
        let pairs = |typed: &str| {
            parts(typed).map(|all| {
                all.iter()
                    .map(|(start, end)| format!("{start}>{end}"))
                    .collect::<Vec<_>>()
                    .join(" ")
            })
        };
        for (typed, expected) in [
            ("0 12", Some("0>12")),
            ("0 OFF", Some("0>off")),
            ("0mR 12mR", Some("0mR>12mR")),
            ("0 mR 12 mR", Some("0 mR>12 mR")),
            ("0 12 / 0 8", Some("0>12 0>8")),
            ("12", None),
            ("", None),
            ("0 12 8", None),
        ] {
            assert_eq!(pairs(typed).as_deref(), expected, "{typed}");
        }
    }

    #[test]
    fn a_correction_names_the_line_of_a_person() {
        let row = || vec![String::new(); SHEET_COLUMNS.len()];
        let mut rows = vec![row(), row()];
        assert!(correct(&mut rows, "2.end=31 mR"));
        assert!(correct(&mut rows, "exposures=24"));
        assert!(!correct(&mut rows, "end=31"));
        assert!(!correct(&mut rows, "3.end=31"));
        assert!(!correct(&mut rows, "nothing=1"));
        assert_eq!(cell(&rows[1], "end"), "31 mR");
        assert_eq!(cell(&rows[0], "end"), "");
        assert_eq!(cell(&rows[0], "exposures"), "24");
    }
}
