//! Causes of an event as they were believed: a component that failed, what people did, or that
//! none was found.

use serde::{Deserialize, Serialize};

use super::event::need_moment;
use super::field::fields;
use super::words::words;
use super::{Event, Id, Item, Kind, Problem, Record, Words};
use crate::calendar::{Day, When};

words! {
    /// How a cause counts beside the others of an event.
    CauseType {
        /// It is what failed at last.
        Direct = "direct",
        /// It helped, or led to another.
        Contributing = "contributing",
    }
}

words! {
    /// What people did or left out, where that is a cause.
    HumanCause {
        /// The survey after an exposure (10 CFR 34.49(b)) was not made.
        SurveyNotMade = "survey-not-made",
        /// The source was not secured in the shielded position.
        LockNotUsed = "lock-not-used",
        /// The alarm ratemeter was off, dead or not worn.
        RatemeterOff = "ratemeter-off",
        /// The boundary was not posted, watched or held.
        BoundaryNotKept = "boundary-not-kept",
        /// A procedure was not followed.
        ProcedureNotFollowed = "procedure-not-followed",
        /// Something else; the reason says what.
        Other = "other",
    }
}

/// A cause as it was believed from a moment on. One without a kind stands alone and takes the
/// place of all before it; one with a kind stands beside them. With neither component and failure
/// nor something human it says that none was found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EventCause {
    /// What it rests on.
    pub because: String,
    /// The component that failed, in the checklist's words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub component: Option<String>,
    /// The item of equipment or the instrument that it is a part of.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub equipment: Option<Id<Item>>,
    /// The event.
    pub event: Id<Event>,
    /// The key of a failure mode of the checklist.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub failure: Option<String>,
    /// What people did or left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub human: Option<HumanCause>,
    /// From when it was believed: local time with its offset.
    pub known_at: String,
    /// The cause to which this one led.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub leads_to: Option<Id<EventCause>>,
    /// How it counts beside the others.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[serde(rename = "sort")]
    pub kind: Option<CauseType>,
}

fields! { EventCause {
    because.needs("what it rests on"),
    component,
    equipment,
    event,
    failure,
    human,
    known_at,
    leads_to,
    kind.stored("sort").shown("type"),
} }

impl EventCause {
    /// Whether it says that no cause was found.
    pub const fn is_not_found(&self) -> bool {
        self.failure.is_none() && self.human.is_none()
    }
}

impl Record for EventCause {
    const KIND: Kind = Kind::EventCause;

    fn about(&self) -> Option<Day> {
        When::first_day(&self.known_at)
    }

    fn key(&self) -> String {
        format!("{}/{}/{}", self.event, self.known_at, self.because)
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        need_moment(&mut problems, "known_at", &self.known_at);
        let given = [
            ("component", self.component.is_some()),
            ("failure", self.failure.is_some()),
            ("equipment", self.equipment.is_some()),
        ];
        let of_equipment = given.iter().any(|(_, is)| *is);
        if of_equipment && self.human.is_some() {
            let right = "two causes: one of the component, one of what people did";
            let what = "stands beside a component";
            let word = self.human.map(Words::word).unwrap_or_default();
            problems.push(Problem::new("human", word, what, right));
        }
        let beside = self.kind.is_some() || self.leads_to.is_some();
        if self.is_not_found() && beside {
            let right = "what was not found stands alone, with no type and leading to nothing";
            problems.push(Problem::new("type", "", "is given and no cause", right));
        }
        if self.leads_to.is_some() && self.kind.is_none() {
            problems.push(Problem::missing("type", CauseType::list()));
        }
        if of_equipment {
            for (field, _) in given.iter().filter(|(_, is)| !is) {
                let right = "equipment, component and failure together, or none: not found";
                problems.push(Problem::missing(field, right));
            }
        }
        problems
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fields(problems: &[Problem]) -> Vec<&str> {
        problems.iter().map(|it| it.field.as_str()).collect()
    }

    #[test]
    fn a_cause_is_whole_or_not_found() {
        let mut cause = EventCause {
            because: "looked at under a lens".to_owned(),
            component: None,
            equipment: None,
            event: 5.into(),
            failure: None,
            human: None,
            known_at: "2026-05-20T09:00-05:00".to_owned(),
            leads_to: None,
            kind: None,
        };
        assert_eq!(fields(&cause.problems()), [""; 0]);
        cause.component = Some("drive cable".to_owned());
        assert_eq!(fields(&cause.problems()), ["failure", "equipment"]);
        cause.human = Some(HumanCause::SurveyNotMade);
        assert_eq!(fields(&cause.problems()), ["human", "failure", "equipment"]);
        cause.component = None;
        assert_eq!(fields(&cause.problems()), [""; 0]);
        cause.leads_to = Some(9.into());
        assert_eq!(fields(&cause.problems()), ["type"]);
        cause.kind = Some(CauseType::Contributing);
        assert_eq!(fields(&cause.problems()), [""; 0]);
        cause.human = None;
        assert_eq!(fields(&cause.problems()), ["type"]);
    }
}
