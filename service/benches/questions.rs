//! What one check costs, for each question, full and figures only; and what loading the catalogue costs.

/// As in the program.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

use brimline_service::catalogue::load::{embedded_files, load};
use brimline_service::question::{Context, Written, ask};
use criterion::{Criterion, criterion_group, criterion_main};
use serde_json::{Value, json};
use std::hint::black_box;

const TWENTY: [&str; 20] = [
    "ethanol",
    "methanol",
    "propan-1-ol",
    "propan-2-ol",
    "butan-1-ol",
    "propanone",
    "butanone",
    "ethyl ethanoate",
    "hexane",
    "heptane",
    "cyclohexane",
    "pentane",
    "methylbenzene",
    "ethoxyethane",
    "dichloromethane",
    "water",
    "octane",
    "limonene",
    "pentan-1-ol",
    "denatured alcohol",
];

fn requests() -> Vec<(&'static str, Value)> {
    let room = json!({ "volume": "190 m3", "temperature": "21 Cel", "pressure": "101.325 kPa", "air_changes": "3 /h", "floor_area": "70 m2" });
    vec![
        ("vapour-pressure", json!({ "liquid": "ethanol", "temperature": "21 Cel" })),
        ("flash-point-margin", json!({ "liquid": "ethanol", "room_temperature": "21 Cel" })),
        ("room-flammable-limit", json!({ "liquid": "ethanol", "room": room, "released": "50 mL" })),
        (
            "safe-fill",
            json!({ "liquid": "ethanol", "room": room, "vessel": { "capacity": "100 mL", "mouth_diameter": "5 cm" }, "vessels": 6, "use": "open", "fill": "4 mL", "duration": "40 min" }),
        ),
        (
            "evaporation",
            json!({ "liquid": "ethanol", "room": room, "amount": "20 mL", "surface": { "diameter": "9 cm" }, "duration": "40 min", "nearest_ignition": "3 m" }),
        ),
        (
            "exposure",
            json!({ "liquid": "ethanol", "room": room, "source": { "amount": "20 mL", "surface": { "diameter": "9 cm" } }, "duration": "40 min" }),
        ),
        (
            "spill",
            json!({ "liquid": "ethanol", "room": room, "amount": "250 mL", "nearest_ignition": "4 m" }),
        ),
        (
            "burning",
            json!({ "liquid": "ethanol", "room": room, "amount": "6 mL", "vessel": { "capacity": "250 mL", "mouth_diameter": "7 cm", "material": "borosilicate glass" }, "vessels": 6, "nearest_person": "2 m", "clear_height": "1.5 m", "stock": { "distance": "6 m" } }),
        ),
        (
            "cooling",
            json!({ "vessel": { "material": "borosilicate glass", "mass": "110 g" }, "burnt": { "liquid": "ethanol", "amount": "6 mL" }, "room_temperature": "21 Cel", "refill_with": "ethanol", "waited": "20 min", "all_flames_out": true }),
        ),
        (
            "storage",
            json!({ "liquid": "ethanol", "container": { "capacity": "1 L" }, "highest_temperature": "30 Cel", "beside": ["propanone", "oxidisers"], "held_in_room": "12 L", "nearest_ignition": "4 m", "place": "cupboard" }),
        ),
        (
            "flame-colour",
            json!({ "salt": "potassium chloride", "fuel": "ethanol", "room": room, "resolution": "1 nm" }),
        ),
        (
            "comparison",
            json!({ "liquids": TWENTY, "use": "open", "amount": "5 mL", "room": room, "nearest_ignition": "4 m", "duration": "30 min" }),
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

/// A mixture of two, of ten, and one that splits in two.
fn mixtures(criterion: &mut Criterion) {
    let part = |name: &&str| json!({ "substance": name, "quantity": "10 mL" });
    let miscible = [
        "ethanol",
        "cyclohexane",
        "propanone",
        "hexane",
        "propan-1-ol",
        "butanone",
        "ethyl ethanoate",
        "propan-2-ol",
        "heptane",
        "methylbenzene",
    ];
    let ten = [
        "ethanol",
        "water",
        "propanone",
        "hexane",
        "methanol",
        "butanone",
        "ethyl ethanoate",
        "propan-2-ol",
        "heptane",
        "methylbenzene",
    ];
    let cases = [
        (
            "two parts",
            json!({ "mixture": [{ "substance": "ethanol", "quantity": "70 mL" }, { "substance": "water", "quantity": "30 mL" }] }),
        ),
        ("denatured alcohol", json!("denatured alcohol")),
        ("two liquids", json!({ "mixture": [part(&"hexane"), part(&"water")] })),
        ("ten parts", json!({ "mixture": miscible.iter().map(part).collect::<Vec<_>>() })),
        ("ten parts, two liquids", json!({ "mixture": ten.iter().map(part).collect::<Vec<_>>() })),
    ];
    let context = Context { relaxed_rules_allowed: false };
    let room = json!({ "volume": "190 m3", "temperature": "21 Cel", "air_changes": "3 /h" });
    let drifting = json!({ "mixture": [{ "substance": "ethanol", "quantity": "70 mL" }, { "substance": "water", "quantity": "30 mL" }] });
    for (question, request) in [
        (
            "evaporation",
            json!({ "liquid": drifting, "room": room, "amount": "20 mL", "surface": { "diameter": "9 cm" }, "duration": "40 min", "nearest_ignition": "3 m", "detail": "figures" }),
        ),
        (
            "exposure",
            json!({ "liquid": drifting, "room": room, "source": { "amount": "20 mL", "surface": { "diameter": "9 cm" } }, "duration": "40 min", "detail": "figures" }),
        ),
        (
            "safe-fill",
            json!({ "liquid": drifting, "room": room, "vessel": { "capacity": "100 mL", "mouth_diameter": "5 cm" }, "vessels": 6, "use": "open", "fill": "4 mL", "duration": "40 min", "detail": "figures" }),
        ),
        (
            "burning",
            json!({ "liquid": drifting, "room": room, "amount": "6 mL", "vessel": { "capacity": "100 mL", "mouth_diameter": "7 cm" }, "nearest_person": "4 m", "detail": "figures" }),
        ),
        (
            "safe-fill",
            json!({ "liquid": "ethanol", "room": room, "vessel": { "capacity": "100 mL", "mouth_diameter": "6 cm", "material": "porcelain" }, "vessels": 6, "use": "burnt", "fill": "4 mL", "nearest_person": "4 m", "clear_height": "2 m", "detail": "figures" }),
        ),
        (
            "spill",
            json!({ "liquid": drifting, "room": room, "amount": "250 mL", "nearest_ignition": "4 m", "detail": "figures" }),
        ),
        (
            "storage",
            json!({ "liquid": drifting, "container": { "capacity": "1 L" }, "highest_temperature": "30 Cel", "place": "refrigerator", "detail": "figures" }),
        ),
    ] {
        let burnt = request.get("use").is_some_and(|used| used == "burnt");
        let name = if burnt { "burnt" } else { "a mixture that drifts" };
        criterion.bench_function(&format!("{question}/{name}"), |bencher| {
            bencher.iter(|| ask(question, black_box(&request), Written::Json, context));
        });
    }
    for (name, liquid) in cases {
        let request = json!({ "liquid": liquid, "room_temperature": "21 Cel", "detail": "figures" });
        criterion.bench_function(&format!("flash-point-margin/{name}"), |bencher| {
            bencher.iter(|| ask("flash-point-margin", black_box(&request), Written::Json, context));
        });
    }
}

/// Whole plans: one within its limits, one with a mistake whose changes are searched.
fn plans(criterion: &mut Criterion) {
    let vessel = json!({ "capacity": "250 mL", "mouth_diameter": "7 cm", "material": "borosilicate glass" });
    let plan = |drawn: &str, amount: &str, bottle: &str, nearest: &str| {
        json!({
            "room": { "volume": "190 m3", "temperature": "21 Cel", "pressure": "101.325 kPa", "air_changes": "3 /h" },
            "people": { "nearest": nearest, "count": 24 },
            "steps": [
                { "do": "draw", "liquid": "ethanol", "amount": drawn },
                { "do": "pour", "liquid": "ethanol", "amount": amount, "vessel": vessel, "vessels": 6 },
                { "do": "wait", "duration": "2 min" },
                { "do": "burn" },
                { "do": "wait", "duration": "15 min" },
                { "do": "clear", "all_flames_out": true },
            ],
            "stock": [{ "liquid": "ethanol", "container": bottle, "distance": "3 m" }],
            "ignition": [{ "kind": "gas tap", "distance": "3 m", "lit": false }],
            "mat": true,
        })
    };
    let within = plan("36 mL", "6 mL", "100 mL", "3 m");
    let near = plan("36 mL", "6 mL", "100 mL", "0.5 m");
    let much = plan("150 mL", "25 mL", "250 mL", "1 m");
    let context = Context { relaxed_rules_allowed: false };
    for (name, plan) in [("within its limits", within), ("people too near", near), ("far over", much)] {
        criterion.bench_function(&format!("practical/{name}"), |bencher| {
            bencher.iter(|| ask("practical", black_box(&plan), Written::Json, context));
        });
    }
}

fn start(criterion: &mut Criterion) {
    criterion.bench_function("load the catalogue", |bencher| {
        // The program loads once and never drops it.
        bencher.iter_with_large_drop(|| load(black_box(embedded_files())));
    });
}

criterion_group!(benches, questions, mixtures, plans, start);
criterion_main!(benches);
