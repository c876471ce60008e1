//! What the sheet asks: names of cells, and the words beside them. One list for writing and reading.

/// The heading of what depends on the quantity, and the name of its cells.
pub(super) const QUANTITY: Row = Row {
    name: "quantity",
    words: "Number of copies",
};
/// The price of all copies.
pub(super) const TOTAL: Row = Row {
    name: "total",
    words: "Price of all copies, printed, bound and packed",
};
/// The price of one copy.
pub(super) const EACH: Row = Row {
    name: "each",
    words: "or, if you rather say so: price of one copy",
};
/// Freight.
pub(super) const FREIGHT: Row = Row {
    name: "freight",
    words: "Freight to all places of delivery",
};
/// The heading of what arises once.
pub(super) const ONCE: &str = "Charged once, whatever the quantity";
/// The heading of terms.
pub(super) const OFFER: &str = "Of your offer";

/// The short name of the request.
pub(super) const REFERENCE: Row = Row {
    name: "reference",
    words: "Reference",
};
/// The digest of the specification.
pub(super) const SPECIFICATION: Row = Row {
    name: "specification",
    words: "Specification",
};
/// The currency.
pub(super) const CURRENCY: Row = Row {
    name: "currency",
    words: "Currency of all prices",
};
/// The delivery term.
pub(super) const TERM: Row = Row {
    name: "term",
    words: "Delivery term (Incoterms 2020)",
};
/// Its place.
pub(super) const PLACE: Row = Row {
    name: "term_place",
    words: "Named place of that term",
};
/// How long it takes.
pub(super) const LEAD: Row = Row {
    name: "lead_days",
    words: "Working days from approved proofs to dispatch",
};
/// Until when prices hold.
pub(super) const VALID: Row = Row {
    name: "valid_until",
    words: "Prices hold until",
};
/// Overs.
pub(super) const OVERS: Row = Row {
    name: "overs",
    words: "Copies over the order, at most",
};
/// Unders.
pub(super) const UNDERS: Row = Row {
    name: "unders",
    words: "Copies under the order, at most",
};
/// Payment.
pub(super) const PAYMENT: Row = Row {
    name: "payment",
    words: "Payment",
};
/// The day of the answer.
pub(super) const DATED: Row = Row {
    name: "answered_on",
    words: "Date of your answer",
};
/// Anything else.
pub(super) const NOTE: Row = Row {
    name: "note",
    words: "Note",
};

/// Quantities, and charges, that names are looked for.
pub(super) const MOST_NUMBERED: usize = 40;

/// All rows whose words are looked for.
pub(super) const ROWS: [Row; 16] = [
    REFERENCE,
    SPECIFICATION,
    CURRENCY,
    QUANTITY,
    TOTAL,
    EACH,
    FREIGHT,
    TERM,
    PLACE,
    LEAD,
    VALID,
    OVERS,
    UNDERS,
    PAYMENT,
    DATED,
    NOTE,
];

/// Something that is asked, in a row of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Row {
    /// The name of its cell; by quantity, and for charges, with a number behind it.
    pub name: &'static str,
    /// The words beside it.
    pub words: &'static str,
}

impl Row {
    /// The name of the cell of a quantity, from 1.
    pub fn numbered(&self, number: usize) -> String {
        format!("{}_{number}", self.name)
    }
}

/// The name of the amount of a charge, from 1.
pub(super) fn charge(number: usize) -> String {
    format!("charge_{number}")
}

/// The name of the words of a charge, from 1.
pub(super) fn charge_for(number: usize) -> String {
    format!("charge_{number}_for")
}

/// Words without what a person or a program changes in passing.
pub(super) fn bare(words: &str) -> String {
    words
        .chars()
        .filter(|c| c.is_alphanumeric())
        .flat_map(char::to_lowercase)
        .collect()
}
