//! Broken files: each is named in one sentence with its place, and left as it was.

use crate::files_plans::sample;
use setterwright::files::{
    Fault, FileFault, FileKind, Spot, TEXT_CAP, canonical, decode_load, read_load, save_load,
    sha256_hex, working,
};
use setterwright::load::Plan;
use std::fs;
use std::path::Path;
use std::process::Command;
use tempfile::TempDir;

pub const SAMPLE: &str = include_str!("../cases/load-v1.load.ron");

pub fn dir() -> TempDir {
    tempfile::tempdir().unwrap()
}

pub fn decode(text: &str) -> Result<Plan, FileFault> {
    decode_load("x.load.ron", text.as_bytes())
}

/// The sample with one piece of its text replaced, which has to be in it.
pub fn with(old: &str, new: &str) -> String {
    assert!(SAMPLE.contains(old), "{old}");
    SAMPLE.replacen(old, new, 1)
}

fn spot(line: usize, column: usize) -> Option<Spot> {
    Some(Spot { line, column })
}

/// Line and column, from 1, of the first place where a text holds a piece.
fn find(text: &str, piece: &str) -> Option<Spot> {
    let before = &text[..text.find(piece).unwrap()];
    let line = before.matches('\n').count() + 1;
    let column = before.rsplit('\n').next().unwrap().chars().count() + 1;
    spot(line, column)
}

/// FIPS 180-2, appendix B.1: the hash of "abc".
#[test]
fn hashes_are_sha_256() {
    assert_eq!(
        sha256_hex(b"abc"),
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    );
}

/// Each fault in the text itself, with line and column from the text, not from the reader.
#[test]
fn a_bad_text_is_named_in_one_sentence_with_its_place() {
    let unknown = with("furnace: \"small", "colour: \"red\",\n  furnace: \"small");
    let repeated = with("  furnace:", "  title: \"again\",\n  furnace:");
    let misspelt = with("next_id", "nextid");
    let inner = with("mass_g: 2.41", "mas_g: 2.41");
    let wrong = with("next_id: 40", "next_id: \"forty\"");
    let too_big = with("next_id: 40", "next_id: 99999999999");
    let word = with("state: Green", "state: Raw");
    let nan = with("hold_min: 120.0", "hold_min: NaN");
    let infinite = with("to_c: 600.0", "to_c: -inf");
    let beyond = with("mass_g: 2.41", "mass_g: 1e400");
    let missing = with("  furnace: \"small-vacuum-box\",\n", "");
    let cases: Vec<(&str, String, Option<Spot>, &str)> = vec![
        (
            "unknown",
            unknown.clone(),
            find(&unknown, "colour"),
            "there is no field \"colour\"",
        ),
        (
            "repeated",
            repeated.clone(),
            find(&repeated, "title: \"again\""),
            "stands here twice",
        ),
        (
            "misspelt",
            misspelt.clone(),
            find(&misspelt, "nextid"),
            "did you mean next_id?",
        ),
        (
            "inner",
            inner.clone(),
            find(&inner, "mas_g"),
            "did you mean mass_g?",
        ),
        (
            "wrong",
            wrong.clone(),
            find(&wrong, "\"forty\""),
            "wrong kind of value",
        ),
        (
            "too-big",
            too_big.clone(),
            find(&too_big, "99999999999"),
            "wrong kind of value",
        ),
        (
            "word",
            word.clone(),
            find(&word, "Raw"),
            "write one of: Green, Brown, Dry",
        ),
        (
            "nan",
            nan.clone(),
            find(&nan, "NaN"),
            "NaN is not a finite number",
        ),
        (
            "infinite",
            infinite.clone(),
            find(&infinite, "-inf"),
            "-inf is not a finite",
        ),
        (
            "beyond",
            beyond.clone(),
            find(&beyond, "1e400"),
            "1e400 is not a finite",
        ),
        (
            "comma",
            "(kind: \"load\" version: 1)".to_owned(),
            spot(1, 15),
            "expected",
        ),
        (
            "half",
            SAMPLE[..SAMPLE.len() / 2].to_owned(),
            None,
            "cut off",
        ),
        (
            "deep-parts",
            deep("(kind:\"load\",version:1,title:"),
            None,
            "nested deeper",
        ),
        ("missing", missing, None, "the field \"furnace\""),
    ];
    let dir = dir();
    for (name, text, at, says) in cases {
        let path = dir.path().join(format!("{name}.load.ron"));
        fs::write(&path, &text).unwrap();
        let fault = read_load(&path).unwrap_err();
        one_sentence(&fault, &path, says);
        if let Some(at) = at {
            assert_eq!(fault.what.spot(), Some(at), "{name}: {fault}");
            let place = format!("line {}, column {}: ", at.line, at.column);
            assert!(fault.to_string().contains(&place), "{fault}");
        } else {
            assert!(fault.what.spot().is_some(), "{name}: {fault}");
        }
        assert_eq!(fs::read(&path).unwrap(), text.as_bytes(), "{name}");
    }
}

