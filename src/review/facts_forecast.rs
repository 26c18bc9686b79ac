//! The forecast as the checks read it: kinds of parts and levels by their names in the plan, and
//! the coldest and the hottest case where they exist.

use super::facts::Facts;
use super::finding::{Report as Findings, Subject, number};
use crate::catalogue::{Alloy, Feedstock};
use crate::forecast::burnout::time_needed_s;
use crate::forecast::clock::Phase;
use crate::forecast::constants::ZERO_C;
use crate::forecast::inputs::{Pace, Program, Segment as SegmentIn};
use crate::forecast::plan::{BACKBONE_LEFT_WANTED, KindIs, NOT_ITS_HOLD_S, PlanForecast, Report};
use crate::forecast::run::Run;
use crate::forecast::whole::CaseForecast;
use crate::load::{LevelId, PartRecords};
use crate::text::missing;
use crate::units::Quantity::Temperature;

/// A forecast with what it says.
#[derive(Clone, Copy)]
pub struct Told<'f> {
    /// As made.
    pub made: &'f PlanForecast,
    /// In the plan's terms.
    pub said: &'f Report,
}

/// A kind of part in the forecast.
pub struct Kind<'a> {
    /// Number among the forecast's kinds.
    pub index: usize,
    /// Name.
    pub name: String,
    /// Part, and lot where there is one.
    pub subjects: Vec<Subject>,
    /// Its records.
    pub records: PartRecords<'a>,
}

/// A component of binder when the setpoint leaves the debind range.
pub struct BackboneHold {
    /// Segment from 0: the hold that is there for it, or the ramp that leaves.
    pub segment: usize,
    /// Name of the component.
    pub component: String,
    /// At what the setpoint leaves.
    pub by: LeftBy,
    /// Share of it that is out then, at the worst place of the cold case.
    pub out: f64,
}

/// At what the setpoint leaves the debind range.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LeftBy {
    /// The end of the hold that is there for the component.
    Hold,
    /// The end of a segment after that, from 0, which is in the range too.
    StepsAfter(usize),
    /// A ramp on which it passes the end of the range; nothing in the range is there for it.
    Ramp,
    /// The end of a program that never leaves the range; nothing in it is there for it.
    End,
}

impl<'a> Facts<'a> {
    /// The forecast; says why there is none.
    pub fn told(&self, findings: &mut Findings) -> Option<Told<'_>> {
        match self.forecast? {
            Ok(made) => Some(Told {
                made,
                said: &made.report,
            }),
            Err(why) => {
                let what = missing::forecast_because(&why.to_string());
                findings.missing(vec![Subject::Load], what);
                None
            }
        }
    }

    /// Kinds of parts with their records.
    pub fn kinds(&self, told: &Told) -> Vec<Kind<'a>> {
        let keys = told.made.prepared.keys.kinds.iter().enumerate();
        keys.filter_map(|(index, key)| {
            let KindIs::Pieces { part, lot } = key.is else {
                return None;
            };
            let records = PartRecords::new(self.plan.part(part)?, self.catalogue)?;
            let lot = lot.map(Subject::Lot);
            Some(Kind {
                index,
                name: key.name.clone(),
                subjects: std::iter::once(Subject::Part(part)).chain(lot).collect(),
                records,
            })
        })
        .collect()
    }

    /// What each component of the binder of a kind has come to when the setpoint leaves the debind
    /// range: at the end of what is there for it in the range, be it a hold or a ramp, else where the
    /// ramp out of the range passes its end. Binder that leaves later does so in another gas and
    /// sweep, and as fast as the ramp has it. Says of which nothing is known.
    pub fn backbone_holds(
        &self,
        told: &Told,
        kind: &Kind,
        findings: &mut Findings,
    ) -> Vec<BackboneHold> {
        let (index, records) = (kind.index, &kind.records);
        let inputs = &told.made.prepared.inputs;
        let case = told.cold_or_nominal();
        let components = inputs.matter.get(index).map_or(&[][..], |m| &m.components);
        let debind = records.feedstock.debind;
        let debind_k = (debind.from_c + ZERO_C)..=(debind.to_c + ZERO_C);
        let leaving = leaving(&inputs.program, *debind_k.end());
        let mut found = Vec::new();
        for (c, component) in components.iter().enumerate() {
            if component.reactions.is_empty() {
                let what = missing::burnout_of(&component.name);
                findings.missing(kind.subjects.clone(), what);
                continue;
            }
            // What the first step has left of its own is little, and leaves all the way up.
            let first = |b: &crate::catalogue::Component| b.name == component.name && b.first_step;
            let first = records.binder.components.iter().any(first);
            let before = leaving.map_or(inputs.program.segments.len(), |l| l.segment);
            let steps = inputs.program.segments.iter().take(before).enumerate();
            let is_for_it = |segment: &SegmentIn| {
                let pressure = segment.atmosphere.pressure_pa;
                let to = BACKBONE_LEFT_WANTED;
                let needed = time_needed_s(component, 1.0, to, segment.to_k, pressure);
                debind_k.contains(&segment.to_k) && needed.is_some_and(|s| s < NOT_ITS_HOLD_S)
            };
            let mut there: Vec<(usize, f64)> = steps
                .filter(|(_, s)| !first && is_for_it(s))
                .map(|(s, segment)| (s, segment.hold_s))
                .collect();
            // The last one that holds, else the last that comes to where it leaves.
            there.sort_by_key(|(s, hold_s)| (*hold_s > 0.0, *s));
            let its = there.last().map(|(s, _)| *s);
            let (segment, by, left) = match (its, leaving) {
                (Some(its), _) => {
                    let last = before.saturating_sub(1);
                    let (run, matter) = (&case.run, &case.matter);
                    let left = matter.left_at(run, index, c, last, Phase::Hold);
                    let by = match last == its {
                        true => LeftBy::Hold,
                        false => LeftBy::StepsAfter(last),
                    };
                    (its, by, left.map(|(_, most)| most))
                }
                (None, Some(leaving)) => {
                    let at = (leaving.segment, leaving.pressure_pa);
                    let until_s = leaving.passes_s(&case.run);
                    let (of, run) = ((index, c), &case.run);
                    let left = case.matter.left_in_ramp(run, of, component, at, until_s);
                    (leaving.segment, LeftBy::Ramp, left)
                }
                // It never leaves the range: what is there when the program is over.
                (None, None) if !first => {
                    let last = inputs.program.segments.len().saturating_sub(1);
                    let left = case.matter.left_after(&case.run, index, c, last);
                    (last, LeftBy::End, left.map(|(_, most)| most))
                }
                (None, None) => continue,
            };
            if let Some(left) = left {
                found.push(BackboneHold {
                    segment,
                    by,
                    component: component.name.clone(),
                    out: 1.0 - left,
                });
            }
        }
        found
    }

    /// Alloys of the kinds, each with the numbers of its kinds and one of their feedstocks.
    pub fn kinds_by_alloy(&self, told: &Told) -> Vec<(&'a Alloy, &'a Feedstock, Vec<Kind<'a>>)> {
        let mut found: Vec<(&'a Alloy, &'a Feedstock, Vec<Kind<'a>>)> = Vec::new();
        for kind in self.kinds(told) {
            let (alloy, feedstock) = (kind.records.alloy, kind.records.feedstock);
            match found.iter_mut().find(|(a, ..)| a.id == alloy.id) {
                Some((_, _, kinds)) => kinds.push(kind),
                None => found.push((alloy, feedstock, vec![kind])),
            }
        }
        found
    }
}

