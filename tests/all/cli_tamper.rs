//! What somebody does to the file with another tool or a hex editor, and what three commands then
//! say: a plain verification, one in full, and a question about doses. None says that all is well
//! of what it did not look at, none fails with words of SQLite's.

use rusqlite::Connection;

use super::cli_support::{HEADER, Place, Said, crew};
use super::ledger_fixture::chained;
use super::tamper_table::Deed::{Bytes, Chained, Header, Hidden, Sql};
use super::tamper_table::{Deed, NO_GUARDS, ROWS};

fn with_sheet(name: &str) -> Place {
    let place = Place::with_registers(name);
    place.file("june.csv", format!("{HEADER}{}", crew("2026-06-12", "day")));
    place.done("sheet import DIR/june.csv");
    place
}

fn raw(place: &Place) -> Connection {
    Connection::open(place.ledger()).expect("a plain connection")
}

fn tamper(place: &Place, deed: &Deed) {
    let counter = |bytes: &[u8]| {
        let four: [u8; 4] = bytes[24..28].try_into().expect("four bytes");
        i64::from(u32::from_be_bytes(four))
    };
    let bytes = || std::fs::read(place.ledger()).expect("the file");
    match deed {
        Sql(sql) => {
            let touches_entries = ["UPDATE entry", "DELETE FROM entry"];
            if touches_entries.iter().any(|it| sql.contains(it)) {
                let conn = raw(place);
                let guards: Vec<String> = conn
                    .prepare(
                        "SELECT sql FROM sqlite_schema
                         WHERE type = 'trigger' AND tbl_name = 'entry'",
                    )
                    .and_then(|mut it| it.query_map([], |row| row.get(0))?.collect())
                    .expect("the guards");
                conn.execute_batch(NO_GUARDS).expect("no guards");
                conn.execute_batch(sql).expect(sql);
                conn.execute_batch(&guards.join(";")).expect("guards");
            } else {
                raw(place).execute_batch(sql).expect(sql);
            }
        }
        Hidden(sql) => {
            raw(place).execute_batch(sql).expect(sql);
            let fits = counter(&bytes()) + 1;
            raw(place)
                .execute("UPDATE last_write SET counter = ?1", [fits])
                .expect("the count");
            assert_eq!(counter(&bytes()), fits);
        }
        Bytes(from, to) => {
            let mut all = bytes();
            let found = all.windows(from.len()).position(|it| it == *from);
            let at = found.expect("the bytes are in the file");
            all[at..at + to.len()].copy_from_slice(to);
            std::fs::write(place.ledger(), all).expect("the file");
        }
        Header(at, byte) => {
            let mut all = bytes();
            assert_ne!(all[*at], *byte);
            all[*at] = *byte;
            std::fs::write(place.ledger(), all).expect("the file");
        }
        Chained => chained(
            &raw(place),
            "decision",
            r#"{"answer":"it was not","finding":"off-scale/W07/28"}"#,
        ),
    }
}

/// No words of SQLite's or of the program's inside.
fn is_told(what: &str, said: &Said) {
    let whole = format!("{what}: exit {}\n{}{}", said.code, said.out, said.err);
    for inside in [
        "SELECT",
        "no such",
        "fault of the program",
        "nothing was changed",
    ] {
        assert!(!whole.contains(inside), "{inside}: {whole}");
    }
    assert!(matches!(said.code, 0 | 4), "{whole}");
}

