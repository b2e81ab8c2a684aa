//! Forms of a day: printed, scanned by another library than the one that drew them, and typed in
//! later as copies of paper with their photo.

use std::fs;

use html5ever::tendril::TendrilSink;
use markup5ever_rcdom::{Handle, NodeData, RcDom};

use super::cli_labels::scanned;
use super::cli_maintenance_shown::kept;
use super::cli_support::{HEADER, Place, compare, crew};
use super::page_spanish::{is_data, own_texts};

pub const SHEET: &str = "form sheet --out DIR/sheet.html --on 2026-06-14 --crew W07,W08 \
                     --equipment D-1,S-1,C-1,G-1,G-2,SM-1";
pub const INSPECT: &str = "form inspect D-1 C-1 --out DIR/inspect.html --on 2026-06-14";

/// A ledger of which a sheet is on file.
pub fn yard(name: &str) -> Place {
    let place = kept(name);
    place.hand_in(&crew("2026-06-12", "day"));
    place
}

/// Prints a form: its code and its page.
pub fn printed(place: &Place, line: &str) -> (String, String) {
    let said = place.done(line).out;
    let code = said.lines().find_map(|it| it.strip_prefix("form "));
    let code = code.expect("its code").to_owned();
    let name = line
        .split("DIR/")
        .nth(1)
        .and_then(|it| it.split(' ').next());
    let page = fs::read_to_string(place.path(name.expect("a file"))).expect("the page");
    (code, page)
}

/// The words of a page, a line a block; its faults by the HTML standard.
fn words(page: &str) -> (String, usize) {
    let dom: RcDom = html5ever::parse_document(RcDom::default(), Default::default()).one(page);
    let mut text = String::new();
    walk(&dom.document, &mut text);
    let lines = text
        .lines()
        .map(|it| it.split_whitespace().collect::<Vec<_>>().join(" "));
    let lines: Vec<String> = lines.filter(|it| !it.is_empty()).collect();
    (lines.join("\n") + "\n", dom.errors.borrow().len())
}

fn walk(node: &Handle, text: &mut String) {
    let mut block = false;
    match &node.data {
        NodeData::Text { contents } => text.push_str(&contents.borrow()),
        NodeData::Element { name, attrs, .. } => {
            let class = attrs.borrow().first().map(|it| it.value.to_string());
            match (&*name.local, class.unwrap_or_default()) {
                ("style" | "svg" | "title", _) => return,
                ("span", class) if class.starts_with("box") => text.push_str(" [    ] "),
                ("span", class) if class.starts_with("line") => text.push_str(" ____ "),
                ("i", _) => text.push_str(" [] "),
                ("div" | "p" | "h1" | "h2", _) => block = true,
                _ => text.push(' '),
            }
        }
        _ => {}
    }
    for child in node.children.borrow().iter() {
        walk(child, text);
    }
    if block {
        text.push('\n');
    }
}

#[test]
fn a_form_has_each_question_with_a_box_and_nothing_filled_in_that_must_be_read() {
    let place = yard("forms-text");
    for (name, line) in [("form-sheet", SHEET), ("form-inspect", INSPECT)] {
        let (_, page) = printed(&place, line);
        let (text, faults) = words(&page);
        assert_eq!(faults, 0, "{line}");
        compare(name, &text);
    }
}

