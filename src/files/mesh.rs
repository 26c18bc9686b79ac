//! Mesh files, and parts made from them.

use super::disk::{check_file, read_bytes};
use super::fault::{Fault, FileFault};
use super::form::sha256_hex;
use super::stl::{StlFormat, StlNote, read_stl};
use crate::geometry::Mesh;
use crate::part::{Drawn, Geometry, MeshUnit, Part, PartId, Shape, measure_mesh};
use std::path::Path;
use std::sync::Arc;

/// Most bytes of a mesh file that are read: twenty million triangles in binary (assumed).
pub const MESH_CAP: u64 = 1_000_000_000;

/// A mesh as read.
#[derive(Clone, Debug, PartialEq)]
pub struct MeshFile {
    /// Welded triangles, in the file's own unit.
    pub mesh: Mesh,
    /// SHA-256 of the file's bytes, hexadecimal.
    pub sha256: String,
    /// How it was written.
    pub format: StlFormat,
    /// What was odd but did not stand in the way.
    pub notes: Vec<StlNote>,
}

/// Reads a mesh file: STL, binary or ASCII.
///
/// # Errors
/// Another format, or what is wrong with the file.
pub fn read_mesh(path: &Path) -> Result<MeshFile, FileFault> {
    let extension = path.extension().unwrap_or_default().to_string_lossy();
    if !extension.eq_ignore_ascii_case("stl") {
        // A name that is not there or is no file is said so first.
        check_file(path, MESH_CAP)?;
        let what = Fault::MeshFormat(extension.into_owned());
        return Err(FileFault::new(path, what));
    }
    let bytes = read_bytes(path, MESH_CAP)?;
    let file = read_stl(&bytes).map_err(|fault| FileFault::new(path, Fault::Stl(fault)))?;
    Ok(MeshFile {
        mesh: Mesh::from_soup(&file.triangles),
        sha256: sha256_hex(&bytes),
        format: file.format,
        notes: file.notes,
    })
}

/// What a mesh file does not say about the part in it.
#[derive(Clone, Debug, PartialEq)]
pub struct PartFrom {
    /// Number in the plan.
    pub id: PartId,
    /// Name.
    pub name: String,
    /// Feedstock slug.
    pub feedstock: String,
    /// Unit of the file's numbers.
    pub unit: MeshUnit,
    /// Size at which it is drawn.
    pub drawn: Drawn,
}

/// A part record from a mesh file, resting as drawn. `path` is kept as given.
///
/// # Errors
/// As [`read_mesh`], and a mesh that cannot be measured.
pub fn part_from_mesh(path: &Path, from: PartFrom) -> Result<(Part, Vec<StlNote>), FileFault> {
    let PartFrom {
        id,
        name,
        feedstock,
        unit,
        drawn,
    } = from;
    let (shape, geometry, notes) = shape_from_mesh(path, &path.display().to_string(), unit)?;
    let part = Part {
        id,
        name,
        feedstock,
        shape,
        drawn,
        geometry: Arc::new(geometry),
        made_with_oversize: None,
        weighed: None,
        section_mm: None,
        work_zone_only: false,
    };
    Ok((part, notes))
}

/// Shape and measures of a mesh file that is named `named` in the plan.
///
/// # Errors
/// As [`read_mesh`], and a mesh that cannot be measured.
pub fn shape_from_mesh(
    path: &Path,
    named: &str,
    unit: MeshUnit,
) -> Result<(Shape, Geometry, Vec<StlNote>), FileFault> {
    let read = read_mesh(path)?;
    let geometry = measure_mesh(&read.mesh, unit)
        .map_err(|fault| FileFault::new(path, Fault::Shape(fault.to_string())))?;
    let shape = Shape::Mesh {
        file: named.to_owned(),
        unit,
        sha256: read.sha256,
    };
    Ok((shape, geometry, read.notes))
}
