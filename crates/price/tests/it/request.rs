use std::path::Path;

use book::{Ask, Delivery, Printer, ProofWanted, Term};
use jiff::civil::date;
use measure::Length;
use price::request::{Plate, Request};
use price::specification::{Heading, Line, Specification};
use proptest::prelude::*;
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

pub(crate) fn request() -> Request {
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

/// All words of a letter as they are copied out of its pages, without any space.
fn copied(pages: &Pages) -> String {
    let glyphs = pages
        .pages
        .iter()
        .flat_map(|page| &page.runs)
        .flat_map(|run| &run.glyphs);
    bare(&glyphs.map(|glyph| glyph.text.as_str()).collect::<String>())
}

fn bare(words: &str) -> String {
    words
        .chars()
        .filter(|c| !c.is_whitespace() && *c != '\u{200b}')
        .collect()
}

#[test]
fn letter_and_e_mail_say_every_line_that_is_asked_for() {
    let request = request();
    let letter = copied(&request.letter().set().unwrap());
    let e_mail = bare(&request.e_mail());
    let mut said: Vec<String> = Vec::new();
    for line in &request.specification.lines {
        said.extend([line.what.clone(), line.said.clone()]);
    }
    for plate in &request.plates {
        said.extend([plate.name.clone(), plate.what.clone()]);
    }
    said.extend(
        request
            .deliveries
            .iter()
            .map(|delivery| delivery.place.clone()),
    );
    said.extend(request.one_offs.iter().map(|charge| charge[1..].to_owned()));
    said.extend(
        request
            .quantities
            .iter()
            .map(|copies| format!("{copies} copies")),
    );
    said.extend([
        request.reference(),
        request.digest.clone(),
        "25 November 2026".to_owned(),
        "20 December 2026".to_owned(),
        "DAP".to_owned(),
        "70 %".to_owned(),
    ]);
    for words in said {
        assert!(letter.contains(&bare(&words)), "the letter lacks `{words}`");
        assert!(e_mail.contains(&bare(&words)), "the e-mail lacks `{words}`");
    }
}

#[test]
fn a_request_goes_from_the_book_as_it_is() {
    let text = testkit::BookText::new("200x250mm")
        .section(
            "[[finishing]]\nname = \"moon\"\nprocess = \"foil\"\non = \"cover\"\npanel = \"front\"\n\
             mask = \"masks/moon.svg\"\ncolour = \"silver\"\n\
             [ask]\ncopies = 100\nproofs = [\"colour proofs\"]\n\
             [[printer]]\nkey = \"quay\"\nname = \"Quayside Press\"\ncountry = \"US\"",
        )
        .page("one", "full page", "art = \"art/one.png\"")
        .text();
    let book = book::read(&text).unwrap();
    let object = book::object::Object::of_pages(&book, 16, vec![8, 8]);
    let digest = "0123456789ab";
    let request = Request::new(
        &book,
        &object,
        &book.printers[0],
        7,
        date(2027, 1, 2),
        digest,
    );
    assert_eq!(request.reference(), "R7-quay-012345");
    assert_eq!(request.quantities, [70, 100, 130]);
    assert_eq!(
        request.one_offs,
        ["printing plates", "colour proofs", "dies for foil"]
    );
    assert_eq!(request.plates[0].what, "foil, silver, on the cover, front");
    assert_eq!(request.letter().paper, Paper::UsLetter);
}

#[test]
fn a_printer_abroad_is_asked_about_the_way() {
    let mut request = request();
    let asked = |request: &Request| request.e_mail().contains("The way here");
    assert!(!asked(&request));
    request.printer.home = false;
    assert!(asked(&request));
}

#[test]
fn a_book_without_a_wish_asks_for_quantities_that_suit() {
    let mut request = request();
    request.quantities.clear();
    request.deliveries.clear();
    request.ask = Ask::default();
    request.printer.email.clear();
    let e_mail = request.e_mail();
    assert!(
        e_mail.starts_with(
            "To: (the book has no address for this printer)\n\
             Subject: Request for prices: “The Night Ferry”\n"
        ),
        "{e_mail}"
    );
    assert!(
        e_mail.contains("three quantities that suit your presses"),
        "{e_mail}"
    );
    // Without a sender the author signs.
    assert!(e_mail.trim_end().ends_with("Ines Almada"), "{e_mail}");
    assert_eq!(request.letter().set().unwrap().pages.len(), 3);
}

#[test]
fn what_a_person_writes_adds_no_line_to_the_head_of_the_e_mail() {
    let mut request = request();
    request.title = "Ferry\nBcc: someone@else.example\r\nX: y".to_owned();
    request.printer.email = "a@b.example\nCc: c@d.example".to_owned();
    let e_mail = request.e_mail();
    let head: Vec<&str> = e_mail.lines().take(3).collect();
    assert!(head[0].starts_with("To: ") && head[1].starts_with("Subject: ") && head[2].is_empty());
}

#[test]
fn forty_finishings_flow_over_the_pages_and_each_is_there() {
    let mut request = request();
    request.plates = (0..40)
        .map(|n| Plate {
            name: format!("plate no. {n} of the long night"),
            what: "foil, gold, on the jacket, front".to_owned(),
        })
        .collect();
    let set = request.letter().set().unwrap();
    assert!(set.pages.len() >= 4, "{}", set.pages.len());
    let words = copied(&set);
    for plate in &request.plates {
        assert!(words.contains(&bare(&plate.name)), "{}", plate.name);
    }
}

#[test]
fn names_in_a_script_that_no_typeface_has_are_whole_in_the_e_mail() {
    let mut request = request();
    request.printer.name = "海岸印刷所".to_owned();
    assert_eq!(request.letter().set().unwrap().missing.len(), 5);
    assert!(request.e_mail().contains("Dear 海岸印刷所,"));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(6))]

    #[test]
    fn whatever_is_written_there_are_a_letter_and_an_e_mail(
        title in "\\PC{0,60}",
        name in "\\PC{0,200}",
        from in "(\\PC|\n){0,200}",
        place in "\\PC{0,300}",
        number in any::<u32>(),
        quantities in prop::collection::vec(any::<u64>(), 0..9),
        digest in "\\PC{0,20}",
        lines in 0usize..60,
    ) {
        let mut request = request();
        request.title = title;
        request.printer.name = name.clone();
        request.printer.country = digest.clone();
        request.ask.from = from;
        request.deliveries[0].place = place;
        request.number = number;
        request.quantities = quantities;
        request.digest = digest;
        request.plates = (0..lines)
            .map(|n| Plate { name: format!("{n} {name}"), what: name.clone() })
            .collect();
        let set = request.letter().set();
        prop_assert!(set.is_ok(), "{:?}", set.err());
        let set = set.unwrap();
        prop_assert!(set.pages.len() >= 2);
        prop_assert!(set.pages.iter().all(|page| page.depth() < set.size.height));
        prop_assert!(request.e_mail().starts_with("To: "));
    }
}
