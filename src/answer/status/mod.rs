//! Questions of the morning: who may work, with which equipment, and what has to be put right
//! first.

pub(super) mod board;
pub(super) mod board_equipment;
pub(super) mod copies;
pub(super) mod covered;
pub(super) mod leaver;
pub(super) mod on_hold;
pub(super) mod pack;
pub(super) mod qualification_findings;
pub(super) mod qualified;
pub(super) mod start_warned;
pub(super) mod work_status;
pub(super) mod work_status_equipment;
