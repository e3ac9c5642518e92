//! Checks never favour: what is proposed passes when it is asked back, one step more does not, a remedy mends its check, and
//! every spelling of a request gives the same bytes.

use brimline_service::catalogue::catalogue;
use brimline_service::question::{self, Context, Written};
use brimline_tests::ask;
use proptest::prelude::*;
use serde_json::{Value, json};

fn liquid() -> impl Strategy<Value = &'static str> {
    // What is not for school use is over its limit whatever is asked.
    let usable = catalogue().expect("it loads").substances.iter().filter(|s| s.not_for_school_use.is_none());
    let ids: Vec<&'static str> = usable.map(|substance| substance.id.as_str()).collect();
    prop::sample::select(ids)
}

fn over(reply: &Value, check: &str) -> bool {
    reply["checks"]
        .as_array()
        .unwrap()
        .iter()
        .any(|made| made["check"] == check && made["status"] == "over_limit")
}

fn bytes(question: &str, request: &Value) -> Vec<u8> {
    question::ask(question, request, Written::Json, Context { relaxed_rules_allowed: false })
        .expect("it is answered")
        .json
}

/// Puts a remedy's value at its pointer.
fn mended(request: &Value, remedy: &Value) -> Value {
    let mut changed = request.clone();
    // What was assumed for want of an input may not be there yet.
    let (parent, name) = remedy["field"].as_str().unwrap().rsplit_once('/').unwrap();
    changed.pointer_mut(parent).expect("the group is in the request")[name] = remedy["to"].clone();
    changed
}

