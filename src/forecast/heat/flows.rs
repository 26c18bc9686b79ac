//! Heat flows of a network and their derivatives. Every flow is added to one end and taken from
//! the other, so that energy closes by construction.

use super::gas::{GasNow, nusselt};
use super::network::{Exchange, Gap, Network};
use crate::forecast::constants::{CONTACT_RADIATION, CONTACT_SOLID_W_M2K, REDUCING_K, SIGMA};
use crate::forecast::solver::blocks::BlockMatrix;

/// What surrounds the load.
#[derive(Clone, Copy, Debug)]
pub struct Around<'a> {
    /// Temperature of the surroundings, K.
    pub face_k: f64,
    /// Gas; none in vacuum.
    pub gas: Option<&'a GasNow>,
    /// Whether parts are sintered and clean.
    pub sintered: bool,
    /// Blown gas: film coefficient, W/(m²·K), and temperature, K.
    pub blown: Option<(f64, f64)>,
}

/// Sums at the edge of the network, W.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Edge {
    /// From the chamber to the load.
    pub from_face: f64,
    /// From the blown gas to the load.
    pub from_gas: f64,
}

/// Derivatives at the edge, W/K.
#[derive(Clone, Debug, Default)]
pub struct EdgeSlopes {
    /// dQ_i/dT of the chamber, by node.
    pub by_face: Vec<f64>,
    /// d(heat from the chamber)/dT_i, by node.
    pub face_by_node: Vec<f64>,
    /// Conductance to the blown gas, by node.
    pub to_gas: Vec<f64>,
}

/// Reused between calls.
#[derive(Clone, Debug, Default)]
pub struct Scratch {
    fourth: Vec<f64>,
    rhs: Vec<f64>,
    out: Vec<f64>,
    k: Vec<f64>,
}

fn smooth(t: f64) -> (f64, f64) {
    let w = REDUCING_K.1 - REDUCING_K.0;
    let x = ((t - REDUCING_K.0) / w).clamp(0.0, 1.0);
    (x * x * (3.0 - 2.0 * x), 6.0 * x * (1.0 - x) / w)
}

