//! From what was read of a page to findings.

use finding::{Finding, Place, Severity};

use super::font::Home;
use super::image::Trouble;
use super::page::{InkFound, PageRead};
use super::rules::{
    BLEED_SLACK, INK_AREA_MM2, INK_ROUNDING, PPI_LINE_ART, PPI_SLACK, PPI_STOP, PPI_WARN,
    SAMPLES_OF_A_COLOUR, SIZE_SLACK,
};
use super::seen::SeenImage;
use super::{Expected, PageReport, PlateReport};

/// Findings of one page, in the order in which a person would mend them.
pub(super) fn of_page(read: &PageRead, expected: &Expected, limit: Option<f64>) -> Vec<Finding> {
    let mut list = List {
        page: read.report.page,
        findings: Vec::new(),
    };
    boxes(read, expected, &mut list);
    colours(read, expected, &mut list);
    plates(read, expected, &mut list);
    misplaced_words(read, expected, &mut list);
    if let Some(ink) = read.ink {
        ink_total(read, ink, limit, &mut list);
    }
    images(&read.seen.images, &mut list);
    fonts(read, &mut list);
    drawing(read, &mut list);
    forbidden(read, &mut list);
    honesty(read, &mut list);
    list.findings
}

struct List {
    page: u32,
    findings: Vec<Finding>,
}

impl List {
    fn add(&mut self, code: &'static str, severity: Severity, message: String, hint: &str) {
        let finding = Finding::new(code, severity, Place::Page(self.page), message).hint(hint);
        self.findings.push(finding);
    }

    fn add_measured(
        &mut self,
        code: &'static str,
        severity: Severity,
        message: String,
        hint: &str,
        (measured, required): (String, String),
    ) {
        self.add(code, severity, message, hint);
        if let Some(last) = self.findings.pop() {
            self.findings.push(last.figures(measured, required));
        }
    }
}

fn boxes(read: &PageRead, expected: &Expected, list: &mut List) {
    let boxes = &read.boxes;
    if boxes.media.is_none() {
        list.add(
            "check-media-box-missing",
            Severity::Stop,
            "This page does not say how large its sheet is.".to_owned(),
            "Make the file again; every page needs a MediaBox.",
        );
    }
    let Some(trim) = boxes.trim else {
        list.add(
            "check-trim-missing",
            Severity::Stop,
            "This page does not say where it will be cut.".to_owned(),
            "Make the file with a TrimBox on every page.",
        );
        return;
    };
    let outer = boxes.bleed.unwrap_or(trim);
    let nested = outer.contains(trim)
        && boxes.media.is_none_or(|media| media.contains(outer))
        && boxes.crop.is_none_or(|crop| crop.contains(trim));
    if !nested {
        list.add(
            "check-boxes-not-nested",
            Severity::Stop,
            "The page boxes contradict each other: the cut must lie inside the bleed, and the bleed \
             inside the sheet."
                .to_owned(),
            "Make the file again with one size for trim and bleed.",
        );
    }
    if let (Some(required), Some(found)) = (expected.bleed, read.report.bleed)
        && found + BLEED_SLACK < required
    {
        list.add_measured(
            "check-bleed-short",
            Severity::Stop,
            format!(
                "The page reaches only {:.1} mm beyond the cut.",
                found.mm().max(0.0)
            ),
            "Let pictures and grounds run on past the cut on all four sides, and set the BleedBox.",
            (format!("{found}"), format!("{required}")),
        );
    }
    sizes(&read.report, expected, list);
    if boxes.user_unit != 1.0 {
        list.add(
            "check-user-unit",
            Severity::Warn,
            format!(
                "The page counts in units of its own, {} times the usual.",
                boxes.user_unit
            ),
            "Some presses overlook this and print the page at the wrong size; make the file again \
             without UserUnit.",
        );
    }
    if boxes.turns != 0 {
        list.add(
            "check-page-turned",
            Severity::Note,
            "The page is stored turned and shown upright.".to_owned(),
            "",
        );
    }
}

