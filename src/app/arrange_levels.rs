//! What becomes of the levels in an arrangement: what carries each and how high it stands, before and
//! after. The pictures from above cannot show that.

use super::columns::from_right;
use super::lists::carrier_word;
use crate::catalogue::Catalogue;
use crate::load::{Carrier, Level, LevelId, Plan, floor_and_roof, stack_heights};
use crate::text::app as say;
use crate::text::arranging as words;
use crate::text::cli::unknown;
use crate::text::figure_to;
use egui::{Grid, RichText, ScrollArea, Ui};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Heights closer than that are the same, mm: what is shown of them is.
const SAME_MM: f64 = 0.05;

/// A level as it stands in one of two plans.
struct Stands<'a> {
    level: &'a Arc<Level>,
    /// Of its face over the hearth, mm; none where that is not known.
    face_mm: Option<f64>,
}

impl Stands<'_> {
    /// By level, from the hearth up.
    fn all<'a>(plan: &'a Plan, catalogue: &Catalogue) -> BTreeMap<LevelId, Stands<'a>> {
        let furnace = catalogue.furnace(&plan.load.furnace);
        let mut all = BTreeMap::new();
        for stack in &plan.load.stacks {
            let heights = furnace.map(|f| (floor_and_roof(&f.hot_zone).0, f));
            let heights = heights.map(|(hearth, f)| {
                let heights = stack_heights(stack, catalogue, f).into_iter();
                heights.map(move |h| Some(h.ok()?.face_mm - hearth))
            });
            let mut heights = heights.into_iter().flatten();
            for level in &stack.levels {
                let face_mm = heights.next().flatten();
                all.insert(level.id, Stands { level, face_mm });
            }
        }
        all
    }

    fn carrier(&self, catalogue: &Catalogue) -> String {
        match &self.level.carrier {
            Carrier::Posts { post, .. } => catalogue
                .post(post)
                .map_or_else(|| post.clone(), |p| p.name.clone()),
            other => carrier_word(other),
        }
    }

    fn height(&self) -> String {
        self.face_mm.map_or_else(unknown, |mm| figure_to(mm, 1))
    }
}

/// The name of a level that is in either plan: as it will be, and as it was where that is another. No
/// two levels have the same.
pub(super) fn level_name(base: &Plan, shown: &Plan, id: LevelId) -> String {
    let there = |plan: &Plan| plan.level(id).map(|_| plan.level_label(id));
    match (there(base), there(shown)) {
        (Some(before), Some(now)) if before != now => words::level_was(&now, &before),
        (_, Some(now)) => now,
        // Its number may be another's by then.
        (Some(before), None) => words::level_before(&before),
        (None, None) => String::new(),
    }
}

/// A row for each level that is carried otherwise or stands at another height, the highest first, then
/// those that are taken away; none where each is as it was.
pub(super) fn changed(base: &Plan, shown: &Plan, catalogue: &Catalogue) -> Vec<[String; 5]> {
    let before = Stands::all(base, catalogue);
    let after = Stands::all(shown, catalogue);
    let gone = base.levels().filter(|(_, l)| !after.contains_key(&l.id));
    let order = gone.chain(shown.levels()).map(|(_, l)| l.id);
    let mut rows: Vec<[String; 5]> = Vec::new();
    for id in order {
        let name = level_name(base, shown, id);
        let none = String::new;
        rows.push(match (before.get(&id), after.get(&id)) {
            (Some(was), Some(is)) => {
                let near = |(a, b): (f64, f64)| (a - b).abs() < SAME_MM;
                let as_high = was.face_mm.zip(is.face_mm).is_some_and(near)
                    || was.face_mm.is_none() && is.face_mm.is_none();
                let as_carried = was.level.carrier == is.level.carrier;
                let setters = [was, is].map(|s| &s.level.setter);
                let same_setter = setters[0] == setters[1];
                if as_high && as_carried && same_setter {
                    continue;
                }
                let [from, mut to] = [was, is].map(|s| s.carrier(catalogue));
                let name = match same_setter {
                    true => name,
                    false => words::level_on_setter(&name, &catalogue.setter_name(setters[1])),
                };
                if as_carried {
                    to = say::label("as before");
                } else if from == to {
                    to = words::in_other_places(&to);
                }
                [name, from, to, was.height(), is.height()]
            }
            (None, Some(is)) => {
                let name = words::level_new(&name);
                [name, none(), is.carrier(catalogue), none(), is.height()]
            }
            (Some(was), None) => {
                let name = words::level_gone(&base.level_label(id));
                [name, was.carrier(catalogue), none(), was.height(), none()]
            }
            (None, None) => continue,
        });
    }
    rows.reverse();
    rows
}

