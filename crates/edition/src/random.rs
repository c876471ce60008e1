//! Chance from a seed: the same numbers on every machine and on any number of cores.

use rand_xoshiro::Xoshiro256PlusPlus;
use rand_xoshiro::rand_core::{Rng, SeedableRng};

/// A stream of chance. Each chunk of a job has a stream of its own, so that it does not matter which
/// core takes which chunk.
#[derive(Debug, Clone)]
pub(crate) struct Stream(Xoshiro256PlusPlus);

impl Stream {
    /// The stream of a chunk.
    pub(crate) fn new(seed: u64, chunk: u64) -> Self {
        // Two rounds of seeding part neighbouring seeds and neighbouring chunks.
        let mut first = Xoshiro256PlusPlus::seed_from_u64(seed);
        Self(Xoshiro256PlusPlus::seed_from_u64(first.next_u64() ^ chunk))
    }

    /// A number from 0 up to, but not including, 1, each of 2^53 equally likely.
    #[inline]
    pub(crate) fn unit(&mut self) -> f64 {
        (self.0.next_u64() >> 11) as f64 * (1.0 / (1_u64 << 53) as f64)
    }
}
