//! Sentences about files that cannot be read or written: what, where, what to do.

use super::{count, did_you_mean, figure, say};

/// A fault with the file it is about.
pub fn in_file(file: &str, sentence: &str) -> String {
    say(format!("{file}: {sentence}"))
}

/// A fault of a load that has no file yet.
pub fn in_this_load(sentence: &str) -> String {
    in_file("this load", sentence)
}

/// A number that cannot be.
pub fn correct_it(reason: &str) -> String {
    format!("{reason}; correct it.")
}

/// A program without its own shop.
pub fn no_shop_state() -> String {
    "it has no state of a shop".to_owned()
}

/// Nowhere to write to.
pub fn no_such_folder() -> String {
    "there is no such folder".to_owned()
}

/// The file to be written is the one that is read.
pub fn is_read_from() -> String {
    "it is the load that is read, which would be lost; give another name".to_owned()
}

/// A file where a folder is to be made.
pub fn file_in_the_way() -> String {
    "a file has that name; give another name for the folder".to_owned()
}

/// A fault at a place in a text file.
pub fn at(line: usize, column: usize, sentence: &str) -> String {
    format!("line {line}, column {column}: {sentence}")
}

/// Nothing under that name.
pub fn not_found() -> String {
    "there is no such file; check the name and the folder.".to_owned()
}

/// The system does not let us.
pub fn denied() -> String {
    "this user may not read or write it; change its permissions or choose another place.".to_owned()
}

/// A folder.
pub fn directory() -> String {
    "this is a folder; choose a file in it.".to_owned()
}

/// A file or a pipe where a folder belongs.
pub fn not_a_folder() -> String {
    "this is not a folder; name the folder that holds the shop's files.".to_owned()
}

/// A pipe, a device, a socket.
pub fn not_regular() -> String {
    "this is a pipe or a device, not a file on a disk; choose a file.".to_owned()
}

/// Beyond the size cap.
pub fn too_large(bytes: u64, cap: u64) -> String {
    let mb = |bytes: u64| bytes.div_ceil(1_000_000);
    format!(
        "it has {} MB and at most {} MB are read; check that it is the right file.",
        mb(bytes),
        mb(cap)
    )
}

/// No bytes, or nothing but white space.
pub fn empty() -> String {
    "it is empty; choose another file or a copy of this one.".to_owned()
}

/// NUL bytes.
pub fn binary() -> String {
    "this is not a text file: it holds zero bytes; choose another file or a copy of this one."
        .to_owned()
}

/// UTF-16.
pub fn utf16() -> String {
    "this is UTF-16 text; save it again as UTF-8.".to_owned()
}

/// Bytes that are no UTF-8.
pub fn not_utf8(byte: usize) -> String {
    format!("byte {byte} (counted from 0) is not UTF-8 text; save the file again as UTF-8.")
}

/// Any other failure to read.
pub fn unreadable(reason: &str) -> String {
    format!("it could not be read ({reason}); try again or choose a copy.")
}

/// Text without a head.
pub fn no_kind() -> String {
    "this is not one of our files: it does not begin with a kind and a version; choose another \
     file."
        .to_owned()
}

/// A file of another known kind.
pub fn other_kind(found: &str, wanted: &str) -> String {
    format!("this is a {found} file, not a {wanted}; choose a {wanted} file.")
}

/// A kind nobody knows.
pub fn unknown_kind(found: &str, wanted: &str) -> String {
    format!("its kind \"{found}\" is unknown; choose a {wanted} file.")
}

/// Written by a newer program.
pub fn newer(version: u32, reads: u32) -> String {
    format!(
        "it was written by a newer version ({version}); this one reads up to {reads}, so open it \
         with the newer program."
    )
}

/// A version before the first.
pub fn no_such_version(version: u32) -> String {
    format!("version {version} of this kind of file never was; correct the version.")
}

/// Not the grammar.
pub fn syntax(reason: &str) -> String {
    let reason = lower_first(reason);
    format!("this cannot be read: {reason}; correct it or open a copy.")
}

/// Another type than the field has.
pub fn wrong_type(reason: &str) -> String {
    let reason = lower_first(reason);
    format!("wrong kind of value: {reason}; correct it.")
}

/// A field that the record does not have.
pub fn unknown_field(found: &str, inside: Option<&str>, candidates: &[String]) -> String {
    let inside = inside.map(|i| format!(" of {i}")).unwrap_or_default();
    match candidates {
        [] => format!("there is no field \"{found}\"{inside}; remove it or correct its name."),
        _ => format!(
            "there is no field \"{found}\"{inside}{}",
            did_you_mean(candidates)
        ),
    }
}

/// A word that is none of a choice.
pub fn unknown_word(found: &str, known: &[String]) -> String {
    format!(
        "\"{found}\" is none of the words possible here; write one of: {}.",
        known.join(", ")
    )
}

/// A field that must be there.
pub fn missing_field(field: &str, inside: Option<&str>) -> String {
    let inside = inside.map(|i| format!(" of {i}")).unwrap_or_default();
    format!("the field \"{field}\"{inside} is missing before this place; add it.")
}

