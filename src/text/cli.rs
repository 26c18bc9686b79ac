//! What the command line prints.

use super::{count, figure_to, say};

/// A picture's size that cannot be used.
pub fn bad_size(most: usize) -> String {
    say(format!(
        "a size is width x height in pixels, each from 1 to {most}, such as 1280x720"
    ))
}

/// Heading of a review.
pub fn review_head(title: &str) -> String {
    say(format!("Review of \"{title}\""))
}

/// Heading of the stops.
pub fn fix_before_start() -> String {
    say("Fix before start")
}

/// Heading of the cautions.
pub fn look_at() -> String {
    say("Look at")
}

/// Heading of the notes.
pub fn for_information() -> String {
    say("For information")
}

/// Heading of the accepted findings.
pub fn accepted() -> String {
    say("Accepted")
}

/// Heading of what was not evaluated.
pub fn not_evaluated() -> String {
    say("Not evaluated")
}

/// The word beside a stop.
pub fn stop() -> String {
    say("STOP   ")
}

/// The word beside a caution.
pub fn caution() -> String {
    say("CAUTION")
}

/// The word beside a note.
pub fn note() -> String {
    say("NOTE   ")
}

/// A mass in a state, as a row's name.
pub fn mass_in(state: &str) -> String {
    format!("mass {state}")
}

/// A size at a stage, as a row's name.
pub fn size_at(stage: &str) -> String {
    format!("size {stage}")
}

/// The parts in a state, as a row's name.
pub fn parts_in(state: &str) -> String {
    format!("parts {state}")
}

/// The body that stands in for a mesh, mm³.
pub fn body(slabs: usize, volume_mm3: f64) -> String {
    format!(
        "{}, {} mm³",
        count(slabs, "slab", "slabs"),
        figure_to(volume_mm3, 3)
    )
}

/// What a level holds.
pub fn level_sums(parts: usize, on_plate: &str, filled: &str) -> String {
    format!(
        "{}, {on_plate} on the plate, {filled}",
        count(parts, "part", "parts")
    )
}

/// Why it matters.
pub fn why(text: &str) -> String {
    say(format!("Why: {text}"))
}

/// What to do.
pub fn remedy(text: &str) -> String {
    say(format!("Do:  {text}"))
}

/// A limit with its owner.
pub fn limit(
    name: &str,
    shown: &str,
    set_by: &str,
    source: &str,
    revision: u32,
    assumed: bool,
) -> String {
    let assumed = if assumed { ", assumed" } else { "" };
    say(format!(
        "Limit: {name} {shown}{assumed}; set by {set_by}, revision {revision}; {source}"
    ))
}

/// A limit that stands in a record: the record's name, the field and its value.
pub fn limit_of_record(
    (record, field, value): (&str, &str, &str),
    source: &str,
    assumed: bool,
) -> String {
    let assumed = if assumed { ", assumed" } else { "" };
    say(format!(
        "Limit of the record {record}: {field} {value}{assumed}; {source}"
    ))
}

/// A limit that stands in the state of the shop.
pub fn limit_of_shop(field: &str) -> String {
    say(format!("Limit: by the state of the shop, {field}"))
}

/// What is set for a check in a narrower scope.
pub fn set_for(whose: &str, what: &str, reason: &str, who: &str) -> String {
    say(format!("Set {whose}: {what}, {reason}{who}"))
}

/// Who took a finding on, in which role; with a procedure and its revision it is done under that.
pub fn accepted_by(
    by: &str,
    role: Option<&str>,
    on: &str,
    reason: &str,
    procedure: Option<(&str, &str)>,
) -> String {
    let who = role.map_or_else(|| by.to_owned(), |role| format!("{by} ({role})"));
    say(match procedure {
        Some((name, revision)) => {
            format!(
                "Done under procedure {name} rev {revision}, accepted by {who} on {on}: {reason}"
            )
        }
        None => format!("Accepted by {who} on {on}: {reason}"),
    })
}

