//! `flame-colour`: every element and salt answers or says why not; no colour is computed where the model is known to be wrong.

use brimline_service::catalogue::catalogue;
use brimline_service::catalogue::flame_elements::Model;
use brimline_tests::ask;
use serde_json::{Value, json};

#[test]
fn every_element_and_salt_answers_or_is_refused_with_a_reason() {
    let elements = &catalogue().unwrap().flame_elements;
    assert_eq!(elements.element.len(), 10);
    for element in &elements.element {
        for name in [&element.symbol, &element.name] {
            let reply = ask("flame-colour", &json!({ "element": name })).unwrap();
            honest(element.model, &reply);
        }
    }
    let (mut answered, mut refused) = (0, 0);
    for salt in &elements.salt {
        match ask("flame-colour", &json!({ "salt": salt.name })) {
            Ok(reply) => {
                honest(elements.of(salt).unwrap().model, &reply);
                answered += 1;
            }
            Err(problem) => {
                assert_eq!(problem["errors"][0]["pointer"], "/salt", "{problem}");
                assert!(
                    salt.refused
                        .as_ref()
                        .is_some_and(|reason| problem["detail"].as_str().unwrap().contains(reason))
                );
                refused += 1;
            }
        }
    }
    assert!(answered >= 30 && refused >= 5, "{answered} {refused}");
}

/// A point of colour only for the thin gas; bands said where they dominate.
fn honest(model: Model, reply: &Value) {
    let colour = &reply["colour"];
    assert_eq!(colour.get("x").is_some(), model == Model::ThinGas, "{reply}");
    assert_eq!(reply.get("luminous_efficacy").is_some(), model == Model::ThinGas);
    assert_eq!(reply["bands_dominate"], model == Model::Bands);
    assert_eq!(reply.get("visible_share").is_some(), model != Model::Bands);
    assert_eq!(reply["complete"], model != Model::Bands);
    assert!(!colour["words"].as_str().unwrap().is_empty() && !colour["why"].as_str().unwrap().is_empty());
    assert_eq!(reply["outcome"], "no_limit_checked");
    assert!(!reply["sentence"].as_str().unwrap().to_lowercase().contains("safe"));
    assert!(reply["omitted"].as_array().unwrap().len() >= 5);
    assert_eq!(reply["flames"].as_array().unwrap().len(), 3);
}

fn faults(request: &Value) -> Vec<(String, String)> {
    let problem = ask("flame-colour", request).unwrap_err();
    let text = |fault: &Value, name: &str| fault[name].as_str().unwrap().to_owned();
    let errors = problem["errors"].as_array().unwrap();
    errors.iter().map(|fault| (text(fault, "pointer"), text(fault, "code"))).collect()
}

fn fault(pointer: &str, code: &str) -> Vec<(String, String)> {
    vec![(pointer.to_owned(), code.to_owned())]
}

#[test]
fn bad_requests_are_refused_with_their_place() {
    assert_eq!(faults(&json!({})), fault("/salt", "missing-field"));
    assert_eq!(faults(&json!({ "element": "Na", "salt": "NaCl" })), fault("", "given-twice"));
    assert_eq!(faults(&json!({ "element": "Fe" })), fault("/element", "unknown-substance"));
    assert_eq!(faults(&json!({ "salt": "sodium" })), fault("/salt", "unknown-substance"));
    assert_eq!(
        faults(&json!({ "element": "Na", "flame_temperature": "2300 Cel" })),
        fault("/flame_temperature", "outside-range")
    );
    assert_eq!(faults(&json!({ "element": "Na", "fuel": "propanone" })), fault("/fuel", "missing-datum"));
    assert_eq!(
        faults(&json!({ "element": "Na", "tolerance": "1 nm" })),
        fault("/tolerance", "unknown-field")
    );
    assert_eq!(
        faults(&json!({ "element": "Na", "from": "700 nm", "to": "500 nm" })),
        fault("/from", "impossible-value")
    );
    assert_eq!(faults(&json!({ "peaks": ["589 nm"] })), fault("/resolution", "missing-field"));
    assert_eq!(faults(&json!({ "peaks": [], "resolution": "1 nm" })), fault("/peaks", "outside-range"));
    assert_eq!(
        faults(&json!({ "peaks": ["589 nm", "589 nm"], "resolution": "1 nm" })),
        fault("/peaks/1", "given-twice")
    );
    assert_eq!(faults(&json!({ "peaks": ["589"], "resolution": "1 nm" })).len(), 1);
    let table =
        json!([{ "wavelength": "500 nm", "response": 0.5 }, { "wavelength": "400 nm", "response": 1 }]);
    assert_eq!(
        faults(&json!({ "element": "Na", "response": table })),
        fault("/response/1/wavelength", "impossible-value")
    );
}

