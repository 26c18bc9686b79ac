//! Mesh files, and parts made from them.

use super::disk::{check_file, read_bytes};
use super::fault::{Fault, FileFault};
use super::form::sha256_hex;
use super::obj::read_obj;
use super::stl::{StlFormat, StlNote, is_stl, read_stl};
use super::threemf::read_3mf;
use crate::geometry::{Mended, Mesh};
use crate::part::{
    Drawn, Geometry, Infill, MeshUnit, Part, PartId, Rest, Shape, likelier_unit, likely_slip,
    measure_mesh, mesh_in_mm,
};
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
#[derive(Clone, Debug, PartialEq)]
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
    /// What was mended before bodies were told apart.
    MendedFirst(Mended),
    /// What was mended before measuring.
    Mended(Mended),
    /// Edges left open, so that the volume is not to be trusted.
    Open(usize),
    /// Shells that cross, so that the volume is not to be trusted; `None` where that took too long
    /// to be looked at.
    Crossing(Option<usize>),
    /// The size tells of another unit than the one named.
    /// A size that tells of a drawing written in a wrong unit.
    OtherSize {
        /// Longest side as read, mm.
        longest_mm: f64,
        /// What it would be without the slip, mm.
        likelier_mm: f64,
    },
    /// A size that tells of another unit.
    OtherUnit {
        /// Longest side in the unit named, mm.
        longest_mm: f64,
        /// The unit named.
        unit: MeshUnit,
        /// The unit in which it would be of the usual size.
        likelier: MeshUnit,
    },
}

impl MeshNote {
    /// What is odd about a mesh as measured: each that is.
    pub fn of(geometry: &Geometry, unit: MeshUnit) -> Vec<MeshNote> {
        let mut notes = Vec::new();
        if let Some(likelier) = likelier_unit(geometry.size_mm, unit) {
            notes.push(MeshNote::OtherUnit {
                longest_mm: geometry.size_mm.into_iter().fold(0.0, f64::max),
                unit,
                likelier,
            });
        } else if let Some(slip) = likely_slip(geometry.size_mm) {
            let longest_mm = geometry.size_mm.into_iter().fold(0.0, f64::max);
            notes.push(MeshNote::OtherSize {
                longest_mm,
                likelier_mm: longest_mm * slip,
            });
        }
        if geometry.open_edges > 0 {
            notes.push(MeshNote::Open(geometry.open_edges));
        }
        if let Some(detail) = geometry.detail {
            if detail.crossing_shells != Some(0) {
                notes.push(MeshNote::Crossing(detail.crossing_shells));
            }
            if detail.mended.anything() {
                notes.push(MeshNote::Mended(detail.mended));
            }
        }
        notes
    }
}

fn mended(done: &Mended) -> Option<String> {
    crate::text::cli::mended(
        done.welded,
        done.split,
        done.collapsed + done.doubled,
        done.turned,
        done.inside_out,
    )
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
            MeshNote::Mended(done) => meshes::mended(&mended(done).unwrap_or_default()),
            MeshNote::Open(edges) => meshes::open(*edges),
            MeshNote::Crossing(shells) => meshes::crossing(*shells),
            MeshNote::OtherUnit {
                longest_mm,
                unit,
                likelier,
            } => meshes::other_unit(*longest_mm, unit.word(), likelier.word()),
            MeshNote::OtherSize {
                longest_mm,
                likelier_mm,
            } => meshes::other_size(*longest_mm, *likelier_mm),
            MeshNote::MendedFirst(done) => meshes::mended_first(&mended(done).unwrap_or_default()),
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
    let objects: Vec<(Option<String>, Soup)>;
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
    let mesh = match objects.as_slice() {
        // Without a copy: it may be most of the memory.
        [(_, soup)] => Mesh::from_soup(soup),
        several => {
            let all: Vec<_> = several.iter().flat_map(|o| &o.1).copied().collect();
            Mesh::from_soup(&all)
        }
    };
    let bodies = bodies(&mesh, objects, &mut notes);
    Ok(MeshFile {
        mesh,
        bodies,
        unit,
        sha256: sha256_hex(bytes),
        format,
        notes,
    })
}

