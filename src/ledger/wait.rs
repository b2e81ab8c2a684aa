//! Waiting for another process: in small steps of the same length for everybody, so that who has
//! waited long is not behind who came last. (SQLite's own waits grow longer each time.)

use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;

use rusqlite::Connection;

/// How long a command waits where it is not told otherwise, seconds.
pub const WAIT_S: u64 = 30;

static MOST_S: AtomicU64 = AtomicU64::new(WAIT_S);

/// One step, milliseconds; to each comes up to [`SPREAD_MS`], so that two do not try in step.
const STEP_MS: u64 = 4;
const SPREAD_MS: u64 = 4;

/// Lets every wait of this process last so many seconds at most.
pub fn wait_at_most(seconds: u64) {
    MOST_S.store(seconds, Ordering::Relaxed);
}

/// How long a wait of this process lasts at most, seconds.
pub(super) fn most_s() -> u64 {
    MOST_S.load(Ordering::Relaxed)
}

/// Lets a connection wait.
pub(super) fn patient(conn: &mut Connection) -> rusqlite::Result<()> {
    conn.busy_handler(Some(step))
}

/// Waits once more, unless it has been long enough.
fn step(so_far: i32) -> bool {
    let so_far = u64::try_from(so_far).unwrap_or(0);
    let middle = STEP_MS + SPREAD_MS / 2;
    if so_far * middle >= most_s() * 1000 {
        return false;
    }
    let own = u64::from(std::process::id()) + so_far * 7;
    std::thread::sleep(Duration::from_millis(STEP_MS + own % (SPREAD_MS + 1)));
    true
}
