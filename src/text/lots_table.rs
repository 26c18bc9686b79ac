//! Sentences about tables of lots.

use super::say;

/// Nothing in it.
pub fn empty() -> String {
    say("The table is empty: the first row names the columns, each further row is a lot.")
}

/// The reader of tables gave up.
pub fn not_a_table(why: &str) -> String {
    say(format!("This is no table of cells: {why}"))
}

/// The same heading twice.
pub fn column_twice(heading: &str) -> String {
    say(format!(
        "Two columns are headed \"{heading}\" or mean the same; leave one of them out."
    ))
}

/// A heading that stands for nothing.
pub fn unknown_column(heading: &str, near: &[String], all: &[&str]) -> String {
    let near = match near {
        [] => format!("; columns are {}", all.join(", ")),
        [one] => format!("; the nearest is {one}"),
        near => format!("; near ones are {}", near.join(", ")),
    };
    say(format!(
        "The column \"{heading}\" was passed over: nothing here is called so{near}."
    ))
}

/// No column tells lots apart.
pub fn no_lot_column() -> String {
    say("No column is headed \"lot\"; name the columns in the first row, \"lot\" among them.")
}

/// More rows than anybody means.
pub fn too_long(most: usize) -> String {
    say(format!(
        "The table has more than {most} rows; divide it. Nothing was taken."
    ))
}

/// A row without a lot.
pub fn row_without_lot() -> String {
    say("the lot number is missing; type it or leave the row empty.")
}

/// A lot in two rows.
pub fn lot_twice(name: &str) -> String {
    say(format!(
        "lot {name} stands here twice; the first row was taken, join the two."
    ))
}

/// A new lot that is not said what of.
pub fn lot_without_part(name: &str) -> String {
    say(format!(
        "lot {name} is new and its part is missing; name the part."
    ))
}

/// A part that the load does not have.
pub fn no_such_part(part: &str, near: &[String]) -> String {
    let near = match near {
        [] => String::new(),
        near => format!("; near ones are {}", near.join(", ")),
    };
    say(format!(
        "the load has no part \"{part}\"{near}. Add the part first, or correct its name."
    ))
}

/// A lot that the load has of another part.
pub fn lot_of_other_part(lot: &str, of: &str, said: &str) -> String {
    say(format!(
        "lot {lot} is of {of} in this load, and the table says {said}; correct one of them."
    ))
}

/// Not a whole number.
pub fn not_a_count(column: &str, text: &str) -> String {
    say(format!(
        "{column}: \"{text}\" is no count of pieces; type a whole number."
    ))
}

/// Not a state in which lots enter.
pub fn not_a_state(text: &str) -> String {
    say(format!(
        "enters: \"{text}\" is none of green, brown and dry."
    ))
}

/// Neither yes nor no.
pub fn not_an_answer(column: &str, text: &str) -> String {
    say(format!("{column}: \"{text}\" is neither yes nor no."))
}

/// Not a day.
pub fn not_a_day(text: &str) -> String {
    format!("\"{text}\" is no day; write it as year-month-day, for example 2027-03-15.")
}

/// Not a moment.
pub fn not_a_moment(text: &str) -> String {
    format!(
        "\"{text}\" is no day with a time; write both with a space between, for example \
         2027-03-15 14:30."
    )
}

/// A row with more cells than the table has columns.
pub fn row_too_long(cells: usize, columns: usize) -> String {
    say(format!(
        "the row has {cells} cells under {columns} headings: a comma within a number or a name, \
         likely. Put such cells in quotes, or separate the cells by tabs or semicolons."
    ))
}

/// A cell that is not of its quantity.
pub fn cell(column: &str, why: &str) -> String {
    say(format!("{column}: {why}"))
}

/// Wax in another unit.
pub fn wax_unit() -> String {
    "the wax content of a bath is in g/L".to_owned()
}

/// How many lots were taken, and what was not.
pub fn taken(new: usize, changed: usize, faults: usize) -> String {
    say(match faults {
        0 => format!("{new} new lots and {changed} changed ones were taken from the table."),
        _ => format!(
            "{new} new lots and {changed} changed ones were taken from the table; {faults} things \
             were not, see below."
        ),
    })
}

/// One thing that was not taken.
pub fn row(row: usize, sentence: &str) -> String {
    say(format!("Row {row}: {sentence}"))
}
