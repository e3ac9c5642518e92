//! A record can be asked again: every question reads its own `record.request` and answers the same.

use brimline_openapi::document::EXAMPLES;
use brimline_openapi::operations::question;
use brimline_service::question::{Context, Written, record};
use serde_json::{Map, Value, json};

/// The reply to a request, or its faults.
fn asked(name: &str, request: &Value) -> Result<Value, Value> {
    let context = Context { relaxed_rules_allowed: true };
    match brimline_service::question::ask(name, request, Written::Json, context) {
        Ok(answer) => Ok(serde_json::from_slice(&answer.json).unwrap()),
        Err(refusal) => Err(serde_json::to_value(refusal.faults).unwrap()),
    }
}

/// What differs when the record of a reply is asked again. What was assumed counts as stated then, so that assumptions may
/// be fewer; the name of a plan is no part of what is asked.
fn differing(name: &str, before: &Value) -> Vec<String> {
    let recorded = &before["record"]["request"];
    let mut found = Vec::new();
    if record::digest(recorded).as_deref() != before["record"]["question_digest"].as_str() {
        found.push("the digest is not that of the recorded request".to_owned());
    }
    let mut request = recorded.clone();
    assert_eq!(request.as_object_mut().unwrap().remove("question").unwrap(), name);
    let after = match asked(name, &request) {
        Ok(after) => after,
        Err(faults) => return vec![faults.to_string()],
    };
    let fields = |reply: &Value| -> Map<String, Value> {
        let mut fields = reply.as_object().unwrap().clone();
        fields.retain(|field, _| field != "assumptions" && field != "name");
        fields
    };
    let (before, after) = (fields(before), fields(&after));
    for field in before.keys().chain(after.keys()).filter(|field| before.get(*field) != after.get(*field)) {
        let shown = |reply: &Map<String, Value>| -> String {
            reply.get(field).map(ToString::to_string).unwrap_or_default().chars().take(400).collect()
        };
        found.push(format!("{field}:\n    {}\n    {}", shown(&before), shown(&after)));
    }
    found
}

#[test]
fn every_example_is_answered_the_same_from_its_record() {
    for (name, examples) in EXAMPLES.iter().filter(|(name, _)| question(name).is_some()) {
        for (case, _, reply) in *examples {
            let found = differing(name, &serde_json::from_str(reply).unwrap());
            assert!(found.is_empty(), "{name}/{case}: {}", found.join("\n"));
        }
    }
}

