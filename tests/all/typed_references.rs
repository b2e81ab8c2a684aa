//! References that want an item of one kind: a device, a source, a meter. Every such field of
//! every kind takes a right item and refuses a wrong one, when it is written and when it is
//! corrected.

use std::collections::BTreeSet;

use wearbook::record::{Field, Kind, Only, Shape};

use super::cli_support::{HEADER, Place, Said, row};

/// A field, an item that may stand there, and one of each wrong kind with what is said of it.
struct Case {
    kind: &'static str,
    field: &'static str,
    path: &'static str,
    right: &'static str,
    wanted: &'static str,
    wrong: &'static [(&'static str, &'static str)],
}

const fn case(
    [kind, field, path]: [&'static str; 3],
    [right, wanted]: [&'static str; 2],
    wrong: &'static [(&'static str, &'static str)],
) -> Case {
    Case {
        kind,
        field,
        path,
        right,
        wanted,
        wrong,
    }
}

const SOURCE: (&str, &str) = ("S-1", "a source assembly");
const DEVICE: (&str, &str) = ("D-1", "an exposure device");
const TUBE: (&str, &str) = ("G-1", "a guide tube");
const POCKET: (&str, &str) = ("PD-07", "a pocket dosimeter");
const RATEMETER: (&str, &str) = ("RM-07", "an alarm ratemeter");
const METER: (&str, &str) = ("SM-1", "a survey meter");

const DOSIMETER: &str = "a pocket or electronic dosimeter";

const CASES: &[Case] = &[
    case(
        ["sheet", "device", "device"],
        ["D-2", "an exposure device"],
        &[SOURCE, TUBE, POCKET],
    ),
    case(
        ["sheet", "source", "source"],
        ["S-2", "a source assembly"],
        &[DEVICE, METER],
    ),
    case(
        ["sheet", "control_unit", "control_unit"],
        ["C-2", "a control unit"],
        &[DEVICE, TUBE, RATEMETER],
    ),
    case(
        ["sheet", "guide_tubes", "guide_tubes"],
        ["G-2", "a guide tube"],
        &[DEVICE, SOURCE, METER],
    ),
    case(
        ["sheet", "meter", "meter"],
        ["SM-2", "a survey meter"],
        &[RATEMETER, POCKET, DEVICE],
    ),
    case(
        ["sheet", "storage_meter", "storage_meter"],
        ["SM-2", "a survey meter"],
        &[RATEMETER, DEVICE],
    ),
    case(
        ["shift start", "device", "device"],
        ["D-2", "an exposure device"],
        &[SOURCE, TUBE, POCKET],
    ),
    case(
        ["shift start", "source", "source"],
        ["S-2", "a source assembly"],
        &[DEVICE, METER],
    ),
    case(
        ["shift start", "control_unit", "control_unit"],
        ["C-2", "a control unit"],
        &[DEVICE, RATEMETER],
    ),
    case(
        ["shift start", "guide_tubes", "guide_tubes"],
        ["G-2", "a guide tube"],
        &[DEVICE, SOURCE],
    ),
    case(
        ["shift start", "meter", "meter"],
        ["SM-2", "a survey meter"],
        &[RATEMETER, POCKET],
    ),
    case(
        ["shift start", "people.ratemeter", "people.1.ratemeter"],
        ["RM-08", "an alarm ratemeter"],
        &[METER, POCKET],
    ),
    case(
        [
            "shift start",
            "people.readings.dosimeter",
            "people.1.readings.1.dosimeter",
        ],
        ["PD-09", DOSIMETER],
        &[RATEMETER, METER],
    ),
    case(
        ["sheet", "people.ratemeter", "people.1.ratemeter"],
        ["RM-08", "an alarm ratemeter"],
        &[METER, POCKET, TUBE],
    ),
    case(
        [
            "sheet",
            "people.readings.dosimeter",
            "people.1.readings.1.dosimeter",
        ],
        ["PD-09", DOSIMETER],
        &[RATEMETER, METER, SOURCE],
    ),
    case(
        ["loading", "device", "device"],
        ["D-2", "an exposure device"],
        &[SOURCE, TUBE, METER],
    ),
    case(
        ["source check", "sources", "sources"],
        ["S-2", "a source assembly"],
        &[DEVICE, TUBE],
    ),
    case(
        ["loading", "source", "source"],
        ["S-2", "a source assembly"],
        &[DEVICE, POCKET],
    ),
    case(
        ["determination", "dosimeter", "dosimeter"],
        ["PD-07", DOSIMETER],
        &[RATEMETER, DEVICE],
    ),
    case(
        ["event link", "dosimeter", "dosimeter"],
        ["PD-07", DOSIMETER],
        &[METER, SOURCE],
    ),
];

/// Every field under these that wants an item of some kind, by its path without places.
fn wanting(path: &str, fields: &[Field], found: &mut BTreeSet<String>) {
    fn of_shape(path: &str, shape: Shape, found: &mut BTreeSet<String>) {
        match shape {
            Shape::To(goal) | Shape::Named { goal, .. } if goal.only != Only::All => {
                found.insert(path.to_owned());
            }
            Shape::List { of, .. } => of_shape(path, *of, found),
            Shape::Group(fields) => wanting(path, fields, found),
            Shape::OneOf(groups) => groups
                .iter()
                .for_each(|(_, fields)| wanting(path, fields, found)),
            _ => {}
        }
    }
    for field in fields {
        of_shape(&super::corrections::under(path, field), field.shape, found);
    }
}

#[test]
fn every_field_that_wants_a_piece_of_one_sort_is_tried_here() {
    for kind in Kind::ALL {
        let mut wanted = BTreeSet::new();
        wanting("", kind.fields(), &mut wanted);
        let of_kind = CASES.iter().filter(|it| it.kind == kind.word());
        let tried: BTreeSet<String> = of_kind.map(|it| it.field.to_owned()).collect();
        assert_eq!(tried, wanted, "{}", kind.word());
    }
}

/// The test company with a second item of each kind and a sheet.
fn company(name: &str) -> Place {
    let place = Place::with_registers(name);
    for rest in [
        "equipment add --id D-2 --type \"exposure device\" --serial XD2",
        "equipment add --id C-2 --type \"control unit\" --serial XC2",
        "equipment add --id S-2 --type \"source assembly\" --serial XS2 --nuclide Ir-192 \
         --activity \"80 Ci\" --activity-on 2026-04-06",
        "instrument add --id SM-2 --type \"survey meter\" --serial S2 --scale digital",
    ] {
        place.done(rest);
    }
    place
}

const PERSON: &str = "W07,radiographer,PD-07,1,0,12,no,RM-07,yes,yes";

/// Takes in a sheet of one person, with one cell replaced.
fn sheet(place: &Place, column: &str, cell: &str) -> Said {
    let line = row("2026-06-12", "day", PERSON);
    let mut header: Vec<&str> = HEADER.trim().split(',').collect();
    let mut cells: Vec<&str> = line.trim().split(',').collect();
    match header.iter().position(|it| *it == column) {
        Some(at) => cells[at] = cell,
        None => {
            header.push(column);
            cells.push(cell);
        }
    }
    let (header, cells) = (header.join(","), cells.join(","));
    let file = place.file("one.csv", format!("{header}\n{cells}\n"));
    place.quiet(&format!("sheet import {file}"))
}

/// Records the start of a shift of one person, with one item replaced.
fn start(place: &Place, column: &str, equipment: &str) -> Said {
    let of = |name: &str, usual: &str| match name == column {
        true => equipment.to_owned(),
        false => usual.to_owned(),
    };
    place.quiet(&format!(
        "sheet start --day 2026-06-12 --shift day --job J-1 --work radiography --device {} \
         --source {} --control-unit {} --guide-tubes {} --meter {} --person \"worker=W07, \
         role=radiographer, dosimeter={}, start=0 mR, ratemeter={}\"",
        of("device", "D-1"),
        of("source", "S-1"),
        of("control_unit", "C-1"),
        of("guide_tubes", "G-1"),
        of("meter", "SM-1"),
        of("dosimeter", "PD-07"),
        of("ratemeter", "RM-07"),
    ))
}

/// Writes a record of the kind with this item in the field.
fn written((place, on): &(Place, String), case: &Case, item: &str) -> Said {
    let column = case.field.rsplit('.').next().unwrap_or_default();
    match case.kind {
        "sheet" => sheet(place, column, item),
        "shift start" => start(place, column, item),
        "source check" => place.quiet(&format!(
            "equipment source-check --type \"presence check\" --sources {item} --on 2026-06-10 \
             --performed-by W01"
        )),
        "loading" => {
            let (device, source) = match column {
                "device" => (item, "S-2"),
                _ => ("D-2", item),
            };
            place.quiet(&format!(
                "equipment load --device {device} --source {source} --on 2026-06-10 \
                --performed-by W01"
            ))
        }
        "determination" => place.quiet(&format!(
            "determination enter --worker W07 --sheet {on} --dosimeter {item} --quantity deep \
             --dose \"12 mrem\" --relation replaces --method co-worker --basis \"a co-worker\" \
             --on 2026-06-14 --performed-by W01"
        )),
        _ => place.quiet(&format!(
            "event link E-1 {on} --worker W07 --dosimeter {item}"
        )),
    }
}

/// The company, and the entry of the sheet that a record of the kind is about.
fn prepared(case: &Case, name: &str) -> (Place, String) {
    let place = company(name);
    let mut on = String::new();
    if ["determination", "event link"].contains(&case.kind) {
        on = entry_of(&sheet(&place, "meter", "SM-1"));
        place.done("event open --kind disconnect --occurred 2026-06-12T09:40 --words x");
    }
    (place, on)
}

/// The entry that an answer names first.
fn entry_of(said: &Said) -> String {
    let words = said.out.split_once("entry ").expect("an entry").1;
    words.chars().take_while(char::is_ascii_digit).collect()
}

fn refused(said: &Said, case: &Case, (equipment, is): (&str, &str), field: &str) {
    let whole = format!(
        "{} {field}={equipment}\n{}{}",
        case.kind, said.out, said.err
    );
    assert_eq!(said.code, 1, "{whole}");
    let text = said.err.split_whitespace().collect::<Vec<_>>().join(" ");
    for part in [&format!("{field}: `"), equipment, is, case.wanted] {
        assert!(text.contains(part), "says nothing of {part}: {whole}");
    }
}

#[test]
fn a_piece_of_another_kind_is_refused_where_it_is_written() {
    for (case, at) in CASES.iter().zip(1..) {
        let place = prepared(case, &format!("typed-written-{at}"));
        let column = case.field.rsplit('.').next().unwrap_or_default();
        for wrong in case.wrong {
            refused(&written(&place, case, wrong.0), case, *wrong, column);
        }
        let said = written(&place, case, case.right);
        assert_eq!(said.code, 0, "{} {column}\n{}", case.kind, said.err);
    }
}

#[test]
fn a_piece_of_another_kind_is_refused_where_it_is_corrected() {
    for (case, at) in CASES.iter().zip(1..) {
        let place = prepared(case, &format!("typed-corrected-{at}"));
        let first = match (case.kind, case.field) {
            ("sheet", _) => sheet(&place.0, "meter", "SM-1"),
            ("shift start", _) => start(&place.0, "meter", "SM-1"),
            ("source check", _) => written(&place, case, "S-1"),
            ("loading", "device") => written(&place, case, "D-1"),
            ("loading", _) => written(&place, case, "S-1"),
            _ => written(&place, case, case.right),
        };
        assert_eq!(first.code, 0, "{}", first.err);
        let entry = entry_of(&first);
        let amend = |equipment: &str| {
            place.0.quiet(&format!(
                "entry correct {entry} {}={equipment} --reason slip",
                case.path
            ))
        };
        for wrong in case.wrong {
            refused(&amend(wrong.0), case, *wrong, case.path);
        }
        // Of these the one dosimeter on the sheet is right and stands already.
        if !["determination", "event link"].contains(&case.kind) {
            let said = amend(case.right);
            assert_eq!(said.code, 0, "{}={}\n{}", case.path, case.right, said.err);
        }
    }
}
