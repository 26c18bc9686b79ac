//! A small plan without a stop or a caution of the families debind, profile, atmosphere, mixing
//! and safety, and a bench to bend it.

use setterwright::catalogue::{Catalogue, Kind, ShopState, builtin};
use setterwright::load::{
    Carrier, Item, Level, LevelId, Lot, LotId, PartRecords, Placement, PlacementId, Plan, Stack,
    StackId,
};
use setterwright::part::{Drawn, MassState, Part, PartId, Shape, measure_typed};
use setterwright::profile::{
    Event, EventAt, EventKind, OnLeave, Profile, RampBy, Segment, SegmentId, WaitFor, WaitOn,
};
use setterwright::review::{Finding, Given, Missing, Review, review};
use std::sync::Arc;

/// A plan with the catalogue and the shop that judge it.
#[derive(Clone)]
pub struct Bench {
    pub plan: Plan,
    pub catalogue: Catalogue,
    pub shop: Option<ShopState>,
}

pub fn segment(id: u32, k_min: f64, to_c: f64, hold_min: f64) -> Segment {
    Segment {
        id: SegmentId(id),
        ramp: RampBy::Rate { k_min },
        to_c,
        hold_min,
        wait_on: None,
        gas: Some("argon".to_owned()),
        flow_l_min_25c: 10.0,
        pressure_mbar: Some(50.0),
        events: Vec::new(),
        note: String::new(),
    }
}

pub fn wait() -> WaitOn {
    WaitOn {
        on: WaitFor::AllLoad,
        band_k: 5.0,
        on_ramp: false,
        on_hold: true,
        on_leave: OnLeave::Pause,
        timeout_min: Some(60.0),
    }
}

pub fn event(kind: EventKind) -> Event {
    Event {
        at: EventAt::Start,
        kind,
    }
}

/// A block drawn at final size.
pub fn part(id: u32, feedstock: &str, size_mm: [f64; 3]) -> Part {
    let shape = Shape::Block {
        width_mm: size_mm[0],
        depth_mm: size_mm[1],
        height_mm: size_mm[2],
    };
    Part {
        id: PartId(id),
        name: format!("Bracket {id}"),
        feedstock: feedstock.to_owned(),
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
    }
}

/// A lot of eight, dry, with 92 % of the first-step binder out.
pub fn lot(id: u32, part: &Part, catalogue: &Catalogue) -> Lot {
    let masses = PartRecords::new(part, catalogue)
        .unwrap()
        .masses(0.92)
        .unwrap();
    let dry_g = 8.0 * masses.dry_g;
    Lot {
        id: LotId(id),
        name: format!("L{id}"),
        part: part.id,
        count: 8,
        enters: MassState::Dry,
        customer: None,
        green_g: Some(8.0 * masses.green_g),
        dry_g: Some(dry_g),
        previous_dry_g: Some(1.0002 * dry_g),
        dried_min: Some(180.0),
        dryer_c: Some(60.0),
        feedstock_expires: Some("2027-06-30".to_owned()),
        balance: Some("balance-1".to_owned()),
        bath: Some(crate::fixture::bath("2026-11-23 08:00")),
        ..Lot::default()
    }
}

/// 316L brackets on one plate in the small vacuum box under argon.
pub fn clean() -> Bench {
    let (catalogue, shop) = builtin().unwrap();
    let catalogue = Catalogue::clone(&catalogue);
    let mut first = segment(1, 5.0, 150.0, 0.0);
    first.events = vec![
        event(EventKind::PumpDown { to_mbar: 1.0 }),
        event(EventKind::Backfill {
            gas: "argon".to_owned(),
            to_mbar: 50.0,
        }),
    ];
    let mut peak = segment(5, 5.0, 1360.0, 120.0);
    peak.wait_on = Some(wait());
    let profile = Profile {
        name: "316L".to_owned(),
        revision: "A".to_owned(),
        start_c: 20.0,
        segments: vec![
            first,
            segment(2, 1.0, 300.0, 60.0),
            segment(3, 1.0, 450.0, 90.0),
            segment(4, 5.0, 1000.0, 60.0),
            peak,
            segment(6, 5.0, 400.0, 0.0),
            Segment {
                pressure_mbar: Some(1000.0),
                ..segment(7, 1.0, 60.0, 0.0)
            },
        ],
        unload_c: 60.0,
        approval: None,
    };
    let mut plan = Plan::new("Clean", "small-vacuum-box", profile);
    plan.planned_start = Some("2026-11-24".to_owned());
    plan.planned_start_time = Some("06:00".to_owned());
    plan.declarations = crate::fixture::all_declared("1380 °C", "2026-11-24");
    let mut bench = Bench {
        plan,
        catalogue,
        shop: Some(ShopState::clone(&shop)),
    };
    bench.add_part("316l-wax", [20.0, 12.0, 2.5]);
    bench.add_tips();
    bench
}

