//! Handing in one sheet at a terminal. Whole transcripts: what is asked, what is typed, what is
//! said and written; and what holds for every crew: few answers, none of them ever lost.

use super::cli_support::{HEADER, Place, crew, row};

/// What a crew types for a first sheet, up to the question at the end.
pub const FIRST: &str = "J-1\n1\n1 2 3 4 5 6\n\
     W07 PD-07 RM-07\nW08 PD-08 RM-08\n-\n\
     day\n07:00 15:00\n2026-06-14\n\
     24 07:40\n36.5\n1.8\n06:30 15:20\n22 surface\ny\ny\n\
     0 12 y y y\n1 9 y y y\n\
     W07\n";

/// A ledger with the sheet of another day.
fn with_a_sheet(name: &str) -> Place {
    let place = Place::with_registers(name);
    place.file("june.csv", format!("{HEADER}{}", crew("2026-06-12", "day")));
    place.done("sheet import DIR/june.csv");
    place
}

/// The drafts beside the ledger.
fn drafts(place: &Place) -> Vec<String> {
    let all = std::fs::read_dir(&place.dir).expect("the test's own folder");
    let names = all.map(|it| {
        it.expect("a file")
            .file_name()
            .to_string_lossy()
            .into_owned()
    });
    names.filter(|it| it.contains("draft")).collect()
}

#[test]
fn the_first_sheet_is_asked_for_field_by_field() {
    let name = "the_first_sheet";
    let mut place = Place::with_registers(name);
    let said = place.ask("sheet enter", &format!("{FIRST}yes\n"));
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(place.head().starts_with("28:"));
    assert_eq!(drafts(&place), [""; 0], "what is written needs no draft");
    place.golden(name);
}

#[test]
fn the_second_sheet_proposes_what_was_so_last_time() {
    let name = "the_second_sheet";
    let mut place = with_a_sheet(name);
    // The same crew and equipment; readings, alarm and badge are typed anew, one reading wrongly
    // at first, and figures are corrected at the end. The dosimeter that is off scale stays so
    // and stops its wearer.
    let typed = "yes\n\n07:00 15:00\n2026-06-14\n\
         30\n41\n1.6 mR/h\n06:20 15:30\n20 mR/h surface\nyes\nyes\n\
         0 off y\n0 off\nmaybe\nyes\nyes\nyes\n\
         9\n1 9 / 0 4 y y n\n\
         \nW07\n\
         exposures=31\nend=4\n3.end=5\nyes\n";
    let said = place.ask("sheet enter --by \"Mirko Sandpiper\"", typed);
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(said.out.contains("STOP  W07"), "{}", said.out);
    place.golden(name);
}

/// The answers of a prompt: the lines that were typed.
fn answers(typed: &str) -> usize {
    typed.lines().count()
}

