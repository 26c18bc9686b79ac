//! Atmosphere: gases that alloy, furnace and zone bear, and pressure; dew point, leaks and stock
//! are in `supply`.

mod supply;

use crate::catalogue::Severity::{Caution, Stop};
use crate::catalogue::{Alloy, Family as AlloyFamily, Gas, Lining};
use crate::forecast::standing::{ATMOSPHERE_MBAR, Part};
use crate::profile::Range;
use crate::review::facts::Facts;
use crate::review::facts_gas::pump_floor_mbar;
use crate::review::facts_limits::from_record;
use crate::review::facts_profile::Step;
use crate::review::facts_standing::GasOver;
use crate::review::finding::{
    Check, Family, Report, Sense, Subject, at_least, at_most, number, text,
};
use crate::text::findings::Arg;
use crate::text::{limits, missing, supplies};
use crate::units::Quantity::{Flow, Pressure, Temperature};

const BASE: Check = Check {
    family: Family::Atmosphere,
    severity: Stop,
    ..Check::BASE
};

/// The family's checks.
pub const CHECKS: &[Check] = &[
    Check {
        slug: "gas-unknown",
        run: gas_unknown,
        ..BASE
    },
    Check {
        slug: "gas-not-plumbed",
        run: gas_not_plumbed,
        ..BASE
    },
    Check {
        slug: "gas-not-allowed-for-alloy",
        run: gas_not_allowed_for_alloy,
        ..BASE
    },
    Check {
        slug: "hydrogen-in-graphite",
        limits: &["hydrogen-graphite-max"],
        run: hydrogen_in_graphite,
        ..BASE
    },
    Check {
        slug: "nitrogen-with-molybdenum",
        severity: Caution,
        limits: &["nitrogen-molybdenum-max"],
        run: nitrogen_with_molybdenum,
        ..BASE
    },
    Check {
        slug: "pressure-below-floor",
        severity: Caution,
        run: pressure_below_floor,
        ..BASE
    },
    Check {
        slug: "pressure-below-pump-floor",
        run: pressure_below_pump_floor,
        ..BASE
    },
    Check {
        slug: "nitrogen-cooling-stainless",
        severity: Caution,
        limits: &["nitrogen-stainless-from", "nitrogen-stainless-to"],
        run: nitrogen_cooling_stainless,
        ..BASE
    },
    Check {
        slug: "dew-point-high",
        severity: Caution,
        limits: &["dew-point-supply-max", "dew-point-stop"],
        run: supply::dew_point_high,
        ..BASE
    },
    Check {
        slug: "dew-point-too-high",
        limits: &["dew-point-stop"],
        run: supply::dew_point_too_high,
        ..BASE
    },
    Check {
        slug: "dew-point-stale",
        severity: Caution,
        limits: &["dew-point-age-h"],
        run: supply::dew_point_stale,
        ..BASE
    },
    Check {
        slug: "leak-rate-high",
        severity: Caution,
        limits: &["leak-max", "flammable-hydrogen-share"],
        run: |facts, report| supply::leak_rate(facts, report, false),
        ..BASE
    },
    Check {
        slug: "leak-rate-too-high",
        some_safety: true,
        limits: &["leak-max", "leak-max-titanium", "flammable-hydrogen-share"],
        run: |facts, report| supply::leak_rate(facts, report, true),
        ..BASE
    },
    Check {
        slug: "leak-test-old",
        severity: Caution,
        some_safety: true,
        limits: &["leak-age-days"],
        run: supply::leak_test_old,
        ..BASE
    },
    Check {
        slug: "titanium-vacuum-too-poor",
        limits: &["titanium-pressure-max"],
        run: titanium_vacuum_not_proven,
        ..BASE
    },
    Check {
        slug: "gas-supply-short",
        run: supply::gas_supply_short,
        ..BASE
    },
];

fn at(step: &Step) -> (&'static str, Arg) {
    ("segment", Arg::Count(step.index + 1))
}

fn gas_unknown(facts: &Facts, report: &mut Report) {
    for slug in facts.gas_slugs() {
        if facts.catalogue.gas(slug).is_none() {
            let near = facts
                .catalogue
                .candidates(crate::catalogue::Kind::Gas, slug);
            report.found(
                vec![Subject::Named(slug.to_owned())],
                vec![
                    ("gas", text(slug)),
                    ("near", text(crate::text::did_you_mean(&near))),
                ],
            );
        }
    }
}

fn gas_not_plumbed(facts: &Facts, report: &mut Report) {
    for slug in facts.gas_slugs() {
        let subjects = vec![Subject::Named(slug.to_owned()), Subject::Furnace];
        let Some(furnace) = facts.furnace else {
            report.missing(subjects, missing::furnace_record());
            continue;
        };
        if !furnace.gases.iter().any(|g| g == slug) {
            report.found(subjects, vec![("gas", text(gas_name(facts, slug)))]);
        }
    }
}

