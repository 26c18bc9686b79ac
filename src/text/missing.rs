//! What a check lacks when it says "not evaluated": the datum's name, as it follows "lacks".

/// Nobody has said where pins stand under a part.
pub fn pin_places() -> &'static str {
    "where the pins stand under it"
}
