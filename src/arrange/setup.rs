//! A task made ready for the search: grown, centred, scaled, with its collision bodies.

use super::bound::field_area;
use super::collide::{Body, Engine};
use super::contact::{Side, Turned, same_angle, sides, turned};
use super::island::Pose;
use super::mates::LEAST;
use super::rules::Rules;
use super::shape::{area, area2, bounds, grown, keyhole, map, rings, shrunk};
use super::task::{Answer, Fault, Goal, Ground, Kind, Placed, Task, Turns, Watch};
use crate::geometry::outline::perimeter;
use crate::geometry::pose::cos_sin_deg;
use crate::geometry::{P2, Shape};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

/// The short side of the first field in the search's scale; f32 is good to 1e-5 there.
const SHORT_SIDE: f64 = 100.0;
/// What bodies are grown by besides half the clearance, search scale: more than f32 loses.
const TINY: f64 = 1.5e-4;
/// Chords of a disc's edge: they take off a hundred-thousandth of the radius.
const EDGE_CHORDS: usize = 720;
/// Share of half the clearance that a zone is grown by; arcs are drawn to a thousandth of it.
const WITHIN: f64 = 0.998;
/// What sides stand out besides, so that two in contact are free of each other in f32.
const SIDES: f64 = 4e-5;

/// What stays on a field is drawn in steps of this, search scale: far below [`TINY`].
const STEP: f64 = 1e-6;

/// What a rectangle is grown by besides, so that a part as wide as the field has its place; in the
/// caller's units it is then moved inside ([`Setup::out`]), which leaves the gaps more than 0.
const SLACK: f64 = 1.5 * TINY;

pub struct KindSetup {
    pub body: Body,
    pub hull: Vec<[f32; 2]>,
    pub centre: P2,
    pub weight: f32,
    pub root: f32,
    pub soft: f32,
    pub diameter: f32,
    pub least_side: f32,
    pub area: f32,
    pub any: bool,
    /// Where alone it may stand.
    pub within: Option<Surface>,
    /// Tried first: right angles, and edges along the axes.
    pub first: Vec<f32>,
    pub all: Vec<f32>,
    /// For filling by contact: the sides, those at each angle, the way round.
    pub sides: Vec<Side>,
    pub turned: Vec<Arc<Turned>>,
    /// The middle of its box, and of those of its bores.
    pub middle: [f32; 2],
    pub bores: Vec<[f32; 2]>,
    pub around: f32,
    degrees: Vec<f64>,
}

/// Where a field ends, search scale.
#[derive(Clone)]
pub enum Surface {
    Rectangle([f32; 4]),
    Disc(f32),
    Polygon(Vec<[f32; 2]>),
}

impl Surface {
    /// How far a body sticks out.
    pub fn outside(&self, body: &Body) -> f32 {
        match self {
            Surface::Rectangle(f) => {
                let b = body.bounds();
                let x = (f[0] - b[0]).max(b[2] - f[2]).max(0.0);
                x + (f[1] - b[1]).max(b[3] - f[3]).max(0.0)
            }
            Surface::Disc(r) => {
                let far = body
                    .vertices()
                    .fold(0.0f32, |m, p| m.max(p[0] * p[0] + p[1] * p[1]));
                (far.sqrt() - r).max(0.0)
            }
            Surface::Polygon(ring) => {
                let n = ring.len();
                body.vertices()
                    .map(|p| {
                        let mut odd = false;
                        let mut near = f32::MAX;
                        for i in 0..n {
                            let (a, b) = (ring[i], ring[(i + 1) % n]);
                            if (a[1] > p[1]) != (b[1] > p[1])
                                && p[0] < (b[0] - a[0]) * (p[1] - a[1]) / (b[1] - a[1]) + a[0]
                            {
                                odd = !odd;
                            }
                            let d = [b[0] - a[0], b[1] - a[1]];
                            let l2 = d[0] * d[0] + d[1] * d[1];
                            let t = ((p[0] - a[0]) * d[0] + (p[1] - a[1]) * d[1]) / l2;
                            let t = t.clamp(0.0, 1.0);
                            let (x, y) = (a[0] + t * d[0] - p[0], a[1] + t * d[1] - p[1]);
                            near = near.min(x * x + y * y);
                        }
                        if odd { 0.0 } else { near.sqrt() }
                    })
                    .fold(0.0, f32::max)
            }
        }
    }
}

