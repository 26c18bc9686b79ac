//! Furnace around the network: losses, control, retort, insulation, fan, thermocouples, and the
//! linear algebra of the whole as a bordered block system.

mod linear;

use super::flows::{Around, EdgeSlopes, Scratch};
use super::gas::GasNow;
use super::network::{Network, Place};
use crate::forecast::constants::{HOLDBACK_SOFT, SIGMA};
use crate::forecast::curve::Grid;
use crate::forecast::inputs::{FurnaceHeat, LoadHeat, WaitFor};
use crate::forecast::solver::blocks::{BlockFactors, BlockMatrix};

/// Heat capacity of the gas that a fan drives, J/K: that of some ten litres, so small that what it holds at the start does not show
/// (assumed; it only smooths).
const BLOWN_J_K: f64 = 30.0;
/// The setpoint slows down over seven times this at least, K.
const HOLDBACK_LEAST_K: f64 = 0.05;

/// How the setpoint moves now.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Drive {
    /// K/s with its sign.
    pub rate_k_s: f64,
    /// Holds back while thermocouples are out of a band, K.
    pub holdback: Option<(WaitFor, f64)>,
    /// Power off: after the program's end.
    pub off: bool,
}

/// Heat at the furnace, W.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Power {
    /// Electric.
    pub electric_w: f64,
    /// All that leaves the chamber: to the load, the walls, the sweep.
    pub out_w: f64,
    /// Through the walls.
    pub loss_w: f64,
    /// Carried off by the sweep.
    pub sweep_w: f64,
    /// Into cooling water by the fan.
    pub water_w: f64,
    /// Into the load.
    pub load_w: f64,
    /// Into the air at the outside (equal to the loss without an insulation node).
    pub outside_w: f64,
}

/// Indices of the border states, counted from the first state.
#[derive(Clone, Debug, PartialEq)]
pub struct Border {
    /// Chamber.
    pub chamber: usize,
    /// What the load sees: the chamber or the retort.
    pub face: usize,
    /// Control thermocouple (the chamber itself without lag).
    pub control: usize,
    /// Setpoint.
    pub setpoint: usize,
    /// Insulation.
    pub insulation: Option<usize>,
    /// Blown gas.
    pub blown: Option<usize>,
    /// First load thermocouple.
    pub sensors: usize,
    /// End.
    pub end: usize,
}

/// The whole system.
pub struct FurnaceSystem<'a> {
    /// Network of the load.
    pub net: &'a Network,
    furnace: &'a FurnaceHeat,
    power: Grid,
    offset: Grid,
    /// Border indices.
    pub border: Border,
    /// Node and ρcV/A of each load thermocouple.
    tips: Vec<(usize, f64)>,
    /// Gas now.
    pub gas: Option<&'a GasNow>,
    /// Whether the fan is switched on.
    pub fan: bool,
    running: bool,
    /// Whether heat is taken out where the setpoint falls faster than the losses.
    pub cooled: bool,
    /// Whether parts are sintered.
    pub sintered: bool,
    /// The setpoint's motion.
    pub drive: Drive,
    /// Heat at the last right-hand side.
    pub last: Power,
    q: Vec<f64>,
    scratch: Scratch,
    jac: BlockMatrix,
    factors: BlockFactors,
    edge: EdgeSlopes,
    scale: Vec<f64>,
    shift_diag: Vec<f64>,
    // Border: node columns by face and blown gas; node rows of border states.
    col_face: Vec<f64>,
    col_gas: Vec<f64>,
    x_face: Vec<f64>,
    x_gas: Vec<f64>,
    rows: Vec<(usize, Vec<f64>)>,
    points: Vec<(usize, usize, f64)>,
    bb: Vec<f64>,
    schur: Vec<f64>,
    blowing: bool,
}

