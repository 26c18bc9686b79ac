//! Five stories of an invented shop, each a plan made with the editor's own types: what the whole
//! program says of it beside what is known of it by hand or from a network with two zones. The
//! forecast has four zones, so its coldest place is the middle quarter of a level, not its half.

use setterwright::catalogue::{
    Catalogue, FirstStep, RangeC, Severity, ShopState, Space, Uniformity, builtin,
};
use setterwright::forecast::along::{ReductionAsked, reduction_of};
use setterwright::forecast::chemistry::{Reduction, chromia, dew_point_c, water_share};
use setterwright::forecast::clock::Phase;
use setterwright::forecast::constants::ZERO_C;
use setterwright::forecast::heat::{NodeAt, Place};
use setterwright::forecast::plan::{Asked, PlanForecast, Report, of};
use setterwright::forecast::purge::{backfill, changes_needed};
use setterwright::forecast::solvent::{Body, Diffusivity, bath, time_until};
use setterwright::forecast::whole::CaseForecast;
use setterwright::load::{
    Carrier, Item, Level, LevelId, Lot, LotId, Placement, PlacementId, Plan, Sizes, Stack, StackId,
};
use setterwright::part::{Drawn, MassState, Part, PartId, Shape, Weighed, measure_typed};
use setterwright::profile::{Event, EventAt, EventKind, Profile, RampBy, Segment, SegmentId};
use setterwright::review::{Finding, Given, Review, review};
use setterwright::text::findings::Arg;
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

    fn tower(&mut self, tower: &Tower) {
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
            let post = if level == 0 {
                "alumina-post-12x30"
            } else {
                tower.post
            };
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
        let said = made.report.clone();
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
        case.matter
            .left_at(&case.run, 0, c, segment - 1, Phase::Hold)
            .unwrap()
    }

    fn found(&self, check: &str) -> Vec<&Finding> {
        assert!(
            setterwright::review::check_by_slug(check).is_some(),
            "{check}"
        );
        let all = self.review.findings.iter();
        all.filter(|f| f.check == check).collect()
    }

    /// Least of what a check measured of a component.
    fn measured_at_least(&self, check: &str, component: &str) -> f64 {
        let named = |f: &&&Finding| {
            let mut args = f.args.iter();
            args.any(|(_, a)| matches!(a, Arg::Text(t) if t.contains(component)))
        };
        let found = self.found(check);
        let values = found.iter().filter(named);
        values
            .map(|f| f.measured.unwrap().value)
            .reduce(f64::min)
            .unwrap()
    }

    /// What a check measured, once.
    fn measured(&self, check: &str) -> f64 {
        let found = self.found(check);
        assert_eq!(found.len(), 1, "{check}: {found:?}");
        found[0].measured.unwrap().value
    }
}

fn near(name: &str, is: f64, told: f64, within: f64) {
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
    let furnace = story
        .catalogue
        .furnaces
        .get_mut("small-vacuum-box")
        .unwrap();
    let furnace = Arc::make_mut(&mut furnace.1);
    furnace.heat.sensor_lag_s = 0.0;
    let Space::Box { z1_mm, .. } = &mut furnace.hot_zone else {
        panic!("a box");
    };
    *z1_mm = 271.0;
    story.tower(&reference_tower([3, 7], [80.0, 35.0]));
    story
}

fn reference_tower(grid: [u32; 2], pitch: [f64; 2]) -> Tower<'static> {
    Tower {
        setter: "alumina-square-250x6",
        side_mm: 250.0,
        levels: 6,
        post: "alumina-post-12x35",
        grid: (grid, pitch),
    }
}

fn missing_hour(hold_min: f64) -> Story {
    reference(vec![
        segment(1, 2.0, 300.0, 60.0),
        segment(2, 2.0, 450.0, hold_min),
        segment(3, 5.0, 1000.0, 30.0),
        segment(4, 5.0, 1360.0, 90.0),
    ])
}

