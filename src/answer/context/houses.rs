//! One house for all who ask while nothing is written: a server answers many questions about one
//! state of the ledger, and to load its registers is the dearest part of most of them.

use std::sync::{Arc, Mutex, PoisonError};

use super::error::AnswerError;
use super::load::House;
use crate::ledger::{Snapshot, StateOfFile};

/// The house of the newest state that was asked about. Its clones are the same one.
#[derive(Debug, Clone, Default)]
pub struct Houses(Arc<Mutex<Kept>>);

type Kept = Option<(StateOfFile, Arc<House>)>;

impl Houses {
    /// The house of a state: the one that is kept, or loaded now. Who asks meanwhile waits for it
    /// and does not load it again. What is about an earlier entry or an earlier day is asked for
    /// seldom, and not kept.
    pub fn of(&self, snapshot: &Snapshot<'_>) -> Result<Arc<House>, AnswerError> {
        let Some(state) = snapshot.state_of_file()? else {
            return Ok(Arc::new(House::load(snapshot)?));
        };
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((of, house)) = &*kept
            && *of == state
        {
            return Ok(Arc::clone(house));
        }
        let house = Arc::new(House::load(snapshot)?);
        *kept = Some((state, Arc::clone(&house)));
        Ok(house)
    }
}
