//! The forecast: nominal, cold and hot case, side by side.

use super::cases::Cases;
use super::constants::{Constant, own};
use super::heat::Place;
use super::inputs::{Case, FurnaceHeat, Gas, LoadHeat, Program, Settings};
use super::matter::{Had, KindMatter, MatterResult, follow};
use super::offgas::Pump;
use super::run::{Job, Run, RunFault, Start, run};
use std::sync::{Condvar, Mutex, PoisonError};

/// All that a forecast reads.
#[derive(Clone, Debug, PartialEq)]
pub struct Inputs {
    /// Load as heat sees it.
    pub load: LoadHeat,
    /// Parts as matter, in the order of the load's kinds.
    pub matter: Vec<KindMatter>,
    /// Furnace.
    pub furnace: FurnaceHeat,
    /// Pump.
    pub pump: Option<Pump>,
    /// Free volume of the furnace, m³.
    pub free_m3: f64,
    /// Gases.
    pub gases: Vec<Gas>,
    /// Program.
    pub program: Program,
    /// Tolerance cases; none where what is known of the furnace does not reach the peak.
    pub cases: Option<Cases>,
    /// How finely.
    pub settings: Settings,
    /// A run that goes on.
    pub start: Option<(Start, Had)>,
    /// Figures above that a record holds, with their standing, for the report.
    pub figures: Vec<Constant>,
}

/// One case.
#[derive(Clone, Debug, PartialEq)]
pub struct CaseForecast {
    /// Heat.
    pub run: Run,
    /// Parts.
    pub matter: MatterResult,
}

/// The three cases.
#[derive(Clone, Debug, PartialEq)]
pub struct Forecast {
    /// As the figures stand.
    pub nominal: CaseForecast,
    /// Coldest to be expected; none where there are no cases.
    pub cold: Option<CaseForecast>,
    /// Hottest to be expected; none where there are no cases.
    pub hot: Option<CaseForecast>,
    /// Every figure used: those of the records, then those of the models.
    pub figures: Vec<Constant>,
}

/// Computes one case.
///
/// # Errors
/// See [`RunFault`].
pub fn one(
    inputs: &Inputs,
    case: &Case,
    prolong: bool,
    cancelled: &(dyn Fn() -> bool + Sync),
) -> Result<CaseForecast, RunFault> {
    let run = heat(inputs, case, prolong, cancelled)?;
    Ok(parts(inputs, case, run))
}

/// The heat of a case alone.
pub(super) fn heat(
    inputs: &Inputs,
    case: &Case,
    prolong: bool,
    cancelled: &(dyn Fn() -> bool + Sync),
) -> Result<Run, RunFault> {
    run(&Job {
        load: &inputs.load,
        furnace: &inputs.furnace,
        gases: &inputs.gases,
        program: &inputs.program,
        case,
        settings: inputs.settings,
        start: inputs.start.as_ref().map(|s| &s.0),
        prolong,
        cancelled,
    })
}

/// What a run of a case does to the parts.
pub fn parts(inputs: &Inputs, case: &Case, run: Run) -> CaseForecast {
    let matter = follow(
        &run,
        &inputs.program,
        &inputs.matter,
        case.mass,
        inputs.free_m3,
        inputs.pump.as_ref(),
        inputs.start.as_ref().map(|s| &s.1),
    );
    CaseForecast { run, matter }
}

/// What workers share: heat of the cases first, then the parts of those that are ready.
#[derive(Default)]
struct Board {
    next: usize,
    running: usize,
    ready: Vec<(usize, Run)>,
    done: Vec<(usize, Result<CaseForecast, RunFault>)>,
}

enum Task {
    Heat(usize),
    Parts(usize, Box<Run>),
}

