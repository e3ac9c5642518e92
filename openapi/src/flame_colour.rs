//! `flame-colour`: what a salt shows in a flame, to the eye and to an instrument; and which elements peaks show.

use crate::given::{Given, kind};
use crate::{Basis, Detail, Quantity, RelaxedBy, Room, Seen, Text, Verdict};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Asks what a salt shows in a flame (`element` or `salt`), or which elements the peaks of a spectrum show (`peaks`): one of the three.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct FlameColour {
    /// An element by symbol or name, such as `"Na"`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub element: Option<String>,
    /// A salt by name or formula, such as `"sodium chloride"`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub salt: Option<String>,
    /// Wavelengths of the peaks of a spectrum, such as `["589.2 nm"]`; 1 to 50.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub peaks: Option<Vec<String>>,
    /// Temperature of the flame, such as `"1650 Cel"`; what a flame of alcohol has after its losses if not given. Not above what it can reach.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flame_temperature: Option<String>,
    /// What burns: methanol, ethanol or propan-2-ol; any of them if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fuel: Option<String>,
    /// How wide the instrument shows a single line, at half height, as its slit sets it, such as `"1 nm"`. Required with `peaks`; 1 nm if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub resolution: Option<String>,
    /// With `peaks`: how far a peak may be from a line; the resolution if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tolerance: Option<String>,
    /// Shortest wavelength that the instrument shows; 350 nm if not given, with `peaks` 380 nm or the lowest peak.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<String>,
    /// Longest wavelength that it shows; 1000 nm if not given, with `peaks` 780 nm or the highest peak.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub to: Option<String>,
    /// How strongly the instrument responds, by rising wavelength, 2 to 200 entries; alike everywhere if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub response: Option<Vec<InstrumentResponse>>,
    /// Temperature of the room, from which fuel and air are burnt. Short form of `room.temperature`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub room_temperature: Option<String>,
    /// Air pressure; 101.325 kPa if not given. Short form of `room.pressure`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pressure: Option<String>,
    /// The room, of which this question uses temperature and pressure.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub room: Option<Room>,
    /// How much text the reply carries; `full` if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub detail: Option<Detail>,
    /// Rules replaced for this request, by name; see `/v1/rules`.
    #[cfg_attr(feature = "document", schema(value_type = crate::document::ReplacedRules))]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rules: Option<BTreeMap<String, String>>,
    /// Who answers for a rule made laxer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub relaxed_by: Option<RelaxedBy>,
}

impl FlameColour {
    const fn empty() -> Self {
        Self {
            element: None,
            salt: None,
            peaks: None,
            flame_temperature: None,
            fuel: None,
            resolution: None,
            tolerance: None,
            from: None,
            to: None,
            response: None,
            room_temperature: None,
            pressure: None,
            room: None,
            detail: None,
            rules: None,
            relaxed_by: None,
        }
    }

    /// What a salt shows; everything else as not given.
    #[must_use]
    pub fn of(salt: impl Into<String>) -> Self {
        Self { salt: Some(salt.into()), ..Self::empty() }
    }

    /// What an element shows; everything else as not given.
    #[must_use]
    pub fn of_element(element: impl Into<String>) -> Self {
        Self { element: Some(element.into()), ..Self::empty() }
    }

    /// Which elements these peaks show, by an instrument of a resolution; everything else as not given.
    #[must_use]
    pub fn identify<P: Into<Given<kind::Length>>>(
        peaks: impl IntoIterator<Item = P>,
        resolution: impl Into<Given<kind::Length>>,
    ) -> Self {
        let peaks = peaks.into_iter().map(|peak| peak.into().into()).collect();
        Self { peaks: Some(peaks), resolution: Some(resolution.into().into()), ..Self::empty() }
    }
}

/// How strongly an instrument responds at a wavelength.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct InstrumentResponse {
    /// The wavelength, such as `"550 nm"`.
    pub wavelength: String,
    /// The response there, above 0 and at most 1, the same scale for all.
    pub response: f64,
}

/// What a salt shows in a flame, or which elements peaks show.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct FlameColourReply {
    /// Sentence, outcome, completeness.
    #[serde(flatten)]
    pub verdict: Verdict,
    /// The element.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub element: Option<FlameElement>,
    /// The salt, where one was asked about.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub salt: Option<String>,
    /// Temperature of the flame that was counted with, Cel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flame_temperature: Option<Quantity>,
    /// How hot flames of the fuels can be, and are.
    pub flames: Vec<FlameOfFuel>,
    /// Lines of the element's atoms, the strongest first.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lines: Option<Vec<FlameLine>>,
    /// Share of the power of the lines that the eye can see, 380 to 750 nm, %; absent where bands dominate.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub visible_share: Option<Quantity>,
    /// Share of their power beyond 750 nm, as far as lines are known, %; absent where bands dominate.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub near_infrared_share: Option<Quantity>,
    /// Light for the power of the lines, lm/W; only where the thin gas is honest.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub luminous_efficacy: Option<Quantity>,
    /// Bands of the element's molecules.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bands: Option<Vec<FlameBand>>,
    /// Whether bands of molecules and not lines of atoms make the colour.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bands_dominate: Option<bool>,
    /// The colour.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub colour: Option<SeenColour>,
    /// What an instrument shows.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub instrument: Option<InstrumentView>,
    /// With `peaks`: what they show.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub identified: Option<Identified>,
    /// With `peaks`: the elements that fit them, best first.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub candidates: Option<Vec<FlameCandidate>>,
    /// With `peaks`: those that neither an element that was found nor the flame itself nor a lamp explains, nm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unexplained: Option<Vec<Quantity>>,
    /// With `peaks`: those that no salt makes, but the flame itself or a lamp in the room.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub not_of_a_salt: Option<Vec<FlamePeak>>,
    /// Effects that are left out.
    pub omitted: Vec<OmittedEffect>,
    /// Checks, what was considered, texts, record.
    #[serde(flatten)]
    pub basis: Basis,
}

