//! Behaviour of the crate from outside.

mod bench_strip;
mod learning;
mod reading;
