//! Words of the library and of importing.

use super::{count, say};

/// No shop folder is chosen.
pub fn no_shop_folder() -> String {
    say("Standard loads lie in the shop folder, and none is chosen yet.")
}

/// A shop folder without standards.
pub fn no_standard() -> String {
    say("There is no standard load in this shop folder yet. Save the open load as one.")
}

/// Where standards lie.
pub fn lies_in(path: &str) -> String {
    say(format!("In {path}"))
}

/// While they are read.
pub fn reading() -> String {
    say("The standard loads are being read.")
}

/// Heading of the changes.
pub fn changed_since(standard: &str) -> String {
    say(format!("Changed since the standard: {standard}"))
}

/// No change.
pub fn nothing_changed() -> String {
    say("Nothing: set out and fired as the standard is.")
}

/// The standard that a load began from cannot be read.
pub fn standard_gone(why: &str) -> String {
    say(format!(
        "The standard that this load began from cannot be read, so what was changed since is not known. {why}"
    ))
}

/// What a load from a standard still wants.
pub fn left_to_fill(pieces: usize) -> String {
    match pieces {
        0 => say("Every piece has its lot."),
        n => say(format!(
            "Left to fill in: lots and counts; {} without a lot.",
            count(n, "piece is", "pieces are")
        )),
    }
}

/// After beginning from a standard.
pub fn started(standard: &str, pieces: usize) -> String {
    say(format!(
        "A new load from {standard}. Lots and counts are left to fill in for {}.",
        count(pieces, "piece", "pieces")
    ))
}

/// The button of a card, for assistive technology.
pub fn start_from(standard: &str) -> String {
    say(format!("Start a load from this: {standard}"))
}

/// What a card's picture shows.
pub fn picture(standard: &str, level: &str, things: usize) -> String {
    let things = count(things, "thing", "things");
    say(format!("{standard}: {level} with {things}"))
}

/// Alloys of a standard.
pub fn alloys(names: &str) -> String {
    say(format!("Alloy: {names}"))
}

/// Furnace of a standard.
pub fn furnace(name: &str) -> String {
    say(format!("Furnace: {name}"))
}

/// Pieces and levels of a standard.
pub fn parts_on_levels(parts: usize, levels: usize) -> String {
    say(format!(
        "{} on {}",
        count(parts, "part", "parts"),
        count(levels, "level", "levels")
    ))
}

/// Area fill.
pub fn area_fill(shown: &str) -> String {
    say(format!("Area fill {shown}"))
}

/// Length of the program.
pub fn program(shown: &str) -> String {
    say(format!("Program {shown}"))
}

/// Hours.
pub fn hours(hours: f64) -> String {
    format!("{hours:.1}\u{a0}h")
}

/// A figure that is not known.
pub fn unknown() -> String {
    "unknown".to_owned()
}

/// After saving a standard.
pub fn standard_saved(path: &str) -> String {
    say(format!("Saved as a standard load: {path}"))
}

/// What a standard leaves out.
pub fn standard_leaves_out() -> String {
    say(
        "Kept: arrangement, part records, profile. Left out: lots, declarations, acceptances and \
         the planned start.",
    )
}

/// A job's name in its sentence.
pub fn listing_job() -> &'static str {
    "list of standard loads"
}

/// A job's name in its sentence.
pub fn import_job() -> &'static str {
    "import"
}

/// The question before an import.
pub fn import_head(files: usize) -> String {
    say(format!(
        "Import {}",
        count(files, "part shape", "part shapes")
    ))
}

/// More files than are named.
pub fn and_more(n: usize) -> String {
    say(format!("and {n} more"))
}

/// The button that begins.
pub fn read_files(n: usize) -> String {
    say(format!("Read {}", count(n, "file", "files")))
}

/// No feedstock to make a part of.
pub fn no_feedstock() -> String {
    say("The catalogue has no feedstock; add one to the shop folder before parts are imported.")
}

/// Progress.
pub fn reading_file(name: &str, share: f64) -> String {
    say(format!("Reading {name}: {:.0} %", share * 100.0))
}

/// After an import.
pub fn imported(parts: usize) -> String {
    say(format!("{} read.", count(parts, "part", "parts")))
}

/// An import that was stopped.
pub fn import_stopped() -> String {
    say("Stopped; no part of these files was added.")
}

/// Heading of the faults of an import.
pub fn not_read(faults: usize, files: usize) -> String {
    say(format!(
        "{} of {} could not be read:",
        count(faults, "file", "files"),
        count(files, "file", "files")
    ))
}

/// A remark about a file that was read.
pub fn remark(file: &str, note: &str) -> String {
    say(format!("{file}: {note}"))
}

/// Heading of a comparison with another load file.
pub fn beside(file: &str) -> String {
    say(format!("The open load against {file}"))
}

/// A card's button for comparing, for assistive technology.
pub fn compare_with(standard: &str) -> String {
    say(format!("Compare the open load with this: {standard}"))
}
