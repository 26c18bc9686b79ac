//! `setterwright diff A B`.

use super::{Failure, Outcome, open, print_json};
use crate::files::{self, Compared, compare};
use crate::load::{Affects, Difference};
use crate::text::differences as say;
use clap::Args;
use serde::Serialize;
use std::io::Write;
use std::path::{Path, PathBuf};

#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The load that is compared with: the earlier one, or the standard load.
    a: PathBuf,
    /// The load that is compared.
    b: PathBuf,
    /// Prints JSON instead of text.
    #[arg(long)]
    pub(super) json: bool,
    /// Judges both by the records of this shop folder.
    #[arg(long, value_name = "DIR")]
    shop: Option<PathBuf>,
}

pub(super) fn run(on: &Arguments, out: &mut dyn Write) -> Outcome {
    let shop = on.shop.as_deref();
    let (was, is) = (open(&on.a, shop)?, open(&on.b, shop)?);
    // The same mesh is told by another path in another folder.
    let [a, b] = [&on.a, &on.b].map(|file| file.parent().unwrap_or(Path::new("")));
    let of_b = files::moved(&is.plan, b, a);
    let found = compare(
        Compared {
            plan: &was.plan,
            working: &was.working,
        },
        Compared {
            plan: &of_b,
            working: &is.working,
        },
    );
    if on.json {
        print_json(out, &json(on, &found))?;
    } else {
        print(on, &found, out)?;
    }
    Ok(u8::from(!found.is_empty()))
}

fn print(on: &Arguments, found: &[Difference], out: &mut dyn Write) -> Result<(), Failure> {
    let name = |path: &PathBuf| path.display().to_string();
    writeln!(out, "{}", say::head(&name(&on.b), &name(&on.a)))?;
    if on.shop.is_some() {
        writeln!(out, "{}", say::by_the_shop())?;
    }
    if found.is_empty() {
        writeln!(out, "\n{}", say::same())?;
        return Ok(());
    }
    for group in found.chunk_by(|a, b| a.affects == b.affects) {
        if let Some(first) = group.first() {
            writeln!(out, "\n{}", first.affects.name())?;
        }
        for difference in group {
            writeln!(out, "  {}", difference.sentence)?;
        }
    }
    writeln!(out, "\n{}", say::counted(found.len()))?;
    Ok(())
}

#[derive(Serialize)]
struct DiffJson {
    schema: &'static str,
    version: u32,
    a: String,
    b: String,
    same: bool,
    groups: Vec<GroupJson>,
}

#[derive(Serialize)]
struct GroupJson {
    affects: &'static str,
    name: String,
    differences: Vec<DifferenceJson>,
}

#[derive(Serialize)]
struct DifferenceJson {
    items: Vec<String>,
    sentence: String,
}

fn json(on: &Arguments, found: &[Difference]) -> DiffJson {
    let group = |affects: Affects| {
        let mine = found.iter().filter(|d| d.affects == affects);
        let differences: Vec<DifferenceJson> = mine
            .map(|d| DifferenceJson {
                items: d.items.clone(),
                sentence: d.sentence.clone(),
            })
            .collect();
        (!differences.is_empty()).then(|| GroupJson {
            affects: affects.slug(),
            name: affects.name(),
            differences,
        })
    };
    DiffJson {
        schema: "setterwright.diff",
        version: 1,
        a: on.a.display().to_string(),
        b: on.b.display().to_string(),
        same: found.is_empty(),
        groups: Affects::ALL.into_iter().filter_map(group).collect(),
    }
}
