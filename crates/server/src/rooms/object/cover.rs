//! *Cover and finishings*: one face under a lamp, and what is printed, stamped and varnished on it.

use axum::extract::{Query, State as Shared};
use axum::response::Html;
use desk::book::bar_code::BarCode;
use desk::book::object::FlatKind;
use desk::book::plan::SheetPlan;
use desk::book::{
    Book, Carrier, Corner, Dress, Finishing, FinishingColour, MaskFit, PlateSource, Process,
    SpineReads, Wanted, WordInk,
};
use desk::finish::FaultKind;
use desk::measure::Length;
use desk::{FinishingView, SheetName, Snapshot};
use maud::{Markup, html};
use serde::Deserialize;

use super::forms::{Choice, Forms, options, there_or_not, word_choices};
use super::lamp::{self, Face};
use super::parts;
use crate::State;
use crate::drawing::{self, mm};
use crate::problem::Problem;
use crate::rooms::findings;
use crate::rooms::order::hidden;
use crate::rooms::paper::edition;
use crate::shell::{Room, Scene, spoken};

/// The forms of this page.
const FORMS: Forms = Forms("cover");
const PROCESSES: [Process; 4] = [
    Process::Foil,
    Process::SpotVarnish,
    Process::BlindEmboss,
    Process::BlindDeboss,
];
const COLOURS: [FinishingColour; 6] = [
    FinishingColour::Gold,
    FinishingColour::Silver,
    FinishingColour::Copper,
    FinishingColour::Black,
    FinishingColour::White,
    FinishingColour::Clear,
];
const CARRIERS: [(Carrier, &str); 4] = [
    (Carrier::Cover, "the cover"),
    (Carrier::Jacket, "the jacket"),
    (Carrier::Band, "the belly band"),
    (Carrier::Slipcase, "the slipcase"),
];

const FITS: [(MaskFit, &str); 3] = [
    (MaskFit::Exact, "say so, and make no plate"),
    (MaskFit::Centre, "set it in the middle"),
    (MaskFit::Stretch, "stretch it"),
];

/// Which face lies under the lamp.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct Opened {
    sheet: String,
    panel: String,
}

/// `GET /object/cover`.
pub(crate) async fn room(
    Shared(state): Shared<State>,
    Query(opened): Query<Opened>,
) -> Result<Html<String>, Problem> {
    state
        .call(move |state| {
            let scene = Scene::read(state, Room::Object)?;
            let finishings = state.desk().finishings()?;
            let snapshot = &scene.snapshot;
            let room = html! {
                div.title-line { div {
                    h1 { "Cover and finishings" }
                    p.lead { "What goes around the pages, and what is stamped, varnished and raised on it." }
                } }
                (parts("/object/cover"))
                @match chosen(snapshot, &finishings, &opened) {
                    None => { p { "This book has no printed sheet around its pages yet." } },
                    Some(sheet) => {
                        @let face = face(sheet, &finishings, &opened.panel);
                        (faces(snapshot, &face))
                        div.columns.object {
                            div.drawings {
                                (lamp::figure(snapshot, &face, &edition(snapshot), &finishings))
                                (judged(snapshot, &face, &finishings))
                            }
                            div.decisions {
                                (finishing_forms(&snapshot.book, &face, &finishings))
                                (bar_code(snapshot))
                                (dress(snapshot, sheet))
                            }
                        }
                    },
                }
            };
            Ok(scene.page(&room, Some("light.js"), false))
        })
        .await
}

/// The sheet that was asked for; else the first with a finishing, else what is seen of the book.
fn chosen<'a>(
    snapshot: &'a Snapshot,
    finishings: &[FinishingView],
    opened: &Opened,
) -> Option<&'a SheetPlan> {
    let asked = match SheetName::of(&opened.sheet) {
        Some(SheetName::Flat(kind)) => snapshot.sheet(kind),
        _ => None,
    };
    let finished = || finishings.iter().find_map(|one| snapshot.sheet(one.sheet?));
    asked
        .or_else(finished)
        .or_else(|| snapshot.outside())
        .or_else(|| snapshot.sheets.first())
}

/// The panel that was asked for; else the one with the first finishing, else the front.
fn face<'a>(sheet: &'a SheetPlan, finishings: &'a [FinishingView], asked: &str) -> Face<'a> {
    let whole = Face {
        sheet,
        panel: "whole",
        rect: sheet.flat.trimmed(),
    };
    let finished = finishings
        .iter()
        .find(|one| one.sheet == Some(sheet.kind()))
        .map(|one| one.panel.as_str());
    let named = |name: &str| {
        let panel = sheet.flat.panel(name)?;
        Some(Face {
            sheet,
            panel: panel.name,
            rect: panel.rect,
        })
    };
    match asked {
        "whole" => whole,
        "" => finished
            .and_then(named)
            .or_else(|| named("front"))
            .unwrap_or(whole),
        name => named(name).unwrap_or(whole),
    }
}

