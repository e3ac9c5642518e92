//! An earlier answer is sent back: what is the same, what changed, and what is refused.

use crate::server::{shared, started};
use brimline_openapi::document::EXAMPLES;
use brimline_openapi::operations::question;
use reqwest::Client;
use serde_json::{Value, json};

/// Sends a body to `recheck`; the status and the reply or problem document.
async fn sent_to(url: String, body: &Value) -> (u16, Value) {
    let reply = Client::new().post(url).json(body).send().await.unwrap();
    let status = reply.status().as_u16();
    let text = reply.text().await.unwrap();
    assert!(!text.contains("null"), "{text}");
    (status, serde_json::from_str(&text).unwrap())
}

async fn rechecked(body: &Value) -> Value {
    let (status, reply) = sent_to(shared().url("/v1/recheck"), body).await;
    assert_eq!(status, 200, "{reply}");
    let sentence = reply["sentence"].as_str().unwrap();
    assert!(!sentence.is_empty() && sentence.chars().count() <= 200, "{sentence}");
    assert!(!sentence.contains("safe"), "{sentence}");
    reply
}

/// The faults of a body: code and pointer.
async fn refused(body: &Value) -> Vec<(String, String)> {
    let (status, problem) = sent_to(shared().url("/v1/recheck"), body).await;
    assert_eq!(status, 422, "{problem}");
    let text = |value: &Value| value.as_str().unwrap().to_owned();
    let faults = problem["errors"].as_array().unwrap();
    faults.iter().map(|fault| (text(&fault["code"]), text(&fault["pointer"]))).collect()
}

fn is(found: &[(String, String)], expected: &[(&str, &str)]) {
    let found: Vec<(&str, &str)> =
        found.iter().map(|(code, pointer)| (code.as_str(), pointer.as_str())).collect();
    assert_eq!(found, expected);
}

fn example(name: &str, case: &str) -> (Value, Value) {
    let (_, examples) = EXAMPLES.iter().find(|(known, _)| *known == name).unwrap();
    let (_, request, reply) = examples.iter().find(|(known, ..)| *known == case).unwrap();
    (serde_json::from_str(request).unwrap(), serde_json::from_str(reply).unwrap())
}

fn pointers(reply: &Value) -> Vec<&str> {
    reply["changed"].as_array().unwrap().iter().map(|change| change["pointer"].as_str().unwrap()).collect()
}

#[tokio::test]
async fn an_answer_of_today_is_the_same_however_it_is_sent_back() {
    for (name, examples) in EXAMPLES.iter().filter(|(name, _)| question(name).is_some()) {
        for (case, request, reply) in *examples {
            let request: Value = serde_json::from_str(request).unwrap();
            let earlier: Value = serde_json::from_str(reply).unwrap();
            let record = &earlier["record"];
            let mut short = record.clone();
            short.as_object_mut().unwrap().remove("request");
            for body in [
                json!({ "record": record }),
                json!({ "question": name, "request": request, "record": record }),
                json!({ "question": name, "request": request, "record": short }),
                json!({ "reply": earlier }),
                json!({ "question": name, "request": request, "record": record, "reply": earlier }),
            ] {
                let reply = rechecked(&body).await;
                let found = (&reply["same"], &reply["differs"], &reply["changed"], &reply["changes"]);
                assert_eq!(
                    found,
                    (&json!("yes"), &json!([]), &json!([]), &json!([])),
                    "{name}/{case}: {reply}"
                );
                assert_eq!((&reply["question"], &reply["record"]), (&json!(name), record));
                assert_eq!(reply["outcome"], earlier["outcome"]);
                assert_eq!(reply.get("outcome_before"), body.get("reply").map(|_| &earlier["outcome"]));
            }
        }
    }
}

#[tokio::test]
async fn a_reply_without_texts_is_compared_with_its_request() {
    for (name, case) in
        [("spill", "ethanol-bottle"), ("practical", "leaf-pigments"), ("comparison", "burner-fuels")]
    {
        let (mut request, full) = example(name, case);
        request["detail"] = json!("figures");
        let url = shared().url(&format!("/v1/{name}"));
        let short: Value = Client::new().post(url).json(&request).send().await.unwrap().json().await.unwrap();
        assert!(short["record"].get("request").is_none() && short["cautions"][0].get("text").is_none());
        let reply = rechecked(&json!({ "question": name, "request": request, "reply": short })).await;
        assert_eq!((&reply["same"], &reply["record"]), (&json!("yes"), &full["record"]), "{reply}");
    }
}

