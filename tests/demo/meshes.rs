//! Part meshes of an invented shop, made by arithmetic: watertight triangle soups in mm, sintered
//! size, resting face on z = 0.
//!
//! Angles go through `libm`, and every point is computed once per place, so the bytes are equal on
//! every machine. Round features are regular polygons with their vertices on the true circle.
//! All dimensions are invented (sections 2 to 8 mm, plausible for metal injection moulding).

// The example, the tests and the benches each use only some of this file.
#![allow(dead_code)]

use core::f64::consts::PI;

/// Three points (mm), counter-clockwise seen from outside.
pub type Triangle = [[f64; 3]; 3];
type Point = [f64; 2];

/// How a demo mesh is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DemoFormat {
    /// Binary STL (f32).
    Binary,
    /// ASCII STL, six decimals.
    AsciiStl,
}

/// The unit a demo mesh is written in; STL itself states none.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DemoUnit {
    /// Values are mm.
    Millimetre,
    /// Values are mm / 25.4.
    Inch,
}

/// One demo part.
#[derive(Clone, Debug)]
pub struct DemoMesh {
    /// File stem and ASCII solid name.
    pub name: &'static str,
    /// The body in mm, whatever unit the file is written in.
    pub triangles: Vec<Triangle>,
    /// How [`DemoMesh::file_bytes`] writes it.
    pub format: DemoFormat,
    /// The unit [`DemoMesh::file_bytes`] writes it in.
    pub unit: DemoUnit,
    /// Volume (mm³) of the faceted body by hand-derived formula, where there is one.
    pub closed_form_volume: Option<f64>,
}

impl DemoMesh {
    /// The STL file: in this mesh's format and unit.
    pub fn file_bytes(&self) -> Vec<u8> {
        let per_unit = match self.unit {
            DemoUnit::Millimetre => 1.0,
            DemoUnit::Inch => 25.4,
        };
        let scaled: Vec<Triangle> = self
            .triangles
            .iter()
            .map(|t| t.map(|p| p.map(|c| c / per_unit)))
            .collect();
        match self.format {
            DemoFormat::Binary => binary_stl(&scaled),
            DemoFormat::AsciiStl => ascii_stl(self.name, &scaled),
        }
    }
}

/// The eight demo parts: one written as ASCII (latch), one in inches (lever).
pub fn all() -> Vec<DemoMesh> {
    let mm = |name, triangles, closed_form_volume| DemoMesh {
        name,
        triangles,
        format: DemoFormat::Binary,
        unit: DemoUnit::Millimetre,
        closed_form_volume,
    };
    let base = 45.0 * 30.0 * 4.0 + 5.0 * 30.0 * 11.0;
    let latch_area = 32.0 * 7.0 + 15.0 * 7.0 - 0.5 * 3.0 * 3.0 - polygon_area(2.5, 48);
    let bend = 8.0 * 0.5 * 25.0 * libm::sin(PI / 24.0) - 25.0 * libm::tan(PI / 6.0);
    let lever_area = 2.0 * 5.0 * (30.0 + 22.0) + polygon_area(5.0, 48) + bend;
    // Frustums of the profile, outside minus inside: h (R² + R r + r²) / 3 each.
    let turned = 121.0 * 4.0 + 64.0 * 8.0 + 12.0 * (64.0 + 32.0 + 16.0) / 3.0
        - (25.0 * 10.0 + 8.0 * (25.0 + 7.5 + 2.25) / 3.0 + 2.25 * 6.0);
    vec![
        mm(
            "bracket",
            bracket(),
            Some(base - 2.0 * 4.0 * polygon_area(3.0, 48)),
        ),
        mm("gear", gear(), None),
        DemoMesh {
            format: DemoFormat::AsciiStl,
            ..mm("latch", latch(), Some(6.0 * latch_area))
        },
        mm(
            "ring",
            ring(),
            Some(5.0 * (polygon_area(20.0, 96) - polygon_area(17.0, 96))),
        ),
        mm("hinge", hinge(), None),
        mm("nozzle", nozzle(), Some(turned * polygon_area(1.0, 64))),
        DemoMesh {
            unit: DemoUnit::Inch,
            ..mm(
                "lever",
                lever(),
                Some(4.0 * lever_area + 9.0 * polygon_area(4.2, 48) - 21.0 * polygon_area(2.0, 48)),
            )
        },
        mm(
            "ribbed_plate",
            ribbed_plate(),
            Some(60.0 * 40.0 * 3.0 + 3.0 * 56.0 * 3.0 * 6.0),
        ),
    ]
}

