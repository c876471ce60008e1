//! Colour from art to ink and back to the screen: ICC profiles, press conditions, the fused table,
//! the ink limit, colour difference and the soft proof.
//!
//! Bytes of CMYK here always run 0 = no ink to 255 = solid. All tables are `Send + Sync`: build
//! one, then convert from as many threads as there are.

mod compensation;
mod condition;
mod departure;
mod difference;
mod duo;
mod engine;
mod error;
mod forward;
mod grid3;
mod grid4;
mod guard;
mod ink_limit;
mod lab;
mod limiter;
mod on_screen;
mod perceptual;
mod profile;
mod reach;
mod readings;
mod recipe;
mod repurpose;
mod rising;
mod route;
mod screen_view;
mod separation;
mod soft_proof;
mod source;
mod trial;

pub use compensation::Compensation;
pub use condition::PressCondition;
pub use departure::{Departure, DepartureCurves};
pub use difference::delta_e_2000;
pub use duo::DuoInk;
pub use error::ColourError;
pub use ink_limit::InkLimit;
pub use lab::Lab;
pub use profile::{Profile, Space};
pub use reach::{Fate, Reach};
pub use readings::Readings;
pub use recipe::{Intent, Recipe};
pub use repurpose::Repurpose;
pub use screen_view::ScreenView;
pub use separation::Separation;
pub use soft_proof::{PaperView, SoftProof};
pub use trial::{Trial, TrialTable};
