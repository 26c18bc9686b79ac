//! Profile: faults, setpoint curve, ranges, slips.

use proptest::prelude::*;
use setterwright::profile::{
    Curve, Event, EventAt, EventKind, Fault, Field, Going, Interval, NoOverlap, OnLeave, Phase,
    Profile, RampBy, Range, Segment, SegmentId, SegmentRef, WaitFor, WaitOn, intersection, slips,
};

fn segment(id: u32, ramp: RampBy, to_c: f64, hold_min: f64) -> Segment {
    Segment {
        id: SegmentId(id),
        ramp,
        to_c,
        hold_min,
        wait_on: None,
        gas: None,
        flow_l_min_25c: 0.0,
        pressure_mbar: None,
        events: Vec::new(),
        note: String::new(),
    }
}

fn at_rate(id: u32, k_min: f64, to_c: f64, hold_min: f64) -> Segment {
    segment(id, RampBy::Rate { k_min }, to_c, hold_min)
}

fn profile(start_c: f64, segments: Vec<Segment>) -> Profile {
    Profile {
        name: "Test".to_owned(),
        revision: "A".to_owned(),
        start_c,
        segments,
        unload_c: 60.0,
        approval: None,
    }
}

/// The program of model.md 4.13, from 25 °C (298.15 K).
fn reference() -> Profile {
    profile(
        25.0,
        vec![
            at_rate(1, 2.0, 300.0, 60.0),
            at_rate(2, 2.0, 450.0, 90.0),
            at_rate(3, 5.0, 1000.0, 30.0),
            at_rate(4, 5.0, 1360.0, 90.0),
        ],
    )
}

fn curve(profile: &Profile) -> Curve {
    profile.curve(Some(10.0)).unwrap()
}

fn near(got: f64, expected: f64) {
    assert!((got - expected).abs() < 1e-9, "{got}, not {expected}");
}

#[test]
fn reference_program_has_the_published_minutes() {
    // model.md 4.13: end of each ramp and hold.
    let expected = [137.5, 197.5, 272.5, 362.5, 472.5, 502.5, 574.5, 664.5];
    let curve = curve(&reference());
    let minutes: Vec<f64> = curve.points().iter().skip(1).map(|p| p.time_min).collect();
    assert_eq!(minutes.len(), expected.len());
    for (got, expected) in minutes.into_iter().zip(expected) {
        near(got, expected);
    }
    let phases: Vec<(usize, Phase)> = curve
        .points()
        .iter()
        .map(|p| (p.segment, p.phase))
        .collect();
    assert_eq!(phases[0], (0, Phase::Ramp));
    assert_eq!(phases[3], (1, Phase::Ramp));
    assert_eq!(phases[8], (3, Phase::Hold));
    near(curve.total_time_min(), 664.5);
    near(curve.peak_c(), 1360.0);
    // By hand: half way up the first ramp 25 + 137.5; 100 min into the third: 450 + 500.
    near(curve.setpoint_at(68.75).unwrap(), 162.5);
    near(curve.setpoint_at(462.5).unwrap(), 950.0);
    near(curve.setpoint_at(600.0).unwrap(), 1360.0);
    assert_eq!(curve.setpoint_at(-0.1), None);
    assert_eq!(curve.setpoint_at(664.6), None);
    assert!(reference().faults(None).is_empty());
}

