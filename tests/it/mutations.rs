//! Readers on mutated files: two thousand of each, the same on every machine. What they come upon
//! that fails is kept under `tests/cases/bad` and read here too.

use crate::fuzz_mutate::{
    OBJ, PROFILE, RELS, Rng, SCRIPT, ascii_stl, binary_stl, model, mutate, mutated_3mf, package,
};
use crate::fuzz_targets::{catalogue, load, measured, mesh, profile, script, shop};
use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::path::Path;
use std::time::Instant;

const MUTATIONS: u64 = 2000;

fn of_mesh(ending: &str, mutated: impl Fn(&mut Rng) -> Vec<u8>) {
    for seed in 0..MUTATIONS {
        let bytes = mutated(&mut Rng::new(seed));
        // Measuring takes a hundred times as long as reading.
        if seed % 20 == 0 {
            measured(&bytes, ending);
        } else {
            mesh(&bytes, ending);
        }
    }
}

#[test]
fn stl_files() {
    let (ascii, binary) = (ascii_stl(), binary_stl());
    measured(&ascii, "stl");
    measured(&binary, "stl");
    of_mesh("stl", |rng| mutate(rng, &ascii));
    of_mesh("stl", |rng| mutate(rng, &binary));
}

#[test]
fn obj_files() {
    measured(OBJ.as_bytes(), "obj");
    of_mesh("obj", |rng| mutate(rng, OBJ.as_bytes()));
}

#[test]
fn threemf_files() {
    let model = model();
    let files = [
        ("_rels/.rels", RELS.as_bytes()),
        ("3D/a.model", model.as_bytes()),
    ];
    let good = package(&files, true);
    assert_eq!(
        setterwright::files::decode_mesh(&good, "3mf")
            .unwrap()
            .bodies
            .len(),
        2
    );
    of_mesh("3mf", mutated_3mf);
}

fn of_text(text: &str, read: impl Fn(&[u8])) {
    read(text.as_bytes());
    for seed in 0..MUTATIONS {
        read(&mutate(&mut Rng::new(seed), text.as_bytes()));
    }
}

#[test]
fn loads() {
    of_text(include_str!("../cases/load-v1.load.ron"), load);
}

#[test]
fn profiles() {
    setterwright::files::decode_profile("x", PROFILE.as_bytes()).unwrap();
    of_text(PROFILE, profile);
}

#[test]
fn catalogues() {
    of_text(include_str!("../../assets/catalogue/gases.ron"), catalogue);
    of_text(include_str!("../../assets/catalogue/shop.ron"), catalogue);
}

#[test]
fn scripts() {
    let shop = shop();
    of_text(SCRIPT, |bytes| script(bytes, &shop));
}

/// Other mutations for as many seconds a reader as `MUTATE_SECONDS` says; what fails is kept:
/// `MUTATE_SECONDS=600 cargo test --test it for_longer -- --ignored --nocapture`.
#[test]
#[ignore = "takes as long as it is told to"]
fn for_longer() {
    let seconds = std::env::var("MUTATE_SECONDS").ok();
    let seconds: u64 = seconds.and_then(|s| s.parse().ok()).unwrap_or(60);
    let run = |ending: &str, mutated: &dyn Fn(&mut Rng) -> Vec<u8>| {
        let start = Instant::now();
        let mut seed = MUTATIONS;
        while start.elapsed().as_secs() < seconds {
            let bytes = mutated(&mut Rng::new(seed));
            let tried = catch_unwind(AssertUnwindSafe(|| measured(&bytes, ending)));
            if let Err(panic) = tried {
                let kept = format!("tests/cases/bad/mutated-{seed}.{ending}");
                fs::write(Path::new(env!("CARGO_MANIFEST_DIR")).join(kept), &bytes).unwrap();
                resume_unwind(panic);
            }
            seed += 1;
        }
        println!("{ending}: {} files", seed - MUTATIONS);
    };
    let (ascii, binary) = (ascii_stl(), binary_stl());
    run("stl", &|rng| mutate(rng, &ascii));
    run("stl", &|rng| mutate(rng, &binary));
    run("obj", &|rng| mutate(rng, OBJ.as_bytes()));
    run("3mf", &mutated_3mf);
}

