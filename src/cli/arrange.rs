//! `setterwright arrange FILE -o OUT`.

use super::arrange_first::{self, Lots, Paired};
use super::arrange_json::ArrangedJson;
use super::{Failure, Outcome, may_write, open, print_json};
use crate::arrange::{
    Figures, Order, Rearranged, Scope, Turning, Watch, Weight, Weights, not_turned,
};
use crate::document::arranging::{ToArrange, arrange_plan};
use crate::files;
use crate::load::{LevelId, Plan};
use crate::part::PartId;
use crate::text::arranging as words;
use crate::text::arranging_ways as ways;
use crate::text::arranging_weights as points;
use crate::text::cli as say;
use crate::text::{called, nearest};
use crate::units::{Quantity, show};
use clap::{Args, ValueEnum};
use std::collections::{BTreeMap, BTreeSet};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Shown under `setterwright arrange --help`.
pub(super) const HELP: &str = "\
Examples, with lots B-1 and B-2 and parts bracket and ring in the load:

  setterwright arrange my.load.ron -o fewer.load.ron --must B-1 --due B-2=2026-12-02 --priority B-2=3
  setterwright arrange my.load.ron -o fewer.load.ron --turns steps --turn bracket=as-placed --turn ring=any
  setterwright arrange my.load.ron -o fewer.load.ron --order rows --weight setter=500 --without-forecast";

/// What may be set out anew.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
enum What {
    /// One level, with what waits; see --level.
    Level,
    /// What waits goes into free places; nothing that stands is moved.
    Gaps,
    /// Everything that is not locked, with what waits.
    #[default]
    Everything,
}

/// How parts may be turned.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
enum Turns {
    /// By right angles.
    #[default]
    Right,
    /// In steps of 15°.
    Steps,
    /// By any angle.
    Any,
    /// Not at all: as a piece of the part stands now, as drawn where none does.
    AsPlaced,
}

impl Turns {
    fn turning(self) -> Turning {
        match self {
            Turns::Right => Turning::RightAngles,
            Turns::Steps => Turning::Steps,
            Turns::Any => Turning::Any,
            Turns::AsPlaced => Turning::AsPlaced,
        }
    }
}

/// What counts after the pieces placed: a named set of weights.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
enum Counts {
    /// Fewest setters, lowest stack, pieces near the middle.
    #[default]
    Middle,
    /// Fewest setters, lowest stack, masses in balance.
    Balance,
    /// Fewest setters, lowest stack, pieces in rows.
    Rows,
    /// Lowest stack, fewest setters, pieces near the middle.
    Lowest,
}

impl Counts {
    fn order(self) -> Order {
        match self {
            Counts::Middle => Order::Middle,
            Counts::Balance => Order::Balance,
            Counts::Rows => Order::Rows,
            Counts::Lowest => Order::Lowest,
        }
    }
}

/// Names, units and ranges of the weights, and the numbers of the named orders.
fn weight_help() -> String {
    let weights = Weight::ALL.map(|w| (w.word(), w.range()));
    let sets = Counts::value_variants().iter().map(|counts| {
        let numbers = Weight::ALL.map(|w| counts.order().weights().get(w));
        let name = counts.to_possible_value().unwrap_or_default();
        (name.get_name().to_owned(), numbers.to_vec())
    });
    let sets: Vec<(String, Vec<f64>)> = sets.collect();
    let sets: Vec<(&str, Vec<f64>)> = sets.iter().map(|(n, w)| (n.as_str(), w.clone())).collect();
    points::long_help(&weights, &sets)
}

const TURN: Paired = Paired {
    option: "--turn",
    form: "PART=TURNS",
};
const WEIGHT: Paired = Paired {
    option: "--weight",
    form: "NAME=NUMBER",
};

/// How parts may be turned that have an option of their own.
fn turns(arguments: &Arguments, plan: &Plan) -> Result<BTreeMap<PartId, Turning>, Failure> {
    let (mut all, mut seen) = (BTreeMap::new(), BTreeSet::new());
    for text in &arguments.turn {
        let (name, value) = TURN.split(text).map_err(arrange_first::refused)?;
        let parts = plan.parts.iter().map(|part| (part.name.as_str(), part.id));
        let parts: Vec<PartId> = called(name, parts).unwrap_or_default();
        let no_such = || {
            let names = plan.parts.iter().map(|part| part.name.as_str());
            arrange_first::refused(ways::no_such_part(name, &nearest(name, names, 3)))
        };
        if parts.is_empty() {
            return Err(no_such());
        }
        let once = TURN.once(&mut seen, name, &parts);
        once.map_err(arrange_first::refused)?;
        let turns = Turns::from_str(value, true).map_err(|_| {
            let all = Turns::value_variants().iter();
            let all =
                all.filter_map(|turns| Some(turns.to_possible_value()?.get_name().to_owned()));
            arrange_first::refused(ways::no_such_turns(name, value, &all.collect::<Vec<_>>()))
        })?;
        all.extend(parts.into_iter().map(|part| (part, turns.turning())));
    }
    Ok(all)
}

