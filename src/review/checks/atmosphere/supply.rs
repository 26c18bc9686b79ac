//! What the gas comes with: dew point, leaks, and how much is on hand.

use super::gas_name;
use crate::catalogue::Severity::Stop;
use crate::catalogue::{Family as AlloyFamily, FurnaceKind, GasOnHand, Limit, LimitScope, when};
use crate::forecast::standing::ATMOSPHERE_MBAR;
use crate::review::facts::Facts;
use crate::review::facts_gas::{days_between, is_stainless};
use crate::review::facts_limits::{from_shop, scaled};
use crate::review::finding::{Report, Subject, at_most, text};
use crate::text::findings::Arg;
use crate::text::{limits, missing, phrases, supplies as own};
use crate::units::Quantity::{DewPoint, Fraction, LeakRate, Time};

/// Supplies of the gases that a load of stainless steel uses; none where it has no stainless.
fn dry_supplies<'a>(facts: &Facts<'a>, report: &mut Report) -> Vec<&'a GasOnHand> {
    facts.unknown_records(report);
    if !facts.alloys.values().any(|a| is_stainless(a.family)) {
        return Vec::new();
    }
    let supplies = facts.gas_slugs().into_iter().map(|slug| {
        let state = facts.state?;
        let supply = state.gases.iter().find(|g| g.gas == slug);
        supply.or_else(|| {
            report.missing(vec![Subject::Named(slug.to_owned())], missing::gas_supply());
            None
        })
    });
    let found = supplies.flatten().collect();
    if facts.state.is_none() && !facts.gas_slugs().is_empty() {
        report.missing(vec![Subject::Furnace], missing::furnace_state());
    }
    found
}

fn dew_points<'a>(facts: &Facts<'a>, report: &mut Report) -> Vec<(&'a GasOnHand, f64)> {
    let mut found = Vec::new();
    for supply in dry_supplies(facts, report) {
        match supply.dew_point_c {
            Some(c) => found.push((supply, c)),
            None => report.missing(
                vec![Subject::Named(supply.gas.clone())],
                missing::dew_point(),
            ),
        }
    }
    found
}

pub(super) fn dew_point_high(facts: &Facts, report: &mut Report) {
    let stop = facts.limit("dew-point-stop");
    for (supply, c) in dew_points(facts, report) {
        if stop.is_some_and(|stop| c > stop.value) {
            continue;
        }
        let subjects = vec![Subject::Named(supply.gas.clone())];
        let args = vec![("gas", text(gas_name(facts, &supply.gas)))];
        match facts.limit("dew-point-supply-max") {
            Some(limit) => report.hold(subjects, at_most(DewPoint, c, 0), limit, args),
            None => report.missing(subjects, missing::limit("dew-point-supply-max")),
        }
    }
}

pub(super) fn dew_point_too_high(facts: &Facts, report: &mut Report) {
    for (supply, c) in dew_points(facts, report) {
        let subjects = vec![Subject::Named(supply.gas.clone())];
        let args = vec![("gas", text(gas_name(facts, &supply.gas)))];
        match facts.limit("dew-point-stop") {
            Some(limit) => report.hold(subjects, at_most(DewPoint, c, 0), limit, args),
            None => report.missing(subjects, missing::limit("dew-point-stop")),
        }
    }
}

/// Age at the planned start of something of which the day is known, and the hour perhaps.
struct Age {
    days: f64,
    /// Hour of the day at which it was read, where that was noted.
    read_h: Option<f64>,
    /// Hour of the day at which the run starts, where it is planned.
    start_h: Option<f64>,
}

impl Age {
    /// Youngest and oldest that it can be, h.
    fn hours(&self) -> [f64; 2] {
        let midnight = self.days * 24.0;
        let [from, to] = self.start_h.map_or([0.0, 24.0], |h| [h, h]);
        let [first, last] = self.read_h.map_or([0.0, 24.0], |h| [h, h]);
        [(midnight + from - last).max(0.0), midnight + to - first]
    }
}

