//! What the eleven delivery terms of Incoterms 2020 divide between printer and artist.
//!
//! Written from memory of the rules (articles A and B 5, 7 and 9), with the groups of the wall chart of
//! the International Chamber of Commerce. Only the contract and the rules themselves count.

use book::{Landing, Term, TermWish};
pub use book::{Leg as Step, Payer};

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

/// What a term divides in this book: the usual reading, with what the contract says otherwise.
#[derive(Debug, Clone, Copy)]
pub struct Division<'b> {
    term: Term,
    said: Option<&'b TermWish>,
}

impl<'b> Division<'b> {
    /// Of a term, with what the book says of it.
    pub fn of(term: Term, landing: &'b Landing) -> Self {
        Self {
            term,
            said: landing.term(term),
        }
    }

    /// Who pays for a step.
    pub fn payer(self, step: Step) -> Payer {
        let said = self.said.and_then(|said| {
            let found = said.payers.iter().find(|(leg, _)| *leg == step)?;
            Some(found.1)
        });
        said.unwrap_or_else(|| payer(self.term, step))
    }

    /// Whether a step is in the printer's price.
    pub fn in_the_price(self, step: Step) -> bool {
        self.payer(step) == Payer::Printer
    }

    /// Whether freight to the named place of destination is in the price.
    pub fn freight_paid(self) -> bool {
        [Step::MainCarriage, Step::ToDestination]
            .into_iter()
            .all(|step| match self.payer(step) {
                Payer::Printer => true,
                // The contract of a carriage that the printer pays for names the place.
                Payer::ByContract => freight_paid(self.term),
                Payer::Artist | Payer::Nobody => false,
            })
    }

    /// What the term leaves to the artist, in a sentence. `home` leaves out what arises at borders alone.
    pub fn left_to_artist(self, home: bool) -> String {
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
                .filter(|step| self.payer(*step) == whose && !(home && border(*step)))
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
        let ship = if by_ship(self.term) {
            " It is meant for goods that go by ship alone."
        } else {
            ""
        };
        let rests = match self.said {
            None => "Incoterms 2020, from memory: check the contract".to_owned(),
            Some(said) => {
                let who = if said.by.is_empty() {
                    "you say".to_owned()
                } else {
                    format!("{} says", said.by)
                };
                let changed: Vec<&str> = said.payers.iter().map(|(leg, _)| leg.word()).collect();
                format!(
                    "{} as {who}, the rest of Incoterms 2020 from memory: check the contract",
                    changed.join(", ")
                )
            }
        };
        format!(
            "{} leaves to you: {left}{open}. The risk is yours {}. ({}.){ship}",
            self.term.code(),
            risk_passes(self.term),
            rests,
        )
    }
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