/// Told of four zones: 24 K short, HDPE 61 %; of two: arrival after 64 min, 22 K, HDPE 56 %, PP
/// 19 %, top edge 8 %, and 0.16 % after the whole hold.
#[test]
fn one_the_missing_hour() {
    missing_hour(30.0).told(|told| {
        let (centre, edge) = (told.part(3, true), told.part(6, false));
        near("arrival", told.arrival(2, centre), 64.0, 2.0);
        near("short", told.behind(2, Phase::Hold, centre), 24.0, 1.5);
        near("edge short", told.behind(2, Phase::Hold, edge), 5.0, 1.0);
        near("HDPE", told.left("polyethylene", 2).1, 0.61, 0.03);
        near(
            "HDPE at the edge",
            told.left("polyethylene", 2).0,
            0.08,
            0.01,
        );
        near("PP", told.left("polypropylene", 2).1, 0.22, 0.02);
        // What a program alone says: 450 °C for 30 min and what the ramp to it did.
        let hdpe = told.measured_at_least("debind-hold-far-short", "polyethylene");
        assert!(hdpe < 0.45, "{hdpe}");
        let late = told.found("coldest-spot-not-in-band");
        assert!(
            late.iter()
                .any(|f| f.subjects.iter().any(|s| s.key().ends_with('2')))
        );
    });
    missing_hour(90.0).told(|told| {
        near("HDPE", told.left("polyethylene", 2).1, 0.0018, 0.0004);
        assert!(told.left("polypropylene", 2).1 < 1e-6);
        let late = told.found("coldest-spot-not-in-band");
        assert!(
            !late
                .iter()
                .any(|f| f.subjects.iter().any(|s| s.key().ends_with('2')))
        );
    });
    // The fix that the story offers: hotter and shorter. The setpoint moves 30 K more at 2 K/min.
    let mut fixed = missing_hour(60.0);
    fixed.segment(2, |s| s.to_c = 480.0);
    fixed.told(|told| {
        let centre = told.part(3, true);
        assert!(told.left("polyethylene", 2).1 < 5e-5);
        near("end lag", told.behind(2, Phase::Hold, centre), 4.0, 1.0);
    });
    // Twice the mass and 35 of 35 places taken: coverage 0.75.
    let mut heavy = missing_hour(90.0);
    heavy.tower(&reference_tower([5, 7], [47.0, 35.0]));
    let part = Arc::make_mut(&mut heavy.plan.parts[0]);
    part.weighed = Some(Weighed {
        state: MassState::Dry,
        mass_g: 3000.0 / 35.0,
    });
    heavy.told(|told| {
        let centre = told.part(3, true);
        near("heavy arrival", told.arrival(2, centre), 108.0, 6.0);
        near("heavy short", told.behind(2, Phase::Hold, centre), 8.6, 1.5);
        near("heavy HDPE", told.left("polyethylene", 2).1, 0.057, 0.03);
    });
}

