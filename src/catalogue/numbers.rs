//! Numbers that cannot be: a record with one is refused, wherever it comes from.

use super::{Catalogue, CatalogueFault, GasNature, SetterShape, ShopState, Space};
use crate::geometry::{Outline, OutlineFault, P2, Region};
use std::ops::RangeInclusive;

/// Pressures at which a pump of a furnace works, mbar: from ultra-high vacuum to above the air's
/// (assumed).
const PUMP_MBAR: RangeInclusive<f64> = 1e-9..=2000.0;

/// Speeds of pumps of furnaces, m³/h (assumed).
const PUMP_M3_H: RangeInclusive<f64> = 0.1..=1e6;

/// Most oxygen in a gas that counts as inert, by volume (assumed).
pub const OXYGEN_OF_INERT: f64 = 0.01;

/// Corners of a setter at most (assumed: more than anybody types, few enough to be looked at in no
/// time).
const MOST_CORNERS: usize = 1000;

/// What is held against what can be.
pub(super) struct Held<'a> {
    /// What it is part of.
    pub(super) place: &'a str,
}

impl Held<'_> {
    pub(super) fn refuse(&self, reason: String) -> Result<(), CatalogueFault> {
        let place = self.place.to_owned();
        Err(CatalogueFault::Number { place, reason })
    }

    pub(super) fn above_zero(&self, fields: &[(&str, f64)]) -> Result<(), CatalogueFault> {
        for (field, value) in fields {
            if !(value.is_finite() && *value > 0.0) {
                return self.refuse(format!("{field} is {value}; it must be above zero"));
            }
        }
        Ok(())
    }

    pub(super) fn not_below_zero(&self, fields: &[(&str, f64)]) -> Result<(), CatalogueFault> {
        for (field, value) in fields {
            if !(value.is_finite() && *value >= 0.0) {
                return self.refuse(format!("{field} is {value}; it must not be below zero"));
            }
        }
        Ok(())
    }

    /// Corners of a setter that make a plate: one outline that nowhere meets itself, about the
    /// setter's own centre.
    fn corners(&self, corners_mm: &[P2]) -> Result<(), CatalogueFault> {
        let typed = |at: usize| {
            let [x, y] = corners_mm.get(at).copied().unwrap_or_default();
            format!("corner {} ({x}, {y})", at + 1)
        };
        let count = corners_mm.len();
        if !(3..=MOST_CORNERS).contains(&count) {
            return self.refuse(format!(
                "corners_mm has {count} corners; give 3 to {MOST_CORNERS}, in order round the plate"
            ));
        }
        for (i, corner) in corners_mm.iter().enumerate() {
            if let Some(first) = corners_mm.iter().take(i).position(|c| c == corner) {
                let (first, again) = (typed(first), i + 1);
                return self.refuse(format!(
                    "corners_mm: {first} stands there again as corner {again}; give each corner \
                     once, the first not repeated at the end"
                ));
            }
        }
        let plate = match Outline::polygon(corners_mm) {
            Ok(plate) => plate,
            Err(OutlineFault::SelfCrossing { first, second }) => {
                let (first, second) = (typed(first), typed(second));
                return self.refuse(format!(
                    "corners_mm: the side after {first} crosses or touches the side after \
                     {second}; give the corners in order round the plate"
                ));
            }
            Err(OutlineFault::NotFinite { index }) => {
                let corner = typed(index);
                return self.refuse(format!(
                    "corners_mm: {corner} is no place on a setter; give millimetres from its centre"
                ));
            }
            Err(OutlineFault::TooFewPoints { .. } | OutlineFault::ZeroArea) => {
                return self.refuse(
                    "corners_mm lie on one line and enclose no plate; give the corners in order \
                     round it"
                        .to_owned(),
                );
            }
        };
        // Stacks set it down by its centre, and it grows about it.
        if plate.margin_mm([0.0, 0.0]) <= 0.0 {
            let [x, y] = plate.centroid().map(|c| (c * 100.0).round() / 100.0);
            return self.refuse(format!(
                "corners_mm: the setter's own centre (0, 0) lies outside its corners or on a side; \
                 move all corners alike until 0, 0 lies within (their centroid is {x}, {y})"
            ));
        }
        Ok(())
    }

    /// What the rim of a polygon leaves.
    fn one_face(&self, face: &Outline, rim_mm: f64) -> Result<(), CatalogueFault> {
        match face.shapes.len() {
            1 => Ok(()),
            0 => self.refuse(format!(
                "a rim {rim_mm} mm wide leaves no face within it; make the rim narrower"
            )),
            pieces => self.refuse(format!(
                "a rim {rim_mm} mm wide parts the face within it into {pieces} pieces; make the \
                 rim narrower or the narrow place of the plate wider"
            )),
        }
    }

    /// Where a figure can lie.
    fn between(
        &self,
        field: &str,
        value: f64,
        range: RangeInclusive<f64>,
        unit: &str,
    ) -> Result<(), CatalogueFault> {
        if range.contains(&value) {
            return Ok(());
        }
        let (from, to) = (range.start(), range.end());
        self.refuse(format!(
            "{field} is {value} {unit}; it must lie between {from:e} and {to:e}"
        ))
    }

    pub(super) fn share(&self, field: &str, value: f64) -> Result<(), CatalogueFault> {
        if value > 0.0 && value <= 1.0 {
            return Ok(());
        }
        self.refuse(format!(
            "{field} is {value}; it must lie above 0 and up to 1"
        ))
    }

    /// Each at least as large as the one before.
    pub(super) fn rising(
        &self,
        field: &str,
        values: impl Iterator<Item = f64>,
    ) -> Result<(), CatalogueFault> {
        let values: Vec<f64> = values.collect();
        if values.iter().any(|v| !v.is_finite()) {
            return self.refuse(format!("{field} holds a number that is not finite"));
        }
        match values.windows(2).find(|pair| pair.first() > pair.last()) {
            Some(pair) => self.refuse(format!("{field} must rise, and {pair:?} does not")),
            None => Ok(()),
        }
    }
}

