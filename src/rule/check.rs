//! What a rule set must have, and what in it cannot be true at once.

use super::draft::{Draft, Keyed, Section, Sections};
use super::event::{Duty, FAILED_COMPONENT};
use super::known::{INTERVAL_KEYS, OPTIONAL_RULE_KEYS, RULE_KEYS, TOLERANCE_KEYS, tolerance_field};
use super::level::{Level, LevelWindow};
use super::read::{Reader, nearest};
use super::word::{AppliesTo, LevelType};
use crate::calendar::Window;

/// Says what a rule set lacks that the checks ask for.
pub(super) fn complete(reader: &mut Reader<'_>, sections: &Sections) {
    if sections.levels.entries.is_empty() && sections.levels.told.is_empty() {
        let right = "give at least one `[[level]]`, or start with `extends = \"10 CFR\"`";
        reader.missing(0, "the file has no level".to_owned(), right.to_owned());
    }
    let kept =
        |keys: &[&str], has: &dyn Fn(&str) -> bool| keys.iter().filter(|key| has(key)).count();
    let has = kept(INTERVAL_KEYS, &|key| sections.intervals.has(key))
        + kept(TOLERANCE_KEYS, &|key| sections.tolerances.has(key))
        + kept(RULE_KEYS, &|key| sections.rules.has(key));
    let all = INTERVAL_KEYS.len() + TOLERANCE_KEYS.len() + RULE_KEYS.len();
    if has * 2 < all {
        let what = format!(
            "the file has {has} of the {all} intervals, tolerances and rules that the checks ask \
             for"
        );
        let right = "start with `extends = \"10 CFR\"` or another built-in rule set, and give what \
                     differs";
        reader.missing(0, what, right.to_owned());
        return;
    }
    lacks(reader, "interval", INTERVAL_KEYS, &sections.intervals);
    lacks(reader, "tolerance", TOLERANCE_KEYS, &sections.tolerances);
    lacks(reader, "rule", RULE_KEYS, &sections.rules);
    for (key, at) in &sections.rules.told {
        let known = |it: &&str| *it == key;
        let mut all = RULE_KEYS.iter().chain(OPTIONAL_RULE_KEYS).copied();
        if all.any(|it| known(&it)) {
            continue;
        }
        let keys: Vec<&str> = RULE_KEYS
            .iter()
            .chain(OPTIONAL_RULE_KEYS)
            .copied()
            .collect();
        let right = match nearest(key, &keys) {
            Some(near) => format!("did you mean `{near}`?"),
            None => "name a rule that a check asks for, as `rules show` lists them".to_owned(),
        };
        reader.problem(*at, format!("no check asks for a rule `{key}`"), right);
    }
}

fn lacks<T: Keyed + Clone>(
    reader: &mut Reader<'_>,
    name: &str,
    keys: &[&str],
    section: &Section<T>,
) {
    for key in keys.iter().filter(|key| !section.has(key)) {
        let what = format!("the file has no {name} `{key}`");
        let right = format!("add a `[[{name}]]` with that key, or start with `extends`");
        reader.missing(0, what, right);
    }
}

/// Says what contradicts itself.
pub(super) fn consistent(reader: &mut Reader<'_>, sections: &Sections) {
    let levels = &sections.levels.entries;
    for (n, level) in levels.iter().enumerate() {
        window_fits(reader, level);
        stop_fits(reader, level);
        stands_for(reader, level, &sections.levels);
        for other in levels.iter().skip(n + 1) {
            agree(reader, level, other);
        }
    }
    pregnancy(reader, sections);
    super::sentence::check_places(reader, sections);
    notifications(reader, sections);
    facts(reader, sections);
    for tolerance in &sections.tolerances.entries {
        let given = tolerance.value.value.field();
        if let (Some(at), Some(field)) = (tolerance.at, tolerance_field(&tolerance.value.key))
            && field != given
        {
            let what = format!("`{}` is given as `{given}`", tolerance.value.key);
            reader.problem(at, what, format!("give it as `{field}`"));
        }
    }
}

