//! The closed book from three sides.

use desk::Snapshot;
use desk::book::object::Object;
use desk::book::plan::SheetPlan;
use desk::measure::{Length, Rect};
use maud::{Markup, html};

use crate::drawing::{self, short};

/// Room around the drawings for the measures.
const MARGIN: f64 = 34.0;

/// Spine, front and head of the closed book.
pub(super) fn three_views(snapshot: &Snapshot, object: &Object) -> Markup {
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
    // As wide as the open cover, so that a thicker book is seen to be thicker.
    let whole_width = width * 2.0 + thick + MARGIN * 2.6;
    let spine_x = (whole_width - width - thick - gap) / 2.0;
    let front_x = spine_x + thick + gap;
    let top = MARGIN;
    let head_y = top + height + gap;
    let whole = (whole_width, head_y + thick + 8.0);
    let size = whole_width / 48.0;
    let outside = snapshot.outside();
    html! {
        svg viewBox={ "0 0 " (short(whole.0)) " " (short(whole.1)) } role="img" aria-label={
            "The closed book: " (short(width)) " by " (short(height)) " millimetres, " (short(thick)) " thick" }
        {
            @match outside {
                Some(sheet) => {
                    (seen(sheet, snapshot, front(sheet), (front_x, top, width, height)))
                    (seen(sheet, snapshot, spine(sheet), (spine_x, top, thick, height)))
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

/// A part of a sheet as it is seen on the closed book.
fn seen(
    sheet: &SheetPlan,
    snapshot: &Snapshot,
    part: Rect,
    (x, y, width, height): (f64, f64, f64, f64),
) -> Markup {
    html! {
        svg x=(short(x)) y=(short(y)) width=(short(width)) height=(short(height)) preserveAspectRatio="none"
            viewBox=(drawing::view_box(part)) { (drawing::laid_flat(sheet, snapshot, 640)) }
    }
}

/// The front as far as the spine: over a hinge, where there is one.
fn front(sheet: &SheetPlan) -> Rect {
    let spine = spine(sheet);
    sheet.flat.panel("front").map_or_else(
        || sheet.flat.trimmed(),
        |panel| {
            let right = panel.rect.x + panel.rect.width;
            let left = spine.x + spine.width;
            Rect::new(left, panel.rect.y, right - left, panel.rect.height)
        },
    )
}

/// The spine, as a line where the sheet has none.
fn spine(sheet: &SheetPlan) -> Rect {
    let hair = Length::from_mm(0.1);
    match (sheet.flat.panel("spine"), sheet.flat.panel("front")) {
        (Some(panel), _) => panel.rect,
        (None, Some(front)) => Rect::new(front.rect.x, front.rect.y, hair, front.rect.height),
        (None, None) => Rect::new(Length::ZERO, Length::ZERO, hair, sheet.flat.trim.height),
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
