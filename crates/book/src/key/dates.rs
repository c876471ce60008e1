//! The calendar from files to books in hand.

use super::Kind::{Switch, Text, TextList, Whole};
use super::{Section, key};

pub(crate) const DATES: Section = Section {
    name: "dates",
    keys: &[
        key(
            "send",
            Text,
            "\"2027-01-11\"",
            "the day on which files are sent",
        ),
        key(
            "launch",
            Text,
            "\"2027-06-01\"",
            "the day by which books are wished for",
        ),
        key("surety", Text, "\"80%\"", "the surety of the launch"),
        key("carriage", Text, "\"sea\"", "how the books travel"),
        key(
            "printer",
            Text,
            "\"quay\"",
            "the printer whose calendar it is",
        ),
        key(
            "printer_off",
            TextList,
            "[\"saturday\", \"sunday\"]",
            "the printer's days off",
        ),
        key(
            "artist_off",
            TextList,
            "[\"sunday\"]",
            "the artist's days off",
        ),
        key("carrier_off", TextList, "[]", "the carrier's days off"),
        key(
            "home_off",
            TextList,
            "[\"saturday\", \"sunday\"]",
            "the days off of deliveries at home",
        ),
    ],
};

/// Days on which somebody does not work; stands once for each closure.
pub(crate) const CLOSURE: Section = Section {
    name: "closure",
    keys: &[
        key("name", Text, "\"works holidays\"", "the name"),
        key("of", Text, "\"printer\"", "whose closure it is"),
        key("from", Text, "\"2027-08-02\"", "the first day"),
        key("to", Text, "\"2027-08-20\"", "the last day"),
    ],
};

/// A step that is other than usual; stands once for each of them.
pub(crate) const STEP: Section = Section {
    name: "step",
    keys: &[
        key("key", Text, "\"printed\"", "the short name"),
        key("name", Text, "\"Printed and dried\"", "the name"),
        key(
            "after",
            TextList,
            "[\"examined\", \"paper\"]",
            "what it waits for",
        ),
        key("before", TextList, "[\"bound\"]", "what waits for it"),
        key("of", Text, "\"printer\"", "whose days it takes"),
        key("takes", Text, "\"5, 7, 12\"", "how many days it takes"),
        key(
            "again",
            Text,
            "\"35%\"",
            "the chance that it is done once more",
        ),
        key(
            "again_takes",
            Text,
            "\"7, 12, 18\"",
            "how many days that takes",
        ),
        key("skip", Switch, "true", "whether it is left out"),
        key("by", Text, "\"the printer, by e-mail\"", "who says so"),
    ],
};

/// A part of the price and when it is paid; stands once for each of them.
pub(crate) const PAYMENT: Section = Section {
    name: "payment",
    keys: &[
        key("name", Text, "\"half with the order\"", "the name"),
        key("share", Text, "\"50%\"", "the share of the price"),
        key(
            "step",
            Text,
            "\"files\"",
            "the step with which it falls due",
        ),
        key("at", Text, "\"beginning\"", "which end of the step"),
        key("days", Whole, "14", "the days after that"),
    ],
};