fn age(facts: &Facts, read: Option<&String>) -> Result<Age, &'static str> {
    let start = facts
        .plan
        .planned_start
        .as_ref()
        .ok_or(missing::planned_start())?;
    let read = read.ok_or(missing::day_read())?;
    let days = days_between(read, start).ok_or(missing::two_dates())?;
    let read_h = when::moment(read).map(|m| when::hours(m.time()));
    let start_h = facts.start_hour();
    let later_that_day = days == 0
        && read_h
            .zip(start_h)
            .is_some_and(|(read, start)| read > start);
    if days < 0 || later_that_day {
        return Err(missing::dated_after_start());
    }
    Ok(Age {
        days: f64::from(days),
        read_h,
        start_h,
    })
}

/// Holds an age against a limit in days or hours, as minutes. Days are counted as people count
/// them; hours only as far as the day of the reading tells them.
fn hold_age(
    report: &mut Report,
    subjects: Vec<Subject>,
    age: Result<Age, &'static str>,
    limit: (&'static str, Option<&Limit>),
    mut args: Vec<(&'static str, Arg)>,
) {
    let (id, limit) = limit;
    let (age, limit) = match (age, limit) {
        (Ok(age), Some(limit)) => (age, limit),
        (Err(what), _) => return report.missing(subjects, what),
        (_, None) => return report.missing(subjects, missing::limit(id)),
    };
    let by_day = limit.unit == "d";
    let (minutes, age_min) = if by_day {
        (1440.0, age.days * 1440.0)
    } else {
        let [youngest, oldest] = age.hours();
        if youngest <= limit.value && oldest > limit.value {
            return report.missing(subjects, own::hour_of_reading());
        }
        (60.0, youngest * 60.0)
    };
    let shown = if by_day {
        format!("{:.0} d", age.days)
    } else {
        let [youngest, oldest] = age.hours();
        match youngest == oldest {
            true => format!("{youngest:.0} h"),
            false => own::at_least_hours(youngest),
        }
    };
    args.push(("age", text(shown)));
    args.push(("most", text(format!("{} {}", limit.value, limit.unit))));
    let limit = scaled(limit, minutes, "min");
    report.hold(subjects, at_most(Time, age_min, 0), &limit, args);
}

pub(super) fn dew_point_stale(facts: &Facts, report: &mut Report) {
    for (supply, _) in dew_points(facts, report) {
        let id = "dew-point-age-h";
        hold_age(
            report,
            vec![Subject::Named(supply.gas.clone())],
            age(facts, supply.dew_point_read.as_ref()),
            (id, facts.limit(id)),
            vec![("gas", text(gas_name(facts, &supply.gas)))],
        );
    }
    let Some(state) = facts.state.filter(|s| s.exhaust_dew_point_c.is_some()) else {
        return;
    };
    // What was never read there another check asks for.
    let stainless = facts.alloys.values().any(|a| is_stainless(a.family));
    let slugs = facts.gas_slugs();
    let gases = slugs.iter().filter_map(|slug| facts.catalogue.gas(slug));
    if stainless && gases.into_iter().any(|g| g.hydrogen_share > 0.0) {
        let (id, read) = ("dew-point-age-h", state.exhaust_dew_point_read.as_ref());
        let args = vec![("gas", text(own::the_exhaust()))];
        let limit = (id, facts.limit(id));
        hold_age(
            report,
            vec![Subject::Furnace],
            age(facts, read),
            limit,
            args,
        );
    }
}

/// Whether the furnace is one that is tested for leaks by pumping.
fn is_pumped(facts: &Facts, report: &mut Report) -> bool {
    let Some(furnace) = facts.furnace else {
        report.missing(vec![Subject::Furnace], missing::furnace_record());
        return false;
    };
    match furnace.kind {
        FurnaceKind::VacuumBox | FurnaceKind::PumpedRetort => true,
        FurnaceKind::Continuous => false,
    }
}

/// Leak-up rate: `grave` where titanium or fuel gas is in the run, which makes it a stop.
fn with_titanium(facts: &Facts) -> bool {
    let mut alloys = facts.alloys.values();
    alloys.any(|a| a.family == AlloyFamily::Titanium)
}

fn with_fuel(facts: &Facts) -> bool {
    let fuel = |slug: &str| facts.catalogue.gas(slug).is_some_and(|g| facts.is_fuel(g));
    facts.gas_slugs().into_iter().any(fuel)
}

/// Titanium takes up the air that leaks in, and fuel gas burns with it.
fn grave_to_leak(facts: &Facts) -> bool {
    with_titanium(facts) || with_fuel(facts)
}

pub(super) fn leak_rate(facts: &Facts, report: &mut Report, grave: bool) {
    if !is_pumped(facts, report) {
        return;
    }
    facts.unknown_records(report);
    for slug in facts.gas_slugs() {
        if facts.catalogue.gas(slug).is_none() {
            let named = Subject::Named(slug.to_owned());
            report.missing(vec![named], missing::gas_record());
        }
    }
    let (titanium, fuel) = (with_titanium(facts), with_fuel(facts));
    if grave_to_leak(facts) != grave {
        return;
    }
    let id = if titanium {
        "leak-max-titanium"
    } else {
        "leak-max"
    };
    let what = match (titanium, fuel) {
        (true, _) => "titanium",
        (_, true) => phrases::fuel_gas(),
        _ => phrases::this_run(),
    };
    if grave {
        // Air that leaks into fuel gas.
        report.rank(Stop, fuel);
    }
    let subjects = vec![Subject::Furnace];
    let Some(um_h) = facts.state.and_then(|s| s.leak_um_h) else {
        return report.missing(subjects, missing::leak_rate());
    };
    let Some(limit) = facts.limit(id) else {
        return report.missing(subjects, missing::limit(id));
    };
    // A µmHg is taken as a mTorr: 1 atm = 760 000 mTorr.
    let mbar = ATMOSPHERE_MBAR / 760_000.0;
    let args = vec![
        ("leak", text(format!("{um_h} {}", limit.unit))),
        ("most", text(format!("{} {}", limit.value, limit.unit))),
        ("what", text(what)),
    ];
    let limit = scaled(limit, mbar, "mbar/h");
    report.hold(subjects, at_most(LeakRate, um_h * mbar, 5), &limit, args);
}

pub(super) fn leak_test_old(facts: &Facts, report: &mut Report) {
    if !is_pumped(facts, report) {
        return;
    }
    let Some(state) = facts.state else {
        return report.missing(vec![Subject::Furnace], missing::furnace_state());
    };
    if grave_to_leak(facts) {
        report.rank(Stop, with_fuel(facts));
    }
    let age = age(facts, state.leak_tested.as_ref());
    let id = "leak-age-days";
    hold_age(
        report,
        vec![Subject::Furnace],
        age,
        (id, facts.limit(id)),
        vec![],
    );
}

pub(super) fn gas_supply_short(facts: &Facts, report: &mut Report) {
    if facts.gas_slugs().is_empty() && !facts.purges() {
        return;
    }
    if facts.purges() && facts.purge_gas().is_none() {
        report.missing(vec![Subject::Profile], own::purge_gas());
    }
    let Some(used) = facts.gas_used_m3() else {
        return report.missing(vec![Subject::Profile], missing::furnace_and_profile());
    };
    for (slug, need_m3) in used {
        let subjects = vec![Subject::Named(slug.to_owned())];
        let supply = facts
            .state
            .and_then(|s| s.gases.iter().find(|g| g.gas == slug));
        let (Some(supply), Some(shop)) = (supply, facts.shop) else {
            report.missing(subjects, missing::gas_on_hand());
            continue;
        };
        let usable_m3 = supply.m3_25c - supply.reserve_m3_25c;
        let scope = LimitScope::Furnace(facts.plan.load.furnace.clone());
        let id = format!("gas-on-hand.{slug}");
        let limit = from_shop(shop, scope, id, limits::gas_on_hand(), 1.0);
        // An empty bank counts as a litre, so that the share stays a number.
        let share = need_m3 / usable_m3.max(0.001);
        report.hold(
            subjects,
            at_most(Fraction, share, 0),
            &limit,
            vec![
                ("gas", text(gas_name(facts, slug))),
                ("need", text(format!("{need_m3:.1} m³"))),
                ("usable", text(format!("{:.1} m³", usable_m3.max(0.0)))),
            ],
        );
    }
}
