//! Writes the demo loads and their meshes anew: `cargo run --example make_demo [FOLDER]`.

#[path = "write.rs"]
mod write;

use std::path::PathBuf;
use std::process::ExitCode;

fn main() -> ExitCode {
    let folder = std::env::args_os().nth(1).map_or_else(
        || PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("demo-loads"),
        PathBuf::from,
    );
    match write::write_all(&folder) {
        Ok(written) => {
            for name in written {
                println!("wrote {}", folder.join(name).display());
            }
            ExitCode::SUCCESS
        }
        Err(fault) => {
            eprintln!("{fault}");
            ExitCode::FAILURE
        }
    }
}
