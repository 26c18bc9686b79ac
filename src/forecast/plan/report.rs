//! What a forecast says, in the plan's terms: hold by hold, kind by kind.

use super::exhaust::{self, Exhaust, OffgasPeak};
use super::{Asked, KindIs, PlanForecast};
use crate::catalogue::SinterRange;
use crate::forecast::burnout::time_needed_s;
use crate::forecast::clock::Phase;
use crate::forecast::constants::ZERO_C;
use crate::forecast::densify::length;
use crate::forecast::heat::NodeAt;
use crate::forecast::inputs::Case;
use crate::forecast::matter::{MatterResult, densities};
use crate::forecast::whole::{Arrival, CaseForecast, arrivals};
use crate::load::PartRecords;
use crate::text::forecast as words;

/// Share of a component that may be left when its hold ends (assumed).
pub const BACKBONE_LEFT_WANTED: f64 = 0.02;
/// What takes longer than this at a hold is not what the hold is for, s (assumed).
pub const NOT_ITS_HOLD_S: f64 = 24.0 * 3600.0;
/// And what takes less is over before it, s (assumed).
const OVER_S: f64 = 30.0;

/// A value in the cases; cold and hot only where they exist.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct InCases<T> {
    /// Nominal.
    pub nominal: T,
    /// Cold.
    pub cold: Option<T>,
    /// Hot.
    pub hot: Option<T>,
}

/// One of the cases.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Which {
    /// Nominal.
    Nominal,
    /// Cold.
    Cold,
    /// Hot.
    Hot,
}

impl Which {
    /// Its name in a sentence.
    pub fn words(self) -> &'static str {
        match self {
            Which::Nominal => words::nominal_case(),
            Which::Cold => words::cold(),
            Which::Hot => words::hot(),
        }
    }
}

impl<T> InCases<T> {
    /// All that exist.
    pub fn each(&self) -> impl Iterator<Item = (Which, &T)> {
        [
            (Which::Nominal, Some(&self.nominal)),
            (Which::Cold, self.cold.as_ref()),
            (Which::Hot, self.hot.as_ref()),
        ]
        .into_iter()
        .filter_map(|(which, value)| Some((which, value?)))
    }

    /// The greatest, and the case in which it is that; nominal before the others where they are
    /// alike.
    pub fn worst(&self, of: impl Fn(&T) -> Option<f64>) -> Option<(Which, f64)> {
        let all = self.each().filter_map(|(case, v)| Some((case, of(v)?)));
        all.reduce(|a, b| if b.1 > a.1 { b } else { a })
    }

    /// Something of each.
    pub fn map<'a, U>(&'a self, of: impl Fn(&'a T) -> U) -> InCases<U> {
        InCases {
            nominal: of(&self.nominal),
            cold: self.cold.as_ref().map(&of),
            hot: self.hot.as_ref().map(&of),
        }
    }

    /// Whether cold and hot are there.
    pub fn has_all(&self) -> bool {
        self.cold.is_some() && self.hot.is_some()
    }
}

impl PlanForecast {
    /// Where what is known of the furnace begins, °C, if that is above a temperature in K; none
    /// without cases.
    pub fn surveyed_from_c(&self, at_k: f64) -> Option<f64> {
        self.prepared.surveyed_from_c(at_k)
    }

    /// The same question to every case.
    pub fn cases<T>(&self, ask: impl Fn(&CaseForecast) -> T) -> InCases<T> {
        InCases {
            nominal: ask(&self.forecast.nominal),
            cold: self.forecast.cold.as_ref().map(&ask),
            hot: self.forecast.hot.as_ref().map(&ask),
        }
    }

    /// The cases that exist, by their words.
    pub fn by_case(&self) -> impl Iterator<Item = (&'static str, &CaseForecast)> {
        let f = &self.forecast;
        [
            ("nominal", Some(&f.nominal)),
            ("cold", f.cold.as_ref()),
            ("hot", f.hot.as_ref()),
        ]
        .into_iter()
        .filter_map(|(word, case)| Some((word, case?)))
    }
}

