//! Flags and environment variables.

use clap::{Args, Parser, Subcommand, ValueEnum};
use std::net::SocketAddr;
use std::path::PathBuf;

/// Whether this much of this flammable liquid may be used in this way, in this room, today.
#[derive(Debug, Clone, Parser)]
#[command(name = "brimline", version, args_conflicts_with_subcommands = true)]
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
    Serve(Serve),
    /// Answer one question from a file or standard input, without a server.
    Ask(Ask),
}

/// Settings of `brimline serve`.
#[derive(Debug, Clone, Args)]
pub struct Serve {
    /// Address to listen on; port 0 takes a free port and prints it.
    #[arg(long, env = "BRIMLINE_LISTEN", default_value = "127.0.0.1:8080")]
    pub listen: SocketAddr,
    /// Serve /metrics on its own address and not on the main one.
    #[arg(long, env = "BRIMLINE_METRICS_LISTEN")]
    pub metrics_listen: Option<SocketAddr>,
    /// Let a request make a rule laxer if it says by whom and why.
    #[arg(long, env = "BRIMLINE_ALLOW_RELAXED_RULES")]
    pub allow_relaxed_rules: bool,
    /// After SIGTERM: how long /readyz says 503 while requests are still served, milliseconds.
    #[arg(long, env = "BRIMLINE_DRAIN_DELAY_MS", default_value_t = 5000)]
    pub drain_delay_ms: u64,
    /// After that: how long requests in flight may take to finish, milliseconds.
    #[arg(long, env = "BRIMLINE_SHUTDOWN_TIMEOUT_MS", default_value_t = 60_000)]
    pub shutdown_timeout_ms: u64,
    /// How long a body may take to arrive, milliseconds.
    #[arg(long, env = "BRIMLINE_BODY_TIMEOUT_MS", default_value_t = 10_000)]
    pub body_timeout_ms: u64,
    /// How long the head of a request may take to arrive, milliseconds.
    #[arg(long, env = "BRIMLINE_HEADER_TIMEOUT_MS", default_value_t = 5000)]
    pub header_timeout_ms: u64,
    /// Origin from which browsers may ask; may be given several times.
    #[arg(long, env = "BRIMLINE_ALLOW_ORIGIN", value_delimiter = ',')]
    pub allow_origin: Vec<String>,
    /// Path under which a proxy publishes the service, for links on pages.
    #[arg(long, env = "BRIMLINE_PUBLIC_PATH", default_value = "")]
    pub public_path: String,
    /// Threads that answer; the number of cores if not given.
    #[arg(long, env = "BRIMLINE_WORKERS")]
    pub workers: Option<usize>,
    /// What is logged to standard error: error, warn, info, debug.
    #[arg(long, env = "BRIMLINE_LOG", default_value = "info")]
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
    /// The question, for example `flash-point-margin`.
    pub question: String,
    /// File with the request as JSON; standard input if not given or `-`.
    pub file: Option<PathBuf>,
    /// Exit with 1 if the outcome is this.
    #[arg(long, env = "BRIMLINE_FAIL_ON", value_enum)]
    pub fail_on: Option<FailOn>,
    /// Let the request make a rule laxer if it says by whom and why.
    #[arg(long, env = "BRIMLINE_ALLOW_RELAXED_RULES")]
    pub allow_relaxed_rules: bool,
}

/// Outcome that fails a script.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum FailOn {
    /// A check is over its limit.
    #[value(name = "over_limit")]
    OverLimit,
}
