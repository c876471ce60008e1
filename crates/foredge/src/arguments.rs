//! What may be written on the command line. Everything is checked here; what leaves is values of
//! the domain.

mod asking;
mod dates;
mod measured;
mod quantity;

use std::path::PathBuf;

use clap::{Parser, Subcommand};
use desk::View;
use measure::Size;

pub use asking::{Ask, How, PricesStep, PrintersStep};
pub use dates::DatesStep;
pub use measured::{Dummy, Shelf, Template, Tools};
pub use quantity::QuantityStep;

/// The production department for one person's art book: from a folder of finished art to files
/// that a press can print.
#[derive(Debug, Parser)]
#[command(name = "foredge", version, max_term_width = 100)]
#[command(
    after_help = "Exit codes: 0 fine; 1 done, but something was found that must not go to \
                        print as it is; 2 bad usage or input, and nothing was written."
)]
pub struct Arguments {
    /// The book folder.
    #[arg(long, value_name = "DIR", global = true)]
    pub book: Option<PathBuf>,
    /// Give one JSON document on stdout, with units in the names of its keys.
    #[arg(long, global = true)]
    pub json: bool,
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Make a book folder from a folder of art, with a first running order.
    New(New),
    /// Draw the art of a demonstration book, bind it in three ways, and take each to press files.
    Demo {
        /// Folder to make; must not exist yet, or be empty.
        dir: PathBuf,
    },
    /// Where it stands: what is done, what is stale and why, and what to do next.
    Status,
    /// Judge each piece of art for print at the size at which it is placed.
    Art,
    /// The running order, page by page, and changes to it.
    Pages {
        /// A change; nothing shows the running order.
        #[command(subcommand)]
        change: Option<Change>,
    },
    /// The object that the book becomes: its parts and their figures, given or typical, its weight,
    /// and every sheet laid flat.
    Object {
        /// Something to make of it; nothing shows it.
        #[command(subcommand)]
        make: Option<ObjectMake>,
    },
    /// Set one value of the book file, such as `stock.text.grammage "170 g/m2"`.
    Set {
        /// The value's name: section and key, with a dot between.
        key: String,
        /// The value, with its unit; an empty one takes the key out.
        #[arg(allow_hyphen_values = true)]
        value: String,
    },
    /// Name something in the book file or say more of it, as one change: an audience, a closure, a rate.
    Say {
        /// What it is: audience, channel, offer, plan, closure, step, payment, printer, delivery, rate,
        /// import, freight, term.
        kind: String,
        /// Its name, such as "letter to readers"; of a rate both currencies, such as "USD EUR".
        name: String,
        /// What is said, such as people=8000 low=0.5% likely=1.2% high=3%; an empty value unsays it.
        #[arg(value_name = "WHAT=VALUE", required = true)]
        said: Vec<String>,
    },
    /// Take something that has a name out of the book file, as one change.
    Unsay {
        /// What it is, as for `say`.
        kind: String,
        /// Its name.
        name: String,
    },
    /// How this book is printed: the press condition, and what is done to the art for paper.
    Colour {
        /// A change or a look; nothing shows what is in force.
        #[command(subcommand)]
        change: Option<ColourChange>,
    },
    /// The printed proof: the book's own control strip, proof pages, what was measured, and what is
    /// learned from it.
    Proof {
        /// A step; nothing lists what was measured.
        #[command(subcommand)]
        step: Option<ProofStep>,
    },
    /// How many to print: what every quantity is expected to bring and risks, plans side by side.
    Quantity {
        /// The quantity to look at; the one that the book asks for, or else the best.
        #[arg(long, value_parser = clap::value_parser!(u64).range(1..=1_000_000))]
        copies: Option<u64>,
        /// A plan, or copies that were sold; nothing shows how many to print.
        #[command(subcommand)]
        step: Option<QuantityStep>,
    },
    /// By when the books can be here: every step with its spread, the launch, the last day to send
    /// files, what falls due when.
    Dates {
        /// Something that happened, or the calendar file; nothing shows the dates.
        #[command(subcommand)]
        step: Option<DatesStep>,
    },
    /// The printers who are asked: who and where they are, samples, what was said and when.
    Printers {
        /// Something about them; nothing lists them.
        #[command(subcommand)]
        step: Option<PrintersStep>,
    },
    /// Ask a printer for prices: writes a letter and an e-mail. Nothing is sent.
    Ask(Ask),
    /// What printers answered, on one footing: which prices are for the book as it is, and what one
    /// good copy costs in your hands.
    Prices {
        /// Quantities, such as 600,900; those that the book asks for unless said.
        #[arg(long, value_name = "COPIES", value_delimiter = ',',
              value_parser = clap::value_parser!(u64).range(1..))]
        at: Vec<u64>,
        /// An answer that came, or one to lay aside; nothing compares them.
        #[command(subcommand)]
        step: Option<PricesStep>,
    },
    /// Write the press files: the interior, every printed sheet around it, and a manifest.
    Press,
    /// Hold a press file against the book and the standard; any PDF, made here or elsewhere.
    Check {
        /// The PDF.
        file: PathBuf,
    },
    /// Take the last change of the book back.
    Undo,
    /// Bring the change that was taken back again.
    Redo,
    /// Open the book's page in the browser; it is served to this computer alone.
    Serve {
        /// Port; a free one unless said.
        #[arg(long)]
        port: Option<u16>,
        /// Do not open a browser.
        #[arg(long)]
        no_open: bool,
    },
}

