//! The page in the browser: rooms over the same calls as the command line.
//!
//! [`app`] is the whole page as a router that can be called without a socket; [`run`] serves it on
//! the loopback address. Nothing here computes: every figure comes from [`desk::Desk`], and every
//! action is one call of it. All rooms are rendered here as HTML and can be read without scripts;
//! the scripts only make them livelier.
//!
//! ## Addresses
//!
//! | address | what it gives |
//! |---|---|
//! | `GET /enter?token=…` | exchanges the printed key for a cookie, then goes to `/` |
//! | `GET /` `/art` `/order` `/object` `/paper` `/quantity` `/prices` `/dates` `/proofs` | the rooms; *Prices* reckons `copies` beside the quantities of the book |
//! | `GET /object/cover` | a face under a lamp, finishings, bar code, art and words; `sheet` and `panel` say which |
//! | `GET /object/drawing.pdf` | the drawing of the object as it is, with all measures, as a PDF |
//! | `GET /object/measured` | what was measured on a dummy, a template and a book on the shelf |
//! | `GET /paper/pages` | all pages as printed, spread by spread |
//! | `GET /paper/card` `/paper/shape` | parts of *On paper*, fetched alone: the recipe card of a page, what figures do |
//! | `GET /thumb/{pixels}/{piece}` | a small picture of a piece; pixels are 160, 320, 640 or 1280 |
//! | `GET /tile/{page}/{view}/{level}/{column}/{row}` | a tile of a page; views are those of [`desk::View`], page may be a sheet by its word, such as `jacket` |
//! | `GET /trial/{page}/{view}/{pixels}?contrast=…` | a page as it would print with other figures, for `piece` or all pictures; view is `print` or `adapted` |
//! | `GET /leaf/{page}/{view}/{pixels}` | a picture of a trimmed page or sheet |
//! | `GET /plate/{pixels}/{index}` | the plate of a finishing by its place in the book: white, its shape in the alpha |
//! | `GET /contact/{view}` | all pages as one picture |
//! | `GET /under/{page}/{x}/{y}` | the colour of a press pixel: `screen` and `paper` as sRGB bytes, `ink` as C, M, Y, K in percent with its `total`, `art` and `print` as L*a*b*, their `difference` as ΔE00 |
//! | `GET /press/{file}` | a press file by its name, `drawing.pdf`, `proof.pdf` or `manifest.json` |
//! | `POST /edit` `/undo` `/redo` | a change of the book; a form in, JSON or a way back out |
//! | `POST /recipe` | takes figures for the book, or for `piece` |
//! | `POST /measured/{shelf,dummy,template,accept}` | hands in what was measured, or takes it into the book; `template` is a form with the file `file`, at most 64 MB |
//! | `GET /quantity/look?copies=…` | what moves with the quantity, alone; with `moving` the dates rest on fewer histories |
//! | `POST /thing` | says values of a `thing` of a `section` of the book file, each key behind `say-`, or takes it `out` |
//! | `POST /quantity/{keep,drop}` | keeps a plan by `name` and `copies`, or drops it |
//! | `POST /quantity/{sold,sold-back}` | copies sold to an `audience` up to the day `on`, `sold_out` if none was left; or a sale taken back by its `number` |
//! | `GET /prices/request/{name}` `/prices/kept/{what}/{number}` | a request by its file name; the original of an `answer`, an `invoice` or a `note` |
//! | `POST /prices/{answer,invoice,note}` | hands in what a printer sent: a form with the file `file`, at most 64 MB |
//! | `POST /prices/{ask,aside,clear}` | writes a request to a `printer`; lays a `what` with its `number` aside, or brings it `back`; empties the forms |
//! | `GET /dates/calendar.ics` | the dates as an iCalendar file |
//! | `POST /dates/happened` | what happened to a `step`: `what` is begun, done or open, `on` the day |
//! | `POST /work/{press,judge,check,losses,proof,practise,stop}` | begins or stops long work; `proof` takes pages as `page-4=on` |
//! | `POST /proofs/read` | reads a measurement: a form with the files `measurement` and `scanner`, at most 200 MB |
//! | `POST /proofs/accept` | takes what a reading has taught into the book: `id` |
//! | `POST /proofs/forget` | takes what was learned out of the book |
//! | `GET /work/events` | its progress as server-sent events, see [`work`] |
//! | `GET /assets/{name}` | style, scripts and type; the only thing given without the cookie |
//!
//! A changing request answers with JSON (`said`, `stale`) when it is asked with
//! `Accept: application/json`, and otherwise leads back to the room it came from, so that plain
//! forms work too.

