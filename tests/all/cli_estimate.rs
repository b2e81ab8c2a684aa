//! Doses from time, distance and shielding, and the plan of a retrieval, as the program says them;
//! and every figure that cannot be meant, with its exact refusal.

use super::cli_demo::list;
use super::cli_support::{Place, crew, row};

/// A crew's sheet of 12 June: PD-07 reads 12 mR, PD-08 8 mR.
fn place(name: &str) -> Place {
    let place = Place::with_registers(name);
    place.hand_in(&crew("2026-06-12", "day"));
    place
}

const POSITIONS: &str = "what,from,distance,minutes,shield,part
cranking in,10:40,7.5 m,4,,
walking up with the meter,10:44,3 m to 7.5 m,30 s,,
at the tube behind the plate,10:46,1 m to 1.5 m,40 s,lead 25 mm,
freeing the tube,10:46,50 cm,20 s,lead 25 mm,hand
cranking again,10:46,7.5 m,2 to 3,steel 1 in,
";

#[test]
fn a_dose_is_reconstructed_from_a_file_and_set_beside_the_readings() {
    let mut place = place("estimate-file");
    place.shown_file("positions.csv", POSITIONS);
    let head = place.head();
    let line = "dose reconstruct --source S-1 --at 2026-06-12T10:40 --positions \
                DIR/positions.csv --worker W07";
    let said = place.run(line);
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(said.out.contains("determination enter --worker W07"));
    place.run(&format!("{line} --csv"));
    assert_eq!(place.head(), head, "an estimate writes nothing");
    place.golden("estimate-file");
}

fn data(place: &Place, line: &str) -> serde_json::Value {
    let out = place.done(&format!("{line} --json")).out;
    let all: serde_json::Value = serde_json::from_str(&out).expect("JSON");
    all["data"].clone()
}

const AT: &str = "dose reconstruct --source S-1 --at 2026-06-12T10:40 --worker W07";

#[test]
fn a_reading_within_the_spread_does_not_differ_and_one_beyond_it_does() {
    let place = place("estimate-beside");
    // 48 Ci or so, 5.14 mSv m2/(h Ci): 0.12 mSv in a minute wants some 5.9 m.
    for (distance, differs, words) in [
        ("5.9 m", false, "within"),
        ("3 m", true, "LESS"),
        ("15 m", true, "MORE"),
        ("17 cm", true, "THOUSANDFOLD"),
    ] {
        let line = format!("{AT} --position \"what=there, distance={distance}, minutes=1\"");
        let found = data(&place, &line);
        let beside = &list(&found["beside"]["lines"])[0];
        assert_eq!(beside["differs"], differs, "{distance}: {beside}");
        let said = beside["words"].as_str().expect("words");
        assert!(said.contains(words), "{distance}: {said}");
    }
}

#[test]
fn low_central_and_high_stand_in_order_and_the_sums_are_theirs() {
    let place = place("estimate-sums");
    let file = place.file("positions.csv", POSITIONS);
    let line = format!("{AT} --positions {file}");
    let found = data(&place, &line);
    let nsv = |it: &serde_json::Value, side: &str| it[side]["nsv"].as_i64().expect("nsv");
    for side in ["low", "central", "high"] {
        let of = |part: &str| -> i64 {
            let all = list(&found["positions"]).iter();
            all.filter(|it| it["part"] == part)
                .map(|it| nsv(&it["dose"], side))
                .sum()
        };
        assert_eq!(nsv(&found["whole_body"], side), of("whole body"));
        assert_eq!(nsv(&found["hand"], side), of("whole body") + of("hand"));
    }
    let whole = &found["whole_body"];
    assert!(nsv(whole, "low") < nsv(whole, "central"));
    assert!(nsv(whole, "central") < nsv(whole, "high"));
}