/// The edge of a field, where it is or moved for a while, and what touches what within it.
#[derive(Clone)]
pub struct Wall {
    pub surface: Surface,
    pub bounds: [f32; 4],
    pub engine: Engine,
}

impl KindSetup {
    /// Whether it may stand at an angle.
    pub fn takes(&self, a: f32) -> bool {
        self.any || self.turned.iter().any(|t| same_angle(t.a, a))
    }
}

pub struct FieldSetup {
    pub wall: Wall,
    /// The edge, search scale.
    ring: Vec<P2>,
    pub posts: Vec<Body>,
    pub accepts: Vec<bool>,
    /// The edge as sides that face inward.
    pub sides: Vec<Side>,
    /// What grown parts may cover.
    pub area: f32,
}

pub struct Setup {
    pub task: Task,
    pub rules: Rules,
    /// What each part counts for when not all go.
    pub worth: Vec<f64>,
    /// Share of the parts that have a side along which another may be laid.
    pub sided: f32,
    /// Area of the largest kind.
    pub largest: f32,
    pub scale: f64,
    pub tiny: f32,
    pub goal: Goal,
    pub kinds: Vec<KindSetup>,
    pub parts: Vec<usize>,
    pub fields: Vec<FieldSetup>,
    /// Whether all fields take the same parts and are as large.
    pub alike: bool,
    pub least_fields: usize,
}

fn steps(turns: &Turns, ring: &[P2]) -> (bool, Vec<f64>, Vec<f64>) {
    let edges = || {
        let n = ring.len();
        let mut all: Vec<(f64, f64)> = (0..n)
            .map(|i| {
                let (a, b) = (ring[i], ring[(i + 1) % n]);
                let d = [b[0] - a[0], b[1] - a[1]];
                (
                    libm::hypot(d[0], d[1]),
                    -libm::atan2(d[1], d[0]).to_degrees(),
                )
            })
            .collect();
        all.sort_by(|a, b| b.0.total_cmp(&a.0));
        all.truncate(4);
        all.into_iter()
            .flat_map(|(_, t)| [0.0, 90.0, 180.0, 270.0].map(|r| (t + r).rem_euclid(360.0)))
    };
    let mut right = vec![0.0, 90.0, 180.0, 270.0];
    match turns {
        Turns::Any => {
            right.extend(edges());
            right.sort_by(f64::total_cmp);
            right.dedup_by(|a, b| (*a - *b).abs() < 0.5);
            (true, right, Vec::new())
        }
        Turns::Of(list) if list.len() <= 4 => (false, list.clone(), Vec::new()),
        Turns::Of(list) => {
            right.extend(edges());
            let mut first: Vec<f64> = list
                .iter()
                .copied()
                .filter(|t| {
                    right
                        .iter()
                        .any(|r| ((t - r + 180.0).rem_euclid(360.0) - 180.0).abs() < 2.5)
                })
                .collect();
            if first.is_empty() {
                first = list.clone();
            }
            (false, first, list.clone())
        }
    }
}

