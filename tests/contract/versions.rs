//! What a version of the contract promised is kept: nothing that callers rely on is taken out of the document.
//!
//! `openapi/versions` holds the document of each minor version, without its examples. What is only added breaks nobody.

use brimline_openapi::document::document;
use serde_json::{Map, Value, json};
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

const VERSIONS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../openapi/versions");

/// What breaks callers of an older document.
#[derive(Default)]
struct Breaks {
    found: Vec<String>,
}

impl Breaks {
    fn between(old: &Value, new: &Value) -> Vec<String> {
        let mut breaks = Self::default();
        breaks.each(&old["paths"], &new["paths"], "path", |breaks, path, old, new| {
            breaks.each(old, new, &format!("{path}: method"), |breaks, _, old, new| {
                breaks.operation(path, old, new);
            });
        });
        let (sent, told) = (reached(old, Way::Sent), reached(old, Way::Told));
        breaks.each(
            &old["components"]["schemas"],
            &new["components"]["schemas"],
            "schema",
            |breaks, name, old, new| {
                breaks.schema(name, old, new, sent.contains(name), told.contains(name));
            },
        );
        breaks.found
    }

    fn note(&mut self, text: String) {
        self.found.push(text);
    }

    /// Goes through what both have by the same key; what only the old one has is gone.
    fn each(
        &mut self,
        old: &Value,
        new: &Value,
        what: &str,
        mut go_on: impl FnMut(&mut Self, &str, &Value, &Value),
    ) {
        for (key, old) in old.as_object().into_iter().flatten() {
            match new.get(key) {
                Some(new) => go_on(self, key, old, new),
                None => self.note(format!("{what} {key} is gone")),
            }
        }
    }

    fn operation(&mut self, path: &str, old: &Value, new: &Value) {
        let id = &old["operationId"];
        let at = id.as_str().unwrap_or(path);
        if *id != new["operationId"] {
            self.note(format!("{path}: operation {id} is {}", new["operationId"]));
        }
        let (old_fields, new_fields) = (parameters(old), parameters(new));
        self.each(&old_fields, &new_fields, &format!("{at}: parameter"), |breaks, name, old, new| {
            breaks.schema(&format!("{at}: {name}"), &old["schema"], &new["schema"], true, false);
        });
        for (name, parameter) in new_fields.as_object().into_iter().flatten() {
            if parameter["required"] == true && old_fields[name]["required"] != true {
                self.note(format!("{at}: parameter {name} became required"));
            }
        }
        self.contents(&format!("{at}: request"), &old["requestBody"], &new["requestBody"], true);
        self.each(
            &old["responses"],
            &new["responses"],
            &format!("{at}: status"),
            |breaks, status, old, new| {
                breaks.contents(&format!("{at}: {status}"), old, new, false);
            },
        );
    }

    fn contents(&mut self, at: &str, old: &Value, new: &Value, sent: bool) {
        self.each(&old["content"], &new["content"], &format!("{at}: format"), |breaks, format, old, new| {
            breaks.schema(&format!("{at}: {format}"), &old["schema"], &new["schema"], sent, !sent);
        });
    }

    fn schema(&mut self, at: &str, old: &Value, new: &Value, sent: bool, told: bool) {
        for keyword in ["type", "format", "$ref", "oneOf"] {
            let (was, is) = (undescribed(&old[keyword]), undescribed(&new[keyword]));
            if was != is {
                self.note(format!("{at}: {keyword} was {was} and is {is}"));
            }
        }
        for word in listed(old, "enum").difference(&listed(new, "enum")) {
            self.note(format!("{at}: word {word} is gone"));
        }
        // An enum where there was none leaves out what could be sent.
        if sent && old.get("enum").is_none() && new.get("enum").is_some() {
            self.note(format!("{at}: only some words are left"));
        }
        let (was, is) = (listed(old, "required"), listed(new, "required"));
        if sent {
            for field in is.difference(&was) {
                self.note(format!("{at}: field {field} became required"));
            }
        }
        if told {
            for field in was.difference(&is) {
                self.note(format!("{at}: field {field} may be left out of a reply"));
            }
        }
        self.each(
            &old["properties"],
            &new["properties"],
            &format!("{at}: field"),
            |breaks, field, old, new| {
                breaks.schema(&format!("{at}.{field}"), old, new, sent, told);
            },
        );
        for keyword in ["items", "additionalProperties"] {
            match (&old[keyword], &new[keyword]) {
                (Value::Null, Value::Null) => {}
                (old @ Value::Object(_), new @ Value::Object(_)) => self.schema(at, old, new, sent, told),
                (old, new) if old == new => {}
                (old, new) => self.note(format!("{at}: {keyword} was {old} and is {new}")),
            }
        }
    }
}

