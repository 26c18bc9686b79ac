//! What is wrong with a mesh, mended where that cannot change the shape.

use super::bodies::{MOST_SHELLS, Shell};
use super::mesh::{Mesh, MeshMeasures, cross, dot, ends_of, packed, sub};
use std::collections::BTreeMap;

/// Points this near to each other, as a share of the greatest coordinate or side, are one where
/// that closes the surface: what single precision and six printed digits leave apart.
const WELD_SHARE: f64 = 2e-6;

/// Pairs of points on open edges that are looked at for welding (assumed: a second or two); a
/// mesh that takes more is left as it is.
const MOST_PAIRS: usize = 100_000_000;

/// What was mended.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Mended {
    /// Points welded to others a rounding away, because that closed open edges.
    pub welded: usize,
    /// Triangles split at a point on their edge that its other side has as a corner, because that
    /// closed open edges.
    pub split: usize,
    /// Triangles with two equal corners, dropped.
    pub collapsed: usize,
    /// Triangles that were there already, dropped.
    pub doubled: usize,
    /// Triangles turned to agree with their neighbours.
    pub turned: usize,
    /// Shells that faced inwards and are no cavity, turned over.
    pub inside_out: usize,
}

impl Mended {
    /// Whether anything was.
    pub fn anything(&self) -> bool {
        *self != Mended::default()
    }
}

impl Mesh {
    /// The mesh mended where that cannot change the shape, and what was done; `None` for a mesh
    /// that needs nothing. What is still open afterwards is counted by [`Mesh::measures`].
    ///
    /// Holes are not filled and shells that cross are not united: that would be a guess.
    pub fn mended(&self) -> Option<(Mesh, Mended)> {
        self.mended_as(&self.measures())
    }

    /// [`Mesh::mended`] for a mesh whose [`Mesh::measures`] are at hand.
    pub fn mended_as(&self, measures: &MeshMeasures) -> Option<(Mesh, Mended)> {
        let sound = measures.open_edges == 0
            && measures.touching_edges == 0
            && measures.degenerate_triangles == 0;
        let one = measures.shells < 2 || measures.shells > MOST_SHELLS;
        if sound && one && measures.volume_mm3 >= 0.0 {
            return None;
        }
        let mut mesh = self.clone();
        let mut done = Mended::default();
        if !sound {
            done.collapsed = mesh.drop_collapsed();
            done.doubled = mesh.drop_doubled();
            // What is not used any more has no say in the size of the mesh.
            mesh.drop_unused();
            if mesh.open_edges() > 0 {
                done.welded = mesh.weld_open();
                done.collapsed += if done.welded > 0 {
                    mesh.drop_collapsed()
                } else {
                    0
                };
                done.split = mesh.split_junctions();
                done.turned = mesh.turn_to_neighbours();
            }
        }
        done.inside_out = mesh.turn_shells();
        if done.welded > 0 {
            mesh.drop_unused();
        }
        // What came out with more edges open than before is no mending.
        let better = done.anything() && mesh.open_edges() <= measures.open_edges;
        better.then_some((mesh, done))
    }

    fn drop_collapsed(&mut self) -> usize {
        let before = self.triangles.len();
        self.triangles
            .retain(|[a, b, c]| a != b && b != c && c != a);
        before - self.triangles.len()
    }

    /// Drops vertices that no triangle has.
    fn drop_unused(&mut self) {
        let mut used = vec![false; self.vertices.len()];
        for v in self.triangles.as_flattened() {
            if let Some(mark) = used.get_mut(*v as usize) {
                *mark = true;
            }
        }
        if used.iter().all(|used| *used) {
            return;
        }
        let all: Vec<usize> = (0..self.triangles.len()).collect();
        *self = self.part_of(&all);
    }

