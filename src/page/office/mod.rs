//! The office's pages: every command that shows as a page, every command that writes as a form.

pub mod act;
pub mod act_form;
pub mod alerts;
pub mod board;
pub mod by_command;
pub mod calendar;
pub mod download;
pub mod evidence;
pub mod more;
pub mod upload;
pub mod ways;