/// The crew that worked last, a changed one, and one of which the ledger has no sheet: the whole
/// shift in one sitting, and its start and end where each is done.
#[test]
fn three_crews_of_three_give_at_most_thirty_answers() {
    let third = row(
        "2026-06-12",
        "day",
        "W09,assistant,PD-09,1,0,3,no,RM-09,yes,yes",
    );
    let three = crew("2026-06-12", "day") + &third;
    let ratemeter = "instrument add --id RM-09 --type \"alarm ratemeter\" --serial R9 \
                     --alarm-preset \"500 mR/h\" --in-service 2024-01-08";
    let after = "24 07:40\n36.5\n1.8\n06:30 15:20\n22 surface\ny\n";
    let end = format!("yes\n15:00\n{after}12\n9\n4\nW07\nyes\n");
    let start = "day\n07:00\n2026-06-14\ny\n0 y y y\n1 y y y\n0 y y y\nyes\n";
    let whole = format!(
        "day\n07:00 15:00\n2026-06-14\n{after}y\n0 12 y y y\n1 9 y y y\n0 4 y y y\nW07\nyes\n"
    );
    let mut counted = Vec::new();
    for (whose, before, standing) in [
        ("the same", true, "yes\n"),
        (
            "a changed",
            true,
            "no\n\n\n1 2 3 4 5 6\nW07\n3\n4 PD-08 RM-08\n-\n",
        ),
        (
            "the first",
            false,
            "1\n1\n1 2 3 4 5 6\nW07 6 9\nW08 7 10\nW09 8 11\n-\n",
        ),
    ] {
        for parted in [false, true] {
            let place = Place::with_registers(&format!("answers of {whose} crew, {parted}"));
            place.done(ratemeter);
            if before {
                place.file("june.csv", format!("{HEADER}{three}"));
                place.done("sheet import DIR/june.csv");
            }
            let lines = match parted {
                true => vec![
                    ("start", format!("{standing}{start}")),
                    ("enter", end.clone()),
                ],
                false => vec![("enter", format!("{standing}{whole}"))],
            };
            let mut said = String::new();
            for (verb, typed) in &lines {
                let shown = place.said_at_terminal(&format!("sheet {verb}"), typed);
                assert_eq!(shown.code, 0, "{whose} crew: {}", shown.err);
                said = shown.out;
            }
            assert!(said.contains("1 written"), "{whose} crew: {said}");
            counted.push((
                whose,
                parted,
                lines.iter().map(|it| answers(&it.1)).sum::<usize>(),
            ));
        }
    }
    assert!(counted.iter().all(|it| it.2 <= 30), "{counted:?}");
    // The same crew is asked least.
    let of = |whose| {
        counted
            .iter()
            .filter(|it| it.0 == whose)
            .map(|it| it.2)
            .max()
    };
    assert!(of("the same") < of("the first"), "{counted:?}");
}

/// A source that leaks must not go out: nobody takes it by pressing Enter.
#[test]
fn equipment_that_must_not_go_out_again_is_not_taken_by_enter() {
    for (removable, stands) in [("1 Bq", false), ("300 Bq", true)] {
        let place = with_a_sheet(&format!("not by enter {removable}"));
        place.done(&format!(
            "equipment leak-test --item S-1 --on 2026-06-13 --part source --performed-by Lab \
             --removable \"{removable}\" --certificate C-1"
        ));
        let said = place.said_at_terminal("sheet start", "no\n\n\n\n").err;
        assert_eq!(said.contains("NOT AS IT STANDS: S-1: "), stands, "{said}");
        for question in ["the same job, equipment and crew", "in one line ["] {
            let line = said.lines().find(|it| it.contains(question));
            let proposed = line.is_some_and(|it| it.contains('['));
            assert_eq!(proposed, !stands, "{question}: {said}");
        }
    }
}

#[test]
fn each_unknown_word_of_a_line_of_equipment_is_named_at_once() {
    let place = Place::with_registers("unknown equipment");
    let said = place.said_at_terminal("sheet start", "J-1\n1\nD1 S-1 sm1\n");
    for word in ["`D1`; did you mean D-1", "`sm1`; did you mean"] {
        assert!(
            said.err.replace("\n    ", " ").contains(word),
            "{}",
            said.err
        );
    }
}

#[test]
fn a_no_at_the_end_writes_nothing_and_keeps_what_was_typed() {
    let name = "a_no_at_the_end";
    let mut place = Place::with_registers(name);
    let head = place.head();
    let said = place.ask("sheet enter", &format!("{FIRST}no\n"));
    assert_eq!(said.code, 1);
    assert_eq!(place.head(), head);
    assert_eq!(drafts(&place), ["wearbook.db.draft-1"]);
    // It is offered again, and only its yes is asked for.
    let said = place.ask("sheet enter", "yes\nexposures=31\nno\n");
    assert_eq!(said.code, 1);
    // The correction too is kept.
    let said = place.ask("sheet enter", "yes\nyes\n");
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(place.done("entry show 28").out.contains("31"));
    assert_eq!(drafts(&place), [""; 0]);
    place.golden(name);
}

