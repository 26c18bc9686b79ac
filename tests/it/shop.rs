//! A small catalogue and plans for the tests, with numbers that can be worked by hand.

use setterwright::catalogue::{Catalogue, Origin, parse_file};
use setterwright::load::{
    Carrier, Item, Level, LevelId, Lot, LotId, Placement, PlacementId, Plan, Sizes, Stack, StackId,
};
use setterwright::part::{Drawn, MassState, Part, PartId, Shape, measure_typed};
use setterwright::profile::Profile;
use std::sync::Arc;

/// Metal 7.95 and binder 0.92 g/cm³ at a loading of 0.60: physics.md rows 5 and 6. 55 % of the
/// binder is soluble, as in the second story. Alumina and its plate of 300 × 300 × 6 mm: NIST SRD
/// 150 as in physics.md 6a, 23.1 kg/m².
const RECORDS: &str = r#"(
    kind: "catalogue", version: 1,
    alloys: [(
        id: "steel", name: "Steel", revision: 1, family: AusteniticStainless,
        density_g_cm3: 7.95, solidus_c: 1375.0, liquidus_c: 1400.0, sinters_with_liquid: false,
        expansion_per_k: 18e-6, governing_oxide: "Cr2O3", evaporates: false, gases: [],
        watch: "", source: "test", standing: Assumed,
    )],
    binders: [(
        id: "wax", name: "Wax and backbone", revision: 1, first_step: Water(
            diffusivity_cm2_s: 1.0, diffusion_kj_mol: 1.0,
        ),
        components: [
            (
                id: "soluble", name: "Soluble", mass_share: 0.55, first_step: true,
                density_g_cm3: 0.92, offgas_g_mol: 56.0, char_share: 0.0, trap_share: 1.0,
                reactions: [],
            ),
            (
                id: "backbone", name: "Backbone", mass_share: 0.45, first_step: false,
                density_g_cm3: 0.92, offgas_g_mol: 56.0, char_share: 0.0, trap_share: 1.0,
                reactions: [],
            ),
        ],
        caution: "", source: "test", standing: Assumed,
    )],
    feedstocks: [(
        id: "feed", name: "Feedstock", revision: 1, alloy: "steel", binder: "wax",
        loading: 0.6, oversize: (1.2, 1.2, 1.25), oversize_density: 0.98,
        debind: (from_c: 300.0, to_c: 550.0),
        sinter: (
            from_c: 1350.0, to_c: 1370.0, hold_min_min: 60.0, hold_max_min: 180.0,
            rate_max_k_min: 5.0,
        ),
        shrink_start_c: 1000.0, setter_materials: ["alumina"], ramp_limits: [],
        extraction_target: 0.9, powder_carbon_pct: 0.0, powder_oxygen_pct: 0.0,
        source: "test", standing: Assumed,
    )],
    materials: [(
        id: "alumina", name: "Alumina", revision: 1, density_g_cm3: 3.85,
        expansion_per_k: 8e-6, poisson: 0.22, silica_pct: 0.0,
        modulus_gpa: [(20.0, 416.0), (500.0, 390.0), (1000.0, 364.0), (1200.0, 354.0),
            (1400.0, 343.0), (1500.0, 338.0)],
        strength_mpa: [(20.0, 380.0), (500.0, 375.0), (1000.0, 345.0), (1200.0, 300.0),
            (1400.0, 210.0), (1500.0, 130.0)],
        source: "test", standing: Published,
    )],
    setters: [
        (
            id: "plate", name: "Plate", revision: 1, material: "alumina",
            shape: Rectangle(width_mm: 300.0, depth_mm: 300.0), thickness_mm: 6.0,
            mass_g: 2079.0, grain_um: 5.0, rated_c: 1600.0, rated_load_kg: 5.0,
            source: "test", standing: Assumed,
        ),
        (
            id: "tray", name: "Tray", revision: 1, material: "alumina",
            shape: Rectangle(width_mm: 200.0, depth_mm: 100.0), thickness_mm: 5.0,
            rim: (height_mm: 30.0, width_mm: 5.0),
            mass_g: 500.0, grain_um: 5.0, rated_c: 1600.0, rated_load_kg: 5.0,
            source: "test", standing: Assumed,
        ),
        (
            id: "round", name: "Round plate", revision: 1, material: "alumina",
            shape: Disc(diameter_mm: 200.0), thickness_mm: 5.0,
            mass_g: 600.0, grain_um: 5.0, rated_c: 1600.0, rated_load_kg: 5.0,
            source: "test", standing: Assumed,
        ),
    ],
    posts: [(
        id: "post", name: "Post", revision: 1, material: "alumina", length_mm: 50.0,
        diameter_mm: 12.0, mass_g: 20.0, rated_c: 1600.0, source: "test", standing: Assumed,
    )],
    supports: [
        (
            id: "powder", name: "Powder", revision: 1, kind: Powder, material: "alumina",
            height_mm: 1.0, margin_mm: 5.0, mass_g_cm2: 0.5, source: "test", standing: Assumed,
        ),
        (
            id: "raft", name: "Raft", revision: 1, kind: Raft, material: "",
            height_mm: 1.0, margin_mm: 0.0, mass_g_cm2: 0.5, source: "test", standing: Assumed,
        ),
    ],
)"#;

