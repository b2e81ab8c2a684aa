//! The registers and the rule sets: typed commands, imports, templates, and the
//! mistakes that can be made in them.

use super::cli_support::Place;

#[test]
fn everything_can_be_registered_by_typed_commands() {
    let name = "typed_registers";
    let mut place = Place::with_registers(name);
    for line in [
        "worker add --id W20 --name \"Ottoline Reed\" --role trainee --birth-date 2008-12-01 \
         --monitored-from 2026-06-15",
        "worker role --worker W08 --from 2026-06-15 --role radiographer",
        "worker monitoring --worker W09 --on 2026-06-30 --change ends",
        "worker pregnancy --worker W08 --notice-on 2026-06-15 --conception-on 2026-05-01",
        "worker prior-dose --worker W20 --first-day 2026-01-01 --last-day 2026-03-31 \
         --employer \"Someone Else (invented)\" --deep \"0.34 mSv\" --basis \"signed statement\"",
        "worker missing-quarter --worker W20 --year 2026 --quarter 2 --exposure-possible yes",
        "job add --id J-3 --place \"Otter Bend (invented)\" --jurisdiction NRC \
         --setting \"temporary jobsite\" --zone America/Denver",
        "instrument add --id PD-20 --type \"pocket dosimeter\" --serial P20 --unit mR \
         --range \"200 mR\"",
        "instrument check --instrument PD-20 --on 2026-06-15 --type \"response check\" \
         --result pass --performed-by \"Adaeze Hollow\"",
        "equipment add --id CL-1 --type collimator --serial XL1",
        "equipment out-of-service --item CL-1 --on 2026-06-15 --reason \"dropped\" --performed-by \
        W07",
        "equipment return --item CL-1 --on 2026-06-15 --done \"looked at\" --performed-by W01",
        "worker list",
        "job list",
        "instrument list",
        "equipment list",
    ] {
        let said = place.run(line);
        assert_eq!(said.code, 0, "{line}\n{}", said.err);
    }
    place.golden(name);
}

#[test]
fn typed_registers_refuse_what_cannot_be() {
    let name = "typed_registers_refused";
    let mut place = Place::with_registers(name);
    for line in [
        "worker add --id W20",
        "worker add --id W08 --name \"Somebody Else\" --role trainee --monitored-from 2026-06-15",
        "worker add --id W20 --name N --role helper --monitored-from 2026-06-15",
        "worker add --id W20 --name N --role trainee --monitored-from 05.06.2026",
        "worker add --id W20 --name N --role trainee --monitored-from 2026-06-15 \
         --monitored-until 2026-06-01",
        "worker role --worker W88 --from 2026-06-15 --role radiographer",
        "worker prior-dose --worker W08 --first-day 2026-01-01 --last-day 2026-03-31 \
         --employer E --deep \"12 mR\" --basis B",
        "worker prior-dose --worker W08 --first-day 2026-03-31 --last-day 2026-01-01 \
         --employer E --deep \"12 mrem\" --basis B",
        "worker missing-quarter --worker W08 --year 2026 --quarter 5 --exposure-possible yes",
        "worker pregnancy --worker W08 --notice-on 2026-05-01 --conception-on 2026-06-01",
        "job add --id J-3 --place P --jurisdiction NRC --setting \"fixed instalation\" \
         --zone America/Denver",
        "job add --id J-3 --place P --jurisdiction NRC --setting \"permanent radiographic \
        installation\" \
         --zone Denver",
        "instrument add --id PD-20 --type \"pocket dosimeter\" --serial P20",
        "instrument check --instrument PD-77 --on 2026-06-15 --type \"response check\" \
         --result pass --performed-by A",
        "instrument check --instrument PD-08 --on 2026-06-15 --type \"response check\" \
         --result good --performed-by A",
        "equipment add --id S-9 --type \"source assembly\" --serial X --nuclide Ir-192 \
         --activity 90 --activity-on 2026-06-01",
        "equipment add --id S-9 --type \"source assembly\" --serial X",
        "equipment out-of-service --item D-9 --on 2026-06-15 --reason R --performed-by W07",
        "worker list --on yesterday",
    ] {
        place.refused(line);
    }
    place.golden(name);
}

#[test]
fn a_register_file_is_taken_whole_or_refused_whole() {
    let name = "register_files";
    let mut place = Place::with_registers(name);
    place.run("worker import --template");
    place.run("instrument checks --template");
    place.shown_file(
        "workers.csv",
        "id,name,role,category,birth_date,monitored_from\n\
         W20,Ottoline Reed,trainee,,2001-12-01,2026-06-15\n\
         W21,,trainee,exposed,2001-13-01,2026-06-15\n\
         W08,Lucinda Ferrow,radiographer,exposed,1996-11-30,2024-09-02\n\
         W22,Emil Marsh,traine,exposed,,\n",
    );
    place.refused("worker import DIR/workers.csv");
    place.shown_file(
        "workers.csv",
        "id,name,role,category,birth_date,monitored_from\n\
         W20,Ottoline Reed,trainee,,2001-12-01,2026-06-15\n\
         W08,Lucinda Ferrow,assistant,exposed,1996-11-30,2024-09-02\n",
    );
    place.run("worker import DIR/workers.csv --dry-run");
    place.run("worker import DIR/workers.csv");
    place.run("worker import DIR/workers.csv");
    place.shown_file("jobs.csv", "id;place;setting\nJ-9;Here;\n");
    place.refused("job import DIR/jobs.csv");
    place.golden(name);
}

/// A rule set file with one level of a kind and dose.
fn site(title: &str, [kind, dose]: [&str; 2], status: &str) -> String {
    format!(
        "rule_set = \"our site\"\n\
         {title}extends = \"10 CFR\"\n\
         [[level]]\n\
         key = \"site-year\"\n\
         sort = \"{kind}\"\n\
         quantity = \"deep\"\n\
         applies_to = \"adult\"\n\
         window = \"licensee year\"\n\
         dose = \"{dose}\"\n\
         citation = \"site rule\"\n\
         {status}meaning = \"Our own stop.\"\n"
    )
}

#[test]
fn a_rule_set_file_is_checked_to_the_line_and_column() {
    let name = "rule_set_files";
    let mut place = Place::with_registers(name);
    place.shown_file(
        "site.toml",
        site("", ["administrativ", "2 rems"], "") + "colour = \"red\"\n",
    );
    place.refused("rules check DIR/site.toml");
    place.refused("rules adopt DIR/site.toml --from 2026-07-01");
    place.shown_file("broken.toml", "rule_set = \"our site\nextends = 3\n");
    place.refused("rules check DIR/broken.toml");
    place.refused("rules check DIR/nowhere.toml");
    place.refused("rules show Candaa");
    place.refused("rules adopt Canada --from 07/01/2026");
    place.shown_file(
        "site.toml",
        site(
            "title = \"Our own levels\"\n",
            ["administrative", "2 rem"],
            "status = \"read\"\n",
        ),
    );
    place.run("rules check DIR/site.toml");
    place.run("rules adopt DIR/site.toml --from 2026-06-01");
    place.run("rules list");
    place.golden(name);
}

#[test]
fn every_built_in_rule_set_is_printed_with_its_citations() {
    let place = Place::empty("built_in_rule_sets");
    let listed = place.done("rules list").out;
    for rule_set in ["10 CFR", "Canada", "EU", "IAEA"] {
        assert!(listed.contains(rule_set), "{listed}");
        let shown = place.done(&format!("rules show \"{rule_set}\"")).out;
        assert!(shown.contains("onfirm"), "{shown}");
    }
}
