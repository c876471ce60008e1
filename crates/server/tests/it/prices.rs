//! The room *Prices*: answers, invoices and requests.

use axum::http::{Method, StatusCode};

use crate::asking::{Asking, header, small_book, text};

const EDGE: &str = "a-line-between-fields";

fn book() -> String {
    small_book().text()
        + "\n[ask]\ncopies = 800\n\n[[printer]]\nkey = \"quay\"\nname = \"Quay & Sons\"\n\
           country = \"XA\"\n"
}

/// Sends a form with a file chooser that was left empty, and reads the room that follows.
async fn hand_in(asking: &Asking, what: &str, fields: &[(&str, &str)]) -> String {
    hand_in_file(asking, what, fields, None).await
}

/// Sends a form with a file, or with a file chooser that was left empty.
async fn hand_in_file(
    asking: &Asking,
    what: &str,
    fields: &[(&str, &str)],
    file: Option<(&str, &str)>,
) -> String {
    let mut body = String::new();
    if let Some((name, bytes)) = file {
        body.push_str(&format!(
            "--{EDGE}\r\nContent-Disposition: form-data; name=\"file\"; filename=\"{name}\"\r\n\
             Content-Type: text/csv\r\n\r\n{bytes}\r\n"
        ));
    }
    for (name, value) in fields {
        body.push_str(&format!(
            "--{EDGE}\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n"
        ));
    }
    body.push_str(&format!("--{EDGE}--\r\n"));
    let mut request = asking.request(Method::POST, &format!("/prices/{what}"));
    let kind = format!("multipart/form-data; boundary={EDGE}");
    let headers = request.headers_mut().unwrap();
    headers.insert("content-type", kind.parse().unwrap());
    let answer = asking.send_with(request, body).await;
    assert_eq!(answer.status(), StatusCode::SEE_OTHER);
    assert!(header(&answer, "location").starts_with("/prices#"));
    text(asking.get("/prices").await).await
}

const ANSWER: [(&str, &str); 8] = [
    ("printer", "quay"),
    ("currency", "EUR"),
    ("copies 1", "600"),
    ("price 1", "6000"),
    ("copies 2", "1000"),
    ("price 2", "8.5"),
    ("for 2", "each"),
    ("charge 1", "printing plates"),
];

#[tokio::test]
async fn an_answer_that_was_typed_joins_the_chart_and_the_table() {
    let asking = Asking::over(&book()).entered().await;
    let page = hand_in(&asking, "answer", &ANSWER).await;
    assert!(page.contains("Kept answer 1 of Quay &amp; Sons"), "{page}");
    assert!(page.contains("class=\"cost\"") && page.contains("Side by side"));
    let kept = asking.desk.answers().unwrap();
    let totals = kept[0].answer.prices.iter();
    let totals: Vec<i64> = totals.map(|one| one.total().unwrap().minor()).collect();
    assert_eq!(totals, [600_000, 850_000]);
    let page = text(asking.get("/prices?copies=700").await).await;
    assert!(page.contains("For 700 copies, part by part"));
    let page = text(asking.get("/prices?copies=many").await).await;
    assert!(page.contains("“many” is no number of copies") && page.contains("aria-invalid"));
}

#[tokio::test]
async fn what_is_doubtful_is_kept_only_when_a_person_agrees() {
    let asking = Asking::over(&book()).entered().await;
    let mut fields = ANSWER.to_vec();
    fields.push(("lead", "soon"));
    let page = hand_in(&asking, "answer", &fields).await;
    assert!(asking.desk.answers().unwrap().is_empty());
    assert!(page.contains("Doubtful, and nothing is kept yet"));
    assert!(page.contains("value=\"soon\"") && page.contains("value=\"6000\""));
    fields.push(("agree", "yes"));
    let page = hand_in(&asking, "answer", &fields).await;
    assert_eq!(asking.desk.answers().unwrap().len(), 1);
    assert!(!page.contains("value=\"soon\""), "the form is empty again");
    assert!(page.contains("Agreed to: lead"));
}

