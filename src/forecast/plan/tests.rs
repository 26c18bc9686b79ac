use super::*;
use crate::catalogue::builtin;
use crate::catalogue::{FirstStep, GrainGrowth, Standing};
use crate::forecast::inputs::{Pace, PlanShape};
use crate::load::{
    Bath, Carrier, ExtractedBy, Item, Level, Lot, LotId, PartRecords, Placement, Stack, tally,
};
use crate::part::{Drawn, Part, PartId, Rest, Shape, SizeStage, measure_typed, scale};
use crate::profile::{Event, EventAt, EventKind, Profile, RampBy, Segment};
use std::sync::Arc;

const BLOCK: Shape = Shape::Block {
    width_mm: 40.0,
    depth_mm: 25.0,
    height_mm: 12.0,
};

fn part(shape: Shape) -> Part {
    Part {
        id: PartId(1),
        name: "bracket".to_owned(),
        feedstock: "316l-wax".to_owned(),
        geometry: Arc::new(measure_typed(&shape).unwrap()),
        shape,
        drawn: Drawn::Final,
        rest: Rest::AS_DRAWN,
        infill: crate::part::Infill::Solid,
        keep_off: Vec::new(),
        approved_rest: None,
        made_with_oversize: None,
        weighed: None,
        section_mm: None,
        work_zone_only: false,
    }
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

/// Two levels of brackets on posts, a lot and a coupon, a dummy, a sensor, powder and a raft.
fn plan() -> Plan {
    let profile = Profile {
        name: "argon".to_owned(),
        revision: "1".to_owned(),
        start_c: 25.0,
        segments: vec![segment(1, 2.0, 450.0, 60.0), segment(2, 5.0, 1355.0, 90.0)],
        unload_c: 60.0,
        approval: None,
    };
    let mut plan = Plan::new("two levels", "small-vacuum-box", profile);
    plan.parts.push(Arc::new(part(BLOCK)));
    plan.lots.push(Arc::new(Lot {
        count: 8,
        green_g: Some(1000.0),
        dry_g: Some(970.0),
        ..Lot::new(LotId(1), "B-1", PartId(1))
    }));
    let mut id = 10;
    let mut put = |item: Item, at_mm: [f64; 2], support: Option<&str>| {
        id += 1;
        Placement {
            id: PlacementId(id),
            item,
            at_mm,
            angle_deg: 0.0,
            support: support.map(str::to_owned),
            locked: false,
        }
    };
    let piece = || Item::Part {
        part: PartId(1),
        lot: Some(LotId(1)),
    };
    let lower = vec![
        put(piece(), [-60.0, 0.0], Some("alumina-powder-1")),
        put(piece(), [0.0, 0.0], Some("own-feedstock-raft-2")),
        put(piece(), [60.0, 0.0], None),
        put(piece(), [90.0, 90.0], None),
    ];
    let coupon = Item::Coupon {
        part: PartId(1),
        label: "C".to_owned(),
    };
    let dummy = Item::Dummy {
        shape: BLOCK,
        mass_g: 45.0,
        material: "alumina-995".to_owned(),
    };
    let sensor = Item::Sensor {
        sensor: "load-1".to_owned(),
        height_mm: 10.0,
    };
    let upper = vec![
        put(coupon, [-60.0, 0.0], None),
        put(dummy, [0.0, 0.0], None),
        put(sensor, [100.0, 0.0], None),
    ];
    let level = |id, placements| {
        Arc::new(Level {
            id: LevelId(id),
            setter: "alumina-square-250x6".to_owned(),
            carrier: Carrier::Posts {
                post: "alumina-post-16x30".to_owned(),
                at_mm: vec![
                    [-110.0, -110.0],
                    [110.0, -110.0],
                    [-110.0, 110.0],
                    [110.0, 110.0],
                ],
            },
            placements,
        })
    };
    plan.load.stacks.push(Stack {
        id: StackId(1),
        at_mm: [0.0; 2],
        levels: vec![level(2, lower), level(3, upper)],
    });
    plan
}

struct Case {
    plan: Plan,
    catalogue: Arc<Catalogue>,
    shop: Arc<ShopState>,
}

impl Case {
    fn new() -> Case {
        let (catalogue, shop) = builtin().unwrap();
        Case {
            plan: plan(),
            catalogue,
            shop,
        }
    }

    fn prepared(&self) -> Result<Prepared, Vec<Missing>> {
        let sizes = Sizes::new(&self.plan, &self.catalogue);
        prepare(&self.asked(&sizes))
    }

    fn asked<'a>(&'a self, sizes: &'a Sizes) -> Asked<'a> {
        Asked {
            plan: &self.plan,
            catalogue: &self.catalogue,
            shop: Some(&self.shop),
            sizes,
        }
    }

    fn segment(&mut self, i: usize) -> &mut Segment {
        &mut Arc::make_mut(&mut self.plan.profile).segments[i]
    }

    fn level(&mut self, i: usize) -> &mut Level {
        Arc::make_mut(&mut self.plan.load.stacks[0].levels[i])
    }
}

#[test]
fn masses_add_up_to_those_of_the_tally() {
    let case = Case::new();
    let sizes = Sizes::new(&case.plan, &case.catalogue);
    let furnace = case
        .catalogue
        .furnace("small-vacuum-box")
        .map(AsRef::as_ref);
    let sums = tally(&case.plan, &case.catalogue, furnace, &sizes).whole;
    let load = case.prepared().unwrap().inputs.load;
    let stack = &load.stacks[0];
    let parts: f64 = stack
        .levels
        .iter()
        .flat_map(|l| &l.parts)
        .map(|p| p.mass_kg)
        .sum();
    let area = stack.shape.area_m2();
    let setters: f64 = stack
        .levels
        .iter()
        .map(|l| area * l.thickness_m * load.setters[l.setter].density_kg_m3)
        .sum();
    let near = |kg: f64, g: f64| assert!((kg * 1e3 / g - 1.0).abs() < 1e-12, "{kg} {g}");
    near(parts, sums.entering_g + sums.dummy_g);
    near(setters, sums.furniture_g);
    assert!(sums.furniture_g > 0.0 && sums.dummy_g == 45.0);
}

#[test]
fn binder_that_enters_is_that_of_the_tally() {
    let case = Case::new();
    let sizes = Sizes::new(&case.plan, &case.catalogue);
    let sums = tally(&case.plan, &case.catalogue, None, &sizes).whole;
    let prepared = case.prepared().unwrap();
    let inputs = &prepared.inputs;
    let levels = inputs.load.stacks.iter().flat_map(|s| &s.levels);
    let binder: f64 = levels
        .flat_map(|l| &l.parts)
        .map(|p| {
            let shares = inputs.matter[p.kind]
                .components
                .iter()
                .map(|c| c.mass_share);
            p.mass_kg * shares.sum::<f64>()
        })
        .sum();
    assert!((binder * 1e3 / sums.binder_g - 1.0).abs() < 1e-12);
    // The lot was weighed, the coupon goes by the feedstock's target.
    let extracted: Vec<_> = prepared.keys.kinds.iter().map(|k| k.extracted).collect();
    let by = |i: usize| extracted[i].unwrap().by;
    assert_eq!(
        (by(0), by(1)),
        (ExtractedBy::Assumption, ExtractedBy::Weighing)
    );
    assert!(extracted[2].is_none());
}

#[test]
fn what_a_first_step_took_is_weighed_predicted_or_assumed() {
    let mut case = Case::new();
    let share = |case: &Case| {
        let prepared = case.prepared().unwrap();
        let figure = prepared.inputs.figures.iter();
        let figure = figure.filter(|f| f.record == "lot B-1" && f.name == "first_step_binder_out");
        let figure: Vec<_> = figure.cloned().collect();
        assert_eq!(figure.len(), 1);
        let out = prepared.keys.kinds[1].first_step_out().unwrap();
        assert_eq!(figure[0].value, out.share);
        let left = prepared.inputs.matter[1].binder_volume_left;
        (out.by, out.share, figure[0].standing, left)
    };
    let weighed = share(&case);
    assert_eq!(
        (weighed.0, weighed.2),
        (ExtractedBy::Weighing, Standing::Shop)
    );
    let lot =
        |case: &mut Case, change: &dyn Fn(&mut Lot)| change(Arc::make_mut(&mut case.plan.lots[0]));
    lot(&mut case, &|lot| lot.dry_g = None);
    let assumed = share(&case);
    assert_eq!(
        (assumed.0, assumed.2),
        (ExtractedBy::Assumption, Standing::Assumed)
    );
    // Five minutes in a cold bath take next to nothing out, whatever the target is.
    lot(&mut case, &|lot| {
        lot.bath = Some(Bath {
            temp_c: Some(20.0),
            minutes: Some(5.0),
            wax_g_l: Some(0.0),
            on_tray: Some(false),
            ..Bath::default()
        });
    });
    let predicted = share(&case);
    assert_eq!(
        (predicted.0, predicted.2),
        (ExtractedBy::Bath, Standing::Derived)
    );
    assert!(
        predicted.1 < 0.2 && predicted.3 > assumed.3,
        "{predicted:?} {assumed:?}"
    );
    // What the target asks for is reached by the time that is told.
    let long = {
        let part = &case.plan.parts[0];
        let records = PartRecords::new(part, &case.catalogue).unwrap();
        by_bath(&records, &case.plan.lots[0]).unwrap()
    };
    let (target, after_s) = long.target.unwrap();
    lot(&mut case, &|lot| {
        lot.bath.as_mut().unwrap().minutes = after_s.map(|s| s / 60.0);
    });
    assert!((share(&case).1 - target).abs() < 1e-6);
    // Without a target nothing is taken as out.
    lot(&mut case, &|lot| lot.bath = None);
    let feedstocks = &mut Arc::make_mut(&mut case.catalogue).feedstocks;
    let feedstock = feedstocks.get_mut("316l-wax").unwrap();
    Arc::make_mut(&mut feedstock.1).extraction_target = None;
    let nothing = share(&case);
    assert_eq!((nothing.0, nothing.1), (ExtractedBy::Assumption, 0.0));
}

#[test]
fn a_catalytic_front_is_followed_and_air_is_refused() {
    let mut case = Case::new();
    let lot = Arc::make_mut(&mut case.plan.lots[0]);
    lot.bath = Some(Bath {
        minutes: Some(60.0),
        on_tray: Some(false),
        ..Bath::default()
    });
    let binder = case.catalogue.feedstock("316l-wax").unwrap().binder.clone();
    let binders = &mut Arc::make_mut(&mut case.catalogue).binders;
    let binder = Arc::make_mut(&mut binders.get_mut(&binder).unwrap().1);
    binder.first_step = FirstStep::Catalytic { front_mm_h: 2.0 };
    let part = &case.plan.parts[0];
    let records = PartRecords::new(part, &case.catalogue).unwrap();
    let section = part.green_section_mm(records.feedstock.oversize).unwrap();
    let out = by_bath(&records, &case.plan.lots[0]).unwrap();
    assert!((out.out - 4.0 / section).abs() < 1e-12);
    assert_eq!((out.centre_out, out.other_shapes_out), (0.0, None));

    // Grains grow where a record says how: here as a heavy alloy with its liquid (row 43 of the table).
    assert!(
        case.prepared()
            .unwrap()
            .inputs
            .matter
            .iter()
            .all(|m| { m.sintering.as_ref().is_none_or(|s| s.grains.is_none()) })
    );
    let feedstocks = &mut Arc::make_mut(&mut case.catalogue).feedstocks;
    let feedstock = Arc::make_mut(&mut feedstocks.get_mut("316l-wax").unwrap().1);
    feedstock.densifying.as_mut().unwrap().grains = Some(GrainGrowth {
        exponent: 3.0,
        start_um: 1.0,
        k_um_s: 0.15,
        at_c: 1340.0,
        kj_mol: 0.0,
    });
    let matter = case.prepared().unwrap().inputs.matter;
    let grains = matter[0].sintering.as_ref().unwrap().grains.unwrap();
    let um = 1e6 * grains.after([(0.0, 1613.15), (3600.0, 1613.15)]);
    assert!((um / 8.148_276 - 1.0).abs() < 1e-5, "{um}");

    let gases = &mut Arc::make_mut(&mut case.catalogue).gases;
    let mut air = (*gases["argon"].1).clone();
    air.id = "shop-air".to_owned();
    let origin = gases["argon"].0;
    gases.insert("shop-air".to_owned(), (origin, Arc::new(air)));
    case.segment(0).gas = Some("shop-air".to_owned());
    let missing = case.prepared().unwrap_err();
    assert_eq!(missing, [Missing::Burning("shop-air".to_owned())]);
    // By what its record says of oxygen, whatever it is called.
    let gases = &mut Arc::make_mut(&mut case.catalogue).gases;
    let mut lean = (*gases["argon"].1).clone();
    (lean.id, lean.oxygen_share) = ("mix-7".to_owned(), Some(0.02));
    gases.insert("mix-7".to_owned(), (origin, Arc::new(lean)));
    case.segment(0).gas = Some("mix-7".to_owned());
    let missing = case.prepared().unwrap_err();
    assert_eq!(missing, [Missing::Burning("mix-7".to_owned())]);
}

#[test]
fn heights_shares_and_rings_are_those_of_the_plan() {
    let case = Case::new();
    let prepared = case.prepared().unwrap();
    let stack = &prepared.inputs.load.stacks[0];
    let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-12, "{a} {b}");
    assert_eq!(
        stack.shape,
        PlanShape::Rectangle {
            width_m: 0.25,
            depth_m: 0.25
        }
    );
    near(stack.floor_gap_m, 0.030);
    near(stack.levels[0].clear_m, 0.030);
    // Two plates and two gaps below the roof at 345 mm.
    near(stack.levels[1].clear_m, 0.345 - 0.072);
    assert_eq!(stack.exposed, 1.0);
    // Kind 0 is the coupon (no lot), kind 1 the lot, kind 2 the dummy.
    let lot = &stack.levels[0].parts[0];
    assert_eq!(lot.kind, 1);
    let factor = 1.1777f64;
    near(
        lot.plan_share,
        4.0 * 40.0 * 25.0 * factor * factor / 62_500.0,
    );
    near(lot.height_m, (12.0 * factor + 2.0) * 1e-3);
    // At most 60 + 23.6 mm from the centre of 125: within the inner half of the rings, but for
    // the one in the corner.
    let rings = lot.by_zone.as_ref().unwrap();
    near(rings.iter().sum(), 4.0);
    let outer = rings[2] + rings[3];
    assert!(
        outer > 0.7 && outer < 1.0 && rings[0] > 1.0 && rings[1] > 0.0,
        "{rings:?}"
    );
    near(prepared.inputs.load.sensors[0].place, 0.8);
    assert_eq!(prepared.keys.place_of(LevelId(3)), Some((0, 1)));
    assert_eq!(prepared.keys.level(0, 1), Some(LevelId(3)));
    assert_eq!(prepared.keys.segment_of(SegmentId(2)), Some(1));
}

