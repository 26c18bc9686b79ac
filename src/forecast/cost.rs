//! Cost of a run, from the shop's own prices. What has no price, or no amount, is none: never nought.

/// Prices, in the shop's currency; none where the shop has not set one.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Prices {
    /// One furnace hour (wear of furnace and furniture included or not, as the shop counts).
    pub furnace_hour: Option<f64>,
    /// One kilowatt-hour.
    pub kwh: Option<f64>,
    /// One cubic metre at 25 °C and 1 atm, by gas index.
    pub gas_m3: Vec<Option<f64>>,
    /// One hour of labour.
    pub labour_hour: Option<f64>,
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
    /// Labour, s; none where nobody has said.
    pub labour_s: Option<f64>,
    /// Parts.
    pub parts: usize,
}

/// Cost by kind; a kind without a price is none, never nought.
#[derive(Clone, Debug, PartialEq)]
pub struct Cost {
    /// Furnace.
    pub furnace: Option<f64>,
    /// Energy.
    pub energy: Option<f64>,
    /// Gases, by index; none where used and unpriced.
    pub gases: Vec<Option<f64>>,
    /// Furniture.
    pub furniture: Option<f64>,
    /// Labour.
    pub labour: Option<f64>,
    /// Sum of what is priced.
    pub total: f64,
    /// Share of a part.
    pub per_part: Option<f64>,
    /// Whether something used has no price.
    pub incomplete: bool,
}

/// Adds up.
pub fn cost(prices: &Prices, amounts: &Amounts) -> Cost {
    let furnace = prices.furnace_hour.map(|p| p * amounts.time_s / 3600.0);
    let energy = prices.kwh.map(|p| p * amounts.electric_j / 3.6e6);
    let hours = amounts.labour_s.map(|s| s / 3600.0);
    let labour = prices.labour_hour.zip(hours).map(|(p, h)| p * h);
    let gas = |(i, m3): (usize, &f64)| {
        if *m3 == 0.0 {
            return Some(0.0);
        }
        prices.gas_m3.get(i).copied().flatten().map(|p| p * m3)
    };
    let gases: Vec<Option<f64>> = amounts.gas_m3.iter().enumerate().map(gas).collect();
    let furniture = prices.furniture_run;
    let all = || {
        [furnace, energy, labour, furniture]
            .into_iter()
            .chain(gases.iter().copied())
    };
    let total: f64 = all().flatten().sum();
    Cost {
        furnace,
        energy,
        furniture,
        labour,
        total,
        per_part: (amounts.parts > 0).then(|| total / amounts.parts as f64),
        incomplete: all().any(|line| line.is_none()),
        gases,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn adds_up_and_says_what_is_missing() {
        let prices = Prices {
            furnace_hour: Some(30.0),
            kwh: Some(0.2),
            gas_m3: vec![Some(2.0), None],
            labour_hour: Some(40.0),
            furniture_run: Some(5.0),
        };
        let a = Amounts {
            time_s: 36_000.0,
            electric_j: 36e6,
            gas_m3: vec![1.5, 0.0],
            labour_s: Some(1800.0),
            parts: 100,
        };
        let c = cost(&prices, &a);
        assert_eq!(
            (c.furnace, c.energy, c.labour),
            (Some(300.0), Some(2.0), Some(20.0))
        );
        assert!((c.total - 330.0).abs() < 1e-9 && !c.incomplete);
        assert_eq!(c.per_part, Some(c.total / 100.0));
        let both = Amounts {
            gas_m3: vec![1.0, 1.0],
            ..a.clone()
        };
        assert!(cost(&prices, &both).incomplete);
        let nobody = Amounts {
            labour_s: None,
            ..a
        };
        let c = cost(&prices, &nobody);
        assert!(c.incomplete && c.labour.is_none());
    }
}
