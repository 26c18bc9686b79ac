//! Rates, Jacobian and linear algebra of the whole: blocks by level, bordered by the furnace.

use super::{BLOWN_J_K, Border, Clip, FurnaceSystem};
use crate::forecast::constants::{SIGMA, TIP_CONTACT_W_M2K, TIP_EMISSIVITY};
use crate::forecast::heat::flows::Around;
use crate::forecast::heat::radiosity::solve as solve_dense;
use crate::forecast::solver::blocks::dot;
use crate::forecast::solver::rosenbrock::System;

impl System for FurnaceSystem<'_> {
    fn len(&self) -> usize {
        self.border.end
    }

    fn rhs(&mut self, y: &[f64], dy: &mut [f64]) {
        let a = self.balance(y);
        let f = self.furnace;
        let b = self.border.clone();
        for (i, (d, q)) in dy.iter_mut().zip(&self.q).enumerate() {
            *d = q / self.net.capacity(i, y[i]).0;
        }
        dy[b.chamber] = (a.power - a.out) / f.heat_j_k;
        if let Some(r) = f.retort {
            dy[b.face] = (a.across - a.from_face - a.blown_face) / r.heat_j_k;
        }
        if b.control != b.chamber {
            dy[b.control] = (y[b.chamber] - y[b.control]) / f.sensor_lag_s;
        }
        dy[b.setpoint] = a.rate;
        if let (Some(i), Some(ins)) = (b.insulation, f.insulation) {
            dy[i] = (a.walls.inner - a.walls.outer) / ins.heat_j_k;
        }
        if let (Some(g), Some(fan)) = (b.blown, f.fan) {
            dy[g] = match a.film {
                Some(_) => {
                    (a.blown_face - a.from_gas - fan.ua_w_k * (y[g] - fan.water_k)) / BLOWN_J_K
                }
                None => (y[b.face] - y[g]) / 60.0,
            };
        }
        for (s, &(node, heat)) in self.tips.iter().enumerate() {
            let i = b.sensors + s;
            let (h, _) = tip(0.5 * (y[node] + y[i]));
            dy[i] = h * (y[node] - y[i]) / heat;
        }
    }

    fn linearise(&mut self, y: &[f64]) {
        let a = self.balance(y);
        let n = self.net.len();
        let f = self.furnace;
        let b = self.border.clone();
        let nb = b.end - n;
        let tf = y[b.face];
        let (off, off_slope) = self.offset.at(tf);
        let tg = b.blown.map_or(tf, |g| y[g]);
        let around = Around {
            face_k: tf + off,
            gas: self.gas,
            sintered: self.sintered,
            blown: a.film.map(|h| (h, tg)),
        };
        self.net.slopes(
            &y[..n],
            &around,
            &mut self.jac,
            &mut self.edge,
            &mut self.scratch,
        );
        let env = 1.0 + off_slope;
        for (i, &t) in y.iter().enumerate().take(n) {
            let (c, dc) = self.net.capacity(i, t);
            self.scale[i] = 1.0 / c;
            self.shift_diag[i] = -self.q[i] * dc / (c * c);
            self.col_face[i] = self.edge.by_face[i] * env / c;
            self.col_gas[i] = self.edge.to_gas[i] / c;
        }
        self.jac.scale_rows(&self.scale, &self.shift_diag);
        self.blowing = a.film.is_some();

        // Border by border, and border by nodes.
        self.rows.clear();
        self.points.clear();
        self.bb.clear();
        self.bb.resize(nb * nb, 0.0);
        let held = a.rate_slope.map_or((0.0, 1.0), |(_, state)| {
            let (to, by_setpoint) = self.awaited(y, state);
            (to - y[state], by_setpoint)
        });
        let bb = &mut self.bb;
        let mut add = |row: usize, col: usize, x: f64| bb[(row - n) * nb + col - n] += x;
        let th = y[b.chamber];
        let from_face_by_face: f64 = self.edge.by_face.iter().sum::<f64>() * env;
        let film = a.film.unwrap_or(0.0);
        let blown = film * f.face_m2;
        let sweep = self.gas.map_or(0.0, |g| g.sweep_w_k);
        match a.clip {
            Clip::Free => {
                // C dT/dt = C·rate + C/τ (SP − Tm): the load drops out.
                let gain = 1.0 / f.control_s.max(1.0);
                add(b.chamber, b.setpoint, gain);
                add(b.chamber, b.control, -gain);
                if let Some((slope, state)) = a.rate_slope {
                    holdback(&mut add, b.chamber, &b, held, slope, state);
                }
            }
            Clip::Fixed => {
                let c = f.heat_j_k;
                let cap = self.power.at(th);
                let power_slope = if a.power > 0.0 { cap.1 } else { 0.0 };
                add(
                    b.chamber,
                    b.chamber,
                    (power_slope - a.walls.by_chamber - sweep) / c,
                );
                if let Some(i) = b.insulation {
                    add(b.chamber, i, -a.walls.by_insulation / c);
                }
                if f.retort.is_none() {
                    add(b.chamber, b.chamber, -(from_face_by_face + blown) / c);
                    if let Some(g) = b.blown {
                        add(b.chamber, g, blown / c);
                    }
                    let row = self.edge.face_by_node.iter().map(|x| -x / c).collect();
                    self.rows.push((b.chamber - n, row));
                }
            }
        }
        if let Some(r) = f.retort {
            let by_h = 4.0 * SIGMA * r.area_m2 * r.exchange * th * th * th + r.h_outer * r.area_m2;
            let by_r = -4.0 * SIGMA * r.area_m2 * r.exchange * tf * tf * tf - r.h_outer * r.area_m2;
            if a.clip == Clip::Fixed {
                add(b.chamber, b.chamber, -by_h / f.heat_j_k);
                add(b.chamber, b.face, -by_r / f.heat_j_k);
            }
            add(b.face, b.chamber, by_h / r.heat_j_k);
            add(
                b.face,
                b.face,
                (by_r - from_face_by_face - blown) / r.heat_j_k,
            );
            if let Some(g) = b.blown {
                add(b.face, g, blown / r.heat_j_k);
            }
            let row = self
                .edge
                .face_by_node
                .iter()
                .map(|x| -x / r.heat_j_k)
                .collect();
            self.rows.push((b.face - n, row));
        }
        if b.control != b.chamber {
            add(b.control, b.chamber, 1.0 / f.sensor_lag_s);
            add(b.control, b.control, -1.0 / f.sensor_lag_s);
        }
        if let Some((slope, state)) = a.rate_slope {
            holdback(&mut add, b.setpoint, &b, held, slope, state);
        }
        if let (Some(i), Some(ins)) = (b.insulation, f.insulation) {
            add(i, b.chamber, a.walls.by_chamber / ins.heat_j_k);
            add(
                i,
                i,
                (a.walls.by_insulation - a.walls.outer_by_insulation) / ins.heat_j_k,
            );
        }
        if let (Some(g), Some(fan)) = (b.blown, f.fan) {
            if self.blowing {
                let wet: f64 = self.edge.to_gas.iter().sum();
                add(g, b.face, blown / BLOWN_J_K);
                add(g, g, -(blown + wet + fan.ua_w_k) / BLOWN_J_K);
                self.rows.push((
                    g - n,
                    self.edge.to_gas.iter().map(|x| x / BLOWN_J_K).collect(),
                ));
            } else {
                add(g, b.face, 1.0 / 60.0);
                add(g, g, -1.0 / 60.0);
            }
        }
        for (s, &(node, heat)) in self.tips.iter().enumerate() {
            let i = b.sensors + s;
            let (h, dh) = tip(0.5 * (y[node] + y[i]));
            let half = 0.5 * dh * (y[node] - y[i]);
            add(i, i, (half - h) / heat);
            self.points.push((i - n, node, (half + h) / heat));
        }
    }

    fn factor(&mut self, shift: f64) -> bool {
        let n = self.net.len();
        let nb = self.border.end - n;
        if !self.factors.factor(&self.jac, shift) {
            return false;
        }
        self.x_face.copy_from_slice(&self.col_face);
        self.factors.solve(&mut self.x_face);
        if self.blowing {
            self.x_gas.copy_from_slice(&self.col_gas);
            self.factors.solve(&mut self.x_gas);
        }
        self.schur.clear();
        self.schur.extend(self.bb.iter().map(|x| -x));
        for i in 0..nb {
            self.schur[i * nb + i] += shift;
        }
        let face = self.border.face - n;
        let gas = self.border.blown.map(|g| g - n).filter(|_| self.blowing);
        let mut take = |row: usize, col: usize, x: f64| self.schur[row * nb + col] -= x;
        for (row, values) in &self.rows {
            take(*row, face, dot(values, &self.x_face));
            if let Some(g) = gas {
                take(*row, g, dot(values, &self.x_gas));
            }
        }
        for &(row, node, value) in &self.points {
            take(row, face, value * self.x_face[node]);
            if let Some(g) = gas {
                take(row, g, value * self.x_gas[node]);
            }
        }
        // Invert once: six small products a step are cheaper than six eliminations.
        let mut inverse = vec![0.0; nb * nb];
        for i in 0..nb {
            inverse[i * nb + i] = 1.0;
        }
        if solve_dense(&mut self.schur, &mut inverse, nb, nb).is_none() {
            return false;
        }
        self.schur = inverse;
        true
    }

    fn solve(&mut self, x: &mut [f64]) {
        let n = self.net.len();
        let (nodes, border) = x.split_at_mut(n);
        let nb = border.len();
        self.factors.solve(nodes);
        for (row, values) in &self.rows {
            border[*row] += dot(values, nodes);
        }
        for &(row, node, value) in &self.points {
            border[row] += value * nodes[node];
        }
        let old = border.to_vec();
        for (b, row) in border.iter_mut().zip(self.schur.chunks_exact(nb)) {
            *b = dot(row, &old);
        }
        let face = border[self.border.face - n];
        for (v, f) in nodes.iter_mut().zip(&self.x_face) {
            *v += f * face;
        }
        if let (true, Some(g)) = (self.blowing, self.border.blown) {
            let gas = border[g - n];
            for (v, f) in nodes.iter_mut().zip(&self.x_gas) {
                *v += f * gas;
            }
        }
    }
}

