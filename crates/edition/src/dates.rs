//! By when the books can be here: steps with spreads, calendars with closures, many histories, and what
//! follows from them: dates, what drives them, the last day to send files, sums that fall due.

mod calendar;
mod days;
mod error;
mod foretold;
mod histories;
pub mod icalendar;
mod payment;
mod pert;
mod schedule;
mod spread;
pub mod usual;

pub use calendar::{Closure, WorkCalendar};
pub use days::Days;
pub use error::DatesError;
pub use foretold::{Facts, Foretold, Launch, Rests};
pub use histories::{Asked, Histories, LastDay, StepOver};
pub use payment::{At, Due, Payment};
pub use pert::{Pert, Reckoned};
pub use schedule::{Again, Happened, Schedule, Step};
pub use spread::Spread;
