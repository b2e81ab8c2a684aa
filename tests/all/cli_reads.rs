//! Badges that are read on demand, as a crew and its RSO use them: issued once, read at least each
//! quarter, never exchanged and never sent.

use super::cli_badges::{golden, ok, rehearsed};
use super::cli_support::{Place, row};

const ISSUE: &str = "badge issue --badge D-61 --type \"whole body\" --worker W07 \
     --first-day 2026-03-01 --last-day 2028-12-31 --on-demand yes";

/// W07 carries D-61 from 1 March and worked a shift of 12 mR on each of these days.
fn carried(name: &str, days: &[&str]) -> Place {
    let place = Place::with_registers(name);
    place.done(ISSUE);
    for day in days {
        worked(&place, day, "0,12,no");
    }
    place
}

/// One shift of W07: start, end and off-scale of PD-07.
fn worked(place: &Place, day: &str, read: &str) {
    let person = format!("W07,radiographer,PD-07,1,{read},RM-07,yes,yes");
    let sheet =
        row(day, "day", &person) + &row(day, "day", "W08,assistant,PD-08,1,1,9,no,RM-08,yes,yes");
    place.hand_in(&sheet);
}

fn json(place: &Place, line: &str) -> serde_json::Value {
    let out = place.done(&format!("{line} --json")).out;
    let all: serde_json::Value = serde_json::from_str(&out).expect("JSON");
    all["data"].clone()
}

/// W07's deep dose of the year in nanosievert: of record and provisional.
fn deep(place: &Place) -> (i64, i64) {
    let data = json(place, "dose show W07 --year 2026");
    let account = &data["totals"][0]["total"];
    let known = account["known_nsv"].as_i64().expect("a dose");
    let provisional = account["provisional"]["nsv"].as_i64().expect("a dose");
    (known - provisional, provisional)
}

fn stops(place: &Place) -> Vec<(String, String)> {
    let data = json(place, "work-status W07");
    let reasons = data["lines"][0]["reasons"].as_array().expect("reasons");
    let text = |it: &serde_json::Value| it.as_str().expect("words").to_owned();
    let both = reasons
        .iter()
        .map(|it| (text(&it["check"]), text(&it["what"])));
    both.collect()
}

#[test]
fn a_read_ends_a_wear_period_and_begins_the_next() {
    let mut place = Place::with_registers("reads-life");
    rehearsed(&mut place, ISSUE);
    for day in ["2026-05-10", "2026-05-20", "2026-06-02"] {
        worked(&place, day, "0,12,no");
    }
    rehearsed(
        &mut place,
        "badge read --badge D-61 --on 2026-05-20 --deep \"21 mrem\"",
    );
    // The shift after the read waits for the next one.
    ok(&mut place, "dose show W07 --year 2026");
    ok(&mut place, "badge list");
    let again = ok(
        &mut place,
        "badge read --badge D-61 --on 2026-05-20 --deep \"21 mrem\"",
    );
    assert!(
        again.starts_with("0 written, 1 were there already"),
        "{again}"
    );
    ok(
        &mut place,
        "badge accept --report \"read 2026-05-20\" --performed-by W01",
    );
    ok(&mut place, "dose reconcile --year 2026");
    rehearsed(
        &mut place,
        "badge read --badge D-61 --on 2026-06-10 --deep \"11 mrem\" --lens \"12 mrem\"",
    );
    ok(&mut place, "dose show W07 --year 2026 --why");
    ok(&mut place, "badge list");
    // Handed back, it is read a last time and issued no more.
    ok(&mut place, "badge return --badge D-61 --on 2026-06-12");
    rehearsed(
        &mut place,
        "badge read --badge D-61 --on 2026-06-13 --deep \"<1 mrem\"",
    );
    ok(&mut place, "badge list");
    assert!(place.done("hold list").out.starts_with("0 on hold"));
    golden(place, "reads-life");
}

#[test]
fn shifts_wait_as_provisional_for_the_next_read() {
    let place = carried("reads-provisional", &["2026-05-10", "2026-05-20"]);
    assert_eq!(deep(&place), (0, 240_000));
    let open = |place: &Place, since: &str| {
        let text = place.done("review 2026-06").out;
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        text.contains(&format!(
            "badge D-61, read on demand, not read since {since}"
        ))
    };
    assert!(open(&place, "2026-03-01"));
    place.done("badge read --badge D-61 --on 2026-05-15 --deep \"9 mrem\"");
    assert_eq!(deep(&place), (90_000, 120_000));
    place.done("badge read --badge D-61 --on 2026-05-20 --deep \"13 mrem\"");
    assert_eq!(deep(&place), (220_000, 0));
    // A shift that began after the read on its day is not in it, if somebody says so.
    worked(&place, "2026-06-02", "0,12,no");
    worked(&place, "2026-06-08", "0,12,no");
    place.done("badge read --badge D-61 --on 2026-06-02 --deep \"1 mrem\" --shifts-after yes");
    assert_eq!(deep(&place), (230_000, 240_000));
    place.done("badge read --badge D-61 --on 2026-06-08 --deep \"25 mrem\"");
    assert_eq!(deep(&place), (480_000, 0));
    assert!(open(&place, "2026-06-08"));
    place.done("ledger verify --full");
}

