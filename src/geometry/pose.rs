//! Where a body stands and how far it is turned.

use super::outline::P2;

/// A place on a level: the body is turned about its own origin, then moved.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Pose {
    /// Position of the body's origin along x, mm.
    pub x_mm: f64,
    /// Position of the body's origin along y, mm.
    pub y_mm: f64,
    /// Height of the body's origin, mm.
    pub z_mm: f64,
    /// Turn about the vertical through the body's origin, degrees counter-clockwise.
    pub angle_deg: f64,
}

impl Pose {
    /// A pose without turn at a plan position, at height zero, mm.
    pub fn at(x_mm: f64, y_mm: f64) -> Pose {
        Pose {
            x_mm,
            y_mm,
            ..Pose::default()
        }
    }

    /// The plan position of a point of the body, mm.
    pub fn apply(&self, point: P2) -> P2 {
        self.applier()(point)
    }

    /// [`Pose::apply`] with the sine and cosine taken once, for many points.
    pub(super) fn applier(&self) -> impl Fn(P2) -> P2 + use<> {
        let (cos, sin) = cos_sin_deg(self.angle_deg);
        let (x, y) = (self.x_mm, self.y_mm);
        move |p| [cos * p[0] - sin * p[1] + x, sin * p[0] + cos * p[1] + y]
    }

    /// Whether all four numbers are finite.
    pub fn is_finite(&self) -> bool {
        [self.x_mm, self.y_mm, self.z_mm, self.angle_deg]
            .iter()
            .all(|v| v.is_finite())
    }
}

/// Cosine and sine of an angle in degrees, exact for whole quarter turns.
pub fn cos_sin_deg(angle_deg: f64) -> (f64, f64) {
    let turn = angle_deg.rem_euclid(360.0);
    if turn == 0.0 || turn == 360.0 {
        (1.0, 0.0)
    } else if turn == 90.0 {
        (0.0, 1.0)
    } else if turn == 180.0 {
        (-1.0, 0.0)
    } else if turn == 270.0 {
        (0.0, -1.0)
    } else {
        let radians = turn.to_radians();
        (libm::cos(radians), libm::sin(radians))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quarter_turns_are_exact_and_others_are_not_far_off() {
        let pose = |angle_deg| Pose {
            x_mm: 10.0,
            y_mm: -5.0,
            z_mm: 0.0,
            angle_deg,
        };
        assert_eq!(pose(90.0).apply([3.0, 1.0]), [9.0, -2.0]);
        assert_eq!(pose(-90.0).apply([3.0, 1.0]), [11.0, -8.0]);
        assert_eq!(pose(540.0).apply([3.0, 1.0]), [7.0, -6.0]);
        // 30°: cos = √3/2, sin = 1/2.
        let p = pose(30.0).apply([2.0, 0.0]);
        assert!((p[0] - (10.0 + 3f64.sqrt())).abs() < 1e-12 && (p[1] + 4.0).abs() < 1e-12);
        // The smallest negative angle rounds up to a whole turn.
        assert_eq!(pose(-1e-18).apply([3.0, 1.0]), [13.0, -4.0]);
    }

    #[test]
    fn a_pose_knows_whether_it_is_finite() {
        assert!(Pose::at(1.0, 2.0).is_finite());
        assert!(!Pose::at(f64::NAN, 2.0).is_finite());
    }
}
