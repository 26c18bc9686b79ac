//! What would let a piece into a load, as far as the stock goes; what became of the levels.

use super::{count, say};
use crate::units::Quantity::Length;
use crate::units::show;

fn mm(value: f64) -> String {
    show(Length, (value * 10.0).ceil() / 10.0, 1)
}

/// Posts that long are in stock; `open` where nothing but the search stands in the way, `anew` where
/// posts may be changed at all.
pub fn such_posts_there(open: bool, anew: bool) -> String {
    let end = match (open, anew) {
        (_, false) => ", but posts are changed only where everything may be set out",
        (true, true) => ": put them there by hand, or search longer",
        (false, true) => "",
    };
    say(format!(
        "Such posts are in stock and the stack has the height for them{end}."
    ))
}

/// No posts that long are in stock.
pub fn no_such_posts(least_mm: f64) -> String {
    say(format!(
        "No set of posts of that kind, {} or longer, is left in stock.",
        mm(least_mm)
    ))
}

/// With posts that long the stack is too high.
pub fn posts_too_high(over_mm: f64) -> String {
    say(format!(
        "Such posts are in stock, but with them the stack would be {} too high: one level fewer would make room.",
        mm(over_mm)
    ))
}

/// A setter more is in stock; `open` where nothing but the search stands in the way, `anew` where
/// levels may be added at all.
pub fn setter_there(open: bool, anew: bool) -> String {
    let end = match (open, anew) {
        (_, false) => ", but levels are added only where everything may be set out",
        (true, true) => ": add it by hand, or search longer",
        (false, true) => "",
    };
    say(format!(
        "One is in stock and the stack has the height for it{end}."
    ))
}

/// No setter more is in stock.
pub fn no_setter() -> String {
    say("None of that kind is left in stock.")
}

/// No posts for a setter more.
pub fn no_posts_for_it(least_mm: f64) -> String {
    say(format!(
        "One is in stock, but no set of posts for it, {} or longer.",
        mm(least_mm)
    ))
}

/// With a setter more the stack is too high.
pub fn setter_too_high(over_mm: f64) -> String {
    say(format!(
        "One is in stock, but with it the stack would be {} too high: lower parts or a load of their own would let them in.",
        mm(over_mm)
    ))
}

/// Height of the stack before and after.
pub fn height(before_mm: f64, after_mm: f64) -> String {
    let show = |value: f64| show(Length, value, 1);
    say(match (before_mm - after_mm).abs() < 0.05 {
        true => format!("The stack is {} high as before.", show(after_mm)),
        false => format!(
            "The stack is {} high instead of {}.",
            show(after_mm),
            show(before_mm)
        ),
    })
}

/// Pieces that stood too near to something or over the edge, and how many still do.
pub fn stood_amiss(before: usize, after: usize) -> String {
    let near = "too near to something or over the edge of the setter";
    let pieces = |n: usize| match n {
        1 => "1 part".to_owned(),
        n => format!("{n} parts"),
    };
    let stand = |n: usize| if n == 1 { "stands" } else { "stand" };
    say(match before.saturating_sub(after) {
        0 => format!(
            "{} {} {near} as the load is; no layout was found in which that is mended.",
            pieces(before),
            stand(before)
        ),
        n if after == 0 => format!(
            "{} that stood {near} {} clear now: that counts before all points.",
            pieces(n),
            stand(n)
        ),
        n => format!(
            "Of {} that stood {near} {n} {} clear now, {after} not: that counts before all points.",
            pieces(before),
            stand(n)
        ),
    })
}

/// Levels that stand on other posts, that have another setter, that were added, that are gone.
pub fn levels([posts, setters, added, gone]: [usize; 4]) -> String {
    let levels = |n| count(n, "level", "levels");
    let mut all = Vec::new();
    if posts > 0 {
        let stand = if posts == 1 { "stands" } else { "stand" };
        all.push(format!("{} {stand} on other posts", levels(posts)));
    }
    if setters > 0 {
        let has = if setters == 1 { "has" } else { "have" };
        all.push(format!("{} {has} another setter", levels(setters)));
    }
    if added > 0 {
        all.push(format!("{} added", levels(added)));
    }
    if gone > 0 {
        all.push(format!("{} taken away", levels(gone)));
    }
    let list = all.join(", ");
    say(format!("Set up anew: {list}."))
}

