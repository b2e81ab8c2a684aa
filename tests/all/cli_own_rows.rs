//! A file that names its rows by numbers of its own is run again after mending.

use super::cli_support::Place;

/// One kind of file: its command, its columns, a row, the same row mended in what it is known by,
/// and a row that is new.
struct File {
    command: &'static str,
    columns: &'static str,
    row: &'static str,
    mended: &'static str,
    new: &'static str,
}

const FILES: &[File] = &[
    File {
        command: "inspect import",
        columns: "item,on,when,performed_by,line,result,row",
        row: "D-1,2026-06-02,daily,W07,device-lock,good,7",
        mended: "D-1,2026-06-03,daily,W07,device-lock,good,7",
        new: "D-1,2026-06-04,daily,W07,device-lock,good,8",
    },
    File {
        command: "instrument calibrations",
        columns: "instrument,on,type,performed_by,as,true,reads,row",
        row: "PD-07,2026-06-02,response check,Lab,found,100 mR,101 mR,7",
        mended: "PD-07,2026-06-03,response check,Lab,found,100 mR,101 mR,7",
        new: "PD-08,2026-06-03,response check,Lab,found,100 mR,99 mR,8",
    },
    File {
        command: "instrument checks",
        columns: "instrument,on,type,result,performed_by,row",
        row: "SM-1,2026-06-02,calibration,pass,Lab,7",
        mended: "SM-1,2026-06-03,calibration,pass,Lab,7",
        new: "RM-07,2026-06-03,calibration,pass,Lab,8",
    },
    File {
        command: "equipment leak-tests",
        columns: "item,on,part,removable,performed_by,row",
        row: "S-1,2026-06-02,source,< 5 Bq,Lab,7",
        mended: "S-1,2026-06-03,source,< 5 Bq,Lab,7",
        new: "S-1,2026-06-04,source,< 5 Bq,Lab,8",
    },
    File {
        command: "equipment source-checks",
        columns: "type,sources,on,performed_by,row",
        row: "presence check,S-1,2026-06-02,A. Hollow,7",
        mended: "presence check,S-1,2026-06-03,A. Hollow,7",
        new: "presence check,S-1,2026-06-04,A. Hollow,8",
    },
    File {
        command: "worker qualifications",
        columns: "worker,type,on,performed_by,row",
        row: "W07,refresher training,2026-02-02,RSO,7",
        mended: "W08,refresher training,2026-02-02,RSO,7",
        new: "W07,refresher training,2026-02-03,RSO,8",
    },
    File {
        command: "worker prior-doses",
        columns: "worker,first_day,last_day,employer,deep,basis,row",
        row: "W07,2024-01-01,2024-12-31,Other Testing,12 mrem,letter,7",
        mended: "W07,2024-02-01,2024-12-31,Other Testing,12 mrem,letter,7",
        new: "W08,2024-01-01,2024-12-31,Other Testing,3 mrem,letter,8",
    },
    File {
        command: "worker opening-totals",
        columns: "worker,period,deep,source,row",
        row: "W07,2024,12 mrem,old book,7",
        mended: "W07,2023,12 mrem,old book,7",
        new: "W08,2024,3 mrem,old book,8",
    },
];

fn squeezed(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_mended_row_is_the_same_record_by_its_number_and_the_file_runs_again() {
    for file in FILES {
        let command = file.command;
        let place = Place::with_registers(&format!("own-rows-{}", command.replace(' ', "-")));
        place.done("checklist adopt general --from 2026-01-01");
        let import = |rows: &[&str]| {
            let text = format!("{}\n{}\n", file.columns, rows.join("\n"));
            let path = place.file("office.csv", text);
            let said = place.quiet(&format!("{command} {path}"));
            (said.code, squeezed(&format!("{}{}", said.out, said.err)))
        };
        let (code, said) = import(&[file.row]);
        assert_eq!(code, 0, "{command}: {said}");
        assert!(said.contains("1 written"), "{command}: {said}");
        let head = place.head();
        let (_, said) = import(&[file.row]);
        assert!(
            said.contains("0 written, 1 were there"),
            "{command}: {said}"
        );

        // The mended row is told apart from a new one, with the command that corrects it.
        let (code, said) = import(&[file.mended, file.new]);
        assert_eq!(code, 1, "{command}: {said}");
        assert_eq!(place.head(), head, "{command}: something was written");
        let amend = said.split("wearbook entry correct ").nth(1);
        let amend = amend.unwrap_or_else(|| panic!("{command}: {said}"));
        let amend = amend.split(" --reason").next().expect("its end");
        place.done(&format!(
            "entry correct {amend} --reason \"mended in the file\""
        ));

        let (code, said) = import(&[file.mended, file.new]);
        assert_eq!(code, 0, "{command}: {said}");
        assert!(
            said.contains("1 written, 1 were there"),
            "{command}: {said}"
        );
        // The file as it was before is known too.
        let (code, said) = import(&[file.row]);
        assert_eq!(code, 0, "{command}: {said}");
        assert!(said.contains("corrected by"), "{command}: {said}");
        place.done("ledger verify --full");
    }
}

#[test]
fn one_number_is_one_record_and_a_void_one_is_told() {
    let place = Place::with_registers("own-rows-void");
    let columns = "item,on,part,removable,performed_by,row\n";
    let import = |row: &str| {
        let file = place.file("a.csv", format!("{columns}{row}\n"));
        let said = place.quiet(&format!("equipment leak-tests {file}"));
        (said.code, squeezed(&format!("{}{}", said.out, said.err)))
    };
    assert_eq!(import("S-1,2026-06-02,source,< 5 Bq,Lab,7").0, 0);
    let entry = place.head().split(':').next().expect("a count").to_owned();
    // The same thing under another number is no second test.
    let (code, said) = import("S-1,2026-06-02,source,< 5 Bq,Lab,9");
    assert_eq!(code, 1, "{said}");
    assert!(said.contains("row: `9` differs"), "{said}");
    place.done(&format!("entry void {entry} --reason \"typed twice\""));
    let (code, said) = import("S-1,2026-06-03,source,< 5 Bq,Lab,7");
    assert_eq!(code, 1, "{said}");
    assert!(
        said.contains("is void") && said.contains("reinstate"),
        "{said}"
    );
    place.done(&format!(
        "entry reinstate {} --reason \"no, once\"",
        place.head().split(':').next().expect("a count")
    ));
    // No correction takes the number of another.
    assert_eq!(import("S-1,2026-06-04,source,< 5 Bq,Lab,8").0, 0);
    let entry = place.head().split(':').next().expect("a count").to_owned();
    let said = place.quiet(&format!("entry correct {entry} row=7 --reason \"a slip\""));
    assert_eq!(said.code, 1, "{}{}", said.out, said.err);
}
