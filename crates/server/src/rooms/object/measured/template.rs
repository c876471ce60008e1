//! The printer's template laid over our sheet.

use desk::book::measured::template::{Believe, Difference, Laid};
use desk::book::object::{FlatKind, Fold};
use desk::book::plan::SheetPlan;
use desk::figures::hundredth;
use desk::finding::capital;
use desk::measure::Length;
use desk::{Desk, SheetName, Snapshot, TemplatePage, TemplateView};
use maud::{Markup, html};

use super::in_the_way;
use crate::drawing::{self, mm, short};
use crate::problem::Problem;
use crate::rooms::findings;
use crate::rooms::order::hidden;
use crate::shell::spoken;

pub(super) fn section(
    desk: &Desk,
    snapshot: &Snapshot,
    sheet: Option<&SheetPlan>,
    templates: &[TemplateView],
) -> Result<Markup, Problem> {
    let figures = match sheet {
        Some(sheet) => desk.template_figures(sheet.kind())?,
        None => Vec::new(),
    };
    let last = sheet.and_then(|sheet| {
        let mut those = templates.iter().rev();
        those.find(|view| view.kind == sheet.kind())
    });
    Ok(html! {
        section.loop aria-labelledby="template" {
            div.loop-form {
                h2 #template { "The printer's template" }
                p.soft { "Type the figures that the printer gave, or hand in the template as a PDF: its boxes and its straight lines are read." }
                @if let Some(sheet) = sheet {
                    @let word = SheetName::from(sheet.kind()).word();
                    nav.filter aria-label="Sheet that the template is for" {
                        @for other in &snapshot.sheets {
                            @let name = SheetName::from(other.kind()).word();
                            a href={ "/object/measured?sheet=" (name) "#template" } aria-current=[(name == word).then_some("true")] { (other.flat.name()) }
                        }
                    }
                    form method="post" action="/measured/template" enctype="multipart/form-data" data-act {
                        (hidden("sheet", &word))
                        div.field {
                            label for="template-file" { "The PDF" }
                            input #template-file type="file" name="file" accept=".pdf,application/pdf" aria-describedby="template-file-example";
                            p.example #template-file-example { "At most " (crate::measuring::MOST_WORDS) "; it stays on this machine." }
                        }
                        div.field {
                            label for="template-page" { "Page, if it has several" }
                            input #template-page type="text" inputmode="numeric" name="page" autocomplete="off" aria-describedby="template-page-example";
                            p.example #template-page-example { "Left empty, the page that fits this sheet best is read; you can turn to another one then." }
                        }
                        details {
                            summary { "Its figures, typed in" }
                            div.fields {
                                @for (name, ours) in &figures {
                                    @let id = super::super::forms::id_of(&format!("template-{name}"));
                                    div.field {
                                        label for=(id) { (capital(name)) }
                                        input #(id) type="text" name=(name) placeholder={ (hundredth(*ours)) " mm" } autocomplete="off" spellcheck="false";
                                    }
                                }
                            }
                        }
                        button.strong #read-template { "Lay it over ours" }
                    }
                } @else { p { "This book has no printed sheet around its pages." } }
            }
            div.loop-outcome #template-outcome {
                @match (last, sheet) {
                    (Some(view), Some(sheet)) => (outcome(view, sheet, snapshot)),
                    _ => { p.soft { "No template was laid over this sheet yet. Here you will see both together, every difference in millimetres, and which side to believe." } },
                }
            }
        }
    })
}

fn outcome(view: &TemplateView, sheet: &SheetPlan, snapshot: &Snapshot) -> Markup {
    let title = if view.name.is_empty() {
        "figures typed in"
    } else {
        view.name.as_str()
    };
    html! {
        h3 { "Template " (view.number) ": " (title) span.soft { ", for the " (view.kind.word()) } }
        @if let Some(page) = view.page.as_ref().filter(|page| page.of > 1) { (turning(view.number, view.kind, page)) }
        @if let Some(when) = &view.accepted { p { strong { "Taken into the book" } " on " (when.get(..10).unwrap_or(when)) "." } }
        @match &view.laid {
            Err(why) => (in_the_way(why)),
            Ok(laid) => {
                @let apart: Vec<_> = laid.findings.iter().filter(|finding| !finding.code.starts_with("book-template-ask") && !finding.code.starts_with("book-template-for")).cloned().collect();
                (overlay(laid, sheet, snapshot))
                (differences(view.number, view.kind, laid))
                // What stands in the table is not said twice.
                (findings::list(&apart))
                @if laid.differences.iter().any(|one| one.believe == Believe::Theirs && one.sets().is_some()) {
                    form method="post" action="/measured/accept" data-act {
                        (hidden("what", "template")) (hidden("number", &view.number.to_string())) (hidden("sheet", &SheetName::from(view.kind).word()))
                        button.strong #accept-template { "Take the printer's figures" }
                    }
                    p.soft { "Only those where the printer is to be believed; each keeps its source. Undo takes it back." }
                }
                @if !laid.unseen.is_empty() { p.soft { "The template does not show: " (laid.unseen.join(", ")) "." } }
            },
        }
    }
}

