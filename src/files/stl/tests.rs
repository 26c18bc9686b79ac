use super::*;

/// A box-like strip of `n` triangles whose coordinates are exact in f32.
fn soup(n: usize) -> Vec<[[f64; 3]; 3]> {
    (0..n)
        .map(|k| {
            let x = k as f64;
            [[x, 0.0, 0.5], [x + 1.0, 0.25, 0.0], [x, 2.0, -1.75]]
        })
        .collect()
}

fn binary(header: &[u8], count: u32, triangles: &[[[f64; 3]; 3]]) -> Vec<u8> {
    let mut bytes = header.to_vec();
    bytes.resize(80, 0);
    bytes.extend(count.to_le_bytes());
    for t in triangles {
        bytes.extend([0; 12]);
        for c in t.as_flattened() {
            bytes.extend((*c as f32).to_le_bytes());
        }
        bytes.extend([0; 2]);
    }
    bytes
}

fn ascii(name: &str, triangles: &[[[f64; 3]; 3]]) -> String {
    let mut text = format!("solid {name}\n");
    for t in triangles {
        text += "facet normal 0 0 1\n outer loop\n";
        for [x, y, z] in t {
            text += &format!("  vertex {x} {y} {z}\n");
        }
        text += " endloop\nendfacet\n";
    }
    text + &format!("endsolid {name}\n")
}

fn fault(bytes: &[u8]) -> StlFault {
    read_stl(bytes).unwrap_err()
}

#[test]
fn binary_round_trip() {
    let file = read_stl(&binary(b"a part", 7, &soup(7))).unwrap();
    let expected = StlFile {
        triangles: soup(7),
        format: StlFormat::Binary,
        name: Some("a part".to_owned()),
        solids: 1,
        notes: vec![],
    };
    assert_eq!(file, expected);
}

#[test]
fn a_binary_header_that_begins_with_solid_is_still_binary() {
    for header in [&b"solid part"[..], b"solid facet", &[b's'; 80]] {
        let file = read_stl(&binary(header, 3, &soup(3))).unwrap();
        assert_eq!(file.format, StlFormat::Binary);
        assert_eq!(file.triangles, soup(3));
    }
    // Also when the size does not fit: the zero bytes tell it from text.
    let mut long = binary(b"solid part", 3, &soup(3));
    long.extend([0; 3]);
    assert_eq!(
        read_stl(&long).unwrap().notes,
        [StlNote::ExtraBytes { extra: 3 }]
    );
    let short = binary(b"solid part", 4, &soup(3));
    assert!(matches!(
        fault(&short),
        StlFault::MissingBytes { promised: 4, .. }
    ));
}

#[test]
fn ascii_round_trip_keeps_f64() {
    let mut triangles = soup(5);
    // Not representable in f32.
    triangles[0][0][0] = 0.1;
    triangles[4][2][1] = 123.456_789_012_345;
    let file = read_stl(ascii("small part", &triangles).as_bytes()).unwrap();
    let expected = StlFile {
        triangles,
        format: StlFormat::Ascii,
        name: Some("small part".to_owned()),
        solids: 1,
        notes: vec![],
    };
    assert_eq!(file, expected);
}

#[test]
fn ascii_in_every_dress() {
    let plain = ascii("p", &soup(2));
    let expected = read_stl(plain.as_bytes()).unwrap().triangles;
    let dresses = [
        plain.to_uppercase(),
        plain.replace('\n', "\r\n"),
        plain.replace('\n', "\r"),
        plain.replace('\n', "\n\n\t "),
        format!("\u{FEFF}{plain}"),
        format!("\n  {plain}"),
        plain.trim_end().to_owned(),
        plain.replace("0 0 1", "nan -nan(ind) 1.#QNAN"),
        plain.replace("solid p", "solid"),
        plain.replace("solid p", "solid facet normal of endsolid"),
    ];
    for text in dresses {
        assert_eq!(
            read_stl(text.as_bytes()).unwrap().triangles,
            expected,
            "{text:?}"
        );
    }
}

#[test]
fn several_solids_become_one_mesh() {
    let text = ascii("", &soup(2)) + &ascii("second", &soup(3)) + &ascii("third", &[]);
    let file = read_stl(text.as_bytes()).unwrap();
    assert_eq!((file.solids, file.triangles.len()), (3, 5));
    assert_eq!(file.name.as_deref(), Some("second"));
}

#[test]
fn names_are_short_and_printable() {
    let name = |n: &str| read_stl(ascii(n, &soup(1)).as_bytes()).unwrap().name;
    assert_eq!(name(&"x".repeat(5000)).unwrap().len(), 80);
    assert_eq!(name("a\u{1b}[31mb").as_deref(), Some("a[31mb"));
    assert_eq!(name("  \t"), None);
    assert_eq!(read_stl(&binary(b"", 1, &soup(1))).unwrap().name, None);
}

