//! Numbers of standards, and what a thermocouple says: tolerance by type and class, EMF by
//! temperature and back, and what an instrument set for another type makes of it.

use super::Standing;
use serde::Deserialize;
use std::sync::LazyLock;

/// The assets' text.
const TEXT: &str = include_str!("../../assets/catalogue/standards.ron");

/// Temperature of the terminals for which a mismatch is worked out, °C (assumed: a warm cabinet).
pub const TERMINALS_C: f64 = 25.0;

/// Numbers of standards.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Standards {
    /// Always `"standards"`.
    pub kind: String,
    /// Version of this form, 1.
    pub version: u32,
    /// Furnace classes.
    pub uniformity: Classes,
    /// Drift since the survey where none is declared, K.
    pub drift_k: Sourced,
    /// Overshoot of the controller where none is declared, K.
    pub overshoot_k: Sourced,
    /// Tolerances of new thermocouples.
    pub tolerances: Vec<Tolerance>,
    /// Reference functions of thermocouples.
    pub emf: Vec<Emf>,
    /// Fixed points of the temperature scale.
    pub fixed_points: FixedPoints,
    /// Oxygen in air that people breathe.
    pub oxygen: Oxygen,
    /// Flammable limits in air.
    pub flammable: Vec<Flammable>,
    /// Rules of oven and furnace atmospheres, second-hand.
    pub atmospheres: Vec<Rule>,
}

/// A number with its source.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sourced {
    /// The number.
    pub value: f64,
    /// Key into the bibliography.
    pub source: String,
    /// Standing.
    pub standing: Standing,
}

impl Default for Sourced {
    /// Not a number: what is not known is no nought.
    fn default() -> Sourced {
        Sourced {
            value: f64::NAN,
            source: String::new(),
            standing: Standing::Assumed,
        }
    }
}

/// Furnace classes by temperature uniformity.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Classes {
    /// Key into the bibliography.
    pub source: String,
    /// Standing.
    pub standing: Standing,
    /// What a reader should know.
    pub note: String,
    /// Classes.
    pub classes: Vec<Class>,
}

impl Default for Classes {
    fn default() -> Classes {
        Classes {
            source: String::new(),
            standing: Standing::Assumed,
            note: String::new(),
            classes: Vec::new(),
        }
    }
}

/// One furnace class.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Class {
    /// Its number.
    pub class: u8,
    /// Any place of the work zone less setpoint at most, K either way.
    pub k: f64,
}

/// Tolerance of a type and class: the larger of `k`, of `share` times the temperature, and of `k`
/// + `slope` times what lies above `above_c`.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tolerance {
    /// Letter of the type.
    pub kind: String,
    /// Class.
    pub class: u8,
    /// Stated from here, °C.
    pub from_c: f64,
    /// Stated to here, °C.
    pub to_c: f64,
    /// Least, K.
    #[serde(default)]
    pub k: f64,
    /// Share of the temperature in °C.
    #[serde(default)]
    pub share: f64,
    /// Where a slope begins, °C.
    #[serde(default)]
    pub above_c: f64,
    /// The slope.
    #[serde(default)]
    pub slope: f64,
    /// Key into the bibliography.
    pub source: String,
    /// Standing.
    pub standing: Standing,
}

impl Tolerance {
    /// Tolerance at a temperature, K either way; none where none is stated.
    pub fn at(&self, c: f64) -> Option<f64> {
        (self.from_c <= c && c <= self.to_c).then(|| self.unbounded(c))
    }

    fn unbounded(&self, c: f64) -> f64 {
        let sloping = self.k + self.slope * (c - self.above_c);
        self.k.max(self.share * c.abs()).max(sloping)
    }

    /// Temperatures between which it is straight, °C, with its ends.
    pub fn knots(&self) -> Vec<f64> {
        let mut knots = vec![self.from_c, self.to_c];
        if self.share > 0.0 {
            knots.extend([-self.k / self.share, self.k / self.share]);
        }
        if self.slope > 0.0 {
            knots.push(self.above_c);
        }
        knots.retain(|c| self.at(*c).is_some());
        knots.sort_by(f64::total_cmp);
        knots.dedup();
        knots
    }
}

/// Reference function of a type: EMF over temperature with the other end at 0 °C.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Emf {
    /// Letter of the type.
    pub kind: String,
    /// Key into the bibliography.
    pub source: String,
    /// Standing.
    pub standing: Standing,
    /// From here up the EMF rises, so that it tells one temperature, °C.
    pub reads_from_c: f64,
    /// Pieces, rising.
    pub pieces: Vec<Piece>,
}

/// A piece of a reference function: a sum of powers, for type K with a bump of its own.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Piece {
    /// From, °C.
    pub from_c: f64,
    /// To, °C.
    pub to_c: f64,
    /// Coefficients of 1, t, t² …, mV.
    pub mv: Vec<f64>,
    /// (a0, a1, a2): a0·exp(a1·(t − a2)²) is added, mV.
    #[serde(default)]
    pub bump: Option<(f64, f64, f64)>,
}

impl Emf {
    /// EMF at a temperature, mV; none outside the function's range.
    pub fn mv(&self, c: f64) -> Option<f64> {
        let piece = self.pieces.iter().find(|p| p.from_c <= c && c <= p.to_c)?;
        let sum = piece.mv.iter().rev().fold(0.0, |sum, a| sum * c + a);
        let bump = piece
            .bump
            .map_or(0.0, |(a0, a1, a2)| a0 * libm::exp(a1 * (c - a2) * (c - a2)));
        Some(sum + bump)
    }

