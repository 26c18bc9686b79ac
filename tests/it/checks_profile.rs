//! Checks of the profile family: tripped, just inside, and without their datum.

use crate::checks_fixture_b::{Bench, clean, event, segment, wait};
use setterwright::catalogue::{Kind, SurveyPoint};
use setterwright::profile::{EventKind, RampBy, WaitFor};
use std::sync::Arc;

fn rate(k_min: f64) -> RampBy {
    RampBy::Rate { k_min }
}

fn value(bench: &Bench, check: &str) -> f64 {
    bench.finds(check).measured.unwrap().value
}

#[test]
fn each_kind_of_fault_has_its_check() {
    let mut bench = clean();
    bench.segment(2, |s| s.ramp = RampBy::Time { min: 0.0 });
    bench.finds("step-jump");
    bench.passes("profile-number-unusable");
    let mut bench = clean();
    bench.segment(2, |s| s.ramp = rate(0.0));
    bench.finds("profile-number-unusable");
    let mut bench = clean();
    bench.segment(2, |s| s.hold_min = f64::NAN);
    bench.finds("profile-number-unusable");
    let mut bench = clean();
    bench.segment(5, |s| s.wait_on.as_mut().unwrap().timeout_min = None);
    bench.finds("soak-timeout-missing");
    let mut bench = clean();
    bench.segment(5, |s| s.wait_on.as_mut().unwrap().band_k = 0.0);
    bench.finds("soak-without-effect");
    let mut bench = clean();
    bench.segment(2, |s| s.gas = None);
    bench.finds("flow-without-gas");
    let mut bench = clean();
    bench.profile(|p| p.segments.clear());
    bench.finds("profile-empty");
}

#[test]
fn the_peak_lies_in_the_sinter_range() {
    // 316l-wax sinters from 1330 to 1375 °C; solidus 1385 °C, margin 10 K; the survey's hottest
    // place is 5 K above the setpoint and has drifted by 3 K, so 1367 °C is the last target.
    let peak = |c: f64| {
        let mut bench = clean();
        // Surveyed as high as the peaks below.
        let survey = bench.shop_mut().furnaces[0].survey.as_mut().unwrap();
        survey.points = [1200.0, 1400.0]
            .map(|setpoint_c| SurveyPoint {
                setpoint_c,
                hottest_k: 5.0,
                coldest_k: -6.0,
            })
            .to_vec();
        bench.segment(5, |s| s.to_c = c);
        bench
    };
    for c in [1330.0, 1375.0] {
        peak(c).passes("peak-below-sinter-range");
        peak(c).passes("peak-above-sinter-range");
    }
    peak(1329.0).finds("peak-below-sinter-range");
    peak(1376.0).finds("peak-above-sinter-range");
    peak(1367.0).passes("peak-near-solidus");
    assert!((value(&peak(1368.0), "peak-near-solidus") - 9.0).abs() < 1e-9);

    // Without a survey the setpoint alone can only condemn.
    let mut bench = peak(1374.0);
    bench.shop_mut().furnaces[0].survey = None;
    bench.lacks("peak-near-solidus");
    bench.segment(5, |s| s.to_c = 1376.0);
    bench.finds("peak-near-solidus");
    bench.alloy("316l", |a| a.sinters_with_liquid = true);
    bench.passes("peak-near-solidus");
    bench.alloy("316l", |a| a.sinters_with_liquid = false);
    bench.without_limit("solidus-margin");
    bench.lacks("peak-near-solidus");

    let mut bench = clean();
    bench.without_record(Kind::Feedstock, "316l-wax");
    for check in [
        "peak-below-sinter-range",
        "peak-above-sinter-range",
        "peak-near-solidus",
        "sinter-ranges-do-not-overlap",
        "sinter-hold-short",
        "sinter-hold-long",
        "densifying-ramp-too-fast",
        "guaranteed-soak-missing",
        "reduction-hold-missing",
        "full-rate-in-debind-range",
        "cooling-too-slow",
        "cooling-too-fast",
        "fahrenheit-suspicion",
    ] {
        bench.lacks(check);
    }
}

