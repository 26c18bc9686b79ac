//! Quantities as people type and read them. Every conversion of the program happens here; all
//! other modules see only the document units named at [`Quantity`].
//!
//! Conversion factors are the exact ones of NIST SP 811 appendix B (from memory) unless a unit
//! says otherwise. [`parse`] reads what was typed and does not judge it: a negative mass or a
//! temperature below absolute zero is for the reader and the review to refuse, in context.

use std::fmt;

/// What a number measures, and with that the unit the document keeps it in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Quantity {
    /// mm
    Length,
    /// degrees of arc
    Angle,
    /// °C
    Temperature,
    /// K; never gets the 32 ° offset, so 9 °F is 5 K
    TemperatureDifference,
    /// K/min; never gets the 32 ° offset, so 108 °F/h is 1 K/min
    Rate,
    /// min
    Time,
    /// g
    Mass,
    /// mbar, absolute
    Pressure,
    /// mbar/h
    LeakRate,
    /// L/min counted at 25 °C and 1 atm
    Flow,
    /// g/cm³
    Density,
    /// a share between 0 and 1, shown in per cent
    Fraction,
    /// °C
    DewPoint,
    /// MPa
    Stress,
    /// a plain number: a count or a ratio
    Number,
}

/// One unit: document value = (typed − `less`) · `times` / `over`. The factor stays a quotient so
/// that 9 °F of difference is 5 K to the last bit.
struct Unit {
    names: &'static [&'static str],
    less: f64,
    times: f64,
    over: f64,
}

const fn unit(names: &'static [&'static str], times: f64, over: f64) -> Unit {
    Unit {
        names,
        less: 0.0,
        times,
        over,
    }
}

/// 1 in = 25.4 mm exactly.
const LENGTHS: &[Unit] = &[
    unit(&["mm"], 1.0, 1.0),
    unit(&["cm"], 10.0, 1.0),
    unit(&["m"], 1000.0, 1.0),
    unit(&["µm", "um"], 1.0, 1000.0),
    unit(&["in", "inch", "\""], 25.4, 1.0),
];
const ANGLES: &[Unit] = &[unit(&["°", "deg"], 1.0, 1.0)];
/// 0 °C = 273.15 K exactly; °C = (°F − 32)/1.8 exactly.
const TEMPERATURES: &[Unit] = &[
    unit(&["°C"], 1.0, 1.0),
    Unit {
        names: &["°F"],
        less: 32.0,
        times: 5.0,
        over: 9.0,
    },
    Unit {
        names: &["K"],
        less: 273.15,
        times: 1.0,
        over: 1.0,
    },
];
const DIFFERENCES: &[Unit] = &[unit(&["K", "°C"], 1.0, 1.0), unit(&["°F"], 5.0, 9.0)];
const RATES: &[Unit] = &[
    unit(&["K/min", "°C/min"], 1.0, 1.0),
    unit(&["K/h", "°C/h"], 1.0, 60.0),
    unit(&["°F/min"], 5.0, 9.0),
    unit(&["°F/h"], 5.0, 540.0),
];
const TIMES: &[Unit] = &[
    unit(&["h"], 60.0, 1.0),
    unit(&["min"], 1.0, 1.0),
    unit(&["s"], 1.0, 60.0),
];
/// 1 lb = 453.592 37 g and 1 oz (avoirdupois) = 1/16 lb, both exactly.
const MASSES: &[Unit] = &[
    unit(&["g"], 1.0, 1.0),
    unit(&["kg"], 1000.0, 1.0),
    unit(&["lb"], 453.592_37, 1.0),
    unit(&["oz"], 453.592_37, 16.0),
];
/// 1 Torr = 1 atm/760, 1 atm = 1013.25 mbar exactly, so 1 Torr = 1.333 22 mbar. A micron of mercury
/// is taken as 1 mTorr: the conventional millimetre of mercury differs by less than 2 in 10⁷.
/// "µm" alone is a length and is not accepted.
const PRESSURES: &[Unit] = &[
    unit(&["mbar"], 1.0, 1.0),
    unit(&["bar"], 1000.0, 1.0),
    unit(&["Pa"], 1.0, 100.0),
    unit(&["kPa"], 10.0, 1.0),
    unit(&["atm"], 1013.25, 1.0),
    unit(&["Torr"], 1013.25, 760.0),
    unit(&["mTorr", "µmHg", "umHg", "micron"], 1013.25, 760_000.0),
];
const LEAK_RATES: &[Unit] = &[
    unit(&["mbar/h"], 1.0, 1.0),
    unit(&["Pa/h"], 1.0, 100.0),
    unit(&["mTorr/h", "µmHg/h", "umHg/h"], 1013.25, 760_000.0),
];
/// L/min, L/h and m³/h are taken as already counted at 25 °C and 1 atm.
///
/// A "standard" litre is taken at 0 °C and 1 atm (SEMI E12, from memory), so 1 slm is
/// 298.15/273.15 = 1.0915 L/min here; some flow meters are scaled to 20 °C instead and then read
/// 7 % differently. A "standard" cubic foot has no one reference temperature (60 to 70 °F in use):
/// only the volume is converted, 28.316 846 592 L exactly, so 1 scfh = 0.472 L/min as the trade
/// does, and the amount of gas may be 1 to 3 % more than that says.
const FLOWS: &[Unit] = &[
    unit(&["L/min"], 1.0, 1.0),
    unit(&["L/h"], 1.0, 60.0),
    unit(&["m³/h"], 1000.0, 60.0),
    unit(&["slm"], 298.15, 273.15),
    unit(&["scfh"], 28.316_846_592, 60.0),
];
const DENSITIES: &[Unit] = &[unit(&["g/cm³"], 1.0, 1.0), unit(&["kg/m³"], 1.0, 1000.0)];
const FRACTIONS: &[Unit] = &[unit(&["%"], 1.0, 100.0)];
const STRESSES: &[Unit] = &[
    unit(&["MPa", "N/mm²"], 1.0, 1.0),
    unit(&["kPa"], 1.0, 1000.0),
];
const NUMBERS: &[Unit] = &[];

