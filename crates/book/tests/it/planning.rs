//! Pages, signatures and geometry.

use std::collections::HashMap;

use book::plan::{Cause, Page, Plan, ReaderPage, SheetPlan, Side};
use book::{BindingKind, Treatment, read};
use finding::{Finding, Severity};
use measure::{Length, PixelSize, Rect, Size};
use proptest::prelude::*;

use crate::builder::{BookText, any_book, pixels};

/// Sizes that differ by piece: any but the sizeless.
fn size_of(seed: u32) -> impl Fn(&str) -> Option<PixelSize> {
    move |piece| {
        let mut hash = seed;
        for byte in piece.bytes() {
            hash = hash.wrapping_mul(31).wrapping_add(u32::from(byte));
        }
        // Every seventh piece is not there.
        (!hash.is_multiple_of(7)).then(|| pixels(hash % 9000 + 1, hash / 9000 % 9000 + 1))
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn every_page_appears_once_and_the_sections_hold_them_all(text in any_book(40), seed: u32) {
        let book = text.book();
        let (plan, _) = Plan::lay_out(&book, &size_of(seed));
        for (index, page) in plan.pages.iter().enumerate() {
            prop_assert_eq!(page.number, ReaderPage(index as u32 + 1));
        }
        // Sections follow each other without a gap, and every one folds from sheets.
        let mut next = 1;
        for section in &plan.sections {
            prop_assert_eq!(section.first, ReaderPage(next));
            prop_assert_eq!(section.pages % 4, 0);
            prop_assert!(section.pages > 0);
            next += section.pages;
        }
        prop_assert_eq!(next as usize - 1, plan.pages.len());
        // All sections but the last are whole signatures.
        if book.binding.kind != BindingKind::WireStitched {
            let signature = book.binding.signature.pages();
            let (last, before) = plan.sections.split_last().unwrap();
            prop_assert!(before.iter().all(|section| section.pages == signature));
            prop_assert!(last.pages <= signature);
        } else {
            prop_assert_eq!(plan.sections.len(), 1);
        }
        // Every entry has as many pages as it takes, in order.
        let shown: Vec<usize> = plan
            .pages
            .iter()
            .filter_map(|page| match page.cause {
                Cause::Entry(index) => Some(index),
                _ => None,
            })
            .collect();
        let expected: Vec<usize> = book
            .running_order
            .iter()
            .enumerate()
            .flat_map(|(index, entry)| vec![index; entry.treatment.pages() as usize])
            .collect();
        prop_assert_eq!(shown, expected);
    }

    #[test]
    fn two_pages_of_one_entry_face_each_other(text in any_book(40), seed: u32) {
        let book = text.book();
        let (plan, _) = Plan::lay_out(&book, &size_of(seed));
        for (index, entry) in book.running_order.iter().enumerate() {
            let pages: Vec<ReaderPage> = plan.pages_of(index).collect();
            if let [left, right] = pages[..] {
                prop_assert_eq!((left.side(), right.side()), (Side::Left, Side::Right));
                prop_assert_eq!(right.0, left.0 + 1);
            } else {
                prop_assert_eq!(entry.treatment.pages(), 1);
            }
        }
        // No blank is forced by the fold unless an entry of two pages follows it.
        for page in &plan.pages {
            if let Cause::ForcedByFold { next } = page.cause {
                prop_assert_eq!(book.running_order[next].treatment.pages(), 2);
                prop_assert_eq!(page.number.side(), Side::Right);
                prop_assert_eq!(plan.pages_of(next).next().unwrap().0, page.number.0 + 1);
            }
        }
    }

    #[test]
    fn what_is_seen_lies_in_the_bleed_and_words_lie_in_the_safe_margin(
        text in any_book(20), seed: u32,
    ) {
        let book = text.book();
        let (plan, _) = Plan::lay_out(&book, &size_of(seed));
        let bleed_box = book.format.bleed_box();
        let safe = book.format.page().grown(-book.format.safe);
        for page in &plan.pages {
            for picture in &page.pictures {
                prop_assert!(bleed_box.contains(picture.window), "{page:?}");
                prop_assert!(picture.frame.contains(picture.window), "{page:?}");
                prop_assert!(picture.window.width > Length::ZERO);
                prop_assert!(picture.window.height > Length::ZERO);
            }
            for words in &page.words {
                prop_assert!(safe.contains(words.rect), "{words:?} outside {safe:?}");
                prop_assert!(words.rect.height > Length::ZERO && words.rect.width > Length::ZERO);
                // And off the fold.
                let from_fold = match page.number.side() {
                    Side::Left => book.format.trim.width - words.rect.right(),
                    Side::Right => words.rect.x,
                };
                prop_assert!(from_fold >= book.format.fold, "{words:?}");
            }
        }
    }

    #[test]
    fn words_never_cover_a_picture_or_each_other_on_a_page(text in any_book(20), seed: u32) {
        let book = text.book();
        let (plan, _) = Plan::lay_out(&book, &size_of(seed));
        for page in &plan.pages {
            for (index, words) in page.words.iter().enumerate() {
                for picture in &page.pictures {
                    prop_assert!(words.rect.shared(picture.window).is_none(), "{page:?}");
                }
                for other in &page.words[..index] {
                    // A page of words on a page too small for margins may reach its number.
                    if book.format.trim.height >= Length::from_mm(150.0) {
                        prop_assert!(words.rect.shared(other.rect).is_none(), "{page:?}");
                    }
                }
            }
        }
    }

    #[test]
    fn both_halves_of_a_spread_are_one_frame(text in any_book(20), seed: u32) {
        let book = text.book();
        let (plan, _) = Plan::lay_out(&book, &size_of(seed));
        let step = book.format.trim.width - book.format.fold_repeat * 2;
        for (index, entry) in book.running_order.iter().enumerate() {
            if !matches!(entry.treatment, Treatment::Spread(_)) {
                continue;
            }
            let pages: Vec<&Page> = plan
                .pages_of(index)
                .map(|number| plan.page(number).unwrap())
                .collect();
            let [left, right] = [&pages[0].pictures[0], &pages[1].pictures[0]];
            prop_assert_eq!(right.frame, left.frame.moved(-step, Length::ZERO));
            prop_assert_eq!(left.window, book.format.bleed_box());
            prop_assert_eq!(right.window, book.format.bleed_box());
        }
    }

    #[test]
    fn pairs_have_one_height_and_heads_on_one_line(text in any_book(20), seed: u32) {
        let book = text.book();
        let (plan, _) = Plan::lay_out(&book, &size_of(seed));
        for (index, entry) in book.running_order.iter().enumerate() {
            if !matches!(entry.treatment, Treatment::Paired { .. }) {
                continue;
            }
            let frames: Vec<Rect> = plan
                .pages_of(index)
                .map(|number| plan.page(number).unwrap().pictures[0].frame)
                .collect();
            prop_assert_eq!(frames[0].height, frames[1].height);
            prop_assert_eq!(frames[0].y, frames[1].y);
        }
    }

    #[test]
    fn pictures_keep_their_proportions(text in any_book(20), seed: u32) {
        let book = text.book();
        let sizes = size_of(seed);
        let (plan, _) = Plan::lay_out(&book, &sizes);
        for picture in plan.pages.iter().flat_map(|page| &page.pictures) {
            let Some(size) = sizes(&picture.piece) else { continue };
            let wanted = f64::from(size.width) / f64::from(size.height);
            // A frame under a hundredth of a millimetre has no proportions to speak of.
            let narrow = picture.frame.width.min(picture.frame.height);
            if narrow > Length::from_um(10.0) {
                let found = picture.frame.width.ratio(picture.frame.height);
                prop_assert!((found / wanted - 1.0).abs() < 1e-3, "{picture:?} of {size}");
            }
        }
    }
}

fn codes(findings: &[Finding]) -> Vec<&'static str> {
    findings.iter().map(|finding| finding.code).collect()
}

