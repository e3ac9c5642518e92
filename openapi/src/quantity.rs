//! A figure with its unit.

use crate::Text;
use serde::{Deserialize, Serialize};

/// A figure with its UCUM unit; an estimate also has the ends of its stated 95 % range.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "document", derive(utoipa::ToSchema))]
pub struct Quantity {
    /// The figure, in `unit`. For a figure to act on: already the cautious end.
    pub value: f64,
    /// UCUM case-sensitive unit code; fixed for each field of a reply.
    #[cfg_attr(feature = "document", schema(value_type = String, example = "Cel"))]
    pub unit: Text,
    /// Lower end of the stated 95 % range, in `unit`; absent for echoed, exact and to-act-on figures.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub low: Option<f64>,
    /// Upper end of the stated 95 % range, in `unit`; absent for echoed, exact and to-act-on figures.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub high: Option<f64>,
}

impl Quantity {
    /// A figure without a range: echoed, exact, or the cautious end of a figure to act on.
    #[must_use]
    pub const fn exact(value: f64, unit: &'static str) -> Self {
        Self { value, unit: Text::Borrowed(unit), low: None, high: None }
    }
}
