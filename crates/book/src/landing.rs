//! What turns a printer's price into the cost of a copy in the artist's hands: the currency that is
//! reckoned in, rates of exchange, insurance, spoilage, bank fees, duty, tax and freight, all as the
//! artist says them.

use jiff::civil::Date;
use measure::{Currency, Decimal, Money, UnitPrice};

use crate::asking::Term;
use crate::term::TermWish;

/// The footing on which prices are compared.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Landing {
    /// The currency in which everything is reckoned; the euro unless said.
    pub currency: Currency,
    /// Insurance, as a share of goods and freight (0.004 for 0.4 %), where it is said.
    pub insurance: Option<Decimal>,
    /// The share of the copies that are not fit to be sold, where it is said; under one.
    pub spoilage: Option<Decimal>,
    /// What the bank takes for one payment abroad, where it is said.
    pub bank_fee: Option<Money>,
    /// What a sum that is tied up for a year costs, as a share of it, where it is said.
    pub interest: Option<Decimal>,
    /// Rates of exchange; one for two currencies, whichever comes first.
    pub rates: Vec<Rate>,
    /// Duty and tax; one entry for a printer.
    pub imports: Vec<Import>,
    /// Own estimates of freight; one for a printer and a term.
    pub freights: Vec<Freight>,
    /// What the contract says of delivery terms; one entry for a term.
    pub terms: Vec<TermWish>,
}

impl Landing {
    /// Insurance where nothing is said: 0.5 % (common practice, no source).
    pub fn usual_insurance() -> Decimal {
        thousandths(5)
    }

    /// Spoilage where nothing is said: 1 % (common practice, no source).
    pub fn usual_spoilage() -> Decimal {
        thousandths(10)
    }

    /// The rate between two currencies, in whichever direction it is said.
    pub fn rate_between(&self, one: Currency, other: Currency) -> Option<&Rate> {
        self.rates.iter().find(|rate| {
            (rate.from, rate.to) == (one, other) || (rate.to, rate.from) == (one, other)
        })
    }

    /// Duty and tax on what a printer sends.
    pub fn import_from(&self, printer: &str) -> Option<&Import> {
        self.imports.iter().find(|import| import.printer == printer)
    }

    /// What the contract says of a term.
    pub fn term(&self, term: Term) -> Option<&TermWish> {
        self.terms.iter().find(|wish| wish.term == term)
    }

    /// The own estimate of a printer's freight from the hand-over of a term.
    pub fn freight_from(&self, printer: &str, term: Term) -> Option<&Freight> {
        self.freights
            .iter()
            .find(|freight| freight.printer == printer && freight.term == term)
    }
}

impl Default for Landing {
    /// What holds where the book file says nothing.
    fn default() -> Self {
        Self {
            currency: Currency::EUR,
            insurance: None,
            spoilage: None,
            bank_fee: None,
            interest: None,
            rates: Vec::new(),
            imports: Vec::new(),
            freights: Vec::new(),
            terms: Vec::new(),
        }
    }
}

fn thousandths(count: i64) -> Decimal {
    Decimal::from_whole(count)
        .over(Decimal::from_whole(1000))
        .expect("a small number divided by a thousand is a small number")
}

/// A rate of exchange, with its day and who gave it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rate {
    /// The currency of which one is exchanged.
    pub from: Currency,
    /// The currency that it is exchanged into; never `from`.
    pub to: Currency,
    /// How much of `to` one of `from` gives; above zero.
    pub rate: Decimal,
    /// The day of the rate.
    pub on: Date,
    /// Who gave it, such as `central bank's list`.
    pub by: String,
    /// Line of the book file, 1-based, for messages.
    pub line: u32,
}

/// What duty is taken on; which of them holds is the law of the country that the books come to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum DutyOn {
    /// Goods with freight and insurance; where nothing is said.
    #[default]
    GoodsAndWay,
    /// Goods alone, as they are put on board.
    Goods,
}

impl DutyOn {
    pub(crate) const WORDS: [(&'static str, Self); 2] =
        [("goods and way", Self::GoodsAndWay), ("goods", Self::Goods)];
}

/// What the customs take on what one printer sends: books differ by country, and the artist asks a
/// customs broker.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Import {
    /// The printer's key.
    pub printer: String,
    /// Duty as a share of that which it is taken on, where it is said.
    pub duty: Option<Decimal>,
    /// What duty is taken on.
    pub duty_on: DutyOn,
    /// Tax as a share of goods, freight, insurance and duty, where it is said.
    pub tax: Option<Decimal>,
    /// What the customs broker takes for one consignment, where it is said.
    pub broker: Option<Money>,
    /// Who gave these figures; may be empty.
    pub by: String,
    /// Line of the book file, 1-based, for messages.
    pub line: u32,
}

/// An own estimate of freight, from where the printer hands over by the term to the delivery places.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Freight {
    /// The printer's key.
    pub printer: String,
    /// The delivery term whose hand-over it begins at.
    pub term: Term,
    /// What it costs whatever the number of copies; nothing unless said.
    pub fixed: Money,
    /// What it costs for each copy, in the same currency; nothing unless said.
    pub each: UnitPrice,
    /// The day of the estimate.
    pub on: Date,
    /// Who gave it; may be empty.
    pub by: String,
    /// Line of the book file, 1-based, for messages.
    pub line: u32,
}
