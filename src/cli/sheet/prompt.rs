//! The sheet at a terminal, in the order in which a tired crew has the figures at hand. Job,
//! equipment and crew are proposed as last time; what must be true (readings, alarm, badge, hours,
//! surveys, who attests) is typed every time and checked when it is given.

use super::ask;
use super::ask::{Asking, Question, faulty, hours};
use super::crew::{Standing, as_last_time, of_this_shift, standing};
use super::draft::begin;
use super::during::{during, meter_checked, signed};
use super::paper::{FormInHand, copied};
use super::reading::people;
use super::row::put;
use super::settle::settle;
use super::written::stops_so_far;
use crate::answer::{
    Meeting, Met, OpenStart, SheetOffer, open_starts, sheet_offer, sheets_met, shift_day,
    starts_met,
};
use crate::calendar::{Day, parse_day, parse_time};
use crate::cli::frame::failure::Failure;
use crate::cli::frame::session::Session;
use crate::intake::SHEET_COLUMNS;
use crate::record::{ShiftName, Words};

/// Asks for a sheet, shows what it means, asks once, writes. What was typed stays in a draft
/// until the sheet is written, and a STOP that it holds is said in any case.
pub(crate) fn run(
    session: &mut Session<'_>,
    by: Option<&str>,
    dry_run: bool,
    form: Option<&FormInHand>,
) -> Result<(), Failure> {
    let of = form.map_or("enter".to_owned(), |it| format!("form {}", it.code));
    let draft = begin(session, &of)?;
    let mut asking = Asking { session, draft };
    let mut rows = Vec::new();
    let done = sheet(&mut asking, (by, dry_run), &mut rows, form);
    asking.end(done, dry_run, |session| stops_so_far(session, by, &rows))
}

fn sheet(
    asking: &mut Asking<'_, '_>,
    (by, dry_run): (Option<&str>, bool),
    rows: &mut Vec<Vec<String>>,
    form: Option<&FormInHand>,
) -> Result<(), Failure> {
    asking.session.output.tell(
        "A new sheet. Enter keeps what stands in [ ], - leaves a field blank. What is typed is \
         kept as a draft; nothing is written before you say yes at the end.",
    )?;
    let mut head = vec![String::new(); SHEET_COLUMNS.len()];
    let begun = begun(asking, form)?;
    let standing = match &begun {
        Some(it) => as_last_time(&it.standing),
        None => standing_today(asking, &mut head, form)?,
    };
    if let Some(form) = form {
        put(&mut head, "paper_form", form.code.clone());
        put(&mut head, "sheet", form.number.clone().unwrap_or_default());
    }
    for (column, value) in standing.cells() {
        put(&mut head, column, value);
    }
    if let Some(it) = &begun {
        ended(asking, &mut head, it, &standing)?;
    }
    of_this_shift(asking, &head, &standing)?;
    during(asking, &mut head, &standing)?;
    let start = begun.as_ref().map(|it| &it.start);
    meter_checked(asking, &mut head, &standing, start)?;
    people(asking, by, &head, (&standing, start), rows)?;
    signed(asking, &standing, (rows, form.is_some()))?;
    if form.is_some() {
        copied(asking, rows)?;
    }
    let photo = form.and_then(|it| it.photo.as_ref());
    settle(asking, by, dry_run, (rows, photo))
}

/// Job, equipment and crew, and when the shift was, where no start is on record.
fn standing_today(
    asking: &mut Asking<'_, '_>,
    head: &mut [String],
    form: Option<&FormInHand>,
) -> Result<Standing, Failure> {
    let now = asking.session.clock.now();
    let mut offer = asking.session.ask(None, |house| sheet_offer(house, now))?;
    let (heading, part) = match form {
        Some(form) => {
            offer.last = Some(form.last.clone());
            ("On the form:", Part::Copied(form.day))
        }
        None => (LAST_TIME, Part::Whole),
    };
    let standing = standing(asking, (&offer, heading))?;
    when(asking, head, &offer, &standing, part)?;
    Ok(standing)
}

