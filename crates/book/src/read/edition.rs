//! The edition: price, people, ways of selling, offers, plans.

use std::collections::HashMap;

use jiff::civil::Date;
use measure::{Currency, Decimal, Money};
use toml_edit::TableLike;

use super::asking::{remark, said_twice};
use super::cursor::{Cursor, Lined, Place};
use super::dates::printer;
use super::{cut, value};
use crate::asking::Printer;
use crate::edition::{
    AudienceWish, Buys, ChannelKind, ChannelWish, CostGuess, EditionWishes, OfferWish, PlanWish,
    RoyaltyOn,
};
use crate::error::Problem;
use crate::key;
use crate::range::{self, Range};

/// `[edition]` and the sections that belong to it. `printers` is `None` where they were not all read.
pub(super) fn edition(
    cursor: &mut Cursor<'_>,
    top: &dyn TableLike,
    printers: Option<&[Printer]>,
) -> EditionWishes {
    let place = cursor.section(top, key::EDITION);
    let mut sums = Sums { currency: None };
    let price = sums.take(cursor, place, "price");
    let tax = cursor.share(place, "tax", range::TAX);
    let season = season(cursor, place);
    let tail = small(cursor, place, "tail", range::TAIL);
    let storage = sums.take(cursor, place, "storage");
    let leftover = sums.take(cursor, place, "leftover");
    let together = cursor.share(place, "together", range::CHANCE);
    let too_many = count(cursor, place, "too_many", range::COPIES);
    let sold_out_by = cursor.day(place, "sold_out_by").map(|day| day.value);
    let fixed = sums.take(cursor, place, "guess_fixed");
    let each = sums.take(cursor, place, "guess_each");
    let guess = match (fixed, each) {
        (None, None) => None,
        (fixed, each) => {
            let currency = fixed.or(each).map_or(Currency::EUR, Money::currency);
            let or_nothing = |sum: Option<Money>| sum.unwrap_or(Money::zero(currency));
            Some(CostGuess {
                fixed: or_nothing(fixed),
                each: or_nothing(each),
            })
        }
    };
    EditionWishes {
        price,
        tax,
        season,
        tail,
        storage,
        leftover,
        together,
        too_many,
        sold_out_by,
        guess,
        audiences: audiences(cursor, top),
        channels: channels(cursor, top, &mut sums),
        offers: offers(cursor, top, &mut sums),
        plans: plans(cursor, top, &mut sums, printers),
    }
}

/// Sums of the edition, all in one currency: that of the first.
struct Sums {
    currency: Option<Currency>,
}

impl Sums {
    fn take(&mut self, cursor: &mut Cursor<'_>, place: Place<'_>, key: &str) -> Option<Money> {
        let Lined { value, line } = cursor.ranged::<Money>(place, key, range::EDITION_SUM)?;
        let first = *self.currency.get_or_insert(value.currency());
        if first == value.currency() {
            return Some(value);
        }
        cursor.wrong(
            line,
            Problem::OtherCurrency {
                key: key.to_owned(),
                found: value.currency(),
                first,
            },
        );
        None
    }
}

fn season(cursor: &mut Cursor<'_>, place: Place<'_>) -> Vec<Decimal> {
    let mut season = Vec::new();
    let found = cursor
        .texts(place, "season", range::SEASON)
        .unwrap_or_default();
    let first = found.first().map(|found| found.line);
    for Lined { value, line } in found {
        match value::share(value) {
            Some(share) if range::CHANCE.holds(&range::Percentage(share)) => season.push(share),
            _ => cursor.unreadable(
                place,
                "season",
                line,
                "a share in percent such as `35%`",
                value,
            ),
        }
    }
    let sum: i128 = season.iter().map(|share| share.billionths()).sum();
    if let Some(line) = first
        && sum > Decimal::ONE.billionths()
    {
        let sum = Decimal::from_billionths(sum * 100)
            .unwrap_or_default()
            .to_string();
        cursor.wrong(
            line,
            Problem::OverTheWhole {
                what: "the months of `season`",
                sum,
            },
        );
        return Vec::new();
    }
    season
}

