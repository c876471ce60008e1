//! Asking printers and the footing of comparison, as they stand in the book file.

use book::edit::{Edit, apply};
use book::{Ask, Book, DutyOn, Landing, ProofWanted, Term, read};
use jiff::civil::date;
use measure::{Currency, Decimal};
use proptest::prelude::*;

use crate::builder::BookText;

const WHOLE: &str = r#"
[ask]
copies = 800
quantities = [1000, 500, 800, 500]
proofs = ["advance copies", "colour proofs", "colour proofs"]
packing = "shrink-wrapped singly, cartons under 12 kg"
term = "DAP"
overs = "5%"
unders = "0 %"
payment = "half with the order, half before dispatch"
valid_days = 60
answer_by = 2026-12-20
from = """
  Ines Almada

4 Harbour Lane, Port Ellery
"""

# Where I live.
[[delivery]]
place = "Studio, 4 Harbour Lane, Port Ellery"
country = "xa"
share = "70%"

[[delivery]]
place = "Store No. 3, Westmouth"
country = "XB"
share = "30%"

[[printer]]
key = "quay"
name = "Quayside Press"
place = "Port Ellery"
country = "XA"
zone = "Europe/Lisbon"
language = "pt-BR"
email = "prices@quay.example"
makes = "sewn cases, foil"
found = "colophon of a book I like"

# She answers by telephone only.
[[printer]]
key = "harbour"
country = "XC"

[landing]
currency = "EUR"
insurance = "0.4%"
spoilage = "1%"
bank_fee = "EUR 20"
interest = "6%"

[[rate]]
from = "USD"
to = "EUR"
rate = "0.92"
on = "2026-11-20"
by = "central bank's list"

[[import]]
printer = "harbour"
duty = "0%"
duty_on = "goods"
tax = "7%"
broker = "EUR 120"
by = "customs broker, by e-mail"

[[freight]]
printer = "harbour"
term = "FOB"
fixed = "USD 700"
each = "USD 0.5525"
on = "2026-11-18"
by = "forwarder"
"#;

fn with(lines: &str) -> String {
    format!("{}{lines}", BookText::default().blanks(1).text())
}

fn book(lines: &str) -> Book {
    let text = with(lines);
    read(&text).unwrap_or_else(|errors| panic!("{errors}\n{text}"))
}

fn decimal(text: &str) -> Decimal {
    text.parse().unwrap()
}

fn set(text: &str, key: &str, value: &str) -> (String, String) {
    let edit = Edit::Set {
        key: key.to_owned(),
        value: value.to_owned(),
    };
    apply(text, &edit).unwrap_or_else(|errors| panic!("{key}: {errors}\n{text}"))
}

#[test]
fn all_that_is_asked_is_read_as_it_is_written() {
    let book = book(WHOLE);
    let ask = &book.ask;
    assert_eq!(ask.copies, Some(800));
    assert_eq!(ask.quantities(), [500, 800, 1000]);
    assert_eq!(ask.proofs, [ProofWanted::Colour, ProofWanted::Advance]);
    assert_eq!(ask.term, Some(Term::Dap));
    assert_eq!(ask.overs, Some(decimal("0.05")));
    assert_eq!(ask.unders, Some(Decimal::ZERO));
    assert_eq!(ask.valid_days, Some(60));
    assert_eq!(ask.answer_by, Some(date(2026, 12, 20)));
    assert_eq!(ask.from, "Ines Almada\n4 Harbour Lane, Port Ellery");
    let shares: Vec<Decimal> = book.deliveries.iter().map(|one| one.share).collect();
    assert_eq!(shares, [decimal("0.7"), decimal("0.3")]);
    assert_eq!(book.deliveries[0].country, "XA");
    let [quay, harbour] = book.printers.as_slice() else {
        panic!("{:?}", book.printers)
    };
    assert_eq!(quay.email, "prices@quay.example");
    assert_eq!((quay.home, harbour.home), (true, false));
    assert_eq!(
        harbour.name, "harbour",
        "without a name the key stands for it"
    );
    let landing = &book.landing;
    assert_eq!(landing.insurance, Some(decimal("0.004")));
    assert_eq!(landing.bank_fee.unwrap().to_string(), "EUR 20.00");
    let rate = landing.rate_between(Currency::EUR, Currency::USD).unwrap();
    assert_eq!((rate.rate, rate.on), (decimal("0.92"), date(2026, 11, 20)));
    assert_eq!(landing.interest, Some(decimal("0.06")));
    let import = landing.import_from("harbour").unwrap();
    assert_eq!(import.tax, Some(decimal("0.07")));
    assert_eq!(import.duty_on, DutyOn::Goods);
    let freight = landing.freight_from("harbour", Term::Fob).unwrap();
    assert_eq!(freight.fixed.to_string(), "USD 700.00");
    assert_eq!(freight.each.amount(), decimal("0.5525"));
    assert!(landing.freight_from("harbour", Term::Exw).is_none());
    assert!(landing.import_from("quay").is_none());
}