impl Quantity {
    /// Every quantity, in the order of the enum.
    pub const ALL: [Self; 15] = [
        Self::Length,
        Self::Angle,
        Self::Temperature,
        Self::TemperatureDifference,
        Self::Rate,
        Self::Time,
        Self::Mass,
        Self::Pressure,
        Self::LeakRate,
        Self::Flow,
        Self::Density,
        Self::Fraction,
        Self::DewPoint,
        Self::Stress,
        Self::Number,
    ];

    /// The unit [`show`] prints: the document unit, and per cent for a fraction.
    pub fn unit(self) -> &'static str {
        match self {
            Self::Length => "mm",
            Self::Angle => "°",
            Self::Temperature | Self::DewPoint => "°C",
            Self::TemperatureDifference => "K",
            Self::Rate => "K/min",
            Self::Time => "min",
            Self::Mass => "g",
            Self::Pressure => "mbar",
            Self::LeakRate => "mbar/h",
            Self::Flow => "L/min",
            Self::Density => "g/cm³",
            Self::Fraction => "%",
            Self::Stress => "MPa",
            Self::Number => "",
        }
    }

    /// What it is called in a sentence, with its article: "a length".
    pub fn name(self) -> &'static str {
        match self {
            Self::Length => "a length",
            Self::Angle => "an angle",
            Self::Temperature => "a temperature",
            Self::TemperatureDifference => "a temperature difference",
            Self::Rate => "a heating or cooling rate",
            Self::Time => "a time",
            Self::Mass => "a mass",
            Self::Pressure => "a pressure",
            Self::LeakRate => "a leak rate",
            Self::Flow => "a gas flow",
            Self::Density => "a density",
            Self::Fraction => "a fraction",
            Self::DewPoint => "a dew point",
            Self::Stress => "a stress",
            Self::Number => "a number",
        }
    }

    /// The units that may follow the number, in plain spelling; capitals do not matter.
    pub fn accepted(self) -> impl Iterator<Item = &'static str> {
        self.units().iter().flat_map(|u| u.names.iter().copied())
    }

    fn units(self) -> &'static [Unit] {
        match self {
            Self::Length => LENGTHS,
            Self::Angle => ANGLES,
            Self::Temperature | Self::DewPoint => TEMPERATURES,
            Self::TemperatureDifference => DIFFERENCES,
            Self::Rate => RATES,
            Self::Time => TIMES,
            Self::Mass => MASSES,
            Self::Pressure => PRESSURES,
            Self::LeakRate => LEAK_RATES,
            Self::Flow => FLOWS,
            Self::Density => DENSITIES,
            Self::Fraction => FRACTIONS,
            Self::Stress => STRESSES,
            Self::Number => NUMBERS,
        }
    }
}

/// Why a typed text is not a quantity. `Display` is the sentence for the person who typed it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ParseFault {
    /// What was asked for.
    pub quantity: Quantity,
    /// What was typed.
    pub text: String,
    /// What is wrong with it.
    pub kind: ParseFaultKind,
}

