//! The words of the trade and near spellings of ids, in every command and file that takes them.

use super::cli_typed::{Typed, flat, sheet};

/// A command that takes a kind of an item, with each word that crews have for it.
#[test]
fn the_words_of_the_trade_find_their_sort() {
    let typed = Typed::new("typed-words");
    let place = &typed.place;
    for (word, noun, kind) in [
        ("camera", "equipment", "exposure device"),
        ("device", "equipment", "exposure device"),
        ("source", "equipment", "source assembly"),
        ("pigtail", "equipment", "source assembly"),
        ("crank", "equipment", "control unit"),
        ("controls", "equipment", "control unit"),
        ("tube", "equipment", "guide tube"),
        ("changer", "equipment", "source changer"),
        ("ratemeter", "instrument", "alarm ratemeter"),
        ("Meter", "instrument", "survey meter"),
        ("pocket", "instrument", "pocket dosimeter"),
    ] {
        let more = match kind {
            "source assembly" => " --nuclide Ir-192 --activity \"80 Ci\" --activity-on 2026-06-01",
            "alarm ratemeter" => " --alarm-preset \"500 mR/h\"",
            "survey meter" => " --scale digital",
            "pocket dosimeter" => " --unit mR --range \"200 mR\"",
            _ => "",
        };
        let id = format!("N-{}", word.to_lowercase());
        place.done(&format!(
            "{noun} add --id {id} --type {word} --serial X1{more}"
        ));
        let list = place.done(&format!("{noun} list --csv")).out;
        let line = list
            .lines()
            .find(|it| it.starts_with(&id))
            .expect("the piece");
        assert!(line.contains(kind), "{word}: {line}");
        let corrected = list
            .lines()
            .find(|it| it.starts_with(&id))
            .and_then(|it| it.rsplit(',').next());
        let entry = corrected.expect("its entry");
        let said = place.quiet(&format!("entry correct {entry} type={word} --reason same"));
        assert!(!said.err.contains("words for this"), "{word}: {}", said.err);
    }
    let said = place.quiet("instrument add --id N-1 --type dosimeter --serial X1");
    assert!(
        said.err
            .contains("pocket dosimeter or electronic dosimeter"),
        "{}",
        said.err
    );
}

/// A name that leads nowhere, in commands that take one, and what the refusal offers.
#[test]
fn a_near_spelling_or_a_word_for_the_kind_is_answered_with_ids() {
    let typed = Typed::new("typed-near");
    let place = &typed.place;
    for (line, offered) in [
        ("dose show w7 --year 2026", "did you mean `W07`"),
        ("work-status W-7", "did you mean `W07`"),
        ("equipment show D1", "did you mean `D-1`"),
        ("equipment show camera", "did you mean `D-1`?"),
        ("equipment show tube", "did you mean `G-1` or `G-2`?"),
        (
            "instrument show ratemeter",
            "did you mean `RM-07` or `RM-08`?",
        ),
        ("instrument show rm7", "did you mean `RM-07`"),
        (
            "equipment out-of-service --item s1 --on 2026-06-12 --reason x --performed-by W01",
            "did you mean `S-1`",
        ),
        (
            "equipment out-of-service --item crank --on 2026-06-12 --reason x --performed-by W01",
            "did you mean `C-1`?",
        ),
        (
            "equipment leak-test --item source --on 2026-06-12 --part source \
             --removable \"< 5 Bq\" --performed-by x",
            "did you mean `S-1`?",
        ),
        (
            "instrument check --instrument pd7 --on 2026-06-12 --type response \
             --result passed --performed-by x",
            "did you mean `PD-07`",
        ),
        (
            "instrument check --instrument dosimeter --on 2026-06-12 --type response \
             --result passed --performed-by x",
            "did you mean `EL-01` or `PD-07` or `PD-08`?",
        ),
        ("pack j1 --out DIR/papers", "did you mean `J-1`"),
        ("ratemeter list", "wearbook instrument list"),
        ("cameras", "wearbook equipment list"),
        ("dosimeter add", "wearbook instrument list"),
    ] {
        let said = place.quiet(line);
        assert!(
            matches!(said.code, 1 | 2),
            "{line}\n{}{}",
            said.out,
            said.err
        );
        let said = flat(said);
        assert!(said.err.contains(offered), "{line}\n{}", said.err);
    }
}

