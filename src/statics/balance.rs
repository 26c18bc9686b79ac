//! Where the mass of a level and of a stack lies, and what the posts carry of it.

use super::polygon;
use crate::catalogue::{Catalogue, SupportKind};
use crate::geometry::outline::convex_hull;
use crate::geometry::{P2, Pose};
use crate::load::{
    Carrier, Item, Level, LevelId, PartRecords, Placement, Plan, Sizes, Stack, StackId,
    entering_state, support_bed,
};
use crate::part::{SizeStage, scale};

/// A mass and its place in plan.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MassAt {
    /// Mass, g.
    pub mass_g: f64,
    /// From the setter's centre, mm.
    pub at_mm: P2,
}

/// Mass and centre of mass of several things.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Centre {
    /// Mass, g.
    pub mass_g: f64,
    /// Centre of mass from the setter's centre, mm; the setter's centre where nothing weighs.
    pub at_mm: P2,
    /// Things whose records are missing; they are not counted.
    pub unknown: usize,
}

/// Sums in an order of their own, so that the order in the plan does not matter.
fn centre_of(mut masses: Vec<MassAt>, unknown: usize) -> Centre {
    masses.sort_by(|a, b| {
        a.mass_g
            .total_cmp(&b.mass_g)
            .then(a.at_mm[0].total_cmp(&b.at_mm[0]))
            .then(a.at_mm[1].total_cmp(&b.at_mm[1]))
    });
    let (mut mass_g, mut mx, mut my) = (0.0, 0.0, 0.0);
    for m in masses {
        mass_g += m.mass_g;
        mx += m.mass_g * m.at_mm[0];
        my += m.mass_g * m.at_mm[1];
    }
    let at_mm = if mass_g > 0.0 {
        [mx / mass_g, my / mass_g]
    } else {
        [0.0; 2]
    };
    Centre {
        mass_g,
        at_mm,
        unknown,
    }
}

fn joined(parts: &[Centre]) -> Centre {
    let masses = parts.iter().map(|c| MassAt {
        mass_g: c.mass_g,
        at_mm: c.at_mm,
    });
    centre_of(masses.collect(), parts.iter().map(|c| c.unknown).sum())
}

/// Setter and everything on it as it enters the furnace, parts at green size; without the posts
/// that carry the setter and without those that stand on it.
pub fn level_centre(level: &Level, plan: &Plan, catalogue: &Catalogue, sizes: &Sizes) -> Centre {
    let mut masses = Vec::new();
    let mut unknown = 0;
    match catalogue.setter(&level.setter) {
        Some(setter) => masses.push(MassAt {
            mass_g: setter.mass_g,
            at_mm: setter.mass_centre_mm(),
        }),
        None => unknown += 1,
    }
    for placement in &level.placements {
        match placement_masses(placement, plan, catalogue, sizes) {
            Some(some) => masses.extend(some),
            None => unknown += 1,
        }
    }
    centre_of(masses, unknown)
}

/// An item and its support; none where a record is missing.
pub(super) fn placement_masses(
    placement: &Placement,
    plan: &Plan,
    catalogue: &Catalogue,
    sizes: &Sizes,
) -> Option<Vec<MassAt>> {
    let pose = Pose {
        x_mm: placement.at_mm[0],
        y_mm: placement.at_mm[1],
        z_mm: 0.0,
        angle_deg: placement.angle_deg,
    };
    let (part, lot) = match &placement.item {
        Item::Part { part, lot } => (plan.part(*part)?, lot.and_then(|id| plan.lot(id))),
        Item::Coupon { part, .. } => (plan.part(*part)?, None),
        // The anchor of a typed shape is the centroid of its outline.
        Item::Dummy { mass_g, .. } => {
            return Some(vec![MassAt {
                mass_g: *mass_g,
                at_mm: placement.at_mm,
            }]);
        }
        Item::Sensor { .. } => return Some(Vec::new()),
    };
    let records = PartRecords::new(part, catalogue)?;
    let lot = lot.map(AsRef::as_ref);
    let masses = records.masses(records.extracted(lot).share.clamp(0.0, 1.0))?;
    let enters = entering_state(lot, &records);
    let [fx, fy, _] = scale(
        part,
        records.feedstock,
        records.alloy,
        0.0,
        SizeStage::Green,
    );
    let [cx, cy, _] = part.geometry.centroid_mm;
    let mut all = vec![MassAt {
        mass_g: masses.in_state(enters),
        at_mm: pose.apply([cx * fx, cy * fy]),
    }];
    if let Some(id) = &placement.support {
        let support = catalogue.support(id)?;
        let sized = sizes.of(&placement.item, catalogue)?;
        let bed = support_bed(support, &sized)?;
        let share = match support.kind {
            SupportKind::Raft => masses.in_state(enters) / masses.green_g,
            SupportKind::Powder | SupportKind::Sheet | SupportKind::Pins => 1.0,
        };
        all.push(MassAt {
            mass_g: bed.mass_g * share,
            at_mm: pose.apply(bed.middle_mm),
        });
    }
    Some(all)
}

