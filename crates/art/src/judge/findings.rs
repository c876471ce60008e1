//! What is said about a judged picture.

use finding::{Finding, Place, Severity};
use measure::{Length, Size};

use super::Use;
use super::blocking::Blocking;
use super::enlargement::Detail;
use super::on_press::{OUT_OF_REACH, OnPress};
use crate::{Picture, Remark, Samples};

/// Pixels per inch that leave nothing to wish (common practice for a 150-line screen, no source).
const GOOD_PPI: f64 = 300.0;
/// Less is worth a warning.
const LEAST_GOOD_PPI: f64 = 250.0;
/// Less must not be printed unless the book accepts it.
const LEAST_PPI: f64 = 150.0;
/// Shares of the area and ΔE00 from which colours beyond the press are worth a word, and a
/// warning; our choice.
const REACH_NOTE: f64 = 0.01;
const REACH_WARN: f64 = 0.05;
const REACH_WARN_BY: f64 = 5.0;
/// Shares of the area from which filled shadows are worth a word, and a warning; our choice.
const SHADOW_NOTE: f64 = 0.01;
const SHADOW_WARN: f64 = 0.05;
/// Ink total in percent from which CMYK art is worth a word (the limit of most coated papers).
const HEAVY_INK: f64 = 300.0;

/// Everything that was measured.
pub(super) struct Facts<'a> {
    pub(super) picture: &'a Picture,
    pub(super) usage: &'a Use<'a>,
    pub(super) ppi: Option<f64>,
    pub(super) on_press: &'a OnPress,
    pub(super) detail: Detail,
    pub(super) blocking: Blocking,
}

