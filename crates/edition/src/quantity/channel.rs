//! What a copy brings through each way of selling it.

use measure::{Decimal, Money};

use super::QuantityError;

/// A way of selling.
#[derive(Debug, Clone, PartialEq)]
pub struct Channel {
    /// Its name.
    pub name: String,
    /// Its share of the demand that is not pledged (0 to 1).
    pub share: f64,
    /// Copies that are promised and paid before printing.
    pub pledged: u64,
    /// What one sold copy brings, in main units: the price without tax, less discount, fees and postage, and
    /// less the postage of those that come back.
    pub brings: f64,
    /// Days from the sale to the money.
    pub pays_after: u16,
}

/// The terms of a way of selling, as they are said.
#[derive(Debug, Clone, PartialEq)]
pub struct Terms {
    /// Its name.
    pub name: String,
    /// What a buyer pays, with tax in it.
    pub price: Money,
    /// Tax within that price, as a share of the price without it: 0.07 for 7 %.
    pub tax: Decimal,
    /// Discount on the price (0 to 1).
    pub discount: Decimal,
    /// Fee, as a share (0 to 1) of what is paid after the discount, tax in it.
    pub fee: Decimal,
    /// Fee for each copy.
    pub fee_each: Option<Money>,
    /// Postage and packing that is paid out for a copy.
    pub postage: Option<Money>,
    /// What the buyer pays for postage.
    pub postage_paid: Option<Money>,
    /// Share of sold copies that come back and can be sold again (0 to 1).
    pub returns: Decimal,
}

impl Terms {
    /// What one sold copy brings, in main units of the price's currency. Nobody is charged for what comes
    /// back, but it was posted for nothing: each copy that stays sold bears its part of that.
    ///
    /// # Errors
    /// Another currency; nothing is left.
    pub fn brings(&self) -> Result<f64, QuantityError> {
        let wanted = self.price.currency();
        let part = |what: &str, sum: Option<Money>| match sum {
            None => Ok(0.0),
            Some(sum) if sum.currency() == wanted => Ok(sum.decimal().approximate()),
            Some(sum) => Err(QuantityError::Currency {
                what: format!("{what} of {}", self.name),
                found: sum.currency(),
                wanted,
            }),
        };
        let fee_each = part("the fee", self.fee_each)?;
        let postage = part("the postage", self.postage)?;
        let postage_paid = part("the postage that the buyer pays", self.postage_paid)?;
        let paid = self.price.decimal().approximate() * (1.0 - self.discount.approximate());
        let without_tax = (paid + postage_paid) / (1.0 + self.tax.approximate().max(0.0));
        let returns = self.returns.approximate().clamp(0.0, 0.9);
        let back = returns / (1.0 - returns);
        let brings =
            without_tax - paid * self.fee.approximate() - fee_each - postage * (1.0 + back);
        if brings > 0.0 {
            return Ok(brings);
        }
        let shown = Decimal::nearest(brings).and_then(|sum| Money::from_decimal(sum, wanted));
        Err(QuantityError::BringsNothing {
            name: self.name.clone(),
            brings: shown.unwrap_or(Money::zero(wanted)),
        })
    }
}
