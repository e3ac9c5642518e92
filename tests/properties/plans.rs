//! Whole plans: the trade's own one and its mistakes, and random ones whose remedies are applied and asked again.

use brimline_tests::ask;
use proptest::prelude::*;
use serde_json::{Value, json};

/// Common practice, no source: six beakers with 6 mL of ethanol each, decanted beforehand, lit within 2 minutes with a long-handled
/// splint, people and the closed bottle 3 m away, left for 15 minutes with all flames out.
fn beakers() -> Value {
    json!({
        "room": { "volume": "190 m3", "temperature": "21 Cel", "pressure": "101.325 kPa", "air_changes": "3 /h" },
        "people": { "nearest": "3 m", "count": 24 },
        "steps": [
            { "do": "draw", "liquid": "ethanol", "amount": "36 mL" },
            { "do": "pour", "liquid": "ethanol", "amount": "6 mL", "vessel": { "capacity": "250 mL", "mouth_diameter": "7 cm", "material": "borosilicate glass" }, "vessels": 6 },
            { "do": "wait", "duration": "2 min" },
            { "do": "burn" },
            { "do": "wait", "duration": "15 min" },
            { "do": "clear", "all_flames_out": true },
        ],
        "stock": [{ "liquid": "ethanol", "container": "100 mL", "distance": "3 m" }],
        "ignition": [{ "kind": "gas tap", "distance": "3 m" }],
        "mat": true,
    })
}

fn over(reply: &Value) -> Vec<&str> {
    let checks = reply["checks"].as_array().unwrap().iter();
    checks
        .filter(|check| check["status"] == "over_limit")
        .map(|check| check["check"].as_str().unwrap())
        .collect()
}

/// Applies the changes of a reply to its plan, in order.
fn mended(plan: &Value, reply: &Value) -> Value {
    let mut plan = plan.clone();
    for remedy in reply["remedies"].as_array().unwrap() {
        let (field, to) = (remedy["field"].as_str().unwrap(), remedy["to"].as_str().unwrap());
        let place = |pointer: &str| pointer.rsplit('/').next().unwrap().parse::<usize>().unwrap();
        match remedy["change"].as_str().unwrap() {
            "order" if to.starts_with("before ") => {
                let steps = plan["steps"].as_array_mut().unwrap();
                let step = steps.remove(place(field));
                steps.insert(place(to.trim_start_matches("before ")), step);
            }
            "insert" => {
                let step = serde_json::from_str(to).unwrap();
                plan["steps"].as_array_mut().unwrap().insert(place(field), step);
            }
            "remove" => {
                plan["beside"].as_array_mut().unwrap().remove(place(field));
            }
            _ => set(&mut plan, field, to),
        }
        for also in remedy["also"].as_array().into_iter().flatten() {
            set(&mut plan, also["field"].as_str().unwrap(), also["to"].as_str().unwrap());
        }
    }
    plan
}

fn set(plan: &mut Value, field: &str, to: &str) {
    let (parent, name) = field.rsplit_once('/').unwrap();
    let value = match name {
        "vessels" => json!(to.parse::<u32>().unwrap()),
        "vessel" | "darkened" | "open" | "all_flames_out" => serde_json::from_str(to).unwrap(),
        _ => json!(to),
    };
    // A vessel that stands at several steps is changed at all of them.
    if name == "vessel" {
        let old = plan.pointer(field).cloned();
        for step in plan["steps"].as_array_mut().unwrap() {
            if step.get("vessel") == old.as_ref() {
                step["vessel"] = value.clone();
            }
        }
        return;
    }
    plan.pointer_mut(parent).unwrap()[name] = value;
}

#[test]
fn the_plan_of_the_trade_is_within_its_limits() {
    let reply = ask("practical", &beakers()).unwrap();
    assert!(over(&reply).is_empty(), "{:?}", over(&reply));
    assert_eq!(reply["outcome"], "near_limit", "{}", reply["sentence"]);
    assert_eq!(reply["remedies"], json!([]));
    assert!(
        !reply["set_out_list"].as_array().unwrap().is_empty()
            && !reply["clear_up_list"].as_array().unwrap().is_empty()
    );
}

