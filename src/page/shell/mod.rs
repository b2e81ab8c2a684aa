//! What every page stands on: the ledger behind it, what was asked, who may ask, and what a page is
//! made of.

pub mod acts;
pub mod asked;
pub mod desk;
pub mod field;
pub mod frame;
pub mod guard;
pub mod in_hand;
pub mod kept;
pub mod language;
pub mod live;
pub mod named;
pub mod pages;
pub mod places;
pub mod plain;
pub mod rights;
pub mod scanned;
pub mod secret;
