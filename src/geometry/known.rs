//! Results that take long to make, kept by what they were made from.

use std::collections::BTreeMap;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Keeps results for any thread that asks; begins anew where there would be too many.
pub struct Known<K, V> {
    held: Mutex<BTreeMap<K, V>>,
    most: usize,
}

impl<K: Ord, V: Clone> Known<K, V> {
    /// Keeps at most so many.
    pub const fn new(most: usize) -> Known<K, V> {
        Known {
            held: Mutex::new(BTreeMap::new()),
            most,
        }
    }

    fn held(&self) -> MutexGuard<'_, BTreeMap<K, V>> {
        self.held.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The result kept under a key, or a new one; none where none can be made. Nobody waits while one is
    /// made: two threads may make the same.
    pub fn get_or(&self, key: K, make: impl FnOnce() -> Option<V>) -> Option<V> {
        if let Some(known) = self.held().get(&key) {
            return Some(known.clone());
        }
        let made = make()?;
        let mut held = self.held();
        if held.len() >= self.most {
            held.clear();
        }
        held.insert(key, made.clone());
        Some(made)
    }
}
