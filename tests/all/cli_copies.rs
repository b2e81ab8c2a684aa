//! Copies as their user makes them, what the board says of them, and the copy a day of a server.

use std::path::PathBuf;
use std::time::{Duration, Instant};

use super::cli_support::Place;
use super::page_support::{Moving, served_by};

fn copies(place: &Place) -> PathBuf {
    let dir = place.path("copies");
    std::fs::create_dir_all(&dir).expect("the test's own folder");
    dir
}

fn made(place: &Place) -> Vec<String> {
    let all = std::fs::read_dir(place.path("copies")).expect("the folder");
    let mut names: Vec<String> = all
        .map(|it| {
            it.expect("a file")
                .file_name()
                .to_string_lossy()
                .into_owned()
        })
        .filter(|it| it.ends_with(".db"))
        .collect();
    names.sort();
    names
}

/// What was said, on one line again.
fn flat(said: &str) -> String {
    said.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn board(place: &Place) -> String {
    flat(&place.done("board").out)
}

#[test]
fn the_board_says_how_old_the_newest_copy_is_and_where() {
    let mut place = Place::with_registers("copies, board");
    copies(&place);
    assert!(!board(&place).contains("Copies of the ledger"));
    let said = place.done("ledger copies --dir DIR/copies --keep 2");
    assert!(
        flat(&said.out).contains("is a verified copy"),
        "{}",
        said.out
    );
    assert_eq!(made(&place).len(), 1);
    assert!(
        made(&place)[0].ends_with("-2026-06-15.db"),
        "{:?}",
        made(&place)
    );
    let said = board(&place);
    assert!(said.contains("Copies of the ledger:"), "{said}");
    let fresh = "is less than an hour old, nothing was written since; never tried";
    assert!(said.contains(fresh), "{said}");
    let said = place.done("ledger copies --dir DIR/copies --keep 2");
    assert!(
        flat(&said.out).contains("has everything already"),
        "{}",
        said.out
    );
    // Three days and an entry later it is too old, and that is one thing to do.
    place.done("worker role --worker W08 --role radiographer --from 2026-06-16");
    place.turn_to("wearbook.db", "2026-06-18T15:00:00Z");
    let said = board(&place);
    assert!(said.contains("is 3 days old, 1 entry since"), "{said}");
    assert!(said.contains("due copies in"), "{said}");
    let said = place.done("ledger copies --dir DIR/copies --drill");
    assert!(flat(&said.out).contains("stands the drill"), "{}", said.out);
    assert!(
        flat(&said.out).contains("1 entry came later"),
        "{}",
        said.out
    );
    assert!(board(&place).contains("last drill 2026-06-18 10:00"));
    // An earlier day knew nothing of it.
    let said = place.done("board --on 2026-06-15");
    assert!(
        !flat(&said.out).contains("Copies of the ledger"),
        "{}",
        said.out
    );
    // A disk that was unplugged.
    std::fs::rename(place.path("copies"), place.path("elsewhere")).expect("a folder");
    assert!(board(&place).contains("IT IS NOT THERE any more"));
    let said = place.quiet("ledger copies --dir DIR/copies");
    assert_eq!(said.code, 1);
    assert!(
        flat(&said.err).contains("there is no folder"),
        "{}",
        said.err
    );
    let said = board(&place);
    assert!(
        said.contains("the last try, 2026-06-18 10:00, failed: there is no folder"),
        "{said}"
    );
}

#[test]
fn a_drill_of_a_damaged_copy_names_the_newest_good_one_and_what_to_do() {
    let mut place = Place::with_registers("copies, damaged");
    let dir = copies(&place);
    place.done("ledger copies --dir DIR/copies");
    place.done("worker role --worker W08 --role radiographer --from 2026-06-15");
    place.turn_to("wearbook.db", "2026-06-16T15:00:00Z");
    place.done("ledger copies --dir DIR/copies");
    let (older, newest) = (made(&place).remove(0), made(&place).remove(1));
    let whole = std::fs::read(dir.join(&newest)).expect("the copy");
    for (bytes, wrong) in [
        (whole[..whole.len() / 2].to_vec(), "NOT GOOD"),
        (b"no ledger".to_vec(), "NOT GOOD"),
    ] {
        std::fs::write(dir.join(&newest), bytes).expect("a file");
        let said = place.quiet("ledger copies --dir DIR/copies --drill");
        assert_eq!(said.code, 4, "{}{}", said.out, said.err);
        let said = flat(&said.out);
        for words in [
            wrong,
            &format!("{newest}, the newest copy"),
            &format!("{older} is the newest good one: 1 entry of this ledger came after it"),
            &format!("2. move {newest} out of the folder"),
            "3. make a new copy",
        ] {
            assert!(said.contains(words), "{words}: {said}");
        }
    }
    std::fs::write(dir.join(&older), "no ledger").expect("a file");
    let said = flat(&place.quiet("ledger copies --dir DIR/copies --drill").out);
    assert!(said.contains("NO COPY IN THIS FOLDER IS GOOD"), "{said}");
    // What it says helps.
    std::fs::remove_file(dir.join(&newest)).expect("a file");
    place.done("ledger copies --dir DIR/copies");
    place.done("ledger copies --dir DIR/copies --drill");
}

#[test]
fn a_folder_that_was_misspelled_leaves_the_board_when_another_has_a_copy_or_it_is_forgotten() {
    let mut place = Place::with_registers("copies, misspelled");
    copies(&place);
    assert_eq!(place.quiet("ledger copies --dir DIR/copeis").code, 1);
    assert!(board(&place).contains("copeis"));
    place.turn_to("wearbook.db", "2026-06-15T16:00:00Z");
    place.done("ledger copies --dir DIR/copies");
    let said = board(&place);
    assert!(
        !said.contains("copeis") && said.contains("copies:"),
        "{said}"
    );
    // One that was used and is gone stays until somebody forgets it.
    std::fs::rename(place.path("copies"), place.path("elsewhere")).expect("a folder");
    place.done("ledger copies --dir DIR/elsewhere");
    let said = board(&place);
    assert!(
        said.contains("IT IS NOT THERE") && said.contains("--forget"),
        "{said}"
    );
    place.done("ledger copies --dir DIR/copies --forget");
    let said = board(&place);
    assert!(!said.contains("IT IS NOT THERE"), "{said}");
    assert!(said.contains("elsewhere"), "{said}");
    assert_eq!(made_in(&place, "elsewhere"), 1);
    let said = place.quiet("ledger copies --dir DIR/copies --forget");
    assert_eq!(said.code, 1);
    assert!(flat(&said.err).contains("known are"), "{}", said.err);
}

fn made_in(place: &Place, folder: &str) -> usize {
    let all = std::fs::read_dir(place.path(folder)).expect("the folder");
    all.filter(|it| {
        let name = it.as_ref().expect("a file").file_name();
        name.to_string_lossy().ends_with(".db")
    })
    .count()
}

#[test]
fn what_cannot_be_copied_is_a_sentence_each_and_nothing_is_lost() {
    let mut place = Place::with_registers("copies, refused");
    let dir = copies(&place);
    place.file("file", "no folder");
    for (line, code, words) in [
        (
            "ledger copies --dir DIR/copies --keep 0",
            2,
            "`0` is out of range hint: at least 1",
        ),
        (
            "ledger copies --dir DIR/copies --keep 70000",
            2,
            "`70000` is out of range hint: at most 65535",
        ),
        (
            "ledger copies --dir DIR/copies --keep ten",
            2,
            "`ten` is not a whole number",
        ),
        ("ledger copies --dir DIR/file", 1, "not a folder"),
        (
            "ledger copies --dir DIR/copies --drill",
            1,
            "no copy of this ledger in",
        ),
    ] {
        let said = place.quiet(line);
        assert_eq!(said.code, code, "{line}: {}", said.err);
        assert!(flat(&said.err).contains(words), "{line}: {}", said.err);
    }
    place.done("ledger copies --dir DIR/copies");
    let name = made(&place).remove(0);
    // What is no copy any more stands in the way of today's, and stays.
    std::fs::write(dir.join(&name), "no ledger").expect("a file");
    let said = place.quiet("ledger copies --dir DIR/copies");
    assert_eq!(said.code, 1, "{}", said.out);
    assert!(
        flat(&said.err).contains("it stays as it is"),
        "{}",
        said.err
    );
    assert_eq!(
        std::fs::read(dir.join(&name)).expect("a file"),
        b"no ledger"
    );
    place.turn_to("wearbook.db", "2026-06-16T15:00:00Z");
    let said = place.done("ledger copies --dir DIR/copies");
    assert!(flat(&said.out).contains(&name), "{}", said.out);
    assert_eq!(made(&place).len(), 2);
}

/// Waits for what a thread of the server does.
fn waited_for(what: &str, is_so: impl Fn() -> bool) {
    let begun = Instant::now();
    while !is_so() {
        assert!(begun.elapsed() < Duration::from_secs(60), "{what}");
        std::thread::sleep(Duration::from_millis(50));
    }
}

#[test]
fn a_server_makes_the_copy_of_the_day_while_people_write() {
    let place = Place::with_registers("copies, served");
    copies(&place);
    let line = format!("serve --copies {}", place.path("copies").display());
    let clock = Moving::from(place.now);
    let browser = served_by(&place, &line, &clock).signed_in("W08");
    waited_for("a copy", || made(&place).len() == 1);
    assert_eq!(browser.get("/board").status, 200);
    place.done("worker role --worker W08 --role radiographer --from 2026-06-16");
    place.done("ledger verify");
}

#[test]
fn a_server_says_at_once_that_the_folder_of_copies_is_not_there() {
    let place = Place::with_registers("copies, not served");
    let said = place.quiet("serve --port 0 --copies DIR/unplugged");
    assert_eq!(said.code, 1);
    assert!(
        flat(&said.err).contains("there is no folder"),
        "{}",
        said.err
    );
}
