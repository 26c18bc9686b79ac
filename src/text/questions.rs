//! Questions that only a person can answer before a run.

use super::say;

/// What the answer is called, and the question. Every yes-or-no question is put so that yes is good.
const WORDS: &[(&str, &str, &str)] = &[
    (
        "over-temperature-set",
        "Cut-out set to",
        "To what temperature is the independent over-temperature cut-out set?",
    ),
    (
        "flame-proven",
        "Flame proven",
        "Is the pilot flame at the exhaust lit and proven by its flame guard?",
    ),
    (
        "interlocks-tested",
        "Interlocks tested",
        "Were the interlocks of gas, door, pressure and over-temperature tested?",
    ),
    (
        "hydrogen-sensor-tested",
        "Hydrogen sensor tested",
        "Was the hydrogen sensor of the room tested with test gas?",
    ),
    (
        "emergency-purge-open",
        "Emergency purge open",
        "Is the emergency purge gas open, full and free to flow without power?",
    ),
    (
        "oxygen-measured-before-entry",
        "Oxygen measured before entry",
        "Will oxygen be measured in chamber and pit, with a meter in date, before anybody reaches in?",
    ),
    (
        "second-person-present",
        "Second person present",
        "Will a second person be there, outside, while somebody reaches in?",
    ),
    (
        "exhaust-ventilation-on",
        "Exhaust ventilation on",
        "Are the exhaust and the ventilation of the room on?",
    ),
    (
        "cooling-water-flows",
        "Cooling water flows",
        "Does cooling water flow through every circuit?",
    ),
    (
        "door-seal-clean",
        "Door seal clean",
        "Are the door seal and its face clean and whole?",
    ),
    (
        "trap-coolant",
        "Trap coolant at",
        "How warm is the coolant of the binder trap?",
    ),
    (
        "trap-emptied",
        "Trap emptied",
        "Was the binder trap emptied?",
    ),
    (
        "setters-flat",
        "Setters flat",
        "Are the setters flat, by straight edge, where parts stand?",
    ),
    (
        "no-cracks",
        "No cracks",
        "Are setters and posts free of cracks and chips?",
    ),
    (
        "setters-of-this-family",
        "Setters of this family",
        "Did these setters carry nothing but this alloy family?",
    ),
    (
        "coating-sound",
        "Coating sound",
        "Is the coating of the setters whole where parts stand?",
    ),
    (
        "setter-side-up",
        "Right side up",
        "Do the coated setters lie with the coated side up?",
    ),
    (
        "posts-matched",
        "Posts matched",
        "Are the posts of each level measured and of one length?",
    ),
    (
        "powder-laid",
        "Powder laid",
        "Is powder laid under the parts that the plan puts on powder?",
    ),
    (
        "supports-leave-room",
        "Supports leave room to shrink",
        "Can each part shrink freely off its pins, none of them inside a cavity or behind a \
         shoulder?",
    ),
    (
        "oversize-current",
        "Oversize in date",
        "Are the oversize factors from these feedstock lots, and no older than twelve months?",
    ),
    (
        "load-thermocouples-plugged-in",
        "Load thermocouples plugged in",
        "Are the load thermocouples plugged in, each at its channel, and reading?",
    ),
    (
        "thermocouple-type-at-controller",
        "Thermocouple type set",
        "Are controller and logger set to the type of each thermocouple?",
    ),
    (
        "profile-current",
        "Profile in its current revision",
        "Is this the revision of the profile that is in force in the shop?",
    ),
    (
        "program-typed-and-read-back",
        "Program read back",
        "Was the program typed in and read back segment by segment?",
    ),
    (
        "gas-bank-open-and-dew-point-read",
        "Gas open, dew point read",
        "Are the gas banks open and was the dew point of the supply read?",
    ),
    (
        "vacuum-reached-at-peak-last-run",
        "Vacuum at the last peak",
        "What pressure did the furnace reach at the peak of its last run?",
    ),
    (
        "acid-purged",
        "Acid purged",
        "Was the acid purged out of these parts with nitrogen?",
    ),
    (
        "brown-parts-kept-dry",
        "Kept dry",
        "Were these parts kept dry since the first step?",
    ),
];

fn words(slug: &str) -> Option<&'static (&'static str, &'static str, &'static str)> {
    WORDS.iter().find(|(known, ..)| *known == slug)
}

/// The question.
pub fn question(slug: &str) -> String {
    say(words(slug).map_or(slug, |(_, _, question)| question))
}

/// What the answer is called.
pub fn word(slug: &str) -> &str {
    words(slug).map_or(slug, |(_, word, _)| word)
}

/// The question with what it is about.
pub fn question_about(slug: &str, about: Option<&str>) -> String {
    match about {
        Some(about) => say(format!("{about}: {}", question(slug))),
        None => question(slug),
    }
}

/// An answer that is neither.
pub fn yes_or_no(answer: &str) -> String {
    say(format!(
        "\"{answer}\" is neither yes nor no; answer yes or no."
    ))
}

/// Nobody has answered.
pub fn nobody() -> String {
    "nobody has answered it".to_owned()
}

/// An answer without a name.
pub fn by_nobody() -> String {
    "the answer bears no name".to_owned()
}

/// An answer of a day that has not come.
pub fn from_later(on: &str) -> String {
    format!("the answer is dated {on}, after the planned start")
}

/// An answer that cannot be read.
pub fn not_read(answer: &str, by: &str) -> String {
    format!("the answer of {by}, \"{answer}\", cannot be read")
}

/// Older than a repair.
pub fn before_repair(on: &str, repaired: &str) -> String {
    format!("declared on {on}, before the repair of {repaired}")
}

/// Older than it may be.
pub fn days_before(on: &str, days: usize) -> String {
    let days = super::count(days, "day", "days");
    format!("declared on {on}, {days} before the planned start")
}