#[tokio::test]
async fn an_answer_is_laid_aside_and_taken_back() {
    let asking = Asking::over(&book()).entered().await;
    hand_in(&asking, "answer", &ANSWER).await;
    let (status, _) = asking
        .script("/prices/aside", "what=answer&number=1&back=false")
        .await;
    assert_eq!(status, StatusCode::OK);
    let page = text(asking.get("/prices").await).await;
    assert!(page.contains("Laid aside or replaced") && !page.contains("class=\"cost\""));
    asking
        .script("/prices/aside", "what=answer&number=1&back=true")
        .await;
    let page = text(asking.get("/prices").await).await;
    assert!(page.contains("class=\"cost\""));
    let (status, _) = asking
        .script("/prices/aside", "what=answer&number=7&back=true")
        .await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test]
async fn an_invoice_is_held_and_a_request_is_written() {
    let asking = Asking::over(&book()).entered().await;
    hand_in(&asking, "answer", &ANSWER).await;
    let fields = [
        ("answer", "1"),
        ("ordered", "600"),
        ("currency", "EUR"),
        ("delivered", "600"),
        ("print", "6100"),
    ];
    let page = hand_in(&asking, "invoice", &fields).await;
    assert!(page.contains("EUR 6,100.00") && page.contains("EUR 6,000.00"));
    let nothing = hand_in(&asking, "invoice", &fields[..1]).await;
    assert!(nothing.contains("how many copies were ordered is missing"));

    let answer = asking.post("/prices/ask", "printer=quay").await;
    assert_eq!(header(&answer, "location"), "/prices#printers");
    let letter = asking.get("/prices/request/R0001-quay.pdf").await;
    assert_eq!(header(&letter, "content-type"), "application/pdf");
    let nowhere = asking.get("/prices/request/book.toml").await;
    assert_eq!(nowhere.status(), StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test]
async fn each_printer_says_what_is_to_be_checked_and_what_speaks_for_it() {
    let book = book()
        + "home = true\n\n[[printer]]\nkey = \"delta\"\nname = \"Delta Press\"\ncountry = \"XB\"\n\
           home = false\n";
    let asking = Asking::over(&book).entered().await;
    hand_in(&asking, "answer", &ANSWER).await;
    let mut cheap = ANSWER.to_vec();
    cheap[0].1 = "delta";
    cheap[3].1 = "4000";
    cheap[5].1 = "6";
    cheap.push(("term", "FOB"));
    let page = hand_in(&asking, "answer", &cheap).await;
    let card = |number: u32| {
        let start = page.find(&format!("id=\"weighed-{number}\"")).unwrap();
        &page[start
            ..start
                + page[start..]
                    .find("</li><li id=\"weighed-")
                    .unwrap_or(9_000)]
    };
    let view = asking.desk.comparison(&[]).unwrap();
    let as_shown = |text: &str| {
        let text = text.replace('&', "&amp;");
        text.split('`').next().unwrap().to_owned()
    };
    for (place, number) in [(0, 1), (1, 2)] {
        for sentence in view.to_check(place).iter().chain(&view.against(place)) {
            assert!(card(number).contains(&as_shown(sentence)), "{sentence}");
        }
    }
    assert!(card(2).contains("Overseas: ask which law holds"));
    assert!(!card(1).contains("Overseas: ask which law holds"));
    let leads = view.leads(&view.comparison.ranges[0]);
    assert!(card(2).contains("Cheapest from") && card(2).contains(&as_shown(&leads[0])));
    let dearer = &view.comparison.dearer[0];
    assert!(card(1).contains(&as_shown(&view.how_much_dearer(dearer))));
    assert!(!dearer.reasons.is_empty() && card(1).contains(&as_shown(&dearer.reasons[0])));
}

#[tokio::test]
async fn a_printer_is_named_changed_and_taken_back() {
    let asking = Asking::over(&book()).entered().await;
    let page = text(asking.get("/prices").await).await;
    for title in ["Whom you ask", "Where the copies go", "Rates of exchange"] {
        assert!(page.contains(title), "{title}");
    }
    let before = std::fs::read_to_string(asking.folder.at("book.toml")).unwrap();
    let new = "section=printer&room=prices&say-key=upriver&say-name=Upriver+Press&say-country=XB\
               &say-zone=Europe%2FLisbon&say-language=pt&say-found=a+friend";
    assert_eq!(asking.script("/thing", new).await.0, StatusCode::OK);
    let page = text(asking.get("/prices").await).await;
    assert!(page.contains("id=\"known-upriver\"") && page.contains("Found: a friend."));
    let (status, said) = asking.script("/thing", new).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{said}");
    let town = "section=printer&thing=upriver&room=prices&say-place=Lockend&say-home=no";
    asking.script("/thing", town).await;
    let printers = asking.desk.printers().unwrap();
    let upriver = printers[1].printer.as_ref().unwrap();
    assert_eq!((upriver.place.as_str(), upriver.home), ("Lockend", false));
    asking.desk.undo().unwrap();
    asking.desk.undo().unwrap();
    assert_eq!(
        std::fs::read_to_string(asking.folder.at("book.toml")).unwrap(),
        before
    );
}

/// The sheet of a request, filled in and saved as text, with two cells that may mean something else.
fn filled(request: &desk::RequestView) -> String {
    format!(
        "Reference;{}\nSpecification;{}\nCurrency of all prices;EUR\nNumber of copies;550;800;1050\n\
         Price of all copies, printed, bound and packed;6820;approx. 7900;circa 9900\n\
         Freight to all places of delivery;included;included;included\n",
        request.reference, request.digest
    )
}

#[tokio::test]
async fn each_doubtful_cell_of_a_sheet_is_agreed_to_said_otherwise_or_left_out() {
    let asking = Asking::over(&book()).entered().await;
    let request = asking.desk.ask(Some("quay"), None).unwrap().remove(0);
    let sheet = filled(&request);
    let page = hand_in_file(&asking, "answer", &[], Some(("prices.csv", &sheet))).await;
    assert!(asking.desk.answers().unwrap().is_empty());
    assert!(page.contains("In prices.csv"), "{page}");
    for (cell, stood, taken) in [("C5", "approx. 7900", "7900"), ("D5", "circa 9900", "9900")] {
        let row = format!("<tr><th scope=\"row\">{cell}</th><td class=\"stood\">{stood}</td>");
        assert!(page.contains(&row), "{row}");
        assert!(page.contains(&format!("<td><b>{taken}</b></td>")));
    }
    assert!(page.contains("prices.csv is still here"));

    // One is said otherwise, one is left out; the file need not be chosen again.
    let mended = [("rather total 800", "7950"), ("without total 1050", "yes")];
    let page = hand_in(&asking, "answer", &mended).await;
    assert!(
        asking.desk.answers().unwrap().is_empty(),
        "nobody has agreed"
    );
    assert!(page.contains("“7950” is taken, as you say.") && page.contains("left out"));
    let agreed = [mended[0], mended[1], ("agree", "yes")];
    let page = hand_in(&asking, "answer", &agreed).await;
    let kept = asking.desk.answers().unwrap().remove(0);
    let prices = kept.answer.prices.iter();
    let prices: Vec<_> = prices
        .map(|one| (one.copies, one.total().unwrap().minor()))
        .collect();
    assert_eq!(prices, [(550, 682_000), (800, 795_000)]);
    assert_eq!(
        (kept.answer.printer.as_str(), kept.request),
        ("quay", Some(1))
    );
    let original = kept.file.unwrap();
    assert_eq!(asking.desk.kept_file(&original).unwrap(), sheet.as_bytes());
    assert!(page.contains("Agreed to: cell D5"));
    assert!(page.contains(&original.digest.to_string()[..12]));
    let saved = text(asking.get("/prices/kept/answer/1").await).await;
    assert_eq!(saved, sheet);
}
