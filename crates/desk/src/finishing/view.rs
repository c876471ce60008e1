//! Finishings as the page shows them.

use book::object::FlatKind;
use book::{Carrier, FinishingColour, PlateSource, Process};
use finding::Finding;
use finish::{Bounds, Fault};
use measure::{Length, Rect};

use super::Stamp;
use crate::{Desk, DeskError};

/// One finishing: where it stands, and what is to be said of its plate.
#[derive(Debug, Clone, PartialEq)]
pub struct FinishingView {
    /// Which finishing of the book, in the order of the book file.
    pub index: usize,
    /// Its name, which is that of its plate.
    pub name: String,
    /// What is done.
    pub process: Process,
    /// How it is shown.
    pub colour: FinishingColour,
    /// What its plate is drawn from.
    pub source: PlateSource,
    /// The piece that it is wished for.
    pub on: Carrier,
    /// The sheet that it stands on; `None` where the book has no such piece or panel.
    pub sheet: Option<FlatKind>,
    /// Its panel, or `whole`.
    pub panel: String,
    /// What its plate fills, and so its picture, from the trim's top left corner of the sheet.
    pub face: Option<Rect>,
    /// The smallest rectangle around the plate, on the sheet.
    pub extent: Option<Rect>,
    /// Share of the face that the plate covers, 0 to 1.
    pub share: f64,
    /// What a pixel of the plate measures, on which it was judged.
    pub pixel: Length,
    /// Whether its pixels are too large for lines and gaps of these bounds to be measured.
    pub coarse: bool,
    /// Places that are too fine, on the sheet; the first [`finish::Judged::MOST`] of each kind.
    pub faults: Vec<Fault>,
    /// How many there are in all.
    pub fault_count: usize,
    /// By how much its lines are wider than drawn; zero as a rule.
    pub thicken: Length,
    /// What it was held against.
    pub bounds: Bounds,
    /// All that is to be said of it.
    pub findings: Vec<Finding>,
    /// Whether there is a plate.
    pub made: bool,
    /// Why there is no plate, in words.
    pub trouble: Option<String>,
}

/// All finishings, in the order of the book file.
pub(crate) fn views(desk: &Desk) -> Result<Vec<FinishingView>, DeskError> {
    let snapshot = &desk.standing()?.snapshot;
    let book = &snapshot.book;
    let stamps: Vec<Stamp<'_>> = snapshot
        .sheets
        .iter()
        .flat_map(|sheet| Stamp::all(desk, snapshot, sheet))
        .collect();
    let view = |(index, finishing): (usize, &book::Finishing)| {
        let process = finish::Process::from_word(finishing.process.word())
            .expect("both crates call the processes alike");
        let mut view = FinishingView {
            index,
            name: finishing.name.clone(),
            process: finishing.process,
            colour: finishing.colour,
            source: finishing.source.clone(),
            on: finishing.on,
            sheet: None,
            panel: finishing.panel.clone(),
            face: None,
            extent: None,
            share: 0.0,
            pixel: Length::ZERO,
            coarse: false,
            faults: Vec::new(),
            fault_count: 0,
            thicken: finishing.thicken,
            bounds: process.bounds(),
            findings: Vec::new(),
            made: false,
            trouble: None,
        };
        let named = format!("`{}`", finishing.name);
        // What the layout found of it, such as a panel that is not there.
        let of_it = |finding: &&Finding| {
            finding.message.contains(&named) && finding.code.starts_with("book-")
        };
        view.findings
            .extend(snapshot.findings.iter().filter(of_it).cloned());
        let Some(stamp) = stamps.iter().find(|stamp| stamp.index == index) else {
            view.trouble = view.findings.first().map(|finding| finding.message.clone());
            return view;
        };
        let kept = stamp.judged(desk);
        let judged = kept.judged();
        view.sheet = Some(stamp.sheet.kind());
        stamp.placed.panel.clone_into(&mut view.panel);
        view.made = kept.trouble.is_none();
        view.face = kept.face();
        view.extent = kept.extent();
        view.share = judged.share;
        view.pixel = judged.pixel;
        view.coarse = stamp.is_coarse(&judged);
        view.fault_count = judged.count;
        view.faults = judged.faults;
        view.bounds = stamp.bounds();
        view.findings.extend(stamp.findings(&kept));
        view.trouble = kept.trouble.as_ref().map(|trouble| trouble.sentence(stamp));
        view
    };
    Ok(book.finishings.iter().enumerate().map(view).collect())
}
