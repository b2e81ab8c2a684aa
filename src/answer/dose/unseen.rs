//! Sources that an inventory did not see.

use crate::answer::context::load::House;
use crate::record::{Equipment, Inventory, RecordId};

/// Sources that were in service on the day of an inventory, and that it did not see.
pub(crate) fn unseen_of<'h>(
    house: &'h House,
    inventory: &Inventory,
) -> Vec<(RecordId, &'h Equipment)> {
    let on = inventory.on;
    let sources = house.names.sources().filter(|(record, source)| {
        source.in_service.is_none_or(|from| from <= on)
            && house.service.out_all_day(*record, on).is_none()
            && !inventory.found.contains(&(*record).into())
    });
    sources.collect()
}
