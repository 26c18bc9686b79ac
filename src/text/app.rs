//! Texts of the window.

use super::say;

/// A label, button or heading.
pub fn label(text: &str) -> String {
    say(text)
}

/// Name of a board's tab for assistive technology.
pub fn tab(board: &str) -> String {
    say(format!("Show the {board}"))
}

/// Undo or redo with its step.
pub fn with_step(command: &str, step: &str) -> String {
    say(format!("{command}: {step}"))
}

/// Title of the window.
pub fn window_title(document: &str) -> String {
    say(format!("{document} – Setterwright"))
}

/// A command that cannot be done now.
pub fn not_now(command: &str) -> String {
    say(format!("\"{command}\" has nothing to work on now."))
}

/// After an undo.
pub fn undone(step: &str) -> String {
    say(format!("Taken back: {step}"))
}

/// After a redo.
pub fn redone(step: &str) -> String {
    say(format!("Done again: {step}"))
}

/// Nothing that could move.
pub fn nothing_to_move() -> String {
    say("Nothing here can be moved: it is locked, or there is no level there.")
}

/// A catalogue without setters.
pub fn no_setter_known() -> String {
    say("The catalogue has no setter; add one to the shop folder.")
}

/// After opening.
pub fn opened(path: &str) -> String {
    say(format!("{path} is open."))
}

/// After saving.
pub fn saved(path: &str) -> String {
    say(format!("Saved as {path}."))
}

/// One message behind another.
pub fn both(first: &str, second: &str) -> String {
    format!("{first} {second}")
}

/// After choosing a shop folder.
pub fn shop_folder(path: &str, carried: Option<&str>) -> String {
    say(match carried {
        None => format!("Judged by the records of {path}."),
        Some(shop) => format!(
            "Judged by the records of {path}; it has no state of a shop, so that of {shop}, which \
             the load carries, stands."
        ),
    })
}

/// The question about unsaved changes.
pub fn unsaved(title: &str) -> String {
    say(format!(
        "{title} has changes that are not on disk. Save them first?"
    ))
}

/// Heading of a typed path.
pub fn path_wanted(what: &str) -> String {
    say(what)
}

/// Why a path has to be typed.
pub fn no_dialog_service() -> String {
    say(
        "The desktop's file dialog gave no path: it was cancelled, or this desktop has no dialog \
         service. Type the path here, or drop the file on the window.",
    )
}

/// What the program is not.
pub fn planner_only() -> String {
    say("Plans only; no safety system. The furnace's written procedure comes first.")
}

/// No level to show.
pub fn no_level() -> String {
    say("There is no level yet. Add one with \"Add a level on top\" in the Level menu.")
}

/// What the plan shows, for assistive technology.
pub fn plan_summary(level: &str, things: usize, zoom: f32) -> String {
    let things = super::count(things, "thing", "things");
    say(format!(
        "Plan of {level}: {things}, {zoom:.1} points a millimetre"
    ))
}

/// A selection that cannot move.
pub fn all_locked() -> String {
    say("What is selected is locked; unlock it first.")
}

/// No finding on a thing.
pub fn no_finding() -> String {
    say("no finding")
}

/// Where a thing stands and its worst finding, for assistive technology.
pub fn placed_at(place: &str, angle_deg: f64, finding: &str) -> String {
    say(format!("at {place}, turned {angle_deg:.1}°, {finding}"))
}

/// A gap while dragging.
pub fn live_gap(gap: &str, stage: &str) -> String {
    say(format!("{gap}, {stage}"))
}

/// A measured distance.
pub fn measured(distance: &str, dx: &str, dy: &str) -> String {
    say(format!("{distance} (x {dx}, y {dy})"))
}

/// A group of findings with their number.
pub fn group(heading: &str, n: usize) -> String {
    say(format!("{heading} ({n})"))
}

/// Number, limit and margin of a finding.
pub fn numbers(value: &str, limit: &str, margin: &str) -> String {
    say(format!("{value} against {limit}; margin {margin}"))
}

