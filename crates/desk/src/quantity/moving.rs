//! One quantity after the other, while somebody moves it: only what moves with it is reckoned.

use book::PlanWish;
use edition::quantity::{Cost, Ground, Sheet};

use super::{FULL, MOVING, Picture, grid, wrong};
use crate::{Desk, DeskError};

/// What moves with the quantity.
#[derive(Debug, Clone)]
pub struct MovingView {
    /// What the choice stands on.
    pub ground: Ground,
    /// Quantities side by side, with the dates of the one that is looked at.
    pub sheet: Sheet,
    /// The quantity that is looked at.
    pub looked_at: Picture,
    /// Plans that are kept, as the book has them.
    pub plans: Vec<PlanWish>,
}

impl Desk {
    /// Looks at a quantity while it moves: the calendar runs through fewer histories.
    ///
    /// # Errors
    /// As [`Desk::quantity`].
    pub fn quantity_moving(&self, copies: u64) -> Result<MovingView, DeskError> {
        self.moving_view(copies, MOVING)
    }

    /// Looks at a quantity that has come to rest.
    ///
    /// # Errors
    /// As [`Desk::quantity`].
    pub fn quantity_at(&self, copies: u64) -> Result<MovingView, DeskError> {
        self.moving_view(copies, FULL)
    }

    fn moving_view(&self, copies: u64, histories: u32) -> Result<MovingView, DeskError> {
        let standing = self.standing()?;
        let look = self.look(&standing, &self.sales()?, histories)?;
        let looked_at = self.picture(&look, copies, None)?;
        // The same quantities as at rest, so that nothing jumps.
        let priced = self.priced_runs(&look, &grid(&look, look.book.ask.copies))?;
        let costs: Vec<Cost> = priced.iter().map(|priced| priced.cost).collect();
        let around = look.around(&looked_at.when);
        let sheet = Sheet::of(&look.ground, &look.draws, &costs, around).map_err(wrong)?;
        Ok(MovingView {
            plans: look.book.edition.plans.clone(),
            ground: look.ground,
            sheet,
            looked_at,
        })
    }
}
