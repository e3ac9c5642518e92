//! What gives light in a coloured flame: lines of atoms, bands of molecules; and the eye that sees it.

use super::source::seen;
use super::substance::KeyFault;
use crate::physics::emission::{self, Observer};
use brimline_openapi::Seen;
use serde::Deserialize;
use uom::si::energy::electronvolt;
use uom::si::f64::{Energy, Frequency, Length};
use uom::si::frequency::hertz;
use uom::si::length::nanometer;

/// By how much the probability of a line to the ground state may be off: of the alkali metals they are known to better (judgement).
const RESONANCE_DOUBT: f64 = 0.03;
/// By how much that of another line may be off (judgement: the data sets give no uncertainty).
const OTHER_DOUBT: f64 = 0.25;

/// The file `flame_lines.toml`.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FlameLines {
    /// The lines, by element.
    pub line: Vec<FlameLine>,
}

/// A line of an atom.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FlameLine {
    /// Symbol of the element.
    pub element: String,
    /// `I` for the atom, `II` for its ion.
    pub ion: String,
    /// Wavelength in air, nm.
    pub wavelength: f64,
    /// Probability of the transition, 1/s.
    pub probability: f64,
    /// Energy of the upper level, eV.
    pub upper_energy: f64,
    /// Energy of the lower level, eV.
    pub lower_energy: f64,
    /// Statistical weight of the upper level.
    pub upper_weight: f64,
    /// Term of the upper level, such as `3p 2P*3/2`.
    pub upper: String,
    /// Term of the lower level.
    pub lower: String,
    /// Key of the source.
    pub source: String,
    /// How it was seen.
    pub seen: String,
}

impl FlameLine {
    /// As a line that gives light.
    #[must_use]
    pub fn emission(&self) -> emission::Line {
        emission::Line {
            wavelength: Length::new::<nanometer>(self.wavelength),
            probability: Frequency::new::<hertz>(self.probability),
            upper_energy: Energy::new::<electronvolt>(self.upper_energy),
            upper_weight: self.upper_weight,
            doubt: if self.to_the_ground() { RESONANCE_DOUBT } else { OTHER_DOUBT },
        }
    }

    /// Whether it ends in the ground state.
    #[must_use]
    pub fn to_the_ground(&self) -> bool {
        self.lower_energy <= 0.0
    }

    /// The transition in the usual notation: `3p ²P°3/2 → 3s ²S1/2`.
    #[must_use]
    pub fn transition(&self) -> String {
        let term = |text: &str| {
            let (level, rest) = text.split_once(' ').unwrap_or(("", text));
            let mut letters = rest.chars();
            let raised = match letters.next() {
                Some('1') => "¹".to_owned(),
                Some('2') => "²".to_owned(),
                Some('3') => "³".to_owned(),
                Some('4') => "⁴".to_owned(),
                Some('5') => "⁵".to_owned(),
                Some(other) => other.to_string(),
                None => String::new(),
            };
            format!("{level} {raised}{}", letters.as_str().replace('*', "°"))
        };
        format!("{} → {}", term(&self.upper), term(&self.lower))
    }
}

/// The file `flame_bands.toml`.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FlameBands {
    /// The bands, by emitter.
    pub band: Vec<FlameBand>,
    /// Lines of lamps.
    pub lamp: Vec<LampLine>,
}

/// A line of a lamp in the room.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LampLine {
    /// What gives it.
    pub emitter: String,
    /// Wavelength in air, nm.
    pub wavelength: f64,
    /// Its strength relative to the strongest.
    pub strength: f64,
    /// Whether every lamp of the kind shows it.
    pub always: bool,
    /// Key of the source.
    pub source: String,
    /// How it was seen.
    pub seen: String,
}

/// A band of a molecule.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FlameBand {
    /// The molecule.
    pub emitter: String,
    /// Symbol of the element that it shows; none for those of the flame itself.
    pub element: Option<String>,
    /// Its middle, nm.
    pub centre: f64,
    /// About its width, nm.
    pub width: f64,
    /// Its strength relative to the strongest of its emitter, where something is known of it.
    pub strength: Option<f64>,
    /// The kind of salt with which alone it shows.
    pub only_with: Option<String>,
    /// Key of the source.
    pub source: String,
    /// How it was seen.
    pub seen: String,
}

/// The file `observer.toml`.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ObserverFile {
    /// Key of the source.
    pub source: String,
    /// How it was seen.
    pub seen: String,
    /// First wavelength, nm.
    pub from: f64,
    /// Step, nm.
    pub step: f64,
    /// Colour matching function x.
    pub x: Vec<f64>,
    /// Colour matching function y, which is the luminous efficiency.
    pub y: Vec<f64>,
    /// Colour matching function z.
    pub z: Vec<f64>,
}

