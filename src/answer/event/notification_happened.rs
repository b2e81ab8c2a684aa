//! What happened in an event and with which sources, as the duties to give notice ask for it.

use super::happened::Happened;
use super::person::minute;
use crate::answer::context::load::House;
use crate::answer::dose::strength::{SourceAsked, Strength};
use crate::calendar::{Instant, When};
use crate::notification::{Category, Happening, Start};
use crate::record::{EquipmentType, RecordId};
use crate::rule::{FAILED_COMPONENT, RuleSet};
use crate::source::category;

/// The kind that it was opened with, what happened besides, and the components of causes.
pub(crate) fn happenings(it: &Happened) -> Vec<Happening> {
    let with_event = |key: &str, entry| Happening {
        key: key.to_owned(),
        entry,
        at: None,
    };
    let mut all = vec![with_event(&it.body.kind, it.kind_entry)];
    for besides in &it.happenings {
        // Of a moment of which nothing is known the event's own is taken.
        let when = When::parse(&besides.body.at, it.zone).ok();
        let at = when.and_then(|when| {
            Some(Start {
                at: minute(when.earliest?),
                taken: (!when.is_exact()).then(|| EARLIEST.to_owned()),
            })
        });
        all.push(Happening {
            key: besides.body.happening.clone(),
            entry: besides.entry,
            at,
        });
    }
    let standing = it.standing();
    let failed = standing.iter().filter(|it| it.body.component.is_some());
    all.extend(failed.map(|it| with_event(FAILED_COMPONENT, it.entry)));
    all
}

/// Why a moment is taken that is not known to the minute.
const EARLIEST: &str = "the earliest moment that is possible";

pub(crate) fn start(it: &Happened, when: &When, at: Instant) -> Start {
    let taken = match (when.is_exact(), when.earliest) {
        (true, _) => None,
        (false, Some(_)) => Some(EARLIEST),
        (false, None) if at < it.discovered => Some("not known: the latest that it can have been"),
        (false, None) if it.discovered_when.earliest.is_some() => {
            Some("not known: the discovery is taken")
        }
        (false, None) => Some("not known: when the event was written down is taken"),
    };
    Start {
        at: minute(at),
        taken: taken.map(str::to_owned),
    }
}

/// The category of the sources in it together, by their activity when it occurred: at the high
/// end of what that may be.
pub(crate) fn category(house: &House, rule_set: &RuleSet, it: &Happened) -> Option<Category> {
    let at = it.zone.local(it.occurred).naive_local();
    let (mut of, mut parts) = (Vec::new(), Vec::new());
    for source in sources_of(house, it) {
        let id = house.names.label(source);
        let asked = SourceAsked {
            source: Some(id.clone()),
            ..SourceAsked::default()
        };
        let found = Strength::find(house, &asked, at.date(), at.time()).ok()?;
        of.push(category::Part {
            source: found.source,
            from: rule_set.category(&found.view.nuclide)?.category_2,
        });
        parts.push(format!("{id} {}", found.view.activity));
    }
    if parts.is_empty() {
        return None;
    }
    let found = category::category(&of, at.date(), at.time());
    let name = found.word();
    Some(Category {
        one: found == category::Category::One,
        two: found >= category::Category::Two,
        words: format!("{} that day, an estimate: {name}", parts.join(", ")),
    })
}

/// The sources in an event: those named, and those in the devices that are.
pub(crate) fn sources_of(house: &House, it: &Happened) -> Vec<RecordId> {
    let mut sources = Vec::new();
    for item in it.body.equipment.iter().map(|it| it.number()) {
        let source = match house.names.equipment_body(item).map(|it| it.kind) {
            Some(EquipmentType::Source) => Some(item),
            _ => house.maintenance.source_in(item, it.day()).map(|it| it.0),
        };
        sources.extend(source.filter(|it| !sources.contains(it)));
    }
    sources
}
