//! Reads a quantity: `"20 Cel"` or `{"value": 20, "unit": "Cel"}` to a number in the unit of its field.
//!
//! Numbers are rounded to 12 significant digits in the field's unit, so that every spelling of a quantity gives the
//! same figures to the byte.

use super::round::significant;
use super::unit::{Dimension, TRAPS, Unit, find, nearest};
use serde_json::Value;
use std::borrow::Cow;

/// Digits to which a quantity is rounded in its field's unit.
pub const DIGITS: u32 = 12;
/// Longest text that is read as a quantity.
const LONGEST: usize = 100;

/// What a field expects. Bounds are in the field's unit.
#[derive(Debug, Clone, Copy)]
pub struct Field {
    /// What it measures.
    pub dimension: Dimension,
    /// UCUM code of the unit it is kept in.
    pub unit: &'static str,
    /// Two accepted examples.
    pub examples: [&'static str; 2],
    /// What exists: outside, the value is impossible.
    pub possible: Bounds,
    /// What is plausible: outside, the value is refused as implausible.
    pub plausible: Bounds,
    /// Why values outside `possible` are impossible.
    pub because: &'static str,
}

/// Bounds of a value: above `low` (or at it, if `closed`), at most `high`.
#[derive(Debug, Clone, Copy)]
pub struct Bounds {
    /// The lower bound.
    pub low: f64,
    /// Whether the lower bound itself is inside.
    pub closed: bool,
    /// The upper bound, inside.
    pub high: f64,
}

impl Bounds {
    /// From `low` to `high`, both inside.
    #[must_use]
    pub const fn from_to(low: f64, high: f64) -> Self {
        Self { low, closed: true, high }
    }

    /// Above `low` (not at it), up to `high`.
    #[must_use]
    pub const fn above(low: f64, high: f64) -> Self {
        Self { low, closed: false, high }
    }

