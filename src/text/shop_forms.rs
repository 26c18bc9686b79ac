//! Words of the shop's board and of the forms of its state.

use super::{count, figure, say};

/// Without a folder there is no shop.
pub fn no_folder() -> String {
    say(
        "Stock, people, balances, procedures and the state of the furnaces are kept in the shop's \
         folder. Choose the folder first.",
    )
}

/// A folder in which no file has the shop's state.
pub fn no_state() -> String {
    say(
        "No file of this folder has the shop's state yet: its stock, people, balances and what is \
         known of its furnaces. It is begun on the shop's board with a name.",
    )
}

/// Where it is kept.
pub fn kept_in(folder: &str) -> String {
    say(format!("The shop's state is kept in {folder}"))
}

/// All is on the disk.
pub fn kept() -> String {
    say("Kept: the review goes by what stands here.")
}

/// Changes that are not on the disk.
pub fn not_kept() -> String {
    say("Changed, not kept yet: the review goes by what was kept last.")
}

/// Fields that hold what cannot be read.
pub fn fields_not_taken(count: usize) -> String {
    say(match count {
        1 => "A field holds what is not taken: put it right, or drop it.".to_owned(),
        n => format!("{n} fields hold what is not taken: put them right, or drop them."),
    })
}

/// Behind a saved load, while the state of the shop is not kept.
pub fn saved_without_shop() -> String {
    say("The shop's state, which is changed too, is not kept yet.")
}

/// Over the findings, while the state of the shop is not kept.
pub fn review_by_kept() -> String {
    say(
        "The shop's state is changed and not kept yet: these findings go by what was kept last. \
         Keep it on the board of lots and furnace, or on the shop's.",
    )
}

/// What a new setpoint of a survey begins with.
pub fn new_point_assumed(first_k: f64) -> String {
    say(format!(
        "A new setpoint begins as far off as the widest one here, the first at {} K either way: \
         both are assumed until what was read is typed.",
        figure(first_k)
    ))
}

/// The disk has something else than what the changes began from.
pub fn changed_beneath() -> String {
    say("The folder has another state since; keeping this one puts it in its place.")
}

/// What leaving would lose.
pub fn unkept() -> String {
    say(
        "What was changed of the shop's state is not in its folder yet and would be lost. The \
         open load is another matter and stays as it is.",
    )
}

/// Nothing typed where something has to stand.
pub fn empty() -> String {
    say("Something has to stand here.")
}

/// A name that is taken.
pub fn there_already(name: &str) -> String {
    say(format!("\"{name}\" is there already."))
}

/// A name twice in a list.
pub fn twice(name: &str) -> String {
    say(format!("\"{name}\" stands twice."))
}

/// No day.
pub fn not_a_day(text: &str) -> String {
    say(format!(
        "\"{text}\" is no day; write year-month-day, for example 2027-03-15."
    ))
}

/// No time of day.
pub fn not_a_time(text: &str) -> String {
    say(format!(
        "\"{text}\" is no time of day; write hour:minute, for example 06:30."
    ))
}

/// No whole number.
pub fn not_whole(text: &str) -> String {
    say(format!("\"{text}\" is no count; write a whole number."))
}

/// No class.
pub fn not_up_to(text: &str, most: u8) -> String {
    say(format!(
        "\"{text}\" is no class; classes go from 1 to {most}."
    ))
}

/// Below nought.
pub fn below_nought(text: &str) -> String {
    say(format!("\"{text}\" is below nought; that cannot be."))
}

/// Not above nought.
pub fn not_above_nought(text: &str) -> String {
    say(format!("\"{text}\" is not above nought; that cannot be."))
}

/// No type of thermocouple.
pub fn not_a_kind(text: &str, kinds: &str) -> String {
    say(format!(
        "\"{text}\" is no type of thermocouple; known are {kinds}."
    ))
}

/// Done after the last day on which it holds.
pub fn done_after_due() -> String {
    say("It would be done after the last day on which it holds; correct one of the two days.")
}

/// Takes a row away.
pub fn remove(what: &str) -> String {
    say(format!("Remove {what}"))
}

/// No furniture.
pub fn no_stock() -> String {
    say("No furniture is listed. What is not listed is not counted against a load.")
}

/// No item was chosen.
pub fn choose_item() -> String {
    say("Choose a setter, post or support first.")
}

/// What the stock is for.
pub fn stock_hint() -> String {
    say("Pieces fit for use. A load that needs more of an item than the shop has gets a finding.")
}

/// Pieces of an item.
pub fn pieces_of(item: &str) -> String {
    say(format!("Pieces of {item}"))
}

/// Nobody is listed.
pub fn no_people() -> String {
    say("Nobody is listed.")
}

/// What roles are for.
pub fn roles_hint() -> String {
    say(
        "Roles are in the shop's words. In regulated work each role that signs a plan is signed \
         for by another person who has it, and a finding is accepted only in a role that the \
         person has.",
    )
}

/// How several are typed.
pub fn by_commas() -> String {
    say("Several roles are divided by commas; each is signed for by another person.")
}

/// A role that signs and that nobody has.
pub fn nobody_has(role: &str) -> String {
    say(format!("Nobody below has the role \"{role}\"."))
}

