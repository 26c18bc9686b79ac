//! Lots, debinding and alloys that share a load.

use super::{Row, argon};
use crate::fixture::{Case, PER_LEVEL};
use setterwright::catalogue::FirstStep;
use setterwright::load::{Item, LotId, PartRecords};
use setterwright::part::{MassState, PartId};
use setterwright::profile::RampBy;
use std::sync::Arc;

/// Brackets weighed so that a share of the first-step binder is out.
fn extracted(case: &mut Case, share: f64) {
    let catalogue = Arc::clone(&case.catalogue);
    let first_g = {
        let records = PartRecords::new(&case.plan.parts[0], &catalogue).unwrap();
        records.masses(1.0).unwrap().first_step_g
    };
    let lot = case.lot();
    let dry_g = lot.green_g.unwrap() - share * f64::from(lot.count) * first_g;
    (lot.dry_g, lot.previous_dry_g) = (Some(dry_g), Some(dry_g));
}

fn without_lot(case: &mut Case, pieces: usize) {
    for index in 0..pieces {
        let placement = &mut case.level(index / PER_LEVEL).placements[index % PER_LEVEL];
        if let Item::Part { lot, .. } = &mut placement.item {
            *lot = None;
        }
    }
}

/// The brackets of the upper level become those of another feedstock, of a lot of their own.
fn second_feedstock(case: &mut Case, slug: &str) {
    let catalogue = Arc::clone(&case.catalogue);
    let feedstock = catalogue.feedstock(slug).unwrap();
    let id = PartId(900);
    let mut part = case.plan.parts[0].as_ref().clone();
    (part.id, part.name) = (id, "Second".to_owned());
    part.feedstock = slug.to_owned();
    part.made_with_oversize = Some(feedstock.oversize);
    part.weighed = None;
    let masses = {
        let records = PartRecords::new(&part, &catalogue).unwrap();
        records.masses(0.92).unwrap()
    };
    part.weighed = Some(setterwright::part::Weighed {
        state: MassState::Green,
        mass_g: masses.green_g,
    });
    let mut lot = case.plan.lots[0].as_ref().clone();
    let binder = catalogue.binder(&feedstock.binder).unwrap();
    if let Some(bath) = &mut lot.bath {
        bath.solvent = match &binder.first_step {
            FirstStep::Solvent { solvent, .. } => Some(solvent.clone()),
            _ => Some("water".to_owned()),
        };
    }
    let pieces = PER_LEVEL as f64;
    (lot.id, lot.part, lot.name) = (LotId(901), id, "B1".to_owned());
    lot.count = PER_LEVEL as u32;
    lot.green_g = Some(pieces * masses.green_g);
    (lot.dry_g, lot.previous_dry_g) = (Some(pieces * masses.dry_g), Some(pieces * masses.dry_g));
    let first = case.lot();
    first.count = PER_LEVEL as u32;
    for mass in [
        &mut first.green_g,
        &mut first.dry_g,
        &mut first.previous_dry_g,
    ] {
        *mass = mass.map(|g| g / 2.0);
    }
    case.plan.parts.push(Arc::new(part));
    case.plan.lots.push(Arc::new(lot));
    for placement in &mut case.level(1).placements {
        if let Item::Part { part, lot } = &mut placement.item {
            (*part, *lot) = (id, Some(LotId(901)));
        }
    }
}

fn alloy(case: &mut Case, id: &str, change: impl FnOnce(&mut setterwright::catalogue::Alloy)) {
    let record = case.catalogue_mut().alloys.get_mut(id).unwrap();
    change(Arc::make_mut(&mut record.1));
}

fn feedstock(
    case: &mut Case,
    id: &str,
    change: impl FnOnce(&mut setterwright::catalogue::Feedstock),
) {
    let record = case.catalogue_mut().feedstocks.get_mut(id).unwrap();
    change(Arc::make_mut(&mut record.1));
}