fn gas_name(facts: &Facts, slug: &str) -> String {
    let gas = facts.catalogue.gas(slug);
    gas.map_or_else(|| slug.to_owned(), |g| g.name.clone())
}

/// Whether an alloy bears a gas (or `vacuum`) over a range of temperature.
/// Whether an alloy's record allows a gas from one temperature to another, °C.
pub(super) fn allowed(alloy: &Alloy, gas: &str, low_c: f64, high_c: f64) -> bool {
    alloy.gases.iter().any(|rule| {
        rule.gas == gas
            && rule.from_c.is_none_or(|from| low_c >= from)
            && rule.to_c.is_none_or(|to| high_c <= to)
    })
}

fn gas_not_allowed_for_alloy(facts: &Facts, report: &mut Report) {
    facts.unknown_records(report);
    for stands in facts.gas_standing() {
        if stands.ends.most() == Part::Purging {
            report.missing(vec![stands.step.subject()], supplies::purge_gas());
        }
    }
    for over in &facts.gases_over() {
        let gas = over.slug;
        for (slug, alloy) in &facts.alloys {
            if allowed(alloy, gas, over.low_c, over.high_c) {
                continue;
            }
            report.found(
                vec![over.step.subject(), Subject::Named((*slug).to_owned())],
                vec![
                    at(&over.step),
                    ("gas", text(gas_name(facts, gas))),
                    ("alloy", text(&alloy.name)),
                    ("low", number(Temperature, over.low_c, 0)),
                    ("high", number(Temperature, over.high_c, 0)),
                ],
            );
        }
    }
}

/// Holds the highest setpoint of each segment with a gas that matters to a zone's lining.
fn gas_and_lining(
    facts: &Facts,
    report: &mut Report,
    lining: Lining,
    share: fn(&Gas) -> f64,
    limit: &'static str,
) {
    for over in facts.gases_over().iter().filter(|o| o.slug != "vacuum") {
        let step = over.step;
        let gas = match facts.catalogue.gas(over.slug) {
            Some(gas) if share(gas) > 0.0 => gas,
            Some(_) => continue,
            None => {
                report.missing(vec![step.subject()], missing::gas_record());
                continue;
            }
        };
        let Some(furnace) = facts.furnace else {
            report.missing(vec![Subject::Furnace], missing::furnace_record());
            return;
        };
        if furnace.lining != lining {
            return;
        }
        let high = at_most(Temperature, over.high_c, 0);
        let args = vec![at(&step), ("gas", text(&gas.name))];
        match facts.limit(limit) {
            Some(limit) => report.hold(vec![step.subject()], high, limit, args),
            None => report.missing(vec![step.subject()], missing::limit(limit)),
        }
    }
}

fn hydrogen_in_graphite(facts: &Facts, report: &mut Report) {
    let limit = "hydrogen-graphite-max";
    gas_and_lining(facts, report, Lining::Graphite, |g| g.hydrogen_share, limit);
}

fn nitrogen_with_molybdenum(facts: &Facts, report: &mut Report) {
    let limit = "nitrogen-molybdenum-max";
    gas_and_lining(
        facts,
        report,
        Lining::Molybdenum,
        |g| g.nitrogen_share,
        limit,
    );
}

/// Pressure over the load in a segment, mbar: as set; in vacuum without a set pressure what the
/// furnace reaches. None where a gas flows and nothing controls the pressure: it then stands at
/// about 1 atm.
pub(super) fn pressure(facts: &Facts, step: &Step) -> Result<Option<f64>, &'static str> {
    match (step.segment.pressure_mbar, &step.segment.gas) {
        (Some(mbar), _) => Ok(Some(mbar)),
        (None, Some(_)) => Ok(None),
        (None, None) => match facts.furnace.map(|f| f.ultimate_mbar) {
            Some(Some(mbar)) => Ok(Some(mbar)),
            _ => Err(missing::pressure_reached()),
        },
    }
}

fn pressure_below_floor(facts: &Facts, report: &mut Report) {
    facts.unknown_records(report);
    for (slug, alloy) in facts.alloys.iter().filter(|(_, a)| a.evaporates) {
        let named = Subject::Named((*slug).to_owned());
        let floor = (alloy.pressure_floor_mbar, alloy.pressure_floor_from_c);
        let (Some(floor), Some(from_c)) = floor else {
            report.missing(vec![named], missing::pressure_floor());
            continue;
        };
        let name = limits::pressure_floor();
        let limit = from_record(*alloy, "pressure_floor_mbar", name, floor, "mbar");
        let steps = facts.steps();
        for step in steps.iter().filter(|s| s.high_c() > from_c) {
            let subjects = vec![step.subject(), named.clone()];
            match pressure(facts, step) {
                Ok(Some(mbar)) => report.hold(
                    subjects,
                    at_least(Pressure, mbar, 3),
                    &limit,
                    vec![
                        at(step),
                        ("alloy", text(&alloy.name)),
                        ("from", number(Temperature, from_c, 0)),
                    ],
                ),
                Ok(None) => {}
                Err(what) => report.missing(subjects, what),
            }
        }
    }
}

