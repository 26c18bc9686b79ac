//! Reduction of the governing oxide, evaporation of alloying elements, carbon, nitrogen.

use super::constants::{ATM_PA, R, T_REF_K, VAPOUR_M2_S, ZERO_C, molar_volume_m3};

/// Equilibrium of an oxide with hydrogen: ΔG = a + bT of the reduction by hydrogen, J/mol of oxide.
#[derive(Clone, Debug, PartialEq)]
pub struct Oxide {
    /// Formula.
    pub formula: String,
    /// a, J/mol.
    pub enthalpy_j_mol: f64,
    /// b, J/(mol·K): the slope of ΔG over T, negative where the reaction gains entropy.
    pub entropy_j_molk: f64,
    /// Waters per formula.
    pub waters: f64,
    /// Metal atoms per formula.
    pub metals: f64,
}

/// Cr2O3 + 3 H2 = 2 Cr + 3 H2O: 367 640 − 79.77 T (Gaskell-type fits, from memory).
pub fn chromia() -> Oxide {
    Oxide {
        formula: "Cr2O3".to_owned(),
        enthalpy_j_mol: 367_640.0,
        entropy_j_molk: -79.77,
        waters: 3.0,
        metals: 2.0,
    }
}

impl Oxide {
    /// pH2O/pH2 in equilibrium with metal of an activity: (K/a^m)^(1/waters).
    pub fn ratio(&self, t_k: f64, activity: f64) -> f64 {
        let g = self.enthalpy_j_mol + self.entropy_j_molk * t_k;
        let ln_k = -g / (R * t_k);
        libm::exp((ln_k - self.metals * libm::log(activity)) / self.waters)
    }
}

/// Water over ice, Pa (Sonntag-type formula, from memory): 611.21·exp(22.587 t/(273.86 + t)).
pub fn ice_pa(t_c: f64) -> f64 {
    611.21 * libm::exp(22.587 * t_c / (273.86 + t_c))
}

/// Dew point, °C, of a water share at 1 atm.
pub fn dew_point_c(share: f64) -> f64 {
    let y = libm::log((share * ATM_PA / 611.21).max(1e-300)) / 22.587;
    273.86 * y / (1.0 - y)
}

/// Water share at 1 atm of a dew point, °C.
pub fn water_share(dew_point_c: f64) -> f64 {
    ice_pa(dew_point_c) / ATM_PA
}

/// Reduction balance of a run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reduction {
    /// Water to be carried off, mol.
    pub need_mol: f64,
    /// Water that the gas can carry, mol: F∫(r_eq − r_in) dt.
    pub carried_mol: f64,
    /// The same in holds only.
    pub carried_in_holds_mol: f64,
}

impl Reduction {
    /// Share of the reducible oxygen that the gas can take, 0–1.
    pub fn share(&self) -> f64 {
        if self.need_mol > 0.0 {
            (self.carried_mol / self.need_mol).min(1.0)
        } else {
            1.0
        }
    }

    /// Volume, L at 25 °C and 1 atm, of an amount.
    pub fn litres(mol: f64) -> f64 {
        mol * molar_volume_m3() * 1e3
    }
}

/// Water that reducing a mass share of oxygen makes, mol: one per oxygen atom.
pub fn water_from_oxygen_mol(metal_kg: f64, reducible_share: f64) -> f64 {
    metal_kg * reducible_share / 0.016
}

/// One stretch of the balance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// Length, s.
    pub dt_s: f64,
    /// Temperature of the load in it, K (the coldest, to be on the safe side).
    pub t_k: f64,
    /// Hydrogen flow, mol/s.
    pub hydrogen_mol_s: f64,
    /// Water share of the gas that enters.
    pub inlet: f64,
    /// Whether it belongs to a hold.
    pub hold: bool,
}

