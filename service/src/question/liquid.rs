//! Which liquid is meant: a catalogue name, synonym or CAS number. Mixtures are not answered yet.

use super::reader::Fields;
use crate::catalogue::search::Named;
use crate::catalogue::{Catalogue, Substance};
use brimline_openapi::{Component, LiquidEcho, Text};
use serde_json::Value;

/// Reads `liquid`; faults are gathered.
#[must_use]
pub fn read(fields: &Fields<'_>, catalogue: &'static Catalogue) -> Option<&'static Substance> {
    let value = fields.required("liquid", "a name, synonym or CAS number, such as \"ethanol\"")?;
    let pointer = fields.at("liquid");
    let fault = |code, detail: String, suggestion: Option<String>| {
        fields.faults().add(code, pointer.clone(), detail, suggestion);
        None
    };
    match value {
        Value::String(name) => match catalogue.index.find(name) {
            Some(Named::Substance(at)) => catalogue.substances.get(*at),
            Some(Named::Mixture(at)) => {
                let mixture = catalogue.mixtures.get(*at).map_or("", |mixture| mixture.name.as_str());
                fault(
                    "mixture-not-answered",
                    format!("`{mixture}` is a mixture; mixtures are not answered yet"),
                    None,
                )
            }
            Some(Named::Ambiguous(may_mean)) => {
                let detail = format!("this name can mean {}", may_mean.join(", "));
                fault("ambiguous-substance", detail, may_mean.first().cloned())
            }
            None => {
                let near = catalogue.index.nearest(name);
                let shown: String = name.chars().take(60).collect();
                let hint =
                    if near.is_empty() { String::new() } else { format!("; nearest: {}", near.join(", ")) };
                let suggestion = near.first().map(|&name| name.to_owned());
                fault("unknown-substance", format!("`{shown}` is not in the catalogue{hint}"), suggestion)
            }
        },
        Value::Object(map) if map.contains_key("mixture") => {
            fault("mixture-not-answered", "mixtures are not answered yet".into(), None)
        }
        _ => fault(
            "wrong-type",
            "a liquid is a name, synonym or CAS number, or a mixture".into(),
            Some("ethanol".into()),
        ),
    }
}

/// The liquid as it was understood.
#[must_use]
pub fn echo(substance: &'static Substance) -> LiquidEcho {
    let (id, cas) = (Text::Borrowed(substance.id.as_str()), Text::Borrowed(substance.file.cas.as_str()));
    LiquidEcho {
        name: Text::Borrowed(substance.name()),
        id: Some(id.clone()),
        cas: Some(cas.clone()),
        components: vec![Component { substance: id, cas, mole_fraction: 1.0, mass_fraction: 1.0 }],
    }
}
