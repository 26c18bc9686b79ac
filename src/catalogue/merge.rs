//! Reading catalogue files and merging them by id.

use super::{
    Alloy, Binder, Catalogue, CheckSetting, Feedstock, Furnace, Gas, Kind, Limit, Material, Origin,
    Post, Record, Reference, Setter, ShopState, Support, SupportKind, Table,
};
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// One catalogue file. A shop may put any records into any file.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CatalogueFile {
    /// Always `"catalogue"`.
    pub kind: String,
    /// Version of this form, 1.
    pub version: u32,
    /// Bibliography.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub references: Vec<Reference>,
    /// Alloys.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub alloys: Vec<Alloy>,
    /// Binders.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub binders: Vec<Binder>,
    /// Feedstocks.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub feedstocks: Vec<Feedstock>,
    /// Materials.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub materials: Vec<Material>,
    /// Setters.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub setters: Vec<Setter>,
    /// Posts.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub posts: Vec<Post>,
    /// Supports.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub supports: Vec<Support>,
    /// Furnaces.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub furnaces: Vec<Furnace>,
    /// Gases.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub gases: Vec<Gas>,
    /// Limits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub limits: Vec<Limit>,
    /// Changed checks.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub checks: Vec<CheckSetting>,
    /// State of the shop.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shop: Option<ShopState>,
}

impl CatalogueFile {
    /// A file of the present version without records.
    pub fn empty() -> CatalogueFile {
        CatalogueFile {
            kind: "catalogue".to_owned(),
            version: 1,
            references: Vec::new(),
            alloys: Vec::new(),
            binders: Vec::new(),
            feedstocks: Vec::new(),
            materials: Vec::new(),
            setters: Vec::new(),
            posts: Vec::new(),
            supports: Vec::new(),
            furnaces: Vec::new(),
            gases: Vec::new(),
            limits: Vec::new(),
            checks: Vec::new(),
            shop: None,
        }
    }
}

/// What can be wrong with a catalogue.
#[derive(Clone, Debug, PartialEq)]
pub enum CatalogueFault {
    /// The text is not a catalogue file.
    Syntax {
        /// File name.
        file: String,
        /// Line, from 1.
        line: usize,
        /// Column, from 1.
        column: usize,
        /// What the reader says.
        reason: String,
    },
    /// Another kind of file.
    Kind {
        /// File name.
        file: String,
        /// What it says it is.
        kind: String,
    },
    /// Written by a newer program.
    Newer {
        /// File name.
        file: String,
        /// Its version.
        version: u32,
    },
    /// The same id twice in one folder.
    Duplicate {
        /// File name.
        file: String,
        /// Kind of record, or "limit".
        kind: &'static str,
        /// Slug.
        id: String,
    },
    /// A shop's record replaces a built-in one without saying which revision.
    UnsaidReplacement {
        /// File name.
        file: String,
        /// Kind of record.
        kind: &'static str,
        /// Slug.
        id: String,
        /// Revision that it replaces.
        revision: u32,
    },
    /// A slug that stands for nothing.
    Unknown {
        /// Where it is used, e.g. `feedstock "x"`.
        place: String,
        /// Kind of record looked for.
        kind: &'static str,
        /// Slug.
        id: String,
        /// Slugs that look alike.
        candidates: Vec<String>,
    },
    /// A number that cannot be.
    Number {
        /// Where.
        place: String,
        /// Which field, and what is expected.
        reason: String,
    },
    /// No state of a shop among the built-in files.
    NoShopState,
}

/// Reads one catalogue file.
///
/// # Errors
/// Says file, line and column.
pub fn parse_file(name: &str, text: &str) -> Result<CatalogueFile, CatalogueFault> {
    #[derive(Deserialize)]
    struct Head {
        kind: String,
        version: u32,
    }
    let options =
        ron::Options::default().with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME);
    let syntax = |error: ron::error::SpannedError| CatalogueFault::Syntax {
        file: name.to_owned(),
        line: error.span.start.line,
        column: error.span.start.col,
        reason: error.code.to_string(),
    };
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let head: Head = options.from_str(text).map_err(syntax)?;
    if head.kind != "catalogue" {
        return Err(CatalogueFault::Kind {
            file: name.to_owned(),
            kind: head.kind,
        });
    }
    if head.version > 1 {
        return Err(CatalogueFault::Newer {
            file: name.to_owned(),
            version: head.version,
        });
    }
    options.from_str(text).map_err(syntax)
}

/// Adds records to a table. Within one origin an id may stand once; a record of the shop that
/// replaces a built-in one names the revision.
fn add<T: Record>(
    table: &mut Table<T>,
    file: &str,
    records: Vec<T>,
    origin: Origin,
) -> Result<(), CatalogueFault> {
    for record in records {
        let id = record.id().to_owned();
        if let Some((old_origin, old)) = table.get(&id) {
            if *old_origin == origin {
                let kind = T::KIND.word();
                return Err(CatalogueFault::Duplicate {
                    file: file.to_owned(),
                    kind,
                    id,
                });
            }
            if origin == Origin::Shop && record.replaces_revision().is_none() {
                return Err(CatalogueFault::UnsaidReplacement {
                    file: file.to_owned(),
                    kind: T::KIND.word(),
                    id,
                    revision: old.revision(),
                });
            }
        }
        table.insert(id, (origin, Arc::new(record)));
    }
    Ok(())
}

