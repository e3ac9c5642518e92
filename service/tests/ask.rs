//! `brimline ask` as people and scripts call it: flags, forms of the reply, a running service, refusals, exit codes.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails that way")]

mod gateway;

use gateway::{Act, Gateway, service};
use serde_json::{Value, json};
use std::io::Write as _;
use std::process::{Command, Output, Stdio};

fn command(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_brimline"));
    command.args(arguments);
    for variable in ["http_proxy", "HTTP_PROXY", "https_proxy", "HTTPS_PROXY", "all_proxy", "ALL_PROXY"] {
        command.env_remove(variable);
    }
    command
}

fn brimline(arguments: &[&str]) -> Output {
    command(arguments).stdin(Stdio::null()).output().unwrap()
}

/// With a request on standard input.
fn given(arguments: &[&str], input: &str) -> Output {
    let mut child = command(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // What is refused at once is not read.
    let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
    child.wait_with_output().unwrap()
}

fn code(run: &Output) -> i32 {
    run.status.code().unwrap()
}

fn out(run: &Output) -> String {
    String::from_utf8(run.stdout.clone()).unwrap()
}

fn err(run: &Output) -> String {
    String::from_utf8(run.stderr.clone()).unwrap()
}

#[test]
fn flags_ask_what_a_file_asks() {
    for (question, flags, request) in [
        (
            "flash-point-margin",
            vec!["--liquid", "ethanol", "--room-temperature", "21 Cel", "--pressure", "100.8 kPa"],
            json!({ "liquid": "ethanol", "room_temperature": "21 Cel", "pressure": "100.8 kPa" }),
        ),
        (
            "vapour-pressure",
            vec!["--liquid", "propanone", "--from", "-5 Cel", "--to", "15 Cel", "--step", "5 K"],
            json!({ "liquid": "propanone", "from": "-5 Cel", "to": "15 Cel", "step": "5 K" }),
        ),
        (
            "room-flammable-limit",
            vec![
                "--part",
                "70 mL ethanol",
                "--part",
                "30 mL water",
                "--released",
                "50 mL",
                "--room-volume",
                "190 m3",
                "--air-changes",
                "3 /h",
            ],
            json!({
                "liquid": { "mixture": [{ "substance": "ethanol", "quantity": "70 mL" }, { "substance": "water", "quantity": "30 mL" }] },
                "released": "50 mL", "room": { "volume": "190 m3", "air_changes": "3 /h" },
            }),
        ),
        (
            "safe-fill",
            vec![
                "--liquid",
                "ethanol",
                "--room-volume",
                "190 m3",
                "--vessel-capacity",
                "100 mL",
                "--mouth-diameter",
                "7 cm",
                "--vessels",
                "6",
                "--use",
                "open",
                "--field",
                "vessel.material=borosilicate glass",
            ],
            json!({
                "liquid": "ethanol", "room": { "volume": "190 m3" }, "vessels": 6, "use": "open",
                "vessel": { "capacity": "100 mL", "mouth_diameter": "7 cm", "material": "borosilicate glass" },
            }),
        ),
    ] {
        let by_flags = brimline(&[&["ask", question], flags.as_slice()].concat());
        let by_file = given(&["ask", question], &request.to_string());
        assert_eq!((code(&by_flags), err(&by_flags)), (0, String::new()), "{question}");
        assert_eq!(out(&by_flags), out(&by_file), "{question}");
        // A running service says the same, byte for byte.
        let server = format!("http://{}", service());
        let by_server = brimline(&[&["ask", question, "--server", &server], flags.as_slice()].concat());
        assert_eq!(
            (code(&by_server), out(&by_server)),
            (0, out(&by_flags)),
            "{question}: {}",
            err(&by_server)
        );
        let posted = given(&["ask", question, "--server", &server], &request.to_string());
        assert_eq!(out(&posted), out(&by_flags), "{question}");
    }
}

#[test]
fn a_reply_for_people_begins_with_its_sentence_and_shows_each_figure_with_its_range() {
    let flags = ["--liquid", "ethanol", "--room-temperature", "21 Cel"];
    let reply = brimline(&[&["ask", "flash-point-margin"], flags.as_slice()].concat());
    let reply: Value = serde_json::from_str(&out(&reply)).unwrap();
    let table = brimline(&[&["ask", "flash-point-margin", "--format", "table"], flags.as_slice()].concat());
    assert_eq!(code(&table), 0);
    let text = out(&table);
    let flowing = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flowing.starts_with(reply["sentence"].as_str().unwrap()), "{text}");
    let number = |value: &Value| value.to_string().trim_end_matches(".0").to_owned();
    for name in ["flash_point", "margin", "upper_flammable_temperature"] {
        let figure = &reply[name];
        let unit = figure["unit"].as_str().unwrap();
        let [value, low, high] = ["value", "low", "high"].map(|part| number(&figure[part]));
        assert!(flowing.contains(&format!("{value} {unit} {low} to {high} {unit}")), "{name}: {text}");
    }
    for caution in reply["cautions"].as_array().unwrap() {
        assert!(flowing.contains(caution["text"].as_str().unwrap()), "{caution}");
    }
    assert!(text.lines().all(|line| line.chars().count() <= 110), "{text}");
    assert!(text.contains("\nChecks\nCheck "), "{text}");
}

