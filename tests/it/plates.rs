//! Bending of setters. "Row" is a row of the check table in `physics.md` section 8.

use crate::shop::{catalogue, dummy, level, on_posts, placed, plan, tally};
use setterwright::catalogue::Standing;
use setterwright::load::{Carrier, Plan};
use setterwright::statics::{
    Coefficients, PlateBending, PlateCase, PlateFault, at_temperature, bend, plate_bending,
    plate_case,
};
use std::f64::consts::PI;

fn close(got: f64, expected: f64, tolerance: f64) {
    assert!(
        (got - expected).abs() <= tolerance * expected.abs(),
        "{got}, not {expected}"
    );
}

fn edges(long_mm: f64, short_mm: f64) -> PlateCase {
    PlateCase::EdgesHeld { long_mm, short_mm }
}

fn of(case: PlateCase, poisson: f64) -> Coefficients {
    case.coefficients(poisson).unwrap()
}

/// Navier's double series for a plate a × 1 simply supported on all edges, q = D = 1: deflection
/// and larger moment at the middle.
fn navier(a: f64, poisson: f64) -> (f64, f64) {
    let (mut w, mut moment) = (0.0, 0.0);
    for m in (1..400).step_by(2) {
        for n in (1..400).step_by(2) {
            let sign = if (m + n) / 2 % 2 == 1 { 1.0 } else { -1.0 };
            let (m, n) = (f64::from(m), f64::from(n));
            let (x, y) = (m * m / (a * a), n * n);
            let term = sign * 16.0 / (PI.powi(6) * m * n * (x + y) * (x + y));
            w += term;
            moment += term * PI * PI * (y + poisson * x);
        }
    }
    (w, moment)
}

#[test]
fn the_series_is_right_where_it_is_known() {
    let (w, moment) = navier(1.0, 0.3);
    close(w, 0.004_062_35, 1e-5); // row 65
    close(moment, 0.04789, 1e-3); // Timoshenko, 0.0479
}

#[test]
fn held_on_all_edges() {
    // Rows 63 and 64: Roark's β = 6m and α = 12(1 − ν²)c at ν = 0.3.
    for (ratio, beta) in [(1.0, 0.2874), (2.0, 0.6102)] {
        close(6.0 * of(edges(ratio, 1.0), 0.3).moment, beta, 1e-3);
    }
    for (ratio, alpha) in [(1.0, 0.0444), (1.6, 0.0906), (3.0, 0.1335)] {
        close(10.92 * of(edges(ratio, 1.0), 0.3).deflection, alpha, 5e-3);
    }
    // Against the series: at the rows 0.6 %, between them what a straight line loses.
    for (ratio, tolerance) in [
        (1.0, 6e-3),
        (1.1, 1e-2),
        (1.4, 6e-3),
        (1.7, 1e-2),
        (2.0, 6e-3),
        (2.25, 1e-2),
        (2.5, 1e-3),
        (2.75, 1e-2),
        (5.0, 6e-3),
        (8.0, 6e-3),
    ] {
        let found = of(edges(ratio, 1.0), 0.3);
        let (w, moment) = navier(ratio, 0.3);
        close(found.deflection, w, tolerance);
        close(found.moment, moment, tolerance);
    }
    // For another Poisson's ratio never below the series, and never 12 % above it.
    for poisson in [0.17, 0.22, 0.25, 0.32] {
        for ratio in [1.0, 1.4, 2.0, 5.0] {
            let got = of(edges(ratio, 1.0), poisson).moment;
            let (_, moment) = navier(ratio, poisson);
            assert!(
                got > 0.999 * moment && got < 1.12 * moment,
                "{poisson} {ratio}"
            );
        }
    }
}

