//! One model file of a package, read as a stream.

use super::super::quote::quoted;
use super::{IDENTITY, ThreeMfFault, Transform, determinant};
use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};
use std::collections::BTreeMap;
use std::io::BufRead;

/// Ending of the core specification's namespace.
const CORE: &str = "/3dmanufacturing/core/2015/02";
/// Ending of the production extension's namespace.
const PRODUCTION: &str = "/3dmanufacturing/production/2015/06";
/// Ending of the relationship that names the root model.
const ROOT: &str = "/3dmanufacturing/2013/01/3dmodel";
/// Endings of extensions that a package may require and that leave the mesh as it is.
const HARMLESS: &[&str] = &[
    CORE,
    PRODUCTION,
    "/3dmanufacturing/material/2015/02",
    "/3dmanufacturing/trianglesets/2021/07",
];
/// Longest name kept, in characters (assumed: it has to fit a row).
const NAME_CHARS: usize = 80;

/// Unit of a model file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    Micron,
    Millimeter,
    Centimeter,
    Inch,
    Foot,
    Meter,
}

impl Unit {
    const ALL: [Unit; 6] = [
        Unit::Micron,
        Unit::Millimeter,
        Unit::Centimeter,
        Unit::Inch,
        Unit::Foot,
        Unit::Meter,
    ];

    /// As the specification writes it.
    pub fn word(self) -> &'static str {
        match self {
            Unit::Micron => "micron",
            Unit::Millimeter => "millimeter",
            Unit::Centimeter => "centimeter",
            Unit::Inch => "inch",
            Unit::Foot => "foot",
            Unit::Meter => "meter",
        }
    }

    /// Millimetres in one.
    pub fn mm(self) -> f64 {
        match self {
            Unit::Micron => 0.001,
            Unit::Millimeter => 1.0,
            Unit::Centimeter => 10.0,
            Unit::Inch => 25.4,
            Unit::Foot => 304.8,
            Unit::Meter => 1000.0,
        }
    }
}

/// An object placed, by a component or by the build section.
#[derive(Debug)]
pub struct Placed {
    pub object: u32,
    /// Another file of the package.
    pub path: Option<String>,
    pub transform: Transform,
    /// Part number of a build item.
    pub name: Option<String>,
}

#[derive(Debug)]
pub enum Content {
    Mesh {
        /// Finite.
        vertices: Vec<[f64; 3]>,
        /// Indices in range.
        triangles: Vec<[u32; 3]>,
    },
    Components(Vec<Placed>),
}

#[derive(Debug)]
pub struct Object {
    pub name: Option<String>,
    /// Holds the part while it is printed and is no part of it.
    pub support: bool,
    pub content: Content,
}

#[derive(Debug)]
pub struct Model {
    pub unit: Unit,
    pub objects: BTreeMap<u32, Object>,
    pub build: Vec<Placed>,
}

/// An object on the way in.
#[derive(Default)]
struct Open {
    id: u32,
    name: Option<String>,
    support: bool,
    vertices: Vec<[f64; 3]>,
    triangles: Vec<[u32; 3]>,
    components: Vec<Placed>,
}

/// Which prefixes stand for what in a file.
#[derive(Default)]
struct Prefixes {
    /// With its colon; empty when the core namespace is the default one.
    core: Vec<u8>,
    /// Name of the attribute that names another file.
    path: Vec<u8>,
}

/// The root model that the package's relationships name.
pub fn root_of(file: impl BufRead) -> Result<Option<String>, ThreeMfFault> {
    let path = "_rels/.rels";
    let mut reader = Reader::from_reader(file);
    let mut buffer = Vec::new();
    loop {
        match reader.read_event_into(&mut buffer) {
            Ok(Event::Eof) => return Ok(None),
            Ok(Event::Start(tag) | Event::Empty(tag))
                if tag.local_name().as_ref() == b"Relationship" =>
            {
                let kind = attribute(&tag, b"Type", path)?.unwrap_or_default();
                if kind.ends_with(ROOT) {
                    return attribute(&tag, b"Target", path);
                }
            }
            Ok(_) => {}
            Err(fault) => return Err(ThreeMfFault::xml(path, &fault)),
        }
        buffer.clear();
    }
}

