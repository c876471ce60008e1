use axum::body::Body;
use axum::http::{Method, Request, StatusCode};

use crate::asking::{Asking, HOST, header, text};

const ROOMS: [&str; 6] = [
    "/",
    "/art",
    "/order",
    "/object",
    "/paper",
    "/paper?page=cover",
];

#[tokio::test]
async fn without_the_key_nothing_of_the_book_is_shown() {
    let asking = Asking::small();
    for path in ROOMS.into_iter().chain([
        "/thumb/320/lantern.png",
        "/tile/1/screen/0/0/0",
        "/press/interior.pdf",
        "/object/drawing.pdf",
        "/work/events",
        "/under/2/9/9",
    ]) {
        let answer = asking.get(path).await;
        assert_eq!(answer.status(), StatusCode::UNAUTHORIZED, "{path}");
        assert!(!text(answer).await.contains("A Test"), "{path}");
    }
}

#[tokio::test]
async fn the_key_becomes_a_cookie_and_a_clean_address() {
    let asking = Asking::small();
    let answer = asking.get(&asking.entrance()).await;
    assert_eq!(answer.status(), StatusCode::SEE_OTHER);
    assert_eq!(header(&answer, "location"), "/");
    let cookie = header(&answer, "set-cookie");
    for part in ["foredge-4999=", "HttpOnly", "SameSite=Strict", "Path=/"] {
        assert!(cookie.contains(part), "{part} in {cookie}");
    }
    let key = asking.entrance();
    let key = key.split_once('=').unwrap().1;
    assert_eq!(key.len(), 64, "256 bits in hexadecimal");
    assert!(!cookie.contains(key), "the cookie is another secret");
    let inside = Asking::small().entered().await;
    assert_eq!(inside.get("/").await.status(), StatusCode::OK);
}

#[tokio::test]
async fn a_wrong_key_opens_nothing() {
    let asking = Asking::small();
    let other = Asking::small();
    for path in [
        "/enter",
        "/enter?token=",
        "/enter?token=00",
        other.entrance().as_str(),
    ] {
        let answer = asking.get(path).await;
        assert_eq!(answer.status(), StatusCode::FORBIDDEN, "{path}");
        assert_eq!(header(&answer, "set-cookie"), "");
    }
}

#[tokio::test]
async fn only_the_exact_host_is_answered() {
    let asking = Asking::small().entered().await;
    for host in [
        "localhost:4999",
        "127.0.0.1",
        "127.0.0.1:5000",
        "127.0.0.1:4999.example.org",
        "",
    ] {
        let mut request = asking.request(Method::GET, "/");
        request
            .headers_mut()
            .unwrap()
            .insert("host", host.parse().unwrap());
        let answer = asking.send(request).await;
        assert_eq!(answer.status(), StatusCode::MISDIRECTED_REQUEST, "{host}");
    }
    let none = Request::builder().uri("/");
    assert_eq!(
        asking.send(none).await.status(),
        StatusCode::MISDIRECTED_REQUEST
    );
    let twice = asking.request(Method::GET, "/").header("host", HOST);
    assert_eq!(
        asking.send(twice).await.status(),
        StatusCode::MISDIRECTED_REQUEST
    );
    let absolute = asking.request(Method::GET, "http://example.org/");
    assert_eq!(
        asking.send(absolute).await.status(),
        StatusCode::MISDIRECTED_REQUEST
    );
}

#[tokio::test]
async fn a_change_needs_the_exact_origin() {
    let asking = Asking::small().entered().await;
    let before = asking.order();
    let wish = "wish=move&entry=heron&to=0&room=order";
    for path in ["/edit", "/undo", "/redo", "/work/press", "/work/stop"] {
        for origin in [
            None,
            Some("null"),
            Some("http://localhost:4999"),
            Some("http://127.0.0.1:5000"),
            Some("https://127.0.0.1:4999"),
            Some("http://127.0.0.1:4999/"),
        ] {
            let mut request = asking.request(Method::POST, path);
            let headers = request.headers_mut().unwrap();
            headers.remove("origin");
            if let Some(origin) = origin {
                headers.insert("origin", origin.parse().unwrap());
            }
            let answer = asking.send_with(request, wish).await;
            assert_eq!(answer.status(), StatusCode::FORBIDDEN, "{path} {origin:?}");
        }
    }
    assert_eq!(asking.order(), before);
    assert_eq!(
        asking.post("/edit", wish).await.status(),
        StatusCode::SEE_OTHER,
        "the same wish from the page itself"
    );
    assert_eq!(asking.order()[0], "heron");
}

