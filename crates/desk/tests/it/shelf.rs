//! Small books for these tests.

use std::sync::atomic::{AtomicUsize, Ordering};

use desk::{Desk, Watch};
use testkit::{BookText, Folder};

/// Watches nothing and never stops.
pub struct Quiet;

impl Watch for Quiet {
    fn step(&self, _: usize, _: usize, _: &str) {}
}

/// Stops once so many steps are done.
pub struct StopAfter {
    steps: AtomicUsize,
    limit: usize,
}

impl StopAfter {
    pub fn new(limit: usize) -> Self {
        Self {
            steps: AtomicUsize::new(0),
            limit,
        }
    }
}

impl Watch for StopAfter {
    fn step(&self, _: usize, _: usize, _: &str) {
        self.steps.fetch_add(1, Ordering::SeqCst);
    }

    fn stopped(&self) -> bool {
        self.steps.load(Ordering::SeqCst) >= self.limit
    }
}

/// A picture whose pixels all differ from their neighbours', softly.
pub fn sea(width: u32, height: u32) -> Vec<u8> {
    testkit::png(width, height, |x, y| {
        [
            (40 + x * 160 / width) as u8,
            (60 + y * 150 / height) as u8,
            (90 + (x + y) % 64) as u8,
        ]
    })
}

/// A picture that differs from [`sea`] all over.
pub fn moor(width: u32, height: u32) -> Vec<u8> {
    testkit::png(width, height, |x, y| {
        [
            (150 - y * 90 / height) as u8,
            (120 - x * 60 / width) as u8,
            (50 + (x * 3 + y) % 50) as u8,
        ]
    })
}

/// The text of a book of a title, a full page, a spread and an inset, 2 × 3 inches at 150 ppi.
pub fn text() -> BookText {
    BookText::new("50.8x76.2mm")
        .section("[press]\nresolution = \"150ppi\"")
        .page("title", "title", "")
        .shows("wide", "spread", "wide.png")
        .shows("tall", "full page", "tall.png")
        .shows("small", "inset", "small.png")
}

/// The folder of that book.
pub fn folder() -> Folder {
    Folder::new()
        .with("book.toml", text().text())
        .with("art/wide.png", sea(900, 675))
        .with("art/tall.png", moor(480, 700))
        .with("art/small.png", sea(250, 250))
}

/// Opens a folder.
pub fn open(folder: &Folder) -> Desk {
    Desk::open(folder.path()).unwrap()
}