#[test]
fn the_order_of_placements_changes_nothing() {
    let mut case = Case::new();
    let before = case.prepared().unwrap();
    case.level(0).placements.reverse();
    case.level(1).placements.reverse();
    assert_eq!(case.prepared().unwrap(), before);
}

#[test]
fn what_is_missing_is_said_of_which_thing() {
    let mut case = Case::new();
    case.plan.load.furnace = "no-such".to_owned();
    assert_eq!(
        case.prepared(),
        Err(vec![Missing::Furnace("no-such".to_owned())])
    );
    let mut case = Case::new();
    let outline = Shape::Outline {
        outline_mm: vec![[0.0, 0.0], [40.0, 0.0], [40.0, 25.0], [0.0, 25.0]],
        height_mm: 12.0,
    };
    case.plan.parts[0] = Arc::new(part(outline));
    let mass = Missing::Mass(PartId(1), "bracket".to_owned());
    assert_eq!(case.prepared(), Err(vec![mass.clone()]));
    assert!(
        NoForecast::Missing(vec![mass])
            .to_string()
            .contains("mass of bracket")
    );
    let mut case = Case::new();
    case.segment(0).gas = Some("phlogiston".to_owned());
    assert_eq!(
        case.prepared(),
        Err(vec![Missing::Gas("phlogiston".to_owned())])
    );
    let mut case = Case::new();
    case.level(1).setter = "no-such".to_owned();
    let missing = case.prepared().unwrap_err();
    assert_eq!(missing[0], Missing::Setter("no-such".to_owned()));
    let mut case = Case::new();
    case.plan.load.stacks.clear();
    assert_eq!(case.prepared(), Err(vec![Missing::Load]));
    let mut case = Case::new();
    Arc::make_mut(&mut case.plan.profile).segments.clear();
    assert!(matches!(
        case.prepared().unwrap_err()[..],
        [Missing::Profile(_)]
    ));
    // Vacuum, in a furnace whose pump nobody knows.
    let mut case = Case::new();
    case.segment(1).gas = None;
    case.segment(1).pressure_mbar = None;
    assert_eq!(
        case.prepared().unwrap().inputs.program.segments[1]
            .atmosphere
            .pressure_pa,
        1.0
    );
    let furnaces = &mut Arc::make_mut(&mut case.catalogue).furnaces;
    let furnace = furnaces.get_mut("small-vacuum-box").unwrap();
    Arc::make_mut(&mut furnace.1).ultimate_mbar = None;
    assert_eq!(case.prepared(), Err(vec![Missing::Vacuum(2)]));
}

