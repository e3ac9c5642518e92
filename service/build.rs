//! Lists the catalogue's files for embedding: a new substance is a new file and nothing else.

use std::fmt::Write as _;
use std::{env, fs, io, path::Path};

fn main() -> io::Result<()> {
    println!("cargo::rerun-if-changed=catalogue");
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("catalogue");
    let mut names = Vec::new();
    for (sub, prefix) in [(folder.clone(), ""), (folder.join("substances"), "substances/")] {
        for entry in fs::read_dir(sub)? {
            let name = entry?.file_name().to_string_lossy().into_owned();
            if name.ends_with(".toml") {
                names.push(format!("{prefix}{name}"));
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
    fs::write(Path::new(&out).join("catalogue_files.rs"), list)
}
