//! Stacks, levels and what stands on them.

use super::{Affects, Comparison, capital, figure, figures, matching, named};
use crate::catalogue::Catalogue;
use crate::load::plan::{Carrier, Item, Level, Placement, Plan, Stack};
use crate::text::differences as say;
use crate::text::differences::which;
use crate::units::{Quantity, show};
use std::collections::{BTreeMap, BTreeSet};

/// Something on a level.
struct Thing<'a> {
    placement: &'a Placement,
    /// What it is, whatever its place.
    key: String,
    /// All of it but its number.
    mark: String,
}

/// A level with what it is known by.
struct Floor<'a> {
    level: &'a Level,
    label: String,
    things: Vec<Thing<'a>>,
    /// What stands on it and the setter, but not what carries it.
    content: String,
    mark: String,
}

struct Tower<'a> {
    stack: &'a Stack,
    label: String,
    floors: Vec<Floor<'a>>,
}

/// Which floor of which tower.
type Place = (usize, usize);

/// What happened to one thing.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
enum Step {
    Removed,
    Added,
    Replaced(String),
    /// From a level to another, by their names.
    Level(String, String),
    Moved,
    Turned(String, String),
    Support(String, String),
    Lot(String, String),
    Locked(String, String),
}

impl Step {
    fn affects(&self) -> Affects {
        match self {
            Step::Removed | Step::Added | Step::Replaced(_) | Step::Level(..) => {
                Affects::StabilityAndMass
            }
            Step::Moved | Step::Turned(..) => Affects::Clearance,
            Step::Support(..) => Affects::SizeAndShape,
            Step::Lot(..) => Affects::LotsCleared,
            Step::Locked(..) => Affects::RecordsOnly,
        }
    }
}

/// Things to which the same happened.
#[derive(Default)]
struct Several<'a> {
    pairs: Vec<(Option<&'a Placement>, Option<&'a Placement>)>,
}

