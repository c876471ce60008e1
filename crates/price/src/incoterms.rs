//! What the eleven delivery terms of Incoterms 2020 divide between printer and artist.
//!
//! Written from memory of the rules (articles A and B 5, 7 and 9), with the groups of the wall chart of
//! the International Chamber of Commerce. Only the contract and the rules themselves count.

use book::Term;

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
pub enum Step {
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

impl Step {
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

/// Who pays for a step by a term.
pub const fn payer(term: Term, step: Step) -> Payer {
    use Payer::{Artist as B, ByContract as E, Nobody as N, Printer as S};
    let row: [Payer; 12] = match term {
        Term::Exw => [S, B, B, B, B, B, B, N, B, B, B, B],
        Term::Fca => [S, S, S, S, B, B, B, N, B, B, B, B],
        Term::Fas => [S, S, S, S, S, B, B, N, B, B, B, B],
        Term::Fob => [S, S, S, S, S, S, B, N, B, B, B, B],
        Term::Cfr => [S, S, S, S, S, S, S, N, E, B, B, B],
        Term::Cif => [S, S, S, S, S, S, S, S, E, B, B, B],
        Term::Cpt => [S, S, S, S, S, S, S, N, E, E, B, B],
        Term::Cip => [S, S, S, S, S, S, S, S, E, E, B, B],
        Term::Dap => [S, S, S, S, S, S, S, N, S, S, B, B],
        Term::Dpu => [S, S, S, S, S, S, S, N, S, S, S, B],
        Term::Ddp => [S, S, S, S, S, S, S, N, S, S, B, S],
    };
    row[step as usize]
}

/// What a term leaves to the artist, in a sentence. `home` leaves out what arises at borders alone.
pub fn left_to_artist(term: Term, home: bool) -> String {
    let border = |step: Step| {
        matches!(
            step,
            Step::Export
                | Step::OriginTerminal
                | Step::OnBoard
                | Step::DestinationTerminal
                | Step::Import
        )
    };
    let of = |whose: Payer| -> Vec<&str> {
        Step::ALL
            .into_iter()
            .filter(|step| payer(term, *step) == whose && !(home && border(*step)))
            .map(Step::word)
            .collect()
    };
    let (left, open) = (of(Payer::Artist), of(Payer::ByContract));
    let left = if left.is_empty() {
        "nothing".to_owned()
    } else {
        left.join(", ")
    };
    let open = if open.is_empty() {
        String::new()
    } else {
        format!("; {} by what the contract says", open.join(", "))
    };
    let ship = if by_ship(term) {
        " It is meant for goods that go by ship alone."
    } else {
        ""
    };
    format!(
        "{} leaves to you: {left}{open}. The risk is yours {}. (Incoterms 2020, from memory: check the \
         contract.){ship}",
        term.code(),
        risk_passes(term)
    )
}

/// Whether the term is for goods that go by ship alone.
pub const fn by_ship(term: Term) -> bool {
    matches!(term, Term::Fas | Term::Fob | Term::Cfr | Term::Cif)
}

/// Where the risk of loss goes over to the artist.
pub const fn risk_passes(term: Term) -> &'static str {
    match term {
        Term::Exw => "when the goods are placed at disposal at the named place",
        Term::Fca => "when they are handed to the carrier",
        Term::Fas => "alongside the ship at the port of loading",
        Term::Fob | Term::Cfr | Term::Cif => "on board at the port of loading",
        Term::Cpt | Term::Cip => "when they are handed to the first carrier",
        Term::Dap | Term::Ddp => "at the named place, ready for unloading",
        Term::Dpu => "at the named place, unloaded",
    }
}

/// Whether the printer bears the risk until the goods are there.
pub const fn arrives(term: Term) -> bool {
    matches!(term, Term::Dap | Term::Dpu | Term::Ddp)
}

/// Whether freight to the named place of destination is in the price.
pub const fn freight_paid(term: Term) -> bool {
    matches!(
        term,
        Term::Cpt | Term::Cip | Term::Dap | Term::Dpu | Term::Ddp
    )
}
