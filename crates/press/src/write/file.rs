//! The file layer: objects one after another, their places counted, the table of them at the end.

use std::io::{self, Read, Write};

use pdf_writer::{Chunk, Dict, Finish, Ref};

/// What the PDF header says: the version that PDF/X-4 is built on, and four bytes over 127 that
/// mark the file as binary.
const HEADER: &[u8] = b"%PDF-1.6\n%\xC5\xCE\xD8\xD4\n";

/// How `pdf-writer` ends an object that is a dictionary.
const END_OF_DICT: &[u8] = b">>\nendobj\n\n";

/// The highest place that the ten digits of a cross-reference entry can name.
const LAST_PLACE: u64 = 9_999_999_999;

/// A PDF being written to a stream. Keeps eight bytes for each object and nothing else.
pub(super) struct File<W> {
    out: W,
    /// Bytes written so far, which is the place of the next object.
    at: u64,
    /// Place of each object, by number less one; zero until it is written.
    places: Vec<u64>,
}

/// The data of a stream.
pub(super) enum Data<'a> {
    Bytes(&'a [u8]),
    /// So many bytes, copied.
    Copied(u64, &'a mut dyn Read),
}

impl<W: Write> File<W> {
    /// Writes the header.
    pub(super) fn begin(out: W) -> io::Result<Self> {
        let mut file = Self {
            out,
            at: 0,
            places: Vec::new(),
        };
        file.bytes(HEADER)?;
        Ok(file)
    }

    /// The number of an object that will be written later.
    pub(super) fn reserve(&mut self) -> Ref {
        self.places.push(0);
        Ref::new(i32::try_from(self.places.len()).expect("two thousand million objects are a book"))
    }

    /// Writes one object. `fill` writes exactly the object `id` into the chunk.
    pub(super) fn object(&mut self, id: Ref, fill: impl FnOnce(&mut Chunk)) -> io::Result<()> {
        let mut chunk = Chunk::new();
        fill(&mut chunk);
        assert!(chunk.refs().eq([id]), "one object at a time");
        self.here_lies(id);
        self.bytes(chunk.as_bytes())
    }

    /// Writes a stream with its `Length`; `fill` adds the other keys. Says where the data begins.
    pub(super) fn stream(
        &mut self,
        id: Ref,
        data: Data<'_>,
        fill: impl FnOnce(&mut Dict<'_>),
    ) -> io::Result<u64> {
        let length = match &data {
            Data::Bytes(bytes) => bytes.len() as u64,
            Data::Copied(length, _) => *length,
        };
        let mut chunk = Chunk::new();
        let mut dict = chunk.indirect(id).dict();
        fill(&mut dict);
        dict.finish();
        let keys = chunk
            .as_bytes()
            .strip_suffix(END_OF_DICT)
            .expect("pdf-writer ends a dictionary so");
        self.here_lies(id);
        self.bytes(keys)?;
        // Written here, since `pdf-writer` knows no number over 31 bits.
        self.bytes(format!("  /Length {length}\n>>\nstream\n").as_bytes())?;
        let start = self.at;
        match data {
            Data::Bytes(bytes) => self.bytes(bytes)?,
            Data::Copied(length, from) => {
                let copied = io::copy(&mut from.take(length), &mut self.out)?;
                self.at += copied;
                if copied != length {
                    return Err(io::Error::new(
                        io::ErrorKind::UnexpectedEof,
                        format!("a kept picture should have {length} bytes but has {copied}"),
                    ));
                }
            }
        }
        self.bytes(b"\nendstream\nendobj\n\n")?;
        Ok(start)
    }

    /// Writes the table of objects and the trailer; gives the place back.
    pub(super) fn finish(mut self, root: Ref, info: Ref, id: &[u8; 16]) -> io::Result<W> {
        let table = self.at;
        if table > LAST_PLACE {
            return Err(io::Error::new(
                io::ErrorKind::FileTooLarge,
                "the press file would be larger than 10 GB, which no PDF of this version can be; \
                 store the pictures as JPEG or part the book into two files",
            ));
        }
        let size = self.places.len() + 1;
        let mut end = format!("xref\n0 {size}\n0000000000 65535 f\r\n");
        for place in &self.places {
            debug_assert!(*place > 0, "every reserved object is written");
            end.push_str(&format!("{place:010} 00000 n\r\n"));
        }
        let id: String = id.iter().map(|byte| format!("{byte:02X}")).collect();
        end.push_str(&format!(
            "trailer\n<<\n  /Size {size}\n  /Root {} 0 R\n  /Info {} 0 R\n  /ID [<{id}> <{id}>]\n>>\n\
             startxref\n{table}\n%%EOF\n",
            root.get(),
            info.get()
        ));
        self.bytes(end.as_bytes())?;
        self.out.flush()?;
        Ok(self.out)
    }

    fn here_lies(&mut self, id: Ref) {
        let index = usize::try_from(id.get() - 1).expect("object numbers begin at 1");
        self.places[index] = self.at;
    }

    fn bytes(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.out.write_all(bytes)?;
        self.at += bytes.len() as u64;
        Ok(())
    }
}