mod act;
mod address;
mod assets;
mod dates;
mod drawing;
mod figures;
mod guard;
mod measuring;
mod picture;
mod prices;
mod problem;
mod proofing;
mod quantity;
mod rooms;
mod run;
mod shell;
mod state;
mod swatch;
mod things;
mod upload;
pub mod work;

pub use run::{Options, ServeError, run};
pub use state::State;

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::middleware;
use axum::routing::{get, post};

/// The whole page, guard included.
pub fn app(state: State) -> Router {
    Router::new()
        .route("/enter", get(guard::enter))
        .route("/", get(rooms::stands::room))
        .route("/art", get(rooms::art::room))
        .route("/order", get(rooms::order::room))
        .route("/object", get(rooms::object::room))
        .route("/object/cover", get(rooms::object::cover::room))
        .route("/object/drawing.pdf", get(picture::drawing))
        .route("/object/measured", get(rooms::object::measured::room))
        .route(
            "/measured/template",
            post(measuring::template).layer(DefaultBodyLimit::max(measuring::WHOLE)),
        )
        .route("/measured/{what}", post(measuring::hand_in))
        .route("/paper", get(rooms::paper::room))
        .route("/paper/pages", get(rooms::paper::pages::room))
        .route("/paper/card", get(rooms::paper::card_alone))
        .route("/paper/shape", get(rooms::paper::shape_alone))
        .route("/quantity", get(rooms::quantity::room))
        .route("/quantity/look", get(rooms::quantity::look_alone))
        .route("/quantity/keep", post(quantity::keep))
        .route("/quantity/drop", post(quantity::drop))
        .route("/quantity/sold", post(quantity::sold))
        .route("/quantity/sold-back", post(quantity::sold_back))
        .route("/prices", get(rooms::prices::room))
        .route("/prices/request/{name}", get(prices::request))
        .route("/prices/kept/{what}/{number}", get(prices::kept))
        .route("/prices/ask", post(prices::ask))
        .route("/prices/aside", post(prices::aside))
        .route("/prices/clear", post(prices::clear))
        .route(
            "/prices/{what}",
            post(prices::hand_in).layer(DefaultBodyLimit::max(measuring::WHOLE)),
        )
        .route("/dates", get(rooms::dates::room))
        .route("/dates/happened", post(dates::happened))
        .route("/dates/calendar.ics", get(dates::calendar))
        .route("/proofs", get(rooms::proofs::room))
        .route(
            "/proofs/read",
            post(upload::read).layer(DefaultBodyLimit::max(upload::WHOLE)),
        )
        .route("/proofs/accept", post(act::accept))
        .route("/proofs/forget", post(act::forget))
        .route("/thumb/{pixels}/{*piece}", get(picture::thumbnail))
        .route(
            "/tile/{page}/{view}/{level}/{column}/{row}",
            get(picture::tile),
        )
        .route("/trial/{sheet}/{view}/{pixels}", get(picture::trial))
        .route("/leaf/{sheet}/{view}/{pixels}", get(picture::leaf))
        .route("/plate/{pixels}/{index}", get(picture::plate))
        .route("/contact/{view}", get(picture::contact))
        .route("/under/{page}/{x}/{y}", get(picture::under))
        .route("/press/{file}", get(picture::press_file))
        .route("/edit", post(act::edit))
        .route("/thing", post(things::say))
        .route("/recipe", post(act::recipe))
        .route("/undo", post(act::undo))
        .route("/redo", post(act::redo))
        .route("/work/{kind}", post(work::command))
        .route("/work/events", get(work::events))
        .route("/assets/{name}", get(assets::asset))
        .fallback(problem::no_such_page)
        .method_not_allowed_fallback(problem::wrong_method)
        .layer(DefaultBodyLimit::max(guard::BODY_LIMIT))
        .layer(middleware::from_fn_with_state(
            state.clone(),
            guard::stand_guard,
        ))
        .with_state(state)
}
