//! Answers in every form: text, JSON, CSV, charts, and what the exit code says.

use std::io::{Error, ErrorKind, Write};

use super::cli_support::{HEADER, NOW, Place, crew, row, run_with, words};

/// Four shifts of three people in two years, one dosimeter off-scale.
fn worked(name: &str) -> Place {
    let place = Place::with_registers(name);
    let off_scale = row(
        "2026-06-13",
        "day",
        "W08,assistant,PD-08,1,1,,yes,RM-08,yes,yes",
    );
    let rows = [
        crew("2025-12-31", "night"),
        crew("2026-06-11", "day"),
        crew("2026-06-12", "day"),
        row(
            "2026-06-13",
            "day",
            "W07,radiographer,EL-01,1,40,165,no,RM-07,yes,yes",
        ),
        off_scale,
    ];
    place.file("june.csv", format!("{HEADER}{}", rows.concat()));
    place.done("sheet import DIR/june.csv");
    place
}

#[test]
fn doses_are_shown_in_every_span() {
    let name = "doses_in_every_span";
    let mut place = worked(name);
    for line in [
        "dose show W07",
        "dose show W07 --why",
        "dose show W07 --year 2025",
        "dose show W07 --from 2026-06-12 --to 2026-06-13",
        "dose show W07 --on 2026-06-11",
        "dose show W07 --known-at 27",
        "dose show \"Mirko Sandpiper\" --year 2025",
        "dose show W08",
        "dose crew",
        "dose crew --year 2025 --csv",
        "findings",
        "hold list",
    ] {
        assert_eq!(place.run(line).code, 0, "{line}");
    }
    place.golden(name);
}

#[test]
fn a_question_without_an_answer_is_refused() {
    let name = "questions_without_an_answer";
    let mut place = worked(name);
    for line in [
        "dose show W77",
        "dose show \"Mirko Sandpipe\"",
        "dose show nobody",
        "dose show W07 --from 2026-06-12",
        "dose show W07 --from 2026-06-13 --to 2026-06-12",
        "dose show W07 --from 2026-06-13 --to 2026-06-31",
        "dose show W07 --year twenty",
        "dose show W07 --year 2026 --from 2026-06-12 --to 2026-06-13",
        "dose show W07 --known-at 0",
        "dose show W07 --known-at 999",
        "dose crew --json --csv",
        "entry show 999",
        "entry history 0",
        "chart worker W07 --out DIR/w07.pdf",
        "chart worker W77 --out DIR/w77.svg",
        "chart worker W07 --out DIR/no/such/folder.svg",
        "dose shwo W07",
        "completions cmd",
        "",
    ] {
        place.refused(line);
    }
    place.golden(name);
}

#[test]
fn json_has_one_envelope_and_integers_with_their_unit_in_the_key() {
    let place = worked("json_envelope");
    for (line, what) in [
        ("dose show W07", "dose show"),
        ("dose crew", "dose crew"),
        ("findings", "findings"),
        ("hold list", "hold list"),
        ("worker list", "worker list"),
        ("job list", "job list"),
        ("instrument list", "instrument list"),
        ("equipment list", "equipment list"),
        ("entry show 28", "entry show"),
        ("entry history 28", "entry history"),
        ("rules list", "rules list"),
        ("rules show", "rules show"),
        ("ledger verify", "ledger verify"),
    ] {
        let said = place.done(&format!("{line} --json"));
        let value: serde_json::Value = serde_json::from_str(&said.out).unwrap();
        assert_eq!(value["schema"], 1, "{line}");
        assert_eq!(value["what"], what);
        assert_eq!(value["clock"], "scripted");
        assert!(!value["data"].is_null(), "{line}");
        no_floats(&value, line);
    }
}

fn no_floats(value: &serde_json::Value, line: &str) {
    match value {
        serde_json::Value::Number(number) => {
            assert!(number.is_i64() || number.is_u64(), "{line}: {number}");
        }
        serde_json::Value::Array(list) => list.iter().for_each(|it| no_floats(it, line)),
        serde_json::Value::Object(map) => {
            for (key, it) in map {
                assert!(!it.is_number() || !key.ends_with("dose"), "{line}: {key}");
                no_floats(it, line);
            }
        }
        _ => {}
    }
}

