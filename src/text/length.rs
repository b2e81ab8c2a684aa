//! How much of a value a message repeats.

/// Of a longer value a message shows this many characters.
const MOST: usize = 200;

/// No part of a message is longer, however many values it names.
const LONGEST: usize = 4000;

/// A whole number in groups of three digits: `1 234`.
pub fn grouped(number: usize) -> String {
    let digits = number.to_string();
    let mut out = String::new();
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at).is_multiple_of(3) {
            out.push(' ');
        }
        out.push(digit);
    }
    out
}

/// A value as a message repeats it: whole, or its first 200 characters with its length.
pub fn short(value: &str) -> String {
    cut(value, MOST)
}

fn cut(value: &str, most: usize) -> String {
    match value.char_indices().nth(most) {
        None => value.to_owned(),
        Some((at, _)) => {
            let length = grouped(value.chars().count());
            let start = value.get(..at).unwrap_or_default();
            format!("{start}... ({length} characters)")
        }
    }
}

/// A part of a message with every value in backquotes cut as [`short`] does, for messages whose
/// values are no longer known apart.
pub fn bounded(message: &str) -> String {
    if message.len() <= MOST {
        return message.to_owned();
    }
    let parts: Vec<String> = message
        .split('`')
        .enumerate()
        .map(|(at, part)| match at % 2 {
            1 => short(part),
            _ => part.to_owned(),
        })
        .collect();
    cut(&parts.join("`"), LONGEST)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_stand_in_groups_of_three() {
        for (number, text) in [
            (0, "0"),
            (999, "999"),
            (1234, "1 234"),
            (1_000_000, "1 000 000"),
        ] {
            assert_eq!(grouped(number), text);
        }
    }

    #[test]
    fn a_value_is_repeated_up_to_200_characters() {
        let just = "é".repeat(200);
        assert_eq!(short(&just), just);
        let more = "é".repeat(1201);
        assert_eq!(short(&more), format!("{just}... (1 201 characters)"));
        let message = format!("there is no worker `{more}`");
        let wanted = format!("there is no worker `{just}... (1 201 characters)`");
        assert_eq!(bounded(&message), wanted);
        assert!(bounded(&"`".repeat(100_000)).chars().count() < LONGEST + 40);
    }
}
