//! What is answered: questions by POST and GET, formats, caching, the catalogue, pages.

use crate::server::{shared, started};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use reqwest::header::{ACCEPT, HeaderMap};
use reqwest::{Client, Response, StatusCode};
use serde_json::{Value, json};
use sha2::{Digest as _, Sha256};

async fn get(path: &str) -> Response {
    Client::new().get(shared().url(path)).send().await.unwrap()
}

async fn post(question: &str, body: &Value) -> Response {
    Client::new().post(shared().url(&format!("/v1/{question}"))).json(body).send().await.unwrap()
}

fn header<'h>(headers: &'h HeaderMap, name: &str) -> &'h str {
    headers.get(name).map_or("", |value| value.to_str().unwrap())
}

#[tokio::test]
async fn post_get_and_the_whole_request_in_the_url_give_the_same_bytes() {
    let request = json!({ "liquid": "ethanol", "room": { "temperature": "21 Cel", "pressure": "100 kPa" } });
    let by_post = post("flash-point-margin", &request).await.text().await.unwrap();
    let by_get =
        get("/v1/flash-point-margin?liquid=64-17-5&room.temperature=69.8%20%5BdegF%5D&pressure=1+bar")
            .await
            .text()
            .await
            .unwrap();
    let whole: String = request.to_string().bytes().map(|byte| format!("%{byte:02x}")).collect();
    let by_json = get(&format!("/v1/flash-point-margin?request={whole}")).await.text().await.unwrap();
    assert_eq!(by_post, by_get);
    assert_eq!(by_post, by_json);
}

#[tokio::test]
async fn answers_to_get_can_be_cached_and_are_not_sent_twice() {
    let path = "/v1/vapour-pressure?liquid=ethanol&temperature=20%20Cel";
    let first = get(path).await;
    let headers = first.headers().clone();
    assert_eq!(header(&headers, "cache-control"), "public, max-age=300, must-revalidate");
    assert_eq!(header(&headers, "vary"), "Accept, Accept-Encoding");
    assert_eq!(header(&headers, "content-type"), "application/json");
    let tag = header(&headers, "etag").to_owned();
    assert!(tag.starts_with('"') && tag.len() == 34, "{tag}");
    let again = Client::new().get(shared().url(path)).header("if-none-match", &tag).send().await.unwrap();
    assert_eq!(again.status(), StatusCode::NOT_MODIFIED);
    assert_eq!(header(again.headers(), "etag"), tag);
    assert!(again.bytes().await.unwrap().is_empty());
    let csv = get(&format!("{path}&format=csv")).await;
    assert_ne!(header(csv.headers(), "etag"), tag);
    let head = Client::new().head(shared().url(path)).send().await.unwrap();
    assert_eq!((head.status(), header(head.headers(), "etag")), (StatusCode::OK, tag.as_str()));
}

#[tokio::test]
async fn a_series_can_be_had_as_comma_separated_text() {
    let client = Client::new();
    let url = shared().url("/v1/vapour-pressure?liquid=ethanol&from=0+Cel&to=40+Cel&step=20+K");
    let reply = client.get(url).header(ACCEPT, "text/csv").send().await.unwrap();
    assert_eq!(header(reply.headers(), "content-type"), "text/csv; charset=utf-8");
    let text = reply.text().await.unwrap();
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(lines.len(), 4);
    assert!(lines[0].starts_with("temperature.value [Cel],vapour_pressure.value [kPa]"));
    assert!(lines[0].ends_with(",outcome,complete"), "{}", lines[0]);
    assert!(lines[1..].iter().all(|row| row.ends_with(",no_limit_checked,true")), "{text}");
}

