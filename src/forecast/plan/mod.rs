//! From a plan and its records to a forecast.
//!
//! [`prepare`] makes the core's inputs, with [`Keys`] that lead from its numbers back to the plan;
//! [`of`] computes the forecast of them; its [`Report`] puts it in the words of the plan. What is
//! needed and absent is a [`Missing`], and there is no forecast. What has a usual value falls back
//! on one of [`generic`], and stands among the figures as assumed.

mod exhaust;
mod extraction;
mod figures;
mod fitting;
mod furnace;
mod gases;
pub mod generic;
mod kinds;
mod load;
mod matter;
mod missing;
mod others;
pub mod printed;
mod program;
mod report;
mod rings;
#[cfg(test)]
mod tests;

pub use exhaust::{Exhaust, OffgasPeak};
pub use extraction::{ByBath, by_bath};
pub use fitting::{empty_load, furnace_heat, vacuum_hold};
pub use kinds::{KindIs, KindKey};
pub use missing::Missing;
pub use program::LetIn;
use report::report;
pub use report::{
    BACKBONE_LEFT_WANTED, Finished, HoldNeed, HoldRow, InCases, KindRow, NOT_ITS_HOLD_S, Need,
    Report, TrapRow, UnloadRow, Which, final_size_mm, least_in_range_min,
};

use super::cases::{Cases, NoCases, cases};
use super::constants::ZERO_C;
use super::inputs::Settings;
use super::run::RunFault;
use super::whole::{Forecast, Inputs, forecast};
use crate::catalogue::{Catalogue, FurnaceState, ShopState, Uniformity};
use crate::load::{LevelId, PartRecords, PlacementId, Plan, Sizes, StackId};
use crate::profile::SegmentId;
use crate::text::forecast as text;
use figures::Figures;
use std::fmt;

/// What a forecast is made from.
#[derive(Clone, Copy, Debug)]
pub struct Asked<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// Records by which it is judged.
    pub catalogue: &'a Catalogue,
    /// State of the shop, where one is known.
    pub shop: Option<&'a ShopState>,
    /// Bodies of the plan's parts.
    pub sizes: &'a Sizes,
}

impl<'a> Asked<'a> {
    /// State of the plan's furnace.
    pub fn state(&self) -> Option<&'a FurnaceState> {
        let furnace = &self.plan.load.furnace;
        self.shop?.furnaces.iter().find(|f| f.furnace == *furnace)
    }
}

/// Which thing of the plan each number of the core stands for.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Keys {
    /// Kinds, in the order of the load's kinds.
    pub kinds: Vec<KindKey>,
    /// Stacks with their levels, bottom first. Stacks without a level are left out.
    pub stacks: Vec<(StackId, Vec<LevelId>)>,
    /// Segments of the program.
    pub segments: Vec<SegmentId>,
    /// Slugs of the gases.
    pub gases: Vec<String>,
    /// Load thermocouples.
    pub sensors: Vec<PlacementId>,
}

impl Keys {
    /// Level of the plan by stack and level of the core.
    pub fn level(&self, stack: usize, level: usize) -> Option<LevelId> {
        self.stacks.get(stack)?.1.get(level).copied()
    }

    /// Stack and level of the core by level of the plan.
    pub fn place_of(&self, id: LevelId) -> Option<(usize, usize)> {
        let mut stacks = self.stacks.iter().enumerate();
        stacks.find_map(|(s, (_, levels))| Some((s, levels.iter().position(|l| *l == id)?)))
    }

    /// Segment of the program by segment of the plan.
    pub fn segment_of(&self, id: SegmentId) -> Option<usize> {
        self.segments.iter().position(|s| *s == id)
    }
}

/// Why there is neither a cold nor a hot case.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum WhyNoCases {
    /// Nothing is known of how far places are from the setpoint: what is missing.
    Unknown(&'static str),
    /// What is known ends below the highest target, °C each.
    Beyond {
        /// Known up to, °C.
        known_c: f64,
        /// Highest target, °C.
        peak_c: f64,
    },
}

