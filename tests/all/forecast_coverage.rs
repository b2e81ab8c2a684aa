//! Whether a forecast of dose holds what it says, over a few hundred invented workers; the bench
//! `coverage_forecast` has the whole table.

#[path = "../bench/workers.rs"]
mod workers;

use super::dice;
use workers::{Class, held};

#[test]
fn ninety_of_a_hundred_are_about_ninety_however_the_dose_comes() {
    let mut all = workers::Held::default();
    for (class, name) in Class::ALL {
        let it = held(class, 100);
        // A hundred workers of a true 90 % are below 78 % once in ten thousand times.
        let (inside, over) = (it.share(it.inside), it.share(it.over));
        assert!(inside >= 75.0, "{name}: {inside} % inside");
        assert!(over <= 18.0, "{name}: {over} % above");
        all.unlikely += it.unlikely;
        all.passed += it.passed;
    }
    assert!(all.unlikely > 500, "{all:?}");
    assert!(all.share_passed() < 4.0, "{all:?}");
}
