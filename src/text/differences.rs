//! How two loads differ.

use super::say;

/// Heading: the furnace itself.
pub fn whole_run() -> String {
    say("The whole run")
}

/// Heading.
pub fn handling() -> String {
    say("Purge, hydrogen and unloading")
}

/// Heading.
pub fn sinter_heat() -> String {
    say("Sinter heat and cooling")
}

/// Heading.
pub fn binder_removal() -> String {
    say("Binder removal")
}

/// Heading.
pub fn atmosphere() -> String {
    say("Atmosphere")
}

/// Heading.
pub fn size_and_shape() -> String {
    say("Size and shape")
}

/// Heading.
pub fn clearance() -> String {
    say("Clearance")
}

/// Heading.
pub fn stability_and_mass() -> String {
    say("Stability and mass")
}

/// Heading.
pub fn lots_cleared() -> String {
    say("Lots cleared to load")
}

/// Heading: limits, checks, declarations, acceptances.
pub fn judged_by() -> String {
    say("What the review goes by")
}

/// Heading.
pub fn furnace_state() -> String {
    say("Furnace state and stock")
}

/// Heading: names, notes, sources.
pub fn records_only() -> String {
    say("Records only")
}

/// One value instead of another.
pub fn instead(what: &str, now: &str, before: &str) -> String {
    say(format!("{what}: {now}, was {before}"))
}

/// Something that was not there.
pub fn added(what: &str) -> String {
    say(format!("{what} added"))
}

/// Something that is gone.
pub fn removed(what: &str) -> String {
    say(format!("{what} removed"))
}

/// A level with what stands on it.
pub fn level_with(level: &str, setter: &str, things: &[String]) -> String {
    if things.is_empty() {
        return format!("{level} ({setter}, empty)");
    }
    format!("{level} ({setter}, with {})", things.join(", "))
}

/// Something else than before, where the two have no short name.
pub fn changed(what: &str, which: &str) -> String {
    say(format!("{what}: {which} changed"))
}

/// A property of something; a heading of [`instead`].
pub fn of(what: &str, which: &str) -> String {
    format!("{what}, {which}")
}

/// One thing moved on its level.
pub fn moved(what: &str, by: &str, now: &str, before: &str) -> String {
    say(format!("{what} moved by {by}: at {now}, was {before}"))
}

/// Several things of a name moved on their levels.
pub fn moved_many(what: &str, most: &str) -> String {
    say(format!("{what} moved, by {most} at most"))
}

/// On another level.
pub fn to_level(what: &str, now: &str, before: &str) -> String {
    say(format!("{what} now on {now}, was on {before}"))
}

/// A level elsewhere in the stacks, with what stands on it.
pub fn level_moved(now: &str, before: &str) -> String {
    say(format!("{now} was {before}"))
}

/// Several things of a name turned.
pub fn turned_many(what: &str) -> String {
    say(format!("{what} turned"))
}

/// Something else in the same place.
pub fn replaced(what: &str, before: &str) -> String {
    say(format!("{what} in the place of {before}"))
}

/// Several things of a name.
pub fn several(n: usize, name: &str) -> String {
    format!("{n} × {name}")
}

/// Something on a level.
pub fn on(what: &str, level: &str) -> String {
    format!("{what} on {level}")
}

/// A segment by its number.
pub fn segment(number: usize) -> String {
    format!("Segment {number}")
}

/// A hold in the debind or the sinter range by its number there.
pub fn hold(debind: bool, number: usize) -> String {
    format!("{} hold {number}", if debind { "Debind" } else { "Sinter" })
}

/// A hold with its segment.
pub fn in_segment(hold: &str, segment: usize) -> String {
    format!("{hold} (segment {segment})")
}

/// A name, and what it was in the other load.
pub fn was_named(now: &str, before: &str) -> String {
    format!("{now} (there {before})")
}

/// A part record.
pub fn part(name: &str) -> String {
    format!("Part {name}")
}

/// A lot.
pub fn lot(name: &str) -> String {
    format!("Lot {name}")
}

/// A stack by its number.
pub fn stack(number: usize) -> String {
    format!("Stack {number}")
}

/// A declaration.
pub fn declaration(question: &str) -> String {
    format!("Declaration {question}")
}

/// An acceptance.
pub fn acceptance(check: &str) -> String {
    format!("Acceptance of {check}")
}

/// The furnace.
pub fn furnace() -> String {
    "Furnace".to_owned()
}

/// The title of the load.
pub fn title() -> String {
    "Title".to_owned()
}

/// The note of the load.
pub fn note() -> String {
    "Note".to_owned()
}

/// The planned start.
pub fn planned_start() -> String {
    "Planned start".to_owned()
}

