//! Bodies: a part as at most eight slabs, each with the outline of its height band.
//!
//! A body contains its mesh and is equal to it for anything drawn straight up. It never cuts a
//! corner: what the mesh covers anywhere within a band, the whole band covers.

use super::mesh::Mesh;
use super::outline::{Outline, P2, convex_hull, signed_area};
use super::overlay;
use super::section::Leveled;
use crate::text::geometry;
use std::sync::Arc;

/// Slabs a body may have.
pub const MAX_SLABS: usize = 8;

/// Bands a mesh is cut into before neighbours are merged. Assumed: fine enough that eight merged
/// slabs of a cone stay within a fifth of its volume; half of them are kept for drawn levels.
const FINE_BANDS: usize = 48;

/// Vertex heights closer than this are one level, mm: drawing noise, far below any tolerance.
const LEVEL_MERGE_MM: f64 = 1e-4;

/// How far a fine outline may stand outside what it is drawn for, mm: two of them, warm, tell a
/// distance to 0.001 mm.
pub const FINE_MM: f64 = 0.000_4;

/// A prism with vertical sides.
#[derive(Clone, Debug, PartialEq)]
pub struct Slab {
    /// Height of the underside, mm.
    pub z0: f64,
    /// Height of the top, mm.
    pub z1: f64,
    /// What it covers in plan, mm.
    pub outline: Outline,
    /// The same, nowhere more than [`FINE_MM`] outside what is there, for the distance that is
    /// told; none where `outline` is that near itself.
    pub fine: Option<Arc<Outline>>,
}

impl Slab {
    /// A slab whose outline is all there is to tell.
    pub fn new(z0: f64, z1: f64, outline: Outline) -> Slab {
        Slab {
            z0,
            z1,
            outline,
            fine: None,
        }
    }

    /// The nearest outline there is.
    pub fn finest(&self) -> &Outline {
        self.fine.as_deref().unwrap_or(&self.outline)
    }

    fn mapped(&self, map: impl Fn(&Outline) -> Outline) -> Slab {
        Slab {
            outline: map(&self.outline),
            fine: self.fine.as_deref().map(|o| Arc::new(map(o))),
            ..*self
        }
    }
}

/// Slabs from the bottom up, touching or with gaps between, never overlapping.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Body {
    /// The slabs, ascending, at most [`MAX_SLABS`].
    pub slabs: Vec<Slab>,
}

/// Why a mesh gives no body.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum BodyFault {
    /// There are no triangles.
    #[error("{}", geometry::no_triangles())]
    Empty,
    /// A coordinate is not a finite number within 1 km.
    #[error("{}", geometry::vertex_not_finite(*vertex))]
    NotFinite {
        /// Index of the vertex.
        vertex: usize,
    },
    /// A triangle names a vertex that is not there.
    #[error("{}", geometry::missing_vertex(*triangle))]
    MissingVertex {
        /// Index of the triangle.
        triangle: usize,
    },
    /// The mesh is flat or encloses nothing.
    #[error("{}", geometry::no_volume())]
    NoVolume,
}

impl Body {
    /// One slab from height 0.
    pub fn prism(outline: Outline, height_mm: f64) -> Body {
        Body {
            slabs: vec![Slab::new(0.0, height_mm, outline)],
        }
    }

    /// An upright cylinder about the origin, from height 0, its circle as a polygon around it.
    pub fn cylinder(diameter_mm: f64, height_mm: f64) -> Body {
        let mut body = Body::prism(Outline::disc(diameter_mm), height_mm);
        body.refine(Outline::ring_within(diameter_mm, None, FINE_MM));
        body
    }

    /// An upright tube about the origin, from height 0.
    pub fn tube(outer_mm: f64, bore_mm: f64, height_mm: f64) -> Body {
        let mut body = Body::prism(Outline::ring(outer_mm, bore_mm), height_mm);
        body.refine(Outline::ring_within(outer_mm, Some(bore_mm), FINE_MM));
        body
    }

