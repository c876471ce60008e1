//! The sheet as a workbook: one page to fill in, one with the specification in words.

use book::Term;
use rust_xlsxwriter::{
    DataValidation, DataValidationErrorStyle, DataValidationRule, DocProperties, ExcelDateTime,
    Format, FormatAlign, FormatBorder, Workbook, Worksheet, XlsxError,
};

use super::SheetError;
use super::form::{self, Row};
use crate::request::Request;
use crate::specification::Heading;
use finding::capital;

/// Name of the page to fill in.
const PRICES: &str = "Prices";
/// Name of the page with the specification.
const BOOK: &str = "The book";
/// Columns for quantities that the printer proposes.
const SPARE_QUANTITIES: u16 = 1;
/// Rows for charges that were not asked for.
const SPARE_CHARGES: u32 = 3;

/// How cells look. What is to be filled in has a frame, so that nothing depends on colour.
struct Looks {
    title: Format,
    heading: Format,
    words: Format,
    fact: Format,
    fact_day: Format,
    count: Format,
    open_words: Format,
    open_count: Format,
    open_sum: Format,
    open_each: Format,
    open_day: Format,
    open_percent: Format,
}

impl Looks {
    fn new() -> Self {
        let words = Format::new().set_align(FormatAlign::Top).set_text_wrap();
        let open = Format::new().set_border(FormatBorder::Thin).set_unlocked();
        Self {
            title: Format::new().set_bold().set_font_size(14),
            heading: Format::new().set_bold(),
            fact: Format::new().set_align(FormatAlign::Left),
            fact_day: Format::new()
                .set_align(FormatAlign::Left)
                .set_num_format("d mmmm yyyy"),
            count: Format::new().set_bold().set_num_format("0"),
            words,
            open_words: open.clone().set_align(FormatAlign::Left),
            open_count: open.clone().set_num_format("0"),
            open_sum: open.clone().set_num_format("#,##0.00"),
            open_each: open.clone().set_num_format("#,##0.0000"),
            open_day: open
                .clone()
                .set_align(FormatAlign::Left)
                .set_num_format("yyyy-mm-dd"),
            open_percent: open.set_align(FormatAlign::Left).set_num_format("0.0%"),
        }
    }
}

/// The workbook of a request.
pub(super) fn workbook(request: &Request) -> Result<Vec<u8>, SheetError> {
    written(request).map_err(|error| SheetError::Unwritten(error.to_string()))
}

fn written(request: &Request) -> Result<Vec<u8>, XlsxError> {
    let looks = Looks::new();
    let mut names: Vec<(String, u32, u16)> = Vec::new();
    let mut workbook = Workbook::new();
    // The writer stamps the present moment unless told otherwise; the request has a day.
    workbook.set_properties(
        &DocProperties::new()
            .set_title(format!("Prices, {}", request.reference()))
            .set_subject(format!("Specification {}", request.digest))
            .set_creation_datetime(&day(request)?),
    );
    prices(workbook.add_worksheet(), request, &looks, &mut names)?;
    book(workbook.add_worksheet(), request, &looks)?;
    for (name, row, column) in names {
        let place = super::grid::Place {
            row,
            column: u32::from(column),
        };
        let place = place.to_string();
        let figures = place.trim_start_matches(|c: char| c.is_ascii_alphabetic());
        let letters = &place[..place.len() - figures.len()];
        workbook.define_name(name, &format!("={PRICES}!${letters}${figures}"))?;
    }
    workbook.save_to_buffer()
}

fn day(request: &Request) -> Result<ExcelDateTime, XlsxError> {
    let number = |number: i8| u8::try_from(number).unwrap_or(1);
    ExcelDateTime::from_ymd(
        u16::try_from(request.dated.year()).unwrap_or(1900),
        number(request.dated.month()),
        number(request.dated.day()),
    )
}

