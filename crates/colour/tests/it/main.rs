//! What the colour crate does, seen from outside.

mod compensation;
mod condition;
mod difference;
mod profile;
mod reach;
mod reference;
mod repurpose;
mod screen;
mod separation;
