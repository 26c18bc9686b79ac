//! The arrangement: what it did, and why it cannot be searched. Numbers count from 1; the arguments are indices.

use super::{count, say};
use crate::units::Quantity::{Fraction, Length};
use crate::units::show;

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

/// Masses, values or zones that do not go with the task.
pub fn bad_rules() -> &'static str {
    "the masses, values or zones given do not match the parts and setters"
}

/// The collision library stopped.
pub fn broken() -> &'static str {
    "the search broke off because of an internal fault; the load is unchanged"
}

/// The step's name in the history.
pub fn step() -> String {
    say("Arrange parts")
}

/// All is locked, or there is none.
pub fn nothing_to_move() -> &'static str {
    "the load has no part that may be moved, and no piece of a lot waits"
}

/// No piece waits.
pub fn nothing_waits() -> &'static str {
    "every piece of every lot stands in the load: nothing waits that could go into a gap"
}

/// A record or a body is missing.
pub fn not_known(name: &str) -> String {
    format!("{name} has no body or no record of its setter or posts, so nothing was moved")
}

/// The search gained nothing; `held` where better layouts were passed over for the review.
pub fn no_better(held: bool) -> String {
    let (layout, end) = match held {
        true => (" that the review takes", ""),
        false => ("", "; a longer search may find one"),
    };
    format!(
        "no layout{layout} with more pieces, or with as many and clearly fewer points by the weights, was found{end}"
    )
}

/// No file was made.
pub fn nothing_written() -> String {
    say("Nothing was written.")
}

/// The same where the search was stopped.
pub fn stopped_before() -> String {
    say(
        "The search was stopped before it had found a layout with more pieces, or with as many and clearly fewer points by the weights.",
    )
}

/// The same as a sentence.
pub fn nothing_better(held: bool) -> String {
    let (layout, end) = match held {
        true => (" that the review takes", ""),
        false => ("", " A longer search may find one."),
    };
    say(format!(
        "No layout{layout} with more pieces, or with as many and clearly fewer points by the weights, was found.{end}"
    ))
}

/// A part with its lot.
pub fn of_lot(part: &str, lot: &str) -> String {
    format!("{part} (lot {lot})")
}

/// Pieces that wait; the reason follows a colon.
pub fn wait(n: usize, name: &str) -> String {
    match n {
        1 => format!("{name}: 1 piece waits"),
        n => format!("{name}: {n} pieces wait"),
    }
}

/// The same where the review kept pieces out of layouts; what else stands in the way follows a colon.
pub fn held_back(n: usize, name: &str, found: &[String]) -> String {
    format!(
        "{}. Layouts with pieces that wait were thinned out or passed over, for the review would find more than now: {}. Where that is mended or accepted, more may go in. Besides",
        wait(n, name),
        found.join("; ")
    )
}

fn mm(value: f64) -> String {
    show(Length, (value * 10.0).ceil() / 10.0, 1)
}

/// Pieces higher than the room; `wait` is [`wait`] or [`held_back`].
pub fn too_high(
    wait: &str,
    height_mm: f64,
    (level, lacks_mm): (&str, f64),
    above: Option<(&str, bool)>,
) -> String {
    let (height, lacks) = (mm(height_mm), mm(lacks_mm));
    let way = match above {
        Some((above, true)) => format!("Posts {lacks} longer under {above}"),
        Some((above, false)) => format!("{lacks} more room under {above}"),
        None => format!("A stack {lacks} lower"),
    };
    say(format!(
        "{wait}: {height} high with what is under it, {lacks} more than there is room on {level}. {way} would let them in."
    ))
}

/// Pieces larger than every face.
pub fn too_wide(n: usize, name: &str, needs_mm: f64, has_mm: f64) -> String {
    say(format!(
        "{}: {} across as they may be turned, and inside the edge margin no setter has more than {}. A larger setter or another turn would let them in.",
        wait(n, name),
        mm(needs_mm),
        show(Length, has_mm, 1)
    ))
}

