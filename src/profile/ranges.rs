//! Process ranges: the setpoints between which a feedstock loses its backbone, or sinters.

/// A range of temperature, both ends included.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// Lowest, °C.
    pub from_c: f64,
    /// Highest, °C.
    pub to_c: f64,
}

impl Range {
    /// Whether a temperature in °C is in it.
    pub fn contains(&self, c: f64) -> bool {
        self.from_c <= c && c <= self.to_c
    }

    /// `to_c` − `from_c`, K.
    pub fn width_k(&self) -> f64 {
        self.to_c - self.from_c
    }
}

/// Why several ranges have none in common.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoOverlap {
    /// No ranges were given.
    NoRanges,
    /// The range at this index is none: its ends are not finite, or the wrong way round.
    NotARange(usize),
    /// These two do not meet: the one that ends lowest and the one that begins highest.
    Pair {
        /// Index of the one that ends lowest.
        lower: usize,
        /// Index of the one that begins highest.
        upper: usize,
    },
}

/// What all ranges have in common, for several feedstocks in one load. Ranges that meet in one
/// temperature have that in common.
///
/// # Errors
/// See [`NoOverlap`]; of several equal ranges the first is named.
pub fn intersection(ranges: &[Range]) -> Result<Range, NoOverlap> {
    let first = *ranges.first().ok_or(NoOverlap::NoRanges)?;
    let (mut common, mut lower, mut upper) = (first, 0, 0);
    for (index, range) in ranges.iter().enumerate() {
        if !(range.from_c.is_finite() && range.to_c.is_finite() && range.from_c <= range.to_c) {
            return Err(NoOverlap::NotARange(index));
        }
        if range.from_c > common.from_c {
            (common.from_c, upper) = (range.from_c, index);
        }
        if range.to_c < common.to_c {
            (common.to_c, lower) = (range.to_c, index);
        }
    }
    if common.from_c > common.to_c {
        return Err(NoOverlap::Pair { lower, upper });
    }
    Ok(common)
}
