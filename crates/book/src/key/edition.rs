//! The edition: price, people, ways of selling, offers, plans.

use super::Kind::{Text, TextList, Whole};
use super::{Section, key};

pub(crate) const EDITION: Section = Section {
    name: "edition",
    keys: &[
        key(
            "price",
            Text,
            "\"EUR 48.00\"",
            "the price that a buyer pays",
        ),
        key("tax", Text, "\"7%\"", "the tax within the price"),
        key(
            "season",
            TextList,
            "[\"35%\", \"15%\", \"8%\"]",
            "the shares of the demand in the first months",
        ),
        key("tail", Whole, "18", "the months in which the rest is sold"),
        key(
            "storage",
            Text,
            "\"EUR 18.00\"",
            "the storage of a cubic metre for a month",
        ),
        key(
            "leftover",
            Text,
            "\"EUR 5.00\"",
            "what a copy is worth that is left",
        ),
        key(
            "together",
            Text,
            "\"30%\"",
            "how far the luck of the audiences goes together",
        ),
        key(
            "too_many",
            Whole,
            "200",
            "how many left after a year are too many",
        ),
        key(
            "sold_out_by",
            Text,
            "\"2027-12-01\"",
            "the day by which all should be sold",
        ),
        key(
            "guess_fixed",
            Text,
            "\"EUR 4000\"",
            "what the copies are guessed to cost, however many they are",
        ),
        key(
            "guess_each",
            Text,
            "\"EUR 9.00\"",
            "what each copy is guessed to cost",
        ),
    ],
};

/// People who know of the book; stands once for each audience.
pub(crate) const AUDIENCE: Section = Section {
    name: "audience",
    keys: &[
        key("place", Text, "\"letter to readers\"", "the place"),
        key("people", Whole, "8000", "how many people they are"),
        key("low", Text, "\"0.5%\"", "the share that buys at least"),
        key(
            "likely",
            Text,
            "\"1.2%\"",
            "the share that is likeliest to buy",
        ),
        key("high", Text, "\"3%\"", "the share that buys at most"),
        key(
            "sold",
            Whole,
            "140",
            "the copies of a past edition that were sold",
        ),
        key(
            "of",
            Whole,
            "6000",
            "the people whom the past edition was shown to",
        ),
        key("by", Text, "\"the last edition\"", "who says so"),
    ],
};

/// A way of selling; stands once for each of them.
pub(crate) const CHANNEL: Section = Section {
    name: "channel",
    keys: &[
        key("name", Text, "\"own shop\"", "the name"),
        key("kind", Text, "\"own shop\"", "the kind"),
        key("share", Text, "\"60%\"", "the share of the demand"),
        key(
            "pledged",
            Whole,
            "120",
            "the copies that are promised and paid",
        ),
        key("discount", Text, "\"45%\"", "the discount on the price"),
        key("fee", Text, "\"8%\"", "the fee"),
        key("fee_each", Text, "\"EUR 0.30\"", "the fee for each copy"),
        key("postage", Text, "\"EUR 6.50\"", "the postage of a copy"),
        key(
            "postage_paid",
            Text,
            "\"EUR 5.00\"",
            "the postage that the buyer pays",
        ),
        key("returns", Text, "\"5%\"", "the share that comes back"),
        key(
            "pays_after",
            Whole,
            "30",
            "the days from the sale to the money",
        ),
    ],
};

/// A publisher's offer; stands once for each of them.
pub(crate) const OFFER: Section = Section {
    name: "offer",
    keys: &[
        key("name", Text, "\"a house in Upper Vare\"", "the name"),
        key("advance", Text, "\"EUR 1500\"", "the advance"),
        key("royalty", Text, "\"10%\"", "the royalty"),
        key("on", Text, "\"list\"", "what the royalty is reckoned on"),
        key(
            "discount",
            Text,
            "\"50%\"",
            "the discount at which the publisher sells",
        ),
        key("profit_share", Text, "\"50%\"", "the share of the profit"),
        key(
            "reach",
            Text,
            "\"1.5\"",
            "how many times our demand it reaches",
        ),
        key("copies", Whole, "1500", "the copies that it prints"),
    ],
};

/// A plan that is kept; stands once for each of them.
pub(crate) const PLAN: Section = Section {
    name: "plan",
    keys: &[
        key("name", Text, "\"careful\"", "the name"),
        key("copies", Whole, "500", "the copies"),
        key("price", Text, "\"EUR 48.00\"", "the price in it"),
        key("printer", Text, "\"quay\"", "the printer in it"),
        key(
            "send",
            Text,
            "\"2027-01-11\"",
            "the day on which files are sent in it",
        ),
    ],
};
