//! What counts in an arrangement: the weights, their units, and two layouts weighed by them.
//! Weights are known here by the words that are typed for them.

use super::{did_you_mean, figure, say, to_tenths};

/// What a weight is a number of.
fn unit(word: &str) -> &'static str {
    match word {
        "setter" => "points for each setter used",
        "stack" => "points for each mm of height of the highest stack",
        "middle" => {
            "points for each mm of distance of the pieces from the middle (root mean square)"
        }
        "balance" => "points for each mm of a stack's centre of mass off its axis (the farthest)",
        "rows" => "points for each percent of the pieces in no row",
        _ => "how many pieces due next after it, or of the next lower priority, a piece counts for",
    }
}

/// The same as a label.
pub fn each(word: &str) -> String {
    say(unit(word))
}

/// The same in few words, behind the number.
pub fn short(word: &str) -> String {
    say(match word {
        "setter" => "points for each setter",
        "stack" => "points for each mm of stack",
        "middle" => "points for each mm from the middle",
        "balance" => "points for each mm off the axis",
        "rows" => "points for each % out of rows",
        _ => "times the next: due earlier, priority",
    })
}

/// What stands in a layout, for a weight.
pub fn counted(word: &str) -> String {
    say(match word {
        "setter" => "Setters used",
        "stack" => "Height of the stack, mm",
        "middle" => "Distance from the middle, mm",
        "balance" => "Centre of mass off the axis, mm",
        _ => "Pieces out of rows, %",
    })
}

/// A number that a weight cannot have.
pub fn not_a_weight(word: &str, value: f64, [least, most]: [f64; 2]) -> String {
    let (value, least, most) = (figure(value), figure(least), figure(most));
    format!("the weight {word} is a number from {least} to {most}, which {value} is not")
}

/// The same for a text, as a sentence.
pub fn not_a_number(text: &str, [least, most]: [f64; 2]) -> String {
    say(format!(
        "\"{text}\" is not a number from {} to {}.",
        figure(least),
        figure(most)
    ))
}

/// A weight that there is not.
pub fn no_such_weight(word: &str, near: &[String], all: &[&str]) -> String {
    let all = all.join(", ");
    format!(
        "there is no weight {word}{}; there are {all}",
        did_you_mean(near)
    )
}

/// Short help of the option.
pub fn help() -> String {
    "What one thing counts for, on top of --order, as often as there are some; --help lists them"
        .to_owned()
}

/// Help with names, units, ranges, and the numbers of the named sets.
pub fn long_help(weights: &[(&str, [f64; 2])], sets: &[(&str, Vec<f64>)]) -> String {
    let mut all = "What one thing counts for, on top of --order, as often as there are some. What must go, what \
        the placed pieces are worth by due time and priority, and how many they are come before all of it. Of \
        layouts that are equal in that, the one with the fewest points is kept; one that places no more than \
        the load as it is needs at least 1 point less.\n\n"
        .to_owned();
    for (word, [least, most]) in weights {
        let (least, most) = (figure(*least), figure(*most));
        all += &format!("{word}: {}; {least} to {most}\n", unit(word));
    }
    let names: Vec<&str> = weights.iter().map(|(word, _)| *word).collect();
    all += &format!(
        "\nThe named orders have these numbers, all assumed ({}):\n",
        names.join(", ")
    );
    for (name, numbers) in sets {
        let numbers: Vec<String> = numbers.iter().map(|n| figure(*n)).collect();
        all += &format!("--order {name}: {}\n", numbers.join(", "));
    }
    all
}

/// Heading over the numbers.
pub fn heading(own: bool) -> String {
    say(match own {
        true => "Weights (your own)",
        false => "Weights (assumed)",
    })
}

/// Numbers of nobody's set, as a choice.
pub fn own() -> String {
    say("Own weights")
}

/// What the numbers do.
pub fn hint() -> String {
    say(
        "The layout with the fewest points is kept; what must go, then value, then the number placed come before all points. One that places no more needs 1 point less.",
    )
}

/// Before the points of a layout.
pub fn intro(own: bool) -> String {
    say(match own {
        true => "What counted, in points, with your own weights; fewer are better:",
        false => {
            "What counted, in points, with the assumed weights of the named order; fewer are better:"
        }
    })
}

/// Whose weights a search went by.
pub fn weights_were(own: bool) -> String {
    say(match own {
        true => "Weighed with your own weights.",
        false => "Weighed with the assumed weights of the named set.",
    })
}

/// The last line of the points.
pub fn sum(whole: bool) -> String {
    say(match whole {
        true => "Points in all",
        false => "Points in all without what is not known",
    })
}

/// An amount of what counts.
pub fn amount(value: Option<f64>) -> String {
    value.map_or_else(super::cli::unknown, to_tenths)
}

/// Points; the smallest differences that decide are hundredths.
pub fn points(value: Option<f64>) -> String {
    let hundredths = |v: f64| figure(libm::round(100.0 * v) / 100.0);
    value.map_or_else(super::cli::unknown, hundredths)
}

/// A weight.
pub fn weight(value: f64) -> String {
    figure(value)
}

/// A line of the points: what, before, after, points for each, points before and after.
pub fn line(what: &str, [before, after]: [&str; 2], each: &str, [was, is]: [&str; 2]) -> String {
    say(format!(
        "  {what}: {before} before, {after} after, at {each} for each: {was} and {is} points"
    ))
}

/// The line with the sum.
pub fn sum_line(whole: bool, [was, is]: [&str; 2]) -> String {
    say(format!("  {}: {was} before, {is} after", sum(whole)))
}
