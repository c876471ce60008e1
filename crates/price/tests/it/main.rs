//! Asking printers and reading their answers, looked at from outside the crate.

mod answer;
mod compare;
mod curve;
mod incoterms;
mod invoice;
mod landed;
mod request;
mod sheet;
mod specification;
