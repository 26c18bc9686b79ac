//! The profile: ramps, holds, soaks, the peak and the way down.

use super::bases::event;
use super::{Row, argon, hydrogen, taken};
use crate::fixture::Case;
use setterwright::catalogue::Fan;
use setterwright::catalogue::Severity::{Caution, Note, Stop};
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

fn solidus(case: &mut Case, solidus_c: f64) {
    let record = case.catalogue_mut().alloys.get_mut("316l").unwrap();
    std::sync::Arc::make_mut(&mut record.1).solidus_c = solidus_c;
}

/// A fan for the way down from the peak at the air's pressure.
fn fan(case: &mut Case) {
    case.furnace().heat.fan = Some(Fan {
        ua_w_k: 100.0,
        pressure_min_mbar: 1000.0,
        on_below_c: 1360.0,
        film_w_m2k: None,
        water_c: None,
    });
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
            "hydrogen-change-unattended",
            "peak-above-usable-setpoints",
            "peak-below-usable-setpoints",
            "peak-near-solidus",
            "ramp-beyond-furnace",
            "ramp-far-too-fast-for-section",
            "ramp-too-fast-for-section",
            "rate-unit-suspicion",
            "setter-temperature",
            "survey-out-of-date",
            "unattended-step",
        ])
        .weighs(Stop)
        .inside("one segment left", |c| c.profile().segments.truncate(1))
        .never_missing("every plan has its profile"),
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
            "hydrogen-change-unattended",
            "ramp-beyond-furnace",
            "ramp-far-too-fast-for-section",
            "ramp-too-fast-for-section",
            "rate-unit-suspicion",
            "survey-out-of-date",
            "unattended-step",
        ])
        .weighs(Stop)
        .inside("a ramp of 0.1 K/min", |c| rate(c, 2, 0.1))
        .never_missing("every plan has its profile"),
        argon("step-jump", "a ramp in no time", |c| {
            segment(c, 2).ramp = RampBy::Time { min: 0.0 };
        })
        .weighs(Stop)
        .inside("a ramp in one minute", |c| {
            segment(c, 2).ramp = RampBy::Time { min: 1.0 }
        })
        .never_missing("every plan has its profile"),
        argon("soak-timeout-missing", "a soak without a timeout", |c| {
            soak(c).timeout_min = None
        })
        .weighs(Stop)
        .inside("a soak with a timeout of a minute", |c| {
            soak(c).timeout_min = Some(1.0)
        })
        .never_missing("that there is none is what it finds"),
        argon("soak-without-effect", "a soak with a band of 0 K", |c| {
            soak(c).band_k = 0.0
        })
        .weighs(Stop)
        .inside("a soak with a band of 0.1 K", |c| soak(c).band_k = 0.1)
        .never_missing("every plan has its profile"),
        argon("flow-without-gas", "a flow of no gas", |c| {
            segment(c, 2).gas = None
        })
        .weighs(Stop)
        .inside("neither gas nor flow", |c| {
            let s = segment(c, 2);
            (s.gas, s.flow_l_min_25c) = (None, 0.0);
        })
        .never_missing("that no gas is set is what it finds"),
        argon("peak-below-sinter-range", "a peak of 1329 °C", |c| {
            segment(c, 5).to_c = 1329.0
        })
        .with(&["over-temperature-set-high", "peak-below-usable-setpoints"])
        .weighs(Caution)
        .inside("a peak of 1330 °C", |c| segment(c, 5).to_c = 1330.0)
        .missing("the feedstock's record taken out", taken::feedstock),
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
        ])
        .weighs(Stop)
        .inside("a peak of 1375 °C", |c| segment(c, 5).to_c = 1375.0)
        .missing("the feedstock's record taken out", taken::feedstock),
        argon(
            "peak-near-solidus",
            "an alloy that begins to melt at 1376 °C",
            |c| solidus(c, 1376.0),
        )
        .weighs(Stop)
        .inside("an alloy that begins to melt at 1377 °C", |c| {
            solidus(c, 1377.0)
        })
        .missing("no survey", |c| c.state().survey = None),
        argon("sinter-hold-short", "59 min at the peak", |c| {
            segment(c, 5).hold_min = 59.0
        })
        .weighs(Caution)
        .inside("60 min at the peak", |c| segment(c, 5).hold_min = 60.0)
        .missing("the feedstock's record taken out", taken::feedstock),
        argon("sinter-hold-long", "181 min at the peak", |c| {
            segment(c, 5).hold_min = 181.0
        })
        .weighs(Caution)
        .inside("180 min at the peak", |c| segment(c, 5).hold_min = 180.0)
        .missing("the feedstock's record taken out", taken::feedstock),
        argon("densifying-ramp-too-fast", "10.1 K/min to the peak", |c| {
            rate(c, 5, 10.1)
        })
        .weighs(Caution)
        .inside("10 K/min to the peak", |c| rate(c, 5, 10.0))
        .missing("the feedstock's record taken out", taken::feedstock),
        argon("guaranteed-soak-missing", "the soak taken out", |c| {
            segment(c, 5).wait_on = None
        })
        .weighs(Caution)
        .no_between("a hold waits or it does not")
        .missing("the feedstock's record taken out", taken::feedstock),
        argon(
            "soak-waits-on-control-only",
            "the soak waits on the control thermocouple",
            |c| {
                soak(c).on = WaitFor::Control;
            },
        )
        .weighs(Note)
        .no_between("it waits on one kind of thermocouple or on another")
        .never_missing("every plan has its profile"),
        argon("soak-band-narrow", "a band of 1.9 K", |c| {
            soak(c).band_k = 1.9
        })
        .with(&["soak-band-below-survey-spread"])
        .weighs(Note)
        .inside("a band of 2 K", |c| soak(c).band_k = 2.0)
        .missing("a shop without that limit", |c| {
            taken::limit(c, "soak-band-min")
        }),
        argon("soak-band-wide", "a band of 10.1 K", |c| {
            soak(c).band_k = 10.1
        })
        .weighs(Caution)
        .inside("a band of 10 K", |c| soak(c).band_k = 10.0)
        .missing("a shop without that limit", |c| {
            taken::limit(c, "soak-band-max")
        }),
        argon("wait-timeout-long", "a timeout of 121 min", |c| {
            soak(c).timeout_min = Some(121.0)
        })
        .weighs(Caution)
        .inside("a timeout of 120 min", |c| {
            soak(c).timeout_min = Some(120.0)
        })
        .missing("a shop without that limit", |c| {
            taken::limit(c, "wait-timeout-max")
        }),
        argon("reduction-hold-missing", "no hold at 1000 °C", |c| {
            segment(c, 4).hold_min = 0.0
        })
        .weighs(Caution)
        .inside("10 min at 1000 °C", |c| segment(c, 4).hold_min = 10.0)
        .missing("the alloy's record taken out", |c| taken::alloy(c, "316l")),
        argon("cooling-too-slow", "2.9 K/min on the way down", |c| {
            rate(c, 6, 2.9)
        })
        .weighs(Caution)
        .inside("3 K/min on the way down", |c| rate(c, 6, 3.0))
        .missing("cools by itself", |c| segment(c, 6).ramp = RampBy::FullRate),
        argon(
            "cooling-too-fast",
            "a feedstock that bears 4.9 K/min on the way down",
            |c| {
                let rule = c.feedstock().cooling.as_mut().unwrap();
                rule.fastest_k_min = Some(4.9);
            },
        )
        .weighs(Caution)
        .inside("one that bears 5 K/min", |c| {
            c.feedstock().cooling.as_mut().unwrap().fastest_k_min = Some(5.0)
        })
        .missing(
            "one that bears 5 K/min, in a profile that ends at 500 °C",
            |c| {
                c.feedstock().cooling.as_mut().unwrap().fastest_k_min = Some(5.0);
                segment(c, 6).to_c = 500.0;
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
        )
        .weighs(Caution)
        .inside("the same plate cooled at 10 K/min", |c| {
            c.level(0).setter = "alumina-rect-300x200x8".to_owned();
            rate(c, 6, 10.0);
        })
        .missing("a plate that no record describes", |c| {
            c.level(0).setter = "no-such-plate".to_owned()
        }),
        argon("ends-hot", "ends at 61 °C", |c| segment(c, 6).to_c = 61.0)
            .weighs(Caution)
            .inside("ends at 61 °C and is unloaded at 61 °C", |c| {
                segment(c, 6).to_c = 61.0;
                c.profile().unload_c = 61.0;
            })
            .never_missing("every plan has its profile"),
        argon("ramp-beyond-furnace", "15.1 K/min to 1000 °C", |c| {
            rate(c, 4, 15.1)
        })
        .with(&["densifying-ramp-too-fast"])
        .weighs(Caution)
        .inside("15 K/min to 1000 °C", |c| rate(c, 4, 15.0))
        .missing("the furnace's record taken out", taken::furnace),
        argon(
            "cooling-beyond-furnace",
            "10.1 K/min on the way down",
            |c| rate(c, 6, 10.1),
        )
        .weighs(Caution)
        .inside("10 K/min on the way down", |c| rate(c, 6, 10.0))
        .missing("the furnace's record taken out", taken::furnace),
        argon("target-above-furnace", "a furnace for 1359 °C", |c| {
            c.furnace().max_c = 1359.0
        })
        .with(&["over-temperature-above-furnace", "survey-above-furnace"])
        .weighs(Stop)
        .inside("a furnace for 1360 °C", |c| c.furnace().max_c = 1360.0)
        .missing("the furnace's record taken out", taken::furnace),
        argon(
            "too-many-segments",
            "a controller with five segments",
            |c| {
                c.furnace().controller.segments_max = 5;
            },
        )
        .weighs(Stop)
        .inside("a controller with six segments", |c| {
            c.furnace().controller.segments_max = 6
        })
        .missing("the furnace's record taken out", taken::furnace),
        argon("target-not-typable", "a target of 300.5 °C", |c| {
            segment(c, 1).to_c = 300.5
        })
        .weighs(Caution)
        .inside("a target of 301 °C", |c| segment(c, 1).to_c = 301.0)
        .missing("the furnace's record taken out", taken::furnace),
        argon("rate-not-typable", "a rate of 0.85 K/min", |c| {
            rate(c, 2, 0.85)
        })
        .weighs(Caution)
        .inside("a rate of 0.8 K/min", |c| rate(c, 2, 0.8))
        .missing("the furnace's record taken out", taken::furnace),
        argon("hold-not-typable", "a hold of 60.5 min", |c| {
            segment(c, 1).hold_min = 60.5
        })
        .weighs(Caution)
        .inside("a hold of 61 min", |c| segment(c, 1).hold_min = 61.0)
        .missing("the furnace's record taken out", taken::furnace),
        argon("hold-beyond-controller", "a hold of 1000 min", |c| {
            segment(c, 1).hold_min = 1000.0
        })
        .weighs(Stop)
        .inside("a hold of 999 min", |c| segment(c, 1).hold_min = 999.0)
        .missing("the furnace's record taken out", taken::furnace),
        argon("fan-not-usable", "a fan in a furnace without one", |c| {
            segment(c, 6).events.push(event(EventKind::FanOn));
        })
        .weighs(Stop)
        .inside("a fan that runs from 1000 mbar and below 1360 °C", |c| {
            fan(c);
            segment(c, 6).events.push(event(EventKind::FanOn));
        })
        .missing("the same at a pressure that nobody set", |c| {
            fan(c);
            let s = segment(c, 6);
            s.events.push(event(EventKind::FanOn));
            s.pressure_mbar = None;
        }),
        hydrogen("pump-not-there", "a furnace without a pump", |c| {
            let furnace = c.furnace();
            (furnace.ultimate_mbar, furnace.pump) = (None, Vec::new());
        })
        .with(&["hydrogen-without-purge-before"])
        .weighs(Stop)
        .no_between("a furnace has a pump or none")
        .missing("the furnace's record taken out", taken::furnace),
        argon("first-target-below-start", "starts at 301 °C", |c| {
            c.profile().start_c = 301.0
        })
        .with(&["air-left-on-heating"])
        .weighs(Caution)
        .inside("starts at 300 °C", |c| c.profile().start_c = 300.0)
        .never_missing("every plan has its profile"),
        argon("rate-unit-suspicion", "0.04 K/min to 1000 °C", |c| {
            rate(c, 4, 0.04)
        })
        .with(&["gas-supply-short", "rate-not-typable"])
        .weighs(Stop)
        .inside("0.05 K/min to 1000 °C", |c| rate(c, 4, 0.05))
        .missing("a shop without that limit", |c| {
            taken::limit(c, "rate-suspect-low")
        }),
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
        ])
        .weighs(Stop)
        .inside("a peak of 2337, which is 1.7 times the range's end", |c| {
            segment(c, 5).to_c = 2337.0
        })
        .missing("the feedstock's record taken out", taken::feedstock),
        argon("unload-too-hot", "unloaded at the end of the peak", |c| {
            let (at, kind) = (EventAt::End, EventKind::Unload);
            segment(c, 5).events.push(Event { at, kind });
        })
        .with(&["air-on-hot-zone", "unload-not-last", "vacuum-at-the-door"])
        .weighs(Stop)
        .inside("unloaded at 80 °C in the program", |c| {
            segment(c, 6).to_c = 80.0;
            c.profile().unload_c = 80.0;
            let (at, kind) = (EventAt::End, EventKind::Unload);
            segment(c, 6).events.push(Event { at, kind });
        })
        .missing("the furnace's record taken out", taken::furnace),
        hydrogen("air-on-hot-zone", "unloaded at 201 °C", |c| {
            c.profile().unload_c = 201.0
        })
        .with(&["unload-too-hot"])
        .weighs(Stop)
        .inside("unloaded at 200 °C", |c| c.profile().unload_c = 200.0)
        .missing("the furnace's record taken out", taken::furnace),
    ]
}
