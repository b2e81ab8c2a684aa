//! The sheet at a terminal, in the order in which a tired crew has the figures at hand. Job,
//! equipment and crew are proposed as last time; what must be true (readings, alarm, badge, hours,
//! surveys, who attests) is typed every time and checked when it is given.

use super::failure::Failure;
use super::run::Session;
use super::sheet::put;
use super::sheet_ask::{Asking, Question, faulty};
use super::sheet_crew::{Standing, standing};
use super::sheet_draft::begin;
use super::sheet_reading::people;
use super::sheet_settle::{settle, stops_so_far};
use crate::answer::{Meeting, Met, SheetOffer, meter_unit, sheet_offer, sheets_met, shift_day};
use crate::calendar::{Day, parse_day, parse_time};
use crate::intake::SHEET_COLUMNS;
use crate::record::{ShiftName, Words};
use crate::show::Report;

/// Asks for a sheet, shows what it means, asks once, writes. What was typed stays in a draft
/// until the sheet is written, and a STOP that it holds is said in any case.
pub(super) fn run(
    session: &mut Session<'_>,
    by: Option<&str>,
    dry_run: bool,
) -> Result<(), Failure> {
    let draft = begin(session, "enter")?;
    let mut asking = Asking { session, draft };
    let mut rows = Vec::new();
    let done = sheet(&mut asking, by, dry_run, &mut rows);
    match done {
        Err(Failure::Cancelled) => {
            let stops = stops_so_far(asking.session, by, &rows)?;
            let kept = asking.draft.any() && asking.draft.is_kept();
            Err(Failure::Abandoned { kept, stops })
        }
        Ok(()) if !dry_run => asking.draft.done(),
        other => other,
    }
}

fn sheet(
    asking: &mut Asking<'_, '_>,
    by: Option<&str>,
    dry_run: bool,
    rows: &mut Vec<Vec<String>>,
) -> Result<(), Failure> {
    asking.session.output.talk_report(&Report::new(
        "A new sheet. Enter keeps what stands in [ ], - leaves a field blank. What is typed is \
         kept as a draft; nothing is written before you say yes at the end.",
    ))?;
    let now = asking.session.clock.now();
    let offer = asking
        .session
        .ask(None, |snapshot, house| sheet_offer(snapshot, house, now))?;
    let standing = standing(asking, &offer)?;
    let mut head = vec![String::new(); SHEET_COLUMNS.len()];
    for (column, value) in standing.cells() {
        put(&mut head, column, value);
    }
    when(asking, &mut head, &offer, &standing)?;
    during(asking, &mut head, &standing)?;
    people(asking, by, &head, &standing, rows)?;
    let attested = attested_by(asking)?;
    for row in rows.iter_mut() {
        put(row, "attested_by", attested.clone());
    }
    settle(asking, by, dry_run, rows)
}

/// Shift, hours and day; a number of its own where a sheet of that shift and device is on file.
fn when(
    asking: &mut Asking<'_, '_>,
    head: &mut [String],
    offer: &SheetOffer,
    standing: &Standing,
) -> Result<(), Failure> {
    let mut named: Vec<String> = Vec::new();
    for member in &standing.crew {
        named.push(member.worker.clone());
        named.extend(member.dosimeters.clone());
    }
    for round in 1.. {
        let usual = offer.last.as_ref().map(|it| it.shift);
        let shift: ShiftName = asking.word(&format!("shift.{round}"), "shift", usual)?;
        let mut hours = hours(asking, &format!("hours.{round}"), BEGAN_AND_ENDED, false)?;
        let day = day(
            asking,
            &format!("day.{round}"),
            &standing.job,
            shift,
            &hours.0,
        )?;
        let met = asking.session.ask(None, |snapshot, house| {
            let meeting = Meeting {
                day,
                shift,
                device: &standing.device,
                named: &named,
            };
            sheets_met(snapshot, house, meeting)
        })?;
        let same: Vec<&Met> = met.iter().filter(|it| it.same_shift).collect();
        if !further(asking, &format!("further.{round}"), &same)? {
            continue;
        }
        let untimed = hours.0.is_empty() || hours.1.is_empty();
        if untimed && met.iter().any(|it| !it.shared.is_empty()) {
            for it in met.iter().filter(|it| !it.shared.is_empty()) {
                let shared = it.shared.join(" ");
                asking.say(&format!(
                    "{shared}: also on entry {}, {}, {}: only hours tell the two apart",
                    it.entry, it.words, it.hours
                ))?;
            }
            hours = self::hours(asking, &format!("met.{round}"), BEGAN_AND_ENDED, true)?;
        }
        for it in met.iter().filter(|it| it.same_shift && !it.timed) {
            asking.say(&format!(
                "entry {} has no hours: what both have is held until wearbook entry amend {} \
                 begins=HH:MM ends=HH:MM --reason WHY",
                it.entry, it.entry
            ))?;
        }
        if !same.is_empty() {
            let (number, device) = (same.len() + 1, &standing.device);
            let own = format!("{day} {} {device} no. {number}", shift.word());
            put(head, "sheet", own);
        }
        put(head, "shift", shift.word());
        put(head, "begins", hours.0);
        put(head, "ends", hours.1);
        put(head, "day", day.to_string());
        break;
    }
    Ok(())
}

