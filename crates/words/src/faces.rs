//! The built-in typefaces, opened once.

use std::sync::{Arc, LazyLock, OnceLock};

use typst::foundations::Bytes;
use typst::text::{Font as Face, FontBook};
use typst::utils::LazyHash;

use crate::Font;

/// Families that are used, first choice first; the others stand in for signs that it lacks.
const FAMILIES: [&str; 4] = [
    "Libertinus Serif",
    "New Computer Modern",
    "New Computer Modern Math",
    "DejaVu Sans Mono",
];

/// All built-in typefaces that may be used.
pub(crate) struct Faces {
    pub(crate) book: LazyHash<FontBook>,
    faces: Vec<Face>,
    /// The same as they are handed on, made when first wanted.
    handed_on: Vec<OnceLock<Font>>,
}

impl Faces {
    pub(crate) fn get() -> &'static Self {
        static FACES: LazyLock<Faces> = LazyLock::new(|| {
            let faces: Vec<Face> = typst_assets::fonts()
                .filter_map(|data| Face::new(Bytes::new(data), 0))
                .filter(|face| FAMILIES.contains(&face.info().family.as_str()))
                .collect();
            Faces {
                book: LazyHash::new(FontBook::from_fonts(&faces)),
                handed_on: faces.iter().map(|_| OnceLock::new()).collect(),
                faces,
            }
        });
        &FACES
    }

    pub(crate) fn by_index(&self, index: usize) -> Option<&Face> {
        self.faces.get(index)
    }

    /// Whether any typeface has a sign for this character.
    pub(crate) fn have(&self, c: char) -> bool {
        self.faces
            .iter()
            .any(|face| face.info().coverage.contains(u32::from(c)))
    }

    /// A typeface as it is handed on; all blocks share its bytes.
    pub(crate) fn hand_on(&self, face: &Face) -> Option<Font> {
        // The bytes are those of the binary, so their place tells typefaces apart.
        let same = |other: &Face| std::ptr::eq(other.data().as_slice(), face.data().as_slice());
        let index = self.faces.iter().position(same)?;
        let font = self.handed_on[index].get_or_init(|| Font {
            name: face
                .post_script_name()
                .unwrap_or_else(|| face.info().family.replace(' ', "")),
            data: Arc::from(face.data().as_slice()),
            index: face.index(),
        });
        Some(font.clone())
    }
}
