//! The sections of a rule set file, one function for each kind of entry.

use super::draft::{Draft, Section, Sections};
use super::level::{Level, LevelWindow, PregnancyRule};
use super::read::{Fields, Found, Reader, quoted};
use super::requirement::{IntervalRule, RuleText, Tolerance, ToleranceValue};
use super::word::{AppliesTo, LevelType, Quantity, Reached, Status};
use crate::calendar::{Interval, Window, YearStart};
use crate::quantity::{Activity, Dose, DoseRate};

/// Where a value stands and what it means: the fields that every entry has.
pub(super) struct Basis {
    pub(super) citation: String,
    pub(super) status: Status,
    pub(super) meaning: String,
}

pub(super) fn basis(reader: &mut Reader<'_>, fields: &mut Fields<'_, '_>) -> Option<Basis> {
    let right = "say where it stands: `citation = \"10 CFR 20.1201(a)\"` or the site's procedure";
    let citation = fields.must(reader, "citation", right);
    let status = fields.word(reader, "status", Status::ALL, Status::name);
    let right = "say in one plain line what it means: `meaning = \"...\"`";
    let meaning = fields.must(reader, "meaning", right);
    Some(Basis {
        citation: citation?.value,
        status: status?,
        meaning: meaning?.value,
    })
}