pub fn catalogue() -> Catalogue {
    let mut catalogue = Catalogue::default();
    let file = parse_file("test.ron", RECORDS).unwrap_or_else(|fault| panic!("{fault:?}"));
    catalogue
        .add_file("test.ron", file, Origin::BuiltIn)
        .unwrap_or_else(|fault| panic!("{fault:?}"));
    catalogue
}

pub fn block(width_mm: f64, depth_mm: f64, height_mm: f64) -> Shape {
    Shape::Block {
        width_mm,
        depth_mm,
        height_mm,
    }
}

pub fn part(id: u32, shape: Shape, drawn: Drawn) -> Part {
    Part {
        id: PartId(id),
        name: format!("Part {id}"),
        feedstock: "feed".to_owned(),
        geometry: Arc::new(measure_typed(&shape).unwrap()),
        shape,
        drawn,
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

pub fn lot(id: u32, part: u32, enters: MassState) -> Lot {
    Lot {
        id: LotId(id),
        name: format!("Lot {id}"),
        part: PartId(part),
        count: 1,
        enters,
        customer: None,
        green_g: None,
        dry_g: None,
        previous_dry_g: None,
        dried_min: None,
        ..Lot::default()
    }
}

pub fn piece(part: u32, lot: Option<u32>) -> Item {
    Item::Part {
        part: PartId(part),
        lot: lot.map(LotId),
    }
}

pub fn dummy(mass_g: f64) -> Item {
    Item::Dummy {
        shape: block(10.0, 10.0, 10.0),
        mass_g,
        material: "alumina".to_owned(),
    }
}

pub fn placed(id: u32, item: Item, at_mm: [f64; 2]) -> Placement {
    Placement {
        id: PlacementId(id),
        item,
        at_mm,
        angle_deg: 0.0,
        support: None,
        locked: false,
    }
}

pub fn level(id: u32, setter: &str, carrier: Carrier, placements: Vec<Placement>) -> Level {
    Level {
        id: LevelId(id),
        setter: setter.to_owned(),
        carrier,
        placements,
    }
}

pub fn on_posts(at_mm: &[[f64; 2]]) -> Carrier {
    Carrier::Posts {
        post: "post".to_owned(),
        at_mm: at_mm.to_vec(),
    }
}

/// A plan of one stack.
pub fn plan(parts: Vec<Part>, lots: Vec<Lot>, levels: Vec<Level>) -> Plan {
    let mut plan = Plan::new(
        "test",
        "",
        Profile {
            name: String::new(),
            revision: String::new(),
            start_c: 20.0,
            segments: Vec::new(),
            unload_c: 60.0,
            approval: None,
        },
    );
    plan.parts = parts.into_iter().map(Arc::new).collect();
    plan.lots = lots.into_iter().map(Arc::new).collect();
    plan.load.stacks = vec![Stack {
        id: StackId(1),
        at_mm: [0.0; 2],
        levels: levels.into_iter().map(Arc::new).collect(),
    }];
    plan
}

pub fn tally(plan: &Plan) -> setterwright::load::Tally {
    let catalogue = catalogue();
    let sizes = Sizes::new(plan, &catalogue);
    setterwright::load::tally(plan, &catalogue, None, &sizes)
}
