//! A small plan from the starting catalogue in which no check finds a stop or a caution, to be
//! spoilt one thing at a time.

use setterwright::catalogue::{
    Catalogue, CheckSetting, Feedstock, Furnace, FurnaceState, Limit, Severity, ShopState, builtin,
};
use setterwright::load::{
    Bath, Carrier, Declaration, Item, Level, LevelId, Lot, LotId, Placement, PlacementId, Plan,
    Stack, StackId,
};
use setterwright::part::{Drawn, MassState, Part, PartId, Shape, Weighed, measure_typed};
use setterwright::profile::{OnLeave, Profile, RampBy, Segment, SegmentId, WaitFor, WaitOn};
use setterwright::review::{
    Check, Finding, Given, Missing, QUESTIONS, Question, Review, WhenRegulated, all_checks,
    check_by_slug, review,
};
use std::sync::Arc;

/// Numbers of what stands in the plan.
pub const PART: PartId = PartId(1);
pub const LOT: LotId = LotId(2);
pub const STACK: StackId = StackId(3);
pub const LEVELS: [LevelId; 2] = [LevelId(4), LevelId(5)];
/// Brackets on each level.
pub const PER_LEVEL: usize = 12;
/// Oversize factor of the feedstock in the starting catalogue.
pub const OVERSIZE: f64 = 1.1777;

/// A plan with what it is judged by.
#[derive(Clone)]
pub struct Case {
    pub plan: Plan,
    pub catalogue: Arc<Catalogue>,
    pub shop: Option<Arc<ShopState>>,
    pub differences: Vec<(String, String)>,
    pub standard: Option<Plan>,
}

impl Case {
    pub fn review(&self) -> Review {
        review(&Given {
            plan: &self.plan,
            catalogue: &self.catalogue,
            shop: self.shop.as_deref(),
            differences: &self.differences,
            standard: self.standard.as_ref(),
            forecast: None,
        })
    }

    /// What one check says, switched on if it is off.
    pub fn says(&self, slug: &str) -> (Vec<Finding>, Vec<Missing>) {
        let check = check_by_slug(slug).unwrap_or_else(|| panic!("no check {slug}"));
        let mut case = self.clone();
        case.catalogue_mut()
            .checks
            .push(CheckSetting::new(check.slug, "test"));
        let mut review = case.review();
        review.findings.retain(|f| f.check == slug);
        review.missing.retain(|m| m.check == slug);
        (review.findings, review.missing)
    }

    pub fn catalogue_mut(&mut self) -> &mut Catalogue {
        Arc::make_mut(&mut self.catalogue)
    }

    pub fn shop_mut(&mut self) -> &mut ShopState {
        Arc::make_mut(self.shop.as_mut().unwrap())
    }

    pub fn state(&mut self) -> &mut FurnaceState {
        let furnace = self.plan.load.furnace.clone();
        let states = &mut self.shop_mut().furnaces;
        states.iter_mut().find(|s| s.furnace == furnace).unwrap()
    }

    pub fn furnace(&mut self) -> &mut Furnace {
        let id = self.plan.load.furnace.clone();
        let record = self.catalogue_mut().furnaces.get_mut(&id).unwrap();
        Arc::make_mut(&mut record.1)
    }

    pub fn feedstock(&mut self) -> &mut Feedstock {
        let record = self.catalogue_mut().feedstocks.get_mut("316l-wax").unwrap();
        Arc::make_mut(&mut record.1)
    }

    pub fn limit(&mut self, id: &str) -> &mut Limit {
        let limits = &mut self.catalogue_mut().limits;
        limits.iter_mut().find(|l| l.id == id).unwrap()
    }

    pub fn part(&mut self) -> &mut Part {
        Arc::make_mut(&mut self.plan.parts[0])
    }

    pub fn lot(&mut self) -> &mut Lot {
        Arc::make_mut(&mut self.plan.lots[0])
    }

    pub fn profile(&mut self) -> &mut Profile {
        Arc::make_mut(&mut self.plan.profile)
    }

    /// A level of the first stack, counted from the hearth up.
    pub fn level(&mut self, index: usize) -> &mut Level {
        Arc::make_mut(&mut self.plan.load.stacks[0].levels[index])
    }

    /// The first bracket of the lower level.
    pub fn bracket(&mut self) -> &mut Placement {
        &mut self.level(0).placements[0]
    }

    /// Gives the bracket another shape, drawn green, and nothing that was weighed or stated.
    pub fn shape(&mut self, shape: Shape) {
        let geometry = measure_typed(&shape).unwrap();
        let part = self.part();
        part.drawn = Drawn::Green;
        part.geometry = Arc::new(geometry);
        part.shape = shape;
        part.weighed = None;
    }

    /// Leaves one bracket of the lower level and nothing else on a setter.
    pub fn alone(&mut self) {
        self.level(0).placements.truncate(1);
        self.level(1).placements.clear();
        self.bracket().at_mm = [0.0, 0.0];
    }

