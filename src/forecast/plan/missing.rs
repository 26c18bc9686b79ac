//! What a forecast lacks.

use crate::load::LevelId;
use crate::part::PartId;
use crate::profile::Fault;
use crate::text::forecast as text;
use std::fmt;

/// A figure that a forecast cannot do without, and of which record or thing. Slugs and names are
/// as they stand in the plan.
#[derive(Clone, Debug, PartialEq)]
pub enum Missing {
    /// Nothing stands in the furnace.
    Load,
    /// The record of the furnace, by slug.
    Furnace(String),
    /// A profile that has a curve.
    Profile(Fault),
    /// Record of a setter, by slug.
    Setter(String),
    /// Record of a post, by slug.
    Post(String),
    /// Record of a support, by slug.
    Support(String),
    /// Record of a material, by slug.
    Material(String),
    /// Record of a gas, by slug.
    Gas(String),
    /// Figures of a gas over temperature, by slug.
    GasProperties(String),
    /// How binder burns in a gas with oxygen, by slug: that is not modelled.
    Burning(String),
    /// How high a level stands.
    Height(LevelId, String),
    /// Pressure of a segment in vacuum (number from 1) in a furnace of which nobody knows what its
    /// pump reaches.
    Vacuum(usize),
    /// Feedstock, alloy or binder of a part.
    PartRecords(PartId, String),
    /// Body of a part.
    Body(PartId, String),
    /// Mass of a part.
    Mass(PartId, String),
    /// Governing section of a part.
    Section(PartId, String),
    /// Shape of a dummy that cannot be measured.
    Dummy(String),
    /// How a feedstock densifies, by slug; density and size are not evaluated.
    Densifying(String),
    /// How a component of a binder burns out: its name, and the binder's slug; what is left of binder
    /// and what comes of it are not evaluated.
    Burnout(String, String),
    /// Density with which a sintered part goes in again; density and size are not evaluated.
    Refired(PartId, String),
}

/// As it follows "lacks".
impl fmt::Display for Missing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&match self {
            Missing::Load => text::load().to_owned(),
            Missing::Furnace(id) => text::furnace(id),
            Missing::Profile(fault) => text::profile(&fault.to_string()),
            Missing::Setter(id) => text::setter(id),
            Missing::Post(id) => text::post(id),
            Missing::Support(id) => text::support(id),
            Missing::Material(id) => text::material(id),
            Missing::Gas(id) => text::gas(id),
            Missing::GasProperties(id) => text::gas_properties(id),
            Missing::Burning(id) => crate::text::forecast_parts::burning(id),
            Missing::Height(_, level) => text::height(level),
            Missing::Vacuum(number) => text::vacuum(*number),
            Missing::PartRecords(_, part) => text::part_records(part),
            Missing::Body(_, part) => text::body(part),
            Missing::Mass(_, part) => text::mass(part),
            Missing::Section(_, part) => text::section(part),
            Missing::Dummy(level) => text::dummy(level),
            Missing::Densifying(id) => text::densifying(id),
            Missing::Burnout(component, binder) => {
                crate::text::forecast_parts::burnout(component, binder)
            }
            Missing::Refired(_, part) => text::refired(part),
        })
    }
}

impl Missing {
    /// What is not evaluated for want of it, and what that is: of what only a part of a forecast needs.
    pub fn said(&self) -> String {
        match self {
            Missing::Burnout(..) => crate::text::forecast_parts::lacking_burnout(&self.to_string()),
            _ => text::lacking(&self.to_string()),
        }
    }
}

/// Each once, in the order of their first finding.
pub(super) fn each_once(all: Vec<Missing>) -> Vec<Missing> {
    let mut out: Vec<Missing> = Vec::new();
    for one in all {
        if !out.contains(&one) {
            out.push(one);
        }
    }
    out
}