fn pressure_below_pump_floor(facts: &Facts, report: &mut Report) {
    for step in facts.steps() {
        let flow = step.segment.flow_l_min_25c;
        let Some(mbar) = step.segment.pressure_mbar.filter(|p| *p < ATMOSPHERE_MBAR) else {
            continue;
        };
        if flow <= 0.0 {
            continue;
        }
        let Some(furnace) = facts.furnace else {
            return report.missing(vec![Subject::Furnace], missing::furnace_record());
        };
        let Some(floor) = pump_floor_mbar(&furnace.pump, flow) else {
            report.missing(
                vec![step.subject(), Subject::Furnace],
                missing::pump_speed(),
            );
            continue;
        };
        let name = limits::pump_floor();
        let limit = from_record(furnace, "pump", name, floor, "mbar");
        report.hold(
            vec![step.subject()],
            at_least(Pressure, mbar, 2),
            &limit,
            vec![at(&step), ("flow", number(Flow, flow, 1))],
        );
    }
}

fn nitrogen_cooling_stainless(facts: &Facts, report: &mut Report) {
    facts.unknown_records(report);
    let alloys = facts.alloys.iter();
    let alloys: Vec<_> = alloys
        .filter(|(_, a)| a.family == AlloyFamily::AusteniticStainless)
        .collect();
    if alloys.is_empty() {
        return;
    }
    let limits = (
        facts.limit("nitrogen-stainless-from"),
        facts.limit("nitrogen-stainless-to"),
    );
    let (Some(from), Some(to)) = limits else {
        return report.missing(
            vec![Subject::Load],
            missing::limits("nitrogen-stainless-from", "nitrogen-stainless-to"),
        );
    };
    let range = Range {
        from_c: to.value,
        to_c: from.value,
    };
    let first = facts.way_down().first().map_or(usize::MAX, |s| s.index);
    let over = facts.gases_over();
    let down = over.iter().filter(|o| o.step.index >= first);
    // Let in at the end of a segment, at its target.
    let within = |o: &&GasOver| o.step.is_in(range) || range.contains(o.high_c);
    for over in down.filter(within).filter(|o| o.slug != "vacuum") {
        let step = &over.step;
        match facts.catalogue.gas(over.slug) {
            Some(gas) if gas.nitrogen_share > 0.0 => {
                for (slug, alloy) in &alloys {
                    // Where the alloy does not bear the gas at all, that is said by another check.
                    if allowed(alloy, &gas.id, over.low_c, over.high_c) {
                        report.found_by(
                            vec![step.subject(), Subject::Named((**slug).to_owned())],
                            from,
                            vec![
                                at(step),
                                ("gas", text(&gas.name)),
                                ("alloy", text(&alloy.name)),
                                ("from", number(Temperature, from.value, 0)),
                                ("to", number(Temperature, to.value, 0)),
                            ],
                        );
                    }
                }
            }
            Some(_) => {}
            None => report.missing(vec![step.subject()], missing::gas_record()),
        }
    }
}

fn titanium_vacuum_not_proven(facts: &Facts, report: &mut Report) {
    facts.unknown_records(report);
    for (slug, feedstock) in &facts.feedstocks {
        let alloy = facts.alloys.get(feedstock.alloy.as_str());
        if alloy.is_none_or(|a| a.family != AlloyFamily::Titanium) {
            continue;
        }
        let range = Range {
            from_c: feedstock.sinter.from_c,
            to_c: feedstock.sinter.to_c,
        };
        let limit = facts.limit_for_feedstock("titanium-pressure-max", slug, Sense::AtMost);
        let Some(limit) = limit else {
            report.missing(vec![Subject::Load], missing::limit("titanium-pressure-max"));
            continue;
        };
        let named = Subject::Named((*slug).to_owned());
        let steps = facts.steps();
        let mut holds = steps.iter().filter(|s| s.holds_in(range)).peekable();
        if holds.peek().is_none() {
            report.missing(vec![named.clone()], missing::hold_in_sinter_range());
        }
        for step in holds {
            let subjects = vec![step.subject(), named.clone()];
            match (step.segment.pressure_mbar, &step.segment.gas) {
                (Some(mbar), None) => {
                    let args = vec![at(step), ("feedstock", text(&feedstock.name))];
                    report.hold(subjects, at_most(Pressure, mbar, 5), limit, args);
                }
                // What the furnace reaches cold and empty can only condemn: over a hot load it is
                // never better.
                (None, None) => match facts.furnace.and_then(|f| f.ultimate_mbar) {
                    Some(mbar) if mbar > limit.value => {
                        let args = vec![at(step), ("feedstock", text(&feedstock.name))];
                        report.hold(subjects, at_most(Pressure, mbar, 5), limit, args);
                    }
                    _ => report.missing(subjects, missing::pressure_set()),
                },
                // Under argon the gas's purity rules, not the vacuum.
                (_, Some(_)) => report.missing(subjects, missing::titanium_gas_purity()),
            }
        }
    }
}