impl<'a> FurnaceSystem<'a> {
    /// Puts a furnace around a network.
    pub fn new(
        net: &'a Network,
        load: &LoadHeat,
        furnace: &'a FurnaceHeat,
        offset: Grid,
    ) -> FurnaceSystem<'a> {
        let n = net.len();
        let mut next = n;
        let mut take = |yes: bool| {
            yes.then(|| {
                next += 1;
                next - 1
            })
        };
        let chamber = take(true).unwrap_or(n);
        let retort = take(furnace.retort.is_some());
        let lag = take(furnace.sensor_lag_s > 0.0);
        let setpoint = take(true).unwrap_or(n);
        let insulation = take(furnace.insulation.is_some());
        let blown = take(furnace.fan.is_some());
        let tips: Vec<(usize, f64)> = load
            .sensors
            .iter()
            .filter_map(|s| {
                let zone = ((s.place * s.place * net.zones as f64) as usize).min(net.zones - 1);
                let here = |place_is: fn(&Place) -> bool| {
                    net.nodes.iter().position(|at| {
                        at.stack == s.stack
                            && at.level == s.level
                            && at.zone == zone
                            && place_is(&at.place)
                    })
                };
                let node = here(|p| matches!(p, Place::Part(_)))
                    .or_else(|| here(|p| matches!(p, Place::Setter)))?;
                Some((node, s.heat_j_m2k.max(100.0)))
            })
            .collect();
        let border = Border {
            chamber,
            face: retort.unwrap_or(chamber),
            control: lag.unwrap_or(chamber),
            setpoint,
            insulation,
            blown,
            sensors: next,
            end: next + tips.len(),
        };
        FurnaceSystem {
            net,
            furnace,
            power: Grid::from_curve(&furnace.power_w),
            offset,
            tips,
            gas: None,
            fan: false,
            running: false,
            cooled: false,
            sintered: false,
            drive: Drive::default(),
            last: Power::default(),
            q: vec![0.0; n],
            scratch: Scratch::default(),
            jac: BlockMatrix::new(&net.blocks),
            factors: BlockFactors::new(&net.blocks),
            edge: EdgeSlopes::default(),
            scale: vec![0.0; n],
            shift_diag: vec![0.0; n],
            col_face: vec![0.0; n],
            col_gas: vec![0.0; n],
            x_face: vec![0.0; n],
            x_gas: vec![0.0; n],
            rows: Vec::new(),
            points: Vec::new(),
            bb: Vec::new(),
            schur: Vec::new(),
            blowing: false,
            border,
        }
    }

    /// Everything at one temperature, K, the setpoint at another.
    pub fn start(&self, t_k: f64, setpoint_k: f64) -> Vec<f64> {
        let mut y = vec![t_k; self.border.end];
        if let Some(s) = y.get_mut(self.border.setpoint) {
            *s = setpoint_k;
        }
        y
    }

    /// Case offset at a chamber temperature, K.
    pub fn offset_at(&self, t_k: f64) -> f64 {
        self.offset.at(t_k).0
    }

    /// Whether the power stands at its greatest in the last balance at this state.
    pub fn at_full_power(&self, y: &[f64]) -> bool {
        let max = self.limits(y[self.border.chamber]);
        max > 0.0 && self.last.electric_w >= max
    }

    /// Heat of chamber, retort, insulation and blown gas above a uniform temperature, J.
    pub fn furnace_heat(&self, y: &[f64], above_k: f64) -> f64 {
        let b = &self.border;
        let f = self.furnace;
        let mut sum = f.heat_j_k * (y[b.chamber] - above_k);
        if let Some(r) = f.retort {
            sum += r.heat_j_k * (y[b.face] - above_k);
        }
        if let (Some(i), Some(ins)) = (b.insulation, f.insulation) {
            sum += ins.heat_j_k * (y[i] - above_k);
        }
        sum
    }

    /// Heat capacity of the chamber, J/K.
    pub fn chamber_j_k(&self) -> f64 {
        self.furnace.heat_j_k
    }

    /// Number of load thermocouples placed.
    pub fn sensors(&self) -> usize {
        self.tips.len()
    }

    /// What an awaited thermocouple is to come to, K, and how that moves with the setpoint. A load
    /// thermocouple goes by the setpoint and the case's offset, as arrivals do: the coldest and the
    /// hottest place of a survey are not where it lies, and it would wait for what never comes.
    fn awaited(&self, y: &[f64], state: usize) -> (f64, f64) {
        let sp = y[self.border.setpoint];
        if state < self.border.sensors {
            return (sp, 1.0);
        }
        let (offset, slope) = self.offset.at(sp);
        (sp + offset, 1.0 + slope)
    }

    /// Distance of the awaited thermocouples from what they are to come to, K, and the state that
    /// decides.
    pub fn deviation(&self, y: &[f64], on: WaitFor) -> Option<(f64, usize)> {
        let away = |i: usize| ((y[i] - self.awaited(y, i).0).abs(), i);
        match on {
            WaitFor::Control => Some(away(self.border.control)),
            WaitFor::AnyLoad => (self.border.sensors..self.border.end)
                .map(away)
                .min_by(|a, b| a.0.total_cmp(&b.0)),
            WaitFor::AllLoad => (self.border.sensors..self.border.end)
                .map(away)
                .max_by(|a, b| a.0.total_cmp(&b.0)),
        }
    }

    fn setpoint_rate(&self, y: &[f64]) -> (f64, Option<(f64, usize)>) {
        let Some((on, band)) = self.drive.holdback else {
            return (self.drive.rate_k_s, None);
        };
        let Some((away, state)) = self.deviation(y, on) else {
            return (self.drive.rate_k_s, None);
        };
        // Smooth, so that a slow load under a fast ramp does not make the program tremble at the
        // edge of its band; at the edge a thousandth of the rate is left.
        let soft = (HOLDBACK_SOFT * band).max(HOLDBACK_LEAST_K);
        let share = 1.0 / (1.0 + libm::exp((away - band) / soft + 7.0));
        let slope = -share * (1.0 - share) / soft;
        (
            self.drive.rate_k_s * share,
            Some((self.drive.rate_k_s * slope, state)),
        )
    }

    /// The film coefficient while the fan runs.
    fn film(&self) -> Option<f64> {
        self.furnace.fan.filter(|_| self.running).map(|f| f.h_w_m2k)
    }

    /// How far the fan is from switching, K: not negative = it switches. It starts below its
    /// temperature with enough pressure, and stops 20 K above.
    pub fn fan_due(&self, y: &[f64]) -> f64 {
        let Some(fan) = self.furnace.fan else {
            return f64::NEG_INFINITY;
        };
        let face = y[self.border.face];
        let allowed = self.fan
            && self
                .gas
                .is_some_and(|g| g.pressure_pa >= fan.pressure_min_pa);
        match (self.running, allowed) {
            (true, true) => face - fan.on_below_k - 20.0,
            (true, false) => 0.0,
            (false, true) => fan.on_below_k - face,
            (false, false) => f64::NEG_INFINITY,
        }
    }

    /// Starts or stops the fan.
    pub fn switch_fan(&mut self) {
        self.running = !self.running;
    }

    /// Walls: inner loss and its slope; outer loss and its slope by the insulation.
    fn losses(&self, y: &[f64]) -> Walls {
        let f = self.furnace;
        let factor = self.gas.map_or(1.0, |g| g.loss_factor);
        let u1 = f.loss_w_k * factor;
        let u4 = f.loss_m2 * SIGMA;
        let path = |a: f64, b: f64| u1 * (a - b) + u4 * (pow4(a) - pow4(b));
        let slope = |t: f64| u1 + 4.0 * u4 * t * t * t;
        let th = y[self.border.chamber];
        match self.border.insulation {
            None => {
                let w = path(th, f.ambient_k);
                Walls {
                    inner: w,
                    by_chamber: slope(th),
                    by_insulation: 0.0,
                    outer: w,
                    outer_by_insulation: 0.0,
                }
            }
            Some(i) => Walls {
                inner: 2.0 * path(th, y[i]),
                by_chamber: 2.0 * slope(th),
                by_insulation: -2.0 * slope(y[i]),
                outer: 2.0 * path(y[i], f.ambient_k),
                outer_by_insulation: 2.0 * slope(y[i]),
            },
        }
    }

    fn limits(&self, th: f64) -> f64 {
        self.power.at(th).0.max(0.0)
    }
}