/// No level takes the feedstock.
pub fn other_feedstock(n: usize, name: &str) -> String {
    say(format!(
        "{}: no setter looked at bears their feedstock on their support. An empty setter of theirs would let them in.",
        wait(n, name)
    ))
}

/// No setter of a material that they may lie on.
pub fn not_onto(n: usize, name: &str, material: &str) -> String {
    say(format!(
        "{}: their alloy or feedstock does not go onto {material}, and no other setter looked at takes them. A setter or a support of another material would let them in.",
        wait(n, name)
    ))
}

/// No area left; `wait` is [`wait`] or [`held_back`].
pub fn no_room_left(wait: &str, one_more_takes: usize, stopped: bool) -> String {
    let until = match stopped {
        true => " before the search was stopped",
        false => "",
    };
    say(format!(
        "{wait}: no room was found on the setters that take them{until}. One setter more would take about {one_more_takes} of them."
    ))
}

/// Left out for what the review would find.
pub fn left_for_review(n: usize, name: &str, found: &str) -> String {
    say(format!(
        "{}, because with them the review would find more than now: {found}. Where that is mended or accepted, more may go in.",
        wait(n, name)
    ))
}

/// What stood in the way of layouts that were better by number.
pub fn in_the_way(found: &[String]) -> String {
    say(format!(
        "Better layouts were passed over, for the review would have found: {}.",
        found.join("; ")
    ))
}

/// A finding that would be new: its title and what it is about.
pub fn new_finding(title: &str, about: &[String]) -> String {
    let title = title.trim_end_matches('.');
    match about {
        [] => title.to_owned(),
        [one] => format!("{title} ({one})"),
        [one, rest @ ..] => format!("{title} ({one} and {} more)", rest.len()),
    }
}

/// What an arrangement of a load came to; the bound is known only where everything was set out.
pub fn arranged(before: usize, after: usize, bound: Option<usize>, waiting: usize) -> String {
    let setters = count(after, "setter", "setters");
    let before = match before == after {
        true => "as before".to_owned(),
        false => format!("instead of {before}"),
    };
    say(match (bound, waiting) {
        (None, _) => format!("Parts on {setters} {before}."),
        (Some(bound), 0) => {
            format!("Parts on {setters} {before}; by area no layout has fewer than {bound}.")
        }
        (Some(bound), _) => format!(
            "Parts on {setters} {before}; by area all of them, with what waits, need at least {bound}."
        ),
    })
}

fn percent(share: f64) -> String {
    show(Fraction, share, 0)
}

/// Rounded up, so that it stays what no layout exceeds.
fn ceiling(share: f64) -> String {
    percent((share * 100.0).ceil() / 100.0)
}

/// Pieces placed of those wanted, their share of the usable area, and what no layout exceeds.
pub fn placed(placed: usize, wanted: usize, fill: Option<f64>, ceiling: Option<f64>) -> String {
    let areas = fill.zip(ceiling).map(|(fill, ceiling)| {
        format!(
            "; they take {} of the usable area of their setters, where by area no layout of what is to go can take more than {}",
            percent(fill),
            self::ceiling(ceiling)
        )
    });
    say(format!(
        "Placed {placed} of {wanted}{}.",
        areas.unwrap_or_default()
    ))
}

/// Pieces that waited.
pub fn added(added: usize, waiting: usize) -> String {
    say(format!(
        "{} of lots that waited placed, {waiting} left waiting.",
        count(added, "piece", "pieces")
    ))
}

/// Stops of the review before and after.
pub fn stops(before: usize, after: usize) -> String {
    say(format!(
        "Open stops in the review: {before} before, {after} after."
    ))
}

/// What could not be judged before and after.
pub fn not_judged(before: usize, after: usize) -> String {
    say(format!(
        "Not evaluated in the review: {before} before, {after} after."
    ))
}

/// Arranging a load failed; the reason is a finished clause.
pub fn not_arranged(reason: &str) -> String {
    let reason = reason.trim_end_matches('.');
    let end = if reason.ends_with('?') { "" } else { "." };
    say(format!("Not arranged: {reason}{end}"))
}

/// Before the search.
pub fn making_ready() -> String {
    say("Making ready")
}