/// What counts, as options.
#[derive(Debug, Args)]
pub(super) struct Counting {
    /// What counts after the pieces placed, the first thing first.
    #[arg(long, value_enum, default_value_t)]
    order: Counts,
    #[arg(long, value_name = "NAME=NUMBER", help = points::help(), long_help = weight_help())]
    weight: Vec<String>,
}

impl Counting {
    /// The weights of the order, with those set on the command line.
    ///
    /// # Errors
    /// A sentence about one of them.
    pub(super) fn weights(&self) -> Result<Weights, String> {
        let mut weights = self.order.order().weights();
        let mut seen = BTreeSet::new();
        for text in &self.weight {
            let (name, number) = WEIGHT.split(text)?;
            let no_such = || {
                let all = Weight::ALL.map(Weight::word);
                let near = nearest(name, all.into_iter(), 3);
                points::no_such_weight(name, &near, &all)
            };
            let weight = Weight::of_word(&name.to_lowercase()).ok_or_else(no_such)?;
            WEIGHT.once(&mut seen, name, &[weight.word()])?;
            let no_number = |_| points::not_a_number(number, weight.range());
            let set = weights.with(weight, number.parse().map_err(no_number)?);
            weights = set.map_err(|fault| fault.to_string())?;
        }
        Ok(weights)
    }
}

#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The load file (*.load.ron).
    file: PathBuf,
    /// Where the new load is written (*.load.ron).
    #[arg(short, long, value_name = "FILE")]
    output: PathBuf,
    /// Writes over another load of that name; FILE itself is never written over.
    #[arg(long)]
    overwrite: bool,
    /// What may be set out anew.
    #[arg(long, value_enum, default_value_t)]
    scope: What,
    /// The level of --scope level, counted from 1 over all stacks from the hearth up; to be named
    /// where the load has more than one.
    #[arg(long, value_name = "N")]
    level: Option<usize>,
    /// How parts may be turned; an angle at which one stands stays allowed.
    #[arg(long, value_enum, default_value_t)]
    turns: Turns,
    /// The same for one part, which then does not go by --turns; as often as there are some.
    #[arg(long, value_name = "PART=TURNS")]
    turn: Vec<String>,
    /// Lets parts lie on other faces where that takes less: those on which they stand by
    /// themselves, with no more hanging over, or the pose approved for them. Up to six times as many places are tried then.
    #[arg(long)]
    poses: bool,
    #[command(flatten)]
    lots: Lots,
    #[command(flatten)]
    counting: Counting,
    /// Leaves every level on its posts; without this, posts of the diameters and materials in use and
    /// setters are chosen anew from the stock where everything may be set out.
    #[arg(long)]
    keep_posts: bool,
    /// How long to search: places tried in the first search. The same number gives the same layout.
    /// Where the review has something against a layout, up to four shorter searches follow, and
    /// where levels are set up anew as much again, three and a half times the number in all; where
    /// what the load as a whole brings keeps pieces out, up to eight times, and with --poses up to six
    /// times that; a first layout is made in any case.
    #[arg(
        long,
        value_name = "N",
        default_value_t = 1_000_000,
        allow_negative_numbers = true
    )]
    #[arg(value_parser = clap::value_parser!(u64).range(1..))]
    budget: u64,
    /// Another number gives another layout.
    #[arg(long, value_name = "N", default_value_t = 1)]
    seed: u64,
    /// Holds layouts against the review alone: what the forecast would find is not asked.
    #[arg(long)]
    without_forecast: bool,
    /// Uses the records of this shop folder.
    #[arg(long, value_name = "DIR")]
    shop: Option<PathBuf>,
    /// As JSON, also where no better layout was found.
    #[arg(long)]
    pub(super) json: bool,
}

impl Arguments {
    /// Options that do nothing here, and a name that a load is not looked for under, in sentences.
    fn notes(&self, plan: &Plan) -> Result<Vec<String>, Failure> {
        let mut notes = self.lots.idle(plan)?;
        if self.keep_posts && self.scope != What::Everything {
            notes.push(ways::posts_stay_anyway());
        }
        if !files::is_load_name(&self.output) {
            notes.push(ways::not_a_load_name(&self.output.display().to_string()));
        }
        Ok(notes)
    }
}

/// The exit where no better layout was found, and nothing written.
const NO_BETTER: u8 = 1;

