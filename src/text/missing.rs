//! What a check lacks when it says "not evaluated": the datum's name, as it follows "lacks". The
//! sentence round it is finished where it is printed, so these are plain words.

use super::count;

// Records and states.

/// The furnace record.
pub fn furnace_record() -> &'static str {
    "the furnace record"
}

/// The gas record.
pub fn gas_record() -> &'static str {
    "the gas record"
}

/// The setter record.
pub fn setter_record() -> &'static str {
    "the setter record"
}

/// The post record.
pub fn post_record() -> &'static str {
    "the post record"
}

/// The support record.
pub fn support_record() -> &'static str {
    "the support record"
}

/// The material record.
pub fn material_record() -> &'static str {
    "the material record"
}

/// What a part's mass and size rest on.
pub fn part_records() -> &'static str {
    "the feedstock, alloy or binder record"
}

/// The feedstock or material record.
pub fn feedstock_or_material() -> &'static str {
    "the feedstock or material record"
}

/// What a level's height rests on.
pub fn setter_or_carrier() -> &'static str {
    "the setter record or what carries it"
}

/// Stress where a setter has a notch.
pub fn inward_corner() -> &'static str {
    "how far stress peaks in a setter's inward corner"
}

/// The state of the furnace.
pub fn furnace_state() -> &'static str {
    "the state of the furnace"
}

/// How accurately the shop sets parts down.
pub fn placing_tolerance() -> &'static str {
    "the placing tolerance of the shop"
}

/// The state of the shop.
pub fn shop_state() -> &'static str {
    "the state of the shop"
}

/// The shop's stock.
pub fn shop_stock() -> &'static str {
    "the shop's stock"
}

// Profile.

/// A profile without faults.
pub fn faultless_profile() -> &'static str {
    "a profile without faults"
}

/// The furnace record and a profile without faults.
pub fn furnace_and_profile() -> &'static str {
    "the furnace record and a profile without faults"
}

/// The length of the program.
pub fn program_length() -> &'static str {
    "the length of the program"
}

/// How fast the segment cools.
pub fn segment_cooling() -> &'static str {
    "how fast the segment cools"
}

/// Cooling through a range at a pace that the profile leaves open.
pub fn cooling_unrated() -> &'static str {
    "how fast the load cools there: the profile gives no rate"
}

/// Cooling through a range after the end of the profile.
pub fn cooling_after_end() -> &'static str {
    "how fast the load cools there: the profile ends before"
}

/// A feedstock's ramp limit.
pub fn ramp_limit() -> &'static str {
    "a ramp limit for a section this thick"
}

/// A range whose ends are in order.
pub fn range() -> &'static str {
    "a range from low to high"
}

// Survey and thermometry.

/// A temperature uniformity survey.
pub fn survey() -> &'static str {
    "a temperature uniformity survey"
}

/// Hours at which somebody is at the furnaces.
pub fn attended_hours() -> &'static str {
    "the hours at which somebody is at the furnaces"
}

/// A survey at the temperature of a hold.
pub fn survey_of_hold(segment: usize, from: &str) -> String {
    format!(
        "a survey at the temperature of {}: the one in force begins at {from}, and below it the \
         cold case is not known",
        super::names::segment(segment)
    )
}

/// Kinetics of a component of binder.
pub fn burnout_of(component: &str) -> String {
    format!("figures of how {component} burns out")
}

/// A survey, where there is one that does not hold for the run.
pub fn survey_in_force() -> &'static str {
    "a temperature uniformity survey that is in force on the day of the run"
}

/// Surveyed temperatures.
pub fn surveyed_temperatures() -> &'static str {
    "surveyed temperatures"
}

/// A survey at the temperatures of the sinter range.
pub fn survey_of_sinter_range() -> &'static str {
    "a survey at the temperatures of the sinter range"
}

/// Type and class of the control thermocouple.
pub fn control_class() -> &'static str {
    "a survey, or type and tolerance class of the control thermocouple"
}

/// The instrument's error.
pub fn instrument_error() -> &'static str {
    "a survey, or the error of the controller"
}

/// The declared spread.
pub fn declared_spread() -> &'static str {
    "a survey, or the declared spread of the zone"
}

/// The type that an instrument is set to.
pub fn instrument_kind() -> &'static str {
    "the thermocouple type that controller and logger are set to"
}

/// A sinter range that all feedstocks share.
pub fn common_sinter_range() -> &'static str {
    "a sinter range common to all feedstocks"
}

/// A survey at the peak.
pub fn survey_at_peak() -> &'static str {
    "a survey at the peak"
}

/// A survey at a temperature.
pub fn survey_at(c: f64) -> String {
    format!(
        "a survey at {}",
        crate::units::show(crate::units::Quantity::Temperature, c, 0)
    )
}

/// The tolerance of a type of thermocouple.
pub fn tolerance_of(kind: &str) -> String {
    format!("the tolerance of thermocouple type {kind}")
}

/// A survey that says how hot the hottest place is.
pub fn survey_hottest() -> &'static str {
    "a survey that says how hot the hottest place is"
}