#[tokio::test]
async fn every_reply_carries_what_the_contract_promises() {
    for question in [
        "vapour-pressure",
        "flash-point-margin",
        "room-flammable-limit",
        "safe-fill",
        "storage",
        "comparison",
    ] {
        let reply: Value = post(question, &whole_request(question)).await.json().await.unwrap();
        for field in [
            "sentence",
            "outcome",
            "complete",
            if question == "comparison" { "rows" } else { "liquid" },
            "checks",
            "not_given",
            "considered",
            "not_considered",
            "assumptions",
            "methods",
            "sources",
            "cautions",
            "record",
        ] {
            assert!(reply.get(field).is_some(), "{question}: {field}");
        }
        let sentence = reply["sentence"].as_str().unwrap();
        assert!(!sentence.is_empty() && sentence.chars().count() <= 200, "{sentence}");
        assert_eq!(reply["cautions"].as_array().unwrap().last().unwrap()["id"], "defer");
        assert!(!reply.to_string().contains("null"), "{question}");
        let record = &reply["record"];
        let canonical = serde_json_canonicalizer::to_vec(&record["request"]).unwrap();
        let digest: String = <sha2::Sha256 as sha2::Digest>::digest(&canonical)
            .iter()
            .map(|byte| format!("{byte:02x}"))
            .collect();
        assert_eq!(record["question_digest"], digest, "{question}");
    }
}

#[tokio::test]
async fn figures_only_leaves_out_the_texts_and_keeps_the_ids() {
    let mut request = whole_request("safe-fill");
    let full: Value = post("safe-fill", &request).await.json().await.unwrap();
    request["detail"] = json!("figures");
    let figures: Value = post("safe-fill", &request).await.json().await.unwrap();
    assert!(figures["record"].get("request").is_none());
    assert_eq!(figures["record"]["question_digest"], full["record"]["question_digest"]);
    for list in ["assumptions", "methods", "sources", "cautions"] {
        let ids = |reply: &Value| {
            reply[list].as_array().unwrap().iter().map(|item| item["id"].clone()).collect::<Vec<_>>()
        };
        assert_eq!(ids(&figures), ids(&full), "{list}");
        assert!(figures[list].as_array().unwrap().iter().all(|item| item.get("text").is_none()
            && item.get("equation").is_none()
            && item.get("title").is_none()));
    }
    assert_eq!(figures["checks"], full["checks"]);
}

pub fn whole_request(question: &str) -> Value {
    let room = json!({ "volume": "190 m3", "temperature": "21 Cel", "pressure": "101.325 kPa", "air_changes": "3 /h", "floor_area": "70 m2" });
    match question {
        "vapour-pressure" => json!({ "liquid": "ethanol", "temperature": "21 Cel" }),
        "flash-point-margin" => {
            json!({ "liquid": "ethanol", "room_temperature": "21 Cel", "heated_by": "hot_plate", "surface_temperature": "80 Cel" })
        }
        "room-flammable-limit" => json!({ "liquid": "ethanol", "room": room, "released": "50 mL" }),
        "evaporation" => {
            json!({ "liquid": "ethanol", "room": room, "amount": "20 mL", "surface": { "diameter": "9 cm" }, "duration": "40 min", "heated_by": "water_bath", "surface_temperature": "60 Cel", "soaked": false })
        }
        "exposure" => {
            json!({ "liquid": "ethanol", "room": room, "source": { "amount": "20 mL", "surface": { "diameter": "9 cm" }, "heated_by": "steam_bath", "surface_temperature": "100 Cel" }, "duration": "40 min", "nearest_ignition": "3 m" })
        }
        "spill" => {
            json!({ "liquid": "ethanol", "room": room, "amount": "250 mL", "heated_by": "lamp", "surface_temperature": "120 Cel" })
        }
        "practical" => {
            json!({ "room": room, "people": { "nearest": "4 m" }, "steps": [
                { "do": "pour", "liquid": "ethanol", "amount": "6 mL", "vessel": { "capacity": "100 mL", "mouth_diameter": "7 cm" }, "vessels": 2 },
                { "do": "burn" },
            ], "ignition": [], "mat": true })
        }
        "burning" => {
            json!({ "liquid": "ethanol", "room": room, "amount": "6 mL", "vessel": { "capacity": "100 mL", "mouth_diameter": "7 cm" }, "nearest_person": "4 m" })
        }
        "cooling" => {
            json!({ "vessel": { "material": "borosilicate glass", "mass": "110 g" }, "start_temperature": "250 Cel", "room_temperature": "21 Cel" })
        }
        "comparison" => {
            json!({ "liquids": ["ethanol", "propan-2-ol", "hexane"], "room": room, "use": "open", "amount": "5 mL", "nearest_ignition": "3 m", "duration": "30 min" })
        }
        "storage" => {
            json!({ "liquid": "ethanol", "container": { "capacity": "1 L", "filled": "900 mL" }, "highest_temperature": "25 Cel", "beside": ["propanone", "oxidisers"], "held_in_room": "12 L", "nearest_ignition": "4 m", "place": "cupboard" })
        }
        _ => {
            json!({ "liquid": "ethanol", "room": room, "vessel": { "capacity": "100 mL", "mouth_diameter": "5 cm" }, "vessels": 6, "use": "open", "fill": "8 mL", "heated_by": "heating_mantle", "surface_temperature": "90 Cel" })
        }
    }
}

