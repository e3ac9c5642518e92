//! Content codings: replies in gzip and zstd with tags of their own, coded bodies, bombs, broken data.

use crate::server::shared;
use reqwest::{Client, RequestBuilder, Response};
use serde_json::Value;
use std::io::{Read as _, Write as _};

const QUESTION: &str = r#"{"liquid": "ethanol", "room_temperature": "21 Cel"}"#;
const JSON: &str = "application/json";
const NDJSON: &str = "application/x-ndjson";

fn packed(coding: &str, text: &[u8]) -> Vec<u8> {
    match coding {
        "gzip" => {
            let mut encoder = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
            encoder.write_all(text).unwrap();
            encoder.finish().unwrap()
        }
        "zstd" => zstd::encode_all(text, 1).unwrap(),
        _ => text.to_vec(),
    }
}

fn unpacked(coding: &str, body: &[u8]) -> Vec<u8> {
    let mut out = Vec::new();
    match coding {
        "gzip" => {
            flate2::read::GzDecoder::new(body).read_to_end(&mut out).unwrap();
        }
        "zstd" => out = zstd::decode_all(body).unwrap(),
        _ => out.extend_from_slice(body),
    }
    out
}

fn header<'a>(reply: &'a Response, name: &str) -> &'a str {
    reply.headers().get(name).map_or("", |value| value.to_str().unwrap())
}

fn get(path: &str) -> RequestBuilder {
    Client::new().get(shared().url(path))
}

async fn post(path: &str, kind: &str, coding: &str, body: Vec<u8>) -> Response {
    let asked = Client::new().post(shared().url(path)).header("content-type", kind);
    asked.header("content-encoding", coding).body(body).send().await.unwrap()
}

async fn code(reply: Response) -> (u16, String) {
    let status = reply.status().as_u16();
    let problem: Value = reply.json().await.unwrap();
    (status, problem["code"].as_str().unwrap().to_owned())
}

#[tokio::test]
async fn what_is_read_comes_in_the_coding_that_is_wanted_with_a_tag_of_its_own() {
    for path in
        ["/v1/flash-point-margin?liquid=ethanol", "/v1/rules", "/docs", "/openapi.json", "/openapi-3.0.json"]
    {
        let plain = get(path).send().await.unwrap();
        assert_eq!(
            (header(&plain, "content-encoding"), header(&plain, "vary")),
            ("", "Accept, Accept-Encoding")
        );
        let mut tags = vec![header(&plain, "etag").to_owned()];
        let text = plain.bytes().await.unwrap();
        for coding in ["gzip", "zstd"] {
            let coded = get(path).header("accept-encoding", coding).send().await.unwrap();
            assert_eq!(
                (coded.status().as_u16(), header(&coded, "content-encoding")),
                (200, coding),
                "{path}"
            );
            assert_eq!(header(&coded, "vary"), "Accept, Accept-Encoding");
            let (tag, length) =
                (header(&coded, "etag").to_owned(), header(&coded, "content-length").to_owned());
            let body = coded.bytes().await.unwrap();
            assert!(body.len() * 4 < text.len() * 3, "{path} {coding}: {} of {}", body.len(), text.len());
            assert_eq!(unpacked(coding, &body), text, "{path} {coding}");
            let again =
                get(path).header("accept-encoding", coding).header("if-none-match", &tag).send().await;
            let again = again.unwrap();
            assert_eq!(
                (again.status().as_u16(), header(&again, "etag")),
                (304, tag.as_str()),
                "{path} {coding}"
            );
            let head = Client::new().head(shared().url(path)).header("accept-encoding", coding).send().await;
            assert_eq!(header(&head.unwrap(), "content-length"), length, "{path} {coding}");
            tags.push(tag);
        }
        // What one coding has is no copy of another.
        let other =
            get(path).header("accept-encoding", "zstd").header("if-none-match", &tags[1]).send().await;
        assert_eq!(other.unwrap().status(), 200);
        tags.sort();
        tags.dedup();
        assert_eq!(tags.len(), 3, "{path}: {tags:?}");
    }
}

#[tokio::test]
async fn who_takes_no_coding_that_there_is_hears_which_ones_there_are() {
    let reply = get("/v1/rules").header("accept-encoding", "br, identity;q=0").send().await.unwrap();
    assert_eq!(reply.status(), 406);
    let problem: Value = reply.json().await.unwrap();
    assert!(problem["detail"].as_str().unwrap().contains("gzip, zstd, identity"), "{problem}");
}

