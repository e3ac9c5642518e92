//! Reads the files of the pages of methods and sets their equations as MathML Core: a fault stops the build, and the program needs
//! no library for it.

use pulldown_latex::config::DisplayMode;
use pulldown_latex::{Parser, RenderConfig, Storage, push_mathml};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A page as it stands in its file, and as it is embedded: equations in LaTeX, then in MathML.
#[derive(Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Page {
    title: String,
    equations: Vec<String>,
    /// Symbol, meaning, unit.
    symbols: Vec<[String; 3]>,
    example: Example,
}

/// A worked example.
#[derive(Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
struct Example {
    question: String,
    request: String,
    /// Place in the reply, what it tells.
    figures: Vec<[String; 2]>,
    /// Equations with a name between two `@` for each number that is put in.
    #[serde(default)]
    put_in: Vec<String>,
    /// Where each of these numbers is found.
    #[serde(default)]
    values: BTreeMap<String, String>,
}

/// Reads a file.
///
/// # Errors
/// What is wrong with it, in words.
pub fn read(text: &str) -> Result<Page, String> {
    let mut page: Page = toml::from_str(text).map_err(|error| error.to_string())?;
    for equation in page.equations.iter_mut().chain(&mut page.example.put_in) {
        *equation = set(equation, DisplayMode::Block)?;
    }
    for [symbol, ..] in &mut page.symbols {
        *symbol = set(symbol, DisplayMode::Inline)?;
    }
    Ok(page)
}

/// An equation as MathML.
fn set(latex: &str, display_mode: DisplayMode) -> Result<String, String> {
    let mut named = String::new();
    for (index, part) in latex.split('@').enumerate() {
        if index % 2 == 0 {
            named.push_str(part);
        } else {
            named.push_str(&format!("{{\\text{{@{part}@}}}}"));
        }
    }
    let storage = Storage::new();
    let mut mathml = String::new();
    let config = RenderConfig { display_mode, ..RenderConfig::default() };
    push_mathml(&mut mathml, Parser::new(&named, &storage), config).map_err(|error| error.to_string())?;
    if mathml.contains("<merror") {
        return Err(format!("{latex}: {mathml}"));
    }
    // The library writes the sign bare, and a minus before a number as a letter.
    Ok(mathml.replace("<mo><</mo>", "<mo>&lt;</mo>").replace("<mi>−</mi>", "<mo form=\"prefix\">−</mo>"))
}
