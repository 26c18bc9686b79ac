//! What the command line writes, where, and what it never writes over.

use crate::cli::{Ran, demo, run, written};
use setterwright::files;
use setterwright::part::Shape;
use std::ffi::OsString;
use std::fs;
use std::io::{self, ErrorKind, Write};
use std::path::Path;

/// A load that is there is given up by an option alone, and the one that is read by none.
#[test]
fn a_load_that_is_there_is_not_written_over() {
    let dir = tempfile::tempdir().unwrap();
    let at = |name: &str| dir.path().join(name).display().to_string();
    let script = written(dir.path(), "s.script", "title text=another\n");
    let script = script.display().to_string();
    let (from, there) = (demo("cautions.load.ron"), at("there.load.ron"));
    fs::copy(demo("clean.load.ron"), &there).unwrap();
    let before = fs::read(&there).unwrap();
    let arrange = [
        "arrange",
        &from,
        "-o",
        &there,
        "--budget",
        "1000000",
        "--without-forecast",
    ];
    let edit = ["edit", &from, "--script", &script, "-o", &there];
    for words in [&arrange[..], &edit] {
        let ran = run(words);
        assert_eq!(ran.code, 2, "{}", ran.out);
        let said = format!("{there} is there already, and nothing was changed");
        assert!(ran.err.starts_with(&said), "{}", ran.err);
        assert!(ran.err.contains("--overwrite"), "{}", ran.err);
        assert_eq!(fs::read(&there).unwrap(), before);
    }
    for words in [&arrange[..], &edit] {
        let ran = run(&[words, &["--overwrite"]].concat());
        assert_eq!(ran.code, 0, "{}", ran.err);
        assert_ne!(fs::read(&there).unwrap(), before);
        fs::write(&there, &before).unwrap();
    }
    // Nothing is lost of an empty file.
    fs::write(&there, "").unwrap();
    assert_eq!(run(&edit).code, 0);
    // Another way to the same file is that file.
    let around = dir.path().join(".").join("there.load.ron");
    let around = around.display().to_string();
    let own = ["arrange", &there, "-o", &around, "--overwrite"];
    let ran = run(&own);
    assert_eq!(ran.code, 2, "{}", ran.out);
    assert!(ran.err.contains("the load that is read"), "{}", ran.err);
    // Named twice on one line, it is to be changed in place.
    let ran = run(&["edit", &there, "--script", &script, "-o", &around]);
    assert_eq!(ran.code, 0, "{}", ran.err);
}

/// Takes so many bytes, then fails.
struct Cut {
    takes: usize,
    fails: ErrorKind,
}

