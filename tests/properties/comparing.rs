//! Liquids compared: the order of the request decides nothing, one liquid more changes nothing between two others, and what
//! is not known is never first.

use brimline_service::catalogue::catalogue;
use brimline_tests::ask;
use proptest::prelude::*;
use serde_json::{Value, json};
use std::collections::BTreeSet;

/// Every substance, a few named mixtures and watered alcohols.
fn liquids() -> Vec<Value> {
    let catalogue = catalogue().expect("it loads");
    let substances = catalogue.substances.iter().map(|substance| json!(substance.id));
    let mixtures = catalogue.mixtures.iter().map(|mixture| json!(mixture.id));
    let watered = [30, 50, 70, 96].map(watered);
    substances.chain(mixtures).chain(watered).collect()
}

fn watered(share: u32) -> Value {
    json!({ "mixture": [{ "substance": "ethanol", "quantity": format!("{share} mL") }, { "substance": "water", "quantity": format!("{} mL", 100 - share) }] })
}

fn some(least: usize, most: usize) -> impl Strategy<Value = Vec<Value>> {
    prop::sample::subsequence(liquids(), least..=most).prop_shuffle()
}

fn used() -> impl Strategy<Value = &'static str> {
    prop::sample::select(vec!["open", "heated", "burnt"])
}

fn compare(liquids: &[Value], used: &str, amount: f64) -> Value {
    let request = json!({
        "liquids": liquids, "use": used, "amount": format!("{amount} mL"), "nearest_ignition": "3 m", "duration": "30 min", "nearest_person": "3 m", "clear_height": "2 m",
        "room": { "volume": "190 m3", "temperature": "21 Cel", "pressure": "101.325 kPa", "air_changes": "3 /h", "floor_area": "70 m2" },
    });
    ask("comparison", &request).unwrap_or_else(|problem| panic!("{request}: {problem}"))
}

fn list<'r>(reply: &'r Value, name: &str) -> &'r [Value] {
    reply[name].as_array().map_or(&[], Vec::as_slice)
}

fn names(step: &Value) -> Vec<&str> {
    list(step, "liquids").iter().filter_map(Value::as_str).collect()
}

/// Place in the order; none where it has none.
fn place(reply: &Value, name: &str) -> Option<usize> {
    list(reply, "order").iter().position(|step| names(step).contains(&name))
}

fn row<'r>(reply: &'r Value, name: &str) -> &'r Value {
    list(reply, "rows").iter().find(|row| row["name"] == name).expect("it has a row")
}

#[test]
fn every_liquid_of_the_catalogue_has_a_row_and_a_place_or_a_reason() {
    let all = liquids();
    for used in ["open", "heated", "burnt"] {
        for some in all.chunks(20).filter(|some| some.len() > 1) {
            let reply = compare(some, used, 5.0);
            let mut found: Vec<&str> = list(&reply, "order").iter().flat_map(names).collect();
            found.extend(list(&reply, "not_compared").iter().filter_map(|one| one["liquid"].as_str()));
            let rows: BTreeSet<&str> =
                list(&reply, "rows").iter().filter_map(|row| row["name"].as_str()).collect();
            assert_eq!(rows.len(), some.len(), "every name once");
            assert_eq!(found.len(), some.len(), "{reply}");
            assert_eq!(found.iter().copied().collect::<BTreeSet<_>>(), rows);
            assert!(reply["sentence"].as_str().unwrap().chars().count() <= 200);
            // Every criterion of those that have a place is there.
            for name in list(&reply, "order").iter().flat_map(names) {
                let row = row(&reply, name);
                if row.get("not_for_school_use").is_some() {
                    assert_eq!(place(&reply, name), Some(list(&reply, "order").len() - 1), "{name}");
                    continue;
                }
                assert!(row["outcome"] != "not_assessed" && row["outcome"] != "no_limit_checked", "{row}");
                assert!(row.get("exposure_index").is_some() && row.get("can_be_lit").is_some(), "{row}");
                assert!(row.get("room_share").is_some() || row["headspace"] == "not_flammable", "{row}");
            }
        }
    }
}

/// What is not stored is not known: none of them is placed, however well it does by all else, and the reply says why.
#[test]
fn what_has_no_hazard_statements_has_no_place_and_is_never_called_harmless() {
    let catalogue = catalogue().expect("it loads");
    let stored = |id: &str| {
        let hazard = catalogue.by_id(id).and_then(|found| found.file.hazard.as_ref());
        hazard.is_some_and(|hazard| !hazard.statements.is_empty())
    };
    let silent: Vec<&str> = catalogue
        .substances
        .iter()
        .filter(|substance| substance.not_flammable.is_none() && !stored(&substance.id))
        .map(|substance| substance.id.as_str())
        .collect();
    assert!(silent.len() > 10, "{silent:?}");
    for used in ["open", "heated", "burnt"] {
        for id in &silent {
            // A part of a mixture that says nothing leaves the mixture without a place, too.
            let mixed = json!({ "mixture": [{ "substance": "ethanol", "quantity": "9 mL" }, { "substance": id, "quantity": "1 mL" }] });
            for liquid in [json!(id), mixed] {
                let reply = compare(&[json!("ethanol"), liquid.clone()], used, 2.0);
                let name = reply["rows"][1]["name"].as_str().unwrap();
                assert_eq!(place(&reply, name), None, "{used} {liquid}: {}", reply["order"]);
                let out = list(&reply, "not_compared").iter().find(|one| one["liquid"] == name);
                assert!(!out.unwrap()["reason"].as_str().unwrap().is_empty(), "{used} {liquid}");
                assert!(reply["rows"][1].get("health").is_none(), "{used} {liquid}");
                assert!(
                    list(&reply, "dominated").iter().all(|one| one["by"] != name && one["liquid"] != name),
                    "{used} {liquid}"
                );
                let sentence = reply["sentence"].as_str().unwrap();
                assert!(sentence.contains("not compared"), "{used} {liquid}: {sentence}");
            }
        }
    }
}

