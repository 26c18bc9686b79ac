//! What clearances and tally read: each case changes one thing that they read, in a load where it
//! shows, and the kept results have to notice.

use crate::document_fixture::{FURNACE, catalogue, furnace, part, place, plan};
use setterwright::catalogue::{Catalogue, SetterShape, Space, SupportKind};
use setterwright::document::Derived;
use setterwright::load::{
    Caps, Carrier, Clearances, Item, Level, LevelId, Lot, LotId, Placement, PlacementId, Plan,
    Sizes, Tally, clearances, tally,
};
use setterwright::part::{Drawn, MassState, Part, PartId, Shape, Weighed};
use std::sync::Arc;

const POST: &str = "alumina-post-12x30";
const SQUARE: &str = "alumina-square-150x5";
const TRAY: &str = "zirconia-tray-150x6-rim-20";
const RAFT: &str = "own-feedstock-raft-2";

/// So wide that every gap is told.
const WIDE: Caps = Caps {
    gap_mm: 60.0,
    edge_mm: 400.0,
    head_mm: 400.0,
    roof_mm: 400.0,
    sensor_mm: 400.0,
    zone_mm: 400.0,
};

/// The fixture with one of everything: a lot, supports, a coupon, a dummy, a sensor and a rim.
fn rich() -> Plan {
    let mut plan = plan();
    plan.lots.push(Arc::new(Lot {
        id: LotId(30),
        name: "A7".to_owned(),
        part: PartId(3),
        count: 8,
        enters: MassState::Dry,
        customer: None,
        green_g: Some(500.0),
        dry_g: Some(485.0),
        previous_dry_g: None,
        dried_min: None,
        ..Lot::default()
    }));
    at(&mut plan, 10).support = Some(RAFT.to_owned());
    at(&mut plan, 10).item = Item::Part {
        part: PartId(3),
        lot: Some(LotId(30)),
    };
    let shape = Shape::Disc {
        diameter_mm: 18.0,
        height_mm: 14.0,
    };
    let items = [
        Item::Dummy {
            shape,
            mass_g: 30.0,
            material: "alumina-995".to_owned(),
        },
        Item::Sensor {
            sensor: "load-1".to_owned(),
            height_mm: 8.0,
        },
        Item::Coupon {
            part: PartId(3),
            label: "W1".to_owned(),
        },
    ];
    let second = level(&mut plan, 8);
    second.setter = TRAY.to_owned();
    for (i, item) in items.into_iter().enumerate() {
        let place = place(31 + i as u32, 0, [-40.0 + 30.0 * i as f64, -30.0]);
        second.placements.push(Placement { item, ..place });
    }
    plan.load.stacks[1].levels.push(Arc::new(Level {
        id: LevelId(40),
        setter: SQUARE.to_owned(),
        carrier: Carrier::Rim,
        placements: vec![place(41, 4, [0.0, 0.0])],
    }));
    plan.next_id = 50;
    plan
}

fn level(plan: &mut Plan, id: u32) -> &mut Level {
    let mut levels = plan.load.stacks.iter_mut().flat_map(|s| &mut s.levels);
    Arc::make_mut(levels.find(|l| l.id == LevelId(id)).unwrap())
}

fn at(plan: &mut Plan, id: u32) -> &mut Placement {
    let levels = plan.load.stacks.iter_mut().flat_map(|s| &mut s.levels);
    let mut all = levels.flat_map(|l| &mut Arc::make_mut(l).placements);
    all.find(|p| p.id == PlacementId(id)).unwrap()
}

fn record(plan: &mut Plan, i: usize) -> &mut Part {
    Arc::make_mut(&mut plan.parts[i])
}

fn lot(plan: &mut Plan) -> &mut Lot {
    Arc::make_mut(&mut plan.lots[0])
}

type Results = (Clearances, Tally);

fn from_scratch(plan: &Plan, catalogue: &Catalogue, caps: &Caps) -> Results {
    let furnace = furnace(catalogue);
    let sizes = Sizes::new(plan, catalogue);
    let clearances = clearances(plan, catalogue, furnace, &sizes, caps);
    (clearances, tally(plan, catalogue, Some(furnace), &sizes))
}

