//! Flags and environment variables.

mod fields;
mod protection;

pub use fields::Fields;
use fields::QuestionName;
pub use protection::{Protection, Token};

use crate::limits::Limits;
use crate::question::batch::Counts;
use brimline_openapi::Ending;
use clap::builder::BoolishValueParser;
use clap::{ArgAction, Args, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

/// How signals end the service; shown below the flags.
const STOPPING: &str = "\
SIGTERM or SIGINT: /readyz says 503 for --drain-delay-ms while requests are still served, then no new connections are \
taken and what is in flight finishes within --shutdown-timeout-ms; the exit code is 0. A second signal ends the service \
at once with exit code 1.";

/// What `ask` ends with; shown below its flags.
const EXIT_CODES: &str = "\
Exit codes: 0 answered (a batch: read to its end, whatever its lines; recheck: confirmed); 1 the answer is what --fail-on names, or \
recheck does not confirm the earlier one; 2 the request was wrong, or something cannot be read or written; 3 the reply is not \
complete, or recheck cannot tell (1 wins over 3); 4 the service of --server did not answer, or not this caller.

--fail-on over_limit: a check is over its limit, or the outcome is a word of a newer service; a line of a batch that is refused passes: \
use not_within. --fail-on not_within: anything but a \
complete answer whose outcome is within_limit or near_limit; of recheck, one that is confirmed besides; of a batch, a refused line too. \
A batch without lines fails too.";

/// Whether this much of this flammable liquid may be used in this way, in this room, today.
#[derive(Debug, Clone, Parser)]
#[command(name = "brimline", version, args_conflicts_with_subcommands = true, after_help = STOPPING)]
pub struct Settings {
    /// What to do; `serve` if nothing is said.
    #[command(subcommand)]
    pub command: Option<Command>,
    /// Settings of `serve`, where it is not named.
    #[command(flatten)]
    pub serve: Serve,
}

/// What to do.
#[derive(Debug, Clone, Subcommand)]
pub enum Command {
    /// Answer questions over HTTP.
    #[command(after_help = STOPPING)]
    Serve(Box<Serve>),
    /// Answer one question from a file, standard input or flags, without a server or from a running one.
    #[command(after_help = EXIT_CODES)]
    Ask(Box<Ask>),
    /// Ask a running service on this machine whether it is alive: exit code 0 if it is, 1 if not.
    Health(Health),
    /// Print how well the published figures of each substance agree, as comma-separated text.
    Agreement,
    /// Make a token for a caller: the token, and its line for the file of `--token-file`.
    Token(Token),
    /// Print what a shell needs to complete commands and flags.
    Completions(Completions),
    /// Print a manual page in roff, of the whole program or of one command.
    Manual(Manual),
}

/// Settings of `brimline serve`.
#[derive(Debug, Clone, Args)]
pub struct Serve {
    /// Address to listen on; port 0 takes a free port and prints it.
    #[arg(long, env = "BRIMLINE_LISTEN", value_name = "HOST:PORT", default_value = "127.0.0.1:8080")]
    pub listen: String,
    /// Serve /metrics on its own address and not on the main one.
    #[arg(long, env = "BRIMLINE_METRICS_LISTEN", value_name = "HOST:PORT")]
    pub metrics_listen: Option<String>,
    /// Who may ask, and over what.
    #[command(flatten)]
    pub protection: Protection,
    /// Let a request make a rule laxer if it says by whom and why.
    #[arg(long, env = "BRIMLINE_ALLOW_RELAXED_RULES", action = ArgAction::SetTrue, value_parser = BoolishValueParser::new())]
    pub allow_relaxed_rules: bool,
    /// After SIGTERM: how long /readyz says 503 while requests are still served, milliseconds.
    #[arg(long, env = "BRIMLINE_DRAIN_DELAY_MS", default_value_t = 5000)]
    pub drain_delay_ms: u64,
    /// After that: how long requests in flight may take to finish, milliseconds; rounded up to whole seconds.
    #[arg(long, env = "BRIMLINE_SHUTDOWN_TIMEOUT_MS", default_value_t = 60_000)]
    pub shutdown_timeout_ms: u64,
    /// How long a body may take to arrive, milliseconds.
    #[arg(long, env = "BRIMLINE_BODY_TIMEOUT_MS", default_value_t = 10_000)]
    pub body_timeout_ms: u64,
    /// How long the body of a batch of more than 64 KiB may take to arrive, milliseconds.
    #[arg(long, env = "BRIMLINE_BATCH_TIMEOUT_MS", default_value_t = 60_000)]
    pub batch_timeout_ms: u64,
    /// Batches answered at once; another one is told to come again later. Each holds up to 16 MiB.
    #[arg(long, env = "BRIMLINE_MOST_BATCHES", default_value_t = 2)]
    pub most_batches: usize,
    /// How long the head of a request may take to arrive, milliseconds.
    #[arg(long, env = "BRIMLINE_HEADER_TIMEOUT_MS", default_value_t = 5000)]
    pub header_timeout_ms: u64,
    /// Origin from which browsers may ask, such as `https://plan.example`; may be given several times, none if not given.
    #[arg(long, env = "BRIMLINE_ALLOW_ORIGIN", value_delimiter = ',', value_parser = origin)]
    pub allow_origin: Vec<String>,
    /// Path under which a proxy publishes the service, such as /brimline, for links on pages and to the next page.
    #[arg(long, env = "BRIMLINE_PUBLIC_PATH", value_parser = public_path, default_value = "")]
    pub public_path: String,
    /// Threads that answer; the number of cores if not given.
    #[arg(long, env = "BRIMLINE_WORKERS")]
    pub workers: Option<usize>,
    /// How much is taken on at once.
    #[command(flatten)]
    pub limits: Limits,
    /// What is logged to standard error.
    #[arg(long, env = "BRIMLINE_LOG", default_value = "info", value_parser = ["off", "error", "warn", "info", "debug", "trace"])]
    pub log: String,
    /// Form of the log.
    #[arg(long, env = "BRIMLINE_LOG_FORMAT", value_enum, default_value_t = LogFormat::Text)]
    pub log_format: LogFormat,
}

/// Form of the log.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum LogFormat {
    /// Lines for people.
    Text,
    /// One JSON object a line.
    Json,
}

