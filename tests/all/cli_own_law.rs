//! A ledger under a rule set speaks of that rule set alone: its law, its units, its quantities.
//! Every command is asked, and what it prints is searched for the words of another.

use super::cli_support::{Place, Said};

/// What a crew under an SI rule set writes down over a month: two people, one of them under 18 in
/// training, a badge each, a retrieval event, a part with a defect, mistakes at the keyboard.
const WRITTEN: &[&str] = &[
    "worker add --id W01 --name \"Ada Example\" --role rso --birth-date 1980-03-14 \
     --monitored-from 2026-01-01",
    "worker add --id W02 --name \"Ben Sample\" --role radiographer --birth-date 1991-07-02 \
     --monitored-from 2026-01-01",
    "worker add --id W03 --name \"Cy Young\" --role assistant --category apprentice \
     --birth-date 2009-07-02 --monitored-from 2026-01-01",
    "worker add --id W04 --name \"Di Early\" --role assistant --birth-date 2011-07-02 \
     --monitored-from 2026-01-01",
    "job add --id J-1 --place \"Tank farm\" --jurisdiction State --setting \"temporary job site\" \
     --zone Africa/Lagos",
    "instrument add --id ED-1 --sort \"electronic dosimeter\" --serial 1 --unit uSv \
     --range \"10 mSv\"",
    "instrument add --id PD-2 --sort \"pocket dosimeter\" --serial 2 --unit uSv \
     --range \"2000 uSv\"",
    "instrument add --id PD-3 --sort \"pocket dosimeter\" --serial 3 --unit uSv \
     --range \"2000 uSv\"",
    "instrument add --id RM-1 --sort \"alarm ratemeter\" --serial 4 --alarm-preset \"5 mSv/h\"",
    "instrument add --id SM-1 --sort \"survey meter\" --serial 5 --scale linear \
     --scales \"0.1 mSv/h / 1 mSv/h / 10 mSv/h\"",
    "instrument check --instrument RM-1 --on 2026-05-01 --sort calibration --result pass --by Lab",
    "instrument check --instrument SM-1 --on 2026-05-01 --sort calibration --result pass --by Lab",
    "equipment add --id D-1 --sort \"exposure device\" --serial 7",
    "equipment add --id CU-1 --sort \"control unit\" --serial 8",
    "equipment add --id S-1 --sort \"source assembly\" --serial 9 --nuclide Ir-192 \
     --activity \"3 TBq\" --activity-on 2026-05-01",
    "equipment load --device D-1 --source S-1 --on 2026-05-02 --by W01",
    "equipment leak-test --item S-1 --on 2026-05-03 --part source --removable \"< 5 Bq\" \
     --by \"Wipe Lab\"",
    "checklist adopt general --from 2026-05-01",
    "badge issue --badge 0001 --sort \"whole body\" --worker W01 --first-day 2026-05-01 \
     --last-day 2026-05-31",
    "badge issue --badge 0002 --sort \"whole body\" --worker W02 --first-day 2026-05-01 \
     --last-day 2026-05-31",
    "sheet enter --day 2026-05-11 --shift day --job J-1 --work radiography --device D-1 \
     --source S-1 --meter SM-1 --exposures 12 --source-out-min 20 --boundary \"20 uSv/h\" \
     --storage-survey \"6 uSv/h\" --attested-by W01 \
     --person \"worker=W01, role=radiographer, dosimeter=ED-1, start=0, end=120, \
     ratemeter=RM-1, alarm_tested=yes, badge_worn=yes\" \
     --person \"worker=W02, role=radiographer, dosimeter=PD-2, start=0, end=140, \
     ratemeter=RM-1, alarm_tested=no, badge_worn=yes\"",
    "sheet enter --day 2026-05-12 --shift day --job J-1 --work radiography --device D-1 \
     --source S-1 --meter SM-1 --exposures 12 --source-out-min 20 --boundary \"20 uSv/h\" \
     --storage-survey \"6 uSv/h\" --attested-by W01 \
     --person \"worker=W01, role=radiographer, dosimeter=ED-1, start=0, end=22120, \
     ratemeter=RM-1, alarm_tested=yes, badge_worn=yes\" \
     --person \"worker=W02, role=radiographer, dosimeter=PD-2, start=10, off_scale=yes, \
     ratemeter=RM-1, alarm_tested=yes, badge_worn=yes\" \
     --person \"worker=W04, role=assistant, dosimeter=PD-3, start=0, end=70, badge_worn=yes\"",
    "badge return --badge 0001 --on 2026-05-31",
    "badge result --badge 0001 --report LAB-1 --reported-on 2026-06-10 --deep \"0.11 mSv\" \
     --lens \"0.11 mSv\" --shallow \"0.12 mSv\"",
    "badge lost --badge 0002 --on 2026-05-20",
    "inspect enter --item CU-1 --on 2026-05-12 --at 06:20 --when quarterly --looked W02 \
     --line \"connector-mating=good, with=D-1\" --line \"connector-gauge=not done\" \
     --line \"all others=good\"",
    "event open --kind disconnect --occurred 2026-05-12T10:00 --discovered 2026-05-12T10:05 \
     --job J-1 --equipment D-1 --equipment S-1 --person \"W02=cranked\" \
     --words \"the source did not come home\"",
    "event person E-1 --near W02=hand",
    "determination enter --worker W02 --sheet entry:24 --dosimeter PD-2 --quantity deep \
     --dose \"4 mSv\" --relation \"until result\" --method co-worker --basis \"W01 beside\" \
     --on 2026-05-13 --by-worker W01",
    "worker prior-dose --worker W02 --first-day 2026-01-01 --last-day 2026-03-31 --employer Other \
     --deep \"1 mSv\" --basis \"signed letter\"",
    "worker dose-request --worker W02 --employer Other --first-day 2025-01-01 \
     --last-day 2025-12-31 --on 2026-05-01",
    "worker pregnancy --worker W01 --notice-on 2026-05-20 --conception-on 2026-04-01",
];

