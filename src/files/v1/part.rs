//! Part records and shapes.
//!
//! A part from a mesh carries what was measured of it, so that a load opens without its meshes. A
//! typed shape is measured anew on opening: it says everything about itself, and a second telling
//! could contradict it.

use super::{count, not_negative, positive, some_positive, within};
use crate::files::fault::Fault;
use crate::geometry::{
    self, Body, Outline, Slab as WorkSlab, outline::signed_area, slab::MAX_SLABS,
};
use crate::part::{self as work, MOST_CORNERS, OUTWARD_TOLERANCE_MM};
use crate::text::files as say;
use serde::{Deserialize, Serialize};
use std::num::NonZeroU32;
use std::sync::Arc;

/// Largest part, mm; as for measuring (assumed).
const LARGEST_MM: f64 = 5000.0;
/// `part::Part`.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(in crate::files) struct Part {
    id: u32,
    name: String,
    feedstock: String,
    shape: Shape,
    drawn: Drawn,
    /// Which way is down in the axes of the drawing; as drawn without it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    rest: Option<[f64; 3]>,
    /// Solid without it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    infill: Option<Infill>,
    /// Faces kept off the setter, by the direction out of them in the drawing.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    keep_off: Vec<[f64; 3]>,
    /// The way it may rest for sintering, where one is approved.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    approved_rest: Option<[f64; 3]>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    geometry: Option<Geometry>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    made_with_oversize: Option<[f64; 3]>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    weighed: Option<Weighed>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    section_mm: Option<f64>,
    #[serde(default)]
    work_zone_only: bool,
}

/// `part::Shape`.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) enum Shape {
    Mesh {
        file: String,
        unit: Unit,
        sha256: String,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        body: Option<NonZeroU32>,
    },
    Block {
        width_mm: f64,
        depth_mm: f64,
        height_mm: f64,
    },
    Disc {
        diameter_mm: f64,
        height_mm: f64,
    },
    Tube {
        outer_mm: f64,
        bore_mm: f64,
        height_mm: f64,
    },
    Prism {
        outline_mm: Vec<[f64; 2]>,
        height_mm: f64,
    },
    Outline {
        outline_mm: Vec<[f64; 2]>,
        height_mm: f64,
    },
}

/// `part::Infill`.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
enum Infill {
    Open { shell_thickness_mm: f64 },
    Closed { shell_thickness_mm: f64 },
}

#[derive(Debug, Serialize, Deserialize)]
pub(super) enum Unit {
    Millimetre,
    Inch,
    Metre,
}

#[derive(Debug, Serialize, Deserialize)]
enum Drawn {
    Final,
    Green,
}