#[test]
fn two_sections_in_one_basket() {
    // The basket, by the binder's record: levers of 4 mm and yokes of 8 mm, 10 h in hexane at 40 °C.
    let (catalogue, _) = builtin().unwrap();
    let binder = catalogue.binder("wax-polyolefin-solvent").unwrap();
    let FirstStep::Solvent {
        diffusivity_cm2_s,
        diffusion_kj_mol,
        ..
    } = binder.first_step
    else {
        panic!("a solvent step");
    };
    let d = Diffusivity {
        d0_m2_s: 1e-4 * diffusivity_cm2_s,
        e_j_mol: 1e3 * diffusion_kj_mol,
    };
    let at = 40.0 + ZERO_C;
    let levers = bath(d, Body::Slab(2e-3), at, 36e3, 0.0);
    let yokes = bath(d, Body::Slab(4e-3), at, 36e3, 0.0);
    near("levers", levers.out, 0.955, 0.001);
    near("their centre", levers.centre_left, 0.07, 0.001);
    // The mean is just above the floor of 59 %; the centre is not: no check of the review asks for it.
    near("yokes", yokes.out, 0.607, 0.001);
    near("their centre", yokes.centre_left, 0.62, 0.005);
    let until = |c: f64, out: f64| {
        let s = time_until(d, Body::Slab(4e-3), c + ZERO_C, 0.0, |b| b.out >= out);
        s.unwrap() / 3600.0
    };
    near("85 %", until(40.0, 0.85), 23.3, 0.1);
    near("95 %", until(40.0, 0.95), 38.4, 0.1);
    near("95 % at 50 °C", until(50.0, 0.95), 22.5, 0.1);

    // The furnace: the yokes as weighed, straight up at 2 K/min as in the arithmetic.
    let segments = vec![segment(1, 2.0, 600.0, 0.0), segment(2, 5.0, 1360.0, 90.0)];
    let mut story = Story::new("yokes", "small-vacuum-box", segments);
    story.part("316l-wax", [43.0, 42.75, 8.0], MassState::Green, 75.0);
    story.tower(&Tower {
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
        near("extracted", told.measured("extraction-low"), 0.607, 0.005);
        assert!(told.found("extraction-too-low").is_empty());
        let trap = &told.said.trap;
        let sum = trap.before_g.unwrap() + trap.caught_g.nominal.unwrap();
        near("trap", sum, 358.0, 4.0);
        near("trap", told.measured("trap-catch-predicted"), 0.9, 0.015);
        // 2.5 L/min of 145 g of PP at one temperature; levels and rings come one after the other,
        // which lowers the peak, and the wax that is left has a lower one before.
        near("off-gas", told.said.offgas_l_min.nominal.unwrap(), 2.5, 0.3);
        near("share", told.measured("offgas-over-sweep"), 0.25, 0.03);
    });
    story.segment(1, |s| s.pressure_mbar = Some(1.0));
    story.told(|told| {
        let found = told.found("pump-floor-with-vapour");
        assert_eq!(found.len(), 1);
        let floor = found[0].args.iter().find(|a| a.0 == "value");
        let Some((_, Arg::Number(_, mbar, _))) = floor else {
            panic!("{floor:?}");
        };
        near("floor", *mbar, 7.6, 0.3);
    });
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
    // 200 gears that come to 14 kg of metal.
    story.part("17-4ph-wax", [30.0, 30.0, 14.0], MassState::Dry, 72.67);
    story.tower(&Tower {
        setter: "alumina-square-300x6",
        side_mm: 300.0,
        levels: 5,
        post: "alumina-post-12x35",
        grid: ([8, 5], [35.0, 50.0]),
    });
    story
}

