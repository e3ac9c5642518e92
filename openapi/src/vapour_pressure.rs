//! `vapour-pressure`: how much vapour stands over a liquid.

use crate::given::{Given, kind};
use crate::{
    Basis, Detail, HeadspaceCondition, Liquid, LiquidEcho, LiquidPhase, Quantity, RelaxedBy, Room, Text,
    Verdict,
};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Asks for the vapour pressure of a liquid; exactly one of `temperature`, `temperatures` or `from`, `to`, `step`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct VapourPressure {
    /// The liquid.
    pub liquid: Liquid,
    /// One temperature, for example `"20 Cel"`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temperature: Option<String>,
    /// Several temperatures, at most 1000.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temperatures: Option<Vec<String>>,
    /// First temperature of a series.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<String>,
    /// Last temperature of a series.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub to: Option<String>,
    /// Step of a series, a difference in K, for example `"5 K"`; at most 1000 points.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub step: Option<String>,
    /// Air pressure; 101.325 kPa if not given. Short form of `room.pressure`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pressure: Option<String>,
    /// The room, of which this question uses the pressure.
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

impl VapourPressure {
    /// How much vapour stands over a liquid at a temperature; everything else as not given.
    #[must_use]
    pub fn of(liquid: impl Into<Liquid>, temperature: impl Into<Given<kind::Temperature>>) -> Self {
        Self {
            liquid: liquid.into(),
            temperature: Some(temperature.into().into()),
            temperatures: None,
            from: None,
            to: None,
            step: None,
            pressure: None,
            room: None,
            detail: None,
            rules: None,
            relaxed_by: None,
        }
    }
}

/// The vapour pressure at each temperature asked.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct VapourPressureReply {
    /// Sentence, outcome, completeness.
    #[serde(flatten)]
    pub verdict: Verdict,
    /// The liquid as it was understood.
    pub liquid: LiquidEcho,
    /// One entry for each temperature, in the order asked.
    pub points: Vec<VapourPoint>,
    /// An Antoine set in range with its constants, for the first temperature, so that anyone can check it on paper.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub antoine_by_hand: Option<AntoineByHand>,
    /// Boiling point at 101.325 kPa, Cel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub normal_boiling_point: Option<Quantity>,
    /// Boiling point at `pressure`, Cel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub boiling_point: Option<Quantity>,
    /// For a mixture: temperature at which vapour of its own composition begins to condense at `pressure`, Cel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub condensing_point: Option<Quantity>,
    /// For a mixture: that its vapour has the liquid's own composition when it boils at `pressure`, in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "document", schema(value_type = Option<String>))]
    pub azeotrope: Option<Text>,
    /// The two liquid phases, where a mixture splits at the first temperature; their vapour is the same.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub liquid_phases: Vec<LiquidPhase>,
    /// Density of the pure vapour relative to air at the same temperature and pressure, unit 1 (air = 1).
    pub relative_vapour_density: Quantity,
    /// Checks, what was considered, texts, record.
    #[serde(flatten)]
    pub basis: Basis,
}

/// The vapour over the liquid at one temperature.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct VapourPoint {
    /// Temperature of the liquid, Cel, echoed.
    pub temperature: Quantity,
    /// Saturated vapour pressure, kPa.
    pub vapour_pressure: Quantity,
    /// For a mixture: the partial pressure of each component, kPa.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub partial_pressures: Option<Vec<PartialPressure>>,
    /// Volume fraction of vapour in saturated air at `pressure`, %; at most 100.
    pub saturated_volume_fraction: Quantity,
    /// Mass of vapour in saturated air, g/m3.
    pub saturated_mass_concentration: Quantity,
    /// The condition of the headspace over the liquid.
    pub headspace: HeadspaceCondition,
    /// Whether the equation was used below its stated range (by at most 10 K, widened by 25 %).
    pub extrapolated: bool,
    /// Id of the equation that answered: its set and form.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub equation: Text,
    /// True where the equation differs from that of the point before: a step may show at this edge.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub equation_changes: bool,
}

/// The partial pressure of one component over a mixture.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct PartialPressure {
    /// Id of the substance.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub substance: Text,
    /// Partial pressure, kPa.
    pub pressure: Quantity,
    /// Mole fraction in the vapour, a plain number from 0 to 1.
    pub mole_fraction: f64,
    /// Activity coefficient in the liquid (in the first phase, where it splits), a plain number.
    pub activity_coefficient: f64,
}

/// An Antoine equation with its constants, for checking a figure on paper.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct AntoineByHand {
    /// Constant A, as stored.
    pub a: f64,
    /// Constant B, as stored.
    pub b: f64,
    /// Constant C, as stored.
    pub c: f64,
    /// The equation with its units.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub form: Text,
    /// Stated range of validity.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub valid_range: Text,
    /// Id of the published source in `sources`.
    #[cfg_attr(feature = "document", schema(value_type = String))]
    pub source: Text,
    /// What the equation gives at the first temperature, kPa.
    pub vapour_pressure: Quantity,
}
