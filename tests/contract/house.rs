//! The direction of the house: http and command -> question -> physics -> quantity; catalogue feeds question.

use std::fs;
use std::path::Path;

fn uses(folder: &str) -> Vec<(String, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../service/src").join(folder);
    let mut found = Vec::new();
    for entry in fs::read_dir(root).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|ending| ending == "rs") {
            found.push((path.display().to_string(), fs::read_to_string(path).unwrap()));
        }
    }
    found
}

#[test]
fn no_folder_reaches_up_the_house() {
    let forbidden: &[(&str, &[&str])] = &[
        (
            "quantity",
            &["crate::physics", "crate::catalogue", "crate::question", "crate::http", "brimline_openapi"],
        ),
        (
            "physics",
            &["crate::catalogue", "crate::question", "crate::http", "serde_json", "brimline_openapi"],
        ),
        ("question", &["crate::http", "crate::command", "actix"]),
        ("http", &["crate::physics", "uom::"]),
        ("command", &["crate::physics", "uom::"]),
    ];
    for (folder, words) in forbidden {
        for (file, text) in uses(folder) {
            for word in *words {
                assert!(!text.contains(word), "{file} uses {word}");
            }
        }
    }
}
