//! A tree of boxes over the triangles of a mesh, for nearest points in f64.
//!
//! parry3d has such a tree in f32; the section is printed to a thousandth and found by many small
//! steps, so that boxes and distances are kept in f64 here.

use super::mesh::{Mesh, cross, dot, sub};
use std::panic::resume_unwind;
use std::thread;

/// Triangles of a leaf (assumed: fewer make the tree larger than the mesh).
const LEAF: usize = 4;
/// Triangles from which the two halves are built on two threads (assumed: below, starting one takes
/// as long as it saves).
const TWO_THREADS: usize = 50_000;
/// How often halves are built side by side: 2³ threads at most (assumed: desks have about as many
/// cores).
const SPLITS: u32 = 3;

type P3 = [f64; 3];

#[derive(Clone, Copy)]
struct Node {
    min: P3,
    max: P3,
    /// First triangle of a leaf; place of the second child of an inner node (the first follows it).
    at: u32,
    /// Triangles of a leaf; 0 for an inner node.
    count: u32,
}

/// A triangle of the tree.
pub(super) struct Triangle {
    /// Its corners.
    pub corners: [P3; 3],
    /// Its number in the mesh.
    pub number: u32,
}

/// The tree.
pub(super) struct Bvh {
    nodes: Vec<Node>,
    /// In the order of the leaves.
    triangles: Vec<Triangle>,
}

/// Two nodes whose triangles are to be held against each other; a node and itself for the pairs
/// within it.
pub(super) type Task = (u32, u32);

impl Bvh {
    /// A tree over all triangles that have an area; `None` when there is none.
    pub fn new(mesh: &Mesh) -> Option<Bvh> {
        let numbered = (0_u32..).zip(&mesh.triangles);
        let mut triangles: Vec<Triangle> = numbered
            .filter_map(|(number, t)| {
                let corners = mesh.corners(t)?;
                Some(Triangle { corners, number })
            })
            .filter(
                |Triangle {
                     corners: [a, b, c], ..
                 }| a != b && b != c && c != a,
            )
            .collect();
        if triangles.is_empty() {
            return None;
        }
        let mut nodes = Vec::with_capacity(triangles.len());
        build(&mut triangles, 0, &mut nodes, SPLITS);
        Some(Bvh { nodes, triangles })
    }

    /// Distance to the nearest point of the surface; `None` as soon as it is seen to be no more
    /// than `floor`. `visits` counts the boxes opened.
    pub fn distance_above(&self, p: P3, floor: f64, visits: &mut usize) -> Option<f64> {
        let (mut best, floor2) = (f64::INFINITY, floor * floor);
        // The tree halves: 64 levels are more than there is memory for.
        let mut stack: Vec<(f64, u32)> = Vec::with_capacity(64);
        stack.push((box_distance2(&self.nodes[0], p), 0));
        while let Some((distance2, at)) = stack.pop() {
            if distance2 >= best {
                continue;
            }
            *visits += 1;
            let node = self.nodes[at as usize];
            if node.count > 0 {
                for t in self.leaf(&node) {
                    let d = sub(p, nearest_on_triangle(p, &t.corners));
                    best = best.min(dot(d, d));
                }
                if best <= floor2 {
                    return None;
                }
                continue;
            }
            let (near, far) = (at + 1, node.at);
            let near = (box_distance2(&self.nodes[near as usize], p), near);
            let far = (box_distance2(&self.nodes[far as usize], p), far);
            let (near, far) = if near.0 <= far.0 {
                (near, far)
            } else {
                (far, near)
            };
            stack.push(far);
            stack.push(near);
        }
        Some(libm::sqrt(best))
    }

    /// Calls `see` with each triangle that may come within the ball that `ball` gives as centre and
    /// radius, those near to `p` first; the ball may shrink on the way.
    pub fn in_ball<S>(
        &self,
        p: P3,
        state: &mut S,
        ball: impl Fn(&S) -> (P3, f64),
        see: impl Fn(&mut S, &[P3; 3]),
        visits: &mut usize,
    ) {
        let mut stack = vec![0_u32];
        while let Some(at) = stack.pop() {
            let node = self.nodes[at as usize];
            let (centre, radius) = ball(state);
            if box_distance2(&node, centre) > radius * radius {
                continue;
            }
            *visits += 1;
            if node.count > 0 {
                self.leaf(&node).iter().for_each(|t| see(state, &t.corners));
                continue;
            }
            let (one, other) = (at + 1, node.at);
            let distance = |n: u32| box_distance2(&self.nodes[n as usize], p);
            let (near, far) = if distance(one) <= distance(other) {
                (one, other)
            } else {
                (other, one)
            };
            stack.push(far);
            stack.push(near);
        }
    }

