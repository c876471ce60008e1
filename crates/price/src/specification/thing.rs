//! The book as a thing: page, extent, papers, colours, binding and finishings.

use book::object::{Amount, Basis, Object};
use book::{BindingKind, Book, Finish, Finishing, PieceInks, Process, Stock, Thickness};
use measure::Length;

use super::{Line, listed};

/// Title, page, extent, text and binding.
pub(super) fn describe(book: &Book, object: &Object, lines: &mut Vec<Line>) {
    lines.push(Line::of_book("title", "Title", book.about.title.as_str()));
    if !book.about.author.is_empty() {
        lines.push(Line::of_book(
            "author",
            "Author",
            book.about.author.as_str(),
        ));
    }
    let trim = book.format.trim;
    let stands = match trim.width.cmp(&trim.height) {
        std::cmp::Ordering::Less => "upright",
        std::cmp::Ordering::Equal => "square",
        std::cmp::Ordering::Greater => "landscape",
    };
    lines.push(Line::of_object(
        "format",
        "Trimmed page",
        format!("{trim} (width × height), {stands}"),
    ));
    lines.push(Line::of_object(
        "extent",
        "Extent",
        format!("{} pages, cover not counted", object.pages),
    ));
    let planned = match book.binding.kind {
        BindingKind::WireStitched => {
            format!("{} sheets of 4 pages, nested", object.pages.div_ceil(4))
        }
        _ => signatures(&object.bound.signatures),
    };
    if object.pages > 0 {
        lines.push(Line::of_book(
            "folding",
            "Folding",
            format!("planned as {planned}; please say if you fold otherwise"),
        ));
    }
    lines.push(Line::of_object(
        "text-paper",
        "Text paper",
        stock(&book.text_stock),
    ));
    lines.push(Line::of_book(
        "text-thickness",
        "Thickness of one leaf",
        thickness(&book.text_stock, object.caliper),
    ));
    lines.push(Line::of_object(
        "text-colours",
        "Colours of the text",
        text_colours(book),
    ));
    lines.push(Line::of_object("binding", "Binding", binding(book)));
    if book.binding.kind == BindingKind::SewnCase {
        case(object, lines);
    }
}

/// Finishings, the bar code, and what one copy comes to.
pub(super) fn finish(book: &Book, object: &Object, lines: &mut Vec<Line>) {
    if !book.finishings.is_empty() {
        let all: Vec<String> = book.finishings.iter().map(finishing).collect();
        lines.push(Line::of_object("finishings", "Finishings", all.join("; ")));
    }
    if let Some(wish) = &book.bar_code {
        let add_on = if wish.code.add_on().is_some() {
            " with an add-on of five digits"
        } else {
            ""
        };
        let on = wish
            .on
            .map_or_else(String::new, |on| format!(" of the {}", on.word()));
        lines.push(Line::of_book(
            "bar-code",
            "Bar code",
            format!(
                "EAN-13{add_on} at {:.0} %, in the files, on the {}{on}",
                wish.code.magnification(),
                wish.panel
            ),
        ));
    }
    if object.spine > Length::ZERO {
        let spine = tenths(object.spine);
        let said = match book.object.spine {
            Some(_) => spine,
            None => format!("{spine} as reckoned; please say yours"),
        };
        lines.push(Line::of_book("spine", "Spine", said));
    }
    lines.push(Line::of_book(
        "weight",
        "One copy weighs",
        format!("about {:.0} g as reckoned", object.copy.grams()),
    ));
}

/// `11 signatures of 16 pages and 1 of 8`.
fn signatures(pages: &[u32]) -> String {
    let mut kinds: Vec<(u32, usize)> = Vec::new();
    for &pages in pages {
        match kinds.iter_mut().find(|(known, _)| *known == pages) {
            Some((_, count)) => *count += 1,
            None => kinds.push((pages, 1)),
        }
    }
    kinds.sort_unstable_by(|a, b| b.cmp(a));
    let words: Vec<String> = kinds
        .iter()
        .enumerate()
        .map(|(index, (pages, count))| match (index, count) {
            (0, 1) => format!("1 signature of {pages} pages"),
            (0, _) => format!("{count} signatures of {pages} pages"),
            _ => format!("{count} of {pages}"),
        })
        .collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    listed(&words)
}

