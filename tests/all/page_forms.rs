//! Pages of the page: the office's, which are commands, and the forms of a check and an event.

use super::cli_support::Place;
use super::page::{parsed, sheet, with};
use super::page_support::served;

/// Pages of the office, each with its command.
const PAGES: &[(&str, &str)] = &[
    ("/board", "board"),
    ("/findings", "findings"),
    ("/hold", "hold list"),
    ("/people", "dose crew"),
    ("/people/W07", "dose show W07 --why"),
    ("/people/W07/status", "work-status W07"),
    ("/people/W07/record", "worker show W07"),
    ("/status", "work-status"),
    ("/reconcile", "dose reconcile"),
    ("/month/2026-06", "review 2026-06"),
    ("/events", "event list"),
    ("/events/E-1", "event show E-1"),
    ("/events/E-1/trace", "trace show E-1"),
    ("/events/E-1/notifications", "report show E-1"),
    ("/notifications", "report list"),
    ("/due", "due"),
    ("/due/equipment", "equipment due"),
    ("/due/instruments", "instrument due"),
    ("/equipment", "equipment list"),
    ("/equipment/C-1", "equipment show C-1"),
    ("/instruments", "instrument list"),
    ("/instruments/SM-1", "instrument show SM-1"),
    ("/wear", "wear list"),
    ("/inspections", "inspect list"),
    ("/badges", "badge list"),
    ("/jobs", "job list"),
    ("/records/utilization", "records utilization"),
    ("/entries/5", "entry show 5"),
    ("/statements", "dose statement --all"),
    ("/people/W07/forecast", "dose forecast W07"),
    ("/equipment/C-1/form", "form inspect C-1"),
    ("/jobs/J-1", "pack J-1"),
    ("/wear/C-1", "wear show C-1"),
    ("/ranking", "trace ranking"),
    ("/ledger/full", "ledger verify --full"),
    ("/determinations", "determination list"),
    ("/notional", ""),
];

#[test]
fn every_office_page_is_its_command_in_all_three_forms() {
    let place = super::cli_maintenance_shown::kept("page, office");
    super::cli_maintenance_shown::measured(&place, "2026-06-10", "5.95 mm");
    super::cli_maintenance_shown::sheet_of(&place, "2026-06-14");
    place.done(
        "event open --kind disconnect --occurred 2026-06-14T13:40 --equipment C-1 --words out",
    );
    let browser = served(&place).signed_in("W01");
    for (path, command) in PAGES {
        let page = browser.get(path);
        assert_eq!(page.status, 200, "{path}: {}", page.body);
        assert_eq!(parsed(&page.body), [""; 0], "{path}");
        // The others differ in nothing but their line in the table.
        let tables = [
            "/board",
            "/people",
            "/people/W07",
            "/events/E-1",
            "/equipment",
            "/entries/5",
            "/statements",
            "/jobs/J-1",
        ];
        for (suffix, flag) in [(".json", "--json"), (".csv", "--csv")] {
            if !tables.contains(path) {
                continue;
            }
            let answer = browser.get(&format!("{path}{suffix}"));
            let said = place.quiet(&format!("{command} {flag}"));
            assert_eq!(answer.status, 200, "{path}{suffix}: {}", answer.body);
            assert_eq!(answer.body, said.out, "{path}{suffix}");
        }
    }
    // Each table of an answer stands under its name, and one that it does not have is refused.
    let page = browser.get("/board?on=2026-06-14").body;
    let to = "/board.csv?on=2026-06-14&amp;table=sets";
    assert!(page.contains(to), "{page}");
    let sets = browser.get(&to.replace("&amp;", "&")).body;
    let said = place.done("board --on 2026-06-14 --csv --table sets");
    assert_eq!(sets, said.out);
    let none = browser.get("/board.csv?table=moons");
    assert_eq!(none.status, 422);
    assert!(none.body.contains("sets"), "{}", none.body);
    // Where a command has the words of an address, the page is that command.
    for (path, command) in PAGES {
        let words = path.trim_start_matches('/').replace('/', " ");
        let help = place.quiet(&format!("{words} --help"));
        let is_command = help.code == 0 && !help.out.contains("\nCommands:");
        let is_named = words
            .bytes()
            .all(|it| it.is_ascii_lowercase() || b" -".contains(&it));
        if is_command && is_named {
            assert!(command.starts_with(&words), "{path} is {command}");
        }
    }
    // What follows the dashes of a name is a name.
    let answer = browser.get("/people/--help");
    assert_eq!(answer.status, 422, "{}", answer.body);
    assert!(answer.body.contains("--help"), "{}", answer.body);
}

