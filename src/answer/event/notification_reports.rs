//! What is to be done about an event, by report: one call or one letter serves several rules.

use std::collections::BTreeSet;

use serde::Serialize;

use super::notification_line::NotificationLine;
use crate::notification::{Applies, DutyState, Progress};
use crate::rule::{Clock, Within};

/// One call or letter, with the duties that it serves.
#[derive(Debug, Clone, Serialize)]
pub struct ReportDue {
    /// Its name, as `report done` takes it.
    pub report: String,
    /// By telephone or in writing.
    pub how: String,
    /// Whom.
    pub to: String,
    /// By when at the latest, of the first of its clocks.
    pub deadline: Option<String>,
    /// How the most pressing stands.
    pub state: Progress,
    /// The state in words.
    pub words: String,
    /// Whether any of its duties surely applies.
    pub applies: bool,
    /// The duties, the most pressing first.
    pub duties: Vec<String>,
}

/// The reports that somebody still has to give, the most pressing first.
pub(crate) fn reports_due(clocks: &[NotificationLine]) -> Vec<ReportDue> {
    let mut all: Vec<ReportDue> = Vec::new();
    // The clocks stand in the order in which they press.
    for it in clocks.iter().filter(|it| it.is_open()) {
        let applies = it.applies == Applies::Yes;
        match all.iter_mut().find(|due| due.report == it.report) {
            Some(due) => {
                due.applies |= applies;
                if !due.duties.contains(&it.duty) {
                    due.duties.push(it.duty.clone());
                }
            }
            None => all.push(ReportDue {
                report: it.report.clone(),
                how: it.how.clone(),
                to: it.to.clone(),
                deadline: it.deadline.clone(),
                state: it.state,
                words: it.words.clone(),
                applies,
                duties: vec![it.duty.clone()],
            }),
        }
    }
    all
}

/// How much is owed: reports, and the duties that they serve. The one count of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OwedCount {
    /// Reports that somebody still has to give, of each event on its own.
    pub reports: usize,
    /// Those of them with a duty that is past.
    pub overdue: usize,
    /// Open duties: one report may serve several.
    pub duties: usize,
}

impl OwedCount {
    /// Counts what of these clocks is open.
    pub fn of(clocks: &[NotificationLine]) -> OwedCount {
        let open = || clocks.iter().filter(|it| it.is_open());
        let name = |it: &NotificationLine| (it.event.clone(), it.report.clone());
        let past = open().filter(|it| it.state == Progress::Overdue);
        OwedCount {
            reports: open().map(name).collect::<BTreeSet<_>>().len(),
            overdue: past.map(name).collect::<BTreeSet<_>>().len(),
            duties: open().count(),
        }
    }
}

/// How long there is, from what, and whose time it is where it is lent.
pub(crate) fn within_words(duty: &DutyState) -> String {
    let from = match duty.clock {
        Clock::FirstReport => "the report before",
        Clock::Test => "the test",
        other => other.name(),
    };
    match duty.within {
        Within::AtOnce => format!("at once, from {from}"),
        Within::WithTheReport => "no later than the report to the authority".to_owned(),
        length => match &duty.time_of {
            Some(of) => format!(
                "{length} from {from}: the time of {of}, for want of one of the authority's own; \
                 ask it"
            ),
            None => format!("{length} from {from}"),
        },
    }
}