    /// Calls `see` with each triangle that a ray passes and how far along it, in lengths of `way`;
    /// what `see` returns bounds how far the ray still is followed.
    pub fn along_ray(&self, from: P3, way: P3, mut see: impl FnMut(f64, &[P3; 3]) -> f64) {
        let mut until = f64::INFINITY;
        let mut stack = vec![0_u32];
        while let Some(at) = stack.pop() {
            let node = &self.nodes[at as usize];
            if !ray_meets(node, from, way, until) {
                continue;
            }
            if node.count == 0 {
                stack.extend([node.at, at + 1]);
                continue;
            }
            for t in self.leaf(node) {
                if let Some(far) = passed(&t.corners, from, way).filter(|far| *far <= until) {
                    until = until.min(see(far, &t.corners));
                }
            }
        }
    }

    /// What [`Bvh::pairs`] is to be called with so that each pair of triangles comes once: some
    /// dozens of tasks, to be shared out.
    pub fn pair_tasks(&self) -> Vec<Task> {
        const MANY: usize = 256;
        let mut tasks = vec![(0, 0)];
        // Each round goes a level down.
        for _ in 0..64 {
            let mut next = Vec::with_capacity(2 * tasks.len());
            for task in &tasks {
                if !self.split(*task, &mut next) {
                    next.push(*task);
                }
            }
            let done = next.len() == tasks.len() || next.len() >= MANY;
            tasks = next;
            if done {
                break;
            }
        }
        tasks
    }

    /// Calls `see` with each pair of triangles of a task whose leaves' boxes meet. `None` when
    /// `left`, the boxes and pairs that may be looked at, is used up.
    pub fn pairs(
        &self,
        task: Task,
        left: &mut usize,
        mut see: impl FnMut(&Triangle, &Triangle),
    ) -> Option<()> {
        let mut stack = vec![task];
        while let Some(task) = stack.pop() {
            *left = left.checked_sub(1)?;
            if self.split(task, &mut stack) {
                continue;
            }
            let (a, b) = task;
            let (one, other) = (&self.nodes[a as usize], &self.nodes[b as usize]);
            if !boxes_meet(one, other) {
                continue;
            }
            let (one, other) = (self.leaf(one), self.leaf(other));
            *left = left.checked_sub(one.len() * other.len())?;
            for (i, t) in one.iter().enumerate() {
                let first = if a == b { i + 1 } else { 0 };
                other[first..].iter().for_each(|u| see(t, u));
            }
        }
        Some(())
    }

    /// Puts what a task consists of into `out`, nothing where the boxes are apart; `false` for a
    /// pair of leaves.
    fn split(&self, (a, b): Task, out: &mut Vec<Task>) -> bool {
        let (one, other) = (&self.nodes[a as usize], &self.nodes[b as usize]);
        match (one.count, other.count) {
            (1.., 1..) => return false,
            _ if !boxes_meet(one, other) => {}
            _ if a == b => out.extend([(a + 1, a + 1), (one.at, one.at), (a + 1, one.at)]),
            (0, 0) => out.extend([
                (a + 1, b + 1),
                (a + 1, other.at),
                (one.at, b + 1),
                (one.at, other.at),
            ]),
            (0, _) => out.extend([(a + 1, b), (one.at, b)]),
            _ => out.extend([(a, b + 1), (a, other.at)]),
        }
        true
    }

    fn leaf(&self, node: &Node) -> &[Triangle] {
        let first = node.at as usize;
        &self.triangles[first..first + node.count as usize]
    }
}

/// Two things done side by side; one after the other where the system has no thread to give.
pub(super) fn on_two_threads<A, B: Send>(
    one: impl FnOnce() -> A,
    other: impl Fn() -> B + Sync,
) -> (A, B) {
    thread::scope(|scope| {
        let started = thread::Builder::new().spawn_scoped(scope, &other);
        let one = one();
        let other = match started.map(|started| started.join()) {
            Ok(Ok(other)) => other,
            Ok(Err(panic)) => resume_unwind(panic),
            Err(_) => other(),
        };
        (one, other)
    })
}

