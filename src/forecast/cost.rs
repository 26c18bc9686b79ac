//! Cost of a run, from the shop's own prices.

/// Prices, in the shop's currency.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Prices {
    /// One furnace hour (wear of furnace and furniture included or not, as the shop counts).
    pub furnace_hour: f64,
    /// One kilowatt-hour.
    pub kwh: f64,
    /// One cubic metre at 25 °C and 1 atm, by gas index.
    pub gas_m3: Vec<Option<f64>>,
    /// One hour of labour.
    pub labour_hour: f64,
    /// Wear of furniture a run.
    pub furniture_run: Option<f64>,
}

/// Amounts of a run.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Amounts {
    /// Furnace occupied, s.
    pub time_s: f64,
    /// Electric, J.
    pub electric_j: f64,
    /// Gas, m³ at 25 °C and 1 atm, by gas index.
    pub gas_m3: Vec<f64>,
    /// Labour, s.
    pub labour_s: f64,
    /// Parts.
    pub parts: usize,
}

/// Cost by kind; a kind without a price is none, never nought.
#[derive(Clone, Debug, PartialEq)]
pub struct Cost {
    /// Furnace.
    pub furnace: f64,
    /// Energy.
    pub energy: f64,
    /// Gases used, by index; none where unpriced.
    pub gases: Vec<Option<f64>>,
    /// Furniture.
    pub furniture: Option<f64>,
    /// Labour.
    pub labour: f64,
    /// Sum of what is priced.
    pub total: f64,
    /// Share of a part.
    pub per_part: Option<f64>,
    /// Whether something used has no price.
    pub incomplete: bool,
}

/// Adds up.
pub fn cost(prices: &Prices, amounts: &Amounts) -> Cost {
    let furnace = prices.furnace_hour * amounts.time_s / 3600.0;
    let energy = prices.kwh * amounts.electric_j / 3.6e6;
    let labour = prices.labour_hour * amounts.labour_s / 3600.0;
    let gases: Vec<Option<f64>> = amounts
        .gas_m3
        .iter()
        .enumerate()
        .map(|(i, m3)| {
            if *m3 == 0.0 {
                Some(0.0)
            } else {
                prices.gas_m3.get(i).copied().flatten().map(|p| p * m3)
            }
        })
        .collect();
    let incomplete = gases.iter().any(Option::is_none) || prices.furniture_run.is_none();
    let total = furnace
        + energy
        + labour
        + gases.iter().flatten().sum::<f64>()
        + prices.furniture_run.unwrap_or(0.0);
    Cost {
        furnace,
        energy,
        gases,
        furniture: prices.furniture_run,
        labour,
        total,
        per_part: (amounts.parts > 0).then(|| total / amounts.parts as f64),
        incomplete,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn adds_up_and_says_what_is_missing() {
        let prices = Prices {
            furnace_hour: 30.0,
            kwh: 0.2,
            gas_m3: vec![Some(2.0), None],
            labour_hour: 40.0,
            furniture_run: Some(5.0),
        };
        let a = Amounts {
            time_s: 36_000.0,
            electric_j: 36e6,
            gas_m3: vec![1.5, 0.0],
            labour_s: 1800.0,
            parts: 100,
        };
        let c = cost(&prices, &a);
        assert_eq!((c.furnace, c.energy, c.labour), (300.0, 2.0, 20.0));
        assert!((c.total - 330.0).abs() < 1e-9 && !c.incomplete);
        assert_eq!(c.per_part, Some(c.total / 100.0));
        assert!(
            cost(
                &prices,
                &Amounts {
                    gas_m3: vec![1.0, 1.0],
                    ..a
                }
            )
            .incomplete
        );
    }
}
