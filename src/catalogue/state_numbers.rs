//! What a shop noted of its furnaces, people and limits, held against what can be.

use super::numbers::Held;
use super::when::{day, moment};
use super::{CatalogueFault, CheckSetting, FurnaceState, Limit, ShopState, SurveyPoint};

/// Thermocouple type letters that the program knows.
pub const THERMOCOUPLE_KINDS: [&str; 10] = ["K", "N", "S", "R", "B", "C", "J", "T", "E", "A"];

type Held1 = Result<(), CatalogueFault>;

impl Held<'_> {
    fn day(&self, field: &str, text: &str) -> Held1 {
        if day(text).is_some() {
            return Ok(());
        }
        self.refuse(format!(
            "{field} is \"{text}\", which is no day; write it as year-month-day, for example \
             2027-03-15"
        ))
    }

    fn day_or_moment(&self, field: &str, text: Option<&String>) -> Held1 {
        match text.filter(|text| moment(text).is_none()) {
            Some(text) => self.day(field, text),
            None => Ok(()),
        }
    }

    fn days(&self, fields: &[(&str, &Option<String>)]) -> Held1 {
        for (field, text) in fields {
            if let Some(text) = text {
                self.day(field, text)?;
            }
        }
        Ok(())
    }

    fn said(&self, field: &str, text: &str) -> Held1 {
        if text.trim().is_empty() {
            return self.refuse(format!("{field} is empty; it must say something"));
        }
        Ok(())
    }

    fn once<'a>(&self, what: &str, names: impl Iterator<Item = &'a String>) -> Held1 {
        let mut seen = std::collections::BTreeSet::new();
        for name in names {
            self.said(what, name)?;
            if !seen.insert(name) {
                self.refuse(format!("{what} \"{name}\" stands twice"))?;
            }
        }
        Ok(())
    }

    fn thermocouple(&self, field: &str, kind: &str) -> Held1 {
        if THERMOCOUPLE_KINDS.contains(&kind) {
            return Ok(());
        }
        self.refuse(format!(
            "{field} is \"{kind}\"; a thermocouple is of type {}",
            THERMOCOUPLE_KINDS.join(", ")
        ))
    }

    fn class(&self, field: &str, class: Option<u8>, most: u8) -> Held1 {
        match class {
            Some(n) if !(1..=most).contains(&n) => {
                self.refuse(format!("{field} is {n}; classes go from 1 to {most}"))
            }
            _ => Ok(()),
        }
    }

    fn dew_point(&self, field: &str, c: Option<f64>) -> Held1 {
        match c {
            Some(c) if !(-120.0..=100.0).contains(&c) => {
                self.refuse(format!("{field} is {c}; it must lie from -120 to 100"))
            }
            _ => Ok(()),
        }
    }

    /// Holds that something was done before it falls due.
    fn before(&self, what: &str, done: &str, due: &str) -> Held1 {
        match day(done).zip(day(due)) {
            Some((done, due)) if done > due => self.refuse(format!(
                "{what} was done after the day until which it holds; correct one of them"
            )),
            _ => Ok(()),
        }
    }

    /// Not more than 1000 K either way: a slip of the hand, or a temperature in its place.
    fn kelvins(&self, field: &str, value: f64) -> Held1 {
        if value.is_finite() && value.abs() <= 1000.0 {
            return Ok(());
        }
        self.refuse(format!(
            "{field} is {value} K; it must be a difference of temperatures"
        ))
    }
}

impl ShopState {
    /// People and balances.
    pub(super) fn check_noted(&self) -> Held1 {
        let held = Held {
            place: &format!("shop \"{}\"", self.name),
        };
        held.once("balance", self.balances.iter().map(|b| &b.id))?;
        for balance in &self.balances {
            held.day(&format!("due of balance \"{}\"", balance.id), &balance.due)?;
            held.days(&[("done of a balance", &balance.done)])?;
            if let Some(step) = balance.step_g {
                held.above_zero(&[("step_g", step)])?;
            }
        }
        held.once("person", self.people.iter().map(|p| &p.name))?;
        for person in &self.people {
            held.days(&[("qualified_until", &person.qualified_until)])?;
            held.once("role", person.roles.iter())?;
        }
        for hours in &self.attended {
            if hours.times().is_none() {
                let text = format!("{} to {}", hours.from, hours.to);
                return held.refuse(format!("attended has \"{text}\", where hour:minute is due"));
            }
        }
        held.once("role that signs", self.signing_roles.iter())?;
        held.once("furnace", self.furnaces.iter().map(|f| &f.furnace))
    }
}