/// The same in hydrogen in the retort, with purges and a burn-off flame.
pub fn clean_hydrogen() -> Bench {
    let mut bench = clean();
    bench.plan.load.furnace = "mid-hydrogen-retort".to_owned();
    bench.shop_mut().furnaces[1].last_alloy = Some("316l".to_owned());
    bench.profile(|profile| {
        for segment in &mut profile.segments {
            segment.gas = Some("hydrogen".to_owned());
            segment.pressure_mbar = None;
        }
        let pump = || event(EventKind::PumpDown { to_mbar: 10.0 });
        let fill = || {
            event(EventKind::Backfill {
                gas: "argon".to_owned(),
                to_mbar: 1000.0,
            })
        };
        profile.segments[0].events = vec![
            pump(),
            fill(),
            pump(),
            fill(),
            event(EventKind::BurnOffOn),
            event(EventKind::HydrogenOn),
        ];
        profile.segments[6].events = vec![
            event(EventKind::HydrogenOff),
            event(EventKind::BurnOffOff),
            event(EventKind::PurgeInert { volumes: 10.0 }),
        ];
        profile.segments[6].gas = Some("argon".to_owned());
    });
    bench
}

impl Bench {
    pub fn profile(&mut self, change: impl FnOnce(&mut Profile)) {
        change(Arc::make_mut(&mut self.plan.profile));
    }

    /// Changes one segment, counted from 1.
    pub fn segment(&mut self, number: usize, change: impl FnOnce(&mut Segment)) {
        self.profile(|p| change(&mut p.segments[number - 1]));
    }

    /// Changes the first lot.
    pub fn lot(&mut self, change: impl FnOnce(&mut Lot)) {
        change(Arc::make_mut(&mut self.plan.lots[0]));
    }

    /// Changes the first part record.
    pub fn part(&mut self, change: impl FnOnce(&mut Part)) {
        change(Arc::make_mut(&mut self.plan.parts[0]));
    }

    pub fn shop_mut(&mut self) -> &mut ShopState {
        self.shop.as_mut().unwrap()
    }

    pub fn feedstock(
        &mut self,
        id: &str,
        change: impl FnOnce(&mut setterwright::catalogue::Feedstock),
    ) {
        change(Arc::make_mut(
            &mut self.catalogue.feedstocks.get_mut(id).unwrap().1,
        ));
    }

    pub fn alloy(&mut self, id: &str, change: impl FnOnce(&mut setterwright::catalogue::Alloy)) {
        change(Arc::make_mut(
            &mut self.catalogue.alloys.get_mut(id).unwrap().1,
        ));
    }

    pub fn furnace(&mut self, change: impl FnOnce(&mut setterwright::catalogue::Furnace)) {
        let id = &self.plan.load.furnace;
        change(Arc::make_mut(
            &mut self.catalogue.furnaces.get_mut(id).unwrap().1,
        ));
    }

    /// Takes a limit away.
    pub fn without_limit(&mut self, id: &str) {
        let before = self.catalogue.limits.len();
        self.catalogue.limits.retain(|l| l.id != id);
        assert!(self.catalogue.limits.len() < before, "no limit {id}");
    }

