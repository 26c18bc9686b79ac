//! Files: what is saved opens again as the same, what is broken is named in one sentence, and
//! nothing is lost either way.

use crate::demo_meshes;
use crate::files_plans::{plans, sample};
use proptest::prelude::*;
use setterwright::catalogue::{self, LimitContext, LimitScope, Origin, Severity};
use setterwright::files::{
    Differs, Fault, FileFault, FileKind, Journal, MESH_CAP, PartFrom, RecordDifference, Spot,
    TEXT_CAP, Working, canonical, decode_load, decode_profile, open_load, part_from_mesh,
    read_load, read_mesh, read_profile, read_shop_folder, save_load, save_profile, sha256_hex,
    working,
};
use setterwright::load::Plan;
use setterwright::part::{Drawn, MeshUnit, PartId, measure_mesh};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Arc;
use tempfile::TempDir;

const SAMPLE: &str = include_str!("../cases/load-v1.load.ron");

fn dir() -> TempDir {
    tempfile::tempdir().unwrap()
}

fn decode(text: &str) -> Result<Plan, FileFault> {
    decode_load("x.load.ron", text.as_bytes())
}

/// The sample with one piece of its text replaced, which has to be in it.
fn with(old: &str, new: &str) -> String {
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

#[test]
fn the_kept_sample_opens_as_the_plan_it_was_written_from() {
    let plan = decode(SAMPLE).unwrap();
    let used = Arc::clone(&plan.records_used);
    let bare = Plan {
        records_used: Arc::default(),
        ..plan.clone()
    };
    assert_eq!(bare, sample());
    assert_eq!(canonical(&plan).unwrap(), SAMPLE);
    // What the plan reaches, counted by hand: the vacuum box has argon and nitrogen, the alloy
    // allows hydrogen too; molybdenum is the dummy's.
    let c = &used.catalogue;
    let keys = |table: Vec<&String>| table.into_iter().cloned().collect::<Vec<_>>();
    assert_eq!(keys(c.furnaces.keys().collect()), ["small-vacuum-box"]);
    assert_eq!(keys(c.feedstocks.keys().collect()), ["316l-wax"]);
    assert_eq!(keys(c.alloys.keys().collect()), ["316l"]);
    assert_eq!(keys(c.binders.keys().collect()), ["wax-polyolefin-solvent"]);
    assert_eq!(keys(c.setters.keys().collect()), ["alumina-square-100x4"]);
    assert_eq!(keys(c.posts.keys().collect()), ["alumina-post-12x30"]);
    assert_eq!(keys(c.supports.keys().collect()), ["alumina-sheet-0.5"]);
    assert!(c.materials.contains_key("molybdenum") && c.materials.contains_key("alumina-995"));
    assert_eq!(
        keys(c.gases.keys().collect()),
        ["argon", "hydrogen", "nitrogen"]
    );
    let shop = used.shop.as_ref().unwrap();
    assert_eq!(shop.furnaces.len(), 1);
    assert_eq!(shop.furnaces[0].furnace, "small-vacuum-box");
    assert!(shop.prices.is_some());
    // One hash for each record, and each is that of the record.
    assert_eq!(
        used.hashes.len(),
        c.alloys.len()
            + c.binders.len()
            + c.feedstocks.len()
            + c.materials.len()
            + c.setters.len()
            + c.posts.len()
            + c.supports.len()
            + c.furnaces.len()
            + c.gases.len()
            + c.limits.len()
            + c.checks.len()
            + c.references.len()
            + 1
    );
    assert_eq!(c.checks[0].severity, Some(Severity::Caution));
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

fn one_sentence(fault: &FileFault, path: &Path, says: &str) {
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

fn saved(dir: &TempDir, name: &str, plan: &Plan) -> (PathBuf, Working) {
    let working = working(plan, None).unwrap();
    let path = dir.path().join(name);
    save_load(&path, plan, &working).unwrap();
    (path, working)
}

#[test]
fn save_open_save_gives_the_same_bytes() {
    let dir = dir();
    let (path, _) = saved(&dir, "a.load.ron", &sample());
    let first = fs::read_to_string(&path).unwrap();
    let (plan, working) = open_load(&path, None).unwrap();
    assert!(working.differences.is_empty(), "{:?}", working.differences);
    let second = save_load(&path, &plan, &working).unwrap();
    assert_eq!(fs::read_to_string(&path).unwrap(), first);
    assert_eq!(canonical(&second.plan).unwrap(), first);
    assert_eq!(second.sha256, sha256_hex(first.as_bytes()));
    assert_eq!(second.plan, plan);
    assert!(first.ends_with(")\n") && !first.contains('\r'));
    // Nothing else is left in the folder.
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 1);
}

#[test]
fn saving_overwrites_loads_and_nothing_else() {
    let dir = dir();
    let plan = sample();
    let (path, working) = saved(&dir, "a.load.ron", &plan);
    let refused = |name: &str, text: &str, what: Fault| {
        let path = dir.path().join(name);
        fs::write(&path, text).unwrap();
        let fault = save_load(&path, &plan, &working).unwrap_err();
        assert_eq!(fault.what, what);
        assert_eq!(fs::read_to_string(&path).unwrap(), text);
    };
    let not_ours = || Fault::NotOurs(FileKind::Load);
    refused("notes.txt", "remember the trap", not_ours());
    refused(
        "p.profile.ron",
        &SAMPLE.replace("\"load\"", "\"profile\""),
        not_ours(),
    );
    refused("torn.load.ron", &SAMPLE[..200], not_ours());
    let newer = Fault::Newer {
        version: 2,
        reads: 1,
    };
    refused("newer.load.ron", &with("version: 1", "version: 2"), newer);
    let blank = dir.path().join("blank.load.ron");
    fs::write(&blank, "").unwrap();
    save_load(&blank, &plan, &working).unwrap();
    let nowhere = dir.path().join("no-folder").join("a.load.ron");
    let fault = save_load(&nowhere, &plan, &working).unwrap_err();
    one_sentence(&fault, &nowhere, "no such folder");

    // A plan with a number that no file may hold leaves the old file as it was.
    let before = fs::read(&path).unwrap();
    let mut broken = plan.clone();
    Arc::make_mut(&mut broken.profile).segments[0].hold_min = f64::NAN;
    let fault = save_load(&path, &broken, &working).unwrap_err();
    one_sentence(&fault, &path, "nothing was written");
    assert!(matches!(fault.what, Fault::WouldNotOpen(_)));
    let mut broken = plan.clone();
    broken.next_id = 3;
    assert!(save_load(&path, &broken, &working).is_err());
    assert_eq!(fs::read(&path).unwrap(), before);
    assert!(save_load(&path, &plan, &working).is_ok());
}

#[cfg(unix)]
#[test]
fn a_link_stays_a_link_and_the_mode_is_kept() {
    use std::os::unix::fs::{MetadataExt, PermissionsExt, symlink};
    let dir = dir();
    let plan = sample();
    let (path, working) = saved(&dir, "real.load.ron", &plan);
    fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).unwrap();
    let link = dir.path().join("link.load.ron");
    symlink("real.load.ron", &link).unwrap();
    let changed = Plan {
        title: "Changed".to_owned(),
        ..plan.clone()
    };
    save_load(&link, &changed, &working).unwrap();
    assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
    assert_eq!(read_load(&path).unwrap().title, "Changed");
    assert_eq!(fs::metadata(&path).unwrap().mode() & 0o777, 0o640);
    let astray = dir.path().join("astray.load.ron");
    symlink("gone.load.ron", &astray).unwrap();
    let fault = save_load(&astray, &plan, &working).unwrap_err();
    assert_eq!(fault.what, Fault::Dangling);
    one_sentence(&fault, &astray, "a link that leads nowhere");

    fs::set_permissions(&path, fs::Permissions::from_mode(0o440)).unwrap();
    let fault = save_load(&path, &plan, &working).unwrap_err();
    assert_eq!(fault.what, Fault::Denied);
    assert_eq!(read_load(&path).unwrap().title, "Changed");
    fs::set_permissions(&path, fs::Permissions::from_mode(0o000)).unwrap();
    match fs::File::open(&path) {
        // The first user may read anything.
        Ok(_) => println!("skipped the unreadable file: this user may read it"),
        Err(_) => assert_eq!(read_load(&path).unwrap_err().what, Fault::Denied),
    }
}

#[test]
fn a_slug_that_stands_for_nothing_is_named_with_candidates() {
    let dir = dir();
    let path = dir.path().join("a.load.ron");
    let cases = [
        (
            "furnace: \"small-vacuum-box\"",
            "furnace: \"small-vacum-box\"",
            "furnace: there is no furnace \"small-vacum-box\"; did you mean small-vacuum-box",
        ),
        (
            "material: \"molybdenum\"",
            "material: \"molybdenium\"",
            "placements[0].item.material: there is no material",
        ),
        (
            "feedstock: \"316l-wax\"",
            "feedstock: \"316l-waxx\"",
            "parts[0].feedstock: there is no feedstock",
        ),
        (
            "post: \"alumina-post-12x30\"",
            "post: \"alumina-post-12x33\"",
            "carrier.post: there is no post",
        ),
        (
            "gas: \"argon\"",
            "gas: \"argonn\"",
            "there is no gas \"argonn\"; did you mean argon",
        ),
    ];
    for (old, new, says) in cases {
        fs::write(&path, with(old, new)).unwrap();
        let fault = open_load(&path, None).unwrap_err();
        one_sentence(&fault, &path, says);
    }
}

fn shop_file(dir: &Path, name: &str, body: &str) {
    let text = format!("(kind: \"catalogue\", version: 1, {body})");
    fs::write(dir.join(name), text).unwrap();
}

/// A gas of a shop's own, in the form of a file.
fn gas(id: &str, molar: f64, replaces: &str) -> String {
    format!(
        "(id: \"{id}\", name: \"{id}\", revision: 1, {replaces} nature: Inert, hydrogen_share: 0, \
         nitrogen_share: 0, molar_g_mol: {molar}, properties: [(300, 23, 18, 520)], \
         caution: \"\", source: \"shop\", standing: Shop)"
    )
}

fn limit(value: f64) -> String {
    format!(
        "(id: \"gap-min\", name: \"gap\", value: {value}, unit: \"mm\", scope: Shop, \
         set_by: \"engineer\", source: \"shop\", standing: Shop, revision: 1)"
    )
}

#[test]
fn a_load_is_reviewed_by_the_same_records_with_and_without_the_shop_folder() {
    let dir = dir();
    let shop_dir = dir.path().join("shop");
    fs::create_dir(&shop_dir).unwrap();
    let argon = gas("argon", 39.9, "replaces_revision: 1,");
    shop_file(
        &shop_dir,
        "a.ron",
        &format!("gases: [{argon}], limits: [{}]", limit(0.7)),
    );
    // Files of our other kinds may lie there.
    fs::write(shop_dir.join("b.load.ron"), SAMPLE).unwrap();
    let folder = read_shop_folder(&shop_dir).unwrap();
    assert_eq!(folder.files.len(), 1);
    assert_eq!(folder.shop, None);

    let plan = sample();
    let at_work = working(&plan, Some(&folder)).unwrap();
    let path = dir.path().join("a.load.ron");
    let saved = save_load(&path, &plan, &at_work).unwrap();
    let there = open_load(&path, Some(&folder)).unwrap().1;
    let (elsewhere_plan, elsewhere) = open_load(&path, None).unwrap();
    assert_eq!(there.differences, []);
    assert_eq!(elsewhere.differences, []);
    for kept in [&there, &elsewhere] {
        let c = &kept.catalogue;
        assert_eq!(c.gas("argon").unwrap().molar_g_mol, 39.9);
        assert_eq!(c.gases["argon"].0, Origin::Shop);
        let gap = c.limit("gap-min", &LimitContext::default()).unwrap();
        assert_eq!((gap.value, &gap.scope), (0.7, &LimitScope::Shop));
        assert_eq!(c.limits, at_work.catalogue.limits);
        let used = setterwright::files::records_for(&saved.plan, c, &kept.shop);
        assert_eq!(&used, saved.plan.records_used.as_ref());
    }
    // And saved elsewhere it is the same file.
    let before = fs::read(&path).unwrap();
    save_load(&path, &elsewhere_plan, &elsewhere).unwrap();
    assert_eq!(fs::read(&path).unwrap(), before);

    // The shop changes a record and drops its limit: the file says so when it is opened there,
    // and keeps what it had elsewhere.
    let argon = gas("argon", 40.1, "replaces_revision: 1,");
    shop_file(&shop_dir, "a.ron", &format!("gases: [{argon}]"));
    let folder = read_shop_folder(&shop_dir).unwrap();
    let there = open_load(&path, Some(&folder)).unwrap().1;
    let difference = |kind: &str, id: &str, what| RecordDifference {
        kind: kind.to_owned(),
        id: id.to_owned(),
        what,
    };
    assert_eq!(
        there.differences,
        [
            difference("gas", "argon", Differs::InUse),
            difference("limit", "gap-min (shop)", Differs::InUse),
        ]
    );
    assert_eq!(there.catalogue.gas("argon").unwrap().molar_g_mol, 40.1);
    let elsewhere = open_load(&path, None).unwrap().1;
    assert_eq!(elsewhere.differences, []);
}

#[test]
fn an_embedded_record_that_is_not_this_builds_or_not_its_hash_is_a_difference() {
    let dir = dir();
    let plan = sample();
    let (path, at_work) = saved(&dir, "a.load.ron", &plan);
    let mut older = at_work.clone();
    let catalogue = Arc::make_mut(&mut older.catalogue);
    let (origin, alloy) = catalogue.alloys["316l"].clone();
    let mut alloy = alloy.as_ref().clone();
    alloy.solidus_c -= 1.0;
    let solidus = alloy.solidus_c;
    catalogue
        .alloys
        .insert("316l".to_owned(), (origin, Arc::new(alloy)));
    save_load(&path, &plan, &older).unwrap();
    let (_, opened) = open_load(&path, None).unwrap();
    assert_eq!(opened.catalogue.alloy("316l").unwrap().solidus_c, solidus);
    let what = |w: &Working| {
        w.differences
            .iter()
            .map(|d| (d.id.clone(), d.what))
            .collect::<Vec<_>>()
    };
    assert_eq!(what(&opened), [("316l".to_owned(), Differs::Build)]);

    let text = fs::read_to_string(&path).unwrap();
    let line = format!("solidus_c: {solidus:?}");
    assert!(text.contains(&line));
    fs::write(&path, text.replacen(&line, "solidus_c: 1300.0", 1)).unwrap();
    let (_, opened) = open_load(&path, None).unwrap();
    let both = [Differs::Edited, Differs::Build].map(|d| ("316l".to_owned(), d));
    assert_eq!(what(&opened), both);
}

#[test]
fn what_is_wrong_in_a_shop_folder_is_named_with_its_file() {
    let dir = dir();
    let fault = |files: &[(&str, String)]| {
        for entry in fs::read_dir(dir.path()).unwrap() {
            fs::remove_file(entry.unwrap().path()).unwrap();
        }
        for (name, body) in files {
            shop_file(dir.path(), name, body);
        }
        read_shop_folder(dir.path()).map(|_| ()).unwrap_err()
    };
    let gases = |records: &[String]| format!("gases: [{}]", records.join(", "));
    let neon = gas("neon", 20.2, "");
    let twice = fault(&[
        ("a.ron", gases(std::slice::from_ref(&neon))),
        ("b.ron", gases(std::slice::from_ref(&neon))),
    ]);
    let a = dir.path().join("a.ron");
    one_sentence(
        &twice,
        &dir.path().join("b.ron"),
        &format!("stands in {} too", a.display()),
    );
    one_sentence(
        &fault(&[("a.ron", gases(&[neon.clone(), neon]))]),
        &a,
        "stands there twice",
    );
    let unsaid = fault(&[("a.ron", gases(&[gas("argon", 39.9, "")]))]);
    one_sentence(&unsaid, &a, "add replaces_revision: 1");
    let unknown = fault(&[("a.ron", "colour: 1".to_owned())]);
    one_sentence(&unknown, &a, "there is no field \"colour\"");
    assert!(unknown.what.spot().is_some());
    let nan = fault(&[("a.ron", gases(&[gas("neon", f64::NAN, "")]))]);
    one_sentence(&nan, &a, "NaN is not a finite number");
    let post = "posts: [(id: \"p\", name: \"p\", revision: 1, material: \"alumina-99\", \
                length_mm: 1, diameter_mm: 1, mass_g: 1, rated_c: 1, source: \"shop\", \
                standing: Shop)]";
    let link = fault(&[("a.ron", post.to_owned())]);
    one_sentence(
        &link,
        dir.path(),
        "there is no material \"alumina-99\"; did you mean",
    );
    assert!(read_shop_folder(&dir.path().join("none")).is_err());
}

#[test]
fn a_profile_has_a_file_of_its_own() {
    let dir = dir();
    let path = dir.path().join("wax.profile.ron");
    let profile = sample().profile;
    save_profile(&path, &profile).unwrap();
    let text = fs::read_to_string(&path).unwrap();
    assert_eq!(&read_profile(&path).unwrap(), profile.as_ref());
    save_profile(&path, &read_profile(&path).unwrap()).unwrap();
    assert_eq!(fs::read_to_string(&path).unwrap(), text);
    let fault = decode_profile("x.load.ron", SAMPLE.as_bytes()).unwrap_err();
    one_sentence(
        &fault,
        Path::new("x.load.ron"),
        "this is a load file, not a profile",
    );
    let fault = read_load(&path).unwrap_err();
    one_sentence(&fault, &path, "this is a profile file, not a load");
    let mut broken = profile.as_ref().clone();
    broken.segments[1].to_c = f64::INFINITY;
    let fault = save_profile(&path, &broken).unwrap_err();
    one_sentence(&fault, &path, "inf is not a finite number");
    assert_eq!(fs::read_to_string(&path).unwrap(), text);
}

#[test]
fn a_part_from_a_mesh_opens_without_the_mesh() {
    let dir = dir();
    let bytes = demo_meshes::all()[0].file_bytes();
    let mesh_path = dir.path().join("part.STL");
    fs::write(&mesh_path, &bytes).unwrap();
    let from = PartFrom {
        id: PartId(30),
        name: "Part".to_owned(),
        feedstock: "316l-wax".to_owned(),
        unit: MeshUnit::Millimetre,
        drawn: Drawn::Final,
    };
    let (part, notes) = part_from_mesh(&mesh_path, from).unwrap();
    assert!(notes.is_empty());
    let read = read_mesh(&mesh_path).unwrap();
    assert_eq!(read.sha256, sha256_hex(&bytes));
    let measured = measure_mesh(&read.mesh, MeshUnit::Millimetre).unwrap();
    assert_eq!(part.geometry.as_ref(), &measured);
    let mut plan = sample();
    plan.parts.push(Arc::new(part));
    let (path, _) = saved(&dir, "a.load.ron", &plan);
    fs::remove_file(&mesh_path).unwrap();
    let opened = read_load(&path).unwrap();
    assert_eq!(opened.parts, plan.parts);
    assert_eq!(opened.parts[2].geometry.as_ref(), &measured);
}

#[test]
fn a_mesh_that_cannot_be_read_is_named() {
    let dir = dir();
    let write = |name: &str, bytes: &[u8]| {
        let path = dir.path().join(name);
        fs::write(&path, bytes).unwrap();
        let fault = read_mesh(&path).unwrap_err();
        (path, fault)
    };
    let (path, fault) = write("part.obj", b"v 0 0 0");
    one_sentence(
        &fault,
        &path,
        "\".obj\" is not read; STL only in this version",
    );
    let (path, fault) = write("part", b"solid");
    one_sentence(&fault, &path, "a file without an ending is not read");
    let (path, fault) = write("part.stl", b"");
    one_sentence(&fault, &path, "empty");
    let large = dir.path().join("large.stl");
    fs::File::create(&large)
        .unwrap()
        .set_len(MESH_CAP + 1)
        .unwrap();
    let fault = read_mesh(&large).unwrap_err();
    assert!(matches!(fault.what, Fault::TooLarge { .. }), "{fault}");
    assert_eq!(read_mesh(dir.path()).unwrap_err().what, Fault::Directory);
}

#[test]
fn the_built_in_catalogue_keeps_its_own_limits_when_a_file_carries_fewer() {
    let plan = decode(SAMPLE).unwrap();
    let opened = working(&plan, None).unwrap();
    let (built_in, _) = catalogue::builtin().unwrap();
    let carried = &plan.records_used.catalogue.limits;
    assert!(carried.len() < built_in.limits.len());
    for limit in built_in.limits.iter().chain(carried) {
        let same = |l: &&catalogue::Limit| l.id == limit.id && l.scope == limit.scope;
        assert_eq!(
            opened.catalogue.limits.iter().filter(same).count(),
            1,
            "{}",
            limit.id
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn a_random_plan_opens_as_it_was_saved(plan in plans()) {
        let dir = dir();
        let (path, at_work) = saved(&dir, "a.load.ron", &plan);
        let first = fs::read(&path).unwrap();
        let (opened, again) = open_load(&path, None).unwrap();
        let bare = Plan { records_used: Arc::default(), ..opened.clone() };
        prop_assert_eq!(&bare, &plan);
        prop_assert_eq!(&again.catalogue.limits, &at_work.catalogue.limits);
        prop_assert_eq!(&again.differences, &Vec::new());
        let second = save_load(&path, &opened, &again).unwrap();
        prop_assert_eq!(second.plan, opened);
        prop_assert_eq!(fs::read(&path).unwrap(), first);
    }
}

fn labels(journal: &Journal) -> Vec<(u64, String)> {
    let entries = journal.entries().iter();
    entries.map(|e| (e.number, e.label.clone())).collect()
}

#[test]
fn a_journal_keeps_what_was_appended_across_openings() {
    let dir = dir();
    let mut journal = Journal::open(dir.path(), "a.load.ron", 1 << 20).unwrap();
    assert!(journal.latest().is_none());
    assert_eq!(journal.append("Open", "first").unwrap(), 1);
    assert_eq!(journal.append("Move \"Bracket\"", SAMPLE).unwrap(), 2);
    let mut journal = Journal::open(dir.path(), "a.load.ron", 1 << 20).unwrap();
    assert_eq!(journal.append("Empty", "").unwrap(), 3);
    let journal = Journal::open(dir.path(), "a.load.ron", 1 << 20).unwrap();
    assert!(journal.dropped.is_empty());
    let expected = [(1, "Open"), (2, "Move \"Bracket\""), (3, "Empty")];
    assert_eq!(labels(&journal), expected.map(|(n, l)| (n, l.to_owned())));
    let text = |i: usize| journal.text(&journal.entries()[i]).unwrap();
    assert_eq!(
        (text(0).as_str(), text(1).as_str(), text(2).as_str()),
        ("first", SAMPLE, "")
    );
    // Another document has another journal.
    let other = Journal::open(dir.path(), "b.load.ron", 1 << 20).unwrap();
    assert!(other.entries().is_empty());
}

fn only_segment(dir: &Path) -> PathBuf {
    let folder = fs::read_dir(dir).unwrap().next().unwrap().unwrap().path();
    let mut files = fs::read_dir(folder).unwrap().map(|e| e.unwrap().path());
    let path = files.next().unwrap();
    assert!(files.next().is_none());
    path
}

#[test]
fn a_frame_torn_at_any_byte_loses_only_itself() {
    let dir = dir();
    let mut journal = Journal::open(dir.path(), "k", 1 << 20).unwrap();
    journal.append("One", "alpha").unwrap();
    let path = only_segment(dir.path());
    let before = fs::read(&path).unwrap().len();
    journal.append("Two", "beta, a little longer").unwrap();
    let whole = fs::read(&path).unwrap();
    for end in before..whole.len() {
        fs::write(&path, &whole[..end]).unwrap();
        let journal = Journal::open(dir.path(), "k", 1 << 20).unwrap();
        assert_eq!(labels(&journal), [(1, "One".to_owned())], "{end}");
        let lost: Vec<u64> = journal.dropped.iter().map(|d| d.bytes).collect();
        let torn = (end - before) as u64;
        assert_eq!(lost, if torn == 0 { vec![] } else { vec![torn] });
    }
    // A byte changed anywhere in it is noticed too.
    for at in before..whole.len() {
        let mut hurt = whole.clone();
        hurt[at] ^= 0x20;
        fs::write(&path, &hurt).unwrap();
        let journal = Journal::open(dir.path(), "k", 1 << 20).unwrap();
        assert_eq!(journal.entries().len(), 1, "{at}");
        assert!(journal.dropped[0].to_string().contains("could not be read"));
    }
    // Going on after a torn frame keeps both sides of it.
    fs::write(&path, &whole[..whole.len() - 3]).unwrap();
    let mut journal = Journal::open(dir.path(), "k", 1 << 20).unwrap();
    assert_eq!(journal.append("Three", "gamma").unwrap(), 2);
    let journal = Journal::open(dir.path(), "k", 1 << 20).unwrap();
    assert_eq!(
        labels(&journal),
        [(1, "One".to_owned()), (2, "Three".to_owned())]
    );
    assert_eq!(journal.text(journal.latest().unwrap()).unwrap(), "gamma");
    assert_eq!(fs::read(&path).unwrap(), &whole[..whole.len() - 3]);
}

#[test]
fn a_journal_stays_below_its_cap_and_keeps_the_newest() {
    let dir = dir();
    let cap = 20_000;
    let mut journal = Journal::open(dir.path(), "k", cap).unwrap();
    for step in 1..=200_u64 {
        let number = journal
            .append(&format!("Step {step}"), &"x".repeat(1000))
            .unwrap();
        assert_eq!(number, step);
    }
    let folder = fs::read_dir(dir.path())
        .unwrap()
        .next()
        .unwrap()
        .unwrap()
        .path();
    let files = fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().metadata().unwrap().len());
    let total: u64 = files.sum();
    assert!(total <= cap && total > cap / 2, "{total}");
    let again = Journal::open(dir.path(), "k", cap).unwrap();
    assert_eq!(labels(&again), labels(&journal));
    assert_eq!(again.latest().unwrap().number, 200);
    // One snapshot beyond the cap is kept all the same.
    journal.append("Large", &"y".repeat(50_000)).unwrap();
    journal.append("Small", "z").unwrap();
    let again = Journal::open(dir.path(), "k", cap).unwrap();
    assert_eq!(again.latest().unwrap().label, "Small");
}
