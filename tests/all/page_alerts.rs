//! What is new, at the page: a list with a button for each, and a count where the office begins.

use super::cli_support::{Place, crew};
use super::page_support::{Answer, served};

/// The keys that buttons of a page send, each alone.
fn keys(page: &Answer) -> Vec<String> {
    let mut rest = page.body.as_str();
    let mut all = Vec::new();
    while let Some((_, after)) = rest.split_once("name=\"keys\" value=\"") {
        let (key, after) = after.split_once('"').expect("the end of a value");
        all.push(key.to_owned());
        rest = after;
    }
    all.retain(|it| !it.contains(' '));
    all
}

#[test]
fn each_alert_has_a_button_and_the_office_a_count() {
    let place = Place::with_registers("page, alerts");
    place.done(
        "worker add --id W20 --name \"Ines Marsh\" --role inspector --category other \
                --monitored-from 2026-06-01",
    );
    place.hand_in(&crew("2026-06-12", "day").replace(",12,no,", ",,yes,"));
    let rso = served(&place).signed_in("W01");
    let list = rso.get("/alerts");
    let all = keys(&list);
    assert!(all.len() > 1, "{}", list.body);
    // The page stands before they are counted.
    const WAY: &str = "data-count=\"/alerts/count\"";
    for path in ["/", "/board"] {
        let page = rso.get(path).body;
        assert!(page.contains(WAY), "{path}: {page}");
    }
    let words = rso.get("/alerts/count").body;
    assert!(
        words.starts_with(&format!("{} new alerts, ", all.len())),
        "{words}"
    );
    // A look tells nothing, and neither writes anything into the chain.
    let head = place.head();
    assert_eq!(keys(&rso.get("/alerts")), all);
    // Whoever is stopped hears of oneself, and has no count and nobody else's.
    let mine = rso.another("W07");
    let own = mine.get("/alerts").body;
    assert!(own.contains("W07") && !own.contains("W09"), "{own}");
    assert!(!mine.get("/").body.contains(WAY));
    assert_eq!(mine.get("/alerts/all").status, 403);
    // One button ends one.
    let said = rso.post("/alerts/seen", &[("keys", &all[0])]);
    assert_eq!(said.status, 303, "{}", said.body);
    assert_eq!(keys(&rso.get("/alerts")), all[1..]);
    let said = rso.post("/alerts/seen", &[("keys", "0badc0de")]);
    assert_eq!(said.status, 422);
    assert!(said.body.contains("Nothing was marked"), "{}", said.body);
    assert_eq!(keys(&rso.get("/alerts")), all[1..]);
    // What W07 has seen, the RSO is told yet.
    let his = keys(&mine.get("/alerts"));
    assert_eq!(
        mine.post("/alerts/seen", &[("keys", &his.join(" "))])
            .status,
        303
    );
    assert_eq!(keys(&mine.get("/alerts")), [""; 0]);
    assert_eq!(keys(&rso.get("/alerts")), all[1..]);
    let rest = all[1..].join(" ");
    assert_eq!(rso.post("/alerts/seen", &[("keys", &rest)]).status, 303);
    assert_eq!(rso.get("/alerts/count").body, "0 new alerts");
    assert_eq!(place.head(), head);
    // An inspector looks, and marks nothing.
    let inspector = rso.another("W20");
    assert_eq!(keys(&inspector.get("/alerts")), [""; 0]);
    assert_eq!(inspector.post("/alerts/seen", &[("keys", "")]).status, 403);
    let everything = inspector.get("/alerts/all").body;
    assert!(
        everything.contains("everything that stands"),
        "{everything}"
    );
}
