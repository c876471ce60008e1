//! The room *How many*, and what it shares with *Dates*.

use axum::http::StatusCode;

use crate::asking::{Asking, small_book, text};

/// People, ways of selling and a guess of the cost.
const EDITION: &str = r#"
[dates]
launch = "2099-06-01"

[edition]
price = "EUR 48"
guess_fixed = "EUR 4000"
guess_each = "EUR 9"
storage = "EUR 20"

[[audience]]
place = "letter <b>to</b> readers"
people = 9000
low = "1%"
likely = "2%"
high = "5%"

[[channel]]
name = "shop"
kind = "own shop"
share = "100%"

[[offer]]
name = "a house"
advance = "EUR 500"
profit_share = "50%"

[[plan]]
name = "careful"
copies = 150
"#;

fn book_text(asking: &Asking) -> String {
    std::fs::read_to_string(asking.folder.at("book.toml")).unwrap()
}

fn a_book() -> String {
    small_book().section(EDITION).text()
}

#[tokio::test]
async fn every_quantity_stands_in_one_picture() {
    let asking = Asking::over(&a_book()).entered().await;
    let answer = asking.get("/quantity").await;
    assert_eq!(answer.status(), StatusCode::OK);
    let page = text(answer).await;
    for says in [
        "Print about ",
        "Hardly matters",
        "Rule of thumb",
        "letter &lt;b&gt;to&lt;/b&gt; readers",
        "careful",
        "a house",
        "Estimates for a decision; no financial advice.",
        "id=\"quantity-slider\"",
    ] {
        assert!(page.contains(says), "{says}: {page}");
    }
    assert!(!page.contains("letter <b>"));
    // What moves with the quantity comes alone too, and follows it.
    let few = text(asking.get("/quantity/look?copies=100&moving=1").await).await;
    let many = text(asking.get("/quantity/look?copies=400").await).await;
    assert!(few.contains("100 copies") && many.contains("400 copies"));
    assert!(
        few.contains("EUR 49.00") && many.contains("EUR 19.00"),
        "4000 and 9 each"
    );
    assert!(!few.contains("<html") && few.contains("id=\"quantity-cash\""));
}

#[tokio::test]
async fn plans_are_kept_and_dropped_and_taken_back() {
    let asking = Asking::over(&a_book()).entered().await;
    let file = || std::fs::read_to_string(asking.folder.at("book.toml")).unwrap();
    let untouched = file();
    let (status, said) = asking
        .script("/quantity/keep", "name=bold&copies=500")
        .await;
    assert_eq!(status, StatusCode::OK, "{said}");
    assert!(file().contains("bold"));
    let page = text(asking.get("/quantity").await).await;
    assert!(page.contains("Drop<span class=\"hidden\"> bold</span>"));
    let (status, _) = asking.script("/quantity/drop", "name=bold").await;
    assert_eq!(status, StatusCode::OK);
    assert!(!file().contains("bold"));
    for _ in 0..2 {
        asking.script("/undo", "room=quantity").await;
    }
    assert_eq!(file(), untouched);
    for form in ["name=&copies=5", "name=none&copies=0"] {
        let (status, _) = asking.script("/quantity/keep", form).await;
        assert!(status.is_client_error(), "{form}");
    }
    let (status, said) = asking.script("/quantity/drop", "name=bold").await;
    assert!(status.is_client_error(), "{said}");
    assert_eq!(file(), untouched);
}

#[tokio::test]
async fn sales_teach_and_are_taken_back() {
    let asking = Asking::over(&a_book()).entered().await;
    let audience = "audience=letter+%3Cb%3Eto%3C%2Fb%3E+readers";
    let (status, said) = asking
        .script("/quantity/sold", &format!("{audience}&copies=60"))
        .await;
    assert_eq!(status, StatusCode::OK, "{said}");
    assert!(said["said"].as_str().unwrap().contains("before it was"));
    let page = text(asking.get("/quantity").await).await;
    assert!(page.contains("60 were sold") && page.contains("Before any sale"));
    let (status, _) = asking.script("/quantity/sold-back", "number=1").await;
    assert_eq!(status, StatusCode::OK);
    let page = text(asking.get("/quantity").await).await;
    assert!(!page.contains("Before any sale") && page.contains("taken back"));
    for form in [
        format!("{audience}&copies=many"),
        format!("{audience}&copies=5&on=2999-01-01"),
        "audience=nobody&copies=5".to_owned(),
    ] {
        let (status, said) = asking.script("/quantity/sold", &form).await;
        assert!(status.is_client_error(), "{form}: {said}");
    }
}

