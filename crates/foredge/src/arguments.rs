//! What may be written on the command line. Everything is checked here; what leaves is values of
//! the domain.

use std::path::PathBuf;

use clap::{Parser, Subcommand};
use measure::Size;

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
    /// Draw the art of a demonstration book, make its folder, and take it to press files.
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
    /// The object that the book becomes: leaves, thickness, spine and weight, with every step.
    Object,
    /// Set one value of the book file, such as `stock.text.grammage "170 g/m2"`.
    Set {
        /// The value's name: section and key, with a dot between.
        key: String,
        /// The value, with its unit; an empty one takes the key out.
        #[arg(allow_hyphen_values = true)]
        value: String,
    },
    /// The press condition: how this book is printed, and what else there is.
    Colour {
        /// A change; nothing shows the condition.
        #[command(subcommand)]
        change: Option<ColourChange>,
    },
    /// Write the press files: the interior, the cover of a soft binding, and a manifest.
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

/// A change of the press condition.
#[derive(Debug, Subcommand)]
pub enum ColourChange {
    /// Print by a built-in condition, or by a CMYK output profile, which is copied into the book.
    Use {
        /// The condition's name, or the profile's file.
        condition: String,
    },
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
}
