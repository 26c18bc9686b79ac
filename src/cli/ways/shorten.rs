//! A shorter program, as a draft beside the load.

use super::{Failure, Flags, Frame, Outcome, with_load};
use crate::cli::print_json;
use crate::document::shorten::{
    BURNOUT, Broken, DENSITY, HOLD_MARGIN, Row, Shorter, UNSURVEYED, shorter, spare_min,
};
use crate::files;
use crate::load::Edit;
use crate::text::{findings, shortening, ways as say};
use serde_json::{Value, json};
use std::io::{IsTerminal, Write};
use std::path::Path;

/// A limit that binds, in words.
pub(crate) fn bound(slug: &str) -> String {
    match slug {
        DENSITY => say::density_not_lower(),
        HOLD_MARGIN => shortening::hold_margin(),
        UNSURVEYED => shortening::unsurveyed(),
        BURNOUT => shortening::burnout_unknown(),
        _ => findings::title(slug),
    }
}

/// What the load breaks as it is, a line each: stops first, and with what number.
pub(crate) fn broken_said(found: &Shorter) -> Vec<String> {
    let judged = &found.judged;
    let titled =
        |all: &[&Broken]| -> Vec<String> { all.iter().map(|b| findings::title(b.check)).collect() };
    let stops = |b: &&Broken| b.stop && !b.cold_case_only;
    let stops: Vec<&Broken> = judged.broken.iter().filter(stops).collect();
    let mut lines = Vec::new();
    if judged.stops > 0 {
        lines.push(shortening::stops_first(judged.stops, &titled(&stops)));
    }
    let others = judged.broken.iter().filter(|b| !stops.contains(b));
    for (n, broken) in others.enumerate() {
        if n == 0 {
            lines.push(shortening::broken_head());
        }
        let limit = broken.limit.as_ref();
        let limit = limit.map(|(shown, limit)| {
            let standing = limit.standing.word();
            shortening::limit_of(shown, &limit.set_by, standing)
        });
        let said = shortening::broken(
            &findings::title(broken.check),
            broken.measured.as_deref(),
            limit.as_deref(),
            broken.cold_case_only,
        );
        lines.push(format!("  {said}"));
    }
    lines
}

/// What is kept to spare, and what it rests on.
pub(crate) fn kept_said(found: &Shorter) -> [String; 2] {
    let margin = found.hold_margin.as_ref();
    let margin = margin.map(|l| (l.value, l.set_by.as_str(), l.standing.word()));
    [shortening::margin_kept(margin), shortening::by_rates()]
}

/// The checks that bind somewhere, each once.
fn binding(found: &Shorter) -> Vec<String> {
    let mut slugs: Vec<&str> = Vec::new();
    for row in &found.rows {
        for slug in [&row.hold_bound_by, &row.ramp_bound_by]
            .into_iter()
            .flatten()
        {
            if !slugs.contains(&slug.as_str()) {
                slugs.push(slug);
            }
        }
    }
    slugs.into_iter().map(bound).collect()
}

fn as_json(row: &Row) -> Value {
    json!({
        "segment": row.segment + 1,
        "target_c": row.target_c,
        "hold_min": { "now": row.hold_min.0, "shortest": row.hold_min.1, "bound_by": row.hold_bound_by },
        "ramp_k_min": row.ramp_k_min.map(|(now, fastest)| json!({
            "now": now, "fastest": fastest, "bound_by": row.ramp_bound_by,
        })),
        "coldest_gets_min": row.gets_needs_min.0,
        "needs_min": row.gets_needs_min.1,
        "saved_min": row.saved_min,
        "draft": row.draft.as_ref().map(|hold| json!({
            "to_spare_min": spare_min(hold),
            "finished_in_segment": hold.need.as_ref().and_then(|n| n.finished).map(|f| f.segment + 1),
        })),
    })
}

