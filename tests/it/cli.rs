//! The command line as a user meets it: exit codes, sentences, JSON, and the main job on real
//! mesh files from nothing to a reviewed and saved load.

use serde_json::Value;
use setterwright::text::{Locale, set_locale};
use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};

pub struct Ran {
    pub code: u8,
    pub out: String,
    pub err: String,
}

pub fn run(args: &[&str]) -> Ran {
    let all = std::iter::once("setterwright")
        .chain(args.iter().copied())
        .map(OsString::from);
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let code = setterwright::cli::run(all, &mut out, &mut err);
    let text = |bytes| String::from_utf8(bytes).unwrap();
    Ran {
        code,
        out: text(out),
        err: text(err),
    }
}

pub fn demo(name: &str) -> String {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    root.join("demo-loads").join(name).display().to_string()
}

pub fn json(ran: &Ran) -> Value {
    serde_json::from_str(&ran.out).unwrap()
}

pub fn written(dir: &Path, name: &str, text: &str) -> PathBuf {
    let path = dir.join(name);
    fs::write(&path, text).unwrap();
    path
}

#[test]
fn the_four_demo_loads_exit_as_the_readme_says() {
    for (name, code) in [("clean", 0), ("cautions", 0), ("stop", 1), ("large", 0)] {
        let ran = run(&["review", &demo(&format!("{name}.load.ron"))]);
        assert_eq!(ran.code, code, "{name}: {}", ran.err);
        assert!(ran.out.contains(" found by "), "{name}: {}", ran.out);
        assert!(
            !ran.out.to_lowercase().contains("safe "),
            "{name} says safe"
        );
    }
}

#[test]
fn without_a_word_the_demo_is_reviewed() {
    let ran = run(&[]);
    assert_eq!(ran.code, 0);
    assert_eq!(ran.out, run(&["review", &demo("clean.load.ron")]).out);
    // A stop is found, and the exit is still 0.
    assert_eq!(run(&[&demo("stop.load.ron")]).code, 0);
}

#[test]
fn review_json_begins_with_its_schema_and_counts() {
    let ran = run(&["review", &demo("stop.load.ron"), "--json"]);
    assert_eq!(ran.code, 1);
    assert!(
        ran.out
            .starts_with("{\n  \"schema\": \"setterwright.review\",\n  \"version\": 1")
    );
    let value = json(&ran);
    let findings = value["findings"].as_array().unwrap();
    let stops = findings.iter().filter(|f| f["severity"] == "Stop").count();
    assert_eq!(value["stops_open"], stops);
    for finding in findings {
        for text in ["title", "sentence", "why", "remedy"] {
            let text = finding[text].as_str().unwrap();
            assert!(!text.is_empty() && !text.contains('{'), "{finding}");
        }
    }
}

#[test]
fn json_is_in_no_language() {
    let args = ["review", &demo("stop.load.ron"), "--json"];
    let plain = run(&args).out;
    set_locale(Locale::Pseudo);
    let pseudo = run(&args).out;
    set_locale(Locale::English);
    assert_eq!(plain, pseudo);
}