/// Each mistake is found, named and mended.
#[test]
fn each_mistake_is_named_and_mended() {
    let steps = |plan: &mut Value, from: usize, with: Vec<Value>| {
        plan["steps"].as_array_mut().unwrap().splice(from..from, with);
    };
    let mut cases: Vec<(&str, Value, &str)> = Vec::new();
    let mut plan = beakers();
    steps(&mut plan, 4, vec![json!({ "do": "draw", "liquid": "ethanol", "amount": "10 mL" })]);
    cases.push(("liquid_after_flame", plan, "order"));
    let mut plan = beakers();
    plan["steps"][4] = json!({ "do": "wait", "duration": "5 min" });
    plan["steps"][5] = json!({ "do": "refill", "liquid": "ethanol", "amount": "6 mL" });
    cases.push(("refill_wait", plan, "waiting"));
    let mut plan = beakers();
    plan["stock"][0] = json!({ "liquid": "ethanol", "container": "100 mL", "distance": "1 m", "open": true });
    cases.push(("stock_distance", plan, "distance"));
    let mut plan = beakers();
    plan["people"]["nearest"] = json!("0.5 m");
    cases.push(("people_distance", plan, "distance"));
    let mut plan = beakers();
    plan["steps"][1]["vessel"] =
        json!({ "capacity": "30 mL", "mouth_diameter": "8 cm", "material": "soda-lime watch glass" });
    cases.push(("thermal_shock", plan, "vessel"));
    let mut plan = beakers();
    plan["steps"][1]["amount"] = json!("25 mL");
    plan["steps"][0]["amount"] = json!("150 mL");
    plan["stock"][0]["container"] = json!("250 mL");
    plan["stock"][0]["distance"] = json!("5 m");
    cases.push(("alight_at_once", plan, "amount"));
    let mut plan = beakers();
    plan["steps"][1]["vessel"]["mouth_diameter"] = json!("3.4 cm");
    cases.push(("burnable_vessel", plan, "vessel"));
    let mut plan = beakers();
    plan["steps"][1]["darkened"] = json!(true);
    cases.push(("darkened_while_poured", plan, "order"));
    let mut plan = beakers();
    plan["beside"] = json!(["oxidisers"]);
    cases.push(("keep_apart", plan, "remove"));
    for (check, plan, change) in cases {
        let reply = ask("practical", &plan).unwrap_or_else(|problem| panic!("{check}: {problem}"));
        assert_eq!(reply["outcome"], "over_limit", "{check}");
        assert!(over(&reply).contains(&check), "{check}: {:?}", over(&reply));
        let words: Vec<&str> =
            reply["remedies"].as_array().unwrap().iter().map(|one| one["change"].as_str().unwrap()).collect();
        assert!(words.contains(&change), "{check}: {words:?}");
        let again =
            ask("practical", &mended(&plan, &reply)).unwrap_or_else(|problem| panic!("{check}: {problem}"));
        assert!(over(&again).is_empty(), "{check}: {:?} {}", over(&again), reply["remedies"]);
    }
}

#[test]
fn ethanol_is_the_first_alternative_to_methanol() {
    let plan: Value = serde_json::from_str(&beakers().to_string().replace("ethanol", "methanol")).unwrap();
    let reply = ask("practical", &plan).unwrap();
    assert_eq!(reply["alternatives"][0]["liquid"], "ethanol");
    assert!(reply["alternatives"][0]["reason"].as_str().unwrap().contains("less toxic"));
}

/// Flames light what stands open beside them, what was poured after them and never proved out, and all burns fill one room.
#[test]
fn what_stands_beside_a_flame() {
    let dish = |capacity: &str| json!({ "capacity": capacity, "mouth_diameter": "6 cm", "material": "borosilicate glass" });
    let plan = |steps: Value| {
        json!({
            "room": { "volume": "190 m3", "temperature": "21 Cel", "pressure": "101.325 kPa" }, "people": { "nearest": "3 m" },
            "steps": steps, "ignition": [], "mat": true, "clear_height": "2 m",
        })
    };
    let pour = |liquid: &str, amount: &str, capacity: &str, count: u32| json!({ "do": "pour", "liquid": liquid, "amount": amount, "vessel": dish(capacity), "vessels": count });
    let beside = plan(
        json!([pour("hexane", "5 mL", "90 mL", 2), pour("ethanol", "5 mL", "100 mL", 1), { "do": "burn", "liquid": "ethanol" }]),
    );
    assert!(over(&ask("practical", &beside).unwrap()).contains(&"near_field"));
    let later = plan(
        json!([pour("ethanol", "5 mL", "100 mL", 1), { "do": "burn" }, { "do": "wait", "duration": "20 min" }, pour("hexane", "5 mL", "90 mL", 1)]),
    );
    assert!(over(&ask("practical", &later).unwrap()).contains(&"liquid_after_flame"));
    let both = plan(
        json!([pour("ethanol", "10 mL", "100 mL", 4), pour("propan-2-ol", "10 mL", "90 mL", 4), { "do": "burn", "liquid": "ethanol" }, { "do": "burn", "liquid": "propan-2-ol" }]),
    );
    let reply = ask("practical", &both).unwrap();
    assert!(
        over(&reply).contains(&"practice_of_all") && over(&reply).contains(&"near_field"),
        "{:?}",
        over(&reply)
    );
}

