//! Series with gaps.

use proptest::prelude::*;
use setterwright::series::{Series, SeriesFault};

/// 0–10 min rising 20 → 40, a gap, 30–40 min level at 100.
fn with_gap() -> Series {
    let mut series = Series::new();
    series.push(0.0, 20.0).unwrap();
    series.push(10.0, 40.0).unwrap();
    series.push_after_gap(30.0, 100.0).unwrap();
    series.push(40.0, 100.0).unwrap();
    series
}

#[test]
fn nothing_is_known_in_a_gap_or_outside() {
    let series = with_gap();
    for (time_min, expected) in [
        (-0.1, None),
        (0.0, Some(20.0)),
        (2.5, Some(25.0)),
        (10.0, Some(40.0)),
        (10.1, None),
        (29.9, None),
        (30.0, Some(100.0)),
        (40.0, Some(100.0)),
        (40.1, None),
        (f64::NAN, None),
    ] {
        assert_eq!(series.at(time_min), expected, "{time_min} min");
    }
    assert_eq!(Series::new().at(0.0), None);
    assert_eq!(series.covered_min(), 20.0);
    assert_eq!(series.len(), 4);
}

#[test]
fn smallest_and_largest_in_a_stretch() {
    let series = with_gap();
    for (from_min, to_min, expected) in [
        (2.5, 5.0, Some((25.0, 30.0))),
        (5.0, 35.0, Some((30.0, 100.0))),
        (5.0, 20.0, Some((30.0, 40.0))),
        (12.0, 28.0, None),
        (50.0, 60.0, None),
        (-5.0, 100.0, Some((20.0, 100.0))),
        (5.0, 2.5, None),
        (f64::NAN, 5.0, None),
    ] {
        assert_eq!(
            series.min_max(from_min, to_min),
            expected,
            "{from_min} to {to_min}"
        );
    }
}

#[test]
fn a_step_takes_the_later_value_and_a_gap_at_the_front_is_none() {
    let mut series = Series::new();
    series.push_after_gap(0.0, 1.0).unwrap();
    series.push(1.0, 1.0).unwrap();
    series.push(1.0, 5.0).unwrap();
    series.push(2.0, 5.0).unwrap();
    assert_eq!(series.at(1.0), Some(5.0));
    assert_eq!(series.at(0.5), Some(1.0));
    assert_eq!(series.covered_min(), 2.0);
}

#[test]
fn a_refused_point_leaves_the_series_as_it_was() {
    let mut series = with_gap();
    let before = series.clone();
    assert_eq!(
        series.push(39.0, 1.0),
        Err(SeriesFault::OutOfOrder {
            time_min: 39.0,
            last_min: 40.0
        })
    );
    for (time_min, value) in [
        (f64::NAN, 1.0),
        (50.0, f64::NAN),
        (50.0, f64::INFINITY),
        (1e300, 1.0),
    ] {
        assert!(matches!(
            series.push_after_gap(time_min, value),
            Err(SeriesFault::NotUsable { .. })
        ));
    }
    assert_eq!(series, before);
}

proptest! {
    #[test]
    fn values_between_two_points_stay_between_them(
        points in prop::collection::vec((0.0..100.0_f64, -1e15..1e15_f64, any::<bool>()), 1..20),
        share in 0.0..1.0_f64,
    ) {
        let mut series = Series::new();
        let mut now_min = 0.0;
        for (after_min, value, gap) in points {
            now_min += after_min;
            if gap {
                series.push_after_gap(now_min, value).unwrap();
            } else {
                series.push(now_min, value).unwrap();
            }
        }
        for (a, b) in series.legs() {
            let time_min = a.0 + (b.0 - a.0) * share;
            if time_min < b.0 {
                let value = series.at(time_min).unwrap();
                prop_assert!(a.1.min(b.1) <= value && value <= a.1.max(b.1));
            }
        }
        let (low, high) = series.min_max(0.0, now_min).unwrap();
        for &(_, value) in series.points() {
            prop_assert!(low <= value && value <= high);
        }
    }
}
