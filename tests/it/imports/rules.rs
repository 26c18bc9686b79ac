//! The rules, as data.

/// A module may use anything to its right, nothing to its left and nothing beside it.
pub const LINE: &[&[&str]] = &[
    &["main"],
    &["app"],
    &["cli"],
    &["document"],
    &["files"],
    &["sheet"],
    &["record"],
    &["review"],
    &["arrange"],
    &["forecast"],
    &["statics"],
    &["load"],
    &["profile"],
    &["part"],
    &["catalogue"],
    &["geometry"],
    &["series", "text"],
    &["units"],
];

pub const LINE_RULE: &str = "a module uses only what stands to its right in the line";
pub const NOT_IN_LINE: &str = "every module has a place in the line";
pub const MAIN_IS_THIN: &str = "main declares no module of its own, the library holds them";

/// Their last digit differs between platforms in the standard library; `sqrt` is exact.
pub const TRANSCENDENTAL: &[&str] = &[
    "acos", "acosh", "asin", "asinh", "atan", "atan2", "atanh", "cbrt", "cos", "cosh", "exp",
    "exp2", "exp_m1", "hypot", "ln", "ln_1p", "log10", "log2", "powf", "sin", "sin_cos", "sinh",
    "tan", "tanh",
];
pub const BY_LIBM: &str = "a transcendental function outside app and main goes through libm, so \
                           that every platform comes to the same digits; tests are free";

/// Modules whose results depend on their arguments and nothing else.
const PURE: &[&str] = &["review", "arrange", "forecast", "statics", "geometry"];

#[derive(Clone, Copy)]
pub enum Place {
    Only(&'static [&'static str]),
    Never(&'static [&'static str]),
}

pub struct Rule {
    pub says: &'static str,
    pub place: Place,
    /// Paths, with all below them; `a*` stands for every crate whose name begins with `a`.
    /// `core` and `alloc` count as `std`.
    pub paths: &'static [&'static str],
    /// Runs of tokens; `"` stands for any string.
    pub tokens: &'static [&'static [&'static str]],
}

pub const RULES: &[Rule] = &[
    Rule {
        says: "the window's crates only in app and main",
        place: Place::Only(&["app", "main"]),
        paths: &[
            "egui*", "eframe", "rfd", "epaint*", "emath", "ecolor", "winit", "wgpu", "glow",
        ],
        tokens: &[],
    },
    Rule {
        says: "parry3d and its algebra only in geometry",
        place: Place::Only(&["geometry"]),
        paths: &["parry3d*", "glam", "glamx", "nalgebra", "simba"],
        tokens: &[],
    },
    Rule {
        says: "i_overlay and its parts only in geometry and arrange",
        place: Place::Only(&["geometry", "arrange"]),
        paths: &["i_overlay", "i_float", "i_shape", "i_tree", "i_key_sort"],
        tokens: &[],
    },
    Rule {
        says: "jagua_rs only in arrange",
        place: Place::Only(&["arrange"]),
        paths: &["jagua_rs"],
        tokens: &[],
    },
    Rule {
        says: "krilla only in sheet",
        place: Place::Only(&["sheet"]),
        paths: &["krilla*"],
        tokens: &[],
    },
    Rule {
        says: "disk only in files, app and main",
        place: Place::Only(&["files", "app", "main"]),
        // The traits of std::io are free: without one of these they reach no file.
        paths: &[
            "std::fs",
            "std::os",
            "atomic_write_file",
            "tempfile",
            "std::path::Path::canonicalize",
            "std::path::Path::exists",
            "std::path::Path::is_dir",
            "std::path::Path::is_file",
            "std::path::Path::is_symlink",
            "std::path::Path::metadata",
            "std::path::Path::read_dir",
            "std::path::Path::read_link",
            "std::path::Path::symlink_metadata",
            "std::path::Path::try_exists",
        ],
        // The same asked of a path by method; names of our own have to differ.
        tokens: &[
            &[".", "canonicalize", "("],
            &[".", "exists", "("],
            &[".", "is_dir", "("],
            &[".", "is_file", "("],
            &[".", "is_symlink", "("],
            &[".", "read_dir", "("],
            &[".", "read_link", "("],
            &[".", "symlink_metadata", "("],
            &[".", "try_exists", "("],
        ],
    },
    Rule {
        says: "the wall clock only in app and main, which hand it in",
        place: Place::Only(&["app", "main"]),
        paths: &["std::time::SystemTime", "std::time::UNIX_EPOCH"],
        tokens: &[],
    },
    Rule {
        says: "the monotonic clock only in document, app and main",
        place: Place::Only(&["document", "app", "main"]),
        paths: &["std::time::Instant"],
        tokens: &[],
    },
    Rule {
        says: "the environment only in main",
        place: Place::Only(&["main"]),
        paths: &["std::env"],
        tokens: &[],
    },
    Rule {
        says: "ron only in files and catalogue",
        place: Place::Only(&["files", "catalogue"]),
        paths: &["ron"],
        tokens: &[],
    },
    Rule {
        says: "serde_json only in files, cli and the tests of catalogue and forecast",
        place: Place::Only(&["files", "catalogue", "cli", "forecast"]),
        paths: &["serde_json"],
        tokens: &[],
    },
    Rule {
        says: "what is saved is a mirror: serde only in files, catalogue and cli",
        place: Place::Only(&["files", "catalogue", "cli"]),
        paths: &["serde", "serde_core", "serde_derive"],
        tokens: &[],
    },
    Rule {
        says: "review, arrange, forecast, statics and geometry are pure: no outside world, no \
               clock, no random order, no global state",
        place: Place::Never(PURE),
        paths: &[
            "std::fs",
            "std::net",
            "std::process",
            "std::env",
            "std::time",
            "std::thread::sleep",
            "std::collections::HashMap",
            "std::collections::HashSet",
            "std::collections::hash_map",
            "std::collections::hash_set",
            "std::hash::RandomState",
            "hashbrown",
            "getrandom",
            "fastrand",
            "rand::prelude",
            "rand::random",
            "rand::rng",
            "rand::rngs::OsRng",
            "rand::rngs::SysRng",
            "rand::rngs::ThreadRng",
            "rand::thread_rng",
        ],
        tokens: &[
            &["static", "mut"],
            &["from_entropy"],
            &["from_os_rng"],
            &["thread_rng"],
        ],
    },
    Rule {
        says: "a module stands where its name says: no include! of code, no #[path]",
        place: Place::Only(&[]),
        paths: &["std::include"],
        tokens: &[&["[", "path", "="], &[",", "path", "=", "\""]],
    },
];