#[test]
fn on_corner_posts() {
    let square = |poisson| {
        of(
            PlateCase::CornerPosts {
                long_mm: 1.0,
                short_mm: 1.0,
            },
            poisson,
        )
    };
    close(square(0.30).deflection, 0.025506, 5e-4); // row 66
    close(square(0.30).moment, 0.1505, 3e-3); // row 67
    close(square(0.22).moment, 0.1530, 3e-3);
    // Own second finite elements (ACM, 20 × 20) at ν = 0.22: 0.02578, 0.1531.
    close(square(0.22).deflection, 0.02578, 5e-3);
    close(square(0.22).moment, 0.1531, 5e-3);
    // Equilibrium: over the middle section the mean moment is q·a²/8, the edge is above it.
    for poisson in [0.0, 0.17, 0.22, 0.27, 0.31, 0.4] {
        let found = square(poisson);
        assert!((0.125..0.17).contains(&found.moment), "{poisson}");
    }
}

#[test]
fn on_two_rails() {
    let rails = |along_mm, poisson| {
        of(
            PlateCase::TwoRails {
                span_mm: 1.0,
                along_mm,
            },
            poisson,
        )
    };
    // physics.md 6c, own finite elements at the middle of the free edge (the row that belongs to
    // row 68's centre).
    for (poisson, deflection, moment) in [(0.30, 0.015011, 0.1312), (0.22, 0.014251, 0.1302)] {
        let found = rails(1.0, poisson);
        close(found.deflection, deflection, 1e-3);
        close(found.moment, moment, 3e-3);
    }
    // A narrow plate is a beam: 1/8 and 5/384 of EI = D(1 − ν²).
    let beam = rails(0.01, 0.3);
    close(beam.moment, 0.125, 1e-3);
    close(beam.deflection, 5.0 / 384.0 / 0.91, 1e-3);
    // Along without end, Timoshenko's table from memory: 0.1330 and 0.01522 at ν = 0.3.
    let long = rails(1e6, 0.3);
    close(long.moment, 0.1330, 1e-3);
    close(long.deflection, 0.01522, 1e-3);
}

/// w = A + Br² + r⁴/64 for q = D = R = 1, with w and the radial moment 0 at the edge.
#[test]
fn a_disc_on_a_rim() {
    for poisson in [0.2, 0.3] {
        let c = 1.0 / 64.0;
        let b = -(12.0 + 4.0 * poisson) * c / (2.0 * (1.0 + poisson));
        let a = -b - c;
        let found = of(PlateCase::RoundOnRim { diameter_mm: 2.0 }, poisson);
        close(found.side_mm, 1.0, 1e-12);
        close(found.deflection, a, 1e-12);
        close(found.moment, -2.0 * b * (1.0 + poisson), 1e-12);
    }
}

#[test]
fn the_example_setter() {
    // Row 70, with Roark's coefficients at their own ν.
    let held = of(edges(300.0, 300.0), 0.3);
    let bent = bend(&held, 600.372, 8.0, 343.0, 0.3);
    close(bent.stress_mpa, 0.24264, 1e-4);
    close(bent.deflection_um, 1.2295, 1e-4);
    // Row 71.
    let corners = PlateCase::CornerPosts {
        long_mm: 300.0,
        short_mm: 300.0,
    };
    let bent = bend(&of(corners, 0.22), 600.372, 8.0, 343.0, 0.22);
    close(bent.stress_mpa, 0.7749, 5e-3);
    close(bent.deflection_um, 8.1655, 5e-3);
}

#[test]
fn properties_at_a_temperature() {
    let catalogue = catalogue();
    let alumina = catalogue.material("alumina").unwrap();
    let strength = |at_c| at_temperature(&alumina.strength_mpa, at_c).unwrap();
    close(strength(1300.0).value, 255.0, 1e-9); // row 73: half way from 300 to 210
    for (at_c, value, beyond) in [
        (20.0, 380.0, false),
        (1200.0, 300.0, false),
        (1500.0, 130.0, false),
        (1600.0, 130.0, true),
        (0.0, 380.0, true),
    ] {
        let found = strength(at_c);
        assert_eq!((found.value, found.beyond), (value, beyond), "{at_c} °C");
    }
    assert_eq!(at_temperature(&[], 20.0), None);
}

const CORNERS: [[f64; 2]; 4] = [
    [140.0, 140.0],
    [-140.0, 140.0],
    [-140.0, -140.0],
    [140.0, -140.0],
];