/// The rows as a table.
pub(super) fn table(ui: &mut Ui, rows: &[[String; 5]]) {
    ui.label(words::levels_changed());
    ScrollArea::horizontal()
        .id_salt("levels changed")
        .show(ui, |ui| {
            Grid::new("levels before and after")
                .striped(true)
                .min_row_height(0.0)
                .show(ui, |ui| {
                    let head = |text: &str| RichText::new(say::label(text)).strong();
                    for text in ["Level", "Carried by, before", "Carried by, after"] {
                        ui.label(head(text));
                    }
                    for text in ["Before, mm", "After, mm"] {
                        from_right(ui, head(text));
                    }
                    ui.end_row();
                    for [name, from, to, was, is] in rows {
                        for text in [name, from, to] {
                            ui.label(text);
                        }
                        for height in [was, is] {
                            from_right(ui, height);
                        }
                        ui.end_row();
                    }
                });
        });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::builtin;
    use crate::load::{Stack, StackId};

    /// Levels of these numbers from the hearth up, on posts of these lengths.
    fn plan(levels: &[(u32, u32)]) -> Plan {
        let mut plan = Plan::empty("small-vacuum-box");
        let level = |(i, (id, post)): (usize, &(u32, u32))| {
            let at_mm = vec![[0.0, 60.0], [60.0, -60.0], [-60.0, -60.0]];
            let post = format!("alumina-post-12x{post}");
            let carrier = match i {
                0 => Carrier::Hearth,
                _ => Carrier::Posts { post, at_mm },
            };
            Arc::new(Level {
                id: LevelId(*id),
                setter: "alumina-square-150x5".to_owned(),
                carrier,
                placements: Vec::new(),
            })
        };
        plan.load.stacks = vec![Stack {
            id: StackId(90),
            at_mm: [0.0, 0.0],
            levels: levels.iter().enumerate().map(level).collect(),
        }];
        plan
    }

    /// Setters are 5 mm thick: a face stands at the sum of them and of the posts under it.
    #[test]
    fn levels_added_and_gone_are_told_with_their_heights() {
        let catalogue = builtin().unwrap().0;
        let rows = |before: &Plan, after: &Plan| {
            let rows = changed(before, after, &catalogue);
            let rows: Vec<String> = rows.into_iter().map(|row| row.join("|")).collect();
            rows
        };
        let before = plan(&[(1, 0), (2, 15), (3, 30)]);
        assert_eq!(rows(&before, &before), [""; 0]);
        let lower = plan(&[(1, 0), (2, 15), (3, 20)]);
        let posts = "alumina post 12 x 30|alumina post 12 x 20|60.0|50.0";
        assert_eq!(rows(&before, &lower), [format!("level 3|{posts}")]);
        let more = plan(&[(1, 0), (9, 20), (2, 15), (3, 30)]);
        assert_eq!(
            rows(&before, &more),
            [
                "level 4 (before: level 3)|alumina post 12 x 30|as before|60.0|85.0",
                "level 3 (before: level 2)|alumina post 12 x 15|as before|25.0|50.0",
                "level 2 (new)||alumina post 12 x 20||30.0",
            ]
        );
        let fewer = plan(&[(1, 0), (3, 15)]);
        assert_eq!(
            rows(&before, &fewer),
            [
                "level 2 (before: level 3)|alumina post 12 x 30|alumina post 12 x 15|60.0|25.0",
                "before: level 2, taken away|alumina post 12 x 15||25.0|",
            ]
        );
        // The same over the pictures: none is called as another.
        let name = |id| level_name(&before, &fewer, LevelId(id));
        assert_eq!(
            [1, 2, 3].map(name),
            ["level 1", "before: level 2", "level 2 (before: level 3)"]
        );
    }
}
