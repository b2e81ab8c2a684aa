//! Kinds of events, and what must be told about them to whom by when, as data of a scheme.

use serde::Serialize;

use super::jurisdiction::{Above, Reciprocity};
use super::scheme::{Scheme, cited};
use super::word::{Quantity, Status, words};
use crate::quantity::{Activity, Dose};

/// One kind of event.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct EventKind {
    /// Its name in files, unique in the scheme.
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
    #[must_use]
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
    /// Its name in files, unique in the scheme.
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

impl CategoryQuantity {
    /// The citation, followed by `(to be confirmed)` where the text was not read.
    #[must_use]
    pub fn cited(&self) -> String {
        cited(&self.citation, self.status)
    }
}

/// Whom to call and to write to under the jurisdictions of a job.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Authority {
    /// Its name in files, unique in the scheme.
    pub key: String,
    /// The jurisdictions that are its, as jobs name them.
    pub jurisdictions: Vec<String>,
    /// Its name, in full.
    pub name: String,
    /// Where it is called, at any hour.
    pub telephone: Option<String>,
    /// Whether it has rules of its own in the place of those cited.
    pub equivalent: bool,
    /// Its own times, by the key of the notice.
    pub times: Vec<(String, Within)>,
    /// Its own numbers, by the beginning of the citation that they stand for.
    pub citations: Vec<(String, String)>,
    /// What holds for its licensees alone: `rule` or `tolerance`, and the key.
    pub own: Vec<(String, String)>,
    /// Beginnings of citations that bind everybody as they are, under every other authority too,
    /// each with the word for whose they are.
    pub binds: Vec<(String, String)>,
    /// Papers that are called by its name: under another authority they have another.
    pub names: Vec<String>,
    /// What the others of the rule set bind and name; nothing in its own file.
    pub above: Vec<Above>,
    /// For how long licensees of others may work under it.
    pub reciprocity: Option<Reciprocity>,
}

/// Something that must be told.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Duty {
    /// Its name in files, unique in the scheme.
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
    /// The citation, followed by `(to be confirmed)` where the text was not read.
    #[must_use]
    pub fn cited(&self) -> String {
        cited(&self.citation, self.status)
    }

    /// Whether its clock begins when somebody learns a dose: one of learning, of a duty that
    /// arises of a dose alone, whatever happened.
    #[must_use]
    pub fn is_of_a_learned_dose(&self) -> bool {
        let of_dose_alone = !self.doses.is_empty()
            && self.of.is_empty()
            && self.when.is_empty()
            && self.questions.is_empty();
        self.clock == Clock::Learning && (self.above_a_limit || of_dose_alone)
    }

    /// Whether it may arise of such a happening.
    #[must_use]
    pub fn is_of(&self, kind: &str) -> bool {
        self.of.is_empty() || self.of.iter().any(|it| it == kind)
    }

    /// The report that serves it.
    #[must_use]
    pub fn report(&self) -> &str {
        self.report.as_deref().unwrap_or(&self.key)
    }
}

impl Scheme {
    /// The kinds of events; none in a scheme adopted before they stood in schemes.
    #[must_use]
    pub fn events(&self) -> &[EventKind] {
        &self.events
    }

    /// What must be told about events; none where the scheme does not know.
    #[must_use]
    pub fn notices(&self) -> &[Duty] {
        &self.notices
    }

    /// What duties turn on.
    #[must_use]
    pub fn facts(&self) -> &[EventFact] {
        &self.facts
    }

    /// The fact of this key.
    #[must_use]
    pub fn fact(&self, key: &str) -> Option<&EventFact> {
        self.facts.iter().find(|it| it.key == key)
    }

    /// From which activity a nuclide's sources are of category 2.
    #[must_use]
    pub fn category(&self, nuclide: &str) -> Option<&CategoryQuantity> {
        let mut all = self.categories.iter();
        all.find(|it| it.key.eq_ignore_ascii_case(nuclide))
    }

    /// Whether it tells categories of sources at all.
    #[must_use]
    pub fn has_categories(&self) -> bool {
        !self.categories.is_empty()
    }

    /// Whom to tell under a jurisdiction; nothing where the rule set names no authority at all.
    /// One that it does not name, where it names others, has an authority of its own with rules
    /// that are equivalent to those cited.
    #[must_use]
    pub fn authority(&self, jurisdiction: &str) -> Option<Authority> {
        let named = self
            .authorities
            .iter()
            .find(|it| it.is_of(jurisdiction))
            .cloned();
        let mut found = named.or_else(|| {
            self.authorities.first()?;
            Some(Authority {
                key: String::new(),
                jurisdictions: vec![jurisdiction.trim().to_owned()],
                name: format!("the radiation control authority of {}", jurisdiction.trim()),
                telephone: None,
                equivalent: true,
                times: Vec::new(),
                citations: Vec::new(),
                own: Vec::new(),
                binds: Vec::new(),
                names: Vec::new(),
                above: Vec::new(),
                reciprocity: None,
            })
        })?;
        let others = self.authorities.iter().filter(|it| !it.is(&found));
        found.above = others.map(Above::of).collect();
        Some(found)
    }

    /// The kind of this key.
    #[must_use]
    pub fn event(&self, key: &str) -> Option<&EventKind> {
        self.events.iter().find(|it| it.key == key)
    }

    /// The duty of this key.
    #[must_use]
    pub fn duty(&self, key: &str) -> Option<&Duty> {
        self.notices.iter().find(|it| it.key == key)
    }
}

/// The kinds that come with the program: they stand in for those of a scheme without any.
///
/// Nothing should the built-in text not be readable, which a test excludes.
#[must_use]
pub fn event_kinds() -> &'static [EventKind] {
    use std::sync::OnceLock;
    static KINDS: OnceLock<Vec<EventKind>> = OnceLock::new();
    KINDS.get_or_init(|| {
        super::offer("10 CFR")
            .and_then(|offer| Scheme::parse(offer.text).ok())
            .map(|scheme| scheme.events)
            .unwrap_or_default()
    })
}
