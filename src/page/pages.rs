//! Which commands are pages: one line each, with its address, what is drawn on it and what follows
//! from it.

use super::rights::Deed;

/// A page that is a command.
pub(super) struct Shown {
    /// Its address; `*` stands for a name.
    pub at: &'static [&'static str],
    /// The command; the name follows it.
    pub words: &'static [&'static str],
    /// Flags that the address may carry.
    pub flags: &'static [&'static str],
    /// What reading it is.
    pub deed: Deed,
    /// What follows from it: words and address, with `*` for the name.
    pub then: &'static [(&'static str, &'static str)],
    /// Whether forms that follow from it stand on the page itself.
    pub in_place: bool,
    /// Whether each report of it begins a leaf of its own on paper.
    pub leaves: bool,
    /// What is drawn on it: commands that draw.
    pub charts: &'static [&'static str],
}

const SPAN: &[&str] = &["from", "to", "on"];
const YEAR: &[&str] = &["year", "on"];
const ON: &[&str] = &["on"];

const fn shown(
    at: &'static [&'static str],
    words: &'static [&'static str],
    flags: &'static [&'static str],
) -> Shown {
    Shown {
        at,
        words,
        flags,
        deed: Deed::ReadAll,
        then: &[],
        in_place: false,
        leaves: false,
        charts: &[],
    }
}

