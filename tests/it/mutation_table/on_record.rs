//! What people declared, and what is on record of lots, furnace and plan.

use super::{Row, argon, hydrogen, taken};
use crate::fixture::{Case, PART};
use setterwright::catalogue::Severity::{Caution, Note, Stop};
use setterwright::load::{Acceptance, Bath, Declaration, Item, Lot, LotId};
use setterwright::part::Rest;
use std::sync::Arc;

fn said<'a>(case: &'a mut Case, slug: &str) -> &'a mut Declaration {
    let mut all = case.plan.declarations.iter_mut();
    all.find(|d| d.question == slug).unwrap()
}

fn bath(case: &mut Case) -> &mut Bath {
    case.lot().bath.as_mut().unwrap()
}

/// One bracket of a lot of its own with these factors, the others with 1.1777.
fn two_lots(c: &mut Case, oversize: Option<[f64; 3]>) {
    c.lot().oversize = Some([1.1777; 3]);
    let (name, id) = ("A2".to_owned(), LotId(999));
    let pieces = f64::from(c.lot().count);
    let share = |g: Option<f64>| g.map(|g| g / pieces);
    c.lot().count -= 1;
    let one = Lot {
        id,
        name,
        count: 1,
        green_g: share(c.lot().green_g),
        dry_g: share(c.lot().dry_g),
        previous_dry_g: share(c.lot().dry_g),
        oversize,
        ..c.lot().clone()
    };
    let rest = |g: Option<f64>| g.map(|g| g * (pieces - 1.0) / pieces);
    let lot = c.lot();
    lot.green_g = rest(lot.green_g);
    lot.dry_g = rest(lot.dry_g);
    lot.previous_dry_g = rest(lot.previous_dry_g);
    c.plan.lots.push(Arc::new(one));
    c.bracket().item = Item::Part {
        part: PART,
        lot: Some(id),
    };
}

/// A thermocouple of type K in the roof, with so many runs above 980 °C.
fn type_k(c: &mut Case, uses_above_980: Option<u32>) {
    let mut all = c.state().sensors.iter_mut();
    let sensor = all.find(|s| s.slot == "monitor-roof").unwrap();
    sensor.kind = "K".to_owned();
    sensor.logger_kind = Some("K".to_owned());
    (sensor.uses, sensor.uses_above_980) = (Some(100), uses_above_980);
}

