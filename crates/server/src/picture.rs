//! Pictures and files that the rooms show. A name from a request is looked up in the book; it
//! never becomes a path.

use std::collections::HashMap;
use std::io::Read;

use axum::Json;
use axum::body::Body;
use axum::extract::{Path, Query, State as Shared};
use axum::http::header::{
    CACHE_CONTROL, CONTENT_DISPOSITION, CONTENT_LENGTH, CONTENT_TYPE, ETAG, IF_NONE_MATCH,
};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use desk::colour::Lab;
use desk::{PressFile, SheetName, View};
use serde_json::json;
use tokio_stream::Stream;

use crate::act::wants_json;
use crate::address::{LEAVES, PLATES, THUMBNAILS, TRIALS};
use crate::problem::Problem;
use crate::work::Unwatched;
use crate::{State, figures};

/// `GET /thumb/{pixels}/{piece}`.
pub(crate) async fn thumbnail(
    Shared(state): Shared<State>,
    Path((pixels, piece)): Path<(u32, String)>,
    headers: HeaderMap,
) -> Result<Response, Problem> {
    if !THUMBNAILS.contains(&pixels) {
        return Err(Problem::missing(
            "Small pictures are not given in this size.",
        ));
    }
    let bytes = state
        .call(move |state| {
            let book = state.desk().snapshot()?;
            let known = book.pieces.iter().find(|known| known.name == piece);
            let Some(known) = known else {
                return Err(Problem::missing(
                    "The art folder holds no piece of this name.",
                ));
            };
            Ok(state.desk().thumbnail(&known.name, pixels)?)
        })
        .await?;
    // Asked again after every change of the order, so a short answer is kept possible.
    let tag = tag(&bytes);
    let kept = (
        [
            (CACHE_CONTROL, "private, max-age=10".to_owned()),
            (ETAG, tag.clone()),
        ],
        (),
    );
    if headers
        .get(IF_NONE_MATCH)
        .is_some_and(|known| known == tag.as_str())
    {
        return Ok((StatusCode::NOT_MODIFIED, kept.0).into_response());
    }
    let kind = media_type(&bytes);
    Ok((kept.0, [(CONTENT_TYPE, kind)], bytes.to_vec()).into_response())
}

/// A tile's address: sheet, view, level, column, row.
type Place = (String, String, u8, u32, u32);

/// `GET /tile/{page}/{view}/{level}/{column}/{row}`. A problem is JSON for the viewer, which asks
/// for it.
pub(crate) async fn tile(
    Shared(state): Shared<State>,
    headers: HeaderMap,
    Path(place): Path<Place>,
) -> Response {
    match cut(&state, place).await {
        Ok(tile) => tile,
        Err(problem) if wants_json(&headers) => problem.json(),
        Err(problem) => problem.into_response(),
    }
}

async fn cut(state: &State, place: Place) -> Result<Response, Problem> {
    let (name, view, level, column, row) = place;
    let (name, view) = (sheet(&name)?, view_of(&view)?);
    let (kind, bytes) = state
        .call(move |state| Ok(state.desk().tile(name, view, level, column, row)?))
        .await?;
    Ok(([(CONTENT_TYPE, kind)], bytes.to_vec()).into_response())
}

/// A page or another sheet by its name in addresses.
fn sheet(name: &str) -> Result<SheetName, Problem> {
    SheetName::of(name).ok_or_else(|| Problem::missing("The book has no such page."))
}

fn view_of(word: &str) -> Result<View, Problem> {
    View::of(word).ok_or_else(|| Problem::missing("A page is not shown in this way."))
}

/// `GET /trial/{sheet}/{view}/{pixels}`: the figures stand in the query.
pub(crate) async fn trial(
    Shared(state): Shared<State>,
    Path((name, view, pixels)): Path<(String, String, u32)>,
    Query(asked): Query<HashMap<String, String>>,
) -> Response {
    let made = async {
        let (name, view) = (sheet(&name)?, view_of(&view)?);
        if !TRIALS.contains(&pixels) {
            return Err(Problem::missing("Trials are not given in this size."));
        }
        let figures = figures::of_form(&asked)?;
        let piece = asked.get("piece").cloned();
        state
            .call(move |state| {
                let piece = piece.as_deref();
                Ok(state.desk().trial(name, &figures, piece, view, pixels)?)
            })
            .await
    };
    match made.await {
        Ok(bytes) => ([(CONTENT_TYPE, "image/jpeg")], bytes.to_vec()).into_response(),
        Err(problem) => problem.json(),
    }
}

/// `GET /leaf/{sheet}/{view}/{pixels}`.
pub(crate) async fn leaf(
    Shared(state): Shared<State>,
    Path((name, view, pixels)): Path<(String, String, u32)>,
) -> Result<Response, Problem> {
    let (name, view) = (sheet(&name)?, view_of(&view)?);
    if !LEAVES.contains(&pixels) {
        return Err(Problem::missing("Pages are not given in this size."));
    }
    let bytes = state
        .call(move |state| Ok(state.desk().page_picture(name, view, pixels)?))
        .await?;
    Ok(([(CONTENT_TYPE, "image/jpeg")], bytes.to_vec()).into_response())
}

/// `GET /contact/{view}`: all pages as one picture, to keep or to send.
pub(crate) async fn contact(
    Shared(state): Shared<State>,
    Path(view): Path<String>,
) -> Result<Response, Problem> {
    const WIDTH: u32 = 2400;
    let view = view_of(&view)?;
    let bytes = state
        .call(move |state| Ok(state.desk().contact_sheet(view, WIDTH, &Unwatched)?))
        .await?;
    Ok(([(CONTENT_TYPE, "image/jpeg")], bytes.to_vec()).into_response())
}

