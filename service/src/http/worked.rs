//! A worked example: a request, the reply that this program gives to it, and numbers found in either, in the catalogue or among
//! the rules. None of them is typed.

use crate::catalogue::view;
use crate::question::{self, Context, Refusal, Written, json};
use serde_json::Value;
use std::fmt::Write as _;

/// Zero degrees Celsius in kelvin.
const ICE: f64 = 273.15;

/// A request with the reply to it.
#[derive(Debug)]
pub struct Worked {
    request: Value,
    reply: Value,
}

impl Worked {
    /// Asks.
    ///
    /// # Errors
    /// The refusal, as a caller would get it.
    pub fn asked(question: &str, request: &str) -> Result<Self, Refusal> {
        let request = json::read(request.as_bytes())?;
        let context = Context { relaxed_rules_allowed: false };
        let answer = question::ask(question, &request, Written::Json, context)?;
        Ok(Self { request, reply: json::read(&answer.json)? })
    }

    /// The reply.
    #[must_use]
    pub const fn reply(&self) -> &Value {
        &self.reply
    }

    /// The ids of the methods that the reply names.
    pub fn methods(&self) -> impl Iterator<Item = &str> {
        let methods = self.reply.get("methods").and_then(Value::as_array);
        methods.into_iter().flatten().filter_map(|method| method.get("id")?.as_str())
    }

    /// What stands at a place: `reply/flash_point`, `request/room/volume`, `catalogue/ethanol/density` or `rules/spill_depth`; `#low`
    /// and `#high` are the ends of its range, `#kelvin` a temperature in K. In a list, an element is named by its number or by what
    /// it tells of: a check, a place, a substance.
    #[must_use]
    pub fn figure(&self, place: &str) -> Option<Figure> {
        let (place, end) = place.split_once('#').unwrap_or((place, "value"));
        let (from, path) = place.split_once('/')?;
        let figure = match from {
            "reply" => Figure::of(found(&self.reply, path)?, end),
            "request" => Figure::of(found(&self.request, path)?, end),
            "catalogue" => {
                let (substance, datum) = path.split_once('/')?;
                let substance = view::substance(substance).ok()?;
                Figure::of(&serde_json::to_value(substance.data.get(datum)?).ok()?, end)
            }
            "rules" => {
                let rule = view::rules().items.into_iter().find(|rule| rule.name == path)?;
                Figure::of(&serde_json::to_value(rule.value).ok()?, end)
            }
            _ => None,
        }?;
        if end == "kelvin" { figure.in_kelvin() } else { Some(figure) }
    }
}

/// What stands at a path in a JSON value.
fn found<'a>(value: &'a Value, path: &str) -> Option<&'a Value> {
    path.split('/').try_fold(value, |value, name| match value {
        Value::Array(items) => match name.parse::<usize>() {
            Ok(index) => items.get(index),
            Err(_) => items.iter().find(|item| {
                ["check", "place", "substance", "id"]
                    .iter()
                    .any(|key| item.get(key).and_then(Value::as_str) == Some(name))
            }),
        },
        other => other.get(name),
    })
}

/// A figure as it is shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Figure {
    /// Number, or a word in its place.
    pub number: String,
    /// Unit, as people write it; none where it is a number alone.
    pub unit: String,
    /// The ends of its range.
    pub range: Option<(String, String)>,
}

impl Figure {
    fn of(value: &Value, end: &str) -> Option<Self> {
        match value {
            Value::Object(quantity) => {
                let number = |key: &str| quantity.get(key).and_then(plain);
                let unit = quantity.get("unit").and_then(Value::as_str).unwrap_or_default();
                match end {
                    "low" | "high" => Some(Self { number: number(end)?, unit: shown(unit), range: None }),
                    _ => Some(Self {
                        number: number("value")?,
                        unit: shown(unit),
                        range: number("low").zip(number("high")),
                    }),
                }
            }
            Value::String(text) => {
                let (number, unit) =
                    text.split_once(' ').filter(|(number, _)| number.parse::<f64>().is_ok()).unzip();
                let number = number.unwrap_or(text).to_owned();
                Some(Self { number, unit: shown(unit.unwrap_or_default()), range: None })
            }
            other => Some(Self { number: plain(other)?, unit: String::new(), range: None }),
        }
    }