fn find<'a>(findings: &'a [Finding], code: &str) -> &'a Finding {
    findings
        .iter()
        .find(|finding| finding.code == code)
        .unwrap_or_else(|| panic!("no {code} among {findings:#?}"))
}

#[test]
fn a_spread_covers_two_pages_and_their_bleed_and_is_cut_at_the_fold() {
    // A picture of exactly two pages with bleed: 506 by 306 mm.
    let text = BookText::default()
        .page("t", "title", "")
        .page("s", "spread", "art = \"s.png\"");
    let (plan, _) = Plan::lay_out(&text.book(), &|_| Some(pixels(5060, 3060)));
    let frame = |page: u32| plan.page(ReaderPage(page)).unwrap().pictures[0].frame;
    assert_eq!(frame(2), Rect::from_mm(-3.0, -3.0, 506.0, 306.0));
    assert_eq!(frame(3), Rect::from_mm(-253.0, -3.0, 506.0, 306.0));
}

#[test]
fn a_strip_repeated_at_the_fold_is_on_both_pages() {
    let text = BookText {
        format: "fold_repeat = \"2mm\"".to_owned(),
        ..BookText::default()
    }
    .page("t", "title", "")
    .page("s", "spread", "art = \"s.png\"");
    let (plan, _) = Plan::lay_out(&text.book(), &|_| Some(pixels(5020, 3060)));
    let frame = |page: u32| plan.page(ReaderPage(page)).unwrap().pictures[0].frame;
    // 4 mm of the picture are seen twice, so that it is 4 mm narrower than two pages.
    assert_eq!(frame(2), Rect::from_mm(-3.0, -3.0, 502.0, 306.0));
    assert_eq!(frame(3), Rect::from_mm(-249.0, -3.0, 502.0, 306.0));
}

