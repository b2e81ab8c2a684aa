//! All integration tests in one binary, one module an area.
#![forbid(unsafe_code)]

mod calendar_reference;
mod checklist_reference;
mod cli_agree;
mod cli_annual;
mod cli_answers;
mod cli_as_it_stands;
mod cli_badges;
mod cli_clearance;
mod cli_clock;
mod cli_corrections;
mod cli_decisions;
mod cli_demo;
mod cli_dose_request;
mod cli_estimate;
mod cli_event;
mod cli_event_six;
mod cli_figures;
mod cli_gallery;
mod cli_held_reading;
mod cli_help;
mod cli_in_event;
mod cli_inactive;
mod cli_inspect;
mod cli_job_ahead;
mod cli_known_dose;
mod cli_leaver;
mod cli_ledger;
mod cli_levels_past;
mod cli_notice;
mod cli_off_scale;
mod cli_private;
mod cli_private_kept;
mod cli_reads;
mod cli_reconcile;
mod cli_registers;
mod cli_remedies;
mod cli_reread;
mod cli_review;
mod cli_settling;
mod cli_sheet;
mod cli_source_doubts;
mod cli_statement;
mod cli_statement_form;
mod cli_statement_year;
mod cli_support;
mod cli_tamper;
mod cli_trace;
mod cli_trace_beside;
mod cli_trace_causes;
mod cli_trace_five;
mod cli_trace_when;
mod cli_upkeep;
mod cli_upkeep_refused;
mod cli_upkeep_shown;
mod corrections;
mod decay_reference;
mod demo_hidden;
mod estimate_reference;
mod ledger_chain;
mod ledger_clock;
mod ledger_commands;
mod ledger_files;
mod ledger_fixture;
mod ledger_guards;
mod ledger_histories;
mod ledger_keep;
mod ledger_model;
mod ledger_tamper;
mod ledger_upkeep;
mod ledger_watch;
mod pages;
mod plain_account;
mod quantity_reference;
mod record_canonical;
#[cfg(unix)]
mod retention_reference;
mod robust_damage;
#[cfg(unix)]
mod robust_disk;
#[cfg(unix)]
mod robust_folder;
#[cfg(unix)]
mod robust_kill;
#[cfg(unix)]
mod robust_place;
#[cfg(unix)]
mod robust_two;
mod scheme_reference;
mod special_populations;

mod stat_reference;
mod tamper_table;
mod text_older;
mod text_refused;
mod typed_references;
mod upkeep_ledgers;
mod upkeep_older;
mod wear_reference;
