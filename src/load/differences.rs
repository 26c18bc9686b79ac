//! What was changed since a standard load, in words.
//!
//! Both plans carry the same numbers, since one began as the other: things are compared by number,
//! never by place. Lots, declarations, acceptances, the planned start, locks, the title and the
//! note are not the standard's to fix, so a difference in them is none.

use super::plan::{Carrier, Item, LevelId, Placement, PlacementId, Plan};
use crate::catalogue::Catalogue;
use crate::part::Part;
use crate::profile::{Profile, RampBy, Segment};
use crate::text::differences as say;
use crate::units::{Quantity, show};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// What a difference is in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Area {
    /// The furnace.
    Furnace,
    /// Stacks, levels, setters and what carries them.
    Levels,
    /// What stands on the setters.
    Placed,
    /// Part records: shape, feedstock, oversize.
    Parts,
    /// The thermal profile.
    Profile,
}

impl Area {
    /// Heading.
    pub fn name(self) -> String {
        match self {
            Area::Furnace => say::furnace_head(),
            Area::Levels => say::levels_head(),
            Area::Placed => say::placed_head(),
            Area::Parts => say::parts_head(),
            Area::Profile => say::profile_head(),
        }
    }
}

/// One difference.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference {
    /// In what.
    pub area: Area,
    /// In words.
    pub sentence: String,
}

/// What `plan` has otherwise than the standard it began as, area by area. `catalogue` gives the
/// names of records.
pub fn differences(standard: &Plan, plan: &Plan, catalogue: &Catalogue) -> Vec<Difference> {
    let areas = [
        (Area::Furnace, furnace(standard, plan, catalogue)),
        (Area::Levels, levels(standard, plan, catalogue)),
        (Area::Placed, placed(standard, plan)),
        (Area::Parts, parts(standard, plan, catalogue)),
        (
            Area::Profile,
            profile(&standard.profile, &plan.profile, catalogue),
        ),
    ];
    areas
        .into_iter()
        .flat_map(|(area, sentences)| {
            sentences
                .into_iter()
                .map(move |sentence| Difference { area, sentence })
        })
        .collect()
}

fn furnace(standard: &Plan, plan: &Plan, catalogue: &Catalogue) -> Vec<String> {
    let (was, is) = (&standard.load.furnace, &plan.load.furnace);
    if was == is {
        return Vec::new();
    }
    let name = |id: &str| {
        catalogue
            .furnace(id)
            .map_or_else(|| id.to_owned(), |f| f.name.clone())
    };
    vec![say::instead(&say::furnace_head(), &name(is), &name(was))]
}

fn levels(standard: &Plan, plan: &Plan, catalogue: &Catalogue) -> Vec<String> {
    let mut out = Vec::new();
    for (i, stack) in plan.load.stacks.iter().enumerate() {
        let name = say::stack(i + 1);
        match standard.load.stacks.iter().find(|s| s.id == stack.id) {
            None => out.push(say::added(&name)),
            Some(was) if was.at_mm != stack.at_mm => {
                out.push(say::moved(&name, &apart(was.at_mm, stack.at_mm)));
            }
            Some(_) => {}
        }
    }
    for (i, stack) in standard.load.stacks.iter().enumerate() {
        if plan.load.stacks.iter().all(|s| s.id != stack.id) {
            out.push(say::removed(&say::stack(i + 1)));
        }
    }
    let setter = |id: &str| {
        catalogue
            .setter(id)
            .map_or_else(|| id.to_owned(), |s| s.name.clone())
    };
    for (_, level) in plan.levels() {
        let name = capital(&plan.level_label(level.id));
        let Some((_, was)) = standard.level(level.id) else {
            out.push(say::added(&name));
            continue;
        };
        if was.setter != level.setter {
            out.push(say::instead(
                &name,
                &setter(&level.setter),
                &setter(&was.setter),
            ));
        }
        if was.carrier != level.carrier {
            out.push(carrier(&name, &was.carrier, &level.carrier, catalogue));
        }
    }
    for (_, level) in standard.levels() {
        if plan.level(level.id).is_none() {
            out.push(say::removed(&capital(&standard.level_label(level.id))));
        }
    }
    // The order of the levels that both have, stack by stack.
    let order = |of: &Plan, other: &Plan| -> Vec<(u32, LevelId)> {
        of.levels()
            .filter(|(_, l)| other.level(l.id).is_some())
            .map(|(s, l)| (s.id.0, l.id))
            .collect()
    };
    if order(plan, standard) != order(standard, plan) {
        out.push(say::reordered("Levels"));
    }
    out
}