/// Parts and coupons.
pub fn pieces(parts: usize, coupons: usize) -> String {
    let coupons = super::count(coupons, "coupon", "coupons");
    say(format!("{parts} + {coupons}"))
}

/// A value and its limit.
pub fn of(value: &str, limit: &str) -> String {
    say(format!("{value} of {limit}"))
}

/// A furnace that the catalogue does not have.
pub fn no_furnace(id: &str) -> String {
    say(format!(
        "The catalogue has no furnace \"{id}\"; choose one under \"Load and furnace\"."
    ))
}

/// A level in the elevation.
pub fn level_from_door(level: &str, things: usize) -> String {
    say(format!(
        "{level} from the door, {}",
        super::count(things, "thing", "things")
    ))
}

/// Height of the hot zone.
pub fn zone_height(height_mm: f64, stretch: f64) -> String {
    if stretch < 1.05 {
        return say(format!("hot zone {height_mm:.0} mm"));
    }
    say(format!(
        "hot zone {height_mm:.0} mm,\nheights × {stretch:.1}"
    ))
}

/// The elevation for assistive technology.
pub fn elevation_summary(levels: usize) -> String {
    say(format!(
        "Hot zone from the door with {}",
        super::count(levels, "level", "levels")
    ))
}

/// Nothing selected.
pub fn nothing_selected() -> String {
    say("Nothing selected. Click a part, or drag a box over several.")
}

/// Several selected.
pub fn selected(n: usize) -> String {
    say(format!("{n} selected"))
}

/// No place left on the level.
pub fn no_free_place() -> String {
    say("No further place on this level keeps the edge margin and the gap limit at this pitch.")
}

/// An array of more copies than are set out at once.
pub fn too_many_copies(copies: usize, most: usize) -> String {
    say(format!(
        "{copies} copies are more than the {most} that are set out at once; nothing was placed. Ask for fewer rows or columns, or a wider pitch."
    ))
}

/// A stack's heading.
pub fn stack(n: usize) -> String {
    say(format!("Stack {n}"))
}

/// A level in the list where all have one kind of setter.
pub fn level_row_short(level: &str, things: usize) -> String {
    say(format!(
        "{level}, {}",
        super::count(things, "thing", "things")
    ))
}

/// A level in the list.
pub fn level_row(level: &str, setter: &str, things: usize) -> String {
    say(format!(
        "{level}, {}: {setter}",
        super::count(things, "thing", "things")
    ))
}

/// A rack slot.
pub fn rack_slot(n: usize) -> String {
    say(format!("rack slot {n}"))
}

/// An item with what is left of it.
pub fn with_stock(name: &str, left: Option<i64>) -> String {
    say(match left {
        Some(left) => format!("{name}, {left} left"),
        None => format!("{name}, stock not known"),
    })
}

/// Places that cannot be read.
pub fn not_points(text: &str) -> String {
    say(format!(
        "\"{text}\" cannot be read as places; write x,y in mm, divided by spaces."
    ))
}

/// A part in the list.
pub fn part_row(name: &str, placed: usize) -> String {
    say(format!("{name}, {placed} placed"))
}

/// The button that places one piece.
pub fn place_one(name: &str) -> String {
    say(format!("Place one {name} on this level"))
}

/// A lot in the list.
pub fn lot_row(name: &str, part: &str, placed: usize, planned: usize, enters: &str) -> String {
    say(format!(
        "{name}: {placed} of {planned} placed, {part}, enters {enters}"
    ))
}

/// How to add a lot.
pub fn choose_part_for_lot() -> String {
    say("Choose a part above to add a lot of it.")
}

/// A row of the table of placements.
pub fn row_of(label: &str) -> String {
    say(format!("Row of {label}"))
}

/// A cell of the table of placements.
pub fn cell_of(name: &str, label: &str) -> String {
    say(format!("{name} of {label}"))
}

