//! Checks of the figures of a sheet against a limit, against each other, and against what the
//! ledger has of the device.

use crate::dose::checks::Found;
use crate::dose::checks::input::SheetFacts;
use crate::quantity::{Dose, DoseRate, Length, LengthUnit};
use crate::rule::{RuleSet, Severity};

const HOUR_S: i64 = 3_600;

const METRE: Length = Length::from_nm(1_000_000_000);

fn found(sheet: &SheetFacts, severity: Severity, what: &str) -> Found {
    Found {
        severity,
        subject: sheet.name(),
        what: format!("{}: {what}", sheet.name()),
        entries: vec![sheet.entry],
    }
}

/// How a storage survey stands to the limits of the place where it was taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Survey {
    /// Not above the limit that holds there.
    Within,
    /// Above it: where, and above what.
    Above(String),
    /// Taken where the rule set has no limit, and above none that it has.
    Elsewhere(String),
}

/// Holds a survey against the limit of its distance, at the surface where none is written.
/// Nothing where the rule set has no limit at all.
pub fn judge_survey(read: DoseRate, at: Option<Length>, rule_set: &RuleSet) -> Option<Survey> {
    let limit = |key: &str| {
        let limit = rule_set.tolerance(key);
        limit.and_then(|it| Some((it.rate()?, it.cited())))
    };
    let rate = rule_set.print_rate(read);
    let away = at.filter(|it| *it != Length::ZERO);
    let metre = away.and_then(|_| limit("device-metre-rate"));
    if let (Some(at), Some((limit, of))) = (away, &metre)
        && at >= METRE
    {
        let at = at.display(LengthUnit::Metre);
        if read > *limit {
            let limit = rule_set.print_rate(*limit);
            return Some(Survey::Above(format!(
                "{rate} at {at}, above {limit} at 1 m ({of})"
            )));
        }
    }
    let (limit, of) = limit("device-surface-rate")?;
    let text = rule_set.print_rate(limit);
    Some(match away {
        None if read > limit => {
            Survey::Above(format!("{rate}, above {text} at the surface ({of})"))
        }
        None => Survey::Within,
        // Nearer it would read more.
        Some(at) if read > limit => Survey::Above(format!(
            "{rate} at {}, above {text} even at the surface ({of})",
            at.display(LengthUnit::Metre)
        )),
        Some(METRE) if metre.is_some() => Survey::Within,
        Some(at) => {
            let at = at.display(LengthUnit::Metre);
            let held = match metre {
                Some(_) => "the limits are at the surface and at 1 m",
                None => "the limit is at the surface",
            };
            Survey::Elsewhere(format!("{rate}, not comparable: written at {at}, {held}"))
        }
    })
}

fn survey_of(sheet: &SheetFacts, rule_set: &RuleSet) -> Option<Survey> {
    judge_survey(sheet.storage_survey?, sheet.storage_distance, rule_set)
}

/// A storage survey above the limit of where it was taken.
pub(super) fn storage_survey_limit(sheet: &SheetFacts, rule_set: &RuleSet) -> Vec<Found> {
    let Some(Survey::Above(words)) = survey_of(sheet, rule_set) else {
        return Vec::new();
    };
    let what = format!("the storage survey read {words}: the source may not be home");
    vec![found(sheet, Severity::Stop, &what)]
}

/// A storage survey taken where no limit holds: it does not say that the source is home.
pub(super) fn storage_survey_distance(sheet: &SheetFacts, rule_set: &RuleSet) -> Vec<Found> {
    let Some(Survey::Elsewhere(words)) = survey_of(sheet, rule_set) else {
        return Vec::new();
    };
    let what = format!("the storage survey read {words}");
    vec![found(sheet, Severity::Watch, &what)]
}