/// Requests that leave much to defaults, or write what the examples do not.
fn bare() -> Vec<(&'static str, Value)> {
    let room = json!({ "volume": "190 m3" });
    let lab = json!({ "volume": "190 m3", "temperature": "21 Cel", "air_changes": "3 /h", "height": "3 m" });
    let vessel = json!({ "capacity": "100 mL", "mouth_diameter": "7 cm" });
    let wick = json!({ "capacity": "100 mL", "mouth_diameter": "3 cm", "kind": "wick", "burning_rate": { "value": 0.2, "unit": "g/min" } });
    let mixture = json!({ "mixture": [{ "substance": "ethanol", "quantity": "70 mL" }, { "substance": "water", "quantity": "31 mL" }] });
    let three = json!({ "mixture": [{ "substance": "propanone", "quantity": "1 mL" }, { "substance": "hexane", "quantity": "3 g" }, { "substance": "ethyl ethanoate", "quantity": "7 mL" }] });
    let mut all = Vec::new();
    for liquid in [
        json!("ethanol"),
        json!("methylated spirit"),
        json!("dichloromethane"),
        json!("ether"),
        mixture,
        three,
    ] {
        for used in ["open", "heated", "burnt"] {
            all.push((
                "safe-fill",
                json!({ "liquid": liquid, "vessel": vessel, "vessels": 2, "use": used, "room": room }),
            ));
            all.push((
                "comparison",
                json!({ "liquids": [liquid, "pentane"], "use": used, "amount": "20 mL", "room": room }),
            ));
        }
        all.push(("safe-fill", json!({ "liquid": liquid, "vessel": vessel, "vessels": 2, "use": "burnt", "room": lab, "nearest_person": "3 m", "clear_height": "2 m", "ignition": "none in the room", "container": { "amount": "50 mL", "distance": "1 m" } })));
        all.push(("safe-fill", json!({ "liquid": liquid, "vessel": vessel, "vessels": 2, "use": "heated", "heated_by": "water_bath", "fill": "20 mL", "room": lab })));
        all.push(("vapour-pressure", json!({ "liquid": liquid, "temperature": "21 Cel" })));
        all.push((
            "vapour-pressure",
            json!({ "liquid": liquid, "from": "10 Cel", "to": "20 Cel", "step": "5 K" }),
        ));
        all.push(("flash-point-margin", json!({ "liquid": liquid })));
        all.push(("flash-point-margin", json!({ "liquid": liquid, "heated_by": "hot_plate" })));
        all.push(("room-flammable-limit", json!({ "liquid": liquid, "room": room })));
        all.push(("room-flammable-limit", json!({ "liquid": liquid, "room": { "volume": "900 m3" }, "released": "40 g", "releases": 3, "interval": "10 min" })));
        all.push((
            "evaporation",
            json!({ "liquid": liquid, "amount": "20 mL", "surface": { "diameter": "9 cm" } }),
        ));
        all.push(("evaporation", json!({ "liquid": liquid, "amount": "20 mL", "surface": { "area": "64 cm2" }, "room": lab, "soaked": true })));
        all.push((
            "exposure",
            json!({ "liquid": liquid, "room": room, "generation_rate": "2 g/min", "duration": "20 min" }),
        ));
        all.push(("exposure", json!({ "liquid": liquid, "room": lab, "source": { "amount": "20 mL", "surface": { "diameter": "9 cm" } }, "list": "United Kingdom", "duration": "20 min" })));
        all.push(("spill", json!({ "liquid": liquid, "room": room, "amount": "500 mL" })));
        all.push(("spill", json!({ "liquid": liquid, "room": lab, "amount": "400 g", "floor": "rough", "heated_to": "30 Cel", "alight": true })));
        all.push((
            "burning",
            json!({ "liquid": liquid, "room": room, "amount": "10 mL", "vessel": vessel, "vessels": 2 }),
        ));
        all.push(("burning", json!({ "liquid": liquid, "room": lab, "amount": "10 g", "vessel": vessel, "vessels": 2, "nearest_person": "3 m", "stock": { "distance": "2 m" } })));
        all.push(("cooling", json!({ "vessel": { "material": "borosilicate glass", "capacity": "250 mL" }, "burnt": { "liquid": liquid, "amount": "10 mL" } })));
        all.push(("cooling", json!({ "vessel": { "material": "glass", "capacity": "250 mL" }, "start_temperature": "110 Cel", "refill_with": liquid, "waited": "20 min" })));
        all.push(("storage", json!({ "liquid": liquid, "container": { "capacity": "1 L" } })));
        all.push(("storage", json!({ "liquid": liquid, "container": { "capacity": "1 L", "filled": "0.9 L" }, "beside": ["nitric acid", "water"], "place": "bench", "opened_for": "3 months", "peroxide_test": "none found" })));
        all.push(("practical", json!({
            "room": lab, "people": { "nearest": "3 m", "count": 20 }, "beside": ["nitric acid", { "mixture": [{ "substance": "ethanol", "quantity": "7 mL" }, { "substance": "water", "quantity": "3 mL" }] }],
            "steps": [{ "do": "draw", "liquid": liquid, "amount": "20 mL" }, { "do": "pour", "liquid": liquid, "amount": "10 mL", "vessel": wick, "vessels": 2 }, { "do": "burn", "liquid": liquid, "amount": "10 mL", "vessel": wick, "vessels": 2 }, { "do": "wait", "duration": "15 min" }, { "do": "clear" }],
            "stock": [{ "liquid": liquid, "container": { "capacity": "500 mL" }, "distance": "4 m" }],
        })));
    }
    let rules = json!({ "required_margin_pure": "2 K", "unknown_room_temperature": "31 Cel" });
    all.push(("flash-point-margin", json!({ "liquid": "ethanol", "rules": rules, "relaxed_by": { "role": "safety adviser", "reason": "measured" } })));
    all
}

#[test]
fn what_leaves_much_to_defaults_is_answered_the_same_from_its_record() {
    let mut all = Vec::new();
    for (name, request) in bare() {
        let reply = asked(name, &request).unwrap_or_else(|faults| panic!("{name} {request}: {faults}"));
        let found = differing(name, &reply);
        if !found.is_empty() {
            all.push(format!("{name} {request}\n  {}", found.join("\n  ")));
        }
    }
    assert!(all.is_empty(), "{} differ\n{}", all.len(), all.join("\n"));
}