/// Heading of what a shop has made of its checks.
pub fn changed_checks() -> String {
    say("Changed by the shop")
}

/// A check that the shop switched on or off, or gave another severity, and why.
pub fn changed(check: &str, whose: &str, what: &str, reason: &str, who: &str) -> String {
    say(format!("{check}, {whose}: {what}, {reason}{who}"))
}

/// For which things alone it is set, behind who set it.
pub fn set_for_alone(who: &str, whose: &str) -> String {
    say(format!("{who}, set {whose}"))
}

/// Who set it and when, behind a reason.
pub fn who_and_when(by: &str, on: &str) -> String {
    let by = match by.trim().is_empty() {
        true => say("nobody is named"),
        false => by.to_owned(),
    };
    match on.is_empty() {
        true => format!(" ({by})"),
        false => format!(" ({by}, {on})"),
    }
}

/// One thing that was not evaluated.
pub fn missing(check: &str, about: &str, what: &str) -> String {
    if about.is_empty() {
        return say(format!("{check}: missing is {what}"));
    }
    say(format!("{check}, {about}: missing is {what}"))
}

/// What a review came to. Never "safe".
pub fn summary(
    stops: usize,
    taken_on: usize,
    checks: usize,
    conditions: usize,
    [not_evaluated, of_safety]: [usize; 2],
    off: usize,
) -> String {
    let safety = match of_safety {
        0 => String::new(),
        n => format!(" ({})", count(n, "safety condition", "safety conditions")),
    };
    let looked = looked_at(checks, conditions);
    let open = match stops {
        0 if taken_on > 0 => "No open stop found".to_owned(),
        0 => "No stop found".to_owned(),
        n => format!("{} found", count(n, "stop", "stops")),
    };
    let taken = match taken_on {
        0 => String::new(),
        n => format!(", {} accepted by somebody", count(n, "stop", "stops")),
    };
    say(format!(
        "{open} by {looked}{taken}: {not_evaluated} not evaluated{safety}, {off} more switched off."
    ))
}

fn looked_at(checks: usize, conditions: usize) -> String {
    format!(
        "{} of {}",
        count(checks, "check", "checks"),
        count(conditions, "condition", "conditions")
    )
}

/// What the program is not.
pub fn planner_only() -> String {
    say(
        "Setterwright plans; it is no safety system. Follow the furnace's written procedure, local \
         codes and licensed people.",
    )
}

/// Unit of a file that states it.
pub fn own_unit() -> &'static str {
    "its own unit"
}

/// Heading of a measurement.
pub fn measured(file: &str, unit: &str, drawn: &str) -> String {
    // "in in" reads like a slip.
    let unit = if unit == "in" { "inches" } else { unit };
    say(format!("{file}, read in {unit}, drawn at {drawn} size"))
}

/// Which body of a file was measured.
pub fn body_of(body: usize, bodies: usize, name: Option<&str>) -> String {
    match name {
        Some(name) => format!("{body} of {bodies}, \"{name}\""),
        None => format!("{body} of {bodies}"),
    }
}

/// Several bodies measured as one.
pub fn as_one(bodies: usize) -> String {
    format!("{bodies}, measured as one part; --body all measures each")
}

/// What names a body.
pub fn body_number() -> String {
    say("a body is named by its number from 1, or all")
}

/// A row of a name and a value.
pub fn row(name: &str, value: &str) -> String {
    say(format!("{name}: {value}"))
}

/// An open mesh.
pub fn volume_not_trusted(open_edges: usize) -> String {
    let edges = count(open_edges, "edge is", "edges are");
    say(format!("The volume is not to be trusted: {edges} open."))
}

/// A mesh whose shells cross; none if whether they do was not looked at.
pub fn shells_cross(shells: Option<usize>) -> String {
    let text = super::meshes::crossing(shells);
    let mut chars = text.chars();
    let first = chars.next().map(|c| c.to_ascii_uppercase());
    say(first
        .into_iter()
        .chain(chars)
        .chain(['.'])
        .collect::<String>())
}

