//! What every write shares: the author, the rows of a register, corrections, decisions, faults.

pub(super) mod adopt;
pub(super) mod amend;
pub(super) mod authority;
pub(super) mod correct;
pub(super) mod effect;
pub(super) mod evidence;
pub(super) mod fault;
pub(super) mod label;
pub(super) mod name_held;
pub(super) mod paper;
pub(super) mod private;
pub(super) mod reread;
pub(super) mod said;
pub(super) mod settle;
pub(super) mod settled_before;
pub(super) mod take;
pub(super) mod taken;
pub(super) mod verdict;
