//! The examples of the document are golden: the service answers them to the byte.

use crate::server::shared;
use brimline_openapi::document::EXAMPLES;
use reqwest::Client;

#[tokio::test]
async fn every_example_is_answered_to_the_byte() {
    let mut count = 0;
    for (question, examples) in EXAMPLES {
        for (case, request, reply) in *examples {
            let url = shared().url(&format!("/v1/{question}"));
            let found = Client::new()
                .post(url)
                .header("content-type", "application/json")
                .body(*request)
                .send()
                .await
                .unwrap();
            let found = found.text().await.unwrap();
            let same = found.trim_end() == reply.trim_end();
            assert!(same, "{question}/{case}: run `just examples` and read the difference");
            count += 1;
        }
    }
    assert!(count >= 4);
}
