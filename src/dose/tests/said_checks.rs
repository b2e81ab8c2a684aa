//! The checks of what a sheet says of itself: more than a dosimeter can show, a no, hours that
//! cannot be, and who signs.

use super::checks::hold;
use super::sheet::{electronic, pocket};
use crate::dose::checks::input::Away;

#[test]
fn what_a_sheet_says_no_to_or_cannot_mean_is_found() {
    hold(&[
        // 34.47(d): more than it can show.
        (
            "a figure above the range, counted or not",
            |s| {
                s.people[0].dosimeters[0] = pocket("PD-1 0mR>215mR held:above-range");
                s.people[1].dosimeters[0] = pocket("PD-2 0mR>215mR held:above-range counts");
            },
            &[
                "stop off-scale W01",
                "stop off-scale W02",
                "act held-item W01",
            ],
        ),
        // 34.47(a)(1).
        (
            "pocket dosimeter not recharged",
            |s| s.people[1].dosimeters[0].recharged = Some(false),
            &["act not-recharged W02"],
        ),
        (
            "electronic dosimeter, which is not recharged",
            |s| {
                s.people[1].dosimeters[0] = electronic("ED-1 0mrem>9mrem");
                s.people[1].dosimeters[0].recharged = Some(false);
            },
            &[],
        ),
        // 10 CFR 34.23(a).
        (
            "device not locked at its return",
            |s| s.locked = Some(false),
            &["act not-locked 2026-06-14 night"],
        ),
        ("nothing said of the lock", |s| s.locked = None, &[]),
        (
            "signed for the radiographer by an assistant",
            |s| s.signed_by_other = Some("W02, assistant".to_string()),
            &["act signed-by-no-radiographer 2026-06-14 night"],
        ),
        (
            "device out four hours longer than the shift",
            |s| {
                s.figures.shift_minutes = Some(480);
                s.figures.away = Some(Away {
                    minutes: 720,
                    of_device: true,
                });
            },
            &[],
        ),
        (
            "device out for longer than that",
            |s| {
                s.figures.shift_minutes = Some(480);
                s.figures.away = Some(Away {
                    minutes: 721,
                    of_device: true,
                });
            },
            &["act hours-at-odds 2026-06-14 night"],
        ),
    ]);
}
