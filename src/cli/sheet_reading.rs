//! What each of the crew read off, and what was done before the work: a line a dosimeter.

use super::failure::Failure;
use super::run::Session;
use super::sheet::put;
use super::sheet_ask::{Asking, Question, Read, faulty, yes};
use super::sheet_crew::Standing;
use super::sheet_settle::stops_so_far;
use crate::answer::{Member, face_unit};
use crate::show::{Report, stops_report};

/// A part of a shift with one dosimeter: what it showed at the beginning and at the end.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Part {
    start: String,
    end: String,
    off: bool,
}

/// One line: the readings, and yes or no to what was asked with them.
type Line = (Vec<Part>, Vec<bool>);

/// The readings, alarms and badges of the crew; a row a dosimeter or part. A dosimeter off its
/// scale stops its wearer as soon as it is typed.
pub(super) fn people(
    asking: &mut Asking<'_, '_>,
    by: Option<&str>,
    head: &[String],
    standing: &Standing,
    rows: &mut Vec<Vec<String>>,
) -> Result<(), Failure> {
    asking.session.output.talk_report(&Report::new(
        "Start and end as `0 12`, off scale as `0 off`, set back to zero in between as `0 12 / 0 \
         8`; y or n to what is asked behind them: `0 12 y y`.",
    ))?;
    for member in &standing.crew {
        let off = person(asking, head, member, rows)?;
        if off {
            let stops = stops_so_far(asking.session, by, rows)?;
            asking.session.output.talk_report(&stops_report(&stops))?;
        }
    }
    Ok(())
}

/// One person; whether a dosimeter is off its scale.
fn person(
    asking: &mut Asking<'_, '_>,
    head: &[String],
    member: &Member,
    rows: &mut Vec<Vec<String>>,
) -> Result<bool, Failure> {
    let who = &member.worker;
    let mut base = head.to_vec();
    put(&mut base, "worker", who.clone());
    put(
        &mut base,
        "role",
        member.role.map_or("", crate::record::Words::word),
    );
    put(&mut base, "ratemeter", member.ratemeter.clone());
    let mut asked = Vec::new();
    if !member.ratemeter.is_empty() {
        asked.push((
            "alarm_tested",
            format!("alarm of {} heard before use", member.ratemeter),
        ));
    }
    asked.push(("badge_worn", "badge worn".to_owned()));
    let first = rows.len();
    let mut off = false;
    let mut said: Option<Vec<bool>> = None;
    for dosimeter in &member.dosimeters {
        // What is asked once a person goes with the first of the dosimeters.
        let questions: &[(&str, String)] = if said.is_none() { &asked } else { &[] };
        let (parts, answers) = readings(asking, who, dosimeter, questions)?;
        if said.is_none() && !answers.is_empty() {
            said = Some(answers);
        }
        off |= parts.iter().any(|it| it.off);
        for (part, number) in parts.iter().zip(1..) {
            rows.push(row_of(&base, dosimeter, part, number));
        }
    }
    if rows.len() == first {
        rows.push(base);
    }
    let answers = match said {
        Some(answers) => answers,
        None => each(asking, who, &asked)?,
    };
    for row in rows.iter_mut().skip(first) {
        for ((column, _), yes) in asked.iter().zip(&answers) {
            put(row, column, if *yes { "yes" } else { "no" });
        }
    }
    Ok(off)
}

/// Asked one by one, where they did not stand behind the readings.
fn each(
    asking: &mut Asking<'_, '_>,
    who: &str,
    asked: &[(&str, String)],
) -> Result<Vec<bool>, Failure> {
    let mut answers = Vec::new();
    for (column, label) in asked {
        let key = format!("{column}.{who}");
        answers.push(asking.yes(&key, &format!("{who}: {label}"), None)?);
    }
    Ok(answers)
}

fn row_of(base: &[String], dosimeter: &str, part: &Part, number: usize) -> Vec<String> {
    let mut row = base.to_vec();
    put(&mut row, "dosimeter", dosimeter);
    put(&mut row, "part", number.to_string());
    put(&mut row, "start", part.start.clone());
    put(&mut row, "end", part.end.clone());
    put(&mut row, "off_scale", if part.off { "yes" } else { "no" });
    row
}

