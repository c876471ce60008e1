//! How many to print: the demand as a spread, what every quantity brings and risks, and what sales teach.

mod channel;
mod conversion;
pub mod demand;
mod draws;
mod error;
mod ground;
mod of_book;
mod offer;
mod path;
mod season;
mod sheet;

pub use channel::{Channel, Terms};
pub use conversion::Conversion;
pub use demand::{Balanced, Demand};
pub use draws::{Draws, HISTORIES};
pub use error::QuantityError;
pub use ground::{Audience, Ground, RULE};
pub use of_book::Sales;
pub use offer::{Held, Offer, PROFIT_SHARE, Pays};
pub use path::{Cost, Paid, Path, When};
pub use season::{HORIZON, Season};
pub use sheet::{Around, Balance, Low, MONTHS, PACES, Row, Rule, Sheet, Spread, Stock};
