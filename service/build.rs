//! Lists the files of the catalogue and the problem pages for embedding: a new substance is a new file and nothing else.
//! The catalogue is embedded as JSON, which loads ten times faster than TOML; a fault of the TOML stops the build.
//! What CHANGELOG.md says of figures is embedded as JSON, too; a point without a valid lead stops the build. So are the pages of
//! methods, their equations set as MathML.

#[path = "src/catalogue/change_log.rs"]
mod change_log;
#[path = "build/methods.rs"]
mod methods;

use brimline_openapi::operations::QUESTIONS;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::{env, fs, io};

/// Folders with pages as Markdown.
const PAGES: [&str; 2] = ["guides", "problems"];

fn main() -> io::Result<()> {
    println!("cargo::rerun-if-changed=catalogue");
    for folder in PAGES {
        println!("cargo::rerun-if-changed=pages/{folder}");
    }
    println!("cargo::rerun-if-changed=pages/methods");
    println!("cargo::rerun-if-changed=src/catalogue/change_log.rs");
    println!("cargo::rerun-if-changed=../CHANGELOG.md");
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let out = PathBuf::from(env::var_os("OUT_DIR").ok_or_else(|| io::Error::other("OUT_DIR is not set"))?);
    let catalogue = here.join("catalogue");
    let mut files = Vec::new();
    let mut rules = Vec::new();
    for name in names(&catalogue, &["", "substances/"], ".toml")? {
        let value: toml::Value = toml::from_str(&fs::read_to_string(catalogue.join(&name))?)
            .map_err(|error| io::Error::other(format!("catalogue/{name}: {error}")))?;
        if name == "rules.toml" {
            rules.extend(value.as_table().into_iter().flat_map(toml::Table::keys).cloned());
        }
        let json = out.join(format!("{}.json", name.replace('/', "-")));
        fs::write(&json, serde_json::to_string(&value)?)?;
        files.push((name, json));
    }
    write_list(&out.join("catalogue_files.rs"), &files)?;
    let id = |(name, _): &(String, PathBuf)| {
        name.strip_prefix("substances/").and_then(|name| name.strip_suffix(".toml")).map(str::to_owned)
    };
    let known = change_log::Known {
        questions: QUESTIONS.iter().map(|question| question.name.to_owned()).collect(),
        substances: files.iter().filter_map(id).collect(),
        rules,
    };
    let log = fs::read_to_string(here.join("../CHANGELOG.md"))?;
    let changes = change_log::read(&log, &known).map_err(io::Error::other)?;
    fs::write(out.join("changes.json"), serde_json::to_string(&changes)?)?;
    for folder in PAGES {
        let pages = here.join("pages").join(folder);
        let pages: Vec<_> =
            names(&pages, &[""], ".md")?.into_iter().map(|name| (name.clone(), pages.join(name))).collect();
        write_list(&out.join(format!("{folder}_pages.rs")), &pages)?;
    }
    let folder = here.join("pages/methods");
    let mut pages = BTreeMap::new();
    for name in names(&folder, &[""], ".toml")? {
        let page = methods::read(&fs::read_to_string(folder.join(&name))?)
            .map_err(|error| io::Error::other(format!("pages/methods/{name}: {error}")))?;
        pages.insert(name.trim_end_matches(".toml").to_owned(), page);
    }
    fs::write(out.join("methods.json"), serde_json::to_string(&pages)?)?;
    Ok(())
}

/// The files of some folders, sorted: the order decides the catalogue's digest and must not depend on the file system.
fn names(folder: &Path, parts: &[&str], ending: &str) -> io::Result<Vec<String>> {
    let mut names = Vec::new();
    for part in parts {
        for entry in fs::read_dir(folder.join(part))? {
            let name = entry?.file_name().to_string_lossy().into_owned();
            if name.ends_with(ending) {
                names.push(format!("{part}{name}"));
            }
        }
    }
    names.sort();
    Ok(names)
}

fn write_list(list: &Path, files: &[(String, PathBuf)]) -> io::Result<()> {
    let mut text = String::from("&[\n");
    for (name, path) in files {
        writeln!(text, "    ({name:?}, include_str!({path:?})),").map_err(io::Error::other)?;
    }
    text.push(']');
    fs::write(list, text)
}