#[test]
fn a_read_that_cannot_be_is_refused_with_what_would_be_right() {
    let mut place = carried("reads-refused", &[]);
    for line in [
        "badge issue --badge B-08 --type \"whole body\" --worker W08 --first-day 2026-06-01 \
         --last-day 2026-06-30",
        "badge read --badge D-61 --on 2026-05-20 --deep \"21 mrem\" --total \"21 mrem\"",
    ] {
        ok(&mut place, line);
    }
    for line in [
        // Before the last read, in the future, before its issue.
        "badge read --badge D-61 --on 2026-05-10 --deep \"3 mrem\"",
        "badge read --badge D-61 --on 2026-07-10 --deep \"3 mrem\"",
        "badge read --badge D-61 --on 2026-02-10 --deep \"3 mrem\"",
        // One that is processed; one that nobody knows.
        "badge read --badge B-08 --on 2026-06-10 --deep \"3 mrem\"",
        "badge read --badge D-16 --on 2026-06-10 --deep \"3 mrem\"",
        // The same day again with another dose.
        "badge read --badge D-61 --on 2026-05-20 --deep \"22 mrem\" --total \"22 mrem\"",
        // The total went down; total and dose are not of one read; no dose at all.
        "badge read --badge D-61 --on 2026-06-10 --total \"20.9 mrem\"",
        "badge read --badge D-61 --on 2026-06-10 --total \"30 mrem\" --deep \"30 mrem\"",
        "badge read --badge D-61 --on 2026-06-10",
        // It goes to no processor.
        "badge send --badge D-61 --on 2026-06-10",
        "badge result --badge D-61 --report R-7 --reported-on 2026-06-10 --deep \"3 mrem\"",
        // Nobody reads another employer's badge on demand, nor a control.
        "badge issue --badge C-9 --type control --first-day 2026-06-01 --last-day 2026-06-30 \
         --on-demand yes",
        "badge issue --badge B-9 --type \"whole body\" --worker W08 --first-day 2026-07-01 \
         --last-day 2026-07-30 --last-read 2026-06-30",
    ] {
        place.refused(line);
    }
    ok(&mut place, "badge lost --badge D-61 --on 2026-06-12");
    place.refused("badge read --badge D-61 --on 2026-06-13 --deep \"3 mrem\"");
    golden(place, "reads-refused");
}

#[test]
fn a_running_total_gives_the_dose_since_the_read_before() {
    let mut place = carried("reads-total", &[]);
    let read = |place: &mut Place, on: &str, doses: &str| {
        rehearsed(place, &format!("badge read --badge D-61 --on {on} {doses}"));
        deep(place).0
    };
    assert_eq!(
        read(&mut place, "2026-04-01", "--total \"55.3 mrem\""),
        553_000
    );
    assert_eq!(
        read(&mut place, "2026-05-01", "--total \"0.6 mSv\""),
        600_000
    );
    // Without a total the next has nothing to be held against, unless the dose is said too.
    assert_eq!(read(&mut place, "2026-05-10", "--deep \"1 mrem\""), 610_000);
    place.refused("badge read --badge D-61 --on 2026-05-20 --total \"62 mrem\"");
    let both = "--deep \"1 mrem\" --total \"62 mrem\"";
    assert_eq!(read(&mut place, "2026-05-20", both), 620_000);
    assert_eq!(
        read(&mut place, "2026-06-01", "--total \"62 mrem\""),
        620_000
    );
    // Set back to zero: the dose is said, and the totals go on from there.
    let reset = "--deep \"2 mrem\" --total \"2 mrem\"";
    assert_eq!(read(&mut place, "2026-06-05", reset), 640_000);
    assert_eq!(
        read(&mut place, "2026-06-10", "--total \"5 mrem\""),
        670_000
    );
    golden(place, "reads-total");
}

