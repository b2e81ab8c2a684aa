//! The kinds of record, listed once.

use super::words::shown;

/// Hands the list to a macro.
macro_rules! every_kind {
    ($then:ident) => {
        $then! {
            Charter = "charter",
            Adoption = "scheme" shown "rule set",
            Job = "job",
            Worker = "worker",
            RoleChange = "role",
            AlertReader = "alert reader" shown "reader of alerts",
            Monitoring = "monitoring",
            Private = "private" shown "private record",
            Pregnancy = "pregnancy" shown "private record of the older form",
            PregnancyEnd = "pregnancy end" shown "end of a private record of the older form",
            PriorDose = "prior dose",
            MissingQuarter = "missing quarter",
            Authorization = "authorization",
            Instrument = "instrument",
            Check = "check",
            Equipment = "equipment",
            Withdrawal = "withdrawal",
            ServiceReturn = "return",
            ListAdoption = "checklist",
            InstalledPart = "fitted part" shown "installed part",
            Inspection = "inspection",
            Servicing = "servicing",
            LeakTest = "leak test",
            Inventory = "inventory",
            Loading = "loading",
            SourceCheck = "source check",
            Sheet = "sheet",
            ShiftStart = "shift start",
            Badge = "badge",
            BadgeEvent = "badge event",
            BadgeResult = "badge result",
            Acceptance = "acceptance",
            Settlement = "settlement",
            Resolution = "resolution",
            Determination = "determination",
            PlannedExposure = "planned special exposure",
            Qualification = "qualification",
            Mapping = "mapping",
            Disposition = "ruling" shown "disposition",
            Decision = "decision",
            Event = "event",
            EventHappening = "event happening",
            EventNote = "event note",
            EventCause = "event cause",
            EventAction = "event action",
            EventLink = "event link",
            DutyAnswer = "duty answer",
            DutyDone = "duty done",
            Conclusion = "conclusion",
            EventEnd = "event end",
            Review = "review",
            AnnualReport = "annual report",
            DoseRequest = "dose request",
            Evidence = "evidence",
            EvidenceErasure = "evidence erasure" shown "erasure of evidence",
        }
    };
}
pub(super) use every_kind;

macro_rules! kinds {
    ($($variant:ident = $word:literal $(shown $shown:literal)?),+ $(,)?) => {
        /// Every kind of record that the ledger knows.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum Kind { $(#[doc = $word] $variant),+ }

        impl Kind {
            /// All kinds, in the order in which help texts list them.
            pub const ALL: &'static [Kind] = &[$(Kind::$variant),+];

            /// The word that people read and write.
            pub fn word(self) -> &'static str {
                match self { $(Kind::$variant => shown!($word $($shown)?)),+ }
            }

            /// The word stored in `entry.kind`. It never changes.
            pub fn stored(self) -> &'static str {
                match self { $(Kind::$variant => $word),+ }
            }

            /// The kind that somebody means by this word.
            pub fn from_word(word: &str) -> Option<Kind> {
                Kind::ALL.iter().copied().find(|kind| kind.word() == word)
            }

            /// The kind of a stored entry.
            pub fn from_stored(stored: &str) -> Option<Kind> {
                match stored { $($word => Some(Kind::$variant),)+ _ => None }
            }
        }
    };
}
every_kind!(kinds);
