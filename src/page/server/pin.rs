//! PINs and passphrases: what may be one, how it is kept, how long whoever was wrong has to wait.

use argon2::password_hash::phc::PasswordHash;
use argon2::password_hash::{PasswordHasher, PasswordVerifier};
use argon2::{Algorithm, Argon2, Params, Version};
use chrono::TimeDelta;

use crate::ledger::{Instant, PinType};
use crate::record::Role;

/// The second recommended option of RFC 9106, section 4: Argon2id, 3 passes over 64 MiB in 4 lanes,
/// a salt of 128 bits and a tag of 256.
const MEMORY_KIB: u32 = 64 * 1024;
const PASSES: u32 = 3;
const LANES: u32 = 4;
const TAG_BYTES: usize = 32;

/// The least signs of a PIN and of a passphrase, and the most of either.
const PIN_SIGNS: usize = 6;
const PASSPHRASE_SIGNS: usize = 12;
const MOST_SIGNS: usize = 128;

/// After so many wrong ones in a row a person is locked.
const LOCKED_AFTER: i64 = 10;
/// For how long.
const LOCKED_FOR: TimeDelta = TimeDelta::minutes(15);
/// The longest wait before that.
const LONGEST_WAIT_S: i64 = 60;

/// Why something is no PIN.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PinError {
    /// Too short.
    #[error("a {} of {is} characters is too short", kind.shown())]
    Short {
        /// What it should be.
        kind: PinType,
        /// How long it is.
        is: usize,
        /// The least that is asked for.
        least: usize,
    },
    /// Too long.
    #[error("more than {MOST_SIGNS} characters are too long")]
    Long,
    /// What is tried first.
    #[error("one character repeated, or characters in sequence, are tried first")]
    Simple,
    /// It could not be hashed.
    #[error("it could not be hashed: {0}")]
    Hash(String),
}

/// What somebody with a role signs in with.
pub fn type_for(role: Option<Role>) -> PinType {
    match role {
        Some(Role::Rso | Role::RsoDesignee | Role::Inspector) => PinType::Passphrase,
        _ => PinType::Pin,
    }
}

/// The least characters of each.
pub fn least(kind: PinType) -> usize {
    match kind {
        PinType::Pin => PIN_SIGNS,
        PinType::Passphrase => PASSPHRASE_SIGNS,
    }
}

/// Whether what somebody has is enough for the role of the day.
pub fn is_enough(role: Option<Role>, kind: PinType) -> bool {
    kind == PinType::Passphrase || type_for(role) == PinType::Pin
}

/// Takes what somebody with a role wants to sign in with: its kind, and the hash to be kept.
///
/// # Errors
/// It is too short for the role, or too simple.
pub fn keep_pin(role: Option<Role>, pin: &str) -> Result<(PinType, String), PinError> {
    let signs = pin.chars().count();
    let wanted = type_for(role);
    let least = least(wanted);
    if signs < least {
        return Err(PinError::Short {
            kind: wanted,
            is: signs,
            least,
        });
    }
    if signs > MOST_SIGNS {
        return Err(PinError::Long);
    }
    if is_simple(pin) {
        return Err(PinError::Simple);
    }
    // Whoever chose more than a PIN needs is ready for a role that asks for it.
    let kind = match signs >= PASSPHRASE_SIGNS {
        true => PinType::Passphrase,
        false => PinType::Pin,
    };
    Ok((kind, hash(pin)?))
}

/// One sign repeated, or each the one after or before the last: `000000`, `123456`, `fedcba`.
fn is_simple(pin: &str) -> bool {
    let signs: Vec<i64> = pin.chars().map(|it| i64::from(u32::from(it))).collect();
    let mut steps = signs.windows(2).map(|it| match it {
        [a, b] => b - a,
        _ => 0,
    });
    let first = steps.next().unwrap_or(0);
    first.abs() <= 1 && steps.all(|it| it == first)
}

/// The hash that is kept. It takes about a tenth of a second and 64 MiB on purpose.
pub fn hash(pin: &str) -> Result<String, PinError> {
    let failed = |error: &dyn std::fmt::Display| PinError::Hash(error.to_string());
    let params = Params::new(MEMORY_KIB, PASSES, LANES, Some(TAG_BYTES));
    let params = params.map_err(|error| failed(&error))?;
    let hashed = Argon2::new(Algorithm::Argon2id, Version::V0x13, params)
        .hash_password(pin.as_bytes())
        .map_err(|error| failed(&error))?;
    Ok(hashed.to_string())
}