#[test]
fn a_source_that_is_not_registered_is_named_with_its_activity() {
    let mut place = place("estimate-stated");
    let line = "dose reconstruct --nuclide Se-75 --activity \"60 Ci\" --activity-on 2026-05-01 \
                --at 2026-06-12T10:40 --position \"what=at the stand, distance=2 m, minutes=3, \
                shield=2 HVL\"";
    place.run(line);
    // Exposure is lower than ambient dose, and the output says which it is.
    let ambient = data(&place, line);
    let exposure = data(&place, &format!("{line} --constant exposure"));
    let high = |it: &serde_json::Value| it["whole_body"]["high"]["nsv"].as_i64().expect("nsv");
    assert!(high(&exposure) < high(&ambient));
    let quantity = &exposure["strength"]["constant"]["quantity"];
    assert_eq!(quantity, "exposure, counted 1 R = 1 rem by convention");
    place.golden("estimate-stated");
}

#[test]
fn an_unusual_figure_is_taken_when_it_is_meant() {
    let place = place("estimate-as-stated");
    let line = "dose reconstruct --nuclide Ir-192 --activity \"0.5 Ci\" --at 2026-06-12T10:40 \
                --position \"what=there, distance=1 m, minutes=1\"";
    assert_eq!(place.quiet(line).code, 1);
    place.done(&format!("{line} --as-stated"));
}

#[test]
fn a_retrieval_is_planned_with_and_without_shielding() {
    let mut place = place("estimate-plan");
    let head = place.head();
    let line =
        "dose plan --source S-1 --on 2026-06-15 --shield \"lead 25 mm\" --budget \"50 mrem\"";
    place.run(line);
    place.run("dose plan --source S-1 --on 2026-06-15T08:00");
    place.run(&format!("{line} --csv"));
    assert_eq!(place.head(), head, "a plan writes nothing");
    place.golden("estimate-plan");
}

#[test]
fn the_rates_of_a_plan_fall_with_distance_and_the_times_grow() {
    let place = place("estimate-plan-order");
    let found = data(
        &place,
        "dose plan --source S-1 --shield \"lead 25 mm\" --budget \"50 mrem\"",
    );
    let lines = list(&found["distances"]);
    for pair in lines.windows(2) {
        let rate = |it: &serde_json::Value| it["bare"]["nsv_per_hour"].as_i64();
        assert!(rate(&pair[0]) > rate(&pair[1]));
        let time = |it: &serde_json::Value| it["bare_seconds"].as_i64();
        assert!(time(&pair[0]) < time(&pair[1]));
    }
    for it in lines {
        let (bare, shielded) = (&it["bare"], &it["shielded"]);
        assert!(shielded["nsv_per_hour"].as_i64() < bare["nsv_per_hour"].as_i64());
        // The time at the rate is never more than the budget.
        let rate = bare["nsv_per_hour"].as_i64().expect("a rate");
        let seconds = it["bare_seconds"].as_i64().expect("seconds");
        assert!(i128::from(rate) * i128::from(seconds) <= 500_000 * 3600);
    }
    let meanings: Vec<_> = list(&found["boundaries"])
        .iter()
        .map(|it| &it["rate"])
        .collect();
    assert_eq!(meanings.len(), 3, "{meanings:?}");
}

