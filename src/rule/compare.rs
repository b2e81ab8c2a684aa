//! What the RSO should know about a rule set file that is readable all the same.

use super::event::{Clock, DoseThreshold, Duty, EventKind, KeyedText, Within};
use super::known::{INTERVAL_KEYS, TOLERANCE_KEYS, is_looser};
use super::level::Level;
use super::offer;
use super::read::nearest;
use super::requirement::IntervalRule;
use super::rule_set::{Caution, RuleSet};
use super::word::{LevelType, Reached};
/// What is looser in a site's own rule set than in the one it started from, or has no effect.
pub(super) fn compare(base: &RuleSet, site: &RuleSet) -> Vec<Caution> {
    let mut found = Vec::new();
    let mut say = |about: &str, what: String| {
        found.push(Caution {
            about: about.to_owned(),
            what,
        });
    };
    for level in &base.levels {
        if let Some(what) = loosened(base, level, site) {
            say(&level.key, what);
        }
    }
    for level in site.levels.iter().filter(|one| one.needs_authorization) {
        if base.level(&level.key) != Some(level) {
            say(
                &level.key,
                format!("adds an authorized level to `{}`", base.key),
            );
        }
    }
    if let Some(what) = loosened_budget(base, site) {
        say("pregnancy", what);
    }
    for interval in &base.intervals {
        let own = site.interval(&interval.key);
        if let Some(what) = own.and_then(|own| lengthened(base, interval, own)) {
            say(&interval.key, what);
        }
    }
    for row in &base.retention {
        let own = site.retention.iter().find(|it| it.key == row.key);
        if own.is_some_and(|own| own.keep.is_shorter(row.keep)) {
            say(&row.key, format!("is kept shorter than in `{}`", base.key));
        }
    }
    for tolerance in &base.tolerances {
        let own = site.tolerance(&tolerance.key);
        if own.is_some_and(|own| is_looser(&own.key, own.value, tolerance.value)) {
            say(&tolerance.key, format!("is looser than in `{}`", base.key));
        }
    }
    for line in base.form.iter().flat_map(|it| &it.items) {
        let mut own = site.form.iter().flat_map(|it| &it.items);
        if !own.any(|it| it.item == line.item) {
            let what = format!(
                "leaves out item {} `{}`, unlike in `{}`",
                line.number, line.label, base.key
            );
            say("form", what);
        }
    }
    for duty in &base.notifications {
        for what in rarer(base, duty, site.duty(&duty.key)) {
            say(&duty.key, what);
        }
    }
    for kind in &base.events {
        let own = site.event(&kind.key);
        if own.is_some_and(|own| is_let_through(kind, own)) {
            let what = format!("leaves equipment in service, unlike in `{}`", base.key);
            say(&kind.key, what);
        }
    }
    unused(base, site, &mut say);
    found
}

/// The levels and limits that another rule set in its place does not hold: the site's own, and
/// those of the law where both started from the same rule set.
pub fn levels_gone(before: &RuleSet, after: &RuleSet) -> Vec<Caution> {
    let root = offer::offer(before.root()).and_then(|it| RuleSet::parse(it.text).ok());
    let of_law = |level: &Level| {
        let known = root.as_ref().and_then(|root| root.level(&level.key));
        (known == Some(level)).then_some(level.kind == LevelType::Limit)
    };
    let same_root = before.root() == after.root();
    let gone = before.levels.iter().filter_map(|level| {
        let mark = match of_law(level) {
            Some(true) if same_root => format!("LIMIT OF THE LAW ({}): ", level.cited()),
            Some(_) => return None,
            None => String::new(),
        };
        Some(Caution {
            about: level.key.clone(),
            what: format!("{mark}{}", loosened(before, level, after)?),
        })
    });
    gone.collect()
}

/// How a notice is told less than in the base, or that it is told no more.
fn rarer(base: &RuleSet, before: &Duty, own: Option<&Duty>) -> Vec<String> {
    match own {
        Some(own) => narrowed(base, before, own),
        None => vec![format!(
            "the duty of `{}` is left out ({})",
            base.key,
            before.cited()
        )],
    }
}

/// How a notice is told later, more rarely or with less than in the base.
fn narrowed(base: &RuleSet, before: &Duty, own: &Duty) -> Vec<String> {
    let mut found = Vec::new();
    let from = |duty: &Duty| match &duty.after {
        Some(after) => format!("`{after}`"),
        None => duty.clock.to_string(),
    };
    // The occurrence comes before whatever else can start a clock, a test apart.
    let earlier = own.clock == Clock::Occurrence && before.clock != Clock::Test;
    if from(own) != from(before) && !earlier {
        found.push(format!(
            "starts at {} and not at {}",
            from(own),
            from(before)
        ));
    }
    if !is_within(own.within, before.within) {
        let (new, old) = (own.within, before.within);
        found.push(format!("is `{new}` and not `{old}`"));
    }
    let lacks = |all: &[KeyedText], one: &KeyedText| !all.iter().any(|it| it.key == one.key);
    // A condition with fewer facts to choose from than each of the base's is one more.
    let conditions = |duty: &Duty| -> Vec<Vec<String>> {
        let asked = duty.questions.iter().map(|it| vec![it.key.clone()]);
        asked.chain(duty.when.iter().cloned()).collect()
    };
    let before_conditions = conditions(before);
    let as_easy = |own: &Vec<String>| {
        let mut base = before_conditions.iter();
        base.any(|it| it.iter().all(|fact| own.contains(fact)))
    };
    let asks = !conditions(own).iter().all(as_easy);
    let kinds = !own.of.is_empty()
        && (before.of.is_empty() || before.of.iter().any(|kind| !own.is_of(kind)));
    if asks || kinds || is_dearer(before, own) {
        found.push("arises more rarely than".to_owned());
    }
    if before.contents.iter().any(|it| lacks(&own.contents, it)) {
        found.push("contains less than".to_owned());
    }
    for what in &mut found {
        let joined = if what.ends_with("than") { "" } else { " as" };
        what.push_str(&format!("{joined} in `{}`", base.key));
    }
    found
}

