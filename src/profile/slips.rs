//! Numbers that look typed in another unit. Each answer is a suspicion to ask about, never a
//! correction; the limits are handed in, since they are the shop's to set.

/// How a ramp rate may have been mistyped.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RateSlip {
    /// Too fast: perhaps meant per hour and read per minute.
    MeantPerHour {
        /// The rate if so, K/min.
        k_min: f64,
    },
    /// Too slow: perhaps meant per minute and read per hour.
    MeantPerMinute {
        /// The rate if so, K/min.
        k_min: f64,
    },
}

/// Whether a ramp rate (K/min, either sign) is beyond what is typed on purpose. Common practice,
/// no source: slower than 0.05 or faster than 50 K/min. A rate of zero and one that is not finite
/// are faults, not slips.
pub fn rate_slip(k_min: f64, slowest_k_min: f64, fastest_k_min: f64) -> Option<RateSlip> {
    let pace = k_min.abs();
    if !pace.is_finite() || pace == 0.0 {
        None
    } else if pace > fastest_k_min {
        let k_min = k_min / 60.0;
        Some(RateSlip::MeantPerHour { k_min })
    } else if pace < slowest_k_min {
        let k_min = k_min * 60.0;
        Some(RateSlip::MeantPerMinute { k_min })
    } else {
        None
    }
}

/// The target in °C if its number was meant in °F, where it is more than `factor` times the top of
/// the range it is meant for (common practice, no source: 1.7). A °F number is 1.8 times the °C
/// number and 32 more, so with 1.7 this notices targets meant within about 7 % of the top, and not
/// a low one typed in °F.
pub fn fahrenheit_slip(to_c: f64, range_top_c: f64, factor: f64) -> Option<f64> {
    let suspected = to_c.is_finite() && range_top_c > 0.0 && to_c > factor * range_top_c;
    suspected.then_some((to_c - 32.0) / 1.8)
}