#[test]
fn an_instrument_merges_what_its_slit_cannot_part_and_shows_what_it_responds_to() {
    let peaks = |request: Value| ask("flame-colour", &request).unwrap()["instrument"]["peaks"].clone();
    let merged = peaks(json!({ "element": "Na", "resolution": "2 nm", "from": "580 nm", "to": "600 nm" }));
    assert_eq!((merged.as_array().unwrap().len(), merged[0]["lines"].as_array().unwrap().len()), (1, 2));
    let parted = peaks(json!({ "element": "Na", "resolution": "0.2 nm", "from": "580 nm", "to": "600 nm" }));
    assert_eq!(parted.as_array().unwrap().len(), 2);
    let table =
        json!([{ "wavelength": "700 nm", "response": 0.5 }, { "wavelength": "900 nm", "response": 0.5 }]);
    let red = peaks(json!({ "element": "Na", "response": table }));
    assert!(red.as_array().unwrap().iter().all(|peak| peak["wavelength"]["value"].as_f64().unwrap() > 700.0));
    assert_eq!(red[0]["height"].as_f64().unwrap().max(red[1]["height"].as_f64().unwrap()), 1.0);
}

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
fn a_plan_with_salts_tells_their_colours_and_first_the_way_without_burning_liquid() {
    let reply = ask("practical", &plan(json!(["NaCl", "copper chloride", "barium chloride"]))).unwrap();
    let colours = reply["expected_colours"].as_array().unwrap();
    assert_eq!(colours.len(), 3);
    assert_eq!(colours[0]["brightest"][0]["value"], 588.9951);
    assert!(colours[1]["bands_dominate"] == true && colours[1]["salt"] == "copper(II) chloride");
    assert_eq!(
        (&reply["alternatives"][0]["liquid"], &reply["alternatives"][0]["outcome"]),
        (&json!("water"), &json!("no_limit_checked"))
    );
    let cautions: Vec<&str> =
        reply["cautions"].as_array().unwrap().iter().map(|caution| caution["id"].as_str().unwrap()).collect();
    for id in ["salts_without_pouring", "aqueous_salt_first", "salt_CuCl2", "salt_BaCl2"] {
        assert!(cautions.contains(&id), "{id}: {cautions:?}");
    }
    assert_eq!(*cautions.last().unwrap(), "defer");
    let considered = reply["considered"].as_array().unwrap();
    assert!(considered.contains(&json!("flame_colour")));
    // All other checks are those of the plan without salts.
    let mut bare = plan(Value::Null);
    bare.as_object_mut().unwrap().remove("salts");
    let bare = ask("practical", &bare).unwrap();
    let of_salts = ["oxidiser_in_fuel", "fuel_for_salts", "toxic_salt_in_fuel"];
    let own = |check: &&Value| !of_salts.contains(&check["check"].as_str().unwrap());
    let checks: Vec<&Value> = reply["checks"].as_array().unwrap().iter().filter(own).collect();
    assert_eq!(bare["checks"].as_array().unwrap().iter().collect::<Vec<_>>(), checks);
    // A salt that gives off oxygen is not burnt with liquid, whatever the amounts.
    let nitrate = ask("practical", &plan(json!(["NaCl", "strontium nitrate"]))).unwrap();
    assert_eq!(
        (&nitrate["outcome"], &nitrate["governed_by"]),
        (&json!("over_limit"), &json!("oxidiser_in_fuel"))
    );
    assert_eq!(nitrate["alternatives"][0]["liquid"], "water");
    assert!(bare.get("expected_colours").is_none());
    for alternative in bare["alternatives"].as_array().unwrap() {
        assert_ne!(alternative["liquid"], "water");
    }
}

#[test]
fn salts_of_a_plan_are_refused_with_their_place() {
    let fault = |salts: Value| {
        let problem = ask("practical", &plan(salts)).unwrap_err();
        let first = &problem["errors"][0];
        (first["pointer"].as_str().unwrap().to_owned(), first["code"].as_str().unwrap().to_owned())
    };
    let of = |pointer: &str, code: &str| (pointer.to_owned(), code.to_owned());
    assert_eq!(fault(json!([])), of("/salts", "outside-range"));
    assert_eq!(fault(json!("NaCl")), of("/salts", "wrong-type"));
    assert_eq!(fault(json!(["NaCl", 7])), of("/salts/1", "wrong-type"));
    assert_eq!(fault(json!(["NaCl", "sodium chloride"])), of("/salts/1", "given-twice"));
    assert_eq!(fault(json!(["potassium chlorate"])), of("/salts/0", "missing-datum"));
    assert_eq!(fault(json!(["sodium chlorid"])), of("/salts/0", "unknown-substance"));
}

