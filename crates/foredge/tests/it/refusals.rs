//! Bad usage and input: exit 2, one clear error, nothing written.

use testkit::{Folder, digests, golden};

use crate::terminal::{book, foredge, golden_file, session_text, studio, text};

#[test]
fn refusals_name_the_place_and_what_to_do() {
    let mut texts = Vec::new();
    let mut refused = |folder: &Folder, arguments: &[&str]| {
        let before = digests(folder.path(), &[".foredge"]);
        let said = foredge(folder.path(), arguments);
        assert_eq!(said.code, 2, "{arguments:?}: {}", said.out);
        assert_eq!(said.out, "", "{arguments:?}");
        assert_eq!(
            digests(folder.path(), &[".foredge"]),
            before,
            "{arguments:?}"
        );
        texts.push(session_text(folder.path(), arguments));
    };
    refused(&Folder::new(), &["status"]);
    refused(&Folder::new(), &["--book", "nowhere", "status"]);
    refused(&Folder::new(), &["check", "nowhere.pdf"]);
    refused(
        &studio(),
        &[
            "new", "tides", "--art", "studio", "--title", "Tides", "--trim", "12 ells",
        ],
    );
    refused(
        &studio(),
        &[
            "new", "studio", "--art", "studio", "--title", "Tides", "--trim", "A5",
        ],
    );
    refused(
        &studio(),
        &[
            "new", "tides", "--art", "nowhere", "--title", "Tides", "--trim", "A5",
        ],
    );
    refused(&book(), &["set", "stock.text.grammage", "150 stone"]);
    refused(&book(), &["pages", "treat", "lamp", "double spread"]);
    // A book that opens at the other side, a number that is none or of the old kind.
    refused(&book(), &["set", "book.language", "he"]);
    refused(&book(), &["set", "book.isbn", "978-0-306-40615-8"]);
    refused(&book(), &["set", "book.isbn", "0-306-40615-2"]);

    let broken = |from: &str, to: &str| {
        let folder = book();
        folder.put("book.toml", text().text().replacen(from, to, 1));
        folder
    };
    refused(&broken("signature =", "signatur ="), &["press"]);
    refused(&broken("150 g/m2", "150 stone"), &["press"]);
    refused(&broken("name = \"lamp\"", "name = \"harbour\""), &["press"]);
    refused(&broken("lamp.png", "lump.png"), &["press"]);
    refused(
        &broken("[book]", "[book]\nreading = \"right to left\""),
        &["status"],
    );
    refused(
        &broken("[format]", "[barcode]\nink = \"red\"\n[format]"),
        &["status"],
    );
    refused(&broken("[format]", "[format"), &["status"]);

    let with = |name: &str, bytes: Vec<u8>| book().with(name, bytes);
    let whole = std::fs::read(book().at("art/lamp.png")).unwrap_or_default();
    refused(
        &with("art/lamp.png", whole[..whole.len() / 2].to_vec()),
        &["press"],
    );
    refused(
        &with("art/lamp.png", testkit::png_that_claims(100_000, 100_000)),
        &["press"],
    );
    refused(
        &with("empty.icc", Vec::new()),
        &["colour", "use", "empty.icc"],
    );
    golden(&golden_file("refusals"), &texts.join("\n"));
}

#[test]
fn bad_usage_ends_with_two() {
    for arguments in [
        &["pages", "move", "lamp", "--to", "0"][..],
        &["pages", "move", "lamp"],
        &["fold"],
        &["set", "format.trim"],
        &[],
    ] {
        let said = foredge(book().path(), arguments);
        assert_eq!(said.code, 2, "{arguments:?}");
    }
}

#[test]
fn what_must_not_go_to_print_ends_with_one() {
    let folder = Folder::new().with("strange.pdf", "this is no PDF");
    let said = foredge(folder.path(), &["check", "strange.pdf"]);
    assert_eq!(said.code, 1);
    assert!(said.out.contains("stop"), "{}", said.out);

    let coarse = book();
    coarse.put(
        "art/lamp.png",
        testkit::png(120, 180, |x, y| [(x + 60) as u8, (y + 40) as u8, 90]),
    );
    assert_eq!(foredge(coarse.path(), &["art"]).code, 1);
    assert_eq!(foredge(coarse.path(), &["press"]).code, 1);
    assert!(coarse.at("press/interior.pdf").exists());
}