/// The posts under a level.
fn posts_centre(level: &Level, catalogue: &Catalogue) -> Centre {
    let Carrier::Posts { post, at_mm } = &level.carrier else {
        return Centre::default();
    };
    match catalogue.post(post) {
        Some(post) => centre_of(
            at_mm
                .iter()
                .map(|at| MassAt {
                    mass_g: post.mass_g,
                    at_mm: *at,
                })
                .collect(),
            0,
        ),
        None => Centre {
            unknown: 1,
            ..Centre::default()
        },
    }
}

/// How the load is shared among posts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sharing {
    /// Three posts: the moments leave one answer.
    Exact,
    /// More than three: a stiff plate on posts that give alike, an assumption. A post that would
    /// be pulled up carries nothing.
    StiffPlate,
}

/// What each post carries.
#[derive(Clone, Debug, PartialEq)]
pub struct Reactions {
    /// In the order of the posts, g, without the posts' own mass. Below 0 only where the load
    /// lies outside the posts: the plate falls.
    pub carried_g: Vec<f64>,
    /// How they were found.
    pub sharing: Sharing,
}

/// How a level lies on its posts.
#[derive(Clone, Debug, PartialEq)]
pub struct OnPosts {
    /// Number of posts.
    pub posts: usize,
    /// From the centre of what they carry to the nearest edge of the polygon around the posts, mm;
    /// negative outside. None without a post.
    pub inside_mm: Option<f64>,
    /// `inside_mm` over the same distance of the polygon's own centroid: 1 as far inside as the
    /// middle of the posts, 0 on the edge, negative outside. None where the posts stand in line.
    pub inside_share: Option<f64>,
    /// What each carries; none where the posts stand in line.
    pub reactions: Option<Reactions>,
}

/// Balance of one level.
#[derive(Clone, Debug, PartialEq)]
pub struct LevelBalance {
    /// Which.
    pub level: LevelId,
    /// Its setter and what stands on it, without posts.
    pub own: Centre,
    /// What its carrier bears: itself, and all posts and levels above that stand on it.
    pub carried: Centre,
    /// Where it is carried by posts.
    pub on_posts: Option<OnPosts>,
}

/// Levels that stand one on the other, from the hearth or from a rack slot up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StandingRun {
    /// Stack.
    pub stack: StackId,
    /// Lowest level of the run.
    pub from: LevelId,
    /// Levels in it.
    pub levels: usize,
    /// All its levels and posts; places from the stack's centre.
    pub centre: Centre,
    /// How far the centre of mass lies on the way from the middle of the base to its edge: 0 in
    /// the middle, 0.5 on the boundary of the middle half, 1 on the edge. The base is the polygon
    /// around the lowest level's posts, or its setter where it has none. None where there is no
    /// such area, or its setter is unknown.
    pub share_of_way_out: Option<f64>,
}

/// Balance of one stack.
#[derive(Clone, Debug, PartialEq)]
pub struct StackBalance {
    /// Levels, bottom first.
    pub levels: Vec<LevelBalance>,
    /// One run, or more where a rack carries levels.
    pub runs: Vec<StandingRun>,
}

/// Balances a stack.
pub fn stack_balance(
    stack: &Stack,
    plan: &Plan,
    catalogue: &Catalogue,
    sizes: &Sizes,
) -> StackBalance {
    let mut levels = Vec::new();
    let mut runs = Vec::new();
    let mut above = Centre::default();
    let mut above_count = 0;
    for (i, level) in stack.levels.iter().enumerate().rev() {
        let own = level_centre(level, plan, catalogue, sizes);
        let carried = joined(&[own, above]);
        let with_posts = joined(&[carried, posts_centre(level, catalogue)]);
        let on_posts = match &level.carrier {
            Carrier::Posts { at_mm, .. } => Some(on_posts(at_mm, &carried)),
            _ => None,
        };
        levels.push(LevelBalance {
            level: level.id,
            own,
            carried,
            on_posts,
        });
        above = with_posts;
        above_count += 1;
        // A rack takes the load off what is below.
        if i == 0 || matches!(level.carrier, Carrier::RackSlot(_)) {
            let base = base(level, catalogue);
            runs.push(StandingRun {
                stack: stack.id,
                from: level.id,
                levels: above_count,
                centre: above,
                share_of_way_out: polygon::share_of_way_out(&base, above.at_mm),
            });
            above = Centre::default();
            above_count = 0;
        }
    }
    levels.reverse();
    runs.reverse();
    StackBalance { levels, runs }
}

fn base(level: &Level, catalogue: &Catalogue) -> Vec<P2> {
    if let Carrier::Posts { at_mm, .. } = &level.carrier {
        return convex_hull(at_mm.iter().copied());
    }
    let setter = catalogue.setter(&level.setter);
    setter.map_or_else(Vec::new, |setter| setter.shape.outline().hull())
}