/// A notice is of kinds that there are, and follows one that there is.
fn notifications(reader: &mut Reader<'_>, sections: &Sections) {
    for notification in &sections.notifications.entries {
        let Some(at) = notification.at else { continue };
        let duty = &notification.value;
        for kind in duty.of.iter().filter(|kind| !sections.events.has(kind)) {
            let what = format!("notice `{}` is of `{kind}`, which is no event", duty.key);
            let right = "name the key of an `[[event]]`".to_owned();
            reader.problem(at, what, right);
        }
        for fact in duty
            .when
            .iter()
            .flatten()
            .filter(|it| !sections.facts.has(it))
        {
            let what = format!("notice `{}` turns on `{fact}`, which is no fact", duty.key);
            let right = "name the key of a `[[fact]]`".to_owned();
            reader.problem(at, what, right);
        }
        for (key, fact) in &duty.contents_if {
            let known = duty.contents.iter().any(|it| it.key == *key);
            if !known || !sections.facts.has(fact) {
                let what = format!(
                    "notice `{}` has no content `{key}` or there is no fact `{fact}`",
                    duty.key
                );
                let right = "name a key of `contents` and the key of a `[[fact]]`".to_owned();
                reader.problem(at, what, right);
            }
        }
        if let Some(after) = duty
            .after
            .as_ref()
            .filter(|it| !sections.notifications.has(it))
        {
            let what = format!(
                "notice `{}` follows `{after}`, which is no notice",
                duty.key
            );
            let right = "name the key of another `[[notice]]`".to_owned();
            reader.problem(at, what, right);
        }
        if waits_for_itself(duty, sections) {
            let what = format!("notice `{}` follows itself in the end", duty.key);
            let right = "let the first of them follow no other: its clock would never start";
            reader.problem(at, what, right.to_owned());
        }
    }
}

/// A fact hangs on happenings that there are.
fn facts(reader: &mut Reader<'_>, sections: &Sections) {
    for fact in &sections.facts.entries {
        let Some(at) = fact.at else { continue };
        let fact = &fact.value;
        let all = [&fact.yes_if, &fact.no_if, &fact.assumed_if, &fact.asked_if];
        let all = all.into_iter().flatten();
        for kind in all.filter(|it| *it != FAILED_COMPONENT && !sections.events.has(it)) {
            let what = format!("fact `{}` hangs on `{kind}`, which is no event", fact.key);
            let right = format!("name the key of an `[[event]]`, or `{FAILED_COMPONENT}`");
            reader.problem(at, what, right);
        }
    }
    for authority in &sections.authorities.entries {
        let Some(at) = authority.at else { continue };
        let times = authority.value.times.iter();
        for (key, _) in times.filter(|(key, _)| !sections.notifications.has(key)) {
            let key_of = &authority.value.key;
            let what = format!("authority `{key_of}` has a time for `{key}`, which is no notice");
            reader.problem(at, what, "name the key of a `[[notice]]`".to_owned());
        }
    }
}

/// Whether a notice follows one that follows it.
fn waits_for_itself(duty: &Duty, sections: &Sections) -> bool {
    let entries = &sections.notifications.entries;
    let mut before = duty.after.as_ref();
    for _ in entries {
        let Some(key) = before else { return false };
        if *key == duty.key {
            return true;
        }
        let next = entries.iter().find(|it| it.value.key == *key);
        before = next.and_then(|it| it.value.after.as_ref());
    }
    false
}

