//! A line that says how far a long command is: on a terminal only, after a second, four times a
//! second at most, without colour, and gone before the answer is printed.
//!
//! It is drawn by a thread of its own that counts its own waits, so that the work neither looks
//! at a clock nor waits for a screen.

use std::io::Write;
use std::sync::mpsc::{RecvTimeoutError, Sender, channel};
use std::thread::JoinHandle;
use std::time::Duration;

use crate::ledger::{Progress, Tally};

/// Where the line is drawn: a terminal.
pub type Screen = Box<dyn Write + Send>;

/// From one drawing to the next.
const TICK: Duration = Duration::from_millis(250);
/// So many ticks pass before the first.
const QUIET_TICKS: u32 = 4;
/// The widest that a line may be: it must not wrap.
const WIDTH: usize = 79;

/// Work that is being watched; the line goes when this is dropped.
pub(crate) struct Watched {
    /// What the work counts with.
    pub tally: Tally,
    stop: Option<(Sender<()>, JoinHandle<()>)>,
}

impl Watched {
    /// Begins to watch, where there is a screen.
    pub fn begin(screen: Option<Screen>) -> Watched {
        Watched::at_pace(screen, TICK)
    }

    fn at_pace(screen: Option<Screen>, tick: Duration) -> Watched {
        let tally = Tally::default();
        let watched = tally.clone();
        let stop = screen.map(|screen| {
            let (sender, receiver) = channel::<()>();
            let thread = std::thread::spawn(move || {
                let wait = || receiver.recv_timeout(tick) == Err(RecvTimeoutError::Timeout);
                draw(screen, &watched, wait);
            });
            (sender, thread)
        });
        Watched { tally, stop }
    }
}

impl Drop for Watched {
    fn drop(&mut self) {
        if let Some((sender, thread)) = self.stop.take() {
            drop(sender);
            // Where the line could not be drawn the work was done all the same.
            let _ = thread.join();
        }
    }
}

/// Draws as long as `wait` says that the work goes on.
fn draw(mut screen: Screen, tally: &Tally, wait: impl Fn() -> bool) {
    let mut drawn = 0;
    let mut ticks = 0_u32;
    while wait() {
        ticks = ticks.saturating_add(1);
        let now = tally.now();
        if ticks < QUIET_TICKS || now.what.is_empty() {
            continue;
        }
        let text = line(now, ticks / QUIET_TICKS);
        let wide = text.chars().count();
        let blanks = " ".repeat(drawn.max(wide) - wide);
        // A screen that is gone is no reason to stop the work.
        let _ = write!(screen, "\r{text}{blanks}").and_then(|()| screen.flush());
        drawn = wide;
    }
    if drawn > 0 {
        let _ = write!(screen, "\r{}\r", " ".repeat(drawn)).and_then(|()| screen.flush());
    }
}

/// What the line says: a share that is rounded down, or the seconds where there is none.
fn line(now: Progress, seconds: u32) -> String {
    let words = match now.total {
        0 => format!("{} ... {seconds} s", now.what),
        total => {
            let share = u128::from(now.done.min(total)) * 100 / u128::from(total);
            let full = usize::try_from(share / 5).unwrap_or(0);
            let bar = "#".repeat(full) + &".".repeat(20 - full.min(20));
            format!("{} [{bar}] {share} % {seconds} s", now.what)
        }
    };
    words.chars().take(WIDTH).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::{Arc, Mutex};

    #[derive(Clone, Default)]
    struct Paper(Arc<Mutex<Vec<u8>>>);

    impl Write for Paper {
        fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
            self.0.lock().unwrap().extend_from_slice(bytes);
            Ok(bytes.len())
        }

        fn flush(&mut self) -> std::io::Result<()> {
            Ok(())
        }
    }

    impl Paper {
        fn text(&self) -> String {
            String::from_utf8(self.0.lock().unwrap().clone()).unwrap()
        }
    }

    /// Draws for so many ticks at one stand of the tally.
    fn drawn(ticks: u32, tally: &Tally) -> String {
        let paper = Paper::default();
        let left = std::cell::Cell::new(ticks);
        draw(Box::new(paper.clone()), tally, || {
            left.set(left.get().saturating_sub(1));
            left.get() > 0
        });
        paper.text()
    }

    #[test]
    fn nothing_is_drawn_within_the_first_second_and_the_line_is_gone_at_the_end() {
        let tally = Tally::default();
        tally.begin("verifying the chain", 200);
        tally.reach(99);
        assert_eq!(drawn(QUIET_TICKS, &tally), "");
        let text = drawn(QUIET_TICKS + 2, &tally);
        let line = "verifying the chain [#########...........] 49 % 1 s";
        assert_eq!(text.matches(line).count(), 2, "{text:?}");
        let blank = format!("\r{}\r", " ".repeat(line.len()));
        assert!(text.ends_with(&blank), "{text:?}");
        assert!(!text.contains('\u{1b}'), "no colour, no other sequence");
    }

    #[test]
    fn what_has_no_known_end_has_its_seconds_and_what_has_not_begun_nothing() {
        let tally = Tally::default();
        assert_eq!(drawn(20, &tally), "");
        tally.begin("checking the file", 0);
        assert!(drawn(QUIET_TICKS * 3 + 1, &tally).contains("checking the file ... 3 s"));
    }

    #[test]
    fn a_line_never_says_more_than_is_done_and_never_wraps() {
        let at = |done, total| {
            let what = "taking in";
            line(Progress { what, total, done }, 9)
        };
        assert!(at(999, 1000).contains("99 %"));
        assert!(at(1000, 1000).contains("100 %"));
        assert!(at(5000, 1000).contains("100 %"), "a file that grew");
        assert!(at(u64::MAX - 1, u64::MAX).contains("99 %"));
        let long = "x".repeat(200);
        let what: &'static str = Box::leak(long.into_boxed_str());
        let line = line(
            Progress {
                what,
                total: 1,
                done: 0,
            },
            1,
        );
        assert_eq!(line.len(), WIDTH);
    }

    #[test]
    fn without_a_screen_no_thread_runs_and_with_one_it_ends_with_the_work() {
        let quiet = Watched::begin(None);
        quiet.tally.begin("anything", 1);
        assert!(quiet.stop.is_none());
        let paper = Paper::default();
        let watched = Watched::at_pace(Some(Box::new(paper.clone())), Duration::from_millis(2));
        watched.tally.begin("taking in", 4);
        watched.tally.reach(1);
        while !paper.text().contains("25 %") {
            std::thread::yield_now();
        }
        drop(watched);
        let text = paper.text();
        assert!(text.ends_with('\r'));
        assert_eq!(paper.text(), text);
    }
}