#[test]
fn who_may_not_work_is_no_candidate_and_a_budget_above_what_is_left_does_not_fit() {
    let place = place("estimate-plan-people");
    let found = data(&place, "dose plan --source S-1 --budget \"4990 mrem\"");
    let line = |id: &str| {
        let people = list(&found["people"]);
        let it = people.iter().find(|it| it["worker"] == id);
        it.unwrap_or_else(|| panic!("{id}")).clone()
    };
    for (id, fits) in [("W07", false), ("W08", true), ("W01", true)] {
        assert_eq!(line(id)["fits"], fits, "{}", line(id));
    }
    // Nothing received of 5 rem; by how much it fits nobody is told here.
    for (budget, fits) in [("5000 mrem", true), ("5001 mrem", false)] {
        let found = data(
            &place,
            &format!("dose plan --source S-1 --budget \"{budget}\""),
        );
        let people = list(&found["people"]);
        let one = people.iter().find(|it| it["worker"] == "W01");
        assert_eq!(one.expect("W01")["fits"], fits, "{budget}");
        assert!(!found["people"].to_string().contains("left"), "{found}");
    }
    // A level that is for her and the RSO alone counts, in words that are the same for all.
    place.done("worker pregnancy --worker W08 --notice-on 2026-06-01 --conception-on 2026-05-01");
    let found = data(&place, "dose plan --source S-1 --budget \"4990 mrem\"");
    let people = list(&found["people"]);
    let of = |id: &str| {
        let one = people.iter().find(|it| it["worker"] == id).expect("a line");
        (one["fits"].clone(), one["why"].clone())
    };
    assert_eq!(of("W07"), of("W08"));
    assert_eq!(of("W08").0, false);
    // Off-scale since: no bound, no allowance.
    let off = row(
        "2026-06-13",
        "day",
        "W07,radiographer,PD-07,1,0,,yes,RM-07,yes,yes",
    );
    place.hand_in(&off);
    let found = data(&place, "dose plan --source S-1 --budget \"1 mrem\"");
    let people = list(&found["people"]);
    let stopped = people.iter().find(|it| it["worker"] == "W07");
    let stopped = stopped.expect("W07 is monitored");
    assert_eq!(
        (&stopped["may_work"], &stopped["fits"]),
        (&false.into(), &false.into())
    );
    let found = data(&place, "dose plan --source S-1 --budget \"6 rem\"");
    let notes = found["notes"].to_string();
    assert!(notes.contains("above the limit of a year"), "{notes}");
}

/// Positions of one line, each with one mistake.
const MISTAKES: &str = "what,from,distance,minutes,shield,part
,10:40,2 m,3,,
a,6:40,2 m,3,,
b,,2,3,,
c,,2 m,3 min 20,,
d,,2 m,3,wax 10 mm,
e,,2 m,3,lead,
f,,2 m,3,,knee
g,,2 mR,3,,
";

#[test]
fn gallery_positions_that_cannot_be_read_are_all_told_at_once() {
    let mut place = place("estimate-gallery-read");
    place.shown_file("positions.csv", MISTAKES);
    place.refused(
        "dose reconstruct --source S-1 --at 2026-06-12T10:40 --positions DIR/positions.csv",
    );
    place.shown_file("head.csv", "what,distanse,minutes\na,2 m,3\n");
    place.refused("dose reconstruct --source S-1 --at 2026-06-12T10:40 --positions DIR/head.csv");
    place.golden("estimate-gallery-read");
}

const SLIPS: &str = "what,from,distance,minutes,shield,part
a,,0 m,3,,
b,,5 mm,3,,
c,,7500 m,3,,
d,,2 m,0,,
e,,2 m,1500,,
f,,2 m,3,lead 25 cm,
g,,2 m to 1 m,3 to 2,,
";

#[test]
fn gallery_figures_that_cannot_be_meant_are_all_told_at_once() {
    let mut place = place("estimate-gallery-slips");
    place.shown_file("positions.csv", SLIPS);
    place.refused(
        "dose reconstruct --source S-1 --at 2026-06-12T10:40 --positions DIR/positions.csv",
    );
    place.golden("estimate-gallery-slips");
}

