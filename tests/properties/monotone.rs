//! Physics that rises or falls where it must, for every liquid of the catalogue.

use brimline_service::catalogue::catalogue;
use brimline_service::quantity::si;
use brimline_tests::ask;
use serde_json::{Value, json};

fn liquids() -> Vec<&'static str> {
    catalogue().expect("it loads").substances.iter().map(|substance| substance.id.as_str()).collect()
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("no number: {value}"))
}

/// Steps down at the edge between two sets, each within the stated range of the class; a new one must be looked at.
const LISTED_STEPS: &[(&str, &str, &str)] = &[
    ("1,2-dichloroethane", "Landolt", "WagnerMcG"), // 0.59 %
    ("1,2-dichloroethane", "Poling", "WagnerMcG"),  // 0.11 %
    ("1-chlorobutane", "Landolt", "VDI"),           // 1.54 %
    ("2-methylpropan-2-ol", "Poling", "Perry2-8"),  // 0.21 %
    ("bromoethane", "WebBook", "Perry2-8"),         // 0.36 %
    ("butanal", "Landolt", "Perry2-8"),             // 0.62 %
    ("butanoic-acid", "VDI", "Perry2-8"),           // 1.02 %
    ("butanone", "Perry2-8", "WagnerMcG"),          // 3.09 %
    ("cyclohexane", "Perry2-8", "Landolt"),         // 0.69 %
    ("cyclopentane", "Perry2-8", "Landolt"),        // 0.88 %
    ("cyclopentane", "Landolt", "Perry2-8"),        // 0.05 %
    ("dichloromethane", "VDI", "Poling"),           // 2.49 %
    ("dichloromethane", "Poling", "VDI"),           // 0.68 %
    ("dodecane", "WagnerPol", "Perry2-8"),          // 7.30 %
    ("ethanol", "Poling", "WagnerPol"),             // 0.30 %
    ("ethoxyethane", "VDI", "Poling"),              // 0.03 %
    ("ethyl-butanoate", "WebBook", "Landolt"),      // 36.17 %
    ("glycerol", "VDI", "Landolt"),                 // 2.73 %
    ("heptan-1-ol", "Perry2-8", "WebBook"),         // 0.95 %
    ("heptan-1-ol", "WebBook", "Poling"),           // 1.32 %
    ("hex-1-ene", "Perry2-8", "Landolt"),           // 3.40 %
    ("hexadecane", "WagnerPol", "Perry2-8"),        // 2.34 %
    ("methanol", "VDI", "Poling"),                  // 0.36 %
    ("methyl-ethanoate", "Perry2-8", "Poling"),     // 0.60 %
    ("methyl-methanoate", "Perry2-8", "Poling"),    // 0.23 %
    ("methyl-methanoate", "Poling", "Perry2-8"),    // 0.03 %
    ("oxolane", "Perry2-8", "Landolt"),             // 0.31 %
    ("pentan-1-ol", "Perry2-8", "Poling"),          // 10.68 %
    ("propanoic-acid", "VDI", "Perry2-8"),          // 19.24 %
    ("tetrachloromethane", "Landolt", "Perry2-8"),  // 1.21 %
    ("tetrachloromethane", "Poling", "Perry2-8"),   // 0.62 %
    ("trichloroethene", "VDI", "Landolt"),          // 5.19 %
];

#[test]
fn vapour_pressure_rises_with_temperature_and_a_step_at_an_edge_stays_within_the_range() {
    let mut steps = Vec::new();
    for substance in &catalogue().expect("it loads").substances {
        let mut before: Option<(f64, f64, &String)> = None;
        for tenths in -500..1500 {
            let celsius = f64::from(tenths) / 10.0;
            let Ok(found) = substance.vapour.at(si::celsius(celsius)) else { continue };
            let (value, low) = (si::in_pascal(found.pressure.value), si::in_pascal(found.pressure.low));
            if let Some((earlier, earlier_low, set)) = before
                && value <= earlier
            {
                assert!(set != &found.set.name, "{} falls within one set at {celsius} Cel", substance.id);
                // The ranges of the two sets must overlap: the step is no larger than what is stated.
                let high = si::in_pascal(found.pressure.high);
                assert!(
                    high >= earlier_low,
                    "{} steps from {earlier} to {value} Pa at {celsius} Cel",
                    substance.id
                );
                steps.push((
                    substance.id.clone(),
                    set.clone(),
                    found.set.name.clone(),
                    earlier / value - 1.0,
                ));
            }
            before = Some((value, low, &found.set.name));
        }
    }
    println!("steps down at range edges: {steps:?}");
    for (id, from, to, _) in &steps {
        assert!(
            LISTED_STEPS.contains(&(id.as_str(), from.as_str(), to.as_str())),
            "not listed: {id} from {from} to {to}"
        );
    }
}

