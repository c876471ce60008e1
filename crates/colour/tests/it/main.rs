//! What the colour crate does, seen from outside.

mod compensation;
mod condition;
mod departure;
mod difference;
mod duo;
mod profile;
mod proofing;
mod reach;
mod reference;
mod repurpose;
mod screen;
mod separation;
mod trial;