pub(super) const PAGES: &[Shown] = &[
    Shown {
        deed: Deed::SeeDay,
        ..shown(&["board"], &["board"], ON)
    },
    Shown {
        then: &[
            ("Answer a finding", "/do/finding/answer"),
            ("Alerts", "/alerts/all"),
        ],
        ..shown(&["findings"], &["findings"], SPAN)
    },
    shown(&["alerts"], &["alerts"], ON),
    Shown {
        then: &[
            ("Who is alerted", "/do/worker/alert"),
            ("A list of who is", "/do/worker/alerts"),
        ],
        ..shown(&["alerts", "all"], &["alerts"], ON)
    },
    Shown {
        then: &[("Resolve one", "/do/hold/resolve")],
        ..shown(&["hold"], &["hold", "list"], &[])
    },
    Shown {
        then: &[
            ("Who may work", "/status"),
            ("Lists", "/lists"),
            ("Readings and results", "/reconcile"),
            ("Statements of all", "/statements"),
            ("Determine a dose", "/do/determination/enter"),
            ("A share of the limit for some days", "/notional"),
            ("Resolve what contradicts itself", "/do/dose/resolve"),
        ],
        charts: &["crew"],
        ..shown(&["people"], &["dose", "crew"], YEAR)
    },
    Shown {
        deed: Deed::ReadPerson,
        then: &[
            ("Work status", "/people/*/status"),
            ("Forecast", "/people/*/forecast"),
            ("Statement", "/people/*/statement"),
            ("Record", "/people/*/record"),
            ("When the person leaves", "/people/*/leaver"),
        ],
        charts: &["worker"],
        ..shown(
            &["people", "*"],
            &["dose", "show", "--why"],
            &["year", "from", "to", "on"],
        )
    },
    Shown {
        deed: Deed::ReadPerson,
        ..shown(&["people", "*", "status"], &["work-status"], ON)
    },
    Shown {
        deed: Deed::ReadPerson,
        charts: &["worker"],
        ..shown(&["people", "*", "forecast"], &["dose", "forecast"], ON)
    },
    Shown {
        deed: Deed::ReadPerson,
        ..shown(&["people", "*", "statement"], &["dose", "statement"], YEAR)
    },
    shown(&["people", "*", "record"], &["worker", "show"], &[]),
    shown(
        &["people", "*", "leaver"],
        &["dose", "leaver"],
        &["on", "since"],
    ),
    shown(&["status"], &["work-status"], ON),
    shown(&["lists"], &["dose", "lists"], &["year", "on", "share"]),
    Shown {
        charts: &["reconcile"],
        ..shown(
            &["reconcile"],
            &["dose", "reconcile"],
            &["year", "from", "to", "on"],
        )
    },
    shown(
        &["notional"],
        &["determination", "notional"],
        &["worker", "first-day", "last-day"],
    ),
    Shown {
        leaves: true,
        ..shown(&["statements"], &["dose", "statement", "--all"], YEAR)
    },
    Shown {
        then: &[
            ("Sign this month", "/do/review/*"),
            ("Changes since it was signed", "/month/*/changes"),
        ],
        ..shown(&["month", "*"], &["review"], ON)
    },
    shown(&["month", "*", "changes"], &["review", "changes"], &[]),
    Shown {
        then: &[
            ("All notifications", "/notifications"),
            ("Photos and papers", "/evidence"),
            ("Ranking of items", "/ranking"),
            ("Open an event", "/do/event/open"),
        ],
        ..shown(&["events"], &["event", "list"], &[])
    },
    shown(&["evidence"], &["evidence", "list"], &[]),
    Shown {
        then: &[
            ("Its file", "/evidence/*/file"),
            ("Correct it", "/do/entry/correct/*"),
            ("Erase it", "/do/evidence/erase/*"),
        ],
        ..shown(&["evidence", "*"], &["evidence", "show"], &[])
    },
    Shown {
        then: &[
            ("Trace", "/events/*/trace"),
            ("Notifications", "/events/*/notifications"),
            ("Draft of the report", "/events/*/draft"),
            ("Add a note", "/do/event/note/*"),
            ("Add what happened besides", "/do/event/happening/*"),
            ("Add a person", "/do/event/person/*"),
            ("Add a cause", "/do/event/cause/*"),
            ("Add an action", "/do/event/action/*"),
            ("Link it with another", "/do/event/link/*"),
            ("Close it", "/do/event/close/*"),
            ("Add a photo or paper", "/photo?about=*"),
        ],
        in_place: true,
        ..shown(&["events", "*"], &["event", "show"], &[])
    },
    Shown {
        then: &[("Conclude on an item", "/do/trace/conclude/*")],
        in_place: true,
        charts: &["trace"],
        ..shown(&["events", "*", "trace"], &["trace", "show"], ON)
    },
    Shown {
        then: &[
            ("Answer a question", "/do/report/answer/*"),
            ("Record that a notification was made", "/do/report/done/*"),
        ],
        in_place: true,
        ..shown(&["events", "*", "notifications"], &["report", "show"], &[])
    },
    shown(&["events", "*", "draft"], &["report", "draft"], &[]),
    shown(&["notifications"], &["report", "list"], &[]),
    Shown {
        charts: &["ranking"],
        ..shown(&["ranking"], &["trace", "ranking"], &[])
    },
    Shown {
        then: &[("Instruments", "/due/instruments")],
        charts: &["due"],
        ..shown(&["due"], &["equipment", "due"], &["on", "within"])
    },
    shown(
        &["due", "instruments"],
        &["instrument", "due"],
        &["on", "within"],
    ),
    Shown {
        then: &[
            ("Wear", "/wear"),
            ("Inspections", "/inspections"),
            (
                "Take a piece out of service",
                "/do/equipment/out-of-service",
            ),
            ("Return one to service", "/do/equipment/return"),
            ("Install a part", "/do/equipment/install"),
            ("Inspections from a file", "/do/inspect/import"),
        ],
        ..shown(&["equipment"], &["equipment", "list"], &[])
    },
    Shown {
        then: &[
            ("Wear of its parts", "/wear/*"),
            ("A form for its inspection", "/equipment/*/form"),
        ],
        charts: &["wear"],
        ..shown(&["equipment", "*"], &["equipment", "show"], ON)
    },
    shown(
        &["equipment", "*", "form"],
        &["inspect", "form"],
        &["when", "on"],
    ),
    Shown {
        then: &[
            ("Record a check", "/do/instrument/check"),
            ("Record a calibration", "/do/instrument/calibrate"),
            ("Calibrations from a file", "/do/instrument/calibrations"),
        ],
        ..shown(&["instruments"], &["instrument", "list"], &[])
    },
    shown(&["instruments", "*"], &["instrument", "show"], ON),
    shown(&["wear"], &["wear", "list"], &[]),
    Shown {
        charts: &["wear"],
        ..shown(&["wear", "*"], &["wear", "show"], ON)
    },
    shown(&["inspections"], &["inspect", "list"], YEAR),
    shown(&["inspections", "*"], &["inspect", "show"], &[]),
    Shown {
        then: &[
            ("Issue one", "/do/badge/issue"),
            ("Return one", "/do/badge/return"),
            ("Send one", "/do/badge/send"),
            ("Lost", "/do/badge/lost"),
            ("Enter a result", "/do/badge/result"),
            ("Take in the processor's report", "/do/badge/import"),
            ("Accept a result", "/do/badge/accept"),
            ("Resolve a contradiction", "/do/badge/resolve"),
        ],
        ..shown(&["badges"], &["badge", "list"], &[])
    },
    shown(&["jobs"], &["job", "list"], &[]),
    shown(&["jobs", "*"], &["pack"], &["from", "to", "on"]),
    shown(&["workers"], &["worker", "list"], &[]),
    shown(&["determinations"], &["determination", "list"], ON),
    shown(&["rules"], &["rules", "list"], &[]),
    Shown {
        then: &[("Verify the tables too", "/ledger/full")],
        ..shown(&["ledger"], &["ledger", "verify"], &["expect"])
    },
    shown(
        &["ledger", "full"],
        &["ledger", "verify", "--full"],
        &["expect"],
    ),
    shown(&["checklists"], &["checklist", "list"], &[]),
    shown(&["records", "tracking"], &["records", "tracking"], YEAR),
    shown(
        &["records", "yearly-reports"],
        &["records", "yearly-reports"],
        &[],
    ),
    shown(&["breakdown"], &["dose", "breakdown"], YEAR),
    shown(
        &["records", "utilization"],
        &["records", "utilization"],
        YEAR,
    ),
    shown(
        &["records", "inventories"],
        &["records", "inventories"],
        YEAR,
    ),
    shown(&["records", "sources"], &["records", "sources"], YEAR),
    shown(&["records", "leak-tests"], &["records", "leak-tests"], YEAR),
    shown(
        &["records", "calibrations"],
        &["records", "calibrations"],
        YEAR,
    ),
    shown(&["records", "lapsed"], &["records", "lapsed"], &[]),
    Shown {
        then: &[
            ("History", "/entries/*/history"),
            ("Add a photo or paper", "/photo?about=*"),
            ("Correct it", "/do/entry/correct/*"),
            ("Void it", "/do/entry/void/*"),
            ("Reinstate it", "/do/entry/reinstate/*"),
        ],
        ..shown(&["entries", "*"], &["entry", "show"], &[])
    },
    shown(&["entries", "*", "history"], &["entry", "history"], &[]),
];