/// A shift level sums a shift, a pregnancy is that of a declared one.
fn window_fits(reader: &mut Reader<'_>, level: &Draft<Level>) {
    let Some(at) = level.at else { return };
    let level = &level.value;
    let is_shift = level.window == LevelWindow::Shift;
    if is_shift != (level.kind == LevelType::Shift) {
        let what = format!(
            "level `{}` is of sort `{}` over `{}`",
            level.key, level.kind, level.window
        );
        let right = "sort `shift` and window `shift` go together".to_owned();
        reader.problem(at, what, right);
    }
    let of_pregnancy = matches!(
        level.over(),
        Some(Window::EntirePregnancy | Window::RestOfPregnancy)
    );
    if of_pregnancy && level.applies_to != AppliesTo::DeclaredPregnancy {
        let what = format!(
            "level `{}` sums a pregnancy of `{}`",
            level.key, level.applies_to
        );
        let right = "write `applies_to = \"declared pregnancy\"`".to_owned();
        reader.problem(at, what, right);
    }
}

/// A limit cannot be one that lets people go on, and a shift that is over stops nobody: what a dose
/// of one shift asks for is told with its sheet.
fn stop_fits(reader: &mut Reader<'_>, level: &Draft<Level>) {
    let Some(at) = level.at else { return };
    let level = &level.value;
    let (what, right) = match (level.kind, level.stops) {
        (LevelType::Limit, Some(false)) => (
            "is a limit that stops no one",
            "leave `stops` out: reaching a limit always stops work",
        ),
        (LevelType::Shift, Some(true)) => (
            "is of one shift and stops",
            "mark a level over a longer window, as a day's dose cannot fall again",
        ),
        _ => return,
    };
    reader.problem(
        at,
        format!("level `{}` {what}", level.key),
        right.to_owned(),
    );
}

/// A level that stands for another is an authorized one of the same people and quantity.
fn stands_for(reader: &mut Reader<'_>, level: &Draft<Level>, levels: &Section<Level>) {
    let (Some(at), Some(name)) = (level.at, &level.value.instead_of) else {
        return;
    };
    let level = &level.value;
    if !level.needs_authorization {
        let what = format!(
            "level `{}` stands for `{name}` without an authorization",
            level.key
        );
        let right = "write `needs_authorization = true`, or leave `instead_of` out".to_owned();
        reader.problem(at, what, right);
    }
    let other = levels.entries.iter().find(|one| one.value.key == *name);
    let fits = other.map(|one| &one.value).map(|one| {
        one.quantity == level.quantity && one.applies_to == level.applies_to && one.key != level.key
    });
    let what = match fits {
        Some(true) => return,
        None if levels.has(name) => return,
        None => format!(
            "there is no level `{name}` that `{}` can stand for",
            level.key
        ),
        Some(false) => format!("level `{}` cannot stand for `{name}`", level.key),
    };
    let right = "name another level of the same quantity and the same people".to_owned();
    reader.problem(at, what, right);
}

/// Says where two levels cannot both be meant.
fn agree(reader: &mut Reader<'_>, one: &Draft<Level>, other: &Draft<Level>) {
    // Told at the later one that this file gives; two of a base are the base's own affair.
    let Some(at) = other.at.max(one.at) else {
        return;
    };
    let Some((what, right)) = contradiction(&one.value, &other.value) else {
        return;
    };
    reader.problem(at, what, right);
}

