//! `setterwright measure MESH`.

use super::{Failure, Outcome, Size, Unit, print_json};
use crate::catalogue::Catalogue;
use crate::files::{self, MeshFile, MeshNote};
use crate::load::PartRecords;
use crate::part::{
    Drawn, Geometry, MassState, MeshUnit, Part, PartId, Shape, SizeStage, computed_green_g,
    measure_mesh, scale,
};
use crate::statics::{part_tipping, tipping};
use crate::text::cli as say;
use crate::units::{Quantity, show};
use clap::Args;
use serde::Serialize;
use std::io::Write;
use std::path::PathBuf;
use std::sync::Arc;

#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The mesh file (STL, OBJ or 3MF), resting as drawn with z up.
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
    /// Adds mass by state and size by stage for this feedstock of the starting catalogue.
    #[arg(long, value_name = "SLUG")]
    feedstock: Option<String>,
    /// Prints JSON instead of text.
    #[arg(long)]
    pub(super) json: bool,
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

/// Bodies measured one by one.
#[derive(Serialize)]
struct Several {
    schema: &'static str,
    version: u32,
    bodies: Vec<Measured>,
}

#[derive(Serialize)]
struct Measured {
    schema: &'static str,
    version: u32,
    file: String,
    format: &'static str,
    /// Bodies in the file.
    bodies: usize,
    /// Which of them, if not all as one.
    #[serde(skip_serializing_if = "Option::is_none")]
    body: Option<usize>,
    #[serde(skip_serializing_if = "Option::is_none")]
    name: Option<String>,
    notes: Vec<String>,
    unit: &'static str,
    drawn_at: &'static str,
    volume_mm3: f64,
    area_mm2: f64,
    /// In the file's own coordinates.
    centroid_mm: [f64; 3],
    size_mm: [f64; 3],
    height_mm: f64,
    outline_area_mm2: f64,
    contact_area_mm2: f64,
    body_volume_mm3: f64,
    slabs: usize,
    open_edges: usize,
    degenerate_triangles: usize,
    shells: usize,
    touching_edges: usize,
    /// Shells that pass through others or themselves; null where that was not looked at.
    crossing_shells: Option<usize>,
    volume_trusted: bool,
    mended: Mending,
    /// At unit density about the centroid: xx, yy, zz, xy, xz, yz.
    #[serde(skip_serializing_if = "Option::is_none")]
    inertia_mm5: Option<[f64; 6]>,
    /// Diameter of the largest ball inside; null where the mesh is not sound.
    governing_section_mm: Option<f64>,
    /// In the file's own coordinates.
    governing_section_at_mm: Option<[f64; 3]>,
    thinnest_section_mm: Option<f64>,
    /// In the file's own coordinates.
    thinnest_section_at_mm: Option<[f64; 3]>,
    /// Governing over thinnest.
    section_ratio: Option<f64>,
    overhang_area_mm2: Option<f64>,
    overhang_reach_mm: Option<f64>,
    longest_free_span_mm: Option<f64>,
    rests_on: &'static str,
    /// Of what rests, counted from its centroid.
    support_polygon_mm: Vec<[f64; 2]>,
    foot_width_mm: f64,
    tip_angle_deg: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    with_feedstock: Option<WithFeedstock>,
}

#[derive(Serialize)]
struct Mending {
    welded_points: usize,
    collapsed_triangles: usize,
    doubled_triangles: usize,
    turned_triangles: usize,
    turned_shells: usize,
}

#[derive(Serialize)]
struct WithFeedstock {
    feedstock: String,
    mass_g: Vec<(&'static str, f64)>,
    size_mm: Vec<(&'static str, [f64; 3])>,
    tip_angle_deg: Vec<(&'static str, f64)>,
    #[serde(skip_serializing_if = "Option::is_none")]
    green_section_mm: Option<f64>,
}

pub(super) fn run(arguments: &Arguments, out: &mut dyn Write) -> Outcome {
    let unit = match arguments.unit {
        Unit::Mm => MeshUnit::Millimetre,
        Unit::In => MeshUnit::Inch,
        Unit::M => MeshUnit::Metre,
    };
    let drawn = match arguments.size {
        Size::Final => Drawn::Final,
        Size::Green => Drawn::Green,
    };
    let file = files::read_mesh(&arguments.mesh)?;
    let catalogue = match &arguments.feedstock {
        None => None,
        Some(_) => Some(super::edit::empty(None)?.working.catalogue),
    };
    let one = |body| measured(arguments, &file, unit, drawn, body, catalogue.as_deref());
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
                    print(body, out)?;
                }
            }
            return Ok(0);
        }
    };
    if arguments.json {
        print_json(out, &measured)?;
    } else {
        print(&measured, out)?;
    }
    Ok(0)
}

