//! A small book folder, its page, and a person who asks it.

use axum::Router;
use axum::body::Body;
use axum::http::{Method, Request, Response, StatusCode};
use desk::Desk;
use http_body_util::BodyExt;
use server::State;
use testkit::{BookText, Folder, jpeg, png};
use tower::ServiceExt;

/// The port that the page believes it is served on.
pub const PORT: u16 = 4999;
/// Its host.
pub const HOST: &str = "127.0.0.1:4999";
/// Its origin.
pub const ORIGIN: &str = "http://127.0.0.1:4999";

/// A page over a book folder that vanishes with it.
pub struct Asking {
    /// The book folder.
    pub folder: Folder,
    /// The desk over it.
    pub desk: Desk,
    state: State,
    app: Router,
    cookie: String,
}

/// A small book: a title, two pages and a spread, with a piece that is not placed.
pub fn small_book() -> BookText {
    BookText::new("60x80mm")
        .section("[press]\nresolution = \"72ppi\"\n")
        .page("title", "title", "")
        .shows("lantern", "full page", "lantern.png")
        .shows("harbour", "spread", "harbour.jpg")
        .page("blank", "blank", "")
        .shows("heron", "full page", "birds/heron & chick.png")
}

impl Asking {
    /// The small book, with a person who holds the cookie.
    pub fn small() -> Self {
        Self::over(&small_book().text())
    }

    /// Any book file over the same art.
    pub fn over(book: &str) -> Self {
        let folder = Folder::new()
            .with("book.toml", book)
            .with(
                "art/lantern.png",
                png(190, 250, |x, y| [x as u8, y as u8, 90]),
            )
            .with(
                "art/harbour.jpg",
                jpeg(380, 250, |x, y| [(x / 2) as u8, 120, y as u8]),
            )
            .with(
                "art/birds/heron & chick.png",
                png(190, 250, |x, y| [200, x as u8, y as u8]),
            )
            .with("art/left over.png", png(120, 90, |x, _| [x as u8, 0, 0]));
        let desk = Desk::open(folder.path()).unwrap();
        let state = State::new(desk.clone(), PORT).unwrap();
        Self {
            folder,
            desk,
            app: server::app(state.clone()),
            state,
            cookie: String::new(),
        }
    }

    /// Enters with the key.
    pub async fn entered(mut self) -> Self {
        let path = self.entrance();
        let answer = self.send(self.request(Method::GET, &path)).await;
        assert_eq!(answer.status(), StatusCode::SEE_OTHER);
        let set = header(&answer, "set-cookie");
        self.cookie = set.split(';').next().unwrap().to_owned();
        self
    }

    /// The printed address.
    pub fn address(&self) -> String {
        self.state.entrance()
    }

    /// Path and query of the printed address.
    pub fn entrance(&self) -> String {
        let address = self.address();
        address.strip_prefix(ORIGIN).unwrap().to_owned()
    }

    /// A request as the browser of this person sends it.
    pub fn request(&self, method: Method, path: &str) -> axum::http::request::Builder {
        let mut request = Request::builder().method(method.clone()).uri(path);
        request = request.header("host", HOST);
        if !self.cookie.is_empty() {
            request = request.header("cookie", format!("other=1; {}", self.cookie));
        }
        if method != Method::GET {
            request = request
                .header("origin", ORIGIN)
                .header("sec-fetch-site", "same-origin")
                .header("content-type", "application/x-www-form-urlencoded");
        }
        request
    }

    /// Sends a request without a body.
    pub async fn send(&self, request: axum::http::request::Builder) -> Response<Body> {
        self.send_with(request, "").await
    }

    /// Sends a request with a body.
    pub async fn send_with(
        &self,
        request: axum::http::request::Builder,
        body: impl Into<Body>,
    ) -> Response<Body> {
        let request = request.body(body.into()).unwrap();
        self.app.clone().oneshot(request).await.unwrap()
    }

    /// Opens an address.
    pub async fn get(&self, path: &str) -> Response<Body> {
        self.send(self.request(Method::GET, path)).await
    }

    /// Sends a form the way a page without scripts does.
    pub async fn post(&self, path: &str, form: &str) -> Response<Body> {
        self.send_with(self.request(Method::POST, path), form.to_owned())
            .await
    }

    /// Sends a form the way the page's scripts do.
    pub async fn script(&self, path: &str, form: &str) -> (StatusCode, serde_json::Value) {
        let request = self
            .request(Method::POST, path)
            .header("accept", "application/json");
        let answer = self.send_with(request, form.to_owned()).await;
        let status = answer.status();
        (status, serde_json::from_str(&text(answer).await).unwrap())
    }

    /// The names of the running order.
    pub fn order(&self) -> Vec<String> {
        let snapshot = self.desk.snapshot().unwrap();
        let entries = snapshot.book.running_order.iter();
        entries.map(|entry| entry.name.clone()).collect()
    }
}

/// One header of an answer.
pub fn header(answer: &Response<Body>, name: &str) -> String {
    let value = answer.headers().get(name);
    value.map_or_else(String::new, |value| value.to_str().unwrap().to_owned())
}

/// The whole answer.
pub async fn bytes(answer: Response<Body>) -> Vec<u8> {
    let body = answer.into_body().collect().await.unwrap();
    body.to_bytes().to_vec()
}

/// The whole answer as text.
pub async fn text(answer: Response<Body>) -> String {
    String::from_utf8(bytes(answer).await).unwrap()
}
