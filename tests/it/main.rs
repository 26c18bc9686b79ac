//! The one integration binary: a module per topic.

// clippy.toml allows these inside `#[test]` only, not in the helpers beside them.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod arrange;
mod arrange_aims;
mod arrange_bores;
mod arrange_held;
mod arrange_levels;
mod arrange_poses;
mod checks_approval;
mod checks_atmosphere;
mod checks_attended;
mod checks_debind;
mod checks_declared;
mod checks_fixture_b;
mod checks_forecast;
mod checks_furniture;
mod checks_gas_standing;
mod checks_geometry;
mod checks_mass;
mod checks_measures;
mod checks_mended;
mod checks_mixing;
mod checks_on_file;
mod checks_on_paper;
mod checks_on_record;
mod checks_order;
mod checks_partly;
mod checks_placing;
mod checks_plausible;
mod checks_pressures;
mod checks_profile;
mod checks_records;
mod checks_safety;
mod checks_scopes;
mod checks_second_reading;
mod checks_shop_names;
mod checks_standard;
mod checks_thermometry;
mod checks_third_reading;
mod checks_unseen;
mod clearance;
mod cli;
mod cli_writes;
mod demo;
#[path = "../demo/write.rs"]
mod demo_files;
mod differences;
mod document;
mod document_fixture;
mod document_forecast;
mod document_jobs;
mod document_reads;
mod document_review;
mod edits;
mod files;
mod files_journal;
mod files_plans;
mod files_saved;
mod fixes;
mod fixes_forecast;
mod fixture;
mod forecast;
mod forecast_logs;
mod forecast_mended;
mod forecast_ways;
// Part of it is for the fuzzer alone.
#[allow(dead_code)]
#[path = "../fuzz/mutate.rs"]
mod fuzz_mutate;
#[path = "../fuzz/targets.rs"]
mod fuzz_targets;
mod imports;
mod limits;
mod lockfile;
mod mesh_reference;
mod meshes;
mod mutation_table;
mod mutations;
mod plates;
mod plates_reference;
mod polygons;
mod poses;
mod profile;
mod queue;
mod queue_runs;
mod series;
mod shop;
mod slips;
mod solids;
mod statics;
mod stories;
mod tally;
mod units;
mod window;

use demo_files::plans::meshes as demo_meshes;