#[test]
fn gallery_sources_that_cannot_be_are_refused() {
    let mut place = place("estimate-gallery-sources");
    let position = "--position \"what=there, distance=2 m, minutes=1\"";
    let at = "--at 2026-06-12T10:40";
    for source in [
        "",
        "--source S-9",
        "--source G-1",
        "--source S-1 --activity \"90 Ci\"",
        "--source S-1 --activity \"1.7 GBq\"",
        "--source S-1 --activity \"1.7 TB\"",
        "--nuclide Am-241 --activity \"50 Ci\"",
        "--nuclide Ir-192 --activity \"1.5 GBq\"",
        "--nuclide Ir-192 --activity \"1500 TBq\"",
        "--source S-1 --constant \"0.48 mR m2/(h Ci)\"",
        "--source S-1 --constant \"130 mSv m2/(h GBq)\"",
        "--source S-1 --constant 0.48",
    ] {
        place.refused(&format!("dose reconstruct {source} {at} {position}"));
    }
    place.refused(&format!("dose reconstruct --source S-1 {at}"));
    place.refused(&format!(
        "dose reconstruct --source S-1 {at} --position \"what=there, distanc=2 m\""
    ));
    place.golden("estimate-gallery-sources");
}

#[test]
fn gallery_moments_that_are_none_or_two_are_refused() {
    let mut place = place("estimate-gallery-moments");
    let rest = "--source S-1 --position \"what=there, distance=2 m, minutes=1\"";
    for at in [
        "2026-06-12",
        "2026-06-12T6:40",
        // The clocks of the ledger's zone went forward over it, and back.
        "2026-03-08T02:30",
        "2025-11-02T01:30",
        "2026-07-01T10:00",
    ] {
        place.refused(&format!("dose reconstruct --at {at} {rest}"));
    }
    place.done(&format!(
        "dose reconstruct --at 2025-11-02T01:30-05:00 {rest}"
    ));
    for flag in [
        "--shield \"lead 10\"",
        "--shield \"lead 30 cm\"",
        "--budget 50",
        "--budget \"50 mR\"",
        "--budget \"0 mrem\"",
        "--on 6/5/2026",
    ] {
        place.refused(&format!("dose plan --source S-1 {flag}"));
    }
    place.golden("estimate-gallery-moments");
}

/// The same positions typed at a terminal give the same dose as by flags.
#[test]
fn positions_are_asked_for_where_somebody_can_be_asked() {
    let mut place = Place::with_registers("estimate-asked");
    let by_flags = place.done(&format!(
        "{AT} --position \"what=set the magnet, from=10:40, distance=2 m, minutes=3\" \
         --position \"what=crank, distance=8 m, minutes=5, shield=lead 10 mm\""
    ));
    let typed = "set the magnet\n10:40\n2 m\n3\n\n\ncrank\n\n8 m\n5\nlead 10 mm\n\n\n";
    let asked = place.ask(AT, typed);
    assert_eq!(asked.code, 0, "{}", asked.err);
    assert_eq!(asked.out, by_flags.out);
}

fn parts(place: &Place, positions: &str) -> serde_json::Value {
    data(
        place,
        &format!("dose reconstruct --source S-1 --at 2026-06-12T10:40 {positions}"),
    )
}

/// 10 CFR 20.1003: head and trunk are the whole body, hand and foot are extremities.
#[test]
fn each_part_of_the_body_says_what_it_is_about() {
    let place = place("estimate-parts");
    let one = "--position \"what=there, distance=2 m, minutes=3\"";
    // The part; which of whole body, head, hand, foot are assessed; the quantities offered.
    for (part, assessed, quantities) in [
        ("whole body", [true, false, false, false], vec!["deep"]),
        ("chest", [true, false, false, false], vec!["deep"]),
        ("head", [true, true, false, false], vec!["deep", "lens"]),
        ("hand", [false, false, true, false], vec!["extremity"]),
        ("foot", [false, false, false, true], vec!["extremity"]),
    ] {
        let found = parts(&place, &format!("{one} --part \"{part}\""));
        let is = ["whole_body", "head", "hand", "foot"].map(|it| !found[it].is_null());
        assert_eq!(is, assessed, "{part}");
        let commands = list(&found["determination"]);
        assert_eq!(commands.len(), quantities.len(), "{part}");
        for (command, quantity) in commands.iter().zip(quantities) {
            let words = format!("--quantity {quantity} ");
            assert!(
                command.as_str().expect("text").contains(&words),
                "{command}"
            );
        }
        let trunk = found["notes"].to_string().contains("NOT ASSESSED");
        assert_eq!(trunk, !assessed[0], "{part}: {}", found["notes"]);
    }
    // A position that names its part keeps it.
    let named = "--position \"what=there, distance=2 m, minutes=3, part=hand\" --part chest";
    let found = parts(&place, named);
    assert!(found["whole_body"].is_null() && !found["hand"].is_null());
    let said = place.quiet(&format!("{AT} {one} --part knee"));
    assert!(said.code != 0 && said.err.contains("foot"), "{}", said.err);
}

