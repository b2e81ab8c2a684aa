//! Looking back at a meter, and a figure that was copied, on whole ledgers: each with a near miss
//! on which it stays silent.

use super::cli_maintenance_shown::{kept, measured, sheet_of};
use super::cli_support::Place;

/// The keys of the findings of this half year that begin with a name.
fn keys(place: &Place, name: &str) -> Vec<String> {
    let said = place.done("findings --from 2026-01-01 --to 2026-06-15");
    let keys = said
        .out
        .lines()
        .filter_map(|it| it.strip_prefix("  key:  "));
    let mine = keys.filter(|it| it.split('/').next() == Some(name));
    mine.map(str::to_owned).collect()
}

fn subjects(place: &Place, name: &str) -> Vec<String> {
    let all = keys(place, name);
    let subject = |it: &String| it.split('/').nth(1).unwrap_or_default().to_owned();
    all.iter().map(subject).collect()
}

const FULL: &str = "--point \"found, scale=10 mR/h, true=3.3 mR/h, reads=3.3 mR/h\" \
     --point \"found, scale=10 mR/h, true=6.7 mR/h, reads=6.7 mR/h\" \
     --point \"found, scale=100 mR/h, true=33 mR/h, reads=33 mR/h\" \
     --point \"found, scale=100 mR/h, true=67 mR/h, reads=67 mR/h\" \
     --point \"found, scale=1000 mR/h, true=330 mR/h, reads=330 mR/h\" \
     --point \"found, scale=1000 mR/h, true=670 mR/h, reads=";

fn calibrated(place: &Place, last: &str) {
    place.done(&format!(
        "instrument calibrate SM-1 --on 2026-06-14 --performed-by Laboratory {FULL}{last} mR/h\""
    ));
}

/// +-20 % (10 CFR 34.25(b)(3)): at 670 mR/h up to and with 804 mR/h.
#[test]
fn a_meter_found_wrong_is_looked_back_at_only_where_it_was_used() {
    let used = kept("ledgers-look-back");
    sheet_of(&used, "2026-06-12");
    calibrated(&used, "805");
    assert_eq!(subjects(&used, "look-back"), ["SM-1"]);
    let unused = kept("ledgers-look-back");
    calibrated(&unused, "805");
    assert_eq!(subjects(&unused, "look-back"), [""; 0]);
    let within = kept("ledgers-look-back");
    sheet_of(&within, "2026-06-12");
    calibrated(&within, "804");
    assert_eq!(subjects(&within, "look-back"), [""; 0]);
}

/// By hand: the other part has 18 triples, each with a second difference of 0.6 mm. Its square
/// over 6 is 0.06; with 8 degrees of freedom and chi-square 15.507 the scatter is at least 1.735
/// steps. Four honest measures of a part that does not wear lie within a step with a chance of
/// 0.0228, five with 0.0058 (scipy 1.17.1, studentized_range); told below 0.01.
#[test]
fn a_figure_is_found_at_the_fifth_time_running_and_not_at_the_fourth() {
    let place = kept("ledgers-same");
    place.done("equipment add --id C-2 --type \"control unit\" --serial XC2");
    for at in 0..20 {
        place.done(&format!(
            "inspect enter --item C-2 --on 2026-02-{:02} --when quarterly --performed-by W07 \
             --line \"cable-diameter, value=6.{} mm\"",
            at + 1,
            3 + 3 * (at % 2)
        ));
    }
    for day in ["2026-03-01", "2026-03-02", "2026-03-03", "2026-03-04"] {
        measured(&place, day, "6 mm");
    }
    assert_eq!(keys(&place, "same-figure"), [""; 0]);
    measured(&place, "2026-03-05", "6 mm");
    assert_eq!(subjects(&place, "same-figure"), ["C-1-cable-diameter"]);
}