impl Network {
    /// Which exchange holds for a gap now: first, second, share of the second and its slope by
    /// the mean temperature of the parts.
    fn mixture<'a>(
        &self,
        gap: &'a Gap,
        t: &[f64],
        sintered: bool,
    ) -> (&'a Exchange, Option<(&'a Exchange, f64, f64)>) {
        let first = &gap.exchange[0];
        if gap.exchange.len() < 3 {
            return (first, None);
        }
        if sintered {
            return (&gap.exchange[2], None);
        }
        let mean = t[gap.lower.0..gap.lower.0 + gap.parts].iter().sum::<f64>() / gap.parts as f64;
        let (share, slope) = smooth(mean);
        if share <= 0.0 {
            (first, None)
        } else if share >= 1.0 {
            (&gap.exchange[1], None)
        } else {
            (first, Some((&gap.exchange[1], share, slope)))
        }
    }

    /// Heat into every node, W, at temperatures `t`, K; returns the sums at the edge.
    pub fn flows(&self, t: &[f64], around: &Around, q: &mut [f64], scratch: &mut Scratch) -> Edge {
        q.fill(0.0);
        let tf = around.face_k;
        let bf = tf * tf * tf * tf;
        let Scratch {
            fourth,
            rhs,
            out,
            k,
        } = scratch;
        fourth.clear();
        fourth.extend(t.iter().map(|&x| (x * x) * (x * x)));
        let mut from_face = 0.0;
        for gap in &self.gaps {
            let (first, second) = self.mixture(gap, t, around.sintered);
            let m = first.face.len();
            rhs.clear();
            rhs.extend_from_slice(&fourth[gap.lower.0..gap.lower.0 + gap.lower.1]);
            rhs.extend_from_slice(&fourth[gap.upper.0..gap.upper.0 + gap.upper.1]);
            out.clear();
            let mut face = 0.0;
            let mut apply = |e: &Exchange, kk: &[f64]| {
                out.extend(e.face.iter().map(|f| f * bf));
                // Columns first: K is symmetric, and columns vectorise.
                for (col, &b) in kk.chunks_exact(m).zip(rhs.iter()) {
                    for (o, &c) in out.iter_mut().zip(col) {
                        *o += c * b;
                    }
                }
                for (f, &b) in e.face.iter().zip(rhs.iter()) {
                    face += f * (bf - b);
                }
            };
            match second {
                None => apply(first, &first.k),
                Some((other, share, _)) => {
                    k.clear();
                    k.extend(
                        first
                            .k
                            .iter()
                            .zip(&other.k)
                            .map(|(a, b)| a + share * (b - a)),
                    );
                    let mixed = Exchange {
                        k: Vec::new(),
                        face: first
                            .face
                            .iter()
                            .zip(&other.face)
                            .map(|(a, b)| a + share * (b - a))
                            .collect(),
                    };
                    apply(&mixed, k);
                }
            }
            from_face += face;
            let (low, up) = out.split_at(gap.lower.1);
            for (o, x) in q[gap.lower.0..].iter_mut().zip(low) {
                *o += x;
            }
            for (o, x) in q[gap.upper.0..].iter_mut().zip(up) {
                *o += x;
            }
        }
        for &(node, k) in &self.rims {
            let w = k * (bf - fourth[node]);
            q[node] += w;
            from_face += w;
        }
        for link in &self.solids {
            let (a, b) = (t[link.a], t[link.b]);
            let w = link.size * self.conductivity[link.table].at(0.5 * (a + b)).0 * (b - a);
            q[link.a] += w;
            q[link.b] -= w;
        }
        for link in &self.contacts {
            let (a, b) = (t[link.a], t[link.b]);
            let mean = 0.5 * (a + b);
            let gas = around.gas.map_or(0.0, |g| {
                g.conductivity.at(mean).0 / (link.distance + g.jumps.at(mean).0)
            });
            let w = link.size
                * (CONTACT_SOLID_W_M2K
                    + 4.0 * CONTACT_RADIATION * SIGMA * mean * mean * mean
                    + gas)
                * (b - a);
            q[link.a] += w;
            q[link.b] -= w;
        }
        if let Some(gas) = around.gas {
            for link in &self.layers {
                let (a, b) = (t[link.a], t[link.b]);
                let mean = 0.5 * (a + b);
                let w = link.size * gas.conductivity.at(mean).0
                    / (link.distance + gas.jumps.at(mean).0)
                    * (b - a);
                q[link.a] += w;
                q[link.b] -= w;
            }
            for link in &self.to_face {
                let a = t[link.node];
                let mean = 0.5 * (a + tf);
                let mut h = gas.conductivity.at(mean).0 / (link.distance + gas.jumps.at(mean).0);
                if link.roof
                    && a > tf
                    && let Some((g, p)) = &gas.buoyant
                {
                    h *= nusselt(g, *p, a, tf, link.distance);
                }
                let w = link.area * h * (tf - a);
                q[link.node] += w;
                from_face += w;
            }
        }
        let mut from_gas = 0.0;
        if let Some((h, tg)) = around.blown {
            for (node, wet) in self.wet_m2.iter().enumerate() {
                let w = h * wet * (tg - t[node]);
                q[node] += w;
                from_gas += w;
            }
        }
        Edge {
            from_face,
            from_gas,
        }
    }

    /// Derivatives of the flows: dQ_i/dT_j into `jac`, those with the chamber and the blown gas
    /// into `edge`.
    pub fn slopes(
        &self,
        t: &[f64],
        around: &Around,
        jac: &mut BlockMatrix,
        edge: &mut EdgeSlopes,
        scratch: &mut Scratch,
    ) {
        let n = self.len();
        jac.clear();
        for v in [&mut edge.by_face, &mut edge.face_by_node, &mut edge.to_gas] {
            v.clear();
            v.resize(n, 0.0);
        }
        let tf = around.face_k;
        let cube = |x: f64| 4.0 * x * x * x;
        let Scratch { rhs, k, .. } = scratch;
        for gap in &self.gaps {
            let (first, second) = self.mixture(gap, t, around.sintered);
            let m = first.face.len();
            let (lo, ln) = gap.lower;
            let up = gap.upper.0;
            let node = |i: usize| if i < ln { lo + i } else { up + i - ln };
            let share = second.map_or(0.0, |s| s.1);
            rhs.clear();
            rhs.extend((0..m).map(|i| cube(t[node(i)])));
            match second {
                None => jac.add_gap(gap.lower, gap.upper, &first.k, rhs),
                Some((o, s, _)) => {
                    k.clear();
                    k.extend(first.k.iter().zip(&o.k).map(|(a, b)| a + s * (b - a)));
                    jac.add_gap(gap.lower, gap.upper, k, rhs);
                }
            }
            for (i, &c) in rhs.iter().enumerate() {
                let mut f = first.face[i];
                if let Some((o, _, _)) = second {
                    f += share * (o.face[i] - f);
                }
                edge.by_face[node(i)] += f * cube(tf);
                edge.face_by_node[node(i)] -= f * c;
            }
            if let Some((o, _, slope)) = second {
                // The mixture itself moves with the parts' mean temperature.
                let bf = tf * tf * tf * tf;
                let each = slope / gap.parts as f64;
                for i in 0..m {
                    let ti = t[node(i)];
                    let mut v = (o.face[i] - first.face[i]) * bf;
                    for j in 0..m {
                        let tj = t[node(j)];
                        v += (o.k[i * m + j] - first.k[i * m + j]) * (tj * tj) * (tj * tj);
                    }
                    let face = (o.face[i] - first.face[i]) * (bf - (ti * ti) * (ti * ti));
                    for p in 0..gap.parts {
                        jac.add(node(i), lo + p, v * each);
                        edge.face_by_node[lo + p] += face * each;
                    }
                }
            }
        }
        for &(node, k) in &self.rims {
            jac.add(node, node, -k * cube(t[node]));
            edge.by_face[node] += k * cube(tf);
            edge.face_by_node[node] -= k * cube(t[node]);
        }
        // Q = G(mean)(b − a): the slope of G acts on both ends alike.
        let mut pair = |a: usize, b: usize, g: f64, dg: f64| {
            let half = 0.5 * dg * (t[b] - t[a]);
            let (da, db) = (half - g, half + g);
            jac.add(a, a, da);
            jac.add(a, b, db);
            jac.add(b, a, -da);
            jac.add(b, b, -db);
        };
        for link in &self.solids {
            let (k, dk) = self.conductivity[link.table].at(0.5 * (t[link.a] + t[link.b]));
            pair(link.a, link.b, link.size * k, link.size * dk);
        }
        let layer = |gas: &GasNow, mean: f64, distance: f64| {
            let (k, dk) = gas.conductivity.at(mean);
            let (g, dg) = gas.jumps.at(mean);
            let d = distance + g;
            (k / d, dk / d - k * dg / (d * d))
        };
        let radiation = 4.0 * CONTACT_RADIATION * SIGMA;
        for link in &self.contacts {
            let mean = 0.5 * (t[link.a] + t[link.b]);
            let (g, dg) = around
                .gas
                .map_or((0.0, 0.0), |gas| layer(gas, mean, link.distance));
            let h = CONTACT_SOLID_W_M2K + radiation * mean * mean * mean + g;
            let dh = 3.0 * radiation * mean * mean + dg;
            pair(link.a, link.b, link.size * h, link.size * dh);
        }
        if let Some(gas) = around.gas {
            for link in &self.layers {
                let mean = 0.5 * (t[link.a] + t[link.b]);
                let (g, dg) = layer(gas, mean, link.distance);
                pair(link.a, link.b, link.size * g, link.size * dg);
            }
            for link in &self.to_face {
                let a = t[link.node];
                let (mut h, mut dh) = layer(gas, 0.5 * (a + tf), link.distance);
                let mut extra = 0.0;
                if link.roof
                    && a > tf
                    && let Some((g, p)) = &gas.buoyant
                {
                    let nu = nusselt(g, *p, a, tf, link.distance);
                    // Nu grows with the cube root of the difference.
                    if nu > 1.0 {
                        extra = h * nu / 3.0;
                    }
                    h *= nu;
                    dh *= nu;
                }
                let half = 0.5 * dh * (tf - a);
                let by_node = link.area * (half - h - extra);
                let by_face = link.area * (half + h + extra);
                jac.add(link.node, link.node, by_node);
                edge.face_by_node[link.node] += by_node;
                edge.by_face[link.node] += by_face;
            }
        }
        if let Some((h, _)) = around.blown {
            for (node, wet) in self.wet_m2.iter().enumerate() {
                jac.add(node, node, -h * wet);
                edge.to_gas[node] = h * wet;
            }
        }
    }
}
