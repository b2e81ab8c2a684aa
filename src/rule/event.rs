//! Kinds of events, and what must be told about them to whom by when, as data of a rule set.

use serde::Serialize;

use super::word::{Quantity, Status, has_citation, words};
use crate::quantity::{Activity, Dose};

/// One kind of event.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct EventKind {
    /// Its name in files, unique in the rule set.
    pub key: String,
    /// Its name in the trade's words.
    pub name: String,
    /// What happened, in plain words.
    pub meaning: String,
    /// Whether the equipment in it is out of service until an inspection after it.
    pub withdraws: bool,
    /// Whether it is not a failure but calls for an inspection before the next use.
    pub calls_for_inspection: bool,
    /// Failure modes of the checklist from which it may come.
    pub failures: Vec<String>,
}

words! {
    /// What starts a clock.
    Clock {
        /// It happened.
        Occurrence = "occurrence",
        /// Somebody became aware of it.
        Discovery = "discovery",
        /// The licensee learned of it or of the dose.
        Learning = "learning",
        /// The first report of it was made.
        FirstReport = "first report",
        /// The test that showed it.
        Test = "test",
    }
}

words! {
    /// How something is told.
    How {
        /// By telephone.
        Telephone = "telephone",
        /// In writing.
        Written = "in writing",
        /// Either.
        Either = "telephone or in writing",
    }
}

/// How long there is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Within {
    /// No time.
    AtOnce,
    /// Hours.
    Hours(i64),
    /// Calendar days.
    Days(i64),
    /// Working days, Monday to Friday; holidays are not known here and count.
    WorkingDays(i64),
    /// No later than the report to the authority.
    WithTheReport,
}

/// Something with a key and its words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct KeyedText {
    /// The key.
    pub key: String,
    /// The words.
    pub text: String,
}

impl KeyedText {
    /// Whether a content of a report is to have the form of the material: it is asked for by
    /// telephone alone, 10 CFR 30.50(c)(1).
    pub fn asks_for_the_form(&self) -> bool {
        self.text.contains("form")
    }

    /// Whether one is to have the cause and the maker: in writing, 10 CFR 30.50(c)(2).
    pub fn asks_for_the_cause(&self) -> bool {
        self.text.contains("cause")
    }
}

/// A dose from which a duty arises.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct DoseThreshold {
    /// Which dose.
    pub quantity: Quantity,
    /// How much.
    pub dose: Dose,
    /// Whether a dose equal to it counts.
    pub at_or_above: bool,
}

impl DoseThreshold {
    /// Whether a dose has reached it.
    pub fn is_reached_by(&self, dose: Dose) -> bool {
        match self.at_or_above {
            true => dose >= self.dose,
            false => dose > self.dose,
        }
    }
}

words! {
    /// What the program finds out itself about an event.
    Measured {
        /// The sources in it are of category 2 or more together, by their activity then.
        CategoryTwo = "category 2 or more",
        /// The sources in it are of category 1 together.
        CategoryOne = "category 1",
    }
}

/// The key of the fact whether somebody can have been near an unshielded source.
pub const EXPOSURE_POSSIBLE: &str = "exposure-possible";

/// The key of the question, asked of every event in which somebody can have been exposed, whether
/// lens or extremities of those who were not near may have received more than the badge shows.
pub const LENS_EXTREMITY: &str = "lens-extremity";

/// What stands in a fact for any component that a cause names.
pub const FAILED_COMPONENT: &str = "a component failed";

/// Something that duties turn on: it is so, is not so, or nobody knows.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct EventFact {
    /// Its name in files, unique in the rule set.
    pub key: String,
    /// The question, for whoever knows.
    pub text: String,
    /// Happenings that make it so whatever is answered; [`FAILED_COMPONENT`] for a cause.
    pub yes_if: Vec<String>,
    /// Happenings that make it not so.
    pub no_if: Vec<String>,
    /// Happenings of which it is taken to be so until somebody answers no.
    pub assumed_if: Vec<String>,
    /// Happenings of which it is asked; of others it is not so. None: of all.
    pub asked_if: Vec<String>,
    /// What the program finds out itself.
    pub measured: Option<Measured>,
}

/// The activity from which a nuclide's sources are of category 2; a hundred times as much is
/// category 1.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct CategoryQuantity {
    /// The nuclide in small letters, such as `ir-192`.
    pub key: String,
    /// From this activity on.
    pub category_2: Activity,
    /// Where it stands.
    pub citation: String,
    /// Whether it was read there.
    pub status: Status,
    /// What it means, in plain words.
    pub meaning: String,
}

/// Something that must be told.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Duty {
    /// Its name in files, unique in the rule set.
    pub key: String,
    /// What is to be done.
    pub what: String,
    /// Happenings of which it may arise; none: of any.
    pub of: Vec<String>,
    /// Facts: of each line one must be so.
    pub when: Vec<Vec<String>>,
    /// The report that serves it together with others; none: one of its own.
    pub report: Option<String>,
    /// Questions of the rule, all of which must be yes. Unanswered counts as yes.
    pub questions: Vec<KeyedText>,
    /// Doses, any of which is enough; none: whatever the dose.
    pub doses: Vec<DoseThreshold>,
    /// Whether a dose above any limit of the person is enough.
    pub above_a_limit: bool,
    /// What starts its clock.
    pub clock: Clock,
    /// Of a first report: the duty whose doing starts it.
    pub after: Option<String>,
    /// How long there is.
    pub within: Within,
    /// How it is told.
    pub how: How,
    /// Whom.
    pub to: String,
    /// What it must contain.
    pub contents: Vec<KeyedText>,
    /// Which of the contents are asked for only where a fact is not surely no: key and fact.
    pub contents_if: Vec<(String, String)>,
    /// Where it stands.
    pub citation: String,
    /// Whether it was read there.
    pub status: Status,
    /// What it means, in plain words.
    pub meaning: String,
}

impl Duty {
    /// Whether its clock begins when somebody learns a dose: one of learning, of a duty that
    /// arises of a dose alone, whatever happened. What must be told at once is told of what may
    /// have been: it waits for nobody's dose.
    pub fn is_of_a_learned_dose(&self) -> bool {
        let of_dose_alone = !self.doses.is_empty()
            && self.of.is_empty()
            && self.when.is_empty()
            && self.questions.is_empty();
        let waits = self.clock == Clock::Learning && self.within != Within::AtOnce;
        waits && (self.above_a_limit || of_dose_alone)
    }

    /// Whether a rule set has it told to the authority, whoever that is at a job.
    pub fn is_to_the_authority(&self) -> bool {
        self.to.starts_with("the authority")
    }

    /// Whether it may arise of such a happening.
    pub fn is_of(&self, kind: &str) -> bool {
        self.of.is_empty() || self.of.iter().any(|it| it == kind)
    }

    /// Whether it can turn on a fact.
    pub fn turns_on(&self, fact: &str) -> bool {
        let asked = self.questions.iter().map(|it| &it.key);
        asked.chain(self.when.iter().flatten()).any(|it| it == fact)
    }

    /// The report that serves it.
    pub fn report(&self) -> &str {
        self.report.as_deref().unwrap_or(&self.key)
    }
}

has_citation!(CategoryQuantity, Duty);