impl FurnaceState {
    pub(super) fn check_noted(&self) -> Held1 {
        let held = Held {
            place: &format!("state of furnace \"{}\"", self.furnace),
        };
        held.days(&[
            ("trap_emptied", &self.trap_emptied),
            ("leak_tested", &self.leak_tested),
            ("repaired_on", &self.repaired_on),
            ("cleaned_on", &self.cleaned_on),
        ])?;
        for (field, value) in [
            ("instrument_k", self.instrument_k),
            ("spread_k", self.spread_k),
        ] {
            if let Some(k) = value {
                held.kelvins(field, k)?;
                held.not_below_zero(&[(field, k)])?;
            }
        }
        let exhaust = self.exhaust_dew_point_read.as_ref();
        held.day_or_moment("exhaust_dew_point_read", exhaust)?;
        held.dew_point("exhaust_dew_point_c", self.exhaust_dew_point_c)?;
        if let Some(leak) = self.leak_um_h {
            held.not_below_zero(&[("leak_um_h", leak)])?;
        }
        for item in &self.due {
            held.day(&format!("due of \"{}\"", item.what), &item.due)?;
        }
        for item in &self.calibrations {
            let of = format!("calibration {:?}", item.kind);
            held.day(&format!("due of {of}"), &item.due)?;
            held.days(&[(&format!("done of {of}"), &item.done)])?;
            if let Some(done) = &item.done {
                held.before(&of, done, &item.due)?;
            }
        }
        for gas in &self.gases {
            held.not_below_zero(&[("reserve_m3_25c", gas.reserve_m3_25c)])?;
            held.day_or_moment("dew_point_read", gas.dew_point_read.as_ref())?;
            held.dew_point("dew_point_c", gas.dew_point_c)?;
        }
        self.check_sensors(&held)?;
        self.check_survey(&held)?;
        for procedure in &self.procedures {
            held.said("name of a procedure", &procedure.name)?;
            held.said("revision of a procedure", &procedure.revision)?;
            held.once("check covered", procedure.covers.iter())?;
        }
        for load in &self.loads {
            held.day("day of a past load", &load.on)?;
        }
        Ok(())
    }

    fn check_sensors(&self, held: &Held) -> Held1 {
        held.once(
            "slot of a thermocouple",
            self.sensors.iter().map(|s| &s.slot),
        )?;
        for sensor in &self.sensors {
            let of = format!("thermocouple \"{}\"", sensor.slot);
            held.thermocouple(&format!("kind of {of}"), &sensor.kind)?;
            if let Some(kind) = &sensor.logger_kind {
                held.thermocouple(&format!("logger_kind of {of}"), kind)?;
            }
            held.class(&format!("class of {of}"), sensor.class, 3)?;
            held.days(&[(&format!("installed of {of}"), &sensor.installed)])?;
            if let Some(k) = sensor.correction_k {
                held.kelvins(&format!("correction_k of {of}"), k)?;
            }
            if let (Some(all), Some(above)) = (sensor.uses, sensor.uses_above_980)
                && above > all
            {
                held.refuse(format!(
                    "{of} has {above} uses above 980 °C of {all} uses in all; the first is a part \
                     of the second"
                ))?;
            }
        }
        Ok(())
    }

    fn check_survey(&self, held: &Held) -> Held1 {
        let Some(survey) = &self.survey else {
            return Ok(());
        };
        held.day("date of the survey", &survey.date)?;
        held.day("due of the survey", &survey.due)?;
        held.before("the survey", &survey.date, &survey.due)?;
        held.class("class of the survey", survey.class, 6)?;
        for place in &survey.places {
            held.said("zone of a survey place", &place.zone)?;
            held.rising(
                &format!("points of survey place \"{}\"", place.zone),
                place.points.iter().map(|p| p.setpoint_c),
            )?;
            for point in &place.points {
                held.kelvins("deviation_k", point.deviation_k)?;
                let same = |p: &&SurveyPoint| p.setpoint_c == point.setpoint_c;
                if let Some(all) = survey.points.iter().find(same)
                    && !(all.coldest_k..=all.hottest_k).contains(&point.deviation_k)
                {
                    held.refuse(format!(
                        "survey place \"{}\" was {} K off at {} °C, outside the survey's extremes \
                         {} to {} K; correct one of them",
                        place.zone,
                        point.deviation_k,
                        point.setpoint_c,
                        all.coldest_k,
                        all.hottest_k
                    ))?;
                }
            }
            if place.level == Some(0) {
                held.refuse("level of a survey place is 0; levels count from 1".to_owned())?;
            }
        }
        Ok(())
    }
}

impl Limit {
    /// Its value, its days and its history.
    pub(super) fn check_noted(&self, file: &str) -> Held1 {
        let held = Held {
            place: &format!("limit \"{}\" in {file}", self.id),
        };
        held.said("set_by", &self.set_by)?;
        let values = std::iter::once(self.value).chain(self.history.iter().map(|h| h.value));
        if values.into_iter().any(|v| !v.is_finite()) {
            return held.refuse("the value must be a finite number".to_owned());
        }
        held.days(&[("on_day", &self.on_day)])?;
        let mut before = 0;
        for change in &self.history {
            held.days(&[("on", &change.on)])?;
            if change.revision <= before || change.revision >= self.revision {
                held.refuse(format!(
                    "its history holds revision {} after {before}; revisions rise and end below \
                     the one in force, {}",
                    change.revision, self.revision
                ))?;
            }
            before = change.revision;
        }
        Ok(())
    }
}

impl CheckSetting {
    pub(super) fn check_noted(&self, file: &str) -> Held1 {
        let held = Held {
            place: &format!("setting of check \"{}\" in {file}", self.check),
        };
        held.days(&[("on_day", &self.on_day)])
    }
}
