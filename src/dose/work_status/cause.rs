//! Why a person may not work or needs somebody: how urgent each kind is, and what ends it.

use crate::rule::Severity;

/// Why a person may not work.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Cause {
    /// Off-scale, and nobody determined the dose.
    OffScale,
    /// Above the shift level, and nobody determined the dose.
    OverShiftLevel,
    /// In an event, and nobody knows the dose of it.
    InEvent,
    /// A dose without an upper bound from something else.
    Undetermined,
    /// A badge lost or damaged, without a replacement or a calculated dose.
    LostBadge,
    /// A badge overdue for exchange.
    BadgeOverdue,
    /// No badge on issue.
    NoBadge,
    /// Too young for exposed work.
    Age,
    /// Under 18 where the rule set does not say from which age anybody is exposed at work.
    OpenAge,
    /// A limit is reached.
    Limit,
    /// A level of the site is reached.
    AdministrativeLevel,
    /// Something of the person waits for a disposition.
    Held,
    /// A dosimeter or ratemeter is out of date.
    Instrument,
    /// A qualification has lapsed.
    Qualification,
    /// One has lapsed without which part of the work is done by others.
    OtherQualification,
}

impl Cause {
    /// Whether it stops the person, or asks somebody to act while the person works on. A badge
    /// that is overdue is still worn; what is on hold counts on the conservative side; another
    /// dosimeter can be taken, and use of the one that is overdue is a stop of its own.
    pub const fn severity(self) -> Severity {
        match self {
            Self::BadgeOverdue | Self::Held | Self::Instrument | Self::OtherQualification => {
                Severity::Act
            }
            Self::OpenAge => Severity::Watch,
            _ => Severity::Stop,
        }
    }

    /// The cause of what is said against an age, by how urgent that is.
    pub(super) const fn of_age(severity: Severity) -> Cause {
        match severity {
            Severity::Stop => Self::Age,
            Severity::Act | Severity::Watch => Self::OpenAge,
        }
    }

    /// What ends it, in one line.
    pub const fn ends(self) -> &'static str {
        match self {
            Self::OffScale | Self::OverShiftLevel => {
                "cleared by the accepted result of the badge worn (wearbook badge accept), or a \
                 dose that the RSO or designee determines (wearbook determination enter)"
            }
            Self::InEvent | Self::Undetermined => {
                "cleared by a dose that the RSO or designee determines, \"no exposure\" being one \
                 (wearbook determination enter), or the accepted result of the badge worn \
                 (wearbook badge accept)"
            }
            Self::LostBadge => {
                "cleared by another badge (wearbook badge issue) and the dose up to the loss \
                 determined (wearbook determination enter)"
            }
            Self::BadgeOverdue => {
                "cleared by the badge handed back (wearbook badge return) and another on issue \
                 (wearbook badge issue)"
            }
            Self::NoBadge => "cleared by a badge on issue (wearbook badge issue)",
            Self::Limit | Self::AdministrativeLevel => {
                "ends when the window ends, or when the RSO corrects what counts in it (wearbook \
                 dose show ID --why)"
            }
            Self::OpenAge => {
                "ends when the person is 18, or with an age in the site's own rule set (wearbook \
                 rules adopt)"
            }
            Self::Age => {
                "ends when the person is old enough, or with the birth date or category corrected \
                 (wearbook entry correct)"
            }
            Self::Held => "cleared by a disposition by the RSO or designee (wearbook hold resolve)",
            Self::Instrument => "take another one, or have it checked (wearbook instrument check)",
            Self::Qualification | Self::OtherQualification => {
                "cleared by the qualification on record (wearbook worker qualification)"
            }
        }
    }
}
