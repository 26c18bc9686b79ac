//! `setterwright review FILE`.

use super::{Failure, Opened, Outcome, mark, open, print_json};
use crate::catalogue::{CheckSetting, LimitScope, Severity, Standing};
use crate::files::{self, FileFault, Working};
use crate::forecast::plan::{NoForecast, PlanForecast, of};
use crate::load::{Plan, peak_c};
use crate::review::{Finding, Fix, Fixer, Given, Offer, Review, counted, review, topic_of};
use crate::text::cautions;
use crate::text::cli as say;
use crate::text::finding_accept;
use crate::text::findings::{self, fill, prose};
use crate::text::fixes;
use crate::text::forecast_text;
use crate::units::Quantity;
use clap::Args;
use serde::Serialize;
use std::collections::BTreeMap;
use std::io::Write;
use std::path::{Path, PathBuf};

/// The load that is reviewed where none is named.
const DEMO: &str = include_str!("../../demo-loads/clean.load.ron");

#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The load file (*.load.ron).
    #[arg(required_unless_present = "list")]
    file: Option<PathBuf>,
    /// Prints JSON instead of text.
    #[arg(long)]
    pub(super) json: bool,
    /// Judges by the records of this shop folder.
    #[arg(long, value_name = "DIR")]
    shop: Option<PathBuf>,
    /// Lists every check with its default, its limits, who set them and from what source.
    #[arg(long, conflicts_with = "file")]
    list: bool,
    /// Tells of each finding what an edit could mend, and what else that would change; writes
    /// nothing.
    #[arg(long)]
    fixes: bool,
}

pub(super) fn run(on: &Arguments, out: &mut dyn Write) -> Outcome {
    let Some(file) = on.file.as_deref().filter(|_| !on.list) else {
        return super::list::run(on.shop.as_deref(), on.json, out);
    };
    let load = open(file, on.shop.as_deref())?;
    let forecast = forecast(&load);
    let found = look_with(&load, &forecast);
    let offers = offers(&load, &found, &forecast, on.fixes);
    if on.json {
        print_json(out, &json(&load, &found, &offers))?;
    } else {
        print(&load, &found, &offers, out)?;
    }
    Ok(u8::from(found.open_stops() > 0))
}

/// Without a subcommand: the review of a file, or of the demo load; the exit is 0.
pub(super) fn run_bare(file: Option<&Path>, shop: Option<&Path>, out: &mut dyn Write) -> Outcome {
    let load = match (file, shop) {
        (Some(file), _) => open(file, shop)?,
        (None, Some(dir)) => super::opened(demo()?.0, Some(&files::read_shop_folder(dir)?))?,
        (None, None) => {
            let (plan, working) = demo()?;
            Opened { plan, working }
        }
    };
    let found = look(&load);
    print(&load, &found, &[], out)?;
    Ok(0)
}

/// The demo load with the records that it carries.
///
/// # Errors
/// Only when this build's own demo load is broken, which a test rules out.
pub fn demo() -> Result<(Plan, Working), FileFault> {
    let plan = files::decode_load("demo-loads/clean.load.ron", DEMO.as_bytes())?;
    let working = files::working(&plan, None)?;
    Ok((plan, working))
}

/// A forecast of the load, or why there is none.
fn forecast(load: &Opened) -> Result<PlanForecast, NoForecast> {
    let sizes = load.sizes();
    of(&load.asked(&sizes), &|| false)
}

fn given<'a>(
    load: &'a Opened,
    differences: &'a [(String, String)],
    forecast: &'a Result<PlanForecast, NoForecast>,
) -> Given<'a> {
    Given {
        plan: &load.plan,
        catalogue: &load.working.catalogue,
        shop: load.working.shop.as_deref(),
        differences,
        standard: load.working.standard.as_deref(),
        forecast: Some(forecast),
    }
}

pub(super) fn look(load: &Opened) -> Review {
    look_with(load, &forecast(load))
}

fn look_with(load: &Opened, forecast: &Result<PlanForecast, NoForecast>) -> Review {
    review(&given(load, &load.working.told_differences(), forecast))
}

/// Stops and cautions of a load by a forecast of it, by name, with the command that shows them.
pub(super) fn found_said(
    load: &Opened,
    forecast: &Result<PlanForecast, NoForecast>,
    file: &Path,
) -> String {
    let review = look_with(load, forecast);
    let of = |severity: Severity| {
        let open = review.findings.iter();
        let open = open.filter(|f| f.severity == severity && f.accepted.is_none());
        let mut titles: Vec<String> = Vec::new();
        let mut n = 0;
        for finding in open {
            n += 1;
            let title = findings::title(finding.check);
            if !titles.contains(&title) {
                titles.push(title);
            }
        }
        (n, titles)
    };
    let (stops, cautions) = (of(Severity::Stop), of(Severity::Caution));
    if stops.0 + cautions.0 == 0 {
        return forecast_text::nothing_found(review.ran, review.not_evaluated());
    }
    let file = file.display().to_string();
    forecast_text::found((stops.0, &stops.1), (cautions.0, &cautions.1), &file)
}

