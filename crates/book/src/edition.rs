//! What is wished and known of the edition: price, people, ways of selling, offers, plans.

use jiff::civil::Date;
use measure::{Decimal, Money};

/// Wishes for the edition. What is not said is usual, and said to be so.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct EditionWishes {
    /// What a buyer pays for one copy, with tax in it.
    pub price: Option<Money>,
    /// Tax within that price, as a share of the price without it.
    pub tax: Option<Decimal>,
    /// Share of the demand in each month from the day the books are in hand.
    pub season: Vec<Decimal>,
    /// Over how many months after these the rest comes evenly.
    pub tail: Option<u16>,
    /// Storage of a cubic metre for a month.
    pub storage: Option<Money>,
    /// What a copy is worth that is left at the end.
    pub leftover: Option<Money>,
    /// How far the luck of the audiences goes together, as a share.
    pub together: Option<Decimal>,
    /// The chance of more copies than this left after a year is told.
    pub too_many: Option<u64>,
    /// The chance of having sold all by this day is told.
    pub sold_out_by: Option<Date>,
    /// What copies cost, where no printer has answered.
    pub guess: Option<CostGuess>,
    /// People who know of the book.
    pub audiences: Vec<AudienceWish>,
    /// Ways of selling.
    pub channels: Vec<ChannelWish>,
    /// Publishers' offers.
    pub offers: Vec<OfferWish>,
    /// Plans that are kept to be held side by side.
    pub plans: Vec<PlanWish>,
}

/// What copies are guessed to cost.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CostGuess {
    /// However many there are.
    pub fixed: Money,
    /// For each copy.
    pub each: Money,
}

/// People who know of the book.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AudienceWish {
    /// What they are called: `letter to readers`.
    pub place: String,
    /// How many.
    pub people: u64,
    /// What share of them buys.
    pub buys: Buys,
    /// Who says so; may be empty.
    pub by: String,
    /// Line of the book file.
    pub line: u32,
}

/// What is known of the share that buys.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Buys {
    /// One in twenty cases is lower than the first; the second is likeliest; one in twenty is higher than
    /// the last. Shares.
    Between(Decimal, Decimal, Decimal),
    /// So many of so many people bought a past edition.
    Before {
        /// Copies sold.
        sold: u64,
        /// People.
        of: u64,
    },
}

/// A way of selling.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ChannelKind {
    /// The artist's own shop.
    OwnShop,
    /// A table at a convention.
    Convention,
    /// Shops that buy at a discount.
    Wholesale,
    /// A marketplace that takes a fee.
    Marketplace,
    /// A campaign whose backers pay before printing.
    Campaign,
}

impl ChannelKind {
    pub(crate) const WORDS: [(&'static str, Self); 5] = [
        ("own shop", Self::OwnShop),
        ("convention", Self::Convention),
        ("wholesale", Self::Wholesale),
        ("marketplace", Self::Marketplace),
        ("campaign", Self::Campaign),
    ];

    /// The word for it in the book file.
    pub const fn word(self) -> &'static str {
        match self {
            Self::OwnShop => "own shop",
            Self::Convention => "convention",
            Self::Wholesale => "wholesale",
            Self::Marketplace => "marketplace",
            Self::Campaign => "campaign",
        }
    }
}

/// A way of selling and its terms.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChannelWish {
    /// Its name.
    pub name: String,
    /// What it is.
    pub kind: ChannelKind,
    /// Its share of the demand; those without one share equally what the others leave.
    pub share: Option<Decimal>,
    /// Copies that are promised and paid before printing; of a campaign.
    pub pledged: u64,
    /// Discount on the price, as a share.
    pub discount: Option<Decimal>,
    /// Fee, as a share of what is paid.
    pub fee: Option<Decimal>,
    /// Fee for each copy.
    pub fee_each: Option<Money>,
    /// Postage and packing of a copy that the artist pays out.
    pub postage: Option<Money>,
    /// What the buyer pays for it.
    pub postage_paid: Option<Money>,
    /// Share of sold copies that come back and can be sold again.
    pub returns: Option<Decimal>,
    /// Days from the sale to the money.
    pub pays_after: Option<u16>,
    /// Line of the book file.
    pub line: u32,
}

/// What a royalty is reckoned on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum RoyaltyOn {
    /// The list price without tax.
    List,
    /// What the publisher gets: the list price without tax, less its discount.
    Net,
}

impl RoyaltyOn {
    pub(crate) const WORDS: [(&'static str, Self); 2] = [("list", Self::List), ("net", Self::Net)];
}

/// A publisher's offer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OfferWish {
    /// Who offers.
    pub name: String,
    /// What is paid at once.
    pub advance: Option<Money>,
    /// Share of each copy's price.
    pub royalty: Option<Decimal>,
    /// What the royalty is reckoned on; the list price, unless said.
    pub on: RoyaltyOn,
    /// Discount at which the publisher sells, for a royalty on what it gets.
    pub discount: Option<Decimal>,
    /// Share of the profit.
    pub profit_share: Option<Decimal>,
    /// How many times our demand the publisher reaches; once, unless said.
    pub reach: Option<Decimal>,
    /// Copies that it prints.
    pub copies: Option<u64>,
    /// Line of the book file.
    pub line: u32,
}

/// A plan that is kept to be held beside others.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlanWish {
    /// Its name.
    pub name: String,
    /// Copies.
    pub copies: u64,
    /// The price in it; that of the edition, unless said.
    pub price: Option<Money>,
    /// Key of the printer in it; the one of the book's dates or the cheapest, unless said.
    pub printer: Option<String>,
    /// The day on which files are sent in it; that of the book's dates, unless said.
    pub send: Option<Date>,
    /// Line of the book file.
    pub line: u32,
}
