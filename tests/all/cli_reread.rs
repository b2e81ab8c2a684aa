//! A correction of what no single row holds passes what its file or command passes: inspections,
//! calibrations with points, leak tests, events and what is learned of them.

use super::cli_maintenance_shown::kept;
use super::cli_support::{Place, Said};

/// The entry that an answer names first.
fn entry_of(said: &Said) -> String {
    let words = said.out.split_once("entry ").expect("an entry").1;
    words.chars().take_while(char::is_ascii_digit).collect()
}

fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Each correction is refused, and the answer has these words.
fn refused(place: &Place, entry: &str, corrections: &[(&str, &str)]) {
    for (change, words) in corrections {
        let said = place.quiet(&format!("entry correct {entry} \"{change}\" --reason slip"));
        let whole = format!("{change}\n{}{}", said.out, said.err);
        assert_eq!(said.code, 1, "{whole}");
        assert!(flat(&said.err).contains(words), "{words}: {whole}");
    }
}

fn taken(place: &Place, entry: &str, change: &str) -> Said {
    place.done(&format!("entry correct {entry} \"{change}\" --reason slip"))
}

#[test]
fn a_corrected_inspection_passes_what_its_file_passes() {
    let place = kept("reread-inspection");
    place.done(
        "inspect enter --item C-1 --on 2026-03-10 --when quarterly --performed-by W07 --counter \
        120 \
         --line \"cable-diameter, value=5.98 mm\"",
    );
    let said = place.done(
        "inspect enter --item C-1 --on 2026-06-12 --when quarterly --performed-by W07 --counter \
        140 \
         --line \"cable-diameter, value=5.9 mm\" --line \"connector-mating=good, with=D-1\"",
    );
    let entry = entry_of(&said);
    refused(
        &place,
        &entry,
        &[
            ("lines.1.value=5.9 Bq", "lines.1.value: `5.9 Bq`"),
            ("lines.1.value=60 mm", "lines.1.value: `60 mm` is outside"),
            (
                "lines.1.line=cable-diametre",
                "did you mean `cable-diameter`",
            ),
            (
                "lines.2.with=S-1",
                "is no exposure device, but a source assembly",
            ),
            ("lines.1.result=defect", "lines.1.note"),
            ("on=2026-06-16", "is in the future"),
            ("on=2019-06-12", "came into service on"),
            ("counter=119", "cycles do not go backwards"),
            ("item=D-1", "belongs to the list of the control unit"),
            ("when=weekly", "when: `weekly`"),
        ],
    );
    // Its own old count is not in the way of a lower one.
    taken(&place, &entry, "counter=139");
}

#[test]
fn a_corrected_calibration_passes_what_its_file_passes() {
    let place = kept("reread-calibration");
    let said = place.done(
        "instrument calibrate SM-1 --performed-by Laboratory --on 2026-06-14 \
         --point \"found, scale=10 mR/h, true=3.3 mR/h, reads=3.5 mR/h\"",
    );
    let entry = entry_of(&said);
    refused(
        &place,
        &entry,
        &[
            ("points.1.scale=20 mR/h", "is no scale of this meter"),
            (
                "points.1.true=33 mR/h",
                "is above the full scale of `10 mR/h`",
            ),
            ("points.1.true=3.3", "points.1.true: `3.3`"),
            ("points.1.reads=5 mR/h", "says pass, and its points do not"),
            ("on=2026-06-16", "is in the future"),
            ("on=2024-01-07", "came into service on"),
            ("instrument=D-1", "is an exposure device"),
        ],
    );
    taken(&place, &entry, "points.1.reads=3.4 mR/h");
}

#[test]
fn a_corrected_leak_test_passes_what_its_file_passes() {
    let place = Place::with_registers("reread-leak-test");
    let said = place.done(
        "equipment leak-test --item S-1 --on 2026-06-12 --part source --removable \"3 Bq\" \
         --performed-by Laboratory",
    );
    let entry = entry_of(&said);
    refused(
        &place,
        &entry,
        &[
            ("item=D-1", "is an exposure device"),
            ("item=SM-1", "is a survey meter"),
            ("part=shield tube", "is a source assembly"),
            ("removable=3 mR", "removable: `3 mR`"),
            ("on=2026-06-16", "is in the future"),
            ("on=2026-04-12", "came into service on"),
        ],
    );
    taken(&place, &entry, "removable=< 5 Bq");
}

#[test]
fn a_corrected_event_passes_what_its_command_passes() {
    let place = kept("reread-event");
    let said = place.done(
        "event open --kind disconnect --occurred 2026-06-14T13:40 --discovered 2026-06-14T13:52 \
         --job J-1 --equipment D-1 --person \"W07=cranked\" --words \"the source stayed out\"",
    );
    let event = entry_of(&said);
    refused(
        &place,
        &event,
        &[
            ("kind=disconect", "is no kind of event of the rule set"),
            ("occurred=2026-06-16T10:00", "is in the future"),
            ("occurred=2026-03-08T02:30", "is no time in America/Chicago"),
            (
                "occurred=2019-06-14T13:40",
                "came into service on 2020-01-06, after the event",
            ),
            ("occurred=yesterday", "occurred: `yesterday`"),
            ("discovered=2026-06-14T13:00", "is before it occurred"),
            ("equipment=D-1 D-9", "equipment"),
        ],
    );
    let said = place.done(
        "event cause E-1 --of C-1 --component \"drive cable\" --failure disconnect \
         --because \"neck worn\" --at 2026-06-15T06:30",
    );
    refused(
        &place,
        &entry_of(&said),
        &[
            (
                "component=crank handel",
                "is no component of a control unit",
            ),
            ("failure=gremlins", "is no failure mode of the checklist"),
            ("equipment=SM-1", "is no component of a survey meter"),
            ("known_at=2026-06-16T06:30", "is in the future"),
        ],
    );
    let said = place.done("event note E-1 --at 2026-06-14T13:41 --words x --item connector-gauge");
    refused(
        &place,
        &entry_of(&said),
        &[
            (
                "item=connector-gouge",
                "is no item of the checklist of that day",
            ),
            ("at=2026-06-16T13:41", "is in the future"),
        ],
    );
    // A time on the wall's clock gets its offset, as the command gives it.
    let said = taken(&place, &event, "occurred=2026-06-14T13:30");
    let shown = place.done(&format!("entry show {}", entry_of(&said))).out;
    assert!(
        flat(&shown).contains("occurred 2026-06-14T13:30-05:00"),
        "{shown}"
    );
    assert!(
        flat(&shown).contains("discovered 2026-06-14T13:52-05:00"),
        "{shown}"
    );
}
