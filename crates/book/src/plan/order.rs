//! From the running order to page numbers and signatures.

use super::{Cause, ReaderPage, Section, Side};
use crate::model::{Binding, BindingKind};

/// Why each page is there, in reading order; the page's number is its place plus one. An entry of
/// two pages always begins on a left page, after a blank if need be.
///
/// `widths` are the pages that each entry takes.
pub(crate) fn causes(widths: &[u32]) -> Vec<Cause> {
    let mut causes = Vec::with_capacity(widths.len() * 2);
    for (index, width) in widths.iter().enumerate() {
        if *width == 2 && next_page(&causes).side() == Side::Right {
            causes.push(Cause::ForcedByFold { next: index });
        }
        causes.extend((0..*width).map(|_| Cause::Entry(index)));
    }
    causes
}

/// How many blanks the fold forces.
pub(crate) fn forced_by_fold(widths: &[u32]) -> usize {
    let mut pages = 0;
    let mut blanks = 0;
    for width in widths {
        // The next page is a right one after an even number of pages.
        if *width == 2 && pages % 2 == 0 {
            blanks += 1;
            pages += 1;
        }
        pages += width;
    }
    blanks
}

fn next_page(causes: &[Cause]) -> ReaderPage {
    ReaderPage(u32::try_from(causes.len()).unwrap_or(u32::MAX - 1) + 1)
}

/// The signatures that at least `pages` pages are folded into; blanks fill the rest.
///
/// Every section is folded from sheets, so the total is a multiple of 4 and at least 4. A
/// wire-stitched book is one section of nested sheets. Any other is folded in whole signatures
/// with at most one smaller one behind them, of 4, 8, 12, 16 or 24 pages, the smallest that holds
/// what is left.
///
/// Sources: any folded count is a multiple of 4 (marrak.com, "Sweet 16"); 8, 16 and 32 are
/// common, 4, 12 and 24 seen (qinprinting.com, "Print signatures"). That there is no second
/// smaller section is our assumption, and so is its place at the end: the printer may fold it in
/// elsewhere.
pub(crate) fn sections(binding: Binding, pages: u32) -> Vec<Section> {
    const SMALLER: [u32; 5] = [4, 8, 12, 16, 24];
    let least = pages.max(1).div_ceil(4) * 4;
    if binding.kind == BindingKind::WireStitched {
        return vec![Section {
            first: ReaderPage(1),
            pages: least,
        }];
    }
    let signature = binding.signature.pages();
    let mut whole = least / signature;
    let rest = least % signature;
    let smaller = SMALLER
        .into_iter()
        .find(|pages| rest > 0 && *pages >= rest && *pages < signature);
    if rest > 0 && smaller.is_none() {
        whole += 1;
    }
    let mut first = 1;
    std::iter::repeat_n(signature, whole as usize)
        .chain(smaller)
        .map(|pages| {
            let section = Section {
                first: ReaderPage(first),
                pages,
            };
            first += pages;
            section
        })
        .collect()
}

/// How far, in entries, a single page is looked for that could stand before a spread.
const REACH: usize = 24;

/// A single page that would spare the blank in front of an entry, and where it would go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Spare {
    /// The entry of this index, moved to stand just before.
    Before(usize),
    /// The entry of this index, moved to stand just behind.
    Behind(usize),
}

/// The nearest single page whose move leaves fewer blanks in the whole book.
///
/// `movable` says which entries may be moved at all.
pub(super) fn spare(
    widths: &[u32],
    entry: usize,
    movable: &dyn Fn(usize) -> bool,
) -> Option<Spare> {
    let now = forced_by_fold(widths);
    let single = |index: &usize| widths[*index] == 1 && movable(*index);
    let later = (entry + 1..widths.len()).take(REACH).filter(single);
    let earlier = (0..entry).rev().take(REACH).filter(single);
    let mut candidates: Vec<(usize, Spare)> = later
        .map(|index| (index - entry, Spare::Before(index)))
        .chain(earlier.map(|index| (entry - index, Spare::Behind(index))))
        .collect();
    candidates.sort_by_key(|(distance, _)| *distance);
    candidates
        .into_iter()
        .map(|(_, spare)| spare)
        .find(|spare| {
            let mut moved = widths.to_vec();
            match *spare {
                Spare::Before(index) => {
                    let width = moved.remove(index);
                    moved.insert(entry, width);
                }
                Spare::Behind(index) => {
                    let width = moved.remove(index);
                    moved.insert(entry, width);
                }
            }
            forced_by_fold(&moved) < now
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::Signature;
    use measure::Length;

    fn binding(kind: BindingKind, signature: u8) -> Binding {
        Binding {
            kind,
            signature: Signature::from_pages(signature).unwrap(),
            board: Length::from_mm(2.5),
        }
    }

    fn folded(kind: BindingKind, signature: u8, pages: u32) -> Vec<u32> {
        sections(binding(kind, signature), pages)
            .iter()
            .map(|section| section.pages)
            .collect()
    }

    #[test]
    fn whole_signatures_come_first_and_one_smaller_behind_them() {
        use BindingKind::SewnSoft;
        // 160 pages are 10 signatures of 16: qinprinting.com, "Print signatures".
        assert_eq!(folded(SewnSoft, 16, 160), [16; 10]);
        assert_eq!(folded(SewnSoft, 16, 37), [16, 16, 8]);
        assert_eq!(folded(SewnSoft, 16, 33), [16, 16, 4]);
        assert_eq!(folded(SewnSoft, 16, 45), [16, 16, 16]);
        assert_eq!(folded(SewnSoft, 16, 1), [4]);
        assert_eq!(folded(SewnSoft, 12, 30), [12, 12, 8]);
    }

    #[test]
    fn a_rest_that_no_sheet_folds_to_is_filled_up() {
        use BindingKind::GluedSoft;
        assert_eq!(folded(GluedSoft, 32, 32 + 17), [32, 24]);
        assert_eq!(folded(GluedSoft, 32, 32 + 25), [32, 32]);
        assert_eq!(folded(GluedSoft, 24, 24 + 17), [24, 24]);
    }

    #[test]
    fn a_stitched_book_is_one_section() {
        assert_eq!(folded(BindingKind::WireStitched, 16, 37), [40]);
        assert_eq!(folded(BindingKind::WireStitched, 16, 0), [4]);
    }

    #[test]
    fn a_spread_waits_for_a_left_page() {
        use Cause::{Entry, ForcedByFold};
        assert_eq!(causes(&[1, 2]), [Entry(0), Entry(1), Entry(1)]);
        assert_eq!(
            causes(&[2, 1]),
            [ForcedByFold { next: 0 }, Entry(0), Entry(0), Entry(1)]
        );
    }

    #[test]
    fn the_nearest_single_page_that_helps_is_found() {
        let any = |_: usize| true;
        // Title, single, spread, single: the later single helps in front of the spread.
        assert_eq!(spare(&[1, 1, 2, 1], 2, &any), Some(Spare::Before(3)));
        // The entries that may not be moved are left alone.
        assert_eq!(
            spare(&[1, 1, 2, 1], 2, &|index| index != 3),
            Some(Spare::Behind(1))
        );
        assert_eq!(spare(&[2, 2], 0, &any), None);
    }
}