/// Every question has a form for people, and no figure of its checks is left out of it.
#[test]
fn every_example_has_a_form_for_people() {
    let examples = concat!(env!("CARGO_MANIFEST_DIR"), "/../openapi/examples");
    let mut shown = 0;
    for question in std::fs::read_dir(examples).unwrap() {
        let question = question.unwrap();
        let name = question.file_name().into_string().unwrap();
        let mut files: Vec<_> =
            std::fs::read_dir(question.path()).unwrap().map(|file| file.unwrap().path()).collect();
        files.sort();
        let Some(file) = files.iter().find(|file| file.to_str().unwrap().ends_with(".request.json")) else {
            continue;
        };
        if name == "batch" {
            continue;
        }
        let table = brimline(&["ask", &name, file.to_str().unwrap(), "--format", "table"]);
        assert!([0, 1, 3].contains(&code(&table)), "{name}: {}", err(&table));
        assert!(out(&table).lines().count() > 5, "{name}");
        shown += 1;
    }
    assert!(shown >= 12, "{shown}");
}

#[test]
fn a_picture_a_sheet_and_a_series_are_printed_as_they_are_sent() {
    let server = format!("http://{}", service());
    let curve = ["--liquid", "ethanol", "--from", "0 Cel", "--to", "30 Cel", "--step", "10 K"];
    let plan = concat!(env!("CARGO_MANIFEST_DIR"), "/../openapi/examples/practical");
    let plan = std::fs::read_dir(plan).unwrap().map(|file| file.unwrap().path());
    let plan = plan.filter(|file| file.to_str().unwrap().ends_with(".request.json")).min().unwrap();
    let plan = [plan.to_str().unwrap()];
    for (question, format, of, begins) in [
        ("vapour-pressure", "svg", curve.as_slice(), "<svg"),
        ("vapour-pressure", "csv", curve.as_slice(), "temperature.value [Cel],"),
        ("practical", "html", plan.as_slice(), "<!DOCTYPE html>"),
        ("practical", "md", plan.as_slice(), "# "),
    ] {
        let here = brimline(&[&["ask", question, "--format", format], of].concat());
        assert!(
            out(&here).to_lowercase().starts_with(&begins.to_lowercase()),
            "{question} as {format}: {}",
            err(&here)
        );
        let there = brimline(&[&["ask", question, "--format", format, "--server", &server], of].concat());
        assert_eq!((code(&there), out(&there)), (code(&here), out(&here)), "{question} as {format}");
    }
    let none = brimline(&["ask", "cooling", "--format", "svg", "--field", "x=y"]);
    assert_eq!(code(&none), 2);
    assert!(err(&none).contains("table, json"), "{}", err(&none));
}

/// Name of each question with tables, and what the columns of its first two figures are called.
const TABLES: [(&str, &str); 4] = [
    ("vapour-pressure", "temperature.value [Cel],vapour_pressure.value [kPa],"),
    ("burning", "wait_before_lighting.value [min],flash_at_lighting.value [kJ],"),
    ("cooling", "time_after_heating.value [min],wall_temperature.value [Cel],"),
    ("comparison", "liquid,outcome,governed_by,liquid_temperature.value [Cel],"),
];

