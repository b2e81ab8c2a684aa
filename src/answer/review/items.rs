//! What items caught in a month, and what they let through.

use super::desk::{ReviewDesk, ReviewLine, ReviewSection, section};
use crate::answer::context::error::AnswerError;
use crate::answer::event::happened::all_happened;
use crate::answer::event::trace::trace_of;
use crate::record::{Coverage, Occasion, Words};

/// The items of a month: defects that were written down before anything happened, and events
/// that an item could have shown.
pub(crate) fn items(desk: &ReviewDesk<'_>) -> Result<ReviewSection, AnswerError> {
    let mut lines = Vec::new();
    for equipment in desk.house.names.items() {
        for defect in desk.house.maintenance.defects_of(equipment) {
            let of = &defect.line.of;
            // What is found after an event was not caught.
            if !desk.span.contains(of.on) || of.occasion == Occasion::AfterEvent {
                continue;
            }
            let note = defect.line.note.as_deref().unwrap_or("no words");
            let what = format!("caught by {} on {}: {note}", defect.line.line, of.on);
            let mut line = ReviewLine::plain(desk.house.names.label(equipment), what);
            line.entries = vec![of.entry];
            lines.push(line);
        }
    }
    for event in all_happened(desk.house)? {
        if !desk.span.contains(event.day()) {
            continue;
        }
        let trace = trace_of(desk.house, &event.body.name)?;
        for row in &trace.rows {
            let covered = &row.verdict.covered;
            if covered.coverage != Coverage::CanDetect {
                continue;
            }
            let concluded = match covered.is_concluded() {
                true => "",
                false => " by the checklist's data, not yet concluded",
            };
            let what = format!(
                "{} of {}: {}{concluded}; {}",
                row.item,
                row.equipment,
                covered.coverage.word(),
                row.verdict.record.word.word()
            );
            let mut line = ReviewLine::plain(event.body.name.clone(), what);
            line.mark = "watch";
            line.entries = vec![event.entry];
            lines.push(line);
        }
    }
    Ok(section(
        "items",
        "Items that caught, and items that let through",
        "No item caught a defect, and no event came past one.",
        "wearbook trace ranking",
        lines,
    ))
}
