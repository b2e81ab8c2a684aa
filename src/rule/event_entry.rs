//! The sections `[[event]]` and `[[notification]]` of a rule set file.

use super::authority::Authority;
use super::entry::basis;
use super::event::{
    CategoryQuantity, Clock, DoseThreshold, Duty, EventFact, EventKind, How, KeyedText, Measured,
    Within,
};
use super::jurisdiction::reciprocity;
use super::read::{Fields, Found, Reader};
use super::word::Quantity;
use crate::quantity::{Activity, Dose};

pub(super) fn event(
    reader: &mut Reader<'_>,
    fields: &mut Fields<'_, '_>,
    key: String,
) -> Option<EventKind> {
    let name = fields.must(reader, "name", "name it: `name = \"disconnect\"`");
    let right = "say in one plain line what happened: `meaning = \"...\"`";
    let meaning = fields.must(reader, "meaning", right);
    let withdraws = fields.flag(reader, "withdraws");
    let calls = fields.flag(reader, "calls_for_inspection");
    let failures = fields.texts(reader, "failures");
    Some(EventKind {
        key,
        name: name?.value,
        meaning: meaning?.value,
        withdraws: withdraws.unwrap_or(true),
        calls_for_inspection: calls.unwrap_or(false),
        failures: plain(failures),
    })
}

pub(super) fn plain(found: Option<Found<Vec<Found<String>>>>) -> Vec<String> {
    let list = found.map(|it| it.value).unwrap_or_default();
    list.into_iter().map(|it| it.value).collect()
}

pub(super) fn fact(
    reader: &mut Reader<'_>,
    fields: &mut Fields<'_, '_>,
    key: String,
) -> Option<EventFact> {
    let right = "ask it: `text = \"was control of licensed material lost?\"`";
    let text = fields.must(reader, "text", right);
    let yes_if = fields.texts(reader, "yes_if");
    let no_if = fields.texts(reader, "no_if");
    let assumed_if = fields.texts(reader, "assumed_if");
    let asked_if = fields.texts(reader, "asked_if");
    let measured = match fields.take("measured") {
        Some(_) => Some(fields.word(reader, "measured", Measured::ALL, Measured::name)?),
        None => None,
    };
    Some(EventFact {
        key,
        text: text?.value,
        yes_if: plain(yes_if),
        no_if: plain(no_if),
        assumed_if: plain(assumed_if),
        asked_if: plain(asked_if),
        measured,
    })
}

pub(super) fn category(
    reader: &mut Reader<'_>,
    fields: &mut Fields<'_, '_>,
    key: String,
) -> Option<CategoryQuantity> {
    let right = "write an activity and its unit: `category_2 = \"0.8 TBq\"`";
    let from = fields.parsed(reader, "category_2", right, |text| {
        Activity::parse(text, None)
    });
    let basis = basis(reader, fields)?;
    Some(CategoryQuantity {
        key,
        category_2: from?.value,
        citation: basis.citation,
        status: basis.status,
        meaning: basis.meaning,
    })
}

pub(super) fn authority(
    reader: &mut Reader<'_>,
    fields: &mut Fields<'_, '_>,
    key: String,
) -> Option<Authority> {
    let jurisdictions = plain(fields.texts(reader, "jurisdictions"));
    if jurisdictions.is_empty() {
        let what = format!("authority `{key}` has no `jurisdictions`");
        let right = "name them as jobs do: `jurisdictions = [\"NRC\"]`".to_owned();
        reader.problem(fields.at, what, right);
        return None;
    }
    let name = fields.must(reader, "name", "name it in full: `name = \"...\"`");
    let telephone = fields.text(reader, "telephone");
    let equivalent = fields.flag(reader, "equivalent");
    let listed = keyed(reader, fields, "times");
    let mut times = Vec::new();
    let mut good = true;
    for one in listed.as_deref().unwrap_or_default() {
        match within(&one.text) {
            Ok(within) => times.push((one.key.clone(), within)),
            Err(what) => {
                let right = "write `notice: 4 hours`".to_owned();
                reader.problem(fields.at, what, right);
                good = false;
            }
        }
    }
    listed.filter(|_| good)?;
    let citations = pairs(reader, fields, "citations")?;
    let own = pairs(reader, fields, "own")?;
    let binds = pairs(reader, fields, "binds")?;
    let names = plain(fields.texts(reader, "names"));
    let reciprocity = reciprocity(reader, fields);
    Some(Authority {
        citations,
        own,
        binds,
        names,
        above: Vec::new(),
        reciprocity,
        key,
        jurisdictions,
        name: name?.value,
        telephone: telephone.map(|it| it.value),
        equivalent: equivalent.unwrap_or(false),
        times,
    })
}