#[tokio::test]
async fn a_late_step_moves_dates_and_cash() {
    let asking = Asking::over(&a_book()).entered().await;
    let before = text(asking.get("/dates").await).await;
    assert!(before.contains("Cash by the day") && !before.contains("The last change"));
    let late = "wish=set&room=dates&key=step.examined.takes&value=30,+35,+50";
    let (status, said) = asking.script("/edit", late).await;
    assert_eq!(status, StatusCode::OK, "{said}");
    for words in [
        "the middle day of the books in hand from",
        "the lowest cash from",
    ] {
        assert!(said["said"].as_str().unwrap().contains(words), "{said}");
    }
    let after = text(asking.get("/dates").await).await;
    assert!(after.contains("The last change") && after.contains("class=\"before\""));
    let (_, back) = asking.script("/undo", "room=dates").await;
    assert!(
        back["said"].as_str().unwrap().contains("It moved"),
        "{back}"
    );
    // What has really happened is kept, whether or not it moves the middle day.
    let (status, said) = asking
        .script("/dates/happened", "step=files&what=done")
        .await;
    assert_eq!(status, StatusCode::OK, "{said}");
    let words = said["said"].as_str().unwrap();
    assert!(words.contains("was done on"), "{said}");
}

#[tokio::test]
async fn a_book_without_people_says_what_it_needs() {
    let asking = Asking::small().entered().await;
    let page = text(asking.get("/quantity").await).await;
    assert!(
        page.contains("class=\"problem\"") && page.contains("nothing says what a buyer pays"),
        "{page}"
    );
    let page = text(asking.get("/dates").await).await;
    assert!(page.contains("No cash is shown here yet"), "{page}");
}

#[tokio::test]
async fn from_an_empty_book_readers_and_ways_of_selling_are_named_by_forms() {
    let asking = Asking::over(&small_book().text()).entered().await;
    let page = text(asking.get("/quantity").await).await;
    assert!(page.contains("What you say") && !page.contains("quantity-answer"));
    assert!(!page.contains("foredge quantity"), "no command in the page");

    let (status, _) = asking
        .script(
            "/thing",
            "section=edition&room=quantity&say-price=EUR+48&say-guess_fixed=EUR+4000&say-guess_each=EUR+9",
        )
        .await;
    assert_eq!(status, StatusCode::OK);
    let audience = "section=audience&room=quantity&say-place=letter+%3Cb%3E&say-people=9000&say-low=1%25&say-likely=2%25";
    let (status, said) = asking.script("/thing", audience).await;
    assert_ne!(status, StatusCode::OK, "{said}");
    assert!(said.to_string().contains("high"), "{said}");
    let (status, said) = asking
        .script("/thing", &format!("{audience}&say-high=5%25"))
        .await;
    assert_eq!(status, StatusCode::OK, "{said}");
    let (status, said) = asking
        .script("/thing", &format!("{audience}&say-high=5%25"))
        .await;
    assert_ne!(status, StatusCode::OK, "the name is taken");
    assert!(said.to_string().contains("already"), "{said}");
    let (status, _) = asking
        .script(
            "/thing",
            "section=channel&room=quantity&say-name=shop&say-kind=own+shop",
        )
        .await;
    assert_eq!(status, StatusCode::OK);
    let page = text(asking.get("/quantity").await).await;
    assert!(page.contains("quantity-answer") && page.contains("letter &lt;b&gt;"));

    // Another name, and a value that is unsaid; what the form does not name stays.
    let (status, said) = asking
        .script(
            "/thing",
            "section=audience&room=quantity&thing=letter+%3Cb%3E&say-place=readers&say-people=100",
        )
        .await;
    assert_eq!(status, StatusCode::OK, "{said}");
    let book = book_text(&asking);
    assert!(book.contains("place = \"readers\"") && book.contains("people = 100"));
    assert!(book.contains("high = \"5%\"") && !book.contains("letter"));
    let (status, _) = asking
        .script("/thing", "section=audience&thing=readers&deed=out")
        .await;
    assert_eq!(status, StatusCode::OK);
    assert!(!book_text(&asking).contains("[[audience]]"));

    for wrong in [
        "section=book&say-title=x",
        "section=audience&thing=nobody&deed=out",
        "section=audience&say-people=3",
    ] {
        let (status, _) = asking.script("/thing", wrong).await;
        assert!(status.is_client_error(), "{wrong}: {status}");
    }
}