pub fn rows() -> Vec<Row> {
    vec![
        argon("lot-mass-differs", "a lot of 13.3 g a piece", |c| {
            let lot = c.lot();
            let scale = 13.3 / 12.58;
            for mass in [&mut lot.green_g, &mut lot.dry_g, &mut lot.previous_dry_g] {
                *mass = mass.map(|g| g * scale);
            }
        }),
        argon(
            "lot-count-mismatch",
            "a lot of 25, of which 24 stand",
            |c| {
                let lot = c.lot();
                lot.count = 25;
                for mass in [&mut lot.green_g, &mut lot.dry_g, &mut lot.previous_dry_g] {
                    *mass = mass.map(|g| g * 25.0 / 24.0);
                }
            },
        ),
        argon(
            "lot-without-placement",
            "the lot taken off all pieces",
            |c| {
                without_lot(c, 2 * PER_LEVEL);
            },
        )
        .with(&["part-without-lot"])
        .lapses(&[
            "extraction-above-binder",
            "extraction-low",
            "extraction-not-weighed",
            "extraction-too-low",
            "first-step-missing",
            "lot-not-dry",
            "residual-binder-over-furnace-rating",
            "solvent-on-parts",
            "trap-nearly-full",
            "trap-over-full",
        ]),
        argon("part-without-lot", "the lot taken off one piece", |c| {
            without_lot(c, 1);
            let lot = c.lot();
            lot.count = 23;
            for mass in [&mut lot.green_g, &mut lot.dry_g, &mut lot.previous_dry_g] {
                *mass = mass.map(|g| g * 23.0 / 24.0);
            }
        })
        .lapses(&[
            "extraction-above-binder",
            "extraction-low",
            "extraction-not-weighed",
            "extraction-too-low",
            "first-step-missing",
            "lot-not-dry",
            "residual-binder-over-furnace-rating",
            "solvent-on-parts",
            "trap-nearly-full",
            "trap-over-full",
        ]),
        argon("first-step-missing", "a green lot", |c| {
            let lot = c.lot();
            lot.enters = MassState::Green;
            (lot.bath, lot.dry_g, lot.previous_dry_g) = (None, None, None);
        }),
        argon(
            "extraction-too-low",
            "58 % of the first-step binder out",
            |c| extracted(c, 0.58),
        ),
        argon("extraction-low", "60 % of the first-step binder out", |c| {
            extracted(c, 0.6)
        }),
        argon(
            "extraction-not-weighed",
            "no weighing after the bath",
            |c| c.lot().dry_g = None,
        )
        .with(&["solvent-on-parts"])
        .lapses(&[
            "dryer-air-short",
            "extraction-above-binder",
            "extraction-low",
            "extraction-too-low",
            "residual-binder-over-furnace-rating",
            "solvent-on-parts",
            "trap-nearly-full",
            "trap-over-full",
        ]),
        argon(
            "extraction-above-binder",
            "101 % of the first-step binder out",
            |c| {
                extracted(c, 1.01);
            },
        ),
        argon(
            "lot-not-dry",
            "of a feedstock that goes into water, half an hour in the dryer",
            |c| {
                let oversize = c.catalogue.feedstock("316l-peg").unwrap().oversize;
                let part = c.part();
                part.feedstock = "316l-peg".to_owned();
                part.made_with_oversize = Some(oversize);
                super::parts::weigh(c);
                c.lot().dried_min = Some(30.0);
                c.lot().bath.as_mut().unwrap().solvent = Some("water".to_owned());
            },
        ),
        argon(
            "residual-binder-over-furnace-rating",
            "a furnace rated for 10 g of binder",
            |c| {
                c.furnace().binder_rating_g = 10.0;
            },
        ),
        argon("trap-nearly-full", "330 g in the trap", |c| {
            c.state().trap_fill_g = Some(330.0)
        }),
        argon("trap-over-full", "399 g in the trap", |c| {
            c.state().trap_fill_g = Some(399.0)
        }),
        argon("sweep-too-low", "7.9 L/min in the debind range", |c| {
            c.profile().segments[1].flow_l_min_25c = 7.9;
        }),
        argon(
            "ramp-too-fast-for-section",
            "1.1 K/min for a section of 5.9 mm",
            |c| {
                c.profile().segments[1].ramp = RampBy::Rate { k_min: 1.1 };
            },
        ),
        argon(
            "ramp-far-too-fast-for-section",
            "2.1 K/min for a section of 5.9 mm",
            |c| {
                c.profile().segments[1].ramp = RampBy::Rate { k_min: 2.1 };
            },
        ),
        argon(
            "full-rate-in-debind-range",
            "full rate to 150 °C and a little beyond",
            |c| {
                c.profile().segments[1].ramp = RampBy::FullRate;
            },
        )
        .with(&["ramp-far-too-fast-for-section"]),
        argon(
            "debind-hold-missing",
            "no hold where the backbone leaves",
            |c| {
                for segment in &mut c.profile().segments[..3] {
                    segment.hold_min = 0.0;
                }
            },
        )
        .with(&["fahrenheit-suspicion"]),
        argon(
            "debind-ranges-do-not-overlap",
            "half the load debinds below 149 °C",
            |c| {
                second_feedstock(c, "316l-filament");
                feedstock(c, "316l-filament", |f| {
                    (f.debind.from_c, f.debind.to_c) = (100.0, 149.0);
                });
            },
        )
        .with(&["binder-systems-mixed", "debind-hold-missing"]),
        argon(
            "binder-systems-mixed",
            "half the load of another binder",
            |c| {
                second_feedstock(c, "316l-filament");
            },
        ),
        argon("alloys-share-load", "half the load of 17-4PH", |c| {
            second_feedstock(c, "17-4ph-wax")
        })
        .with(&["previous-load-incompatible", "vapour-mix"]),
        argon("carbon-mix", "half the load of 420", |c| {
            second_feedstock(c, "420-wax")
        })
        .with(&[
            "alloys-share-load",
            "peak-above-sinter-range",
            "peak-above-usable-setpoints",
            "previous-load-incompatible",
            "vapour-mix",
        ]),
        argon(
            "vapour-mix",
            "half the load of 17-4PH, which 316L may stand beside",
            |c| {
                second_feedstock(c, "17-4ph-wax");
                alloy(c, "17-4ph", |a| a.may_share_with.push("316l".to_owned()));
            },
        ),
        argon("reactive-mix", "half the load of titanium", |c| {
            second_feedstock(c, "ti-6al-4v-peg")
        })
        .lapses(&["titanium-vacuum-too-poor"])
        .with(&[
            "binder-systems-mixed",
            "leak-rate-too-high",
            "peak-above-sinter-range",
            "peak-above-usable-setpoints",
            "previous-load-incompatible",
            "setter-material-refused",
            "titanium-dust",
            "vapour-mix",
        ]),
        argon(
            "peaks-differ",
            "half the load with a sinter range that begins 6 K above the other's end",
            |c| {
                second_feedstock(c, "316l-filament");
                feedstock(c, "316l-filament", |f| {
                    (f.sinter.from_c, f.sinter.to_c) = (1381.0, 1390.0);
                });
            },
        )
        .with(&[
            "binder-systems-mixed",
            "peak-below-sinter-range",
            "sinter-ranges-do-not-overlap",
        ]),
        argon(
            "sinter-ranges-do-not-overlap",
            "half the load of copper",
            |c| {
                second_feedstock(c, "copper-wax");
            },
        )
        .lapses(&["carbon-mix"])
        .with(&[
            "alloys-share-load",
            "peak-above-sinter-range",
            "peak-near-solidus",
            "peaks-differ",
            "previous-load-incompatible",
            "reduction-hold-missing",
            "vapour-mix",
        ]),
        argon(
            "previous-load-incompatible",
            "copper in the load before",
            |c| {
                c.state().last_alloy = Some("copper".to_owned());
            },
        ),
        argon("duplicate-names", "a second lot of the same name", |c| {
            let mut lot = c.plan.lots[0].as_ref().clone();
            lot.id = LotId(901);
            c.plan.lots.push(Arc::new(lot));
        })
        .with(&["lot-without-placement"]),
    ]
}