/// Interpolated equilibrium and gas-limited balance over a history in which pores are open.
pub fn reduction(
    oxide: &Oxide,
    activity: f64,
    metal_kg: f64,
    reducible_share: f64,
    history: impl IntoIterator<Item = Stretch>,
) -> Reduction {
    let mut out = Reduction {
        need_mol: water_from_oxygen_mol(metal_kg, reducible_share),
        carried_mol: 0.0,
        carried_in_holds_mol: 0.0,
    };
    for s in history {
        let free = (oxide.ratio(s.t_k, activity) - s.inlet).max(0.0);
        let mol = s.hydrogen_mol_s * free * s.dt_s;
        out.carried_mol += mol;
        if s.hold {
            out.carried_in_holds_mol += mol;
        }
    }
    out
}

/// Water share of the exhaust while the oxide gives water at a rate, mol/s.
pub fn exhaust_share(inlet: f64, oxygen_mol_s: f64, flow_mol_s: f64) -> f64 {
    inlet
        + if flow_mol_s > 0.0 {
            oxygen_mol_s / flow_mol_s
        } else {
            0.0
        }
}

/// Vapour pressure log10(p/atm) = A + B/T + C·log10 T + D·T/1000.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Vapour {
    /// A.
    pub a: f64,
    /// B, K.
    pub b: f64,
    /// C.
    pub c: f64,
    /// D, 1/kK.
    pub d: f64,
    /// Molar mass, kg/mol.
    pub molar_kg_mol: f64,
    /// Activity over mole fraction.
    pub activity: f64,
}

/// Chromium, solid (Alcock-type coefficients, from memory).
pub const CHROMIUM: Vapour = Vapour {
    a: 6.800,
    b: -20_733.0,
    c: 0.4391,
    d: -0.4094,
    molar_kg_mol: 0.051_996,
    activity: 1.0,
};
/// Manganese, solid.
pub const MANGANESE: Vapour = Vapour {
    a: 12.805,
    b: -15_097.0,
    c: -1.7896,
    d: 0.0,
    molar_kg_mol: 0.054_938,
    activity: 1.0,
};
/// Copper, liquid; a ≈ 8x in iron.
pub const COPPER: Vapour = Vapour {
    a: 5.849,
    b: -16_415.0,
    c: 0.0,
    d: 0.0,
    molar_kg_mol: 0.063_546,
    activity: 8.0,
};

/// Mean molar mass of a steel, kg/mol (assumed for every alloy).
pub const STEEL_KG_MOL: f64 = 0.056;

/// Vapour of an element by its symbol, where one is known.
pub fn vapour_of(symbol: &str) -> Option<Vapour> {
    match symbol {
        "Cr" => Some(CHROMIUM),
        "Mn" => Some(MANGANESE),
        "Cu" => Some(COPPER),
        _ => None,
    }
}

impl Vapour {
    /// Over the pure element, Pa.
    pub fn pure_pa(&self, t_k: f64) -> f64 {
        let log10 = self.a + self.b / t_k + self.c * libm::log10(t_k) + self.d * t_k / 1000.0;
        libm::pow(10.0, log10) * ATM_PA
    }

    /// Over an alloy with a mole fraction, Pa.
    pub fn over_pa(&self, t_k: f64, mole_fraction: f64) -> f64 {
        (self.activity * mole_fraction).min(1.0) * self.pure_pa(t_k)
    }

    /// Upper bound of the flux, kg/(m²·s): (pM/RT)/(1/v_L + δ/D), v_L = √(RT/2πM),
    /// D = 1.5e-5(T/273)^1.75(1e5/P) m²/s (assumed). `pressure_pa` 0 is vacuum.
    pub fn flux(&self, t_k: f64, mole_fraction: f64, pressure_pa: f64, half_gap_m: f64) -> f64 {
        let p = self.over_pa(t_k, mole_fraction);
        let v = libm::sqrt(R * t_k / (2.0 * std::f64::consts::PI * self.molar_kg_mol));
        let resistance = if pressure_pa > 0.0 {
            half_gap_m / (VAPOUR_M2_S * libm::pow(t_k / 273.0, 1.75) * 1e5 / pressure_pa)
        } else {
            0.0
        };
        p * self.molar_kg_mol / (R * t_k) / (1.0 / v + resistance)
    }
}

