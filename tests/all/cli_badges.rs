//! Badges, their results and determinations as the office hands them in: what is taken, what is
//! held and what is refused, with the exact answers.

use super::cli_support::Place;

/// Badges of two months: the numbers are used again each month, the control and a ring too.
const ISSUES: &str = "badge,type,worker,first_day,last_day,employer
B-07,whole body,W07,2026-04-01,2026-04-30,
B-08,whole body,W08,2026-04-01,2026-04-30,
C-01,control,,2026-04-01,2026-04-30,
B-07,whole body,W07,2026-05-01,2026-05-31,
B-08,whole body,W08,2026-05-01,2026-05-31,
C-01,control,,2026-05-01,2026-05-31,
R-07,extremity,W07,2026-05-01,2026-05-31,
B-17,whole body,W07,2026-06-01,2026-06-30,
B-18,whole body,W08,2026-06-01,2026-06-30,
";

pub fn issued(name: &str) -> Place {
    let place = Place::with_registers(name);
    let file = place.file("issues.csv", ISSUES);
    place.done(&format!("badge issues {file}"));
    place
}

/// Ends a test: the transcript is as it was, and the ledger holds what it says.
pub fn golden(place: Place, name: &str) {
    place.done("ledger verify --full");
    place.golden(name);
}

pub fn ok(place: &mut Place, line: &str) -> String {
    let said = place.run(line);
    assert_eq!(said.code, 0, "{line}\n{}{}", said.out, said.err);
    said.out
}

/// What a dry run says is what is written then, and it writes nothing.
pub fn rehearsed(place: &mut Place, line: &str) {
    let before = std::fs::read(place.ledger()).expect("the ledger");
    let dry = place.quiet(&format!("{line} --dry-run"));
    assert_eq!(dry.code, 0, "{line}\n{}{}", dry.out, dry.err);
    assert!(dry.out.starts_with("dry run: "), "{}", dry.out);
    assert!(
        before == std::fs::read(place.ledger()).expect("the ledger"),
        "{line}"
    );
    let out = ok(place, line);
    let entries = |text: &str| -> Vec<String> {
        let lines = text
            .lines()
            .filter(|it| it.trim_start().starts_with("entry "));
        lines.map(str::to_owned).collect()
    };
    assert_eq!(entries(&dry.out), entries(&out), "{line}");
}

#[test]
fn a_badge_goes_from_issue_to_acceptance() {
    let mut place = Place::with_registers("badges-life");
    let file = place.shown_file("issues.csv", ISSUES);
    rehearsed(&mut place, "badge issues DIR/issues.csv");
    let again = ok(&mut place, &format!("badge issues {file}"));
    assert!(
        again.starts_with("0 written, 9 were there already"),
        "{again}"
    );
    for line in [
        "badge return --badge B-07/2026-04-01 --on 2026-05-02",
        "badge send --badge B-07/2026-04-01 --on 2026-05-03",
        "badge return --badge B-07 --on 2026-05-31",
        "badge lost --badge B-18 --on 2026-06-09 --note \"somewhere along the line\"",
        "badge damaged --badge R-07 --on 2026-05-20",
        "badge issue --badge B-19 --type \"whole body\" --worker W08 --first-day 2026-06-09 \
         --last-day 2026-06-30",
        "badge result --badge B-07/2026-04-01 --report R-4 --reported-on 2026-05-20 \
         --deep \"31 mrem\" --lens \"0.31 mSv\" --shallow \"33 mrem\" --year-to-date \"120 mrem\"",
        "badge result --badge R-07 --report R-5 --reported-on 2026-06-10 --shallow \"<30 mrem\"",
        "badge result --badge C-01/2026-05-01 --report R-5 --reported-on 2026-06-10 \
         --gross \"14 mrem\"",
    ] {
        rehearsed(&mut place, line);
    }
    ok(&mut place, "badge list");
    rehearsed(&mut place, "badge accept --report R-5 --performed-by W01");
    ok(&mut place, "badge accept --report R-5 --performed-by W01");
    assert!(place.done("hold list").out.starts_with("0 on hold"));
    golden(place, "badges-life");
}