/// No warmer than the room, it is heated by nothing: the hot plate that was taken for want of a word is gone with it.
#[test]
fn a_liquid_that_is_not_heated_at_all_stands_on_no_plate() {
    let request =
        json!({ "liquid": "cyclopentanone", "room_temperature": "16.7 Cel", "heated_to": "20 Cel" });
    let reply = ask("flash-point-margin", &request).unwrap();
    let remedy = &reply["checks"][0]["remedy"];
    assert_eq!((&remedy["to"], &remedy["outcome_after"]), (&json!("16.7 Cel"), &json!("near_limit")));
    assert_eq!(ask("flash-point-margin", &mended(&request, remedy)).unwrap()["outcome"], "near_limit");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_proposed_fill_passes_every_check_and_each_largest_total_its_own(
        liquid in liquid(), volume in 10.0_f64..500.0, celsius in 0.0_f64..35.0, capacity in 5.0_f64..2000.0, mouth in 2.0_f64..15.0, vessels in 1_u32..40,
    ) {
        let room = json!({ "volume": format!("{volume} m3"), "temperature": format!("{celsius} Cel") });
        let vessel = json!({ "capacity": format!("{capacity} mL"), "mouth_diameter": format!("{mouth} cm") });
        let request = json!({ "liquid": liquid, "room": room, "vessel": vessel, "vessels": vessels, "use": "open" });
        let Ok(reply) = ask("safe-fill", &request) else { return Ok(()) };
        let Some(fill) = reply["fill_per_vessel"]["value"].as_f64() else { return Ok(()) };
        let at = |fill: f64| {
            let mut request = request.clone();
            request["fill"] = json!(format!("{fill} mL"));
            ask("safe-fill", &request)
        };
        // Nothing is within a limit: the proposal says so.
        if fill == 0.0 {
            prop_assert_eq!(&reply["outcome"], "over_limit", "{}", reply);
            return Ok(());
        }
        let back = at(fill).unwrap();
        prop_assert_ne!(&back["outcome"], "over_limit", "{}", back);
        // A tenth more than two digits allow is over the limit that binds.
        if let Ok(more) = at(fill * 1.12) {
            prop_assert!(over(&more, reply["governed_by"].as_str().unwrap()), "{} mL wasted: {}", fill, more);
        }
        for limit in reply["limits"].as_array().unwrap() {
            let Some(total) = limit["largest_total"]["value"].as_f64() else { continue };
            let each = total / f64::from(vessels);
            if let Ok(asked) = at(each) {
                prop_assert!(!over(&asked, limit["id"].as_str().unwrap()), "{}: {}", limit, asked);
            }
        }
    }

    #[test]
    fn the_largest_release_passes_and_a_remedy_mends_its_check(
        liquid in liquid(), volume in 10.0_f64..500.0, celsius in 0.0_f64..35.0, released in 1.0_f64..5000.0,
    ) {
        let room = json!({ "volume": format!("{volume} m3"), "temperature": format!("{celsius} Cel") });
        let request = json!({ "liquid": liquid, "room": room, "released": format!("{released} mL") });
        let reply = ask("room-flammable-limit", &request).unwrap();
        for check in reply["checks"].as_array().unwrap() {
            if check["status"] == "over_limit" {
                let after = ask("room-flammable-limit", &mended(&request, &check["remedy"])).unwrap();
                prop_assert!(!over(&after, check["check"].as_str().unwrap()), "{}", after);
                prop_assert_eq!(&after["outcome"], &check["remedy"]["outcome_after"]);
            }
        }
        if let Some(largest) = reply["largest_release"]["value"].as_f64() {
            let mut back = request.clone();
            back["released"] = json!(format!("{largest} mL"));
            prop_assert_ne!(&ask("room-flammable-limit", &back).unwrap()["outcome"], "over_limit");
        }
    }

    #[test]
    fn a_lower_heating_mends_the_margin_where_it_is_named(liquid in liquid(), celsius in 0.0_f64..30.0, heated in 20.0_f64..140.0) {
        let request = json!({ "liquid": liquid, "room_temperature": format!("{celsius} Cel"), "heated_to": format!("{heated} Cel") });
        let Ok(reply) = ask("flash-point-margin", &request) else { return Ok(()) };
        let Some(check) = reply["checks"].as_array().unwrap().first() else { return Ok(()) };
        if check.get("remedy").is_some() {
            let after = ask("flash-point-margin", &mended(&request, &check["remedy"])).unwrap();
            prop_assert!(!over(&after, "flash_point_margin"), "{}", after);
            prop_assert_eq!(&after["outcome"], &check["remedy"]["outcome_after"]);
        }
    }

    #[test]
    fn every_spelling_of_a_request_gives_the_same_bytes(liquid in liquid(), celsius in 5_i32..35, millilitres in 1_u32..400) {
        let substance = catalogue().unwrap().by_id(liquid).unwrap();
        let spellings = [
            (liquid.to_owned(), format!("{celsius} Cel"), format!("{millilitres} mL"), "190 m3"),
            (substance.file.cas.clone(), format!("{} K", f64::from(celsius) + 273.15), format!("{} L", f64::from(millilitres) / 1000.0), "190000 L"),
            (substance.file.name.to_uppercase(), format!("{} [degF]", f64::from(celsius) * 1.8 + 32.0), format!("{millilitres} cm³"), "0.00019e6 m³"),
        ];
        let ask = |(name, temperature, released, volume): &(String, String, String, &str)| {
            bytes("room-flammable-limit", &json!({ "liquid": name, "room": { "volume": volume, "temperature": temperature }, "released": released }))
        };
        let first = ask(&spellings[0]);
        for spelling in &spellings[1..] {
            prop_assert_eq!(&ask(spelling), &first, "{:?}", spelling);
        }
    }
}

/// The unfavourable assumptions: what is not said never makes an answer more lenient than the ordinary case.
#[test]
fn what_is_not_given_is_never_more_lenient() {
    for substance in &catalogue().expect("it loads").substances {
        let id = &substance.id;
        let said = json!({ "liquid": id, "room": { "volume": "190 m3", "temperature": "21 Cel", "pressure": "101.325 kPa", "floor_area": "70 m2", "volume_is": "free" } });
        let unsaid = json!({ "liquid": id, "room": { "volume": "190 m3" } });
        let most = |request: &Value| {
            ask("room-flammable-limit", request).unwrap()["largest_release"]["value"].as_f64().unwrap_or(0.0)
        };
        assert!(most(&unsaid) <= most(&said), "{id}");
        let margin = |request: &Value| {
            ask("flash-point-margin", request).unwrap()["margin"]["value"].as_f64().unwrap_or(0.0)
        };
        let (said, unsaid) = (
            json!({ "liquid": id, "room_temperature": "21 Cel", "pressure": "101.325 kPa" }),
            json!({ "liquid": id }),
        );
        assert!(margin(&unsaid) <= margin(&said), "{id}");
    }
}

