//! Results kept by what they were made from.

use super::hash::InputHash;
use std::any::Any;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Keeps the results that were asked for last.
pub(super) struct Memo<K, V> {
    held: BTreeMap<K, (u64, V)>,
    asked: u64,
    most: usize,
    /// How many were made and not found.
    pub made: usize,
}

impl<K: Ord + Copy, V: Clone> Memo<K, V> {
    /// Keeps at most `most` results.
    pub fn new(most: usize) -> Memo<K, V> {
        Memo {
            held: BTreeMap::new(),
            asked: 0,
            most,
            made: 0,
        }
    }

    /// Changes how many are kept.
    pub fn keep(&mut self, most: usize) {
        self.most = most;
    }

    /// The result kept under a key, or a new one.
    pub fn get_or(&mut self, key: K, make: impl FnOnce() -> V) -> V {
        self.asked += 1;
        if let Some((asked, value)) = self.held.get_mut(&key) {
            *asked = self.asked;
            return value.clone();
        }
        let value = make();
        self.made += 1;
        self.held.insert(key, (self.asked, value.clone()));
        while self.held.len() > self.most {
            let oldest = self.held.iter().min_by_key(|(_, (asked, _))| *asked);
            let Some(key) = oldest.map(|(key, _)| *key) else {
                break;
            };
            self.held.remove(&key);
        }
        value
    }
}

/// Address of a value and the kind of what was read of it.
type Read = (usize, &'static str);

/// Hashes of shared values, kept by address so that a value that an edit left alone is not read
/// again. Each entry holds its value: an address cannot come to mean another one.
pub(super) struct Digests {
    memo: Memo<Read, (Arc<dyn Any + Send + Sync>, InputHash)>,
}

impl Digests {
    /// Keeps at most `most` hashes.
    pub fn new(most: usize) -> Digests {
        Digests {
            memo: Memo::new(most),
        }
    }

    /// Changes how many are kept.
    pub fn keep(&mut self, most: usize) {
        self.memo.keep(most);
    }

    /// Hash of what `read` takes from a value; `kind` names what that is.
    pub fn of<T: Any + Send + Sync>(
        &mut self,
        kind: &'static str,
        value: &Arc<T>,
        read: impl FnOnce(&T) -> InputHash,
    ) -> InputHash {
        let address = Arc::as_ptr(value).cast::<()>() as usize;
        let make = || (Arc::clone(value) as Arc<dyn Any + Send + Sync>, read(value));
        self.memo.get_or((address, kind), make).1
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_one_asked_for_longest_ago_goes_first() {
        let mut memo = Memo::new(2);
        let mut ask = |key: u32| {
            let before = memo.made;
            assert_eq!(memo.get_or(key, || key * 10), key * 10);
            memo.made > before
        };
        assert_eq!([1, 2, 1, 3].map(&mut ask), [true, true, false, true]);
        assert_eq!([1, 3, 2].map(&mut ask), [false, false, true]);
    }

    #[test]
    fn a_value_is_read_once_for_each_kind() {
        let mut digests = Digests::new(8);
        let value = Arc::new(7);
        let mut reads = 0;
        for kind in ["a", "b", "a", "b"] {
            let hash = digests.of(kind, &value, |v| {
                reads += 1;
                InputHash::of(v)
            });
            assert_eq!(hash, InputHash::of(&7));
        }
        assert_eq!(reads, 2);
        let other = Arc::new(8);
        assert_eq!(
            digests.of("a", &other, |v| InputHash::of(v)),
            InputHash::of(&8)
        );
    }
}
