//! Behaviour of the crate from outside.