/// The objects of the file; the pieces of `whole` where it tells of one only, or where the objects
/// are patches of one surface: groups of faces, and open by themselves.
fn bodies(
    whole: &Mesh,
    mut objects: Vec<(Option<String>, Soup)>,
    notes: &mut Vec<MeshNote>,
) -> Vec<MeshBody> {
    if objects.len() < 2 {
        let name = objects.pop().and_then(|(name, _)| name);
        return pieces(whole, name, notes);
    }
    let mut bodies = Vec::with_capacity(objects.len());
    for (name, soup) in objects {
        let mesh = Mesh::from_soup(&soup);
        bodies.push(MeshBody { name, mesh });
    }
    let patches = bodies.iter().any(|b| b.mesh.open_edges() > 0) && whole.open_edges() == 0;
    if patches {
        return pieces(whole, None, notes);
    }
    bodies
}

/// What hangs together. A tear would tell a body from itself, so that several are looked at mended.
fn pieces(whole: &Mesh, name: Option<String>, notes: &mut Vec<MeshNote>) -> Vec<MeshBody> {
    let mut pieces = whole.bodies();
    if pieces.len() > 1
        && let Some((mended, done)) = whole.mended()
    {
        pieces = mended.bodies();
        if pieces.len() > 1 {
            notes.push(MeshNote::MendedFirst(done));
        }
    }
    if pieces.len() == 1 {
        let mesh = whole.clone();
        return vec![MeshBody { name, mesh }];
    }
    let bodies = pieces.into_iter();
    bodies.map(|mesh| MeshBody { name: None, mesh }).collect()
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
    let mut notes = read.notes.clone();
    let bodies = (1..=read.bodies.len()).zip(&read.bodies).zip(from.id.0..);
    let parts = bodies.map(|((number, body), id)| {
        let (shape, geometry) = shape_of(&read, &named, from.unit, Some(number))
            .map_err(|what| FileFault::new(path, what))?;
        // Said once for all bodies that have it.
        for note in MeshNote::of(&geometry, read.unit.unwrap_or(from.unit)) {
            if !notes.contains(&note) {
                notes.push(note);
            }
        }
        let name = match &body.name {
            // People name files after parts; what programs write inside is often no name.
            _ if read.bodies.len() == 1 => from.name.clone(),
            Some(name) => name.clone(),
            None => format!("{} {number}", from.name),
        };
        let from = PartFrom {
            id: PartId(id),
            name,
            ..from.clone()
        };
        Ok(part(from, shape, geometry))
    });
    let parts = parts.collect::<Result<_, FileFault>>()?;
    Ok((parts, notes))
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
        keep_off: Vec::new(),
        approved_rest: None,
        geometry: Arc::new(geometry),
        made_with_oversize: None,
        weighed: None,
        section_mm: None,
        work_zone_only: false,
    }
}

/// Shape and measures, with what is odd, of a mesh file that is named `named` in the plan: of its
/// body number `body`, counted from 1, or of all bodies as one. A unit that the file states
/// overrides `unit`.
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
    let mut notes = read.notes;
    notes.extend(MeshNote::of(&geometry, read.unit.unwrap_or(unit)));
    Ok((shape, geometry, notes))
}

