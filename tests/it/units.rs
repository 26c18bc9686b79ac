//! Quantities as typed and shown.

use proptest::prelude::*;
use setterwright::units::{ParseFaultKind, Quantity, parse, show};

fn close(quantity: Quantity, text: &str, expected: f64) {
    let got = parse(quantity, text).unwrap_or_else(|fault| panic!("{text}: {fault}"));
    let slack = 1e-12 * expected.abs();
    assert!(
        (got - expected).abs() <= slack,
        "{text}: {got}, not {expected}"
    );
}

fn kind(quantity: Quantity, text: &str) -> ParseFaultKind {
    match parse(quantity, text) {
        Ok(value) => panic!("“{text}” was read as {value}"),
        Err(fault) => fault.kind,
    }
}

#[test]
fn every_unit_against_its_definition() {
    use Quantity::*;
    // SI prefixes; inch, pound, ounce, °F, standard atmosphere and torr by their definitions
    // (NIST SP 811 appendix B, from memory); the rest by hand from those.
    for (quantity, text, expected) in [
        (Length, "12", 12.0),
        (Length, "12 mm", 12.0),
        (Length, "1.2cm", 12.0),
        (Length, "0.25 m", 250.0),
        (Length, "20 µm", 0.02), // micro sign
        (Length, "20 μm", 0.02), // Greek mu
        (Length, "20 um", 0.02),
        (Length, "10 in", 254.0),
        (Length, "10 inch", 254.0),
        (Length, "10\"", 254.0),
        (Length, "10 MM", 10.0),
        (Angle, "30", 30.0),
        (Angle, "30°", 30.0),
        (Angle, "30 deg", 30.0),
        (Temperature, "1360 °C", 1360.0),
        (Temperature, "1360 C", 1360.0),
        (Temperature, "1360 ℃", 1360.0),
        (Temperature, "212 °F", 100.0),
        (Temperature, "-40 F", -40.0),
        (Temperature, "2462 deg F", 1350.0),
        (Temperature, "298.15 K", 25.0),
        (Temperature, "0 K", -273.15),
        (DewPoint, "\u{2212}40 °C", -40.0),
        (DewPoint, "-40 °F", -40.0),
        (TemperatureDifference, "5 K", 5.0),
        (TemperatureDifference, "5 °C", 5.0),
        (TemperatureDifference, "9 °F", 5.0),
        (Rate, "1 K/min", 1.0),
        (Rate, "1 °C/min", 1.0),
        (Rate, "60 °C/h", 1.0),
        (Rate, "60 C/h", 1.0),
        (Rate, "60 K / h", 1.0),
        (Rate, "108 °F/h", 1.0),
        (Rate, "1.8 °F/min", 1.0),
        (Time, "90", 90.0),
        (Time, "90 min", 90.0),
        (Time, "90 s", 1.5),
        (Time, "1.5 h", 90.0),
        (Time, "1:30", 90.0),
        (Time, "0:07", 7.0),
        (Time, "99:59", 5999.0),
        (Time, "1:30:30", 90.5),
        (Time, "1 h 30 min", 90.0),
        (Time, "1h30min", 90.0),
        (Time, "1 h 30 min 30 s", 90.5),
        (Mass, "1.5 kg", 1500.0),
        (Mass, "1 lb", 453.592_37),
        (Mass, "16 oz", 453.592_37),
        (Pressure, "1 bar", 1000.0),
        (Pressure, "100 Pa", 1.0),
        (Pressure, "101.325 kPa", 1013.25),
        (Pressure, "760 Torr", 1013.25),
        (Pressure, "760000 mTorr", 1013.25),
        (Pressure, "760000 µmHg", 1013.25),
        (Pressure, "760000 micron", 1013.25),
        (Pressure, "1 atm", 1013.25),
        (Flow, "25 L/min", 25.0),
        (Flow, "60 l/h", 1.0),
        (Flow, "3 m3/h", 50.0),
        (Flow, "3 m³/h", 50.0),
        (Density, "7.9 g/cm3", 7.9),
        (Density, "3890 kg/m3", 3.89),
        (Fraction, "0.85", 0.85),
        (Fraction, "85 %", 0.85),
        (Fraction, "100%", 1.0),
    ] {
        close(quantity, text, expected);
    }
}

#[test]
fn rounded_factors_the_trade_quotes() {
    // practice.md 4.10: Torr = 1.3332 mbar, 1 µm of mercury = 1 mTorr, 1 scfh = 0.472 L/min.
    let read = |quantity, text| parse(quantity, text).unwrap();
    assert!((read(Quantity::Pressure, "1 Torr") - 1.3332).abs() < 5e-5);
    assert!((read(Quantity::Flow, "1 scfh") - 0.472).abs() < 5e-4);
    // A gas grows by 25/273.15 = 9.15 % from 0 to 25 °C.
    assert!((read(Quantity::Flow, "10 slm") - 10.915).abs() < 5e-4);
    assert_eq!(
        read(Quantity::Pressure, "1 micron"),
        read(Quantity::Pressure, "1 mTorr")
    );
}