#[test]
fn without_figures_to_densify_by_the_rest_is_told() {
    let mut case = Case::new();
    let feedstock = Arc::make_mut(&mut case.catalogue)
        .feedstocks
        .get_mut("316l-wax");
    Arc::make_mut(&mut feedstock.unwrap().1).densifying = None;
    let prepared = case.prepared().unwrap();
    assert_eq!(
        prepared.lacking,
        [Missing::Densifying("316l-wax".to_owned())]
    );
    assert!(prepared.inputs.matter.iter().all(|m| m.sintering.is_none()));
}

#[test]
fn figures_name_their_record_and_usual_values_are_assumed() {
    let mut case = Case::new();
    let find = |prepared: &Prepared, record: &str, name: &str| {
        let figures = prepared.inputs.figures.iter();
        let found: Vec<_> = figures
            .filter(|f| f.record == record && f.name == name)
            .collect();
        assert_eq!(found.len(), 1, "{record} {name}");
        found[0].clone()
    };
    let before = find(&case.prepared().unwrap(), "alloy 316l", "emissivity.brown");
    assert_eq!(
        (before.value, before.source.as_str()),
        (0.8, "planner-assumption")
    );
    let cp = find(&case.prepared().unwrap(), "alloy 316l", "cp_j_kgk at 290 K");
    assert!(!cp.is_assumed());
    let alloy = Arc::make_mut(&mut case.catalogue)
        .alloys
        .get_mut("316l")
        .unwrap();
    Arc::make_mut(&mut alloy.1).cp_j_kgk.clear();
    let cp = find(&case.prepared().unwrap(), "alloy 316l", "cp_j_kgk at 290 K");
    assert!(cp.is_assumed() && cp.source == "usual value");
}

