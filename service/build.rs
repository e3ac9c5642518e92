//! Lists the files of the catalogue and the problem pages for embedding: a new substance is a new file and nothing else.

use std::fmt::Write as _;
use std::{env, fs, io, path::Path};

fn main() -> io::Result<()> {
    println!("cargo::rerun-if-changed=catalogue");
    println!("cargo::rerun-if-changed=pages/problems");
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    write_list("catalogue_files.rs", &here.join("catalogue"), &["", "substances/"], ".toml")?;
    write_list("problem_pages.rs", &here.join("pages/problems"), &[""], ".md")
}

fn write_list(file: &str, folder: &Path, parts: &[&str], ending: &str) -> io::Result<()> {
    let mut names = Vec::new();
    for part in parts {
        for entry in fs::read_dir(folder.join(part))? {
            let name = entry?.file_name().to_string_lossy().into_owned();
            if name.ends_with(ending) {
                names.push(format!("{part}{name}"));
            }
        }
    }
    // The order decides the catalogue's digest and must not depend on the file system.
    names.sort();
    let mut list = String::from("&[\n");
    for name in names {
        let path = folder.join(&name);
        writeln!(list, "    ({name:?}, include_str!({path:?})),").map_err(io::Error::other)?;
    }
    list.push(']');
    let out = env::var_os("OUT_DIR").ok_or_else(|| io::Error::other("OUT_DIR is not set"))?;
    fs::write(Path::new(&out).join(file), list)
}
