//! What may be done about how many to print.

use clap::Subcommand;
use jiff::civil::Date;

use super::dates::day;

/// Plans, what is known of the edition, and copies that were sold.
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
    /// Name people who may buy, or say more of them, as one change that undo takes back.
    Audience {
        /// What they are called, such as "letter to readers".
        name: String,
        /// What is known, such as people=8000 low=0.5% likely=1.2% high=3%, or people=8000 sold=140 of=6000
        /// from a past edition.
        #[arg(value_name = "WHAT=VALUE", required = true)]
        said: Vec<String>,
    },
    /// Name a way of selling, or say more of it.
    Channel {
        /// What it is called, such as "own shop".
        name: String,
        /// Its terms, such as kind="own shop" share=60% discount=45% fee=3% postage="EUR 6.50"
        /// postage_paid="EUR 5" returns=2% pays_after=30; pledged=90 of a campaign.
        #[arg(value_name = "WHAT=VALUE", required = true)]
        said: Vec<String>,
    },
    /// Name a publisher's offer, or say more of it.
    Offer {
        /// Who offers.
        name: String,
        /// Its terms, such as profit_share=50% advance="EUR 1500" copies=1500 reach=1.6, or royalty=10%
        /// on=net discount=50%.
        #[arg(value_name = "WHAT=VALUE", required = true)]
        said: Vec<String>,
    },
    /// Take an audience, a channel or an offer out; undo brings it back.
    TakeOut {
        /// What it is.
        #[arg(value_parser = ["audience", "channel", "offer"])]
        kind: String,
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