/// What moves a run, what is said of it, or a check of it stands in the list, as its record has it,
/// and nowhere a second time.
#[test]
fn figures_of_every_reader_are_listed() {
    let mut case = Case::new();
    let catalogue = Arc::make_mut(&mut case.catalogue);
    let material = &mut catalogue.materials.get_mut("alumina-995").unwrap().1;
    Arc::make_mut(material).creep.as_mut().unwrap().rate_per_s = 6.6e-5;
    let furnace = case.catalogue.furnace("small-vacuum-box").unwrap().clone();
    let prepared = case.prepared().unwrap();
    let mut all = prepared.inputs.figures;
    all.extend(crate::forecast::constants::own());
    let value = |record: &str, name: &str| {
        let found: Vec<_> = all
            .iter()
            .filter(|f| f.record == record && f.name == name)
            .collect();
        assert_eq!(found.len(), 1, "{record} {name}");
        found[0].value
    };
    assert_eq!(value("material alumina-995", "creep.rate_per_s"), 6.6e-5);
    let rates = all.iter().filter(|f| f.name.ends_with("rate_per_s"));
    assert_eq!(rates.count(), 1);
    let post = case.catalogue.post("alumina-post-16x30").unwrap();
    assert_eq!(value("post alumina-post-16x30", "mass_g"), post.mass_g);
    assert_eq!(value("post alumina-post-16x30", "length_mm"), 30.0);
    assert_eq!(
        value("setter alumina-square-250x6", "shape.depth_mm"),
        250.0
    );
    assert_eq!(value("gas argon", "hydrogen_share"), 0.0);
    let roof = crate::load::floor_and_roof(&furnace.hot_zone).1;
    assert_eq!(value("furnace small-vacuum-box", "hot_zone.z1_mm"), roof);
    let feedstock = case.catalogue.feedstock("316l-wax").unwrap();
    let of = |name: &str| value("feedstock 316l-wax", name);
    assert_eq!(of("oversize_density"), feedstock.oversize_density);
    assert_eq!(of("sinter.from_c"), feedstock.sinter.from_c);
    assert_eq!(of("sinter.hold_min_min"), feedstock.sinter.hold_min_min);
    assert_eq!(of("oversize.z"), feedstock.oversize[2]);
    assert_eq!(of("powder_carbon_pct"), feedstock.powder_carbon_pct);
    let alloy = case.catalogue.alloy("316l").unwrap();
    let enthalpy = alloy.oxide.unwrap().enthalpy_kj_mol;
    assert_eq!(value("alloy 316l", "oxide.enthalpy_kj_mol"), enthalpy);
    assert_eq!(
        value("alloy 316l", "elements.0.activity"),
        alloy.elements[0].activity
    );
    assert!(!all.iter().any(|f| f.name.starts_with("chromia")));
    let trap = furnace.trap.unwrap().capacity_g;
    assert_eq!(value("furnace small-vacuum-box", "trap.capacity_g"), trap);
    let survey = case
        .shop
        .furnaces
        .iter()
        .find(|f| f.furnace == furnace.id)
        .unwrap();
    let point = &survey.survey.as_ref().unwrap().points[0];
    let name = format!("survey.coldest_k at {} °C", point.setpoint_c);
    assert_eq!(
        value("state of furnace small-vacuum-box", &name),
        point.coldest_k
    );
    for name in [
        "necks_from_k",
        "vapour_cr_b",
        "binder_left_wanted",
        "arrival_band_k",
    ] {
        value("", name);
    }
    // What no lot of this plan needs is not there.
    assert!(
        !all.iter()
            .any(|f| ["bath_full_kg_m3", "purge_mixing"].contains(&&f.name[..]))
    );
    assert!(!all.iter().any(|f| f.name == "ultimate_mbar"));
    case.segment(0).gas = None;
    case.segment(0).pressure_mbar = None;
    let figures = case.prepared().unwrap().inputs.figures;
    assert!(figures.iter().any(|f| f.name == "ultimate_mbar"));
    // A face that the record leaves out is computed, and said to be.
    let furnaces = &mut Arc::make_mut(&mut case.catalogue).furnaces;
    let record = &mut furnaces.get_mut("small-vacuum-box").unwrap().1;
    Arc::make_mut(record).heat.face_area_m2 = None;
    let figures = case.prepared().unwrap().inputs.figures;
    let face = figures
        .iter()
        .find(|f| f.name == "heat.face_area_m2")
        .unwrap();
    assert_eq!(face.standing, Standing::Derived);
}

