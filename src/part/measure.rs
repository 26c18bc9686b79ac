//! From a shape to numbers: the one place.

use super::{MeshUnit, Rest, Shape};
use crate::geometry::outline::{perimeter, signed_area};
use crate::geometry::{
    Ball, Body, BodyFault, Mended, Mesh, MeshMeasures, Outline, OutlineFault, Overhang, P2,
};
use std::f64::consts::PI;
use std::ops::RangeInclusive;
use std::sync::Arc;

/// Outlines of bodies may stand outside the true shape by this much as drawn, mm: 0.02 mm when the
/// shape is scaled to green size by a factor of up to 1.25.
pub const OUTWARD_TOLERANCE_MM: f64 = 0.016;

/// Faces within this height of the lowest point are in contact with the setter, mm.
pub const CONTACT_MM: f64 = 0.02;

/// Corners that a typed outline may have; the check for crossings compares all with all.
pub const MOST_CORNERS: usize = 10_000;

/// What was measured of a shape at the size drawn, in the pose in which it rests. x and y count
/// from the anchor point (the centroid of the footprint), z from the lowest point.
#[derive(Clone, Debug, PartialEq)]
pub struct Geometry {
    /// Volume, mm³; of what an outline stands for that of the prism, which it may not fill.
    pub volume_mm3: f64,
    /// Surface, mm².
    pub area_mm2: f64,
    /// Centroid, mm.
    pub centroid_mm: [f64; 3],
    /// Size of the box, mm.
    pub size_mm: [f64; 3],
    /// Body: at most eight slabs that contain the shape.
    pub body: Arc<Body>,
    /// What touches the setter; empty when the shape stands on a point or an edge.
    pub footprint: Outline,
    /// Convex hull of all that touches the setter, where edges or tips reach farther than faces;
    /// see [`Geometry::support_polygon`].
    pub support_mm: Option<Vec<P2>>,
    /// Governing section, mm, where the shape gives it.
    pub section_mm: Option<f64>,
    /// Edges of the mesh with only one face; 0 for a closed mesh or a typed shape.
    pub open_edges: usize,
    /// Triangles of zero area.
    pub degenerate_triangles: usize,
    /// Separate shells; 1 for a typed shape.
    pub shells: usize,
    /// Where the anchor lies in the file's own coordinates, mm.
    pub anchor_mm: [f64; 3],
    /// What only a mesh is measured for; none for a typed shape, and for a part that was saved
    /// before these were measured.
    pub detail: Option<Detail>,
}

/// Further measures of a mesh at the size drawn, at rest. Places count as in [`Geometry`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Detail {
    /// Inertia at unit density about the centroid; see
    /// [`MeshMeasures::inertia_mm5`](crate::geometry::MeshMeasures::inertia_mm5).
    pub inertia_mm5: [f64; 6],
    /// Area of the outline before it is drawn outward, mm²; none for a part that was saved before
    /// this was measured.
    pub outline_mm2: Option<f64>,
    /// Centre of the largest ball inside, whose diameter is the governing section, mm.
    pub section_at_mm: Option<[f64; 3]>,
    /// The thinnest place found between two walls.
    pub thinnest: Option<Ball>,
    /// What hangs over; none for a mesh that is open or of several surfaces that touch or may
    /// cross, and where nothing carries it.
    pub overhang: Option<Overhang>,
    /// Edges where shells touch.
    pub touching_edges: usize,
    /// Shells that pass through others or themselves, or lie in what others fill or leave out, so
    /// that the volume is not to be trusted;
    /// `None` when that was not looked at, or took too long.
    pub crossing_shells: Option<usize>,
    /// What was mended before measuring.
    pub mended: Mended,
}

impl Geometry {
    /// Height as drawn, mm.
    pub fn height_mm(&self) -> f64 {
        self.size_mm[2]
    }

    /// Area of the outline seen from above, as drawn, mm².
    pub fn outline_area_mm2(&self) -> f64 {
        let exact = self.detail.and_then(|d| d.outline_mm2);
        exact.unwrap_or_else(|| self.outline().area())
    }