/// Time of day of the planned start.
pub fn planned_start_time() -> String {
    "time of the planned start".to_owned()
}

/// Charge for which a standard was tried.
pub fn charge_tried() -> String {
    "charge for which it was tried".to_owned()
}

/// Signatures.
pub fn signatures() -> String {
    "signatures".to_owned()
}

/// The standard load that it began from.
pub fn begun_from() -> String {
    "Begun from".to_owned()
}

/// The profile.
pub fn profile() -> String {
    "Profile".to_owned()
}

/// No gas.
pub fn vacuum() -> String {
    "vacuum".to_owned()
}

/// Pressure that is not controlled.
pub fn not_controlled() -> String {
    "not controlled".to_owned()
}

/// A ramp as fast as the furnace can.
pub fn full_rate() -> String {
    "as fast as the furnace can".to_owned()
}

/// A ramp in a time.
pub fn in_time(time: &str) -> String {
    format!("in {time}")
}

/// A value that is not there.
pub fn none() -> String {
    "none".to_owned()
}

/// A text in quotes, since it may be empty.
pub fn quoted(text: &str) -> String {
    if text.is_empty() {
        return none();
    }
    format!("“{text}”")
}

/// A switch.
pub fn yes(on: bool) -> String {
    (if on { "yes" } else { "no" }).to_owned()
}

/// A setter on the hearth.
pub fn on_hearth() -> String {
    "on the hearth".to_owned()
}

/// A setter on the rim of the one below.
pub fn on_rim() -> String {
    "on the rim below".to_owned()
}

/// A setter on feet.
pub fn feet(height: &str) -> String {
    format!("feet of {height}")
}

/// A setter in the rack.
pub fn rack_slot(number: usize) -> String {
    format!("rack slot {number}")
}

/// Posts with their places.
pub fn posts(n: usize, post: &str, at: &str) -> String {
    format!("{n} × {post} at {at}")
}

/// A guaranteed soak.
pub fn soak(on: &str, band: &str, ramp: bool, hold: bool, restarts: bool, timeout: &str) -> String {
    let during = match (ramp, hold) {
        (true, true) => "ramp and hold",
        (true, false) => "ramp",
        (false, true) => "hold",
        (false, false) => "neither ramp nor hold",
    };
    let leave = if restarts { "begins again" } else { "pauses" };
    format!("{on} within {band}, {during}, {leave} out of band, at most {timeout}")
}

/// The control thermocouple.
pub fn control_thermocouple() -> &'static str {
    "the control thermocouple"
}

/// One load thermocouple.
pub fn any_load_thermocouple() -> &'static str {
    "one load thermocouple"
}

/// Every load thermocouple.
pub fn all_load_thermocouples() -> &'static str {
    "every load thermocouple"
}

/// A segment in few words.
pub fn segment_of(segment: &str, to: &str, hold: &str) -> String {
    format!("{segment} (to {to}, hold {hold})")
}

/// An event of a segment.
pub fn event(what: &str, at_start: bool) -> String {
    let end = if at_start { "start" } else { "end" };
    format!("{what} at the {end}")
}

/// A purge.
pub fn purge(volumes: &str) -> String {
    format!("purge of {volumes} volumes")
}

/// A pump-down.
pub fn pump_down(to: &str) -> String {
    format!("pump down to {to}")
}

/// A backfill.
pub fn backfill(gas: &str, to: &str) -> String {
    format!("{gas} let in to {to}")
}

/// Names of the properties that a difference can be in.
pub mod which {
    macro_rules! names {
        ($($name:ident: $text:literal;)*) => {$(
            /// Name of a property.
            pub const fn $name() -> &'static str { $text }
        )*};
    }
    names! {
        setter: "setter";
        carried: "carried";
        place: "place";
        turn: "turn";
        support: "support";
        lot: "lot";
        locked: "locked";
        name: "name";
        feedstock: "feedstock";
        shape: "shape";
        mesh_file: "mesh file";
        measures: "measures";
        drawn: "size at which it is drawn";
        rest: "resting pose";
        infill: "infill";
        keep_off: "faces kept off the setter";
        oversize: "oversize factors";
        weighed: "weighed mass of one piece";
        section: "stated section";
        approval: "approval";
        work_zone_only: "work zone only";
        approved_rest: "approved resting pose";
        feedstock_lot: "lot number of the feedstock";
        feedstock_expires: "day until which its feedstock may be used";
        certificate: "certificate";
        balance: "balance";
        green_at: "time of the green weighing";
        previous_dry_at: "time of the dry weighing before";
        dry_at: "time of the dry weighing";
        dryer_ventilated: "ventilation of the dryer";
        acid_purged: "acid purged out";
        dryer: "dryer temperature";
        bath: "bath";
        at: "time or subject";
        role: "role";
        procedure: "written procedure";
        revision: "revision";
        start: "start";
        unload: "unload at";
        target: "target";
        ramp: "ramp";
        hold: "hold";
        soak: "guaranteed soak";
        gas: "gas";
        sweep: "sweep";
        pressure: "pressure";
        events: "events";
        note: "note";
        count: "pieces";
        part: "part";
        enters: "state in which it enters";
        customer: "customer";
        green: "green mass";
        dry: "dry mass";
        previous_dry: "mass at the weighing before";
        dried: "time in the dryer";
        answer: "answer";
        by: "by";
        on: "day";
        limit: "limit";
        value: "value";
        reason: "reason";
        hydrogen_on: "hydrogen on";
        hydrogen_off: "hydrogen off";
        fan_on: "fan on";
        fan_off: "fan off";
        burn_off_on: "burn-off flame on";
        burn_off_off: "burn-off flame off";
        unload_event: "load comes out";
        operator_check: "operator looks and confirms";
    }
}

