use jiff::civil::Date;
use measure::{Currency, Money};
use thiserror::Error;

/// Quantities that cannot be reckoned.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum QuantityError {
    /// A distribution that cannot be.
    #[error(
        "this demand cannot be: spreads are above zero, ends in order, and all of it within ten million copies"
    )]
    Demand,
    /// Costs that cannot be balanced.
    #[error("a copy too few and a copy too many must cost nothing or more, and not both nothing")]
    Costs,
    /// Nobody to buy.
    #[error(
        "nobody is said to know of the book; it would take one `[[audience]]` with `people`, and what share of them buys"
    )]
    NoAudience,
    /// An audience of nobody.
    #[error("the audience `{place}` has no people; say how many they are, or take it out")]
    Empty {
        /// Its name.
        place: String,
    },
    /// A share of buyers that cannot be.
    #[error(
        "the audience `{place}`: of {found} no share of buyers can be made; give low, likely and high in this order, above 0 % and under 100 %"
    )]
    Conversion {
        /// Its name.
        place: String,
        /// What was given.
        found: String,
    },
    /// More buyers than people.
    #[error("the audience `{place}`: {sold} of {of} people cannot have bought")]
    Sold {
        /// Its name.
        place: String,
        /// Copies sold.
        sold: u64,
        /// People.
        of: u64,
    },
    /// No price.
    #[error("nothing says what a buyer pays; say `price` in `[edition]`, with its currency")]
    NoPrice,
    /// Nobody sells.
    #[error("nothing says how the book is sold; it would take one `[[channel]]` with its `kind`")]
    NoChannel,
    /// More than the whole.
    #[error("the shares of the channels make {found} %; together they are at most 100 %")]
    Shares {
        /// What they make.
        found: f64,
    },
    /// The months of the season hold more than the whole demand.
    #[error("the months of `season` make {found} %; together they are at most 100 %")]
    Season {
        /// What they make.
        found: f64,
    },
    /// Two currencies.
    #[error("{what} is in {found}, the price in {wanted}; say it in {wanted}")]
    Currency {
        /// What.
        what: String,
        /// Its currency.
        found: Currency,
        /// The price's.
        wanted: Currency,
    },
    /// Nothing to choose among.
    #[error("no quantity is priced; ask printers, or say what copies cost in `[edition]`")]
    NoCost,
    /// A day before the books are there.
    #[error("`sold_out_by` is {day}, before the books are in hand ({in_hand})")]
    SoldOutBefore {
        /// The day.
        day: Date,
        /// When the books are in hand.
        in_hand: Date,
    },
    /// What a channel takes away is more than it brings.
    #[error(
        "{name}: a copy brings {brings} after discount, fees and postage; ask more for it, or leave it out"
    )]
    BringsNothing {
        /// The channel.
        name: String,
        /// What a copy brings.
        brings: Money,
    },
}
