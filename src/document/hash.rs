//! What a result was made from, as a hash.

use sha2::{Digest, Sha256};
use std::fmt::{self, Debug, Write};

/// SHA-256 over everything that a result was made from. Equal inputs have equal hashes; it is only
/// compared within one run of the program and never written to a file.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct InputHash([u8; 32]);

impl InputHash {
    /// Hash of one value, of all that its `Debug` shows. Floats show all their digits there.
    pub fn of(value: &dyn Debug) -> InputHash {
        let mut hasher = InputHasher::new("");
        hasher.add(value);
        hasher.finish()
    }
}

impl Debug for InputHash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

/// Makes an [`InputHash`] value by value.
#[derive(Clone)]
pub struct InputHasher(Sha256);

impl InputHasher {
    /// Begins; `kind` keeps results of different kinds apart.
    pub fn new(kind: &str) -> InputHasher {
        let mut hasher = InputHasher(Sha256::new());
        hasher.add(&kind);
        hasher
    }

    /// Adds all that the `Debug` of a value shows.
    pub fn add(&mut self, value: &dyn Debug) {
        // Writing into a hash cannot fail. The line feed keeps neighbours apart: `Debug` of
        // strings escapes it.
        let _ = writeln!(self, "{value:?}");
    }

    /// The hash of all that was added.
    pub fn finish(self) -> InputHash {
        InputHash(self.0.finalize().into())
    }
}

impl Write for InputHasher {
    fn write_str(&mut self, text: &str) -> fmt::Result {
        self.0.update(text.as_bytes());
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_hash_is_sha_256_of_what_debug_shows() {
        // printf '""\n1.5\n' | sha256sum
        let shown = format!("{:?}", InputHash::of(&1.5));
        assert_eq!(
            shown,
            "c140c18992278496782d8cc2da90821e9a6de77b52137ce25ede8fcaab1bd1a6"
        );
    }

    #[test]
    fn neighbours_and_last_digits_are_kept_apart() {
        let of = |parts: &[&dyn Debug]| {
            let mut hasher = InputHasher::new("test");
            parts.iter().for_each(|part| hasher.add(*part));
            hasher.finish()
        };
        assert_ne!(of(&[&"a", &"b"]), of(&[&"ab"]));
        assert_ne!(of(&[&"a\nb"]), of(&[&"a", &"b"]));
        assert_ne!(of(&[&1.0f64]), of(&[&1.0f64.next_up()]));
        assert_eq!(of(&[&1.0f64, &"a"]), of(&[&1.0f64, &"a"]));
    }
}
