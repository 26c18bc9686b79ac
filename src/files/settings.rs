//! What a person set for themselves: a small file of the program's own, outside every load.

use super::disk::{read_bytes, write_text};
use super::fault::{Fault, FileFault};
use super::form::{canonical_ron, head, parse};
use super::kind::FileKind;
use crate::arrange::{Weight, Weights};
use crate::part::{Drawn, MeshUnit};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::ffi::OsString;
use std::path::{Path, PathBuf};

/// Newest version that is read, and the one that is written.
const VERSION: u32 = 1;
/// Largest file that is read, bytes (assumed: it holds a few paths).
const CAP: u64 = 1_000_000;

/// Colours of the window.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Colours {
    /// As the system has them.
    #[default]
    System,
    /// Light.
    Light,
    /// Dark.
    Dark,
}

/// What is kept from one run of the window to the next.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Settings {
    /// Loads used lately, newest first.
    pub recent: Vec<PathBuf>,
    /// The shop folder.
    pub shop_folder: Option<PathBuf>,
    /// Colours.
    pub colours: Colours,
    /// How mesh files were taken the last time.
    pub meshes: MeshesAs,
    /// What counts when parts are set out by themselves.
    pub weights: Weights,
}

/// What mesh files do not say: the answers that were given the last time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MeshesAs {
    /// Unit of the numbers.
    pub unit: MeshUnit,
    /// Size at which they are drawn.
    pub drawn: Drawn,
    /// Whether each body of a file becomes a part of its own; all of them one part otherwise.
    pub each_body: bool,
}

impl Default for MeshesAs {
    fn default() -> MeshesAs {
        MeshesAs {
            unit: MeshUnit::Millimetre,
            drawn: Drawn::Final,
            each_body: true,
        }
    }
}

/// [`MeshesAs`] as it stands in the file: in the words of the command line.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct MeshesFile {
    unit: String,
    drawn: String,
    each_body: bool,
}

impl From<MeshesAs> for MeshesFile {
    fn from(from: MeshesAs) -> MeshesFile {
        MeshesFile {
            unit: from.unit.word().to_owned(),
            drawn: from.drawn.word().to_owned(),
            each_body: from.each_body,
        }
    }
}