fn audiences(cursor: &mut Cursor<'_>, top: &dyn TableLike) -> Vec<AudienceWish> {
    entries(
        cursor,
        top,
        key::AUDIENCE,
        range::AUDIENCES,
        "each audience under its own `[[audience]]`",
        ("place", "the audience"),
        |cursor, place, name| {
            let needed = cursor.needed(place, "people");
            let people = needed
                .then(|| count(cursor, place, "people", range::PEOPLE))
                .flatten();
            let buys = buys(cursor, place);
            let by = remark(cursor, place, "by");
            Some(AudienceWish {
                place: name,
                people: people?,
                buys: buys?,
                by,
                line: place.line,
            })
        },
    )
}

/// Three shares, or a past edition.
fn buys(cursor: &mut Cursor<'_>, place: Place<'_>) -> Option<Buys> {
    let said = |key: &str| place.table.is_some_and(|table| table.contains_key(key));
    if said("sold") || said("of") {
        let counts = ["sold", "of"].map(|key| {
            let needed = cursor.needed(place, key);
            let range = if key == "of" {
                range::PEOPLE
            } else {
                range::SOLD
            };
            needed.then(|| count(cursor, place, key, range)).flatten()
        });
        let [sold, of] = [counts[0]?, counts[1]?];
        if sold > of {
            let line = cursor
                .whole(place, "sold")
                .map_or(place.line, |found| found.line);
            let expected = "no more copies than there were people";
            cursor.unreadable(place, "sold", line, expected, &format!("{sold} of {of}"));
            return None;
        }
        return Some(Buys::Before { sold, of });
    }
    let shares = ["low", "likely", "high"].map(|key| {
        let needed = cursor.needed(place, key);
        needed
            .then(|| cursor.share(place, key, range::CONVERSION))
            .flatten()
    });
    let [low, likely, high] = [shares[0]?, shares[1]?, shares[2]?];
    if low <= likely && likely <= high && low < high {
        return Some(Buys::Between(low, likely, high));
    }
    let line = cursor
        .text(place, "likely")
        .map_or(place.line, |found| found.line);
    let found = [low, likely, high].map(|share| {
        let percent = share.times(Decimal::from_whole(100)).unwrap_or_default();
        format!("{percent}%")
    });
    let expected = "low, likely and high in this order, and low under high";
    cursor.unreadable(place, "likely", line, expected, &found.join(", "));
    None
}

fn channels(cursor: &mut Cursor<'_>, top: &dyn TableLike, sums: &mut Sums) -> Vec<ChannelWish> {
    let channels = entries(
        cursor,
        top,
        key::CHANNEL,
        range::CHANNELS,
        "each way of selling under its own `[[channel]]`",
        ("name", "the channel"),
        |cursor, place, name| {
            let needed = cursor.needed(place, "kind");
            let kind = needed
                .then(|| cursor.word(place, "kind", &ChannelKind::WORDS))
                .flatten();
            let share = cursor.share(place, "share", range::CHANCE);
            let pledged = count(cursor, place, "pledged", range::SOLD);
            let discount = cursor.share(place, "discount", range::DISCOUNT);
            let fee = cursor.share(place, "fee", range::DISCOUNT);
            let fee_each = sums.take(cursor, place, "fee_each");
            let postage = sums.take(cursor, place, "postage");
            let postage_paid = sums.take(cursor, place, "postage_paid");
            let returns = cursor.share(place, "returns", range::RETURNS);
            let pays_after = small(cursor, place, "pays_after", range::PAYMENT_DAYS);
            Some(ChannelWish {
                name,
                kind: kind?.value,
                share,
                pledged: pledged.unwrap_or(0),
                discount,
                fee,
                fee_each,
                postage,
                postage_paid,
                returns,
                pays_after,
                line: place.line,
            })
        },
    );
    let sum: i128 = channels
        .iter()
        .filter_map(|channel| channel.share)
        .map(Decimal::billionths)
        .sum();
    if let Some(first) = channels.first()
        && sum > Decimal::ONE.billionths()
    {
        let sum = Decimal::from_billionths(sum * 100)
            .unwrap_or_default()
            .to_string();
        cursor.wrong(
            first.line,
            Problem::OverTheWhole {
                what: "the shares of the channels",
                sum,
            },
        );
    }
    channels
}

