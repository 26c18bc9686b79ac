//! Draws egui's output on the processor: for tests and for pictures where there is no display.
//!
//! Corners are snapped to 1/256 pixel, as graphics hardware does, so that edges are exact in whole
//! numbers: triangles that share an edge neither overlap nor leave a seam (top-left rule). Textures
//! are read bilinearly, colours blended premultiplied in gamma space, as egui's own renderers do.

use egui::epaint::{ClippedPrimitive, ImageData, ImageDelta, Mesh, Primitive, Vertex};
use egui::{Color32, ColorImage, TextureId, TexturesDelta};
use std::collections::BTreeMap;
use std::ops::Range;

/// Parts of a pixel.
const SUB: i64 = 256;
/// Farthest corner from the origin that is drawn at its place, pixels: keeps products within i64.
const FAR: f32 = 1e6;

/// Textures and the means to draw with them.
#[derive(Default)]
pub struct SoftRenderer {
    textures: BTreeMap<TextureKey, ColorImage>,
}

#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum TextureKey {
    Managed(u64),
    User(u64),
}

impl From<TextureId> for TextureKey {
    fn from(id: TextureId) -> TextureKey {
        match id {
            TextureId::Managed(id) => TextureKey::Managed(id),
            TextureId::User(id) => TextureKey::User(id),
        }
    }
}

impl SoftRenderer {
    /// Takes over new and changed textures, and drops those no longer used.
    pub fn update(&mut self, delta: &mut TexturesDelta) {
        // Each texture is its own; the order among them does not matter.
        #[expect(
            clippy::iter_over_hash_type,
            reason = "textures do not depend on each other"
        )]
        for (id, deltas) in std::mem::take(&mut delta.set) {
            for one in deltas {
                self.set(id.into(), one);
            }
        }
        #[expect(
            clippy::iter_over_hash_type,
            reason = "textures do not depend on each other"
        )]
        for id in std::mem::take(&mut delta.free) {
            self.textures.remove(&id.into());
        }
    }

    fn set(&mut self, key: TextureKey, delta: ImageDelta) {
        let ImageData::Color(patch) = delta.image;
        let Some([x0, y0]) = delta.pos else {
            self.textures.insert(key, (*patch).clone());
            return;
        };
        let Some(whole) = self.textures.get_mut(&key) else {
            return;
        };
        let ([width, height], [patch_width, _]) = (whole.size, patch.size);
        for (i, pixel) in patch.pixels.iter().enumerate() {
            let (x, y) = (x0 + i % patch_width.max(1), y0 + i / patch_width.max(1));
            if x < width
                && y < height
                && let Some(slot) = whole.pixels.get_mut(y * width + x)
            {
                *slot = *pixel;
            }
        }
    }

    /// Draws tessellated shapes on a background of `size` pixels.
    pub fn draw(
        &self,
        primitives: &[ClippedPrimitive],
        size: [usize; 2],
        pixels_per_point: f32,
        background: Color32,
    ) -> ColorImage {
        let mut image = ColorImage::filled(size, background);
        for primitive in primitives {
            let Primitive::Mesh(mesh) = &primitive.primitive else {
                continue;
            };
            let Some(texture) = self.textures.get(&mesh.texture_id.into()) else {
                continue;
            };
            let clip = primitive.clip_rect;
            let bound =
                |v: f32, most: usize| ((v * pixels_per_point).round().max(0.0) as usize).min(most);
            let clip = Clip {
                x: bound(clip.min.x, size[0])..bound(clip.max.x, size[0]),
                y: bound(clip.min.y, size[1])..bound(clip.max.y, size[1]),
            };
            draw_mesh(&mut image, mesh, texture, &clip, pixels_per_point);
        }
        image
    }
}

struct Clip {
    x: Range<usize>,
    y: Range<usize>,
}

fn draw_mesh(image: &mut ColorImage, mesh: &Mesh, texture: &ColorImage, clip: &Clip, ppp: f32) {
    for corner in mesh.indices.chunks_exact(3) {
        let vertex = |i: usize| {
            let index = corner.get(i).copied()? as usize;
            mesh.vertices.get(index).copied()
        };
        if let (Some(a), Some(b), Some(c)) = (vertex(0), vertex(1), vertex(2)) {
            draw_triangle(image, [a, b, c], texture, clip, ppp);
        }
    }
}

/// A corner in parts of a pixel.
type Corner = [i64; 2];

fn corner_of(vertex: &Vertex, ppp: f32) -> Corner {
    [vertex.pos.x, vertex.pos.y].map(|v| ((v * ppp).clamp(-FAR, FAR) * SUB as f32).round() as i64)
}

