//! *The object*: the book as a thing, drawn to scale, with what decides its measures.

use axum::extract::State as Shared;
use axum::response::Html;
use desk::Snapshot;
use desk::book::drawing::Drawing;
use desk::book::object::{Amount, Basis, Dimension, Object, Part};
use desk::book::plan::CoverPlan;
use desk::book::{BindingKind, Book, Finish, Stock, Thickness};
use desk::measure::{Length, Rect};
use maud::{Markup, PreEscaped, html};

use super::order::hidden;
use crate::State;
use crate::drawing::{self, mm, short};
use crate::problem::Problem;
use crate::shell::{Room, Scene, binding_words};
use crate::work::count;

/// `GET /object`.
pub(crate) async fn room(Shared(state): Shared<State>) -> Result<Html<String>, Problem> {
    state
        .call(|state| {
            let scene = Scene::read(state, Room::Object)?;
            let snapshot = &scene.snapshot;
            let book = &snapshot.book;
            let object = &snapshot.object;
            let room = html! {
                div.title-line {
                    div {
                        h1 { "The object" }
                        p.lead {
                            (count(object.leaves as usize, "leaf", "leaves")) ", a block of " (tenths(object.block))
                            ", a spine of " strong #spine { (tenths(object.spine)) } ". One copy weighs about " strong { (object.copy) } "."
                        }
                    }
                }
                div.columns.object {
                    div.drawings {
                        figure.drawing {
                            (three_views(snapshot, object))
                            figcaption { "Spine, front and head of the closed book. Measures in millimetres; both drawings are to one scale." }
                        }
                        @if let Some(cover) = &snapshot.cover {
                            figure.drawing {
                                (flat_cover(snapshot, cover))
                                figcaption { "The cover as one sheet. The broken line is the bleed." }
                            }
                        }
                        @if object.bound.board > Length::ZERO || object.flats.len() > 1 || snapshot.cover.is_none() {
                            p.soft.key { "Below: solid, the cut; broken, a fold; thin, how far print runs; hatched, no words and no faces. Sheets lie with their printed side up; the grain runs along the spine." }
                        }
                        @for drawing in Drawing::all(object) {
                            figure.drawing.measured {
                                // The drawing is made by the book's own arithmetic, which escapes every word in it.
                                (PreEscaped(drawing.svg_element()))
                                figcaption { (caption(object, &drawing.name)) }
                            }
                        }
                    }
                    (decisions(book, object))
                }
                @if !object.cautions.is_empty() {
                    section.steps aria-labelledby="cautions" {
                        h2 #cautions { "To be careful about" }
                        ul.cautions {
                            @for caution in &object.cautions {
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
        Amount::Back(back) => choice(
            key,
            &one.name,
            &["flat", "round"].map(|word| (word.to_owned(), word.to_owned(), word == back.word())),
        ),
        Amount::Switch(there) => choice(key, &one.name, &there_or_not(there)),
        _ if one.basis == Basis::Given => {
            field(key, &one.name, &written, "given; empty: as is usual")
        }
        _ => {
            let note = format!("{}: {}", one.basis.word(), one.how);
            open_field(key, &one.name, &written, &note)
        }
    }
}

fn there_or_not(there: bool) -> [(String, String, bool); 2] {
    [("true", "yes", there), ("false", "none", !there)]
        .map(|(value, words, chosen)| (value.to_owned(), words.to_owned(), chosen))
}

/// What can be decided here. Each is sent as soon as it is changed.
fn decisions(book: &Book, object: &Object) -> Markup {
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
            (choice("binding.kind", "Binding", &kinds.map(|(key, kind)| (key.to_owned(), binding_words(kind).to_owned(), kind == book.binding.kind))))
            (field("format.trim", "Trimmed page", &format!("{}x{}mm", mm(trim.width), mm(trim.height)), "such as 250x300mm or 8.5x11in"))
            @if book.binding.kind != BindingKind::WireStitched {
                (choice("binding.signature", "Signature", &[8_u32, 12, 16, 24, 32].map(|pages| (pages.to_string(), format!("{pages} pages"), pages == book.binding.signature.pages()))))
            }
            }
            h3 { "Paper of the pages" }
            div.fields { (stock("stock.text", &book.text_stock, "such as 150 g/m2 or 80 lb text")) }
            @if book.binding.kind != BindingKind::SewnCase {
                h3 { "Paper of the cover" }
                div.fields { (stock("stock.cover", &book.cover_stock, "such as 300 g/m2 or 100 lb cover")) }
            }
            h3 { "Around the book" }
            div.fields {
                @if book.binding.kind != BindingKind::SewnCase {
                    (choice("flaps.wanted", "Flaps on the cover", &there_or_not(book.object.flaps.is_some())))
                }
                (choice("jacket.wanted", "Jacket", &there_or_not(book.object.jacket.is_some())))
                (choice("band.wanted", "Belly band", &there_or_not(book.object.band.is_some())))
                (choice("slipcase.wanted", "Slipcase", &there_or_not(book.object.slipcase.is_some())))
            }
            h3 { "From printer and bindery" }
            p.soft { "What is usual stands in for what they have not told you yet. Type what they say; empty a field, and what is usual holds again." }
            (overrules(object))
        }
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
        (field(&format!("{section}.grammage"), "Weight", &stock.grammage.to_string().replace('²', "2"), example))
        @match stock.thickness {
            Thickness::Caliper(caliper) => (field(&format!("{section}.caliper"), "Caliper", &format!("{}mm", thousandths(caliper)), "thickness of a sheet; empty: as is usual")),
            Thickness::Bulk(bulk) => (field(&format!("{section}.bulk"), "Bulk", &format!("{} cm3/g", short(bulk.cm3_per_g())), "from the mill; empty: as is usual")),
            Thickness::Assumed(bulk) => (open_field(&format!("{section}.bulk"), "Bulk", &format!("{} cm3/g", short(bulk.cm3_per_g())), "as is usual; ask the mill")),
        }
        (choice(&format!("{section}.finish"), "Surface", &finishes.map(|(word, finish)| (word.to_owned(), word.to_owned(), finish == stock.finish))))
    }
}

fn field(key: &str, label: &str, value: &str, example: &str) -> Markup {
    text_field(key, label, value, "", example)
}

fn open_field(key: &str, label: &str, placeholder: &str, example: &str) -> Markup {
    text_field(key, label, "", placeholder, example)
}

fn text_field(key: &str, label: &str, value: &str, placeholder: &str, example: &str) -> Markup {
    let id = key.replace('.', "-");
    html! {
        form.field method="post" action="/edit" data-act data-auto {
            (hidden("wish", "set")) (hidden("room", "object")) (hidden("key", key))
            label for=(id) { (label) }
            input #(id) type="text" name="value" value=(value) placeholder=[(!placeholder.is_empty()).then_some(placeholder)]
                autocomplete="off" spellcheck="false" aria-describedby={ (id) "-example" };
            noscript { button { "Set" } }
            p.example id={ (id) "-example" } { (example) }
        }
    }
}

fn choice(key: &str, label: &str, choices: &[(String, String, bool)]) -> Markup {
    let id = key.replace('.', "-");
    html! {
        form.field.whole[key == "binding.kind"] method="post" action="/edit" data-act data-auto {
            (hidden("wish", "set")) (hidden("room", "object")) (hidden("key", key))
            label for=(id) { (label) }
            select #(id) name="value" {
                @for (value, words, chosen) in choices { option value=(value) selected[*chosen] { (words) } }
            }
            noscript { button { "Set" } }
        }
    }
}

/// Room around the drawings for the measures.
const MARGIN: f64 = 34.0;

/// Spine, front and head of the closed book.
fn three_views(snapshot: &Snapshot, object: &Object) -> Markup {
    let closed = object.bound.closed;
    let in_boards = object.bound.board > Length::ZERO;
    let trim = snapshot.book.format.trim;
    let (width, height, thick) = if in_boards {
        (closed.width.mm(), closed.height.mm(), closed.thickness.mm())
    } else {
        (trim.width.mm(), trim.height.mm(), object.spine.mm())
    };
    let thick = thick.max(0.2);
    let gap = 22.0;
    // As wide as the flat cover's drawing below it, so that both are to one scale.
    let whole_width = sheet_width(width * 2.0 + thick);
    let spine_x = (whole_width - width - thick - gap) / 2.0;
    let front_x = spine_x + thick + gap;
    let top = MARGIN;
    let head_y = top + height + gap;
    let whole = (whole_width, head_y + thick + 8.0);
    let size = letter(whole.0);
    html! {
        svg viewBox={ "0 0 " (short(whole.0)) " " (short(whole.1)) } role="img" aria-label={
            "The closed book: " (short(width)) " by " (short(height)) " millimetres, " (short(thick)) " thick" }
        {
            @match &snapshot.cover {
                Some(cover) => {
                    @let panel = (cover.trim.width - cover.spine) / 2;
                    svg x=(short(front_x)) y=(short(top)) width=(short(width)) height=(short(height))
                        viewBox=(drawing::view_box(Rect::new(panel + cover.spine, Length::ZERO, panel, cover.trim.height)))
                        { (drawing::cover_flat(cover, snapshot, 640)) }
                    svg x=(short(spine_x)) y=(short(top)) width=(short(thick)) height=(short(height))
                        viewBox=(drawing::view_box(Rect::new(panel, Length::ZERO, cover.spine.max(Length::from_mm(0.1)), cover.trim.height)))
                        { (drawing::cover_flat(cover, snapshot, 640)) }
                },
                None => {
                    rect.board x=(short(front_x)) y=(short(top)) width=(short(width)) height=(short(height)) {}
                    rect.board x=(short(spine_x)) y=(short(top)) width=(short(thick)) height=(short(height)) {}
                },
            }
            rect.edge x=(short(front_x)) y=(short(top)) width=(short(width)) height=(short(height)) {}
            rect.edge x=(short(spine_x)) y=(short(top)) width=(short(thick)) height=(short(height)) {}
            (head_view(snapshot, front_x, head_y, width, thick))
            (across(front_x, width, top - 10.0, &tenth(width), size))
            (across(spine_x, thick, top - 10.0, &format!("{thick:.1}"), size))
            (down(top, height, front_x + width + 12.0, &tenth(height), size))
            (down(head_y, thick, front_x + width + 12.0, &format!("{thick:.1}"), size))
        }
    }
}

/// The head of the book: the signatures as they lie between the covers.
fn head_view(snapshot: &Snapshot, x: f64, y: f64, width: f64, thick: f64) -> Markup {
    let sections = &snapshot.plan.sections;
    let pages: u32 = sections.iter().map(|section| section.pages).sum();
    let mut at = y;
    let bands: Vec<(f64, f64)> = sections
        .iter()
        .map(|section| {
            let share = thick * f64::from(section.pages) / f64::from(pages.max(1));
            at += share;
            (at - share, share)
        })
        .collect();
    html! {
        rect.paper x=(short(x)) y=(short(y)) width=(short(width)) height=(short(thick)) {}
        @for (top, deep) in bands {
            path.band d={ "M" (short(x + width)) " " (short(top)) "H" (short(x + deep / 2.0)) "a" (short(deep / 2.0)) " " (short(deep / 2.0)) " 0 0 0 0 " (short(deep)) "H" (short(x + width)) } {}
        }
        rect.edge x=(short(x)) y=(short(y)) width=(short(width)) height=(short(thick)) {}
    }
}

/// The flat cover with its panels.
fn flat_cover(snapshot: &Snapshot, cover: &CoverPlan) -> Markup {
    let (width, height) = (cover.trim.width.mm(), cover.trim.height.mm());
    let spine = cover.spine.mm();
    let panel = (width - spine) / 2.0;
    let over = snapshot.book.format.bleed.mm();
    let (x, y) = ((sheet_width(width) - width) / 2.0, MARGIN);
    let whole = (sheet_width(width), height + MARGIN * 1.7);
    let size = letter(whole.0);
    html! {
        svg viewBox={ "0 0 " (short(whole.0)) " " (short(whole.1)) } role="img" aria-label={
            "The flat cover: back " (short(panel)) ", spine " (short(spine)) ", front " (short(panel)) " by " (short(height)) " millimetres" }
        {
            svg x=(short(x)) y=(short(y)) width=(short(width)) height=(short(height))
                viewBox={ "0 0 " (short(width)) " " (short(height)) } { (drawing::cover_flat(cover, snapshot, 640)) }
            rect.edge x=(short(x)) y=(short(y)) width=(short(width)) height=(short(height)) {}
            rect.bleed x=(short(x - over)) y=(short(y - over)) width=(short(width + 2.0 * over)) height=(short(height + 2.0 * over)) {}
            @for fold in [x + panel, x + panel + spine] { path.fold d={ "M" (short(fold)) " " (short(y - 6.0)) "v" (short(height + 12.0)) } {} }
            (across(x, panel, y - 12.0, &format!("back {panel:.1}"), size))
            (across(x + panel, spine, y - 12.0, &format!("{spine:.1}"), size))
            (across(x + panel + spine, panel, y - 12.0, &format!("front {panel:.1}"), size))
            (down(y, height, x + width + 14.0, &short(height), size))
            text.measure x=(short(x + width / 2.0)) y=(short(y + height + 16.0)) font-size=(short(size)) text-anchor="middle" {
                (format!("{width:.1} × {height:.1} trimmed, {:.1} × {:.1} with bleed", width + 2.0 * over, height + 2.0 * over))
            }
        }
    }
}

/// Width of a drawing that holds something this wide with its measures beside it.
fn sheet_width(width: f64) -> f64 {
    width + MARGIN * 2.6
}

/// Height of the letters in a drawing of this width, so that all drawings read alike.
fn letter(width: f64) -> f64 {
    width / 48.0
}

fn across(x: f64, length: f64, y: f64, words: &str, size: f64) -> Markup {
    html! {
        path.dimension d={ "M" (short(x)) " " (short(y - 3.0)) "v6M" (short(x)) " " (short(y)) "h" (short(length)) "M" (short(x + length)) " " (short(y - 3.0)) "v6" } {}
        text.measure x=(short(x + length / 2.0)) y=(short(y - 4.5)) font-size=(short(size)) text-anchor="middle" { (words) }
    }
}

fn down(y: f64, length: f64, x: f64, words: &str, size: f64) -> Markup {
    html! {
        path.dimension d={ "M" (short(x - 3.0)) " " (short(y)) "h6M" (short(x)) " " (short(y)) "v" (short(length)) "M" (short(x - 3.0)) " " (short(y + length)) "h6" } {}
        text.measure x=(short(x + 5.0)) y=(short(y + length / 2.0)) dy="0.35em" font-size=(short(size)) { (words) }
    }
}

/// Millimetres to the tenth, without an idle zero.
fn tenth(mm: f64) -> String {
    let text = format!("{mm:.1}");
    text.trim_end_matches(".0").to_owned()
}

fn tenths(length: Length) -> String {
    format!("{:.1} mm", length.mm())
}

fn thousandths(length: Length) -> String {
    length.to_string().trim_end_matches(" mm").to_owned()
}