/// Whether one time is surely no longer than another.
fn is_within(own: Within, before: Within) -> bool {
    let hours = |it: Within| match it {
        Within::AtOnce => Some(0),
        Within::Hours(hours) => Some(hours),
        Within::Days(days) => Some(days * 24),
        Within::WorkingDays(_) | Within::WithTheReport => None,
    };
    match (own, before) {
        (Within::AtOnce, _) => true,
        (Within::WorkingDays(own), Within::WorkingDays(before)) => own <= before,
        // As many working days last at least as long.
        (Within::Days(own), Within::WorkingDays(before)) => own <= before,
        _ if own == before => true,
        _ => hours(own)
            .zip(hours(before))
            .is_some_and(|(own, before)| own <= before),
    }
}

/// Whether a dose that made the notice arise no longer does.
fn is_dearer(before: &Duty, own: &Duty) -> bool {
    let whatever = |duty: &Duty| duty.doses.is_empty() && !duty.above_a_limit;
    if whatever(own) {
        return false;
    }
    let as_low = |old: &DoseThreshold| {
        own.doses.iter().any(|new| {
            new.quantity == old.quantity
                && (new.dose < old.dose
                    || new.dose == old.dose && (new.at_or_above || !old.at_or_above))
        })
    };
    whatever(before)
        || before.above_a_limit && !own.above_a_limit
        || !before.doses.iter().all(as_low)
}

/// Whether an event of the kind no longer keeps equipment from being used.
fn is_let_through(before: &EventKind, own: &EventKind) -> bool {
    before.withdraws && !own.withdraws || before.calls_for_inspection && !own.calls_for_inspection
}

/// How a level of the base is no longer held, if it is not. Some level of the site's rule set must
/// bite wherever it did.
fn loosened(base: &RuleSet, level: &Level, site: &RuleSet) -> Option<String> {
    let held = |own: &&Level| {
        own.quantity == level.quantity
            && own.applies_to == level.applies_to
            && own.window == level.window
            && own.kind == level.kind
            && own.needs_authorization == level.needs_authorization
            && (own.is_stopping() || !level.is_stopping())
    };
    let as_low = |own: &&Level| {
        own.dose <= level.dose
            && (own.reached == level.reached || own.reached == Reached::AtOrAbove)
    };
    let as_cut = |own: &Level| own.cut_by_missing_quarters || !level.cut_by_missing_quarters;
    // An authorized level gives room; taking it away is stricter.
    if level.needs_authorization {
        let wider = site
            .level(&level.key)
            .is_some_and(|own| own.dose > level.dose);
        return wider.then(|| format!("gives more room than in `{}`", base.key));
    }
    let of_kind: Vec<&Level> = site.levels.iter().filter(held).collect();
    let low: Vec<&Level> = of_kind.iter().copied().filter(as_low).collect();
    if low.iter().copied().any(as_cut) {
        return None;
    }
    let kind = if level.kind == LevelType::Limit {
        "limit"
    } else {
        "level"
    };
    let dose = level.dose.display(base.unit);
    Some(if of_kind.is_empty() {
        format!(
            "the {kind} of {dose} a {} of `{}` is gone",
            level.window, base.key
        )
    } else if low.is_empty() {
        format!("is looser than the {kind} of {dose} in `{}`", base.key)
    } else {
        format!(
            "is not cut by quarters without records as in `{}`",
            base.key
        )
    })
}

fn loosened_budget(base: &RuleSet, site: &RuleSet) -> Option<String> {
    let before = base.pregnancy.as_ref()?;
    let Some(own) = &site.pregnancy else {
        return Some(format!("the budget of `{}` is gone", base.key));
    };
    let looser = own.floor > before.floor || own.window != before.window;
    looser.then(|| format!("differs from the budget of `{}`", base.key))
}

fn lengthened(base: &RuleSet, before: &IntervalRule, own: &IntervalRule) -> Option<String> {
    let (new, old) = (own.interval, before.interval);
    if new == old {
        return None;
    }
    let same_kind = std::mem::discriminant(&new) == std::mem::discriminant(&old);
    if same_kind && new.months() <= old.months() {
        return None;
    }
    Some(format!("is `{new}` and not `{old}` as in `{}`", base.key))
}

/// Keys that nothing asks for: most often a slip in the key of something to be overridden.
fn unused(base: &RuleSet, site: &RuleSet, say: &mut impl FnMut(&str, String)) {
    let offers: Vec<RuleSet> = offer::builtin()
        .iter()
        .filter(|offer| offer.name != base.key)
        .filter_map(|offer| RuleSet::parse(offer.text).ok())
        .collect();
    let mut check = |key: &str, asked: &[&str], known: bool| {
        if known || asked.contains(&key) {
            return;
        }
        let near =
            nearest(key, asked).map_or(String::new(), |near| format!("; is `{near}` meant?"));
        say(key, format!("no check asks for this key{near}"));
    };
    for one in &site.intervals {
        let known = base.interval(&one.key).is_some()
            || offers
                .iter()
                .any(|offer| offer.interval(&one.key).is_some());
        check(&one.key, INTERVAL_KEYS, known);
    }
    for one in &site.tolerances {
        let known = base.tolerance(&one.key).is_some()
            || offers
                .iter()
                .any(|offer| offer.tolerance(&one.key).is_some());
        check(&one.key, TOLERANCE_KEYS, known);
    }
}
