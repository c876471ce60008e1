use std::time::Duration;

use axum::http::StatusCode;
use http_body_util::BodyExt;

use crate::asking::{Asking, bytes, header, text};

/// Reads the events until the work is over; gives every state that was sent.
pub async fn watched(asking: &Asking) -> Vec<serde_json::Value> {
    let mut body = asking.get("/work/events").await.into_body();
    let mut states = Vec::new();
    loop {
        let frame = tokio::time::timeout(Duration::from_secs(60), body.frame());
        let frame = frame.await.expect("an event in time").unwrap().unwrap();
        let text = String::from_utf8(frame.into_data().unwrap().to_vec()).unwrap();
        for line in text.lines().filter_map(|line| line.strip_prefix("data: ")) {
            let state: serde_json::Value = serde_json::from_str(line).unwrap();
            let over = state["state"] != "running";
            states.push(state);
            if over {
                return states;
            }
        }
    }
}

#[tokio::test]
async fn at_rest_the_events_say_so() {
    let asking = Asking::small().entered().await;
    let states = watched(&asking).await;
    assert_eq!(states.len(), 1);
    assert_eq!(states[0]["state"], "idle");
}

#[tokio::test]
async fn press_files_are_made_checked_and_given() {
    let asking = Asking::small().entered().await;
    assert_eq!(
        asking.get("/press/interior.pdf").await.status(),
        StatusCode::NOT_FOUND
    );
    let answer = asking.post("/work/press", "").await;
    assert_eq!(header(&answer, "location"), "/");
    let states = watched(&asking).await;
    let last = states.last().unwrap();
    assert_eq!(last["state"], "done", "{last}");
    assert!(
        last["said"].as_str().unwrap().contains("Checked them"),
        "{last}"
    );
    for file in ["interior.pdf", "cover.pdf", "drawing.pdf"] {
        let answer = asking.get(&format!("/press/{file}")).await;
        assert_eq!(header(&answer, "content-type"), "application/pdf");
        let disposition = header(&answer, "content-disposition");
        assert_eq!(disposition, format!("attachment; filename=\"{file}\""));
        let given = bytes(answer).await;
        let written = std::fs::read(asking.folder.at(&format!("press/{file}"))).unwrap();
        assert!(given.starts_with(b"%PDF-") && given == written);
    }
    let page = text(asking.get("/").await).await;
    assert!(page.contains("href=\"/press/interior.pdf\""));
    assert!(page.contains("Check of interior.pdf"));
    assert!(page.contains("href=\"/press/drawing.pdf\""));
}

#[tokio::test]
async fn the_drawing_is_given_without_making_press_files() {
    let asking = Asking::small().entered().await;
    let page = text(asking.get("/object").await).await;
    assert!(page.contains("href=\"/object/drawing.pdf\""));
    let answer = asking.get("/object/drawing.pdf").await;
    assert_eq!(header(&answer, "content-type"), "application/pdf");
    assert_eq!(
        header(&answer, "content-disposition"),
        "attachment; filename=\"drawing.pdf\""
    );
    assert!(bytes(answer).await.starts_with(b"%PDF-"));
}

#[tokio::test]
async fn only_one_thing_is_in_hand_at_a_time() {
    let asking = Asking::small().entered().await;
    asking.post("/work/press", "").await;
    let (status, answer) = asking.script("/work/judge", "").await;
    assert_eq!(status, StatusCode::CONFLICT);
    assert_eq!(answer["said"], "Foredge is still making press files.");
    watched(&asking).await;
    let (status, _) = asking.script("/work/judge", "").await;
    assert_eq!(status, StatusCode::ACCEPTED);
    assert_eq!(watched(&asking).await.last().unwrap()["state"], "done");
}

#[tokio::test]
async fn stopped_work_leaves_nothing_half_made() {
    let asking = Asking::small().entered().await;
    asking.post("/work/press", "").await;
    asking.post("/work/stop", "").await;
    let states = watched(&asking).await;
    let last = states.last().unwrap();
    assert_eq!(last["state"], "stopped", "{last}");
    assert!(!asking.folder.at("press/interior.pdf").exists());
    assert_eq!(asking.get("/").await.status(), StatusCode::OK);
}

#[tokio::test]
async fn judged_art_carries_its_judgement() {
    let asking = Asking::small().entered().await;
    let before = text(asking.get("/art").await).await;
    assert!(!before.contains("Needs a look"));
    asking.post("/work/judge", "").await;
    assert_eq!(watched(&asking).await.last().unwrap()["state"], "done");
    let page = text(asking.get("/art").await).await;
    assert!(page.contains("Needs a look: "));
    assert!(page.contains("art-"), "findings keep their codes");
    let looks = text(asking.get("/art?show=look").await).await;
    assert!(
        looks.matches("<li class=\"piece\"").count() <= page.matches("<li class=\"piece\"").count()
    );
}

#[tokio::test]
async fn art_that_is_lost_stops_the_press_with_a_reason() {
    let asking = Asking::small().entered().await;
    std::fs::remove_file(asking.folder.at("art/lantern.png")).unwrap();
    asking.post("/work/press", "").await;
    let states = watched(&asking).await;
    let last = states.last().unwrap();
    assert_eq!(last["state"], "failed", "{last}");
    let page = text(asking.get("/").await).await;
    assert!(page.contains("lantern.png") && page.contains("role=\"alert\""));
}

#[tokio::test]
async fn unknown_work_is_not_begun() {
    let asking = Asking::small().entered().await;
    assert_eq!(
        asking.post("/work/dance", "").await.status(),
        StatusCode::NOT_FOUND
    );
}