fn bending(plan: &Plan, index: usize) -> Result<PlateBending, PlateFault> {
    let tally = tally(plan);
    plate_bending(
        &plan.load.stacks[0],
        index,
        &tally.levels[index],
        &catalogue(),
        1360.0,
    )
    .unwrap()
}

fn one_level(setter: &str, carrier: Carrier, mass_g: f64) -> Plan {
    let on_it = vec![placed(1, dummy(mass_g), [0.0; 2])];
    plan(
        Vec::new(),
        Vec::new(),
        vec![level(1, setter, carrier, on_it)],
    )
}

/// The fifth story: 300 × 300 × 6 mm alumina on four posts, 25 kg/m² and 23.1 of its own:
/// q = 472 Pa, 1.08 MPa, 15.2 µm; held on its edges it would be 0.34 MPa. Its E is that at
/// 1400 °C, 343 GPa; at 1360 °C the table gives 345.2.
#[test]
fn the_plates_of_the_fifth_story() {
    let found = bending(&one_level("plate", on_posts(&CORNERS), 2250.0), 0).unwrap();
    close(found.q_pa, 472.0, 1e-3);
    close(found.bent.stress_mpa, 1.08, 5e-3);
    close(found.modulus_gpa.value, 345.2, 1e-9);
    close(found.bent.deflection_um, 15.2 * 343.0 / 345.2, 5e-3);
    close(found.strength_mpa.value, 228.0, 1e-9);
    assert!(!found.more_above && !found.modulus_gpa.beyond);
    assert_eq!(found.case.standing(), Standing::Derived);
    let edge_held = bend(&of(edges(300.0, 300.0), 0.22), found.q_pa, 6.0, 343.0, 0.22);
    close(edge_held.stress_mpa, 0.34, 1e-2);
    let lying = bending(&one_level("plate", Carrier::Hearth, 2250.0), 0).unwrap();
    assert_eq!(lying.bent.stress_mpa, 0.0);
}

#[test]
fn the_carrier_decides_the_formula() {
    let catalogue = catalogue();
    let case =
        |setter: &str, carrier: &Carrier| plate_case(catalogue.setter(setter).unwrap(), carrier);
    let rim = Carrier::Rim;
    assert_eq!(case("tray", &rim), Ok(edges(200.0, 100.0)));
    assert_eq!(
        case("tray", &Carrier::RackSlot(0)),
        Ok(PlateCase::TwoRails {
            span_mm: 200.0,
            along_mm: 100.0
        })
    );
    let square = PlateCase::CornerPosts {
        long_mm: 300.0,
        short_mm: 300.0,
    };
    assert_eq!(case("plate", &on_posts(&CORNERS)), Ok(square));
    assert_eq!(case("plate", &Carrier::Feet { height_mm: 9.0 }), Ok(square));
    assert_eq!(
        case("round", &rim),
        Ok(PlateCase::RoundOnRim { diameter_mm: 200.0 })
    );
    assert_eq!(
        case("round", &Carrier::RackSlot(0)),
        Err(PlateFault::NotCovered)
    );
    assert_eq!(case("plate", &on_posts(&[])), Err(PlateFault::NoPost));
    // 46 mm from an edge is more than 15 % of 300 mm.
    let set_in = CORNERS.map(|p| p.map(|c: f64| c.signum() * 104.0));
    assert!(matches!(
        case("plate", &on_posts(&set_in)),
        Ok(PlateCase::Reach { .. })
    ));
}

