//! The server: where it listens, whom it lets in, and which page an address is.

pub mod bound;
pub mod own_pin;
pub mod pin;
pub mod route;
pub mod serve;
pub mod shop;
pub mod sign_in;
pub mod tls;
pub mod who;