#[tokio::test]
async fn storage_names_what_it_is_kept_apart_from_how_it_charges_and_where_its_waste_goes() {
    let by_get = get("/v1/storage?liquid=ether&container.capacity=500+mL&highest_temperature=20+Cel&beside=oxidisers&beside=ethanol&spark_free=true&place=refrigerator&opened_for=2+weeks").await;
    assert_eq!(by_get.status(), StatusCode::OK);
    let reply: Value = by_get.json().await.unwrap();
    let apart = reply["keep_apart"].as_array().unwrap();
    assert_eq!(
        apart.iter().filter(|apart| apart["with"] == "oxidisers").count(),
        2,
        "the family and the neighbour"
    );
    assert!(
        apart.iter().all(|apart| apart["with"] != "ethanol" && apart["reason"].as_str().unwrap().len() > 10)
    );
    assert_eq!((&reply["peroxide_former"], &reply["static"]["conductivity"]), (&json!(true), &json!("low")));
    assert!(reply["peroxide_advice"].as_str().unwrap().contains("dryness"));
    assert!(
        reply["waste"]["advice"]
            .as_array()
            .unwrap()
            .iter()
            .any(|advice| advice.as_str().unwrap().contains("drain"))
    );
    let record = &reply["record"]["request"];
    assert_eq!((&record["beside"], &record["spark_free"]), (&json!(["oxidisers", "ethanol"]), &json!(true)));
    assert_eq!(record["opened_for"], json!({ "unit": "d", "value": 14 }));
    // What was recorded, asked back, is the same question.
    let mut recorded = record.clone();
    recorded.as_object_mut().unwrap().remove("question");
    let back: Value = post("storage", &recorded).await.json().await.unwrap();
    assert_eq!(back["record"]["question_digest"], reply["record"]["question_digest"]);
    assert_eq!(back["checks"], reply["checks"]);
}

