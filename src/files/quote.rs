//! Words of a file that a sentence quotes.

/// How much of a strange word a fault quotes, in characters (assumed: enough to find it).
pub(super) const QUOTE_CHARS: usize = 40;

/// The start of a text without control characters; what is left out shows as an ellipsis.
pub(super) fn quoted(text: &str, most: usize) -> String {
    let mut shown: String = text.chars().filter(|c| !c.is_control()).collect();
    if let Some((end, _)) = shown.char_indices().nth(most) {
        shown.truncate(end);
        shown.push('…');
    }
    shown
}