/// Wherever the terminal is closed, what was typed is offered again and makes the same sheet.
#[test]
fn a_sheet_that_is_left_after_any_answer_is_taken_up_and_is_the_same_sheet() {
    let whole = Place::with_registers("left after no answer");
    let said = whole.said_at_terminal("sheet enter", &format!("{FIRST}yes\n"));
    assert_eq!(said.code, 0, "{}", said.err);
    let entry = whole.done("entry show 28 --json").out;
    let lines: Vec<&str> = FIRST.split_inclusive('\n').collect();
    for count in (1..=lines.len()).step_by(3).chain([lines.len()]) {
        let place = Place::with_registers(&format!("left after {count} answers"));
        let head = place.head();
        let left = place.said_at_terminal("sheet enter", &lines[..count].concat());
        assert_eq!(left.code, 1, "after {count} lines");
        assert_eq!(place.head(), head, "after {count} lines");
        let rest = lines[count..].concat();
        let said = place.said_at_terminal("sheet enter", &format!("yes\n{rest}yes\n"));
        assert_eq!(said.code, 0, "after {count} lines: {}", said.err);
        assert_eq!(
            place.done("entry show 28 --json").out,
            entry,
            "after {count} lines"
        );
        assert_eq!(drafts(&place), [""; 0], "after {count} lines");
    }
}

#[cfg(unix)]
#[test]
fn only_its_owner_can_read_a_draft() {
    use std::os::unix::fs::PermissionsExt;
    let place = Place::with_registers("the owner of a draft");
    place.said_at_terminal("sheet enter", "1\n");
    let of = std::fs::metadata(place.path("wearbook.db.draft-1")).expect("a draft");
    assert_eq!(of.permissions().mode() & 0o777, 0o600);
}

#[test]
fn a_draft_stays_until_it_is_taken_up_or_dropped() {
    let place = Place::with_registers("a draft stays");
    place.said_at_terminal("sheet enter", "1\n");
    // Another sheet is begun, and left too.
    place.said_at_terminal("sheet enter", "no\n2\n");
    assert_eq!(drafts(&place).len(), 2);
    let said = place.said_at_terminal("sheet enter", "no\ndrop\n");
    assert!(said.err.contains("There is a draft"), "{}", said.err);
    assert_eq!(drafts(&place), ["wearbook.db.draft-1"]);
}

/// The last lines of the screen.
fn ends_with_stop(screen: &str) -> bool {
    let mut lines = screen.trim_end().lines().rev();
    let frame = lines
        .next()
        .is_some_and(|it| it.chars().all(|it| it == '='));
    frame && screen.contains("===== STOP ====")
}

#[test]
fn a_stop_is_said_when_it_is_typed_and_last_when_the_sheet_is_abandoned() {
    let typed = FIRST.replace("0 12 y y y", "0 off y y y");
    for (how, end) in [("ctrl-d", ""), ("no", "no\n")] {
        let place = Place::with_registers(&format!("a stop and {how}"));
        let said = place.said_at_terminal("sheet enter", &format!("{typed}{end}"));
        assert_eq!(said.code, 1);
        let at_once = said
            .err
            .split("W08 PD-08: start")
            .next()
            .unwrap_or_default();
        assert!(at_once.contains("STOP  W07"), "{at_once}");
        assert!(ends_with_stop(&said.err), "{}", said.err);
        // It is the last thing too where the sheet is written.
        let said = place.said_at_terminal("sheet enter", "yes\nyes\n");
        assert!(ends_with_stop(&said.out), "{}", said.out);
    }
}

#[test]
fn each_answer_is_checked_when_it_is_given() {
    let name = "a_figure_that_cannot_be";
    let mut place = Place::with_registers(name);
    let typed = "J-9\nj-1\nr\nradiography\n\
         D-1 S-1 C1\nD-1 S-1 PD-07\nD-1 D-1\n1 2 3 4 5 6\n\
         X-1\nPD-07\nW07\nW07 PD-99\nW07 PD-07 RM-07\n\
         W07\nW08 PD-07 RM-08\n99\nW08 PD-08 RM-08\n-\n\
         noon\n1\n7:00\n07:00\n2026-06-41\n2026-07-01\n2026-06-14\n\
         many\n24 7.40\n24 07:40\n36,5\n36.5\nlow\n1.8 mSv\n1.8\n06:30 25:20\n\
         06:30 15:20\n22 far\n22 surface\nperhaps\nyes\ny\n\
         0 12x y y y\n0 12 uSv y y y\n0 12 y\n0 12 y y y\n1 9 y y y\n\
         W99\nW07\nmeter=SM-02, 2.end=31, 44\nmeter=SM-02, 2.end=31\nboundary=low\n\
         boundary=2 mR/h, 2.end=11\nyes\n";
    let said = place.ask("sheet enter", typed);
    assert_eq!(said.code, 0, "{}", said.err);
    place.golden(name);
}