impl Catalogue {
    /// Holds the numbers of all records against what can be.
    pub(super) fn check_numbers(&self) -> Result<(), CatalogueFault> {
        for (_, r) in self.alloys.values() {
            let held = Held {
                place: &format!("alloy \"{}\"", r.id),
            };
            held.above_zero(&[("density_g_cm3", r.density_g_cm3)])?;
            held.not_below_zero(&[("expansion_per_k", r.expansion_per_k)])?;
            held.rising(
                "solidus_c, liquidus_c",
                [r.solidus_c, r.liquidus_c].into_iter(),
            )?;
            held.heat_of_alloy(r)?;
        }
        for (_, r) in self.binders.values() {
            let held = Held {
                place: &format!("binder \"{}\"", r.id),
            };
            held.solvent_of(r)?;
            for c in &r.components {
                held.above_zero(&[("density_g_cm3", c.density_g_cm3)])?;
                held.share("mass_share", c.mass_share)?;
                held.burning_of(c)?;
            }
            let sum: f64 = r.components.iter().map(|c| c.mass_share).sum();
            if (sum - 1.0).abs() > 1e-6 {
                held.refuse(format!("the mass shares add to {sum}, not to 1"))?;
            }
        }
        for (_, r) in self.feedstocks.values() {
            let held = Held {
                place: &format!("feedstock \"{}\"", r.id),
            };
            held.share("loading", r.loading)?;
            held.share("oversize_density", r.oversize_density)?;
            held.above_zero(&r.oversize.map(|f| ("oversize", f)))?;
            held.rising("debind", [r.debind.from_c, r.debind.to_c].into_iter())?;
            held.rising("sinter", [r.sinter.from_c, r.sinter.to_c].into_iter())?;
            let holds = [r.sinter.hold_min_min, r.sinter.hold_max_min];
            held.rising("sinter hold", holds.into_iter())?;
            held.rising(
                "ramp_limits",
                r.ramp_limits.iter().map(|l| l.section_up_to_mm),
            )?;
            for limit in &r.ramp_limits {
                held.above_zero(&[("rate_k_min", limit.rate_k_min)])?;
            }
            held.heat_of_feedstock(r)?;
        }
        for (_, r) in self.materials.values() {
            let held = Held {
                place: &format!("material \"{}\"", r.id),
            };
            held.above_zero(&[("density_g_cm3", r.density_g_cm3)])?;
            held.not_below_zero(&[("expansion_per_k", r.expansion_per_k)])?;
            held.rising("modulus_gpa", r.modulus_gpa.iter().map(|p| p.0))?;
            held.rising("strength_mpa", r.strength_mpa.iter().map(|p| p.0))?;
            held.heat_of_material(r)?;
        }
        self.check_furniture()?;
        for (_, r) in self.furnaces.values() {
            let held = Held {
                place: &format!("furnace \"{}\"", r.id),
            };
            held.above_zero(&[
                ("volume_l", r.volume_l),
                ("max_c", r.max_c),
                ("ramp_max_k_min", r.ramp_max_k_min),
                ("mass_rating_kg", r.mass_rating_kg),
                ("binder_rating_g", r.binder_rating_g),
            ])?;
            if let Some(most) = r.pressure_max_mbar {
                held.above_zero(&[("pressure_max_mbar", most)])?;
            }
            for space in [&r.hot_zone, &r.work_zone] {
                let (sides, z0, z1) = match *space {
                    Space::Box {
                        width_mm,
                        depth_mm,
                        z0_mm,
                        z1_mm,
                    } => ([width_mm, depth_mm], z0_mm, z1_mm),
                    Space::Cylinder {
                        diameter_mm,
                        z0_mm,
                        z1_mm,
                    } => ([diameter_mm; 2], z0_mm, z1_mm),
                };
                held.above_zero(&sides.map(|s| ("side of a zone", s)))?;
                held.above_zero(&[("height of a zone", z1 - z0)])?;
            }
            held.rising("pump", r.pump.iter().map(|p| p.0))?;
            for (mbar, m3_h) in &r.pump {
                held.between("inlet pressure of the pump", *mbar, PUMP_MBAR, "mbar")?;
                held.between("speed of the pump", *m3_h, PUMP_M3_H, "m³/h")?;
            }
            if let Some(mbar) = r.ultimate_mbar {
                held.between("ultimate_mbar", mbar, PUMP_MBAR, "mbar")?;
            }
            held.rising("rack_slots_mm", r.rack_slots_mm.iter().copied())?;
            held.heat_of_furnace(r)?;
        }
        for (_, r) in self.gases.values() {
            let held = Held {
                place: &format!("gas \"{}\"", r.id),
            };
            held.above_zero(&[("molar_g_mol", r.molar_g_mol)])?;
            if let Some(oxygen) = r.oxygen_share.filter(|share| !(0.0..=1.0).contains(share)) {
                held.refuse(format!("oxygen_share is {oxygen}; it must lie from 0 to 1"))?;
            }
            if r.id == "vacuum" {
                held.refuse("its id means that there is no gas; give it another".to_owned())?;
            }
            if r.nature == GasNature::Inert && r.oxygen() > OXYGEN_OF_INERT {
                let oxygen = r.oxygen();
                held.refuse(format!(
                    "nature is Inert, and {oxygen} of it is oxygen by its record or its name; an \
                     inert gas drives air out, so it is Indeterminate, or its oxygen_share is the \
                     trace that it has, or 0"
                ))?;
            }
            held.rising("properties", r.properties.iter().map(|p| p.0))?;
            held.heat_of_gas(r)?;
        }
        Ok(())
    }