fn tip(t: f64) -> (f64, f64) {
    let e = 4.0 * TIP_EMISSIVITY * SIGMA;
    (e * t * t * t + TIP_CONTACT_W_M2K, 3.0 * e * t * t)
}

/// Derivatives of the setpoint's rate by setpoint and deciding thermocouple. `behind_k` is how far
/// that is behind what it is to come to, `by_setpoint` how this moves with the setpoint.
fn holdback(
    add: &mut impl FnMut(usize, usize, f64),
    row: usize,
    b: &Border,
    (behind_k, by_setpoint): (f64, f64),
    slope: f64,
    state: usize,
) {
    let sign = if behind_k >= 0.0 { 1.0 } else { -1.0 };
    add(row, b.setpoint, slope * sign * by_setpoint);
    add(row, state, -slope * sign);
}

#[cfg(test)]
mod tests {
    use super::super::Drive;
    use super::*;
    use crate::forecast::curve::Curve;
    use crate::forecast::curve::Grid;
    use crate::forecast::demo::{gases, reference_load};
    use crate::forecast::heat::gas::GasNow;
    use crate::forecast::heat::network::Network;
    use crate::forecast::inputs::*;

    /// The Jacobian, by differences, in heating and cooling, with everything the furnace can have.
    #[test]
    fn jacobian_equals_differences() {
        let mut load = reference_load();
        load.stacks[0].levels.truncate(2);
        load.kinds[0].section_m = 0.03;
        load.kinds[0].emissivity = Emissivity {
            brown: 0.8,
            reduced: 0.6,
            sintered: 0.35,
        };
        load.sensors.push(LoadSensor {
            stack: 0,
            level: 0,
            place: 0.0,
            heat_j_m2k: 3000.0,
        });
        let gases = gases();
        let now = GasNow::new(
            &gases,
            &Atmosphere {
                gas: Some(1),
                pressure_pa: 101_325.0,
                sweep_mol_s: 0.01,
            },
        )
        .unwrap();
        let furnace = FurnaceHeat {
            heat_j_k: 8000.0,
            loss_w_k: 2.0,
            loss_m2: 0.012,
            emissivity: 0.8,
            face_m2: 0.7,
            power_w: Curve::constant(25e3),
            sensor_lag_s: 30.0,
            control_s: 60.0,
            ambient_k: 298.0,
            retort: Some(Retort {
                heat_j_k: 5000.0,
                area_m2: 0.85,
                exchange: 0.2,
                h_outer: 5.0,
            }),
            insulation: Some(Insulation { heat_j_k: 20e3 }),
            fan: Some(Fan {
                h_w_m2k: 25.0,
                ua_w_k: 50.0,
                water_k: 293.0,
                pressure_min_pa: 5e4,
                on_below_k: 1500.0,
            }),
        };
        let net = Network::build(&load, 0.8, 3, &Case::nominal()).unwrap();
        let offset = Grid::from_curve(&Curve::new(&[(300.0, 0.0), (1500.0, 6.0)]).unwrap());
        for (off, base) in [(false, 985.0), (true, 985.0), (true, 700.0)] {
            let mut s = FurnaceSystem::new(&net, &load, &furnace, offset.clone());
            s.gas = Some(&now);
            s.fan = true;
            s.switch_fan();
            s.drive = Drive {
                rate_k_s: 0.05,
                holdback: Some((WaitFor::AllLoad, 20.0)),
                off,
            };
            let n = s.len();
            let mut y: Vec<f64> = (0..n)
                .map(|i| base + ((i * 37) % 17) as f64 * 1.3 + 0.123)
                .collect();
            y[s.border.setpoint] = y[n - 1] + 19.0;
            y[s.border.chamber] = base - 20.0;
            s.linearise(&y);
            let shift = 0.01;
            assert!(s.factor(shift));
            // Column j of J by differences; (shift·I − J)⁻¹ (shift·e_j − J e_j) must be e_j.
            for j in 0..n {
                let mut up = y.clone();
                let mut down = y.clone();
                let d = 1e-3;
                up[j] += d;
                down[j] -= d;
                let (mut a, mut b) = (vec![0.0; n], vec![0.0; n]);
                s.rhs(&up, &mut a);
                s.rhs(&down, &mut b);
                let mut x: Vec<f64> = a
                    .iter()
                    .zip(&b)
                    .map(|(p, m)| -(p - m) / (2.0 * d))
                    .collect();
                x[j] += shift;
                s.solve(&mut x);
                for (i, v) in x.iter().enumerate() {
                    let want = if i == j { 1.0 } else { 0.0 };
                    assert!(
                        (v - want).abs() < 2e-4,
                        "off {off} {base}: column {j} row {i}: {v}"
                    );
                }
            }
        }
    }
}