/// Settings of `brimline ask`.
#[derive(Debug, Clone, Args)]
pub struct Ask {
    /// The question; `batch` for a file with one question a line.
    #[arg(value_parser = QuestionName, hide_possible_values = true)]
    pub question: String,
    /// File with the request as JSON; standard input if not given or `-`. Of `recheck` it may be the earlier reply, or its record, as it was kept. With flags of a request standard input is not read, whatever stands there: a loop may be reading it.
    pub file: Option<PathBuf>,
    /// What the reply is printed as.
    #[arg(long, env = "BRIMLINE_FORMAT", value_enum, default_value_t = PrintedAs::Json)]
    pub format: PrintedAs,
    /// The request, where it is not in a file.
    #[command(flatten)]
    pub fields: Fields,
    /// Of a batch: the file that the replies are written to; standard output if not given.
    #[arg(long, env = "BRIMLINE_OUTPUT")]
    pub output: Option<PathBuf>,
    /// Of a batch: go on where the file of an earlier run ends, and ask nothing twice.
    #[arg(long, env = "BRIMLINE_RESUME", action = ArgAction::SetTrue, value_parser = BoolishValueParser::new())]
    pub resume: bool,
    /// Ask a running service, such as `https://brimline.ottermoor.example`, a batch in parts within its bounds. A token for it stands in BRIMLINE_TOKEN, or in the file of `--token-from`.
    #[arg(long, env = "BRIMLINE_SERVER", value_name = "URL", value_parser = service)]
    pub server: Option<String>,
    /// File that holds the token for `--server`, and nothing else.
    #[arg(long, env = "BRIMLINE_TOKEN_FROM", value_name = "FILE")]
    pub token_from: Option<PathBuf>,
    /// How long a service of `--server` that says to come again later, or answers no further line of a batch, is asked again, milliseconds.
    #[arg(long, env = "BRIMLINE_RETRY_FOR_MS", default_value_t = 300_000)]
    pub retry_for_ms: u64,
    /// Exit with 1 if the answer is this; see below.
    #[arg(long, env = "BRIMLINE_FAIL_ON", value_enum)]
    pub fail_on: Option<FailOn>,
    /// Let the request make a rule laxer if it says by whom and why.
    #[arg(long, env = "BRIMLINE_ALLOW_RELAXED_RULES", action = ArgAction::SetTrue, value_parser = BoolishValueParser::new())]
    pub allow_relaxed_rules: bool,
}

/// What a reply is printed as.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PrintedAs {
    /// The reply as the service sends it.
    Json,
    /// For people: the sentence first, figures with their ranges, checks, cautions.
    Table,
    /// A picture.
    Svg,
    /// The sheet of a plan as a page.
    Html,
    /// The sheet of a plan as Markdown.
    Md,
    /// A series as comma-separated text.
    Csv,
}

/// Settings of `brimline completions`.
#[derive(Debug, Clone, Args)]
pub struct Completions {
    /// The shell.
    pub shell: clap_complete::Shell,
}

/// Settings of `brimline manual`.
#[derive(Debug, Clone, Args)]
pub struct Manual {
    /// The command; the whole program if not given.
    pub command: Option<String>,
}