    fn check_furniture(&self) -> Result<(), CatalogueFault> {
        for (_, r) in self.setters.values() {
            let held = Held {
                place: &format!("setter \"{}\"", r.id),
            };
            if let SetterShape::Polygon { corners_mm } = &r.shape {
                held.corners(corners_mm)?;
            }
            let sides = r.shape.size_mm();
            held.above_zero(&sides.map(|s| ("side", s)))?;
            held.above_zero(&[
                ("thickness_mm", r.thickness_mm),
                ("mass_g", r.mass_g),
                ("rated_load_kg", r.rated_load_kg),
            ])?;
            if let Some(rim) = r.rim {
                held.above_zero(&[("rim height", rim.height_mm), ("rim width", rim.width_mm)])?;
                match r.face() {
                    Region::Polygon(face) => held.one_face(&face, rim.width_mm)?,
                    Region::Rectangle { .. } | Region::Disc { .. } => {
                        for side in sides {
                            let within = side - 2.0 * rim.width_mm;
                            held.above_zero(&[("face within the rim", within)])?;
                        }
                    }
                }
            }
        }
        for (_, r) in self.posts.values() {
            let held = Held {
                place: &format!("post \"{}\"", r.id),
            };
            held.above_zero(&[
                ("length_mm", r.length_mm),
                ("diameter_mm", r.diameter_mm),
                ("mass_g", r.mass_g),
            ])?;
        }
        for (_, r) in self.supports.values() {
            let held = Held {
                place: &format!("support \"{}\"", r.id),
            };
            held.not_below_zero(&[
                ("height_mm", r.height_mm),
                ("margin_mm", r.margin_mm),
                ("mass_g_cm2", r.mass_g_cm2),
            ])?;
        }
        Ok(())
    }
}

