//! `setterwright measure MESH`.

use super::{Failure, Outcome, Size, Unit, print_json};
use crate::files;
use crate::load::PartRecords;
use crate::part::{
    Drawn, Geometry, MassState, MeshUnit, Part, PartId, Shape, SizeStage, computed_green_g,
    measure_mesh, scale,
};
use crate::text::cli as say;
use crate::units::{Quantity, show};
use clap::Args;
use serde::Serialize;
use std::io::Write;
use std::path::PathBuf;
use std::sync::Arc;

#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The mesh file (STL, binary or ASCII), resting as drawn with z up.
    mesh: PathBuf,
    /// Unit of the file's numbers.
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

#[derive(Serialize)]
struct Measured {
    schema: &'static str,
    version: u32,
    file: String,
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
    volume_trusted: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    with_feedstock: Option<WithFeedstock>,
}

#[derive(Serialize)]
struct WithFeedstock {
    feedstock: String,
    mass_g: Vec<(&'static str, f64)>,
    size_mm: Vec<(&'static str, [f64; 3])>,
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
    let name = arguments.mesh.display().to_string();
    let geometry = measure_mesh(&file.mesh, unit)
        .map_err(|fault| Failure::Input(say::mesh(&name, &fault.to_string())))?;
    let with_feedstock = match &arguments.feedstock {
        None => None,
        Some(slug) => Some(with_feedstock(slug, &geometry, drawn)?),
    };
    let [cx, cy, cz] = geometry.centroid_mm;
    let [ax, ay, az] = geometry.anchor_mm;
    let measured = Measured {
        schema: "setterwright.measure",
        version: 1,
        file: name,
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
        volume_trusted: geometry.open_edges == 0,
        with_feedstock,
    };
    if arguments.json {
        print_json(out, &measured)?;
    } else {
        print(&measured, out)?;
    }
    Ok(0)
}

fn with_feedstock(slug: &str, geometry: &Geometry, drawn: Drawn) -> Result<WithFeedstock, Failure> {
    let catalogue = super::edit::empty(None)?.working.catalogue;
    let part = Part {
        id: PartId(0),
        name: String::new(),
        feedstock: slug.to_owned(),
        shape: Shape::Mesh {
            file: String::new(),
            unit: MeshUnit::Millimetre,
            sha256: String::new(),
        },
        drawn,
        geometry: Arc::new(geometry.clone()),
        made_with_oversize: None,
        weighed: None,
        section_mm: None,
        work_zone_only: false,
    };
    let records = PartRecords::new(&part, &catalogue).ok_or_else(|| {
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
    })
}

fn print(m: &Measured, out: &mut dyn Write) -> Result<(), Failure> {
    let length = |value| show(Quantity::Length, value, 3);
    let triple = |v: [f64; 3]| v.map(length).join(" × ");
    writeln!(out, "{}", say::measured(&m.file, m.unit, m.drawn_at))?;
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
    if !m.volume_trusted {
        writeln!(out, "  {}", say::volume_not_trusted(m.open_edges))?;
    }
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
    }
    Ok(())
}