/// The ways a typed text can fail to be a quantity.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ParseFaultKind {
    /// Nothing was typed.
    Empty,
    /// It does not begin with a number ("abc", "NaN", "inf").
    NotANumber,
    /// A comma, point, apostrophe or space that may part thousands ("1,250", "1 250", "1.250,5").
    Ambiguous,
    /// The number is too large to hold.
    TooLarge,
    /// The text after the number is not a unit of this quantity.
    UnknownUnit(String),
    /// A time in parts that is neither h:mm, h:mm:ss nor like "1 h 30 min".
    TimeForm,
    /// A fraction below 0 or above 1 (100 %).
    OutsideShare,
}

impl fmt::Display for ParseFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let name = self.quantity.name();
        let typed = clipped(&self.text);
        match &self.kind {
            ParseFaultKind::Empty => write!(f, "Nothing was typed where {name} is needed.")?,
            ParseFaultKind::NotANumber => {
                write!(
                    f,
                    "“{typed}” does not begin with a number, so it is not {name}."
                )?;
            }
            ParseFaultKind::Ambiguous => {
                return write!(
                    f,
                    "“{typed}” can be read in two ways: a comma, point, apostrophe or space that \
                     may part thousands is not accepted. Type the digits without it, as in 1250 \
                     or 1250.5."
                );
            }
            ParseFaultKind::TooLarge => {
                return write!(f, "“{typed}” is too large a number for {name}.");
            }
            ParseFaultKind::UnknownUnit(unit) => {
                write!(
                    f,
                    "“{}” in “{typed}” is not a unit of {name} here.",
                    clipped(unit)
                )?;
            }
            ParseFaultKind::TimeForm => {
                return write!(
                    f,
                    "“{typed}” is not a time. Type minutes as in 90, or a number with h, min or \
                     s, or 1 h 30 min, or 1:30 (h:mm), or 1:30:00 (h:mm:ss) with two digits from \
                     00 to 59 after each colon."
                );
            }
            ParseFaultKind::OutsideShare => {
                return write!(
                    f,
                    "“{typed}” is not a fraction between 0 and 1. Type 0.85 or 85 %."
                );
            }
        }
        let plain = match self.quantity {
            Quantity::Fraction => "between 0 and 1".to_owned(),
            Quantity::Number => return write!(f, " Type a number without a unit."),
            other => format!("in {}", other.unit()),
        };
        let units: Vec<&str> = self.quantity.accepted().collect();
        write!(
            f,
            " Type a number {plain}, or a number with one of: {}",
            units.join(", ")
        )?;
        if self.quantity == Quantity::Time {
            write!(f, "; 1 h 30 min and 1:30 (h:mm) are read too")?;
        }
        write!(f, ".")
    }
}

impl std::error::Error for ParseFault {}

/// A pasted page must not become the sentence.
fn clipped(text: &str) -> String {
    const MOST: usize = 40;
    if text.chars().count() <= MOST {
        return text.to_owned();
    }
    let mut short: String = text.chars().take(MOST).collect();
    short.push('…');
    short
}

/// Reads a quantity in its document unit: a bare number is already in that unit, otherwise the
/// unit follows. Decimal point or comma, any Unicode space, a leading + and U+2212 are accepted.
///
/// # Errors
/// Anything else, with the sentence to show; a value is always finite.
pub fn parse(quantity: Quantity, text: &str) -> Result<f64, ParseFault> {
    let plain = plain_characters(text);
    let read = match (quantity, plain.is_empty()) {
        (_, true) => Err(ParseFaultKind::Empty),
        (Quantity::Time, _) => time(&plain),
        _ => number_and_unit(quantity, &plain),
    };
    read.and_then(|value| {
        if !value.is_finite() {
            Err(ParseFaultKind::TooLarge)
        } else if quantity == Quantity::Fraction && !(0.0..=1.0).contains(&value) {
            Err(ParseFaultKind::OutsideShare)
        } else {
            Ok(value + 0.0) // −0 becomes 0
        }
    })
    .map_err(|kind| ParseFault {
        quantity,
        text: text.trim().to_owned(),
        kind,
    })
}

