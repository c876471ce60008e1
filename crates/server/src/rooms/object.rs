//! *The object*: the book as a thing, drawn to scale, with what decides its measures.

pub(crate) mod cover;
mod forms;
mod lamp;
pub(crate) mod measured;
mod sheets;
mod views;

use axum::extract::State as Shared;
use axum::response::Html;
use desk::Snapshot;
use desk::book::drawing::Drawing;
use desk::book::object::{Amount, Basis, Dimension, Object, Part};
use desk::book::{BindingKind, Finish, Stock, Thickness, Treatment};
use desk::measure::Length;
use maud::{Markup, PreEscaped, html};

use super::order::hidden;
use crate::State;
use crate::drawing::{mm, short};
use crate::problem::Problem;
use crate::shell::{Room, Scene, binding_words};
use crate::work::count;
use forms::{Forms, there_or_not};

/// The forms of this room.
const FORMS: Forms = Forms("object");

/// The parts of the room, each a page of its own.
const PARTS: [(&str, &str); 3] = [
    ("/object", "The book"),
    ("/object/cover", "Cover and finishings"),
    ("/object/measured", "Measured with a ruler"),
];

/// The way between the parts of the room.
fn parts(here: &str) -> Markup {
    html! {
        nav.filter aria-label="Parts of this room" {
            @for (path, words) in PARTS { a href=(path) aria-current=[(path == here).then_some("true")] { (words) } }
        }
    }
}

/// `GET /object`.
pub(crate) async fn room(Shared(state): Shared<State>) -> Result<Html<String>, Problem> {
    state
        .call(|state| {
            let scene = Scene::read(state, Room::Object)?;
            let finishings = state.desk().finishings()?;
            let snapshot = &scene.snapshot;
            let object = &snapshot.object;
            let room = html! {
                div.title-line {
                    div {
                        h1 { "The object" }
                        p.lead {
                            (count(object.leaves as usize, "leaf", "leaves")) ", a block of " (tenths(object.block))
                            ", a spine of " strong #spine { (tenths(object.spine)) } ". One copy weighs about " strong #copy { (object.copy) } "."
                        }
                    }
                }
                (parts("/object"))
                div.columns.object {
                    div.drawings {
                        figure.drawing {
                            (views::three_views(snapshot, object))
                            figcaption { "Spine, front and head of the closed book. Measures in millimetres." }
                        }
                        section aria-labelledby="sheets" {
                            h2 #sheets { "Sheets around the pages" }
                            p.soft { "As they lie flat, to one scale. The broken lines are folds." }
                            (sheets::all(snapshot, &finishings))
                        }
                        section.drawings aria-labelledby="measures" {
                            h2 #measures { "Drawn with measures" }
                            p.soft.key { "Solid, the cut; broken, a fold; thin, how far print runs; hatched, no words and no faces. Sheets lie with their printed side up; the grain runs along the spine." }
                            p { a.button href="/object/drawing.pdf" download="drawing.pdf" { "Drawing for the printer, as PDF" } " " span.soft { "At true size, a page for each sheet." } }
                            @let drawings = Drawing::all_of(&snapshot.book, object, &snapshot.sheets);
                            @let widest = drawings.iter().map(|drawing| drawing.size().width).max().unwrap_or(Length::ZERO);
                            @for drawing in &drawings {
                                // A narrow sheet is drawn narrow, so that its letters are as large as the others'.
                                @let tenths = (drawing.size().width.ratio(widest) * 10.0).ceil().clamp(2.0, 10.0);
                                figure.drawing.measured data-tenths=(tenths) {
                                    // The drawing is made by the book's own arithmetic, which escapes every word in it.
                                    (PreEscaped(drawing.svg_element()))
                                    figcaption { (caption(object, &drawing.name)) }
                                }
                            }
                        }
                    }
                    (decisions(snapshot, object))
                }
                @if !snapshot.found_around().is_empty() {
                    section.steps aria-labelledby="cautions" {
                        h2 #cautions { "To be careful about" }
                        ul.cautions {
                            @for caution in snapshot.found_around() {
                                li { strong { (caution.severity.word()) } " " (caution.message) " " span.soft { (caution.hint) } }
                            }
                        }
                    }
                }
                section.steps aria-labelledby="steps" {
                    h2 #steps { "How it comes to that" }
                    div.steps-grid {
                        (figures(object))
                        div {
                            h3 { "Weight of one copy" }
                            dl.parts {
                                @for part in &object.parts { dt { (part.name) } dd { (grams(part)) } }
                                dt.sum { "one copy" } dd.sum { (object.copy) }
                            }
                            @if !object.assumed.is_empty() {
                                h3 { "Taken for granted" }
                                ul.assumed { @for text in &object.assumed { li { (text) } } }
                            }
                            h3 { "To ask the printer for" }
                            ul.assumed { @for text in &object.asks { li { (text) } } }
                        }
                    }
                }
            };
            Ok(scene.page(&room, None, false))
        })
        .await
}

