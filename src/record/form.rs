//! The forms that a kind's bodies have had. An entry is never rewritten, so that every form that
//! was ever released stays readable: each is taken to the next by a plain function, and the last
//! of them is what the program writes.

use serde_json::Value;

use super::body::Record;
use super::kind::Kind;

/// A stored body that this program cannot read.
#[derive(Debug, thiserror::Error)]
pub enum UnreadableBody {
    /// A newer program wrote it.
    #[error(
        "the {} has form {found}; this program knows forms up to {known} of it",
        kind.word()
    )]
    NewerForm {
        /// The kind.
        kind: Kind,
        /// The form that the entry states.
        found: i64,
        /// The newest that this program knows.
        known: i64,
    },
    /// A newer program wrote it, unless the entry was changed by hand.
    #[error("this program knows no entries of the kind `{kind}`")]
    UnknownKind {
        /// The kind as stored.
        kind: String,
    },
    /// It does not fit its kind: the ledger holds something that no program of this name wrote.
    #[error("the body of a `{}` entry cannot be read: {detail}", kind.word())]
    Unfit {
        /// The kind.
        kind: Kind,
        /// What the parser said.
        detail: String,
    },
}

impl UnreadableBody {
    /// Whether a newer program would read it.
    pub fn needs_newer(&self) -> bool {
        !matches!(self, UnreadableBody::Unfit { .. })
    }
}

/// Reads a stored body of any form up to the one that this program writes.
pub fn read<T: Record>(form: i64, text: &str) -> Result<T, UnreadableBody> {
    let unfit = |detail: String| UnreadableBody::Unfit {
        kind: T::KIND,
        detail,
    };
    if form > T::FORM {
        return Err(UnreadableBody::NewerForm {
            kind: T::KIND,
            found: form,
            known: T::FORM,
        });
    }
    if form == T::FORM {
        return serde_json::from_str(text).map_err(|error| unfit(error.to_string()));
    }
    let older = usize::try_from(form - 1).map_err(|_| unfit(format!("there is no form {form}")))?;
    let mut value: Value = serde_json::from_str(text).map_err(|error| unfit(error.to_string()))?;
    for step in T::STEPS.iter().skip(older) {
        value = step(value).map_err(|error| unfit(format!("of form {form}: {error}")))?;
    }
    serde_json::from_value(value).map_err(|error| unfit(format!("of form {form}: {error}")))
}

#[cfg(test)]
mod tests {
    use serde::{Deserialize, Serialize};
    use serde_json::json;

    use super::*;
    use crate::record::body::Step;
    use crate::record::field::fields;

    /// A lamp as form 3 has it.
    #[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
    #[serde(deny_unknown_fields)]
    struct Lamp {
        place: String,
        watts: i64,
    }

    fields! { Lamp { place, watts } }

    /// Form 1: the power was words.
    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    struct LampOfForm1 {
        power: String,
    }

    fn from_form_1(old: Value) -> Result<Value, serde_json::Error> {
        let old: LampOfForm1 = serde_json::from_value(old)?;
        let watts: i64 = serde_json::from_str(old.power.trim_end_matches(" W"))?;
        Ok(json!({ "watts": watts }))
    }

    /// Form 2 had no place.
    fn from_form_2(mut old: Value) -> Result<Value, serde_json::Error> {
        if let Value::Object(map) = &mut old {
            map.insert("place".to_owned(), "not said".into());
        }
        Ok(old)
    }

    impl Record for Lamp {
        const KIND: Kind = Kind::Equipment;
        const STEPS: &'static [Step] = &[from_form_1, from_form_2];

        fn key(&self) -> String {
            self.place.clone()
        }
    }

    #[test]
    fn every_form_up_to_the_newest_is_read_and_no_newer_one() {
        let lamp = |place: &str| Lamp {
            place: place.to_owned(),
            watts: 40,
        };
        for (form, text, expected) in [
            (1, r#"{"power":"40 W"}"#, Ok(lamp("not said"))),
            (2, r#"{"watts":40}"#, Ok(lamp("not said"))),
            (3, r#"{"place":"yard","watts":40}"#, Ok(lamp("yard"))),
            (
                4,
                r#"{"place":"yard","watts":40}"#,
                Err("the equipment has form 4; this program knows forms up to 3 of it"),
            ),
            // A form's own fields, and no other form's.
            (
                1,
                r#"{"watts":40}"#,
                Err(
                    "the body of a `equipment` entry cannot be read: of form 1: \
                     unknown field `watts`, expected `power`",
                ),
            ),
            (
                0,
                r#"{"power":"40 W"}"#,
                Err("the body of a `equipment` entry cannot be read: there is no form 0"),
            ),
        ] {
            let read = read::<Lamp>(form, text).map_err(|error| error.to_string());
            assert_eq!(read, expected.map_err(str::to_owned), "{form} {text}");
        }
    }
}
