//! One block through the typesetter: a world in memory that holds the fixed layout and the
//! block's words as data.

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

use crate::WordsError;
use crate::clean::Clean;
use crate::faces::Faces;

/// The layout of all styles; nothing of the person's is ever put into it.
const LAYOUT: &str = include_str!("block.typ");

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
    let world = BlockWorld::new(words, figures);
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
    match document.pages() {
        [page] => Ok(page.frame.clone()),
        pages => Err(WordsError::Typesetter(format!(
            "they came out on {} sheets instead of one",
            pages.len()
        ))),
    }
}

struct BlockWorld {
    words: Bytes,
    figures: Bytes,
}

/// What is the same for all blocks.
struct Fixed {
    library: LazyHash<Library>,
    layout: Source,
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
        layout: Source::new(id("block.typ"), LAYOUT.to_owned()),
        words: id("words"),
        figures: id("figures"),
    }
});

impl BlockWorld {
    fn new(words: &Clean, figures: Figures<'_>) -> Self {
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
        Self {
            words: Bytes::from_string(words.data()),
            figures: Bytes::from_string(figures),
        }
    }
}

impl World for BlockWorld {
    fn library(&self) -> &LazyHash<Library> {
        &FIXED.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &Faces::get().book
    }

    fn main(&self) -> FileId {
        FIXED.layout.id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == FIXED.layout.id() {
            Ok(FIXED.layout.clone())
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
