//! Forms in which answers are typed; what is doubtful stands beside its field.

use desk::AnswerView;
use desk::book::Term;
use desk::price::answer::Doubt;
use maud::{Markup, html};

use super::of_form;
use super::printers::Known;
use crate::prices::{Doubted, RATHER, ROWS, Typed, WITHOUT};

/// The fields of a form, with what was typed into them and what is doubtful in it.
#[derive(Clone, Copy)]
pub(super) struct Asked<'t> {
    pub form: &'static str,
    pub typed: Option<&'t Typed>,
}

impl<'t> Asked<'t> {
    pub fn value(self, name: &str) -> &'t str {
        let value = self.typed.and_then(|typed| typed.fields.get(name));
        value.map_or("", String::as_str)
    }

    fn doubts(self, name: &str) -> Vec<&'t Doubt> {
        let doubts = self.typed.map_or(&[][..], |typed| typed.doubts.as_slice());
        let of = doubts
            .iter()
            .filter(|doubted| doubted.field.as_deref() == Some(name));
        of.map(|doubted| &doubted.doubt).collect()
    }

    fn id(self, name: &str) -> String {
        format!("{}-{}", self.form, name.replace(' ', "-"))
    }

    /// A text with its label, an example, and what is doubtful in it.
    pub fn text(self, name: &str, label: &str, example: &str) -> Markup {
        self.input(name, label, example, "text")
    }

    /// A day.
    pub fn day(self, name: &str, label: &str) -> Markup {
        self.input(name, label, "", "date")
    }

    fn input(self, name: &str, label: &str, example: &str, kind: &str) -> Markup {
        let id = self.id(name);
        html! {
            div.field {
                label for=(id) { (label) }
                (self.bare(name, kind))
                (self.said(name, example))
            }
        }
    }

    /// The field alone.
    fn bare(self, name: &str, kind: &str) -> Markup {
        let id = self.id(name);
        let wrong = !self.doubts(name).is_empty();
        html! { input id=(id) type=(kind) name=(name) value=(self.value(name)) autocomplete="off" spellcheck="false" aria-describedby={ (id) "-said" } aria-invalid=[wrong.then_some("true")]; }
    }

    /// What is doubtful, or else an example.
    fn said(self, name: &str, example: &str) -> Markup {
        let doubts = self.doubts(name);
        html! {
            p.example id={ (self.id(name)) "-said" } data-wrong[!doubts.is_empty()] {
                @if doubts.is_empty() { (example) }
                @for doubt in doubts { (words(doubt)) " " }
            }
        }
    }

    /// One of a list.
    pub fn choice(self, name: &str, label: &str, choices: &[(String, String)]) -> Markup {
        let id = self.id(name);
        html! {
            div.field {
                label for=(id) { (label) }
                select id=(id) name=(name) aria-describedby={ (id) "-said" } {
                    @for (value, words) in choices { option value=(value) selected[self.value(name) == value] { (words) } }
                }
                (self.said(name, ""))
            }
        }
    }

    /// The original, which is kept.
    pub fn file(self, words: &str) -> Markup {
        let id = self.id("file");
        let before = self.typed.and_then(|typed| typed.file.as_ref());
        html! {
            div.field {
                label for=(id) { "The file that came" }
                input id=(id) type="file" name="file" aria-describedby={ (id) "-said" };
                p.example id={ (id) "-said" } { @if let Some((name, _)) = before { (name) " is still here. " } (words) }
            }
        }
    }

    /// Cells of a table: a field without a label of its own, named by its column and row.
    fn cell(self, name: &str, label: &str) -> Markup {
        let doubts = self.doubts(name);
        html! {
            td {
                label.hidden for=(self.id(name)) { (label) }
                (self.bare(name, "text"))
                p.example id={ (self.id(name)) "-said" } data-wrong[!doubts.is_empty()] { @for doubt in doubts { (words(doubt)) } }
            }
        }
    }

    /// Charges that arise once.
    pub fn charges(self) -> Markup {
        html! {
            table.entry {
                caption { "Charges that arise once" }
                thead { tr { th scope="col" { "For" } th scope="col" { "Cost" } } }
                tbody { @for row in 1..=ROWS { tr {
                    (self.cell(&format!("charge {row}"), &format!("Charge {row}: what for")))
                    (self.cell(&format!("cost {row}"), &format!("Charge {row}: cost")))
                } } }
            }
        }
    }

    /// Agreeing to what is doubtful, and the buttons.
    pub fn end(self, button: &str) -> Markup {
        let doubts = self.typed.map_or(&[][..], |typed| typed.doubts.as_slice());
        html! {
            @if !doubts.is_empty() {
                div.doubts role="group" aria-labelledby=(self.id("doubts")) {
                    h3 id=(self.id("doubts")) { "Doubtful, and nothing is kept yet" }
                    (self.cells(doubts))
                    (self.typed_ones(doubts))
                    label.tick { input id=(self.id("agree")) type="checkbox" name="agree" value="yes"; " I have looked at each, and agree to how it is taken" }
                }
            }
            div.row-actions {
                button.strong id=(self.id("keep")) { (button) }
                @if self.typed.is_some() { button formaction="/prices/clear" formnovalidate data-plain { "Empty the form" } }
            }
        }
    }
}

