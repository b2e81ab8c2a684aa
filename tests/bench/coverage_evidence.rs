//! How often an estimate that is used as evidence is right: warnings of wear and since when a limit
//! was foreseeable, readings against badges, one figure many times. Parts, people and inspectors
//! are invented and their truth is known.
//!
//!     cargo bench --bench coverage_evidence                 500 of each
//!     cargo bench --bench coverage_evidence -- 2000
#![forbid(unsafe_code)]

mod dice;
mod evidence;

use evidence::{Pair, people, percent, same, warned};

/// What was found beyond its bounds.
#[derive(Default)]
struct Beyond(Vec<String>);

impl Beyond {
    fn hold(&mut self, fits: bool, what: String) {
        if !fits {
            self.0.push(what);
        }
    }
}

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    if !words.iter().any(|it| it == "--bench") {
        println!("these are benchmarks: run them with `cargo bench`");
        return;
    }
    let count = words.iter().find_map(|it| it.parse().ok()).unwrap_or(500);
    let mut beyond = Beyond::default();
    wear(count, &mut beyond);
    reconcile(count, &mut beyond);
    figures(count, &mut beyond);
    for it in &beyond.0 {
        println!("BEYOND ITS BOUNDS: {it}");
    }
    if !beyond.0.is_empty() {
        std::process::exit(1);
    }
}

fn wear(count: u32, beyond: &mut Beyond) {
    println!("wear, {count} parts of each kind, 24 inspections or up to the limit, in per cent");
    println!(
        "{:>5} {:>8} {:>6} | {:>16} {:>11} | {:>12} {:>11} {:>6} {:>8}",
        "room",
        "scatter",
        "others",
        "flat: warned",
        "foreseeable",
        "wears: warned",
        "foreseeable",
        "truly",
        "too few"
    );
    for (room, scatter) in [
        (2.0, 0.2),
        (2.0, 0.4),
        (4.0, 0.2),
        (4.0, 0.4),
        (4.0, 0.7),
        (10.0, 0.4),
        (10.0, 1.0),
    ] {
        for others in [0, 5] {
            let flat = warned(count, room, scatter, others, false);
            let worn = warned(count, room, scatter, others, true);
            let (false_warning, false_since) = (
                percent(flat.warned, count),
                percent(flat.foreseeable, count),
            );
            let warned = percent(worn.warned, count);
            println!(
                "{room:5.1} {scatter:8.1} {others:6} | {false_warning:16.1} {false_since:11.1} | \
                 {warned:12.1} {:11.1} {:6.1} {:8.1}",
                percent(worn.foreseeable, count),
                percent(worn.truly, worn.foreseeable),
                percent(worn.too_few, count),
            );
            let which = format!("room {room}, scatter {scatter}, {others} others");
            // Five scatters, rounding in them, is the least by which a gauge tells new from worn.
            let tells = room / (scatter * scatter + 1.0 / 12.0).sqrt() >= 5.0;
            // The goal is 10; of 300 parts the share is known to some 2.
            let most = if tells { 14.0 } else { 35.0 };
            beyond.hold(
                false_warning <= most,
                format!("{which}: warned of flat parts"),
            );
            beyond.hold(
                false_since <= 3.0,
                format!("{which}: foreseeable, and flat"),
            );
            beyond.hold(warned >= 97.0, format!("{which}: worn parts not warned of"));
        }
    }
    println!("room and scatter in steps of the gauge; the gauge rounds besides\n");
}

/// People, over how many months, and whether they are honest or their bias is to be found.
fn kinds() -> Vec<(&'static str, Pair, usize, Option<bool>)> {
    let good = Pair {
        ratio: 1.0,
        between: 0.0,
        badge: 0.10,
        month: 60.0,
    };
    let off = |ratio: f64| Pair { ratio, ..good };
    let vary = |badge: f64, of: Pair| Pair { badge, ..of };
    let low = |of: Pair| Pair { month: 20.0, ..of };
    let each = Pair {
        between: 0.05,
        ..good
    };
    let (honest, found) = (Some(true), Some(false));
    vec![
        ("agree", good, 36, honest),
        ("agree, badges vary by 15 %", vary(0.15, good), 36, honest),
        ("agree, badges vary by 20 %", vary(0.20, good), 36, honest),
        ("agree, low doses", low(good), 36, honest),
        ("each dosimeter off by some 5 %", each, 36, None),
        ("ratio 0.80, edge of the band", off(0.80), 12, None),
        ("ratio 0.77", off(0.77), 12, found),
        ("ratio 0.70", off(0.70), 12, found),
        ("ratio 0.70, badges 15 %", vary(0.15, off(0.70)), 12, found),
        ("ratio 0.70, badges 20 %", vary(0.20, off(0.70)), 12, None),
        ("ratio 1.25, edge of the band", off(1.25), 12, None),
        ("ratio 1.30", off(1.30), 12, found),
        ("ratio 1.43", off(1.43), 12, found),
        ("ratio 0.70, low doses", low(off(0.70)), 12, None),
    ]
}

fn reconcile(count: u32, beyond: &mut Beyond) {
    println!(
        "readings against badges, {count} people of each kind, looked at every month, per cent"
    );
    println!(
        "{:44} {:>6} {:>8} {:>6} {:>6} {:>6}",
        "kind", "months", "at last", "ever", "alone", "any"
    );
    for (name, pair, months, honest) in kinds() {
        let told = people(count, pair, months);
        let share = |it| percent(it, count);
        println!(
            "{name:44} {months:6} {:8.1} {:6.1} {:6.1} {:6.1}",
            share(told.at_last),
            share(told.ever),
            share(told.alone),
            share(told.any)
        );
        match honest {
            Some(true) => beyond.hold(share(told.any) <= 10.0, format!("{name}: said to differ")),
            Some(false) => beyond.hold(share(told.at_last) >= 95.0, format!("{name}: not said")),
            None => {}
        }
    }
    println!();
}

fn figures(count: u32, beyond: &mut Beyond) {
    println!(
        "one figure many times, {count} parts that do not wear, 24 measures, told in per cent"
    );
    println!(
        "{:>8} {:>8} {:>10} {:>11} {:>11}",
        "scatter", "honest", "8 copied", "12 copied", "20 copied"
    );
    for scatter in [0.05, 0.2, 0.3, 0.5, 0.7, 1.0, 2.0] {
        let told = [0, 8, 12, 20].map(|copied| percent(same(count, scatter, 24, copied), count));
        println!(
            "{scatter:8.2} {:8.1} {:10.1} {:11.1} {:11.1}",
            told[0], told[1], told[2], told[3]
        );
        beyond.hold(
            told[0] <= 2.0,
            format!("scatter {scatter}: honest parts accused"),
        );
        let copies = scatter < 1.0 || told[3] >= 90.0;
        beyond.hold(copies, format!("scatter {scatter}: copies not told"));
    }
    println!("scatter in steps of the gauge; of a gauge that is coarse against it nothing is told");
}
