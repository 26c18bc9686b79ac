use super::*;
use crate::catalogue::{FirstStep, builtin};

/// Every number's place, source and standing.
pub(in super::super) fn sources(s: &Standards) -> Vec<(String, &str, Standing)> {
    let u = &s.uniformity;
    let mut all = vec![
        ("furnace classes".to_owned(), u.source.as_str(), u.standing),
        (
            "drift".to_owned(),
            s.drift_k.source.as_str(),
            s.drift_k.standing,
        ),
        (
            "overshoot".to_owned(),
            s.overshoot_k.source.as_str(),
            s.overshoot_k.standing,
        ),
        (
            "fixed points".to_owned(),
            s.fixed_points.source.as_str(),
            s.fixed_points.standing,
        ),
        (
            "oxygen".to_owned(),
            s.oxygen.source.as_str(),
            s.oxygen.standing,
        ),
    ];
    let tolerance = |t: &Tolerance| format!("tolerance {} {}", t.kind, t.class);
    all.extend(
        s.tolerances
            .iter()
            .map(|t| (tolerance(t), t.source.as_str(), t.standing)),
    );
    all.extend(
        s.emf
            .iter()
            .map(|e| (format!("EMF {}", e.kind), e.source.as_str(), e.standing)),
    );
    all.extend(
        s.flammable
            .iter()
            .map(|f| (f.gas.clone(), f.source.as_str(), f.standing)),
    );
    all.extend(
        s.atmospheres
            .iter()
            .map(|r| (r.rule.clone(), r.source.as_str(), r.standing)),
    );
    all
}

fn emf(kind: &str, c: f64) -> f64 {
    standards().emf(kind).unwrap().mv(c).unwrap()
}

#[test]
fn the_asset_of_this_build_parses() {
    let read = parse().unwrap();
    assert_eq!((read.kind.as_str(), read.version), ("standards", 1));
    assert_eq!(&read, standards());
}

/// `physics.md` 7d and rows 84 to 87: NIST SRD 60's coefficients, values computed apart.
#[test]
fn emf_of_types_k_s_and_b_as_computed_apart() {
    let rows = [
        (100.0, 4.0962, 0.6459, 0.0332),
        (300.0, 12.2086, 2.3230, 0.4306),
        (500.0, 20.6443, 4.2333, 1.2418),
        (660.323, 27.4607, 5.8601, 2.1670),
        (800.0, 33.2754, 7.3450, 3.1536),
        (961.78, 39.7781, 9.1484, 4.4907),
        (1000.0, 41.2756, 9.5871, 4.8343),
        (1064.18, 43.7552, 10.3342, 5.4335),
        (1084.62, 44.5351, 10.5748, 5.6300),
        (1200.0, 48.8382, 11.9505, 6.7864),
    ];
    for (c, k, s, b) in rows {
        for (kind, want) in [("K", k), ("S", s), ("B", b)] {
            assert!(
                (emf(kind, c) - want).abs() < 6e-5,
                "{kind} {c}: {}",
                emf(kind, c)
            );
        }
    }
    assert!((emf("K", 1000.0) - 41.276).abs() < 1e-3);
    assert!((emf("S", 1200.0) - 11.951).abs() < 1e-3);
    assert!((emf("B", 1400.0) - 8.956).abs() < 1e-3);
    assert!((emf("S", 1064.18) - 10.3342).abs() < 1e-3);
}

/// NIST SRD 60's own tables, to the microvolt (recalled): N 1000 °C 36.256, N 1300 °C 47.513,
/// R 1000 °C 10.506, R 1500 °C 17.451, S 1500 °C 15.582, B 1700 °C 12.433, K −100 °C −3.554, K
/// 1300 °C 52.410 mV. Type C after ASTM E988: 500 °C 8.657, 1000 °C 18.260, 2000 °C 33.669 (the
/// first and the last are those of the script that was read, computed apart).
#[test]
fn emf_of_the_other_types_as_tabled() {
    let rows = [
        ("N", 1000.0, 36.256),
        ("N", 1300.0, 47.513),
        ("R", 1000.0, 10.506),
        ("R", 1500.0, 17.451),
        ("S", 1500.0, 15.582),
        ("B", 1700.0, 12.433),
        ("K", -100.0, -3.554),
        ("K", 1300.0, 52.410),
        ("C", 500.0, 8.657),
        ("C", 1000.0, 18.260),
        ("C", 2000.0, 33.669),
    ];
    for (kind, c, want) in rows {
        let got = emf(kind, c);
        assert!(
            (got - want).abs() < 6e-4,
            "{kind} {c}: {got}, tabled {want}"
        );
    }
}