/// A storage survey that reads more than so many times what the device's earlier ones lead to
/// expect. One above the limit at the surface stops already.
pub(super) fn storage_survey_rise(sheet: &SheetFacts, rule_set: &RuleSet) -> Vec<Found> {
    let times = rule_set.tolerance("storage-survey-rise");
    let Some(permille) = times.and_then(|it| it.permille()) else {
        return Vec::new();
    };
    let (Some(read), Some(expected)) = (sheet.storage_survey, sheet.figures.expected) else {
        return Vec::new();
    };
    let most = i128::from(expected.rate.nsv_per_hour()) * i128::from(permille);
    let risen = i128::from(read.nsv_per_hour()) * 1_000 > most;
    if !risen || !storage_survey_limit(sheet, rule_set).is_empty() {
        return Vec::new();
    }
    let from = match expected.decayed {
        true => "decayed by the sources loaded then and now",
        false => "as read: the activity is not on record, and decay would only lower it",
    };
    let of = match expected.surveys {
        1 => "that the only earlier survey of the device leads to expect (".to_owned(),
        surveys => format!(
            "that the last {surveys} surveys of the device lead to expect (the middle one: "
        ),
    };
    let what = format!(
        "the storage survey read {}, more than {} times the {} (an estimate) {of}{} on {}; \
         {from})",
        rule_set.print_rate(read),
        times_text(permille),
        rule_set.print_rate(expected.rate),
        rule_set.print_rate(expected.read),
        expected.on
    );
    let mut one = found(sheet, Severity::Act, &what);
    one.entries.insert(0, expected.entry);
    vec![one]
}

/// `2`, or `1.5`.
fn times_text(permille: i64) -> String {
    match permille % 1_000 {
        0 => (permille / 1_000).to_string(),
        part => {
            let part = format!("{part:03}");
            format!("{}.{}", permille / 1_000, part.trim_end_matches('0'))
        }
    }
}

/// A rate at the boundary beyond which the rule set wants a barrier, or which gives more than the
/// public may receive in any one hour.
pub(super) fn boundary_rate(sheet: &SheetFacts, rule_set: &RuleSet) -> Vec<Found> {
    let barrier = rule_set.tolerance("barrier-rate");
    let beyond = barrier.and_then(|it| {
        let (read, limit) = (sheet.figures.boundary?, it.rate()?);
        (read > limit).then(|| {
            let what = format!(
                "{} at the boundary, above {} ({})",
                rule_set.print_rate(read),
                rule_set.print_rate(limit),
                it.cited()
            );
            found(sheet, Severity::Act, &what)
        })
    });
    let public = one_hour(sheet, rule_set)
        .into_iter()
        .chain(one_week(sheet, rule_set));
    beyond.into_iter().chain(public).collect()
}

/// A rate for some seconds, rounded up: a dose never looks lower than it is.
fn dose_in(rate: DoseRate, seconds: i64) -> Dose {
    let product = i128::from(rate.nsv_per_hour()) * i128::from(seconds);
    let dose = product.div_euclid(i128::from(HOUR_S))
        + i128::from(product.rem_euclid(i128::from(HOUR_S)) > 0);
    Dose::from_nsv(i64::try_from(dose).unwrap_or(i64::MAX))
}

/// What a sheet alone gives at the boundary of what the public may receive in a week: more than
/// all of it. Where it does not say how long the source was out, the whole time is taken.
fn one_week(sheet: &SheetFacts, rule_set: &RuleSet) -> Option<Found> {
    let rule = rule_set.tolerance("public-any-one-week")?;
    let (limit, rate) = (rule.dose()?, sheet.figures.boundary?);
    let of_minutes = |minutes: i64| minutes.saturating_mul(60);
    let (seconds, taken) = match (sheet.figures.source_out_s, sheet.figures.away) {
        (Some(seconds), _) => (seconds, "that the source was out"),
        (None, Some(away)) if away.of_device => {
            (of_minutes(away.minutes), "that the device was out")
        }
        (None, Some(away)) => (of_minutes(away.minutes), "that the shift lasted"),
        (None, None) => (24 * HOUR_S, "of a whole day, since the sheet has no hours,"),
    };
    let dose = dose_in(rate, seconds.max(0));
    if dose <= limit {
        return None;
    }
    let what = format!(
        "{} at the boundary for the {} min {taken} comes to up to {} by this sheet alone, above \
         {} in a week ({})",
        rule_set.print_rate(rate),
        minutes_text(seconds),
        rule_set.print(dose),
        rule_set.print(limit),
        rule.cited()
    );
    Some(found(sheet, Severity::Act, &what))
}

