use axum::http::{Method, StatusCode};

use crate::asking::{Asking, bytes, header, text};

#[tokio::test]
async fn every_view_of_a_page_and_of_the_cover_is_given() {
    let asking = Asking::small().entered().await;
    for view in desk::View::ALL {
        for sheet in ["2", "cover"] {
            for path in [
                format!("/tile/{sheet}/{}/0/0/0", view.word()),
                format!("/leaf/{sheet}/{}/200", view.word()),
            ] {
                let answer = asking.get(&path).await;
                assert_eq!(answer.status(), StatusCode::OK, "{path}");
                assert!(bytes(answer).await.starts_with(&[0xff, 0xd8]), "{path}");
            }
        }
    }
    for path in [
        "/leaf/2/print/201",
        "/leaf/2/inside/200",
        "/leaf/999/print/200",
    ] {
        let status = asking.get(path).await.status();
        assert!(status.is_client_error(), "{path}: {status}");
    }
}

#[tokio::test]
async fn a_trial_follows_its_figures_and_changes_nothing() {
    let asking = Asking::small().entered().await;
    let before = std::fs::read_to_string(asking.folder.at("book.toml")).unwrap();
    let get = async |query: &str| {
        let answer = asking.get(&format!("/trial/2/print/640?{query}")).await;
        assert_eq!(answer.status(), StatusCode::OK, "{query}");
        bytes(answer).await
    };
    let plain = get("").await;
    assert!(plain.starts_with(&[0xff, 0xd8]));
    assert_ne!(plain, get("saturation=-50").await, "a calmer page");
    assert_eq!(
        plain,
        get("saturation=-50&piece=left%20over.png").await,
        "another picture"
    );
    assert_eq!(
        get("contrast=-40").await,
        get("contrast=-4000").await,
        "figures are held"
    );
    let after = std::fs::read_to_string(asking.folder.at("book.toml")).unwrap();
    assert_eq!(before, after);
    for path in [
        "/trial/2/print/640?contrast=dark",
        "/trial/2/print/640?contrast=NaN",
        "/trial/2/print/641",
        "/trial/2/reach/640",
        "/trial/900/print/640",
    ] {
        let answer = asking.get(path).await;
        assert!(answer.status().is_client_error(), "{path}");
        assert!(text(answer).await.contains("said"), "{path}");
    }
}

#[tokio::test]
async fn a_recipe_is_taken_in_one_edit_and_taken_back() {
    let asking = Asking::small().entered().await;
    let read = || std::fs::read_to_string(asking.folder.at("book.toml")).unwrap();
    let before = read();
    let form =
        "recipe=usual&page=2&contrast=-12&lightening=3&saturation=-8&red=-6&cyan=-6&white=100";
    let (status, answer) = asking.script("/recipe", form).await;
    assert_eq!(status, StatusCode::OK, "{answer}");
    assert!(
        answer["said"].as_str().unwrap().contains("contrast −12 %"),
        "{answer}"
    );
    let taken = read();
    assert!(taken.contains("recipe = \"usual\"") && taken.contains("contrast = \"-12%\""));
    assert!(
        !taken.contains("saturation"),
        "what the recipe says already is not written"
    );
    asking.script("/undo", "room=paper").await;
    assert_eq!(read(), before);
}

#[tokio::test]
async fn a_picture_goes_its_own_way_and_its_card_says_so() {
    let asking = Asking::small().entered().await;
    let name = "birds%2Fheron+%26+chick.png";
    let answer = asking
        .post(
            "/recipe",
            &format!("recipe=none&piece={name}&page=6&white=100"),
        )
        .await;
    assert_eq!(answer.status(), StatusCode::SEE_OTHER);
    let back = header(&answer, "location");
    assert!(
        back.starts_with("/paper?page=6&for=birds%2Fheron"),
        "{back}"
    );
    let snapshot = asking.desk.snapshot().unwrap();
    let page = snapshot
        .pieces
        .iter()
        .find(|piece| piece.name.starts_with("birds"))
        .unwrap()
        .pages[0]
        .0;
    let card = text(
        asking
            .get(&format!("/paper/card?page={page}&for={name}"))
            .await,
    )
    .await;
    assert!(
        card.contains("Leave it be") && card.contains("goes its own way"),
        "{card}"
    );
    assert!(card.contains("Take it for this picture"));
    let other = text(asking.get("/paper/card?page=2&for=nobody.png").await).await;
    assert!(
        other.contains("Take it for the book"),
        "an unknown picture leads to the book"
    );
}

