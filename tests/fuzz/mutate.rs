//! Seeded mutations of good files: the same for the same seed on every machine.

use std::io::{Cursor, Write};
use zip::write::SimpleFileOptions;

/// A generator of numbers (xorshift, seeded apart from zero).
pub struct Rng(u64);

impl Rng {
    /// For a seed.
    pub fn new(seed: u64) -> Rng {
        Rng(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1)
    }

    fn next(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }

    /// Below `n`, 0 for none.
    pub fn below(&mut self, n: usize) -> usize {
        ((self.next() >> 11) % n.max(1) as u64) as usize
    }
}

/// Words that readers may stumble over, whatever the format.
const WORDS: &[&[u8]] = &[
    b"NaN",
    b"inf",
    b"-inf",
    b"1e999",
    b"-1e308",
    b"1e-320",
    b"0",
    b"-1",
    b"4294967295",
    b"18446744073709551616",
    b"-9223372036854775808",
    b"\xFF\xFE",
    b"\xEF\xBB\xBF",
    b"\0",
    b"\r",
    b"\n",
    b"\\\n",
    b"#",
    b"\"",
    b"((((((((((((((((",
    b"[[[[[[[[[[[[[[[[",
    b"<",
    b"/>",
    b"&#x0;",
    b"solid ",
    b"SOLID",
    b"FACET NORMAL",
    b"endsolid",
    b"PK\x03\x04",
    b"PK\x05\x06",
    b"\xFF\xFF\xFF\xFF",
    b"\x7F\xF0\0\0",
    b"\0\0\xC0\x7F",
    b"\0\0\x80\x7F",
];

/// One to eight changes of some bytes: flipped, replaced, left out, doubled, put in, cut off.
pub fn mutate(rng: &mut Rng, bytes: &[u8]) -> Vec<u8> {
    let mut out = bytes.to_vec();
    for _ in 0..=rng.below(8) {
        let at = rng.below(out.len());
        let longest = [2, 8, 64, 512][rng.below(4)];
        let length = 1 + rng.below(longest);
        let end = (at + length).min(out.len());
        match rng.below(9) {
            _ if out.is_empty() => out.push(rng.next() as u8),
            0 => out[at] ^= 1 << rng.below(8),
            1 => out[at] = rng.next() as u8,
            2 => drop(out.drain(at..end)),
            3 => {
                let again = out[at..end].to_vec();
                let to = rng.below(out.len());
                out.splice(to..to, again);
            }
            4 => {
                let word = WORDS[rng.below(WORDS.len())];
                out.splice(at..at, word.iter().copied());
            }
            5 => {
                let word = WORDS[rng.below(WORDS.len())];
                let end = (at + word.len()).min(out.len());
                out.splice(at..end, word.iter().copied());
            }
            6 => out[at..end].make_ascii_uppercase(),
            // A number becomes another.
            7 => {
                let digits = (0..out.len()).cycle().skip(at).take(out.len());
                if let Some(i) = digits.into_iter().find(|i| out[*i].is_ascii_digit()) {
                    out[i] = b'0' + rng.below(10) as u8;
                }
            }
            _ if rng.below(8) == 0 => out.truncate(at),
            _ => out[at..end].reverse(),
        }
    }
    out
}

/// A block with one face drawn as a concave polygon, as OBJ.
pub const OBJ: &str = "# plate\nmtllib x.mtl\no Plate #1\nv 0 0 0\nv 12 0 0\nv 12 9 0\nv 0 9 0\n\
    v 0 0 5\nv 12 0 5\nv 12 9 5\nv 0 9 5\nvn 0 0 1\nusemtl steel\nf 4 3 2 1\nf 5/1/1 6/1/1 7/1/1 \
    8//1\ng side\nf 1 2 6 5\nf -6 -5 -1 -2\nf 2 3 7 \\\n6\nf 4 1 5 8\no\tstar\nv 20 0 0\nv 30 0 0\n\
    v 25 2 0\nv 25 9 0\nv 25 3 8\nf 9 11 10 12\nf 9 12 13\nf 12 10 13\nf 10 11 13\nf 11 9 13\np 1\n";

