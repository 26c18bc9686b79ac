//! Measures of solids beside closed forms, and one part however it is drawn and written.

use crate::demo_meshes;
use setterwright::files::decode_mesh;
use setterwright::geometry::{Body, Mesh, Outline, Pose, body_gap};
use setterwright::part::{Geometry, MeshUnit, measure_mesh};
use std::f64::consts::PI;

type P3 = [f64; 3];
type Soup = Vec<[P3; 3]>;

fn measured(mesh: &Mesh) -> Geometry {
    let found = measure_mesh(mesh, MeshUnit::Millimetre).unwrap();
    assert_eq!((found.open_edges, found.shells), (0, 1));
    assert_eq!(found.detail.unwrap().crossing_shells, Some(0));
    found
}

fn near(what: &str, found: f64, expected: f64, within: f64) {
    let off = (found - expected).abs();
    assert!(off <= within, "{what}: {found}, expected {expected}");
}

/// The hull of points that lie on a sphere about the origin and whose faces are triangles: all
/// triples with every other point on one side.
fn hull(points: &[P3]) -> Mesh {
    let sub = |a: P3, b: P3| [0, 1, 2].map(|k| a[k] - b[k]);
    let mut soup = Soup::new();
    for i in 0..points.len() {
        for j in 0..points.len() {
            for k in 0..points.len() {
                let [a, b, c] = [i, j, k].map(|i| points[i]);
                let n = cross(sub(b, a), sub(c, a));
                let below = |p: &P3| dot(n, sub(*p, a)) <= 1e-9;
                if i < j && i < k && j != k && points.iter().all(below) {
                    soup.push([a, b, c]);
                }
            }
        }
    }
    Mesh::from_soup(&soup)
}

fn cross(a: P3, b: P3) -> P3 {
    [
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    ]
}

fn dot(a: P3, b: P3) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

/// The four regular solids with triangles or squares for faces, of edge a: volume / a³, area / a²,
/// inertia / (mass · a²), radius of the ball inside / a.
#[test]
fn regular_solids_are_those_of_closed_forms() {
    let signs = [1.0, -1.0];
    let tetrahedron = [
        [1.0, 1.0, 1.0],
        [1.0, -1.0, -1.0],
        [-1.0, 1.0, -1.0],
        [-1.0, -1.0, 1.0],
    ];
    let octahedron: Vec<P3> = (0..3)
        .flat_map(|k| signs.map(|s| [0, 1, 2].map(|i| if i == k { s } else { 0.0 })))
        .collect();
    let golden = (1.0 + 5.0_f64.sqrt()) / 2.0;
    let icosahedron: Vec<P3> = (0..3)
        .flat_map(|k| {
            signs.into_iter().flat_map(move |s| {
                signs.map(move |t| {
                    let mut p = [0.0; 3];
                    (p[(k + 1) % 3], p[(k + 2) % 3]) = (s, t * golden);
                    p
                })
            })
        })
        .collect();
    let (two, three, five) = (2.0_f64.sqrt(), 3.0_f64.sqrt(), 5.0_f64.sqrt());
    let solids: [(&str, &[P3], f64, [f64; 4]); 3] = [
        (
            "tetrahedron",
            &tetrahedron,
            8.0_f64.sqrt(),
            [two / 12.0, three, 0.05, 6.0_f64.sqrt() / 12.0],
        ),
        (
            "octahedron",
            &octahedron,
            two,
            [two / 3.0, 2.0 * three, 0.1, 6.0_f64.sqrt() / 6.0],
        ),
        (
            "icosahedron",
            &icosahedron,
            2.0,
            [
                5.0 * (3.0 + five) / 12.0,
                5.0 * three,
                golden * golden / 10.0,
                golden * golden / (2.0 * three),
            ],
        ),
    ];
    for (name, points, edge, [volume, area, inertia, inside]) in solids {
        // Edge 12 mm, and anywhere.
        let mesh = hull(points)
            .scaled([12.0 / edge; 3])
            .moved([40.0, -70.0, 9.0]);
        let found = measured(&mesh);
        let volume = volume * 12.0_f64.powi(3);
        near(name, found.volume_mm3, volume, 1e-9 * volume);
        near(name, found.area_mm2, area * 144.0, 1e-6);
        let inertia = inertia * volume * 144.0;
        for (k, moment) in found.detail.unwrap().inertia_mm5.into_iter().enumerate() {
            near(
                name,
                moment,
                if k < 3 { inertia } else { 0.0 },
                1e-9 * inertia,
            );
        }
        near(name, found.section_mm.unwrap(), 24.0 * inside, 1e-5);
        for k in 0..3 {
            let centre = [40.0, -70.0, 9.0][k];
            near(
                name,
                found.centroid_mm[k] + found.anchor_mm[k],
                centre,
                1e-9,
            );
        }
    }
}

