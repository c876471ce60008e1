//! What people measure with a ruler and a kitchen scale, and what follows from it: a book on the
//! shelf, a blank dummy, and a printer's template.
//!
//! # How errors are carried on
//! What a tool may be off is taken as a bound on both sides within which all values are equally
//! likely, so that its standard uncertainty is the bound ÷ √3 (the *Guide to the expression of
//! uncertainty in measurement*, JCGM 100:2008, 4.3.7; from memory). Uncertainties add as squares,
//! each times the sensitivity of the result, taken as half of the difference that one standard
//! uncertainty up and down makes (5.1.3 there). *Likely* is twice the sum's root, which holds about
//! 95 of 100 times. *Lowest* and *highest* are what comes out when everything is off as far as it
//! can be, in the worst direction at once.

pub mod dummy;
mod error;
pub mod shelf;
mod source;
mod stocks;
pub mod template;
mod unsure;

pub use error::MeasuredError;
pub use stocks::NearStock;
pub use unsure::{Tools, Unsure};