struct Walls {
    inner: f64,
    by_chamber: f64,
    by_insulation: f64,
    outer: f64,
    outer_by_insulation: f64,
}

fn pow4(x: f64) -> f64 {
    (x * x) * (x * x)
}

/// State of the power: what its clipping leaves of the controller.
#[derive(Clone, Copy, PartialEq)]
enum Clip {
    Free,
    Fixed,
}

struct Balance {
    /// Out of the chamber other than by its own heating up, W.
    out: f64,
    /// Into the face (retort) from the chamber, W.
    across: f64,
    power: f64,
    clip: Clip,
    blown_face: f64,
    film: Option<f64>,
    from_face: f64,
    from_gas: f64,
    walls: Walls,
    rate: f64,
    rate_slope: Option<(f64, usize)>,
}

impl FurnaceSystem<'_> {
    fn balance(&mut self, y: &[f64]) -> Balance {
        let n = self.net.len();
        let b = &self.border;
        let f = self.furnace;
        let (th, tf) = (y[b.chamber], y[b.face]);
        let film = self.film();
        let env = tf + self.offset.at(tf).0;
        let tg = b.blown.map_or(tf, |g| y[g]);
        let mut q = std::mem::take(&mut self.q);
        let mut scratch = std::mem::take(&mut self.scratch);
        let around = Around {
            face_k: env,
            gas: self.gas,
            sintered: self.sintered,
            blown: film.map(|h| (h, tg)),
        };
        let sums = self.net.flows(&y[..n], &around, &mut q, &mut scratch);
        self.q = q;
        self.scratch = scratch;
        let blown_face = film.map_or(0.0, |h| h * f.face_m2 * (tf - tg));
        let walls = self.losses(y);
        let sweep = self.gas.map_or(0.0, |g| g.sweep_w_k) * (th - f.ambient_k);
        let into_load = sums.from_face + blown_face;
        let across = match f.retort {
            Some(r) => {
                SIGMA * r.area_m2 * r.exchange * (pow4(th) - pow4(tf))
                    + r.h_outer * r.area_m2 * (th - tf)
            }
            None => into_load,
        };
        let out = across + walls.inner + sweep;
        let (rate, rate_slope) = self.setpoint_rate(y);
        let (power, clip) = if self.drive.off {
            (0.0, Clip::Fixed)
        } else {
            let wish = f.heat_j_k * rate
                + out
                + f.heat_j_k / f.control_s.max(1.0) * (y[b.setpoint] - y[b.control]);
            let max = self.limits(th);
            if wish <= 0.0 && !self.cooled {
                (0.0, Clip::Fixed)
            } else if wish >= max {
                (max, Clip::Fixed)
            } else {
                (wish, Clip::Free)
            }
        };
        self.last = Power {
            electric_w: power,
            out_w: out,
            loss_w: walls.inner,
            sweep_w: sweep,
            water_w: film.map_or(0.0, |_| {
                f.fan.map_or(0.0, |fan| fan.ua_w_k * (tg - fan.water_k))
            }),
            load_w: sums.from_face + sums.from_gas,
            outside_w: walls.outer,
        };
        Balance {
            out,
            across,
            power,
            clip,
            blown_face,
            film,
            from_face: sums.from_face,
            from_gas: sums.from_gas,
            walls,
            rate,
            rate_slope,
        }
    }
}
