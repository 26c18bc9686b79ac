//! Five stories of an invented shop, each a plan made with the editor's own types: what the whole
//! program says of it beside what is known of it by hand or from a network with two zones. The
//! forecast has four zones, so its coldest place is the middle quarter of a level, not its half.

use setterwright::catalogue::{Catalogue, Limit, RangeC, ShopState, Uniformity, builtin};
use setterwright::forecast::along::{ReductionAsked, reduction_of};
use setterwright::forecast::chemistry::{Reduction, chromia, water_share};
use setterwright::forecast::clock::Phase;
use setterwright::forecast::constants::ZERO_C;
use setterwright::forecast::heat::{NodeAt, Place};
use setterwright::forecast::plan::{Asked, PlanForecast, Report, of, report};
use setterwright::forecast::solvent::{Body, Diffusivity, bath, time_until};
use setterwright::forecast::whole::CaseForecast;
use setterwright::load::{
    Carrier, Item, Level, LevelId, Lot, LotId, Placement, PlacementId, Plan, Sizes, Stack, StackId,
};
use setterwright::part::{Drawn, MassState, Part, PartId, Shape, Weighed, measure_typed};
use setterwright::profile::{Profile, RampBy, Segment, SegmentId};
use setterwright::review::{Finding, Given, Review, review};
use std::sync::Arc;

/// A plan with what judges it.
struct Story {
    plan: Plan,
    catalogue: Catalogue,
    shop: ShopState,
}

/// Setters in a stack: all alike, all filled alike.
struct Tower<'a> {
    setter: &'a str,
    side_mm: f64,
    levels: u32,
    post: &'a str,
    /// Columns and rows, and their pitches, mm.
    grid: ([u32; 2], [f64; 2]),
}

impl Story {
    fn new(title: &str, furnace: &str, segments: Vec<Segment>) -> Story {
        let (catalogue, shop) = builtin().unwrap();
        let profile = Profile {
            name: title.to_owned(),
            revision: "1".to_owned(),
            start_c: 25.0,
            segments,
            unload_c: 80.0,
            approval: None,
        };
        Story {
            plan: Plan::new(title, furnace, profile),
            catalogue: Catalogue::clone(&catalogue),
            shop: ShopState::clone(&shop),
        }
    }

    /// A block as it stands green, of a mass from the scale, and a lot of it.
    fn part(&mut self, feedstock: &str, size_mm: [f64; 3], state: MassState, mass_g: f64) {
        let shape = Shape::Block {
            width_mm: size_mm[0],
            depth_mm: size_mm[1],
            height_mm: size_mm[2],
        };
        self.plan.parts.push(Arc::new(Part {
            id: PartId(1),
            name: "piece".to_owned(),
            feedstock: feedstock.to_owned(),
            geometry: Arc::new(measure_typed(&shape).unwrap()),
            shape,
            drawn: Drawn::Green,
            made_with_oversize: None,
            weighed: Some(Weighed { state, mass_g }),
            section_mm: None,
            rest: Default::default(),
            infill: Default::default(),
            keep_off: Vec::new(),
            approved_rest: None,
            work_zone_only: false,
        }));
        self.plan.lots.push(Arc::new(Lot {
            enters: MassState::Dry,
            ..Lot::new(LotId(1), "L-1", PartId(1))
        }));
    }

    fn stack(&mut self, tower: &Tower) {
        let ([columns, rows], pitch) = tower.grid;
        let middle = |n: u32, of: u32, pitch: f64| pitch * (f64::from(n) - f64::from(of - 1) / 2.0);
        let corner = tower.side_mm / 2.0 - 8.0;
        let mut next = 100;
        let mut levels = Vec::new();
        for level in 0..tower.levels {
            let mut placements = Vec::new();
            for (c, r) in (0..columns).flat_map(|c| (0..rows).map(move |r| (c, r))) {
                next += 1;
                placements.push(Placement {
                    id: PlacementId(next),
                    item: Item::Part {
                        part: PartId(1),
                        lot: Some(LotId(1)),
                    },
                    at_mm: [middle(c, columns, pitch[0]), middle(r, rows, pitch[1])],
                    angle_deg: 0.0,
                    support: None,
                    locked: false,
                });
            }
            let post = if level == 0 { "alumina-post-12x30" } else { tower.post };
            levels.push(Arc::new(Level {
                id: LevelId(2 + level),
                setter: tower.setter.to_owned(),
                carrier: Carrier::Posts {
                    post: post.to_owned(),
                    at_mm: vec![
                        [-corner, -corner],
                        [corner, -corner],
                        [corner, corner],
                        [-corner, corner],
                    ],
                },
                placements,
            }));
        }
        self.plan.load.stacks = vec![Stack {
            id: StackId(1),
            at_mm: [0.0; 2],
            levels,
        }];
        self.plan.next_id = next + 1;
        let count = columns * rows * tower.levels;
        Arc::make_mut(&mut self.plan.lots[0]).count = count;
    }