/// A block as ASCII STL.
pub fn ascii_stl() -> Vec<u8> {
    let mut text = String::from("solid block\n");
    for triangle in triangles() {
        text += "facet normal 0 0 1\n outer loop\n";
        for [x, y, z] in triangle {
            text += &format!("  vertex {x} {y} {z:e}\n");
        }
        text += " endloop\nendfacet\n";
    }
    (text + "endsolid block\n").into_bytes()
}

/// A block as binary STL, of 684 bytes.
pub fn binary_stl() -> Vec<u8> {
    let mut bytes = b"solid but binary".to_vec();
    bytes.resize(80, b' ');
    bytes.extend((triangles().len() as u32).to_le_bytes());
    for triangle in triangles() {
        bytes.extend([0; 12]);
        let flat = triangle.as_flattened().iter();
        bytes.extend(flat.flat_map(|c| (*c as f32).to_le_bytes()));
        bytes.extend([0; 2]);
    }
    bytes
}

fn triangles() -> Vec<[[f64; 3]; 3]> {
    let corner = |i: usize| {
        [12.5, 9.0, 5.0]
            .map(|c| c)
            .into_iter()
            .enumerate()
            .fold([0.0; 3], |mut p, (k, c)| {
                p[k] = if i >> k & 1 == 1 { c } else { 0.0 };
                p
            })
    };
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
    cut.map(|t| t.map(corner)).collect()
}

/// The relationships of a 3MF package.
pub const RELS: &str = r#"<?xml version="1.0"?><Relationships
 xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="r0"
 Target="/3D/a.model" Type="http://schemas.example/3dmanufacturing/2013/01/3dmodel"/></Relationships>"#;

