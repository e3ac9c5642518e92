//! How often one caller may ask.

use crate::server::{Service, started};
use reqwest::{Client, Response};
use serde_json::Value;

async fn get(service: &Service, forwarded: &str) -> Response {
    let asked = Client::new().get(service.url("/v1/flash-point-margin?liquid=ethanol"));
    asked.header("x-forwarded-for", forwarded).send().await.unwrap()
}

fn header<'a>(reply: &'a Response, name: &str) -> &'a str {
    reply.headers().get(name).map_or("", |value| value.to_str().unwrap())
}

#[tokio::test]
async fn who_asks_more_often_than_he_may_is_told_when_to_come_again() {
    let service = started(&["--requests-per-second", "1", "--request-burst", "3"]);
    let first = get(&service, "").await;
    assert_eq!((first.status().as_u16(), header(&first, "ratelimit")), (200, "\"requests\";r=2"));
    assert_eq!(header(&first, "ratelimit-policy"), "\"requests\";q=3;w=3");
    let mut refused = None;
    // What the header says cannot be trusted: it makes no other caller.
    for number in 0..40 {
        let reply = get(&service, &format!("192.0.2.{number}")).await;
        if reply.status() == 429 {
            refused = Some(reply);
            break;
        }
    }
    let refused = refused.expect("forty in a few seconds are too many");
    assert_eq!(
        (header(&refused, "retry-after"), header(&refused, "ratelimit")),
        ("1", "\"requests\";r=0;t=1")
    );
    assert_eq!(header(&refused, "ratelimit-policy"), "\"requests\";q=3;w=3");
    assert_eq!(refused.json::<Value>().await.unwrap()["code"], "too-many-requests");
    for _ in 0..10 {
        let probe = Client::new().get(service.url("/healthz")).send().await.unwrap();
        assert_eq!(probe.status(), 200);
    }
    let metrics = Client::new().get(service.url("/metrics")).send().await.unwrap().text().await.unwrap();
    assert!(metrics.contains("brimline_shed_total{reason=\"rate\"} 1"), "{metrics}");
}

#[tokio::test]
async fn behind_a_proxy_that_is_trusted_the_last_forwarded_address_is_the_caller() {
    let service = started(&["--requests-per-second", "1", "--request-burst", "1", "--trust-forwarded-for"]);
    for number in 0..20 {
        assert_eq!(get(&service, &format!("198.51.100.9, 192.0.2.{number}")).await.status(), 200);
    }
    let mut refused = 0;
    for number in 0..20 {
        let reply = get(&service, &format!("192.0.2.{number}, 198.51.100.9")).await;
        refused += usize::from(reply.status() == 429);
    }
    assert!(refused > 0);
}

#[tokio::test]
async fn a_batch_counts_as_one_request_for_every_thousand_lines() {
    let service = started(&["--requests-per-second", "1", "--request-burst", "20"]);
    let batch = |lines: usize| {
        let asked =
            Client::new().post(service.url("/v1/batch")).header("content-type", "application/x-ndjson");
        asked.body("\n".repeat(lines)).send()
    };
    // The second one counts as ten: of twenty, 19 were left.
    for lines in [1000, 10_000] {
        let whole = batch(lines).await.unwrap();
        assert_eq!(whole.status(), 200);
        assert!(whole.text().await.unwrap().contains("\"end\":true"));
    }
    let refused = batch(25_000).await.unwrap();
    assert_eq!(refused.status(), 429);
    assert_eq!(refused.json::<Value>().await.unwrap()["code"], "too-many-requests");
    let plain = get(&service, "").await;
    let left: u32 = header(&plain, "ratelimit").rsplit('=').next().unwrap().parse().unwrap();
    assert!((5..20).contains(&left), "{left}");
}

#[tokio::test]
async fn the_largest_batch_can_be_asked_after_a_pause_however_small_the_rate() {
    for (rate, burst) in [("1", "1"), ("1", "2"), ("10", "20")] {
        let service = started(&["--requests-per-second", rate, "--request-burst", burst]);
        let asked =
            Client::new().post(service.url("/v1/batch")).header("content-type", "application/x-ndjson");
        let whole = asked.body("\n".repeat(25_000)).send().await.unwrap();
        assert_eq!(whole.status(), 200, "{rate} {burst}");
    }
}
