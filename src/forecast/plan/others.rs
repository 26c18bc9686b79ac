//! Figures that a forecast, what it says and the checks of it read beyond those of the heat and of
//! the parts' matter: noted here, each with its record, so that the list is whole.

use super::figures::Figures;
use super::kinds::Kind;
use super::rings::plan_shape;
use super::{Asked, BACKBONE_LEFT_WANTED, NOT_ITS_HOLD_S, exhaust, generic};
use crate::catalogue::{
    Alloy, Basis, Feedstock, Furnace, Material, Record, Setter, SetterShape, Space, Standing,
    Uniformity,
};
use crate::forecast::chemistry::{DECARBURISED, STEEL_KG_MOL, vapour_of};
use crate::forecast::inputs::{PlanShape, Program};
use crate::forecast::solvent::BATH_FULL_KG_M3;
use crate::load::{Carrier, ExtractedBy};

/// Notes them.
pub(super) fn others(
    asked: &Asked,
    furnace: &Furnace,
    kinds: &[Kind],
    program: &Program,
    known: Option<&Uniformity>,
    figures: &mut Figures,
) {
    furniture(asked, figures);
    zone(furnace, figures);
    for kind in kinds {
        let Some((records, _)) = &kind.made_of else {
            continue;
        };
        feedstock(records.feedstock, figures);
        alloy(records.alloy, figures);
        // A lot of its own factors goes by these.
        let lot = match kind.key.is {
            super::KindIs::Pieces { lot, .. } => lot.and_then(|id| asked.plan.lot(id)),
            super::KindIs::Dummy { .. } => None,
        };
        if let Some((lot, factors)) = lot.and_then(|l| Some((l, l.oversize?))) {
            axes(
                &format!("lot {}", lot.name),
                factors,
                "the lot",
                Standing::Shop,
                figures,
            );
        }
    }
    if kinds
        .iter()
        .any(|k| k.key.extracted.is_some_and(|e| e.by == ExtractedBy::Bath))
    {
        model(
            "bath_full_kg_m3",
            BATH_FULL_KG_M3,
            "kg/m³",
            "solvent step",
            figures,
        );
    }
    if kinds.iter().any(|k| k.made_of.is_some()) {
        model(
            "necks_from_k",
            generic::NECKS_FROM_K,
            "K",
            "conductivity of parts",
            figures,
        );
        model(
            "necks_to_k",
            generic::NECKS_TO_K,
            "K",
            "conductivity of parts",
            figures,
        );
        model(
            "binder_left_wanted",
            BACKBONE_LEFT_WANTED,
            "",
            "holds",
            figures,
        );
        if let (Some(lower), Some(share)) = (exhaust::vapour_lower(), exhaust::exhaust_share()) {
            let source = "exhaust: the lowest flammable limit listed";
            model("binder_vapour_lower_limit", lower, "", source, figures);
            let source = "exhaust: share of the lower limit";
            model("exhaust_share", share, "", source, figures);
        }
        // Nothing in the records says how fast hydrogen takes carbon.
        model(
            "decarburised_pct",
            100.0 * DECARBURISED,
            "%",
            "carbon: none is taken by the gas",
            figures,
        );
        model("not_its_hold_s", NOT_ITS_HOLD_S, "s", "holds", figures);
    }
    model(
        "cooling_followed_s",
        program.cool_max_s,
        "s",
        "cooling",
        figures,
    );
    if let Some(trap) = furnace.trap {
        figures.of(furnace, "trap.capacity_g", "g", trap.capacity_g);
    }
    let pumped = |s: &crate::profile::Segment| s.gas.is_none() && s.pressure_mbar.is_none();
    if asked.plan.profile.segments.iter().any(pumped)
        && let Some(mbar) = furnace.ultimate_mbar
    {
        figures.of(furnace, "ultimate_mbar", "mbar", mbar);
    }
    state(asked, known, figures);
}

/// A figure of the models that is assumed.
pub(super) fn model(name: &str, value: f64, unit: &str, source: &str, figures: &mut Figures) {
    let name = name.to_owned();
    figures.push(String::new(), name, value, unit, source, Standing::Assumed);
}

fn axes(record: &str, factors: [f64; 3], source: &str, standing: Standing, figures: &mut Figures) {
    for (axis, factor) in ["x", "y", "z"].into_iter().zip(factors) {
        let name = format!("oversize.{axis}");
        figures.push(record.to_owned(), name, factor, "", source, standing);
    }
}