/// `“Silk art paper”, silk coated, 150 g/m²`, and in a word whether it is bulkier or thinner than is
/// usual for its surface.
///
/// The word is as coarse as it is so that the paper stays the same one when its thickness is measured:
/// from nine tenths of the usual bulk up to 1.15 times it nothing is said, and from 1.5 times it the
/// paper is very bulky (our assumption).
pub(super) fn stock(stock: &Stock) -> String {
    let surface = match stock.finish {
        Finish::Uncoated => "uncoated".to_owned(),
        coated => format!("{} coated", coated.word()),
    };
    let usual = stock.finish.typical_bulk().caliper(stock.grammage);
    let bulk = match stock.caliper().mm() / usual.mm() {
        ratio if ratio < 0.9 => ", thinner than usual for its weight",
        ratio if ratio < 1.15 => "",
        ratio if ratio < 1.5 => ", bulky",
        _ => ", very bulky",
    };
    let name = if stock.name.is_empty() {
        String::new()
    } else {
        format!("“{}”, ", stock.name)
    };
    format!("{name}{surface}, {}{bulk}", stock.grammage)
}

fn thickness(stock: &Stock, caliper: Length) -> String {
    match stock.thickness {
        Thickness::Caliper(_) => caliper.to_string(),
        Thickness::Bulk(bulk) => format!("{caliper}, from a bulk of {bulk}"),
        Thickness::Assumed(_) => format!("{caliper} assumed; please say that of your paper"),
    }
}

/// Colours of the pages. Which pieces print in black alone is told where the book says it of them.
fn text_colours(book: &Book) -> String {
    let (mut pictures, mut black) = (0_usize, 0_usize);
    for picture in book
        .running_order
        .iter()
        .flat_map(|entry| entry.treatment.pictures())
    {
        pictures += 1;
        if in_black(book, &picture.piece) {
            black += 1;
        }
    }
    match (pictures, black) {
        (0, _) => "1/1: black".to_owned(),
        (all, black) if all == black => "1/1: black throughout".to_owned(),
        (_, 0) => {
            "4/4: cyan, magenta, yellow and black throughout; words in black alone".to_owned()
        }
        (all, black) => format!(
            "4/4: cyan, magenta, yellow and black; {black} of {all} pictures and all words in black \
             alone"
        ),
    }
}

/// Whether the book says of a piece that it prints in black ink alone.
pub(super) fn in_black(book: &Book, piece: &str) -> bool {
    book.piece_wishes
        .iter()
        .any(|wish| wish.piece == piece && wish.inks == PieceInks::Black)
}

fn binding(book: &Book) -> String {
    match book.binding.kind {
        BindingKind::SewnCase => "thread-sewn signatures, cased in boards",
        BindingKind::SewnSoft => "thread-sewn signatures in a soft cover",
        BindingKind::GluedSoft => "cut leaves glued into a soft cover (perfect binding)",
        BindingKind::WireStitched => "nested sheets, wire-stitched through the fold",
    }
    .to_owned()
}

/// Boards, back, bands and ribbons.
fn case(object: &Object, lines: &mut Vec<Line>) {
    if let Some((Amount::Length(board), basis)) = figure(object, "binding.board") {
        // To a tenth of a millimetre, so that a measured board stays the one that was asked for.
        let board = Length::from_mm((board.mm() * 10.0).round() / 10.0);
        lines.push(Line::of_object(
            "boards",
            "Boards",
            format!("{board} grey board"),
        ));
        if basis == Basis::Typical {
            lines.push(Line::of_book(
                "boards-asked",
                "Boards, to be settled",
                "the thickness is what is usual; please say yours",
            ));
        }
    }
    if let Some((Amount::Back(back), _)) = figure(object, "case.back") {
        lines.push(Line::of_object("back", "Back", back.word()));
    }
    if let Some((Amount::Switch(bands), _)) = figure(object, "case.bands") {
        let said = if bands { "at head and tail" } else { "none" };
        lines.push(Line::of_object("bands", "Bands", said));
    }
    if let Some((Amount::Count(ribbons), _)) = figure(object, "case.ribbons") {
        let said = match ribbons {
            0 => "none".to_owned(),
            1 => "one".to_owned(),
            more => more.to_string(),
        };
        lines.push(Line::of_object("ribbons", "Ribbons", said));
    }
}

/// The figure of the object that a key of the book file sets.
pub(super) fn figure(object: &Object, key: &str) -> Option<(Amount, Basis)> {
    object
        .parts
        .iter()
        .flat_map(|part| &part.dimensions)
        .find(|dimension| dimension.key == Some(key))
        .map(|dimension| (dimension.amount, dimension.basis))
}

/// A length to the tenth of a millimetre.
pub(super) fn tenths(length: Length) -> String {
    length.rounded(Length::from_um(100.0)).to_string()
}

/// `title foil: foil in gold on the front of the jacket`.
fn finishing(finishing: &Finishing) -> String {
    let colour = match finishing.process {
        Process::Foil => format!(" in {}", finishing.colour.word()),
        _ => String::new(),
    };
    let on = finishing.on.word();
    let panel = match finishing.panel.as_str() {
        "whole" => format!("on the whole {on}"),
        panel => format!("on the {panel} of the {on}"),
    };
    format!(
        "{}: {}{colour} {panel}",
        finishing.name,
        finishing.process.word()
    )
}