/// L-bracket, 45 x 30 mm base 4 mm thick with two 6 mm holes, flange 5 mm thick and 15 mm high.
pub fn bracket() -> Vec<Triangle> {
    let mut out = Vec::new();
    let holes = [circle([17.0, 15.0], 3.0, 48), circle([35.0, 15.0], 3.0, 48)];
    // The L as (z, x), swept along y.
    let section = [
        [0.0, 0.0],
        [15.0, 0.0],
        [15.0, 5.0],
        [4.0, 5.0],
        [4.0, 45.0],
        [0.0, 45.0],
    ];
    face(&mut out, &section, &[], 0.0, false, Along::Y);
    face(&mut out, &section, &[], 30.0, true, Along::Y);
    walls(&mut out, &section[..4], 0.0, 30.0, Along::Y);
    walls(&mut out, &section[4..], 0.0, 30.0, Along::Y);
    // The two faces with holes are made in plan.
    face(
        &mut out,
        &rectangle(0.0, 0.0, 45.0, 30.0),
        &holes,
        0.0,
        false,
        Along::Z,
    );
    face(
        &mut out,
        &rectangle(5.0, 0.0, 45.0, 30.0),
        &holes,
        4.0,
        true,
        Along::Z,
    );
    for hole in &holes {
        loop_walls(&mut out, &reversed(hole), 0.0, 4.0, Along::Z);
    }
    out
}

/// Outline (mm) of a spur gear, module 1.5, 24 teeth, pressure angle 20°, no profile shift, no
/// backlash, sharp root. Basic rack of ISO 53: addendum 1.0 m, dedendum 1.25 m (from memory). The
/// flank is the involute of the base circle; below the base circle it goes straight to the root.
pub fn gear_outline() -> Vec<Point> {
    const MODULE: f64 = 1.5;
    const TEETH: usize = 24;
    const STEPS: usize = 6;
    let pressure = 20.0 * PI / 180.0;
    let pitch_r = MODULE * TEETH as f64 / 2.0;
    let (tip_r, root_r) = (pitch_r + MODULE, pitch_r - 1.25 * MODULE);
    let base_r = pitch_r * libm::cos(pressure);
    // Half the angle a tooth takes at the base circle: π / 2z at the pitch circle, plus inv α.
    let base_half = PI / (2.0 * TEETH as f64) + libm::tan(pressure) - pressure;
    // With t = tan α the involute is r = r_b sqrt(1 + t²), inv α = t - atan t.
    let t_end = ((tip_r / base_r) * (tip_r / base_r) - 1.0).sqrt();
    let mut flank = vec![(root_r, base_half)];
    for step in 0..=STEPS {
        let t = t_end * step as f64 / STEPS as f64;
        flank.push((base_r * (1.0 + t * t).sqrt(), base_half - t + libm::atan(t)));
    }
    let pitch_angle = 2.0 * PI / TEETH as f64;
    let mut outline = Vec::new();
    for tooth in 0..TEETH {
        let middle = pitch_angle * tooth as f64;
        outline.extend(flank.iter().map(|&(r, half)| polar(r, middle - half)));
        outline.push(polar(tip_r, middle));
        outline.extend(flank.iter().rev().map(|&(r, half)| polar(r, middle + half)));
        let gap = pitch_angle - 2.0 * base_half;
        outline
            .extend((1..3).map(|k| polar(root_r, middle + base_half + gap * f64::from(k) / 3.0)));
    }
    outline
}

