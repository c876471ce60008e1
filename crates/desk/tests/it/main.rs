//! The book folder from outside: every use case on small books.

mod asking;
mod bad_input;
mod book_folder;
mod dates;
mod demo_bindings;
mod drawn;
mod editing;
mod looking;
mod measuring;
mod on_paper;
mod pressing;
mod printed_sheets;
mod proofing;
mod quantity;
mod shelf;
mod standing;
