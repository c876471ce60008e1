//! The sheets around the pages: finishings, bar code, and what is measured by hand.

use axum::http::StatusCode;

use crate::asking::{Asking, bytes, header, small_book, text};

fn finished() -> String {
    let mut book = small_book().text();
    book.push_str(
        "\n[[finishing]]\nname = \"title foil\"\nprocess = \"foil\"\non = \"cover\"\n\
         panel = \"front\"\nwords = \"title\"\ncolour = \"gold\"\n",
    );
    book
}

#[tokio::test]
async fn a_finishing_lies_under_the_lamp_and_its_plate_is_given() {
    let asking = Asking::over(&finished()).entered().await;
    let page = text(asking.get("/object/cover").await).await;
    assert!(page.contains("id=\"lamp\"") && page.contains("/plate/1600/0"));
    assert!(page.contains("Whether the process holds it"));
    let plate = asking.get("/plate/640/0").await;
    assert_eq!(plate.status(), StatusCode::OK);
    assert_eq!(header(&plate, "content-type"), "image/png");
    assert!(bytes(plate).await.starts_with(b"\x89PNG"));
    for nowhere in ["/plate/640/7", "/plate/641/0"] {
        let answer = asking.get(nowhere).await;
        assert_eq!(answer.status(), StatusCode::NOT_FOUND, "{nowhere}");
    }
}

#[tokio::test]
async fn lines_that_are_too_thin_are_made_wide_enough_by_a_button() {
    // Letters hold no line of 2 mm, so that the button is there; the finisher's own figure decides.
    let thin = finished() + "least_line = \"2mm\"\n";
    let asking = Asking::over(&thin).entered().await;
    let page = text(asking.get("/object/cover").await).await;
    assert!(page.contains("id=\"thicken-0\"") && page.contains("Make its lines wide enough"));
    let wish = "wish=thicken&room=cover&key=title+foil";
    let answer = asking.post("/edit", wish).await;
    assert_eq!(header(&answer, "location"), "/object/cover");
    let page = text(asking.get("/object/cover").await).await;
    assert!(page.contains("Left the lines of"), "{page}");
    assert!(page.contains("would still be too thin"), "{page}");
    let by = |asking: &Asking| asking.desk.snapshot().unwrap().book.finishings[0].thicken;
    assert_eq!(by(&asking).nm(), 0);

    let judged = asking.desk.finishings().unwrap().remove(0);
    let thinnest = judged.faults.iter().map(|fault| fault.width).min().unwrap();
    let wanted = thinnest.mm() + 0.1;
    let value =
        format!("wish=set&room=cover&key=finishing.title+foil.least_line&value={wanted:.2}mm");
    asking.post("/edit", &value).await;
    asking.post("/edit", wish).await;
    assert!(by(&asking).mm() >= 0.05, "{}", by(&asking));
    let page = text(asking.get("/object/cover").await).await;
    assert!(page.contains("wider than drawn") && !page.contains("id=\"thicken-0\""));
    let nobody = asking
        .post("/edit", "wish=thicken&room=cover&key=moon")
        .await;
    assert_eq!(header(&nobody, "location"), "/object/cover");
}

#[tokio::test]
async fn a_finishing_is_added_and_taken_out_by_forms() {
    let asking = Asking::small().entered().await;
    let added = "wish=finish&room=cover&key=tide+varnish&process=spot+varnish&on=cover&panel=front&colour=clear&value=";
    asking.post("/edit", added).await;
    let names = |asking: &Asking| -> Vec<String> {
        let snapshot = asking.desk.snapshot().unwrap();
        let all = snapshot.book.finishings.iter();
        all.map(|one| one.name.clone()).collect()
    };
    assert_eq!(names(&asking), ["tide varnish"]);
    let out = "wish=set&room=cover&key=finishing.tide+varnish.name&value=";
    asking.post("/edit", out).await;
    assert!(names(&asking).is_empty());
}

#[tokio::test]
async fn a_dummy_changes_nothing_until_it_is_accepted() {
    let asking = Asking::small().entered().await;
    let before = asking.desk.snapshot().unwrap().object.block;
    let wanted = before.mm() * 1.3;
    let tools = "gauge=0.01";
    let answer = asking
        .post("/measured/dummy", &format!("block={wanted:.3}&{tools}"))
        .await;
    assert_eq!(header(&answer, "location"), "/object/measured#dummy");
    assert_eq!(asking.desk.snapshot().unwrap().object.block, before);
    let page = text(asking.get("/object/measured").await).await;
    assert!(
        page.contains("id=\"accept-dummy\""),
        "it has something to teach"
    );
    asking.post("/measured/accept", "what=dummy&number=1").await;
    let after = asking.desk.snapshot().unwrap().object.block.mm();
    assert!(
        (after - wanted).abs() < 0.02 * wanted,
        "{after} for {wanted}"
    );
}

#[tokio::test]
async fn what_is_no_measure_is_refused_in_words() {
    let asking = Asking::small().entered().await;
    asking.post("/measured/dummy", "block=thick").await;
    let page = text(asking.get("/object/measured").await).await;
    assert!(page.contains("Not done.") && page.contains("thick"), "said");
    assert!(asking.desk.dummies().unwrap().is_empty());
}