#[test]
fn a_book_that_asks_nothing_has_no_wishes() {
    let book = book("");
    assert_eq!(book.ask, Ask::default());
    assert_eq!(book.landing, Landing::default());
    assert!(book.deliveries.is_empty() && book.printers.is_empty());
    assert!(book.ask.quantities().is_empty());
    assert_eq!(book.landing.currency, Currency::EUR);
}

#[test]
fn around_a_wish_three_quantities_are_asked_for() {
    for (copies, wanted) in [
        (800, vec![550, 800, 1050]),
        (1000, vec![700, 1000, 1300]),
        (333, vec![250, 333, 450]),
        (200, vec![150, 200, 250]),
        (100, vec![70, 100, 130]),
        (45, vec![30, 45, 60]),
        (12, vec![8, 12, 16]),
        (2, vec![1, 2, 3]),
        (1, vec![1]),
    ] {
        let ask = Ask {
            copies: Some(copies),
            ..Ask::default()
        };
        assert_eq!(ask.quantities(), wanted, "{copies}");
    }
}

#[test]
fn a_place_without_a_share_gets_what_the_others_leave() {
    let shares = |lines: &str| {
        book(lines)
            .deliveries
            .iter()
            .map(|one| one.share.to_string())
            .collect::<Vec<_>>()
    };
    let place = |name: &str| format!("[[delivery]]\nplace = \"{name}\"\n");
    assert_eq!(shares(&place("a")), ["1"]);
    assert_eq!(
        shares(&[place("a"), "share = \"70%\"\n".to_owned(), place("b")].concat()),
        ["0.7", "0.3"]
    );
    assert_eq!(
        shares(&[place("a"), place("b"), place("c")].concat()),
        ["0.333333333", "0.333333333", "0.333333334"]
    );
}

#[test]
fn home_is_where_the_first_delivery_goes_unless_it_is_said() {
    let home = |lines: &str| book(lines).printers[0].home;
    let printer = "[[printer]]\nkey = \"quay\"\n";
    let country = "country = \"XA\"\n";
    let delivery = "[[delivery]]\nplace = \"Studio\"\n";
    assert!(home(&[delivery, country, printer, country].concat()));
    assert!(!home(
        &[delivery, country, printer, "country = \"XB\"\n"].concat()
    ));
    assert!(home(
        &[
            delivery,
            country,
            printer,
            "country = \"XB\"\nhome = true\n"
        ]
        .concat()
    ));
    assert!(!home(
        &[delivery, country, printer, country, "home = false\n"].concat()
    ));
    // Two countries that nobody has said are not the same one.
    assert!(!home(&[delivery, printer].concat()));
    assert!(!home(printer));
}