/// What a hold is to do, and how long that takes where it is as hot as asked.
#[derive(Clone, Debug, PartialEq)]
pub enum Need {
    /// A binder component is to come down to [`BACKBONE_LEFT_WANTED`].
    Burnout {
        /// Kind, as in the keys.
        kind: usize,
        /// Name of the component.
        component: String,
        /// min.
        minutes: f64,
    },
    /// The shortest sinter hold of a feedstock.
    Sinter {
        /// Kind, as in the keys.
        kind: usize,
        /// min.
        minutes: f64,
    },
}

impl Need {
    /// min.
    pub fn minutes(&self) -> f64 {
        match self {
            Need::Burnout { minutes, .. } | Need::Sinter { minutes, .. } => *minutes,
        }
    }
}

/// A hold. Times in min from its start.
#[derive(Clone, Debug, PartialEq)]
pub struct HoldRow {
    /// Segment from 0.
    pub segment: usize,
    /// Target, °C.
    pub target_c: f64,
    /// On the program's clock.
    pub clock_min: f64,
    /// With waits, nominal.
    pub lasts_min: f64,
    /// The same in each case.
    pub lasts_in: InCases<f64>,
    /// The place that comes last, nominal.
    pub coldest: NodeAt,
    /// When that of each case is within the band of its surroundings: the lag. Also beyond the
    /// hold's end, where it comes within a day if the hold were prolonged.
    pub arrival_min: InCases<Option<f64>>,
    /// From there to the hold's end.
    pub gets_min: InCases<f64>,
    /// How far the place is from the target at the end, nominal, K.
    pub short_k: f64,
    /// What it is to do, in the case in which it is worst off with it.
    pub need: Option<HoldNeed>,
    /// A component of binder in whose debind range the hold is and of which nobody knows how it burns
    /// out: what it needs of the hold is not evaluated.
    pub unknown_need: Option<String>,
    /// Where the survey begins, °C, if that is above the target: the cold and the hot case fade to
    /// the nominal one there, so that they say nothing of this hold.
    pub surveyed_from_c: Option<f64>,
}

impl HoldRow {
    /// What the coldest place gets of it in the case that gives it least, min.
    pub fn least_gets_min(&self) -> f64 {
        let gets = self.gets_min.each().map(|(_, gets)| *gets);
        gets.fold(f64::INFINITY, f64::min)
    }

    /// Whether it waited: whether it lasts longer than its clock by more than a little.
    pub fn waited(&self) -> bool {
        /// What counts as a little, min (assumed).
        const WAITED_MIN: f64 = 2.5;
        self.lasts_min - self.clock_min > WAITED_MIN
    }
}

/// What a hold is to do in the case in which least time is to spare for it.
#[derive(Clone, Debug, PartialEq)]
pub struct HoldNeed {
    /// The longest of what it is to do in that case.
    pub need: Need,
    /// The case.
    pub case: Which,
    /// What the coldest place gets in it, min.
    pub gets_min: f64,
    /// Of binder: what is left of it when the hold ends, at the place that has most.
    pub left: Option<f64>,
    /// Of binder: the later segment, from 0, at whose end it has come down to what is wanted while
    /// the setpoint is still in the debind range; none where it has not, or has in this hold.
    pub rest_leaves_by: Option<usize>,
    /// Where that is so, the hold that brings it down.
    pub finished: Option<Finished>,
}

/// A later hold that finishes what another is for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Finished {
    /// Segment from 0.
    pub segment: usize,
    /// Its target, °C.
    pub target_c: f64,
    /// What it has to spare for it at the coldest place, min.
    pub spare_min: f64,
    /// Whether it is out before that hold begins.
    pub before: bool,
}

impl HoldNeed {
    /// Time to spare, min; negative where the hold is too short. What is out when the hold ends lacks
    /// nothing, however little the coldest place got of it.
    pub fn margin_min(&self) -> f64 {
        let margin = self.gets_min - self.need.minutes();
        if self.is_out() {
            margin.max(0.0)
        } else {
            margin
        }
    }

    fn is_out(&self) -> bool {
        self.left.is_some_and(|left| left <= BACKBONE_LEFT_WANTED)
    }

    /// Whether it is out by the hold's end, though the coldest place gets less than that takes at its
    /// target: what is near to it goes, too.
    pub fn is_out_before_it_gets_that(&self) -> bool {
        self.is_out() && self.gets_min < self.need.minutes()
    }

