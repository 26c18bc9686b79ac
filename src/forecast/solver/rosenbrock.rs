//! RODAS: a linearly implicit, stiffly accurate method of order 4 with an embedded error and
//! dense output of order 3 (Hairer and Wanner, Solving Ordinary Differential Equations II, IV.7).
//! The system is autonomous: the setpoint is one of its states.

/// A system dy/dt = f(y) with its linear algebra.
pub trait System {
    /// Number of states.
    fn len(&self) -> usize;
    /// Whether there are none.
    fn is_empty(&self) -> bool {
        self.len() == 0
    }
    /// f(y).
    fn rhs(&mut self, y: &[f64], dy: &mut [f64]);
    /// Takes the Jacobian at y.
    fn linearise(&mut self, y: &[f64]);
    /// Factors shift·I − J; false when that fails.
    fn factor(&mut self, shift: f64) -> bool;
    /// Solves with the factors, in place.
    fn solve(&mut self, x: &mut [f64]);
}

const GAMMA: f64 = 0.25;
const A: [&[f64]; 5] = [
    &[],
    &[1.544],
    &[0.946_678_528_081_582_6, 0.255_701_169_898_328_4],
    &[
        3.314_825_187_068_521,
        2.896_124_015_972_201,
        0.998_641_913_997_781_7,
    ],
    &[
        1.221_224_509_226_641,
        6.019_134_481_288_629,
        12.537_083_329_320_87,
        -0.687_886_036_105_895,
    ],
];
const C: [&[f64]; 6] = [
    &[],
    &[-5.668_8],
    &[-2.430_093_356_833_875, -0.206_359_915_709_191_5],
    &[
        -0.107_352_905_815_137_5,
        -9.594_562_251_023_355,
        -20.470_286_148_096_16,
    ],
    &[
        7.496_443_313_967_647,
        -10.246_804_314_643_52,
        -33.999_903_528_199_05,
        11.708_908_932_061_6,
    ],
    &[
        8.083_246_795_921_522,
        -7.981_132_988_064_893,
        -31.521_594_328_743_71,
        16.319_305_431_231_36,
        -6.058_818_238_834_054,
    ],
];
const D2: [f64; 5] = [
    10.126_235_083_445_86,
    -7.487_995_877_610_167,
    -34.800_918_615_557_47,
    -7.992_771_707_568_823,
    1.025_137_723_295_662,
];
const D3: [f64; 5] = [
    -0.676_280_339_280_125_3,
    6.087_714_651_680_015,
    16.430_843_208_924_78,
    24.767_225_114_183_86,
    -6.594_389_125_716_872,
];

/// Counts of what an integration cost.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Effort {
    /// Accepted steps.
    pub steps: usize,
    /// Rejected steps.
    pub rejected: usize,
    /// Right-hand sides.
    pub rhs: usize,
    /// Jacobians.
    pub jacobians: usize,
    /// Factorisations.
    pub factors: usize,
}

/// One step at a time, with its dense output.
#[derive(Clone, Debug)]
pub struct Stepper {
    u: [Vec<f64>; 6],
    work: Vec<f64>,
    rate: Vec<f64>,
    /// State before the last tried step.
    pub from: Vec<f64>,
    /// State after it.
    pub to: Vec<f64>,
    dense2: Vec<f64>,
    dense3: Vec<f64>,
    /// What it cost so far.
    pub effort: Effort,
}

impl Stepper {
    /// For a system of n states.
    pub fn new(n: usize) -> Stepper {
        let zero = || vec![0.0; n];
        Stepper {
            u: [zero(), zero(), zero(), zero(), zero(), zero()],
            work: zero(),
            rate: zero(),
            from: zero(),
            to: zero(),
            dense2: zero(),
            dense3: zero(),
            effort: Effort::default(),
        }
    }

    /// Takes the Jacobian and the right-hand side at the start of a step. Once a step, also when
    /// the step is then tried with several lengths.
    pub fn begin(&mut self, system: &mut impl System, y: &[f64]) {
        self.from.copy_from_slice(y);
        system.linearise(y);
        system.rhs(y, &mut self.rate);
        self.effort.jacobians += 1;
        self.effort.rhs += 1;
    }

    /// The same with the right-hand side already known.
    pub fn begin_with(&mut self, system: &mut impl System, y: &[f64], rate: &[f64]) {
        self.from.copy_from_slice(y);
        system.linearise(y);
        self.rate.copy_from_slice(rate);
        self.effort.jacobians += 1;
    }

    /// dy/dt at the start of the step.
    pub fn slope(&self) -> &[f64] {
        &self.rate
    }