/// The start of the shift that ends now, where one is on record without its sheet.
fn begun(
    asking: &mut Asking<'_, '_>,
    form: Option<&FormInHand>,
) -> Result<Option<OpenStart>, Failure> {
    let now = asking.session.clock.now();
    let mut open = asking.session.ask(None, |house| open_starts(house, now))?;
    let of_form = |it: &OpenStart| {
        form.is_none_or(|form| (it.start.day, it.start.shift) == (form.day, form.shift()))
    };
    open.retain(of_form);
    for it in open {
        asking.say(&format!("begun: {}", it.words))?;
        let key = format!("begun.{}", it.record);
        if asking.yes(&key, "is this the sheet of that shift", None)? {
            return Ok(Some(it));
        }
    }
    Ok(None)
}

/// What the start says of the shift, and when it ended.
fn ended(
    asking: &mut Asking<'_, '_>,
    head: &mut [String],
    begun: &OpenStart,
    standing: &Standing,
) -> Result<(), Failure> {
    let start = &begun.start;
    let begins = start.begins.clone().unwrap_or_default();
    put(head, "day", start.day.to_string());
    put(head, "shift", start.shift.word());
    put(head, "shift_start", begun.record.to_string());
    put(head, "sheet", start.reference.clone().unwrap_or_default());
    let label = match begins.is_empty() {
        true => BEGAN_AND_ENDED.to_owned(),
        false => format!("began {begins}, ended, HH:MM"),
    };
    let hours = hours(asking, "ended", &label, false)?;
    let (begins, ends) = match begins.is_empty() {
        true => hours,
        false => (begins, hours.0),
    };
    put(head, "begins", begins);
    put(head, "ends", ends);
    let same = same_shift(asking, (start.day, start.shift), standing, Part::Whole)?;
    if start.reference.is_none() && !same.is_empty() {
        number_of_its_own(head, (start.day, start.shift), standing, same.len());
    }
    Ok(())
}

/// Which part of a shift is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Part {
    /// Its start alone.
    Start,
    /// All of it.
    Whole,
    /// All of it, from a form that was printed for a day.
    Copied(Day),
}

/// Above what was so on the last sheet.
pub(crate) const LAST_TIME: &str = "Last time:";

/// Shift, hours and day; a number of its own where a sheet of that shift and device is on file.
pub(crate) fn when(
    asking: &mut Asking<'_, '_>,
    head: &mut [String],
    offer: &SheetOffer,
    standing: &Standing,
    part: Part,
) -> Result<(), Failure> {
    for round in 1.. {
        let usual = offer.last.as_ref().map(|it| it.shift);
        let shift: ShiftName = asking.word(&format!("shift.{round}"), "shift", usual)?;
        let label = match part {
            Part::Start => "begins, HH:MM",
            Part::Whole | Part::Copied(_) => BEGAN_AND_ENDED,
        };
        let mut hours = hours(asking, &format!("hours.{round}"), label, false)?;
        let day = day(
            asking,
            &format!("day.{round}"),
            (&standing.job, shift, &hours.0),
            part,
        )?;
        let same = same_shift(asking, (day, shift), standing, part)?;
        if !further(asking, &format!("further.{round}"), &same)? {
            continue;
        }
        if part != Part::Start {
            let key = format!("met.{round}");
            apart(asking, &key, (day, shift), standing, &mut hours)?;
        }
        if !same.is_empty() {
            number_of_its_own(head, (day, shift), standing, same.len());
        }
        put(head, "shift", shift.word());
        put(head, "begins", hours.0);
        put(head, "ends", hours.1);
        put(head, "day", day.to_string());
        break;
    }
    Ok(())
}

