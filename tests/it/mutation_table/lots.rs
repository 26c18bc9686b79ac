//! Lots, debinding and alloys that share a load.

use super::parts::{unmeasured, without_feedstock, without_limit};
use super::{Row, argon};
use crate::fixture::{Case, PER_LEVEL};
use setterwright::catalogue::{Family, FirstStep, Severity};
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

pub fn without_lot(case: &mut Case, pieces: usize) {
    for index in 0..pieces {
        let placement = &mut case.level(index / PER_LEVEL).placements[index % PER_LEVEL];
        if let Item::Part { lot, .. } = &mut placement.item {
            *lot = None;
        }
    }
}

/// The brackets of the upper level become those of another feedstock, of a lot of their own.
pub fn second_feedstock(case: &mut Case, slug: &str) {
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

/// A lot weighed anew, as if each piece were of this mass.
fn lot_of(case: &mut Case, each_g: f64) {
    let lot = case.lot();
    for mass in [&mut lot.green_g, &mut lot.dry_g, &mut lot.previous_dry_g] {
        *mass = mass.map(|g| g * each_g / 12.58);
    }
}

/// Brackets of a feedstock that goes into water, so long in the dryer.
fn in_water(case: &mut Case, dried_min: f64) {
    let oversize = case.catalogue.feedstock("316l-peg").unwrap().oversize;
    let part = case.part();
    part.feedstock = "316l-peg".to_owned();
    part.made_with_oversize = Some(oversize);
    super::parts::weigh(case);
    case.lot().dried_min = Some(dried_min);
    case.lot().bath.as_mut().unwrap().solvent = Some("water".to_owned());
}

fn ramp(case: &mut Case, by: RampBy) {
    case.profile().segments[1].ramp = by;
}

/// The first segment at full rate up to somewhere.
fn full_rate_up_to(case: &mut Case, to_c: f64) {
    let first = &mut case.profile().segments[0];
    (first.ramp, first.to_c) = (RampBy::FullRate, to_c);
}

/// Half the load of a feedstock with this debind range.
fn debinds(case: &mut Case, from_c: f64, to_c: f64) {
    second_feedstock(case, "316l-filament");
    feedstock(case, "316l-filament", |f| {
        (f.debind.from_c, f.debind.to_c) = (from_c, to_c);
    });
}

/// Half the load of a feedstock with this sinter range.
fn sinters(case: &mut Case, from_c: f64, to_c: f64) {
    second_feedstock(case, "316l-filament");
    feedstock(case, "316l-filament", |f| {
        (f.sinter.from_c, f.sinter.to_c) = (from_c, to_c);
    });
}

fn second_lot(case: &mut Case, name: &str) {
    let mut lot = case.plan.lots[0].as_ref().clone();
    (lot.id, lot.name) = (LotId(901), name.to_owned());
    case.plan.lots.push(Arc::new(lot));
}

pub fn rows() -> Vec<Row> {
    vec![
        argon("lot-mass-differs", "a lot of 13.3 g a piece", |c| {
            lot_of(c, 13.3)
        })
        .weighs(Severity::Caution)
        .inside("a lot of 13.2 g a piece", |c| lot_of(c, 13.2))
        .missing("a lot that nobody weighed green", |c| {
            c.lot().green_g = None
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
        )
        .weighs(Severity::Stop)
        .no_between("one piece more or less is a difference")
        .missing("regulated work without lots", |c| {
            c.shop_mut().regulated = true;
            without_lot(c, 2 * PER_LEVEL);
            c.plan.lots.clear();
        }),
        argon(
            "lot-without-placement",
            "the lot taken off all pieces",
            |c| {
                without_lot(c, 2 * PER_LEVEL);
            },
        )
        .with(&["part-without-lot"])
        .lapses(&[
            "bath-of-other-solvent",
            "bath-too-hot",
            "dryer-air-short",
            "dryer-not-ventilated",
            "dryer-too-hot",
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
        ])
        .weighs(Severity::Note)
        .inside("the lot left on one piece", |c| {
            without_lot(c, 2 * PER_LEVEL - 1)
        })
        .never_missing("that no piece has the lot is what it finds"),
        argon("part-without-lot", "the lot taken off one piece", |c| {
            without_lot(c, 1);
            let lot = c.lot();
            lot.count = 23;
            for mass in [&mut lot.green_g, &mut lot.dry_g, &mut lot.previous_dry_g] {
                *mass = mass.map(|g| g * 23.0 / 24.0);
            }
        })
        .lapses(&[
            "bath-of-other-solvent",
            "bath-too-hot",
            "dryer-air-short",
            "dryer-not-ventilated",
            "dryer-too-hot",
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
        ])
        .weighs(Severity::Note)
        .no_between("one piece without a lot is one too many")
        .never_missing("that the lot is missing is what it finds"),
        argon("first-step-missing", "a green lot", |c| {
            let lot = c.lot();
            lot.enters = MassState::Green;
            (lot.bath, lot.dry_g, lot.previous_dry_g) = (None, None, None);
        })
        .weighs(Severity::Stop)
        .no_between("a lot has been through its first step or has not")
        .missing("the lot taken off one piece", |c| without_lot(c, 1)),
        argon(
            "extraction-too-low",
            "58 % of the first-step binder out",
            |c| extracted(c, 0.58),
        )
        .with(&["bath-and-weighing-disagree"])
        .weighs(Severity::Stop)
        .inside("59.5 % out", |c| extracted(c, 0.595))
        .missing("no weighing after the bath", |c| c.lot().dry_g = None),
        argon("extraction-low", "60 % of the first-step binder out", |c| {
            extracted(c, 0.6)
        })
        .with(&["bath-and-weighing-disagree"])
        .weighs(Severity::Caution)
        .inside("85.2 % out", |c| extracted(c, 0.852))
        .missing("no weighing after the bath", |c| c.lot().dry_g = None),
        argon(
            "extraction-not-weighed",
            "no weighing after the bath",
            |c| c.lot().dry_g = None,
        )
        .with(&["solvent-on-parts"])
        .lapses(&[
            "bath-and-weighing-disagree",
            "dryer-air-short",
            "extraction-above-binder",
            "extraction-low",
            "extraction-too-low",
            "residual-binder-over-furnace-rating",
            "solvent-on-parts",
            "trap-nearly-full",
            "trap-over-full",
        ])
        .weighs(Severity::Caution)
        .no_between("it was weighed or was not")
        .missing("the lot taken off one piece", |c| without_lot(c, 1)),
        argon(
            "extraction-above-binder",
            "101 % of the first-step binder out",
            |c| {
                extracted(c, 1.01);
            },
        )
        .weighs(Severity::Stop)
        .inside("99.9 % out", |c| extracted(c, 0.999))
        .missing("no weighing after the bath", |c| c.lot().dry_g = None),
        argon(
            "lot-not-dry",
            "of a feedstock that goes into water, half an hour in the dryer",
            |c| in_water(c, 30.0),
        )
        .weighs(Severity::Caution)
        .inside("121 minutes in the dryer", |c| in_water(c, 121.0))
        .missing("no weighing before the last", |c| {
            in_water(c, 121.0);
            c.lot().previous_dry_g = None;
        }),
        argon(
            "residual-binder-over-furnace-rating",
            "a furnace rated for 10 g of binder",
            |c| {
                c.furnace().binder_rating_g = 10.0;
            },
        )
        .weighs(Severity::Stop)
        .inside("a furnace rated for 10.8 g", |c| {
            c.furnace().binder_rating_g = 10.8
        })
        .missing("no weighing after the bath", |c| c.lot().dry_g = None),
        argon("trap-nearly-full", "330 g in the trap", |c| {
            c.state().trap_fill_g = Some(330.0)
        })
        .weighs(Severity::Caution)
        .inside("312 g in the trap", |c| c.state().trap_fill_g = Some(312.0))
        .missing("a trap of which nobody noted the filling", |c| {
            c.state().trap_fill_g = None
        }),
        argon("trap-over-full", "399 g in the trap", |c| {
            c.state().trap_fill_g = Some(399.0)
        })
        .weighs(Severity::Stop)
        .inside("392 g in the trap", |c| c.state().trap_fill_g = Some(392.0))
        .missing("a trap of which nobody noted the filling", |c| {
            c.state().trap_fill_g = None
        }),
        argon("sweep-too-low", "7.9 L/min in the debind range", |c| {
            c.profile().segments[1].flow_l_min_25c = 7.9;
        })
        .weighs(Severity::Caution)
        .inside("8 L/min in the debind range", |c| {
            c.profile().segments[1].flow_l_min_25c = 8.0
        })
        .missing("the furnace's record taken out", |c| {
            c.catalogue_mut().furnaces.remove("small-vacuum-box");
        }),
        argon(
            "ramp-too-fast-for-section",
            "1.1 K/min for a section of 5.9 mm",
            |c| ramp(c, RampBy::Rate { k_min: 1.1 }),
        )
        .weighs(Severity::Caution)
        .inside("1 K/min", |c| ramp(c, RampBy::Rate { k_min: 1.0 }))
        .missing("an L of which nobody stated the section", unmeasured),
        argon(
            "ramp-far-too-fast-for-section",
            "2.1 K/min for a section of 5.9 mm",
            |c| ramp(c, RampBy::Rate { k_min: 2.1 }),
        )
        .weighs(Severity::Stop)
        .inside("2 K/min", |c| ramp(c, RampBy::Rate { k_min: 2.0 }))
        .missing("an L of which nobody stated the section", unmeasured),
        argon(
            "full-rate-in-debind-range",
            "full rate from 300 to 450 °C",
            |c| ramp(c, RampBy::FullRate),
        )
        .with(&["ramp-far-too-fast-for-section"])
        .weighs(Severity::Caution)
        .inside("full rate to 150 °C, where the range begins", |c| {
            full_rate_up_to(c, 150.0)
        })
        .missing("the feedstock's record taken out", without_feedstock),
        argon(
            "debind-hold-missing",
            "no hold where the backbone leaves",
            |c| {
                for segment in &mut c.profile().segments[..3] {
                    segment.hold_min = 0.0;
                }
            },
        )
        .with(&["fahrenheit-suspicion"])
        .weighs(Severity::Stop)
        .inside("10.2 minutes in the range", |c| {
            for segment in &mut c.profile().segments[..3] {
                segment.hold_min = 3.4;
            }
        })
        .missing("nobody has set the limit", |c| {
            without_limit(c, "hold-counts-from");
        }),
        argon(
            "debind-ranges-do-not-overlap",
            "half the load debinds below 149 °C",
            |c| debinds(c, 100.0, 149.0),
        )
        .with(&["binder-systems-mixed", "debind-hold-missing"])
        .weighs(Severity::Stop)
        .inside(
            "half the load debinds up to 150 °C, where the other begins",
            |c| debinds(c, 100.0, 150.0),
        )
        .missing("half the load with a range from high to low", |c| {
            debinds(c, 200.0, 149.0)
        }),
        argon(
            "binder-systems-mixed",
            "half the load of another binder",
            |c| {
                second_feedstock(c, "316l-filament");
            },
        )
        .weighs(Severity::Caution)
        .inside(
            "half the load of another feedstock with the same binder",
            |c| second_feedstock(c, "17-4ph-wax"),
        )
        .missing("the feedstock's record taken out", without_feedstock),
        argon("alloys-share-load", "half the load of 17-4PH", |c| {
            second_feedstock(c, "17-4ph-wax")
        })
        .with(&["previous-load-incompatible", "vapour-mix"])
        .weighs(Severity::Stop)
        .inside("17-4PH, which 316L may stand beside", |c| {
            second_feedstock(c, "17-4ph-wax");
            alloy(c, "17-4ph", |a| a.may_share_with.push("316l".to_owned()));
        })
        .missing("the other alloy's record taken out", |c| {
            second_feedstock(c, "17-4ph-wax");
            c.catalogue_mut().alloys.remove("17-4ph");
        }),
        argon("carbon-mix", "half the load of 420", |c| {
            second_feedstock(c, "420-wax")
        })
        .with(&[
            "alloys-share-load",
            "peak-above-sinter-range",
            "peak-above-usable-setpoints",
            "previous-load-incompatible",
            "vapour-mix",
        ])
        .weighs(Severity::Stop)
        .inside("420 from the 0.03 % to which 316L goes", |c| {
            second_feedstock(c, "420-wax");
            alloy(c, "420", |a| a.carbon_min_pct = Some(0.03));
        })
        .missing(
            "420 of which nobody says how much carbon it may have",
            |c| {
                second_feedstock(c, "420-wax");
                alloy(c, "420", |a| a.carbon_max_pct = None);
            },
        ),
        argon(
            "vapour-mix",
            "half the load of 17-4PH, which 316L may stand beside",
            |c| {
                second_feedstock(c, "17-4ph-wax");
                alloy(c, "17-4ph", |a| a.may_share_with.push("316l".to_owned()));
            },
        )
        .weighs(Severity::Caution)
        .inside("17-4PH as of the same family", |c| {
            second_feedstock(c, "17-4ph-wax");
            alloy(c, "17-4ph", |a| a.family = Family::AusteniticStainless);
        })
        .missing("the other alloy's record taken out", |c| {
            second_feedstock(c, "17-4ph-wax");
            c.catalogue_mut().alloys.remove("17-4ph");
        }),
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
        ])
        .weighs(Severity::Stop)
        .no_between("titanium is with others or is not")
        .missing("the other alloy's record taken out", |c| {
            second_feedstock(c, "ti-6al-4v-peg");
            c.catalogue_mut().alloys.remove("ti-6al-4v");
        }),
        argon(
            "peaks-differ",
            "half the load with a sinter range that begins 6 K above the other's end",
            |c| sinters(c, 1381.0, 1390.0),
        )
        .with(&[
            "binder-systems-mixed",
            "peak-below-sinter-range",
            "sinter-ranges-do-not-overlap",
        ])
        .weighs(Severity::Stop)
        .inside("a range that begins 5 K above the other's end", |c| {
            sinters(c, 1380.0, 1390.0)
        })
        .missing("nobody has set the limit", |c| {
            second_feedstock(c, "316l-filament");
            without_limit(c, "peak-difference-max");
        }),
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
        ])
        .weighs(Severity::Stop)
        .inside("a range that begins at the other's end", |c| {
            sinters(c, 1375.0, 1390.0)
        })
        .missing("half the load with a range from high to low", |c| {
            sinters(c, 1390.0, 1340.0)
        }),
        argon(
            "previous-load-incompatible",
            "copper in the load before",
            |c| {
                c.state().last_alloy = Some("copper".to_owned());
            },
        )
        .weighs(Severity::Caution)
        .inside("copper, which may stand beside 316L", |c| {
            c.state().last_alloy = Some("copper".to_owned());
            alloy(c, "copper", |a| a.may_share_with.push("316l".to_owned()));
        })
        .missing("nobody noted the load before", |c| {
            c.state().last_alloy = None
        }),
        argon("duplicate-names", "a second lot of the same name", |c| {
            second_lot(c, "A1")
        })
        .with(&["lot-without-placement"])
        .weighs(Severity::Caution)
        .inside("a second lot of another name", |c| second_lot(c, "A2"))
        .never_missing("every lot and part has a name, and two without one are called alike"),
    ]
}
