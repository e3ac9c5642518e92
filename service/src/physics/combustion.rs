//! What does a liquid take from the air and leave in it when it burns?
//!
//! Complete combustion to carbon dioxide, water, sulfur dioxide, nitrogen, hydrogen halides and silicon dioxide, by the
//! formula: C + O2, H + O2/4, S + O2, Si + O2, less O/2, and H X for each halogen X. Smoke and carbon monoxide take less
//! oxygen; the figures of gases left are then upper ends.

/// Moles taken and given by one mole that burns.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Combustion {
    /// Oxygen taken; negative where it holds more than it needs.
    pub oxygen: f64,
    /// Carbon dioxide.
    pub carbon_dioxide: f64,
    /// Water.
    pub water: f64,
    /// Sulfur dioxide.
    pub sulfur_dioxide: f64,
    /// Hydrogen halides.
    pub hydrogen_halides: f64,
}

impl Combustion {
    /// By the atoms of the formula.
    #[must_use]
    pub fn of<'a>(atoms: impl Iterator<Item = (&'a str, f64)>) -> Self {
        let (mut carbon, mut hydrogen, mut oxygen) = (0.0, 0.0, 0.0);
        let (mut sulfur, mut silicon, mut halogen) = (0.0, 0.0, 0.0);
        for (element, count) in atoms {
            match element {
                "C" => carbon += count,
                "H" => hydrogen += count,
                "O" => oxygen += count,
                "S" => sulfur += count,
                "Si" => silicon += count,
                "F" | "Cl" | "Br" | "I" => halogen += count,
                _ => {}
            }
        }
        Self {
            oxygen: carbon + sulfur + silicon + (hydrogen - halogen) / 4.0 - oxygen / 2.0,
            carbon_dioxide: carbon,
            water: (hydrogen - halogen).max(0.0) / 2.0,
            sulfur_dioxide: sulfur,
            hydrogen_halides: halogen,
        }
    }
}