/// The true distance, from below, and the grid's half diagonal above it.
#[test]
fn the_reach_of_posts_by_hand() {
    let catalogue = catalogue();
    let reach = |setter: &str, posts: &[[f64; 2]]| match plate_case(
        catalogue.setter(setter).unwrap(),
        &on_posts(posts),
    ) {
        Ok(PlateCase::Reach { reach_mm }) => reach_mm,
        other => panic!("{other:?}"),
    };
    let rim_3 = [90.0_f64, 210.0, 330.0].map(|deg| {
        let (sin, cos) = deg.to_radians().sin_cos();
        [100.0 * cos, 100.0 * sin]
    });
    for (got, expected, diagonal) in [
        // Isosceles triangle of base and height 300: circumradius 187.5, inside the plate.
        (
            reach("plate", &[[-150.0, -150.0], [150.0, -150.0], [0.0, 150.0]]),
            187.5,
            424.3,
        ),
        // One post in the middle: the corners.
        (reach("plate", &[[0.0, 0.0]]), 212.13, 424.3),
        // Three posts at the edge of a disc: its middle, and the far points of its edge alike.
        (reach("round", &rim_3), 100.0, 282.9),
    ] {
        assert!(
            (expected - 0.01..expected + diagonal / 128.0 + 0.01).contains(&got),
            "{got} {expected}"
        );
    }
}

/// Own finite elements (ACM, 20 × 20 over the plate's square, point posts, ν = 0.3): largest
/// moment and deflection, posts and reach as shares of the side. The rule has to lie above them.
#[test]
fn the_reach_rule_against_finite_elements() {
    for (reach, moment, deflection) in [
        (0.354, 0.0897, 0.00185), // four posts at (±0.25, ±0.25)
        (0.424, 0.1053, 0.00471), // four posts at (±0.2, ±0.2)
        (0.559, 0.2401, 0.00990), // three at (±0.4, −0.4), (0, 0.4)
        (0.500, 0.2417, 0.00283), // five: corners and middle
        (0.559, 0.1792, 0.01520), // six: corners and the middles of two edges
        (0.458, 0.1147, 0.00298), // disc of diameter 1, three at radius 0.4
    ] {
        let found = of(PlateCase::Reach { reach_mm: reach }, 0.3);
        let r2 = reach * reach;
        assert!(found.moment * r2 > moment, "{reach} {moment}");
        assert!(
            found.deflection * r2 * r2 > deflection,
            "{reach} {deflection}"
        );
    }
}

#[test]
fn what_the_level_above_adds_is_said() {
    let two = |lower: Carrier, upper: Carrier| {
        let levels = vec![
            level(1, "tray", lower, Vec::new()),
            level(2, "tray", upper, Vec::new()),
        ];
        let plan = plan(Vec::new(), Vec::new(), levels);
        bending(&plan, 0).unwrap().more_above
    };
    let corners = CORNERS.map(|[x, y]| [x * 0.65, y * 0.32]);
    let shifted = |by: f64| corners.map(|[x, y]| [x + by, y]);
    let posts = |by: f64| on_posts(&shifted(by));
    // The post's radius is 6 mm.
    assert!(!two(posts(0.0), posts(5.9)));
    assert!(two(posts(0.0), posts(6.1)));
    assert!(two(posts(0.0), Carrier::Rim));
    assert!(two(Carrier::Rim, posts(0.0)));
    assert!(two(posts(0.0), Carrier::Feet { height_mm: 9.0 }));
    assert!(!two(Carrier::Rim, Carrier::Rim));
    assert!(!two(Carrier::Hearth, posts(0.0)));
    assert!(!two(posts(0.0), Carrier::RackSlot(1)));
}

#[test]
fn faults_are_said() {
    let fault = |plan: &Plan| bending(plan, 0).unwrap_err();
    let unknown = fault(&one_level("nothing", Carrier::Hearth, 1.0));
    assert_eq!(unknown, PlateFault::UnknownSetter("nothing".to_owned()));
    assert_eq!(
        unknown.to_string(),
        "setter \"nothing\" is not in the catalogue"
    );
    let round = one_level("round", Carrier::Feet { height_mm: 5.0 }, 1.0);
    assert_eq!(fault(&round), PlateFault::NotCovered);
    let plan = one_level("plate", Carrier::Hearth, 1.0);
    let tally = tally(&plan);
    let beyond = plate_bending(
        &plan.load.stacks[0],
        1,
        &tally.levels[0],
        &catalogue(),
        20.0,
    );
    assert!(beyond.is_none());
}
