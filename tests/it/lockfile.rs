//! Holds what `Cargo.lock` may contain, so that a heavy or doubled dependency is seen when it
//! comes in and not when the build has grown slow.

use std::collections::BTreeSet;

/// Crates that must not come in, even by way of another; `a*` stands for all that begin so.
const BANNED: &[&str] = &["gtk*", "openssl*", "reqwest"];

/// Crates that our manifest must not name. The lock file lists them as options of the desktop
/// libraries behind the feature `window`, so there they cannot be banned.
const NOT_NAMED: &[&str] = &["tokio", "tracing"];

/// Crates whose types cross our own code: two versions would not fit together. i_overlay is in
/// twice (jagua-rs brings an older one by way of geo); neither one's types leave its own file.
const ONCE: &[&str] = &["glam", "parry3d", "ron", "serde"];

const REGISTRY: &str = "registry+https://github.com/rust-lang/crates.io-index";

const OURSELVES: &str = "setterwright";

#[derive(Default)]
struct Package<'a> {
    name: &'a str,
    version: &'a str,
    /// None for what stands on this disk.
    source: Option<&'a str>,
}

/// The `[[package]]` tables, as cargo writes them: one key a line.
fn packages(lock: &str) -> Vec<Package<'_>> {
    let mut found: Vec<Package> = Vec::new();
    for line in lock.lines() {
        if line == "[[package]]" {
            found.push(Package::default());
        }
        let (Some(package), Some((key, value))) = (found.last_mut(), line.split_once(" = ")) else {
            continue;
        };
        let value = value.trim_matches('"');
        match key {
            "name" => package.name = value,
            "version" => package.version = value,
            "source" => package.source = Some(value),
            _ => {}
        }
    }
    found
}

/// One sentence for each breach, in the order of the file.
fn breaches(lock: &str) -> Vec<String> {
    let mut seen = BTreeSet::new();
    let mut found = Vec::new();
    for Package {
        name,
        version,
        source,
    } in packages(lock)
    {
        let banned = BANNED.iter().any(|ban| match ban.strip_suffix('*') {
            Some(start) => name.starts_with(start),
            None => name == *ban,
        });
        if banned {
            found.push(format!(
                "{name} {version} is banned: `cargo tree -i {name}` says who brings it"
            ));
        }
        if !seen.insert(name) && ONCE.contains(&name) {
            found.push(format!("{name} {version} is a second version of {name}"));
        }
        match source {
            Some(REGISTRY) => {}
            None if name == OURSELVES => {}
            None => found.push(format!("{name} {version} comes from a folder")),
            Some(source) => found.push(format!("{name} {version} comes from {source}")),
        }
    }
    found
}

#[test]
fn the_lock_file_keeps_the_rules() {
    let lock = include_str!("../../Cargo.lock");
    let names: BTreeSet<_> = packages(lock).iter().map(|p| p.name).collect();
    assert!(
        names.contains(OURSELVES),
        "no package {OURSELVES} among {}",
        names.len()
    );
    for once in ONCE {
        assert!(
            names.contains(once),
            "the rule about {once} holds nothing: it is not used"
        );
    }
    let breaches = breaches(lock);
    assert!(breaches.is_empty(), "Cargo.lock:\n{}", breaches.join("\n"));
}

#[test]
fn each_breach_is_found() {
    let lock = r#"
version = 4

[[package]]
name = "gtk4-sys"
version = "0.9.0"
source = "registry+https://github.com/rust-lang/crates.io-index"
checksum = "00"
dependencies = [
 "glam 0.30.0",
 "reqwest",
]

[[package]]
name = "glam"
version = "0.30.0"
source = "registry+https://github.com/rust-lang/crates.io-index"

[[package]]
name = "glam"
version = "0.33.0"
source = "registry+https://github.com/rust-lang/crates.io-index"

[[package]]
name = "hashbrown"
version = "0.16.0"
source = "registry+https://github.com/rust-lang/crates.io-index"

[[package]]
name = "hashbrown"
version = "0.17.0"
source = "git+https://example.org/hashbrown#00"

[[package]]
name = "neighbour"
version = "0.1.0"

[[package]]
name = "setterwright"
version = "0.1.0"
dependencies = [
 "neighbour",
]

[[package]]
name = "reqwest"
version = "1.0.0"
source = "sparse+https://example.org/index/"
"#;
    let wanted = [
        "gtk4-sys 0.9.0 is banned: `cargo tree -i gtk4-sys` says who brings it",
        "glam 0.33.0 is a second version of glam",
        "hashbrown 0.17.0 comes from git+https://example.org/hashbrown#00",
        "neighbour 0.1.0 comes from a folder",
        "reqwest 1.0.0 is banned: `cargo tree -i reqwest` says who brings it",
        "reqwest 1.0.0 comes from sparse+https://example.org/index/",
    ];
    assert_eq!(breaches(lock), wanted);
}

#[test]
fn the_manifest_names_none_of_the_heavy_ones() {
    let manifest = include_str!("../../Cargo.toml");
    for line in manifest.lines() {
        let name = line.split(['=', ' ']).next().unwrap_or_default();
        assert!(!NOT_NAMED.contains(&name), "{line}");
    }
    assert!(manifest.lines().any(|line| line.starts_with("serde =")));
}
