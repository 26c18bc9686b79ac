//! Shapes drawn on the processor: a turntable view with hidden faces left out.
//!
//! What comes out is what each pixel shows and how much light falls on it; colours belong to whoever
//! shows it.

use super::mesh::{Mesh, cross, dot, sub};
use super::slab::Body;

/// What of a shape a pixel shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Surface {
    /// A face like any other.
    Plain,
    /// A face that touches the setter.
    Resting,
    /// A face that looks down with nothing under it.
    Hanging,
}

/// One pixel of a drawn shape.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Texel {
    /// What is seen.
    pub surface: Surface,
    /// Light on it, 0 (edge on) to 255 (looking at the eye).
    pub light: u8,
}

/// Triangles to draw, with what each of them is. Resting as measured: z up, mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Model {
    mesh: Mesh,
    surfaces: Vec<Surface>,
    centre: [f64; 3],
    radius_mm: f64,
}

impl Model {
    /// From a mesh that rests on its lowest points; faces within `contact_mm` of them touch the
    /// setter. None for a mesh without triangles.
    pub fn new(mesh: Mesh, contact_mm: f64) -> Option<Model> {
        let (low, high) = mesh.bounds()?;
        let surfaces = mesh.surfaces(contact_mm);
        let centre = [0, 1, 2].map(|i| 0.5 * (low[i] + high[i]));
        let half = sub(high, centre);
        Some(Model {
            surfaces,
            centre,
            radius_mm: libm::sqrt(dot(half, half)),
            mesh,
        })
    }

    /// From the slabs of a body: what a load keeps of a shape.
    pub fn of_body(body: &Body, contact_mm: f64) -> Option<Model> {
        Model::new(body.surface(), contact_mm)
    }

    /// How many triangles there are.
    pub fn triangles(&self) -> usize {
        self.surfaces.len()
    }
}

/// From where a shape is looked at, and where its points fall on the picture. Without perspective:
/// lengths across the line of sight are true.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Projection {
    right: [f64; 3],
    up: [f64; 3],
    toward: [f64; 3],
    centre: [f64; 3],
    /// Pixels in one millimetre.
    pub scale: f64,
    size: [usize; 2],
}

impl Projection {
    /// Looks at the middle of a model so that all of it is seen however it is turned.
    ///
    /// `turn_deg` goes about the vertical, `tilt_deg` is the height of the eye above the level of
    /// the setter: 90 looks down, -90 up from below. `size` in pixels.
    pub fn new(model: &Model, turn_deg: f64, tilt_deg: f64, size: [usize; 2]) -> Projection {
        let (cos_turn, sin_turn) = super::pose::cos_sin_deg(turn_deg);
        let (cos_tilt, sin_tilt) = super::pose::cos_sin_deg(tilt_deg);
        let least = size[0].min(size[1]) as f64;
        Projection {
            right: [cos_turn, sin_turn, 0.0],
            up: [-sin_tilt * sin_turn, sin_tilt * cos_turn, cos_tilt],
            toward: [cos_tilt * sin_turn, -cos_tilt * cos_turn, sin_tilt].map(|c| c + 0.0),
            centre: model.centre,
            scale: 0.94 * least / (2.0 * model.radius_mm).max(f64::MIN_POSITIVE),
            size,
        }
    }

    /// Where a point falls, pixels from the upper left corner, and how near it is to the eye, mm.
    pub fn place(&self, point: [f64; 3]) -> ([f64; 2], f64) {
        let p = sub(point, self.centre);
        let x = 0.5 * self.size[0] as f64 + self.scale * dot(p, self.right);
        let y = 0.5 * self.size[1] as f64 - self.scale * dot(p, self.up);
        ([x, y], dot(p, self.toward))
    }
}

