//! The one integration binary: a module per topic.

mod imports;
mod lockfile;