/// The setting of the over-temperature cut-out.
pub fn cut_out_setting() -> &'static str {
    "a temperature to which the over-temperature cut-out is set"
}

// Gas and vacuum.

/// The supply of the gas.
pub fn gas_supply() -> &'static str {
    "the supply of the gas"
}

/// How much of the gas is on hand.
pub fn gas_on_hand() -> &'static str {
    "how much of the gas is on hand"
}

/// Its dew point.
pub fn dew_point() -> &'static str {
    "its dew point"
}

/// The leak-up rate.
pub fn leak_rate() -> &'static str {
    "the leak-up rate"
}

/// The furnace's ultimate pressure.
pub fn pressure_reached() -> &'static str {
    "the pressure that the furnace reaches"
}

/// The pressure over the load in a hold in vacuum.
pub fn pressure_set() -> &'static str {
    "the pressure that is held over the load: the furnace's ultimate pressure is reached cold and \
     empty"
}

/// A hold in vacuum or the purity of the gas.
pub fn titanium_gas_purity() -> &'static str {
    "the oxygen and water in the gas over titanium"
}

/// A hold that a check could look at.
pub fn hold_in_sinter_range() -> &'static str {
    "a hold in the sinter range"
}

/// A reading of a later day than the start.
pub fn dated_after_start() -> &'static str {
    "a reading of before the start: this one is dated after it"
}

/// The pressure below which an alloy loses an element.
pub fn pressure_floor() -> &'static str {
    "the pressure floor of the alloy"
}

/// The highest pressure that a furnace is made for.
pub fn pressure_max() -> &'static str {
    "the highest pressure that the furnace is made for"
}

/// The pump's speed.
pub fn pump_speed() -> &'static str {
    "the pump's speed"
}

/// The pressure at which the fan runs.
pub fn fan_pressure() -> &'static str {
    "the pressure at which the fan runs"
}

// Days.

/// The planned start.
pub fn planned_start() -> &'static str {
    "the planned start"
}

/// The day of the reading.
pub fn day_read() -> &'static str {
    "the day of the reading"
}

/// Two dates as year-month-day.
pub fn two_dates() -> &'static str {
    "two dates as year-month-day"
}

/// A due date as year-month-day.
pub fn due_date() -> &'static str {
    "a due date as year-month-day"
}

/// Any calibration with its due date.
pub fn calibrations() -> &'static str {
    "any calibration with its due date"
}

// Lots and binder.

/// A lot that pieces of a part are of.
pub fn lot_of(part: &str) -> String {
    format!("the lot of pieces of {part}")
}

/// A lot that says in which state the pieces enter.
pub fn state_on_entry() -> &'static str {
    "a lot that says in which state the pieces enter"
}

/// The green and the dry weighing.
pub fn green_and_dry() -> &'static str {
    "the green and the dry weighing"
}

/// The last two weighings from the dryer.
pub fn dryer_weighings() -> &'static str {
    "the last two weighings from the dryer"
}

/// The time in the dryer.
pub fn dryer_time() -> &'static str {
    "the time in the dryer"
}

/// What a trap of nought takes.
pub fn trap_capacity() -> &'static str {
    "what the trap can hold"
}

/// What the trap holds now.
pub fn trap_filling() -> &'static str {
    "what the trap holds now"
}

/// The carbon range of both alloys.
pub fn carbon_ranges() -> &'static str {
    "the carbon range of both alloys"
}

/// The alloy of the last load.
pub fn last_alloy() -> &'static str {
    "the alloy of the last load"
}

/// The record of the last load's alloy.
pub fn last_alloy_record() -> &'static str {
    "the record of the last load's alloy"
}

// Parts, setters and posts.

/// The governing section.
pub fn section() -> &'static str {
    "the section"
}

/// A face to stand on.
pub fn base() -> &'static str {
    "a base with an area"
}

/// Some masses of the load.
pub fn masses_of_load() -> &'static str {
    "some masses of the load"
}

/// The setter materials that its feedstock allows.
pub fn setter_materials() -> &'static str {
    "the setter materials that its feedstock allows"
}

/// What stands under the posts: the level below is not on posts.
pub fn what_posts_stand_on() -> &'static str {
    "what stands under the posts: the level below is not on posts"
}

/// How a level above bears on a plate.
pub fn load_from_above() -> &'static str {
    "what the level above puts on the plate beside its supports"
}

/// A number instead of an infinity.
pub fn finite_value() -> &'static str {
    "a finite value"
}

/// Nobody has said where pins stand under a part.
pub fn pin_places() -> &'static str {
    "where the pins stand under it"
}

// With a value.

/// A limit that nobody has set.
pub fn limit(id: &str) -> String {
    format!("the limit {id}")
}

/// A limit that is set for some of the load, where a check knows one for all of it.
pub fn narrower_limit(id: &str) -> String {
    format!(
        "the limit {id} by alloy, feedstock or customer, as somebody has set it: this check knows one \
         value for the whole load"
    )
}

/// Two limits, of which one is not set.
pub fn limits(a: &str, b: &str) -> String {
    format!("the limits {a} and {b}")
}

