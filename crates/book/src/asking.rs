//! What is asked of printers: quantities, proofs, packing, places and terms, and the printers
//! themselves.

use jiff::civil::Date;
use measure::Decimal;

/// What is asked of every printer beside the book itself. What is not said is left to the printer,
/// who is asked to say it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Ask {
    /// How many copies are wished for.
    pub copies: Option<u64>,
    /// Quantities as the book file says them, rising; empty where it leaves them to
    /// [`Ask::quantities`].
    pub said_quantities: Vec<u64>,
    /// Proofs wanted, each kind once, in the order in which they come from a printer.
    pub proofs: Vec<ProofWanted>,
    /// How the copies are packed; may be empty.
    pub packing: String,
    /// The delivery term that is wished for.
    pub term: Option<Term>,
    /// Copies over the order that are taken, as a share of it: 0.05 for 5 %.
    pub overs: Option<Decimal>,
    /// Copies under the order that are put up with, as a share of it.
    pub unders: Option<Decimal>,
    /// When what is paid; may be empty.
    pub payment: String,
    /// For how many days a price should hold.
    pub valid_days: Option<u32>,
    /// The day by which an answer is wished for.
    pub answer_by: Option<Date>,
    /// Name and address that stand on the letter, line by line; may be empty.
    pub from: String,
}

impl Ask {
    /// The quantities that prices are asked for, rising and each once; none where neither they nor
    /// a wish are said.
    ///
    /// Those of the book file, or three around the wish: about 0.7 of it, the wish itself and about
    /// 1.3 of it (common practice, no source). The outer two are rounded to fifties; to tens under a
    /// wish of 200 and to single copies under one of 40 (our assumption).
    pub fn quantities(&self) -> Vec<u64> {
        if !self.said_quantities.is_empty() {
            return self.said_quantities.clone();
        }
        let Some(wish) = self.copies.filter(|wish| *wish > 0) else {
            return Vec::new();
        };
        let step = match wish {
            0..40 => 1,
            40..200 => 10,
            _ => 50,
        };
        let near = |tenths: u64| {
            let tenfold = wish.saturating_mul(tenths);
            (tenfold.saturating_add(step * 5) / (step * 10) * step).max(1)
        };
        let mut quantities = vec![near(7), wish, near(13)];
        quantities.dedup();
        quantities
    }
}

/// A proof that the printer is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ProofWanted {
    /// Pages in the colours that the press will give, to be signed: `colour proofs`.
    Colour,
    /// All pages folded in order, on plain paper, to see that each is in its place:
    /// `position proofs`.
    Position,
    /// Sheets from the press itself before the run: `press proofs`.
    Press,
    /// The bound book of the right papers without print: `blank dummy`.
    Dummy,
    /// First bound copies, sent ahead of the others: `advance copies`.
    Advance,
}

impl ProofWanted {
    pub(crate) const WORDS: [(&'static str, Self); 5] = [
        ("colour proofs", Self::Colour),
        ("position proofs", Self::Position),
        ("press proofs", Self::Press),
        ("blank dummy", Self::Dummy),
        ("advance copies", Self::Advance),
    ];

    /// All of them, in the order in which they come from a printer.
    pub const ALL: [Self; 5] = [
        Self::Colour,
        Self::Position,
        Self::Press,
        Self::Dummy,
        Self::Advance,
    ];

    /// The word for it in the book file and in a request.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Colour => "colour proofs",
            Self::Position => "position proofs",
            Self::Press => "press proofs",
            Self::Dummy => "blank dummy",
            Self::Advance => "advance copies",
        }
    }
}

/// A delivery term: the eleven of Incoterms 2020, by their letters.
///
/// Which are meant by the letters only the contract says; what each divides between the two sides is
/// kept with the prices.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Term {
    /// Ex works.
    Exw,
    /// Free carrier.
    Fca,
    /// Free alongside ship.
    Fas,
    /// Free on board.
    Fob,
    /// Cost and freight.
    Cfr,
    /// Cost, insurance and freight.
    Cif,
    /// Carriage paid to.
    Cpt,
    /// Carriage and insurance paid to.
    Cip,
    /// Delivered at place.
    Dap,
    /// Delivered at place unloaded.
    Dpu,
    /// Delivered, duty paid.
    Ddp,
}

impl Term {
    pub(crate) const WORDS: [(&'static str, Self); 11] = [
        ("EXW", Self::Exw),
        ("FCA", Self::Fca),
        ("FAS", Self::Fas),
        ("FOB", Self::Fob),
        ("CFR", Self::Cfr),
        ("CIF", Self::Cif),
        ("CPT", Self::Cpt),
        ("CIP", Self::Cip),
        ("DAP", Self::Dap),
        ("DPU", Self::Dpu),
        ("DDP", Self::Ddp),
    ];

    /// All of them, from the printer's door to the artist's.
    pub const ALL: [Self; 11] = [
        Self::Exw,
        Self::Fca,
        Self::Fas,
        Self::Fob,
        Self::Cfr,
        Self::Cif,
        Self::Cpt,
        Self::Cip,
        Self::Dap,
        Self::Dpu,
        Self::Ddp,
    ];

    /// By its letters, in capitals or not.
    pub fn from_code(code: &str) -> Option<Self> {
        let code = code.trim();
        Self::WORDS
            .iter()
            .find(|(known, _)| known.eq_ignore_ascii_case(code))
            .map(|(_, term)| *term)
    }

    /// Its three letters.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Exw => "EXW",
            Self::Fca => "FCA",
            Self::Fas => "FAS",
            Self::Fob => "FOB",
            Self::Cfr => "CFR",
            Self::Cif => "CIF",
            Self::Cpt => "CPT",
            Self::Cip => "CIP",
            Self::Dap => "DAP",
            Self::Dpu => "DPU",
            Self::Ddp => "DDP",
        }
    }
}

/// A place that copies go to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Delivery {
    /// The place, on one line; unique in the book.
    pub place: String,
    /// Its country by two capital letters of ISO 3166-1 (only their shape is looked at); may be
    /// empty.
    pub country: String,
    /// The share of the copies that goes there, above zero; all shares sum to one.
    pub share: Decimal,
    /// Line of the book file, 1-based, for messages.
    pub line: u32,
}

/// A printer who is asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Printer {
    /// The short name by which commands and files know the printer: small letters, digits and
    /// hyphens, at most 30; unique in the book.
    pub key: String,
    /// The name; the key where none is said.
    pub name: String,
    /// Town; may be empty.
    pub place: String,
    /// Country by two capital letters of ISO 3166-1 (only their shape is looked at); may be empty.
    pub country: String,
    /// Time zone by its name, such as `Europe/Lisbon` (only its shape is looked at); may be empty.
    pub zone: String,
    /// BCP 47 language that the printer is written to in; may be empty.
    pub language: String,
    /// Where the request goes by e-mail; may be empty.
    pub email: String,
    /// What the printer makes; may be empty.
    pub makes: String,
    /// How the printer was found; may be empty.
    pub found: String,
    /// Whether the printer is at home, and not overseas: where the book file does not say it, the
    /// printer's country is that of the first delivery place. With either country unsaid the printer
    /// counts as overseas, where more has to be asked.
    pub home: bool,
    /// Line of the book file, 1-based, for messages.
    pub line: u32,
}