/// A value lies between its ends, and nothing is null.
fn whole(reply: &Value) -> bool {
    match reply {
        Value::Null => false,
        Value::Array(items) => items.iter().all(whole),
        Value::Object(fields) => {
            let number = |name: &str| fields.get(name).and_then(Value::as_f64);
            let ordered = match (number("low"), number("value"), number("high")) {
                (Some(low), Some(value), Some(high)) => low <= value && value <= high,
                _ => true,
            };
            ordered && fields.values().all(whole)
        }
        _ => true,
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_mixture_is_answered_whole_or_refused(
        parts in prop::collection::vec((liquid(), 1e-2..1e3f64), 1..5),
        water in 0.0..1e3f64,
        celsius in -40.0..150.0f64,
        kilopascals in 60.0..110.0f64,
    ) {
        let mut mixture: Vec<Value> = parts
            .iter()
            .map(|(id, grams)| json!({ "substance": id, "quantity": format!("{grams} g") }))
            .collect();
        if water > 1.0 {
            mixture.push(json!({ "substance": "water", "quantity": format!("{water} g") }));
        }
        let pressure = format!("{kilopascals} kPa");
        let room = json!({ "volume": "100 m3", "temperature": format!("{} Cel", celsius.clamp(-30.0, 60.0)), "pressure": pressure });
        let asked = [
            ("vapour-pressure", json!({ "liquid": { "mixture": mixture }, "temperature": format!("{celsius} Cel"), "pressure": pressure })),
            ("flash-point-margin", json!({ "liquid": { "mixture": mixture }, "room": { "temperature": room["temperature"], "pressure": pressure } })),
            ("room-flammable-limit", json!({ "liquid": { "mixture": mixture }, "room": room, "released": "20 mL" })),
            ("safe-fill", json!({ "liquid": { "mixture": mixture }, "room": room, "vessel": { "capacity": "100 mL", "mouth_diameter": "5 cm" }, "vessels": 3, "use": "open" })),
        ];
        for (question, request) in asked {
            match ask(question, &request) {
                Ok(reply) => prop_assert!(whole(&reply), "{question} {request}: {reply}"),
                Err(problem) => prop_assert!(problem["status"] == 422, "{question} {request}: {problem}"),
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 100, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_heater_never_betters_an_outcome_and_a_remedy_mends_its_check(
        liquid in liquid(), distance in 0.2_f64..5.0, heated in proptest::option::of(20.0_f64..90.0),
        heater in prop_oneof![Just("water_bath"), Just("steam_bath"), Just("hot_plate"), Just("heating_mantle"), Just("lamp"), Just("flame")],
    ) {
        let room = json!({ "volume": "190 m3", "temperature": "18 Cel", "air_changes": "3 /h", "floor_area": "70 m2" });
        let surface = json!({ "diameter": "5 cm" });
        let ignition = format!("{distance} m");
        let asked = [
            ("flash-point-margin", "", json!({ "liquid": liquid, "room": room })),
            ("evaporation", "", json!({ "liquid": liquid, "room": room, "amount": "5 mL", "surface": surface, "nearest_ignition": ignition })),
            ("exposure", "/source", json!({ "liquid": liquid, "room": room, "source": { "amount": "5 mL", "surface": surface }, "duration": "9 min", "nearest_ignition": ignition })),
            ("spill", "", json!({ "liquid": liquid, "room": room, "amount": "5 mL", "nearest_ignition": ignition })),
            ("room-flammable-limit", "", json!({ "liquid": liquid, "room": room, "released": "5 mL", "surface": surface, "nearest_ignition": ignition })),
            ("safe-fill", "", json!({ "liquid": liquid, "room": room, "vessel": { "capacity": "100 mL", "mouth_diameter": "4 cm" }, "vessels": 2, "use": "open", "fill": "3 mL", "nearest_ignition": ignition })),
        ];
        const WORSE: [&str; 5] = ["no_limit_checked", "within_limit", "near_limit", "not_assessed", "over_limit"];
        let rank = |reply: &Value| WORSE.iter().position(|word| reply["outcome"] == *word).unwrap();
        for (question, at, mut request) in asked {
            if let Some(heated) = heated {
                request.pointer_mut(at).unwrap()["heated_to"] = json!(format!("{heated} Cel"));
            }
            let mut by = request.clone();
            by.pointer_mut(at).unwrap()["heated_by"] = json!(heater);
            let (Ok(before), Ok(after)) = (ask(question, &request), ask(question, &by)) else { continue };
            // Where something is heated and nobody says by what, the hottest usual plate was assumed.
            prop_assert!(heated.is_some() || rank(&after) >= rank(&before), "{question} {by}: {} then {}", before["sentence"], after["sentence"]);
            let unassessed = after["checks"].as_array().unwrap().iter().any(|check| check["status"] == "not_assessed");
            prop_assert!(!unassessed || after["complete"] == false, "{question} {by}");
            // What was taken for want of an input is recorded: asked again it says the same.
            let mut recorded = after["record"]["request"].clone();
            recorded.as_object_mut().unwrap().remove("question");
            let again = ask(question, &recorded).unwrap();
            prop_assert_eq!(&again["outcome"], &after["outcome"], "{} {}", question, by);
            for check in after["checks"].as_array().unwrap() {
                if check.get("remedy").is_none() {
                    continue;
                }
                let id = check["check"].as_str().unwrap();
                let mut changed = recorded.clone();
                if check["remedy"]["change"] == "heating" && check["remedy"]["field"].as_str().unwrap().ends_with("/surface_temperature") {
                    changed.pointer_mut(at).unwrap()["surface_temperature"] = json!(null);
                }
                let mended = ask(question, &mended(&changed, &check["remedy"])).unwrap();
                prop_assert!(!over(&mended, id), "{question} {by} {}: {}", check["remedy"], mended["sentence"]);
                prop_assert_eq!(&mended["outcome"], &check["remedy"]["outcome_after"], "{} {} {}", question, by, check);
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 150, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_hotter_surface_never_betters_an_outcome_and_a_remedy_mends_its_check(
        liquid in liquid(), cooler in 20.0_f64..500.0, by in 0.0_f64..300.0, distance in 0.2_f64..5.0,
    ) {
        let room = json!({ "volume": "190 m3", "temperature": "18 Cel", "air_changes": "3 /h", "floor_area": "70 m2" });
        let surface = json!({ "diameter": "5 cm" });
        let ignition = format!("{distance} m");
        let near = |celsius: f64| {
            let hot = format!("{celsius} Cel");
            [
                ("flash-point-margin", json!({ "liquid": liquid, "room": room, "surface_temperature": hot })),
                ("evaporation", json!({ "liquid": liquid, "room": room, "amount": "5 mL", "surface": surface, "surface_temperature": hot, "nearest_ignition": ignition })),
                ("exposure", json!({ "liquid": liquid, "room": room, "source": { "amount": "5 mL", "surface": surface, "surface_temperature": hot }, "duration": "9 min", "nearest_ignition": ignition })),
                ("spill", json!({ "liquid": liquid, "room": room, "amount": "5 mL", "surface_temperature": hot, "nearest_ignition": ignition })),
                ("room-flammable-limit", json!({ "liquid": liquid, "room": room, "released": "5 mL", "surface": surface, "surface_temperature": hot, "nearest_ignition": ignition })),
                ("safe-fill", json!({ "liquid": liquid, "room": room, "vessel": { "capacity": "100 mL", "mouth_diameter": "4 cm" }, "vessels": 2, "use": "open", "fill": "3 mL", "surface_temperature": hot, "nearest_ignition": ignition })),
            ]
        };
        const WORSE: [&str; 5] = ["no_limit_checked", "within_limit", "near_limit", "not_assessed", "over_limit"];
        let rank = |reply: &Value| WORSE.iter().position(|word| reply["outcome"] == *word).unwrap();
        for ((question, cool), (_, hot)) in near(cooler).into_iter().zip(near(cooler + by)) {
            let (Ok(before), Ok(after)) = (ask(question, &cool), ask(question, &hot)) else { continue };
            prop_assert!(rank(&after) >= rank(&before), "{question} {cool}: {} then {}", before["sentence"], after["sentence"]);
            for check in after["checks"].as_array().unwrap() {
                let id = check["check"].as_str().unwrap();
                if !matches!(id, "hot_surface" | "halogenated_vapour") || check.get("remedy").is_none() {
                    continue;
                }
                let mended = ask(question, &mended(&hot, &check["remedy"])).unwrap();
                prop_assert!(!over(&mended, id), "{question} {hot}: {}", mended["sentence"]);
                prop_assert_eq!(&mended["outcome"], &check["remedy"]["outcome_after"], "{} {}", question, hot);
            }
        }
    }
}
