//! What the command line says of itself: the reference, the manual pages, completions, and that
//! the examples hold values which the program takes.

use std::io::Write as _;
use std::process::{Command, Stdio};

use super::cli_support::Place;

#[test]
fn help_of_a_command_is_the_same_by_noun_and_by_flag() {
    let place = Place::empty("help_words");
    for words in ["", "sheet enter", "worker add", "hold list"] {
        let said = place.done(&format!("help {words}")).out;
        let flag = place.quiet(&format!("{words} --help"));
        let squeezed = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(squeezed(&said), squeezed(&flag.out), "{words}");
    }
    let wrong = place.quiet("help sheet entre");
    assert_eq!(wrong.code, 1);
    assert!(wrong.err.contains("`sheet` has no command `entre`"));
}

#[test]
fn every_command_has_a_manual_page_that_a_formatter_takes() {
    let place = Place::empty("man_pages");
    assert!(place.done("man").out.contains(".TH wearbook 1"));
    place.done("man --out DIR/man1");
    let reference = place.done("help --all").out;
    let heads = reference.lines().filter_map(|it| it.strip_prefix("# "));
    let mut count = 0;
    for words in heads {
        let file = place.path(&format!("man1/{}.1", words.replace(' ', "-")));
        let page = std::fs::read_to_string(&file).unwrap_or_else(|e| panic!("{words}: {e}"));
        for part in [".SH NAME", ".SH SYNOPSIS", ".SH DESCRIPTION"] {
            assert!(page.contains(part), "{words}: {part}");
        }
        count += 1;
    }
    assert!(count > 100, "{count} pages");
    let page = place.path("man1/wearbook-sheet-enter.1");
    // A machine without a formatter of manual pages has nothing to try them with.
    let groff = Command::new("groff")
        .args(["-man", "-Tascii", "-ww", "-z"])
        .arg(&page)
        .output();
    if let Ok(said) = groff {
        let words = String::from_utf8_lossy(&said.stderr).into_owned();
        assert!(said.status.success() && words.is_empty(), "{words}");
    }
}

#[test]
fn a_shell_reads_the_completion_script() {
    let place = Place::empty("completion_syntax");
    for (shell, flag) in [("bash", "-n"), ("zsh", "-n"), ("fish", "--no-execute")] {
        let script = place.done(&format!("completions {shell}")).out;
        let child = Command::new(shell)
            .arg(flag)
            .stdin(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn();
        // A shell that is not on this machine reads nothing.
        let Ok(mut child) = child else { continue };
        let mut input = child.stdin.take().expect("a pipe");
        input
            .write_all(script.as_bytes())
            .expect("a shell that reads");
        drop(input);
        let said = child.wait_with_output().expect("a shell that ends");
        let words = String::from_utf8_lossy(&said.stderr).into_owned();
        assert!(
            said.status.success() && words.is_empty(),
            "{shell}: {words}"
        );
    }
}

#[test]
fn the_words_of_the_registers_examples_are_taken() {
    let place = Place::with_registers("examples_of_registers");
    let reference = place.done("help --all").out;
    let nouns = [
        "worker",
        "job",
        "instrument",
        "equipment",
        "badge",
        "determination",
    ];
    let mut tried = 0;
    for part in reference.split("Example: wearbook ").skip(1) {
        let example = part.split("\n\n").next().unwrap_or(part);
        let example = &example.replace('\n', " ").replace("--out ", "--out DIR/");
        let noun = example.split_whitespace().next().unwrap_or_default();
        if !nouns.contains(&noun) {
            continue;
        }
        let said = place.quiet(example);
        // What it names may not be in this ledger; how it is written must be right.
        for wrong in [
            "is not one of the words",
            "cannot be read",
            "unexpected argument",
        ] {
            assert!(!said.err.contains(wrong), "{example}\n{}", said.err);
        }
        assert_ne!(said.code, 2, "{example}\n{}", said.err);
        tried += 1;
    }
    assert!(tried > 60, "{tried} examples");
}

#[test]
fn each_chart_is_drawn_as_svg_and_as_png() {
    let place = Place::with_registers("chart_kinds");
    for verb in ["crew", "reconcile", "due", "collective", "worker W07"] {
        let name = verb.replace(' ', "-");
        place.done(&format!("chart {verb} --out DIR/{name}.svg"));
        place.done(&format!("chart {verb} --out DIR/{name}.png"));
        let svg = std::fs::read_to_string(place.path(&format!("{name}.svg"))).expect("a drawing");
        assert!(svg.starts_with("<svg") && svg.contains("<desc>"), "{name}");
        let picture = std::fs::read(place.path(&format!("{name}.png"))).expect("a picture");
        assert!(picture.starts_with(b"\x89PNG"), "{name}");
    }
}
