//! From the text of a rule set file to a rule set, or to everything that is wrong with it.

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::check;
use super::draft::{Keyed, Section, Sections};
use super::elsewhere::{self};
use super::entry::{interval, level, pregnancy, rule, tolerance};
use super::event_entry::{authority, category, event, fact, notification, pairs};
use super::form_entry::{bands, form};
use super::head::{Head, Start, extends, head};
use super::plain::plain;
use super::problem::RuleSetProblems;
use super::read::{Fields, Found, Reader};
use super::removed::{removed, take_away};
use super::retention::retention;
use super::rule_set::{Elsewhere, RuleSet};
use super::shelf::{ReadBeside, Shelf};

impl RuleSet {
    /// Reads a rule set file. A file with `extends` starts from that built-in rule set and adds to
    /// it or overrides it by key.
    ///
    /// # Errors
    /// Everything that is wrong with the file, each with line, column and what would be right.
    pub fn parse(text: &str) -> Result<Self, RuleSetProblems> {
        whole(text, Needs::EveryKey)
    }

    /// Reads the text of a rule set that was adopted, perhaps under an earlier version of this
    /// program: what a later version asks for besides may be missing, or an upgrade would make
    /// the ledger unreadable.
    ///
    /// # Errors
    /// As [`RuleSet::parse`], without what is missing.
    pub fn parse_adopted(text: &str) -> Result<Self, RuleSetProblems> {
        whole(text, Needs::WhatItHas)
    }

    /// Reads a rule set file for adoption, and gives the text that the ledger keeps: the file
    /// itself, or for a file with `extends` the whole of it written out, so that a later version
    /// of the built-in rule set changes nothing that was adopted. `beside` reads the files that it
    /// starts from.
    ///
    /// # Errors
    /// As [`RuleSet::parse`].
    pub fn parse_for_adoption(
        text: &str,
        beside: &ReadBeside<'_>,
    ) -> Result<(Self, String), RuleSetProblems> {
        let text = plain(text)?;
        let shelf = Shelf::new(base, Some(beside));
        read(&text, Needs::EveryKey, &shelf).map(|(rule_set, extended)| {
            let rule_set = rule_set.with_numbers();
            let kept = match extended {
                true => rule_set.to_toml(),
                false => rule_set.fill_in(&text),
            };
            (rule_set, kept)
        })
    }
}

fn base(text: &str, shelf: &Shelf<'_>) -> Result<RuleSet, RuleSetProblems> {
    read(text, Needs::EveryKey, shelf).map(|it| it.0)
}

fn whole(text: &str, needs: Needs) -> Result<RuleSet, RuleSetProblems> {
    let (rule_set, _) = read(text, needs, &Shelf::new(base, None))?;
    Ok(rule_set.with_numbers())
}

/// What a text must have.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Needs {
    /// Every key that the checks ask for.
    EveryKey,
    /// What it has.
    WhatItHas,
}

/// The rule set with the places of its sentences still open, and whether it started from another.
fn read(text: &str, needs: Needs, shelf: &Shelf<'_>) -> Result<(RuleSet, bool), RuleSetProblems> {
    let (mut reader, document) = Reader::open(text);
    let mut fields = Fields::new("the file".to_owned(), 0, document.get_ref());
    let start = extends(&mut reader, &mut fields, shelf);
    let base = match &start {
        Start::From(base) => Some(base.as_ref()),
        Start::Empty | Start::Unknown => None,
    };
    let head = head(&mut reader, &mut fields, &start);
    let mut sections = Sections::over(base);
    read_sections(&mut reader, &mut fields, &mut sections);
    let written = written_elsewhere(&mut reader, &mut fields);
    fields.finish(&mut reader);
    let by = head.as_ref().filter(|_| base.is_some());
    take_away(&mut reader, &mut sections, by.map(|it| it.key.as_str()));
    if needs == Needs::EveryKey && !matches!(start, Start::Unknown) {
        check::complete(&mut reader, &sections);
    }
    check::consistent(&mut reader, &sections);
    let clean = reader.is_clean();
    match (head, clean) {
        (Some(head), true) => Ok((build(head, sections, base, written), base.is_some())),
        _ => {
            // A head without a complaint cannot be missing; should it be, the file is refused
            // all the same.
            if clean {
                let what = "the head of the file is not readable".to_owned();
                reader.problem(0, what, "begin with `rule_set = \"...\"`".to_owned());
            }
            Err(RuleSetProblems::of(reader.into_problems()))
        }
    }
}

fn read_sections(reader: &mut Reader<'_>, fields: &mut Fields<'_, '_>, all: &mut Sections) {
    each(reader, fields, "level", &mut all.levels, level);
    each(reader, fields, "interval", &mut all.intervals, interval);
    each(reader, fields, "tolerance", &mut all.tolerances, tolerance);
    each(reader, fields, "rule", &mut all.rules, rule);
    each(reader, fields, "event", &mut all.events, event);
    each(
        reader,
        fields,
        "notice",
        &mut all.notifications,
        notification,
    );
    each(reader, fields, "fact", &mut all.facts, fact);
    each(reader, fields, "category", &mut all.categories, category);
    let authorities = &mut all.authorities;
    each(reader, fields, "authority", authorities, authority);
    each(reader, fields, "retention", &mut all.retention, retention);
    each(reader, fields, "remove", &mut all.removed, removed);
    pregnancy(reader, fields, all);
    form(reader, fields, all);
    bands(reader, fields, all);
}