#[test]
fn what_is_wrong_is_told_with_its_line_and_a_remedy() {
    let printer = "[[printer]]\nkey = \"quay\"\n";
    let rate = "[[rate]]\nfrom = \"USD\"\nto = \"EUR\"\nrate = \"0.92\"\non = \"2026-11-20\"\nby = \"bank\"\n";
    let freight =
        "[[freight]]\nprinter = \"quay\"\nterm = \"FOB\"\neach = \"USD 1\"\non = \"2026-11-20\"\n";
    let import = "[[import]]\nprinter = \"quay\"\ntax = \"7%\"\n";
    let rows: &[(String, u32, &str, &str)] = &[
        ("[ask]\ncopies = 0\n".to_owned(), 2, "number of copies is `0`", "1 to 1000000"),
        ("[ask]\ncopies = -5\n".to_owned(), 2, "number of copies is `-5`", "1 to"),
        ("[ask]\ncopies = \"many\"\n".to_owned(), 2, "a whole number", "copies = 800"),
        ("[ask]\ncopies = 8.5\n".to_owned(), 2, "a whole number", "copies = 800"),
        ("[ask]\nquantities = [500,\n 0]\n".to_owned(), 3, "number of copies is `0`", "1 to"),
        ("[ask]\nquantities = [500, \"x\"]\n".to_owned(), 2, "whole numbers in brackets", "[500, 800, 1000]"),
        ("[ask]\nquantities = \"500, 800\"\n".to_owned(), 2, "whole numbers in brackets", "[500, 800, 1000]"),
        ("[ask]\nproofs = [\"color proofs\"]\n".to_owned(), 2, "`colour proofs`", "Did you mean `colour proofs`?"),
        ("[ask]\nproofs = [1]\n".to_owned(), 2, "texts in quotes", "blank dummy"),
        ("[ask]\nproofs = { a = 1 }\n".to_owned(), 2, "texts in quotes", "blank dummy"),
        ("[ask]\nterm = \"DAB\"\n".to_owned(), 2, "`DAP`", "Did you mean `DAP`?"),
        ("[ask]\novers = \"5\"\n".to_owned(), 2, "a share in percent", "\"5%\""),
        ("[ask]\novers = 5\n".to_owned(), 2, "text in quotes", "\"5%\""),
        ("[ask]\novers = \"-1%\"\n".to_owned(), 2, "the overs that are taken is `-1%`", "0 to 50 %"),
        ("[ask]\nvalid_days = 9999\n".to_owned(), 2, "`9999`", "1 to 730"),
        ("[ask]\nanswer_by = \"2026-02-30\"\n".to_owned(), 2, "a day of the calendar", "2026-12-20"),
        ("[ask]\nanswer_by = 2026-12-20T10:00:00Z\n".to_owned(), 2, "a day of the calendar", "2026-12-20"),
        ("[ask]\nanswer_by = \"0026-12-20\"\n".to_owned(), 2, "the year is `0026-12-20`", "2000 to 2199"),
        ("[ask]\nanswer_by = true\n".to_owned(), 2, "text in quotes", "2026-12-20"),
        ("[ask]\nfrom = \"a\\u0000b\"\n".to_owned(), 2, "signs that cannot be seen", "Name and address"),
        ("[ask]\ncopy = 800\n".to_owned(), 2, "`copy` is not known in `[ask]`", "copies"),
        ("[ask]\n[[ask.page]]\n".to_owned(), 2, "`page` is not known", "copies"),
        ("[[ask]]\ncopies = 800\n".to_owned(), 1, "a section", "[ask]"),
        ("[delivery]\nplace = \"x\"\n".to_owned(), 1, "each place under its own", "[[delivery]]"),
        ("[[delivery]]\nshare = \"100%\"\n".to_owned(), 1, "does not say `place`", "place = "),
        ("[[delivery]]\nplace = \"a\"\nshare = \"60%\"\n[[delivery]]\nplace = \"b\"\nshare = \"30%\"\n".to_owned(), 1, "sum to 90%", "Leave the share of one place out"),
        ("[[delivery]]\nplace = \"a\"\nshare = \"33.3%\"\n".to_owned(), 1, "sum to 33.3%", "Leave the share"),
        ("[[delivery]]\nplace = \"a\"\nshare = \"100%\"\n[[delivery]]\nplace = \"b\"\n".to_owned(), 4, "nothing is left for `b`", "smaller"),
        ("[[delivery]]\nplace = \"a\"\nshare = \"0%\"\n".to_owned(), 3, "`0%`", "100 %"),
        ("[[delivery]]\nplace = \"a\"\n[[delivery]]\nplace = \" a \"\n".to_owned(), 3, "the delivery to `a` is said already", "Keep one"),
        ("[[delivery]]\nplace = \"a\"\ncountry = \"Portugal\"\n".to_owned(), 3, "the two letters of a country", "XA"),
        ("[[printer]]\nname = \"x\"\n".to_owned(), 1, "does not say `key`", "key = \"quay\""),
        ("[[printer]]\nkey = \"Quay Side\"\n".to_owned(), 2, "cannot be the short name", "small letters"),
        ("[[printer]]\nkey = \"../quay\"\n".to_owned(), 2, "cannot be the short name", "small letters"),
        (format!("[[printer]]\nkey = \"{}\"\n", "a".repeat(31)), 2, "the length of a printer's short name", "1 to 30"),
        ([printer, printer].concat(), 3, "the name `quay` is taken", "`quay-2`"),
        (format!("{printer}email = \"quay\"\n"), 3, "one e-mail address", "quay.example"),
        (format!("{printer}email = \"a@b.example, c@d.example\"\n"), 3, "one e-mail address", "quay.example"),
        (format!("{printer}zone = \"CET +1\"\n"), 3, "a time zone", "Europe/Lisbon"),
        (format!("{printer}language = \"english\"\n"), 3, "a language", "en"),
        (format!("{printer}home = \"yes\"\n"), 3, "`true` or `false`", "home = true"),
        ("[landing]\ncurrency = \"Euro\"\n".to_owned(), 2, "code of a currency", "EUR"),
        ("[landing]\ncurrency = \"XXQ\"\n".to_owned(), 2, "code of a currency", "EUR"),
        ("[landing]\nbank_fee = 20\n".to_owned(), 2, "text in quotes", "EUR 20"),
        ("[landing]\nbank_fee = \"20\"\n".to_owned(), 2, "a sum with its currency", "EUR 20"),
        ("[landing]\nbank_fee = \"EUR 0.001\"\n".to_owned(), 2, "smallest units", "EUR 20"),
        ("[landing]\nbank_fee = \"EUR -1\"\n".to_owned(), 2, "the bank's fee", "0 to"),
        ("[landing]\nspoilage = \"100%\"\n".to_owned(), 2, "the spoilage", "0 to 50 %"),
        (rate.replace("0.92", "0"), 4, "the rate of exchange is `0`", "0.000001 to"),
        (rate.replace("0.92", "-1"), 4, "the rate of exchange", "0.000001 to"),
        (rate.replace("0.92", "0,92"), 4, "a number such as", "0.92"),
        (rate.replace("\"0.92\"", "0.92"), 4, "text in quotes", "\"0.92\""),
        (rate.replace("USD", "EUR"), 1, "goes from EUR to EUR", "two currencies"),
        (rate.replace("by = \"bank\"", ""), 1, "does not say `by`", "by = "),
        (rate.replace("on = \"2026-11-20\"", ""), 1, "does not say `on`", "on = "),
        ([rate, rate].concat(), 7, "the rate between USD and EUR is said already on line", "Keep one"),
        (format!("{rate}{}", rate.replace("USD", "X").replace("EUR", "USD").replace('X', "EUR")), 7, "the rate between EUR and USD is said already", "Keep one"),
        (import.to_owned(), 2, "there is no printer `quay`", "`[[printer]]`"),
        (format!("{printer}{}", import.replace("quay", "qay")), 4, "there is no printer `qay`", "Did you mean `quay`?"),
        (format!("{printer}{import}{import}"), 6, "duty and tax for `quay` is said already", "Keep one"),
        (format!("{printer}{}", import.replace("7%", "700%")), 5, "the tax on imports", "0 to 100 %"),
        (freight.to_owned(), 2, "there is no printer `quay`", "`[[printer]]`"),
        (format!("{printer}{freight}{freight}"), 8, "the freight of `quay` from FOB is said already", "Keep one"),
        (format!("{printer}{freight}fixed = \"EUR 5\"\n"), 3, "is in EUR and in USD", "one currency"),
        (format!("{printer}{}", freight.replace("each = \"USD 1\"", "")), 3, "does not say `each`", "USD 0.55"),
        (format!("{printer}{}", freight.replace("USD 1", "USD -1")), 6, "the freight of one copy", "0 to"),
        (format!("{printer}{}", freight.replace("FOB", "fob")), 5, "`FOB`", "Did you mean `FOB`?"),
        ("[[term]]\nunloading = \"you\"\n".to_owned(), 1, "does not say `term`", "term = "),
        ("[[term]]\nterm = \"DAP\"\nunloading = \"them\"\n".to_owned(), 3, "`them`", "`you`"),
        ("[[term]]\nterm = \"DAP\"\nunloadin = \"you\"\n".to_owned(), 3, "`unloadin`", "Did you mean `unloading`?"),
        ("[[term]]\nterm = \"DAP\"\n[[term]]\nterm = \"DAP\"\n".to_owned(), 3, "the term DAP is said already", "Keep one"),
        (printer.repeat(201), 1, "the number of printers is `201`", "0 to 200"),
    ];
    let start = with("").lines().count() as u32;
    for (lines, line, what, remedy) in rows {
        let errors = read(&with(lines)).expect_err(lines);
        let shown = errors.to_string();
        assert!(
            shown.contains(what),
            "{lines}\nsays\n{shown}\nand not `{what}`"
        );
        assert!(
            shown.contains(remedy),
            "{lines}\nsays\n{shown}\nand not `{remedy}`"
        );
        let found = errors.0[0].line.unwrap_or(0) - start;
        assert_eq!(found, *line, "{lines}\n{shown}");
        assert_eq!(errors.0.len(), 1, "{lines}\n{shown}");
    }
}

