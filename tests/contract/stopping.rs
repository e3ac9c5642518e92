//! Draining: ready turns 503 while requests are still served, then the service ends.

use crate::server::started;
use reqwest::Client;
use std::time::Duration;

#[tokio::test]
async fn while_draining_it_is_not_ready_but_still_answers_and_then_it_ends() {
    let service = started(&["--drain-delay-ms", "700", "--shutdown-timeout-ms", "2000"]);
    let client = Client::builder().pool_max_idle_per_host(0).build().unwrap();
    assert_eq!(client.get(service.url("/readyz")).send().await.unwrap().status(), 200);
    let stopper = service.stopper.clone();
    let draining = tokio::spawn(async move { stopper.drain().await });
    tokio::time::sleep(Duration::from_millis(200)).await;
    assert_eq!(client.get(service.url("/readyz")).send().await.unwrap().status(), 503);
    assert_eq!(client.get(service.url("/healthz")).send().await.unwrap().status(), 200);
    let asked = client.get(service.url("/v1/flash-point-margin?liquid=ethanol")).send().await.unwrap();
    assert_eq!(asked.status(), 200);
    // Nobody is to ask again on a connection that is about to close.
    assert_eq!(asked.headers().get("connection").unwrap(), "close");
    draining.await.unwrap();
    assert!(client.get(service.url("/healthz")).send().await.is_err());
}
