//! Mesh files, and parts made from them.

use super::disk::{check_file, read_bytes};
use super::fault::{Fault, FileFault};
use super::form::sha256_hex;
use super::obj::read_obj;
use super::stl::{StlFormat, StlNote, is_stl, read_stl};
use super::threemf::read_3mf;
use crate::geometry::Mesh;
use crate::part::{Drawn, Geometry, Infill, MeshUnit, Part, PartId, Rest, Shape, measure_mesh};
use crate::text::meshes;
use std::fmt;
use std::path::Path;
use std::sync::Arc;

/// Most bytes of a mesh file that are read: twenty million triangles in binary (assumed).
pub const MESH_CAP: u64 = 1_000_000_000;

/// Endings of the mesh files that are read.
pub const MESH_ENDINGS: [&str; 3] = ["stl", "obj", "3mf"];

/// Loose triangles.
type Soup = Vec<[[f64; 3]; 3]>;

/// How a mesh file is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MeshFormat {
    /// STL.
    Stl(StlFormat),
    /// OBJ.
    Obj,
    /// 3MF.
    ThreeMf,
}

impl MeshFormat {
    /// As people call it.
    pub fn word(self) -> &'static str {
        match self {
            MeshFormat::Stl(StlFormat::Binary) => "binary STL",
            MeshFormat::Stl(StlFormat::Ascii) => "ASCII STL",
            MeshFormat::Obj => "OBJ",
            MeshFormat::ThreeMf => "3MF",
        }
    }

    fn ending(self) -> &'static str {
        match self {
            MeshFormat::Stl(_) => "stl",
            MeshFormat::Obj => "obj",
            MeshFormat::ThreeMf => "3mf",
        }
    }
}

/// Something odd in a mesh file that could be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum MeshNote {
    /// As the STL reader says.
    Stl(StlNote),
    /// The content is another format than the ending says.
    OtherContent {
        /// The ending, in lower case.
        ending: String,
        /// What it is.
        really: MeshFormat,
    },
    /// The file states its unit, which overrides the one given.
    OwnUnit(&'static str),
    /// Support structures that were left out.
    Supports(usize),
    /// Lines of points or curves that were left out.
    Lines(usize),
}

impl fmt::Display for MeshNote {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&match self {
            MeshNote::Stl(note) => note.to_string(),
            MeshNote::OtherContent { ending, really } => {
                meshes::other_content(ending, really.word())
            }
            MeshNote::OwnUnit(unit) => meshes::own_unit(unit),
            MeshNote::Supports(n) => meshes::supports_left_out(*n),
            MeshNote::Lines(n) => meshes::lines_left_out(*n),
        })
    }
}

/// One body of a mesh file.
#[derive(Clone, Debug, PartialEq)]
pub struct MeshBody {
    /// Name of the object, where the file names it.
    pub name: Option<String>,
    /// Its triangles, welded.
    pub mesh: Mesh,
}

/// A mesh as read.
#[derive(Clone, Debug, PartialEq)]
pub struct MeshFile {
    /// All bodies as one, welded, in the file's own unit; 3MF is in millimetres.
    pub mesh: Mesh,
    /// The objects of the file; the pieces that hang together where it tells of one object only.
    /// One body at least.
    pub bodies: Vec<MeshBody>,
    /// Unit of the mesh where the file states one.
    pub unit: Option<MeshUnit>,
    /// SHA-256 of the file's bytes, hexadecimal.
    pub sha256: String,
    /// How it was written.
    pub format: MeshFormat,
    /// What was odd but did not stand in the way.
    pub notes: Vec<MeshNote>,
}

impl MeshFile {
    /// A body by its number from 1; all as one for `None`.
    ///
    /// # Errors
    /// There is no such body.
    pub fn body(&self, body: Option<usize>) -> Result<&Mesh, Fault> {
        let Some(wanted) = body else {
            return Ok(&self.mesh);
        };
        let found = wanted.checked_sub(1).and_then(|i| self.bodies.get(i));
        found.map(|b| &b.mesh).ok_or(Fault::NoSuchBody {
            wanted,
            bodies: self.bodies.len(),
        })
    }
}

