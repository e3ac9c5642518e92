//! Elements that colour a flame, and their salts.

use super::substance::KeyFault;
use serde::Deserialize;
use std::collections::BTreeSet;

/// The file `flame_elements.toml`.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FlameElements {
    /// The elements.
    pub element: Vec<Element>,
    /// Their salts.
    pub salt: Vec<Salt>,
}

/// How far the light of free atoms explains what is seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Model {
    /// It does: a colour can be computed.
    ThinGas,
    /// Most of it cannot be seen: shares can be computed, no colour.
    OutsideVisible,
    /// Molecules give the light.
    Bands,
}

/// An element.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Element {
    /// Its symbol.
    pub symbol: String,
    /// Its name.
    pub name: String,
    /// Other spellings.
    #[serde(default)]
    pub names: Vec<String>,
    /// How far the light of its atoms explains what is seen.
    pub model: Model,
    /// The colour in words.
    pub words: String,
    /// Why it is so, and why it is not computed where it is not.
    pub why: String,
}

/// A salt.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Salt {
    /// Its name.
    pub name: String,
    /// Its formula, without water of crystallisation.
    pub formula: String,
    /// Other names.
    #[serde(default)]
    pub names: Vec<String>,
    /// Symbol of the element that gives the colour.
    pub element: String,
    /// What kind of salt it is, such as `chloride`.
    pub anion: String,
    /// A caution of its own.
    pub caution: Option<String>,
    /// Why it is not answered, where it is not.
    pub refused: Option<String>,
}

/// A name as it is compared: without case, spaces at the ends and subscripts.
fn folded(text: &str) -> String {
    let plain = |letter: char| match letter {
        '₀'..='₉' => char::from_digit(u32::from(letter) - u32::from('₀'), 10).unwrap_or(letter),
        other => other,
    };
    text.trim().chars().map(plain).flat_map(char::to_lowercase).collect()
}

impl FlameElements {
    /// Whether each salt is one of an element, and no name stands for two.
    ///
    /// # Errors
    /// Key and reason.
    pub fn check(&self) -> Result<(), KeyFault> {
        let mut names = BTreeSet::new();
        for salt in &self.salt {
            if self.of(salt).is_none() {
                return Err(("element".to_owned(), format!("{}: no element `{}`", salt.name, salt.element)));
            }
            for name in salt.all_names() {
                if !names.insert(folded(name)) {
                    return Err(("salt".to_owned(), format!("`{name}` stands for two salts")));
                }
            }
        }
        Ok(())
    }

    /// An element by its symbol, or a name without regard to case.
    #[must_use]
    pub fn element(&self, text: &str) -> Option<&Element> {
        let folded_text = folded(text);
        let by_symbol = self.element.iter().find(|element| element.symbol == text.trim());
        by_symbol.or_else(|| {
            self.element.iter().find(|element| {
                std::iter::once(&element.name).chain(&element.names).any(|name| folded(name) == folded_text)
            })
        })
    }

    /// A salt by a name or its formula, without regard to case.
    #[must_use]
    pub fn salt(&self, text: &str) -> Option<&Salt> {
        let text = folded(text);
        self.salt.iter().find(|salt| salt.all_names().any(|name| folded(name) == text))
    }

    /// The element that gives the colour of a salt.
    #[must_use]
    pub fn of(&self, salt: &Salt) -> Option<&Element> {
        self.element.iter().find(|element| element.symbol == salt.element)
    }

    /// The names of all salts.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.salt.iter().flat_map(Salt::all_names)
    }
}

impl Salt {
    /// Whether it gives off oxygen in the heat, so that what burns beside it burns fiercely.
    #[must_use]
    pub fn oxidises(&self) -> bool {
        self.anion == "nitrate"
    }

    fn all_names(&self) -> impl Iterator<Item = &str> {
        [&self.name, &self.formula].into_iter().chain(&self.names).map(String::as_str)
    }
}

#[cfg(test)]
mod tests {
    use crate::catalogue::catalogue;

    #[test]
    fn elements_and_salts_are_found_by_symbol_name_and_formula() {
        let known = &catalogue().unwrap().flame_elements;
        for text in ["Cs", "caesium", "Cesium", " CAESIUM "] {
            assert_eq!(known.element(text).unwrap().symbol, "Cs", "{text}");
        }
        assert!(known.element("cs").is_none() && known.element("iron").is_none());
        for text in ["copper chloride", "CuCl2", "CuCl₂", "Copper(II) Chloride"] {
            assert_eq!(known.salt(text).unwrap().name, "copper(II) chloride", "{text}");
        }
        assert!(known.salt("potassium chlorate").unwrap().refused.is_some());
    }
}