fn deep(head: &str) -> String {
    format!("{head}{}", "[".repeat(100_000))
}

pub fn one_sentence(fault: &FileFault, path: &Path, says: &str) {
    let text = fault.to_string();
    assert!(text.starts_with(&path.display().to_string()), "{text}");
    assert!(text.contains(says), "{text} does not say {says}");
    assert!(text.ends_with(['.', '?']) && !text.contains('\n'), "{text}");
    assert!(text.len() < 700, "{text}");
}

#[test]
fn bytes_that_are_no_such_file_are_named() {
    let utf16: Vec<u8> = SAMPLE.encode_utf16().flat_map(u16::to_le_bytes).collect();
    let marked: Vec<u8> = [0xFF, 0xFE].into_iter().chain(utf16.clone()).collect();
    let mut latin = SAMPLE.as_bytes().to_vec();
    let at = SAMPLE.find("Brackets").unwrap();
    latin[at] = 0xE9;
    let (head, _) = SAMPLE.split_once("\n  title").unwrap();
    let newer = with("version: 1", "version: 7");
    let profile = with("kind: \"load\"", "kind: \"profile\"");
    let backlog = with("kind: \"load\"", "kind: \"backlog\"");
    let recipe = with("kind: \"load\"", "kind: \"recipe\"");
    let cases: Vec<(&str, Vec<u8>, Fault, &str)> = vec![
        ("empty", Vec::new(), Fault::Empty, "it is empty"),
        ("blank", b" \n\t\n".to_vec(), Fault::Empty, "it is empty"),
        ("bom", b"\xEF\xBB\xBF".to_vec(), Fault::Empty, "it is empty"),
        ("utf16", utf16, Fault::Utf16, "UTF-16"),
        ("utf16-marked", marked, Fault::Utf16, "UTF-16"),
        (
            "binary",
            b"\x7fELF\x02\x01\x00\x00".to_vec(),
            Fault::Binary,
            "not a text file",
        ),
        ("latin", latin, Fault::NotUtf8 { byte: at }, "not UTF-8"),
        (
            "newer",
            newer.into_bytes(),
            Fault::Newer {
                version: 7,
                reads: 1,
            },
            "a newer version (7); this one reads up to 1",
        ),
        (
            "zero",
            with("version: 1", "version: 0").into_bytes(),
            Fault::NoSuchVersion(0),
            "never was",
        ),
        (
            "profile",
            profile.into_bytes(),
            other("profile"),
            "this is a profile file, not a load",
        ),
        (
            "backlog",
            backlog.into_bytes(),
            other("backlog"),
            "this is a backlog file, not a load",
        ),
        (
            "recipe",
            recipe.into_bytes(),
            other("recipe"),
            "its kind \"recipe\" is unknown",
        ),
        (
            "json",
            b"{\"kind\": \"load\"}".to_vec(),
            Fault::NoKind,
            "a kind and a version",
        ),
        (
            "deep",
            deep("").into_bytes(),
            Fault::NoKind,
            "a kind and a version",
        ),
        (
            "headless",
            b"(title: \"x\")".to_vec(),
            Fault::NoKind,
            "a kind and a version",
        ),
        (
            "versionless",
            b"(kind: \"load\")".to_vec(),
            Fault::NoKind,
            "a kind and a version",
        ),
    ];
    let dir = dir();
    for (name, bytes, what, says) in cases {
        let path = dir.path().join(name);
        fs::write(&path, &bytes).unwrap();
        let fault = read_load(&path).unwrap_err();
        assert_eq!(fault.what, what, "{name}");
        one_sentence(&fault, &path, says);
        assert_eq!(fs::read(&path).unwrap(), bytes, "{name}");
    }
    assert!(head.contains("kind"));
    let with_mark = format!("\u{feff}{}", SAMPLE.replace('\n', "\r\n"));
    assert_eq!(decode(&with_mark).unwrap(), decode(SAMPLE).unwrap());
}