    /// Outline seen from above, as drawn, for clearances: outside the true one, see
    /// [`OUTWARD_TOLERANCE_MM`].
    pub fn outline(&self) -> Outline {
        self.body.silhouette()
    }

    /// Convex hull of what touches the setter, faces, edges and tips, as drawn. Fewer than three
    /// points where that is an edge or a tip.
    pub fn support_polygon(&self) -> Vec<P2> {
        match &self.support_mm {
            Some(points) => points.clone(),
            None => self.footprint.hull(),
        }
    }

    /// Surface that does not lie on the setter, mm²: what takes heat and gives gas off.
    pub fn wet_area_mm2(&self) -> f64 {
        (self.area_mm2 - self.footprint.area()).max(0.0)
    }

    /// A place in the file's own coordinates, mm.
    pub fn in_file(&self, rest: Rest, at_mm: [f64; 3]) -> [f64; 3] {
        let at = rest.in_drawing(at_mm);
        std::array::from_fn(|k| at[k] + self.anchor_mm[k])
    }
}

/// Why a shape could not be measured.
#[derive(Clone, Debug, PartialEq)]
pub enum MeasureFault {
    /// No triangle.
    Empty,
    /// The faces point inwards, or the mesh encloses nothing: signed volume, mm³.
    NoVolume(f64),
    /// Larger or smaller than anything that goes into such a furnace: longest side, mm.
    Size(f64),
    /// A typed length that is not a positive finite number.
    Length {
        /// Which.
        what: &'static str,
        /// Value, mm.
        value_mm: f64,
    },
    /// A bore as wide as its tube.
    Bore,
    /// A typed outline with more corners than are sensible: how many.
    Corners(usize),
    /// A typed outline that is none.
    Outline(OutlineFault),
    /// No body could be made.
    Body(BodyFault),
    /// An outline with a mass, to be turned over.
    AsTypedOnly,
}

/// Measures a mesh, resting as drawn, with z up. See [`measure_mesh_at`].
///
/// # Errors
/// As [`measure_mesh_at`].
pub fn measure_mesh(mesh: &Mesh, unit: MeshUnit) -> Result<Geometry, MeasureFault> {
    measure_mesh_at(mesh, unit, Rest::AS_DRAWN)
}

/// A mesh in mm, mended where that cannot change the shape ([`Mesh::mended`]), as drawn.
///
/// # Errors
/// No triangle, or too large or too small.
pub fn mesh_in_mm(mesh: &Mesh, unit: MeshUnit) -> Result<(Mesh, Mended), MeasureFault> {
    let mesh = mesh.scaled([unit.mm(); 3]);
    let mended = mesh.mended();
    let (mesh, done) = mended.unwrap_or_else(|| (mesh, Mended::default()));
    let (low, high) = mesh.bounds().ok_or(MeasureFault::Empty)?;
    let longest = (0..3).map(|k| high[k] - low[k]).fold(0.0, f64::max);
    if !(0.05..=5000.0).contains(&longest) {
        return Err(MeasureFault::Size(longest));
    }
    Ok((mesh, done))
}

