//! A comparison with a limit: decided on unrounded figures, at the unfavourable end of the value's range.

use super::draft;
use crate::quantity::Estimate;
use crate::quantity::round::{ratio_up, significant};
use brimline_openapi::{Check, Evidence, Grounds, MustBe, Outcome, Quantity, Text};

/// Above this ratio a value within its limit is near it.
const NEAR: f64 = 0.8;

/// Significant digits of a figure that is taken as exact.
const SHOWN_DIGITS: u32 = 6;

/// What is compared: all figures in one unit.
#[derive(Debug, Clone)]
pub struct Compared {
    /// Id of the check.
    pub check: &'static str,
    /// The question that makes it.
    pub question: &'static str,
    /// The value with its range.
    pub value: Estimate<f64>,
    /// The limit.
    pub limit: f64,
    /// The unit of both.
    pub unit: &'static str,
    /// Which side is within.
    pub must_be: MustBe,
    /// What the limit rests on.
    pub grounds: Grounds,
    /// What the value rests on.
    pub evidence: Evidence,
}

/// The status and ratio of an unfavourable end against a limit.
#[must_use]
pub fn decide(unfavourable: f64, limit: f64, must_be: MustBe) -> (Outcome, Option<f64>) {
    let at_least = must_be == MustBe::AtLeast;
    let ratio = if at_least { limit / unfavourable } else { unfavourable / limit };
    // Noise of the last bits decides nothing, and the ratio shown fits the status.
    let ratio = significant(ratio, 12);
    if unfavourable > 0.0 && limit > 0.0 && ratio.is_finite() {
        let status = if ratio > 1.0 {
            Outcome::OverLimit
        } else if ratio > NEAR {
            Outcome::NearLimit
        } else {
            Outcome::WithinLimit
        };
        return (status, Some(ratio_up(ratio)));
    }
    let within = if at_least { unfavourable >= limit } else { unfavourable <= limit };
    (if within { Outcome::WithinLimit } else { Outcome::OverLimit }, None)
}

impl Compared {
    /// The check, without a remedy.
    #[must_use]
    pub fn decided(self) -> Check {
        let unfavourable = if self.must_be == MustBe::AtLeast { self.value.low } else { self.value.high };
        let (status, ratio) = decide(unfavourable, self.limit, self.must_be);
        let exact = self.value.low.to_bits() == self.value.high.to_bits();
        let value = if self.unit == "K" {
            draft::tenths(self.value, self.unit)
        } else if exact {
            shown(self.value.value, self.unit)
        } else {
            draft::estimate(self.value, self.unit)
        };
        Check {
            check: Text::Borrowed(self.check),
            question: Text::Borrowed(self.question),
            value: Some(value),
            limit: shown(self.limit, self.unit),
            must_be: self.must_be,
            ratio,
            status,
            reason: None,
            basis: self.grounds,
            evidence: self.evidence,
            remedy: None,
        }
    }
}

/// An exact figure, shown with as many digits as anybody writes; what is decided is decided on all of them.
fn shown(figure: f64, unit: &'static str) -> Quantity {
    Quantity::exact(significant(figure, SHOWN_DIGITS), unit)
}

/// A check that could not be made, since a datum is missing.
#[must_use]
pub fn not_assessed(
    check: &'static str,
    question: &'static str,
    limit: Quantity,
    must_be: MustBe,
    grounds: Grounds,
    reason: &str,
) -> Check {
    Check {
        check: Text::Borrowed(check),
        question: Text::Borrowed(question),
        value: None,
        limit,
        must_be,
        ratio: None,
        status: Outcome::NotAssessed,
        reason: Some(reason.to_owned()),
        basis: grounds,
        evidence: Evidence::Estimated,
        remedy: None,
    }
}