/// A model with a mesh, components of it and their transforms.
pub fn model() -> String {
    let (mut vertices, mut faces) = (String::new(), String::new());
    for (i, triangle) in triangles().iter().enumerate() {
        for [x, y, z] in triangle {
            vertices += &format!(r#"<vertex x="{x}" y="{y}" z="{z}"/>"#);
        }
        let [a, b, c] = [3 * i, 3 * i + 1, 3 * i + 2];
        faces += &format!(r#"<triangle v1="{a}" v2="{b}" v3="{c}"/>"#);
    }
    format!(
        r#"<?xml version="1.0" encoding="UTF-8"?><model unit="millimeter" requiredextensions="p"
 xmlns="http://schemas.example/3dmanufacturing/core/2015/02"
 xmlns:p="http://schemas.example/3dmanufacturing/production/2015/06"><metadata name="t">x</metadata>
<resources><object id="1" name="block"><mesh><vertices>{vertices}</vertices>
<triangles>{faces}</triangles></mesh></object><object id="2"><components>
<component objectid="1" transform="0 1 0 -1 0 0 0 0 1 5 0 0"/><component objectid="1"
 p:path="/3D/a.model" transform="1 0 0 0 1 0 0 0 1 30 0 0"/></components></object></resources>
<build><item objectid="2" partnumber="two"/><item objectid="1"/></build></model>"#
    )
}

/// A package of files, packed or only stored.
pub fn package(files: &[(&str, &[u8])], packed: bool) -> Vec<u8> {
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    let options = SimpleFileOptions::default().compression_method(if packed {
        zip::CompressionMethod::Deflated
    } else {
        zip::CompressionMethod::Stored
    });
    for (name, bytes) in files {
        // Into memory, which takes what it is given.
        let _ = zip.start_file(*name, options);
        let _ = zip.write_all(bytes);
    }
    zip.finish().map(Cursor::into_inner).unwrap_or_default()
}

/// A mutated 3MF package: what is in it, or the package itself.
pub fn mutated_3mf(rng: &mut Rng) -> Vec<u8> {
    let model = model().into_bytes();
    let rels = RELS.as_bytes();
    match rng.below(4) {
        0 => {
            let rels = mutate(rng, rels);
            package(&[("_rels/.rels", &rels), ("3D/a.model", &model)], false)
        }
        1 => {
            let whole = package(&[("_rels/.rels", rels), ("3D/a.model", &model)], true);
            mutate(rng, &whole)
        }
        _ => {
            let model = mutate(rng, &model);
            package(&[("_rels/.rels", rels), ("3D/a.model", &model)], true)
        }
    }
}

/// Edits of most kinds.
pub const SCRIPT: &str = r#"# A load by hand.
load title="Brackets, week 48" furnace=small-vacuum-box start=2026-11-25 note="two levels"
part name=plate block=20x8x4 size=final feedstock=316l-wax section=5.9 oversize=1.1777 mass=57.5g state=green
part name=tube tube=20x8x14 size=green feedstock=316l-wax
part name=mesh mesh=part.stl unit=mm size=final feedstock=316l-wax
lot name=B-4711 part=plate count=60 enters=dry green=3450g dry=3323.6g previous=3323.6g dried=180min
stack at=0,0
level setter=alumina-square-250x6 on=posts post=alumina-post-16x30 at="-100,-112 100,-112 -100,112 100,112"
array part=plate level=1 columns=4 rows=5 pitch=58x40 lot=B-4711 support=alumina-powder-1
repeat-level level=1 times=2
coupon part=plate level=1 label=C1 x=0 y=-112
thermocouple sensor=load-1 level=2 x=0 y=20 height=12
profile name="316L in argon, sections to 6 mm" revision=4 from=25 unload=60
segment rate=3K/min to=150 gas=argon flow=10 pressure=50 note="sweep on" start="pump-down 0.1 mbar"
segment rate=4K/min to=1355 hold=120min gas=argon flow=2 pressure=5 wait=all-load band=5 timeout=120min
segment rate=0.7K/min to=50 gas=argon flow=0 pressure=800 end="operator-check; unload"
declare question=over-temperature-set answer=1375 by="shift lead" on=2026-11-25
"#;

/// A profile of a few segments.
pub const PROFILE: &str = r#"(
  kind: "profile",
  version: 1,
  profile: (
    name: "316L, wax",
    revision: "C",
    start_c: 20.0,
    segments: [(
      id: 1,
      ramp: Rate(
        k_min: 0.5,
      ),
      to_c: 600.0,
      hold_min: 120.0,
      gas: "argon",
      flow_l_min_25c: 5.0,
      pressure_mbar: 30.0,
      events: [(
        at: Start,
        kind: PumpDown(
          to_mbar: 0.01,
        ),
      ), (
        at: Start,
        kind: Backfill(
          gas: "argon",
          to_mbar: 900.0,
        ),
      ), (
        at: Start,
        kind: PurgeInert(
          volumes: 5.0,
        ),
      )],
      note: "Watch the flow meter",
    ), (
      id: 2,
      ramp: Time(
        min: 150.0,
      ),
      to_c: 1360.0,
      hold_min: 90.0,
      wait_on: (
        on: AllLoad,
        band_k: 5.0,
        on_ramp: false,
        on_hold: true,
        on_leave: Pause,
        timeout_min: 60.0,
      ),
      flow_l_min_25c: 0.0,
    ), (
      id: 3,
      ramp: FullRate,
      to_c: 50.0,
      hold_min: 0.0,
      gas: "argon",
      flow_l_min_25c: 5.0,
      pressure_mbar: 30.0,
      events: [(
        at: Start,
        kind: FanOn,
      ), (
        at: End,
        kind: OperatorCheck,
      ), (
        at: End,
        kind: Unload,
      )],
    )],
    unload_c: 60.0,
  ),
)
"#;

/// The STL file of either kind.
pub fn stl_of(seed: u32) -> Vec<u8> {
    if seed.is_multiple_of(2) {
        ascii_stl()
    } else {
        binary_stl()
    }
}

/// A package, or the model to be put in one.
pub fn threemf_of(seed: u32) -> Vec<u8> {
    let model = model().into_bytes();
    if seed.is_multiple_of(4) {
        let rels = RELS.as_bytes();
        return package(&[("_rels/.rels", rels), ("3D/a.model", &model)], true);
    }
    model
}

/// What a fuzzer's mutator does: begins with a good file, and then changes it by turns as we do and
/// as the fuzzer does. Gives the new size.
pub fn in_place(
    data: &mut [u8],
    size: usize,
    most: usize,
    seed: u32,
    good: impl Fn() -> Vec<u8>,
    other: impl Fn(&mut [u8], usize, usize) -> usize,
) -> usize {
    let mut rng = Rng::new(u64::from(seed));
    let new = match rng.below(4) {
        _ if size < 30 => mutate(&mut rng, &good()),
        0 | 1 => mutate(&mut rng, &data[..size]),
        _ => return other(data, size, most),
    };
    let size = new.len().min(most).min(data.len());
    data[..size].copy_from_slice(&new[..size]);
    size
}
