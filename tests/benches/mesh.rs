//! Reading and measuring a large mesh: `cargo bench --bench mesh`.

#![allow(clippy::unwrap_used)]

use divan::{Bencher, black_box};
use setterwright::files::decode_mesh;
use setterwright::geometry::Mesh;
use setterwright::part::{CONTACT_MM, MeshUnit, measure_mesh};
use std::f64::consts::PI;

fn main() {
    divan::main();
}

/// A ball of 30 mm as binary STL: 2 · 708 · 707 = 1 001 112 triangles.
fn million() -> Vec<u8> {
    const N: u32 = 708;
    let at = |i: u32, j: u32| -> [f32; 3] {
        let (polar, turn) = (
            PI * f64::from(i) / f64::from(N),
            2.0 * PI * f64::from(j % N) / f64::from(N),
        );
        // The poles are one point each.
        let flat = if i.is_multiple_of(N) {
            0.0
        } else {
            libm::sin(polar)
        };
        let p = [
            flat * libm::cos(turn),
            flat * libm::sin(turn),
            -libm::cos(polar),
        ];
        p.map(|c| (15.0 * c) as f32)
    };
    let mut triangles = Vec::new();
    for i in 0..N {
        for j in 0..N {
            let (a, b, c, d) = (at(i, j), at(i, j + 1), at(i + 1, j + 1), at(i + 1, j));
            if i > 0 {
                triangles.push([a, b, c]);
            }
            if i + 1 < N {
                triangles.push([a, c, d]);
            }
        }
    }
    let mut bytes = vec![0_u8; 80];
    bytes.extend((triangles.len() as u32).to_le_bytes());
    for triangle in triangles {
        bytes.extend([0_u8; 12]);
        bytes.extend(triangle.as_flattened().iter().flat_map(|c| c.to_le_bytes()));
        bytes.extend([0, 0]);
    }
    bytes
}

fn mesh() -> Mesh {
    decode_mesh(&million(), "stl").unwrap().mesh
}

#[divan::bench(sample_count = 3, sample_size = 1)]
fn read(bencher: Bencher) {
    let bytes = million();
    bencher.bench_local(|| decode_mesh(black_box(&bytes), "stl").unwrap());
}

#[divan::bench(sample_count = 3, sample_size = 1)]
fn health(bencher: Bencher) {
    let mesh = mesh();
    bencher.bench_local(|| black_box(&mesh).mended());
}

#[divan::bench(sample_count = 3, sample_size = 1)]
fn sections(bencher: Bencher) {
    let mesh = mesh();
    bencher.bench_local(|| black_box(&mesh).sections());
}

#[divan::bench(sample_count = 3, sample_size = 1)]
fn overhang(bencher: Bencher) {
    let mesh = mesh();
    bencher.bench_local(|| black_box(&mesh).overhang(CONTACT_MM));
}

#[divan::bench(sample_count = 3, sample_size = 1)]
fn all_measures(bencher: Bencher) {
    let mesh = mesh();
    bencher.bench_local(|| measure_mesh(black_box(&mesh), MeshUnit::Millimetre).unwrap());
}
