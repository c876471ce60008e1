//! Forms for what the book file says: things with a name, each folded away under it, and sections that
//! stand once.

use desk::{Desk, DeskError, Field};
use maud::{Markup, html};

use crate::rooms::order::hidden;
use crate::things::VALUE;

/// Things of one kind and their forms.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Kind {
    /// The section of the book file.
    pub section: &'static str,
    /// Heading.
    pub title: &'static str,
    /// What the button of a new one says.
    pub add: &'static str,
    /// Whether nothing can be told without one, so that the form is open as long as there is none.
    pub needed: bool,
    /// What they are for, in a sentence.
    pub words: &'static str,
}

/// All things of a kind, and a form for one more.
pub(crate) fn things(desk: &Desk, kind: Kind, room: &str) -> Result<Markup, DeskError> {
    let all = desk.things(kind.section)?;
    let blank = desk.keys(kind.section)?;
    Ok(html! {
        section.things aria-labelledby={ "things-" (kind.section) } {
            h3 id={ "things-" (kind.section) } { (kind.title) }
            p.soft { (kind.words) }
            @for (place, thing) in all.iter().enumerate() {
                @let id = format!("{}-{place}", kind.section);
                details {
                    summary { (thing.name) }
                    form method="post" action="/thing" data-act data-keep {
                        (hidden("section", kind.section)) (hidden("thing", &thing.name)) (hidden("room", room))
                        (fields(&thing.fields, &id))
                        div.row { button { "Take" span.hidden { ": " (thing.name) } } }
                    }
                    form method="post" action="/thing" data-act {
                        (hidden("section", kind.section)) (hidden("thing", &thing.name)) (hidden("room", room)) (hidden("deed", "out"))
                        button.quiet { "Take it out" span.hidden { ": " (thing.name) } }
                    }
                }
            }
            details.new open[kind.needed && all.is_empty()] {
                summary { (kind.add) }
                form method="post" action="/thing" data-act data-keep {
                    (hidden("section", kind.section)) (hidden("room", room))
                    (fields(&blank, &format!("{}-new", kind.section)))
                    div.row { button { (kind.add) } }
                }
            }
        }
    })
}

/// The values of a section that stands once.
pub(crate) fn section(
    desk: &Desk,
    section: &str,
    title: &str,
    room: &str,
) -> Result<Markup, DeskError> {
    let keys = desk.keys(section)?;
    Ok(html! {
        section.things aria-labelledby={ "things-" (section) } {
            h3 id={ "things-" (section) } { (title) }
            details {
                summary { "Change them" span.hidden { ": " (title) } }
                form method="post" action="/thing" data-act data-keep {
                    (hidden("section", section)) (hidden("room", room))
                    (fields(&keys, section))
                    div.row { button { "Take" span.hidden { ": " (title) } } }
                }
            }
        }
    })
}

/// Groups of such forms under one heading.
pub(crate) fn says(words: &str, groups: &[Markup]) -> Markup {
    html! {
        section.says aria-labelledby="says" {
            h2 #says { "What you say" }
            p.soft { (words) }
            div.says-groups { @for group in groups { (group) } }
        }
    }
}

fn fields(fields: &[Field], id: &str) -> Markup {
    html! {
        div.fields {
            @for field in fields {
                @let id = format!("{id}-{}", field.key);
                @let name = format!("{VALUE}{}", field.key);
                @let value = field.value.as_deref().unwrap_or_default();
                div.field {
                    label for=(id) { (label(field.label)) }
                    @if !field.choices.is_empty() {
                        select id=(id) name=(name) {
                            option value="" selected[value.is_empty()] { "not said" }
                            @for word in &field.choices { option value=(word) selected[value == *word] { (word) } }
                        }
                    } @else if field.day {
                        input id=(id) type="date" name=(name) value=(value);
                    } @else if field.lines || value.contains('\n') {
                        textarea id=(id) name=(name) rows="4" placeholder={ "such as " (field.example) } { (value) }
                    } @else {
                        input id=(id) type="text" name=(name) value=(value) inputmode=[field.whole.then_some("numeric")] placeholder={ "such as " (field.example) } autocomplete="off";
                    }
                }
            }
        }
    }
}

/// What people call a key, as a label: without its article, with a capital.
fn label(words: &str) -> String {
    desk::finding::capital(words.strip_prefix("the ").unwrap_or(words))
}