    /// Puts one more thing on a level.
    pub fn put(&mut self, level: usize, item: Item, at_mm: [f64; 2]) -> PlacementId {
        let id = PlacementId(self.plan.take_id().unwrap());
        self.level(level)
            .placements
            .push(placement(id.0, item, at_mm));
        id
    }

    /// A second stack beside the first, in the same way built and empty.
    pub fn second_stack(&mut self, at_mm: [f64; 2]) {
        let mut stack = self.plan.load.stacks[0].clone();
        stack.id = StackId(self.plan.take_id().unwrap());
        stack.at_mm = at_mm;
        for level in &mut stack.levels {
            let level = Arc::make_mut(level);
            level.id = LevelId(self.plan.take_id().unwrap());
            level.placements.clear();
        }
        self.plan.load.stacks.push(stack);
    }
}

fn placement(id: u32, item: Item, at_mm: [f64; 2]) -> Placement {
    Placement {
        id: PlacementId(id),
        item,
        at_mm,
        angle_deg: 0.0,
        support: None,
        locked: false,
    }
}

/// A day in fresh solvent, out of it the day before the start.
pub fn bath(ended: &str) -> Bath {
    Bath {
        solvent: Some("hexane".to_owned()),
        bath_id: Some("bath 1".to_owned()),
        temp_c: Some(40.0),
        minutes: Some(1440.0),
        wax_g_l: Some(10.0),
        basket: Some("1".to_owned()),
        on_tray: Some(false),
        ended: Some(ended.to_owned()),
        expires: Some("2027-03-31".to_owned()),
    }
}

/// Every question answered as it has to be.
pub fn all_declared(cut_out: &str, on: &str) -> Vec<Declaration> {
    let answer = |question: &Question| match question.slug {
        "over-temperature-set" => cut_out,
        "trap-coolant" => "18 °C",
        "vacuum-reached-at-peak-last-run" => "0.0002 mbar",
        _ => "yes",
    };
    QUESTIONS
        .iter()
        .map(|question| Declaration {
            question: question.slug.to_owned(),
            answer: answer(question).to_owned(),
            by: "technician".to_owned(),
            on: on.to_owned(),
            ..Declaration::default()
        })
        .collect()
}

/// 24 brackets 20 x 15 x 5 mm of 316L on two plates of alumina in the small vacuum box, in argon.
pub fn clean() -> Case {
    let (catalogue, shop) = builtin().unwrap();
    let shape = Shape::Block {
        width_mm: 20.0,
        depth_mm: 15.0,
        height_mm: 5.0,
    };
    let part = Part {
        id: PART,
        name: "Bracket".to_owned(),
        feedstock: "316l-wax".to_owned(),
        geometry: Arc::new(measure_typed(&shape).unwrap()),
        shape,
        drawn: Drawn::Final,
        made_with_oversize: Some([OVERSIZE; 3]),
        weighed: Some(Weighed {
            state: MassState::Green,
            mass_g: 12.58,
        }),
        section_mm: None,
        rest: Default::default(),
        infill: Default::default(),
        keep_off: Vec::new(),
        approved_rest: None,
        work_zone_only: false,
    };
    let pieces = 2 * PER_LEVEL;
    // 55 % of the binder dissolves; 12.58 g green hold 7.1 % of binder, and 92 % of it are out.
    let dry_g = pieces as f64 * 12.58 * (1.0 - 0.0713 * 0.55 * 0.92);
    let lot = Lot {
        id: LOT,
        name: "A1".to_owned(),
        part: PART,
        count: pieces as u32,
        enters: MassState::Dry,
        customer: None,
        green_g: Some(pieces as f64 * 12.58),
        dry_g: Some(dry_g),
        previous_dry_g: Some(dry_g),
        dried_min: Some(240.0),
        dryer_c: Some(60.0),
        feedstock_expires: Some("2027-06-30".to_owned()),
        balance: Some("balance-1".to_owned()),
        bath: Some(bath("2026-11-23 08:00")),
        ..Lot::default()
    };
    let mut plan = Plan::new("Brackets", "small-vacuum-box", profile());
    plan.planned_start = Some("2026-11-24".to_owned());
    plan.planned_start_time = Some("06:00".to_owned());
    plan.next_id = 1000;
    plan.parts = vec![Arc::new(part)];
    plan.lots = vec![Arc::new(lot)];
    plan.declarations = all_declared("1380", "2026-11-24");
    let posts = |x: f64| vec![[x, x], [-x, x], [-x, -x], [x, -x]];
    let level = |index: usize, post: &str| {
        let mut placements: Vec<Placement> = (0..PER_LEVEL)
            .map(|i| {
                let item = Item::Part {
                    part: PART,
                    lot: Some(LOT),
                };
                let (column, row) = ((i % 4) as f64, (i / 4) as f64);
                let at = [-60.0 + 40.0 * column, -40.0 + 40.0 * row];
                placement(100 + (index * 50 + i) as u32, item, at)
            })
            .collect();
        let sensor = Item::Sensor {
            sensor: format!("load-{}", index + 1),
            height_mm: 5.0,
        };
        placements.push(placement(
            100 + (index * 50 + 49) as u32,
            sensor,
            [0.0, 20.0],
        ));
        Arc::new(Level {
            id: LEVELS[index],
            setter: "alumina-square-200x6".to_owned(),
            carrier: Carrier::Posts {
                post: post.to_owned(),
                at_mm: posts(80.0),
            },
            placements,
        })
    };
    plan.load.stacks = vec![Stack {
        id: STACK,
        at_mm: [0.0, 0.0],
        levels: vec![
            level(0, "alumina-post-12x30"),
            level(1, "alumina-post-12x40"),
        ],
    }];
    Case {
        plan,
        catalogue,
        shop: Some(shop),
        differences: Vec::new(),
        standard: None,
    }
}

