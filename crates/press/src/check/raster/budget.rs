//! A limit to work.

use std::cell::Cell;

/// How much work is still allowed; a hostile page could ask for years of it.
#[derive(Debug)]
pub(in crate::check) struct Budget(Cell<u64>);

impl Budget {
    pub(in crate::check) fn new(units: u64) -> Self {
        Self(Cell::new(units))
    }

    /// Takes some; `false` when there is not that much left.
    pub(in crate::check) fn take(&self, units: u64) -> bool {
        match self.0.get().checked_sub(units) {
            Some(left) => {
                self.0.set(left);
                true
            }
            None => {
                self.0.set(0);
                false
            }
        }
    }

    pub(in crate::check) fn is_spent(&self) -> bool {
        self.0.get() == 0
    }

    pub(in crate::check) fn left(&self) -> u64 {
        self.0.get()
    }
}
