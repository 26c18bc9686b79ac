//! 3MF reader on bytes: core specification and the production extension's parts in other files.
//!
//! Own reader because the ready-made ones return parts of other files of the package empty, and
//! leave units, build transforms and components to the caller. Names follow the 3MF core
//! specification 1.3; a transform is `m00 m01 m02 m10 … m32` and acts on row vectors.

mod fault;
mod model;

pub use fault::ThreeMfFault;

use model::{Content, Model, read_model};
use std::collections::BTreeMap;
use std::io::{BufReader, Cursor, Read};
use std::sync::Arc;
use zip::ZipArchive;
use zip::read::ZipFile;

/// Most bytes of all model files of a package together when unpacked (assumed): 20 million
/// triangles take about as many.
const UNPACKED_CAP: u64 = 2_000_000_000;
/// Times as many bytes as the package's own that they may be, and bytes beside that (assumed):
/// models pack to a tenth or twentieth, and what packs better is made to fill the memory.
const UNPACKED_TIMES: u64 = 100;
const UNPACKED_MORE: u64 = 50_000_000;
/// Most bytes of the package's table of relationships (assumed: it has a line a file).
const RELATIONS_CAP: u64 = 1_000_000;
/// Most triangles that components and build items may multiply to (assumed: as many as an STL of
/// the largest size read, 4 GB in memory).
const MOST_TRIANGLES: usize = 20_000_000;
/// Most bodies and components that are followed (assumed); an empty component costs time too.
const MOST_PLACED: usize = 100_000;
/// Deepest nesting of components (assumed: assemblies nest a few levels; the specification sets
/// none).
const DEEPEST: usize = 32;
/// Most model files of one package (assumed: one a part of a full tray is a few hundred).
const MOST_MODELS: usize = 10_000;

/// A body as the package places it, mm.
#[derive(Clone, Debug, PartialEq)]
pub struct ThreeMfBody {
    /// The object's name.
    pub name: Option<String>,
    /// Triangles in place.
    pub triangles: Vec<[[f64; 3]; 3]>,
}

/// What a 3MF package holds.
#[derive(Clone, Debug, PartialEq)]
pub struct ThreeMfFile {
    /// One body a build item, in order; at least one, each with a triangle.
    pub bodies: Vec<ThreeMfBody>,
    /// Unit in the package, as it names it; lengths of the bodies are mm all the same.
    pub unit: &'static str,
    /// Support structures left out.
    pub supports: usize,
}

/// Four rows of three: what x, y and z turn into, and where the origin goes.
type Transform = [[f64; 3]; 4];

const IDENTITY: Transform = [
    [1.0, 0.0, 0.0],
    [0.0, 1.0, 0.0],
    [0.0, 0.0, 1.0],
    [0.0, 0.0, 0.0],
];

/// Reads a 3MF package: all build items in place, in mm.
///
/// # Errors
/// [`ThreeMfFault`] says what is wrong. Unpacked sizes, triangles, components and their depth are
/// capped while reading, whatever the package says of itself.
pub fn read_3mf(bytes: &[u8]) -> Result<ThreeMfFile, ThreeMfFault> {
    let cap = UNPACKED_CAP.min(UNPACKED_TIMES * bytes.len() as u64 + UNPACKED_MORE);
    let mut package = Package {
        zip: ZipArchive::new(Cursor::new(bytes)).map_err(|_| ThreeMfFault::NotPackage)?,
        cap,
        left: cap,
        models: BTreeMap::new(),
    };
    let root = package.root()?;
    let model = package.model(&root)?;
    let unit = model.unit;
    let mut placing = Placing {
        unit,
        placed: 0,
        triangles: 0,
        supports: 0,
        chain: Vec::new(),
    };
    let mut bodies = Vec::new();
    for item in &model.build {
        let path = item.path.clone().unwrap_or_else(|| root.clone());
        let mut body = ThreeMfBody {
            name: None,
            triangles: Vec::new(),
        };
        let found = placing.object(&mut package, &path, item.object, &item.transform, &mut body);
        body.name = item.name.clone().or(found?);
        if !body.triangles.is_empty() {
            bodies.push(body);
        }
    }
    if bodies.is_empty() {
        return Err(ThreeMfFault::NothingPlaced);
    }
    let mm = unit.mm();
    for coordinate in bodies
        .iter_mut()
        .flat_map(|b| b.triangles.as_flattened_mut().as_flattened_mut())
    {
        *coordinate *= mm;
        // Finite numbers multiply to what is not.
        if !coordinate.is_finite() {
            return Err(ThreeMfFault::TooLargeNumbers);
        }
    }
    Ok(ThreeMfFile {
        bodies,
        unit: unit.word(),
        supports: placing.supports,
    })
}

/// The opened package, its model files read once each.
struct Package<'a> {
    zip: ZipArchive<Cursor<&'a [u8]>>,
    /// Bytes that its model files may have together when unpacked.
    cap: u64,
    /// What is left of them.
    left: u64,
    models: BTreeMap<String, Arc<Model>>,
}

