//! Each step that changes something on the disk; tests stop at any of them.

/// What stands before each step that changes something on the disk.
///
/// # Errors
/// None outside tests.
#[cfg(not(test))]
#[expect(clippy::unnecessary_wraps, reason = "in tests it stops")]
pub(super) fn next() -> std::io::Result<()> {
    Ok(())
}

#[cfg(test)]
pub(super) use stopping::{is_gone, next, stop_after};

#[cfg(test)]
mod stopping {
    use std::cell::Cell;

    thread_local! {
        static LEFT: Cell<Option<u32>> = const { Cell::new(None) };
        static GONE: Cell<bool> = const { Cell::new(false) };
    }

    /// Stops the work of this thread after so many steps, as a kill would: nothing is tidied up.
    pub(crate) fn stop_after(steps: Option<u32>) {
        LEFT.set(steps);
        GONE.set(false);
    }

    /// Whether the work was stopped.
    pub(crate) fn is_gone() -> bool {
        GONE.get()
    }

    pub(crate) fn next() -> std::io::Result<()> {
        match LEFT.get() {
            None => Ok(()),
            Some(0) => {
                GONE.set(true);
                Err(std::io::Error::other("stopped"))
            }
            Some(left) => {
                LEFT.set(Some(left - 1));
                Ok(())
            }
        }
    }
}
