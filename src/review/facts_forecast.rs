//! The forecast as the checks read it: kinds of parts and levels by their names in the plan, and
//! the coldest and the hottest case where they exist.

use super::facts::Facts;
use super::finding::{Report as Findings, Subject};
use crate::catalogue::{Alloy, Feedstock};
use crate::forecast::burnout::Component;
use crate::forecast::burnout::time_needed_s;
use crate::forecast::clock::Phase;
use crate::forecast::constants::ZERO_C;
use crate::forecast::inputs::{Pace, Program};
use crate::forecast::plan::{BACKBONE_LEFT_WANTED, KindIs, NOT_ITS_HOLD_S, PlanForecast, Report};
use crate::forecast::run::Run;
use crate::forecast::whole::CaseForecast;
use crate::load::{LevelId, PartRecords};
use crate::text::missing;
use std::ops::RangeInclusive;

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

/// A component of binder at the last hold that is there for it.
pub struct BackboneHold {
    /// Segment from 0.
    pub segment: usize,
    /// Name of the component.
    pub component: String,
    /// Share of it that is out at the end of the hold, at the worst place of the cold case.
    pub out: f64,
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

    /// The last hold for each component of the binder of a kind, be it of no length.
    pub fn backbone_holds(&self, told: &Told, kind: &Kind) -> Vec<BackboneHold> {
        let (kind, records) = (kind.index, &kind.records);
        let inputs = &told.made.prepared.inputs;
        let case = told.cold_or_nominal();
        let left_at = |c: usize, segment: usize, phase: Phase| {
            case.matter.left_at(&case.run, kind, c, segment, phase)
        };
        let components = inputs.matter.get(kind).map_or(&[][..], |m| &m.components);
        let debind = records.feedstock.debind;
        let debind_k = (debind.from_c + ZERO_C)..=(debind.to_c + ZERO_C);
        let mut found = Vec::new();
        for (c, component) in components.iter().enumerate() {
            // What the first step has left of its own is little, and leaves all the way up.
            let first = |b: &crate::catalogue::Component| b.name == component.name && b.first_step;
            if records.binder.components.iter().any(first) {
                continue;
            }
            let (mut last, mut passed) = (None, None);
            for (s, segment) in inputs.program.segments.iter().enumerate() {
                let from = left_at(c, s, Phase::Ramp).map_or(1.0, |(_, most)| most);
                let pressure = segment.atmosphere.pressure_pa;
                let to = BACKBONE_LEFT_WANTED;
                let needed = time_needed_s(component, from, to, segment.to_k, pressure);
                let is_for_it = needed.is_some_and(|s| s > 0.0 && s < NOT_ITS_HOLD_S);
                if is_for_it && segment.hold_s > 0.0 {
                    last = Some((s, Phase::Hold));
                } else if is_for_it && debind_k.contains(&segment.to_k) {
                    passed = Some((s, Phase::Ramp));
                }
            }
            // Where no hold is there for it, what counts is the last temperature of the debind range
            // at which it would need one, else the ramp that leaves the range before it is out.
            let Some((segment, phase)) = last.or(passed) else {
                if let Some(segment) = leaves_too_early(&inputs.program, component, &debind_k) {
                    let before = segment.checked_sub(1);
                    let before = before.and_then(|s| left_at(c, s, Phase::Hold));
                    found.push(BackboneHold {
                        segment,
                        component: component.name.clone(),
                        out: 1.0 - before.map_or(1.0, |(_, left)| left),
                    });
                }
                continue;
            };
            if let Some((_, left)) = left_at(c, segment, phase) {
                found.push(BackboneHold {
                    segment,
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

/// The first ramp above a range on the way up, unless the component had time to leave while the
/// setpoint rose through it: the sum of the times spent at each temperature over those needed there,
/// to the first order.
fn leaves_too_early(
    program: &Program,
    component: &Component,
    range_k: &RangeInclusive<f64>,
) -> Option<usize> {
    const STEP_K: f64 = 2.0;
    let mut done = 0.0;
    let mut from_k = program.start_k;
    for (index, segment) in program.segments.iter().enumerate() {
        let to_k = segment.to_k;
        let seconds = match segment.pace {
            Pace::Rate(k_s) if k_s > 0.0 => (to_k - from_k).abs() / k_s,
            Pace::Time(s) => s,
            _ => 0.0,
        };
        let steps = ((to_k - from_k).abs() / STEP_K).ceil().max(1.0);
        for step in 0..steps as usize {
            let at_k = from_k + (to_k - from_k) * (step as f64 + 0.5) / steps;
            if !range_k.contains(&at_k) {
                continue;
            }
            let pressure = segment.atmosphere.pressure_pa;
            let needed = time_needed_s(component, 1.0, BACKBONE_LEFT_WANTED, at_k, pressure);
            if let Some(needed) = needed.filter(|s| *s > 0.0) {
                done += seconds / steps / needed;
            }
        }
        if to_k > *range_k.end() && from_k <= *range_k.end() {
            return (done < 1.0).then_some(index);
        }
        from_k = to_k;
    }
    None
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