/// Minutes as h:mm.
pub fn clock(min: f64) -> String {
    let min = min.round();
    if !(0.0..=1e9).contains(&min) {
        return say("unknown");
    }
    say(format!("{}:{:02}", (min / 60.0).floor(), min % 60.0))
}

/// A field or a button of one segment of the profile.
pub fn of_segment(what: &str, number: usize) -> String {
    say(format!("{what} of segment {number}"))
}

/// Picks a segment.
pub fn select_segment(number: usize) -> String {
    say(format!("Select segment {number}"))
}

/// Place in the program where a segment starts.
pub fn starts_at(clock: &str, temperature: &str) -> String {
    say(format!("{clock}, {temperature}"))
}

/// A point of the curve that can be moved.
pub fn knot(what: &str, number: usize, value: &str) -> String {
    say(format!("{what} of segment {number}, {value}"))
}

/// Where a dragged point is.
pub fn two_values(a: &str, b: &str) -> String {
    say(format!("{a}, {b}"))
}

/// What the cursor is on.
pub fn cursor(clock: &str, setpoint: &str, number: usize, phase: &str) -> String {
    say(format!(
        "{clock} h:mm, {setpoint}, segment {number}, {phase}"
    ))
}

/// The cursor is not over the curve.
pub fn no_cursor() -> String {
    say(
        "Point at the curve to read it. Click for cursor A, Shift-click for B, or type their times (90 min, 1:30).",
    )
}

/// What a time of the program is.
pub fn program_time() -> String {
    say("By the program's clock, which stands still while the program waits.")
}

/// The curve, for assistive technology.
pub fn curve_summary(peak: &str, clock: &str, segments: usize) -> String {
    let segments = super::count(segments, "segment", "segments");
    say(format!(
        "Setpoint curve: {segments}, peak {peak}, {clock} h:mm"
    ))
}

/// A process range of a feedstock.
pub fn process_range(feedstock: &str, what: &str, from_c: f64, to_c: f64) -> String {
    say(format!("{feedstock}: {what} {from_c:.0} to {to_c:.0} °C"))
}

/// A profile without segments.
pub fn no_segments() -> String {
    say("This profile has no segments yet. The curve is drawn once there is one.")
}

/// Why there is no curve.
pub fn no_curve(fault: &str) -> String {
    say(format!("No curve can be drawn. {fault}"))
}

/// Program time and peak over the curve.
pub fn program(clock: &str, peak: &str) -> String {
    say(format!("Program {clock} h:mm, peak {peak}"))
}

/// Full rate, where the furnace's is known.
pub fn full_rate(rate: Option<&str>) -> String {
    match rate {
        Some(rate) => say(format!("furnace: {rate}")),
        None => say("furnace: unknown"),
    }
}

/// At most three digits after the point, none that say nothing.
fn plain(value: f64) -> String {
    let digits = format!("{value:.3}");
    digits
        .trim_end_matches('0')
        .trim_end_matches('.')
        .to_owned()
}

/// A rate that looks typed per hour.
pub fn meant_per_hour(k_min: f64, meant_k_min: f64) -> String {
    let (typed, meant) = (plain(k_min), plain(meant_k_min));
    say(format!(
        "Caution: {typed} K/min: did you mean {typed} K/h = {meant} K/min?"
    ))
}

/// A rate that looks typed per minute and read per hour.
pub fn meant_per_minute(k_min: f64, meant_k_min: f64) -> String {
    let (typed, meant) = (plain(k_min), plain(meant_k_min));
    say(format!(
        "Caution: {typed} K/min = {meant} K/h: did you mean {meant} K/min?"
    ))
}

/// A ramp time that looks meant in hours.
pub fn meant_hours(k_min: f64, min: f64) -> String {
    let (rate, time) = (plain(k_min), plain(min));
    say(format!(
        "Caution: {time} min is {rate} K/min: did you mean {time} h?"
    ))
}