#[test]
fn sizes_are_said_exactly() {
    // 498 triangles of a file that promises 999: 84 + 50 * 999 = 50034; 84 + 50 * 498 + 8 = 24992.
    let mut bytes = binary(b"part", 999, &soup(498));
    bytes.extend([0; 8]);
    let fault = fault(&bytes);
    let expected = StlFault::MissingBytes {
        promised: 999,
        needed: 50_034,
        length: 24_992,
    };
    assert_eq!(fault, expected);
    assert!(fault.to_string().starts_with(
        "the header promises 999 triangles (50034 bytes) but the file has 24992 bytes"
    ));
}

#[test]
fn a_lying_count_is_refused_before_anything_is_allocated() {
    let mut bytes = binary(b"part", u32::MAX, &soup(2));
    bytes.resize(200, 0);
    let expected = StlFault::MissingBytes {
        promised: u32::MAX,
        // 84 + 50 * 4294967295
        needed: 214_748_364_834,
        length: 200,
    };
    assert_eq!(fault(&bytes), expected);
}

#[test]
fn files_that_are_no_stl() {
    assert_eq!(fault(b""), StlFault::Empty);
    assert_eq!(fault(&[0; 83]), StlFault::TooShort { length: 83 });
    assert_eq!(fault(&[0; 84]), StlFault::NoTriangles);
    assert_eq!(fault(b"solid p\nendsolid p\n"), StlFault::NoTriangles);
    let not = |found: &str| StlFault::NotStl {
        found: found.to_owned(),
    };
    assert_eq!(fault(b"# vertices\nv 0 0 0\n"), not("#"));
    assert_eq!(fault(b"  "), not(""));
    assert_eq!(fault(&[b'x'; 5000]), not(&("x".repeat(40) + "…")));
}

#[test]
fn utf16_is_recognised() {
    let text = ascii("p", &soup(2));
    let little: Vec<u8> = text.encode_utf16().flat_map(u16::to_le_bytes).collect();
    let big: Vec<u8> = text.encode_utf16().flat_map(u16::to_be_bytes).collect();
    for bytes in [
        little.clone(),
        big.clone(),
        [&[0xFF, 0xFE][..], &little].concat(),
        [&[0xFE, 0xFF][..], &big].concat(),
        vec![0xFF, 0xFE],
    ] {
        assert_eq!(fault(&bytes), StlFault::Utf16);
    }
    let said = StlFault::Utf16.to_string();
    assert_eq!(
        said,
        "this is UTF-16 text; save the STL as binary or plain ASCII"
    );
}

#[test]
fn coordinates_that_are_not_finite() {
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        let mut triangles = soup(4);
        triangles[2][1][2] = bad;
        let triangle = 3;
        let line = None;
        let bytes = binary(b"p", 4, &triangles);
        assert_eq!(fault(&bytes), StlFault::NotFinite { triangle, line });
        // Line 1 is the solid; each facet takes 7, so facet 3 begins on 16 and its vertices on 18.
        let line = Some(19);
        let text = ascii("p", &triangles);
        assert_eq!(
            fault(text.as_bytes()),
            StlFault::NotFinite { triangle, line }
        );
        // A lone CR and a CR LF are one line end each.
        for ending in ["\r", "\r\n"] {
            let text = text.replace('\n', ending);
            assert_eq!(
                fault(text.as_bytes()),
                StlFault::NotFinite { triangle, line }
            );
        }
    }
    let text = ascii("p", &soup(1)).replace("0.25", "1e999");
    assert!(matches!(
        fault(text.as_bytes()),
        StlFault::NotFinite {
            triangle: 1,
            line: Some(5)
        }
    ));
}

#[test]
fn ascii_faults_name_the_line() {
    let text = ascii("p", &soup(2));
    let said = |from: &str, to: &str| fault(text.replacen(from, to, 1).as_bytes());
    let unexpected = |line, expected, found: &str| StlFault::Unexpected {
        line,
        expected,
        found: found.to_owned(),
    };
    let number = StlFault::NotANumber {
        line: 5,
        triangle: 1,
        found: "0,25".to_owned(),
    };
    assert_eq!(said("0.25", "0,25"), number);
    assert_eq!(
        number.to_string(),
        "line 5: triangle 1 has \"0,25\" where a coordinate belongs; write numbers like 12.5 or \
         1.25e1, with a decimal point"
    );
    let three = |line| StlFault::NotThreeVertices { line, triangle: 1 };
    assert_eq!(said(" endloop", "vertex 0 0 0\n endloop"), three(7));
    assert_eq!(said("  vertex 0 0 0.5\n", ""), three(6));
    assert_eq!(said("normal", "norm"), unexpected(2, "\"normal\"", "norm"));
    assert_eq!(said("outer", "inner"), unexpected(3, "\"outer\"", "inner"));
    assert_eq!(said("loop", "lop"), unexpected(3, "\"loop\"", "lop"));
    assert_eq!(said("  vertex", "  v"), unexpected(4, "\"vertex\"", "v"));
    assert_eq!(said("endloop", "end"), unexpected(7, "\"endloop\"", "end"));
    assert_eq!(said("endfacet", "e"), unexpected(8, "\"endfacet\"", "e"));
    let next = "\"facet\" or \"endsolid\"";
    assert_eq!(said("endsolid", "\u{7}ends"), unexpected(16, next, "ends"));
    let after = "\"solid\" or the end of the file";
    let more = text.clone() + "thanks\n";
    assert_eq!(fault(more.as_bytes()), unexpected(17, after, "thanks"));
    assert_eq!(fault(b"solidus\n"), unexpected(1, after, "solidus"));
    let cut = text.replace("endsolid p\n", "");
    let expected = StlFault::CutOff {
        line: 16,
        expected: next,
    };
    assert_eq!(fault(cut.as_bytes()), expected);
}

