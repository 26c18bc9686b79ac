//! Words about profiles and who approved them.

/// No approval.
pub fn nobody() -> String {
    "nobody has approved it".to_owned()
}

/// An approval without a name.
pub fn no_name() -> String {
    "its approval names nobody".to_owned()
}

/// An approval for other feedstocks.
pub fn not_for(feedstock: &str) -> String {
    format!("it is not approved for {feedstock}")
}

/// A revision of the profile or of its approval.
pub fn revision() -> &'static str {
    "the revision of the profile and of its approval"
}

/// It has another revision now.
pub fn other_revision(now: &str) -> String {
    format!("and is {now} now")
}

/// Its steps are others now.
pub fn changed() -> String {
    "and its steps were changed since".to_owned()
}

/// An approval in a few words.
pub fn shown(revision: &str, by: &str, on: &str, feedstocks: &[String], changed: bool) -> String {
    let mut out = format!("revision {revision}, {by}, {on}");
    if !feedstocks.is_empty() {
        out.push_str(&format!(", for {}", feedstocks.join(", ")));
    }
    if changed {
        out.push_str(", changed since");
    }
    out
}

/// An approval from after the start.
pub fn after_start(on: &str) -> String {
    format!("its approval has the day {on}, which is after the planned start")
}

/// An approval by somebody whom the shop does not list.
pub fn not_listed(by: &str) -> String {
    format!("it is approved by {by}, who is not on the shop's list")
}