impl Asked<'_> {
    /// The doubtful cells of the file: each with its name, what stands in it, how it is taken, and
    /// places to say it otherwise or to leave it out.
    fn cells(self, doubts: &[Doubted]) -> Markup {
        let of_file: Vec<&Doubted> = doubts.iter().filter(|one| self.is_of_file(one)).collect();
        let name = self.typed.and_then(|typed| typed.file.as_ref());
        let name = name.map_or("the file", |(name, _)| name.as_str());
        html! {
            @if !of_file.is_empty() {
                div.wide-table role="region" aria-label={ "Doubtful cells of " (name) } tabindex="0" {
                    table.cells {
                        caption { "In " (name) }
                        thead { tr { th scope="col" { "Cell" } th scope="col" { "What stands there" } th scope="col" { "What is doubtful" } th scope="col" { "Taken as" } th scope="col" { "Say it yourself" } th scope="col" { "Or" } } }
                        tbody { @for (row, one) in of_file.iter().enumerate() { (self.row(row, one)) } }
                    }
                }
            }
        }
    }

    fn row(self, row: usize, one: &Doubted) -> Markup {
        let doubt = &one.doubt;
        let field = one
            .field
            .as_deref()
            .and_then(|field| field.strip_prefix(RATHER));
        let field = field.unwrap_or(&one.of_file);
        let (rather, without) = (format!("{RATHER}{field}"), format!("{WITHOUT}{field}"));
        let ids = [format!("rather-{row}"), format!("without-{row}")];
        let ids = ids.map(|id| self.id(&id));
        html! {
            tr {
                th scope="row" { (doubt.cell.strip_prefix("cell ").unwrap_or(&doubt.cell)) }
                td.stood { (doubt.found) }
                td { (doubt.why) }
                td { @match &doubt.taken { Some(taken) => b { (taken) }, None => "left out" } }
                td { @if !field.is_empty() {
                    label.hidden for=(ids[0]) { (doubt.cell) ", " (field) ": say it yourself" }
                    input id=(ids[0]) type="text" name=(rather) value=(self.value(&rather)) autocomplete="off" spellcheck="false";
                } }
                td { @if one.can_be_left_out || !self.value(&without).is_empty() {
                    label.tick { input id=(ids[1]) type="checkbox" name=(without) value="yes" checked[!self.value(&without).is_empty()]; " leave it out" span.hidden { ": " (doubt.cell) } }
                } }
            }
        }
    }

    /// What was typed and is doubtful; and what was said in place of a cell and is not.
    fn typed_ones(self, doubts: &[Doubted]) -> Markup {
        let settled = |name: &str| !doubts.iter().any(|one| one.field.as_deref() == Some(name));
        let mut said: Vec<(&String, &String)> = self
            .typed
            .into_iter()
            .flat_map(|typed| &typed.fields)
            .filter(|(name, value)| name.starts_with(RATHER) && !value.trim().is_empty())
            .filter(|(name, _)| settled(name))
            .collect();
        said.sort();
        html! {
            ul.of-it {
                @for one in doubts.iter().filter(|one| !self.is_of_file(one)) { li { b { (one.doubt.cell) } " “" (one.doubt.found) "”: " (words(&one.doubt)) } }
                @for (name, value) in said { li { b { (&name[RATHER.len()..]) } ": “" (value) "” is taken, as you say." input type="hidden" name=(name) value=(value); } }
            }
        }
    }

    /// Whether a doubt is of the file or a cell of it, or of what was said in its place. Without a file,
    /// what no field is named for is of all that was typed.
    fn is_of_file(self, one: &Doubted) -> bool {
        match &one.field {
            Some(field) => field.starts_with(RATHER),
            None => self.typed.is_some_and(|typed| typed.file.is_some()),
        }
    }
}

