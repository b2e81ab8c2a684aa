//! What people type into files and fields: taken where it can mean one thing alone, else refused
//! with the line and the column, and a stop on the way is printed either way.

use super::cli_support::{HEADER, Place, Said, crew, row};

/// A ledger with its registers, on which files are tried.
pub struct Typed {
    pub place: Place,
}

impl Typed {
    pub fn new(name: &str) -> Typed {
        let place = Place::with_registers(name);
        Typed { place }
    }

    fn import(&self, file: &str) -> Said {
        let file = self.place.file("june.csv", file);
        flat(self.place.quiet(&format!("sheet import {file} --dry-run")))
    }

    fn is_refused(&self, file: &str, wanted: &str) {
        let said = self.import(file);
        assert_eq!(said.code, 1, "{file}\n{}", said.out);
        let right = said.err.contains(wanted.trim_end());
        assert!(right, "{wanted}\n{}", said.err);
    }
}

/// What was said, however its lines are broken.
pub fn flat(said: Said) -> Said {
    let flat = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    Said {
        out: flat(&said.out),
        err: flat(&said.err),
        ..said
    }
}

/// The sheet of one radiographer by the last cells of the row.
pub fn sheet(person: &str) -> String {
    format!("{HEADER}{}", row("2026-06-12", "day", person))
}

/// Part, start, end and the off-scale column; which column a refusal names.
const OFF_SCALE: &[(&str, &str)] = &[
    ("1,0,off,", "taken"),
    ("1,0,O/S,", "taken"),
    ("1,0,OS,", "taken"),
    ("1,0,offscale,", "taken"),
    ("1,0,off scale,yes", "taken"),
    ("1,0,Off-Scale,", "taken"),
    ("1,0,>200,", "taken"),
    ("1,0,> 200 mR,yes", "taken"),
    ("1,0,>0.2 R,", "taken"),
    ("1,0,over 200 mR,", "taken"),
    ("1,0,200+,", "taken"),
    ("1,0,,yes", "taken"),
    ("1,0,,TRUE", "taken"),
    ("1,0,,O/S", "taken"),
    ("1,0,,>200", "taken"),
    (
        "1,0,>150,",
        "end: `>150` is not the range of this dosimeter, which ends at 200 mR",
    ),
    (
        "1,0,>500 mR,",
        "end: `>500 mR` is not the range of this dosimeter, which ends at 200 mR",
    ),
    (
        "1,0,>200 mSv,",
        "end: `>200 mSv` is not the range of this dosimeter, which ends at 200 mR",
    ),
    ("1,0,>,", "end: `>` "),
    (
        "1,0,O/S,no",
        "off_scale: `no` says no, and the end is `O/S`",
    ),
    (
        "1,0,12,off",
        "off_scale: `off` could mean two things: off-scale, or not",
    ),
    ("1,0,12,x", "off_scale: `x` is neither yes nor no"),
    ("1,O/S,,", "start: `O/S` is off-scale at the start"),
    ("100,0,O/S,", "part: `100` is not a part"),
];

#[test]
fn off_scale_is_taken_as_people_write_it_or_refused_and_stops_somebody_either_way() {
    let typed = Typed::new("typed-off-scale");
    for (cells, wanted) in OFF_SCALE {
        let said = typed.import(&sheet(&format!(
            "W07,radiographer,PD-07,{cells},RM-07,yes,yes"
        )));
        let all = format!("{}{}", said.out, said.err);
        let stops = "PD-07 off-scale: the dose has no upper bound";
        assert!(all.contains(stops), "{cells}\n{all}");
        match *wanted {
            "taken" => assert_eq!(said.code, 0, "{cells}\n{all}"),
            wanted => {
                assert_eq!(said.code, 1, "{cells}\n{all}");
                let line = format!("line 2, {wanted}");
                assert!(said.err.contains(line.trim_end()), "{cells}\n{all}");
            }
        }
    }
}

