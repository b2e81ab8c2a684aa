//! Rules as data: limits, levels, intervals, tolerances, rule texts and checklists, each with its
//! citation.
//!
//! A *scheme* is a named set of rules. The built-in ones are offers: `scheme adopt` writes the
//! full text of one into the ledger with its first day, so a later version of this program
//! changes no past month. A site gives its own file, which may start from a built-in one with
//! `extends`. What the program says about a rule it prints from here, with the citation, and
//! every value tells whether it was read in the published text or is still to be confirmed.
//! A *checklist* is what an inspection looks at, adopted in the same way.
//!
//! May use `quantity`, `calendar` and `text`, nothing else. No clock, no SQL, no printing.

mod caution;
mod check;
mod checklist;
mod draft;
mod elsewhere;
mod entry;
mod event;
mod event_entry;
mod finding;
mod form;
mod head;
mod jurisdiction;
mod known;
mod law;
mod offer;
mod open;
mod parse;
mod plain;
mod problem;
mod read;
mod removed;
mod retention;
mod scheme;
mod sentence;
mod shelf;
mod terms;
#[cfg(test)]
mod tests;
mod word;
mod write;

pub use caution::{Caution, levels_gone};
pub use checklist::{
    ChangeSort, Checklist, ChecklistChange, ChecklistItem, FailureMode, FieldChange, FiguresOf,
    Half, INACTIVE, ItemMeasure, ItemStatus, Joint, OpenMeasure, PartFigures, Sense, Standing,
    THINGS, When, diff, is_wear,
};
pub use event::{
    Authority, CategoryQuantity, Clock, DoseThreshold, Duty, EXPOSURE_POSSIBLE, EventFact,
    EventKind, FAILED_COMPONENT, How, KeyedText, LENS_EXTREMITY, Measured, Within, event_kinds,
};
pub use finding::{Finding, Severity};
pub use form::{DoseBands, DoseForm, FormItem, FormLine};
pub use jurisdiction::{Above, Reciprocity};
pub use known::{INTERVAL_KEYS, RULE_KEYS, TOLERANCE_KEYS};
pub use law::OtherLaws;
pub use offer::{Offer, builtin, checklist_offer, checklists, offer};
pub use open::{LeftOpen, left_open};
pub use problem::{SchemeProblem, SchemeProblems};
pub use removed::{Removed, RemovedSort, Tells};
pub use retention::{AT_SITE, AtSite, Keep, RecordSort, Retention};
pub use scheme::{
    IntervalRule, Level, LevelWindow, PregnancyRule, RuleText, Scheme, Tolerance, ToleranceValue,
    WorkerFacts,
};
pub use shelf::ReadBeside;
pub use terms::Terms;
pub use word::{AppliesTo, LevelSort, Quantity, Reached, Status};
