//! The book folder from outside: every use case on small books.

mod bad_input;
mod book_folder;
mod editing;
mod looking;
mod pressing;
mod shelf;
mod standing;
