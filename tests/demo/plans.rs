// Loads of an invented shop, built in code by the same edits as the window's.
//
// Deterministic: no clock, no hash maps, a generator of its own for the loads of any size; so the
// bytes are equal on every machine. All shapes, lots and weighings are invented.

// The example, the tests and the benches each use only some of this file.
#![allow(dead_code)]
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "meshes.rs"]
pub mod meshes;
#[path = "profiles.rs"]
mod profiles;

use meshes::{DemoMesh, DemoUnit};
use setterwright::catalogue::{Catalogue, builtin};
use setterwright::files::sha256_hex;
use setterwright::files::stl::read_stl;
use setterwright::geometry::Mesh;
use setterwright::load::{
    Bath, Carrier, Declaration, Edit, Item, Level, LevelId, Lot, LotId, Move, PartRecords,
    Placement, PlacementId, Plan, Stack, StackId,
};
use setterwright::part::{
    Drawn, MassState, MeshUnit, Part, PartId, Shape, Weighed, measure_mesh, measure_typed,
};
use setterwright::profile::{Profile, Segment, SegmentId};
use std::sync::Arc;

/// Thickest section of each mesh, sintered, mm, as the shop's drawings state it.
const SECTIONS_MM: [(&str, f64); 8] = [
    ("bracket", 5.0),
    ("gear", 8.0),
    ("latch", 6.0),
    ("ring", 3.0),
    ("hinge", 3.5),
    ("nozzle", 4.0),
    ("lever", 4.0),
    ("ribbed_plate", 3.0),
];

/// A plan in the making: edits are applied one after the other.
struct Maker {
    plan: Plan,
    catalogue: Arc<Catalogue>,
}

impl Maker {
    /// An empty load, as the command line begins one.
    fn new(title: &str, furnace: &str, start: &str, note: &str) -> Maker {
        let profile = Profile {
            name: String::new(),
            revision: "1".to_owned(),
            start_c: 25.0,
            segments: Vec::new(),
            unload_c: 60.0,
            approval: None,
        };
        let mut maker = Maker {
            plan: Plan::new("", "", profile),
            catalogue: builtin().expect("the starting catalogue").0,
        };
        maker.edit(Edit::SetTitle(title.to_owned()));
        maker.edit(Edit::SetFurnace(furnace.to_owned()));
        maker.edit(Edit::SetPlannedStart(Some(start.to_owned())));
        maker.edit(Edit::SetPlannedStartTime(Some("06:00".to_owned())));
        maker.edit(Edit::SetNote(note.to_owned()));
        maker
    }

    fn edit(&mut self, edit: Edit) {
        match edit.apply(&self.plan, &self.catalogue) {
            Ok(plan) => self.plan = plan,
            Err(refusal) => panic!("{}: {refusal}", edit.label()),
        }
    }

    /// A part from a demo mesh, with its section stated at green size and one piece weighed.
    fn part(&mut self, mesh: &str, feedstock: &str) -> PartId {
        let id = PartId(self.plan.next_id);
        let mut part = mesh_part(id, mesh, feedstock);
        let oversize = self.oversize(feedstock);
        let stated = SECTIONS_MM.iter().find(|(name, _)| *name == mesh);
        part.section_mm = Some(tenths(stated.expect("a section").1 * oversize[0]));
        part.made_with_oversize = Some(oversize);
        self.weigh(&mut part);
        self.edit(Edit::AddPart(Box::new(part)));
        id
    }

    /// A flat bar beside the parts, to be cut and looked at.
    fn coupon_bar(&mut self, feedstock: &str) -> PartId {
        let id = PartId(self.plan.next_id);
        let shape = Shape::Block {
            width_mm: 20.0,
            depth_mm: 8.0,
            height_mm: 5.0,
        };
        let geometry = measure_typed(&shape).expect("a block");
        let mut part = Part {
            id,
            name: "coupon bar".to_owned(),
            feedstock: feedstock.to_owned(),
            shape,
            drawn: Drawn::Final,
            geometry: Arc::new(geometry),
            made_with_oversize: Some(self.oversize(feedstock)),
            weighed: None,
            section_mm: None,
            rest: Default::default(),
            infill: Default::default(),
            keep_off: Vec::new(),
            approved_rest: None,
            work_zone_only: false,
        };
        self.weigh(&mut part);
        self.edit(Edit::AddPart(Box::new(part)));
        id
    }

