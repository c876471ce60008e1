//! Findings about a file as a whole.

use std::collections::{BTreeMap, BTreeSet};

use finding::{Finding, Place, Severity};
use measure::Size;

use super::ink::Spot;
use super::rules::SIZE_SLACK;
use super::structure::{Intent, Structure};
use super::{Expected, PageReport};

/// What the file as a whole has to answer for.
pub(super) struct Whole<'a> {
    pub(super) structure: &'a Structure,
    pub(super) damaged: bool,
    pub(super) ends_well: bool,
    pub(super) tree_broken: bool,
    pub(super) too_many_pages: bool,
    /// Pages in the file.
    pub(super) pages: usize,
    /// Pages that were read.
    pub(super) reports: &'a [PageReport],
    /// Ink was looked at.
    pub(super) with_ink: bool,
    /// Inks beside the four of each page that was read.
    pub(super) spots: &'a [Vec<Spot>],
}

fn whole(
    code: &'static str,
    severity: Severity,
    message: impl Into<String>,
    hint: &str,
) -> Finding {
    Finding::new(code, severity, Place::Whole, message).hint(hint)
}

/// The one finding of a file that is no PDF.
pub(super) fn not_a_pdf(bytes: usize) -> Finding {
    let message = if bytes == 0 {
        "The file is empty."
    } else {
        "This is no PDF, or nothing in it can be read."
    };
    whole(
        "check-not-a-pdf",
        Severity::Stop,
        message,
        "Make the file again, and copy it again if it came over a network.",
    )
}

pub(super) fn of_file(file: &Whole<'_>, expected: &Expected) -> Vec<Finding> {
    let mut findings = Vec::new();
    state(file, &mut findings);
    count(file, expected, &mut findings);
    same_sizes(file, expected, &mut findings);
    plates(file, expected, &mut findings);
    // What a locked file says of itself is locked too.
    if !file.structure.encrypted {
        intents(&file.structure.intents, expected, &mut findings);
        marks(file.structure, &mut findings);
        contents(file.structure, &mut findings);
    }
    findings
}

fn state(file: &Whole<'_>, findings: &mut Vec<Finding>) {
    if file.damaged || !file.ends_well {
        findings.push(whole(
            "check-damaged",
            Severity::Stop,
            if file.ends_well {
                "The file's own table of contents is wrong."
            } else {
                "The end of the file is missing, as if it had been cut off."
            },
            "Make the file again, and copy it again if it came over a network.",
        ));
    }
    if file.structure.encrypted {
        findings.push(whole(
            "check-encrypted",
            Severity::Stop,
            "The file is locked by a password or by permissions, so its pages were not looked into.",
            "Make the file again without any protection; a press cannot open it.",
        ));
    }
    if file.tree_broken {
        findings.push(whole(
            "check-page-list-broken",
            Severity::Stop,
            "The list of pages contradicts itself; another program may show other pages.",
            "Make the file again.",
        ));
    }
    if file.too_many_pages {
        findings.push(whole(
            "check-too-many-pages",
            Severity::Warn,
            format!("Only the first {} pages were looked at.", file.pages),
            "Split the file.",
        ));
    }
    if file.pages == 0 {
        findings.push(whole(
            "check-no-pages",
            Severity::Stop,
            "The file holds no page.",
            "Make the file again.",
        ));
    }
}

fn count(file: &Whole<'_>, expected: &Expected, findings: &mut Vec<Finding>) {
    let Some(required) = expected.pages else {
        return;
    };
    if file.pages == required as usize || file.pages == 0 {
        return;
    }
    let pages = |count: usize| format!("{count} page{}", if count == 1 { "" } else { "s" });
    findings.push(
        whole(
            "check-page-count",
            Severity::Stop,
            format!(
                "The file has {}, but {} expected.",
                pages(file.pages),
                if required == 1 {
                    "1 page is".to_owned()
                } else {
                    format!("{required} pages are")
                }
            ),
            "Make the press files again from the book as it is now.",
        )
        .figures(pages(file.pages), pages(required as usize)),
    );
}

/// Pages of one block must be one size; said once, for the pages that differ from the first.
fn same_sizes(file: &Whole<'_>, expected: &Expected, findings: &mut Vec<Finding>) {
    let mut sized = file
        .reports
        .iter()
        .filter_map(|page| Some((page.page, page.trim?)));
    let Some((_, first)) = sized.next() else {
        return;
    };
    // Held against the book, each page says so itself.
    if expected.trim.is_some() {
        return;
    }
    let differs = |size: Size| {
        (size.width - first.width).abs() > SIZE_SLACK
            || (size.height - first.height).abs() > SIZE_SLACK
    };
    let others: Vec<(u32, Size)> = sized.filter(|(_, size)| differs(*size)).collect();
    if let Some((page, size)) = others.first() {
        findings.push(
            whole(
                "check-page-sizes-differ",
                Severity::Stop,
                format!(
                    "The pages are not all of one size: page {page} is {size}, the first is {first}; \
                     {} in all differ.",
                    others.len()
                ),
                "Make all pages of the block at the size of the book.",
            )
            .figures(size.to_string(), first.to_string()),
        );
    }
}

