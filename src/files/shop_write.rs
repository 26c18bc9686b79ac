//! Changes of what a shop sets for itself: limits, checks, its state. A file is changed only while
//! it is as it was read, and goes back to what it was where the folder would not read any more.

use super::disk::{TEXT_CAP, read_bytes, write_text};
use super::fault::{Fault, FileFault};
use super::form::{canonical_ron, sha256_hex};
use super::kind::FileKind;
use super::shop::{ShopFolder, decode_catalogue, listed, read_shop_folder};
use crate::catalogue::{
    CatalogueFile, CheckSetting, Limit, LimitChange, LimitScope, ShopState, Standing,
};
use crate::text::files as say;
use std::fs;
use std::path::{Path, PathBuf};

/// Where what is set in the window goes when no file of the folder has it yet.
const OWN_FILE: &str = "set-in-the-program.ron";
/// Version of catalogue files that is written.
const VERSION: u32 = 1;

/// A change of what a shop sets for itself.
#[derive(Clone, Debug, PartialEq)]
pub enum ShopChange {
    /// A limit in its scope. Its revision is counted on, and the value before is kept in its
    /// history; the revision and history given are not looked at.
    Limit(Limit),
    /// A limit back to what would hold without it. The record stays with that value, so that its
    /// history stays too.
    ResetLimit {
        /// Slug of the limit.
        id: String,
        /// Whose.
        scope: LimitScope,
        /// Who resets it.
        set_by: String,
        /// Why.
        reason: String,
        /// On which day, year-month-day.
        on_day: Option<String>,
    },
    /// A check switched or weighed otherwise, for its scope.
    Check(CheckSetting),
    /// A check back to its default.
    ResetCheck {
        /// Slug of the check.
        check: String,
        /// Whose.
        scope: LimitScope,
    },
    /// Another state of the shop.
    State(Box<ShopState>),
}

/// Carries out a change in a shop's folder and reads it again.
///
/// # Errors
/// A file that is no longer as it was read, one with notes between its records, what cannot be
/// written, and whatever would keep the folder from being read again: it is then as before.
pub fn change_shop(folder: &ShopFolder, change: ShopChange) -> Result<ShopFolder, FileFault> {
    as_read(folder)?;
    let path = place(folder, &change)?;
    let before = match path.exists() {
        true => Some(read_bytes(&path, TEXT_CAP)?),
        false => None,
    };
    let here = |what| FileFault::new(&path, what);
    let mut file = match &before {
        None => CatalogueFile::empty(),
        Some(bytes) => decode_catalogue(&path.display().to_string(), bytes)?,
    };
    let heading = match &before {
        None => String::new(),
        Some(bytes) => heading(&String::from_utf8_lossy(bytes))
            .ok_or_else(|| here(Fault::value("shop", say::notes_between())))?,
    };
    apply(folder, &mut file, change).map_err(here)?;
    let text = canonical_ron(&file).map_err(here)?;
    write_text(&path, &(heading + &text), FileKind::Catalogue, VERSION)?;
    read_shop_folder(&folder.dir).inspect_err(|_| put_back(&path, before.as_deref()))
}

/// Holds that nobody has changed the folder since it was read.
fn as_read(folder: &ShopFolder) -> Result<(), FileFault> {
    let changed = |path: &Path| FileFault::new(path, Fault::value("shop", say::changed_on_disk()));
    for path in listed(&folder.dir)? {
        let bytes = read_bytes(&path, TEXT_CAP)?;
        let was = folder.files.iter().position(|p| *p == path);
        match was.and_then(|i| folder.hashes.get(i)) {
            Some(hash) if *hash == sha256_hex(&bytes) => {}
            Some(_) => return Err(changed(&path)),
            // Files of other kinds lie there unread.
            None => {
                if decode_catalogue("", &bytes).is_ok() {
                    return Err(changed(&path));
                }
            }
        }
    }
    match folder.files.iter().find(|path| !path.exists()) {
        Some(gone) => Err(changed(gone)),
        None => Ok(()),
    }
}