/// The arithmetic has the gears at the setpoint: 30 % in the hold, 37 % with the ramp. So has the
/// forecast once its gears are put at the setpoint (30.1 and 37.4 %). Its coldest gears are 106 K
/// behind at the end of the 5 K/min ramp and within 5 K after 42 of the 60 min, so that they carry 25.8
/// and 27.8 %. Of that lag the retort is half (without one: 53 K, 28.9 and 32.3 %); where in the load
/// counts little (mean of all gears: 26.6 and 28.6 %), and so are the setters'
/// emissivity (0.3 to 0.85 instead of 0.45: 24.7 to 26.8 % in the hold) and two zones for four (26.3 %).
/// Power is none of it. A slower ramp takes the lag away: at 1 K/min 17 K and 29.4 % in the hold.
#[test]
fn three_dry_gas_wet_furnace() {
    let carried = |story: &Story| {
        story.told(|told| {
            let case = told.nominal();
            near("metal", case.matter.metal_kg[0], 14.0, 0.05);
            let asked = ReductionAsked {
                kinds: vec![0],
                oxide: chromia(),
                activity: 0.2,
                metal_kg: case.matter.metal_kg[0],
                reducible: 0.0003,
                hydrogen: vec![1.0; told.made.prepared.keys.gases.len()],
                inlet: water_share(-60.0),
                from_k: 1100.0 + ZERO_C,
                to_k: 1200.5 + ZERO_C,
            };
            let program = &told.made.prepared.inputs.program;
            let r = reduction_of(&case.run, program, &asked);
            let mut at_setpoint = case.run.clone();
            let (width, nodes) = (at_setpoint.width, at_setpoint.nodes.len());
            let setpoint = at_setpoint.border.setpoint;
            for sample in at_setpoint.states.chunks_exact_mut(width) {
                let k = sample[setpoint];
                sample[..nodes].fill(k);
            }
            let told_of = reduction_of(&at_setpoint, program, &asked);
            let told_of = [told_of.carried_in_holds_mol, told_of.carried_mol];
            let told_of = told_of.map(|mol| mol / r.need_mol);
            near("need", Reduction::litres(r.need_mol), 6.4, 0.1);
            let share = told.found("reduction-gas-limited");
            let share = share.first().map(|f| f.measured.unwrap().value);
            let all = (
                r.carried_mol / r.need_mol,
                r.carried_in_holds_mol / r.need_mol,
            );
            (all.0, all.1, share, told_of)
        })
    };
    let little = carried(&gears(10.0, 60.0));
    // As told, and as it is with the lag.
    near("in the hold, no lag", little.3[0], 0.301, 0.003);
    near("with the ramp, no lag", little.3[1], 0.374, 0.003);
    near("in the hold", little.1, 0.258, 0.005);
    near("with the ramp", little.0, 0.278, 0.005);
    let mut slow = gears(10.0, 60.0);
    slow.segment(3, |s| s.ramp = RampBy::Rate { k_min: 1.0 });
    near("in the hold after 1 K/min", carried(&slow).1, 0.294, 0.005);
    // The check counts from 900 °C to where the sinter range begins, 1320 °C: what the ramp after the
    // hold carries comes to it.
    near("all the way", little.2.unwrap(), 0.63, 0.05);
    let enough = carried(&gears(30.0, 60.0));
    near("three times the flow", enough.0 / little.0, 3.0, 0.05);
    assert!(enough.2.is_none());
    let longer = carried(&gears(10.0, 183.0));
    near("183 min at 1200 °C", longer.1, 0.9, 0.05);
    // Carbon takes what hydrogen leaves: -0.75·0.03·0.63 % in the story.
    let lost = 0.75 * 0.03 * (1.0 - little.0);
    near("carbon, %", lost, 0.014, 0.003);
    gears(10.0, 60.0).told(|told| {
        // The exhaust reads the oxide's water, however dry the supply: -7 °C at 1200 °C; at the
        // sinter range's beginning, where the check looks, more.
        let wet = told.measured("furnace-dew-point");
        assert!(wet > -7.0 && wet < 5.0, "{wet}");
        near(
            "at 1200 °C",
            dew_point_c(chromia().ratio(1200.0 + ZERO_C, 0.2)),
            -7.0,
            1.5,
        );
    });
}

#[test]
fn four_a_range_one_kelvin_wide() {
    let program = |to_c: f64, hold: f64| {
        vec![
            vacuum(segment(1, 2.0, 450.0, 90.0)),
            vacuum(segment(2, 5.0, 1000.0, 30.0)),
            vacuum(segment(3, 5.0, to_c, hold)),
        ]
    };
    let mut story = reference(program(1205.0, 10.0));
    Arc::make_mut(&mut story.plan.parts[0]).feedstock = "m2-wax".to_owned();
    story.told(|told| {
        // 1205 + 5 + 3, less what the hottest places still lag behind.
        near("hottest", told.measured("hot-spot-over-range"), 1213.0, 0.5);
        let stop = told.found("hot-spot-over-range")[0];
        assert_eq!(stop.severity, Severity::Stop);
        let cold = told.made.forecast.cold.as_ref().unwrap();
        let end = cold
            .run
            .ends
            .iter()
            .rfind(|e| e.phase == Phase::Hold)
            .unwrap();
        let edge = told.part(6, false);
        assert!(end.state[edge] - ZERO_C > 1190.0);
        let out = told.measured("peak-above-usable-setpoints");
        near("setpoint", out, 1205.0, 0.1);
        let mut data = told.review.missing.iter();
        assert!(data.any(|m| m.check == "density-low"));
    });
    let furnace = story.catalogue.furnace("small-vacuum-box").unwrap();
    let range = RangeC {
        from_c: 1190.0,
        to_c: 1210.0,
    };
    let known = Uniformity::of_furnace(Some(furnace), story.shop.furnaces.first(), None).unwrap();
    let usable = known.usable(range).unwrap();
    near("from", usable.from_c, 1201.0, 0.05);
    near("to", usable.to_c, 1202.0, 0.05);
    let state = &mut story.shop.furnaces[0];
    state.survey.as_mut().unwrap().overshoot_k = 2.0;
    let known = Uniformity::of_furnace(Some(furnace), story.shop.furnaces.first(), None).unwrap();
    assert!(known.usable(range).unwrap().is_empty());

    // How the reference load of 316L comes to 1200 °C: with two zones the middle half is 24 K behind
    // and within 10/5/3 K after 4/7/9 min; the innermost of four zones is 27 K behind.
    reference(program(1200.0, 10.0)).told(|told| {
        let (centre, edge) = (told.part(3, true), told.part(6, false));
        near("centre", told.behind(3, Phase::Ramp, centre), 24.0, 4.0);
        near("edge", told.behind(3, Phase::Ramp, edge), 7.0, 1.0);
        near("within 5 K", told.arrival(3, centre), 7.0, 1.0);
        assert!(told.arrival(3, edge) < 2.0);
    });
}