/// The way to other sheets and faces.
fn faces(snapshot: &Snapshot, face: &Face<'_>) -> Markup {
    let here = SheetName::from(face.sheet.kind()).word();
    html! {
        div.faces {
            nav aria-label="Sheets" {
                @for sheet in snapshot.sheets.iter() {
                    @let name = SheetName::from(sheet.kind()).word();
                    a href={ "/object/cover?sheet=" (name) } aria-current=[(name == here).then_some("true")] {
                        (drawing::flat(sheet, snapshot, 160)) span { (sheet.flat.name()) }
                    }
                }
            }
            nav.filter aria-label="Faces" {
                @for panel in face.sheet.flat.panels.iter().filter(|panel| seen(panel.name)) {
                    a href={ "/object/cover?sheet=" (here) "&panel=" (crate::address::query(panel.name)) } aria-current=[(panel.name == face.panel).then_some("true")] { (panel.name) }
                }
                a href={ "/object/cover?sheet=" (here) "&panel=whole" } aria-current=[(face.panel == "whole").then_some("true")] { "whole sheet" }
            }
        }
    }
}

/// Whether a panel is ever seen by a reader.
fn seen(panel: &str) -> bool {
    !panel.contains("turn-in") && !panel.contains("hinge")
}

/// What is to be said of each finishing on this sheet.
fn judged(snapshot: &Snapshot, face: &Face<'_>, finishings: &[FinishingView]) -> Markup {
    let those: Vec<&FinishingView> = finishings
        .iter()
        .filter(|one| one.sheet == Some(face.sheet.kind()) || one.sheet.is_none())
        .collect();
    html! {
        @if !those.is_empty() {
            section.judged aria-labelledby="judged-title" {
                h2 #judged-title { "Whether the process holds it" }
                @for one in those {
                    article {
                        h3 { (one.name) span.soft { ", " (one.process.word()) " on the " (one.panel) } }
                        @if let Some(trouble) = &one.trouble {
                            @if one.findings.is_empty() { p.problem { (spoken(trouble)) } }
                        } @else {
                            p.share {
                                "Covers " b { (format!("{:.1} %", one.share * 100.0)) } " of its face"
                                @if one.share > one.bounds.share { ": " strong { "more than is wise" } }
                                ". Least line " (mm(one.bounds.line)) " mm, least gap " (mm(one.bounds.gap)) " mm. "
                                @if one.thicken > Length::ZERO { "Its lines are " b { (one.thicken) } " wider than drawn. " }
                                @if !one.coarse && one.findings.is_empty() && one.faults.is_empty() { "Nothing is too fine." }
                            }
                        }
                        (findings::list(&one.findings))
                        @if one.faults.iter().any(|fault| fault.kind == FaultKind::Line) { (thicken(one)) }
                        @if let Some(sheet) = one.sheet.and_then(|kind| snapshot.sheet(kind)) { (lamp::faults(sheet, one)) }
                    }
                }
            }
        }
    }
}

/// Lines that are too thin can be made wide enough without a drawing program.
fn thicken(one: &FinishingView) -> Markup {
    html! {
        form.thicken method="post" action="/edit" data-act {
            (hidden("wish", "thicken")) (hidden("room", "cover")) (hidden("key", &one.name))
            button id={ "thicken-" (one.index) } { "Make its lines wide enough" span.hidden { ": " (one.name) } } " "
            span.soft { "As much as they need, and no more. Gaps get as much narrower; those that close are told." }
        }
    }
}

/// A form for each finishing, and one for another.
fn finishing_forms(book: &Book, face: &Face<'_>, finishings: &[FinishingView]) -> Markup {
    html! {
        section aria-labelledby="finishings" {
            h2 #finishings { "Finishings" }
            p.soft { "Each becomes a plate of its own in the press file, named as it is here." }
            @for (index, one) in book.finishings.iter().enumerate() {
                @let failing = finishings.get(index).is_some_and(|view| !view.faults.is_empty() || !view.findings.is_empty());
                details id={ "finishing-" (index) } open[failing] {
                    summary { (one.name) ", " (one.process.word()) @if one.colour != FinishingColour::Clear { " in " (one.colour.word()) } }
                    (finishing_form(face, index, one))
                }
            }
            details #another-finishing open[book.finishings.is_empty()] {
                summary { "Another finishing" }
                (another(face))
            }
        }
    }
}

