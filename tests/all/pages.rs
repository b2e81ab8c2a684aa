//! Every page that the program writes: read by the parser of the HTML standard without one error,
//! complete in itself, and plain enough for a reader of the screen and a printer.

use html5ever::tendril::TendrilSink;
use markup5ever_rcdom::{Handle, NodeData, RcDom};

use super::cli_maintenance_shown::{kept, measured, sheet_of};
use super::cli_support::Place;

/// What is wrong with a page; nothing where all is well.
pub fn faults(page: &str) -> Vec<String> {
    let dom: RcDom = html5ever::parse_document(RcDom::default(), Default::default()).one(page);
    let mut faults: Vec<String> = dom
        .errors
        .borrow()
        .iter()
        .map(ToString::to_string)
        .collect();
    if !page.starts_with("<!DOCTYPE html>") {
        faults.push("no doctype".to_owned());
    }
    let mut seen = Seen::default();
    walk(&dom.document, &mut seen);
    faults.append(&mut seen.faults);
    for needed in ["title", "h1"] {
        if !seen.names.iter().any(|it| it == needed) {
            faults.push(format!("no {needed}"));
        }
    }
    for name in ["script", "link", "iframe", "object", "embed", "form"] {
        if seen.names.iter().any(|it| it == name) {
            faults.push(format!("a {name}"));
        }
    }
    faults
}

/// A page without what keeps its dates, ids and figures on one line.
pub fn unbound(page: &str) -> String {
    page.replace("<span class=\"w\">", "")
        .replace("</span>", "")
}

#[derive(Default)]
struct Seen {
    names: Vec<String>,
    ids: Vec<String>,
    faults: Vec<String>,
}

fn walk(node: &Handle, seen: &mut Seen) {
    if let NodeData::Element { name, attrs, .. } = &node.data {
        let local = name.local.to_string();
        let mut has_lang = false;
        let mut has_scope = false;
        for attr in attrs.borrow().iter() {
            let (key, value) = (attr.name.local.to_string(), attr.value.to_string());
            has_lang |= key == "lang";
            has_scope |= key == "scope";
            if key == "id" {
                if seen.ids.contains(&value) {
                    seen.faults.push(format!("the id {value} twice"));
                }
                seen.ids.push(value.clone());
            }
            let fetched = matches!(key.as_str(), "src" | "href");
            if fetched && !value.starts_with('#') {
                seen.faults.push(format!("{local} fetches {value}"));
            }
            if key.starts_with("on") {
                seen.faults.push(format!("{local} has {key}"));
            }
        }
        if local == "html" && !has_lang {
            seen.faults.push("no language".to_owned());
        }
        if local == "th" && !has_scope {
            seen.faults
                .push("a heading of a table without its scope".to_owned());
        }
        if local == "svg" && !child(node, "title") {
            seen.faults.push("a drawing without a title".to_owned());
        }
        seen.names.push(local);
    }
    for below in node.children.borrow().iter() {
        walk(below, seen);
    }
}

fn child(node: &Handle, wanted: &str) -> bool {
    node.children.borrow().iter().any(|it| match &it.data {
        NodeData::Element { name, .. } => name.local.to_string() == wanted,
        _ => false,
    })
}

/// The pages of a ledger with everything in it, by their commands.
fn pages(place: &Place) -> Vec<(String, String)> {
    let out = place.path("pages").display().to_string();
    place.done(&format!("review 2026-06 --out {out}"));
    place.done(&format!("review 2026 --out {out}"));
    place.done(&format!("pack J-1 --out {out}"));
    let file = place.path("pages").join("w07.html").display().to_string();
    place.done(&format!("dose statement W07 --year 2026 --out {file}"));
    place.done(&format!("report draft E-1 --out {out}"));
    let file = place.path("pages").join("e1.html").display().to_string();
    place.done(&format!("trace show E-1 --out {file}"));
    let folder = std::fs::read_dir(place.path("pages")).expect("the pages");
    let mut found: Vec<(String, String)> = folder
        .map(|it| it.expect("a file").path())
        .filter(|it| it.extension().is_some_and(|it| it == "html"))
        .map(|it| {
            let text = std::fs::read_to_string(&it).expect("a page");
            (it.display().to_string(), text)
        })
        .collect();
    found.sort();
    found
}

#[test]
fn every_page_is_read_without_an_error_and_fetches_nothing() {
    let place = kept("pages");
    measured(&place, "2026-06-10", "5.95 mm");
    sheet_of(&place, "2026-06-14");
    place.done(
        "event open --kind disconnect --occurred 2026-06-14T13:40 --equipment C-1 \
         --words \"<b>& \\\"out\"",
    );
    place.done(
        "event cause E-1 --of C-1 --component \"drive cable\" --failure drive-cable-broken \
         --because \"<i>seen</i>\"",
    );
    let pages = pages(&place);
    assert_eq!(pages.len(), 7);
    for (name, page) in pages {
        assert_eq!(faults(&page), [""; 0], "{name}");
    }
}

#[test]
fn the_check_of_pages_sees_what_it_looks_for() {
    let page = |body: &str| {
        format!(
            "<!DOCTYPE html>\n<html lang=\"en\"><head><title>x</title></head><body><h1>x</h1>\
             {body}</body></html>"
        )
    };
    assert_eq!(faults(&page("")), [""; 0]);
    for body in [
        "<p><table></p>",
        "<script>1</script>",
        "<img src=\"http://x/y.png\">",
        "<p id=\"a\">1</p><p id=\"a\">2</p>",
        "<table><thead><tr><th>a</th></tr></thead></table>",
        "<svg></svg>",
        "<p onclick=\"x\">1</p>",
        "<b>",
        "a & b &x; c",
    ] {
        assert!(!faults(&page(body)).is_empty(), "{body}");
    }
}
