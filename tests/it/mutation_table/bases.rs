//! Clean loads: no stop, no caution.

use crate::demo_files::plans;
use crate::fixture::{self, Case};
use setterwright::catalogue::{Person, builtin};
use setterwright::load::{PartRecords, Plan, Signature};
use setterwright::part::{MassState, Weighed};
use setterwright::profile::{Event, EventAt, EventKind, SegmentId};

/// 316L brackets in argon in the small vacuum box.
pub fn argon() -> Case {
    fixture::clean()
}

/// The demo's clean load: meshes, coupons, a reduction hold.
pub fn demo() -> Case {
    let (catalogue, shop) = builtin().unwrap();
    Case {
        plan: plans::clean(),
        catalogue,
        shop: Some(shop),
        differences: Vec::new(),
        standard: None,
    }
}

pub fn event(kind: EventKind) -> Event {
    Event {
        at: EventAt::Start,
        kind,
    }
}

/// The brackets in hydrogen in the retort, purged before and after, with a burn-off flame.
pub fn hydrogen() -> Case {
    let mut case = fixture::clean();
    case.plan.load.furnace = "mid-hydrogen-retort".to_owned();
    case.state().last_alloy = Some("316l".to_owned());
    let pump = || event(EventKind::PumpDown { to_mbar: 10.0 });
    let fill = || {
        event(EventKind::Backfill {
            gas: "argon".to_owned(),
            to_mbar: 1000.0,
        })
    };
    let profile = case.profile();
    for segment in &mut profile.segments {
        segment.gas = Some("hydrogen".to_owned());
        segment.pressure_mbar = None;
    }
    profile.segments[0].events = vec![
        pump(),
        fill(),
        pump(),
        fill(),
        event(EventKind::BurnOffOn),
        event(EventKind::HydrogenOn),
    ];
    let mut last = profile.segments[5].clone();
    last.id = SegmentId(7);
    last.gas = Some("argon".to_owned());
    profile.segments[5].to_c = 200.0;
    last.events = vec![
        event(EventKind::HydrogenOff),
        event(EventKind::BurnOffOff),
        event(EventKind::PurgeInert { volumes: 10.0 }),
    ];
    profile.segments.push(last);
    case
}

/// Ti-6Al-4V brackets on one plate with an yttria face, in vacuum in the round hot zone.
pub fn titanium() -> Case {
    let mut case = fixture::clean();
    let slug = "ti-6al-4v-peg";
    case.plan.load.furnace = "round-hot-zone".to_owned();
    case.plan.load.stacks[0].levels.truncate(1);
    case.level(0).setter = "yttria-alumina-square-200x6".to_owned();
    let catalogue = case.catalogue.clone();
    let oversize = catalogue.feedstock(slug).unwrap().oversize;
    let part = case.part();
    part.feedstock = slug.to_owned();
    part.made_with_oversize = Some(oversize);
    part.weighed = None;
    let piece = |plan: &Plan| {
        let records = PartRecords::new(&plan.parts[0], &catalogue).unwrap();
        records.masses(0.95).unwrap()
    };
    let green_g = piece(&case.plan).green_g;
    case.part().weighed = Some(Weighed {
        state: MassState::Green,
        mass_g: green_g,
    });
    let dry_g = piece(&case.plan).dry_g;
    let pieces = fixture::PER_LEVEL as f64;
    let lot = case.lot();
    lot.count = fixture::PER_LEVEL as u32;
    lot.bath.as_mut().unwrap().solvent = Some("water".to_owned());
    lot.green_g = Some(pieces * green_g);
    (lot.dry_g, lot.previous_dry_g) = (Some(pieces * dry_g), Some(pieces * dry_g));
    let segments = &mut case.profile().segments;
    let (peak_c, hold_min) = (1300.0, 150.0);
    (segments[4].to_c, segments[4].hold_min) = (peak_c, hold_min);
    for segment in &mut segments[4..] {
        (segment.gas, segment.flow_l_min_25c) = (None, 0.0);
        segment.pressure_mbar = Some(0.0005);
    }
    case.plan.declarations[0].answer = "1320".to_owned();
    filled_at_the_end(&mut case);
    case
}

/// Parts that are sintered already, once more in vacuum, in a shop with records of its own.
pub fn vacuum() -> Case {
    let mut case = titanium();
    let lot = case.lot();
    lot.enters = MassState::Sintered;
    (lot.bath, lot.dry_g, lot.previous_dry_g) = (None, None, None);
    "our own records".clone_into(&mut case.shop_mut().source);
    for segment in &mut case.profile().segments {
        (segment.gas, segment.flow_l_min_25c) = (None, 0.0);
        segment.pressure_mbar = Some(0.0005);
    }
    filled_at_the_end(&mut case);
    case
}

/// The same without the gas that fills the furnace at the end.
pub fn vacuum_to_the_door() -> Case {
    let mut case = vacuum();
    let last = case.profile().segments.last_mut().unwrap();
    last.events
        .retain(|e| !matches!(e.kind, EventKind::Backfill { .. }));
    case
}

/// Argon to the air's pressure before the door.
fn filled_at_the_end(case: &mut Case) {
    let last = case.profile().segments.last_mut().unwrap();
    last.events
        .retain(|e| !matches!(e.kind, EventKind::Backfill { .. }));
    last.events.push(Event {
        at: EventAt::End,
        kind: EventKind::Backfill {
            gas: "argon".to_owned(),
            to_mbar: 1000.0,
        },
    });
}

/// The brackets in argon in a regulated shop, with its papers.
pub fn regulated() -> Case {
    let mut case = fixture::clean();
    let (roles, names) = (["engineer", "technician"], ["E", "T"]);
    let shop = case.shop_mut();
    shop.regulated = true;
    shop.signing_roles = roles.map(str::to_owned).to_vec();
    let person = |(name, role): (&str, &str)| Person {
        name: name.to_owned(),
        roles: vec![role.to_owned()],
        qualified_until: Some("2027-12-31".to_owned()),
    };
    shop.people = names.into_iter().zip(roles).map(person).collect();
    case.lot().certificate = Some("C-1".to_owned());
    case.profile().approval = Some(crate::checks_approval::approval());
    let signed = |(by, role): (&str, &str)| Signature {
        role: role.to_owned(),
        by: by.to_owned(),
        on: "2026-11-24".to_owned(),
        at: None,
    };
    case.plan.signatures = names.into_iter().zip(roles).map(signed).collect();
    case
}

/// Makes a clean load.
pub type Base = fn() -> Case;

/// All of them by name.
pub const ALL: [(&str, Base); 6] = [
    ("argon", argon),
    ("demo", demo),
    ("hydrogen", hydrogen),
    ("titanium", titanium),
    ("vacuum", vacuum),
    ("regulated", regulated),
];