fn plates(unload_c: f64, setter: &str, part_g: f64) -> Story {
    let vac = |id, k, c, h| vacuum(segment(id, k, c, h));
    let segments = vec![
        vac(1, 2.0, 450.0, 90.0),
        vac(2, 5.0, 1000.0, 30.0),
        vac(3, 5.0, 1360.0, 120.0),
    ];
    let mut story = Story::new("plates", "mid-hydrogen-retort", segments);
    Arc::make_mut(&mut story.plan.profile).unload_c = unload_c;
    story.part("316l-filament", [60.0, 60.0, 10.0], MassState::Dry, part_g);
    story.tower(&Tower {
        setter,
        side_mm: 300.0,
        levels: 8,
        post: "alumina-post-12x30",
        grid: ([4, 4], [61.0, 61.0]),
    });
    story
}

#[test]
fn five_bowed_plates_and_an_early_door() {
    // 25 kg/m2 of brackets on each plate.
    plates(60.0, "alumina-square-300x6", 140.6).told(|told| {
        // 0.66 mm of 2 h at 1360 °C; the whole run adds the end of the ramp (RT²/Qβ = 14 min, 11 %)
        // and the hot case 7 K.
        let bows = told.found("plate-creep-bow");
        assert_eq!(bows.len(), 8);
        for bow in bows {
            near("bow", bow.measured.unwrap().value, 0.66 * 1.11 * 1.05, 0.03);
        }
        let gap = told.found("gap-too-small")[0].measured.unwrap().value;
        near("gap", gap, 0.45, 0.005);
        let stress = told.found("plate-stress-high")[0].measured.unwrap().value;
        near("stress", stress, 1.08, 0.02);
        assert_eq!(told.found("load-hot-at-unload")[0].severity, Severity::Stop);
    });
    plates(60.0, "alumina-square-300x10", 140.6).told(|told| {
        // 0.19 mm and as much more: not found.
        assert!(told.found("plate-creep-bow").is_empty());
    });

    // Cooling of the reference load in vacuum.
    let vac = |id, k, c, h| vacuum(segment(id, k, c, h));
    let mut story = reference(vec![
        vac(1, 2.0, 300.0, 60.0),
        vac(2, 2.0, 450.0, 90.0),
        vac(3, 5.0, 1000.0, 30.0),
        vac(4, 5.0, 1360.0, 90.0),
    ]);
    let hours = |told: &Told| {
        let unload = &told.said.unload;
        let from = unload.program_min.nominal;
        let after = |min: Option<f64>| (min.unwrap() - from) / 60.0;
        (
            after(unload.chamber_min.nominal),
            after(unload.load_min.nominal),
        )
    };
    let vacuum_80 = story.told(|told| {
        let run = &told.nominal().run;
        let t = run.program_end_s + 8.5 * 3600.0;
        near("chamber", run.at(run.border.chamber, t) - ZERO_C, 76.0, 4.0);
        near("middle", run.at(told.part(3, true), t) - ZERO_C, 134.0, 7.0);
        hours(told)
    });
    near("chamber to 80 °C", vacuum_80.0, 8.3, 0.25);
    // Posts of 0.26 kg and the innermost of four zones: later by a few per cent.
    near("parts to 80 °C", vacuum_80.1, 11.9, 0.6);
    Arc::make_mut(&mut story.plan.profile).unload_c = 60.0;
    let vacuum_60 = story.told(hours);
    near("chamber to 60 °C", vacuum_60.0, 9.8, 0.4);
    near("parts to 60 °C", vacuum_60.1, 14.3, 0.8);
    // Argon at 0.8 bar, without a fan.
    Arc::make_mut(&mut story.plan.profile).unload_c = 80.0;
    story.segment(4, |s| {
        s.events = vec![Event {
            at: EventAt::End,
            kind: EventKind::Backfill {
                gas: "argon".to_owned(),
                to_mbar: 800.0,
            },
        }];
    });
    let argon = story.told(hours);
    near("argon saves", vacuum_80.1 - argon.1, 0.8, 0.35);
    assert!((vacuum_80.0 - argon.0).abs() < 0.2);
}