/// What gives light in a coloured flame, and the eye that sees it.
#[derive(Debug, Clone)]
pub struct Emitters {
    /// Lines of atoms.
    pub lines: Vec<FlameLine>,
    /// Bands of molecules.
    pub bands: Vec<FlameBand>,
    /// Lines of lamps, by wavelength.
    pub lamps: Vec<LampLine>,
    /// The standard observer.
    pub observer: Observer,
    /// Key of its source.
    pub observer_source: String,
}

impl Emitters {
    /// Puts the three files together.
    ///
    /// # Errors
    /// File, key and reason.
    pub fn of(
        lines: FlameLines,
        bands: FlameBands,
        observer: ObserverFile,
        known: impl Fn(&str) -> bool,
    ) -> Result<Self, (&'static str, KeyFault)> {
        const LINES: &str = "flame_lines.toml";
        const BANDS: &str = "flame_bands.toml";
        const OBSERVER: &str = "observer.toml";
        let fault = |file, key: &str, reason: String| Err((file, (key.to_owned(), reason)));
        let named = lines.line.iter().map(|line| (LINES, &line.source, &line.seen));
        let named = named.chain(bands.band.iter().map(|band| (BANDS, &band.source, &band.seen)));
        let named = named.chain(bands.lamp.iter().map(|line| (BANDS, &line.source, &line.seen)));
        for (file, source, how) in named.chain([(OBSERVER, &observer.source, &observer.seen)]) {
            if !known(source) {
                return fault(file, "source", format!("the source `{source}` is not in sources.toml"));
            }
            if seen(how).is_none() {
                return fault(file, "seen", format!("`{how}` is no word for how it was seen"));
            }
        }
        for line in &lines.line {
            // In air a photon's wavelength is 1239.84 eV nm, less 0.03 %, over the difference of the levels.
            let expected = 1239.842 / 1.000_28 / (line.upper_energy - line.lower_energy);
            let numbers = [line.wavelength, line.probability, line.upper_energy, line.upper_weight];
            if numbers.iter().any(|number| !(number.is_finite() && *number > 0.0)) {
                return fault(
                    LINES,
                    "line",
                    format!("{} {} nm: a figure is not above zero", line.element, line.wavelength),
                );
            }
            if (expected - line.wavelength).abs() > 0.5 {
                let reason = format!(
                    "{} {} nm does not fit its levels ({expected:.2} nm)",
                    line.element, line.wavelength
                );
                return fault(LINES, "wavelength", reason);
            }
        }
        if let Some(band) = bands.band.iter().find(|band| !(band.centre > 0.0 && band.width > 0.0)) {
            return fault(BANDS, "band", format!("{}: a figure is not above zero", band.emitter));
        }
        if let Some(line) = bands
            .lamp
            .iter()
            .find(|line| !(line.wavelength > 0.0 && line.strength > 0.0 && line.strength <= 1.0))
        {
            return fault(BANDS, "lamp", format!("{} nm: a figure is not above zero", line.wavelength));
        }
        let ObserverFile { source, from, step, x, y, z, .. } = observer;
        if x.len() != y.len() || x.len() != z.len() || x.len() < 4 || !step.is_finite() || step <= 0.0 {
            return fault(
                OBSERVER,
                "x",
                "the three functions differ in length, or there is no step".to_owned(),
            );
        }
        let functions = x.into_iter().zip(y).zip(z).map(|((x, y), z)| [x, y, z]).collect();
        let observer = Observer { from, step, functions };
        let mut lamps = bands.lamp;
        lamps.sort_by(|a, b| a.wavelength.total_cmp(&b.wavelength));
        Ok(Self { lines: lines.line, bands: bands.band, lamps, observer, observer_source: source })
    }

    /// The lines of an element's atoms, not those of its ions.
    pub fn lines_of(&self, symbol: &str) -> impl Iterator<Item = &FlameLine> {
        self.lines.iter().filter(move |line| line.element == symbol && line.ion == "I")
    }

    /// The bands of an element's molecules.
    pub fn bands_of(&self, symbol: &str) -> impl Iterator<Item = &FlameBand> {
        self.bands.iter().filter(move |band| band.element.as_deref() == Some(symbol))
    }

    /// The bands of the flame itself.
    pub fn bands_of_the_flame(&self) -> impl Iterator<Item = &FlameBand> {
        self.bands.iter().filter(|band| band.element.is_none())
    }
}

/// How a datum was seen.
#[must_use]
pub fn how(word: &str) -> Seen {
    seen(word).unwrap_or(Seen::Memory)
}