#[test]
fn cases_reach_as_far_as_the_survey() {
    let mut case = Case::new();
    assert!(case.prepared().unwrap().inputs.cases.is_some());
    case.segment(1).to_c = 1361.0;
    let why = WhyNoCases::Beyond {
        known_c: 1360.0,
        peak_c: 1361.0,
    };
    let prepared = case.prepared().unwrap();
    assert!(prepared.inputs.cases.is_none());
    assert!(why.to_string().contains("1360 °C"));
    let Some(WhyNoCases::Beyond { known_c, peak_c }) = prepared.no_cases else {
        panic!("{:?}", prepared.no_cases);
    };
    assert!((known_c - 1360.0).abs() < 1e-9 && (peak_c - 1361.0).abs() < 1e-9);
    Arc::make_mut(&mut case.shop).furnaces.clear();
    let prepared = case.prepared().unwrap();
    assert!(matches!(prepared.no_cases, Some(WhyNoCases::Unknown(_))));
}

#[test]
fn the_program_is_the_profile() {
    let mut case = Case::new();
    case.segment(0).ramp = RampBy::FullRate;
    let fill = EventKind::Backfill {
        gas: "nitrogen".to_owned(),
        to_mbar: 800.0,
    };
    let at = |at, kind| Event { at, kind };
    case.segment(1).events = vec![at(EventAt::Start, EventKind::FanOn), at(EventAt::End, fill)];
    let prepared = case.prepared().unwrap();
    let program = &prepared.inputs.program;
    assert_eq!(prepared.keys.gases, ["argon", "nitrogen"]);
    assert_eq!(program.segments[0].pace, Pace::Rate(15.0 / 60.0));
    assert_eq!(program.segments[0].to_k, 723.15);
    assert_eq!(program.segments[1].hold_s, 5400.0);
    assert_eq!(program.segments[0].atmosphere.gas, Some(0));
    assert_eq!(program.after.gas, Some(1));
    assert_eq!(
        (program.after.pressure_pa, program.after.sweep_mol_s),
        (80_000.0, 0.0)
    );
    assert!(!program.segments[0].fan && program.segments[1].fan && program.fan_after);
}

