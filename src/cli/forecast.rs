//! `setterwright forecast FILE`.

use super::forecast_json::json;
use super::forecast_margins::Margins;
use super::review::found_said;
use super::ways::{self, Flags, Frame};
use super::{Failure, Opened, Outcome, open, print_json};
use crate::forecast::chemistry::celsius;
use crate::forecast::heat::{NodeAt, Place};
use crate::forecast::offgas::l_min_25c;
use crate::forecast::plan::printed::{
    Written, figure_in_brackets, in_brackets, in_hours, minutes, percent,
};
use crate::forecast::plan::{
    Asked, BACKBONE_LEFT_WANTED, HoldRow, KindIs, KindRow, Need, OffgasPeak, PlanForecast, Report,
    by_bath, of,
};
use crate::forecast::run::Run;
use crate::forecast::stopped::length_s;
use crate::forecast::whole::CaseForecast;
use crate::load::PartRecords;
use crate::part::MassState;
use crate::text::{forecast as say, forecast_parts, forecast_text};
use clap::Args;
use std::io::Write;
use std::path::PathBuf;

#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The load file (*.load.ron).
    file: Option<PathBuf>,
    /// Prints the nominal case over time as CSV instead of the summary. The setpoint is empty once
    /// the program is over. On ramps the chamber leads it, since the controller holds its
    /// thermocouple at the setpoint and that lags behind the chamber.
    #[arg(long, conflicts_with_all = ["json", "question"])]
    pub(super) csv: bool,
    /// Prints all cases over time and every figure used as JSON instead of the summary.
    #[arg(long)]
    pub(super) json: bool,
    /// Judges by the records of this shop folder.
    #[arg(long, value_name = "DIR")]
    shop: Option<PathBuf>,
    #[command(flatten)]
    ways: Flags,
}

pub(super) fn run(on: &Arguments, out: &mut dyn Write) -> Outcome {
    let frame = Frame {
        file: on.file.as_deref(),
        shop: on.shop.as_deref(),
        json: on.json,
    };
    if let Some(outcome) = ways::run(&on.ways, &frame, out) {
        return outcome;
    }
    let load = open(frame.file()?, frame.shop)?;
    let sizes = load.sizes();
    let asked = load.asked(&sizes);
    let made = of(&asked, &|| false)?;
    let told = &made.report;
    if on.json {
        print_json(out, &json(&asked, &made, told))?;
    } else if on.csv {
        print_csv(&made, out)?;
    } else {
        print(&load, &asked, &made, told, out)?;
        writeln!(out, "{}", found_said(&load, &Ok(made), frame.file()?))?;
    }
    Ok(0)
}

/// Temperatures of a state of a run at a sample, °C.
pub(super) fn state_c(run: &Run, sample: usize, state: usize) -> f64 {
    run.sample(sample)
        .get(state)
        .map_or(f64::NAN, |k| celsius(*k))
}

/// Setpoint at a sample, °C; none once the program is over.
pub(super) fn setpoint_c(run: &Run, sample: usize) -> Option<f64> {
    run.setpoint_k(sample).map(celsius)
}

/// Coldest and hottest place of parts on a level at a sample, °C; of the setter where nothing
/// stands on it.
pub(super) fn level_c(run: &Run, sample: usize, stack: usize, level: usize) -> Option<(f64, f64)> {
    let here = |at: &NodeAt| (at.stack, at.level) == (stack, level);
    let parts = run.extremes(sample, |at| here(at) && at.place != Place::Setter);
    let both = parts.or_else(|| run.extremes(sample, here))?;
    Some((celsius(both.0), celsius(both.1)))
}

/// Levels of the forecast with their columns' names.
pub(super) fn levels(made: &PlanForecast) -> Vec<(usize, usize, String)> {
    let stacks = &made.prepared.keys.stacks;
    let mut out = Vec::new();
    for (s, (_, levels)) in stacks.iter().enumerate() {
        for l in 0..levels.len() {
            let name = if stacks.len() == 1 {
                format!("level_{}", l + 1)
            } else {
                format!("stack_{}_level_{}", s + 1, l + 1)
            };
            out.push((s, l, name));
        }
    }
    out
}

