//! Reading pictures and judging them for print. Takes bytes and gives pixels; knows no files.

mod curve;
mod error;
mod judge;
mod orientation;
mod picture;
mod read;
mod resample;
mod sharpen;

pub use error::ArtError;
pub use judge::on_press;
pub use judge::{Fingerprint, Judgement, OUT_OF_REACH, Use, judge, near_duplicates};
pub use picture::{Picture, Remark, Samples};
pub use read::{Format, Header, Limits, decode, probe};
pub use resample::{Window, resample, shrink};
pub use sharpen::{Sharpen, Softening, Strength, Surface, sharpen};