    /// The same for comparing: what leaves in the range later on lacks nothing.
    fn spare(&self) -> f64 {
        match self.rest_leaves_by {
            Some(_) => self.margin_min().max(0.0),
            None => self.margin_min(),
        }
    }
}

/// A kind of part.
#[derive(Clone, Debug, PartialEq)]
pub struct KindRow {
    /// Kind, as in the keys.
    pub kind: usize,
    /// Name.
    pub name: String,
    /// Pieces.
    pub pieces: usize,
    /// Whether there are figures of its powder, and a place goes above their range.
    pub no_prediction: bool,
    /// Whether it goes in again sintered: its density then is not known, whatever its figures are.
    pub refired: bool,
    /// Binder left at the worst place, over what entered; none where nobody knows how it burns out.
    pub left: InCases<Option<f64>>,
    /// Relative density of the least and the most dense place; none where it is not evaluated.
    pub density: InCases<Option<(f64, f64)>>,
    /// How much of it 10 K less at the peak would take from the least dense place: where that is
    /// next to nothing the curve is flat, and hides a cold place; none where it is not evaluated.
    pub density_per_10_k: InCases<Option<f64>>,
    /// Largest grain, µm; none where nobody knows how they grow.
    pub grain_um: InCases<Option<f64>>,
    /// Box when cold again, mm, of the most and of the least dense place; none likewise.
    pub size_mm: InCases<Option<[[f64; 3]; 2]>>,
    /// Highest pressure in the core over that outside, Pa; none where no gas came, or likewise.
    pub overpressure_pa: InCases<Option<f64>>,
    /// Whether pores were not open when the gas came fastest; none likewise.
    pub closed: InCases<Option<bool>>,
}

/// When the load may come out by the plan's temperature. Never permission to open.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct UnloadRow {
    /// Unload temperature, °C.
    pub at_c: f64,
    /// End of the program, min.
    pub program_min: InCases<f64>,
    /// When the chamber first reads it after the program, min.
    pub chamber_min: InCases<Option<f64>>,
    /// When the whole load has it, min.
    pub load_min: InCases<Option<f64>>,
}

/// The binder trap.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct TrapRow {
    /// Caught in this run, g; none where nobody knows how all binder burns out.
    pub caught_g: InCases<Option<f64>>,
    /// Gone on to the pump or the flame, g; none likewise.
    pub passed_g: InCases<Option<f64>>,
    /// In it before, g, where known.
    pub before_g: Option<f64>,
    /// What it holds, g; none without a trap.
    pub capacity_g: Option<f64>,
}

/// A forecast in the plan's terms.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Report {
    /// Holds that last, up to the last at the highest target.
    pub holds: Vec<HoldRow>,
    /// Kinds of parts; dummies are not among them.
    pub kinds: Vec<KindRow>,
    /// Unloading.
    pub unload: UnloadRow,
    /// Trap.
    pub trap: TrapRow,
    /// Greatest off-gas, L/min at 25 °C and 1 atm; none where nobody knows how all binder burns out.
    pub offgas_l_min: InCases<Option<f64>>,
    /// Off-gas when most of it comes; none where none does, or likewise.
    pub offgas_peak: InCases<Option<OffgasPeak>>,
    /// Fuel in the exhaust, in the case in which it takes most air; none where nothing burns,
    /// or likewise.
    pub exhaust: Option<Exhaust>,
    /// Electric energy, kWh.
    pub energy_kwh: InCases<f64>,
    /// Figures used.
    pub figures: usize,
    /// Of these, assumed.
    pub assumed: usize,
}