#[test]
fn a_spread_that_would_begin_on_the_right_says_which_page_to_move() {
    let text = BookText::default()
        .page("title", "title", "")
        .page("ebb", "full page", "art = \"e.png\"")
        .page("flood", "spread", "art = \"f.png\"")
        .page("reeds", "full page", "art = \"r.png\"");
    let (plan, findings) = text.plan();
    assert_eq!(
        plan.pages[2].cause,
        Cause::ForcedByFold { next: 2 },
        "page 3 is blank"
    );
    let finding = find(&findings, "book-blank-before-spread");
    assert_eq!(finding.severity, Severity::Warn);
    assert_eq!(
        finding.message,
        "Page 3 is left blank, because `flood` (spread) begins on a left page."
    );
    assert_eq!(
        finding.hint,
        "Move `reeds` (page 6) to stand before `flood`, and no blank is needed."
    );
    // Doing so does what it says.
    let moved = BookText::default()
        .page("title", "title", "")
        .page("ebb", "full page", "art = \"e.png\"")
        .page("reeds", "full page", "art = \"r.png\"")
        .page("flood", "spread", "art = \"f.png\"");
    assert!(!codes(&moved.plan().1).contains(&"book-blank-before-spread"));
}

#[test]
fn signatures_say_what_they_force_and_what_would_fold_better() {
    let (plan, findings) = BookText::default().blanks(37).plan();
    assert_eq!(plan.pages.len(), 40);
    let blanks = find(&findings, "book-blanks-at-end");
    assert_eq!(
        blanks.message,
        "3 blank pages fill the last section: 2 sections of 16 pages and one of 8."
    );
    assert_eq!(
        blanks.hint,
        "There is room for 3 pages more at no cost; or take 1 page out."
    );
    let smaller = find(&findings, "book-section-smaller");
    assert_eq!(
        smaller.message,
        "The book folds into 2 sections of 16 pages and one of 8, which printers fold at little \
         cost."
    );
    // A book of whole signatures has nothing to say.
    let (_, findings) = BookText::default().blanks(32).plan();
    assert!(findings.is_empty(), "{findings:#?}");
}

#[test]
fn art_that_is_not_there_stops_the_book_and_keeps_its_place() {
    let text = BookText::default().page("ebb", "full page", "art = \"coast/e.png\"");
    let (plan, findings) = Plan::lay_out(&text.book(), &|_| None);
    let finding = find(&findings, "book-art-missing");
    assert_eq!(finding.severity, Severity::Stop);
    assert!(finding.message.contains("`coast/e.png`"), "{finding:?}");
    let picture = &plan.pages[0].pictures[0];
    assert_eq!(picture.frame, picture.window);
}

