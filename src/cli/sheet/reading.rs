//! What each of the crew read off, and what was done before the work: a line a dosimeter.

use super::ask::{Asking, Question, faulty};
use super::crew::Standing;
use super::row::{cell, put};
use super::written::{on_the_way, passes, stops_so_far};
use crate::answer::{Member, face_unit, is_recharged};
use crate::cli::frame::failure::Failure;
use crate::cli::frame::session::Session;
use crate::intake::{Line, Part, Wanted, read_line};
use crate::record::{ShiftStart, StartPart, StartPerson, Words};
use crate::rule::Finding;
use crate::show::stops_report;

/// What is asked once of a person: its column, its words and what of the start it is.
type Asked = (&'static str, &'static str, StartPart);

/// The readings of the crew at the start of their shift.
pub(crate) fn people_at_start(
    asking: &mut Asking<'_, '_>,
    head: &[String],
    standing: &Standing,
    rows: &mut Vec<Vec<String>>,
) -> Result<(), Failure> {
    asking
        .session
        .output
        .tell("What the dosimeter shows now, then y or n to each question: `0 y y y`.")?;
    for member in &standing.crew {
        Of::new(asking, head, member, None, true)?.person(asking, rows)?;
    }
    Ok(())
}

/// The readings, alarms and badges of the crew at the end; a row a dosimeter or part. A dosimeter
/// off its scale stops its wearer as soon as it is typed. What is not on record from the start is
/// asked, and marked as recorded late.
pub(crate) fn people(
    asking: &mut Asking<'_, '_>,
    by: Option<&str>,
    head: &[String],
    (standing, start): (&Standing, Option<&ShiftStart>),
    rows: &mut Vec<Vec<String>>,
) -> Result<(), Failure> {
    asking.session.output.tell(match start {
        None => {
            "Start and end as `0 12`, off scale as `0 off`, set back to zero in between as `0 12 \
             / 0 8`; then y or n to each question: `0 12 y y`. What was not recorded when it \
             was done is marked as recorded late."
        }
        Some(_) => {
            "The reading now, such as `12`; off scale as `off`; set back to zero in between as \
             `12 / 0 8`."
        }
    })?;
    for (member, at) in standing.crew.iter().zip(0..) {
        let began = start.and_then(|it| it.people.get(at));
        let of = Of::new(asking, head, member, began, false)?;
        if of.person(asking, rows)? {
            let stops = stops_so_far(asking.session, by, rows)?;
            on_the_way(asking.session, &stops);
            // What stands against others and their things is said with the whole sheet.
            let own = stops.into_iter().filter(|it| it.subject == member.worker);
            let own: Vec<Finding> = own.collect();
            asking.session.output.tell_stops(&own)?;
            asking.session.output.talk_report(&stops_report(&own))?;
        }
    }
    Ok(())
}

/// One of the crew, with what is on record from the start and what is to be asked.
struct Of<'m> {
    member: &'m Member,
    began: Option<&'m StartPerson>,
    at_start: bool,
    base: Vec<String>,
    asked: Vec<Asked>,
    /// The dosimeters that are recharged at each shift.
    pocket: Vec<String>,
}

