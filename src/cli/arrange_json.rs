//! What came of an arrangement, as JSON.

use crate::arrange::{Figures, Order, Term, Weight};
use crate::document::arranging::{Arranged, Counts};
use serde::Serialize;
use std::collections::BTreeMap;
use std::path::Path;

#[derive(Serialize)]
pub(super) struct ArrangedJson {
    schema: &'static str,
    version: u32,
    /// The load that was written; none where no better layout was found.
    file: Option<String>,
    /// Whether a better layout was found. Where none was, all that is told after is as before.
    found: bool,
    why_not: Option<String>,
    /// Options that did nothing.
    notes: Vec<String>,
    before: FiguresJson,
    after: FiguresJson,
    /// None where only a part was set out.
    least_setters_by_area: Option<usize>,
    weights: BTreeMap<&'static str, f64>,
    /// Whether they are those of a named order, which are assumed.
    weights_assumed: bool,
    terms: Vec<TermJson>,
    points_before: f64,
    points_after: f64,
    /// False where something that counts is not known and left out of the points.
    points_whole: bool,
    levels_on_other_posts: usize,
    levels_with_another_setter: usize,
    levels_added: usize,
    levels_taken_away: usize,
    levels_that_hold_what_stays_higher_by_mm: Vec<(String, f64)>,
    parts_too_near_before: usize,
    parts_too_near_after: usize,
    parts_on_other_faces: Vec<String>,
    parts_on_their_face: Vec<String>,
    added: usize,
    left_out: Vec<String>,
    in_the_way: Vec<String>,
    with_forecast: bool,
    cautions_of_the_forecast: Vec<String>,
    places_tried: u64,
}

#[derive(Serialize)]
struct FiguresJson {
    setters: usize,
    placed: usize,
    waiting: usize,
    height_mm: Option<f64>,
    fill: Option<f64>,
    most_fill: Option<f64>,
    middle_mm: Option<f64>,
    off_axis_mm: Option<f64>,
    in_rows: Option<f64>,
    stops: usize,
    cautions: usize,
    not_evaluated: usize,
}

impl FiguresJson {
    fn of(figures: &Figures, counts: Counts) -> FiguresJson {
        FiguresJson {
            setters: figures.setters,
            placed: figures.placed,
            waiting: figures.waiting,
            height_mm: figures.height_mm,
            fill: figures.fill,
            most_fill: figures.ceiling,
            middle_mm: figures.middle_mm,
            off_axis_mm: figures.off_axis_mm,
            in_rows: figures.in_rows,
            stops: counts.stops,
            cautions: counts.cautions,
            not_evaluated: counts.missing,
        }
    }
}

#[derive(Serialize)]
struct TermJson {
    weight: &'static str,
    each: f64,
    before: Option<f64>,
    after: Option<f64>,
    points_before: Option<f64>,
    points_after: Option<f64>,
}

impl From<&Term> for TermJson {
    fn from(term: &Term) -> TermJson {
        let ([before, after], [was, is]) = (term.amounts, term.points());
        TermJson {
            weight: term.weight.word(),
            each: term.each,
            before,
            after,
            points_before: was,
            points_after: is,
        }
    }
}

impl ArrangedJson {
    /// With the file that was written, or why none was.
    pub(super) fn of(
        found: &Arranged,
        written: Result<&Path, &str>,
        notes: Vec<String>,
    ) -> ArrangedJson {
        let layout = &found.layout;
        let weighed = layout.weighed();
        let [was, is] = found.counts;
        let [posts, setters, added, gone] = layout.levels;
        let weights = Weight::ALL.map(|w| (w.word(), layout.weights.get(w)));
        ArrangedJson {
            schema: "setterwright.arrange",
            version: 1,
            file: written.ok().map(|file| file.display().to_string()),
            found: written.is_ok(),
            why_not: written.err().map(str::to_owned),
            notes,
            before: FiguresJson::of(&layout.before, was),
            after: FiguresJson::of(&layout.after, is),
            least_setters_by_area: layout.bound,
            weights: weights.into_iter().collect(),
            weights_assumed: Order::of(&layout.weights).is_some(),
            terms: weighed.terms.iter().map(TermJson::from).collect(),
            points_before: weighed.points[0],
            points_after: weighed.points[1],
            points_whole: weighed.whole,
            levels_on_other_posts: posts,
            levels_with_another_setter: setters,
            levels_added: added,
            levels_taken_away: gone,
            levels_that_hold_what_stays_higher_by_mm: layout.held.clone(),
            parts_too_near_before: layout.amiss[0],
            parts_too_near_after: layout.amiss[1],
            parts_on_other_faces: layout.laid.clone(),
            parts_on_their_face: layout.on_their_face.clone(),
            added: layout.added,
            left_out: layout.left_out.iter().map(|l| l.sentence()).collect(),
            in_the_way: layout.in_the_way.clone(),
            with_forecast: found.with_forecast,
            cautions_of_the_forecast: found.told.clone(),
            places_tried: layout.evaluations,
        }
    }
}
