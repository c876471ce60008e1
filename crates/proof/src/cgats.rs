//! Measurements as CGATS.17 text, the form in which instruments' programs hand them over; sets of
//! the same form that open profile makers write (`.ti3`) are read too.

use std::fmt::Write;

use colour::Lab;

use crate::lab::from_xyz;
use crate::{Mark, ProofError};

/// Keyword that carries the strip's mark.
pub const MARK: &str = "FOREDGE_MARK";

/// A measurement file as it was read.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Cgats {
    /// Keywords and their values, in the file's order.
    pub keywords: Vec<(String, String)>,
    /// One a line of data.
    pub rows: Vec<Row>,
    /// Whether the file wrote its decimals with a comma.
    pub decimal_comma: bool,
}

/// One patch as measured.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Line of the file, from 1.
    pub line: usize,
    /// SAMPLE_ID.
    pub id: Option<String>,
    /// SAMPLE_NAME or SAMPLE_LOC.
    pub name: Option<String>,
    /// Inks in percent.
    pub ink: Option<[f64; 4]>,
    /// Measured colour, absolute, D50.
    pub lab: Lab,
}

impl Cgats {
    /// A keyword's value.
    pub fn keyword(&self, name: &str) -> Option<&str> {
        self.keywords
            .iter()
            .find(|(keyword, _)| keyword.eq_ignore_ascii_case(name))
            .map(|(_, value)| value.as_str())
    }

    /// The strip's mark, where the file carries it (keyword `FOREDGE_MARK`).
    ///
    /// # Errors
    /// The keyword is there, but its value is no mark.
    pub fn mark(&self) -> Result<Option<Mark>, ProofError> {
        self.keyword(MARK).map(Mark::parse).transpose()
    }
}

/// Reads a measurement: one table with Lab or XYZ columns, D50 and 2°.
///
/// Lab is taken where both are there. Decimals may be written with a comma if all of them are.
/// Text that is not UTF-8 may be decoded with loss before: only words suffer.
///
/// # Errors
/// Says the line, what was expected and what was found.
pub fn read(text: &str) -> Result<Cgats, ProofError> {
    let text = text.trim_start_matches('\u{feff}');
    let mut reader = Reader::default();
    // A lone carriage return ends a line too.
    for (i, line) in text.replace("\r\n", "\n").split(['\n', '\r']).enumerate() {
        reader.line(i + 1, line)?;
    }
    reader.finish()
}

/// Writes a measurement that [`read`] gives back, to three decimals.
pub fn write(cgats: &Cgats) -> String {
    let mut text = String::from("CGATS.17\n");
    let standard = ["ORIGINATOR", "DESCRIPTOR", "FILE_DESCRIPTOR", "CREATED"];
    for (keyword, value) in &cgats.keywords {
        let keyword = clean(keyword).replace(' ', "_");
        if !standard.contains(&keyword.as_str()) {
            let _ = writeln!(text, "KEYWORD \"{keyword}\"");
        }
        let _ = writeln!(text, "{keyword} \"{}\"", clean(value));
    }
    let has = |wanted: fn(&Row) -> bool| !cgats.rows.is_empty() && cgats.rows.iter().all(wanted);
    let ids = has(|row| row.id.is_some());
    let names = has(|row| row.name.is_some());
    let inks = has(|row| row.ink.is_some());
    let mut fields = Vec::new();
    if ids {
        fields.push("SAMPLE_ID");
    }
    if names {
        fields.push("SAMPLE_NAME");
    }
    if inks {
        fields.extend(INK);
    }
    fields.extend(LAB);
    let _ = writeln!(text, "NUMBER_OF_FIELDS {}", fields.len());
    let _ = writeln!(text, "BEGIN_DATA_FORMAT\n{}", fields.join(" "));
    let _ = writeln!(text, "END_DATA_FORMAT");
    let _ = writeln!(text, "NUMBER_OF_SETS {}\nBEGIN_DATA", cgats.rows.len());
    for row in &cgats.rows {
        let mut parts = Vec::new();
        if ids {
            parts.extend(row.id.as_deref().map(quoted));
        }
        if names {
            parts.extend(row.name.as_deref().map(quoted));
        }
        if inks {
            parts.extend(row.ink.iter().flatten().map(|ink| format!("{ink:.3}")));
        }
        parts.extend([row.lab.l, row.lab.a, row.lab.b].map(|value| format!("{value:.3}")));
        let _ = writeln!(text, "{}", parts.join(" "));
    }
    text.push_str("END_DATA\n");
    text
}