fn filled(at: EventAt, gas: &str, to_mbar: f64) -> Event {
    let gas = gas.to_owned();
    Event {
        at,
        kind: EventKind::Backfill { gas, to_mbar },
    }
}

/// What each segment and the cooling stand in: the gas, and mbar.
fn stood_in(case: &Case) -> Vec<(Option<usize>, f64)> {
    let program = case.prepared().unwrap().inputs.program;
    let all = program.segments.iter().map(|s| s.atmosphere);
    let all = all.chain([program.after]);
    all.map(|a| (a.gas, a.pressure_pa / 100.0)).collect()
}

/// A case whose program has a third segment like the second, with a flow of none.
fn three_segments() -> Case {
    let mut case = Case::new();
    let mut last = case.segment(1).clone();
    last.id = SegmentId(900);
    last.flow_l_min_25c = 0.0;
    Arc::make_mut(&mut case.plan.profile).segments.push(last);
    case
}

// Gases by slug.
const ARGON: Option<usize> = Some(0);
const NITROGEN: Option<usize> = Some(1);

#[test]
fn a_backfill_inside_a_program_changes_the_gas() {
    let mut case = three_segments();
    case.segment(1).flow_l_min_25c = 0.0;
    case.segment(1).events = vec![filled(EventAt::Start, "nitrogen", 400.0)];
    let gases = |case: &Case| -> Vec<_> { stood_in(case).into_iter().map(|s| s.0).collect() };
    assert_eq!(gases(&case), [ARGON, NITROGEN, NITROGEN, NITROGEN]);
    // What flows takes its place again.
    case.segment(2).flow_l_min_25c = 5.0;
    assert_eq!(gases(&case), [ARGON, NITROGEN, ARGON, ARGON]);
    // In the segment at whose start it was filled too.
    case.segment(2).flow_l_min_25c = 0.0;
    case.segment(1).flow_l_min_25c = 5.0;
    assert_eq!(gases(&case), [ARGON; 4]);
    // And so does a pump.
    case.segment(1).flow_l_min_25c = 0.0;
    case.segment(1).events.push(Event {
        at: EventAt::End,
        kind: EventKind::PumpDown { to_mbar: 0.1 },
    });
    assert_eq!(gases(&case), [ARGON, NITROGEN, ARGON, ARGON]);
}

