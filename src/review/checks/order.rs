//! Order of events, air on a hot zone, the gas that is kept for a purge, and dust that burns.
//! Everything here is planned, and only the furnace's interlocks can verify it.

use super::safety::fuel;
use crate::catalogue::Severity::{Caution, Stop};
use crate::catalogue::{Family as AlloyFamily, GasNature, Lining};
use crate::profile::{EventAt, EventKind};
use crate::review::facts::Facts;
use crate::review::finding::{Check, Family, Report, Subject, at_least, at_most, number, text};
use crate::text::findings::Arg;
use crate::text::{missing, order};
use crate::units::Quantity::{Number, Temperature};

const BASE: Check = Check {
    family: Family::Safety,
    severity: Stop,
    safety: true,
    ..Check::BASE
};

/// Checks of order and reserve.
pub const CHECKS: &[Check] = &[
    Check {
        slug: "unload-not-last",
        run: unload_not_last,
        ..BASE
    },
    Check {
        slug: "flame-off-before-hydrogen-off",
        limits: &["flammable-hydrogen-share"],
        run: flame_off_before_hydrogen_off,
        ..BASE
    },
    Check {
        slug: "purge-after-hydrogen-on",
        limits: &["flammable-hydrogen-share"],
        run: purge_after_hydrogen_on,
        ..BASE
    },
    Check {
        slug: "purge-reserve-short",
        limits: &["purge-volumes", "flammable-hydrogen-share"],
        run: purge_reserve_short,
        ..BASE
    },
    Check {
        slug: "air-on-hot-zone",
        family: Family::Atmosphere,
        limits: &["air-molybdenum-max", "air-graphite-max"],
        run: air_on_hot_zone,
        ..BASE
    },
    Check {
        slug: "titanium-dust",
        severity: Caution,
        run: titanium_dust,
        ..BASE
    },
];

/// After the load is out a person may look and a fan may stop; nothing else happens.
fn unload_not_last(facts: &Facts, report: &mut Report) {
    let steps = facts.steps();
    let mut out: Option<(usize, Subject)> = None;
    let mut events_after = 0;
    for step in &steps {
        for at in [EventAt::Start, EventAt::End] {
            for event in step.segment.events.iter().filter(|e| e.at == at) {
                match (&event.kind, &out) {
                    (EventKind::Unload, None) => {
                        // At its start the segment itself is still to come.
                        let done = step.index + usize::from(at == EventAt::End);
                        out = Some((done, step.subject()));
                    }
                    (EventKind::OperatorCheck | EventKind::FanOff, _) | (_, None) => {}
                    (_, Some(_)) => events_after += 1,
                }
            }
        }
    }
    let Some((done, subject)) = out else {
        return;
    };
    let segments_after = steps.len().saturating_sub(done);
    if segments_after + events_after > 0 {
        let what = order::after_unload(segments_after, events_after);
        report.found(vec![subject], vec![("what", text(what))]);
    }
}

fn flame_off_before_hydrogen_off(facts: &Facts, report: &mut Report) {
    let Some(path) = fuel(facts, report, 0.0) else {
        return;
    };
    for (id, number) in path.flame_off {
        let args = vec![("segment", Arg::Count(number))];
        report.found(vec![Subject::Segment(id)], args);
    }
}

fn purge_after_hydrogen_on(facts: &Facts, report: &mut Report) {
    let Some(path) = fuel(facts, report, 0.0) else {
        return;
    };
    for (id, number, pumped) in path.purged_while_on {
        let what = if pumped {
            order::a_pump_down()
        } else {
            order::a_purge()
        };
        let args = vec![("segment", Arg::Count(number)), ("what", text(what))];
        report.found(vec![Subject::Segment(id)], args);
    }
}

/// What is kept of the inert gas that is kept most of, in furnace volumes at 25 °C and 1 atm: a hot
/// furnace holds less.
fn purge_reserve_short(facts: &Facts, report: &mut Report) {
    let Some(path) = fuel(facts, report, 0.0) else {
        return;
    };
    if path.entries.is_empty() {
        return;
    }
    let subject = || vec![Subject::Furnace];
    let Some(furnace) = facts.furnace else {
        return report.missing(subject(), missing::furnace_record());
    };
    let Some(limit) = facts.limit("purge-volumes") else {
        return report.missing(subject(), missing::limit("purge-volumes"));
    };
    let Some(state) = facts.state else {
        return report.missing(subject(), missing::furnace_state());
    };
    let inert = |slug: &&String| {
        let gas = facts.catalogue.gas(slug);
        gas.is_some_and(|g| g.nature == GasNature::Inert && !facts.is_fuel(g))
    };
    let mut most: Option<(f64, &str)> = None;
    let mut unlisted = false;
    for slug in furnace.gases.iter().filter(inert) {
        match state.gases.iter().find(|g| g.gas == *slug) {
            // No more can be kept back than is there.
            Some(supply) => {
                let kept = supply.reserve_m3_25c.min(supply.m3_25c).max(0.0);
                if most.is_none_or(|(m3, _)| kept > m3) {
                    most = Some((kept, slug));
                }
            }
            None => unlisted = true,
        }
    }
    let (kept_m3, gas) = most.unwrap_or((0.0, ""));
    let volumes = kept_m3 * 1000.0 / furnace.volume_l;
    // What is not listed might hold enough.
    if unlisted && volumes < limit.value {
        return report.missing(subject(), missing::gas_on_hand());
    }
    let gas = facts.catalogue.gas(gas).map(|g| g.name.as_str());
    let args = vec![
        ("gas", text(gas.unwrap_or(order::any_inert_gas()))),
        ("kept", text(order::cubic_metres(kept_m3))),
    ];
    report.hold(subject(), at_least(Number, volumes, 1), limit, args);
}

/// Air comes in where the load comes out.
fn air_on_hot_zone(facts: &Facts, report: &mut Report) {
    let Some(furnace) = facts.furnace else {
        return report.missing(vec![Subject::Furnace], missing::furnace_record());
    };
    let (id, zone) = match furnace.lining {
        Lining::Molybdenum => ("air-molybdenum-max", order::molybdenum()),
        Lining::Graphite => ("air-graphite-max", order::graphite()),
        Lining::CeramicFibre => return,
    };
    let Some(limit) = facts.limit(id) else {
        return report.missing(vec![Subject::Profile], missing::limit(id));
    };
    let mut opened = vec![(Subject::Profile, facts.plan.profile.unload_c)];
    for step in facts.steps() {
        for event in &step.segment.events {
            if event.kind == EventKind::Unload {
                let at_c = match event.at {
                    EventAt::Start => step.from_c,
                    EventAt::End => step.segment.to_c,
                };
                opened.push((step.subject(), at_c));
            }
        }
    }
    for (subject, at_c) in opened {
        let args = vec![("zone", text(zone)), ("at", number(Temperature, at_c, 0))];
        report.hold(vec![subject], at_most(Temperature, at_c, 0), limit, args);
    }
}

fn titanium_dust(facts: &Facts, report: &mut Report) {
    facts.unknown_records(report);
    for (slug, alloy) in &facts.alloys {
        if alloy.family == AlloyFamily::Titanium {
            let args = vec![("alloy", text(&alloy.name))];
            report.found(vec![Subject::Named((*slug).to_owned())], args);
        }
    }
}
