//! Why a question was not answered.

use crate::NotFinite;
use brimline_openapi::Problem;
use brimline_openapi::problem::Fault;
use std::fmt::Write as _;
use std::time::Duration;

/// Why a question was not answered; each shows itself as one sentence.
///
/// ```
/// use brimline_client::{Client, Error};
/// let why = Client::new("lab S3").unwrap_err();
/// assert!(matches!(why, Error::WrongAddress(_)));
/// assert!(!why.is_retryable());
/// assert!(why.to_string().starts_with("the address of the service is wrong: "));
/// ```
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// The service refused the request: the caller can mend it; every fault is listed with its pointer.
    #[error("refused: {}", told(.0))]
    Refused(Box<Problem>),
    /// The service is busy (503), or this caller asks too often (429).
    #[error("{}{}", busy(*.status, .detail.as_deref()), asked_to_wait(*.retry_after))]
    Busy {
        /// The HTTP status.
        status: u16,
        /// How long the service asks to wait.
        retry_after: Option<Duration>,
        /// What it says, where it is the service that speaks.
        detail: Option<String>,
    },
    /// No connection: nobody listens there, the name is not known, or the connection ended before a reply.
    #[error("the service cannot be reached: {}", deepest(.0))]
    Unreachable(#[source] reqwest::Error),
    /// The certificate of the service is not trusted here, or it does not speak TLS.
    #[error("no trusted connection to the service: {}", deepest(.0))]
    Untrusted(#[source] reqwest::Error),
    /// No reply, or no more of it, came within the time-out.
    #[error("the service did not answer within {} s", .0.as_secs_f64())]
    TimedOut(Duration),
    /// The reply broke off.
    #[error("the reply broke off: {0}")]
    BrokenOff(String),
    /// The address is none of a service.
    #[error("the address of the service is wrong: {0}")]
    WrongAddress(String),
    /// The transport cannot be set up.
    #[error("no client of HTTP can be set up here: {}", deepest(.0))]
    NoTransport(#[source] reqwest::Error),
    /// The token cannot be sent.
    #[error("the token holds what cannot stand in a header")]
    WrongToken,
    /// The service, or what stands before it, sends callers elsewhere. It is not followed: a token is for the named service alone.
    #[error("the service is at another address, name that one: {to}")]
    Elsewhere {
        /// The other address.
        to: String,
    },
    /// A reply that is none of a service, such as a proxy's page; its body is kept.
    #[error("another program than the service answered: status {status}, {content_type}")]
    Unexpected {
        /// The HTTP status.
        status: u16,
        /// What kind of body it says it has.
        content_type: String,
        /// The body as text, at most 64 KiB of it.
        body: String,
    },
    /// A reply in JSON that this client cannot read.
    #[error("the reply cannot be read by this client: {why}")]
    NotUnderstood {
        /// What is wrong with it.
        why: String,
        /// The reply, at most 64 KiB of it.
        body: String,
    },
    /// The request cannot be written as JSON.
    #[error("the request cannot be written as JSON: {0}")]
    Unwritable(String),
    /// A number that is no quantity.
    #[error(transparent)]
    NotFinite(#[from] NotFinite),
    /// A line of a batch is longer than the service takes.
    #[error("a line of a batch has {octets} octets; at most {} are taken", crate::batch::LONGEST_LINE)]
    LineTooLong {
        /// Its length.
        octets: usize,
    },
    /// An answer of a batch was read as one to another question.
    #[error("the answer is one to {asked} and was read as one to {read}")]
    AnotherQuestion {
        /// The question that was asked.
        asked: String,
        /// The question of which it was read as the answer.
        read: &'static str,
    },
    /// A batch ended before its last line was answered; asking again from there may help if it is retryable.
    #[error("the batch ended after {answered} answered or refused lines: {why}")]
    Incomplete {
        /// How many lines have their answer or refusal.
        answered: u64,
        /// Why it ended.
        #[source]
        why: Box<Error>,
    },
    /// The blocking client was used inside an asynchronous runtime, which it would hold up.
    #[error(
        "the blocking client cannot be used inside an asynchronous runtime: use `brimline_client::Client` there, or a thread of its own"
    )]
    InsideRuntime,
    /// The runtime of the blocking client cannot be started.
    #[error("the blocking client cannot be started: {0}")]
    NoRuntime(#[source] std::io::Error),
}

impl Error {
    /// Whether the same request may be answered a moment later.
    ///
    /// ```
    /// use brimline_client::Error;
    /// assert!(Error::Busy { status: 503, retry_after: None, detail: None }.is_retryable());
    /// assert!(!Error::WrongToken.is_retryable());
    /// ```
    #[must_use]
    pub fn is_retryable(&self) -> bool {
        match self {
            Self::Busy { .. } | Self::Unreachable(_) | Self::TimedOut(_) | Self::BrokenOff(_) => true,
            Self::Unexpected { status, .. } => matches!(status, 502 | 504),
            // The body did not arrive in time.
            Self::Refused(problem) => problem.status == 408,
            Self::Incomplete { why, .. } => why.is_retryable(),
            _ => false,
        }
    }

    /// How long the service asks to wait.
    ///
    /// ```
    /// use brimline_client::Error;
    /// use std::time::Duration;
    /// let why = Error::Busy { status: 429, retry_after: Some(Duration::from_secs(7)), detail: None };
    /// assert_eq!(why.retry_after(), Some(Duration::from_secs(7)));
    /// ```
    #[must_use]
    pub fn retry_after(&self) -> Option<Duration> {
        match self {
            Self::Busy { retry_after, .. } => *retry_after,
            Self::Incomplete { why, .. } => why.retry_after(),
            _ => None,
        }
    }

    /// The faults of a refused request, each with the JSON pointer to its place; empty for any other error.
    ///
    /// ```
    /// # fn main() -> Result<(), Box<dyn std::error::Error>> {
    /// # tokio::runtime::Builder::new_current_thread().enable_all().build()?.block_on(async {
    /// # use wiremock::{Mock, MockServer, ResponseTemplate, matchers::any};
    /// # let server = MockServer::start().await;
    /// # let problem = r#"{"type": "/problems/unknown-substance", "code": "unknown-substance", "title": "", "status": 422, "detail": "",
    /// #     "errors": [{"code": "unknown-substance", "pointer": "/liquid", "detail": "", "suggestion": "ethanol"}]}"#;
    /// # let reply = ResponseTemplate::new(422).set_body_raw(problem, "application/problem+json");
    /// # Mock::given(any()).respond_with(reply).mount(&server).await;
    /// # let brimline = brimline_client::Client::new(&server.uri())?;
    /// use brimline_client::FlashPointMargin;
    /// let Err(why) = brimline.flash_point_margin(&FlashPointMargin::of("ethanole")).await else {
    ///     return Err("it is answered".into());
    /// };
    /// let fault = why.faults().first().ok_or("no fault")?;
    /// assert_eq!((fault.pointer.as_str(), fault.suggestion.as_deref()), ("/liquid", Some("ethanol")));
    /// # Ok(()) })
    /// # }
    /// ```
    #[must_use]
    pub fn faults(&self) -> &[Fault] {
        match self {
            Self::Refused(problem) => &problem.errors,
            Self::Incomplete { why, .. } => why.faults(),
            _ => &[],
        }
    }

    /// Of a request that was not sent, or had no head of a reply.
    pub(crate) fn unsent(error: reqwest::Error, time_out: Duration) -> Self {
        if error.is_builder() {
            Self::Unwritable(deepest(&error))
        } else if error.is_timeout() && !error.is_connect() {
            Self::TimedOut(time_out)
        } else if is_tls(&error) {
            Self::Untrusted(error.without_url())
        } else {
            Self::Unreachable(error.without_url())
        }
    }

    /// Of a reply whose body did not come whole.
    pub(crate) fn unread(error: &reqwest::Error, time_out: Duration) -> Self {
        if error.is_timeout() { Self::TimedOut(time_out) } else { Self::BrokenOff(deepest(error)) }
    }
}

/// The problem in one sentence: each fault with its place.
fn told(problem: &Problem) -> String {
    if problem.errors.is_empty() {
        return problem.detail.clone();
    }
    let mut text = String::new();
    for fault in &problem.errors {
        let place = if fault.pointer.is_empty() { "the request" } else { &fault.pointer };
        let between = if text.is_empty() { "" } else { "; " };
        // Writing to a string does not fail.
        let _ = write!(text, "{between}{place}: {}", fault.detail);
    }
    text
}

fn busy(status: u16, detail: Option<&str>) -> String {
    let what = if status == 429 {
        "this caller asks more than the service allows it"
    } else {
        "the service is busy"
    };
    detail.map_or_else(|| what.to_owned(), |detail| format!("{what}: {detail}"))
}

fn asked_to_wait(retry_after: Option<Duration>) -> String {
    retry_after.map_or_else(String::new, |wait| format!("; it asks to wait {} s", wait.as_secs()))
}

/// An error and what caused it. An `io::Error` hides the one that it holds from `source`.
fn causes<'a>(
    error: &'a (dyn std::error::Error + 'static),
) -> impl Iterator<Item = &'a (dyn std::error::Error + 'static)> {
    std::iter::successors(Some(error), |error| {
        match error.downcast_ref::<std::io::Error>().and_then(std::io::Error::get_ref) {
            Some(held) => Some(held),
            None => error.source(),
        }
    })
}

/// What an error says at its root: what stands above it only says that something failed.
pub(crate) fn deepest(error: &(dyn std::error::Error + 'static)) -> String {
    causes(error).last().map_or_else(String::new, ToString::to_string)
}

/// Whether an error comes from TLS.
fn is_tls(error: &(dyn std::error::Error + 'static)) -> bool {
    causes(error).any(<dyn std::error::Error>::is::<rustls::Error>)
}
