//! The prompts in Spanish: every line of their own, and the same records as in English.

use super::cli_maintenance_shown::kept;
use super::cli_sheet_prompt::FIRST;
use super::cli_support::Place;
use super::page_spanish::is_data;

/// The first sheet as a crew types it that reads Spanish.
fn in_spanish() -> String {
    let typed = FIRST.replace("day\n07:00", "Día\n07:00");
    typed
        .replace("\ny\ny\n", "\ns\nsí\n")
        .replace("0 12 y y y", "0 12 s sí si")
        .replace("1 9 y y y", "1 9 s s s")
}

/// The same questions and the same sheet; what is said before it is understood is Spanish alone.
#[test]
fn a_crew_that_reads_spanish_is_asked_in_spanish_and_gives_the_same_sheet() {
    let english = Place::with_registers("prompt, English");
    let said = english.said_at_terminal("sheet enter", &format!("{FIRST}yes\n"));
    assert_eq!(said.code, 0, "{}", said.err);
    let entry = english.done("entry show 28 --json").out;
    let spanish = Place::with_registers("prompt, Spanish");
    let typed = in_spanish();
    assert!(typed.contains("Día") && !typed.contains('y'), "{typed}");
    let told = spanish.said_at_terminal("sheet enter --language es", &format!("{typed}sí\n"));
    assert_eq!(told.code, 0, "{}", told.err);
    let body = |json: &str| {
        let whole: serde_json::Value = serde_json::from_str(json).expect("JSON");
        whole["data"]["fields"].clone()
    };
    assert_ne!(body(&entry), serde_json::Value::Null, "{entry}");
    assert_eq!(
        body(&spanish.done("entry show 28 --json").out),
        body(&entry)
    );
    let own = |text: &str, until: &str| -> Vec<String> {
        let before = text.split(until).next().expect("the questions");
        before.lines().map(|it| it.trim().to_owned()).collect()
    };
    let (en, es) = (
        own(&said.err, "Understood:"),
        own(&told.err, "Se entendió:"),
    );
    assert!(en.len() > 20 && es.len() >= en.len(), "{}", told.err);
    let same = es.iter().filter(|it| en.contains(it) && !it.is_empty());
    let left: Vec<&String> = same.filter(|it| !is_data(it)).collect();
    assert_eq!(left, [""; 0], "{}", told.err);
    assert!(
        told.err.contains("exposiciones (exposures)=24"),
        "{}",
        told.err
    );
}

/// Nothing of the language is in a draft: what was typed in Spanish goes on in English. Of what
/// stops somebody the Spanish comes first.
#[test]
fn a_draft_of_one_language_is_taken_up_in_the_other() {
    let place = Place::with_registers("prompt, both languages");
    place.done(
        "worker add --id W20 --name \"Inés Marrow\" --role radiographer --language es \
         --monitored-from 2026-01-05",
    );
    let typed = in_spanish();
    let cut = typed.find("1 9 s").expect("the second person");
    // Whoever enters it reads Spanish, by the record.
    let off = typed[..cut].replace("0 12 s sí si", "0 fuera s s s");
    let left = place.said_at_terminal("sheet enter --by W20", &off);
    assert_eq!(left.code, 1);
    let first = left.err.find("ALTO W07: El dosímetro se salió de escala");
    let then = left.err.find("STOP  W07");
    assert!(first.is_some() && first < then, "{}", left.err);
    assert!(left.err.contains("ofrece el borrador"), "{}", left.err);
    let rest = &FIRST[FIRST.find("1 9 y").expect("the second person")..];
    let said = place.said_at_terminal("sheet enter", &format!("yes\n{rest}yes\n"));
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(said.err.contains("OFF-SCALE"), "{}", said.err);
    assert!(said.out.contains("off-scale"), "{}", said.out);
}

/// The same questions in Spanish: `s` is a yes, and every line of the prompt's own is another.
#[test]
fn an_inspection_by_prompt_is_asked_in_spanish() {
    let place = kept("maintenance-prompt-es");
    let typed = "2026-06-14\n06:20\ndiaria\nW07\nG-1\n";
    let answers = "bien\ng\nd\ncoca en medio\nfuera de servicio\ng\ng\ng\ng\ng\n";
    let es = place.said_at_terminal(
        "inspect enter --language es --dry-run",
        &format!("{typed}{answers}"),
    );
    let en = place.said_at_terminal(
        "inspect enter --dry-run",
        &format!("{}{answers}", typed.replace("diaria", "daily")).replace("bien", "g"),
    );
    assert!(
        es.err.contains("HAGA") || es.err.contains("ALTO"),
        "{}",
        es.err
    );
    // Above what is found, which stays English.
    let own = |text: &str| {
        let mut lines: Vec<String> = text.lines().map(|it| it.trim().to_owned()).collect();
        let end = lines
            .iter()
            .rposition(|it| it.contains("G-1/") || it.contains("write"));
        lines.truncate(end.unwrap_or(lines.len()));
        lines
    };
    let (es, en) = (own(&es.err), own(&en.err));
    // What the list of the site says in its own words is announced.
    assert!(
        es.contains(&"En inglés, como lo puso la empresa:".to_owned()),
        "{es:?}"
    );
    let of_site = |it: &str| it.contains("invented") || it.starts_with("your license");
    let asked = es
        .iter()
        .take_while(|it| !it.starts_with("ALTO") && !it.starts_with("HAGA"));
    let left: Vec<&String> = asked
        .filter(|it| en.contains(it) && !is_data(it) && !of_site(it))
        .collect();
    assert_eq!(left, [""; 0], "{es:?}");
}
