//! What a file says of itself, in Info and in the packet of metadata (XMP, ISO 16684-1) that
//! PDF/X-4 is recognised by.

use std::io::{self, Write};

use book::object::FlatKind;
use pdf_writer::types::TrappingStatus;
use pdf_writer::{Name, Ref, TextStr};

use super::file::{Data, File};
use super::moment::Moment;
use super::{Facts, FileKind};

/// The program that Info and XMP name.
const PRODUCER: &str = concat!("Foredge ", env!("CARGO_PKG_VERSION"));

/// What a file is built to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Standard {
    /// A press file.
    PdfX4,
    /// A document to be read.
    Plain,
}

/// What Info and XMP say, one wording for both.
#[derive(Debug, Clone)]
pub(super) struct About {
    title: String,
    author: String,
    subject: String,
    language: String,
    id: [u8; 16],
    moment: Moment,
    standard: Standard,
}

impl About {
    /// Of a press file.
    pub(super) fn press(facts: &Facts, moment: Moment) -> Self {
        let title = titled(&facts.title);
        Self {
            title: match facts.kind {
                FileKind::Interior => title,
                FileKind::Sheet(sheet) => format!("{title} ({})", piece(sheet)),
                FileKind::Proof => format!("{title} (proof)"),
            },
            author: plain(&facts.author),
            subject: String::new(),
            language: plain(&facts.language),
            id: facts.id,
            moment,
            standard: Standard::PdfX4,
        }
    }

    /// Of a document to be read.
    pub(super) fn document(facts: &super::document::Facts, moment: Moment) -> Self {
        Self {
            title: titled(&facts.title),
            author: plain(&facts.author),
            subject: plain(&facts.subject),
            language: plain(&facts.language),
            id: facts.id,
            moment,
            standard: Standard::Plain,
        }
    }

    /// The language, empty if it is not known.
    pub(super) fn language(&self) -> &str {
        &self.language
    }

    /// The bytes that name this version.
    pub(super) const fn id(&self) -> &[u8; 16] {
        &self.id
    }

    /// Writes the packet and Info; gives their numbers, in this order.
    pub(super) fn write<W: Write>(&self, file: &mut File<W>) -> io::Result<(Ref, Ref)> {
        let metadata = file.reserve();
        file.stream(metadata, Data::Bytes(self.packet().as_bytes()), |dict| {
            dict.pair(Name(b"Type"), Name(b"Metadata"));
            dict.pair(Name(b"Subtype"), Name(b"XML"));
        })?;
        let info = file.reserve();
        file.object(info, |chunk| {
            let mut out = chunk
                .indirect(info)
                .start::<pdf_writer::writers::DocumentInfo<'_>>();
            out.title(TextStr(&self.title));
            if !self.author.is_empty() {
                out.author(TextStr(&self.author));
            }
            if !self.subject.is_empty() {
                out.subject(TextStr(&self.subject));
            }
            out.creator(TextStr(PRODUCER));
            out.producer(TextStr(PRODUCER));
            out.creation_date(self.moment.pdf);
            out.modified_date(self.moment.pdf);
            if self.standard == Standard::PdfX4 {
                out.trapped(TrappingStatus::NotTrapped);
            }
        })?;
        Ok((metadata, info))
    }

