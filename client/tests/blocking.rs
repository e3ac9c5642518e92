//! The blocking client gives the same answers, and an error where it would hold up a runtime.

use brimline_client::batch::Line;
use brimline_client::blocking::Client;
use brimline_client::{Error, Retry};
use serde_json::json;
use std::sync::mpsc::channel;
use wiremock::matchers::path;
use wiremock::{Mock, MockServer, ResponseTemplate};

/// A server in a thread of its own, as for a program without a runtime.
fn served() -> String {
    let (sender, receiver) = channel();
    std::thread::spawn(move || {
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
        runtime.block_on(async {
            let server = MockServer::start().await;
            let rules = ResponseTemplate::new(200).set_body_json(json!({"items": []}));
            Mock::given(path("/v1/rules")).respond_with(rules).mount(&server).await;
            let lines =
                "{\"line\":1,\"ref\":1,\"answer\":{\"outcome\":\"within_limit\",\"sentence\":\"\"}}\n";
            let lines = ResponseTemplate::new(200).set_body_raw(lines, "application/x-ndjson");
            Mock::given(path("/v1/batch")).respond_with(lines).mount(&server).await;
            sender.send(server.uri()).unwrap();
            std::future::pending::<()>().await;
        });
    });
    receiver.recv().unwrap()
}

#[test]
fn it_answers_without_a_runtime() {
    let client = Client::new(&served()).unwrap();
    assert!(client.rules().unwrap().items.is_empty());
    // From several threads at once.
    let threads: Vec<_> = (0..4)
        .map(|_| {
            let client = client.clone();
            std::thread::spawn(move || client.rules().map(|rules| rules.items.len()))
        })
        .collect();
    for thread in threads {
        assert_eq!(thread.join().unwrap().unwrap(), 0);
    }
    let line = |number| Line::json(number, "spill", &json!({})).unwrap();
    let answers: Vec<_> = client.retrying(Retry::never()).batch([line(1), line(2)]).collect();
    assert_eq!(answers.len(), 2);
    assert_eq!(answers[0].as_ref().unwrap().reference, 1);
    assert!(matches!(answers[1], Err(Error::Incomplete { answered: 1, .. })));
}

#[test]
fn inside_a_runtime_it_is_an_error_and_no_panic() {
    let client = Client::new("http://127.0.0.1:9").unwrap();
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
    runtime.block_on(async move {
        assert!(matches!(Client::new("http://127.0.0.1:9"), Err(Error::InsideRuntime)));
        let why = client.rules().unwrap_err();
        assert!(why.to_string().starts_with("the blocking client cannot be used inside"), "{why}");
        let mut answers = client.batch([]);
        assert!(matches!(answers.next(), Some(Err(Error::InsideRuntime))));
        // Dropped here, which a bare runtime does not bear.
        drop(answers);
        drop(client);
    });
}