/// Story 3, the lines of its purge: what the review reads off the events.
#[test]
fn three_what_a_purge_leaves() {
    let purged = |before: Vec<EventKind>, after: f64| {
        let mut story = gears(30.0, 60.0);
        let event = |kind| Event {
            at: EventAt::Start,
            kind,
        };
        story.segment(1, |s| {
            let kinds = before.iter().cloned().chain([EventKind::HydrogenOn]);
            s.events = kinds.map(event).collect();
        });
        let mut cool = segment(5, 5.0, 100.0, 0.0);
        cool.gas = Some("nitrogen".to_owned());
        cool.flow_l_min_25c = 10.0;
        cool.events = vec![
            event(EventKind::HydrogenOff),
            event(EventKind::PurgeInert { volumes: after }),
        ];
        Arc::make_mut(&mut story.plan.profile).segments.push(cool);
        story.told(|told| {
            let of = |check: &str| told.found(check).first().map(|f| f.measured.unwrap().value);
            (of("purge-before-fuel-weak"), of("purge-before-air-weak"))
        })
    };
    // Five volumes at K 0.5 leave 1.7 % oxygen; a hundredth of the hydrogen takes 9.2 volumes, 480 L.
    let five = vec![EventKind::PurgeInert { volumes: 5.0 }];
    let (oxygen, fuel) = purged(five, 5.0);
    near("oxygen", oxygen.unwrap(), 0.0172, 0.0001);
    near("hydrogen", fuel.unwrap(), 0.0821, 0.0001);
    let needed = changes_needed(1.0, 0.01, 0.5);
    near("volumes after", needed, 9.2, 0.02);
    near("litres after", 52.0 * needed, 480.0, 2.0);
    // 10 mbar twice leaves 21 ppm.
    let twice = || {
        let once = [
            EventKind::PumpDown { to_mbar: 10.0 },
            EventKind::Backfill {
                gas: "nitrogen".to_owned(),
                to_mbar: 1013.25,
            },
        ];
        once.iter().chain(&once).cloned().collect::<Vec<_>>()
    };
    let ppm = 1e6 * backfill(0.209, 1e3, 101_325.0, 2, 0.0);
    near("ppm", ppm, 21.0, 1.0);
    assert_eq!(purged(twice(), 9.3), (None, None));
    assert!(purged(twice(), 9.1).1.is_some());
}

