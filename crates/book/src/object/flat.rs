//! Sheets laid flat: every piece that is printed beside the pages, with its panels and folds, as it
//! lies before it is folded around the book.

use measure::{Length, Rect, Size};

/// Which sheet it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FlatKind {
    /// The cover of a soft binding, with or without flaps.
    SoftCover,
    /// The covering of a case.
    CaseWrap,
    /// The endpaper at the front.
    FrontEndpaper,
    /// The endpaper at the back.
    BackEndpaper,
    /// The jacket.
    Jacket,
    /// The belly band.
    BellyBand,
    /// The covering of a slipcase: both sides and the closed edge.
    SlipcaseWrap,
    /// The covering of a slipcase's head and foot; two of them.
    SlipcaseEnds,
}

impl FlatKind {
    /// All of them.
    pub const ALL: [Self; 8] = [
        Self::SoftCover,
        Self::CaseWrap,
        Self::FrontEndpaper,
        Self::BackEndpaper,
        Self::Jacket,
        Self::BellyBand,
        Self::SlipcaseWrap,
        Self::SlipcaseEnds,
    ];

    /// What people call it: `case wrap`.
    pub const fn word(self) -> &'static str {
        match self {
            Self::SoftCover => "soft cover",
            Self::CaseWrap => "case wrap",
            Self::FrontEndpaper => "front endpaper",
            Self::BackEndpaper => "back endpaper",
            Self::Jacket => "jacket",
            Self::BellyBand => "belly band",
            Self::SlipcaseWrap => "slipcase wrap",
            Self::SlipcaseEnds => "slipcase ends",
        }
    }
}

/// What keeps bare paper from showing where a cut or a fold is a little off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Allowance {
    /// Print runs so far over the trim and is cut off.
    Bleed(Length),
    /// The outermost panels are turned in around the boards and pasted down; print runs to the cut.
    TurnIn(Length),
}

/// A face or a strip of a flat sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Panel {
    /// `front`, `spine`, `back flap` …; each stands once on its sheet.
    pub name: &'static str,
    /// Where it lies, from the top left corner of the trimmed sheet.
    pub rect: Rect,
}

/// A line along which the sheet is folded, right across it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Fold {
    /// From head to foot, so far from the left edge of the trimmed sheet.
    Upright(Length),
    /// From side to side, so far from the upper edge.
    Level(Length),
}

/// A place where no words and nothing that must be seen may stand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NoGo {
    /// Where it lies, within the trimmed sheet.
    pub rect: Rect,
    /// Why, as the end of a sentence: `turned in and pasted down`.
    pub why: &'static str,
}

/// One printed sheet as it lies flat, its printed side up, its head at the top.
///
/// Panels tile the trimmed sheet: they leave no gap and do not overlap. The grain of every sheet is
/// asked for upright, parallel to the spine.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FlatSheet {
    /// Which sheet.
    pub kind: FlatKind,
    /// How many of it a copy takes.
    pub count: u32,
    /// The sheet when it has been cut.
    pub trim: Size,
    /// Bleed or turn-in.
    pub allowance: Allowance,
    /// Its panels.
    pub panels: Vec<Panel>,
    /// Its folds.
    pub folds: Vec<Fold>,
    /// Where nothing that matters may stand.
    pub no_go: Vec<NoGo>,
}

impl FlatSheet {
    /// What people call it.
    pub const fn name(&self) -> &'static str {
        self.kind.word()
    }

    /// The trimmed sheet, from its own corner.
    pub fn trimmed(&self) -> Rect {
        Rect::new(
            Length::ZERO,
            Length::ZERO,
            self.trim.width,
            self.trim.height,
        )
    }

    /// What is printed: the trimmed sheet with its bleed, if it has one.
    pub fn printed(&self) -> Rect {
        match self.allowance {
            Allowance::Bleed(bleed) => self.trimmed().grown(bleed),
            Allowance::TurnIn(_) => self.trimmed(),
        }
    }

    /// A panel by its name.
    pub fn panel(&self, name: &str) -> Option<&Panel> {
        self.panels.iter().find(|panel| panel.name == name)
    }

    /// Columns of the sheet from left to right, each as wide as is said; those without a width are
    /// left out. There is a fold between any two.
    pub(super) fn columns(
        kind: FlatKind,
        height: Length,
        allowance: Allowance,
        columns: &[(&'static str, Length)],
    ) -> Self {
        let mut x = Length::ZERO;
        let mut panels = Vec::with_capacity(columns.len());
        let mut folds = Vec::new();
        for (name, width) in columns.iter().copied() {
            if width <= Length::ZERO {
                continue;
            }
            if x > Length::ZERO {
                folds.push(Fold::Upright(x));
            }
            panels.push(Panel {
                name,
                rect: Rect::new(x, Length::ZERO, width, height),
            });
            x += width;
        }
        Self {
            kind,
            count: 1,
            trim: Size { width: x, height },
            allowance,
            panels,
            folds,
            no_go: Vec::new(),
        }
    }

    /// Turns the sheet in on all four sides: each side gets a panel of that width.
    pub(super) fn turned_in(mut self, by: Length) -> Self {
        let faces = self.trim;
        let width = faces.width + by * 2;
        for panel in &mut self.panels {
            panel.rect = panel.rect.moved(by, by);
        }
        for fold in &mut self.folds {
            *fold = match *fold {
                Fold::Upright(x) => Fold::Upright(x + by),
                Fold::Level(y) => Fold::Level(y + by),
            };
        }
        let strips = [
            (
                "turn-in at the head",
                Rect::new(Length::ZERO, Length::ZERO, width, by),
            ),
            (
                "turn-in at the foot",
                Rect::new(Length::ZERO, by + faces.height, width, by),
            ),
            (
                "left turn-in",
                Rect::new(Length::ZERO, by, by, faces.height),
            ),
            (
                "right turn-in",
                Rect::new(by + faces.width, by, by, faces.height),
            ),
        ];
        for (name, rect) in strips {
            self.panels.push(Panel { name, rect });
            self.no_go.push(NoGo {
                rect,
                why: "turned in and pasted down",
            });
        }
        self.folds.insert(0, Fold::Upright(by));
        self.folds.push(Fold::Upright(by + faces.width));
        self.folds.push(Fold::Level(by));
        self.folds.push(Fold::Level(by + faces.height));
        self.trim = Size {
            width,
            height: faces.height + by * 2,
        };
        self.allowance = Allowance::TurnIn(by);
        self
    }

    /// Keeps clear of the fold at the left edge of a panel: so much before it, so much behind it.
    pub(super) fn clear(&mut self, panel: &str, before: Length, behind: Length, why: &'static str) {
        let Some(rect) = self.panel(panel).map(|panel| panel.rect) else {
            return;
        };
        let strip = Rect::new(rect.x - before, rect.y, before + behind, rect.height);
        if let Some(rect) = strip.shared(self.trimmed()) {
            self.no_go.push(NoGo { rect, why });
        }
    }

    /// Keeps a whole panel clear, and so much on each side of it.
    pub(super) fn clear_panel(&mut self, panel: &str, around: Length, why: &'static str) {
        let Some(rect) = self.panel(panel).map(|panel| panel.rect) else {
            return;
        };
        let strip = Rect::new(
            rect.x - around,
            rect.y,
            rect.width + around * 2,
            rect.height,
        );
        if let Some(rect) = strip.shared(self.trimmed()) {
            self.no_go.push(NoGo { rect, why });
        }
    }
}