/// The gear of [`gear_outline`], 8 mm thick, 16 mm bore.
pub fn gear() -> Vec<Triangle> {
    extrude(&gear_outline(), &[circle([0.0, 0.0], 8.0, 64)], 0.0, 8.0)
}

/// Latch, an L of 7 mm arms in plan, 32 x 22 x 6 mm, with a 5 mm pivot bore and a 3 mm bevelled nose.
pub fn latch() -> Vec<Triangle> {
    let outline = [
        [0.0, 0.0],
        [32.0, 0.0],
        [32.0, 7.0],
        [7.0, 7.0],
        [7.0, 22.0],
        [3.0, 22.0],
        [0.0, 19.0],
    ];
    extrude(&outline, &[circle([27.0, 3.5], 2.5, 48)], 0.0, 6.0)
}

/// Thin ring, outside diameter 40, inside 34, height 5 mm.
pub fn ring() -> Vec<Triangle> {
    extrude(
        &circle([0.0, 0.0], 20.0, 96),
        &[circle([0.0, 0.0], 17.0, 96)],
        0.0,
        5.0,
    )
}

/// Hinge leaf: plate 40 x 20 x 3 mm with two 12 mm knuckles, outside diameter 7, 3 mm bore along x.
pub fn hinge() -> Vec<Triangle> {
    const R: f64 = 3.5;
    let centre = [-4.0, R];
    let bore = circle(centre, 1.5, 48);
    // Where the top of the plate (z = 3) meets the barrel.
    let start = libm::asin((3.0 - R) / R);
    let end = 1.5 * PI;
    // Sections as (y, z), swept along x. The barrel's lowest line lies on z = 0.
    let mut knuckle = vec![[0.0, 0.0], [0.0, 3.0]];
    knuckle.extend((0..48).map(|k| {
        let [y, z] = polar(R, start + (end - start) * f64::from(k) / 48.0);
        [centre[0] + y, centre[1] + z]
    }));
    knuckle.push([centre[0], 0.0]);
    let plate = [[0.0, 0.0], [20.0, 0.0], [20.0, 3.0], [0.0, 3.0]];
    let mut whole = plate.to_vec();
    whole.extend_from_slice(&knuckle[2..]);

    let mut out = Vec::new();
    for (from, to) in [(0.0, 12.0), (28.0, 40.0)] {
        loop_walls(&mut out, &whole, from, to, Along::X);
        loop_walls(&mut out, &reversed(&bore), from, to, Along::X);
    }
    loop_walls(&mut out, &plate, 12.0, 28.0, Along::X);
    let bores = [bore];
    face(&mut out, &whole, &bores, 0.0, false, Along::X);
    face(&mut out, &knuckle, &bores, 12.0, true, Along::X);
    face(&mut out, &knuckle, &bores, 28.0, false, Along::X);
    face(&mut out, &whole, &bores, 40.0, true, Along::X);
    out
}

/// Turned nozzle, 24 mm high on a 22 mm flange: body, cone, and a stepped conical bore through.
pub fn nozzle() -> Vec<Triangle> {
    // (r, z), counter-clockwise.
    let profile = [
        [5.0, 0.0],
        [11.0, 0.0],
        [11.0, 4.0],
        [8.0, 4.0],
        [8.0, 12.0],
        [4.0, 24.0],
        [1.5, 24.0],
        [1.5, 18.0],
        [5.0, 10.0],
    ];
    revolve(&profile, 64)
}