#[test]
fn measure_says_what_the_drawing_says() {
    let ran = run(&["measure", &demo("meshes/ribbed_plate.stl"), "--json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let value = json(&ran);
    // By hand: plate 60 × 40 × 3 and three ribs 6 mm high; ribs run the plate's whole depth or
    // less, so the volume lies between plate and plate with three 10 mm wide ribs.
    let volume = value["volume_mm3"].as_f64().unwrap();
    assert!(
        volume > 7200.0 && volume < 7200.0 + 3.0 * 10.0 * 40.0 * 6.0,
        "{volume}"
    );
    assert_eq!(value["height_mm"].as_f64().unwrap(), 9.0);
    assert!((value["outline_area_mm2"].as_f64().unwrap() - 2400.0).abs() < 1e-6);
    assert!((value["contact_area_mm2"].as_f64().unwrap() - 2400.0).abs() < 1e-6);
    assert_eq!(value["open_edges"], 0);
    assert_eq!(value["centroid_mm"].as_array().unwrap().len(), 3);
}

/// A block as ASCII STL, one of several solids of a file.
fn block(low: [f64; 3], size: [f64; 3]) -> String {
    let corner = |i: usize| [0, 1, 2].map(|k| low[k] + if i >> k & 1 == 1 { size[k] } else { 0.0 });
    let faces = [
        [0, 2, 3, 1],
        [4, 5, 7, 6],
        [0, 1, 5, 4],
        [2, 6, 7, 3],
        [0, 4, 6, 2],
        [1, 3, 7, 5],
    ];
    let mut text = String::from("solid block\n");
    for [a, b, c, d] in faces {
        for triangle in [[a, b, c], [a, c, d]] {
            text += "facet normal 0 0 0 outer loop\n";
            for [x, y, z] in triangle.map(corner) {
                text += &format!("vertex {x} {y} {z}\n");
            }
            text += "endloop endfacet\n";
        }
    }
    text + "endsolid block\n"
}

#[test]
fn a_volume_that_is_not_to_be_trusted_and_a_unit_that_looks_wrong_are_said() {
    let dir = tempfile::tempdir().unwrap();
    let mesh = |name: &str, text: &str| written(dir.path(), name, text).display().to_string();
    let bar = block([0.0; 3], [20.0, 10.0, 10.0]);
    let across = block([6.0, -4.0, 0.0], [10.0, 20.0, 10.0]);
    let file = mesh("bars.stl", &(bar.clone() + &across));
    let said = run(&["measure", &file]).out;
    assert!(
        said.contains("not to be trusted: 2 shells cross, or lie in each other."),
        "{said}"
    );
    let value = json(&run(&["measure", &file, "--json"]));
    assert_eq!(
        (&value["crossing_shells"], &value["volume_trusted"]),
        (&2.into(), &false.into())
    );
    assert!(value["governing_section_mm"].is_null());
    // Flush on all sides, so that no surface passes through another.
    let along = block([10.0, 0.0, 0.0], [20.0, 10.0, 10.0]);
    let within = block([2.0; 3], [5.0; 3]);
    for (name, other) in [("inline.stl", along), ("within.stl", within)] {
        let file = mesh(name, &(bar.clone() + &other));
        let value = json(&run(&["measure", &file, "--json"]));
        assert_eq!(value["volume_trusted"], false, "{name}");
        assert!(value["governing_section_mm"].is_null(), "{name}");
        assert!(value["overhang_area_mm2"].is_null(), "{name}");
    }
    let file = mesh("bar.stl", &bar);
    let value = json(&run(&["measure", &file, "--json"]));
    assert_eq!(
        (&value["crossing_shells"], &value["volume_trusted"]),
        (&0.into(), &true.into())
    );
    assert_eq!(value["notes"].as_array().unwrap().len(), 0);
    let inch = json(&run(&["measure", &file, "--unit", "in", "--json"]));
    let note = inch["notes"][0].as_str().unwrap();
    assert!(
        note.contains("508.000 mm") && note.contains("drawn in mm?"),
        "{note}"
    );
    let metres = run(&["measure", &file, "--unit", "m"]);
    assert!(metres.err.contains("check the unit"), "{}", metres.err);
    let small = mesh("small.stl", &block([0.0; 3], [0.5, 0.4, 0.3]));
    let said = run(&["measure", &small]).out;
    assert!(
        said.contains("0.500 mm with the unit mm; was it drawn in inches?"),
        "{said}"
    );
    let tiny = mesh("tiny.stl", &block([0.0; 3], [0.01; 3]));
    let huge = mesh("huge.stl", &block([0.0; 3], [1e7; 3]));
    for file in [tiny, huge] {
        let said = run(&["measure", &file]);
        assert_ne!(said.code, 0);
        assert!(
            said.err.contains("check the unit of the file"),
            "{}",
            said.err
        );
    }
}

#[test]
fn the_unit_scales_a_measurement_by_its_power() {
    let mesh = demo("meshes/latch.stl");
    let mm = json(&run(&["measure", &mesh, "--json"]));
    let inch = json(&run(&["measure", &mesh, "--unit", "in", "--json"]));
    for (key, power) in [("height_mm", 1), ("area_mm2", 2), ("volume_mm3", 3)] {
        let ratio = inch[key].as_f64().unwrap() / mm[key].as_f64().unwrap();
        assert!(
            (ratio - 25.4_f64.powi(power)).abs() < 1e-6 * ratio,
            "{key}: {ratio}"
        );
    }
}

#[test]
fn from_mesh_files_to_a_saved_load_that_reviews_alike() {
    let dir = tempfile::tempdir().unwrap();
    let meshes = dir.path().join("meshes");
    fs::create_dir(&meshes).unwrap();
    for name in ["bracket.stl", "ring.stl"] {
        fs::copy(demo(&format!("meshes/{name}")), meshes.join(name)).unwrap();
    }
    let script = fs::read_to_string(demo("clean.script")).unwrap();
    let script = written(dir.path(), "clean.script", &script);
    let out = dir.path().join("new.load.ron").display().to_string();
    let ran = run(&[
        "edit",
        "--script",
        &script.display().to_string(),
        "-o",
        &out,
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let first = run(&["review", &out]);
    assert_eq!(first.code, 0, "{}", first.out);
    // Without its meshes the load opens and reviews alike.
    fs::remove_dir_all(&meshes).unwrap();
    assert_eq!(run(&["review", &out]).out, first.out);
    // Saved again without a change it is the same file.
    let nothing = written(dir.path(), "nothing.script", "# nothing\n");
    let again = dir.path().join("again.load.ron").display().to_string();
    let ran = run(&[
        "edit",
        &out,
        "--script",
        &nothing.display().to_string(),
        "-o",
        &again,
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert_eq!(fs::read(&out).unwrap(), fs::read(&again).unwrap());
    // One part moved onto its neighbour: a stop, and moved back: none.
    let moved = written(
        dir.path(),
        "move.script",
        "move item=\"bracket 2\" dx=-30\n",
    );
    let ran = run(&[
        "edit",
        &out,
        "--script",
        &moved.display().to_string(),
        "-o",
        &again,
        "--overwrite",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let stopped = run(&["review", &again]);
    assert_eq!(stopped.code, 1);
    assert!(stopped.out.contains("[parts-touching]"), "{}", stopped.out);
    let back = written(dir.path(), "back.script", "move item=\"bracket 2\" dx=30\n");
    let ran = run(&[
        "edit",
        &again,
        "--script",
        &back.display().to_string(),
        "-o",
        &again,
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert_eq!(run(&["review", &again]).code, 0);
}

#[test]
fn a_script_that_fails_says_the_line_and_writes_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let out = dir.path().join("out.load.ron");
    let cases = [
        ("title text=a\nplcae part=x\n", "line 2", "place"),
        (
            "level setter=alumina-squar-200x6 on=hearth\n",
            "line 1",
            "alumina-square-200x6",
        ),
        (
            "part name=a block=1x2 size=final feedstock=316l-wax\n",
            "line 1",
            "block",
        ),
        (
            "part name=a mesh=none.stl unit=mm size=final feedstock=316l-wax\n",
            "line 1",
            "none.stl",
        ),
        ("segment rate=2K/min to=1e400\n", "line 1", "to"),
        ("title text=\"open\n", "line 1", "quote"),
        ("start on=2027-13-45\n", "line 1", "year-month-day"),
        (
            "declare question=over-temperature-sett answer=1375 by=a on=2027-03-15\n",
            "line 1",
            "did you mean over-temperature-set?",
        ),
        (
            "part name=a block=1x2 size=final feedstock=316l-wax\n",
            "line 1",
            "block must be width x depth x height",
        ),
        (
            "dummy block=20x20x10 mass=-3 material=alumina-995 level=1\n",
            "line 1",
            "stack",
        ),
    ];
    for (text, line, word) in cases {
        let script = written(dir.path(), "bad.script", text)
            .display()
            .to_string();
        let ran = run(&[
            "edit",
            "--script",
            &script,
            "-o",
            &out.display().to_string(),
        ]);
        assert_eq!(ran.code, 2, "{text}");
        assert!(
            ran.err.contains(line) && ran.err.contains(word),
            "{text}: {}",
            ran.err
        );
        assert!(!out.exists(), "{text} wrote a file");
    }
}

/// Runs a script on a load and gives what was said and the new file.
fn edited(dir: &Path, load: &str, script: &str) -> (Ran, PathBuf) {
    let out = dir.join("edited.load.ron");
    let script = written(dir, "edit.script", script).display().to_string();
    let to = out.display().to_string();
    let words = ["edit", load, "--script", &script, "-o", &to, "--overwrite"];
    (run(&words), out)
}

#[test]
fn an_array_of_nothing_or_on_one_spot_is_refused() {
    let dir = tempfile::tempdir().unwrap();
    for (array, said) in [
        ("columns=0 rows=2 pitch=30", "columns must be at least 1"),
        ("columns=2 rows=0 pitch=30", "rows must be at least 1"),
        ("columns=2 rows=2 pitch=0", "pitch must be above zero"),
        ("columns=2 rows=2 pitch=30x0", "pitch must be above zero"),
        ("columns=2 rows=2 pitch=-30", "pitch must be above zero"),
    ] {
        let script = format!("array part=bracket level=1 {array}\n");
        let (ran, _) = edited(dir.path(), &demo("clean.load.ron"), &script);
        assert_eq!(ran.code, 2, "{array}");
        assert!(ran.err.contains(said), "{array}: {}", ran.err);
    }
}

#[test]
fn a_level_goes_to_the_stack_made_or_named_last() {
    let dir = tempfile::tempdir().unwrap();
    let level = "level setter=alumina-square-100x4 on=hearth\n";
    let script = format!(
        "{level}stack at=120,0\n{level}{level}level stack=1 setter=alumina-square-100x4 \
         on=feet feet=20\n{level}stack at=0,120\n{level}remove-stack stack=3\n{level}"
    );
    let out = dir.path().join("out.load.ron").display().to_string();
    let script = written(dir.path(), "s.script", &script)
        .display()
        .to_string();
    let ran = run(&["edit", "--script", &script, "-o", &out]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let plan = setterwright::files::read_load(Path::new(&out)).unwrap();
    let levels: Vec<usize> = plan.load.stacks.iter().map(|s| s.levels.len()).collect();
    // One, then the named one and the one after it, then again after the third was taken away.
    assert_eq!(levels, [4, 2]);
    // A stack that is not there is not made up.
    let far = written(
        dir.path(),
        "s.script",
        &format!("level stack=2 {}", &level[6..]),
    );
    let ran = run(&[
        "edit",
        "--script",
        &far.display().to_string(),
        "-o",
        &out,
        "--overwrite",
    ]);
    assert_eq!(ran.code, 2, "{}", ran.err);
    assert!(ran.err.contains("line 1"), "{}", ran.err);
    assert!(run(&["edit", "--help"]).out.contains("made or named last"));
}

#[test]
fn hold_soak_and_dwell_are_one() {
    let dir = tempfile::tempdir().unwrap();
    let load = demo("clean.load.ron");
    let hold = |word: &str| {
        let (ran, out) = edited(
            dir.path(),
            &load,
            &format!("change-segment segment=1 {word}\n"),
        );
        assert_eq!(ran.code, 0, "{word}: {}", ran.err);
        let plan = setterwright::files::read_load(&out).unwrap();
        plan.profile.segments[0].hold_min
    };
    assert_eq!(hold("hold=61min"), 61.0);
    assert_eq!(hold("soak=\"62 min\""), 62.0);
    assert_eq!(hold("dwell=1h"), 60.0);
    let (ran, _) = edited(
        dir.path(),
        &load,
        "change-segment segment=1 hold=1h soak=1h\n",
    );
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("one hold"), "{}", ran.err);
}

#[test]
fn numbers_run_out_in_a_sentence_and_never_repeat() {
    let dir = tempfile::tempdir().unwrap();
    let text = fs::read_to_string(demo("clean.load.ron")).unwrap();
    let at = text.find("next_id: ").unwrap();
    let end = at + text[at..].find(',').unwrap();
    let near = format!("{}next_id: 4294967290{}", &text[..at], &text[end..]);
    let near = written(dir.path(), "near.load.ron", &near)
        .display()
        .to_string();
    let array =
        |rows: usize| format!("array part=bracket level=1 columns=1 rows={rows} pitch=30\n");
    // 4294967290 to 4294967294 are five; the last number is never given.
    let (ran, full) = edited(dir.path(), &near, &array(5));
    assert_eq!(ran.code, 0, "{}", ran.err);
    let full_bytes = fs::read(&full).unwrap();
    let full = written(dir.path(), "full.load.ron", "")
        .display()
        .to_string();
    fs::write(&full, full_bytes).unwrap();
    let level = "level setter=alumina-square-100x4 on=hearth\n";
    let stack = "stack at=0,0\n";
    let bar = "part name=b block=1x2x3 size=final feedstock=316l-wax\n";
    for (load, script) in [
        (&near, &array(6)[..]),
        (&near, "repeat-level level=1 times=9\n"),
        (&full, &array(1)),
        (&full, "repeat-level level=1 times=1\n"),
        (&full, "place part=bracket level=1\n"),
        (&full, level),
        (&full, stack),
        (&full, bar),
        (&full, "segment rate=1 to=100\n"),
    ] {
        let (ran, _) = edited(dir.path(), load, script);
        assert_eq!(ran.code, 2, "{script}");
        assert!(ran.err.contains("no numbers left"), "{script}: {}", ran.err);
    }
    // What is there can still be changed.
    let (ran, _) = edited(dir.path(), &full, "remove item=\"bracket 1\"\n");
    assert_eq!(ran.code, 0, "{}", ran.err);
}

#[test]
fn a_huge_number_does_not_drown_the_sentence() {
    let dir = tempfile::tempdir().unwrap();
    let load = demo("clean.load.ron");
    for script in [
        "place part=bracket level=1 x=1e308\n",
        "place part=bracket level=1 angle=1e308\n",
        "part name=b block=1e308x2x3 size=final feedstock=316l-wax\n",
        "change-segment segment=1 to=-1e308\n",
    ] {
        let (ran, _) = edited(dir.path(), &load, script);
        assert!(ran.err.len() < 400, "{script}: {}", ran.err);
    }
    let corner = |x: &str| format!("vertex {x} 0 0\n");
    let facet = format!(
        "facet normal 0 0 1\nouter loop\n{}{}vertex 0 1 0\nendloop\nendfacet\n",
        corner("0"),
        corner("1e308")
    );
    let stl = written(
        dir.path(),
        "far.stl",
        &format!("solid a\n{facet}endsolid a\n"),
    );
    let ran = run(&["measure", &stl.display().to_string()]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.len() < 400, "{}", ran.err);
}

#[cfg(unix)]
/// Without a display the program prints the review of the load, by the shop's records where they
/// are named.
#[test]
fn a_shop_folder_is_named_for_the_load_that_is_opened() {
    let load = demo("clean.load.ron");
    let said = |args: &[&str]| {
        let ran = run(args);
        assert_eq!(ran.code, 0, "{}", ran.err);
        ran.out
    };
    let plain = said(&[&load]);
    let shop = tempfile::tempdir().unwrap();
    let wide = "(kind: \"catalogue\", version: 1, limits: [(id: \"gap-min\", name: \"gap\", value: 5, \
                unit: \"mm\", scope: Shop, set_by: \"engineer\", source: \"shop\", standing: Shop, \
                revision: 1)])";
    fs::write(shop.path().join("a.ron"), wide).unwrap();
    let dir = shop.path().display().to_string();
    let judged = said(&[&load, "--shop", &dir]);
    assert_ne!(plain, judged);
    let ran = run(&[&load, "--shop", "no-such-folder"]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("no-such-folder"), "{}", ran.err);
}

#[test]
fn a_shop_that_is_no_folder_is_said() {
    let dir = tempfile::tempdir().unwrap();
    let pipe = dir.path().join("pipe");
    let made = std::process::Command::new("mkfifo").arg(&pipe).status();
    assert!(made.unwrap().success());
    let file = written(dir.path(), "file", "");
    for shop in [pipe, file] {
        let shop = shop.display().to_string();
        let ran = run(&["review", &demo("clean.load.ron"), "--shop", &shop]);
        assert_eq!(ran.code, 2);
        assert!(ran.err.contains("not a folder"), "{}", ran.err);
    }
}

#[test]
fn tally_json_adds_up() {
    let value = json(&run(&["tally", &demo("large.load.ron"), "--json"]));
    let levels = value["levels"].as_array().unwrap();
    assert_eq!(levels.len(), 12);
    let sum = |key: &str| levels.iter().map(|l| l[key].as_f64().unwrap()).sum::<f64>();
    for key in ["entering_g", "binder_to_burn_g", "furniture_g"] {
        let whole = value["whole"][key].as_f64().unwrap();
        assert!((sum(key) - whole).abs() < 1e-6 * whole, "{key}");
    }
    let pieces = value["pieces"].as_array().unwrap();
    let placed: u64 = pieces.iter().map(|p| p["pieces"].as_u64().unwrap()).sum();
    assert_eq!(placed, value["whole"]["parts"].as_u64().unwrap());
}

#[test]
fn a_finding_is_accepted_with_a_reason_and_a_safety_finding_is_not() {
    let dir = tempfile::tempdir().unwrap();
    let out = dir.path().join("out.load.ron").display().to_string();
    let accept =
        "accept check=post-too-slim by=\"engineer\" reason=\"capped posts\" on=2026-11-24\n";
    let script = written(dir.path(), "accept.script", accept)
        .display()
        .to_string();
    let ran = run(&[
        "edit",
        &demo("cautions.load.ron"),
        "--script",
        &script,
        "-o",
        &out,
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let value = json(&run(&["review", &out, "--json"]));
    let of = |value: &Value| {
        let findings = value["findings"].as_array().unwrap().clone();
        findings
            .into_iter()
            .find(|f| f["check"] == "post-too-slim")
            .unwrap()
    };
    assert_eq!(of(&value)["accepted_by"], "engineer");
    let before = json(&run(&["review", &demo("cautions.load.ron"), "--json"]));
    let open = |v: &Value| v["cautions_open"].as_u64().unwrap();
    assert_eq!(open(&value) + 1, open(&before));
    // A safety finding is not accepted with a sentence.
    let accept = "accept check=hydrogen-without-purge-before by=x reason=y on=2026-11-24\n";
    let script = written(dir.path(), "accept.script", accept)
        .display()
        .to_string();
    let ran = run(&[
        "edit",
        &demo("stop.load.ron"),
        "--script",
        &script,
        "-o",
        &out,
        "--overwrite",
    ]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("safety finding"), "{}", ran.err);
}

#[test]
fn help_is_in_whole_sentences_and_slips_exit_with_two() {
    for args in [&["--help"][..], &["review", "--help"], &["edit", "--help"]] {
        let ran = run(args);
        assert_eq!(ran.code, 0);
        assert!(ran.out.contains("Usage:"), "{}", ran.out);
    }
    assert!(
        run(&["edit", "--help"])
            .out
            .contains("If any line fails, nothing is written.")
    );
    let ran = run(&["reveiw", "x"]);
    assert_eq!(ran.code, 2);
    assert!(!ran.err.is_empty() && ran.out.is_empty());
    assert_eq!(run(&["review", "no-such.load.ron"]).code, 2);
    assert_eq!(run(&["measure", &demo("clean.load.ron")]).code, 2);
}

/// A box from `low` to `high` as OBJ lines; `first` is the number of its first vertex.
fn obj_box(name: &str, low: [f64; 3], high: [f64; 3], first: usize) -> String {
    let mut text = format!("o {name}\n");
    for k in 0..8 {
        let pick = |axis: usize| {
            if k >> axis & 1 == 1 {
                high[axis]
            } else {
                low[axis]
            }
        };
        text += &format!("v {} {} {}\n", pick(0), pick(1), pick(2));
    }
    for face in [
        [0, 2, 3, 1],
        [4, 5, 7, 6],
        [0, 1, 5, 4],
        [2, 6, 7, 3],
        [0, 4, 6, 2],
        [1, 3, 7, 5],
    ] {
        let corners = face.map(|c| (c + first).to_string());
        text += &format!("f {}\n", corners.join(" "));
    }
    text
}

#[test]
fn bodies_of_a_file_are_measured_as_one_or_one_by_one() {
    let dir = tempfile::tempdir().unwrap();
    let text = obj_box("plate", [0.0; 3], [30.0, 20.0, 2.0], 1)
        + &obj_box("post", [40.0, 0.0, 1.0], [44.0, 4.0, 11.0], 9);
    let path = written(dir.path(), "two.obj", &text).display().to_string();
    let one = json(&run(&["measure", &path, "--json"]));
    assert_eq!(
        (one["bodies"].as_u64(), one["format"].as_str()),
        (Some(2), Some("OBJ"))
    );
    assert!((one["volume_mm3"].as_f64().unwrap() - 1360.0).abs() < 1e-9);
    let post = json(&run(&["measure", &path, "--body", "2", "--json"]));
    assert_eq!(post["name"], "post");
    assert!((post["volume_mm3"].as_f64().unwrap() - 160.0).abs() < 1e-9);
    let all = json(&run(&["measure", &path, "--body", "all", "--json"]));
    assert_eq!(all["bodies"].as_array().unwrap().len(), 2);
    assert_eq!(all["bodies"][1], post);
    let said = run(&["measure", &path, "--body", "3"]);
    assert_eq!(said.code, 2);
    assert!(
        said.err
            .contains("there is no body 3: the file has 2 bodies"),
        "{}",
        said.err
    );
    assert_eq!(run(&["measure", &path, "--body", "0"]).code, 2);
    let text = run(&["measure", &path, "--body", "all"]).out;
    assert!(text.contains("body: 2 of 2, \"post\""), "{text}");
}

#[test]
fn a_check_is_switched_with_all_its_conditions_but_never_what_guards_people() {
    let shop = tempfile::tempdir().unwrap();
    let dir = shop.path().display().to_string();
    let set = |checks: &str| {
        let text = format!("(kind: \"catalogue\", version: 1, checks: [{checks}])");
        fs::write(shop.path().join("a.ron"), text).unwrap();
        run(&["review", "--list", "--json", "--shop", &dir])
    };
    let on = |listed: &Value, slug: &str| {
        let checks = listed["checks"].as_array().unwrap();
        let row = checks.iter().find(|c| c["check"] == slug).unwrap();
        row["on"].as_bool().unwrap()
    };
    let ran = set(
        "(check: \"opening-the-door\", on: false, reason: \"by hand\", set_by: \"E\"), \
         (check: \"vacuum-at-the-door\", on: true, reason: \"that one is kept\", set_by: \"E\")",
    );
    let listed: Value = serde_json::from_str(&ran.out).unwrap();
    assert!(!on(&listed, "ends-hot"));
    assert!(on(&listed, "vacuum-at-the-door"));
    assert!(on(&listed, "unload-too-hot"));
    let ran = run(&["review", "--json", &demo("clean.load.ron"), "--shop", &dir]);
    let found: Value = serde_json::from_str(&ran.out).unwrap();
    let off = found["checks_off"].as_array().unwrap();
    assert!(off.contains(&Value::from("ends-hot")));
    assert!(!off.contains(&Value::from("vacuum-at-the-door")));
    assert!(!off.contains(&Value::from("unload-too-hot")));
    let ran = set("(check: \"over-temperature\", on: false, reason: \"by hand\")");
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("is a safety check"), "{}", ran.err);
    let ran = set("(check: \"opening-the-dor\", on: false, reason: \"by hand\")");
    assert!(ran.err.contains("opening-the-door"), "{}", ran.err);
}

#[test]
fn every_check_is_listed_with_its_limits_and_their_owner() {
    let ran = run(&["review", "--list"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    for check in setterwright::review::all_checks() {
        assert!(
            ran.out.contains(&format!("[{}]", check.slug)),
            "{}",
            check.slug
        );
    }
    assert!(
        ran.out.contains("smallest gap between parts"),
        "{}",
        ran.out
    );
    assert!(
        ran.out
            .contains("set by Setterwright starting catalogue (built-in)")
    );

    let shop = tempfile::tempdir().unwrap();
    let text = "(kind: \"catalogue\", version: 1, limits: [(id: \"gap-min\", name: \"gap\", value: 5, \
                unit: \"mm\", scope: Shop, set_by: \"engineer\", source: \"shop\", standing: Shop, \
                revision: 1)], checks: [(check: \"ends-hot\", on: false, reason: \"by hand\", set_by: \"E\")])";
    fs::write(shop.path().join("a.ron"), text).unwrap();
    let dir = shop.path().display().to_string();
    let ran = run(&["review", "--list", "--json", "--shop", &dir]);
    let listed: Value = serde_json::from_str(&ran.out).unwrap();
    let checks = listed["checks"].as_array().unwrap();
    assert_eq!(checks.len(), setterwright::review::all_checks().count());
    let of = |slug: &str| checks.iter().find(|c| c["check"] == slug).unwrap();
    let gaps = of("gap-too-small")["limits"].as_array().unwrap();
    assert!(
        gaps.iter()
            .any(|l| l["set_by"] == "engineer" && l["value"] == 5.0)
    );
    assert_eq!(of("ends-hot")["on"], false);
    assert_eq!(of("ends-hot")["reason"], "by hand");
    assert_eq!(of("unload-too-hot")["safety"], true);
    // The same folder's reason stands under a review.
    let ran = run(&["review", &demo("clean.load.ron"), "--shop", &dir]);
    assert!(ran.out.contains("ends-hot: by hand"), "{}", ran.out);
}