/// Whether this is one more sheet of that shift and device: a second job, another crew.
fn further(asking: &mut Asking<'_, '_>, key: &str, same: &[&Met]) -> Result<bool, Failure> {
    if same.is_empty() {
        return Ok(true);
    }
    for it in same {
        asking.say(&format!(
            "on file: entry {}, {}, {}",
            it.entry, it.words, it.hours
        ))?;
    }
    let label = "a further sheet of that shift with that device (a second job, another crew)";
    if asking.yes(key, label, None)? {
        return Ok(true);
    }
    let entry = same.last().map(|it| it.entry).unwrap_or_default();
    asking.say(&format!(
        "then another shift or day. To correct entry {entry} leave with Ctrl-D: wearbook entry \
         amend {entry} FIELD=VALUE --reason WHY"
    ))?;
    Ok(false)
}

const BEGAN_AND_ENDED: &str = "began and ended, HH:MM HH:MM";

/// Two hours in one line; blank where nobody knows, unless they are needed.
fn hours(
    asking: &mut Asking<'_, '_>,
    key: &str,
    label: &str,
    needed: bool,
) -> Result<(String, String), Failure> {
    let question = Question {
        key,
        label,
        proposal: "",
    };
    asking.ask(&question, |session, typed| {
        let words: Vec<&str> = typed.split_whitespace().collect();
        for it in words.iter().filter(|it| **it != "-") {
            if let Some(wrong) = faulty(session, &[("begins", it)])? {
                return Ok(Err(wrong));
            }
        }
        let hour = |it: &&str| {
            if *it == "-" {
                String::new()
            } else {
                (*it).to_owned()
            }
        };
        Ok(match words.as_slice() {
            [] if !needed => Ok((String::new(), String::new())),
            [one] if !needed => Ok((hour(one), String::new())),
            [one, two] if !needed || ![one, two].contains(&&"-") => Ok((hour(one), hour(two))),
            _ => Err("two hours, such as `06:40 15:20`".to_owned()),
        })
    })
}

/// The day on which the shift began: the last on which its hour has come, in the job's zone.
fn day(
    asking: &mut Asking<'_, '_>,
    key: &str,
    job: &str,
    shift: ShiftName,
    begins: &str,
) -> Result<Day, Failure> {
    let now = asking.session.clock.now();
    let begins = parse_time(begins).ok();
    let usual = asking.session.ask(None, |_, house| {
        Ok(shift_day(house, job, shift, begins, now))
    })?;
    let question = Question {
        key,
        label: "day on which the shift began",
        proposal: &usual.to_string(),
    };
    asking.ask(&question, |session, typed| {
        if typed.is_empty() {
            return Ok(Err("the day is needed, such as `2026-06-14`".to_owned()));
        }
        if let Some(wrong) = faulty(session, &[("day", typed), ("job", job)])? {
            return Ok(Err(wrong));
        }
        Ok(parse_day(typed).map_err(|error| error.to_string()))
    })
}