/// A length as it is typed; nothing where none is said.
fn length(length: Option<Length>) -> String {
    length.map_or_else(String::new, |length| format!("{}mm", mm(length)))
}

fn finishing_form(face: &Face<'_>, index: usize, one: &Finishing) -> Markup {
    let key = |key: &str| format!("finishing.{}.{key}", one.name);
    let id = |key: &str| format!("finishing-{index}-{key}");
    let bounds = match one.process {
        Process::Foil => desk::finish::Process::Foil,
        Process::SpotVarnish => desk::finish::Process::SpotVarnish,
        Process::BlindEmboss => desk::finish::Process::Emboss,
        Process::BlindDeboss => desk::finish::Process::Deboss,
    }
    .bounds();
    let (mask, words) = match &one.source {
        PlateSource::Mask(path) => (path.as_str(), false),
        PlateSource::Title | PlateSource::TitleAlone => ("", true),
    };
    let alone = one.source == PlateSource::TitleAlone;
    let which = [
        ("title", "title and author", !alone),
        ("title alone", "the title alone", alone),
    ]
    .map(|(word, words, chosen)| (word.to_owned(), words.to_owned(), chosen));
    let widened = length(Some(one.thicken).filter(|by| *by > Length::ZERO));
    html! {
        div.fields {
            (FORMS.chosen(&key("process"), &id("process"), "Process", &word_choices(PROCESSES.map(Process::word), one.process.word()), false))
            (FORMS.chosen(&key("colour"), &id("colour"), "Colour", &word_choices(COLOURS.map(FinishingColour::word), one.colour.word()), false))
            (FORMS.chosen(&key("on"), &id("on"), "On", &CARRIERS.map(|(carrier, words)| (carrier.word().to_owned(), words.to_owned(), carrier == one.on)), false))
            (FORMS.chosen(&key("panel"), &id("panel"), "Face", &panels(face, &one.panel), false))
            form.field.whole method="post" action="/edit" data-act data-auto {
                (hidden("wish", "drawn from")) (hidden("room", "cover")) (hidden("key", &one.name))
                label for=(id("mask")) { "Drawn from" }
                input id=(id("mask")) type="text" name="value" value=(mask) placeholder=[words.then_some("the title as it stands there")] autocomplete="off" spellcheck="false" aria-describedby=(id("mask-example"));
                noscript { button { "Set" } }
                p.example id=(id("mask-example")) { "An SVG or a picture in the book folder, black on white, such as masks/title.svg. Empty: the title's own words." }
            }
            @if words { (FORMS.chosen(&key("words"), &id("words"), "Its words", &which, false)) }
            (FORMS.text(&key("least_line"), &id("least_line"), "Least line", (&length(one.least_line), &format!("{}mm", mm(bounds.line))), "what the finisher holds; empty: as is usual"))
            (FORMS.text(&key("least_gap"), &id("least_gap"), "Least gap", (&length(one.least_gap), &format!("{}mm", mm(bounds.gap))), "between two parts of the plate"))
            (FORMS.text(&key("thicken"), &id("thicken"), "Lines wider by", (&widened, "0mm"), "and gaps as much narrower; up to 0.5 mm"))
            @if !words { (FORMS.chosen(&key("fit"), &id("fit"), "If its mask does not fit", &FITS.map(|(fit, words)| (fit.word().to_owned(), words.to_owned(), fit == one.fit)), true)) }
        }
        form method="post" action="/edit" data-act {
            (hidden("wish", "set")) (hidden("room", "cover")) (hidden("key", &key("name"))) (hidden("value", ""))
            button { "Take it out" span.hidden { ": " (one.name) } }
        }
    }
}

/// Faces that a finishing can be on; the one that it names stays among them, wherever it is.
fn panels(face: &Face<'_>, chosen: &str) -> Vec<Choice> {
    let mut names: Vec<&str> = face
        .sheet
        .flat
        .panels
        .iter()
        .map(|panel| panel.name)
        .filter(|name| seen(name))
        .collect();
    names.push("whole");
    if !names.contains(&chosen) {
        names.push(chosen);
    }
    names
        .into_iter()
        .map(|name| {
            let words = if name == "whole" { "whole sheet" } else { name };
            (name.to_owned(), words.to_owned(), name == chosen)
        })
        .collect()
}

