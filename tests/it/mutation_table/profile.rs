//! The profile: ramps, holds, soaks, the peak and the way down.

use super::bases::event;
use super::{Row, argon, hydrogen};
use crate::fixture::Case;
use setterwright::profile::{Event, EventAt, EventKind, RampBy, Segment, WaitFor, WaitOn};

fn segment(case: &mut Case, number: usize) -> &mut Segment {
    &mut case.profile().segments[number - 1]
}

fn rate(case: &mut Case, number: usize, k_min: f64) {
    segment(case, number).ramp = RampBy::Rate { k_min };
}

fn soak(case: &mut Case) -> &mut WaitOn {
    segment(case, 5).wait_on.as_mut().unwrap()
}

pub fn rows() -> Vec<Row> {
    vec![
        argon("profile-empty", "all segments taken out", |c| {
            c.profile().segments.clear()
        })
        .with(&[
            "debind-hold-missing",
            "over-temperature-set-high",
            "peak-below-sinter-range",
            "reduction-hold-missing",
            "survey-does-not-cover-peak",
        ])
        .lapses(&[
            "air-left-on-heating",
            "calibration-due",
            "cooling-beyond-furnace",
            "densifying-ramp-too-fast",
            "peak-above-usable-setpoints",
            "peak-below-usable-setpoints",
            "peak-near-solidus",
            "ramp-beyond-furnace",
            "ramp-far-too-fast-for-section",
            "ramp-too-fast-for-section",
            "rate-unit-suspicion",
            "setter-temperature",
            "survey-out-of-date",
        ]),
        argon("profile-number-unusable", "a ramp of 0 K/min", |c| {
            rate(c, 2, 0.0)
        })
        .lapses(&[
            "air-left-on-heating",
            "calibration-due",
            "cooling-beyond-furnace",
            "cooling-too-slow",
            "densifying-ramp-too-fast",
            "gas-supply-short",
            "ramp-beyond-furnace",
            "ramp-far-too-fast-for-section",
            "ramp-too-fast-for-section",
            "rate-unit-suspicion",
            "survey-out-of-date",
        ]),
        argon("step-jump", "a ramp in no time", |c| {
            segment(c, 2).ramp = RampBy::Time { min: 0.0 };
        }),
        argon("soak-timeout-missing", "a soak without a timeout", |c| {
            soak(c).timeout_min = None
        }),
        argon("soak-without-effect", "a soak with a band of 0 K", |c| {
            soak(c).band_k = 0.0
        }),
        argon("flow-without-gas", "a flow of no gas", |c| {
            segment(c, 2).gas = None
        }),
        argon("peak-below-sinter-range", "a peak of 1329 °C", |c| {
            segment(c, 5).to_c = 1329.0
        })
        .with(&["over-temperature-set-high", "peak-below-usable-setpoints"]),
        argon("peak-above-sinter-range", "a peak of 1376 °C", |c| {
            segment(c, 5).to_c = 1376.0
        })
        .with(&[
            "over-temperature-set-low",
            "peak-near-solidus",
            "survey-does-not-cover-peak",
        ])
        .lapses(&[
            "peak-above-usable-setpoints",
            "peak-below-usable-setpoints",
            "setter-temperature",
            "soak-band-below-survey-spread",
        ]),
        argon(
            "peak-near-solidus",
            "an alloy that begins to melt at 1376 °C",
            |c| {
                let record = c.catalogue_mut().alloys.get_mut("316l").unwrap();
                std::sync::Arc::make_mut(&mut record.1).solidus_c = 1376.0;
            },
        ),
        argon("sinter-hold-short", "59 min at the peak", |c| {
            segment(c, 5).hold_min = 59.0
        }),
        argon("sinter-hold-long", "181 min at the peak", |c| {
            segment(c, 5).hold_min = 181.0
        }),
        argon("densifying-ramp-too-fast", "10.1 K/min to the peak", |c| {
            rate(c, 5, 10.1)
        }),
        argon("guaranteed-soak-missing", "the soak taken out", |c| {
            segment(c, 5).wait_on = None
        }),
        argon(
            "soak-waits-on-control-only",
            "the soak waits on the control thermocouple",
            |c| {
                soak(c).on = WaitFor::Control;
            },
        ),
        argon("soak-band-narrow", "a band of 1.9 K", |c| {
            soak(c).band_k = 1.9
        })
        .with(&["soak-band-below-survey-spread"]),
        argon("soak-band-wide", "a band of 10.1 K", |c| {
            soak(c).band_k = 10.1
        }),
        argon("wait-timeout-long", "a timeout of 121 min", |c| {
            soak(c).timeout_min = Some(121.0)
        }),
        argon("reduction-hold-missing", "no hold at 1000 °C", |c| {
            segment(c, 4).hold_min = 0.0
        }),
        argon("cooling-too-slow", "2.9 K/min on the way down", |c| {
            rate(c, 6, 2.9)
        }),
        argon(
            "cooling-too-fast",
            "a feedstock that bears 4.9 K/min on the way down",
            |c| {
                let rule = c.feedstock().cooling.as_mut().unwrap();
                rule.fastest_k_min = Some(4.9);
            },
        ),
        argon(
            "cooling-hard-on-ceramics",
            "a plate 8 mm thick cooled at 10.1 K/min",
            |c| {
                c.furnace().cooling_max_k_min = 15.0;
                c.level(0).setter = "alumina-rect-300x200x8".to_owned();
                rate(c, 6, 10.1);
            },
        ),
        argon("ends-hot", "ends at 61 °C", |c| segment(c, 6).to_c = 61.0),
        argon("ramp-beyond-furnace", "15.1 K/min to 1000 °C", |c| {
            rate(c, 4, 15.1)
        })
        .with(&["densifying-ramp-too-fast"]),
        argon(
            "cooling-beyond-furnace",
            "10.1 K/min on the way down",
            |c| rate(c, 6, 10.1),
        ),
        argon("target-above-furnace", "a furnace for 1359 °C", |c| {
            c.furnace().max_c = 1359.0
        })
        .with(&["over-temperature-above-furnace", "survey-above-furnace"]),
        argon(
            "too-many-segments",
            "a controller with five segments",
            |c| {
                c.furnace().controller.segments_max = 5;
            },
        ),
        argon("target-not-typable", "a target of 300.5 °C", |c| {
            segment(c, 1).to_c = 300.5
        }),
        argon("rate-not-typable", "a rate of 0.85 K/min", |c| {
            rate(c, 2, 0.85)
        }),
        argon("hold-not-typable", "a hold of 60.5 min", |c| {
            segment(c, 1).hold_min = 60.5
        }),
        argon("hold-beyond-controller", "a hold of 1000 min", |c| {
            segment(c, 1).hold_min = 1000.0
        }),
        argon("fan-not-usable", "a fan in a furnace without one", |c| {
            segment(c, 6).events.push(event(EventKind::FanOn));
        }),
        argon("first-target-below-start", "starts at 301 °C", |c| {
            c.profile().start_c = 301.0
        }),
        argon("rate-unit-suspicion", "0.04 K/min to 1000 °C", |c| {
            rate(c, 4, 0.04)
        })
        .with(&["gas-supply-short", "rate-not-typable"]),
        argon("fahrenheit-suspicion", "a peak of 2480", |c| {
            segment(c, 5).to_c = 2480.0
        })
        .with(&[
            "over-temperature-below-peak",
            "peak-above-sinter-range",
            "peak-near-solidus",
            "setter-temperature",
            "survey-does-not-cover-peak",
            "target-above-furnace",
            "thermocouple-unsuited",
        ])
        .lapses(&[
            "peak-above-usable-setpoints",
            "peak-below-usable-setpoints",
            "soak-band-below-survey-spread",
        ]),
        argon("unload-too-hot", "unloaded at the end of the peak", |c| {
            let (at, kind) = (EventAt::End, EventKind::Unload);
            segment(c, 5).events.push(Event { at, kind });
        })
        .with(&["air-on-hot-zone", "unload-not-last", "vacuum-at-the-door"]),
        hydrogen("air-on-hot-zone", "unloaded at 201 °C", |c| {
            c.profile().unload_c = 201.0
        })
        .with(&["unload-too-hot"]),
    ]
}