/// A field of a record as a person would say it, and its unit: `"sinter.hold_min_min"` is
/// "sinter, hold min" in min.
pub fn field(path: &str) -> (String, &'static str) {
    const UNITS: &[(&str, &str)] = &[
        ("_l_min_25c", "L/min"),
        ("_m3_25c", "m³"),
        ("_g_cm3", "g/cm³"),
        ("_g_cm2", "g/cm²"),
        ("_kg", "kg"),
        ("_g_mol", "g/mol"),
        ("_kj_mol", "kJ/mol"),
        ("_cm2_s", "cm²/s"),
        ("_mm_h", "mm/h"),
        ("_um_h", "µm/h"),
        ("_k_min", "K/min"),
        ("_per_k", "1/K"),
        ("_per_h", "1/h"),
        ("_per_s", "1/s"),
        ("_mbar", "mbar"),
        ("_pct", "%"),
        ("_min", "min"),
        ("_gpa", "GPa"),
        ("_mpa", "MPa"),
        ("_kw", "kW"),
        ("_kj_k", "kJ/K"),
        ("_w_k", "W/K"),
        ("_um", "µm"),
        ("_mm", "mm"),
        ("_m2", "m²"),
        ("_g", "g"),
        ("_c", "°C"),
        ("_k", "K"),
        ("_l", "L"),
        ("_s", "s"),
    ];
    let found = UNITS.iter().find(|(end, _)| path.ends_with(end));
    let (bare, unit) = found.map_or((path, ""), |(end, unit)| {
        (&path[..path.len() - end.len()], *unit)
    });
    (bare.replace('.', ", ").replace('_', " "), unit)
}

/// A value with its unit.
pub fn with_unit(value: &str, unit: &str) -> String {
    if unit.is_empty() {
        return value.to_owned();
    }
    format!("{value}\u{a0}{unit}")
}

/// A record by its kind and name.
pub fn record(kind: &str, name: &str) -> String {
    let mut kind = kind.to_owned();
    if let Some(first) = kind.get_mut(0..1) {
        first.make_ascii_uppercase();
    }
    format!("{kind} {name}")
}

/// A limit by its name and whose it is.
pub fn limit(key: &str) -> String {
    format!("Limit {key}")
}

/// A check.
pub fn check(slug: &str) -> String {
    format!("Check {slug}")
}

/// Setting of a check that is not set apart.
pub fn as_built_in() -> String {
    "as built in".to_owned()
}

/// Two loads that mean the same.
pub fn same() -> String {
    say("No difference: both loads mean the same.")
}

/// How many differences.
pub fn counted(n: usize) -> String {
    say(super::count(n, "difference", "differences"))
}

/// Heading of a comparison: the later one against the earlier.
pub fn head(is: &str, was: &str) -> String {
    say(format!("{is} against {was}"))
}

/// Setting of a check, why, and who set it when.
pub fn setting(on: bool, severity: Option<&str>, reason: &str, set: [&str; 2]) -> String {
    let severity = severity.map_or_else(String::new, |s| format!(", {}", s.to_lowercase()));
    let mut text = format!(
        "{}{severity}, {}",
        if on { "on" } else { "off" },
        quoted(reason)
    );
    for more in set.into_iter().filter(|more| !more.is_empty()) {
        text = format!("{text}, {more}");
    }
    text
}

/// The state of the shop that a load carries.
pub fn shop_state() -> String {
    "State of the shop".to_owned()
}

/// Both loads go by the same records.
pub fn by_the_shop() -> &'static str {
    "Both are compared by the shop folder's records; the records that each file carries are compared \
     without --shop."
}
