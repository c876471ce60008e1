use desk::{Desk, NewBook};
use testkit::{Folder, digests};

use crate::shelf;

fn request(folder: &Folder) -> NewBook {
    NewBook {
        folder: folder.at("book"),
        art: folder.at("studio"),
        title: "Tidal".to_owned(),
        author: "A. Body".to_owned(),
        trim: "100x120mm".parse().unwrap(),
        copy: true,
    }
}

fn studio() -> Folder {
    Folder::new()
        .with("studio/sea.png", shelf::sea(300, 200))
        .with("studio/moors/tall.png", shelf::moor(200, 300))
        .with("studio/.hidden.png", shelf::sea(20, 20))
        .with("studio/notes.txt", "nothing to see")
        .with("studio/a picture without an ending", shelf::sea(40, 40))
}

#[test]
fn a_new_book_holds_every_picture_whatever_its_file_name_and_nothing_else() {
    let folder = studio();
    let before = digests(&folder.at("studio"), &[]);
    let desk = Desk::create(&request(&folder)).unwrap();
    let snapshot = desk.snapshot().unwrap();
    let names: Vec<&str> = snapshot
        .pieces
        .iter()
        .map(|piece| piece.name.as_str())
        .collect();
    assert_eq!(
        names,
        ["a picture without an ending", "moors/tall.png", "sea.png"]
    );
    assert!(snapshot.pieces.iter().all(|piece| !piece.pages.is_empty()));
    assert_eq!(digests(&folder.at("studio"), &[]), before);
    let history = desk.history().unwrap();
    assert_eq!(history.undo, None);
}

#[test]
fn linked_art_follows_the_original() {
    let folder = studio();
    let desk = Desk::create(&NewBook {
        copy: false,
        ..request(&folder)
    })
    .unwrap();
    let size = |desk: &Desk| {
        let snapshot = desk.snapshot().unwrap();
        let piece = snapshot
            .pieces
            .iter()
            .find(|piece| piece.name == "sea.png")
            .unwrap();
        piece.size.clone().unwrap().width
    };
    assert_eq!(size(&desk), 300);
    folder.put("studio/sea.png", shelf::sea(310, 200));
    assert_eq!(size(&desk), 310);
    std::fs::remove_file(folder.at("studio/sea.png")).unwrap();
    let snapshot = desk.snapshot().unwrap();
    let gone = snapshot
        .pieces
        .iter()
        .find(|piece| piece.name == "sea.png")
        .unwrap();
    assert_eq!(
        gone.size.as_ref().unwrap_err(),
        "the link leads to a file that is not there"
    );
}

#[test]
fn a_taken_folder_is_refused_and_left_alone() {
    let folder = studio().with("book/thesis.doc", "years of work");
    let before = digests(folder.path(), &[]);
    let error = Desk::create(&request(&folder)).unwrap_err();
    assert_eq!(error.problem, "there is something in this place already");
    assert_eq!(digests(folder.path(), &[]), before);
}

#[test]
fn an_empty_folder_is_used() {
    let folder = studio();
    std::fs::create_dir(folder.at("book")).unwrap();
    Desk::create(&request(&folder)).unwrap();
}

#[test]
fn folders_on_the_way_are_made_and_go_again_when_it_fails() {
    let folder = studio();
    let deep = NewBook {
        folder: folder.at("shelf/upper/book"),
        ..request(&folder)
    };
    Desk::create(&deep).unwrap();
    let nowhere = NewBook {
        folder: folder.at("other/upper/book"),
        title: String::new(),
        ..request(&folder)
    };
    let error = Desk::create(&nowhere).unwrap_err();
    assert!(error.place.starts_with("the new book"), "{error}");
    assert!(!folder.at("other").exists());
}

#[test]
fn a_folder_without_pictures_is_no_art() {
    let folder = Folder::new().with("studio/notes.txt", "nothing to see");
    let before = digests(folder.path(), &[]);
    let error = Desk::create(&request(&folder)).unwrap_err();
    assert_eq!(
        error.problem,
        "there is no JPEG, PNG, TIFF or WebP picture in this folder"
    );
    assert_eq!(digests(folder.path(), &[]), before);
    let nowhere = Folder::new();
    let error = Desk::create(&request(&nowhere)).unwrap_err();
    assert_eq!(error.problem, "this is not a folder of art");
}

#[test]
fn a_book_inside_its_folder_of_art_does_not_eat_itself() {
    let folder = studio();
    let inside = NewBook {
        folder: folder.at("studio/book"),
        ..request(&folder)
    };
    let desk = Desk::create(&inside).unwrap();
    assert_eq!(desk.snapshot().unwrap().pieces.len(), 3);
}

#[test]
fn a_picture_that_cannot_be_read_comes_along_and_is_named() {
    let mut cut = shelf::sea(300, 300);
    cut.truncate(20);
    let folder = studio().with("studio/cut.png", cut);
    let desk = Desk::create(&request(&folder)).unwrap();
    let snapshot = desk.snapshot().unwrap();
    let finding = snapshot
        .findings
        .iter()
        .find(|finding| finding.code == "art-unreadable")
        .unwrap();
    assert!(finding.message.starts_with("`cut.png` cannot be used"));
}

#[test]
fn a_folder_without_a_book_says_what_to_do() {
    let folder = Folder::new();
    let error = Desk::open(folder.path()).unwrap_err();
    assert!(error.problem.contains("no book in this folder"));
    assert!(error.hint.contains("foredge new"));
    let error = Desk::open(&folder.at("nowhere")).unwrap_err();
    assert_eq!(error.problem, "there is no such folder");
}