/// One side of a triangle: `at(x, y) >= 0` inside, in squares of parts of a pixel.
#[derive(Clone, Copy)]
struct Side {
    from: Corner,
    along: [i64; 2],
    /// 0 where pixels on the side belong to the triangle, 1 where they belong to its neighbour.
    less: i64,
}

impl Side {
    fn new(from: Corner, to: Corner) -> Side {
        let along = [to[0] - from[0], to[1] - from[1]];
        let owns = along[1] < 0 || (along[1] == 0 && along[0] > 0);
        Side {
            from,
            along,
            less: i64::from(!owns),
        }
    }

    fn at(&self, x: i64, y: i64) -> i64 {
        self.along[0] * (y - self.from[1]) - self.along[1] * (x - self.from[0])
    }

    /// Narrows a row of pixels to those inside.
    fn narrow(&self, row: &mut Range<i64>, y: i64) {
        let first = self.at(row.start * SUB + SUB / 2, y) - self.less;
        let step = -self.along[1] * SUB;
        match step.signum() {
            0 if first < 0 => row.end = row.start,
            0 => {}
            // first + n·step >= 0 from some n on, or up to some n.
            1 if first < 0 => row.start += (-first + step - 1) / step,
            1 => {}
            _ if first < 0 => row.end = row.start,
            _ => row.end = row.end.min(row.start + first / -step + 1),
        }
    }
}

fn draw_triangle(
    image: &mut ColorImage,
    vertices: [Vertex; 3],
    texture: &ColorImage,
    clip: &Clip,
    ppp: f32,
) {
    if vertices
        .iter()
        .any(|v| !v.pos.x.is_finite() || !v.pos.y.is_finite())
    {
        return;
    }
    let [a, mut b, mut c] = vertices;
    let [pa, mut pb, mut pc] = [&a, &b, &c].map(|v| corner_of(v, ppp));
    let mut area = Side::new(pa, pb).at(pc[0], pc[1]);
    if area < 0 {
        std::mem::swap(&mut b, &mut c);
        std::mem::swap(&mut pb, &mut pc);
        area = -area;
    }
    if area == 0 {
        return;
    }
    let sides = [Side::new(pb, pc), Side::new(pc, pa), Side::new(pa, pb)];
    let low = |k: usize| pa[k].min(pb[k]).min(pc[k]).div_euclid(SUB);
    let high = |k: usize| pa[k].max(pb[k]).max(pc[k]).div_euclid(SUB) + 1;
    let rows = low(1).max(clip.y.start as i64)..high(1).min(clip.y.end as i64);
    let columns = low(0).max(clip.x.start as i64)..high(0).min(clip.x.end as i64);

    let paint = Paint::new([&a, &b, &c], texture);
    let width = image.size[0];
    for y in rows {
        let middle = y * SUB + SUB / 2;
        let mut row = columns.clone();
        for side in &sides {
            if row.start < row.end {
                side.narrow(&mut row, middle);
            }
        }
        if row.start >= row.end {
            continue;
        }
        let start = y as usize * width + row.start as usize;
        let end = y as usize * width + row.end as usize;
        let Some(pixels) = image.pixels.get_mut(start..end) else {
            continue;
        };
        match &paint {
            Paint::Flat(source) if source[3] >= 255.0 => pixels.fill(over(*source, Color32::BLACK)),
            Paint::Flat(source) => {
                for pixel in pixels {
                    *pixel = over(*source, *pixel);
                }
            }
            Paint::Mixed(mixed) => {
                let x = row.start * SUB + SUB / 2;
                let mut weights = sides.map(|s| s.at(x, middle) as f32 / area as f32);
                let steps = sides.map(|s| -(s.along[1] * SUB) as f32 / area as f32);
                for pixel in pixels {
                    let source = mixed.at(&weights, texture);
                    if source[3] > 0.0 || source[0] > 0.0 {
                        *pixel = over(source, *pixel);
                    }
                    for (weight, step) in weights.iter_mut().zip(steps) {
                        *weight += step;
                    }
                }
            }
        }
    }
}

/// What a triangle is filled with; channels from 0 to 255, premultiplied.
enum Paint {
    Flat([f32; 4]),
    Mixed(Mixed),
}

struct Mixed {
    colors: [[f32; 4]; 3],
    uvs: [[f32; 2]; 3],
    /// Texel, where all corners share one.
    texel: Option<[f32; 4]>,
}

impl Paint {
    fn new(corners: [&Vertex; 3], texture: &ColorImage) -> Paint {
        let colors = corners.map(|v| v.color.to_array().map(f32::from));
        let uvs = corners.map(|v| [v.uv.x, v.uv.y]);
        let [a, b, c] = uvs;
        let texel = (a == b && b == c).then(|| sample(texture, a));
        let [first, second, third] = colors;
        match texel {
            Some(texel) if first == second && second == third => Paint::Flat(tinted(first, texel)),
            _ => Paint::Mixed(Mixed { colors, uvs, texel }),
        }
    }
}