pub(super) fn run(flags: &Flags, frame: &Frame, out: &mut dyn Write) -> Outcome {
    let file = frame.file()?;
    // Before the search, which takes its time.
    if let Some(draft) = &flags.output {
        let target = files::load_path(draft);
        if files::is_there(&target) {
            return Err(Failure::Input(say::draft_exists(
                &target.display().to_string(),
            )));
        }
    }
    with_load(file, frame.shop, |load, asked| {
        // Counted from 1: nought is none either.
        let only = flags.segment.map(|n| n.wrapping_sub(1));
        let standard = load.working.standard.as_deref();
        // It takes its time; a script wants to hear nothing of that.
        let watched = std::io::stderr().is_terminal();
        let progress = |segment: usize, of: usize| {
            if watched {
                let said = say::shorter_progress(segment + 1, of);
                // Nothing is lost where it cannot be told.
                let _ = writeln!(std::io::stderr(), "{said}");
            }
        };
        let found = shorter(asked, standard, only, &progress, &|| false);
        let found = found.map_err(|why| Failure::Input(why.to_string()))?;
        if frame.json {
            let all = json!({
                "schema": "setterwright.shorter",
                "version": 1,
                "title": load.plan.title,
                "segments": found.rows.iter().map(as_json).collect::<Vec<_>>(),
                "still_found": found.remain,
                "judged": {
                    "checks": found.judged.ran,
                    "not_evaluated": found.judged.not_evaluated,
                    "limits": found.judged.limits,
                    "already_broken": found.judged.broken.iter().map(|b| json!({
                        "check": b.check,
                        "stop": b.stop,
                        "measured": b.measured,
                        "limit": b.limit.as_ref().map(|l| &l.0),
                        "in_the_cold_case_alone": b.cold_case_only,
                    })).collect::<Vec<_>>(),
                    "stops_in_review": found.judged.stops,
                },
                "hold_margin_min": found.hold_margin.as_ref().map(|l| l.value),
                "clock_min": { "now": found.clock_min.0, "draft": found.clock_min.1 },
            });
            print_json(out, &all)?;
        } else {
            writeln!(out, "{}", say::shorter_head(&load.plan.title))?;
            let titled = |slugs: &[&str]| -> Vec<String> {
                slugs.iter().map(|s| findings::title(s)).collect()
            };
            for said in broken_said(&found).iter().chain(&kept_said(&found)) {
                writeln!(out, "{said}")?;
            }
            for row in &found.rows {
                print_row(row, out)?;
            }
            let (was, is) = found.clock_min;
            writeln!(out, "\n{}", say::shorter_whole(was, is))?;
            if !found.remain.is_empty() {
                let titles = titled(&found.remain);
                writeln!(out, "{}", say::shorter_remains(&titles))?;
            }
            let (ran, open) = (found.judged.ran, found.judged.not_evaluated);
            let limits = shortening::limits(&binding(&found), ran, open);
            writeln!(out, "{limits}")?;
            writeln!(out, "{}", say::shorter_judged())?;
        }
        if let Some(draft) = &flags.output {
            let target = files::load_path(draft);
            let title = say::draft_title(&found.plan.title);
            let plan = Edit::SetTitle(title)
                .apply(&found.plan, asked.catalogue)
                .map_err(|said| Failure::Input(said.to_string()))?;
            let from = file.parent().unwrap_or(Path::new(""));
            files::save_load_from(from, &target, &plan, &load.working)?;
            if !frame.json {
                writeln!(out, "{}", say::draft_written(&target.display().to_string()))?;
            }
        }
        Ok(0)
    })
}

fn print_row(row: &Row, out: &mut dyn Write) -> Result<(), Failure> {
    writeln!(
        out,
        "  {}",
        say::shorter_segment(row.segment + 1, row.target_c)
    )?;
    if row.hold_min.0 > 0.0 {
        if let (Some(gets), needs) = row.gets_needs_min {
            writeln!(
                out,
                "    {}",
                say::shorter_gets(row.hold_min.0, gets, needs)
            )?;
        }
        let by = row.hold_bound_by.as_deref().map(bound);
        let said = say::shorter_hold(row.hold_min.0, row.hold_min.1, by.as_deref());
        writeln!(out, "    {said}")?;
        if let Some(said) = draft_said(row) {
            writeln!(out, "      {said}")?;
        }
    }
    if let Some((was, is)) = row.ramp_k_min {
        let by = row.ramp_bound_by.as_deref().map(bound);
        writeln!(out, "    {}", say::shorter_ramp(was, is, by.as_deref()))?;
    }
    if row.saved_min.abs() >= NOUGHT_MIN {
        writeln!(out, "    {}", say::shorter_saves(row.saved_min))?;
    }
    Ok(())
}

/// Less is nought in whole minutes, in which it is told.
pub(crate) const NOUGHT_MIN: f64 = 0.5;

/// What a hold that is another than before has to spare, and where.
pub(crate) fn draft_said(row: &Row) -> Option<String> {
    let hold = row.draft.as_ref();
    let hold = hold.filter(|_| row.hold_min.0 != row.hold_min.1)?;
    let spare = format!("{:.0}", spare_min(hold));
    Some(match &hold.need {
        None if spare_min(hold) < NOUGHT_MIN => shortening::never_there(),
        None => shortening::spare_of_lag(&spare),
        Some(need) => {
            let (gets, needs) = (need.gets_min, need.need.minutes());
            match need.finished {
                None if need.is_out_before_it_gets_that() => shortening::out_at_end(gets, needs),
                Some(f) => shortening::finished(gets, needs, f.segment, f.target_c, &spare),
                None => shortening::spare(gets, needs, &spare),
            }
        }
    })
}