impl<'a> Comparison<'a> {
    pub(super) fn laid_out(&mut self) {
        let towers = [self.towers(0), self.towers(1)];
        let stacks = pair_stacks(&towers);
        let mut gone: Vec<Place> = Vec::new();
        let mut new: Vec<Place> = Vec::new();
        for a in matching::alone(towers[0].len(), stacks.iter().map(|p| p.0)) {
            let tower = &towers[0][a];
            let sentence = say::removed(&tower.label);
            self.tell(
                Affects::StabilityAndMass,
                vec![tower.label.clone()],
                sentence,
            );
            gone.extend((0..tower.floors.len()).map(|i| (a, i)));
        }
        for b in matching::alone(towers[1].len(), stacks.iter().map(|p| p.1)) {
            let tower = &towers[1][b];
            let sentence = say::added(&tower.label);
            self.tell(
                Affects::StabilityAndMass,
                vec![tower.label.clone()],
                sentence,
            );
            new.extend((0..tower.floors.len()).map(|i| (b, i)));
        }
        let mut levels: Vec<(Place, Place)> = Vec::new();
        for (a, b) in stacks {
            let (was, is) = (&towers[0][a], &towers[1][b]);
            let key = |stack: &Stack| format!("stack {}", stack.id.0);
            self.subjects.insert(key(was.stack), key(is.stack));
            if was.stack.at_mm != is.stack.at_mm {
                let items = vec![was.label.clone(), is.label.clone()];
                let sentence = moved(
                    &named(&was.label, &is.label),
                    was.stack.at_mm,
                    is.stack.at_mm,
                );
                self.tell(Affects::Clearance, items, sentence);
            }
            let pairs = matching::in_order(&was.floors, &is.floors, |f| &f.mark, unlike);
            gone.extend(
                matching::alone(was.floors.len(), pairs.iter().map(|p| p.0))
                    .into_iter()
                    .map(|i| (a, i)),
            );
            new.extend(
                matching::alone(is.floors.len(), pairs.iter().map(|p| p.1))
                    .into_iter()
                    .map(|i| (b, i)),
            );
            levels.extend(pairs.into_iter().map(|(i, j)| ((a, i), (b, j))));
        }
        // Of levels that are alike the first stays, whichever load is named first.
        gone.sort_unstable();
        new.sort_unstable();
        let floor = |side: usize, at: Place| &towers[side][at.0].floors[at.1];
        // A level with what stands on it, in another place of the stacks.
        let keys = |side: usize, places: &[Place]| -> Vec<[String; 2]> {
            let keys = |at: &Place| {
                let floor = floor(side, *at);
                [floor.mark.clone(), floor.content.clone()]
            };
            places.iter().map(keys).collect()
        };
        let moved = matching::by_keys(&keys(0, &gone), &keys(1, &new));
        for (a, b) in &moved {
            let (was, is) = (floor(0, gone[*a]), floor(1, new[*b]));
            let items = vec![was.label.clone(), is.label.clone()];
            let sentence = say::level_moved(&is.label, &was.label);
            self.tell(Affects::StabilityAndMass, items, sentence);
            levels.push((gone[*a], new[*b]));
        }
        let left = |places: &[Place], taken: Vec<usize>| -> Vec<Place> {
            let free = matching::alone(places.len(), taken.into_iter());
            free.into_iter().map(|i| places[i]).collect()
        };
        let gone = left(&gone, moved.iter().map(|p| p.0).collect());
        let new = left(&new, moved.iter().map(|p| p.1).collect());
        // What stands on levels that both have, and what is left of it on either side.
        let mut apart: [Vec<(Place, &Thing)>; 2] = [Vec::new(), Vec::new()];
        let mut both: Vec<(&Thing, &Thing, Place, Place)> = Vec::new();
        for (a, b) in &levels {
            let (was, is) = (floor(0, *a), floor(1, *b));
            self.level_changes(was, is);
            let pairs = pair_things(&was.things, &is.things);
            for i in matching::alone(was.things.len(), pairs.iter().map(|p| p.0)) {
                apart[0].push((*a, &was.things[i]));
            }
            for i in matching::alone(is.things.len(), pairs.iter().map(|p| p.1)) {
                apart[1].push((*b, &is.things[i]));
            }
            both.extend(
                pairs
                    .into_iter()
                    .map(|(i, j)| (&was.things[i], &is.things[j], *a, *b)),
            );
        }
        for (side, places) in [&gone, &new].into_iter().enumerate() {
            for at in places {
                apart[side].extend(floor(side, *at).things.iter().map(|t| (*at, t)));
            }
        }
        // From level to level: what is the same goes first, then in order.
        let keys = |all: &[(Place, &Thing)]| -> Vec<[String; 2]> {
            let keys = |(_, t): &(Place, &Thing)| [t.mark.clone(), t.key.clone()];
            all.iter().map(keys).collect()
        };
        let pairs = matching::by_keys(&keys(&apart[0]), &keys(&apart[1]));
        let across: BTreeSet<(usize, usize)> = pairs.iter().copied().collect();
        both.extend(pairs.iter().map(|(i, j)| {
            (
                apart[0][*i].1,
                apart[1][*j].1,
                apart[0][*i].0,
                apart[1][*j].0,
            )
        }));
        let lone = |side: usize, taken: Vec<usize>| -> Vec<(Place, &Thing)> {
            let free = matching::alone(apart[side].len(), taken.into_iter());
            free.into_iter().map(|i| apart[side][i]).collect()
        };
        let lone = [
            lone(0, across.iter().map(|p| p.0).collect()),
            lone(1, across.iter().map(|p| p.1).collect()),
        ];
        self.lone_levels([&gone, &new], &towers, &lone);
        let same: BTreeMap<Place, Place> = levels.into_iter().collect();
        self.things(&towers, &same, both, [&gone, &new], lone);
    }