#[test]
fn an_asked_dry_run_writes_nothing() {
    let mut place = Place::with_registers("an_asked_dry_run");
    let head = place.head();
    let said = place.ask("sheet enter --dry-run", &format!("{FIRST}yes\n"));
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(
        said.out.contains("dry run: 1 would be written"),
        "{}",
        said.out
    );
    assert_eq!(place.head(), head);
}

/// A second job on the same day with the same device: asked for, with hours that part the two.
#[test]
fn a_second_job_of_the_day_with_the_same_device_is_a_sheet_of_its_own() {
    let name = "a_second_job";
    let mut place = with_a_sheet(name);
    let typed = "no\nJ-2\n\n\n\n\n-\n\
         day\n\n2026-06-12\nyes\n15:30\n15:30 18:00\n\
         6\n8\n1.6\n15:20 18:10\n20 surface\ny\ny\n\
         0 3 y y y\n0 2 y y y\nW07\nyes\n";
    let said = place.ask("sheet enter", typed);
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(!said.out.contains("Held until"), "{}", said.out);
    assert!(place.done("hold list").out.contains("0 on hold"));
    place.golden(name);
}

/// The day that is proposed is the one on which the shift began, at its job.
#[test]
fn the_day_that_is_proposed_for_a_night_is_the_one_on_which_it_began() {
    for (moment, shift, hours, day) in [
        // At the job it is five hours earlier than in the moment.
        ("2026-06-15T03:30:00Z", "night", "", "2026-06-14"),
        ("2026-06-15T05:30:00Z", "night", "", "2026-06-14"),
        ("2026-06-15T11:00:00Z", "night", "21:00 05:00", "2026-06-14"),
        ("2026-06-15T17:00:00Z", "night", "", "2026-06-14"),
        ("2026-06-15T05:30:00Z", "night", "00:10 06:00", "2026-06-15"),
        ("2026-06-15T05:30:00Z", "evening", "", "2026-06-14"),
        ("2026-06-15T21:00:00Z", "day", "07:00 15:00", "2026-06-15"),
        ("2026-06-15T21:00:00Z", "evening", "", "2026-06-15"),
    ] {
        let mut place = with_a_sheet(&format!("the day of {shift} {moment} {hours}"));
        place.turn_to("wearbook.db", moment);
        let typed = format!("yes\n{shift}\n{hours}\n");
        let said = place.said_at_terminal("sheet enter", &typed);
        let wanted = format!("day on which the shift began [{day}]");
        assert!(
            said.err.contains(&wanted),
            "{moment} {shift} {hours}: {}",
            said.err
        );
    }
}

/// What a refusal proposes for a sheet blanks nothing of the one on file.
#[test]
fn a_remedy_blanks_nothing_of_a_good_sheet() {
    let mut place = with_a_sheet("a_remedy_blanks_nothing");
    let line = "sheet enter --day 2026-06-12 --shift day --job J-2 --work radiography --device D-1 \
                --person \"worker=W07, role=radiographer, dosimeter=PD-07, start=0, end=3\"";
    let said = place.refused(line);
    assert!(said.err.contains("--sheet NUMBER"), "{}", said.err);
    for field in ["begins=\"", "exposures=\"", "meter=\""] {
        assert!(!said.err.contains(field), "{}", said.err);
    }
    place.done(&format!(
        "{line} --sheet 2026-06-12-2 --begins 15:30 --ends 18:00"
    ));
}