/// How large the zone is, and between which heights.
fn zone(furnace: &Furnace, figures: &mut Figures) {
    let (sides, z) = match furnace.hot_zone {
        Space::Box {
            width_mm,
            depth_mm,
            z0_mm,
            z1_mm,
        } => (
            vec![
                ("hot_zone.width_mm", width_mm),
                ("hot_zone.depth_mm", depth_mm),
            ],
            [z0_mm, z1_mm],
        ),
        Space::Cylinder {
            diameter_mm,
            z0_mm,
            z1_mm,
        } => (vec![("hot_zone.diameter_mm", diameter_mm)], [z0_mm, z1_mm]),
    };
    let heights = ["hot_zone.z0_mm", "hot_zone.z1_mm"].into_iter().zip(z);
    for (field, mm) in sides.into_iter().chain(heights) {
        figures.of(furnace, field, "mm", mm);
    }
}

fn furniture(asked: &Asked, figures: &mut Figures) {
    for (_, level) in asked.plan.levels() {
        if let Carrier::Posts { post, .. } = &level.carrier
            && let Some(post) = asked.catalogue.post(post)
        {
            figures.of(post.as_ref(), "mass_g", "g", post.mass_g);
            figures.of(post.as_ref(), "length_mm", "mm", post.length_mm);
        }
        for id in level.placements.iter().filter_map(|p| p.support.as_ref()) {
            if let Some(support) = asked.catalogue.support(id) {
                figures.of(support.as_ref(), "mass_g_cm2", "g/cm²", support.mass_g_cm2);
                figures.of(support.as_ref(), "height_mm", "mm", support.height_mm);
                figures.of(support.as_ref(), "margin_mm", "mm", support.margin_mm);
            }
        }
        if let Some(setter) = asked.catalogue.setter(&level.setter) {
            figures.of(setter.as_ref(), "thickness_mm", "mm", setter.thickness_mm);
            match &setter.shape {
                SetterShape::Rectangle { width_mm, depth_mm } => {
                    figures.of(setter.as_ref(), "shape.width_mm", "mm", *width_mm);
                    figures.of(setter.as_ref(), "shape.depth_mm", "mm", *depth_mm);
                }
                SetterShape::Disc { diameter_mm } => {
                    figures.of(setter.as_ref(), "shape.diameter_mm", "mm", *diameter_mm);
                }
                SetterShape::Polygon { corners_mm } => {
                    for (i, [x, y]) in corners_mm.iter().enumerate() {
                        let field = |axis: &str| format!("shape.corners_mm.{i}.{axis}");
                        figures.of(setter.as_ref(), &field("x"), "mm", *x);
                        figures.of(setter.as_ref(), &field("y"), "mm", *y);
                    }
                    stands_for(setter, figures);
                }
            }
            if let Some(made_of) = asked.catalogue.material(&setter.material) {
                material(made_of.as_ref(), figures);
            }
        }
    }
}

/// The plan by which heat sees a setter that is neither rectangle nor disc.
fn stands_for(setter: &Setter, figures: &mut Figures) {
    let sides = match plan_shape(&setter.shape).0 {
        PlanShape::Rectangle { width_m, depth_m } => {
            vec![
                ("plan_as_rectangle.width_mm", width_m),
                ("plan_as_rectangle.depth_mm", depth_m),
            ]
        }
        PlanShape::Disc { radius_m } => vec![("plan_as_disc.diameter_mm", 2.0 * radius_m)],
    };
    for (name, m) in sides {
        figures.push(
            format!("setter {}", setter.id),
            name.to_owned(),
            m * 1e3,
            "mm",
            "stands for the polygon, of its area",
            Standing::Assumed,
        );
    }
}

/// What plates bend, creep and crack by.
fn material(record: &Material, figures: &mut Figures) {
    figures.of(record, "density_g_cm3", "g/cm³", record.density_g_cm3);
    figures.of(record, "expansion_per_k", "1/K", record.expansion_per_k);
    figures.of(record, "poisson", "", record.poisson);
    for (field, unit, table) in [
        ("modulus_gpa", "GPa", &record.modulus_gpa),
        ("strength_mpa", "MPa", &record.strength_mpa),
    ] {
        for &(c, value) in table {
            figures.at(record, field, &format!("{c} °C"), unit, value);
        }
    }
    if let Some(creep) = record.creep {
        for (field, unit, value) in [
            ("creep.rate_per_s", "1/s", creep.rate_per_s),
            ("creep.stress_mpa", "MPa", creep.stress_mpa),
            ("creep.at_c", "°C", creep.at_c),
            ("creep.grain_um", "µm", creep.grain_um),
            ("creep.exponent", "", creep.exponent),
            ("creep.kj_mol", "kJ/mol", creep.kj_mol),
            ("creep.grain_exponent", "", creep.grain_exponent),
        ] {
            figures.of(record, field, unit, value);
        }
    }
}