#[test]
fn a_number_used_again_means_the_period_that_waits() {
    let mut place = issued("badges-again");
    // April and May are both out: nobody can tell which of them came back.
    place.refused("badge return --badge B-07 --on 2026-06-02");
    ok(
        &mut place,
        "badge return --badge B-07/2026-04-01 --on 2026-05-02",
    );
    ok(&mut place, "badge return --badge B-07 --on 2026-06-02");
    ok(&mut place, "badge return --badge B-07 --on 2026-06-02");
    place.refused(
        "badge result --badge B-08 --report R-5 --reported-on 2026-06-10 --deep \"9 mrem\"",
    );
    ok(
        &mut place,
        "badge result --badge B-08 --first-day 2026-04-01 --report R-4 --reported-on 2026-05-20 \
         --deep \"8 mrem\"",
    );
    let may = "badge result --badge B-08 --report R-5 --reported-on 2026-06-10 --deep \"9 mrem\"";
    let out = ok(&mut place, may);
    assert!(out.starts_with("1 written"), "{out}");
    // The same report again is of May still, although the next period waits by then.
    ok(
        &mut place,
        "badge issue --badge B-08 --type \"whole body\" --worker W09 --first-day 2026-06-10 \
         --last-day 2026-06-12",
    );
    let out = ok(&mut place, may);
    assert!(out.starts_with("0 written, 1 were there already"), "{out}");
    golden(place, "badges-number_used_again");
}

#[test]
fn a_result_of_a_badge_never_issued_is_held_and_never_doubled() {
    let mut place = issued("badges-spare");
    let spare = "badge result --badge B-71 --report R-5 --reported-on 2026-06-10 \
                 --deep \"44 mrem\"";
    rehearsed(&mut place, spare);
    ok(&mut place, "hold list");
    place.refused("badge accept --report R-5 --performed-by W01");
    place.refused("hold resolve 37.1 --is B-77 --reason \"typed wrong\"");
    ok(
        &mut place,
        "badge issue --badge B-71 --type \"whole body\" --worker W09 --first-day 2026-05-10 \
         --last-day 2026-05-31",
    );
    // Now the number is known, but the result stands already.
    let out = ok(&mut place, spare);
    assert!(out.starts_with("0 written, 1 were there already"), "{out}");
    place.refused(
        "badge result --badge B-71 --report R-5 --reported-on 2026-06-10 --deep \"45 mrem\"",
    );
    rehearsed(
        &mut place,
        "hold resolve 37.1 --is B-71 --reason \"the spare that Piet wore\"",
    );
    ok(&mut place, "hold list");
    ok(&mut place, spare);
    ok(&mut place, "badge accept --report R-5 --performed-by W01");
    golden(place, "badges-spare");
}

#[test]
fn a_spare_can_be_ruled_upon() {
    let mut place = issued("badges-spare-ruled");
    for (report, verdict) in [("R-5", "--counts"), ("R-6", "--does-not-count")] {
        let out = ok(
            &mut place,
            &format!(
                "badge result --badge X-1 --report {report} --reported-on 2026-06-10 \
                 --deep \"1 mrem\""
            ),
        );
        let entry: String = out
            .split("entry ")
            .nth(1)
            .map(|it| it.chars().take_while(char::is_ascii_digit).collect())
            .expect("an entry");
        rehearsed(
            &mut place,
            &format!("hold resolve {entry}.1 {verdict} --reason \"asked the lab\""),
        );
    }
    ok(&mut place, "hold list");
    place.refused("entry void 37 --reason \"not ours\"");
    golden(place, "badges-spare_ruled_upon");
}

