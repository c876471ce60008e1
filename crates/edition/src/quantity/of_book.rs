//! The ground of a book: what its file says, and what is taken for usual where it does not.

use book::{AudienceWish, Book, Buys, ChannelKind, ChannelWish, OfferWish, RoyaltyOn};
use measure::{Currency, Decimal, Money};

use super::QuantityError;
use super::channel::{Channel, Terms};
use super::conversion::Conversion;
use super::ground::{Audience, Ground};
use super::offer::{Offer, Pays};
use super::season::Season;

/// How far the luck of the audiences goes together, unless said; our assumption.
const TOGETHER: f64 = 0.3;
/// Months in which the rest is sold, unless said; our assumption.
const TAIL: usize = 18;
/// More than this share of the expected demand left after a year is too many, unless said; our assumption.
const TOO_MANY: f64 = 0.25;

/// Copies that were sold to an audience by now.
#[derive(Debug, Clone, PartialEq)]
pub struct Sales {
    /// What the audience is called.
    pub audience: String,
    /// Copies.
    pub copies: u64,
    /// Share (0 to 1) of the season that has passed by then.
    pub elapsed: f64,
    /// Whether all copies were gone by then.
    pub sold_out: bool,
}

impl Ground {
    /// What a book's file and its sales say. `price` stands in for the one in the file, for a plan.
    ///
    /// # Errors
    /// What is missing or cannot be; see [`QuantityError`].
    pub fn of(book: &Book, price: Option<Money>, sales: &[Sales]) -> Result<Self, QuantityError> {
        let wishes = &book.edition;
        let price = price.or(wishes.price).ok_or(QuantityError::NoPrice)?;
        let currency = price.currency();
        let mut assumed = Vec::new();
        let audiences = wishes
            .audiences
            .iter()
            .map(|wish| audience(wish, sales))
            .collect::<Result<Vec<_>, _>>()?;
        let shares = shares(&wishes.channels)?;
        let mut channels = Vec::with_capacity(shares.len());
        for (wish, share) in wishes.channels.iter().zip(shares) {
            channels.push(channel(wish, share, price, wishes.tax)?);
        }
        if wishes.tax.is_none() {
            assumed.push("no tax within the price".to_owned());
        }
        let season = Season::of_book(book)?;
        if season.is_none() {
            assumed.push(
                "34 % of the demand in the first month, 16 % in the second, 8 % in the third, the rest over \
                 18 months"
                    .to_owned(),
            );
        }
        let together = wishes.together.map_or_else(
            || {
                assumed.push("the audiences' luck goes together to 30 %".to_owned());
                TOGETHER
            },
            Decimal::approximate,
        );
        let mut sum = |what: &str, sum: Option<Money>, without: &str| match sum {
            None => {
                assumed.push(without.to_owned());
                Ok(0.0)
            }
            Some(sum) if sum.currency() == currency => Ok(sum.decimal().approximate()),
            Some(sum) => Err(QuantityError::Currency {
                what: what.to_owned(),
                found: sum.currency(),
                wanted: currency,
            }),
        };
        let storage = sum("the storage", wishes.storage, "storage costs nothing")?;
        let leftover = sum(
            "a copy left over",
            wishes.leftover,
            "a copy left at the end is worth nothing",
        )?;
        let mut ground = Self {
            currency,
            audiences,
            channels,
            season: season.unwrap_or_default(),
            together,
            storage,
            leftover,
            too_many: 0,
            assumed,
        };
        ground.too_many = wishes.too_many.unwrap_or_else(|| {
            let many = (ground.wanted() * TOO_MANY).round() as u64;
            ground
                .assumed
                .push(format!("more than {many} left after a year are too many"));
            many
        });
        ground.checked()
    }
}

impl Season {
    /// The season that a book's file says; `None` where it says nothing of it.
    ///
    /// # Errors
    /// As [`Season::of`].
    pub fn of_book(book: &Book) -> Result<Option<Self>, QuantityError> {
        let wishes = &book.edition;
        if wishes.season.is_empty() && wishes.tail.is_none() {
            return Ok(None);
        }
        let months: Vec<f64> = wishes
            .season
            .iter()
            .map(|share| share.approximate())
            .collect();
        Self::of(&months, wishes.tail.map_or(TAIL, usize::from)).map(Some)
    }
}

