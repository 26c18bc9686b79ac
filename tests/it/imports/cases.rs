//! A case for each way round the rules, and for what only looks like one.

use super::check;

struct Case {
    name: &'static str,
    files: &'static [(&'static str, &'static str)],
    /// For each breach, in the order of their sentences: how it begins, and something it says.
    breaches: &'static [(&'static str, &'static str)],
}

const LINE: &str = "stands to its right";

const fn case(
    name: &'static str,
    files: &'static [(&'static str, &'static str)],
    breaches: &'static [(&'static str, &'static str)],
) -> Case {
    Case {
        name,
        files,
        breaches,
    }
}

const CASES: &[Case] = &[
    case(
        "sines without libm",
        &[
            ("src/load/a.rs", "fn f(a: f64) -> f64 { a.sin() }"),
            ("src/part/b.rs", "fn f(a: f64) -> f64 { f64::exp(a) }"),
            ("src/app/c.rs", "fn f(a: f64) -> f64 { a.cos() }"),
            (
                "src/series.rs",
                "#[cfg(test)]\nmod tests;\nfn f(a: f64) -> f64 { a.tan() }",
            ),
            (
                "src/geometry/d.rs",
                "fn f(a: f64) -> f64 { libm::sin(a).sqrt() }\n#[cfg(test)]\npub(crate) mod tests { fn g() { 1f64.ln(); } }",
            ),
            ("src/geometry/tests.rs", "fn g() { 1f64.ln(); }"),
        ],
        &[
            ("src/load/a.rs:1:", "libm"),
            ("src/part/b.rs:1:", "libm"),
            ("src/series.rs:3:", "libm"),
        ],
    ),
    // The line.
    case(
        "to the right",
        &[(
            "src/review/gap.rs",
            "use crate::load::Load; use super::facts::F;\ncrate::units::mm(1)",
        )],
        &[],
    ),
    case(
        "to the left",
        &[("src/load/mod.rs", "\nuse crate::review::Finding;")],
        &[("src/load/mod.rs:2:", LINE)],
    ),
    case(
        "beside",
        &[("src/text/mod.rs", "use crate::series::Series;")],
        &[("src/text/mod.rs:1:", LINE)],
    ),
    case(
        "a module without a place",
        &[
            ("src/lib.rs", "pub mod odds;"),
            ("src/part/mod.rs", "use crate::odds::and_ends;"),
        ],
        &[
            ("src/lib.rs:1:", "place in the line"),
            ("src/part/mod.rs:1:", "place in the line"),
        ],
    ),
    case(
        "a file without a place",
        &[("src/bin/other.rs", "")],
        &[("src/bin/other.rs:1:", "place in the line")],
    ),
    case(
        "an item in lib.rs",
        &[
            ("src/lib.rs", "pub struct Loose;"),
            ("src/part/mod.rs", "fn f(_: crate::Loose) {}"),
        ],
        &[("src/part/mod.rs:1:", "place in the line")],
    ),
    case(
        "the library's root sees all",
        &[("src/lib.rs", "pub mod app;\npub use app::Board;")],
        &[],
    ),
    case(
        "main goes through the library",
        &[(
            "src/main.rs",
            "use setterwright::cli;\nfn main() { cli::run(std::env::args()); helper::go() }\nmod helper { pub fn go() {} }",
        )],
        &[],
    ),
    case(
        "a second library in main",
        &[("src/main.rs", "\nmod app;")],
        &[("src/main.rs:2:", "main declares no module")],
    ),
    case(
        "the library by its own name",
        &[("src/part/mod.rs", "use setterwright::load::Load;")],
        &[("src/part/mod.rs:1:", LINE)],
    ),
    case(
        "the library by a name it gives itself",
        &[
            ("src/lib.rs", "extern crate self as me;"),
            ("src/part/mod.rs", "fn f() { me::load::g() }"),
        ],
        &[("src/part/mod.rs:1:", LINE)],
    ),
    // Shapes of `use`.
    case(
        "nested groups",
        &[(
            "src/part/mod.rs",
            "use crate::{\n  units::{self, mm},\n  geometry::{self, hull::{Hull}},\n  load::{self, edit::{Edit as E}},\n};",
        )],
        &[("src/part/mod.rs:4:", LINE), ("src/part/mod.rs:4:", LINE)],
    ),
    case(
        "a group from nothing",
        &[(
            "src/part/mod.rs",
            "use {crate::load, std::fmt};\nuse ::{parry3d, std::fmt as f};",
        )],
        &[
            ("src/part/mod.rs:1:", LINE),
            ("src/part/mod.rs:2:", "parry3d"),
        ],
    ),
    case(
        "self and super in a group",
        &[("src/part/mass.rs", "use super::{self, super::app::Board};")],
        &[("src/part/mass.rs:1:", LINE)],
    ),
    case(
        "a rename",
        &[("src/part/mod.rs", "use crate::app as plain;")],
        &[("src/part/mod.rs:1:", LINE)],
    ),
    case(
        "brought in as nothing",
        &[("src/part/mod.rs", "use crate::app::Board as _;")],
        &[("src/part/mod.rs:1:", LINE)],
    ),
    case(
        "a glob",
        &[("src/part/mod.rs", "use crate::app::*;")],
        &[("src/part/mod.rs:1:", LINE)],
    ),
    case(
        "a glob of the root",
        &[
            ("src/lib.rs", "pub mod app; pub mod part;"),
            ("src/part/mod.rs", "use crate::*;\nfn f() { app::g() }"),
        ],
        &[("src/part/mod.rs:1:", LINE), ("src/part/mod.rs:2:", LINE)],
    ),
    case(
        "a glob of the root by super",
        &[("src/part/mod.rs", "use super::*;")],
        &[("src/part/mod.rs:1:", LINE)],
    ),
    case(
        "inside a function",
        &[("src/part/mod.rs", "fn f() {\n  use crate::app::g;\n}")],
        &[("src/part/mod.rs:2:", LINE)],
    ),
    case(
        "a type that captures",
        &[("src/part/mod.rs", "fn f<'a>() -> impl Sized + use<'a> {}")],
        &[],
    ),
    // Shapes of paths.
    case(
        "inline",
        &[("src/part/mod.rs", "fn f() { crate::app::g() }")],
        &[("src/part/mod.rs:1:", LINE)],
    ),
    case(
        "spaces, lines and comments between",
        &[(
            "src/part/mod.rs",
            "fn f() { crate :: // here\n /* and /* here */ */ app\n::g() }",
        )],
        &[("src/part/mod.rs:1:", LINE)],
    ),
    case(
        "a chain of super",
        &[(
            "src/part/a/b.rs",
            "fn f() { super::super::super::app::g() }",
        )],
        &[("src/part/a/b.rs:1:", LINE)],
    ),
    case(
        "a chain of super that stays",
        &[("src/part/a/b.rs", "fn f() { super::super::app::g() }")],
        &[],
    ),
    case(
        "self, then super",
        &[("src/part/mod.rs", "fn f() { self::super::app::g() }")],
        &[("src/part/mod.rs:1:", LINE)],
    ),
    case(
        "super from an inline module",
        &[(
            "src/part/mod.rs",
            "mod inner { fn f() { super::app::g(); super::super::app::g() } }\nfn g() { super::app::h() }",
        )],
        &[("src/part/mod.rs:1:", LINE), ("src/part/mod.rs:2:", LINE)],
    ),
    case(
        "raw identifiers",
        &[(
            "src/part/mod.rs",
            "use crate::r#app::g;\nfn r#use() { r#parry3d::f() }",
        )],
        &[
            ("src/part/mod.rs:1:", LINE),
            ("src/part/mod.rs:2:", "parry3d"),
        ],
    ),
    case(
        "a visibility",
        &[(
            "src/part/mod.rs",
            "pub(in crate::part) fn f() {}\npub(crate) fn g() {}",
        )],
        &[],
    ),
    case(
        "in the arguments of a type",
        &[(
            "src/part/mod.rs",
            "fn f() -> Vec<crate::app::A> { Vec::<(u8, crate::app::B)>::new() }\nimpl<T: Into<<crate::app::C as D>::E>> F for T {}",
        )],
        &[
            ("src/part/mod.rs:1:", "`crate::app::A`"),
            ("src/part/mod.rs:1:", "`crate::app::B`"),
            ("src/part/mod.rs:2:", LINE),
        ],
    ),
    case(
        "behind a pointer, an arrow or a keyword",
        &[(
            "src/part/mod.rs",
            "fn f(_: *const parry3d::A) -> ::parry3d::B { return ::parry3d::C }",
        )],
        &[
            ("src/part/mod.rs:1:", "`::parry3d::B`"),
            ("src/part/mod.rs:1:", "`::parry3d::C`"),
            ("src/part/mod.rs:1:", "`parry3d::A`"),
        ],
    ),
    case(
        "in an attribute",
        &[("src/part/mod.rs", "#[derive(serde::Serialize)] struct A;")],
        &[("src/part/mod.rs:1:", "serde only")],
    ),
    case(
        "in a string of serde's",
        &[(
            "src/catalogue/mod.rs",
            "#[serde(rename = \"crate::app::a\", with = \"crate::app::b\")] struct A;",
        )],
        &[("src/catalogue/mod.rs:1:", "`crate::app::b`")],
    ),
    case(
        "in a test",
        &[(
            "src/part/mod.rs",
            "#[cfg(test)]\nmod tests {\n  use super::*;\n  use crate::app::g;\n}",
        )],
        &[("src/part/mod.rs:4:", LINE)],
    ),
    // Macros.
    case(
        "in a macro's body",
        &[(
            "src/part/mod.rs",
            "macro_rules! m { () => { $crate::app::g() } }",
        )],
        &[("src/part/mod.rs:1:", LINE)],
    ),
    case(
        "in a macro's argument",
        &[(
            "src/part/mod.rs",
            "fn f() { write!(w, \"{}\", crate::app::g()) }",
        )],
        &[("src/part/mod.rs:1:", LINE)],
    ),
    case(
        "a path that a macro ends",
        &[(
            "src/part/mod.rs",
            "macro_rules! m { ($a:ident) => { use crate::$a; std::$a::B; self::$a::c() } }",
        )],
        &[("src/part/mod.rs:1:", LINE), ("src/part/mod.rs:1:", "disk")],
    ),
    case(
        "a macro of another module",
        &[
            (
                "src/app/mod.rs",
                "#[macro_export] macro_rules! a { () => {} }",
            ),
            ("src/part/mod.rs", "a!();\ncrate::a! {}\nuse crate::a as b;"),
            (
                "src/part/own.rs",
                "macro_rules! c { () => {} } c!(); vec![1];",
            ),
        ],
        &[
            ("src/part/mod.rs:1:", LINE),
            ("src/part/mod.rs:2:", LINE),
            ("src/part/mod.rs:3:", LINE),
        ],
    ),
    // Other names.
    case(
        "the root by another name",
        &[("src/part/mod.rs", "use crate as c;\nfn f() { c::app::x() }")],
        &[("src/part/mod.rs:2:", LINE)],
    ),
    case(
        "the root by self",
        &[(
            "src/part/mod.rs",
            "use super::{self as up};\nfn f() { up::app::x() }",
        )],
        &[("src/part/mod.rs:2:", LINE)],
    ),
    case(
        "the root by a name from the parent",
        &[
            ("src/part/mod.rs", "use crate as c;"),
            ("src/part/mass.rs", "use super::*;\nfn f() { c::app::x() }"),
        ],
        &[("src/part/mass.rs:2:", LINE)],
    ),
    case(
        "a crate by a name",
        &[(
            "src/part/mod.rs",
            "use std as s;\nfn f() { s::fs::read(p) }",
        )],
        &[("src/part/mod.rs:2:", "disk")],
    ),
    case(
        "passed on by lib.rs",
        &[
            (
                "src/lib.rs",
                "pub mod app; pub use crate::app::Board as B; pub use units::mm;",
            ),
            (
                "src/part/mod.rs",
                "use crate::B;\nuse crate::mm;\nfn f() { crate::B::new() }",
            ),
        ],
        &[
            ("src/part/mod.rs:1:", "leads to `crate::app::Board`"),
            ("src/part/mod.rs:3:", LINE),
        ],
    ),
    case(
        "passed on by a glob in lib.rs",
        &[
            ("src/lib.rs", "pub mod app; pub use app::*;"),
            ("src/app/mod.rs", "pub fn board() {}"),
            ("src/part/mod.rs", "fn f() { crate::board() }"),
        ],
        &[("src/part/mod.rs:1:", LINE)],
    ),
    case(
        "passed on by name through a module that may",
        &[
            ("src/geometry/mod.rs", "pub use self::ball::B;"),
            ("src/geometry/ball.rs", "pub use parry3d::shape::Ball as B;"),
            ("src/review/mod.rs", "use crate::geometry::B;"),
        ],
        &[("src/review/mod.rs:1:", "leads to `parry3d::shape::Ball`")],
    ),
    case(
        "passed on by a glob through a module that may",
        &[
            (
                "src/geometry/mod.rs",
                "pub use parry3d::shape::*; pub struct Hull;",
            ),
            (
                "src/review/mod.rs",
                "use crate::geometry::Hull;\nuse crate::geometry::Ball;\nuse crate::geometry as g;\nfn f(_: g::Ball) {}",
            ),
        ],
        &[
            ("src/review/mod.rs:2:", "parry3d"),
            ("src/review/mod.rs:4:", "parry3d"),
        ],
    ),
    case(
        "all that a module passes on",
        &[
            (
                "src/geometry/mod.rs",
                "pub use parry3d::shape::*; pub(crate) use glam::Vec3; use parry3d::math::Real;",
            ),
            ("src/review/mod.rs", "use crate::geometry::*;"),
        ],
        &[
            ("src/review/mod.rs:1:", "glam::Vec3"),
            ("src/review/mod.rs:1:", "parry3d::shape"),
        ],
    ),
    case(
        "a module that keeps it to itself",
        &[
            (
                "src/geometry/mod.rs",
                "mod a { pub(super) use parry3d::math::Real; } use a::*; pub(in crate::geometry) use parry3d::shape; pub struct Hull;",
            ),
            (
                "src/geometry/hull.rs",
                "use super::*; fn f(_: shape::Ball) {}",
            ),
            (
                "src/review/mod.rs",
                "use crate::geometry::*; fn f(_: Hull) {}",
            ),
        ],
        &[],
    ),
    case(
        "passed on as a type",
        &[
            (
                "src/geometry/mod.rs",
                "pub type Ball<T> = parry3d::shape::Ball<T>; pub type Point = [f64; 2];",
            ),
            ("src/review/mod.rs", "use crate::geometry::{Ball, Point};"),
        ],
        &[("src/review/mod.rs:1:", "parry3d::shape::Ball")],
    ),
    case(
        "names that go in a circle",
        &[(
            "src/part/mod.rs",
            "use self::a::b; pub mod a { pub use super::b; pub use super::*; } pub use a::*; use ron; fn f() { ron::x(); b::c() }",
        )],
        &[
            ("src/part/mod.rs:1:", "ron only"),
            ("src/part/mod.rs:1:", "ron only"),
        ],
    ),
    // Crates.
    case(
        "an extern crate",
        &[(
            "src/part/mod.rs",
            "extern crate parry3d as p;\nfn f() { p::g() }",
        )],
        &[
            ("src/part/mod.rs:1:", "parry3d"),
            ("src/part/mod.rs:2:", "parry3d"),
        ],
    ),
    case(
        "an extern crate for all",
        &[
            ("src/lib.rs", "extern crate std as s;"),
            (
                "src/part/mod.rs",
                "fn f() { s::fs::read(p); ::s::env::args() }",
            ),
        ],
        &[
            ("src/part/mod.rs:1:", "environment"),
            ("src/part/mod.rs:1:", "disk"),
        ],
    ),
    case(
        "a crate from the root",
        &[("src/part/mod.rs", "fn f() { ::parry3d::g() }")],
        &[("src/part/mod.rs:1:", "parry3d")],
    ),
    case(
        "a crate by a new name",
        &[("src/part/mod.rs", "use parry3d as p;\nfn f() { p::g() }")],
        &[
            ("src/part/mod.rs:1:", "parry3d"),
            ("src/part/mod.rs:2:", "parry3d"),
        ],
    ),
    case(
        "a crate whose name only begins alike",
        &[(
            "src/part/mod.rs",
            "use ronin::a; use glamour::b; fn f() { crate::part::ron::g() }",
        )],
        &[],
    ),
    case(
        "a module named like a crate",
        &[(
            "src/part/mod.rs",
            "mod glam { pub fn f() {} } fn g() { glam::f() }",
        )],
        &[],
    ),
    case(
        "a function named like a crate",
        &[("src/part/mod.rs", "fn ron() {} fn g() { ron::from_str(s) }")],
        &[("src/part/mod.rs:1:", "ron only")],
    ),
    case(
        "each crate where it may be",
        &[
            (
                "src/app/mod.rs",
                "use egui_plot::Plot; use std::time::{Instant, SystemTime};",
            ),
            (
                "src/arrange/mod.rs",
                "use i_overlay::core; use jagua_rs::a;",
            ),
            (
                "src/cli/mod.rs",
                "use serde_json::to_string; use serde::Serialize; use std::io::Write;",
            ),
            ("src/document/mod.rs", "use std::time::Instant;"),
            (
                "src/files/mod.rs",
                "use std::fs::File; use ron::de; use serde_json as j; fn f() { p.exists() }",
            ),
            (
                "src/geometry/mod.rs",
                "use parry3d::math::Real; use glam::Vec3; use i_float::int;",
            ),
            ("src/sheet/mod.rs", "use krilla::Document;"),
        ],
        &[],
    ),
    case(
        "each crate where it may not be",
        &[
            ("src/app/mod.rs", "use krilla::Document;"),
            ("src/arrange/mod.rs", "use glam::Vec3;"),
            (
                "src/cli/mod.rs",
                "use egui::Ui;\nuse std::time::Instant;\nuse std::env;",
            ),
            (
                "src/document/mod.rs",
                "use std::time::{Duration, UNIX_EPOCH};\nuse serde::Serialize;",
            ),
            (
                "src/load/mod.rs",
                "use i_shape::A;\nuse jagua_rs::B;\nuse ron::C;\nuse serde_json::D;\nuse rfd::E;",
            ),
        ],
        &[
            ("src/app/mod.rs:1:", "krilla"),
            ("src/arrange/mod.rs:1:", "parry3d"),
            ("src/cli/mod.rs:1:", "window"),
            ("src/cli/mod.rs:2:", "monotonic"),
            ("src/cli/mod.rs:3:", "environment"),
            ("src/document/mod.rs:1:", "wall clock"),
            ("src/document/mod.rs:2:", "mirror"),
            ("src/load/mod.rs:1:", "i_overlay"),
            ("src/load/mod.rs:2:", "jagua_rs"),
            ("src/load/mod.rs:3:", "ron"),
            ("src/load/mod.rs:4:", "serde_json"),
            ("src/load/mod.rs:5:", "window"),
        ],
    ),
    // The outside world.
    case(
        "disk",
        &[(
            "src/part/mod.rs",
            "use std::{io, fs::{self, File}};\nuse std::fs::*;\nuse std::*;\nfn f() { p.exists() }\nuse std::path::Path;\nfn g() { Path::is_dir(p); p.exists }\nuse atomic_write_file::A;",
        )],
        &[
            ("src/part/mod.rs:1:", "`std::fs::File`"),
            ("src/part/mod.rs:1:", "`std::fs`"),
            ("src/part/mod.rs:2:", "disk"),
            ("src/part/mod.rs:3:", "`std::*`"),
            ("src/part/mod.rs:4:", ". exists ("),
            ("src/part/mod.rs:6:", "std::path::Path::is_dir"),
            ("src/part/mod.rs:7:", "disk"),
        ],
    ),
    case(
        "a macro named like a module",
        &[(
            "src/part/mod.rs",
            "const A: &str = std::env!(\"A\"); const B: &str = env!(\"B\");",
        )],
        &[],
    ),
    case(
        "impure",
        &[(
            "src/forecast/mod.rs",
            "use std::collections::{BTreeMap, HashMap as Map};\nuse std::collections;\nfn f(_: collections::hash_map::Entry) {}\nuse core::time::Duration;\nstatic mut N: u8 = 0;\nuse rand::thread_rng as r;\nfn g() { std::thread::sleep(d) }\nuse std::collections::*;",
        )],
        &[
            ("src/forecast/mod.rs:1:", "pure"),
            ("src/forecast/mod.rs:3:", "hash_map"),
            ("src/forecast/mod.rs:4:", "pure"),
            ("src/forecast/mod.rs:5:", "static mut"),
            ("src/forecast/mod.rs:6:", "pure"),
            ("src/forecast/mod.rs:6:", "pure"),
            ("src/forecast/mod.rs:7:", "pure"),
            ("src/forecast/mod.rs:8:", "pure"),
        ],
    ),
    case(
        "impure where that is allowed",
        &[(
            "src/document/mod.rs",
            "use std::collections::HashMap; fn g() { std::thread::sleep(d) }",
        )],
        &[],
    ),
    // Code from elsewhere.
    case(
        "a module elsewhere",
        &[(
            "src/part/mod.rs",
            "#[path = \"../app/x.rs\"] mod x;\n#[cfg_attr(unix, path = \"y.rs\")] mod y;\nfn f() { let path = \"z\"; }",
        )],
        &[
            ("src/part/mod.rs:1:", "no #[path]"),
            ("src/part/mod.rs:2:", "no #[path]"),
        ],
    ),
    case(
        "included",
        &[(
            "src/part/mod.rs",
            "include!(\"a.rs\");\nstd::include!(\"b.rs\");\nuse core::include as i;\nconst A: &str = include_str!(\"a.ron\");",
        )],
        &[
            ("src/part/mod.rs:1:", "no include!"),
            ("src/part/mod.rs:2:", "no include!"),
            ("src/part/mod.rs:3:", "no include!"),
        ],
    ),
    // What only looks like a path.
    case(
        "comments and strings",
        &[(
            "src/part/mod.rs",
            r####"
//! crate::app::a, [`crate::app::b`]
/* use crate::app; /* std::fs */ use crate::app; */
const A: &str = "use crate::app::c; \" std::fs";
const B: &str = r#"crate::app "quoted" "#; const C: &[u8] = br##"crate::app"# "##;
const D: &[u8] = b"crate::app"; const E: &CStr = c"crate::app \\";
const F: [char; 4] = ['"', '\'', '\\', '\u{22}']; const G: u8 = b'"';
fn f<'a>(x: &'a str) -> &'a str { crate::units::g('/', '/', 1.0e-3, 1..2) }
"####,
        )],
        &[],
    ),
    case(
        "after each kind of literal",
        &[(
            "src/part/mod.rs",
            "const A: char = '\"'; use crate::app::a;\nconst B: &str = r#\"\"\"#; use crate::app::b;\nfn f<'a>() {} use crate::app::c;\nconst D: &str = \"\\\\\"; use crate::app::d;\n/* /* */ */ use crate::app::e;\nconst F: &[u8] = b\"\\\"\"; use crate::app::f;",
        )],
        &[
            ("src/part/mod.rs:1:", LINE),
            ("src/part/mod.rs:2:", LINE),
            ("src/part/mod.rs:3:", LINE),
            ("src/part/mod.rs:4:", LINE),
            ("src/part/mod.rs:5:", LINE),
            ("src/part/mod.rs:6:", LINE),
        ],
    ),
];

#[test]
fn each_way_round_is_found() {
    let mut wrong = Vec::new();
    for case in CASES {
        let found = check(case.files.iter().copied()).breaches;
        let as_told = found.len() == case.breaches.len()
            && found
                .iter()
                .zip(case.breaches)
                .all(|(told, (start, part))| told.starts_with(start) && told.contains(part));
        if !as_told {
            wrong.push(format!("{}: {found:#?}", case.name));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
