//! Copies as an array, and a level filled with copies.

use super::state::{Action, App, ArrayForm, Results};
use crate::geometry::Pose;
use crate::load::{
    Edit, Item, Level, LevelScene, Placement, PlacementId, Sizes, Standing, Wanted,
    keep_free_places, places_on,
};
use crate::part::SizeStage;
use crate::text::app as say;

/// Step in which a pitch is sought, mm.
const PITCH_STEP_MM: f64 = 0.1;
/// Most copies that are set out at once.
const MOST: usize = 2_000;

impl App {
    /// The smallest pitch along x, and with it along y, at which copies of a thing leave each
    /// other the gap limit; to the next tenth of a millimetre. None where its size is not known.
    pub(super) fn tightest_pitch(
        &self,
        results: &Results,
        id: PlacementId,
        staggered: bool,
    ) -> Option<[f64; 2]> {
        let catalogue = &self.working.catalogue;
        let (level, placement) = results.plan.placement(id)?;
        let sizes = Sizes::new(&results.plan, catalogue);
        let sized = sizes.of(&placement.item, catalogue)?;
        let growths = LevelScene::new(level, &results.plan, &sizes, catalogue).growths();
        let body = &sized.at(SizeStage::Hottest).body;
        let gap = results.caps.gap_mm;
        let stand = |at_mm: [f64; 2]| {
            let copy = Placement {
                at_mm,
                ..placement.clone()
            };
            Standing::new(&copy, &sized, 0.0, growths)
        };
        let here = stand([0.0, 0.0]);
        let free = |at: [f64; 2]| here.pair_gap(&stand(at), gap).is_none();
        let pose = Pose {
            angle_deg: placement.angle_deg,
            ..Pose::at(0.0, 0.0)
        };
        let [low, high] = body.silhouette().placed(&pose).bounds()?;
        // Down from where boxes part: the first that is too near ends it, so that no pitch is
        // taken at which interlocked copies stand free by chance.
        let least = |k: usize, fits: &dyn Fn(f64) -> bool| {
            let mut steps = ((high[k] - low[k] + gap) / PITCH_STEP_MM).ceil() + 1.0;
            while steps > 1.0 && fits((steps - 1.0) * PITCH_STEP_MM) {
                steps -= 1.0;
            }
            (steps * PITCH_STEP_MM * 10.0).round() / 10.0
        };
        let x = least(0, &|x| free([x, 0.0]));
        // Concave parts interlock, so more than the next column may be near.
        let columns = ((high[0] - low[0] + gap) / x).ceil() as i64 + 1;
        let row_free = |shift: f64, y: f64| {
            (-columns..=columns).all(|column| free([column as f64 * x + shift, y]))
        };
        let y = least(1, &|y| {
            if staggered {
                row_free(x / 2.0, y) && row_free(0.0, 2.0 * y)
            } else {
                row_free(0.0, y)
            }
        });
        Some([x, y])
    }

    /// The edit of an array. Filling takes only places inside the edge margin that leave the gap
    /// limit to posts and to what stands there.
    pub(super) fn array(
        &self,
        results: &Results,
        id: PlacementId,
        array: &ArrayForm,
        fill: bool,
    ) -> Option<Action> {
        let plan = &results.plan;
        let (level, old) = plan.placement(id)?;
        let [px, py] = array.pitch_mm;
        let copies = array.rows.saturating_mul(array.columns).saturating_sub(1);
        if !fill && copies > MOST {
            return Some(Action::Say(say::too_many_copies(copies, MOST)));
        }
        let mut places: Vec<[f64; 2]> = Vec::new();
        let stagger = |row: i64| {
            if array.staggered && row.rem_euclid(2) == 1 {
                px / 2.0
            } else {
                0.0
            }
        };
        if fill {
            let reach = 400.0;
            let (nx, ny) = ((reach / px) as i64, (reach / py) as i64);
            for row in -ny.min(200)..=ny.min(200) {
                for column in -nx.min(200)..=nx.min(200) {
                    places.push([
                        old.at_mm[0] + column as f64 * px + stagger(row),
                        old.at_mm[1] + row as f64 * py,
                    ]);
                }
            }
        } else {
            for row in 0..array.rows as i64 {
                for column in 0..array.columns as i64 {
                    places.push([
                        old.at_mm[0] + column as f64 * px + stagger(row),
                        old.at_mm[1] + row as f64 * py,
                    ]);
                }
            }
        }
        places.retain(|p| *p != old.at_mm);
        if fill {
            self.keep_free_places(results, level, old, &mut places, usize::MAX)?;
        }
        if places.len() > MOST {
            return Some(Action::Say(say::too_many_copies(places.len(), MOST)));
        }
        let next = self.doc.history.next_id();
        let placements: Vec<Placement> = places
            .into_iter()
            .zip(next..=u32::MAX)
            .map(|(at_mm, id)| Placement {
                id: PlacementId(id),
                at_mm,
                locked: false,
                ..old.clone()
            })
            .collect();
        if placements.is_empty() {
            return Some(Action::Say(say::no_free_place()));
        }
        Some(Action::Edit(Edit::Place {
            level: level.id,
            placements,
        }))
    }

    /// The free place nearest to the middle of the level shown for one more thing; none where there
    /// is none or it cannot be told.
    pub(super) fn free_place(&self, results: &Results, item: &Item) -> Option<[f64; 2]> {
        let (_, level) = self.view.level.and_then(|id| results.plan.level(id))?;
        let mut places = places_on(self.working.catalogue.setter(&level.setter)?);
        let one = Placement {
            id: PlacementId(u32::MAX),
            item: item.clone(),
            at_mm: [0.0; 2],
            angle_deg: 0.0,
            support: None,
            locked: false,
        };
        self.keep_free_places(results, level, &one, &mut places, 1)?;
        places.first().copied()
    }

    /// Keeps the places where a copy of something is free, the first `most` of them.
    fn keep_free_places(
        &self,
        results: &Results,
        level: &Level,
        old: &Placement,
        places: &mut Vec<[f64; 2]>,
        most: usize,
    ) -> Option<()> {
        let (catalogue, plan) = (&self.working.catalogue, &results.plan);
        let sizes = Sizes::new(plan, catalogue);
        let wanted = Wanted {
            edge_mm: results.caps.edge_mm,
            gap_mm: results.caps.gap_mm,
            most,
            also: &|_| true,
        };
        keep_free_places(plan, catalogue, &sizes, level, old, places, &wanted)
    }
}