    /// Whether a number is inside.
    #[must_use]
    pub fn hold(&self, number: f64) -> bool {
        (number > self.low || (self.closed && number >= self.low)) && number <= self.high
    }
}

/// What is wrong with a quantity.
#[derive(Debug, Clone, PartialEq)]
pub struct Fault {
    /// The code of the contract, for example `bare-number`.
    pub code: &'static str,
    /// What is wrong, and why.
    pub detail: String,
    /// What to write instead, where it can be guessed: always with the caller's own number.
    pub suggestion: Option<String>,
}

fn fault<T>(code: &'static str, detail: impl Into<String>, suggestion: Option<String>) -> Result<T, Fault> {
    // What is longer would be refused itself.
    let suggestion = suggestion.filter(|text| text.len() <= LONGEST);
    Err(Fault { code, detail: detail.into(), suggestion })
}

/// Reads a JSON value as a quantity in the unit of a field.
///
/// # Errors
/// A [`Fault`] with one of `bare-number`, `wrong-type`, `unknown-unit`, `ambiguous-unit`, `unit-mismatch`,
/// `impossible-value`, `implausible-value`.
pub fn read(value: &Value, field: &Field) -> Result<f64, Fault> {
    match value {
        Value::String(text) => read_text(text, field),
        Value::Number(number) => bare(&number.to_string(), field),
        Value::Object(entries) => {
            if let Some(odd) = entries.keys().find(|key| *key != "value" && *key != "unit") {
                let odd: String = odd.chars().take(40).collect();
                return fault(
                    "wrong-type",
                    format!("a quantity has `value` and `unit` only, not `{odd}`"),
                    None,
                );
            }
            match (entries.get("value"), entries.get("unit")) {
                (Some(Value::Number(number)), Some(Value::String(unit))) if unit.len() <= LONGEST => {
                    convert(number.as_f64().unwrap_or(f64::NAN), &number.to_string(), unit.trim(), field)
                }
                (Some(Value::Number(number)), None) => bare(&number.to_string(), field),
                _ => fault("wrong-type", "a quantity object has a number `value` and a text `unit`", None),
            }
        }
        _ => fault("wrong-type", format!("{} is expected here", field.dimension.with_article()), None),
    }
}

/// Reads a text such as `"20 Cel"`.
///
/// # Errors
/// As [`read`].
pub fn read_text(text: &str, field: &Field) -> Result<f64, Fault> {
    if text.len() > LONGEST {
        return fault(
            "wrong-type",
            format!("this text is too long for {}", field.dimension.with_article()),
            None,
        );
    }
    let text = if text.is_ascii() {
        Cow::Borrowed(text)
    } else {
        Cow::Owned(text.replace(['\u{a0}', '\u{202f}', '\u{2009}'], " ").replace('\u{2212}', "-"))
    };
    let text = text.trim();
    let unsigned = text.trim_start_matches(['+', '-']);
    if ["nan", "inf", "∞"]
        .iter()
        .any(|word| unsigned.get(..word.len()).is_some_and(|start| start.eq_ignore_ascii_case(word)))
    {
        return fault("impossible-value", format!("`{text}` is no number that can be computed with"), None);
    }
    let length = number_length(text);
    let (number_text, rest) = text.split_at(length);
    if number_text.is_empty() || !number_text.bytes().any(|byte| byte.is_ascii_digit()) {
        return fault("wrong-type", format!("`{text}` is no {}", field.dimension.name()), None);
    }
    let odd = rest.trim_start().starts_with(|c: char| c == ',' || c == '\'' || c.is_ascii_digit());
    if odd && find(rest.trim(), field.dimension).is_none() {
        return fault(
            "wrong-type",
            format!("`{text}`: write the number with a decimal point and without separators"),
            with_point(text, rest).filter(|mended| read_text(mended, field).is_ok()),
        );
    }
    let Ok(number) = number_text.parse::<f64>() else {
        return fault("wrong-type", format!("`{number_text}` is no number"), None);
    };
    convert(number, number_text, rest.trim(), field)
}

/// The text with a decimal point for its comma; not where three digits follow, which may be thousands.
fn with_point(text: &str, rest: &str) -> Option<String> {
    let after = rest.strip_prefix(',')?;
    let digits = after.bytes().take_while(u8::is_ascii_digit).count();
    (digits > 0 && digits != 3).then(|| text.replacen(',', ".", 1))
}

/// Length of the number at the start of a text: sign, digits, point, digits, exponent.
fn number_length(text: &str) -> usize {
    let bytes = text.as_bytes();
    let digits = |from: usize| bytes.iter().skip(from).take_while(|byte| byte.is_ascii_digit()).count();
    let at = |index: usize| bytes.get(index).copied().unwrap_or(b' ');
    let mut end = usize::from(matches!(at(0), b'+' | b'-'));
    end += digits(end);
    if at(end) == b'.' {
        end += 1 + digits(end + 1);
    }
    if matches!(at(end), b'e' | b'E') {
        let sign = usize::from(matches!(at(end + 1), b'+' | b'-'));
        let exponent = digits(end + 1 + sign);
        if exponent > 0 {
            end += 1 + sign + exponent;
        }
    }
    end
}

fn convert(number: f64, number_text: &str, unit_text: &str, field: &Field) -> Result<f64, Fault> {
    if !number.is_finite() {
        return fault(
            "impossible-value",
            format!("`{number_text}` is no number that can be computed with"),
            None,
        );
    }
    if unit_text.is_empty() {
        return bare(number_text, field);
    }
    let unit = known(unit_text, number_text, field)?;
    let Some(own) = find(field.unit, field.dimension) else {
        return fault("unknown-unit", format!("the field's own unit `{}` is not known", field.unit), None);
    };
    let inside = significant(in_unit(number, unit, own), DIGITS);
    if !field.possible.hold(inside) {
        return fault("impossible-value", format!("`{number_text} {unit_text}`: {}", field.because), None);
    }
    if !field.plausible.hold(inside) {
        let meant = super::unit::UNITS.iter().find(|other| {
            other.dimension == field.dimension
                && field.plausible.hold(in_unit(number, other, own))
                && field.examples.iter().any(|example| example.ends_with(other.code))
        });
        return fault(
            "implausible-value",
            format!("`{number_text} {unit_text}` is implausible here by orders of magnitude"),
            meant.map(|unit| format!("{number_text} {}", unit.code)),
        );
    }
    Ok(inside)
}

fn in_unit(number: f64, from: &Unit, to: &Unit) -> f64 {
    if std::ptr::eq(from, to) {
        return number;
    }
    ((number * from.times / from.over + from.plus) - to.plus) * to.over / to.times
}

fn known(unit_text: &str, number_text: &str, field: &Field) -> Result<&'static Unit, Fault> {
    if let Some((_, what, meant)) = TRAPS.iter().find(|(trap, ..)| *trap == unit_text) {
        let fitting = meant
            .iter()
            .find(|code| find(code, field.dimension).is_some_and(|u| u.dimension == field.dimension));
        return fault(
            "ambiguous-unit",
            format!("`{number_text} {unit_text}`: {what}"),
            fitting.map(|code| format!("{number_text} {code}")),
        );
    }
    let Some(unit) = find(unit_text, field.dimension) else {
        return fault(
            "unknown-unit",
            format!("the unit `{unit_text}` is not known"),
            nearest(unit_text, field.dimension).map(|code| format!("{number_text} {code}")),
        );
    };
    if unit.dimension == field.dimension {
        return Ok(unit);
    }
    let detail = format!(
        "`{number_text} {unit_text}` is {} ({}); {} is expected here",
        unit.dimension.with_article(),
        unit.name,
        field.dimension.with_article()
    );
    let meant = match (field.dimension, unit.code) {
        (Dimension::TemperatureDifference, "Cel") => Some("K"),
        (Dimension::Time, "m") => Some("min"),
        _ => None,
    };
    fault("unit-mismatch", detail, meant.map(|code| format!("{number_text} {code}")))
}