#[test]
fn every_sentence_says_what_to_do() {
    let found = String::from("v");
    let (line, triangle, expected, length) = (4, 2, "\"vertex\"", 1);
    let faults = [
        StlFault::Empty,
        StlFault::Utf16,
        StlFault::NotStl {
            found: found.clone(),
        },
        StlFault::TooShort { length },
        StlFault::MissingBytes {
            promised: 1,
            needed: 134,
            length: 100,
        },
        StlFault::NoTriangles,
        StlFault::NotFinite {
            triangle,
            line: None,
        },
        StlFault::NotFinite {
            triangle,
            line: Some(line),
        },
        StlFault::NotANumber {
            line,
            triangle,
            found: found.clone(),
        },
        StlFault::NotThreeVertices { line, triangle },
        StlFault::Unexpected {
            line,
            expected,
            found,
        },
        StlFault::CutOff { line, expected },
    ];
    let todo = ["export", "save", "copy", "repair", "mend", "write"];
    for fault in faults {
        let said = fault.to_string();
        assert!(todo.iter().any(|verb| said.contains(verb)), "{said}");
        assert!(
            !said.contains(" 1 bytes") && !said.contains(" 1 triangles"),
            "{said}"
        );
    }
    let note = StlNote::ExtraBytes { extra: 1 }.to_string();
    assert_eq!(note, "1 byte after the last triangle left unread");
}

#[test]
fn truncation_at_every_length_is_a_fault() {
    let bytes = binary(b"solid-looking", 4, &soup(4));
    for length in 0..bytes.len() {
        assert!(
            read_stl(&bytes[..length]).is_err(),
            "binary, {length} bytes"
        );
    }
    // ASCII is whole from the last letter of "endsolid" on: what follows is only a name.
    let text = ascii("p", &soup(2));
    let whole = text.rfind("endsolid").unwrap() + "endsolid".len();
    for length in 0..text.len() {
        let read = read_stl(&text.as_bytes()[..length]);
        assert_eq!(read.is_ok(), length >= whole, "ASCII, {length} bytes");
    }
}

/// xorshift64* (Vigna): enough to spread mutations, the same on every machine.
struct Seeded(u64);

impl Seeded {
    fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        (self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 33) as usize % n
    }
}

#[test]
fn mutated_files_never_panic() {
    let originals = [
        binary(b"solid part", 9, &soup(9)),
        ascii("part", &soup(9)).into_bytes(),
    ];
    for original in originals {
        let mut seeded = Seeded(0x5EED);
        let (mut read, mut refused) = (0, 0);
        for _ in 0..2000 {
            let mut bytes = original.clone();
            for _ in 0..=seeded.below(4) {
                let at = seeded.below(bytes.len());
                match seeded.below(6) {
                    0 => bytes[at] = seeded.below(256) as u8,
                    1 => bytes[at] ^= 1 << seeded.below(8),
                    2 => bytes.insert(at, seeded.below(256) as u8),
                    3 => bytes.truncate(at + 1),
                    4 => {
                        bytes.remove(at);
                        // Never empty: the next mutation needs a place.
                        bytes.push(b' ');
                    }
                    _ => {
                        let end = (at + seeded.below(40)).min(bytes.len());
                        let copy = bytes[at..end].to_vec();
                        let to = seeded.below(bytes.len());
                        bytes.splice(to..to, copy);
                    }
                }
            }
            match read_stl(&bytes) {
                Ok(file) => {
                    read += 1;
                    // "facet normal 1 1 1 outer loop ..." takes more than 50 bytes too.
                    assert!(file.triangles.len() <= bytes.len() / 50);
                    let values = file.triangles.as_flattened().as_flattened();
                    assert!(!values.is_empty() && values.iter().all(|c| c.is_finite()));
                }
                Err(fault) => {
                    refused += 1;
                    assert!(fault.to_string().len() < 400);
                }
            }
        }
        // Both ways out were taken, so the loop is not beating on one door.
        assert!(read > 50 && refused > 50, "{read} read, {refused} refused");
    }
}
