//! Proofs, packing, delivery and terms.

use book::{Ask, Book, Delivery, Term};
use measure::Decimal;

use super::{Line, listed};

/// What is asked around the book. What is not wished for is asked of the printer.
pub(super) fn describe(book: &Book, lines: &mut Vec<Line>) {
    let ask = &book.ask;
    let proofs: Vec<&str> = ask.proofs.iter().map(|proof| proof.word()).collect();
    lines.push(Line::of_terms(
        "proofs",
        "Proofs",
        or_asked(&listed(&proofs), "which do you send, and which cost extra?"),
    ));
    lines.push(Line::of_terms(
        "packing",
        "Packing",
        or_asked(&ask.packing, "how do you pack?"),
    ));
    lines.push(Line::of_terms(
        "delivery",
        "Delivery to",
        or_asked(&places(&book.deliveries), "not settled; from your door"),
    ));
    lines.push(Line::of_terms(
        "term",
        "Delivery term",
        or_asked(
            &term(ask, &book.deliveries),
            "which do you offer, to which named place?",
        ),
    ));
    lines.push(Line::of_terms(
        "overs",
        "Overs",
        within_tolerance(
            ask.overs,
            "over the order are taken",
            "no copy over the order is taken",
        ),
    ));
    lines.push(Line::of_terms(
        "unders",
        "Unders",
        within_tolerance(
            ask.unders,
            "under the order are put up with",
            "no copy may be lacking from the order",
        ),
    ));
    lines.push(Line::of_terms(
        "payment",
        "Payment",
        or_asked(&ask.payment, "what are your terms?"),
    ));
    let validity = ask.valid_days.map_or_else(String::new, |days| match days {
        1 => "prices hold for 1 day from your answer".to_owned(),
        days => format!("prices hold for {days} days from your answer"),
    });
    lines.push(Line::of_terms(
        "validity",
        "Validity",
        or_asked(&validity, "until when do your prices hold?"),
    ));
}

fn or_asked(said: &str, question: &str) -> String {
    match said {
        "" => question.to_owned(),
        said => said.to_owned(),
    }
}

/// `70 % to Studio, Port Ellery (XA); 30 % to …`.
fn places(deliveries: &[Delivery]) -> String {
    let place = |delivery: &Delivery| match delivery.country.as_str() {
        "" => delivery.place.clone(),
        country => format!("{} ({country})", delivery.place),
    };
    match deliveries {
        [] => String::new(),
        [only] => place(only),
        several => several
            .iter()
            .map(|delivery| format!("{} to {}", percent(delivery.share), place(delivery)))
            .collect::<Vec<_>>()
            .join("; "),
    }
}

/// The term with its named place, where that place is on the artist's side.
fn term(ask: &Ask, deliveries: &[Delivery]) -> String {
    let Some(term) = ask.term else {
        return String::new();
    };
    let code = term.code();
    let place = match term {
        Term::Exw | Term::Fca | Term::Fas | Term::Fob => " a place that you name".to_owned(),
        _ => match deliveries {
            [] => String::new(),
            [only] => format!(" {}", only.place),
            _ => " each place of delivery".to_owned(),
        },
    };
    format!("{code}{place} (Incoterms 2020)")
}

fn within_tolerance(share: Option<Decimal>, taken: &str, none: &str) -> String {
    match share {
        None => "what is your custom?".to_owned(),
        Some(share) if share.is_zero() => none.to_owned(),
        Some(share) => format!("up to {} {taken}", percent(share)),
    }
}

/// A part of one in percent, with as many decimals as it has.
pub(crate) fn percent(share: Decimal) -> String {
    let hundredfold = share.times(Decimal::from_whole(100)).unwrap_or(share);
    format!("{hundredfold} %")
}