/// `GET /plate/{pixels}/{index}`: white with the plate's shape in the alpha, over its face.
pub(crate) async fn plate(
    Shared(state): Shared<State>,
    Path((pixels, index)): Path<(u32, usize)>,
) -> Result<Response, Problem> {
    if !PLATES.contains(&pixels) {
        return Err(Problem::missing("Plates are not given in this size."));
    }
    let bytes = state
        .call(move |state| {
            let snapshot = state.desk().snapshot()?;
            let Some(finishing) = snapshot.book.finishings.get(index) else {
                return Err(Problem::missing("The book has no such finishing."));
            };
            Ok(state.desk().plate_picture(&finishing.name, pixels)?)
        })
        .await?;
    Ok(([(CONTENT_TYPE, "image/png")], bytes.to_vec()).into_response())
}

/// `GET /under/{sheet}/{x}/{y}`, in pixels of the press.
pub(crate) async fn under(
    Shared(state): Shared<State>,
    Path((name, x, y)): Path<(String, u32, u32)>,
) -> Result<Response, Problem> {
    let name = sheet(&name)?;
    let sample = state
        .call(move |state| Ok(state.desk().under(name, x, y)?))
        .await?
        .ok_or_else(|| Problem::missing("This place lies outside the page."))?;
    let percent = sample.cmyk.map(|ink| f64::from(ink) / 2.55);
    let lab = |lab: Lab| [lab.l, lab.a, lab.b];
    let [c, m, y, k] = percent;
    let words = format!(
        "Ink: cyan {c:.0}, magenta {m:.0}, yellow {y:.0}, black {k:.0}, {:.0} percent in all. \
         Lightness {:.0} in the art, {:.0} on paper. Difference {:.1}.",
        sample.ink_percent, sample.art.l, sample.print.l, sample.delta_e
    );
    Ok(Json(json!({
        "screen": sample.rgb,
        "paper": sample.print.on_screen(),
        "ink": percent,
        "total": sample.ink_percent,
        "art": lab(sample.art),
        "print": lab(sample.print),
        "difference": sample.delta_e,
        "words": words,
    }))
    .into_response())
}

/// `GET /press/{file}`: one of a few fixed names.
pub(crate) async fn press_file(
    Shared(state): Shared<State>,
    Path(asked): Path<String>,
) -> Result<Response, Problem> {
    let (name, kind) = match (asked.as_str(), PressFile::named(&asked)) {
        (_, Some(file)) if file.name() == asked => (file.name(), "application/pdf"),
        ("proof.pdf", _) => ("proof.pdf", "application/pdf"),
        ("drawing.pdf", _) => ("drawing.pdf", "application/pdf"),
        ("manifest.json", _) => ("manifest.json", "application/json"),
        _ => return Err(Problem::missing("There is no press file of this name.")),
    };
    let (file, length) = state
        .call(move |state| {
            let missing = |_| Problem::missing("This press file was not made yet.");
            let path = state.desk().root().join("press").join(name);
            let file = std::fs::File::open(path).map_err(missing)?;
            let length = file.metadata().map_err(missing)?.len();
            Ok((file, length))
        })
        .await?;
    Ok((
        [
            (CONTENT_TYPE, kind.to_owned()),
            (CONTENT_LENGTH, length.to_string()),
            (
                CONTENT_DISPOSITION,
                format!("attachment; filename=\"{name}\""),
            ),
        ],
        Body::from_stream(pieces_of(file)),
    )
        .into_response())
}

/// `GET /object/drawing.pdf`: the dimensioned drawing of the object as it is now.
pub(crate) async fn drawing(Shared(state): Shared<State>) -> Result<Response, Problem> {
    let pdf = state.call(|state| Ok(state.desk().drawing()?)).await?;
    let head = [
        (CONTENT_TYPE, "application/pdf"),
        (CONTENT_DISPOSITION, "attachment; filename=\"drawing.pdf\""),
    ];
    Ok((head, pdf).into_response())
}

/// A file as a stream of pieces, so that a press file of gigabytes passes through in a little
/// memory.
fn pieces_of(mut file: std::fs::File) -> impl Stream<Item = std::io::Result<Vec<u8>>> {
    const PIECE: u64 = 256 * 1024;
    let (send, receive) = tokio::sync::mpsc::channel(2);
    tokio::task::spawn_blocking(move || {
        loop {
            let mut piece = Vec::new();
            let read = std::io::Read::by_ref(&mut file)
                .take(PIECE)
                .read_to_end(&mut piece);
            let (last, piece) = match read {
                Ok(0) => break,
                Ok(_) => (false, Ok(piece)),
                Err(why) => (true, Err(why)),
            };
            // The receiver is gone when the person cancels the download.
            if send.blocking_send(piece).is_err() || last {
                break;
            }
        }
    });
    tokio_stream::wrappers::ReceiverStream::new(receive)
}

/// The media type by the first bytes.
fn media_type(bytes: &[u8]) -> &'static str {
    if bytes.starts_with(b"\x89PNG") {
        "image/png"
    } else {
        "image/jpeg"
    }
}

/// A name for exactly these bytes, good enough to tell two versions of a thumbnail apart
/// (FNV-1a, 64 bit).
fn tag(bytes: &[u8]) -> String {
    let hash = bytes.iter().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
        (hash ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3)
    });
    format!("\"{hash:016x}-{}\"", bytes.len())
}