fn other(found: &str) -> Fault {
    Fault::OtherKind {
        found: found.to_owned(),
        wanted: FileKind::Load,
    }
}

#[test]
fn values_that_cannot_be_are_named_by_the_path_of_their_field() {
    let typed = "height_mm: 6.0,\n    ),\n    drawn: Green,";
    let geometry = format!(
        "{typed}\n    geometry: (volume_mm3: 1, area_mm2: 1, centroid_mm: (0, 0, 0), \
         size_mm: (1, 1, 1), anchor_mm: (0, 0, 0), open_edges: 0, degenerate_triangles: 0, \
         shells: 1, footprint: [], body: []),"
    );
    let cases = [
        (
            "id: 21,",
            "id: 20,",
            "stacks[0].levels[0].placements[1].id: placement number 20 is used",
        ),
        (
            "id: 6,\n    name",
            "id: 5,\n    name",
            "parts[1].id: part number 5 is used twice",
        ),
        (
            "id: 12,\n      setter",
            "id: 11,\n      setter",
            "stacks[0].levels[1].id: level number 11",
        ),
        (
            "id: 2,\n      ramp",
            "id: 1,\n      ramp",
            "profile.segments[1]: segment number 1 is used",
        ),
        (
            "next_id: 40",
            "next_id: 24",
            "placement number 24 is not below next_id (24)",
        ),
        (
            "part: 5,\n          lot: 7",
            "part: 9,\n          lot: 7",
            "placements[0].item.part: there is no part \"9\"",
        ),
        ("lot: 7", "lot: 8", "item.lot: there is no lot \"8\""),
        (
            "part: 5,\n    count",
            "part: 6,\n    count",
            "lot 7 is of another part",
        ),
        (
            "part: 5,\n    count",
            "part: 4,\n    count",
            "lots[0].part: there is no part \"4\"",
        ),
        (
            "mass_g: 2.41",
            "mass_g: -2.41",
            "parts[0].weighed.mass_g: -2.41 must be a number above",
        ),
        ("green_g: 61.5", "green_g: 0", "lots[0].green_g: 0 must be"),
        (
            "dried_min: 240",
            "dried_min: -1",
            "lots[0].dried_min: -1 must be zero or more",
        ),
        (
            "at_mm: (-20.0, 10.25)",
            "at_mm: (-20.0, 1e9)",
            "placements[0].at_mm: 1000000000 mm is beyond",
        ),
        (
            "angle_deg: 12.5",
            "angle_deg: 1e9",
            "placements[0].angle_deg: ",
        ),
        (
            "planned_start: \"2027-03-15\"",
            "planned_start: \"soon\"",
            "planned_start: \"soon\" is no day",
        ),
        (
            "bore_mm: 16.0",
            "bore_mm: 21.0",
            "parts[1].shape: the shape is not usable",
        ),
        (
            "(8.0, 0.0), (0.0, 6.0)]",
            "(8.0, 0.0)]",
            "placements[0].item.shape: the shape is not usable",
        ),
        (
            "z1_mm: 2.0",
            "z1_mm: 0.0",
            "parts[0].geometry.body[0]: slabs must rise",
        ),
        (
            "z0_mm: 2.0",
            "z0_mm: 1.5",
            "parts[0].geometry.body[1]: slabs must rise",
        ),
        (
            "z1_mm: 4.0",
            "z1_mm: 9000.0",
            "parts[0].geometry.body[1].z1_mm: 9000 mm is beyond",
        ),
        (
            "volume_mm3: 300.0",
            "volume_mm3: 0.0",
            "parts[0].geometry.volume_mm3: 0 must be",
        ),
        (
            "sha256: \"0123",
            "sha256: \"x123",
            "parts[0].shape.sha256: this is no SHA-256",
        ),
        (typed, geometry.as_str(), "a typed shape is measured anew"),
        (
            "(\"alloy\", \"316l\", \"built-in\"",
            "(\"alloy\", \"316l\", \"moon\"",
            "is no origin",
        ),
        (
            "(\"alloy\", \"316l\"",
            "(\"alloy\", \"317l\"",
            "records.hashes[0]: there is no alloy \"317l\"",
        ),
    ];
    for (old, new, says) in cases {
        let fault = decode(&with(old, new)).unwrap_err();
        one_sentence(&fault, Path::new("x.load.ron"), says);
    }
    let square = "[(-5.0, -5.0), (5.0, -5.0), (5.0, 5.0), (-5.0, 5.0)]";
    let clockwise = "[(-5.0, -5.0), (-5.0, 5.0), (5.0, 5.0), (5.0, -5.0)]";
    let fault = decode(&with(square, clockwise)).unwrap_err();
    one_sentence(&fault, Path::new("x.load.ron"), "counter-clockwise");
    let fault = decode(&with(square, "[(-5.0, -5.0), (5.0, -5.0)]")).unwrap_err();
    one_sentence(
        &fault,
        Path::new("x.load.ron"),
        "2 points are fewer than the 3",
    );
    // Ten slabs where eight may be.
    let (before, rest) = SAMPLE.split_once("body: [").unwrap();
    let (_, after) = rest.split_once("    ),\n    made_with").unwrap();
    let slab = |i: i32| {
        format!(
            "(z0_mm: {i}, z1_mm: {}, outline: [(outer: {square})])",
            i + 1
        )
    };
    let slabs: Vec<String> = (0..10).map(slab).collect();
    let many = format!(
        "{before}body: [{}],\n    ),\n    made_with{after}",
        slabs.join(",")
    );
    let fault = decode(&many).unwrap_err();
    one_sentence(
        &fault,
        Path::new("x.load.ron"),
        "10 slabs are more than the 8 allowed",
    );
}