#[test]
fn one_misspelt_printer_does_not_make_others_missing() {
    let lines = "[[printer]]\nkey = \"Quay\"\n[[import]]\nprinter = \"Quay\"\ntax = \"7%\"\n";
    let errors = read(&with(lines)).unwrap_err();
    assert_eq!(errors.0.len(), 1, "{errors}");
}

#[test]
fn values_are_set_and_lists_are_typed_with_commas() {
    let text = with("");
    let (text, what) = set(&text, "ask.copies", "800");
    assert_eq!(what, "Set the wished number of copies to `800`");
    let (text, what) = set(&text, "ask.quantities", "500, 800,1000");
    assert_eq!(
        what,
        "Set the quantities that are asked for to `500, 800, 1000`"
    );
    let (text, _) = set(&text, "ask.proofs", "colour proofs, blank dummy");
    let (text, what) = set(&text, "ask.proofs", "[\"press proofs\"]");
    assert_eq!(
        what,
        "Changed the proofs that are asked for from `colour proofs, blank dummy` to `press proofs`"
    );
    let (text, _) = set(&text, "landing.currency", "gbp");
    let book = read(&text).unwrap();
    assert_eq!(book.ask.quantities(), [500, 800, 1000]);
    assert_eq!(book.ask.proofs, [ProofWanted::Press]);
    assert_eq!(book.landing.currency, Currency::GBP);
    let (text, _) = set(&text, "ask.quantities", "");
    assert_eq!(read(&text).unwrap().ask.quantities(), [550, 800, 1050]);
    for (key, value) in [
        ("ask.quantities", "500, many"),
        ("ask.copies", "eight hundred"),
        ("ask.proofs", "colour"),
        ("printer.quay.colour", "red"),
        ("rate.USD.rate", "1"),
        ("delivery.Studio.share", "50%"),
    ] {
        let edit = Edit::Set {
            key: key.to_owned(),
            value: value.to_owned(),
        };
        let errors = apply(&text, &edit).expect_err(key);
        assert!(!errors.0[0].hint().is_empty(), "{key}");
    }
}

