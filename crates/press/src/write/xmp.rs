//! The packet of metadata (XMP, ISO 16684-1) that PDF/X-4 is recognised by.

use book::object::FlatKind;

use super::moment::Moment;
use super::{Facts, FileKind};

/// The program that Info and XMP name.
pub(super) const PRODUCER: &str = concat!("Foredge ", env!("CARGO_PKG_VERSION"));

/// The title that Info and XMP give, one wording for both.
pub(super) fn title(facts: &Facts) -> String {
    let title = clean(&facts.title);
    let title = if title.trim().is_empty() {
        "Untitled".to_owned()
    } else {
        title
    };
    match facts.kind {
        FileKind::Interior => title,
        FileKind::Sheet(sheet) => format!("{title} ({})", piece(sheet)),
        FileKind::Proof => format!("{title} (proof)"),
    }
}

/// What the printed piece of a file is called.
const fn piece(sheet: FlatKind) -> &'static str {
    match sheet {
        FlatKind::SoftCover => "cover",
        FlatKind::FrontEndpaper | FlatKind::BackEndpaper => "endpapers",
        other => other.word(),
    }
}

/// The author as Info and XMP give it; empty if there is none.
pub(super) fn author(facts: &Facts) -> String {
    clean(&facts.author).trim().to_owned()
}

/// The whole packet. It is read-only (`end="r"`): a change to the file is a new file.
pub(super) fn packet(facts: &Facts, moment: &Moment) -> String {
    let title = escape(&title(facts));
    let author = author(facts);
    let creator = if author.is_empty() {
        String::new()
    } else {
        let author = escape(&author);
        format!("   <dc:creator><rdf:Seq><rdf:li>{author}</rdf:li></rdf:Seq></dc:creator>\n")
    };
    let language = escape(facts.language.trim());
    let languages = if language.is_empty() {
        String::new()
    } else {
        format!("   <dc:language><rdf:Bag><rdf:li>{language}</rdf:li></rdf:Bag></dc:language>\n")
    };
    let date = &moment.xmp;
    let id = uuid(&facts.id);
    format!(
        "<?xpacket begin=\"\u{feff}\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n\
         <x:xmpmeta xmlns:x=\"adobe:ns:meta/\">\n\
         \x20<rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">\n\
         \x20 <rdf:Description rdf:about=\"\"\n\
         \x20   xmlns:dc=\"http://purl.org/dc/elements/1.1/\"\n\
         \x20   xmlns:xmp=\"http://ns.adobe.com/xap/1.0/\"\n\
         \x20   xmlns:xmpMM=\"http://ns.adobe.com/xap/1.0/mm/\"\n\
         \x20   xmlns:pdf=\"http://ns.adobe.com/pdf/1.3/\"\n\
         \x20   xmlns:pdfxid=\"http://www.npes.org/pdfx/ns/id/\">\n\
         \x20  <dc:format>application/pdf</dc:format>\n\
         \x20  <dc:title><rdf:Alt><rdf:li xml:lang=\"x-default\">{title}</rdf:li></rdf:Alt></dc:title>\n\
         {creator}{languages}\
         \x20  <xmp:CreateDate>{date}</xmp:CreateDate>\n\
         \x20  <xmp:ModifyDate>{date}</xmp:ModifyDate>\n\
         \x20  <xmp:MetadataDate>{date}</xmp:MetadataDate>\n\
         \x20  <xmp:CreatorTool>{PRODUCER}</xmp:CreatorTool>\n\
         \x20  <xmpMM:DocumentID>uuid:{id}</xmpMM:DocumentID>\n\
         \x20  <xmpMM:InstanceID>uuid:{id}</xmpMM:InstanceID>\n\
         \x20  <xmpMM:VersionID>1</xmpMM:VersionID>\n\
         \x20  <xmpMM:RenditionClass>default</xmpMM:RenditionClass>\n\
         \x20  <pdf:Producer>{PRODUCER}</pdf:Producer>\n\
         \x20  <pdf:Trapped>False</pdf:Trapped>\n\
         \x20  <pdfxid:GTS_PDFXVersion>PDF/X-4</pdfxid:GTS_PDFXVersion>\n\
         \x20 </rdf:Description>\n\
         \x20</rdf:RDF>\n\
         </x:xmpmeta>\n\
         <?xpacket end=\"r\"?>"
    )
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