impl From<MeshesFile> for MeshesAs {
    /// A word that is none of ours leaves the usual answer: it is asked again anyway.
    fn from(from: MeshesFile) -> MeshesAs {
        let usual = MeshesAs::default();
        let units = [MeshUnit::Millimetre, MeshUnit::Inch, MeshUnit::Metre];
        let sizes = [Drawn::Final, Drawn::Green];
        MeshesAs {
            unit: units
                .into_iter()
                .find(|u| u.word() == from.unit)
                .unwrap_or(usual.unit),
            drawn: sizes
                .into_iter()
                .find(|d| d.word() == from.drawn)
                .unwrap_or(usual.drawn),
            each_body: from.each_body,
        }
    }
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct SettingsFile {
    kind: String,
    version: u32,
    #[serde(default)]
    recent: Vec<PathBuf>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    shop_folder: Option<PathBuf>,
    #[serde(default)]
    colours: Colours,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    meshes: Option<MeshesFile>,
    /// In the words of the command line; the usual ones are not written, so that they may change.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    weights: BTreeMap<String, f64>,
}

/// A weight that is none of ours, or cannot be one, is passed over: the usual number shows.
fn weights_of(written: &BTreeMap<String, f64>) -> Weights {
    let known = written.iter();
    let known = known.filter_map(|(word, value)| Some((Weight::of_word(word)?, *value)));
    known.fold(Weights::default(), |all, (weight, value)| {
        all.with(weight, value).unwrap_or(all)
    })
}

fn unusual(weights: &Weights) -> BTreeMap<String, f64> {
    let usual = Weights::default();
    let own = Weight::ALL.into_iter();
    let own = own.filter(|w| weights.get(*w) != usual.get(*w));
    own.map(|w| (w.word().to_owned(), weights.get(w))).collect()
}

/// Where settings lie for this person on this system: under `XDG_CONFIG_HOME` or `~/.config` (XDG
/// Base Directory Specification), `APPDATA`, or `~/Library/Application Support`. None where the
/// environment, which `named` reads, has no such folder.
pub fn settings_path(named: impl Fn(&str) -> Option<OsString>) -> Option<PathBuf> {
    let folder = |name: &str| {
        named(name)
            .map(PathBuf::from)
            .filter(|path| path.is_absolute())
    };
    let base = if cfg!(windows) {
        folder("APPDATA")
    } else if cfg!(target_os = "macos") {
        folder("HOME").map(|home| home.join("Library/Application Support"))
    } else {
        folder("XDG_CONFIG_HOME").or_else(|| folder("HOME").map(|home| home.join(".config")))
    };
    Some(base?.join("setterwright").join("settings.ron"))
}

/// Reads settings; a file that is not there gives the usual ones.
///
/// # Errors
/// What is wrong with the file.
pub fn read_settings(path: &Path) -> Result<Settings, FileFault> {
    let bytes = match read_bytes(path, CAP) {
        Err(fault) if fault.what == Fault::NotFound => return Ok(Settings::default()),
        read => read?,
    };
    let read = head(&bytes, FileKind::Settings, VERSION)
        .and_then(|(text, _)| parse::<SettingsFile>(text))
        .map_err(|what| FileFault::new(path, what))?;
    Ok(Settings {
        recent: read.recent,
        shop_folder: read.shop_folder,
        colours: read.colours,
        meshes: read.meshes.map(MeshesAs::from).unwrap_or_default(),
        weights: weights_of(&read.weights),
    })
}

/// Saves settings, and makes their folder. A path that is not Unicode cannot stand in the file and
/// is left out.
///
/// # Errors
/// The disk refuses, or another kind of file has that name.
pub fn save_settings(path: &Path, settings: &Settings) -> Result<(), FileFault> {
    if let Some(folder) = path.parent() {
        // What goes wrong here is said by the writing below.
        let _ = std::fs::create_dir_all(folder);
    }
    let written = |path: &&PathBuf| path.to_str().is_some();
    // Of a folder as it was typed another start would make another one.
    let shop_folder = settings.shop_folder.as_ref();
    let shop_folder = shop_folder.map(|f| std::path::absolute(f).unwrap_or_else(|_| f.clone()));
    let file = SettingsFile {
        kind: FileKind::Settings.word().to_owned(),
        version: VERSION,
        recent: settings.recent.iter().filter(written).cloned().collect(),
        shop_folder: shop_folder.filter(|folder| written(&folder)),
        colours: settings.colours,
        meshes: Some(settings.meshes.into()),
        weights: unusual(&settings.weights),
    };
    let text = canonical_ron(&file).map_err(|what| FileFault::new(path, what))?;
    write_text(path, &text, FileKind::Settings, VERSION)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::arrange::Order;

    #[test]
    #[cfg(all(unix, not(target_os = "macos")))]
    fn settings_lie_where_the_desktop_keeps_them() {
        let path = |known: &[(&str, &str)]| {
            settings_path(|name| {
                let found = known.iter().find(|(n, _)| *n == name);
                found.map(|(_, value)| OsString::from(value))
            })
        };
        let home = Some("/h/.config/setterwright/settings.ron".into());
        assert_eq!(path(&[("HOME", "/h")]), home);
        // A relative folder is to be ignored (XDG Base Directory Specification).
        assert_eq!(path(&[("HOME", "/h"), ("XDG_CONFIG_HOME", "x")]), home);
        let own = Some("/c/setterwright/settings.ron".into());
        assert_eq!(path(&[("XDG_CONFIG_HOME", "/c"), ("HOME", "/h")]), own);
        assert_eq!(path(&[]), None);
    }

    #[test]
    fn settings_come_back_and_a_bad_file_is_left_alone() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("new/settings.ron");
        assert_eq!(read_settings(&path).unwrap(), Settings::default());
        let settings = Settings {
            recent: vec!["/a/b.load.ron".into(), "/ü.load.ron".into()],
            shop_folder: Some("/shop".into()),
            colours: Colours::Dark,
            meshes: MeshesAs {
                unit: MeshUnit::Inch,
                drawn: Drawn::Green,
                each_body: false,
            },
            weights: Order::Rows.weights().with(Weight::Stack, 2.5).unwrap(),
        };
        save_settings(&path, &settings).unwrap();
        assert_eq!(read_settings(&path).unwrap(), settings);
        // A weight that cannot be one, or is none of ours, leaves the others.
        let odd = "(kind: \"settings\", version: 1, weights: {\"setter\": -1.0, \"rows\": 3.0, \"x\": 1.0})";
        std::fs::write(&path, odd).unwrap();
        let usual = Weights::default();
        let expected = usual.with(Weight::Rows, 3.0).unwrap();
        assert_eq!(read_settings(&path).unwrap().weights, expected);
        std::fs::write(&path, "(kind: \"settings\", version: 9)").unwrap();
        let fault = read_settings(&path).unwrap_err().to_string();
        assert!(fault.contains("newer version (9)"), "{fault}");
        assert!(save_settings(&path, &settings).is_err());
    }

    #[test]
    #[cfg(unix)]
    fn a_path_that_is_no_text_is_left_out_and_what_may_not_be_read_is_no_absence() {
        use std::os::unix::ffi::OsStringExt;
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("settings.ron");
        let odd = PathBuf::from(OsString::from_vec(b"/a/\xFF.load.ron".to_vec()));
        let settings = Settings {
            recent: vec![odd.clone(), "/b.load.ron".into()],
            shop_folder: Some(odd),
            colours: Colours::Light,
            meshes: MeshesAs::default(),
            weights: Weights::default(),
        };
        save_settings(&path, &settings).unwrap();
        let kept = Settings {
            recent: vec!["/b.load.ron".into()],
            shop_folder: None,
            colours: Colours::Light,
            meshes: MeshesAs::default(),
            weights: Weights::default(),
        };
        assert_eq!(read_settings(&path).unwrap(), kept);
        // Behind a file there can be none: that is not "nothing there yet" to the system.
        let behind = read_settings(&path.join("settings.ron")).unwrap_err();
        assert_ne!(behind.what, Fault::NotFound);
    }
}