#[tokio::test]
async fn a_comparison_is_a_table_with_an_order_its_reasons_and_what_has_no_place() {
    let by_get = get("/v1/comparison?liquids=ethanol&liquids=propan-2-ol&liquids=hexane&liquids=limonene&liquids=benzene&use=open&amount=5+mL&room.volume=190+m3&room.temperature=21+Cel&nearest_ignition=3+m&duration=30+min").await;
    assert_eq!(by_get.status(), StatusCode::OK);
    let reply: Value = by_get.json().await.unwrap();
    let names = |step: &Value| step["liquids"].as_array().unwrap().clone();
    let order = reply["order"].as_array().unwrap();
    assert_eq!(reply["rows"].as_array().unwrap().len(), 5);
    assert_eq!(reply["checks"].as_array().unwrap().len(), 5, "one that decides for each");
    assert_eq!(names(&order[0]), [json!("ethanol"), json!("propan-2-ol")]);
    assert!(order[0].get("criterion").is_none());
    assert_eq!((&names(&order[1])[0], &order[1]["criterion"]), (&json!("hexane"), &json!("health")));
    assert_eq!(
        (&names(&order[2])[0], &order[2]["criterion"]),
        (&json!("benzene"), &json!("not_for_school_use"))
    );
    assert!(order.iter().all(|step| !step["reason"].as_str().unwrap().is_empty()));
    assert_eq!(reply["not_compared"][0]["liquid"], "limonene");
    assert!(reply["not_compared"][0]["reason"].as_str().unwrap().contains("exposure limit"));
    let dominated = reply["dominated"].as_array().unwrap();
    assert!(dominated.iter().any(|one| one["liquid"] == "hexane" && one["by"] == "ethanol"));
    assert!(dominated.iter().all(|one| one["liquid"] != "limonene" && one["by"] != "limonene"));
    assert!(reply["sentence"].as_str().unwrap().contains("Fitness is not judged"));
    assert!(reply["not_considered"].as_array().unwrap().iter().any(|one| one["id"] == "fitness"));
    assert_eq!((&reply["outcome"], &reply["complete"]), (&json!("over_limit"), &json!(false)));
    for check in reply["checks"].as_array().unwrap() {
        let text = check["basis"]["text"].as_str().unwrap();
        assert!(
            reply["rows"]
                .as_array()
                .unwrap()
                .iter()
                .any(|row| text.starts_with(row["name"].as_str().unwrap()))
        );
    }
    // What was recorded, asked back, is the same question.
    let mut recorded = reply["record"]["request"].clone();
    recorded.as_object_mut().unwrap().remove("question");
    let back: Value = post("comparison", &recorded).await.json().await.unwrap();
    assert_eq!(back["record"]["question_digest"], reply["record"]["question_digest"]);
    for part in ["checks", "rows", "order", "dominated", "not_compared"] {
        assert_eq!(back[part], reply[part], "{part}");
    }
    let table = post("comparison?format=csv", &recorded).await.text().await.unwrap();
    let lines: Vec<&str> = table.lines().collect();
    assert_eq!(lines.len(), 6);
    assert!(
        lines[0]
            .starts_with("liquid,outcome,governed_by,liquid_temperature.value [Cel],flash_point.value [Cel]")
    );
    assert!(lines[3].starts_with("hexane,within_limit,"), "{}", lines[3]);
    assert!(lines[0].ends_with(",complete"), "{}", lines[0]);
    assert!(lines[1..].iter().all(|row| row.ends_with(&format!(",{}", reply["complete"]))), "{table}");
}

#[tokio::test]
async fn pictures_are_drawn_without_scripts_or_what_lies_outside() {
    let drawn = |path: &'static str| async move {
        let reply =
            Client::new().get(shared().url(path)).header(ACCEPT, "image/svg+xml").send().await.unwrap();
        assert_eq!(reply.status(), StatusCode::OK, "{path}");
        assert_eq!(header(reply.headers(), "content-type"), "image/svg+xml");
        assert!(!header(reply.headers(), "etag").is_empty());
        let text = reply.text().await.unwrap();
        assert!(
            text.starts_with("<svg ")
                && text.ends_with("</svg>")
                && text.contains("<title id=\"picture-title\">"),
            "{text}"
        );
        for outside in ["<script", "href", "url(http", "NaN", "inf"] {
            assert!(!text.contains(outside), "{path}: {outside}");
        }
        text
    };
    let room = drawn("/v1/room-flammable-limit?liquid=propanone&room.volume=180%20m3&room.temperature=20%20Cel&room.air_changes=2%20/h&released=300%20mL&surface.diameter=20%20cm").await;
    for name in
        ["near the liquid", "layer on the floor", "evenly mixed", "lower flammable limit", "a quarter of it"]
    {
        assert!(room.contains(name), "{name}");
    }
    let fill = drawn("/v1/safe-fill?liquid=ethanol&room.volume=180%20m3&room.temperature=20%20Cel&vessel.capacity=100%20mL&vessel.mouth_diameter=5%20cm&vessels=6&use=open").await;
    assert!(fill.contains("what the nearest person breathes") && fill.contains("url(#h)"));
    // Nothing is released: there is nothing to draw.
    let nothing = get("/v1/room-flammable-limit?liquid=propanone&room.volume=180%20m3&format=svg").await;
    assert_eq!(nothing.status(), StatusCode::NOT_ACCEPTABLE);
}

