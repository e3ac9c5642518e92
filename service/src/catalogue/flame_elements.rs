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
    /// Kinds of compounds that are never answered, whatever their metal.
    pub never: Vec<Never>,
}

/// A kind of compound that is never answered.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Never {
    /// Words that are all in its name.
    pub words: Vec<String>,
    /// Why.
    pub reason: String,
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
    /// How strong the first line of its atoms is beside the strongest band, where bands dominate.
    pub line: Option<f64>,
    /// A caution for every salt of it.
    pub caution: Option<String>,
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
    /// The colour in words, where it is not that of the element with any salt.
    pub words: Option<String>,
    /// A caution of its own.
    pub caution: Option<String>,
    /// Why it is held on a wire alone: a mist of it would be breathed in.
    pub not_sprayed: Option<String>,
    /// Why it is not answered, where it is not.
    pub refused: Option<String>,
}

/// A name as it is compared: without case, spaces and subscripts.
fn folded(text: &str) -> String {
    let plain = |letter: char| match letter {
        '₀'..='₉' => char::from_digit(u32::from(letter) - u32::from('₀'), 10).unwrap_or(letter),
        other => other,
    };
    text.chars().filter(|letter| !letter.is_whitespace()).map(plain).flat_map(char::to_lowercase).collect()
}

/// What may stand between a formula and its water of crystallisation.
const BEFORE_WATER: [char; 10] = ['·', '•', '∙', '⋅', '.', '*', ',', '×', 'x', '-'];

/// Folded names that mean the same salt, without what they say of water: it colours the flame alike.
fn without_water(folded: &str) -> Vec<String> {
    const COUNTS: [&str; 11] =
        ["hemi", "mono", "di", "tri", "tetra", "penta", "hexa", "hepta", "octa", "nona", "deca"];
    let text = ["(aq)", "(s)"].iter().find_map(|state| folded.strip_suffix(state)).unwrap_or(folded);
    let text = ["anhydrous", "hydrated"].iter().find_map(|start| text.strip_prefix(start)).unwrap_or(text);
    let text = text.strip_suffix("anhydrous").unwrap_or(text).trim_end_matches(['-', ',']);
    // Of a number between brackets the brackets may be left out.
    let text = text.replacen("copperii", "copper(ii)", 1);
    let mut found = vec![text.clone()];
    // As on a bottle: CuSO4·5H2O, Cu(NO3)2 x 2.5 H2O, copper(II) sulfate-5-water, copper(II) sulfate pentahydrate.
    if let Some(before) = text.strip_suffix("h2o") {
        let counts =
            |rest: &str| matches!(rest, "" | "x" | "n") || rest.parse::<f64>().is_ok_and(|count| count > 0.0);
        found.extend(
            before
                .match_indices(BEFORE_WATER)
                .filter(|(at, mark)| before.get(at + mark.len()..).is_some_and(counts))
                .filter_map(|(at, _)| before.get(..at).map(str::to_owned)),
        );
    }
    if let Some(before) = text.strip_suffix("-water") {
        let number = |letter: char| letter.is_ascii_digit() || letter == 'x' || letter == 'n';
        found.push(before.trim_end_matches(number).trim_end_matches('-').to_owned());
    }
    if let Some(before) = text.strip_suffix("hydrate") {
        let counted = COUNTS.iter().find_map(|count| before.strip_suffix(count));
        found.push(counted.unwrap_or(before).trim_end_matches(['-', ',']).to_owned());
    }
    found
}