/// Story 4 without a survey: a new type C alone is told to a hundredth, 12 K at 1200 °C, and a range
/// of 20 K is narrower than twice that.
#[test]
fn four_no_setpoint_without_a_survey() {
    let program = vec![vacuum(segment(1, 5.0, 1205.0, 10.0))];
    let mut story = reference(program);
    Arc::make_mut(&mut story.plan.parts[0]).feedstock = "m2-wax".to_owned();
    let state = &mut story.shop.furnaces[0];
    assert_eq!(state.furnace, "small-vacuum-box");
    state.survey = None;
    (state.instrument_k, state.spread_k) = (Some(0.0), Some(0.0));
    let control = state.sensors.iter_mut().find(|s| s.slot == "control");
    let control = control.unwrap();
    (control.kind, control.class) = ("C".to_owned(), Some(2));
    let furnace = story.catalogue.furnace("small-vacuum-box").unwrap();
    let known = Uniformity::of_furnace(Some(furnace), story.shop.furnaces.first(), None).unwrap();
    let range = RangeC {
        from_c: 1190.0,
        to_c: 1210.0,
    };
    let off = known.at(1200.0).unwrap();
    near("hot", off.hottest_k, 12.0, 0.01);
    near("cold", off.coldest_k, -12.0, 0.01);
    assert!(known.usable(range).unwrap().is_empty());
    story.told(|told| {
        let setpoints = told.review.setpoints.as_ref().unwrap();
        assert!(
            setpoints.as_ref().unwrap().usable.is_empty(),
            "{setpoints:?}"
        );
    });
}

/// Story 4: of a hold of 10 min the middle has 1 min inside ±3 K and the top edge 8; it takes 19 on
/// the clock for the middle to have ten. Or the last 30 K at 1 K/min.
#[test]
fn four_nineteen_minutes_for_ten() {
    let within = |segments: Vec<Segment>| {
        let last = segments.len();
        reference(segments).told(|told| {
            let run = &told.nominal().run;
            let hold = run.holds.iter().find(|h| h.segment + 1 == last).unwrap();
            let (low, high) = (1197.0 + ZERO_C, 1203.0 + ZERO_C);
            [told.part(3, true), told.part(6, false)]
                .map(|node| run.time_in_range_s(node, low, high, hold.start_s, hold.end_s) / 60.0)
        })
    };
    let program = |hold: f64| {
        vec![
            vacuum(segment(1, 2.0, 450.0, 90.0)),
            vacuum(segment(2, 5.0, 1000.0, 30.0)),
            vacuum(segment(3, 5.0, 1200.0, hold)),
        ]
    };
    // The middle half of two zones arrives after 9 min, the innermost of four a little later.
    let [middle, edge] = within(program(10.0));
    assert!(middle < 1.5, "{middle}");
    near("edge of 10 min", edge, 8.0, 0.7);
    let [middle, _] = within(program(19.0));
    near("middle of 19 min", middle, 10.0, 1.5);
    let mut slow = program(10.0);
    slow[2].to_c = 1170.0;
    slow[2].hold_min = 0.0;
    slow.push(vacuum(segment(4, 1.0, 1200.0, 10.0)));
    let [middle, _] = within(slow);
    near("middle after 1 K/min", middle, 8.0, 0.7);
}

/// Story 5 on two rails: bent less by 4.10 to 8.17, so that one run leaves 0.33 mm at the plate's
/// centre. The program goes by the middle of the free edge, which bends 1.10 of that (Lévy's series
/// for Poisson's ratio 0.22 gives 0.01425 and 0.01296 of qs⁴/D).
#[test]
fn five_on_two_rails() {
    let mut story = plates(60.0, "alumina-square-300x6", 140.6);
    let furnace = story.catalogue.furnaces.get_mut("mid-hydrogen-retort");
    let furnace = Arc::make_mut(&mut furnace.unwrap().1);
    furnace.rack_slots_mm = (0..8).map(|slot| 30.0 + 36.0 * f64::from(slot)).collect();
    for (slot, level) in story.plan.load.stacks[0].levels.iter_mut().enumerate() {
        Arc::make_mut(level).carrier = Carrier::RackSlot(slot);
    }
    story.told(|told| assert!(told.found("plate-creep-bow").is_empty()));
    let limit = story.catalogue.limits.iter_mut();
    let limit = limit.filter(|l| l.id == "plate-bow-max");
    limit.for_each(|l| l.value = 0.1);
    story.told(|told| {
        let bows = told.found("plate-creep-bow");
        assert_eq!(bows.len(), 8);
        for bow in bows {
            near(
                "bow",
                bow.measured.unwrap().value,
                0.33 * 1.10 * 1.11 * 1.05,
                0.02,
            );
        }
    });
}