/// A profile `[radius, height]`, counter-clockwise, turned about z in `n` steps.
fn revolved(profile: &[[f64; 2]], n: usize) -> Mesh {
    let at = |p: [f64; 2], k: usize| {
        let angle = 2.0 * PI * (k % n) as f64 / n as f64;
        [p[0] * angle.cos(), p[0] * angle.sin(), p[1]]
    };
    let mut soup = Soup::new();
    for (i, &p) in profile.iter().enumerate() {
        let q = profile[(i + 1) % profile.len()];
        for k in 0..n {
            let (a, b, c, d) = (at(p, k), at(p, k + 1), at(q, k + 1), at(q, k));
            soup.extend((p[0] > 0.0).then_some([a, b, c]));
            soup.extend((q[0] > 0.0).then_some([a, c, d]));
        }
    }
    Mesh::from_soup(&soup)
}

/// A circle of `m` corners of radius `r` about `[big, r]`, standing on 0.
fn torus(big: f64, r: f64, m: usize, n: usize) -> Mesh {
    let profile: Vec<[f64; 2]> = (0..m)
        .map(|i| {
            let a = 2.0 * PI * (i as f64 + 0.5) / m as f64;
            [big + r * a.cos(), r + r * a.sin()]
        })
        .collect();
    revolved(&profile, n)
}

/// In n steps a profile sweeps n sin(2π/n) times area and middle radius (Pappus, with the sector's
/// triangles for its arcs).
#[test]
fn turned_solids_have_the_volume_and_inertia_of_their_facets() {
    let (n, m) = (48, 24);
    let steps = n as f64 * (2.0 * PI / n as f64).sin();
    let cylinder = measured(&revolved(
        &[[0.0, 0.0], [8.0, 0.0], [8.0, 15.0], [0.0, 15.0]],
        n,
    ));
    let plan = 0.5 * steps * 64.0;
    near("cylinder", cylinder.volume_mm3, plan * 15.0, 1e-7);
    let chord = 2.0 * 8.0 * (PI / n as f64).sin();
    near(
        "cylinder",
        cylinder.area_mm2,
        2.0 * plan + n as f64 * chord * 15.0,
        1e-7,
    );
    // A regular polygon's polar moment: A r² (2 + cos(2π/n)) / 6.
    let polar = plan * 64.0 * (2.0 + (2.0 * PI / n as f64).cos()) / 6.0;
    let [xx, yy, zz, ..] = cylinder.detail.unwrap().inertia_mm5;
    near("cylinder", zz, 15.0 * polar, 1e-7 * zz);
    let across = 0.5 * 15.0 * polar + plan * 15.0_f64.powi(3) / 12.0;
    near("cylinder", xx, across, 1e-7 * xx);
    near("cylinder", yy, across, 1e-7 * yy);
    let cone = measured(&revolved(&[[0.0, 0.0], [8.0, 0.0], [0.0, 15.0]], n));
    near("cone", cone.volume_mm3, plan * 5.0, 1e-7);
    near("cone", cone.centroid_mm[2], 15.0 / 4.0, 1e-9);
    // The ball inside touches floor and flanks at the facets' middles.
    let a = 8.0 * (PI / n as f64).cos();
    let inside = a * 15.0 / (a + a.hypot(15.0));
    near("cone", cone.section_mm.unwrap(), 2.0 * inside, 1e-4);
    let ring = measured(&torus(14.0, 4.0, m, n));
    let circle = 0.5 * m as f64 * (2.0 * PI / m as f64).sin() * 16.0;
    near("torus", ring.volume_mm3, steps * circle * 14.0, 1e-6);
    // Between the circle inscribed in the profile and the profile's own, less what facets cut off.
    let section = ring.section_mm.unwrap();
    assert!((7.8..=8.0).contains(&section), "{section}");
}