/// From here water from an oxide counts, °C: below, stainless oxides give next to none (assumed).
pub const REDUCES_FROM_C: f64 = 900.0;

/// Carbon that the gas takes, a mass share: none, since no record has a rate (assumed).
pub const DECARBURISED: f64 = 0.0;

/// Carbon of the sintered alloy, mass share: powder + 0.86·char·m_binder/m_metal − 0.75·(oxygen
/// removed by carbon) − decarburisation.
pub fn carbon(powder: f64, from_char: f64, oxygen_by_carbon: f64, decarburised: f64) -> f64 {
    (powder + from_char - 0.75 * oxygen_by_carbon - decarburised).max(0.0)
}

/// Time that a part spends between two temperatures while cooling, s: nitrogen enters stainless
/// steel in nitrogen between 1150 and 600 °C.
pub fn cooling_time_between_s(history: &[(f64, f64)], from_k: f64, to_k: f64) -> f64 {
    history
        .windows(2)
        .filter(|w| w[1].1 < w[0].1)
        .map(|w| {
            let (hi, lo) = (w[0].1, w[1].1);
            let inside = (hi.min(from_k) - lo.max(to_k)).max(0.0);
            (w[1].0 - w[0].0) * inside / (hi - lo)
        })
        .sum()
}

/// Celsius of kelvin.
pub fn celsius(t_k: f64) -> f64 {
    t_k - ZERO_C
}