#[tokio::test]
async fn the_catalogue_is_listed_searched_and_paged() {
    let page: Value = get("/v1/substances?limit=100").await.json().await.unwrap();
    assert_eq!(page["items"].as_array().unwrap().len(), 100);
    let next = page["next"].as_str().unwrap();
    let rest: Value = get(&format!("/v1/substances?limit=100&after={}", next.replace(',', "%2C")))
        .await
        .json()
        .await
        .unwrap();
    assert_eq!(rest["items"].as_array().unwrap().len(), 19);
    assert!(rest.get("next").is_none());
    for (text, id) in [
        ("acetone", "propanone"),
        ("IPA", "propan-2-ol"),
        ("ether", "ethoxyethane"),
        ("67-56-1", "methanol"),
        ("ethyl acetate", "ethyl-ethanoate"),
    ] {
        let found: Value =
            get(&format!("/v1/substances?search={}", text.replace(' ', "+"))).await.json().await.unwrap();
        assert_eq!(found["items"][0]["id"], id, "{text}");
    }
    let burns: Value = get("/v1/substances?flammable=false").await.json().await.unwrap();
    let ids: Vec<&str> =
        burns["items"].as_array().unwrap().iter().filter_map(|item| item["id"].as_str()).collect();
    assert_eq!(ids, ["tetrachloroethene", "tetrachloromethane", "trichloromethane", "water"]);
    let csv = get("/v1/substances?format=csv&limit=2").await;
    assert!(header(csv.headers(), "link").contains("rel=\"next\""));
    assert!(csv.text().await.unwrap().starts_with("id,name,cas,formula,flammable,"));
    let one: Value = get("/v1/substances/acetone").await.json().await.unwrap();
    assert_eq!(one["id"], "propanone");
    assert_eq!(one["data"]["flash_point"]["unit"], "Cel");
    for path in ["/v1/mixtures", "/v1/rules", "/v1/changes", "/v1/units"] {
        let list: Value = get(path).await.json().await.unwrap();
        assert!(list["items"].as_array().unwrap().len() > 10, "{path}");
    }
}

#[tokio::test]
async fn a_substance_not_for_school_use_is_answered_with_figures_and_over_its_limit() {
    for question in ["vapour-pressure", "flash-point-margin", "room-flammable-limit", "safe-fill", "storage"]
    {
        for liquid in [
            "benzene",
            "nitrobenzene",
            "carbon tetrachloride",
            "79-01-6",
            "ethylene dichloride",
            "nitromethane",
            "carbon disulphide",
        ] {
            let mut request = whole_request(question);
            request["liquid"] = liquid.into();
            let reply = post(question, &request).await;
            assert_eq!(reply.status(), 200, "{question} {liquid}");
            let reply: Value = reply.json().await.unwrap();
            assert_eq!(reply["outcome"], "over_limit", "{question} {liquid}");
            assert_eq!(reply["checks"][0]["check"], "not_for_school_use");
            assert!(
                reply["sentence"].as_str().unwrap().contains("not for school use"),
                "{question} {liquid}"
            );
            assert!(reply["checks"].as_array().unwrap().iter().all(|check| check.get("remedy").is_none()));
        }
    }
}