    fn towers(&self, side: usize) -> Vec<Tower<'a>> {
        let plan = if side == 0 { self.was } else { self.is };
        let floor = |level: &'a Level| {
            let mut things: Vec<Thing> = level
                .placements
                .iter()
                .map(|p| self.thing(side, p))
                .collect();
            things.sort_by(|a, b| a.mark.cmp(&b.mark));
            let marks: Vec<&str> = things.iter().map(|t| t.mark.as_str()).collect();
            let content = format!("{} {}", level.setter, marks.join("\n"));
            let carried = carrier_mark(&level.carrier);
            Floor {
                level,
                label: capital(&plan.level_label(level.id)),
                mark: format!("{content} {carried}"),
                content,
                things,
            }
        };
        let stacks = plan.load.stacks.iter().enumerate();
        stacks
            .map(|(i, stack)| Tower {
                stack,
                label: say::stack(i + 1),
                floors: stack.levels.iter().map(|l| floor(l)).collect(),
            })
            .collect()
    }

    fn thing(&self, side: usize, placement: &'a Placement) -> Thing<'a> {
        let Placement {
            id: _,
            item,
            at_mm,
            angle_deg,
            support,
            locked,
        } = placement;
        let part = |id: u32| self.parts[side].get(&id);
        let key = match item {
            Item::Part { part: id, .. } => format!("part {:?}", part(id.0)),
            Item::Coupon { part: id, label } => format!("coupon {:?} {label}", part(id.0)),
            Item::Dummy { .. } | Item::Sensor { .. } => format!("{item:?}"),
        };
        let lot = match (item, self.of_standard) {
            (Item::Part { lot: Some(lot), .. }, false) => self.lots[side].get(&lot.0).copied(),
            _ => None,
        };
        let locked = *locked && !self.of_standard;
        let place = figures(&[at_mm[0], at_mm[1], *angle_deg]);
        Thing {
            placement,
            mark: format!("{key} {place} {support:?} {lot:?} {locked}"),
            key,
        }
    }

    fn level_changes(&mut self, was: &Floor, is: &Floor) {
        let key = |floor: &Floor| format!("level {}", floor.level.id.0);
        self.subjects.insert(key(was), key(is));
        let items = [was.label.clone(), is.label.clone()];
        let name = named(&was.label, &is.label);
        if was.level.setter != is.level.setter {
            let values = [
                self.catalogues[0].setter_name(&was.level.setter),
                self.catalogues[1].setter_name(&is.level.setter),
            ];
            let what = say::of(&name, which::setter());
            self.instead(Affects::StabilityAndMass, &items, &what, values);
        }
        if carrier_mark(&was.level.carrier) != carrier_mark(&is.level.carrier) {
            let values = [
                carrier_words(&was.level.carrier, self.catalogues[0]),
                carrier_words(&is.level.carrier, self.catalogues[1]),
            ];
            let what = say::of(&name, which::carried());
            self.instead(Affects::StabilityAndMass, &items, &what, values);
        }
    }

    /// Levels that only one of the two has, each with what came or went with it.
    fn lone_levels(
        &mut self,
        places: [&Vec<Place>; 2],
        towers: &[Vec<Tower>; 2],
        lone: &[Vec<(Place, &Thing)>; 2],
    ) {
        let plans = [self.was, self.is];
        for side in [0, 1] {
            let labels = plans[side].placement_labels();
            for at in places[side] {
                let floor = &towers[side][at.0].floors[at.1];
                let mut items = vec![floor.label.clone()];
                let mut names: BTreeMap<String, usize> = BTreeMap::new();
                for (_, thing) in lone[side].iter().filter(|(of, _)| of == at) {
                    let name = plans[side].item_name(&thing.placement.item);
                    *names.entry(name).or_default() += 1;
                    items.extend(labels.get(&thing.placement.id).cloned());
                }
                let things: Vec<String> = names
                    .iter()
                    .map(|(name, n)| say::several(*n, name))
                    .collect();
                let setter = self.catalogues[side].setter_name(&floor.level.setter);
                let what = say::level_with(&floor.label, &setter, &things);
                let sentence = if side == 0 {
                    say::removed(&what)
                } else {
                    say::added(&what)
                };
                self.tell(Affects::StabilityAndMass, items, sentence);
            }
        }
    }

    /// What happened to things, those of a name on a level together.
    fn things(
        &mut self,
        towers: &[Vec<Tower>; 2],
        same: &BTreeMap<Place, Place>,
        both: Vec<(&Thing, &Thing, Place, Place)>,
        told: [&Vec<Place>; 2],
        lone: [Vec<(Place, &Thing)>; 2],
    ) {
        let label = |side: usize, at: Place| towers[side][at.0].floors[at.1].label.to_lowercase();
        let mut steps: BTreeMap<(Step, String, String), Several> = BTreeMap::new();
        for (a, b, from, to) in both {
            let (was, is) = (a.placement, b.placement);
            let key = |p: &Placement| format!("placement {}", p.id.0);
            self.subjects.insert(key(was), key(is));
            let name = self.is.item_name(&is.item);
            let on = label(1, to);
            let mut note = |step: Step| {
                let several = steps.entry((step, name.clone(), on.clone())).or_default();
                several.pairs.push((Some(was), Some(is)));
            };
            if same.get(&from) != Some(&to) {
                note(Step::Level(label(0, from), on.clone()));
            } else if was.at_mm != is.at_mm {
                note(Step::Moved);
            }
            if was.angle_deg != is.angle_deg {
                let [before, now] = super::both(Quantity::Angle, [was.angle_deg, is.angle_deg], 1);
                note(Step::Turned(before, now));
            }
            if was.support != is.support {
                let support = |side: usize, id: &Option<String>| {
                    let known = id
                        .as_deref()
                        .and_then(|id| self.catalogues[side].support(id));
                    known.map_or_else(|| id.clone().unwrap_or_else(say::none), |s| s.name.clone())
                };
                let values = [support(0, &was.support), support(1, &is.support)];
                let [before, now] = values;
                note(Step::Support(before, now));
            }
            if self.of_standard {
                continue;
            }
            let lot = |side: usize, item: &Item| match item {
                Item::Part { lot: Some(lot), .. } => Some(self.lots[side].get(&lot.0)),
                _ => None,
            };
            if lot(0, &was.item) != lot(1, &is.item) {
                note(Step::Lot(
                    lot_name(self.was, &was.item),
                    lot_name(self.is, &is.item),
                ));
            }
            if was.locked != is.locked {
                note(Step::Locked(say::yes(was.locked), say::yes(is.locked)));
            }
        }
        let lone = lone.map(|all| all.into_iter().collect::<Vec<_>>());
        let untold = |side: usize| {
            let all = lone[side].iter();
            all.filter(move |(at, _)| !told[side].contains(at))
        };
        // Something else in the very place.
        let spot = |at: Place, thing: &Thing| (at, figures(&thing.placement.at_mm));
        let mut spots: BTreeMap<(Place, String), Vec<&Placement>> = BTreeMap::new();
        for (at, thing) in untold(1) {
            spots
                .entry(spot(*at, thing))
                .or_default()
                .push(thing.placement);
        }
        let mut taken = BTreeSet::new();
        for (at, thing) in untold(0) {
            let there = same.get(at).and_then(|to| spots.get_mut(&spot(*to, thing)));
            let name = self.was.item_name(&thing.placement.item);
            match there.and_then(Vec::pop) {
                Some(other) => {
                    taken.insert(other.id);
                    let on = same.get(at).map_or_else(String::new, |to| label(1, *to));
                    let key = (Step::Replaced(name), self.is.item_name(&other.item), on);
                    let pair = (Some(thing.placement), Some(other));
                    steps.entry(key).or_default().pairs.push(pair);
                }
                None => {
                    let key = (Step::Removed, name, label(0, *at));
                    let pair = (Some(thing.placement), None);
                    steps.entry(key).or_default().pairs.push(pair);
                }
            }
        }
        for (at, thing) in untold(1).filter(|(_, t)| !taken.contains(&t.placement.id)) {
            let name = self.is.item_name(&thing.placement.item);
            let key = (Step::Added, name, label(1, *at));
            let pair = (None, Some(thing.placement));
            steps.entry(key).or_default().pairs.push(pair);
        }
        self.tell_steps(steps);
    }

    fn tell_steps(&mut self, steps: BTreeMap<(Step, String, String), Several>) {
        let labels = [self.was.placement_labels(), self.is.placement_labels()];
        let of = |side: usize, p: Option<&Placement>| p.and_then(|p| labels[side].get(&p.id));
        for ((step, name, on), several) in steps {
            let items: Vec<String> = several
                .pairs
                .iter()
                .flat_map(|(was, is)| [of(0, *was).cloned(), of(1, *is).cloned()])
                .flatten()
                .collect();
            let one = match several.pairs.as_slice() {
                [(was, is)] => of(1, *is).or(of(0, *was)).cloned(),
                _ => None,
            };
            let several_of = say::several(several.pairs.len(), &name);
            let bare = one.clone().unwrap_or(several_of);
            let what = say::on(&bare, &on);
            let affects = step.affects();
            let sentence = match step {
                Step::Removed => say::removed(&what),
                Step::Added => say::added(&what),
                Step::Replaced(before) => say::replaced(&what, &before),
                Step::Level(before, now) => say::to_level(&bare, &now, &before),
                Step::Moved => {
                    let ends: Vec<[[f64; 2]; 2]> = several
                        .pairs
                        .iter()
                        .filter_map(|(was, is)| Some([(*was)?.at_mm, (*is)?.at_mm]))
                        .collect();
                    match ends.as_slice() {
                        [[was, is]] => moved(&what, *was, *is),
                        many => {
                            let far = many.iter().map(|[a, b]| distance_mm(*a, *b));
                            let far = far.fold(0.0, f64::max);
                            say::moved_many(&what, &show(Quantity::Length, far, 2))
                        }
                    }
                }
                Step::Turned(before, now) => {
                    say::instead(&say::of(&what, which::turn()), &now, &before)
                }
                Step::Support(before, now) => {
                    say::instead(&say::of(&what, which::support()), &now, &before)
                }
                Step::Lot(before, now) => {
                    say::instead(&say::of(&what, which::lot()), &now, &before)
                }
                Step::Locked(before, now) => {
                    say::instead(&say::of(&what, which::locked()), &now, &before)
                }
            };
            self.tell(affects, items, sentence);
        }
    }
}

