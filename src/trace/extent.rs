//! Other equipment in the same condition: the same component, and what the record has or lacks
//! of the items that could have shown the failure.

use serde::Serialize;

use crate::calendar::Day;

/// One of the items on another item, as the ledger has it now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ItemElsewhere {
    /// The item's key.
    pub item: String,
    /// Whether the list asks for a figure.
    pub measured: bool,
    /// How many figures the part that is installed has.
    pub figures: usize,
    /// The last inspection that did it, with its entry.
    pub last: Option<(Day, i64)>,
    /// A defect that is not cleared, by its entry.
    pub defect: Option<i64>,
    /// Where it is heading, in words, if the forecast warns.
    pub heading: Option<String>,
}

/// Another item of the same kind.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Elsewhere {
    /// Its id.
    pub equipment: String,
    /// Whether it is out of service.
    pub out_of_service: bool,
    /// The supplier's lot of the component that is installed.
    pub lot: Option<String>,
    /// The items.
    pub items: Vec<ItemElsewhere>,
}

/// What is to be asked of another item.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Extent {
    /// Its id.
    pub equipment: String,
    /// Whether it is out of service already.
    pub out_of_service: bool,
    /// Why it is to be looked at; none where the record says nothing against it.
    pub why: Vec<String>,
}

/// What the other items of the kind have in common with the one that failed, the most reasons
/// first. `lot` is that of the part that failed.
pub fn extent(lot: Option<&str>, others: &[Elsewhere]) -> Vec<Extent> {
    let mut all: Vec<Extent> = others
        .iter()
        .map(|it| Extent {
            equipment: it.equipment.clone(),
            out_of_service: it.out_of_service,
            why: reasons(lot, it),
        })
        .collect();
    all.sort_by(|a, b| (b.why.len(), &a.equipment).cmp(&(a.why.len(), &b.equipment)));
    all
}

fn reasons(lot: Option<&str>, other: &Elsewhere) -> Vec<String> {
    let mut why = Vec::new();
    if let Some(lot) = lot.filter(|it| Some(*it) == other.lot.as_deref()) {
        why.push(format!("same lot `{lot}`"));
    }
    for it in &other.items {
        let key = &it.item;
        if let Some(entry) = it.defect {
            why.push(format!("{key}: defect not cleared (entry {entry})"));
        }
        if let Some(heading) = &it.heading {
            why.push(format!("{key}: {heading}"));
        }
        match it.last {
            None => why.push(format!("{key}: never inspected")),
            Some((on, _)) if it.measured && it.figures == 0 => {
                why.push(format!("{key}: never measured, last inspected on {on}"));
            }
            Some(_) => {}
        }
    }
    why
}