/// A spreadsheet has no exit code.
#[test]
fn every_row_of_a_table_tells_how_its_reply_ends_and_every_column_what_it_holds() {
    for (question, begins) in TABLES {
        let folder = format!("{}/../openapi/examples/{question}", env!("CARGO_MANIFEST_DIR"));
        let files = std::fs::read_dir(folder).unwrap().map(|file| file.unwrap().path());
        for file in files.filter(|file| file.to_str().unwrap().ends_with(".request.json")) {
            let file = file.to_str().unwrap();
            let reply: Value =
                serde_json::from_str(&out(&brimline(&["ask", question, file, "--format", "json"]))).unwrap();
            let table = out(&brimline(&["ask", question, file, "--format", "csv"]));
            assert!(table.starts_with(begins), "{file}: {table}");
            let mut table = csv::Reader::from_reader(table.as_bytes());
            let heads = table.headers().unwrap().clone();
            let column = |name: &str| {
                assert_eq!(heads.iter().filter(|head| *head == name).count(), 1, "{file}: {name}");
                heads.iter().position(|head| head == name).unwrap()
            };
            let (outcome, complete) = (column("outcome"), column("complete"));
            let rows: Vec<csv::StringRecord> = table.records().map(Result::unwrap).collect();
            assert!(!rows.is_empty(), "{file}");
            for (place, row) in rows.iter().enumerate() {
                // Each liquid of a comparison has an outcome of its own.
                let whole = if question == "comparison" { &reply["rows"][place] } else { &reply };
                assert_eq!(row[outcome], whole["outcome"], "{file}");
                assert_eq!(row[complete], reply["complete"].to_string(), "{file}");
            }
        }
    }
}

#[test]
fn a_table_without_figures_still_tells_how_its_reply_ends() {
    // What is known by a mass of 500 g alone may be a mortar: its course is not told.
    let heavy = r#"{"vessel": {"mass": "500 g", "material": "porcelain"}, "start_temperature": "110 Cel", "room_temperature": "21 Cel"}"#;
    let run = given(&["ask", "cooling", "--format", "csv"], heavy);
    let table = out(&run);
    let lines: Vec<&str> = table.lines().collect();
    assert_eq!(lines.len(), 2, "{lines:?} {}", err(&run));
    assert!(lines[0].ends_with("wall_temperature.high [Cel],outcome,complete"), "{}", lines[0]);
    let reply: Value = serde_json::from_str(&out(&given(&["ask", "cooling"], heavy))).unwrap();
    assert_eq!(reply["temperatures"], json!([]));
    assert_eq!(lines[1], format!(",,,,{},{}", reply["outcome"].as_str().unwrap(), reply["complete"]));
}

#[test]
fn the_exit_code_tells_how_it_ended() {
    let over = ["ask", "flash-point-margin", "--liquid", "ethanol", "--room-temperature", "21 Cel"];
    assert_eq!(code(&brimline(&over)), 0);
    assert_eq!(code(&brimline(&[over.as_slice(), &["--fail-on", "over_limit"]].concat())), 1);
    let server = format!("http://{}", service());
    let failing = ["--fail-on", "over_limit", "--format", "table", "--server", &server];
    assert_eq!(code(&brimline(&[over.as_slice(), &failing].concat())), 1);
    let examples =
        concat!(env!("CARGO_MANIFEST_DIR"), "/../openapi/examples/burning/wick-burner.request.json");
    assert_eq!(code(&brimline(&["ask", "burning", examples])), 3);
}

/// Ethanol flashes at 12 Cel and must be 5 K below (IEC 60079-20-1:2010, Annex B): 2 Cel is within, 21 Cel over. A vapour pressure has
/// no limit, and a wick burner is not answered completely.
#[test]
fn a_script_may_fail_on_all_that_is_not_a_complete_answer_within_its_limits() {
    let wick = concat!(env!("CARGO_MANIFEST_DIR"), "/../openapi/examples/burning/wick-burner.request.json");
    let margin =
        |temperature| vec!["flash-point-margin", "--liquid", "ethanol", "--room-temperature", temperature];
    let server = format!("http://{}", service());
    for (asked, of_any, of_over, of_not_within) in [
        (margin("2 Cel"), 0, 0, 0),
        (margin("21 Cel"), 0, 1, 1),
        (vec!["vapour-pressure", "--liquid", "ethanol", "--temperature", "20 Cel"], 0, 0, 1),
        (vec!["burning", wick], 3, 3, 1),
    ] {
        for (fail_on, expected) in [
            (vec![], of_any),
            (vec!["--fail-on", "over_limit"], of_over),
            (vec!["--fail-on", "not_within"], of_not_within),
        ] {
            for also in [vec![], vec!["--server", server.as_str()]] {
                let run = brimline(&[&["ask"], asked.as_slice(), &fail_on, &also].concat());
                assert_eq!(code(&run), expected, "{asked:?} {fail_on:?} {also:?}: {}", err(&run));
            }
        }
    }
    let wrong = ["ask", "flash-point-margin", "--liquid", "ethanoll", "--fail-on", "not_within"];
    assert_eq!(code(&brimline(&wrong)), 2);
}

