//! Finding a substance by what people call it.

use std::collections::BTreeMap;

/// What a name stands for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Named {
    /// The substance at this place of the catalogue.
    Substance(usize),
    /// The mixture at this place of the catalogue.
    Mixture(usize),
    /// One of several: their names.
    Ambiguous(Vec<String>),
}

/// All names, folded to lower case.
#[derive(Debug, Default)]
pub struct Index {
    names: BTreeMap<String, (String, Named)>,
}

/// How many nearest names are offered.
const OFFERED: usize = 3;
/// Longest text that is held against names letter by letter, octets: the time grows with it, and no name is as long.
const LONGEST: usize = 100;
/// Names less alike than this are not offered.
const ALIKE: f64 = 0.75;

/// Lower case, words parted by single spaces.
#[must_use]
pub fn folded(name: &str) -> String {
    name.trim().to_lowercase().split_whitespace().collect::<Vec<_>>().join(" ")
}

impl Index {
    /// Adds a name.
    ///
    /// # Errors
    /// The name already stands for something else.
    pub fn add(&mut self, name: &str, named: Named) -> Result<(), String> {
        match self.names.get(&folded(name)) {
            Some((_, other)) if *other != named => {
                Err(format!("the name `{name}` stands for something else already"))
            }
            Some(_) => Ok(()),
            None => {
                self.names.insert(folded(name), (name.to_owned(), named));
                Ok(())
            }
        }
    }

    /// What a name stands for.
    #[must_use]
    pub fn find(&self, name: &str) -> Option<&Named> {
        self.names.get(name).or_else(|| self.names.get(&folded(name))).map(|(_, named)| named)
    }

    /// The nearest known names, best first.
    #[must_use]
    pub fn nearest(&self, name: &str) -> Vec<&str> {
        let asked = folded(name);
        if asked.len() > LONGEST {
            return Vec::new();
        }
        let alike = |known: &str| {
            strsim::jaro_winkler(known, &asked).max(strsim::normalized_damerau_levenshtein(known, &asked))
        };
        let mut scored: Vec<(f64, &str)> = self
            .names
            .iter()
            .map(|(known, (shown, _))| (alike(known), shown.as_str()))
            .filter(|(score, _)| *score >= ALIKE)
            .collect();
        scored.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(b.1)));
        scored.into_iter().take(OFFERED).map(|(_, shown)| shown).collect()
    }

    /// How well a name of a substance matches a search text: 3 whole, 2 from the start, 1 inside or nearly; 0 not.
    #[must_use]
    pub fn score(names: &[&str], text: &str) -> u8 {
        let asked = folded(text);
        let near = |name: &str| {
            asked.len() <= LONGEST && strsim::normalized_damerau_levenshtein(name, &asked) >= ALIKE
        };
        let one = |name: &&str| {
            let name = folded(name);
            if name == asked {
                3
            } else if name.starts_with(&asked) {
                2
            } else if name.contains(&asked) || near(&name) {
                1
            } else {
                0
            }
        };
        names.iter().map(one).max().unwrap_or(0)
    }
}
