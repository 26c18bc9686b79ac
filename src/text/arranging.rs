//! Why an arrangement cannot be searched. Numbers count from 1; the arguments are indices.

/// Nothing to arrange on.
pub fn no_field() -> &'static str {
    "there is no setter to arrange on"
}

/// The margin leaves nothing.
pub fn no_room(field: usize) -> String {
    format!("the edge margin leaves no room on setter {}", field + 1)
}

/// An outline that cannot be used.
pub fn bad_outline(kind: usize) -> String {
    format!(
        "the outline of part kind {} crosses itself or encloses no area",
        kind + 1
    )
}

/// A fixed thing that cannot be used.
pub fn bad_fixed(field: usize) -> String {
    format!(
        "something that stands on setter {} has an outline that crosses itself or encloses no area",
        field + 1
    )
}

/// The collision library stopped.
pub fn broken() -> &'static str {
    "the search broke off because of an internal fault; the load is unchanged"
}
