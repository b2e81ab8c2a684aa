//! Questions about what was written: entries and their history, sheets, registers, rule sets.

pub(super) mod adopted;
pub(super) mod adopting;
pub(super) mod as_it_stands;
pub(super) mod entries;
pub(super) mod evidence;
pub(super) mod evidence_one;
pub(super) mod form;
pub(super) mod form_choose;
pub(super) mod form_code;
pub(super) mod form_fault;
pub(super) mod form_read;
pub(super) mod language;
pub(super) mod lists;
pub(super) mod register;
pub(super) mod register_badge;
pub(super) mod register_table;
pub(super) mod sheet;
pub(super) mod sheet_facts;
pub(super) mod sheet_figures;
pub(super) mod sheet_met;
pub(super) mod sheet_offer;
pub(super) mod sheet_start;
pub(super) mod sheets_of;
