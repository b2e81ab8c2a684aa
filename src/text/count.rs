//! A number of things in words.

/// `1 shift`, `3 shifts`: a number with the word for one or for several.
pub fn counted<N: ToString>(count: N, one: &str, many: &str) -> String {
    let count = count.to_string();
    match count == "1" {
        true => format!("1 {one}"),
        false => format!("{count} {many}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_thing_is_singular_and_none_or_several_are_not() {
        for (count, words) in [
            (0, "0 shifts"),
            (1, "1 shift"),
            (2, "2 shifts"),
            (11, "11 shifts"),
        ] {
            assert_eq!(counted(count, "shift", "shifts"), words);
        }
    }
}
