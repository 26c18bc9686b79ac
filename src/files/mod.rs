//! Readers and writers of files: bytes in, typed values or faults out.

pub mod stl;