/// Makes it, once for a forecast. `asked` is what the forecast was made from.
pub(super) fn report(asked: &Asked, made: &PlanForecast) -> Report {
    let inputs = &made.prepared.inputs;
    let band_k = inputs.settings.arrival_band_k;
    let by_case = made.cases(|c| arrivals(&c.run, band_k));
    let min = |s: f64| s / 60.0;
    // On the way down the load is the warmer one: a hold there waits for nothing to arrive.
    let up_to = inputs.program.peak_segment();
    let holds = made.forecast.nominal.run.holds.iter().filter_map(|h| {
        let segment = inputs.program.segments.get(h.segment)?;
        if segment.hold_s <= 0.0 || h.segment > up_to {
            return None;
        }
        let of = |all: &[Arrival]| all.iter().copied().find(|a| a.segment == h.segment);
        let nominal = of(&by_case.nominal)?;
        let cold = by_case.cold.as_deref().and_then(of);
        let hot = by_case.hot.as_deref().and_then(of);
        let arrival = |a: &Arrival| a.at_s.or(a.prolonged_s).map(min);
        let gets_min = InCases {
            nominal: gets(&nominal),
            cold: cold.as_ref().map(gets),
            hot: hot.as_ref().map(gets),
        };
        Some(HoldRow {
            segment: h.segment,
            target_c: segment.to_k - ZERO_C,
            clock_min: min(segment.hold_s),
            lasts_min: min(h.end_s - h.start_s),
            lasts_in: made.cases(|c| {
                let of = c.run.holds.iter().find(|hold| hold.segment == h.segment);
                of.map_or(0.0, |hold| min(hold.end_s - hold.start_s))
            }),
            coldest: *made.forecast.nominal.run.nodes.get(nominal.node)?,
            arrival_min: InCases {
                nominal: arrival(&nominal),
                cold: cold.as_ref().map(arrival),
                hot: hot.as_ref().map(arrival),
            },
            gets_min,
            short_k: nominal.short_k,
            need: worst_need(asked, made, h.segment, &by_case),
            unknown_need: unknown_need(asked, made, segment.to_k),
            surveyed_from_c: made.surveyed_from_c(segment.to_k),
        })
    });
    let state = asked.state();
    let furnace = asked.catalogue.furnace(&asked.plan.load.furnace);
    let of_binder = |of: &dyn Fn(&MatterResult) -> f64| {
        made.cases(|c| c.matter.burnout_known.then(|| of(&c.matter)))
    };
    Report {
        holds: holds.collect(),
        kinds: kinds(asked, made),
        unload: UnloadRow {
            at_c: asked.plan.profile.unload_c,
            program_min: made.cases(|c| min(c.run.program_end_s)),
            chamber_min: made.cases(|c| c.run.chamber_unload_s.map(min)),
            load_min: made.cases(|c| c.run.load_unload_s.map(min)),
        },
        trap: TrapRow {
            caught_g: of_binder(&|m| 1e3 * m.trapped.caught_kg),
            passed_g: of_binder(&|m| 1e3 * m.trapped.passed_kg),
            before_g: state.and_then(|s| s.trap_fill_g),
            capacity_g: furnace.and_then(|f| Some(f.trap?.capacity_g)),
        },
        offgas_l_min: of_binder(&|m| m.offgas.get(m.peak).map_or(0.0, |p| p.flow.l_min_25c())),
        offgas_peak: exhaust::peaks(made),
        exhaust: exhaust::exhaust(asked, made),
        energy_kwh: made.cases(|c| c.run.energy.electric_j / 3.6e6),
        figures: made.forecast.figures.len(),
        assumed: made
            .forecast
            .figures
            .iter()
            .filter(|f| f.is_assumed())
            .count(),
    }
}

/// What the coldest place gets of a hold, from its arrival to the end of the hold, min.
fn gets(arrival: &Arrival) -> f64 {
    let at = arrival.at_s;
    at.map_or(0.0, |at| (arrival.clock_s - at).max(0.0) / 60.0)
}

/// Records of a kind; none for dummies.
fn records<'a>(asked: &Asked<'a>, made: &PlanForecast, kind: usize) -> Option<PartRecords<'a>> {
    made.prepared.records(asked.plan, asked.catalogue, kind)
}

/// Of two that both lack nothing in the end the one that has less to spare here, then the one that needs
/// more, then the one of which more is left.
fn least_to_spare(a: &HoldNeed, b: &HoldNeed) -> std::cmp::Ordering {
    let spare = a.spare().total_cmp(&b.spare());
    let spare = spare.then(a.margin_min().total_cmp(&b.margin_min()));
    let needs = b.need.minutes().total_cmp(&a.need.minutes());
    let left = |need: &HoldNeed| need.left.unwrap_or(0.0);
    spare.then(needs).then(left(b).total_cmp(&left(a)))
}