/// Trim against the book, or a cover sheet against two trims and the spine.
fn sizes(report: &PageReport, expected: &Expected, list: &mut List) {
    let (Some(found), Some(trim)) = (report.trim, expected.trim) else {
        return;
    };
    let Some(spine) = expected.cover_spine else {
        let off = (found.width - trim.width)
            .abs()
            .max((found.height - trim.height).abs());
        if off > SIZE_SLACK {
            list.add_measured(
                "check-trim-size",
                Severity::Stop,
                format!("The page will be cut to {found}, but the book is {trim}."),
                "Make the file again at the size of the book, or change the book.",
                (found.to_string(), trim.to_string()),
            );
        }
        return;
    };
    let found_spine = found.width - trim.width * 2;
    if (found_spine - spine).abs() > SIZE_SLACK {
        list.add_measured(
            "check-spine-width",
            Severity::Stop,
            format!(
                "The spine in this file is {:.1} mm, the book now needs {:.1} mm.",
                found_spine.mm(),
                spine.mm()
            ),
            "Make the cover again; the spine changes with the number of pages and the paper.",
            (found_spine.to_string(), spine.to_string()),
        );
    }
    if (found.height - trim.height).abs() > SIZE_SLACK {
        list.add_measured(
            "check-cover-height",
            Severity::Stop,
            format!(
                "The cover is {:.1} mm high, the book is {:.1} mm.",
                found.height.mm(),
                trim.height.mm()
            ),
            "Make the cover again at the size of the book.",
            (found.height.to_string(), trim.height.to_string()),
        );
    }
}

fn colours(read: &PageRead, expected: &Expected, list: &mut List) {
    let seen = &read.seen;
    if seen.bare_rgb {
        list.add(
            "check-rgb-without-profile",
            Severity::Stop,
            "Something on this page is in RGB, and nothing says which red, green and blue are meant."
                .to_owned(),
            "Convert it to the book's CMYK, where you can see what paper does to it.",
        );
    } else if seen.light {
        list.add(
            "check-rgb",
            Severity::Warn,
            "Something on this page is still in RGB or Lab; the printer's software will turn it \
             into ink unseen."
                .to_owned(),
            "Convert it to the book's CMYK, where you can see what paper does to it.",
        );
    }
    if seen.other_cmyk {
        list.add(
            "check-cmyk-with-profile",
            Severity::Warn,
            "Something on this page is in CMYK with a profile of its own, and may be converted a \
             second time at the press."
                .to_owned(),
            "Convert it to the book's own CMYK, and write it without a profile.",
        );
    }
    if seen.light && read.ink.is_some() {
        let (message, hint) = if expected.press.is_some() {
            (
                "The ink of the RGB parts is an estimate: they were converted here as if they were \
                 sRGB.",
                "",
            )
        } else {
            (
                "The ink of the RGB parts is only guessed, since no press condition is known.",
                "Check the file against the book to have it estimated.",
            )
        };
        list.add(
            "check-ink-estimated",
            Severity::Note,
            message.to_owned(),
            hint,
        );
    }
}

