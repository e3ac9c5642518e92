//! Flags and environment variables of how much the service takes on.

use clap::builder::BoolishValueParser;
use clap::{ArgAction, Args};
use std::num::NonZeroU32;

/// How much of what is asked is taken on at once, from whom, and for how long.
#[derive(Debug, Clone, Args)]
pub struct Limits {
    /// Requests in flight at once, from their head to the last byte of their answer; another one is told to come again later (503).
    #[arg(long, env = "BRIMLINE_MOST_IN_FLIGHT", default_value_t = 1024)]
    pub most_in_flight: u32,
    /// How long requests may stand before a thread that answers short questions, milliseconds; those that stood longer are told to come again later (503).
    #[arg(long, env = "BRIMLINE_LONGEST_QUEUE_MS", default_value_t = 20)]
    pub longest_queue_ms: u64,
    /// Long questions (plans, comparisons, rechecks, sheets, curves, mixtures of four parts and more) computed at once; the number of cores if not given.
    #[arg(long, env = "BRIMLINE_MOST_LONG")]
    pub most_long: Option<usize>,
    /// Long questions that may wait for their turn; another one is told to come again later (503). Four for each core if not given.
    #[arg(long, env = "BRIMLINE_MOST_WAITING")]
    pub most_waiting: Option<u32>,
    /// Long questions that may wait beyond these at a stroke, as when a class plans together; as many again after ten seconds. Twelve for each core if not given.
    #[arg(long, env = "BRIMLINE_WAITING_BURST")]
    pub waiting_burst: Option<u32>,
    /// How long a long question may wait for its turn, milliseconds; then it is told to come again later (503).
    #[arg(long, env = "BRIMLINE_LONGEST_WAIT_MS", default_value_t = 500)]
    pub longest_wait_ms: u64,
    /// How long a long question may wait and be computed together, milliseconds; then its caller gets 503.
    #[arg(long, env = "BRIMLINE_REQUEST_TIMEOUT_MS", default_value_t = 10_000)]
    pub request_timeout_ms: u64,
    /// How long a reader may take nothing, or too little for the system to send him another segment, milliseconds; then the connection is cut (on Linux).
    #[arg(long, env = "BRIMLINE_READER_TIMEOUT_MS", default_value_t = 120_000)]
    pub reader_timeout_ms: u64,
    /// How long a connection may stand idle between requests, milliseconds.
    #[arg(long, env = "BRIMLINE_KEEP_ALIVE_MS", default_value_t = 30_000)]
    pub keep_alive_ms: u64,
    /// Connections held at once; others wait to be taken.
    #[arg(long, env = "BRIMLINE_MOST_CONNECTIONS", default_value_t = 10_000)]
    pub most_connections: usize,
    /// MiB of memory for answers given lately, so that the same question is answered without asking it again; 0 keeps none.
    #[arg(long, env = "BRIMLINE_KEPT_ANSWERS_MIB", default_value_t = 16)]
    pub kept_answers_mib: u32,
    /// Requests a second that one caller may go on asking; more are refused (429). No limit if not given.
    #[arg(long, env = "BRIMLINE_REQUESTS_PER_SECOND")]
    pub requests_per_second: Option<NonZeroU32>,
    /// Requests that one caller may ask at a stroke after a pause; twice the requests per second if not given.
    #[arg(long, env = "BRIMLINE_REQUEST_BURST", requires = "requests_per_second")]
    pub request_burst: Option<NonZeroU32>,
    /// Tell callers apart by the last address in X-Forwarded-For; only behind a proxy that writes it, since callers can write it too.
    #[arg(long, env = "BRIMLINE_TRUST_FORWARDED_FOR", action = ArgAction::SetTrue, value_parser = BoolishValueParser::new())]
    pub trust_forwarded_for: bool,
}