/// Reads a model file to its end.
pub fn read_model(file: impl BufRead, path: &str) -> Result<Model, ThreeMfFault> {
    let mut reader = Reader::from_reader(file);
    let mut buffer = Vec::new();
    let mut model: Option<Model> = None;
    let mut prefixes = Prefixes::default();
    let mut open: Option<Open> = None;
    let mut closed = false;
    loop {
        let event = reader
            .read_event_into(&mut buffer)
            .map_err(|fault| ThreeMfFault::xml(path, &fault))?;
        match event {
            Event::Eof => break,
            // The specification forbids it; entities that multiply live there.
            Event::DocType(_) => return Err(ThreeMfFault::DocType(path.to_owned())),
            Event::Start(tag) | Event::Empty(tag) if model.is_none() => {
                let (unit, found) = head(&tag, path)?;
                prefixes = found;
                model = Some(Model {
                    unit,
                    objects: BTreeMap::new(),
                    build: Vec::new(),
                });
            }
            Event::Start(tag) => {
                if let (Some(model), Some(name)) = (&mut model, core_name(&tag, &prefixes)) {
                    element(name, &tag, &prefixes, path, model, &mut open)?;
                }
            }
            Event::Empty(tag) => {
                if let (Some(model), Some(name)) = (&mut model, core_name(&tag, &prefixes)) {
                    element(name, &tag, &prefixes, path, model, &mut open)?;
                    if name == b"object" {
                        close(&mut open, model, path)?;
                    }
                }
            }
            Event::End(tag) => {
                let name = tag.name();
                match name.as_ref().strip_prefix(prefixes.core.as_slice()) {
                    Some(b"object") => {
                        if let Some(model) = &mut model {
                            close(&mut open, model, path)?;
                        }
                    }
                    Some(b"model") => closed = true,
                    _ => {}
                }
            }
            _ => {}
        }
        buffer.clear();
    }
    let model = model.ok_or_else(|| ThreeMfFault::NotModel(path.to_owned()))?;
    if !closed {
        return Err(ThreeMfFault::CutOff(path.to_owned()));
    }
    Ok(model)
}

/// The element's name when it belongs to the core specification.
fn core_name<'t>(tag: &'t BytesStart<'_>, prefixes: &Prefixes) -> Option<&'t [u8]> {
    let name = tag.name().into_inner();
    name.strip_prefix(prefixes.core.as_slice())
        .filter(|local| !local.contains(&b':'))
}

/// The `model` element: its unit, its prefixes, and whether it asks for more than is read.
fn head(tag: &BytesStart<'_>, path: &str) -> Result<(Unit, Prefixes), ThreeMfFault> {
    let not_model = || ThreeMfFault::NotModel(path.to_owned());
    if tag.local_name().as_ref() != b"model" {
        return Err(not_model());
    }
    let mut prefixes = Prefixes {
        core: tag
            .name()
            .prefix()
            .map(|p| [p.as_ref(), b":"].concat())
            .unwrap_or_default(),
        path: Vec::new(),
    };
    let mut spaces: BTreeMap<String, String> = BTreeMap::new();
    let (mut unit, mut required) = (Unit::Millimeter, String::new());
    for attribute in tag.attributes() {
        let attribute = attribute.map_err(|fault| ThreeMfFault::xml(path, &fault))?;
        let key = String::from_utf8_lossy(attribute.key.as_ref()).into_owned();
        let value = value_of(&attribute, path)?;
        match key.as_str() {
            "unit" => {
                let known = Unit::ALL.into_iter().find(|u| u.word() == value);
                unit = known.ok_or_else(|| ThreeMfFault::Unit(short(&value)))?;
            }
            "requiredextensions" => required = value,
            "xmlns" => {
                spaces.insert(String::new(), value);
            }
            _ => {
                if let Some(prefix) = key.strip_prefix("xmlns:") {
                    spaces.insert(prefix.to_owned(), value);
                }
            }
        }
    }
    let own = String::from_utf8_lossy(&prefixes.core).into_owned();
    let space = spaces.get(own.trim_end_matches(':'));
    if !space.is_some_and(|s| s.ends_with(CORE)) {
        return Err(not_model());
    }
    for prefix in required.split_ascii_whitespace() {
        let space = spaces.get(prefix).map_or(prefix, String::as_str);
        if !HARMLESS.iter().any(|known| space.ends_with(known)) {
            return Err(ThreeMfFault::Extension(short(space)));
        }
    }
    let production = spaces.iter().find(|(_, s)| s.ends_with(PRODUCTION));
    prefixes.path = production.map_or_else(Vec::new, |(p, _)| format!("{p}:path").into_bytes());
    Ok((unit, prefixes))
}

fn element(
    name: &[u8],
    tag: &BytesStart<'_>,
    prefixes: &Prefixes,
    path: &str,
    model: &mut Model,
    open: &mut Option<Open>,
) -> Result<(), ThreeMfFault> {
    match (name, open) {
        (b"object", open) => {
            let kind = attribute(tag, b"type", path)?;
            *open = Some(Open {
                id: needed(tag, b"id", path)?,
                name: attribute(tag, b"name", path)?.and_then(|n| named(&n)),
                support: matches!(kind.as_deref(), Some("support" | "solidsupport")),
                ..Open::default()
            });
        }
        (b"vertex", Some(open)) => {
            let vertex = open.vertices.len() + 1;
            let fault = || ThreeMfFault::Vertex {
                object: open.id,
                vertex,
            };
            let [x, y, z] = three(tag, [b"x", b"y", b"z"], path)?;
            let point = [x, y, z].map(|c: Option<f64>| c.filter(|c| c.is_finite()));
            let [Some(x), Some(y), Some(z)] = point else {
                return Err(fault());
            };
            open.vertices.push([x, y, z]);
        }
        (b"triangle", Some(open)) => {
            let triangle = open.triangles.len() + 1;
            let fault = || ThreeMfFault::Triangle {
                object: open.id,
                triangle,
                vertices: open.vertices.len(),
            };
            let corners = three(tag, [b"v1", b"v2", b"v3"], path)?;
            let [Some(a), Some(b), Some(c)] =
                corners.map(|v: Option<u32>| v.filter(|v| (*v as usize) < open.vertices.len()))
            else {
                return Err(fault());
            };
            open.triangles.push([a, b, c]);
        }
        (b"component", Some(open)) => open.components.push(placed(tag, prefixes, path)?),
        (b"item", None) => {
            let mut item = placed(tag, prefixes, path)?;
            item.name = attribute(tag, b"partnumber", path)?.and_then(|n| named(&n));
            model.build.push(item);
        }
        _ => {}
    }
    Ok(())
}

