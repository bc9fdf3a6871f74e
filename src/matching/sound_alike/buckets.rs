//! Owns a compact table from hashes to small numbers, filled once: two flat vectors, quick to build and to ask.

use std::hash::{BuildHasherDefault, Hasher};

/// Hash of a few words of input; FNV-1a with the bits mixed at the end.
#[derive(Debug, Clone, Copy)]
pub(super) struct Hash(u64);

impl Hash {
    pub(super) fn new(seed: u64) -> Hash {
        Hash(0xcbf2_9ce4_8422_2325 ^ seed.wrapping_mul(0x9e37_79b9_7f4a_7c15))
    }

    pub(super) fn text(mut self, text: &str) -> Hash {
        for b in text.bytes() {
            self.0 = (self.0 ^ u64::from(b)).wrapping_mul(0x0100_0000_01b3);
        }
        self
    }

    pub(super) fn number(mut self, n: u64) -> Hash {
        self.0 = (self.0 ^ n).wrapping_mul(0x9e37_79b9_7f4a_7c15);
        self.0 ^= self.0 >> 29;
        self
    }

    pub(super) fn finish(self) -> u64 {
        let h = self.0.wrapping_mul(0xff51_afd7_ed55_8ccd);
        h ^ h >> 32
    }
}

/// Hash of one word, the key of word tables.
pub(super) fn word_hash(word: &str) -> u64 {
    Hash::new(0).text(word).finish()
}

/// Lets a standard map take hashes as they are.
#[derive(Debug, Default, Clone, Copy)]
pub(super) struct AsIs(u64);

impl Hasher for AsIs {
    fn finish(&self) -> u64 {
        self.0
    }

    fn write(&mut self, bytes: &[u8]) {
        for b in bytes {
            self.0 = self.0.rotate_left(8) ^ u64::from(*b);
        }
    }

    fn write_u64(&mut self, n: u64) {
        self.0 = n;
    }
}

pub(super) type ByHash<T> = std::collections::HashMap<u64, T, BuildHasherDefault<AsIs>>;

/// Hash → numbers. Different hashes may share a bucket: the one who asks verifies what comes out.
#[derive(Debug, Default)]
pub(super) struct Buckets {
    starts: Vec<u32>,
    items: Vec<u32>,
}

impl Buckets {
    pub(super) fn build(pairs: &[(u64, u32)]) -> Buckets {
        let n = (pairs.len() * 2).next_power_of_two();
        let at = |hash: u64| (hash as usize) & (n - 1);
        let mut starts = vec![0u32; n + 1];
        for &(hash, _) in pairs {
            starts[at(hash) + 1] += 1;
        }
        for i in 0..n {
            starts[i + 1] += starts[i];
        }
        let mut next = starts.clone();
        let mut items = vec![0; pairs.len()];
        for &(hash, item) in pairs {
            let slot = &mut next[at(hash)];
            items[*slot as usize] = item;
            *slot += 1;
        }
        Buckets { starts, items }
    }

    pub(super) fn get(&self, hash: u64) -> &[u32] {
        if self.items.is_empty() {
            return &[];
        }
        let i = (hash as usize) & (self.starts.len() - 2);
        &self.items[self.starts[i] as usize..self.starts[i + 1] as usize]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_goes_in_comes_out() {
        let pairs: Vec<(u64, u32)> = (0..500).map(|i| (word_hash(&i.to_string()), i)).collect();
        let b = Buckets::build(&pairs);
        assert!(pairs.iter().all(|(h, i)| b.get(*h).contains(i)));
        assert!(Buckets::default().get(7).is_empty());
        assert!(Buckets::build(&[]).get(7).is_empty());
    }
}
