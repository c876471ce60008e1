//! The bar code of a book: its number, the bars that say it, and where they stand.
//!
//! Sizes and sets are those of the EAN/UPC symbology (GS1 General Specifications; widths, heights
//! and quiet zones as read in the size guides of gs1.se and gs1ie.org, code sets and parities as in
//! the tables beside the tests). What was not read there is marked 'memory'.

mod isbn;
mod layout;
mod modules;

pub use isbn::{Isbn, IsbnError};
pub use layout::{BarCode, BarCodeError, BarCodeLayout, Digit};
pub use modules::{PriceAddOn, ean5, ean13};