    fn oversize(&self, feedstock: &str) -> [f64; 3] {
        self.catalogue
            .feedstock(feedstock)
            .expect(feedstock)
            .oversize
    }

    /// One green piece on the scale: a little over what its shape says, as moulded pieces come out.
    fn weigh(&self, part: &mut Part) {
        let computed = PartRecords::new(part, &self.catalogue).expect("known records");
        part.weighed = Some(Weighed {
            state: MassState::Green,
            mass_g: tenths(1.004 * computed.masses(0.0).unwrap().green_g),
        });
    }

    /// A lot that came out of the bath and the dryer with a share of its first-step binder gone.
    /// The whole lot was weighed, to 0.1 g.
    fn lot(&mut self, name: &str, part: PartId, count: u32, extracted: f64) -> LotId {
        let id = LotId(self.plan.next_id);
        let record = Arc::clone(self.plan.part(part).expect("a part"));
        let records = PartRecords::new(&record, &self.catalogue).expect("known records");
        let piece = records.masses(extracted).unwrap();
        let weighed = |piece_g: f64| tenths(piece_g * f64::from(count));
        self.edit(Edit::AddLot(Lot {
            id,
            name: name.to_owned(),
            part,
            count,
            enters: MassState::Dry,
            customer: None,
            green_g: Some(weighed(piece.green_g)),
            dry_g: Some(weighed(piece.dry_g)),
            previous_dry_g: Some(weighed(piece.dry_g)),
            dried_min: Some(180.0),
            dryer_c: Some(60.0),
            feedstock_expires: Some("2027-06-30".to_owned()),
            balance: Some("balance-1".to_owned()),
            oversize: Some(records.feedstock.oversize),
            bath: Some(bath()),
            ..Lot::default()
        }));
        id
    }

    fn stack(&mut self) -> StackId {
        let id = StackId(self.plan.next_id);
        self.edit(Edit::AddStack(Stack {
            id,
            at_mm: [0.0, 0.0],
            levels: Vec::new(),
        }));
        id
    }

    fn level(&mut self, stack: StackId, setter: &str, post: &str, at_mm: &[[f64; 2]]) -> LevelId {
        let id = LevelId(self.plan.next_id);
        self.edit(Edit::AddLevel {
            stack,
            index: usize::MAX,
            level: Level {
                id,
                setter: setter.to_owned(),
                carrier: Carrier::Posts {
                    post: post.to_owned(),
                    at_mm: at_mm.to_vec(),
                },
                placements: Vec::new(),
            },
        });
        id
    }

    fn place(&mut self, level: LevelId, item: Item, at_mm: [f64; 2]) -> PlacementId {
        let id = PlacementId(self.plan.next_id);
        let placements = vec![placement(id, item, at_mm, 0.0)];
        self.edit(Edit::Place { level, placements });
        id
    }

    /// Rows and columns about a centre, row by row from the door.
    fn array(&mut self, level: LevelId, lot: LotId, grid: Grid) -> Vec<PlacementId> {
        let part = self.plan.lot(lot).expect("a lot").part;
        let item = Item::Part {
            part,
            lot: Some(lot),
        };
        let middle = |n: usize| n.saturating_sub(1) as f64 / 2.0;
        let spots = (0..grid.rows).flat_map(|row| (0..grid.columns).map(move |c| (row, c)));
        let placements: Vec<Placement> = spots
            .zip(self.plan.next_id..)
            .map(|((row, column), id)| {
                let at = [
                    grid.at[0] + (column as f64 - middle(grid.columns)) * grid.pitch[0],
                    grid.at[1] + (row as f64 - middle(grid.rows)) * grid.pitch[1],
                ];
                Placement {
                    support: grid.support.map(str::to_owned),
                    ..placement(PlacementId(id), item.clone(), at, grid.angle_deg)
                }
            })
            .collect();
        let ids = placements.iter().map(|p| p.id).collect();
        self.edit(Edit::Place { level, placements });
        ids
    }

    fn coupon(&mut self, level: LevelId, part: PartId, label: &str, at_mm: [f64; 2]) {
        let label = label.to_owned();
        self.place(level, Item::Coupon { part, label }, at_mm);
    }