/// Computes several cases on as many threads as there are processors, in the order given.
///
/// # Errors
/// The first case that failed, in the order given.
pub fn several(
    inputs: &Inputs,
    cases: &[&Case],
    prolong: bool,
    cancelled: &(dyn Fn() -> bool + Sync),
) -> Result<Vec<CaseForecast>, RunFault> {
    let threads = std::thread::available_parallelism()
        .map_or(1, std::num::NonZero::get)
        .min(cases.len());
    let board = Mutex::new(Board::default());
    let change = Condvar::new();
    let lock = || board.lock().unwrap_or_else(PoisonError::into_inner);
    let take = || {
        let mut b = lock();
        loop {
            if b.next < cases.len() {
                b.next += 1;
                b.running += 1;
                return Some(Task::Heat(b.next - 1));
            }
            if let Some((i, run)) = b.ready.pop() {
                return Some(Task::Parts(i, Box::new(run)));
            }
            if b.running == 0 {
                return None;
            }
            b = change.wait(b).unwrap_or_else(PoisonError::into_inner);
        }
    };
    let work = || {
        while let Some(task) = take() {
            match task {
                Task::Heat(i) => {
                    let guard = Running {
                        board: &board,
                        change: &change,
                    };
                    let result = match cases.get(i) {
                        Some(case) => heat(inputs, case, prolong, cancelled),
                        None => Err(RunFault::NothingToHeat),
                    };
                    match result {
                        Ok(run) => lock().ready.push((i, run)),
                        Err(fault) => lock().done.push((i, Err(fault))),
                    }
                    drop(guard);
                }
                Task::Parts(i, run) => {
                    if let Some(case) = cases.get(i) {
                        let done = parts(inputs, case, *run);
                        lock().done.push((i, Ok(done)));
                    }
                }
            }
        }
    };
    std::thread::scope(|scope| {
        for _ in 1..threads {
            scope.spawn(work);
        }
        work();
    });
    let mut done = board
        .into_inner()
        .unwrap_or_else(PoisonError::into_inner)
        .done;
    // Whoever came first: the order is that of the cases.
    done.sort_by_key(|(i, _)| *i);
    done.into_iter().map(|(_, r)| r).collect()
}

/// Says that a case's heat is over, also when it ends in a panic, so that no one waits for ever.
struct Running<'a> {
    board: &'a Mutex<Board>,
    change: &'a Condvar,
}

impl Drop for Running<'_> {
    fn drop(&mut self) {
        let mut b = self.board.lock().unwrap_or_else(PoisonError::into_inner);
        b.running -= 1;
        self.change.notify_all();
    }
}

/// Computes the forecast. `prolong` asks when places arrive that do not in their hold.
///
/// # Errors
/// See [`RunFault`].
pub fn forecast(
    inputs: &Inputs,
    prolong: bool,
    cancelled: &(dyn Fn() -> bool + Sync),
) -> Result<Forecast, RunFault> {
    let nominal = Case::nominal();
    let tolerances = inputs.cases.iter().flat_map(|c| [&c.cold, &c.hot]);
    let cases: Vec<&Case> = std::iter::once(&nominal).chain(tolerances).collect();
    let mut all = several(inputs, &cases, prolong, cancelled)?.into_iter();
    let nominal = all.next().ok_or(RunFault::NothingToHeat)?;
    Ok(Forecast {
        nominal,
        cold: all.next(),
        hot: all.next(),
        figures: inputs.figures.iter().cloned().chain(own()).collect(),
    })
}

/// When the coldest place of the parts comes into band in a hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arrival {
    /// Segment from 0.
    pub segment: usize,
    /// Clock of the hold, s.
    pub clock_s: f64,
    /// Slowest place: state.
    pub node: usize,
    /// From the start of the hold, s; none = never in the hold.
    pub at_s: Option<f64>,
    /// With the hold prolonged.
    pub prolonged_s: Option<f64>,
    /// Real time of that place in band, s.
    pub in_band_s: f64,
    /// Missing at the end of the hold, K.
    pub short_k: f64,
}

/// Arrivals of the slowest place by hold.
pub fn arrivals(run: &Run, band_k: f64) -> Vec<Arrival> {
    run.holds
        .iter()
        .filter_map(|h| {
            let late = |i: &usize| {
                let p = h
                    .prolonged_s
                    .get(*i)
                    .copied()
                    .flatten()
                    .unwrap_or(f64::INFINITY);
                let end = h.end_k.get(*i).copied().unwrap_or(0.0);
                (p, (end - h.target_k).abs())
            };
            let node = (0..run.nodes.len())
                .filter(|&i| run.nodes.get(i).is_some_and(|n| n.place != Place::Setter))
                .max_by(|a, b| {
                    let (x, y) = (late(a), late(b));
                    x.0.total_cmp(&y.0).then(x.1.total_cmp(&y.1))
                })
                .or_else(|| (0..run.nodes.len()).max_by(|a, b| late(a).0.total_cmp(&late(b).0)))?;
            Some(Arrival {
                segment: h.segment,
                clock_s: h.end_s - h.start_s,
                node,
                at_s: h.arrival_s.get(node).copied().flatten(),
                prolonged_s: h.prolonged_s.get(node).copied().flatten(),
                in_band_s: run.time_in_range_s(
                    node,
                    h.target_k - band_k,
                    h.target_k + band_k,
                    h.start_s,
                    h.end_s,
                ),
                short_k: h.target_k - h.end_k.get(node).copied().unwrap_or(h.target_k),
            })
        })
        .collect()
}

/// Rounded as printed: minutes to 5.
pub fn printed_min(s: f64) -> f64 {
    libm::round(s / 300.0) * 5.0
}

#[cfg(test)]
pub(crate) mod tests;