    /// Keeps the first of triangles with the same corners in the same turn; all of them where that
    /// opens edges: two closed shells may share a face.
    fn drop_doubled(&mut self) -> usize {
        let key = |t: &[u32; 3]| {
            let [a, b, c] = *t;
            if a <= b && a <= c {
                [a, b, c]
            } else if b <= a && b <= c {
                [b, c, a]
            } else {
                [c, a, b]
            }
        };
        let mut order: Vec<usize> = (0..self.triangles.len()).collect();
        order.sort_unstable_by_key(|i| (key(&self.triangles[*i]), *i));
        let mut doubled = vec![false; self.triangles.len()];
        for pair in order.windows(2) {
            let same = key(&self.triangles[pair[0]]) == key(&self.triangles[pair[1]]);
            doubled[pair[1]] = same;
        }
        let count = doubled.iter().filter(|doubled| **doubled).count();
        if count == 0 {
            return 0;
        }
        let open = self.open_edges();
        let before = self.triangles.clone();
        let mut doubled = doubled.into_iter();
        self.triangles.retain(|_| !doubled.next().unwrap_or(false));
        if self.open_edges() > open {
            self.triangles = before;
            return 0;
        }
        count
    }

    /// Edges by their number without direction, with their triangles, sorted.
    pub(super) fn edges_with_triangles(&self) -> Vec<(u64, u32)> {
        let mut edges = Vec::with_capacity(3 * self.triangles.len());
        for (i, &[a, b, c]) in self.triangles.iter().enumerate() {
            for (from, to) in [(a, b), (b, c), (c, a)] {
                if from != to {
                    edges.push((packed(from, to), i as u32));
                }
            }
        }
        edges.sort_unstable();
        edges
    }

    /// Vertices on open edges, ascending.
    fn open_vertices(&self) -> Vec<u32> {
        let edges = self.edges_with_triangles();
        let mut found = Vec::new();
        for same in edges.chunk_by(|a, b| a.0 >> 1 == b.0 >> 1) {
            let forward = same.iter().filter(|e| e.0 & 1 == 1).count();
            if 2 * forward != same.len() {
                found.extend(ends_of(same[0].0));
            }
        }
        found.sort_unstable();
        found.dedup();
        found
    }

    /// Welds near points on open edges if fewer edges are open then.
    fn weld_open(&mut self) -> usize {
        let Some((low, high)) = self.bounds() else {
            return 0;
        };
        let greatest = (0..3)
            .map(|k| low[k].abs().max(high[k].abs()).max(high[k] - low[k]))
            .fold(0.0, f64::max);
        let within = WELD_SHARE * greatest;
        let open = self.open_vertices();
        let points: Option<Vec<[f64; 3]>> = open
            .iter()
            .map(|v| self.vertices.get(*v as usize).copied())
            .collect();
        let Some(near) = points.and_then(|points| near_points(&points, within, MOST_PAIRS)) else {
            return 0;
        };
        let welded = near.len();
        if welded == 0 {
            return 0;
        }
        let mut into: Vec<u32> = (0..self.vertices.len() as u32).collect();
        for [point, other] in near {
            into[open[point] as usize] = open[other];
        }
        let tried = Mesh {
            vertices: self.vertices.clone(),
            triangles: self
                .triangles
                .iter()
                .map(|t| t.map(|v| into.get(v as usize).copied().unwrap_or(v)))
                .collect(),
        };
        if tried.open_edges() >= self.open_edges() {
            return 0;
        }
        *self = tried;
        welded
    }