#[test]
fn a_printer_is_added_changed_renamed_and_taken_out_with_comments_kept() {
    let before = with(WHOLE);
    let add = Edit::set_entry(
        "printer",
        "north",
        &[("name", "North Light"), ("country", "XA"), ("email", "")],
    );
    let (text, _) = apply(&before, &add).unwrap();
    let book = read(&text).unwrap();
    let north = &book.printers[2];
    assert_eq!(
        (north.key.as_str(), north.name.as_str()),
        ("north", "North Light")
    );
    assert!(north.home);
    let out = Edit::remove_entry("printer", "north").unwrap();
    let (again, what) = apply(&text, &out).unwrap();
    assert_eq!(what, "Took the printer `north` out");
    assert_eq!(again, before);

    // Clearing all but the key leaves a printer who can be asked.
    let (text, _) = set(&text, "printer.north.name", "");
    let (text, _) = set(&text, "printer.north.country", "");
    assert_eq!(read(&text).unwrap().printers[2].name, "north");

    let (text, what) = set(&before, "printer.harbour.key", "delta");
    assert_eq!(
        what,
        "Changed the short name of `harbour` from `harbour` to `delta`"
    );
    let book = read(&text).unwrap();
    assert_eq!(book.landing.imports[0].printer, "delta");
    assert_eq!(book.landing.freights[0].printer, "delta");
    assert_eq!(text.replace("\"delta\"", "\"harbour\""), before);

    let out = Edit::remove_entry("printer", "harbour").unwrap();
    let (text, what) = apply(&before, &out).unwrap();
    assert_eq!(
        what,
        "Took the printer `harbour` out, and its `[[import]]`, and its `[[freight]]`"
    );
    let book = read(&text).unwrap();
    assert_eq!(book.printers.len(), 1);
    assert!(book.landing.imports.is_empty() && book.landing.freights.is_empty());
    assert!(text.contains("# Where I live.\n[[delivery]]"));
    assert!(
        !text.contains("by telephone only"),
        "a remark about the printer goes with it"
    );
    assert_eq!(Edit::remove_entry("ask", "quay"), None);
}

