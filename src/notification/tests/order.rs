//! The order in which facts became known changes no duty and no deadline.

use std::collections::{BTreeMap, BTreeSet};

use super::table::asked;
use super::*;

/// A few numbers from a seed, the same each time.
struct Draw(u64);

impl Draw {
    fn below(&mut self, end: u64) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        usize::try_from((self.0 >> 33) % end).unwrap()
    }

    fn shuffle<T>(&mut self, all: &mut [T]) {
        for at in (1..all.len()).rev() {
            let other = self.below(at as u64 + 1);
            all.swap(at, other);
        }
    }
}

/// What of a duty may depend on the facts alone.
fn stands(found: &Notifications) -> BTreeSet<String> {
    let words = |it: &DutyState| {
        format!(
            "{} {:?} {:?} {:?} {:?}",
            it.duty, it.applies, it.start, it.deadline, it.state
        )
    };
    found.duties.iter().map(words).collect()
}

#[test]
fn the_order_of_telling_changes_no_duty_and_no_deadline() {
    let rule_set = rule_set("10 CFR");
    let kinds: Vec<&str> = rule_set.events().iter().map(|it| it.key.as_str()).collect();
    let questions: Vec<&str> = rule_set.facts().iter().map(|it| it.key.as_str()).collect();
    let mut several = 0;
    for seed in 0..2_000 {
        let mut draw = Draw(seed);
        let happened: BTreeSet<&str> = (0..1 + draw.below(4))
            .map(|_| kinds[draw.below(kinds.len() as u64)])
            .collect();
        several += usize::from(happened.len() > 1);
        let mut happened: Vec<&str> = happened.into_iter().collect();
        if draw.below(3) == 0 {
            happened.push("cause");
        }
        let answers: BTreeSet<&str> = (0..draw.below(5))
            .map(|_| questions[draw.below(questions.len() as u64)])
            .collect();
        let mut answers: Vec<String> = answers
            .into_iter()
            .map(|it| format!("{}{it}", ["+", "-"][draw.below(2)]))
            .collect();
        let dose = ["1 mrem", "6 rem", "26 rem", "?"][draw.below(4)];
        // Each has a moment of its own, or came with the event.
        let moments: BTreeMap<String, Option<Start>> = happened
            .iter()
            .map(|it| {
                let day = format!("2026-03-0{}T10:00-06:00", 1 + draw.below(7));
                let own = draw.below(2) == 0;
                ((*it).to_owned(), own.then(|| start(&day)))
            })
            .collect();
        let told = |happened: &[&str], answers: &[String]| {
            let mut asked = asked(&happened.join(" "), &answers.join(" "), dose);
            for it in &mut asked.happenings {
                it.at = moments.get(&it.key).cloned().flatten();
            }
            asked
        };
        let one = us(&told(&happened, &answers));
        draw.shuffle(&mut happened);
        draw.shuffle(&mut answers);
        let mut other = told(&happened, &answers);
        // Written down in another order too.
        draw.shuffle(&mut other.happenings);
        draw.shuffle(&mut other.answers);
        assert_eq!(
            stands(&one),
            stands(&us(&other)),
            "{seed}: {happened:?} {answers:?} {dose}"
        );
        // No duty is ever missing.
        for duty in rule_set.notifications() {
            assert!(!of(&one, &duty.key).is_empty(), "{seed}: {}", duty.key);
        }
    }
    assert!(several > 1_000, "{several}");
}
