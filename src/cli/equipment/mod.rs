//! The commands about equipment, instruments, inspections and registers.

pub(super) mod checklist;
pub(super) mod due;
pub(super) mod inspect;
pub(super) mod inspect_paper;
pub(super) mod inspect_prompt;
pub(super) mod inspect_taken;
pub(super) mod instrument;
pub(super) mod labels;
pub(super) mod register;
pub(super) mod wear;
