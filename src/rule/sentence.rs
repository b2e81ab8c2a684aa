//! Numbers in the sentences of a rule set: `{meter-calibration}` stands for the time of that
//! interval or the value of that tolerance, so that who changes the number changes the sentence;
//! and section numbers in a sentence are told as the authority numbers them.

use std::collections::BTreeSet;

use super::authority::{Authority, section_length, sections};
use super::draft::Sections;
use super::known::{INTERVAL_KEYS, TOLERANCE_KEYS};
use super::read::Reader;
use super::requirement::{IntervalRule, Tolerance, ToleranceValue};
use super::rule_set::RuleSet;
use crate::calendar::Interval;

fn count(number: i64, one: &str) -> String {
    let s = if number == 1 { "" } else { "s" };
    format!("{number} {one}{s}")
}

fn interval_words(rule: &IntervalRule) -> String {
    match rule.interval {
        Interval::OnceEachQuarter => "a quarter".to_owned(),
        Interval::BeforeUseEachDay => "a day of use".to_owned(),
        Interval::EachShift => "a shift".to_owned(),
        Interval::NotToExceedMonths(it)
        | Interval::NotToExceedMonthsOrBeforeNextUse(it)
        | Interval::WithinMonthsBeforeUse(it) => count(i64::from(it), "month"),
    }
}

fn tolerance_words(one: &Tolerance) -> Option<String> {
    Some(match one.value {
        ToleranceValue::Permille(it) if it % 10 == 0 => format!("{} %", it / 10),
        ToleranceValue::Permille(it) => format!("{}.{} %", it / 10, it % 10),
        ToleranceValue::Hours(it) => count(it, "hour"),
        ToleranceValue::Days(it) => count(it, "day"),
        ToleranceValue::Years(it) => count(it, "year"),
        _ => return None,
    })
}

/// A sentence with its numbers.
fn filled(text: &str, words: &[(String, String)]) -> String {
    let mut text = text.to_owned();
    if text.contains('{') {
        for (place, words) in words {
            text = text.replace(place, words);
        }
    }
    text
}

/// The places of a sentence, with their braces.
fn places(text: &str) -> impl Iterator<Item = &str> {
    text.match_indices('{').filter_map(|(at, _)| {
        let end = text.get(at..)?.find('}')?;
        text.get(at..at + end + 1)
    })
}

/// Says of a place for which there is no number.
pub(super) fn check_places(reader: &mut Reader<'_>, sections: &Sections) {
    let of = |it: &Tolerance| tolerance_words(it).is_some();
    let intervals = sections.intervals.entries.iter().map(|it| &it.value);
    let tolerances = sections.tolerances.entries.iter().map(|it| &it.value);
    let known: Vec<&str> = intervals
        .map(|it| it.key.as_str())
        .chain(tolerances.filter(|it| of(it)).map(|it| it.key.as_str()))
        .collect();
    for rule in &sections.rules.entries {
        let Some(at) = rule.at else { continue };
        let texts = [&rule.value.meaning, &rule.value.remedy];
        for place in texts.into_iter().flat_map(|it| places(it)) {
            let key = place.trim_matches(['{', '}']);
            // Of one that every rule set has it is said already that it is missing.
            let missing = INTERVAL_KEYS.contains(&key) || TOLERANCE_KEYS.contains(&key);
            if !known.contains(&key) && !missing {
                let what = format!(
                    "rule `{}` has `{place}`, which is no number",
                    rule.value.key
                );
                let right = match super::read::nearest(key, &known) {
                    Some(near) => format!("did you mean `{{{near}}}`?"),
                    None => "name an interval or a tolerance".to_owned(),
                };
                reader.problem(at, what, right);
            }
        }
    }
}

impl RuleSet {
    fn numbers(&self) -> Vec<(String, String)> {
        let intervals = self.intervals.iter();
        let intervals = intervals.map(|it| (&it.key, interval_words(it)));
        let tolerances = self.tolerances.iter();
        let tolerances = tolerances.filter_map(|it| Some((&it.key, tolerance_words(it)?)));
        let all = intervals.chain(tolerances);
        all.map(|(key, words)| (format!("{{{key}}}"), words))
            .collect()
    }

    /// The sentences with their numbers.
    pub(super) fn with_numbers(mut self) -> RuleSet {
        let numbers = self.numbers();
        for rule in self.rules.iter_mut().chain(&mut self.elsewhere.rules) {
            rule.meaning = filled(&rule.meaning, &numbers);
            rule.remedy = filled(&rule.remedy, &numbers);
        }
        self
    }

    /// The text of its file with the numbers in their places, as a ledger keeps it.
    pub(super) fn fill_in(&self, text: &str) -> String {
        filled(text, &self.numbers())
    }