fn prices(
    sheet: &mut Worksheet,
    request: &Request,
    looks: &Looks,
    names: &mut Vec<(String, u32, u16)>,
) -> Result<(), XlsxError> {
    let quantities =
        u16::try_from(request.quantities.len().min(form::MOST_NUMBERED - 1)).unwrap_or(0);
    let columns = quantities.max(3) + SPARE_QUANTITIES;
    sheet.set_name(PRICES)?;
    sheet.set_column_width(0, 50)?;
    for column in 1..=columns {
        sheet.set_column_width(column, 16)?;
    }
    let title = match request.title.trim() {
        "" => "Your prices for an illustrated book".to_owned(),
        title => format!("Your prices for “{title}”"),
    };
    sheet.write_string_with_format(0, 0, title, &looks.title)?;
    for (row, words) in [
        (
            1,
            "Please fill in the framed cells that you can, and send this sheet back. All other cells are locked, without a password.",
        ),
        (
            2,
            "Sums are without sales tax, for the book on the page “The book”. Another quantity may stand in the last column.",
        ),
    ] {
        sheet.write_string_with_format(row, 0, words, &looks.fact)?;
    }

    let mut put = Rows {
        sheet,
        names,
        row: 4,
    };
    put.fact(form::REFERENCE, &request.reference(), looks)?;
    put.sheet
        .write_string_with_format(put.row, 0, "Asked on", &looks.words)?;
    put.sheet
        .write_datetime_with_format(put.row, 1, &day(request)?, &looks.fact_day)?;
    put.names.push(("asked_on".to_owned(), put.row, 1));
    put.row += 1;
    put.fact(form::SPECIFICATION, &request.digest, looks)?;
    put.row += 1;

    put.open(form::CURRENCY, &looks.open_words, looks)?;
    put.hint("Its code, such as EUR, USD or GBP; one for all prices")?;
    put.sheet
        .write_string_with_format(put.row, 0, form::QUANTITY.words, &looks.heading)?;
    for column in 1..=columns {
        let number = usize::from(column);
        match request.quantities.get(number - 1) {
            Some(copies) if column <= quantities => {
                // Quantities of a book lie far below 2^53.
                let copies = *copies as f64;
                put.sheet
                    .write_number_with_format(put.row, column, copies, &looks.count)?;
            }
            _ => {
                put.sheet.write_blank(put.row, column, &looks.open_count)?;
            }
        }
        put.names
            .push((form::QUANTITY.numbered(number), put.row, column));
    }
    put.row += 1;
    for (row, format) in [
        (form::TOTAL, &looks.open_sum),
        (form::EACH, &looks.open_each),
        (form::FREIGHT, &looks.open_sum),
    ] {
        put.sheet
            .write_string_with_format(put.row, 0, row.words, &looks.words)?;
        for column in 1..=columns {
            put.sheet.write_blank(put.row, column, format)?;
            put.names
                .push((row.numbered(usize::from(column)), put.row, column));
        }
        let hint = match row.name {
            "freight" => "A sum, or the word: included",
            _ => "A number, without the sign of a currency",
        };
        // The rule warns, and lets everything pass: what stands here is read as it stands.
        let rule = amounts(hint, row == form::FREIGHT)?;
        put.sheet
            .add_data_validation(put.row, 1, put.row, columns, &rule)?;
        put.row += 1;
    }
    put.row += 1;

    put.sheet
        .write_string_with_format(put.row, 0, form::ONCE, &looks.heading)?;
    put.row += 1;
    let asked = u32::try_from(request.one_offs.len()).unwrap_or(0);
    for index in 0..asked + SPARE_CHARGES {
        let number = index as usize + 1;
        match request.one_offs.get(index as usize) {
            Some(charge) => {
                put.sheet
                    .write_string_with_format(put.row, 0, capital(charge), &looks.words)?;
            }
            None => {
                put.sheet.write_blank(put.row, 0, &looks.open_words)?;
            }
        }
        put.names.push((form::charge_for(number), put.row, 0));
        put.sheet.write_blank(put.row, 1, &looks.open_sum)?;
        put.names.push((form::charge(number), put.row, 1));
        put.hint("A sum that is not in the prices above; 0 where you charge nothing")?;
        put.row += 1;
    }
    put.row += 1;

    put.sheet
        .write_string_with_format(put.row, 0, form::OFFER, &looks.heading)?;
    put.row += 1;
    put.open(form::TERM, &looks.open_words, looks)?;
    let codes = Term::ALL.map(|term| term.code());
    let rule = DataValidation::new()
        .allow_list_strings(&codes)?
        .set_error_style(DataValidationErrorStyle::Information);
    put.sheet
        .add_data_validation(put.row - 1, 1, put.row - 1, 1, &rule)?;
    put.open(form::PLACE, &looks.open_words, looks)?;
    put.open(form::LEAD, &looks.open_count, looks)?;
    put.open(form::VALID, &looks.open_day, looks)?;
    put.open(form::OVERS, &looks.open_percent, looks)?;
    put.open(form::UNDERS, &looks.open_percent, looks)?;
    put.open(form::PAYMENT, &looks.open_words, looks)?;
    put.open(form::DATED, &looks.open_day, looks)?;
    put.open(form::NOTE, &looks.open_words, looks)?;
    let end = put.row;
    sheet.set_selection(8, 1, 8, 1)?;
    paper(sheet, request);
    sheet.set_print_area(0, 0, end, columns)?;
    sheet.set_landscape();
    sheet.protect();
    Ok(())
}