/// Plates beside the four inks, over all pages: each name is one plate, shown in one way.
fn plates(file: &Whole<'_>, expected: &Expected, findings: &mut Vec<Finding>) {
    let mut looks: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    for spot in file.spots.iter().flatten() {
        let of_name = looks.entry(&spot.name).or_default();
        of_name.extend(spot.looks.iter().map(String::as_str));
    }
    let mut spellings: BTreeMap<String, Vec<&str>> = BTreeMap::new();
    for name in looks.keys() {
        spellings.entry(name.to_lowercase()).or_default().push(name);
    }
    for alike in spellings.values().filter(|alike| alike.len() > 1) {
        findings.push(whole(
            "check-plate-names-alike",
            Severity::Stop,
            format!(
                "Some plates have names that differ only in capitals: {}. One press makes them one \
                 plate, another makes several.",
                alike.join(", ")
            ),
            "Give what is one plate one name.",
        ));
    }
    for (name, looks) in looks.iter().filter(|(_, looks)| looks.len() > 1) {
        findings.push(whole(
            "check-plate-two-looks",
            Severity::Warn,
            format!(
                "The plate `{name}` is described in {} ways in this file, which PDF/X does not \
                 allow.",
                looks.len()
            ),
            "Let each plate have one colour in which it is shown.",
        ));
    }
    // Of a check that was stopped, or a locked file, nobody knows what the rest holds.
    if file.structure.encrypted || file.reports.len() < file.pages {
        return;
    }
    for missing in expected.plates.iter().flatten() {
        let mut found = file.reports.iter().flat_map(|page| &page.plates);
        if looks.contains_key(missing.as_str())
            && file.with_ink
            && found.all(|plate| plate.name != *missing || plate.extent.is_none())
        {
            findings.push(whole(
                "check-plate-empty",
                Severity::Stop,
                format!(
                    "The plate of the finishing `{missing}` is empty: nothing of it is printed."
                ),
                "Look whether its mask has anything dark, and whether it lies on the sheet.",
            ));
        }
        if !looks.contains_key(missing.as_str()) {
            findings.push(whole(
                "check-plate-missing",
                Severity::Stop,
                format!("The finishing `{missing}` has no plate in this file."),
                "Make the press files again.",
            ));
        }
    }
}

fn intents(intents: &[Intent], expected: &Expected, findings: &mut Vec<Finding>) {
    let Some(intent) = intents.first() else {
        findings.push(whole(
            "check-output-intent-missing",
            Severity::Stop,
            "The file does not say for which way of printing its colours were made.",
            "Make the file as PDF/X-4 with the printer's condition as its output intent.",
        ));
        return;
    };
    if intents.len() > 1 {
        findings.push(whole(
            "check-output-intent-twice",
            Severity::Stop,
            format!(
                "The file names {} ways of printing; there must be exactly one.",
                intents.len()
            ),
            "Make the file again with one output intent.",
        ));
    }
    let name = intent_name(intent);
    let Some(profile) = &intent.profile else {
        findings.push(whole(
            "check-output-profile-missing",
            if intent.outside {
                Severity::Warn
            } else {
                Severity::Stop
            },
            format!("The file names its way of printing, {name}, but the profile is not in it."),
            "Make the file again with the profile embedded.",
        ));
        return;
    };
    match ProfileHeader::read(profile) {
        None => findings.push(whole(
            "check-output-profile-broken",
            Severity::Stop,
            format!("The profile of {name} in this file is damaged."),
            "Make the file again with a sound profile.",
        )),
        Some(header) if header.space != *b"CMYK" || header.class != *b"prtr" => {
            findings.push(
                whole(
                    "check-output-profile-kind",
                    Severity::Stop,
                    format!(
                        "The profile of {name} in this file does not describe a press with four inks."
                    ),
                    "Make the file again with the CMYK profile of the printer.",
                )
                .figures(header.words(), "prtr CMYK"),
            );
        }
        Some(_) => {}
    }
    if let Some(press) = &expected.press {
        let same_name = intent
            .identifier
            .trim()
            .eq_ignore_ascii_case(press.identifier.trim());
        let same_profile = profile == press.profile.bytes();
        if !same_name && !same_profile {
            findings.push(
                whole(
                    "check-output-intent-differs",
                    Severity::Warn,
                    format!(
                        "The file was made for {name}, but the book is to be printed as {}.",
                        press.identifier
                    ),
                    "Make the press files again, or set the book's press condition to that of the \
                     file.",
                )
                .figures(name, press.identifier.clone()),
            );
        }
    }
}