    /// Highest temperature of the function, °C.
    pub fn to_c(&self) -> Option<f64> {
        Some(self.pieces.last()?.to_c)
    }

    /// Temperature at which it gives an EMF, °C; none beyond what it can give.
    pub fn c(&self, mv: f64) -> Option<f64> {
        let (mut low, mut high) = (self.reads_from_c, self.to_c()?);
        if !(self.mv(low)? <= mv && mv <= self.mv(high)?) {
            return None;
        }
        // Halving is slow and cannot fail; 60 times leaves nothing of 2,500 K.
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if self.mv(middle)? < mv {
                low = middle;
            } else {
                high = middle;
            }
        }
        Some(0.5 * (low + high))
    }
}

/// Fixed points of the temperature scale.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FixedPoints {
    /// Key into the bibliography.
    pub source: String,
    /// Standing.
    pub standing: Standing,
    /// Metal and its freezing point, °C.
    pub points: Vec<(String, f64)>,
}

impl Default for FixedPoints {
    fn default() -> FixedPoints {
        FixedPoints {
            source: String::new(),
            standing: Standing::Assumed,
            points: Vec::new(),
        }
    }
}

/// Oxygen in air, % by volume.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Oxygen {
    /// Deficient below.
    pub deficient_pct: f64,
    /// Enriched above.
    pub enriched_pct: f64,
    /// Key into the bibliography.
    pub source: String,
    /// Standing.
    pub standing: Standing,
}

impl Default for Oxygen {
    fn default() -> Oxygen {
        Oxygen {
            deficient_pct: f64::NAN,
            enriched_pct: f64::NAN,
            source: String::new(),
            standing: Standing::Assumed,
        }
    }
}

/// Flammable limits of a vapour or gas in air at 25 °C.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Flammable {
    /// Name.
    pub gas: String,
    /// Lower, % by volume.
    pub lower_pct: f64,
    /// Upper, % by volume.
    pub upper_pct: f64,
    /// Key into the bibliography.
    pub source: String,
    /// Standing.
    pub standing: Standing,
}

/// A rule with a number, as somebody else tells it.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rule {
    /// In words, with its unit.
    pub rule: String,
    /// The number.
    pub value: f64,
    /// Key into the bibliography.
    pub source: String,
    /// Standing.
    pub standing: Standing,
}

static STANDARDS: LazyLock<Standards> = LazyLock::new(|| parse().unwrap_or_default());

fn parse() -> Result<Standards, ron::error::SpannedError> {
    let plain = ron::extensions::Extensions::IMPLICIT_SOME;
    let options = ron::Options::default().with_default_extension(plain);
    options.from_str(TEXT)
}

/// The numbers of this build. Were its asset broken, which a test rules out, they are none, and
/// what asks for one is not evaluated.
pub fn standards() -> &'static Standards {
    &STANDARDS
}

impl Standards {
    /// What a furnace class allows, K either way.
    pub fn uniformity_k(&self, class: u8) -> Option<f64> {
        let mut classes = self.uniformity.classes.iter();
        classes.find(|c| c.class == class).map(|c| c.k)
    }

    /// Tolerance of a type and class.
    pub fn tolerance(&self, kind: &str, class: u8) -> Option<&Tolerance> {
        let mut all = self.tolerances.iter();
        all.find(|t| t.kind.eq_ignore_ascii_case(kind) && t.class == class)
    }

    /// Whether any class of a type has a tolerance at a temperature; none for an unknown type.
    pub fn any_tolerance_at(&self, kind: &str, c: f64) -> Option<bool> {
        let of = |t: &&Tolerance| t.kind.eq_ignore_ascii_case(kind);
        let mut mine = self.tolerances.iter().filter(of).peekable();
        mine.peek()?;
        Some(mine.any(|t| t.at(c).is_some()))
    }

    /// Reference function of a type.
    pub fn emf(&self, kind: &str) -> Option<&Emf> {
        self.emf.iter().find(|e| e.kind.eq_ignore_ascii_case(kind))
    }

    /// What an instrument set for one type shows on a thermocouple of another at a temperature,
    /// °C, its terminals being at `terminals_c`, for which it corrects as for its own type.
    pub fn misread(&self, sensor: &str, instrument: &str, at_c: f64, terminals_c: f64) -> Misread {
        let (Some(sensor), Some(instrument)) = (self.emf(sensor), self.emf(instrument)) else {
            return Misread::Unknown;
        };
        let came = sensor.mv(at_c).zip(sensor.mv(terminals_c));
        let (Some((tip, end)), Some(added)) = (came, instrument.mv(terminals_c)) else {
            return Misread::Unknown;
        };
        instrument
            .c(tip - end + added)
            .map_or(Misread::OffScale, Misread::Shows)
    }
}

/// What an instrument makes of a thermocouple.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Misread {
    /// It shows this, °C.
    Shows(f64),
    /// The EMF lies beyond what its type can give.
    OffScale,
    /// A type without a reference function, or a temperature outside it.
    Unknown,
}

#[cfg(test)]
mod tests;
#[cfg(test)]
pub(super) use tests::sources;
