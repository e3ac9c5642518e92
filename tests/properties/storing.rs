//! Closed containers: fuller or hotter never means less pressure, what is proposed holds, remedies mend.

use brimline_service::catalogue::catalogue;
use brimline_tests::ask;
use proptest::prelude::*;
use serde_json::{Value, json};

/// Substances that are for use in a school, and named mixtures.
fn liquids() -> Vec<&'static str> {
    let catalogue = catalogue().expect("it loads");
    let usable = catalogue.substances.iter().filter(|substance| substance.not_for_school_use.is_none());
    usable
        .map(|substance| substance.id.as_str())
        .chain(catalogue.mixtures.iter().map(|mixture| mixture.id.as_str()))
        .collect()
}

fn liquid() -> impl Strategy<Value = &'static str> {
    prop::sample::select(liquids())
}

fn status<'r>(reply: &'r Value, check: &str) -> Option<&'r str> {
    let made = reply["checks"].as_array()?.iter().find(|made| made["check"] == check)?;
    made["status"].as_str()
}

/// From within to over.
fn grade(status: Option<&str>) -> u8 {
    match status {
        None | Some("within_limit") => 0,
        Some("near_limit") => 1,
        Some("not_assessed") => 2,
        _ => 3,
    }
}

#[test]
fn a_hotter_container_never_has_less_pressure_inside() {
    for liquid in liquids() {
        let mut before = f64::NEG_INFINITY;
        for celsius in (15..=60).step_by(5) {
            let request = json!({ "liquid": liquid, "container": { "capacity": "1 L", "filled": "500 mL" }, "highest_temperature": format!("{celsius} Cel") });
            // A mixture may boil beyond what is published of a part.
            let Ok(reply) = ask("storage", &request) else { continue };
            let Some(inside) = reply["pressure_at_highest"]["high"].as_f64() else { continue };
            assert!(inside >= before, "{liquid} at {celsius} Cel: {inside} after {before}");
            before = inside;
        }
        assert!(before > f64::NEG_INFINITY || ask_model(liquid), "{liquid}");
    }
}

/// Whether nothing can be said of its vapour.
fn ask_model(liquid: &str) -> bool {
    ask("vapour-pressure", &json!({ "liquid": liquid, "temperature": "20 Cel" })).is_err()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_largest_fill_asked_back_is_never_over(
        liquid in liquid(), capacity in 1.0_f64..20_000.0, filled_at in -5.0_f64..45.0, highest in 5.0_f64..60.0, pressure in prop::option::of(70.0_f64..105.0),
    ) {
        let mut request = json!({ "liquid": liquid, "container": { "capacity": format!("{capacity} mL"), "filled_at": format!("{filled_at} Cel") }, "highest_temperature": format!("{highest} Cel") });
        if let Some(pressure) = pressure {
            request["pressure"] = json!(format!("{pressure} kPa"));
        }
        let Ok(reply) = ask("storage", &request) else { return Ok(()) };
        let Some(largest) = reply["largest_fill"]["value"].as_f64() else {
            let closed = status(&reply, "closed_pressure");
            prop_assert!(grade(closed) >= 2, "{}", reply);
            return Ok(());
        };
        request["container"]["filled"] = json!(format!("{largest} mL"));
        let back = ask("storage", &request).unwrap();
        for check in ["degree_of_filling", "closed_pressure"] {
            prop_assert!(grade(status(&back, check)) < 2, "{}", back);
            prop_assert!(grade(status(&reply, check)) < 2, "{}", reply);
        }
        // Measured where it is filled, too: its own share of the capacity is no larger than the degree.
        if filled_at < 20.0 {
            let made = reply["checks"].as_array().unwrap().iter().find(|made| made["check"] == "degree_of_filling").unwrap();
            let degree = made["limit"]["value"].as_f64().unwrap();
            prop_assert!(largest / capacity * 100.0 <= degree * (1.0 + 1e-11), "{}", reply);
        }
        // A tenth more is over its degree or its pressure, unless it does not go in.
        let more = largest * 1.1 + capacity * 1e-3;
        if more <= capacity {
            request["container"]["filled"] = json!(format!("{more} mL"));
            let more = ask("storage", &request).unwrap();
            let worst = grade(status(&more, "degree_of_filling")).max(grade(status(&more, "closed_pressure")));
            prop_assert_eq!(worst, 3, "{}", more);
        }
    }

    #[test]
    fn less_in_the_container_never_worsens_a_check_nor_raises_the_pressure(
        liquid in liquid(), fill in 10.0_f64..1000.0, less in 0.05_f64..1.0, highest in 16.0_f64..60.0, place in prop::sample::select(vec!["bench", "refrigerator"]),
    ) {
        let at = |fill: f64| ask("storage", &json!({
            "liquid": liquid, "container": { "capacity": "1 L", "filled": format!("{fill} mL") }, "highest_temperature": format!("{highest} Cel"), "place": place, "nearest_ignition": "2 m", "held_in_room": "45 L",
        }));
        let (Ok(full), Ok(emptier)) = (at(fill), at(fill * less)) else { return Ok(()) };
        for check in ["degree_of_filling", "closed_pressure", "amount_held", "stock_distance", "vapour_in_refrigerator", "bench_amount"] {
            prop_assert!(grade(status(&emptier, check)) <= grade(status(&full, check)), "{} {}", check, emptier);
        }
        let inside = |reply: &Value| reply["pressure_at_highest"]["high"].as_f64();
        if let (Some(full), Some(emptier)) = (inside(&full), inside(&emptier)) {
            prop_assert!(emptier <= full, "{} at {}: {} and {}", liquid, highest, emptier, full);
        }
    }

    #[test]
    fn a_remedy_mends_its_check(
        liquid in liquid(), fill in 100.0_f64..1000.0, highest in 20.0_f64..60.0, distance in 0.0_f64..5.0, held in 0.0_f64..400.0, place in prop::sample::select(vec!["cupboard", "refrigerator", "bench"]),
    ) {
        let request = json!({
            "liquid": liquid, "container": { "capacity": "1 L", "filled": format!("{fill} mL") }, "highest_temperature": format!("{highest} Cel"), "place": place, "nearest_ignition": format!("{distance} m"), "held_in_room": format!("{held} L"),
        });
        let Ok(reply) = ask("storage", &request) else { return Ok(()) };
        for check in reply["checks"].as_array().unwrap() {
            let Some(field) = check["remedy"]["field"].as_str() else { continue };
            let mut changed = request.clone();
            *changed.pointer_mut(field).expect("the field is in the request") = check["remedy"]["to"].clone();
            let after = ask("storage", &changed).unwrap();
            prop_assert!(grade(status(&after, check["check"].as_str().unwrap())) < 2, "{} {}", check, after);
            prop_assert_eq!(&after["outcome"], &check["remedy"]["outcome_after"], "{}", check);
        }
    }
}