#[test]
fn several_reads_come_in_as_a_file_or_not_at_all() {
    let mut place = carried("reads-file", &["2026-04-10"]);
    ok(
        &mut place,
        "badge issue --badge D-62 --type \"whole body\" --worker W08 --first-day 2026-03-01 \
         --last-day 2028-12-31 --on-demand yes",
    );
    place.shown_file(
        "wrong.csv",
        "badge,on,unit,deep,total\n\
         D-61,2026-04-30,mrem,11,\n\
         D-61,2026-04-15,mrem,11,\n\
         D-62,2026-04-30,,7,\n\
         D-63,2026-04-30,mrem,7,\n",
    );
    place.refused("badge reads DIR/wrong.csv");
    place.shown_file(
        "reads.csv",
        "badge,on,unit,deep,total\n\
         D-61,2026-04-30,mrem,11,\n\
         D-62,2026-04-30,mrem,,7\n\
         D-61,2026-05-31,mrem,0,\n\
         D-62,2026-05-31,mrem,,9\n",
    );
    rehearsed(&mut place, "badge reads DIR/reads.csv");
    let again = ok(&mut place, "badge reads DIR/reads.csv");
    assert!(
        again.starts_with("0 written, 4 were there already"),
        "{again}"
    );
    assert_eq!(deep(&place), (110_000, 0));
    golden(place, "reads-file");
}

/// 10 CFR 34.47(a)(3): the fifteenth of June is the day on which the tests ask.
#[test]
fn a_read_is_due_three_months_after_the_last_one() {
    for (last, due) in [
        ("2026-03-14", Some("2026-06-14")),
        ("2026-03-13", Some("2026-06-13")),
        ("2026-03-15", None),
        ("2026-03-16", None),
    ] {
        let place = carried("reads-due", &[]);
        place.done(&format!(
            "badge read --badge D-61 --on {last} --deep \"1 mrem\""
        ));
        let said = stops(&place);
        match due {
            None => assert_eq!(said, [], "{last}"),
            Some(due) => assert_eq!(
                said,
                [(
                    "badge-read".to_owned(),
                    format!(
                        "badge D-61 was due for a read on demand by {due}, by the rule set's \
                         interval"
                    )
                )],
                "{last}"
            ),
        }
    }
}

#[test]
fn what_falls_due_names_the_read_and_never_an_exchange() {
    let place = carried("reads-ahead", &["2026-06-10"]);
    place.done("badge read --badge D-61 --on 2026-03-31 --deep \"1 mrem\"");
    place.done(&format!(
        "chart due --within 20 --out {}",
        place.path("due.svg").display()
    ));
    let out = std::fs::read_to_string(place.path("due.svg")).expect("the drawing");
    assert!(out.contains("read of the badge"), "{out}");
    assert!(!out.contains("exchange of the badge"), "{out}");
    let lists = place.done("dose lists --year 2026").out;
    assert!(!lists.contains("D-61"), "{lists}");
    // Once it is handed back, its last read is missing.
    place.done("badge return --badge D-61 --on 2026-06-12");
    let lists = place.done("dose lists --year 2026").out;
    assert!(lists.contains("badge D-61 of 2026-04-01"), "{lists}");
}

/// 10 CFR 34.47(d), as changed in 2020: the evaluation of what needs no processing is started
/// within 24 hours.
#[test]
fn off_scale_a_badge_read_on_demand_is_read_and_not_sent() {
    let mut place = carried("reads-off-scale", &[]);
    place.done("badge read --badge D-61 --on 2026-06-01 --deep \"1 mrem\"");
    worked(&place, "2026-06-14", "0,,yes");
    let finding = |place: &Place| {
        let data = json(place, "findings --year 2026");
        let lines = data["lines"].as_array().expect("lines").clone();
        lines.into_iter().find(|it| it["check"] == "off-scale")
    };
    let found = finding(&place).expect("a finding");
    let remedy = found["remedy"].as_str().expect("words");
    assert!(
        remedy.contains("start the read of the badge within 24 hours"),
        "{remedy}"
    );
    assert!(!found.to_string().contains("processing within"), "{found}");
    assert_eq!(found["status"], "to be confirmed");
    ok(&mut place, "work-status W07");
    // W08 wears no such badge: nothing changes for them.
    let text = place.done("findings --year 2026").out;
    assert!(text.contains("badge D-61 is read on demand"), "{text}");
    ok(
        &mut place,
        "badge read --badge D-61 --on 2026-06-15 --deep \"41 mrem\"",
    );
    ok(&mut place, "work-status W07");
    assert_eq!(stops(&place)[0].0, "off-scale");
    ok(
        &mut place,
        "badge accept --report \"read 2026-06-15\" --performed-by W01",
    );
    // The dosimeter is to be checked before it is worn again.
    place.done(
        "instrument check --instrument PD-07 --type \"response check\" --on 2026-06-15 --result \
         pass --performed-by x",
    );
    assert_eq!(stops(&place), []);
    golden(place, "reads-off-scale");
}

