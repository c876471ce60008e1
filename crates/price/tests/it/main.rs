//! Asking printers and reading their answers, looked at from outside the crate.

mod answer;
mod curve;
mod incoterms;
mod request;
mod specification;
