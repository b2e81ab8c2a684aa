//! What the RSO decides: doses where no dosimeter gives one, results accepted, disagreements
//! resolved; and who may decide.

use super::cli_badges::{golden, issued, ok, rehearsed};
use super::cli_support::{Place, crew};

/// A ledger with a sheet on which W08 was off scale.
fn off_scale(name: &str) -> Place {
    let place = issued(name);
    let sheet = crew("2026-05-12", "day").replace(",1,9,no,", ",1,,yes,");
    place.hand_in(&sheet);
    place
}

const DETERMINED: &str = "--quantity deep --relation replaces --method co-worker \
                          --basis \"two at the same job, 12 and 14 mrem\" --on 2026-05-13";

#[test]
fn the_rso_determines_what_no_dosimeter_gives() {
    let mut place = off_scale("badges-determined");
    place.done("badge lost --badge B-08/2026-05-01 --on 2026-05-20");
    for line in [
        format!(
            "determination enter --worker W08 --sheet 37 --dosimeter PD-08 --dose \"14 mrem\" \
             {DETERMINED} --performed-by W01"
        ),
        "determination enter --worker W08 --badge B-08/2026-05-01 --dose \"0.4 mSv\" \
         --quantity deep --relation \"until result\" --method \"own periods\" \
         --basis \"April and June\" --on 2026-06-12 --performed-by W01"
            .to_owned(),
        "determination enter --worker W08 --first-day 2026-05-20 --last-day 2026-05-22 \
         --dose \"16.4 mrem\" --quantity deep --relation replaces --method notional \
         --basis \"share of the limit for three days\" --on 2026-06-12 --performed-by W01"
            .to_owned(),
        // A dose of the RSO's own, looked at by another.
        "determination enter --worker W01 --first-day 2026-05-20 --last-day 2026-05-20 \
         --dose 0mrem --quantity deep --relation adds --method \"no exposure\" \
         --basis \"sat in the office\" --on 2026-06-12 --performed-by W01 --second-by W07"
            .to_owned(),
    ] {
        rehearsed(&mut place, &line);
        let again = place.done(&line).out;
        assert!(
            again.starts_with("0 written, 1 were there already"),
            "{again}"
        );
    }
    ok(&mut place, "determination list");
    golden(place, "badges-determined");
}

#[test]
fn a_determination_that_cannot_stand_is_refused() {
    let mut place = off_scale("badges-bad-determination");
    let reading = format!(
        "determination enter --worker W08 --sheet 37 --dosimeter PD-08 --dose \"14 mrem\" \
         {DETERMINED} --performed-by W01"
    );
    place.done(&reading);
    for (from, to) in [
        // About something that does not exist.
        ("--sheet 37", "--sheet 36"),
        ("--sheet 37", "--sheet 9999"),
        ("--sheet 37", "--sheet S-4711"),
        ("--dosimeter PD-08", "--dosimeter PD-07"),
        ("--worker W08", "--worker W09"),
        ("--worker W08", "--worker W80"),
        ("--sheet 37 --dosimeter PD-08", "--badge B-80"),
        ("--sheet 37 --dosimeter PD-08", "--badge B-07/2026-05-01"),
        ("--sheet 37 --dosimeter PD-08", "--badge C-01/2026-05-01"),
        (
            "--sheet 37 --dosimeter PD-08",
            "--first-day 2026-05-12 --last-day 2026-05-14",
        ),
        (
            "--sheet 37 --dosimeter PD-08",
            "--first-day 2026-05-12 --last-day 2026-05-11",
        ),
        ("--sheet 37 --dosimeter PD-08", ""),
        ("--sheet 37", "--sheet 37 --badge B-08"),
        // Already determined.
        ("--dose \"14 mrem\"", "--dose \"15 mrem\""),
        // Nobody's dose.
        ("--dose \"14 mrem\"", "\"--dose=-14 mrem\""),
        ("--dose \"14 mrem\"", "--dose \"14 Sv\""),
        ("--dose \"14 mrem\"", "--dose 14"),
        ("--dose \"14 mrem\"", "--dose \"14 mR\""),
        // Not by somebody who may.
        ("--performed-by W01", "--performed-by W07"),
        ("--performed-by W01", "--performed-by W01 --second-by W01"),
        ("--performed-by W01", "--performed-by W01 --second-by W09"),
        ("--on 2026-05-13", "--on 2026-05-11"),
        ("--on 2026-05-13", "--on 2026-06-16"),
    ] {
        assert!(reading.contains(from), "{from}");
        place.refused(&reading.replace(from, to));
    }
    let own = "determination enter --worker W01 --first-day 2026-05-10 --last-day 2026-05-12 \
               --dose \"1 mrem\" --quantity deep --relation replaces --method co-worker \
               --basis \"as the others\" --on 2026-05-13 --performed-by W01";
    place.refused(own);
    place.done(&format!("{own} --second-by W07"));
    place.refused("determination enter --worker W08");
    golden(place, "badges-determination_refused");
}

