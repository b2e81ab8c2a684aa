//! Which commands are pages: one line each, with its address, what is drawn on it and what follows
//! from it.

use super::rights::Deed;

/// A page that is a command.
pub struct Shown {
    /// What the trade calls it: its title, and the words of every link to it.
    pub title: &'static str,
    /// Its address; `*` stands for a name.
    pub at: &'static [&'static str],
    /// The command; the name follows it.
    pub words: &'static [&'static str],
    /// Flags that the address may carry.
    pub flags: &'static [&'static str],
    /// What reading it is.
    pub deed: Deed,
    /// The addresses of what follows from it, with `*` for the name.
    pub then: &'static [&'static str],
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
    title: &'static str,
    at: &'static [&'static str],
    words: &'static [&'static str],
    flags: &'static [&'static str],
) -> Shown {
    Shown {
        title,
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

/// Forms about one row of a page: each row has its own, and there is none without what it is about.
pub const BY_ROW: &[&str] = &["/do/hold/resolve", "/do/finding/answer"];

pub const PAGES: &[Shown] = &[
    Shown {
        deed: Deed::SeeDay,
        ..shown("Board", &["board"], &["board"], ON)
    },
    Shown {
        then: &["/do/finding/answer", "/findings/all", "/alerts/all"],
        ..shown("Findings", &["findings"], &["findings"], SPAN)
    },
    Shown {
        then: &["/do/finding/answer"],
        ..shown(
            "All findings",
            &["findings", "all"],
            &["findings", "--all"],
            SPAN,
        )
    },
    shown("Alerts", &["alerts"], &["alerts"], ON),
    Shown {
        then: &["/do/worker/alert", "/do/worker/alerts"],
        ..shown("Alerts for everybody", &["alerts", "all"], &["alerts"], ON)
    },
    Shown {
        then: &["/do/hold/resolve"],
        ..shown("On hold", &["hold"], &["hold", "list"], &[])
    },
    Shown {
        then: &[
            "/status",
            "/lists",
            "/reconcile",
            "/statements",
            "/do/determination/enter",
            "/notional",
            "/do/dose/resolve",
        ],
        charts: &["crew"],
        ..shown("People", &["people"], &["dose", "crew"], YEAR)
    },
    Shown {
        deed: Deed::ReadPerson,
        then: &[
            "/people/*/status",
            "/people/*/forecast",
            "/people/*/statement",
            "/people/*/record",
            "/people/*/leaver",
        ],
        charts: &["worker"],
        ..shown(
            "Dose of a person",
            &["people", "*"],
            &["dose", "show", "--why"],
            &["year", "from", "to", "on"],
        )
    },
    Shown {
        deed: Deed::ReadPerson,
        ..shown(
            "Work status of a person",
            &["people", "*", "status"],
            &["work-status"],
            ON,
        )
    },
    Shown {
        deed: Deed::ReadPerson,
        charts: &["worker"],
        ..shown(
            "Dose forecast",
            &["people", "*", "forecast"],
            &["dose", "forecast"],
            ON,
        )
    },
    Shown {
        deed: Deed::ReadPerson,
        ..shown(
            "Dose statement",
            &["people", "*", "statement"],
            &["dose", "statement"],
            YEAR,
        )
    },
    shown(
        "Record of a person",
        &["people", "*", "record"],
        &["worker", "show"],
        &[],
    ),
    shown(
        "When a person leaves",
        &["people", "*", "leaver"],
        &["dose", "leaver"],
        &["on", "since"],
    ),
    shown("Who may work", &["status"], &["work-status"], ON),
    shown(
        "Lists of doses",
        &["lists"],
        &["dose", "lists"],
        &["year", "on", "share"],
    ),
    Shown {
        charts: &["reconcile"],
        ..shown(
            "Readings and results",
            &["reconcile"],
            &["dose", "reconcile"],
            &["year", "from", "to", "on"],
        )
    },
    shown(
        "A share of the limit for some days",
        &["notional"],
        &["determination", "notional"],
        &["worker", "first-day", "last-day"],
    ),
    Shown {
        leaves: true,
        ..shown(
            "Dose statements of all",
            &["statements"],
            &["dose", "statement", "--all"],
            YEAR,
        )
    },
    Shown {
        then: &["/do/review/*", "/month/*/changes"],
        ..shown("Review of a month", &["month", "*"], &["review"], ON)
    },
    shown(
        "Changes since a month was signed",
        &["month", "*", "changes"],
        &["review", "changes"],
        &[],
    ),
    Shown {
        then: &["/notifications", "/evidence", "/ranking", "/do/event/open"],
        ..shown("Events", &["events"], &["event", "list"], &[])
    },
    shown(
        "Photos and papers",
        &["evidence"],
        &["evidence", "list"],
        &[],
    ),
    Shown {
        then: &[
            "/evidence/*/file",
            "/do/entry/correct/*",
            "/do/evidence/erase/*",
        ],
        ..shown(
            "A photo or paper",
            &["evidence", "*"],
            &["evidence", "show"],
            &[],
        )
    },
    Shown {
        then: &[
            "/events/*/trace",
            "/events/*/notifications",
            "/events/*/draft",
            "/do/event/note/*",
            "/do/event/happening/*",
            "/do/event/person/*",
            "/do/event/cause/*",
            "/do/event/action/*",
            "/do/event/link/*",
            "/do/event/close/*",
            "/photo?about=*",
        ],
        in_place: true,
        ..shown("Event", &["events", "*"], &["event", "show"], &[])
    },
    Shown {
        then: &["/do/trace/conclude/*"],
        in_place: true,
        charts: &["trace"],
        ..shown(
            "Trace to parts, inspections and people",
            &["events", "*", "trace"],
            &["trace", "show"],
            ON,
        )
    },
    Shown {
        then: &["/do/report/answer/*", "/do/report/done/*"],
        in_place: true,
        ..shown(
            "Reports owed for an event",
            &["events", "*", "notifications"],
            &["report", "show"],
            &[],
        )
    },
    shown(
        "Draft of the report",
        &["events", "*", "draft"],
        &["report", "draft"],
        &[],
    ),
    shown("Reports owed", &["notifications"], &["report", "list"], &[]),
    Shown {
        charts: &["ranking"],
        ..shown("Ranking of items", &["ranking"], &["trace", "ranking"], &[])
    },
    Shown {
        then: &["/due/equipment", "/due/instruments"],
        ..shown("What falls due", &["due"], &["due"], &["on", "within"])
    },
    Shown {
        charts: &["due"],
        ..shown(
            "What falls due for equipment",
            &["due", "equipment"],
            &["equipment", "due"],
            &["on", "within"],
        )
    },
    shown(
        "What falls due for instruments",
        &["due", "instruments"],
        &["instrument", "due"],
        &["on", "within"],
    ),
    Shown {
        then: &[
            "/wear",
            "/inspections",
            "/do/equipment/out-of-service",
            "/do/equipment/return",
            "/do/equipment/install",
            "/do/inspect/import",
        ],
        ..shown("Equipment", &["equipment"], &["equipment", "list"], &[])
    },
    Shown {
        then: &["/wear/*", "/equipment/*/form"],
        charts: &["wear"],
        ..shown(
            "A piece of equipment",
            &["equipment", "*"],
            &["equipment", "show"],
            ON,
        )
    },
    shown(
        "A form for its inspection",
        &["equipment", "*", "form"],
        &["form", "inspect"],
        &["when", "on"],
    ),
    Shown {
        then: &[
            "/do/instrument/check",
            "/do/instrument/calibrate",
            "/do/instrument/calibrations",
        ],
        ..shown(
            "Instruments",
            &["instruments"],
            &["instrument", "list"],
            &[],
        )
    },
    shown(
        "An instrument",
        &["instruments", "*"],
        &["instrument", "show"],
        ON,
    ),
    shown("Wear", &["wear"], &["wear", "list"], &[]),
    Shown {
        charts: &["wear"],
        ..shown("Wear of its parts", &["wear", "*"], &["wear", "show"], ON)
    },
    shown("Inspections", &["inspections"], &["inspect", "list"], YEAR),
    shown(
        "An inspection",
        &["inspections", "*"],
        &["inspect", "show"],
        &[],
    ),
    Shown {
        then: &[
            "/do/badge/issue",
            "/do/badge/return",
            "/do/badge/send",
            "/do/badge/lost",
            "/do/badge/result",
            "/do/badge/import",
            "/do/badge/accept",
            "/do/badge/resolve",
        ],
        ..shown("Badges", &["badges"], &["badge", "list"], &[])
    },
    shown("Jobs", &["jobs"], &["job", "list"], &[]),
    shown(
        "Papers for a job",
        &["jobs", "*"],
        &["pack"],
        &["from", "to", "on"],
    ),
    shown("Register of people", &["workers"], &["worker", "list"], &[]),
    shown(
        "Determinations",
        &["determinations"],
        &["determination", "list"],
        ON,
    ),
    shown("Rules in force", &["rules"], &["rules", "list"], &[]),
    Shown {
        then: &["/ledger/full"],
        ..shown(
            "Verification of the ledger",
            &["ledger"],
            &["ledger", "verify"],
            &["expect"],
        )
    },
    shown(
        "Verification of the tables too",
        &["ledger", "full"],
        &["ledger", "verify", "--full"],
        &["expect"],
    ),
    shown("Checklists", &["checklists"], &["checklist", "list"], &[]),
    shown(
        "Sources to report to tracking",
        &["records", "tracking"],
        &["records", "tracking"],
        YEAR,
    ),
    shown(
        "Yearly reports",
        &["records", "yearly-reports"],
        &["records", "yearly-reports"],
        &[],
    ),
    shown(
        "Breakdown of doses",
        &["breakdown"],
        &["dose", "breakdown"],
        YEAR,
    ),
    shown(
        "Utilization log",
        &["records", "utilization"],
        &["records", "utilization"],
        YEAR,
    ),
    shown(
        "Source inventories",
        &["records", "inventories"],
        &["records", "inventories"],
        YEAR,
    ),
    shown(
        "Receipt and transfer of sources",
        &["records", "sources"],
        &["records", "sources"],
        YEAR,
    ),
    shown(
        "Leak tests",
        &["records", "leak-tests"],
        &["records", "leak-tests"],
        YEAR,
    ),
    shown(
        "Calibrations",
        &["records", "calibrations"],
        &["records", "calibrations"],
        YEAR,
    ),
    shown(
        "Records whose time to keep is over",
        &["records", "lapsed"],
        &["records", "lapsed"],
        &[],
    ),
    Shown {
        then: &[
            "/entries/*/history",
            "/photo?about=*",
            "/do/entry/correct/*",
            "/do/entry/void/*",
            "/do/entry/reinstate/*",
        ],
        ..shown("An entry", &["entries", "*"], &["entry", "show"], &[])
    },
    shown(
        "History of an entry",
        &["entries", "*", "history"],
        &["entry", "history"],
        &[],
    ),
];

/// A part of an address.
pub fn encoded(text: &str) -> String {
    percent_encoding::utf8_percent_encode(text, percent_encoding::NON_ALPHANUMERIC).to_string()
}
