//! How two loads differ, in words, grouped by what a difference can affect.
//!
//! The numbers of two loads have nothing to do with each other, so parts are found by what they
//! are, levels and segments by their order, and what stands on a level by what it is and the
//! nearest place. Numbers, and the order of things whose order means nothing, are no difference.

mod laid_out;
mod matching;
mod parts;
mod profiles;
mod said;

use super::plan::{Plan, Signature};
use crate::catalogue::Catalogue;
use crate::text::differences as say;
use crate::units::{Quantity, show};
use std::collections::BTreeMap;

/// What a difference can affect, the weightiest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Affects {
    /// Everything: another furnace.
    WholeRun,
    /// What people may be hurt by.
    Handling,
    /// Sintering and cooling.
    SinterHeat,
    /// Debinding.
    BinderRemoval,
    /// Gas, pressure, dew point.
    Atmosphere,
    /// Size, shape and section of the parts.
    SizeAndShape,
    /// Gaps and room.
    Clearance,
    /// What carries what, and how much there is of it.
    StabilityAndMass,
    /// Lots, and which pieces are of which.
    LotsCleared,
    /// Limits, checks, declarations and acceptances.
    JudgedBy,
    /// State of the furnace, stock and prices.
    FurnaceState,
    /// Nothing that is looked at: names, notes, sources.
    RecordsOnly,
}

impl Affects {
    /// All, the weightiest first.
    pub const ALL: [Affects; 12] = [
        Affects::WholeRun,
        Affects::Handling,
        Affects::SinterHeat,
        Affects::BinderRemoval,
        Affects::Atmosphere,
        Affects::SizeAndShape,
        Affects::Clearance,
        Affects::StabilityAndMass,
        Affects::LotsCleared,
        Affects::JudgedBy,
        Affects::FurnaceState,
        Affects::RecordsOnly,
    ];

    /// Heading.
    pub fn name(self) -> String {
        match self {
            Affects::WholeRun => say::whole_run(),
            Affects::Handling => say::handling(),
            Affects::SinterHeat => say::sinter_heat(),
            Affects::BinderRemoval => say::binder_removal(),
            Affects::Atmosphere => say::atmosphere(),
            Affects::SizeAndShape => say::size_and_shape(),
            Affects::Clearance => say::clearance(),
            Affects::StabilityAndMass => say::stability_and_mass(),
            Affects::LotsCleared => say::lots_cleared(),
            Affects::JudgedBy => say::judged_by(),
            Affects::FurnaceState => say::furnace_state(),
            Affects::RecordsOnly => say::records_only(),
        }
    }

    /// As written in JSON.
    pub fn slug(self) -> &'static str {
        match self {
            Affects::WholeRun => "whole-run",
            Affects::Handling => "handling",
            Affects::SinterHeat => "sinter-heat",
            Affects::BinderRemoval => "binder-removal",
            Affects::Atmosphere => "atmosphere",
            Affects::SizeAndShape => "size-and-shape",
            Affects::Clearance => "clearance",
            Affects::StabilityAndMass => "stability-and-mass",
            Affects::LotsCleared => "lots-cleared",
            Affects::JudgedBy => "judged-by",
            Affects::FurnaceState => "furnace-state",
            Affects::RecordsOnly => "records-only",
        }
    }
}

/// One difference.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference {
    /// What it can affect most.
    pub affects: Affects,
    /// What differs, by the names that it has in the load or loads that have it.
    pub items: Vec<String>,
    /// In words, as seen from the later load.
    pub sentence: String,
}

/// What `is` has otherwise than `was`; `catalogues` give the names and ranges of the records of
/// each. Records are compared elsewhere.
pub fn differences(was: &Plan, is: &Plan, catalogues: [&Catalogue; 2]) -> Vec<Difference> {
    Comparison::new(was, is, catalogues, false).run()
}

/// What `plan` has otherwise than the standard it began as. Lots, declarations, acceptances, the
/// planned start, locks, the title and the note are not the standard's to fix.
pub fn since_standard(standard: &Plan, plan: &Plan, catalogue: &Catalogue) -> Vec<Difference> {
    Comparison::new(standard, plan, [catalogue; 2], true).run()
}

/// Two plans being compared, with what of one was found to be what of the other.
struct Comparison<'a> {
    was: &'a Plan,
    is: &'a Plan,
    catalogues: [&'a Catalogue; 2],
    /// Only what a standard load fixes.
    of_standard: bool,
    /// Numbers of part records that are one, or alike, on either side.
    parts: [BTreeMap<u32, usize>; 2],
    /// The same of lots.
    lots: [BTreeMap<u32, usize>; 2],
    /// Keys of subjects of the first, such as `"level 3"`, to those of the second.
    subjects: BTreeMap<String, String>,
    found: Vec<Difference>,
}

impl<'a> Comparison<'a> {
    fn new(
        was: &'a Plan,
        is: &'a Plan,
        catalogues: [&'a Catalogue; 2],
        of_standard: bool,
    ) -> Comparison<'a> {
        Comparison {
            was,
            is,
            catalogues,
            of_standard,
            parts: Default::default(),
            lots: Default::default(),
            subjects: BTreeMap::new(),
            found: Vec::new(),
        }
    }