/// No small file makes a reader ask for much memory, whatever it says of itself: the program
/// measures each in 300 MB of addresses.
#[test]
#[cfg(target_os = "linux")]
fn small_files_take_little_memory() {
    use std::process::Command;
    let dir = tempfile::tempdir().unwrap();
    let mut lying = vec![0; 200];
    lying[80..84].copy_from_slice(&u32::MAX.to_le_bytes());
    let mut half = lying.clone();
    half[80..84].copy_from_slice(&0x7FFF_FFFF_u32.to_le_bytes());
    let rels = ("_rels/.rels", RELS.as_bytes());
    // A package that says it holds four thousand million bytes and files.
    let mut sized = package(&[rels, ("3D/a.model", b"<model/>")], false);
    let mut counted = sized.clone();
    for signature in [&b"PK\x01\x02"[..], b"PK\x03\x04"] {
        let size = if signature == b"PK\x01\x02" { 20 } else { 18 };
        let found: Vec<usize> = (0..sized.len() - 4)
            .filter(|i| sized[*i..].starts_with(signature))
            .collect();
        for at in found {
            sized[at + size..at + size + 8].copy_from_slice(&[0xFE; 8]);
        }
    }
    let end = (0..counted.len())
        .rfind(|i| counted[*i..].starts_with(b"PK\x05\x06"))
        .unwrap();
    counted[end + 8..end + 16].copy_from_slice(&[0xFE; 8]);
    // One text of 70 MB, packed to 70 kB, and one of 5 MB for its relationships.
    let blank = vec![b' '; 70_000_000];
    let bomb = package(&[rels, ("3D/a.model", &blank)], true);
    let bombed_rels = package(&[("_rels/.rels", &blank[..5_000_000])], true);
    drop(blank);
    // Components of components, and of themselves.
    let components = |of: &dyn Fn(usize) -> usize| {
        let objects: String = (2..60)
            .map(|i| {
                let one = format!(r#"<component objectid="{}"/>"#, of(i));
                format!(
                    r#"<object id="{i}"><components>{}</components></object>"#,
                    one.repeat(9)
                )
            })
            .collect();
        let text = model().replace("<resources>", &format!("<resources>{objects}"));
        let text = text.replace(
            r#"<object id="2"><components>"#,
            r#"<object id="99"><components>"#,
        );
        package(&[rels, ("3D/a.model", text.as_bytes())], true)
    };
    let many = components(&|i| i - 1);
    let itself = components(&|i| i);
    let deep = "<a>".repeat(2_000_000);
    let deep = package(&[rels, ("3D/a.model", deep.as_bytes())], true);
    let cases: Vec<(&str, Vec<u8>)> = vec![
        ("lying.stl", lying),
        ("half.stl", half),
        ("sized.3mf", sized),
        ("counted.3mf", counted),
        ("bomb.3mf", bomb),
        ("bombed-rels.3mf", bombed_rels),
        ("many.3mf", many),
        ("itself.3mf", itself),
        ("deep.3mf", deep),
        ("far.obj", b"v 0 0 0\nf 4294967295 1 1\n".to_vec()),
        ("nested.stl", b"solid \n".repeat(30)),
    ];
    for (name, bytes) in cases {
        let path = dir.path().join(name);
        fs::write(&path, bytes).unwrap();
        let limited = r#"ulimit -v 300000; exec "$0" measure "$1""#;
        let ran = Command::new("sh")
            .args(["-c", limited, env!("CARGO_BIN_EXE_setterwright")])
            .arg(&path)
            .output()
            .unwrap();
        let said = String::from_utf8_lossy(&ran.stderr);
        assert_eq!(ran.status.code(), Some(2), "{name}: {said}");
        assert!(said.contains(name), "{name}: {said}");
    }
}

/// The end of the bad cases' names says which reader they are for.
#[test]
fn cases_that_once_failed() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/bad");
    let shop = shop();
    let mut read = 0;
    for entry in fs::read_dir(&folder).unwrap() {
        let path = entry.unwrap().path();
        let bytes = fs::read(&path).unwrap();
        println!("{}", path.display());
        match path
            .extension()
            .and_then(|e| e.to_str())
            .unwrap_or_default()
        {
            ending @ ("stl" | "obj" | "3mf") => measured(&bytes, ending),
            "load" => load(&bytes),
            "profile" => profile(&bytes),
            "catalogue" => catalogue(&bytes),
            "script" => script(&bytes, &shop),
            other => panic!("no reader for {other:?}"),
        }
        read += 1;
    }
    assert!(read > 0);
}