#[tokio::test]
async fn an_altered_figure_and_a_worse_status_are_found_and_the_status_stands_first() {
    let (_, mut earlier) = example("spill", "ethanol-bottle");
    let place = earlier["checks"]
        .as_array()
        .unwrap()
        .iter()
        .position(|check| check["status"] == "over_limit")
        .unwrap();
    let status = format!("/checks/{place}/status");
    // A figure that stands before the checks in the reply, and one after them.
    let figure = earlier["pool_area"]["value"].as_f64().unwrap();
    earlier["pool_area"]["value"] = json!(figure + 1.0);
    earlier["checks"][place]["status"] = json!("within_limit");
    let reply = rechecked(&json!({ "reply": earlier })).await;
    assert_eq!(reply["same"], "no");
    assert_eq!(pointers(&reply), [status.as_str(), "/pool_area/value"]);
    let expected = json!({ "pointer": status, "before": "within_limit", "after": "over_limit", "worse": true, "why": [] });
    assert_eq!(reply["changed"][0], expected);
    let found = (
        reply["changed"][1]["before"].as_f64(),
        reply["changed"][1]["after"].as_f64(),
        &reply["changed"][1]["worse"],
    );
    assert_eq!(found, (Some(figure + 1.0), Some(figure), &json!(false)));
    assert!(reply["sentence"].as_str().unwrap().contains("the reply was altered"), "{reply}");
    // What got better is no worse.
    earlier["checks"][place]["status"] = json!("over_limit");
    earlier["pool_area"]["value"] = json!(figure);
    let within = earlier["checks"]
        .as_array()
        .unwrap()
        .iter()
        .position(|check| check["status"] == "within_limit")
        .unwrap();
    earlier["checks"][within]["status"] = json!("over_limit");
    let reply = rechecked(&json!({ "reply": earlier })).await;
    assert_eq!((reply["same"].as_str(), &reply["changed"][0]["worse"]), (Some("no"), &json!(false)));
}

#[tokio::test]
async fn a_check_that_comes_or_goes_is_found_and_the_others_are_not_shifted() {
    let (_, earlier) = example("spill", "ethanol-bottle");
    let mut fewer = earlier.clone();
    let gone = fewer["checks"].as_array_mut().unwrap().remove(0);
    let reply = rechecked(&json!({ "reply": fewer })).await;
    assert_eq!(reply["same"], "no");
    assert!(pointers(&reply).iter().all(|pointer| pointer.starts_with("/checks/0/")), "{reply}");
    let over = gone["status"] != "within_limit";
    assert_eq!(reply["changed"][0]["worse"], over, "{reply}");
    let mut more = earlier.clone();
    let mut other = gone.clone();
    other["check"] = json!("another");
    more["checks"].as_array_mut().unwrap().insert(0, other);
    let reply = rechecked(&json!({ "reply": more })).await;
    assert!(pointers(&reply).iter().all(|pointer| pointer.starts_with("/checks/0/")), "{reply}");
    assert!(reply["changed"].as_array().unwrap().iter().all(|change| change.get("after").is_none()));
    // Texts and the order of checks are no figures.
    let mut turned = earlier.clone();
    turned["checks"].as_array_mut().unwrap().reverse();
    turned["sentence"] = json!("Another.");
    turned["cautions"] = json!([]);
    assert_eq!(rechecked(&json!({ "reply": turned })).await["same"], "yes");
}

#[tokio::test]
async fn what_a_record_alone_cannot_tell_is_not_known() {
    let (request, earlier) = example("spill", "ethanol-bottle");
    let with = |name: &str, value: &str| {
        let mut record = earlier["record"].clone();
        record[name] = json!(value);
        record
    };
    let nought = "0".repeat(64);
    let reply = rechecked(&json!({ "record": with("catalogue_version", &nought) })).await;
    assert_eq!(
        (&reply["same"], &reply["differs"], &reply["outcome"]),
        (&json!("not_known"), &json!(["catalogue"]), &earlier["outcome"])
    );
    assert_eq!(reply["changes"], json!([]), "the log does not tell builds of one version apart");
    let reply = rechecked(&json!({ "record": with("rules", &nought) })).await;
    assert_eq!((&reply["same"], &reply["differs"]), (&json!("not_known"), &json!(["rules"])));
    // With the reply the figures decide.
    let mut whole = earlier.clone();
    whole["record"] = with("catalogue_version", &nought);
    let reply = rechecked(&json!({ "reply": whole })).await;
    assert_eq!((&reply["same"], &reply["differs"]), (&json!("yes"), &json!(["catalogue"])));
    whole["outcome"] = json!("within_limit");
    let reply = rechecked(&json!({ "reply": whole })).await;
    assert_eq!((&reply["same"], &reply["changed"][0]["why"]), (&json!("no"), &json!(["catalogue"])));
    // A newer version, whose record may hold more.
    for newer in ["0.10.0", "1.0.0"] {
        let mut record = with("service_version", newer);
        record["more"] = json!(1);
        let reply = rechecked(&json!({ "record": record, "question": "spill", "request": request })).await;
        assert_eq!((&reply["same"], &reply["differs"]), (&json!("not_known"), &json!(["service_version"])));
        assert!(
            reply["sentence"].as_str().unwrap().contains(&format!("version {newer}, newer than this one")),
            "{reply}"
        );
    }
}