/// Nothing but finite numbers goes to the collision library, which panics on others.
fn check_numbers(task: &Task) -> Result<(), Fault> {
    let finite = |ring: &[P2]| ring.len() >= 3 && ring.iter().flatten().all(|v| v.abs() < 1e6);
    let whole =
        |s: &Shape| finite(&s.outer) && s.holes.iter().all(|h| finite(h)) && area2(&s.outer) > 0.0;
    for (kind, k) in task.kinds.iter().enumerate() {
        let turns = match &k.turns {
            Turns::Of(list) => !list.is_empty() && list.iter().all(|t| t.is_finite()),
            Turns::Any => true,
        };
        if !turns || !whole(&k.outline) {
            return Err(Fault::Outline { kind });
        }
    }
    for (field, f) in task.fields.iter().enumerate() {
        let sound = match &f.ground {
            Ground::Rectangle { w, h } => w.is_finite() && h.is_finite(),
            Ground::Disc { d } => d.is_finite(),
            Ground::Polygon(ring) => finite(ring) && area2(ring) > 0.0,
        };
        if !sound || !f.margin.is_finite() || !task.clearance.is_finite() {
            return Err(Fault::NoRoom { field });
        }
        if !f.fixed.iter().all(whole) {
            return Err(Fault::Fixed { field });
        }
    }
    let known = task.parts.iter().all(|&k| k < task.kinds.len());
    let told = task
        .fields
        .iter()
        .all(|f| f.accepts.len() == task.kinds.len());
    let few = task.parts.len() < usize::from(u16::MAX) && task.fields.len() < 1000;
    if known && told && few {
        Ok(())
    } else {
        Err(Fault::NoField)
    }
}

/// The short side of a ground's box, mm.
fn short_side(ground: &Ground) -> f64 {
    match ground {
        Ground::Rectangle { w, h } => w.min(*h),
        Ground::Disc { d } => *d,
        Ground::Polygon(ring) => {
            let b = bounds(ring);
            (b[2] - b[0]).min(b[3] - b[1])
        }
    }
}

fn ring_shape(outer: Vec<P2>) -> Shape {
    Shape {
        outer,
        holes: Vec::new(),
    }
}

/// The farthest that two points of a ring lie apart.
fn across(ring: &[P2]) -> f64 {
    let from = |a: &P2| {
        let to = ring.iter().map(|b| libm::hypot(a[0] - b[0], a[1] - b[1]));
        to.fold(0.0, f64::max)
    };
    ring.iter().map(from).fold(0.0, f64::max)
}

/// What the making of kinds goes by.
struct Lengths {
    /// Search scale to the caller's.
    scale: f64,
    /// Half the clearance, mm.
    half: f64,
    /// Area, mm², and greatest width, mm, of each kind: a bore stays open where it may hold one. What
    /// stays does not count: with bores open for that alone rings find fewer places (measured,
    /// DEVELOPERS.md).
    kinds: Vec<[f64; 2]>,
}

impl Lengths {
    /// A kind made ready; none where its outline cannot be used.
    fn kind(&self, k: &Kind, within: Option<Vec<P2>>) -> Option<KindSetup> {
        let Lengths { scale, half, .. } = *self;
        let b = bounds(&k.outline.outer);
        let centre = [(b[0] + b[2]) / 2.0, (b[1] + b[3]) / 2.0];
        let local = map(&k.outline, |p| {
            [(p[0] - centre[0]) * scale, (p[1] - centre[1]) * scale]
        });
        let mut big = grown(&local, half * scale + TINY);
        big.holes.retain(|hole| {
            let (room, wide) = (area2(hole).abs() / 2.0, across(hole));
            let goes = |[area, across]: &[f64; 2]| {
                area * scale * scale < room && (across + 2.0 * half) * scale <= wide
            };
            self.kinds.iter().any(goes)
        });
        let ring = keyhole(&big, 4.0 * TINY);
        let body = Body::new(&ring).or_else(|| Body::new(&big.outer))?;
        let (any, first, all) = steps(&k.turns, &k.outline.outer);
        let rad = |v: &[f64]| {
            v.iter()
                .map(|t| t.to_radians() as f32)
                .collect::<Vec<f32>>()
        };
        let bb = body.bounds();
        let sides = sides(&local, half * scale + TINY + SIDES);
        let angles = if all.is_empty() { &first } else { &all };
        Some(KindSetup {
            turned: (rad(angles).iter().filter(|_| !any))
                .map(|a| Arc::new(turned(&sides, *a)))
                .collect(),
            around: rings(&local).map(|ring| perimeter(ring)).sum::<f64>() as f32,
            sides,
            middle: [(bb[0] + bb[2]) / 2.0, (bb[1] + bb[3]) / 2.0],
            bores: (local.holes.iter())
                .map(|ring| {
                    let b = bounds(ring);
                    [((b[0] + b[2]) / 2.0) as f32, ((b[1] + b[3]) / 2.0) as f32]
                })
                .collect(),
            hull: body.hull(),
            centre,
            // A pair weighs by the fourth root of the product of their areas: better on the mean of
            // strips and own loads than the eighth (measured, DEVELOPERS.md).
            weight: libm::powf(body.hull_area(), 0.5),
            root: libm::powf(body.hull_area(), 0.25),
            soft: body.diameter() * 0.01,
            diameter: body.diameter(),
            least_side: (bb[2] - bb[0]).min(bb[3] - bb[1]),
            area: body.area(),
            any,
            within: within.map(|ring| {
                let ring = map(&ring_shape(ring), |p| [p[0] * scale, p[1] * scale]);
                // Less than a part is grown by: what a corner's arc stands out is no room.
                let big = grown(&ring, half * scale * WITHIN).outer;
                Surface::Polygon(big.iter().map(|p| [p[0] as f32, p[1] as f32]).collect())
            }),
            degrees: if all.is_empty() {
                first.clone()
            } else {
                all.clone()
            },
            first: rad(&first),
            all: rad(&all),
            body,
        })
    }

