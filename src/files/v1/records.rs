//! The records that a load file carries.

use crate::catalogue::{
    Alloy, Binder, Catalogue, CatalogueFile, CheckSetting, Feedstock, Furnace, Gas, Limit,
    Material, Origin, Post, Reference, Setter, ShopState, Support, Table,
};
use crate::files::fault::Fault;
use crate::files::kind::FileKind;
use crate::files::records::{entries, origin_of, set_origin, setting_key};
use crate::load::{RecordHash, RecordsUsed};
use crate::text::files as say;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;

/// `load::RecordsUsed`. The records are their own mirrors.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct Records {
    #[serde(skip_serializing_if = "Vec::is_empty")]
    alloys: Vec<Alloy>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    binders: Vec<Binder>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    feedstocks: Vec<Feedstock>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    materials: Vec<Material>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    setters: Vec<Setter>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    posts: Vec<Post>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    supports: Vec<Support>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    furnaces: Vec<Furnace>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    gases: Vec<Gas>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    limits: Vec<Limit>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    checks: Vec<CheckSetting>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    references: Vec<Reference>,
    #[serde(skip_serializing_if = "Option::is_none")]
    shop: Option<ShopState>,
    /// Kind, id, origin and SHA-256 of each.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    hashes: Vec<(String, String, String, String)>,
}

fn listed<T: Clone>(table: &Table<T>) -> Vec<T> {
    table.values().map(|(_, r)| r.as_ref().clone()).collect()
}

impl From<&RecordsUsed> for Records {
    fn from(used: &RecordsUsed) -> Records {
        let RecordsUsed {
            catalogue,
            shop,
            hashes,
        } = used;
        let Catalogue {
            alloys,
            binders,
            feedstocks,
            materials,
            setters,
            posts,
            supports,
            furnaces,
            gases,
            limits,
            checks,
            references,
        } = catalogue;
        Records {
            alloys: listed(alloys),
            binders: listed(binders),
            feedstocks: listed(feedstocks),
            materials: listed(materials),
            setters: listed(setters),
            posts: listed(posts),
            supports: listed(supports),
            furnaces: listed(furnaces),
            gases: listed(gases),
            limits: limits.clone(),
            checks: checks.clone(),
            references: references.values().cloned().collect(),
            shop: shop.clone(),
            hashes: hashes
                .iter()
                .map(|hash| {
                    let RecordHash {
                        kind,
                        id,
                        origin,
                        sha256,
                    } = hash.clone();
                    (kind, id, origin, sha256)
                })
                .collect(),
        }
    }
}

impl Records {
    pub(super) fn is_empty(&self) -> bool {
        let Records {
            alloys,
            binders,
            feedstocks,
            materials,
            setters,
            posts,
            supports,
            furnaces,
            gases,
            limits,
            checks,
            references,
            shop,
            hashes,
        } = self;
        alloys.is_empty()
            && binders.is_empty()
            && feedstocks.is_empty()
            && materials.is_empty()
            && setters.is_empty()
            && posts.is_empty()
            && supports.is_empty()
            && furnaces.is_empty()
            && gases.is_empty()
            && limits.is_empty()
            && checks.is_empty()
            && references.is_empty()
            && shop.is_none()
            && hashes.is_empty()
    }

    /// The records, each once, and their hashes held against them. A record without a hash counts
    /// as the file's own.
    pub(super) fn into_work(self) -> Result<RecordsUsed, Fault> {
        let Records {
            alloys,
            binders,
            feedstocks,
            materials,
            setters,
            posts,
            supports,
            furnaces,
            gases,
            limits,
            checks,
            references,
            shop,
            hashes,
        } = self;
        once("check", checks.iter().map(setting_key))?;
        once("reference", references.iter().map(|r| r.id.clone()))?;
        let file = CatalogueFile {
            kind: FileKind::Catalogue.word().to_owned(),
            version: 1,
            references,
            alloys,
            binders,
            feedstocks,
            materials,
            setters,
            posts,
            supports,
            furnaces,
            gases,
            limits,
            checks,
            shop,
        };
        let mut catalogue = Catalogue::default();
        let shop = catalogue.add_file("", file, Origin::Load)?;
        let present: BTreeSet<(String, String)> = entries(&catalogue, shop.as_ref())?
            .into_iter()
            .map(|e| (e.kind.to_owned(), e.id))
            .collect();
        let mut seen = BTreeSet::new();
        let mut kept = Vec::with_capacity(hashes.len());
        for (i, (kind, id, origin, sha256)) in hashes.into_iter().enumerate() {
            let place = format!("records.hashes[{i}]");
            let key = (kind.clone(), id.clone());
            if !present.contains(&key) {
                return Err(Fault::NoSuch {
                    place,
                    what: kind,
                    id,
                    candidates: Vec::new(),
                });
            }
            if !seen.insert(key) {
                return Err(Fault::RepeatedRecord { place, kind, id });
            }
            let Some(from) = origin_of(&origin) else {
                return Err(Fault::value(place, say::no_such_origin(&origin)));
            };
            set_origin(&mut catalogue, &kind, &id, from);
            kept.push(RecordHash {
                kind,
                id,
                origin,
                sha256,
            });
        }
        Ok(RecordsUsed {
            catalogue,
            shop,
            hashes: kept,
        })
    }
}

fn once(kind: &str, ids: impl Iterator<Item = String>) -> Result<(), Fault> {
    let mut seen = BTreeSet::new();
    for id in ids {
        if !seen.insert(id.clone()) {
            return Err(Fault::RepeatedRecord {
                place: "records".to_owned(),
                kind: kind.to_owned(),
                id,
            });
        }
    }
    Ok(())
}
