//! Alloys, binders, feedstocks, setters, posts, supports, furnaces, gases and limits: what a shop
//! knows before any part is placed.
//!
//! The starting catalogue is compiled in from `assets/catalogue`. A shop folder replaces whole
//! records by id; a saved load carries the records it uses. [`Catalogue`] is the merged result and
//! the only place where a slug becomes a record.

mod attended;
mod builtin;
mod heat_numbers;
mod merge;
mod numbers;
mod resolve;
mod setter_shape;
mod solvents;
mod state;
mod state_numbers;
#[cfg(test)]
mod tests;
mod thermometry;
mod uniformity;
mod v1;
pub mod when;

pub use attended::{Attended, Weekday, attended};
pub use builtin::builtin;
pub use merge::{CatalogueFault, CatalogueFile, parse_file};
pub use numbers::OXYGEN_OF_INERT;
pub use resolve::LimitContext;
pub use solvents::{same_solvent, solvent_words};
pub use state::*;
pub use state_numbers::THERMOCOUPLE_KINDS;
pub use thermometry::{Misread, Standards, TERMINALS_C, Tolerance, standards};
pub use uniformity::{Basis, Offsets, Uniformity, Usable};
pub use v1::*;

use std::collections::BTreeMap;
use std::sync::Arc;

/// Kinds of record, in the order in which files list them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// [`Alloy`].
    Alloy,
    /// [`Binder`].
    Binder,
    /// [`Feedstock`].
    Feedstock,
    /// [`Material`].
    Material,
    /// [`Setter`].
    Setter,
    /// [`Post`].
    Post,
    /// [`Support`].
    Support,
    /// [`Furnace`].
    Furnace,
    /// [`Gas`].
    Gas,
}

impl Kind {
    /// The word used in files and sentences.
    pub fn word(self) -> &'static str {
        match self {
            Kind::Alloy => "alloy",
            Kind::Binder => "binder",
            Kind::Feedstock => "feedstock",
            Kind::Material => "material",
            Kind::Setter => "setter",
            Kind::Post => "post",
            Kind::Support => "support",
            Kind::Furnace => "furnace",
            Kind::Gas => "gas",
        }
    }
}

/// What every catalogue record has.
pub trait Record: Clone + PartialEq + serde::Serialize {
    /// Kind of record.
    const KIND: Kind;
    /// Unchanging slug.
    fn id(&self) -> &str;
    /// Name shown.
    fn name(&self) -> &str;
    /// Revision.
    fn revision(&self) -> u32;
    /// Built-in revision that it replaces.
    fn replaces_revision(&self) -> Option<u32>;
    /// Source and standing of one field, by path; the record's own where none differs. An entry for
    /// `components.pp.reactions` holds for everything in it, unless a longer path says otherwise.
    /// Elements of a list go by `id`, or by index.
    fn provenance(&self, field: &str) -> (&str, Standing);
    /// Key into the bibliography.
    fn source(&self) -> &str;
    /// Fields that differ.
    fn except(&self) -> &[Except];
}

/// Whether a path is another or lies in it.
fn within(field: &str, outer: &str) -> bool {
    field
        .strip_prefix(outer)
        .is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
}

macro_rules! record {
    ($($type:ident),* $(,)?) => {$(
        impl Record for $type {
            const KIND: Kind = Kind::$type;
            fn id(&self) -> &str { &self.id }
            fn name(&self) -> &str { &self.name }
            fn revision(&self) -> u32 { self.revision }
            fn replaces_revision(&self) -> Option<u32> { self.replaces_revision }
            fn provenance(&self, field: &str) -> (&str, Standing) {
                self.except
                    .iter()
                    .filter(|e| within(field, &e.field))
                    .max_by_key(|e| e.field.len())
                    .map_or((&self.source, self.standing), |e| (&e.source, e.standing))
            }
            fn source(&self) -> &str { &self.source }
            fn except(&self) -> &[Except] { &self.except }
        }
    )*};
}
record!(
    Alloy, Binder, Feedstock, Material, Setter, Post, Support, Furnace, Gas
);

/// Where a record in use came from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Origin {
    /// Compiled in.
    BuiltIn,
    /// The shop folder.
    Shop,
    /// The load file itself.
    Load,
}

/// Records of one kind by slug.
pub type Table<T> = BTreeMap<String, (Origin, Arc<T>)>;

/// The merged catalogue.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Catalogue {
    /// Alloys.
    pub alloys: Table<Alloy>,
    /// Binders.
    pub binders: Table<Binder>,
    /// Feedstocks.
    pub feedstocks: Table<Feedstock>,
    /// Ceramics and metals of the furniture.
    pub materials: Table<Material>,
    /// Setters.
    pub setters: Table<Setter>,
    /// Posts.
    pub posts: Table<Post>,
    /// Supports.
    pub supports: Table<Support>,
    /// Furnaces.
    pub furnaces: Table<Furnace>,
    /// Gases.
    pub gases: Table<Gas>,
    /// Limits, sorted by id and scope.
    pub limits: Vec<Limit>,
    /// Changed checks.
    pub checks: Vec<CheckSetting>,
    /// Bibliography.
    pub references: BTreeMap<String, Reference>,
}

macro_rules! lookup {
    ($($(#[$doc:meta])* $name:ident: $table:ident -> $type:ty;)*) => {$(
        $(#[$doc])*
        pub fn $name(&self, id: &str) -> Option<&Arc<$type>> {
            self.$table.get(id).map(|(_, record)| record)
        }
    )*};
}

impl Catalogue {
    lookup! {
        /// Alloy by slug.
        alloy: alloys -> Alloy;
        /// Binder by slug.
        binder: binders -> Binder;
        /// Feedstock by slug.
        feedstock: feedstocks -> Feedstock;
        /// Material by slug.
        material: materials -> Material;
        /// Setter by slug.
        setter: setters -> Setter;
        /// Post by slug.
        post: posts -> Post;
        /// Support by slug.
        support: supports -> Support;
        /// Furnace by slug.
        furnace: furnaces -> Furnace;
        /// Gas by slug.
        gas: gases -> Gas;
    }

    /// Whether a slug of a kind stands for a record.
    pub fn has(&self, kind: Kind, id: &str) -> bool {
        match kind {
            Kind::Alloy => self.alloy(id).is_some(),
            Kind::Binder => self.binder(id).is_some(),
            Kind::Feedstock => self.feedstock(id).is_some(),
            Kind::Material => self.material(id).is_some(),
            Kind::Setter => self.setter(id).is_some(),
            Kind::Post => self.post(id).is_some(),
            Kind::Support => self.support(id).is_some(),
            Kind::Furnace => self.furnace(id).is_some(),
            Kind::Gas => self.gas(id).is_some(),
        }
    }

    /// Slugs of one kind that look like `wanted`, best first, at most three: for "did you mean".
    pub fn candidates(&self, kind: Kind, wanted: &str) -> Vec<String> {
        fn keys<T>(table: &Table<T>) -> Vec<&String> {
            table.keys().collect()
        }
        let ids = match kind {
            Kind::Alloy => keys(&self.alloys),
            Kind::Binder => keys(&self.binders),
            Kind::Feedstock => keys(&self.feedstocks),
            Kind::Material => keys(&self.materials),
            Kind::Setter => keys(&self.setters),
            Kind::Post => keys(&self.posts),
            Kind::Support => keys(&self.supports),
            Kind::Furnace => keys(&self.furnaces),
            Kind::Gas => keys(&self.gases),
        };
        crate::text::nearest(wanted, ids.into_iter().map(String::as_str), 3)
    }
}
