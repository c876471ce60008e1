//! What a delivery term divides between printer and artist, where the book's contract says it otherwise than
//! the usual reading.

use crate::asking::Term;

/// Who pays for a thing on the way.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Payer {
    /// The printer, in the price.
    Printer,
    /// The artist.
    Artist,
    /// One or the other, by the named place or by what the carrier's contract says.
    ByContract,
    /// Nobody has to.
    Nobody,
}

impl Payer {
    pub(crate) const WORDS: [(&'static str, Self); 4] = [
        ("printer", Self::Printer),
        ("you", Self::Artist),
        ("by contract", Self::ByContract),
        ("nobody", Self::Nobody),
    ];

    /// In words.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Printer => "the printer",
            Self::Artist => "you",
            Self::ByContract => "by the contract",
            Self::Nobody => "nobody has to",
        }
    }
}

/// A thing on the way that somebody pays for, from the printer's door to the artist's.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Leg {
    /// Packing.
    Packing,
    /// Loading at the printer's door.
    Loading,
    /// Carriage to the port or the first carrier.
    ToCarrier,
    /// Clearance for export.
    Export,
    /// Charges of the terminal there.
    OriginTerminal,
    /// Loading on board.
    OnBoard,
    /// The main carriage.
    MainCarriage,
    /// Insurance of the main carriage.
    Insurance,
    /// Charges of the terminal here.
    DestinationTerminal,
    /// Carriage to the destination.
    ToDestination,
    /// Unloading there.
    Unloading,
    /// Clearance for import, duty and tax.
    Import,
}

impl Leg {
    /// All of them, in their order, each with its key in the book file.
    pub(crate) const KEYS: [(&'static str, Self); 12] = [
        ("packing", Self::Packing),
        ("loading", Self::Loading),
        ("to_carrier", Self::ToCarrier),
        ("export", Self::Export),
        ("terminal_there", Self::OriginTerminal),
        ("on_board", Self::OnBoard),
        ("main_carriage", Self::MainCarriage),
        ("insurance", Self::Insurance),
        ("terminal_here", Self::DestinationTerminal),
        ("to_destination", Self::ToDestination),
        ("unloading", Self::Unloading),
        ("import", Self::Import),
    ];

    /// All of them, in their order.
    pub const ALL: [Self; 12] = [
        Self::Packing,
        Self::Loading,
        Self::ToCarrier,
        Self::Export,
        Self::OriginTerminal,
        Self::OnBoard,
        Self::MainCarriage,
        Self::Insurance,
        Self::DestinationTerminal,
        Self::ToDestination,
        Self::Unloading,
        Self::Import,
    ];

    /// In words.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Packing => "packing",
            Self::Loading => "loading at the printer's door",
            Self::ToCarrier => "carriage to port or carrier",
            Self::Export => "export clearance",
            Self::OriginTerminal => "terminal there",
            Self::OnBoard => "loading on board",
            Self::MainCarriage => "main carriage",
            Self::Insurance => "insurance",
            Self::DestinationTerminal => "terminal here",
            Self::ToDestination => "carriage to the destination",
            Self::Unloading => "unloading",
            Self::Import => "import clearance, duty and tax",
        }
    }
}

/// What the contract says of a term, where it is not the usual reading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TermWish {
    /// The term.
    pub term: Term,
    /// Who pays for what; for a leg that is not named the usual reading holds.
    pub payers: Vec<(Leg, Payer)>,
    /// Who says so, such as `contract of 3 May`; may be empty.
    pub by: String,
    /// Line of the book file, 1-based, for messages.
    pub line: u32,
}