/// A dose that is above zero.
/// Where something stands and whether it was read there, under names of its own.
pub(super) fn basis_of(
    reader: &mut Reader<'_>,
    fields: &mut Fields<'_, '_>,
    [citation, status]: [&'static str; 2],
) -> Option<(String, Status)> {
    let citation = fields.must(reader, citation, "say where it stands");
    let status = fields.word(reader, status, Status::ALL, Status::name);
    Some((citation?.value, status?))
}

fn dose(
    reader: &mut Reader<'_>,
    fields: &mut Fields<'_, '_>,
    field: &'static str,
) -> Option<Found<Dose>> {
    let right = "write a number and its unit: `\"500 mrem\"`, `\"5 mSv\"`";
    let dose = fields.parsed(reader, field, right, |text| Dose::parse(text, None))?;
    if dose.value == Dose::ZERO {
        let what = format!("`{field}` is zero");
        reader.problem(dose.at, what, "write a dose above zero".to_owned());
        return None;
    }
    Some(dose)
}

fn level_window(text: &str) -> Result<LevelWindow, String> {
    if text == LevelType::Shift.name() {
        return Ok(LevelWindow::Shift);
    }
    let window = text.parse::<Window>();
    window
        .map(LevelWindow::Over)
        .map_err(|error| format!("{error}, shift"))
}

pub(super) fn level(
    reader: &mut Reader<'_>,
    fields: &mut Fields<'_, '_>,
    key: String,
) -> Option<Level> {
    let kind = fields.word(reader, "sort", LevelType::ALL, LevelType::name);
    let quantity = fields.word(reader, "quantity", Quantity::ALL, Quantity::name);
    let applies_to = fields.word(reader, "applies_to", AppliesTo::ALL, AppliesTo::name);
    let right = "write the name of a window, as `window = \"licensee year\"`";
    if fields.take("window").is_none() {
        fields.needs(reader, "window", right);
    }
    let window = fields.parsed(reader, "window", right, level_window);
    if fields.take("dose").is_none() {
        fields.needs(
            reader,
            "dose",
            "write a number and its unit: `dose = \"5 rem\"`",
        );
    }
    let dose = dose(reader, fields, "dose");
    let reached = fields
        .take("reached")
        .map(|_| fields.word(reader, "reached", Reached::ALL, Reached::name));
    let needs_authorization = fields.flag(reader, "needs_authorization");
    let instead_of = fields.text(reader, "instead_of");
    let cut_by_missing_quarters = fields.flag(reader, "cut_by_missing_quarters");
    let stops = fields.flag(reader, "stops");
    let basis = basis(reader, fields);
    let kind = kind?;
    // A limit is kept with exactly its dose; a level that calls for an inspection is not slept
    // over.
    let by_type = match kind {
        LevelType::Limit | LevelType::Shift => Reached::Above,
        LevelType::Administrative | LevelType::Investigation => Reached::AtOrAbove,
    };
    let basis = basis?;
    Some(Level {
        key,
        kind,
        quantity: quantity?,
        applies_to: applies_to?,
        window: window?.value,
        dose: dose?.value,
        reached: reached.unwrap_or(Some(by_type))?,
        needs_authorization: needs_authorization.unwrap_or(false),
        instead_of: instead_of.map(|found| found.value),
        cut_by_missing_quarters: cut_by_missing_quarters.unwrap_or(false),
        stops,
        citation: basis.citation,
        status: basis.status,
        meaning: basis.meaning,
    })
}

/// The names of the kinds of interval, and whether they come with months.
const KINDS: &[(&str, bool)] = &[
    ("not to exceed months", true),
    ("once each quarter", false),
    ("not to exceed months or before next use", true),
    ("within months before use", true),
    ("before use each day", false),
    ("each shift", false),
];

pub(super) fn interval(
    reader: &mut Reader<'_>,
    fields: &mut Fields<'_, '_>,
    key: String,
) -> Option<IntervalRule> {
    let right = "say what falls due: `what = \"calibration of a survey meter\"`";
    let what = fields.must(reader, "what", right);
    let kind = fields.word(reader, "kind", KINDS, |(name, _)| name);
    let months = fields.whole(reader, "months");
    let basis = basis(reader, fields);
    let (kind, counted) = kind?;
    let months = match (counted, months) {
        (true, None) => {
            if fields.take("months").is_none() {
                fields.needs(reader, "months", "write the months: `months = 6`");
            }
            return None;
        }
        (false, Some(months)) => {
            let what = format!("`{kind}` takes no months");
            let right = "leave `months` out, or choose a kind that counts months".to_owned();
            reader.problem(months.at, what, right);
            return None;
        }
        (true, Some(months)) => months,
        (false, None) => Found { value: 1, at: 0 },
    };
    let count = u32::try_from(months.value).unwrap_or(u32::MAX);
    let interval = match kind {
        "not to exceed months" => Interval::NotToExceedMonths(count),
        "once each quarter" => Interval::OnceEachQuarter,
        "not to exceed months or before next use" => {
            Interval::NotToExceedMonthsOrBeforeNextUse(count)
        }
        "within months before use" => Interval::WithinMonthsBeforeUse(count),
        "before use each day" => Interval::BeforeUseEachDay,
        _ => Interval::EachShift,
    };
    if let Err(error) = interval.checked() {
        reader.problem(months.at, error.to_string(), "write 1 to 1200".to_owned());
        return None;
    }
    let basis = basis?;
    Some(IntervalRule {
        key,
        what: what?.value,
        interval,
        citation: basis.citation,
        status: basis.status,
        meaning: basis.meaning,
    })
}

pub(super) fn tolerance(
    reader: &mut Reader<'_>,
    fields: &mut Fields<'_, '_>,
    key: String,
) -> Option<Tolerance> {
    let given: Vec<&str> = [
        "permille", "dose", "rate", "activity", "hours", "days", "years", "by_day",
    ]
    .into_iter()
    .filter(|field| fields.take(field).is_some())
    .collect();
    let whole = |found: Found<i64>, value: fn(i64) -> ToleranceValue| value(found.value);
    let right = "write a number and its unit: `\"500 mrem/h\"`, `\"5 mSv/h\"`";
    let values = [
        fields
            .whole(reader, "permille")
            .map(|found| whole(found, ToleranceValue::Permille)),
        dose(reader, fields, "dose").map(|found| ToleranceValue::Dose(found.value)),
        fields
            .parsed(reader, "rate", right, |text| DoseRate::parse(text, None))
            .map(|found| ToleranceValue::Rate(found.value)),
        fields
            .parsed(reader, "activity", "write `\"185 Bq\"`", |text| {
                Activity::parse(text, None)
            })
            .map(|found| ToleranceValue::Activity(found.value)),
        fields
            .whole(reader, "hours")
            .map(|found| whole(found, ToleranceValue::Hours)),
        fields
            .whole(reader, "days")
            .map(|found| whole(found, ToleranceValue::Days)),
        fields
            .whole(reader, "years")
            .map(|found| whole(found, ToleranceValue::Years)),
        fields
            .parsed(reader, "by_day", "write `\"04-30\"`", |text| {
                text.parse::<YearStart>()
            })
            .map(|found| ToleranceValue::ByDay(found.value)),
    ];
    if given.len() != 1 {
        let what = format!("{} has {} values, not one", fields.name, given.len());
        let right =
            "give one of `permille`, `dose`, `rate`, `activity`, `hours`, `days`, `years`, \
            `by_day`"
                .to_owned();
        reader.missing(fields.at, what, right);
    }
    let basis = basis(reader, fields)?;
    if given.len() != 1 {
        return None;
    }
    Some(Tolerance {
        key,
        value: values.into_iter().flatten().next()?,
        citation: basis.citation,
        status: basis.status,
        meaning: basis.meaning,
    })
}

pub(super) fn rule(
    reader: &mut Reader<'_>,
    fields: &mut Fields<'_, '_>,
    key: String,
) -> Option<RuleText> {
    let basis = basis(reader, fields);
    let right = "say what to do when it is broken: `remedy = \"...\"`";
    let remedy = fields.must(reader, "remedy", right);
    let basis = basis?;
    Some(RuleText {
        key,
        citation: basis.citation,
        status: basis.status,
        meaning: basis.meaning,
        remedy: remedy?.value,
    })
}

/// Reads `[pregnancy]`, and gives it total and window of its level, which the file may have
/// overridden although it tells no `[pregnancy]` of its own.
pub(super) fn pregnancy(
    reader: &mut Reader<'_>,
    fields: &mut Fields<'_, '_>,
    sections: &mut Sections,
) {
    if let Some(value) = fields.take("pregnancy") {
        let at = value.span().start;
        let Some(table) = value.get_ref().as_table() else {
            let what = "`pregnancy` is not a section".to_owned();
            reader.problem(at, what, "begin it with `[pregnancy]`".to_owned());
            return;
        };
        let mut entry = Fields::new("the pregnancy rule".to_owned(), at, table);
        sections.pregnancy = pregnancy_rule(reader, &mut entry, &sections.levels);
        entry.finish(reader);
    }
    if let Some(rule) = &mut sections.pregnancy {
        let entries = &sections.levels.entries;
        let level = entries.iter().find(|one| one.value.key == rule.value.level);
        if let Some(level) = level.map(|level| &level.value) {
            rule.value.total = level.dose;
            rule.value.window = level.over().unwrap_or(rule.value.window);
        }
    }
}

fn pregnancy_rule(
    reader: &mut Reader<'_>,
    fields: &mut Fields<'_, '_>,
    levels: &Section<Level>,
) -> Option<Draft<PregnancyRule>> {
    let right = "name the level whose budget it is: `level = \"pregnancy\"`";
    let level = fields.must(reader, "level", right);
    let floor = dose(reader, fields, "floor");
    let floor_is_bad = floor.is_none() && fields.take("floor").is_some();
    let basis = basis(reader, fields)?;
    let level = level?;
    if !levels.has(&level.value) {
        let what = format!("there is no level `{}`", level.value);
        let known: Vec<&str> = levels
            .entries
            .iter()
            .filter(|one| one.value.applies_to == AppliesTo::DeclaredPregnancy)
            .map(|one| one.value.key.as_str())
            .collect();
        let right = format!("levels of a declared pregnancy are {}", quoted(&known));
        reader.missing(level.at, what, right);
        return None;
    }
    if floor_is_bad {
        return None;
    }
    Some(Draft {
        value: PregnancyRule {
            level: level.value,
            total: Dose::ZERO,
            window: Window::EntirePregnancy,
            floor: floor.map(|found| found.value),
            citation: basis.citation,
            status: basis.status,
            meaning: basis.meaning,
        },
        at: Some(level.at),
    })
}