    /// What stays on a field, made ready; none where its outline cannot be used. Made about its own
    /// middle and moved, so that things of one shape are made once.
    fn fixed(&self, shape: &Shape) -> Option<Body> {
        let Lengths { scale, half, .. } = *self;
        let b = bounds(&shape.outer);
        let middle = [(b[0] + b[2]) / 2.0, (b[1] + b[3]) / 2.0];
        let local = map(shape, |p| {
            [0, 1].map(|k| ((p[k] - middle[k]) * scale / STEP).round() * STEP)
        });
        let big = grown(&local, half * scale + TINY);
        let made = Body::fixed(&keyhole(&big, 4.0 * TINY))?;
        let mut body = made.clone();
        let [x, y] = middle.map(|v| (v * scale) as f32);
        body.set(&made, x, y, 0.0);
        Some(body)
    }
}

/// Does so many things on two threads, in the order of their numbers; none where that was
/// cancelled. Bodies take most of the time before the first layout.
///
/// # Errors
/// The collision library gave up.
fn in_parallel<T: Send>(
    count: usize,
    watch: &Watch,
    make: impl Fn(usize) -> T + Sync,
) -> Result<Option<Vec<T>>, Fault> {
    let next = AtomicUsize::new(0);
    let work = || {
        let mut made = Vec::new();
        while !watch.cancelled() {
            let index = next.fetch_add(1, Ordering::Relaxed);
            if index >= count {
                break;
            }
            made.push((index, make(index)));
        }
        made
    };
    let both = std::thread::scope(|scope| {
        let threads = [scope.spawn(work), scope.spawn(work)];
        threads.map(|thread| thread.join())
    });
    let mut all = Vec::with_capacity(count);
    for made in both {
        all.extend(made.map_err(|_| Fault::Broken)?);
    }
    all.sort_by_key(|(index, _)| *index);
    Ok((all.len() == count).then(|| all.into_iter().map(|(_, made)| made).collect()))
}