/// The same words in the other files.
#[test]
fn other_files_take_the_same_words() {
    let typed = Typed::new("typed-others");
    let place = &typed.place;
    place.done("checklist adopt general --from 2026-06-01");
    for (command, file) in [
        (
            "inspect import",
            "sep=;\nitem;on;at;when;performed_by;line;result;note;action;;\n\
             D-1;12 June 2026;0640;daily;W07;locks;defect;sticks;withdrawn;;\n",
        ),
        (
            "instrument calibrations",
            "sep=;\ninstrument;on;type;performed_by;as;true;reads;;\n\
             PD-07;13.6.2026 00:00:00;response;W01;found;100 mR;98 mR;;\n",
        ),
        (
            "instrument checks",
            "instrument,on,type,result,performed_by,,\nPD-07,13/06/2026,response,passed,W01,,\n",
        ),
        (
            "badge issues",
            "sep=\t\nbadge\ttype\tworker\tfirst_day\tlast_day\t\nB-1\tbody\tW07\t1 June 2026\t\
             20260630\t\n",
        ),
        (
            "equipment import",
            "id,type,serial,uranium_tube,in_service,\nD-9,camera,X9,TRUE,1-Jun-2026,\n",
        ),
    ] {
        let path = place.file("rows.csv", file);
        let said = place.quiet(&format!("{command} {path} --dry-run"));
        let of_words = [
            "time",
            "day",
            "heading",
            "parted",
            "words for this",
            "neither yes",
        ];
        let told = of_words.iter().any(|it| said.err.contains(*it));
        assert!(!told, "{command}\n{}", said.err);
    }
}

#[test]
fn a_correction_takes_the_words_of_the_file() {
    let typed = Typed::new("typed-corrected");
    let place = &typed.place;
    let file = place.file(
        "june.csv",
        sheet("W07,radiographer,PD-07,1,0,12,no,RM-07,yes,yes"),
    );
    let taken = place.done(&format!("sheet import {file}")).out;
    let words = taken.split_whitespace().skip_while(|it| *it != "entry");
    let number = words.skip(1).map(|it| it.trim_end_matches(':'));
    let mut entry: i64 = number
        .filter_map(|it| it.parse().ok())
        .next()
        .expect("an entry");
    for (set, shown) in [
        ("begins=0730", "07:30"),
        ("\"ends=3:30 PM\"", "15:30"),
        ("\"day=11 June 2026\"", "2026-06-11"),
        ("people.1.alarm_tested=FALSE", "no"),
    ] {
        place.done(&format!(
            "entry correct {entry} {set} --reason \"as on paper\""
        ));
        entry += 1;
        let said = place.done(&format!("entry show {entry}")).out;
        let field = set.trim_matches('"').split('=').next().expect("a field");
        let line = said.lines().find(|it| it.trim_start().starts_with(field));
        let line = line.unwrap_or_else(|| panic!("{set}\n{said}"));
        assert!(line.contains(shown), "{set}: {line}");
    }
    let end = "people.1.readings.1.end";
    let off = format!("entry correct {entry} \"{end}=> 200 mR\" --reason \"as on paper\"");
    let said = place.done(&off);
    assert!(said.out.contains("PD-07 off-scale"), "{}", said.out);
    let refused = format!("entry correct {entry} \"{end}=>150\" --reason x");
    let said = place.quiet(&refused);
    assert_eq!(said.code, 1, "{}", said.out);
}