#[test]
fn a_printed_code_is_scanned_and_typed_in_once_with_its_photo() {
    let mut place = yard("forms-typed");
    let (code, page) = printed(&place, SHEET);
    let scan = scanned(&page).remove(0);
    assert_eq!(scan, format!("WEARBOOK:FORM:{}", code.replace('-', "")));
    for private in ["W07", "W08", "PD-07", "D-1", "Sandpiper"] {
        assert!(!scan.contains(private), "{private}");
    }
    image::RgbImage::new(60, 40)
        .save(place.path("form.png"))
        .expect("the test's own folder");
    let rest = "--begins 07:00 --ends 15:00 --paper-date 2026-06-14 --paper-signer W07 \
                --person \"worker=W07, start=0 mR, end=12 mR, alarm_tested=yes, badge_worn=yes\" \
                --person \"worker=W08, start=1 mR, end=9 mR, alarm_tested=yes, badge_worn=yes\"";
    // As a phone reads it.
    let said = place.done(&format!(
        "sheet enter --paper {scan} --photo DIR/form.png {rest}"
    ));
    assert!(said.out.contains("evidence"), "{}", said.out);
    let entries = fs::read_to_string({
        place.done("ledger export DIR/export");
        place.path("export/entries.jsonl")
    });
    let entries = entries.expect("the entries");
    let sheet = entries.lines().rev().find(|it| it.contains(&code));
    let sheet = sheet.expect("the sheet says its form");
    assert!(sheet.contains("\"transcribed\":true"), "{sheet}");
    for part in ["2026-06-14", "12 mR", "radiographer", "assistant"] {
        assert!(sheet.contains(part), "{part}: {sheet}");
    }
    let listed = place.done("evidence list").out;
    assert!(listed.contains("the paper form"), "{listed}");
    // Small letters, no hyphens: the same form, and it is there already.
    let again = code.replace('-', "").to_lowercase();
    let said = place.refused(&format!("sheet enter --paper {again} {rest}"));
    assert!(said.err.contains("typed in already: entry"), "{}", said.err);
}

#[test]
fn an_inspection_form_is_typed_in_item_by_item() {
    let mut place = yard("forms-inspect");
    let (code, page) = printed(&place, INSPECT);
    assert!(scanned(&page)[0].ends_with(&code.replace('-', "")));
    let enter = format!("inspect enter --paper {code} --at 06:20 --performed-by W07");
    let said = place.refused(&format!("{enter} --line \"all others=good\""));
    assert!(said.err.contains("one of: D-1, C-1"), "{}", said.err);
    let lines = "--line \"connector-mating=good, with=D-1\" --line \"all others=good\"";
    place.done(&format!("{enter} --item C-1 {lines}"));
    let said = place.refused(&format!("{enter} --item C-1 {lines}"));
    assert!(said.err.contains("typed in already"), "{}", said.err);
    let said = place.done("inspect list --year 2026").out;
    assert!(said.contains("2026-06-14"), "{said}");
}

#[test]
fn a_code_that_cannot_be_meant_says_why() {
    let mut place = yard("forms-refused");
    let (code, _) = printed(&place, SHEET);
    let (inspect, _) = printed(&place, INSPECT);
    let other = super::cli_support::Place::with_registers("forms-other");
    other.done("ledger export DIR/export");
    let swapped = {
        let mut letters: Vec<char> = code.chars().collect();
        letters[7] = if letters[7] == '7' { '8' } else { '7' };
        letters.into_iter().collect::<String>()
    };
    let short = code.split('-').skip(1).collect::<Vec<_>>().join("-");
    for typed in [
        swapped.as_str(),
        &short,
        &code[1..],
        "D-2",
        "wearbook:0123:item:CU-2",
        &inspect,
        "\"\"",
    ] {
        place.refused(&format!("sheet enter --paper {typed} --begins 07:00"));
    }
    place.refused(&format!("inspect enter --paper {code} --item D-1"));
    place.refused("sheet enter --photo DIR/sheet.html --begins 07:00");
    place.refused(&format!(
        "sheet enter --paper {code} --photo DIR/sheet.html --begins 07:00"
    ));
    place.refused("form sheet --out DIR/x.html --equipment D-1,D-1");
    place.refused("form sheet --out DIR/x.html --crew W99");
    place.refused("form sheet --out DIR/x.html --shift late");
    place.refused("form sheet --out DIR/x.pdf");
    place.refused("form inspect D-99 --out DIR/x.html");
    place.golden("forms-refused");
}

/// What was printed is offered, and what only the paper says is asked.
#[test]
fn a_sheet_is_typed_in_from_its_form_question_by_question() {
    let mut place = yard("forms-asked");
    let (code, _) = printed(&place, SHEET);
    let typed = "yes\nday\n07:00 15:00\n2026-06-14\n24 07:40\n36.5\n1.8\n06:30 15:20\n22 surface\n\
                 y\ny\n0 12 y y y\n1 9 y y y\nW07\nyes\n2026-06-14\nyes\n";
    place.ask(&format!("sheet enter --paper {code}"), typed);
    place.golden("a_sheet_from_its_form");
}