    /// Splits triangles at open vertices that lie on their open edges if fewer edges are open then:
    /// one long edge beside two short ones.
    fn split_junctions(&mut self) -> usize {
        let Some((low, high)) = self.bounds() else {
            return 0;
        };
        let side = |k: usize| high[k] - low[k];
        let greatest = (0..3)
            .map(|k| low[k].abs().max(high[k].abs()).max(side(k)))
            .fold(0.0, f64::max);
        let within = WELD_SHARE * greatest;
        let k = (1..3).fold(0, |best, k| if side(k) > side(best) { k } else { best });
        let mut order = self.open_vertices();
        order.retain(|v| (*v as usize) < self.vertices.len());
        let at = |v: u32| self.vertices[v as usize];
        order.sort_by(|a, b| at(*a)[k].total_cmp(&at(*b)[k]).then(a.cmp(b)));
        let mut tried = self.clone();
        let (mut split, mut pairs) = (0, 0);
        loop {
            let mut cuts: BTreeMap<u32, ([u32; 2], u32)> = BTreeMap::new();
            let edges = tried.edges_with_triangles();
            for same in edges.chunk_by(|a, b| a.0 >> 1 == b.0 >> 1) {
                let forward = same.iter().filter(|e| e.0 & 1 == 1).count();
                let ends = ends_of(same[0].0);
                if 2 * forward == same.len()
                    || ends.iter().any(|v| *v as usize >= self.vertices.len())
                {
                    continue;
                }
                let [a, b] = ends.map(at);
                let from = order.partition_point(|v| at(*v)[k] < a[k].min(b[k]) - within);
                let beside = order[from..].iter();
                let beside = beside.take_while(|v| at(**v)[k] <= a[k].max(b[k]) + within);
                let along = sub(b, a);
                let found = beside.copied().find(|v| {
                    pairs += 1;
                    let way = sub(at(*v), a);
                    let share = dot(way, along) / dot(along, along);
                    let off = sub(way, along.map(|c| c * share));
                    let margin = within / libm::sqrt(dot(along, along));
                    !ends.contains(v)
                        && share > margin
                        && share < 1.0 - margin
                        && dot(off, off) <= within * within
                });
                if let Some(v) = found {
                    // A triangle is cut once a round.
                    same.iter().for_each(|e| {
                        cuts.entry(e.1).or_insert((ends, v));
                    });
                }
                if pairs > MOST_PAIRS {
                    return 0;
                }
            }
            if cuts.is_empty() {
                break;
            }
            for (t, ([a, b], v)) in cuts {
                let whole = tried.triangles[t as usize];
                let with = |end: u32| whole.map(|corner| if corner == end { v } else { corner });
                tried.triangles[t as usize] = with(a);
                tried.triangles.push(with(b));
                split += 1;
            }
            // What had the point as its third corner is gone.
            tried.drop_collapsed();
            if split > self.triangles.len() {
                return 0;
            }
        }
        if tried.open_edges() >= self.open_edges() {
            return 0;
        }
        *self = tried;
        split
    }

    /// Turns triangles that run along a shared edge in the same sense as their only neighbour
    /// there: the fewer of each piece. A surface that cannot be turned alike stays as it is.
    fn turn_to_neighbours(&mut self) -> usize {
        let edges = self.edges_with_triangles();
        let mut neighbours: Vec<Vec<(u32, bool)>> = vec![Vec::new(); self.triangles.len()];
        let mut wrong = false;
        for same in edges.chunk_by(|a, b| a.0 >> 1 == b.0 >> 1) {
            if let [(one, t), (other, u)] = *same {
                let against = one == other;
                wrong |= against;
                neighbours[t as usize].push((u, against));
                neighbours[u as usize].push((t, against));
            }
        }
        if !wrong {
            return 0;
        }
        let mut side: Vec<Option<bool>> = vec![None; self.triangles.len()];
        let mut turned = 0;
        for start in 0..self.triangles.len() {
            if side[start].is_some() {
                continue;
            }
            side[start] = Some(false);
            let mut piece = vec![start];
            let mut consistent = true;
            let mut next = 0;
            while let Some(&t) = piece.get(next) {
                next += 1;
                let own = side[t].unwrap_or_default();
                for &(u, against) in &neighbours[t] {
                    let wanted = own != against;
                    match side[u as usize] {
                        None => {
                            side[u as usize] = Some(wanted);
                            piece.push(u as usize);
                        }
                        Some(found) => consistent &= found == wanted,
                    }
                }
            }
            let flipped = piece.iter().filter(|t| side[**t] == Some(true)).count();
            if !consistent || flipped == 0 {
                continue;
            }
            let fewer = 2 * flipped <= piece.len();
            for t in piece {
                if side[t] == Some(fewer) {
                    self.triangles[t].swap(1, 2);
                    turned += 1;
                }
            }
        }
        turned
    }