#[tokio::test]
async fn liquids_that_do_not_burn_are_answered_with_the_evidence() {
    for liquid in [
        r#""water""#,
        r#"{"mixture": [{"substance": "water", "quantity": "1 L"}]}"#,
        r#"{"mixture": [{"substance": "water", "quantity": "90 mL"}, {"substance": "trichloromethane", "quantity": "10 mL"}]}"#,
    ] {
        let liquid: Value = serde_json::from_str(liquid).unwrap();
        let reply = post("flash-point-margin", &json!({ "liquid": liquid })).await;
        let status = reply.status();
        let reply: Value = reply.json().await.unwrap();
        assert_eq!(
            (status.as_u16(), reply["headspace"]["condition"].as_str().unwrap()),
            (200, "not_flammable"),
            "{liquid}"
        );
        assert_eq!(reply["outcome"], "no_limit_checked");
        assert_eq!(reply["not_given"][0]["pointer"], "/flash_point");
        assert!(reply["not_given"][0]["reason"].as_str().unwrap().contains("not burn"));
    }
}

#[tokio::test]
async fn what_a_technician_says_is_found_and_what_is_ambiguous_lists_what_it_could_be() {
    // Names as people use them: common practice, no source.
    for (said, id) in [
        ("IPA", "propan-2-ol"),
        ("ether", "ethoxyethane"),
        ("acetone", "propanone"),
        ("isopropanol", "propan-2-ol"),
        ("ethyl acetate", "ethyl-ethanoate"),
        ("CSCZHCXWQZBTLE-UHFFFAOYSA-N", ""),
        ("LFQSCWFLJHTTHZ-UHFFFAOYSA-N", "ethanol"),
    ] {
        let reply = get(&format!("/v1/substances/{}", said.replace(' ', "%20"))).await;
        if id.is_empty() {
            assert_eq!(reply.status(), 404, "{said}");
            continue;
        }
        let found: Value = reply.json().await.unwrap();
        assert_eq!(found["id"], id, "{said}");
    }
    let asked = json!({ "liquid": "spirit", "room_temperature": "20 Cel" });
    let refusal: Value = post("flash-point-margin", &asked).await.json().await.unwrap();
    let detail = refusal["errors"][0]["detail"].as_str().unwrap();
    for meant in ["denatured alcohol", "white spirit", "petroleum spirit"] {
        assert!(detail.contains(meant), "{detail}");
    }
    let misspelt = json!({ "liquid": "propanon", "room_temperature": "20 Cel" });
    let refusal: Value = post("flash-point-margin", &misspelt).await.json().await.unwrap();
    assert_eq!(refusal["errors"][0]["suggestion"], "propanone");
}

#[tokio::test]
async fn pages_and_probes_answer_and_load_nothing_from_outside() {
    for path in [
        "/docs",
        "/docs/",
        "/problems",
        "/problems/unit-mismatch",
        "/docs/substances",
        "/docs/substances/acetone",
        "/docs/substances/benzene",
        "/docs/methods",
        "/docs/methods/film_evaporation",
    ] {
        let reply = get(path).await;
        assert_eq!(reply.status(), StatusCode::OK, "{path}");
        let policy = header(reply.headers(), "content-security-policy").to_owned();
        assert!(
            policy.starts_with("default-src 'none'; frame-ancestors 'none'; style-src 'sha256-"),
            "{policy}"
        );
        assert!(!policy.contains("unsafe"), "{policy}");
        assert_eq!(header(reply.headers(), "referrer-policy"), "no-referrer");
        let text = reply.text().await.unwrap();
        for outside in ["src=", "href=\"http", "@import"] {
            assert!(!text.contains(outside), "{path}: {outside}");
        }
        // The reference runs its own script, known by its hash, which may ask this service alone.
        let script = text.split_once("<script>").map(|(_, rest)| rest.split_once("</script>").unwrap().0);
        assert_eq!(script.is_some(), path.trim_end_matches('/') == "/docs", "{path}");
        let allowed = script.map(|script| {
            format!("; script-src 'sha256-{}'; connect-src 'self'", STANDARD.encode(Sha256::digest(script)))
        });
        assert_eq!(policy.find("; script-src").map(|at| policy[at..].to_owned()), allowed, "{path}");
    }
    for path in ["/healthz", "/readyz", "/metrics", "/openapi.json", "/openapi-3.0.json"] {
        assert_eq!(get(path).await.status(), StatusCode::OK, "{path}");
    }
    post("flash-point-margin", &whole_request("flash-point-margin")).await;
    let metrics = get("/metrics").await.text().await.unwrap();
    assert!(
        metrics.contains("brimline_answers_total{outcome=\"over_limit\",question=\"flash-point-margin\"}"),
        "{metrics}"
    );
    // Of the process, where the system tells them.
    #[cfg(target_os = "linux")]
    for name in ["resident_memory_bytes", "cpu_seconds_total", "open_fds", "start_time_seconds"] {
        assert!(metrics.contains(&format!("\nprocess_{name} ")), "{name}");
    }
}

