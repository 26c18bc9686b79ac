//! Days of the run.

use super::facts::Facts;
use crate::catalogue::when;
use crate::text::missing;
use jiff::civil::{Date, DateTime};

/// Days on which the run may be under way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RunDays {
    /// Planned start.
    pub start: Date,
    /// Latest day on which the run may end: with every wait up to its timeout, the load cooling by
    /// itself, and started at the latest where the time of the start is not planned.
    pub end: Date,
}

impl Facts<'_> {
    /// Planned day of the start.
    pub fn start_day(&self) -> Option<Date> {
        self.plan.planned_start.as_deref().and_then(when::day)
    }

    /// Whether a day that is written down lies after the start; not where one of them is no day.
    pub fn is_after_start(&self, on: &str) -> bool {
        let on = when::day(on).zip(self.start_day());
        on.is_some_and(|(on, start)| on > start)
    }

    /// Planned start with its time; none where one of them is not planned.
    pub fn start_moment(&self) -> Option<DateTime> {
        let day = self.plan.planned_start.as_deref()?;
        let time = self.plan.planned_start_time.as_deref()?;
        when::moment(&format!("{day} {time}"))
    }

    /// Days of the run.
    ///
    /// # Errors
    /// What is missing: the planned start, or a program whose length is known.
    pub fn run_days(&self) -> Result<RunDays, &'static str> {
        let start = self.plan.planned_start.as_deref().and_then(when::day);
        let start = start.ok_or(missing::planned_start())?;
        let minutes = self.longest_run_min().ok_or(missing::program_length())?;
        // From the last moment of the day, unless the time of the start is planned.
        let hours = self.start_hour().unwrap_or(24.0) + minutes / 60.0;
        let days = libm::ceil(hours / 24.0) as i64 - 1;
        let span = jiff::Span::new().try_days(days);
        let end = span.and_then(|span| start.checked_add(span));
        let end = end.map_err(|_| missing::program_length())?;
        Ok(RunDays { start, end })
    }
}