#[test]
fn a_result_before_the_end_of_wear_is_held_unless_the_badge_came_back() {
    let mut place = issued("badges-early");
    let early = |badge: &str| {
        format!(
            "badge result --badge {badge} --report R-9 --reported-on 2026-06-12 \
             --deep \"2.2 rem\""
        )
    };
    ok(&mut place, &early("B-17"));
    ok(
        &mut place,
        "badge return --badge B-18 --on 2026-06-08 --note \"pulled after the event\"",
    );
    ok(&mut place, &early("B-18"));
    ok(&mut place, "hold list");
    place.refused("badge accept --report R-9 --performed-by W01");
    ok(
        &mut place,
        "hold resolve 37.1 --counts --reason \"pulled at once\"",
    );
    ok(&mut place, "badge accept --report R-9 --performed-by W01");
    ok(&mut place, "findings --on 2026-06-15");
    golden(place, "badges-before_the_end");
}

#[test]
fn overlapping_wear_of_one_person_and_kind_is_held() {
    let mut place = issued("badges-overlap");
    let issue = |badge: &str, kind: &str, worker: &str, first: &str, more: &str| {
        format!(
            "badge issue --badge {badge} --type \"{kind}\" --worker {worker} --first-day {first} \
             --last-day 2026-06-30{more}"
        )
    };
    let all = [
        // The same kind on the same days; a second line of the ledger says so.
        (issue("B-50", "whole body", "W07", "2026-06-10", ""), true),
        // Another kind, another employer, another person: no doubt.
        (issue("R-50", "extremity", "W07", "2026-06-10", ""), false),
        (
            issue(
                "O-50",
                "whole body",
                "W07",
                "2026-06-10",
                " --employer \"Other firm\"",
            ),
            false,
        ),
        (issue("B-51", "whole body", "W09", "2026-06-10", ""), false),
        // One number on two people.
        (issue("B-51", "whole body", "W08", "2026-06-20", ""), true),
    ];
    for (line, doubtful) in all {
        let before = place.done("hold list").out;
        ok(&mut place, &line);
        assert_eq!(before != place.done("hold list").out, doubtful, "{line}");
    }
    // Exchanged on one day: the last of the old badge is the first of the new.
    ok(&mut place, "badge return --badge B-18 --on 2026-06-12");
    ok(
        &mut place,
        &issue("B-52", "whole body", "W08", "2026-06-12", ""),
    );
    ok(&mut place, "hold list");
    // An amendment is looked over anew.
    ok(
        &mut place,
        "entry correct 37 first_day=2026-06-30 last_day=2026-07-31 --reason \"misread the card\"",
    );
    ok(&mut place, "hold list");
    golden(place, "badges-overlapping_wear");
}

#[test]
fn a_second_report_of_a_badge_is_held() {
    let mut place = issued("badges-second");
    let report = |number: &str, deep: &str| {
        format!(
            "badge result --badge B-08/2026-05-01 --report {number} --reported-on 2026-06-10 \
             --deep \"{deep}\""
        )
    };
    ok(&mut place, &report("R-5", "90 mrem"));
    ok(&mut place, &report("R-5", "90 mrem"));
    // The same report with another figure is a slip of somebody's.
    place.refused(&report("R-5", "19 mrem"));
    ok(&mut place, &report("R-5a", "19 mrem"));
    ok(&mut place, "hold list");
    ok(&mut place, "entry show 38");
    ok(
        &mut place,
        "hold resolve 38.1 --counts --reason \"the lab corrected its report\"",
    );
    ok(&mut place, "hold list");
    golden(place, "badges-second_report");
}

