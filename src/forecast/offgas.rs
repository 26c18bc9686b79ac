//! Off-gas: flows, residence, the pressure a pump can hold, the trap, residue.

use super::constants::{ATM_PA, CHAR_CARBON, R, T_REF_K, molar_volume_m3};
use super::curve::Curve;

/// Flow of off-gas.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Flow {
    /// kg/s.
    pub kg_s: f64,
    /// mol/s.
    pub mol_s: f64,
}

/// L/min at 25 °C and 1 atm from mol/s.
pub fn l_min_25c(mol_s: f64) -> f64 {
    mol_s * molar_volume_m3() * 60e3
}

impl Flow {
    /// L/min at 25 °C and 1 atm.
    pub fn l_min_25c(&self) -> f64 {
        l_min_25c(self.mol_s)
    }

    /// L/min at a temperature and pressure.
    pub fn l_min_at(&self, t_k: f64, pressure_pa: f64) -> f64 {
        self.l_min_25c() * (t_k / T_REF_K) * (ATM_PA / pressure_pa.max(1e-3))
    }
}

/// Residence of the gas in the furnace, s: V (P/P0)(T0/T)/F, F in mol/s.
pub fn residence_s(free_m3: f64, pressure_pa: f64, t_k: f64, mol_s: f64) -> f64 {
    free_m3 * pressure_pa / (R * t_k) / mol_s.max(1e-12)
}

/// Pump: speed, m³/s, over inlet pressure, Pa.
#[derive(Clone, Debug, PartialEq)]
pub struct Pump {
    /// Speed over pressure.
    pub speed_m3_s: Curve,
}

impl Pump {
    /// Lowest pressure at which it takes a flow, mol/s, of gas at 25 °C, Pa: P = Q/S(P). None when
    /// it is beyond the pump below 1 atm.
    pub fn floor_pa(&self, mol_s: f64) -> Option<f64> {
        if mol_s.is_nan() || mol_s <= 0.0 {
            return Some(0.0);
        }
        let q = mol_s * R * T_REF_K;
        // S·P rises with P for any pump worth the name; look for the crossing from below.
        let (mut lo, mut hi) = (1e-4f64, ATM_PA);
        if self.speed_m3_s.at(hi) * hi < q {
            return None;
        }
        for _ in 0..200 {
            let mid = libm::sqrt(lo * hi);
            if self.speed_m3_s.at(mid) * mid >= q {
                hi = mid;
            } else {
                lo = mid;
            }
        }
        Some(hi)
    }

    /// The same from the speeds' corners, for curves: between corners S is linear in P, so that
    /// S·P = Q is a quadratic.
    pub fn floor_pa_quick(&self, mol_s: f64) -> Option<f64> {
        if mol_s.is_nan() || mol_s <= 0.0 {
            return Some(0.0);
        }
        let q = mol_s * R * T_REF_K;
        let points = self.speed_m3_s.points();
        let (first, last) = points.first().zip(points.last())?;
        if first.1 * first.0 >= q {
            return Some(q / first.1);
        }
        for w in points.windows(2) {
            let ((p0, s0), (p1, s1)) = (w[0], w[1]);
            if s1 * p1 < q {
                continue;
            }
            let slope = (s1 - s0) / (p1 - p0);
            let b = s0 - slope * p0;
            let p = if slope.abs() < 1e-300 {
                q / s0
            } else {
                let root = libm::sqrt((b * b + 4.0 * slope * q).max(0.0));
                // The stable form of the positive root.
                2.0 * q / (b + root)
            };
            return Some(p.clamp(p0, p1));
        }
        let p = q / last.1;
        (p <= ATM_PA).then_some(p)
    }
}

/// Throughput of a flow, mbar·L/s, from L/min at 25 °C and 1 atm (16.9 of one per the other).
pub fn throughput_mbar_l_s(l_min_25c: f64) -> f64 {
    l_min_25c / 60.0 * ATM_PA / 100.0
}

/// What goes through the trap.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Trapped {
    /// Caught, kg.
    pub caught_kg: f64,
    /// On to pump or flame, kg.
    pub passed_kg: f64,
}

/// Splits masses (kg, share caught).
pub fn trap(masses: impl IntoIterator<Item = (f64, f64)>) -> Trapped {
    masses
        .into_iter()
        .fold(Trapped::default(), |t, (m, eta)| Trapped {
            caught_kg: t.caught_kg + m * eta,
            passed_kg: t.passed_kg + m * (1.0 - eta),
        })
}

/// Carbon left in the metal from char, as a mass share: 0.86·char·m_binder/m_metal. Of a
/// hydrocarbon's char 0.86 is carbon (assumed).
pub fn char_carbon(char_kg: f64, metal_kg: f64) -> f64 {
    if metal_kg > 0.0 {
        CHAR_CARBON * char_kg / metal_kg
    } else {
        0.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn row_80_volume_of_offgas() {
        // physics.md 80 (derived): 100 g as C3H6, 42.08 g/mol: 58.1402 L at 25 °C.
        let l = 0.1 / 0.04208 * molar_volume_m3() * 1e3;
        assert!((l / 58.1402 - 1.0).abs() < 1e-5, "{l}");
    }

    #[test]
    fn story_2_peak_flow_and_pump_floor() {
        // stories.md 2 [hand]: 5.6 g/min of M 56 is 2.5 L/min; with 10 L/min sweep on 100 m³/h the
        // floor is 7.6 mbar.
        let f = Flow {
            kg_s: 5.6e-3 / 60.0,
            mol_s: 5.6e-3 / 60.0 / 0.056,
        };
        assert!((f.l_min_25c() - 2.45).abs() < 0.05, "{}", f.l_min_25c());
        let pump = Pump {
            speed_m3_s: Curve::constant(100.0 / 3600.0),
        };
        let floor = pump.floor_pa(12.5 / 60e3 / molar_volume_m3()).unwrap() / 100.0;
        assert!((floor - 7.6).abs() < 0.05, "{floor}");
        // Both ways to it agree on a real curve.
        let box_pump = Pump {
            speed_m3_s: Curve::new(&[
                (1.0, 40.0 / 3600.0),
                (10.0, 80.0 / 3600.0),
                (100.0, 100.0 / 3600.0),
                (1000.0, 100.0 / 3600.0),
                (1e5, 90.0 / 3600.0),
            ])
            .unwrap(),
        };
        for l in [0.01, 0.1, 1.0, 12.5, 100.0, 900.0] {
            let mol = l / 60e3 / molar_volume_m3();
            let (a, b) = (
                box_pump.floor_pa(mol).unwrap(),
                box_pump.floor_pa_quick(mol).unwrap(),
            );
            assert!((a / b - 1.0).abs() < 1e-6, "{l}: {a} {b}");
        }
        assert!((throughput_mbar_l_s(1.0) - 16.9).abs() < 0.02);
    }

    #[test]
    fn story_2_trap() {
        let t = trap([(0.070, 0.95), (0.145, 0.7)]);
        assert!((0.190 + t.caught_kg - 0.358).abs() < 0.001, "{t:?}");
    }

    #[test]
    fn char_of_one_per_cent() {
        // model.md 7: 1 % char of the backbone is 0.022 % C in 316L: a backbone of a third of
        // 7.16 % binder on 92.84 % metal.
        let c = char_carbon(0.01 * 0.0716 / 3.0 / 0.9284, 1.0);
        assert!((c - 0.00022).abs() < 0.00001, "{c}");
    }
}