/// Flow, mol/s, of L/min at 25 °C and 1 atm.
pub fn mol_s_from_l_min(l_min: f64) -> f64 {
    l_min / 60e3 * ATM_PA / (R * T_REF_K)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chromia_in_equilibrium() {
        // physics.md 12 (derived from fits from memory), unit activity.
        for (c, want) in [
            (900.0, 8.562e-5),
            (1000.0, 2.297e-4),
            (1100.0, 5.337e-4),
            (1200.0, 1.106e-3),
            (1300.0, 2.089e-3),
            (1360.0, 2.947e-3),
        ] {
            let r = chromia().ratio(c + ZERO_C, 1.0);
            assert!((r / want - 1.0).abs() < 2e-3, "{c}: {r}");
        }
        // model.md 7: a_Cr 0.2 is 2.92 times that; 1200 °C 3.23e-3, 1300 6.1e-3, 1360 8.6e-3.
        for (c, want) in [(1200.0, 3.23e-3), (1300.0, 6.1e-3), (1360.0, 8.6e-3)] {
            let r = chromia().ratio(c + ZERO_C, 0.2);
            assert!((r / want - 1.0).abs() < 5e-3, "{c}: {r}");
        }
    }

    #[test]
    fn ice() {
        // physics.md 12: ppmv at 1 atm.
        for (t, ppm) in [
            (-20.0, 1018.0),
            (-30.0, 375.0),
            (-40.0, 127.0),
            (-50.0, 38.9),
            (-60.0, 10.7),
        ] {
            assert!((water_share(t) * 1e6 / ppm - 1.0).abs() < 5e-3, "{t}");
            assert!((dew_point_c(water_share(t)) - t).abs() < 1e-9);
        }
        for (c, dp) in [(1200.0, -19.1), (1360.0, -8.5)] {
            assert!((dew_point_c(chromia().ratio(c + ZERO_C, 1.0)) - dp).abs() < 0.15);
        }
    }

    #[test]
    fn story_3_dry_gas_wet_furnace() {
        // stories.md 3 [hand]: need 6.4 L; 10 L/min for 60 min at 1200 °C carries 1.9 L (30 %),
        // 30 L/min 5.8 L (91 %); the ramp 1100–1200 °C at 5 K/min and 30 L/min about 1.4 L more.
        let go = |l_min: f64, ramp: bool, minutes: usize| {
            let mut s = vec![];
            let h = mol_s_from_l_min(l_min);
            let inlet = water_share(-60.0);
            if ramp {
                for k in 0..20 {
                    s.push(Stretch {
                        dt_s: 60.0,
                        t_k: 1100.0 + 5.0 * (k as f64 + 0.5) + ZERO_C,
                        hydrogen_mol_s: h,
                        inlet,
                        hold: false,
                    });
                }
            }
            for _ in 0..minutes {
                s.push(Stretch {
                    dt_s: 60.0,
                    t_k: 1200.0 + ZERO_C,
                    hydrogen_mol_s: h,
                    inlet,
                    hold: true,
                });
            }
            reduction(&chromia(), 0.2, 14.0, 0.0003, s)
        };
        let r = go(10.0, false, 60);
        assert!((Reduction::litres(r.need_mol) - 6.4).abs() < 0.05);
        assert!(
            (Reduction::litres(r.carried_mol) - 1.9).abs() < 0.05,
            "{}",
            Reduction::litres(r.carried_mol)
        );
        assert!((r.share() - 0.30).abs() < 0.01);
        assert!(
            (go(10.0, true, 60).share() - 0.37).abs() < 0.01,
            "{}",
            go(10.0, true, 60).share()
        );
        let r = go(30.0, false, 60);
        assert!((r.share() - 0.91).abs() < 0.015, "{}", r.share());
        let ramp = Reduction::litres(go(30.0, true, 0).carried_mol);
        assert!((ramp - 1.4).abs() < 0.05, "{ramp}");
        assert_eq!(go(30.0, true, 60).share(), 1.0);
        // 17-4PH: carbon takes the rest, −0.75·0.03·0.63 = −0.014 %.
        let c = 0.03 - carbon(0.03, 0.0, 0.03 * (1.0 - go(10.0, true, 60).share()), 0.0);
        assert!((c - 0.014).abs() < 0.0005, "{c}");
        // 183 min at 1200 °C would do.
        assert!((go(10.0, true, 183).share() - 1.0).abs() < 0.03);
    }

    #[test]
    fn vapour_pressures() {
        // physics.md 12 check points (memory/derived).
        assert!((CHROMIUM.pure_pa(1656.0) / 1.050 - 1.0).abs() < 5e-3);
        assert!((MANGANESE.pure_pa(1228.0) / 0.973 - 1.0).abs() < 5e-3);
        assert!((COPPER.pure_pa(1509.0) / 0.948 - 1.0).abs() < 5e-3);
        assert!((CHROMIUM.pure_pa(1633.15) / 0.713 - 1.0).abs() < 5e-3);
        assert!((COPPER.pure_pa(1633.15) / 6.36 - 1.0).abs() < 5e-3);
    }

    #[test]
    fn evaporation_flux() {
        // model.md 7: δ 10 mm, 1360 °C at vacuum/0.5/10 mbar: Cr 340/92/6, Cu in 17-4
        // 5250/1510/102 g/m²h. Mole fractions assumed there: Cr 0.18, Cu about 0.034.
        let go = |v: &Vapour, x: f64, mbar: f64| v.flux(1633.15, x, mbar * 100.0, 0.01) * 3.6e6;
        let cr = [
            go(&CHROMIUM, 0.18, 0.0),
            go(&CHROMIUM, 0.18, 0.5),
            go(&CHROMIUM, 0.18, 10.0),
        ];
        for (got, want) in cr.iter().zip([340.0, 92.0, 6.0]) {
            assert!((got / want - 1.0).abs() < 0.12, "{cr:?}");
        }
        let cu = [
            go(&COPPER, 0.035, 0.0),
            go(&COPPER, 0.035, 0.5),
            go(&COPPER, 0.035, 10.0),
        ];
        for (got, want) in cu.iter().zip([5250.0, 1510.0, 102.0]) {
            assert!((got / want - 1.0).abs() < 0.06, "{cu:?}");
        }
    }

    #[test]
    fn nitrogen_time_counts_only_cooling() {
        let h = [
            (0.0, 1000.0),
            (100.0, 1500.0),
            (200.0, 1400.0),
            (400.0, 800.0),
        ];
        let s = cooling_time_between_s(&h, 1423.15, 873.15);
        // From 1423.15 to 1400 at 1 K/s, then to 873.15 at 3 K/s.
        assert!((s - (23.15 + 526.85 / 3.0)).abs() < 1e-9, "{s}");
    }
}
