//! Parts laid another way: measured anew from their mesh files.

use super::fault::{Fault, FileFault};
use super::mesh::read_mesh;
use crate::geometry::Mesh;
use crate::part::{
    Geometry, MeasureFault, MeshUnit, Part, Rest, Shape, measure_mesh_at, measure_typed_at,
    mesh_in_mm, typed_mesh,
};
use crate::statics::{Poses, RestBy, resting_poses};
use crate::text::poses as say;
use std::path::{Path, PathBuf};

/// A part in another resting pose, with its measures there. A mesh is read again from `folder`,
/// which its path is relative to, and has to be the one that the part was made from.
///
/// # Errors
/// The mesh cannot be read, is another one now or cannot be measured; no such pose.
pub fn part_resting(
    part: &Part,
    folder: &Path,
    by: &RestBy,
) -> Result<(Rest, Geometry), FileFault> {
    let Shape::Mesh { .. } = &part.shape else {
        return typed_resting(&part.shape, by).map_err(|what| FileFault::new(Path::new(""), what));
    };
    let (mesh, unit, path) = drawn(part, folder)?;
    mesh_resting(&mesh, unit, by).map_err(|what| FileFault::new(&path, what))
}

/// The mesh of a part as drawn, with its unit and the name by which its faults go. A mesh file is
/// read again and has to be the one that the part was made from.
fn drawn(part: &Part, folder: &Path) -> Result<(Mesh, MeshUnit, PathBuf), FileFault> {
    let Shape::Mesh {
        file,
        unit,
        sha256,
        body,
    } = &part.shape
    else {
        let name = PathBuf::from(&part.name);
        let fault = |what: MeasureFault| FileFault::new(&name, Fault::Shape(what.to_string()));
        let mesh = typed_mesh(&part.shape).map_err(fault)?;
        let mesh = mesh.ok_or_else(|| fault(MeasureFault::AsTypedOnly))?;
        return Ok((mesh, MeshUnit::Millimetre, name));
    };
    let path = folder.join(file);
    let read = read_mesh(&path)?;
    let fault = |what| FileFault::new(&path, what);
    if read.sha256 != *sha256 {
        return Err(fault(Fault::Shape(say::mesh_has_changed(&part.name))));
    }
    let mesh = read.body(*body).map_err(fault)?.clone();
    Ok((mesh, *unit, path))
}

/// The poses in which a part can rest, and its mesh in mm as drawn.
///
/// # Errors
/// As [`part_resting`].
pub fn poses_of(part: &Part, folder: &Path, keep_off: &[Rest]) -> Result<(Poses, Mesh), FileFault> {
    let (mesh, unit, path) = drawn(part, folder)?;
    let fault = |what: MeasureFault| FileFault::new(&path, Fault::Shape(what.to_string()));
    let poses = resting_poses(&mesh, unit, keep_off).map_err(fault)?;
    let (mesh, _) = mesh_in_mm(&mesh, unit).map_err(fault)?;
    Ok((poses, mesh))
}

/// A mesh in a pose, measured there.
///
/// # Errors
/// No such pose, or it cannot be measured.
pub fn mesh_resting(mesh: &Mesh, unit: MeshUnit, by: &RestBy) -> Result<(Rest, Geometry), Fault> {
    let rest = by.of(mesh, unit).map_err(Fault::Shape)?;
    let geometry = measure_mesh_at(mesh, unit, rest);
    Ok((rest, geometry.map_err(|f| Fault::Shape(f.to_string()))?))
}

/// A typed shape in a pose, measured there.
///
/// # Errors
/// As [`mesh_resting`]; of an outline with a mass only the pose typed is known.
pub fn typed_resting(shape: &Shape, by: &RestBy) -> Result<(Rest, Geometry), Fault> {
    let fault = |f: MeasureFault| Fault::Shape(f.to_string());
    let rest = match typed_mesh(shape).map_err(fault)? {
        Some(mesh) => by.of(&mesh, MeshUnit::Millimetre).map_err(Fault::Shape)?,
        None => match by {
            RestBy::Towards(rest) => *rest,
            RestBy::Rank(..) => return Err(fault(MeasureFault::AsTypedOnly)),
        },
    };
    Ok((rest, measure_typed_at(shape, rest).map_err(fault)?))
}