/// A value without its descriptions, which may be put better.
fn undescribed(value: &Value) -> Value {
    match value {
        Value::Array(items) => items.iter().map(undescribed).collect(),
        Value::Object(map) => map
            .iter()
            .filter(|(key, _)| *key != "description")
            .map(|(key, value)| (key.clone(), undescribed(value)))
            .collect::<Map<_, _>>()
            .into(),
        other => other.clone(),
    }
}

fn listed(schema: &Value, keyword: &str) -> BTreeSet<String> {
    schema[keyword].as_array().into_iter().flatten().map(ToString::to_string).collect()
}

/// The parameters of an operation by place and name.
fn parameters(operation: &Value) -> Value {
    let named = operation["parameters"].as_array().into_iter().flatten().map(|parameter| {
        let text = |key: &str| parameter[key].as_str().unwrap_or_default();
        (format!("{} ({})", text("name"), text("in")), parameter.clone())
    });
    named.collect::<Map<_, _>>().into()
}

#[derive(Clone, Copy, PartialEq)]
enum Way {
    Sent,
    Told,
}

/// The schemas that a request, or a reply, can reach. The lines of a batch are named in no operation.
fn reached(document: &Value, way: Way) -> BTreeSet<String> {
    let mut ahead = vec![if way == Way::Sent { "BatchLine" } else { "BatchReplyLine" }.to_owned()];
    for operation in document["paths"]
        .as_object()
        .into_iter()
        .flatten()
        .flat_map(|(_, item)| item.as_object().into_iter().flatten())
    {
        let part = if way == Way::Sent { "requestBody" } else { "responses" };
        references(&operation.1[part], &mut ahead);
    }
    let mut found = BTreeSet::new();
    while let Some(name) = ahead.pop() {
        if found.insert(name.clone()) {
            references(&document["components"]["schemas"][&name], &mut ahead);
        }
    }
    found
}

fn references(value: &Value, into: &mut Vec<String>) {
    match value {
        Value::Array(items) => items.iter().for_each(|item| references(item, into)),
        Value::Object(map) => {
            if let Some(Value::String(target)) = map.get("$ref") {
                into.push(target.rsplit('/').next().unwrap().to_owned());
            }
            map.values().for_each(|value| references(value, into));
        }
        _ => {}
    }
}

fn kept(version: &str) -> Value {
    let path = Path::new(VERSIONS).join(format!("{version}.json"));
    serde_json::from_str(
        &fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display())),
    )
    .unwrap()
}

#[test]
fn no_version_of_the_contract_is_broken() {
    let now = document();
    let mut versions = 0;
    for entry in fs::read_dir(VERSIONS).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        let version = name.strip_suffix(".json").unwrap();
        // What a new major version may break; before 1.0 a new minor one may.
        let major = |version: &str| {
            let (major, minor) = version.split_once('.').unwrap();
            if major == "0" { format!("0.{minor}") } else { major.to_owned() }
        };
        if major(version) == major(current()) {
            versions += 1;
            assert_eq!(Breaks::between(&kept(version), &now), Vec::<String>::new(), "{version}");
        }
    }
    assert!(versions > 0, "no copy of this version: see DEVELOPERS.md, *Release*");
}

/// The minor version that is being made.
fn current() -> &'static str {
    env!("CARGO_PKG_VERSION").rsplit_once('.').unwrap().0
}

/// Takes a key out of the object at a pointer.
fn taken(document: &mut Value, pointer: &str, key: &str) {
    let object = document.pointer_mut(pointer).unwrap().as_object_mut().unwrap();
    assert!(object.remove(key).is_some(), "{pointer}/{key}");
}