#[test]
fn an_accepted_read_stands_on_the_statement() {
    let place = carried("reads-statement", &["2026-05-10"]);
    place.done("badge read --badge D-61 --on 2026-05-20 --deep \"21 mrem\"");
    place.done("badge accept --report \"read 2026-05-20\" --performed-by W01");
    let said = place.done("dose statement W07 --year 2026").out;
    assert!(said.contains("0.021 rem (0.21 mSv), estimate"), "{said}");
    // The read is of record; what the badge has measured since then is not read yet.
    let flat = said.split_whitespace().collect::<Vec<_>>().join(" ");
    let open = "No result yet of badge D-61, 2026-05-21 to 2026-06-15";
    assert!(flat.contains(open), "{said}");
    assert!(!said.contains("provisional  "), "{said}");
    // The shift counted 12 mrem before; a corrected read counts as corrected.
    place.done("entry correct 30 \"deep=19 mrem\" --reason \"read the wrong line\"");
    assert_eq!(deep(&place), (190_000, 0));
}

/// The entry of the result that a command wrote.
fn entry_of(said: &str) -> String {
    let line = said.lines().find(|it| it.contains(": badge result"));
    let line = line.expect("a result").trim().trim_start_matches("entry ");
    line.split(':').next().expect("its entry").to_owned()
}

/// The dose of a read is its running total less the one before: a correction that breaks it is
/// refused, and one of a total corrects the next read with it. The sum is what the badge shows.
#[test]
fn a_corrected_read_keeps_to_the_running_totals() {
    let mut place = carried("reads-corrected", &["2026-05-10", "2026-06-02"]);
    let read = |day: &str, total: &str| {
        let line = format!("badge read --badge D-61 --on {day} --total \"{total}\"");
        entry_of(&place.done(&line).out)
    };
    let first = read("2026-05-20", "10 mrem");
    let second = read("2026-06-10", "20 mrem");
    assert_eq!(deep(&place), (200_000, 0));
    for (entry, change) in [
        // The total without the dose, the dose without the total.
        (&first, "\"total=5 mrem\""),
        (&first, "\"deep=5 mrem\""),
        (&second, "\"deep=5 mrem\""),
        (&second, "\"total=15 mrem\""),
        // More than the next read shows.
        (&first, "\"total=21 mrem\" \"deep=21 mrem\""),
    ] {
        place.refused(&format!("entry correct {entry} {change} --reason slip"));
        assert_eq!(deep(&place), (200_000, 0), "{change}");
    }
    let said = place.done(&format!(
        "entry correct {first} \"total=5 mrem\" \"deep=5 mrem\" --reason slip"
    ));
    assert!(said.out.starts_with("2 written"), "{}", said.out);
    assert!(said.out.contains("the next read"), "{}", said.out);
    assert_eq!(deep(&place), (200_000, 0));
    let said = place.done(&format!("entry history {second}")).out;
    assert!(said.contains("15 mrem"), "{said}");
}

/// The running total of a read that is void would be in no read: the next has only what came
/// after it.
#[test]
fn a_read_that_the_next_goes_on_from_is_corrected_and_not_void() {
    let mut place = carried("reads-void", &["2026-03-20", "2026-05-20"]);
    for (on, total) in [("2026-04-01", "55 mrem"), ("2026-05-01", "60 mrem")] {
        ok(
            &mut place,
            &format!("badge read --badge D-61 --on {on} --total \"{total}\""),
        );
    }
    let read = |place: &Place, day: &str| {
        let data = json(place, "dose show W07 --year 2026 --why");
        let lines = data["why"].as_array().expect("lines").clone();
        let line = lines.into_iter().find(|it| it["last"] == day);
        line.expect("a read")["entry"].as_i64().expect("an entry")
    };
    let first = read(&place, "2026-04-01");
    let said = place.refused(&format!("entry void {first} --reason \"another badge\""));
    let said = said.err.split_whitespace().collect::<Vec<_>>().join(" ");
    let next = read(&place, "2026-05-01");
    for words in [
        format!("entry {next}, the read of 2026-05-01, is the running total less that"),
        format!("wearbook entry correct {first} total=TOTAL --reason WHY"),
        format!("wearbook entry void {next} --reason WHY"),
    ] {
        assert!(said.contains(&words), "{words}: {said}");
    }
    // Corrected, the next read has the difference: the sum stays what the badge shows.
    ok(
        &mut place,
        &format!("entry correct {first} total=\"50 mrem\" deep=\"50 mrem\" --reason misread"),
    );
    assert_eq!(deep(&place).0, 600_000);
    // The newest goes first: then nothing is lost, its days are provisional again.
    let (first, next) = (read(&place, "2026-04-01"), read(&place, "2026-05-01"));
    let out = ok(
        &mut place,
        &format!("entry void {next} --reason \"another badge\""),
    );
    assert!(
        out.contains("the wear period of 2026-05-02 that the read began"),
        "{out}"
    );
    assert_eq!(deep(&place), (500_000, 120_000));
    ok(
        &mut place,
        &format!("entry void {first} --reason \"another badge\""),
    );
    assert_eq!(deep(&place), (0, 240_000));
}