/// Which page was read, and the others to turn to.
fn turning(number: u32, kind: FlatKind, page: &TemplatePage) -> Markup {
    html! {
        div.turning role="group" aria-label="Page of the template" {
            p { "Page " strong { (page.number) } " of " (page.of) " was read." @if page.others.is_empty() { " No other page says anything of this sheet." } }
            @if !page.others.is_empty() {
                p.soft { "Is another page meant?" }
                @for other in &page.others {
                    form method="post" action="/measured/turn" data-act {
                        (hidden("number", &number.to_string())) (hidden("page", &other.to_string())) (hidden("sheet", &SheetName::from(kind).word()))
                        button { "Page " (other) }
                    }
                }
            }
        }
    }
}

/// Our sheet with the template's lines over it, and its differences as arrows would be too small to
/// see, as words beside the lines.
fn overlay(laid: &Laid, sheet: &SheetPlan, snapshot: &Snapshot) -> Markup {
    let is_typed = laid.lines.is_empty() && laid.trim.is_none() && laid.bleed.is_none();
    let trim = sheet.flat.trim;
    let margin = (trim.width.mm() / 22.0).max(12.0);
    let size = (trim.width.mm() / 62.0).max(3.0);
    let labels = labels(laid, size);
    // The margin has room for two rows.
    let highest = labels.iter().map(|label| label.row).max().unwrap_or(0);
    let head = margin + highest.saturating_sub(1) as f64 * size * ROW;
    let whole = (
        trim.width.mm() + 2.0 * margin,
        trim.height.mm() + margin + head,
    );
    html! {
        figure.overlay {
            svg viewBox={ (short(-margin)) " " (short(-head)) " " (short(whole.0)) " " (short(whole.1)) } role="img" aria-label={ "The template over the " (sheet.flat.name()) ": our folds as broken lines, the template's lines solid" } {
                g.ours opacity="0.4" { (drawing::laid_flat(sheet, snapshot, 640)) }
                rect.trim width=(mm(trim.width)) height=(mm(trim.height)) {}
                @for fold in &sheet.flat.folds {
                    @let line = match fold {
                        Fold::Upright(x) => format!("M{} 0V{}", mm(*x), mm(trim.height)),
                        Fold::Level(y) => format!("M0 {}H{}", mm(*y), mm(trim.width)),
                    };
                    path.fold-under d=(line) {} path.fold d=(line) {}
                }
                @for stated in [laid.bleed, laid.trim].into_iter().flatten() {
                    @let path = format!("M{} {}h{}v{}h{}z", mm(stated.x), mm(stated.y), mm(stated.width), mm(stated.height), mm(-stated.width));
                    path.theirs-under d=(path) {} path.theirs d=(path) {}
                }
                @for line in &laid.lines {
                    @let path = if line.upright {
                        format!("M{} {}V{}", mm(line.at), mm(line.from), mm(line.to))
                    } else {
                        format!("M{} {}H{}", mm(line.from), mm(line.at), mm(line.to))
                    };
                    path.theirs-under d=(path) {} path.theirs d=(path) {}
                }
                @for label in &labels {
                    @let (x, y) = if label.upright { (label.at, -margin * 0.3 - label.row as f64 * size * ROW) } else { (-margin * 0.5, label.at + size * 0.36) };
                    text.by x=(short(x)) y=(short(y)) font-size=(short(size)) text-anchor="middle" { (label.text) }
                }
                // Figures that were typed in have no lines: each stands in its panel.
                @if is_typed {
                    @for one in &laid.differences {
                        @if let Some(panel) = sheet.flat.panel(one.what) {
                            @let (x, y) = ((panel.rect.x + panel.rect.width / 2).mm(), (panel.rect.y + panel.rect.height / 2).mm());
                            rect.tag x=(short(x - size * 1.9)) y=(short(y - size * 0.9)) width=(short(size * 3.8)) height=(short(size * 1.8)) {}
                            text.by x=(short(x)) y=(short(y)) dy="0.36em" font-size=(short(size)) text-anchor="middle" { (signed(one.by().mm())) }
                        }
                    }
                }
            }
            figcaption {
                @if is_typed { "Our sheet and its folds. In a panel, how many millimetres the printer's is wider or narrower." }
                @else if laid.lines.is_empty() { "Solid, the boxes that the template states; broken, our folds. It has no lines." }
                @else { "Solid, the template's lines; broken, our folds. Beside a line, how many millimetres it stands from ours." }
            }
        }
    }
}