/// Turned by an angle about an axis of the frame.
fn turned(mesh: &Mesh, axis: usize, degrees: f64) -> Mesh {
    let (s, c) = degrees.to_radians().sin_cos();
    let mut mesh = mesh.clone();
    for p in &mut mesh.vertices {
        let (i, j) = ((axis + 1) % 3, (axis + 2) % 3);
        (p[i], p[j]) = (c * p[i] - s * p[j], s * p[i] + c * p[j]);
    }
    mesh
}

fn cube(edge: f64) -> Mesh {
    let corner = |i: usize| [0, 1, 2].map(|k| if i >> k & 1 == 1 { edge } else { 0.0 });
    let faces = [
        [0, 2, 3, 1],
        [4, 5, 7, 6],
        [0, 1, 5, 4],
        [2, 6, 7, 3],
        [0, 4, 6, 2],
        [1, 3, 7, 5],
    ];
    let cut = faces
        .iter()
        .flat_map(|[a, b, c, d]| [[*a, *b, *c], [*a, *c, *d]]);
    Mesh::from_soup(&cut.map(|t| t.map(corner)).collect::<Soup>())
}

#[test]
fn the_outline_of_a_small_disc_has_its_own_area() {
    for radius in [0.5, 1.0, 1.5, 2.5] {
        let n = 256;
        let profile = [[0.0, 0.0], [radius, 0.0], [radius, 4.0], [0.0, 4.0]];
        let disc = measured(&revolved(&profile, n));
        let turn = 2.0 * PI / n as f64;
        let exact = 0.5 * n as f64 * radius * radius * turn.sin();
        near("outline", disc.outline_area_mm2(), exact, 1e-4 * exact);
        assert!(disc.outline().area() >= exact * (1.0 - 1e-6));
    }
}

/// An outline holds the shadow and stands at most 0.016 mm outside of it, along its whole rim.
fn shadow(what: &str, mesh: &Mesh, area: f64, rim: f64) {
    let found = measured(mesh).outline().area();
    assert!(
        found >= area * (1.0 - 1e-9) && found <= area + 0.016 * rim + 0.01,
        "{what}: {found}, shadow {area}"
    );
}

#[test]
fn shadows_of_turned_cubes_and_rings_are_those_of_closed_forms() {
    // The shadow of a cube is its face times the sum of what its three normals show of themselves.
    for (x, y) in [(0.0, 0.0), (45.0, 0.0), (30.0, 20.0), (10.0, 80.0)] {
        let mesh = turned(&turned(&cube(10.0), 0, x), 1, y);
        let (x, y) = (f64::to_radians(x), f64::to_radians(y));
        let seen = (y.cos() * x.cos()).abs() + (y.cos() * x.sin()).abs() + y.sin().abs();
        shadow("cube", &mesh, 100.0 * seen, 60.0);
    }
    // On its corner: √3 faces.
    let corner = (1.0 / 2.0_f64.sqrt()).atan().to_degrees();
    let mesh = turned(&turned(&cube(10.0), 0, 45.0), 1, corner);
    shadow("cube on its corner", &mesh, 100.0 * 3.0_f64.sqrt(), 60.0);
    // Lying, a ring: in n and m steps its outer and inner corners stand at R ± r cos(π/m).
    let (big, r, m, n) = (14.0, 4.0, 24, 96);
    let ring = torus(big, r, m, n);
    let out = r * (PI / m as f64).cos();
    let sector = 0.5 * n as f64 * (2.0 * PI / n as f64).sin();
    let lying = sector * ((big + out).powi(2) - (big - out).powi(2));
    shadow("ring lying", &ring, lying, 2.0 * PI * 2.0 * big);
    // On edge, two half discs and what lies between them: 4 R r + π r², less what facets take.
    let edge = turned(&ring, 0, 90.0);
    let round = 4.0 * big * r + PI * r * r;
    let found = measured(&edge).outline().area();
    assert!(
        found <= round + 0.016 * 90.0 && found >= 0.985 * round,
        "{found} {round}"
    );
}