/// The file that has the record, or the program's own.
fn place(folder: &ShopFolder, change: &ShopChange) -> Result<PathBuf, FileFault> {
    for path in &folder.files {
        let bytes = read_bytes(path, TEXT_CAP)?;
        let file = decode_catalogue(&path.display().to_string(), &bytes)?;
        let limit = |id: &str, scope: &LimitScope| file.limits.iter().any(|l| l.is(id, scope));
        let check = |id: &str, scope: &LimitScope| file.checks.iter().any(|c| c.is(id, scope));
        let has = match change {
            ShopChange::Limit(l) => limit(&l.id, &l.scope),
            ShopChange::ResetLimit { id, scope, .. } => limit(id, scope),
            ShopChange::Check(c) => check(&c.check, &c.scope),
            ShopChange::ResetCheck { check: id, scope } => check(id, scope),
            ShopChange::State(_) => file.shop.is_some(),
        };
        if has {
            return Ok(path.clone());
        }
    }
    Ok(folder.dir.join(OWN_FILE))
}

fn apply(folder: &ShopFolder, file: &mut CatalogueFile, change: ShopChange) -> Result<(), Fault> {
    match change {
        ShopChange::Limit(limit) => set_limit(folder, file, limit),
        ShopChange::ResetLimit {
            id,
            scope,
            set_by,
            reason,
            on_day,
        } => {
            let place = format!("limits, {id}");
            let Some(now) = file.limits.iter().find(|l| l.is(&id, &scope)) else {
                return Err(Fault::value(place, say::limit_not_own()));
            };
            let wider = folder.catalogue.limits.iter();
            let wider = wider
                .filter(|l| l.id == id && l.scope > scope)
                .filter(|l| matches!(l.scope, LimitScope::Shop | LimitScope::BuiltIn))
                .min_by(|a, b| a.scope.cmp(&b.scope));
            let Some(wider) = wider else {
                return Err(Fault::value(place, say::limit_without_default()));
            };
            let limit = Limit {
                value: wider.value,
                source: wider.source.clone(),
                standing: wider.standing,
                set_by,
                reason,
                on_day,
                ..now.clone()
            };
            set_limit(folder, file, limit)
        }
        ShopChange::Check(setting) => {
            named(&setting)?;
            file.checks
                .retain(|c| !c.is(&setting.check, &setting.scope));
            file.checks.push(setting);
            file.checks
                .sort_by(|a, b| (&a.check, &a.scope).cmp(&(&b.check, &b.scope)));
            Ok(())
        }
        ShopChange::ResetCheck { check, scope } => {
            file.checks.retain(|c| !c.is(&check, &scope));
            Ok(())
        }
        ShopChange::State(state) => {
            file.shop = Some(*state);
            Ok(())
        }
    }
}

/// A setting made here names who made it; one that a person wrote into a file need not.
fn named(setting: &CheckSetting) -> Result<(), Fault> {
    if setting.set_by.trim().is_empty() || setting.reason.trim().is_empty() {
        let place = format!("checks, {}", setting.check);
        return Err(Fault::value(place, say::limit_without_reason()));
    }
    Ok(())
}

fn set_limit(folder: &ShopFolder, file: &mut CatalogueFile, limit: Limit) -> Result<(), Fault> {
    let place = format!("limits, {}", limit.id);
    if limit.scope == LimitScope::BuiltIn {
        return Err(Fault::value(place, say::limit_built_in()));
    }
    if limit.reason.trim().is_empty() || limit.set_by.trim().is_empty() {
        return Err(Fault::value(place, say::limit_without_reason()));
    }
    let same = |l: &&Limit| l.is(&limit.id, &limit.scope);
    let old = file.limits.iter().find(same);
    let mut history = old.map_or_else(Vec::new, |old| old.history.clone());
    // What held before anybody set it here belongs to the story as well.
    let before = old.or_else(|| {
        let all = folder.catalogue.limits.iter().filter(|l| l.id == limit.id);
        all.filter(|l| matches!(l.scope, LimitScope::Shop | LimitScope::BuiltIn))
            .min_by(|a, b| a.scope.cmp(&b.scope))
    });
    history.extend(before.map(|was| LimitChange {
        revision: was.revision,
        value: was.value,
        set_by: was.set_by.clone(),
        reason: was.reason.clone(),
        on: was.on_day.clone(),
    }));
    // Counted on from the built-in one too: the same revision never stands for two values.
    let revision = before.map_or(0, |was| was.revision).saturating_add(1);
    let standing = match limit.standing {
        Standing::Assumed | Standing::Shop => Standing::Shop,
        other => other,
    };
    file.limits.retain(|l| !l.is(&limit.id, &limit.scope));
    file.limits.push(Limit {
        revision,
        history,
        standing,
        ..limit
    });
    file.limits
        .sort_by(|a, b| (&a.id, &a.scope).cmp(&(&b.id, &b.scope)));
    Ok(())
}