#[test]
fn times_in_a_range_by_hand() {
    // 25 → 225 in 100 min, hold 30, down to 25 in 50.
    let p = profile(
        25.0,
        vec![at_rate(1, 2.0, 225.0, 30.0), at_rate(2, 4.0, 25.0, 0.0)],
    );
    let curve = curve(&p);
    let interval = |from_min, to_min, going| Interval {
        from_min,
        to_min,
        going,
    };
    assert_eq!(
        curve.intervals(125.0, 225.0),
        [
            interval(50.0, 100.0, Going::Rising),
            interval(100.0, 130.0, Going::Level),
            interval(130.0, 155.0, Going::Falling),
        ]
    );
    assert_eq!(
        curve.intervals(75.0, 125.0),
        [
            interval(25.0, 50.0, Going::Rising),
            interval(155.0, 167.5, Going::Falling)
        ]
    );
    assert!(curve.intervals(300.0, 400.0).is_empty());
    assert!(curve.intervals(125.0, 75.0).is_empty());
    assert!(curve.intervals(f64::NAN, 100.0).is_empty());
    near(curve.time_in_range_min(75.0, 125.0), 37.5);
    near(curve.time_at_or_above_min(125.0), 105.0);
    near(curve.time_at_or_above_min(225.0), 30.0); // a hold at the limit counts
    near(curve.time_at_or_above_min(0.0), 180.0);
    assert_eq!(curve.first_time_at_or_above_min(125.0), Some(50.0));
    assert_eq!(curve.first_time_at_or_above_min(225.0), Some(100.0));
    assert_eq!(curve.first_time_at_or_above_min(20.0), Some(0.0));
    assert_eq!(curve.first_time_at_or_above_min(226.0), None);
}

#[test]
fn neighbouring_stretches_that_move_alike_are_one() {
    // Two ramps end to end, then two holds end to end.
    let p = profile(
        25.0,
        vec![
            at_rate(1, 2.0, 125.0, 0.0),
            at_rate(2, 4.0, 225.0, 30.0),
            at_rate(3, 4.0, 225.0, 15.0),
        ],
    );
    let found = curve(&p).intervals(0.0, 300.0);
    let ends: Vec<(f64, f64)> = found.iter().map(|i| (i.from_min, i.to_min)).collect();
    assert_eq!(ends, [(0.0, 75.0), (75.0, 120.0)]);
}

#[test]
fn rates_are_signed_and_exact() {
    let p = profile(
        20.0,
        vec![
            at_rate(1, 0.3, 1000.1, 10.0), // no quotient of rounded times
            segment(2, RampBy::Time { min: 50.0 }, 900.1, 0.0),
            segment(3, RampBy::FullRate, 400.1, 0.0),
            at_rate(4, 3.0, 400.1, 15.0),
            segment(5, RampBy::Time { min: 20.0 }, 400.1, 15.0),
            segment(6, RampBy::Time { min: 0.0 }, 500.0, 1.0),
        ],
    );
    let curve = curve(&p);
    let rates: Vec<Option<f64>> = (0..7).map(|i| curve.ramp_rate_k_min(i)).collect();
    assert_eq!(
        rates,
        [
            Some(0.3),
            Some(-2.0),
            Some(-10.0),
            Some(0.0),
            Some(0.0),
            None,
            None
        ]
    );
    // A time given is a time taken, even where the target is already reached.
    near(
        curve.points()[9].time_min - curve.points()[8].time_min,
        20.0,
    );
    near(
        curve.points()[5 + 1].time_min - curve.points()[4].time_min,
        50.0,
    ); // 500 K at 10 K/min
}

#[test]
fn full_rate_needs_the_furnace() {
    let here = SegmentRef {
        id: SegmentId(7),
        number: 1,
    };
    let p = profile(25.0, vec![segment(7, RampBy::FullRate, 525.0, 0.0)]);
    for unknown in [
        None,
        Some(0.0),
        Some(-5.0),
        Some(f64::NAN),
        Some(f64::INFINITY),
    ] {
        assert_eq!(
            p.curve(unknown),
            Err(Fault::FullRateUnknown { segment: here })
        );
        assert_eq!(
            p.faults(unknown),
            [Fault::FullRateUnknown { segment: here }]
        );
    }
    near(p.curve(Some(20.0)).unwrap().total_time_min(), 25.0);
    let nowhere = profile(25.0, vec![segment(7, RampBy::FullRate, 25.0, 5.0)]);
    near(nowhere.curve(None).unwrap().total_time_min(), 5.0);
}

fn soak(band_k: f64, timeout_min: Option<f64>) -> Option<WaitOn> {
    Some(WaitOn {
        on: WaitFor::AllLoad,
        band_k,
        on_ramp: false,
        on_hold: true,
        on_leave: OnLeave::Pause,
        timeout_min,
    })
}