/// Facts of which each line needs one: `disconnected | not-secured`.
fn conditions(found: Option<Found<Vec<Found<String>>>>) -> Vec<Vec<String>> {
    let line = |text: String| text.split('|').map(|it| it.trim().to_owned()).collect();
    plain(found).into_iter().map(line).collect()
}

/// A list of `one: other`, in any signs.
pub(super) fn pairs(
    reader: &mut Reader<'_>,
    fields: &mut Fields<'_, '_>,
    field: &'static str,
) -> Option<Vec<(String, String)>> {
    let list = fields.texts(reader, field);
    let mut all = Vec::new();
    let mut good = true;
    for one in list.into_iter().flat_map(|it| it.value) {
        match one.value.split_once(": ") {
            Some((one, other)) => all.push((one.trim().to_owned(), other.trim().to_owned())),
            None => {
                let what = format!("`{}` is no pair", one.value);
                let right = format!("write `{field} = [\"one: other\"]`");
                reader.problem(one.at, what, right);
                good = false;
            }
        }
    }
    good.then_some(all)
}

/// A list of `key: words`.
fn keyed(
    reader: &mut Reader<'_>,
    fields: &mut Fields<'_, '_>,
    field: &'static str,
) -> Option<Vec<KeyedText>> {
    let Some(list) = fields.texts(reader, field) else {
        return Some(Vec::new());
    };
    let mut all: Vec<KeyedText> = Vec::new();
    let mut good = true;
    for one in list.value {
        let parts = one.value.split_once(": ");
        let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        match parts {
            Some((key, text)) if key.chars().all(plain) && !all.iter().any(|it| it.key == key) => {
                all.push(KeyedText {
                    key: key.to_owned(),
                    text: text.trim().to_owned(),
                });
            }
            _ => {
                let what = format!("`{}` does not begin with a key of its own", one.value);
                let right = "write `key: words`, each key once".to_owned();
                reader.problem(one.at, what, right);
                good = false;
            }
        }
    }
    good.then_some(all)
}

/// `deep 25 rem or more`, `lens above 15 rem`.
fn threshold(text: &str) -> Option<DoseThreshold> {
    let (quantity, rest) = text.split_once(' ')?;
    let quantity = *Quantity::ALL.iter().find(|it| it.name() == quantity)?;
    let (dose, at_or_above) = match rest.strip_suffix(" or more") {
        Some(dose) => (dose, true),
        None => (rest.strip_prefix("above ")?, false),
    };
    let dose = Dose::parse(dose, None).ok()?;
    Some(DoseThreshold {
        quantity,
        dose,
        at_or_above,
    })
}

/// A threshold as a file has it, with the dose as `shown`.
pub(super) fn threshold_text(it: &DoseThreshold, shown: &str) -> String {
    match it.at_or_above {
        true => format!("{} {shown} or more", it.quantity.name()),
        false => format!("{} above {shown}", it.quantity.name()),
    }
}

fn thresholds(reader: &mut Reader<'_>, fields: &mut Fields<'_, '_>) -> Option<Vec<DoseThreshold>> {
    let Some(list) = fields.texts(reader, "doses") else {
        return Some(Vec::new());
    };
    let mut all = Vec::new();
    let mut good = true;
    for one in list.value {
        match threshold(&one.value) {
            Some(threshold) => all.push(threshold),
            None => {
                let what = format!("`{}` is not a dose that a report depends on", one.value);
                let right = "write `deep 25 rem or more` or `lens above 15 rem`".to_owned();
                reader.problem(one.at, what, right);
                good = false;
            }
        }
    }
    good.then_some(all)
}