impl Mixed {
    fn at(&self, weights: &[f32; 3], texture: &ColorImage) -> [f32; 4] {
        let texel = self
            .texel
            .unwrap_or_else(|| sample(texture, mix(weights, &self.uvs)));
        tinted(mix(weights, &self.colors), texel)
    }
}

fn mix<const N: usize>(weights: &[f32; 3], of: &[[f32; N]; 3]) -> [f32; N] {
    let ([wa, wb, wc], [a, b, c]) = (weights, of);
    let mut out = [0.0; N];
    for (o, ((a, b), c)) in out.iter_mut().zip(a.iter().zip(b).zip(c)) {
        *o = wa * a + wb * b + wc * c;
    }
    out
}

fn tinted(mut color: [f32; 4], texel: [f32; 4]) -> [f32; 4] {
    for (c, t) in color.iter_mut().zip(texel) {
        *c *= t / 255.0;
    }
    color
}

/// Premultiplied source over what is there.
fn over([r, g, b, a]: [f32; 4], below: Color32) -> Color32 {
    let keep = 1.0 - a / 255.0;
    let mix = |s: f32, d: u8| (s + f32::from(d) * keep).round().clamp(0.0, 255.0) as u8;
    Color32::from_rgba_premultiplied(
        mix(r, below.r()),
        mix(g, below.g()),
        mix(b, below.b()),
        mix(a, below.a()),
    )
}