/// The value with its unit, to `decimals` places (at most 17): "12.50 mm" with a no-break space,
/// "30°" without one. Never "-0"; a value that is not finite is "unknown".
pub fn show(quantity: Quantity, value: f64, decimals: usize) -> String {
    let value = match quantity {
        Quantity::Fraction => value * 100.0,
        _ => value,
    };
    if !value.is_finite() {
        return "unknown".to_owned();
    }
    let lost = quantity == Quantity::Pressure && value != 0.0 && rounds_to_nought(value, decimals);
    let digits = if value.abs() > 1e9 {
        format!("{value:e}")
    } else if lost {
        // "0.00 mbar" of a vacuum says nothing.
        significant(value, decimals)
    } else {
        format!("{value:.*}", decimals.min(17))
    };
    let digits = match digits.strip_prefix('-') {
        Some(rest) if rest.bytes().all(|b| matches!(b, b'0' | b'.')) => rest,
        _ => &digits,
    };
    let space = match quantity {
        Quantity::Angle | Quantity::Number => "",
        _ => "\u{a0}",
    };
    format!("{digits}{space}{}", quantity.unit())
}

/// Whether nothing is left of a value at so many digits after the point.
fn rounds_to_nought(value: f64, decimals: usize) -> bool {
    let digits = format!("{value:.*}", decimals.min(17));
    digits.bytes().all(|b| matches!(b, b'0' | b'.' | b'-'))
}

/// Two significant digits of what rounds to nought, or as many as it takes to stay below what
/// does not; in powers of ten below a ten-thousandth.
fn significant(value: f64, decimals: usize) -> String {
    // Digits after the point up to the first that counts.
    let before = -libm::floor(libm::log10(value.abs())) as usize;
    let with = |more: usize| match value.abs() < 1e-4 {
        true => format!("{value:.more$e}"),
        false => format!("{value:.*}", before + more),
    };
    let below = |text: &String| text.parse().is_ok_and(|v| rounds_to_nought(v, decimals));
    (1..17).map(with).find(below).unwrap_or_else(|| with(17))
}

/// Two days, min: from here on a time is told in days and hours.
const LONG_MIN: f64 = 2880.0;

/// [`show`] for sentences: a time without digits after the point that is days long is told in days,
/// hours and, up to a month, minutes: "1826 d 22 h".
pub fn show_in_words(quantity: Quantity, value: f64, decimals: usize) -> String {
    let long = quantity == Quantity::Time && decimals == 0;
    if !long || !value.is_finite() || !(LONG_MIN..1e9).contains(&value) {
        return show(quantity, value, decimals);
    }
    // Of what is a month long nobody counts minutes.
    let step = if value < 15.0 * LONG_MIN { 1.0 } else { 60.0 };
    let minutes = (value / step).round() * step;
    let (days, rest) = ((minutes / 1440.0).floor(), minutes % 1440.0);
    let mut told = format!("{days}\u{a0}d");
    for (count, unit) in [((rest / 60.0).floor(), "h"), (rest % 60.0, "min")] {
        if count > 0.0 {
            told.push_str(&format!(" {count}\u{a0}{unit}"));
        }
    }
    told
}

/// A number without the last digits that a product or a quotient brings along: to six places.
pub fn tidy(value: f64) -> f64 {
    let tidy = libm::round(value * 1e6) / 1e6;
    if tidy.is_finite() { tidy } else { value }
}

/// One spelling for each sign that keyboards and spreadsheets spell several ways.
fn plain_characters(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    for c in text.trim().chars() {
        match c {
            '\u{2212}' => plain.push('-'),
            '\u{3bc}' => plain.push('µ'),
            'º' | '˚' => plain.push('°'),
            '″' | '”' => plain.push('"'),
            '³' => plain.push('3'),
            '℃' => plain.push_str("°C"),
            '℉' => plain.push_str("°F"),
            c if c.is_whitespace() => plain.push(' '),
            c => plain.push(c),
        }
    }
    plain
}

/// Spelling-blind form of a unit: "deg C", "°C" and "C" are one.
fn key(unit: &str) -> String {
    let mut key: String = plain_characters(unit)
        .to_lowercase()
        .replace("deg", "°")
        .replace(' ', "");
    for letter in ["c", "f", "k"] {
        key = key.replace(&format!("°{letter}"), letter);
    }
    key
}

fn converted(quantity: Quantity, value: f64, typed: &str) -> Result<f64, ParseFaultKind> {
    let wanted = key(typed);
    quantity
        .units()
        .iter()
        .find(|u| u.names.iter().any(|name| key(name) == wanted))
        .map(|u| (value - u.less) * u.times / u.over)
        .ok_or_else(|| ParseFaultKind::UnknownUnit(typed.to_owned()))
}

fn number_and_unit(quantity: Quantity, text: &str) -> Result<f64, ParseFaultKind> {
    match number(text)? {
        (value, "") => Ok(value),
        (value, unit) => converted(quantity, value, unit),
    }
}

