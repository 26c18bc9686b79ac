//! Lots.

use super::part::MassState;
use super::{not_negative, positive, some_day, some_moment, some_positive, within};
use crate::files::fault::Fault;
use crate::load as work;
use crate::part::PartId;
use serde::{Deserialize, Serialize};

/// No bath or dryer is hotter or colder, °C (assumed).
const MOST_C: f64 = 400.0;

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Lot {
    id: u32,
    name: String,
    part: u32,
    count: u32,
    enters: MassState,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    customer: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    green_g: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    dry_g: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    previous_dry_g: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    dried_min: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    feedstock_lot: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    feedstock_expires: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    certificate: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    balance: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    oversize: Option<[f64; 3]>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    bath: Option<Bath>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    green_at: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    previous_dry_at: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    dry_at: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    dryer_c: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    dryer_ventilated: Option<bool>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    acid_purged: Option<bool>,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Bath {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    solvent: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    bath_id: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    temp_c: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    minutes: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    wax_g_l: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    basket: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    on_tray: Option<bool>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    ended: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    expires: Option<String>,
}

impl From<&work::Lot> for Lot {
    fn from(lot: &work::Lot) -> Lot {
        let work::Lot {
            id,
            name,
            part,
            count,
            enters,
            customer,
            green_g,
            dry_g,
            previous_dry_g,
            dried_min,
            feedstock_lot,
            feedstock_expires,
            certificate,
            balance,
            oversize,
            bath,
            green_at,
            previous_dry_at,
            dry_at,
            dryer_c,
            dryer_ventilated,
            acid_purged,
        } = lot.clone();
        Lot {
            id: id.0,
            name,
            part: part.0,
            count,
            enters: MassState::from(enters),
            customer,
            green_g,
            dry_g,
            previous_dry_g,
            dried_min,
            feedstock_lot,
            feedstock_expires,
            certificate,
            balance,
            oversize,
            bath: bath.map(Bath::from),
            green_at,
            previous_dry_at,
            dry_at,
            dryer_c,
            dryer_ventilated,
            acid_purged,
        }
    }
}

impl Lot {
    pub(super) fn into_work(self, place: &str) -> Result<work::Lot, Fault> {
        let Lot {
            id,
            name,
            part,
            count,
            enters,
            customer,
            green_g,
            dry_g,
            previous_dry_g,
            dried_min,
            feedstock_lot,
            feedstock_expires,
            certificate,
            balance,
            oversize,
            bath,
            green_at,
            previous_dry_at,
            dry_at,
            dryer_c,
            dryer_ventilated,
            acid_purged,
        } = self;
        some_positive(place, "green_g", green_g)?;
        some_positive(place, "dry_g", dry_g)?;
        some_positive(place, "previous_dry_g", previous_dry_g)?;
        if let Some(min) = dried_min {
            not_negative(place, "dried_min", min)?;
        }
        some_day(place, "feedstock_expires", &feedstock_expires)?;
        for factor in oversize.into_iter().flatten() {
            positive(place, "oversize", factor)?;
        }
        some_moment(place, "green_at", &green_at)?;
        some_moment(place, "previous_dry_at", &previous_dry_at)?;
        some_moment(place, "dry_at", &dry_at)?;
        if let Some(c) = dryer_c {
            within(place, "dryer_c", &[c], MOST_C, "°C")?;
        }
        let bath = bath.map(|bath| bath.into_work(&format!("{place}.bath")));
        Ok(work::Lot {
            id: work::LotId(id),
            name,
            part: PartId(part),
            count,
            enters: enters.into_work(),
            customer,
            green_g,
            dry_g,
            previous_dry_g,
            dried_min,
            feedstock_lot,
            feedstock_expires,
            certificate,
            balance,
            oversize,
            bath: bath.transpose()?,
            green_at,
            previous_dry_at,
            dry_at,
            dryer_c,
            dryer_ventilated,
            acid_purged,
        })
    }
}

impl From<work::Bath> for Bath {
    fn from(bath: work::Bath) -> Bath {
        let work::Bath {
            solvent,
            bath_id,
            temp_c,
            minutes,
            wax_g_l,
            basket,
            on_tray,
            ended,
            expires,
        } = bath;
        Bath {
            solvent,
            bath_id,
            temp_c,
            minutes,
            wax_g_l,
            basket,
            on_tray,
            ended,
            expires,
        }
    }
}

impl Bath {
    fn into_work(self, place: &str) -> Result<work::Bath, Fault> {
        let Bath {
            solvent,
            bath_id,
            temp_c,
            minutes,
            wax_g_l,
            basket,
            on_tray,
            ended,
            expires,
        } = self;
        if let Some(c) = temp_c {
            within(place, "temp_c", &[c], MOST_C, "°C")?;
        }
        if let Some(min) = minutes {
            not_negative(place, "minutes", min)?;
        }
        if let Some(g_l) = wax_g_l {
            not_negative(place, "wax_g_l", g_l)?;
        }
        some_moment(place, "ended", &ended)?;
        some_day(place, "expires", &expires)?;
        Ok(work::Bath {
            solvent,
            bath_id,
            temp_c,
            minutes,
            wax_g_l,
            basket,
            on_tray,
            ended,
            expires,
        })
    }
}
