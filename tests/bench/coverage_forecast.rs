//! How often a forecast of dose holds what it says: invented workers whose true dose is known.
//!
//!     cargo bench --bench coverage_forecast                 500 workers of each class
//!     cargo bench --bench coverage_forecast -- 2000
//!
//! The bounds are wide: what is called 90 of 100 has to be about 90 for workers whose dose comes
//! in quite different ways. After a step down the band is that of the whole time, on purpose:
//! there the total may only not lie above it.
#![forbid(unsafe_code)]

mod dice;
mod workers;

use workers::{Class, Held, held};

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    if !words.iter().any(|it| it == "--bench") {
        println!("these are benchmarks: run them with `cargo bench`");
        return;
    }
    let count = words.iter().find_map(|it| it.parse().ok()).unwrap_or(500);
    println!("forecasts of dose: {count} workers of each class, in per cent");
    println!(
        "{:24} {:>7} {:>7} {:>6} {:>6} {:>8} {:>22}",
        "class", "drawn", "in 90", "under", "over", "differs", "passed of `below 1/N`"
    );
    let mut missed = Vec::new();
    for (class, name) in Class::ALL {
        let it = held(class, count);
        println!(
            "{name:24} {:7.1} {:7.1} {:6.1} {:6.1} {:8.1} {:15.1} of {:>4}",
            100.0 * f64::from(it.drawn) / f64::from(it.workers),
            it.share(it.inside),
            it.share(it.under),
            it.share(it.over),
            100.0 * f64::from(it.differs) / f64::from(it.workers),
            it.share_passed(),
            it.unlikely
        );
        missed.extend(beyond(class, &it).map(|what| format!("{name}: {what}")));
    }
    for it in &missed {
        println!("BEYOND ITS BOUNDS: {it}");
    }
    if !missed.is_empty() {
        std::process::exit(1);
    }
}

/// What of a class is beyond its bounds.
fn beyond(class: Class, it: &Held) -> Option<String> {
    let inside = it.share(it.inside);
    let least = match class {
        Class::StepDown => 0.0,
        Class::StepUp | Class::ByJobs => 82.0,
        _ => 86.0,
    };
    if !(least..=98.5).contains(&inside) {
        return Some(format!("{inside:.1} % inside"));
    }
    if it.share(it.over) > 12.0 {
        return Some(format!("{:.1} % above", it.share(it.over)));
    }
    if it.share_passed() > 6.0 {
        return Some(format!("{:.1} % of the unlikely passed", it.share_passed()));
    }
    None
}