#[tokio::test]
async fn an_earlier_version_is_told_what_the_change_log_lists_for_its_question_and_liquid() {
    let record = |name: &str, case: &str| {
        let (_, earlier) = example(name, case);
        let mut record = earlier["record"].clone();
        record["service_version"] = json!("0.0.9");
        record
    };
    let listed: Value = reqwest::get(shared().url("/v1/changes")).await.unwrap().json().await.unwrap();
    let listed = listed["items"].as_array().unwrap();
    let spill = rechecked(&json!({ "record": record("spill", "ethanol-bottle") })).await;
    let changes = spill["changes"].as_array().unwrap();
    assert_eq!((&spill["same"], &spill["differs"]), (&json!("not_known"), &json!(["service_version"])));
    let concerns = |change: &&Value| change["questions"].as_array().unwrap().contains(&json!("spill"));
    let expected: Vec<&Value> =
        listed.iter().filter(concerns).filter(|change| change.get("substances").is_none()).collect();
    assert_eq!(changes.iter().collect::<Vec<_>>(), expected, "ethanol is in no list of substances");
    assert!(changes.len() > 10 && changes.len() < listed.len());
    let kinds = |reply: &Value| -> Vec<String> {
        let all = reply["changes"].as_array().unwrap().iter();
        all.map(|change| change["text"].as_str().unwrap().chars().take(12).collect()).collect()
    };
    assert!(kinds(&spill).iter().all(|text| !text.starts_with("`storage`")));
    let storage = rechecked(&json!({ "record": record("storage", "ether-on-a-warm-shelf") })).await;
    assert!(kinds(&storage).iter().any(|text| text.starts_with("`storage`")));
    // A substance that a point names.
    let url = shared().url("/v1/flash-point-margin");
    let asked = Client::new()
        .post(url)
        .json(&json!({ "liquid": "carbon disulfide", "room_temperature": "20 Cel" }))
        .send()
        .await
        .unwrap();
    let mut earlier: Value = asked.json().await.unwrap();
    earlier["record"]["service_version"] = json!("0.0.9");
    let reply = rechecked(&json!({ "reply": earlier })).await;
    let named = |change: &Value| {
        change["substances"].as_array().is_some_and(|ids| ids.contains(&json!("carbon-disulfide")))
    };
    assert_eq!(reply["changes"].as_array().unwrap().iter().filter(|change| named(change)).count(), 2);
    assert_eq!(reply["same"], "yes");
}