#[test]
fn distances_between_convex_bodies_are_those_worked_by_hand() {
    let block = |w: f64, d: f64, h: f64| Body::prism(Outline::rectangle(w, d), h);
    let gap = |a: &Body, b: &Body, x_mm: f64, y_mm: f64, z_mm: f64, angle_deg: f64| {
        let pose = Pose {
            x_mm,
            y_mm,
            z_mm,
            angle_deg,
        };
        body_gap(a, &Pose::default(), b, &pose, 100.0)
            .unwrap()
            .gap_mm
    };
    let (a, b) = (block(10.0, 10.0, 5.0), block(6.0, 4.0, 7.0));
    // Face to face, edge to edge (3, 4), corner to corner (3, 4, 12): 5² + 12² = 13².
    near("faces", gap(&a, &b, 11.0, 1.0, 0.0, 0.0), 3.0, 1e-12);
    near("edges", gap(&a, &b, 11.0, 11.0, 0.0, 0.0), 5.0, 1e-12);
    near("corners", gap(&a, &b, 11.0, 11.0, 17.0, 0.0), 13.0, 1e-12);
    near("above", gap(&a, &b, 1.0, 2.0, 9.0, 0.0), 4.0, 1e-12);
    // A square on its corner reaches half its diagonal; to a corner along the diagonal its side.
    let half = 5.0 * 2.0_f64.sqrt();
    near(
        "corner to face",
        gap(&a, &a, 20.0, 0.0, 0.0, 45.0),
        15.0 - half,
        1e-12,
    );
    let diagonal = 15.0 * 2.0_f64.sqrt() - half - 5.0;
    near(
        "face to corner",
        gap(&a, &a, 15.0, 15.0, 0.0, 45.0),
        diagonal,
        1e-12,
    );
    // Discs: centres 25 apart (7, 24), radii 10 and 6; polygons around them 0.02 mm outside.
    let (one, other) = (Outline::disc(20.0), Outline::disc(12.0));
    let (one, other) = (Body::prism(one, 3.0), Body::prism(other, 3.0));
    let discs = gap(&one, &other, 7.0, 24.0, 0.0, 0.0);
    assert!((9.0 - 0.04..=9.0).contains(&discs), "{discs}");
    // A hexagon of side 10 stands 10 cos 30° wide at its flats.
    let hexagon: Vec<[f64; 2]> = (0..6)
        .map(|i| {
            let (s, c) = (PI * f64::from(i) / 3.0).sin_cos();
            [10.0 * c, 10.0 * s]
        })
        .collect();
    let hexagon = Body::prism(Outline::polygon(&hexagon).unwrap(), 5.0);
    let flats = 30.0 - 2.0 * 10.0 * (PI / 6.0).cos();
    near(
        "flats",
        gap(&hexagon, &hexagon, 0.0, 30.0, 0.0, 0.0),
        flats,
        1e-9,
    );
    near(
        "corners",
        gap(&hexagon, &hexagon, 30.0, 0.0, 0.0, 0.0),
        10.0,
        1e-9,
    );
}

fn ascii(soup: &Soup) -> Vec<u8> {
    let mut text = String::from("SOLID x\n");
    for triangle in soup {
        text += "Facet Normal 0 0 0 outer loop\n";
        for [x, y, z] in triangle {
            text += &format!("vertex {x} {y} {z}\n");
        }
        text += "endloop endfacet\n";
    }
    (text + "endsolid x\n").into_bytes()
}