#[tokio::test]
async fn what_the_browser_calls_foreign_is_refused() {
    let asking = Asking::small().entered().await;
    for site in ["cross-site", "same-site", "anything"] {
        let reading = asking
            .request(Method::GET, "/")
            .header("sec-fetch-site", site);
        assert_eq!(asking.send(reading).await.status(), StatusCode::FORBIDDEN);
    }
    for site in ["same-origin", "none"] {
        let reading = asking
            .request(Method::GET, "/")
            .header("sec-fetch-site", site);
        assert_eq!(asking.send(reading).await.status(), StatusCode::OK);
    }
    let mut writing = asking.request(Method::POST, "/undo");
    writing
        .headers_mut()
        .unwrap()
        .insert("sec-fetch-site", "same-site".parse().unwrap());
    assert_eq!(asking.send(writing).await.status(), StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn every_answer_is_dressed() {
    let asking = Asking::small().entered().await;
    let foreign = asking
        .request(Method::GET, "/")
        .header("sec-fetch-site", "cross-site");
    let mut answers = vec![asking.send(foreign).await];
    for path in ROOMS.into_iter().chain([
        "/nowhere",
        "/assets/page.js",
        "/thumb/320/lantern.png",
        "/enter",
    ]) {
        answers.push(asking.get(path).await);
    }
    for answer in answers {
        let policy = header(&answer, "content-security-policy");
        assert!(policy.starts_with("default-src 'none'; "), "{policy}");
        assert!(
            !policy.contains("unsafe") && !policy.contains('*'),
            "{policy}"
        );
        assert!(policy.contains("frame-ancestors 'none'"));
        assert_eq!(header(&answer, "x-content-type-options"), "nosniff");
        assert_eq!(
            header(&answer, "cross-origin-resource-policy"),
            "same-origin"
        );
        assert_eq!(header(&answer, "cross-origin-opener-policy"), "same-origin");
        assert_eq!(header(&answer, "referrer-policy"), "same-origin");
        assert_ne!(header(&answer, "cache-control"), "");
    }
}

#[tokio::test]
async fn no_room_holds_what_the_policy_forbids() {
    let asking = Asking::small().entered().await;
    for path in ROOMS.into_iter().chain(["/order?entry=heron", "/nowhere"]) {
        let page = text(asking.get(path).await).await;
        assert!(!page.contains("<style"), "{path}");
        assert!(!page.contains(" style=\""), "{path}");
        assert!(!page.contains("javascript:"), "{path}");
        assert!(!page.contains(" onclick="), "{path}");
        assert!(
            !page.contains("http://") && !page.contains("https://"),
            "{path}"
        );
        for script in page.split("<script").skip(1) {
            let tag = script.split('>').next().unwrap();
            assert!(tag.contains("src=\"/assets/"), "{path}: {tag}");
        }
    }
}

#[tokio::test]
async fn too_much_is_refused_whether_announced_or_not() {
    let asking = Asking::small().entered().await;
    let much = format!("wish=set&key=book.title&value={}", "a".repeat(70_000));
    let announced = asking
        .request(Method::POST, "/edit")
        .header("content-length", much.len());
    let answer = asking.send_with(announced, much.clone()).await;
    assert_eq!(answer.status(), StatusCode::PAYLOAD_TOO_LARGE);
    let pieces = much
        .into_bytes()
        .chunks(4096)
        .map(<[u8]>::to_vec)
        .collect::<Vec<_>>();
    let pieces = pieces.into_iter().map(Ok::<_, std::io::Error>);
    let stream = Body::from_stream(tokio_stream::iter(pieces));
    let unannounced = asking
        .request(Method::POST, "/edit")
        .header("accept", "application/json");
    let answer = asking.send_with(unannounced, stream).await;
    assert_eq!(answer.status(), StatusCode::PAYLOAD_TOO_LARGE);
    assert!(asking.desk.history().unwrap().undo.is_none());
}

#[tokio::test]
async fn no_name_becomes_a_path() {
    let asking = Asking::small().entered().await;
    for path in [
        "/thumb/320/..%2Fbook.toml",
        "/thumb/320/../book.toml",
        "/thumb/320/%2Fetc%2Fhostname",
        "/thumb/320/birds/../lantern.png",
        "/thumb/320/birds",
        "/thumb/320/lantern.png%00",
        "/thumb/321/lantern.png",
        "/press/..%2Fbook.toml",
        "/press/book.toml",
        "/press/interior.pdf",
        "/assets/..%2Fpage.css",
        "/assets/type%2Ffranklin.woff2",
        "/tile/..%2Fcover/screen/0/0/0",
        "/tile/2/paper/0/0/0",
    ] {
        let answer = asking.get(path).await;
        assert_eq!(answer.status(), StatusCode::NOT_FOUND, "{path}");
    }
}

#[tokio::test]
async fn the_wrong_method_is_said_in_plain_words() {
    let asking = Asking::small().entered().await;
    let answer = asking.get("/edit").await;
    assert_eq!(answer.status(), StatusCode::METHOD_NOT_ALLOWED);
    assert!(text(answer).await.contains("It does not work that way"));
    let answer = asking.post("/", "").await;
    assert_eq!(answer.status(), StatusCode::METHOD_NOT_ALLOWED);
}

#[tokio::test]
async fn the_printed_address_is_on_loopback() {
    let asking = Asking::small();
    let address = asking.address();
    assert!(
        address.starts_with("http://127.0.0.1:4999/enter?token="),
        "{address}"
    );
}