/// A person's name.
pub fn name_of(person: &str) -> String {
    say(format!("Name of {person}"))
}

/// A person's roles.
pub fn roles_of(person: &str) -> String {
    say(format!("Roles of {person}"))
}

/// Until when a person is qualified.
pub fn qualified(person: &str) -> String {
    say(format!("{person} is qualified until"))
}

/// No balance is listed.
pub fn no_balances() -> String {
    say("No balance is listed.")
}

/// A balance's mark.
pub fn mark_of(balance: &str) -> String {
    say(format!("Mark of {balance}"))
}

/// Its smallest step.
pub fn step_of(balance: &str) -> String {
    say(format!("Smallest step of {balance}"))
}

/// Day of its calibration.
pub fn calibrated(balance: &str) -> String {
    say(format!("{balance} was calibrated on"))
}

/// Last day of its calibration.
pub fn due_of(balance: &str) -> String {
    say(format!("{balance} holds until"))
}

/// No procedure is listed.
pub fn no_procedures() -> String {
    say(
        "No written procedure is listed. Without one that covers its check, a finding that \
         concerns safety stays open.",
    )
}

/// What procedures are for.
pub fn procedures_hint() -> String {
    say(
        "A finding that concerns safety is dealt with by a written procedure of the furnace, in \
         the revision in force, that covers its check. A stop done under it stays \
         in sight and is no longer counted as open; whether the procedure serves is not judged here.",
    )
}

/// A procedure's document.
pub fn document_of(procedure: &str) -> String {
    say(format!("Document {procedure}"))
}

/// A procedure's revision.
pub fn revision_of(procedure: &str) -> String {
    say(format!("Revision of {procedure}"))
}

/// A procedure that covers no check.
pub fn covers_nothing() -> String {
    say("It covers no check yet.")
}

/// What a procedure covers.
pub fn cover(check: &str, procedure: &str) -> String {
    format!("{check} from {procedure}")
}

/// Choice of one more check.
pub fn another_check(procedure: &str) -> String {
    format!("Check for {procedure}")
}

/// A past load by its place in the list.
pub fn past_load(n: usize, title: &str) -> String {
    say(match title {
        "" => format!("Past load {n}"),
        title => format!("Past load {n}: {title}"),
    })
}

/// Takes a past load away.
pub fn remove_load(n: usize) -> String {
    say(format!("Remove past load {n}"))
}

/// When a calibration was done.
pub fn done_on(calibration: &str) -> String {
    format!("{calibration}, done on")
}

/// Where the places of a survey stand.
pub fn places_elsewhere(n: usize) -> String {
    say(match n {
        0 => "No place is noted by itself; places are typed on the shop's board.".to_owned(),
        n => format!(
            "{} noted; see the shop's board, Furnaces.",
            count(n, "place is", "places are")
        ),
    })
}

/// Places belong to a survey.
pub fn places_need_survey() -> String {
    say("No survey is on record; begin one with its day, beside this.")
}

/// What places are.
pub fn places_hint() -> String {
    say(
        "What each place read less the setpoint, by zone and level; an empty field was not read. \
         Setpoints are those of the survey.",
    )
}

/// Zone of a place.
pub fn zone_of(n: usize) -> String {
    say(format!("Zone of place {n}"))
}

/// Level of a place.
pub fn level_of(n: usize) -> String {
    say(format!("Level of place {n}"))
}

/// Reading of a place at a setpoint.
pub fn reading_of(n: usize, setpoint: &str) -> String {
    say(format!("Place {n} at {setpoint}"))
}

/// A place in words.
pub fn place(zone: &str, level: Option<u32>) -> String {
    match level {
        Some(level) => format!("place {zone}, level {level}"),
        None => format!("place {zone}"),
    }
}

/// The same place twice.
pub fn place_twice(zone: &str, level: Option<u32>) -> String {
    say(format!("There is already a {}.", place(zone, level)))
}

/// Levels are counted from 1.
pub fn levels_from_one() -> String {
    say("Levels count from 1 at the bottom.")
}

/// A reading outside the survey's extremes.
pub fn beyond_extremes(read_k: f64, setpoint_c: f64, coldest_k: f64, hottest_k: f64) -> String {
    say(format!(
        "{} K is outside the survey's own extremes at {} °C, {} to {} K; correct one of them.",
        figure(read_k),
        figure(setpoint_c),
        figure(coldest_k),
        figure(hottest_k)
    ))
}

/// What hours are for.
pub fn hours_hint() -> String {
    say(
        "No day ticked is every day; an end that is not later than the beginning is on the next \
         day. Nothing is held against hours where none stand here.",
    )
}

/// One entry of hours.
pub fn hours(n: usize) -> String {
    format!("hours {n}")
}

/// A day of the week in one entry of hours.
pub fn day_of_hours(day: &str, n: usize) -> String {
    say(format!("{day} of hours {n}"))
}

/// Beginning of hours.
pub fn from_of(n: usize) -> String {
    say(format!("Hours {n} from"))
}

/// End of hours.
pub fn to_of(n: usize) -> String {
    say(format!("Hours {n} to"))
}

/// Price of a gas.
pub fn cubic_metre_of(gas: &str) -> String {
    format!("One m³ at 25 °C of {gas}")
}