/// The ramp that leaves a range.
#[derive(Clone, Copy)]
struct Leaving {
    /// Segment from 0.
    segment: usize,
    /// Time from its start until the setpoint passes the end of the range, s.
    after_s: f64,
    /// Pressure in it, Pa.
    pressure_pa: f64,
}

impl Leaving {
    /// When that is in a run, s.
    fn passes_s(&self, run: &Run) -> f64 {
        run.begins_s(self.segment) + self.after_s
    }
}

/// The first ramp out of a range on the way up; none where the program stays below its end.
fn leaving(program: &Program, end_k: f64) -> Option<Leaving> {
    let segment = program.leaves(end_k)?;
    let from_k = program.from_k(segment);
    let s = program.segments.get(segment)?;
    let (rise_k, to_end_k) = (s.to_k - from_k, end_k - from_k);
    let after_s = match s.pace {
        Pace::Rate(k_s) if k_s > 0.0 => to_end_k / k_s,
        Pace::Time(all_s) => all_s * to_end_k / rise_k,
        _ => 0.0,
    };
    Some(Leaving {
        segment,
        after_s: after_s.max(0.0),
        pressure_pa: s.atmosphere.pressure_pa,
    })
}

impl<'f> Told<'f> {
    /// The cold case, or the nominal one where there is none.
    pub fn cold_or_nominal(&self) -> &'f CaseForecast {
        let f = &self.made.forecast;
        f.cold.as_ref().unwrap_or(&f.nominal)
    }

    /// The hot case, or the nominal one where there is none.
    pub fn hot_or_nominal(&self) -> &'f CaseForecast {
        let f = &self.made.forecast;
        f.hot.as_ref().unwrap_or(&f.nominal)
    }

    /// Says that the cold and the hot case are missing, where they are: what is judged then is the
    /// nominal case alone.
    pub fn needs_cases(&self, findings: &mut Findings) {
        if let Some(why) = &self.made.prepared.no_cases {
            findings.missing(vec![Subject::Load], missing::cases(&why.to_string()));
        }
    }

    /// What is missing for a segment whose target lies below where what is known of the furnace
    /// begins: the cold and the hot case fade to the nominal one there, so that they may find
    /// something, and pass nothing.
    pub fn not_surveyed(&self, segment: usize) -> Option<String> {
        let inputs = &self.made.prepared.inputs;
        let target_k = inputs.program.segments.get(segment)?.to_k;
        self.not_surveyed_at(segment, target_k)
    }

    /// The same for what is judged at a temperature in a segment, K.
    pub fn not_surveyed_at(&self, segment: usize, at_k: f64) -> Option<String> {
        let from_c = self.made.surveyed_from_c(at_k)?;
        let from = number(Temperature, from_c, 0).to_string();
        Some(missing::survey_of_hold(segment, &from))
    }

    /// All cases that exist.
    pub fn all_cases(&self) -> impl Iterator<Item = &'f CaseForecast> {
        self.made.by_case().map(|(_, case)| case)
    }

    /// A segment of the plan.
    pub fn segment(&self, index: usize) -> Subject {
        let segments = &self.made.prepared.keys.segments;
        segments
            .get(index)
            .map_or(Subject::Profile, |id| Subject::Segment(*id))
    }

    /// A level of the plan.
    pub fn level(&self, stack: usize, level: usize) -> Option<LevelId> {
        self.made.prepared.keys.level(stack, level)
    }

    /// The sample at or just before a time.
    pub fn sample_at(run: &Run, time_s: f64) -> usize {
        run.times_s
            .partition_point(|&t| t <= time_s)
            .saturating_sub(1)
    }
}