/// What a rule set that was written out whole says of what holds of it elsewhere.
fn written_elsewhere(reader: &mut Reader<'_>, fields: &mut Fields<'_, '_>) -> Elsewhere {
    let mut rules = Section::over(&[]);
    let mut tolerances = Section::over(&[]);
    let mut notifications = Section::over(&[]);
    each(reader, fields, "elsewhere_rule", &mut rules, rule);
    each(
        reader,
        fields,
        "elsewhere_tolerance",
        &mut tolerances,
        tolerance,
    );
    each(
        reader,
        fields,
        "elsewhere_notice",
        &mut notifications,
        notification,
    );
    Elsewhere {
        rules: rules.into_values(),
        tolerances: tolerances.into_values(),
        notifications: notifications.into_values(),
        without: pairs(reader, fields, "not_elsewhere").unwrap_or_default(),
    }
}

fn build(head: Head, sections: Sections, base: Option<&RuleSet>, written: Elsewhere) -> RuleSet {
    let jurisdiction = head.jurisdiction.as_deref();
    let elsewhere = base.map_or(written, |base| {
        let own_law = jurisdiction.is_some_and(|it| !base.is_for(it));
        let mut authorities = sections.authorities.entries.iter().map(|it| &it.value);
        let own = authorities.find(|it| jurisdiction.is_some_and(|own| it.is_of(own)));
        elsewhere::over(
            base,
            &sections,
            (own_law, own.is_some_and(|it| it.equivalent)),
        )
    });
    let mut rule_set = RuleSet {
        key: head.key,
        title: head.title,
        unit: head.unit,
        si_in_parentheses: head.si_in_parentheses,
        confirm: head.confirm,
        year_start: head.year_start,
        based_on: head.based_on,
        through: head.through,
        elsewhere,
        jurisdiction: head.jurisdiction,
        levels: sections.levels.into_values(),
        pregnancy: sections.pregnancy.map(|rule| rule.value),
        form: sections.form,
        bands: sections.bands,
        intervals: sections.intervals.into_values(),
        tolerances: sections.tolerances.into_values(),
        rules: sections.rules.into_values(),
        events: sections.events.into_values(),
        facts: sections.facts.into_values(),
        notifications: sections.notifications.into_values(),
        categories: sections.categories.into_values(),
        authorities: sections.authorities.into_values(),
        retention: sections.retention.into_values(),
        removed: sections.removed.into_values(),
        cautions: head.cautions,
    };
    if let Some(base) = base {
        // What the files between say of themselves stands, too.
        rule_set.cautions.extend(base.cautions.iter().cloned());
        let found = super::compare::compare(base, &rule_set);
        rule_set.cautions.extend(found);
    }
    rule_set
}

/// Reads every `[[name]]` into its section.
pub(super) fn each<T: Keyed + Clone>(
    reader: &mut Reader<'_>,
    fields: &mut Fields<'_, '_>,
    name: &'static str,
    section: &mut Section<T>,
    one: fn(&mut Reader<'_>, &mut Fields<'_, '_>, String) -> Option<T>,
) {
    let Some(value) = fields.take(name) else {
        return;
    };
    let tables: Option<Vec<(usize, &DeTable<'_>)>> = value.get_ref().as_array().and_then(|array| {
        let table = |one: &'_ Spanned<DeValue<'_>>| one.get_ref().is_table();
        array.iter().all(table).then(|| {
            let each = array.iter();
            each.filter_map(|one| Some((one.span().start, one.get_ref().as_table()?)))
                .collect()
        })
    });
    let Some(tables) = tables else {
        let what = format!("`{name}` is not a list of sections");
        let right = format!("begin each with `[[{name}]]` in double brackets");
        reader.problem(value.span().start, what, right);
        return;
    };
    for (at, table) in tables {
        let mut entry = Fields::new(format!("this {name}"), at, table);
        let key = key(reader, &mut entry, name, section);
        let read = key.as_ref().map(|key| {
            entry.name = format!("{name} `{}`", key.value);
            key.value.clone()
        });
        // An entry without a key is read all the same, for its other problems.
        let value = one(reader, &mut entry, read.clone().unwrap_or_default());
        entry.finish(reader);
        if let (Some(value), Some(_)) = (value, read) {
            section.put(value, at);
        }
    }
}

/// The key of an entry, if it is one and no other entry of the file has it.
fn key<T: Keyed + Clone>(
    reader: &mut Reader<'_>,
    entry: &mut Fields<'_, '_>,
    name: &str,
    section: &mut Section<T>,
) -> Option<Found<String>> {
    let right = "name it in small letters and hyphens, as `key = \"our-own\"`";
    let key = entry.must(reader, "key", right)?;
    let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    if !key.value.chars().all(plain) {
        let what = format!("`{}` is not a key", key.value);
        let right = "use small letters a to z, digits and hyphens".to_owned();
        reader.problem(key.at, what, right);
        return None;
    }
    if let Some((_, first)) = section.told.iter().find(|(told, _)| *told == key.value) {
        let line = reader.line(*first);
        let what = format!("there are two {name}s with the key `{}`", key.value);
        reader.problem(
            key.at,
            what,
            format!("the first is on line {line}: rename one"),
        );
        return None;
    }
    section.told.push((key.value.clone(), key.at));
    Some(key)
}