/// The reference program with its second segment changed has exactly this fault.
fn second_has(change: impl Fn(&mut Segment), expected: impl Fn(SegmentRef) -> Fault) {
    let mut p = reference();
    change(&mut p.segments[1]);
    let here = SegmentRef {
        id: p.segments[1].id,
        number: 2,
    };
    let faults = p.faults(None);
    assert_eq!(faults, [expected(here)]);
    assert_eq!(p.curve(None).is_err(), faults[0].blocks_curve());
    assert_eq!(faults[0].segment(), Some(here));
    let sentence = faults[0].to_string();
    assert!(
        sentence.starts_with("Segment 2: ") && sentence.ends_with('.'),
        "{sentence}"
    );
}

#[test]
fn each_fault_of_a_segment() {
    let at = Some;
    second_has(
        |s| s.to_c = f64::NAN,
        |h| Fault::NotFinite {
            segment: at(h),
            field: Field::Target,
        },
    );
    second_has(
        |s| s.to_c = -300.0,
        |h| Fault::BelowAbsoluteZero {
            segment: at(h),
            field: Field::Target,
            value_c: -300.0,
        },
    );
    second_has(
        |s| s.to_c = 45_000.0,
        |h| Fault::TooLarge {
            segment: at(h),
            field: Field::Target,
            value: 45_000.0,
        },
    );
    second_has(
        |s| s.ramp = RampBy::Rate { k_min: -2.0 },
        |h| Fault::Negative {
            segment: at(h),
            field: Field::Rate,
            value: -2.0,
        },
    );
    second_has(
        |s| s.ramp = RampBy::Rate { k_min: 0.0 },
        |h| Fault::ZeroRate { segment: h },
    );
    second_has(
        |s| s.ramp = RampBy::Rate { k_min: 1.5e-5 },
        |h| Fault::TooLarge {
            segment: at(h),
            field: Field::RampTime,
            value: 150.0 / 1.5e-5,
        },
    );
    second_has(
        |s| s.ramp = RampBy::Time { min: f64::INFINITY },
        |h| Fault::NotFinite {
            segment: at(h),
            field: Field::RampTime,
        },
    );
    second_has(
        |s| s.ramp = RampBy::Time { min: 0.0 },
        |h| Fault::StepJump {
            segment: h,
            jump_k: 150.0,
        },
    );
    second_has(
        |s| s.hold_min = -1.0,
        |h| Fault::Negative {
            segment: at(h),
            field: Field::Hold,
            value: -1.0,
        },
    );
    second_has(
        |s| s.wait_on = soak(5.0, None),
        |h| Fault::MissingTimeout { segment: h },
    );
    second_has(
        |s| s.wait_on = soak(5.0, Some(0.0)),
        |h| Fault::MissingTimeout { segment: h },
    );
    second_has(
        |s| s.wait_on = soak(5.0, Some(f64::NAN)),
        |h| Fault::NotFinite {
            segment: at(h),
            field: Field::Timeout,
        },
    );
    second_has(
        |s| s.wait_on = soak(0.0, Some(60.0)),
        |h| Fault::ZeroBand { segment: h },
    );
    second_has(
        |s| {
            s.wait_on = soak(5.0, Some(60.0)).map(|w| WaitOn {
                on_hold: false,
                ..w
            })
        },
        |h| Fault::WaitsNowhere { segment: h },
    );
    second_has(
        |s| s.flow_l_min_25c = 5.0,
        |h| Fault::FlowWithoutGas { segment: h },
    );
    second_has(
        |s| s.pressure_mbar = Some(-1.0),
        |h| Fault::Negative {
            segment: at(h),
            field: Field::Pressure,
            value: -1.0,
        },
    );
    let event = |kind| {
        vec![Event {
            at: EventAt::Start,
            kind,
        }]
    };
    second_has(
        |s| s.events = event(EventKind::PurgeInert { volumes: f64::NAN }),
        |h| Fault::NotFinite {
            segment: at(h),
            field: Field::PurgeVolumes,
        },
    );
    second_has(
        |s| s.events = event(EventKind::PumpDown { to_mbar: -1.0 }),
        |h| Fault::Negative {
            segment: at(h),
            field: Field::EventPressure,
            value: -1.0,
        },
    );
    second_has(
        |s| s.id = SegmentId(1),
        |h| Fault::RepeatedId { segment: h },
    );
}