    /// The whole packet. It is read-only (`end="r"`): a change to the file is a new file.
    fn packet(&self) -> String {
        let title = escape(&self.title);
        let creator = if self.author.is_empty() {
            String::new()
        } else {
            let author = escape(&self.author);
            format!("   <dc:creator><rdf:Seq><rdf:li>{author}</rdf:li></rdf:Seq></dc:creator>\n")
        };
        let subject = if self.subject.is_empty() {
            String::new()
        } else {
            let subject = escape(&self.subject);
            format!(
                "   <dc:description><rdf:Alt><rdf:li xml:lang=\"x-default\">{subject}</rdf:li>\
                 </rdf:Alt></dc:description>\n"
            )
        };
        let languages = if self.language.is_empty() {
            String::new()
        } else {
            let language = escape(&self.language);
            format!(
                "   <dc:language><rdf:Bag><rdf:li>{language}</rdf:li></rdf:Bag></dc:language>\n"
            )
        };
        let (space, claim) = match self.standard {
            Standard::PdfX4 => (
                "\n    xmlns:pdfxid=\"http://www.npes.org/pdfx/ns/id/\"",
                "   <pdf:Trapped>False</pdf:Trapped>\n\
                 \x20  <pdfxid:GTS_PDFXVersion>PDF/X-4</pdfxid:GTS_PDFXVersion>\n",
            ),
            Standard::Plain => ("", ""),
        };
        let date = &self.moment.xmp;
        let id = uuid(&self.id);
        format!(
            "<?xpacket begin=\"\u{feff}\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n\
             <x:xmpmeta xmlns:x=\"adobe:ns:meta/\">\n\
             \x20<rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">\n\
             \x20 <rdf:Description rdf:about=\"\"\n\
             \x20   xmlns:dc=\"http://purl.org/dc/elements/1.1/\"\n\
             \x20   xmlns:xmp=\"http://ns.adobe.com/xap/1.0/\"\n\
             \x20   xmlns:xmpMM=\"http://ns.adobe.com/xap/1.0/mm/\"\n\
             \x20   xmlns:pdf=\"http://ns.adobe.com/pdf/1.3/\"{space}>\n\
             \x20  <dc:format>application/pdf</dc:format>\n\
             \x20  <dc:title><rdf:Alt><rdf:li xml:lang=\"x-default\">{title}</rdf:li></rdf:Alt></dc:title>\n\
             {creator}{subject}{languages}\
             \x20  <xmp:CreateDate>{date}</xmp:CreateDate>\n\
             \x20  <xmp:ModifyDate>{date}</xmp:ModifyDate>\n\
             \x20  <xmp:MetadataDate>{date}</xmp:MetadataDate>\n\
             \x20  <xmp:CreatorTool>{PRODUCER}</xmp:CreatorTool>\n\
             \x20  <xmpMM:DocumentID>uuid:{id}</xmpMM:DocumentID>\n\
             \x20  <xmpMM:InstanceID>uuid:{id}</xmpMM:InstanceID>\n\
             \x20  <xmpMM:VersionID>1</xmpMM:VersionID>\n\
             \x20  <xmpMM:RenditionClass>default</xmpMM:RenditionClass>\n\
             \x20  <pdf:Producer>{PRODUCER}</pdf:Producer>\n\
             {claim}\
             \x20 </rdf:Description>\n\
             \x20</rdf:RDF>\n\
             </x:xmpmeta>\n\
             <?xpacket end=\"r\"?>"
        )
    }
}

fn titled(title: &str) -> String {
    let title = clean(title);
    if title.trim().is_empty() {
        "Untitled".to_owned()
    } else {
        title
    }
}

fn plain(text: &str) -> String {
    clean(text).trim().to_owned()
}

/// What the printed piece of a file is called.
const fn piece(sheet: FlatKind) -> &'static str {
    match sheet {
        FlatKind::SoftCover => "cover",
        FlatKind::FrontEndpaper | FlatKind::BackEndpaper => "endpapers",
        other => other.word(),
    }
}

/// Drops what XML 1.0 cannot carry (its production 2, `Char`): control characters and two
/// non-characters. Line breaks and tabs become spaces.
fn clean(text: &str) -> String {
    text.chars()
        .filter_map(|c| match c {
            '\t' | '\n' | '\r' => Some(' '),
            '\0'..='\u{1f}' | '\u{7f}'..='\u{9f}' | '\u{fffe}' | '\u{ffff}' => None,
            _ => Some(c),
        })
        .collect()
}

fn escape(text: &str) -> String {
    clean(text)
        .replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}

/// Sixteen bytes in the grouping of RFC 4122.
fn uuid(id: &[u8; 16]) -> String {
    let hex: String = id.iter().map(|byte| format!("{byte:02x}")).collect();
    [
        &hex[..8],
        &hex[8..12],
        &hex[12..16],
        &hex[16..20],
        &hex[20..],
    ]
    .join("-")
}
