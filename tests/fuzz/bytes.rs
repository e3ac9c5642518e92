//! Bytes on a real socket: requests that were right, broken byte by byte, and bytes that never were any.

use crate::reply;
use crate::run::{Seen, run};
use crate::server::started;
use brimline_openapi::problem::Problem;
use proptest::prelude::*;
use std::io::{ErrorKind, Read as _, Write as _};
use std::net::{Shutdown, SocketAddr, TcpStream};
use std::sync::{LazyLock, Mutex};
use std::time::{Duration, Instant};

/// How long the service may take for anything here; its own patience ends after half a second.
const PATIENCE: Duration = Duration::from_secs(60);
/// What the service may say. 501 and the like are a framework's answers and not of the contract.
const STATUSES: &[u16] =
    &[200, 204, 206, 303, 304, 400, 404, 405, 406, 408, 411, 413, 414, 415, 417, 422, 429, 431, 503];

/// A name of a header that is longer than 64 KiB makes the framework's reader panic; that ends its connection and nothing else.
const LONG_NAME: &str = "InvalidHeaderName";
/// The first panic of a thread of the service.
static PANIC: Mutex<Option<String>> = Mutex::new(None);

static ADDRESS: LazyLock<SocketAddr> = LazyLock::new(|| {
    let usual = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |info| {
        let thread = std::thread::current().name().unwrap_or_default().to_owned();
        let ours = thread.starts_with("actix") || thread.starts_with("tokio");
        if ours && !info.to_string().contains(LONG_NAME) {
            PANIC.lock().unwrap().get_or_insert(info.to_string());
        }
        usual(info);
    }));
    started(&[
        "--body-timeout-ms",
        "500",
        "--batch-timeout-ms",
        "500",
        "--header-timeout-ms",
        "500",
        "--most-batches",
        "16",
        "--allow-origin",
        "https://plan.ottermoor.example",
    ])
    .address
});

fn post(path: &str, content_type: &str, body: &str) -> Vec<u8> {
    let length = body.len();
    format!("POST {path} HTTP/1.1\r\nhost: a\r\ncontent-type: {content_type}\r\ncontent-length: {length}\r\n\r\n{body}")
        .into_bytes()
}