/// The lines of sodium lie at 589.0, 589.6 and about 568 nm (from memory of handbook tables); copper shows bands between 420 and 630 nm alone.
#[test]
fn an_instrument_tells_flanks_and_empty_ranges_and_only_the_lines_that_make_a_peak() {
    let of = |request: Value| ask("flame-colour", &request).unwrap();
    let peaks = |reply: &Value| reply["instrument"]["peaks"].as_array().unwrap().clone();
    // The D lines lie 4 nm beyond the end: their flank is higher than any peak before it.
    let flank = of(json!({ "salt": "NaCl", "from": "400 nm", "to": "585 nm", "resolution": "5 nm" }));
    assert!(peaks(&flank).iter().all(|peak| peak["height"].as_f64().unwrap() < 1e-4), "{flank}");
    let empty = of(json!({ "salt": "NaCl", "from": "650 nm", "to": "660 nm" }));
    assert!(peaks(&empty).is_empty() && empty["cautions"].to_string().contains("nothing_in_range"));
    let bands = of(json!({ "element": "Cu", "from": "700 nm", "to": "800 nm" }));
    assert!(bands["cautions"].to_string().contains("nothing_in_range"), "{bands}");
    assert!(!of(json!({ "salt": "CuCl2" }))["cautions"].to_string().contains("nothing_in_range"));
    // With a slit of 50 nm the lines at 568 nm lie in the peak, and make nothing of it.
    let wide = of(json!({ "salt": "NaCl", "resolution": "50 nm" }));
    let lines: Vec<f64> = peaks(&wide)[0]["lines"]
        .as_array()
        .unwrap()
        .iter()
        .map(|line| line["value"].as_f64().unwrap())
        .collect();
    assert_eq!(lines, [588.9951, 589.5924]);
}

/// Colours and cautions: common practice, no source.
#[test]
fn words_and_sentence_are_those_of_the_salt() {
    let words =
        |salt: &str| ask("flame-colour", &json!({ "salt": salt })).unwrap()["colour"]["words"].clone();
    assert!(words("borax").as_str().unwrap().contains("yellow of its sodium"));
    assert_eq!((words("CuSO4"), words("Cu(NO3)2")), (json!("green"), json!("green")));
    assert!(words("CuCl2").as_str().unwrap().contains("blue"));
    let nitrate = ask("flame-colour", &json!({ "salt": "KNO3", "fuel": "methanol" })).unwrap();
    assert!(nitrate["sentence"].as_str().unwrap().contains("never with liquid that burns"), "{nitrate}");
    let element = ask("flame-colour", &json!({ "element": "Ba" })).unwrap()["cautions"].to_string();
    assert!(element.contains("toxic by mouth") && element.contains("chlorates"), "{element}");
}