    fn run(mut self) -> Vec<Difference> {
        self.head();
        self.part_records();
        self.lots();
        self.laid_out();
        self.profile();
        self.said();
        self.found.sort_by_key(|d| d.affects);
        self.found
    }

    fn tell(&mut self, affects: Affects, items: Vec<String>, sentence: String) {
        let mut items = items;
        items.sort();
        items.dedup();
        self.found.push(Difference {
            affects,
            items,
            sentence,
        });
    }

    /// Where a property differs: its value in both.
    fn instead(&mut self, affects: Affects, items: &[String], what: &str, values: [String; 2]) {
        let [before, now] = values;
        self.tell(affects, items.to_vec(), say::instead(what, &now, &before));
    }

    fn head(&mut self) {
        let (was, is) = (self.was, self.is);
        if was.load.furnace != is.load.furnace {
            let name = |catalogue: &Catalogue, id: &str| {
                let known = catalogue.furnace(id);
                known.map_or_else(|| id.to_owned(), |f| f.name.clone())
            };
            let values = [
                name(self.catalogues[0], &was.load.furnace),
                name(self.catalogues[1], &is.load.furnace),
            ];
            let what = say::furnace();
            self.instead(
                Affects::WholeRun,
                std::slice::from_ref(&what),
                &what,
                values,
            );
        }
        if self.of_standard {
            return;
        }
        let optional = |text: &Option<String>| say::quoted(text.as_deref().unwrap_or_default());
        let texts = [
            (
                Affects::FurnaceState,
                say::planned_start(),
                [&was.planned_start, &is.planned_start].map(optional),
            ),
            (
                Affects::RecordsOnly,
                say::begun_from(),
                [&was.begun_from, &is.begun_from].map(optional),
            ),
            (
                Affects::RecordsOnly,
                say::title(),
                [&was.title, &is.title].map(|t| say::quoted(t)),
            ),
            (
                Affects::RecordsOnly,
                say::note(),
                [&was.note, &is.note].map(|t| say::quoted(t)),
            ),
        ];
        for (affects, what, values) in texts {
            if values[0] != values[1] {
                self.instead(affects, std::slice::from_ref(&what), &what, values);
            }
        }
        let time = [&was.planned_start_time, &is.planned_start_time].map(optional);
        if time[0] != time[1] {
            let what = say::planned_start_time();
            self.instead(
                Affects::FurnaceState,
                std::slice::from_ref(&what),
                &what,
                time,
            );
        }
        if was.validated_kg != is.validated_kg {
            let what = say::charge_tried();
            let values = [was.validated_kg, is.validated_kg].map(|kg| {
                kg.map_or_else(say::none, |[low, high]| {
                    format!("{} to {}\u{a0}kg", figure(low), figure(high))
                })
            });
            self.instead(
                Affects::StabilityAndMass,
                std::slice::from_ref(&what),
                &what,
                values,
            );
        }
        if was.signatures != is.signatures {
            let what = say::signatures();
            let all = |signatures: &[Signature]| {
                let each = signatures
                    .iter()
                    .map(|s| format!("{}, {}, {}", s.role, s.by, s.on));
                match signatures {
                    [] => say::none(),
                    _ => say::quoted(&each.collect::<Vec<_>>().join("; ")),
                }
            };
            let values = [all(&was.signatures), all(&is.signatures)];
            if values[0] == values[1] {
                let sentence = say::changed(&what, say::which::at());
                self.tell(Affects::RecordsOnly, vec![what], sentence);
            } else {
                self.instead(
                    Affects::RecordsOnly,
                    std::slice::from_ref(&what),
                    &what,
                    values,
                );
            }
        }
    }
}

/// Both values in as many digits as tell them apart, but at least `decimals`.
fn both(quantity: Quantity, values: [f64; 2], decimals: usize) -> [String; 2] {
    for digits in decimals..12 {
        let shown = values.map(|v| show(quantity, v, digits));
        if shown[0] != shown[1] {
            return shown;
        }
    }
    values.map(|v| format!("{v:e}\u{a0}{}", quantity.unit()))
}

/// The same of values that may not be there.
fn both_if(quantity: Quantity, values: [Option<f64>; 2], decimals: usize) -> [String; 2] {
    match values {
        [Some(was), Some(is)] => both(quantity, [was, is], decimals),
        values => values.map(|v| v.map_or_else(say::none, |v| show(quantity, v, decimals))),
    }
}

/// No negative nought, which is equal to nought and written otherwise.
fn figure(value: f64) -> String {
    format!("{:?}", value + 0.0)
}

fn figures(values: &[f64]) -> String {
    values
        .iter()
        .map(|v| figure(*v))
        .collect::<Vec<_>>()
        .join(" ")
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(chars).collect()
    })
}

/// The name in the later load, and that in the earlier where it is another.
fn named(was: &str, is: &str) -> String {
    if was == is {
        return is.to_owned();
    }
    say::was_named(is, was)
}

#[cfg(test)]
mod tests;