/// A new book.
#[derive(Debug, clap::Args)]
pub struct New {
    /// Folder to make; must not exist yet, or be empty.
    pub dir: PathBuf,
    /// Folder with the finished art: JPEG, PNG, TIFF or WebP. It is read and never changed.
    #[arg(long, value_name = "FOLDER")]
    pub art: PathBuf,
    /// Title of the book.
    #[arg(long)]
    pub title: String,
    /// Author as printed.
    #[arg(long, default_value = "")]
    pub author: String,
    /// Size of the trimmed page, width first, such as 250x300mm, 8.5x11in or A4.
    #[arg(long, value_name = "SIZE", value_parser = trim)]
    pub trim: Size,
    /// Link the art instead of copying it: pictures saved anew there are seen here, and the
    /// folder of art must stay where it is.
    #[arg(long)]
    pub link: bool,
}

/// A change of the running order. Entries are named as `foredge pages` lists them.
#[derive(Debug, Subcommand)]
pub enum Change {
    /// Move an entry to another place in the running order.
    Move {
        /// The entry's name.
        name: String,
        /// Its new place, counted from 1.
        #[arg(long, value_name = "PLACE", value_parser = clap::value_parser!(u32).range(1..))]
        to: u32,
    },
    /// Take an entry out; its art stays in the folder.
    Remove {
        /// The entry's name.
        name: String,
    },
    /// Give an entry another treatment: "full page", spread, inset, "ready page" …
    Treat {
        /// The entry's name.
        name: String,
        /// The treatment.
        treatment: String,
    },
    /// Add a piece of art, or a blank page when none is named.
    Insert {
        /// The piece, as `foredge art` lists it.
        piece: Option<String>,
        /// Its place in the running order, counted from 1.
        #[arg(long, value_name = "PLACE", value_parser = clap::value_parser!(u32).range(1..))]
        at: u32,
    },
}

/// Something to make of the object.
#[derive(Debug, Subcommand)]
pub enum ObjectMake {
    /// Write dimensioned drawings of every sheet and a section through the book, at true size.
    Drawing {
        /// The file to write: one long sheet if it ends in .svg, page by page if it ends in .pdf.
        file: PathBuf,
    },
    /// Foil, varnish and blind stamps: each plate held against the finest line and gap that its
    /// process holds, and every place that fails.
    Finishings {
        /// Make the lines of this finishing as wide as its process needs, and no wider.
        #[arg(long, value_name = "NAME")]
        thicken: Option<String>,
    },
    /// From a book on the shelf to the paper it must be made of: measure its pages, its block and its
    /// mass. Without figures, lists what was measured.
    Shelf(Box<Shelf>),
    /// Enter what the bindery's blank dummy measures: foretold against measured, and what that
    /// teaches of paper and boards. Without figures, lists what was measured.
    Dummy(Box<Dummy>),
    /// Lay the printer's template over a sheet: every difference in millimetres, and which side to
    /// believe. Without a sheet, lists those that were read.
    Template(Box<Template>),
}

