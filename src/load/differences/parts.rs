//! Part records and lots.

use super::{Affects, Comparison, both_if, matching, named};
use crate::load::plan::{Lot, Plan};
use crate::part::{Part, PartId, Shape};
use crate::text::differences as say;
use crate::text::differences::which;
use crate::units::{Quantity, show};
use std::collections::BTreeMap;
use std::sync::Arc;

/// All of a part but its number, as text.
fn whole(part: &Part) -> String {
    let same = Part {
        id: PartId(0),
        ..part.clone()
    };
    format!("{same:?}")
}

/// What a part is found by, the most exact first.
fn keys(part: &Part) -> [String; 5] {
    let Part {
        name,
        feedstock,
        geometry,
        ..
    } = part;
    [
        whole(part),
        format!("{name}|{feedstock}|{geometry:?}"),
        format!("{name}|{feedstock}"),
        name.clone(),
        format!("{feedstock}|{geometry:?}"),
    ]
}

impl Comparison<'_> {
    pub(super) fn part_records(&mut self) {
        let (was, is) = (&self.was.parts, &self.is.parts);
        let shared = was.len() == is.len() && was.iter().zip(is).all(|(a, b)| Arc::ptr_eq(a, b));
        if shared {
            let same: BTreeMap<u32, usize> =
                was.iter().enumerate().map(|(i, p)| (p.id.0, i)).collect();
            for part in was {
                let key = format!("part {}", part.id.0);
                self.subjects.insert(key.clone(), key);
            }
            self.parts = [same.clone(), same];
            return;
        }
        let all =
            |parts: &[Arc<Part>]| -> Vec<[String; 5]> { parts.iter().map(|p| keys(p)).collect() };
        let (was_keys, is_keys) = (all(was), all(is));
        let pairs = matching::by_keys(&was_keys, &is_keys);
        let marks =
            |keys: &[[String; 5]]| -> Vec<String> { keys.iter().map(|k| k[0].clone()).collect() };
        let [a, b] = matching::classes(&marks(&was_keys), &marks(&is_keys), &pairs);
        let numbers = |parts: &[Arc<Part>], classes: Vec<usize>| {
            parts.iter().map(|p| p.id.0).zip(classes).collect()
        };
        self.parts = [numbers(was, a), numbers(is, b)];
        for i in matching::alone(was.len(), pairs.iter().map(|p| p.0)) {
            let name = say::part(&was[i].name);
            self.tell(
                Affects::StabilityAndMass,
                vec![name.clone()],
                say::removed(&name),
            );
        }
        for i in matching::alone(is.len(), pairs.iter().map(|p| p.1)) {
            let name = say::part(&is[i].name);
            self.tell(
                Affects::StabilityAndMass,
                vec![name.clone()],
                say::added(&name),
            );
        }
        for (a, b) in pairs {
            let key = |part: &Part| format!("part {}", part.id.0);
            self.subjects.insert(key(&was[a]), key(&is[b]));
            if was_keys[a][0] != is_keys[b][0] {
                self.part_changes(&was[a], &is[b]);
            }
        }
    }

    fn part_changes(&mut self, was: &Part, is: &Part) {
        let Part {
            id: _,
            name,
            feedstock,
            shape,
            drawn,
            rest,
            infill,
            keep_off,
            geometry,
            made_with_oversize,
            weighed,
            section_mm,
            work_zone_only,
            approved_rest,
        } = is;
        let items = [say::part(&was.name), say::part(name)];
        let head = say::part(&named(&was.name, name));
        let heading = |which: &str| say::of(&head, which);
        if was.name != *name {
            let values = [&was.name, name].map(|n| say::quoted(n));
            self.instead(
                Affects::RecordsOnly,
                &items,
                &heading(which::name()),
                values,
            );
        }
        if was.feedstock != *feedstock {
            let values = [
                self.feedstock_name(0, &was.feedstock),
                self.feedstock_name(1, feedstock),
            ];
            let heading = heading(which::feedstock());
            self.instead(Affects::SinterHeat, &items, &heading, values);
        }
        if was.section_mm != *section_mm {
            let values = both_if(Quantity::Length, [was.section_mm, *section_mm], 2);
            let heading = heading(which::section());
            self.instead(Affects::BinderRemoval, &items, &heading, values);
        }
        if was.made_with_oversize != *made_with_oversize {
            let values = [was.made_with_oversize, *made_with_oversize].map(|factors| {
                factors.map_or_else(say::none, |f| f.map(|f| f.to_string()).join(" × "))
            });
            let heading = heading(which::oversize());
            self.instead(Affects::SizeAndShape, &items, &heading, values);
        }
        if was.weighed != *weighed {
            let values = [was.weighed, *weighed].map(|weighed| {
                weighed.map_or_else(say::none, |w| {
                    format!("{} {}", show(Quantity::Mass, w.mass_g, 3), w.state.word())
                })
            });
            let heading = heading(which::weighed());
            if values[0] == values[1] {
                let sentence = say::changed(&head, which::weighed());
                self.tell(Affects::StabilityAndMass, items.to_vec(), sentence);
            } else {
                self.instead(Affects::StabilityAndMass, &items, &heading, values);
            }
        }
        if was.drawn != *drawn {
            let values = [was.drawn.word().to_owned(), drawn.word().to_owned()];
            let heading = heading(which::drawn());
            self.instead(Affects::SizeAndShape, &items, &heading, values);
        }
        if was.work_zone_only != *work_zone_only {
            let values = [was.work_zone_only, *work_zone_only].map(say::yes);
            let heading = heading(which::work_zone_only());
            self.instead(Affects::Clearance, &items, &heading, values);
        }
        // The same mesh by its sum, named from another folder.
        let elsewhere = named_elsewhere(&was.shape, shape);
        if let Some(files) = &elsewhere {
            let heading = heading(which::mesh_file());
            self.instead(Affects::RecordsOnly, &items, &heading, files.clone());
        }
        let shape_is_other = was.shape != *shape && elsewhere.is_none();
        let measured = !shape_is_other && was.rest == *rest;
        let others = [
            (Affects::SizeAndShape, which::shape(), shape_is_other),
            (Affects::SizeAndShape, which::rest(), was.rest != *rest),
            (
                Affects::BinderRemoval,
                which::infill(),
                was.infill != *infill,
            ),
            (
                Affects::SizeAndShape,
                which::keep_off(),
                was.keep_off != *keep_off,
            ),
            (
                Affects::SizeAndShape,
                which::approved_rest(),
                was.approved_rest != *approved_rest,
            ),
            (
                Affects::SizeAndShape,
                which::measures(),
                measured && was.geometry != *geometry,
            ),
        ];
        for (affects, which, _) in others.iter().filter(|o| o.2) {
            self.tell(*affects, items.to_vec(), say::changed(&head, which));
        }
    }

    fn feedstock_name(&self, side: usize, id: &str) -> String {
        let known = self.catalogues[side].feedstock(id);
        known.map_or_else(|| id.to_owned(), |f| f.name.clone())
    }

    pub(super) fn lots(&mut self) {
        if self.of_standard {
            return;
        }
        let (was, is) = (&self.was.lots, &self.is.lots);
        let keys = |side: usize, lots: &[Arc<Lot>]| -> Vec<[String; 3]> {
            let keys = |lot: &Arc<Lot>| {
                let class = self.parts[side].get(&lot.part.0);
                let same = Lot {
                    id: Default::default(),
                    part: PartId(0),
                    ..lot.as_ref().clone()
                };
                let name = &lot.name;
                [
                    format!("{class:?} {same:?}"),
                    format!("{class:?} {name}"),
                    name.clone(),
                ]
            };
            lots.iter().map(keys).collect()
        };
        let (was_keys, is_keys) = (keys(0, was), keys(1, is));
        let pairs = matching::by_keys(&was_keys, &is_keys);
        let marks =
            |keys: &[[String; 3]]| -> Vec<String> { keys.iter().map(|k| k[0].clone()).collect() };
        let [a, b] = matching::classes(&marks(&was_keys), &marks(&is_keys), &pairs);
        let numbers = |lots: &[Arc<Lot>], classes: Vec<usize>| {
            lots.iter().map(|l| l.id.0).zip(classes).collect()
        };
        self.lots = [numbers(was, a), numbers(is, b)];
        for i in matching::alone(was.len(), pairs.iter().map(|p| p.0)) {
            let name = say::lot(&was[i].name);
            self.tell(
                Affects::LotsCleared,
                vec![name.clone()],
                say::removed(&name),
            );
        }
        for i in matching::alone(is.len(), pairs.iter().map(|p| p.1)) {
            let name = say::lot(&is[i].name);
            self.tell(Affects::LotsCleared, vec![name.clone()], say::added(&name));
        }
        for (a, b) in pairs {
            let key = |lot: &Lot| format!("lot {}", lot.id.0);
            self.subjects.insert(key(&was[a]), key(&is[b]));
            if was_keys[a][0] != is_keys[b][0] {
                self.lot_changes(&was[a], &is[b]);
            }
        }
    }

    fn lot_changes(&mut self, was: &Lot, is: &Lot) {
        let Lot {
            id: _,
            name,
            part,
            count,
            enters,
            customer,
            green_g,
            dry_g,
            previous_dry_g,
            dried_min,
            feedstock_lot,
            feedstock_expires,
            certificate,
            balance,
            oversize,
            bath,
            green_at,
            previous_dry_at,
            dry_at,
            dryer_c,
            dryer_ventilated,
            acid_purged,
        } = is;
        let items = [say::lot(&was.name), say::lot(name)];
        let head = say::lot(&named(&was.name, name));
        let mut tell = |which: &str, values: [String; 2]| {
            self.instead(Affects::LotsCleared, &items, &say::of(&head, which), values);
        };
        if was.count != *count {
            tell(which::count(), [was.count, *count].map(|n| n.to_string()));
        }
        if was.enters != *enters {
            tell(
                which::enters(),
                [was.enters, *enters].map(|s| s.word().to_owned()),
            );
        }
        if was.customer != *customer {
            let text = |t: &Option<String>| t.as_deref().map_or_else(say::none, say::quoted);
            tell(which::customer(), [text(&was.customer), text(customer)]);
        }
        let masses = [
            (which::green(), was.green_g, *green_g),
            (which::dry(), was.dry_g, *dry_g),
            (which::previous_dry(), was.previous_dry_g, *previous_dry_g),
        ];
        for (which, before, now) in masses {
            if before != now {
                tell(which, both_if(Quantity::Mass, [before, now], 2));
            }
        }
        let text = |t: &Option<String>| t.as_deref().map_or_else(say::none, say::quoted);
        let texts = [
            (which::feedstock_lot(), &was.feedstock_lot, feedstock_lot),
            (
                which::feedstock_expires(),
                &was.feedstock_expires,
                feedstock_expires,
            ),
            (which::certificate(), &was.certificate, certificate),
            (which::balance(), &was.balance, balance),
            (which::green_at(), &was.green_at, green_at),
            (
                which::previous_dry_at(),
                &was.previous_dry_at,
                previous_dry_at,
            ),
            (which::dry_at(), &was.dry_at, dry_at),
        ];
        for (which, before, now) in texts {
            if before != now {
                tell(which, [text(before), text(now)]);
            }
        }
        let answers = [
            (
                which::dryer_ventilated(),
                was.dryer_ventilated,
                *dryer_ventilated,
            ),
            (which::acid_purged(), was.acid_purged, *acid_purged),
        ];
        for (which, before, now) in answers {
            if before != now {
                let said = [before, now].map(|a| a.map_or_else(say::none, say::yes));
                tell(which, said);
            }
        }
        if was.dryer_c != *dryer_c {
            let values = [was.dryer_c, *dryer_c];
            tell(which::dryer(), both_if(Quantity::Temperature, values, 0));
        }
        if was.oversize != *oversize {
            let said = [was.oversize, *oversize].map(|factors| {
                factors.map_or_else(say::none, |f| f.map(|f| f.to_string()).join(" × "))
            });
            tell(which::oversize(), said);
        }
        let bath_differs = was.bath != *bath;
        if was.dried_min != *dried_min {
            let values = [was.dried_min, *dried_min];
            tell(which::dried(), both_if(Quantity::Time, values, 0));
        }
        if bath_differs {
            let sentence = say::changed(&head, which::bath());
            self.tell(Affects::LotsCleared, items.to_vec(), sentence);
        }
        if self.parts[0].get(&was.part.0) != self.parts[1].get(&part.0) {
            let name =
                |plan: &Plan, id: PartId| plan.part(id).map_or_else(say::none, |p| p.name.clone());
            let values = [name(self.was, was.part), name(self.is, *part)];
            let heading = say::of(&head, which::part());
            self.instead(Affects::LotsCleared, &items, &heading, values);
        }
    }
}

/// The names of one mesh before and after, where nothing but its name differs.
fn named_elsewhere(was: &Shape, is: &Shape) -> Option<[String; 2]> {
    let (Shape::Mesh { file: before, .. }, Shape::Mesh { file: now, .. }) = (was, is) else {
        return None;
    };
    let mut named = is.clone();
    if let Shape::Mesh { file, .. } = &mut named {
        file.clone_from(before);
    }
    (before != now && named == *was).then(|| [before, now].map(|file| file.to_string()))
}
