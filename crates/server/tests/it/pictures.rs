use axum::http::{Method, StatusCode};

use crate::asking::{Asking, bytes, header, text};

#[tokio::test]
async fn a_thumbnail_is_a_jpeg_and_is_not_sent_twice() {
    let asking = Asking::small().entered().await;
    let path = "/thumb/160/birds/heron%20%26%20chick.png";
    let answer = asking.get(path).await;
    assert_eq!(answer.status(), StatusCode::OK);
    assert_eq!(header(&answer, "content-type"), "image/jpeg");
    let tag = header(&answer, "etag");
    assert!(bytes(answer).await.starts_with(&[0xff, 0xd8]));
    let again = asking
        .request(Method::GET, path)
        .header("if-none-match", tag);
    let answer = asking.send(again).await;
    assert_eq!(answer.status(), StatusCode::NOT_MODIFIED);
    assert!(bytes(answer).await.is_empty());
}

#[tokio::test]
async fn tiles_come_for_both_views_and_the_cover() {
    let asking = Asking::small().entered().await;
    let get = async |path: &str| bytes(asking.get(path).await).await;
    let screen = get("/tile/2/screen/0/0/0").await;
    let print = get("/tile/2/print/0/0/0").await;
    assert!(screen.starts_with(&[0xff, 0xd8]) && print.starts_with(&[0xff, 0xd8]));
    assert_ne!(screen, print, "print shows the paper");
    assert_eq!(
        asking.get("/tile/cover/print/0/0/0").await.status(),
        StatusCode::OK
    );
    for path in [
        "/tile/2/screen/0/99/0",
        "/tile/2/screen/99/0/0",
        "/tile/999/screen/0/0/0",
    ] {
        let answer = asking.get(path).await;
        assert!(answer.status().is_client_error(), "{path}");
        assert_ne!(text(answer).await, "");
    }
}

#[tokio::test]
async fn the_inks_under_a_place_are_percent() {
    let asking = Asking::small().entered().await;
    let answer = text(asking.get("/under/2/60/60").await).await;
    let value: serde_json::Value = serde_json::from_str(&answer).unwrap();
    let inks: Vec<f64> = value["ink"]
        .as_array()
        .unwrap()
        .iter()
        .map(|ink| ink.as_f64().unwrap())
        .collect();
    assert_eq!(inks.len(), 4);
    assert!(
        inks.iter().all(|ink| (0.0..=100.0).contains(ink)),
        "{inks:?}"
    );
    assert!(
        inks.iter().sum::<f64>() > 1.0,
        "the piece is not white there"
    );
    let outside = asking.get("/under/2/99999/0").await;
    assert_eq!(outside.status(), StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn assets_have_their_kinds() {
    let asking = Asking::small();
    for (name, kind) in [
        ("page.css", "text/css; charset=utf-8"),
        ("page.js", "text/javascript; charset=utf-8"),
        ("order.js", "text/javascript; charset=utf-8"),
        ("paper.js", "text/javascript; charset=utf-8"),
        ("card.js", "text/javascript; charset=utf-8"),
        ("proofs.js", "text/javascript; charset=utf-8"),
        ("mark.svg", "image/svg+xml"),
        ("franklin.woff2", "font/woff2"),
        ("caslon-italic.woff2", "font/woff2"),
    ] {
        let answer = asking.get(&format!("/assets/{name}")).await;
        assert_eq!(answer.status(), StatusCode::OK, "{name}");
        assert_eq!(header(&answer, "content-type"), kind);
    }
}

#[tokio::test]
async fn the_style_asks_for_nothing_that_is_not_carried() {
    let asking = Asking::small();
    let style = text(asking.get("/assets/page.css").await).await;
    for part in style.split("url(\"").skip(1) {
        let address = part.split('"').next().unwrap();
        let answer = asking.get(address).await;
        assert_eq!(answer.status(), StatusCode::OK, "{address}");
    }
}