/// The mesh of a part as it was measured: its body, in millimetres, mended, at rest with the anchor
/// at the origin. None where `path` is not the file that was measured, or for a typed shape.
///
/// # Errors
/// As [`shape_from_mesh`].
pub fn mesh_at_rest(path: &Path, part: &Part) -> Result<Option<Mesh>, FileFault> {
    let Shape::Mesh {
        unit, sha256, body, ..
    } = &part.shape
    else {
        return Ok(None);
    };
    let read = read_mesh(path)?;
    if read.sha256 != *sha256 {
        return Ok(None);
    }
    let fault = |what| FileFault::new(path, what);
    let mesh = read.body(*body).map_err(fault)?;
    let (mesh, _) =
        mesh_in_mm(mesh, *unit).map_err(|what| fault(Fault::Shape(what.to_string())))?;
    let mesh = mesh.moved(part.geometry.anchor_mm.map(|c| -c));
    Ok(Some(if part.rest.is_as_drawn() {
        mesh
    } else {
        mesh.resting(part.rest.down())
    }))
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::mesh::tests::{cube, joined, turned};

    fn stl(mesh: &Mesh) -> Vec<u8> {
        let mut text = "solid x\n".to_owned();
        for triangle in &mesh.triangles {
            text += "facet normal 0 0 0 outer loop\n";
            for [x, y, z] in triangle.map(|v| mesh.vertices[v as usize]) {
                text += &format!("vertex {x} {y} {z}\n");
            }
            text += "endloop endfacet\n";
        }
        (text + "endsolid x\n").into_bytes()
    }

    /// The cube with its last two triangles a hair away.
    fn torn() -> Mesh {
        let mut torn = cube();
        for t in 10..12 {
            for k in 0..3 {
                let mut p = torn.vertices[torn.triangles[t][k] as usize];
                p[1] += 1e-6;
                torn.vertices.push(p);
                torn.triangles[t][k] = torn.vertices.len() as u32 - 1;
            }
        }
        torn
    }

    #[test]
    fn a_tear_is_no_second_body() {
        let one = decode_mesh(&stl(&torn()), "stl").unwrap();
        assert_eq!((one.bodies.len(), one.notes.len()), (1, 0));
        // As the file has it, so that measuring says what was mended.
        assert_eq!(one.bodies[0].mesh, one.mesh);
        assert_eq!(one.bodies[0].name.as_deref(), Some("x"));
        let two = joined(&[torn(), turned(cube().moved([3.0, 0.0, 0.0]))]);
        let two = decode_mesh(&stl(&two), "stl").unwrap();
        assert_eq!(two.bodies.len(), 2);
        for body in &two.bodies {
            let m = body.mesh.measures();
            assert_eq!(m.open_edges, 0);
            assert!((m.volume_mm3 - 1.0).abs() < 1e-5);
        }
        let said: Vec<String> = two.notes.iter().map(ToString::to_string).collect();
        assert_eq!(said.len(), 1);
        assert!(
            said[0].contains("4 points welded") && said[0].contains("shell turned"),
            "{said:?}"
        );
    }

    #[test]
    fn groups_that_are_patches_of_one_surface_are_one_body() {
        let points = "v 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0\nv 0 0 1\nv 1 0 1\nv 1 1 1\nv 0 1 1\n";
        let faces = "g floor\nf 4 3 2 1\ng top\nf 5 6 7 8\ng sides\nf 1 2 6 5\nf 2 3 7 6\n\
                     f 3 4 8 7\nf 4 1 5 8\n";
        let file = decode_mesh(format!("{points}{faces}").as_bytes(), "obj").unwrap();
        assert_eq!(file.bodies.len(), 1);
        assert_eq!(file.bodies[0].mesh.open_edges(), 0);
        // Without the top all is open, and it stays as the file tells it.
        let open = faces.replace("f 5 6 7 8\n", "f 5 6 7\n");
        let file = decode_mesh(format!("{points}{open}").as_bytes(), "obj").unwrap();
        assert_eq!(file.bodies.len(), 3);
        assert_eq!(file.bodies[1].name.as_deref(), Some("top"));
    }

    #[test]
    fn what_is_odd_is_told_at_import() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("x.stl");
        let said = |mesh: &Mesh, unit: MeshUnit| -> Vec<String> {
            std::fs::write(&path, stl(mesh)).unwrap();
            let (_, _, notes) = shape_from_mesh(&path, "x.stl", unit, None).unwrap();
            notes.iter().map(ToString::to_string).collect()
        };
        let bar = cube().scaled([20.0, 10.0, 10.0]);
        assert!(said(&bar, MeshUnit::Millimetre).is_empty());
        let inches = said(&bar, MeshUnit::Inch);
        assert!(inches[0].contains("drawn in mm?"), "{inches:?}");
        let across = cube().scaled([10.0, 20.0, 10.0]).moved([6.0, -4.0, 0.0]);
        let crossing = said(&joined(&[bar.clone(), across]), MeshUnit::Millimetre);
        assert_eq!(
            crossing,
            ["the volume is not to be trusted: 2 shells cross, or lie in each other"]
        );
        let mut open = bar.clone();
        open.triangles.truncate(10);
        let open = said(&open, MeshUnit::Millimetre);
        assert_eq!(open, ["the volume is not to be trusted: 4 edges are open"]);
        let mended = said(&turned(bar), MeshUnit::Millimetre);
        assert_eq!(
            mended,
            ["mended before measuring: 1 inside-out shell turned"]
        );
    }
}