/// Takes the number in front; the rest comes back trimmed.
fn number(text: &str) -> Result<(f64, &str), ParseFaultKind> {
    let (sign, unsigned) = match text.strip_prefix('-') {
        Some(rest) => (-1.0, rest),
        None => (1.0, text.strip_prefix('+').unwrap_or(text)),
    };
    let end = unsigned
        .find(|c: char| !matches!(c, '0'..='9' | '.' | ','))
        .unwrap_or(unsigned.len());
    let (body, mut rest) = unsigned.split_at(end);
    if !body.contains(|c: char| c.is_ascii_digit()) {
        return Err(ParseFaultKind::NotANumber);
    }
    if body.matches(['.', ',']).count() > 1 {
        return Err(ParseFaultKind::Ambiguous);
    }
    if let Some((whole, after)) = body.split_once(',')
        && (1..=3).contains(&whole.len())
        && !whole.starts_with('0')
        && after.len() == 3
    {
        return Err(ParseFaultKind::Ambiguous);
    }
    let mut digits = body.replace(',', ".");
    if let Some(exponent) = exponent(rest) {
        digits.push_str(exponent);
        rest = rest.get(exponent.len()..).unwrap_or("");
    }
    let value: f64 = digits.parse().map_err(|_| ParseFaultKind::NotANumber)?;
    let rest = rest.trim_start();
    if rest
        .trim_start_matches(['\'', '’', ' '])
        .starts_with(|c: char| matches!(c, '0'..='9' | '.' | ','))
    {
        return Err(ParseFaultKind::Ambiguous);
    }
    if !value.is_finite() {
        return Err(ParseFaultKind::TooLarge);
    }
    Ok((sign * value, rest))
}

/// "e5", "E-3": only where digits follow, so that a unit may begin with e.
fn exponent(rest: &str) -> Option<&str> {
    let power = rest.strip_prefix(['e', 'E'])?;
    let digits = power.strip_prefix(['+', '-']).unwrap_or(power);
    let count = digits.bytes().take_while(u8::is_ascii_digit).count();
    let end = rest.len() - digits.len() + count;
    if count == 0 { None } else { rest.get(..end) }
}

/// "90", "1.5 h", "1 h 30 min", "1:30", "1:30:00".
fn time(text: &str) -> Result<f64, ParseFaultKind> {
    if text.contains(':') {
        return clock(text).ok_or(ParseFaultKind::TimeForm);
    }
    let (first, rest) = number(text)?;
    let Some(next) = rest.find(|c: char| c.is_ascii_digit()) else {
        return number_and_unit(Quantity::Time, text);
    };
    // In parts: h before min before s, and no signs, since "-1 h 30 min" has two readings.
    let mut total_min = 0.0;
    let mut last_unit_min = f64::INFINITY;
    let (mut value, mut rest, mut next) = (first, rest, next);
    loop {
        let (unit, after) = rest.split_at(next);
        let unit_min = converted(Quantity::Time, 1.0, unit.trim())?;
        if value.is_sign_negative() || unit_min >= last_unit_min {
            return Err(ParseFaultKind::TimeForm);
        }
        last_unit_min = unit_min;
        total_min += converted(Quantity::Time, value, unit.trim())?;
        if after.is_empty() {
            return Ok(total_min);
        }
        (value, rest) = number(after)?;
        if rest.is_empty() {
            return Err(ParseFaultKind::TimeForm);
        }
        next = rest
            .find(|c: char| c.is_ascii_digit())
            .unwrap_or(rest.len());
    }
}

/// h:mm or h:mm:ss in minutes.
fn clock(text: &str) -> Option<f64> {
    let mut fields = text.split(':');
    let hours = fields.next()?;
    if hours.is_empty() || !hours.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let mut total_min = hours.parse::<f64>().ok()? * 60.0;
    let mut unit_min = 1.0;
    for field in fields {
        let two_digits = field.len() == 2 && field.bytes().all(|b| b.is_ascii_digit());
        let count: f64 = field.parse().ok()?;
        if !two_digits || count > 59.0 || unit_min < 1.0 / 60.0 {
            return None;
        }
        total_min += count * unit_min;
        unit_min /= 60.0;
    }
    Some(total_min)
}
/// Places written `x,y x,y …`, mm.
///
/// # Errors
/// The first word that is no place.
pub fn parse_places(text: &str) -> Result<Vec<[f64; 2]>, &str> {
    let number = |text: &str| text.trim().parse::<f64>().ok().filter(|n| n.is_finite());
    let place = |word: &str| {
        let (x, y) = word.split_once(',')?;
        Some([number(x)?, number(y)?])
    };
    text.split_whitespace()
        .map(|word| place(word).ok_or(word))
        .collect()
}