#[test]
fn sinter_ranges_that_do_not_meet_are_named() {
    let mut bench = clean();
    bench.add_part("copper-wax", [20.0, 12.0, 2.5]);
    let finding = bench.finds("sinter-ranges-do-not-overlap");
    let keys: Vec<String> = finding.subjects.iter().map(|s| s.key()).collect();
    assert_eq!(keys, ["316l-wax", "copper-wax"]);
    let mut bench = clean();
    bench.add_part("17-4ph-wax", [20.0, 12.0, 2.5]);
    bench.passes("sinter-ranges-do-not-overlap");
}

#[test]
fn the_sinter_hold_has_a_least_and_a_most() {
    let mut bench = clean();
    for (min, short, long) in [
        (59.0, true, false),
        (60.0, false, false),
        (180.0, false, false),
        (181.0, false, true),
    ] {
        bench.segment(5, |s| s.hold_min = min);
        assert_eq!(bench.found("sinter-hold-short").len(), usize::from(short));
        assert_eq!(bench.found("sinter-hold-long").len(), usize::from(long));
    }
}

#[test]
fn ramps_slow_down_where_parts_shrink_and_stay_within_the_furnace() {
    let mut bench = clean();
    bench.segment(5, |s| s.ramp = rate(10.0));
    bench.passes("densifying-ramp-too-fast");
    bench.passes("ramp-beyond-furnace");
    bench.segment(5, |s| s.ramp = rate(10.1));
    bench.finds("densifying-ramp-too-fast");
    let mut bench = clean();
    bench.segment(1, |s| s.ramp = rate(15.0));
    bench.passes("ramp-beyond-furnace");
    bench.segment(1, |s| s.ramp = rate(15.1));
    bench.finds("ramp-beyond-furnace");
    bench.segment(6, |s| s.ramp = rate(10.0));
    bench.passes("cooling-beyond-furnace");
    bench.segment(6, |s| s.ramp = rate(10.1));
    bench.finds("cooling-beyond-furnace");
    bench.segment(6, |s| s.ramp = RampBy::FullRate);
    bench.passes("cooling-beyond-furnace");
    bench.profile(|p| p.segments.clear());
    bench.lacks("ramp-beyond-furnace");
    bench.lacks("cooling-beyond-furnace");
    bench.lacks("densifying-ramp-too-fast");
}

#[test]
fn what_the_furnace_and_its_controller_take() {
    let mut bench = clean();
    bench.furnace(|f| f.max_c = 1360.0);
    bench.passes("target-above-furnace");
    bench.furnace(|f| f.max_c = 1359.0);
    bench.finds("target-above-furnace");
    bench.furnace(|f| f.controller.segments_max = 7);
    bench.passes("too-many-segments");
    bench.furnace(|f| f.controller.segments_max = 6);
    bench.finds("too-many-segments");

    let mut bench = clean();
    bench.segment(2, |s| {
        s.to_c = 300.5;
        s.ramp = rate(1.05);
        s.hold_min = 0.5;
    });
    for check in ["target-not-typable", "rate-not-typable", "hold-not-typable"] {
        clean().passes(check);
        bench.finds(check);
    }
    bench.segment(2, |s| s.hold_min = 999.0);
    bench.passes("hold-beyond-controller");
    bench.segment(2, |s| s.hold_min = 1000.0);
    bench.finds("hold-beyond-controller");
    bench.without_record(Kind::Furnace, "small-vacuum-box");
    for check in [
        "target-above-furnace",
        "too-many-segments",
        "target-not-typable",
        "rate-not-typable",
        "hold-not-typable",
        "hold-beyond-controller",
        "ramp-beyond-furnace",
        "cooling-beyond-furnace",
    ] {
        bench.lacks(check);
    }
    // Rates per hour: 61 K/h can be typed, 61.5 K/h cannot.
    let mut bench = crate::checks_fixture_b::clean_hydrogen();
    bench.segment(2, |s| s.ramp = rate(61.0 / 60.0));
    bench.passes("rate-not-typable");
    bench.segment(2, |s| s.ramp = rate(61.5 / 60.0));
    bench.finds("rate-not-typable");
}

