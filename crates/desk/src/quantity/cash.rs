//! The purse by the day, for as many copies as the book asks for.

use super::{FULL, Picture};
use crate::dates::copies;
use crate::{Desk, DeskError};

/// The quantity of the book with its dates and its purse.
#[derive(Debug, Clone)]
pub struct CashView {
    /// As it is now.
    pub now: Picture,
    /// The currency of all sums.
    pub currency: measure::Currency,
}

impl Desk {
    /// Reckons the purse for as many copies as the book asks for, with the calendar as it is.
    ///
    /// # Errors
    /// As [`Desk::quantity`].
    pub fn cash(&self) -> Result<CashView, DeskError> {
        let standing = self.standing()?;
        let look = self.look(&standing, &self.sales()?, FULL)?;
        Ok(CashView {
            now: self.picture(&look, copies(look.book), None)?,
            currency: look.ground.currency,
        })
    }
}