/// The commands that are pages, with the flags that their addresses may carry.
pub(super) fn commands() -> impl Iterator<Item = (&'static [&'static str], &'static [&'static str])>
{
    PAGES.iter().map(|it| (it.words, it.flags))
}

/// The pages that lead to a form about something: what each is called, and its address.
pub(super) fn back(words: &[&str], name: &str) -> Vec<(String, String)> {
    let form = format!("/do/{}", words.join("/"));
    let leads = |page: &&Shown| {
        let mut all = page.then.iter();
        all.any(|it| it.1.trim_end_matches("/*") == form)
    };
    let found = PAGES.iter().filter(leads);
    let found = found.filter(|it| !name.is_empty() || !it.at.contains(&"*"));
    found
        .map(|page| {
            let of = |part: &&'static str| if *part == "*" { name } else { part };
            let plain: Vec<&str> = page.at.iter().map(of).collect();
            let parts: Vec<String> = plain.iter().map(|it| encoded(it)).collect();
            (plain.join(", "), format!("/{}", parts.join("/")))
        })
        .collect()
}

/// Where pages lead to: the forms that follow from them.
#[cfg(test)]
pub(super) fn forms() -> impl Iterator<Item = &'static str> {
    let all = PAGES.iter().flat_map(|it| it.then).map(|it| it.1);
    all.filter_map(|it| it.strip_prefix("/do/"))
}

/// The page of an address, and the name in it.
pub(super) fn find<'a>(path: &[&'a str]) -> Option<(&'static Shown, Option<&'a str>)> {
    let fits = |it: &&Shown| {
        let pairs = it.at.iter().zip(path);
        it.at.len() == path.len() && pairs.clone().all(|(at, is)| *at == "*" || at == is)
    };
    let page = PAGES.iter().find(fits)?;
    let place = page.at.iter().position(|it| *it == "*");
    Some((page, place.and_then(|at| path.get(at).copied())))
}

/// Whether a page stands at an address.
pub(super) fn is_at(page: &Shown, to: &str) -> bool {
    page.at
        .iter()
        .copied()
        .eq(to.split('/').filter(|it| !it.is_empty()))
}

/// A part of an address.
pub(super) fn encoded(text: &str) -> String {
    percent_encoding::utf8_percent_encode(text, percent_encoding::NON_ALPHANUMERIC).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_follows_from_a_page_is_a_page_or_a_form() {
        for (_, to) in PAGES.iter().flat_map(|it| it.then) {
            let (to, _) = to.split_once('?').unwrap_or((to, ""));
            let parts: Vec<&str> = to.split('/').filter(|it| !it.is_empty()).collect();
            let is_there = match parts.split_first() {
                Some((&"do", words)) => {
                    super::super::acts::commands().any(|(command, _)| words.starts_with(command))
                }
                // A photo or paper itself, and the form that takes one in, are no reports.
                Some((&"evidence", ["*", "file"]) | (&"photo", [])) => true,
                _ => find(&parts).is_some(),
            };
            assert!(is_there, "{to}");
        }
    }
}