/// Plates beside the four inks: finishings that are expected, and others.
fn plates(read: &PageRead, expected: &Expected, list: &mut List) {
    let found = &read.report.plates;
    let finishings = expected.plates.as_deref().unwrap_or_default();
    let is_finishing = |plate: &PlateReport| finishings.contains(&plate.name);
    let with_area = |plate: &PlateReport| {
        if read.ink.is_some() {
            format!("{} ({})", plate.name, area(plate.touched_mm2))
        } else {
            plate.name.clone()
        }
    };
    let names = |of_finishings: bool| -> Vec<String> {
        found
            .iter()
            .filter(|plate| is_finishing(plate) == of_finishings)
            .map(with_area)
            .collect()
    };
    let (finished, further) = (names(true), names(false));
    if !finished.is_empty() {
        list.add(
            "check-finishing-plates",
            Severity::Note,
            format!(
                "This sheet carries its finishings: {}.",
                finished.join(", ")
            ),
            "",
        );
    }
    if !further.is_empty() && expected.plates.is_some() {
        list.add(
            "check-plate-unknown",
            Severity::Warn,
            format!(
                "This page asks for a plate of which the book knows nothing: {}.",
                further.join(", ")
            ),
            "Make the press files again, or enter the finishing in the book.",
        );
    } else if !further.is_empty() {
        list.add(
            "check-spot-ink",
            Severity::Note,
            format!("This page asks for further inks: {}.", further.join(", ")),
            "Each is a plate more and costs extra; make sure that the printer knows of it.",
        );
    }
    for (index, plate) in found.iter().enumerate() {
        if is_finishing(plate) && plate.knocks_out {
            list.add(
                "check-plate-knocks-out",
                Severity::Stop,
                format!(
                    "The finishing `{}` is set to take away the ink under it: bare paper shows at \
                     its edges.",
                    plate.name
                ),
                "Set it to overprint.",
            );
        } else if read.seen.take_away & 1 << (4 + index) != 0 {
            list.add(
                "check-spot-knocks-out",
                Severity::Note,
                format!(
                    "`{}` takes away the ink under it. That is right for an ink, and wrong for \
                     foil, varnish or embossing.",
                    plate.name
                ),
                "If it is a finishing, set it to overprint.",
            );
        }
    }
    if read.seen.on_every_plate && !found.is_empty() {
        let all: Vec<&str> = found.iter().map(|plate| plate.name.as_str()).collect();
        list.add(
            "check-plate-under-all",
            if found.iter().any(is_finishing) {
                Severity::Stop
            } else {
                Severity::Warn
            },
            format!(
                "Something inside the print is set in all inks at once, and so stands on the plate \
                 of {} too.",
                all.join(", ")
            ),
            "Set it in black ink alone; only marks outside the print belong on every plate.",
        );
    }
}

fn area(mm2: f64) -> String {
    if mm2 >= 100.0 {
        format!("about {:.0} cm²", mm2 / 100.0)
    } else {
        format!("about {mm2:.0} mm²")
    }
}

/// Words where none may stand.
fn misplaced_words(read: &PageRead, expected: &Expected, list: &mut List) {
    for (&index, &letters) in &read.seen.misplaced {
        let Some(place) = expected.no_go.get(index) else {
            continue;
        };
        let rect = place.rect;
        list.add(
            "check-words-in-no-go",
            Severity::Stop,
            format!(
                "{letters} letter{} stand{} where no words may: {} (from {:.1} mm to {:.1} mm across, \
                 {:.1} mm to {:.1} mm down).",
                plural(letters),
                if letters == 1 { "s" } else { "" },
                place.why,
                rect.x.mm(),
                rect.right().mm(),
                rect.y.mm(),
                rect.bottom().mm(),
            ),
            "Move the words, or set them smaller.",
        );
    }
}

fn ink_total(read: &PageRead, ink: InkFound, limit: Option<f64>, list: &mut List) {
    let Some(limit) = limit.filter(|limit| ink.most > limit + INK_ROUNDING) else {
        return;
    };
    let see_through = if read.seen.transparency.is_empty() {
        ""
    } else {
        " at most, since parts of the page are see-through"
    };
    let place = format!(
        "{:.0} mm from the left and {:.0} mm from the top of the trimmed page",
        ink.at.0.mm(),
        ink.at.1.mm()
    );
    let (severity, area) = if ink.over_mm2 >= INK_AREA_MM2 {
        let square_cm = ink.over_mm2 / 100.0;
        let area = if square_cm >= 1.0 {
            format!("about {square_cm:.0} cm²")
        } else {
            format!("about {:.0} mm²", ink.over_mm2)
        };
        (Severity::Stop, area)
    } else {
        (
            Severity::Warn,
            "specks of less than 1 mm² in all".to_owned(),
        )
    };
    list.add_measured(
        "check-ink-total",
        severity,
        format!(
            "Too much ink: {:.0} percent{see_through}, {place}. The press takes {limit:.0} percent; \
             {area} are over it.",
            ink.most
        ),
        "Convert the picture with the ink limit of the press; too much ink does not dry and marks \
         the page that faces it.",
        (format!("{:.1} %", ink.most), format!("{limit:.0} %")),
    );
}