#[test]
fn faults_of_the_profile_itself() {
    let mut p = profile(f64::NAN, Vec::new());
    p.unload_c = -500.0;
    let start = Fault::NotFinite {
        segment: None,
        field: Field::Start,
    };
    let unload = Fault::BelowAbsoluteZero {
        segment: None,
        field: Field::Unload,
        value_c: -500.0,
    };
    assert_eq!(p.faults(None), [start, unload, Fault::NoSegments]);
    assert_eq!(p.curve(None), Err(start));
    // Only what the curve is made of can block it.
    let mut p = reference();
    p.unload_c = f64::NAN;
    assert_eq!(p.faults(None).len(), 1);
    assert!(p.curve(None).is_ok());
}

#[test]
fn a_sound_soak_has_no_fault() {
    let mut p = reference();
    p.segments[1].wait_on = soak(5.0, Some(120.0));
    p.segments[1].gas = Some("argon".to_owned());
    p.segments[1].flow_l_min_25c = 25.0;
    assert!(p.faults(None).is_empty());
}

#[test]
fn what_ranges_have_in_common() {
    let range = |from_c, to_c| Range { from_c, to_c };
    assert_eq!(
        intersection(&[
            range(1300.0, 1380.0),
            range(1350.0, 1390.0),
            range(1200.0, 1360.0)
        ]),
        Ok(range(1350.0, 1360.0))
    );
    assert_eq!(
        intersection(&[range(1.0, 2.0), range(2.0, 3.0)]),
        Ok(range(2.0, 2.0))
    );
    // practice.md 9: 17-4PH 1300–1380, M2 in vacuum 1190–1210, Fe–2Ni 1200–1280.
    assert_eq!(
        intersection(&[
            range(1300.0, 1380.0),
            range(1190.0, 1210.0),
            range(1200.0, 1280.0)
        ]),
        Err(NoOverlap::Pair { lower: 1, upper: 0 })
    );
    assert_eq!(intersection(&[]), Err(NoOverlap::NoRanges));
    assert_eq!(
        intersection(&[range(1.0, 2.0), range(5.0, 4.0)]),
        Err(NoOverlap::NotARange(1))
    );
    assert_eq!(
        intersection(&[range(f64::NAN, 2.0)]),
        Err(NoOverlap::NotARange(0))
    );
    assert!(range(1.0, 2.0).contains(2.0) && !range(1.0, 2.0).contains(2.1));
    near(range(1300.0, 1380.0).width_k(), 80.0);
}

#[test]
fn slips_between_units_are_suspected() {
    use slips::{RateSlip, fahrenheit_slip, rate_slip};
    // practice.md 4.5: above 50 or below 0.05 K/min; target above 1.7 × the top of the range.
    let slip = |k_min| rate_slip(k_min, 0.05, 50.0);
    assert_eq!(slip(120.0), Some(RateSlip::MeantPerHour { k_min: 2.0 }));
    assert_eq!(slip(-120.0), Some(RateSlip::MeantPerHour { k_min: -2.0 }));
    assert_eq!(
        slip(0.03125),
        Some(RateSlip::MeantPerMinute { k_min: 1.875 })
    );
    for plain in [0.05, 2.0, -10.0, 50.0, 0.0, f64::NAN, f64::INFINITY] {
        assert_eq!(slip(plain), None, "{plain}");
    }
    // 2462 °F is 1350 °C; 316L sinters up to 1390 °C.
    near(fahrenheit_slip(2462.0, 1390.0, 1.7).unwrap(), 1350.0);
    assert_eq!(fahrenheit_slip(1390.0, 1390.0, 1.7), None);
    assert_eq!(fahrenheit_slip(f64::NAN, 1390.0, 1.7), None);
    assert_eq!(fahrenheit_slip(100.0, 0.0, 1.7), None);
}

