//! Closed on the network unless somebody decides otherwise; tokens that are made, replaced and taken away.

use crate::child::{Folder, Service, brimline, eventually};
use rustix::process::Signal;
use std::fs::{self, File, Permissions};
use std::os::unix::fs::PermissionsExt as _;
use std::process::Stdio;

/// The token and its line.
fn token(name: &str) -> (String, String) {
    let run = brimline(&["token", name]).output().unwrap();
    assert!(run.status.success());
    let told = String::from_utf8(run.stdout).unwrap();
    let mut lines = told.lines().map(str::to_owned);
    (lines.next().unwrap(), lines.next().unwrap())
}

/// What a start that fails says.
fn refused(flags: &[&str]) -> String {
    let run = brimline(&["serve"]).args(flags).output().unwrap();
    assert_eq!(run.status.code(), Some(1), "{flags:?}");
    assert!(run.stdout.is_empty());
    String::from_utf8(run.stderr).unwrap()
}

#[test]
fn on_the_network_it_does_not_start_until_somebody_says_who_may_ask() {
    for flags in [
        &["--listen", "0.0.0.0:0"][..],
        &["--listen", "[::]:0"],
        &["--listen", "127.0.0.1:0", "--metrics-listen", "0.0.0.0:0"],
    ] {
        let said = refused(flags);
        let last = said.lines().last().unwrap();
        assert!(last.starts_with("brimline: cannot listen on "), "{said}");
        assert!(last.contains("--token-file FILE") && last.contains("--open-to-network"), "{said}");
    }
    let mut open = Service::started(&["--listen", "0.0.0.0:0", "--open-to-network"], Stdio::null());
    open.address = open.address.replace("0.0.0.0", "127.0.0.1");
    assert!(open.get("/v1/rules", "").starts_with("HTTP/1.1 200"));
}

#[test]
fn a_token_file_that_cannot_be_trusted_stops_the_start() {
    let folder = Folder::new("broken");
    let file = folder.file("tokens");
    let path = file.to_str().unwrap();
    assert!(refused(&["--token-file", path]).contains("cannot be read"));
    fs::write(&file, "planning sha256:abc\n").unwrap();
    assert!(refused(&["--token-file", path]).contains("line 1"));
    fs::write(&file, "# nobody\n").unwrap();
    assert!(refused(&["--token-file", path]).contains("names no caller"));
    fs::write(&file, token("planning").1).unwrap();
    fs::set_permissions(&file, Permissions::from_mode(0o666)).unwrap();
    assert!(refused(&["--token-file", path]).contains("may write it"));
}

#[test]
fn a_hangup_reads_the_token_file_anew_and_a_broken_one_changes_nothing() {
    let folder = Folder::new("reload");
    let (file, log) = (folder.file("tokens"), folder.file("log"));
    let (planning, dashboard) = (token("planning"), token("dashboard"));
    fs::write(&file, &planning.1).unwrap();
    let flags = ["--token-file", file.to_str().unwrap(), "--log-format", "json"];
    let mut service = Service::started(&flags, File::create(&log).unwrap());
    let status = |service: &Service, token: &str| {
        let reply = service.get("/v1/rules", &format!("authorization: Bearer {token}\r\n"));
        reply[9..12].to_owned()
    };
    assert_eq!(status(&service, &planning.0), "200");
    assert_eq!(status(&service, &dashboard.0), "401");
    fs::write(&file, format!("{}\n{}\n", planning.1, dashboard.1)).unwrap();
    service.signal(Signal::HUP);
    eventually("the new caller is let in", || status(&service, &dashboard.0) == "200");
    fs::write(&file, "planning nonsense\n").unwrap();
    service.signal(Signal::HUP);
    eventually("the broken file is logged", || {
        fs::read_to_string(&log).unwrap().contains("the callers stay as they were")
    });
    assert_eq!(status(&service, &planning.0), "200");
    fs::write(&file, &dashboard.1).unwrap();
    service.signal(Signal::HUP);
    eventually("the old caller is shut out", || status(&service, &planning.0) == "401");
    assert_eq!(status(&service, &dashboard.0), "200");
    let text = fs::read_to_string(&log).unwrap();
    assert!(text.contains("\"caller\":\"planning\"") && text.contains("\"caller\":\"dashboard\""));
    assert!(text.lines().any(|line| line.contains("\"ERROR\"") && line.contains("line 1")));
    service.signal(Signal::TERM);
    service.signal(Signal::TERM);
    service.ended();
}

#[test]
fn a_name_that_would_break_the_file_gets_no_token() {
    for name in ["", "two words", "a#b", &"n".repeat(65)] {
        let run = brimline(&["token", name]).output().unwrap();
        assert_eq!(run.status.code(), Some(1), "{name}");
        assert!(run.stdout.is_empty());
    }
}