#[test]
fn an_event_is_opened_once_and_says_whom_to_tell() {
    let place = Place::with_registers("page, event");
    let browser = served(&place).signed_in("W08");
    let page = browser.get("/wrong");
    let (first, form) = (
        page.body.find("No retrieval"),
        page.body.find("<form method=\"post\" action=\"/wrong\""),
    );
    assert!(first < form, "what to do stands before any field");
    let name = page.value("name");
    let fields = [
        ("name", name.as_str()),
        ("now", "2026-06-15T06:58"),
        ("when", "now"),
        ("kind", "disconnect"),
        ("words", "cranked in, meter still high"),
        ("equipment", "D-1 C-1"),
        ("others", "valve fitter=stood 40 m off"),
    ];
    let answer = browser.post("/wrong", &fields);
    assert_eq!(answer.status, 200, "{}", answer.body);
    assert_eq!(parsed(&answer.body), [""; 0]);
    assert!(
        answer.body.contains("Who must be notified"),
        "{}",
        answer.body
    );
    let shown = place.done("event list").out;
    assert!(shown.contains(&name), "{shown}");
    let head = place.head();
    assert_eq!(browser.post("/wrong", &fields).status, 200);
    assert_eq!(place.head(), head, "one event, however often it is sent");
    // Nobody is held up by what can be added later.
    let bare = [
        ("name", "E-bare"),
        ("kind", "disconnect"),
        ("words", "source out"),
        ("others", "two fitters\n\nthe guard=opened the gate"),
    ];
    let answer = browser.post("/wrong", &bare);
    assert_eq!(answer.status, 200, "{}", answer.body);
    assert!(
        answer.body.contains("No equipment is named"),
        "{}",
        answer.body
    );
    let shown = place.done("event show E-bare").out;
    assert!(
        shown.contains("two fitters") && shown.contains("not said"),
        "{shown}"
    );
    let answer = browser.post("/wrong", &with(fields.to_vec(), "kind", "picnic"));
    assert_eq!(answer.status, 422);
    assert!(
        answer.body.contains("cranked in, meter still high"),
        "{}",
        answer.body
    );
    assert!(answer.body.contains("href=\"#kind\""), "{}", answer.body);
}

#[test]
fn a_morning_check_is_written_item_by_item_and_a_defect_says_what_must_not_be_used() {
    let place = super::cli_maintenance_shown::kept("page, check");
    super::cli_maintenance_shown::sheet_of(&place, "2026-06-14");
    let browser = served(&place).signed_in("W07");
    let page = browser.get("/check?set=G-1");
    assert_eq!(page.status, 200, "{}", page.body);
    assert_eq!(parsed(&page.body), [""; 0]);
    let items = page.body.matches("<section class=\"card\">").count();
    assert!(items > 0, "{}", page.body);
    let head = place.head();
    let missing = browser.post("/check", &[("set", "G-1"), ("do", "send"), ("at", "06:20")]);
    assert_eq!(missing.status, 422, "{}", missing.body);
    assert!(
        missing.body.contains("href=\"#i1.1.result\""),
        "{}",
        missing.body
    );
    assert_eq!(
        place.head(),
        head,
        "an item that nobody looked at is no good one"
    );
    let names: Vec<String> = (1..=items).map(|it| format!("i1.{it}.result")).collect();
    let mut fields = vec![("set", "G-1"), ("do", "send"), ("at", "06:20")];
    fields.extend(names.iter().map(|it| (it.as_str(), "good")));
    let fields = with(fields, "i1.1.result", "defect");
    let fields = with(fields, "i1.1.note", "kink at the middle");
    let fields = with(fields, "i1.1.action", "taken out");
    let sent = browser.post("/check", &fields);
    assert_eq!(sent.status, 200, "{}", sent.body);
    assert!(sent.body.contains("STOP"), "{}", sent.body);
    let listed = place.done("inspect list --json").out;
    assert!(listed.contains("G-1"), "{listed}");
    assert_ne!(place.head(), head);
}