#[test]
fn results_that_cannot_be_meant_are_refused_with_every_line() {
    let mut place = issued("badges-bad-results");
    place.shown_file(
        "may.csv",
        "badge,report,reported_on,unit,deep,lens,shallow,minimum,below_code
B-07/2026-05-01,R-5,2026-06-10,mrem,-3,,,,
B-07/2026-05-01,R-5,2026-06-10,,31,,,,
B-07/2026-05-01,R-5,2026-06-10,mrem,M,,,10,
B-07/2026-05-01,R-5,2026-06-10,mrem,M,,,,M
B-07/2026-05-01,R-5,2026-06-10,mrem,M,,,0,M
B-07/2026-05-01,R-5,2026-06-10,rem,2000,,,,
B-07/2026-05-01,R-5,2026-06-10,mR,31,,,,
B-07/2026-05-01,R-5,2026-06-10,mrem,31 mR,,,,
B-07/2026-05-01,R-5,2026-06-10,mrem,\"31,5\",,,,
B-07/2026-05-01,R-5,2026-06-10,mrem,3e1,,,,
B-07/2026-05-01,R-5,06/10/2026,mrem,31,,,,
B-07/2026-05-01,R-5,2026-06-16,mrem,31,,,,
B-07/2026-05-01,,2026-06-10,mrem,31,,,,
B-07/2026-05-01,R-5,2026-06-10,mrem,,,,,
,R-5,2026-06-10,mrem,31,,,,
R-07,R-5,2026-06-10,mrem,31,31,31,,
B-08,R-5,2026-06-10,mrem,31,,,,
B-08/2026-05-01,R-5,2026-06-10,mrem,31,31,32,,
B-08/2026-05-01,R-5,2026-06-10,mrem,33,31,32,,
",
    );
    place.refused("badge results DIR/may.csv");
    golden(place, "badges-results_refused");
}

#[test]
fn what_is_below_the_minimum_keeps_its_words() {
    let mut place = issued("badges-below");
    place.shown_file(
        "may.csv",
        "badge,report,reported_on,unit,deep,lens,shallow,minimum,below_code
B-07/2026-05-01,R-5,2026-06-10,mrem,M,nd,<20,10,M / ND
B-08/2026-05-01,R-5,2026-06-10,mSv,0,0.1 mSv,<20 mrem,,
",
    );
    rehearsed(&mut place, "badge results DIR/may.csv");
    ok(&mut place, "entry show 37");
    ok(&mut place, "entry show 38");
    golden(place, "badges-below_the_minimum");
}

#[test]
fn what_becomes_of_a_badge_that_is_not_there_is_refused() {
    let mut place = issued("badges-bad-events");
    place.shown_file(
        "returns.csv",
        "badge,on,note
B-7,2026-06-02,
B-17,2026-05-30,
B-17,2026-06-16,
B-07/2026-03-01,2026-06-02,
B-07/May,2026-06-02,
,2026-06-02,
B-17,,
",
    );
    place.refused("badge returns DIR/returns.csv");
    place.refused(
        "badge issue --badge B-60 --type \"whole body\" --first-day 2026-07-01 \
         --last-day 2026-06-30",
    );
    place.refused(
        "badge issue --badge C-60 --type control --worker W07 --first-day 2026-07-01 \
         --last-day 2026-07-30",
    );
    place.refused(
        "badge issue --badge B-60 --type film --worker W77 --first-day 2026-07-01 \
         --last-day 2026-07-30",
    );
    // The same badge for the same first day on somebody else.
    place.refused(
        "badge issue --badge B-17 --type \"whole body\" --worker W08 --first-day 2026-06-01 \
         --last-day 2026-06-30",
    );
    golden(place, "badges-events_refused");
}

const REPORT: &str = "Account,Dosimeter,Name,Use,Begin,DDE (mrem),LDE (mrem),SDE (mrem),YTD DDE
1,B-07,Sandpiper,WB,2026-05-01,31,31,33,120
1,B-08,Ferrow,WB,2026-05-01,M,M,M,M
1,R-07,Sandpiper,RING,2026-05-01,,,210,
1,B-99,Spare,WB,2026-05-01,M,M,12,
";

const MAP: &str = "--map badge=Dosimeter --map first_day=Begin --map \"deep=DDE (mrem)\" \
                   --map \"lens=LDE (mrem)\" --map \"shallow=SDE (mrem)\"";

