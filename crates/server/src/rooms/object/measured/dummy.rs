//! The bindery's blank dummy: foretold against measured.

use desk::book::measured::dummy::{Compared, DummyRead, Lesson};
use desk::{DummyView, Snapshot};
use maud::{Markup, html};

use super::{asked, in_the_way, tools};
use crate::drawing::short;
use crate::rooms::findings;
use crate::rooms::order::hidden;
use crate::shell::spoken;

pub(super) fn section(snapshot: &Snapshot, dummies: &[DummyView]) -> Markup {
    let last = dummies.last();
    html! {
        section.loop aria-labelledby="dummy" {
            div.loop-form {
                h2 #dummy { "The blank dummy" }
                p.soft { "Bound from the papers that will be printed on, without ink. Measure what you can; leave out the rest." }
                form method="post" action="/measured/dummy" data-act {
                    div.fields {
                        (asked("dummy", "spine", "Spine", "from edge to edge, such as 14.6mm", false))
                        (asked("dummy", "block", "Block", "all leaves pressed, no cover", false))
                        (asked("dummy", "mass", "Mass", "the bound dummy, such as 812g", false))
                        (asked("dummy", "pages", "Pages", &format!("{} unless said", snapshot.object.pages), false))
                    }
                    details {
                        summary { "Single parts" }
                        div.fields {
                            (asked("dummy", "board", "Board", "one board of the case", false))
                            (asked("dummy", "cover", "Cover sheet", "its thickness", false))
                            (asked("dummy", "endpaper", "Endpaper", "one leaf", false))
                        }
                    }
                    (tools("dummy", true))
                    button.strong #read-dummy { "Hold it against the book" }
                }
            }
            div.loop-outcome #dummy-outcome {
                @match last {
                    None => { p.soft { "No dummy was measured yet. Here you will see what was foretold beside what was measured, and what the book would learn." } },
                    Some(view) => (outcome(view)),
                }
                @if dummies.len() > 1 { p.soft { "Measured before: " (dummies.len() - 1) ". They stay in the book's record." } }
            }
        }
    }
}

fn outcome(view: &DummyView) -> Markup {
    html! {
        h3 { "Dummy " (view.number) span.soft { ", " (view.at.get(..10).unwrap_or(&view.at)) } }
        @if let Some(when) = &view.accepted {
            p { strong { "Taken into the book" } " on " (when.get(..10).unwrap_or(when)) "."
                // Lessons that are left say that it was taken back, or that the book is another one by now.
                @if view.read.as_ref().is_ok_and(|read| !read.lessons.is_empty()) { " The book has been changed since." }
                " Below, the book as it was before."
            }
            (compared(&view.then, true))
        }
        @match &view.read {
            Err(why) => (in_the_way(why)),
            Ok(read) => {
                @if view.accepted.is_some() { h3 { "Against the book as it is now" } }
                (compared(&read.compared, read.lessons.is_empty()))
                (lessons(view, read))
            },
        }
    }
}

/// Foretold and measured on one line each, with what the tools may be off.
fn compared(figures: &[Compared], last: bool) -> Markup {
    html! {
        ul.compared {
            li.heads aria-hidden="true" { span {} span { "○ foretold   ● measured" } span { "foretold" } span { "measured" } @if !last { span { "with the lesson" } } }
            @for one in figures {
                @let (unit, measured) = (one.unit, one.measured);
                li data-fits[one.fits()] {
                    b { (one.what) }
                    (track(one))
                    span { span.hidden { "foretold " } (unit.shown(one.predicted)) " " (unit.word()) }
                    span { span.hidden { "measured " } b { (unit.shown(measured.value)) } " ± " (unit.shown(measured.likely)) }
                    @if !last { span { span.hidden { "with the lesson " } (unit.shown(one.after)) } }
                    span.verdict-word { @if one.fits() { "fits" } @else { "off by " (unit.shown((measured.value - one.predicted).abs())) " " (unit.word()) } }
                }
            }
        }
    }
}

/// The measured figure with its error, against the foretold one in the middle.
fn track(one: &Compared) -> Markup {
    let measured = one.measured;
    let reach = ((measured.value - one.predicted).abs() + measured.likely).max(1e-9) * 1.2;
    let at = |value: f64| (120.0 + 112.0 * (value - one.predicted) / reach).clamp(3.0, 237.0);
    let (from, to) = (
        at(measured.value - measured.likely),
        at(measured.value + measured.likely),
    );
    html! {
        svg.track viewBox="0 0 240 12" aria-hidden="true" {
            path.line d="M3 6h234" {}
            path.span d={ "M" (short(from)) " 6H" (short(to)) "M" (short(from)) " 3.5v5M" (short(to)) " 3.5v5" } {}
            circle.meant cx="120" cy="6" r="3.4" {}
            circle.got cx=(short(at(measured.value))) cy="6" r="2.8" {}
        }
    }
}

fn lessons(view: &DummyView, read: &DummyRead) -> Markup {
    html! {
        (findings::list(&read.findings))
        @if read.lessons.is_empty() {
            p { strong { "Nothing to learn:" } " the book foretells this dummy as well as it was measured." }
        } @else {
            h3 { "What the book would learn" }
            ul.lessons { @for lesson in &read.lessons { (learned(lesson)) } }
            form method="post" action="/measured/accept" data-act {
                (hidden("what", "dummy")) (hidden("number", &view.number.to_string()))
                button.strong #accept-dummy { "Take it into the book" }
            }
            p.soft { "Spine, cover and jacket are rebuilt at once, and it is said what became out of date. Undo takes it back." }
        }
        @if !read.kept.is_empty() { ul.assumed { @for words in &read.kept { li { (spoken(words)) } } } }
    }
}

fn learned(lesson: &Lesson) -> Markup {
    html! {
        li {
            b { (desk::finding::capital(lesson.what)) } " "
            span { (lesson.before) " → " strong { @if lesson.value.is_empty() { "as it is usual" } @else { (lesson.value) } } }
            p.soft { (spoken(&lesson.how)) }
        }
    }
}