    fn segment(&mut self, number: usize, change: impl FnOnce(&mut Segment)) {
        change(&mut Arc::make_mut(&mut self.plan.profile).segments[number - 1]);
    }

    /// Forecast and findings of the whole program.
    fn told<T>(&self, then: impl FnOnce(&Told) -> T) -> T {
        let sizes = Sizes::new(&self.plan, &self.catalogue);
        let asked = Asked {
            plan: &self.plan,
            catalogue: &self.catalogue,
            shop: Some(&self.shop),
            sizes: &sizes,
        };
        let made = of(&asked, &|| false);
        let review = review(&Given {
            plan: &self.plan,
            catalogue: &self.catalogue,
            shop: Some(&self.shop),
            differences: &[],
            standard: None,
            forecast: Some(&made),
        });
        let made = made.unwrap();
        let said = report(&asked, &made);
        then(&Told { made, said, review })
    }
}

struct Told {
    made: PlanForecast,
    said: Report,
    review: Review,
}

impl Told {
    fn nominal(&self) -> &CaseForecast {
        &self.made.forecast.nominal
    }

    /// Node of the parts of a level (from 1) in its innermost or outermost zone.
    fn part(&self, level: usize, inner: bool) -> usize {
        let here = |n: &NodeAt| n.level + 1 == level && matches!(n.place, Place::Part(_));
        let nodes = self.nominal().run.nodes.iter().enumerate();
        let all = nodes.filter(|(_, n)| here(n));
        let zoned = all.map(|(i, n)| (n.zone, i));
        if inner { zoned.min() } else { zoned.max() }.unwrap().1
    }

    /// From the start of a segment's hold until a node is there, min; as if it were prolonged.
    fn arrival(&self, segment: usize, node: usize) -> f64 {
        let run = &self.nominal().run;
        let hold = run.holds.iter().find(|h| h.segment + 1 == segment).unwrap();
        hold.prolonged_s[node].unwrap() / 60.0
    }

    /// How far a node is below the target at the end of a hold, or of the ramp to it, K.
    fn behind(&self, segment: usize, phase: Phase, node: usize) -> f64 {
        let target = self.made.prepared.inputs.program.segments[segment - 1].to_k;
        let mut ends = self.nominal().run.ends.iter();
        let end = ends.find(|e| e.segment + 1 == segment && e.phase == phase);
        target - end.unwrap().state[node]
    }

    /// Share of a component left at the end of a hold: at the best place and the worst.
    fn left(&self, component: &str, segment: usize) -> (f64, f64) {
        let of = &self.made.prepared.inputs.matter[0].components;
        let c = of.iter().position(|c| c.name.contains(component)).unwrap();
        let case = self.nominal();
        case.matter.left_at(&case.run, 0, c, segment - 1, Phase::Hold).unwrap()
    }

    fn found(&self, check: &str) -> Vec<&Finding> {
        assert!(setterwright::review::check_by_slug(check).is_some(), "{check}");
        let all = self.review.findings.iter();
        all.filter(|f| f.check == check).collect()
    }

    /// What a check measured, once.
    fn measured(&self, check: &str) -> f64 {
        let found = self.found(check);
        assert_eq!(found.len(), 1, "{check}: {found:?}");
        found[0].measured.unwrap().value
    }
}

fn near(name: &str, is: f64, told: f64, within: f64) {
    println!("{name}: {is:.4} beside {told}");
    assert!((is - told).abs() <= within, "{name}: {is} beside {told}");
}