/// Debind with holds, a reduction hold, a guaranteed soak at the peak, cooling to 60 °C.
pub fn profile() -> Profile {
    let segment = |id: u32, k_min: f64, to_c: f64, hold_min: f64| Segment {
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
    };
    let soak = WaitOn {
        on: WaitFor::AllLoad,
        band_k: 8.0,
        on_ramp: false,
        on_hold: true,
        on_leave: OnLeave::Pause,
        timeout_min: Some(60.0),
    };
    let mut segments = vec![
        segment(1, 1.0, 300.0, 60.0),
        segment(2, 0.9, 450.0, 90.0),
        segment(3, 0.8, 550.0, 30.0),
        segment(4, 5.0, 1000.0, 60.0),
        segment(5, 5.0, 1360.0, 90.0),
        segment(6, 5.0, 60.0, 0.0),
    ];
    segments[4].wait_on = Some(soak);
    // Filled before the door.
    segments[5].pressure_mbar = Some(1000.0);
    Profile {
        name: "316L brackets".to_owned(),
        revision: "A".to_owned(),
        start_c: 25.0,
        segments,
        unload_c: 60.0,
        approval: None,
    }
}

fn spoilt(slug: &str, spoil: impl FnOnce(&mut Case)) -> (Vec<Finding>, Vec<Missing>) {
    let mut case = clean();
    spoil(&mut case);
    case.says(slug)
}

/// The finding that a check makes once the plan is spoilt; its words are complete.
pub fn found(slug: &str, severity: Severity, spoil: impl FnOnce(&mut Case)) -> Finding {
    let (findings, missing) = spoilt(slug, spoil);
    let Some(finding) = findings.first() else {
        panic!("{slug} found nothing; missing: {missing:?}")
    };
    assert_eq!(finding.severity, severity, "{slug}");
    let words = setterwright::text::findings::prose(slug).unwrap();
    let sentence = setterwright::text::findings::fill(words.sentence, &finding.args);
    assert!(!sentence.contains(['{', '}']), "{slug}: {sentence}");
    finding.clone()
}

/// The same, with the value at printed digits.
pub fn measured(slug: &str, severity: Severity, value: &str, spoil: impl FnOnce(&mut Case)) {
    let finding = found(slug, severity, spoil);
    let shown = finding
        .measured
        .unwrap_or_else(|| panic!("{slug} has no value"));
    assert_eq!(shown.shown().replace('\u{a0}', " "), value, "{slug}");
    assert!(finding.margin().unwrap() < 0.0, "{slug}");
}

/// The check looks at the plan so changed and finds nothing.
pub fn passes(slug: &str, change: impl FnOnce(&mut Case)) {
    let (findings, missing) = spoilt(slug, change);
    assert_eq!((findings, missing), (Vec::new(), Vec::new()), "{slug}");
}

/// The check cannot judge the plan so changed, says what is missing, and finds nothing.
pub fn not_evaluated(slug: &str, what: &str, change: impl FnOnce(&mut Case)) {
    let (findings, missing) = spoilt(slug, change);
    assert_eq!(findings, Vec::new(), "{slug}");
    let said: Vec<&str> = missing.iter().map(|m| m.what.as_str()).collect();
    assert!(said.iter().any(|s| s.contains(what)), "{slug}: {said:?}");
}

#[test]
fn nothing_is_wrong_with_the_clean_plan() {
    let review = clean().review();
    let wrong: Vec<_> = review
        .findings
        .iter()
        .filter(|f| f.severity > Severity::Note)
        .collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert_eq!(review.missing, Vec::new());
    let on = |c: &&Check| c.on && c.regulated != WhenRegulated::Only;
    let ran = all_checks().filter(on).count();
    assert_eq!(review.ran, ran);
}