/// What was mended in a mesh; none if nothing was.
pub fn mended(
    welded: usize,
    split: usize,
    dropped: usize,
    turned: usize,
    shells: usize,
) -> Option<String> {
    let parts = [
        (welded, count(welded, "point welded", "points welded")),
        (
            split,
            count(
                split,
                "triangle split at a corner on its edge",
                "triangles split at a corner on their edge",
            ),
        ),
        (
            dropped,
            count(
                dropped,
                "doubled or collapsed triangle left out",
                "doubled or collapsed triangles left out",
            ),
        ),
        (turned, count(turned, "triangle turned", "triangles turned")),
        (
            shells,
            count(
                shells,
                "inside-out shell turned",
                "inside-out shells turned",
            ),
        ),
    ];
    let said: Vec<String> = parts
        .into_iter()
        .filter(|(n, _)| *n > 0)
        .map(|(_, text)| text)
        .collect();
    (!said.is_empty()).then(|| said.join(", "))
}

/// In the place of a value.
pub fn not_evaluated_word() -> String {
    "not evaluated".to_owned()
}

/// A length with where it is.
pub fn with_place(length: &str, place: &str) -> String {
    format!("{length}, about {place}")
}

/// Row: the largest ball inside.
pub fn governing_section() -> String {
    "governing section".to_owned()
}

/// Row: the smallest ball between two walls.
pub fn thinnest_section() -> String {
    "thinnest section found".to_owned()
}

/// Row: governing over thinnest.
pub fn section_ratio() -> String {
    "governing over thinnest".to_owned()
}

/// Row: faces that look down.
pub fn overhang_area() -> String {
    "overhang, not carried from below".to_owned()
}

/// Row: how far a face reaches into the air.
pub fn overhang_reach() -> String {
    "farthest reach of an overhang".to_owned()
}

/// Row: the longest bridge.
pub fn free_span() -> String {
    "longest free span".to_owned()
}

/// Row: area, line, point or nothing.
pub fn rests_on() -> String {
    "rests on".to_owned()
}

/// Row: least width of the support polygon.
pub fn foot_width() -> String {
    "least width of the foot".to_owned()
}

/// Row: tilt at which it tips, as drawn or at a stage.
pub fn tip_angle(stage: Option<&str>) -> String {
    match stage {
        Some(stage) => format!("tip angle {stage}"),
        None => "tip angle as drawn".to_owned(),
    }
}

/// Row: the governing section in the state in which binder leaves.
pub fn green_section() -> String {
    "governing section at green size".to_owned()
}

/// A mesh that cannot be measured.
pub fn mesh(file: &str, fault: &str) -> String {
    say(format!("{file}: {fault}"))
}

/// Heading of a tally.
pub fn tally_head(title: &str, furnace: &str) -> String {
    say(format!("Tally of \"{title}\" in {furnace}"))
}

/// A share that is not known.
pub fn unknown() -> String {
    say("unknown")
}

/// Binder that rests on a target instead of a weighing.
pub fn extraction_assumed(pieces: usize) -> String {
    let pieces = count(pieces, "piece", "pieces");
    say(format!(
        "assumed: the feedstock's extraction target for {pieces} without weighings"
    ))
}

/// Things left out of the sums.
pub fn not_counted(things: usize) -> String {
    say(format!(
        "not counted, for want of records or a mass: {}",
        count(things, "thing", "things")
    ))
}

/// A script that failed.
pub fn script(file: &str, fault: &str) -> String {
    say(format!("{file}, {fault} Nothing was written."))
}

/// A load that is where another is to be written.
pub fn already_there(file: &str) -> String {
    say(format!(
        "{file} is there already, and nothing was changed: give another name with -o, or --overwrite to write over it."
    ))
}

/// The answer cannot be put out.
pub fn output_failed() -> String {
    say("The answer could not be written to the output.")
}