fn segment(id: u32, k_min: f64, to_c: f64, hold_min: f64) -> Segment {
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

fn vacuum(mut segment: Segment) -> Segment {
    segment.gas = None;
    segment.flow_l_min_25c = 0.0;
    segment.pressure_mbar = None;
    segment
}

/// The reference load of the heat network: six levels of 21 brackets in the small vacuum box. The
/// posts are real ones: 35 mm, so that the pitch is 41 instead of 40 mm, and of mass.
fn reference(segments: Vec<Segment>) -> Story {
    let mut story = Story::new("reference", "small-vacuum-box", segments);
    story.part("316l-filament", [45.0, 30.0, 15.0], MassState::Dry, 71.0);
    // The hot zone ends 30 mm above the uppermost setter, and the control thermocouple is quick.
    let furnace = story.catalogue.furnaces.get_mut("small-vacuum-box").unwrap();
    let furnace = Arc::make_mut(&mut furnace.1);
    furnace.heat.sensor_lag_s = 0.0;
    story.stack(&Tower {
        setter: "alumina-square-250x6",
        side_mm: 250.0,
        levels: 6,
        post: "alumina-post-12x35",
        grid: ([3, 7], [80.0, 35.0]),
    });
    story
}

fn missing_hour(hold_min: f64) -> Story {
    reference(vec![
        segment(1, 2.0, 300.0, 60.0),
        segment(2, 2.0, 450.0, hold_min),
        segment(3, 5.0, 1000.0, 30.0),
        segment(4, 5.0, 1360.0, 90.0),
    ])
}

#[test]
fn one_the_missing_hour() {
    missing_hour(30.0).told(|told| {
        let (centre, edge) = (told.part(3, true), told.part(6, false));
        near("arrival", told.arrival(2, centre), 64.0, 200.0);
        near("short", told.behind(2, Phase::Hold, centre), 24.0, 200.0);
        println!("top edge short {}", told.behind(2, Phase::Hold, edge));
        println!("hdpe {:?} pp {:?}", told.left("poly-ethylene".trim_start_matches("poly-"), 2), told.left("propylene", 2));
        for f in &told.review.findings { println!("  {:?} {} {:?}", f.severity, f.check, f.measured.map(|m| m.value)); }
    });
    missing_hour(90.0).told(|told| {
        println!("90: hdpe {:?} pp {:?}", told.left("ethylene", 2), told.left("propylene", 2));
    });
}

#[test]
fn two_sections_in_one_basket() {
    let segments = vec![segment(1, 2.0, 600.0, 0.0), segment(2, 5.0, 1360.0, 90.0)];
    let mut story = Story::new("yokes", "small-vacuum-box", segments);
    story.part("316l-wax", [43.0, 42.75, 8.0], MassState::Green, 75.0);
    story.stack(&Tower {
        setter: "alumina-square-250x6",
        side_mm: 250.0,
        levels: 4,
        post: "alumina-post-12x35",
        grid: ([5, 3], [48.0, 60.0]),
    });
    let lot = Arc::make_mut(&mut story.plan.lots[0]);
    lot.green_g = Some(4500.0);
    lot.dry_g = Some(4392.0);
    story.told(|told| {
        println!("trap {:?} offgas {:?}", told.said.trap, told.said.offgas_l_min);
        println!("pieces {}", told.made.prepared.keys.kinds[0].pieces);
        for f in &told.review.findings { println!("  {:?} {} {:?}", f.severity, f.check, f.measured.map(|m| m.value)); }
    });
    story.segment(1, |s| s.pressure_mbar = Some(1.0));
    story.told(|told| {
        for f in told.found("pump-floor-with-vapour") { println!("  {f:?}"); }
    });
    let binder = story.catalogue.binder("wax-polyolefin-solvent").unwrap();
    println!("{:?}", binder.first_step);
    let d = Diffusivity { d0_m2_s: 45.34e-4, e_j_mol: 45_207.0 };
    for (a, t, h) in [(2e-3, 40.0, 10.0), (4e-3, 40.0, 10.0)] {
        println!("{:?}", bath(d, Body::Slab(a), t + ZERO_C, h * 3600.0, 0.0));
    }
    let until = |t: f64, out: f64| time_until(d, Body::Slab(4e-3), t + ZERO_C, 0.0, |b| b.out >= out).map(|s| s / 3600.0);
    println!("{:?} {:?} {:?}", until(40.0, 0.85), until(40.0, 0.95), until(50.0, 0.95));
}

fn gears(flow: f64, hold_min: f64) -> Story {
    let hydrogen = |mut s: Segment| {
        s.gas = Some("hydrogen".to_owned());
        s.pressure_mbar = None;
        s.flow_l_min_25c = flow;
        s
    };
    let mut story = Story::new(
        "gears",
        "mid-hydrogen-retort",
        vec![
            hydrogen(segment(1, 2.0, 450.0, 120.0)),
            hydrogen(segment(2, 5.0, 1100.0, 0.0)),
            hydrogen(segment(3, 5.0, 1200.0, hold_min)),
            hydrogen(segment(4, 5.0, 1350.0, 90.0)),
        ],
    );
    story.part("17-4ph-wax", [30.0, 30.0, 14.0], MassState::Dry, 70.0);
    story.stack(&Tower {
        setter: "alumina-square-300x6",
        side_mm: 300.0,
        levels: 5,
        post: "alumina-post-12x35",
        grid: ([8, 5], [35.0, 50.0]),
    });
    story
}

#[test]
fn three_dry_gas_wet_furnace() {
    for (flow, hold) in [(10.0, 60.0), (30.0, 60.0), (10.0, 183.0)] {
        gears(flow, hold).told(|told| {
            let case = told.nominal();
            let program = &told.made.prepared.inputs.program;
            println!("metal {:?}", case.matter.metal_kg);
            let asked = |from: f64, to: f64| ReductionAsked {
                kind: 0,
                oxide: chromia(),
                activity: 0.2,
                metal_kg: 14.0,
                reducible: 0.0003,
                hydrogen: vec![1.0; told.made.prepared.keys.gases.len()],
                inlet: water_share(-60.0),
                from_k: from + ZERO_C,
                to_k: to + ZERO_C,
            };
            let r = reduction_of(&case.run, program, &asked(1100.0, 1200.5));
            println!("{flow} {hold}: need {} carried {} holds {}", Reduction::litres(r.need_mol), Reduction::litres(r.carried_mol), Reduction::litres(r.carried_in_holds_mol));
            for f in &told.review.findings { if setterwright::review::check_by_slug(f.check).unwrap().needs == setterwright::review::Needs::Forecast { println!("  {:?} {} {:?} {:?}", f.severity, f.check, f.measured.map(|m| m.value), f.args); } }
        });
    }
}

#[test]
fn four_a_range_one_kelvin_wide() {
    let mut story = reference(vec![
        vacuum(segment(1, 2.0, 450.0, 90.0)),
        vacuum(segment(2, 5.0, 1000.0, 30.0)),
        vacuum(segment(3, 5.0, 1205.0, 10.0)),
    ]);
    Arc::make_mut(&mut story.plan.parts[0]).feedstock = "m2-wax".to_owned();
    story.told(|told| {
        let (centre, edge) = (told.part(3, true), told.part(6, false));
        println!("behind {} {}", told.behind(3, Phase::Ramp, centre), told.behind(3, Phase::Ramp, edge));
        println!("arrival {} {}", told.arrival(3, centre), told.arrival(3, edge));
        for f in &told.review.findings { println!("  {:?} {} {:?} {:?}", f.severity, f.check, f.measured.map(|m| m.value), f.args); }
        for m in &told.review.missing { if m.check.contains("dens") || m.check.contains("spot") { println!("  lacks {} {}", m.check, m.what); } }
    });
    let furnace = story.catalogue.furnace("small-vacuum-box").unwrap();
    let known = Uniformity::of_furnace(Some(furnace), story.shop.furnaces.first()).unwrap();
    println!("{:?}", known.usable(RangeC { from_c: 1190.0, to_c: 1210.0 }));
}

#[test]
fn five_bowed_plates_and_an_early_door() {
    let vac = |id, k, c, h| vacuum(segment(id, k, c, h));
    let mut story = Story::new(
        "plates",
        "mid-hydrogen-retort",
        vec![vac(1, 2.0, 450.0, 90.0), vac(2, 5.0, 1000.0, 30.0), vac(3, 5.0, 1360.0, 120.0)],
    );
    story.part("316l-filament", [60.0, 60.0, 10.0], MassState::Dry, 140.6);
    story.stack(&Tower {
        setter: "alumina-square-300x6",
        side_mm: 300.0,
        levels: 8,
        post: "alumina-post-12x35",
        grid: ([4, 4], [61.0, 61.0]),
    });
    story.told(|told| {
        for f in &told.review.findings { println!("  {:?} {} {:?} {:?}", f.severity, f.check, f.measured.map(|m| m.value), f.args); }
    });
    let story = reference(vec![
        vac(1, 2.0, 300.0, 60.0), vac(2, 2.0, 450.0, 90.0), vac(3, 5.0, 1000.0, 30.0), vac(4, 5.0, 1360.0, 90.0),
    ]);
    story.told(|told| {
        println!("{:?}", told.said.unload);
        let run = &told.nominal().run;
        let middle = told.part(3, true);
        let t = run.program_end_s + 8.5 * 3600.0;
        println!("8.5 h: chamber {} middle {}", run.at(run.border.chamber, t) - ZERO_C, run.at(middle, t) - ZERO_C);
        for f in told.found("load-hot-at-unload") { println!("{:?}", f.measured); }
    });
    let _: Option<Limit> = None;
}