impl Facts<'_> {
    pub(super) fn findings(&self) -> Vec<Finding> {
        let mut findings = Vec::new();
        findings.extend(self.resolution());
        findings.extend(self.fineness());
        findings.extend(self.blocks());
        findings.extend(self.colours());
        findings.extend(self.shadows());
        findings.extend(self.ink());
        findings.extend(
            self.picture
                .remarks
                .iter()
                .map(|remark| self.remark(remark)),
        );
        findings
    }

    fn finding(&self, code: &'static str, severity: Severity, message: String) -> Finding {
        let place = Place::Piece(self.usage.piece.to_owned());
        Finding::new(code, severity, place, message)
    }

    fn resolution(&self) -> Option<Finding> {
        let (ppi, on_paper) = (self.ppi?, self.usage.on_paper?);
        // Nobody measures a picture on paper closer than to a tenth of a millimetre.
        let tenths = |length: Length| (length.mm() * 10.0).round() / 10.0;
        let on_paper = Size::from_mm(tenths(on_paper.width), tenths(on_paper.height));
        let figures = |finding: Finding, least: f64| {
            finding.figures(format!("{ppi:.0} ppi"), format!("{least:.0} ppi"))
        };
        if ppi < LEAST_PPI {
            let finding = if self.usage.accept_low_resolution {
                self.finding(
                    "art-resolution-low",
                    Severity::Note,
                    format!(
                        "At {on_paper} on paper it has {ppi:.0} ppi, which the book accepts; its \
                         pixels may be seen."
                    ),
                )
            } else {
                self.finding(
                    "art-resolution-low",
                    Severity::Stop,
                    format!(
                        "At {on_paper} on paper it has only {ppi:.0} ppi: its pixels will be seen."
                    ),
                )
                .hint(format!(
                    "Use the original at full size, or place it no larger than {}. If the \
                     roughness is wanted, say in the book that a low resolution is accepted.",
                    self.size_at(LEAST_PPI)
                ))
            };
            return Some(figures(finding, LEAST_PPI));
        }
        (ppi < LEAST_GOOD_PPI).then(|| {
            let finding = self
                .finding(
                    "art-resolution-below-good",
                    Severity::Warn,
                    format!(
                        "At {on_paper} on paper it has {ppi:.0} ppi: fine lines will look a \
                         little soft."
                    ),
                )
                .hint(format!(
                    "{GOOD_PPI:.0} ppi is good. Up to {} it stays above {LEAST_GOOD_PPI:.0}.",
                    self.size_at(LEAST_GOOD_PPI)
                ));
            figures(finding, LEAST_GOOD_PPI)
        })
    }

    /// The size on paper at a resolution, in whole millimetres.
    fn size_at(&self, ppi: f64) -> Size {
        let side = |pixels: u32| {
            let inches = f64::from(pixels) / ppi;
            Length::from_mm(Length::from_inches(inches).mm().floor().max(1.0))
        };
        Size {
            width: side(self.picture.size.width),
            height: side(self.picture.size.height),
        }
    }

    fn fineness(&self) -> Option<Finding> {
        let percent = |top: f32| format!("{:.1} % of the fine detail expected", top * 100.0);
        match self.detail {
            Detail::Enlarged { top } => Some(
                self.finding(
                    "art-enlarged",
                    Severity::Warn,
                    "It looks as if it was enlarged by a program: it has more pixels than detail."
                        .to_owned(),
                )
                .hint(
                    "Use the original before it was enlarged, and judge the size on paper by its \
                     pixels. Enlarging adds no detail.",
                )
                .figures(percent(top), "detail as fine as its pixels"),
            ),
            Detail::Soft { top } => Some(
                self.finding(
                    "art-soft",
                    Severity::Note,
                    "Its finest detail is missing: it is soft by nature, or was smoothed or \
                     enlarged."
                        .to_owned(),
                )
                .hint("If it should be sharper, look for a better scan or an earlier version.")
                .figures(percent(top), "detail as fine as its pixels"),
            ),
            Detail::Fine | Detail::NoTexture => None,
        }
    }

    fn blocks(&self) -> Option<Finding> {
        let Blocking::Seen { step, times } = self.blocking else {
            return None;
        };
        Some(
            self.finding(
                "art-jpeg-blocking",
                Severity::Warn,
                format!(
                    "Heavy JPEG compression has left blocks of 8 × 8 pixels: their edges are \
                     {times:.0} times as strong as what lies between."
                ),
            )
            .hint(
                "Go back to the file before it was compressed; saving this one again does not \
                 help.",
            )
            .figures(
                format!("steps of {step:.1} levels at the blocks' edges"),
                "no steps",
            ),
        )
    }

    fn colours(&self) -> Option<Finding> {
        let OnPress {
            out_of_reach: share,
            out_of_reach_by: by,
            ..
        } = *self.on_press;
        let severity = if share >= REACH_WARN && by >= REACH_WARN_BY {
            Severity::Warn
        } else if share >= REACH_NOTE {
            Severity::Note
        } else {
            return None;
        };
        Some(
            self.finding(
                "art-colour-out-of-reach",
                severity,
                format!(
                    "{} of its area is more colourful than this press can print, by ΔE00 \
                     {by:.1} on average.",
                    percent(share)
                ),
            )
            .hint(
                "Look at it as printed. If the loss hurts, quieten those colours yourself, so \
                 that you decide what they become.",
            )
            .figures(
                format!("{} beyond ΔE00 {OUT_OF_REACH}", percent(share)),
                format!("under {}", percent(REACH_NOTE)),
            ),
        )
    }

    fn shadows(&self) -> Option<Finding> {
        let share = self.on_press.shadow_fills;
        let severity = if share >= SHADOW_WARN {
            Severity::Warn
        } else if share >= SHADOW_NOTE {
            Severity::Note
        } else {
            return None;
        };
        Some(
            self.finding(
                "art-shadows-fill",
                severity,
                format!(
                    "Dark detail over {} of its area is seen on a screen, but fills in on paper.",
                    percent(share)
                ),
            )
            .hint("Lift the darkest tones a little where something should still be seen.")
            .figures(percent(share), format!("under {}", percent(SHADOW_NOTE))),
        )
    }

    fn ink(&self) -> Option<Finding> {
        let most = self.on_press.ink_most;
        (matches!(self.picture.samples, Samples::Cmyk8(_)) && most > HEAVY_INK).then(|| {
            self.finding(
                "art-ink-heavy",
                Severity::Note,
                format!(
                    "Its inks come to {most:.0} % in the darkest place; the press files hold them \
                     to the book's limit."
                ),
            )
            .figures(format!("{most:.0} %"), format!("up to {HEAVY_INK:.0} %"))
        })
    }

    fn remark(&self, remark: &Remark) -> Finding {
        let (code, message, hint) = match remark {
            Remark::Flattened => (
                "art-flattened",
                "It is transparent in places, and was laid on paper white.".to_owned(),
                "If it should lie on a colour, put that colour behind it in the picture.",
            ),
            Remark::ProfileAssumed => (
                "art-profile-assumed",
                if self.picture.samples.channels() == 1 {
                    "It does not say how its greys are meant; the tone curve of sRGB is assumed."
                } else {
                    "It does not say what its colours mean; sRGB is assumed."
                }
                .to_owned(),
                "If its colours look wrong here, save it again with its colour profile embedded.",
            ),
            Remark::ProfileUnusable(why) => (
                "art-profile-unusable",
                format!(
                    "Its colour profile cannot be used: {why}. {} is assumed.",
                    match self.picture.samples.channels() {
                        1 => "The tone curve of sRGB",
                        3 => "sRGB",
                        _ => "The book's own press condition",
                    }
                ),
                "Save it again with a usable profile, such as sRGB.",
            ),
            Remark::Turned => (
                "art-turned",
                "It was turned upright, as its camera or scanner noted.".to_owned(),
                "",
            ),
            Remark::CmykAssumed => (
                "art-cmyk-assumed",
                "It is in CMYK without a profile; it is taken as made for this book's press."
                    .to_owned(),
                "If it was made for another press, save it again with that profile embedded.",
            ),
            Remark::Reduced => (
                "art-reduced",
                "Its inks are stored at 16 bits; they were reduced to 8.".to_owned(),
                "",
            ),
        };
        self.finding(code, Severity::Note, message).hint(hint)
    }
}

/// A share in percent: one decimal below ten.
fn percent(share: f64) -> String {
    if share < 0.1 {
        format!("{:.1} %", share * 100.0)
    } else {
        format!("{:.0} %", share * 100.0)
    }
}