fn one_line(said: &Said) -> String {
    let all = format!("{} {}", said.out, said.err);
    all.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn each_tampering_is_told_by_whoever_looks_at_it() {
    let fresh = with_sheet("tamper, fresh");
    let bytes = std::fs::read(fresh.ledger()).expect("the file");
    assert!(ROWS.len() >= 25);
    for (name, deed, plain, full, refused) in ROWS {
        let place = Place::empty("tamper");
        std::fs::write(place.ledger(), &bytes).expect("the file");
        tamper(&place, deed);
        let doses = place.quiet("dose show W07 --year 2026");
        is_told(name, &doses);
        assert_eq!(
            doses.code,
            if *refused { 4 } else { 0 },
            "{name}: {doses:?}"
        );
        for (line, wanted) in [("ledger verify", plain), ("ledger verify --full", full)] {
            let said = place.quiet(line);
            is_told(name, &said);
            let found = one_line(&said);
            assert!(
                found.contains(wanted),
                "{name}: {wanted}\n{}{}",
                said.out,
                said.err
            );
            assert_eq!(
                said.code,
                if wanted.is_empty() { 0 } else { 4 },
                "{name}: {found}"
            );
            let names_more = found.contains("verify --full") || found.contains("`--full`");
            assert!(line.ends_with("full") || names_more, "{name}: {found}");
        }
        // What a full verification found sound is believed again; nothing else is.
        let again = place.quiet("dose show W07 --year 2026");
        let believed = !*refused || full.is_empty();
        assert_eq!(
            again.code,
            if believed { 0 } else { 4 },
            "{name}: {again:?}"
        );
    }
}

/// Where the entries are sound, a rebuild makes the file as good as new; where they are not, it
/// refuses and changes nothing.
#[test]
fn a_rebuild_mends_what_the_entries_say_and_nothing_else() {
    let fresh = with_sheet("tamper, fresh 2");
    let bytes = std::fs::read(fresh.ledger()).expect("the file");
    let wanted = fresh.done("dose show W07 --year 2026").out;
    let mut mended = 0;
    for (name, deed, ..) in ROWS {
        let place = Place::empty("tamper 2");
        std::fs::write(place.ledger(), &bytes).expect("the file");
        tamper(&place, deed);
        let sound = ![
            "entries dropped",
            "tail cut off",
            "all entries removed",
            "body changed",
            "hash changed",
            "writer changed",
            "entries swapped",
            "bytes of an entry",
        ]
        .contains(name);
        let before = std::fs::read(place.ledger()).expect("the file");
        let said = place.quiet("ledger rebuild");
        assert_eq!(said.code, if sound { 0 } else { 4 }, "{name}: {}", said.err);
        if sound {
            mended += 1;
            place.done("ledger verify --full");
            place.done("ledger verify");
            let doses = place.done("dose show W07 --year 2026").out;
            assert_eq!(doses, wanted, "{name}");
        } else {
            is_told(name, &said);
            let after = std::fs::read(place.ledger()).expect("the file");
            assert!(
                before == after,
                "{name}: it is refused and changes the file"
            );
        }
    }
    assert!(mended > 25);
}

/// A halved reading under a count that fits: no statement goes out and no month is signed.
#[test]
fn a_statement_and_a_signature_compare_what_they_rest_on() {
    let place = with_sheet("tamper, statement");
    place.done("dose statement W07 --year 2026");
    let row = |person: i64| {
        let sql = format!("UPDATE reading SET end_count = end_count / 2 WHERE person = {person}");
        let conn = raw(&place);
        conn.execute_batch(&sql).expect("a change");
        drop(conn);
        let all = std::fs::read(place.ledger()).expect("the file");
        let counter = i64::from(u32::from_be_bytes(all[24..28].try_into().expect("four")));
        raw(&place)
            .execute("UPDATE last_write SET counter = ?1", [counter + 1])
            .expect("the count");
    };
    row(1);
    place.done("dose show W07 --year 2026");
    for line in [
        "dose statement W07 --year 2026",
        "dose statement --all --year 2026 --out DIR/all",
        "review 2026-06 --sign W01",
        "review 2026 --out DIR/year",
    ] {
        let line = line.replace("--sign W01", "--sign --performed-by W01");
        let said = place.quiet(&line);
        assert_eq!(said.code, 4, "{line}: {}{}", said.out, said.err);
        assert!(
            one_line(&said).contains("table reading: a row of entry 28"),
            "{}",
            said.err
        );
        assert!(!place.path("all").exists());
    }
    place.done("ledger rebuild");
    place.done("dose statement W07 --year 2026");
    place.done("review 2026-06 --sign --performed-by W01");
}

#[test]
fn an_export_cut_at_any_line_is_refused() {
    let place = with_sheet("tamper, export");
    let head = place.head();
    place.done("ledger export DIR/out");
    let export = place.path("out/entries.jsonl");
    let text = std::fs::read_to_string(&export).expect("the export");
    let lines: Vec<&str> = text.split_inclusive('\n').collect();
    std::fs::remove_file(place.ledger()).expect("the ledger");
    let refused = |bytes: &str, what: &str| {
        std::fs::write(&export, bytes).expect("a file");
        let said = place.quiet("ledger restore DIR/out/entries.jsonl");
        assert_eq!(said.code, 1, "{what}: {}{}", said.out, said.err);
        assert!(!place.ledger().exists(), "{what}: nothing is left");
        said.err
    };
    for at in 0..lines.len() {
        refused(
            &lines[..at].concat(),
            &format!("cut before line {}", at + 1),
        );
        let half = lines[..at].concat() + &lines[at][..lines[at].len() / 2];
        refused(&half, &format!("cut within line {}", at + 1));
        let without = [&lines[..at], &lines[at + 1..]].concat().concat();
        refused(&without, &format!("without line {}", at + 1));
    }
    refused(&(text.clone() + "\n"), "a line after the seal");
    refused(&(text.clone() + lines[0]), "an entry after the seal");
    let seal = lines[lines.len() - 1];
    for (from, to) in [
        (r#""count":28"#, r#""count":27"#),
        (r#""format":1"#, r#""format":2"#),
        (r#""head":""#, r#""head":"0"#),
    ] {
        assert!(seal.contains(from), "{seal}");
        refused(&text.replace(from, to), to);
    }
    // An older export has no seal: it is taken on the word of whoever kept it.
    let older = lines[..28].concat();
    let said = refused(&older, "without a seal");
    assert!(
        said.contains("ends without its seal") && said.contains("--expect"),
        "{said}"
    );
    let restore = "ledger restore DIR/out/entries.jsonl --expect";
    let wrong = head.trim().replace("28:", "27:");
    assert_eq!(place.quiet(&format!("{restore} {wrong}")).code, 1);
    place.done(&format!("{restore} {}", head.trim()));
    assert_eq!(place.head(), head);
    place.done("dose show W07 --year 2026");
}

/// The one file has everything that was reported as written, whatever journal it was set to.
#[test]
fn a_copy_of_the_one_file_is_whole_after_another_journal_mode() {
    let place = with_sheet("tamper, wal");
    let conn = raw(&place);
    conn.execute_batch("PRAGMA journal_mode = WAL; UPDATE sheet SET note = note || ' x'")
        .expect("another journal");
    // While the other program has it open, nothing is written.
    let said = place.quiet("entry void 28 --reason why");
    assert_eq!(said.code, 4, "{}", said.err);
    let said = place.quiet("ledger rebuild");
    assert_eq!(said.code, 1, "{}", said.err);
    assert!(said.err.contains("journal mode `wal`"), "{}", said.err);
    std::mem::drop(conn);
    let again = raw(&place);
    again
        .execute_batch("PRAGMA journal_mode = WAL; PRAGMA wal_autocheckpoint = 0")
        .expect("another journal");
    drop(again);
    place.done("ledger rebuild");
    place.done("entry void 28 --reason \"the chain goes on\"");
    let (head, bytes) = (
        place.head(),
        std::fs::read(place.ledger()).expect("the file"),
    );
    let copy = Place::empty("tamper, wal copy");
    std::fs::write(copy.ledger(), bytes).expect("a copy of the one file");
    copy.done("ledger verify --full");
    assert_eq!(copy.head(), head);
    assert!(head.starts_with("29:"));
}

#[test]
fn copies_are_noted_beside_the_chain() {
    let place = with_sheet("tamper, anchors");
    place.done("ledger backup DIR/copy.db");
    place.done("entry void 28 --reason why");
    place.done("ledger export DIR/out");
    let anchors = |path: &std::path::Path| -> Vec<(String, String, i64, i64)> {
        Connection::open(path)
            .and_then(|conn| {
                conn.prepare("SELECT made_at, sort, count, length(head) FROM anchor")?
                    .query_map([], |row| {
                        Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?))
                    })?
                    .collect()
            })
            .expect("the anchors")
    };
    let at = super::cli_support::NOW.to_owned();
    let wanted = [
        (at.clone(), "backup".to_owned(), 28, 32),
        (at, "export".to_owned(), 29, 32),
    ];
    assert_eq!(anchors(&place.ledger()), wanted);
    assert!(anchors(&place.path("copy.db")).is_empty());
    place.done("ledger verify --full");
}
