//! Events as the RSO opens, follows and closes them. Transcripts in golden files.

use super::cli_maintenance_shown::{kept, measured, sheet_of};
use super::cli_support::Place;

/// The test company after a disconnect.
fn disconnected(name: &str) -> Place {
    let mut place = kept(name);
    measured(&place, "2026-06-10", "5.85 mm");
    sheet_of(&place, "2026-06-14");
    place.run(
        "event open --kind disconnect --occurred 2026-06-14T13:40 \
         --discovered 2026-06-14T13:52 --job J-1 --place \"pipe rack, bay 3\" \
         --equipment D-1 --equipment C-1 --person \"W07=cranked the source out\" \
         --unmonitored \"a welder=stood at the fence\" --words \"the source stayed out\"",
    );
    place
}

#[test]
fn an_event_is_followed_from_the_first_words_to_its_end() {
    let mut place = disconnected("event-followed");
    place.run("event list");
    place.run(
        "event note E-1 --at 2026-06-14T13:41 --words \"survey meter stayed high\" \
         --barrier survey=present --person W07",
    );
    place.run(
        "event note E-1 --at 2026-06-15T06:00 --words \"the gauge was in the other truck\" \
         --disputes 30 --item connector-gauge --person \"the helper\"",
    );
    place.run("event cause E-1 --not-found --because \"not looked at yet\"");
    place.run(
        "event cause E-1 --of C-1 --component \"drive cable\" --failure disconnect \
         --because \"connector neck worn, seen under a lens\" --at 2026-06-15T06:30",
    );
    place.run(
        "event action E-1 --words \"all cables through the gauge\" --performed-by W01 --due \
        2026-06-20",
    );
    place.run("event link E-1 31 --worker W07 --dosimeter PD-07");
    place.refused("event close E-1 --performed-by W01 --words \"worn connector\"");
    place.run("event show E-1");
    place.run("event show E-1 --json");
    place.golden("event-followed");
}

/// What the ledger knew before a cause was found is still there.
#[test]
fn a_changed_cause_leaves_the_earlier_one_readable() {
    let place = disconnected("event-causes");
    place.done("event cause E-1 --not-found --because \"not looked at yet\"");
    let before = place.head();
    let entry = before.split(':').next().unwrap_or_default().to_owned();
    place.done(
        "event cause E-1 --of C-1 --component \"drive cable\" --failure disconnect --because \
         \"seen under a lens\"",
    );
    let now = place.done("event show E-1").out;
    assert!(
        now.contains("cause      drive cable of C-1: disconnect"),
        "{now}"
    );
    assert!(now.contains("not looked at yet"), "{now}");
    let then = place
        .done(&format!("event show E-1 --known-at {entry}"))
        .out;
    assert!(then.contains("cause      not found"), "{then}");
}

#[test]
fn what_cannot_be_of_an_event_is_refused() {
    let mut place = disconnected("event-refused");
    let open = |rest: &str| format!("event open --words x {rest}");
    let lines = [
        open("--kind disconect --occurred 2026-06-14T13:40"),
        open("--kind disconnect --occurred \"last week\""),
        open("--kind disconnect --occurred 2026-06-16T13:40"),
        open("--kind disconnect --occurred 2026-06-14T13:40 --discovered 2026-06-14T13:39"),
        open("--kind disconnect --occurred 2026-06-14T13:40 --equipment C-9"),
        open("--kind leaking-source --occurred 2026-04-10T13:40 --equipment S-1"),
        open("--kind disconnect --occurred 2026-06-14T13:40 --person W07"),
        open("--kind disconnect --occurred 2026-06-14T13:40 --person W07=a --person W07=b"),
        open("--kind disconnect --occurred 2026-06-14T13:40 --name E-1"),
        // The clocks go forward over the first and back over the second.
        open("--kind disconnect --occurred 2026-03-08T02:30"),
        open("--kind disconnect --occurred 2025-11-02T01:30"),
        "event note E-2 --at 2026-06-14T13:41 --words x".to_owned(),
        "event note E-1 --at 2026-06-14T13:41 --words x --barrier fence=absent".to_owned(),
        "event note E-1 --at 2026-06-14T13:41 --words x --disputes 2".to_owned(),
        "event note E-1 --at 2026-06-14T13:41 --words x --item connector-gage".to_owned(),
        "event cause E-1 --because x".to_owned(),
        "event cause E-1 --of C-1 --component S-tube --failure disconnect --because x".to_owned(),
        "event cause E-1 --of C-1 --component \"drive cable\" --failure rust --because x"
            .to_owned(),
        "event action E-1 --words x --performed-by W01".to_owned(),
        "event action E-1 --carries-out 2 --done 2026-06-15 --performed-by W01".to_owned(),
        "event link E-1 30 --worker W08 --dosimeter PD-07".to_owned(),
        "event link E-1 2".to_owned(),
        "event close E-1 --performed-by W07 --words x".to_owned(),
        "event close E-1 --performed-by W01 --words x".to_owned(),
    ];
    for line in &lines {
        let said = place.refused(line);
        assert!(
            said.err.contains("right:") || said.err.contains("hint:") || said.code == 2,
            "{line} is not told what would be right: {}",
            said.err
        );
    }
    place.golden("event-refused");
}