#[tokio::test]
async fn faults_of_what_is_sent_back_are_named_with_their_places() {
    let (request, earlier) = example("spill", "ethanol-bottle");
    let record = &earlier["record"];
    let mut short = record.clone();
    short.as_object_mut().unwrap().remove("request");
    let without = |value: &Value, name: &str| {
        let mut value = value.clone();
        value.as_object_mut().unwrap().remove(name);
        value
    };
    let with = |value: &Value, name: &str, new: Value| {
        let mut value = value.clone();
        value[name] = new;
        value
    };
    is(&refused(&json!({})).await, &[("missing-field", "/record"), ("missing-field", "/request")]);
    is(&refused(&json!([])).await, &[("wrong-type", "")]);
    is(&refused(&json!({ "question": "spill", "request": request })).await, &[("missing-field", "/record")]);
    is(
        &refused(&json!({ "record": without(record, "question_digest") })).await,
        &[("missing-field", "/record/question_digest")],
    );
    is(
        &refused(&json!({ "record": short })).await,
        &[("missing-field", "/question"), ("missing-field", "/request")],
    );
    for odd in [json!("abc"), json!("g".repeat(64)), json!("0".repeat(65)), json!(12), json!({})] {
        let found = refused(&json!({ "question": "spill", "request": request, "record": with(&short, "question_digest", odd) })).await;
        is(&found, &[("wrong-type", "/record/question_digest")]);
    }
    is(
        &refused(
            &json!({ "record": with(record, "service_version", json!("next")), "reply": 7, "extra": 1 }),
        )
        .await,
        &[("unknown-field", "/extra"), ("wrong-type", "/record/service_version"), ("wrong-type", "/reply")],
    );
    is(
        &refused(&json!({ "question": "spil", "request": request, "record": short })).await,
        &[("wrong-type", "/question")],
    );
    // Recheck is no question, so that nothing is nested.
    is(
        &refused(&json!({ "question": "recheck", "request": {}, "record": short })).await,
        &[("wrong-type", "/question")],
    );
    is(
        &refused(&json!({ "question": "exposure", "record": record })).await,
        &[("given-twice", "/record/request/question")],
    );
    // The recorded request was altered.
    let mut altered = record.clone();
    altered["request"]["amount"]["value"] = json!(400);
    is(&refused(&json!({ "record": altered })).await, &[("impossible-value", "/record/question_digest")]);
    // The request is another than the recorded one: what is stated otherwise is named.
    let mut other = request.clone();
    other["amount"] = json!("400 mL");
    is(
        &refused(&json!({ "question": "spill", "request": other, "record": record })).await,
        &[("given-twice", "/request/amount")],
    );
    is(
        &refused(&json!({ "question": "spill", "request": other, "record": short })).await,
        &[("given-twice", "/request")],
    );
    other["room"]["temperature"] = json!("25 Cel");
    let found = refused(&json!({ "question": "spill", "request": other, "record": with(record, "service_version", json!("0.0.9")) })).await;
    is(&found, &[("given-twice", "/request/amount"), ("given-twice", "/request/room/temperature")]);
    // The same asked in other words is the same.
    let mut same = request.clone();
    same["amount"] = json!({ "value": 0.5, "unit": "L" });
    assert_eq!(request["amount"], "500 mL");
    assert_eq!(
        rechecked(&json!({ "question": "spill", "request": same, "record": record })).await["same"],
        "yes"
    );
    // A reply of another question, and one that is not whole.
    let (_, exposure) = example("exposure", "two-vapours");
    let found =
        refused(&json!({ "question": "spill", "request": request, "record": short, "reply": exposure }))
            .await;
    is(
        &found,
        &[
            ("given-twice", "/reply/record/question_digest"),
            ("given-twice", "/reply/record/request/question"),
        ],
    );
    for odd in [json!([]), json!("reply"), json!(true)] {
        is(&refused(&json!({ "record": record, "reply": odd })).await, &[("wrong-type", "/reply")]);
    }
    is(
        &refused(&json!({ "record": record, "reply": {} })).await,
        &[
            ("missing-field", "/reply/checks"),
            ("missing-field", "/reply/outcome"),
            ("missing-field", "/reply/record"),
        ],
    );
    let found =
        refused(&json!({ "reply": with(&with(&earlier, "outcome", json!("green")), "checks", json!(1)) }))
            .await;
    is(&found, &[("wrong-type", "/reply/checks"), ("wrong-type", "/reply/outcome")]);
    // What today refuses, with every other fault.
    let odd = json!({ "liquid": "ethanole", "amount": 500, "room": { "volume": "190 m3" } });
    let found = refused(
        &json!({ "question": "spill", "request": odd, "record": without(&short, "rules"), "more": 1 }),
    )
    .await;
    is(
        &found,
        &[
            ("unknown-field", "/more"),
            ("missing-field", "/record/rules"),
            ("bare-number", "/request/amount"),
            ("unknown-substance", "/request/liquid"),
        ],
    );
}

#[tokio::test]
async fn a_relaxed_rule_is_asked_again_only_where_it_may_be() {
    let open = started(&["--allow-relaxed-rules"]);
    let request = json!({ "liquid": "ethanol", "room_temperature": "2 Cel", "rules": { "required_margin_pure": "2 K" }, "relaxed_by": { "role": "safety adviser", "reason": "measured" } });
    let asked = Client::new().post(open.url("/v1/flash-point-margin")).json(&request).send().await.unwrap();
    let earlier: Value = asked.json().await.unwrap();
    let body = json!({ "record": earlier["record"] });
    let (status, reply) = sent_to(open.url("/v1/recheck"), &body).await;
    assert_eq!((status, &reply["same"]), (200, &json!("yes")), "{reply}");
    is(&refused(&body).await, &[("relaxed-rule", "/record/request/rules/required_margin_pure")]);
}