pub(super) fn run(arguments: &Arguments, out: &mut dyn Write) -> Outcome {
    may_write(
        &arguments.output,
        Some(&arguments.file),
        arguments.overwrite,
    )?;
    let load = open(&arguments.file, arguments.shop.as_deref())?;
    let refused = |reason: String| Failure::Input(words::not_arranged(&reason));
    let scope = match (arguments.scope, arguments.level) {
        (What::Gaps, None) => Scope::Gaps,
        (What::Everything, None) => Scope::Everything,
        (What::Level, level) => {
            let levels: Vec<LevelId> = load.plan.levels().map(|(_, l)| l.id).collect();
            if level.is_none() && levels.len() > 1 {
                return Err(refused(ways::scope_without_level(levels.len())));
            }
            let level = level.unwrap_or(1);
            let id = level.checked_sub(1).and_then(|i| levels.get(i));
            let no_such = || refused(words::no_such_level(level, levels.len()));
            Scope::Level(*id.ok_or_else(no_such)?)
        }
        (What::Gaps | What::Everything, Some(_)) => {
            return Err(refused(ways::level_without_scope()));
        }
    };
    let turns = turns(arguments, &load.plan)?;
    let mut notes = arguments.notes(&load.plan)?;
    notes.extend(not_turned(&load.plan, scope, &turns));
    let asked = ToArrange {
        scope,
        turning: arguments.turns.turning(),
        turns,
        poses: arguments.poses,
        folder: arguments.file.parent().unwrap_or(Path::new("")).to_owned(),
        anew: !arguments.keep_posts,
        first: arguments.lots.first(&load.plan)?,
        weights: arguments.counting.weights().map_err(refused)?,
        evaluations: arguments.budget,
        seed: arguments.seed,
        with_forecast: !arguments.without_forecast,
        ..ToArrange::of(Arc::new(load.plan.clone()), &load.working)
    };
    let found = arrange_plan(&asked, &Watch::default(), &|_| (), &|_| ())
        .map_err(|fault| refused(fault.to_string()))?;
    let layout = &found.layout;
    let reasons = layout.left_out.iter().map(|left| left.sentence());
    let passed_over =
        (!layout.in_the_way.is_empty()).then(|| words::in_the_way(&layout.in_the_way));
    let more = layout.stood_amiss().into_iter().chain(reasons);
    let more = more.chain(passed_over);
    let more: Vec<String> = more.chain(layout.on_their_face.iter().cloned()).collect();
    let (before, after) = (layout.before, layout.after);
    let on_setters = words::arranged(before.setters, after.setters, layout.bound, after.waiting);
    if layout.edit.is_none() {
        let why = words::no_better(!layout.in_the_way.is_empty());
        if arguments.json {
            print_json(out, &ArrangedJson::of(&found, Err(why.as_str()), notes))?;
            return Ok(NO_BETTER);
        }
        let tried = words::tried(layout.evaluations);
        let first = [words::not_arranged(&why), on_setters].into_iter();
        let last = notes.into_iter().chain([tried, words::nothing_written()]);
        for line in first.chain(more).chain(last) {
            writeln!(out, "{line}")?;
        }
        return Ok(NO_BETTER);
    }
    let to = &arguments.output;
    files::save_load_from(&asked.folder, to, &layout.plan, &load.working)?;
    if arguments.json {
        print_json(
            out,
            &ArrangedJson::of(&found, Ok(arguments.output.as_path()), notes),
        )?;
        return Ok(0);
    }
    let mut lines = vec![
        on_setters,
        words::placed(
            after.placed,
            after.placed + after.waiting,
            after.fill,
            after.ceiling,
        ),
    ];
    if let Some((before, after)) = before.height_mm.zip(after.height_mm) {
        lines.push(ways::height(before, after));
    }
    lines.push(neatness(&before, &after));
    lines.extend(weighed(layout));
    lines.extend(layout.set_up());
    lines.extend(layout.laid.iter().cloned());
    if layout.added + after.waiting > 0 {
        lines.push(words::added(layout.added, after.waiting));
    }
    lines.extend(more);
    lines.extend(notes);
    let [was, is] = found.counts;
    lines.push(found.said());
    lines.push(words::stops(was.stops, is.stops));
    lines.push(words::not_judged(was.missing, is.missing));
    lines.push(words::tried(layout.evaluations));
    lines.push(say::written(1, &arguments.output.display().to_string()));
    for line in lines {
        writeln!(out, "{line}")?;
    }
    Ok(0)
}

/// Each figure that counts with its weight and its points, and their sum.
fn weighed(layout: &Rearranged) -> Vec<String> {
    let weighed = layout.weighed();
    let mut lines = vec![points::intro(Order::of(&layout.weights).is_none())];
    for term in &weighed.terms {
        let [was, is] = term.points().map(points::points);
        let [before, after] = term.amounts.map(points::amount);
        lines.push(points::line(
            &points::counted(term.weight.word()),
            [&before, &after],
            &points::weight(term.each),
            [&was, &is],
        ));
    }
    let [was, is] = weighed.points.map(|sum| points::points(Some(sum)));
    lines.push(points::sum_line(weighed.whole, [&was, &is]));
    lines
}

/// Middle, balance and rows in a sentence.
fn neatness(before: &Figures, after: &Figures) -> String {
    let both = |of: fn(&Figures) -> Option<f64>, what, digits| {
        [before, after].map(|f| of(f).map_or_else(say::unknown, |v| show(what, v, digits)))
    };
    let middle = both(|f| f.middle_mm, Quantity::Length, 0);
    let off = both(|f| f.off_axis_mm, Quantity::Length, 1);
    let rows = both(|f| f.in_rows, Quantity::Fraction, 0);
    ways::neatness(
        middle.each_ref().map(String::as_str),
        off.each_ref().map(String::as_str),
        rows.each_ref().map(String::as_str),
    )
}