/// What a hold is to do in the case that has least to spare for it.
fn worst_need(
    asked: &Asked,
    made: &PlanForecast,
    segment: usize,
    arrivals: &InCases<Vec<Arrival>>,
) -> Option<HoldNeed> {
    let (f, cases) = (&made.forecast, made.prepared.inputs.cases.as_ref());
    let all = [
        (Which::Nominal, Some(&f.nominal), None),
        (Which::Cold, f.cold.as_ref(), cases.map(|c| &c.cold)),
        (Which::Hot, f.hot.as_ref(), cases.map(|c| &c.hot)),
    ];
    let each = all.into_iter().zip(arrivals.each());
    let each = each.filter_map(|((which, case, with), (_, arrivals))| {
        let of = Hold {
            case: case?,
            which,
            with,
            arrivals,
        };
        let needs = needs(asked, made, &of, segment).into_iter();
        needs.min_by(least_to_spare)
    });
    each.min_by(least_to_spare)
}

/// A component of binder in whose feedstock's debind range a target lies, K, and of which nobody knows
/// how it burns out.
fn unknown_need(asked: &Asked, made: &PlanForecast, target_k: f64) -> Option<String> {
    let mut kinds = made.prepared.inputs.matter.iter().enumerate();
    kinds.find_map(|(kind, matter)| {
        let component = matter.unknown().next()?;
        let range = &records(asked, made, kind)?.feedstock.debind;
        let inside = (range.from_c..=range.to_c).contains(&(target_k - ZERO_C));
        inside.then(|| component.name.clone())
    })
}

/// The holds of one case.
struct Hold<'a> {
    case: &'a CaseForecast,
    which: Which,
    with: Option<&'a Case>,
    arrivals: &'a [Arrival],
}

impl Hold<'_> {
    /// Where the coldest place is to come to in a segment, K: the target with the case's offset.
    fn at_k(&self, target_k: f64) -> f64 {
        let offset = self.with.map_or(0.0, |case| case.offset.at(target_k));
        target_k + offset
    }

    /// From when it has come there to the end of the hold, min.
    fn gets_min(&self, segment: usize) -> f64 {
        let of = self.arrivals.iter().find(|a| a.segment == segment);
        of.map_or(0.0, gets)
    }
}

/// What a hold is to do in a case: of all components that leave there within a day, and of the sinter
/// holds of all feedstocks. Binder is counted at the place of which most is left. A hold that ends
/// with more than is wanted lacks what that still takes, however long the place was as hot as asked.
fn needs(asked: &Asked, made: &PlanForecast, of: &Hold, segment: usize) -> Vec<HoldNeed> {
    let inputs = &made.prepared.inputs;
    let Some(hold) = inputs.program.segments.get(segment) else {
        return Vec::new();
    };
    let in_hold = of.gets_min(segment);
    let mut needs = Vec::new();
    for (kind, with) in inputs.matter.iter().enumerate() {
        let last = last_in_debind_range(asked, made, kind);
        for c in 0..with.components.len() {
            let one = OneComponent {
                made,
                of,
                kind,
                component: c,
            };
            needs.extend(one.need(segment, in_hold, last));
        }
        if let Some(records) = records(asked, made, kind) {
            let range = &records.feedstock.sinter;
            if (range.from_c..=range.to_c).contains(&(hold.to_k - ZERO_C))
                && let Some(gets_min) = least_in_range_min(of.case, kind, range)
            {
                needs.push(HoldNeed {
                    need: Need::Sinter {
                        kind,
                        minutes: range.hold_min_min,
                    },
                    case: of.which,
                    gets_min,
                    left: None,
                    rest_leaves_by: None,
                    finished: None,
                });
            }
        }
    }
    needs
}

/// A component of a kind's binder in a case.
struct OneComponent<'a> {
    made: &'a PlanForecast,
    of: &'a Hold<'a>,
    kind: usize,
    component: usize,
}