impl fmt::Display for WhyNoCases {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&match *self {
            WhyNoCases::Unknown(what) => text::no_cases(what),
            WhyNoCases::Beyond { known_c, peak_c } => text::beyond_survey(known_c, peak_c),
        })
    }
}

/// Inputs of the core, and the way back.
#[derive(Clone, Debug, PartialEq)]
pub struct Prepared {
    /// Inputs.
    pub inputs: Inputs,
    /// Which is which.
    pub keys: Keys,
    /// Why there is only the nominal case; none where all three are.
    pub no_cases: Option<WhyNoCases>,
    /// What could not be told for want of a figure, while the rest could.
    pub lacking: Vec<Missing>,
    /// Gas that events let in.
    pub let_in: LetIn,
}

impl Prepared {
    /// Where what is known of the furnace begins, °C, if that is above a temperature in K; none
    /// without cases.
    pub fn surveyed_from_c(&self, at_k: f64) -> Option<f64> {
        Some(self.inputs.cases.as_ref()?.known_from_k(at_k)? - ZERO_C)
    }

    /// Part of a kind with its records, in the plan that was asked about; none of a dummy, and where a
    /// record is gone.
    pub fn records<'a>(
        &self,
        plan: &'a Plan,
        catalogue: &'a Catalogue,
        kind: usize,
    ) -> Option<PartRecords<'a>> {
        let KindIs::Pieces { part, .. } = self.keys.kinds.get(kind)?.is else {
            return None;
        };
        PartRecords::new(plan.part(part)?, catalogue)
    }

    /// Components of a kind's binder of which nobody knows how they burn out.
    pub fn unknown_burnout(&self, kind: usize) -> impl Iterator<Item = &str> {
        let matter = self.inputs.matter.get(kind).into_iter();
        matter.flat_map(|m| m.unknown().map(|c| c.name.as_str()))
    }

    /// Why a kind of which nothing is told has no density, in words.
    pub fn why_no_density(&self, kind: usize) -> String {
        let part = match self.keys.kinds.get(kind).map(|key| &key.is) {
            Some(KindIs::Pieces { part, .. }) => Some(*part),
            _ => None,
        };
        let refired = |m: &Missing| matches!(m, Missing::Refired(p, _) if Some(*p) == part);
        if self.lacking.iter().any(refired) {
            return text::density_refired();
        }
        let matter = self.inputs.matter.get(kind);
        match matter.is_some_and(|m| m.sintering.is_some()) {
            true => text::no_prediction(),
            false => text::not_evaluated(),
        }
    }
}

/// A forecast with the way back to its plan.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanForecast {
    /// What it was made from.
    pub prepared: Prepared,
    /// The cases.
    pub forecast: Forecast,
    /// What they say in the plan's terms.
    pub report: Report,
}

impl PlanForecast {
    /// Of cases that were computed of what is asked.
    pub fn new(asked: &Asked, prepared: Prepared, forecast: Forecast) -> PlanForecast {
        let mut made = PlanForecast {
            prepared,
            forecast,
            report: Report::default(),
        };
        made.report = report(asked, &made);
        made
    }
}

/// Why there is no forecast.
#[derive(Clone, Debug, PartialEq)]
pub enum NoForecast {
    /// Figures are missing; in a fixed order, each once.
    Missing(Vec<Missing>),
    /// The core gave up.
    Run(RunFault),
}

impl fmt::Display for NoForecast {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            NoForecast::Missing(all) => {
                let all: Vec<String> = all.iter().map(Missing::to_string).collect();
                f.write_str(&text::missing(&all))
            }
            NoForecast::Run(fault) => f.write_str(&match fault {
                RunFault::NothingToHeat => text::nothing_to_heat(),
                RunFault::Furnace => text::furnace_figures(),
                RunFault::Program(_) => text::program_figures(),
                RunFault::GaveUp { time_s } => text::gave_up(time_s / 60.0),
                RunFault::Cancelled => text::cancelled(),
            }),
        }
    }
}

impl std::error::Error for NoForecast {}