/// The notes above the first record; none where there are notes further down, which writing anew
/// would lose.
fn heading(text: &str) -> Option<String> {
    let bare = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut head = String::new();
    for line in bare.lines() {
        let line = line.trim_end();
        if !(line.trim().is_empty() || line.trim_start().starts_with("//")) {
            break;
        }
        head.push_str(line);
        head.push('\n');
    }
    let rest: Vec<char> = bare.chars().skip(head.chars().count()).collect();
    let (mut quoted, mut i) = (false, 0);
    while let Some(&c) = rest.get(i) {
        match (c, rest.get(i + 1)) {
            ('\\', _) if quoted => i += 1,
            ('"', _) => quoted = !quoted,
            ('/', Some('/' | '*')) if !quoted => return None,
            // Raw strings quote otherwise: rather refused than misread.
            ('r', Some('#' | '"')) if !quoted => return None,
            _ => {}
        }
        i += 1;
    }
    Some(head)
}

/// After a change that cannot be read back; what stood there was read a moment ago.
fn put_back(path: &Path, before: Option<&[u8]>) {
    let _ = match before {
        Some(bytes) => write_text(
            path,
            &String::from_utf8_lossy(bytes),
            FileKind::Catalogue,
            VERSION,
        )
        .is_ok(),
        None => fs::remove_file(path).is_ok(),
    };
}

#[cfg(test)]
mod tests {
    use super::*;

    fn folder() -> (tempfile::TempDir, ShopFolder) {
        let dir = tempfile::tempdir().unwrap();
        let own = "// Kept by hand.\n(kind: \"catalogue\", version: 1, shop: (name: \"Shop\", \
                   placing_tolerance_mm: 0.3, stock: [], furnaces: [], source: \"invented\", \
                   standing: Shop))\n";
        fs::write(dir.path().join("shop.ron"), own).unwrap();
        let read = read_shop_folder(dir.path()).unwrap();
        (dir, read)
    }

    fn built_in(folder: &ShopFolder, id: &str) -> Limit {
        let mut all = folder.catalogue.limits.iter();
        all.find(|l| l.is(id, &LimitScope::BuiltIn))
            .unwrap()
            .clone()
    }

    fn stricter(folder: &ShopFolder, value: f64) -> Limit {
        Limit {
            value,
            scope: LimitScope::Shop,
            set_by: "Process engineer".to_owned(),
            reason: "parts touched in the last run".to_owned(),
            on_day: Some("2026-11-20".to_owned()),
            ..built_in(folder, "gap-min")
        }
    }

