//! `setterwright tally FILE`.

use super::{Failure, OnLoad, Outcome, open, print_json};
use crate::load::{Sizes, Sums, tally};
use crate::part::MassState;
use crate::text::cli as say;
use serde::Serialize;
use std::collections::BTreeMap;
use std::io::Write;

#[derive(Serialize)]
struct SumsJson {
    parts: usize,
    coupons: usize,
    mass_by_state_g: BTreeMap<&'static str, f64>,
    entering_g: f64,
    binder_to_burn_g: f64,
    furniture_g: f64,
    dummy_g: f64,
    total_g: f64,
    pieces_with_assumed_extraction: usize,
    not_counted: usize,
}

impl From<&Sums> for SumsJson {
    fn from(s: &Sums) -> SumsJson {
        SumsJson {
            parts: s.parts,
            coupons: s.coupons,
            mass_by_state_g: MassState::ALL.map(|m| (m.word(), s.in_state(m))).into(),
            entering_g: s.entering_g,
            binder_to_burn_g: s.binder_g,
            furniture_g: s.furniture_g,
            dummy_g: s.dummy_g,
            total_g: s.total_g(),
            pieces_with_assumed_extraction: s.extraction_assumed,
            not_counted: s.unknown,
        }
    }
}

#[derive(Serialize)]
struct LevelJson {
    level: String,
    mass_on_plate_g: f64,
    area_fill: Option<f64>,
    #[serde(flatten)]
    sums: SumsJson,
}

#[derive(Serialize)]
struct PiecesJson {
    part: String,
    pieces: usize,
}

#[derive(Serialize)]
struct TallyJson<'a> {
    schema: &'static str,
    version: u32,
    title: &'a str,
    furnace: &'a str,
    profile_time_min: Option<f64>,
    area_fill: Option<f64>,
    height_fill: Option<f64>,
    furnace_rating_fill: Option<f64>,
    pieces: Vec<PiecesJson>,
    whole: SumsJson,
    levels: Vec<LevelJson>,
}

pub(super) fn run(on: &OnLoad, out: &mut dyn Write) -> Outcome {
    let load = open(&on.file, on.shop.as_deref())?;
    let plan = &load.plan;
    let catalogue = &load.working.catalogue;
    let furnace = catalogue.furnace(&plan.load.furnace).map(AsRef::as_ref);
    let sums = tally(plan, catalogue, furnace, &Sizes::new(plan, catalogue));
    let full_rate = furnace.map(|f| f.ramp_max_k_min);
    let json = TallyJson {
        schema: "setterwright.tally",
        version: 1,
        title: &plan.title,
        furnace: &plan.load.furnace,
        profile_time_min: plan
            .profile
            .curve(full_rate)
            .ok()
            .map(|c| c.total_time_min()),
        area_fill: sums.area_fill(),
        height_fill: sums.height_fill,
        furnace_rating_fill: sums.rating_fill,
        pieces: plan
            .parts
            .iter()
            .map(|part| PiecesJson {
                part: part.name.clone(),
                pieces: sums.pieces.get(&part.id.0).copied().unwrap_or(0),
            })
            .collect(),
        whole: (&sums.whole).into(),
        levels: sums
            .levels
            .iter()
            .map(|l| LevelJson {
                level: plan.level_label(l.level),
                mass_on_plate_g: l.on_plate_g,
                area_fill: l.fill(),
                sums: (&l.sums).into(),
            })
            .collect(),
    };
    if on.json {
        print_json(out, &json)?;
    } else {
        print(&json, out)?;
    }
    Ok(0)
}

fn kg(g: f64) -> String {
    format!("{:.3} kg", g / 1000.0)
}

fn share(value: Option<f64>) -> String {
    value.map_or_else(say::unknown, |v| format!("{:.1} %", v * 100.0))
}

fn print(t: &TallyJson, out: &mut dyn Write) -> Result<(), Failure> {
    writeln!(out, "{}", say::tally_head(t.title, t.furnace))?;
    for p in &t.pieces {
        writeln!(
            out,
            "  {}",
            say::row(&p.part, &crate::text::count(p.pieces, "piece", "pieces"))
        )?;
    }
    let w = &t.whole;
    for (state, mass) in MassState::ALL
        .iter()
        .map(|m| (m.word(), w.mass_by_state_g.get(m.word())))
    {
        let mass = mass.copied().unwrap_or(0.0);
        writeln!(out, "  {}", say::row(&say::parts_in(state), &kg(mass)))?;
    }
    writeln!(
        out,
        "  {}",
        say::row("parts as they enter", &kg(w.entering_g))
    )?;
    writeln!(out, "  {}", say::row("furniture", &kg(w.furniture_g)))?;
    writeln!(out, "  {}", say::row("dummy masses", &kg(w.dummy_g)))?;
    writeln!(out, "  {}", say::row("total on the hearth", &kg(w.total_g)))?;
    let binder = format!("{:.1} g", w.binder_to_burn_g);
    writeln!(out, "  {}", say::row("binder to burn", &binder))?;
    if w.pieces_with_assumed_extraction > 0 {
        writeln!(
            out,
            "  {}",
            say::extraction_assumed(w.pieces_with_assumed_extraction)
        )?;
    }
    if w.not_counted > 0 {
        writeln!(out, "  {}", say::not_counted(w.not_counted))?;
    }
    writeln!(out, "  {}", say::row("area filled", &share(t.area_fill)))?;
    writeln!(
        out,
        "  {}",
        say::row("height filled", &share(t.height_fill))
    )?;
    writeln!(
        out,
        "  {}",
        say::row("of the furnace's rating", &share(t.furnace_rating_fill))
    )?;
    if let Some(min) = t.profile_time_min {
        writeln!(
            out,
            "  {}",
            say::row("program time", &format!("{:.1} h", min / 60.0))
        )?;
    }
    for l in &t.levels {
        let filled = share(l.area_fill);
        let text = say::level_sums(l.sums.parts, &kg(l.mass_on_plate_g), &filled);
        writeln!(out, "  {}", say::row(&l.level, &text))?;
    }
    Ok(())
}
