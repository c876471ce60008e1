//! The object that the book becomes: block, cover or case, and what goes around it, each figure
//! with its reckoning and its origin; and every sheet that is printed beside the pages, laid flat.

mod block;
mod bound;
mod case;
mod caution;
mod figure;
mod flat;
mod reckoning;
mod soft;
mod typical;
mod wrapped;

use finding::Finding;
use measure::{Length, Mass};

pub use bound::{Bound, Closed};
pub use figure::{Amount, Basis, Dimension, Part, Step};
pub use flat::{Allowance, FlatKind, FlatSheet, Fold, NoGo, Panel};

pub(crate) use soft::SPINE_EDGE;

use crate::model::{BindingKind, Book};
use crate::plan::Plan;
use block::Block;
use reckoning::Reckoning;

/// What one copy is as a thing.
#[derive(Debug, Clone, PartialEq)]
pub struct Object {
    /// Pages of the interior, blanks included.
    pub pages: u32,
    /// Leaves: half as many.
    pub leaves: u32,
    /// Thickness of one leaf of the text stock.
    pub caliper: Length,
    /// Thickness of all leaves, pressed flat, without a cover.
    pub block: Length,
    /// Width of the spine as it is printed: the block with two thicknesses of a soft cover, or
    /// with endpapers and two boards; or as the printer has given it. Zero for a wire-stitched
    /// book, which has a fold and no spine.
    pub spine: Length,
    /// What one copy is made of, part by part, with the figures of each.
    pub parts: Vec<Part>,
    /// What one copy weighs in all.
    pub copy: Mass,
    /// Every step of the reckoning, in order.
    pub steps: Vec<Step>,
    /// What was assumed because the book does not say it, each as a sentence.
    pub assumed: Vec<String>,
    /// Those of them that are about a paper whose thickness nobody has stated: every spine hangs on
    /// it, so that the drawing says them too.
    pub papers_assumed: Vec<String>,
    /// The bound book, closed.
    pub bound: Bound,
    /// Every sheet that is printed beside the pages.
    pub flats: Vec<FlatSheet>,
    /// What to be careful about.
    pub cautions: Vec<Finding>,
    /// What to ask the printer and the bindery for, each as a sentence.
    pub asks: Vec<String>,
}

impl Object {
    /// Reckons the object from the book and its plan.
    ///
    /// Thickness is leaves × caliper, and caliper is grammage × bulk (ISO 534). Weights are area ×
    /// grammage, or volume × density for boards. Glue, thread, wire, varnish and the moisture of
    /// the day are left out, so that a real copy may weigh a few percent more or less.
    pub fn of(book: &Book, plan: &Plan) -> Self {
        let pages = u32::try_from(plan.pages.len()).unwrap_or(u32::MAX);
        let signatures = plan.sections.iter().map(|section| section.pages).collect();
        Self::of_pages(book, pages, signatures)
    }

    /// The same for so many pages, folded into signatures of so many pages each, whatever stands in
    /// the running order: a dummy, or another book of this make.
    pub fn of_pages(book: &Book, pages: u32, signatures: Vec<u32>) -> Self {
        let mut reckoning = Reckoning::default();
        let block = Block::reckon(book, pages, &mut reckoning);
        let (spine, bound, mut flats) = match book.binding.kind {
            BindingKind::SewnCase => case::reckon(book, &block, signatures, &mut reckoning),
            BindingKind::SewnSoft | BindingKind::GluedSoft | BindingKind::WireStitched => {
                let (spine, bound, flat) = soft::reckon(book, &block, signatures, &mut reckoning);
                (spine, bound, vec![flat])
            }
        };
        let mut closed = bound.closed;
        if let Some(wishes) = &book.object.jacket {
            let (flat, wrapped) = wrapped::jacket(book, wishes, closed, &mut reckoning);
            flats.push(flat);
            closed = wrapped;
        }
        if let Some(wishes) = &book.object.band {
            let (flat, wrapped) = wrapped::band(book, wishes, closed, &mut reckoning);
            flats.push(flat);
            closed = wrapped;
        }
        if let Some(wishes) = &book.object.slipcase {
            flats.extend(wrapped::slipcase(wishes, closed, &mut reckoning));
        }
        let copy = reckoning.sum();
        let reckoned_spine = reckoning.spine.unwrap_or(spine);
        let mut object = Self {
            pages: block.pages,
            leaves: block.leaves,
            caliper: block.caliper,
            block: block.thickness,
            spine,
            parts: reckoning.parts,
            copy,
            steps: reckoning.steps,
            assumed: reckoning.assumed,
            papers_assumed: reckoning.papers,
            bound,
            flats,
            cautions: Vec::new(),
            asks: Vec::new(),
        };
        sourced(&mut object.parts, book);
        object.cautions = caution::cautions(book, &object, reckoned_spine);
        object.asks = caution::asks(book, &object);
        object
    }

    /// A part by its name.
    pub fn part(&self, name: &str) -> Option<&Part> {
        self.parts.iter().find(|part| part.name == name)
    }

    /// A flat sheet by its kind.
    pub fn flat(&self, kind: FlatKind) -> Option<&FlatSheet> {
        self.flats.iter().find(|flat| flat.kind == kind)
    }

    /// Thickness of the block in millimetres.
    pub fn block_mm(&self) -> f64 {
        self.block.mm()
    }

    /// Width of the spine in millimetres.
    pub fn spine_mm(&self) -> f64 {
        self.spine.mm()
    }

    /// Weight of one copy in grams.
    pub fn copy_g(&self) -> f64 {
        self.copy.grams()
    }
}

/// Tells of given figures where they come from, where the book file says so.
fn sourced(parts: &mut [Part], book: &Book) {
    for one in parts.iter_mut().flat_map(|part| &mut part.dimensions) {
        if let (Basis::Given, Some(source)) =
            (one.basis, one.key.and_then(|key| book.source_of(key)))
        {
            source.clone_into(&mut one.how);
        }
    }
}