/// What a drawing shows, in words.
fn caption(object: &Object, name: &str) -> String {
    let Some(flat) = object.flats.iter().find(|flat| flat.name() == name) else {
        return "A section through the closed book, enlarged.".to_owned();
    };
    let times = match flat.count {
        1 => String::new(),
        count => format!(", {count} of them"),
    };
    let name: String = name
        .chars()
        .take(1)
        .flat_map(char::to_uppercase)
        .chain(name.chars().skip(1))
        .collect();
    format!(
        "{name}, laid flat{times}: {:.1} × {:.1} mm when cut.",
        flat.trim.width.mm(),
        flat.trim.height.mm()
    )
}

/// A part's weight; light ones to the tenth of a gram, since they would be nothing otherwise.
fn grams(part: &Part) -> String {
    if part.mass.grams() < 10.0 {
        format!("{:.1} g", part.mass.grams())
    } else {
        part.mass.to_string()
    }
}

/// Every figure of every part, with where it comes from.
fn figures(object: &Object) -> Markup {
    html! {
        div {
            @for part in &object.parts {
                @if !part.dimensions.is_empty() {
                    h3 { (part.name) }
                    ol {
                        @for one in &part.dimensions {
                            li {
                                span.what { (one.name) }
                                span.formula {
                                    @if one.basis != Basis::Reckoned { span.basis.typical[one.basis == Basis::Typical] { (one.basis.word()) } " " }
                                    (one.how)
                                }
                                span.result { (one.shown) }
                            }
                        }
                    }
                }
            }
            @if let Some(step) = object.steps.last() {
                ol { li { span.what { (step.what) } span.formula { (step.formula) } span.result { (step.result) } } }
            }
        }
    }
}

/// Values that have a field of their own above those of the parts.
const ABOVE: [&str; 3] = ["format.", "stock.text.", "stock.cover."];

/// The figures of each part that can be overruled, given against typical.
fn overrules(object: &Object) -> Markup {
    html! {
        @for part in &object.parts {
            @let open: Vec<&Dimension> = part.dimensions.iter()
                .filter(|one| one.key.is_some_and(|key| !ABOVE.iter().any(|above| key.starts_with(above))))
                .collect();
            @let given = open.iter().filter(|one| one.basis == Basis::Given).count();
            @if !open.is_empty() {
                details #{ "figures-" (part.name.replace(' ', "-")) } {
                    summary { (part.name) ": " (given) " of " (open.len()) " given" }
                    div.fields { @for one in open { (overrule(one)) } }
                }
            }
        }
    }
}

fn overrule(one: &Dimension) -> Markup {
    let key = one.key.unwrap_or_default();
    let written = one.amount.written();
    match one.amount {
        Amount::Back(back) => FORMS.choice(
            key,
            &one.name,
            &["flat", "round"].map(|word| (word.to_owned(), word.to_owned(), word == back.word())),
        ),
        Amount::Switch(there) => FORMS.choice(key, &one.name, &there_or_not(there)),
        _ if one.basis == Basis::Given => {
            FORMS.field(key, &one.name, &written, "given; empty: as is usual")
        }
        _ => {
            let note = format!("{}: {}", one.basis.word(), one.how);
            FORMS.open_field(key, &one.name, &written, &note)
        }
    }
}

