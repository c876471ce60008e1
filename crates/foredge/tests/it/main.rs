//! The command line as it is used: arguments in, words, documents and exit codes out.

mod documents;
mod refusals;
mod terminal;
mod words;