/// What can be done about each finding, in their order; nothing where nobody asked.
fn offers(
    load: &Opened,
    found: &Review,
    forecast: &Result<PlanForecast, NoForecast>,
    asked: bool,
) -> Vec<Offer> {
    if !asked {
        return Vec::new();
    }
    let differences = load.working.told_differences();
    let given = given(load, &differences, forecast);
    let fixer = Fixer::new(&given, found);
    found.findings.iter().map(|f| fixer.offer(f)).collect()
}

fn print(
    load: &Opened,
    found: &Review,
    offers: &[Offer],
    out: &mut dyn Write,
) -> Result<(), Failure> {
    let plan = &load.plan;
    writeln!(out, "{}", say::review_head(&plan.title))?;
    let groups = [
        (Severity::Stop, say::fix_before_start()),
        (Severity::Caution, say::look_at()),
        (Severity::Note, say::for_information()),
    ];
    for (severity, heading) in groups {
        let mine = |f: &&Finding| f.severity == severity && !f.is_gone();
        if found.findings.iter().any(|f| mine(&f)) {
            writeln!(out, "\n{heading}")?;
        }
        for (finding, offer) in with_offers(found, offers).filter(|(f, _)| mine(f)) {
            print_finding(load, finding, offer, out)?;
        }
    }
    if found.findings.iter().any(Finding::is_gone) {
        writeln!(out, "\n{}", say::accepted())?;
        for finding in found.findings.iter().filter(|f| f.is_gone()) {
            print_finding(load, finding, None, out)?;
        }
    }
    if found.not_evaluated() > 0 {
        writeln!(out, "\n{}", say::not_evaluated())?;
        if !found.unforecast.is_empty() {
            writeln!(out, "  {}", say::unforecast(found.unforecast.len()))?;
        }
        for missing in &found.missing {
            let about: Vec<String> = missing.subjects.iter().map(|s| s.label(plan)).collect();
            writeln!(
                out,
                "  {}",
                say::missing(missing.check, &about.join(", "), &missing.what)
            )?;
        }
    }
    if !found.cautions.is_empty() {
        writeln!(out, "\n{}", cautions::head())?;
        for caution in &found.cautions {
            writeln!(out, "  {}", cautions::of(&caution.record, &caution.words))?;
        }
        writeln!(out, "  {}", cautions::defer())?;
    }
    if !found.off.is_empty() {
        writeln!(out, "\n{}", say::switched_off())?;
        for (slug, reason) in &found.off {
            let who = who_switched(found, slug, reason.as_deref());
            writeln!(out, "  {}", say::off(slug, reason.as_deref(), &who))?;
        }
    }
    print_changed(found, out)?;
    writeln!(out, "\n{}", found.setpoints_shown(peak_c(plan)))?;
    let summary = say::summary(
        found.open_stops(),
        found.stops_taken_on(),
        found.topics,
        found.ran,
        [found.not_evaluated(), found.safety_not_evaluated()],
        found.off.len(),
    );
    writeln!(out, "\n{summary}\n{}", say::planner_only())?;
    Ok(())
}

/// What the shop made of checks, with its reasons; what is off throughout is listed already.
fn print_changed(found: &Review, out: &mut dyn Write) -> Result<(), Failure> {
    let listed = |s: &&CheckSetting| found.off.iter().any(|(slug, _)| *slug == s.check);
    let changed: Vec<&CheckSetting> = found.settings.iter().filter(|s| !listed(s)).collect();
    if changed.is_empty() {
        return Ok(());
    }
    writeln!(out, "\n{}", say::changed_checks())?;
    for setting in changed {
        let text = say::changed(
            &setting.check,
            &setting.scope.words(),
            &made_of(setting),
            &setting.reason,
            &who(setting),
        );
        writeln!(out, "  {text}")?;
    }
    Ok(())
}

/// What a setting makes of a check.
pub(super) fn made_of(setting: &CheckSetting) -> String {
    match (setting.on, setting.severity) {
        (false, _) => say::set_off(),
        (true, Some(severity)) => mark(severity).trim().to_owned(),
        (true, None) => say::set_on(),
    }
}

