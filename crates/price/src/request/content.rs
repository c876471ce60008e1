//! What a request says, part by part.

use finding::capital;
use words::letter::{Part, Table};

use super::Request;
use super::phrase::{copies, count, date, language, one_line};
use crate::specification::{Heading, Line, listed, percent};

impl Request {
    /// What it is about, in one line.
    pub(super) fn subject(&self) -> String {
        let book = match self.title.as_str() {
            "" => "an illustrated book".to_owned(),
            title => format!("“{}”", one_line(title)),
        };
        match self.quantities.as_slice() {
            [] => format!("Request for prices: {book}"),
            _ => format!("Request for prices: {book}, {}", self.all_quantities()),
        }
    }

    /// `550, 800 and 1050 copies`.
    fn all_quantities(&self) -> String {
        match self.quantities.as_slice() {
            [single] => copies(*single),
            all => {
                let counts: Vec<String> = all.iter().map(|&quantity| count(quantity)).collect();
                let counts: Vec<&str> = counts.iter().map(String::as_str).collect();
                format!("{} copies", listed(&counts))
            }
        }
    }

    pub(super) fn addressee(&self) -> Vec<String> {
        let printer = &self.printer;
        let town = match (printer.place.as_str(), printer.country.as_str()) {
            ("", country) => country.to_owned(),
            (place, "") => place.to_owned(),
            (place, country) => format!("{place}, {country}"),
        };
        [self.name(), one_line(&town), one_line(&printer.email)]
            .into_iter()
            .filter(|line| !line.is_empty())
            .collect()
    }

    /// What the printer is called.
    fn name(&self) -> String {
        match one_line(&self.printer.name) {
            name if name.is_empty() => self.printer.key.clone(),
            name => name,
        }
    }

    pub(super) fn particulars(&self) -> Vec<(String, String)> {
        let mut particulars = vec![
            ("Date".to_owned(), date(self.dated)),
            ("Reference".to_owned(), self.reference()),
            ("Specification".to_owned(), self.digest.clone()),
        ];
        if let Some(day) = self.ask.answer_by {
            particulars.push(("Answer by".to_owned(), date(day)));
        }
        particulars
    }

    pub(super) fn parts(&self) -> Vec<Part> {
        let mut parts = vec![
            paragraph(&format!("Dear {},", self.name())),
            Part::Paragraph(self.opening()),
            heading("The book"),
            Part::Facts(self.lines(|line| line.heading == Heading::Book)),
        ];
        let terms = self.lines(|line| line.heading == Heading::Terms);
        if !terms.is_empty() {
            parts.push(heading("Proofs, packing and terms"));
            parts.push(Part::Facts(terms));
        }
        parts.extend(self.prices());
        parts.extend(self.files());
        parts.push(heading("Please tell me also"));
        parts.push(Part::Numbered(self.questions()));
        parts.push(heading("Which book your prices are for"));
        parts.push(Part::Paragraph(format!(
            "The description of this book has the mark {}. It was reckoned from the lines under “The \
             book”, without the title and what only follows from other lines, and becomes another as \
             soon as one of them changes. Please repeat the reference {} in your answer, so that both \
             of us can tell later whether your prices are for the book as it then is.",
            self.digest,
            self.reference()
        )));
        parts.push(paragraph("With thanks and kind regards,"));
        parts.push(Part::Signature(self.signature()));
        parts
    }

    fn opening(&self) -> String {
        let mut words = match self.quantities.as_slice() {
            [] => "I am preparing the book described here for print and ask for your prices, for \
                   three quantities that suit your presses."
                .to_owned(),
            _ => format!(
                "I am preparing the book described here for print and ask for your prices for {}.",
                self.all_quantities()
            ),
        };
        if let Some(wish) = self
            .ask
            .copies
            .filter(|wish| self.quantities.len() > 1 && self.quantities.contains(wish))
        {
            words.push_str(&format!(
                " My wish is {}; the other quantities show me how the price moves.",
                copies(wish)
            ));
        }
        words.push_str(
            " Please price it as it stands; what you would make otherwise is welcome as a second \
             price beside the first.",
        );
        if let Some(day) = self.ask.answer_by {
            words.push_str(&format!(" I hope for your answer by {}.", date(day)));
        }
        let tongue = match self.printer.language.trim() {
            "" => None,
            tag => match language(tag) {
                Some("English") => None,
                Some(name) => Some(name.to_owned()),
                None => Some(format!("your own language ({})", one_line(tag))),
            },
        };
        if let Some(tongue) = tongue {
            words.push_str(&format!(
                " This letter is in English; an answer in {tongue} is as welcome."
            ));
        }
        words
    }

    fn lines(&self, wanted: impl Fn(&Line) -> bool) -> Vec<(String, String)> {
        let lines = self.specification.lines.iter();
        lines
            .filter(|line| wanted(line))
            .map(|line| (line.what.clone(), line.said.clone()))
            .collect()
    }