/// Makes the core's inputs of a plan. The same plan and records give the same inputs, whatever the
/// order of placements on a level.
///
/// # Errors
/// All that is needed and absent.
pub fn prepare(asked: &Asked) -> Result<Prepared, Vec<Missing>> {
    let mut missing = Vec::new();
    let mut figures = Figures::default();
    let settings = Settings::default();
    let plan = asked.plan;
    let Some(furnace) = asked.catalogue.furnace(&plan.load.furnace) else {
        return Err(vec![Missing::Furnace(plan.load.furnace.clone())]);
    };
    if let Err(fault) = plan.profile.curve(Some(furnace.ramp_max_k_min)) {
        missing.push(Missing::Profile(fault));
    }
    let found = kinds::find(plan);
    let heat = furnace::heat(furnace, &mut figures);
    let gases = gases::gases(asked, furnace, &mut figures, &mut missing);
    let (program, let_in) = program::program(plan, furnace, &gases, &mut missing);
    let kinds = kinds::kinds(asked, &found, &mut figures, &mut missing);
    let loaded = load::load(
        asked,
        furnace,
        &found,
        &kinds,
        settings.zones,
        &mut figures,
        &mut missing,
    );
    let mut lacking = Vec::new();
    let matter = matter::matter(&kinds, &gases.caught, &mut figures, &mut lacking);
    if plan.levels().next().is_none() {
        missing.push(Missing::Load);
    }
    if !missing.is_empty() {
        return Err(missing::each_once(missing));
    }
    let peak_k = program.peak_k();
    let known = known(asked);
    let found = known.as_ref().ok();
    others::others(asked, furnace, &kinds, &program, found, &mut figures);
    let (cases, no_cases) = match known.map_or_else(Err, |known| tolerance(&known, peak_k)) {
        Ok(cases) => (Some(cases), None),
        Err(why) => (None, Some(why)),
    };
    let solids_m3 = loaded.furniture_m3 + kinds::volume_m3(&kinds);
    let keys = Keys {
        kinds: kinds.iter().map(|k| k.key.clone()).collect(),
        stacks: loaded.stacks,
        segments: plan.profile.segments.iter().map(|s| s.id).collect(),
        gases: gases.slugs,
        sensors: loaded.sensors,
    };
    Ok(Prepared {
        inputs: Inputs {
            load: loaded.load,
            matter,
            settings: Settings {
                start_k: heat.ambient_k,
                ..settings
            },
            furnace: heat,
            pump: furnace::pump(furnace, &mut figures),
            free_m3: furnace::free_m3(furnace, solids_m3, &mut figures),
            gases: gases.gases,
            program,
            cases,
            start: None,
            figures: figures.into_all(),
        },
        keys,
        no_cases,
        lacking: missing::each_once(lacking),
        let_in,
    })
}

/// How far places of the furnace may be from its setpoint.
fn known(asked: &Asked) -> Result<Uniformity, WhyNoCases> {
    let furnace = asked.catalogue.furnace(&asked.plan.load.furnace);
    let known = Uniformity::of_furnace(
        furnace.map(AsRef::as_ref),
        asked.state(),
        asked.plan.planned_start.as_deref(),
    );
    known.map_err(WhyNoCases::Unknown)
}

fn tolerance(known: &Uniformity, peak_k: f64) -> Result<Cases, WhyNoCases> {
    cases(known, peak_k).map_err(|why| match why {
        NoCases::NothingKnown => WhyNoCases::Unknown(crate::text::missing::survey()),
        NoCases::Beyond { known_k, peak_k } => WhyNoCases::Beyond {
            known_c: known_k - ZERO_C,
            peak_c: peak_k - ZERO_C,
        },
    })
}

/// The forecast of a plan: nominal, and cold and hot where what is known of the furnace reaches
/// the peak. Holds that are too short are prolonged to say when the coldest place arrives. It
/// depends on what it is asked and on nothing else.
///
/// # Errors
/// See [`NoForecast`]; `cancelled` is asked once a step.
pub fn of(
    asked: &Asked,
    cancelled: &(dyn Fn() -> bool + Sync),
) -> Result<PlanForecast, NoForecast> {
    let prepared = prepare(asked).map_err(NoForecast::Missing)?;
    let forecast = forecast(&prepared.inputs, true, cancelled).map_err(NoForecast::Run)?;
    Ok(PlanForecast::new(asked, prepared, forecast))
}