fn readings(
    asking: &mut Asking<'_, '_>,
    who: &str,
    dosimeter: &str,
    asked: &[(&str, String)],
) -> Result<Line, Failure> {
    let face = asking
        .session
        .ask(None, |_, house| Ok(face_unit(house, dosimeter)))?;
    let unit = match &face {
        Some(face) => format!("in {face}"),
        None => "each with the unit on its face, `0mR 12mR`".to_owned(),
    };
    let behind: Vec<&str> = asked.iter().map(|it| it.1.as_str()).collect();
    let behind = match behind.as_slice() {
        [] => String::new(),
        all => format!("; y or n: {}", all.join(", ")),
    };
    let label = format!("{who} {dosimeter}: start and end {unit}{behind}");
    let key = format!("reading.{who}.{dosimeter}");
    let question = Question {
        key: &key,
        label: &label,
        proposal: "",
    };
    asking.ask(&question, |session, typed| {
        let read = line(typed, asked.len());
        let Ok((parts, _)) = &read else {
            return Ok(read);
        };
        for part in parts {
            if let Some(wrong) = wrong_part(session, dosimeter, part)? {
                return Ok(Err(wrong));
            }
        }
        Ok(read)
    })
}

fn wrong_part(
    session: &mut Session<'_>,
    dosimeter: &str,
    part: &Part,
) -> Result<Option<String>, Failure> {
    let given = [
        ("dosimeter", dosimeter),
        ("start", part.start.as_str()),
        ("end", part.end.as_str()),
    ];
    faulty(session, &given)
}

/// Reads `0 12 y y`, `0 off y y`, `0 12 / 0 8 y n`: all that is asked behind the readings, or
/// nothing of it.
fn line(typed: &str, asked: usize) -> Read<Line> {
    let wanted = || {
        let behind = " y".repeat(asked);
        format!("two readings, such as `0 12{behind}`, or `0 off{behind}` when it is off its scale")
    };
    let mut words: Vec<&str> = typed.split_whitespace().collect();
    let mut answers = Vec::new();
    while let Some(answer) = words.last().and_then(|it| yes(it)) {
        answers.insert(0, answer);
        words.pop();
    }
    if !answers.is_empty() && answers.len() != asked {
        let asked = match asked {
            0 => "nothing is asked behind the readings".to_owned(),
            1 => "one y or n behind the readings".to_owned(),
            many => format!("{many} times y or n behind the readings"),
        };
        return Err(asked);
    }
    let parts = words.split(|it| *it == "/").map(part);
    match parts.collect::<Option<Vec<Part>>>() {
        Some(parts) => Ok((parts, answers)),
        None => Err(wanted()),
    }
}

/// A start and an end, each with its unit behind it or not.
fn part(words: &[&str]) -> Option<Part> {
    let is_off = |it: &str| {
        let it = it.to_lowercase().replace(['-', '/'], "");
        matches!(it.as_str(), "off" | "os" | "offscale")
    };
    let (start, end) = match words {
        [start, end] => ((*start).to_owned(), (*end).to_owned()),
        [start, unit, end] if is_off(end) => (format!("{start} {unit}"), (*end).to_owned()),
        [start, unit, end, again] => (format!("{start} {unit}"), format!("{end} {again}")),
        _ => return None,
    };
    let off = is_off(&end);
    Some(Part {
        start,
        end: if off { String::new() } else { end },
        off,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn readings_are_typed_in_one_line() {
        let shown = |typed: &str| {
            let (parts, answers) = line(typed, 2).ok()?;
            let parts = parts.iter().map(|it| {
                let end = if it.off { "off" } else { &it.end };
                format!("{}>{end}", it.start)
            });
            let answers = answers.iter().map(|it| if *it { "yes" } else { "no" });
            let answers = answers.map(str::to_owned);
            Some(parts.chain(answers).collect::<Vec<_>>().join(" "))
        };
        for (typed, expected) in [
            ("0 12", Some("0>12")),
            ("0 OFF", Some("0>off")),
            ("0 o/s y n", Some("0>off yes no")),
            ("0mR 12mR", Some("0mR>12mR")),
            ("0 mR 12 mR yes no", Some("0 mR>12 mR yes no")),
            ("0 mR off", Some("0 mR>off")),
            ("0 12 / 0 8", Some("0>12 0>8")),
            ("0 12 / 0 8 n y", Some("0>12 0>8 no yes")),
            ("0 12 y", None),
            ("0 12 y y y", None),
            ("12", None),
            ("", None),
            ("y y", None),
            ("0 12 8", None),
        ] {
            assert_eq!(shown(typed).as_deref(), expected, "{typed}");
        }
    }
}
