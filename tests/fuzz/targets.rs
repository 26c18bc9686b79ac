//! What is fuzzed: each reader with what follows it. Whatever the bytes are, a reader gives a value
//! or one sentence; what it gives is read, measured or written again without a panic.

use setterwright::catalogue::{Catalogue, builtin};
use setterwright::cli::{Shop, run_script};
use setterwright::files::obj::read_obj;
use setterwright::files::stl::read_stl;
use setterwright::files::threemf::read_3mf;
use setterwright::files::{decode_catalogue, decode_load, decode_mesh, decode_profile};
use setterwright::load::Plan;
use setterwright::part::{MeshUnit, measure_mesh};
use std::path::Path;
use std::sync::Arc;

/// Meshes of more triangles are read and not measured.
const MEASURED: usize = 500;

/// A fault is told in one piece, and names something.
fn told(fault: &impl std::fmt::Display) {
    let said = fault.to_string();
    assert!(said.len() > 10, "{said:?}");
    assert!(!said.contains('\n'), "{said:?}");
}

/// Reads a mesh by its own reader and by the common one.
pub fn mesh(bytes: &[u8], ending: &str) {
    match ending {
        "stl" => {
            if let Err(fault) = read_stl(bytes) {
                told(&fault);
            }
        }
        "obj" => {
            if let Err(fault) = read_obj(bytes) {
                told(&fault);
            }
        }
        _ => {
            if let Err(fault) = read_3mf(bytes) {
                told(&fault);
            }
        }
    }
    let file = match decode_mesh(bytes, ending) {
        Ok(file) => file,
        Err(fault) => return told(&fault),
    };
    assert!(!file.bodies.is_empty());
    assert!(
        file.mesh
            .vertices
            .as_flattened()
            .iter()
            .all(|c| c.is_finite())
    );
    file.notes.iter().for_each(told);
    if let Some((mended, _)) = file.mesh.mended() {
        let (before, after) = (file.mesh.open_edges(), mended.open_edges());
        assert!(after <= before, "{before} open edges became {after}");
    }
}

/// Reads a mesh and measures what is in it.
pub fn measured(bytes: &[u8], ending: &str) {
    mesh(bytes, ending);
    let Ok(file) = decode_mesh(bytes, ending) else {
        return;
    };
    if file.mesh.triangles.len() > MEASURED {
        return;
    }
    let bodies = file.bodies.iter().take(8).map(|b| &b.mesh);
    for mesh in bodies.chain([&file.mesh]) {
        match measure_mesh(mesh, MeshUnit::Millimetre) {
            Ok(found) => {
                let volume = found.volume_mm3;
                assert!(volume > 0.0 && volume.is_finite(), "{volume}");
                let section = found.section_mm;
                assert!(
                    section.is_none_or(|d| d > 0.0 && d.is_finite()),
                    "{section:?}"
                );
            }
            Err(fault) => told(&fault),
        }
    }
}

/// Reads a load, and writes and reads again what came of it.
pub fn load(bytes: &[u8]) {
    match decode_load("x.load.ron", bytes) {
        Ok(plan) => drop(plan),
        Err(fault) => told(&fault),
    }
}

/// Reads a profile.
pub fn profile(bytes: &[u8]) {
    match decode_profile("x.profile.ron", bytes) {
        Ok(profile) => drop(profile),
        Err(fault) => told(&fault),
    }
}

/// Reads a catalogue file.
pub fn catalogue(bytes: &[u8]) {
    match decode_catalogue("x.ron", bytes) {
        Ok(file) => drop(file),
        Err(fault) => told(&fault),
    }
}

/// The starting catalogue, which scripts run on.
pub fn shop() -> Arc<Catalogue> {
    builtin()
        .map(|(catalogue, _)| catalogue)
        .unwrap_or_default()
}

/// Runs a script on an empty load, in a folder that is not there.
pub fn script(bytes: &[u8], catalogue: &Catalogue) {
    let Ok(text) = str::from_utf8(bytes) else {
        return;
    };
    let shop = Shop {
        catalogue,
        shop: None,
        folder: Path::new("no-such-folder"),
        standard: None,
    };
    match run_script(text, &Plan::empty("small-vacuum-box"), &shop) {
        Ok((plan, steps)) => drop((plan, steps)),
        Err(fault) => told(&fault),
    }
}
