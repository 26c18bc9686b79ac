//! What people declared, and what is on record of lots, furnace and plan.

use super::{Row, argon, hydrogen};
use crate::fixture::{Case, PART};
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

pub fn rows() -> Vec<Row> {
    vec![
        argon("not-declared", "nobody looked for cracks", |c| {
            c.plan.declarations.retain(|d| d.question != "no-cracks");
        }),
        argon("declared-otherwise", "a cracked setter declared", |c| {
            "no".clone_into(&mut said(c, "no-cracks").answer);
        }),
        argon("declaration-stale", "declared a week before", |c| {
            "2026-11-17".clone_into(&mut said(c, "no-cracks").on);
        }),
        argon(
            "brown-waited-too-long",
            "four days from the bath to the start",
            |c| {
                bath(c).ended = Some("2026-11-20 06:00".to_owned());
            },
        ),
        argon("extraction-centre-low", "ten minutes in the bath", |c| {
            bath(c).minutes = Some(10.0);
        }),
        argon("lots-oversize-differ", "two lots, 1.1777 and 1.19", |c| {
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
                oversize: Some([1.19; 3]),
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
        }),
        argon(
            "thermocouple-used-up",
            "91 runs of type K above 980 °C",
            |c| {
                let mut all = c.state().sensors.iter_mut();
                let sensor = all.find(|s| s.slot == "monitor-roof").unwrap();
                sensor.kind = "K".to_owned();
                sensor.logger_kind = Some("K".to_owned());
                (sensor.uses, sensor.uses_above_980) = (Some(100), Some(91));
            },
        )
        .with(&["thermocouple-type-changed", "thermocouple-unsuited"]),
        argon(
            "repaired-since-survey",
            "new elements after the survey",
            |c| {
                c.state().repaired_on = Some("2026-10-20".to_owned());
            },
        ),
        argon(
            "trap-not-emptied",
            "eleven runs since the trap was emptied",
            |c| {
                c.state().trap_runs = Some(11);
            },
        ),
        hydrogen("exhaust-dew-point-high", "-30 °C at the exhaust", |c| {
            c.state().exhaust_dew_point_c = Some(-30.0);
        }),
        argon(
            "charge-outside-tried",
            "a standard tried with half a kilogram",
            |c| {
                c.plan.validated_kg = Some([0.5, 0.9]);
            },
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
        ),
        argon("rest-not-approved", "approved upside down", |c| {
            c.part().approved_rest = Rest::towards([0.0, 0.0, 1.0]);
        }),
    ]
}
