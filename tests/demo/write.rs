// Writes the demo loads and the meshes they use; the example and the test that regenerates them
// both go through here.

// The example and the tests each use only some of this file.
#![allow(dead_code)]
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "plans.rs"]
pub mod plans;

use setterwright::catalogue::builtin;
use setterwright::files::{save_load, working};
use std::path::{Path, PathBuf};

/// Rebuilds the clean load by `setterwright edit`.
const CLEAN_SCRIPT: &str = include_str!("clean.script");

/// A week of lots that wait.
const BACKLOG: &str = include_str!("week.backlog.ron");

/// State of the invented shop: the shop folder of the demo loads.
const SHOP: &str = include_str!("../../assets/catalogue/shop.ron");

/// Writes `meshes/*.stl`, the four loads and the script into a folder and gives their paths in it.
pub fn write_all(folder: &Path) -> Result<Vec<PathBuf>, String> {
    let said = |path: &Path, fault: std::io::Error| format!("{}: {fault}", path.display());
    let meshes = folder.join("meshes");
    for below in [&meshes, &folder.join("shop")] {
        std::fs::create_dir_all(below).map_err(|fault| said(below, fault))?;
    }
    let mut written = Vec::new();
    let mut write = |name: PathBuf, bytes: &[u8]| {
        let path = folder.join(&name);
        std::fs::write(&path, bytes).map_err(|fault| said(&path, fault))?;
        written.push(name);
        Ok::<(), String>(())
    };
    for mesh in plans::meshes::all() {
        let name = Path::new("meshes").join(format!("{}.stl", mesh.name));
        write(name, &mesh.file_bytes())?;
    }
    write(PathBuf::from("clean.script"), CLEAN_SCRIPT.as_bytes())?;
    write(PathBuf::from("week.backlog.ron"), BACKLOG.as_bytes())?;
    write(Path::new("shop").join("shop.ron"), SHOP.as_bytes())?;
    for (stem, plan) in plans::all() {
        let name = PathBuf::from(format!("{stem}.load.ron"));
        let mut records = working(&plan, None).map_err(|fault| fault.to_string())?;
        records.shop = Some(builtin().unwrap().1);
        save_load(&folder.join(&name), &plan, &records).map_err(|fault| fault.to_string())?;
        written.push(name);
    }
    Ok(written)
}
