//! `setterwright measure MESH`.

mod figures;
mod print;

use super::{Failure, Outcome, Size, Unit, print_json};
use crate::catalogue::Catalogue;
use crate::files::{self, MeshFile, MeshNote, mesh_resting};
use crate::load::PartRecords;
use crate::part::{
    Drawn, Geometry, Infill, MassState, MeshUnit, Part, PartId, Rest, Shape, SizeStage, Weighed,
    furnace_swell, mesh_in_mm, scale,
};
use crate::statics::{Poses, RestBy, RestsOn, direction, part_tipping, resting_poses_of, tipping};
use crate::text::cli as say;
use crate::text::measures::{self, HOW};
use crate::text::names;
use crate::units::{Quantity, parse, show};
use clap::{Args, ValueEnum};
use figures::{Measured, Mending, PoseFigures, Several, WithFeedstock};
use std::io::Write;
use std::path::PathBuf;
use std::sync::Arc;

#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The mesh file (STL, OBJ or 3MF), z up.
    mesh: PathBuf,
    /// Which of several bodies, by its number in the file, or all one by one; without this all as
    /// one part.
    #[arg(long, value_name = "N|all")]
    body: Option<Bodies>,
    /// Unit of the file's numbers, where the file states none.
    #[arg(long, value_enum, default_value = "mm")]
    unit: Unit,
    /// Size at which it is drawn.
    #[arg(long, value_enum, default_value = "final")]
    size: Size,
    /// Lists the poses in which it can rest, best first for the furnace.
    #[arg(long)]
    poses: bool,
    /// Measures it in this pose: as drawn, its number in the list of poses, or the direction of
    /// the drawing that is down.
    #[arg(long, value_name = "N|as-drawn|x,y,z", allow_hyphen_values = true)]
    rest: Option<RestBy>,
    /// A face to be kept off the setter, by its outward direction; may be given again.
    #[arg(long, value_name = "x,y,z", value_parser = direction, allow_hyphen_values = true)]
    keep_off: Vec<Rest>,
    /// What a printed part is filled with.
    #[arg(long, value_enum, default_value = "solid")]
    infill: Filled,
    /// Thickness of its shell, green.
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    shell: Option<f64>,
    /// Mass of one piece from the scale; it overrides the volume.
    #[arg(long, value_name = "MASS", value_parser = mass, requires = "state")]
    mass: Option<f64>,
    /// State in which it was weighed.
    #[arg(long, value_enum, requires = "mass")]
    state: Option<State>,
    /// Governing section at green size as a person states it; it overrides the one measured.
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    section: Option<f64>,
    /// Adds mass by state and size by stage for this feedstock of the starting catalogue.
    #[arg(long, value_name = "SLUG")]
    feedstock: Option<String>,
    /// Prints JSON instead of text.
    #[arg(long)]
    pub(super) json: bool,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum Filled {
    Solid,
    Open,
    Closed,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum State {
    Green,
    Brown,
    Dry,
    Presintered,
    Sintered,
}

fn length(text: &str) -> Result<f64, String> {
    positive(Quantity::Length, text)
}

fn mass(text: &str) -> Result<f64, String> {
    positive(Quantity::Mass, text)
}

fn positive(quantity: Quantity, text: &str) -> Result<f64, String> {
    let value = parse(quantity, text).map_err(|fault| fault.to_string())?;
    if value > 0.0 {
        return Ok(value);
    }
    Err(measures::not_above_zero())
}

#[derive(Clone, Copy, Debug)]
enum Bodies {
    All,
    One(usize),
}

impl std::str::FromStr for Bodies {
    type Err = String;

    fn from_str(text: &str) -> Result<Bodies, String> {
        match text.parse() {
            Ok(number) if number > 0 => Ok(Bodies::One(number)),
            _ if text == "all" => Ok(Bodies::All),
            _ => Err(say::body_number()),
        }
    }
}

/// What the arguments say about the part beside its mesh.
struct Said {
    unit: MeshUnit,
    drawn: Drawn,
    rest: RestBy,
    infill: Infill,
    weighed: Option<Weighed>,
}

fn said(arguments: &Arguments) -> Result<Said, Failure> {
    let infill = match (arguments.infill, arguments.shell) {
        (Filled::Solid, None) => Infill::Solid,
        (Filled::Open, Some(shell_thickness_mm)) => Infill::Open { shell_thickness_mm },
        (Filled::Closed, Some(shell_thickness_mm)) => Infill::Closed { shell_thickness_mm },
        _ => return Err(Failure::Input(measures::shell_without_infill())),
    };
    let state = arguments.state.map(|state| match state {
        State::Green => MassState::Green,
        State::Brown => MassState::Brown,
        State::Dry => MassState::Dry,
        State::Presintered => MassState::Presintered,
        State::Sintered => MassState::Sintered,
    });
    Ok(Said {
        unit: match arguments.unit {
            Unit::Mm => MeshUnit::Millimetre,
            Unit::In => MeshUnit::Inch,
            Unit::M => MeshUnit::Metre,
        },
        drawn: match arguments.size {
            Size::Final => Drawn::Final,
            Size::Green => Drawn::Green,
        },
        rest: match arguments.rest.clone() {
            None => RestBy::Towards(Rest::AS_DRAWN),
            Some(RestBy::Rank(n, _)) => RestBy::Rank(n, arguments.keep_off.clone()),
            Some(towards) => towards,
        },
        infill,
        weighed: arguments
            .mass
            .zip(state)
            .map(|(mass_g, state)| Weighed { state, mass_g }),
    })
}

pub(super) fn run(arguments: &Arguments, out: &mut dyn Write) -> Outcome {
    let said = said(arguments)?;
    let file = files::read_mesh(&arguments.mesh)?;
    let catalogue = match &arguments.feedstock {
        None => None,
        Some(_) => Some(super::edit::empty(None)?.working.catalogue),
    };
    let one = |body| measured(arguments, &said, &file, body, catalogue.as_deref());
    let measured = match arguments.body {
        None => one(None)?,
        Some(Bodies::One(number)) => one(Some(number))?,
        Some(Bodies::All) => {
            let all = (1..=file.bodies.len()).map(|number| one(Some(number)));
            let bodies = all.collect::<Result<Vec<_>, _>>()?;
            if arguments.json {
                let several = Several {
                    schema: "setterwright.measure.bodies",
                    version: 1,
                    bodies,
                };
                print_json(out, &several)?;
            } else {
                for body in &bodies {
                    print::print(body, out)?;
                }
            }
            return Ok(0);
        }
    };
    if arguments.json {
        print_json(out, &measured)?;
    } else {
        print::print(&measured, out)?;
    }
    Ok(0)
}

fn measured(
    arguments: &Arguments,
    said: &Said,
    file: &MeshFile,
    body: Option<usize>,
    catalogue: Option<&Catalogue>,
) -> Result<Measured, Failure> {
    let unit = file.unit.unwrap_or(said.unit);
    let path = arguments.mesh.display().to_string();
    let fault = |said: &str| Failure::Input(say::mesh(&path, said));
    let mesh = file.body(body).map_err(|what| fault(&what.to_string()))?;
    let resting = mesh_resting(mesh, unit, &said.rest);
    let (rest, geometry) = resting.map_err(|what| fault(&what.to_string()))?;
    let poses: Option<Poses> = match arguments.poses {
        false => None,
        true => {
            // Sections are found of one surface only.
            let one_surface = geometry.section_mm.map(|_| true);
            let found = resting_poses_of(mesh, unit, &arguments.keep_off, one_surface);
            Some(found.map_err(|what| fault(&what.to_string()))?)
        }
    };
    let hull_mm3 = match &poses {
        Some(poses) => Some(poses.hull_volume_mm3),
        None => {
            let hull = mesh_in_mm(mesh, unit)
                .ok()
                .and_then(|(mesh, _)| mesh.hull());
            hull.map(|hull| hull.volume())
        }
    };
    let part = part_of(arguments, said, rest, &geometry);
    let with_feedstock = match arguments.feedstock.as_deref().zip(catalogue) {
        None => None,
        Some((slug, catalogue)) => Some(with_feedstock(slug, &part, catalogue)?),
    };
    let in_file = |at: [f64; 3]| geometry.in_file(rest, at);
    let stands = tipping(&geometry, [1.0; 3]);
    let detail = geometry.detail;
    let thinnest = detail.and_then(|d| d.thinnest);
    let overhang = detail.and_then(|d| d.overhang);
    let mended = detail.map(|d| d.mended).unwrap_or_default();
    let named = body.and_then(|n| file.bodies.get(n - 1));
    // The others have rows of their own.
    let odd = MeshNote::of(&geometry, unit);
    let odd = odd
        .iter()
        .filter(|n| matches!(n, MeshNote::OtherUnit { .. } | MeshNote::OtherSize { .. }));
    let (plan_mm2, wet_mm2) = (geometry.outline_area_mm2(), geometry.wet_area_mm2());
    let support_polygon_mm = geometry.support_polygon();
    let ranked = poses.as_ref().map(|poses| {
        let ranked = (1..).zip(&poses.ranked);
        ranked
            .map(|(rank, pose)| PoseFigures::new(rank, pose))
            .collect()
    });
    Ok(Measured {
        schema: "setterwright.measure",
        version: 1,
        file: path,
        format: file.format.word(),
        bodies: file.bodies.len(),
        body,
        name: named.and_then(|b| b.name.clone()),
        notes: file
            .notes
            .iter()
            .chain(odd)
            .map(ToString::to_string)
            .collect(),
        unit: unit.word(),
        drawn_at: said.drawn.word(),
        rest_down: rest.kept(),
        resting_as_drawn: rest.is_as_drawn(),
        infill: said.infill.word(),
        infill_shell_mm: said.infill.shell_mm(),
        overrides: overrides(&part),
        volume_mm3: geometry.volume_mm3,
        area_mm2: geometry.area_mm2,
        centroid_mm: in_file(geometry.centroid_mm),
        size_mm: geometry.size_mm,
        height_mm: geometry.height_mm(),
        outline_area_mm2: plan_mm2,
        plan_area_mm2: plan_mm2,
        wet_area_mm2: wet_mm2,
        plan_over_wet: plan_mm2 / wet_mm2,
        convex_hull_volume_mm3: hull_mm3,
        // An empty outline's area is −0.
        contact_area_mm2: geometry.footprint.area() + 0.0,
        body_volume_mm3: geometry.body.volume_mm3(),
        slabs: geometry.body.slabs.len(),
        open_edges: geometry.open_edges,
        degenerate_triangles: geometry.degenerate_triangles,
        shells: geometry.shells,
        touching_edges: detail.map_or(0, |d| d.touching_edges),
        crossing_shells: detail.and_then(|d| d.crossing_shells),
        volume_trusted: geometry.open_edges == 0
            && detail.is_some_and(|d| d.crossing_shells == Some(0)),
        mended: Mending {
            welded_points: mended.welded,
            split_triangles: mended.split,
            collapsed_triangles: mended.collapsed,
            doubled_triangles: mended.doubled,
            turned_triangles: mended.turned,
            turned_shells: mended.inside_out,
        },
        inertia_mm5: detail.map(|d| d.inertia_mm5),
        governing_section_mm: geometry.section_mm,
        governing_section_at_mm: detail.and_then(|d| d.section_at_mm).map(in_file),
        thinnest_section_mm: thinnest.map(|b| b.diameter_mm),
        thinnest_section_at_mm: thinnest.map(|b| in_file(b.centre_mm)),
        section_ratio: thinnest
            .zip(geometry.section_mm)
            .map(|(thin, thick)| thick / thin.diameter_mm),
        overhang_area_mm2: overhang.map(|o| o.area_mm2),
        overhang_reach_mm: overhang.map(|o| o.reach_mm),
        longest_free_span_mm: overhang.map(|o| o.span_mm),
        rests_on: stands.rests_on.word(),
        rolls: stands.rests_on != RestsOn::Area,
        support_polygon_area_mm2: crate::geometry::outline::signed_area(&support_polygon_mm) + 0.0,
        support_polygon_mm,
        foot_width_mm: stands.foot_width_mm,
        tip_angle_deg: stands.tip_angle_deg,
        poses_left_out: poses.map(|poses| poses.left_out),
        poses: ranked,
        how: HOW.iter().copied().collect(),
        with_feedstock,
    })
}

/// The part that the mesh and the arguments tell of, without its feedstock.
fn part_of(arguments: &Arguments, said: &Said, rest: Rest, geometry: &Geometry) -> Part {
    Part {
        id: PartId(0),
        name: String::new(),
        feedstock: String::new(),
        shape: Shape::Mesh {
            file: String::new(),
            unit: MeshUnit::Millimetre,
            sha256: String::new(),
            body: None,
        },
        drawn: said.drawn,
        rest,
        infill: said.infill,
        keep_off: arguments.keep_off.clone(),
        approved_rest: None,
        geometry: Arc::new(geometry.clone()),
        made_with_oversize: None,
        weighed: said.weighed,
        section_mm: arguments.section,
        work_zone_only: false,
    }
}

/// What stands in for what the mesh says.
fn overrides(part: &Part) -> Vec<String> {
    let length = |mm| show(Quantity::Length, mm, 3);
    let mut said = Vec::new();
    match part.weighed {
        Some(weighed) => said.push(measures::mass_overrides(weighed.state.word())),
        None if part.solid_volume_mm3().is_none() => said.push(measures::infill_needs_mass()),
        None => {}
    }
    let governs = |shell: &f64| part.green_section_mm([1.0; 3]) == Some(*shell);
    if let Some(section) = part.section_mm {
        said.push(measures::section_overrides(&length(section)));
    } else if let Some(shell) = part.infill.shell_mm().filter(governs) {
        said.push(measures::shell_overrides(&length(shell)));
    }
    said
}

fn with_feedstock(
    slug: &str,
    part: &Part,
    catalogue: &Catalogue,
) -> Result<WithFeedstock, Failure> {
    let part = Part {
        feedstock: slug.to_owned(),
        ..part.clone()
    };
    let records = PartRecords::new(&part, catalogue).ok_or_else(|| {
        let mut near = catalogue.candidates(crate::catalogue::Kind::Feedstock, slug);
        if near.is_empty() {
            near.extend(catalogue.feedstocks.keys().cloned());
        }
        Failure::Input(crate::text::edits::unknown_slug("feedstock", slug, &near))
    })?;
    let target = records.feedstock.extraction_target.unwrap_or(1.0);
    let masses = records.masses(target);
    let peak_c = records.feedstock.sinter.to_c;
    let size = |stage, swell: f64| {
        let factors = scale(&part, records.feedstock, records.alloy, peak_c, stage);
        let mut size = part.geometry.size_mm;
        for (side, factor) in size.iter_mut().zip(factors) {
            *side *= factor * swell;
        }
        size
    };
    let mut sizes = SizeStage::ALL
        .map(|stage| (stage.word(), size(stage, 1.0)))
        .to_vec();
    // As gaps are taken: a binder that all leaves by heat swells in the furnace.
    let swell = furnace_swell(&records.binder.first_step);
    if swell > 1.0 {
        let swollen = (names::swollen(), size(SizeStage::Hottest, swell));
        sizes.insert(SizeStage::Hottest as usize + 1, swollen);
    }
    Ok(WithFeedstock {
        feedstock: slug.to_owned(),
        mass_g: MassState::ALL
            .map(|state| (state.word(), masses.map(|m| m.in_state(state))))
            .to_vec(),
        mass_from: measures::mass_from(part.weighed.is_some(), masses.is_some()),
        size_mm: sizes,
        tip_angle_deg: [SizeStage::Green, SizeStage::Sintered]
            .map(|stage| {
                let stands = part_tipping(&records, peak_c, stage);
                (stage.word(), stands.tip_angle_deg)
            })
            .to_vec(),
        green_section_mm: part.green_section_mm(records.feedstock.oversize),
    })
}
