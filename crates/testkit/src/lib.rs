//! Helpers for tests.
