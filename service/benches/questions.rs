//! What one check costs, for each question, full and figures only; and what loading the catalogue costs.

use brimline_service::catalogue::load::{embedded_files, load};
use brimline_service::question::{Context, Written, ask};
use criterion::{Criterion, criterion_group, criterion_main};
use serde_json::{Value, json};
use std::hint::black_box;

fn requests() -> Vec<(&'static str, Value)> {
    let room = json!({ "volume": "190 m3", "temperature": "21 Cel", "pressure": "101.325 kPa", "air_changes": "3 /h", "floor_area": "70 m2" });
    vec![
        ("vapour-pressure", json!({ "liquid": "ethanol", "temperature": "21 Cel" })),
        ("flash-point-margin", json!({ "liquid": "ethanol", "room_temperature": "21 Cel" })),
        ("room-flammable-limit", json!({ "liquid": "ethanol", "room": room, "released": "50 mL" })),
        (
            "safe-fill",
            json!({ "liquid": "ethanol", "room": room, "vessel": { "capacity": "100 mL", "mouth_diameter": "5 cm" }, "vessels": 6, "use": "open", "fill": "8 mL" }),
        ),
    ]
}

fn questions(criterion: &mut Criterion) {
    for (question, request) in requests() {
        for detail in ["full", "figures"] {
            let mut request = request.clone();
            if let Some(fields) = request.as_object_mut() {
                fields.insert("detail".into(), json!(detail));
            }
            let context = Context { relaxed_rules_allowed: false };
            criterion.bench_function(&format!("{question}/{detail}"), |bencher| {
                bencher.iter(|| ask(question, black_box(&request), Written::Json, context));
            });
        }
    }
}

fn start(criterion: &mut Criterion) {
    criterion
        .bench_function("load the catalogue", |bencher| bencher.iter(|| load(black_box(embedded_files()))));
}

criterion_group!(benches, questions, start);
criterion_main!(benches);
