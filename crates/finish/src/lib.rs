//! Finishings: foil, spot varnish, blind embossing. Each is one plate, drawn from a mask (a picture
//! or an SVG), and held against the finest line and the finest gap that its process holds.
//!
//! A plate is there or not there: it has no halftones. In pictures and drawings dark means plate
//! and light means none.

mod drawing;
mod error;
mod fit;
mod judge;
mod morphology;
mod outline;
mod plate;
mod polygon;
mod process;
mod safety;
mod thicken;

pub use drawing::{Drawing, Typefaces};
pub use error::FinishError;
pub use fit::{Fit, Fitted};
pub use judge::{Fault, FaultKind, Judged, judge};
pub use outline::{Command, FillRule, Shape};
pub use plate::{MaskRemarks, Plate};
pub use polygon::without_taking_away;
pub use process::{Bounds, Process};
pub use thicken::{MOST_THICKENING, Thickening, least_thickening};