    /// Turns closed shells over: those that face inwards and do not lie in an odd number of others,
    /// and those that face outwards in an odd number of others, the outermost of which is turned:
    /// there the whole nest faced the wrong way.
    fn turn_shells(&mut self) -> usize {
        let shells = self.shells();
        if shells.len() > MOST_SHELLS {
            return 0;
        }
        let open = self.open_vertices();
        let closed = |shell: &Shell| {
            let mut corners = shell.triangles.iter().flat_map(|t| self.triangles[*t]);
            open.is_empty() || corners.all(|v| open.binary_search(&v).is_err())
        };
        let around = |i: usize| -> Vec<usize> {
            let within = |k: &usize| {
                *k != i && shells[*k].boxes(&shells[i]) && self.encloses(&shells[*k], &shells[i])
            };
            (0..shells.len()).filter(within).collect()
        };
        let mut over: Vec<usize> = Vec::new();
        let mut outermost: Vec<usize> = Vec::new();
        for (i, shell) in shells.iter().enumerate() {
            if shell.six_volume >= 0.0 || !closed(shell) {
                continue;
            }
            let depth = around(i).len();
            if depth % 2 == 0 {
                over.push(i);
            }
            if depth == 0 {
                outermost.push(i);
            }
        }
        for (i, shell) in shells.iter().enumerate() {
            let boxed = outermost.iter().any(|k| shells[*k].boxes(shell));
            if !boxed || shell.six_volume <= 0.0 || !closed(shell) {
                continue;
            }
            let around = around(i);
            if around.len() % 2 == 1 && around.iter().any(|k| outermost.contains(k)) {
                over.push(i);
            }
        }
        for &i in &over {
            for &t in &shells[i].triangles {
                self.triangles[t].swap(1, 2);
            }
        }
        over.len()
    }

    /// Whether a ray from the first corner of a shell leaves another shell: it passes it an odd
    /// number of times.
    pub(super) fn encloses(&self, around: &Shell, shell: &Shell) -> bool {
        let corner = shell.triangles.first().map(|t| self.triangles[*t]);
        let Some([from, ..]) = corner.and_then(|t| self.corners(&t)) else {
            return false;
        };
        // Askew, so that it meets no edge of anything drawn on purpose.
        let way = [0.541_196_1, 0.306_562_9, 0.782_931_7];
        let hits = around.triangles.iter().filter(|t| {
            let Some([a, b, c]) = self.corners(&self.triangles[**t]) else {
                return false;
            };
            let (ab, ac) = (sub(b, a), sub(c, a));
            let p = cross(way, ac);
            let size = dot(ab, p);
            if size == 0.0 {
                return false;
            }
            let s = sub(from, a);
            let u = dot(s, p) / size;
            let q = cross(s, ab);
            let v = dot(way, q) / size;
            u >= 0.0 && v >= 0.0 && u + v <= 1.0 && dot(ac, q) / size > 0.0
        });
        hits.count() % 2 == 1
    }
}

/// Points with the one each is so near to that the two are one; none is near to two. `None` when
/// more than `most` pairs would have to be looked at.
fn near_points(points: &[[f64; 3]], within: f64, most: usize) -> Option<Vec<[usize; 2]>> {
    let spread = |k: usize| {
        let along = points.iter().map(|p| p[k]);
        let (low, high) = along.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), c| {
            (low.min(c), high.max(c))
        });
        high - low
    };
    // Along the longest side the fewest stand side by side.
    let k = (1..3).fold(0, |best, k| if spread(k) > spread(best) { k } else { best });
    let mut order: Vec<usize> = (0..points.len()).collect();
    order.sort_by(|a, b| points[*a][k].total_cmp(&points[*b][k]).then(a.cmp(b)));
    let mut taken = vec![false; points.len()];
    let (mut near, mut pairs) = (Vec::new(), 0);
    for (i, &v) in order.iter().enumerate() {
        if taken[v] {
            continue;
        }
        for &w in &order[i + 1..] {
            if points[w][k] - points[v][k] > within {
                break;
            }
            pairs += 1;
            if pairs > most {
                return None;
            }
            let apart = sub(points[w], points[v]);
            if !taken[w] && dot(apart, apart) <= within * within {
                taken[w] = true;
                near.push([w, v]);
            }
        }
    }
    Some(near)
}

