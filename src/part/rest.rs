//! Which way a part rests.

use crate::geometry::rest::{Turn, turn_down, turned_back};

/// Decimal places to which a direction is kept.
const PLACES: f64 = 1e9;
/// A direction nearer to an axis than this angle is that axis, rad: drawing noise, which lifts the
/// far end of a part of 300 mm by 0.0003 mm.
const AXIS_RAD: f64 = 1e-6;

/// How a part lies: which way is down, in the axes that it is drawn in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rest {
    down: [f64; 3],
}

impl Default for Rest {
    fn default() -> Rest {
        Rest::AS_DRAWN
    }
}

impl Rest {
    /// As drawn: −z is down.
    pub const AS_DRAWN: Rest = Rest {
        down: [0.0, 0.0, -1.0],
    };

    /// With a direction at the bottom, of any length; always the same value for the same
    /// direction. None for no direction.
    pub fn towards(way: [f64; 3]) -> Option<Rest> {
        let size = size(way);
        if !(size.is_finite() && size > 1e-9) {
            return None;
        }
        let grid = |c: f64| libm::round(c * PLACES) / PLACES + 0.0;
        // Kept already: rounding it again would change its last digit.
        if (size - 1.0).abs() <= 2.0 / PLACES && way.iter().all(|c| grid(*c) == *c) {
            return Some(Rest {
                down: way.map(|c| c + 0.0),
            });
        }
        let way = way.map(|c| c / size);
        let along = |k: usize| way[k].abs() > 1.0 - 0.5 * AXIS_RAD * AXIS_RAD;
        let mut down = way.map(grid);
        if let Some(axis) = (0..3).find(|k| along(*k)) {
            down = [0.0; 3];
            down[axis] = way[axis].signum();
        }
        Some(Rest { down })
    }

    /// As it is kept: which way is down in the drawing's axes, of length 1 but for rounding to nine
    /// places.
    pub fn kept(self) -> [f64; 3] {
        self.down
    }

    /// Which way is down in the drawing's axes, of length 1.
    pub fn down(self) -> [f64; 3] {
        let size = size(self.down);
        self.down.map(|c| c / size)
    }

    /// Whether −z is down.
    pub fn is_as_drawn(self) -> bool {
        self == Rest::AS_DRAWN
    }

    /// The rotation from the drawing's axes to those in which the part rests.
    pub fn turn(self) -> Turn {
        turn_down(self.down())
    }

    /// A direction or distance at rest, in the drawing's axes.
    pub fn in_drawing(self, at_rest: [f64; 3]) -> [f64; 3] {
        turned_back(&self.turn(), at_rest)
    }

    /// Factors along the drawing's axes as factors along the axes at rest: what a line along each
    /// of those becomes longer by. Exact when the part was turned by right angles, or when the
    /// three are equal.
    pub fn factors(self, drawn: [f64; 3]) -> [f64; 3] {
        if self.is_as_drawn() || drawn == [drawn[0]; 3] {
            return drawn;
        }
        self.turn()
            .map(|axis| size(std::array::from_fn(|k| axis[k] * drawn[k])))
    }

    /// Whether it rests on a face with that direction outward, within 5°.
    pub fn rests_on_face(self, outward: Rest) -> bool {
        const NEAR_COS: f64 = 0.996_194_698;
        let (a, b) = (self.down(), outward.down());
        a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>() > NEAR_COS
    }
}

fn size([x, y, z]: [f64; 3]) -> f64 {
    libm::sqrt(x * x + y * y + z * z)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn along_an_axis_it_is_exact() {
        let near = Rest::towards([3e-8, 5.0, -2e-7]).unwrap();
        assert_eq!(near.kept(), [0.0, 1.0, 0.0]);
        assert_eq!(near.factors([1.1, 1.2, 1.3]), [1.1, 1.3, 1.2]);
        assert!(Rest::towards([0.0, -0.0, -7.0]).unwrap().is_as_drawn());
        assert_eq!(Rest::AS_DRAWN.factors([1.1, 1.2, 1.3]), [1.1, 1.2, 1.3]);
        for bad in [[0.0; 3], [f64::NAN, 1.0, 0.0], [f64::INFINITY, 1.0, 0.0]] {
            assert_eq!(Rest::towards(bad), None);
        }
    }

    proptest! {
        #[test]
        fn the_same_direction_is_the_same_value(
            way in [-1.0..1.0_f64, -1.0..1.0, -1.0..1.0],
            longer in 1e-3..1e3_f64,
        ) {
            prop_assume!(size(way) > 0.01);
            let rest = Rest::towards(way).unwrap();
            let kept = rest.kept();
            prop_assert_eq!(Rest::towards(kept), Some(rest));
            let other = Rest::towards(way.map(|c| c * longer)).unwrap().kept();
            // But for a rounding that lies between two of its steps.
            let off = kept.iter().zip(other).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
            prop_assert!(off <= 1.0001e-9);
            let back = rest.in_drawing([0.0, 0.0, -1.0]);
            for (back, down) in back.into_iter().zip(rest.down()) {
                prop_assert!((back - down).abs() < 1e-15);
            }
        }
    }
}