/// Masses that are not known.
pub fn masses_on_level(unknown: usize) -> String {
    format!("{} on the level", count(unknown, "mass", "masses"))
}

/// A record of a setter or a post.
pub fn record_of(kind: &str) -> String {
    format!("the {kind} record")
}

/// The record of a named gas.
pub fn gas_record_of(gas: &str) -> String {
    format!("the gas record {gas}")
}

/// The record of a named support.
pub fn support_record_of(id: &str) -> String {
    format!("the support record {id}")
}

/// How many of a thing the shop has.
pub fn stock_of(kind: &str, id: &str) -> String {
    format!("the stock of {kind} {id}")
}

/// The factors a part was made with.
pub fn oversize_factors(part: &str) -> String {
    format!("the oversize factors of {part}")
}

/// What a part weighs.
pub fn weighed_mass(part: &str) -> String {
    format!("the weighed mass of {part}")
}

/// How much of a part is metal and binder.
pub fn volume_of(part: &str) -> String {
    format!("the volume of metal and binder in {part}")
}

/// Where a part's mass is.
pub fn centre_of(part: &str) -> String {
    format!("the foot and the centre of mass of {part}, of which only outline and mass are known")
}

/// What a lot weighed green.
pub fn green_mass_of(lot: &str) -> String {
    format!("the green mass of lot {lot}")
}

/// Whether the surfaces of a part cross.
pub fn crossing_of(part: &str) -> String {
    format!("a count of crossing surfaces in the mesh of {part}")
}

/// How thick a part is where it matters.
pub fn section_of(part: &str) -> String {
    format!("the governing section of {part}")
}

/// Roles that sign in this shop.
pub fn signing_roles() -> &'static str {
    "the roles that sign a plan in this shop"
}

/// Signatures under the plan.
pub fn signatures() -> &'static str {
    "a signature under the plan"
}

/// The day until which somebody is qualified.
pub fn qualification(name: &str) -> String {
    format!("the day until which {name} is qualified")
}

/// The day of a declaration.
pub fn day_of(question: &str) -> String {
    format!("the day on which {question} was declared, as year-month-day")
}

/// A forecast of the run.
pub fn forecast() -> &'static str {
    "a forecast of the run"
}

/// Weighings of what went through the first step, with what the feedstock's target comes to.
pub fn weighings(pieces: usize, assumed: &str) -> String {
    format!(
        "green and dry weighings of {}; by the feedstock's target it would be {assumed}",
        count(pieces, "piece", "pieces")
    )
}

// Of the forecast.

/// What a first step took out of a lot, with what the forecast takes for it.
pub fn extraction(of: &str, taken: f64) -> String {
    format!(
        "green and dry weighings, or the record of the bath, of {of}; the forecast takes {} % of \
         the first-step binder as out",
        super::figure(libm::round(1000.0 * taken) / 10.0)
    )
}

/// A forecast, and why there is none.
pub fn forecast_because(why: &str) -> String {
    format!("a forecast ({why})")
}

/// The cold and the hot case, and why there are none.
pub fn cases(why: &str) -> String {
    format!("the cold and the hot case ({why})")
}

/// Where a pump holds no pressure at all.
pub fn more_than_the_pump_moves() -> &'static str {
    "no pressure of its table"
}

/// That the chamber comes to the unload temperature.
pub fn chamber_cools() -> &'static str {
    "a chamber that comes to the unload temperature in the time that is followed"
}

/// How a feedstock densifies.
pub fn densifying(feedstock: &str) -> String {
    format!("figures of how {feedstock} densifies")
}

/// A density above the temperatures at which the powder was calibrated.
pub fn prediction(feedstock: &str) -> String {
    format!("a prediction: {feedstock} comes to above the temperatures of its figures")
}

/// A density of parts that were sintered before.
pub fn refired(part: &str) -> String {
    format!("the density with which {part} goes in again")
}

/// Tables of a plate's material.
pub fn plate_tables(material: &str) -> String {
    format!("modulus and strength of {material} by temperature")
}

/// Creep of a material.
pub fn creep(material: &str) -> String {
    format!("the creep of {material}")
}

/// What hydrogen reduces in an alloy.
pub fn oxide(alloy: &str) -> String {
    format!("the reduction of the governing oxide of {alloy} and the activity of its metal")
}

/// Oxygen that hydrogen can take out.
pub fn reducible_oxygen(feedstock: &str) -> String {
    format!("the reducible oxygen of {feedstock}")
}

/// Elements that evaporate.
pub fn elements(alloy: &str) -> String {
    format!("the elements of {alloy} that evaporate, with their activities")
}

/// Carbon range.
pub fn carbon_range(alloy: &str) -> String {
    format!("the carbon range of {alloy}")
}

/// Air of the dryer.
pub fn dryer_air() -> &'static str {
    "the air that the shop's dryer moves"
}

/// What a dryer check reads of a solvent.
pub fn solvent_figures() -> &'static str {
    "density, molar mass and flammable limit of the solvent"
}
