//! Automatic arrangement: parts onto the fewest fields, as many as go, or a strip's shortest length.
//!
//! [`arrange`] takes a [`Task`] (kinds of parts with outline and allowed turns, the fields with
//! margin, fixed things and what they accept, the clearance, the [`Goal`]), an [`Effort`]
//! (evaluations, seed, islands) and a [`Watch`] (cancel, the best so far for showing), and gives an
//! [`Answer`]: [`Placed`] parts. [`prove`] is the independent proof that every answer has passed;
//! [`least_fields`] and [`most_parts`] are what no layout can beat.
//!
//! [`arrange_by`] takes [`Rules`] besides: masses, values, what must go, where a part may stand, a
//! layout to begin with; [`obeys`] checks them. [`arrange_stack`] sets parts out on levels over each
//! other with posts from a stock (`stack`), [`arrange_runs`] such stacks in runs by due day (`runs`):
//! so far only the bench asks for these two. A backlog of a shop goes through [`queue`].
//!
//! [`Arrangement`] makes a task of a plan, [`rearrange`] one edit of the answer; they are handed the
//! distances to [`Keep`] and a [`Judge`] by whoever knows the review.
//!
//! How it works: outlines are grown by half the clearance (`shape`), so that parts keep it when
//! the grown ones do not overlap; bores stay open by a slit. A first layout is constructed large
//! parts first; where not all went in that is worth most, that is searched for alone at first (`outer`).
//! Then the task is made harder (a shorter strip, a field fewer, a part more) and the
//! overlaps are taken apart by guided local search (`island`): each part that overlaps moves to
//! the place of least weighed overlap among samples, and what keeps overlapping weighs more.
//! Overlap is measured on circles that fill the outlines; whether there is any, the collision
//! library says (`collide`, the only place that knows it). A field is emptied part by part, with
//! exchanges (`outer`); what almost went in is tried on a field whose edge is moved outward and drawn
//! in again step by step (`squeeze`); between separations fields are filled anew by contact, side along side
//! (`contact`, `mates`, `fill`), at times from a group of parts that fit together (`group`), a walk that takes
//! a little worse for a while and ever less of it. At the end the layout is drawn together and straightened (`polish`). Islands
//! (`islands`) search on their own and meet after a fixed number of evaluations, so the answer does
//! not depend on the cores. Numbers of the search that name no source are assumed: set by trial on
//! the bench's instances.
//!
//! The method of separation by weighed overlap is published: Egeblad, Nielsen, Odgaard 2007;
//! Gardeyn, Vanden Berghe, Wauters, arXiv:2509.13329, for the circles as a measure of it.

mod bound;
mod circles;
mod collide;
mod contact;
mod dice;
mod fill;
mod group;
mod island;
mod islands;
mod mates;
mod outer;
mod plan;
mod polish;
mod proof;
mod queue;
mod rules;
mod runs;
mod setup;
mod shape;
mod squeeze;
mod stack;
mod strip;
mod task;
#[cfg(test)]
mod tests;

pub use bound::{least_fields, most_parts};
pub use islands::{Effort, arrange, arrange_by};
pub use plan::{
    Aims, Arrangement, Figures, FindPoses, First, Furniture, Judge, Keep, LeftOut, Longer, Lying,
    MOST_PRIORITY, NotAWeight, NotRearranged, OneMore, Order, Poses, Rearranged, Scope, SoFar,
    Term, Trouble, Turning, Weighed, Weight, Weights, Why, Wish, not_turned, rearrange,
    set_up_anew, setters_in_use, waiting, waiting_of,
};
pub use proof::{Least, prove};
pub use queue::{
    Filled, Filler, Group, LeftOver, MOST_RUNS, Queue, QueuedRun, Share, Step, Wanted, late_min,
    queue,
};
pub use rules::{Rules, obeys};
pub use runs::{Calendar, Due, Run, Runs, arrange_runs, least_runs};
pub use stack::{Posts, StackBound, StackLevel, StackTask, Stacked, arrange_stack, stack_bound};
pub use task::{Answer, Fault, Field, Goal, Ground, Kind, Placed, Task, Turns, Watch};