#[test]
fn the_margin_falls_as_the_room_warms() {
    for liquid in liquids() {
        let mut before = f64::INFINITY;
        for celsius in (-10..60).step_by(5) {
            let reply = ask(
                "flash-point-margin",
                &json!({ "liquid": liquid, "room_temperature": format!("{celsius} Cel") }),
            )
            .unwrap();
            if let Some(margin) = reply["margin"]["value"].as_f64() {
                assert!(margin < before, "{liquid} at {celsius} Cel");
                before = margin;
            }
        }
    }
}

#[test]
fn a_bigger_room_never_lowers_the_fill_nor_the_release() {
    for liquid in liquids() {
        let (mut fill, mut release) = (0.0, 0.0);
        for volume in [20, 40, 60, 100, 190, 400, 1000] {
            let room = json!({ "volume": format!("{volume} m3"), "temperature": "21 Cel" });
            let vessel = json!({ "capacity": "2 L", "mouth_diameter": "10 cm" });
            let request =
                json!({ "liquid": liquid, "room": room, "vessel": vessel, "vessels": 3, "use": "open" });
            // A liquid that is a gas at this temperature is refused.
            let Ok(reply) = ask("safe-fill", &request) else {
                assert!(["ethanal"].contains(&liquid), "{liquid} is refused");
                continue;
            };
            let found = reply["fill_per_vessel"]["value"].as_f64().unwrap_or(0.0);
            assert!(found >= fill, "{liquid} in {volume} m3: {found} after {fill}");
            fill = found;
            let found = ask("room-flammable-limit", &json!({ "liquid": liquid, "room": room })).unwrap();
            let found = found["largest_release"]["value"].as_f64().unwrap_or(0.0);
            assert!(found >= release, "{liquid} in {volume} m3: {found} after {release}");
            release = found;
        }
    }
}

#[test]
fn a_hotter_liquid_is_never_too_lean_again() {
    for liquid in liquids() {
        let mut left_lean = false;
        for celsius in (-10..60).step_by(2) {
            let reply = ask(
                "flash-point-margin",
                &json!({ "liquid": liquid, "room_temperature": format!("{celsius} Cel") }),
            )
            .unwrap();
            // Without a vapour pressure it counts as ignitable, since it cannot be shown to be too lean.
            if reply["headspace"].get("volume_fraction").is_none() {
                continue;
            }
            let condition = &reply["headspace"]["condition"];
            assert!(!(left_lean && condition == "too_lean"), "{liquid} at {celsius} Cel");
            left_lean |= condition == "ignitable" || condition == "too_rich";
        }
    }
}

/// low <= value <= high for every estimate of every reply.
fn ordered(value: &Value, place: &str) {
    match value {
        Value::Array(items) => items.iter().for_each(|item| ordered(item, place)),
        Value::Object(map) => {
            if let (Some(low), Some(high)) = (map.get("low"), map.get("high")) {
                let middle = number(&map["value"]);
                assert!(number(low) <= middle && middle <= number(high), "{place}: {value}");
            }
            map.iter().for_each(|(name, inner)| ordered(inner, name));
        }
        _ => {}
    }
}

#[test]
fn the_value_lies_between_its_ends_in_every_reply() {
    for liquid in liquids() {
        let room = json!({ "volume": "190 m3", "temperature": "23.4 Cel", "pressure": "98.7 kPa", "air_changes": "2 /h" });
        for (question, request) in [
            ("vapour-pressure", json!({ "liquid": liquid, "temperatures": ["15 Cel", "30 Cel", "45 Cel"] })),
            ("flash-point-margin", json!({ "liquid": liquid, "room": room })),
            ("room-flammable-limit", json!({ "liquid": liquid, "room": room, "released": "33 g" })),
            (
                "safe-fill",
                json!({ "liquid": liquid, "room": room, "vessel": { "capacity": "77 mL", "mouth_diameter": "4 cm" }, "vessels": 7, "use": "heated", "fill": "11 mL" }),
            ),
            (
                "evaporation",
                json!({ "liquid": liquid, "room": room, "amount": "33 g", "surface": { "diameter": "7 cm", "freeboard": "3 cm" }, "duration": "37 min" }),
            ),
            (
                "exposure",
                json!({ "liquid": liquid, "room": room, "source": { "amount": "33 g", "surface": { "diameter": "7 cm" } }, "duration": "37 min" }),
            ),
            ("spill", json!({ "liquid": liquid, "room": room, "amount": "333 mL" })),
        ] {
            match ask(question, &request) {
                Ok(reply) => ordered(&reply, question),
                Err(problem) => {
                    let code = &problem["code"];
                    // Where the boiling point is not known either it must be said how hot the liquid becomes.
                    let hot = code == "missing-field" && problem["errors"][0]["pointer"] == "/heated_to";
                    assert!(
                        code == "outside-range" || code == "missing-datum" || hot,
                        "{liquid} {question}: {problem}"
                    );
                }
            }
        }
    }
}