/// Where lines, bands and those of lamps lie: from memory of handbook tables.
#[test]
fn peaks_of_the_flame_and_of_sodium_are_told_and_senseless_ones_refused() {
    let asked = |peaks: &[&str], more: Value| {
        let mut request = json!({ "peaks": peaks, "resolution": "2 nm", "from": "380 nm", "to": "780 nm" });
        request.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
        ask("flame-colour", &request)
    };
    let flame = asked(&["431.4 nm", "516.5 nm"], json!({})).unwrap();
    assert_eq!((&flame["identified"], &flame["candidates"]), (&json!("none"), &json!([])));
    let own: Vec<&str> = flame["not_of_a_salt"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| one["emitter"].as_str().unwrap())
        .collect();
    assert_eq!(own, ["CH", "C2"]);
    assert!(
        flame["sentence"].as_str().unwrap().contains("2 peaks are of the flame itself or a lamp"),
        "{flame}"
    );
    // A band of calcium chloride lies over the line of sodium.
    let both = asked(&["422.5 nm", "554.1 nm", "589.3 nm", "622.0 nm"], json!({})).unwrap();
    let found: Vec<&str> = both["candidates"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|one| one["found"] == true)
        .map(|one| one["element"]["symbol"].as_str().unwrap())
        .collect();
    assert_eq!((found, &both["identified"]), (vec!["Ca", "Na"], &json!("found")));
    // At the edge of the tolerance, too, sodium is told.
    let edge = asked(&["587.2 nm"], json!({})).unwrap();
    assert_eq!(
        (&edge["candidates"][0]["element"]["symbol"], &edge["candidates"][0]["found"]),
        (&json!("Na"), &json!(true)),
        "{edge}"
    );
    // Sodium proves nothing of what stands beside it.
    let unsure = asked(&["547 nm", "589.2 nm"], json!({})).unwrap();
    assert_eq!(unsure["identified"], "cannot_tell");
    // A lamp in the room is no salt; copper has bands near three of its lines.
    let lamp =
        asked(&["435.8 nm", "487.7 nm", "542.4 nm", "546.1 nm", "611.6 nm", "670.8 nm"], json!({})).unwrap();
    assert_eq!(
        (&lamp["identified"], &lamp["candidates"][0]["element"]["symbol"]),
        (&json!("found"), &json!("Li"))
    );
    let told = lamp["not_of_a_salt"].as_array().unwrap();
    assert!(told.len() == 5 && told.iter().all(|one| one["emitter"] == "a lamp"), "{lamp}");
    // Sodium's line stays sodium's, and two lines of mercury may be copper's bands or a lamp's.
    let beside = asked(&["404.7 nm", "435.8 nm", "546.1 nm", "589.2 nm"], json!({})).unwrap();
    assert_eq!(beside["candidates"][0]["element"]["symbol"], "Na", "{beside}");
    assert_eq!(asked(&["435.8 nm", "546.1 nm"], json!({})).unwrap()["identified"], "cannot_tell");
    let violet = asked(&["404.4 nm"], json!({ "to": "750 nm" })).unwrap();
    assert_eq!(
        (&violet["identified"], &violet["candidates"][0]["element"]["symbol"]),
        (&json!("cannot_tell"), &json!("K"))
    );
    // Strontium explains both, lithium one of them well.
    assert_eq!(asked(&["606 nm", "671 nm"], json!({})).unwrap()["identified"], "cannot_tell");
    // The strong lines of rubidium lie beyond the instrument.
    let weak = asked(&["420.9 nm", "629.8 nm"], json!({})).unwrap();
    assert!(
        weak["candidates"].as_array().unwrap().iter().any(|one| one["element"]["symbol"] == "Rb"),
        "{weak}"
    );
    // A band of strontium hydroxide lies over the line of lithium.
    let hidden = ["460.7 nm", "605.5 nm", "646 nm", "670.8 nm", "682 nm"];
    let hidden = asked(&hidden, json!({})).unwrap();
    assert!(hidden["sentence"].as_str().unwrap().contains("Hidden behind there may be lithium"), "{hidden}");
    // The order of the peaks says nothing.
    let turned = asked(&["682 nm", "605.5 nm", "670.8 nm", "460.7 nm", "646 nm"], json!({})).unwrap();
    assert_eq!((&turned["candidates"], &turned["sentence"]), (&hidden["candidates"], &hidden["sentence"]));
    // A sentence leaves a part out and cuts none.
    let many: Vec<String> = (0..40).map(|step| format!("{} nm", 400.3 + 9.1 * f64::from(step))).collect();
    let many: Vec<&str> = many.iter().map(String::as_str).collect();
    for count in 1..=40 {
        let sentence = asked(&many[..count], json!({})).unwrap()["sentence"].as_str().unwrap().to_owned();
        assert!(sentence.chars().count() <= 200 && !sentence.contains('…'), "{sentence}");
        assert!(sentence.ends_with(". No limit was checked."), "{sentence}");
    }
    let pointer = |problem: Value| problem["errors"][0]["pointer"].as_str().unwrap().to_owned();
    let table = json!({ "response": [{ "wavelength": "600 nm", "response": 1 }, { "wavelength": "650 nm", "response": 1 }] });
    assert_eq!(pointer(asked(&["589.3 nm"], table).unwrap_err()), "/peaks/0");
    assert_eq!(pointer(asked(&["589.3 nm"], json!({ "tolerance": "20 nm" })).unwrap_err()), "/tolerance");
    assert_eq!(pointer(asked(&["589.3 nm"], json!({ "resolution": "20 nm" })).unwrap_err()), "/resolution");
    assert!(asked(&["589.3 nm"], json!({ "resolution": "20 nm", "tolerance": "5 nm" })).is_ok());
}