impl ShopState {
    /// Holds the shop's numbers against what can be.
    ///
    /// # Errors
    /// The first number that cannot be, with its place.
    pub fn check(&self) -> Result<(), CatalogueFault> {
        let held = Held {
            place: &format!("shop \"{}\"", self.name),
        };
        held.not_below_zero(&[("placing_tolerance_mm", self.placing_tolerance_mm)])?;
        if let Some(air) = self.dryer_air_m3_h {
            held.above_zero(&[("dryer_air_m3_h", air)])?;
        }
        for state in &self.furnaces {
            let held = Held {
                place: &format!("state of furnace \"{}\"", state.furnace),
            };
            if let Some(fill) = state.trap_fill_g {
                held.not_below_zero(&[("trap_fill_g", fill)])?;
            }
            if let Some(survey) = &state.survey {
                held.rising("survey points", survey.points.iter().map(|p| p.setpoint_c))?;
                for point in &survey.points {
                    held.rising(
                        "survey extremes",
                        [point.coldest_k, point.hottest_k].into_iter(),
                    )?;
                }
                held.not_below_zero(&[
                    ("drift_k", survey.drift_k),
                    ("overshoot_k", survey.overshoot_k),
                ])?;
            }
            for gas in &state.gases {
                held.not_below_zero(&[("m3_25c", gas.m3_25c)])?;
            }
            state.check_noted()?;
        }
        if let Some(prices) = &self.prices {
            let set = [
                ("furnace_hour", prices.furnace_hour),
                ("kwh", prices.kwh),
                ("labour_hour", prices.labour_hour),
                ("furniture_run", prices.furniture_run),
            ];
            for (name, price) in set.into_iter().filter_map(|(n, p)| Some((n, p?))) {
                held.not_below_zero(&[(name, price)])?;
            }
        }
        self.check_noted()
    }
}

#[cfg(test)]
mod tests {
    use crate::catalogue::{CatalogueFault, builtin};
    use std::sync::Arc;

