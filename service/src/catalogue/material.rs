//! What vessels are made of.

use super::source::seen;
use super::substance::KeyFault;
use brimline_openapi::Seen;
use serde::Deserialize;

/// The file `materials.toml`.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Materials {
    /// The materials, in the order in which their words are looked for.
    pub material: Vec<Material>,
}

/// What becomes of a material in the heat.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// It cracks when one side is much hotter than the other.
    Brittle,
    /// It bends and does not crack.
    Ductile,
    /// It melts or burns: nothing is burnt or kept hot in it.
    MeltsOrBurns,
}

/// A material.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Material {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Words of a text that mean it.
    pub words: Vec<String>,
    /// What becomes of it.
    pub kind: Kind,
    /// Density, kg/m3.
    #[serde(default)]
    pub density: f64,
    /// Heat capacity, J/(kg K).
    #[serde(default)]
    pub heat_capacity: f64,
    /// Thermal conductivity, W/(m K).
    #[serde(default)]
    pub conductivity: f64,
    /// Linear expansion, 1/K.
    #[serde(default)]
    pub expansion: f64,
    /// Young's modulus, GPa.
    #[serde(default)]
    pub modulus: f64,
    /// Poisson's ratio.
    #[serde(default)]
    pub poisson: f64,
    /// Tensile strength in use, MPa.
    #[serde(default)]
    pub strength: f64,
    /// The same of scratched ware, MPa.
    #[serde(default)]
    pub strength_scratched: f64,
    /// Temperature of the wall where a liquid has burnt dry, Cel.
    #[serde(default)]
    pub burnt_dry: f64,
    /// Thin end of usual walls, mm.
    #[serde(default)]
    pub wall_low: f64,
    /// Usual wall, mm.
    #[serde(default)]
    pub wall: f64,
    /// Thick end of usual walls, mm.
    #[serde(default)]
    pub wall_high: f64,
    /// Key of the source.
    pub source: String,
    /// How it was seen.
    pub seen: String,
}

/// The id of the glass that is taken where a text names none that is known.
const WEAKEST: &str = "unknown_glass";

impl Materials {
    /// Checks the figures and sources.
    ///
    /// # Errors
    /// Key and reason.
    pub fn check(&self, sources: impl Fn(&str) -> bool) -> Result<(), KeyFault> {
        for one in &self.material {
            let fault = |reason: String| Err((one.id.clone(), reason));
            if !sources(&one.source) {
                return fault(format!("the source `{}` is not in sources.toml", one.source));
            }
            if seen(&one.seen).is_none() {
                return fault(format!("`seen` is `{}`", one.seen));
            }
            let holds = [one.density, one.heat_capacity, one.conductivity, one.burnt_dry, one.wall_low];
            let cracks = [one.expansion, one.modulus, one.poisson, one.strength_scratched];
            let whole = match one.kind {
                Kind::MeltsOrBurns => true,
                Kind::Ductile => holds.iter().all(|figure| *figure > 0.0),
                Kind::Brittle => holds.iter().chain(&cracks).all(|figure| *figure > 0.0),
            };
            if !whole || one.wall_low > one.wall || one.wall > one.wall_high {
                return fault("a figure is missing or a range is turned".to_owned());
            }
        }
        if self.material.iter().any(|one| one.id == WEAKEST) {
            Ok(())
        } else {
            Err((WEAKEST.to_owned(), "this material is missing".to_owned()))
        }
    }

    /// The material that a text names; the second tells whether it does. What is not known is taken for the weakest glass.
    #[must_use]
    pub fn named(&self, text: &str) -> Option<(&Material, bool)> {
        let text = plain(text);
        let holds = |word: &String| format!(" {text} ").contains(&format!(" {} ", plain(word)));
        let found = self.material.iter().find(|one| one.words.iter().any(holds));
        let weakest = || self.material.iter().find(|one| one.id == WEAKEST);
        found.map(|one| (one, one.id != WEAKEST)).or_else(|| weakest().map(|one| (one, false)))
    }
}

/// Small letters, words parted by single spaces.
fn plain(text: &str) -> String {
    let spaced: String = text
        .chars()
        .map(|letter| if letter.is_alphanumeric() { letter.to_ascii_lowercase() } else { ' ' })
        .collect();
    spaced.split_whitespace().collect::<Vec<_>>().join(" ")
}

impl Material {
    /// How it was seen; the words were checked at the start.
    #[must_use]
    pub fn seen(&self) -> Seen {
        seen(&self.seen).unwrap_or(Seen::Memory)
    }
}
