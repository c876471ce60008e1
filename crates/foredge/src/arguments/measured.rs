//! What may be written of things that are measured by hand.

use std::path::PathBuf;

/// How far the tools may be off.
#[derive(Debug, clap::Args)]
pub struct Tools {
    /// What the ruler may be off, either way; 0.5mm unless said.
    #[arg(long, value_name = "LENGTH")]
    pub ruler: Option<String>,
    /// What thicknesses may be off; as the ruler unless said.
    #[arg(long, value_name = "LENGTH")]
    pub gauge: Option<String>,
    /// What the scale may be off; 1 g unless said.
    #[arg(long, value_name = "MASS")]
    pub scale: Option<String>,
}

/// A book on the shelf.
#[derive(Debug, clap::Args)]
pub struct Shelf {
    /// What it is called.
    #[arg(long)]
    pub name: Option<String>,
    /// How it is bound: "sewn case", "sewn soft", "glued soft" or wire-stitched.
    #[arg(long, value_name = "BINDING")]
    pub kind: Option<String>,
    /// Width of a page, not of the boards.
    #[arg(long, value_name = "LENGTH")]
    pub width: Option<String>,
    /// Height of a page.
    #[arg(long, value_name = "LENGTH")]
    pub height: Option<String>,
    /// Thickness of all leaves, pressed together, without the cover.
    #[arg(long, value_name = "LENGTH")]
    pub block: Option<String>,
    /// Pages, both sides of every leaf counted.
    #[arg(long)]
    pub pages: Option<String>,
    /// What lay on the scale.
    #[arg(long)]
    pub mass: Option<String>,
    /// Thickness of one board of a case.
    #[arg(long, value_name = "LENGTH")]
    pub board: Option<String>,
    /// Surface of the paper, if it can be told: gloss, silk, matt or uncoated.
    #[arg(long)]
    pub finish: Option<String>,
    /// What else lay on the scale: jacket, "belly band", slipcase, flaps, ribbons.
    #[arg(long, value_name = "PART")]
    pub with: Vec<String>,
    /// A part that was weighed by itself too, such as "jacket=38 g".
    #[arg(long, value_name = "PART=MASS")]
    pub weighed: Vec<String>,
    #[command(flatten)]
    pub tools: Tools,
    /// Take a paper near to this measurement into the book, as one change that undo takes back.
    #[arg(long, value_name = "NUMBER", conflicts_with_all = ["kind", "width", "block", "mass"])]
    pub take: Option<u32>,
    /// Which of the papers near to it, counted from 1.
    #[arg(long, value_name = "PLACE", requires = "take", default_value_t = 1,
          value_parser = clap::value_parser!(u32).range(1..))]
    pub paper: u32,
}

/// A blank dummy.
#[derive(Debug, clap::Args)]
pub struct Dummy {
    /// Its pages; those of the book unless said.
    #[arg(long)]
    pub pages: Option<String>,
    /// Thickness of all leaves, pressed together, without cover, boards and endpapers.
    #[arg(long, value_name = "LENGTH")]
    pub block: Option<String>,
    /// Width of the spine, from edge to edge; over a round back, along it.
    #[arg(long, value_name = "LENGTH")]
    pub spine: Option<String>,
    /// What it weighs, without jacket, band and slipcase.
    #[arg(long)]
    pub mass: Option<String>,
    /// Thickness of one board of a case.
    #[arg(long, value_name = "LENGTH")]
    pub board: Option<String>,
    /// Thickness of one sheet of a soft cover.
    #[arg(long, value_name = "LENGTH")]
    pub cover: Option<String>,
    /// Thickness of one leaf of an endpaper.
    #[arg(long, value_name = "LENGTH")]
    pub endpaper: Option<String>,
    #[command(flatten)]
    pub tools: Tools,
    /// Take what this dummy teaches into the book, as one change that undo takes back.
    #[arg(long, value_name = "NUMBER", conflicts_with_all = ["block", "spine", "mass", "board",
          "cover", "endpaper", "pages"])]
    pub accept: Option<u32>,
}

/// A printer's template.
#[derive(Debug, clap::Args)]
pub struct Template {
    /// The sheet: cover, case, jacket, band, slipcase, "slipcase ends", "front endpaper" or "back
    /// endpaper". Alone it lists the figures that a template may state.
    pub sheet: Option<String>,
    /// Figures as they stand on the template, such as spine=14.5mm hinge=9mm.
    #[arg(value_name = "FIGURE=LENGTH")]
    pub figures: Vec<String>,
    /// The template as a PDF: its boxes and straight lines are measured.
    #[arg(long, value_name = "PDF", conflicts_with = "figures")]
    pub file: Option<PathBuf>,
    /// Page of the PDF; the one that fits the sheet best unless said.
    #[arg(long, requires = "file", value_parser = clap::value_parser!(u32).range(1..))]
    pub page: Option<u32>,
    /// Take the figures of this template that are to be believed into the book, as one change that
    /// undo takes back.
    #[arg(long, value_name = "NUMBER", conflicts_with_all = ["sheet", "file"])]
    pub accept: Option<u32>,
    /// Of that template, take this one figure, about which the printer was asked: spine, "front
    /// flap" …
    #[arg(long, value_name = "FIGURE", requires = "accept")]
    pub figure: Option<String>,
}
