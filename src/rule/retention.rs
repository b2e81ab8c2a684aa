//! How long records are kept, and what must be in them. Nothing is ever deleted from a ledger;
//! this says what of the paper behind it may be put away.

use super::word::Status;

/// How long a record is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Keep {
    /// So many years after it was made.
    Years(u32),
    /// Until the licence ends.
    LicenceEnd,
    /// As long as what it speaks of is in force.
    WhileInForce,
}

/// Which of a kind's records a rule speaks of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Of {
    /// Each of them.
    All,
    /// Those of instruments of these sorts, by the register's words.
    Instruments(&'static [&'static str]),
    /// Those of sources, and of devices with a shield of uranium.
    Sources,
    /// Those with a survey before storage.
    Surveyed,
}

/// One row of the rules on records.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Retention {
    /// The section.
    pub citation: &'static str,
    /// What is kept.
    pub what: &'static str,
    /// What the rule wants in it.
    pub contents: &'static str,
    /// Words of the kinds of records that hold it; none: the ledger does not hold it.
    pub kinds: &'static [(&'static str, Of)],
    /// How long.
    pub keep: Keep,
    /// What else there is to say.
    pub note: &'static str,
    /// Whether the text was read.
    pub status: Status,
}

const fn row(
    citation: &'static str,
    what: &'static str,
    contents: &'static str,
    kinds: &'static [(&'static str, Of)],
    keep: Keep,
    note: &'static str,
) -> Retention {
    Retention {
        citation,
        what,
        contents,
        kinds,
        keep,
        note,
        status: Status::Read,
    }
}

/// 10 CFR 34.61 to 34.85 and 20.2102 to 20.2106, as read. Other schemes have no rows here: there
/// the authority says it.
pub const RETENTION: &[Retention] = &[
    row(
        "10 CFR 34.61",
        "licence, conditions, amendments",
        "",
        &[],
        Keep::WhileInForce,
        "until superseded or the licence ends",
    ),
    row(
        "10 CFR 34.63",
        "receipt and transfer of sources",
        "date, person, radionuclide, activity or mass, maker, model, serial",
        &[("equipment", Of::Sources), ("loading", Of::All)],
        Keep::Years(3),
        "",
    ),
    row(
        "10 CFR 34.65",
        "calibration of survey meters",
        "results",
        &[("check", Of::Instruments(&["survey meter"]))],
        Keep::Years(3),
        "",
    ),
    row(
        "10 CFR 34.67",
        "leak tests",
        "results in becquerel or microcurie",
        &[("leak test", Of::All)],
        Keep::Years(3),
        "or until a stored source is removed",
    ),
    row(
        "10 CFR 34.69",
        "quarterly inventory",
        "date, person, radionuclide, activity or mass, location, maker, model, serial",
        &[("inventory", Of::All)],
        Keep::Years(3),
        "",
    ),
    row(
        "10 CFR 34.71",
        "utilization log",
        "maker, model, serial of the device; who used it, with signature; site and dates, \
         removal and return",
        &[("sheet", Of::All)],
        Keep::Years(3),
        "",
    ),
    row(
        "10 CFR 34.73",
        "problems found in daily checks and inspections, maintenance",
        "date, inspector, equipment, problems, repair",
        &[("inspection", Of::All)],
        Keep::Years(3),
        "the ledger keeps the good items too",
    ),
    row(
        "10 CFR 34.75",
        "tests of alarms and entrance controls",
        "",
        &[],
        Keep::Years(3),
        "",
    ),
    row(
        "10 CFR 34.79",
        "training, certification, job inspections",
        "tests, dates, names, topics, items checked",
        &[("qualification", Of::All)],
        Keep::Years(3),
        "the ledger keeps dates and names, not the tests",
    ),
    row(
        "10 CFR 34.81",
        "operating and emergency procedures",
        "a current copy",
        &[],
        Keep::LicenceEnd,
        "superseded ones 3 years after the change",
    ),
    row(
        "10 CFR 34.83(a)",
        "readings of direct-reading dosimeters, yearly response checks",
        "",
        &[
            ("sheet", Of::All),
            (
                "check",
                Of::Instruments(&["pocket dosimeter", "electronic dosimeter"]),
            ),
        ],
        Keep::Years(3),
        "",
    ),
    row(
        "10 CFR 34.83(b)",
        "calibration of alarm ratemeters",
        "",
        &[("check", Of::Instruments(&["alarm ratemeter"]))],
        Keep::Years(3),
        "",
    ),
    row(
        "10 CFR 34.83(c)",
        "results of personnel dosimeters",
        "",
        &[("badge result", Of::All)],
        Keep::LicenceEnd,
        "",
    ),
    row(
        "10 CFR 34.83(d)",
        "estimates for off-scale, lost or damaged dosimeters",
        "",
        &[("determination", Of::All)],
        Keep::LicenceEnd,
        "",
    ),
    row(
        "10 CFR 34.85",
        "survey of the device before storage",
        "",
        &[("sheet", Of::Surveyed)],
        Keep::Years(3),
        "if it was the last of the workday",
    ),
    row(
        "10 CFR 20.2102",
        "the programme; its audits and reviews",
        "",
        &[("review", Of::All)],
        Keep::LicenceEnd,
        "audits and reviews 3 years",
    ),
    row(
        "10 CFR 20.2103(b)(1)",
        "surveys used for a dose",
        "",
        &[("determination", Of::All)],
        Keep::LicenceEnd,
        "the survey itself is not in the ledger",
    ),
    row(
        "10 CFR 20.2104(f)",
        "prior dose",
        "",
        &[("prior dose", Of::All)],
        Keep::LicenceEnd,
        "working papers 3 years",
    ),
    row(
        "10 CFR 20.2106",
        "dose records, with those of an embryo",
        "DDE, LDE, SDE of skin and extremities, TEDE; at least yearly",
        &[("badge result", Of::All), ("determination", Of::All)],
        Keep::LicenceEnd,
        "intakes are none for sealed sources",
    ),
];

/// What must be at a field station and at a temporary job site.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AtSite {
    /// Its name in files.
    pub key: &'static str,
    /// What it is.
    pub what: &'static str,
    /// Whether the ledger holds it; if not, a copy is brought.
    pub held: bool,
}

/// 10 CFR 34.89(b), in its order.
pub const AT_SITE: &[AtSite] = &[
    at_site("licence", "the licence, with conditions", false),
    at_site("parts", "10 CFR Parts 19, 20 and 34", false),
    at_site("utilization", "utilization records", true),
    at_site("problems", "problems found in daily checks", true),
    at_site("alarms", "checks of ratemeter alarms", true),
    at_site("readings", "readings of direct-reading dosimeters", true),
    at_site("procedures", "operating and emergency procedures", false),
    at_site("meters", "latest calibration of the survey meters", true),
    at_site(
        "instruments",
        "latest calibration of ratemeters, checks of dosimeters",
        true,
    ),
    at_site("surveys", "latest surveys", true),
    at_site("shipping", "shipping papers", false),
    at_site(
        "reciprocity",
        "licence of the reciprocity, where there is one",
        false,
    ),
];

const fn at_site(key: &'static str, what: &'static str, held: bool) -> AtSite {
    AtSite { key, what, held }
}

/// The rows of a scheme; none where its records rule is not in the program.
#[must_use]
pub fn retention_of(scheme: &super::Scheme) -> &'static [Retention] {
    let us = scheme.key == "10 CFR" || scheme.based_on.as_deref() == Some("10 CFR");
    if us { RETENTION } else { &[] }
}