/// A change of how the book is printed, or a look at what it does.
#[derive(Debug, Subcommand)]
pub enum ColourChange {
    /// Print by a built-in condition, or by a CMYK output profile, which is copied into the book.
    Use {
        /// The condition's name, or the profile's file.
        condition: String,
    },
    /// Choose what is done to the art so that it looks right on paper: none, gentle, usual or
    /// strong.
    Recipe {
        /// The recipe.
        recipe: String,
        /// For this piece alone, as `foredge art` lists it.
        #[arg(long, value_name = "PIECE")]
        piece: Option<String>,
    },
    /// What paper will take from each picture, in a sentence each.
    Losses,
    /// Write all pages as printed into one picture, to see the book at a glance.
    Contact {
        /// The JPEG to write.
        file: PathBuf,
        /// How they are shown: screen, print, adapted, reach, ink, shadows or plain.
        #[arg(long, default_value = "print", value_parser = view)]
        view: View,
        /// Width of the picture in pixels.
        #[arg(long, value_name = "PIXELS", default_value_t = 2400,
              value_parser = clap::value_parser!(u32).range(200..=12000))]
        width: u32,
    },
}

/// A step of the loop with the printed proof.
#[derive(Debug, Subcommand)]
pub enum ProofStep {
    /// The strip's patches: the colours that matter most in this book, and the press's own.
    Strip,
    /// Write press/proof.pdf: pages at their true size with the strip outside their trim.
    Make {
        /// Pages of the book, such as 4,9-12; without them, the strip on a sheet of its own.
        #[arg(long, value_name = "PAGES", value_parser = pages)]
        pages: Option<Pages>,
    },
    /// Try the loop without paper: print the strip on a heavy practice press and measure it.
    Practise,
    /// Read a measurement of the strip: CGATS text from an instrument, or a scan.
    Read {
        /// The measurement.
        file: PathBuf,
        /// ICC profile of the scanner; without one the scanner is told from the strip.
        #[arg(long, value_name = "ICC")]
        scanner: Option<PathBuf>,
    },
    /// Take what a proof has taught into the book, as one change that undo takes back.
    Accept {
        /// Its number, as `foredge proof` lists it.
        #[arg(value_parser = clap::value_parser!(u32).range(1..))]
        proof: u32,
    },
    /// Take whatever was learned from a proof out of the book.
    Forget,
}

/// Pages of the book.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pages(pub Vec<u32>);

/// `4,9-12` as 4, 9, 10, 11 and 12.
fn pages(text: &str) -> Result<Pages, String> {
    const MOST: u32 = 2000;
    let number = |text: &str| {
        text.trim()
            .parse::<u32>()
            .ok()
            .filter(|page| (1..=MOST).contains(page))
            .ok_or_else(|| format!("expected pages such as 4,9-12, but found `{text}`"))
    };
    let mut pages = Vec::new();
    for part in text.split(',') {
        match part.split_once(['-', '–']) {
            None => pages.push(number(part)?),
            Some((first, last)) => {
                let (first, last) = (number(first)?, number(last)?);
                if first > last {
                    return Err(format!("pages {first} to {last} run backwards"));
                }
                pages.extend(first..=last);
            }
        }
    }
    Ok(Pages(pages))
}

fn view(text: &str) -> Result<View, String> {
    View::ALL
        .into_iter()
        .find(|view| view.word() == text)
        .ok_or_else(|| {
            let words = View::ALL.map(View::word).join(", ");
            format!("expected one of {words}, but found `{text}`")
        })
}

fn trim(text: &str) -> Result<Size, String> {
    text.parse::<Size>().map_err(|error| error.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_arguments_are_sound() {
        use clap::CommandFactory;
        Arguments::command().debug_assert();
    }

    #[test]
    fn pages_are_named_one_by_one_and_in_runs() {
        assert_eq!(pages("4,9-12"), Ok(Pages(vec![4, 9, 10, 11, 12])));
        assert_eq!(pages(" 3 "), Ok(Pages(vec![3])));
        for wrong in [
            "",
            "0",
            "4,",
            "9-4",
            "4-",
            "-4",
            "x",
            "1-99999999999",
            "1-3000",
        ] {
            assert!(pages(wrong).is_err(), "{wrong}");
        }
    }
}