pub fn rows() -> Vec<Row> {
    vec![
        argon("not-declared", "nobody looked for cracks", |c| {
            c.plan.declarations.retain(|d| d.question != "no-cracks");
        })
        .weighs(Note)
        .no_between("somebody declared it or nobody did")
        .missing("the furnace's record taken out", taken::furnace),
        argon("declared-otherwise", "a cracked setter declared", |c| {
            "no".clone_into(&mut said(c, "no-cracks").answer);
        })
        .weighs(Stop)
        .inside("25 °C at the trap's coolant", |c| {
            "25 °C".clone_into(&mut said(c, "trap-coolant").answer)
        })
        .missing("a shop without that limit", |c| {
            taken::limit(c, "trap-coolant-max")
        }),
        argon("declaration-stale", "declared a week before", |c| {
            "2026-11-17".clone_into(&mut said(c, "no-cracks").on);
        })
        .weighs(Note)
        .inside("declared two days before", |c| {
            "2026-11-22".clone_into(&mut said(c, "no-cracks").on)
        })
        .missing("declared on no day", |c| said(c, "no-cracks").on.clear()),
        argon(
            "brown-waited-too-long",
            "four days from the bath to the start",
            |c| {
                bath(c).ended = Some("2026-11-20 06:00".to_owned());
            },
        )
        .weighs(Note)
        .inside("three days from the bath to the start", |c| {
            bath(c).ended = Some("2026-11-21 06:00".to_owned())
        })
        .missing("no end of the bath", |c| bath(c).ended = None),
        argon(
            "bath-and-weighing-disagree",
            "ten minutes in the bath for what was weighed",
            |c| bath(c).minutes = Some(10.0),
        )
        .with(&["extraction-centre-low"])
        .weighs(Caution)
        .inside("520 minutes in the bath", |c| bath(c).minutes = Some(520.0))
        .missing("no time in the bath", |c| bath(c).minutes = None),
        argon(
            "past-its-date",
            "feedstock to be used until the day before",
            |c| c.lot().feedstock_expires = Some("2026-11-23".to_owned()),
        )
        .weighs(Caution)
        .inside("feedstock to be used until the day", |c| {
            c.lot().feedstock_expires = Some("2026-11-24".to_owned())
        })
        .missing("regulated work without a date", |c| {
            c.shop_mut().regulated = true;
            c.lot().feedstock_expires = None;
        }),
        argon("extraction-centre-low", "ten minutes in the bath", |c| {
            bath(c).minutes = Some(10.0);
        })
        .with(&["bath-and-weighing-disagree"])
        .weighs(Caution)
        .inside("520 minutes in the bath", |c| bath(c).minutes = Some(520.0))
        .missing("no time in the bath", |c| bath(c).minutes = None),
        argon("lots-oversize-differ", "two lots, 1.1777 and 1.19", |c| {
            two_lots(c, Some([1.19; 3]));
        })
        .weighs(Caution)
        .inside("two lots, 1.1777 and 1.1818", |c| {
            two_lots(c, Some([1.1818; 3]))
        })
        .missing("two lots, one without factors", |c| two_lots(c, None)),
        argon(
            "thermocouple-used-up",
            "91 runs of type K above 980 °C",
            |c| type_k(c, Some(91)),
        )
        .with(&["thermocouple-type-changed", "thermocouple-unsuited"])
        .weighs(Stop)
        .inside("90 runs above 980 °C", |c| type_k(c, Some(90)))
        .missing("runs that nobody counted", |c| type_k(c, None)),
        argon(
            "repaired-since-survey",
            "new elements after the survey",
            |c| {
                c.state().repaired_on = Some("2026-10-20".to_owned());
            },
        )
        .lapses(&[
            "no-setpoint-exists",
            "peak-above-usable-setpoints",
            "peak-below-usable-setpoints",
            "peak-near-solidus",
            "setter-temperature",
        ])
        .weighs(Caution)
        .inside("new elements on the day of the survey", |c| {
            c.state().repaired_on = Some("2026-10-12".to_owned())
        })
        .missing("new elements on a day that cannot be read", |c| {
            c.state().repaired_on = Some("in October".to_owned())
        }),
        argon(
            "trap-not-emptied",
            "eleven runs since the trap was emptied",
            |c| {
                c.state().trap_runs = Some(11);
            },
        )
        .weighs(Caution)
        .inside("ten runs", |c| c.state().trap_runs = Some(10))
        .missing("runs that nobody counted", |c| c.state().trap_runs = None),
        hydrogen("exhaust-dew-point-high", "-30 °C at the exhaust", |c| {
            c.state().exhaust_dew_point_c = Some(-30.0);
        })
        .weighs(Caution)
        .inside("-40 °C at the exhaust", |c| {
            c.state().exhaust_dew_point_c = Some(-40.0)
        })
        .missing("nothing read at the exhaust", |c| {
            c.state().exhaust_dew_point_c = None
        }),
        argon(
            "charge-outside-tried",
            "a standard tried with half a kilogram",
            |c| {
                c.plan.validated_kg = Some([0.5, 0.9]);
            },
        )
        .weighs(Caution)
        .inside("one tried with 0.3 kg, where 0.302 stand", |c| {
            c.plan.validated_kg = Some([0.3, 0.9])
        })
        .missing(
            "begun from a standard of which nobody says with what it was tried",
            |c| c.plan.begun_from = Some("Brackets.load.ron".to_owned()),
        ),
        argon(
            "acceptance-without-reason",
            "an acceptance without a reason",
            |c| {
                c.plan.acceptances = vec![Acceptance {
                    check: "gap-too-small".to_owned(),
                    by: "K".to_owned(),
                    on: "2026-11-24".to_owned(),
                    ..Acceptance::default()
                }];
            },
        )
        .weighs(Stop)
        .no_between("a reason is given or none")
        .never_missing("that it is missing is what it finds"),
        argon("rest-not-approved", "approved upside down", |c| {
            c.part().approved_rest = Rest::towards([0.0, 0.0, 1.0]);
        })
        .weighs(Caution)
        .no_between("it lies as approved or not")
        .never_missing("where nobody approved how it lies there is nothing to differ from"),
    ]
}