/// A load that was written.
pub fn written(steps: usize, file: &str) -> String {
    say(format!(
        "{} made; {file} is written.",
        count(steps, "edit", "edits")
    ))
}

/// JSON that cannot be made.
pub fn json(fault: &str) -> String {
    say(format!("The answer cannot be written as JSON: {fault}"))
}

/// Two loads on the command line.
pub fn two_loads(a: &str, b: &str) -> String {
    say(format!("{a} and {b}: one load at a time; name one."))
}

/// Meshes named where there is no window to read them into.
pub fn meshes_need_the_window(n: usize) -> String {
    say(format!(
        "{} left alone: without the window, `edit --script` reads meshes into a load.",
        count(n, "mesh file is", "mesh files are")
    ))
}

/// Heading of the checks that are switched off.
pub fn switched_off() -> String {
    say("Switched off")
}

/// A check that is switched off, and why.
pub fn off(check: &str, reason: Option<&str>, who: &str) -> String {
    match reason {
        Some(reason) => say(format!("{check}: {reason}{who}")),
        None => say(format!("{check}: off by default")),
    }
}

/// Who set a limit, and for whom it holds.
pub fn owner(set_by: &str, whose: &str) -> String {
    format!("{set_by} ({whose})")
}

/// A check of which a part stays on.
pub fn some_of_it_stays(state: &str) -> String {
    say(format!("{state}; what concerns safety stays on"))
}

/// Whether a listed check runs, and why.
pub fn listed_state(
    on: bool,
    safety: bool,
    forecast: bool,
    only_regulated: bool,
    reason: Option<&str>,
    who: &str,
) -> String {
    let state = match (on, safety) {
        (true, _) if only_regulated => "on in a regulated shop alone",
        (_, true) if forecast => "safety check, always on, judged by the forecast",
        (true, _) if forecast => "on, judged by the forecast",
        (_, true) => "safety check, always on",
        (true, false) => "on",
        (false, false) => "off",
    };
    say(match reason {
        Some(reason) => format!("{state}: {reason}{who}"),
        None => state.to_owned(),
    })
}

/// A limit that a check asks for and nobody has set.
pub fn limit_not_set(id: &str) -> String {
    say(format!(
        "Limit: {id} is set by nobody; the check is not evaluated."
    ))
}

/// Under the list of checks.
pub fn listed_total(topics: [usize; 2], conditions: [usize; 2]) -> String {
    let [all, on] = [0, 1].map(|i| looked_at(topics[i], conditions[i]));
    say(format!(
        "{all}; on are {on}. A check is switched or weighed otherwise by its own name, with all its \
         conditions, or by the name of one of them."
    ))
}

/// A check with all its conditions, in a list.
pub fn listed_topic(title: &str, slug: &str) -> String {
    say(format!("{title} [{slug}]"))
}

/// Why sections or overhangs of a mesh are not known.
pub fn why_not_known(open: bool, touching: bool, one_surface: bool) -> String {
    match (open, touching, one_surface) {
        (true, _, _) => "the mesh is open",
        (_, true, _) => "its shells touch or cross; unite them where they were drawn",
        (_, _, true) => "what hangs is carried by nothing that is seen from below",
        _ => {
            "its shells lie within each other's boxes and may cross; unite them where they were \
             drawn"
        }
    }
    .to_owned()
}

/// A figure that is not known, and why.
pub fn not_evaluated_as(why: &str) -> String {
    say(format!("not evaluated: {why}"))
}

/// A governing section that is not known, and why.
pub fn section_not_known(why: &str) -> String {
    say(format!("not evaluated: {why}, or state the section"))
}

/// A check switched off.
pub fn set_off() -> String {
    say("off")
}

/// A check switched on.
pub fn set_on() -> String {
    say("on")
}

/// Checks that wait for a forecast, in one line.
pub fn unforecast(checks: usize) -> String {
    say(format!(
        "{}: missing is {}",
        count(checks, "check", "checks"),
        super::missing::forecast()
    ))
}
