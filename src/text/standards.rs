//! Words about the standard that a load began from.

/// The file that a load names.
pub fn standard_load(file: &str) -> String {
    format!("the standard load {file}")
}

/// Differences, the first of them written out.
pub fn changes(sentences: &[&str], more: usize) -> String {
    let mut out = sentences.join("; ");
    if more > 0 {
        out.push_str(&format!("; and {more} more"));
    }
    out
}
