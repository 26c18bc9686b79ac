//! The furnace as heat sees it.

use super::figures::Figures;
use super::generic;
use crate::catalogue::{Furnace, Space};
use crate::forecast::constants::ZERO_C;
use crate::forecast::curve::Curve;
use crate::forecast::inputs::{Fan, FurnaceHeat, Insulation, Retort};
use crate::forecast::offgas::Pump;
use crate::forecast::purge;
use crate::load::floor_and_roof;
use std::f64::consts::PI;

/// Figures of `model.md` 4.8 from the record.
pub(super) fn heat(furnace: &Furnace, figures: &mut Figures) -> FurnaceHeat {
    let h = &furnace.heat;
    let wall = figures.of(furnace, "heat.emissivity", "", h.emissivity);
    let loss_area = figures.of(furnace, "heat.loss_area_m2", "m²", h.loss_area_m2);
    let shields = figures.of(furnace, "heat.shields", "", f64::from(h.shields));
    let face = "heat.face_area_m2";
    let face_m2 = match h.face_area_m2 {
        Some(area) => figures.of(furnace, face, "m²", area),
        None => figures.derived(
            furnace,
            face,
            "m²",
            inner_m2(&furnace.hot_zone),
            "all sides of the hot zone",
        ),
    };
    let retort = h.retort.as_ref().map(|r| {
        let inside = figures.of(furnace, "heat.retort.emissivity", "", r.emissivity);
        let film = r.outer_film_w_m2k;
        Retort {
            heat_j_k: 1e3 * figures.of(furnace, "heat.retort.kj_k", "kJ/K", r.kj_k),
            area_m2: figures.of(furnace, "heat.retort.area_m2", "m²", r.area_m2),
            // Two grey faces close to each other.
            exchange: 1.0 / (1.0 / inside + 1.0 / wall - 1.0),
            h_outer: figures.or(
                furnace,
                "heat.retort.outer_film_w_m2k",
                "W/m²K",
                film,
                generic::RETORT_FILM_W_M2K,
            ),
        }
    });
    let insulation = h.insulation_kj_k.map(|kj_k| Insulation {
        heat_j_k: 1e3 * figures.of(furnace, "heat.insulation_kj_k", "kJ/K", kj_k),
    });
    let fan = h.fan.map(|fan| {
        let film = fan.film_w_m2k;
        let usual = generic::FAN_FILM_W_M2K;
        let least = figures.of(
            furnace,
            "heat.fan.pressure_min_mbar",
            "mbar",
            fan.pressure_min_mbar,
        );
        let below = figures.of(furnace, "heat.fan.on_below_c", "°C", fan.on_below_c);
        Fan {
            h_w_m2k: figures.or(furnace, "heat.fan.film_w_m2k", "W/m²K", film, usual),
            ua_w_k: figures.of(furnace, "heat.fan.ua_w_k", "W/K", fan.ua_w_k),
            water_k: ZERO_C
                + figures.or(
                    furnace,
                    "heat.fan.water_c",
                    "°C",
                    fan.water_c,
                    generic::WATER_C,
                ),
            pressure_min_pa: 100.0 * least,
            on_below_k: ZERO_C + below,
        }
    });
    let ambient = h.ambient_c;
    FurnaceHeat {
        heat_j_k: 1e3 * figures.of(furnace, "heat.chamber_kj_k", "kJ/K", h.chamber_kj_k),
        loss_w_k: figures.of(furnace, "heat.loss_w_k", "W/K", h.loss_w_k),
        loss_m2: loss_area / ((shields + 1.0) * (2.0 / wall - 1.0)),
        emissivity: h.retort.as_ref().map_or(wall, |r| r.emissivity),
        face_m2,
        power_w: power(furnace, figures),
        sensor_lag_s: figures.of(furnace, "heat.sensor_lag_s", "s", h.sensor_lag_s),
        control_s: figures.or(
            furnace,
            "heat.control_s",
            "s",
            h.control_s,
            generic::CONTROL_S,
        ),
        ambient_k: ZERO_C
            + figures.or(furnace, "heat.ambient_c", "°C", ambient, generic::AMBIENT_C),
        retort,
        insulation,
        fan,
    }
}

fn power(furnace: &Furnace, figures: &mut Figures) -> Curve {
    let points = furnace.heat.power_by_c_kw.iter();
    let points: Vec<(f64, f64)> = points
        .map(|&(c, kw)| {
            let kw = figures.at(furnace, "heat.power_by_c_kw", &format!("{c} °C"), "kW", kw);
            (ZERO_C + c, 1e3 * kw)
        })
        .collect();
    Curve::new(&points).unwrap_or_else(|| {
        Curve::constant(1e3 * figures.of(furnace, "power_kw", "kW", furnace.power_kw))
    })
}

/// All that the load sees of a hot zone, m².
fn inner_m2(zone: &Space) -> f64 {
    let (floor, roof) = floor_and_roof(zone);
    let high = roof - floor;
    let mm2 = match *zone {
        Space::Box {
            width_mm, depth_mm, ..
        } => 2.0 * (width_mm * depth_mm + (width_mm + depth_mm) * high),
        Space::Cylinder { diameter_mm, .. } => PI * diameter_mm * (diameter_mm / 2.0 + high),
    };
    mm2 * 1e-6
}

/// The pump; none where the record has none.
pub(super) fn pump(furnace: &Furnace, figures: &mut Figures) -> Option<Pump> {
    let points: Vec<(f64, f64)> = furnace
        .pump
        .iter()
        .map(|&(mbar, m3_h)| {
            let speed = figures.at(furnace, "pump", &format!("{mbar} mbar"), "m³/h", m3_h);
            (100.0 * mbar, speed / 3600.0)
        })
        .collect();
    Curve::new(&points).map(|speed_m3_s| Pump { speed_m3_s })
}

/// What the record's volume leaves beside the load, m³; it has the annulus and the trap in it.
pub(super) fn free_m3(furnace: &Furnace, solids_m3: f64, figures: &mut Figures) -> f64 {
    let volume = figures.of(furnace, "volume_l", "L", furnace.volume_l) * 1e-3;
    purge::free_m3(volume, solids_m3, 0.0, 0.0)
}