fn measured(
    arguments: &Arguments,
    file: &MeshFile,
    unit: MeshUnit,
    drawn: Drawn,
    body: Option<usize>,
    catalogue: Option<&Catalogue>,
) -> Result<Measured, Failure> {
    let unit = file.unit.unwrap_or(unit);
    let path = arguments.mesh.display().to_string();
    let fault = |said: &str| Failure::Input(say::mesh(&path, said));
    let mesh = file.body(body).map_err(|what| fault(&what.to_string()))?;
    let geometry = measure_mesh(mesh, unit).map_err(|what| fault(&what.to_string()))?;
    let with_feedstock = match arguments.feedstock.as_deref().zip(catalogue) {
        None => None,
        Some((slug, catalogue)) => Some(with_feedstock(slug, &geometry, drawn, catalogue)?),
    };
    let [cx, cy, cz] = geometry.centroid_mm;
    let [ax, ay, az] = geometry.anchor_mm;
    let in_file = |[x, y, z]: [f64; 3]| [x + ax, y + ay, z + az];
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
        .filter(|n| matches!(n, MeshNote::OtherUnit { .. }));
    let notes = file.notes.iter().chain(odd);
    Ok(Measured {
        schema: "setterwright.measure",
        version: 1,
        file: path,
        format: file.format.word(),
        bodies: file.bodies.len(),
        body,
        name: named.and_then(|b| b.name.clone()),
        notes: notes.map(ToString::to_string).collect(),
        unit: unit.word(),
        drawn_at: drawn.word(),
        volume_mm3: geometry.volume_mm3,
        area_mm2: geometry.area_mm2,
        centroid_mm: [cx + ax, cy + ay, cz + az],
        size_mm: geometry.size_mm,
        height_mm: geometry.height_mm(),
        outline_area_mm2: geometry.outline().area(),
        contact_area_mm2: geometry.footprint.area(),
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
        support_polygon_mm: geometry.footprint.hull(),
        foot_width_mm: stands.foot_width_mm,
        tip_angle_deg: stands.tip_angle_deg,
        with_feedstock,
    })
}

fn with_feedstock(
    slug: &str,
    geometry: &Geometry,
    drawn: Drawn,
    catalogue: &Catalogue,
) -> Result<WithFeedstock, Failure> {
    let part = Part {
        id: PartId(0),
        name: String::new(),
        feedstock: slug.to_owned(),
        shape: Shape::Mesh {
            file: String::new(),
            unit: MeshUnit::Millimetre,
            sha256: String::new(),
            body: None,
        },
        drawn,
        geometry: Arc::new(geometry.clone()),
        made_with_oversize: None,
        weighed: None,
        section_mm: None,
        work_zone_only: false,
    };
    let records = PartRecords::new(&part, catalogue).ok_or_else(|| {
        let near = catalogue.candidates(crate::catalogue::Kind::Feedstock, slug);
        Failure::Input(crate::text::edits::unknown_slug("feedstock", slug, &near))
    })?;
    let target = records.feedstock.extraction_target.unwrap_or(1.0);
    let masses = records.masses(target);
    debug_assert!(
        (masses.green_g
            - computed_green_g(&part, records.feedstock, records.alloy, records.binder))
        .abs()
            < 1e-9
    );
    let peak_c = records.feedstock.sinter.to_c;
    let sizes = SizeStage::ALL.map(|stage| {
        let factors = scale(&part, records.feedstock, records.alloy, peak_c, stage);
        let mut size = geometry.size_mm;
        for (side, factor) in size.iter_mut().zip(factors) {
            *side *= factor;
        }
        (stage.word(), size)
    });
    Ok(WithFeedstock {
        feedstock: slug.to_owned(),
        mass_g: MassState::ALL
            .map(|state| (state.word(), masses.in_state(state)))
            .to_vec(),
        size_mm: sizes.to_vec(),
        tip_angle_deg: [SizeStage::Green, SizeStage::Sintered]
            .map(|stage| {
                let stands = part_tipping(&records, peak_c, stage);
                (stage.word(), stands.tip_angle_deg)
            })
            .to_vec(),
        green_section_mm: part.green_section_mm(records.feedstock.oversize),
    })
}