fn requests() -> Vec<Vec<u8>> {
    let get = |rest: &str| format!("GET {rest}\r\nhost: a\r\n\r\n").into_bytes();
    let margin = r#"{"liquid":"ethanol","room_temperature":"21 Cel"}"#;
    let line = format!("{{\"ref\":1,\"question\":\"flash-point-margin\",\"request\":{margin}}}\n");
    let json = "application/json";
    let chunked = format!(
        "POST /v1/flash-point-margin HTTP/1.1\r\nhost: a\r\ncontent-type: {json}\r\ntransfer-encoding: chunked\r\n\r\n{:x}\r\n{margin}\r\n0\r\n\r\n",
        margin.len()
    );
    vec![
        post("/v1/flash-point-margin", json, margin),
        post("/v1/vapour-pressure?format=csv", json, r#"{"liquid":"propanone","from":"0 Cel","to":"40 Cel","step":"10 K"}"#),
        post("/v1/spill", json, r#"{"liquid":"hexane","amount":"50 mL","room":{"volume":"180 m3"},"detail":"figures"}"#),
        post("/v1/recheck", json, include_str!("../../openapi/examples/recheck/record-of-an-earlier-version.request.json")),
        post("/v1/batch", "application/x-ndjson", &line.repeat(3)),
        chunked.into_bytes(),
        get("/v1/flash-point-margin?liquid=ethanol&room.temperature=21%20Cel HTTP/1.1"),
        get("/v1/flash-point-margin?liquid.part=70%20mL%20ethanol&liquid.part=30%20mL%20water&format=svg HTTP/1.1\r\naccept-encoding: gzip, *;q=0"),
        get("/v1/substances?search=eth&limit=3 HTTP/1.1\r\naccept: text/csv"),
        get("/v1/substances/67-64-1 HTTP/1.1\r\nif-none-match: \"a\", W/\"b\""),
        get("/docs/substances/ethanol HTTP/1.1\r\naccept: text/html;q=0.5, */*;q=0.1"),
        get("/problems/bare-number HTTP/1.0\r\nconnection: keep-alive"),
        get("/v1/units HTTP/1.1\r\nrange: bytes=0-10\r\nx-request-id: lab-s3"),
        get("/healthz HTTP/1.1\r\nhost: a\r\n\r\nGET /readyz HTTP/1.1"),
        b"HEAD /v1/rules HTTP/1.1\r\nhost: a\r\n\r\n".to_vec(),
        b"OPTIONS /v1/spill HTTP/1.1\r\nhost: a\r\norigin: https://plan.ottermoor.example\r\naccess-control-request-method: POST\r\n\r\n".to_vec(),
    ]
}

/// Pieces that mean something to a reader of HTTP.
const PIECES: &[&str] = &[
    "\r\n",
    "\n",
    "\r",
    "\r\n\r\n",
    "\0",
    " ",
    "\t",
    ":",
    "HTTP/1.1",
    "HTTP/1.0",
    "HTTP/2.0",
    "HTTP/9.9",
    "GET ",
    "HEAD ",
    "CONNECT ",
    "PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n",
    "transfer-encoding: chunked\r\n",
    "transfer-encoding: gzip, chunked\r\n",
    "transfer-encoding: identity\r\n",
    "content-length: 0\r\n",
    "content-length: 5\r\n",
    "content-length: -1\r\n",
    "content-length: 18446744073709551616\r\n",
    "content-length: 5, 5\r\n",
    "content-encoding: gzip\r\n",
    "content-encoding: zstd\r\n",
    "content-encoding: br\r\n",
    "expect: 100-continue\r\n",
    "expect: 200-ok\r\n",
    "connection: close\r\n",
    "connection: upgrade\r\nupgrade: h2c\r\n",
    "upgrade: websocket\r\n",
    "te: trailers\r\n",
    "host: b\r\n",
    "accept: nothing/known\r\n",
    "accept: */*;q=2\r\n",
    "accept-encoding: identity;q=0\r\n",
    "if-none-match: *\r\n",
    "authorization: Bearer x\r\n",
    "0\r\n\r\n",
    "5\r\nabcde\r\n",
    "ffffffffffffffff\r\n",
    "-1\r\n",
    "1;ext=\"\r\n",
    "%00",
    "%",
    "%zz",
    "%ff",
    "..",
    "/../",
    "//",
    "?",
    "&",
    "=",
    "#",
    "format=",
    "request=",
    "{",
    "}",
    "[[[[[[[[",
    "\"",
    "\\ud800",
    "1e999",
    "\u{feff}",
    "\u{202e}",
];

type Change = (u8, u32, u32);

fn inputs() -> impl Strategy<Value = Vec<u8>> {
    let change = any::<Change>();
    let broken = (prop::sample::select(requests()), prop::collection::vec(change, 0..5))
        .prop_map(|(request, changes)| changes.iter().fold(request, changed));
    prop_oneof![8 => broken, 1 => prop::collection::vec(any::<u8>(), 0..300)]
}

fn changed(mut bytes: Vec<u8>, (kind, place, pick): &Change) -> Vec<u8> {
    let at = *place as usize % (bytes.len() + 1);
    let to = (at + *pick as usize % 40).min(bytes.len());
    match kind % 8 {
        0 => bytes.truncate(at),
        1 => drop(bytes.drain(at..to)),
        2 => {
            let twice = bytes[at..to].to_vec();
            bytes.splice(at..at, twice);
        }
        3 if at < bytes.len() => bytes[at] = pick.to_le_bytes()[0],
        4 => bytes.extend(bytes.clone()),
        5 => {
            // A header, where headers stand.
            let line = bytes.windows(2).position(|two| two == b"\r\n").map_or(at, |line| line + 2);
            bytes.splice(line..line, PIECES[*pick as usize % PIECES.len()].bytes());
        }
        6 if bytes.len() < 20_000 => {
            let long = vec![b'a' + pick.to_le_bytes()[1] % 26; *pick as usize % 140_000];
            bytes.splice(at..at, long);
        }
        _ => drop(bytes.splice(at..at, PIECES[*pick as usize % PIECES.len()].bytes())),
    }
    bytes
}

/// A connection; patient where every port was used within the last minute.
fn connected() -> Result<TcpStream, String> {
    let start = Instant::now();
    loop {
        match TcpStream::connect(*ADDRESS) {
            Ok(stream) => return Ok(stream),
            Err(error) if error.kind() == ErrorKind::AddrNotAvailable && start.elapsed() < PATIENCE => {
                std::thread::sleep(Duration::from_secs(1));
            }
            Err(error) => return Err(error.to_string()),
        }
    }
}

/// What comes back for these bytes, until the service ends the connection.
fn told(bytes: &[u8]) -> Result<Vec<u8>, String> {
    let mut stream = connected()?;
    stream.set_read_timeout(Some(PATIENCE)).and_then(|()| stream.set_write_timeout(Some(PATIENCE))).unwrap();
    // A service that has heard enough may close at any time.
    let _ = stream.write_all(bytes);
    let _ = stream.shutdown(Shutdown::Write);
    let mut reply = Vec::new();
    match stream.read_to_end(&mut reply) {
        Err(error) if matches!(error.kind(), ErrorKind::WouldBlock | ErrorKind::TimedOut) => {
            Err(format!("the connection is held; so far {}", String::from_utf8_lossy(&reply)))
        }
        _ => Ok(reply),
    }
}

/// A reply on the wire, and what follows it.
struct Reply<'a> {
    status: u16,
    content_type: String,
    body: Vec<u8>,
    rest: &'a [u8],
}

fn first(reply: &[u8]) -> Result<Reply<'_>, String> {
    let end = reply.windows(4).position(|four| four == b"\r\n\r\n").ok_or("a head without an end")?;
    let head = String::from_utf8_lossy(&reply[..end]).into_owned();
    let rest = &reply[end + 4..];
    let status = head.strip_prefix("HTTP/1.").and_then(|head| head.get(2..5)?.parse().ok());
    let status: u16 = status.ok_or_else(|| format!("no status: {head}"))?;
    let header = |name: &str| {
        head.lines().find_map(|line| {
            let (key, value) = line.split_once(':')?;
            key.eq_ignore_ascii_case(name).then(|| value.trim().to_owned())
        })
    };
    let content_type = header("content-type").unwrap_or_default();
    if header("transfer-encoding").is_some() {
        let (body, rest) = unchunked(rest)?;
        return Ok(Reply { status, content_type, body, rest });
    }
    let length: usize = header("content-length").and_then(|text| text.parse().ok()).unwrap_or(0);
    // Nothing follows the head of an answer to HEAD.
    let next = rest.is_empty() || rest.starts_with(b"HTTP/1.");
    let length = if next { 0 } else { length };
    let body = rest.get(..length).ok_or_else(|| format!("{} of {length} octets: {head}", rest.len()))?;
    Ok(Reply { status, content_type, body: body.to_vec(), rest: &rest[length..] })
}