/// Worst of the kinds that hold binder at a sample, and least and most of those with a density.
fn over_kinds(case: &CaseForecast, sample: usize) -> (Option<f64>, Option<(f64, f64)>) {
    let left = case.matter.kinds.iter().filter_map(|k| k.left.get(sample));
    let worst = left.map(|l| l.1).fold(0.0, f64::max);
    let worst = case.matter.burnout_known.then_some(worst);
    let density = case
        .matter
        .kinds
        .iter()
        .filter_map(|k| k.density.get(sample))
        .filter(|d| !d.0.is_nan());
    let both = density.copied().reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)));
    (worst, both)
}

fn print_csv(made: &PlanForecast, out: &mut dyn Write) -> Result<(), Failure> {
    let mut csv = csv::Writer::from_writer(Vec::new());
    let failed = |_: csv::Error| Failure::Output;
    let levels = levels(made);
    let kinds = &made.prepared.keys.kinds;
    let mut head: Vec<String> = ["time_s", "setpoint_c", "chamber_c"]
        .map(str::to_owned)
        .into();
    for (_, _, name) in &levels {
        head.push(format!("{name}_coldest_c"));
        head.push(format!("{name}_hottest_c"));
    }
    let rest = [
        "binder_left",
        "offgas_l_min_25c",
        "sweep_l_min_25c",
        "density_least",
        "density_most",
    ];
    head.extend(rest.map(str::to_owned));
    for k in 1..=kinds.len() {
        head.push(format!("kind_{k}_binder_left"));
        head.push(format!("kind_{k}_density_least"));
        head.push(format!("kind_{k}_density_most"));
    }
    csv.write_record(&head).map_err(failed)?;
    let case = &made.forecast.nominal;
    let run = &case.run;
    let share = |d: Option<f64>| d.map_or(String::new(), |d| format!("{d:.5}"));
    for (s, time_s) in run.times_s.iter().enumerate() {
        let mut row = vec![
            format!("{time_s:.1}"),
            setpoint_c(run, s).map_or(String::new(), |c| format!("{c:.2}")),
            format!("{:.2}", state_c(run, s, run.border.chamber)),
        ];
        for (stack, level, _) in &levels {
            let both = level_c(run, s, *stack, *level).unwrap_or((f64::NAN, f64::NAN));
            row.push(format!("{:.2}", both.0));
            row.push(format!("{:.2}", both.1));
        }
        let (left, density) = over_kinds(case, s);
        let gas = case.matter.offgas.get(s).copied().unwrap_or_default();
        row.push(share(left));
        row.push(match case.matter.burnout_known {
            true => format!("{:.4}", gas.flow.l_min_25c()),
            false => String::new(),
        });
        row.push(format!("{:.4}", l_min_25c(gas.sweep_mol_s)));
        row.push(share(density.map(|d| d.0)));
        row.push(share(density.map(|d| d.1)));
        for k in 0..kinds.len() {
            let kind = case.matter.kinds.get(k);
            let density = kind.and_then(|k| k.density.get(s));
            let density = density.filter(|d| !d.0.is_nan());
            let left = kind.and_then(|k| k.left.get(s)).map(|l| l.1);
            row.push(share(left.filter(|l| !l.is_nan())));
            row.push(share(density.map(|d| d.0)));
            row.push(share(density.map(|d| d.1)));
        }
        csv.write_record(&row).map_err(failed)?;
    }
    let text = csv.into_inner().map_err(|_| Failure::Output)?;
    out.write_all(&text)?;
    Ok(())
}

const MINUTES: Written = Written {
    digits: minutes,
    unit: "",
};
/// Of minutes, in hours.
pub(crate) const HOURS: Written = Written {
    digits: in_hours,
    unit: "h",
};
/// Of shares.
pub(crate) const PERCENT: Written = Written {
    digits: percent,
    unit: "%",
};
/// Of what needs no digits.
pub(crate) fn whole(unit: &str) -> Written<'_> {
    Written {
        digits: |x| format!("{x:.0}"),
        unit,
    }
}

/// To one digit.
fn tenths(unit: &str) -> Written<'_> {
    Written {
        digits: |x| format!("{x:.1}"),
        unit,
    }
}

