//! Copies as an array, and a level filled with copies.

use super::state::{Action, App, ArrayForm, Results};
use crate::geometry::{Body, Outline, PlacedBody, Pose, inside_margin, placed_gap};
use crate::load::{Carrier, Edit, Level, Placement, PlacementId, Sizes, usable_face};
use crate::part::SizeStage;
use crate::text::app as say;

/// Step in which a pitch is sought, mm.
const PITCH_STEP_MM: f64 = 0.1;

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
        let (_, placement) = results.plan.placement(id)?;
        let sized = Sizes::new(&results.plan, catalogue).of(&placement.item, catalogue)?;
        let body = &sized.at(SizeStage::Hottest).body;
        let gap = self.caps(&results.plan).gap_mm;
        let stand = |at: [f64; 2]| {
            let pose = Pose {
                angle_deg: placement.angle_deg,
                ..Pose::at(at[0], at[1])
            };
            PlacedBody::new(body, &pose)
        };
        let here = stand([0.0, 0.0]);
        let free = |at: [f64; 2]| placed_gap(&here, &stand(at), gap).is_none();
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
        let y = least(1, &|y| {
            if staggered {
                free([x / 2.0, y]) && free([-x / 2.0, y]) && free([0.0, 2.0 * y])
            } else {
                free([0.0, y]) && free([x, y]) && free([-x, y])
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
        const MOST: usize = 2_000;
        let plan = &results.plan;
        let (level, old) = plan.placement(id)?;
        let [px, py] = array.pitch_mm;
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
            self.keep_free_places(results, level, old, &mut places)?;
        }
        places.truncate(MOST);
        let next = self.doc.history.next_id();
        let placements: Vec<Placement> = places
            .into_iter()
            .zip(next..)
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

    fn keep_free_places(
        &self,
        results: &Results,
        level: &Level,
        old: &Placement,
        places: &mut Vec<[f64; 2]>,
    ) -> Option<()> {
        let catalogue = &self.working.catalogue;
        let plan = &results.plan;
        let sizes = Sizes::new(plan, catalogue);
        let sized = sizes.of(&old.item, catalogue)?;
        let body = &sized.at(SizeStage::Hottest).body;
        let setter = catalogue.setter(&level.setter)?;
        let face = usable_face(setter, 1.0);
        let caps = self.caps(plan);
        let (margin, gap) = (caps.edge_mm, caps.gap_mm);
        let stand = |at: [f64; 2], angle_deg: f64| {
            PlacedBody::new(
                body,
                &Pose {
                    angle_deg,
                    ..Pose::at(at[0], at[1])
                },
            )
        };
        let mut taken: Vec<PlacedBody> = level
            .placements
            .iter()
            .filter_map(|p| {
                let sized = sizes.of(&p.item, catalogue)?;
                let pose = Pose {
                    angle_deg: p.angle_deg,
                    ..Pose::at(p.at_mm[0], p.at_mm[1])
                };
                Some(PlacedBody::new(&sized.at(SizeStage::Hottest).body, &pose))
            })
            .collect();
        let above = plan
            .level(level.id)
            .and_then(|(stack, _)| stack.levels.iter().skip_while(|l| l.id != level.id).nth(1));
        if let Some(next) = above
            && let Carrier::Posts { post, at_mm } = &next.carrier
            && let Some(post) = catalogue.post(post)
        {
            let post = Body::prism(Outline::disc(post.diameter_mm), post.length_mm);
            taken.extend(
                at_mm
                    .iter()
                    .map(|[x, y]| PlacedBody::new(&post, &Pose::at(*x, *y))),
            );
        }
        places.retain(|at| {
            let here = stand(*at, old.angle_deg);
            let inside = here
                .outlines()
                .all(|(_, _, o)| inside_margin(&face, o).is_some_and(|m| m >= margin));
            let free = inside && taken.iter().all(|t| placed_gap(&here, t, gap).is_none());
            if free {
                taken.push(here);
            }
            free
        });
        Some(())
    }
}