/// What is wrong besides; the dosimeter is off-scale in each.
#[test]
fn a_stop_is_printed_whatever_else_of_the_file_is_refused() {
    let typed = Typed::new("typed-stops");
    let off = "W07,radiographer,PD-07,1,0,O/S,,RM-07,yes,yes";
    let good = sheet(off);
    let other = row(
        "2026-06-13",
        "day",
        "W08,assistant,PD-08,1,1,9,maybe,RM-08,yes,yes",
    );
    for (what, file) in [
        ("another sheet", format!("{good}{other}")),
        ("a day", good.replace("2026-06-12", "12.06.26")),
        ("a shift", good.replace(",day,", ",noon,")),
        ("work", good.replace(",radiography,", ",gardening,")),
        ("the job", good.replace(",J-1,", ",,")),
        ("an hour", good.replace("07:00,", "7,")),
        ("the role", good.replace(",radiographer,", ",boss,")),
        ("no one", good.replace("W07,radiographer", ",radiographer")),
        ("no dosimeter", good.replace(",PD-07,", ",,")),
        ("a meter for a dosimeter", good.replace(",PD-07,", ",SM-1,")),
        (
            "the same twice",
            format!("{good}{}", row("2026-06-12", "day", off)),
        ),
        ("another role below", {
            let second = off.replace("radiographer,PD-07", "assistant,PD-08");
            let first = off.replace("O/S", "12");
            format!("{}{}", sheet(&first), row("2026-06-12", "day", &second))
        }),
    ] {
        let said = typed.import(&file);
        assert_eq!(said.code, 1, "{what}\n{}{}", said.out, said.err);
        let stops = " off-scale: the dose has no upper bound";
        assert!(said.err.contains(stops), "{what}\n{}", said.err);
    }
}

/// What a file may have around its rows, each taken as the plain file is.
#[test]
fn what_spreadsheets_add_around_the_rows_is_no_mistake() {
    let typed = Typed::new("typed-around");
    let plain = format!("{HEADER}{}", crew("2026-06-12", "day"));
    let ends = |more: &str| plain.replace('\n', &format!("{more}\n"));
    let under = |sign: &str| format!("sep={sign}\n{}", plain.replace(',', sign));
    let (head, rows) = plain.split_once('\n').expect("a header");
    let times = |from: &str, to: &str| plain.replace(from, to);
    for (what, file) in [
        ("trailing columns", ends(",,,")),
        (
            "more cells than headings",
            format!("{head}\n{}", rows.replace('\n', ",,\n")),
        ),
        ("headings without cells", format!("{head},,\n{rows}")),
        ("sep=,", format!("sep=,\n{plain}")),
        ("sep=;", under(";")),
        ("a tab", under("\t")),
        ("a bar", under("|")),
        (
            "with a mark and CRLF",
            format!("\u{feff}{}", under(";").replace('\n', "\r\n")),
        ),
        ("capitals", under(";").replace("sep=", "SEP=")),
        ("seconds", times("07:00,15:00", "07:00:00,15:00:00")),
        ("without a nought", times("07:00,15:00", "7:00,15:00")),
        (
            "halves",
            times("07:00,15:00", "7:00 AM,3:00 PM").replace("06:30,15:20", "6:30 am,3:20 pm"),
        ),
        ("military", times("07:00,15:00", "0700,1500")),
        (
            "without a colon and a nought",
            times("07:00,15:00", "700,1500"),
        ),
        (
            "capitals of truth",
            times(",no,", ",FALSE,").replace(",yes,yes", ",TRUE,Y"),
        ),
        ("a month in words", times("2026-06-12", "12 June 2026")),
        (
            "a day with midnight",
            times("2026-06-12", "2026-06-12 00:00:00"),
        ),
        (
            "strokes with the year first",
            times("2026-06-12", "2026/06/12"),
        ),
    ] {
        let said = typed.import(&file);
        assert_eq!(said.code, 0, "{what}\n{}", said.err);
        let person = said.out.contains("1 sheet, 2 people");
        assert!(person, "{what}\n{}", said.out);
    }
    // Each wrote the same sheet.
    let one = typed.place.file("one.csv", &plain);
    typed.place.done(&format!("sheet import {one}"));
    let other = times("07:00,15:00", "7:00 AM,3:00 PM").replace("06:30,15:20", "630,1520");
    let other = other
        .replace("630,1520", "6:30 am,3:20 PM")
        .replace("2026-06-12", "12-Jun-2026");
    let said = typed.import(&other);
    assert!(
        said.out.contains("1 are there already"),
        "{}{}",
        said.out,
        said.err
    );
}