fn intent_name(intent: &Intent) -> String {
    let name = if intent.identifier.is_empty() {
        &intent.info
    } else {
        &intent.identifier
    };
    if name.is_empty() {
        "no name".to_owned()
    } else {
        format!("`{}`", name.chars().take(80).collect::<String>())
    }
}

/// Class and space from a profile's header (ICC.1, 7.2).
struct ProfileHeader {
    class: [u8; 4],
    space: [u8; 4],
}

impl ProfileHeader {
    fn read(profile: &[u8]) -> Option<Self> {
        let four = |at: usize| profile.get(at..at + 4)?.try_into().ok();
        let size = u32::from_be_bytes(four(0)?);
        let sound = four(36) == Some(*b"acsp") && size as usize <= profile.len() && size >= 132;
        sound.then_some(Self {
            class: four(12)?,
            space: four(16)?,
        })
    }

    fn words(&self) -> String {
        let word = |bytes: &[u8; 4]| String::from_utf8_lossy(bytes).trim().to_owned();
        format!("{} {}", word(&self.class), word(&self.space))
    }
}

/// Marks of PDF/X. What is looked for is our own checklist (`clauses.md`), not the standard's text.
fn marks(structure: &Structure, findings: &mut Vec<Finding>) {
    match &structure.claims {
        None => findings.push(whole(
            "check-pdfx-mark-missing",
            Severity::Warn,
            "The file does not say that it is made for print (PDF/X).",
            "Make the file as PDF/X-4, unless the printer asks for another kind.",
        )),
        Some(claim) if claim.trim() != "PDF/X-4" => findings.push(
            whole(
                "check-pdfx-other-kind",
                Severity::Note,
                format!(
                    "The file says that it is `{claim}`; it is held here to our list for PDF/X-4."
                ),
                "Ask the printer which kind is wanted.",
            )
            .figures(claim.clone(), "PDF/X-4"),
        ),
        Some(_) => {}
    }
    if structure.version.as_str() > "1.6" && structure.claims.is_some() {
        findings.push(
            whole(
                "check-version",
                Severity::Note,
                format!(
                    "The file is written in PDF {}; PDF/X-4 is 1.6.",
                    structure.version
                ),
                "",
            )
            .figures(structure.version.clone(), "1.6"),
        );
    }
    let missing = [
        (!structure.has_xmp, "metadata (XMP)"),
        (
            structure.trapped.is_none() && !structure.encrypted,
            "whether it was trapped (Trapped)",
        ),
        (!structure.has_id, "its own ID"),
    ];
    let missing: Vec<&str> = missing
        .iter()
        .filter(|(is_missing, _)| *is_missing)
        .map(|(_, what)| *what)
        .collect();
    if !missing.is_empty() {
        findings.push(whole(
            "check-pdfx-facts-missing",
            Severity::Warn,
            format!(
                "The file does not state what PDF/X asks for: {}.",
                missing.join(", ")
            ),
            "Make the file as PDF/X-4.",
        ));
    }
}

fn contents(structure: &Structure, findings: &mut Vec<Finding>) {
    if structure.layers > 0 {
        findings.push(whole(
            "check-layers",
            Severity::Note,
            format!(
                "The file has {} layer{}.",
                structure.layers,
                if structure.layers == 1 { "" } else { "s" }
            ),
            "Make sure that the printer prints all of them; merging them is safer.",
        ));
    }
    let remake = "Make the file again as PDF/X-4.";
    for (found, code, severity, message) in [
        (
            structure.scripts,
            "check-script",
            Severity::Stop,
            "The file holds a program (JavaScript), which press files must not.",
        ),
        (
            structure.actions,
            "check-action",
            Severity::Warn,
            "The file does something when it is opened; press files must not.",
        ),
        (
            structure.attachments,
            "check-attachment",
            Severity::Warn,
            "Other files are packed into this file.",
        ),
        (
            structure.form_fields,
            "check-form",
            Severity::Stop,
            "The file is a form to be filled in; its fields may or may not be printed.",
        ),
    ] {
        if found {
            findings.push(whole(code, severity, message, remake));
        }
    }
}