#[test]
fn csv_is_a_table_that_any_program_reads() {
    let place = worked("csv_tables");
    for line in [
        "dose crew",
        "findings",
        "worker list",
        "instrument list",
        "equipment list",
    ] {
        let said = place.done(&format!("{line} --csv"));
        let mut reader = csv::Reader::from_reader(said.out.as_bytes());
        let width = reader.headers().unwrap().len();
        assert!(width > 2, "{line}");
        let rows: Vec<_> = reader.records().map(|it| it.unwrap()).collect();
        assert!(!rows.is_empty(), "{line}");
        assert!(rows.iter().all(|it| it.len() == width), "{line}");
        assert!(
            said.err.contains("scripted"),
            "every output says so: {line}"
        );
    }
}

#[test]
fn what_was_known_earlier_can_be_asked_again() {
    let place = worked("known_earlier");
    let before = place.done("dose crew --known-at 30").out;
    let entry = place.done("ledger seal").out;
    let count: i64 = entry.split(':').next().unwrap().parse().unwrap();
    place.done(&format!("entry void {count} --reason \"test\""));
    place.done("entry correct 29 exposures=1 --reason \"test\"");
    assert_eq!(place.done("dose crew --known-at 30").out, before);
}

#[test]
fn a_chart_is_a_picture_of_its_kind() {
    let place = worked("charts");
    for (file, signature) in [
        ("w07.svg", b"<svg".as_slice()),
        ("w07.png", b"\x89PNG\r\n\x1a\n".as_slice()),
    ] {
        place.done(&format!("chart worker W07 --year 2026 --out DIR/{file}"));
        let bytes = std::fs::read(place.path(file)).unwrap();
        let head = bytes.get(..400.min(bytes.len())).unwrap();
        let found = head.windows(signature.len()).any(|it| it == signature);
        assert!(found, "{file}");
    }
    let svg = std::fs::read_to_string(place.path("w07.svg")).unwrap();
    for words in ["<title", "<desc", "role=\"img\"", "W07"] {
        assert!(svg.contains(words), "{words}");
    }
}

#[test]
fn the_exit_code_says_how_it_ended() {
    let place = worked("exit_codes");
    for (line, code) in [
        ("dose crew", 0),
        ("--version", 0),
        ("--help", 0),
        ("sheet enter --help", 0),
        ("dose show W77", 1),
        ("dose show", 2),
        ("nonsense", 2),
        ("findings --check", 3),
        ("findings --check --year 2024", 0),
        (
            "ledger verify --expect \
          1:0000000000000000000000000000000000000000000000000000000000000000",
            4,
        ),
    ] {
        assert_eq!(place.quiet(line).code, code, "{line}");
    }
}

/// A reader that goes away: `| head`.
struct Gone;

impl Write for Gone {
    fn write(&mut self, _: &[u8]) -> std::io::Result<usize> {
        Err(Error::from(ErrorKind::BrokenPipe))
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

/// A disk that is full, or a terminal that is gone.
struct Full;

impl Write for Full {
    fn write(&mut self, _: &[u8]) -> std::io::Result<usize> {
        Err(Error::from(ErrorKind::StorageFull))
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

#[test]
fn a_broken_pipe_ends_quietly_and_a_full_disk_does_not() {
    let place = worked("broken_pipe");
    let now = wearbook::calendar::parse_instant(NOW).unwrap().to_utc();
    for line in [
        "dose crew",
        "dose crew --json",
        "findings --csv",
        "completions bash",
    ] {
        let mut arguments = words(line);
        arguments.extend(["--ledger".into(), place.ledger().into_os_string()]);
        let mut err = Vec::new();
        let empty = (false, &mut std::io::empty() as &mut dyn std::io::BufRead);
        let code = run_with((&arguments, 80), now, empty, &mut Gone, &mut err);
        let said = String::from_utf8(err).unwrap();
        assert_eq!(code, 0, "{line}: {said}");
        assert!(!said.contains("error"), "{line}: {said}");
        let mut err = Vec::new();
        let empty = (false, &mut std::io::empty() as &mut dyn std::io::BufRead);
        let code = run_with((&arguments, 80), now, empty, &mut Full, &mut err);
        let said = String::from_utf8(err).unwrap();
        assert_eq!(code, 74, "{line}: {said}");
        assert!(
            said.contains("error: the output cannot be written"),
            "{line}: {said}"
        );
    }
}

#[test]
fn completions_know_every_noun() {
    let place = Place::empty("completions");
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let script = place.done(&format!("completions {shell}")).out;
        for noun in ["sheet", "dose", "worker", "hold", "findings", "ledger"] {
            assert!(script.contains(noun), "{shell}: {noun}");
        }
    }
}
