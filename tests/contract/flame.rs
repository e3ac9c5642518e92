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
    // What is refused is suggested for nothing.
    for salt in ["potassium chlorat", "sodium perchlorat", "potassium cyanid"] {
        let fault = first(salt);
        assert_eq!(fault["code"], "unknown-substance", "{salt}");
        if let Some(other) = fault["suggestion"].as_str() {
            assert!(ask("flame-colour", &json!({ "salt": other })).is_ok(), "{salt}: {other}");
        }
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
    assert!(unlit["alternatives"].as_array().unwrap().iter().all(|other| other["liquid"] != "water"));
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
    assert!(told["reason"].as_str().unwrap().starts_with("give `salts`"), "{told}");
    beside["salts"] = json!(["CuSO4·5H2O"]);
    let reply = ask("practical", &beside).unwrap();
    assert!(
        reply["not_considered"].as_array().unwrap().iter().all(|one| one["id"] != "flame_colour"),
        "{reply}"
    );
    assert_eq!(reply["record"]["request"]["salts"], json!(["copper(II) sulfate"]));
}
