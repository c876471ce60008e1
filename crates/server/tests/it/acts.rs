use axum::http::StatusCode;

use crate::asking::{Asking, header, text};

#[tokio::test]
async fn a_form_moves_an_entry_and_leads_back() {
    let asking = Asking::small().entered().await;
    let answer = asking
        .post("/edit", "wish=move&entry=heron&to=1&room=order")
        .await;
    assert_eq!(answer.status(), StatusCode::SEE_OTHER);
    assert_eq!(header(&answer, "location"), "/order?entry=heron");
    assert_eq!(asking.order()[1], "heron");
    let page = text(asking.get("/order?entry=heron").await).await;
    assert!(page.contains("spine unchanged"), "what it did is said");
    assert!(page.contains("Undo: "), "and can be undone");
}

#[tokio::test]
async fn undo_and_redo_come_back_to_the_same_file() {
    let asking = Asking::small().entered().await;
    let read = || std::fs::read_to_string(asking.folder.at("book.toml")).unwrap();
    let first = read();
    let (status, answer) = asking
        .script("/edit", "wish=remove&entry=heron&room=order")
        .await;
    assert_eq!(status, StatusCode::OK);
    assert!(answer["said"].as_str().unwrap().contains("heron"));
    let second = read();
    assert_ne!(first, second);
    asking.script("/undo", "room=order").await;
    assert_eq!(read(), first);
    asking.script("/redo", "room=order").await;
    assert_eq!(read(), second);
    let (status, answer) = asking.script("/redo", "room=order").await;
    assert_eq!(status, StatusCode::OK);
    assert_eq!(answer["said"], "There is nothing to redo.");
}

#[tokio::test]
async fn a_heavier_paper_says_what_it_does_to_the_spine() {
    let asking = Asking::small().entered().await;
    let (status, answer) = asking
        .script(
            "/edit",
            "wish=set&key=stock.text.grammage&value=350+g%2Fm2&room=object",
        )
        .await;
    assert_eq!(status, StatusCode::OK);
    let said = answer["said"].as_str().unwrap();
    assert!(said.contains("spine from "), "{said}");
}

#[tokio::test]
async fn what_does_not_fit_the_book_is_refused_with_a_hint() {
    let asking = Asking::small().entered().await;
    let read = || std::fs::read_to_string(asking.folder.at("book.toml")).unwrap();
    let before = read();
    for form in [
        "wish=set&key=stock.text.grammage&value=heavy",
        "wish=set&key=stock.text.colour&value=pink",
        "wish=move&entry=nobody&to=0",
        "wish=move&entry=heron",
        "wish=treat&entry=heron&treatment=sideways",
        "wish=insert&piece=..%2F..%2Fbook.toml&at=0",
        "wish=dance",
        "",
        "wish=move&entry=heron&to=minus",
    ] {
        let (status, answer) = asking.script("/edit", form).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{form}");
        assert_ne!(answer["said"], "", "{form}");
        assert_ne!(answer["hint"], "", "{form}");
        assert_eq!(read(), before, "{form}");
    }
    let answer = asking
        .post(
            "/edit",
            "wish=set&key=stock.text.grammage&value=heavy&room=object",
        )
        .await;
    assert_eq!(header(&answer, "location"), "/object");
    assert!(
        text(asking.get("/object").await)
            .await
            .contains("Not done. ")
    );
}

#[tokio::test]
async fn the_way_back_is_always_a_room() {
    let asking = Asking::small().entered().await;
    for room in [
        "",
        "https%3A%2F%2Fexample.org",
        "%2F%2Fexample.org",
        "nowhere",
    ] {
        let form = format!("wish=move&entry=heron&to=0&room={room}");
        let answer = asking.post("/edit", &form).await;
        assert_eq!(header(&answer, "location"), "/");
    }
    let form = "wish=move&entry=%0d%0aSet-Cookie:%20a=b&to=0&room=order";
    let answer = asking.post("/edit", form).await;
    assert_eq!(
        header(&answer, "location"),
        "/order?entry=%0D%0ASet-Cookie%3A%20a%3Db"
    );
}

#[tokio::test]
async fn a_piece_and_a_blank_are_put_in() {
    let asking = Asking::small().entered().await;
    let count = asking.order().len();
    asking
        .script("/edit", "wish=insert&piece=left+over.png&at=1")
        .await;
    asking.script("/edit", "wish=insert&at=0").await;
    assert_eq!(asking.order().len(), count + 2);
    let page = text(asking.get("/order").await).await;
    assert!(page.contains("Every piece has its place."));
}

#[tokio::test]
async fn a_notice_goes_when_another_room_is_entered() {
    let asking = Asking::small().entered().await;
    asking
        .post("/edit", "wish=move&entry=heron&to=0&room=order")
        .await;
    assert!(
        text(asking.get("/order").await)
            .await
            .contains("spine unchanged")
    );
    assert!(
        text(asking.get("/order").await)
            .await
            .contains("spine unchanged")
    );
    assert!(
        !text(asking.get("/art").await)
            .await
            .contains("spine unchanged")
    );
    assert!(
        !text(asking.get("/order").await)
            .await
            .contains("spine unchanged")
    );
}