/// Appends the tree of a run of triangles whose first has the number `first`, with new threads on
/// `splits` levels at most.
fn build(triangles: &mut [Triangle], first: usize, nodes: &mut Vec<Node>, splits: u32) {
    let (mut min, mut max) = (triangles[0].corners[0], triangles[0].corners[0]);
    let (mut low, mut high) = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
    for Triangle { corners: t, .. } in triangles.iter() {
        for k in 0..3 {
            let [a, b, c] = [t[0][k], t[1][k], t[2][k]];
            min[k] = min[k].min(a).min(b).min(c);
            max[k] = max[k].max(a).max(b).max(c);
            low[k] = low[k].min(a + b + c);
            high[k] = high[k].max(a + b + c);
        }
    }
    let place = nodes.len();
    nodes.push(Node {
        min,
        max,
        at: first as u32,
        count: triangles.len() as u32,
    });
    if triangles.len() <= LEAF {
        return;
    }
    let extent = |k: usize| high[k] - low[k];
    let k = (1..3).fold(0, |best, k| if extent(k) > extent(best) { k } else { best });
    let middle = triangles.len() / 2;
    let key = |t: &Triangle| t.corners[0][k] + t.corners[1][k] + t.corners[2][k];
    triangles.select_nth_unstable_by(middle, |a, b| key(a).total_cmp(&key(b)));
    let (left, right) = triangles.split_at_mut(middle);
    if left.len() < TWO_THREADS || splits == 0 {
        build(left, first, nodes, 0);
        nodes[place].at = nodes.len() as u32;
        build(right, first + middle, nodes, 0);
    } else {
        let mut other = Vec::with_capacity(right.len());
        let splits = splits - 1;
        let started = thread::scope(|scope| {
            let other = || build(right, first + middle, &mut other, splits);
            let started = thread::Builder::new().spawn_scoped(scope, other).is_ok();
            build(left, first, nodes, splits);
            started
        });
        // Where the system has no thread to give, this one does both.
        if !started {
            build(right, first + middle, &mut other, 0);
        }
        let offset = nodes.len() as u32;
        nodes[place].at = offset;
        nodes.extend(other.into_iter().map(|node| Node {
            at: node.at + if node.count == 0 { offset } else { 0 },
            ..node
        }));
    }
    nodes[place].count = 0;
}

/// How far along a ray it passes a triangle, in lengths of `way`.
fn passed([a, b, c]: &[P3; 3], from: P3, way: P3) -> Option<f64> {
    let (ab, ac) = (sub(*b, *a), sub(*c, *a));
    let p = cross(way, ac);
    let size = dot(ab, p);
    if size == 0.0 {
        return None;
    }
    let s = sub(from, *a);
    let u = dot(s, p) / size;
    let q = cross(s, ab);
    let v = dot(way, q) / size;
    let far = dot(ac, q) / size;
    (u >= 0.0 && v >= 0.0 && u + v <= 1.0 && far > 0.0).then_some(far)
}

/// Whether a ray meets a box before `until`.
fn ray_meets(node: &Node, from: P3, way: P3, until: f64) -> bool {
    let (mut first, mut last) = (0.0, until);
    for k in 0..3 {
        if way[k] == 0.0 {
            if from[k] < node.min[k] || from[k] > node.max[k] {
                return false;
            }
            continue;
        }
        let (a, b) = (
            (node.min[k] - from[k]) / way[k],
            (node.max[k] - from[k]) / way[k],
        );
        first = f64::max(first, a.min(b));
        last = f64::min(last, a.max(b));
    }
    // A hair of room, for rounding.
    first <= last + 1e-9 * (first.abs() + 1.0)
}

fn boxes_meet(a: &Node, b: &Node) -> bool {
    (0..3).all(|k| a.min[k] <= b.max[k] && b.min[k] <= a.max[k])
}

fn box_distance2(node: &Node, p: P3) -> f64 {
    let mut sum = 0.0;
    for (k, c) in p.into_iter().enumerate() {
        let d = (node.min[k] - c).max(c - node.max[k]).max(0.0);
        sum += d * d;
    }
    sum
}

/// The nearest point of a triangle: its corner, edge or face region is told by dot products.
pub(super) fn nearest_on_triangle(p: P3, [a, b, c]: &[P3; 3]) -> P3 {
    let along = |from: &P3, way: P3, t: f64| -> P3 {
        [
            from[0] + t * way[0],
            from[1] + t * way[1],
            from[2] + t * way[2],
        ]
    };
    let (ab, ac, ap) = (sub(*b, *a), sub(*c, *a), sub(p, *a));
    let (d1, d2) = (dot(ab, ap), dot(ac, ap));
    if d1 <= 0.0 && d2 <= 0.0 {
        return *a;
    }
    let bp = sub(p, *b);
    let (d3, d4) = (dot(ab, bp), dot(ac, bp));
    if d3 >= 0.0 && d4 <= d3 {
        return *b;
    }
    let vc = d1 * d4 - d3 * d2;
    if vc <= 0.0 && d1 >= 0.0 && d3 <= 0.0 {
        return along(a, ab, d1 / (d1 - d3));
    }
    let cp = sub(p, *c);
    let (d5, d6) = (dot(ab, cp), dot(ac, cp));
    if d6 >= 0.0 && d5 <= d6 {
        return *c;
    }
    let vb = d5 * d2 - d1 * d6;
    if vb <= 0.0 && d2 >= 0.0 && d6 <= 0.0 {
        return along(a, ac, d2 / (d2 - d6));
    }
    let va = d3 * d6 - d5 * d4;
    if va <= 0.0 && d4 >= d3 && d5 >= d6 {
        return along(b, sub(*c, *b), (d4 - d3) / ((d4 - d3) + (d5 - d6)));
    }
    let sum = va + vb + vc;
    if sum <= 0.0 || !sum.is_finite() {
        return *a;
    }
    let q = along(a, ab, vb / sum);
    along(&q, ac, vc / sum)
}
