//! The chain of hashes that makes a changed past evident.
//!
//! The bytes that are hashed never change for version 1: a fixed vector in the
//! tests holds them. A new form would be a version 2 beside it.

use sha2::{Digest, Sha256};

/// A SHA-256 digest (FIPS 180-4).
#[derive(Clone, Copy, PartialEq, Eq, Default)]
pub struct Hash(pub [u8; 32]);

impl std::fmt::Display for Hash {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        for byte in self.0 {
            write!(f, "{byte:02x}")?;
        }
        Ok(())
    }
}

impl std::fmt::Debug for Hash {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Hash({self})")
    }
}

impl Hash {
    /// Reads 64 hexadecimal digits.
    pub fn parse(text: &str) -> Option<Hash> {
        if text.len() != 64 || !text.is_ascii() {
            return None;
        }
        let mut bytes = [0; 32];
        for (at, byte) in bytes.iter_mut().enumerate() {
            *byte = u8::from_str_radix(text.get(2 * at..2 * at + 2)?, 16).ok()?;
        }
        Some(Hash(bytes))
    }
}

/// Entry count and head hash as printed and as `--expect` takes them.
pub fn head_text(count: i64, head: &Hash) -> String {
    format!("{count}:{head}")
}

/// The header and body of an entry, borrowed, as the hash sees them.
pub(super) struct Link<'a> {
    pub seq: i64,
    pub record: i64,
    pub kind: &'a str,
    pub version: i64,
    pub written_at: &'a str,
    pub written_by: &'a str,
    pub os_user: &'a str,
    pub ends: Option<i64>,
    pub reason: Option<&'a str>,
    pub transcribed: bool,
    pub body: Option<&'a str>,
}

impl Link<'_> {
    /// The hash of this entry after `previous` (all zero before entry 1).
    ///
    /// Numbers are 8 bytes little-endian; texts are their length as such a
    /// number and then their bytes; what may be missing has one byte 0 or 1
    /// before it. So no two different entries give the same bytes.
    pub fn hash(&self, previous: &Hash) -> Hash {
        let mut sha = Sha256::new();
        sha.update(b"wearbook entry v1\0");
        sha.update(previous.0);
        number(&mut sha, self.seq);
        number(&mut sha, self.record);
        text(&mut sha, self.kind);
        number(&mut sha, self.version);
        text(&mut sha, self.written_at);
        text(&mut sha, self.written_by);
        text(&mut sha, self.os_user);
        match self.ends {
            None => sha.update([0]),
            Some(ends) => {
                sha.update([1]);
                number(&mut sha, ends);
            }
        }
        optional(&mut sha, self.reason);
        sha.update([u8::from(self.transcribed)]);
        optional(&mut sha, self.body);
        Hash(sha.finalize().into())
    }
}

fn number(sha: &mut Sha256, value: i64) {
    sha.update(value.to_le_bytes());
}

fn text(sha: &mut Sha256, value: &str) {
    sha.update((value.len() as u64).to_le_bytes());
    sha.update(value.as_bytes());
}

fn optional(sha: &mut Sha256, value: Option<&str>) {
    match value {
        None => sha.update([0]),
        Some(value) => {
            sha.update([1]);
            text(sha, value);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sha_256_gives_the_published_digest_of_abc() {
        // FIPS 180-4 example, one-block message "abc".
        let digest = Hash(Sha256::digest(b"abc").into());
        assert_eq!(
            digest.to_string(),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }

    #[test]
    fn a_hash_reads_back_what_it_prints_and_nothing_else() {
        let hash = Hash([0xa5; 32]);
        assert_eq!(Hash::parse(&hash.to_string()), Some(hash));
        assert_eq!(Hash::parse("a5"), None);
        assert_eq!(Hash::parse(&"zz".repeat(32)), None);
        assert_eq!(Hash::parse(&"é".repeat(32)), None);
    }

    #[test]
    fn moving_a_letter_from_one_field_to_the_next_changes_the_hash() {
        let link = |written_by, os_user| Link {
            seq: 1,
            record: 1,
            kind: "job",
            version: 1,
            written_at: "2026-01-01T00:00:00Z",
            written_by,
            os_user,
            ends: None,
            reason: None,
            transcribed: false,
            body: Some("{}"),
        };
        let zero = Hash::default();
        assert_ne!(link("ab", "c").hash(&zero), link("a", "bc").hash(&zero));
    }
}