struct Rows<'s> {
    sheet: &'s mut Worksheet,
    names: &'s mut Vec<(String, u32, u16)>,
    row: u32,
}

impl Rows<'_> {
    /// Words, and what is settled.
    fn fact(&mut self, row: Row, said: &str, looks: &Looks) -> Result<(), XlsxError> {
        self.sheet
            .write_string_with_format(self.row, 0, row.words, &looks.words)?;
        self.sheet
            .write_string_with_format(self.row, 1, said, &looks.fact)?;
        self.names.push((row.name.to_owned(), self.row, 1));
        self.row += 1;
        Ok(())
    }

    /// Words, and a cell to fill in.
    fn open(&mut self, row: Row, format: &Format, looks: &Looks) -> Result<(), XlsxError> {
        self.sheet
            .write_string_with_format(self.row, 0, row.words, &looks.words)?;
        self.sheet.write_blank(self.row, 1, format)?;
        self.names.push((row.name.to_owned(), self.row, 1));
        self.row += 1;
        Ok(())
    }

    /// A hint that shows beside the last cell or the present one when it is chosen.
    fn hint(&mut self, words: &str) -> Result<(), XlsxError> {
        let row = match self.names.last() {
            Some((_, row, _)) => *row,
            None => self.row,
        };
        let rule = DataValidation::new()
            .allow_any_value()
            .set_input_message(words)?;
        self.sheet.add_data_validation(row, 1, row, 1, &rule)?;
        Ok(())
    }
}

/// A rule for sums that only warns; where a word may stand too, it says nothing but the hint.
fn amounts(hint: &str, words_too: bool) -> Result<DataValidation, XlsxError> {
    let rule = match words_too {
        true => DataValidation::new().allow_any_value(),
        false => DataValidation::new()
            .allow_decimal_number(DataValidationRule::GreaterThanOrEqualTo(0.0))
            .set_error_style(DataValidationErrorStyle::Information)
            .set_error_message("A number is expected here; you may leave it as it is.")?,
    };
    rule.set_input_message(hint)
}

fn book(sheet: &mut Worksheet, request: &Request, looks: &Looks) -> Result<(), XlsxError> {
    sheet.set_name(BOOK)?;
    sheet.set_column_width(0, 28)?;
    sheet.set_column_width(1, 90)?;
    let title = format!("{}, specification {}", request.reference(), request.digest);
    sheet.write_string_with_format(0, 0, title, &looks.title)?;
    let mut row = 2;
    for (heading, words) in [
        (Heading::Book, "The book"),
        (Heading::Terms, "Proofs, packing and terms"),
    ] {
        let lines = request.specification.lines.iter();
        let lines: Vec<_> = lines.filter(|line| line.heading == heading).collect();
        if lines.is_empty() {
            continue;
        }
        sheet.write_string_with_format(row, 0, words, &looks.heading)?;
        row += 1;
        for line in lines {
            sheet.write_string_with_format(row, 0, line.what.as_str(), &looks.words)?;
            sheet.write_string_with_format(row, 1, line.said.as_str(), &looks.words)?;
            row += 1;
        }
        row += 1;
    }
    paper(sheet, request);
    sheet.protect();
    Ok(())
}

/// The paper of the printer's country, one page wide.
fn paper(sheet: &mut Worksheet, request: &Request) {
    // Numbers of ECMA-376 part 1, clause 18.3.1.63: 1 is Letter, 9 is A4.
    let number = match words::letter::Paper::of_country(&request.printer.country) {
        words::letter::Paper::UsLetter => 1,
        words::letter::Paper::A4 => 9,
    };
    sheet.set_paper_size(number);
    sheet.set_print_fit_to_pages(1, 0);
}