    fn refine(&mut self, fine: Outline) {
        for slab in &mut self.slabs {
            if fine != slab.outline {
                slab.fine = Some(Arc::new(fine.clone()));
            }
        }
    }

    /// The body of a mesh, its outlines simplified outward by at most `tolerance_mm`.
    ///
    /// The bands lie between the heights of the mesh's vertices; where the surface slopes they are
    /// divided further, then neighbours are merged where that adds the least volume. A band covers
    /// the projection of all surface within it and the cross-section through its middle: a column
    /// that is solid all the way through the band meets no surface there.
    ///
    /// A mesh that is not closed (see [`super::MeshMeasures::open_edges`]) still gives a body: a
    /// band whose cross-section does not close covers everything the mesh covers, holes filled.
    ///
    /// # Errors
    /// See [`BodyFault`].
    pub fn from_mesh(mesh: &Mesh, tolerance_mm: f64) -> Result<Body, BodyFault> {
        Ok(Body::exact(mesh)?.simplified_outward(tolerance_mm))
    }

    /// [`Body::from_mesh`] with its outlines as they are.
    ///
    /// # Errors
    /// See [`BodyFault`].
    pub fn exact(mesh: &Mesh) -> Result<Body, BodyFault> {
        check(mesh)?;
        let (leveled, levels) = Leveled::new(mesh, LEVEL_MERGE_MM);
        let bands = bands(mesh, &leveled, &levels);
        let mut slabs = Vec::with_capacity(bands.len());
        let mut whole: Option<Outline> = None;
        for (z0, z1) in bands {
            let outline = match band_outline(mesh, &leveled, z0, z1) {
                Some(outline) => outline,
                None => whole.get_or_insert_with(|| whole_outline(mesh)).clone(),
            };
            if !outline.is_empty() {
                slabs.push(Slab::new(z0, z1, outline));
            }
        }
        merge(&mut slabs);
        if slabs.iter().all(|s| s.outline.area() <= 0.0) {
            return Err(BodyFault::NoVolume);
        }
        Ok(Body { slabs })
    }

    /// With outlines of fewer corners, which stand outside of these by at most `tolerance_mm`; the
    /// fine ones are kept within [`FINE_MM`] for the distance that is told.
    pub fn simplified_outward(mut self, tolerance_mm: f64) -> Body {
        for slab in &mut self.slabs {
            let fine = slab.outline.simplify_outward(FINE_MM.min(tolerance_mm));
            // From the fine one, so that it holds it.
            let simple = fine.simplify_outward((tolerance_mm - FINE_MM).max(0.0));
            slab.fine = (fine != simple).then(|| Arc::new(fine));
            slab.outline = simple;
        }
        self
    }

    /// Height of the top above the underside of the lowest slab, mm; 0 for an empty body.
    pub fn height_mm(&self) -> f64 {
        match (self.slabs.first(), self.slabs.last()) {
            (Some(low), Some(high)) => high.z1 - low.z0,
            _ => 0.0,
        }
    }

    /// What the body covers seen from above, mm.
    pub fn silhouette(&self) -> Outline {
        match self.slabs.as_slice() {
            [only] => only.outline.clone(),
            slabs => overlay::fill_rings(slabs.iter().flat_map(|s| overlay::rings(&s.outline))),
        }
    }

    /// What it stands on: the lowest slab's outline, mm; `None` for an empty body.
    pub fn footprint(&self) -> Option<&Outline> {
        self.slabs.first().map(|slab| &slab.outline)
    }

