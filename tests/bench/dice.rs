//! Dice that fall the same way in every run (splitmix64).

/// A row of dice.
pub struct Dice(u64);

impl Dice {
    /// Dice that start at a number.
    pub fn new(start: u64) -> Dice {
        Dice(start)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut it = self.0;
        it = (it ^ (it >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        it = (it ^ (it >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        it ^ (it >> 31)
    }

    /// A number from 0 to `sides` - 1.
    pub fn roll(&mut self, sides: u64) -> u64 {
        self.next() % sides.max(1)
    }

    /// True once in `sides` throws.
    pub fn once_in(&mut self, sides: u64) -> bool {
        self.roll(sides) == 0
    }
}
