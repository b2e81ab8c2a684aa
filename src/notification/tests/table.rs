//! Facts in, duties and deadlines out: the published rules with a near miss on either side.
//!
//! The rows stand in `duties.txt`: what happened, separated by spaces; the answers, `+` yes and
//! `-` no, or `.`; the dose of W07, whose limit is 5 rem, or `?` for one that nobody measured; the
//! duty; how it stands; by when, `=` for no deadline, `*` where it is not looked at. A line `@ KEY`
//! names the rule set of the rows below it, at first that of 10 CFR. It occurred on
//! 1 March at 13:40 and was discovered on 3 March at 8:00, in Chicago; doses became known on
//! 10 March at 10:00.

use super::doses::left;
use super::*;

const TABLE: &str = include_str!("duties.txt");

pub(super) fn asked(happened: &str, answers: &str, dose_text: &str) -> Facts {
    let mut asked = facts("none");
    asked.happenings.clear();
    for (nth, word) in happened.split_whitespace().enumerate() {
        let key = match word {
            "cause" => crate::rule::FAILED_COMPONENT,
            "category-2" | "category-3" => {
                asked.category = Some(Category {
                    two: word == "category-2",
                    one: false,
                    words: word.to_owned(),
                });
                continue;
            }
            word => word,
        };
        asked.happenings.push(Happening {
            key: key.to_owned(),
            entry: 10 + nth as i64,
            at: None,
        });
    }
    for word in answers.split_whitespace() {
        answer(&mut asked, &word[1..], word.starts_with('+'));
    }
    asked.limits = vec![left("5 rem", "0 rem")];
    match dose_text {
        "?" => {
            asked.doses.clear();
            asked.unmeasured = vec![Unmeasured {
                person: "W07".to_owned(),
                quantities: vec![
                    Quantity::Deep,
                    Quantity::Lens,
                    Quantity::Shallow,
                    Quantity::Extremity,
                ],
            }];
        }
        text => asked.doses = vec![dose(Quantity::Deep, text)],
    }
    asked
}

#[test]
fn each_duty_arises_and_ends_as_its_rule_says() {
    let rows = TABLE.lines().filter(|it| !it.starts_with('#'));
    let mut rules = rule_set("10 CFR");
    let mut count = 0;
    for row in rows {
        if let Some(key) = row.strip_prefix("@ ") {
            rules = rule_set(key);
            continue;
        }
        let cells: Vec<&str> = row.split(" | ").collect();
        let [happened, answers, dose_text, duty, stands, by] = cells.try_into().expect(row);
        let answers = answers.trim_matches('.');
        let found = notifications(&rules, &asked(happened, answers, dose_text));
        let state = one(&found, duty);
        let word = format!("{:?}", state.applies).to_lowercase();
        assert_eq!(word, stands, "{row}: {state:#?}");
        match by {
            "*" => {}
            "=" => assert_eq!(state.deadline, None, "{row}"),
            by => assert_eq!(state.deadline, Some(at(by)), "{row}"),
        }
        assert!(state.because.len() + state.unanswered.len() > 0, "{row}");
        count += 1;
    }
    assert!(count >= 60, "{count}");
}

#[test]
fn a_disconnect_comes_to_at_most_six_reports() {
    let found = us(&asked("disconnect", "", "1 mrem"));
    let mut reports: Vec<&str> = found
        .duties
        .iter()
        .filter(|it| it.is_open())
        .map(|it| it.report.as_str())
        .collect();
    reports.sort_unstable();
    reports.dedup();
    assert!(reports.len() <= 6, "{reports:?}");
}