    /// Says sentences that cite this rule set with the section numbers of an authority.
    pub fn as_said_by<'a>(&'a self, authority: &'a Authority) -> impl Fn(&str) -> String + 'a {
        let parts = self.parts();
        move |text| authority.cite_within(self.root(), &parts, text)
    }

    /// Its sentences with their section numbers as an authority has them.
    pub(super) fn say_as(&mut self, authority: &Authority, parts: &BTreeSet<String>) {
        let root = self.root().to_owned();
        let say = |text: &mut String| *text = authority.cite_within(&root, parts, text);
        for rule in &mut self.rules {
            say(&mut rule.meaning);
            say(&mut rule.remedy);
        }
        self.levels.iter_mut().for_each(|it| say(&mut it.meaning));
        self.intervals
            .iter_mut()
            .for_each(|it| say(&mut it.meaning));
        self.tolerances
            .iter_mut()
            .for_each(|it| say(&mut it.meaning));
        self.retention
            .iter_mut()
            .for_each(|it| say(&mut it.meaning));
        self.pregnancy
            .iter_mut()
            .for_each(|it| say(&mut it.meaning));
        self.cautions.iter_mut().for_each(|it| say(&mut it.what));
        let removed = self.removed.iter_mut();
        removed.for_each(|it| it.what.iter_mut().for_each(say));
    }

    /// The beginnings of the sections that it cites: `34.` of `10 CFR 34.25(b)`.
    pub(super) fn parts(&self) -> BTreeSet<String> {
        let root = self.root();
        let mut parts = BTreeSet::new();
        let mapped = self.authorities.iter().flat_map(|it| &it.citations);
        let mapped = mapped.map(|(from, _)| from);
        for citation in super::open::every_citation(self).into_iter().chain(mapped) {
            let Some(rest) = citation.strip_prefix(root) else {
                continue;
            };
            for (_, part) in sections(rest) {
                let part = part.trim_start();
                let part = part.strip_prefix(root).unwrap_or(part).trim_start();
                if let Some((number, rest)) = part.split_once('.')
                    && !number.is_empty()
                    && number.bytes().all(|it| it.is_ascii_digit())
                    && (rest.is_empty() || rest.starts_with(|it: char| it.is_ascii_digit()))
                {
                    parts.insert(format!("{number}."));
                }
            }
        }
        parts
    }
}

/// How long a list of whole parts is at the beginning of a text: `Parts 19, 20 and 34`.
fn parts_length(text: &str) -> usize {
    let digits = |text: &str| text.bytes().take_while(u8::is_ascii_digit).count();
    let Some(mut rest) = text.strip_prefix("Parts ") else {
        return 0;
    };
    loop {
        rest = rest.get(digits(rest)..).unwrap_or_default();
        let next = rest
            .strip_prefix(", ")
            .or_else(|| rest.strip_prefix(" and "));
        match next.filter(|it| digits(it) > 0) {
            Some(next) => rest = next,
            None => return text.len() - rest.len(),
        }
    }
}

impl Authority {
    /// A sentence whose section numbers are those of this authority; `parts` are the beginnings of
    /// the sections of the rule set `of`.
    pub(crate) fn cite_within(&self, of: &str, parts: &BTreeSet<String>, text: &str) -> String {
        if !self.equivalent {
            return text.to_owned();
        }
        let mut out = String::new();
        let mut rest = text;
        while let Some(at) = rest.find(|it: char| it.is_ascii_digit()) {
            let (before, from) = rest.split_at_checked(at).unwrap_or((rest, ""));
            out.push_str(before);
            let named = from.strip_prefix(of).and_then(|it| it.strip_prefix(' '));
            let section = named.unwrap_or(from);
            let joined = out.ends_with(|it: char| it.is_alphanumeric() || "-./".contains(it))
                || out.ends_with("CFR ");
            let length = match section_length(section) {
                _ if joined => 0,
                0 => named.map_or(0, parts_length),
                length if parts.iter().any(|it| section.starts_with(it)) => length,
                _ => 0,
            };
            let (number, after) = match length > 0 {
                true => section.split_at_checked(length).unwrap_or((section, "")),
                false => {
                    let digits = from.bytes().take_while(u8::is_ascii_digit).count();
                    let (number, after) = from.split_at_checked(digits).unwrap_or((from, ""));
                    out.push_str(number);
                    rest = after;
                    continue;
                }
            };
            let whole = format!("{of} {number}");
            let told = match out.ends_with("equivalent of ") {
                true => whole,
                false => self.cite(of, &whole),
            };
            // `meets the state equivalent of`, and `(state equivalent of`.
            let runs_on = out
                .strip_suffix(' ')
                .is_some_and(|it| it.ends_with(char::is_alphabetic) && !it.ends_with(" the"));
            if runs_on && told.starts_with("state ") {
                out.push_str("the ");
            }
            out.push_str(&told);
            rest = after;
        }
        out.push_str(rest);
        out
    }
}