#[cfg(test)]
mod tests {
    use super::super::mesh::tests::{cube, joined, turned};
    use super::*;

    fn mends_to(mesh: &Mesh, volume: f64, expected: Mended) {
        let (mended, done) = mesh.mended().unwrap();
        let m = mended.measures();
        assert_eq!(done, expected);
        assert_eq!(m.open_edges, 0);
        assert!((m.volume_mm3 - volume).abs() < 1e-5, "{}", m.volume_mm3);
        assert_eq!(mended.mended(), None);
    }

    #[test]
    fn a_sound_mesh_is_left_alone() {
        assert_eq!(cube().mended(), None);
        let hollow = joined(&[cube().scaled([4.0; 3]), turned(cube().moved([1.0; 3]))]);
        assert_eq!(hollow.mended(), None);
        assert_eq!(Mesh::default().mended(), None);
    }

    #[test]
    fn turned_triangles_and_shells_are_turned_back() {
        let mut one = cube();
        one.triangles[3].swap(0, 1);
        one.triangles[7].swap(0, 1);
        let done = Mended {
            turned: 2,
            ..Mended::default()
        };
        mends_to(&one, 1.0, done);
        let inside_out = Mended {
            inside_out: 1,
            ..Mended::default()
        };
        mends_to(&turned(cube()), 1.0, inside_out);
        // Beside another, and in a hollow that is right.
        let beside = joined(&[cube(), turned(cube().moved([3.0, 0.0, 0.0]))]);
        mends_to(&beside, 2.0, inside_out);
        let hollow = joined(&[
            cube().scaled([9.0; 3]),
            turned(cube().scaled([7.0; 3]).moved([1.0; 3])),
        ]);
        let island = joined(&[hollow.clone(), turned(cube().moved([4.0; 3]))]);
        mends_to(&island, 729.0 - 343.0 + 1.0, inside_out);
    }

    #[test]
    fn doubles_and_collapsed_triangles_go() {
        let mut mesh = cube();
        mesh.triangles.push(mesh.triangles[4]);
        let [a, b, c] = mesh.triangles[6];
        mesh.triangles.extend([[b, c, a], [a, a, b]]);
        let done = Mended {
            doubled: 2,
            collapsed: 1,
            ..Mended::default()
        };
        mends_to(&mesh, 1.0, done);
        let mut twice = cube();
        twice.triangles.extend(cube().triangles);
        let done = Mended {
            doubled: 12,
            ..Mended::default()
        };
        mends_to(&twice, 1.0, done);
    }

    #[test]
    fn a_face_that_two_closed_shells_share_stays_twice() {
        // A pyramid in the cube, on one of its triangles and turned like it.
        let mut mesh = cube();
        let [a, b, c] = mesh.triangles[0];
        mesh.vertices.push([0.3, 0.6, 0.5]);
        let tip = mesh.vertices.len() as u32 - 1;
        mesh.triangles
            .extend([[a, b, c], [b, a, tip], [c, b, tip], [a, c, tip]]);
        assert_eq!(mesh.open_edges(), 0);
        assert_eq!(mesh.mended(), None);
    }

    #[test]
    fn a_spike_that_is_dropped_takes_its_point_along() {
        let mut mesh = cube();
        mesh.vertices.push([0.0, 0.0, 50.0]);
        mesh.triangles.push([0, 0, 8]);
        let (mended, done) = mesh.mended().unwrap();
        assert_eq!((done.collapsed, mended.vertices.len()), (1, 8));
        assert_eq!(mended.bounds(), cube().bounds());
    }

