//! A ledger under a rule set speaks of that rule set alone: its law, its units, its quantities.
//! Every command is asked, and what it prints is searched for the words of another.

use super::cli_own_law_lines::{AFTER, ASKED, MISTAKES, OF_NO_LEDGER, REFUSED, WRITTEN};
use super::cli_support::{Place, Said};

/// Words of other laws and other units, as whole words.
const FOREIGN: &[&str] = &[
    "mrem",
    "rem",
    "mR",
    "R",
    "Ci",
    "mCi",
    "ft",
    "inch",
    "inches",
    "10 CFR",
    "NRC",
    "NUREG",
    "HPPOS",
    "Form 5",
    "Form 4",
    "DDE",
    "LDE",
    "SDE",
    "TEDE",
    "34.101",
    "20.1201",
    "roentgen",
    "WAC",
    "IAC",
    "mR/h",
    "deep dose",
    "Deep dose",
    "deep",
    "shallow",
    "Agreement State",
    "millirem",
    "hazmat",
    "Hazmat",
    "NRC's",
];

/// Where a line names columns or fields, which have one name under every rule set.
const COLUMNS: &[&str] = &[
    "at least one of deep, lens, shallow, extremity",
    "shallow = 0.12 mSv",
];

/// Whether a word stands in a line, with no letter or digit beside it; a key such as
/// `shallow-year` is another word.
fn says(line: &str, word: &str) -> bool {
    if COLUMNS.iter().any(|it| line.contains(it)) {
        return false;
    }
    line.match_indices(word).any(|(at, _)| {
        let joins = |sign: Option<char>| {
            sign.is_some_and(|it| {
                it.is_alphanumeric() || it == '_' || (it == '-' && word == "shallow")
            })
        };
        let before = line.get(..at).and_then(|it| it.chars().next_back());
        let after = line.get(at + word.len()..).and_then(|it| it.chars().next());
        !joins(before) && !joins(after)
    })
}

fn search(found: &mut Vec<String>, of: &str, text: &str, foreign: &[&str]) {
    for line in text.lines() {
        // A depth is a name of a dose only before its figure: elsewhere it is that of a field.
        let depths = foreign.iter().filter(|it| ["deep", "shallow"].contains(it));
        let as_dose = depths.filter(|it| {
            let name = format!("{it} ");
            let mut after = line.split(&name).skip(1);
            after.any(|it| it.starts_with(|it: char| it.is_ascii_digit() || it == '<'))
        });
        let words = foreign.iter().filter(|it| **it != "deep" && says(line, it));
        for word in words.chain(as_dose) {
            let line = format!("{of}: `{word}` in: {}", line.trim());
            if !found.contains(&line) {
                found.push(line);
            }
        }
    }
}

fn files(dir: &std::path::Path, all: &mut Vec<std::path::PathBuf>) {
    for entry in std::fs::read_dir(dir).expect("a folder").flatten() {
        let path = entry.path();
        match path.is_dir() {
            true => files(&path, all),
            false => all.push(path),
        }
    }
}

/// Everything that a ledger under a scheme prints, with the command before it.
fn walk(scheme: &str) -> (Place, Vec<(String, Said)>) {
    let place = Place::empty(&format!("own-law-{}", scheme.to_lowercase()));
    let mut all = Vec::new();
    let mut say = |line: &str, ends: &[u8]| {
        let line = line
            .replace("OWN", scheme)
            .replace("DIR", &place.dir.display().to_string());
        let said = place.quiet(&line);
        let ended = ends.contains(&said.code);
        assert!(
            ended,
            "{line} ended with {}
{}",
            said.code, said.err
        );
        all.push((line, said));
    };
    say(
        &format!(
            "ledger init --licence L-1 --licensee Example --site Yard --zone Africa/Lagos \
         --rso \"Ada Example\" --scheme {scheme} --from 2021-01-01"
        ),
        &[0],
    );
    WRITTEN.iter().for_each(|line| say(line, &[0, 3]));
    MISTAKES.iter().for_each(|line| say(line, &[1, 2]));
    ASKED.iter().for_each(|line| say(line, &[0, 3]));
    place.file("wrong.csv", "x\n1\n");
    AFTER.iter().for_each(|line| say(line, &[0, 3]));
    REFUSED.iter().for_each(|line| say(line, &[1]));
    (place, all)
}