impl Setup {
    /// Makes a task ready; none where that was cancelled.
    ///
    /// # Errors
    /// See [`Fault`].
    pub fn new(task: &Task, rules: &Rules, watch: &Watch) -> Result<Option<Setup>, Fault> {
        check_numbers(task)?;
        if !rules.sound(task) {
            return Err(Fault::Rules);
        }
        let first = task.fields.first().ok_or(Fault::NoField)?;
        let short = match task.goal {
            Goal::Strip => match &first.ground {
                Ground::Rectangle { h, .. } => *h,
                _ => return Err(Fault::NoField),
            },
            _ => short_side(&first.ground),
        };
        let scale = SHORT_SIDE / short;
        let half = task.clearance / 2.0;
        let kinds = task.kinds.iter().map(|k| &k.outline);
        let lengths = Lengths {
            scale,
            half,
            kinds: kinds.map(|o| [area(o), across(&o.outer)]).collect(),
        };
        let made = in_parallel(task.kinds.len(), watch, |index| {
            let kind = task.kinds.get(index)?;
            lengths.kind(kind, rules.within.get(index).cloned().flatten())
        });
        let Some(made) = made? else {
            return Ok(None);
        };
        let mut kinds = Vec::new();
        for (index, kind) in made.into_iter().enumerate() {
            kinds.push(kind.ok_or(Fault::Outline { kind: index })?);
        }
        let mut fields = Vec::new();
        for (index, f) in task.fields.iter().enumerate() {
            let no_room = Fault::NoRoom { field: index };
            let bad = Fault::Fixed { field: index };
            let inset = f.margin - half;
            let (surface, ring) = match &f.ground {
                Ground::Rectangle { w, h } => {
                    let i = inset * scale - SLACK;
                    let (a, b, c, d) = (i, i, w * scale - i, h * scale - i);
                    if a >= c || b >= d {
                        return Err(no_room);
                    }
                    (
                        Surface::Rectangle([a, b, c, d].map(|v| v as f32)),
                        vec![[a, b], [c, b], [c, d], [a, d]],
                    )
                }
                Ground::Disc { d } => {
                    let r = (d / 2.0 - inset) * scale;
                    let ring: Vec<P2> = (0..EDGE_CHORDS)
                        .map(|k| {
                            let (c, s) = cos_sin_deg(360.0 * k as f64 / EDGE_CHORDS as f64);
                            [r * c, r * s]
                        })
                        .collect();
                    let flat = r * libm::cos(std::f64::consts::PI / EDGE_CHORDS as f64);
                    (Surface::Disc(flat as f32), ring)
                }
                Ground::Polygon(ring) => {
                    let big: Vec<P2> = ring.iter().map(|p| [p[0] * scale, p[1] * scale]).collect();
                    let ring = shrunk(&big, inset.max(0.0) * scale).ok_or(no_room)?;
                    let f32s = ring.iter().map(|p| [p[0] as f32, p[1] as f32]).collect();
                    (Surface::Polygon(f32s), ring)
                }
            };
            let mut posts = Vec::with_capacity(f.fixed.len());
            for fixed in &f.fixed {
                if watch.cancelled() {
                    return Ok(None);
                }
                posts.push(lengths.fixed(fixed).ok_or(bad)?);
            }
            let covered: f32 = posts.iter().map(Body::area).sum();
            let b = bounds(&ring);
            let straight = !matches!(f.ground, Ground::Disc { .. });
            let mut inward = ring.clone();
            inward.reverse();
            let edge = sides(&ring_shape(inward), SIDES);
            fields.push(FieldSetup {
                sides: edge.into_iter().filter(|_| straight).collect(),
                wall: Wall {
                    engine: Engine::new(&ring, &posts).ok_or(no_room)?,
                    surface,
                    bounds: b.map(|v| v as f32),
                },
                ring,
                posts,
                accepts: f.accepts.clone(),
                area: (field_area(f, half) * scale * scale) as f32 - covered,
            });
        }
        Ok(Some(Setup {
            task: task.clone(),
            rules: rules.clone(),
            worth: rules.worth(task.parts.len()),
            sided: {
                let has = |k: &KindSetup| k.sides.iter().any(|e| e.len >= LEAST * k.around);
                let with = task.parts.iter().filter(|&&k| has(&kinds[k])).count();
                with as f32 / task.parts.len().max(1) as f32
            },
            largest: kinds.iter().map(|k: &KindSetup| k.area).fold(0.0, f32::max),
            scale,
            tiny: TINY as f32,
            goal: task.goal,
            parts: task.parts.clone(),
            kinds,
            alike: fields
                .windows(2)
                .all(|w: &[FieldSetup]| w[0].accepts == w[1].accepts && w[0].area == w[1].area),
            fields,
            least_fields: super::bound::least_fields(task),
        }))
    }

    pub fn kind(&self, i: usize) -> &KindSetup {
        &self.kinds[self.parts[i]]
    }