/// Whether a PIN is the one of a hash. Where there is none, it takes as long and is wrong.
pub fn is_right(kept: Option<&str>, pin: &str) -> bool {
    let pin: String = pin.chars().take(MOST_SIGNS + 1).collect();
    match kept.and_then(|it| PasswordHash::new(it).ok()) {
        Some(kept) => Argon2::default()
            .verify_password(pin.as_bytes(), &kept)
            .is_ok(),
        None => {
            let _ = hash(&pin);
            false
        }
    }
}

/// How long somebody has to wait who was wrong so often in a row.
fn wait_after(failed: i64) -> TimeDelta {
    match failed {
        ..=0 => TimeDelta::zero(),
        LOCKED_AFTER.. => LOCKED_FOR,
        // 1 s, 2 s, 4 s and so on.
        _ => TimeDelta::seconds(LONGEST_WAIT_S.min(1 << (failed - 1))),
    }
}

/// What is left of the wait after the last wrong one; nothing where it is over. A clock that was
/// set back since does not keep anybody out.
pub fn wait(failed: i64, last_at: Option<Instant>, now: Instant) -> Option<TimeDelta> {
    let since = now - last_at?;
    let left = wait_after(failed) - since;
    (since >= TimeDelta::zero() && left > TimeDelta::zero()).then_some(left)
}

/// Whether so many wrong ones in a row lock a person.
pub fn locks(failed: i64) -> bool {
    failed >= LOCKED_AFTER
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calendar::parse_instant;

    #[test]
    fn a_pin_is_long_enough_for_the_role_and_not_what_is_tried_first() {
        for (role, pin, refused) in [
            (Some(Role::Assistant), "48261", Some("short")),
            (Some(Role::Assistant), "000000", Some("simple")),
            (Some(Role::Assistant), "123456", Some("simple")),
            (None, "987654", Some("simple")),
            (Some(Role::Rso), "48261735", Some("short")),
            (Some(Role::RsoDesignee), "elevensigns", Some("short")),
            (Some(Role::Inspector), "482617", Some("short")),
        ] {
            let found = keep_pin(role, pin).err().map(|it| match it {
                PinError::Short { .. } => "short",
                PinError::Simple => "simple",
                _ => "other",
            });
            assert_eq!(found, refused, "{role:?} {pin}");
        }
        let long = "x y".repeat(50);
        assert_eq!(keep_pin(None, &long), Err(PinError::Long));
    }

    #[test]
    fn a_hash_names_the_parameters_of_the_standard_and_knows_its_pin_alone() {
        let (kind, kept) = keep_pin(Some(Role::Assistant), "482617").unwrap();
        assert_eq!(kind, PinType::Pin);
        assert!(
            kept.starts_with("$argon2id$v=19$m=65536,t=3,p=4$"),
            "{kept}"
        );
        assert!(is_right(Some(&kept), "482617"));
        assert!(!is_right(Some(&kept), "482618"));
        assert!(!is_right(None, "482617"));
        assert!(!is_right(Some("no hash"), "482617"));
        let again = keep_pin(Some(Role::Assistant), "482617").unwrap().1;
        assert_ne!(again, kept, "each has a salt of its own");
    }

    #[test]
    fn each_wrong_one_waits_longer_and_the_tenth_locks_for_a_quarter_of_an_hour() {
        let last = parse_instant("2026-06-15T12:00:00Z").unwrap().to_utc();
        let waits = |failed| {
            let wait = wait(failed, Some(last), last);
            wait.map_or(0, |it| it.num_seconds())
        };
        let found: Vec<i64> = (0..=11).map(waits).collect();
        assert_eq!(found, [0, 1, 2, 4, 8, 16, 32, 60, 60, 60, 900, 900]);
        assert_eq!(
            wait(3, Some(last), last + TimeDelta::seconds(3)),
            Some(TimeDelta::seconds(1))
        );
        assert_eq!(wait(3, Some(last), last + TimeDelta::seconds(4)), None);
        assert_eq!(wait(10, Some(last), last - TimeDelta::hours(1)), None);
        assert_eq!(wait(0, None, last), None);
    }
}
