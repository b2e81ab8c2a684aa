//! Bodies of the kinds of inspection and maintenance for the random commands: equipment, parts,
//! inspections, checks with points, servicing, leak tests, inventories, source exchanges,
//! checklists.

use wearbook::calendar::Day;
use wearbook::quantity::Activity;
use wearbook::record::*;

/// How many kinds there are here.
pub const KINDS: u8 = 9;

/// What a body is made of: its day, its words, and which records it may point to.
pub struct Parts {
    pub name: u8,
    pub content: u8,
    pub on: Day,
    pub words: String,
    pub equipment: [RecordId; 2],
    pub instrument: RecordId,
    pub worker: RecordId,
    pub list: RecordId,
}

pub fn body(kind: u8, of: Parts) -> Body {
    let Parts {
        name,
        content,
        on,
        words,
        equipment: [one, other],
        instrument,
        worker,
        list,
    } = of;
    match kind {
        0 => equipment(name, content, words).into(),
        1 => ListAdoption {
            from: on,
            name: format!("list {name}"),
            text: words,
        }
        .into(),
        2 => InstalledPart {
            by: words,
            component: "drive cable".to_owned(),
            equipment: one.into(),
            installed_on: on,
            limit: (content == 1).then(|| "5.8 mm".to_owned()),
            line: (content == 1).then(|| "cable-diameter".to_owned()),
            lot: None,
            nominal: (content == 1).then(|| "6 mm".to_owned()),
            serial: (content == 1).then(|| "K-1".to_owned()),
        }
        .into(),
        3 => inspection(on, content, &words, [one, other], worker, list).into(),
        4 => check(on, content, words, instrument).into(),
        5 => Servicing {
            by: words,
            instrument: instrument.into(),
            on,
            kind: ServicingType::ALL[usize::from(content) % 2],
            what: "new tube".to_owned(),
        }
        .into(),
        6 => leak_test(on, content, words, one).into(),
        7 => Inventory {
            by: words,
            found: if one == other {
                vec![one.into()]
            } else {
                vec![one.into(), other.into()]
            },
            location: None,
            note: None,
            on,
        }
        .into(),
        _ => Loading {
            by: words,
            device: one.into(),
            on,
            source: other.into(),
        }
        .into(),
    }
}

fn equipment(name: u8, content: u8, serial: String) -> Equipment {
    Equipment {
        held: Vec::new(),
        activity_bq: None,
        activity_on: None,
        id: format!("E{name}"),
        in_service: None,
        maker: None,
        model: None,
        nuclide: None,
        received_by: None,
        received_from: None,
        received_on: None,
        serial,
        shipping_paper: None,
        kind: [EquipmentType::Device, EquipmentType::Control][usize::from(content) % 2],
        uranium_mass: None,
        uranium_tube: None,
    }
}

fn leak_test(on: Day, content: u8, by: String, item: RecordId) -> LeakTest {
    LeakTest {
        below: content == 2,
        by,
        certificate: None,
        item: item.into(),
        on,
        part: LeakPart::Source,
        removable_bq: Activity::parse(["5 Bq", "184 Bq"][usize::from(content) % 2], None)
            .expect("an activity"),
        row: None,
    }
}

fn inspection(
    on: Day,
    content: u8,
    words: &str,
    [one, other]: [RecordId; 2],
    worker: RecordId,
    list: RecordId,
) -> Inspection {
    let line = |item: &str, result| Line {
        action: None,
        item: item.to_owned(),
        note: None,
        result,
        value: None,
        with: None,
    };
    Inspection {
        at: (content == 2).then(|| "06:20".to_owned()),
        by: Ref::Known(worker.into()),
        counter: Some(i64::from(content)),
        item: one.into(),
        lines: vec![
            Line {
                value: Some("5.9 mm".to_owned()),
                ..line("cable-diameter", LineResult::Measured)
            },
            Line {
                action: Some("withdrawn".to_owned()),
                note: Some(words.to_owned()),
                ..line("crank", LineResult::Defect)
            },
            Line {
                with: Some(other).filter(|it| *it != one).map(Into::into),
                ..line("connector-mating", LineResult::Good)
            },
        ],
        list: list.into(),
        note: None,
        paper_form: None,
        on,
        row: None,
        when: Occasion::Quarterly,
    }
}

fn check(on: Day, content: u8, words: String, instrument: RecordId) -> Check {
    let point = |as_left, reads: &str| CheckPoint {
        as_left,
        reads: Some(reads.to_owned()),
        scale: None,
        true_value: "100 mR".to_owned(),
    };
    let mut points = vec![point(false, "75 mR")];
    if content > 0 {
        points.push(point(true, "99 mR"));
    }
    Check {
        by: words,
        certificate: None,
        instrument: instrument.into(),
        on,
        points,
        result: CheckResult::Pass,
        row: None,
        kind: CheckType::Response,
    }
}

/// The body with other content, so that its name and references stay.
pub fn correct(body: &mut Body, words: String) {
    match body {
        Body::Equipment(it) => it.serial = words,
        Body::ListAdoption(it) => it.text = words,
        Body::InstalledPart(it) => it.serial = Some(words),
        Body::Inspection(it) => it.lines[1].note = Some(words),
        Body::Servicing(it) => it.what = words,
        Body::LeakTest(it) => it.by = words,
        Body::Inventory(it) => it.note = Some(words),
        Body::Loading(it) => it.by = words,
        _ => {}
    }
}