/// Bent lever: arms 30 and 22 mm long at 120°, 10 mm wide and 4 mm thick, three bosses 7 mm high.
pub fn lever() -> Vec<Triangle> {
    const HALF: f64 = 5.0;
    let degrees = |a: f64| a * PI / 180.0;
    let far = polar(22.0, degrees(120.0));
    let centres = [[0.0, 0.0], [30.0, 0.0], far];
    let arc = |c: Point, from: f64, steps: u32| {
        (0..=steps).map(move |k| {
            let [x, y] = polar(HALF, degrees(from + 7.5 * f64::from(k)));
            [c[0] + x, c[1] + y]
        })
    };
    let mut outline: Vec<Point> = arc(centres[1], -90.0, 24).collect();
    outline.push(polar(HALF / libm::sin(degrees(60.0)), degrees(60.0)));
    outline.extend(arc(far, 30.0, 24));
    outline.extend(arc(centres[0], 210.0, 8));

    let bosses = centres.map(|c| circle(c, 4.2, 48));
    let bores = centres.map(|c| circle(c, 2.0, 48));
    let mut out = Vec::new();
    face(&mut out, &outline, &bores, 0.0, false, Along::Z);
    loop_walls(&mut out, &outline, 0.0, 4.0, Along::Z);
    face(&mut out, &outline, &bosses, 4.0, true, Along::Z);
    for (boss, bore) in bosses.iter().zip(&bores) {
        loop_walls(&mut out, boss, 4.0, 7.0, Along::Z);
        face(
            &mut out,
            boss,
            core::slice::from_ref(bore),
            7.0,
            true,
            Along::Z,
        );
        loop_walls(&mut out, &reversed(bore), 0.0, 7.0, Along::Z);
    }
    out
}

/// Plate 60 x 40 x 3 mm with three ribs, each 56 x 3 mm and 6 mm high above the plate.
pub fn ribbed_plate() -> Vec<Triangle> {
    let plate = rectangle(0.0, 0.0, 60.0, 40.0);
    let ribs = [8.0, 20.0, 32.0].map(|y| rectangle(2.0, y - 1.5, 58.0, y + 1.5));
    let mut out = Vec::new();
    face(&mut out, &plate, &[], 0.0, false, Along::Z);
    loop_walls(&mut out, &plate, 0.0, 3.0, Along::Z);
    face(&mut out, &plate, &ribs, 3.0, true, Along::Z);
    for rib in &ribs {
        loop_walls(&mut out, rib, 3.0, 9.0, Along::Z);
        face(&mut out, rib, &[], 9.0, true, Along::Z);
    }
    out
}

/// Binary STL of `triangles`: 84 + 50 n bytes, unit normals, attribute bytes zero.
pub fn binary_stl(triangles: &[Triangle]) -> Vec<u8> {
    let mut header = [0_u8; 80];
    let title = b"demo part of an invented shop";
    header[..title.len()].copy_from_slice(title);
    let mut bytes = header.to_vec();
    bytes.extend_from_slice(&(triangles.len() as u32).to_le_bytes());
    for triangle in triangles {
        for value in core::iter::once(normal(triangle))
            .chain(*triangle)
            .flatten()
        {
            bytes.extend_from_slice(&(value as f32).to_le_bytes());
        }
        bytes.extend_from_slice(&[0, 0]);
    }
    bytes
}

/// ASCII STL of `triangles`, six decimals, one solid called `name`.
pub fn ascii_stl(name: &str, triangles: &[Triangle]) -> Vec<u8> {
    // Adding 0.0 keeps "-0.000000" out of the file.
    let line = |p: [f64; 3]| {
        let [x, y, z] = p.map(|c| libm::round(c * 1e6) / 1e6 + 0.0);
        format!("{x:.6} {y:.6} {z:.6}\n")
    };
    let mut text = format!("solid {name}\n");
    for triangle in triangles {
        text += &format!("  facet normal {}    outer loop\n", line(normal(triangle)));
        for point in triangle {
            text += &format!("      vertex {}", line(*point));
        }
        text += "    endloop\n  endfacet\n";
    }
    text += &format!("endsolid {name}\n");
    text.into_bytes()
}