fn carrier(name: &str, was: &Carrier, is: &Carrier, catalogue: &Catalogue) -> String {
    let words = |carrier: &Carrier| match carrier {
        Carrier::Hearth => say::on_hearth(),
        Carrier::Posts { post, at_mm } => {
            let post = catalogue
                .post(post)
                .map_or(post.as_str(), |p| p.name.as_str());
            say::several(at_mm.len(), post)
        }
        Carrier::Rim => say::on_rim(),
        Carrier::Feet { height_mm } => say::feet(&show(Quantity::Length, *height_mm, 1)),
        Carrier::RackSlot(slot) => say::rack_slot(slot + 1),
    };
    let (was, is) = (words(was), words(is));
    if was == is {
        return say::post_places(name);
    }
    say::instead(name, &is, &was)
}

/// What happened to one placement.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
enum Step {
    Removed,
    Added,
    Replaced(String),
    Level,
    Moved,
    Turned,
    Support,
}

fn placed(standard: &Plan, plan: &Plan) -> Vec<String> {
    let was: BTreeMap<PlacementId, (LevelId, &Placement)> = standard
        .placements()
        .map(|(l, p)| (p.id, (l.id, p)))
        .collect();
    let is: BTreeMap<PlacementId, (LevelId, &Placement)> =
        plan.placements().map(|(l, p)| (p.id, (l.id, p))).collect();
    // By what happened and the name of what it happened to: a row of brackets is one sentence.
    let mut steps: BTreeMap<(Step, String), Vec<PlacementId>> = BTreeMap::new();
    let mut note = |step: Step, name: String, id: PlacementId| {
        steps.entry((step, name)).or_default().push(id);
    };
    for (id, (_, p)) in &was {
        if !is.contains_key(id) {
            note(Step::Removed, standard.item_name(&p.item), *id);
        }
    }
    for (id, (level, p)) in &is {
        let name = plan.item_name(&p.item);
        let Some((old_level, old)) = was.get(id) else {
            note(Step::Added, name, *id);
            continue;
        };
        if !same_item(&old.item, &p.item) {
            note(
                Step::Replaced(standard.item_name(&old.item)),
                name.clone(),
                *id,
            );
        }
        if old_level != level {
            note(Step::Level, name.clone(), *id);
        } else if old.at_mm != p.at_mm {
            note(Step::Moved, name.clone(), *id);
        }
        if old.angle_deg != p.angle_deg {
            note(Step::Turned, name.clone(), *id);
        }
        if old.support != p.support {
            note(Step::Support, name, *id);
        }
    }
    let labels = [standard.placement_labels(), plan.placement_labels()];
    steps
        .into_iter()
        .map(|((step, name), ids)| {
            let labels = &labels[usize::from(step != Step::Removed)];
            let what = match ids.as_slice() {
                [one] => labels.get(one).cloned().unwrap_or(name),
                many => say::several(many.len(), &name),
            };
            match step {
                Step::Removed => say::removed(&what),
                Step::Added => say::added(&what),
                Step::Replaced(before) => say::replaced(&what, &before),
                Step::Turned => say::turned(&what),
                Step::Support => say::supported(&what),
                Step::Level => {
                    let to: BTreeSet<LevelId> = ids
                        .iter()
                        .filter_map(|id| is.get(id).map(|(l, _)| *l))
                        .collect();
                    match to.first() {
                        Some(one) if to.len() == 1 => say::to_level(&what, &plan.level_label(*one)),
                        _ => say::to_levels(&what),
                    }
                }
                Step::Moved => {
                    let far = ids
                        .iter()
                        .filter_map(|id| Some((was.get(id)?.1.at_mm, is.get(id)?.1.at_mm)))
                        .map(|(a, b)| distance_mm(a, b))
                        .fold(0.0, f64::max);
                    let far = show(Quantity::Length, far, 2);
                    match ids.len() {
                        1 => say::moved(&what, &far),
                        _ => say::moved_many(&what, &far),
                    }
                }
            }
        })
        .collect()
}

/// Alike but for the lot, which every load fills in anew.
fn same_item(a: &Item, b: &Item) -> bool {
    match (a, b) {
        (Item::Part { part: a, .. }, Item::Part { part: b, .. }) => a == b,
        _ => a == b,
    }
}

fn parts(standard: &Plan, plan: &Plan, catalogue: &Catalogue) -> Vec<String> {
    let mut out = Vec::new();
    for part in &plan.parts {
        match standard.part(part.id) {
            None => out.push(say::added(&say::part(&part.name))),
            Some(was) if Arc::ptr_eq(was, part) => {}
            Some(was) => part_changes(was, part, catalogue, &mut out),
        }
    }
    for part in &standard.parts {
        if plan.part(part.id).is_none() {
            out.push(say::removed(&say::part(&part.name)));
        }
    }
    out
}

