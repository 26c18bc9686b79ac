//! What the run does to setters: creep and thermal stress.

use crate::catalogue::{self, Material};
use crate::forecast::along::{Plate, plate};
use crate::forecast::ceramics::{Cracking, Creep};
use crate::forecast::constants::ZERO_C;
use crate::forecast::curve::Curve;
use crate::review::checks::common::limit;
use crate::review::facts::Facts;
use crate::review::facts_forecast::Told;
use crate::review::facts_limits::from_record;
use crate::review::finding::{Report, Subject, at_most, text};
use crate::text::{limits, missing};
use crate::units::Quantity::{Length, Stress};

/// What is asked of one setter.
struct Setter<'a> {
    subject: Subject,
    label: String,
    /// Without an inward corner.
    convex: bool,
    material: &'a Material,
    plate: Plate,
}

fn kelvin(table: &[(f64, f64)], factor: f64) -> Option<Curve> {
    let points: Vec<(f64, f64)> = table
        .iter()
        .map(|(c, y)| (c + ZERO_C, y * factor))
        .collect();
    Curve::new(&points)
}

/// Setters of the forecast with what statics know of them; says of which nothing is known.
fn setters<'a>(facts: &Facts<'a>, report: &mut Report, told: &Told) -> Vec<Setter<'a>> {
    let mut found = Vec::new();
    for (id, bending) in &facts.bending {
        let place = told.made.prepared.keys.place_of(*id);
        let Some((stack, level)) = place else {
            continue;
        };
        let subject = Subject::Level(*id);
        let setter = facts.plan.level(*id).map(|(_, l)| l.setter.as_str());
        let setter = setter.and_then(|slug| facts.catalogue.setter(slug));
        let made_of = |s: &'a catalogue::Setter| facts.catalogue.material(&s.material);
        let known = setter.and_then(|s| Some((s.shape.is_convex(), made_of(s)?)));
        let Some((convex, material)) = known else {
            report.missing(vec![subject], missing::setter_or_carrier());
            continue;
        };
        let curves = kelvin(&material.modulus_gpa, 1e9).zip(kelvin(&material.strength_mpa, 1e6));
        let Some((modulus, strength)) = curves else {
            report.missing(vec![subject], missing::plate_tables(&material.name));
            continue;
        };
        let bending = match bending {
            Ok(bending) => bending,
            Err(fault) => {
                report.missing(vec![subject], fault.to_string());
                continue;
            }
        };
        found.push(Setter {
            subject,
            label: facts.plan.level_label(*id),
            convex,
            material,
            plate: Plate {
                stack,
                level,
                elastic_m: bending.bent.deflection_um * 1e-6,
                modulus_pa: modulus.at(bending.at_c + ZERO_C),
                grain_m: material.creep.map_or(0.0, |c| c.grain_um * 1e-6),
                creep: material.creep.map(|c| Creep {
                    rate_per_s: c.rate_per_s,
                    stress_pa: c.stress_mpa * 1e6,
                    t_k: c.at_c + ZERO_C,
                    exponent: c.exponent,
                    q_j_mol: c.kj_mol * 1e3,
                    grain_m: c.grain_um * 1e-6,
                    grain_exponent: c.grain_exponent,
                }),
                modulus,
                strength,
                expansion_per_k: material.expansion_per_k,
            },
        });
    }
    found
}

pub(super) fn plate_creep_bow(facts: &Facts, report: &mut Report) {
    let Some(told) = facts.told(report) else {
        return;
    };
    told.needs_cases(report);
    let Some(limit) = limit(facts, report, "plate-bow-max") else {
        return;
    };
    let run = &told.hot_or_nominal().run;
    for setter in setters(facts, report, &told) {
        if setter.plate.elastic_m <= 0.0 {
            continue;
        }
        match plate(run, &setter.plate).and_then(|p| p.bow_m) {
            Some(bow) => {
                let args = vec![("subject", text(setter.label))];
                let measured = at_most(Length, bow * 1e3, 2);
                report.hold(vec![setter.subject], measured, limit, args);
            }
            None => {
                let what = missing::creep(&setter.material.name);
                report.missing(vec![setter.subject], what);
            }
        }
    }
}

/// Against a third of the hot strength (`model.md` section 6).
pub(super) fn plate_may_crack(facts: &Facts, report: &mut Report) {
    let Some(told) = facts.told(report) else {
        return;
    };
    told.needs_cases(report);
    for setter in setters(facts, report, &told) {
        let all = told.all_cases();
        let all = all.filter_map(|case| plate(&case.run, &setter.plate)?.cracking);
        let worst = all.max_by(|a, b| {
            let over = |c: &Cracking| c.stress_pa / c.limit_pa;
            over(a).total_cmp(&over(b))
        });
        let Some(worst) = worst else {
            continue;
        };
        // A stop without the peak is one with it.
        if !setter.convex && worst.stress_pa <= worst.limit_pa {
            report.missing(vec![setter.subject], missing::inward_corner());
            continue;
        }
        let (name, most) = (limits::third_of_strength(), worst.limit_pa / 1e6);
        let limit = from_record(setter.material, "strength_mpa", name, most, "MPa");
        let args = vec![("subject", text(setter.label))];
        let measured = at_most(Stress, worst.stress_pa / 1e6, 1);
        report.hold(vec![setter.subject], measured, &limit, args);
    }
}