/// Measures a mesh in the pose in which it rests. It is mended first where that cannot change the
/// shape ([`Mesh::mended`]).
///
/// # Errors
/// Says what is wrong with it. An open mesh is measured and `open_edges` counted: its volume is
/// not to be trusted, and a check says so; its sections and overhangs are not measured. Nor are
/// those of a mesh whose shells touch or may cross: the surfaces inside would make it too thin,
/// and a thin section permits a fast ramp; and what carries a face may be another shell's.
pub fn measure_mesh_at(mesh: &Mesh, unit: MeshUnit, rest: Rest) -> Result<Geometry, MeasureFault> {
    let (mut mesh, mended) = mesh_in_mm(mesh, unit)?;
    if !rest.is_as_drawn() {
        mesh = mesh.resting(rest.down());
    }
    let (low, high) = mesh.bounds().ok_or(MeasureFault::Empty)?;
    let size = [high[0] - low[0], high[1] - low[1], high[2] - low[2]];
    let measures = mesh.measures();
    if measures.volume_mm3 <= 0.0 {
        return Err(MeasureFault::NoVolume(measures.volume_mm3));
    }
    let footprint = mesh.contact_outline(CONTACT_MM);
    let anchor = if footprint.is_empty() {
        [measures.centroid_mm[0], measures.centroid_mm[1], low[2]]
    } else {
        let [x, y] = footprint.centroid();
        [x, y, low[2]]
    };
    let mesh = mesh.moved(anchor.map(|c| -c));
    let footprint = footprint.moved(-anchor[0], -anchor[1]);
    let support = mesh.support_polygon(CONTACT_MM);
    let faces = signed_area(&footprint.hull());
    let faces_reach_it = faces > 0.0 && faces >= signed_area(&support) * (1.0 - 1e-4);
    let body = Body::exact(&mesh).map_err(MeasureFault::Body)?;
    let outline_mm2 = body.silhouette().area();
    let body = body.simplified_outward(OUTWARD_TOLERANCE_MM);
    let mut crossing_shells = crossing_shells(&mesh, &measures);
    // The body contains the part: what is more than it was counted twice.
    if measures.open_edges == 0
        && measures.volume_mm3 > body.volume_mm3() * (1.0 + 1e-6)
        && crossing_shells == Some(0)
    {
        crossing_shells = Some(measures.shells);
    }
    let one_surface = one_surface(&mesh, &measures, crossing_shells);
    let sections = if one_surface { mesh.sections() } else { None };
    let c = measures.centroid_mm;
    Ok(Geometry {
        volume_mm3: measures.volume_mm3,
        area_mm2: measures.area_mm2,
        centroid_mm: [c[0] - anchor[0], c[1] - anchor[1], c[2] - anchor[2]],
        size_mm: size,
        body: Arc::new(body),
        footprint,
        support_mm: (!faces_reach_it).then_some(support),
        section_mm: sections.map(|s| s.largest.diameter_mm),
        open_edges: measures.open_edges,
        degenerate_triangles: measures.degenerate_triangles,
        shells: measures.shells,
        anchor_mm: if rest.is_as_drawn() {
            anchor
        } else {
            rest.in_drawing(anchor)
        },
        detail: Some(Detail {
            inertia_mm5: measures.inertia_mm5,
            outline_mm2: Some(outline_mm2),
            section_at_mm: sections.map(|s| s.largest.centre_mm),
            thinnest: sections.and_then(|s| s.thinnest),
            overhang: one_surface.then(|| mesh.overhang(CONTACT_MM)).flatten(),
            touching_edges: measures.touching_edges,
            crossing_shells,
            mended,
        }),
    })
}

/// Shells that pass through others or themselves, or lie in what others fill or leave out.
fn crossing_shells(mesh: &Mesh, measures: &MeshMeasures) -> Option<usize> {
    let crossing = mesh.crossing_shells();
    // An open mesh has no inside.
    let doubled = if measures.open_edges == 0 {
        mesh.doubled_shells()
    } else {
        0
    };
    if doubled > 0 {
        Some(doubled.max(crossing.unwrap_or(0)))
    } else {
        crossing
    }
}

/// Whether a mesh in mm is one closed surface that may be told walls and supports of.
pub fn is_one_surface(mesh: &Mesh, measures: &MeshMeasures) -> bool {
    measures.open_edges == 0
        && measures.touching_edges == 0
        && one_surface(mesh, measures, crossing_shells(mesh, measures))
}

/// Whether a mesh is one closed surface, or several well apart: only then are its walls, and what
/// carries its faces, to be told.
fn one_surface(mesh: &Mesh, measures: &MeshMeasures, crossing_shells: Option<usize>) -> bool {
    measures.open_edges == 0
        && measures.touching_edges == 0
        && crossing_shells == Some(0)
        && !mesh.may_cross(CONTACT_MM)
}

/// Longest sides that parts made this way have, mm (assumed: from a watch case to a tool handle).
const USUAL_MM: RangeInclusive<f64> = 5.0..=200.0;
/// A longest side outside of these is asked about, mm (assumed).
const ODD_MM: [f64; 2] = [5.0, 400.0];
/// Slips of units: inches for millimetres, metres for millimetres, and both the other way.
const SLIPS: [f64; 4] = [25.4, 1000.0, 1.0 / 25.4, 1.0 / 1000.0];

