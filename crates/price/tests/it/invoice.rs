//! Invoices held against prices.

use measure::Money;
use price::PriceError;
use price::answer::{Answer, Draft};
use price::invoice::{Invoice, InvoiceRead, hold};
use proptest::prelude::*;

fn answer(more: &[(&str, &str)]) -> Answer {
    let mut fields = vec![
        ("printer", "quay"),
        ("currency", "EUR"),
        ("total 800", "8000"),
        ("total 1050", "9800"),
        ("one-off printing plates", "380"),
        ("freight 800", "340"),
        ("overs", "5%"),
        ("unders", "2%"),
    ];
    fields.extend(more);
    Draft::from_fields(&fields).plain().unwrap()
}

fn invoice(fields: &[(&str, &str)]) -> Invoice {
    let mut all = vec![("currency", "EUR")];
    all.extend(fields);
    let (invoice, doubts) = Invoice::from_fields(&all).unwrap();
    assert_eq!(doubts, []);
    invoice
}

fn codes(read: &InvoiceRead) -> Vec<&'static str> {
    read.findings.iter().map(|finding| finding.code).collect()
}

fn eur(text: &str) -> Money {
    format!("EUR {text}").parse().unwrap()
}

#[test]
fn an_invoice_as_asked_has_nothing_found() {
    let plain = invoice(&[
        ("delivered", "800"),
        ("print", "8000"),
        ("one-off Printing plates", "380"),
        ("freight", "340"),
        ("tax", "610.40"),
        ("total", "9330.40"),
    ]);
    let read = hold(&plain, &answer(&[]), 800, None).unwrap();
    assert_eq!(codes(&read), Vec::<&str>::new());
    assert_eq!((read.sum, read.expected), (eur("9330.40"), eur("9330.40")));
}

/// 800 ordered, 5 % of overs are 40; 850 came. 840 may be billed at 10.00 each: 8,400.
#[test]
fn overs_are_billed_up_to_what_was_agreed() {
    let over = invoice(&[("delivered", "850"), ("print", "8000"), ("overs", "500")]);
    let read = hold(&over, &answer(&[]), 800, None).unwrap();
    assert_eq!(read.held[0].asked, Some(eur("8400")));
    assert_eq!(read.held[0].difference().unwrap(), eur("100"));
    let found = codes(&read);
    for code in [
        "invoice-overs-beyond",
        "invoice-overs-billed",
        "invoice-print-over",
    ] {
        assert!(found.contains(&code), "{code}: {found:?}");
    }
    // What was agreed and is not billed yet makes the sum look small.
    let within = invoice(&[("delivered", "830"), ("print", "8300")]);
    assert_eq!(
        codes(&hold(&within, &answer(&[]), 800, None).unwrap()),
        ["invoice-overs-within", "invoice-charges-open"]
    );
}

#[test]
fn copies_that_lack_are_not_paid() {
    let short = invoice(&[("delivered", "790"), ("billed", "800"), ("print", "8000")]);
    let read = hold(&short, &answer(&[]), 800, None).unwrap();
    assert_eq!(
        codes(&read),
        [
            "invoice-unders-within",
            "invoice-billed-undelivered",
            "invoice-print-over",
            "invoice-charges-open"
        ]
    );
    assert_eq!(read.held[0].asked, Some(eur("7900")));
    let far = invoice(&[("delivered", "700"), ("print", "7000")]);
    assert_eq!(
        codes(&hold(&far, &answer(&[]), 800, None).unwrap()),
        ["invoice-copies-short", "invoice-charges-open"]
    );
}

