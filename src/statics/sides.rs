//! To which side of the hot zone the mass of a load lies.

use super::balance::placement_masses;
use crate::catalogue::{Catalogue, Setter, SetterShape};
use crate::geometry::P2;
use crate::load::{Carrier, Item, PartRecords, Placement, Plan, Sizes};
use crate::part::{SizeStage, measure_typed, scale};

/// How the mass of a load is shared between the sides of the hot zone's middle, as it enters.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Sides {
    /// Mass of all of it, with setters and posts, g.
    pub mass_g: f64,
    /// To the right of the middle less to the left of it, over all.
    pub right: f64,
    /// Behind the middle less before it (towards the door), over all.
    pub back: f64,
    /// Things whose records are missing; they are not counted.
    pub unknown: usize,
}

/// Sums up the sides. A part is taken as spread evenly over its length across the middle, a plate
/// over its area; a post as a point.
pub fn load_sides(plan: &Plan, catalogue: &Catalogue, sizes: &Sizes) -> Sides {
    let mut sum = Sums::default();
    for (stack, level) in plan.levels() {
        match catalogue.setter(&level.setter) {
            Some(setter) => sum.plate(setter, stack.at_mm),
            None => sum.unknown += 1,
        }
        if let Carrier::Posts { post, at_mm } = &level.carrier {
            match catalogue.post(post) {
                Some(post) => {
                    for at in at_mm {
                        sum.spread(post.mass_g, along(stack.at_mm, *at), [0.0; 2]);
                    }
                }
                None => sum.unknown += 1,
            }
        }
        for placement in &level.placements {
            let Some(masses) = placement_masses(placement, plan, catalogue, sizes) else {
                sum.unknown += 1;
                continue;
            };
            let half = half_mm(placement, plan, catalogue);
            for mass in masses {
                sum.spread(mass.mass_g, along(stack.at_mm, mass.at_mm), half);
            }
        }
    }
    let share = |k: usize| {
        if sum.mass_g > 0.0 {
            sum.leans_g[k] / sum.mass_g
        } else {
            0.0
        }
    };
    Sides {
        mass_g: sum.mass_g,
        right: share(0),
        back: share(1),
        unknown: sum.unknown,
    }
}

fn along(a: P2, b: P2) -> P2 {
    [a[0] + b[0], a[1] + b[1]]
}

/// Half of what a thing reaches along the furnace's axes, green and turned as it stands.
fn half_mm(placement: &Placement, plan: &Plan, catalogue: &Catalogue) -> P2 {
    let [w, d] = match &placement.item {
        Item::Part { part, .. } | Item::Coupon { part, .. } => {
            let records = plan
                .part(*part)
                .and_then(|p| PartRecords::new(p, catalogue));
            records.map_or([0.0; 2], |r| {
                let [fx, fy, _] = scale(r.part, r.feedstock, r.alloy, 0.0, SizeStage::Green);
                let [w, d, _] = r.part.geometry.size_mm;
                [w * fx, d * fy]
            })
        }
        Item::Dummy { shape, .. } => {
            measure_typed(shape).map_or([0.0; 2], |g| [g.size_mm[0], g.size_mm[1]])
        }
        Item::Sensor { .. } => [0.0; 2],
    };
    let turn = placement.angle_deg.to_radians();
    let (s, c) = (libm::sin(turn).abs(), libm::cos(turn).abs());
    [(w * c + d * s) / 2.0, (w * s + d * c) / 2.0]
}

#[derive(Default)]
struct Sums {
    mass_g: f64,
    leans_g: [f64; 2],
    unknown: usize,
}

impl Sums {
    /// A mass spread evenly from `at` − `half` to `at` + `half`.
    fn spread(&mut self, mass_g: f64, at: P2, half: P2) {
        self.mass_g += mass_g;
        for k in 0..2 {
            let leans = if half[k] > 0.0 {
                (at[k] / half[k]).clamp(-1.0, 1.0)
            } else if at[k] == 0.0 {
                0.0
            } else {
                at[k].signum()
            };
            self.leans_g[k] += mass_g * leans;
        }
    }

    fn plate(&mut self, setter: &Setter, at: P2) {
        match &setter.shape {
            SetterShape::Rectangle { width_mm, depth_mm } => {
                self.spread(setter.mass_g, at, [width_mm / 2.0, depth_mm / 2.0]);
            }
            // Both sides of a chord at a distance x from the centre: 2(asin x + x·√(1 − x²))/π
            // apart, x over the radius.
            SetterShape::Disc { diameter_mm } => {
                self.mass_g += setter.mass_g;
                for (k, at) in at.into_iter().enumerate() {
                    let x = (2.0 * at / diameter_mm).clamp(-1.0, 1.0);
                    let leans = (libm::asin(x) + x * libm::sqrt(1.0 - x * x)) * 2.0;
                    self.leans_g[k] += setter.mass_g * leans / std::f64::consts::PI;
                }
            }
            // Both sides of the furnace's middle by the areas that lie there.
            SetterShape::Polygon { .. } => {
                self.mass_g += setter.mass_g;
                let plate = setter.shape.outline();
                for (k, at) in at.into_iter().enumerate() {
                    let beyond = plate.area_beyond(k, -at) / plate.area();
                    self.leans_g[k] += setter.mass_g * (2.0 * beyond - 1.0);
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mass_across_the_middle_lies_on_both_sides() {
        let mut sum = Sums::default();
        sum.spread(10.0, [5.0, 0.0], [10.0, 4.0]);
        assert_eq!(sum.leans_g, [5.0, 0.0]);
        sum.spread(10.0, [-50.0, 0.0], [0.0, 0.0]);
        assert_eq!(sum.leans_g, [-5.0, 0.0]);
        assert_eq!(sum.mass_g, 20.0);
    }
}