/// Where nothing but the statements is missing, that alone takes it out of the order.
#[test]
fn missing_statements_alone_take_a_liquid_out_of_the_order() {
    let request = json!({
        "liquids": ["ethanol", "nonane"], "use": "open", "amount": "5 mL", "nearest_ignition": "3 m", "duration": "30 min", "nearest_person": "3 m",
        "room": { "volume": "190 m3", "temperature": "21 Cel", "pressure": "101.325 kPa", "air_changes": "3 /h", "floor_area": "70 m2" },
        "limits": [{ "substance": "nonane", "long_term": "200 [ppm]", "short_term": "250 [ppm]" }],
    });
    let reply = ask("comparison", &request).unwrap_or_else(|problem| panic!("{problem}"));
    assert_eq!(
        reply["not_compared"],
        json!([{ "liquid": "nonane", "reason": "no hazard statements of it, or of a part, are stored here" }])
    );
    let row = row(&reply, "nonane");
    assert!(list(row, "not_given").iter().any(|one| one["id"] == "health"), "{row}");
    assert!(list(row, "notes").iter().any(|one| one["id"] == "no_statements"), "{row}");
}

/// Asked alone, `safe-fill` finds the same outcome of the same dish.
#[test]
fn the_outcome_of_a_row_is_that_of_the_question_asked_alone() {
    for liquid in
        ["ethanol", "propanone", "hexane", "ethyl-ethanoate", "pentane", "methanol", "butan-1-ol", "water"]
    {
        for used in ["open", "burnt"] {
            let reply = compare(&[json!(liquid), json!("decane")], used, 5.0);
            let row = &reply["rows"][0];
            let mut request = reply["record"]["request"].clone();
            let fields = request.as_object_mut().unwrap();
            for name in ["question", "liquids", "amount"] {
                fields.remove(name);
            }
            fields.insert("liquid".into(), json!(liquid));
            fields.insert("vessels".into(), json!(1));
            fields.insert("fill".into(), json!("5 mL"));
            match ask("safe-fill", &request) {
                Ok(alone) => assert_eq!(row["outcome"], alone["outcome"], "{liquid} {used}"),
                Err(_) => assert_eq!(row["outcome"], "no_limit_checked", "{liquid} {used}"),
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_order_of_the_request_decides_nothing(liquids in some(2, 8), used in used(), amount in 1.0_f64..40.0) {
        let reply = compare(&liquids, used, amount);
        prop_assert_eq!(&compare(&liquids, used, amount), &reply);
        let mut turned = liquids;
        turned.reverse();
        let turned = compare(&turned, used, amount);
        for part in ["order", "dominated", "not_compared", "outcome", "sentence"] {
            prop_assert_eq!(&reply[part], &turned[part], "{}", part);
        }
    }

    #[test]
    fn one_liquid_more_changes_nothing_between_two_others(liquids in some(3, 8), used in used(), amount in 1.0_f64..40.0) {
        let fewer = compare(&liquids[1..], used, amount);
        let more = compare(&liquids, used, amount);
        let pairs = |reply: &Value| -> BTreeSet<String> { list(reply, "dominated").iter().map(Value::to_string).collect() };
        // Two watered alcohols are told apart by their shares only where both are there.
        prop_assume!(list(&fewer, "rows").iter().all(|row| list(&more, "rows").iter().any(|other| other["name"] == row["name"])));
        let others: BTreeSet<String> = pairs(&more).into_iter().filter(|pair| {
            let added = more["rows"][0]["name"].to_string();
            !pair.contains(&format!("\"liquid\":{added}")) && !pair.contains(&format!("\"by\":{added}"))
        }).collect();
        prop_assert_eq!(pairs(&fewer), others);
        for row in list(&fewer, "rows") {
            prop_assert_eq!(row, self::row(&more, row["name"].as_str().unwrap()));
        }
    }

    #[test]
    fn what_is_dominated_is_never_placed_before_and_each_step_is_no_better_in_its_outcome(liquids in some(2, 12), used in used(), amount in 1.0_f64..40.0) {
        let reply = compare(&liquids, used, amount);
        for pair in list(&reply, "dominated") {
            let (worse, better) = (place(&reply, pair["liquid"].as_str().unwrap()), place(&reply, pair["by"].as_str().unwrap()));
            prop_assert!(better.is_some() && better <= worse, "{}", pair);
        }
        let grade = |name: &str| match row(&reply, name)["outcome"].as_str() {
            Some("within_limit") => 0,
            Some("near_limit") => 1,
            _ => 2,
        };
        let grades: Vec<i32> = list(&reply, "order").iter().flat_map(names).map(grade).collect();
        prop_assert!(grades.windows(2).all(|two| two[0] <= two[1]), "{:?} {}", grades, reply["order"]);
        for one in list(&reply, "not_compared") {
            prop_assert_eq!(place(&reply, one["liquid"].as_str().unwrap()), None);
        }
    }

    #[test]
    fn a_liquid_in_water_is_never_placed_behind_the_same_one_with_less_water(less in 60_u32..95, water in 5_u32..40, amount in 1.0_f64..40.0) {
        let (strong, weak) = (less, less - water);
        let reply = compare(&[watered(strong), watered(weak)], "open", amount);
        let [first, second] = [0, 1].map(|at| place(&reply, reply["rows"][at]["name"].as_str().unwrap()));
        prop_assert!(second.is_some() && second <= first, "{}", reply["order"]);
    }
}
