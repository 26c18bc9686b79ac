//! Mesh paths of a load that is written into another folder.

use crate::load::Plan;
use crate::part::{Part, Shape};
use std::path::{Component, Path, PathBuf};
use std::sync::Arc;

/// A plan whose mesh paths were relative to one folder, with them relative to another. A path that
/// is whole, or a folder that is not there, is left as it is.
pub fn moved(plan: &Plan, from: &Path, to: &Path) -> Plan {
    let mut plan = plan.clone();
    let whole = |folder: &Path| {
        let named = folder.as_os_str().is_empty();
        std::fs::canonicalize(if named { Path::new(".") } else { folder })
    };
    let (Ok(from), Ok(to)) = (whole(from), whole(to)) else {
        return plan;
    };
    if from == to {
        return plan;
    }
    for part in &mut plan.parts {
        let Shape::Mesh { file, .. } = &part.shape else {
            continue;
        };
        if Path::new(file).is_absolute() {
            continue;
        }
        let Some(path) = seen_from(&from.join(file), &to) else {
            continue;
        };
        let part: &mut Part = Arc::make_mut(part);
        if let Shape::Mesh { file, .. } = &mut part.shape {
            *file = path;
        }
    }
    plan
}

/// A path as seen from a folder, both whole, with forward slashes; none where they share no root.
fn seen_from(path: &Path, folder: &Path) -> Option<String> {
    let (path, folder) = (plain(path), plain(folder));
    let (path, folder): (Vec<_>, Vec<_>) =
        (path.components().collect(), folder.components().collect());
    let same = path.iter().zip(&folder).take_while(|(a, b)| a == b).count();
    if same == 0 {
        return None;
    }
    let up = folder.iter().skip(same).map(|_| "..".to_owned());
    let down = path.iter().skip(same);
    let down = down.map(|c| c.as_os_str().to_string_lossy().into_owned());
    Some(up.chain(down).collect::<Vec<_>>().join("/"))
}

/// Without `.` and `..`.
fn plain(path: &Path) -> PathBuf {
    let mut out = PathBuf::new();
    for part in path.components() {
        match part {
            Component::CurDir => {}
            Component::ParentDir => {
                out.pop();
            }
            part => out.push(part),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[cfg(unix)]
    #[test]
    fn a_path_is_seen_from_elsewhere() {
        let seen = |path: &str, folder: &str| seen_from(Path::new(path), Path::new(folder));
        let same = seen("/a/b/meshes/x.stl", "/a/b");
        assert_eq!(same.as_deref(), Some("meshes/x.stl"));
        let up = seen("/a/b/meshes/x.stl", "/a/c/runs");
        assert_eq!(up.as_deref(), Some("../../b/meshes/x.stl"));
        let dots = seen("/a/b/../m/./x.stl", "/a");
        assert_eq!(dots.as_deref(), Some("m/x.stl"));
    }
}
