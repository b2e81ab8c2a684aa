//! How what is private is kept beside the chain: copies, erasure, and what another tool does to it.

use std::fs;

use rusqlite::Connection;

use wearbook::ledger::{KnownAt, Ledger, LedgerError, Mode};
use wearbook::record::{Body, Charter, ClockType, Kept, Sex};

use super::cli_private::{DECLARED, declared, flat, newest, told};
use super::cli_support::NOW;
use super::ledger_fixture::{adoption, author, charter, first_instant, worker};

#[test]
fn an_export_has_no_private_content_a_backup_has_it_and_a_rebuild_leaves_it() {
    let mut place = declared("private-copies");
    place.done("private set W08 --number 000-11-2222 --type SSN --sex female");
    place.done("ledger export DIR/out");
    for entry in fs::read_dir(place.path("out")).expect("the folder") {
        let path = entry.expect("a file").path();
        // The rules that an adoption chains speak of pregnancies in general.
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let text = fs::read_to_string(&path).expect("a file");
        for words in ["2026-01-19", "2026-03-02", "000-11-2222", "SSN", "female"] {
            assert!(!text.contains(words), "{name}: {words}");
        }
        assert!(!name.contains("pregnancy"), "{name}");
        assert!(!matches!(name.as_str(), "private.csv"), "{name}");
    }
    let before = place.done("private show W08").out;
    place.done("ledger rebuild");
    assert_eq!(place.done("private show W08").out, before);
    // Tables of an older form: an upgrade makes all but this one anew.
    let conn = Connection::open(place.ledger()).expect("a plain connection");
    conn.execute_batch("UPDATE form SET digest = 'older' WHERE name = 'derived'")
        .expect("an older form");
    drop(conn);
    let upgraded = place.done("ledger upgrade").out;
    assert!(upgraded.contains("upgraded"), "{upgraded}");
    assert_eq!(place.done("private show W08").out, before);
    place.done("ledger backup DIR/copy.db");
    place.turn_to("copy.db", NOW);
    assert_eq!(place.done("private show W08").out, before);
    place.done("ledger verify --full");
    place.turn_to("again.db", NOW);
    place.done("ledger restore DIR/out/entries.jsonl");
    place.done("ledger verify --full");
    let out = place.done("private show W08").out;
    assert_eq!(out.matches("is not in this ledger").count(), 3, "{out}");
    for line in [
        "dose show W08 --year 2026",
        "dose statement W08 --year 2026",
    ] {
        let out = flat(&place.done(line).out);
        assert!(out.contains("no level of it is judged"), "{line}\n{out}");
    }
    // Nobody knows whether she declared a pregnancy: somebody has to find out.
    for line in ["board", "findings", "work-status"] {
        let out = place.done(line).out;
        assert!(out.contains("see RSO"), "{line}\n{out}");
        assert_eq!(told(&out), None, "{line}\n{out}");
    }
    let own = flat(&place.done("work-status W08").out);
    assert!(
        own.contains("private records are not in this ledger"),
        "{own}"
    );
    place.done(DECLARED);
    place.done("private erase W08 lost --reason \"asked anew\"");
    let board = place.quiet("board").out;
    assert!(board.contains("may not: see RSO"), "{board}");
    assert!(
        !board.contains(" see RSO;") || board.matches("see RSO;").count() == 1,
        "{board}"
    );
    place.done("ledger verify --full");
}

#[test]
fn what_is_erased_is_gone_from_the_file_and_the_chain_says_that_and_never_what() {
    let place = declared("private-erased");
    let conception = b"2026-01-19";
    let in_file = || {
        let bytes = fs::read(place.ledger()).expect("the file");
        bytes.windows(conception.len()).any(|it| it == conception)
    };
    assert!(in_file());
    let refused = place.quiet("private erase W08 declaration --reason \" \"");
    assert_ne!(refused.code, 0);
    assert!(in_file());
    place.done("private erase W08 declaration --reason \"asked in writing\" --dry-run");
    assert!(in_file(), "a dry run erases nothing");
    assert!(place.done("private show W08").out.contains("2026-01-19"));
    let out = place.done("private erase W08 declaration --reason \"asked in writing\" --by Hollow");
    assert!(
        out.out.contains("made earlier still have it"),
        "{}",
        out.out
    );
    assert!(!in_file(), "the content is in the file still");
    let entry = newest(&place);
    let shown = place.done(&format!("entry show {entry}")).out;
    assert_eq!(told(&shown), None, "{shown}");
    for words in [
        "private record",
        "asked in writing",
        "Hollow",
        "erased",
        "yes",
    ] {
        assert!(shown.contains(words), "{words}: {shown}");
    }
    for line in [
        "dose show W08 --year 2026",
        "work-status W08",
        "private show W08",
        "dose statement W08 --year 2026",
    ] {
        let flat = flat(&place.done(line).out);
        assert!(
            flat.contains("was erased on 2026-06-15 by Hollow"),
            "{line}: {flat}"
        );
        assert!(flat.contains("no level of it is judged"), "{line}: {flat}");
    }
    // As it was known before the erasure nobody knows it either.
    let back = format!("dose show W08 --year 2026 --known-at {}", entry - 1);
    let out = place.done(&back).out;
    assert!(
        out.contains("was erased") && !out.contains("2026-01-19"),
        "{out}"
    );
    place.done("ledger verify --full");
    place.done("ledger rebuild");
    place.done("ledger verify --full");
    let again = place.quiet("private erase W08 declaration --reason \"again\"");
    assert!(
        again.err.contains("nothing of that type is kept of W08"),
        "{}",
        again.err
    );
}

const NO_GUARDS: &str = "DROP TRIGGER private_is_never_removed;
    DROP TRIGGER private_is_only_erased; DROP TRIGGER private_is_never_overwritten;";

