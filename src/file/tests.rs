//! Stopped at any step, what is under a name is whole, and the same again succeeds.

use std::path::Path;

use super::step::stop_after;
use super::*;

/// More steps than any work here takes.
const MOST: u32 = 40;

fn text(path: &Path) -> Option<String> {
    std::fs::read_to_string(path).ok()
}

fn is_text(path: &Path) -> bool {
    path.extension().is_some_and(|it| it == "txt")
}

/// Does something as often as it has steps, each time stopped after one more; what is left each
/// time is looked at, and then it is done again without a stop.
fn stopped_at_each(
    prepare: impl Fn(&Path),
    work: impl Fn(&Path) -> Result<(), WriteError>,
    left: impl Fn(&Path, u32),
    done: impl Fn(&Path),
) {
    for steps in 0..MOST {
        let dir = tempfile::tempdir().unwrap();
        prepare(dir.path());
        stop_after(Some(steps));
        let first = work(dir.path());
        stop_after(None);
        if first.is_ok() {
            done(dir.path());
            assert!(steps > 3, "it was stopped {steps} times only");
            return;
        }
        left(dir.path(), steps);
        work(dir.path()).unwrap_or_else(|error| panic!("again after {steps}: {error}"));
        done(dir.path());
    }
    panic!("it takes more than {MOST} steps");
}

#[test]
fn a_new_file_that_is_stopped_at_any_step_is_not_there_or_whole() {
    let over = Over::Own(is_text);
    stopped_at_each(
        |_| {},
        |dir| write_whole(&dir.join("a.txt"), b"whole", over),
        |dir, steps| {
            let there = text(&dir.join("a.txt"));
            assert!(there.is_none_or(|it| it == "whole"), "after {steps}");
        },
        |dir| {
            assert_eq!(text(&dir.join("a.txt")).as_deref(), Some("whole"));
            assert_eq!(std::fs::read_dir(dir).unwrap().count(), 1);
        },
    );
}

#[test]
fn an_earlier_file_stays_whole_until_the_new_one_is() {
    let over = Over::Own(is_text);
    stopped_at_each(
        |dir| std::fs::write(dir.join("a.txt"), "earlier").unwrap(),
        |dir| write_whole(&dir.join("a.txt"), b"whole", over),
        |dir, steps| {
            let there = text(&dir.join("a.txt")).unwrap();
            assert!(
                ["earlier", "whole"].contains(&there.as_str()),
                "after {steps}: {there}"
            );
        },
        |dir| assert_eq!(text(&dir.join("a.txt")).as_deref(), Some("whole")),
    );
}

#[test]
fn a_folder_that_is_stopped_at_any_step_is_not_there_or_whole() {
    let files = ["a.csv", "b.csv", "c.csv"];
    let work = |dir: &Path| {
        let to = dir.join("out");
        let building = match FolderBuilding::begin(&to) {
            // Stopped after it got its name: there is nothing left to do.
            Err(WriteError::Exists { path }) if path == to => return Ok(()),
            begun => begun?,
        };
        for name in files {
            step::next().map_err(fault(&to))?;
            std::fs::write(building.path().join(name), name).unwrap();
        }
        building.finish()
    };
    let whole = |dir: &Path| {
        for name in files {
            assert_eq!(text(&dir.join("out").join(name)).as_deref(), Some(name));
        }
    };
    stopped_at_each(
        |_| {},
        work,
        |dir, steps| {
            let there = std::fs::read_dir(dir.join("out")).map_or(0, Iterator::count);
            assert!(there == 0 || there == files.len(), "after {steps}: {there}");
        },
        |dir| {
            whole(dir);
            assert_eq!(std::fs::read_dir(dir).unwrap().count(), 1);
        },
    );
}

#[test]
fn what_is_there_is_never_overwritten_unless_it_is_of_the_same_kind() {
    let dir = tempfile::tempdir().unwrap();
    let to = dir.path().join("a.md");
    std::fs::write(&to, "mine").unwrap();
    for over in [Over::Nothing, Over::Own(is_text)] {
        let refused = write_whole(&to, b"new", over);
        assert!(
            matches!(refused, Err(WriteError::Exists { .. })),
            "{refused:?}"
        );
        assert_eq!(text(&to).as_deref(), Some("mine"));
    }
    let own = dir.path().join("a.txt");
    std::fs::write(&own, "earlier").unwrap();
    let refused = write_whole(&own, b"new", Over::Nothing);
    assert!(
        matches!(refused, Err(WriteError::Exists { .. })),
        "{refused:?}"
    );
    std::fs::write(dir.path().join("stays"), "x").unwrap();
    let refused = FolderBuilding::begin(dir.path());
    assert!(matches!(refused, Err(WriteError::Exists { .. })));
}

#[cfg(unix)]
#[test]
fn nothing_is_written_through_a_link() {
    let dir = tempfile::tempdir().unwrap();
    let target = dir.path().join("target.txt");
    std::fs::write(&target, "mine").unwrap();
    for (name, to) in [("good.txt", "target.txt"), ("dangling.txt", "nowhere.txt")] {
        let link = dir.path().join(name);
        std::os::unix::fs::symlink(dir.path().join(to), &link).unwrap();
        for over in [Over::Nothing, Over::Own(is_text)] {
            let refused = write_whole(&link, b"new", over);
            assert!(
                matches!(refused, Err(WriteError::Exists { .. })),
                "{refused:?}"
            );
        }
    }
    let link = dir.path().join("new.txt.unfinished");
    std::os::unix::fs::symlink(&target, link).unwrap();
    let refused = write_whole(&dir.path().join("new.txt"), b"new", Over::Nothing);
    assert!(
        matches!(refused, Err(WriteError::Exists { .. })),
        "{refused:?}"
    );
    assert_eq!(text(&target).as_deref(), Some("mine"));
}

#[test]
fn two_that_build_the_same_are_told_apart_from_one_that_was_left() {
    let dir = tempfile::tempdir().unwrap();
    let to = dir.path().join("a.txt");
    let first = Building::begin(&to, Over::Nothing).unwrap();
    let second = write_whole(&to, b"second", Over::Nothing);
    assert!(matches!(second, Err(WriteError::Busy { .. })), "{second:?}");
    first.finish().unwrap();
    assert_eq!(text(&to).as_deref(), Some(""));
    let third = write_whole(&to, b"third", Over::Nothing);
    assert!(matches!(third, Err(WriteError::Exists { .. })), "{third:?}");

    let to = dir.path().join("folder");
    let first = FolderBuilding::begin(&to).unwrap();
    let second = FolderBuilding::begin(&to);
    assert!(matches!(second, Err(WriteError::Busy { .. })));
    first.finish().unwrap();
    assert!(to.is_dir());
}

#[test]
fn a_folder_beside_that_is_somebody_elses_is_left_alone() {
    let dir = tempfile::tempdir().unwrap();
    let other = dir.path().join("out.unfinished");
    std::fs::create_dir(&other).unwrap();
    std::fs::write(other.join("mine.txt"), "mine").unwrap();
    let refused = FolderBuilding::begin(&dir.path().join("out"));
    assert!(matches!(refused, Err(WriteError::Exists { .. })));
    assert_eq!(text(&other.join("mine.txt")).as_deref(), Some("mine"));
}