#[tokio::test]
async fn what_is_no_recipe_is_refused() {
    let asking = Asking::small().entered().await;
    let before = std::fs::read_to_string(asking.folder.at("book.toml")).unwrap();
    let press = asking.desk.snapshot().unwrap().book.press.clone();
    for form in [
        "recipe=loud",
        "recipe=",
        "recipe=usual&contrast=much",
        "recipe=usual&contrast=inf",
        "recipe=usual&piece=..%2F..%2Fbook.toml%0A%5Bpress%5D",
    ] {
        let (status, answer) = asking.script("/recipe", form).await;
        let file = std::fs::read_to_string(asking.folder.at("book.toml")).unwrap();
        if status == StatusCode::OK {
            // A name that is no piece stays a name: it never becomes another section.
            assert!(form.contains("piece="), "{form}");
            assert_eq!(asking.desk.snapshot().unwrap().book.press, press, "{form}");
        } else {
            assert_ne!(answer["said"], "", "{form}");
            assert_eq!(file, before, "{form}");
        }
    }
}

#[tokio::test]
async fn a_place_tells_art_ink_and_paper() {
    let asking = Asking::small().entered().await;
    let answer = text(asking.get("/under/2/60/60").await).await;
    let value: serde_json::Value = serde_json::from_str(&answer).unwrap();
    let numbers = |name: &str| -> Vec<f64> {
        let list = value[name].as_array().unwrap().iter();
        list.map(|number| number.as_f64().unwrap()).collect()
    };
    let total: f64 = numbers("ink").iter().sum();
    assert!(
        (total - value["total"].as_f64().unwrap()).abs() < 0.5,
        "{value}"
    );
    for lab in ["art", "print"] {
        assert!((0.0..=100.0).contains(&numbers(lab)[0]), "{value}");
    }
    assert!(value["difference"].as_f64().unwrap() >= 0.0);
    assert!(value["words"].as_str().unwrap().contains("percent in all"));
}

#[tokio::test]
async fn all_pages_stand_in_one_room_and_in_one_picture() {
    let asking = Asking::small().entered().await;
    let room = text(asking.get("/paper/pages?view=ink").await).await;
    let pages = asking.desk.snapshot().unwrap().plan.pages.len();
    for page in 1..=pages {
        assert_eq!(
            room.matches(&format!("/leaf/{page}/ink/400\"")).count(),
            1,
            "page {page}"
        );
    }
    assert!(
        room.contains("How much ink lies on each place"),
        "the legend"
    );
    let picture = asking.get("/contact/print").await;
    assert_eq!(header(&picture, "content-type"), "image/jpeg");
    assert_eq!(
        asking.get("/contact/inside").await.status(),
        StatusCode::NOT_FOUND
    );
}

#[tokio::test]
async fn the_shapes_of_figures_are_drawn() {
    let asking = Asking::small().entered().await;
    let one = text(asking.get("/paper/shape?contrast=-20").await).await;
    let other = text(asking.get("/paper/shape").await).await;
    assert!(one.contains("class=\"curve\"") && one.contains("class=\"rose\""));
    assert_ne!(one, other);
    let odd = asking
        .send(asking.request(Method::GET, "/paper/shape?black=x"))
        .await;
    assert_eq!(odd.status(), StatusCode::UNPROCESSABLE_ENTITY);
}