#[test]
fn taking_a_printer_out_leaves_no_calendar_behind_that_names_it() {
    let text = with(
        "\n[[printer]]\nkey = \"quay\"\n\n[dates]\nprinter = \"quay\" # of them\nsurety = \"80%\"\n",
    );
    let (renamed, _) = set(&text, "printer.quay.key", "pier");
    assert!(
        renamed.contains("printer = \"pier\" # of them"),
        "{renamed}"
    );
    read(&renamed).unwrap();
    let (out, what) = set(&text, "printer.quay.key", "");
    assert_eq!(what, "Took the printer `quay` out, and `dates.printer`");
    read(&out).unwrap();
    assert!(out.contains("[dates]\nsurety"), "{out}");
}

#[test]
fn places_rates_duties_and_freights_are_named_by_what_tells_them_apart() {
    let text = with(WHOLE);
    let (text, what) = set(&text, "delivery.Store No. 3, Westmouth.country", "XA");
    assert_eq!(
        what,
        "Changed the country of `Store No. 3, Westmouth` from `XB` to `XA`"
    );
    let (text, _) = set(&text, "rate.USD EUR.rate", "0.95");
    let (text, _) = set(&text, "import.harbour.tax", "5.5%");
    let (text, what) = set(&text, "freight.harbour FOB.each", "USD 0.6");
    assert_eq!(
        what,
        "Changed the freight of one copy of `harbour FOB` from `USD 0.5525` to `USD 0.6`"
    );
    let add = Edit::set_entry(
        "rate",
        "GBP EUR",
        &[("rate", "1.15"), ("on", "2026-11-20"), ("by", "bank")],
    );
    let (text, _) = apply(&text, &add).unwrap();
    let add = Edit::set_entry(
        "freight",
        "harbour EXW",
        &[("fixed", "USD 900"), ("on", "2026-11-20")],
    );
    let (text, _) = apply(&text, &add).unwrap();
    let landing = read(&text).unwrap().landing;
    let rates: Vec<String> = landing
        .rates
        .iter()
        .map(|rate| rate.rate.to_string())
        .collect();
    assert_eq!(rates, ["0.95", "1.15"]);
    assert_eq!(landing.imports[0].tax, Some(decimal("0.055")));
    assert_eq!(
        landing
            .freight_from("harbour", Term::Fob)
            .unwrap()
            .each
            .amount(),
        decimal("0.6")
    );
    assert!(landing.freight_from("harbour", Term::Exw).is_some());
    let (text, what) = set(&text, "freight.harbour EXW.printer", "");
    assert_eq!(what, "Took the freight of `harbour EXW` out");
    assert_eq!(read(&text).unwrap().landing.freights.len(), 1);
    // Of duty and tax nothing is left when the last figure goes.
    let mut text = text;
    for key in ["duty", "duty_on", "tax", "broker", "by"] {
        text = set(&text, &format!("import.harbour.{key}"), "").0;
    }
    assert!(!text.contains("[[import]]"));
}

fn words() -> impl Strategy<Value = String> {
    "[A-Za-zäé0-9\"\\\\#=\\[\\]',.%-]{1,12}( [A-Za-zäé0-9\"\\\\#=\\[\\]',.%-]{1,12}){0,3}"
}

