//! What may stand in a text, and how it is printed: characters that nobody can see, values that
//! are too long for a message, cells that a spreadsheet would run, file names made of ids; and the
//! words of crews in their two languages. Uses no other room.

mod cell;
mod count;
mod example;
mod file_name;
mod language;
mod length;
mod letters;
mod sign;

pub use cell::{shown_as_text, taken_back};
pub use count::counted;
pub use example::{in_si, si_units_of};
pub use file_name::{file_name, id_of_file_name};
pub use language::{Language, TABLE_OF_WORDS, words_of_script};
pub use length::{bounded, grouped, short};
pub use letters::{LettersFault, letters, read_letters};
pub use sign::{Lines, Unfit, in_json, one_line, shown, unfit};
