//! Behaviour of the crate from outside.

mod bench_strip;
mod judging;
mod learning;
mod matching;
mod reading;
mod scan;
mod scan_simulated;
mod strip;
