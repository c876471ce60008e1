//! Asking printers for prices, and putting their answers on one footing: the specification that is
//! asked for, the letter and the sheet, the answers, the cost of one good copy in the artist's hands,
//! the curve of cost by quantity, and the invoice.
//!
//! Knows no file system, no clock and no screen. Everything here is an estimate for a decision; it is
//! no tax, customs or legal advice.

mod error;

pub mod answer;
pub mod compare;
pub mod curve;
pub mod incoterms;
pub mod invoice;
pub mod landed;
pub mod number;
pub mod request;
pub mod sheet;
pub mod specification;

pub use error::PriceError;