/// The words of a sheet as it is typed in from a form, with hours of its own.
fn typed_in(code: &str, begins: &str) -> String {
    format!(
        "sheet enter --paper {code} --begins {begins} --ends 15:00 --paper-date 2026-06-14 \
         --paper-signer W07 \
         --person \"worker=W07, start=0 mR, end=12 mR, alarm_tested=yes, badge_worn=yes\" \
         --person \"worker=W08, start=1 mR, end=9 mR, alarm_tested=yes, badge_worn=yes\""
    )
}

/// The rows of a sheet and of an inspection that were copied from these forms elsewhere.
fn copied(place: &Place, number: &str, sheet: &str, inspection: &str) {
    let head = format!("sheet,{}", HEADER.trim_end());
    let rows = crew("2026-06-14", "day");
    let rows = rows
        .lines()
        .map(|it| format!("{number},{it},2026-06-14,W07,{sheet}"));
    let rows = rows.collect::<Vec<_>>().join("\n");
    let text = format!("{head},paper_date,paper_signer,paper_form\n{rows}\n");
    place.file("paper.csv", text);
    let of = |line: &str, result: &str, value: &str| {
        let at = &number[number.len() - 2..];
        format!("D-1,2026-06-14,06:{at},daily,W07,{line},{result},{value},{inspection}\n")
    };
    let text = "item,on,at,when,performed_by,line,result,value,paper_form\n".to_owned()
        + &of("device-surface-rate", "", "20 mR/h")
        + &of("all others", "good", "");
    place.file("checks.csv", text);
}

/// By flags, by prompt, at the page or from a file: one record a form.
#[test]
fn a_form_that_was_typed_in_is_refused_from_a_file_too_and_the_same_file_twice_is_not() {
    let mut place = yard("forms-once");
    let (code, _) = printed(&place, SHEET);
    let (checks, _) = printed(&place, "form inspect D-1 --out DIR/d.html --on 2026-06-14");
    copied(&place, "P-10", &code, &checks);
    for _ in 0..2 {
        place.done("sheet import DIR/paper.csv");
        place.done("inspect import DIR/checks.csv");
    }
    let said = place.refused(&typed_in(&code, "07:00"));
    assert!(said.err.contains("typed in already: entry"), "{}", said.err);
    copied(
        &place,
        "P-11",
        &code.replace('-', "").to_lowercase(),
        &checks,
    );
    for line in [
        "sheet import DIR/paper.csv",
        "inspect import DIR/checks.csv",
    ] {
        let said = place.refused(line);
        assert!(
            said.err.contains("was typed in already:"),
            "{line}: {}",
            said.err
        );
        assert!(said.err.contains("paper_form"), "{line}: {}", said.err);
    }
}

#[test]
fn two_shifts_of_a_crew_on_one_day_come_back_on_forms_of_their_own() {
    let mut place = yard("forms-copies");
    let (first, _) = printed(&place, SHEET);
    let (same, _) = printed(&place, SHEET);
    assert_eq!(first, same, "a print that was spoiled is the same form");
    let (ahead, _) = printed(&place, &format!("{SHEET} --copy 2"));
    assert_ne!(first, ahead);
    let short = [&first, &ahead].map(|it| it.split('-').count());
    assert_eq!(short, [9, 9]);
    place.done(&typed_in(&first, "07:00"));
    let (next, _) = printed(&place, SHEET);
    assert_eq!(next, ahead, "the first number that nobody has typed in");
    place.refused(&typed_in(&first, "11:00"));
    place.done(&typed_in(&next, "11:00"));
    for refused in ["0", "100", "x"] {
        place.refused(&format!("{SHEET} --copy {refused}"));
    }
    let (one, _) = printed(&place, INSPECT);
    let (two, _) = printed(&place, &format!("{INSPECT} --copy 2"));
    assert_ne!(one, two);
    let lines = "--line \"device-surface-rate, value=20 mR/h\" --line \"all others=good\"";
    for (code, at) in [(one, "06:20"), (two, "18:20")] {
        place.done(&format!(
            "inspect enter --paper {code} --item D-1 --at {at} --performed-by W07 {lines}"
        ));
    }
}