/// Draws a model: one entry a pixel, row by row from the top, none where nothing is seen.
pub fn draw(model: &Model, view: &Projection) -> Vec<Option<Texel>> {
    let [width, height] = view.size;
    let mut texels = vec![None; width * height];
    let mut nearest = vec![f64::NEG_INFINITY; width * height];
    let placed: Vec<([f64; 2], f64)> = model.mesh.vertices.iter().map(|v| view.place(*v)).collect();
    for (triangle, surface) in model.mesh.triangles.iter().zip(&model.surfaces) {
        let Some(corners) = model.mesh.corners(triangle) else {
            continue;
        };
        let [a, b, c] = triangle.map(|v| placed[v as usize]);
        let n = cross(sub(corners[1], corners[0]), sub(corners[2], corners[0]));
        let size = libm::sqrt(dot(n, n));
        // Twice the area on the picture; the faces of a sound shape that look away are behind others.
        let turn = (b.0[0] - a.0[0]) * (c.0[1] - a.0[1]) - (b.0[1] - a.0[1]) * (c.0[0] - a.0[0]);
        if turn == 0.0 || size == 0.0 {
            continue;
        }
        let light = (dot(n, view.toward) / size).abs();
        let texel = Texel {
            surface: *surface,
            light: (255.0 * light) as u8,
        };
        let span = |axis: usize, most: usize| {
            let of = [a.0[axis], b.0[axis], c.0[axis]];
            let low = of.into_iter().fold(f64::INFINITY, f64::min);
            let high = of.into_iter().fold(f64::NEG_INFINITY, f64::max);
            // Pixel centres lie at halves; the cast takes care of what lies outside.
            let first = (low - 0.5).ceil().max(0.0) as usize;
            let end = ((high - 0.5).floor() + 1.0).max(0.0) as usize;
            first..end.min(most)
        };
        let share = |p: [f64; 2], q: [f64; 2], x: f64, y: f64| {
            ((q[0] - p[0]) * (y - p[1]) - (q[1] - p[1]) * (x - p[0])) / turn
        };
        for row in span(1, height) {
            let y = row as f64 + 0.5;
            for column in span(0, width) {
                let x = column as f64 + 0.5;
                let (of_a, of_b) = (share(b.0, c.0, x, y), share(c.0, a.0, x, y));
                let of_c = 1.0 - of_a - of_b;
                if of_a < 0.0 || of_b < 0.0 || of_c < 0.0 {
                    continue;
                }
                let near = of_a * a.1 + of_b * b.1 + of_c * c.1;
                let i = row * width + column;
                if near > nearest[i] {
                    nearest[i] = near;
                    texels[i] = Some(texel);
                }
            }
        }
    }
    texels
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Outline;
    use crate::geometry::mesh::tests::{cube, joined};

    fn seen(texels: &[Option<Texel>], surface: Surface) -> usize {
        let found = texels.iter().flatten();
        found.filter(|t| t.surface == surface).count()
    }

    fn drawn(model: &Model, turn_deg: f64, tilt_deg: f64) -> (Vec<Option<Texel>>, f64) {
        let view = Projection::new(model, turn_deg, tilt_deg, [400, 300]);
        (draw(model, &view), view.scale)
    }

    /// Pixels of an area of mm² at a scale, within 2 %: what the rims of such pictures come to.
    fn near(pixels: usize, mm2: f64, scale: f64) {
        let expected = mm2 * scale * scale;
        let off = (pixels as f64 - expected).abs();
        assert!(off < 0.02 * expected, "{pixels} for {expected}");
    }

    /// The area of a box seen along a direction is the sum of its faces by their cosines.
    #[test]
    fn a_block_covers_the_area_that_is_seen_of_it() {
        let block = cube().scaled([30.0, 20.0, 10.0]);
        let model = Model::new(block, 0.02).unwrap();
        let (above, scale) = drawn(&model, 0.0, 90.0);
        near(seen(&above, Surface::Plain), 600.0, scale);
        let (below, scale) = drawn(&model, 20.0, -90.0);
        assert_eq!(seen(&below, Surface::Plain), 0);
        near(seen(&below, Surface::Resting), 600.0, scale);
        let (front, scale) = drawn(&model, 0.0, 0.0);
        near(seen(&front, Surface::Plain), 300.0, scale);
        let (aslant, scale) = drawn(&model, 30.0, 40.0);
        let (turn, tilt) = (30f64.to_radians(), 40f64.to_radians());
        let area = 600.0 * tilt.sin() + tilt.cos() * (300.0 * turn.cos() + 200.0 * turn.sin());
        near(seen(&aslant, Surface::Plain), area, scale);
    }

    /// From below, the ceiling between two feet hangs and the feet rest; from above neither is seen.
    #[test]
    fn what_hangs_and_what_rests_is_told_apart() {
        let block = cube();
        let foot = block.scaled([5.0, 10.0, 6.0]);
        let table = joined(&[
            foot.clone(),
            foot.moved([15.0, 0.0, 0.0]),
            block.scaled([20.0, 10.0, 2.0]).moved([0.0, 0.0, 6.0]),
        ]);
        let model = Model::new(table, 0.02).unwrap();
        let (below, _) = drawn(&model, 0.0, -90.0);
        // Equal widths: 10 mm of ceiling, twice 5 mm of feet.
        let (hangs, rests) = (
            seen(&below, Surface::Hanging),
            seen(&below, Surface::Resting),
        );
        assert!(
            hangs > 1000 && hangs.abs_diff(rests) < hangs / 20,
            "{hangs} {rests}"
        );
        let (above, _) = drawn(&model, 0.0, 90.0);
        assert_eq!(seen(&above, Surface::Hanging), 0);
        assert_eq!(seen(&above, Surface::Resting), 0);
    }

    #[test]
    fn a_body_looks_like_the_shape_that_it_was_made_from() {
        let body = Body::prism(Outline::ring(40.0, 20.0), 8.0);
        let model = Model::of_body(&body, 0.02).unwrap();
        let (above, scale) = drawn(&model, 0.0, 90.0);
        let area = std::f64::consts::PI * (400.0 - 100.0);
        near(seen(&above, Surface::Plain), area, scale);
        let (below, _) = drawn(&model, 0.0, -90.0);
        near(seen(&below, Surface::Resting), area, scale);
    }

    /// A turned eye sees the front at the foot of the picture and the right at its right.
    #[test]
    fn points_fall_where_they_are_seen() {
        let model = Model::new(cube(), 0.02).unwrap();
        let view = Projection::new(&model, 0.0, 45.0, [100, 100]);
        let at = |p: [f64; 3]| view.place(p);
        let middle = at([0.5; 3]);
        assert_eq!(middle.0, [50.0, 50.0]);
        assert!(at([1.0, 0.5, 0.5]).0[0] > 50.0);
        assert!(at([0.5, 0.0, 0.5]).0[1] > 50.0 && at([0.5, 0.0, 0.5]).1 > middle.1);
        assert!(at([0.5, 0.5, 1.0]).0[1] < 50.0 && at([0.5, 0.5, 1.0]).1 > middle.1);
    }
}