#[test]
fn a_record_twice_in_one_file_is_refused() {
    let (before, rest) = SAMPLE.split_once("    alloys: [").unwrap();
    let (alloy, after) = rest.split_once("],\n    binders: [").unwrap();
    let twice = format!("{before}    alloys: [{alloy}, {alloy}],\n    binders: [{after}");
    let fault = decode(&twice).unwrap_err();
    one_sentence(
        &fault,
        Path::new("x.load.ron"),
        "alloy \"316l\" stands there twice",
    );
}

#[test]
fn what_is_no_file_on_a_disk_is_refused_without_waiting_or_reading() {
    let dir = dir();
    let missing = dir.path().join("missing.load.ron");
    let fault = read_load(&missing).unwrap_err();
    assert_eq!(fault.what, Fault::NotFound);
    one_sentence(&fault, &missing, "no such file");
    let fault = read_load(dir.path()).unwrap_err();
    assert_eq!(fault.what, Fault::Directory);
    one_sentence(&fault, dir.path(), "folder");
    let plan = sample();
    let working = working(&plan, None).unwrap();
    let fault = save_load(dir.path(), &plan, &working).unwrap_err();
    assert_eq!(fault.what, Fault::Directory);

    // A file with nothing in it but a size takes no room and would take 200 MB of memory.
    let large = dir.path().join("large.load.ron");
    fs::File::create(&large)
        .unwrap()
        .set_len(TEXT_CAP + 1)
        .unwrap();
    let fault = read_load(&large).unwrap_err();
    let what = Fault::TooLarge {
        bytes: 200_000_001,
        cap: 200_000_000,
    };
    assert_eq!(fault.what, what);
    one_sentence(&fault, &large, "201 MB and at most 200 MB");
    let fault = save_load(&large, &plan, &working).unwrap_err();
    assert_eq!(fault.what, Fault::NotOurs(FileKind::Load));
    assert_eq!(fs::metadata(&large).unwrap().len(), TEXT_CAP + 1);

    let pipe = dir.path().join("pipe.load.ron");
    match Command::new("mkfifo").arg(&pipe).status() {
        Ok(status) if status.success() => {
            // Opening it would wait for a writer for ever.
            let fault = read_load(&pipe).unwrap_err();
            assert_eq!(fault.what, Fault::NotRegular);
            one_sentence(&fault, &pipe, "a pipe or a device");
            let fault = save_load(&pipe, &plan, &working).unwrap_err();
            assert_eq!(fault.what, Fault::NotRegular);
        }
        _ => println!("skipped the pipe: no mkfifo here"),
    }
    if Path::new("/dev/zero").exists() {
        let fault = read_load(Path::new("/dev/zero")).unwrap_err();
        assert_eq!(fault.what, Fault::NotRegular);
    }
}