/// A misprinted coefficient shows where two pieces meet, or as a bend.
#[test]
fn pieces_meet_and_rise() {
    for e in &standards().emf {
        for (a, b) in e.pieces.iter().zip(e.pieces.iter().skip(1)) {
            assert_eq!(a.to_c, b.from_c, "{}", e.kind);
            let below = e.mv(a.to_c).unwrap();
            let above = e.mv(a.to_c + 1e-9).unwrap();
            assert!(
                (below - above).abs() < 2e-6,
                "{}: {}",
                e.kind,
                below - above
            );
        }
        let mut c = e.reads_from_c;
        while c + 1.0 <= e.to_c().unwrap() {
            assert!(e.mv(c + 1.0) > e.mv(c), "{} at {c}", e.kind);
            c += 1.0;
        }
    }
}

#[test]
fn the_inverse_is_one() {
    for e in &standards().emf {
        let mut c = e.reads_from_c;
        while c <= e.to_c().unwrap() {
            let back = e.c(e.mv(c).unwrap()).unwrap();
            assert!((back - c).abs() < 1e-6, "{} {c}: {back}", e.kind);
            c += 37.0;
        }
        assert_eq!(e.c(1000.0), None);
        assert_eq!(e.mv(5000.0), None);
    }
}

/// IEC 60584-2:1982 as reposted; ASTM E230-12 as reposted: type C ±1 % gives ±13.6 K at 1360 °C (`model.md` 8).
#[test]
fn tolerances_as_listed() {
    let at = |kind, class, c| standards().tolerance(kind, class).unwrap().at(c);
    let near = |got: Option<f64>, want: f64| assert!((got.unwrap() - want).abs() < 1e-9, "{got:?}");
    near(at("K", 1, 375.0), 1.5);
    near(at("K", 1, 1000.0), 4.0);
    assert_eq!(at("K", 1, 1001.0), None);
    near(at("K", 2, 333.0), 2.5);
    near(at("K", 2, 1200.0), 9.0);
    near(at("N", 2, 1000.0), 7.5);
    near(at("S", 1, 1100.0), 1.0);
    near(at("S", 1, 1400.0), 1.9);
    near(at("R", 1, 1600.0), 2.5);
    near(at("S", 2, 600.0), 1.5);
    near(at("S", 2, 1360.0), 3.4);
    near(at("B", 2, 600.0), 1.5);
    near(at("B", 2, 1360.0), 3.4);
    near(at("B", 3, 800.0), 4.0);
    near(at("B", 3, 1600.0), 8.0);
    near(at("C", 2, 1360.0), 13.6);
    near(at("C", 2, 450.0), 4.5);
    assert!(standards().tolerance("C", 1).is_none());
    // Type B has no stated tolerance in the debind range.
    assert_eq!(standards().any_tolerance_at("B", 450.0), Some(false));
    assert_eq!(standards().any_tolerance_at("b", 650.0), Some(true));
    assert_eq!(standards().any_tolerance_at("Z", 650.0), None);
}

#[test]
fn between_its_knots_a_tolerance_is_straight() {
    for t in &standards().tolerances {
        let knots = t.knots();
        assert_eq!(
            (knots.first(), knots.last()),
            (Some(&t.from_c), Some(&t.to_c))
        );
        for pair in knots.windows(2) {
            let middle = t.at(0.5 * (pair[0] + pair[1])).unwrap();
            let mean = 0.5 * (t.at(pair[0]).unwrap() + t.at(pair[1]).unwrap());
            assert!((middle - mean).abs() < 1e-9, "{} {}", t.kind, t.class);
        }
    }
}

/// AMS 2750F, Table 11 (row 88 of `physics.md`), and the same in Fahrenheit rounded to whole
/// kelvins as the standard prints it.
#[test]
fn furnace_classes() {
    let got: Vec<f64> = (1..=6)
        .map(|class| standards().uniformity_k(class).unwrap())
        .collect();
    assert_eq!(got, [3.0, 6.0, 8.0, 10.0, 14.0, 28.0]);
    let fahrenheit = [5.0, 10.0, 15.0, 20.0, 25.0, 50.0];
    for (k, f) in got.iter().zip(fahrenheit) {
        assert!((k - f / 1.8).abs() < 1.2, "{k} K, {f} °F");
    }
    assert_eq!(standards().uniformity_k(7), None);
}