#[test]
fn a_fill_stays_in_a_segment_without_a_gas_until_it_is_taken_out() {
    let mut case = three_segments();
    case.segment(1).events = vec![filled(EventAt::End, "nitrogen", 800.0)];
    case.segment(2).gas = None;
    let last = |case: &Case| stood_in(case)[2];
    for (set_mbar, stands) in [
        (Some(900.0), (NITROGEN, 900.0)),
        (Some(300.0), (NITROGEN, 300.0)),
        (None, (NITROGEN, 800.0)),
        // Set well below it is pumped.
        (Some(1.0), (None, 1.0)),
    ] {
        case.segment(2).pressure_mbar = set_mbar;
        assert_eq!(last(&case), stands, "{set_mbar:?}");
    }
    case.segment(2).pressure_mbar = Some(900.0);
    // Pumped, or purged: two inert gases, and nobody knows which purges.
    for kind in [
        EventKind::PumpDown { to_mbar: 0.1 },
        EventKind::PurgeInert { volumes: 5.0 },
    ] {
        case.segment(2).events = vec![Event {
            at: EventAt::Start,
            kind,
        }];
        assert_eq!(last(&case).0, None);
    }
}

#[test]
fn what_the_last_events_leave_is_what_the_load_cools_in() {
    let at_end = |kind| Event {
        at: EventAt::End,
        kind,
    };
    let mut case = three_segments();
    case.segment(2).gas = Some("nitrogen".to_owned());
    case.segment(2).flow_l_min_25c = 10.0;
    case.segment(2).pressure_mbar = None;
    let after = |case: &Case| stood_in(case)[3];
    assert_eq!(after(&case).0, NITROGEN);
    case.segment(2).events = vec![at_end(EventKind::PumpDown { to_mbar: 0.1 })];
    let (gas, mbar) = after(&case);
    assert!(gas.is_none() && (mbar - 0.1).abs() < 1e-9, "{mbar}");
    // Filled again, and what all of it took of a furnace of 60 L: from 0.1 to 900 mbar.
    case.segment(2)
        .events
        .push(filled(EventAt::End, "argon", 900.0));
    let (gas, mbar) = after(&case);
    assert!(gas == ARGON && (mbar - 900.0).abs() < 1e-9, "{mbar}");
    let m3 = |case: &Case| case.prepared().unwrap().let_in;
    let argon = m3(&case).gas_m3[0];
    assert!((argon - 0.06 * 899.9 / 1013.25).abs() < 1e-9, "{argon}");
    // Two inert gases: nobody says which purges. One: it does, and the load cools in it.
    case.segment(2).events = vec![at_end(EventKind::PurgeInert { volumes: 30.0 })];
    assert!((m3(&case).untold_m3 - 1.8).abs() < 1e-9);
    assert_eq!(after(&case).0, None);
    for i in 0..3 {
        case.segment(i).gas = Some("nitrogen".to_owned());
    }
    assert_eq!(after(&case).0, Some(0));
    assert!((m3(&case).gas_m3[0] - 1.8).abs() < 1e-9);
    // Shut off, hydrogen stands in it, and none flows any more; nothing else is shut off by that.
    case.segment(2).events = vec![at_end(EventKind::HydrogenOff)];
    let flows = |case: &Case| case.prepared().unwrap().inputs.program.after;
    assert!(flows(&case).sweep_mol_s > 0.0);
    case.segment(2).gas = Some("hydrogen".to_owned());
    assert!(flows(&case).gas.is_some() && flows(&case).sweep_mol_s == 0.0);
    case.segment(2).events.clear();
    assert!(flows(&case).sweep_mol_s > 0.0);
}

#[test]
fn what_flowed_last_stays_where_nothing_pumps_it_out() {
    let mut case = three_segments();
    case.segment(1).pressure_mbar = Some(900.0);
    case.segment(2).gas = None;
    case.segment(2).pressure_mbar = Some(800.0);
    assert_eq!(stood_in(&case)[2], (ARGON, 800.0));
    // Without a pressure that is set it is vacuum, as with one far lower.
    case.segment(2).pressure_mbar = Some(1.0);
    assert_eq!(stood_in(&case)[2], (None, 1.0));
    case.segment(2).pressure_mbar = None;
    assert_eq!(stood_in(&case)[2].0, None);
    // A purge leaves the only inert gas.
    case.segment(1).events = vec![
        Event {
            at: EventAt::End,
            kind: EventKind::PumpDown { to_mbar: 0.1 },
        },
        Event {
            at: EventAt::End,
            kind: EventKind::PurgeInert { volumes: 5.0 },
        },
    ];
    case.segment(2).pressure_mbar = Some(800.0);
    assert_eq!(stood_in(&case)[2], (ARGON, 800.0));
}

