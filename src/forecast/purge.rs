//! Purge, pump and backfill; fuel in air.

use super::constants::{ATM_PA, T_REF_K};

/// Mixing of a purge with what is in the furnace (0.5, assumed, with stacked levels).
pub const MIXING: f64 = 0.5;

/// One stretch of a flow purge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PurgeStretch {
    /// Length, s.
    pub dt_s: f64,
    /// Flow, m³/s at 25 °C and 1 atm.
    pub flow_m3_s_25c: f64,
    /// Gas temperature in the furnace, K.
    pub t_k: f64,
    /// Pressure, Pa.
    pub pressure_pa: f64,
}

/// Volume changes N = ∫V̇(T/Tref)(Pref/P)/V dt.
pub fn changes(stretches: impl IntoIterator<Item = PurgeStretch>, free_m3: f64) -> f64 {
    stretches
        .into_iter()
        .map(|s| {
            s.flow_m3_s_25c * (s.t_k / T_REF_K) * (ATM_PA / s.pressure_pa.max(1.0))
                / free_m3.max(1e-9)
                * s.dt_s
        })
        .sum()
}

/// Concentration after N changes: Cin + (C0 − Cin)·exp(−K·N).
pub fn after(start: f64, inlet: f64, changes: f64, mixing: f64) -> f64 {
    inlet + (start - inlet) * libm::exp(-mixing * changes)
}

/// Changes needed to come from one concentration to another.
pub fn changes_needed(start: f64, target: f64, mixing: f64) -> f64 {
    if target >= start || mixing <= 0.0 {
        0.0
    } else {
        libm::log(start / target) / mixing
    }
}

/// Concentration after pumping down and filling up n times: C0·(Pv/Pb)ⁿ, plus what leaks and
/// outgases in each round, as a share of the filled furnace.
pub fn backfill(start: f64, vacuum_pa: f64, filled_pa: f64, rounds: u32, outgassed: f64) -> f64 {
    let mut c = start;
    for _ in 0..rounds.min(10_000) {
        c = c * (vacuum_pa / filled_pa) + outgassed;
    }
    c
}

/// Free volume, m³: chamber less solids plus annulus and trap.
pub fn free_m3(chamber_m3: f64, solids_m3: f64, annulus_m3: f64, trap_m3: f64) -> f64 {
    (chamber_m3 - solids_m3 + annulus_m3 + trap_m3).max(1e-6)
}

/// A fuel and its share of the fuel (not of the mixture with air).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fuel {
    /// Share among the fuels.
    pub share: f64,
    /// Lower limit in air, volume share.
    pub lower: f64,
}

/// Lower limit of a mixture of fuels in air, volume share (Le Chatelier). For fuel in air only.
pub fn lower_limit(fuels: &[Fuel]) -> Option<f64> {
    let sum: f64 = fuels.iter().map(|f| f.share / f.lower).sum();
    let shares: f64 = fuels.iter().map(|f| f.share).sum();
    (sum > 0.0 && sum.is_finite()).then(|| shares / sum)
}

/// Lower limit of a hydrocarbon at a temperature: falls by 0.0784 % per K from 25 °C (memory).
pub fn lower_limit_at(lower_25c: f64, t_k: f64) -> f64 {
    (lower_25c * (1.0 - 0.000_784_3 * (t_k - T_REF_K))).max(0.0)
}

/// Air that dilutes a fuel to a share of its lower limit, in its own units of volume.
pub fn dilution_air(fuel: f64, lower: f64, share: f64) -> f64 {
    fuel / (lower * share)
}

/// What a vent carries.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Vent {
    /// Share of the lower limit once mixed with the stated air.
    OfLowerLimit(f64),
    /// Fuel without air: above the upper limit; burn at a proven flame or dilute outside. Never a
    /// percentage.
    AboveUpperLimit,
    /// Fuel without air, but so much else with it that no mixture with air comes to the lower limit
    /// of a hot exhaust.
    BelowLowerLimit,
    /// Nothing that burns.
    NoFuel,
}

/// How hot an exhaust without air is judged, K (assumed: its limit then is half that of 25 °C).
const VENT_K: f64 = 935.0;