fn sample(texture: &ColorImage, [u, v]: [f32; 2]) -> [f32; 4] {
    let [width, height] = texture.size;
    let (x, y) = (u * width as f32 - 0.5, v * height as f32 - 0.5);
    let (fx, fy) = (x - x.floor(), y - y.floor());
    let at = |x: f32, y: f32| {
        let clamp = |v: f32, n: usize| (v.max(0.0) as usize).min(n.saturating_sub(1));
        let i = clamp(y, height) * width + clamp(x, width);
        let pixel = texture.pixels.get(i).copied().unwrap_or(Color32::WHITE);
        pixel.to_array().map(f32::from)
    };
    let (x, y) = (x.floor(), y.floor());
    let corners = [
        at(x, y),
        at(x + 1.0, y),
        at(x, y + 1.0),
        at(x + 1.0, y + 1.0),
    ];
    let weights = [
        (1.0 - fx) * (1.0 - fy),
        fx * (1.0 - fy),
        (1.0 - fx) * fy,
        fx * fy,
    ];
    let mut out = [0.0; 4];
    for (corner, weight) in corners.iter().zip(weights) {
        for (sum, value) in out.iter_mut().zip(corner) {
            *sum += value * weight;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::epaint::WHITE_UV;
    use egui::{Pos2, Rect, pos2};

    fn renderer() -> SoftRenderer {
        let mut renderer = SoftRenderer::default();
        let white = ColorImage::filled([1, 1], Color32::WHITE);
        renderer.textures.insert(TextureKey::Managed(0), white);
        renderer
    }

    fn draw(corners: &[(Pos2, Color32)], indices: &[u32], clip: Rect) -> ColorImage {
        let mut mesh = Mesh::default();
        let vertices = corners.iter().map(|&(pos, color)| Vertex {
            pos,
            uv: WHITE_UV,
            color,
        });
        mesh.vertices.extend(vertices);
        mesh.indices.extend(indices);
        let primitive = ClippedPrimitive {
            clip_rect: clip,
            primitive: Primitive::Mesh(mesh),
        };
        renderer().draw(&[primitive], [10, 10], 1.0, Color32::BLACK)
    }

    fn lit(image: &ColorImage) -> usize {
        image
            .pixels
            .iter()
            .filter(|p| **p != Color32::BLACK)
            .count()
    }

    const ALL: Rect = Rect {
        min: Pos2::ZERO,
        max: Pos2 { x: 10.0, y: 10.0 },
    };

    #[test]
    fn a_fan_about_any_point_covers_a_square_once() {
        // Half-transparent: a pixel drawn twice would be lighter, one left out black.
        let half = Color32::from_rgba_premultiplied(100, 100, 100, 128);
        for middle in [
            pos2(5.0, 5.0),
            pos2(4.5, 4.5),
            pos2(3.3, 7.9),
            pos2(2.0, 2.5),
        ] {
            let square = [
                pos2(1.0, 1.0),
                pos2(9.0, 1.0),
                pos2(9.0, 9.0),
                pos2(1.0, 9.0),
            ];
            let corners: Vec<_> = square
                .into_iter()
                .chain([middle])
                .map(|p| (p, half))
                .collect();
            let fan = [0, 1, 4, 1, 2, 4, 2, 3, 4, 4, 3, 0];
            let image = draw(&corners, &fan, ALL);
            assert_eq!(lit(&image), 64, "{middle:?}");
            let once = |p: &&Color32| **p == Color32::from_rgb(100, 100, 100);
            let alpha = image.pixels.iter().filter(|p| p.a() == 255).count();
            assert_eq!(image.pixels.iter().filter(once).count(), 64, "{middle:?}");
            assert_eq!(alpha, 100);
        }
    }

    #[test]
    fn pixels_whose_middle_is_covered_are_drawn_and_the_clip_holds() {
        let white = Color32::WHITE;
        let corners = [
            (pos2(1.6, 1.4), white),
            (pos2(4.6, 1.4), white),
            (pos2(4.6, 3.4), white),
            (pos2(1.6, 3.4), white),
        ];
        let image = draw(&corners, &[0, 1, 2, 0, 2, 3], ALL);
        // Columns 2..=4 (middles 2.5 to 4.5) and rows 1..=2.
        assert_eq!(lit(&image), 6);
        let at = |x: usize, y: usize| image.pixels[y * 10 + x];
        assert_eq!(
            (at(2, 1), at(4, 2), at(1, 1), at(2, 3)),
            (white, white, Color32::BLACK, Color32::BLACK)
        );
        let clip = Rect::from_min_max(pos2(3.0, 0.0), pos2(4.0, 2.0));
        assert_eq!(lit(&draw(&corners, &[0, 1, 2, 0, 2, 3], clip)), 1);
    }

    #[test]
    fn colours_run_evenly_from_corner_to_corner() {
        let (dark, light) = (Color32::from_gray(0), Color32::from_gray(200));
        let corners = [
            (pos2(0.0, 0.0), dark),
            (pos2(10.0, 0.0), light),
            (pos2(10.0, 10.0), light),
            (pos2(0.0, 10.0), dark),
        ];
        let image = draw(&corners, &[0, 1, 2, 0, 2, 3], ALL);
        for (i, pixel) in image.pixels.iter().enumerate() {
            // 200 over 10 pixels, at the middle of each.
            let wanted = 20.0 * (i % 10) as f64 + 10.0;
            assert!(
                (f64::from(pixel.r()) - wanted).abs() <= 1.0,
                "{i}: {pixel:?}"
            );
        }
    }

    #[test]
    fn corners_beyond_all_bounds_are_no_trouble() {
        let white = Color32::WHITE;
        let far = [
            (pos2(-1e9, -1e9), white),
            (pos2(1e9, -1e9), white),
            (pos2(0.0, 1e9), white),
        ];
        assert_eq!(lit(&draw(&far, &[0, 1, 2], ALL)), 100);
        let none = [
            (pos2(f32::NAN, 0.0), white),
            (pos2(9.0, 0.0), white),
            (pos2(0.0, 9.0), white),
        ];
        assert_eq!(lit(&draw(&none, &[0, 1, 2], ALL)), 0);
    }

    /// Ink of a stroke through egui's own tessellator: width times length, whatever the direction.
    #[test]
    fn a_stroke_has_the_same_width_in_every_direction() {
        let ctx = egui::Context::default();
        for degrees in (0..180).step_by(15) {
            let along = egui::Vec2::angled((degrees as f32 + 3.0).to_radians());
            let stroke = egui::Stroke::new(1.75, Color32::WHITE);
            let middle = pos2(50.0, 50.0);
            let line = egui::Shape::line(
                vec![middle - 40.0 * along, middle, middle + 40.0 * along],
                stroke,
            );
            let clip_rect = Rect::from_min_max(Pos2::ZERO, pos2(100.0, 100.0));
            let mut out = ctx.run_ui(egui::RawInput::default(), |_| {});
            let mut renderer = SoftRenderer::default();
            renderer.update(&mut out.textures_delta);
            let white = ColorImage::filled([1, 1], Color32::WHITE);
            renderer.textures.insert(TextureKey::Managed(0), white);
            let shape = egui::epaint::ClippedShape::new(clip_rect, line);
            let drawn = ctx.tessellate(vec![shape], 1.0);
            let image = renderer.draw(&drawn, [100, 100], 1.0, Color32::BLACK);
            let ink: f64 = image.pixels.iter().map(|p| f64::from(p.r()) / 255.0).sum();
            // Ends are feathered too; a tenth is allowed for them and for 8 bits.
            assert!(
                (ink / 80.0 - 1.75).abs() < 0.175,
                "{degrees}: {}",
                ink / 80.0
            );
        }
    }
}
