//! Limits beside the figures of a forecast, and on how many assumed figures each rests.

use crate::catalogue::{Catalogue, Record};
use crate::forecast::plan::{Asked, InCases, KindIs, KindRow, PlanForecast, Prepared};
use crate::load::PartRecords;
use crate::part::{Drawn, PartId};
use crate::review::{Contexts, Sense, limit_of_part};
use crate::text::forecast_text as say;

/// The least density that is asked of a part.
fn density_asked(contexts: &Contexts, catalogue: &Catalogue, part: PartId) -> Option<f64> {
    let limit = limit_of_part(contexts, catalogue, "density-min", part, Sense::AtLeast);
    Some(limit?.value)
}

/// The least density that is asked of each kind.
pub(crate) fn densities_asked(asked: &Asked, prepared: &Prepared) -> Vec<Option<f64>> {
    let contexts = Contexts::new(asked.plan, asked.catalogue);
    let of = |is: &KindIs| match is {
        KindIs::Pieces { part, .. } => density_asked(&contexts, asked.catalogue, *part),
        _ => None,
    };
    let kinds = prepared.keys.kinds.iter();
    kinds.map(|key| of(&key.is)).collect()
}

/// How far the least of densities, least and most, is over what is asked for, in the case in which
/// it is least.
pub(crate) fn beside_density(asked: f64, density: &InCases<Option<(f64, f64)>>) -> Option<String> {
    let (case, least) = density.worst(|d| Some(-(*d)?.0))?;
    let case = density.has_all().then_some(case.words());
    Some(say::density_margin(asked, -least - asked, case))
}

/// What figures of kinds are held against.
pub(super) struct Margins<'a> {
    asked: &'a Asked<'a>,
    made: &'a PlanForecast,
    contexts: Contexts,
}

impl<'a> Margins<'a> {
    pub(super) fn new(asked: &'a Asked<'a>, made: &'a PlanForecast) -> Margins<'a> {
        Margins {
            asked,
            made,
            contexts: Contexts::new(asked.plan, asked.catalogue),
        }
    }

    fn catalogue(&self) -> &'a Catalogue {
        self.asked.catalogue
    }

    fn records(&self, row: &KindRow) -> Option<PartRecords<'a>> {
        let prepared = &self.made.prepared;
        prepared.records(self.asked.plan, self.catalogue(), row.kind)
    }

    /// How far the least dense place is over what is asked for, in the case in which it is least.
    pub(super) fn density(&self, row: &KindRow) -> Option<String> {
        let part = self.records(row)?.part.id;
        let asked = density_asked(&self.contexts, self.catalogue(), part)?;
        beside_density(asked, &row.density)
    }

    /// How far the side nearest to its tolerance, or farthest outside, is from it.
    pub(super) fn size(&self, row: &KindRow) -> Option<String> {
        let records = self.records(row)?;
        if records.part.drawn == Drawn::Green {
            return None;
        }
        let (part, id) = (records.part.id, "size-tolerance");
        let limit = limit_of_part(&self.contexts, self.catalogue(), id, part, Sense::AtMost)?;
        let drawn = records.part.geometry.size_mm;
        let out_mm = |both: &Option<[[f64; 3]; 2]>| {
            let sizes = (*both)?.into_iter();
            let sides = sizes.flat_map(|size| size.into_iter().zip(drawn));
            let out = sides.map(|(is, drawn)| (is - drawn).abs() - limit.value * drawn);
            out.reduce(f64::max)
        };
        let (case, out_mm) = row.size_mm.worst(out_mm)?;
        let case = row.size_mm.has_all().then_some(case.words());
        Some(say::size_margin(drawn, limit.value, out_mm, case))
    }

    fn assumed<R: Record>(&self, record: &R, name: impl Fn(&str) -> bool) -> usize {
        let record = format!("{} {}", R::KIND.word(), record.id());
        let figures = self.made.forecast.figures.iter();
        let of = figures.filter(|f| f.is_assumed() && f.record == record && name(&f.name));
        of.count()
    }

    /// Assumed figures of its own in what is said of a kind's binder, density and size.
    pub(super) fn assumed_of(&self, row: &KindRow) -> Option<String> {
        let records = self.records(row)?;
        let sintering = |name: &str| name.starts_with("densifying");
        let said = say::assumed_of(
            self.assumed(records.binder, |_| true),
            self.assumed(records.feedstock, sintering),
            self.assumed(records.feedstock, |name| name.starts_with("oversize")),
        );
        (!said.is_empty()).then_some(said)
    }
}