/// A program without faults: paced ramps only.
fn sound_profile() -> impl Strategy<Value = Profile> {
    let ramp = prop_oneof![
        (0.05..50.0_f64).prop_map(|k_min| RampBy::Rate { k_min }),
        (1.0..500.0_f64).prop_map(|min| RampBy::Time { min }),
        Just(RampBy::FullRate),
    ];
    let target = prop_oneof![Just(450.0), 20.0..1500.0_f64];
    let hold = prop_oneof![Just(0.0), 0.0..500.0_f64];
    let segments = prop::collection::vec((ramp, target, hold), 1..12);
    (20.0..100.0_f64, segments).prop_map(|(start_c, parts)| {
        let parts = parts.into_iter().zip(1..);
        let segments = parts.map(|((ramp, to_c, hold), id)| segment(id, ramp, to_c, hold));
        profile(start_c, segments.collect())
    })
}

/// Any number a file could hold.
fn any_number() -> impl Strategy<Value = f64> {
    prop_oneof![
        any::<f64>(),
        -10.0..2000.0_f64,
        Just(0.0),
        Just(-0.0),
        Just(f64::MAX)
    ]
}

fn any_profile() -> impl Strategy<Value = Profile> {
    let ramp = prop_oneof![
        any_number().prop_map(|k_min| RampBy::Rate { k_min }),
        any_number().prop_map(|min| RampBy::Time { min }),
        Just(RampBy::FullRate),
    ];
    let segments = prop::collection::vec((ramp, any_number(), any_number()), 0..5);
    (any_number(), segments).prop_map(|(start_c, parts)| {
        let parts = parts.into_iter().zip(1..);
        let segments = parts.map(|((ramp, to_c, hold), id)| segment(id, ramp, to_c, hold));
        profile(start_c, segments.collect())
    })
}