#[test]
fn a_ready_page_of_other_proportions_is_said() {
    let text = BookText::default().page("r", "ready page", "art = \"r.png\"");
    let findings = |width, height| {
        let (_, findings) = Plan::lay_out(&text.book(), &|_| Some(pixels(width, height)));
        findings
    };
    // 256 by 306 mm, then within half a percent of it, then the trim without bleed.
    assert!(!codes(&findings(2560, 3060)).contains(&"book-ready-proportions"));
    assert!(!codes(&findings(2570, 3060)).contains(&"book-ready-proportions"));
    assert!(codes(&findings(2580, 3060)).contains(&"book-ready-proportions"));
    // On this page 250 : 300 is within half a percent of 256 : 306; on a long one it is not.
    let long = BookText {
        trim: "300x100mm".to_owned(),
        ..BookText::default()
    }
    .page("r", "ready page", "art = \"r.png\"");
    let (_, findings) = Plan::lay_out(&long.book(), &|_| Some(pixels(3000, 1000)));
    let hint = &find(&findings, "book-ready-proportions").hint;
    assert!(
        hint.contains("without bleed") && hint.contains("306 × 106 mm"),
        "{hint}"
    );
}

#[test]
fn heavy_cropping_is_said_with_its_share() {
    let text = BookText::default().page("f", "full page", "art = \"f.png\"");
    let (_, findings) = Plan::lay_out(&text.book(), &|_| Some(pixels(6000, 3000)));
    let finding = find(&findings, "book-cropped");
    assert_eq!(finding.message, "58 % of `f.png` is cut off at its sides.");
    assert_eq!(finding.severity, Severity::Warn);
}

#[test]
fn an_empty_running_order_stops_the_book() {
    let (plan, findings) = BookText::default().plan();
    assert_eq!(plan.pages.len(), 4);
    assert_eq!(find(&findings, "book-empty").severity, Severity::Stop);
    let (_, findings) = BookText::default().blanks(3).plan();
    assert!(codes(&findings).contains(&"book-too-few-pages"));
}

#[test]
fn prose_stands_off_the_fold_and_lower_than_the_head() {
    let text = BookText::default()
        .page("t", "title", "")
        .page("left", "text", "words = \"One.\"")
        .page("right", "text", "words = \"Two.\"");
    let (plan, _) = text.plan();
    let Size { width, height } = text.book().format.trim;
    let block = |page: usize| plan.pages[page].words[0].rect;
    let (left, right) = (block(1), block(2));
    assert!(width - left.right() > left.x, "more toward the fold");
    assert!(right.x > width - right.right(), "more toward the fold");
    assert_eq!(left.x, width - right.right(), "the pages mirror each other");
    assert_eq!((height - left.bottom()).nm() / 10, (left.y * 2).nm() / 10);
    assert!(left.width <= Length::from_mm(120.0));
}

#[test]
fn findings_have_codes_of_their_own_and_something_to_do() {
    let mut seen: HashMap<&str, &str> = HashMap::new();
    let texts = [
        BookText::default().blanks(37),
        BookText {
            kind: "sewn case",
            format: "bleed = \"0mm\"".to_owned(),
            ..BookText::default()
        }
        .page("x", "spread", "art = \"x.png\""),
    ];
    for text in &texts {
        let book = text.book();
        let (plan, mut findings) = Plan::lay_out(&book, &|_| None);
        findings.extend(SheetPlan::lay_out_all(&book, &plan, &|_| None).1);
        for finding in &findings {
            assert!(finding.code.starts_with("book-"));
            assert!(finding.message.ends_with('.'), "{finding:?}");
            assert!(finding.hint.ends_with('.'), "{finding:?}");
            seen.insert(finding.code, "");
        }
    }
    assert!(seen.len() >= 6, "{seen:?}");
}

#[test]
fn wishes_for_a_piece_that_is_nowhere_are_said() {
    let text = BookText::default()
        .page("a", "full page", "art = \"night.png\"")
        .text();
    let found = |piece: &str| {
        let text = format!("{text}\n[[piece]]\nart = \"{piece}\"\nrecipe = \"none\"\n");
        let book = read(&text).unwrap();
        let sizes = |name: &str| {
            ["night.png", "kept.png"]
                .contains(&name)
                .then(|| pixels(9, 9))
        };
        Plan::lay_out(&book, &sizes)
            .1
            .into_iter()
            .find(|finding| finding.code == "book-piece-unknown")
    };
    assert_eq!(found("night.png"), None);
    // It is in the folder, and may find its place later.
    assert_eq!(found("kept.png"), None);
    let finding = found("nigth.png").unwrap();
    assert!(finding.message.contains("`nigth.png`"), "{finding:?}");
    assert!(finding.hint.starts_with("Did you mean `night.png`?"));
    assert!(
        found("other.png")
            .unwrap()
            .hint
            .starts_with("Put the picture")
    );
}
