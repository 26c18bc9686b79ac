//! Gas, pressure, leaks and supplies.

use super::{Row, argon, bases, hydrogen, row};
use crate::fixture::Case;
use setterwright::profile::Segment;
use std::sync::Arc;

fn segment(case: &mut Case, number: usize) -> &mut Segment {
    &mut case.profile().segments[number - 1]
}

fn gas(case: &mut Case, number: usize, gas: &str) {
    segment(case, number).gas = Some(gas.to_owned());
}

fn alloy(case: &mut Case, id: &str, change: impl FnOnce(&mut setterwright::catalogue::Alloy)) {
    let record = case.catalogue_mut().alloys.get_mut(id).unwrap();
    change(Arc::make_mut(&mut record.1));
}

pub fn rows() -> Vec<Row> {
    vec![
        argon(
            "gas-unknown",
            "the gas's record taken out of the catalogue",
            |c| {
                c.catalogue_mut().gases.remove("argon");
            },
        )
        .lapses(&[
            "flame-off-before-hydrogen-off",
            "hydrogen-event-mismatch",
            "hydrogen-in-graphite",
            "hydrogen-without-burn-off",
            "hydrogen-without-purge-after",
            "hydrogen-without-purge-before",
            "leak-rate-high",
            "leak-rate-too-high",
            "nitrogen-cooling-stainless",
            "nitrogen-with-molybdenum",
            "purge-after-hydrogen-on",
            "purge-before-air-weak",
            "purge-before-fuel-weak",
            "purge-reserve-short",
            "silica-in-dry-hydrogen",
        ]),
        argon("gas-not-plumbed", "a furnace without argon", |c| {
            c.furnace().gases.retain(|g| g != "argon");
        }),
        argon("gas-not-allowed-for-alloy", "nitrogen on the way up", |c| {
            gas(c, 2, "nitrogen")
        }),
        hydrogen("hydrogen-in-graphite", "a hot zone of graphite", |c| {
            c.furnace().lining = setterwright::catalogue::Lining::Graphite;
        }),
        hydrogen(
            "nitrogen-with-molybdenum",
            "nitrogen with hydrogen at the peak, for 1300 °C",
            |c| {
                gas(c, 5, "nitrogen-hydrogen-5");
                c.limit("nitrogen-molybdenum-max").value = 1300.0;
            },
        )
        .with(&["gas-not-allowed-for-alloy"]),
        argon("pressure-below-floor", "0.2 mbar at the peak", |c| {
            let peak = segment(c, 5);
            (peak.pressure_mbar, peak.flow_l_min_25c) = (Some(0.2), 0.1);
        }),
        argon("pressure-below-pump-floor", "5 mbar at 10 L/min", |c| {
            segment(c, 1).pressure_mbar = Some(5.0);
        }),
        argon(
            "nitrogen-cooling-stainless",
            "nitrogen on the way down of a 316L that bears it",
            |c| {
                gas(c, 6, "nitrogen");
                alloy(c, "316l", |a| {
                    let rule = a.gases[0].clone();
                    a.gases.push(setterwright::catalogue::GasRule {
                        gas: "nitrogen".to_owned(),
                        from_c: None,
                        to_c: None,
                        ..rule
                    });
                });
            },
        ),
        argon("dew-point-high", "argon with a dew point of -49 °C", |c| {
            c.state().gases[0].dew_point_c = Some(-49.0);
        }),
        argon(
            "dew-point-too-high",
            "argon with a dew point of -29 °C",
            |c| {
                c.state().gases[0].dew_point_c = Some(-29.0);
            },
        ),
        argon(
            "dew-point-stale",
            "a dew point read three days before",
            |c| {
                c.state().gases[0].dew_point_read = Some("2026-11-21".to_owned());
            },
        ),
        argon("leak-rate-high", "a leak of 11 µmHg/h", |c| {
            c.state().leak_um_h = Some(11.0)
        }),
        hydrogen(
            "leak-rate-too-high",
            "a leak of 11 µmHg/h before hydrogen",
            |c| {
                c.state().leak_um_h = Some(11.0);
            },
        ),
        argon("leak-test-old", "a leak test of eight days before", |c| {
            c.state().leak_tested = Some("2026-11-16".to_owned());
        }),
        row(
            "titanium-vacuum-too-poor",
            bases::titanium,
            "0.0011 mbar at the peak",
            |c| {
                segment(c, 5).pressure_mbar = Some(0.0011);
            },
        ),
        argon("gas-supply-short", "6 m³ of argon on hand", |c| {
            c.state().gases[0].m3_25c = 6.0
        }),
    ]
}