const INK: [&str; 4] = ["CMYK_C", "CMYK_M", "CMYK_Y", "CMYK_K"];
const LAB: [&str; 3] = ["LAB_L", "LAB_A", "LAB_B"];
const XYZ: [&str; 3] = ["XYZ_X", "XYZ_Y", "XYZ_Z"];

/// Text that can stand between quotation marks on one line.
fn clean(text: &str) -> String {
    text.chars()
        .map(|c| if c == '"' { '\'' } else { c })
        .filter(|c| !c.is_control())
        .collect()
}

fn quoted(text: &str) -> String {
    let plain = !text.is_empty()
        && text
            .chars()
            .all(|c| c.is_ascii_alphanumeric() || "._-".contains(c));
    if plain {
        text.into()
    } else {
        format!("\"{}\"", clean(text))
    }
}

/// What the next line belongs to.
#[derive(Default, PartialEq)]
enum Part {
    #[default]
    Header,
    Format,
    Data,
    After,
}

#[derive(Default)]
struct Reader {
    part: Part,
    keywords: Vec<(String, String)>,
    fields: Vec<String>,
    columns: Option<Columns>,
    stated_fields: Option<(usize, usize)>,
    stated_sets: Option<(usize, usize)>,
    rows: Vec<Row>,
    /// First lines on which a decimal point and a decimal comma were seen.
    point: Option<usize>,
    comma: Option<usize>,
    /// Greatest Y of XYZ, which tells their scale.
    brightest: f64,
}

/// Where the wanted columns are.
struct Columns {
    id: Option<usize>,
    name: Option<usize>,
    ink: Option<[usize; 4]>,
    colour: [usize; 3],
    is_lab: bool,
}

fn at(line: usize, what: impl Into<String>) -> ProofError {
    ProofError::Line {
        line,
        what: what.into(),
    }
}

impl Reader {
    fn line(&mut self, number: usize, line: &str) -> Result<(), ProofError> {
        let words = words(line);
        let Some(first) = words.first() else {
            return Ok(());
        };
        let begins_table = matches!(first.as_str(), "BEGIN_DATA" | "BEGIN_DATA_FORMAT");
        match self.part {
            Part::Header if first == "BEGIN_DATA_FORMAT" => {
                if self.columns.is_some() {
                    return Err(at(
                        number,
                        "expected BEGIN_DATA, but the columns come again",
                    ));
                }
                self.part = Part::Format;
                self.format(number, &words[1..])
            }
            Part::Header if first == "BEGIN_DATA" => {
                if self.columns.is_none() {
                    return Err(at(
                        number,
                        "the data begin, but no BEGIN_DATA_FORMAT has named their columns",
                    ));
                }
                self.part = Part::Data;
                Ok(())
            }
            Part::Header => self.header(number, first, &words[1..]),
            Part::Format => self.format(number, &words),
            Part::Data if first == "END_DATA" => {
                self.part = Part::After;
                Ok(())
            }
            Part::Data => self.row(number, &words),
            Part::After if begins_table => Err(at(
                number,
                "a second table begins; expected one table with the strip alone",
            )),
            Part::After => Ok(()),
        }
    }

    fn header(&mut self, number: usize, first: &str, rest: &[String]) -> Result<(), ProofError> {
        let count = || {
            rest.first()
                .and_then(|word| word.parse::<usize>().ok())
                .ok_or_else(|| at(number, format!("expected a whole number after {first}")))
        };
        match first {
            // The first line's own name, and declarations of keywords, say nothing.
            "KEYWORD" => {}
            _ if rest.is_empty() => {}
            "NUMBER_OF_FIELDS" => self.stated_fields = Some((number, count()?)),
            "NUMBER_OF_SETS" => self.stated_sets = Some((number, count()?)),
            _ => {
                let value = rest.join(" ");
                check_viewing(number, first, &value)?;
                self.keywords.push((first.into(), value));
            }
        }
        Ok(())
    }