    fn sensor(&mut self, level: LevelId, sensor: &str, at_mm: [f64; 2], height_mm: f64) {
        let sensor = sensor.to_owned();
        self.place(level, Item::Sensor { sensor, height_mm }, at_mm);
    }

    /// Segments are numbered here.
    fn profile(&mut self, name: &str, revision: &str, unload_c: f64, segments: Vec<Segment>) {
        self.edit(Edit::SetProfile(Profile {
            name: name.to_owned(),
            revision: revision.to_owned(),
            start_c: 25.0,
            segments: Vec::new(),
            unload_c,
            approval: None,
        }));
        for (index, segment) in segments.into_iter().enumerate() {
            let id = SegmentId(self.plan.next_id);
            let segment = Segment { id, ..segment };
            self.edit(Edit::AddSegment { index, segment });
        }
    }

    fn declare_all(&mut self, answers: &[(&str, &str)]) {
        for (question, answer) in answers {
            self.declare(question, answer);
        }
    }

    fn declare(&mut self, question: &str, answer: &str) {
        self.edit(Edit::Declare(Declaration {
            question: question.to_owned(),
            answer: answer.to_owned(),
            by: "shift lead".to_owned(),
            on: "2026-11-25".to_owned(),
            ..Declaration::default()
        }));
    }
}

/// A day in fresh solvent, out of it the day before the start.
fn bath() -> Bath {
    Bath {
        solvent: Some("hexane".to_owned()),
        bath_id: Some("bath 1".to_owned()),
        temp_c: Some(40.0),
        minutes: Some(2880.0),
        wax_g_l: Some(10.0),
        basket: Some("1".to_owned()),
        on_tray: Some(false),
        ended: Some("2026-11-24 08:00".to_owned()),
        expires: Some("2027-03-31".to_owned()),
    }
}

/// What is looked at before every run.
const BEFORE_START: [(&str, &str); 16] = [
    ("oxygen-measured-before-entry", "yes"),
    ("second-person-present", "yes"),
    ("exhaust-ventilation-on", "yes"),
    ("cooling-water-flows", "yes"),
    ("door-seal-clean", "yes"),
    ("trap-coolant", "18 °C"),
    ("setters-flat", "yes"),
    ("no-cracks", "yes"),
    ("setters-of-this-family", "yes"),
    ("posts-matched", "yes"),
    ("load-thermocouples-plugged-in", "yes"),
    ("thermocouple-type-at-controller", "yes"),
    ("oversize-current", "yes"),
    ("profile-current", "yes"),
    ("program-typed-and-read-back", "yes"),
    ("gas-bank-open-and-dew-point-read", "yes"),
];

/// The same where fuel gas is let in.
const BEFORE_HYDROGEN: [(&str, &str); 4] = [
    ("flame-proven", "yes"),
    ("interlocks-tested", "yes"),
    ("hydrogen-sensor-tested", "yes"),
    ("emergency-purge-open", "yes"),
];