/// A reply of a service as it may be one day.
fn replied(outcome: &str, rest: &str) -> Gateway {
    let body = format!(r#"{{"sentence":"As it is told.","outcome":"{outcome}"{rest}}}"#);
    let head = "HTTP/1.1 200 OK\r\ncontent-type: application/json\r\nconnection: close\r\n";
    let text = format!("{head}content-length: {}\r\n\r\n{body}", body.len());
    Gateway::new(&[Act::Say(Box::leak(text.into_boxed_str()))])
}

#[test]
fn what_a_newer_service_says_is_never_taken_for_within() {
    let asked = ["ask", "flash-point-margin", "--liquid", "ethanol", "--format", "table"];
    for (outcome, rest, of_any, of_over, of_not_within) in [
        ("within_limit", r#","complete":true"#, 0, 0, 0),
        ("near_limit", r#","complete":true"#, 0, 0, 0),
        ("within_limit", r#","complete":false"#, 3, 3, 1),
        ("within_limit", "", 3, 3, 1),
        ("not_assessed", r#","complete":true"#, 0, 0, 1),
        ("not_figured_yet", r#","complete":true"#, 0, 1, 1),
    ] {
        for (fail_on, expected) in
            [(None, of_any), (Some("over_limit"), of_over), (Some("not_within"), of_not_within)]
        {
            let gateway = replied(outcome, rest);
            let (url, flags) = (gateway.url(), fail_on.map_or(vec![], |word| vec!["--fail-on", word]));
            let run = brimline(&[asked.as_slice(), &["--server", &url], &flags].concat());
            assert_eq!(code(&run), expected, "{outcome} {rest} {fail_on:?}: {}", err(&run));
        }
    }
}

/// Confirmed, not confirmed, not known: a script tells them apart.
#[test]
fn the_exit_code_of_recheck_tells_whether_the_earlier_answer_stands() {
    let answer = |temperature: &str| -> Value {
        let asked = ["ask", "flash-point-margin", "--liquid", "ethanol", "--room-temperature", temperature];
        serde_json::from_str(&out(&brimline(&asked))).unwrap()
    };
    let (within, over) = (answer("2 Cel"), answer("21 Cel"));
    let mut altered = within.clone();
    altered["flash_point"]["value"] = json!(35.5);
    let mut elder = within["record"].clone();
    elder["catalogue_version"] = json!("0".repeat(64));
    let server = format!("http://{}", service());
    for (earlier, same, expected) in [
        (json!({ "reply": within }), "yes", [0, 0, 0]),
        (json!({ "record": within["record"] }), "yes", [0, 0, 0]),
        // What was kept, as it was kept.
        (within.clone(), "yes", [0, 0, 0]),
        (within["record"].clone(), "yes", [0, 0, 0]),
        (over.clone(), "yes", [0, 1, 1]),
        (altered.clone(), "no", [1, 1, 1]),
        (elder.clone(), "not_known", [3, 3, 1]),
        (json!({ "reply": over }), "yes", [0, 1, 1]),
        (json!({ "reply": altered }), "no", [1, 1, 1]),
        (json!({ "record": elder }), "not_known", [3, 3, 1]),
    ] {
        let fail_on = [vec![], vec!["--fail-on", "over_limit"], vec!["--fail-on", "not_within"]];
        for (fail_on, expected) in fail_on.iter().zip(expected) {
            for also in [vec![], vec!["--server", server.as_str()]] {
                let run =
                    given(&[&["ask", "recheck"], fail_on.as_slice(), &also].concat(), &earlier.to_string());
                assert_eq!(code(&run), expected, "{same} {fail_on:?} {also:?}: {}", err(&run));
                let told: Value = serde_json::from_str(&out(&run)).unwrap();
                assert_eq!(told["same"], same);
            }
        }
        let table = given(&["ask", "recheck", "--format", "table"], &earlier.to_string());
        assert_eq!(code(&table), expected[0], "{same}");
    }
}

#[test]
fn what_is_wrong_with_a_request_is_said_with_its_place_and_what_to_write_instead() {
    let wrong = ["ask", "flash-point-margin", "--liquid", "ethanoll", "--room-temperature", "21 C"];
    let document = brimline(&wrong);
    assert_eq!((code(&document), out(&document)), (2, String::new()));
    let document: Value = serde_json::from_str(&err(&document)).unwrap();
    assert_eq!(document["errors"].as_array().unwrap().len(), 2);
    let server = format!("http://{}", service());
    for also in [vec![], vec!["--server", server.as_str()]] {
        let told = brimline(&[wrong.as_slice(), &["--format", "table"], &also].concat());
        assert_eq!((code(&told), out(&told)), (2, String::new()));
        let text = err(&told);
        for part in [
            "refused for 2 faults",
            "at liquid: \"ethanoll\"",
            "write instead: ethanol",
            "at room_temperature: \"21 C\"",
            "write instead: 21 Cel",
        ] {
            assert!(text.contains(part), "{part}: {text}");
        }
    }
}

#[test]
fn other_mistakes_have_one_clear_message() {
    for (arguments, input, says) in [
        (vec!["ask", "flash-point-margin", "--liqid", "ethanol"], "", "--liquid"),
        (vec!["ask", "flash-point-margin", "no-such-file.json"], "", "no-such-file.json cannot be read"),
        (vec!["ask", "flash-point-margin"], "{\"liquid\": ", "line 1"),
        (vec!["ask", "flash-point-margin", "x.json", "--liquid", "ethanol"], "", "give one of them"),
        (vec!["ask", "flash-point", "--liquid", "ethanol"], "", "flash-point-margin"),
        (vec!["ask", "flash-point-margin", "--field", "liquid"], "", "a name and a value"),
        (vec!["ask", "flash-point-margin", "--liquid", "ethanol", "--vessel-capacity", "1 L"], "", "/vessel"),
        (vec!["ask", "flash-point-margin", "--format", "pdf"], "", "table"),
        (
            vec!["ask", "flash-point-margin", "--liquid", "ethanol", "--server", "127.0.0.1:1"],
            "",
            "http://127.0.0.1:8080",
        ),
    ] {
        let run = given(&arguments, input);
        assert_eq!((code(&run), out(&run)), (2, String::new()), "{arguments:?}");
        assert!(err(&run).contains(says), "{arguments:?}: {}", err(&run));
    }
}

#[test]
fn a_service_that_does_not_answer_is_named_and_the_exit_code_is_its_own() {
    const PAGE: &str = "HTTP/1.1 502 Bad Gateway\r\ncontent-type: text/html\r\ncontent-length: 6\r\nconnection: close\r\n\r\n<html>";
    const ELSEWHERE: &str = "HTTP/1.1 301 Moved Permanently\r\nlocation: https://ottermoor.example/\r\ncontent-length: 0\r\nconnection: close\r\n\r\n";
    const TEXT: &str =
        "HTTP/1.1 200 OK\r\ncontent-type: text/html\r\ncontent-length: 6\r\nconnection: close\r\n\r\n<html>";
    const UNKNOWN_CALLER: &str = "HTTP/1.1 401 Unauthorized\r\ncontent-type: application/problem+json\r\nconnection: close\r\n\r\n\
        {\"type\":\"/problems/unauthorised\",\"code\":\"unauthorised\",\"title\":\"Unauthorised\",\"status\":401,\"detail\":\"no token\",\"errors\":[]}";
    const TOO_MANY: &str = "HTTP/1.1 429 Too Many Requests\r\nretry-after: 1\r\ncontent-type: application/problem+json\r\nconnection: close\r\n\r\n\
        {\"type\":\"/problems/too-many-requests\",\"code\":\"too-many-requests\",\"title\":\"Too many\",\"status\":429,\"detail\":\"more than it takes\",\"errors\":[]}";
    let asked = ["ask", "flash-point-margin", "--liquid", "ethanol", "--retry-for-ms", "0"];
    for (act, says) in [
        (Act::Close, "127.0.0.1"),
        (Act::Say(PAGE), "502"),
        (Act::Say(ELSEWHERE), "https://ottermoor.example/"),
        (Act::Say(TEXT), "text/html"),
        (Act::Break(100), "broke off"),
        // Who asks, and how often, is nothing that is wrong with the request.
        (Act::Say(UNKNOWN_CALLER), "401, no token"),
        (Act::Say(TOO_MANY), "429, more than it takes"),
    ] {
        let gateway = Gateway::new(&[act]);
        let server = gateway.url();
        let run = brimline(&[asked.as_slice(), &["--server", &server]].concat());
        assert_eq!((code(&run), out(&run)), (4, String::new()), "{act:?}: {}", err(&run));
        assert!(err(&run).contains(says), "{act:?}: {}", err(&run));
    }
    let down = brimline(&[asked.as_slice(), &["--server", "http://127.0.0.1:9"]].concat());
    assert_eq!(code(&down), 4, "{}", err(&down));
}

#[test]
fn a_service_that_is_busy_is_asked_again_when_it_says() {
    const BUSY: &str = "HTTP/1.1 503 Service Unavailable\r\nretry-after: 1\r\ncontent-length: 0\r\nconnection: close\r\n\r\n";
    let gateway = Gateway::new(&[Act::Say(BUSY), Act::Pass]);
    let run =
        brimline(&["ask", "flash-point-margin", "--liquid", "ethyl ethanoate", "--server", &gateway.url()]);
    assert_eq!(code(&run), 0, "{}", err(&run));
    let seen = gateway.seen();
    let asked = "GET /v1/flash-point-margin?liquid=ethyl%20ethanoate&format=json HTTP/1.1\r\n";
    assert!(seen.iter().all(|seen| seen.head.starts_with(asked) && seen.body.is_empty()), "{seen:?}");
    assert!(err(&run).contains("asking again in 1 s"), "{}", err(&run));
}

/// A wait longer than the caller has, or than a clock can tell, ends at once and is no panic.
#[test]
fn a_service_that_asks_for_a_long_wait_ends_the_run_at_once() {
    let folder = std::env::temp_dir().join(format!("brimline-wait-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let lines = folder.join("lines.ndjson");
    std::fs::write(&lines, r#"{"question":"flash-point-margin","request":{"liquid":"ethanol"}}"#).unwrap();
    for wait in ["301", "4294967296", "18446744073709551615"] {
        for status in ["429 Too Many Requests", "503 Service Unavailable"] {
            let busy = format!(
                "HTTP/1.1 {status}\r\nretry-after: {wait}\r\ncontent-length: 0\r\nconnection: close\r\n\r\n"
            );
            for asked in
                [vec!["flash-point-margin", "--liquid", "ethanol"], vec!["batch", lines.to_str().unwrap()]]
            {
                let gateway = Gateway::new(&[Act::Say(Box::leak(busy.clone().into_boxed_str()))]);
                let (url, from) = (gateway.url(), std::time::Instant::now());
                let run = brimline(&[&["ask"], asked.as_slice(), &["--server", &url]].concat());
                assert_eq!((code(&run), out(&run)), (4, String::new()), "{asked:?} {wait}: {}", err(&run));
                assert!(err(&run).contains(&status[..3]) && !err(&run).contains("panicked"), "{}", err(&run));
                assert!(from.elapsed().as_secs() < 60, "{asked:?} {wait}");
                assert_eq!(gateway.seen().len(), 1, "{asked:?} {wait}");
            }
        }
    }
    std::fs::remove_dir_all(&folder).unwrap();
}

#[test]
fn a_reader_that_closes_the_pipe_is_no_fault() {
    let mut child = command(&["ask", "flash-point-margin", "--liquid", "ethanol", "--format", "table"])
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let run = child.wait_with_output().unwrap();
    assert_eq!((code(&run), err(&run)), (0, String::new()));
}

#[test]
fn shells_and_man_read_what_there_is() {
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let script = brimline(&["completions", shell]);
        assert_eq!(code(&script), 0);
        assert!(out(&script).contains("room-temperature"), "{shell}");
        // The others complete no values of arguments without a flag.
        let questions = out(&script).contains("flash-point-margin");
        assert!(questions || !["bash", "zsh"].contains(&shell), "{shell}");
    }
    assert_eq!(code(&brimline(&["completions", "bsh"])), 2);
    let page = brimline(&["manual", "ask"]);
    assert!(out(&page).contains(".TH") && out(&page).contains("room\\-temperature"), "{}", out(&page));
    assert!(out(&brimline(&["manual"])).contains("brimline"));
    assert_eq!(code(&brimline(&["manual", "nothing"])), 1);
}