    #[test]
    fn points_a_rounding_apart_are_welded_and_a_gap_is_not() {
        let mut torn = cube();
        // The last two triangles get corners of their own, a hair away.
        let n = torn.triangles.len();
        for t in n - 2..n {
            for k in 0..3 {
                let mut p = torn.vertices[torn.triangles[t][k] as usize];
                p[1] += 1e-6;
                torn.vertices.push(p);
                torn.triangles[t][k] = torn.vertices.len() as u32 - 1;
            }
        }
        let (mended, done) = torn.mended().unwrap();
        assert_eq!(mended.measures().open_edges, 0);
        assert_eq!(done.welded, 6);
        let mut wide = torn.clone();
        let first = torn.vertices.len() - 6;
        wide.vertices[first..].iter_mut().for_each(|p| p[1] += 1e-3);
        let left = wide.mended().map_or(wide.clone(), |m| m.0);
        assert!(left.measures().open_edges > 0);
    }

    #[test]
    fn a_nest_that_faces_the_wrong_way_is_turned_whole() {
        let at = |size: f64| cube().scaled([size; 3]).moved([15.0 - size / 2.0; 3]);
        let hollow = [at(30.0), turned(at(20.0))];
        let island = [at(30.0), turned(at(20.0)), at(10.0)];
        for (nest, volume) in [(&hollow[..], 19_000.0), (&island[..], 20_000.0)] {
            let right = joined(nest);
            assert!((right.measures().volume_mm3 - volume).abs() < 1e-6);
            assert_eq!(right.mended(), None);
            let done = Mended {
                inside_out: nest.len(),
                ..Mended::default()
            };
            mends_to(&turned(right), volume, done);
        }
        // Only the outermost: the cavity faced the right way.
        let one = joined(&[turned(at(30.0)), turned(at(20.0))]);
        let done = Mended {
            inside_out: 1,
            ..Mended::default()
        };
        mends_to(&one, 19_000.0, done);
    }

    #[test]
    fn a_long_edge_beside_short_ones_is_split() {
        // Two of the twelve triangles are cut at points of one edge, the other side is not.
        let mut mesh = cube();
        let [a, b, c] = mesh.triangles[0];
        let [p, q] = [a, b].map(|v| mesh.vertices[v as usize]);
        let first = mesh.vertices.len() as u32;
        for share in [0.25, 0.5, 0.8] {
            mesh.vertices
                .push(std::array::from_fn(|k| p[k] + share * (q[k] - p[k])));
        }
        mesh.triangles[0] = [a, first, c];
        mesh.triangles.extend([
            [first, first + 1, c],
            [first + 1, first + 2, c],
            [first + 2, b, c],
        ]);
        assert!(mesh.open_edges() > 0);
        let done = Mended {
            split: 3,
            ..Mended::default()
        };
        mends_to(&mesh, 1.0, done);
    }

    #[test]
    fn a_hole_stays_and_is_counted() {
        let mut open = cube();
        open.triangles.truncate(10);
        assert_eq!(open.mended(), None);
    }
    #[test]
    fn many_loose_triangles_are_welded_in_few_pairs_or_not_at_all() {
        // All in the plane of one x, in a hundred rows.
        let mut soup = Vec::new();
        for i in 0..30_000_u32 {
            let (y, z) = (f64::from(i / 100), f64::from(i % 100));
            soup.push([[5.0, y, z], [5.0, y + 0.4, z], [5.0, y, z + 0.4]]);
        }
        let mesh = Mesh::from_soup(&soup);
        assert_eq!(mesh.mended(), None);
        assert_eq!(mesh.open_vertices().len(), 90_000);
        let few = 300 * mesh.vertices.len();
        assert_eq!(near_points(&mesh.vertices, 1e-4, few), Some(Vec::new()));
        // Two crowds far apart: each with each in both, which is too much.
        let crowd = |i: u32| [f64::from(i % 2) * 9.0, f64::from(i) * 1e-4, 0.0];
        let crowds: Vec<[f64; 3]> = (0..20_000).map(crowd).collect();
        assert_eq!(near_points(&crowds, 1e-6, 1_000_000), None);
    }
}