/// Both ends of a figure that may be none.
fn both(x: &Option<f64>) -> Option<(f64, f64)> {
    x.map(|x| (x, x))
}

fn print(
    load: &Opened,
    asked: &Asked,
    made: &PlanForecast,
    told: &Report,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    writeln!(out, "{}", say::head(&load.plan.title))?;
    if let Some(why) = &made.prepared.no_cases {
        writeln!(out, "{why}")?;
    }
    for what in &made.prepared.lacking {
        writeln!(out, "{}", what.said())?;
    }
    let band_k = made.prepared.inputs.settings.arrival_band_k;
    writeln!(out, "\n{}", forecast_text::holds(band_k))?;
    for hold in &told.holds {
        print_hold(load, made, hold, out)?;
    }
    writeln!(out, "\n{}", say::parts())?;
    let margins = Margins::new(asked, made);
    for kind in &told.kinds {
        print_kind(kind, &margins, out)?;
        print_entry(asked, made, kind.kind, out)?;
    }
    writeln!(out, "\n{}", say::run())?;
    let ends = figure_in_brackets(&told.unload.program_min, HOURS);
    let clock_s = length_s(&made.prepared.inputs.program);
    let clock = in_hours(clock_s / 60.0);
    writeln!(out, "  {}", forecast_text::program_end(&ends, &clock))?;
    let never = say::not_followed();
    let chamber = in_brackets(&told.unload.chamber_min, HOURS, &never, both);
    let load_min = in_brackets(&told.unload.load_min, HOURS, &never, both);
    let unload = say::unload(told.unload.at_c, &chamber, &load_min);
    writeln!(out, "  {unload}")?;
    let grams = |g: &f64| format!("{g:.0} g");
    let none = say::not_evaluated();
    let trap = say::trap(
        &in_brackets(&told.trap.caught_g, whole("g"), &none, both),
        told.trap.before_g.as_ref().map(grams).as_deref(),
        told.trap.capacity_g.as_ref().map(grams).as_deref(),
    );
    writeln!(out, "  {trap}")?;
    let passed = in_brackets(&told.trap.passed_g, whole("g"), &none, both);
    writeln!(out, "    {}", forecast_text::passed(&passed))?;
    let offgas = match told.offgas_l_min.nominal {
        Some(_) => say::offgas(&in_brackets(
            &told.offgas_l_min,
            tenths("L/min"),
            &none,
            both,
        )),
        None => say::no_offgas(),
    };
    writeln!(out, "  {offgas}")?;
    print_exhaust(told, out)?;
    let energy = figure_in_brackets(&told.energy_kwh, whole("kWh"));
    writeln!(out, "  {}", say::energy(&energy))?;
    let lead_k = made.forecast.nominal.run.lead_k();
    if lead_k >= 0.5 {
        let lag_s = made.prepared.inputs.furnace.sensor_lag_s;
        writeln!(out, "  {}", say::lead(lead_k, lag_s))?;
    }
    writeln!(out, "  {}", say::assumed(told.assumed, told.figures))?;
    writeln!(out, "\n{}", say::not_permission())?;
    Ok(())
}

/// Off-gas when most of it comes, and what of the exhaust burns.
fn print_exhaust(told: &Report, out: &mut dyn Write) -> Result<(), Failure> {
    let peak = &told.offgas_peak;
    if peak.nominal.is_some() {
        let none = say::not_evaluated();
        let of = |written: Written, pick: fn(&OffgasPeak) -> f64| {
            in_brackets(peak, written, &none, |p| {
                let x = pick(p.as_ref()?);
                Some((x, x))
            })
        };
        let said = forecast_text::offgas_peak(
            &of(HOURS, |p| p.at_min),
            &of(tenths("g/min"), |p| p.g_min),
            &of(whole("L/min"), |p| p.there_l_min),
            &of(whole("s"), |p| p.residence_s),
        );
        writeln!(out, "    {said}")?;
    }
    if told.offgas_l_min.nominal.is_none() {
        writeln!(out, "  {}", forecast_parts::exhaust_not_evaluated())?;
    }
    if let Some(e) = told.exhaust {
        let fuel = (e.hydrogen_l_min, e.vapour_l_min);
        let told = match e.above_upper_limit {
            true => forecast_text::exhaust,
            false => forecast_text::exhaust_diluted,
        };
        writeln!(out, "  {}", told(fuel, e.lower, e.share, e.air_l_min))?;
    }
    Ok(())
}