/// The same stacks: those in the same place, then those with the same on them.
fn pair_stacks(towers: &[Vec<Tower>; 2]) -> matching::Pairs {
    let keys = |all: &[Tower]| -> Vec<[String; 4]> {
        let keys = |tower: &Tower| {
            let place = figures(&tower.stack.at_mm);
            let marks: Vec<&str> = tower.floors.iter().map(|f| f.mark.as_str()).collect();
            let content = marks.join("\n\n");
            [format!("{place} {content}"), place, content, String::new()]
        };
        all.iter().map(keys).collect()
    };
    matching::by_keys(&keys(&towers[0]), &keys(&towers[1]))
}

/// Between 0 and 2, as [`matching::in_order`] wants it.
fn unlike(a: &Floor, b: &Floor) -> f64 {
    if a.mark == b.mark {
        return 0.0;
    }
    let share = |differs: bool, weight: f64| if differs { weight } else { 0.0 };
    let most = a.things.len().max(b.things.len());
    let content = if most == 0 {
        0.0
    } else {
        let common = |pick: fn(&Thing) -> String| {
            let mut counts: BTreeMap<String, i64> = BTreeMap::new();
            for thing in &a.things {
                *counts.entry(pick(thing)).or_default() += 1;
            }
            let mut n = 0;
            for thing in &b.things {
                if let Some(left) = counts.get_mut(&pick(thing)).filter(|left| **left > 0) {
                    *left -= 1;
                    n += 1;
                }
            }
            f64::from(n) / most as f64
        };
        1.0 - 0.6 * common(|t| t.mark.clone()) - 0.4 * common(|t| t.key.clone())
    };
    let carried = carrier_mark(&a.level.carrier) != carrier_mark(&b.level.carrier);
    0.05 + 1.2 * content + share(a.level.setter != b.level.setter, 0.4) + share(carried, 0.2)
}

