//! Checklists that are in force, parts as installed, and inspections item by item.

use serde::{Deserialize, Serialize};

use super::Item;
use super::body::{Record, numbered};
use super::equipment::Equipment;
use super::field::{Shape, fields};
use super::kind::Kind;
use super::problem::Problem;
use super::reference::{Id, Ref};
use super::words::words;
use super::worker::Worker;
use crate::calendar::{Day, parse_time};
use crate::quantity::Amount;

/// The adoption of a checklist. The text stands in the entry, so that an
/// inspection stays bound to the list that was in force on its day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ListAdoption {
    /// The first day on which it is in force.
    pub from: Day,
    /// The list's own name.
    pub name: String,
    /// The list's text, TOML.
    pub text: String,
}

fields! { ListAdoption {
    from,
    name.needs("the name of the list"),
    text.needs("the text of the list").fixed(),
} }

/// A part as it was installed to an item of equipment. The next one of the same
/// component ends it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct InstalledPart {
    /// Who installed it.
    pub by: String,
    /// Which component of the equipment it is, in the checklist's words.
    pub component: String,
    /// The equipment.
    pub equipment: Id<Equipment>,
    /// The day.
    #[serde(rename = "fitted_on")]
    pub installed_on: Day,
    /// Past this the part is a defect, as its maker gives it, with its unit: for `line`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limit: Option<String>,
    /// The item of the list that measures the part, where the part has figures of its own.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub line: Option<String>,
    /// The supplier's lot, where the label has one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lot: Option<String>,
    /// What the part measures when new, as its maker gives it, with its unit: for `line`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub nominal: Option<String>,
    /// The part's own number, where it has one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub serial: Option<String>,
}

fields! { InstalledPart {
    by.shown("performed_by").needs("who installed it"),
    component.needs("which part it is, such as `drive cable`"),
    equipment,
    installed_on.stored("fitted_on").shown("installed_on"),
    limit,
    line,
    lot,
    nominal,
    serial,
} }

words! {
    /// What an inspection was made for.
    Occasion {
        /// Before use on a day.
        Daily = "daily",
        /// The periodic inspection with maintenance.
        Quarterly = "quarterly",
        /// After a drop, a fire, a repair, a hard crank or a retrieval.
        AfterEvent = "after an event",
        /// When a thing arrives.
        Receipt = "on receipt",
    }
}

/// Whether a line shows that a defect written down before it was repaired, not only looked at.
/// Equipment with a problem stays out of service until it is repaired (10 CFR 34.31(a), (b)(1)):
/// the day's check of a crew that finds the item good says so only with what was done about it; an
/// inspection that goes with maintenance, or after an event, is made to find that out.
pub fn shows_repair(found: LineResult, when: Occasion, action: Option<&str>) -> bool {
    let done = action.is_some_and(|it| !it.trim().is_empty());
    found == LineResult::Good && (when != Occasion::Daily || done)
}

words! {
    /// What was found at one item of the list.
    LineResult {
        /// As it should be.
        Good = "good",
        /// Not as it should be.
        Defect = "defect",
        /// Not looked at.
        NotDone = "not done",
        /// Measured, and not judged by who measured it.
        Measured = "measured",
    }
}

/// One item of the list, as it was found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Line {
    /// What was done about a defect.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub action: Option<String>,
    /// The item's key in the list.
    pub item: String,
    /// What was seen.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// What was found.
    pub result: LineResult,
    /// What was measured, as written, with its unit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub value: Option<String>,
    /// The other item of a mating check.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub with: Option<Id<Item>>,
}

fields! { Line {
    action, item.shown("line").needs("the key of an item of the list"), note, result, value, with,
} }

/// One pass over the list on one item of equipment or instrument.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Inspection {
    /// When it was done, HH:MM in the ledger's zone.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at: Option<String>,
    /// Who looked.
    pub by: Ref<Worker>,
    /// What the device's own counter of cycles showed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub counter: Option<i64>,
    /// What was looked at.
    pub item: Id<Item>,
    /// The items of the list, in its order.
    pub lines: Vec<Line>,
    /// The adoption of the list that was in force.
    pub list: Id<ListAdoption>,
    /// Anything else.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// The day.
    pub on: Day,
    /// The code of the form that it was copied from, where it was written on one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub paper_form: Option<String>,
    /// The number of its row in the office's own file.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub row: Option<String>,
    /// What it was made for.
    pub when: Occasion,
}

fields! { Inspection {
    at.written(Shape::Hour), by.shown("performed_by").anybody(), counter, item, lines, list,
    note.shown("remark"), on,
    paper_form, row, when,
} }

impl Record for ListAdoption {
    const KIND: Kind = Kind::ListAdoption;

    fn about(&self) -> Option<Day> {
        Some(self.from)
    }

    fn key(&self) -> String {
        format!("{} from {}", self.name, self.from)
    }
}

impl Record for InstalledPart {
    const KIND: Kind = Kind::InstalledPart;

    fn about(&self) -> Option<Day> {
        Some(self.installed_on)
    }

    fn key(&self) -> String {
        format!(
            "{}/{}/{}",
            self.equipment, self.component, self.installed_on
        )
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        self.figures_hold(&mut problems);
        problems
    }
}

impl InstalledPart {
    /// Nominal and limit of the part, where its record gives both.
    pub fn figures(&self) -> Option<(Amount, Amount)> {
        let read = |text: &Option<String>| Amount::parse(text.as_deref()?, None).ok();
        Some((read(&self.nominal)?, read(&self.limit)?))
    }

