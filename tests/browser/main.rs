//! The page in a real browser: Chromium without a screen, driven through its own driver, from the
//! first address to the entry in the ledger. `cargo test --test browser` runs it where Debian's
//! `chromium` and `chromium-driver` are installed; `cargo test` leaves it out.

#![forbid(unsafe_code)]

mod access;
mod alone;
mod crew;
mod driver;
mod line;
mod live;
mod lost;
mod office;
mod scan;
mod served;
mod sign_in;
mod walk;
