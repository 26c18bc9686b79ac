//! Gas, pressure, leaks and supplies.

use super::{Row, argon, bases, hydrogen, row, taken};
use crate::fixture::Case;
use setterwright::catalogue::Lining;
use setterwright::catalogue::Severity::{Caution, Stop};
use setterwright::profile::{Segment, SegmentId};
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

/// 316L for which nitrogen is allowed at any temperature.
fn bears_nitrogen(case: &mut Case) {
    alloy(case, "316l", |a| {
        let rule = a.gases[0].clone();
        a.gases.push(setterwright::catalogue::GasRule {
            gas: "nitrogen".to_owned(),
            from_c: None,
            to_c: None,
            ..rule
        });
    });
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
            "exhaust-dew-point-high",
            "flame-off-before-hydrogen-off",
            "hydrogen-event-mismatch",
            "hydrogen-in-graphite",
            "hydrogen-without-burn-off",
            "hydrogen-without-purge-after",
            "hydrogen-without-purge-before",
            "inert-gas-entry",
            "leak-rate-high",
            "leak-rate-too-high",
            "nitrogen-cooling-stainless",
            "nitrogen-with-molybdenum",
            "purge-after-hydrogen-on",
            "purge-before-air-weak",
            "purge-before-fuel-weak",
            "purge-reserve-short",
            "silica-in-dry-hydrogen",
        ])
        .weighs(Stop)
        .no_between("a record is there or not")
        .never_missing("that it is missing is what it finds"),
        argon("gas-not-plumbed", "a furnace without argon", |c| {
            c.furnace().gases.retain(|g| g != "argon");
        })
        .weighs(Stop)
        .no_between("a gas is plumbed in or not")
        .missing("the furnace's record taken out", taken::furnace),
        argon("gas-not-allowed-for-alloy", "nitrogen on the way up", |c| {
            gas(c, 2, "nitrogen")
        })
        .weighs(Stop)
        .inside("argon allowed up to the peak", |c| {
            alloy(c, "316l", |a| {
                let rules = &mut a.gases;
                rules.iter_mut().find(|r| r.gas == "argon").unwrap().to_c = Some(1360.0);
            })
        })
        .missing("the alloy's record taken out", |c| taken::alloy(c, "316l")),
        hydrogen("hydrogen-in-graphite", "a hot zone of graphite", |c| {
            c.furnace().lining = Lining::Graphite;
        })
        .weighs(Stop)
        .inside("a hot zone of graphite that bears it to 1360 °C", |c| {
            c.furnace().lining = Lining::Graphite;
            c.limit("hydrogen-graphite-max").value = 1360.0;
        })
        .missing("the gas's record taken out", |c| taken::gas(c, "hydrogen")),
        hydrogen(
            "nitrogen-with-molybdenum",
            "nitrogen with hydrogen at the peak, for 1300 °C",
            |c| {
                gas(c, 5, "nitrogen-hydrogen-5");
                c.limit("nitrogen-molybdenum-max").value = 1300.0;
            },
        )
        .with(&["gas-not-allowed-for-alloy"])
        .weighs(Caution)
        .inside("the same for 1360 °C", |c| {
            gas(c, 5, "nitrogen-hydrogen-5");
            c.limit("nitrogen-molybdenum-max").value = 1360.0;
        })
        .missing("the same without the gas's record", |c| {
            gas(c, 5, "nitrogen-hydrogen-5");
            taken::gas(c, "nitrogen-hydrogen-5");
        }),
        argon("pressure-below-floor", "0.2 mbar at the peak", |c| {
            let peak = segment(c, 5);
            (peak.pressure_mbar, peak.flow_l_min_25c) = (Some(0.2), 0.1);
        })
        .weighs(Caution)
        .inside("0.3 mbar at the peak", |c| {
            let peak = segment(c, 5);
            (peak.pressure_mbar, peak.flow_l_min_25c) = (Some(0.3), 0.1);
        })
        .missing("an alloy of which nobody knows the floor", |c| {
            alloy(c, "316l", |a| a.pressure_floor_mbar = None)
        }),
        argon("pressure-below-pump-floor", "5 mbar at 10 L/min", |c| {
            segment(c, 1).pressure_mbar = Some(5.0);
        })
        .weighs(Stop)
        .inside("6.1 mbar at 10 L/min", |c| {
            segment(c, 1).pressure_mbar = Some(6.1)
        })
        .missing("a furnace without the figures of its pump", |c| {
            c.furnace().pump.clear()
        }),
        argon(
            "nitrogen-cooling-stainless",
            "nitrogen on the way down of a 316L that bears it",
            |c| {
                bears_nitrogen(c);
                gas(c, 6, "nitrogen");
            },
        )
        .weighs(Caution)
        .inside("the same nitrogen from 599 °C down", |c| {
            bears_nitrogen(c);
            let mut last = segment(c, 6).clone();
            (last.id, last.gas) = (SegmentId(7), Some("nitrogen".to_owned()));
            segment(c, 6).to_c = 599.0;
            c.profile().segments.push(last);
        })
        .missing("the same without the gas's record", |c| {
            gas(c, 6, "nitrogen");
            taken::gas(c, "nitrogen");
        }),
        argon("dew-point-high", "argon with a dew point of -49 °C", |c| {
            c.state().gases[0].dew_point_c = Some(-49.0);
        })
        .weighs(Caution)
        .inside("a dew point of -50 °C", |c| {
            c.state().gases[0].dew_point_c = Some(-50.0)
        })
        .missing("a dew point that nobody read", |c| {
            c.state().gases[0].dew_point_c = None
        }),
        argon(
            "dew-point-too-high",
            "argon with a dew point of -29 °C",
            |c| {
                c.state().gases[0].dew_point_c = Some(-29.0);
            },
        )
        .weighs(Stop)
        .inside("a dew point of -30 °C", |c| {
            c.state().gases[0].dew_point_c = Some(-30.0)
        })
        .missing("a dew point that nobody read", |c| {
            c.state().gases[0].dew_point_c = None
        }),
        argon(
            "dew-point-stale",
            "a dew point read three days before",
            |c| {
                c.state().gases[0].dew_point_read = Some("2026-11-21".to_owned());
            },
        )
        .weighs(Caution)
        .inside("read on the day before a start at midnight", |c| {
            c.state().gases[0].dew_point_read = Some("2026-11-23".to_owned());
            c.plan.planned_start_time = Some("00:00".to_owned());
        })
        .missing("no day of the reading", |c| {
            c.state().gases[0].dew_point_read = None
        }),
        argon("leak-rate-high", "a leak of 11 µmHg/h", |c| {
            c.state().leak_um_h = Some(11.0)
        })
        .weighs(Caution)
        .inside("a leak of 10 µmHg/h", |c| c.state().leak_um_h = Some(10.0))
        .missing("a leak that nobody measured", |c| {
            c.state().leak_um_h = None
        }),
        hydrogen(
            "leak-rate-too-high",
            "a leak of 11 µmHg/h before hydrogen",
            |c| {
                c.state().leak_um_h = Some(11.0);
            },
        )
        .weighs(Stop)
        .inside("a leak of 10 µmHg/h before hydrogen", |c| {
            c.state().leak_um_h = Some(10.0)
        })
        .missing("a leak that nobody measured", |c| {
            c.state().leak_um_h = None
        }),
        argon("leak-test-old", "a leak test of eight days before", |c| {
            c.state().leak_tested = Some("2026-11-16".to_owned());
        })
        .weighs(Caution)
        .inside("a leak test of seven days before", |c| {
            c.state().leak_tested = Some("2026-11-17".to_owned())
        })
        .missing("no day of the leak test", |c| c.state().leak_tested = None),
        row(
            "titanium-vacuum-too-poor",
            bases::titanium,
            "0.0011 mbar at the peak",
            |c| {
                segment(c, 5).pressure_mbar = Some(0.0011);
            },
        )
        .weighs(Stop)
        .inside("0.001 mbar at the peak", |c| {
            segment(c, 5).pressure_mbar = Some(0.001)
        })
        .missing("no pressure set at the peak", |c| {
            segment(c, 5).pressure_mbar = None
        }),
        argon("gas-supply-short", "6 m³ of argon on hand", |c| {
            c.state().gases[0].m3_25c = 6.0
        })
        .weighs(Stop)
        .inside("18.9 m³ on hand, 5 of them kept back", |c| {
            c.state().gases[0].m3_25c = 18.9
        })
        .missing("no gas on record", |c| c.state().gases.clear()),
    ]
}