/// With its offset a moment that the clocks went over twice is one moment.
#[test]
fn an_hour_that_came_twice_is_taken_with_its_offset() {
    let place = kept("event-offset");
    place.done("event open --words x --kind disconnect --occurred 2025-11-02T01:30-06:00");
    let shown = place.done("event show E-1").out;
    assert!(
        shown.contains("occurred   2025-11-02 01:30 -06:00"),
        "{shown}"
    );
}

/// A device in an event may not be used until an inspection after it finds everything good.
#[test]
fn equipment_in_an_event_is_out_of_service_until_an_inspection_after_it() {
    let mut place = kept("event-withdrawn");
    let used = |place: &Place, day: &str| {
        sheet_of(place, day);
        let line = format!("findings --from {day} --to {day} --json");
        place
            .done(&line)
            .out
            .contains("\"check\": \"withdrawn-used\"")
    };
    place.done(
        "event open --kind drop-or-fire --occurred 2026-06-11T13:40 --equipment D-1 \
         --words \"fell from the truck\"",
    );
    assert!(used(&place, "2026-06-12"), "used after the drop");
    let after = |line: &str| {
        format!(
            "inspect enter --item D-1 --on 2026-06-12 --at 17:00 --when \"after an event\" \
             --performed-by W07 {line}"
        )
    };
    // One item with a defect, then the whole list good but one item left out: both keep it out.
    place.run(&after(
        "--line \"device-lock=defect, note=bent, action=tagged\"",
    ));
    place.run("equipment show D-1");
    assert!(used(&place, "2026-06-13"), "found with a defect");
    place.done(
        "inspect enter --item D-1 --on 2026-06-14 --at 06:00 --when \"after an event\" \
         --performed-by W07 --line \"device-surface-rate, value=20 mR/h\" \
         --line \"device-metre-rate, value=0.5 mR/h\" --line \"all others=good\"",
    );
    assert!(!used(&place, "2026-06-14"), "found good");
    place.run("equipment show D-1");
    place.golden("event-withdrawn");
}

/// A note of a day without an hour: taken, in its place on the time line, and in the draft.
#[test]
fn a_note_may_say_only_the_day_and_one_of_a_day_to_come_is_refused() {
    let mut place = Place::with_registers("event-note-day");
    place.done(
        "event open --kind disconnect --occurred 2026-06-12T13:40 --equipment D-1 --words \
         \"the source stayed out\" --name E-1",
    );
    place.run("event note E-1 --at 2026-06-13 --words \"home\"");
    place.done("event note E-1 --at \"before 2026-06-12\" --words \"cranking felt heavy\"");
    place.done("event note E-1 --at 2026-06-12T14:00 --words \"cleared\"");
    let shown = place.run("event show E-1").out;
    let at = |words: &str| {
        shown
            .find(words)
            .unwrap_or_else(|| panic!("{words}\n{shown}"))
    };
    assert!(at("cleared") < at("home"), "{shown}");
    assert!(at("before 2026-06-12 ") < at("cleared  "), "{shown}");
    place.refused("event note E-1 --at 2026-06-16 --words \"a day to come\"");
    place.refused("event note E-1 --at soon --words x");
    let out = place.path("draft").display().to_string();
    place.done(&format!("report draft E-1 --out {out}"));
    let files = std::fs::read_dir(&out).expect("the folder of the draft");
    let texts = files.map(|it| std::fs::read_to_string(it.expect("a file").path()));
    let text: String = texts.map(|it| it.expect("a text")).collect();
    assert!(text.contains("2026-06-13: home"), "{text}");
    place.golden("event-note-day");
}
