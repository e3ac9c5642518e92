//! Which liquids are usual fuels, and what is said of the others.

use super::criteria::{grave_statements, without_statements};
use super::draft::Draft;
use crate::liquid::Liquid;
use crate::liquid::composition::Given;
use brimline_openapi::Text;

/// What is usually burnt, with water or without (common practice, no source).
const USUAL: [&str; 3] = ["ethanol", "propan-2-ol", "water"];
/// What denatured alcohol, sold under a name, holds besides.
const DENATURED_WITH: &str = "methanol";

/// Whether it is a usual alcohol fuel: ethanol, propan-2-ol, denatured alcohol, or one of them with water.
#[must_use]
pub fn is_usual(liquid: &Liquid) -> bool {
    liquid.given.iter().all(|(given, _)| match given {
        Given::Substance(substance) => USUAL.contains(&substance.id.as_str()),
        Given::Mixture(mixture) => {
            mixture.parts.iter().all(|part| USUAL.contains(&part.as_str()) || part == DENATURED_WITH)
        }
    })
}

/// Cautions where another liquid is burnt; each part that is poisonous or does lasting harm, or of which nothing is known, has
/// its own, so that of several liquids in a plan none is lost.
pub fn say(draft: &mut Draft, liquid: &Liquid) {
    if is_usual(liquid) {
        return;
    }
    draft.caution("unusual_fuel", "This liquid is no usual fuel: its vapour and smoke may be harmful; ethanol is usual (common practice, no source).");
    for substance in liquid.substances() {
        let grave = grave_statements(substance);
        let name = substance.name();
        let text = if !grave.is_empty() {
            format!(
                "{name}: poison or a lasting harm, in part suspected, by its hazard statements {}; what does not burn is breathed (statements in part from memory: the supplier's data sheet decides).",
                grave.join(", ")
            )
        } else if without_statements(substance) {
            format!(
                "{name}: no hazard statements of it are stored here; read the supplier's data sheet before it is burnt."
            )
        } else {
            continue;
        };
        draft.caution_text(Text::Owned(format!("unusual_fuel_{}", substance.id)), Text::Owned(text));
    }
}