/// A change of a document, and what is said of it.
type Case = (&'static str, fn(&mut Value));

/// Each kind of break, made on purpose in the kept document.
const BROKEN: &[Case] = &[
    ("path /v1/spill is gone", |new| taken(new, "/paths", "/v1/spill")),
    ("/v1/spill: method get is gone", |new| taken(new, "/paths/~1v1~1spill", "get")),
    ("post_spill: status 422 is gone", |new| taken(new, "/paths/~1v1~1spill/post/responses", "422")),
    ("get_burning: 200: format text/csv is gone", |new| {
        taken(new, "/paths/~1v1~1burning/get/responses/200/content", "text/csv");
    }),
    ("post_spill: request: format application/json is gone", |new| {
        taken(new, "/paths/~1v1~1spill/post/requestBody/content", "application/json");
    }),
    ("/v1/spill: operation \"get_spill\" is \"ask_spill\"", |new| {
        new["paths"]["/v1/spill"]["get"]["operationId"] = json!("ask_spill");
    }),
    ("get_spill: parameter room.volume (query) is gone", |new| {
        let all = new.pointer_mut("/paths/~1v1~1spill/get/parameters").unwrap().as_array_mut().unwrap();
        all.retain(|parameter| parameter["name"] != "room.volume");
    }),
    ("get_spill: parameter room.volume (query) became required", |new| {
        let all = new.pointer_mut("/paths/~1v1~1spill/get/parameters").unwrap().as_array_mut().unwrap();
        let volume = all.iter_mut().find(|parameter| parameter["name"] == "room.volume").unwrap();
        volume["required"] = json!(true);
    }),
    ("schema Quantity is gone", |new| taken(new, "/components/schemas", "Quantity")),
    ("Quantity: field low is gone", |new| {
        taken(new, "/components/schemas/Quantity/properties", "low");
    }),
    ("Outcome: word \"not_assessed\" is gone", |new| {
        new["components"]["schemas"]["Outcome"]["enum"] =
            json!(["no_limit_checked", "within_limit", "near_limit", "over_limit"]);
    }),
    ("Quantity.value: type was \"number\" and is \"string\"", |new| {
        new["components"]["schemas"]["Quantity"]["properties"]["value"]["type"] = json!("string");
    }),
    ("Check.limit: $ref was \"#/components/schemas/Quantity\" and is null", |new| {
        new["components"]["schemas"]["Check"]["properties"]["limit"] = json!({ "description": "The limit." });
    }),
    (
        "Practical.steps: $ref was \"#/components/schemas/PlanStep\" and is \"#/components/schemas/Vessel\"",
        |new| {
            new["components"]["schemas"]["Practical"]["properties"]["steps"]["items"]["$ref"] =
                json!("#/components/schemas/Vessel");
        },
    ),
    ("Liquid: oneOf was", |new| {
        let choices = new["components"]["schemas"]["Liquid"]["oneOf"].as_array_mut().unwrap();
        choices.truncate(1);
    }),
    ("Spill: field \"floor\" became required", |new| {
        new["components"]["schemas"]["Spill"]["required"].as_array_mut().unwrap().push(json!("floor"));
    }),
    ("SpillReply: field \"sentence\" may be left out of a reply", |new| {
        let required = new["components"]["schemas"]["SpillReply"]["required"].as_array_mut().unwrap();
        required.retain(|field| field != "sentence");
    }),
    ("Spill.room_temperature: only some words are left", |new| {
        new["components"]["schemas"]["Spill"]["properties"]["room_temperature"]["enum"] = json!(["21 Cel"]);
    }),
];

#[test]
fn each_kind_of_break_is_found_and_what_is_only_added_is_none() {
    let old = kept(current());
    for (said, change) in BROKEN {
        let mut new = old.clone();
        change(&mut new);
        let found = Breaks::between(&old, &new);
        assert!(found.iter().any(|text| text.starts_with(said)), "{said}: {found:?}");
    }
    let mut more = old.clone();
    more["paths"]["/v1/spill"]["put"] = json!({ "operationId": "put_spill" });
    more["paths"]["/v1/spill"]["post"]["responses"]["409"] = json!({ "description": "New." });
    more["components"]["schemas"]["Spill"]["properties"]["slope"] = json!({ "type": "string" });
    more["components"]["schemas"]["SpillReply"]["properties"]["slope"] = json!({ "type": "string" });
    more["components"]["schemas"]["SpillReply"]["required"].as_array_mut().unwrap().push(json!("slope"));
    more["components"]["schemas"]["Heater"]["enum"].as_array_mut().unwrap().push(json!("oven"));
    more["components"]["schemas"]["Liquid"]["oneOf"][0]["description"] = json!("Put better.");
    assert_eq!(Breaks::between(&old, &more), Vec::<String>::new());
}