fn audience(wish: &AudienceWish, sales: &[Sales]) -> Result<Audience, QuantityError> {
    let prior = match wish.buys {
        Buys::Between(low, likely, high) => Conversion::of_points(
            &wish.place,
            low.approximate(),
            likely.approximate(),
            high.approximate(),
        )?,
        Buys::Before { sold, of } => Conversion::of_sales(&wish.place, sold, of)?,
    };
    let sales = sales.iter().find(|sales| sales.audience == wish.place);
    let now = sales.map_or(prior, |sales| {
        prior.learned(wish.people, sales.copies, sales.elapsed, sales.sold_out)
    });
    Ok(Audience {
        place: wish.place.clone(),
        people: wish.people,
        prior,
        now,
        sold: sales.map_or(0, |sales| sales.copies),
        by: wish.by.clone(),
    })
}

/// Shares of the channels: what is said, and equal parts of the rest for those of which nothing is said.
/// A campaign without a share has its pledges alone, if there is another way.
fn shares(channels: &[ChannelWish]) -> Result<Vec<f64>, QuantityError> {
    let said: f64 = channels
        .iter()
        .filter_map(|channel| channel.share)
        .map(Decimal::approximate)
        .sum();
    if said > 1.0 + 1e-9 {
        return Err(QuantityError::Shares {
            found: (said * 1e4).round() / 100.0,
        });
    }
    let pledges_alone = |channel: &ChannelWish| {
        channel.kind == ChannelKind::Campaign && channel.share.is_none() && channels.len() > 1
    };
    let open = channels
        .iter()
        .filter(|channel| channel.share.is_none() && !pledges_alone(channel))
        .count();
    let part = if open > 0 {
        (1.0 - said).max(0.0) / open as f64
    } else {
        0.0
    };
    Ok(channels
        .iter()
        .map(|channel| match channel.share {
            Some(share) => share.approximate(),
            None if pledges_alone(channel) => 0.0,
            None => part,
        })
        .collect())
}

fn channel(
    wish: &ChannelWish,
    share: f64,
    price: Money,
    tax: Option<Decimal>,
) -> Result<Channel, QuantityError> {
    let nothing = Decimal::ZERO;
    let terms = Terms {
        name: wish.name.clone(),
        price,
        tax: tax.unwrap_or(nothing),
        discount: wish.discount.unwrap_or(nothing),
        fee: wish.fee.unwrap_or(nothing),
        fee_each: wish.fee_each,
        postage: wish.postage,
        postage_paid: wish.postage_paid,
        returns: wish.returns.unwrap_or(nothing),
    };
    Ok(Channel {
        name: wish.name.clone(),
        share,
        pledged: wish.pledged,
        brings: terms.brings()?,
        pays_after: wish.pays_after.unwrap_or(0),
    })
}

impl Offer {
    /// A publisher's offer as the book file has it.
    ///
    /// # Errors
    /// Another currency than the price's; no price.
    pub fn of(wish: &OfferWish, book: &Book, currency: Currency) -> Result<Self, QuantityError> {
        let price = book.edition.price.ok_or(QuantityError::NoPrice)?;
        let advance = match wish.advance {
            Some(sum) if sum.currency() != currency => {
                return Err(QuantityError::Currency {
                    what: format!("the advance of {}", wish.name),
                    found: sum.currency(),
                    wanted: currency,
                });
            }
            advance => advance.map_or(0.0, |sum| sum.decimal().approximate()),
        };
        let tax = book.edition.tax.map_or(0.0, Decimal::approximate);
        let list = price.decimal().approximate() / (1.0 + tax);
        let discount = wish.discount.map_or(0.0, Decimal::approximate);
        let on = match wish.on {
            RoyaltyOn::List => list,
            RoyaltyOn::Net => list * (1.0 - discount),
        };
        let pays = match (wish.royalty, wish.profit_share) {
            (Some(share), _) => Pays::Royalty {
                share: share.approximate(),
                on,
            },
            (None, share) => Pays::Profit {
                share: share.map_or(0.0, Decimal::approximate),
            },
        };
        Ok(Self {
            name: wish.name.clone(),
            advance,
            pays,
            reach: wish.reach.map_or(1.0, Decimal::approximate),
            copies: wish.copies,
        })
    }
}
