//! A level that the site marks as stopping, or not, is judged alike by the sheet, work status,
//! board and findings.

use serde_json::Value;

use super::cli_demo::list;
use super::cli_support::{HEADER, Place, crew, data_of as data};

/// A level of a quarter, as a site writes it, with a mark or none.
fn rule_set(kind: &str, mark: &str, dose: &str) -> String {
    format!(
        "rule_set = \"site levels\"\ntitle = \"levels of a test\"\nextends = \"10 CFR\"\n\
         [[level]]\nkey = \"site-level\"\nsort = \"{kind}\"\nquantity = \"deep\"\n\
         applies_to = \"adult\"\nwindow = \"quarter\"\ndose = \"{dose}\"\n{mark}\n\
         citation = \"procedure 1\"\nstatus = \"read\"\nmeaning = \"The RSO looks into it.\"\n"
    )
}

fn of<'a>(lines: &'a Value, id: &str) -> &'a Value {
    let mut lines = list(lines).iter();
    lines.find(|it| it["worker"] == id).expect("the person")
}

/// How urgent the site's level is to W07 by the answer to a sheet: a paragraph a finding.
fn told(out: &str) -> Vec<&'static str> {
    let mut urgency = "none";
    let mut all = Vec::new();
    for line in out.lines() {
        urgency = match line.split_whitespace().next() {
            Some("STOP") => "stop",
            Some("ACT") => "act",
            Some("watch") => "watch",
            _ => urgency,
        };
        if line.contains("key:") && line.contains("level-reached:site-level/W07/") {
            all.push(urgency);
        }
    }
    all
}

type Row = (
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    Option<&'static str>,
);

/// What it is, kind, mark and dose of the level; how urgent it is to who received 36 mrem.
const ROWS: [Row; 7] = [
    (
        "marked",
        "investigation",
        "stops = true",
        "36 mrem",
        Some("stop"),
    ),
    ("unmarked", "investigation", "", "36 mrem", Some("act")),
    (
        "administrative",
        "administrative",
        "",
        "36 mrem",
        Some("stop"),
    ),
    (
        "let through",
        "administrative",
        "stops = false",
        "36 mrem",
        Some("act"),
    ),
    (
        "not reached",
        "investigation",
        "stops = true",
        "37 mrem",
        None,
    ),
    // A limit of which nothing is left, and which nobody has passed.
    ("used up", "limit", "", "36 mrem", Some("stop")),
    ("below", "limit", "", "37 mrem", None),
];

#[test]
fn a_level_stops_or_asks_to_act_alike_in_every_answer() {
    // W07 receives 36 mrem in the three shifts.
    let days = ["2026-06-10", "2026-06-11", "2026-06-12"];
    for (name, kind, mark, dose, severity) in ROWS {
        let place = Place::with_registers(&format!("stopping-{name}"));
        let file = place.file("site.toml", rule_set(kind, mark, dose));
        place.done(&format!("rules adopt {file} --from 2026-01-01"));
        let rows: String = days.iter().map(|day| crew(day, "day")).collect();
        let file = place.file("sheets.csv", format!("{HEADER}{rows}"));
        let sheet = told(&place.done(&format!("sheet import {file}")).out);
        assert_eq!(sheet, Vec::from_iter(severity), "{name}: sheet");
        let found = data(&place, "findings --from 2026-01-01 --to 2026-06-15");
        let mine = list(&found["lines"])
            .iter()
            .filter(|it| it["subject"] == "W07" && it["check"] == "level-reached:site-level");
        let said: Vec<&str> = mine.filter_map(|it| it["severity"].as_str()).collect();
        assert_eq!(said, Vec::from_iter(severity), "{name}: findings");
        let may = severity != Some("stop");
        let clear = data(&place, "work-status W07");
        assert_eq!(
            of(&clear["lines"], "W07")["may_work"],
            may,
            "{name}: work status"
        );
        if severity == Some("act") {
            // Who may work is told of it all the same.
            let nearest = &of(&clear["lines"], "W07")["nearest"];
            assert_eq!(nearest["level"], "site-level", "{name}: nearest");
        }
        let board = data(&place, "board");
        let person = of(&board["people"], "W07");
        assert_eq!(person["may_go"], may, "{name}: board");
        assert_eq!(list(&person["reasons"]).is_empty(), may, "{name}: {person}");
    }
}
