//! What the book says of printers, of what is asked of them, and of the footing on which their prices are
//! compared.

use desk::{Desk, DeskError};
use maud::Markup;

use crate::rooms::things::{self, Kind};

const ROOM: &str = "prices";
const PRINTERS: Kind = Kind {
    section: "printer",
    title: "Whom you ask",
    add: "Name a printer",
    needed: true,
    words: "Who they are and where, by what clock and in what language, what they make, how you found them. The short name stands in the names of files.",
};
const PLACES: Kind = Kind {
    section: "delivery",
    title: "Where the copies go",
    add: "Name a place",
    needed: false,
    words: "Each with its share of the copies; the first is home. A place without a share gets what the others leave.",
};
const RATES: Kind = Kind {
    section: "rate",
    title: "Rates of exchange",
    add: "Name a rate",
    needed: false,
    words: "One rate for two currencies, with its day and who gave it.",
};
const IMPORTS: Kind = Kind {
    section: "import",
    title: "Duty and tax",
    add: "Say them for a printer",
    needed: false,
    words: "What it costs to bring the books of one printer into the country. Books differ by country: ask a customs broker, and say who told you.",
};
const FREIGHTS: Kind = Kind {
    section: "freight",
    title: "Your own estimate of freight",
    add: "Estimate a freight",
    needed: false,
    words: "For answers that say none: from where the delivery term leaves the copies to your door.",
};

const TERMS: Kind = Kind {
    section: "term",
    title: "What a delivery term means in your contract",
    add: "Say it of a term",
    needed: false,
    words: "Who pays for what by the contract, where it is not the usual reading of Incoterms 2020, which is from memory. Freight, insurance, export and import follow; check the contract.",
};

/// Forms for all of it.
pub(super) fn section(desk: &Desk) -> Result<Markup, DeskError> {
    let kind = |kind| things::things(desk, kind, ROOM);
    let groups = [
        kind(PRINTERS)?,
        kind(PLACES)?,
        things::section(desk, "ask", "What is asked of every printer", ROOM)?,
        things::section(desk, "landing", "The footing of all prices", ROOM)?,
        kind(RATES)?,
        kind(FREIGHTS)?,
        kind(IMPORTS)?,
        kind(TERMS)?,
    ];
    Ok(things::says(
        "All requests and all costs rest on this. Shares in percent (5%), sums with their currency (EUR 48), \
         countries by two letters. What is empty counts as not said. Undo takes every change back.",
        &groups,
    ))
}