/// What was done during the shift. What makes no sense without a source, a device or a meter is
/// not asked where there is none.
fn during(
    asking: &mut Asking<'_, '_>,
    head: &mut [String],
    standing: &Standing,
) -> Result<(), Failure> {
    if !standing.source.is_empty() {
        exposures(asking, head)?;
        let minutes = asking.cell("source_out_min", "minutes with the source out, in all", "")?;
        put(head, "source_out_min", minutes);
    }
    if !standing.meter.is_empty() {
        let rate = rate(
            asking,
            "boundary",
            "highest rate at the boundary",
            &standing.meter,
        )?;
        put(head, "boundary", rate);
    }
    if !standing.device.is_empty() {
        let label = "device left storage and was back, HH:MM HH:MM";
        let (out, back) = hours(asking, "device_out", label, false)?;
        put(head, "device_out", out);
        put(head, "device_back", back);
    }
    if !standing.device.is_empty() && !standing.meter.is_empty() {
        let label = "rate of the survey before storage";
        let rate = rate(asking, "storage_survey", label, &standing.meter)?;
        put(head, "storage_survey", rate);
    }
    Ok(())
}

/// How many exposures, and when the first was made: `24 07:40`.
fn exposures(asking: &mut Asking<'_, '_>, head: &mut [String]) -> Result<(), Failure> {
    let question = Question {
        key: "exposures",
        label: "exposures made, and the hour of the first: 24 07:40",
        proposal: "",
    };
    let (count, first) = asking.ask(&question, |session, typed| {
        let (count, first) = typed.split_once(' ').unwrap_or((typed, ""));
        let given = [("exposures", count), ("first_exposure", first.trim())];
        let fault = faulty(session, &given)?;
        Ok(match fault {
            Some(wrong) => Err(wrong),
            None => Ok((count.to_owned(), first.trim().to_owned())),
        })
    })?;
    put(head, "exposures", count);
    put(head, "first_exposure", first);
    Ok(())
}

/// A rate; a bare number takes the unit of the meter's face, where that has but one.
fn rate(
    asking: &mut Asking<'_, '_>,
    column: &str,
    label: &str,
    meter: &str,
) -> Result<String, Failure> {
    let unit = asking
        .session
        .ask(None, |_, house| Ok(meter_unit(house, meter)))?;
    let label = match &unit {
        Some(unit) => format!("{label}, {unit}"),
        None => format!("{label}, with its unit"),
    };
    let question = Question {
        key: column,
        label: &label,
        proposal: "",
    };
    asking.ask(&question, |session, typed| {
        let bare = typed.chars().all(|it| it.is_ascii_digit() || it == '.');
        let rate = match &unit {
            Some(unit) if bare && !typed.is_empty() => format!("{typed} {unit}"),
            _ => typed.to_owned(),
        };
        let fault = faulty(session, &[(column, &rate)])?;
        Ok(fault.map_or(Ok(rate), Err))
    })
}

/// Nobody's name is proposed here.
fn attested_by(asking: &mut Asking<'_, '_>) -> Result<String, Failure> {
    let question = Question {
        key: "attested_by",
        label: "who attests that this sheet is true: your own id",
        proposal: "",
    };
    asking.ask(&question, |session, typed| {
        if typed.is_empty() {
            return Ok(Err("somebody attests it: the id of a worker".to_owned()));
        }
        if let Some(("worker", written)) = typed.split_once('=') {
            return Ok(Ok(written.to_owned()));
        }
        let (known, near) = session.ask(None, |_, house| {
            let known = house.names.find_worker(typed);
            let known = known.map(|it| house.names.label(it.number()));
            Ok((known, house.names.near_workers(typed)))
        })?;
        Ok(known.ok_or_else(|| {
            let near = match near.as_slice() {
                [] => String::new(),
                near => format!("; did you mean {}?", near.join(" or ")),
            };
            format!("no worker `{typed}` is on record{near}; as it is: worker={typed}")
        }))
    })
}