proptest! {
    #[test]
    fn total_is_the_sum_of_ramps_and_holds(p in sound_profile()) {
        prop_assert_eq!(p.faults(Some(10.0)), []);
        let curve = curve(&p);
        let mut from_c = p.start_c;
        let mut sum_min = 0.0;
        for s in &p.segments {
            let by_k = (s.to_c - from_c).abs();
            sum_min += s.hold_min + match s.ramp {
                RampBy::Rate { k_min } => by_k / k_min,
                RampBy::Time { min } => min,
                RampBy::FullRate => by_k / 10.0,
            };
            from_c = s.to_c;
        }
        let total = curve.total_time_min();
        prop_assert!((total - sum_min).abs() <= 1e-9 * (1.0 + sum_min));
        let covered = curve.time_in_range_min(f64::NEG_INFINITY, f64::INFINITY);
        prop_assert!((total - covered).abs() <= 1e-9 * (1.0 + total));
    }

    #[test]
    fn curve_runs_forward_and_without_jumps(p in sound_profile(), share in 0.0..1.0_f64) {
        let curve = curve(&p);
        prop_assert_eq!(curve.points().len(), 1 + 2 * p.segments.len());
        for pair in curve.points().windows(2) {
            prop_assert!(pair[0].time_min <= pair[1].time_min);
            prop_assert!(pair[0].segment <= pair[1].segment);
        }
        // No rate here is above 1480 K/min, so a nanominute moves less than 2 µK.
        let t = share * curve.total_time_min();
        let ends = curve.points().iter().map(|point| point.time_min).chain([t]);
        for t in ends {
            let (a, b) = (curve.setpoint_at(t), curve.setpoint_at(t - 1e-9));
            if let (Some(a), Some(b)) = (a, b) {
                prop_assert!((a - b).abs() < 1e-5, "{b} to {a} at {t}");
            }
        }
        let first = curve.points()[0];
        prop_assert_eq!((first.time_min, first.setpoint_c), (0.0, p.start_c));
    }

    #[test]
    fn a_range_cut_in_two_adds_up(p in sound_profile(), cut_c in 100.0..1400.0_f64) {
        // A hold exactly at the cut would be counted in both; targets here meet it by chance only.
        prop_assume!(p.segments.iter().all(|s| s.to_c != cut_c));
        let curve = curve(&p);
        let below = curve.time_in_range_min(f64::NEG_INFINITY, cut_c);
        let above = curve.time_at_or_above_min(cut_c);
        prop_assert!((below + above - curve.total_time_min()).abs() < 1e-6);
        match curve.first_time_at_or_above_min(cut_c) {
            None => prop_assert_eq!(above, 0.0),
            Some(first) => {
                let reached = curve.setpoint_at(first).unwrap();
                prop_assert!((reached - cut_c).abs() < 1e-6 || first == 0.0);
                prop_assert!(curve.intervals(cut_c, f64::INFINITY)[0].from_min >= first - 1e-9);
            }
        }
        for interval in curve.intervals(cut_c, f64::INFINITY) {
            let middle = 0.5 * (interval.from_min + interval.to_min);
            prop_assert!(curve.setpoint_at(middle).unwrap() >= cut_c - 1e-6);
        }
    }

    #[test]
    fn a_segment_split_in_two_moves_nothing(
        p in sound_profile(),
        which in any::<prop::sample::Index>(),
        share in 0.0..1.0_f64,
        look in 0.0..1.0_f64,
    ) {
        let i = which.index(p.segments.len());
        let from_c = if i == 0 { p.start_c } else { p.segments[i - 1].to_c };
        let whole = &p.segments[i];
        let mut first = whole.clone();
        first.id = SegmentId(1000);
        first.to_c = from_c + share * (whole.to_c - from_c);
        first.hold_min = 0.0;
        let mut second = whole.clone();
        if let RampBy::Time { min } = whole.ramp {
            first.ramp = RampBy::Time { min: share * min };
            second.ramp = RampBy::Time { min: (1.0 - share) * min };
        }
        let mut split = p.clone();
        split.segments.splice(i..=i, [first, second]);
        let (a, b) = (curve(&p), curve(&split));
        prop_assert!((a.total_time_min() - b.total_time_min()).abs() < 1e-6);
        let t = look * a.total_time_min().min(b.total_time_min());
        // 1480 K/min × 1e-9 min of rounding, with room.
        prop_assert!((a.setpoint_at(t).unwrap() - b.setpoint_at(t).unwrap()).abs() < 1e-4);
        prop_assert!((a.time_in_range_min(300.0, 900.0) - b.time_in_range_min(300.0, 900.0)).abs() < 1e-6);
        prop_assert_eq!(a.peak_c(), b.peak_c());
    }

    #[test]
    fn any_numbers_give_faults_or_a_finite_curve(p in any_profile(), c in any_number(), full in any_number()) {
        let faults = p.faults(Some(full));
        for fault in &faults {
            prop_assert!(fault.to_string().ends_with('.'));
        }
        match p.curve(Some(full)) {
            Err(fault) => prop_assert_eq!(Some(&fault), faults.iter().find(|f| f.blocks_curve())),
            Ok(curve) => {
                prop_assert!(!faults.iter().any(Fault::blocks_curve));
                for (i, point) in curve.points().iter().enumerate() {
                    prop_assert!(point.time_min.is_finite() && point.setpoint_c.is_finite());
                    prop_assert!(curve.ramp_rate_k_min(i).is_none_or(f64::is_finite));
                    prop_assert!(curve.setpoint_at(point.time_min).is_some_and(f64::is_finite));
                }
                prop_assert!(curve.time_at_or_above_min(c).is_finite());
                prop_assert!(curve.first_time_at_or_above_min(c).is_none_or(f64::is_finite));
                for i in curve.intervals(c, c + 100.0) {
                    prop_assert!(i.from_min < i.to_min && i.to_min.is_finite());
                }
            }
        }
    }
}