/// A field twice.
pub fn repeated_field(field: &str) -> String {
    format!("the field \"{field}\" stands here twice; remove one.")
}

/// Nested beyond the reader's limit.
pub fn too_deep() -> String {
    "brackets are nested deeper than any of our files; correct it or open a copy.".to_owned()
}

/// The text stops too early.
pub fn cut_off() -> String {
    "the file stops too early, so it was cut off; open a copy.".to_owned()
}

/// NaN, infinity, or beyond f64.
pub fn not_finite(text: &str) -> String {
    format!("{text} is not a finite number; write one.")
}

/// A value that cannot be, with the path of its field.
pub fn bad_value(place: &str, reason: &str) -> String {
    format!("{place}: {reason}")
}

/// Not above zero.
pub fn not_positive(value: f64) -> String {
    format!("{} must be a number above zero; correct it.", figure(value))
}

/// Below zero.
pub fn negative(value: f64) -> String {
    format!("{} must be zero or more; correct it.", figure(value))
}

/// Out of a range.
pub fn beyond(value: f64, most: f64, unit: &str) -> String {
    format!(
        "{} {unit} is beyond {most} {unit}; correct it.",
        figure(value)
    )
}

/// Not a day.
pub fn not_a_day(text: &str) -> String {
    format!("\"{text}\" is no day; write it as year-month-day, for example 2027-03-15.")
}

/// Not a time of day.
pub fn not_a_time(text: &str) -> String {
    format!("\"{text}\" is no time of day; write it as hour:minute, for example 06:30.")
}

/// Not a day with a time.
pub fn not_a_moment(text: &str) -> String {
    format!(
        "\"{text}\" is no day with a time; write it as year-month-day hour:minute, for example \
         2027-03-15 06:30."
    )
}

/// The lower end above the upper.
pub fn range_turned_round(least: f64, most: f64) -> String {
    format!("{least} to {most} is turned round; write the smaller figure first.")
}

/// Too many of something.
pub fn too_many(found: usize, most: usize, what: &str) -> String {
    format!("{found} {what} are more than the {most} allowed; divide or simplify it.")
}

/// Too few of something.
pub fn too_few(found: usize, least: usize, what: &str) -> String {
    format!("{found} {what} are fewer than the {least} needed; correct it.")
}

/// A fine outline that is not of its slab.
pub fn fine_elsewhere() -> String {
    "a fine outline must lie within the outline of its slab and close to it; import the mesh again."
        .to_owned()
}

/// A slab that is none, or slabs out of order.
pub fn bad_slab() -> String {
    "slabs must rise from the bottom up, each with its top above its underside; import the mesh \
     again."
        .to_owned()
}

/// A ring turned the wrong way.
pub fn ring_sense() -> String {
    "outer rings run counter-clockwise and holes clockwise; import the mesh again.".to_owned()
}

/// A mesh part without what was measured of it.
pub fn no_geometry() -> String {
    "a part from a mesh needs its geometry, so that it opens without the mesh; import the mesh \
     again."
        .to_owned()
}

/// Not the direction that is down.
pub fn bad_rest() -> String {
    "this says which way is down in the axes of the drawing, as x, y and z of length 1; leave it \
     out for as drawn."
        .to_owned()
}

/// Neither a shape nor a mass.
pub fn outline_without_mass() -> String {
    "a part known by its outline only needs the mass of a piece; add weighed.".to_owned()
}

/// A typed part with a geometry.
pub fn typed_geometry() -> String {
    "a typed shape is measured anew on opening; remove the geometry.".to_owned()
}

/// A mesh where only a typed shape may stand.
pub fn mesh_dummy() -> String {
    "a dummy mass has a typed shape, not a mesh; write block, disc, tube or prism.".to_owned()
}

/// A shape, mesh or outline that cannot be measured.
pub fn bad_shape(fault: &str) -> String {
    let fault = lower_first(fault);
    let end = if fault.ends_with('.') { "" } else { "." };
    format!("the shape is not usable: {fault}{end}")
}

/// A lot of another part.
pub fn lot_of_another_part(lot: u32) -> String {
    format!("lot {lot} is of another part; choose a lot of the same part.")
}

/// A number used twice.
pub fn repeated_id(what: &str, id: u32) -> String {
    format!("{what} number {id} is used twice; give one of them another number.")
}

/// A number the counter has not reached.
pub fn id_not_below_next(what: &str, id: u32, next_id: u32) -> String {
    format!(
        "{what} number {id} is not below next_id ({next_id}); set next_id above every number used."
    )
}

/// A record twice.
pub fn repeated_record(kind: &str, id: &str) -> String {
    format!("{kind} \"{id}\" stands there twice; remove one.")
}

/// A record in two files.
pub fn repeated_across(kind: &str, id: &str, first: &str) -> String {
    format!("{kind} \"{id}\" stands in {first} too; remove one.")
}

/// Something pointed to that is not in the file.
pub fn no_such(what: &str, id: &str, candidates: &[String]) -> String {
    match candidates {
        [] => format!("there is no {what} \"{id}\"; add it or choose another."),
        _ => format!("there is no {what} \"{id}\"{}", did_you_mean(candidates)),
    }
}

