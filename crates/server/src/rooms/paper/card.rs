//! The recipe card beside the table: what is done to the pictures so that they look right on
//! paper, for the whole book or for one picture, and what paper takes from that picture.

use desk::book::plan::{Page, ReaderPage};
use desk::book::{PaperRecipe, PieceInks, PieceWish, Sharpening};
use desk::colour::Compensation;
use desk::{Loss, SheetName, Snapshot};
use maud::{Markup, html};

use crate::State;
use crate::address;
use crate::drawing;
use crate::figures::{COLOUR, Figure, TONE};
use crate::problem::Problem;
use crate::rooms::art::{pages_words, plain};
use crate::rooms::order::hidden;
use crate::rooms::paper::shapes;
use crate::rooms::stands::{progress, sentence};
use crate::shell::spoken;
use crate::work::{Kind, Phase};

/// What the card is about: a spread or the cover, and the book or one picture.
pub(crate) struct About {
    /// The open page or sheet.
    pub sheet: SheetName,
    /// The picture that the card is for; `None` for the whole book.
    pub piece: Option<String>,
}

/// The card. A picture that the open pages do not show leads back to the book.
pub(crate) fn card(state: &State, snapshot: &Snapshot, about: &About) -> Result<Markup, Problem> {
    let pieces = pieces(snapshot, about.sheet);
    let piece = about
        .piece
        .as_deref()
        .filter(|asked| pieces.iter().any(|piece| piece == asked));
    let in_force = state.desk().compensation(piece)?;
    let wish = piece.and_then(|piece| wish_of(snapshot, piece));
    Ok(html! {
        aside.card #card aria-labelledby="card-title" data-piece=[piece] {
            h2 #card-title { "Made for paper" }
            (scopes(snapshot, about.sheet, piece, &pieces))
            @match piece {
                None => (for_book(snapshot)),
                Some(piece) => (for_piece(state, snapshot, piece)?),
            }
            (recipe(state, snapshot, about.sheet, piece, wish, &in_force)?)
            @match piece {
                None => (book_settings(snapshot)),
                Some(piece) => (piece_settings(snapshot, piece, wish)),
            }
        }
    })
}

/// The pictures of the open pages, or of the cover, each once.
fn pieces(snapshot: &Snapshot, sheet: SheetName) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    let mut add = |pictures: &[desk::book::plan::PlacedPicture]| {
        for picture in pictures {
            if drawing::is_there(snapshot, &picture.piece) && !names.contains(&picture.piece) {
                names.push(picture.piece.clone());
            }
        }
    };
    match sheet {
        SheetName::Flat(kind) => add(snapshot.sheet(kind).map_or(&[], |sheet| &sheet.pictures)),
        SheetName::Page(number) => {
            for page in open_pages(snapshot, number.0) {
                add(&page.pictures);
            }
        }
    }
    names
}

/// A page and the one that faces it.
fn open_pages(snapshot: &Snapshot, number: u32) -> impl Iterator<Item = &Page> {
    let left = number - number % 2;
    let pages = snapshot.plan.pages.iter();
    pages.filter(move |page| page.number == ReaderPage(left) || page.number.0 == left + 1)
}

fn wish_of<'a>(snapshot: &'a Snapshot, piece: &str) -> Option<&'a PieceWish> {
    let mut wishes = snapshot.book.piece_wishes.iter();
    wishes.find(|wish| wish.piece == piece)
}

fn scopes(
    snapshot: &Snapshot,
    sheet: SheetName,
    chosen: Option<&str>,
    pieces: &[String],
) -> Markup {
    let wished = |piece: &str| {
        wish_of(snapshot, piece)
            .is_some_and(|wish| wish.recipe.is_some() || wish.own != Default::default())
    };
    html! {
        nav.scopes #scopes aria-label="What the card is for" {
            a href=(address::card(sheet, None)) aria-current=[chosen.is_none().then_some("true")] { "The whole book" }
            @for piece in pieces {
                a.of-piece href=(address::card(sheet, Some(piece))) aria-current=[(chosen == Some(piece)).then_some("true")] {
                    img src=(address::thumbnail(piece, 160)) alt="" height="34";
                    span { "Only " (plain(piece)) }
                    @if wished(piece) { span.own { "goes its own way" } }
                }
            }
        }
    }
}