/// A ramp time that looks meant in minutes and read in hours.
pub fn meant_minutes(k_min: f64, min: f64) -> String {
    let (rate, time, meant) = (plain(k_min), plain(min), plain(min / 60.0));
    say(format!(
        "Caution: {time} min is {rate} K/min: did you mean {meant} min?"
    ))
}

/// A target that looks typed in °F.
pub fn meant_fahrenheit(to_c: f64, meant_c: f64) -> String {
    say(format!(
        "Caution: {to_c:.0} °C: did you mean {to_c:.0} °F = {meant_c:.0} °C?"
    ))
}

/// Events of a segment.
pub fn events_of(number: usize) -> String {
    say(format!("Events of segment {number}"))
}

/// Events at one end of a segment, in few words.
pub fn events_at(end: &str, events: &str) -> String {
    say(format!("{end}: {events}"))
}

/// An event with its number.
pub fn event_with(what: &str, value: &str) -> String {
    say(format!("{what} {value}"))
}

/// A backfill.
pub fn backfill(gas: &str, to: &str) -> String {
    say(format!("backfill {gas} to {to}"))
}

/// A field or a button of one event.
pub fn of_event(what: &str, number: usize) -> String {
    say(format!("{what} of event {number}"))
}

/// A gas that is not plumbed in.
pub fn gas_elsewhere(gas: &str) -> String {
    say(format!("{gas} (not at this furnace)"))
}

/// Libraries and drivers of the window on Debian and its relatives.
const WINDOW_PACKAGES: &str = "apt install libx11-6 libxcursor1 libxi6 libxkbcommon-x11-0 \
                               libvulkan1 mesa-vulkan-drivers";

/// No display is named.
pub fn no_display() -> String {
    say(
        "No window: neither WAYLAND_DISPLAY nor DISPLAY names a display. Start it from a desktop \
         session; the review follows here, and --picture draws a board without a display.",
    )
}

/// A display that does not answer.
pub fn display_does_not_answer() -> String {
    say(
        "No window: the display that WAYLAND_DISPLAY or DISPLAY names does not answer. Check the \
         name, or start it from a desktop session; the review follows here.",
    )
}

/// A library of the window system that is not installed.
pub fn library_missing(name: &str) -> String {
    say(format!(
        "No window: the library {name} is not installed. On Debian or Ubuntu: {WINDOW_PACKAGES}. \
         The review follows here."
    ))
}

/// No graphics driver.
pub fn no_graphics_driver() -> String {
    say(format!(
        "No window: no graphics driver was found that can draw it. On Debian or Ubuntu: \
         {WINDOW_PACKAGES}. The review follows here."
    ))
}

/// A fault of the window system that has no sentence of its own.
pub fn window_fault(reason: &str) -> String {
    say(format!(
        "No window: the window system says \"{reason}\". On Debian or Ubuntu this may help: \
         {WINDOW_PACKAGES}. The review follows here."
    ))
}

/// A picture under another name than a PNG file's.
pub fn picture_name(path: &str) -> String {
    say(format!(
        "{path}: a picture is written as a PNG file; end its name in .png."
    ))
}

/// A tightest pitch of something without a size.
pub fn no_size_known() -> String {
    say("The size of this is not known, so there is no tightest pitch.")
}

/// More used than there is.
pub fn short_by(n: i64) -> String {
    say(format!("{n} short"))
}

/// Furniture in the load that the shop's stock does not list.
pub fn not_in_stock(name: &str) -> String {
    say(format!(
        "{name}: in the load, but the shop's stock does not list it."
    ))
}

/// A stack with its levels.
pub fn stack_row(n: usize, levels: usize) -> String {
    say(format!(
        "Stack {n}: {}",
        super::count(levels, "level", "levels")
    ))
}

/// A coordinate of a stack.
pub fn stack_axis(axis: &str, n: usize) -> String {
    say(format!("{axis} of stack {n}"))
}

