//! The end-of-shift sheet as a form: what was so last time is there, what was read, surveyed,
//! checked, timed and signed never is.

use maud::{Markup, html};

use super::sheet_typed::{Part, first_of_person, is_bare, of_row, rows, with_unit};
use crate::answer::{
    AnswerError, OfferedType, OpenHouse, SheetOffer, face_unit, is_recharged, meter_unit,
    open_starts, sheet_offer,
};
use crate::intake::PERSON_FIELDS;
use crate::ledger::Instant;
use crate::page::shell::asked::Fields;
use crate::page::shell::field::{Field, Wrong, YES_NO, line, named, pick, select, text, tick};
use crate::page::shell::scanned::scan;
use crate::record::{Role, ShiftName, Words, Work};

/// Everything from which the form chooses.
pub struct Choices {
    jobs: Vec<(String, String)>,
    people: Vec<(String, String)>,
    dosimeters: Vec<(String, String)>,
    ratemeters: Vec<(String, String)>,
    units: Vec<(String, String)>,
    pocket: Vec<String>,
    meter: Option<String>,
    started: Option<String>,
}

impl Choices {
    /// A person by name, with the id.
    pub fn name<'a>(&'a self, id: &'a str) -> &'a str {
        let known = self.people.iter().find(|it| it.0 == id);
        known.map_or(id, |it| it.1.as_str())
    }

    /// The unit that a dosimeter shows.
    fn unit(&self, dosimeter: &str) -> Option<&str> {
        let known = self.units.iter().find(|it| it.0 == dosimeter);
        known.map(|it| it.1.as_str())
    }

    /// What was read on a dosimeter, with the unit that stood beside it.
    pub fn reading(&self, dosimeter: &str, value: &str) -> String {
        with_unit(value, self.unit(dosimeter).unwrap_or_default())
    }
}

/// From what the form chooses, with the units of what is typed.
pub fn choices(
    house: &OpenHouse<'_>,
    typed: &Fields,
    now: Instant,
) -> Result<Choices, AnswerError> {
    let offer: SheetOffer = sheet_offer(house, now)?;
    let all = (1..=rows(typed)).map(|row| typed.get(&of_row(row, "dosimeter")).to_owned());
    let dosimeters: Vec<String> = all.collect();
    let unit = |id: &String| Some((id.clone(), face_unit(house, id)?));
    let pocket = dosimeters.iter().filter(|it| is_recharged(house, it));
    let starts = open_starts(house, now)?;
    let said = typed.get("shift_start");
    let started = starts.iter().find(|it| it.record.to_string() == said);
    let worn = |kind: OfferedType| {
        let all = offer.worn.iter().filter(|it| it.kind == kind);
        all.map(|it| (it.id.clone(), it.id.clone())).collect()
    };
    Ok(Choices {
        jobs: offer
            .jobs
            .iter()
            .map(|(id, place)| (id.clone(), format!("{id} {place}")))
            .collect(),
        people: offer
            .people
            .iter()
            .map(|it| (it.worker.clone(), format!("{} ({})", it.name, it.worker)))
            .collect(),
        dosimeters: worn(OfferedType::Dosimeter),
        ratemeters: worn(OfferedType::Ratemeter),
        units: dosimeters.iter().filter_map(unit).collect(),
        pocket: pocket.cloned().collect(),
        meter: meter_unit(house, typed.get("meter")),
        started: started.map(|it| it.words.clone()),
    })
}

/// Words of a kind, each with itself.
fn words_of<W: Words>() -> Vec<(&'static str, &'static str)> {
    W::ALL.iter().map(|it| (it.word(), it.word())).collect()
}

fn listed<W: Words>() -> Vec<(String, String)> {
    let all = words_of::<W>().into_iter();
    all.map(|(a, b)| (a.to_owned(), b.to_owned())).collect()
}