/// What a plan asks is asked as a caller would: nothing within the plan that alone would be over.
#[test]
fn a_plan_is_never_more_lenient_than_its_parts() {
    let plan = json!({
        "room": { "volume": "60 m3", "temperature": "24 Cel", "pressure": "101.325 kPa" }, "people": { "nearest": "0.6 m" },
        "steps": [
            { "do": "pour", "liquid": "propanone", "amount": "12 mL", "vessel": { "capacity": "150 mL", "mouth_diameter": "9 cm" }, "vessels": 4 },
            { "do": "evaporate", "duration": "30 min" },
        ],
    });
    let reply = ask("practical", &plan).unwrap();
    let alone = json!({
        "liquid": "propanone", "room": plan["room"], "vessel": { "capacity": "150 mL", "mouth_diameter": "9 cm" }, "vessels": 4, "use": "open",
        "fill": "12 mL", "nearest_person": "0.6 m", "duration": "30 min",
    });
    let alone = ask("safe-fill", &alone).unwrap();
    for check in alone["checks"].as_array().unwrap() {
        let same = reply["checks"]
            .as_array()
            .unwrap()
            .iter()
            .find(|other| other["check"] == check["check"])
            .unwrap();
        assert_eq!(same["status"], check["status"], "{}", check["check"]);
    }
}

const LIQUIDS: [&str; 6] = ["ethanol", "propan-2-ol", "butan-1-ol", "propanone", "heptane", "methanol"];

fn plan() -> impl Strategy<Value = Value> {
    (
        (0..LIQUIDS.len(), 1_u32..30, 1_u32..9, 0..3_usize, 0..4_usize),
        (5_u32..60, 40_u32..300, 0_u32..8, 5_u32..60, proptest::bool::ANY),
        (0_u32..15, 1_u32..40),
    )
        .prop_map(|((liquid, amount, vessels, shape, what), (nearest, room, air, stock, open), (wait, cool))| {
            let liquid = LIQUIDS[liquid];
            let vessel = [
                json!({ "capacity": "80 mL", "mouth_diameter": "7 cm", "material": "porcelain" }),
                json!({ "capacity": "100 mL", "mouth_diameter": "6 cm", "material": "soda-lime glass" }),
                json!({ "capacity": "150 mL", "mouth_diameter": "4 cm", "material": "borosilicate glass" }),
            ][shape]
            .clone();
            let mut steps = vec![
                json!({ "do": "draw", "liquid": liquid, "amount": format!("{} mL", amount * vessels) }),
                json!({ "do": "pour", "liquid": liquid, "amount": format!("{amount} mL"), "vessel": vessel, "vessels": vessels }),
                json!({ "do": "wait", "duration": format!("{wait} min") }),
            ];
            match what {
                0 => steps.push(json!({ "do": "evaporate", "duration": format!("{} min", cool * 2) })),
                1 => steps.push(json!({ "do": "heat", "heated_to": "50 Cel", "heated_by": "water_bath", "duration": format!("{cool} min") })),
                _ => {
                    steps.push(json!({ "do": "burn" }));
                    steps.push(json!({ "do": "wait", "duration": format!("{cool} min") }));
                }
            }
            steps.push(json!({ "do": "clear", "all_flames_out": true }));
            json!({
                "room": { "volume": format!("{room} m3"), "temperature": "21 Cel", "pressure": "101.325 kPa", "air_changes": format!("{air} /h") },
                "people": { "nearest": format!("{} m", f64::from(nearest) / 10.0) },
                "steps": steps,
                "stock": [{ "liquid": liquid, "container": "300 mL", "distance": format!("{} m", f64::from(stock) / 10.0), "open": open }],
                "ignition": [{ "kind": "gas tap", "distance": "4 m" }],
                "clear_height": "2 m",
            })
        })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, failure_persistence: None, ..ProptestConfig::default() })]

    /// Where changes are named that end within the limits, the changed plan asked again is within them.
    #[test]
    fn remedies_applied_and_asked_again_hold(plan in plan()) {
        let Ok(reply) = ask("practical", &plan) else { return Ok(()) };
        let remedies = reply["remedies"].as_array().unwrap();
        let Some(last) = remedies.iter().map(|remedy| &remedy["outcome_after"]).next_back() else {
            return Ok(());
        };
        let again = ask("practical", &mended(&plan, &reply)).unwrap_or_else(|problem| panic!("{problem} {}", reply["remedies"]));
        let ended = remedies.iter().any(|remedy| remedy["outcome_after"] != "over_limit");
        if ended {
            prop_assert!(over(&again).is_empty(), "{:?} {} {}", over(&again), reply["remedies"], last);
        } else {
            prop_assert!(over(&again).len() < over(&reply).len(), "{:?} {:?}", over(&again), over(&reply));
        }
    }
}