/// How a load lies on posts at these places, mm.
pub fn on_posts(posts_mm: &[P2], carried: &Centre) -> OnPosts {
    let hull = convex_hull(posts_mm.iter().copied());
    let inside_mm = polygon::inside_mm(&hull, carried.at_mm);
    let middle =
        polygon::centroid(&hull).and_then(|c| polygon::inside_mm(&hull, c).filter(|mm| *mm > 0.0));
    OnPosts {
        posts: posts_mm.len(),
        inside_mm,
        inside_share: inside_mm.zip(middle).map(|(mm, most)| mm / most),
        reactions: reactions(posts_mm, carried.mass_g, carried.at_mm),
    }
}

/// What each post carries of a mass, g. Forces and moments balance; with more than three posts
/// the answer is that of a stiff plate on posts that give alike: carried = a + b·x + c·y, fitted
/// over the posts that are pressed. None where fewer than three posts stand out of line.
pub fn reactions(posts_mm: &[P2], mass_g: f64, at_mm: P2) -> Option<Reactions> {
    let mut pressed: Vec<usize> = (0..posts_mm.len()).collect();
    let first = plane(posts_mm, &pressed, mass_g, at_mm)?;
    let sharing = if posts_mm.len() == 3 {
        Sharing::Exact
    } else {
        Sharing::StiffPlate
    };
    let mut shares = first.clone();
    while pressed.len() > 3 {
        let pulled = pressed
            .iter()
            .zip(&shares)
            .min_by(|a, b| a.1.total_cmp(b.1))
            .filter(|(_, share)| **share < -1e-9 * mass_g)
            .map(|(post, _)| *post);
        let Some(pulled) = pulled else { break };
        pressed.retain(|post| *post != pulled);
        match plane(posts_mm, &pressed, mass_g, at_mm) {
            Some(next) => shares = next,
            // The rest stand in line: what all posts together give has to do.
            None => {
                pressed = (0..posts_mm.len()).collect();
                shares = first;
                break;
            }
        }
    }
    let mut carried_g = vec![0.0; posts_mm.len()];
    for (post, share) in pressed.into_iter().zip(shares) {
        if let Some(slot) = carried_g.get_mut(post) {
            *slot = share;
        }
    }
    Some(Reactions { carried_g, sharing })
}

/// The plane a + b·x + c·y over some of the posts that balances the mass; none in line.
fn plane(posts_mm: &[P2], which: &[usize], mass_g: f64, at_mm: P2) -> Option<Vec<f64>> {
    let posts: Vec<P2> = which
        .iter()
        .filter_map(|i| posts_mm.get(*i).copied())
        .collect();
    if posts.len() < 3 {
        return None;
    }
    let n = posts.len() as f64;
    let mean = |axis: usize| posts.iter().map(|p| p[axis]).sum::<f64>() / n;
    let (mx, my) = (mean(0), mean(1));
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for p in &posts {
        let (x, y) = (p[0] - mx, p[1] - my);
        xx += x * x;
        xy += x * y;
        yy += y * y;
    }
    let determinant = xx * yy - xy * xy;
    // A triangle a thousand times as long as wide is a line: its shares would be rounding noise.
    if determinant.is_nan() || determinant <= 1e-6 * (xx + yy) * (xx + yy) {
        return None;
    }
    let (px, py) = (mass_g * (at_mm[0] - mx), mass_g * (at_mm[1] - my));
    let b = (yy * px - xy * py) / determinant;
    let c = (xx * py - xy * px) / determinant;
    Some(
        posts
            .iter()
            .map(|p| mass_g / n + b * (p[0] - mx) + c * (p[1] - my))
            .collect(),
    )
}

/// Whether a post stands over a post.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PostLine {
    /// Level that the post carries.
    pub level: LevelId,
    /// Which of its posts, counted from 0.
    pub post: usize,
    /// From its centre to that of the nearest post of the level below, mm; 0 where it stands on
    /// the hearth or on a plate that lies on it. None where the plate below is carried otherwise,
    /// or its posts are none.
    pub offset_mm: Option<f64>,
}

/// Every post of a stack against the posts below it.
pub fn post_lines(stack: &Stack) -> Vec<PostLine> {
    let mut lines = Vec::new();
    let mut below: Option<&Level> = None;
    for level in &stack.levels {
        if let Carrier::Posts { at_mm, .. } = &level.carrier {
            for (post, at) in at_mm.iter().enumerate() {
                let offset_mm = match below.map(|b| &b.carrier) {
                    None | Some(Carrier::Hearth) => Some(0.0),
                    Some(Carrier::Posts { at_mm, .. }) => at_mm
                        .iter()
                        .map(|p| libm::hypot(p[0] - at[0], p[1] - at[1]))
                        .reduce(f64::min),
                    Some(_) => None,
                };
                lines.push(PostLine {
                    level: level.id,
                    post,
                    offset_mm,
                });
            }
        }
        below = Some(level);
    }
    lines
}
