use measure::Length;

/// What is done to the sheet where the plate stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Process {
    /// Metal or pigment foil, stamped hot.
    Foil,
    /// Gloss varnish on parts of the sheet.
    SpotVarnish,
    /// Raised, without ink.
    Emboss,
    /// Sunk, without ink.
    Deboss,
}

/// What a process holds. Editable: the finisher's own figures go before these.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// The finest line.
    pub line: Length,
    /// The finest gap.
    pub gap: Length,
    /// The largest share of a face that goes without trouble, 0 to 1.
    pub share: f64,
}

impl Process {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Foil, Self::SpotVarnish, Self::Emboss, Self::Deboss];

    /// The word for it in the book file.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Foil => "foil",
            Self::SpotVarnish => "spot varnish",
            Self::Emboss => "blind emboss",
            Self::Deboss => "blind deboss",
        }
    }

    /// The process of that word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|process| process.word() == word)
    }

    /// What the process holds, as a rule.
    ///
    /// Foil lines of 0.3 to 0.5 mm are common practice, no source; the gaps, the figures of the
    /// other processes and the shares are our assumption. Ask the finisher.
    pub fn bounds(self) -> Bounds {
        let (line, gap, share) = match self {
            Self::Foil => (300_000, 400_000, 0.3),
            Self::SpotVarnish => (350_000, 350_000, 0.6),
            Self::Emboss | Self::Deboss => (500_000, 700_000, 0.3),
        };
        Bounds {
            line: Length::from_nm(line),
            gap: Length::from_nm(gap),
            share,
        }
    }

    /// What happens where a line is finer than the process holds.
    pub(crate) const fn fine_line(self) -> &'static str {
        match self {
            Self::Foil => "breaks up or does not stick",
            Self::SpotVarnish => "runs dry or wanders off its picture",
            Self::Emboss | Self::Deboss => "is not seen in the paper",
        }
    }

    /// What happens where a gap is finer than the process holds.
    pub(crate) const fn fine_gap(self) -> &'static str {
        match self {
            Self::Foil => "is bridged by the foil",
            Self::SpotVarnish => "runs shut",
            Self::Emboss | Self::Deboss => "is pressed flat",
        }
    }
}
