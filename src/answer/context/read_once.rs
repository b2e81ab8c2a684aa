//! What was read or worked out before in this process. Rule sets and checklists are long texts that
//! never change once they are adopted, and a folder of statements or a page asks for them often.

use std::collections::HashMap;
use std::hash::Hash;
use std::sync::{LazyLock, Mutex, MutexGuard, PoisonError};

/// More than this many are forgotten together: a process that opens many ledgers stays small.
const MOST: usize = 64;

/// Values by what they were made from.
pub(crate) struct ReadOnce<K: 'static, V: 'static>(LazyLock<Mutex<HashMap<K, V>>>);

impl<K: Eq + Hash, V: Clone> ReadOnce<K, V> {
    pub const fn new() -> ReadOnce<K, V> {
        ReadOnce(LazyLock::new(Mutex::default))
    }

    fn all(&self) -> MutexGuard<'_, HashMap<K, V>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The value made from a key, now if it was not before. What fails is made anew each time.
    pub fn of<E>(&self, key: K, make: impl FnOnce() -> Result<V, E>) -> Result<V, E> {
        if let Some(known) = self.all().get(&key) {
            return Ok(known.clone());
        }
        let made = make()?;
        let mut all = self.all();
        if all.len() >= MOST {
            all.clear();
        }
        all.insert(key, made.clone());
        Ok(made)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_is_made_once_and_a_failure_each_time() {
        static ALL: ReadOnce<u8, u8> = ReadOnce::new();
        let mut made = 0;
        for _ in 0..3 {
            let of = ALL.of(1, || {
                made += 1;
                Ok::<_, ()>(7)
            });
            assert_eq!(of, Ok(7));
        }
        assert_eq!(made, 1);
        for _ in 0..2 {
            assert_eq!(ALL.of(2, || Err("no")), Err("no"));
        }
        for key in 3..=255 {
            assert_eq!(ALL.of(key, || Ok::<_, ()>(key)), Ok(key));
        }
        assert!(ALL.all().len() <= MOST);
    }
}