#[test]
fn differences_and_rates_are_exact_and_without_offset() {
    assert_eq!(parse(Quantity::TemperatureDifference, "9 °F"), Ok(5.0));
    assert_eq!(parse(Quantity::TemperatureDifference, "0 °F"), Ok(0.0));
    assert_eq!(parse(Quantity::Rate, "108 °F/h"), Ok(1.0));
    assert_eq!(parse(Quantity::Rate, "0 °F/h"), Ok(0.0));
}

#[test]
fn number_forms() {
    for (text, expected) in [
        ("0,5", 0.5),
        (",5", 0.5),
        (".5", 0.5),
        ("5.", 5.0),
        ("+5", 5.0),
        ("-5", -5.0),
        ("\u{2212}5", -5.0),
        ("1e3", 1000.0),
        ("1,5E-1 mm", 0.15),
        (" 12,5\u{a0}mm ", 12.5),
        ("12,5\u{2009}mm", 12.5),
        ("12,5\u{202f}mm", 12.5),
        ("0,125", 0.125),   // a thousand never begins with 0
        ("1,2345", 1.2345), // thousands come in threes
        ("1234,567", 1234.567),
        ("1.250", 1.25), // the program's own decimal sign
    ] {
        close(Quantity::Length, text, expected);
    }
    assert!(parse(Quantity::Length, "-0").unwrap().is_sign_positive());
}

#[test]
fn what_is_refused_and_why() {
    use ParseFaultKind::*;
    use Quantity::{Fraction, Length, Mass, Pressure, Temperature, Time};
    let unknown = |unit: &str| UnknownUnit(unit.to_owned());
    for (quantity, text, expected) in [
        (Length, "", Empty),
        (Length, " \u{a0}\t", Empty),
        (Length, "NaN", NotANumber),
        (Length, "inf", NotANumber),
        (Length, "-infinity", NotANumber),
        (Length, "mm", NotANumber),
        (Length, "--5", NotANumber),
        (Length, "-", NotANumber),
        (Length, ".", NotANumber),
        (Length, "1e400", TooLarge),
        (Length, "1e308 m", TooLarge),
        (Length, "1,250", Ambiguous),
        (Length, "1,250 mm", Ambiguous),
        (Length, "1.250,5", Ambiguous),
        (Length, "1,250.5", Ambiguous),
        (Length, "1 250", Ambiguous),
        (Length, "1\u{202f}250 mm", Ambiguous),
        (Length, "1'250", Ambiguous),
        (Length, "1’250", Ambiguous),
        (Length, "12 kg", unknown("kg")),
        (Length, "0x10", unknown("x10")),
        (Length, "5 e", unknown("e")),
        (Temperature, "12 °C/h", unknown("°C/h")),
        (Pressure, "50 µm", unknown("µm")),
        (Pressure, "1 MPa", unknown("MPa")),
        (Mass, "1 t", unknown("t")),
        (Time, "5 m", unknown("m")),
        (Time, "0:90", TimeForm),
        (Time, "1:5", TimeForm),
        (Time, ":30", TimeForm),
        (Time, "1:", TimeForm),
        (Time, "1:30:00:00", TimeForm),
        (Time, "-1:30", TimeForm),
        (Time, "1:30 h", TimeForm),
        (Time, "30 min 1 h", TimeForm),
        (Time, "1 h 1 h", TimeForm),
        (Time, "1 h 30", TimeForm),
        (Time, "-1 h 30 min", TimeForm),
        (Time, "1 h -30 min", unknown("h -")),
        (Fraction, "85", OutsideShare),
        (Fraction, "101 %", OutsideShare),
        (Fraction, "-0.1", OutsideShare),
    ] {
        assert_eq!(kind(quantity, text), expected, "{quantity:?} “{text}”");
    }
}

#[test]
fn a_fault_says_what_was_wrong_and_what_is_accepted() {
    let said = |quantity, text: &str| parse(quantity, text).unwrap_err().to_string();
    assert_eq!(
        said(Quantity::Pressure, "50 µm"),
        "“µm” in “50 µm” is not a unit of a pressure here. Type a number in mbar, or a number with \
         one of: mbar, bar, Pa, kPa, atm, Torr, mTorr, µmHg, umHg, micron."
    );
    assert_eq!(
        said(Quantity::Temperature, ""),
        "Nothing was typed where a temperature is needed. Type a number in °C, or a number with \
         one of: °C, °F, K."
    );
    assert!(said(Quantity::Length, "1,250").contains("two ways"));
    assert!(said(Quantity::Length, &"x".repeat(100_000)).len() < 300);
}

#[test]
fn a_vacuum_is_not_shown_as_nothing() {
    let shown = |mbar, decimals| show(Quantity::Pressure, mbar, decimals).replace('\u{a0}', " ");
    assert_eq!(shown(0.0005, 2), "0.00050 mbar");
    assert_eq!(shown(-0.0005, 2), "-0.00050 mbar");
    assert_eq!(shown(0.000_000_2, 2), "2.0e-7 mbar");
    assert_eq!(shown(0.004_999, 2), "0.004999 mbar");
    assert_eq!(shown(0.04, 1), "0.040 mbar");
    assert_eq!(shown(0.3, 1), "0.3 mbar");
    assert_eq!(shown(0.0, 2), "0.00 mbar");
    assert_eq!(shown(50.0, 0), "50 mbar");
}