impl<'a> Package<'a> {
    /// The file in the package under a name (`/3D/a.model` or `3D/a.model`, in any case), at most
    /// what is `left` of `cap` bytes.
    fn open(
        &mut self,
        path: &str,
        left: u64,
        cap: u64,
    ) -> Result<ZipFile<'_, Cursor<&'a [u8]>>, ThreeMfFault> {
        let wanted = path.trim_start_matches('/');
        let exact = self.zip.index_for_name(wanted);
        let index = exact.or_else(|| {
            let mut names = self.zip.file_names_raw();
            names.position(|n| n.eq_ignore_ascii_case(wanted.as_bytes()))
        });
        let missing = || ThreeMfFault::NoSuchFile(path.to_owned());
        let file = self
            .zip
            .by_index(index.ok_or_else(missing)?)
            .map_err(|fault| ThreeMfFault::Damaged {
                path: path.to_owned(),
                reason: fault.to_string(),
            })?;
        if file.size() > left {
            return Err(ThreeMfFault::Unpacked { cap });
        }
        Ok(file)
    }

    /// The path of the root model.
    fn root(&mut self) -> Result<String, ThreeMfFault> {
        match self.open("_rels/.rels", RELATIONS_CAP, RELATIONS_CAP) {
            Ok(file) => {
                let file = BufReader::new(file.take(RELATIONS_CAP));
                model::root_of(file)?.ok_or(ThreeMfFault::NoModel)
            }
            Err(ThreeMfFault::NoSuchFile(_)) => Err(ThreeMfFault::NoModel),
            Err(fault) => Err(fault),
        }
    }

    fn model(&mut self, path: &str) -> Result<Arc<Model>, ThreeMfFault> {
        let key = key(path);
        if let Some(model) = self.models.get(&key) {
            return Ok(Arc::clone(model));
        }
        if self.models.len() >= MOST_MODELS {
            return Err(ThreeMfFault::TooMuch);
        }
        let (left, cap) = (self.left, self.cap);
        // One byte more than is left tells a file that goes on from one that just fits.
        let mut file = BufReader::new(self.open(path, left, cap)?.take(left + 1));
        let read = read_model(&mut file, path);
        let rest = file.into_inner().limit();
        if rest == 0 {
            return Err(ThreeMfFault::Unpacked { cap });
        }
        self.left = rest - 1;
        let model = Arc::new(read?);
        self.models.insert(key, Arc::clone(&model));
        Ok(model)
    }
}

/// A path as it is compared: the specification's names know no case.
fn key(path: &str) -> String {
    path.trim_start_matches('/').to_ascii_lowercase()
}

/// Puts objects in place, counting what that comes to.
struct Placing {
    unit: model::Unit,
    placed: usize,
    triangles: usize,
    supports: usize,
    /// Objects that are being followed, to see one that holds itself.
    chain: Vec<(String, u32)>,
}

impl Placing {
    /// Adds an object's triangles to a body and gives its name.
    fn object(
        &mut self,
        package: &mut Package<'_>,
        path: &str,
        id: u32,
        transform: &Transform,
        body: &mut ThreeMfBody,
    ) -> Result<Option<String>, ThreeMfFault> {
        self.placed += 1;
        if self.placed > MOST_PLACED {
            return Err(ThreeMfFault::TooMuch);
        }
        let here = (key(path), id);
        if self.chain.contains(&here) {
            return Err(ThreeMfFault::HoldsItself { object: id });
        }
        if self.chain.len() >= DEEPEST {
            return Err(ThreeMfFault::TooDeep { most: DEEPEST });
        }
        let model = package.model(path)?;
        if model.unit != self.unit {
            return Err(ThreeMfFault::TwoUnits {
                one: self.unit.word(),
                other: model.unit.word(),
            });
        }
        let object = model.objects.get(&id).ok_or(ThreeMfFault::NoSuchObject {
            path: path.to_owned(),
            object: id,
        })?;
        if object.support {
            self.supports += 1;
            return Ok(None);
        }
        match &object.content {
            Content::Mesh {
                vertices,
                triangles,
            } => {
                self.triangles += triangles.len();
                if self.triangles > MOST_TRIANGLES {
                    return Err(ThreeMfFault::TooMuch);
                }
                // A mirroring transform turns the outside in.
                let mirrored = determinant(transform) < 0.0;
                let at = |v: u32| {
                    let found = vertices.get(v as usize);
                    found.map_or([0.0; 3], |p| moved(*p, transform))
                };
                body.triangles.extend(triangles.iter().map(|&[a, b, c]| {
                    let (b, c) = if mirrored { (c, b) } else { (b, c) };
                    [at(a), at(b), at(c)]
                }));
            }
            Content::Components(components) => {
                self.chain.push(here);
                for part in components {
                    let inner = part.path.as_deref().unwrap_or(path);
                    let both = combined(&part.transform, transform);
                    self.object(package, inner, part.object, &both, body)?;
                }
                self.chain.pop();
            }
        }
        Ok(object.name.clone())
    }
}

fn moved(p: [f64; 3], t: &Transform) -> [f64; 3] {
    std::array::from_fn(|k| p[0] * t[0][k] + p[1] * t[1][k] + p[2] * t[2][k] + t[3][k])
}

/// First `inner`, then `outer`.
fn combined(inner: &Transform, outer: &Transform) -> Transform {
    let turned = |row: [f64; 3]| -> [f64; 3] {
        std::array::from_fn(|k| row[0] * outer[0][k] + row[1] * outer[1][k] + row[2] * outer[2][k])
    };
    [
        turned(inner[0]),
        turned(inner[1]),
        turned(inner[2]),
        moved(inner[3], outer),
    ]
}

fn determinant(t: &Transform) -> f64 {
    let [a, b, c, _] = t;
    a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0])
        + a[2] * (b[0] * c[1] - b[1] * c[0])
}

#[cfg(test)]
mod tests;