/// What is the same, then of each kind the nearest.
fn pair_things(was: &[Thing], is: &[Thing]) -> matching::Pairs {
    let marks =
        |all: &[Thing]| -> Vec<[String; 1]> { all.iter().map(|t| [t.mark.clone()]).collect() };
    let mut out = matching::by_keys(&marks(was), &marks(is));
    let rest = |all: &[Thing], taken: Vec<usize>| -> BTreeMap<String, Vec<usize>> {
        let mut by_kind: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        for i in matching::alone(all.len(), taken.into_iter()) {
            by_kind.entry(all[i].key.clone()).or_default().push(i);
        }
        by_kind
    };
    let mine = rest(was, out.iter().map(|p| p.0).collect());
    let theirs = rest(is, out.iter().map(|p| p.1).collect());
    for (kind, mine) in mine {
        let Some(theirs) = theirs.get(&kind) else {
            continue;
        };
        let a: Vec<&Thing> = mine.iter().map(|i| &was[*i]).collect();
        let b: Vec<&Thing> = theirs.iter().map(|i| &is[*i]).collect();
        let cost = |a: &&Thing, b: &&Thing| {
            let (a, b) = (a.placement, b.placement);
            // Of two as near, the one turned less.
            let turn = (a.angle_deg - b.angle_deg).abs().min(360.0);
            Some(distance_mm(a.at_mm, b.at_mm) + 1e-6 * turn)
        };
        let pairs = matching::nearest(&a, &b, |t| t.mark.as_str(), cost);
        out.extend(pairs.into_iter().map(|(i, j)| (mine[i], theirs[j])));
    }
    out.sort_unstable();
    out
}