fn for_book(snapshot: &Snapshot) -> Markup {
    let book = &snapshot.book;
    let own = book
        .piece_wishes
        .iter()
        .filter(|wish| wish.recipe.is_some())
        .count();
    html! {
        div.standing {
            p {
                @match book.paper.recipe {
                    PaperRecipe::None => { "The book has no recipe: pictures go to paper as they are on the screen." },
                    recipe => { "In force: " b { (recipe.word()) } @if !book.paper.name.is_empty() { ", called " i { (book.paper.name) } } "." },
                }
                @if own > 0 { " " (crate::work::count(own, "picture goes", "pictures go")) " its own way." }
            }
            @if let Some(learned) = &book.paper.learned {
                p.soft { "What " a href="/proofs" { (learned.from) } " taught is undone as well." }
            }
        }
    }
}

/// What paper takes from a picture.
fn for_piece(state: &State, snapshot: &Snapshot, piece: &str) -> Result<Markup, Problem> {
    let losses = state.desk().losses_known()?;
    let now = state.work().now();
    let running = now.state == Phase::Running;
    let pages = snapshot.pieces.iter().find(|info| info.name == piece);
    let pages: Vec<u32> = pages.map_or_else(Vec::new, |info| {
        info.pages.iter().map(|page| page.0).collect()
    });
    Ok(html! {
        div.standing.lost #lost {
            h3 { (plain(piece)) @if !pages.is_empty() { span.soft { ", " (pages_words(&pages).to_lowercase()) } } }
            @match losses.as_deref().map(|all| all.iter().find(|loss| loss.piece == piece)) {
                Some(Some(loss)) => (lost(loss)),
                Some(None) => { p.soft { "Nothing can be said about this picture." } },
                None => {
                    (progress(&now, &[Kind::Losses]))
                    @if !running {
                        form method="post" action="/work/losses" data-work {
                            button #say-losses { "Say what paper takes" }
                        }
                    }
                },
            }
        }
    })
}

fn lost(loss: &Loss) -> Markup {
    html! { p.sentence { (spoken(&sentence(&loss.sentence))) } }
}

/// The form with the built-in recipes and the sliders.
fn recipe(
    state: &State,
    snapshot: &Snapshot,
    sheet: SheetName,
    piece: Option<&str>,
    wish: Option<&PieceWish>,
    in_force: &Compensation,
) -> Result<Markup, Problem> {
    let book = state.desk().compensation(None)?;
    let chosen = match piece {
        None => Some(snapshot.book.paper.recipe),
        Some(_) => wish.and_then(|wish| wish.recipe),
    };
    let page = sheet.word();
    Ok(html! {
        form.recipe #recipe method="post" action="/recipe" data-act data-recipe {
            (hidden("room", "paper"))
            (hidden("page", &page))
            @if let Some(piece) = piece { (hidden("piece", piece)) }
            fieldset.built-in {
                legend { @if piece.is_some() { "This picture" } @else { "How much paper is met halfway" } }
                @if piece.is_some() {
                    (choice("", "As the book", &book, chosen.is_none()))
                }
                @for name in Compensation::NAMES {
                    @if let Some(figures) = Compensation::built_in(name) {
                        (choice(name, recipe_words(name, piece.is_some()), &figures, chosen.is_some_and(|recipe| recipe.word() == name)))
                    }
                }
            }
            div.shapes #shapes { (shapes(in_force)) }
            fieldset.figures {
                legend.hidden { "Light and dark" }
                @for figure in &TONE { (slider(figure, in_force)) }
            }
            fieldset.figures {
                legend.hidden { "Strength of colour" }
                @for figure in &COLOUR { (slider(figure, in_force)) }
            }
            div.take {
                button.strong #take { @if piece.is_some() { "Take it for this picture" } @else { "Take it for the book" } }
                button #put-back type="reset" { "Put back" }
                p.trying #trying role="status" {}
            }
        }
    })
}

const fn recipe_words(name: &str, piece: bool) -> &'static str {
    match name.as_bytes() {
        b"none" if piece => "Leave it be",
        b"none" => "None",
        b"gentle" => "Gentle",
        b"usual" => "Usual",
        _ => "Strong",
    }
}

