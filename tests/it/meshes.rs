//! The demo meshes: closed, outward, of the right volume, and the same bytes everywhere.

use std::collections::BTreeMap;
use std::f64::consts::PI;

use setterwright::files::stl::{StlFormat, read_stl};
use sha2::{Digest, Sha256};

use crate::demo_meshes::{self, DemoFormat, DemoMesh, DemoUnit, Triangle};

/// Signed volume by the divergence theorem: positive when the faces look outward.
fn volume(triangles: &[Triangle]) -> f64 {
    let sixth = |[a, b, c]: &Triangle| {
        a[0] * (b[1] * c[2] - b[2] * c[1])
            + a[1] * (b[2] * c[0] - b[0] * c[2])
            + a[2] * (b[0] * c[1] - b[1] * c[0])
    };
    triangles.iter().map(sixth).sum::<f64>() / 6.0
}

/// Every directed edge once, its reverse once, no triangle without area.
fn assert_closed(name: &str, triangles: &[Triangle]) {
    let key = |p: [f64; 3]| p.map(|c| (c + 0.0).to_bits());
    let mut edges = BTreeMap::new();
    for t in triangles {
        for i in 0..3 {
            let edge = (key(t[i]), key(t[(i + 1) % 3]));
            assert_ne!(edge.0, edge.1, "{name}: {t:?}");
            *edges.entry(edge).or_insert(0) += 1;
        }
        let [u, v] = [1, 2].map(|k| [0, 1, 2].map(|i| t[k][i] - t[0][i]));
        let cross = [
            u[1] * v[2] - u[2] * v[1],
            u[2] * v[0] - u[0] * v[2],
            u[0] * v[1] - u[1] * v[0],
        ];
        assert!(cross.iter().any(|c| c.abs() > 1e-6), "{name}: {t:?}");
    }
    for ((from, to), count) in &edges {
        assert_eq!(*count, 1, "{name}: an edge is used twice");
        assert_eq!(
            edges.get(&(*to, *from)),
            Some(&1),
            "{name}: an edge is open"
        );
    }
}

/// Pieces joined by shared vertices.
fn pieces(triangles: &[Triangle]) -> usize {
    let mut labels: BTreeMap<[u64; 3], usize> = BTreeMap::new();
    let key = |p: [f64; 3]| p.map(|c| (c + 0.0).to_bits());
    for t in triangles {
        for p in t {
            let next = labels.len();
            labels.entry(key(*p)).or_insert(next);
        }
    }
    let mut parent: Vec<usize> = (0..labels.len()).collect();
    let root = |parent: &[usize], mut i: usize| {
        while parent[i] != i {
            i = parent[i];
        }
        i
    };
    for t in triangles {
        let [a, b, c] = t.map(|p| root(&parent, labels[&key(p)]));
        let low = a.min(b).min(c);
        (parent[a], parent[b], parent[c]) = (low, low, low);
    }
    (0..parent.len()).filter(|i| parent[*i] == *i).count()
}

fn extent(triangles: &[Triangle]) -> [[f64; 2]; 3] {
    [0, 1, 2].map(|axis| {
        let values = triangles.as_flattened().iter().map(|p| p[axis]);
        [
            values.clone().fold(f64::INFINITY, f64::min),
            values.fold(f64::NEG_INFINITY, f64::max),
        ]
    })
}

fn mesh(name: &str) -> DemoMesh {
    let found = demo_meshes::all().into_iter().find(|m| m.name == name);
    found.unwrap_or_else(|| unreachable!("{name} is one of the eight"))
}

#[test]
fn every_mesh_is_one_closed_outward_body_on_the_ground() {
    let all = demo_meshes::all();
    assert_eq!(all.len(), 8);
    for m in &all {
        assert_closed(m.name, &m.triangles);
        assert_eq!(pieces(&m.triangles), 1, "{}", m.name);
        assert!(volume(&m.triangles) > 0.0, "{}", m.name);
        assert_eq!(extent(&m.triangles)[2][0], 0.0, "{}", m.name);
    }
}

/// V - E + F = 2 - 2g: g is the number of through holes, counted on the drawing.
#[test]
fn through_holes_by_the_euler_number() {
    let holes = [
        ("bracket", 2),
        ("gear", 1),
        ("latch", 1),
        ("ring", 1),
        ("hinge", 2),
        ("nozzle", 1),
        ("lever", 3),
        ("ribbed_plate", 0),
    ];
    for (name, genus) in holes {
        let triangles = mesh(name).triangles;
        let points: std::collections::BTreeSet<_> = triangles
            .as_flattened()
            .iter()
            .map(|p| p.map(|c| (c + 0.0).to_bits()))
            .collect();
        // A closed triangle mesh has 3F/2 edges.
        let euler = points.len() as i64 - (triangles.len() / 2) as i64;
        assert_eq!(euler, 2 - 2 * genus, "{name}");
    }
}

