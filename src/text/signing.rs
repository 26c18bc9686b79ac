//! Words about people who sign and take things on.

/// Nobody signed.
pub fn nobody() -> String {
    "nobody has signed".to_owned()
}

/// The person has another role.
pub fn not_in_role(by: &str) -> String {
    format!("{by} has signed, and the shop's list does not give {by} this role")
}

/// One person in two roles.
pub fn same_person(by: &str, other: &str) -> String {
    format!("{by} has signed as {other} too, and the two are meant to be two people")
}

/// Not in the shop's list.
pub fn not_listed() -> String {
    "not in the shop's list of people".to_owned()
}

/// A qualification that ends.
pub fn ends(until: &str, when: &str) -> String {
    format!("the qualification ends on {until}, {when}")
}

/// A signature from after the start.
pub fn after_start(by: &str, on: &str) -> String {
    format!("{by} has signed with the day {on}, which is after the planned start")
}