#[test]
fn charges_that_nobody_spoke_of_are_named() {
    let more = invoice(&[
        ("delivered", "800"),
        ("print", "8000"),
        ("one-off printing plates", "420"),
        ("one-off storage", "60"),
        ("freight", "395.5"),
        ("alterations new title page", "120"),
        ("other pallets", "30"),
        ("total", "9000"),
    ]);
    let read = hold(&more, &answer(&[]), 800, None).unwrap();
    assert_eq!(
        codes(&read),
        [
            "invoice-charge-over",
            "invoice-charge-unasked",
            "invoice-freight-over",
            "invoice-alterations",
            "invoice-charge-unasked",
            "invoice-sum-wrong",
        ]
    );
    assert_eq!(read.sum, eur("9025.50"));
    let sum = read.findings.last().unwrap();
    assert!(sum.message.contains("EUR -25.50"), "{}", sum.message);
}

#[test]
fn freight_is_held_against_the_answer_or_an_estimate() {
    let billed = invoice(&[("delivered", "800"), ("print", "8000"), ("freight", "500")]);
    let of = |more: &[(&str, &str)], own| {
        let fields = [
            &[("printer", "q"), ("currency", "EUR"), ("total 800", "8000")][..],
            more,
        ]
        .concat();
        let answer = Draft::from_fields(&fields).plain().unwrap();
        codes(&hold(&billed, &answer, 800, own).unwrap())
    };
    assert_eq!(of(&[], None), ["invoice-freight-unasked"]);
    assert_eq!(of(&[], Some(eur("450"))), ["invoice-freight-over"]);
    assert_eq!(of(&[], Some(eur("500"))), Vec::<&str>::new());
    assert_eq!(
        of(&[("freight", "included")], None),
        ["invoice-freight-over"]
    );
    assert_eq!(of(&[("freight", "600")], None), ["invoice-freight-under"]);
}

#[test]
fn an_invoice_that_cannot_be_held_says_why() {
    let lacking = |fields: &[(&str, &str)]| Invoice::from_fields(fields).unwrap_err();
    assert!(matches!(lacking(&[]), PriceError::Lacking(_)));
    assert!(matches!(
        lacking(&[("currency", "EUR"), ("print", "9")]),
        PriceError::Lacking(_)
    ));
    let (_, doubts) = Invoice::from_fields(&[
        ("currency", "EUR"),
        ("delivered", "800"),
        ("print", "8000"),
        ("freight", "USD 90"),
        ("one-off dies", "about 40"),
    ])
    .unwrap();
    assert_eq!(doubts.len(), 2);
    let dollars = Invoice::from_fields(&[("delivered", "8"), ("print", "USD 80")]).unwrap();
    assert!(hold(&dollars.0, &answer(&[]), 800, None).is_err());
    let none = invoice(&[("delivered", "0"), ("print", "80")]);
    assert!(hold(&none, &answer(&[]), 0, None).is_err());
}

proptest! {
    #[test]
    fn the_lines_of_any_invoice_are_all_accounted_for(
        delivered in 0_u64..2_000,
        ordered in 1_u64..2_000,
        costs in prop::collection::vec(
            ("(print|overs|one-off|freight|alterations|tax|other)( [a-z]{1,4})?", 0_u32..999_999),
            1..8,
        ),
    ) {
        let mut fields = vec![
            ("currency".to_owned(), "EUR".to_owned()),
            ("delivered".to_owned(), delivered.to_string()),
        ];
        fields.extend(costs.into_iter().map(|(name, cost)| (name, cost.to_string())));
        let text = |fields: &[(String, String)]| -> Invoice {
            let fields: Vec<(&str, &str)> = fields
                .iter()
                .map(|(name, value)| (name.as_str(), value.as_str()))
                .collect();
            Invoice::from_fields(&fields).unwrap().0
        };
        if fields.iter().any(|(name, _)| name.contains("overs") || name.contains("print")) {
            let invoice = text(&fields);
            prop_assert_eq!(&text(&invoice.fields()), &invoice);
            let read = hold(&invoice, &answer(&[]), ordered, None).unwrap();
            let mut billed = eur("0");
            for held in &read.held {
                billed = billed.plus(held.billed.unwrap_or(eur("0"))).unwrap();
            }
            prop_assert_eq!(billed, read.sum);
        }
    }
}