fn another(face: &Face<'_>) -> Markup {
    let on = CARRIERS.map(|(carrier, words)| {
        (
            carrier.word().to_owned(),
            words.to_owned(),
            carrier.is(face.sheet.kind()),
        )
    });
    html! {
        form.fields method="post" action="/edit" data-act {
            (hidden("wish", "finish")) (hidden("room", "cover"))
            div.field.whole {
                label for="new-name" { "Name" }
                input #new-name type="text" name="key" required autocomplete="off" placeholder="title foil" aria-describedby="new-name-example";
                p.example #new-name-example { "The finisher reads it on the plate." }
            }
            div.field { label for="new-process" { "Process" } select #new-process name="process" { (options(&word_choices(PROCESSES.map(Process::word), "foil"))) } }
            div.field { label for="new-colour" { "Colour" } select #new-colour name="colour" { (options(&word_choices(COLOURS.map(FinishingColour::word), "gold"))) } }
            div.field { label for="new-on" { "On" } select #new-on name="on" { (options(&on)) } }
            div.field { label for="new-panel" { "Face" } select #new-panel name="panel" { (options(&panels(face, face.panel))) } }
            div.field.whole {
                label for="new-mask" { "Drawn from" }
                input #new-mask type="text" name="value" placeholder="the title as it stands there" autocomplete="off" spellcheck="false" aria-describedby="new-mask-example";
                p.example #new-mask-example { "An SVG or a picture in the book folder, black on white. Empty: the title's own words." }
            }
            button.strong #add-finishing { "Add it" }
        }
    }
}

/// The book number and its bars.
fn bar_code(snapshot: &Snapshot) -> Markup {
    let book = &snapshot.book;
    let placed = snapshot
        .sheets
        .iter()
        .find_map(|sheet| Some((sheet, sheet.bar_code.as_ref()?)));
    html! {
        section aria-labelledby="bar-code" {
            h2 #bar-code { "Bar code" }
            @if let Some((sheet, code)) = placed {
                figure.bars {
                    svg viewBox={ "0 0 " (mm(code.rect.width)) " " (mm(code.rect.height)) } role="img" aria-label={ "Bar code on the " (sheet.flat.name()) } {
                        rect width=(mm(code.rect.width)) height=(mm(code.rect.height)) fill="#ffffff" {}
                        @for bar in &code.layout.bars { rect x=(format!("{:.3}", bar.x.mm())) y=(mm(bar.y)) width=(format!("{:.3}", bar.width.mm())) height=(mm(bar.height)) fill="#000000" {} }
                        @for digit in &code.layout.digits { text x=(mm(digit.room.x + digit.room.width / 2)) y=(mm(digit.room.bottom())) font-size=(mm(digit.room.height)) text-anchor="middle" { (digit.digit) } }
                    }
                    figcaption {
                        "On the " (sheet.flat.name()) ", " (format!("{:.1} × {:.1} mm", code.rect.width.mm(), code.rect.height.mm())) " with its quiet zones, a module "
                        (format!("{:.3} mm", code.layout.module.mm())) ". Black ink alone" @if code.white.is_some() { ", on a panel without ink" } "."
                    }
                }
            } @else if book.about.isbn.is_none() {
                p.soft { "The bars come as soon as the book has a number. The agency of your country gives it; a wrong check digit is refused." }
            } @else { p.soft { "No bar code is set: see the findings of the book." } }
            div.fields {
                (FORMS.text("book.isbn", "book-isbn", "ISBN", (&book.about.isbn.map_or_else(String::new, |isbn| isbn.to_string()), ""), "13 digits, hyphens as you like"))
                @if let Some(wish) = &book.bar_code {
                    (FORMS.field("barcode.magnification", "Magnification", &percent(&wish.code), "80% to 200%; 100% is safest"))
                    (FORMS.text("barcode.width_reduction", "barcode-width_reduction", "Bars narrower by", (&length(Some(wish.code.width_reduction()).filter(|by| *by > Length::ZERO)), "0mm"), "what the printer asks for, such as 0.02mm"))
                    (FORMS.field("barcode.price", "Price add-on", &wish.code.add_on().map_or_else(String::new, price_of), "five digits, or empty"))
                    (FORMS.choice("barcode.on", "On", &on_choices(wish.on)))
                    (FORMS.choice("barcode.panel", "Face", &word_choices(["back", "front", "back flap", "front flap"], &wish.panel)))
                    (FORMS.choice("barcode.place", "Corner", &word_choices([Corner::FootRight, Corner::FootLeft, Corner::HeadRight, Corner::HeadLeft].map(Corner::word), wish.place.word())))
                    (FORMS.choice("barcode.white", "White panel under it", &there_or_not(wish.white)))
                }
            }
        }
    }
}

fn price_of(price: desk::book::bar_code::PriceAddOn) -> String {
    price
        .digits()
        .iter()
        .map(|digit| char::from(b'0' + digit))
        .collect()
}

fn percent(code: &BarCode) -> String {
    format!("{}%", drawing::short(code.magnification()))
}

fn on_choices(on: Option<Carrier>) -> Vec<Choice> {
    let outermost = (String::new(), "the outermost".to_owned(), on.is_none());
    let each = CARRIERS.map(|(carrier, words)| {
        (
            carrier.word().to_owned(),
            words.to_owned(),
            on == Some(carrier),
        )
    });
    std::iter::once(outermost).chain(each).collect()
}

/// Pictures, words and ground of the sheet.
fn dress(snapshot: &Snapshot, sheet: &SheetPlan) -> Markup {
    let book = &snapshot.book;
    let kind = sheet.kind();
    let section = Book::dress_section(kind);
    let dress = book.dress_of(kind);
    let has = |panel: &str| sheet.flat.panel(panel).is_some();
    let key = |key: &str| format!("{section}.{key}");
    let pictures = |chosen: &Option<Wanted>| pictures(snapshot, chosen.as_ref());
    let written = !matches!(
        kind,
        FlatKind::FrontEndpaper
            | FlatKind::BackEndpaper
            | FlatKind::BellyBand
            | FlatKind::SlipcaseWrap
            | FlatKind::SlipcaseEnds
    );
    html! {
        section aria-labelledby="dress" {
            h2 #dress { "Art and words of the " (sheet.flat.name()) }
            div.fields {
                @if kind != FlatKind::BellyBand && kind != FlatKind::SlipcaseWrap && kind != FlatKind::SlipcaseEnds {
                    (FORMS.choice(&key("art"), "Over the whole sheet", &pictures(&dress.whole)))
                }
                @if has("front") && kind != FlatKind::BellyBand { (FORMS.choice(&key("front"), "Front", &pictures(&dress.front))) }
                @if has("back") && kind != FlatKind::BellyBand { (FORMS.choice(&key("back"), "Back", &pictures(&dress.back))) }
                (FORMS.field(&key("ground"), "Ground", &ground(dress), "C M Y K in percent"))
                @if written {
                    (FORMS.choice(&key("front_words"), "Title on the front", &there_or_not(dress.front_words)))
                    (FORMS.choice(&key("ink"), "Ink of the words", &word_choices([WordInk::Black.word(), WordInk::Paper.word()], dress.ink.word())))
                    (FORMS.field(&key("spine_words"), "Spine", &dress.spine_words, "empty for none"))
                    (FORMS.choice(&key("spine_reads"), "The spine reads", &reads(book, dress)))
                    (FORMS.words(&key("back_words"), "Words on the back", &dress.back_words.join("\n\n"), "an empty line parts paragraphs"))
                    @if has("front flap") {
                        (FORMS.words(&key("front_flap_words"), "Words on the front flap", &dress.front_flap_words.join("\n\n"), "what the book is about"))
                        (FORMS.words(&key("back_flap_words"), "Words on the back flap", &dress.back_flap_words.join("\n\n"), "who made it"))
                    }
                }
                @if kind == FlatKind::BellyBand { (FORMS.words(&key("words"), "Words on the front", &dress.words.join("\n\n"), "a line or two")) }
            }
        }
    }
}

fn pictures(snapshot: &Snapshot, chosen: Option<&Wanted>) -> Vec<Choice> {
    let name = chosen.map(|wanted| wanted.piece.as_str());
    let none = (String::new(), "none".to_owned(), name.is_none());
    let mut choices = vec![none];
    choices.extend(snapshot.pieces.iter().map(|piece| {
        (
            piece.name.clone(),
            piece.name.clone(),
            name == Some(&piece.name),
        )
    }));
    if let Some(name) = name.filter(|name| snapshot.pieces.iter().all(|piece| piece.name != *name))
    {
        choices.push((name.to_owned(), format!("{name} (not in the folder)"), true));
    }
    choices
}

fn ground(dress: &Dress) -> String {
    dress.ground.map(drawing::short).join(" ")
}

fn reads(book: &Book, dress: &Dress) -> [Choice; 3] {
    let custom = SpineReads::custom_of(&book.about.language);
    [
        (
            String::new(),
            format!("{}, as is the custom", custom.word()),
            dress.spine_reads.is_none(),
        ),
        (
            "down".to_owned(),
            "down".to_owned(),
            dress.spine_reads == Some(SpineReads::Down),
        ),
        (
            "up".to_owned(),
            "up".to_owned(),
            dress.spine_reads == Some(SpineReads::Up),
        ),
    ]
}
