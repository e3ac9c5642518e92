//! Salts of a plan: how they are named, what is suggested, which liquid the way without burning stands for.

use brimline_tests::ask;
use serde_json::{Value, json};

/// A dish of ethanol with salts in it.
fn plan(salts: Value) -> Value {
    json!({
        "name": "Flame colours, lab S3",
        "room": { "volume": "190 m3", "temperature": "21 Cel", "pressure": "101.325 kPa", "air_changes": "3 /h" },
        "people": { "nearest": "3 m", "count": 24 },
        "steps": [
            { "do": "pour", "liquid": "ethanol", "amount": "4 mL", "vessels": 2,
              "vessel": { "capacity": "80 mL", "mouth_diameter": "7 cm", "material": "porcelain" } },
            { "do": "burn" }
        ],
        "stock": [], "ignition": [], "mat": true, "salts": salts
    })
}

#[test]
fn no_other_salt_is_suggested_for_one_that_is_not_answered() {
    let first = |salt: &str| ask("flame-colour", &json!({ "salt": salt })).unwrap_err()["errors"][0].clone();
    // A space is no other oxidation state; a salt that is refused is told as such, with its reason.
    let reply = ask("flame-colour", &json!({ "salt": "copper (II) chloride" })).unwrap();
    assert_eq!(reply["salt"], "copper(II) chloride");
    for salt in ["potassium cyanide", "sodium nitrite", "barium peroxide", "potassium dichromate"] {
        assert_eq!(first(salt)["code"], "missing-datum", "{salt}");
    }
    // Names that are alike in part are no slips.
    for salt in ["boron trioxide", "copper oxide"] {
        assert!(first(salt)["suggestion"].is_null(), "{salt}");
    }
    assert_eq!(first("sodium chlorid")["suggestion"], "sodium chloride");
    // What is an oxidiser, an explosive or very toxic: from memory. A slip of one that is not answered is told with its reason, and so is every other of its kind.
    for (salt, reason) in [
        ("potassium chlorat", "reads like potassium chlorate"),
        ("sodium perchlorat", "reads like sodium perchlorate"),
        ("potassium cyanid", "very toxic"),
        ("sodium chlorite", "oxidiser"),
        ("copper iodate", "oxidiser"),
        ("ammonium nitrate", "explode"),
    ] {
        let fault = first(salt);
        assert_eq!((&fault["code"], fault["suggestion"].as_str()), (&json!("missing-datum"), None), "{salt}");
        let detail = fault["detail"].as_str().unwrap();
        assert!(detail.contains(reason) && detail.contains("take a chloride"), "{salt}: {detail}");
    }
}

#[test]
fn the_way_without_burning_liquid_is_told_instead_of_the_liquid_that_burns() {
    let mut drawn = plan(json!(["NaCl"]));
    drawn["stock"] = json!([{ "liquid": "propan-2-ol", "container": "100 mL", "distance": "5 m" }]);
    let later = json!({ "do": "draw", "liquid": "propan-2-ol", "amount": "5 mL" });
    drawn["steps"].as_array_mut().unwrap().insert(1, later);
    assert_eq!(ask("practical", &drawn).unwrap()["alternatives"][0]["instead_of"], "ethanol");
    let cautions = ask("practical", &drawn).unwrap()["cautions"].to_string();
    assert!(cautions.contains("\"sodium_hides\""), "{cautions}");
    let mut unlit = plan(json!(["NaCl"]));
    unlit["steps"].as_array_mut().unwrap().pop();
    let unlit = ask("practical", &unlit).unwrap();
    // Salts beside a liquid that can burn: it is asked what burns, and the way without it is told.
    assert_eq!(unlit["alternatives"][0]["liquid"], "water");
    assert!(
        unlit["complete"] == false && unlit["not_considered"].to_string().contains("a step `burn`"),
        "{unlit}"
    );
    assert_eq!(unlit["expected_colours"][0]["element"]["symbol"], "Na");
}