impl Write for Cut {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if self.takes == 0 {
            return Err(io::Error::from(self.fails));
        }
        let taken = self.takes.min(bytes.len());
        self.takes -= taken;
        Ok(taken)
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

fn run_cut(args: &[&str], takes: usize, fails: ErrorKind) -> (u8, String) {
    let all = std::iter::once(&"setterwright").chain(args);
    let (mut out, mut err) = (Cut { takes, fails }, Vec::new());
    let code = setterwright::cli::run(all.map(OsString::from), &mut out, &mut err);
    (code, String::from_utf8(err).unwrap())
}

/// `… | head -1`: the command does what it was asked for, and its exit is its own.
#[test]
fn a_reader_that_leaves_changes_neither_exit_nor_files() {
    let dir = tempfile::tempdir().unwrap();
    let at = |name: &str| dir.path().join(name).display().to_string();
    let gone = ErrorKind::BrokenPipe;
    for (name, code) in [("stop", 1), ("clean", 0)] {
        let file = demo(&format!("{name}.load.ron"));
        for words in [
            &["review", &file][..],
            &["review", "--json", &file],
            &["tally", &file],
        ] {
            let code = if words[0] == "review" { code } else { 0 };
            assert_eq!(run_cut(words, 20, gone), (code, String::new()), "{words:?}");
        }
    }
    let from = demo("cautions.load.ron");
    let asked = |to: &str| {
        let more = ["--budget", "1000000", "--without-forecast"];
        let words = ["arrange", &from, "-o", to].into_iter().chain(more);
        words.map(str::to_owned).collect::<Vec<_>>()
    };
    let (whole, cut) = (at("whole.load.ron"), at("cut.load.ron"));
    let words = asked(&whole);
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    assert_eq!(run(&words).code, 0);
    let words = asked(&cut);
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    assert_eq!(run_cut(&words, 0, gone), (0, String::new()));
    assert_eq!(fs::read(&whole).unwrap(), fs::read(&cut).unwrap());
    // The draft is written after what is printed of it.
    let (file, draft) = (demo("clean.load.ron"), at("draft.load.ron"));
    let words = [
        "forecast",
        &file,
        "--shorten",
        "--segment",
        "3",
        "-o",
        &draft,
    ];
    assert_eq!(run_cut(&words, 30, gone).0, 0);
    files::read_load(Path::new(&draft)).unwrap();
    // A full disk is no reader that left.
    let (code, err) = run_cut(&["review", &file], 20, ErrorKind::StorageFull);
    assert_eq!(code, 2);
    assert!(err.contains("could not be written"), "{err}");
}

fn edited(load: &str, script: &Path, to: &Path) -> Ran {
    let (script, to) = (script.display().to_string(), to.display().to_string());
    run(&["edit", load, "--script", &script, "-o", &to])
}

/// All its meshes are where the load says.
fn has_meshes(load: &Path) {
    let plan = files::read_load(load).unwrap();
    let mut meshes = 0;
    for part in &plan.parts {
        if let Shape::Mesh { file, .. } = &part.shape {
            assert!(load.parent().unwrap().join(file).exists(), "{file}");
            meshes += 1;
        }
    }
    assert!(meshes > 0);
}

/// Load, script and what is written lie in folders of their own; the script lays a part of the load
/// on another face, for which its mesh is read again, and adds one from a mesh beside itself.
#[test]
fn meshes_are_found_from_where_an_edited_load_lies() {
    let dir = tempfile::tempdir().unwrap();
    let [load, scripts, out] = ["load", "scripts", "deep/out"].map(|name| {
        let folder = dir.path().join(name);
        fs::create_dir_all(folder.join("meshes")).unwrap();
        folder
    });
    let file = load.join("a.load.ron");
    fs::copy(demo("clean.load.ron"), &file).unwrap();
    for name in ["bracket.stl", "ring.stl"] {
        fs::copy(
            demo(&format!("meshes/{name}")),
            load.join("meshes").join(name),
        )
        .unwrap();
    }
    fs::copy(demo("meshes/ring.stl"), scripts.join("meshes/other.stl")).unwrap();
    let text = "rest part=bracket rest=0,-1,0\n\
                part name=other mesh=meshes/other.stl unit=mm size=final feedstock=316l-wax\n";
    let script = written(&scripts, "s.script", text);
    let to = out.join("b.load.ron");
    let ran = edited(&file.display().to_string(), &script, &to);
    assert_eq!(ran.code, 0, "{}", ran.err);
    has_meshes(&to);
    // Back beside the first one nothing is left of the way.
    let nothing = written(&out, "n.script", "# nothing\n");
    let back = load.join("c.load.ron");
    let ran = edited(&file.display().to_string(), &nothing, &back);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let plan = |file: &Path| files::read_load(file).unwrap();
    assert_eq!(plan(&file), plan(&back));
    // A shorter program as a draft elsewhere.
    let (from, draft) = (file.display().to_string(), out.join("d.load.ron"));
    let to = draft.display().to_string();
    let ran = run(&["forecast", &from, "--shorten", "--segment", "3", "-o", &to]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    has_meshes(&draft);
}