/// As it was printed before codes had a number of the copy and a mark.
#[test]
fn a_form_that_was_printed_before_is_read_as_it_was() {
    let place = yard("forms-before");
    let code = "1N7YD-BXVNW-20014-12376-2452N-2311X-5341Q-26MTK";
    let said = place.done(&typed_in(code, "07:00"));
    assert!(said.out.contains("2026-06-14 day D-1"), "{}", said.out);
}

/// Two copies of one ledger each got a record of their own: the code of the one means another
/// person in the other.
#[test]
fn a_copy_that_went_another_way_reads_no_code_as_other_peoples() {
    let mut place = yard("forms-copy");
    std::fs::copy(place.ledger(), place.path("truck.db")).expect("the test's own folder");
    let add = |place: &Place, id: &str| {
        place.done(&format!(
            "worker add --id {id} --name \"{id} Brook\" --role assistant --category exposed \
             --birth-date 1990-01-01 --monitored-from 2026-06-01"
        ));
    };
    add(&place, "W20");
    let line = SHEET.replace("W07,W08", "W07,W20");
    let (code, _) = printed(&place, &line);
    let (both, _) = printed(&place, SHEET);
    place.turn_to("truck.db", "2026-06-15T12:00:00Z");
    let said = place.refused(&typed_in(&code, "07:00"));
    assert!(
        said.err
            .contains("names a worker that this ledger does not have"),
        "{}",
        said.err
    );
    add(&place, "W21");
    let said = place.refused(&typed_in(&code, "07:00"));
    assert!(
        said.err
            .contains("a copy of this ledger that went another way"),
        "{}",
        said.err
    );
    // What both copies have is read in both.
    place.done(&typed_in(&both, "07:00"));
}

#[test]
fn an_inspection_is_typed_in_from_its_form_question_by_question() {
    let mut place = yard("forms-inspected");
    let (code, _) = printed(&place, INSPECT);
    let good = |count: usize| "g\n".repeat(count);
    let typed = format!("\n06:20\n\nW07\n\n35\n{}{}D-1\ng\nyes\n", good(9), good(8));
    let said = place.ask(&format!("inspect enter --paper {code}"), &typed);
    assert_eq!(said.code, 0, "{}", said.err);
    place.refused(&format!("inspect enter --paper {code}"));
    place.golden("an_inspection_from_its_form");
}

/// The same paper for a crew that reads Spanish: every word but what is typed and the law's, and
/// the same code.
#[test]
fn a_form_is_printed_in_the_language_of_the_crew_lead_or_in_the_one_asked_for() {
    let place = yard("forms-spanish");
    for (name, line) in [("form-sheet-es", SHEET), ("form-inspect-es", INSPECT)] {
        let (code, english) = printed(&place, line);
        let (same, spanish) = printed(&place, &format!("{line} --language es"));
        assert_eq!(code, same);
        assert!(spanish.starts_with("<!DOCTYPE html><html lang=\"es\">"));
        let (en, es) = (own_texts(&english), own_texts(&spanish));
        assert_eq!(en.len(), es.len() - usize::from(name == "form-sheet-es"));
        let left: Vec<&String> = es
            .iter()
            .filter(|it| en.contains(it) && !is_data(it))
            .collect();
        assert_eq!(left, [""; 0], "{name}");
        compare(name, &words(&spanish).0);
        // Either takes the place of the other.
        printed(&place, line);
    }
    // Whoever leads the crew reads Spanish, by the record.
    place.done(
        "worker add --id W20 --name \"Inés Marrow\" --role radiographer --language Spanish \
         --monitored-from 2026-01-05",
    );
    let of_lead = SHEET.replace("W07,W08", "W08,W20");
    let (_, page) = printed(&place, &of_lead);
    assert!(page.contains("Hoja de fin de turno"), "{page}");
    let (_, page) = printed(&place, &format!("{of_lead} --language en"));
    assert!(page.contains("End-of-shift sheet"), "{page}");
    let said = place.quiet(&format!("{SHEET} --language tlh"));
    assert!(
        said.code == 2 && said.err.contains("en or es"),
        "{}",
        said.err
    );
}