fn binary(soup: &Soup) -> Vec<u8> {
    let mut bytes = vec![b' '; 80];
    bytes.extend((soup.len() as u32).to_le_bytes());
    for triangle in soup {
        bytes.extend([0; 12]);
        let flat = triangle.as_flattened().iter();
        bytes.extend(flat.flat_map(|c| (*c as f32).to_le_bytes()));
        bytes.extend([0; 2]);
    }
    bytes
}

/// One part as inches, turned about z, 700 mm away, its triangles in reverse order, as text: the
/// same volume, area, height, section and moments to 1e-7 where nothing is rounded, and to 2e-5
/// where single precision rounds coordinates of 700 mm to 0.00003 mm.
#[test]
fn a_part_is_the_same_however_it_is_drawn_and_written() {
    for demo in demo_meshes::all() {
        let soup = &demo.triangles;
        let inch = |soup: &Soup| -> Soup {
            soup.iter()
                .map(|t| t.map(|p| p.map(|c| c / 25.4)))
                .collect()
        };
        let moved = |p: P3| [p[0] + 700.0, p[1] - 700.0, p[2] + 300.0];
        let moved: Soup = soup.iter().map(|t| t.map(moved)).collect();
        let (s, c) = 33.0_f64.to_radians().sin_cos();
        let turned = |p: P3| [c * p[0] - s * p[1], s * p[0] + c * p[1], p[2]];
        let turned: Soup = soup.iter().map(|t| t.map(turned)).collect();
        let reversed: Soup = soup.iter().rev().copied().collect();
        let all: Soup = moved
            .iter()
            .rev()
            .map(|t| t.map(|p| [-p[1] / 25.4, p[0] / 25.4, p[2] / 25.4]))
            .collect();
        let (mm, inches) = (MeshUnit::Millimetre, MeshUnit::Inch);
        let base = measured(&decode_mesh(&ascii(soup), "stl").unwrap().mesh);
        let ways = [
            ("inch", ascii(&inch(soup)), inches, 1e-7),
            ("turned", ascii(&turned), mm, 1e-7),
            ("moved", ascii(&moved), mm, 1e-7),
            ("reversed", ascii(&reversed), mm, 1e-7),
            ("all of it", ascii(&all), inches, 1e-7),
            ("binary", binary(soup), mm, 2e-6),
            ("binary, moved", binary(&moved), mm, 2e-5),
        ];
        for (way, bytes, unit, share) in ways {
            let name = format!("{}, {way}", demo.name);
            let mesh = decode_mesh(&bytes, "stl").unwrap().mesh;
            let found = measure_mesh(&mesh, unit).unwrap();
            assert_eq!((found.open_edges, found.shells), (0, 1), "{name}");
            let volume = base.volume_mm3;
            near(&name, found.volume_mm3, volume, share * volume);
            near(&name, found.area_mm2, base.area_mm2, share * base.area_mm2);
            near(&name, found.height_mm(), base.height_mm(), share * 100.0);
            near(
                &name,
                found.centroid_mm[2],
                base.centroid_mm[2],
                share * 100.0,
            );
            let footprint = base.footprint.area();
            near(&name, found.footprint.area(), footprint, 1e-4 * footprint);
            // What stands outside of the shadow differs with its corners.
            let outline = base.outline().area();
            near(&name, found.outline().area(), outline, 2e-3 * outline);
            let (own, other) = (found.detail.unwrap(), base.detail.unwrap());
            assert_eq!(own.crossing_shells, Some(0), "{name}");
            // About z, and the sum about all axes: both stay under turns about z.
            let sum = |m: [f64; 6]| m[0] + m[1] + m[2];
            let total = sum(other.inertia_mm5);
            near(&name, sum(own.inertia_mm5), total, 4.0 * share * total);
            near(
                &name,
                own.inertia_mm5[2],
                other.inertia_mm5[2],
                4.0 * share * total,
            );
            // Points are spread over the triangles in their order.
            let section = base.section_mm.unwrap();
            near(&name, found.section_mm.unwrap(), section, 2e-3 * section);
        }
    }
}