#[test]
fn who_may_decide_is_read_on_the_day() {
    let mut place = off_scale("badges-roles");
    let line = |on: &str, dose: &str| {
        format!(
            "determination enter --worker W08 --first-day 2026-05-12 --last-day {dose} \
             --dose \"14 mrem\" --quantity deep --relation adds --method co-worker \
             --basis \"as the others\" --on {on} --performed-by W07"
        )
    };
    place.done("worker role --worker W07 --from 2026-06-01 --role \"rso designee\"");
    place.done("worker role --worker W07 --from 2026-06-10 --role radiographer");
    place.refused(&line("2026-05-31", "2026-05-12"));
    ok(&mut place, &line("2026-06-01", "2026-05-12"));
    ok(&mut place, &line("2026-06-09", "2026-05-13"));
    place.refused(&line("2026-06-10", "2026-05-14"));
    // An amendment takes the same look.
    let said = place.done("determination list --json").out;
    assert!(said.contains("\"40\""), "{said}");
    place.refused("entry correct 40 on=2026-06-11 --reason \"wrong day\"");
    ok(
        &mut place,
        "entry correct 40 on=2026-06-02 --reason \"wrong day\"",
    );
    golden(place, "badges-roles_on_the_day");
}

#[test]
fn a_file_of_determinations_is_taken_whole_or_not_at_all() {
    let mut place = off_scale("badges-determinations");
    const HEAD: &str = "worker,sheet,dosimeter,badge,first_day,last_day,quantity,dose,relation,\
                        method,basis,on,performed_by,second_by\n";
    let good = "W08,37,,,,,deep,14 mrem,replaces,co-worker,as W07,2026-05-13,W01,\n";
    let bad = "W08,37,,,,,lens,14,replaces,co-worker,as W07,2026-05-13,W08,\n\
               W08,,,,2026-05-13,2026-05-12,skin,1 mrem,replaces,guess,,2026-05-13,W01,\n";
    place.shown_file("bad.csv", format!("{HEAD}{good}{bad}"));
    place.refused("determination import DIR/bad.csv");
    place.shown_file("good.csv", format!("{HEAD}{good}"));
    rehearsed(&mut place, "determination import DIR/good.csv");
    golden(place, "badges-determinations_file");
}

#[test]
fn a_disagreement_is_settled_by_somebody_who_may() {
    let mut place = issued("badges-resolve");
    let settle = |badge: &str, which: &str, by: &str| {
        format!(
            "badge resolve {badge} --of-record {which} --reason \"it hung in the truck\" \
             --performed-by {by}"
        )
    };
    place.done("badge lost --badge B-08/2026-05-01 --on 2026-05-20");
    place.refused(&settle("B-08/2026-05-01", "result", "W01"));
    place.done(
        "determination enter --worker W08 --badge B-08/2026-05-01 --dose \"40 mrem\" \
         --quantity deep --relation replaces --method \"own periods\" --basis \"April and June\" \
         --on 2026-06-01 --performed-by W01",
    );
    place.refused(&settle("B-08/2026-05-01", "determination", "W01"));
    place.done(
        "badge result --badge B-08/2026-05-01 --report R-5 --reported-on 2026-06-10 \
         --deep \"90 mrem\"",
    );
    place.refused(&settle("B-8", "determination", "W01"));
    place.refused(&settle("B-07/2026-05-01", "determination", "W01"));
    place.refused(&settle("B-08", "neither", "W01"));
    // The determination is about all of its shifts: nothing is left for the result.
    place.refused(&settle("B-08", "both", "W01"));
    place.refused(&settle("B-08", "determination", "W07"));
    place.refused(&settle("B-08", "determination", "W70"));
    place.refused(&settle("B-08 --on 2026-06-16", "determination", "W01"));
    rehearsed(&mut place, &settle("B-08", "determination", "W01"));
    ok(&mut place, &settle("B-08", "determination", "W01"));
    // Another choice takes its place.
    rehearsed(&mut place, &settle("B-08", "result", "W01"));
    golden(place, "badges-resolved");
}

