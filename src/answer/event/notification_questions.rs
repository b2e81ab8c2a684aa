//! What is asked about an event: what nobody answered, and what is taken to be so.

use serde::Serialize;

use super::notification_line::Told;
use crate::rule::RuleSet;

/// A question of a rule that nobody answered.
#[derive(Debug, Clone, Serialize)]
pub struct NotificationQuestion {
    /// Its key.
    pub key: String,
    /// The question.
    pub text: String,
    /// The duties that ask it.
    pub of: Vec<String>,
}

/// What is asked of the open duties, each once.
pub(crate) fn questions(told: &Told<'_>) -> Vec<NotificationQuestion> {
    let mut all: Vec<NotificationQuestion> = Vec::new();
    let mut add = |key: &str, text: String, duty: &str| {
        let at = match all.iter().position(|it| it.key == key) {
            Some(at) => at,
            None => {
                all.push(NotificationQuestion {
                    key: key.to_owned(),
                    text,
                    of: Vec::new(),
                });
                all.len() - 1
            }
        };
        if let Some(it) = all.get_mut(at)
            && !it.of.iter().any(|it| it == duty)
        {
            it.of.push(duty.to_owned());
        }
    };
    for duty in &told.notifications.duties {
        for question in &duty.unanswered {
            add(&question.key, question.text.clone(), &duty.duty);
        }
        if !duty.unmeasured.is_empty() {
            let text = format!(
                "the dose of {} was not measured: may it have been {}?",
                duty.unmeasured.join(", "),
                so_much(told.rule_set, &duty.duty)
            );
            add(&duty.duty, text, &duty.duty);
        }
    }
    all
}

/// From which doses on a duty arises.
fn so_much(rule_set: &RuleSet, duty: &str) -> String {
    let Some(duty) = rule_set.duty(duty) else {
        return "enough for this duty".to_owned();
    };
    let limit = duty.above_a_limit.then(|| "above a limit".to_owned());
    let doses = duty.doses.iter().map(|it| {
        let (name, dose) = (rule_set.terms().short(it.quantity), rule_set.print(it.dose));
        match it.at_or_above {
            true => format!("{name} {dose} or more"),
            false => format!("{name} above {dose}"),
        }
    });
    limit
        .into_iter()
        .chain(doses)
        .collect::<Vec<_>>()
        .join(", ")
}

/// What of the open duties rests on something that nobody said.
pub(crate) fn assumed(told: &Told<'_>) -> Vec<NotificationQuestion> {
    let turn_on = |key: &String| -> Vec<String> {
        let mut open: Vec<String> = Vec::new();
        for state in told.notifications.duties.iter().filter(|it| it.is_open()) {
            let duty = told.rule_set.duty(&state.duty);
            if duty.is_some_and(|it| it.turns_on(key)) && !open.contains(&state.duty) {
                open.push(state.duty.clone());
            }
        }
        open
    };
    let facts = told.notifications.facts.iter().filter(|it| it.assumed);
    let all = facts.map(|it| NotificationQuestion {
        key: it.key.clone(),
        text: it.text.clone(),
        of: turn_on(&it.key),
    });
    all.filter(|it| !it.of.is_empty()).collect()
}