/// What somebody does to the private table with another tool, and what a verification says.
const TAMPERED: &[(&str, &str)] = &[
    (
        "UPDATE private SET content = replace(content, '2026-01-19', '2026-02-19')",
        "its content in the private table was changed",
    ),
    (
        "UPDATE private SET content = NULL, salt = NULL, gone = 'erased'",
        "its content is gone, and no entry says that it was erased",
    ),
    (
        "DELETE FROM private",
        "its row in the private table is missing",
    ),
    (
        "INSERT INTO private (reference, gone) VALUES ('x', 'erased')",
        "the private table has 1 row to which no entry leads",
    ),
];

#[test]
fn a_private_table_that_was_changed_by_another_tool_is_told() {
    for (at, (sql, words)) in TAMPERED.iter().enumerate() {
        let place = declared(&format!("private-tampered-{at}"));
        let conn = Connection::open(place.ledger()).expect("a plain connection");
        let guards: Vec<String> = conn
            .prepare(
                "SELECT sql FROM sqlite_schema WHERE type = 'trigger' AND name LIKE 'private%'",
            )
            .and_then(|mut it| it.query_map([], |row| row.get(0))?.collect())
            .expect("the guards");
        assert_eq!(guards.len(), 3);
        conn.execute_batch(NO_GUARDS).expect("no guards");
        conn.execute_batch(sql).expect(sql);
        conn.execute_batch(&guards.join(";")).expect("guards");
        drop(conn);
        for line in ["ledger verify", "ledger verify --full"] {
            let said = place.quiet(line);
            assert_ne!(said.code, 0, "{sql}");
            let flat = flat(&said.out);
            assert!(flat.contains(words), "{sql}: {flat}");
        }
        let statement = place.quiet("dose statement W08 --year 2026");
        assert_ne!(statement.code, 0, "{sql}");
        // The way out that the verification names, where no backup has it.
        place.done("ledger rebuild");
        if sql.starts_with("INSERT") {
            continue;
        }
        let own = flat(&place.done("work-status W08").out);
        assert!(
            own.contains("private records are not in this ledger"),
            "{sql}: {own}"
        );
        let statement = place.quiet("dose statement W08 --year 2026");
        assert_ne!(statement.code, 0, "{sql}");
        place.done("private erase W08 lost --reason \"asked anew\"");
        place.done("ledger verify --full");
        place.done("dose statement W08 --year 2026");
    }
}

#[test]
fn the_private_table_guards_itself_against_slips() {
    let place = declared("private-guarded");
    let conn = Connection::open(place.ledger()).expect("a plain connection");
    conn.pragma_update(None, "recursive_triggers", true)
        .expect("a setting");
    for sql in [
        "DELETE FROM private",
        "UPDATE private SET content = '{}'",
        "UPDATE private SET reference = 'x', content = NULL, salt = NULL, gone = 'erased'",
        "INSERT OR REPLACE INTO private (reference, gone)
         SELECT reference, 'erased' FROM private",
    ] {
        let error = conn.execute_batch(sql).expect_err(sql);
        assert!(
            error.to_string().contains("a private row is never"),
            "{error}"
        );
    }
}

#[test]
fn nobody_can_guess_what_a_reference_is_of() {
    let dir = tempfile::tempdir().expect("a folder");
    let kept = Kept::Sex(Sex::Female);
    let mut references = Vec::new();
    for name in ["one.db", "two.db"] {
        let real = Charter {
            clock: ClockType::System,
            ..charter()
        };
        let path = dir.path().join(name);
        let made = Ledger::create(&path, &author(), first_instant(), real, adoption());
        let mut ledger = made.expect("a ledger");
        let now = first_instant();
        let written = ledger.write(&author(), now, Mode::Commit, |writer| {
            let mut entries = Vec::new();
            for id in ["W01", "W02"] {
                let record = writer.append(worker(id, "A. Name"), false)?.record();
                let written = writer.keep_private(record.into(), &kept, None)?;
                entries.push(written.entry());
            }
            Ok::<_, LedgerError>(entries)
        });
        for entry in written.expect("two private records") {
            let body = ledger.read(KnownAt::Now, |it| it.body(entry));
            match body.expect("a body") {
                Some(Body::Private(it)) => references.push(it.reference),
                other => panic!("{other:?}"),
            }
        }
    }
    references.sort();
    references.dedup();
    assert_eq!(
        references.len(),
        4,
        "the same content, and a salt of its own for each"
    );
}

#[test]
fn a_notification_about_a_dose_above_a_private_limit_is_owed_and_does_not_name_it() {
    let place = declared("private-notice");
    place.done(
        "event open --kind disconnect --occurred 2026-04-10T13:40 --job J-1 --equipment D-1 \
         --person \"W08=kept the boundary\" --words \"source out\"",
    );
    place.quiet("report draft E-1 --out DIR/report");
    let mut texts: Vec<String> = [
        "report show E-1",
        "report show E-1 --json",
        "event show E-1",
    ]
    .iter()
    .map(|line| place.quiet(line).out)
    .collect();
    for entry in fs::read_dir(place.path("report")).expect("the draft") {
        let path = entry.expect("a file").path();
        texts.push(fs::read_to_string(&path).expect("a text"));
    }
    assert!(texts.len() > 3);
    for text in texts.iter().map(|it| flat(it)) {
        assert!(!text.is_empty());
        for words in ["entire pregnancy", "0.5 rem", "2026-01-19", "2026-03-02"] {
            assert!(!text.contains(words), "{words}: {text}");
        }
    }
    let shown = flat(&place.quiet("report show E-1").out);
    assert!(shown.contains("limit that the RSO knows"), "{shown}");
}