/// Sections, overhangs and how it stands.
fn print_shape(m: &Measured, out: &mut dyn Write) -> Result<(), Failure> {
    let length = |value| show(Quantity::Length, value, 3);
    let or_not = |value: Option<f64>| value.map_or_else(say::not_evaluated_word, length);
    let place = |value: Option<f64>, at: Option<[f64; 3]>| match at {
        Some(at) => say::with_place(&or_not(value), &at.map(length).join(", ")),
        None => or_not(value),
    };
    let mut rows = vec![
        (
            say::governing_section(),
            place(m.governing_section_mm, m.governing_section_at_mm),
        ),
        (
            say::thinnest_section(),
            place(m.thinnest_section_mm, m.thinnest_section_at_mm),
        ),
    ];
    if let Some(ratio) = m.section_ratio {
        rows.push((say::section_ratio(), format!("{ratio:.2}")));
    }
    let area = m.overhang_area_mm2;
    let area = area.map_or_else(say::not_evaluated_word, |area| format!("{area:.3} mm²"));
    rows.push((say::overhang_area(), area));
    rows.push((say::overhang_reach(), or_not(m.overhang_reach_mm)));
    rows.push((say::free_span(), or_not(m.longest_free_span_mm)));
    rows.push((say::rests_on(), m.rests_on.to_owned()));
    rows.push((say::foot_width(), length(m.foot_width_mm)));
    rows.push((say::tip_angle(None), format!("{:.2}°", m.tip_angle_deg)));
    for (name, value) in rows {
        writeln!(out, "  {}", say::row(&name, &value))?;
    }
    Ok(())
}

fn print(m: &Measured, out: &mut dyn Write) -> Result<(), Failure> {
    let length = |value| show(Quantity::Length, value, 3);
    let triple = |v: [f64; 3]| v.map(length).join(" × ");
    writeln!(out, "{}", say::measured(&m.file, m.unit, m.drawn_at))?;
    if let Some(body) = m.body {
        let which = say::body_of(body, m.bodies, m.name.as_deref());
        writeln!(out, "  {}", say::row("body", &which))?;
    } else if m.bodies > 1 {
        writeln!(out, "  {}", say::row("bodies", &say::as_one(m.bodies)))?;
    }
    for note in &m.notes {
        writeln!(out, "  {}", say::row("note", note))?;
    }
    writeln!(
        out,
        "  {}",
        say::row("volume", &format!("{:.3} mm³", m.volume_mm3))
    )?;
    writeln!(
        out,
        "  {}",
        say::row("surface", &format!("{:.3} mm²", m.area_mm2))
    )?;
    let centroid = m.centroid_mm.map(length).join(", ");
    writeln!(
        out,
        "  {}",
        say::row("centroid, in the file's coordinates", &centroid)
    )?;
    writeln!(out, "  {}", say::row("size", &triple(m.size_mm)))?;
    writeln!(out, "  {}", say::row("height", &length(m.height_mm)))?;
    writeln!(
        out,
        "  {}",
        say::row("outline", &format!("{:.3} mm²", m.outline_area_mm2))
    )?;
    writeln!(
        out,
        "  {}",
        say::row("contact", &format!("{:.3} mm²", m.contact_area_mm2))
    )?;
    let body = say::body(m.slabs, m.body_volume_mm3);
    writeln!(out, "  {}", say::row("body used for clearances", &body))?;
    writeln!(
        out,
        "  {}",
        say::row("separate shells", &m.shells.to_string())
    )?;
    writeln!(
        out,
        "  {}",
        say::row("open edges", &m.open_edges.to_string())
    )?;
    if m.degenerate_triangles > 0 {
        let flat = m.degenerate_triangles.to_string();
        writeln!(out, "  {}", say::row("triangles without area", &flat))?;
    }
    if m.open_edges > 0 {
        writeln!(out, "  {}", say::volume_not_trusted(m.open_edges))?;
    }
    if m.crossing_shells != Some(0) {
        writeln!(out, "  {}", say::shells_cross(m.crossing_shells))?;
    }
    if m.touching_edges > 0 {
        let touching = m.touching_edges.to_string();
        writeln!(out, "  {}", say::row("edges where shells touch", &touching))?;
    }
    let mended = say::mended(
        m.mended.welded_points,
        m.mended.collapsed_triangles + m.mended.doubled_triangles,
        m.mended.turned_triangles,
        m.mended.turned_shells,
    );
    if let Some(mended) = mended {
        writeln!(out, "  {}", say::row("mended", &mended))?;
    }
    print_shape(m, out)?;
    if let Some(with) = &m.with_feedstock {
        for (state, mass) in &with.mass_g {
            writeln!(
                out,
                "  {}",
                say::row(&say::mass_in(state), &format!("{mass:.3} g"))
            )?;
        }
        for (stage, size) in &with.size_mm {
            writeln!(out, "  {}", say::row(&say::size_at(stage), &triple(*size)))?;
        }
        for (stage, angle) in &with.tip_angle_deg {
            let name = say::tip_angle(Some(stage));
            writeln!(out, "  {}", say::row(&name, &format!("{angle:.2}°")))?;
        }
        if let Some(section) = with.green_section_mm {
            let name = say::green_section();
            writeln!(out, "  {}", say::row(&name, &length(section)))?;
        }
    }
    Ok(())
}