fn part_changes(was: &Part, is: &Part, catalogue: &Catalogue, out: &mut Vec<String>) {
    let name = say::part(&is.name);
    let feedstock = |id: &str| {
        catalogue
            .feedstock(id)
            .map_or_else(|| id.to_owned(), |f| f.name.clone())
    };
    if was.name != is.name {
        out.push(say::instead(&name, &is.name, &was.name));
    }
    if was.feedstock != is.feedstock {
        out.push(say::instead(
            &name,
            &feedstock(&is.feedstock),
            &feedstock(&was.feedstock),
        ));
    }
    let length = |mm: Option<f64>| mm.map_or_else(say::none, |mm| show(Quantity::Length, mm, 2));
    if was.section_mm != is.section_mm {
        let what = say::stated_section(&name);
        out.push(say::instead(
            &what,
            &length(is.section_mm),
            &length(was.section_mm),
        ));
    }
    let others = [
        (
            "shape",
            was.shape != is.shape || (was.rest == is.rest && was.geometry != is.geometry),
        ),
        ("size at which it is drawn", was.drawn != is.drawn),
        ("resting pose", was.rest != is.rest),
        ("infill", was.infill != is.infill),
        (
            "oversize factors",
            was.made_with_oversize != is.made_with_oversize,
        ),
        ("weighed mass", was.weighed != is.weighed),
        (
            "place in the work zone",
            was.work_zone_only != is.work_zone_only,
        ),
    ];
    out.extend(
        others
            .iter()
            .filter(|o| o.1)
            .map(|(which, _)| say::changed(&name, which)),
    );
}

fn profile(was: &Profile, is: &Profile, catalogue: &Catalogue) -> Vec<String> {
    let mut out = Vec::new();
    let celsius = |c: f64| show(Quantity::Temperature, c, 0);
    if was.name != is.name {
        out.push(say::instead("Name", &is.name, &was.name));
    }
    if was.revision != is.revision {
        out.push(say::instead("Revision", &is.revision, &was.revision));
    }
    if was.start_c != is.start_c {
        out.push(say::instead(
            "Start",
            &celsius(is.start_c),
            &celsius(was.start_c),
        ));
    }
    if was.unload_c != is.unload_c {
        out.push(say::instead(
            "Unload at",
            &celsius(is.unload_c),
            &celsius(was.unload_c),
        ));
    }
    for (i, segment) in is.segments.iter().enumerate() {
        let name = say::segment(i + 1);
        match was.segments.iter().find(|s| s.id == segment.id) {
            None => out.push(say::added(&name)),
            Some(old) => segment_changes(&name, old, segment, catalogue, &mut out),
        }
    }
    for (i, segment) in was.segments.iter().enumerate() {
        if is.segments.iter().all(|s| s.id != segment.id) {
            out.push(say::removed(&say::segment(i + 1)));
        }
    }
    let order = |of: &Profile, other: &Profile| -> Vec<u32> {
        let both = |s: &&Segment| other.segments.iter().any(|o| o.id == s.id);
        of.segments.iter().filter(both).map(|s| s.id.0).collect()
    };
    if order(is, was) != order(was, is) {
        out.push(say::reordered("Segments"));
    }
    out
}

fn segment_changes(
    name: &str,
    was: &Segment,
    is: &Segment,
    catalogue: &Catalogue,
    out: &mut Vec<String>,
) {
    let ramp = |ramp: RampBy| match ramp {
        RampBy::Rate { k_min } => show(Quantity::Rate, k_min, 2),
        RampBy::Time { min } => say::in_time(&show(Quantity::Time, min, 0)),
        RampBy::FullRate => say::full_rate(),
    };
    let gas = |id: &Option<String>| match id {
        None => say::vacuum(),
        Some(id) => catalogue
            .gas(id)
            .map_or_else(|| id.clone(), |g| g.name.clone()),
    };
    let pressure = |mbar: Option<f64>| {
        mbar.map_or_else(say::not_controlled, |p| show(Quantity::Pressure, p, 3))
    };
    let mut tell = |what: &str, differs: bool, now: String, before: String| {
        if differs {
            out.push(say::instead(&format!("{name}, {what}"), &now, &before));
        }
    };
    let celsius = |c: f64| show(Quantity::Temperature, c, 0);
    let minutes = |min: f64| show(Quantity::Time, min, 0);
    let flow = |l: f64| show(Quantity::Flow, l, 2);
    tell(
        "target",
        was.to_c != is.to_c,
        celsius(is.to_c),
        celsius(was.to_c),
    );
    tell("ramp", was.ramp != is.ramp, ramp(is.ramp), ramp(was.ramp));
    tell(
        "hold",
        was.hold_min != is.hold_min,
        minutes(is.hold_min),
        minutes(was.hold_min),
    );
    tell("gas", was.gas != is.gas, gas(&is.gas), gas(&was.gas));
    let flows = (was.flow_l_min_25c, is.flow_l_min_25c);
    tell("sweep", flows.0 != flows.1, flow(flows.1), flow(flows.0));
    let pressures = (was.pressure_mbar, is.pressure_mbar);
    tell(
        "pressure",
        pressures.0 != pressures.1,
        pressure(pressures.1),
        pressure(pressures.0),
    );
    let others = [
        ("guaranteed soak", was.wait_on != is.wait_on),
        ("events", was.events != is.events),
        ("note", was.note != is.note),
    ];
    out.extend(
        others
            .iter()
            .filter(|o| o.1)
            .map(|(which, _)| say::changed(name, which)),
    );
}