fn images(images: &[SeenImage], list: &mut List) {
    for (trouble, code, severity, message, hint) in [
        (
            Trouble::Broken,
            "check-picture-broken",
            Severity::Stop,
            "A picture on this page is damaged and cannot be read to its end.",
            "Make the file again from the original picture.",
        ),
        (
            Trouble::TooLarge,
            "check-picture-too-large",
            Severity::Warn,
            "A picture on this page is too large to be looked into here; its ink is not counted.",
            "Look at this page in a proof.",
        ),
        (
            Trouble::NotLookedAt,
            "check-picture-not-read",
            Severity::Note,
            "A picture on this page is stored in a way that is not looked into here: line art counts \
             as solid black, other pictures are not counted as ink.",
            "Look at this page in a proof.",
        ),
    ] {
        if images.iter().any(|image| image.trouble == Some(trouble)) {
            list.add(code, severity, message.to_owned(), hint);
        }
    }
    let judged = || {
        images.iter().filter(|image| {
            image.ppi.is_finite() && image.width * image.height > SAMPLES_OF_A_COLOUR
        })
    };
    let lowest = |line_art: bool| {
        judged()
            .filter(|image| image.line_art == line_art)
            .min_by(|a, b| a.ppi.total_cmp(&b.ppi))
    };
    if let Some(image) = lowest(false).filter(|image| image.ppi + PPI_SLACK < PPI_WARN) {
        let stop = image.ppi + PPI_SLACK < PPI_STOP;
        let few = judged()
            .filter(|image| !image.line_art && image.ppi + PPI_SLACK < PPI_WARN)
            .count();
        let which = if few == 1 {
            "A picture".to_owned()
        } else {
            format!("The worst of {few} pictures")
        };
        let (severity, effect) = if stop {
            (Severity::Stop, "it will look coarse")
        } else {
            (Severity::Warn, "fine detail will look soft")
        };
        list.add_measured(
            "check-resolution-low",
            severity,
            format!(
                "{which} ({} × {} px) has only {:.0} pixels an inch at this size: {effect}.",
                image.width, image.height, image.ppi
            ),
            "Place it smaller, or use a larger original; enlarging the file does not help.",
            (
                format!("{:.0} ppi", image.ppi),
                format!("{:.0} ppi", if stop { PPI_STOP } else { PPI_WARN }),
            ),
        );
    }
    if let Some(image) = lowest(true).filter(|image| image.ppi + PPI_SLACK < PPI_LINE_ART) {
        list.add_measured(
            "check-line-art-low",
            Severity::Warn,
            format!(
                "A drawing in pure black and white has {:.0} pixels an inch at this size: its edges \
                 will show steps.",
                image.ppi
            ),
            "Scan or draw it at 600 pixels an inch or more, or as lines.",
            (format!("{:.0} ppi", image.ppi), format!("{PPI_LINE_ART:.0} ppi")),
        );
    }
}

fn fonts(read: &PageRead, list: &mut List) {
    let missing: Vec<&str> = read
        .seen
        .fonts
        .iter()
        .filter(|(_, home)| **home == Home::Missing)
        .map(|(name, _)| name.as_str())
        .collect();
    if !missing.is_empty() {
        list.add(
            "check-font-missing",
            Severity::Stop,
            format!(
                "The typeface {} is not in the file; the printer's machine will put another in its \
                 place.",
                missing.join(", ")
            ),
            "Embed all typefaces when making the file, or turn the text into outlines.",
        );
    }
    if let Some((size, inks)) = read.seen.small_type {
        list.add_measured(
            "check-small-type-in-several-inks",
            Severity::Warn,
            format!(
                "Text of {size:.1} points is made of {inks} inks; the smallest shift between the \
                 plates will blur it."
            ),
            "Set text in black ink alone.",
            (
                format!("{inks} inks"),
                "1 ink, or type over 12 pt".to_owned(),
            ),
        );
    }
}