/// What could mean two things, or nothing, with the line and the column of the refusal.
#[test]
fn what_could_mean_two_things_is_refused_with_its_line_and_column() {
    let typed = Typed::new("typed-refused");
    let plain = format!("{HEADER}{}", crew("2026-06-12", "day"));
    let with = |from: &str, to: &str| plain.replace(from, to);
    let hours = |hours: &str| {
        let none = with("06:30,15:20", ",");
        none.replace("07:00,15:00", hours)
    };
    for (file, wanted) in [
        (
            hours("7:00,3:00"),
            "line 2, begins: `7:00` could mean two things",
        ),
        (
            hours("7:00,3:00"),
            "line 2, ends: `3:00` could mean two things",
        ),
        (
            hours("700,300"),
            "line 2, begins: `700` could mean two things",
        ),
        (
            hours("7:00 AM,10:15"),
            "line 2, ends: `10:15` could mean two things",
        ),
        (
            hours("7:00 AM,12:00 PM"),
            "line 2, ends: `12:00 PM` could mean noon or midnight",
        ),
        (
            hours("07:00:30,15:00"),
            "line 2, begins: `07:00:30` is not a time",
        ),
        (
            with("2026-06-12", "06/12/2026"),
            "line 2, day: `06/12/2026` could mean two things",
        ),
        (
            with("2026-06-12", "12-Jun-26"),
            "line 2, day: `12-Jun-26` is not a day",
        ),
    ] {
        typed.is_refused(&file, wanted);
    }
}

/// The line is that of an editor, whatever stands before it.
#[test]
fn a_refusal_names_the_line_that_an_editor_shows() {
    let typed = Typed::new("typed-lines");
    let plain = format!("{HEADER}{}", crew("2026-06-12", "day"));
    let (head, rows) = plain.split_once('\n').expect("a header");
    let (first, second) = rows.split_once('\n').expect("two rows");
    let with = |from: &str, to: &str| plain.replace(from, to);
    for (file, wanted) in [
        (
            format!("sep=;\n{}", with(",12,no", ",maybe,no").replace(',', ";")),
            "line 3, end: `maybe` ",
        ),
        (
            format!(
                "\u{feff}sep=;\n\n{}",
                with(",12,no", ",1-2,no").replace(',', ";")
            )
            .replace('\n', "\r\n"),
            "line 4, end: `1-2` ",
        ),
        (format!("sep=;;\n{plain}"), "line 1: names no separator"),
        (
            format!("sep=;\n{plain}"),
            "line 2: its columns are separated by `,`",
        ),
        (
            format!("\n\n{}", plain.replace(',', ";")),
            "line 3: its columns are separated by `;`",
        ),
        (
            format!("{head}, \n{first},\n{},over\n", second.trim_end()),
            "line 3: `over` stands in column 29, which has no heading",
        ),
        (
            format!(
                "{head},note\n{first},\"x\ny\"\n\n{},\n",
                second.replace(",1,9,", ",1,z,").trim_end()
            ),
            "line 5, end: `z` ",
        ),
        (
            format!("{head}\n{first}\n{}", second.replace(",1,1,9", ",0,1,9")),
            "line 3, part: `0` is not a part",
        ),
    ] {
        typed.is_refused(&file, wanted);
    }
}

/// Some days of a column year first, as a spreadsheet writes its own, and some with the year last,
/// as people type them: the former may have been made of the latter in the wrong order.
#[test]
fn a_column_with_days_in_two_forms_is_refused_unless_their_order_is_said() {
    let typed = Typed::new("typed-two-forms");
    let mixed = format!(
        "{HEADER}{}{}",
        crew("2026-03-04", "day"),
        crew("13/03/2026", "day")
    );
    let said = typed.import(&mixed);
    assert!(
        said.err
            .contains("line 4, day: holds dates of the spreadsheet's own, as in line 2"),
        "{}",
        said.err
    );
    let file = typed.place.file("june.csv", &mixed);
    typed
        .place
        .done(&format!("sheet import {file} --dates dmy --dry-run"));
    let alone = format!("{HEADER}{}", crew("13/03/2026", "day"));
    let said = typed.import(&alone);
    assert_eq!(said.code, 0, "{}", said.err);
    // An order that was said is the only one.
    let file = typed.place.file("june.csv", &alone);
    let said = typed
        .place
        .quiet(&format!("sheet import {file} --dates mdy --dry-run"));
    assert!(said.err.contains("month before day"), "{}", said.err);
}

#[test]
fn bytes_that_are_no_text_are_refused_with_their_line_and_column() {
    let typed = Typed::new("typed-bytes");
    let mut file = format!("{HEADER}\n\n{}", crew("2026-06-12", "day")).into_bytes();
    let at = file
        .windows(3)
        .rposition(|it| it == b"W08")
        .expect("a worker");
    file[at] = 0xff;
    let path = typed.place.file("june.csv", file);
    let said = typed.place.quiet(&format!("sheet import {path}"));
    assert!(
        said.err
            .contains("line 5, worker: has bytes that are not UTF-8 text"),
        "{}",
        said.err
    );
}