/// Levels with what stays, and by how many mm they stand higher than before.
pub fn held_at(levels: &[(String, f64)]) -> String {
    let one = |(level, mm): &(String, f64)| {
        let way = if *mm > 0.0 { "higher" } else { "lower" };
        format!("{level} is {} {way}", show(Length, mm.abs(), 1))
    };
    let list: Vec<String> = levels.iter().map(one).collect();
    say(format!(
        "Coupons, sensors and locked pieces stand as they stood on their setters, but at another height: {}.",
        list.join(", ")
    ))
}

/// What choosing posts does.
pub fn posts_hint() -> String {
    say(
        "Posts of the diameter and material in use and more setters are taken from the stock; where the shop keeps no count of them, only those in the load. Only where everything may be set out.",
    )
}

/// Before what is said of pieces that must go.
pub fn must_go() -> String {
    say("Must go:")
}

/// A level is named, and the scope is another.
pub fn level_without_scope() -> String {
    "--level says which level --scope level sets out; with another scope it does nothing".to_owned()
}

/// One level is to be set out of several, and none is named.
pub fn scope_without_level(levels: usize) -> String {
    format!(
        "--scope level sets out one level and the load has {levels}: name it with --level, 1 to {levels}, counted over all stacks from the hearth up"
    )
}

/// How a part may be turned is chosen, and nothing of it is set out; `stands` where pieces of it stand.
pub fn not_turned(part: &str, stands: bool) -> String {
    say(match stands {
        true => format!(
            "{part} is not turned, since it stays: no piece of it waits, and those that stand are coupons, locked, or outside of what may be moved."
        ),
        false => format!("{part} is not turned: no piece of it stands or waits."),
    })
}

/// A lot is marked as first of which nothing waits.
pub fn nothing_of_it_waits(lot: &str) -> String {
    say(format!(
        "Every piece of lot {lot} stands in the load: what is marked of it changes nothing."
    ))
}

/// Posts are to stay where none are chosen.
pub fn posts_stay_anyway() -> String {
    say("With this scope every level stays on its posts anyway: --keep-posts changes nothing.")
}

/// The name of a load that file dialogs do not show.
pub fn not_a_load_name(file: &str) -> String {
    say(format!(
        "{file} does not end in .load.ron as loads do: file dialogs and the list of standard loads may leave it out."
    ))
}

/// A lot that is not in the load.
pub fn no_such_lot(name: &str, near: &[String]) -> String {
    format!("there is no lot {name}{}", super::did_you_mean(near))
}

/// What stands after an option, and is not of the form that it has to have.
pub fn not_as_written(option: &str, text: &str, form: &str) -> String {
    let text = match text {
        "" => "nothing".to_owned(),
        text => format!("\"{text}\""),
    };
    format!("{option} is followed by {text}; write {option} {form}")
}

/// An option that says something of one thing twice.
pub fn named_twice(option: &str, name: &str) -> String {
    format!("{option} names {name} twice; name it once")
}

/// A part that is not in the load.
pub fn no_such_part(name: &str, near: &[String]) -> String {
    format!("there is no part {name}{}", super::did_you_mean(near))
}

/// A word for turns that is none.
pub fn no_such_turns(part: &str, text: &str, all: &[String]) -> String {
    format!("part {part}: \"{text}\" is none of {}", all.join(", "))
}

/// What a due time looks like.
pub fn due_hint() -> String {
    say("e.g. 2026-12-01 14:00")
}

/// A search waits for what can be read.
pub fn all_first() -> String {
    say("Something typed above is not taken: correct it first")
}

/// A due time that is none.
pub fn not_a_due(lot: &str, text: &str) -> String {
    say(format!(
        "Lot {lot}: \"{text}\" is neither a day (2026-12-01) nor a moment (2026-12-01 14:00)."
    ))
}