/// An element.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct FlameElement {
    /// Its symbol.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub symbol: Text,
    /// Its name.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub name: Text,
}

/// How hot a flame can be, and is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct FlameOfFuel {
    /// Id of what burns.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub fuel: Text,
    /// What it reaches without any loss, Cel: its vapour with just enough air; from that of the liquid to that of the hottest mixture with air.
    pub adiabatic: Quantity,
    /// What it reaches when a tenth to two fifths of its heat are lost, Cel.
    pub practical: Quantity,
}

/// A line of an atom.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct FlameLine {
    /// Wavelength in air, nm.
    pub wavelength: Quantity,
    /// Share of the power of all known lines of the element, %; absent where bands dominate.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub share: Option<Quantity>,
    /// The transition, from the upper to the lower level.
    pub transition: String,
    /// Whether the eye sees it (380 to 750 nm).
    pub visible: bool,
    /// How its source was seen.
    pub seen: Seen,
}

/// A band of a molecule.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct FlameBand {
    /// The molecule.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub emitter: Text,
    /// Its middle, nm.
    pub centre: Quantity,
    /// About its width, nm.
    pub width: Quantity,
    /// Its strength relative to the strongest of the same molecule, a plain number; a rough order and no measure.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub strength: Option<f64>,
    /// The kind of salt with which alone it shows.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub only_with: Option<Text>,
    /// How its source was seen.
    pub seen: Seen,
}

/// The colour of a flame.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct SeenColour {
    /// In words (common practice).
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub words: Text,
    /// Chromaticity x (CIE 1931, 2 degrees), a plain number; only where the thin gas is honest.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub x: Option<f64>,
    /// Chromaticity y.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub y: Option<f64>,
    /// Whether a screen of the usual kind (sRGB) can show this chromaticity.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub on_screen: Option<bool>,
    /// Why it is so, and why it is not computed where it is not.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub why: Text,
}

/// What an instrument shows.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct InstrumentView {
    /// How wide it shows a single line, nm.
    pub resolution: Quantity,
    /// Shortest wavelength, nm.
    pub from: Quantity,
    /// Longest wavelength, nm.
    pub to: Quantity,
    /// The peaks of the lines by wavelength; empty where bands dominate, since their shapes are not known.
    pub peaks: Vec<InstrumentPeak>,
}

/// A peak that an instrument shows.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct InstrumentPeak {
    /// Where it is, nm.
    pub wavelength: Quantity,
    /// Its height relative to the highest, a plain number.
    pub height: f64,
    /// The lines that it is made of, nm, the strongest first.
    pub lines: Vec<Quantity>,
}

/// What peaks show.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Identified {
    /// At least one element.
    Found,
    /// None of the elements that are known here.
    None,
    /// More than one explains them as well, or too little is seen.
    CannotTell,
    /// A word of a newer service.
    #[serde(other, skip_serializing)]
    Unknown,
}

/// A peak that no salt makes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct FlamePeak {
    /// The peak, nm.
    pub peak: Quantity,
    /// What gives it, such as `C2` of the flame itself, or `a lamp`.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub emitter: Text,
}

/// An element that fits peaks.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct FlameCandidate {
    /// The element.
    pub element: FlameElement,
    /// Whether the peaks show it. Where it cannot be told which element they show, sodium alone may be true.
    pub found: bool,
    /// Share of what it is expected to show in the instrument's range that was met, %, by weights that are judgement.
    pub met: Quantity,
    /// Peaks that it explains.
    pub matched: Vec<MatchedPeak>,
    /// What it should show as well and was not met.
    pub missing: Vec<MissingPeak>,
    /// Peaks that it does not explain, nm.
    pub unexplained: Vec<Quantity>,
    /// Whether it is likely a contamination: sodium is in nearly everything.
    pub likely_contamination: bool,
}

/// A peak that is explained.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct MatchedPeak {
    /// The peak, nm.
    pub peak: Quantity,
    /// The line or band, nm.
    pub wavelength: Quantity,
    /// What it is.
    pub feature: String,
}

/// Something that is missing.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct MissingPeak {
    /// Where it should be, nm.
    pub wavelength: Quantity,
    /// What it is.
    pub feature: String,
}

/// An effect that is left out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct OmittedEffect {
    /// Its id.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub id: Text,
    /// What it does.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub text: Text,
}
