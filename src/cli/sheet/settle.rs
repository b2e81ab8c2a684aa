//! The end of a sheet's prompt: what was understood, what it means, a correction or the one yes.

use super::ask::{Asking, Question, faulty};
use super::row::{cell, put};
use super::written::{hand_in_with, on_the_way, rehearse, stops_of};
use crate::cli::frame::failure::Failure;
use crate::cli::frame::flags::mode;
use crate::cli::frame::session::Session;
use crate::intake::{EvidenceFile, PERSON_FIELDS, SHEET_COLUMNS, SheetBatch};
use crate::rule::Finding;
use crate::show::{Report, sheets_report, stops_in_short, taken_report, written_after};
use crate::text::Language;

/// What is typed at the end.
enum Said {
    Yes,
    No,
    /// The corrected rows.
    Corrected(Vec<Vec<String>>),
}

/// How far a prompt is at its end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Settled {
    /// It shows what the rows mean.
    Shown,
    /// Somebody said yes: it writes.
    Yes,
}

/// The end of a sheet.
pub(crate) fn settle(
    asking: &mut Asking<'_, '_>,
    by: Option<&str>,
    dry_run: bool,
    (rows, photo): (&mut Vec<Vec<String>>, Option<&EvidenceFile>),
) -> Result<(), Failure> {
    settle_with(
        asking,
        rows,
        SHEET_COLUMNS,
        |session, rows, settled| match settled {
            Settled::Shown => {
                let answer = rehearse(session, by, rows)?;
                let stops = stops_of(&answer);
                on_the_way(session, &stops);
                let people = answer.people.iter().flat_map(|it| &it.findings);
                let all: Vec<Finding> = people.chain(&answer.findings).cloned().collect();
                session.output.tell_stops(&all)?;
                let shown = stops_in_short(sheets_report(&answer), &stops);
                session.output.talk_report(&shown)
            }
            Settled::Yes => {
                let batch = SheetBatch::Typed(rows.to_vec());
                let (taken, answer) = hand_in_with(session, (by, mode(dry_run)), batch, photo)?;
                let written = taken_report(&taken, dry_run);
                let written = written_after(sheets_report(&answer), written);
                is_written(session, dry_run)?;
                session.output.report(written)
            }
        },
    )
}

/// Says in another language than the report that it is on record.
pub(crate) fn is_written(session: &mut Session<'_>, dry_run: bool) -> Result<(), Failure> {
    match (session.output.language, dry_run) {
        (Language::English, _) => Ok(()),
        (_, true) => session.output.tell("A dry run: nothing is written."),
        (_, false) => session.output.tell("It is on record."),
    }
}

