//! OBJ reader on bytes: vertices and faces; materials, normals and textures are passed over.
//!
//! Own reader for the same reasons as for STL: coordinates stay f64, a fault names its line, and
//! faces of more than three corners are cut along their own outline, concave ones too.

use super::quote::{QUOTE_CHARS, quoted};
use crate::geometry::Mesh;
use crate::text::meshes as say;
use std::fmt;

/// Most corners of one face (assumed: no exporter draws so many); cutting a concave face takes the
/// square of them, within the budget of [`Mesh::cut_face`].
const MOST_CORNERS: usize = 2000;

/// An object of the file with its triangles, in the file's unit (OBJ states none).
#[derive(Clone, Debug, PartialEq)]
pub struct ObjObject {
    /// Name of the `o` line; of the first `g` line where the file has no `o`.
    pub name: Option<String>,
    /// Three indices into the file's vertices a triangle.
    pub triangles: Vec<[u32; 3]>,
}

/// What an OBJ file holds.
#[derive(Clone, Debug, PartialEq)]
pub struct ObjFile {
    /// All vertices, finite.
    pub vertices: Vec<[f64; 3]>,
    /// Objects with at least one triangle, in the order of the file; at least one.
    pub objects: Vec<ObjObject>,
    /// Lines that draw curves, surfaces, points or lines, which were passed over.
    pub skipped: usize,
}

impl ObjFile {
    /// The triangles of an object as they stand, corners and all.
    pub fn soup(&self, object: &ObjObject) -> Vec<[[f64; 3]; 3]> {
        let corner = |v: u32| self.vertices.get(v as usize).copied();
        let corners = |t: &[u32; 3]| Some([corner(t[0])?, corner(t[1])?, corner(t[2])?]);
        object.triangles.iter().filter_map(corners).collect()
    }
}

/// Why a file could not be read as OBJ. Lines count from 1.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ObjFault {
    /// Not UTF-8 text.
    NotText,
    /// No face.
    NoFaces,
    /// A coordinate that is no finite number.
    Coordinate {
        /// The line.
        line: usize,
        /// What stands there; empty if nothing does.
        found: String,
    },
    /// A corner that names no vertex before it.
    Corner {
        /// The line.
        line: usize,
        /// What stands there.
        found: String,
        /// Vertices so far.
        vertices: usize,
    },
    /// A face with fewer than three corners or with more than are sensible.
    Corners {
        /// The line.
        line: usize,
        /// Its corners.
        corners: usize,
    },
}

/// Reads an OBJ file. Relative (negative) indices, continued lines and any line ends are read.
///
/// # Errors
/// [`ObjFault`] says what is wrong and in which line. Memory taken is bounded by the bytes given.
pub fn read_obj(bytes: &[u8]) -> Result<ObjFile, ObjFault> {
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let text = str::from_utf8(bytes).map_err(|_| ObjFault::NotText)?;
    let mut file = ObjFile {
        vertices: Vec::new(),
        objects: Vec::new(),
        skipped: 0,
    };
    let named = lines(text).any(|l| l.split_ascii_whitespace().next() == Some("o"));
    let mut now = ObjObject {
        name: None,
        triangles: Vec::new(),
    };
    let mut joined = String::new();
    for (i, raw) in lines(text).enumerate() {
        let mut raw = raw;
        // A name may hold what begins a comment elsewhere.
        if !matches!(raw.split_ascii_whitespace().next(), Some("o" | "g")) {
            raw = raw.split('#').next().unwrap_or_default();
        }
        if let Some(start) = raw.strip_suffix('\\') {
            joined.push_str(start);
            joined.push(' ');
            continue;
        }
        let whole;
        let line = if joined.is_empty() {
            raw
        } else {
            joined.push_str(raw);
            whole = std::mem::take(&mut joined);
            whole.as_str()
        };
        let mut words = line.split_ascii_whitespace();
        // Some programs write capitals.
        let key = words.next().map(str::to_ascii_lowercase);
        match key.as_deref() {
            Some("v") => file.vertices.push(vertex(words, i + 1)?),
            Some("f") => face(words, i + 1, &file.vertices, &mut now.triangles)?,
            Some(key @ ("o" | "g")) if (key == "o") == named => {
                let name = words.collect::<Vec<_>>().join(" ");
                // A group that is taken up again, or set for the material's sake, goes on.
                if now.name.as_deref() != Some(&name) {
                    file.close(&mut now);
                    now.name = (!name.is_empty()).then_some(name);
                }
            }
            Some("p" | "l" | "curv" | "curv2" | "surf") => file.skipped += 1,
            _ => {}
        }
    }
    file.close(&mut now);
    if file.objects.is_empty() {
        return Err(ObjFault::NoFaces);
    }
    Ok(file)
}