/// Five exactly is a number of inches more often than of millimetres.
fn odd(longest_mm: f64) -> bool {
    let [low, high] = ODD_MM;
    longest_mm <= low || longest_mm > high
}

/// The unit in which a mesh would be of the usual size of such parts, where in the unit named it
/// is oddly small or large: a suspicion to ask about, never a correction.
pub fn likelier_unit(size_mm: [f64; 3], unit: MeshUnit) -> Option<MeshUnit> {
    let longest = size_mm.into_iter().fold(0.0, f64::max);
    if !odd(longest) {
        return None;
    }
    let others = [MeshUnit::Millimetre, MeshUnit::Inch, MeshUnit::Metre];
    let drawn = longest / unit.mm();
    let mut others = others.into_iter().filter(|other| *other != unit);
    others.find(|other| USUAL_MM.contains(&(drawn * other.mm())))
}

/// The slip of units by which a shape as drawn would be of the usual size of such parts, where it
/// is oddly small or large: a suspicion to ask about.
pub fn likely_slip(size_mm: [f64; 3]) -> Option<f64> {
    let longest = size_mm.into_iter().fold(0.0, f64::max);
    if !odd(longest) {
        return None;
    }
    let usual = |slip: &f64| USUAL_MM.contains(&(longest * slip));
    SLIPS.into_iter().find(usual)
}

/// Measures a typed shape. Volume, area and section are exact; the body's circles are polygons
/// that contain them.
///
/// # Errors
/// A length that is not positive, a bore as wide as its tube, an outline that is none. A mesh
/// shape is `Empty` here: it is measured from its file by [`measure_mesh`].
pub fn measure_typed(shape: &Shape) -> Result<Geometry, MeasureFault> {
    match shape {
        Shape::Mesh { .. } => Err(MeasureFault::Empty),
        Shape::Block {
            width_mm: w,
            depth_mm: d,
            height_mm: h,
        } => {
            positive(&[("width", *w), ("depth", *d), ("height", *h)])?;
            Ok(prism(
                Outline::rectangle(*w, *d),
                w * d,
                2.0 * (w + d),
                *h,
                Some(w.min(*d).min(*h)),
            ))
        }
        Shape::Disc {
            diameter_mm: d,
            height_mm: h,
        } => {
            positive(&[("diameter", *d), ("height", *h)])?;
            Ok(upright(
                Body::cylinder(*d, *h),
                PI * d * d / 4.0,
                PI * d,
                *h,
                Some(d.min(*h)),
            ))
        }
        Shape::Tube {
            outer_mm: d,
            bore_mm: b,
            height_mm: h,
        } => {
            positive(&[
                (crate::text::names::outer_diameter(), *d),
                ("bore", *b),
                ("height", *h),
            ])?;
            if b >= d {
                return Err(MeasureFault::Bore);
            }
            let plan = PI * (d * d - b * b) / 4.0;
            let section = ((d - b) / 2.0).min(*h);
            Ok(upright(
                Body::tube(*d, *b, *h),
                plan,
                PI * (d + b),
                *h,
                Some(section),
            ))
        }
        Shape::Prism {
            outline_mm,
            height_mm: h,
        }
        | Shape::Outline {
            outline_mm,
            height_mm: h,
        } => {
            positive(&[("height", *h)])?;
            if outline_mm.len() > MOST_CORNERS {
                return Err(MeasureFault::Corners(outline_mm.len()));
            }
            let outline = Outline::polygon(outline_mm).map_err(MeasureFault::Outline)?;
            let around = outline.rings().map(perimeter).sum();
            let area = outline.area();
            Ok(prism(outline, area, around, *h, None))
        }
    }
}

