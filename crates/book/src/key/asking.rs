//! Asking printers, and the footing on which their prices are compared.

use super::Kind::{Switch, Text, TextList, Whole, WholeList, Words};
use super::{Section, key};

pub(crate) const ASK: Section = Section {
    name: "ask",
    keys: &[
        key("copies", Whole, "800", "the wished number of copies"),
        key(
            "quantities",
            WholeList,
            "[500, 800, 1000]",
            "the quantities that are asked for",
        ),
        key(
            "proofs",
            TextList,
            "[\"colour proofs\", \"blank dummy\"]",
            "the proofs that are asked for",
        ),
        key(
            "packing",
            Text,
            "\"shrink-wrapped singly, cartons under 12 kg\"",
            "the packing",
        ),
        key("term", Text, "\"DAP\"", "the delivery term"),
        key("overs", Text, "\"5%\"", "the overs that are taken"),
        key("unders", Text, "\"0%\"", "the unders that are put up with"),
        key(
            "payment",
            Text,
            "\"half with the order, half before dispatch\"",
            "the payment",
        ),
        key(
            "valid_days",
            Whole,
            "60",
            "the days for which a price should hold",
        ),
        key(
            "answer_by",
            Text,
            "\"2026-12-20\"",
            "the day by which an answer is wished for",
        ),
        key(
            "from",
            Words,
            "\"\"\"Name and address.\"\"\"",
            "the name and address on the letter",
        ),
    ],
};

/// A place that copies go to; stands once for each of them.
pub(crate) const DELIVERY: Section = Section {
    name: "delivery",
    keys: &[
        key(
            "place",
            Text,
            "\"4 Harbour Lane, Port Ellery\"",
            "the place",
        ),
        key("country", Text, "\"XA\"", "the country"),
        key("share", Text, "\"70%\"", "the share of the copies"),
    ],
};

/// A printer; stands once for each of them.
pub(crate) const PRINTER: Section = Section {
    name: "printer",
    keys: &[
        key("key", Text, "\"quay\"", "the short name"),
        key("name", Text, "\"Quayside Press\"", "the name"),
        key("place", Text, "\"Port Ellery\"", "the town"),
        key("country", Text, "\"XA\"", "the country"),
        key("zone", Text, "\"Europe/Lisbon\"", "the time zone"),
        key("language", Text, "\"en\"", "the language"),
        key(
            "email",
            Text,
            "\"prices@quay.example\"",
            "the e-mail address",
        ),
        key(
            "makes",
            Text,
            "\"sewn cases, foil\"",
            "what the printer makes",
        ),
        key(
            "found",
            Text,
            "\"colophon of a book I like\"",
            "how the printer was found",
        ),
        key("home", Switch, "true", "whether the printer is at home"),
    ],
};

pub(crate) const LANDING: Section = Section {
    name: "landing",
    keys: &[
        key("currency", Text, "\"EUR\"", "the currency of comparison"),
        key("insurance", Text, "\"0.4%\"", "the insurance"),
        key("spoilage", Text, "\"1%\"", "the spoilage"),
        key("bank_fee", Text, "\"EUR 20\"", "the bank's fee"),
        key(
            "interest",
            Text,
            "\"6%\"",
            "what a sum tied up for a year costs",
        ),
    ],
};

/// A rate of exchange; stands once for two currencies.
pub(crate) const RATE: Section = Section {
    name: "rate",
    keys: &[
        key("from", Text, "\"USD\"", "the currency that is exchanged"),
        key("to", Text, "\"EUR\"", "the currency that it gives"),
        key("rate", Text, "\"0.92\"", "the rate of exchange"),
        key("on", Text, "\"2026-11-20\"", "the day of the rate"),
        key("by", Text, "\"central bank's list\"", "who gave the rate"),
    ],
};

/// Duty and tax on what a printer sends; stands once for each of them.
pub(crate) const IMPORT: Section = Section {
    name: "import",
    keys: &[
        key("printer", Text, "\"harbour\"", "the printer"),
        key("duty", Text, "\"0%\"", "the duty"),
        key("duty_on", Text, "\"goods\"", "what duty is taken on"),
        key("tax", Text, "\"7%\"", "the tax on imports"),
        key("broker", Text, "\"EUR 120\"", "the customs broker's fee"),
        key(
            "by",
            Text,
            "\"customs broker, by e-mail\"",
            "who gave duty and tax",
        ),
    ],
};

/// An own estimate of freight; stands once for a printer and a delivery term.
pub(crate) const FREIGHT: Section = Section {
    name: "freight",
    keys: &[
        key("printer", Text, "\"harbour\"", "the printer"),
        key("term", Text, "\"FOB\"", "the delivery term"),
        key(
            "fixed",
            Text,
            "\"USD 700\"",
            "the fixed part of the freight",
        ),
        key("each", Text, "\"USD 0.55\"", "the freight of one copy"),
        key("on", Text, "\"2026-11-18\"", "the day of the estimate"),
        key("by", Text, "\"forwarder\"", "who gave the freight"),
    ],
};

/// What a delivery term divides by the contract; stands once for each term.
pub(crate) const TERM: Section = Section {
    name: "term",
    keys: &[
        key("term", Text, "\"DAP\"", "the delivery term"),
        key("packing", Text, "\"printer\"", "who pays for packing"),
        key(
            "loading",
            Text,
            "\"printer\"",
            "who pays for loading at the printer's door",
        ),
        key(
            "to_carrier",
            Text,
            "\"printer\"",
            "who pays for carriage to port or carrier",
        ),
        key(
            "export",
            Text,
            "\"printer\"",
            "who pays for export clearance",
        ),
        key(
            "terminal_there",
            Text,
            "\"printer\"",
            "who pays for the terminal there",
        ),
        key(
            "on_board",
            Text,
            "\"printer\"",
            "who pays for loading on board",
        ),
        key(
            "main_carriage",
            Text,
            "\"printer\"",
            "who pays for the main carriage",
        ),
        key("insurance", Text, "\"you\"", "who pays for insurance"),
        key(
            "terminal_here",
            Text,
            "\"by contract\"",
            "who pays for the terminal here",
        ),
        key(
            "to_destination",
            Text,
            "\"printer\"",
            "who pays for carriage to the destination",
        ),
        key("unloading", Text, "\"you\"", "who pays for unloading"),
        key(
            "import",
            Text,
            "\"you\"",
            "who pays for import clearance, duty and tax",
        ),
        key("by", Text, "\"our contract\"", "who says so"),
    ],
};