/// A priority that is none.
pub fn not_a_priority(lot: &str, text: &str, most: u32) -> String {
    format!("lot {lot}: \"{text}\" is not a whole number from 0 to {most}")
}

/// The same as a sentence under the field.
pub fn no_priority(text: &str, most: u32) -> String {
    say(format!(
        "\"{text}\" is not a whole number from 0 to {most}."
    ))
}

/// Middle, balance and rows, before and after.
pub fn neatness(middle: [&str; 2], off_axis: [&str; 2], in_rows: [&str; 2]) -> String {
    say(format!(
        "Pieces {} from the middle of their setter (before: {}), centre of mass {} off the axis of the stack (before: {}), {} in rows (before: {}).",
        middle[1], middle[0], off_axis[1], off_axis[0], in_rows[1], in_rows[0]
    ))
}

/// What the order is for.
pub fn order_hint() -> String {
    say(
        "More pieces placed always come first: those that must go, then what is due earlier, then the greater priority. Here stands what counts after that, the first thing first; its weights are below and may be changed.",
    )
}

/// What the marks of lots are for.
pub fn lots_hint() -> String {
    say(
        "Where not all that waits finds a place: what must go goes first, then what is due earlier, then the greater priority. What stands in the load already stays in it.",
    )
}

/// Pieces of a lot that wait.
pub fn waits(lot: &str, part: &str, pieces: usize) -> String {
    let pieces = count(pieces, "piece waits", "pieces wait");
    say(format!("{lot}, {part}: {pieces}"))
}

/// A control for a lot, for assistive technology.
pub fn of_lot(what: &str, lot: &str) -> String {
    format!("{what} {lot}")
}

/// A part that lies on another face, heights before and after in mm.
pub fn laid(part: &str, down: [f64; 3], [was, is]: [f64; 2]) -> String {
    let down = down
        .map(|v| format!("{}", (v * 1e3).round() / 1e3 + 0.0))
        .join(", ");
    say(format!(
        "{part} lies on another face: {} high as drawn instead of {}, down in its drawing is {down}. Whoever sets the parts down has to be told.",
        show(Length, is, 1),
        show(Length, was, 1),
    ))
}

/// A part whose other poses are not known.
pub fn poses_not_known(part: &str, why: &str) -> String {
    say(format!(
        "{part} stays on its face, for its other poses are not known: {}.",
        why.trim_end_matches('.')
    ))
}

/// A part on a support made for its face.
pub fn stays_on_support(part: &str) -> String {
    say(format!(
        "{part} stays on its face: its raft or pins are made for it."
    ))
}

/// A part that is not to be turned.
pub fn stays_unturned(part: &str) -> String {
    say(format!("{part} stays on its face: it is not to be turned."))
}

/// A part of which pieces stay where they are.
pub fn stays_for_pieces(part: &str) -> String {
    say(format!(
        "{part} stays on its face: pieces of it are locked, coupons, or on levels that are not set out, and all pieces of a part lie alike."
    ))
}

/// A part that has no other pose that may be chosen.
pub fn no_other_pose(part: &str) -> String {
    say(format!(
        "{part} stays on its face: on no other does it stand by itself, off the faces to be kept clean, with what hangs over known and no more than now."
    ))
}

/// What choosing poses does.
pub fn poses_hint() -> String {
    say(
        "After the usual search, parts may be laid on other faces on which they stand by themselves, if that is no face to be kept off the setter and no more hangs over than now, or into the pose that is approved. All pieces of a part lie alike: one that is locked, on a raft or pins, or not to be turned keeps its part as it lies. A longer search.",
    )
}

/// More pieces than are searched at once.
pub fn too_many_pieces(there: usize, most: usize) -> String {
    format!(
        "the load has {there} pieces to be set out, and at most {most} are taken at once; lock levels, or lower the counts of the lots"
    )
}

/// Over the turns of each part; so many have their own.
pub fn own_turns(own: usize) -> String {
    say(match own {
        0 => "How each part may be turned".to_owned(),
        n => format!(
            "How each part may be turned ({} not as all)",
            count(n, "part", "parts")
        ),
    })
}