/// The mesh of a typed shape as typed, its circles as polygons around them; none for what comes
/// from a file and for an outline with a mass, which is no solid.
///
/// # Errors
/// As [`measure_typed`].
pub fn typed_mesh(shape: &Shape) -> Result<Option<Mesh>, MeasureFault> {
    if matches!(shape, Shape::Mesh { .. } | Shape::Outline { .. }) {
        return Ok(None);
    }
    let typed = measure_typed(shape)?;
    Ok(Some(Mesh::upright(&typed.footprint, typed.height_mm())))
}

/// Measures a typed shape in another pose than typed: volume, surface and section stay exact, the
/// rest is that of the mesh with its circles as polygons.
///
/// # Errors
/// As [`measure_typed`] and [`measure_mesh_at`]; an outline with a mass rests as typed only.
pub fn measure_typed_at(shape: &Shape, rest: Rest) -> Result<Geometry, MeasureFault> {
    let typed = measure_typed(shape)?;
    if rest.is_as_drawn() {
        return Ok(typed);
    }
    let mesh = typed_mesh(shape)?.ok_or(MeasureFault::AsTypedOnly)?;
    let at = measure_mesh_at(&mesh, MeshUnit::Millimetre, rest)?;
    Ok(Geometry {
        volume_mm3: typed.volume_mm3,
        area_mm2: typed.area_mm2,
        section_mm: typed.section_mm,
        open_edges: 0,
        degenerate_triangles: 0,
        shells: 1,
        detail: None,
        ..at
    })
}

