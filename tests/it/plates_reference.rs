//! Coefficients of plates against `tests/reference/plates.json`, which own finite elements and series
//! give. "Row" is a row of the check table in `physics.md` section 8.

use serde_json::Value;
use setterwright::statics::{Coefficients, PlateCase, bend};

fn reference() -> Value {
    let text = include_str!("../reference/plates.json");
    serde_json::from_str(text).unwrap()
}

fn rows(all: &Value, name: &str) -> Vec<Value> {
    all[name].as_array().unwrap().clone()
}

fn number(row: &Value, name: &str) -> f64 {
    row[name].as_f64().unwrap()
}

fn close(got: f64, expected: f64, tolerance: f64) {
    assert!(
        (got - expected).abs() <= tolerance * expected.abs(),
        "{got}, not {expected}"
    );
}

#[test]
fn held_edges_are_those_of_the_series() {
    for row in rows(&reference(), "edges_held") {
        let [ratio, beta, alpha] = [0, 1, 2].map(|i| row[i].as_f64().unwrap());
        let case = PlateCase::EdgesHeld {
            long_mm: ratio,
            short_mm: 1.0,
        };
        let found = case.coefficients(0.3).unwrap();
        // Roark's own rows are off the series by up to 0.5 % in the deflection.
        close(6.0 * found.moment, beta, 1e-3);
        close(found.deflection * 12.0 * 0.91, alpha, 5e-3);
    }
}

#[test]
fn corner_posts_are_those_of_finite_elements() {
    let all = reference();
    let square = PlateCase::CornerPosts {
        long_mm: 1.0,
        short_mm: 1.0,
    };
    for row in rows(&all, "corner_posts_square") {
        let found = square.coefficients(number(&row, "nu")).unwrap();
        close(found.deflection, number(&row, "c_centre"), 5e-5);
        close(found.moment, number(&row, "m_edge"), 5e-4);
        assert!(number(&row, "m_edge") > 1.3 * number(&row, "m_centre"));
    }
    // Longer plates and posts set in: never more than the coefficients say.
    let found = square.coefficients(0.22).unwrap();
    let others = rows(&all, "corner_posts_other");
    assert_eq!(others.len(), 7);
    for row in others {
        assert!(number(&row, "c") < found.deflection, "{row}");
        assert!(number(&row, "m") < found.moment, "{row}");
    }
}

#[test]
fn two_rails_are_those_of_finite_elements() {
    let all = rows(&reference(), "two_rails");
    for row in &all {
        let case = PlateCase::TwoRails {
            span_mm: 1.0,
            along_mm: number(row, "along"),
        };
        let found = case.coefficients(number(row, "nu")).unwrap();
        close(found.deflection, number(row, "c_edge"), 1e-4);
        close(found.moment, number(row, "m_edge"), 1e-3);
        // The free edge governs; so the code has its moment and not that of the centre.
        assert!(found.moment > number(row, "m_centre"), "{row}");
    }
    // Row 68: the square's centre.
    let square = all
        .iter()
        .find(|r| (r["nu"].as_f64(), r["along"].as_f64()) == (Some(0.3), Some(1.0)));
    close(number(square.unwrap(), "m_centre"), 0.1226, 3e-3);
}

/// Row 69: three edges held, 15 x 12 x 0.25 in, 100 psi, E = 30e6 psi: 165 888 psi and 0.66355 in by
/// Roark's rows for 1 and 1.5 with a straight line between them.
#[test]
fn roarks_example_of_three_edges() {
    const MM: f64 = 25.4;
    const PSI: f64 = 6_894.757_293_168;
    let (beta, alpha) = ((0.67 + 0.77) / 2.0, (0.14 + 0.16) / 2.0);
    let coefficients = Coefficients {
        moment: beta / 6.0,
        deflection: alpha / (12.0 * 0.91),
        side_mm: 12.0 * MM,
    };
    let (q_pa, modulus_gpa) = (100.0 * PSI, 30e6 * PSI * 1e-9);
    let bent = bend(&coefficients, q_pa, 0.25 * MM, modulus_gpa, 0.3);
    close(bent.stress_mpa * 1e6 / PSI, 165_888.0, 1e-3);
    close(bent.deflection_um * 1e-3 / MM, 0.66355, 1e-3);
    // And these rows are those of the same finite elements as all others here.
    for (row, roark) in rows(&reference(), "three_edges_held").iter().zip([
        (0.67, 0.14),
        (beta, alpha),
        (0.77, 0.16),
    ]) {
        close(number(row, "beta"), roark.0, 0.02);
        close(number(row, "alpha"), roark.1, 0.025);
    }
}

#[test]
fn the_reach_rule_sinks_more_than_any_layout() {
    for row in rows(&reference(), "reach") {
        let reach_mm = number(&row, "reach");
        let found = PlateCase::Reach { reach_mm }.coefficients(0.3).unwrap();
        let w = found.deflection * reach_mm.powi(4);
        assert!(w > number(&row, "w"), "{row}");
    }
}
