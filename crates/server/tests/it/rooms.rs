use axum::http::StatusCode;

use crate::asking::{Asking, small_book, text};

#[tokio::test]
async fn every_room_reads_without_scripts() {
    let asking = Asking::small().entered().await;
    for (path, says) in [
        ("/", "From art to books in hand"),
        ("/art", "left over"),
        ("/order", "harbour"),
        ("/object", "How it comes to that"),
        ("/object/cover", "Finishings"),
        ("/object/measured", "The blank dummy"),
        ("/paper?page=3", "Take it for the book"),
        ("/paper/pages", "The whole book at one look"),
        ("/quantity", "How many"),
        ("/prices", "No answer has come yet"),
        ("/dates", "Books in hand between"),
        ("/proofs", "Hand in a measurement"),
    ] {
        let answer = asking.get(path).await;
        assert_eq!(answer.status(), StatusCode::OK, "{path}");
        let page = text(answer).await;
        assert!(page.contains(says), "{path} says {says}");
        assert_eq!(page.matches("<h1").count(), 1, "{path}");
        assert_eq!(page.matches("<main").count(), 1, "{path}");
        assert!(page.contains("<nav class=\"index\" aria-label=\"Rooms\">"));
        assert_eq!(page.matches("aria-current=\"page\"").count(), 1, "{path}");
        assert!(page.contains("lang=\"en\"") && page.contains("role=\"status\""));
    }
}

#[tokio::test]
async fn words_of_the_book_are_never_markup() {
    let book = small_book()
        .text()
        .replace("A Test", "<b>Tide</b> & \\\"Co\\\"");
    let asking = Asking::over(&book).entered().await;
    for path in [
        "/",
        "/art",
        "/order",
        "/object",
        "/paper",
        "/paper/pages",
        "/proofs",
    ] {
        let page = text(asking.get(path).await).await;
        assert!(!page.contains("<b>Tide"), "{path}");
        assert!(page.contains("&lt;b&gt;Tide&lt;/b&gt; &amp; "), "{path}");
    }
}

#[tokio::test]
async fn the_running_order_shows_each_page_once_and_every_entry() {
    let asking = Asking::small().entered().await;
    let page = text(asking.get("/order").await).await;
    let pages = asking.desk.snapshot().unwrap().plan.pages.len();
    for number in 1..=pages {
        let mark = format!("<span class=\"number\">{number}</span>");
        assert_eq!(page.matches(&mark).count(), 1, "page {number}");
    }
    for (index, name) in asking.order().iter().enumerate() {
        let mark = format!("data-entry=\"{name}\" data-index=\"{index}\"");
        assert_eq!(page.matches(&mark).count(), 1, "{name}");
    }
    assert!(page.contains("Signature 1, 8 pages"));
    assert!(page.contains("data-piece=\"left over.png\""), "the tray");
}

#[tokio::test]
async fn a_chosen_entry_has_its_tools() {
    let asking = Asking::small().entered().await;
    let page = text(asking.get("/order?entry=heron").await).await;
    for id in ["earlier", "later", "take-out", "blank-after", "treatment"] {
        assert!(page.contains(&format!("id=\"{id}\"")), "{id}");
    }
    let unknown = text(asking.get("/order?entry=nobody").await).await;
    assert!(unknown.contains("Choose a page above"));
}

#[tokio::test]
async fn art_that_is_not_there_is_drawn_as_missing() {
    let book = small_book().shows("lost", "full page", "lost.png").text();
    let asking = Asking::over(&book).entered().await;
    let page = text(asking.get("/order").await).await;
    assert!(page.contains("not in the art folder"));
    assert!(!page.contains("/thumb/320/lost.png"));
}

#[tokio::test]
async fn the_object_says_what_the_desk_says() {
    let asking = Asking::small().entered().await;
    let page = text(asking.get("/object").await).await;
    let snapshot = asking.desk.snapshot().unwrap();
    let object = &snapshot.object;
    assert!(page.contains(&format!("{:.1} mm", object.spine.mm())));
    assert!(page.contains(&object.copy.to_string()));
    for step in &object.steps {
        let what = step.what.replace('&', "&amp;");
        assert!(page.contains(&what), "{what}");
    }
}

#[tokio::test]
async fn the_object_draws_every_sheet_and_tells_given_from_typical() {
    let asking = Asking::small().entered().await;
    for (key, value) in [
        ("binding.kind", "sewn case"),
        ("jacket.wanted", "true"),
        ("case.hinge", "9mm"),
    ] {
        let edit = desk::Edit::Set {
            key: key.to_owned(),
            value: value.to_owned(),
        };
        asking.desk.edit(&edit).unwrap();
    }
    let page = text(asking.get("/object").await).await;
    for drawn in [
        "Section through",
        "Case wrap:",
        "Front endpaper:",
        "Jacket:",
    ] {
        assert!(page.contains(&format!("aria-label=\"{drawn}")), "{drawn}");
    }
    // What is given stands in its field; what is typical shows through an empty one.
    assert!(page.contains("id=\"case-hinge\" type=\"text\" name=\"value\" value=\"9mm\""));
    assert!(page.contains(
        "id=\"case-square\" type=\"text\" name=\"value\" value=\"\" placeholder=\"3mm\""
    ));
}

#[tokio::test]
async fn a_broken_book_file_is_one_clear_page() {
    let asking = Asking::small().entered().await;
    asking
        .folder
        .put("book.toml", "[book]\ntitel = \"A Test\"\n");
    for path in [
        "/",
        "/art",
        "/order",
        "/object",
        "/paper",
        "/paper/pages",
        "/proofs",
    ] {
        let answer = asking.get(path).await;
        assert_eq!(answer.status(), StatusCode::UNPROCESSABLE_ENTITY, "{path}");
        let page = text(answer).await;
        assert!(page.contains("book.toml:"), "{path}: names the place");
        assert!(page.contains("titel"), "{path}: names the word");
    }
}

#[tokio::test]
async fn a_page_that_is_not_in_the_book_is_said() {
    let asking = Asking::small().entered().await;
    for path in [
        "/paper?page=0",
        "/paper?page=9999",
        "/paper?page=-1",
        "/paper?page=x",
    ] {
        let answer = asking.get(path).await;
        assert_eq!(answer.status(), StatusCode::NOT_FOUND, "{path}");
        assert!(text(answer).await.contains("The book has pages 1 to "));
    }
}

#[tokio::test]
async fn a_book_in_boards_has_its_rooms_too() {
    let asking = Asking::over(&small_book().bound("sewn case").text())
        .entered()
        .await;
    for path in [
        "/",
        "/art",
        "/order",
        "/object",
        "/paper",
        "/paper/pages",
        "/proofs",
    ] {
        assert_eq!(asking.get(path).await.status(), StatusCode::OK, "{path}");
    }
    let cover = asking.get("/paper?page=cover").await;
    assert_eq!(cover.status(), StatusCode::NOT_FOUND);
}
