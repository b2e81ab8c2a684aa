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
                || line.contains(&format!("{it}, 2"))
                || line.contains(&format!("{it}, ED"))
                || line.contains(&format!("{it}, PD"))
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

/// Everything that a ledger under a rule set prints, with the command before it. `whose` adds to
/// the first command; `home` is the jurisdiction of the job.
fn walk(rule_set: &str, whose: &str, home: &str, is_wide: bool) -> (Place, Vec<(String, Said)>) {
    let name = format!("own-law-{rule_set}{home}").to_lowercase();
    let name: String = name.chars().filter(|it| it.is_alphanumeric()).collect();
    let mut place = Place::empty(&name[name.len().saturating_sub(24)..]);
    if is_wide {
        place.width = 2000;
    }
    let place = place;
    let mut all = Vec::new();
    let mut say = |line: &str, ends: &[u8]| {
        let line = line
            .replace("OWN", &format!("\"{rule_set}\""))
            .replace("HOME", home)
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
            "ledger new --license L-1 --licensee Example --site Yard --zone Africa/Lagos \
         --rso \"Ada Example\" --rule-set OWN --from 2021-01-01 {whose}"
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

/// What a walk printed and the files that it wrote, each with what it is of. An export has what
/// was adopted word for word.
fn texts(place: &Place, all: &[(String, Said)]) -> Vec<(String, String)> {
    let said = all.iter().map(|(line, said)| {
        let of = line.split(" --").next().unwrap_or(line);
        (of.to_owned(), format!("{}\n{}", said.out, said.err))
    });
    let mut written = Vec::new();
    files(&place.dir, &mut written);
    written.retain(|it| !it.components().any(|it| it.as_os_str() == "exported"));
    let files = written.into_iter().filter_map(|file| {
        let text = std::fs::read_to_string(&file).ok()?;
        Some((file.display().to_string(), text))
    });
    said.chain(files).collect()
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
        head == "ledger new" || lines.any(|it| *it == head || it.starts_with(&with_more))
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
    for (rule_set, _) in laws {
        let mut foreign = FOREIGN.to_vec();
        foreign.extend(laws.iter().filter(|it| it.0 != rule_set).map(|it| it.1));
        let (place, all) = walk(rule_set, "", "State", false);
        // The law has no hours for a badge after an off-scale reading: what is taken says so.
        let board = all.iter().find(|it| it.0 == "board").expect("it");
        let board = board.1.out.split_whitespace().collect::<Vec<_>>().join(" ");
        let clock = "(within 24 hours: common practice, no source (to be confirmed))";
        assert!(board.contains(clock), "{rule_set}: {board}");
        // W04 is under 16: kept out by the rule set's age, or watched where it has none.
        let young = all.iter().find(|it| it.0 == "work-status W04").expect("it");
        let young = young.1.out.split_whitespace().collect::<Vec<_>>().join(" ");
        let told = match rule_set {
            "Canada" => {
                "watch W04: under 18: the youngest age for exposed work is open here rule: \
                 The youngest age for exposure at work is to be confirmed, in provincial law"
            }
            _ => "STOP W04: under 16: too young for exposed work",
        };
        assert!(young.contains(told), "{rule_set}: {young}");
        for (of, text) in texts(&place, &all) {
            // The one of these columns that is called by a depth.
            let columns = of.ends_with("wrong.csv");
            let is_asked = |it: &&str| !columns || *it != "shallow";
            let foreign: Vec<&str> = foreign.iter().copied().filter(is_asked).collect();
            search(&mut found, &format!("{rule_set}: {of}"), &text, &foreign);
        }
    }
    assert_eq!(found, [""; 0], "{} words", found.len());
}

/// Words of the federal text in a text under a state's own rules, each with what stands about it.
fn federal(text: &str) -> Vec<String> {
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let mut found = Vec::new();
    for word in ["10 CFR", "NRC", "NUREG", "HPPOS", "Nuclear Regulatory"] {
        for (at, _) in text.match_indices(word) {
            let (before, after) = text.split_at(at);
            let allowed = |(from, to): &(&str, &str)| {
                let near = format!("{}{word}", last_signs(before, from.len()));
                near == format!("{from}{word}") && after.starts_with(to)
            };
            if !ALLOWED.iter().any(allowed) && !is_of_several(before) {
                let rest: String = after.chars().take(50).collect();
                found.push(format!("{}{rest}", last_signs(before, 60)));
            }
        }
    }
    found
}

fn last_signs(text: &str, count: usize) -> String {
    let all: Vec<char> = text.chars().collect();
    all[all.len().saturating_sub(count)..].iter().collect()
}

/// Of several sections in one citation the first says whose they are.
fn is_of_several(before: &str) -> bool {
    let near = last_signs(before, 80);
    let start = near.rfind("state equivalent of 10 CFR");
    start.is_some_and(|at| !near[at..].contains(". ") && near.ends_with("; "))
}

/// What may stand before a word of the federal text, and what after the beginning of it.
const ALLOWED: &[(&str, &str)] = &[
    ("state equivalent of ", ""),
    // Part 21 and guidance have no section of a state in their place.
    ("federal ", "10 CFR 21."),
    ("federal ", "NUREG"),
    ("federal ", "HPPOS"),
    // The rule set that the file starts from, and whose times it takes for want of its own.
    ("based on ", "10 CFR "),
    (
        "the time of ",
        "10 CFR, for want of one of the authority's own",
    ),
    // Whom Part 21 is told to.
    (
        "to the ",
        "Nuclear Regulatory Commission, 301-816-5100 (to be confirmed)",
    ),
    ("in writing the ", "Nuclear Regulatory Commission"),
    ("to the ", "Nuclear Regulatory Commission by "),
    ("to the ", "Nuclear Regulatory Commission, by "),
    // What the file has looser than the rule set that it starts from.
    ("is looser than in `", "10 CFR`"),
    // The rule set itself, which a ledger under a state without a file has adopted.
    ("rule set ", "10 CFR in force from "),
    ("rule set ", "10 CFR from "),
    ("no rule text here: ", "10 CFR has none in this ledger"),
];

/// The rule set of the United States as it is, asked for by its name.
const AS_IT_IS: &str = "rules show \"10 CFR\"";

/// Under the worked state file every command cites the state, and under a state without a file
/// the state equivalent; what is federal everywhere says so.
#[test]
fn no_answer_under_a_state_cites_the_federal_text_as_the_states_own() {
    let file = super::cli_jurisdiction::STATE;
    let mut found = Vec::new();
    for (rule_set, whose, home) in [
        (file, "", "Merrowan"),
        ("10 CFR", "--jurisdiction TX", "TX"),
    ] {
        let (place, all) = walk(rule_set, whose, home, true);
        for (of, text) in texts(&place, &all) {
            // A page of text breaks citations in its cells; the same page in HTML has them whole.
            if of == AS_IT_IS || of.ends_with(".txt") {
                continue;
            }
            let text = super::pages::unbound(&text);
            let told = federal(&text).into_iter();
            found.extend(told.map(|it| format!("{home}: {of}: {it}")));
        }
    }
    assert_eq!(found, [""; 0], "{} words", found.len());
}

/// Rule set, the day's duty that wants a report in writing without saying what stands in it.
#[test]
fn a_report_without_a_content_list_drafts_what_is_known_and_says_that_there_is_none() {
    for (rule_set, heading) in [
        ("IAEA", "no duty of IAEA here asks for a report in writing"),
        ("Canada", "SOR/2000-20"),
    ] {
        let place = Place::empty(&format!("no-list-{}", rule_set.to_lowercase()));
        let lines = [
            &format!(
                "ledger new --license L-1 --licensee Example --site Yard --zone UTC \
                 --rso \"Ada Example\" --rule-set {rule_set} --from 2021-01-01"
            ),
            "event open --kind disconnect --occurred 2026-05-12T10:00 --discovered \
             2026-05-12T10:05 --words \"the source did not come home\"",
        ];
        lines.iter().for_each(|line| {
            place.quiet(line);
        });
        let out = place.dir.join("report");
        let said = place.quiet(&format!("report draft E-1 --out {}", out.display()));
        assert_eq!(said.code, 0, "{}", said.err);
        assert!(
            said.out
                .contains("no content list here: ask your authority"),
            "{rule_set}: {}",
            said.out
        );
        assert!(!said.out.contains("nothing"), "{rule_set}: {}", said.out);
        let draft = std::fs::read_to_string(out.join("E-1-report.md")).expect("the draft");
        for words in [
            heading,
            "No content list here: ask your authority.",
            "the source did not come home",
            "MISSING: no cause recorded yet",
        ] {
            assert!(draft.contains(words), "{rule_set}: {words}\n{draft}");
        }
    }
}
