//! Every question that the demonstration's ledger can be asked fits a screen of 80 columns.

use unicode_width::UnicodeWidthStr;

use super::cli_demo::demo;
use super::cli_support::{Place, data_of};

/// The questions, each with something that the ledger has. `WORKER` stands for those of whom the
/// ledger has most to tell, `EVENT` for the retrieval and for a disconnect.
const ASKED: &[&str] = &[
    "alerts",
    "badge list",
    "board",
    "board --on 2026-05-12",
    "checklist compare general",
    "checklist list",
    "checklist show",
    "work-status",
    "work-status WORKER",
    "determination list",
    "determination notional --worker W09 --first-day 2026-03-01 --last-day 2026-03-31",
    "dose breakdown --year 2026",
    "dose crew",
    "dose crew --year 2025",
    "dose forecast W11",
    "dose leaver W12 --on 2026-06-05",
    "dose lists",
    "dose plan --source SA-20",
    "dose reconcile",
    "dose reconcile --year 2025",
    "dose reconstruct --source SA-20 --at 2026-05-19T13:40 --worker W02 \
     --position \"what=at the tube, distance=1 m, minutes=40 s\"",
    "dose show WORKER --year 2025 --why",
    "dose show WORKER --year 2026",
    "dose statement WORKER --year 2025",
    "entry history 40",
    "entry show 40",
    "due",
    "due --within 400",
    "equipment due --within 90",
    "equipment list",
    "equipment show ED-02",
    "equipment show SA-20",
    "evidence list --about E-6",
    "evidence show 8897",
    "event list",
    "event show EVENT",
    "findings",
    "findings --year 2025",
    "hold list",
    "inspect list CU-02 --year 2026",
    "inspect list --year 2026",
    "instrument due --within 90",
    "instrument list",
    "instrument show PD-01",
    "instrument show SM-01",
    "job list",
    "ledger verify",
    "report list",
    "report show EVENT",
    "pack JOB-01",
    "records calibrations",
    "records inventories",
    "records lapsed",
    "records leak-tests",
    "records sources",
    "records tracking",
    "records utilization",
    "records yearly-reports",
    "review 2025",
    "review 2026-04",
    "review 2026-05",
    "rules list",
    "rules show",
    "trace EVENT",
    "trace EVENT --all",
    "trace ranking",
    "trace show EVENT",
    "wear list",
    "wear show CU-02",
    "worker list",
    "worker show WORKER",
];

/// Asked beside the table, since what they need only a look at the ledger tells; and what
/// the demonstration has nothing of: a signed month, private records.
const BESIDE: &[&str] = &["inspect show", "private show", "review changes"];

/// Asks each question of the table, with the names that stand for others.
pub fn every_question(place: &Place, mut ask: impl FnMut(&str)) {
    let (workers, events) = (["W02", "W11"], ["E-4", "E-6"]);
    for line in ASKED {
        let names: &[&str] = match line {
            it if it.contains("WORKER") => &workers,
            it if it.contains("EVENT") => &events,
            _ => {
                ask(line);
                continue;
            }
        };
        for name in names {
            ask(&line.replace("WORKER", name).replace("EVENT", name));
        }
    }
    let inspection = data_of(place, "inspect list --year 2026");
    let inspection = inspection["lines"][0]["entry"]
        .as_i64()
        .expect("an inspection");
    ask(&format!("inspect show {inspection}"));
    ask("private show W02");
}

#[test]
fn every_question_of_the_demo_fits_eighty_columns() {
    let place = &demo().place;
    let mut wide = Vec::new();
    every_question(place, |line| {
        let said = place.quiet(line);
        assert!([0, 3].contains(&said.code), "{line}: {}", said.err);
        // A key that is to be pasted is not broken.
        let is_wide = |it: &&str| it.width() > 80 && it.trim().contains(' ');
        for shown in said.out.lines().filter(is_wide) {
            wide.push(format!("{line}: {} columns: {shown}", shown.width()));
        }
    });
    assert!(wide.is_empty(), "{}", wide.join("\n"));
}

#[test]
fn every_command_that_answers_is_asked() {
    let place = Place::empty("columns-commands");
    let help = place.done("help --all").out;
    let mut known = 0;
    for section in help.split("\n# wearbook ").skip(1) {
        let name = section.lines().next().unwrap_or_default();
        if !section.contains("--csv") {
            continue;
        }
        known += 1;
        let is_it = |line: &&&str| {
            let rest = line.strip_prefix(name);
            rest.is_some_and(|it| it.is_empty() || it.starts_with(' '))
        };
        let asked = ASKED.iter().chain(BESIDE).find(is_it);
        assert!(asked.is_some(), "`{name}` answers and is not asked");
    }
    assert!(known > 40, "{known}");
}
