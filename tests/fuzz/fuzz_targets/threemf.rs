//! Reads and measures a 3MF package: as it is, and as the model in one.

#![no_main]

#[path = "../mutate.rs"]
#[allow(dead_code)]
mod mutate;
#[path = "../targets.rs"]
#[allow(dead_code)]
mod targets;

use libfuzzer_sys::{fuzz_mutator, fuzz_target};

fuzz_target!(|data: &[u8]| {
    match data {
        [b'P', b'K', ..] => targets::measured(data, "3mf"),
        model => {
            let rels = mutate::RELS.as_bytes();
            let files = [("_rels/.rels", rels), ("3D/a.model", model)];
            targets::measured(&mutate::package(&files, false), "3mf");
        }
    }
});

fuzz_mutator!(|data: &mut [u8], size: usize, most: usize, seed: u32| {
    mutate::in_place(
        data,
        size,
        most,
        seed,
        || mutate::threemf_of(seed),
        libfuzzer_sys::fuzzer_mutate,
    )
});