/// The button that takes a stack away.
pub fn remove_stack(n: usize) -> String {
    say(format!("Remove stack {n} and what stands in it"))
}

/// The button that adds a level to a stack.
pub fn add_level_to(n: usize) -> String {
    say(format!("Add a level to stack {n}"))
}

/// Where stacks are measured from.
pub fn stacks_from_centre() -> String {
    say(
        "Places are those of the setters' centre, from the centre of the hot zone; y away from the door.",
    )
}

/// The button that selects a part's pieces.
pub fn select_pieces(part: &str) -> String {
    say(format!("Select all pieces of {part}"))
}

/// A part that is not placed.
pub fn no_piece(part: &str) -> String {
    say(format!("No piece of {part} is placed."))
}

/// The button that takes a part record away.
pub fn remove_part(part: &str) -> String {
    say(format!("Remove the part record {part}"))
}

/// Which field of a form a sentence is about.
pub fn in_field(field: &str, sentence: &str) -> String {
    say(format!("{field}: {sentence}"))
}

/// Pieces of a lot that cannot be read.
pub fn not_a_count(text: &str) -> String {
    say(format!(
        "\"{text}\" is no number of pieces; write a whole number."
    ))
}

/// Why the part of a lot stays.
pub fn part_of_lot_fixed() -> String {
    say(
        "Pieces of this lot are placed, so it stays of their part; assign them to another lot first.",
    )
}

/// A lot without a piece.
pub fn no_piece_of_lot() -> String {
    say("No piece is assigned to this lot.")
}

/// How to assign a lot.
pub fn select_for_lot() -> String {
    say("Select the pieces of the lot on the plan first.")
}

/// The button that selects a lot's pieces.
pub fn select_lot(lot: &str) -> String {
    say(format!("Select the pieces of lot {lot}"))
}

/// The button that assigns a lot.
pub fn assign_lot(lot: &str) -> String {
    say(format!("Assign the selection to lot {lot}"))
}

/// The button that takes a lot away.
pub fn remove_lot(lot: &str) -> String {
    say(format!("Remove lot {lot}; its pieces stay"))
}

/// A furnace without load thermocouples.
pub fn no_load_thermocouple() -> String {
    say("The furnace's record has no load thermocouple.")
}

/// A load without part records.
pub fn no_part_for_coupon() -> String {
    say("A coupon is made as one of the parts; add a part record first.")
}

/// A declaration with its origin.
pub fn declared(answer: &str, by: &str, on: &str) -> String {
    say(format!("{answer}, declared by {by} on {on}"))
}

/// The button that answers a question.
pub fn declare_as(answer: &str, as_what: &str) -> String {
    say(format!("{answer}: {}", as_what.to_lowercase()))
}

/// The button that declares.
pub fn declare(answer: &str) -> String {
    say(format!("Declare: {answer}"))
}

/// A declaration that nobody makes.
pub fn declaration_needs_name() -> String {
    say("A declaration needs the name of who declares it.")
}

/// A typed value in the document's unit.
pub fn read_back(value: &str) -> String {
    say(format!("= {value}"))
}

/// A target that looks typed in K and read as °C.
pub fn meant_kelvin(to_c: f64, meant_c: f64) -> String {
    say(format!(
        "Caution: {to_c:.0} °C: did you mean {to_c:.0} K = {meant_c:.0} °C?"
    ))
}

/// A target typed in K that looks meant in °C.
pub fn meant_celsius(number: f64, to_c: f64) -> String {
    say(format!(
        "Caution: {number:.0} K is {to_c:.0} °C: did you mean {number:.0} °C?"
    ))
}

/// A hold longer than is typed on purpose.
pub fn long_hold(min: f64) -> String {
    let hours = plain(min / 60.0);
    say(format!("Caution: this hold is {hours} h long."))
}

/// A long hold typed in another unit that looks meant in minutes.
pub fn hold_in_minutes(min: f64, number: f64) -> String {
    let (hours, meant) = (plain(min / 60.0), plain(number));
    say(format!(
        "Caution: this hold is {hours} h long: did you mean {meant} min?"
    ))
}

