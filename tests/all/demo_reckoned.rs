//! Every number that the board, the statements and the year's review print for the demonstration,
//! against the second reckoning of demo/making/reckon.py, which knows the input files alone.

use super::cli_demo::demo;
use super::cli_support::{run_with, words};

/// Why a number may be one that no file of the demonstration tells.
const WHY: &[&str] = &["rule", "entry", "split", "spelling"];

/// Signs around a number that are no part of it.
const EDGE: &[char] = &['(', ')', '[', ']', ',', ';', ':', '.', '`', '\'', '"'];

/// One number as it was reckoned; `*` is any.
struct Reckoned<'a> {
    place: &'a str,
    word: &'a str,
}

/// The words of a text that hold a digit.
fn numbers(text: &str) -> Vec<&str> {
    let words = text.split_whitespace().map(|it| it.trim_matches(EDGE));
    words
        .filter(|it| it.contains(|sign: char| sign.is_ascii_digit()))
        .collect()
}

/// The documents of the file: command, and its numbers in their order.
fn documents(file: &str) -> Vec<(&str, Vec<Reckoned<'_>>)> {
    let mut all: Vec<(&str, Vec<Reckoned<'_>>)> = Vec::new();
    for line in file
        .lines()
        .filter(|it| !it.is_empty() && !it.starts_with("# "))
    {
        if let Some(command) = line.strip_prefix("$ ") {
            all.push((command, Vec::new()));
            continue;
        }
        let mut cells = line.split('\t');
        let (place, words) = (cells.next().unwrap(), cells.next().unwrap());
        let why = cells.next();
        assert!(why.is_none_or(|it| WHY.contains(&it)), "{line}");
        // Only what the ledger alone gives may be anything.
        assert!(
            matches!(why, Some("entry" | "split" | "spelling")) || !words.contains('*'),
            "{line}"
        );
        let (_, numbers) = all.last_mut().expect("a command before its numbers");
        numbers.extend(words.split(' ').map(|word| Reckoned { place, word }));
    }
    all
}

/// The first number that is not the one which was reckoned, with what stands around it.
fn difference(printed: &[&str], reckoned: &[Reckoned<'_>]) -> Option<String> {
    let agrees = |at: usize| match (printed.get(at), reckoned.get(at)) {
        (Some(printed), Some(reckoned)) => reckoned.word == "*" || *printed == reckoned.word,
        _ => false,
    };
    let at = (0..printed.len().max(reckoned.len())).find(|at| !agrees(*at))?;
    let before = printed.get(at.saturating_sub(6)..at).unwrap_or_default();
    let expected = reckoned.get(at);
    Some(format!(
        "after {before:?}: printed {:?}, reckoned {:?} ({})",
        printed
            .get(at..printed.len().min(at + 4))
            .unwrap_or_default(),
        expected.map(|it| it.word),
        expected.map_or("nothing more", |it| it.place),
    ))
}

/// What a command prints of the demonstration where no line is too long.
fn unwrapped(line: &str) -> String {
    let place = &demo().place;
    let mut arguments = words(line);
    arguments.extend(["--ledger".into(), place.ledger().into_os_string()]);
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let nothing: (bool, &mut dyn std::io::BufRead) = (false, &mut std::io::empty());
    let wide = (arguments.as_slice(), u16::MAX);
    let code = run_with(wide, place.now, nothing, &mut out, &mut err);
    assert_eq!(code, 0, "{line}\n{}", String::from_utf8_lossy(&err));
    String::from_utf8(out).unwrap()
}

#[test]
fn every_number_of_board_statements_and_year_is_one_that_was_reckoned_apart() {
    let file = std::fs::read_to_string("demo/reckoned.tsv").unwrap();
    let all = documents(&file);
    // The board, 12 statements of 2024, 14 of each later year, two years.
    assert_eq!(all.len(), 1 + 12 + 14 + 14 + 2);
    let mut wrong = Vec::new();
    for (command, reckoned) in &all {
        let printed = unwrapped(command);
        if let Some(found) = difference(&numbers(&printed), reckoned) {
            wrong.push(format!("{command}: {found}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    // Who came later has no statement of the year before, whatever other employers measured.
    for worker in ["W10", "W14"] {
        let said = demo()
            .place
            .quiet(&format!("dose statement {worker} --year 2024"));
        assert!(said.code == 1 && said.out.is_empty(), "{}", said.out);
    }
}

/// The year's file of everybody's statements has the doses of the pages, item by item.
#[test]
fn the_file_of_the_years_statements_has_the_doses_that_were_reckoned() {
    let file = std::fs::read_to_string("demo/reckoned.tsv").unwrap();
    let all = documents(&file);
    let place = &demo().place;
    place.done("dose statement --all --year 2025 --out DIR/reckoned");
    let mut table = csv::Reader::from_path(place.path("reckoned/statements.csv")).unwrap();
    let heads = table.headers().unwrap().clone();
    let mut compared = 0;
    for row in table.records() {
        let row = row.unwrap();
        let command = format!("dose statement {} --year {}", &row[0], &row[1]);
        let (_, reckoned) = all.iter().find(|it| it.0 == command).unwrap();
        for item in ["11A ", "11B ", "12 ", "13 ", "14 ", "17 ", "18 "] {
            let column = heads.iter().position(|it| it.starts_with(item)).unwrap();
            let doses = reckoned.iter().filter(|it| it.place.starts_with(item));
            // The file has them whole, the page rounds up: rem and mSv in turn.
            let doses: Vec<f64> = doses.map(|it| it.word.parse().unwrap()).collect();
            let whole = numbers(&row[column]);
            assert_eq!(whole.len(), doses.len(), "{command}, {item}");
            for (at, (whole, shown)) in whole.iter().zip(&doses).enumerate() {
                let more = shown - whole.parse::<f64>().unwrap();
                let most = [0.0001, 0.001][at % 2];
                assert!(more > -1e-9 && more < most, "{command}, {item}: {whole}");
            }
            compared += doses.len();
        }
    }
    // Six items of fourteen people with two units each, and the extremities of three.
    assert_eq!(compared, 6 * 14 * 2 + 3 * 2);
}

/// The comparison fails for one number that is wrong, missing or too many, wherever it stands.
#[test]
fn a_number_that_was_not_reckoned_is_seen() {
    let file = "# head\n$ one\nplace\t12 W02\nlast\t1.5 2.5\nits entry\t*\tentry\n";
    let [(_, reckoned)] = &documents(file)[..] else {
        panic!("one document");
    };
    for (text, seen) in [
        ("12 of W02: 1.5 rem (2.5), entry 7.", false),
        ("12 of W02: 1.5 rem (2.5), entry 8652:ab.", false),
        ("12 of W02: 1.6 rem (2.5), entry 7.", true),
        ("12 of W02: 1.5 rem (-2.5), entry 7.", true),
        ("12 of W02: 1.5 rem (2.5), entry.", true),
        ("12 of W02: 1.5 rem (2.5), entry 7, 8.", true),
        ("1 12 of W02: 1.5 rem (2.5), entry 7.", true),
        ("12 of W02: 2.5 rem (1.5), entry 7.", true),
        ("", true),
    ] {
        let found = difference(&numbers(text), reckoned);
        assert_eq!(found.is_some(), seen, "{text}: {found:?}");
    }
}