fn feedstock(record: &Feedstock, figures: &mut Figures) {
    let (source, standing) = record.provenance("oversize");
    let named = format!("feedstock {}", record.id);
    axes(&named, record.oversize, source, standing, figures);
    figures.of(record, "oversize_density", "", record.oversize_density);
    let range = &record.sinter;
    for (field, unit, value) in [
        ("sinter.from_c", "°C", range.from_c),
        ("sinter.to_c", "°C", range.to_c),
        ("sinter.hold_min_min", "min", range.hold_min_min),
    ] {
        figures.of(record, field, unit, value);
    }
    figures.of(record, "powder_carbon_pct", "%", record.powder_carbon_pct);
    if let Some(oxygen) = record.reducible_oxygen_pct {
        figures.of(record, "reducible_oxygen_pct", "%", oxygen);
    }
    if let Some(start) = record.densifying.and_then(|d| d.start_density) {
        figures.of(record, "densifying.start_density", "", start);
    }
}

fn alloy(record: &Alloy, figures: &mut Figures) {
    for (field, value) in [
        ("carbon_min_pct", record.carbon_min_pct),
        ("carbon_max_pct", record.carbon_max_pct),
    ] {
        if let Some(value) = value {
            figures.of(record, field, "%", value);
        }
    }
    if let Some(line) = record.oxide {
        for (field, unit, value) in [
            ("oxide.enthalpy_kj_mol", "kJ/mol", line.enthalpy_kj_mol),
            ("oxide.slope_j_molk", "J/molK", line.slope_j_molk),
            ("oxide.oxygens", "", line.oxygens),
            ("oxide.metals", "", line.metals),
        ] {
            figures.of(record, field, unit, value);
        }
    }
    for (i, element) in record.elements.iter().enumerate() {
        let field = |name: &str| format!("elements.{i}.{name}");
        figures.of(record, &field("mole_fraction"), "", element.mole_fraction);
        figures.of(record, &field("activity"), "", element.activity);
        let Some(vapour) = vapour_of(&element.symbol).filter(|_| record.evaporates) else {
            continue;
        };
        model(
            "steel_kg_mol",
            STEEL_KG_MOL,
            "kg/mol",
            "evaporation",
            figures,
        );
        for (name, unit, value) in [
            ("a", "", vapour.a),
            ("b", "K", vapour.b),
            ("c", "", vapour.c),
            ("d", "1/kK", vapour.d),
        ] {
            let name = format!("vapour_{}_{name}", element.symbol.to_lowercase());
            let source = "vapour pressures of the elements, Alcock-type";
            figures.push(String::new(), name, value, unit, source, Standing::Memory);
        }
    }
}

/// What the shop has noted of the furnace: survey or what stands for it, trap, gases.
fn state(asked: &Asked, known: Option<&Uniformity>, figures: &mut Figures) {
    let Some(state) = asked.state() else {
        return;
    };
    let mut note = |name: String, value: f64, unit: &str, source: &str| {
        let record = format!("state of furnace {}", state.furnace);
        figures.push(record, name, value, unit, source, Standing::Shop);
    };
    if let Some(fill) = state.trap_fill_g {
        note("trap_fill_g".to_owned(), fill, "g", "the shop");
    }
    for gas in &state.gases {
        if let Some(dew) = gas.dew_point_c {
            note(
                format!("gas {}.dew_point_c", gas.gas),
                dew,
                "°C",
                "the shop",
            );
        }
    }
    let Some(known) = known else {
        return;
    };
    match (&known.basis, &state.survey) {
        (Basis::Survey { date }, Some(survey)) => {
            let source = format!("survey of {date}");
            for p in &survey.points {
                let at = p.setpoint_c;
                note(
                    format!("survey.coldest_k at {at} °C"),
                    p.coldest_k,
                    "K",
                    &source,
                );
                note(
                    format!("survey.hottest_k at {at} °C"),
                    p.hottest_k,
                    "K",
                    &source,
                );
            }
        }
        (
            Basis::Sum {
                instrument_k,
                spread_k,
                ..
            },
            _,
        ) => {
            note("instrument_k".to_owned(), *instrument_k, "K", "the shop");
            note("spread_k".to_owned(), *spread_k, "K", "the shop");
            for knot in known.knots() {
                let name = format!("tolerance with both at {} °C", knot.setpoint_c);
                note(
                    name,
                    knot.hottest_k,
                    "K",
                    "tolerance of the control thermocouple",
                );
            }
        }
        (Basis::Class { class }, _) => {
            let source = format!("furnace class {class}");
            for knot in known.knots() {
                note("class.hottest_k".to_owned(), knot.hottest_k, "K", &source);
                note("class.coldest_k".to_owned(), knot.coldest_k, "K", &source);
            }
        }
        (Basis::Survey { .. }, None) => {}
    }
    note(
        "drift_k".to_owned(),
        known.drift_k,
        "K",
        "survey, or the shop",
    );
    note(
        "overshoot_k".to_owned(),
        known.overshoot_k,
        "K",
        "survey, or the shop",
    );
}