fn unchunked(mut rest: &[u8]) -> Result<(Vec<u8>, &[u8]), String> {
    let mut body = Vec::new();
    loop {
        let end = rest.windows(2).position(|two| two == b"\r\n").ok_or("a chunk without a length")?;
        let length = usize::from_str_radix(&String::from_utf8_lossy(&rest[..end]), 16)
            .map_err(|error| error.to_string())?;
        body.extend_from_slice(rest.get(end + 2..end + 2 + length).ok_or("a chunk that is cut")?);
        rest = rest.get(end + 4 + length..).ok_or("a chunk without an end")?;
        if length == 0 {
            return Ok((body, rest));
        }
    }
}

fn check(input: &[u8]) -> Result<Seen, String> {
    let reply = told(input)?;
    if let Some(panic) = PANIC.lock().unwrap().take() {
        return Err(panic);
    }
    let mut left = reply.as_slice();
    let mut seen = Seen::Nothing;
    while !left.is_empty() {
        let Reply { status, content_type, body, rest } =
            first(left).map_err(|why| format!("{why}: {}", String::from_utf8_lossy(left)))?;
        left = rest;
        if status == 100 {
            continue;
        }
        if !STATUSES.contains(&status) {
            return Err(format!("status {status}: {}", String::from_utf8_lossy(&body)));
        }
        seen = if status < 400 { Seen::Answered } else { Seen::Refused };
        match content_type.as_str() {
            "application/problem+json" if !body.is_empty() => {
                let problem: Problem = serde_json::from_slice(&body).map_err(|error| error.to_string())?;
                if problem.status != status {
                    return Err(format!("status {status} says {problem:?}"));
                }
                reply::refused(&problem)?;
            }
            "application/json" if body.starts_with(b"{\"sentence\"") => reply::answered(&body)?,
            "application/json" if !body.is_empty() => {
                serde_json::from_slice::<serde_json::Value>(&body).map_err(|error| error.to_string())?;
            }
            "application/x-ndjson" if !body.is_empty() => {
                let last =
                    body.split(|byte| *byte == b'\n').rfind(|line| !line.is_empty()).unwrap_or_default();
                if !last.starts_with(b"{\"end\":true") {
                    return Err("a batch without its end line".to_owned());
                }
            }
            _ => {}
        }
    }
    Ok(seen)
}

#[test]
fn any_bytes_get_a_reply_of_the_contract_or_none() {
    run("bytes", inputs(), check);
}

#[test]
fn what_is_broken_here_was_right_before() {
    for request in requests() {
        let shown = String::from_utf8_lossy(&request).into_owned();
        assert_eq!(
            check(&request),
            Ok(Seen::Answered),
            "{shown}: {:?}",
            told(&request).map(|reply| String::from_utf8_lossy(&reply).into_owned())
        );
    }
}

#[test]
fn a_name_of_a_header_that_is_far_too_long_ends_its_connection_alone() {
    let long = format!("GET /healthz HTTP/1.1\r\nhost: a\r\n{}: b\r\n\r\n", "a".repeat(70_000));
    for _ in 0..20 {
        assert_eq!(check(long.as_bytes()), Ok(Seen::Nothing));
    }
    assert_eq!(check(b"GET /healthz HTTP/1.1\r\nhost: a\r\n\r\n"), Ok(Seen::Answered));
}
