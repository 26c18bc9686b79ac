//! What a shop notes of its furnaces, people and limits as time goes by: parts of the records of
//! version 1 that may be left out. Days are year-month-day.

use serde::{Deserialize, Serialize};

/// An earlier value of a limit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LimitChange {
    /// Revision that had it.
    pub revision: u32,
    /// Value, in the limit's unit.
    pub value: f64,
    /// Who set it.
    pub set_by: String,
    /// Why.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub reason: String,
    /// Day on which it was set.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub on: Option<String>,
}

/// A thermocouple as it is now, in one of the furnace's slots.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SensorState {
    /// Slug of the furnace's thermocouple.
    pub slot: String,
    /// Type letter of what is in it (IEC 60584), or C.
    pub kind: String,
    /// Tolerance class, 1 to 3.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub class: Option<u8>,
    /// Day on which it was put in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub installed: Option<String>,
    /// Runs since.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub uses: Option<u32>,
    /// Of these, runs above 980 °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub uses_above_980: Option<u32>,
    /// Added to its reading, K.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub correction_k: Option<f64>,
    /// Type letter that controller and logger are set to for it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub logger_kind: Option<String>,
}

/// One place of a temperature uniformity survey.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SurveyPlace {
    /// Zone in the shop's words, e.g. `"door, left"`.
    pub zone: String,
    /// Level, counted from 1 at the bottom.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub level: Option<u32>,
    /// What it read, setpoints rising.
    pub points: Vec<PlacePoint>,
}

/// Reading of one place of a survey.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlacePoint {
    /// Setpoint surveyed, °C.
    pub setpoint_c: f64,
    /// This place less setpoint, K, signed.
    pub deviation_k: f64,
}

/// What is calibrated or tested.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum CalibrationKind {
    /// System accuracy test of control thermocouple and instrument together.
    SystemAccuracy,
    /// Controller and recorder.
    Instrument,
    /// Control thermocouple.
    ControlThermocouple,
    /// Load thermocouples.
    LoadThermocouples,
    /// Independent over-temperature cut-out.
    OverTemperature,
    /// Pressure and vacuum gauges.
    PressureGauges,
    /// Flow meters.
    FlowMeters,
    /// Dew point meter.
    DewPointMeter,
    /// Oxygen meter.
    OxygenMeter,
    /// Hydrogen sensor.
    HydrogenSensor,
}

impl CalibrationKind {
    /// Every kind, in their order.
    pub const ALL: [CalibrationKind; 10] = [
        CalibrationKind::SystemAccuracy,
        CalibrationKind::Instrument,
        CalibrationKind::ControlThermocouple,
        CalibrationKind::LoadThermocouples,
        CalibrationKind::OverTemperature,
        CalibrationKind::PressureGauges,
        CalibrationKind::FlowMeters,
        CalibrationKind::DewPointMeter,
        CalibrationKind::OxygenMeter,
        CalibrationKind::HydrogenSensor,
    ];

    /// In words.
    pub fn word(self) -> &'static str {
        match self {
            CalibrationKind::SystemAccuracy => "system accuracy test",
            CalibrationKind::Instrument => "controller and recorder",
            CalibrationKind::ControlThermocouple => "control thermocouple",
            CalibrationKind::LoadThermocouples => "load thermocouples",
            CalibrationKind::OverTemperature => "over-temperature cut-out",
            CalibrationKind::PressureGauges => "pressure gauges",
            CalibrationKind::FlowMeters => "flow meters",
            CalibrationKind::DewPointMeter => "dew point meter",
            CalibrationKind::OxygenMeter => "oxygen meter",
            CalibrationKind::HydrogenSensor => "hydrogen sensor",
        }
    }
}

/// One calibration of a furnace.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Calibration {
    /// Of what kind.
    pub kind: CalibrationKind,
    /// What, in words, where there are several of a kind.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub what: String,
    /// Day on which it was done.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub done: Option<String>,
    /// Last day on which it holds.
    pub due: String,
}

/// A written procedure of the furnace.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Procedure {
    /// Name or number of the document.
    pub name: String,
    /// Revision in force.
    pub revision: String,
    /// Slugs of the checks whose findings it deals with.
    pub covers: Vec<String>,
}

/// A load that the furnace ran.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PastLoad {
    /// Day on which it ended.
    pub on: String,
    /// Alloy slugs.
    pub alloys: Vec<String>,
    /// Binder slugs that burned out.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub binders: Vec<String>,
    /// Title of the load.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub title: String,
}

/// Somebody who works at the furnaces.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Person {
    /// Name or mark, as signed.
    pub name: String,
    /// Roles, in the shop's words.
    pub roles: Vec<String>,
    /// Last day on which the qualification holds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub qualified_until: Option<String>,
}

/// A balance.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Balance {
    /// Slug or mark, as lots name it.
    pub id: String,
    /// Smallest step, g.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub step_g: Option<f64>,
    /// Day on which it was calibrated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub done: Option<String>,
    /// Last day on which that holds.
    pub due: String,
}
