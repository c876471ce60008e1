//! How many copies to print, and by when they can be there: demand, channels, stock, cash, and the
//! calendar from files to books in hand.
//!
//! Knows no file system, no clock and no screen; chance comes from a seed. Everything here is an
//! estimate for a decision; it is no financial advice.

mod normal;
mod random;

pub mod cash;
pub mod dates;
pub mod quantity;