fn normal([a, b, c]: &Triangle) -> [f64; 3] {
    let (u, v) = (
        [0, 1, 2].map(|i| b[i] - a[i]),
        [0, 1, 2].map(|i| c[i] - a[i]),
    );
    let n = [
        u[1] * v[2] - u[2] * v[1],
        u[2] * v[0] - u[0] * v[2],
        u[0] * v[1] - u[1] * v[0],
    ];
    let length = (n[0] * n[0] + n[1] * n[1] + n[2] * n[2]).sqrt();
    n.map(|c| c / length)
}

fn polar(r: f64, angle: f64) -> Point {
    [r * libm::cos(angle), r * libm::sin(angle)]
}

fn rectangle(x0: f64, y0: f64, x1: f64, y1: f64) -> Vec<Point> {
    vec![[x0, y0], [x1, y0], [x1, y1], [x0, y1]]
}

/// Regular polygon of `n` vertices on the circle, counter-clockwise.
fn circle(centre: Point, r: f64, n: usize) -> Vec<Point> {
    let turn = |k: usize| polar(r, 2.0 * PI * k as f64 / n as f64);
    (0..n)
        .map(turn)
        .map(|[x, y]| [centre[0] + x, centre[1] + y])
        .collect()
}

/// Area (mm²) of a regular polygon of `n` vertices on a circle of radius `r`.
fn polygon_area(r: f64, n: usize) -> f64 {
    0.5 * n as f64 * r * r * libm::sin(2.0 * PI / n as f64)
}

fn reversed(points: &[Point]) -> Vec<Point> {
    points.iter().rev().copied().collect()
}

/// The axis a section is swept along; a section's (u, v) are the next two axes in cyclic order.
#[derive(Clone, Copy)]
enum Along {
    X,
    Y,
    Z,
}

impl Along {
    fn place(self, [u, v]: Point, w: f64) -> [f64; 3] {
        match self {
            Along::X => [w, u, v],
            Along::Y => [v, w, u],
            Along::Z => [u, v, w],
        }
    }
}

/// Closed prism between `w0` and `w1` along z.
fn extrude(outer: &[Point], holes: &[Vec<Point>], w0: f64, w1: f64) -> Vec<Triangle> {
    let mut out = Vec::new();
    face(&mut out, outer, holes, w0, false, Along::Z);
    face(&mut out, outer, holes, w1, true, Along::Z);
    loop_walls(&mut out, outer, w0, w1, Along::Z);
    for hole in holes {
        loop_walls(&mut out, &reversed(hole), w0, w1, Along::Z);
    }
    out
}

/// Flat face at `w`, looking towards +w when `up`.
fn face(
    out: &mut Vec<Triangle>,
    outer: &[Point],
    holes: &[Vec<Point>],
    w: f64,
    up: bool,
    along: Along,
) {
    for [a, b, c] in triangulate(outer, holes) {
        let (b, c) = if up { (b, c) } else { (c, b) };
        out.push([a, b, c].map(|p| along.place(p, w)));
    }
}

/// Upright faces along an open path; the body lies to the left of the path.
fn walls(out: &mut Vec<Triangle>, path: &[Point], w0: f64, w1: f64, along: Along) {
    for pair in path.windows(2) {
        let at = |end: usize, w: f64| along.place(pair[end], w);
        out.push([at(0, w0), at(1, w0), at(1, w1)]);
        out.push([at(0, w0), at(1, w1), at(0, w1)]);
    }
}

fn loop_walls(out: &mut Vec<Triangle>, points: &[Point], w0: f64, w1: f64, along: Along) {
    let mut closed = points.to_vec();
    closed.extend(points.first());
    walls(out, &closed, w0, w1, along);
}