/// Name of a place in the load.
pub(super) fn place(asked_plan: &crate::load::Plan, made: &PlanForecast, at: &NodeAt) -> String {
    let keys = &made.prepared.keys;
    let level = keys.level(at.stack, at.level);
    let level = level.map_or_else(String::new, |id| asked_plan.level_label(id));
    let what = match at.place {
        Place::Setter => say::setter_place().to_owned(),
        Place::Part(k) | Place::Core(k) => keys
            .kinds
            .get(k)
            .map_or_else(String::new, |k| k.name.clone()),
    };
    let rings = made.prepared.inputs.settings.zones;
    say::place(&level, at.zone + 1, rings, &what)
}

fn print_hold(
    load: &Opened,
    made: &PlanForecast,
    hold: &HoldRow,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    let mut clock = format!("{:.0}", hold.clock_min);
    if hold.waited() {
        clock += &forecast_text::lasts(hold.lasts_min);
    }
    let gets = figure_in_brackets(&hold.gets_min, MINUTES);
    let place = place(&load.plan, made, &hold.coldest);
    let said = say::hold(hold.segment + 1, hold.target_c, &clock, &gets, &place);
    writeln!(out, "  {said}")?;
    if hold.gets_min.nominal <= 0.0 {
        let short = format!("{:.0}", hold.short_k);
        let said = match hold.arrival_min.nominal {
            Some(_) => {
                let never = say::not_within_a_day();
                let after = in_brackets(&hold.arrival_min, MINUTES, never, both);
                say::arrives(&after, Some(&short))
            }
            None => say::never_arrives(&short),
        };
        writeln!(out, "    {said}")?;
    }
    if let Some(from_c) = hold.surveyed_from_c {
        writeln!(out, "    {}", forecast_text::not_surveyed(from_c))?;
    }
    if let Some(component) = &hold.unknown_need {
        writeln!(out, "    {}", forecast_parts::need_unknown(component))?;
    }
    let Some(of) = &hold.need else {
        return Ok(());
    };
    let min = format!("{:.0}", of.need.minutes());
    let needs = match &of.need {
        Need::Burnout { component, .. } => {
            say::needs_burnout(&min, component, 100.0 * BACKBONE_LEFT_WANTED)
        }
        Need::Sinter { kind, .. } => {
            let kinds = &made.prepared.keys.kinds;
            say::needs_sinter(&min, kinds.get(*kind).map_or("", |k| k.name.as_str()))
        }
    };
    let margin = format!("{:.0}", of.margin_min().abs());
    let margin = match of.is_out_before_it_gets_that() {
        true => forecast_parts::out_at_end(),
        false => say::hold_margin(&margin, of.margin_min() < 0.0),
    };
    let margin = match of.rest_leaves_by {
        Some(segment) => say::rest_leaves_by(&margin, segment),
        None => margin,
    };
    let margin = match of.finished {
        Some(by) => {
            let spare = format!("{:.0}", by.spare_min);
            match by.before {
                true => forecast_parts::out_before(&margin, by.target_c),
                false => forecast_parts::finishes(&margin, by.target_c, &spare),
            }
        }
        None => margin,
    };
    let surveyed = hold.gets_min.has_all() && hold.surveyed_from_c.is_none();
    let case = surveyed.then_some(of.case.words());
    // To the minute, so that the three go together.
    let sinter = matches!(of.need, Need::Sinter { .. });
    let gets = forecast_text::gets(of.gets_min, sinter);
    let said = say::worst_need(&needs, &gets, &margin, case);
    writeln!(out, "    {said}")?;
    Ok(())
}

