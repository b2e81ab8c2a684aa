//! An answer as text, CSV, JSON or a chart. May use `answer` and everything
//! below it; prints nothing itself.
//!
//! Every answer becomes a `Report` (headings, tables, lines, cautions), and
//! `text` and `csv` render any report; `json` puts the answer itself into an
//! envelope. The folders are those of `answer`, with a file a group of answers.

pub mod chart;
mod dose;
mod entry;
mod equipment;
mod event;
mod review;
mod status;

mod csv;
mod fine;
mod inline;
mod json;
mod markdown;
mod page;
mod report;
mod spanish_stops;
mod text;
mod translated;
mod values;

pub use chart::ChartError;
pub use csv::{NoCsv, csv, csv_of, csv_of_each, listed, tables_of};
pub use dose::account::{crew_report, dose_report};
pub use dose::estimate::{plan_report, reconstruct_report};
pub use dose::forecast::forecast_report;
pub use dose::notional::notional_report;
pub use dose::private::kept_report;
pub use dose::reconcile::reconcile_report;
pub use dose::year::year_chart;
pub use entry::evidence::{evidence_report, one_evidence_report};
pub use entry::form::{form_report, is_form_page, sheet_form_page};
pub use entry::history::{
    entry_report, history_report, taken_report, verification_report, with_taken,
};
pub use entry::preview::preview_report;
pub use entry::register::register_report;
pub use entry::rule_set::{rule_set_report, rule_sets_report};
pub use entry::sheet::{
    FAULT_COLUMNS, faults_table, refused_report, sheets_report, stops_in_short, stops_report,
    with_start, written_after,
};
pub use equipment::checklist::{checklist_plain, checklist_report, checklists_report, diff_report};
pub use equipment::due_ahead::{due_ahead_report, due_calendar, is_due_calendar};
pub use equipment::form::inspection_form_page;
pub use equipment::inspection::{
    after_inspections_report, inspection_form, inspection_report, inspections_report,
    item_question, question_in,
};
pub use equipment::item::{calibrations_report, due_report, item_report};
pub use equipment::labels::{is_labels_page, label_size, label_sizes, labels_page, labels_report};
pub use equipment::wear::{wear_chart_of, wear_list_report, wear_report};
pub use event::notification::{
    draft_report, notification_report, notifications_report, private_report,
};
pub use event::ranking::ranking_report;
pub use event::record::{event_report, events_report};
pub use event::trace::{trace_page, trace_report};
pub use event::trace_chart::{ranking_chart_of, trace_chart_of};
pub use inline::{Piece, pieces};
pub use json::json;
pub use markdown::markdown;
pub use page::{Links, Named, STYLE, Way, document, linked_parts, page, report_parts, table_of};
pub use report::{Align, Part, Report, Table};
pub use review::alerts::alerts_report;
pub use review::charts::{collective_chart, crew_chart, due_chart, reconcile_chart};
pub use review::finding::{findings_report, held_report};
pub use review::lists::lists_report;
pub use review::month::{review_diff_report, review_drawings, review_report};
pub use review::records::records_report;
pub use review::statement::{statement_page, statement_report, statements_table};
pub use review::year::year_review_report;
pub use spanish_stops::{SaidOfOne, SaidOfStops, said_of_stops, said_of_stops_report};
pub use status::board::board_report;
pub use status::leaver::leaver_report;
pub use status::pack::pack_report;
pub use status::work_status::work_status_report;
pub use text::text;
pub use translated::translated;
pub use values::{Value, ValueTable, tables_in};
