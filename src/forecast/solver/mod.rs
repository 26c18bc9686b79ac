//! Time integration: a linearly implicit method of order 4 with error control on a system of
//! levels (block-tridiagonal) bordered by the chamber's few states.

pub mod blocks;
pub mod rosenbrock;