    /// Eight more pieces, with their lot, on a plate of their own.
    pub fn add_part(&mut self, feedstock: &str, size_mm: [f64; 3]) {
        assert!(self.catalogue.feedstock(feedstock).is_some());
        let id = self.plan.parts.len() as u32 + 1;
        let part = part(id, feedstock, size_mm);
        let lot = lot(id, &part, &self.catalogue);
        let placements = (0..8).map(|i| Placement {
            id: PlacementId(100 * id + i),
            item: Item::Part {
                part: part.id,
                lot: Some(lot.id),
            },
            at_mm: [
                40.0 * f64::from(i % 4) - 60.0,
                60.0 * f64::from(i / 4) - 30.0,
            ],
            angle_deg: 0.0,
            support: None,
            locked: false,
        });
        let posts = [[-80.0, -80.0], [80.0, -80.0], [80.0, 80.0], [-80.0, 80.0]];
        let level = Arc::new(Level {
            id: LevelId(id),
            setter: "alumina-square-200x6".to_owned(),
            carrier: Carrier::Posts {
                post: "alumina-post-16x40".to_owned(),
                at_mm: posts.to_vec(),
            },
            placements: placements.collect(),
        });
        self.plan.parts.push(Arc::new(part));
        self.plan.lots.push(Arc::new(lot));
        match self.plan.load.stacks.first_mut() {
            Some(stack) => stack.levels.push(level),
            None => self.plan.load.stacks.push(Stack {
                id: StackId(1),
                at_mm: [0.0, 0.0],
                levels: vec![level],
            }),
        }
        self.plan.next_id = 1000;
    }

    /// The load thermocouples that its soak waits for, between the rows of the first plate.
    fn add_tips(&mut self) {
        let stack = &mut self.plan.load.stacks[0];
        let level = Arc::make_mut(&mut stack.levels[0]);
        for (i, sensor) in ["load-1", "load-2"].into_iter().enumerate() {
            level.placements.push(Placement {
                id: PlacementId(90 + i as u32),
                item: Item::Sensor {
                    sensor: sensor.to_owned(),
                    height_mm: 5.0,
                },
                at_mm: [60.0 * i as f64 - 30.0, 0.0],
                angle_deg: 0.0,
                support: None,
                locked: false,
            });
        }
    }

    /// Takes a record away.
    pub fn without_record(&mut self, kind: Kind, id: &str) {
        let c = &mut self.catalogue;
        let gone = match kind {
            Kind::Binder => c.binders.remove(id).is_some(),
            Kind::Feedstock => c.feedstocks.remove(id).is_some(),
            Kind::Furnace => c.furnaces.remove(id).is_some(),
            Kind::Alloy => c.alloys.remove(id).is_some(),
            _ => panic!("not taken away here"),
        };
        assert!(gone, "no record {id}");
    }

    pub fn review(&self) -> Review {
        review(&Given {
            plan: &self.plan,
            catalogue: &self.catalogue,
            shop: self.shop.as_ref(),
            differences: &[],
            standard: None,
            forecast: None,
        })
    }

    pub fn found(&self, check: &str) -> Vec<Finding> {
        known(check);
        let findings = self.review().findings;
        findings.into_iter().filter(|f| f.check == check).collect()
    }

    pub fn missing(&self, check: &str) -> Vec<Missing> {
        known(check);
        let missing = self.review().missing;
        missing.into_iter().filter(|m| m.check == check).collect()
    }

    /// The check finds something, once.
    pub fn finds(&self, check: &str) -> Finding {
        let mut found = self.found(check);
        assert_eq!(found.len(), 1, "{check}: {found:?}");
        let finding = found.remove(0);
        let words = setterwright::text::findings::prose(check).unwrap();
        let said = setterwright::text::findings::fill(words.sentence, &finding.args);
        assert!(!said.contains(['{', '}']), "{check}: {said}");
        finding
    }

    /// The check could judge, and found nothing.
    pub fn passes(&self, check: &str) {
        let (found, missing) = (self.found(check), self.missing(check));
        assert!(found.is_empty(), "{check}: {found:?}");
        assert!(missing.is_empty(), "{check}: {missing:?}");
    }

    /// The check could not judge, and says so; gives for want of what.
    pub fn lacks(&self, check: &str) -> String {
        let (found, missing) = (self.found(check), self.missing(check));
        assert!(found.is_empty(), "{check}: {found:?}");
        assert!(!missing.is_empty(), "{check} is silent");
        missing[0].what.clone()
    }
}

fn known(check: &str) {
    let known = setterwright::review::check_by_slug(check).is_some();
    assert!(known, "no check {check}");
}