/// What is doubtful, and how it is taken.
fn words(doubt: &Doubt) -> Markup {
    html! {
        (doubt.why) "; "
        @match &doubt.taken { Some(taken) => { "taken as " (taken) }, None => "left out" }
        "."
    }
}

/// An answer typed in, with the file that came beside it.
pub(super) fn answer(typed: Option<&Typed>, known: &Known, answers: &[AnswerView]) -> Markup {
    let asked = Asked {
        form: "answer",
        typed: of_form(typed, "answer"),
    };
    let none = |words: &str| (String::new(), words.to_owned());
    let mut printers = vec![none("as its sheet says")];
    printers.extend(known.choices());
    let mut requests = vec![none("by its printer and day")];
    requests.extend(known.requests.iter().rev().map(|request| {
        let words = format!("{}, {}", request.reference, request.name);
        (request.number.to_string(), words)
    }));
    let mut replaces = vec![none("none")];
    replaces.extend(answers.iter().filter(|view| view.stands()).map(|view| {
        let words = format!("answer {} of {}", view.number, view.name);
        (view.number.to_string(), words)
    }));
    let mut terms = vec![none("not said")];
    terms.extend(
        Term::ALL
            .iter()
            .map(|term| (term.code().to_owned(), term.code().to_owned())),
    );
    html! {
        section #answer-form aria-labelledby="answer-title" {
            h2 #answer-title { "An answer has come" }
            details open[asked.typed.is_some()] {
                summary #type-answer { "Type it in, or hand in its file" }
                form.sheet-form method="post" action="/prices/answer" enctype="multipart/form-data" data-act {
                    div.fields.three {
                        (asked.choice("printer", "Printer", &printers))
                        (asked.choice("request", "It answers the request", &requests))
                        (asked.text("currency", "Currency of all its sums", "by its code: EUR, USD"))
                        (asked.day("received", "Came on (today unless said)"))
                        (asked.day("dated", "Day that stands on it"))
                        (asked.day("valid", "Prices hold until"))
                    }
                    div.entries {
                        table.entry {
                            caption { "Prices by quantity" }
                            thead { tr { th scope="col" { "Copies" } th scope="col" { "Price" } th scope="col" { "is for" } th scope="col" { "Freight" } } }
                            tbody { @for row in 1..=ROWS { tr {
                                (asked.cell(&format!("copies {row}"), &format!("Price {row}: copies")))
                                (asked.cell(&format!("price {row}"), &format!("Price {row}: sum")))
                                td {
                                    @let name = format!("for {row}");
                                    label.hidden for=(asked.id(&name)) { "Price " (row) ": for all or for one" }
                                    select id=(asked.id(&name)) name=(name) {
                                        option value="total" { "all" }
                                        option value="each" selected[asked.value(&name) == "each"] { "one" }
                                    }
                                }
                                (asked.cell(&format!("freight {row}"), &format!("Price {row}: freight")))
                            } } }
                        }
                        (asked.charges())
                    }
                    label.tick { input id="answer-included" type="checkbox" name="included" value="yes" checked[asked.value("included") == "yes"]; " Freight is in the prices" }
                    div.fields.three {
                        (asked.choice("term", "Delivery term", &terms))
                        (asked.text("place", "Place of the term", "as they name it"))
                        (asked.text("lead", "Working days after approval", "such as 25"))
                        (asked.text("overs", "Overs that are billed", "a share: 5%"))
                        (asked.text("unders", "Copies that may lack", "a share: 0%"))
                        (asked.text("payment", "Payment", "in their words"))
                        (asked.text("notes", "What else they say", ""))
                        (asked.choice("replaces", "Takes the place of", &replaces))
                        (asked.file("Kept whole beside the answer, at most 64 MB."))
                    }
                    p.soft { "Sums are written as 1234.50. What is left empty counts as not said, and is never taken as nothing." }
                    (asked.end("Keep this answer"))
                }
            }
        }
    }
}