/// Puts a finished object among the others.
fn close(open: &mut Option<Open>, model: &mut Model, path: &str) -> Result<(), ThreeMfFault> {
    let Some(open) = open.take() else {
        return Ok(());
    };
    let object = Object {
        name: open.name,
        support: open.support,
        content: if open.components.is_empty() {
            Content::Mesh {
                vertices: open.vertices,
                triangles: open.triangles,
            }
        } else {
            Content::Components(open.components)
        },
    };
    match model.objects.insert(open.id, object) {
        None => Ok(()),
        Some(_) => Err(ThreeMfFault::TwiceObject {
            path: path.to_owned(),
            object: open.id,
        }),
    }
}

fn placed(tag: &BytesStart<'_>, prefixes: &Prefixes, path: &str) -> Result<Placed, ThreeMfFault> {
    let other = if prefixes.path.is_empty() {
        None
    } else {
        attribute(tag, &prefixes.path, path)?
    };
    Ok(Placed {
        object: needed(tag, b"objectid", path)?,
        path: other,
        transform: match attribute(tag, b"transform", path)? {
            Some(text) => transform(&text)?,
            None => IDENTITY,
        },
        name: None,
    })
}

fn transform(text: &str) -> Result<Transform, ThreeMfFault> {
    let fault = || ThreeMfFault::Transform(short(text));
    let mut out = IDENTITY;
    let mut words = text.split_ascii_whitespace();
    for cell in out.as_flattened_mut() {
        let number = words.next().and_then(|w| w.parse::<f64>().ok());
        *cell = number.filter(|n| n.is_finite()).ok_or_else(fault)?;
    }
    let volume = determinant(&out);
    if words.next().is_some() || volume == 0.0 || !volume.is_finite() {
        return Err(fault());
    }
    Ok(out)
}

fn value_of(
    attribute: &quick_xml::events::attributes::Attribute<'_>,
    path: &str,
) -> Result<String, ThreeMfFault> {
    let text =
        str::from_utf8(&attribute.value).map_err(|_| ThreeMfFault::NotUtf8(path.to_owned()))?;
    quick_xml::escape::unescape(text)
        .map(|text| text.into_owned())
        .map_err(|fault| ThreeMfFault::xml(path, &fault))
}

fn attribute(
    tag: &BytesStart<'_>,
    name: &[u8],
    path: &str,
) -> Result<Option<String>, ThreeMfFault> {
    for attribute in tag.attributes() {
        let attribute = attribute.map_err(|fault| ThreeMfFault::xml(path, &fault))?;
        if attribute.key.as_ref() == name {
            return value_of(&attribute, path).map(Some);
        }
    }
    Ok(None)
}

fn needed(tag: &BytesStart<'_>, name: &[u8], path: &str) -> Result<u32, ThreeMfFault> {
    let text = attribute(tag, name, path)?;
    let number = text.as_deref().and_then(|t| t.trim().parse().ok());
    number.ok_or_else(|| ThreeMfFault::Number {
        path: path.to_owned(),
        name: String::from_utf8_lossy(name).into_owned(),
    })
}

/// Three numbers of an element in one pass: there are millions of them.
fn three<T: std::str::FromStr>(
    tag: &BytesStart<'_>,
    names: [&[u8]; 3],
    path: &str,
) -> Result<[Option<T>; 3], ThreeMfFault> {
    let mut found = [None, None, None];
    // Without the check for repeated names, which costs more than the reading.
    for attribute in tag.attributes().with_checks(false) {
        let attribute = attribute.map_err(|fault| ThreeMfFault::xml(path, &fault))?;
        let key = attribute.key.as_ref();
        if let Some(k) = names.iter().position(|n| *n == key) {
            let text = str::from_utf8(&attribute.value).unwrap_or_default();
            found[k] = text.trim().parse().ok();
        }
    }
    Ok(found)
}

fn named(text: &str) -> Option<String> {
    let shown = short(text);
    let shown = shown.trim();
    (!shown.is_empty()).then(|| shown.to_owned())
}

fn short(text: &str) -> String {
    quoted(text, NAME_CHARS)
}
