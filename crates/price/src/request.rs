//! A request for prices: what one printer is asked on one day, and the words in which it is asked.
//!
//! The letter and the e-mail say the same, since both are made from one list of parts. All words of
//! the person go into it as they are; what they are taken for is settled by the place they stand in.

mod content;
mod phrase;

pub(crate) use phrase::one_line;

use book::object::Object;
use book::{Ask, Book, Delivery, Finishing, Printer, Process};
use jiff::civil::Date;
use measure::Length;
use words::letter::{Letter, Paper};

use crate::specification::Specification;

/// What one printer is asked, complete: it needs no book beside it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Request {
    /// Its number among all requests for this book, from 1.
    pub number: u32,
    /// Its day.
    pub dated: Date,
    /// Who is asked.
    pub printer: Printer,
    /// Digest of the specification: the first twelve hexadecimal signs.
    pub digest: String,
    /// Title of the book.
    pub title: String,
    /// Author of the book; may be empty.
    pub author: String,
    /// What is asked for.
    pub specification: Specification,
    /// The quantities, rising; none where the book says no wish, and the printer is asked to
    /// propose them.
    pub quantities: Vec<u64>,
    /// Where the copies go.
    pub deliveries: Vec<Delivery>,
    /// The terms.
    pub ask: Ask,
    /// Charges that arise once and are asked for by name.
    pub one_offs: Vec<&'static str>,
    /// How far the files run over the trim.
    pub bleed: Length,
    /// The plates beside the inks, which come as separations of their own.
    pub plates: Vec<Plate>,
}

/// A plate of a finishing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plate {
    /// The name of its separation.
    pub name: String,
    /// What it is for, and where: `foil, gold, on the jacket, front`.
    pub what: String,
}

impl Request {
    /// What a printer is asked for this book. `digest` is that of the specification's text.
    pub fn new(
        book: &Book,
        object: &Object,
        printer: &Printer,
        number: u32,
        dated: Date,
        digest: &str,
    ) -> Self {
        Self {
            number,
            dated,
            printer: printer.clone(),
            digest: digest.to_owned(),
            title: book.about.title.clone(),
            author: book.about.author.clone(),
            specification: Specification::of(book, object),
            quantities: book.ask.quantities(),
            deliveries: book.deliveries.clone(),
            ask: book.ask.clone(),
            one_offs: charges(book),
            bleed: book.format.bleed,
            plates: book.finishings.iter().map(plate).collect(),
        }
    }

    /// The short name that an answer is known by: number, printer, and the first six signs of the
    /// digest. `R3-quay-1a2b3c`.
    pub fn reference(&self) -> String {
        let start: String = self.digest.chars().take(6).collect();
        format!("R{}-{}-{start}", self.number, self.printer.key)
    }

    /// The request as plain text: address and subject on the first two lines, then what the letter
    /// says.
    pub fn e_mail(&self) -> String {
        let to = match self.printer.email.as_str() {
            "" => "(the book has no address for this printer)",
            address => address,
        };
        format!(
            "To: {}\nSubject: {}\n\n{}",
            phrase::one_line(to),
            phrase::one_line(&self.subject()),
            self.letter().plain()
        )
    }

    /// The request as a letter, on the paper of the printer's country.
    pub fn letter(&self) -> Letter {
        Letter {
            paper: Paper::of_country(&self.printer.country),
            language: "en".to_owned(),
            sender: phrase::address(&self.ask.from),
            addressee: self.addressee(),
            particulars: self.particulars(),
            subject: self.subject(),
            running: format!("{} · {}", self.reference(), phrase::date(self.dated)),
            parts: self.parts(),
            on_missing: "▯ stands for a sign that the typeface of this letter lacks; the e-mail \
                         that comes with it has them all."
                .to_owned(),
        }
    }
}

/// Charges that a printer has once for a book of this kind, and that it is asked for, by name; common
/// practice, no source.
pub fn charges(book: &Book) -> Vec<&'static str> {
    let mut charges = vec!["printing plates"];
    charges.extend(book.ask.proofs.iter().map(|proof| proof.word()));
    let processes = [
        (Process::Foil, "dies for foil"),
        (Process::SpotVarnish, "plates or screens for spot varnish"),
        (Process::BlindEmboss, "dies for blind embossing"),
        (Process::BlindDeboss, "dies for blind debossing"),
    ];
    for (process, charge) in processes {
        if book
            .finishings
            .iter()
            .any(|finishing| finishing.process == process)
        {
            charges.push(charge);
        }
    }
    charges
}

fn plate(finishing: &Finishing) -> Plate {
    let colour = match finishing.process {
        Process::Foil => format!(", {}", finishing.colour.word()),
        _ => String::new(),
    };
    Plate {
        name: finishing.name.clone(),
        what: format!(
            "{}{colour}, on the {}, {}",
            finishing.process.word(),
            finishing.on.word(),
            finishing.panel
        ),
    }
}
