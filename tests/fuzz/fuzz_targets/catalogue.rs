//! Reads a catalogue file.

#![no_main]

#[path = "../mutate.rs"]
#[allow(dead_code)]
mod mutate;
#[path = "../targets.rs"]
#[allow(dead_code)]
mod targets;

use libfuzzer_sys::{fuzz_mutator, fuzz_target};

fuzz_target!(|data: &[u8]| {
    targets::catalogue(data);
});

fuzz_mutator!(|data: &mut [u8], size: usize, most: usize, seed: u32| {
    mutate::in_place(
        data,
        size,
        most,
        seed,
        || include_bytes!("../../../assets/catalogue/gases.ron").to_vec(),
        libfuzzer_sys::fuzzer_mutate,
    )
});