#[test]
fn a_salt_that_stands_beside_is_asked_for() {
    let mut beside = plan(Value::Null);
    beside.as_object_mut().unwrap().remove("salts");
    beside["beside"] = json!(["copper sulfate"]);
    let reply = ask("practical", &beside).unwrap();
    let all = reply["not_considered"].as_array().unwrap();
    let told = all.iter().find(|one| one["id"] == "flame_colour").unwrap();
    assert!(told["reason"].as_str().unwrap().contains("give `salts`"), "{told}");
    beside["salts"] = json!(["CuSO4·5H2O"]);
    let reply = ask("practical", &beside).unwrap();
    assert!(
        reply["not_considered"].as_array().unwrap().iter().all(|one| one["id"] != "flame_colour"),
        "{reply}"
    );
    assert_eq!(reply["record"]["request"]["salts"], json!(["copper(II) sulfate"]));
}

/// What is never done with salts is over the limit, whatever the amounts (common practice, no source).
#[test]
fn what_is_never_done_with_salts_is_over_the_limit() {
    let dish = json!({ "capacity": "80 mL", "mouth_diameter": "7 cm", "material": "porcelain" });
    let pour = |liquid: &str, vessel: &Value| json!({ "do": "pour", "liquid": liquid, "amount": "4 mL", "vessel": vessel, "vessels": 1 });
    let over = |steps: Value, salt: &str| {
        let mut asked = plan(json!([salt]));
        asked["steps"] = steps;
        let reply = ask("practical", &asked).unwrap();
        let checks = reply["checks"].as_array().unwrap().iter();
        let over = checks.filter(|check| check["status"] == "over_limit");
        over.map(|check| check["check"].as_str().unwrap().to_owned()).collect::<Vec<_>>()
    };
    let burn = || json!({ "do": "burn" });
    // An oxidiser beside liquid that can burn, whether it is lit, heated or left.
    for later in [
        json!({ "do": "clear" }),
        json!({ "do": "heat", "heated_to": "40 Cel", "heated_by": "water_bath", "duration": "5 min" }),
        json!({ "do": "evaporate" }),
        burn(),
    ] {
        let found = over(json!([pour("ethanol", &dish), later]), "KNO3");
        assert!(found.contains(&"oxidiser_in_fuel".to_owned()), "{later}: {found:?}");
    }
    // In water it is none.
    assert!(over(json!([pour("water", &dish), { "do": "clear" }]), "KNO3").is_empty());
    for (fuel, is_over) in [
        ("ethanol", false),
        ("propan-2-ol", false),
        ("denatured alcohol", false),
        ("methanol", true),
        ("propanone", true),
        ("heptane", true),
    ] {
        let found = over(json!([pour(fuel, &dish), burn()]), "LiCl");
        assert_eq!(found.contains(&"fuel_for_salts".to_owned()), is_over, "{fuel}: {found:?}");
    }
    // By mass a third of it is no alcohol; what makes an alcohol unfit to drink is less.
    let sooty = json!({ "mixture": [{ "substance": "ethanol", "quantity": "66 mL" }, { "substance": "hexane", "quantity": "34 mL" }] });
    let mut poured = pour("ethanol", &dish);
    poured["liquid"] = sooty;
    assert!(over(json!([poured, burn()]), "LiCl").contains(&"fuel_for_salts".to_owned()));
    let again = json!([pour("ethanol", &dish), burn(), { "do": "wait", "duration": "240 min" },
        { "do": "refill", "amount": "4 mL", "all_flames_out": true }, burn()]);
    assert!(over(again, "LiCl").contains(&"refilled_with_salts".to_owned()));
    // The same said as clearing and pouring anew; of a second set it is another vessel.
    let anew = |words: &str| {
        let mut other = dish.clone();
        other["material"] = json!(words);
        let mut poured = pour("ethanol", &other);
        poured["all_flames_out"] = json!(true);
        let wait = json!({ "do": "wait", "duration": "60 min" });
        let clear = json!({ "do": "clear", "all_flames_out": true });
        over(json!([pour("ethanol", &dish), burn(), wait, clear, poured, burn()]), "LiCl")
    };
    assert!(anew("porcelain").contains(&"refilled_with_salts".to_owned()));
    assert!(anew("Porcelain ").contains(&"refilled_with_salts".to_owned()));
    assert!(!anew("porcelain, second set").contains(&"refilled_with_salts".to_owned()));
    assert_eq!(over(json!([pour("ethanol", &dish), burn()]), "BaCl2"), ["toxic_salt_in_fuel"]);
    // A wick keeps salts out of what burns.
    let wick = json!({ "capacity": "100 mL", "mouth_diameter": "1 cm", "material": "glass", "kind": "wick" });
    let found = over(json!([pour("ethanol", &wick), burn()]), "KNO3");
    assert!(found.iter().all(|check| check != "oxidiser_in_fuel"), "{found:?}");
    let mut burners = plan(json!(["CuCl2"]));
    burners["steps"] = json!([pour("ethanol", &wick), burn()]);
    let lists = ask("practical", &burners).unwrap();
    assert!(lists["set_out_list"].to_string().contains("no salt into what the wick draws from"), "{lists}");
    assert!(
        !lists["clear_up_list"].to_string().contains("in it: collect it as heavy-metal waste"),
        "{lists}"
    );
    // A mist of a harmful salt is breathed in; of another one it is not held against a limit.
    for words in ["plastic spray bottle", "Sprühflasche", "hand atomiser", "plant mister"] {
        let sprayer = json!({ "capacity": "100 mL", "mouth_diameter": "3 cm", "material": words });
        for (salt, is_over) in [("BaCl2", true), ("boric acid", true), ("NaOH", true), ("LiCl", false)] {
            let found = over(json!([pour("water", &sprayer), { "do": "clear" }]), salt);
            assert_eq!(found.contains(&"harmful_mist".to_owned()), is_over, "{words}, {salt}: {found:?}");
        }
        let found = over(json!([pour("ethanol", &sprayer), { "do": "clear" }]), "LiCl");
        assert!(found.contains(&"sprayed_at_flame".to_owned()), "{words}: {found:?}");
    }
}

