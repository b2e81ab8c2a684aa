//! Many at once: crews hand in their sheets while others read the board. Every success is an entry,
//! none is there twice and none is lost.

use std::collections::BTreeSet;

use super::cli_support::{Place, data_of};
use super::page::{handed_in, sheet, with};
use super::page_support::served;

const CLIENTS: usize = 6;
const EACH: usize = 10;
const READERS: usize = 2;

/// Crews' phones, all at the end of the shift, while others read.
#[test]
fn what_many_hand_in_at_once_is_on_record_once_and_whole() {
    let place = Place::with_registers("page, many");
    let rso = served(&place).signed_in("W01");
    let count = || -> u64 {
        let answer = data_of(&place, "ledger verify");
        answer["entries"].as_u64().expect("a count")
    };
    let before = count();
    let crews: Vec<_> = (0..CLIENTS).map(|_| rso.another("W07")).collect();
    let readers: Vec<_> = (0..READERS).map(|_| rso.another("W01")).collect();
    let entries = std::thread::scope(|scope| {
        let sending = crews.iter().enumerate().map(|(of, browser)| {
            scope.spawn(move || {
                let one = |at: usize| {
                    let (number, day) = (format!("N-{of}-{at}"), format!("2026-05-{:02}", at + 1));
                    let fields = with(sheet(&number, ""), "day", &day);
                    // One that is sent again is no second sheet.
                    let twice = (at == 0).then(|| handed_in(browser, &fields, "send"));
                    let answer = handed_in(browser, &fields, "send");
                    for answer in twice.iter().chain([&answer]) {
                        assert_eq!(answer.status, 200, "{number}: {}", answer.body);
                    }
                    entry_of(&answer.body)
                };
                (0..EACH).map(one).collect::<Vec<u64>>()
            })
        });
        let sending: Vec<_> = sending.collect();
        for browser in &readers {
            scope.spawn(move || {
                for _ in 0..EACH / 2 {
                    assert_eq!(browser.get("/board").status, 200);
                }
            });
        }
        let all = sending.into_iter().map(|it| it.join().expect("a client"));
        all.flatten().collect::<Vec<u64>>()
    });
    let different: BTreeSet<u64> = entries.iter().copied().collect();
    let sent = u64::try_from(CLIENTS * EACH).expect("a count");
    assert_eq!(u64::try_from(different.len()).expect("a count"), sent);
    assert_eq!(count(), before + sent);
    let last = different.iter().next_back().expect("an entry");
    assert_eq!(*last, before + sent);
    place.done("ledger verify --full");
}

/// The entry that a page says a sheet is on record as.
fn entry_of(body: &str) -> u64 {
    let at = body
        .find("entry ")
        .unwrap_or_else(|| panic!("no entry: {body}"));
    let digits = body[at + "entry ".len()..].split(|it: char| !it.is_ascii_digit());
    let number = digits.into_iter().next().unwrap_or_default();
    number
        .parse()
        .unwrap_or_else(|_| panic!("no entry: {body}"))
}
