//! What of a rule set holds at a job under another authority than its own: what the file of a state
//! gives in the place of the text that it started from holds in that state alone.

use super::draft::{Keyed, Section, Sections};
use super::rule_set::{Elsewhere, RuleSet};
use super::written::Text;

/// What one file says of one kind of entries.
struct Told<'a, T> {
    kind: &'static str,
    /// Those of the rule set that it started from.
    base: &'a [T],
    /// The keys that it gives.
    given: Vec<&'a str>,
    /// The keys that it leaves out.
    left_out: Vec<&'a str>,
}

impl<T: Keyed + Clone> Told<'_, T> {
    /// A file of the same authority is the site's own: what it gives holds everywhere, and what it
    /// leaves out only where that authority's rules hold.
    fn over(
        &self,
        own_law: bool,
        out: bool,
        entries: &mut Vec<T>,
        none: &mut Vec<(String, String)>,
    ) {
        let base = |key: &str| self.base.iter().find(|it| it.key() == key);
        let is = |it: &(String, String), key: &str| it.0 == self.kind && it.1 == key;
        for key in &self.given {
            let known = entries.iter().any(|it| it.key() == *key);
            let known = known || none.iter().any(|it| is(it, key));
            match (own_law, base(key)) {
                (true, _) if known => {}
                (true, Some(before)) => entries.push(before.clone()),
                (true, None) => none.push((self.kind.to_owned(), (*key).to_owned())),
                (false, _) => {
                    entries.retain(|it| it.key() != *key);
                    none.retain(|it| !is(it, key));
                }
            }
        }
        for key in self.left_out.iter().filter(|_| out) {
            let known = entries.iter().any(|it| it.key() == *key);
            let known = known || none.iter().any(|it| is(it, key));
            entries.extend(base(key).filter(|_| !known).cloned());
        }
    }
}

fn keys<T: Keyed + Clone>(section: &Section<T>) -> Vec<&str> {
    section.told.iter().map(|it| it.0.as_str()).collect()
}

/// What holds elsewhere of a file that starts from another: `own_law` where it is of another
/// authority than that one, `has_own_rules` where its authority has its rules in the place of
/// those cited.
pub(super) fn over(
    base: &RuleSet,
    sections: &Sections,
    (own_law, has_own_rules): (bool, bool),
) -> Elsewhere {
    let mut it = base.elsewhere.clone();
    let out = keys(&sections.removed);
    let rules = Told {
        kind: "rule",
        base: base.rules.as_slice(),
        given: keys(&sections.rules),
        left_out: Vec::new(),
    };
    rules.over(own_law, false, &mut it.rules, &mut it.without);
    let tolerances = Told {
        kind: "tolerance",
        base: base.tolerances.as_slice(),
        given: keys(&sections.tolerances),
        left_out: Vec::new(),
    };
    tolerances.over(own_law, false, &mut it.tolerances, &mut it.without);
    let notifications = Told {
        kind: "notice",
        base: base.notifications.as_slice(),
        given: keys(&sections.notifications),
        left_out: out,
    };
    notifications.over(
        own_law,
        has_own_rules,
        &mut it.notifications,
        &mut it.without,
    );
    it
}

impl RuleSet {
    /// The rule set as it holds at a job under a jurisdiction: with what its own authority has of
    /// its own only there, and the citations as the authority of the job numbers them. Nothing
    /// where it holds as it is written.
    pub fn at_job(&self, jurisdiction: &str) -> Option<RuleSet> {
        let theirs = self.authority(jurisdiction)?;
        let own = self.jurisdiction().and_then(|it| self.authority(it));
        if own.is_none_or(|it| it.is(&theirs)) || self.elsewhere == Elsewhere::default() {
            return self.under(jurisdiction);
        }
        let mut rule_set = self.clone();
        let it = &self.elsewhere;
        let has =
            |kind: &str, key: &str| !it.without.iter().any(|(of, one)| of == kind && one == key);
        rule_set.rules.retain(|one| has("rule", &one.key));
        rule_set.tolerances.retain(|one| has("tolerance", &one.key));
        rule_set.notifications.retain(|one| has("notice", &one.key));
        replace(&mut rule_set.rules, &it.rules);
        replace(&mut rule_set.tolerances, &it.tolerances);
        replace(&mut rule_set.notifications, &it.notifications);
        rule_set.removed.retain(|one| {
            rule_set
                .notifications
                .iter()
                .all(|duty| duty.key != one.key)
        });
        Some(rule_set.under(jurisdiction).unwrap_or(rule_set))
    }

    pub(super) fn write_elsewhere(&self, out: &mut Text) {
        for one in &self.elsewhere.rules {
            one.write(out, "[[elsewhere_rule]]");
        }
        for one in &self.elsewhere.tolerances {
            self.write_tolerance(out, one, "[[elsewhere_tolerance]]");
        }
        for one in &self.elsewhere.notifications {
            self.write_notification(out, one, "[[elsewhere_notice]]");
        }
    }
}

fn replace<T: Keyed + Clone>(all: &mut Vec<T>, by: &[T]) {
    for one in by {
        match all.iter_mut().find(|it| it.key() == one.key()) {
            Some(place) => *place = one.clone(),
            None => all.push(one.clone()),
        }
    }
}