/// Mistakes at the keyboard: what would be right is said in the units of the rule set.
const MISTAKES: &[&str] = &[
    "determination enter --worker W02 --first-day 2026-05-12 --last-day 2026-05-12 --quantity deep \
     --dose 4 --method co-worker --basis x --on 2026-05-13 --by-worker W01",
    "badge result --badge 0001 --report LAB-2 --reported-on 2026-06-11 --deep lots",
    "instrument add --id ED-9 --sort \"electronic dosimeter\" --serial 9",
    "equipment add --id S-9 --sort \"source assembly\" --serial 10 --nuclide Ir-192 \
     --activity much",
    "job add --id J-9 --place there --jurisdiction x --setting y --zone z",
    "dose plan --source S-1 --budget much",
    "sheet enter --day 2026-05-13 --shift day --job J-1 --work radiography --device D-1 \
     --attested-by W01 --person \"worker=W01, role=radiographer, dosimeter=ED-1, start=a, end=1\"",
    "worker prior-dose --worker W02 --first-day 2026-01-01 --last-day 2026-03-31 --employer Other \
     --basis x --deep much",
];

/// `entry show` of an adoption is not among them: it prints the text as it was adopted.
const ASKED: &[&str] = &[
    "board",
    "board --on 2026-05-12",
    "clearance",
    "clearance W01",
    "clearance W02",
    "clearance W04",
    "findings",
    "findings --on 2026-05-31",
    "held",
    "review 2026-05",
    "review 2026",
    "dose show W01 --year 2026 --why",
    "dose show W02 --year 2026 --why",
    "dose show W03 --year 2026 --why",
    "dose crew --year 2026",
    "dose forecast W01",
    "dose reconcile --year 2026",
    "dose lists --year 2026",
    "dose statement W01 --year 2026",
    "dose statement W02 --year 2026",
    "dose plan --source S-1 --shield \"lead 10 mm\" --budget \"1 mSv\"",
    "dose plan --source S-1",
    "dose reconstruct --source S-1 --at 2026-05-12T10:00 --worker W02 \
     --position \"what=at the tube, distance=1 m, minutes=40 s, shield=lead 25 mm\"",
    "event show E-1",
    "event list",
    "notice list",
    "notice show E-1",
    "trace E-1",
    "trace ranking",
    "wear list",
    "wear show CU-1",
    "pack J-1",
    "worker list",
    "job list",
    "instrument list",
    "instrument show ED-1",
    "instrument due --within 90",
    "equipment list",
    "equipment show D-1",
    "equipment show S-1",
    "equipment due --within 90",
    "inspect list CU-1 --year 2026",
    "inspect show 28",
    "inspect form D-1 --when quarterly",
    "inspect form CU-1 --when daily",
    "inspect form SM-1 --when daily",
    "checklist show",
    "checklist show --json",
    "checklist show general",
    "checklist diff general",
    "badge list",
    "determination list",
    "checklist list",
    "sheet template",
    "inspect template",
    "ledger verify --full",
    "ledger head",
    "private show W01",
    "entry history 26",
    "scheme show OWN",
    "dose leaver W02 --on 2026-06-10 --out DIR/leaver",
    "dose statement --all --year 2026 --out DIR/statements",
    "notice report E-1 --out DIR/report",
    "pack J-1 --out DIR/papers",
    "review 2026 --out DIR/reviews",
    "trace show E-1 --out DIR/trace.html",
    "chart worker W01 --year 2026 --out DIR/w01.svg",
    "chart crew --year 2026 --out DIR/crew.svg",
    "chart collective --year 2026 --out DIR/collective.svg",
    "chart reconcile --year 2026 --out DIR/reconcile.svg",
];

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
    "shallow",
    "Agreement State",
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
        for word in foreign.iter().filter(|it| says(line, it)) {
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
    (place, all)
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