/// In the search.
pub fn searching() -> String {
    say("Searching")
}

/// After a search.
pub fn reviewing() -> String {
    say("Holding it against the review")
}

/// After the review.
pub fn forecasting() -> String {
    say("Holding it against the forecast")
}

/// A level that is not there.
pub fn no_such_level(wanted: usize, levels: usize) -> String {
    format!(
        "there is no level {wanted}: the load has {}",
        count(levels, "level", "levels")
    )
}

/// A budget with the places that it tries.
pub fn budget(word: &str, evaluations: u64) -> String {
    say(format!("{word}: {} places tried", thousands(evaluations)))
}

/// 3000000 as 3 000 000, with spaces that do not break.
fn thousands(n: u64) -> String {
    let digits = n.to_string();
    let mut out = String::new();
    for (i, digit) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            out.push('\u{a0}');
        }
        out.push(digit);
    }
    out
}

/// What a budget and a seed are for.
pub fn same_again() -> String {
    say(
        "A place tried is one piece held to one spot at one angle; more of them take longer and may place more. The same load, budget and seed give the same layout again; another seed gives another.",
    )
}

/// Turns beyond those chosen.
pub fn own_angle_stays() -> String {
    say("An angle at which a piece of the part stands now stays allowed.")
}

/// What stopping does.
pub fn stop_keeps() -> String {
    say(
        "Ends the search now and holds the best layout so far against the review; it is shown then, to be kept or discarded.",
    )
}

/// What giving up does.
pub fn stop_discards() -> String {
    say("Ends the search now and throws away what it found; the load stays as it is.")
}

/// A search was given up.
pub fn given_up() -> String {
    say("The search was stopped and what it had found discarded; the load is as it was.")
}

/// The search runs.
pub fn at_work(word: &str) -> String {
    say(format!("{word}…"))
}

/// The same with how many places are tried so far.
pub fn at_work_and_tried(word: &str, tried: u64) -> String {
    if tried == 0 {
        return at_work(word);
    }
    say(format!("{word}… {} places tried", thousands(tried)))
}

/// The search was told to stop.
pub fn stopping(word: &str) -> String {
    say(format!(
        "Stopped with the best so far, which is finished now. {word}…"
    ))
}

/// The plan changed under the search.
pub fn stopped_by_edit() -> String {
    say(
        "The load was changed while it was being arranged: the search was stopped, and nothing of it is in the load.",
    )
}

/// The plan changed after the search.
pub fn edited_since() -> String {
    say(
        "The load or its records were changed since this search began, so its layout cannot be kept. Undo the change, or search again.",
    )
}

/// Other choices than those of the search.
pub fn chosen_since() -> String {
    say(
        "The choices above were changed since this search began; the layout below goes by the earlier ones.",
    )
}

/// The result is thrown away.
pub fn discarded() -> String {
    say("The layout was discarded; the load is as it was.")
}

/// How to lock.
pub fn select_to_lock() -> String {
    say("Click on parts in the pictures to select them.")
}

/// Counts beside the buttons.
pub fn selected_and_locked(selected: usize, locked: usize) -> String {
    say(format!("{selected} selected, {locked} locked"))
}

/// Pictures of the plan itself.
pub fn as_it_is() -> String {
    say("The load as it is")
}

/// Pictures while the search runs.
pub fn best_so_far(
    [placed, wanted]: [usize; 2],
    setters: usize,
    shares: Option<[f64; 2]>,
) -> String {
    let shares = shares.map(|[fill, most]| {
        format!(
            "; they take {} of the usable area there, at most {} could be taken",
            percent(fill),
            ceiling(most)
        )
    });
    say(format!(
        "Best so far, not reviewed yet: {placed} of {} on {}{}",
        count(wanted, "piece", "pieces"),
        count(setters, "setter", "setters"),
        shares.unwrap_or_default()
    ))
}

/// Over the pictures before the search has anything.
pub fn nothing_yet() -> String {
    say("Nothing better so far; the load as it is")
}

/// Pictures of what was found.
pub fn found() -> String {
    say("The load as it would be")
}