    /// The surface of the slabs as triangles, for drawing: each slab closed by itself.
    pub(super) fn surface(&self) -> Mesh {
        let mut soup: Vec<[[f64; 3]; 3]> = Vec::new();
        for slab in &self.slabs {
            let at = |p: &P2, z: f64| [p[0], p[1], z];
            for piece in slab.outline.convex_pieces() {
                for (b, c) in piece.iter().zip(piece.iter().skip(1)).skip(1) {
                    soup.push([at(&piece[0], slab.z1), at(b, slab.z1), at(c, slab.z1)]);
                    soup.push([at(&piece[0], slab.z0), at(c, slab.z0), at(b, slab.z0)]);
                }
            }
            for ring in slab.outline.rings() {
                for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
                    let (low_a, low_b) = (at(a, slab.z0), at(b, slab.z0));
                    let (high_a, high_b) = (at(a, slab.z1), at(b, slab.z1));
                    soup.push([low_a, low_b, high_b]);
                    soup.push([low_a, high_b, high_a]);
                }
            }
        }
        Mesh::from_soup(&soup)
    }

    /// Volume of the slabs, mm³: the part's own or more.
    pub fn volume_mm3(&self) -> f64 {
        self.slabs
            .iter()
            .map(|slab| slab.outline.area() * (slab.z1 - slab.z0))
            .sum()
    }

    /// Points of all outlines.
    pub fn point_count(&self) -> usize {
        self.slabs.iter().map(|s| s.outline.point_count()).sum()
    }

    /// Scaled about the body's origin, in plan and from height 0, by positive factors (negative
    /// ones in plan mirror).
    pub fn scaled(&self, factors: [f64; 3]) -> Body {
        Body {
            slabs: self
                .slabs
                .iter()
                .map(|slab| Slab {
                    z0: slab.z0 * factors[2],
                    z1: slab.z1 * factors[2],
                    ..slab.mapped(|outline| outline.scaled(factors[0], factors[1]))
                })
                .collect(),
        }
    }

    /// Moved in plan, mm.
    pub fn moved(&self, dx_mm: f64, dy_mm: f64) -> Body {
        Body {
            slabs: self
                .slabs
                .iter()
                .map(|slab| slab.mapped(|outline| outline.moved(dx_mm, dy_mm)))
                .collect(),
        }
    }
}

fn check(mesh: &Mesh) -> Result<(), BodyFault> {
    if mesh.triangles.is_empty() {
        return Err(BodyFault::Empty);
    }
    let beyond = |v: &[f64; 3]| !v.iter().all(|c| c.abs() <= overlay::REACH_MM);
    if let Some(vertex) = mesh.vertices.iter().position(beyond) {
        return Err(BodyFault::NotFinite { vertex });
    }
    let missing = |t: &[u32; 3]| t.iter().any(|v| *v as usize >= mesh.vertices.len());
    if let Some(triangle) = mesh.triangles.iter().position(missing) {
        return Err(BodyFault::MissingVertex { triangle });
    }
    Ok(())
}

/// The fine bands, ascending: between drawn levels, divided where the surface slopes.
fn bands(mesh: &Mesh, leveled: &Leveled, levels: &[f64]) -> Vec<(f64, f64)> {
    let levels = choose_levels(mesh, leveled, levels);
    let (Some(low), Some(high)) = (levels.first(), levels.last()) else {
        return Vec::new();
    };
    let step = (high - low) / (FINE_BANDS / 2) as f64;
    let mut sloped = vec![0.0; levels.len()];
    for triangle in &mesh.triangles {
        let (z0, z1) = leveled.span(triangle);
        if z1 > z0 {
            let area = signed_area(&leveled.projected(triangle)).abs();
            let first = levels.partition_point(|l| *l <= z0).saturating_sub(1);
            for (k, share) in sloped.iter_mut().enumerate().skip(first) {
                if levels[k] >= z1 {
                    break;
                }
                *share += area;
            }
        }
    }
    let total: f64 = mesh
        .triangles
        .iter()
        .map(|t| signed_area(&leveled.projected(t)).abs())
        .sum();
    let mut bands = Vec::with_capacity(FINE_BANDS);
    for (k, pair) in levels.windows(2).enumerate() {
        let height = pair[1] - pair[0];
        // Walls that are upright but for rounding are not worth dividing.
        let parts = if sloped[k] > 1e-3 * total {
            (height / step).ceil().clamp(1.0, FINE_BANDS as f64) as usize
        } else {
            1
        };
        let at = |i: usize| {
            if i == parts {
                pair[1]
            } else {
                pair[0] + height * i as f64 / parts as f64
            }
        };
        bands.extend((0..parts).map(|i| (at(i), at(i + 1))));
    }
    bands
}