#[tokio::test]
async fn giant_replies_are_bounded() {
    let (_, earlier) = example("spill", "ethanol-bottle");
    let with = |name: &str, value: Value| {
        let mut reply = earlier.clone();
        reply[name] = value;
        reply
    };
    // 100,000 figures that today's reply does not have; one status that got worse still stands first.
    let mut many = with("more", json!(vec![1; 100_000]));
    many["outcome"] = json!("within_limit");
    let reply = rechecked(&json!({ "reply": many })).await;
    assert_eq!((reply["changed"].as_array().unwrap().len(), &reply["more"]), (200, &json!(100_001 - 200)));
    assert_eq!(pointers(&reply)[0], "/outcome");
    let worse: Vec<Value> =
        (0..1000).map(|at| json!({ "id": format!("x{at}"), "status": "over_limit" })).collect();
    let reply = rechecked(&json!({ "reply": with("limits", json!(worse)) })).await;
    assert_eq!((reply["changed"].as_array().unwrap().len(), &reply["more"]), (200, &json!(1800)));
    // Long names and long words are not echoed whole.
    let long = "n".repeat(300_000);
    let reply = rechecked(&json!({ "reply": with(&long, json!(vec![1; 50_000])) })).await;
    assert_eq!(
        (&reply["changed"], &reply["more"], &reply["same"]),
        (&json!([]), &json!(50_000), &json!("no"))
    );
    let reply = rechecked(&json!({ "reply": with("word", json!(long)) })).await;
    assert_eq!(reply["changed"][0]["before"].as_str().unwrap().len(), 200);
    // Of another version what only today's reply has is no change, but for what a check says.
    let mut bare = earlier.clone();
    bare["record"]["catalogue_version"] = json!("0".repeat(64));
    bare.as_object_mut().unwrap().remove("pool_area");
    let reply = rechecked(&json!({ "reply": bare })).await;
    assert_eq!((&reply["same"], pointers(&reply)[0]), (&json!("no"), "/pool_area/high"));
    bare["record"]["service_version"] = json!("0.0.9");
    assert_eq!(rechecked(&json!({ "reply": bare })).await["same"], "yes");
    bare["checks"][0].as_object_mut().unwrap().remove("status");
    let reply = rechecked(&json!({ "reply": bare })).await;
    assert_eq!(
        (&reply["same"], pointers(&reply), &reply["changed"][0]["worse"]),
        (&json!("no"), vec!["/checks/0/status"], &json!(true))
    );
    // Null counts as absent, as everywhere.
    assert_eq!(rechecked(&json!({ "reply": with("word", Value::Null) })).await["same"], "yes");
    let mut deep = json!(1);
    for _ in 0..60 {
        deep = json!([deep]);
    }
    assert_eq!(rechecked(&json!({ "reply": with("deep", deep) })).await["same"], "no");
    let (status, problem) = sent_to(
        shared().url("/v1/recheck"),
        &json!({ "reply": with("word", json!("n".repeat(1024 * 1024))) }),
    )
    .await;
    assert_eq!((status, &problem["code"]), (413, &json!("too-large")));
}

#[tokio::test]
async fn recheck_is_posted_and_changes_are_read() {
    let reply = reqwest::get(shared().url("/v1/recheck")).await.unwrap();
    assert_eq!((reply.status().as_u16(), reply.headers()["allow"].to_str().unwrap()), (405, "POST"));
    let near: Value = reqwest::get(shared().url("/v1/rechek")).await.unwrap().json().await.unwrap();
    assert_eq!(near["errors"][0]["suggestion"], "/v1/recheck");
    let reply = reqwest::get(shared().url("/v1/changes")).await.unwrap();
    let tag = reply.headers()["etag"].to_str().unwrap().to_owned();
    assert!(tag.starts_with('"'), "{tag}");
    let list: Value = reply.json().await.unwrap();
    let points = include_str!("../../CHANGELOG.md").lines().filter(|line| line.starts_with("- **")).count();
    assert_eq!(list["items"].as_array().unwrap().len(), points);
    for item in list["items"].as_array().unwrap() {
        let text = item["text"].as_str().unwrap();
        assert!(
            !text.is_empty() && text == text.trim() && !item["questions"].as_array().unwrap().is_empty(),
            "{item}"
        );
        assert_eq!(item["version"], env!("CARGO_PKG_VERSION"), "only one version is listed so far");
    }
    let again =
        Client::new().get(shared().url("/v1/changes")).header("if-none-match", tag).send().await.unwrap();
    assert_eq!(again.status().as_u16(), 304);
}
