//! Rules as data: limits, levels, intervals, tolerances, rule texts and checklists, each with its
//! citation.
//!
//! A *rule set* is a named set of rules. The built-in ones are offers: `rules adopt` writes the
//! full text of one into the ledger with its first day, so a later version of this program
//! changes no past month. A site gives its own file, which may start from a built-in one with
//! `extends`. What the program says about a rule it prints from here, with the citation, and
//! every value tells whether it was read in the published text or is still to be confirmed.
//! A *checklist* is what an inspection covers, adopted in the same way.
//!
//! May use `quantity`, `calendar` and `text`, nothing else. No clock, no SQL, no printing.

mod authority;
mod check;
mod checklist;
mod checks;
mod compare;
mod draft;
mod elsewhere;
mod entry;
mod event;
mod event_entry;
mod finding;
mod form;
mod form_entry;
mod head;
mod jurisdiction;
mod keep;
mod known;
mod law;
mod left_out;
mod level;
mod offer;
mod open;
mod parse;
mod plain;
mod problem;
mod read;
mod removed;
mod requirement;
mod retention;
mod rule_set;
mod sentence;
mod shelf;
mod terms;
#[cfg(test)]
mod tests;
mod word;
mod write;
mod written;

pub use authority::{Above, Authority, Reciprocity};
pub use checklist::{
    ChangeType, Checklist, ChecklistChange, ChecklistItem, FailureMode, FieldChange, FiguresOf,
    Half, INACTIVE, ITEMS, ItemMeasurement, ItemStatus, Joint, OpenMeasurement, PartFigures, Sense,
    Standing, When, diff, is_wear,
};
pub use checks::{CheckKey, Section};
pub use compare::levels_gone;
pub use event::{
    CategoryQuantity, Clock, DoseThreshold, Duty, EXPOSURE_POSSIBLE, EventFact, EventKind,
    FAILED_COMPONENT, How, KeyedText, LENS_EXTREMITY, Measured, Within,
};
pub use finding::{Finding, Severity};
pub use form::{DoseBands, DoseForm, FormItem, FormLine};
pub use keep::{AT_SITE, AtSite, Keep, RecordType, Retention};
pub use known::{INTERVAL_KEYS, RULE_KEYS, TOLERANCE_KEYS};
pub use law::OtherLaws;
pub use left_out::{Removed, RemovedType, Tells};
pub use level::{Level, LevelWindow, PregnancyRule};
pub use offer::{Offer, builtin, checklist_offer, checklists, offer};
pub use open::{LeftOpen, left_open};
pub use problem::{RuleSetProblem, RuleSetProblems};
pub use requirement::{IntervalRule, RuleText, Tolerance, ToleranceValue};
pub use rule_set::{Caution, RuleSet, WorkerFacts, event_kinds};
pub use shelf::ReadBeside;
pub use terms::Terms;
pub use word::{AppliesTo, LevelType, Quantity, Reached, Status};
