//! Answers from fields.

use measure::{Currency, Money};
use price::PriceError;
use price::answer::{Draft, FreightSaid, Said};
use proptest::prelude::*;

#[test]
fn fields_make_an_answer() {
    let reading = Draft::from_fields(&[
        ("printer", "quay"),
        ("request", "R3-quay-1a2b3c"),
        ("currency", "eur"),
        ("total 1000", "9200"),
        ("each 500", "EUR 11.4525"),
        ("one-off printing plates", "640.00"),
        ("term", "DAP Port Ellery"),
        ("freight", "included"),
        ("lead", "25 working days"),
        ("overs", "5 %"),
        ("valid", "2027-01-31"),
        ("notes", ""),
    ]);
    assert_eq!(reading.doubts, []);
    let answer = reading.plain().unwrap();
    let eur = |minor| Money::from_minor(minor, Currency::EUR);
    assert_eq!(answer.request, Some(3));
    assert_eq!(answer.prices[0].copies, 500);
    assert!(matches!(answer.prices[0].price, Said::Each(_)));
    assert_eq!(answer.prices[0].total().unwrap(), eur(572_625));
    assert_eq!(answer.prices[1].total().unwrap(), eur(920_000));
    assert_eq!(answer.one_offs[0].cost, eur(64_000));
    assert_eq!(answer.freight, FreightSaid::Included);
    assert_eq!(answer.term_place, "Port Ellery");
    assert_eq!(answer.lead.unwrap().working_days, 25);
}

#[test]
fn what_cannot_be_read_is_a_doubt_and_is_left_out_and_what_is_inexact_is_taken_if_agreed() {
    let reading = Draft::from_fields(&[
        ("printer", "quay"),
        ("currency", "EUR"),
        ("each 500", "approx. 9"),
        ("each 800", "USD 9.10"),
        ("each 1000", "8.70"),
        ("valid", "soon"),
        ("colour", "red"),
    ]);
    let cells: Vec<&str> = reading
        .doubts
        .iter()
        .map(|doubt| doubt.cell.as_str())
        .collect();
    assert_eq!(cells, ["each 500", "each 800", "valid", "colour"]);
    assert!(matches!(
        reading.clone().plain(),
        Err(PriceError::Doubtful(_))
    ));
    assert_eq!(reading.doubts[0].taken.as_deref(), Some("9"));
    let copies: Vec<u64> = reading
        .agreed()
        .unwrap()
        .prices
        .iter()
        .map(|one| one.copies)
        .collect();
    assert_eq!(copies, [500, 1000]);
}

#[test]
fn one_sign_before_three_digits_is_thousands_in_a_total_and_decimals_in_a_copy() {
    let reading = Draft::from_fields(&[
        ("printer", "quay"),
        ("currency", "EUR"),
        ("total 500", "4.750"),
        ("each 800", "9,452"),
        ("one-off dies", "1.250,50"),
    ]);
    let taken: Vec<Option<&str>> = reading
        .doubts
        .iter()
        .map(|doubt| doubt.taken.as_deref())
        .collect();
    assert_eq!(taken, [Some("4750"), Some("9.452")]);
    let answer = reading.agreed().unwrap();
    assert_eq!(answer.prices[0].total().unwrap().minor(), 475_000);
    assert_eq!(answer.prices[1].total().unwrap().minor(), 756_160);
    assert_eq!(answer.one_offs[0].cost.minor(), 125_050);
    let kept = answer.fields();
    let kept: Vec<(&str, &str)> = kept.iter().map(|(a, b)| (&**a, &**b)).collect();
    assert_eq!(Draft::from_fields(&kept).plain(), Ok(answer));
}

#[test]
fn an_answer_needs_a_printer_a_currency_and_one_price_a_quantity() {
    let answer = |fields: &[(&str, &str)]| Draft::from_fields(fields).plain();
    let whole = [("printer", "quay"), ("currency", "EUR"), ("each 5", "9")];
    assert!(answer(&whole).is_ok());
    for missing in 0..3 {
        let mut some = whole.to_vec();
        some.remove(missing);
        assert!(matches!(answer(&some), Err(PriceError::Lacking(_))));
    }
    let mut twice = whole.to_vec();
    twice.push(("total 5", "45"));
    assert_eq!(answer(&twice), Err(PriceError::Twice(5)));
    let mut nothing = whole.to_vec();
    nothing[2] = ("each 5", "0");
    assert!(matches!(answer(&nothing), Err(PriceError::NoAmount(_))));
}

#[test]
fn what_is_said_later_takes_the_place_of_what_was_said_before() {
    let draft = |fields: &[(&str, &str)]| Draft::from_fields(fields).draft;
    let sheet = draft(&[
        ("printer", "quay"),
        ("each 500", "9"),
        ("each 800", "8"),
        ("one-off dies", "40"),
    ]);
    let typed = draft(&[
        ("currency", "GBP"),
        ("total 500", "4400"),
        ("freight", "90"),
    ]);
    let answer = sheet.with(typed).answer().unwrap();
    let totals: Vec<i64> = answer
        .prices
        .iter()
        .map(|quoted| quoted.total().unwrap().minor())
        .collect();
    assert_eq!(totals, [440_000, 640_000]);
    assert_eq!(answer.one_offs.len(), 1);
    assert_eq!(answer.currency, Currency::GBP);
}

proptest! {
    #[test]
    fn any_fields_are_read_without_harm(
        fields in prop::collection::vec(
            ("(each|total|freight|one-off|term|lead|overs|valid|currency)( [0-9]{0,22}| .{0,5})?", ".{0,24}"),
            0..12,
        ),
    ) {
        let fields: Vec<(&str, &str)> = fields
            .iter()
            .map(|(name, value)| (name.as_str(), value.as_str()))
            .collect();
        let mut all = vec![("printer", "quay"), ("currency", "EUR"), ("each 7", "1.25")];
        all.extend(fields);
        let reading = Draft::from_fields(&all);
        for doubt in &reading.doubts {
            prop_assert!(!doubt.why.is_empty());
        }
        if let Ok(answer) = reading.agreed() {
            let kept = answer.fields();
            let fields: Vec<(&str, &str)> = kept
                .iter()
                .map(|(name, value)| (name.as_str(), value.as_str()))
                .collect();
            prop_assert_eq!(Draft::from_fields(&fields).plain(), Ok(answer));
        }
    }
}