/// Who decided a setting and when, behind its reason.
pub(super) fn who(setting: &CheckSetting) -> String {
    let on = setting.on_day.as_deref();
    say::who_and_when(&setting.set_by, on.unwrap_or_default())
}

/// Who switched a check off for that reason and when, behind the reason, and for what alone; nothing
/// where nobody is named.
pub fn who_switched(found: &Review, check: &str, reason: Option<&str>) -> String {
    let topic = topic_of(check).map(|topic| topic.slug);
    let mut settings = found.settings.iter();
    let set = settings.find(|s| {
        let named = s.check == check || Some(&*s.check) == topic;
        named && !s.on && Some(&*s.reason) == reason
    });
    set.map_or_else(String::new, |set| match set.scope {
        LimitScope::Shop | LimitScope::BuiltIn => who(set),
        _ => say::set_for_alone(&who(set), &set.scope.words()),
    })
}

/// Findings, each with its offer where there is one.
fn with_offers<'a>(
    found: &'a Review,
    offers: &'a [Offer],
) -> impl Iterator<Item = (&'a Finding, Option<&'a Offer>)> {
    let all = found.findings.iter().enumerate();
    all.map(|(i, finding)| (finding, offers.get(i)))
}

fn print_finding(
    load: &Opened,
    finding: &Finding,
    offer: Option<&Offer>,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    let Some(words) = prose(finding.check) else {
        return Ok(());
    };
    let mark = mark(finding.severity);
    writeln!(
        out,
        "  {mark}  {} [{}]",
        fill(words.title, &[]),
        finding.check
    )?;
    writeln!(out, "        {}", fill(words.sentence, &finding.args))?;
    writeln!(out, "        {}", say::why(&fill(words.why, &finding.args)))?;
    writeln!(
        out,
        "        {}",
        say::remedy(&fill(words.remedy, &finding.args))
    )?;
    match offer {
        Some(Offer::Fixes(all)) => {
            for fix in all {
                let line = fixes::can(&fix.label(), &fix.also.shown());
                writeln!(out, "        {line}")?;
            }
        }
        Some(Offer::Nothing(why)) => writeln!(out, "        {why}")?,
        None => {}
    }
    if let Some(limit) = &finding.limit {
        let assumed = limit.standing == Standing::Assumed;
        let text = say::limit(
            &limit.name,
            &finding.limit_shown().unwrap_or_default(),
            &limit.set_by,
            load.working.catalogue.cited(&limit.source),
            limit.revision,
            assumed,
        );
        writeln!(out, "        {text}")?;
    }
    if let Some((index, why)) = &finding.lapsed
        && let Some(accepted) = load.plan.acceptances.get(*index)
    {
        let text = finding_accept::lapsed(&accepted.by, &accepted.on, why);
        writeln!(out, "        {text}")?;
    }
    if let Some(accepted) = finding.accepted.and_then(|i| load.plan.acceptances.get(i)) {
        writeln!(
            out,
            "        {}",
            say::accepted_by(
                &accepted.by,
                accepted.role.as_deref(),
                &accepted.on,
                &accepted.reason,
                finding.done_under_words(),
            )
        )?;
    }
    Ok(())
}

#[derive(Serialize)]
struct ReviewJson<'a> {
    schema: &'static str,
    version: u32,
    title: &'a str,
    summary: String,
    topics_run: usize,
    checks_run: usize,
    checks_not_evaluated: usize,
    checks_off: Vec<&'static str>,
    /// What the shop made of checks, with whom, why and for what.
    settings: &'a [CheckSetting],
    stops_open: usize,
    cautions_open: usize,
    notes_open: usize,
    /// None where they are not evaluated; `not_evaluated` says why.
    usable_setpoints_c: Option<UsableJson>,
    findings: Vec<FindingJson>,
    not_evaluated: Vec<MissingJson>,
    record_cautions: Vec<CautionJson<'a>>,
}

#[derive(Serialize)]
struct UsableJson {
    /// Lowest that the coldest place allows.
    from: f64,
    /// Highest that the hottest place allows; below `from` no setpoint exists.
    to: f64,
    exists: bool,
    known: String,
}

#[derive(Serialize)]
struct FindingJson {
    check: &'static str,
    severity: Severity,
    subjects: Vec<String>,
    labels: Vec<String>,
    title: String,
    sentence: String,
    why: String,
    remedy: String,
    value: Option<f64>,
    value_unit: Option<&'static str>,
    margin: Option<f64>,
    limit: Option<crate::catalogue::Limit>,
    accepted_by: Option<String>,
    /// Why an acceptance that was given for it does not hold.
    #[serde(skip_serializing_if = "Option::is_none")]
    acceptance_lapsed: Option<String>,
    safety: bool,
    /// Procedure and revision under which a safety finding is done.
    done_under: Option<(String, String)>,
    /// Edits that would mend it; only where they were asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    fixes: Option<Vec<FixJson>>,
    /// Why there is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    no_fix: Option<String>,
}