#[test]
fn a_file_cut_off_anywhere_is_refused() {
    let whole = SAMPLE.trim_end().len();
    let (mut cut_off, mut looked_at) = (0, 0);
    for end in (0..whole).filter(|end| end % 7 == 0 || *end > whole - 40) {
        let fault = decode_load("x", &SAMPLE.as_bytes()[..end]).unwrap_err();
        looked_at += 1;
        if matches!(fault.what, Fault::CutOff { .. }) {
            cut_off += 1;
        }
    }
    // A cut within a word reads as another word now and then; most are known for what they are.
    assert!(cut_off * 10 > looked_at * 9, "{cut_off} of {looked_at}");
}

/// SplitMix64 (Steele, Lea and Flood 2014): enough to pick places to hurt.
struct Picks(u64);

impl Picks {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) % n as u64) as usize
    }
}

#[test]
fn two_thousand_hurt_files_are_read_or_refused() {
    let pieces: [&[u8]; 14] = [
        b"NaN",
        b"1e400",
        b"-1",
        b"[",
        b"(",
        b"]",
        b")",
        b"\"",
        b"/*",
        b"None",
        b"0",
        b"\x00",
        b"\xff",
        b"99999999999999999999",
    ];
    let mut picks = Picks(2027);
    let mut refused = 0;
    for _ in 0..2000 {
        let mut bytes = SAMPLE.as_bytes().to_vec();
        for _ in 0..=picks.below(3) {
            let at = picks.below(bytes.len());
            let to = (at + picks.below(12)).min(bytes.len());
            match picks.below(4) {
                0 => bytes[at] ^= 1 << picks.below(8),
                1 => drop(bytes.drain(at..to)),
                2 => drop(bytes.splice(at..to, pieces[picks.below(14)].iter().copied())),
                _ => {
                    let copy = bytes[at..to].to_vec();
                    let into = picks.below(bytes.len());
                    drop(bytes.splice(into..into, copy));
                }
            }
        }
        match decode_load("x.load.ron", &bytes) {
            // What is read can be written and read again as the same.
            Ok(plan) => assert_eq!(decode(&canonical(&plan).unwrap()).unwrap(), plan),
            Err(fault) => {
                refused += 1;
                assert!(!fault.to_string().contains('\n') || bytes.contains(&b'\n'));
            }
        }
    }
    assert!((1000..2000).contains(&refused), "{refused}");
}

/// The shop file in the README is one that the program takes.
#[test]
fn the_readme_shows_a_shop_file() {
    let readme = include_str!("../../README.md");
    let (_, from) = readme.split_once("```ron\n").unwrap();
    let (text, _) = from.split_once("```").unwrap();
    let dir = dir();
    fs::write(dir.path().join("shop.ron"), text).unwrap();
    let folder = setterwright::files::read_shop_folder(dir.path()).unwrap();
    let shop = folder.shop.unwrap();
    assert!(shop.regulated && shop.people.len() == 2 && shop.balances.len() == 1);
    let own = folder.catalogue.limits.iter().filter(|l| l.id == "gap-min");
    assert_eq!(own.count(), 2, "the built-in one and that of the feedstock");
    assert_eq!(folder.catalogue.checks.len(), 2);
}
