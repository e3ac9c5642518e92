//! What a plan's reply says to whoever carries it out: its steps in words, what is set out, what is cleared up.

use crate::server::shared;
use brimline_openapi::document::EXAMPLES;
use reqwest::Client;
use serde_json::{Value, json};

/// The plan of a golden example.
fn example(name: &str) -> Value {
    let (_, examples) = EXAMPLES.iter().find(|(question, _)| *question == "practical").unwrap();
    let (_, request, _) = examples.iter().find(|(case, ..)| *case == name).unwrap();
    serde_json::from_str(request).unwrap()
}

async fn reply(plan: &Value) -> Value {
    let asked = Client::new().post(shared().url("/v1/practical")).json(plan).send().await.unwrap();
    let found: Value = asked.json().await.unwrap();
    assert!(found["steps"].is_array(), "{found}");
    found
}

fn texts(list: &Value) -> Vec<&str> {
    let said = |item: &'_ Value| item.get("text").or(item.get("sentence")).is_some();
    let all = list.as_array().unwrap().iter();
    all.filter_map(|item| {
        if said(item) { item.get("text").or(item.get("sentence")) } else { Some(item) }?.as_str()
    })
    .collect()
}

fn has(list: &Value, part: &str) -> bool {
    texts(list).iter().any(|text| text.contains(part))
}

#[tokio::test]
async fn salts_are_spoken_of_where_the_plan_has_one_or_may_have() {
    for (case, _, _) in EXAMPLES.iter().find(|(question, _)| *question == "practical").unwrap().1 {
        let plan = example(case);
        if plan.get("salts").is_some() {
            // It names its salts, and every list may speak of them.
            continue;
        }
        let found = reply(&plan).await;
        let (burns, water) = (has(&found["steps"], "Burn"), plan["steps"].to_string().contains("\"water\""));
        for list in ["set_out_list", "clear_up_list", "cautions"] {
            for text in texts(&found[list]) {
                let of_salts = text.to_lowercase().contains("salt");
                let may_have =
                    burns && text.starts_with("If salts were used") || water && text.starts_with("water");
                assert!(!of_salts || may_have, "{case}: {text}");
            }
        }
        // A wick keeps salts out of what burns; of an open vessel it is not known.
        let open = burns && !plan["steps"].to_string().contains("\"wick\"");
        assert_eq!(found["not_considered"].to_string().contains("where salts are in it"), open, "{case}");
        assert_eq!(has(&found["clear_up_list"], "salt"), water || burns, "{case}");
    }
    let mut plan = example("burners-compared");
    plan["beside"] = json!(["strontium nitrate"]);
    let found = reply(&plan).await;
    assert!(has(&found["clear_up_list"], "Residues of salts may be kept"), "{found}");
}

#[tokio::test]
async fn salt_water_is_no_water_for_the_drain() {
    let mut plan = example("coloured-flame");
    let found = reply(&plan).await;
    assert!(has(&found["clear_up_list"], "with salts in it collect it"), "{found}");
    assert!(!has(&found["clear_up_list"], "may go down the drain"));
    // What is mixed with ethanol goes where ethanol goes.
    plan["steps"][0]["liquid"] = json!({ "mixture": [
        { "substance": "ethanol", "quantity": "10 mL" }, { "substance": "water", "quantity": "10 mL" }
    ] });
    let found = reply(&plan).await;
    assert!(
        !has(&found["clear_up_list"], "down the drain with")
            && has(&found["clear_up_list"], "ethanol: collect")
    );
}

#[tokio::test]
async fn a_step_says_into_how_many_vessels() {
    let mut plan = example("burners-compared");
    let pour = "Pour 4 mL of propan-2-ol into each of 4 vessels";
    assert!(has(&reply(&plan).await["steps"], pour));
    plan["steps"][1].as_object_mut().unwrap().remove("vessels");
    assert!(has(&reply(&plan).await["steps"], "Pour 4 mL of propan-2-ol into one vessel"));
    let set = reply(&example("coloured-flame")).await;
    assert!(has(&set["steps"], "Set out 15 mL of water in each of 3 vessels"));
}