    #[test]
    fn numbers_that_cannot_be_are_refused_with_their_place() {
        let (catalogue, shop) = builtin().unwrap();
        let mut bad = (*catalogue).clone();
        let feedstock = bad.feedstocks.get_mut("316l-wax").unwrap();
        Arc::make_mut(&mut feedstock.1).loading = 1.6;
        let Err(CatalogueFault::Number { place, .. }) = bad.check_links() else {
            panic!("a loading of 1.6 passed");
        };
        assert!(place.contains("316l-wax"));
        let mut bad = (*catalogue).clone();
        let setter = bad.setters.values_mut().next().unwrap();
        Arc::make_mut(&mut setter.1).thickness_mm = -6.0;
        assert!(bad.check_links().is_err());
        let mut bad = (*shop).clone();
        let survey = bad.furnaces[0].survey.as_mut().unwrap();
        survey.points.reverse();
        assert!(bad.check().is_err());
        assert!(shop.check().is_ok());
    }

    #[test]
    fn polygons_that_are_no_plate_are_refused_with_what_to_do() {
        use crate::catalogue::{Rim, SetterShape};
        let (catalogue, _) = builtin().unwrap();
        let told = |corners: &[[f64; 2]], rim_mm: Option<f64>| {
            let mut changed = (*catalogue).clone();
            let setter = Arc::make_mut(&mut changed.setters.values_mut().next().unwrap().1);
            setter.shape = SetterShape::Polygon {
                corners_mm: corners.to_vec(),
            };
            setter.rim = rim_mm.map(|width_mm| Rim {
                height_mm: 20.0,
                width_mm,
            });
            changed.check_links().err().map(|fault| match fault {
                CatalogueFault::Number { place, reason } => format!("{place}: {reason}"),
                other => panic!("{other:?}"),
            })
        };
        let ell = [
            [-50.0, -50.0],
            [50.0, -50.0],
            [50.0, 10.0],
            [10.0, 10.0],
            [10.0, 50.0],
            [-50.0, 50.0],
        ];
        assert_eq!(told(&ell, None), None);
        assert_eq!(told(&ell, Some(8.0)), None);
        let back: Vec<_> = ell.iter().rev().copied().collect();
        assert_eq!(told(&back, None), None);
        let square = [[-50.0, -50.0], [50.0, -50.0], [50.0, 50.0], [-50.0, 50.0]];
        let mut closed = square.to_vec();
        closed.push(square[0]);
        let moved = ell.map(|[x, y]| [x - 40.0, y - 40.0]);
        let neck = [
            [-60.0, -40.0],
            [-20.0, -40.0],
            [-20.0, -4.0],
            [20.0, -4.0],
            [20.0, -40.0],
            [60.0, -40.0],
            [60.0, 40.0],
            [20.0, 40.0],
            [20.0, 4.0],
            [-20.0, 4.0],
            [-20.0, 40.0],
            [-60.0, 40.0],
        ];
        type Case<'a> = (&'a [[f64; 2]], Option<f64>, &'a str);
        let cases: [Case; 11] = [
            (&square[..2], None, "has 2 corners; give 3 to 1000"),
            (
                &closed,
                None,
                "corner 1 (-50, -50) stands there again as corner 5",
            ),
            (
                &[square[0], square[2], square[1], square[3]],
                None,
                "the side after corner 1 (-50, -50) crosses or touches the side after corner 3",
            ),
            // A corner that touches another side.
            (
                &[
                    [-50.0, -50.0],
                    [50.0, -50.0],
                    [50.0, 50.0],
                    [0.0, -50.0],
                    [-50.0, 50.0],
                ],
                None,
                "crosses or touches",
            ),
            (
                &[[-5.0, 0.0], [5.0, 0.0], [9.0, 0.0]],
                None,
                "lie on one line",
            ),
            (
                &[[-5.0, 0.0], [5.0, f64::NAN], [0.0, 9.0]],
                None,
                "corner 2 (5, NaN) is no place",
            ),
            (
                &[[-5.0, 0.0], [5.0, 1e9], [0.0, 9.0]],
                None,
                "is no place on a setter",
            ),
            (&moved, None, "(0, 0) lies outside its corners"),
            // On a side is not within.
            (&square.map(|[x, y]| [x + 50.0, y]), None, "or on a side"),
            (&ell, Some(40.0), "leaves no face within it"),
            (&neck, Some(5.0), "into 2 pieces"),
        ];
        for (corners, rim_mm, says) in cases {
            let sentence = told(corners, rim_mm).unwrap_or_default();
            assert!(sentence.contains(says), "{says}: {sentence}");
            assert!(sentence.contains("setter \""), "{sentence}");
        }
        let many: Vec<[f64; 2]> = (0..1001)
            .map(|i| [f64::from(i), f64::from(i * i)])
            .collect();
        assert!(told(&many, None).unwrap().contains("has 1001 corners"));
    }