#[test]
fn a_sheet_names_the_way_without_burning_liquid_before_every_change() {
    let reply = ask("practical", &plan(json!(["LiCl", "CuCl2"]))).unwrap();
    assert!(reply["sentence"].as_str().unwrap().contains("salts in water, on a wire"), "{reply}");
    let list = |name: &str| reply[name].to_string();
    assert!(list("set_out_list").contains("Gloves for copper(II) chloride (harmful)"), "{reply}");
    assert!(
        list("clear_up_list")
            .contains("ethanol with copper(II) chloride in it: collect it as heavy-metal waste"),
        "{reply}"
    );
    assert!(list("not_considered").contains("fumes"), "{reply}");
}

#[test]
fn changes_take_out_what_is_never_burnt_and_leave_the_rest() {
    let mut asked = plan(json!(["BaCl2", "LiCl", "KNO3"]));
    let reply = ask("practical", &asked).unwrap();
    let remedies = reply["remedies"].as_array().unwrap();
    let told: Vec<(&str, &str)> =
        remedies.iter().map(|one| (one["field"].as_str().unwrap(), one["to"].as_str().unwrap())).collect();
    assert_eq!(told, [("/salts/2", "away"), ("/salts/0", "away")]);
    // Made in turn they lead where the last one says.
    asked["salts"] = json!(["LiCl"]);
    let after = ask("practical", &asked).unwrap();
    assert_eq!(after["outcome"], remedies[1]["outcome_after"]);
    let mut fuel = plan(json!(["LiCl"]));
    fuel["steps"][0]["liquid"] = json!("propanone");
    // Water in a beaker beside is not what burns.
    let beaker = json!({ "do": "set_out", "liquid": "water", "amount": "15 mL", "vessels": 1,
        "vessel": { "capacity": "100 mL", "mouth_diameter": "5 cm", "material": "glass" } });
    fuel["steps"].as_array_mut().unwrap().insert(1, beaker);
    fuel["steps"][2]["vessel"] = fuel["steps"][0]["vessel"].clone();
    let reply = ask("practical", &fuel).unwrap();
    assert_eq!(
        (&reply["remedies"][0]["field"], &reply["remedies"][0]["to"]),
        (&json!("/steps/0/liquid"), &json!("ethanol"))
    );
}