/// Whether a path is named like a mesh file that is read.
pub fn is_mesh_name(path: &Path) -> bool {
    path.extension().is_some_and(|e| {
        MESH_ENDINGS
            .iter()
            .any(|known| e.eq_ignore_ascii_case(known))
    })
}

/// Reads a mesh file: STL (binary or ASCII), OBJ or 3MF. The ending has to be one of theirs; where
/// the content is clearly another of them it is read as that, and a note says so.
///
/// # Errors
/// Another format, or what is wrong with the file.
pub fn read_mesh(path: &Path) -> Result<MeshFile, FileFault> {
    let ending = path.extension().unwrap_or_default().to_string_lossy();
    if !is_mesh_name(path) {
        // A name that is not there or is no file is said so first.
        check_file(path, MESH_CAP)?;
        let what = Fault::MeshFormat(ending.into_owned());
        return Err(FileFault::new(path, what));
    }
    let bytes = read_bytes(path, MESH_CAP)?;
    decode_mesh(&bytes, &ending).map_err(|what| FileFault::new(path, what))
}

/// Reads the bytes of a mesh file whose name ends in `ending`.
///
/// # Errors
/// As [`read_mesh`].
pub fn decode_mesh(bytes: &[u8], ending: &str) -> Result<MeshFile, Fault> {
    let ending = ending.to_ascii_lowercase();
    let mut notes = Vec::new();
    let mut unit = None;
    let format;
    // Objects as the file tells them apart.
    let mut objects: Vec<(Option<String>, Soup)>;
    match sniffed(bytes, &ending) {
        "3mf" => {
            let file = read_3mf(bytes).map_err(Fault::ThreeMf)?;
            format = MeshFormat::ThreeMf;
            unit = Some(MeshUnit::Millimetre);
            notes.push(MeshNote::OwnUnit(file.unit));
            if file.supports > 0 {
                notes.push(MeshNote::Supports(file.supports));
            }
            let bodies = file.bodies.into_iter();
            objects = bodies.map(|b| (b.name, b.triangles)).collect();
        }
        "obj" => {
            let file = read_obj(bytes).map_err(Fault::Obj)?;
            format = MeshFormat::Obj;
            if file.skipped > 0 {
                notes.push(MeshNote::Lines(file.skipped));
            }
            let bodies = file.objects.iter();
            objects = bodies.map(|o| (o.name.clone(), file.soup(o))).collect();
        }
        _ => {
            let file = read_stl(bytes).map_err(Fault::Stl)?;
            format = MeshFormat::Stl(file.format);
            notes.extend(file.notes.into_iter().map(MeshNote::Stl));
            objects = vec![(file.name, file.triangles)];
        }
    }
    if format.ending() != ending {
        notes.push(MeshNote::OtherContent {
            ending,
            really: format,
        });
    }
    let (mesh, bodies) = match (objects.pop(), objects.is_empty()) {
        (Some((name, soup)), true) => {
            let mesh = Mesh::from_soup(&soup);
            let pieces = mesh.bodies();
            let one = pieces.len() == 1;
            let bodies = pieces.into_iter().map(|mesh| MeshBody {
                name: name.clone().filter(|_| one),
                mesh,
            });
            let bodies = bodies.collect();
            (mesh, bodies)
        }
        (last, _) => {
            objects.extend(last);
            let all: Vec<_> = objects.iter().flat_map(|o| &o.1).copied().collect();
            let bodies = objects.into_iter().map(|(name, soup)| MeshBody {
                name,
                mesh: Mesh::from_soup(&soup),
            });
            (Mesh::from_soup(&all), bodies.collect())
        }
    };
    Ok(MeshFile {
        mesh,
        bodies,
        unit,
        sha256: sha256_hex(bytes),
        format,
        notes,
    })
}