    #[test]
    fn pumps_and_gases_that_cannot_be_are_refused() {
        use crate::catalogue::{Furnace, Gas};
        let (catalogue, _) = builtin().unwrap();
        let furnaces: [fn(&mut Furnace); 5] = [
            |f| f.pump = vec![(0.0, 60.0)],
            |f| f.pump = vec![(-1.0, 60.0)],
            |f| f.pump = vec![(0.01, 0.0)],
            |f| f.pump = vec![(1e-12, 60.0)],
            |f| f.ultimate_mbar = Some(-1.0),
        ];
        for (i, change) in furnaces.into_iter().enumerate() {
            let mut bad = (*catalogue).clone();
            change(Arc::make_mut(
                &mut bad.furnaces.values_mut().next().unwrap().1,
            ));
            assert!(bad.check_links().is_err(), "furnace {i}");
        }
        let gases: [fn(&mut Gas); 3] = [
            |g| g.oxygen_share = Some(0.21),
            |g| g.name = "Dry air".to_owned(),
            |g| g.id = "vacuum".to_owned(),
        ];
        for (i, change) in gases.into_iter().enumerate() {
            let mut bad = (*catalogue).clone();
            change(Arc::make_mut(&mut bad.gases.get_mut("argon").unwrap().1));
            assert!(bad.check_links().is_err(), "gas {i}");
        }
        let mut free = (*catalogue).clone();
        let gas = Arc::make_mut(&mut free.gases.get_mut("nitrogen").unwrap().1);
        (gas.name, gas.oxygen_share) = ("Nitrogen, oxygen-free".to_owned(), Some(0.0));
        assert_eq!(free.check_links(), Ok(()));
    }

    #[test]
    fn figures_of_a_binder_that_cannot_be_are_refused() {
        use crate::catalogue::Component;
        let (catalogue, _) = builtin().unwrap();
        type Change = fn(&mut Component);
        let changes: [(&str, Change); 9] = [
            ("no mass of gas", |c| c.offgas_g_mol = 0.0),
            ("more char than binder", |c| c.char_share = 2.0),
            ("less than none caught", |c| c.trap_share = -0.1),
            ("more caught than comes", |c| c.trap_share = 7.0),
            ("part of it does nothing", |c| c.reactions[0].share = 0.3),
            ("a backwards", |c| c.reactions[0].a_per_s = -1.0),
            ("E backwards", |c| c.reactions[0].e_kj_mol = -90.0),
            ("order backwards", |c| c.reactions[0].order = -1.0),
            ("no number", |c| c.reactions[0].order = f64::NAN),
        ];
        for (what, change) in changes {
            let mut bad = (*catalogue).clone();
            let binder = bad.binders.values_mut().next().unwrap();
            let component = Arc::make_mut(&mut binder.1).components.first_mut();
            change(component.unwrap());
            assert!(bad.check_links().is_err(), "{what}");
        }
        // Nobody has to know how it leaves.
        let mut open = (*catalogue).clone();
        let binder = open.binders.values_mut().next().unwrap();
        Arc::make_mut(&mut binder.1).components[0].reactions.clear();
        assert_eq!(open.check_links(), Ok(()));
    }
}
