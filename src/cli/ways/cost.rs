//! What a run costs, from the shop's own prices.

use super::{Flags, Frame, Outcome, with_load};
use crate::catalogue::ShopState;
use crate::cli::print_json;
use crate::cli::review::found_said;
use crate::forecast::along::amounts;
use crate::forecast::cost::{Amounts, Cost, Prices, cost};
use crate::forecast::plan::{PlanForecast, of};
use crate::load::Plan;
use crate::text::ways as say;
use serde_json::json;
use std::io::Write;

/// A run with the shop's prices.
pub(crate) struct Priced<'a> {
    /// What it takes.
    pub(crate) used: Amounts,
    /// What that costs.
    pub(crate) sum: Cost,
    /// All but labour: what, how much, and its cost where there is a price.
    pub(crate) lines: Vec<(String, String, Option<f64>)>,
    /// The shop's currency; "" where none is set.
    pub(crate) currency: &'a str,
}

/// Adds a forecast up; labour in minutes, none where nobody has said.
pub(crate) fn priced<'a>(
    made: &PlanForecast,
    plan: &Plan,
    shop: Option<&'a ShopState>,
    labour_min: Option<f64>,
) -> Priced<'a> {
    let set = shop.and_then(|s| s.prices.as_ref());
    let keys = &made.prepared.keys;
    let of_gas = |slug: &String| {
        let priced = &set?.gas_m3_25c;
        priced.iter().find(|(g, _)| g == slug).map(|(_, p)| *p)
    };
    let prices = Prices {
        furnace_hour: set.and_then(|p| p.furnace_hour),
        kwh: set.and_then(|p| p.kwh),
        gas_m3: keys.gases.iter().map(of_gas).collect(),
        labour_hour: set.and_then(|p| p.labour_hour),
        furniture_run: set.and_then(|p| p.furniture_run),
    };
    let placed = plan.placements().map(|(_, p)| &p.item);
    // Coupons and dummies are not sold.
    let pieces = placed.filter(|item| item.is_production()).count();
    let run = &made.forecast.nominal.run;
    let program = &made.prepared.inputs.program;
    let labour_s = labour_min.filter(|m| *m >= 0.0).map(|min| 60.0 * min);
    let mut used = amounts(run, program, keys.gases.len(), pieces, labour_s);
    let let_in = &made.prepared.let_in;
    for (m3, more) in used.gas_m3.iter_mut().zip(&let_in.gas_m3) {
        *m3 += more;
    }
    let mut sum = cost(&prices, &used);
    sum.incomplete |= let_in.untold_m3 > 0.0;
    let gases = keys.gases.iter().zip(&used.gas_m3).zip(&sum.gases);
    let mut lines = vec![
        (
            say::furnace_time().to_owned(),
            format!("{:.1} h", used.time_s / 3600.0),
            sum.furnace,
        ),
        (
            say::energy().to_owned(),
            format!("{:.0} kWh", used.electric_j / 3.6e6),
            sum.energy,
        ),
    ];
    lines.extend(
        gases
            .filter(|((_, m3), _)| **m3 > 0.0)
            .map(|((slug, m3), cost)| (slug.clone(), format!("{m3:.1} m³"), *cost)),
    );
    if let_in.untold_m3 > 0.0 {
        let amount = format!("{:.1} m³", let_in.untold_m3);
        lines.push((say::purge_gas().to_owned(), amount, None));
    }
    lines.push((
        say::furniture().to_owned(),
        say::one_run().to_owned(),
        sum.furniture,
    ));
    Priced {
        used,
        sum,
        lines,
        currency: set.map_or("", |p| p.currency.as_str()),
    }
}

pub(super) fn run(flags: &Flags, frame: &Frame, out: &mut dyn Write) -> Outcome {
    let file = frame.file()?;
    with_load(file, frame.shop, |load, asked| {
        let made = of(asked, &|| false)?;
        let keys = &made.prepared.keys;
        let Priced {
            used,
            sum,
            lines,
            currency,
        } = priced(&made, &load.plan, asked.shop, flags.labour);
        let pieces = used.parts;
        let run = &made.forecast.nominal.run;
        let whose = asked.shop.filter(|s| s.prices.is_some());
        if frame.json {
            let line = |(what, amount, cost): &(String, String, Option<f64>)| json!({ "what": what, "amount": amount, "cost": cost });
            let all = json!({
                "schema": "setterwright.cost",
                "version": 1,
                "title": load.plan.title,
                "currency": currency,
                "furnace_h": used.time_s / 3600.0,
                "electric_kwh": used.electric_j / 3.6e6,
                "gas_m3_25c": keys.gases.iter().cloned().zip(used.gas_m3.iter().copied()).collect::<std::collections::BTreeMap<String, f64>>(),
                "labour_min": flags.labour,
                "parts": pieces,
                "prices": whose.map(|shop| json!({
                    "set_by": shop.name,
                    "source": shop.source,
                    "standing": shop.standing.word(),
                })),
                "lines": lines.iter().map(line).collect::<Vec<_>>(),
                "labour": sum.labour,
                "total_of_what_is_priced": sum.total,
                "per_part_of_what_is_priced": sum.per_part,
                "incomplete": sum.incomplete,
            });
            print_json(out, &all)?;
            return Ok(0);
        }
        writeln!(out, "{}", say::cost_head(&load.plan.title))?;
        let shown = |cost: Option<f64>| {
            cost.map_or_else(say::no_price, |value| say::money(currency, value))
        };
        for (what, amount, cost) in &lines {
            writeln!(out, "  {}", say::cost_line(what, amount, &shown(*cost)))?;
        }
        let labour = match (used.labour_s, sum.labour) {
            (None, _) => say::cost_line(say::labour(), "-", &say::no_labour()),
            (Some(s), cost) => {
                say::cost_line(say::labour(), &format!("{:.0} min", s / 60.0), &shown(cost))
            }
        };
        writeln!(out, "  {labour}")?;
        let total = say::money(currency, sum.total);
        let each = sum.per_part.map(|value| say::money(currency, value));
        writeln!(
            out,
            "  {}",
            say::cost_total(&total, each.as_deref(), pieces, sum.incomplete)
        )?;
        if let Some(shop) = whose {
            let source = load.working.catalogue.cited(&shop.source);
            let said = say::prices_of(&shop.name, source, shop.standing.word());
            writeln!(out, "{said}")?;
        }
        if run.load_unload_s.is_none() {
            writeln!(out, "{}", say::cost_time_open())?;
        }
        writeln!(out, "{}", found_said(load, &Ok(made), file))?;
        Ok(0)
    })
}
