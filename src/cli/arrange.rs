//! `setterwright arrange FILE -o OUT`.

use super::review::stops_of;
use super::{Failure, Opened, Outcome, open};
use crate::arrange::{Effort, Keep, Watch, rearrange};
use crate::files;
use crate::review::{Contexts, Given, caps};
use crate::text::arranging as words;
use crate::text::cli as say;
use clap::Args;
use std::io::Write;
use std::path::PathBuf;

/// Searches that meet now and then; the answer depends on their number, so it is fixed.
const ISLANDS: usize = 2;

#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The load file (*.load.ron).
    file: PathBuf,
    /// Where the new load is written.
    #[arg(short, long, value_name = "FILE")]
    output: PathBuf,
    /// How long to search: places tried. The same number gives the same layout.
    #[arg(long, value_name = "N", default_value_t = 1_000_000)]
    budget: u64,
    /// Another number gives another layout.
    #[arg(long, value_name = "N", default_value_t = 1)]
    seed: u64,
    /// Uses the records of this shop folder.
    #[arg(long, value_name = "DIR")]
    shop: Option<PathBuf>,
}

pub(super) fn run(arguments: &Arguments, out: &mut dyn Write) -> Outcome {
    let load = open(&arguments.file, arguments.shop.as_deref())?;
    let catalogue = &load.working.catalogue;
    let given = Given {
        plan: &load.plan,
        catalogue,
        shop: load.working.shop.as_deref(),
        differences: &[],
        standard: load.working.standard.as_deref(),
        forecast: None,
    };
    let far = caps(&given, &Contexts::new(&load.plan, catalogue));
    let keep = Keep {
        gap_mm: far.gap_mm,
        edge_mm: far.edge_mm,
    };
    let effort = Effort {
        evaluations: arguments.budget,
        seed: arguments.seed,
        islands: ISLANDS,
    };
    let refused = |reason: String| Failure::Input(words::not_arranged(&reason));
    let found = rearrange(&load.plan, catalogue, keep, effort, &Watch::default())
        .map_err(|fault| refused(fault.to_string()))?;
    let edited = found.edit.apply(&load.plan, catalogue);
    let plan = edited.map_err(|refusal| refused(refusal.to_string()))?;
    let before = stops_of(&load);
    let after = stops_of(&Opened {
        plan: plan.clone(),
        working: load.working.clone(),
    });
    if after > before {
        return Err(refused(words::more_stops(before, after)));
    }
    files::save_load(&arguments.output, &plan, &load.working)?;
    writeln!(
        out,
        "{}",
        words::arranged(found.before, found.after, found.bound)
    )?;
    if found.added + found.waiting > 0 {
        writeln!(out, "{}", words::added(found.added, found.waiting))?;
    }
    writeln!(out, "{}", words::stops(before, after))?;
    let place = arguments.output.display().to_string();
    writeln!(out, "{}", say::written(1, &place))?;
    Ok(0)
}