proptest! {
    #[test]
    fn quantities_rise_around_the_wish(copies in 1_u64..=1_000_000) {
        let ask = Ask { copies: Some(copies), ..Ask::default() };
        let quantities = ask.quantities();
        prop_assert!(quantities.contains(&copies));
        prop_assert!(quantities.is_sorted_by(|a, b| a < b), "{quantities:?}");
        for quantity in &quantities {
            let ratio = *quantity as f64 / copies as f64;
            // No rounding moves a quantity further than half its step.
            prop_assert!((0.49..=1.51).contains(&ratio), "{quantities:?}");
        }
    }

    #[test]
    fn shares_sum_to_exactly_one_or_are_refused(
        shares in prop::collection::vec(prop::option::of(1_u32..120), 1..6),
    ) {
        let lines: String = shares
            .iter()
            .enumerate()
            .map(|(index, share)| {
                let share = share.map_or_else(String::new, |share| format!("share = \"{share}%\"\n"));
                format!("[[delivery]]\nplace = \"p{index}\"\n{share}")
            })
            .collect();
        let said: u32 = shares.iter().flatten().sum();
        let open = shares.iter().filter(|share| share.is_none()).count();
        let possible = shares.iter().flatten().all(|share| *share <= 100)
            && if open == 0 { said == 100 } else { said < 100 };
        match read(&with(&lines)) {
            Ok(book) => {
                prop_assert!(possible, "{lines}");
                let sum = book.deliveries.iter().fold(Decimal::ZERO, |sum, one| sum.plus(one.share).unwrap());
                prop_assert_eq!(sum, Decimal::ONE);
                prop_assert!(book.deliveries.iter().all(|one| one.share.is_positive()));
            }
            Err(errors) => prop_assert!(!possible, "{lines}{errors}"),
        }
    }

    #[test]
    fn what_is_set_reads_back_and_taking_it_out_restores_every_line(
        whole in any::<bool>(),
        windows in any::<bool>(),
        key in "[a-z0-9]{1,8}(-[a-z0-9]{1,8}){0,1}",
        name in words(),
        place in words(),
        makes in words(),
        home in any::<bool>(),
    ) {
        let mut before = with(if whole { WHOLE } else { "" });
        if windows {
            before = before.replace('\n', "\r\n");
        }
        prop_assume!(key != "quay" && key != "harbour");
        let home_word = home.to_string();
        let add = Edit::set_entry("printer", &key, &[
            ("name", &name), ("place", &place), ("makes", &makes), ("home", &home_word),
        ]);
        let (text, _) = apply(&before, &add).unwrap();
        let book = read(&text).unwrap();
        let printer = book.printers.last().unwrap();
        prop_assert_eq!(&printer.key, &key);
        prop_assert_eq!((&printer.name, &printer.place, &printer.makes), (&name, &place, &makes));
        prop_assert_eq!(printer.home, home);
        let (after, _) = apply(&text, &Edit::remove_entry("printer", &key).unwrap()).unwrap();
        // Only how many blank lines part two sections may be others.
        let lines = |text: &str| -> Vec<String> {
            text.lines().filter(|line| !line.trim().is_empty()).map(str::to_owned).collect()
        };
        prop_assert_eq!(lines(&after), lines(&before));
    }

    #[test]
    fn no_section_of_asking_makes_a_panic(
        lines in prop::collection::vec(
            ("(\\[(ask|landing|rate)\\]|\\[\\[(delivery|printer|rate|import|freight|ask)\\]\\]|\
              (copies|quantities|proofs|packing|term|overs|unders|payment|valid_days|answer_by|from|place|\
              country|share|key|name|zone|language|email|home|currency|insurance|bank_fee|interest|to|rate|on|by|\
              printer|duty|duty_on|tax|broker|fixed|each)(\\.x)?)",
             "( = (\"[-0-9. a-zA-Z%@,:]{0,12}\"|\"(EUR|USD|FOB|quay|[0-9]{1,20}%)\"|[-0-9.e]{1,20}|true|\
              \\[([-0-9]{1,20}, ){0,3}\\]|\\[\"a\", 1\\]|\\{\\}|[0-9]{4}-1[0-9]-2[0-9]))?"),
            0..30,
        ),
        edits in prop::collection::vec(
            ("(ask|landing|printer|delivery|rate|import|freight)\\.([a-zA-Z .]{0,9}\\.)?(copies|quantities|\
              proofs|key|place|share|from|to|rate|printer|term|each|tax|overs)", "\\PC{0,12}"),
            0..4,
        ),
    ) {
        let body: String = lines
            .iter()
            .map(|(key, value)| {
                if key.starts_with('[') { format!("{key}\n") } else { format!("{key}{value}\n") }
            })
            .collect();
        let mut text = with(&body);
        let _ = read(&text);
        for (key, value) in edits {
            if let Ok((new, what)) = apply(&text, &Edit::Set { key, value }) {
                prop_assert!(read(&new).is_ok() && !what.is_empty());
                text = new;
            }
        }
    }
}
