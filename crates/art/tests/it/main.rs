//! Tests of the whole crate through its public calls.

mod hostile;
mod judging;
mod making;
mod reading;
mod resampling;
mod sharpening;