/// The format that the content tells, else the ending.
fn sniffed<'e>(bytes: &[u8], ending: &'e str) -> &'e str {
    let text = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    if bytes.starts_with(b"PK\x03\x04") {
        return "3mf";
    }
    // The same tests as the STL reader's; a vertex line first is OBJ's alone.
    if is_stl(bytes) {
        return "stl";
    }
    let head = &text[..text.len().min(4096)];
    let mut lines = head.split(|b| matches!(b, b'\n' | b'\r'));
    let first = lines.find(|l| {
        let l = l.trim_ascii();
        !l.is_empty() && !l.starts_with(b"#")
    });
    let key = first.and_then(|l| l.trim_ascii().split(u8::is_ascii_whitespace).next());
    if matches!(key, Some(b"v" | b"o" | b"g" | b"mtllib" | b"vn" | b"vt")) {
        return "obj";
    }
    ending
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

/// A part record from a mesh file, all its bodies as one, resting as drawn. `path` is kept as
/// given.
///
/// # Errors
/// As [`read_mesh`], and a mesh that cannot be measured.
pub fn part_from_mesh(path: &Path, from: PartFrom) -> Result<(Part, Vec<MeshNote>), FileFault> {
    let (unit, named) = (from.unit, path.display().to_string());
    let (shape, geometry, notes) = shape_from_mesh(path, &named, unit, None)?;
    Ok((part(from, shape, geometry), notes))
}

/// A part for each body of a mesh file, named after its object or numbered, resting as drawn, all
/// on their own lowest points. Ids count up from the given one.
///
/// # Errors
/// As [`part_from_mesh`].
pub fn parts_from_mesh(
    path: &Path,
    from: &PartFrom,
) -> Result<(Vec<Part>, Vec<MeshNote>), FileFault> {
    let read = read_mesh(path)?;
    let named = path.display().to_string();
    let bodies = (1..=read.bodies.len()).zip(&read.bodies).zip(from.id.0..);
    let parts = bodies.map(|((number, body), id)| {
        let (shape, geometry) = shape_of(&read, &named, from.unit, Some(number))
            .map_err(|what| FileFault::new(path, what))?;
        let name = match &body.name {
            Some(name) => name.clone(),
            None if read.bodies.len() == 1 => from.name.clone(),
            None => format!("{} {number}", from.name),
        };
        let from = PartFrom {
            id: PartId(id),
            name,
            ..from.clone()
        };
        Ok(part(from, shape, geometry))
    });
    Ok((parts.collect::<Result<_, FileFault>>()?, read.notes))
}

fn part(from: PartFrom, shape: Shape, geometry: Geometry) -> Part {
    Part {
        id: from.id,
        name: from.name,
        feedstock: from.feedstock,
        shape,
        drawn: from.drawn,
        rest: Rest::AS_DRAWN,
        infill: Infill::Solid,
        geometry: Arc::new(geometry),
        made_with_oversize: None,
        weighed: None,
        section_mm: None,
        work_zone_only: false,
    }
}

/// Shape and measures of a mesh file that is named `named` in the plan: of its body number `body`,
/// counted from 1, or of all bodies as one. A unit that the file states overrides `unit`.
///
/// # Errors
/// As [`read_mesh`], no such body, and a mesh that cannot be measured.
pub fn shape_from_mesh(
    path: &Path,
    named: &str,
    unit: MeshUnit,
    body: Option<usize>,
) -> Result<(Shape, Geometry, Vec<MeshNote>), FileFault> {
    let read = read_mesh(path)?;
    let (shape, geometry) =
        shape_of(&read, named, unit, body).map_err(|what| FileFault::new(path, what))?;
    Ok((shape, geometry, read.notes))
}

fn shape_of(
    read: &MeshFile,
    named: &str,
    unit: MeshUnit,
    body: Option<usize>,
) -> Result<(Shape, Geometry), Fault> {
    let unit = read.unit.unwrap_or(unit);
    let geometry =
        measure_mesh(read.body(body)?, unit).map_err(|fault| Fault::Shape(fault.to_string()))?;
    let shape = Shape::Mesh {
        file: named.to_owned(),
        unit,
        sha256: read.sha256.clone(),
        // The only body is the whole file.
        body: body.filter(|_| read.bodies.len() > 1),
    };
    Ok((shape, geometry))
}
