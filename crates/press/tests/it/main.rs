//! The press file, looked at from outside the crate.

mod checking;
mod writing;