/// A pressure that looks typed in Pa.
pub fn meant_pascal(mbar: f64, meant_mbar: f64) -> String {
    let (typed, meant) = (plain(mbar), plain(meant_mbar));
    say(format!(
        "Caution: {typed} mbar: did you mean {typed} Pa = {meant} mbar?"
    ))
}

/// A pressure typed in another unit that looks meant in mbar.
pub fn meant_mbar(mbar: f64, number: f64) -> String {
    let (read, meant) = (plain(mbar), plain(number));
    say(format!(
        "Caution: this is {read} mbar: did you mean {meant} mbar?"
    ))
}

/// Why a time cannot be told.
pub fn own_cooling() -> String {
    say("Cools by itself: the profile does not say how long that takes; the forecast does.")
}

/// The stretch of the curve in which the furnace cools by itself.
pub fn own_cooling_of(number: usize) -> String {
    say(format!(
        "segment {number} cools by itself; its time is the forecast's"
    ))
}

/// Program time and peak, where part of the program cools by itself.
pub fn program_and_cooling(clock: &str, peak: &str) -> String {
    say(format!(
        "Program {clock} h:mm without its own cooling, peak {peak}"
    ))
}

/// What both cursors read.
pub fn between(dt: &str, dc: &str, slope: &str) -> String {
    say(format!(
        "From A to B: Δt {dt} h:mm, ΔT {dc}, mean slope {slope}"
    ))
}

/// One cursor.
pub fn cursor_named(name: &str, read: &str) -> String {
    say(format!("{name}: {read}"))
}

/// A cursor after the end of the program.
pub fn after_the_end(clock: &str) -> String {
    say(format!("The program ends at {clock} h:mm."))
}

/// No state of a shop.
pub fn no_shop_state() -> String {
    say(
        "Nothing is known of a shop: choose a shop folder (File menu). Until then what needs its state is not evaluated.",
    )
}

/// A picture of a level that is not there.
pub fn no_such_level(level: usize, levels: usize) -> String {
    say(format!(
        "There is no level {level}: the load has {}, counted from 1 at the hearth.",
        super::count(levels, "level", "levels")
    ))
}

/// A gap to something other than a part while dragging.
pub fn live_gap_to(to: &str, gap: &str, stage: &str) -> String {
    say(format!("{to}: {gap}, {stage}"))
}

/// Stages of two things that differ.
pub fn two_stages(a: &str, b: &str) -> String {
    say(format!("{a} against {b}"))
}

/// A field whose text could not be read.
pub fn not_taken() -> String {
    say("This could not be read; the old value holds. Type again, or press Escape in the field.")
}

/// A file that a save would replace.
pub fn replaces(path: &str) -> String {
    say(format!(
        "{path} is there already and is not the load that is open."
    ))
}

/// A setter as drawn.
pub fn drawn_setter(name: &str) -> String {
    say(format!("Setter: {name}"))
}

/// A post as drawn.
pub fn drawn_post(n: usize, name: &str, carries_next: bool) -> String {
    let what = if carries_next {
        "on the setter, under the next level"
    } else {
        "under the setter"
    };
    say(format!("Post {n} {what}: {name}"))
}

/// The button that opens the poses of a part, for assistive technology.
pub fn lay(part: &str) -> String {
    say(format!("How {part} rests: choose its pose"))
}

/// Why an outline with a mass cannot be laid another way.
pub fn rests_as_typed() -> String {
    say("Known by its outline and its mass alone, it rests as typed.")
}

/// What a printed part is filled with.
pub fn infill(word: &str) -> String {
    say(match word {
        "open" => "lattice, open outwards",
        "closed" => "lattice in a closed shell",
        other => other,
    })
}

/// What the shop sets was changed.
pub fn shop_changed() -> String {
    say("Kept in the shop folder; the load is judged by it from now on.")
}
