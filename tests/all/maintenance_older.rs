//! A ledger from before there was inspection and maintenance: its rule set has none of the newer
//! keys and no checklist is adopted. It opens, answers, and is brought to the current form.

use rusqlite::Connection;
use wearbook::ledger::Ledger;
use wearbook::record::Adoption;

use super::cli_maintenance_shown::{kept, measured};
use super::cli_support::{Place, row};
use super::ledger_fixture::{adoption, assert_same, author, charter, dump, first_instant};

/// What a rule set did not have before.
const NEWER: &[(&str, &[&str])] = &[
    (
        "rule",
        &[
            "used-with-defect",
            "daily-check",
            "checked-after-use",
            "leak-test",
            "shield-leak-test",
            "equipment-inspection",
            "serviced-not-calibrated",
            "passed-beyond-limit",
            "leaking-source",
            "inventory",
            "look-back",
            "wear-heading",
            "same-figure",
            "never-measured",
        ],
    ),
    (
        "interval",
        &[
            "leak-test",
            "shield-leak-test",
            "equipment-inspection",
            "inventory",
        ],
    ),
];

/// The text without the sections of these keys.
fn without(text: &str, section: &str, keys: &[&str]) -> String {
    let mut kept = String::new();
    for part in text.split("\n[[") {
        let gone = keys
            .iter()
            .any(|key| part.starts_with(&format!("{section}]]\nkey = \"{key}\"\n")));
        if !gone {
            if !kept.is_empty() {
                kept.push_str("\n[[");
            }
            kept.push_str(part);
        }
    }
    kept
}

/// A ledger of such a rule set, with registers and a sheet.
fn before_maintenance() -> Place {
    let mut text = wearbook::rule::offer("10 CFR")
        .expect("a rule set")
        .text
        .to_owned();
    for (section, keys) in NEWER {
        let shorter = without(&text, section, keys);
        assert!(text.len() > shorter.len() + 50 * keys.len(), "{section}");
        text = shorter;
    }
    assert!(
        wearbook::rule::RuleSet::parse(&text).is_err(),
        "it lacks keys"
    );
    let place = Place::empty("older-rule set");
    let old = Adoption { text, ..adoption() };
    Ledger::create(&place.ledger(), &author(), first_instant(), charter(), old).expect("a ledger");
    for line in [
        "worker add --id W07 --name A --role radiographer --monitored-from 2025-01-05 \
         --birth-date 1990-01-01",
        "worker add --id W08 --name B --role assistant --monitored-from 2025-01-05 \
         --birth-date 1990-01-01",
        "job add --id J-1 --place Yard --jurisdiction NRC --setting \"temporary jobsite\" \
         --zone America/Chicago",
        "equipment add --id D-1 --type \"exposure device\" --serial X --uranium-tube yes",
        "equipment add --id S-1 --type \"source assembly\" --serial X --nuclide Ir-192 \
         --activity \"90 Ci\" --activity-on 2026-01-05",
        "equipment add --id C-1 --type \"control unit\" --serial X",
        "instrument add --id SM-1 --type \"survey meter\" --serial X \
         --scale digital",
    ] {
        place.done(line);
    }
    let rows = row(
        "2026-06-12",
        "day",
        "W07,radiographer,PD-07,1,0 mR,12 mR,no,RM-07,yes,yes",
    );
    place.hand_in(&rows);
    place
}

#[test]
fn a_ledger_whose_rule_set_knows_nothing_of_maintenance_opens_and_answers() {
    let mut place = before_maintenance();
    for line in [
        "findings",
        "equipment due",
        "instrument due",
        "equipment show D-1",
        "equipment show S-1",
        "instrument show SM-1",
        "dose crew",
        "work-status",
        "wear list",
        "inspect list",
        "checklist list",
    ] {
        let said = place.quiet(line);
        assert!(matches!(said.code, 0 | 1), "{line}: {}", said.err);
        let no_list = said.err.contains("no checklist is in force");
        assert!(said.code == 0 || no_list, "{line}: {}", said.err);
    }
    // What is found for want of a rule text says so, and is found all the same.
    place.adopt_own_list("2025-01-01");
    place.done(
        "equipment leak-test --item S-1 --on 2026-05-04 --part source --removable \"185 Bq\" \
         --performed-by Laboratory",
    );
    place.done(
        "inspect enter --item C-1 --on 2026-06-12 --when quarterly --performed-by W07 \
         --line \"cable-diameter, value=5.7 mm\"",
    );
    let said = place.run("findings --from 2026-01-01 --to 2026-06-15");
    for key in [
        "leaking-source/S-1",
        "passed-beyond-limit/C-1-cable-diameter",
    ] {
        assert!(said.out.contains(key), "{key}: {}", said.out);
    }
    assert!(said.out.contains("no rule text in this rule set"));
}

/// The derived tables as an older program would have left them: the newer ones are not there.
#[test]
fn an_upgrade_makes_the_tables_of_maintenance_and_fills_them() {
    let place = kept("older-tables");
    measured(&place, "2026-03-10", "5.98 mm");
    place.done("equipment load --device D-1 --source S-1 --on 2026-04-13 --performed-by A");
    place.done("equipment inventory --on 2026-04-15 --performed-by A --found \"D-1 S-1\"");
    let before = dump(&place.ledger());
    let raw = Connection::open(place.ledger()).expect("the file");
    let tables: Vec<String> = raw
        .prepare(
            "SELECT type || ' ' || name FROM sqlite_schema WHERE type IN ('table', 'view') \
             AND (name LIKE '%inspection%' OR name LIKE '%loading%' \
             OR name LIKE '%inventory%' OR name LIKE '%part%')",
        )
        .and_then(|mut it| it.query_map([], |row| row.get(0))?.collect())
        .expect("names");
    assert!(tables.len() >= 4, "{tables:?}");
    raw.execute_batch("PRAGMA foreign_keys = OFF").expect("off");
    for table in &tables {
        raw.execute_batch(&format!("DROP {table}"))
            .expect("it goes");
    }
    raw.execute_batch("UPDATE form SET digest = 'older' WHERE name = 'derived'")
        .expect("an older mark");
    drop(raw);
    let refused = place.quiet("inspect list");
    assert_eq!(refused.code, 1);
    assert!(refused.err.contains("ledger upgrade"), "{}", refused.err);
    place.done("ledger upgrade");
    assert_same(&dump(&place.ledger()), &before, "after the upgrade");
    assert!(place.done("inspect list").out.contains("2026-03-10"));
}