#[test]
fn a_report_is_taken_under_its_own_headings() {
    let mut place = issued("badges-import");
    place.shown_file("may.csv", REPORT);
    let said = "--report R-5 --reported-on 2026-06-10 --unit mrem --minimum 10 --below M";
    let with_map = format!("badge import DIR/may.csv {MAP} {said} --save-map lab-monthly");
    rehearsed(&mut place, &with_map);
    ok(&mut place, "hold list");
    ok(&mut place, "entry show 37");
    ok(&mut place, "entry show 39");
    ok(&mut place, "entry show 40");
    // The same report twice is no second dose, by either way.
    let again = ok(&mut place, &with_map);
    assert!(
        again.starts_with("0 written, 5 were there already"),
        "{again}"
    );
    let again = ok(
        &mut place,
        &format!("badge import DIR/may.csv --use-map lab-monthly {said}"),
    );
    assert!(
        again.starts_with("0 written, 4 were there already"),
        "{again}"
    );
    golden(place, "badges-report");
}

#[test]
fn a_mapping_that_does_not_fit_is_refused() {
    let mut place = issued("badges-bad-map");
    place.shown_file("may.csv", REPORT);
    let said = "--report R-5 --reported-on 2026-06-10 --unit mrem --minimum 10 --below M";
    for line in [
        format!("badge import DIR/may.csv {said}"),
        format!("badge import DIR/may.csv --map badge=Dosimeter --map deep=DDE(mrem) {said}"),
        format!("badge import DIR/may.csv --map badge=Dosimeter --map depe=Use {said}"),
        "badge import DIR/may.csv --map \"deep=DDE (mrem)\" --report R-5".to_owned(),
        format!("badge import DIR/may.csv --map deep {said}"),
        format!("badge import DIR/may.csv --map deep=Use --map deep=Name {said}"),
        format!("badge import DIR/may.csv --use-map lab {said}"),
        format!("badge import DIR/none.csv {MAP} {said}"),
    ] {
        place.refused(&line);
    }
    // Without the code, M is not a number; every line says so under the report's heading.
    place.refused(&format!(
        "badge import DIR/may.csv {MAP} --report R-5 --reported-on 2026-06-10 --unit mrem"
    ));
    place.shown_file("twice.csv", "Dosimeter,Dose,Dose\nB-07,1,2\n");
    place.refused(&format!(
        "badge import DIR/twice.csv --map badge=Dosimeter --map deep=Dose {said}"
    ));
    let save = format!("badge import DIR/may.csv {MAP} {said} --save-map lab-monthly");
    assert_eq!(place.quiet(&save).code, 0);
    place.refused(&format!(
        "badge import DIR/may.csv --map badge=Dosimeter --map \"deep=DDE (mrem)\" {said} \
         --save-map lab-monthly"
    ));
    place.refused(&format!(
        "badge import DIR/may.csv --use-map lab-monthy {said}"
    ));
    golden(place, "badges-mapping_refused");
}

#[test]
fn qualifications_and_planned_exposures_are_dated_records() {
    let mut place = Place::with_registers("badges-qualified");
    for line in [
        "worker qualification --worker W07 --type certification --on 2025-03-01 \
         --performed-by \"the board (invented)\" --until 2030-02-28",
        "worker qualification --worker W07 --type \"refresher training\" --on 2026-01-20 \
         --performed-by \"Adaeze Hollow\"",
        "worker planned-exposure --worker W07 --first-day 2026-06-10 --last-day 2026-06-11 \
         --authorized-on 2026-06-01 --basis \"recovery of a source, letter 7 (invented)\"",
    ] {
        rehearsed(&mut place, line);
    }
    place.refused(
        "worker qualification --worker W70 --type driving --on 2026-02-30 --performed-by \"Adaeze \
        Hollow\"",
    );
    place.refused(
        "worker qualification --worker W07 --type certification --on 2026-03-01 \
         --performed-by \"the board (invented)\" --until 2026-02-28",
    );
    place.refused(
        "worker planned-exposure --worker W07 --first-day 2026-06-12 --last-day 2026-06-11 \
         --authorized-on 2026-06-12 --basis \"after the fact\"",
    );
    golden(place, "badges-qualified");
}