#[tokio::test]
async fn a_question_is_read_and_answered_in_any_coding_with_the_same_bytes() {
    let plain =
        post("/v1/flash-point-margin", JSON, "identity", QUESTION.into()).await.bytes().await.unwrap();
    for coding in ["gzip", "zstd"] {
        let body = packed(coding, QUESTION.as_bytes());
        assert_eq!(post("/v1/flash-point-margin", JSON, coding, body).await.bytes().await.unwrap(), plain);
        let asked = Client::new().post(shared().url("/v1/flash-point-margin")).header("content-type", JSON);
        let reply = asked.header("accept-encoding", coding).body(QUESTION).send().await.unwrap();
        assert_eq!(
            (header(&reply, "content-encoding"), header(&reply, "vary")),
            (coding, "Accept, Accept-Encoding")
        );
        assert_eq!(unpacked(coding, &reply.bytes().await.unwrap()), plain);
    }
}

#[tokio::test]
async fn a_coded_batch_is_answered_line_by_line_and_packed_part_by_part() {
    let line = format!("{{\"question\":\"flash-point-margin\",\"request\":{QUESTION}}}\n");
    let text = line.repeat(2000);
    let plain = post("/v1/batch", NDJSON, "identity", text.clone().into()).await.bytes().await.unwrap();
    for coding in ["gzip", "zstd"] {
        let asked = Client::new().post(shared().url("/v1/batch")).header("content-type", NDJSON);
        let asked = asked.header("accept-encoding", coding).header("content-encoding", coding);
        let mut reply = asked.body(packed(coding, text.as_bytes())).send().await.unwrap();
        assert_eq!((reply.status().as_u16(), header(&reply, "content-encoding")), (200, coding));
        let mut body = Vec::new();
        let mut early = None;
        while let Some(chunk) = reply.chunk().await.unwrap() {
            body.extend_from_slice(&chunk);
            // What has come so far can be read so far: lines are not held back by the packing.
            early.get_or_insert_with(|| {
                let mut out = vec![0; 100];
                match coding {
                    "gzip" => flate2::read::GzDecoder::new(&body[..]).read_exact(&mut out).unwrap(),
                    _ => zstd::Decoder::new(&body[..]).unwrap().read_exact(&mut out).unwrap(),
                }
                out
            });
        }
        assert_eq!(early.unwrap(), plain[..100]);
        assert_eq!(unpacked(coding, &body), plain);
    }
}

#[tokio::test]
async fn a_bomb_is_too_large_and_harms_nobody() {
    let zeros = vec![0; 64 * 1024 * 1024];
    for coding in ["gzip", "zstd"] {
        let bomb = packed(coding, &zeros);
        assert!(bomb.len() < 512 * 1024);
        let refused = post("/v1/flash-point-margin", JSON, coding, bomb.clone()).await;
        assert_eq!(code(refused).await, (413, "too-large".to_owned()));
        let refused = post("/v1/batch", NDJSON, coding, bomb).await;
        assert_eq!(code(refused).await, (413, "too-large".to_owned()));
        // The bound counts what comes out: just below it is read.
        let mut allowed = QUESTION.as_bytes().to_vec();
        allowed.resize(1024 * 1024, b' ');
        let answered = post("/v1/flash-point-margin", JSON, coding, packed(coding, &allowed)).await;
        assert_eq!(answered.status(), 200);
        allowed.push(b' ');
        let refused = post("/v1/flash-point-margin", JSON, coding, packed(coding, &allowed)).await;
        assert_eq!(refused.status(), 413);
    }
    assert_eq!(get("/healthz").send().await.unwrap().status(), 200);
}

#[tokio::test]
async fn broken_codings_and_unknown_ones_are_refused_with_what_is_read() {
    for path in ["/v1/flash-point-margin", "/v1/batch", "/v1/recheck"] {
        let kind = if path == "/v1/batch" { NDJSON } else { JSON };
        for coding in ["gzip", "zstd"] {
            let whole = packed(coding, QUESTION.as_bytes());
            for broken in [&whole[..whole.len() - 3], &[&whole[..], b"more"].concat(), QUESTION.as_bytes()] {
                let reply = post(path, kind, coding, broken.to_vec()).await;
                assert_eq!(code(reply).await, (400, "not-decoded".to_owned()), "{path} {coding}");
            }
        }
        for coding in ["br", "deflate", "gzip, zstd", "identity, gzip"] {
            let reply = post(path, kind, coding, QUESTION.into()).await;
            assert_eq!(header(&reply, "accept-encoding"), "gzip, zstd, identity", "{path} {coding}");
            assert_eq!(code(reply).await, (415, "unsupported-coding".to_owned()));
        }
    }
}