#[tokio::test]
async fn a_step_without_a_check_names_the_one_with_it_or_says_nothing() {
    let found = reply(&example("rates-of-evaporation")).await;
    let steps = texts(&found["steps"]);
    assert_eq!(steps[4], "Evaporate ethanol: checked with step 3, where it was poured.");
    assert_eq!(steps[5], "Evaporate propanone: checked with step 4, where it was poured.");
    for (step, liquid) in [(2, "ethanol"), (3, "propanone")] {
        let checks = found["steps"][step]["checks"].as_array().unwrap();
        let about = checks.iter().map(|at| &found["checks"][usize::try_from(at.as_u64().unwrap()).unwrap()]);
        assert!(about.clone().any(|check| check["check"] == "exposure"), "{liquid}");
    }
    let mut plan = example("warm-recrystallisation");
    plan["steps"][3] = json!({ "do": "evaporate", "duration": "20 min" });
    let found = reply(&plan).await;
    assert_eq!(texts(&found["steps"])[3], "Evaporate: checked with step 3, where it was heated.");
    for case in ["burners-compared", "coloured-flame", "leaf-pigments"] {
        let found = reply(&example(case)).await;
        for text in texts(&found["steps"]) {
            assert!(!text.contains("no limit applies"), "{case}: {text}");
            assert!(!text.starts_with("Wait") || text.matches(':').count() == 0, "{case}: {text}");
        }
    }
}

#[tokio::test]
async fn what_is_set_out_fits_the_liquid_and_the_heater() {
    for case in ["burners-compared", "leaf-pigments", "warm-recrystallisation", "cleaning-before-gluing"] {
        let list = &reply(&example(case)).await["set_out_list"];
        for part in
            ["Goggles", "extinguisher", "fire blanket", "A lid for each vessel", "ignition source off"]
        {
            assert!(has(list, part), "{case}: {part}");
        }
    }
    let water = &reply(&example("coloured-flame")).await["set_out_list"];
    assert!(!has(water, "A lid for each vessel") && has(water, "fire blanket"));
    let mut plan = example("warm-recrystallisation");
    for (heater, named) in [
        ("water_bath", "A water bath"),
        ("steam_bath", "A steam bath"),
        ("hot_plate", "A hot plate"),
        ("heating_mantle", "A heating mantle"),
        ("lamp", "A lamp"),
        ("flame", "A burner"),
    ] {
        plan["steps"][2]["heated_by"] = json!(heater);
        if heater == "flame" {
            plan["ignition"] = json!([{ "kind": "gas burner", "distance": "0.1 m", "lit": true }]);
        }
        let found = reply(&plan).await;
        assert!(has(&found["set_out_list"], named), "{heater}");
        assert_eq!(has(&found["set_out_list"], "water bath"), heater == "water_bath", "{heater}");
    }
    let lit = &reply(&example("leaf-pigments-beside-a-burner")).await["set_out_list"];
    assert!(has(lit, "ignition source off before a bottle is opened; the plan has lit: gas burner."));
}

/// The container to fill beforehand holds what the plan draws, after its changes, too.
#[tokio::test]
async fn what_is_drawn_is_what_the_plan_says() {
    let mut plan = example("rates-of-evaporation");
    plan["steps"][0]["amount"] = json!("8 mL");
    let again = plan["steps"][0].clone();
    plan["steps"].as_array_mut().unwrap().insert(1, again);
    let list = &reply(&plan).await["set_out_list"];
    assert!(has(list, "container with 16 mL of ethanol") && has(list, "container with 8 mL of propanone"));
    for case in ["burners-topped-up", "rates-of-evaporation-in-a-store"] {
        let plan = example(case);
        let found = reply(&plan).await;
        let mended = brimline_tests::plans::mended(&plan, found["remedies"].as_array().unwrap());
        let drawn = |plan: &Value, liquid: &str| -> f64 {
            let steps = plan["steps"].as_array().unwrap().iter();
            let of = steps.filter(|step| step["do"] == "draw" && step["liquid"] == liquid);
            of.map(|step| step["amount"].as_str().unwrap().trim_end_matches(" mL").parse::<f64>().unwrap())
                .sum()
        };
        let list = &reply(&mended).await["set_out_list"];
        for liquid in ["propan-2-ol", "ethanol", "propanone"] {
            let sum = drawn(&mended, liquid);
            assert_eq!(
                has(list, &format!("container with {sum} mL of {liquid}")),
                sum > 0.0,
                "{case} {liquid}"
            );
        }
    }
}
