//! Every block of code in the guides is run as it is printed, one after the other, against a service that was just started.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    dead_code,
    reason = "a test fails that way; the gateway is for other tests"
)]

mod gateway;

use gateway::service;
use std::path::Path;
use std::process::Command;

/// The blocks of a guide: language and text.
fn blocks(guide: &str) -> Vec<(String, String)> {
    let mut blocks = Vec::new();
    let mut open: Option<(String, String)> = None;
    for line in guide.lines() {
        match (line.strip_prefix("```"), &mut open) {
            (Some(_), Some(_)) => blocks.extend(open.take()),
            (Some(language), None) => open = Some((language.to_owned(), String::new())),
            (None, Some((_, text))) => text.push_str(&format!("{line}\n")),
            (None, None) => {}
        }
    }
    assert!(open.is_none(), "a block has no end");
    blocks
}

fn run(name: &str, least: usize) {
    let pages = Path::new(env!("CARGO_MANIFEST_DIR")).join("pages/guides");
    let guide = std::fs::read_to_string(pages.join(format!("{name}.md"))).unwrap();
    let folder = std::env::temp_dir().join(format!("brimline-guide-{name}-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let program = Path::new(env!("CARGO_BIN_EXE_brimline")).parent().unwrap();
    let path = format!("{}:{}", program.display(), std::env::var("PATH").unwrap());
    let blocks = blocks(&guide);
    assert!(blocks.len() >= least, "{name}: {} blocks", blocks.len());
    for (language, text) in blocks {
        let text = text.replace("127.0.0.1:8080", &service().to_string());
        let (shell, flag) = match language.as_str() {
            "sh" => ("bash", "-euc"),
            "python" => ("python3", "-c"),
            other => panic!("{name}: nobody runs `{other}`"),
        };
        let ran = Command::new(shell)
            .args([flag, &text])
            .current_dir(&folder)
            .env("PATH", &path)
            .env("no_proxy", "127.0.0.1")
            .output()
            .unwrap_or_else(|error| panic!("{shell} cannot be started: {error}"));
        let told = String::from_utf8_lossy(&ran.stderr);
        assert!(ran.status.success(), "{name}:\n{text}\n{told}\n{}", String::from_utf8_lossy(&ran.stdout));
        // A traceback that was caught, or a refusal on the way, would be told here.
        assert!(!told.contains("Traceback") && !told.contains("/problems/"), "{name}:\n{text}\n{told}");
    }
    std::fs::remove_dir_all(&folder).unwrap();
}

#[test]
fn a_plug_in_in_an_afternoon() {
    run("plug-in", 4);
}

#[test]
fn plan_lessons_from_a_script() {
    run("planning", 7);
}

#[test]
fn charts_over_a_group() {
    run("charts", 4);
}

#[test]
fn flame_colours() {
    run("flame-colours", 2);
}

#[test]
fn versions() {
    run("versions", 2);
}

/// A guide that is added is run as well.
#[test]
fn every_guide_has_a_test() {
    let pages = Path::new(env!("CARGO_MANIFEST_DIR")).join("pages/guides");
    let mut names: Vec<_> = std::fs::read_dir(pages)
        .unwrap()
        .map(|file| file.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    assert_eq!(names, ["charts.md", "flame-colours.md", "planning.md", "plug-in.md", "versions.md"]);
}