/// At most half of [`FINE_BANDS`] levels: the ends, those with the largest flat areas, and the
/// rest evenly spread.
fn choose_levels(mesh: &Mesh, leveled: &Leveled, levels: &[f64]) -> Vec<f64> {
    let most = FINE_BANDS / 2;
    if levels.len() <= most + 1 {
        return levels.to_vec();
    }
    let mut flat = vec![0.0; levels.len()];
    for triangle in &mesh.triangles {
        let (z0, z1) = leveled.span(triangle);
        if z0 == z1 {
            let k = levels.partition_point(|l| *l < z0);
            flat[k] += signed_area(&leveled.projected(triangle)).abs();
        }
    }
    let last = levels.len() - 1;
    let mut order: Vec<usize> = (1..last).filter(|k| flat[*k] > 0.0).collect();
    order.sort_by(|&a, &b| flat[b].total_cmp(&flat[a]).then(a.cmp(&b)));
    order.truncate(most / 2);
    let spread = most - order.len();
    let (low, high) = (levels[0], levels[last]);
    order.extend((0..=spread).map(|i| {
        let wanted = low + (high - low) * i as f64 / spread as f64;
        levels.partition_point(|l| *l < wanted).min(last)
    }));
    order.sort_unstable();
    order.dedup();
    order.into_iter().map(|k| levels[k]).collect()
}

/// What the solid covers within a band; `None` if the surface does not close there.
fn band_outline(mesh: &Mesh, leveled: &Leveled, z0: f64, z1: f64) -> Option<Outline> {
    let within = || {
        mesh.triangles.iter().filter(|t| {
            let (low, high) = leveled.span(t);
            high > z0 && low < z1
        })
    };
    let rings = leveled.section(within(), 0.5 * (z0 + z1))?;
    // Non-zero winding: shells that overlap join, a cavity's inward shell cancels, and a mesh
    // turned inside out is filled all the same.
    let section = overlay::fill_rings(rings.iter().map(Vec::as_slice));
    let mut pieces: Vec<Vec<P2>> = within()
        .map(|t| leveled.clipped(t, z0, z1))
        // Walls that are upright but for rounding.
        .filter(|piece| !overlay::is_sliver(piece))
        .collect();
    if pieces.is_empty() {
        return Some(section);
    }
    // A sloping wall projects to pieces without number: first the pieces alone, then the section.
    let surface = overlay::cover(&pieces);
    pieces.clear();
    // Walls askew to the grid come out in steps of it, which breed where outlines meet.
    Some(Outline::union(&[section, surface]).simplify_outward(overlay::NOISE_MM))
}

/// Everything the mesh covers, holes filled; the hull if it has upright faces only.
fn whole_outline(mesh: &Mesh) -> Outline {
    let (leveled, _) = Leveled::new(mesh, 0.0);
    let pieces: Vec<Vec<P2>> = mesh
        .triangles
        .iter()
        .map(|t| leveled.projected(t).to_vec())
        .collect();
    let outline = overlay::cover(&pieces).without_holes();
    if !outline.is_empty() {
        return outline;
    }
    let hull = convex_hull(mesh.vertices.iter().map(|v| [v[0], v[1]]));
    overlay::fill_rings(std::iter::once(hull.as_slice()))
}