/// What is recorded when it is done is not asked again at the end, and is no late record.
#[test]
fn a_start_of_a_shift_is_found_by_its_sheet() {
    let mut place = Place::with_registers("page, start");
    let browser = served(&place).signed_in("W08");
    let fields = with(sheet("P-9", ""), "day", "2026-06-15");
    let fields: Vec<_> = fields
        .into_iter()
        .chain([
            ("meter_checked", "yes"),
            ("r1.recharged", "yes"),
            ("r2.recharged", "yes"),
        ])
        .collect();
    for _ in 0..2 {
        let started = browser.post("/start", &with(fields.clone(), "do", "send"));
        assert_eq!(started.status, 200, "{}", started.body);
        assert!(started.body.contains("entry 28"), "{}", started.body);
        assert_eq!(parsed(&started.body), [""; 0]);
    }
    place.turn_to("wearbook.db", "2026-06-15T20:30:00Z");
    let browser = served(&place).signed_in("W08");
    let form = browser.get("/sheet");
    assert!(
        form.body.contains("The start of this shift is on record"),
        "{}",
        form.body
    );
    assert_eq!(form.value("sheet"), "P-9");
    let names = [
        "rows",
        "shift_start",
        "r1.start",
        "r2.start",
        "r2.late",
        "r2.end",
    ];
    let there = names.map(|it| form.value(it));
    assert_eq!(there, ["2", "28", "0", "1", "", ""]);
    let began = form.value("shift_start");
    let fields = with(fields, "shift_start", &began);
    let sent = browser.post("/sheet", &with(fields, "do", "send"));
    assert_eq!(sent.status, 200, "{}", sent.body);
    assert_eq!(
        super::cli_support::findings_of(&place, "recorded-late", "what"),
        [""; 0]
    );
}

/// What is signed is signed by whoever is signed in, whatever a form says.
#[test]
fn a_month_is_looked_at_and_then_signed_by_who_is_signed_in() {
    let mut place = Place::with_registers("page, month");
    super::cli_maintenance_shown::sheet_of(&place, "2026-06-14");
    place.turn_to("wearbook.db", "2026-07-02T12:00:00Z");
    let browser = served(&place).signed_in("W01");
    let month = browser.get("/month");
    assert_eq!(month.header("location"), Some("/month/2026-06"));
    let page = browser.get("/month/2026-06");
    assert!(page.body.contains("Not signed."), "{}", page.body);
    assert!(page.body.contains("/do/review/2026"), "{}", page.body);
    let head = place.head();
    let fields = [
        ("period", "2026-06"),
        ("reason", "open stops are known"),
        ("performed-by", "W07"),
    ];
    let inspected = browser.post("/do/review", &with(fields.to_vec(), "do", "look"));
    assert_eq!(inspected.status, 200, "{}", inspected.body);
    assert_eq!(place.head(), head, "looking signs nothing");
    let signed = browser.post("/do/review", &with(fields.to_vec(), "do", "send"));
    assert_eq!(signed.status, 200, "{}", signed.body);
    assert_ne!(place.head(), head);
    let review = place.done("review 2026-06").out;
    let signed = review.lines().find(|it| it.starts_with("Signed"));
    let signed = signed.unwrap_or_else(|| panic!("{review}"));
    assert!(
        signed.contains("W01") && !signed.contains("W07"),
        "{signed}"
    );
}