#[test]
fn the_sinter_hold_waits_for_the_load() {
    let mut bench = clean();
    bench.passes("guaranteed-soak-missing");
    bench.segment(5, |s| s.wait_on = None);
    bench.finds("guaranteed-soak-missing");
    bench.segment(5, |s| s.wait_on = Some(wait()));
    bench.passes("soak-waits-on-control-only");
    bench.segment(5, |s| s.wait_on.as_mut().unwrap().on = WaitFor::Control);
    bench.finds("soak-waits-on-control-only");
    for (band_k, check, trips) in [
        (2.0, "soak-band-narrow", false),
        (1.9, "soak-band-narrow", true),
        (10.0, "soak-band-wide", false),
        (10.1, "soak-band-wide", true),
    ] {
        bench.segment(5, |s| s.wait_on.as_mut().unwrap().band_k = band_k);
        assert_eq!(bench.found(check).len(), usize::from(trips), "{band_k}");
    }
    for (min, trips) in [(120.0, false), (121.0, true)] {
        bench.segment(5, |s| s.wait_on.as_mut().unwrap().timeout_min = Some(min));
        assert_eq!(bench.found("wait-timeout-long").len(), usize::from(trips));
    }
    for (limit, check) in [
        ("soak-band-min", "soak-band-narrow"),
        ("soak-band-max", "soak-band-wide"),
        ("wait-timeout-max", "wait-timeout-long"),
    ] {
        let mut bench = clean();
        bench.without_limit(limit);
        bench.lacks(check);
    }
}

#[test]
fn a_reducible_oxide_wants_a_hold() {
    let mut bench = clean();
    bench.segment(4, |s| s.to_c = 650.0);
    bench.passes("reduction-hold-missing");
    bench.segment(4, |s| s.to_c = 649.0);
    bench.finds("reduction-hold-missing");
    bench.alloy("316l", |a| a.reduction_hold = None);
    bench.passes("reduction-hold-missing");
}

#[test]
fn full_rate_keeps_out_of_the_debind_range() {
    let mut bench = clean();
    bench.segment(1, |s| s.ramp = RampBy::FullRate);
    bench.passes("full-rate-in-debind-range");
    bench.segment(1, |s| s.to_c = 151.0);
    bench.finds("full-rate-in-debind-range");
}

#[test]
fn cooling_follows_the_feedstock() {
    // 316l-wax: at least 3 K/min from 816 to 427 °C.
    let mut bench = clean();
    bench.segment(6, |s| s.ramp = rate(3.0));
    bench.passes("cooling-too-slow");
    bench.segment(6, |s| s.ramp = rate(2.9));
    assert!((value(&bench, "cooling-too-slow") - 2.9).abs() < 1e-9);
    // 389 K at 5 K/min take 77.8 min; a hold of 60 min at 600 °C makes 389/137.8 = 2.82 K/min.
    let mut bench = clean();
    bench.profile(|p| p.segments.insert(5, segment(8, 5.0, 600.0, 60.0)));
    let got = value(&bench, "cooling-too-slow");
    assert!((got - 389.0 / 137.8).abs() < 1e-8, "{got}");
    bench.segment(7, |s| s.ramp = RampBy::FullRate);
    bench.lacks("cooling-too-slow");
    let mut bench = clean();
    bench.profile(|p| p.segments.truncate(5));
    bench.lacks("cooling-too-slow");
    bench.finds("ends-hot");

    let mut bench = clean();
    let fastest = |most: f64| {
        move |f: &mut setterwright::catalogue::Feedstock| {
            let rule = f.cooling.as_mut().unwrap();
            rule.fastest_k_min = Some(most);
        }
    };
    bench.passes("cooling-too-fast");
    bench.feedstock("316l-wax", fastest(5.0));
    bench.passes("cooling-too-fast");
    bench.feedstock("316l-wax", fastest(4.9));
    bench.finds("cooling-too-fast");
    // At full rate the furnace's 10 K/min is the bound.
    bench.feedstock("316l-wax", fastest(10.0));
    bench.segment(6, |s| s.ramp = RampBy::FullRate);
    bench.passes("cooling-too-fast");
    bench.feedstock("316l-wax", fastest(9.9));
    bench.finds("cooling-too-fast");
    bench.without_record(Kind::Furnace, "small-vacuum-box");
    bench.lacks("cooling-too-fast");
}

