//! One block, letter or list of labels through the typesetter: a world in memory that holds a fixed layout and the
//! words as data.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::LazyLock;

use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::layout::Frame;
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};
use typst_layout::PagedDocument;

use crate::clean::Clean;
use crate::faces::Faces;
use crate::letter::Paper;
use crate::{WordsError, language};

/// The layout of all styles of blocks; nothing of the person's is ever put into it.
const BLOCK: &str = include_str!("block.typ");

/// The layout of letters, likewise.
const LETTER: &str = include_str!("letter.typ");

/// The layout of labels, likewise.
const LABEL: &str = include_str!("label.typ");

/// Rounds for which the typesetter may keep results of earlier blocks.
const KEPT_ROUNDS: usize = 8;

/// What the layout reads beside the words.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Figures<'a> {
    pub(crate) style: &'static str,
    /// Points.
    pub(crate) width: f64,
    /// Points.
    pub(crate) height: f64,
    /// 1 for the size that the style wants; less to make it fit.
    pub(crate) scale: f64,
    pub(crate) language: &'a str,
    pub(crate) region: Option<&'a str>,
}

/// Lays words out on a sheet that is as wide as the space and as tall as they need.
pub(crate) fn typeset(words: &Clean, figures: Figures<'_>) -> Result<Frame, WordsError> {
    let Figures {
        style,
        width,
        height,
        scale,
        language,
        region,
    } = figures;
    let region = region.unwrap_or("-");
    let figures = format!("{style} {width:.4} {height:.4} {scale:.4} {language} {region}");
    let mut pages = compile(&FIXED.block, words.data(), figures)?;
    match pages.len() {
        1 => Ok(pages.remove(0)),
        many => Err(WordsError::Typesetter(format!(
            "they came out on {many} sheets instead of one"
        ))),
    }
}

/// Lays a letter out on as many sheets as it takes, at least one.
pub(crate) fn typeset_letter(
    data: &str,
    paper: Paper,
    tag: &str,
) -> Result<Vec<Frame>, WordsError> {
    let size = paper.size();
    let (language, region) = language(tag);
    let figures = format!(
        "{:.4} {:.4} {language} {}",
        size.width.inches() * 72.0,
        size.height.inches() * 72.0,
        region.unwrap_or("-"),
    );
    let pages = compile(&FIXED.letter, data.to_owned(), figures)?;
    if pages.is_empty() {
        return Err(WordsError::Typesetter("no page came of it".to_owned()));
    }
    Ok(pages)
}

/// Lays labels out, each on a sheet of its own that is as wide as it is.
pub(crate) fn typeset_labels(data: String, tag: &str) -> Result<Vec<Frame>, WordsError> {
    let (language, region) = language(tag);
    let figures = format!("{language} {}", region.unwrap_or("-"));
    compile(&FIXED.label, data, figures)
}

fn compile(
    layout: &'static Source,
    words: String,
    figures: String,
) -> Result<Vec<Frame>, WordsError> {
    let world = MemoryWorld {
        layout,
        words: Bytes::from_string(words),
        figures: Bytes::from_string(figures),
    };
    // A slip of the typesetter on strange words must not take the program with it.
    let document = catch_unwind(AssertUnwindSafe(|| {
        typst::compile::<PagedDocument>(&world).output
    }));
    typst::comemo::evict(KEPT_ROUNDS);
    let document = document
        .map_err(|_| WordsError::Typesetter("the typesetter gave up on them".to_owned()))?
        .map_err(|errors| {
            let messages: Vec<&str> = errors.iter().map(|error| error.message.as_str()).collect();
            WordsError::Typesetter(messages.join("; "))
        })?;
    Ok(document
        .pages()
        .iter()
        .map(|page| page.frame.clone())
        .collect())
}

struct MemoryWorld {
    layout: &'static Source,
    words: Bytes,
    figures: Bytes,
}

/// What is the same for all blocks, letters and labels.
struct Fixed {
    library: LazyHash<Library>,
    block: Source,
    letter: Source,
    label: Source,
    words: FileId,
    figures: FileId,
}

static FIXED: LazyLock<Fixed> = LazyLock::new(|| {
    let id = |name: &str| {
        let path = VirtualPath::new(name).expect("a plain name is a path");
        RootedPath::new(VirtualRoot::Project, path).intern()
    };
    Fixed {
        library: LazyHash::new(Library::default()),
        block: Source::new(id("block.typ"), BLOCK.to_owned()),
        letter: Source::new(id("letter.typ"), LETTER.to_owned()),
        label: Source::new(id("label.typ"), LABEL.to_owned()),
        words: id("words"),
        figures: id("figures"),
    }
});

impl World for MemoryWorld {
    fn library(&self) -> &LazyHash<Library> {
        &FIXED.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &Faces::get().book
    }

    fn main(&self) -> FileId {
        self.layout.id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == self.layout.id() {
            Ok(self.layout.clone())
        } else {
            Err(FileError::AccessDenied)
        }
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        if id == FIXED.words {
            Ok(self.words.clone())
        } else if id == FIXED.figures {
            Ok(self.figures.clone())
        } else {
            Err(FileError::AccessDenied)
        }
    }

    fn font(&self, index: usize) -> Option<Font> {
        Faces::get().by_index(index).cloned()
    }

    fn today(&self, _offset: Option<Duration>) -> Option<Datetime> {
        None
    }
}
