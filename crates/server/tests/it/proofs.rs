use axum::http::{Method, StatusCode};

use crate::asking::{Asking, header, text};
use crate::work::watched;

const LINE: &str = "a-line-that-stands-in-no-measurement";

/// A form with files, as a browser sends it.
fn form(files: &[(&str, &str, &str)]) -> String {
    let mut body = String::new();
    for (field, name, words) in files {
        body.push_str(&format!(
            "--{LINE}\r\nContent-Disposition: form-data; name=\"{field}\"; filename=\"{name}\"\r\n\
             Content-Type: application/octet-stream\r\n\r\n{words}\r\n"
        ));
    }
    body.push_str(&format!("--{LINE}--\r\n"));
    body
}

async fn hand_in(asking: &Asking, body: String) -> axum::http::Response<axum::body::Body> {
    let mut request = asking.request(Method::POST, "/proofs/read");
    let kind = format!("multipart/form-data; boundary={LINE}")
        .parse()
        .unwrap();
    request.headers_mut().unwrap().insert("content-type", kind);
    asking.send_with(request, body).await
}

#[tokio::test]
async fn the_room_reads_before_anything_was_measured() {
    let asking = Asking::small().entered().await;
    let page = text(asking.get("/proofs").await).await;
    assert!(page.contains("No proof was measured yet"));
    assert!(page.contains("name=\"page-2\""), "pages to choose from");
    assert!(page.contains("type=\"file\""));
}

#[tokio::test]
async fn measured_accepted_and_measured_again_the_error_falls() {
    let asking = Asking::small().entered().await;
    asking.post("/work/practise", "").await;
    let states = watched(&asking).await;
    assert_eq!(states.last().unwrap()["state"], "done", "{states:?}");
    let first = asking.desk.proofs().unwrap().pop().unwrap();
    let page = text(asking.get("/proofs").await).await;
    assert!(page.contains("id=\"patches\"") && page.contains("ISO 12647-7"));
    let before = std::fs::read_to_string(asking.folder.at("book.toml")).unwrap();
    assert!(!before.contains("learned"), "nothing changes by measuring");

    let (status, answer) = asking
        .script("/proofs/accept", &format!("id={}", first.id))
        .await;
    assert_eq!(status, StatusCode::OK, "{answer}");
    assert!(
        std::fs::read_to_string(asking.folder.at("book.toml"))
            .unwrap()
            .contains("[paper.learned]")
    );
    asking.post("/work/practise", "").await;
    watched(&asking).await;
    let second = asking.desk.proofs().unwrap().pop().unwrap();
    assert!(
        second.colours.mean < 0.6 * first.colours.mean,
        "{} became {}",
        first.colours.mean,
        second.colours.mean
    );

    let (status, _) = asking.script("/proofs/forget", "").await;
    assert_eq!(status, StatusCode::OK);
    let older = text(asking.get(&format!("/proofs?reading={}", first.id)).await).await;
    assert!(
        older.contains(&format!(">Proof {}</h2>", first.id)),
        "an older reading opens"
    );
}

#[tokio::test]
async fn a_measurement_is_handed_in_as_a_file() {
    let asking = Asking::small().entered().await;
    let file = asking.desk.practise(&Still).unwrap();
    let words = std::fs::read_to_string(file).unwrap();
    let answer = hand_in(
        &asking,
        form(&[
            ("measurement", "../../my strip.txt", &words),
            ("scanner", "", ""),
        ]),
    )
    .await;
    assert_eq!(header(&answer, "location"), "/proofs");
    assert_eq!(watched(&asking).await.last().unwrap()["state"], "done");
    let read = asking.desk.proofs().unwrap().pop().unwrap();
    assert_eq!(read.name, "my strip.txt");
}

#[tokio::test]
async fn what_is_no_measurement_is_refused_and_nothing_is_kept() {
    let asking = Asking::small().entered().await;
    hand_in(
        &asking,
        form(&[("measurement", "letter.txt", "Dear printer,\nall is well.\n")]),
    )
    .await;
    let states = watched(&asking).await;
    assert_eq!(states.last().unwrap()["state"], "failed");
    assert!(asking.desk.proofs().unwrap().is_empty());
    let page = text(asking.get("/proofs").await).await;
    assert!(page.contains("role=\"alert\""));
    for body in [
        form(&[]),
        form(&[("other", "a.txt", "b")]),
        "no form at all".to_owned(),
    ] {
        let mut request = asking
            .request(Method::POST, "/proofs/read")
            .header("accept", "application/json");
        let kind = format!("multipart/form-data; boundary={LINE}")
            .parse()
            .unwrap();
        request.headers_mut().unwrap().insert("content-type", kind);
        let answer = asking.send_with(request, body).await;
        assert_eq!(answer.status(), StatusCode::UNPROCESSABLE_ENTITY);
        assert!(text(answer).await.contains("hint"));
    }
    let plain = asking.script("/proofs/read", "measurement=words").await;
    assert_eq!(plain.0, StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test]
async fn an_upload_past_the_limit_is_refused_before_it_is_read() {
    let asking = Asking::small().entered().await;
    let request = asking
        .request(Method::POST, "/proofs/read")
        .header("content-length", (400_u64 << 20).to_string());
    let answer = asking.send_with(request, String::new()).await;
    assert_eq!(answer.status(), StatusCode::PAYLOAD_TOO_LARGE);
    // No other address takes more for it.
    let request = asking
        .request(Method::POST, "/edit")
        .header("content-length", "70000");
    let answer = asking.send_with(request, String::new()).await;
    assert_eq!(answer.status(), StatusCode::PAYLOAD_TOO_LARGE);
}

#[tokio::test]
async fn a_measurement_from_another_site_is_refused() {
    let asking = Asking::small().entered().await;
    let mut request = asking.request(Method::POST, "/proofs/read");
    let headers = request.headers_mut().unwrap();
    headers.insert("origin", "http://127.0.0.1:5000".parse().unwrap());
    headers.insert(
        "content-type",
        format!("multipart/form-data; boundary={LINE}")
            .parse()
            .unwrap(),
    );
    let answer = asking
        .send_with(request, form(&[("measurement", "a.txt", "b")]))
        .await;
    assert_eq!(answer.status(), StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn proof_pages_are_made_and_given() {
    let asking = Asking::small().entered().await;
    assert_eq!(
        asking.get("/press/proof.pdf").await.status(),
        StatusCode::NOT_FOUND
    );
    asking.post("/work/proof", "page-2=on&page-999x=on").await;
    let states = watched(&asking).await;
    assert_eq!(states.last().unwrap()["state"], "done", "{states:?}");
    let answer = asking.get("/press/proof.pdf").await;
    assert_eq!(answer.status(), StatusCode::OK);
    assert_eq!(header(&answer, "content-type"), "application/pdf");
}

/// Watches nothing.
struct Still;

impl desk::Watch for Still {
    fn step(&self, _: usize, _: usize, _: &str) {}
}
