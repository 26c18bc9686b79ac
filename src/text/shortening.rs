//! What a search for a shorter program says beside its rows: what the load breaks already, what is
//! kept to spare, what binds.

use super::{count, figure, names, say, to_tenths};

/// Stops of the review come first.
pub fn stops_first(stops: usize, titles: &[String]) -> String {
    say(format!(
        "This load has {} in its review: {}. A shorter program mends none of them.",
        count(stops, "stop", "stops"),
        titles.join("; ")
    ))
}

/// Heading of what the load breaks.
pub fn broken_head() -> String {
    say("The load as it is already breaks, and nothing of it may grow worse:")
}

/// A limit with its owner.
pub fn limit_of(shown: &str, set_by: &str, standing: &str) -> String {
    format!("{shown}, {set_by}, {standing}")
}

/// One of them.
pub fn broken(
    title: &str,
    measured: Option<&str>,
    limit: Option<&str>,
    cold_case_only: bool,
) -> String {
    let measured = measured.map_or(String::new(), |m| format!(": {m}"));
    let limit = limit.map_or(String::new(), |l| format!(" (limit {l})"));
    let case = match cold_case_only {
        true => ", in the cold case alone: the review of the load judges this in the nominal one",
        false => "",
    };
    say(format!("{title}{measured}{limit}{case}"))
}

/// What keeps steps in the range of binder of which nobody knows how it burns out.
pub fn burnout_unknown() -> String {
    say("nobody knows how all of the binder burns out here")
}

/// Name of the limit that a hold keeps.
pub fn hold_margin() -> String {
    say("time to spare that a shortened hold keeps")
}

/// What holds keep to spare: minutes, who set them, standing.
pub fn margin_kept(limit: Option<(f64, &str, &str)>) -> String {
    say(match limit {
        Some((min, by, standing)) => format!(
            "Each hold keeps {} min to spare in the worst case, or what it has where that is less (limit \
             \"hold-margin\", {by}, {}).",
            figure(min),
            standing.to_lowercase()
        ),
        None => "No time to spare is kept: nobody has set the limit \"hold-margin\".".to_owned(),
    })
}

/// What it rests on.
pub fn by_rates() -> String {
    say(
        "What a hold needs rests on rates of burnout from records, mostly of plain polymers; powder can change \
         them. Try a shorter hold on a small load first.",
    )
}

/// What a hold of the draft has to spare.
pub fn spare(gets: f64, needs: f64, spare: &str) -> String {
    say(format!(
        "then its coldest place gets {gets:.0}, needs {needs:.0}; {spare} min to spare"
    ))
}

/// The same, where it is out when the hold ends.
pub fn out_at_end(gets: f64, needs: f64) -> String {
    say(format!(
        "then its coldest place gets {gets:.0} of the {needs:.0} that it needs at its target; it is out when the \
         hold ends: it goes before the place has arrived, too"
    ))
}

/// The same, where another hold finishes it.
pub fn finished(gets: f64, needs: f64, segment: usize, target_c: f64, spare: &str) -> String {
    say(format!(
        "then its coldest place gets {gets:.0} of the {needs:.0} that it needs; the hold at {} °C ({}) finishes \
         it, {spare} min to spare there",
        to_tenths(target_c),
        names::segment(segment)
    ))
}

/// The same, where nothing is to be done in it but to arrive.
pub fn spare_of_lag(spare: &str) -> String {
    say(format!("then its coldest place gets {spare} min of it"))
}

/// The same, where the place does not come so far in it.
pub fn never_there() -> String {
    say("its coldest place does not arrive in it, as it did not before")
}

/// By what it was judged.
pub fn limits(binding: &[String], checks: usize, not_evaluated: usize) -> String {
    let binding = match binding {
        [] => "none of them binds one step further".to_owned(),
        all => format!("those that bind: {}", all.join("; ")),
    };
    say(format!(
        "Every limit means: {} of the review, {not_evaluated} of these not evaluated; {binding}. --json lists those \
         that holds and ramps move.",
        count(checks, "condition", "conditions")
    ))
}

/// Why a hold below where the survey begins stays.
pub fn unsurveyed() -> String {
    say("the survey does not reach down to it")
}
