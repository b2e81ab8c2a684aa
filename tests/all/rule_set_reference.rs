//! The built-in rule sets against the published limits in `tests/reference/limits.csv`, row
//! by row.

use wearbook::calendar::Window;
use wearbook::quantity::Dose;
use wearbook::rule::{
    AppliesTo, Level, LevelType, LevelWindow, Quantity, RuleSet, Status, builtin, offer,
};

/// Rows of limits.csv that no rule set has, each with the reason: rule set, quantity, population,
/// period, reason.
const OUT_OF_SCOPE: &[[&str; 5]] = &[
    [
        "US-NRC",
        "TODE (DDE plus organ CDE; not lens)",
        "adult worker",
        "licensee year",
        "a sealed source leaves no committed dose, so 5 rem to the whole body always bites first",
    ],
    [
        "US-NRC",
        "TODE (DDE plus organ CDE; not lens)",
        "minor worker",
        "licensee year",
        "the same for the tenth of it",
    ],
    [
        "US-NRC",
        "TEDE from PSE and doses over limits",
        "adult in planned special exposure",
        "any year",
        "no planned special exposures are kept: all dose counts against the annual limit",
    ],
    [
        "US-NRC",
        "TEDE from PSE and doses over limits",
        "adult in planned special exposure",
        "lifetime",
        "no planned special exposures are kept: all dose counts against the annual limit",
    ],
    [
        "CA",
        "effective dose",
        "emergency participant (general)",
        "emergency",
        "for the control of an emergency under the authority, not for a crew's work",
    ],
    [
        "CA",
        "equivalent dose skin",
        "emergency participant (general)",
        "emergency",
        "for the control of an emergency under the authority, not for a crew's work",
    ],
    [
        "CA",
        "dose from an exposure device",
        "person not a nuclear energy worker",
        "year",
        "no dosimeter tells the dose of one device apart; the limits of other people hold",
    ],
];

/// Rows that a rule set keeps as a single number and not as a level: rule set, quantity, period,
/// key of the tolerance.
const AS_TOLERANCE: &[[&str; 4]] = &[
    [
        "US-NRC",
        "external dose in unrestricted area",
        "any one hour",
        "public-any-one-hour",
    ],
    [
        "CA",
        "dose from an exposure device",
        "week",
        "public-any-one-week",
    ],
];

#[derive(Debug, serde::Deserialize)]
struct Row {
    #[serde(rename = "scheme")]
    rule_set: String,
    quantity: String,
    population: String,
    period: String,
    #[serde(rename = "limit_mSv")]
    millisievert: String,
    #[serde(rename = "limit_rem")]
    rem: String,
    citation: String,
    status: String,
}

impl Row {
    fn dose(&self) -> Dose {
        let dose = Dose::parse(&format!("{} mSv", self.millisievert), None).unwrap();
        let rem = Dose::parse(&format!("{} rem", self.rem), None).unwrap();
        assert_eq!(dose, rem, "the row itself is uneven: {self:?}");
        dose
    }

    fn status(&self) -> Status {
        match self.status.as_str() {
            "read" => Status::Read,
            "memory" => Status::ToBeConfirmed,
            other => panic!("unknown status {other}"),
        }
    }

    fn quantities(&self) -> Vec<Quantity> {
        let text = self.quantity.to_lowercase();
        let has = |word: &str| text.contains(word);
        let mut found = Vec::new();
        if has("tede") || has("effective") || has("fetus") || has("unborn") {
            found.push(Quantity::Deep);
        }
        if has("lens") || has("lde") {
            found.push(Quantity::Lens);
        }
        if has("skin") && !has("extremity") {
            found.push(Quantity::Shallow);
        }
        if has("extremit") || has("hands") {
            found.push(Quantity::Extremity);
        }
        assert!(!found.is_empty(), "no quantity: {self:?}");
        found
    }

    fn population(&self) -> AppliesTo {
        let text = self.population.as_str();
        if text.contains("pregnan") {
            AppliesTo::DeclaredPregnancy
        } else if text.contains("minor") {
            AppliesTo::Minor
        } else if text.contains("apprentice") {
            AppliesTo::Apprentice
        } else if text.contains("public")
            || text.contains("not a nuclear")
            || text.contains("other")
        {
            AppliesTo::Other
        } else {
            AppliesTo::Adult
        }
    }

    fn windows(&self) -> &'static [Window] {
        use Window::{
            AnyFiveYears, CalendarYear, EntirePregnancy, FixedFiveYears, LicenseeYear,
            RestOfPregnancy,
        };
        match self.period.as_str() {
            "licensee year" => &[LicenseeYear],
            // The year of 10 CFR is the licensee's (20.1003), elsewhere the calendar's.
            "year" | "any single year" if self.rule_set == "US-NRC" => &[LicenseeYear],
            "year" | "any single year" | "calendar year" | "one-year dosimetry period" => {
                &[CalendarYear]
            }
            "any five consecutive years" | "five consecutive years" => &[AnyFiveYears],
            "fixed five-year dosimetry period" => &[FixedFiveYears { first: 2021 }],
            "entire pregnancy" => &[EntirePregnancy],
            "remainder of pregnancy" | "balance of pregnancy" => &[RestOfPregnancy],
            other => panic!("unknown period {other}"),
        }
    }

    fn is_out_of_scope(&self) -> bool {
        OUT_OF_SCOPE
            .iter()
            .any(|[rule_set, quantity, population, period, _]| {
                self.rule_set == *rule_set
                    && self.quantity == *quantity
                    && self.population == *population
                    && self.period == *period
            })
    }

    fn as_tolerance(&self) -> Option<&'static str> {
        let found = AS_TOLERANCE.iter().find(|[rule_set, quantity, period, _]| {
            self.rule_set == *rule_set && self.quantity == *quantity && self.period == *period
        });
        found.map(|[_, _, _, key]| *key)
    }
}