    /// A field whose edge is moved outward by a share of its width, or of its depth if `deep`; one
    /// that is no rectangle grows about its middle.
    pub fn wall(&self, page: usize, share: f32, deep: bool) -> Option<Wall> {
        let field = &self.fields[page];
        let by = f64::from(1.0 + share);
        let b = field.wall.bounds.map(f64::from);
        let square = matches!(field.wall.surface, Surface::Rectangle(_));
        let from = if square {
            [b[0], b[1]]
        } else {
            [(b[0] + b[2]) / 2.0, (b[1] + b[3]) / 2.0]
        };
        let (x, y) = match square {
            true => (if deep { 1.0 } else { by }, if deep { by } else { 1.0 }),
            false => (by, by),
        };
        let at = |p: &P2| {
            [
                from[0] + (p[0] - from[0]) * x,
                from[1] + (p[1] - from[1]) * y,
            ]
        };
        let ring: Vec<P2> = field.ring.iter().map(at).collect();
        let bounds = bounds(&ring).map(|v| v as f32);
        Some(Wall {
            surface: match &field.wall.surface {
                Surface::Rectangle(_) => Surface::Rectangle(bounds),
                Surface::Disc(r) => Surface::Disc(r * (1.0 + share)),
                Surface::Polygon(_) => {
                    Surface::Polygon(ring.iter().map(|p| [p[0] as f32, p[1] as f32]).collect())
                }
            },
            engine: Engine::new(&ring, &field.posts)?,
            bounds,
        })
    }

    /// A pose of the search in the caller's units.
    pub fn out(&self, i: usize, pose: Pose) -> Placed {
        let k = self.kind(i);
        let deg = (pose.a as f64).to_degrees().rem_euclid(360.0);
        let angle = if k.any {
            // Right angles stay exact.
            let r = (deg / 90.0).round() * 90.0;
            if (deg - r).abs() < 1e-4 {
                r.rem_euclid(360.0)
            } else {
                (deg * 1e6).round() / 1e6
            }
        } else {
            let off = |t: &f64| ((t - deg + 180.0).rem_euclid(360.0) - 180.0).abs();
            k.degrees
                .iter()
                .copied()
                .min_by(|a, b| off(a).total_cmp(&off(b)))
                .unwrap_or(deg)
        };
        let (c, s) = cos_sin_deg(angle);
        let mut at = [
            pose.x as f64 / self.scale - (c * k.centre[0] - s * k.centre[1]),
            pose.y as f64 / self.scale - (s * k.centre[0] + c * k.centre[1]),
        ];
        let field = &self.task.fields[pose.page as usize];
        if let Ground::Rectangle { w, h } = field.ground {
            let outline = map(&self.task.kinds[self.parts[i]].outline, |p| {
                [c * p[0] - s * p[1], s * p[0] + c * p[1]]
            });
            let b = bounds(&outline.outer);
            let right = if self.goal == Goal::Strip {
                f64::MAX
            } else {
                w
            };
            let most = [right - field.margin - b[2], h - field.margin - b[3]];
            for (k, v) in at.iter_mut().enumerate() {
                *v = v.min(most[k]).max(field.margin - b[k]);
            }
        }
        Placed {
            part: i,
            field: pose.page as usize,
            x: at[0],
            y: at[1],
            angle,
        }
    }

    /// A place of the caller's as a pose of the search.
    pub fn pose(&self, placed: &Placed) -> Pose {
        let k = self.kind(placed.part);
        let (c, s) = cos_sin_deg(placed.angle);
        let x = placed.x + c * k.centre[0] - s * k.centre[1];
        let y = placed.y + s * k.centre[0] + c * k.centre[1];
        Pose {
            page: placed.field as u16,
            x: (x * self.scale) as f32,
            y: (y * self.scale) as f32,
            a: placed.angle.to_radians() as f32,
        }
    }

    /// Whether one answer is better than another.
    pub fn better(&self, a: &Answer, b: &Answer) -> bool {
        if self.goal == Goal::Strip {
            return (a.placed.len(), -a.length) > (b.placed.len(), -b.length);
        }
        let worth = |x: &Answer| x.placed.iter().map(|p| self.worth[p.part]).sum::<f64>();
        (worth(a), b.fields) > (worth(b), a.fields)
    }
}