    fn in_kelvin(self) -> Option<Self> {
        let celsius: f64 = self.number.parse().ok()?;
        let kelvin = format!("{:.2}", celsius + ICE);
        let number = kelvin.trim_end_matches('0').trim_end_matches('.').to_owned();
        (self.unit == "Cel").then_some(Self { number, unit: "K".to_owned(), range: None })
    }

    /// As text.
    #[must_use]
    pub fn text(&self) -> String {
        if self.unit.is_empty() { self.number.clone() } else { format!("{} {}", self.number, self.unit) }
    }

    /// As part of an equation.
    #[must_use]
    pub fn mathml(&self) -> String {
        let mut out = String::from("<mrow>");
        match self.number.strip_prefix('-') {
            Some(number) => {
                let _ = write!(out, "<mo form=\"prefix\">−</mo><mn>{number}</mn>");
            }
            None => {
                let _ = write!(out, "<mn>{}</mn>", self.number);
            }
        }
        if !self.unit.is_empty() {
            let _ = write!(out, "<mspace width=\"0.2em\"></mspace><mtext>{}</mtext>", self.unit);
        }
        out + "</mrow>"
    }
}

/// A number without a decimal nought, or a word.
fn plain(value: &Value) -> Option<String> {
    match value {
        Value::Number(number) => {
            let text = number.to_string();
            Some(text.strip_suffix(".0").unwrap_or(&text).to_owned())
        }
        Value::String(text) => Some(text.clone()),
        Value::Bool(said) => Some(said.to_string()),
        _ => None,
    }
}

/// A unit as people write it.
fn shown(unit: &str) -> String {
    match unit {
        "1" => String::new(),
        other => other.trim_matches(['[', ']']).to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ethanol() -> Worked {
        Worked::asked("flash-point-margin", r#"{"liquid": "ethanol", "room_temperature": "21 Cel"}"#).unwrap()
    }

    #[test]
    fn figures_are_found_in_request_reply_catalogue_and_rules() {
        let worked = ethanol();
        let text = |place: &str| worked.figure(place).map(|figure| figure.text());
        assert_eq!(text("request/room_temperature").unwrap(), "21 Cel");
        assert_eq!(text("request/room_temperature#kelvin").unwrap(), "294.15 K");
        assert_eq!(text("reply/published_flash_point#low").unwrap(), "9 Cel");
        assert_eq!(text("reply/checks/flash_point_margin/limit").unwrap(), "5 K");
        assert_eq!(text("reply/headspace/condition").unwrap(), "ignitable");
        assert_eq!(text("catalogue/ethanol/flash_point").unwrap(), "12 Cel");
        assert_eq!(text("rules/spill_depth").unwrap(), "1 mm");
        for nowhere in ["reply/nothing", "catalogue/nothing/density", "rules/nothing", "elsewhere/x", "reply"]
        {
            assert_eq!(text(nowhere), None, "{nowhere}");
        }
        assert!(worked.methods().any(|id| id == "headspace"));
    }

    #[test]
    fn a_figure_below_nought_has_a_minus_of_its_own_in_an_equation() {
        let figure = Figure { number: "-7.5".into(), unit: "K".into(), range: None };
        assert_eq!(
            figure.mathml(),
            "<mrow><mo form=\"prefix\">−</mo><mn>7.5</mn><mspace width=\"0.2em\"></mspace><mtext>K</mtext></mrow>"
        );
    }

    #[test]
    fn what_is_refused_is_refused_as_a_caller_would_be() {
        let refusal = Worked::asked("flash-point-margin", r#"{"liquid": "ethanole"}"#).unwrap_err();
        assert_eq!(refusal.kind().code, "unknown-substance");
    }
}