impl Catalogue {
    /// Adds a file's records; later origins replace earlier ones. Gives the shop state, if any.
    ///
    /// # Errors
    /// Duplicate ids within the origin, and replacements that do not say what they replace.
    pub fn add_file(
        &mut self,
        name: &str,
        file: CatalogueFile,
        origin: Origin,
    ) -> Result<Option<ShopState>, CatalogueFault> {
        add(&mut self.alloys, name, file.alloys, origin)?;
        add(&mut self.binders, name, file.binders, origin)?;
        add(&mut self.feedstocks, name, file.feedstocks, origin)?;
        add(&mut self.materials, name, file.materials, origin)?;
        add(&mut self.setters, name, file.setters, origin)?;
        add(&mut self.posts, name, file.posts, origin)?;
        add(&mut self.supports, name, file.supports, origin)?;
        add(&mut self.furnaces, name, file.furnaces, origin)?;
        add(&mut self.gases, name, file.gases, origin)?;
        for limit in file.limits {
            self.add_limit(name, limit)?;
        }
        self.limits
            .sort_by(|a, b| (&a.id, &a.scope).cmp(&(&b.id, &b.scope)));
        for setting in file.checks {
            setting.check_noted(name)?;
            self.checks
                .retain(|c| c.check != setting.check || c.scope != setting.scope);
            self.checks.push(setting);
        }
        for reference in file.references {
            self.references.insert(reference.id.clone(), reference);
        }
        Ok(file.shop)
    }

    fn add_limit(&mut self, file: &str, limit: Limit) -> Result<(), CatalogueFault> {
        limit.check_noted(file)?;
        if self
            .limits
            .iter()
            .any(|l| l.id == limit.id && l.scope == limit.scope)
        {
            return Err(CatalogueFault::Duplicate {
                file: file.to_owned(),
                kind: "limit",
                id: limit.id,
            });
        }
        self.limits.push(limit);
        Ok(())
    }

    /// Holds every slug in the records against the catalogue, and every number against what can be.
    ///
    /// # Errors
    /// The first number that cannot be, or slug that stands for nothing, with the place.
    pub fn check_links(&self) -> Result<(), CatalogueFault> {
        self.check_numbers()?;
        let need = |known: bool, place: String, kind: Kind, id: &str| {
            if known {
                return Ok(());
            }
            Err(CatalogueFault::Unknown {
                place,
                kind: kind.word(),
                id: id.to_owned(),
                candidates: self.candidates(kind, id),
            })
        };
        for (_, f) in self.feedstocks.values() {
            let place = || format!("feedstock \"{}\"", f.id);
            need(
                self.alloy(&f.alloy).is_some(),
                place(),
                Kind::Alloy,
                &f.alloy,
            )?;
            need(
                self.binder(&f.binder).is_some(),
                place(),
                Kind::Binder,
                &f.binder,
            )?;
            for m in &f.setter_materials {
                need(self.material(m).is_some(), place(), Kind::Material, m)?;
            }
        }
        for (_, a) in self.alloys.values() {
            for rule in a.gases.iter().filter(|rule| rule.gas != "vacuum") {
                let place = format!("alloy \"{}\"", a.id);
                need(self.gas(&rule.gas).is_some(), place, Kind::Gas, &rule.gas)?;
            }
            for m in &a.setter_materials_refused {
                let place = format!("alloy \"{}\"", a.id);
                need(self.material(m).is_some(), place, Kind::Material, m)?;
            }
        }
        for (_, s) in self.setters.values() {
            for m in std::iter::once(&s.material).chain(&s.face_material) {
                let place = format!("setter \"{}\"", s.id);
                need(self.material(m).is_some(), place, Kind::Material, m)?;
            }
        }
        for (_, p) in self.posts.values() {
            let place = format!("post \"{}\"", p.id);
            need(
                self.material(&p.material).is_some(),
                place,
                Kind::Material,
                &p.material,
            )?;
        }
        for (_, s) in self.supports.values() {
            // A raft is of a feedstock, or of the part's own, which an empty slug means.
            let raft = s.kind == SupportKind::Raft;
            let known = if raft {
                s.material.is_empty() || self.feedstock(&s.material).is_some()
            } else {
                self.material(&s.material).is_some()
            };
            let kind = if raft {
                Kind::Feedstock
            } else {
                Kind::Material
            };
            need(known, format!("support \"{}\"", s.id), kind, &s.material)?;
        }
        for (_, f) in self.furnaces.values() {
            for g in &f.gases {
                need(
                    self.gas(g).is_some(),
                    format!("furnace \"{}\"", f.id),
                    Kind::Gas,
                    g,
                )?;
            }
        }
        Ok(())
    }
}