    fn prices(&self) -> Vec<Part> {
        let mut head = vec!["For the whole quantity".to_owned()];
        match self.quantities.as_slice() {
            [] => head.extend(std::iter::repeat_n("______ copies".to_owned(), 3)),
            all => head.extend(all.iter().map(|&quantity| copies(quantity))),
        }
        let blank = head.len() - 1;
        let row = |what: String| {
            let mut cells = vec![what];
            cells.extend(std::iter::repeat_n(String::new(), blank));
            cells
        };
        let mut rows = vec![row("Printed, bound and packed as described".to_owned())];
        let term = self
            .ask
            .term
            .map_or_else(String::new, |term| format!("{} ", term.code()));
        match self.deliveries.as_slice() {
            [] => rows.push(row("Freight, with the place that it reaches".to_owned())),
            all => rows.extend(all.iter().map(|delivery| {
                row(format!(
                    "Freight, {term}{} ({} of the copies)",
                    one_line(&delivery.place),
                    percent(delivery.share)
                ))
            })),
        }
        rows.push(row("Each further hundred in the same run".to_owned()));
        let once = self
            .one_offs
            .iter()
            .map(|charge| vec![capital(charge), String::new()]);
        let blanks = [
            "Currency of all prices",
            "Prices hold until",
            "Working days from approved proofs to dispatch",
            "Copies in a carton, and its weight",
        ];
        vec![
            heading("Prices"),
            paragraph(
                "Please name prices for the whole quantity, all in one currency and without sales tax. Freight stands on its own \
                 line, so that carriers can be compared. The sheet that comes with this letter has \
                 cells for these sums, and a note for what it has no cell for; whichever suits you is welcome.",
            ),
            Part::Table(Table { head, rows }),
            paragraph(
                "Charges that arise once, whatever the quantity, and are not in the prices above; please \
                 write 0 for one that you do not make:",
            ),
            Part::Table(Table {
                head: vec!["Charged once".to_owned(), "Price".to_owned()],
                rows: once.collect(),
            }),
            Part::Table(Table {
                head: vec!["Of your offer".to_owned(), "Your answer".to_owned()],
                rows: blanks
                    .iter()
                    .map(|blank| vec![(*blank).to_owned(), String::new()])
                    .collect(),
            }),
        ]
    }

    fn files(&self) -> Vec<Part> {
        let mut words = format!(
            "You will get press files to PDF/X-4: one for the pages, single and in reading order, and \
             one for each flat sheet that carries print. All run {} over the trim, all type is embedded, \
             and total ink is held to what the paper bears. The places of folds, hinges and turned-in \
             edges come as a measured drawing beside the files, for you to check against your own make-up.",
            self.bleed.to_string().replace(' ', "\u{a0}")
        );
        match self.plates.len() {
            0 => {}
            1 => words.push_str(
                " The finishing is a separation of its own that overprints, named as its plate:",
            ),
            _ => words.push_str(
                " Each finishing is a separation of its own that overprints, named as its plate:",
            ),
        }
        let mut parts = vec![heading("Files to come"), Part::Paragraph(words)];
        if !self.plates.is_empty() {
            parts.push(Part::Facts(
                self.plates
                    .iter()
                    .map(|plate| (plate.name.clone(), plate.what.clone()))
                    .collect(),
            ));
        }
        parts
    }

    /// What a printer knows and a specification cannot say; common practice, no source.
    fn questions(&self) -> Vec<String> {
        let has = |key| self.specification.line(key).is_some();
        let grain = match (has("boards"), has("front-endpaper")) {
            (true, _) => "text paper, endpapers and boards",
            (false, true) => "text paper, endpapers and cover",
            (false, false) => "text paper and cover",
        };
        let grain = format!(
            "Grain: does it run parallel to the spine in {grain}? If not in one of them, in which, and \
             what would it cost to have it so?"
        );
        let mut questions = vec![
            grain.as_str(),
            "Paper: which of the stocks named here do you hold, and what would you take in place of the \
             others? Please send a sample sheet of each.",
            "Sheet: on which press and sheet size would you print, and how many pages stand on one side? \
             Would a slightly other size or number of pages fill the sheet better, and what would it save?",
            "Colour: to which printing condition does your press room hold, and how are your colour proofs \
             made and judged?",
            "Work outside your house: which parts would others do for you, and where?",
            "Quantity: how many copies over or under the order must be put up with, and at what price are \
             copies over it billed?",
            "Changes: what does a new plate cost once proofs are approved, and what an hour of work on our \
             files?",
            "Time: when would you need the files to keep the days you name, and which weeks are taken?",
            "Afterwards: how long do you keep plates, dies and files, and what would a reprint of the same \
             quantity cost?",
            "What would you do otherwise, in materials, make-up or order of work, if the book were yours?",
        ];
        if !self.plates.is_empty() {
            questions.insert(
                4,
                "Finishings: what are the finest line and the narrowest gap that you hold, and how far may \
                 a finishing stand off the print below it?",
            );
        }
        if !self.printer.home {
            questions.insert(
                questions.len() - 1,
                "The way here: under which delivery term of Incoterms 2020 and to which named place do your \
                 prices hold, who clears customs on each side, under which tariff number, and what is then \
                 left for me to pay?",
            );
        }
        questions.into_iter().map(str::to_owned).collect()
    }

    /// The first line of the sender, or the author of the book.
    fn signature(&self) -> String {
        let from = super::phrase::address(&self.ask.from);
        from.first()
            .cloned()
            .unwrap_or_else(|| one_line(&self.author))
    }
}

fn heading(words: &str) -> Part {
    Part::Heading(words.to_owned())
}

fn paragraph(words: &str) -> Part {
    Part::Paragraph(words.to_owned())
}