    fn format(&mut self, number: usize, words: &[String]) -> Result<(), ProofError> {
        for word in words {
            if word == "END_DATA_FORMAT" {
                self.part = Part::Header;
                if let Some((line, stated)) = self.stated_fields
                    && stated != self.fields.len()
                {
                    let found = self.fields.len();
                    return Err(at(
                        line,
                        format!("NUMBER_OF_FIELDS says {stated}, but {found} columns are named"),
                    ));
                }
                self.columns = Some(Columns::of(number, &self.fields)?);
                return Ok(());
            }
            let field = word.to_ascii_uppercase();
            if self.fields.contains(&field) {
                return Err(at(number, format!("the column `{field}` is named twice")));
            }
            self.fields.push(field);
        }
        Ok(())
    }

    fn row(&mut self, number: usize, words: &[String]) -> Result<(), ProofError> {
        // Taken out for the while, so that numbers can note how they were written.
        let Some(columns) = self.columns.take() else {
            return Err(at(number, "data before their columns were named"));
        };
        if words.len() != self.fields.len() {
            let hint = if words.len() == 1 && words[0].matches([',', ';']).count() > 1 {
                "; values must be parted by spaces or tabs"
            } else {
                ""
            };
            return Err(at(
                number,
                format!(
                    "expected {} values, one a column, but found {}{hint}",
                    self.fields.len(),
                    words.len()
                ),
            ));
        }
        let mut read = |column: usize| self.number(number, column, &words[column]);
        let ink = match columns.ink {
            Some(inks) => {
                let mut ink = [0.0; 4];
                for (ink, column) in ink.iter_mut().zip(inks) {
                    *ink = read(column)?;
                    if !(-0.5..=100.5).contains(ink) {
                        return Err(at(
                            number,
                            format!("ink must be 0 to 100 percent, but is {ink}"),
                        ));
                    }
                }
                Some(ink)
            }
            None => None,
        };
        let mut colour = [0.0; 3];
        for (value, column) in colour.iter_mut().zip(columns.colour) {
            *value = read(column)?;
        }
        let lab = if columns.is_lab {
            let [l, a, b] = colour;
            Lab { l, a, b }
        } else {
            self.brightest = self.brightest.max(colour[1]);
            from_xyz(colour.map(|value| value / 100.0))
        };
        let possible = (-5.0..=120.0).contains(&lab.l)
            && [lab.a, lab.b].iter().all(|v| (-200.0..=200.0).contains(v));
        if !possible {
            return Err(at(
                number,
                format!(
                    "no printed colour is L* {:.1}, a* {:.1}, b* {:.1}",
                    lab.l, lab.a, lab.b
                ),
            ));
        }
        self.rows.push(Row {
            line: number,
            id: columns.id.map(|column| words[column].clone()),
            name: columns.name.map(|column| words[column].clone()),
            ink,
            lab,
        });
        self.columns = Some(columns);
        Ok(())
    }

    fn number(&mut self, line: usize, column: usize, word: &str) -> Result<f64, ProofError> {
        let (points, commas) = (word.matches('.').count(), word.matches(',').count());
        if points > 0 {
            self.point.get_or_insert(line);
        }
        if commas > 0 {
            self.comma.get_or_insert(line);
        }
        let plain = word
            .chars()
            .all(|c| c.is_ascii_digit() || "+-.,eE".contains(c));
        let value = (plain && points + commas <= 1)
            .then(|| word.replace(',', ".").parse::<f64>().ok())
            .flatten()
            .filter(|value| value.is_finite());
        value.ok_or_else(|| {
            let field = &self.fields[column];
            let word: String = word.chars().take(40).collect();
            at(
                line,
                format!("expected a number for {field}, but found `{word}`"),
            )
        })
    }