#[test]
fn an_acceptance_is_of_one_version_of_a_result() {
    let mut place = issued("badges-accept");
    let result = "badge result --badge B-08/2026-05-01 --report R-5 --reported-on 2026-06-10 \
                  --deep \"90 mrem\"";
    place.done(result);
    place.refused("badge accept");
    place.refused("badge accept 36 --performed-by W01");
    place.refused("badge accept 9999 --performed-by W01");
    place.refused("badge accept --report R-55 --performed-by W01");
    place.refused("badge accept 37 --performed-by W07");
    place.refused("badge accept 37 --performed-by W01 --on 2026-06-09");
    place.refused("badge accept 37 --performed-by W01 --on 2026-06-16");
    rehearsed(&mut place, "badge accept 37 --performed-by W01");
    // Another figure is to be accepted anew.
    ok(
        &mut place,
        "entry correct 37 \"deep=91 mrem\" --reason \"misread\"",
    );
    place.refused("entry correct 39 deep=92 --reason \"misread\"");
    place.refused("badge accept 37 --performed-by W01");
    ok(&mut place, "badge accept 39 --performed-by W01");
    place.refused("entry void 39 --reason \"not ours\"");
    golden(place, "badges-accepted");
}

/// The RSO's own badge in a report of several, and a disagreement about it.
fn rsos_own(name: &str) -> Place {
    let place = issued(name);
    place.done(
        "badge issue --badge B-01 --type \"whole body\" --worker W01 --first-day 2026-05-01 \
         --last-day 2026-05-31",
    );
    for (badge, dose) in [("B-01", "31 mrem"), ("B-07/2026-05-01", "40 mrem")] {
        place.done(&format!(
            "badge result --badge {badge} --report R-5 --reported-on 2026-06-10 --deep \"{dose}\" \
             --lens \"{dose}\" --shallow \"{dose}\""
        ));
    }
    place
}

#[test]
fn nobody_accepts_a_result_of_their_own_alone() {
    let mut place = rsos_own("badges-own-accept");
    let own = "no one decides alone about their own dose";
    for line in [
        "badge accept --report R-5 --performed-by W01",
        "badge accept 38 --performed-by W01",
    ] {
        let said = place.refused(line);
        assert!(said.err.contains(own), "{}", said.err);
        // Not by oneself twice, and by nobody who may not judge it.
        for second in ["W01", "W08"] {
            place.refused(&format!("{line} --second-by {second}"));
        }
    }
    // Where the dose is another's, a second person is welcome and never its owner.
    place.refused("badge accept 39 --performed-by W01 --second-by W07");
    rehearsed(
        &mut place,
        "badge accept --report R-5 --performed-by W01 --second-by W07",
    );
    let entry = |number: i64| place.done(&format!("entry show {number}")).out;
    assert!(entry(40).contains("second_by"), "{}", entry(40));
    assert!(!entry(41).contains("second_by"), "{}", entry(41));
    place.done("ledger verify --full");
}

#[test]
fn nobody_settles_a_disagreement_of_their_own_alone() {
    let mut place = rsos_own("badges-own-resolve");
    place.done(
        "determination enter --worker W01 --badge B-01 --dose \"20 mrem\" --quantity deep \
         --relation replaces --method \"own periods\" --basis \"April and June\" \
         --on 2026-06-11 --performed-by W01 --second-by W07",
    );
    let settle = "badge resolve B-01 --of-record determination --reason \"hung at the source\" \
                  --performed-by W01";
    place.refused(settle);
    place.refused(&format!("{settle} --second-by W01"));
    rehearsed(&mut place, &format!("{settle} --second-by W07"));
    // To take the second person away is no correction that may stand.
    place.refused("entry correct 41 second_by= --reason \"typed by mistake\"");
}

/// A command that is proposed can be run: of the RSO's own dose it names a second person.
#[test]
fn of_the_rsos_own_dose_each_way_out_names_a_second_person() {
    let mut place = issued("badges-own-ways");
    for (worker, second) in [("W01", " --second-by W07"), ("W08", "")] {
        for (last, dose) in [("2026-05-10", "5 mrem"), ("2026-05-12", "7 mrem")] {
            place.done(
                &format!(
                    "determination enter --worker {worker} --first-day 2026-05-01 \
                     --last-day {last} --dose \"{dose}\" {DETERMINED} --performed-by W01{second}"
                )
                .replace("--on 2026-05-13", "--on 2026-05-31"),
            );
        }
        let why = format!("dose show {worker} --from 2026-05-01 --to 2026-05-31 --why");
        let out = ok(&mut place, &why);
        assert!(out.contains("wearbook dose resolve --of-record"), "{out}");
        let named = out.contains("--second-by ID");
        assert_eq!(named, worker == "W01", "{out}");
    }
}