/// To the tenth, as scales and callipers show it.
fn tenths(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

/// Rows and columns about a centre, mm.
#[derive(Clone, Copy)]
struct Grid {
    columns: usize,
    rows: usize,
    pitch: [f64; 2],
    at: [f64; 2],
    angle_deg: f64,
    support: Option<&'static str>,
}

fn grid(columns: usize, rows: usize, pitch: [f64; 2]) -> Grid {
    Grid {
        columns,
        rows,
        pitch,
        at: [0.0, 0.0],
        angle_deg: 0.0,
        support: None,
    }
}

fn in_powder(grid: Grid) -> Grid {
    Grid {
        support: Some("alumina-powder-1"),
        ..grid
    }
}

fn placement(id: PlacementId, item: Item, at_mm: [f64; 2], angle_deg: f64) -> Placement {
    Placement {
        id,
        item,
        at_mm,
        angle_deg,
        support: None,
        locked: false,
    }
}

/// A part record from the bytes of its demo mesh file, as reading the file makes it.
fn mesh_part(id: PartId, name: &str, feedstock: &str) -> Part {
    let all = meshes::all();
    let demo = all.iter().find(|m| m.name == name).expect("a demo mesh");
    let bytes = demo.file_bytes();
    let soup = read_stl(&bytes).expect("a demo mesh reads").triangles;
    let unit = mesh_unit(demo);
    let geometry = measure_mesh(&Mesh::from_soup(&soup), unit).expect("a demo mesh measures");
    Part {
        id,
        name: name.replace('_', " "),
        feedstock: feedstock.to_owned(),
        shape: Shape::Mesh {
            file: format!("meshes/{name}.stl"),
            unit,
            sha256: sha256_hex(&bytes),
            body: None,
        },
        drawn: Drawn::Final,
        geometry: Arc::new(geometry),
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

/// Unit of a demo mesh file.
pub fn mesh_unit(demo: &DemoMesh) -> MeshUnit {
    match demo.unit {
        DemoUnit::Millimetre => MeshUnit::Millimetre,
        DemoUnit::Inch => MeshUnit::Inch,
    }
}

/// Plate of most demo levels.
const PLATE: &str = "alumina-square-250x6";

/// Four posts that leave five rows of brackets between them on a plate of 250 mm, mm.
const POSTS: [[f64; 2]; 4] = [
    [-100.0, -112.0],
    [100.0, -112.0],
    [-100.0, 112.0],
    [100.0, 112.0],
];

/// Four posts near the corners of a plate of 200 mm, mm.
const POSTS_200: [[f64; 2]; 4] = [[-88.0, -88.0], [88.0, -88.0], [-88.0, 88.0], [88.0, 88.0]];

/// The four demo loads with their file stems.
pub fn all() -> [(&'static str, Plan); 4] {
    [
        ("clean", clean()),
        ("cautions", with_cautions()),
        ("stop", with_stop()),
        ("large", large()),
    ]
}

/// Brackets and rings in 316L, cleared to load, in the small vacuum box.
pub fn clean() -> Plan {
    let mut m = Maker::new(
        "Brackets and rings, week 48",
        "small-vacuum-box",
        "2026-11-25",
        "Three levels of brackets in powder, rings on top.",
    );
    let bracket = m.part("bracket", "316l-wax");
    let ring = m.part("ring", "316l-wax");
    let bar = m.coupon_bar("316l-wax");
    let brackets = m.lot("B-4711", bracket, 60, 0.93);
    let rings = m.lot("R-4702", ring, 16, 0.95);
    let stack = m.stack();
    let mut levels = Vec::new();
    for _ in 0..3 {
        let level = m.level(stack, PLATE, "alumina-post-16x30", &POSTS);
        m.array(level, brackets, in_powder(grid(4, 5, [58.0, 40.0])));
        levels.push(level);
    }
    let top = m.level(stack, PLATE, "alumina-post-16x30", &POSTS);
    m.array(top, rings, grid(4, 4, [52.0, 52.0]));
    m.coupon(levels[0], bar, "C1", [0.0, -112.0]);
    m.coupon(top, bar, "C2", [0.0, 112.0]);
    m.sensor(levels[1], "load-1", [0.0, 20.0], 12.0);
    m.sensor(top, "load-2", [0.0, 0.0], 12.0);
    m.profile(
        "316L in argon, sections to 6 mm",
        "4",
        60.0,
        profiles::argon(1.0),
    );
    m.declare("over-temperature-set", "1375");
    m.declare_all(&BEFORE_START);
    m.declare("powder-laid", "yes");
    m.plan
}

/// The same kind of load, fuller and less carefully planned: cautions, no stop.
pub fn with_cautions() -> Plan {
    let mut m = Maker::new(
        "Brackets, two weeks in one load",
        "small-vacuum-box",
        "2026-11-26",
        "Level 5 stands on the tall posts: the others are in the retort.",
    );
    let bracket = m.part("bracket", "316l-wax");
    let bar = m.coupon_bar("316l-wax");
    let brackets = m.lot("B-4713", bracket, 100, 0.82);
    let stack = m.stack();
    let mut levels = Vec::new();
    let mut last = Vec::new();
    for i in 0..5 {
        let post = if i < 4 {
            "alumina-post-16x30"
        } else {
            "alumina-post-12x100"
        };
        let level = m.level(stack, PLATE, post, &POSTS);
        last = m.array(level, brackets, grid(4, 5, [58.0, 40.0]));
        levels.push(level);
    }
    // One row pushed together: 1 mm apart when green, less when hot.
    let pushed = last.iter().take(4).zip([-81.0, -27.0, 27.0, 81.0]);
    let moves = pushed.map(|(id, x)| Move {
        id: *id,
        level: levels[4],
        at_mm: [x, -80.0],
        angle_deg: 0.0,
    });
    m.edit(Edit::MovePlacements(moves.collect()));
    m.coupon(levels[0], bar, "C1", [0.0, -112.0]);
    m.sensor(levels[2], "load-1", [0.0, 20.0], 12.0);
    m.sensor(levels[4], "load-2", [0.0, 20.0], 12.0);
    m.profile("316L in argon, hurried", "5", 60.0, profiles::argon(1.5));
    m.declare("over-temperature-set", "1375");
    m.declare_all(&BEFORE_START);
    m.plan
}

/// Gears and levers in hydrogen with what must not happen: parts that touch, a lot with too much
/// binder left, a setter that gives off silica, hydrogen let in on air.
pub fn with_stop() -> Plan {
    let mut m = Maker::new(
        "Gears and levers, not to be run",
        "mid-hydrogen-retort",
        "2026-11-25",
        "Two sections came out of one basket; lot G-4720 needs more hours in the bath.",
    );
    let lever = m.part("lever", "17-4ph-wax");
    let gear = m.part("gear", "17-4ph-wax");
    let bar = m.coupon_bar("17-4ph-wax");
    let levers = m.lot("L-4719", lever, 12, 0.94);
    let gears = m.lot("G-4720", gear, 18, 0.55);
    let stack = m.stack();
    let alumina = "alumina-square-200x6";
    let lower = m.level(stack, alumina, "alumina-post-16x30", &POSTS_200);
    m.array(lower, gears, grid(3, 3, [54.0, 52.0]));
    let middle = m.level(stack, alumina, "alumina-post-16x30", &POSTS_200);
    m.array(middle, gears, grid(3, 3, [54.0, 52.0]));
    // The plates of alumina ran out.
    let top = m.level(
        stack,
        "mullite-square-200x8",
        "alumina-post-16x30",
        &POSTS_200,
    );
    let set_down = m.array(top, levers, grid(3, 4, [62.0, 36.0]));
    // Knocked while loading: turned by an odd angle against its neighbour.
    m.edit(Edit::MovePlacements(vec![Move {
        id: set_down[4],
        level: top,
        at_mm: [8.0, -14.0],
        angle_deg: 37.3,
    }]));
    m.coupon(lower, bar, "C1", [0.0, -88.0]);
    m.sensor(middle, "load-1", [27.0, 26.0], 12.0);
    m.profile(
        "17-4PH in hydrogen, draft",
        "0",
        60.0,
        profiles::hydrogen(false),
    );
    m.declare_all(&BEFORE_START);
    m.declare_all(&BEFORE_HYDROGEN);
    m.plan
}

/// Twelve levels of all eight parts in 17-4PH, about thirty hours in hydrogen.
pub fn large() -> Plan {
    let mut m = Maker::new(
        "All parts in 17-4PH, end of November",
        "mid-hydrogen-retort",
        "2026-11-25",
        "The gears set the pace: 9.4 mm green.",
    );
    let by_90 = |g: Grid| Grid {
        angle_deg: 90.0,
        ..g
    };
    let on_sheet = |g: Grid| Grid {
        support: Some("alumina-sheet-0.5"),
        ..g
    };
    // Mesh, levels that it takes, and how it stands on each.
    let kinds = [
        ("gear", 2, grid(5, 4, [47.5, 50.0])),
        ("bracket", 2, in_powder(grid(4, 5, [58.0, 40.0]))),
        ("latch", 2, grid(5, 6, [44.0, 33.0])),
        ("lever", 2, by_90(grid(6, 3, [38.0, 64.0]))),
        ("hinge", 1, grid(4, 5, [54.0, 38.0])),
        ("ring", 1, grid(5, 4, [48.5, 50.0])),
        ("ribbed_plate", 1, on_sheet(grid(3, 4, [76.0, 50.0]))),
        ("nozzle", 1, grid(8, 7, [29.0, 29.0])),
    ];
    let parts = kinds.map(|(mesh, ..)| m.part(mesh, "17-4ph-wax"));
    let bar = m.coupon_bar("17-4ph-wax");
    let stack = m.stack();
    let mut levels = Vec::new();
    for (i, ((mesh, count, grid), part)) in kinds.into_iter().zip(parts).enumerate() {
        let initial = mesh.chars().next().expect("a name").to_ascii_uppercase();
        let pieces = count * (grid.columns * grid.rows) as u32;
        let lot = m.lot(&format!("{initial}-48{:02}", i + 1), part, pieces, 0.93);
        for _ in 0..count {
            // Above brackets the posts are longer.
            let below = levels
                .len()
                .checked_sub(1)
                .map(|below| kinds_at(&kinds, below));
            let post = match below {
                Some("bracket") => "alumina-post-12x25",
                _ => "alumina-post-12x20",
            };
            let level = m.level(stack, PLATE, post, &POSTS);
            m.array(level, lot, grid);
            levels.push(level);
        }
    }
    for (level, label) in [(0, "C1"), (5, "C2"), (11, "C3")] {
        m.coupon(levels[level], bar, label, [0.0, -112.0]);
    }
    m.sensor(levels[5], "load-1", [0.0, 112.0], 12.0);
    m.sensor(levels[11], "load-2", [0.0, 14.5], 12.0);
    m.profile(
        "17-4PH in hydrogen, sections to 10 mm",
        "7",
        60.0,
        profiles::hydrogen(true),
    );
    m.declare("over-temperature-set", "1370");
    m.declare_all(&BEFORE_START);
    m.declare_all(&BEFORE_HYDROGEN);
    m.plan
}

fn kinds_at(kinds: &[(&'static str, u32, Grid)], level: usize) -> &'static str {
    let each = kinds.iter();
    let mut all = each.flat_map(|(mesh, count, _)| (0..*count).map(move |_| *mesh));
    all.nth(level).expect("a level")
}

/// About as wide as a part of [`any_size`] with its gaps, mm.
pub const ANY_PITCH_MM: f64 = 56.0;

/// A load of any size: parts by chance in rows, half of them turned by an odd angle, box beside box
/// with gaps from -0.1 to 1.1 mm, so that many are near and a few touch. The rows are as long as
/// they must be, also beyond the setter: for measuring and for tests, not for a furnace.
pub fn any_size(parts: usize, levels: usize, seed: u64) -> Plan {
    let mut m = Maker::new(
        &format!("{parts} parts on {levels} levels, seed {seed}"),
        "mid-hydrogen-retort",
        "2026-11-25",
        "Made by chance.",
    );
    let ids = SECTIONS_MM.map(|(mesh, _)| m.part(mesh, "17-4ph-wax"));
    let factor = m.oversize("17-4ph-wax");
    let outlines = ids.map(|id| {
        let part = m.plan.part(id).expect("a part");
        part.geometry.outline().scaled(factor[0], factor[1])
    });
    let stack = m.stack();
    let mut dice = Dice(seed);
    for l in 0..levels {
        let post = "alumina-post-12x40";
        let level = m.level(stack, "alumina-square-300x6", post, &POSTS);
        // As even as it goes.
        let here = parts * (l + 1) / levels - parts * l / levels;
        let half = 0.5 * ANY_PITCH_MM * (here as f64).sqrt();
        let ([mut x, mut y], mut next_y) = ([-half; 2], -half);
        let mut placements = Vec::new();
        for id in (m.plan.next_id..).take(here) {
            let kind = (dice.share() * ids.len() as f64) as usize;
            let quarter = 90.0 * (dice.share() * 4.0).floor();
            let odd = 360.0 * dice.share();
            let angle_deg = if dice.share() < 0.5 { odd } else { quarter };
            let turned = outlines[kind].rotated(angle_deg);
            let [low, high] = turned.bounds().expect("an outline");
            let mut gap = || 1.2 * dice.share() - 0.1;
            if x > half {
                (x, y) = (-half, next_y);
            }
            let at = [x - low[0], y - low[1]];
            x += high[0] - low[0] + gap();
            next_y = f64::max(next_y, y + high[1] - low[1] + gap());
            let item = Item::Part {
                part: ids[kind],
                lot: None,
            };
            placements.push(placement(PlacementId(id), item, at, angle_deg));
        }
        m.edit(Edit::Place { level, placements });
    }
    m.profile("17-4PH in hydrogen", "7", 60.0, profiles::hydrogen(true));
    m.plan
}

/// SplitMix64.
pub struct Dice(pub u64);

impl Dice {
    /// From 0 to less than 1.
    pub fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }
}
