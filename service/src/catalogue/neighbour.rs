//! What stands beside a liquid and is none of the catalogue.

use super::search::folded;
use super::source::seen;
use super::substance::KeyFault;
use serde::Deserialize;

/// The file `neighbours.toml`.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Neighbours {
    /// The neighbours.
    pub neighbour: Vec<Neighbour>,
}

/// A family by which something is kept apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Family {
    /// A mineral acid that oxidises.
    OxidisingAcid,
    /// Another mineral acid, or what makes one with water.
    Acid,
    /// A base.
    Base,
    /// An oxidiser.
    Oxidiser,
    /// An alkali metal, or one that reacts with water as they do.
    AlkaliMetal,
    /// What reacts with water.
    WaterReactive,
    /// What gives off a gas with water that burns.
    GivesFlammableGas,
    /// A metal that reduces, as powder, turnings or ribbon.
    MetalPowder,
    /// A solution in water.
    Aqueous,
    /// A salt that is kept apart from none of these liquids.
    Salt,
}

/// Something that is kept beside liquids.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Neighbour {
    /// Its name.
    pub name: String,
    /// Other names.
    #[serde(default)]
    pub names: Vec<String>,
    /// Its families.
    pub families: Vec<Family>,
    /// How they were seen.
    pub seen: String,
}

impl Neighbours {
    /// Checks that each name stands for one thing and each neighbour has a family.
    ///
    /// # Errors
    /// Key and reason.
    pub fn check(&self, taken: impl Fn(&str) -> bool) -> Result<(), KeyFault> {
        let mut known: Vec<String> = Vec::new();
        for one in &self.neighbour {
            let fault = |reason: String| Err((one.name.clone(), reason));
            if one.families.is_empty() {
                return fault("it has no family".to_owned());
            }
            if seen(&one.seen).is_none() {
                return fault(format!("`seen` is `{}`", one.seen));
            }
            for name in one.all_names() {
                let folded = folded(name);
                if taken(name) || known.contains(&folded) {
                    return fault(format!("the name `{name}` stands for something else already"));
                }
                known.push(folded);
            }
        }
        Ok(())
    }

    /// The neighbour that a text names.
    #[must_use]
    pub fn named(&self, text: &str) -> Option<&Neighbour> {
        let text = folded(text);
        self.neighbour.iter().find(|one| one.all_names().any(|name| folded(name) == text))
    }
}

impl Neighbour {
    fn all_names(&self) -> impl Iterator<Item = &str> {
        std::iter::once(self.name.as_str()).chain(self.names.iter().map(String::as_str))
    }
}
