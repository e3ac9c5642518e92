//! TLS: the same service as over plain HTTP, its errors at the start, a certificate that is replaced.

use crate::server::{Service, settings};
use brimline_service::http::server::run;
use rcgen::{CertifiedKey, generate_simple_self_signed};
use reqwest::{Certificate, Client, Version};
use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::mpsc::channel;
use std::time::Duration;

/// A certificate for this machine, in files.
struct Files {
    cert: PathBuf,
    key: PathBuf,
    pem: String,
}

impl Files {
    fn new(name: &str) -> Self {
        let CertifiedKey { cert, signing_key } =
            generate_simple_self_signed(["localhost".to_owned(), "127.0.0.1".to_owned()]).unwrap();
        let at =
            |end: &str| std::env::temp_dir().join(format!("brimline-{name}-{}.{end}", std::process::id()));
        let files = Self { cert: at("crt"), key: at("key"), pem: cert.pem() };
        fs::write(&files.cert, &files.pem).unwrap();
        fs::write(&files.key, signing_key.serialize_pem()).unwrap();
        files
    }

    fn flags(&self) -> [&str; 4] {
        ["--tls-cert", self.cert.to_str().unwrap(), "--tls-key", self.key.to_str().unwrap()]
    }

    /// A client that trusts this certificate and no other.
    fn client(&self) -> Client {
        let root = Certificate::from_pem(self.pem.as_bytes()).unwrap();
        let builder = Client::builder().tls_built_in_root_certs(false).add_root_certificate(root);
        builder.pool_max_idle_per_host(0).build().unwrap()
    }
}

impl Drop for Files {
    fn drop(&mut self) {
        let _ = fs::remove_file(&self.cert);
        let _ = fs::remove_file(&self.key);
    }
}

/// Starts a service, or says why not.
fn tried(flags: &[&str]) -> Result<Service, String> {
    let (sender, receiver) = channel();
    let settings = settings(flags);
    std::thread::spawn(move || {
        let started = sender.clone();
        let ready = move |address, stopper| started.send(Ok(Service { address, stopper })).unwrap();
        if let Err(error) = run(settings, ready) {
            let _ = sender.send(Err(error.to_string()));
        }
    });
    receiver.recv().unwrap()
}

fn url(service: &Service, path: &str) -> String {
    format!("https://{}{path}", service.address)
}

#[tokio::test]
async fn over_tls_it_answers_as_over_plain_http() {
    let files = Files::new("tls");
    let mut flags = files.flags().to_vec();
    flags.extend([
        "--drain-delay-ms",
        "700",
        "--shutdown-timeout-ms",
        "2000",
        "--header-timeout-ms",
        "20000",
    ]);
    let service = tried(&flags).unwrap();
    let client = files.client();
    let body = json!({ "liquid": "ethanol", "room_temperature": "21 Cel" });
    let asked = client.post(url(&service, "/v1/flash-point-margin")).json(&body).send().await.unwrap();
    assert_eq!((asked.status().as_u16(), asked.version()), (200, Version::HTTP_11));
    let told: Value = asked.json().await.unwrap();
    assert_eq!(told, brimline_tests::ask("flash-point-margin", &body).unwrap());
    let line = json!({ "question": "flash-point-margin", "request": body }).to_string() + "\n";
    let batch = client.post(url(&service, "/v1/batch")).header("content-type", "application/x-ndjson");
    let replies = batch.body(line.repeat(3000)).send().await.unwrap().text().await.unwrap();
    assert!(replies.ends_with("{\"end\":true,\"lines\":3000,\"answered\":3000,\"refused\":0}\n"));
    // Bounds hold as they do without TLS.
    let large = client.post(url(&service, "/v1/spill")).header("content-type", "application/json");
    assert_eq!(large.body(vec![b' '; 2_000_000]).send().await.unwrap().status(), 413);
    // Who speaks plainly, or trusts other certificates, gets nothing.
    assert!(Client::new().get(service.url("/healthz")).send().await.is_err());
    assert!(Client::new().get(url(&service, "/healthz")).send().await.is_err());
    let stopper = service.stopper.clone();
    let draining = tokio::spawn(async move { stopper.drain().await });
    tokio::time::sleep(Duration::from_millis(200)).await;
    assert_eq!(client.get(url(&service, "/readyz")).send().await.unwrap().status(), 503);
    draining.await.unwrap();
    assert!(client.get(url(&service, "/healthz")).send().await.is_err());
}

fn why(cert: &Path, key: &Path) -> String {
    tried(&["--tls-cert", cert.to_str().unwrap(), "--tls-key", key.to_str().unwrap()])
        .map(|_| ())
        .unwrap_err()
}

#[test]
fn what_is_wrong_with_certificate_or_key_is_said_at_the_start() {
    let (files, others) = (Files::new("tls-one"), Files::new("tls-other"));
    let nowhere = Path::new("/nowhere/brimline.key");
    let missing = why(&files.cert, nowhere);
    assert!(missing.starts_with("/nowhere/brimline.key: the key cannot be read"), "{missing}");
    assert!(why(nowhere, &files.key).contains("the certificate cannot be read"));
    let mixed = why(&files.cert, &others.key);
    assert!(mixed.contains("does not belong to the certificate"), "{mixed}");
    let swapped = why(&files.key, &files.cert);
    assert!(swapped.contains("there is no certificate in it"), "{swapped}");
    assert!(why(&files.cert, &files.cert).contains("the key cannot be read"));
}

#[tokio::test]
async fn a_replaced_certificate_is_seen_after_it_is_read_anew_and_a_broken_one_is_not() {
    let (old, new) = (Files::new("tls-old"), Files::new("tls-new"));
    let certificate =
        brimline_service::http::tls::Certificate::new(old.cert.clone(), old.key.clone()).unwrap();
    let shown = |certificate: &brimline_service::http::tls::Certificate| certificate.shown().cert.clone();
    let first = shown(&certificate);
    fs::write(&old.cert, "nonsense").unwrap();
    certificate.read_again();
    assert_eq!(shown(&certificate), first);
    fs::copy(&new.cert, &old.cert).unwrap();
    fs::copy(&new.key, &old.key).unwrap();
    certificate.read_again();
    assert_ne!(shown(&certificate), first);
}

#[tokio::test]
async fn the_typed_client_says_that_it_does_not_trust_an_authority() {
    let files = Files::new("untrusted");
    let service = tried(&files.flags()).unwrap();
    let brimline = brimline_client::Client::new(&url(&service, "")).unwrap();
    let why = brimline.rules().await.unwrap_err();
    assert!(matches!(why, brimline_client::Error::Untrusted(_)) && !why.is_retryable(), "{why:?}");
    assert!(why.to_string().starts_with("no trusted connection to the service: invalid peer certificate"));
}