#[test]
fn long_times_are_told_in_days_and_hours() {
    let told = |min, decimals| {
        let told = setterwright::units::show_in_words(Quantity::Time, min, decimals);
        told.replace('\u{a0}', " ")
    };
    assert_eq!(told(2_630_760.0, 0), "1826 d 22 h");
    assert_eq!(told(2_630_761.0, 0), "1826 d 22 h");
    assert_eq!(told(2880.0, 0), "2 d");
    assert_eq!(told(4321.0, 0), "3 d 1 min");
    assert_eq!(told(2879.0, 0), "2879 min");
    assert_eq!(told(4320.4, 1), "4320.4 min");
    assert_eq!(told(f64::NAN, 0), "unknown");
}

#[test]
fn shown_values() {
    for (quantity, value, decimals, expected) in [
        (Quantity::Length, 12.5, 2, "12.50\u{a0}mm"),
        (Quantity::Temperature, -0.04, 1, "0.0\u{a0}°C"),
        (Quantity::Temperature, -0.06, 1, "-0.1\u{a0}°C"),
        (Quantity::Rate, -0.0, 0, "0\u{a0}K/min"),
        (Quantity::Angle, 30.0, 0, "30°"),
        (Quantity::Fraction, 0.853, 1, "85.3\u{a0}%"),
        (Quantity::Length, 1e300, 1, "1e300\u{a0}mm"),
        (Quantity::Density, 7.9, 2, "7.90\u{a0}g/cm³"),
        (Quantity::Mass, f64::NAN, 1, "unknown"),
        (Quantity::Mass, f64::NEG_INFINITY, 1, "unknown"),
        (Quantity::Fraction, f64::MAX, 1, "unknown"),
    ] {
        assert_eq!(show(quantity, value, decimals), expected);
    }
    // Formatting panics beyond 65 535 places if they are not capped.
    assert!(show(Quantity::Mass, 1.0, usize::MAX).starts_with("1.0"));
}

#[test]
fn every_accepted_unit_is_read() {
    for quantity in Quantity::ALL {
        for unit in quantity.accepted() {
            let text = format!("0.5 {unit}");
            assert!(parse(quantity, &text).is_ok(), "{quantity:?} {text}");
        }
        let shown = format!("0.5 {}", quantity.unit());
        assert!(parse(quantity, &shown).is_ok(), "{quantity:?} {shown}");
    }
}

fn any_quantity() -> impl Strategy<Value = Quantity> {
    prop::sample::select(Quantity::ALL.to_vec())
}

proptest! {
    #[test]
    fn what_is_shown_is_read_back(
        quantity in any_quantity(),
        value in prop_oneof![-1e4..1e4_f64, -1.0..1.0_f64, -1e15..1e15_f64],
        decimals in 0_usize..9,
    ) {
        let value = match quantity {
            Quantity::Fraction => value.rem_euclid(1.0),
            _ => value,
        };
        let back = parse(quantity, &show(quantity, value, decimals)).unwrap();
        let half_digit = 0.5 * 10_f64.powi(-i32::try_from(decimals).unwrap());
        let half_digit = match quantity {
            Quantity::Fraction => half_digit / 100.0,
            _ => half_digit,
        };
        let slack = half_digit * (1.0 + 1e-9) + 1e-15 * value.abs();
        prop_assert!((back - value).abs() <= slack, "{value} came back as {back}");
        prop_assert_eq!(show(quantity, back, decimals), show(quantity, value, decimals));
    }

    #[test]
    fn any_text_is_a_finite_value_or_a_sentence(quantity in any_quantity(), text in "\\PC*") {
        match parse(quantity, &text) {
            Ok(value) => prop_assert!(value.is_finite()),
            Err(fault) => prop_assert!(fault.to_string().ends_with('.')),
        }
    }

    // Text near a quantity reaches further into the reader than text at random.
    #[test]
    fn near_texts_are_a_finite_value_or_a_sentence(
        quantity in any_quantity(),
        text in "[-+−]?[0-9.,:' ]{0,6}(e-?[0-9]{0,3})? ?[°µa-zA-Z/³ 0-9:%]{0,6}",
    ) {
        match parse(quantity, &text) {
            Ok(value) => prop_assert!(value.is_finite()),
            Err(fault) => prop_assert!(fault.to_string().ends_with('.')),
        }
    }

    #[test]
    fn minus_zero_is_never_shown(quantity in any_quantity(), value in -1e-3..1e-3_f64, decimals in 0_usize..5) {
        let shown = show(quantity, value, decimals);
        let digits = shown.chars().filter(char::is_ascii_digit);
        if digits.clone().all(|c| c == '0') {
            prop_assert!(!shown.starts_with('-'), "{shown}");
        }
    }
}