#[test]
fn a_forecast_tells_holds_kinds_and_the_unloading() {
    let case = Case::new();
    let sizes = Sizes::new(&case.plan, &case.catalogue);
    let asked = case.asked(&sizes);
    let made = of(&asked, &|| false).unwrap();
    assert_eq!(of(&asked, &|| false).unwrap(), made);
    let gone = NoForecast::Run(RunFault::Cancelled);
    assert_eq!(of(&asked, &|| true), Err(gone));
    for (word, c) in made.by_case() {
        assert!(c.run.energy.gap.abs() < 1e-3, "{word} {}", c.run.energy.gap);
    }
    let told = &made.report;
    assert_eq!(told.holds.len(), 2);
    let late = |row: &HoldRow| {
        let a = row.arrival_min;
        (a.cold.flatten(), a.nominal, a.hot.flatten())
    };
    let (cold, nominal, hot) = late(&told.holds[0]);
    assert!(
        cold > nominal && nominal > hot,
        "{cold:?} {nominal:?} {hot:?}"
    );
    let first = told.holds[0].need.as_ref().unwrap();
    assert!(matches!(first.need, Need::Burnout { .. }));
    assert_eq!(told.holds[1].need.as_ref().unwrap().need.minutes(), 60.0);
    // The dummy is no part.
    assert_eq!(told.kinds.len(), 2);
    let kind = &told.kinds[1];
    let (least, most) = kind.density.nominal.unwrap();
    assert!(least <= most && least > 0.9 && most < 0.99);
    assert!(kind.density.cold.flatten().unwrap().0 < least);
    let load = told.unload.load_min.nominal.unwrap();
    assert!(load > told.unload.chamber_min.nominal.unwrap());
    assert!(told.trap.caught_g.nominal > Some(0.0) && told.trap.capacity_g == Some(400.0));
    assert!(told.assumed > 0 && told.assumed < told.figures);
}

#[test]
fn a_lot_that_goes_in_again_says_so_and_not_that_it_is_too_hot() {
    let mut case = Case::new();
    Arc::make_mut(&mut case.plan.lots[0]).enters = crate::part::MassState::Sintered;
    let sizes = Sizes::new(&case.plan, &case.catalogue);
    let told = of(&case.asked(&sizes), &|| false).unwrap().report;
    let (again, others): (Vec<_>, Vec<_>) = told.kinds.iter().partition(|k| k.refired);
    assert_eq!((again.len(), others.len()), (1, 1));
    assert!(!again[0].no_prediction && again[0].density.nominal.is_none());
    assert!(again[0].why_no_density().contains("goes in again sintered"));
    assert!(others[0].density.nominal.is_some());
}

#[test]
fn an_exhaust_that_its_sweep_dilutes_is_not_above_the_upper_limit() {
    let mut case = Case::new();
    Arc::make_mut(&mut case.plan.profile).segments.truncate(1);
    let mut exhaust = |flow: f64| {
        case.segment(0).flow_l_min_25c = flow;
        let sizes = Sizes::new(&case.plan, &case.catalogue);
        let made = of(&case.asked(&sizes), &|| false).unwrap();
        made.report.exhaust.unwrap()
    };
    for (flow, above) in [(0.0, true), (10.0, true), (500.0, false)] {
        let e = exhaust(flow);
        assert_eq!(e.above_upper_limit, above, "{flow} {e:?}");
        assert!(e.vapour_l_min > 0.0 && e.air_l_min > 0.0);
    }
    let said = crate::text::forecast_text::exhaust_diluted((0.0, 0.016), 0.006, 0.25, 10.7);
    assert!(said.contains("0.016 L/min") && said.contains("procedure of the furnace"));
    assert!(!said.contains("safe"));
}

#[test]
fn a_final_size_is_that_of_the_oversize_factor_at_its_density() {
    let case = Case::new();
    let records = PartRecords::new(&case.plan.parts[0], &case.catalogue).unwrap();
    let density = records.feedstock.oversize_density;
    let size = final_size_mm(&records, None, density);
    let factors = scale(
        records.part,
        records.feedstock,
        records.alloy,
        25.0,
        SizeStage::Sintered,
    );
    for ((size, drawn), factor) in size.iter().zip([40.0, 25.0, 12.0]).zip(factors) {
        assert!((size - drawn * factor).abs() < 1e-9);
    }
    // Denser is smaller.
    let denser = final_size_mm(&records, None, density + 0.01);
    assert!(denser[0] < size[0]);
}