/// `part::MassState`.
#[derive(Debug, Serialize, Deserialize)]
pub(super) enum MassState {
    Green,
    Brown,
    Dry,
    Presintered,
    Sintered,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Weighed {
    state: MassState,
    mass_g: f64,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Geometry {
    volume_mm3: f64,
    area_mm2: f64,
    centroid_mm: [f64; 3],
    size_mm: [f64; 3],
    anchor_mm: [f64; 3],
    #[serde(default, skip_serializing_if = "Option::is_none")]
    section_mm: Option<f64>,
    open_edges: u64,
    degenerate_triangles: u64,
    shells: u64,
    /// Not in files written before it was measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    detail: Option<Detail>,
    footprint: Vec<Region>,
    /// Where the footprint does not tell it; not in files written before it was measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    support_mm: Option<Vec<[f64; 2]>>,
    body: Vec<Slab>,
}

/// `part::Detail`.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Detail {
    inertia_mm5: [f64; 6],
    /// Not in files written before it was measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    outline_mm2: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    section_at_mm: Option<[f64; 3]>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    thinnest: Option<Ball>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    overhang: Option<Overhang>,
    #[serde(default, skip_serializing_if = "is_zero")]
    touching_edges: u64,
    /// Not in files written before it was looked at.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    crossing_shells: Option<u64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    mended: Option<Mended>,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Ball {
    centre_mm: [f64; 3],
    diameter_mm: f64,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Overhang {
    area_mm2: f64,
    reach_mm: f64,
    span_mm: f64,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Mended {
    welded: u64,
    /// Not in files written before it was done.
    #[serde(default, skip_serializing_if = "is_zero")]
    split: u64,
    collapsed: u64,
    doubled: u64,
    turned: u64,
    inside_out: u64,
}

fn is_zero(n: &u64) -> bool {
    *n == 0
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Slab {
    z0_mm: f64,
    z1_mm: f64,
    outline: Vec<Region>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    fine: Vec<Region>,
}

/// A connected piece of an outline; points in mm.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Region {
    outer: Vec<[f64; 2]>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    holes: Vec<Vec<[f64; 2]>>,
}

impl From<&work::Part> for Part {
    fn from(part: &work::Part) -> Part {
        let work::Part {
            id,
            name,
            feedstock,
            shape,
            drawn,
            rest,
            infill,
            keep_off,
            approved_rest,
            geometry,
            made_with_oversize,
            weighed,
            section_mm,
            work_zone_only,
        } = part;
        let mesh = matches!(shape, work::Shape::Mesh { .. });
        Part {
            id: id.0,
            name: name.clone(),
            feedstock: feedstock.clone(),
            shape: Shape::from(shape),
            drawn: match drawn {
                work::Drawn::Final => Drawn::Final,
                work::Drawn::Green => Drawn::Green,
            },
            rest: (!rest.is_as_drawn()).then(|| rest.kept()),
            infill: match *infill {
                work::Infill::Solid => None,
                work::Infill::Open { shell_thickness_mm } => {
                    Some(Infill::Open { shell_thickness_mm })
                }
                work::Infill::Closed { shell_thickness_mm } => {
                    Some(Infill::Closed { shell_thickness_mm })
                }
            },
            keep_off: keep_off.iter().map(|face| face.kept()).collect(),
            approved_rest: approved_rest.map(work::Rest::kept),
            geometry: mesh.then(|| Geometry::from(geometry.as_ref())),
            made_with_oversize: *made_with_oversize,
            weighed: weighed.map(|work::Weighed { state, mass_g }| Weighed {
                state: MassState::from(state),
                mass_g,
            }),
            section_mm: *section_mm,
            work_zone_only: *work_zone_only,
        }
    }
}

impl Part {
    pub(super) fn into_work(self, place: &str) -> Result<work::Part, Fault> {
        let Part {
            id,
            name,
            feedstock,
            shape,
            drawn,
            rest,
            infill,
            keep_off,
            approved_rest,
            geometry,
            made_with_oversize,
            weighed,
            section_mm,
            work_zone_only,
        } = self;
        let shape = shape.into_work(&format!("{place}.shape"))?;
        let rest = rested(rest, place)?;
        let keep_off = keep_off.into_iter().map(|face| rested(Some(face), place));
        let keep_off = keep_off.collect::<Result<Vec<_>, Fault>>()?;
        let approved_rest = approved_rest.map(|down| rested(Some(down), place));
        let approved_rest = approved_rest.transpose()?;
        let geometry = match (&shape, geometry) {
            (work::Shape::Mesh { .. }, Some(geometry)) => {
                geometry.into_work(&format!("{place}.geometry"))?
            }
            (work::Shape::Mesh { .. }, None) => {
                return Err(Fault::value(place, say::no_geometry()));
            }
            (_, Some(_)) => return Err(Fault::value(place, say::typed_geometry())),
            (_, None) => measured(&shape, rest, place)?,
        };
        for factor in made_with_oversize.into_iter().flatten() {
            positive(place, "made_with_oversize", factor)?;
        }
        if let Some(weighed) = &weighed {
            positive(place, "weighed.mass_g", weighed.mass_g)?;
        }
        some_positive(place, "section_mm", section_mm)?;
        if weighed.is_none() && matches!(shape, work::Shape::Outline { .. }) {
            return Err(Fault::value(place, say::outline_without_mass()));
        }
        Ok(work::Part {
            id: work::PartId(id),
            name,
            feedstock,
            shape,
            drawn: match drawn {
                Drawn::Final => work::Drawn::Final,
                Drawn::Green => work::Drawn::Green,
            },
            rest,
            infill: match infill {
                None => work::Infill::Solid,
                Some(infill) => infill.into_work(place)?,
            },
            keep_off,
            approved_rest,
            geometry: Arc::new(geometry),
            made_with_oversize,
            weighed: weighed.map(|Weighed { state, mass_g }| work::Weighed {
                state: state.into_work(),
                mass_g,
            }),
            section_mm,
            work_zone_only,
        })
    }
}

/// A direction of length 1, as it is kept.
fn rested(rest: Option<[f64; 3]>, place: &str) -> Result<work::Rest, Fault> {
    let Some(down) = rest else {
        return Ok(work::Rest::AS_DRAWN);
    };
    within(place, "rest", &down, 1.0, "")?;
    let squared: f64 = down.iter().map(|c| c * c).sum();
    match work::Rest::towards(down) {
        Some(rest) if (squared - 1.0).abs() < 1e-6 => Ok(rest),
        _ => Err(Fault::value(format!("{place}.rest"), say::bad_rest())),
    }
}

impl Infill {
    fn into_work(self, place: &str) -> Result<work::Infill, Fault> {
        let (Infill::Open { shell_thickness_mm } | Infill::Closed { shell_thickness_mm }) = self;
        positive(place, "infill.shell_thickness_mm", shell_thickness_mm)?;
        Ok(match self {
            Infill::Open { .. } => work::Infill::Open { shell_thickness_mm },
            Infill::Closed { .. } => work::Infill::Closed { shell_thickness_mm },
        })
    }
}

/// A typed shape's geometry.
pub(super) fn measured(
    shape: &work::Shape,
    rest: work::Rest,
    place: &str,
) -> Result<work::Geometry, Fault> {
    if let work::Shape::Prism { outline_mm, .. } | work::Shape::Outline { outline_mm, .. } = shape
        && outline_mm.len() > MOST_CORNERS
    {
        let reason = say::too_many(outline_mm.len(), MOST_CORNERS, "corners");
        return Err(Fault::value(format!("{place}.shape"), reason));
    }
    work::measure_typed_at(shape, rest)
        .map_err(|fault| Fault::value(format!("{place}.shape"), say::bad_shape(&fault.to_string())))
}

impl From<&work::Shape> for Shape {
    fn from(shape: &work::Shape) -> Shape {
        use work::Shape as W;
        match shape {
            W::Mesh {
                file,
                unit,
                sha256,
                body,
            } => Shape::Mesh {
                file: file.clone(),
                unit: match unit {
                    work::MeshUnit::Millimetre => Unit::Millimetre,
                    work::MeshUnit::Inch => Unit::Inch,
                    work::MeshUnit::Metre => Unit::Metre,
                },
                sha256: sha256.clone(),
                body: body.and_then(|b| NonZeroU32::new(u32::try_from(b).ok()?)),
            },
            W::Block {
                width_mm,
                depth_mm,
                height_mm,
            } => Shape::Block {
                width_mm: *width_mm,
                depth_mm: *depth_mm,
                height_mm: *height_mm,
            },
            W::Disc {
                diameter_mm,
                height_mm,
            } => Shape::Disc {
                diameter_mm: *diameter_mm,
                height_mm: *height_mm,
            },
            W::Tube {
                outer_mm,
                bore_mm,
                height_mm,
            } => Shape::Tube {
                outer_mm: *outer_mm,
                bore_mm: *bore_mm,
                height_mm: *height_mm,
            },
            W::Prism {
                outline_mm,
                height_mm,
            } => Shape::Prism {
                outline_mm: outline_mm.clone(),
                height_mm: *height_mm,
            },
            W::Outline {
                outline_mm,
                height_mm,
            } => Shape::Outline {
                outline_mm: outline_mm.clone(),
                height_mm: *height_mm,
            },
        }
    }
}

impl Shape {
    pub(super) fn into_work(self, place: &str) -> Result<work::Shape, Fault> {
        use work::Shape as W;
        Ok(match self {
            Shape::Mesh {
                file,
                unit,
                sha256,
                body,
            } => {
                let hex = |b: u8| b.is_ascii_digit() || (b'a'..=b'f').contains(&b);
                if sha256.len() != 64 || !sha256.bytes().all(hex) {
                    return Err(Fault::value(format!("{place}.sha256"), say::bad_hash()));
                }
                W::Mesh {
                    file,
                    unit: match unit {
                        Unit::Millimetre => work::MeshUnit::Millimetre,
                        Unit::Inch => work::MeshUnit::Inch,
                        Unit::Metre => work::MeshUnit::Metre,
                    },
                    sha256,
                    body: match body {
                        None => None,
                        Some(body) => Some(count(place, "body", u64::from(body.get()))?),
                    },
                }
            }
            Shape::Block {
                width_mm,
                depth_mm,
                height_mm,
            } => W::Block {
                width_mm,
                depth_mm,
                height_mm,
            },
            Shape::Disc {
                diameter_mm,
                height_mm,
            } => W::Disc {
                diameter_mm,
                height_mm,
            },
            Shape::Tube {
                outer_mm,
                bore_mm,
                height_mm,
            } => W::Tube {
                outer_mm,
                bore_mm,
                height_mm,
            },
            Shape::Prism {
                outline_mm,
                height_mm,
            } => W::Prism {
                outline_mm,
                height_mm,
            },
            Shape::Outline {
                outline_mm,
                height_mm,
            } => W::Outline {
                outline_mm,
                height_mm,
            },
        })
    }
}

impl From<work::MassState> for MassState {
    fn from(state: work::MassState) -> MassState {
        match state {
            work::MassState::Green => MassState::Green,
            work::MassState::Brown => MassState::Brown,
            work::MassState::Dry => MassState::Dry,
            work::MassState::Presintered => MassState::Presintered,
            work::MassState::Sintered => MassState::Sintered,
        }
    }
}

impl MassState {
    pub(super) fn into_work(self) -> work::MassState {
        match self {
            MassState::Green => work::MassState::Green,
            MassState::Brown => work::MassState::Brown,
            MassState::Dry => work::MassState::Dry,
            MassState::Presintered => work::MassState::Presintered,
            MassState::Sintered => work::MassState::Sintered,
        }
    }
}

impl From<&work::Geometry> for Geometry {
    fn from(geometry: &work::Geometry) -> Geometry {
        let work::Geometry {
            volume_mm3,
            area_mm2,
            centroid_mm,
            size_mm,
            body,
            footprint,
            support_mm,
            section_mm,
            open_edges,
            degenerate_triangles,
            shells,
            anchor_mm,
            detail,
        } = geometry;
        Geometry {
            volume_mm3: *volume_mm3,
            area_mm2: *area_mm2,
            centroid_mm: *centroid_mm,
            size_mm: *size_mm,
            anchor_mm: *anchor_mm,
            section_mm: *section_mm,
            open_edges: *open_edges as u64,
            degenerate_triangles: *degenerate_triangles as u64,
            shells: *shells as u64,
            detail: detail.as_ref().map(Detail::from),
            footprint: regions(footprint),
            support_mm: support_mm.clone(),
            body: body
                .slabs
                .iter()
                .map(|slab| Slab {
                    z0_mm: slab.z0,
                    z1_mm: slab.z1,
                    outline: regions(&slab.outline),
                    fine: slab.fine.as_deref().map(regions).unwrap_or_default(),
                })
                .collect(),
        }
    }
}

impl Geometry {
    fn into_work(self, place: &str) -> Result<work::Geometry, Fault> {
        let Geometry {
            volume_mm3,
            area_mm2,
            centroid_mm,
            size_mm,
            anchor_mm,
            section_mm,
            open_edges,
            degenerate_triangles,
            shells,
            detail,
            footprint,
            support_mm,
            body,
        } = self;
        positive(place, "volume_mm3", volume_mm3)?;
        positive(place, "area_mm2", area_mm2)?;
        within(place, "centroid_mm", &centroid_mm, LARGEST_MM, "mm")?;
        within(place, "size_mm", &size_mm, LARGEST_MM, "mm")?;
        for side in size_mm {
            not_negative(place, "size_mm", side)?;
        }
        // Where the anchor lay in the file's own coordinates: drawings stand far from their origin.
        within(place, "anchor_mm", &anchor_mm, f64::MAX, "mm")?;
        some_positive(place, "section_mm", section_mm)?;
        if let Some(points) = &support_mm {
            let each = points.as_flattened();
            within(place, "support_mm", each, LARGEST_MM, "mm")?;
            let bend = |i: usize| {
                let at = |k: usize| points[(i + k) % points.len()];
                signed_area(&[at(0), at(1), at(2)])
            };
            if (0..points.len()).any(|i| bend(i) < 0.0) {
                return Err(Fault::value(
                    format!("{place}.support_mm"),
                    say::ring_sense(),
                ));
            }
        }
        Ok(work::Geometry {
            volume_mm3,
            area_mm2,
            centroid_mm,
            size_mm,
            body: Arc::new(slabs(body, &format!("{place}.body"))?),
            footprint: outline(footprint, &format!("{place}.footprint"))?,
            support_mm,
            section_mm,
            open_edges: count(place, "open_edges", open_edges)?,
            degenerate_triangles: count(place, "degenerate_triangles", degenerate_triangles)?,
            shells: count(place, "shells", shells)?,
            anchor_mm,
            detail: match detail {
                None => None,
                Some(detail) => Some(detail.into_work(&format!("{place}.detail"))?),
            },
        })
    }
}

impl From<&work::Detail> for Detail {
    fn from(detail: &work::Detail) -> Detail {
        let work::Detail {
            inertia_mm5,
            outline_mm2,
            section_at_mm,
            thinnest,
            overhang,
            touching_edges,
            crossing_shells,
            mended,
        } = *detail;
        Detail {
            inertia_mm5,
            outline_mm2,
            section_at_mm,
            thinnest: thinnest.map(|ball| Ball {
                centre_mm: ball.centre_mm,
                diameter_mm: ball.diameter_mm,
            }),
            overhang: overhang.map(|o| Overhang {
                area_mm2: o.area_mm2,
                reach_mm: o.reach_mm,
                span_mm: o.span_mm,
            }),
            touching_edges: touching_edges as u64,
            crossing_shells: crossing_shells.map(|n| n as u64),
            mended: mended.anything().then_some(Mended {
                welded: mended.welded as u64,
                split: mended.split as u64,
                collapsed: mended.collapsed as u64,
                doubled: mended.doubled as u64,
                turned: mended.turned as u64,
                inside_out: mended.inside_out as u64,
            }),
        }
    }
}

impl Detail {
    fn into_work(self, place: &str) -> Result<work::Detail, Fault> {
        let Detail {
            inertia_mm5,
            outline_mm2,
            section_at_mm,
            thinnest,
            overhang,
            touching_edges,
            crossing_shells,
            mended,
        } = self;
        within(place, "inertia_mm5", &inertia_mm5, f64::MAX, "mm⁵")?;
        some_positive(place, "outline_mm2", outline_mm2)?;
        let at = section_at_mm.unwrap_or_default();
        within(place, "section_at_mm", &at, LARGEST_MM, "mm")?;
        if let Some(ball) = &thinnest {
            within(
                place,
                "thinnest.centre_mm",
                &ball.centre_mm,
                LARGEST_MM,
                "mm",
            )?;
            positive(place, "thinnest.diameter_mm", ball.diameter_mm)?;
        }
        if let Some(o) = &overhang {
            not_negative(place, "overhang.area_mm2", o.area_mm2)?;
            not_negative(place, "overhang.reach_mm", o.reach_mm)?;
            not_negative(place, "overhang.span_mm", o.span_mm)?;
        }
        let number = |field: &str, value: u64| count(place, field, value);
        Ok(work::Detail {
            inertia_mm5,
            outline_mm2,
            section_at_mm,
            thinnest: thinnest.map(|ball| geometry::Ball {
                centre_mm: ball.centre_mm,
                diameter_mm: ball.diameter_mm,
            }),
            overhang: overhang.map(|o| geometry::Overhang {
                area_mm2: o.area_mm2,
                reach_mm: o.reach_mm,
                span_mm: o.span_mm,
            }),
            touching_edges: number("touching_edges", touching_edges)?,
            crossing_shells: match crossing_shells {
                None => None,
                Some(n) => Some(number("crossing_shells", n)?),
            },
            mended: match mended {
                None => geometry::Mended::default(),
                Some(m) => geometry::Mended {
                    welded: number("mended.welded", m.welded)?,
                    split: number("mended.split", m.split)?,
                    collapsed: number("mended.collapsed", m.collapsed)?,
                    doubled: number("mended.doubled", m.doubled)?,
                    turned: number("mended.turned", m.turned)?,
                    inside_out: number("mended.inside_out", m.inside_out)?,
                },
            },
        })
    }
}

fn slabs(body: Vec<Slab>, place: &str) -> Result<Body, Fault> {
    if body.is_empty() {
        return Err(Fault::value(place, say::too_few(0, 1, "slabs")));
    }
    if body.len() > MAX_SLABS {
        let reason = say::too_many(body.len(), MAX_SLABS, "slabs");
        return Err(Fault::value(place, reason));
    }
    let mut slabs = Vec::with_capacity(body.len());
    let mut below = f64::NEG_INFINITY;
    for (i, slab) in body.into_iter().enumerate() {
        let place = format!("{place}[{i}]");
        let Slab {
            z0_mm,
            z1_mm,
            outline: regions,
            fine,
        } = slab;
        within(&place, "z0_mm", &[z0_mm], LARGEST_MM, "mm")?;
        within(&place, "z1_mm", &[z1_mm], LARGEST_MM, "mm")?;
        if z0_mm >= z1_mm || z0_mm < below {
            return Err(Fault::value(place, say::bad_slab()));
        }
        below = z1_mm;
        let outline = outline(regions, &format!("{place}.outline"))?;
        if outline.is_empty() {
            return Err(Fault::value(place, say::too_few(0, 1, "outlines")));
        }
        let place = format!("{place}.fine");
        let fine = self::outline(fine, &place)?;
        if !fine.is_empty() && !outline.holds(&fine, 2.0 * OUTWARD_TOLERANCE_MM) {
            return Err(Fault::value(place, say::fine_elsewhere()));
        }
        let fine = (!fine.is_empty()).then(|| Arc::new(fine));
        slabs.push(WorkSlab {
            z0: z0_mm,
            z1: z1_mm,
            outline,
            fine,
        });
    }
    Ok(Body { slabs })
}

fn regions(outline: &Outline) -> Vec<Region> {
    let Outline { shapes } = outline;
    shapes
        .iter()
        .map(|geometry::Shape { outer, holes }| Region {
            outer: outer.clone(),
            holes: holes.clone(),
        })
        .collect()
}

fn outline(regions: Vec<Region>, place: &str) -> Result<Outline, Fault> {
    let ring = |points: &[[f64; 2]], outer: bool, place: String| {
        if points.len() < 3 {
            return Err(Fault::value(place, say::too_few(points.len(), 3, "points")));
        }
        within(&place, "points", points.as_flattened(), LARGEST_MM, "mm")?;
        let area = signed_area(points);
        if (outer && area < 0.0) || (!outer && area > 0.0) {
            return Err(Fault::value(place, say::ring_sense()));
        }
        Ok(())
    };
    let mut shapes = Vec::with_capacity(regions.len());
    for (i, Region { outer, holes }) in regions.into_iter().enumerate() {
        ring(&outer, true, format!("{place}[{i}].outer"))?;
        for (h, hole) in holes.iter().enumerate() {
            ring(hole, false, format!("{place}[{i}].holes[{h}]"))?;
        }
        shapes.push(geometry::Shape { outer, holes });
    }
    Ok(Outline { shapes })
}