impl OneComponent<'_> {
    /// What is left of it at the worst place when a phase of a segment ends.
    fn left(&self, segment: usize, phase: Phase) -> Option<f64> {
        let (case, of) = (self.of.case, (self.kind, self.component));
        let left = case.matter.left_at(&case.run, of.0, of.1, segment, phase);
        left.map(|(_, most)| most)
    }

    /// Time from a share left down to what is wanted where it is as hot as a segment asks, s.
    fn takes_s(&self, segment: usize, from: f64) -> Option<f64> {
        let inputs = &self.made.prepared.inputs;
        let component = inputs
            .matter
            .get(self.kind)?
            .components
            .get(self.component)?;
        let hold = inputs.program.segments.get(segment)?;
        let (to, pressure_pa) = (BACKBONE_LEFT_WANTED, hold.atmosphere.pressure_pa);
        time_needed_s(component, from, to, self.of.at_k(hold.to_k), pressure_pa)
    }

    /// What a hold is to do for it; `last` is the last segment in the debind range.
    fn need(&self, segment: usize, in_hold: f64, last: Option<usize>) -> Option<HoldNeed> {
        let time = self.takes_s(segment, self.left(segment, Phase::Ramp).unwrap_or(1.0));
        let s = time.filter(|s| (OVER_S..NOT_ITS_HOLD_S).contains(s))?;
        let left = self.left(segment, Phase::Hold);
        let still = left.filter(|left| *left > BACKBONE_LEFT_WANTED);
        let minutes = match still {
            Some(left) => {
                let lacks = self.takes_s(segment, left);
                (s / 60.0).max(in_hold + lacks.map_or(f64::INFINITY, |s| s / 60.0))
            }
            None => s / 60.0,
        };
        let inputs = &self.made.prepared.inputs;
        let component = inputs
            .matter
            .get(self.kind)?
            .components
            .get(self.component)?;
        let finished = last.and_then(|last| {
            still?;
            (segment + 1..=last).find(|later| self.is_out(*later))
        });
        Some(HoldNeed {
            need: Need::Burnout {
                kind: self.kind,
                component: component.name.clone(),
                minutes,
            },
            case: self.of.which,
            gets_min: in_hold,
            left,
            rest_leaves_by: last.filter(|_| finished.is_some()),
            finished: finished.and_then(|later| self.finished(later)),
        })
    }

    fn is_out(&self, segment: usize) -> bool {
        let left = self.left(segment, Phase::Hold);
        left.is_some_and(|left| left <= BACKBONE_LEFT_WANTED)
    }

    /// The later hold in which it comes down.
    fn finished(&self, segment: usize) -> Option<Finished> {
        let hold = self.made.prepared.inputs.program.segments.get(segment)?;
        let from = self.left(segment, Phase::Ramp).unwrap_or(1.0);
        let before = from <= BACKBONE_LEFT_WANTED;
        let spare_min = if before {
            // It is out before that hold begins.
            let mut holds = self.of.case.run.holds.iter();
            let lasted = holds.find(|h| h.segment == segment);
            lasted.map_or(0.0, |h| (h.end_s - h.start_s) / 60.0)
        } else {
            let takes_min = self
                .takes_s(segment, from)
                .map_or(f64::INFINITY, |s| s / 60.0);
            (self.of.gets_min(segment) - takes_min).max(0.0)
        };
        Some(Finished {
            segment,
            target_c: hold.to_k - ZERO_C,
            spare_min,
            before,
        })
    }
}

/// The last segment before the setpoint leaves the debind range of a kind's feedstock on the way up.
fn last_in_debind_range(asked: &Asked, made: &PlanForecast, kind: usize) -> Option<usize> {
    let end_k = records(asked, made, kind)?.feedstock.debind.to_c + ZERO_C;
    made.prepared.inputs.program.leaves(end_k)?.checked_sub(1)
}

/// Time in the sinter range, neither below nor above it, at the place of a kind that has the least of
/// it, in the whole run, min; none where the kind stands nowhere.
pub fn least_in_range_min(case: &CaseForecast, kind: usize, range: &SinterRange) -> Option<f64> {
    let end = case.run.times_s.last().copied().unwrap_or(0.0);
    let places = &case.matter.kinds.get(kind)?.places;
    let inside = |node: usize| {
        let (from_k, to_k) = (range.from_c + ZERO_C, range.to_c + ZERO_C);
        case.run.time_in_range_s(node, from_k, to_k, 0.0, end)
    };
    let least = places.iter().map(|p| inside(p.node)).reduce(f64::min)?;
    Some(least / 60.0)
}