fn carrier_mark(carrier: &Carrier) -> String {
    match carrier {
        Carrier::Posts { post, at_mm } => format!("{post} {}", places(at_mm).join(" ")),
        other => format!("{other:?}"),
    }
}

fn places(at_mm: &[[f64; 2]]) -> Vec<String> {
    let mut all: Vec<String> = at_mm
        .iter()
        .map(|at| format!("({}, {})", short(at[0]), short(at[1])))
        .collect();
    all.sort();
    all
}

/// A figure in as few digits as say it.
fn short(value: f64) -> String {
    let text = figure(value);
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

fn carrier_words(carrier: &Carrier, catalogue: &Catalogue) -> String {
    match carrier {
        Carrier::Hearth => say::on_hearth(),
        Carrier::Posts { post, at_mm } => {
            let known = catalogue.post(post);
            let post = known.map_or(post.as_str(), |p| p.name.as_str());
            let at = say::with_unit(&places(at_mm).join(" "), Quantity::Length.unit());
            say::posts(at_mm.len(), post, &at)
        }
        Carrier::Rim => say::on_rim(),
        Carrier::Feet { height_mm } => {
            say::feet(&say::with_unit(&short(*height_mm), Quantity::Length.unit()))
        }
        Carrier::RackSlot(slot) => say::rack_slot(slot + 1),
    }
}

fn lot_name(plan: &Plan, item: &Item) -> String {
    match item {
        Item::Part { lot: Some(id), .. } => {
            plan.lot(*id).map_or_else(say::none, |lot| lot.name.clone())
        }
        _ => say::none(),
    }
}

fn moved(what: &str, was: [f64; 2], is: [f64; 2]) -> String {
    let far = show(Quantity::Length, distance_mm(was, is), 2);
    let unit = Quantity::Length.unit();
    let place = |at: [f64; 2]| say::with_unit(&format!("{}, {}", short(at[0]), short(at[1])), unit);
    say::moved(what, &far, &place(is), &place(was))
}

fn distance_mm(a: [f64; 2], b: [f64; 2]) -> f64 {
    libm::hypot(b[0] - a[0], b[1] - a[1])
}