fn kept(derived: &mut Derived, plan: &Plan, catalogue: &Catalogue, caps: &Caps) -> Results {
    let furnace = furnace(catalogue);
    let clearances = derived.clearances(plan, catalogue, furnace, caps);
    let tally = derived.tally(plan, catalogue, Some(furnace));
    ((*clearances).clone(), (*tally).clone())
}

/// Warm with the rich plan, then asked for the changed one.
fn assert_noticed(what: &str, plan: &Plan, catalogue: &Catalogue, caps: &Caps) {
    let (first, start) = (rich(), self::catalogue());
    let mut derived = Derived::default();
    let before = kept(&mut derived, &first, &start, &WIDE);
    assert_eq!(before, from_scratch(&first, &start, &WIDE));
    let after = from_scratch(plan, catalogue, caps);
    // Without the values: they are pages long.
    assert!(before != after, "{what} changes nothing: the case is none");
    assert!(
        kept(&mut derived, plan, catalogue, caps) == after,
        "{what} went unnoticed"
    );
}

macro_rules! change {
    ($catalogue:ident.$table:ident[$id:expr]) => {
        Arc::make_mut(&mut $catalogue.$table.get_mut($id).unwrap().1)
    };
}

#[test]
fn a_change_of_a_record_is_noticed() {
    type Case = (&'static str, fn(&mut Catalogue));
    let cases: [Case; 36] = [
        ("thickness", |c| {
            change!(c.setters[SQUARE]).thickness_mm += 1.0
        }),
        ("setter mass", |c| change!(c.setters[SQUARE]).mass_g += 10.0),
        ("setter shape", |c| {
            change!(c.setters[SQUARE]).shape = SetterShape::Disc { diameter_mm: 150.0 };
        }),
        ("rim height", |c| {
            change!(c.setters[TRAY]).rim.as_mut().unwrap().height_mm += 1.0
        }),
        ("rim width", |c| {
            change!(c.setters[TRAY]).rim.as_mut().unwrap().width_mm += 1.0
        }),
        ("setter material", |c| {
            change!(c.setters[SQUARE]).material = "silicon-carbide".to_owned();
        }),
        ("setter gone", |c| drop(c.setters.remove(SQUARE))),
        ("post length", |c| change!(c.posts[POST]).length_mm += 1.0),
        ("post diameter", |c| {
            change!(c.posts[POST]).diameter_mm += 1.0
        }),
        ("post mass", |c| change!(c.posts[POST]).mass_g += 1.0),
        ("post material", |c| {
            change!(c.posts[POST]).material = "silicon-carbide".to_owned()
        }),
        ("post gone", |c| drop(c.posts.remove(POST))),
        ("support height", |c| {
            change!(c.supports[RAFT]).height_mm += 1.0
        }),
        ("support margin", |c| {
            change!(c.supports[RAFT]).margin_mm += 1.0
        }),
        ("support mass", |c| {
            change!(c.supports[RAFT]).mass_g_cm2 += 1.0
        }),
        ("support kind", |c| {
            change!(c.supports[RAFT]).kind = SupportKind::Powder
        }),
        ("support gone", |c| drop(c.supports.remove(RAFT))),
        ("ceramic's expansion", |c| {
            change!(c.materials["alumina-995"]).expansion_per_k *= 1.1
        }),
        ("tray's expansion", |c| {
            change!(c.materials["zirconia-porous"]).expansion_per_k *= 1.1;
        }),
        ("material gone", |c| drop(c.materials.remove("alumina-995"))),
        ("oversize", |c| {
            change!(c.feedstocks["316l-wax"]).oversize[1] += 0.01
        }),
        ("start of shrinking", |c| {
            change!(c.feedstocks["316l-wax"]).shrink_start_c -= 50.0
        }),
        ("loading", |c| {
            change!(c.feedstocks["316l-wax"]).loading -= 0.01
        }),
        ("extraction target", |c| {
            change!(c.feedstocks["17-4ph-wax"]).extraction_target = Some(0.5);
        }),
        ("alloy of a feedstock", |c| {
            change!(c.feedstocks["316l-wax"]).alloy = "17-4ph".to_owned();
        }),
        ("feedstock gone", |c| drop(c.feedstocks.remove("316l-wax"))),
        ("alloy density", |c| {
            change!(c.alloys["316l"]).density_g_cm3 += 0.1
        }),
        ("alloy expansion", |c| {
            change!(c.alloys["316l"]).expansion_per_k *= 1.1
        }),
        ("binder", |c| {
            let id = c.feedstock("316l-wax").unwrap().binder.clone();
            change!(c.binders[&id]).components[0].density_g_cm3 += 0.1;
        }),
        ("first step", |c| {
            let id = c.feedstock("316l-wax").unwrap().binder.clone();
            let components = &mut change!(c.binders[&id]).components;
            components
                .iter_mut()
                .for_each(|c| c.first_step = !c.first_step);
        }),
        ("hot zone", |c| {
            change!(c.furnaces[FURNACE]).hot_zone = Space::Cylinder {
                diameter_mm: 350.0,
                z0_mm: 0.0,
                z1_mm: 345.0,
            };
        }),
        ("work zone", |c| {
            change!(c.furnaces[FURNACE]).work_zone = Space::Cylinder {
                diameter_mm: 300.0,
                z0_mm: 0.0,
                z1_mm: 300.0,
            };
        }),
        ("forbidden spot", |c| {
            change!(c.furnaces[FURNACE]).forbidden[0].radius_mm = 120.0
        }),
        ("fixed thermocouple", |c| {
            change!(c.furnaces[FURNACE]).sensors[0].at_mm = Some([0.0, 60.0, 170.0]);
        }),
        ("name of a thermocouple", |c| {
            change!(c.furnaces[FURNACE]).sensors[0].id = "control-2".to_owned();
        }),
        ("mass rating", |c| {
            change!(c.furnaces[FURNACE]).mass_rating_kg += 1.0
        }),
    ];
    for (what, change) in cases {
        let mut changed = (*catalogue()).clone();
        change(&mut changed);
        assert_noticed(what, &rich(), &changed, &WIDE);
    }
}

#[test]
fn a_change_of_the_plan_is_noticed() {
    type Case = (&'static str, fn(&mut Plan));
    let cases: [Case; 31] = [
        ("place", |p| at(p, 10).at_mm[0] += 1.0),
        ("turn", |p| at(p, 10).angle_deg = 10.0),
        ("support", |p| at(p, 10).support = None),
        ("other support", |p| {
            at(p, 10).support = Some("alumina-sheet-0.5".to_owned())
        }),
        ("a second support", |p| {
            at(p, 12).support = Some(RAFT.to_owned())
        }),
        ("coupon of another part", |p| {
            at(p, 33).item = Item::Coupon {
                part: PartId(4),
                label: "W1".to_owned(),
            };
        }),
        ("number of a thing", |p| at(p, 10).id = PlacementId(45)),
        ("parts change places", |p| {
            let [a, b] = [at(p, 13).item.clone(), at(p, 14).item.clone()];
            at(p, 13).item = b;
            at(p, 14).item = a;
        }),
        ("lot taken off", |p| {
            at(p, 10).item = Item::Part {
                part: PartId(3),
                lot: None,
            };
        }),
        ("coupon for a part", |p| {
            at(p, 33).item = Item::Part {
                part: PartId(3),
                lot: None,
            };
        }),
        ("dummy's shape", |p| {
            if let Item::Dummy { shape, .. } = &mut at(p, 31).item {
                *shape = Shape::Disc {
                    diameter_mm: 20.0,
                    height_mm: 14.0,
                };
            }
        }),
        ("dummy's mass", |p| {
            if let Item::Dummy { mass_g, .. } = &mut at(p, 31).item {
                *mass_g = 40.0;
            }
        }),
        ("dummy's material", |p| {
            if let Item::Dummy { material, .. } = &mut at(p, 31).item {
                *material = "zirconia-porous".to_owned();
            }
        }),
        ("height of a tip", |p| {
            if let Item::Sensor { height_mm, .. } = &mut at(p, 32).item {
                *height_mm = 9.0;
            }
        }),
        ("lot's state", |p| lot(p).enters = MassState::Green),
        ("lot's green mass", |p| lot(p).green_g = Some(501.0)),
        ("lot's dry mass", |p| lot(p).dry_g = Some(484.0)),
        ("weighed", |p| {
            record(p, 0).weighed = Some(Weighed {
                state: MassState::Green,
                mass_g: 15.0,
            });
        }),
        ("drawn", |p| record(p, 0).drawn = Drawn::Green),
        ("feedstock", |p| {
            record(p, 0).feedstock = "17-4ph-wax".to_owned()
        }),
        ("shape", |p| {
            let shape = Shape::Block {
                width_mm: 20.0,
                depth_mm: 12.0,
                height_mm: 10.0,
            };
            record(p, 0).geometry = part(3, "Bracket", "316l-wax", shape).geometry;
        }),
        ("peak", |p| {
            Arc::make_mut(&mut p.profile).segments[1].to_c = 1300.0
        }),
        ("setter", |p| {
            level(p, 7).setter = "alumina-square-100x4".to_owned()
        }),
        ("one post less", |p| {
            if let Carrier::Posts { at_mm, .. } = &mut level(p, 7).carrier {
                at_mm.pop();
            }
        }),
        ("a post moved", |p| {
            if let Carrier::Posts { at_mm, .. } = &mut level(p, 7).carrier {
                at_mm[3] = [-60.0, 65.0];
            }
        }),
        ("feet", |p| {
            level(p, 7).carrier = Carrier::Feet { height_mm: 40.0 }
        }),
        ("no such slot", |p| {
            level(p, 7).carrier = Carrier::RackSlot(0)
        }),
        ("number of a level", |p| level(p, 7).id = LevelId(46)),
        ("stack moved", |p| p.load.stacks[0].at_mm[1] = 3.0),
        ("stacks change places", |p| p.load.stacks.swap(0, 1)),
        ("level to the other stack", |p| {
            let level = p.load.stacks[0].levels.pop().unwrap();
            p.load.stacks[1].levels.push(level);
        }),
    ];
    for (what, change) in cases {
        let mut changed = rich();
        change(&mut changed);
        assert_noticed(what, &changed, &catalogue(), &WIDE);
    }
}

#[test]
fn other_caps_are_noticed() {
    let narrow = |change: fn(&mut Caps)| {
        let mut caps = WIDE;
        change(&mut caps);
        caps
    };
    let cases = [
        ("gap", narrow(|c| c.gap_mm = 9.0)),
        ("edge", narrow(|c| c.edge_mm = 30.0)),
        ("head", narrow(|c| c.head_mm = 10.0)),
        ("roof", narrow(|c| c.roof_mm = 10.0)),
        ("sensor", narrow(|c| c.sensor_mm = 10.0)),
        ("zone", narrow(|c| c.zone_mm = 20.0)),
    ];
    for (what, caps) in cases {
        assert_noticed(what, &rich(), &catalogue(), &caps);
    }
}

#[test]
fn what_is_not_read_makes_nothing_anew() {
    let cases: [fn(&mut Plan); 7] = [
        |p| p.note = "night shift".to_owned(),
        |p| p.title = "Rings".to_owned(),
        |p| at(p, 10).locked = true,
        |p| record(p, 0).name = "Clamp".to_owned(),
        |p| lot(p).name = "A8".to_owned(),
        |p| lot(p).dried_min = Some(60.0),
        |p| Arc::make_mut(&mut p.profile).segments[1].hold_min = 90.0,
    ];
    let catalogue = catalogue();
    for (i, change) in cases.into_iter().enumerate() {
        let mut derived = Derived::default();
        let before = kept(&mut derived, &rich(), &catalogue, &WIDE);
        let made = derived.made();
        let mut changed = rich();
        change(&mut changed);
        assert_eq!(kept(&mut derived, &changed, &catalogue, &WIDE), before);
        assert_eq!(derived.made(), made, "case {i}");
    }
}
