//! The board, work status and who goes as reports.

pub(super) mod board;
pub(super) mod leaver;
pub(super) mod pack;
pub(super) mod work_status;