/// Shows what was understood and what it means; writes, stops, or corrects fields and shows it
/// again. `fields` are those that what is written has.
pub(crate) fn settle_with(
    asking: &mut Asking<'_, '_>,
    rows: &mut Vec<Vec<String>>,
    fields: &[&str],
    mut at: impl FnMut(&mut Session<'_>, &[Vec<String>], Settled) -> Result<(), Failure>,
) -> Result<(), Failure> {
    for round in 1.. {
        understood(asking.session, rows)?;
        let sound = match at(asking.session, rows, Settled::Shown) {
            Ok(()) => true,
            Err(failure @ (Failure::Intake(_) | Failure::Ledger(_))) => {
                failure.say(&mut asking.session.output)?;
                false
            }
            Err(other) => return Err(other),
        };
        match said(asking, &format!("resolve.{round}"), sound, (rows, fields))? {
            Said::No => return Err(Failure::Cancelled),
            Said::Corrected(corrected) => *rows = corrected,
            Said::Yes => return at(asking.session, rows, Settled::Yes),
        }
    }
    Ok(())
}

/// The one yes or no, or a correction. Neither yes nor no is kept in the draft.
fn said(
    asking: &mut Asking<'_, '_>,
    key: &str,
    sound: bool,
    (rows, fields): (&[Vec<String>], &[&str]),
) -> Result<Said, Failure> {
    let label = match sound {
        true => "yes writes it, no leaves it a draft; or correct it: 2.start=1",
        false => "correct it: begins=06:50, 2.start=1 (of line 2); no leaves it a draft",
    };
    if asking.draft.answered_next(key) {
        let question = Question {
            key,
            label,
            proposal: "",
        };
        return asking.ask(&question, |session, typed| {
            Ok(corrected(session, (rows, fields), typed)?.map(Said::Corrected))
        });
    }
    loop {
        let typed = asking.session.field(label, "")?;
        let own = asking.language().typed(&typed.to_lowercase());
        match own.as_str() {
            "yes" | "y" if sound => return Ok(Said::Yes),
            "no" | "n" => return Ok(Said::No),
            _ => {}
        }
        match corrected(asking.session, (rows, fields), &typed)? {
            Ok(rows) => {
                asking.keep(key, &typed)?;
                return Ok(Said::Corrected(rows));
            }
            Err(wrong) => asking.say(&wrong)?,
        }
    }
}

/// Prints the sheet as it was understood, a line a person.
fn understood(session: &mut Session<'_>, rows: &[Vec<String>]) -> Result<(), Failure> {
    let Some(first) = rows.first() else {
        return Ok(());
    };
    let language = session.output.language;
    let fields = |row: &[String], of_person: bool| -> String {
        let given = SHEET_COLUMNS
            .iter()
            .filter(|column| PERSON_FIELDS.contains(column) == of_person)
            .map(|column| (column, cell(row, column)))
            .filter(|(_, value)| !value.is_empty())
            .map(|(column, value)| named(language, column, &value));
        given.collect::<Vec<_>>().join(", ")
    };
    let mut report = Report::new("");
    report.gap();
    report.line(language.fill("Understood: {}", &[&fields(first, false)]));
    for (row, line) in rows.iter().zip(1..) {
        let line = line.to_string();
        report.under(language.fill("line {}: {}", &[&line, &fields(row, true)]));
    }
    report.gap();
    session.output.talk_report(&report)
}

/// Columns whose values are words of the program's own.
const OF_WORDS: &[&str] = &[
    "shift",
    "work",
    "role",
    "meter_checked",
    "meter_late",
    "locked",
    "off_scale",
    "recharged",
    "alarm_tested",
    "badge_worn",
];

/// A field as it was understood: its name, by which it is corrected, and in another language what
/// that is.
fn named(language: Language, column: &str, value: &str) -> String {
    match language.other(column) {
        None => format!("{column}={value}"),
        Some(said) => {
            let value = match OF_WORDS.contains(&column) {
                true => language.say(value),
                false => value.to_owned(),
            };
            format!("{said} ({column})={value}")
        }
    }
}

/// The rows with `field=value` set on the whole sheet, or `line.field=value` on one line; several
/// with commas between them. All of them are taken or none.
fn corrected(
    session: &mut Session<'_>,
    (rows, fields): (&[Vec<String>], &[&str]),
    typed: &str,
) -> Result<Result<Vec<Vec<String>>, String>, Failure> {
    let changes = match changes(typed, rows.len(), fields) {
        Ok(changes) => changes,
        Err(wrong) => return Ok(Err(format!("{wrong}; nothing was changed"))),
    };
    let mut rows = rows.to_vec();
    for change in &changes {
        for (row, at) in rows.iter_mut().zip(1..) {
            if change.line.is_none_or(|line| line == at) {
                put(row, change.column, change.value.clone());
            }
        }
    }
    for change in &changes {
        let of = rows.get(change.line.unwrap_or(1).saturating_sub(1));
        let dosimeter = of.map(|row| cell(row, "dosimeter")).unwrap_or_default();
        let mut given = vec![(change.column, change.value.as_str())];
        if ["start", "end"].contains(&change.column) {
            given.push(("dosimeter", &dosimeter));
        }
        let column = change.column;
        let unknown = match change.as_it_stands {
            true => None,
            false => unknown(session, column, &change.value)?,
        };
        if let Some(wrong) = unknown.or(faulty(session, &given)?) {
            return Ok(Err(format!("{column}: {wrong}; nothing was changed")));
        }
    }
    Ok(Ok(rows))
}

/// Which of the names in a cell nobody has registered, and what was perhaps meant.
fn unknown(
    session: &mut Session<'_>,
    column: &str,
    value: &str,
) -> Result<Option<String>, Failure> {
    session.ask(None, |house| {
        let names = &house.names;
        let stranger = |word: &&str| match column {
            "job" => names.find_job(word).is_none(),
            "worker" | "attested_by" | "signed_by" => names.find_worker(word).is_none(),
            _ => names.find_item(word).is_none(),
        };
        let words: Vec<&str> = match column {
            "guide_tubes" => value.split_whitespace().collect(),
            "job" | "worker" | "attested_by" | "signed_by" | "device" | "source"
            | "control_unit" | "meter" | "storage_meter" | "dosimeter" | "ratemeter"
                if !value.is_empty() =>
            {
                vec![value]
            }
            _ => Vec::new(),
        };
        let Some(word) = words.into_iter().find(stranger) else {
            return Ok(None);
        };
        let near = match column {
            "job" => names.near_jobs(word),
            "worker" | "attested_by" | "signed_by" => names.near_workers(word),
            "meter" | "storage_meter" | "dosimeter" | "ratemeter" => names.near_instruments(word),
            _ => names.near_equipment(word),
        };
        let near = match near.as_slice() {
            [] => ".".to_owned(),
            near => format!("; did you mean {}?", near.join(" or ")),
        };
        Ok(Some(format!(
            "nothing on record is `{word}`{near} To write it anyway: {column}={word}!"
        )))
    })
}

/// One field that is corrected.
#[derive(Debug, PartialEq, Eq)]
struct Change {
    /// The line of a person; nothing for the whole sheet.
    line: Option<usize>,
    column: &'static str,
    value: String,
    /// Whether a name that nobody has registered is meant.
    as_it_stands: bool,
}

fn changes(typed: &str, lines: usize, fields: &[&str]) -> Result<Vec<Change>, String> {
    let parts = parts(typed)?;
    let parts = parts.into_iter();
    parts.map(|part| change(part, lines, fields)).collect()
}

/// What stands between commas. Quotes hold a comma; a note alone, without quotes, holds them too.
fn parts(typed: &str) -> Result<Vec<&str>, String> {
    let mut quoted = false;
    let parts: Vec<&str> = typed
        .split(|it| {
            quoted ^= it == '"';
            it == ',' && !quoted
        })
        .collect();
    if quoted {
        return Err("a quote is opened and not closed".to_owned());
    }
    let note = typed.trim_start().strip_prefix("note=");
    if note.is_none_or(|it| it.trim_start().starts_with('"')) {
        return Ok(parts);
    }
    let is_field = |part: &&&str| {
        let field = part.split_once('=').map_or("", |it| it.0);
        let field = field.rsplit('.').next().unwrap_or_default().trim();
        SHEET_COLUMNS.contains(&field)
    };
    match parts.iter().skip(1).find(is_field) {
        Some(part) => Err(format!(
            "`{}` stands in the note: note=\"...\" with quotes, and the rest behind them",
            part.trim()
        )),
        None => Ok(vec![typed]),
    }
}

fn change(part: &str, lines: usize, fields: &[&str]) -> Result<Change, String> {
    let part = part.trim();
    let Some((field, value)) = part.split_once('=') else {
        return Err(format!(
            "`{part}` is no FIELD=VALUE, such as exposures=24, or 2.end=31 for line 2"
        ));
    };
    let (line, field) = match field.trim().split_once('.') {
        Some((line, field)) => (Some(line.trim()), field.trim()),
        None => (None, field.trim()),
    };
    let column = SHEET_COLUMNS.iter().find(|it| **it == field);
    let Some(column) = column else {
        let near = crate::answer::near(field, SHEET_COLUMNS.iter().copied());
        let near = near.first().map(|it| format!("; did you mean `{it}`?"));
        return Err(format!("`{field}` is no field{}", near.unwrap_or_default()));
    };
    if !fields.contains(column) {
        return Err(format!(
            "`{field}` is no field of a start: it goes on the sheet"
        ));
    }
    let of_person = PERSON_FIELDS.contains(column);
    let line = match (line, of_person) {
        (None, true) if lines > 1 => {
            return Err(format!("`{field}` of which line? 1.{field}, 2.{field} ..."));
        }
        (None, true) => Some(1),
        (None, false) => None,
        (Some(_), false) => return Err(format!("`{field}` is of the whole sheet: {field}=...")),
        (Some(line), true) => match line.parse().ok().filter(|it| (1..=lines).contains(it)) {
            Some(line) => Some(line),
            None => return Err(format!("there is no line `{line}`: 1 to {lines}")),
        },
    };
    let value = value.trim();
    let bare = value.strip_prefix('"').and_then(|it| it.strip_suffix('"'));
    let value = bare.unwrap_or(value);
    let name = value.strip_suffix('!').filter(|_| *column != "note");
    Ok(Change {
        line,
        column,
        value: name.unwrap_or(value).to_owned(),
        as_it_stands: name.is_some(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_correction_names_the_line_of_a_person_and_may_have_several_fields() {
        let shown = |typed: &str| {
            let all = changes(typed, 2, SHEET_COLUMNS).ok()?;
            let all = all.iter().map(|it| {
                let line = it.line.map(|line| format!("{line}.")).unwrap_or_default();
                format!("{line}{}>{}", it.column, it.value)
            });
            Some(all.collect::<Vec<_>>().join(" "))
        };
        for (typed, expected) in [
            ("2.end=31 mR", Some("2.end>31 mR")),
            ("exposures=24", Some("exposures>24")),
            ("meter=SM-02, 2.end=31", Some("meter>SM-02 2.end>31")),
            ("note=late, and wet", Some("note>late, and wet")),
            (
                r#"note="hot, windy day", 2.start=4"#,
                Some("note>hot, windy day 2.start>4"),
            ),
            (
                r#"2.start=4, note="hot, windy""#,
                Some("2.start>4 note>hot, windy"),
            ),
            ("note=hot, 2.start=4", None),
            (r#"note="hot, 2.start=4"#, None),
            ("begins=", Some("begins>")),
            ("meter=SM-02, 31", None),
            ("meter=SM-02,", None),
            ("end=31", None),
            ("3.end=31", None),
            ("0.end=31", None),
            ("1.meter=SM-02", None),
            ("nothing=1", None),
            ("maybe", None),
            ("", None),
        ] {
            assert_eq!(shown(typed).as_deref(), expected, "{typed}");
        }
    }

    #[test]
    fn a_start_takes_no_correction_of_what_only_its_sheet_has() {
        let start = ["day", "note", "worker", "start"];
        for (typed, taken) in [
            ("2.start=4", true),
            ("note=wet", true),
            ("2.end=7", false),
            ("2.off_scale=yes", false),
            ("exposures=3", false),
            ("2.start=4, locked=yes", false),
        ] {
            assert_eq!(changes(typed, 2, &start).is_ok(), taken, "{typed}");
        }
    }
}
