use super::*;
use crate::geometry::Mesh;
use std::io::Write;
use zip::write::SimpleFileOptions;

const RELS: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">
<Relationship Target="/3D/root.model" Id="r0" Type="http://schemas.example/3dmanufacturing/2013/01/3dmodel"/>
</Relationships>"#;

fn package(files: &[(&str, &str)]) -> Vec<u8> {
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for (name, text) in files {
        zip.start_file(*name, SimpleFileOptions::default()).unwrap();
        zip.write_all(text.as_bytes()).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

fn model(attributes: &str, resources: &str, build: &str) -> String {
    format!(
        r#"<?xml version="1.0" encoding="UTF-8"?>
<model {attributes} xmlns="http://schemas.example/3dmanufacturing/core/2015/02"
 xmlns:p="http://schemas.example/3dmanufacturing/production/2015/06"
 xmlns:b="http://schemas.example/3dmanufacturing/beamlattice/2017/02">
<metadata name="Title">made by a test</metadata>
<resources>{resources}</resources><build>{build}</build></model>"#
    )
}

fn cube(id: u32, more: &str) -> String {
    let mesh = crate::geometry::mesh::tests::cube();
    let vertices: String = mesh
        .vertices
        .iter()
        .map(|[x, y, z]| format!(r#"<vertex x="{x}" y="{y}" z="{z}"/>"#))
        .collect();
    let triangles: String = mesh
        .triangles
        .iter()
        .map(|[a, b, c]| format!(r#"<triangle v1="{a}" v2="{b}" v3="{c}"/>"#))
        .collect();
    format!(
        r#"<object id="{id}" {more}><mesh><vertices>{vertices}</vertices>
<triangles>{triangles}</triangles></mesh></object>"#
    )
}

fn read_one(text: &str) -> Result<ThreeMfFile, ThreeMfFault> {
    read_3mf(&package(&[("_rels/.rels", RELS), ("3D/root.model", text)]))
}

fn measures(body: &ThreeMfBody) -> crate::geometry::MeshMeasures {
    let measures = Mesh::from_soup(&body.triangles).measures();
    assert_eq!(measures.open_edges, 0);
    measures
}

#[test]
fn units_transforms_and_several_items() {
    let text = model(
        r#"unit="inch""#,
        &(cube(1, r#"name="Cube &amp; co""#) + &cube(2, r#"type="support""#)),
        r#"<item objectid="1"/>
           <item objectid="1" transform="2 0 0 0 1 0 0 0 1 10 0 0" partnumber="long"/>
           <item objectid="1" transform="-1 0 0 0 1 0 0 0 1 0 0 0"/>
           <item objectid="2"/>"#,
    );
    let file = read_one(&text).unwrap();
    assert_eq!((file.unit, file.supports), ("inch", 1));
    assert_eq!(file.bodies.len(), 3);
    assert_eq!(file.bodies[0].name.as_deref(), Some("Cube & co"));
    assert_eq!(file.bodies[1].name.as_deref(), Some("long"));
    let inch3 = 25.4_f64.powi(3);
    let volumes = file.bodies.iter().map(|b| measures(b).volume_mm3 / inch3);
    for (volume, expected) in volumes.zip([1.0, 2.0, 1.0]) {
        assert!((volume - expected).abs() < 1e-12, "{volume}");
    }
    assert!((measures(&file.bodies[1]).max_mm[0] - 12.0 * 25.4).abs() < 1e-9);
    // Mirrored: to the other side, and the outside stays outside.
    assert!((measures(&file.bodies[2]).min_mm[0] + 25.4).abs() < 1e-9);
}

#[test]
fn components_combine_their_transforms_in_order() {
    // A quarter turn about z, then 5 along x, inside an item that doubles.
    let text = model(
        "",
        &(cube(1, "")
            + r#"<object id="7"><components>
            <component objectid="1" transform="0 1 0 -1 0 0 0 0 1 5 0 0"/>
            <component objectid="1"/></components></object>"#),
        r#"<item objectid="7" transform="2 0 0 0 2 0 0 0 2 0 0 1"/>"#,
    );
    let file = read_one(&text).unwrap();
    assert_eq!(file.bodies.len(), 1);
    let m = measures(&file.bodies[0]);
    assert!((m.volume_mm3 - 16.0).abs() < 1e-12);
    // The turned cube spans x from 5 - 1 to 5, doubled.
    assert_eq!((m.min_mm, m.max_mm), ([0.0, 0.0, 1.0], [10.0, 2.0, 3.0]));
}

#[test]
fn parts_in_other_files_of_the_package_are_followed() {
    let root = model(
        r#"requiredextensions="p""#,
        r#"<object id="1"><components>
           <component objectid="4" p:path="/3D/Objects/part.model"/></components></object>"#,
        r#"<item objectid="1" p:UUID="x"/><item objectid="4" p:path="/3D/objects/part.model"/>"#,
    );
    // Its own build section is not the package's.
    let other = model("", &cube(4, ""), r#"<item objectid="4"/>"#);
    let files = [
        ("_rels/.rels", RELS),
        ("3D/root.model", root.as_str()),
        ("3D/Objects/part.model", other.as_str()),
    ];
    let file = read_3mf(&package(&files)).unwrap();
    assert_eq!(file.bodies.len(), 2);
    for body in &file.bodies {
        assert!((measures(body).volume_mm3 - 1.0).abs() < 1e-12);
    }
    let missing = read_3mf(&package(&files[..2])).unwrap_err();
    assert!(matches!(missing, ThreeMfFault::NoSuchFile(_)), "{missing}");
    let inches = model(r#"unit="inch""#, &cube(4, ""), "");
    let two = [files[0], files[1], ("3D/Objects/part.model", &inches)];
    let fault = read_3mf(&package(&two)).unwrap_err();
    assert!(matches!(fault, ThreeMfFault::TwoUnits { .. }), "{fault}");
}

#[test]
fn a_prefixed_core_namespace_is_read_and_foreign_elements_are_not() {
    let text = model("", &cube(1, ""), r#"<item objectid="1"/>"#)
        .replace('<', "<c:")
        .replace("<c:/", "</c:")
        .replace("<c:?", "<?")
        .replace("xmlns=", "xmlns:c=")
        .replace("<c:mesh>", "<c:mesh><triangle v1=\"99\"/><x:vertex/>");
    let file = read_one(&text).unwrap();
    assert!((measures(&file.bodies[0]).volume_mm3 - 1.0).abs() < 1e-12);
}

#[test]
fn faults_are_told_apart() {
    let item = r#"<item objectid="1"/>"#;
    let mesh = |vertices: &str, triangles: &str| {
        format!(
            r#"<object id="1"><mesh><vertices>{vertices}</vertices>
               <triangles>{triangles}</triangles></mesh></object>"#
        )
    };
    let v = r#"<vertex x="0" y="0" z="0"/>"#;
    let t = r#"<triangle v1="0" v2="0" v3="0"/>"#;
    let looped = |to: u32| {
        format!(r#"<object id="1"><components><component objectid="{to}"/></components></object>"#)
    };
    let cases = [
        (model("", "", ""), "build section"),
        (
            model("", &cube(1, ""), r#"<item objectid="2"/>"#),
            "no object 2",
        ),
        (
            model("", &mesh(v, r#"<triangle v1="0" v2="0" v3="1"/>"#), item),
            "triangle 1",
        ),
        (
            model("", &mesh(v, r#"<triangle v1="0" v2="0" v3="-1"/>"#), item),
            "triangle 1",
        ),
        (
            model("", &mesh(v, r#"<triangle v1="0" v2="0"/>"#), item),
            "triangle 1",
        ),
        (
            model("", &mesh(r#"<vertex x="0" y="NaN" z="0"/>"#, t), item),
            "vertex 1",
        ),
        (
            model("", &mesh(r#"<vertex x="0" y="0" z="1e999"/>"#, t), item),
            "vertex 1",
        ),
        (
            model("", &mesh(r#"<vertex x="0" y="0"/>"#, t), item),
            "vertex 1",
        ),
        (model("", &looped(1), item), "component of itself"),
        (model(r#"unit="furlong""#, &cube(1, ""), item), "furlong"),
        (
            model(r#"requiredextensions="b""#, &cube(1, ""), item),
            "beamlattice",
        ),
        (
            model(r#"requiredextensions="q""#, &cube(1, ""), item),
            "(q)",
        ),
        (
            model("", &(cube(1, "") + &cube(1, "")), item),
            "two objects",
        ),
        (model("", &cube(1, ""), r#"<item/>"#), "objectid"),
        (
            model(
                "",
                &cube(1, ""),
                r#"<item objectid="1" transform="1 0 0"/>"#,
            ),
            "no transform",
        ),
        (
            model(
                "",
                &cube(1, ""),
                r#"<item objectid="1" transform="1 0 0 0 1 0 0 0 0 0 0 0"/>"#,
            ),
            "no transform",
        ),
        (
            model(
                "",
                &cube(1, ""),
                r#"<item objectid="1" transform="1e300 0 0 0 1 0 0 0 1 1e308 0 0"/>"#,
            )
            .replace("<model", r#"<model unit="meter""#),
            "range of numbers",
        ),
        ("<!DOCTYPE x><model/>".to_owned(), "document type"),
        ("<html/>".to_owned(), "not a 3MF model"),
        (
            r#"<model xmlns="urn:other"/>"#.to_owned(),
            "not a 3MF model",
        ),
        (String::new(), "not a 3MF model"),
        ("<model".to_owned(), "XML"),
        (
            model("", &cube(1, ""), item).replace("</model>", ""),
            "stops before",
        ),
        (
            model("", &cube(1, ""), item).replace("</mesh>", "</mush>"),
            "XML",
        ),
    ];
    for (text, part) in cases {
        let said = read_one(&text).unwrap_err().to_string();
        assert!(said.contains(part), "{said:?} does not say {part:?}");
    }
    assert_eq!(
        read_3mf(b"PK\x03\x04").unwrap_err(),
        ThreeMfFault::NotPackage
    );
    assert_eq!(read_3mf(b"").unwrap_err(), ThreeMfFault::NotPackage);
    let none = package(&[("hello", "there")]);
    assert_eq!(read_3mf(&none).unwrap_err(), ThreeMfFault::NoModel);
}

#[test]
fn components_that_multiply_are_stopped() {
    // Ten levels of ten components each: 10¹⁰ cubes of twelve triangles.
    let mut resources = cube(1, "");
    for level in 2..12 {
        let inner = format!(r#"<component objectid="{}"/>"#, level - 1).repeat(10);
        resources += &format!(r#"<object id="{level}"><components>{inner}</components></object>"#);
    }
    let text = model("", &resources, r#"<item objectid="11"/>"#);
    assert_eq!(read_one(&text).unwrap_err(), ThreeMfFault::TooMuch);
    let mut deep = cube(1, "");
    for level in 2..60 {
        deep += &format!(
            r#"<object id="{level}"><components><component objectid="{}"/></components></object>"#,
            level - 1
        );
    }
    let text = model("", &deep, r#"<item objectid="59"/>"#);
    let fault = read_one(&text).unwrap_err();
    assert!(matches!(fault, ThreeMfFault::TooDeep { .. }), "{fault}");
}

#[test]
fn relations_that_unpack_without_end_are_refused() {
    let blanks = " ".repeat(RELATIONS_CAP as usize + 1);
    let bomb = package(&[("_rels/.rels", &blanks)]);
    assert!(bomb.len() < 10_000);
    let fault = read_3mf(&bomb).unwrap_err();
    assert!(matches!(fault, ThreeMfFault::Unpacked { .. }), "{fault}");
}

#[test]
fn no_damage_makes_it_panic() {
    let text = model(
        r#"unit="inch""#,
        &(cube(1, "")
            + r#"<object id="2"><components><component objectid="1"
          transform="1 0 0 0 1 0 0 0 1 0 0 0"/></components></object>"#),
        r#"<item objectid="2" transform="1 0 0 0 1 0 0 0 1 0 0 0"/>"#,
    );
    let whole = package(&[("_rels/.rels", RELS), ("3D/root.model", &text)]);
    let mut state = 0x2545_F491_4F6C_DD1D_u64;
    let mut next = move |below: usize| {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state % below as u64) as usize
    };
    let mut damaged = |bytes: &[u8]| {
        let mut bytes = bytes.to_vec();
        for _ in 0..=next(4) {
            let at = next(bytes.len());
            match next(8) {
                0 => bytes.truncate(at.max(1)),
                1..4 => bytes[at] = b"0123456789-.<>\"/= eN"[next(20)],
                _ => bytes[at] = next(256) as u8,
            }
        }
        bytes
    };
    for _ in 0..1500 {
        let _ = read_3mf(&damaged(&whole));
        // Behind the checksum of the archive as well.
        if let Ok(text) = String::from_utf8(damaged(text.as_bytes())) {
            let _ = read_one(&text);
        }
    }
}