#[test]
fn every_command_is_asked_what_it_says_under_an_si_rule_set() {
    let place = Place::empty("own-law-commands");
    let reference = place.done("help --all").out;
    let heads = reference
        .lines()
        .filter_map(|it| it.strip_prefix("# wearbook "));
    let heads: Vec<&str> = heads.collect();
    let has_more = |head: &str| {
        let below = format!("{head} ");
        heads.iter().any(|it| it.starts_with(&below))
    };
    let lists = [WRITTEN, MISTAKES, ASKED, AFTER, REFUSED, OF_NO_LEDGER];
    let asked = |head: &str| {
        let with_more = format!("{head} ");
        let mut lines = lists.iter().flat_map(|it| it.iter());
        head == "ledger init" || lines.any(|it| *it == head || it.starts_with(&with_more))
    };
    let commands = heads.iter().filter(|it| !has_more(it));
    let left: Vec<&&str> = commands.clone().filter(|it| !asked(it)).collect();
    assert!(commands.count() > 150, "{heads:?}");
    assert_eq!(left, [&""; 0], "add a line of it to a list above");
}

#[test]
fn no_answer_under_an_si_rule_set_has_a_word_of_another_law() {
    let laws = [("IAEA", "GSR"), ("EU", "Euratom"), ("Canada", "SOR")];
    let mut found = Vec::new();
    for (scheme, _) in laws {
        let mut foreign = FOREIGN.to_vec();
        foreign.extend(laws.iter().filter(|it| it.0 != scheme).map(|it| it.1));
        let (place, all) = walk(scheme);
        for (line, said) in &all {
            // The one of these columns that is called by a depth.
            let columns = line.ends_with("wrong.csv");
            let foreign: Vec<&str> = foreign
                .iter()
                .copied()
                .filter(|it| !columns || *it != "shallow")
                .collect();
            let of = format!("{scheme}: {}", line.split(" --").next().unwrap_or(line));
            search(
                &mut found,
                &of,
                &format!("{}\n{}", said.out, said.err),
                &foreign,
            );
        }
        let mut written = Vec::new();
        files(&place.dir, &mut written);
        // An export has what was adopted word for word.
        written.retain(|it| !it.components().any(|it| it.as_os_str() == "exported"));
        for file in written {
            let Ok(text) = std::fs::read_to_string(&file) else {
                continue;
            };
            let of = format!("{scheme}: {}", file.display());
            search(&mut found, &of, &text, &foreign);
        }
    }
    assert_eq!(found, [""; 0], "{} words", found.len());
}

/// Scheme, the day's duty that wants a report in writing without saying what stands in it.
#[test]
fn a_report_without_a_content_list_drafts_what_is_known_and_says_that_there_is_none() {
    for (scheme, heading) in [
        ("IAEA", "no duty of IAEA here asks for a report in writing"),
        ("Canada", "SOR/2000-20"),
    ] {
        let place = Place::empty(&format!("no-list-{}", scheme.to_lowercase()));
        let lines = [
            &format!(
                "ledger init --licence L-1 --licensee Example --site Yard --zone UTC \
                 --rso \"Ada Example\" --scheme {scheme} --from 2021-01-01"
            ),
            "event open --kind disconnect --occurred 2026-05-12T10:00 --discovered \
             2026-05-12T10:05 --words \"the source did not come home\"",
        ];
        lines.iter().for_each(|line| {
            place.quiet(line);
        });
        let out = place.dir.join("report");
        let said = place.quiet(&format!("notice report E-1 --out {}", out.display()));
        assert_eq!(said.code, 0, "{}", said.err);
        assert!(
            said.out
                .contains("no content list here: ask your authority"),
            "{scheme}: {}",
            said.out
        );
        assert!(!said.out.contains("nothing"), "{scheme}: {}", said.out);
        let draft = std::fs::read_to_string(out.join("E-1-report.md")).expect("the draft");
        for words in [
            heading,
            "No content list here: ask your authority.",
            "the source did not come home",
            "MISSING: nobody has said a cause yet",
        ] {
            assert!(draft.contains(words), "{scheme}: {words}\n{draft}");
        }
    }
}