/// A figure that was made with another constant in use is found beside, and in the range that is
/// proposed for the record.
#[test]
fn every_constant_in_use_stands_beside_the_estimate() {
    let place = place("estimate-constants");
    let one = "--position \"what=there, distance=2 m, minutes=3\"";
    let found = parts(&place, one);
    let command = found["determination"][0].as_str().expect("a command");
    let end = |flag: &str| -> f64 {
        let (_, rest) = command.split_once(flag).expect("the flag");
        let number = rest.split(['"', ' ']).find(|it| !it.is_empty());
        number.expect("a number").parse().expect("a number")
    };
    let (low, high) = (end("--low"), end("--high"));
    let others = list(&found["with_constants"]);
    assert_eq!(others.len(), 4);
    for other in others {
        let key = other["key"].as_str().expect("a name");
        let alone = parts(&place, &format!("{one} --constant {key}"));
        let nsv = |side: &str| alone["whole_body"][side]["nsv"].as_i64().expect("nsv");
        assert_eq!(other["parts"][0][1]["high"]["nsv"], nsv("high"), "{key}");
        let mrem = |side: &str| nsv(side) as f64 / 1e4;
        assert!(
            low <= mrem("low") && mrem("high") <= high,
            "{key}: {command}"
        );
    }
    let said = place.done(&format!("{AT} {one} --why")).out;
    assert!(
        said.contains("with constant exposure-textbook: whole body"),
        "{said}"
    );
}

#[test]
fn a_moment_before_the_reference_date_is_said_to_be_one() {
    let place = place("estimate-before");
    let line = "dose reconstruct --nuclide Ir-192 --activity \"50 Ci\" --activity-on 2026-06-14 \
                --at 2026-06-12T10:40 --position \"what=there, distance=2 m, minutes=3\"";
    let said = place.done(line).out;
    assert!(
        said.contains("BEFORE the reference date 2026-06-14"),
        "{said}"
    );
    assert!(
        said.contains("computed BACKWARDS") && !said.contains("decayed"),
        "{said}"
    );
}

#[test]
fn minutes_with_any_decimals_are_rounded_up_to_whole_seconds_and_that_is_said() {
    let place = place("estimate-decimals");
    let of = |minutes: &str| {
        let line = format!("--position \"what=there, distance=2 m, minutes={minutes}\"");
        let found = parts(&place, &line);
        let time = list(&found["positions"])[0]["time"].clone();
        (time, found["notes"].to_string().contains("rounded up"))
    };
    assert_eq!(of("2.3333333333"), ("2 min 20 s".into(), true));
    assert_eq!(of("0.001"), ("1 s".into(), true));
    assert_eq!(of("2.5"), ("2 min 30 s".into(), false));
}

#[test]
fn a_source_without_an_activity_says_what_is_needed_and_the_rate_of_a_unit() {
    let mut place = place("estimate-no-activity");
    let said = place.refused(
        "dose reconstruct --nuclide Ir-192 --at 2026-06-12T10:40 --position \"what=there, \
         distance=2 m, minutes=3\"",
    );
    for words in [
        "--activity-on",
        "1 Ci (37 GBq) of Ir-192 gives 5.14",
        "mSv/h",
    ] {
        let err = said.err.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(err.contains(words), "{words}: {err}");
    }
}