/// Body of revolution about z from a counter-clockwise (r, z) profile that keeps off the axis.
fn revolve(profile: &[Point], n: usize) -> Vec<Triangle> {
    let unit = circle([0.0, 0.0], 1.0, n);
    let mut out = Vec::new();
    for (k, &here) in unit.iter().enumerate() {
        let next = unit[(k + 1) % n];
        for (i, &a) in profile.iter().enumerate() {
            let b = profile[(i + 1) % profile.len()];
            let at = |[r, z]: Point, [c, s]: Point| [r * c, r * s, z];
            out.push([at(a, next), at(b, next), at(b, here)]);
            out.push([at(a, next), at(b, here), at(a, here)]);
        }
    }
    out
}

/// Twice the area of a-b-c, positive when counter-clockwise.
fn turn(a: Point, b: Point, c: Point) -> f64 {
    (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
}

/// Ear clipping of a counter-clockwise outline with counter-clockwise holes; adds no points.
fn triangulate(outer: &[Point], holes: &[Vec<Point>]) -> Vec<[Point; 3]> {
    let mut ring = outer.to_vec();
    for (k, hole) in holes.iter().enumerate() {
        ring = joined(&ring, hole, &holes[k + 1..]);
    }
    let mut out = Vec::new();
    let (mut at, mut missed) = (0, 0);
    while ring.len() > 2 {
        let n = ring.len();
        let ear = [ring[(at + n - 1) % n], ring[at % n], ring[(at + 1) % n]];
        let [a, b, c] = ear;
        let holds = |p: &Point| {
            !ear.contains(p)
                && turn(a, b, *p) >= 0.0
                && turn(b, c, *p) >= 0.0
                && turn(c, a, *p) >= 0.0
        };
        if turn(a, b, c) > 0.0 && !ring.iter().any(holds) {
            out.push(ear);
            ring.remove(at % n);
            missed = 0;
        } else {
            missed += 1;
            assert!(missed <= n, "a demo outline crosses itself");
        }
        // Going on to the next vertex, not back to the same one, keeps the slivers few.
        at = (at + 1) % ring.len();
    }
    out
}

/// `ring` with `hole` let in through the shortest bridge that crosses nothing.
fn joined(ring: &[Point], hole: &[Point], later: &[Vec<Point>]) -> Vec<Point> {
    let edges = |points: &[Point]| -> Vec<[Point; 2]> {
        let next = points.iter().cycle().skip(1);
        points.iter().zip(next).map(|(a, b)| [*a, *b]).collect()
    };
    let mut barriers = edges(ring);
    barriers.extend(edges(hole));
    barriers.extend(later.iter().flat_map(|h| edges(h)));
    let mut best: Option<(f64, usize, usize)> = None;
    for (i, p) in ring.iter().enumerate() {
        // A vertex that already carries a bridge stands twice in the ring; leave it alone.
        if ring.iter().filter(|q| *q == p).count() > 1 {
            continue;
        }
        for (j, q) in hole.iter().enumerate() {
            let length = libm::hypot(p[0] - q[0], p[1] - q[1]);
            let shorter = best.is_none_or(|(d, ..)| length < d);
            let blocked = |[a, b]: &[Point; 2]| {
                ![p, q].contains(&a)
                    && ![p, q].contains(&b)
                    && turn(*p, *q, *a) * turn(*p, *q, *b) <= 0.0
                    && turn(*a, *b, *p) * turn(*a, *b, *q) <= 0.0
            };
            if shorter && !barriers.iter().any(blocked) {
                best = Some((length, i, j));
            }
        }
    }
    assert!(best.is_some(), "a demo hole lies outside its outline");
    let (_, i, j) = best.unwrap_or_default();
    let mut out = ring[..=i].to_vec();
    // Clockwise round the hole, back to where it began, and out again.
    out.extend((0..=hole.len()).map(|k| hole[(j + hole.len() - k % hole.len()) % hole.len()]));
    out.extend_from_slice(&ring[i..]);
    out
}
