//! An answer as text, CSV, JSON or a chart. May use `answer` and everything
//! below it; prints nothing itself.
//!
//! Every answer becomes a `Report` (headings, tables, lines, cautions), and
//! `text` and `csv` render any report; `json` puts the answer itself into an
//! envelope. There is a file a group of answers.

pub mod chart;

mod board;
mod charts;
mod checklist;
mod csv;
mod dose;
mod entry;
mod estimate;
mod event;
mod finding;
mod fine;
mod forecast;
mod inspection;
mod json;
mod leaver;
mod lists;
mod markdown;
mod nobody;
mod notification;
mod notional;
mod pack;
mod page;
mod preview;
mod private;
mod ranking;
mod reconcile;
mod records;
mod register;
mod report;
mod review;
mod rule_set;
mod sheet;
mod statement;
mod statement_words;
mod text;
mod thing;
mod trace;
mod trace_chart;
mod trace_items;
mod values;
mod wear;
mod work_status;
mod year;
mod year_review;

pub use board::board_report;
pub use chart::ChartError;
pub use charts::{collective_chart, crew_chart, due_chart, reconcile_chart};
pub use checklist::{checklist_plain, checklist_report, checklists_report, diff_report};
pub use csv::{NoCsv, csv, csv_of, csv_of_each, listed};
pub use dose::{crew_report, dose_report};
pub use entry::{entry_report, history_report, taken_report, verification_report, with_taken};
pub use estimate::{plan_report, reconstruct_report};
pub use event::{event_report, events_report};
pub use finding::{findings_report, held_report};
pub use forecast::forecast_report;
pub use inspection::{
    after_inspections_report, inspection_form, inspection_report, inspections_report, item_question,
};
pub use json::json;
pub use leaver::leaver_report;
pub use lists::lists_report;
pub use markdown::markdown;
pub use notification::{draft_report, notification_report, notifications_report, private_report};
pub use notional::notional_report;
pub use pack::pack_report;
pub use page::{Links, Named, STYLE, document, linked_parts, page, report_parts, table_of};
pub use preview::preview_report;
pub use private::kept_report;
pub use ranking::ranking_report;
pub use reconcile::reconcile_report;
pub use records::records_report;
pub use register::register_report;
pub use report::{Align, Report, Table};
pub use review::{review_diff_report, review_drawings, review_report};
pub use rule_set::{rule_set_report, rule_sets_report};
pub use sheet::{
    FAULT_COLUMNS, faults_table, refused_report, sheets_report, stops_in_short, stops_report,
    with_start, written_after,
};
pub use statement::{statement_page, statement_report, statements_table};
pub use text::text;
pub use thing::{calibrations_report, due_report, thing_report};
pub use trace::{trace_page, trace_report};
pub use trace_chart::{ranking_chart_of, trace_chart_of};
pub use values::{Value, ValueTable, tables_in};
pub use wear::{wear_chart_of, wear_list_report, wear_report};
pub use work_status::work_status_report;
pub use year::year_chart;
pub use year_review::year_review_report;