impl KindRow {
    /// Why there is no density, in words.
    pub fn why_no_density(&self) -> String {
        match (self.refired, self.no_prediction) {
            (true, _) => words::density_refired(),
            (false, true) => words::no_prediction(),
            (false, false) => words::not_evaluated(),
        }
    }
}

fn kinds(asked: &Asked, made: &PlanForecast) -> Vec<KindRow> {
    let keys = made.prepared.keys.kinds.iter().enumerate();
    keys.filter_map(|(kind, key)| {
        let records = records(asked, made, kind)?;
        let density = |c: &CaseForecast| {
            densities(c.matter.kinds.get(kind)?.places.iter().map(|p| p.density))
        };
        let lot = match key.is {
            KindIs::Pieces { lot, .. } => lot.and_then(|id| asked.plan.lot(id)),
            KindIs::Dummy { .. } => None,
        };
        let oversize = lot.and_then(|l| l.oversize);
        let size = |c: &CaseForecast| {
            let (least, most) = density(c)?;
            Some([most, least].map(|d| final_size_mm(&records, oversize, d)))
        };
        let places = |c: &CaseForecast| {
            let of = c.matter.kinds.get(kind);
            of.map(|k| k.places.clone()).unwrap_or_default()
        };
        let matter = made.prepared.inputs.matter.get(kind);
        let followed = matter.is_some_and(|m| m.sintering.is_some());
        let burns = matter.is_some_and(|m| m.unknown().next().is_none());
        Some(KindRow {
            kind,
            name: key.name.clone(),
            pieces: key.pieces,
            no_prediction: followed && density(&made.forecast.nominal).is_none(),
            refired: records.feedstock.densifying.is_some() && !followed,
            left: made.cases(|c| {
                let left = c.matter.kinds.get(kind)?.left.last()?;
                (!left.1.is_nan()).then_some(left.1)
            }),
            density: made.cases(density),
            density_per_10_k: made.cases(|c| density_per_10_k(kind, c)),
            grain_um: made.cases(|c| {
                let grains = places(c).into_iter().filter_map(|p| p.grain_m);
                grains.reduce(f64::max).map(|m| 1e6 * m)
            }),
            size_mm: made.cases(size),
            overpressure_pa: made.cases(|c| {
                if !burns {
                    return None;
                }
                let all = places(c)
                    .into_iter()
                    .filter_map(|p| Some(p.overpressure?.0));
                all.reduce(f64::max)
            }),
            closed: made
                .cases(|c| burns.then(|| places(c).iter().any(|p| p.closed_at_s.is_some()))),
        })
    })
    .collect()
}

/// What 10 K less at the peak would take from the density of the least dense place.
fn density_per_10_k(kind: usize, case: &CaseForecast) -> Option<f64> {
    let places = case.matter.kinds.get(kind)?.places.iter();
    densities(places.clone().map(|p| p.density))?;
    let least = places
        .filter_map(|p| Some((p.density?, p)))
        .min_by(|a, b| a.0.total_cmp(&b.0))?;
    Some(10.0 * least.1.density_per_k)
}

/// Box of a sintered piece at rest, mm: green over the oversize factors of its lot or feedstock,
/// which hold at the density at which they were measured (`model.md` section 5).
pub fn final_size_mm(
    records: &PartRecords,
    lot_oversize: Option<[f64; 3]>,
    density: f64,
) -> [f64; 3] {
    let (part, feedstock) = (records.part, records.feedstock);
    let oversize = part
        .rest
        .factors(lot_oversize.unwrap_or(feedstock.oversize));
    let green = part.rest.factors(part.to_green(feedstock.oversize));
    let mut size = part.geometry.size_mm;
    for ((side, green), oversize) in size.iter_mut().zip(green).zip(oversize) {
        *side = length(*side * green, oversize, feedstock.oversize_density, density);
    }
    size
}