#[test]
fn thick_plates_cool_slowly() {
    let mut bench = clean();
    bench.segment(6, |s| s.ramp = rate(10.1));
    bench.passes("cooling-hard-on-ceramics"); // 6 mm
    let level = Arc::make_mut(&mut bench.plan.load.stacks[0].levels[0]);
    level.setter = "alumina-square-300x10".to_owned();
    bench.finds("cooling-hard-on-ceramics");
    bench.segment(6, |s| s.ramp = rate(10.0));
    bench.passes("cooling-hard-on-ceramics");
    let mut unknown = bench.clone();
    let level = Arc::make_mut(&mut unknown.plan.load.stacks[0].levels[0]);
    level.setter = "no-such-plate".to_owned();
    unknown.lacks("cooling-hard-on-ceramics");
    bench.without_limit("ceramic-cooling-from");
    bench.lacks("cooling-hard-on-ceramics");
}

#[test]
fn the_profile_ends_cold() {
    let mut bench = clean();
    bench.passes("ends-hot");
    bench.segment(7, |s| s.to_c = 61.0);
    bench.finds("ends-hot");
}

#[test]
fn the_fan_runs_only_where_there_is_one_and_it_is_cool() {
    let mut bench = clean();
    bench.segment(7, |s| s.events.push(event(EventKind::FanOn)));
    bench.finds("fan-not-usable");
    bench.plan.load.furnace = "round-hot-zone".to_owned(); // below 1000 °C, from 700 mbar
    bench.segment(7, |s| s.pressure_mbar = Some(50.0));
    bench.finds("fan-not-usable");
    bench.segment(7, |s| s.pressure_mbar = Some(700.0));
    bench.passes("fan-not-usable");
    bench.segment(6, |s| {
        s.pressure_mbar = Some(700.0);
        s.events.push(event(EventKind::FanOn));
    });
    bench.finds("fan-not-usable");
    bench.plan.load.furnace = "no-such-furnace".to_owned();
    bench.lacks("fan-not-usable");
}

#[test]
fn slips_of_the_keyboard() {
    let mut bench = clean();
    bench.profile(|p| p.start_c = 150.0);
    bench.passes("first-target-below-start");
    bench.profile(|p| p.start_c = 151.0);
    bench.finds("first-target-below-start");

    for (k_min, trips) in [(50.0, false), (60.0, true), (0.05, false), (0.04, true)] {
        let mut bench = clean();
        bench.segment(1, |s| s.ramp = rate(k_min));
        let found = bench.found("rate-unit-suspicion");
        assert_eq!(found.len(), usize::from(trips), "{k_min}");
    }
    let mut bench = clean();
    bench.without_limit("rate-suspect-low");
    bench.lacks("rate-unit-suspicion");

    // 1.7 times 1375 °C is 2337.5 °C; 1360 °C is 2480 °F.
    let mut bench = clean();
    bench.segment(5, |s| s.to_c = 2337.0);
    bench.passes("fahrenheit-suspicion");
    bench.segment(5, |s| s.to_c = 2480.0);
    let finding = bench.finds("fahrenheit-suspicion");
    let meant = finding
        .args
        .iter()
        .find(|(name, _)| *name == "meant")
        .unwrap();
    assert_eq!(meant.1.to_string(), "1360\u{a0}°C");
    bench.without_limit("fahrenheit-factor");
    bench.lacks("fahrenheit-suspicion");
    // A first hold at 968: 520 °C is 968 °F, and 1.7 times 550 °C is 935 °C.
    let mut bench = clean();
    bench.segment(2, |s| s.hold_min = 0.0);
    bench.segment(3, |s| s.to_c = 935.0);
    bench.passes("fahrenheit-suspicion");
    bench.segment(3, |s| s.to_c = 968.0);
    bench.finds("fahrenheit-suspicion");
}