/// However a crew writes it, at the end of a part too.
#[test]
fn an_off_scale_reading_stops_in_any_words_and_has_no_figure() {
    for words in [
        ">200",
        "> 200",
        "> 200 mR",
        "200+",
        "O.S.",
        "pegged",
        "off scale",
    ] {
        for reading in [format!("0 {words} y y y"), format!("0 12 / {words} y y y")] {
            let place = Place::with_registers(&format!("off scale as {reading}"));
            let typed = FIRST.replace("0 12 y y y", &reading);
            let said = place.said_at_terminal("sheet enter", &format!("{typed}yes\n"));
            assert_eq!(said.code, 0, "{reading}: {}", said.err);
            let at_once = said.err.split("W08 PD-08: start").next();
            let at_once = at_once.unwrap_or_default();
            assert!(at_once.contains("STOP  W07"), "{reading}: {at_once}");
            assert!(ends_with_stop(&said.out), "{reading}: {}", said.out);
            let entry = place.done("entry show 28 --json").out;
            assert!(entry.contains("off_scale"), "{reading}: {entry}");
            assert!(!entry.contains("200"), "{reading}: {entry}");
        }
    }
    // Above a figure that does not end the range something else was read: it is asked again.
    let place = Place::with_registers("off scale above another figure");
    let typed = FIRST.replace("0 12 y y y", "0 >150 y y y\n0 12 y y y");
    let said = place.said_at_terminal("sheet enter", &format!("{typed}yes\n"));
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(said.err.contains("is not the range"), "{}", said.err);
}

#[test]
fn radiography_without_a_source_or_a_meter_is_asked_about_once() {
    let place = Place::with_registers("no meter");
    let typed = FIRST
        .replace("1 2 3 4 5 6", "D-1 S-1\nno\nD-1 S-1\nyes")
        .replace("1.8\n06:30", "06:30")
        .replace("22 1m\ny\ny\n", "y\n");
    let said = place.said_at_terminal("sheet enter", &format!("{typed}yes\n"));
    assert_eq!(said.code, 0, "{}", said.err);
    let asked = said.err.matches("no meter: leave it out, yes or no");
    assert_eq!(asked.count(), 2, "{}", said.err);
    assert!(!said.err.contains("no source"), "{}", said.err);
}

#[test]
fn a_draft_says_what_it_is_of_and_its_stop_is_last_where_it_is_not_taken_up() {
    for (words, rest) in [("drop", ""), ("no", ""), ("drop", "all")] {
        let place = Place::with_registers(&format!("an off-scale draft, {words} {rest}"));
        let off = FIRST.replace("0 12 y y y", "0 > 200 y y y");
        place.said_at_terminal("sheet enter", &off);
        let typed = match rest {
            "all" => format!("{words}\n{FIRST}yes\n"),
            _ => format!("{words}\n1\n"),
        };
        let said = place.said_at_terminal("sheet enter", &typed);
        for part in ["2026-06-14 day, job J-1", "W07 PD-07: OFF-SCALE"] {
            assert!(said.err.contains(part), "{part}: {}", said.err);
        }
        let before = said.err.split("A new sheet").next().unwrap_or_default();
        assert!(ends_with_stop(before), "{words} {rest}: {before}");
        assert!(ends_with_stop(&said.err), "{words} {rest}: {}", said.err);
    }
}

/// The sheet of another crew is on file when the draft is taken up, and "as last time" means that
/// crew now.
#[test]
fn what_was_read_and_surveyed_on_another_shift_is_not_filled_in() {
    for (whose, other, again) in [("the same", false, false), ("another", true, true)] {
        let place = with_a_sheet(&format!("a draft of {whose} crew"));
        let typed = "yes\nday\n07:00 15:00\n2026-06-14\n30 07:40\n41\n1.6\n";
        place.said_at_terminal("sheet enter", typed);
        if other {
            let rows = crew("2026-06-13", "day").replace("W08,", "W09,");
            place.file("other.csv", format!("{HEADER}{rows}"));
            place.done("sheet import DIR/other.csv");
        }
        let said = place.said_at_terminal("sheet enter", "yes\n");
        let told = said.err.contains("typed for another shift, device or crew");
        assert_eq!(told, again, "{}", said.err);
        let filled = said.err.contains("minutes with the source out, in all: 41");
        assert_eq!(filled, !again, "{}", said.err);
    }
}
