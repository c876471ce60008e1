//! The sections that stand once for each thing that has a name, beside the pages.

use super::{
    AUDIENCE, CHANNEL, CLOSURE, DELIVERY, FINISHING, FREIGHT, IMPORT, OFFER, PAYMENT, PIECE, PLAN,
    PRINTER, RATE, STEP, Section, TERM,
};

/// What becomes of a section that says nothing but its name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Bare {
    /// It goes, unless somebody has put a remark there.
    Goes,
    /// It stays: the name alone means something.
    Stays,
}

/// How the sections of one kind are told apart.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Named {
    pub(crate) section: Section,
    /// The keys that name the thing; where there are several, its name has a word for each.
    pub(crate) by: &'static [&'static str],
    pub(crate) bare: Bare,
    /// What it is called in a sentence, in front of its name.
    pub(crate) what: &'static str,
    /// Sections about this thing, and their keys that name it. With the thing go those that stand
    /// once for each; one that stands once only loses the key.
    pub(crate) about_it: &'static [(&'static str, &'static str)],
}

const fn named(
    section: Section,
    by: &'static [&'static str],
    bare: Bare,
    what: &'static str,
) -> Named {
    Named {
        section,
        by,
        bare,
        what,
        about_it: &[],
    }
}

/// All of them.
pub(crate) const NAMED: [Named; 15] = [
    named(PIECE, &["art"], Bare::Goes, "all that was wished for"),
    named(FINISHING, &["name"], Bare::Goes, "the finishing"),
    named(DELIVERY, &["place"], Bare::Stays, "the delivery to"),
    Named {
        about_it: &[
            ("import", "printer"),
            ("freight", "printer"),
            ("dates", "printer"),
            ("plan", "printer"),
        ],
        ..named(PRINTER, &["key"], Bare::Stays, "the printer")
    },
    named(RATE, &["from", "to"], Bare::Stays, "the rate of exchange"),
    named(IMPORT, &["printer"], Bare::Goes, "duty and tax of"),
    named(FREIGHT, &["printer", "term"], Bare::Stays, "the freight of"),
    named(TERM, &["term"], Bare::Goes, "what the contract says of"),
    named(CLOSURE, &["name"], Bare::Stays, "the closure"),
    named(STEP, &["key"], Bare::Stays, "the step"),
    named(PAYMENT, &["name"], Bare::Stays, "the payment"),
    named(AUDIENCE, &["place"], Bare::Stays, "the audience"),
    named(CHANNEL, &["name"], Bare::Stays, "the channel"),
    named(OFFER, &["name"], Bare::Stays, "the offer of"),
    named(PLAN, &["name"], Bare::Stays, "the plan"),
];
