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
    let mut body = String::new();
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