fn contradiction(one: &Level, other: &Level) -> Option<(String, String)> {
    if one.quantity != other.quantity || one.needs_authorization != other.needs_authorization {
        return None;
    }
    let both_limits = one.kind == LevelType::Limit && other.kind == LevelType::Limit;
    let name = |level: &Level| {
        let unit = crate::quantity::DoseUnit::MilliSievert;
        format!(
            "`{}` ({}, {})",
            level.key,
            level.window,
            level.dose.display(unit)
        )
    };
    let both = format!("{} and {}", name(one), name(other));
    if one.applies_to != other.applies_to {
        let adult = |level: &Level| level.applies_to == AppliesTo::Adult;
        let young =
            |level: &Level| matches!(level.applies_to, AppliesTo::Minor | AppliesTo::Apprentice);
        let (young, adult) = match (one, other) {
            (a, b) if adult(a) && young(b) => (b, a),
            (a, b) if young(a) && adult(b) => (a, b),
            _ => return None,
        };
        let looser = both_limits && young.window == adult.window && young.dose > adult.dose;
        return looser.then(|| {
            let what = format!("people under 18 have a looser limit than adults: {both}");
            (what, "correct the dose or the window of one".to_owned())
        });
    }
    if one.kind == other.kind && one.window == other.window {
        let what = format!("two levels of one kind say the same or contradict: {both}");
        return (one.kind != LevelType::Investigation && one.kind != LevelType::Administrative)
            .then(|| {
                (
                    what,
                    "keep one; a file with `extends` overrides by key".to_owned(),
                )
            });
    }
    if both_limits {
        let (short, long) = match (length(one), length(other)) {
            (Some(a), Some(b)) if a < b => (one, other),
            (Some(a), Some(b)) if a > b => (other, one),
            _ => return None,
        };
        return (short.dose > long.dose).then(|| {
            let what = format!("the shorter time has the higher limit: {both}");
            (what, "correct the dose or the window of one".to_owned())
        });
    }
    above_the_limit(one, other, &both)
}

/// A level of the site above the limit for the same time is never reached before the limit.
fn above_the_limit(one: &Level, other: &Level, both: &str) -> Option<(String, String)> {
    let (limit, own) = match (one.kind, other.kind) {
        (LevelType::Limit, LevelType::Administrative | LevelType::Investigation) => (one, other),
        (LevelType::Administrative | LevelType::Investigation, LevelType::Limit) => (other, one),
        _ => return None,
    };
    (own.window == limit.window && own.dose > limit.dose).then(|| {
        let what = format!("a level of sort `{}` is above the limit: {both}", own.kind);
        (what, "set it at or below the limit".to_owned())
    })
}

/// Windows in the order of their length; a pregnancy has no place in it.
fn length(level: &Level) -> Option<u8> {
    Some(match level.over() {
        None => 0,
        Some(Window::Month) => 1,
        Some(Window::Quarter) => 2,
        Some(Window::LicenseeYear | Window::CalendarYear | Window::RollingTwelveMonths) => 3,
        Some(Window::AnyFiveYears | Window::FixedFiveYears { .. }) => 4,
        Some(Window::Lifetime) => 5,
        Some(Window::EntirePregnancy | Window::RestOfPregnancy) => return None,
    })
}

/// The budget of a pregnancy belongs to a level of one, and each such level has its budget.
fn pregnancy(reader: &mut Reader<'_>, sections: &Sections) {
    let levels = &sections.levels.entries;
    let is_budgeted = |level: &Level| {
        matches!(
            level.over(),
            Some(Window::EntirePregnancy | Window::RestOfPregnancy)
        )
    };
    let Some(rule) = &sections.pregnancy else {
        let unbudgeted = levels.iter().find(|level| is_budgeted(&level.value));
        if let Some(at) = unbudgeted.and_then(|level| level.at) {
            let what = "a limit for a pregnancy without its budget".to_owned();
            let right = "add `[pregnancy]` with `level`, `citation`, `status` and `meaning`";
            reader.missing(at, what, right.to_owned());
        }
        return;
    };
    let level = levels.iter().find(|one| one.value.key == rule.value.level);
    let Some(level) = level else { return };
    let Some(at) = rule.at.max(level.at) else {
        return;
    };
    if !is_budgeted(&level.value) {
        let what = format!("level `{}` does not sum a pregnancy", level.value.key);
        let right = "its window is `entire pregnancy` or `rest of pregnancy`".to_owned();
        reader.problem(at, what, right);
    } else if rule
        .value
        .floor
        .is_some_and(|floor| floor > rule.value.total)
    {
        let what = format!("the floor is above the limit of `{}`", level.value.key);
        reader.problem(at, what, "set it below that limit".to_owned());
    }
}