/// Merges neighbours, cheapest first: all that add nothing, then until [`MAX_SLABS`] are left.
/// Slabs with empty height between them merge too, which fills the gap.
fn merge(slabs: &mut Vec<Slab>) {
    let joined = |a: &Slab, b: &Slab| -> (f64, Slab) {
        let outline = if a.outline == b.outline {
            a.outline.clone()
        } else {
            Outline::union(&[a.outline.clone(), b.outline.clone()])
        };
        let volume = |s: &Slab| s.outline.area() * (s.z1 - s.z0);
        let slab = Slab::new(a.z0, b.z1, outline);
        (volume(&slab) - volume(a) - volume(b), slab)
    };
    let total: f64 = slabs.iter().map(|s| s.outline.area() * (s.z1 - s.z0)).sum();
    let mut pairs: Vec<(f64, Slab)> = slabs.windows(2).map(|w| joined(&w[0], &w[1])).collect();
    while let Some((k, cost)) = pairs
        .iter()
        .enumerate()
        .map(|(k, pair)| (k, pair.0))
        .min_by(|a, b| a.1.total_cmp(&b.1))
    {
        if slabs.len() <= MAX_SLABS && cost > 1e-6 * total {
            break;
        }
        let (_, slab) = pairs.remove(k);
        slabs[k] = slab;
        slabs.remove(k + 1);
        if k > 0 {
            pairs[k - 1] = joined(&slabs[k - 1], &slabs[k]);
        }
        if k + 1 < slabs.len() {
            pairs[k] = joined(&slabs[k], &slabs[k + 1]);
        }
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::super::mesh::tests::{cube, joined, prism, revolved};
    use super::*;
    use proptest::prelude::*;
    use std::f64::consts::PI;

    #[test]
    fn a_box_is_one_slab_with_its_own_outline() {
        let mesh = cube().scaled([30.0, 20.0, 5.0]).moved([1.0, 2.0, 0.0]);
        let body = Body::from_mesh(&mesh, 0.02).unwrap();
        assert_eq!(body.slabs.len(), 1);
        assert_eq!((body.slabs[0].z0, body.slabs[0].z1), (0.0, 5.0));
        assert_eq!(body.footprint().unwrap().area(), 600.0);
        assert_eq!(body.footprint().unwrap().point_count(), 4);
        assert_eq!(body.volume_mm3(), 3000.0);
        let inside_out = mesh.scaled([1.0, 1.0, 1.0]);
        let inside_out = Mesh {
            triangles: inside_out
                .triangles
                .iter()
                .map(|t| [t[0], t[2], t[1]])
                .collect(),
            ..inside_out
        };
        assert_eq!(
            Body::from_mesh(&inside_out, 0.02).unwrap().volume_mm3(),
            3000.0
        );
    }

    #[test]
    fn fine_outlines_lie_within_theirs_at_any_size_and_count_of_facets() {
        for radius in [0.3, 0.5, 1.0, 2.0, 10.0, 40.0] {
            for facets in [24, 180, 256, 360, 512, 720, 1440] {
                let ring: Vec<P2> = (0..facets)
                    .map(|k| {
                        let a = f64::from(k) * 2.0 * PI / f64::from(facets);
                        [radius * a.cos(), radius * a.sin()]
                    })
                    .collect();
                let mesh = Mesh::upright(&Outline::polygon(&ring).unwrap(), 3.0);
                let body = Body::from_mesh(&mesh, 0.016).unwrap();
                for slab in &body.slabs {
                    let fine = slab.finest();
                    assert!(slab.outline.holds(fine, 0.032), "{radius} {facets}");
                    assert!(fine.area() >= Outline::polygon(&ring).unwrap().area() - 1e-4);
                }
            }
        }
    }

    #[test]
    fn a_step_is_two_slabs() {
        // A 20 mm cube-footprint base 4 high with a 10 mm block 6 high upon it, as two shells.
        let mut mesh = cube().scaled([20.0, 20.0, 4.0]);
        let top = cube().scaled([10.0, 10.0, 6.0]).moved([5.0, 5.0, 4.0]);
        let shift = mesh.vertices.len() as u32;
        mesh.vertices.extend(top.vertices);
        mesh.triangles
            .extend(top.triangles.iter().map(|t| t.map(|v| v + shift)));
        let body = Body::from_mesh(&mesh, 0.02).unwrap();
        assert_eq!(body.slabs.len(), 2);
        assert_eq!(body.slabs[1].outline.area(), 100.0);
        assert_eq!(body.volume_mm3(), 1600.0 + 600.0);
        assert_eq!(body.silhouette().area(), 400.0);
        assert_eq!(body.height_mm(), 10.0);
        let larger = body.scaled([2.0, 2.0, 3.0]);
        assert_eq!(larger.volume_mm3(), 12.0 * 2200.0);
        assert_eq!(larger.slabs[1].z0, 12.0);
        assert_eq!(
            body.moved(3.0, 0.0).silhouette().bounds().unwrap()[0],
            [3.0, 0.0]
        );
    }

    #[test]
    fn a_bored_cylinder_matches_its_closed_form() {
        // OD 20, bore 8, height 12, drawn with 128 edges: its volume as drawn is
        // ½·128·sin(2π/128)·(10² − 4²)·12; outward simplification may add 0.02 mm all round.
        let n = 128;
        let mesh = revolved(&[[4.0, 0.0], [10.0, 0.0], [10.0, 12.0], [4.0, 12.0]], n);
        let drawn = 0.5 * n as f64 * (2.0 * PI / n as f64).sin() * (100.0 - 16.0) * 12.0;
        assert!((mesh.measures().volume_mm3 - drawn).abs() < 1e-9);
        let body = Body::from_mesh(&mesh, 0.02).unwrap();
        assert_eq!(body.slabs.len(), 1);
        assert_eq!(body.slabs[0].outline.shapes[0].holes.len(), 1);
        let most = drawn + 0.02 * 2.0 * PI * 14.0 * 12.0;
        let volume = body.volume_mm3();
        assert!(
            volume >= drawn - 1e-3 && volume <= most,
            "{drawn} {volume} {most}"
        );
        assert!(body.point_count() < 2 * n);
    }

    #[test]
    fn a_torus_covers_its_ring() {
        // Silhouette of a torus R 12, r 3 from above: π(R+r)² − π(R−r)² = 4πRr.
        let profile: Vec<P2> = (0..48)
            .map(|k| {
                let a = 2.0 * PI * k as f64 / 48.0;
                [12.0 + 3.0 * a.cos(), 3.0 + 3.0 * a.sin()]
            })
            .collect();
        let mesh = revolved(&profile, 96);
        let body = Body::from_mesh(&mesh, 0.02).unwrap();
        assert!(body.slabs.len() <= MAX_SLABS);
        let silhouette = body.silhouette();
        let closed = 4.0 * PI * 12.0 * 3.0;
        // 96 edges fall short of the circle by 0.07 % of the area; the tolerance adds ≤ 0.02 mm.
        assert!((silhouette.area() - closed).abs() < 2e-3 * closed + 0.02 * 2.0 * PI * 24.0);
        assert_eq!(silhouette.shapes[0].holes.len(), 1);
        let volume = body.volume_mm3() / mesh.measures().volume_mm3;
        assert!(volume > 1.0 && volume < 1.35, "{volume}");
    }

    #[test]
    fn a_cone_is_contained_in_at_most_eight_slabs() {
        let mesh = revolved(&[[0.0, 0.0], [10.0, 0.0], [0.0, 30.0]], 64);
        let body = Body::from_mesh(&mesh, 0.02).unwrap();
        assert!(body.slabs.len() <= MAX_SLABS);
        // A slab of a cone from z to z + h/8 covers the circle at z; eight of them have at least
        // the volume of the cone and at most 1.6 times it (Σ k² for 8 slabs: 204/512 against 1/3,
        // that is 1.195, for even slabs).
        let ratio = body.volume_mm3() / mesh.measures().volume_mm3;
        assert!(ratio > 1.0 && ratio < 1.25, "{ratio}");
        for vertex in &mesh.vertices {
            let covered = body.slabs.iter().any(|s| {
                s.z0 <= vertex[2]
                    && s.z1 >= vertex[2]
                    && super::super::outline_distance(
                        &Outline::rectangle(1e-6, 1e-6).moved(vertex[0], vertex[1]),
                        &s.outline,
                        1.0,
                    ) < 2e-6
            });
            assert!(covered, "{vertex:?}");
        }
    }

    #[test]
    fn a_lying_barrel_turned_askew_to_the_grid_keeps_few_points() {
        let (s, c) = (0.544_639_035_015_027_1, 0.838_670_567_945_424);
        let circle = |i: usize| {
            let a = PI * i as f64 / 24.0;
            [3.5 * libm::cos(a), 3.5 + 3.5 * libm::sin(a)]
        };
        let profile: Vec<P2> = (0..48).map(circle).collect();
        let mut knuckles = Vec::new();
        for k in 0..3 {
            let mut knuckle = prism(&profile, 8.0).moved([0.3, 11.0 * f64::from(k), 0.0]);
            for p in &mut knuckle.vertices {
                (p[0], p[1]) = (c * p[0] - s * p[1], s * p[0] + c * p[1]);
            }
            knuckles.push(knuckle);
        }
        let body = Body::from_mesh(&joined(&knuckles), 0.016).unwrap();
        assert!(body.point_count() < 200, "{}", body.point_count());
        let shadow = body.silhouette();
        assert_eq!(shadow.shapes.len(), 3);
        assert!(shadow.shapes.iter().all(|s| s.holes.is_empty()));
        assert!(
            (shadow.area() - 3.0 * 7.0 * 8.0).abs() < 0.5,
            "{}",
            shadow.area()
        );
    }

    #[test]
    fn an_overhang_keeps_its_own_slab() {
        // A C lying on its back: the profile of a channel, extruded along y. Base 3 high, opening
        // 4 high, roof 2 high.
        let mesh = channel();
        let body = Body::from_mesh(&mesh, 0.02).unwrap();
        assert_eq!(body.slabs.len(), 3);
        assert_eq!((body.slabs[0].z0, body.slabs[0].z1), (0.0, 3.0));
        assert_eq!(
            body.slabs[0].outline.bounds(),
            Some([[-10.0, -5.0], [10.0, 5.0]])
        );
        assert_eq!(body.slabs[1].outline.area(), 50.0);
        assert_eq!((body.slabs[2].z0, body.slabs[2].z1), (7.0, 9.0));
        assert_eq!(body.volume_mm3(), 200.0 * 5.0 + 50.0 * 4.0);
    }

    /// Base 20 × 10 × 3, web 5 × 10 × 4 at the left, roof 20 × 10 × 2, as three shells.
    pub(crate) fn channel() -> Mesh {
        let unit = cube().moved([-0.5, -0.5, 0.0]);
        let blocks = [
            unit.scaled([20.0, 10.0, 3.0]),
            unit.scaled([5.0, 10.0, 4.0]).moved([-7.5, 0.0, 3.0]),
            unit.scaled([20.0, 10.0, 2.0]).moved([0.0, 0.0, 7.0]),
        ];
        let mut mesh = Mesh::default();
        for block in blocks {
            let shift = mesh.vertices.len() as u32;
            mesh.vertices.extend(block.vertices);
            mesh.triangles
                .extend(block.triangles.iter().map(|t| t.map(|v| v + shift)));
        }
        mesh
    }

    #[test]
    fn an_open_mesh_still_gives_a_body_that_covers_it() {
        let mut mesh = cube().scaled([10.0, 10.0, 10.0]);
        // Without one triangle of a side: the cross-section does not close.
        let side = mesh
            .triangles
            .iter()
            .position(|t| {
                let z = t.map(|v| mesh.vertices[v as usize][2]);
                z[0] != z[1] || z[1] != z[2]
            })
            .unwrap();
        mesh.triangles.remove(side);
        assert!(mesh.measures().open_edges > 0);
        let body = Body::from_mesh(&mesh, 0.02).unwrap();
        assert_eq!(body.volume_mm3(), 1000.0);
    }

    #[test]
    fn meshes_that_are_no_bodies_are_refused() {
        assert_eq!(
            Body::from_mesh(&Mesh::default(), 0.02),
            Err(BodyFault::Empty)
        );
        let mut mesh = cube();
        mesh.vertices[3][1] = f64::NAN;
        assert_eq!(
            Body::from_mesh(&mesh, 0.02),
            Err(BodyFault::NotFinite { vertex: 3 })
        );
        let mut mesh = cube();
        mesh.triangles[2][1] = 99;
        assert_eq!(
            Body::from_mesh(&mesh, 0.02),
            Err(BodyFault::MissingVertex { triangle: 2 })
        );
        let flat = Mesh::from_soup(&[[[0.0; 3], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]]]);
        assert_eq!(Body::from_mesh(&flat, 0.02), Err(BodyFault::NoVolume));
    }

    #[test]
    fn hundreds_of_levels_are_reduced_and_flats_kept() {
        // A dome of 400 levels on a flange 1.5 mm high: the flange keeps its own edge.
        let mut profile = vec![[0.0, 0.0], [15.0, 0.0], [15.0, 1.5], [10.0, 1.5]];
        for k in 1..400 {
            let a = PI / 2.0 * k as f64 / 400.0;
            profile.push([10.0 * a.cos(), 1.5 + 10.0 * a.sin()]);
        }
        profile.push([0.0, 11.5]);
        let mesh = revolved(&profile, 32);
        let body = Body::from_mesh(&mesh, 0.02).unwrap();
        assert!(body.slabs.len() <= MAX_SLABS);
        assert!((body.slabs[0].z1 - 1.5).abs() < 1e-9);
        let ratio = body.volume_mm3() / mesh.measures().volume_mm3;
        assert!((1.0..1.1).contains(&ratio), "{ratio}");
    }

    /// A block mapped by any matrix that keeps its volume positive: tilted faces, no two vertices
    /// at one height.
    fn tilted(m: [[f64; 3]; 3]) -> Mesh {
        let mut mesh = cube();
        for v in &mut mesh.vertices {
            let c = v.map(|x| 20.0 * (x - 0.5));
            *v = m.map(|row| row[0] * c[0] + row[1] * c[1] + row[2] * c[2]);
        }
        mesh
    }

    fn covers(body: &Body, p: [f64; 3]) -> bool {
        let speck = Outline::rectangle(1e-6, 1e-6).moved(p[0], p[1]);
        body.slabs.iter().any(|s| {
            s.z0 - 1e-3 <= p[2]
                && s.z1 + 1e-3 >= p[2]
                && super::super::outline_distance(&speck, &s.outline, 1.0) < 3e-6
        })
    }

    fn row() -> impl Strategy<Value = [f64; 3]> {
        prop::array::uniform3(-1.0..1.0f64)
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn a_tilted_block_is_contained(m in [row(), row(), row()]) {
            let mesh = tilted(m);
            let volume = mesh.measures().volume_mm3.abs();
            prop_assume!(volume > 10.0);
            let body = Body::from_mesh(&mesh, 0.02).unwrap();
            prop_assert!(body.slabs.len() <= MAX_SLABS);
            prop_assert!(body.slabs.windows(2).all(|w| w[0].z1 <= w[1].z0));
            prop_assert!(body.volume_mm3() >= volume * (1.0 - 1e-6));
            for t in &mesh.triangles {
                let [a, b, c] = t.map(|v| mesh.vertices[v as usize]);
                for (u, v) in [(0.0, 0.0), (1.0, 0.0), (0.5, 0.5), (0.2, 0.3), (0.1, 0.8)] {
                    let p = std::array::from_fn(|k| a[k] + u * (b[k] - a[k]) + v * (c[k] - a[k]));
                    prop_assert!(covers(&body, p), "{p:?}");
                }
            }
        }

        /// Loose triangles on a coarse grid, so that edges, levels and whole triangles coincide.
        #[test]
        fn no_soup_of_triangles_is_too_much(
            soup in prop::collection::vec(
                prop::array::uniform3(prop::array::uniform3((-4..5i32).prop_map(f64::from))), 1..40)
        ) {
            let mesh = Mesh::from_soup(&soup);
            if let Ok(body) = Body::from_mesh(&mesh, 0.02) {
                prop_assert!(!body.slabs.is_empty() && body.slabs.len() <= MAX_SLABS);
                prop_assert!(body.slabs.windows(2).all(|w| w[0].z1 <= w[1].z0));
                prop_assert!(super::super::Solid::new(&body).is_ok());
            }
        }
    }
}