/// More than the public may receive in any one hour. A sheet has only the minutes
/// of the whole shift: all of them, and no more than an hour, are taken to be of one hour; where
/// it has none, the source is taken to be out for the whole hour.
fn one_hour(sheet: &SheetFacts, rule_set: &RuleSet) -> Option<Found> {
    let rule = rule_set.tolerance("public-any-one-hour")?;
    let (limit, of) = (rule.dose()?, rule.cited());
    let rate = sheet.figures.boundary?;
    let seconds = sheet.figures.source_out_s.map(|it| it.clamp(0, HOUR_S));
    let dose = dose_in(rate, seconds.unwrap_or(HOUR_S));
    if dose <= limit {
        return None;
    }
    let total = sheet.figures.source_out_s;
    let taken = match (seconds, total) {
        (None, _) => {
            "the sheet does not say how long the source was out: the whole hour".to_owned()
        }
        (Some(_), Some(total)) if total > HOUR_S => format!(
            "60 of the {} min that the source was out, taken as of one hour",
            minutes_text(total)
        ),
        (Some(seconds), _) => format!(
            "all {} min that the source was out, taken as of one hour",
            minutes_text(seconds)
        ),
    };
    let what = format!(
        "{} at the boundary comes to up to {} in one hour ({taken}), above {} ({of})",
        rule_set.print_rate(rate),
        rule_set.print(dose),
        rule_set.print(limit)
    );
    Some(found(sheet, Severity::Act, &what))
}

/// Minutes, a part of one rounded up.
fn minutes_text(seconds: i64) -> i64 {
    seconds.div_euclid(60) + i64::from(seconds.rem_euclid(60) > 0)
}

/// A source that was out for longer than the device was, or than the shift lasted.
pub(super) fn source_out_too_long(sheet: &SheetFacts, _: &RuleSet) -> Vec<Found> {
    let (Some(seconds), Some(away)) = (sheet.figures.source_out_s, sheet.figures.away) else {
        return Vec::new();
    };
    if seconds <= away.minutes.saturating_mul(60) {
        return Vec::new();
    }
    let whole = match away.of_device {
        true => "the device was out",
        false => "the shift lasted",
    };
    let what = format!(
        "the source is said to have been out for {} min, and {whole} for {} min",
        minutes_text(seconds),
        away.minutes
    );
    vec![found(sheet, Severity::Act, &what)]
}

/// How much longer than the shift a device may be out before somebody is asked: the way to a far
/// site and back, and waiting there. Common practice, no source.
const WAY_MINUTES: i64 = 4 * 60;

/// A device that was out for hours longer than the shift lasted: most often two hours in the wrong
/// order, or one of another day.
pub(super) fn hours_at_odds(sheet: &SheetFacts, _: &RuleSet) -> Vec<Found> {
    let figures = &sheet.figures;
    let (Some(away), Some(shift)) = (figures.away, figures.shift_minutes) else {
        return Vec::new();
    };
    if !away.of_device || away.minutes <= shift.saturating_add(WAY_MINUTES) {
        return Vec::new();
    }
    let what = format!(
        "the device is said to have been out for {} min, and the shift lasted for {shift} min",
        away.minutes
    );
    vec![found(sheet, Severity::Act, &what)]
}

/// A source that is named with a device which by the ledger held another, or which is in another
/// device.
pub(super) fn source_not_in_device(sheet: &SheetFacts, _: &RuleSet) -> Vec<Found> {
    let Some(it) = &sheet.figures.misplaced else {
        return Vec::new();
    };
    let what = format!(
        "the sheet names {} in {}; by the ledger {}",
        it.source, it.device, it.instead
    );
    let mut one = found(sheet, Severity::Act, &what);
    one.entries.insert(0, it.entry);
    vec![one]
}

/// Hours that had not come when the sheet was written.
pub(super) fn hours_ahead(sheet: &SheetFacts, _: &RuleSet) -> Vec<Found> {
    let Some(it) = &sheet.figures.ahead else {
        return Vec::new();
    };
    let what = format!(
        "written at {}, before hours that stand on it: {}",
        it.written,
        it.hours.join(", ")
    );
    vec![found(sheet, Severity::Act, &what)]
}