fn positive(lengths: &[(&'static str, f64)]) -> Result<(), MeasureFault> {
    for &(what, value_mm) in lengths {
        if !(value_mm.is_finite() && value_mm > 0.0) {
            return Err(MeasureFault::Length { what, value_mm });
        }
    }
    let longest = lengths.iter().map(|l| l.1).fold(0.0, f64::max);
    if !(0.05..=5000.0).contains(&longest) {
        return Err(MeasureFault::Size(longest));
    }
    Ok(())
}

fn prism(
    outline: Outline,
    plan_mm2: f64,
    perimeter_mm: f64,
    height_mm: f64,
    section_mm: Option<f64>,
) -> Geometry {
    let body = Body::prism(outline, height_mm);
    upright(body, plan_mm2, perimeter_mm, height_mm, section_mm)
}

fn upright(
    body: Body,
    plan_mm2: f64,
    perimeter_mm: f64,
    height_mm: f64,
    section_mm: Option<f64>,
) -> Geometry {
    let [x, y] = body.silhouette().centroid();
    let body = body.moved(-x, -y);
    let outline = body.silhouette();
    let [low, high] = outline.bounds().unwrap_or_default();
    Geometry {
        volume_mm3: plan_mm2 * height_mm,
        area_mm2: 2.0 * plan_mm2 + perimeter_mm * height_mm,
        centroid_mm: [0.0, 0.0, height_mm / 2.0],
        size_mm: [high[0] - low[0], high[1] - low[1], height_mm],
        body: Arc::new(body),
        footprint: outline,
        support_mm: None,
        section_mm,
        open_edges: 0,
        degenerate_triangles: 0,
        shells: 1,
        anchor_mm: [x, y, 0.0],
        detail: None,
    }
}

impl std::fmt::Display for MeasureFault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        use crate::text::shapes as say;
        f.write_str(&match self {
            MeasureFault::Empty => say::empty(),
            MeasureFault::NoVolume(volume) => say::no_volume(*volume),
            MeasureFault::Size(longest) => say::size(*longest),
            MeasureFault::Length { what, value_mm } => say::length(what, *value_mm),
            MeasureFault::Bore => say::bore(),
            MeasureFault::Corners(n) => say::corners(*n, MOST_CORNERS),
            MeasureFault::Outline(fault) => say::outline(&fault.to_string()),
            MeasureFault::Body(fault) => say::body(&fault.to_string()),
            MeasureFault::AsTypedOnly => say::as_typed_only(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::mesh::tests::{cube, joined, turned};

    fn section(mesh: &Mesh) -> Option<f64> {
        let found = measure_mesh(mesh, MeshUnit::Millimetre).unwrap();
        assert_eq!(found.open_edges, 0);
        found.section_mm
    }

    #[test]
    fn a_stray_spike_does_not_set_the_height() {
        let mut mesh = cube().scaled([9.0; 3]);
        mesh.vertices.push([0.0, 0.0, 50.0]);
        mesh.triangles.push([0, 0, 8]);
        let found = measure_mesh(&mesh, MeshUnit::Millimetre).unwrap();
        assert_eq!(found.size_mm, [9.0; 3]);
    }

    #[test]
    fn a_size_that_tells_of_another_unit_is_asked_about() {
        use MeshUnit::{Inch, Metre, Millimetre};
        let asked = |longest: f64, unit: MeshUnit| {
            likelier_unit([0.5 * longest, longest, 0.1 * longest], unit)
        };
        // 2 in and 0.02 m read as mm, 40 mm read as inches and as metres.
        assert_eq!(asked(0.8, Millimetre), Some(Inch));
        assert_eq!(asked(5.0, Millimetre), Some(Inch));
        assert_eq!(asked(0.02, Millimetre), Some(Metre));
        assert_eq!(asked(40.0 * 25.4, Inch), Some(Millimetre));
        assert_eq!(asked(4e4, Metre), Some(Millimetre));
        // Usual sizes, odd ones that no unit explains, and the bounds themselves.
        for (longest, unit) in [
            (0.001, Millimetre),
            (40.0, Millimetre),
            (5.1, Millimetre),
            (400.0, Inch),
            (900.0, Millimetre),
            (f64::INFINITY, Inch),
        ] {
            assert_eq!(asked(longest, unit), None, "{longest}");
        }
    }

    #[test]
    fn a_size_beyond_furnaces_is_a_sentence() {
        for side in [1e7, 0.01, 1e300, 1e-300] {
            let fault = measure_mesh(&cube().scaled([side; 3]), MeshUnit::Millimetre).unwrap_err();
            assert!(matches!(fault, MeasureFault::Size(_)), "{fault:?}");
            assert!(fault.to_string().contains("check the unit"), "{fault}");
        }
        let metres = measure_mesh(&cube().scaled([10.0; 3]), MeshUnit::Metre);
        assert_eq!(metres, Err(MeasureFault::Size(10_000.0)));
    }

    #[test]
    fn crossing_shells_are_counted() {
        let bar = cube().scaled([20.0, 10.0, 10.0]);
        let count = |mesh: &Mesh| {
            let found = measure_mesh(mesh, MeshUnit::Millimetre).unwrap();
            found.detail.unwrap().crossing_shells
        };
        assert_eq!(count(&bar), Some(0));
        let across = cube().scaled([10.0, 20.0, 10.0]).moved([6.0, -4.0, 0.0]);
        assert_eq!(count(&joined(&[bar, across])), Some(2));
    }

    #[test]
    fn surfaces_inside_leave_the_section_not_known() {
        let slab = cube().scaled([20.0, 20.0, 2.0]);
        assert!((section(&slab).unwrap() - 2.0).abs() < 1e-5);
        // Fused they are 4 thick; the faces between would make it 2.
        let on_top = joined(&[slab.clone(), slab.moved([0.0, 0.0, 2.0])]);
        assert_eq!(section(&on_top), None);
        let corners = on_top.triangles.iter();
        let welded: Vec<_> = corners
            .map(|t| t.map(|v| on_top.vertices[v as usize]))
            .collect();
        assert_eq!(section(&Mesh::from_soup(&welded)), None);
        let bar = cube().scaled([20.0, 10.0, 10.0]);
        let across = cube().scaled([10.0, 20.0, 10.0]).moved([6.0, -4.0, 0.0]);
        assert_eq!(section(&joined(&[bar.clone(), across])), None);
        // Standing clear, and around a cavity, it is measured.
        let clear = joined(&[bar.clone(), bar.moved([0.0, 11.0, 0.0])]);
        assert!((section(&clear).unwrap() - 10.0).abs() < 1e-5);
        let hollow = joined(&[
            cube().scaled([9.0; 3]),
            turned(cube().scaled([3.0; 3]).moved([3.0; 3])),
        ]);
        assert!(section(&hollow).is_some());
    }
}