    /// An item, a nominal and a limit come together or not at all: one alone says nothing, and
    /// might be taken for a limit that is kept.
    fn figures_hold(&self, problems: &mut Vec<Problem>) {
        let fields = [
            ("line", &self.line, "the item, such as `cable-diameter`"),
            ("nominal", &self.nominal, "what it measures when new"),
            ("limit", &self.limit, "past what it is a defect"),
        ];
        if fields.iter().all(|(_, value, _)| value.is_none()) {
            return;
        }
        for (field, value, right) in fields {
            match value {
                None => problems.push(Problem::new(
                    field,
                    "",
                    "is missing: item, nominal and limit come together",
                    right,
                )),
                Some(text) if field != "line" => {
                    if let Err(error) = Amount::parse(text, None) {
                        let right = "a number and its unit, such as `5.8 mm`";
                        problems.push(Problem::new(field, text, error.to_string(), right));
                    }
                }
                Some(_) => {}
            }
        }
        if let Some((nominal, limit)) = self.figures()
            && nominal.kind() != limit.kind()
        {
            let text = self.limit.clone().unwrap_or_default();
            let what = format!("is {}, and the nominal is {}", limit.kind(), nominal.kind());
            problems.push(Problem::new(
                "limit",
                text,
                what,
                "both in one kind of unit",
            ));
        }
    }
}

impl Line {
    /// An item that was found good.
    pub fn good(item: &str) -> Line {
        Line {
            action: None,
            item: item.to_owned(),
            note: None,
            result: LineResult::Good,
            value: None,
            with: None,
        }
    }
}

impl Record for Inspection {
    const KIND: Kind = Kind::Inspection;

    numbered!();

    fn about(&self) -> Option<Day> {
        Some(self.on)
    }

    fn key(&self) -> String {
        use super::Words;
        let (item, on, when) = (self.item, self.on, self.when.stored());
        match &self.at {
            Some(at) => format!("{item}/{on}/{when}/{at}"),
            None => format!("{item}/{on}/{when}"),
        }
    }

    fn contradictions(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        if let Some(at) = &self.at
            && let Err(error) = parse_time(at)
        {
            problems.push(Problem::new("at", at, error.to_string(), "such as `06:40`"));
        }
        if let Some(counter) = self.counter.filter(|it| *it < 0) {
            problems.push(Problem::new(
                "counter",
                counter.to_string(),
                "is below zero",
                "what the counter shows",
            ));
        }
        if self.lines.is_empty() {
            problems.push(Problem::missing("line", "at least one item of the list"));
        }
        for (at, line) in self.lines.iter().enumerate() {
            line.problems(&mut problems);
            if line.with == Some(self.item) {
                problems.push(Problem::new(
                    "with",
                    "",
                    "is the item itself",
                    "the other item of the mating check",
                ));
            }
            if self.lines.iter().take(at).any(|it| it.item == line.item) {
                problems.push(Problem::new(
                    "line",
                    &line.item,
                    "stands twice in one inspection",
                    "each item once",
                ));
            }
        }
        problems
    }
}

impl Line {
    fn problems(&self, problems: &mut Vec<Problem>) {
        let blank = |it: &Option<String>| it.as_deref().is_none_or(|it| it.trim().is_empty());
        if self.result == LineResult::Defect && blank(&self.note) {
            let right = format!("what is wrong with `{}`, in words", self.item);
            problems.push(Problem::missing("note", right));
        }
        if self.result == LineResult::Defect && blank(&self.action) {
            let right = format!(
                "what was done about `{}`, such as `removed from service, tagged, RSO informed`",
                self.item
            );
            problems.push(Problem::missing("action", right));
        }
        if self.result == LineResult::Measured && blank(&self.value) {
            let right = format!("what was measured at `{}`, with its unit", self.item);
            problems.push(Problem::missing("value", right));
        }
        if self.result == LineResult::NotDone && !blank(&self.value) {
            problems.push(Problem::new(
                "value",
                self.value.clone().unwrap_or_default(),
                format!("stands at `{}`, which was not done", self.item),
                "leave it blank, or result `measured`",
            ));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(result: LineResult) -> Line {
        Line {
            action: None,
            item: "lock".to_owned(),
            note: None,
            result,
            value: None,
            with: None,
        }
    }

    fn fields(lines: Vec<Line>) -> Vec<String> {
        let inspection = Inspection {
            at: Some("06:40".to_owned()),
            by: Ref::Known(3.into()),
            counter: None,
            item: 9.into(),
            lines,
            list: 2.into(),
            note: None,
            on: Day::from_ymd_opt(2026, 5, 18).unwrap(),
            paper_form: None,
            row: None,
            when: Occasion::Daily,
        };
        inspection
            .problems()
            .into_iter()
            .map(|it| it.field)
            .collect()
    }

    #[test]
    fn a_defect_needs_words_and_an_action_and_a_measure_needs_its_value() {
        assert_eq!(fields(vec![line(LineResult::Good)]), [""; 0]);
        assert_eq!(fields(vec![line(LineResult::NotDone)]), [""; 0]);
        assert_eq!(fields(vec![line(LineResult::Defect)]), ["note", "action"]);
        assert_eq!(fields(vec![line(LineResult::Measured)]), ["value"]);
    }

    #[test]
    fn an_item_stands_once_and_one_that_was_not_done_has_no_value() {
        let twice = vec![line(LineResult::Good), line(LineResult::Good)];
        assert_eq!(fields(twice), ["line"]);
        let mut not_done = line(LineResult::NotDone);
        not_done.value = Some("5.9 mm".to_owned());
        assert_eq!(fields(vec![not_done]), ["value"]);
        assert_eq!(fields(Vec::new()), ["line"]);
    }
}
