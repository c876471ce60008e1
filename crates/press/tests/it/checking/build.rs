//! A PDF written by hand, in the fewest bytes that show a behaviour.

/// One page of 100 × 80 mm with 3 mm of bleed, unless told otherwise. Lengths here are points.
pub const TRIM: [f64; 4] = [8.5, 8.5, 291.965, 235.272];
/// Its bleed box, and the sheet.
pub const SHEET: [f64; 4] = [0.0, 0.0, 300.472, 243.78];

/// A file being put together: objects with their numbers, as text.
#[derive(Clone)]
pub struct Pdf {
    objects: Vec<(u32, Vec<u8>)>,
    pub trailer: String,
}

impl Pdf {
    /// A file with the given objects and no more.
    pub fn of(objects: &[(u32, &str)]) -> Self {
        Self {
            objects: objects
                .iter()
                .map(|(number, text)| (*number, text.as_bytes().to_vec()))
                .collect(),
            trailer: "/Root 1 0 R".to_owned(),
        }
    }

    /// A sound file of one page: object 4 is its contents, `resources` go into its resources.
    pub fn page(content: &str, resources: &str) -> Self {
        Self::page_with(content, resources, "")
    }

    /// The same with more in the page's dictionary; what stands there counts before the usual.
    pub fn page_with(content: &str, resources: &str, more: &str) -> Self {
        let list = |numbers: [f64; 4]| numbers.map(|n| n.to_string()).join(" ");
        let (sheet, trim) = (list(SHEET), list(TRIM));
        let profile = profile(b"CMYK");
        let mut pdf = Self::of(&[
            (
                1,
                "<< /Type /Catalog /Pages 2 0 R /Metadata 6 0 R /OutputIntents [<< /S /GTS_PDFX \
                 /OutputConditionIdentifier (FOGRA39) /DestOutputProfile 5 0 R >>] >>",
            ),
            (2, "<< /Type /Pages /Kids [3 0 R] /Count 1 >>"),
            (
                3,
                &format!(
                    "<< /Type /Page /Parent 2 0 R /MediaBox [{sheet}] /BleedBox [{sheet}] /TrimBox \
                     [{trim}] /Contents 4 0 R /Resources << {resources} >> {more} >>"
                ),
            ),
        ]);
        pdf.stream(4, "", content.as_bytes());
        pdf.stream(5, "/N 4", &profile);
        pdf.stream(
            6,
            "/Type /Metadata /Subtype /XML",
            br#"<x pdfxid:GTS_PDFXVersion="PDF/X-4" pdf:Trapped="False"/>"#,
        );
        pdf.trailer += " /ID [<01> <02>]";
        pdf
    }

    pub fn object(&mut self, number: u32, text: &str) -> &mut Self {
        self.objects.retain(|(other, _)| *other != number);
        self.objects.push((number, text.as_bytes().to_vec()));
        self
    }

    pub fn stream(&mut self, number: u32, entries: &str, data: &[u8]) -> &mut Self {
        let mut bytes = format!("<< {entries} /Length {} >>\nstream\n", data.len()).into_bytes();
        bytes.extend_from_slice(data);
        bytes.extend_from_slice(b"\nendstream");
        self.objects.retain(|(other, _)| *other != number);
        self.objects.push((number, bytes));
        self
    }

    /// The file, with a plain table.
    pub fn bytes(&self) -> Vec<u8> {
        let mut out = b"%PDF-1.6\n%\xE2\xE3\xCF\xD3\n".to_vec();
        let mut places = Vec::new();
        for (number, text) in &self.objects {
            places.push((*number, out.len()));
            out.extend_from_slice(format!("{number} 0 obj\n").as_bytes());
            out.extend_from_slice(text);
            out.extend_from_slice(b"\nendobj\n");
        }
        let table = out.len();
        out.extend_from_slice(b"xref\n");
        for (number, place) in places {
            out.extend_from_slice(format!("{number} 1\n{place:010} 00000 n \n").as_bytes());
        }
        let trailer = &self.trailer;
        out.extend_from_slice(
            format!("trailer\n<< /Size 100 {trailer} >>\nstartxref\n{table}\n%%EOF\n").as_bytes(),
        );
        out
    }

    /// The same file with all that is no stream packed into one stream, and its table in another.
    pub fn packed(&self) -> Vec<u8> {
        let mut out = b"%PDF-1.6\n".to_vec();
        let mut rows: Vec<(u32, [u32; 3])> = Vec::new();
        let (mut head, mut body) = (String::new(), String::new());
        let mut index = 0;
        for (number, text) in &self.objects {
            if text.ends_with(b"endstream") {
                rows.push((*number, [1, out.len() as u32, 0]));
                out.extend_from_slice(format!("{number} 0 obj\n").as_bytes());
                out.extend_from_slice(text);
                out.extend_from_slice(b"\nendobj\n");
            } else {
                head += &format!("{number} {} ", body.len());
                body += std::str::from_utf8(text).unwrap();
                body.push('\n');
                rows.push((*number, [2, 90, index]));
                index += 1;
            }
        }
        let data = deflate(format!("{head}{body}").as_bytes());
        rows.push((90, [1, out.len() as u32, 0]));
        out.extend_from_slice(
            format!(
                "90 0 obj\n<< /Type /ObjStm /N {index} /First {} /Filter /FlateDecode /Length {} \
                 >>\nstream\n",
                head.len(),
                data.len()
            )
            .as_bytes(),
        );
        out.extend_from_slice(&data);
        out.extend_from_slice(b"\nendstream\nendobj\n");
        let place = out.len() as u32;
        rows.push((91, [1, place, 0]));
        let list: String = rows
            .iter()
            .map(|(number, _)| format!("{number} 1 "))
            .collect();
        // Each row with the filter `up` of PNG, as writers do.
        let mut above = [0_u8; 6];
        let mut table = Vec::new();
        for (_, [kind, second, third]) in &rows {
            let mut row = [0; 6];
            row[0] = *kind as u8;
            row[1..5].copy_from_slice(&second.to_be_bytes());
            row[5] = *third as u8;
            table.push(2);
            table.extend((0..6).map(|at| row[at].wrapping_sub(above[at])));
            above = row;
        }
        let table = deflate(&table);
        out.extend_from_slice(
            format!(
                "91 0 obj\n<< /Type /XRef /Size 100 /W [1 4 1] /Index [{list}] /Filter /FlateDecode \
                 /DecodeParms << /Predictor 12 /Columns 6 >> {} /Length {} >>\nstream\n",
                self.trailer,
                table.len()
            )
            .as_bytes(),
        );
        out.extend_from_slice(&table);
        out.extend_from_slice(
            format!("\nendstream\nendobj\nstartxref\n{place}\n%%EOF\n").as_bytes(),
        );
        out
    }
}

pub fn deflate(bytes: &[u8]) -> Vec<u8> {
    use std::io::Write;
    let mut packer = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::fast());
    packer.write_all(bytes).unwrap();
    packer.finish().unwrap()
}

/// The header of an output profile, which is all that a check asks for.
pub fn profile(space: &[u8; 4]) -> Vec<u8> {
    let mut profile = vec![0; 132];
    profile[3] = 132;
    profile[12..16].copy_from_slice(b"prtr");
    profile[16..20].copy_from_slice(space);
    profile[36..40].copy_from_slice(b"acsp");
    profile
}