#[tokio::test]
async fn a_request_id_is_echoed_or_made() {
    let reply =
        Client::new().get(shared().url("/healthz")).header("x-request-id", "lesson-7").send().await.unwrap();
    assert_eq!(header(reply.headers(), "x-request-id"), "lesson-7");
    let made = Client::new()
        .get(shared().url("/healthz"))
        .header("x-request-id", "not allowed!")
        .send()
        .await
        .unwrap();
    assert_eq!(header(made.headers(), "x-request-id").len(), 16);
}

#[tokio::test]
async fn a_rule_is_made_stricter_freely_and_laxer_only_where_it_is_allowed() {
    let stricter = json!({ "liquid": "butan-1-ol", "room_temperature": "20 Cel", "rules": { "required_margin_pure": "14 K" } });
    let reply: Value = post("flash-point-margin", &stricter).await.json().await.unwrap();
    assert_eq!((&reply["outcome"], &reply["required_margin"]["value"]), (&json!("over_limit"), &json!(14.0)));
    // A replaced rule is said in the sentence and among the cautions, and each rule says who may replace it.
    assert!(reply["sentence"].as_str().unwrap().starts_with("With stricter rules:"), "{reply}");
    let cautions = reply["cautions"].as_array().unwrap();
    let said = cautions.iter().find(|caution| caution["id"] == "replaced_rules").expect("it is said");
    assert!(said["text"].as_str().unwrap().contains("required_margin_pure 14 K"), "{said}");
    let rules: Value = get("/v1/rules").await.json().await.unwrap();
    for rule in rules["items"].as_array().unwrap() {
        assert!(rule["seen"].is_string() && rule["may_be_replaced"].is_string(), "{rule}");
    }
    let open = started(&["--allow-relaxed-rules"]);
    let laxer = json!({ "liquid": "butan-1-ol", "room_temperature": "20 Cel", "rules": { "required_margin_pure": "1 K" }, "relaxed_by": { "role": "safety adviser", "reason": "fume cupboard" } });
    let reply = Client::new().post(open.url("/v1/flash-point-margin")).json(&laxer).send().await.unwrap();
    let reply: Value = reply.json().await.unwrap();
    assert!(reply["sentence"].as_str().unwrap().starts_with("With relaxed limits:"), "{reply}");
    assert_eq!(reply["record"]["request"]["relaxed_by"]["role"], "safety adviser");
}

#[tokio::test]
async fn browsers_may_ask_only_from_origins_that_were_named() {
    let open = started(&["--allow-origin", "https://plan.ottermoor.example"]);
    let ask =
        |origin: &str| Client::new().get(open.url("/v1/rules")).header("origin", origin.to_owned()).send();
    let named = ask("https://plan.ottermoor.example").await.unwrap();
    assert_eq!(header(named.headers(), "access-control-allow-origin"), "https://plan.ottermoor.example");
    let other = ask("https://elsewhere.example").await.unwrap();
    assert_eq!(header(other.headers(), "access-control-allow-origin"), "");
}
