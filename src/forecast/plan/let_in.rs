//! The book of what was let into the furnace: what stands there beside what a segment states.
//! `review/facts_gas.rs` follows the same by name.

use crate::forecast::constants::ATM_PA;
use crate::forecast::inputs::Atmosphere;
use crate::profile::EventKind;

/// Share of its pressure below which what stands in the furnace is taken as pumped out (assumed).
const PUMPED: f64 = 0.1;

/// A gas that stands in the furnace without flowing.
#[derive(Clone, Copy, Debug)]
struct Stands {
    gas: usize,
    pressure_pa: f64,
    /// Let in by a backfill: it stays where no pressure is set, and beside a gas that is named but
    /// does not flow.
    filled: bool,
}

/// What was let in and is still there.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct LetIn(Option<Stands>);

impl LetIn {
    /// A backfill fills, a pump-down empties, and a purge leaves the gas that purges, where that is
    /// known. `index` finds a gas by its slug.
    pub(super) fn event(
        &mut self,
        kind: &EventKind,
        index: impl Fn(&String) -> Option<usize>,
        purges: Option<usize>,
    ) {
        let stands = |gas: Option<usize>, pressure_pa: f64, filled: bool| {
            gas.map(|gas| Stands {
                gas,
                pressure_pa,
                filled,
            })
        };
        match kind {
            EventKind::Backfill { gas, to_mbar } => {
                self.0 = stands(index(gas), 100.0 * to_mbar, true);
            }
            EventKind::PumpDown { .. } => self.0 = None,
            EventKind::PurgeInert { .. } => self.0 = stands(purges, ATM_PA, false),
            _ => {}
        }
    }

    /// What the load stands in during a segment of its own gas and sweep, at a pressure where one is
    /// set; none in vacuum.
    pub(super) fn over(
        &mut self,
        own: Option<usize>,
        set_pa: Option<f64>,
        sweep_mol_s: f64,
    ) -> Option<Atmosphere> {
        // A pressure set well below what stands there takes it out.
        let there = self
            .0
            .filter(|s| set_pa.is_none_or(|pa| pa >= PUMPED * s.pressure_pa));
        self.0 = match own {
            Some(gas) => {
                let beside = |s: &Stands| s.filled && sweep_mol_s <= 0.0;
                let flows = Stands {
                    gas,
                    pressure_pa: set_pa.unwrap_or(ATM_PA),
                    filled: false,
                };
                Some(there.filter(beside).unwrap_or(flows))
            }
            // Without a pressure that is set, the pump runs on what merely flowed last.
            None => there.filter(|s| s.filled || set_pa.is_some()),
        };
        let stands = self.0?;
        Some(Atmosphere {
            gas: Some(stands.gas),
            pressure_pa: match own {
                Some(_) => set_pa.unwrap_or(ATM_PA),
                None => set_pa.unwrap_or(stands.pressure_pa),
            },
            sweep_mol_s,
        })
    }

    /// What was filled in, still standing: what a load cools in after the last segment.
    pub(super) fn filled(&self) -> Option<Atmosphere> {
        let stands = self.0.filter(|s| s.filled)?;
        Some(Atmosphere {
            gas: Some(stands.gas),
            pressure_pa: stands.pressure_pa,
            sweep_mol_s: 0.0,
        })
    }
}