/// Two determinations of days that meet contradict each other: both stand as they were told, and
/// the levels see the higher until somebody resolves it.
#[test]
fn determinations_of_days_that_meet_are_a_conflict_with_a_command_for_each_way_out() {
    let mut place = issued("badges-corrected-days");
    let days = |first: &str, last: &str, dose: &str| {
        format!(
            "determination enter --worker W08 --first-day {first} --last-day {last} \
             --dose \"{dose}\" {DETERMINED} --performed-by W01"
        )
        .replace("--on 2026-05-13", "--on 2026-05-31")
    };
    place.done(&days("2026-05-01", "2026-05-05", "5 mrem"));
    place.done(&days("2026-05-10", "2026-05-12", "7 mrem"));
    let why = "dose show W08 --from 2026-05-01 --to 2026-05-31 --why";
    assert!(!ok(&mut place, why).contains("to be resolved"));
    place.done("entry correct 37 last_day=2026-05-10 --reason \"misread\"");
    let out = ok(&mut place, why);
    assert!(out.contains("to be resolved"), "{out}");
    let settle = "dose resolve --of-record 38 --reason \"the later look\" --performed-by W01";
    assert!(
        out.contains("wearbook dose resolve --of-record 38"),
        "{out}"
    );
    rehearsed(&mut place, settle);
    let out = ok(&mut place, why);
    assert!(!out.contains("to be resolved"), "{out}");
    // Nothing is left to resolve.
    let again = place.refused("dose resolve --of-record 38 --reason \"again\" --performed-by W01");
    let again = again.err.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        again.contains("contradicts nothing: entry 40 resolved it"),
        "{again}"
    );
    assert!(
        again.contains("wearbook entry void 40 --reason WHY"),
        "{again}"
    );
}

/// Ionising Radiations Regulations 2017, reg. 23(1): the proportion of the annual limit for the
/// period; 20 mSv x 30/365 = 1.64 mSv.
#[test]
fn a_notional_dose_is_the_limits_share_and_an_estimate() {
    let mut place = issued("badges-notional");
    let notional = "determination notional --worker W08";
    let june = format!("{notional} --first-day 2026-06-01 --last-day 2026-06-30");
    let out = ok(&mut place, &june);
    // 5000 mrem x 30/365 under this ledger's rule set, rounded up.
    assert!(out.contains("5000 mrem x 30/365 days,"), "{out}");
    assert!(
        out.contains("reg. 23(1)") && out.contains("An estimate, and no dose"),
        "{out}"
    );
    place.refused(&format!(
        "{notional} --first-day 2026-12-20 --last-day 2027-01-05"
    ));
    place.refused(&format!(
        "{notional} --first-day 2026-06-30 --last-day 2026-06-01"
    ));
    place.refused(&june.replace("W08", "W80"));
    place.done("rules adopt EU --from 2026-06-10 --reason moved");
    let out = place.done(&format!("{june} --json")).out;
    let all: serde_json::Value = serde_json::from_str(&out).expect("JSON");
    let deep = &all["data"]["lines"][0];
    assert_eq!(
        (&deep["quantity"], &deep["dose"]["nsv"]),
        (&"deep".into(), &1_643_836.into())
    );
    golden(place, "badges-notional");
}

/// Whoever accepts a whole report looks at nobody one by one: what it lowers and whom it
/// frees is said with it, before it is written too, and stays to be read.
#[test]
fn an_acceptance_says_what_it_lowers_and_which_stop_it_ends() {
    let place = off_scale("badges-accepted-lowers");
    place.done(
        "determination enter --worker W08 --first-day 2026-05-12 --last-day 2026-05-12 \
         --dose \"5035 mrem\" --quantity deep --relation \"until result\" --method co-worker \
         --basis \"stood beside it\" --on 2026-05-13 --performed-by W01",
    );
    for (badge, deep) in [("B-08", 20), ("B-07", 900)] {
        place.done(&format!(
            "badge result --badge {badge}/2026-05-01 --report R-9 --reported-on 2026-06-10 \
             --deep \"{deep} mrem\""
        ));
    }
    let flat = |line: &str| {
        let said = place.done(line).out;
        said.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let accept = "badge accept --report R-9 --performed-by W01";
    for line in [&format!("{accept} --dry-run"), accept] {
        let said = flat(line);
        let stop = said.find("it ends a STOP of W08").expect("the stop");
        let dose = said
            .find("it lowers the conservative total of W08")
            .expect("the dose");
        assert!(stop < dose, "{said}");
        assert!(said.contains(" dose: from 5035 mrem to 20 mrem"), "{said}");
        // Of W07 the result was the higher already.
        assert!(!said.contains("conservative total of W07"), "{said}");
    }
    let said = flat("dose show W08 --year 2026 --why");
    let gone = "Superseded, no longer counted: entry 38: deep dose for 2026-05-12 to \
                2026-05-12 determined as 5035 mrem; stands until a result comes: ended with the \
                result of entry 39, since 2026-06-10";
    assert!(said.contains(gone), "{said}");
}
