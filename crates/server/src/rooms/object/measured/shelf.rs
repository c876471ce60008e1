//! A book on the shelf: the paper that it must be made of.

use desk::ShelfView;
use desk::book::measured::shelf::Told;
use maud::{Markup, html};

use super::super::forms::{options, word_choices};
use super::{asked, in_the_way, tools};
use crate::drawing::short;
use crate::rooms::order::hidden;
use crate::shell::{size_words, spoken};

/// What may lie on the scale beside the bound book.
const BESIDE: [&str; 5] = ["jacket", "belly band", "slipcase", "ribbons", "flaps"];

pub(super) fn section(shelves: &[ShelfView]) -> Markup {
    html! {
        section.loop aria-labelledby="shelf" {
            div.loop-form {
                h2 #shelf { "A book on the shelf" }
                p.soft { "Take a book whose paper you like. A ruler and a kitchen scale tell what it is made of." }
                form method="post" action="/measured/shelf" data-act {
                    div.fields {
                        (asked("shelf", "name", "Which book", "for your own memory", false))
                        div.field { label for="shelf-kind" { "Binding" } select #shelf-kind name="kind" { (options(&word_choices(["sewn case", "sewn soft", "glued soft", "wire-stitched"], "sewn case"))) } }
                        (asked("shelf", "width", "Width of a page", "not of the boards: 240mm", true))
                        (asked("shelf", "height", "Height of a page", "300mm", true))
                        (asked("shelf", "block", "Block", "all leaves pressed: 21.5mm", true))
                        (asked("shelf", "pages", "Pages", "also those without a number", true))
                        (asked("shelf", "mass", "Mass", "1240g", true))
                        (asked("shelf", "board", "One board", "if it is a case: 2.5mm", false))
                        div.field { label for="shelf-finish" { "Surface" } select #shelf-finish name="finish" { option value="" { "not sure" } (options(&word_choices(["gloss", "silk", "matt", "uncoated"], ""))) } }
                        fieldset.field.whole.beside {
                            legend { "What lay on the scale with it" }
                            @for part in BESIDE { label { input type="checkbox" name={ "with " (part) }; span { (part) } } }
                        }
                        (asked("shelf", "weighed jacket", "The jacket alone", "if you weighed it: 38g", false))
                        (asked("shelf", "weighed slipcase", "The slipcase alone", "if you weighed it", false))
                    }
                    (tools("shelf", true))
                    button.strong #read-shelf { "Tell what it is made of" }
                }
            }
            div.loop-outcome #shelf-outcome {
                @if shelves.is_empty() { p.soft { "No book was measured yet. Here you will see the weight and the bulk of its paper, how sure that is, and the papers that come nearest." } }
                @for (place, view) in shelves.iter().rev().enumerate() {
                    @if place == 0 { (outcome(view)) }
                    @else { details { summary { (title(view)) } (outcome(view)) } }
                }
            }
        }
    }
}

fn title(view: &ShelfView) -> String {
    if view.name.is_empty() {
        format!("Book {}", view.number)
    } else {
        view.name.clone()
    }
}

fn outcome(view: &ShelfView) -> Markup {
    let measured = &view.measured;
    html! {
        h3 { (title(view)) span.soft { ", " (size_words(measured.page)) ", " (measured.pages) " pages, block " (short(measured.block.mm())) " mm, " (measured.mass) } }
        @match &view.told {
            Err(why) => (in_the_way(why)),
            Ok(told) => {
                dl.told {
                    div { dt { "Weight" } dd { b { (format!("{:.0}", told.grammage_gsm.value)) } " ± " (format!("{:.0}", told.grammage_gsm.likely)) " g/m²" } }
                    div { dt { "One leaf" } dd { b { (format!("{:.0}", told.caliper_um.value)) } " ± " (format!("{:.0}", told.caliper_um.likely)) " µm" } }
                    div { dt { "Bulk" } dd { b { (format!("{:.2}", told.bulk_cm3_per_g.value)) } " ± " (format!("{:.2}", told.bulk_cm3_per_g.likely)) " cm³/g" } }
                }
                (chart(told))
                ol.nearest {
                    @for (index, stock) in told.nearest.iter().enumerate() {
                        li {
                            span { b { (stock.name) } " " (stock.grammage) ", " (format!("{:.0} µm", stock.caliper.um())) span.soft { @if stock.can_be() { ": can be it" } @else { ": too far off" } } }
                            form method="post" action="/measured/accept" data-act {
                                (hidden("what", "shelf")) (hidden("number", &view.number.to_string())) (hidden("index", &index.to_string()))
                                button { "Use for my pages" span.hidden { ": " (stock.name) " " (stock.grammage) } }
                            }
                        }
                    }
                }
                @if !told.advice.is_empty() { p { (spoken(&told.advice)) } }
                details {
                    summary { "How it comes to that" }
                    ul.parts-told { @for part in &told.parts { li { b { (part.name) } " " (part.mass) " ± " (part.off) span.soft { ", " (part.how) } } } }
                    ol.told-steps { @for step in &told.steps { li { span { (step.what) } span.soft { (step.formula) } b { (step.result) } } } }
                }
            },
        }
    }
}

/// Weight against thickness, with the error as a box and the nearest papers by their numbers.
fn chart(told: &Told) -> Markup {
    const SIZE: (f64, f64) = (480.0, 230.0);
    const ROOM: f64 = 34.0;
    let (weight, leaf) = (told.grammage_gsm, told.caliper_um);
    let spread = |values: &[f64]| {
        let least = values.iter().copied().fold(f64::MAX, f64::min);
        let most = values.iter().copied().fold(f64::MIN, f64::max);
        let more = (most - least).max(1.0) * 0.12;
        (least - more, most + more)
    };
    let mut weights = vec![weight.lowest, weight.highest];
    let mut leaves = vec![leaf.lowest, leaf.highest];
    for stock in &told.nearest {
        weights.push(stock.grammage.gsm());
        leaves.push(stock.caliper.um());
    }
    let (across, down) = (spread(&weights), spread(&leaves));
    let x = |value: f64| ROOM + (SIZE.0 - ROOM - 12.0) * (value - across.0) / (across.1 - across.0);
    let y =
        |value: f64| SIZE.1 - ROOM - (SIZE.1 - ROOM - 12.0) * (value - down.0) / (down.1 - down.0);
    let area = |(left, right): (f64, f64), (low, high): (f64, f64)| {
        (x(left), y(high), x(right) - x(left), y(low) - y(high))
    };
    let all = area((weight.lowest, weight.highest), (leaf.lowest, leaf.highest));
    let likely = area(
        (weight.value - weight.likely, weight.value + weight.likely),
        (leaf.value - leaf.likely, leaf.value + leaf.likely),
    );
    html! {
        figure.stocks {
            svg viewBox={ "0 0 " (SIZE.0) " " (SIZE.1) } role="img" aria-label="The paper that was measured and the nearest ones, by weight and thickness" {
                rect.all x=(short(all.0)) y=(short(all.1)) width=(short(all.2)) height=(short(all.3)) {}
                rect.likely x=(short(likely.0)) y=(short(likely.1)) width=(short(likely.2)) height=(short(likely.3)) {}
                path.axis d={ "M" (ROOM) " 8V" (short(SIZE.1 - ROOM)) "H" (short(SIZE.0 - 8.0)) } {}
                text x=(short(SIZE.0 - 8.0)) y=(short(SIZE.1 - 8.0)) text-anchor="end" { "heavier →" }
                text x="14" y="12" transform="rotate(-90 14 12)" text-anchor="end" dy="0.3em" { "thicker →" }
                circle.got cx=(short(x(weight.value))) cy=(short(y(leaf.value))) r="5" {}
                @for (index, stock) in told.nearest.iter().enumerate() {
                    @let (cx, cy) = (x(stock.grammage.gsm()), y(stock.caliper.um()));
                    circle.meant cx=(short(cx)) cy=(short(cy)) r="9.5" {}
                    text.number x=(short(cx)) y=(short(cy)) dy="0.36em" text-anchor="middle" { (index + 1) }
                }
            }
            figcaption { "● as measured; dark box, likely; light box, if everything is off as far as it can be; numbers, the papers below." }
        }
    }
}
