//! Readers and writers of files: bytes in, typed values or faults out. The only module that touches
//! the disk.

mod backlog;
mod compare;
mod disk;
mod fault;
mod form;
mod journal;
mod kind;
mod load;
mod lots_table;
mod mesh;
mod numbers;
pub mod obj;
mod paths;
mod picture;
mod quote;
mod reach;
mod recorded;
mod records;
mod rest;
mod settings;
mod shop;
mod shop_write;
mod standards;
pub mod stl;
pub mod threemf;
mod v1;

pub use backlog::{
    BACKLOG_VERSION, Backlog, BaseLoad, JobRead, JobsRead, MOST_TURNAROUND_MIN, QueueJob,
    backlog_beside, decode_backlog, is_table, look_at_jobs, read_backlog, read_jobs,
};
pub use compare::{Compared, compare};
pub use disk::{TEXT_CAP, is_same, make_folder, may_make_folder, read_script, would_be_lost};
pub use fault::{Fault, FileFault, Spot};
pub use form::sha256_hex;
pub use journal::{Dropped, Entry as JournalEntry, Journal};
pub use kind::FileKind;
pub use load::*;
pub use lots_table::{LotsTable, RowFault, column_names as lot_columns, read_lots};
pub use mesh::{
    MESH_CAP, MESH_ENDINGS, MeshBody, MeshFile, MeshFormat, MeshNote, PartFrom, decode_mesh,
    is_mesh_name, mesh_at_rest, part_from_mesh, parts_from_mesh, read_mesh, shape_from_mesh,
};
pub use paths::moved;
pub use picture::write_png;
pub use reach::records_for;
pub use recorded::{RecordedLimit, limits_in};
pub use records::{
    CHECK, Differs, LIMIT, REFERENCE, RecordDifference, SHOP_STATE, Working, limit_key,
    setting_key, working,
};
pub use rest::{mesh_resting, part_resting, poses_of, typed_resting};
pub use settings::{Colours, MeshesAs, Settings, read_settings, save_settings, settings_path};
pub use shop::{ShopFolder, decode_catalogue, read_shop_folder};
pub use shop_write::{ShopChange, change_shop};
pub use standards::{
    StandardFault, as_standard, list_standards, save_standard, standard_of, standards_dir,
};

#[cfg(test)]
mod fields_tests;