/// ITS-90, Table 1; 760 °C is 1400 °F (row 89); OSHA's oxygen limits.
#[test]
fn fixed_points_oxygen_and_rules() {
    let s = standards();
    let point = |metal: &str| {
        let mut points = s.fixed_points.points.iter();
        points.find(|(m, _)| m == metal).unwrap().1
    };
    assert_eq!(point("Au"), 1064.18);
    assert_eq!(
        (point("Ag"), point("Cu"), point("Al")),
        (961.78, 1084.62, 660.323)
    );
    assert_eq!(
        (point("In"), point("Sn"), point("Zn")),
        (156.5985, 231.928, 419.527)
    );
    assert_eq!(
        (s.oxygen.deficient_pct, s.oxygen.enriched_pct),
        (19.5, 23.5)
    );
    let rule = |words: &str| {
        let mut rules = s.atmospheres.iter();
        rules.find(|r| r.rule.starts_with(words)).unwrap().value
    };
    assert!((rule("fuel admitted") - (1400.0 - 32.0) / 1.8).abs() < 1e-9);
    assert_eq!(
        (
            rule("oven exhaust at most, "),
            rule("oven exhaust at most with")
        ),
        (25.0, 50.0)
    );
}

/// The same numbers stand in gases, binders and limits: they must not differ.
#[test]
fn the_catalogue_agrees_with_them() {
    let s = standards();
    let (c, _) = builtin().unwrap();
    let lower = |gas: &str| {
        let mut gases = s.flammable.iter();
        gases.find(|f| f.gas == gas).unwrap().lower_pct
    };
    assert_eq!(
        c.gas("hydrogen").unwrap().lower_flammable_limit_pct,
        Some(lower("hydrogen"))
    );
    for (_, b) in c.binders.values() {
        if let FirstStep::Solvent {
            solvent,
            lower_flammable_limit_pct: Some(pct),
            ..
        } = &b.first_step
        {
            assert_eq!(*pct, lower(solvent.trim_start_matches("n-")), "{}", b.id);
        }
    }
    for f in &s.flammable {
        assert!(f.lower_pct < f.upper_pct, "{}", f.gas);
    }
    let limit = |id: &str| c.limit(id, &Default::default()).unwrap().value;
    assert_eq!(limit("oxygen-deficient"), s.oxygen.deficient_pct);
    for (id, words) in [
        ("hydrogen-ignition", "fuel admitted"),
        ("purge-volumes", "purge, furnace"),
    ] {
        let mut rules = s.atmospheres.iter();
        assert_eq!(
            limit(id),
            rules.find(|r| r.rule.starts_with(words)).unwrap().value
        );
    }
    // The ranges of the limits end where the tolerances end.
    for kind in ["B", "C", "K", "N", "R", "S"] {
        let to = s
            .tolerances
            .iter()
            .filter(|t| t.kind == kind)
            .map(|t| t.to_c);
        let most = limit(&format!("thermocouple-max-{}", kind.to_lowercase()));
        assert_eq!(to.fold(0.0, f64::max), most, "{kind}");
    }
}

#[test]
fn another_type_shows_another_temperature() {
    let s = standards();
    let shows = |sensor, instrument, c| s.misread(sensor, instrument, c, TERMINALS_C);
    // Its own type is read right.
    let Misread::Shows(own) = shows("K", "K", 450.0) else {
        panic!()
    };
    assert!((own - 450.0).abs() < 1e-6);
    // Type S at 1200 °C gives 11.951 mV: on an instrument set for K about 300 °C.
    let Misread::Shows(low) = shows("S", "K", 1200.0) else {
        panic!()
    };
    assert!((low - 313.0).abs() < 5.0, "{low}");
    // The other way the EMF of K at 1000 °C is more than any S gives.
    assert_eq!(shows("K", "S", 1000.0), Misread::OffScale);
    // R for S: a small error that nobody sees.
    let Misread::Shows(r) = shows("R", "S", 1360.0) else {
        panic!()
    };
    assert!((r - 1360.0).abs() > 50.0, "{r}");
    assert_eq!(shows("Z", "S", 1000.0), Misread::Unknown);
    assert_eq!(shows("K", "S", 3000.0), Misread::Unknown);
}