fn drawing(read: &PageRead, list: &mut List) {
    let seen = &read.seen;
    if seen.white_overprint {
        list.add(
            "check-white-overprint",
            Severity::Stop,
            "Something white is set to overprint: white is no ink, so it will vanish in print."
                .to_owned(),
            "Switch overprint off for everything that is white.",
        );
    }
    if let Some(points) = seen.hairline {
        list.add_measured(
            "check-hairline",
            Severity::Warn,
            format!("A line is only {points:.2} points thick and may break up."),
            "Make lines at least 0.25 points thick, light ones more.",
            (format!("{points:.2} pt"), "0.25 pt".to_owned()),
        );
    }
    if !seen.transparency.is_empty() {
        let kinds: Vec<&str> = seen.transparency.iter().copied().collect();
        list.add(
            "check-transparency",
            Severity::Warn,
            format!(
                "Parts of this page are see-through ({}); the ink total here counts the inkier of \
                 what lies there.",
                kinds.join(", ")
            ),
            "PDF/X-4 allows it; if the printer asks for flat files, flatten it and look at the \
             result.",
        );
    }
}

fn forbidden(read: &PageRead, list: &mut List) {
    let seen = &read.seen;
    let remake = "Make the file again as PDF/X-4.";
    for (found, code, severity, message) in [
        (
            seen.transfer,
            "check-transfer-curve",
            Severity::Warn,
            "The page carries a curve of its own that changes all tones at the press.",
        ),
        (
            seen.postscript,
            "check-postscript",
            Severity::Stop,
            "The page holds PostScript code, which press files must not.",
        ),
        (
            seen.old_links || seen.reference || seen.outside_data,
            "check-outside-picture",
            Severity::Stop,
            "The page points at a picture or data outside this file.",
        ),
        (
            seen.alternates,
            "check-alternate-picture",
            Severity::Warn,
            "A picture has a second version that may be printed instead.",
        ),
        (
            seen.lzw,
            "check-lzw",
            Severity::Warn,
            "Something is packed by LZW, which PDF/X does not allow.",
        ),
        (
            read.acts,
            "check-action",
            Severity::Warn,
            "The page does something when it is opened; press files must not.",
        ),
    ] {
        if found {
            list.add(code, severity, message.to_owned(), remake);
        }
    }
    let in_print: Vec<&str> = read
        .annotations
        .iter()
        .filter(|annotation| annotation.in_print)
        .map(|annotation| annotation.kind.as_str())
        .collect();
    if let Some(first) = in_print.first() {
        list.add(
            "check-comment-in-print",
            Severity::Stop,
            format!(
                "{} comment{} or button{} ({first} …) lie{} in the printed area, and may or may not \
                 be printed.",
                in_print.len(),
                plural(in_print.len()),
                plural(in_print.len()),
                if in_print.len() == 1 { "s" } else { "" },
            ),
            "Remove all comments, links and form fields, or make them part of the drawing.",
        );
    }
    if read.annotations.iter().any(|annotation| annotation.acts) {
        list.add(
            "check-action",
            Severity::Warn,
            "A link or button on this page does something when clicked; press files must not."
                .to_owned(),
            remake,
        );
    }
}

fn plural(count: usize) -> &'static str {
    if count == 1 { "" } else { "s" }
}

/// What could not be looked at, said.
fn honesty(read: &PageRead, list: &mut List) {
    let seen = &read.seen;
    if seen.damaged {
        list.add(
            "check-page-damaged",
            Severity::Stop,
            "Part of this page is damaged or missing, so it may print incompletely.".to_owned(),
            "Make the file again, and copy it again if it came over a network.",
        );
    }
    if seen.too_heavy {
        list.add(
            "check-page-too-heavy",
            Severity::Warn,
            "This page asks for more work than a check does; it was not looked at to its end."
                .to_owned(),
            "Look at this page in a proof; a press may stumble over it too.",
        );
    }
    if seen.hidden_layers {
        list.add(
            "check-layer-hidden",
            Severity::Warn,
            "Something on this page lies in a layer that is switched off; the press may print it or \
             not."
                .to_owned(),
            "Delete hidden layers before making the file.",
        );
    }
    if !seen.approximate.is_empty() && read.ink.is_some() {
        let kinds: Vec<&str> = seen.approximate.iter().copied().collect();
        list.add(
            "check-ink-approximate",
            Severity::Note,
            format!(
                "The ink total of this page is approximate: {}.",
                kinds.join("; ")
            ),
            "",
        );
    }
}
