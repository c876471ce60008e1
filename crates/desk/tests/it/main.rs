//! The book folder from outside: every use case on small books.

mod bad_input;
mod book_folder;
mod editing;
mod looking;
mod measuring;
mod on_paper;
mod pressing;
mod printed_sheets;
mod proofing;
mod shelf;
mod standing;
