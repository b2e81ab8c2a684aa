//! What the RSO should know about a scheme file that is readable all the same.

use super::known::{INTERVAL_KEYS, RULE_KEYS, TOLERANCE_KEYS, is_looser};
use super::offer;
use super::read::nearest;
use super::scheme::{IntervalRule, Level, Scheme};
use super::word::{LevelSort, Reached};

/// A point of a site's own file that an RSO should look at before adopting it: a limit looser
/// than the one it started from, a longer interval, a key that the program does not use.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
pub struct Caution {
    /// The key it is about.
    pub about: String,
    /// What is to be looked at, in one line.
    pub what: String,
}

impl std::fmt::Display for Caution {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "`{}`: {}", self.about, self.what)
    }
}

/// What is looser in a site's own scheme than in the one it started from, or has no effect.
pub(super) fn compare(base: &Scheme, site: &Scheme) -> Vec<Caution> {
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
    for tolerance in &base.tolerances {
        let own = site.tolerance(&tolerance.key);
        if own.is_some_and(|own| is_looser(&own.key, own.value, tolerance.value)) {
            say(&tolerance.key, format!("is looser than in `{}`", base.key));
        }
    }
    unused(base, site, &mut say);
    found
}

/// How a level of the base is no longer held, if it is not. Some level of the site's scheme must
/// bite wherever it did.
fn loosened(base: &Scheme, level: &Level, site: &Scheme) -> Option<String> {
    let held = |own: &&Level| {
        own.quantity == level.quantity
            && own.applies_to == level.applies_to
            && own.window == level.window
            && own.sort == level.sort
            && own.needs_authorization == level.needs_authorization
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
    let sort = if level.sort == LevelSort::Limit {
        "limit"
    } else {
        "level"
    };
    let dose = level.dose.display(base.unit);
    Some(if of_kind.is_empty() {
        format!(
            "the {sort} of {dose} a {} of `{}` is gone",
            level.window, base.key
        )
    } else if low.is_empty() {
        format!("is looser than the {sort} of {dose} in `{}`", base.key)
    } else {
        format!(
            "is not cut by quarters without records as in `{}`",
            base.key
        )
    })
}

fn loosened_budget(base: &Scheme, site: &Scheme) -> Option<String> {
    let before = base.pregnancy.as_ref()?;
    let Some(own) = &site.pregnancy else {
        return Some(format!("the budget of `{}` is gone", base.key));
    };
    let looser = own.floor > before.floor || own.window != before.window;
    looser.then(|| format!("differs from the budget of `{}`", base.key))
}

fn lengthened(base: &Scheme, before: &IntervalRule, own: &IntervalRule) -> Option<String> {
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
fn unused(base: &Scheme, site: &Scheme, say: &mut impl FnMut(&str, String)) {
    let offers: Vec<Scheme> = offer::builtin()
        .iter()
        .filter(|offer| offer.name != base.key)
        .filter_map(|offer| Scheme::parse(offer.text).ok())
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
    for one in &site.rules {
        let known = base.rule(&one.key).is_some()
            || offers.iter().any(|offer| offer.rule(&one.key).is_some());
        check(&one.key, RULE_KEYS, known);
    }
}