#[test]
fn volumes_by_closed_form() {
    let mut with = Vec::new();
    for m in demo_meshes::all() {
        if let Some(closed) = m.closed_form_volume {
            let got = volume(&m.triangles);
            assert!(
                (got - closed).abs() < 1e-9 * closed,
                "{}: {got} {closed}",
                m.name
            );
            with.push(m.name);
        }
    }
    assert_eq!(
        with,
        [
            "bracket",
            "latch",
            "ring",
            "nozzle",
            "lever",
            "ribbed_plate"
        ]
    );
}

/// True circles in the drawings' dimensions, worked by hand; the facets take less than 0.4 %.
#[test]
fn volumes_by_hand_with_true_circles() {
    let hand = [
        // 45*30*4 + 5*30*11 - 2 holes π 3² 4
        ("bracket", 7050.0 - 226.19),
        // (32*7 + 7*15 - 4.5 - π 2.5²) * 6
        ("latch", 1947.0 - 117.81),
        // π (20² - 17²) 5
        ("ring", 1743.58),
        // Plate 40*20*3 = 2400. One knuckle section: web 4*3 = 12, barrel π 3.5² = 38.485, less
        // their overlap 7.877 (∫ sqrt(3.5² - u²) du, u = 0.5..3.5), less bore π 1.5² = 7.069:
        // 35.539, times 24 mm.
        ("hinge", 3252.93),
        // Outside π (11²*4 + 8²*8 + 12 (8² + 8*4 + 4²)/3) = π 1444; bore
        // π (5²*10 + 8 (5² + 5*1.5 + 1.5²)/3 + 1.5²*6) = π 356.17.
        ("nozzle", 3417.57),
        // Outline 10 (30 + 22) + π 5² + bend 25 (π/6 - tan 30°) = 597.20, times 4; bosses
        // 3 π 4.2² 3 = 498.76; bores 3 π 2² 7 = 263.89.
        ("lever", 2623.66),
        ("ribbed_plate", 10_224.0),
    ];
    for (name, expected) in hand {
        let got = volume(&mesh(name).triangles);
        assert!(
            (got - expected).abs() < 0.004 * expected,
            "{name}: {got} {expected}"
        );
    }
}

#[test]
fn sizes_on_the_drawing() {
    let sizes = [
        ("bracket", [45.0, 30.0, 15.0]),
        // Teeth lie on all four axes: 24 is divisible by 4. Tip diameter 1.5 (24 + 2).
        ("gear", [39.0, 39.0, 8.0]),
        ("latch", [32.0, 22.0, 6.0]),
        ("ring", [40.0, 40.0, 5.0]),
        // Barrel centre at y = -4, radius 3.5; a polygon need not have a vertex at its very edge.
        ("hinge", [40.0, 27.5, 7.0]),
        ("nozzle", [22.0, 22.0, 24.0]),
        // x: 22 cos 60° + 5 + 30 + 5; y: 5 + 22 sin 60° + 5.
        ("lever", [51.0, 29.053, 7.0]),
        ("ribbed_plate", [60.0, 40.0, 9.0]),
    ];
    for (name, size) in sizes {
        let got = extent(&mesh(name).triangles).map(|[low, high]| high - low);
        for axis in 0..3 {
            assert!((got[axis] - size[axis]).abs() < 0.02, "{name}: {got:?}");
        }
    }
}