/// A replacement that does not say what it replaces.
pub fn unsaid_replacement(kind: &str, id: &str, revision: u32) -> String {
    format!(
        "{kind} \"{id}\" replaces a built-in record without saying so; add \
         replaces_revision: {revision} once it is held against that one."
    )
}

/// The built-in catalogue is broken.
pub fn broken_build(reason: &str) -> String {
    format!("the built-in catalogue cannot be read ({reason}); install the program again.")
}

/// No room on the disk.
pub fn disk_full() -> String {
    "the disk is full, and the old file is as it was; make room or save elsewhere.".to_owned()
}

/// Any other failure to write.
pub fn not_written(reason: &str) -> String {
    format!("it could not be written ({reason}), and nothing was changed; save elsewhere.")
}

/// A link to nothing.
pub fn dangling() -> String {
    "this is a link that leads nowhere; mend the link or save elsewhere.".to_owned()
}

/// Another file would be lost.
pub fn not_ours(wanted: &str) -> String {
    format!("there is a file of that name that is not a {wanted}; save under another name.")
}

/// What is to be saved would not open again.
pub fn would_not_open(reason: &str) -> String {
    format!("nothing was written, because it would not open again: {reason}")
}

/// A mesh format that is not read.
pub fn mesh_format(extension: &str) -> String {
    let named = match extension {
        "" => "a file without an ending".to_owned(),
        other => format!("\".{other}\""),
    };
    format!("{named} is not read; export the part as STL, OBJ or 3MF.")
}

/// What a damaged journal lost.
pub fn journal_dropped(bytes: u64) -> String {
    let bytes = count(
        usize::try_from(bytes).unwrap_or(usize::MAX),
        "byte",
        "bytes",
    );
    say(format!(
        "{bytes} at the end could not be read and were left out; the steps before are there."
    ))
}

fn lower_first(text: &str) -> String {
    let mut chars = text.chars();
    match chars.next() {
        Some(first) => first.to_lowercase().chain(chars).collect(),
        None => String::new(),
    }
}

/// Not a SHA-256.
pub fn bad_hash() -> String {
    "this is no SHA-256; write 64 digits 0-9 and a-f.".to_owned()
}

/// Not an origin.
pub fn no_such_origin(word: &str) -> String {
    format!("\"{word}\" is no origin; write built-in, shop or load.")
}

/// A snapshot that is not what was appended.
pub fn journal_changed() -> String {
    "its bytes have changed since they were written".to_owned()
}

/// A standard load without a usable name.
pub fn standard_without_name() -> String {
    say("A standard load needs a name with a letter or a digit; write one.")
}

/// A standard load whose name is taken.
pub fn standard_taken(name: &str) -> String {
    say(format!(
        "A standard of the name \"{name}\" exists; choose another name."
    ))
}

/// A limit whose value cannot be: beyond an end in its unit.
pub fn limit_cannot_be(given: &str, end: f64, unit: &str) -> String {
    let side = if end <= 0.0 { "least" } else { "most" };
    let end = format!("{} {unit}", figure(end));
    let end = end.trim_end();
    say(format!(
        "{given} cannot be: at {side} {end} is possible (a share is written as 0.8, not as 80); \
         correct the value."
    ))
}

/// A limit in a unit that the checks do not read it in.
pub fn limit_unit(given: &str, wanted: &str) -> String {
    let name = |unit: &str| match unit {
        "" => "no unit".to_owned(),
        unit => format!("\"{unit}\""),
    };
    say(format!(
        "the unit is {}, and the checks read this limit in {}; convert the value and write that unit.",
        name(given),
        name(wanted)
    ))
}

/// A safety check that a shop would switch off.
pub fn safety_stays(check: &str) -> String {
    say(format!(
        "{check} is a safety check: it is neither switched off nor lowered. Take the setting out."
    ))
}

/// A check that is switched off without a word.
pub fn no_reason(check: &str) -> String {
    say(format!(
        "{check} is switched off or lowered without a reason or a name; write who decided it and why."
    ))
}

/// A shop's file that is not as it was read.
pub fn changed_on_disk() -> String {
    "it was changed since it was read; read the shop folder again, then make the change again."
        .to_owned()
}

/// A shop's file that cannot be written anew without loss.
pub fn notes_between() -> String {
    "there are notes between its records, which writing it anew would lose; change it there by \
     hand."
        .to_owned()
}

/// A reset of a limit that the file does not have.
pub fn limit_not_own() -> String {
    "the shop has not set it; there is nothing to reset.".to_owned()
}

/// A reset of a limit that nobody else sets.
pub fn limit_without_default() -> String {
    "nobody else sets it, so there is nothing to go back to; set a value.".to_owned()
}

/// An attempt to change what comes with the program.
pub fn limit_built_in() -> String {
    "what comes with the program stays; set it for the shop, a furnace, an alloy, a feedstock or \
     a customer."
        .to_owned()
}

/// A limit that nobody stands for.
pub fn limit_without_reason() -> String {
    "say who sets it and why.".to_owned()
}
