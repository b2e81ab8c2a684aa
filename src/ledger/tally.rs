//! How far a long item of work is, for whoever watches. The work counts, nobody waits for it:
//! a count is one store to memory, and without a watcher nobody reads it.

use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

/// A count that several hands hold.
#[derive(Debug, Clone, Default)]
pub struct Tally(Arc<Counts>);

#[derive(Debug, Default)]
struct Counts {
    what: Mutex<&'static str>,
    total: AtomicU64,
    done: AtomicU64,
}

/// What a tally says at one moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Progress {
    /// What is being done, as `verifying the chain`; empty before anything is.
    pub what: &'static str,
    /// Of how many parts; zero where nobody knows.
    pub total: u64,
    /// How many are done.
    pub done: u64,
}

impl Tally {
    /// Begins an item of work of so many parts; zero where their number is not known.
    pub fn begin(&self, what: &'static str, total: u64) {
        // A watcher that died holding the words has not changed them.
        *self.0.what.lock().unwrap_or_else(PoisonError::into_inner) = what;
        self.0.total.store(total, Ordering::Relaxed);
        self.0.done.store(0, Ordering::Relaxed);
    }

    /// So many parts are done.
    pub fn reach(&self, done: u64) {
        self.0.done.store(done, Ordering::Relaxed);
    }

    /// How far it is.
    pub fn now(&self) -> Progress {
        Progress {
            what: *self.0.what.lock().unwrap_or_else(PoisonError::into_inner),
            total: self.0.total.load(Ordering::Relaxed),
            done: self.0.done.load(Ordering::Relaxed),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tally_is_one_count_in_several_hands() {
        let tally = Tally::default();
        let watcher = tally.clone();
        tally.begin("counting", 10);
        tally.reach(3);
        let seen = watcher.now();
        assert_eq!((seen.what, seen.total, seen.done), ("counting", 10, 3));
        tally.begin("something else", 0);
        assert_eq!(watcher.now().done, 0);
    }
}