fn print_kind(kind: &KindRow, margins: &Margins, out: &mut dyn Write) -> Result<(), Failure> {
    writeln!(out, "  {}", say::kind_head(&kind.name, kind.pieces))?;
    let left = in_brackets(&kind.left, PERCENT, &say::not_evaluated(), both);
    writeln!(out, "    {}", say::left(&left))?;
    if kind.density.nominal.is_some() {
        let none = say::no_prediction();
        let density = in_brackets(&kind.density, PERCENT, &none, |d| *d);
        writeln!(out, "    {}", say::density(&density))?;
        if let Some(said) = margins.density(kind) {
            writeln!(out, "      {said}")?;
        }
        let slopes = kind.density_per_10_k.each().filter_map(|(_, s)| *s);
        if let Some(per_10_k) = slopes.reduce(f64::max).filter(|most| *most < FLAT) {
            writeln!(out, "      {}", forecast_text::flat(per_10_k))?;
        }
        let sizes = [
            (say::cold(), kind.size_mm.cold.flatten()),
            (say::nominal(), kind.size_mm.nominal),
            (say::hot(), kind.size_mm.hot.flatten()),
        ];
        for (case, [small, large]) in sizes.into_iter().filter_map(|(c, s)| Some((c, s?))) {
            let sides = small.iter().zip(large).map(|(a, b)| {
                let (a, b) = (format!("{a:.2}"), format!("{b:.2}"));
                if a == b { a } else { format!("{a}-{b}") }
            });
            let sides: Vec<String> = sides.collect();
            writeln!(
                out,
                "    {}",
                say::size(case, &format!("{} mm", sides.join(" x ")))
            )?;
        }
        if let Some(said) = margins.size(kind) {
            writeln!(out, "      {said}")?;
        }
    } else {
        writeln!(out, "    {}", say::density(&kind.why_no_density()))?;
    }
    if kind.grain_um.nominal.is_some() {
        let none = say::not_evaluated();
        let grain = in_brackets(&kind.grain_um, tenths("µm"), &none, both);
        writeln!(out, "    {}", forecast_text::grain(&grain))?;
    }
    if kind.overpressure_pa.nominal.is_some() {
        let kpa = Written {
            digits: |pa| format!("{:.1}", pa / 1000.0),
            unit: "kPa",
        };
        let none = say::not_evaluated();
        let core = in_brackets(&kind.overpressure_pa, kpa, &none, both);
        writeln!(out, "    {}", say::core(&core))?;
    }
    let mut closed = kind.closed.each().filter(|(_, c)| **c == Some(true));
    if let Some((case, _)) = closed.next() {
        let case = kind.closed.has_all().then_some(case.words());
        writeln!(out, "    {}", say::closed(case))?;
    }
    if let Some(said) = margins.assumed_of(kind) {
        writeln!(out, "    {said}")?;
    }
    Ok(())
}

/// A curve is flat where 10 K less would show less than this of density (assumed: half of what is
/// printed of it, some times over).
const FLAT: f64 = 0.002;

/// In what state a kind enters: what its first step took out and how that is known, and where the
/// density of presintered parts begins.
fn print_entry(
    asked: &Asked,
    made: &PlanForecast,
    kind: usize,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    let (Some(key), Some(matter)) = (
        made.prepared.keys.kinds.get(kind),
        made.prepared.inputs.matter.get(kind),
    ) else {
        return Ok(());
    };
    if key.enters == MassState::Presintered && matter.sintering.is_some() {
        let said = forecast_parts::begins_at(matter.density);
        writeln!(out, "    {said}")?;
    }
    let Some(said) = key.extraction_said() else {
        return Ok(());
    };
    writeln!(out, "    {said}")?;
    let KindIs::Pieces {
        part,
        lot: Some(lot),
    } = &key.is
    else {
        return Ok(());
    };
    let records = asked.plan.part(*part);
    let records = records.and_then(|part| PartRecords::new(part, asked.catalogue));
    let lot = asked.plan.lot(*lot);
    let bath = records.zip(lot).and_then(|(r, lot)| by_bath(&r, lot));
    let Some(bath) = bath else {
        return Ok(());
    };
    let said = forecast_parts::by_bath(bath.out, bath.centre_out, bath.other_shapes_out);
    writeln!(out, "    {said}")?;
    if let Some((share, after_s)) = bath.target {
        let said = forecast_parts::target_after(share, after_s.map(|s| s / 3600.0));
        writeln!(out, "    {said}")?;
    }
    Ok(())
}