    fn own<'a>(folder: &'a ShopFolder, id: &str) -> &'a Limit {
        let mut all = folder.catalogue.limits.iter();
        all.find(|l| l.is(id, &LimitScope::Shop)).unwrap()
    }

    #[test]
    fn a_limit_keeps_its_history_and_is_reset_to_the_built_in_one() {
        let (_dir, first) = folder();
        let start = built_in(&first, "gap-min");
        let second = change_shop(&first, ShopChange::Limit(stricter(&first, 1.5))).unwrap();
        let third = change_shop(&second, ShopChange::Limit(stricter(&second, 2.0))).unwrap();
        let now = own(&third, "gap-min");
        assert_eq!((now.value, now.revision), (2.0, start.revision + 2));
        let told: Vec<(u32, f64)> = now.history.iter().map(|h| (h.revision, h.value)).collect();
        assert_eq!(
            told,
            [(start.revision, start.value), (start.revision + 1, 1.5)]
        );
        assert_eq!(now.standing, Standing::Shop);
        let reset = ShopChange::ResetLimit {
            id: "gap-min".to_owned(),
            scope: LimitScope::Shop,
            set_by: "Process engineer".to_owned(),
            reason: "the cause was another".to_owned(),
            on_day: None,
        };
        let last = change_shop(&third, reset).unwrap();
        let now = own(&last, "gap-min");
        assert_eq!((now.value, now.history.len()), (start.value, 3));
        assert_eq!(now.source, start.source);
    }

    #[test]
    fn nothing_is_written_over_what_somebody_else_changed() {
        let (dir, read) = folder();
        let path = dir.path().join("shop.ron");
        let theirs = fs::read_to_string(&path)
            .unwrap()
            .replace("\"Shop\"", "\"Other\"");
        fs::write(&path, &theirs).unwrap();
        let fault = change_shop(&read, ShopChange::Limit(stricter(&read, 1.5))).unwrap_err();
        assert!(fault.to_string().contains("since it was read"), "{fault}");
        assert_eq!(fs::read_to_string(&path).unwrap(), theirs);
        assert!(!dir.path().join(OWN_FILE).exists());
        // A catalogue that came to it, and one that went.
        let read = read_shop_folder(dir.path()).unwrap();
        fs::write(
            dir.path().join("more.ron"),
            "(kind: \"catalogue\", version: 1)\n",
        )
        .unwrap();
        change_shop(&read, ShopChange::Limit(stricter(&read, 1.5))).unwrap_err();
        let read = read_shop_folder(dir.path()).unwrap();
        fs::remove_file(&path).unwrap();
        change_shop(&read, ShopChange::Limit(stricter(&read, 1.5))).unwrap_err();
    }

    #[test]
    fn what_the_folder_would_not_read_is_taken_back() {
        let (dir, read) = folder();
        let nobody = Limit {
            scope: LimitScope::Alloy("unobtainium".to_owned()),
            ..stricter(&read, 1.5)
        };
        change_shop(&read, ShopChange::Limit(nobody)).unwrap_err();
        assert!(!dir.path().join(OWN_FILE).exists());
        let safety = CheckSetting {
            on: false,
            ..CheckSetting::new("unload-too-hot", "we are quick")
        };
        change_shop(&read, ShopChange::Check(safety)).unwrap_err();
        assert_eq!(read_shop_folder(dir.path()).unwrap(), read);
        let unexplained = Limit {
            reason: " ".to_owned(),
            ..stricter(&read, 1.5)
        };
        change_shop(&read, ShopChange::Limit(unexplained)).unwrap_err();
    }

    #[test]
    fn notes_stay_or_the_file_is_left_alone() {
        let (dir, read) = folder();
        let path = dir.path().join("shop.ron");
        let state = ShopState {
            regulated: true,
            ..read.shop.clone().unwrap()
        };
        let read = change_shop(&read, ShopChange::State(Box::new(state.clone()))).unwrap();
        assert!(read.shop.as_ref().unwrap().regulated);
        let text = fs::read_to_string(&path).unwrap();
        assert!(text.starts_with("// Kept by hand.\n("), "{text}");
        let noted = text.replace("regulated", "// as the customer asks\n regulated");
        fs::write(&path, &noted).unwrap();
        let read = read_shop_folder(dir.path()).unwrap();
        let fault = change_shop(&read, ShopChange::State(Box::new(state))).unwrap_err();
        assert!(fault.to_string().contains("notes"), "{fault}");
        assert_eq!(fs::read_to_string(&path).unwrap(), noted);
        // Slashes within words are none.
        assert!(heading("(a: \"http://x /* \\\" // y\")").is_some());
        assert!(heading("(a: 1) /* b */").is_none());
    }

    #[test]
    fn a_check_is_switched_and_set_back() {
        let (_dir, read) = folder();
        let off = CheckSetting {
            on: false,
            set_by: "Process engineer".to_owned(),
            ..CheckSetting::new("part-may-roll", "all round parts lie in grooves")
        };
        let read = change_shop(&read, ShopChange::Check(off.clone())).unwrap();
        assert_eq!(read.catalogue.checks, [off]);
        let back = ShopChange::ResetCheck {
            check: "part-may-roll".to_owned(),
            scope: LimitScope::Shop,
        };
        assert!(
            change_shop(&read, back)
                .unwrap()
                .catalogue
                .checks
                .is_empty()
        );
    }
}