#[test]
fn gear_area_and_flanks() {
    let outline = demo_meshes::gear_outline();
    let next = |i: usize| outline[(i + 1) % outline.len()];
    let shoelace = |i: usize| outline[i][0] * next(i)[1] - next(i)[0] * outline[i][1];
    let area = (0..outline.len()).map(shoelace).sum::<f64>() / 2.0;

    // Between the root circle (15.75 + 0.375 = 16.125) and the tip circle (19.5).
    assert!(area > PI * 16.125_f64.powi(2) && area < PI * 19.5_f64.powi(2));

    // Independent of the outline: root disc plus 24 teeth, each the integral of its arc length
    // over the radius, midpoint rule. Tooth half-angle at r: π/2z + inv 20° - inv α(r).
    let base_r = 18.0 * 20.0_f64.to_radians().cos();
    let inv = |a: f64| a.tan() - a;
    let half = |r: f64| {
        let a = (base_r / r.max(base_r)).acos();
        PI / 48.0 + inv(20.0_f64.to_radians()) - inv(a)
    };
    let (steps, width) = (20_000, 19.5 - 16.125);
    let teeth: f64 = (0..steps)
        .map(|k| 16.125 + width * (f64::from(k) + 0.5) / f64::from(steps))
        .map(|r| 24.0 * 2.0 * half(r) * r * width / f64::from(steps))
        .sum();
    let expected = PI * 16.125 * 16.125 + teeth;
    assert!(
        (area - expected).abs() < 1e-3 * expected,
        "{area} {expected}"
    );

    // The mesh is that outline, 8 mm thick, less the 64-sided bore.
    let bore = 32.0 * 64.0 * (PI / 32.0).sin();
    let got = volume(&mesh("gear").triangles);
    assert!((got - 8.0 * (area - bore)).abs() < 1e-8 * got, "{got}");

    // Every normal of an involute touches the base circle: the perpendicular through the middle of
    // a flank chord passes the centre at the base radius.
    let mut flank_chords = 0;
    for (i, p) in outline.iter().enumerate() {
        let q = next(i);
        let (d, m) = (
            [q[0] - p[0], q[1] - p[1]],
            [(p[0] + q[0]) / 2.0, (p[1] + q[1]) / 2.0],
        );
        let radial = (p[0].hypot(p[1]) - q[0].hypot(q[1])).abs();
        if radial > 0.01 && m[0].hypot(m[1]) > base_r {
            let passes = (d[0] * m[0] + d[1] * m[1]).abs() / d[0].hypot(d[1]);
            assert!((passes - base_r).abs() < 0.02, "chord {i}: {passes}");
            flank_chords += 1;
        }
    }
    assert_eq!(flank_chords, 24 * 2 * 6);
}

#[test]
fn files_read_back_as_the_same_bodies() {
    let mut kinds = Vec::new();
    for m in demo_meshes::all() {
        let file = read_stl(&m.file_bytes()).unwrap();
        let (format, per_unit) = match (m.format, m.unit) {
            (DemoFormat::Binary, DemoUnit::Millimetre) => (StlFormat::Binary, 1.0),
            (DemoFormat::Binary, DemoUnit::Inch) => (StlFormat::Binary, 25.4),
            (DemoFormat::AsciiStl, DemoUnit::Millimetre) => (StlFormat::Ascii, 1.0),
            (DemoFormat::AsciiStl, DemoUnit::Inch) => (StlFormat::Ascii, 25.4),
        };
        assert_eq!((file.format, file.solids, file.notes.len()), (format, 1, 0));
        assert_eq!(file.triangles.len(), m.triangles.len());
        // Rounding to f32 or six decimals must not open an edge.
        assert_closed(m.name, &file.triangles);
        for (read, made) in file
            .triangles
            .as_flattened()
            .iter()
            .zip(m.triangles.as_flattened())
        {
            for axis in 0..3 {
                let off = read[axis] * per_unit - made[axis];
                assert!(off.abs() < 5e-6, "{}: {read:?} {made:?}", m.name);
            }
        }
        kinds.push((m.name, format, per_unit));
    }
    assert!(kinds.contains(&("latch", StlFormat::Ascii, 1.0)));
    assert!(kinds.contains(&("lever", StlFormat::Binary, 25.4)));
}

/// Recorded once from this generator: a change here changes every file in demo-loads/.
#[test]
fn bytes_are_stable() {
    let recorded = [
        ("bracket", 20684, "ec69d858f4ec0525"),
        ("gear", 104084, "ff2b05147302899b"),
        ("latch", 44770, "82072fa6ecf77ccc"),
        ("ring", 38484, "854c27697772c0f7"),
        ("hinge", 40684, "b1d850bd0d6f7a2e"),
        ("nozzle", 57684, "8bf1091b33e2b13e"),
        ("lever", 70084, "5b8496e570b2951d"),
        ("ribbed_plate", 3084, "b8ba090d11914287"),
    ];
    let made = demo_meshes::all().into_iter().map(|m| {
        let bytes = m.file_bytes();
        let digest = Sha256::digest(&bytes);
        let hex: String = digest.iter().take(8).map(|b| format!("{b:02x}")).collect();
        (m.name, bytes.len(), hex)
    });
    let recorded = recorded.map(|(name, length, sha)| (name, length, sha.to_owned()));
    assert_eq!(made.collect::<Vec<_>>(), recorded);
}