fn offers(cursor: &mut Cursor<'_>, top: &dyn TableLike, sums: &mut Sums) -> Vec<OfferWish> {
    entries(
        cursor,
        top,
        key::OFFER,
        range::OFFERS,
        "each offer under its own `[[offer]]`",
        ("name", "the offer of"),
        |cursor, place, name| {
            let advance = sums.take(cursor, place, "advance");
            let royalty = cursor.share(place, "royalty", range::DISCOUNT);
            let on = cursor.word(place, "on", &RoyaltyOn::WORDS);
            let discount = cursor.share(place, "discount", range::DISCOUNT);
            let profit_share = cursor.share(place, "profit_share", range::CHANCE);
            let reach = cursor.ranged::<Decimal>(place, "reach", range::REACH);
            let copies = count(cursor, place, "copies", range::COPIES);
            if royalty.is_some() == profit_share.is_some() {
                cursor.wrong(place.line, Problem::OfferPays);
                return None;
            }
            Some(OfferWish {
                name,
                advance,
                royalty,
                on: on.map_or(RoyaltyOn::List, |on| on.value),
                discount,
                profit_share,
                reach: reach.map(|reach| reach.value),
                copies,
                line: place.line,
            })
        },
    )
}

fn plans(
    cursor: &mut Cursor<'_>,
    top: &dyn TableLike,
    sums: &mut Sums,
    printers: Option<&[Printer]>,
) -> Vec<PlanWish> {
    entries(
        cursor,
        top,
        key::PLAN,
        range::PLANS,
        "each plan under its own `[[plan]]`",
        ("name", "the plan"),
        |cursor, place, name| {
            let needed = cursor.needed(place, "copies");
            let copies = needed
                .then(|| count(cursor, place, "copies", range::COPIES))
                .flatten();
            let price = sums.take(cursor, place, "price");
            let printer = printer(cursor, place, printers);
            let send: Option<Date> = cursor.day(place, "send").map(|day| day.value);
            Some(PlanWish {
                name,
                copies: copies?,
                price,
                printer,
                send,
                line: place.line,
            })
        },
    )
}

/// Sections that stand once for each thing with a name; a name that comes again is complained of.
fn entries<T>(
    cursor: &mut Cursor<'_>,
    top: &dyn TableLike,
    section: key::Section,
    most: Range,
    how: &'static str,
    (named_by, what): (&str, &str),
    mut read: impl FnMut(&mut Cursor<'_>, Place<'_>, String) -> Option<T>,
) -> Vec<T> {
    let places = cursor.known_entries(top, section, most, how);
    let mut lines: HashMap<String, u32> = HashMap::new();
    let mut all = Vec::with_capacity(places.len());
    for place in places {
        let needed = cursor.needed(place, named_by);
        let name = if needed {
            remark(cursor, place, named_by)
        } else {
            String::new()
        };
        let found = read(cursor, place, name.clone());
        if name.is_empty() {
            continue;
        }
        if let Some(first) = lines.insert(name.clone(), place.line) {
            said_twice(cursor, place, format!("{what} `{}`", cut(&name)), first);
            continue;
        }
        all.extend(found);
    }
    all
}

fn count(cursor: &mut Cursor<'_>, place: Place<'_>, key: &str, range: Range) -> Option<u64> {
    let found = cursor.whole(place, key)?;
    if range.holds(&found.value) {
        return u64::try_from(found.value).ok();
    }
    cursor.out_of_range(found.line, range, &found.value.to_string());
    None
}

fn small(cursor: &mut Cursor<'_>, place: Place<'_>, key: &str, range: Range) -> Option<u16> {
    u16::try_from(count(cursor, place, key, range)?).ok()
}