/// `at once`, `24 hours`, `30 days`, `5 working days`, `with the report`.
fn within(text: &str) -> Result<Within, String> {
    let refused =
        || format!("`{text}` is no time: `at once`, `24 hours`, `30 days`, `5 working days`");
    match text {
        "at once" => return Ok(Within::AtOnce),
        "with the report" => return Ok(Within::WithTheReport),
        _ => {}
    }
    let (count, unit) = text.split_once(' ').ok_or_else(refused)?;
    let count: i64 = count.parse().map_err(|_| refused())?;
    if !(1..=3660).contains(&count) {
        return Err(refused());
    }
    match unit {
        "hour" | "hours" => Ok(Within::Hours(count)),
        "day" | "days" => Ok(Within::Days(count)),
        "working day" | "working days" => Ok(Within::WorkingDays(count)),
        _ => Err(refused()),
    }
}

impl std::fmt::Display for Within {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Within::AtOnce => f.pad("at once"),
            Within::WithTheReport => f.pad("with the report"),
            Within::Hours(count) => f.pad(&crate::text::counted(count, "hour", "hours")),
            Within::Days(count) => f.pad(&crate::text::counted(count, "day", "days")),
            Within::WorkingDays(count) => {
                f.pad(&crate::text::counted(count, "working day", "working days"))
            }
        }
    }
}

pub(super) fn notification(
    reader: &mut Reader<'_>,
    fields: &mut Fields<'_, '_>,
    key: String,
) -> Option<Duty> {
    let what = fields.must(reader, "what", "say what is to be done: `what = \"...\"`");
    let of = fields.texts(reader, "of");
    let when = fields.texts(reader, "when");
    let report = fields.text(reader, "report");
    let questions = keyed(reader, fields, "questions");
    let doses = thresholds(reader, fields);
    let above_a_limit = fields.flag(reader, "above_a_limit");
    let clock = fields.word(reader, "clock", Clock::ALL, Clock::name);
    let after = fields.text(reader, "after");
    let right = "write `within = \"24 hours\"`";
    if fields.take("within").is_none() {
        fields.needs(reader, "within", right);
    }
    let within = fields.parsed(reader, "within", right, within);
    let how = fields.word(reader, "how", How::ALL, How::name);
    let to = fields.must(reader, "to", "say whom: `to = \"the authority\"`");
    let contents = keyed(reader, fields, "contents");
    let contents_if = pairs(reader, fields, "contents_if");
    let basis = basis(reader, fields);
    let clock = clock?;
    if (clock == Clock::FirstReport) != after.is_some() {
        let what = format!("notice `{key}` has a clock `{clock}`");
        let right = "`clock = \"first report\"` and `after = \"...\"` go together".to_owned();
        reader.problem(fields.at, what, right);
        return None;
    }
    let basis = basis?;
    Some(Duty {
        key,
        what: what?.value,
        of: plain(of),
        when: conditions(when),
        report: report.map(|it| it.value),
        questions: questions?,
        doses: doses?,
        above_a_limit: above_a_limit.unwrap_or(false),
        clock,
        after: after.map(|it| it.value),
        within: within?.value,
        how: how?,
        to: to?.value,
        contents: contents?,
        contents_if: contents_if?,
        citation: basis.citation,
        status: basis.status,
        meaning: basis.meaning,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_time_of_a_notification_is_read_as_it_is_written_out() {
        let counts = [1, 2, 30].into_iter();
        let counted =
            counts.flat_map(|it| [Within::Hours(it), Within::Days(it), Within::WorkingDays(it)]);
        for time in counted.chain([Within::AtOnce, Within::WithTheReport]) {
            assert_eq!(within(&time.to_string()), Ok(time), "{time}");
        }
    }
}