#[derive(Serialize)]
struct FixJson {
    kind: &'static str,
    label: String,
    /// Other findings that would be gone, by check.
    gone: BTreeMap<&'static str, usize>,
    /// Findings that would be new, by check.
    new: BTreeMap<&'static str, usize>,
    /// How much longer the program would take.
    longer_min: Option<f64>,
    /// How much heavier the charge would be.
    heavier_g: f64,
}

fn fix_json(fix: &Fix) -> FixJson {
    FixJson {
        kind: fix.kind.word(),
        label: fix.label(),
        gone: fix.also.gone.clone(),
        new: fix.also.new.clone(),
        longer_min: fix.also.minutes,
        heavier_g: fix.also.mass_g,
    }
}

#[derive(Serialize)]
struct CautionJson<'a> {
    record: &'a str,
    words: &'a str,
}

#[derive(Serialize)]
struct MissingJson {
    check: &'static str,
    subjects: Vec<String>,
    what: String,
}

fn usable(found: &Review) -> Option<UsableJson> {
    let known = found.setpoints.as_ref()?.as_ref().ok()?;
    Some(UsableJson {
        from: known.usable.from_c,
        to: known.usable.to_c,
        exists: !known.usable.is_empty(),
        known: counted(&known.known),
    })
}

fn json<'a>(load: &'a Opened, found: &'a Review, offers: &[Offer]) -> ReviewJson<'a> {
    let plan = &load.plan;
    let finding = |(f, offer): (&Finding, Option<&Offer>)| {
        let words = prose(f.check);
        let text = |pick: fn(&findings::Prose) -> &'static str| {
            words.map_or_else(String::new, |w| fill(pick(w), &f.args))
        };
        FindingJson {
            check: f.check,
            severity: f.severity,
            subjects: f.subjects.iter().map(crate::review::Subject::key).collect(),
            labels: f.subjects.iter().map(|s| s.label(plan)).collect(),
            title: text(|w| w.title),
            sentence: text(|w| w.sentence),
            why: text(|w| w.why),
            remedy: text(|w| w.remedy),
            value: f.measured.map(|m| m.value),
            // A share is written as one, as its limit is.
            value_unit: f.measured.map(|m| match m.quantity {
                Quantity::Fraction => "",
                quantity => quantity.unit(),
            }),
            margin: f.margin(),
            limit: f.limit.clone(),
            accepted_by: f
                .accepted
                .and_then(|i| plan.acceptances.get(i))
                .map(|accepted| accepted.by.clone()),
            acceptance_lapsed: f.lapsed.as_ref().map(|(_, why)| why.clone()),
            safety: f.safety,
            done_under: f
                .done_under_words()
                .map(|(name, revision)| (name.to_owned(), revision.to_owned())),
            fixes: offer.map(|o| o.fixes().iter().map(fix_json).collect()),
            no_fix: offer.and_then(|o| match o {
                Offer::Nothing(why) => Some(why.clone()),
                Offer::Fixes(_) => None,
            }),
        }
    };
    ReviewJson {
        schema: "setterwright.review",
        version: 1,
        title: &plan.title,
        summary: say::summary(
            found.open_stops(),
            found.stops_taken_on(),
            found.topics,
            found.ran,
            [found.not_evaluated(), found.safety_not_evaluated()],
            found.off.len(),
        ),
        topics_run: found.topics,
        checks_run: found.ran,
        checks_not_evaluated: found.not_evaluated(),
        checks_off: found.off.iter().map(|(slug, _)| *slug).collect(),
        settings: &found.settings,
        stops_open: found.open_stops(),
        cautions_open: found.open(Severity::Caution),
        notes_open: found.open(Severity::Note),
        usable_setpoints_c: usable(found),
        findings: with_offers(found, offers).map(finding).collect(),
        not_evaluated: found
            .missing
            .iter()
            .map(|m| MissingJson {
                check: m.check,
                subjects: m.subjects.iter().map(crate::review::Subject::key).collect(),
                what: m.what.clone(),
            })
            .chain(found.unforecast.iter().map(|check| MissingJson {
                check,
                subjects: Vec::new(),
                what: crate::text::missing::forecast().to_owned(),
            }))
            .collect(),
        record_cautions: found
            .cautions
            .iter()
            .map(|c| CautionJson {
                record: &c.record,
                words: &c.words,
            })
            .collect(),
    }
}