fn rule_set(name: &str) -> RuleSet {
    RuleSet::parse(offer(name).unwrap().text).unwrap()
}

fn rows() -> Vec<Row> {
    let mut reader = csv::Reader::from_path("tests/reference/limits.csv").unwrap();
    let rows: Vec<Row> = reader.deserialize().map(Result::unwrap).collect();
    let of = |row: &Row| ["US-NRC", "CA", "EU", "IAEA"].contains(&row.rule_set.as_str());
    rows.into_iter().filter(of).collect()
}

fn rule_set_name(row: &Row) -> &str {
    match row.rule_set.as_str() {
        "US-NRC" => "10 CFR",
        "CA" => "Canada",
        other => other,
    }
}

/// The levels that a row means. The five-year lens option and the authorized 50 mSv are told
/// from the plain limit by their dose.
fn levels_of<'s>(row: &Row, rule_set: &'s RuleSet, quantity: Quantity) -> Vec<&'s Level> {
    let levels = rule_set.levels.iter();
    levels
        .filter(|level| level.kind == LevelType::Limit && level.quantity == quantity)
        .filter(|level| level.applies_to == row.population())
        .filter(|level| {
            level
                .over()
                .is_some_and(|window| row.windows().contains(&window))
        })
        .collect()
}

#[test]
fn every_row_of_the_published_limits_is_in_its_rule_set_or_out_of_scope_with_a_reason() {
    let rows = rows();
    assert_eq!(rows.len(), 51, "rows of the four rule sets in limits.csv");
    for row in rows.iter().filter(|row| !row.is_out_of_scope()) {
        let rule_set = rule_set(rule_set_name(row));
        if let Some(key) = row.as_tolerance() {
            let tolerance = rule_set.tolerance(key).unwrap();
            assert_eq!(tolerance.dose(), Some(row.dose()), "{row:?}");
            assert_eq!(tolerance.status, row.status(), "{row:?}");
            continue;
        }
        if row.quantity.contains("remainder rule") {
            let rule = rule_set.pregnancy.as_ref().unwrap();
            assert_eq!(rule.floor, Some(row.dose()), "{row:?}");
            assert_eq!(rule.status, row.status(), "{row:?}");
            assert_eq!(rule.citation, row.citation);
            continue;
        }
        for quantity in row.quantities() {
            let levels = levels_of(row, &rule_set, quantity);
            let found = levels.iter().find(|level| level.dose == row.dose());
            let level = found.unwrap_or_else(|| panic!("{row:?} is not among {levels:#?}"));
            assert_eq!(level.status, row.status(), "{row:?}");
            let provision = row.citation.split(" (").next().unwrap_or(&row.citation);
            let provision = provision.trim_start_matches("10 CFR ");
            assert!(
                level.citation.contains(provision) || row.status() == Status::ToBeConfirmed,
                "`{}` does not cite `{provision}`",
                level.citation
            );
        }
    }
}

#[test]
fn every_limit_that_counts_as_read_is_a_read_row_of_the_published_limits() {
    let rows = rows();
    for offer in builtin() {
        let rule_set = rule_set(offer.name);
        let limits = rule_set
            .levels
            .iter()
            .filter(|level| level.status == Status::Read && level.kind == LevelType::Limit);
        for level in limits {
            let row = rows.iter().find(|row| {
                rule_set_name(row) == rule_set.key
                    && !row.is_out_of_scope()
                    && row.as_tolerance().is_none()
                    && row.status() == Status::Read
                    && row.dose() == level.dose
                    && row.population() == level.applies_to
                    && row.quantities().contains(&level.quantity)
                    && level
                        .over()
                        .is_some_and(|window| row.windows().contains(&window))
            });
            assert!(row.is_some(), "{}: {level:?}", rule_set.key);
        }
    }
}

#[test]
fn every_row_out_of_scope_exists_and_is_not_in_the_rule_set_after_all() {
    let rows = rows();
    for [rule_set, quantity, population, period, reason] in OUT_OF_SCOPE {
        assert!(!reason.is_empty());
        let exists = rows.iter().any(|row| {
            row.rule_set == *rule_set
                && row.quantity == *quantity
                && row.population == *population
                && row.period == *period
        });
        assert!(exists, "{rule_set} {quantity} {population} {period}");
    }
    let us = rule_set("10 CFR");
    let lifetime = LevelWindow::Over(Window::Lifetime);
    assert!(us.levels.iter().all(|level| level.window != lifetime));
}

#[test]
fn nothing_of_the_iaea_rule_set_counts_as_read() {
    let iaea = rule_set("IAEA");
    assert!(
        iaea.levels
            .iter()
            .all(|level| level.status == Status::ToBeConfirmed)
    );
    assert!(
        iaea.rules
            .iter()
            .all(|rule| rule.status == Status::ToBeConfirmed)
    );
}
