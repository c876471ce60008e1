//! The decisions of one book: the book file, stocks, binding, signatures, the running order, and
//! what follows from them by arithmetic: the plan of pages, the cover, the object.
//!
//! Knows no file system, no clock and no screen. Pixel sizes of pictures come in as a function.

mod asking;
mod dates;
mod dress;
mod edition;
mod error;
mod finishing;
mod key;
mod landing;
mod model;
mod names;
mod near;
mod object_wishes;
mod range;
mod read;
mod sources;
mod term;

pub mod bar_code;
pub mod cartons;
pub mod drawing;
pub mod edit;
pub mod measured;
pub mod object;
pub mod plan;
pub mod propose;

pub use asking::*;
pub use dates::*;
pub use dress::*;
pub use edition::*;
pub use error::{BookError, BookErrors, Problem};
pub use finishing::*;
pub use landing::*;
pub use model::*;
pub use object_wishes::*;
pub use read::read;
pub use sources::Source;
pub use term::*;