fn bare<T>(number_text: &str, field: &Field) -> Result<T, Fault> {
    let [first, second] = field.examples;
    let kind = field.dimension.with_article();
    fault(
        "bare-number",
        format!("`{number_text}` has no unit; {kind} is written like \"{first}\" or \"{second}\""),
        Some(format!("{number_text} {}", field.unit)),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::unit::UNITS;

    const TEMPERATURE: Field = Field {
        dimension: Dimension::Temperature,
        unit: "Cel",
        examples: ["20 Cel", "293 K"],
        possible: Bounds::above(-273.15, 1e6),
        plausible: Bounds::from_to(-100.0, 500.0),
        because: "nothing is colder than 0 K",
    };
    const ROOM: Field = Field {
        dimension: Dimension::Volume,
        unit: "m3",
        examples: ["190 m3", "5000 [cft_i]"],
        possible: Bounds::above(0.0, 1e12),
        plausible: Bounds::from_to(1.0, 1e5),
        because: "a volume is more than zero",
    };
    const LIQUID: Field =
        Field { unit: "mL", examples: ["50 mL", "0.5 L"], plausible: Bounds::above(0.0, 1e6), ..ROOM };

    fn code(text: &str, field: &Field) -> (&'static str, Option<String>) {
        let fault = read_text(text, field).unwrap_err();
        (fault.code, fault.suggestion)
    }

    #[test]
    fn every_spelling_of_a_temperature_gives_the_same_figure() {
        for text in
            ["20 Cel", "20°C", "20 degC", "293.15 K", "68 [degF]", "68 °F", "+2e1 Cel", "20.0\u{a0}Cel"]
        {
            assert_eq!(read_text(text, &TEMPERATURE), Ok(20.0), "{text}");
        }
        assert_eq!(read_text("\u{2212}5 Cel", &TEMPERATURE), Ok(-5.0));
    }

    #[test]
    fn every_spelling_in_the_table_is_read() {
        for unit in UNITS {
            let field = Field {
                dimension: unit.dimension,
                unit: unit.code,
                possible: Bounds::from_to(-1e99, 1e99),
                plausible: Bounds::from_to(-1e99, 1e99),
                ..ROOM
            };
            for spelling in unit.spellings.iter().chain([&unit.code]) {
                if find(spelling, unit.dimension).unwrap().code == unit.code {
                    assert_eq!(read_text(&format!("7 {spelling}"), &field), Ok(7.0), "{spelling}");
                }
            }
        }
    }

    #[test]
    fn volumes_convert_exactly() {
        for text in ["50 mL", "50 ml", "0.05 L", "50 cm3", "50 cm³", "5e-5 m3", "50 cc"] {
            assert_eq!(read_text(text, &LIQUID), Ok(50.0), "{text}");
        }
    }

    #[test]
    fn what_can_be_mistaken_is_refused_with_a_suggestion() {
        assert_eq!(code("20 C", &TEMPERATURE), ("ambiguous-unit", Some("20 Cel".into())));
        assert_eq!(code("20 F", &TEMPERATURE), ("ambiguous-unit", Some("20 [degF]".into())));
        assert_eq!(code("5 ML", &LIQUID), ("ambiguous-unit", Some("5 mL".into())));
        assert_eq!(code("0,5 L", &LIQUID), ("wrong-type", Some("0.5 L".into())));
        assert_eq!(code("1,000 mL", &LIQUID), ("wrong-type", None));
        assert_eq!(code("180 mL", &ROOM), ("implausible-value", Some("180 m3".into())));
        assert_eq!(code("20", &TEMPERATURE).0, "bare-number");
        assert_eq!(code("20 ml", &TEMPERATURE).0, "unit-mismatch");
        assert_eq!(code("5 ft", &LIQUID).0, "unit-mismatch");
        assert_eq!(
            code("100 kpa", &Field { dimension: Dimension::Pressure, ..LIQUID }).1,
            Some("100 kPa".into())
        );
        assert_eq!(code("0 K", &TEMPERATURE).0, "impossible-value");
        assert_eq!(code("-1 mL", &LIQUID).0, "impossible-value");
        assert_eq!(code("1e999 Cel", &TEMPERATURE).0, "impossible-value");
        assert_eq!(code("NaN Cel", &TEMPERATURE).0, "impossible-value");
        assert_eq!(code("warm", &TEMPERATURE).0, "wrong-type");
        assert_eq!(code("", &TEMPERATURE).0, "wrong-type");
        assert_eq!(code("1 000 mL", &LIQUID).0, "wrong-type");
        assert_eq!(code("0x10 mL", &LIQUID).0, "unknown-unit");
    }

    #[test]
    fn a_suggestion_keeps_the_number_that_was_given() {
        let difference = Field { dimension: Dimension::TemperatureDifference, unit: "K", ..TEMPERATURE };
        let minutes = Field { dimension: Dimension::Time, unit: "min", ..LIQUID };
        assert_eq!(code("20 C", &LIQUID), ("ambiguous-unit", None));
        assert_eq!(code("5 C", &difference), ("ambiguous-unit", Some("5 K".into())));
        assert_eq!(code("-1 mL", &LIQUID), ("impossible-value", None));
        assert_eq!(code("1200 Cel", &TEMPERATURE), ("implausible-value", None));
        assert_eq!(code("30 m", &minutes), ("unit-mismatch", Some("30 min".into())));
        assert_eq!(code("1.000,5 L", &LIQUID), ("wrong-type", None));
        assert_eq!(code("0,5 C", &TEMPERATURE), ("wrong-type", None));
        let detail = read_text("5 m2", &minutes).unwrap_err().detail;
        assert_eq!(detail, "`5 m2` is an area (square metre); a time is expected here");
    }

    #[test]
    fn objects_are_read_like_text() {
        let read = |text: &str| read(&serde_json::from_str(text).unwrap(), &TEMPERATURE);
        assert_eq!(read(r#"{"value": 20, "unit": "Cel"}"#), Ok(20.0));
        assert_eq!(read("20").unwrap_err().code, "bare-number");
        assert_eq!(read(r#"{"value": "20", "unit": "Cel"}"#).unwrap_err().code, "wrong-type");
        assert_eq!(read(r#"{"value": 20, "unit": "Cel", "x": 1}"#).unwrap_err().code, "wrong-type");
        assert_eq!(read("[20]").unwrap_err().code, "wrong-type");
    }
}
