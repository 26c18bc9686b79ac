//! Pictures as PNG files.

use super::fault::{Fault, FileFault};
use atomic_write_file::AtomicWriteFile;
use std::io::{self, Write};
use std::path::Path;

/// Writes opaque RGBA pixels, row by row from the top, as a PNG file; whole or not at all. No time
/// or other chance goes into it.
///
/// # Errors
/// Whatever stands in the way; an old file is then as it was.
pub fn write_png(path: &Path, size: [u32; 2], rgba: &[u8]) -> Result<(), FileFault> {
    let bytes = encode(size, rgba)
        .map_err(|error| FileFault::new(path, Fault::NotWritten(error.to_string())))?;
    write(path, &bytes).map_err(|error| FileFault::new(path, Fault::writing(&error)))
}

fn encode([width, height]: [u32; 2], rgba: &[u8]) -> Result<Vec<u8>, png::EncodingError> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, width, height);
    encoder.set_color(png::ColorType::Rgba);
    encoder.set_depth(png::BitDepth::Eight);
    let mut writer = encoder.write_header()?;
    writer.write_image_data(rgba)?;
    writer.finish()?;
    Ok(bytes)
}

fn write(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = AtomicWriteFile::open(path)?;
    file.write_all(bytes)?;
    file.commit()
}