/// What bold edges mean.
pub fn bold_are_new() -> String {
    say("Pieces with a bold edge waited until now.")
}

/// Setters without a picture.
pub fn unchanged(n: usize) -> String {
    let setters = count(n, "setter", "setters");
    say(format!(
        "The parts on {setters} stay where they are, and are not drawn."
    ))
}

/// Over the levels that stand otherwise.
pub fn levels_changed() -> String {
    say("Levels that stand otherwise: on what, and how high their faces are above the hearth")
}

/// A level that has another number than before.
pub fn level_was(now: &str, before: &str) -> String {
    say(format!("{now} (before: {before})"))
}

/// A level that was not there before.
pub fn level_new(level: &str) -> String {
    say(format!("{level} (new)"))
}

/// A level that will not be there, under the number that it has no longer.
pub fn level_before(level: &str) -> String {
    say(format!("before: {level}"))
}

/// The same with what becomes of it.
pub fn level_gone(level: &str) -> String {
    say(format!("{}, taken away", level_before(level)))
}

/// The same posts, standing in other places.
pub fn in_other_places(post: &str) -> String {
    say(format!("{post}, in other places"))
}

/// Over findings while another layout is shown beside them.
pub fn findings_of_the_load() -> String {
    say("Findings of the load as it is")
}

/// Under that.
pub fn not_of_the_layout() -> String {
    say(
        "Not of the layout that the search shows: what the review says of that stands with it, and is listed here once it is kept.",
    )
}

/// Before the tally while another layout is shown above it.
pub fn tally_of_the_load() -> String {
    say("The load as it is:")
}

/// A kind of part in the legend of the pictures.
pub fn kind(part: &str, placed: usize, waiting: usize) -> String {
    say(match waiting {
        0 => format!("{part}: {placed} placed"),
        n => format!("{part}: {placed} placed, {n} waiting"),
    })
}

/// What is no part, in the legend of the pictures.
pub fn other_things() -> String {
    say("Coupons, dummy masses, thermocouples")
}

/// Over the picture of a setter, under its name.
pub fn card_counts(things: usize, added: usize, gone: bool) -> String {
    say(match (things, added) {
        (0, _) if gone => "taken away".to_owned(),
        (0, _) => "empty".to_owned(),
        (n, 0) => count(n, "thing", "things"),
        (n, added) => format!("{}, {added} of them new", count(n, "thing", "things")),
    })
}

/// The picture of a setter, for assistive technology.
pub fn picture(level: &str, counts: &str) -> String {
    format!("{} {level}: {counts}", say("Picture of"))
}

/// What the job is called in a sentence about its failure.
pub fn job() -> String {
    say("arrangement")
}

/// The forecast was asked, too.
pub fn with_forecast() -> String {
    say("Review and forecast find no stop and no caution that was not there before.")
}

/// Cautions that the forecast would bring.
pub fn forecast_tells(told: &[String]) -> String {
    say(format!(
        "The forecast would caution of what it does not now: {}. Weigh that before you keep it; the review finds \
         no stop and no other caution that was not there before.",
        told.join("; ")
    ))
}

/// The forecast was not asked.
pub fn without_forecast() -> String {
    say(
        "The review finds no stop and no caution that was not there before; the forecast was not asked. It is made once this is kept.",
    )
}

/// Lots of which only some pieces stand, which is a stop of the review.
pub fn lots_in_part(n: usize) -> String {
    say(match n {
        1 => "But for 1 lot of which only some pieces stand then: that is a stop until the others are placed or its count is changed.".to_owned(),
        n => format!("But for {n} lots of which only some pieces stand then: each is a stop until the others are placed or its count is changed."),
    })
}

/// Places tried.
pub fn tried(evaluations: u64) -> String {
    say(format!("{} places were tried.", thousands(evaluations)))
}

/// A level that has another setter now.
pub fn level_on_setter(level: &str, setter: &str) -> String {
    say(format!("{level}, now on {setter}"))
}

/// The level that is shown, as a choice.
pub fn this_level(level: &str) -> String {
    say(format!("This level: {level}"))
}