    fn finish(self) -> Result<Cgats, ProofError> {
        let file = |what: &str| Err(ProofError::File(what.into()));
        match self.part {
            Part::Header if self.columns.is_none() => {
                return file(
                    "expected CGATS text with a line BEGIN_DATA_FORMAT, but there is none",
                );
            }
            Part::Format => return file("END_DATA_FORMAT is missing; the file was probably cut"),
            Part::Header => return file("BEGIN_DATA is missing; the file was probably cut"),
            Part::Data => return file("END_DATA is missing; the file was probably cut"),
            Part::After => {}
        }
        if let Some((line, stated)) = self.stated_sets
            && stated != self.rows.len()
        {
            return Err(at(
                line,
                format!(
                    "NUMBER_OF_SETS says {stated}, but {} lines of data are there",
                    self.rows.len()
                ),
            ));
        }
        if self.rows.is_empty() {
            return file("it holds no measured patch");
        }
        if let (Some(point), Some(comma)) = (self.point, self.comma) {
            return Err(at(
                point.max(comma),
                format!(
                    "decimals are written with a comma on line {comma} and with a point on line \
                     {point}; write them one way"
                ),
            ));
        }
        let is_lab = self.columns.is_some_and(|columns| columns.is_lab);
        if !is_lab && self.brightest < 1.5 {
            return file(&format!(
                "XYZ should run to about 100, but Y is {:.3} at most",
                self.brightest
            ));
        }
        Ok(Cgats {
            keywords: self.keywords,
            rows: self.rows,
            decimal_comma: self.comma.is_some(),
        })
    }
}

impl Columns {
    fn of(line: usize, fields: &[String]) -> Result<Self, ProofError> {
        let find = |wanted: &[&str]| {
            wanted
                .iter()
                .find_map(|name| fields.iter().position(|field| field == name))
        };
        let all = |wanted: &[&str]| -> Option<Vec<usize>> {
            wanted.iter().map(|name| find(&[name])).collect()
        };
        let three = |wanted| all(wanted).and_then(|found| <[usize; 3]>::try_from(found).ok());
        let (colour, is_lab) = match (three(&LAB), three(&XYZ)) {
            (Some(lab), _) => (lab, true),
            (None, Some(xyz)) => (xyz, false),
            (None, None) => return Err(at(line, no_colour(fields))),
        };
        Ok(Self {
            id: find(&["SAMPLE_ID", "SAMPLEID"]),
            name: find(&["SAMPLE_NAME", "SAMPLENAME", "SAMPLE_LOC"]),
            ink: all(&INK).and_then(|found| <[usize; 4]>::try_from(found).ok()),
            colour,
            is_lab,
        })
    }
}

/// Why columns hold no colour that can be used.
fn no_colour(fields: &[String]) -> String {
    let some: Vec<&str> = LAB
        .into_iter()
        .filter(|name| fields.iter().any(|field| field == name))
        .collect();
    if !some.is_empty() {
        return format!(
            "expected the columns LAB_L, LAB_A and LAB_B, but found only {}",
            some.join(" and ")
        );
    }
    let spectral = fields.iter().any(|field| {
        ["SPECTRAL", "NM", "SPEC_"]
            .iter()
            .any(|start| field.starts_with(start))
    });
    let hint = if spectral {
        "; it holds spectra: save the measurement with Lab, D50 and 2°"
    } else {
        ""
    };
    format!(
        "expected the columns LAB_L, LAB_A, LAB_B or XYZ_X, XYZ_Y, XYZ_Z, but found neither{hint}"
    )
}

/// Colours for other light or another observer cannot be compared.
fn check_viewing(line: usize, keyword: &str, value: &str) -> Result<(), ProofError> {
    let keyword = keyword.to_ascii_uppercase();
    let value = value.to_ascii_uppercase();
    if ["ILLUMINANT", "WEIGHTING_FUNCTION"].contains(&keyword.as_str())
        && let Some(other) = ["D55", "D65", "D75"].iter().find(|d| value.contains(*d))
    {
        return Err(at(
            line,
            format!("expected colours under D50, but these are under {other}"),
        ));
    }
    if keyword == "OBSERVER" && value.contains("10") {
        return Err(at(
            line,
            "expected colours for the 2° observer, but these are for 10°",
        ));
    }
    Ok(())
}

/// A line's words; `"…"` is one word (to the end of the line if it is never closed, since only
/// remarks hold such), `#` begins a comment.
fn words(line: &str) -> Vec<String> {
    let mut words = Vec::new();
    let mut rest = line.trim_start();
    while let Some(first) = rest.chars().next() {
        match first {
            '#' => break,
            '"' => {
                let (word, after) = rest[1..].split_once('"').unwrap_or((&rest[1..], ""));
                words.push(word.to_owned());
                rest = after;
            }
            _ => {
                let end = rest.find(|c: char| c.is_whitespace()).unwrap_or(rest.len());
                words.push(rest[..end].to_owned());
                rest = &rest[end..];
            }
        }
        rest = rest.trim_start();
    }
    words
}
