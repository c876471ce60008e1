use std::path::Path;

use book::{Ask, Delivery, Printer, ProofWanted, Term};
use jiff::civil::date;
use measure::Length;
use price::request::{Plate, Request};
use price::specification::{Heading, Line, Specification};
use testkit::golden;
use words::letter::{Pages, Paper};

fn line(key: &'static str, what: &str, said: &str, of_object: bool) -> Line {
    Line {
        key,
        what: what.to_owned(),
        said: said.to_owned(),
        of_object,
        heading: if of_object || key == "title" {
            Heading::Book
        } else {
            Heading::Terms
        },
    }
}

fn request() -> Request {
    Request {
        number: 3,
        dated: date(2026, 11, 25),
        printer: Printer {
            key: "quay".to_owned(),
            name: "Quayside Press".to_owned(),
            place: "Port Ellery".to_owned(),
            country: "XA".to_owned(),
            zone: "Europe/Lisbon".to_owned(),
            language: "pt".to_owned(),
            email: "prices@quayside.example".to_owned(),
            makes: "sewn cases, foil".to_owned(),
            found: "colophon of a book I like".to_owned(),
            home: true,
            line: 1,
        },
        digest: "1a2b3c4d5e6f".to_owned(),
        title: "The Night Ferry".to_owned(),
        author: "Ines Almada".to_owned(),
        specification: Specification {
            lines: vec![
                line("title", "Title", "The Night Ferry", false),
                line("format", "Trimmed page", "225 × 300 mm, upright", true),
                line("extent", "Extent", "96 pages in six sections of 16", true),
                line(
                    "text-paper",
                    "Text paper",
                    "Matt coated, 150 g/m², 0.143 mm",
                    true,
                ),
                line(
                    "finishings",
                    "Finishings",
                    "moonlight foil: gold foil on the jacket, front; viaduct stamp: blind deboss on the \
                     cover, front",
                    true,
                ),
                line(
                    "packing",
                    "Packing",
                    "shrink-wrapped singly, cartons under 12 kg",
                    false,
                ),
                line(
                    "payment",
                    "Payment",
                    "half with the order, half before dispatch",
                    false,
                ),
            ],
        },
        quantities: vec![550, 800, 1050],
        deliveries: vec![
            Delivery {
                place: "Studio, 4 Harbour Lane, Port Ellery".to_owned(),
                country: "XA".to_owned(),
                share: "0.7".parse().unwrap(),
                line: 2,
            },
            Delivery {
                place: "Harbour Store, Unit 9, Westmouth".to_owned(),
                country: "XB".to_owned(),
                share: "0.3".parse().unwrap(),
                line: 3,
            },
        ],
        ask: Ask {
            copies: Some(800),
            proofs: vec![ProofWanted::Colour, ProofWanted::Dummy],
            term: Some(Term::Dap),
            answer_by: Some(date(2026, 12, 20)),
            from: "Ines Almada, 4 Harbour Lane, Port Ellery, ines@almada.example".to_owned(),
            ..Ask::default()
        },
        one_offs: vec![
            "printing plates",
            "colour proofs",
            "blank dummy",
            "dies for foil",
        ],
        bleed: Length::from_mm(3.0),
        plates: vec![
            Plate {
                name: "moonlight foil".to_owned(),
                what: "foil, gold, on the jacket, front".to_owned(),
            },
            Plate {
                name: "viaduct stamp".to_owned(),
                what: "blind deboss, on the cover, front".to_owned(),
            },
        ],
    }
}

#[test]
fn the_e_mail_says_what_it_has_always_said() {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden/request.txt");
    golden(&file, &request().e_mail());
}

#[test]
fn look() {
    let _ = (proptest::num::u8::ANY, Paper::A4);
    let _: Option<Pages> = None;
}