fn distance_mm(a: [f64; 2], b: [f64; 2]) -> f64 {
    libm::hypot(b[0] - a[0], b[1] - a[1])
}

fn apart(a: [f64; 2], b: [f64; 2]) -> String {
    show(Quantity::Length, distance_mm(a, b), 2)
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(chars).collect()
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::builtin;
    use crate::load::{Edit, Level, Lot, LotId, Move, Stack, StackId};
    use crate::part::{Drawn, MassState, PartId, Shape, measure_typed};
    use crate::profile::SegmentId;

    fn segment(id: u32, to_c: f64) -> Segment {
        Segment {
            id: SegmentId(id),
            ramp: RampBy::Rate { k_min: 5.0 },
            to_c,
            hold_min: 60.0,
            wait_on: None,
            gas: None,
            flow_l_min_25c: 0.0,
            pressure_mbar: None,
            events: Vec::new(),
            note: String::new(),
        }
    }

    fn piece(id: u32, x_mm: f64) -> Placement {
        Placement {
            id: PlacementId(id),
            item: Item::Part {
                part: PartId(3),
                lot: None,
            },
            at_mm: [x_mm, 0.0],
            angle_deg: 0.0,
            support: None,
            locked: false,
        }
    }

    fn standard() -> Plan {
        let profile = Profile {
            name: "slow".to_owned(),
            revision: "A".to_owned(),
            start_c: 20.0,
            segments: vec![segment(1, 600.0), segment(2, 1360.0)],
            unload_c: 60.0,
        };
        let shape = Shape::Block {
            width_mm: 20.0,
            depth_mm: 12.0,
            height_mm: 9.0,
        };
        let part = Part {
            id: PartId(3),
            name: "Bracket".to_owned(),
            feedstock: "316l-wax".to_owned(),
            geometry: Arc::new(measure_typed(&shape).unwrap()),
            shape,
            drawn: Drawn::Final,
            made_with_oversize: None,
            weighed: None,
            section_mm: None,
            rest: Default::default(),
            infill: Default::default(),
            keep_off: Vec::new(),
            approved_rest: None,
            work_zone_only: false,
        };
        let mut plan = Plan::new("Brackets", "small-vacuum-box", profile);
        let level = |id, placements| {
            Arc::new(Level {
                id: LevelId(id),
                setter: "alumina-square-150x5".to_owned(),
                carrier: Carrier::Hearth,
                placements,
            })
        };
        plan.parts = vec![Arc::new(part)];
        let row = vec![piece(10, -40.0), piece(11, 0.0), piece(12, 40.0)];
        let levels = vec![level(5, row), level(6, Vec::new())];
        plan.load.stacks = vec![Stack {
            id: StackId(9),
            at_mm: [0.0, 0.0],
            levels,
        }];
        plan.next_id = 20;
        plan
    }

    fn after(edits: &[Edit]) -> Vec<(Area, String)> {
        let catalogue = builtin().unwrap().0;
        let standard = standard();
        let plan = edits.iter().fold(standard.clone(), |plan, edit| {
            edit.apply(&plan, &catalogue).unwrap()
        });
        let found = differences(&standard, &plan, &catalogue);
        found.into_iter().map(|d| (d.area, d.sentence)).collect()
    }

    fn to(id: u32, level: u32, at_mm: [f64; 2]) -> Move {
        Move {
            id: PlacementId(id),
            level: LevelId(level),
            at_mm,
            angle_deg: 0.0,
        }
    }

    #[test]
    fn what_every_load_fills_in_anew_is_no_difference() {
        let lot = Lot {
            id: LotId(20),
            name: "L1".to_owned(),
            part: PartId(3),
            count: 3,
            enters: MassState::Dry,
            customer: None,
            green_g: Some(40.0),
            dry_g: None,
            previous_dry_g: None,
            dried_min: None,
            ..Lot::default()
        };
        let ids = vec![PlacementId(10), PlacementId(11)];
        let found = after(&[
            Edit::SetTitle("Monday".to_owned()),
            Edit::SetPlannedStart(Some("2027-03-15".to_owned())),
            Edit::AddLot(lot),
            Edit::SetLot {
                ids: ids.clone(),
                lot: Some(LotId(20)),
            },
            Edit::SetLocked { ids, locked: true },
        ]);
        assert_eq!(found, []);
    }

    #[test]
    fn moves_are_said_once_a_name_with_the_farthest() {
        // 3-4-5 triangle: 5 mm.
        let one = after(&[Edit::MovePlacements(vec![to(11, 5, [3.0, 4.0])])]);
        assert_eq!(
            one,
            [(Area::Placed, "Bracket 2 moved by 5.00\u{a0}mm".to_owned())]
        );
        let two = vec![to(11, 5, [3.0, 4.0]), to(12, 5, [41.0, 0.0])];
        let two = after(&[Edit::MovePlacements(two)]);
        let sentence = "2 × Bracket moved, by 5.00\u{a0}mm at most".to_owned();
        assert_eq!(two, [(Area::Placed, sentence)]);
        let up = after(&[Edit::MovePlacements(vec![to(10, 6, [0.0, 0.0])])]);
        assert!(up[0].1.ends_with("now on level 2"), "{up:?}");
    }

    #[test]
    fn added_and_removed_are_told_apart() {
        let found = after(&[
            Edit::RemovePlacements(vec![PlacementId(12)]),
            Edit::Place {
                level: LevelId(6),
                placements: vec![piece(20, 0.0), piece(21, 30.0)],
            },
        ]);
        let sentences: Vec<&str> = found.iter().map(|(_, s)| s.as_str()).collect();
        assert_eq!(sentences, ["Bracket 3 removed", "2 × Bracket added"]);
    }

    #[test]
    fn levels_and_furnace_are_named() {
        let carrier = Carrier::Feet { height_mm: 10.0 };
        let setter = "alumina-square-100x4".to_owned();
        let found = after(&[
            Edit::ChangeLevel {
                id: LevelId(5),
                setter,
                carrier,
            },
            Edit::RemoveLevel(LevelId(6)),
        ]);
        assert_eq!(found.len(), 3, "{found:?}");
        assert!(found.iter().all(|(area, _)| *area == Area::Levels));
        assert!(
            found[1]
                .1
                .contains("feet of 10.0\u{a0}mm instead of on the hearth"),
            "{found:?}"
        );
        assert_eq!(found[2].1, "Level 2 removed");
        let moved = after(&[Edit::MoveLevel {
            id: LevelId(6),
            stack: StackId(9),
            index: 0,
        }]);
        assert_eq!(
            moved,
            [(Area::Levels, "Levels in another order".to_owned())]
        );
    }

    #[test]
    fn segments_are_compared_by_number_not_by_place() {
        let changed = Segment {
            hold_min: 90.0,
            gas: Some("argon".to_owned()),
            ..segment(2, 1340.0)
        };
        let found = after(&[
            Edit::AddSegment {
                index: 0,
                segment: segment(20, 200.0),
            },
            Edit::ChangeSegment(changed),
        ]);
        let sentences: Vec<&str> = found.iter().map(|(_, s)| s.as_str()).collect();
        assert_eq!(sentences[0], "Segment 1 added");
        let target = "Segment 3, target: 1340\u{a0}°C instead of 1360\u{a0}°C";
        assert_eq!(sentences[1], target);
        assert!(
            sentences[2].starts_with("Segment 3, hold: "),
            "{sentences:?}"
        );
        assert!(sentences[3].starts_with("Segment 3, gas: ") && sentences[3].contains("vacuum"));
        assert_eq!(sentences.len(), 4);
    }

    #[test]
    fn another_feedstock_is_said() {
        let mut part = (*standard().parts[0]).clone();
        part.feedstock = "17-4ph-wax".to_owned();
        let found = after(&[Edit::ChangePart(Box::new(part))]);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].0, Area::Parts);
        assert!(found[0].1.starts_with("Part Bracket: ") && found[0].1.contains("instead of"));
    }
}
