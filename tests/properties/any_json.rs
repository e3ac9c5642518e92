//! Arbitrary JSON and mutated requests: an answer or a refusal, never a panic, never an empty refusal.

use brimline_openapi::operations::QUESTIONS;
use brimline_service::question::{self, Context, Written, json, query};
use proptest::prelude::*;
use serde_json::{Value, json as value};

/// Names and texts that requests are made of, so that arbitrary JSON reaches deep.
fn word() -> impl Strategy<Value = String> {
    const KNOWN: &[&str] = &[
        "liquid",
        "room",
        "volume",
        "temperature",
        "temperatures",
        "from",
        "to",
        "step",
        "pressure",
        "room_temperature",
        "heated_to",
        "heated_by",
        "hot_plate",
        "surface_temperature",
        "soaked",
        "released",
        "vessel",
        "capacity",
        "mouth_diameter",
        "vessels",
        "use",
        "fill",
        "rules",
        "relaxed_by",
        "detail",
        "value",
        "unit",
        "amount",
        "surface",
        "diameter",
        "area",
        "freeboard",
        "depth",
        "count",
        "source",
        "generation_rate",
        "duration",
        "distance",
        "air_speed",
        "limits",
        "list",
        "short_term",
        "nearest_ignition",
        "ignition",
        "none in the room",
        "container",
        "releases",
        "filled",
        "filled_at",
        "highest_temperature",
        "beside",
        "oxidisers",
        "held_in_room",
        "place",
        "refrigerator",
        "spark_free",
        "opened_for",
        "200 d",
        "2 g/min",
        "500 ppm",
        "5 cm",
        "mixture",
        "basis",
        "fraction",
        "substance",
        "quantity",
        "ethanol",
        "water",
        "pentane",
        "20 Cel",
        "180 m3",
        "5 mL",
        "1e999 Cel",
        "open",
        "burnt",
        "full",
        "planned_release_share",
        "10 %",
        "0 K",
        "-5 mL",
        "",
        "\u{0}",
        "é",
        "\u{202e}",
    ];
    prop_oneof![4 => prop::sample::select(KNOWN).prop_map(str::to_owned), 1 => ".{0,20}"]
}

fn any_json() -> impl Strategy<Value = Value> {
    let leaf = prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::from),
        any::<f64>().prop_map(Value::from),
        any::<i64>().prop_map(Value::from),
        word().prop_map(Value::from),
    ];
    leaf.prop_recursive(4, 40, 6, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..5).prop_map(Value::from),
            prop::collection::vec((word(), inner), 0..8)
                .prop_map(|pairs| Value::Object(pairs.into_iter().collect())),
        ]
    })
}

/// A request that is right but for what `odd` puts at one place.
fn nearly_right(place: usize, odd: Value) -> Value {
    let mut request = value!({
        "liquid": "ethanol", "temperature": "20 Cel", "room": { "volume": "190 m3", "temperature": "21 Cel" }, "released": "50 mL",
        "vessel": { "capacity": "100 mL", "mouth_diameter": "5 cm" }, "vessels": 6, "use": "open", "fill": "20 mL",
    });
    let places = [
        "/liquid",
        "/temperature",
        "/room",
        "/room/volume",
        "/room/temperature",
        "/released",
        "/vessel",
        "/vessel/capacity",
        "/vessels",
        "/use",
        "/fill",
    ];
    if let Some(target) = request.pointer_mut(places[place % places.len()]) {
        *target = odd;
    }
    request
}

/// An earlier answer.
const EARLIER: &str = include_str!("../../openapi/examples/recheck/reply-of-an-earlier-version.request.json");

fn ask(question: &str, request: &Value) {
    for written in [Written::Json, Written::Query] {
        match question::ask(question, request, written, Context { relaxed_rules_allowed: true }) {
            Ok(answer) => {
                let reply: Value = serde_json::from_slice(&answer.json).expect("a reply is JSON");
                assert!(reply["sentence"].as_str().is_some_and(|text| text.chars().count() <= 200));
                assert!(!String::from_utf8_lossy(&answer.json).contains("null"));
            }
            Err(refusal) => {
                assert!(!refusal.faults.is_empty());
                assert!(
                    (400..500).contains(&refusal.problem().status),
                    "{:?} for {request}",
                    refusal.problem()
                );
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_json_is_answered_or_refused(request in any_json()) {
        for question in QUESTIONS {
            ask(question.name, &request);
        }
    }

    #[test]
    fn a_nearly_right_request_is_answered_or_refused(place in 0_usize..11, odd in any_json()) {
        for question in QUESTIONS {
            ask(question.name, &nearly_right(place, odd.clone()));
        }
    }

    #[test]
    fn a_nearly_right_earlier_answer_is_held_against_todays_or_refused(place in 0_usize..10, odd in any_json()) {
        let mut request: Value = serde_json::from_str(EARLIER).expect("an example is JSON");
        let places = [
            "", "/question", "/request", "/request/liquid", "/reply", "/reply/record", "/reply/record/question_digest", "/reply/record/service_version", "/reply/outcome", "/reply/checks",
        ];
        if let Some(target) = request.pointer_mut(places[place]) {
            *target = odd;
        }
        ask("recheck", &request);
    }

    #[test]
    fn a_nearly_right_container_is_answered_or_refused(place in 0_usize..9, odd in any_json()) {
        let mut request = value!({
            "liquid": "pentane", "container": { "capacity": "1 L", "filled": "900 mL", "filled_at": "12 Cel" }, "highest_temperature": "28 Cel", "beside": ["water"], "held_in_room": "2 L",
            "place": "refrigerator", "opened_for": "30 d",
        });
        let places = [
            "/liquid", "/container", "/container/filled", "/container/filled_at", "/highest_temperature", "/beside", "/beside/0", "/held_in_room", "/opened_for",
        ];
        if let Some(target) = request.pointer_mut(places[place]) {
            *target = odd;
        }
        ask("storage", &request);
    }

    #[test]
    fn a_nearly_right_comparison_is_answered_or_refused(place in 0_usize..12, used in prop::sample::select(vec!["open", "heated", "burnt"]), odd in any_json()) {
        let mut request = value!({
            "liquids": ["pentane", { "mixture": [{ "substance": "ethanol", "quantity": "7 mL" }, { "substance": "water", "quantity": "3 mL" }] }, "denatured alcohol"], "use": used,
            "amount": "5 mL", "room": { "volume": "190 m3", "temperature": "21 Cel" }, "vessel": { "capacity": "100 mL", "mouth_diameter": "7 cm" }, "heated_to": "31 Cel", "duration": "30 min",
            "nearest_person": "3 m", "limits": [{ "substance": "pentane", "short_term": "300 [ppm]" }],
        });
        let places = [
            "/liquids", "/liquids/0", "/liquids/1", "/liquids/1/mixture/0", "/use", "/amount", "/room", "/vessel", "/vessel/capacity", "/heated_to", "/duration", "/limits",
        ];
        if let Some(target) = request.pointer_mut(places[place]) {
            *target = odd;
        }
        ask("comparison", &request);
    }

    #[test]
    fn any_bytes_and_any_query_are_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..200), text in "[a-z.=&%+0-9~/]{0,80}") {
        let _ = json::read(&bytes);
        if let Ok((request, _)) = query::read(&text) {
            ask("flash-point-margin", &request);
        }
    }
}