/// A built-in recipe with its figures, which its sliders jump to.
fn choice(name: &str, words: &str, figures: &Compensation, chosen: bool) -> Markup {
    let values: serde_json::Map<String, serde_json::Value> = crate::figures::all()
        .map(|figure| (figure.key.to_owned(), figure.of(figures).into()))
        .collect();
    html! {
        label {
            input type="radio" name="recipe" value=(name) checked[chosen] data-figures=(serde_json::Value::Object(values));
            span { (words) }
        }
    }
}

fn slider(figure: &Figure, in_force: &Compensation) -> Markup {
    let value = figure.of(in_force);
    let id = format!("figure-{}", figure.key);
    html! {
        div.slide data-band=(figure.key) {
            label for=(id) { (figure.words) }
            input id=(id) type="range" name=(figure.key) min=(figure.least) max=(figure.most) step="0.5" value=(value)
                data-percent[figure.percent] data-less=(figure.ways[0]) data-more=(figure.ways[1])
                aria-valuetext=(figure.in_words(value));
            output for=(id) { (figure.in_words(value)) }
        }
    }
}

fn book_settings(snapshot: &Snapshot) -> Markup {
    let paper = &snapshot.book.paper;
    let ruling = paper.ruling.map_or_else(String::new, |lines| {
        format!("{}lpi", crate::figures::short(lines))
    });
    html! {
        div.settings {
            form method="post" action="/edit" data-act data-auto {
                (hidden("room", "paper")) (hidden("wish", "set")) (hidden("key", "paper.sharpening"))
                label for="sharpening" { "Sharpening for paper" }
                (sharpening_choice("sharpening", Some(paper.sharpening), None))
                noscript { button { "Set" } }
            }
            form method="post" action="/edit" data-act data-auto {
                (hidden("room", "paper")) (hidden("wish", "set")) (hidden("key", "paper.ruling"))
                label for="ruling" { "Screen ruling" }
                input #ruling type="text" name="value" value=(ruling) placeholder="as usual" aria-describedby="ruling-example";
                p.example #ruling-example { "such as 175lpi; ask the printer" }
                noscript { button { "Set" } }
            }
        }
    }
}

fn piece_settings(snapshot: &Snapshot, piece: &str, wish: Option<&PieceWish>) -> Markup {
    let inks = wish.map_or(PieceInks::ByLook, |wish| wish.inks);
    let by_look = "by look: plain line art in black alone";
    html! {
        div.settings {
            form method="post" action="/edit" data-act data-auto {
                (hidden("room", "paper")) (hidden("wish", "set")) (hidden("key", &format!("piece.{piece}.inks")))
                label for="inks" { "Its inks" }
                select #inks name="value" {
                    @for each in [PieceInks::ByLook, PieceInks::Four, PieceInks::Black, PieceInks::BlackAndCyan, PieceInks::BlackAndMagenta, PieceInks::BlackAndYellow] {
                        option value=(each.word()) selected[each == inks] { (if each == PieceInks::ByLook { by_look } else { each.word() }) }
                    }
                }
                noscript { button { "Set" } }
            }
            form method="post" action="/edit" data-act data-auto {
                (hidden("room", "paper")) (hidden("wish", "set")) (hidden("key", &format!("piece.{piece}.sharpening")))
                label for="sharpening" { "Its sharpening" }
                (sharpening_choice("sharpening", wish.and_then(|wish| wish.sharpening), Some(snapshot.book.paper.sharpening)))
                noscript { button { "Set" } }
            }
        }
    }
}

/// `book` is what holds when nothing is chosen; where there is none, something always is.
fn sharpening_choice(id: &str, chosen: Option<Sharpening>, book: Option<Sharpening>) -> Markup {
    html! {
        select id=(id) name="value" {
            @if let Some(book) = book {
                option value="" selected[chosen.is_none()] { "as the book: " (book.word()) }
            }
            @for each in [Sharpening::None, Sharpening::Modest, Sharpening::Strong] {
                option value=(each.word()) selected[chosen == Some(each)] { (each.word()) }
            }
        }
    }
}