/// The form's fields.
pub fn fields(typed: &Fields, choices: &Choices, wrong: &Wrong, part: Part) -> Markup {
    let of = |name, label, hint| Field::typed(typed, name, label, hint);
    let is_end = part == Part::End;
    html! {
        @if wrong.is("sheet") { div id="sheet" { (wrong.beside("sheet")) } }
        input type="hidden" name="sheet" value=(typed.get("sheet"));
        input type="hidden" name="shift_start" value=(typed.get("shift_start"));
        input type="hidden" name="meter_late" value=(typed.get("meter_late"));
        input type="hidden" name="rows" value=(typed.get("rows"));
        @if let Some(words) = &choices.started {
            div.go {
                p { "The start of this shift is on record: " span translate="no" { (words) } }
            }
        } @else if is_end {
            p.small {
                "No start of this shift is on record. What was done before the work is asked here \
                 and kept as recorded at the end."
            }
        }
        @if !typed.get("paper_form").is_empty() || wrong.is("paper_form") {
            section.card {
                h2 { "Copied from paper" }
                input type="hidden" name="paper_form" value=(typed.get("paper_form"));
                (wrong.beside("paper_form"))
                p { "Form " (typed.get("paper_form")) }
                (named(of("paper_signer", "Who signed the paper", ""), &choices.people, wrong))
                (line(Field {
                    kind: "date", ..of("paper_date", "Date beside the signature", "")
                }, wrong))
            }
        }
        section.card {
            h2 { "Shift" }
            (line(Field { kind: "date", ..of("day", "Day on which it began", "") }, wrong))
            (pick(of("shift", "Shift", ""), &words_of::<ShiftName>(), wrong))
            div.pair {
                (line(Field { kind: "time", ..of("begins", "Began", "") }, wrong))
                @if is_end { (line(Field { kind: "time", ..of("ends", "Ended", "") }, wrong)) }
            }
            (named(of("job", "Job", ""), &choices.jobs, wrong))
            @if is_end { (line(of("site", "Site", "where that is not the job's place"), wrong)) }
            (select(of("work", "Work", ""), &listed::<Work>(), wrong))
        }
        (set(typed, part, wrong))
        (meter(typed, wrong))
        @if is_end { (source(typed, choices, wrong)) }
        @for row in 1..=rows(typed) { (person(typed, row, (choices, part), wrong)) }
        p { button name="do" value="person" { "Add a person or a dosimeter" } }
        section.card {
            @if is_end {
                h2 { "Signed" }
                (named(of("signed_by", "Radiographer who signs", ""), &choices.people, wrong))
                (named(of("attested_by", "Who attests the sheet", ""), &choices.people, wrong))
            }
            (text(of("note", "Anything else", ""), wrong))
        }
    }
}

/// The equipment of last time, folded away until it has to be changed.
fn set(typed: &Fields, part: Part, wrong: &Wrong) -> Markup {
    let all_equipment = [
        ("device", "Exposure device", ""),
        ("source", "Source assembly", ""),
        ("control_unit", "Control unit", ""),
        ("guide_tubes", "Guide tubes", "separated by spaces"),
        ("meter", "Survey meter", ""),
    ];
    let ids: Vec<&str> = all_equipment.iter().map(|it| typed.get(it.0)).collect();
    let open = ids.iter().all(|it| it.is_empty()) || all_equipment.iter().any(|it| wrong.is(it.0));
    html! {
        section.card {
            h2 { "Set" }
            p {
                @for id in ids.iter().flat_map(|it| it.split(' ')) {
                    span.w translate="no" { (id) } " "
                }
            }
            (scan(part.draft(), "set", wrong.of_scan("set")))
            details open[open] {
                summary { "Change the set" }
                @for (name, label, hint) in all_equipment {
                    (line(Field::typed(typed, name, label, hint), wrong))
                }
            }
        }
    }
}

/// The survey meter's check.
fn meter(typed: &Fields, wrong: &Wrong) -> Markup {
    let checked = Field::typed(typed, "meter_checked", "Meter checked before use", "");
    html! {
        @if !typed.get("meter").is_empty() || wrong.is("meter_checked") {
            section.card { (pick(checked, YES_NO, wrong)) }
        }
    }
}

/// What was done with the source.
fn source(typed: &Fields, choices: &Choices, wrong: &Wrong) -> Markup {
    let of = |name, label, hint| Field::typed(typed, name, label, hint);
    let rate = |name, label, hint| Field {
        unit: choices.meter.as_deref(),
        keys: "decimal",
        ..of(name, label, hint)
    };
    let rate_hint = match choices.meter {
        Some(_) => "",
        None => "with its unit, such as 1.8 mR/h",
    };
    html! {
        section.card {
            h2 { "Exposures and surveys" }
            input type="hidden" name="unit" value=(choices.meter.as_deref().unwrap_or_default());
            div.pair {
                (line(Field { keys: "numeric", ..of("exposures", "Exposures", "") }, wrong))
                (line(Field { kind: "time", ..of("first_exposure", "First at", "") }, wrong))
            }
            (line(Field {
                keys: "numeric", unit: Some("min"), ..of("source_out_min", "Source out, in all", "")
            }, wrong))
            (line(rate("boundary", "Highest rate at the boundary", rate_hint), wrong))
            div.pair {
                (line(Field { kind: "time", ..of("device_out", "Device left storage", "") }, wrong))
                (line(Field { kind: "time", ..of("device_back", "Device was back", "") }, wrong))
            }
            (line(rate("storage_survey", "Survey before storage", rate_hint), wrong))
            (line(of("storage_distance", "How far from the device",
                "such as 1 m, or surface"), wrong))
            (line(of("storage_meter", "With which meter", "where it is another"), wrong))
            (pick(of("locked", "Device locked in storage", ""), YES_NO, wrong))
        }
    }
}