/// Judges an exhaust: fuel flow, its lower limit, and the air it meets, in the same unit of flow.
pub fn vent(fuel_flow: f64, other_flow: f64, lower: Option<f64>, air_flow: f64) -> Vent {
    match lower {
        Some(l) if fuel_flow > 0.0 && l > 0.0 => {
            if air_flow <= 0.0 {
                // Air only thins it further; beside inert gas the limit in air is taken.
                let most = fuel_flow / (fuel_flow + other_flow.max(0.0));
                if most < lower_limit_at(l, VENT_K) {
                    Vent::BelowLowerLimit
                } else {
                    Vent::AboveUpperLimit
                }
            } else {
                Vent::OfLowerLimit(fuel_flow / (fuel_flow + other_flow + air_flow) / l)
            }
        }
        _ => Vent::NoFuel,
    }
}

#[cfg(test)]
mod tests {
    use super::super::constants::molar_volume_m3;
    use super::*;

    fn near(a: f64, b: f64, rel: f64) {
        assert!((a / b - 1.0).abs() < rel, "{a} instead of {b}");
    }

    #[test]
    fn rows_75_and_76_mixtures() {
        let f = |share, lower| Fuel { share, lower };
        near(
            lower_limit(&[f(0.5, 0.05), f(0.5, 0.027)]).unwrap(),
            0.035_064_94,
            1e-6,
        );
        near(
            lower_limit(&[f(0.2, 0.04), f(0.3, 0.05), f(0.5, 0.02)]).unwrap(),
            0.027_777_78,
            1e-6,
        );
    }

    #[test]
    fn rows_77_to_79_purge() {
        // physics.md 77–79 (derived), well mixed.
        near(after(20.9, 0.0, 5.0, 1.0), 0.140_823, 1e-5);
        near(changes_needed(20.9, 1.0, 1.0), 3.039_749, 1e-6);
        near(backfill(20.9e4, 10.0, 1000.0, 2, 0.0), 20.9, 1e-6);
        // model.md 7: with mixing 0.5 five volumes leave 1.7 %.
        assert!((after(20.9, 0.0, 5.0, 0.5) - 1.7).abs() < 0.02);
        // stories.md 3: hydrogen out before air: ln(100)/0.5 = 9.2 volumes of 52 L, 480 L cold.
        near(changes_needed(100.0, 1.0, 0.5) * 52.0, 479.0, 0.01);
    }

    #[test]
    fn row_81_air_for_a_quarter_of_the_limit() {
        near(dilution_air(58.1402e-3, 0.02, 0.25), 11.6280, 1e-5);
    }

    #[test]
    fn row_82_argon_density() {
        // physics.md 82: 1.78228 kg/m³ at 0 °C, ideal (1.784 seen).
        let rho = 0.039_948 / molar_volume_m3() * (T_REF_K / 273.15);
        near(rho, 1.782_28, 1e-5);
    }

    #[test]
    fn hot_gas_purges_faster() {
        let s = |t_k, pressure_pa| PurgeStretch {
            dt_s: 60.0,
            flow_m3_s_25c: 1e-4,
            t_k,
            pressure_pa,
        };
        let cold = changes([s(T_REF_K, ATM_PA)], 0.06);
        near(changes([s(2.0 * T_REF_K, ATM_PA)], 0.06), 2.0 * cold, 1e-12);
        near(
            changes([s(T_REF_K, ATM_PA / 10.0)], 0.06),
            10.0 * cold,
            1e-12,
        );
    }

    #[test]
    fn hot_hydrocarbons_burn_leaner() {
        near(lower_limit_at(0.02, 250.0 + 273.15) / 0.02, 0.8236, 1e-3);
    }

    #[test]
    fn pure_fuel_is_never_a_percentage() {
        assert_eq!(vent(1.0, 0.0, Some(0.04), 0.0), Vent::AboveUpperLimit);
        assert_eq!(vent(0.0, 1.0, Some(0.04), 0.0), Vent::NoFuel);
        assert_eq!(vent(1.0, 9.0, Some(0.04), 0.0), Vent::AboveUpperLimit);
    }

    #[test]
    fn little_fuel_in_much_inert_gas_is_not_above_the_upper_limit() {
        // A trace of vapour in a sweep of 10 L/min, lowest limit listed near 0.6 %.
        assert_eq!(vent(0.016, 10.0, Some(0.006), 0.0), Vent::BelowLowerLimit);
        // Between the limit of a hot exhaust and that of a cold one it is not told as below.
        assert_eq!(vent(0.05, 10.0, Some(0.006), 0.0), Vent::AboveUpperLimit);
        assert_eq!(vent(0.016, 0.0, Some(0.006), 0.0), Vent::AboveUpperLimit);
    }
}
