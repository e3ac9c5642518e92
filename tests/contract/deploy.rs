//! What `deploy/` watches is there to be watched.

use crate::server::started;
use reqwest::Client;
use serde_json::Value;
use std::collections::BTreeSet;
use std::fs;

/// Of whoever asks `/metrics`, not of the service.
const OF_THE_WATCHER: &str = "up";

fn file(name: &str) -> String {
    fs::read_to_string(format!("{}/../deploy/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap()
}

/// Names of metrics in expressions: what begins as the service's metrics do, or stands before a `{`.
fn named(text: &str) -> BTreeSet<String> {
    let word = |c: char| c.is_ascii_alphanumeric() || c == '_' || c == ':';
    text.split_inclusive(|c| !word(c))
        .filter_map(|part| {
            let name = part.trim_end_matches(|c| !word(c));
            let metric = name.starts_with("brimline_") || name.starts_with("process_") || part.ends_with('{');
            (metric && !name.is_empty() && name != OF_THE_WATCHER).then(|| name.to_owned())
        })
        .collect()
}

/// The expressions of the dashboard's panels.
fn expressions(dashboard: &Value) -> String {
    let targets = dashboard["panels"].as_array().unwrap().iter().flat_map(|panel| {
        let targets = panel["targets"].as_array().unwrap();
        assert!(!targets.is_empty(), "{}", panel["title"]);
        targets.iter().map(|target| target["expr"].as_str().unwrap())
    });
    targets.collect::<Vec<_>>().join("\n")
}

/// The lines of rules that hold expressions: neither comments nor what people read.
fn rules(text: &str) -> String {
    let prose = |line: &&str| {
        let line = line.trim_start();
        !["#", "summary:", "action:", "- alert:", "- record:"].iter().any(|start| line.starts_with(start))
            && !line.starts_with("labels:")
    };
    text.lines().filter(prose).collect::<Vec<_>>().join("\n")
}

/// Every metric, label and value of `/metrics` after some requests.
async fn exported() -> String {
    let service = started(&[]);
    let client = Client::new();
    let good = r#"{"question":"flash-point-margin","request":{"liquid":"ethanol"}}"#;
    client.get(service.url("/v1/flash-point-margin?liquid=ethanol")).send().await.unwrap();
    let batch = client.post(service.url("/v1/batch")).header("content-type", "application/x-ndjson");
    let told = batch.body(format!("{good}\nnonsense\n")).send().await.unwrap().text().await.unwrap();
    assert!(told.contains(r#""refused":1"#), "{told}");
    client.get(service.url("/metrics")).send().await.unwrap().text().await.unwrap()
}

#[tokio::test]
async fn every_metric_that_is_alerted_on_or_shown_is_exported() {
    let metrics = exported().await;
    let exported: BTreeSet<&str> = metrics
        .lines()
        .filter(|line| !line.starts_with('#'))
        .filter_map(|line| line.split(['{', ' ']).next())
        .collect();
    let alerted = named(&rules(&file("alerts.yaml")));
    let shown = named(&expressions(&serde_json::from_str(&file("dashboard.json")).unwrap()));
    assert!(alerted.len() >= 4 && shown.len() >= 6, "{alerted:?} {shown:?}");
    for name in alerted.union(&shown) {
        // What the rules themselves record has a colon.
        assert!(name.contains(':') || exported.contains(name.as_str()), "{name} is not exported");
    }
}

/// Names of labels in expressions: what stands between a bracket or comma and an operator with a quote.
fn labels(text: &str) -> BTreeSet<&str> {
    text.split(['{', ','])
        .filter_map(|part| part.split_once('"'))
        .filter_map(|(before, _)| before.trim().strip_suffix(['=', '~']))
        .map(|label| label.trim_end_matches(['=', '!']))
        .collect()
}

#[tokio::test]
async fn every_label_that_is_asked_for_is_exported() {
    let metrics = exported().await;
    let dashboard = expressions(&serde_json::from_str(&file("dashboard.json")).unwrap());
    let all = format!("{}\n{dashboard}", rules(&file("alerts.yaml")));
    let labels = labels(&all);
    assert!(labels.contains("status") && labels.contains("question"), "{labels:?}");
    for label in labels.into_iter().filter(|label| *label != "job") {
        assert!(metrics.contains(&format!("{label}=\"")), "{label} is not exported");
    }
}
