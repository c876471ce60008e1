//! What may be done about how many to print.

use clap::Subcommand;
use jiff::civil::Date;

use super::dates::day;

/// A plan, or copies that were sold.
#[derive(Debug, Subcommand)]
pub enum QuantityStep {
    /// Keep a plan to hold it beside others; undo takes it back.
    Keep {
        /// Its name.
        name: String,
        /// Copies.
        #[arg(long, value_parser = clap::value_parser!(u64).range(1..=1_000_000))]
        copies: u64,
    },
    /// Drop a plan; undo brings it back.
    Drop {
        /// Its name.
        name: String,
    },
    /// Say how many copies were sold to an audience, so that the next edition starts wiser.
    Sold {
        /// The audience, as `foredge quantity` lists it.
        audience: String,
        /// Copies.
        #[arg(value_parser = clap::value_parser!(u64).range(0..=10_000_000))]
        copies: u64,
        /// By which day; today unless said.
        #[arg(long, value_name = "DAY", value_parser = day)]
        on: Option<Date>,
        /// No copy was left by then: more would have been bought.
        #[arg(long)]
        sold_out: bool,
        /// A remark to keep with it.
        #[arg(long, default_value = "")]
        note: String,
    },
    /// Take back what was said to be sold; it stays in the record.
    Unsold {
        /// Number of the sale, as `foredge quantity` lists it.
        sale: u32,
    },
}