/// Height of a row of labels, in type sizes.
const ROW: f64 = 1.15;

/// How far a line of the template stands from ours, and where that is written.
struct Label {
    upright: bool,
    /// The middle of the words along the side that they stand at.
    at: f64,
    /// Above the sheet, the row from below, so that words do not lie over each other.
    row: usize,
    text: String,
}

/// One label for each of our folds and edges that the template has elsewhere: marks at both ends of a
/// fold say the same.
fn labels(laid: &Laid, size: f64) -> Vec<Label> {
    let mut off: Vec<(bool, Length, Length)> = laid
        .lines
        .iter()
        .filter_map(|line| Some((line.upright, line.ours?, line.at)))
        .filter(|(_, ours, at)| (*at - *ours).mm().abs() >= 0.05)
        .collect();
    off.sort_unstable();
    off.dedup_by_key(|(upright, ours, _)| (*upright, *ours));
    // Where the last label of each row ends; beside the sheet there is one column.
    let mut ends: Vec<f64> = Vec::new();
    let mut low = f64::NEG_INFINITY;
    off.into_iter()
        .map(|(upright, ours, at)| {
            let text = signed((at - ours).mm());
            let mut label = Label {
                upright,
                at: at.mm(),
                row: 0,
                text,
            };
            if upright {
                let half = label.text.chars().count() as f64 * size * 0.32;
                let free = ends.iter().position(|end| label.at - half > *end);
                label.row = free.unwrap_or(ends.len());
                ends.resize(ends.len().max(label.row + 1), 0.0);
                ends[label.row] = label.at + half;
            } else {
                label.at = label.at.max(low + size * ROW);
                low = label.at;
            }
            label
        })
        .collect()
}

/// Millimetres to a tenth with their sign; what is nothing has none.
fn signed(by: f64) -> String {
    match by {
        by if by.abs() < 0.05 => "0.0".to_owned(),
        by if by < 0.0 => format!("−{:.1}", -by),
        by => format!("+{by:.1}"),
    }
}

fn differences(number: u32, kind: FlatKind, laid: &Laid) -> Markup {
    html! {
        div.scrolled.whole tabindex="0" role="group" aria-label="Differences, figure by figure" {
            table {
                thead { tr { th scope="col" { "Figure" } th scope="col" { "Ours, mm" } th scope="col" { "Template, mm" } th scope="col" { "By" } th scope="col" { "Believe" } th scope="col" { "Because" } } }
                tbody { @for one in &laid.differences { (difference(number, kind, one)) } }
            }
        }
    }
}

fn difference(number: u32, kind: FlatKind, one: &Difference) -> Markup {
    html! {
        tr data-believe=(one.believe.word()) {
            th scope="row" { (capital(one.what)) }
            td { (hundredth(one.ours)) " " span.soft { (one.basis.word()) } }
            td { (hundredth(one.theirs)) }
            td { b { (signed(one.by().mm())) } }
            td { @if one.believe == Believe::Same { "same" } @else { strong { (one.believe.word()) } } }
            td.because { (spoken(&one.why)) @if let Some(doubt) = &one.doubt { " " (spoken(doubt)) }
                @if one.believe == Believe::Ask && let Some((_, value)) = one.sets() {
                    form method="post" action="/measured/accept" data-act {
                        (hidden("what", "template")) (hidden("number", &number.to_string())) (hidden("figure", one.what)) (hidden("sheet", &SheetName::from(kind).word()))
                        @let take = format!("Theirs holds: take {}", value.replace("mm", " mm"));
                        button aria-label={ (take) " for the " (one.what) } { (take) }
                    }
                }
            }
        }
    }
}
