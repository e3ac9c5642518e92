//! Whole plans: the trade's own one and its mistakes, and random ones whose remedies are applied and asked again.

use brimline_tests::{ask, plans};
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
        "ignition": [{ "kind": "gas tap", "distance": "3 m", "lit": false }],
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

/// A plan with the changes of its reply.
fn mended(plan: &Value, reply: &Value) -> Value {
    plans::mended(plan, reply["remedies"].as_array().unwrap())
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
    plan["steps"][0]["amount"] = json!("30 mL");
    steps(&mut plan, 4, vec![json!({ "do": "draw", "liquid": "ethanol", "amount": "6 mL" })]);
    cases.push(("liquid_after_flame", plan, "order"));
    let mut plan = beakers();
    steps(&mut plan, 4, vec![json!({ "do": "draw", "liquid": "ethanol", "amount": "10 mL" })]);
    cases.push(("drawn_left", plan, "remove"));
    let mut plan = beakers();
    plan["steps"][4] = json!({ "do": "wait", "duration": "5 min" });
    plan["steps"][5] = json!({ "do": "refill", "liquid": "ethanol", "amount": "6 mL" });
    cases.push(("refill_wait", plan, "waiting"));
    let mut plan = beakers();
    plan["stock"][0] = json!({ "liquid": "ethanol", "container": "100 mL", "distance": "1 m", "open": true });
    cases.push(("stock_distance", plan, "order"));
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

/// Plans that read harmless and are not: each is over the limit by the check that is named, and its changes mend it.
#[test]
fn plans_that_read_harmless() {
    let dish = |capacity: u32| json!({ "capacity": format!("{capacity} mL"), "mouth_diameter": "7 cm", "material": "porcelain" });
    let pour = |liquid: &str, amount: u32, capacity: u32, count: u32| json!({ "do": "pour", "liquid": liquid, "amount": format!("{amount} mL"), "vessel": dish(capacity), "vessels": count });
    let plan = |steps: Value, more: Value| {
        let mut plan = json!({
            "room": { "volume": "190 m3", "temperature": "21 Cel", "pressure": "101.325 kPa", "air_changes": "3 /h" }, "people": { "nearest": "3 m" },
            "steps": steps, "ignition": [], "mat": true, "clear_height": "2 m",
        });
        plan.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
        plan
    };
    let wait = |minutes: u32| json!({ "do": "wait", "duration": format!("{minutes} min") });
    let draw = |liquid: &str, amount: u32| json!({ "do": "draw", "liquid": liquid, "amount": format!("{amount} mL") });
    let heat = |by: &str| json!({ "do": "heat", "liquid": "water", "heated_to": "60 Cel", "heated_by": by, "duration": "10 min" });
    let bottle = |liquid: &str, distance: &str, open: bool, returned: bool| json!({ "stock": [{ "liquid": liquid, "container": "2.5 L", "distance": distance, "open": open, "returned": returned }] });
    let burner = |lit: bool| json!([{ "kind": "gas burner", "distance": "4 m", "lit": lit }]);
    let cases = [
        // Evaporated over a flame, whatever the step is called.
        (
            "naked_flame",
            plan(
                json!([pour("ethanol", 10, 80, 4), { "do": "evaporate", "heated_to": "70 Cel", "heated_by": "flame", "duration": "30 min" }, { "do": "clear" }]),
                json!({}),
            ),
        ),
        // Water over a flame or on a hot plate lights what stands beside it, and what is poured later.
        (
            "near_field",
            plan(
                json!([pour("pentane", 2, 50, 1), pour("water", 100, 250, 1), heat("hot_plate"), { "do": "clear" }]),
                json!({}),
            ),
        ),
        (
            "poured_beside_flame",
            plan(
                json!([pour("water", 100, 250, 1), heat("flame"), pour("propanone", 2, 50, 1), { "do": "clear" }]),
                json!({}),
            ),
        ),
        (
            "stock_distance",
            plan(
                json!([pour("water", 100, 250, 1), heat("flame"), { "do": "clear" }]),
                bottle("ethoxyethane", "0.3 m", true, false),
            ),
        ),
        // What is drawn and not poured stands beside the flame.
        (
            "drawn_left",
            plan(
                json!([draw("ethanol", 200), pour("ethanol", 4, 80, 2), { "do": "burn" }, wait(30), { "do": "clear", "all_flames_out": true }]),
                bottle("ethanol", "3 m", false, true),
            ),
        ),
        // An open bottle of ether at an unlit burner.
        (
            "spill_reach",
            plan(
                json!([pour("propanone", 2, 50, 1), { "do": "clear" }]),
                json!({ "ignition": burner(false), "stock": [{ "liquid": "ethoxyethane", "container": "2.5 L", "distance": "3.9 m", "open": true }] }),
            ),
        ),
        // Cleared away and called a dish, it is the vessel that burnt.
        (
            "refill_wait",
            plan(
                json!([pour("ethanol", 4, 80, 1), { "do": "burn" }, wait(15), { "do": "clear", "all_flames_out": true }, { "do": "pour", "liquid": "ethanol", "amount": "4 mL", "vessel": { "capacity": "80 mL", "mouth_diameter": "7 cm", "material": "porcelain dish" }, "all_flames_out": true }, { "do": "clear" }]),
                json!({}),
            ),
        ),
        // Heated first and lit then.
        (
            "lit_when_heated",
            plan(
                json!([pour("ethanol", 6, 80, 2), { "do": "heat", "heated_to": "60 Cel", "heated_by": "steam_bath", "duration": "5 min" }, { "do": "burn" }, wait(40), { "do": "clear", "all_flames_out": true }]),
                json!({}),
            ),
        ),
        // An ether evaporated to dryness.
        (
            "peroxide_residue",
            plan(
                json!([pour("tetrahydrofuran", 4, 80, 1), { "do": "evaporate", "duration": "12 h" }, { "do": "clear" }]),
                json!({}),
            ),
        ),
        // Ether beside what burns.
        (
            "burns_beside",
            plan(
                json!([pour("ethanol", 4, 80, 1), { "do": "burn" }, wait(30), { "do": "clear", "all_flames_out": true }]),
                json!({ "beside": ["ethoxyethane"] }),
            ),
        ),
        // A mist burns however cold its liquid is.
        (
            "sprayed_at_flame",
            plan(
                json!([{ "do": "set_out", "liquid": "butan-1-ol", "amount": "15 mL", "vessel": { "capacity": "100 mL", "mouth_diameter": "3 cm", "material": "plastic spray bottle" } }, { "do": "clear" }]),
                json!({ "ignition": burner(true) }),
            ),
        ),
    ];
    for (check, plan) in cases {
        let reply = ask("practical", &plan).unwrap_or_else(|problem| panic!("{check}: {problem}"));
        assert!(over(&reply).contains(&check), "{check}: {:?}", over(&reply));
        let again =
            ask("practical", &mended(&plan, &reply)).unwrap_or_else(|problem| panic!("{check}: {problem}"));
        assert!(over(&again).is_empty(), "{check}: {:?} {}", over(&again), reply["remedies"]);
    }
    // Drawn for later, it stands there while the first one burns.
    let two = plan(
        json!([draw("ethanol", 8), pour("ethanol", 4, 80, 1), { "do": "burn" }, wait(60), { "do": "clear", "all_flames_out": true }, { "do": "pour", "liquid": "ethanol", "amount": "4 mL", "vessel": dish(70), "all_flames_out": true }, { "do": "clear" }]),
        bottle("ethanol", "3 m", false, true),
    );
    assert!(ask("practical", &two).unwrap()["cautions"].to_string().contains("drawn_for_later"));
    // What cannot be meant is refused.
    let refused = [
        (
            "/steps/0/heated_by",
            plan(
                json!([{ "do": "pour", "liquid": "ethanol", "amount": "4 mL", "vessel": dish(80), "heated_by": "flame" }]),
                json!({}),
            ),
        ),
        (
            "/steps/1/amount",
            plan(json!([pour("ethanol", 4, 80, 2), { "do": "burn", "amount": "18 mL" }]), json!({})),
        ),
        (
            "/steps/1/vessels",
            plan(json!([pour("ethanol", 4, 80, 2), { "do": "burn", "vessels": 6 }]), json!({})),
        ),
        (
            "/steps/0/amount",
            plan(
                json!([draw("ethanol", 8), pour("ethanol", 6, 80, 6)]),
                bottle("ethanol", "3 m", false, false),
            ),
        ),
        (
            "/stock/0/open",
            plan(
                json!([draw("ethanol", 8), pour("ethanol", 4, 80, 2)]),
                bottle("ethanol", "3 m", true, true),
            ),
        ),
    ];
    for (pointer, plan) in refused {
        let problem = ask("practical", &plan).unwrap_err().to_string();
        assert!(problem.contains(pointer), "{pointer}: {problem}");
    }
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

/// A figure of two digits one step nearer to where it was; the old figure where that is nearer.
fn one_step_back(was: f64, to: f64) -> f64 {
    let text = format!("{to:e}");
    let exponent: i32 = text.split_once('e').unwrap().1.parse().unwrap();
    let power = format!("1e{}", exponent - 1).parse::<f64>().unwrap();
    if was > to { (to + power).min(was) } else { (to - power).max(was) }
}

/// The number of a field of a request, and its unit.
fn figure(text: &str) -> (f64, &str) {
    let (number, unit) = text.split_once(' ').unwrap_or((text, ""));
    (number.parse().unwrap(), unit)
}

/// What holds of one plan: how many changes it has, and whether they end within the limits; a text says what does not hold.
fn holds(plan: &Value) -> Result<Option<bool>, String> {
    let Ok(reply) = ask("practical", plan) else { return Ok(None) };
    if reply["outcome"] != "over_limit" {
        return if reply["remedies"] == json!([]) {
            Ok(None)
        } else {
            Err("changes without need".to_owned())
        };
    }
    let remedies = reply["remedies"].as_array().unwrap();
    let Some(last) = remedies.last() else { return Ok(Some(false)) };
    let told = |what: &str| format!("{what}\n{plan}\n{}", reply["remedies"]);
    let changed = plans::mended(plan, remedies);
    let again = ask("practical", &changed).map_err(|problem| told(&problem.to_string()))?;
    if again["outcome"] != last["outcome_after"] {
        return Err(told(&format!(
            "ends {} ({:?}), told {}",
            again["outcome"],
            over(&again),
            last["outcome_after"]
        )));
    }
    if again["outcome"] == "over_limit" {
        return if over(&again).len() < over(&reply).len() {
            Ok(Some(false))
        } else {
            Err(told("nothing mended"))
        };
    }
    // No figure could have been changed by one step less.
    for (place, remedy) in remedies.iter().enumerate() {
        let field = remedy["field"].as_str().unwrap();
        let before = plans::mended(plan, &remedies[..place]);
        let Some(was) = before.pointer(field).filter(|_| remedy["change"] != "liquid") else { continue };
        let was = was.as_str().map_or_else(|| was.to_string(), str::to_owned);
        let to = remedy["to"].as_str().unwrap();
        if !to.starts_with(|first: char| first.is_ascii_digit()) {
            continue;
        }
        let ((was, old_unit), (to, unit)) = (figure(&was), figure(to));
        if !unit.is_empty() && old_unit != unit {
            continue;
        }
        let back = if unit.is_empty() { to + 1.0 } else { one_step_back(was, to) };
        let mut less = remedies.clone();
        less[place]["to"] = json!(if unit.is_empty() { format!("{back}") } else { format!("{back} {unit}") });
        // What is drawn follows what is poured.
        let mut less = plans::mended(plan, &less);
        plans::draw_as_before(&mut less, &changed);
        // More than the smaller bottle of another change holds is no plan.
        let holds = |problem: &Value| {
            problem["detail"].as_str().is_some_and(|it| it.contains("than the stock holds"))
        };
        let after = match ask("practical", &less) {
            Err(problem) if holds(&problem) => continue,
            after => after.map_err(|problem| told(&problem.to_string()))?,
        };
        if after["outcome"] != "over_limit" && (back - was).abs() > 1e-9 {
            return Err(told(&format!("{field}: {back} {unit} would do")));
        }
    }
    Ok(Some(true))
}

/// 500 random plans: the changes that are named, applied and asked again, end as told, and no figure is changed by more than it needs.
#[test]
fn remedies_applied_and_asked_again_hold() {
    let halves: Vec<Vec<Result<Option<bool>, String>>> = std::thread::scope(|scope| {
        let half =
            |odd: u64| move || (0..250).map(|number| holds(&plans::random(2 * number + odd))).collect();
        let both: Vec<_> = [0, 1].map(|odd| scope.spawn(half(odd))).into();
        both.into_iter().map(|half| half.join().unwrap()).collect()
    });
    let all: Vec<_> = halves.into_iter().flatten().collect();
    let faults: Vec<&String> = all.iter().filter_map(|one| one.as_ref().err()).collect();
    assert!(faults.is_empty(), "{} faults\n{}", faults.len(), faults[0]);
    let count = |what: Option<bool>| all.iter().filter(|one| **one == Ok(what)).count();
    println!("{} within or refused, {} mended, {} not", count(None), count(Some(true)), count(Some(false)));
    assert!(count(Some(true)) >= 440 && count(Some(false)) == 0);
}

/// Where nothing is said of ignition sources the stock bottle is held against one at 1 m, as `spill` does by itself, and the changes
/// that are named hold.
#[test]
fn a_plan_that_names_no_ignition_source_is_held_against_an_assumed_one() {
    let mut plan = beakers();
    plan.as_object_mut().unwrap().remove("ignition");
    plan["stock"] = json!([{ "liquid": "ethanol", "container": "500 mL", "distance": "6 m" }]);
    let reach = |reply: &Value| {
        let checks = reply["checks"].as_array().unwrap().iter();
        let reach =
            checks.filter(|check| check["check"] == "spill_reach").map(|check| check["value"].clone());
        reach.collect::<Vec<_>>()
    };
    let spill = json!({ "liquid": "ethanol", "amount": "500 mL", "room": plan["room"] });
    let reply = ask("practical", &plan).unwrap();
    let alone = reach(&ask("spill", &spill).unwrap());
    assert!(alone.len() == 1 && reach(&reply) == alone, "{:?} {alone:?}", reach(&reply));
    assert!(over(&reply).contains(&"spill_reach"), "{}", reply["sentence"]);
    assert!(!reply.to_string().contains("no ignition source in the room, as the request says"));
    // A flame nearer than that is held against it too.
    plan["stock"][0]["distance"] = json!("0.4 m");
    let reply = ask("practical", &plan).unwrap();
    let limits = reply["checks"].as_array().unwrap().iter().filter(|check| check["check"] == "spill_reach");
    let limits: Vec<&Value> = limits.map(|check| &check["limit"]["value"]).collect();
    assert_eq!(limits, [&json!(0.4)]);
    let mut mended = 0;
    for seed in 0..100 {
        let mut plan = plans::random(seed);
        plan.as_object_mut().unwrap().remove("ignition");
        let held = holds(&plan);
        assert!(held.is_ok() && held != Ok(Some(false)), "plan {seed}: {}", held.unwrap_err());
        mended += u32::from(held == Ok(Some(true)));
    }
    assert!(mended >= 85, "{mended}");
}

/// What a plan does not say is never told as said: a plan without `stock` and a source without `lit`.
#[test]
fn what_a_plan_does_not_say_is_not_told_as_said() {
    let not_considered = |reply: &Value| ids(reply, "not_considered");
    let mut plan = beakers();
    plan["steps"].as_array_mut().unwrap().remove(0);
    let without = |plan: &Value| {
        let mut plan = plan.clone();
        plan.as_object_mut().unwrap().remove("stock");
        ask("practical", &plan).unwrap()
    };
    let unsaid = without(&plan);
    assert_eq!(unsaid["complete"], json!(false));
    assert!(
        ["spill_reach", "stock_distance"]
            .iter()
            .all(|id| not_considered(&unsaid).contains(&(*id).to_owned()))
    );
    assert!(!unsaid.to_string().contains("as the plan says"));
    assert!(unsaid["record"]["request"].get("stock").is_none());
    plan["stock"] = json!([]);
    let none = ask("practical", &plan).unwrap();
    assert!(
        none.to_string().contains("No stock bottle is in the room while something burns, as the plan says")
    );
    assert!(!not_considered(&none).contains(&"stock_distance".to_owned()));
    // A source that is not said to be out is held against the stock.
    let mut plan = beakers();
    plan["stock"] = json!([{ "liquid": "ethanol", "container": "2.5 L", "distance": "6 m" }]);
    plan["ignition"] = json!([{ "kind": "drying oven", "distance": "5 m" }]);
    let limit = |plan: &Value| {
        let reply = ask("practical", plan).unwrap();
        let mut checks = reply["checks"].as_array().unwrap().iter();
        checks.find(|check| check["check"] == "spill_reach").unwrap()["limit"]["value"].clone()
    };
    assert_eq!(limit(&plan), json!(1.0));
    let pouring = "poured_beside_flame".to_owned();
    assert!(not_considered(&ask("practical", &plan).unwrap()).contains(&pouring));
    plan["ignition"][0]["lit"] = json!(false);
    assert_eq!(limit(&plan), json!(6.0), "the flames of the plan");
    assert!(!not_considered(&ask("practical", &plan).unwrap()).contains(&pouring));
    // An open bottle stands 5 m from a source that is assumed, too.
    let mut plan = beakers();
    plan.as_object_mut().unwrap().remove("ignition");
    plan["steps"] = json!([plan["steps"][0], plan["steps"][1], { "do": "clear" }]);
    plan["stock"] = json!([{ "liquid": "ethanol", "container": "40 mL", "distance": "4 m", "open": true }]);
    assert!(over(&ask("practical", &plan).unwrap()).contains(&"stock_distance"));
}

/// Who reads the text of a change alone draws no more than is poured then.
#[test]
fn the_text_of_a_change_names_what_changes_with_it() {
    let mut several = 0;
    for seed in 0..60 {
        let Ok(reply) = ask("practical", &plans::random(seed)) else { continue };
        for remedy in reply["remedies"].as_array().unwrap() {
            let also = remedy["also"].as_array().into_iter().flatten();
            for also in also.filter(|also| also["field"].as_str().unwrap().ends_with("/amount")) {
                let (text, to) = (remedy["text"].as_str().unwrap(), also["to"].as_str().unwrap());
                assert!(text.contains(to), "{text} {to}");
                several += 1;
            }
        }
    }
    assert!(several >= 10, "{several}");
}

/// The six plans of the school and their mistakes: outcome, the check that decides, the changes, and the plan after them.
#[test]
fn the_plans_of_the_school() {
    let golden: [(&str, &str, &str, &[&str]); 12] = [
        ("burners-compared", "within_limit", "cleared_hot", &[]),
        ("burners-topped-up", "over_limit", "refill_wait", &["insert"]),
        ("leaf-pigments", "within_limit", "practice", &[]),
        ("leaf-pigments-beside-a-burner", "over_limit", "poured_beside_flame", &["order", "distance"]),
        ("warm-recrystallisation", "near_limit", "practice", &[]),
        ("recrystallisation-over-a-burner", "over_limit", "naked_flame", &["order", "heating", "distance"]),
        ("cleaning-before-gluing", "within_limit", "peroxide_residue", &[]),
        ("cleaning-beside-a-hot-air-gun", "over_limit", "poured_beside_flame", &["order", "distance"]),
        ("rates-of-evaporation", "within_limit", "practice_of_all", &[]),
        ("rates-of-evaporation-in-a-store", "over_limit", "practice_of_all", &["amount", "amount"]),
        ("coloured-flame", "within_limit", "vessel", &[]),
        ("coloured-flame-with-ethanol", "over_limit", "sprayed_at_flame", &["liquid"]),
    ];
    for (name, outcome, decides, words) in golden {
        let path =
            format!("{}/../openapi/examples/practical/{name}.request.json", env!("CARGO_MANIFEST_DIR"));
        let plan: Value = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
        let reply = ask("practical", &plan).unwrap();
        assert_eq!((&reply["outcome"], &reply["governed_by"]), (&json!(outcome), &json!(decides)), "{name}");
        let remedies = reply["remedies"].as_array().unwrap();
        let changes: Vec<&str> = remedies.iter().map(|one| one["change"].as_str().unwrap()).collect();
        assert_eq!(changes, words, "{name}");
        let again = ask("practical", &mended(&plan, &reply)).unwrap();
        assert!(over(&again).is_empty(), "{name}: {:?}", over(&again));
    }
}

/// The ids of a list of a reply.
fn ids(reply: &Value, list: &str) -> Vec<String> {
    reply[list].as_array().unwrap().iter().map(|one| one["id"].as_str().unwrap().to_owned()).collect()
}

#[test]
fn with_figures_alone_every_id_stays() {
    for seed in 0..20 {
        let mut plan = plans::random(seed);
        let Ok(full) = ask("practical", &plan) else { continue };
        plan["detail"] = json!("figures");
        let figures = ask("practical", &plan).unwrap();
        for list in ["cautions", "assumptions", "methods", "sources", "not_considered"] {
            assert_eq!(ids(&figures, list), ids(&full, list), "{list} of plan {seed}");
        }
        assert!(figures["cautions"].as_array().unwrap().iter().all(|one| one.get("text").is_none()));
        assert_eq!(figures["checks"].as_array().unwrap().len(), full["checks"].as_array().unwrap().len());
    }
}

#[test]
fn a_search_that_ended_says_so_and_promises_nothing() {
    let liquids = [
        "ethanol",
        "methanol",
        "propan-2-ol",
        "propanone",
        "butanone",
        "heptane",
        "hexane",
        "pentane",
        "toluene",
        "cyclohexane",
        "ethyl ethanoate",
        "propan-1-ol",
        "butan-1-ol",
        "ethoxyethane",
        "octane",
        "methyl ethanoate",
    ];
    let mut steps = Vec::new();
    for (place, liquid) in liquids.iter().enumerate() {
        let vessel = json!({ "capacity": format!("{} mL", 100 + place), "mouth_diameter": "8 cm", "material": "glass" });
        steps.push(
            json!({ "do": "pour", "liquid": liquid, "amount": "20 mL", "vessel": vessel, "vessels": 4 }),
        );
        steps.push(json!({ "do": "wait", "duration": "5 min" }));
    }
    let plan = json!({
        "room": { "volume": "180 m3", "temperature": "21 Cel" },
        "people": { "nearest": "1 m", "count": 20 },
        "steps": steps,
        "ignition": [{ "kind": "gas burner", "distance": "0.7 m", "lit": true }],
    });
    let reply = ask("practical", &plan).unwrap();
    assert_eq!(reply["outcome"], "over_limit");
    assert!(ids(&reply, "assumptions").contains(&"search_ended".to_owned()));
    let remedies = reply["remedies"].as_array().unwrap();
    let mended = plans::mended(&plan, remedies);
    // What is told has happened when it is done, whether it suffices or not.
    let again = ask("practical", &mended).unwrap();
    assert_eq!(again["outcome"], remedies.last().unwrap()["outcome_after"]);
    assert!(over(&again).len() < over(&reply).len());
}