/// What is on file of the same shift and device.
fn same_shift(
    asking: &mut Asking<'_, '_>,
    (day, shift): (Day, ShiftName),
    standing: &Standing,
    part: Part,
) -> Result<Vec<Met>, Failure> {
    let meeting = Meeting {
        day,
        shift,
        device: &standing.device,
        named: &[],
    };
    asking.session.ask(None, |house| {
        let mut met = sheets_met(house, meeting)?;
        met.retain(|it| it.same_shift);
        if part == Part::Start && met.is_empty() {
            met = starts_met(house, meeting)?;
        }
        Ok(met)
    })
}

/// Another sheet of a shift and device has a number, so that it is not taken for the first.
fn number_of_its_own(
    head: &mut [String],
    (day, shift): (Day, ShiftName),
    standing: &Standing,
    before: usize,
) {
    let (number, device) = (before + 1, &standing.device);
    put(
        head,
        "sheet",
        format!("{day} {} {device} no. {number}", shift.word()),
    );
}

/// Asks for the hours where somebody or a dosimeter is on another sheet of these days: nothing
/// else tells the two shifts apart.
fn apart(
    asking: &mut Asking<'_, '_>,
    key: &str,
    (day, shift): (Day, ShiftName),
    standing: &Standing,
    hours: &mut (String, String),
) -> Result<(), Failure> {
    let mut named: Vec<String> = Vec::new();
    for member in &standing.crew {
        named.push(member.worker.clone());
        named.extend(member.dosimeters.clone());
    }
    let mut met = asking.session.ask(None, |house| {
        let meeting = Meeting {
            day,
            shift,
            device: &standing.device,
            named: &named,
        };
        sheets_met(house, meeting)
    })?;
    met.retain(|it| !it.shared.is_empty() && it.day == day);
    let untimed = hours.0.is_empty() || hours.1.is_empty();
    if untimed && !met.is_empty() {
        for it in &met {
            let (shared, entry) = (it.shared.join(" "), it.entry);
            let (words, other) = (&it.words, &it.hours);
            asking.say(&format!(
                "{shared}: also on entry {entry}, {words}, {other}: only hours tell the two apart"
            ))?;
        }
        *hours = ask::hours(asking, key, BEGAN_AND_ENDED, true)?;
    }
    for it in met.iter().filter(|it| !it.timed && it.same_name) {
        let entry = it.entry;
        asking.say(&format!(
            "entry {entry} has no hours: what both have is on hold until wearbook entry correct \
            {entry} \
             begins=HH:MM ends=HH:MM --reason WHY"
        ))?;
    }
    Ok(())
}

/// Whether this is one more sheet of that shift and device: a second job, another crew.
fn further(asking: &mut Asking<'_, '_>, key: &str, same: &[Met]) -> Result<bool, Failure> {
    if same.is_empty() {
        return Ok(true);
    }
    for it in same {
        let (entry, words, hours) = (it.entry, &it.words, &it.hours);
        asking.say(&match it.is_start {
            true => format!("on file: the start, entry {entry}, {words}, {hours}"),
            false => format!("on file: entry {entry}, {words}, {hours}"),
        })?;
    }
    let label = "a further sheet of that shift with that device (a second job, another crew)";
    if asking.yes(key, label, None)? {
        return Ok(true);
    }
    let entry = same.last().map(|it| it.entry).unwrap_or_default();
    asking.say(&format!(
        "then another shift or day. To correct entry {entry} leave with Ctrl-D: wearbook entry \
         correct {entry} FIELD=VALUE --reason WHY"
    ))?;
    Ok(false)
}

const BEGAN_AND_ENDED: &str = "began and ended, HH:MM HH:MM";

/// The day on which the shift began: the last on which its hour has come, in the job's zone.
fn day(
    asking: &mut Asking<'_, '_>,
    key: &str,
    (job, shift, begins): (&str, ShiftName, &str),
    part: Part,
) -> Result<Day, Failure> {
    let now = asking.session.clock.now();
    let begins = parse_time(begins).ok();
    let usual = match part {
        Part::Copied(printed) => printed,
        Part::Start | Part::Whole => asking
            .session
            .ask(None, |house| Ok(shift_day(house, job, shift, begins, now)))?,
    };
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