/// Settings of `brimline health`.
#[derive(Debug, Clone, Args)]
pub struct Health {
    /// Address that the service listens on; `0.0.0.0` is asked on the loopback address.
    #[arg(long, env = "BRIMLINE_LISTEN", value_name = "HOST:PORT", default_value = "127.0.0.1:8080")]
    pub listen: String,
    /// Ask whether it is ready for requests, which it is not while it drains.
    #[arg(long, env = "BRIMLINE_READY", action = ArgAction::SetTrue, value_parser = BoolishValueParser::new())]
    pub ready: bool,
    /// How long connecting, and then each part of the reply, may take, milliseconds.
    #[arg(long, env = "BRIMLINE_HEALTH_TIMEOUT_MS", default_value_t = 2000)]
    pub health_timeout_ms: u64,
}

/// What fails a script.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum FailOn {
    /// A check is over its limit.
    #[value(name = "over_limit")]
    OverLimit,
    /// Anything but a complete answer within its limits.
    #[value(name = "not_within")]
    NotWithin,
}

impl FailOn {
    /// Whether an answer that ends so fails the script.
    #[must_use]
    pub fn fails(self, ending: Ending) -> bool {
        self.fails_batch(Counts::answered(ending))
    }

    /// Whether a batch with such lines does: one without any says yes to nothing.
    #[must_use]
    pub const fn fails_batch(self, counts: Counts) -> bool {
        counts.is_empty()
            || match self {
                Self::OverLimit => counts.over_limit > 0,
                Self::NotWithin => counts.not_within > 0,
            }
    }
}

/// A path with a slash before it and none after it; empty at the root.
fn public_path(text: &str) -> Result<String, String> {
    let path = text.trim_matches('/');
    let allowed = |byte: u8| byte.is_ascii_alphanumeric() || b"-._~/".contains(&byte);
    match path {
        "" => Ok(String::new()),
        // What needs escaping in a URL or on a page is not let in, so that no link has to escape it.
        path if path.bytes().all(allowed) => Ok(format!("/{path}")),
        _ => Err("a path is made of letters, digits, `-`, `.`, `_`, `~` and `/`".to_owned()),
    }
}

/// The address of a service, without the slash at its end.
fn service(text: &str) -> Result<String, String> {
    let rest = text.strip_prefix("https://").or_else(|| text.strip_prefix("http://"));
    match rest {
        // A name and a password in an address end up in logs.
        Some(rest) if !rest.is_empty() && !rest.contains(['@', '?', '#', ' ']) => {
            Ok(text.trim_end_matches('/').to_owned())
        }
        _ => Err("a service is named like https://brimline.example or http://127.0.0.1:8080".to_owned()),
    }
}

/// An origin as browsers write it: scheme, host and maybe a port.
fn origin(text: &str) -> Result<String, String> {
    let host = text.strip_prefix("https://").or_else(|| text.strip_prefix("http://"));
    let allowed = |byte: u8| byte.is_ascii_alphanumeric() || b"-.:[]".contains(&byte);
    match host {
        // A wildcard is refused: a school names the sites that may ask.
        Some(host) if !host.is_empty() && host.bytes().all(allowed) => Ok(text.to_ascii_lowercase()),
        _ => Err("an origin is written like https://plan.example or http://localhost:3000".to_owned()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory as _;

    #[test]
    fn every_setting_is_a_flag_a_variable_and_a_line_of_help() {
        let command = Settings::command();
        command.clone().debug_assert();
        let all = std::iter::once(&command).chain(command.get_subcommands());
        for argument in
            all.flat_map(clap::Command::get_arguments).filter(|argument| argument.get_id() != "help")
        {
            // What is asked is no setting.
            if argument.get_help_heading() == Some(fields::HEADING) {
                continue;
            }
            let Some(flag) = argument.get_long().filter(|flag| *flag != "version") else { continue };
            let variable = format!("BRIMLINE_{}", flag.replace('-', "_").to_uppercase());
            assert_eq!(argument.get_env().unwrap().to_str(), Some(variable.as_str()));
            assert!(argument.get_help().is_some(), "{flag}");
        }
    }

    #[test]
    fn a_public_path_stands_between_one_slash_and_none() {
        assert_eq!(public_path(""), Ok(String::new()));
        assert_eq!(public_path("/"), Ok(String::new()));
        assert_eq!(public_path("tools/brimline/"), Ok("/tools/brimline".to_owned()));
        assert!(public_path("/a\"><b").is_err());
    }

    #[test]
    fn a_service_is_named_by_its_whole_address_without_a_password() {
        assert_eq!(service("http://127.0.0.1:8080/"), Ok("http://127.0.0.1:8080".to_owned()));
        assert_eq!(
            service("https://ottermoor.example/brimline"),
            Ok("https://ottermoor.example/brimline".to_owned())
        );
        for wrong in [
            "127.0.0.1:8080",
            "http://",
            "ftp://ottermoor.example",
            "http://a:b@ottermoor.example",
            "http://a/?b",
        ] {
            assert!(service(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn an_origin_is_no_wildcard_and_has_no_path() {
        assert!(origin("https://plan.ottermoor.example").is_ok());
        assert!(origin("http://localhost:3000").is_ok());
        assert!(origin("*").is_err());
        assert!(origin("https://plan.example/page").is_err());
    }
}
