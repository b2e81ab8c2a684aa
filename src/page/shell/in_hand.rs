//! Files that came with a form and wait to be put on record: in memory alone, few, each in the hand
//! of the session in which it came.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, PoisonError};

use super::secret::secret;
use crate::intake::Content;

/// At most so many files wait for the form that puts them on record.
const IN_HAND: usize = 3;

/// A file that came with a form.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Upload {
    /// The form's field.
    pub field: String,
    /// What the file is called where it is from, without its folders.
    pub name: String,
    /// What is in it.
    pub bytes: Content,
}

/// Files that were looked at and wait to be put on record, so that nobody has to choose them twice.
/// Each belongs to the session in which it came.
#[derive(Debug, Default)]
pub struct InHand(Mutex<VecDeque<(String, String, Upload)>>);

impl InHand {
    fn all(&self) -> std::sync::MutexGuard<'_, VecDeque<(String, String, Upload)>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Keeps a file for a session; the oldest makes room. What it is asked for by; nothing where
    /// the system has no randomness to give.
    fn keep(&self, session: &str, file: Upload) -> Option<String> {
        let id = secret().ok()?;
        let mut all = self.all();
        all.push_back((session.to_owned(), id.clone(), file));
        if all.len() > IN_HAND {
            all.pop_front();
        }
        Some(id)
    }

    /// Gives a file of a session back and keeps it no longer.
    fn take(&self, session: &str, id: &str) -> Option<Upload> {
        let mut all = self.all();
        let at = all.iter().position(|it| it.0 == session && it.1 == id)?;
        all.remove(at).map(|it| it.2)
    }

    /// Keeps nothing of a session any more.
    pub fn forget(&self, session: &str) {
        self.all().retain(|it| it.0 != session);
    }
}

/// The files in hand of one session.
#[derive(Debug, Clone, Default)]
pub struct Hand {
    pub files: Arc<InHand>,
    pub session: String,
}

impl Hand {
    /// Keeps a file until its form is sent again; what it is asked for by.
    pub fn keep(&self, file: Upload) -> Option<String> {
        self.files.keep(&self.session, file)
    }

    /// Gives a file back that this browser sent before.
    pub fn take(&self, id: &str) -> Option<Upload> {
        self.files.take(&self.session, id)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_in_hand_is_given_to_its_own_session_once_and_the_oldest_makes_room() {
        let files = Arc::new(InHand::default());
        let of = |session: &str| Hand {
            files: Arc::clone(&files),
            session: session.to_owned(),
        };
        let file = |name: &str| Upload {
            field: "file".to_owned(),
            name: name.to_owned(),
            bytes: b"x".as_slice().into(),
        };
        let first = of("a").keep(file("1")).unwrap();
        assert_eq!(of("b").take(&first), None);
        assert_eq!(of("a").take(&first), Some(file("1")));
        assert_eq!(of("a").take(&first), None);
        let oldest = of("a").keep(file("2")).unwrap();
        let others: Vec<String> = (0..IN_HAND)
            .map(|_| of("b").keep(file("3")).unwrap())
            .collect();
        assert_eq!(of("a").take(&oldest), None);
        files.forget("b");
        assert!(others.iter().all(|it| of("b").take(it).is_none()));
    }
}
