//! Which record speaks for which shift, once for a worker's whole history.
//!
//! Each shift belongs to one badge, resolved from all of the worker's badges
//! (`wearing`). Results, and determinations of days or of a badge, are claims to
//! the shifts that they cover (`claim`); a determination of one reading or one
//! shift is part of what the shift says of itself (`figure`). Two claims to one
//! shift contradict each other unless one names the other as superseded, a
//! resolution chose between them (`decision`), or they agree (`contest`). A
//! determination that stands until a result comes ends shift by shift with a
//! result of that shift. The account takes for each shift the one that speaks
//! for it; the conservative total takes of each group of claims that share shifts the
//! highest that they could make together (`group`).
//!
//! Account, conservative total and index are three ways to add up what is decided here.
//! A group is decided by its own records alone: what else a history holds
//! changes nothing in it.

mod beside;
mod build;
mod by_shift;
mod carve;
mod claim;
mod conflict;
mod contest;
mod covered;
mod deciding;
mod decision;
mod disposition;
pub(crate) mod figure;
pub(crate) mod group;
mod grouping;
mod live;
mod needed;
mod query;
mod resolved;
pub(crate) mod share;
mod silence;
mod silent;
mod together;
mod voice;
mod wearing;
pub(crate) mod why;
mod worlds;
mod worn_together;

pub use conflict::{Conflict, Dispute, Side};
pub use needed::days_needed;
pub use resolved::conflicts;
pub use silence::Silence;

pub(crate) use claim::determined_days;
pub(crate) use decision::Decisions;
pub(crate) use live::{Live, Source};
pub(crate) use resolved::{Excess, Resolved, Single, Units};
pub(crate) use wearing::{is_read_on_demand, trunk_of, was_worn};