impl<'m> Of<'m> {
    fn new(
        asking: &mut Asking<'_, '_>,
        head: &[String],
        member: &'m Member,
        began: Option<&'m StartPerson>,
        at_start: bool,
    ) -> Result<Of<'m>, Failure> {
        let mut base = head.to_vec();
        put(&mut base, "worker", member.worker.clone());
        put(&mut base, "role", member.role.map_or("", Words::word));
        put(&mut base, "ratemeter", member.ratemeter.clone());
        let pocket = asking.session.ask(None, |house| {
            let all = member.dosimeters.iter();
            Ok(all.filter(|it| is_recharged(house, it)).cloned().collect())
        })?;
        let pocket: Vec<String> = pocket;
        let mut of = Of {
            member,
            began,
            at_start,
            base,
            asked: Vec::new(),
            pocket,
        };
        if !of.pocket.is_empty() && of.recharged().is_none() {
            of.asked
                .push(("recharged", "recharged", StartPart::Recharge));
        }
        let alarm = began.and_then(|it| it.alarm_tested);
        let badge = began.and_then(|it| it.badge_worn);
        let on_record = |column, it: Option<bool>, base: &mut Vec<String>| {
            if let Some(it) = it {
                put(base, column, word(it));
            }
        };
        on_record("alarm_tested", alarm, &mut of.base);
        on_record("badge_worn", badge, &mut of.base);
        if !member.ratemeter.is_empty() && alarm.is_none() {
            of.asked
                .push(("alarm_tested", "alarm heard", StartPart::Alarm));
        }
        if badge.is_none() {
            let words = if at_start { "badge on" } else { "badge worn" };
            of.asked.push(("badge_worn", words, StartPart::Badge));
        }
        Ok(of)
    }

    /// Whether the dosimeters were recharged, as the start has it.
    fn recharged(&self) -> Option<bool> {
        self.began?.readings.iter().find_map(|it| it.recharged)
    }

    /// Asks one person; whether a dosimeter is off its scale.
    fn person(
        &self,
        asking: &mut Asking<'_, '_>,
        rows: &mut Vec<Vec<String>>,
    ) -> Result<bool, Failure> {
        let first = rows.len();
        let (mut off, mut late) = (false, Vec::new());
        let mut said: Option<Vec<bool>> = None;
        for (dosimeter, at) in self.member.dosimeters.iter().zip(0..) {
            let began = self.began.and_then(|it| it.readings.get(at));
            let start = began.and_then(|it| it.start).map(|it| it.to_string());
            let wanted = match (self.at_start, &start) {
                (true, _) => Wanted::Start,
                (false, Some(_)) => Wanted::End,
                (false, None) => Wanted::Both,
            };
            if wanted == Wanted::Both && !late.contains(&StartPart::Reading) {
                late.push(StartPart::Reading);
            }
            // What is asked once a person goes with the first of the dosimeters.
            let asked: &[Asked] = if said.is_none() { &self.asked } else { &[] };
            let (mut parts, answers) =
                readings(asking, (&self.member.worker, dosimeter), asked, wanted)?;
            if said.is_none() && !answers.is_empty() {
                said = Some(answers);
            }
            if let (Some(start), Some(part)) = (start, parts.first_mut()) {
                part.start = start;
            }
            for (part, number) in parts.iter().zip(1..) {
                let part_off = part.off || passes(asking.session, dosimeter, &part.end)?;
                let mut row = self.row(dosimeter, part, number);
                if !self.at_start {
                    put(&mut row, "off_scale", word(part_off));
                }
                rows.push(row);
                off |= part_off;
            }
        }
        if rows.len() == first {
            rows.push(self.base.clone());
        }
        let answers = match said {
            Some(answers) => answers,
            None => self.each(asking)?,
        };
        for row in rows.iter_mut().skip(first) {
            self.answered(row, &answers);
        }
        late.extend(self.asked.iter().map(|it| it.2));
        if !self.at_start {
            let late: Vec<&str> = late.iter().map(|it| it.word()).collect();
            for row in rows.iter_mut().skip(first) {
                put(row, "late", late.join(" "));
            }
        }
        Ok(off)
    }

    /// Puts what was answered into a row.
    fn answered(&self, row: &mut [String], answers: &[bool]) {
        let dosimeter = cell(row, "dosimeter");
        let first = cell(row, "part") == "1";
        let pocket = first && self.pocket.contains(&dosimeter);
        for ((column, _, part), yes) in self.asked.iter().zip(answers) {
            if *part != StartPart::Recharge || pocket {
                put(row, column, word(*yes));
            }
        }
        if let Some(recharged) = self.recharged().filter(|_| pocket) {
            put(row, "recharged", word(recharged));
        }
    }

    /// Asked one by one, where they did not stand behind the readings.
    fn each(&self, asking: &mut Asking<'_, '_>) -> Result<Vec<bool>, Failure> {
        let who = &self.member.worker;
        let mut answers = Vec::new();
        for (column, label, _) in &self.asked {
            let key = format!("{column}.{who}");
            let label = format!("{who}: {}", asking.language().say(label));
            answers.push(asking.yes(&key, &label, None)?);
        }
        Ok(answers)
    }

    fn row(&self, dosimeter: &str, part: &Part, number: usize) -> Vec<String> {
        let mut row = self.base.clone();
        put(&mut row, "dosimeter", dosimeter);
        put(&mut row, "part", number.to_string());
        put(&mut row, "start", part.start.clone());
        // At the start there is none.
        if !part.off {
            put(&mut row, "end", part.end.clone());
        }
        row
    }
}

fn word(yes: bool) -> &'static str {
    if yes { "yes" } else { "no" }
}

fn readings(
    asking: &mut Asking<'_, '_>,
    (who, dosimeter): (&str, &str),
    asked: &[Asked],
    wanted: Wanted,
) -> Result<Line, Failure> {
    let face = asking
        .session
        .ask(None, |house| Ok(face_unit(house, dosimeter)))?;
    let language = asking.language();
    let unit = face.unwrap_or_else(|| language.say("with unit, as `12mR`"));
    let behind: Vec<String> = asked.iter().map(|it| language.say(it.1)).collect();
    let behind = match behind.as_slice() {
        [] => String::new(),
        all => format!("; {}: {}", language.say("y/n"), all.join(", ")),
    };
    let what = match wanted {
        Wanted::Start => "now",
        Wanted::End => "end",
        Wanted::Both => "start end",
    };
    let what = language.say(what);
    let label = format!("{who} {dosimeter}: {what} ({unit}){behind}");
    let key = format!("reading.{who}.{dosimeter}");
    let question = Question {
        key: &key,
        label: &label,
        proposal: "",
    };
    let own = |typed: &str| language.typed(typed);
    asking.asked(&question, own, |session, typed| {
        let read = read_line(typed, asked.len(), wanted);
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