/// Lines that end in LF, CRLF or CR.
fn lines(text: &str) -> impl Iterator<Item = &str> {
    let by_lf = text.split('\n');
    by_lf.flat_map(|l| l.strip_suffix('\r').unwrap_or(l).split('\r'))
}

impl ObjFile {
    /// Puts an object away; triangles of a name that came before join those.
    fn close(&mut self, now: &mut ObjObject) {
        let triangles = std::mem::take(&mut now.triangles);
        if triangles.is_empty() {
            return;
        }
        match self.objects.last_mut() {
            Some(last) if last.name == now.name => last.triangles.extend(triangles),
            _ => self.objects.push(ObjObject {
                name: now.name.clone(),
                triangles,
            }),
        }
    }
}

fn vertex<'a>(mut words: impl Iterator<Item = &'a str>, line: usize) -> Result<[f64; 3], ObjFault> {
    let mut point = [0.0; 3];
    for coordinate in &mut point {
        let word = words.next().unwrap_or_default();
        let number = word.parse().ok().filter(|n: &f64| n.is_finite());
        *coordinate = number.ok_or_else(|| ObjFault::Coordinate {
            line,
            found: quoted(word, QUOTE_CHARS),
        })?;
    }
    Ok(point)
}

fn face<'a>(
    words: impl Iterator<Item = &'a str>,
    line: usize,
    vertices: &[[f64; 3]],
    triangles: &mut Vec<[u32; 3]>,
) -> Result<(), ObjFault> {
    let mut corners: Vec<u32> = Vec::with_capacity(4);
    for word in words {
        let first = word.split('/').next().unwrap_or_default();
        let index = first.parse::<i64>().ok().and_then(|n| match n {
            1.. => usize::try_from(n - 1).ok(),
            // -1 is the newest vertex.
            ..0 => vertices
                .len()
                .checked_sub(usize::try_from(n.unsigned_abs()).ok()?),
            0 => None,
        });
        let index = index.filter(|i| *i < vertices.len());
        corners.push(index.and_then(|i| u32::try_from(i).ok()).ok_or_else(|| {
            ObjFault::Corner {
                line,
                found: quoted(word, QUOTE_CHARS),
                vertices: vertices.len(),
            }
        })?);
    }
    if !(3..=MOST_CORNERS).contains(&corners.len()) {
        return Err(ObjFault::Corners {
            line,
            corners: corners.len(),
        });
    }
    triangles.extend(Mesh::cut_face(vertices, &corners));
    Ok(())
}

impl fmt::Display for ObjFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&match self {
            Self::NotText => say::obj_not_text(),
            Self::NoFaces => say::obj_no_faces(),
            Self::Coordinate { line, found } => say::obj_coordinate(*line, found),
            Self::Corner {
                line,
                found,
                vertices,
            } => say::obj_corner(*line, found, *vertices),
            Self::Corners { line, corners } => say::obj_corners(*line, *corners, MOST_CORNERS),
        })
    }
}

impl std::error::Error for ObjFault {}

#[cfg(test)]
mod tests;