    /// Tries a step of h seconds from where [`begin`](Stepper::begin) stood. Gives the weighted
    /// error (1 is just allowed), or infinity when the step is of no use.
    pub fn attempt(&mut self, system: &mut impl System, h: f64, rtol: f64, atol: f64) -> f64 {
        let n = self.from.len();
        self.effort.factors += 1;
        if !system.factor(1.0 / (GAMMA * h)) {
            return f64::INFINITY;
        }
        for (stage, couplings) in C.iter().enumerate() {
            let (before, after) = self.u.split_at_mut(stage);
            let Some(u) = after.first_mut() else {
                return f64::INFINITY;
            };
            if stage == 0 {
                u.copy_from_slice(&self.rate);
            } else {
                if let Some(a) = A.get(stage) {
                    self.work.copy_from_slice(&self.from);
                    for (c, v) in a.iter().zip(before.iter()) {
                        for (w, x) in self.work.iter_mut().zip(v) {
                            *w += c * x;
                        }
                    }
                } else if let Some(last) = before.last() {
                    for (w, x) in self.work.iter_mut().zip(last) {
                        *w += x;
                    }
                }
                system.rhs(&self.work, u);
                self.effort.rhs += 1;
                for (c, v) in couplings.iter().zip(before.iter()) {
                    let f = c / h;
                    for (w, x) in u.iter_mut().zip(v) {
                        *w += f * x;
                    }
                }
            }
            system.solve(u);
        }
        let mut worst = 0.0f64;
        let mut square = 0.0;
        for (((to, w), e), f) in self
            .to
            .iter_mut()
            .zip(&self.work)
            .zip(&self.u[5])
            .zip(&self.from)
        {
            *to = w + e;
            let scale = atol + rtol * f.abs().max(to.abs());
            let x = (e / scale).abs();
            worst = worst.max(x);
            square += x * x;
            if !to.is_finite() {
                return f64::INFINITY;
            }
        }
        // Between the mean and the worst node, so that one cold node counts.
        let mean = libm::sqrt(square / n.max(1) as f64);
        let error = libm::sqrt(mean * worst);
        if error.is_nan() { f64::INFINITY } else { error }
    }

    /// Makes the dense output of the step just accepted.
    pub fn accept(&mut self) {
        self.effort.steps += 1;
        self.dense2.fill(0.0);
        self.dense3.fill(0.0);
        for (j, v) in self.u.iter().take(5).enumerate() {
            for ((x, d2), d3) in v.iter().zip(&mut self.dense2).zip(&mut self.dense3) {
                *d2 += D2[j] * x;
                *d3 += D3[j] * x;
            }
        }
    }

    /// State i at a fraction 0–1 of the last accepted step.
    pub fn dense_at(&self, i: usize, theta: f64) -> f64 {
        let s = 1.0 - theta;
        self.from[i] * s + theta * (self.to[i] + s * (self.dense2[i] + theta * self.dense3[i]))
    }

    /// All states at a fraction of the last accepted step.
    pub fn dense(&self, theta: f64, y: &mut [f64]) {
        for (i, v) in y.iter_mut().enumerate() {
            *v = self.dense_at(i, theta);
        }
    }
}

/// Next step from an error: between a fifth and five times the last.
pub fn next_step(h: f64, error: f64) -> f64 {
    let factor = if error > 0.0 && error.is_finite() {
        0.9 / libm::sqrt(libm::sqrt(error))
    } else if error == 0.0 {
        5.0
    } else {
        0.2
    };
    h * factor.clamp(0.2, 5.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// y' = −y² + z, z' = −100 (z − 1): stiff, coupled, and with a Jacobian by hand.
    struct Two {
        j: [f64; 3],
        shift: f64,
    }

    impl System for Two {
        fn len(&self) -> usize {
            2
        }
        fn rhs(&mut self, y: &[f64], dy: &mut [f64]) {
            dy[0] = -y[0] * y[0] + y[1];
            dy[1] = -100.0 * (y[1] - 1.0);
        }
        fn linearise(&mut self, y: &[f64]) {
            self.j = [-2.0 * y[0], 1.0, -100.0];
        }
        fn factor(&mut self, shift: f64) -> bool {
            self.shift = shift;
            true
        }
        fn solve(&mut self, x: &mut [f64]) {
            x[1] /= self.shift - self.j[2];
            x[0] = (x[0] + self.j[1] * x[1]) / (self.shift - self.j[0]);
        }
    }

    fn run(steps: usize) -> (f64, f64) {
        let mut s = Two {
            j: [0.0; 3],
            shift: 0.0,
        };
        let mut stepper = Stepper::new(2);
        let mut y = vec![0.0, 1.0];
        let h = 2.0 / steps as f64;
        let mut mid = 0.0;
        for i in 0..steps {
            stepper.begin(&mut s, &y);
            stepper.attempt(&mut s, h, 1e-6, 1e-9);
            stepper.accept();
            if i == steps / 2 {
                mid = (stepper.dense_at(0, 0.5) - libm::tanh((i as f64 + 0.5) * h)).abs();
            }
            y.copy_from_slice(&stepper.to);
        }
        // With z = 1 the solution is tanh t.
        ((y[0] - libm::tanh(2.0)).abs(), mid)
    }

    #[test]
    fn order_four_and_dense_order_three() {
        let (a, ma) = run(10);
        let (b, mb) = run(20);
        let order = libm::log2(a / b);
        assert!(order > 3.7, "order {order}, errors {a:e} {b:e}");
        let dense = libm::log2(ma / mb);
        assert!(dense > 2.7, "dense order {dense}, errors {ma:e} {mb:e}");
    }
}