impl FlameElements {
    /// Whether each salt is one of an element, and no name stands for two.
    ///
    /// # Errors
    /// Key and reason.
    pub fn check(&self) -> Result<(), KeyFault> {
        let mut names = BTreeSet::new();
        for element in &self.element {
            for name in [&element.symbol, &element.name].into_iter().chain(&element.names) {
                if !names.insert(folded(name)) {
                    return Err(("element".to_owned(), format!("`{name}` stands for two elements")));
                }
            }
        }
        names.clear();
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

    /// A salt by a name or its formula, without regard to case, spaces and water of crystallisation.
    #[must_use]
    pub fn salt(&self, text: &str) -> Option<&Salt> {
        let text = folded(text);
        let named =
            |text: &str| self.salt.iter().find(|salt| salt.all_names().any(|name| folded(name) == text));
        named(&text).or_else(|| without_water(&text).iter().find_map(|text| named(text)))
    }

    /// Why what a name stands for is never answered: it is of a kind that is not, or a slip of the pen away from one that is not.
    #[must_use]
    pub fn never(&self, text: &str, slip: usize) -> Option<String> {
        let lower = text.to_lowercase();
        let words: Vec<&str> =
            lower.split(|letter: char| !letter.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
        let kind =
            self.never.iter().find(|kind| kind.words.iter().all(|word| words.contains(&word.as_str())));
        if let Some(kind) = kind {
            return Some(kind.reason.clone());
        }
        let far = |salt: &Salt| {
            salt.all_names().map(|name| strsim::levenshtein(&lower, &name.to_lowercase())).min()
        };
        let nearest = self
            .salt
            .iter()
            .filter_map(|salt| Some((far(salt)?, salt.refused.is_none(), salt)))
            .min_by_key(|found| (found.0, found.1));
        let (distance, _, salt) = nearest?;
        // A formula of a few letters is near to many others.
        let long = lower.chars().count() > 3 * slip;
        (long && distance <= slip)
            .then(|| salt.refused.as_ref().map(|reason| format!("it reads like {}, and {reason}", salt.name)))
            .flatten()
    }

    /// The element that gives the colour of a salt.
    #[must_use]
    pub fn of(&self, salt: &Salt) -> Option<&Element> {
        self.element.iter().find(|element| element.symbol == salt.element)
    }

    /// The names of the salts that are answered: what may be suggested.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.salt.iter().filter(|salt| salt.refused.is_none()).flat_map(Salt::all_names)
    }
}

impl Salt {
    /// Whether it gives off oxygen in the heat, so that what burns beside it burns fiercely.
    #[must_use]
    pub fn oxidises(&self) -> bool {
        self.anion == "nitrate"
    }

    /// Whether little of it poisons.
    #[must_use]
    pub fn is_toxic(&self) -> bool {
        self.not_sprayed.as_deref() == Some("toxic")
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
        for text in ["copper chloride", "CuCl2", "CuCl₂", "Copper(II) Chloride", "copper (II)  chloride"] {
            assert_eq!(known.salt(text).unwrap().name, "copper(II) chloride", "{text}");
        }
        assert_eq!(known.salt("copper (I) chloride").unwrap().formula, "CuCl");
        assert_eq!(known.salt("cesium acetate").unwrap().name, "caesium ethanoate");
        assert!(known.salt("potassium chlorate").unwrap().refused.is_some());
    }

    #[test]
    fn water_of_crystallisation_is_no_other_salt() {
        let known = &catalogue().unwrap().flame_elements;
        for text in [
            "CuSO4·5H2O",
            "CuSO₄ · 5 H₂O",
            "CuSO4.5H2O",
            "CuSO4*xH2O",
            "copper(II) sulfate-5-water",
            "copper sulphate pentahydrate",
            "anhydrous copper(II) sulfate",
            "hydrated copper sulfate",
            "copper sulphate 5-water",
            "CuSO4 x 5 H2O",
            "CuSO4, 5H2O",
            "CuSO4-2.5H2O",
            "copper II sulfate",
            "CuSO4(aq)",
            "copper sulfate, anhydrous",
        ] {
            assert_eq!(known.salt(text).unwrap().name, "copper(II) sulfate", "{text}");
        }
        for text in ["5H2O", "-5-water", "pentahydrate", "anhydrous", "water", "h2o", "CuSO45H2O"] {
            assert!(known.salt(text).is_none(), "{text}");
        }
        assert!(known.salt("copper perchlorate hexahydrate").unwrap().refused.is_some());
    }

    /// Which kinds are oxidisers or explosives: from memory.
    #[test]
    fn what_is_never_answered_is_known_by_its_kind_and_through_a_slip() {
        let known = &catalogue().unwrap().flame_elements;
        for text in [
            "sodium chlorite",
            "copper iodate",
            "Ammonium nitrate",
            "potassium persulfate",
            "potasium chlorate",
            "sodium azide",
        ] {
            assert!(known.never(text, 2).is_some(), "{text}");
        }
        for text in ["sodium chlorid", "potasium cloride", "lithium nitride", "KCl", "ammonium chloride"] {
            assert!(known.never(text, 2).is_none(), "{text}");
        }
    }

    #[test]
    fn what_is_refused_is_never_suggested_and_each_caution_says_where_it_is_from() {
        let known = &catalogue().unwrap().flame_elements;
        assert!(known.names().all(|name| known.salt(name).unwrap().refused.is_none()));
        for salt in &known.salt {
            assert!(salt.caution.as_ref().is_none_or(|text| text.contains("from memory")), "{}", salt.name);
            assert!(!salt.oxidises() || salt.caution.as_ref().unwrap().contains("oxidiser"), "{}", salt.name);
        }
    }
}
