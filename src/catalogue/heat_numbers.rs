//! Figures for the forecast that cannot be.

use super::numbers::Held;
use super::{
    Alloy, Binder, CatalogueFault, Component, Feedstock, FirstStep, Furnace, Gas, Material,
};

type Checked = Result<(), CatalogueFault>;

impl Held<'_> {
    /// A table over temperature: rising, and above zero everywhere.
    fn table(&self, field: &str, table: &[(f64, f64)]) -> Checked {
        self.rising(field, table.iter().map(|p| p.0))?;
        table
            .iter()
            .try_for_each(|p| self.above_zero(&[(field, p.1)]))
    }

    fn some_above_zero(&self, fields: &[(&str, Option<f64>)]) -> Checked {
        fields
            .iter()
            .filter_map(|(field, value)| Some((*field, (*value)?)))
            .try_for_each(|f| self.above_zero(&[f]))
    }

    fn finite(&self, fields: &[(&str, f64)]) -> Checked {
        match fields.iter().find(|(_, value)| !value.is_finite()) {
            Some((field, value)) => self.refuse(format!("{field} is {value}; it must be finite")),
            None => Ok(()),
        }
    }

    pub(super) fn heat_of_alloy(&self, r: &Alloy) -> Checked {
        self.table("cp_j_kgk", &r.cp_j_kgk)?;
        self.table("conductivity_w_mk", &r.conductivity_w_mk)?;
        if let Some(e) = r.emissivity {
            self.share("emissivity.brown", e.brown)?;
            self.share("emissivity.reduced", e.reduced)?;
            self.share("emissivity.sintered", e.sintered)?;
        }
        for element in &r.elements {
            self.share("mole_fraction", element.mole_fraction)?;
            self.share("activity", element.activity)?;
        }
        if let Some(o) = r.oxide {
            self.finite(&[
                ("oxide.enthalpy_kj_mol", o.enthalpy_kj_mol),
                ("oxide.slope_j_molk", o.slope_j_molk),
            ])?;
            self.above_zero(&[("oxide.oxygens", o.oxygens), ("oxide.metals", o.metals)])?;
        }
        Ok(())
    }

    /// A share that may be nought.
    fn part(&self, field: &str, value: f64) -> Checked {
        if (0.0..=1.0).contains(&value) {
            return Ok(());
        }
        self.refuse(format!("{field} is {value}; it must lie from 0 to 1"))
    }

    /// What a component of a binder leaves, and how fast. Without reactions it has no kinetics.
    pub(super) fn burning_of(&self, c: &Component) -> Checked {
        self.above_zero(&[("offgas_g_mol", c.offgas_g_mol)])?;
        self.part("char_share", c.char_share)?;
        self.part("trap_share", c.trap_share)?;
        for r in &c.reactions {
            self.share("share of a reaction", r.share)?;
            self.above_zero(&[("a_per_s", r.a_per_s), ("e_kj_mol", r.e_kj_mol)])?;
            self.not_below_zero(&[("order", r.order)])?;
            // Beyond that no integration of a reaction means anything.
            if r.order > 5.0 {
                self.refuse(format!("order is {}; it must not be above 5", r.order))?;
            }
        }
        let sum: f64 = c.reactions.iter().map(|r| r.share).sum();
        if !c.reactions.is_empty() && (sum - 1.0).abs() > 1e-6 {
            self.refuse(format!(
                "the shares of the reactions add to {sum}, not to 1"
            ))?;
        }
        Ok(())
    }

    pub(super) fn heat_of_feedstock(&self, r: &Feedstock) -> Checked {
        self.some_above_zero(&[
            ("powder_um", r.powder_um),
            ("brown_conductivity_w_mk", r.brown_conductivity_w_mk),
        ])?;
        if let Some(oxygen) = r.reducible_oxygen_pct {
            self.not_below_zero(&[("reducible_oxygen_pct", oxygen)])?;
        }
        let Some(d) = r.densifying else { return Ok(()) };
        for branch in [Some(d.branch), d.upper.map(|u| u.branch)]
            .into_iter()
            .flatten()
        {
            self.above_zero(&[("densifying kj_mol", branch.kj_mol)])?;
            self.above_zero(&[("densifying b", branch.b)])?;
            self.finite(&[("densifying a", branch.a)])?;
        }
        if let Some(upper) = d.upper {
            self.above_zero(&[("densifying.upper.from_c", upper.from_c)])?;
        }
        if let Some(g) = d.grains {
            self.above_zero(&[
                ("densifying.grains.exponent", g.exponent),
                ("densifying.grains.start_um", g.start_um),
                ("densifying.grains.k_um_s", g.k_um_s),
                ("densifying.grains.at_c", g.at_c),
            ])?;
            self.not_below_zero(&[("densifying.grains.kj_mol", g.kj_mol)])?;
        }
        let start = d.start_density.unwrap_or(r.loading);
        self.share("densifying.start_density", start)?;
        self.share("densifying.end_density_open", d.end_density_open)?;
        let filled = d.end_density_gas_filled;
        self.share("densifying.end_density_gas_filled", filled)?;
        self.above_zero(&[
            ("density gained", d.end_density_open - start),
            ("density gained in gas", filled - start),
            ("densifying.range_to_c", d.range_to_c),
        ])
    }

    pub(super) fn heat_of_material(&self, r: &Material) -> Checked {
        self.table("cp_j_kgk", &r.cp_j_kgk)?;
        self.table("conductivity_w_mk", &r.conductivity_w_mk)?;
        if let Some(e) = r.emissivity {
            self.share("emissivity", e)?;
        }
        let Some(c) = r.creep else { return Ok(()) };
        self.above_zero(&[
            ("creep.rate_per_s", c.rate_per_s),
            ("creep.stress_mpa", c.stress_mpa),
            ("creep.at_c", c.at_c),
            ("creep.grain_um", c.grain_um),
            ("creep.exponent", c.exponent),
            ("creep.kj_mol", c.kj_mol),
        ])?;
        self.not_below_zero(&[("creep.grain_exponent", c.grain_exponent)])
    }

    pub(super) fn heat_of_gas(&self, r: &Gas) -> Checked {
        if let Some(gamma) = r.gamma
            && !(gamma > 1.0 && gamma <= 2.0)
        {
            return self.refuse(format!("gamma is {gamma}; it must lie above 1 and up to 2"));
        }
        r.accommodation
            .map_or(Ok(()), |a| self.share("accommodation", a))
    }

    pub(super) fn heat_of_furnace(&self, r: &Furnace) -> Checked {
        let h = &r.heat;
        self.some_above_zero(&[
            ("heat.face_area_m2", h.face_area_m2),
            ("heat.insulation_kj_k", h.insulation_kj_k),
            ("heat.control_s", h.control_s),
            ("heat.load_sensor_j_m2k", h.load_sensor_j_m2k),
            ("heat.fan.film_w_m2k", h.fan.and_then(|f| f.film_w_m2k)),
        ])?;
        let film = h.retort.as_ref().and_then(|r| r.outer_film_w_m2k);
        self.not_below_zero(&[("heat.retort.outer_film_w_m2k", film.unwrap_or(0.0))])?;
        let water = h.fan.and_then(|f| f.water_c);
        for (field, c) in [("heat.ambient_c", h.ambient_c), ("heat.fan.water_c", water)] {
            if c.is_some_and(|c| !(-50.0..=100.0).contains(&c)) {
                return self.refuse(format!("{field} must lie between -50 and 100"));
            }
        }
        self.table("heat.power_by_c_kw", &h.power_by_c_kw)
    }

    pub(super) fn solvent_of(&self, r: &Binder) -> Checked {
        match r.first_step {
            FirstStep::Solvent {
                solvent_molar_g_mol,
                ..
            } => self.some_above_zero(&[("solvent_molar_g_mol", solvent_molar_g_mol)]),
            FirstStep::Water { .. } | FirstStep::Catalytic { .. } | FirstStep::ThermalOnly => {
                Ok(())
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::catalogue::{CatalogueFault, builtin};
    use std::sync::Arc;

    #[test]
    fn figures_for_the_forecast_that_cannot_be_are_refused() {
        let (catalogue, _) = builtin().unwrap();
        let refused = |change: &dyn Fn(&mut crate::catalogue::Catalogue)| {
            let mut bad = (*catalogue).clone();
            change(&mut bad);
            matches!(bad.check_links(), Err(CatalogueFault::Number { .. }))
        };
        assert!(!refused(&|_| {}));
        assert!(refused(&|c| {
            let alloy = c.alloys.get_mut("316l").unwrap();
            Arc::make_mut(&mut alloy.1).cp_j_kgk = vec![(300.0, f64::NAN)];
        }));
        assert!(refused(&|c| {
            let feedstock = c.feedstocks.get_mut("316l-wax").unwrap();
            Arc::make_mut(&mut feedstock.1).powder_um = Some(-10.0);
        }));
        assert!(refused(&|c| {
            let feedstock = c.feedstocks.get_mut("316l-wax").unwrap();
            let data = Arc::make_mut(&mut feedstock.1).densifying.as_mut();
            data.unwrap().end_density_open = 0.5;
        }));
        assert!(refused(&|c| {
            let gas = c.gases.get_mut("argon").unwrap();
            Arc::make_mut(&mut gas.1).accommodation = Some(0.0);
        }));
        assert!(refused(&|c| {
            let furnace = c.furnaces.get_mut("round-hot-zone").unwrap();
            Arc::make_mut(&mut furnace.1).heat.control_s = Some(f64::INFINITY);
        }));
    }
}