/// One person with one dosimeter.
fn person(typed: &Fields, row: usize, (choices, part): (&Choices, Part), wrong: &Wrong) -> Markup {
    let is_end = part == Part::End;
    let name = |column: &str| of_row(row, column);
    let dosimeter = typed.get(&name("dosimeter"));
    let who = typed.get(&name("worker"));
    let first = first_of_person(typed, row, "role") == name("role");
    let unit = choices.unit(dosimeter);
    let names: Vec<String> = PERSON_FIELDS.iter().map(|it| name(it)).collect();
    let of = |column: &str, label: &'static str, hint: &'static str| {
        let place = PERSON_FIELDS
            .iter()
            .position(|it| *it == column)
            .unwrap_or(0);
        let name = names.get(place).map_or("", String::as_str);
        Field::typed(typed, name, label, hint)
    };
    let reading = |column, label| in_unit(of(column, label, ""), unit);
    let place = format!("r{row}");
    let said = wrong.of_scan(&place);
    let changed = who.is_empty()
        || said.is_some()
        || ["worker", "role", "dosimeter"]
            .iter()
            .any(|it| wrong.is(&name(it)));
    let number = typed.get(&name("part"));
    html! {
        section.card {
            h2 {
                span translate="no" { (choices.name(who)) } " "
                span.w translate="no" { (dosimeter) }
                @if !matches!(number, "" | "1") { ", part " (number) }
            }
            details open[changed] {
                summary { "Change who, role or dosimeter" }
                (scan(part.draft(), &place, said))
                (named(of("worker", "Who", "blank leaves this line out"), &choices.people, wrong))
                @if first { (select(of("role", "Acted as", ""), &listed::<Role>(), wrong)) }
                (named(of("dosimeter", "Dosimeter", ""), &choices.dosimeters, wrong))
                @if first {
                    (named(of("ratemeter", "Alarm ratemeter", ""), &choices.ratemeters, wrong))
                }
                @if first { (line(of("badge", "Badge's number", "where it is another"), wrong)) }
                @if is_end {
                    (line(Field { keys: "numeric", ..of("part", "Part of the shift", "") }, wrong))
                }
                input type="hidden" name=(name("late")) value=(typed.get(&name("late")));
                (wrong.beside(&name("late")))
            }
            div.pair {
                (line(reading("start", "Start"), wrong))
                @if is_end { (line(reading("end", "End"), wrong)) }
                @if is_end {
                    button name="do" value={ "rezero " (row) } { "Set to zero in between" }
                    div.field { (tick(of("off_scale", "Off scale", ""), wrong)) }
                }
            }
            (before_work(typed, row, (choices, first), wrong))
        }
    }
}

/// A reading, with its unit beside the field.
fn in_unit<'a>(field: Field<'a>, unit: Option<&'a str>) -> Field<'a> {
    let bare = unit.and_then(|it| field.value.strip_suffix(it));
    let bare = bare.map(str::trim).filter(|it| is_bare(it));
    Field {
        keys: "decimal",
        unit,
        value: bare.unwrap_or(field.value),
        ..field
    }
}

/// What a person did before the work: folded away where the start of the shift has it.
fn before_work(
    typed: &Fields,
    row: usize,
    (choices, first): (&Choices, bool),
    wrong: &Wrong,
) -> Markup {
    let name = |column: &str| of_row(row, column);
    let dosimeter = typed.get(&name("dosimeter"));
    let pocket = choices.pocket.iter().any(|it| it == dosimeter);
    let sounds = first && !typed.get(&name("ratemeter")).is_empty();
    let asked = [
        (
            "recharged",
            "Recharged at the start",
            pocket && matches!(typed.get(&name("part")), "" | "1"),
        ),
        ("alarm_tested", "Alarm heard before use", sounds),
        ("badge_worn", "Badge worn", first),
    ];
    let asked: Vec<(String, &str)> = asked
        .into_iter()
        .filter(|it| it.2)
        .map(|(column, label, _)| (name(column), label))
        .collect();
    let known = |it: &(String, &str)| !typed.get(&it.0).is_empty() && !wrong.is(&it.0);
    let fields = html! {
        @for (name, label) in &asked { (pick(Field::typed(typed, name, label, ""), YES_NO, wrong)) }
    };
    html! {
        @if choices.started.is_some() && !asked.is_empty() && asked.iter().all(known) {
            details { summary { "Recorded at the start" } (fields) }
        } @else { (fields) }
    }
}