/// What can be decided here. Each is sent as soon as it is changed.
fn decisions(snapshot: &Snapshot, object: &Object) -> Markup {
    let book = &snapshot.book;
    let trim = book.format.trim;
    let kinds = [
        ("sewn case", BindingKind::SewnCase),
        ("sewn soft", BindingKind::SewnSoft),
        ("glued soft", BindingKind::GluedSoft),
        ("wire-stitched", BindingKind::WireStitched),
    ];
    html! {
        section.decisions aria-labelledby="decisions" {
            h2 #decisions { "Decided" }
            p.soft { "A change takes effect at once; undo takes it back." }
            h3 { "Format and binding" }
            div.fields {
            (FORMS.choice("binding.kind", "Binding", &kinds.map(|(key, kind)| (key.to_owned(), binding_words(kind).to_owned(), kind == book.binding.kind))))
            (FORMS.field("format.trim", "Trimmed page", &format!("{}x{}mm", mm(trim.width), mm(trim.height)), "such as 250x300mm or 8.5x11in"))
            @if book.binding.kind != BindingKind::WireStitched {
                (FORMS.choice("binding.signature", "Signature", &[8_u32, 12, 16, 24, 32].map(|pages| (pages.to_string(), format!("{pages} pages"), pages == book.binding.signature.pages()))))
            }
            }
            (pages(snapshot))
            h3 { "Paper of the pages" }
            div.fields { (stock("stock.text", &book.text_stock, "such as 150 g/m2 or 80 lb text")) }
            @if book.binding.kind != BindingKind::SewnCase {
                h3 { "Paper of the cover" }
                div.fields { (stock("stock.cover", &book.cover_stock, "such as 300 g/m2 or 100 lb cover")) }
            }
            h3 { "Around the book" }
            div.fields {
                @if book.binding.kind != BindingKind::SewnCase {
                    (FORMS.choice("flaps.wanted", "Flaps on the cover", &there_or_not(book.object.flaps.is_some())))
                }
                (FORMS.choice("jacket.wanted", "Jacket", &there_or_not(book.object.jacket.is_some())))
                (FORMS.choice("band.wanted", "Belly band", &there_or_not(book.object.band.is_some())))
                (FORMS.choice("slipcase.wanted", "Slipcase", &there_or_not(book.object.slipcase.is_some())))
            }
            h3 { "From printer and bindery" }
            p.soft { "What is usual stands in for what they have not told you yet. Type what they say; empty a field, and what is usual holds again." }
            (overrules(object))
        }
    }
}

/// How many pages there are, and blank ones more or fewer.
fn pages(snapshot: &Snapshot) -> Markup {
    let plan = &snapshot.plan;
    let order = &snapshot.book.running_order;
    let blank = order
        .last()
        .filter(|last| matches!(last.treatment, Treatment::Blank));
    let filled = plan.pages.len();
    html! {
        h3 { "Pages" }
        p { strong #page-count { (count(filled, "page", "pages")) } " in " (count(plan.sections.len(), "signature", "signatures")) "." }
        div.row {
            form method="post" action="/edit" data-act {
                (hidden("wish", "insert")) (hidden("room", "object")) (hidden("at", &order.len().to_string()))
                button #page-more { "A blank page more" }
            }
            @if let Some(last) = blank {
                form method="post" action="/edit" data-act {
                    (hidden("wish", "remove")) (hidden("room", "object")) (hidden("entry", &last.name))
                    button #page-fewer { "One fewer" }
                }
            }
        }
        p.example { "Pages with pictures come and go in the " a href="/order" { "running order" } ". Whole signatures are filled up by themselves." }
    }
}

fn stock(section: &str, stock: &Stock, example: &str) -> Markup {
    let finishes = [
        ("gloss", Finish::Gloss),
        ("silk", Finish::Silk),
        ("matt", Finish::Matt),
        ("uncoated", Finish::Uncoated),
    ];
    html! {
        (FORMS.field(&format!("{section}.grammage"), "Weight", &stock.grammage.to_string().replace('²', "2"), example))
        @match stock.thickness {
            Thickness::Caliper(caliper) => (FORMS.field(&format!("{section}.caliper"), "Caliper", &format!("{}mm", thousandths(caliper)), "thickness of a sheet; empty: as is usual")),
            Thickness::Bulk(bulk) => (FORMS.field(&format!("{section}.bulk"), "Bulk", &format!("{} cm3/g", short(bulk.cm3_per_g())), "from the mill; empty: as is usual")),
            Thickness::Assumed(bulk) => (FORMS.open_field(&format!("{section}.bulk"), "Bulk", &format!("{} cm3/g", short(bulk.cm3_per_g())), "as is usual; ask the mill")),
        }
        (FORMS.choice(&format!("{section}.finish"), "Surface", &finishes.map(|(word, finish)| (word.to_owned(), word.to_owned(), finish == stock.finish))))
    }
}

fn tenths(length: Length) -> String {
    format!("{:.1} mm", length.mm())
}

fn thousandths(length: Length) -> String {
    length.to_string().trim_end_matches(" mm").to_owned()
}
