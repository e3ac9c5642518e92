//! The client of one service: where it is, who asks, how long and how often.

use crate::batch::{Batch, Line};
use crate::{Error, Question, Retry, reply};
use brimline_openapi::catalogue::{MixtureList, RuleList, Substance, SubstanceList, UnitList};
use brimline_openapi::recheck::ChangeList;
use futures_core::Stream;
use reqwest::header::{AUTHORIZATION, HeaderValue};
use reqwest::redirect::Policy;
use reqwest::{RequestBuilder, Url};
use serde::de::DeserializeOwned;
use std::time::Duration;

/// How long one try may take if nothing is said.
const TIME_OUT: Duration = Duration::from_secs(10);
/// How long a connection may take, however long an answer may.
const CONNECTED_WITHIN: Duration = Duration::from_secs(10);

/// A client of one service; cheap to clone, its connections are shared.
///
/// Certificates are trusted that the machine trusts, among them those of a school's own authority, and those of public authorities.
///
/// ```
/// use brimline_client::{Client, Retry};
/// use std::time::Duration;
/// let brimline = Client::with_time_out("http://127.0.0.1:8080", Duration::from_secs(30))?
///     .retrying(Retry { tries: 5, ..Retry::default() })
///     .with_token("a token that is printed once")?;
/// assert!(!format!("{brimline:?}").contains("printed once"), "a token is never shown");
/// # Ok::<(), brimline_client::Error>(())
/// ```
#[derive(Debug, Clone)]
pub struct Client {
    http: reqwest::Client,
    base: Url,
    time_out: Duration,
    pub(crate) retry: Retry,
    /// What the service knows this caller by; marked as sensitive, so that it is not shown.
    authorization: Option<HeaderValue>,
}

impl Client {
    /// A client of the service at a base URL such as `http://127.0.0.1:8080`, with a time-out of 10 s a try.
    ///
    /// ```
    /// let brimline = brimline_client::Client::new("https://brimline.ottermoor.example")?;
    /// # Ok::<(), brimline_client::Error>(())
    /// ```
    ///
    /// # Errors
    /// [`Error::WrongAddress`], [`Error::NoTransport`].
    pub fn new(base: &str) -> Result<Self, Error> {
        Self::with_time_out(base, TIME_OUT)
    }

    /// A client with another time-out for each try.
    ///
    /// ```
    /// use std::time::Duration;
    /// let patient = brimline_client::Client::with_time_out("http://127.0.0.1:8080", Duration::from_secs(60))?;
    /// # Ok::<(), brimline_client::Error>(())
    /// ```
    ///
    /// # Errors
    /// As [`Client::new`].
    pub fn with_time_out(base: &str, time_out: Duration) -> Result<Self, Error> {
        let base = address(base)?;
        let http = reqwest::Client::builder()
            .connect_timeout(CONNECTED_WITHIN.min(time_out))
            // A token goes to the named service alone.
            .redirect(Policy::none())
            .build()
            .map_err(Error::NoTransport)?;
        Ok(Self { http, base, time_out, retry: Retry::default(), authorization: None })
    }

    /// The same client with other retries.
    ///
    /// ```
    /// use brimline_client::{Client, Retry};
    /// let hasty = Client::new("http://127.0.0.1:8080")?.retrying(Retry::never());
    /// # Ok::<(), brimline_client::Error>(())
    /// ```
    #[must_use]
    pub fn retrying(mut self, retry: Retry) -> Self {
        self.retry = retry;
        self
    }

    /// The same client with the token that a service on the network asks for.
    ///
    /// ```
    /// use brimline_client::{Client, Error};
    /// let brimline = Client::new("https://brimline.ottermoor.example")?;
    /// assert!(matches!(brimline.with_token("two\nlines"), Err(Error::WrongToken)));
    /// # Ok::<(), Error>(())
    /// ```
    ///
    /// # Errors
    /// [`Error::WrongToken`] if it cannot stand in a header.
    pub fn with_token(mut self, token: &str) -> Result<Self, Error> {
        let mut value = HeaderValue::from_str(&format!("Bearer {token}")).map_err(|_| Error::WrongToken)?;
        value.set_sensitive(true);
        self.authorization = Some(value);
        Ok(self)
    }

    /// Asks any question; [`Question`] names them.
    ///
    /// ```no_run
    /// # async fn example(brimline: brimline_client::Client) -> Result<(), brimline_client::Error> {
    /// use brimline_client::{FlashPointMargin, Question};
    /// async fn outcome<Q: Question>(
    ///     brimline: &brimline_client::Client,
    ///     request: &Q,
    /// ) -> Result<String, brimline_client::Error> {
    ///     brimline.ask(request).await.map(|_| format!("{} was answered", Q::NAME))
    /// }
    /// println!("{}", outcome(&brimline, &FlashPointMargin::of("ethanol")).await?);
    /// # Ok(()) }
    /// ```
    ///
    /// # Errors
    /// [`Error`].
    pub async fn ask<Q: Question>(&self, request: &Q) -> Result<Q::Answer, Error> {
        let url = self.url(&[Q::NAME]);
        self.read(Q::NAME, || self.http.post(url.clone()).json(request)).await
    }

    /// Asks many questions, one a line, and gives the answers one by one in the order of the lines, as they are asked for.
    ///
    /// ```no_run
    /// # async fn example(brimline: brimline_client::Client) -> Result<(), brimline_client::Error> {
    /// use brimline_client::{FlashPointMargin, batch::Line};
    /// let liquids = ["ethanol", "propan-2-ol", "butan-1-ol"];
    /// let lines: Result<Vec<Line>, _> =
    ///     liquids.iter().map(|liquid| Line::of(*liquid, &FlashPointMargin::of(*liquid))).collect();
    /// let mut answers = brimline.batch(lines?);
    /// while let Some(told) = answers.next().await {
    ///     let told = told?;
    ///     match told.answer {
    ///         Ok(answer) => println!("{}", answer.read::<FlashPointMargin>()?.verdict.sentence),
    ///         Err(problem) => println!("{} was refused: {}", told.reference, problem.detail),
    ///     }
    /// }
    /// # Ok(()) }
    /// ```
    pub fn batch<I: IntoIterator<Item = Line>>(
        &self,
        lines: I,
    ) -> Batch<impl Stream<Item = Line> + Unpin + use<I>> {
        self.batch_of_stream(futures_util::stream::iter(lines))
    }

    /// As [`Client::batch`], with lines that come as a stream; a part is asked when it is full or the stream has ended.
    ///
    /// ```no_run
    /// # async fn example(brimline: brimline_client::Client) -> Result<(), brimline_client::Error> {
    /// use brimline_client::{FlashPointMargin, batch::Line};
    /// let line = Line::of("S3", &FlashPointMargin::of("ethanol"))?;
    /// let mut answers = brimline.batch_of_stream(futures_util::stream::iter([line]));
    /// assert!(answers.next().await.is_some());
    /// # Ok(()) }
    /// ```
    pub fn batch_of_stream<S: Stream<Item = Line> + Unpin>(&self, lines: S) -> Batch<S> {
        Batch::of(self.clone(), lines)
    }

    /// The substances that match a text, best first; all for an empty one. One page of at most 500.
    ///
    /// ```no_run
    /// # async fn example(brimline: brimline_client::Client) -> Result<(), brimline_client::Error> {
    /// for substance in brimline.substances("IPA").await?.items {
    ///     println!("{} {}", substance.name, substance.cas);
    /// }
    /// # Ok(()) }
    /// ```
    ///
    /// # Errors
    /// [`Error`].
    pub async fn substances(&self, search: &str) -> Result<SubstanceList, Error> {
        let mut url = self.url(&["substances"]);
        url.query_pairs_mut().append_pair("limit", "500");
        if !search.is_empty() {
            url.query_pairs_mut().append_pair("search", search);
        }
        self.read("substances", || self.http.get(url.clone())).await
    }

    /// One substance by id, name, synonym or CAS number.
    ///
    /// ```no_run
    /// # async fn example(brimline: brimline_client::Client) -> Result<(), brimline_client::Error> {
    /// println!("{}", brimline.substance("67-63-0").await?.name);
    /// # Ok(()) }
    /// ```
    ///
    /// # Errors
    /// [`Error`].
    pub async fn substance(&self, name: &str) -> Result<Substance, Error> {
        let url = self.url(&["substances", name]);
        self.read("substances", || self.http.get(url.clone())).await
    }

    /// The mixtures that are recognised by name.
    ///
    /// ```no_run
    /// # async fn example(brimline: brimline_client::Client) -> Result<(), brimline_client::Error> {
    /// println!("{} mixtures are known", brimline.mixtures().await?.items.len());
    /// # Ok(()) }
    /// ```
    ///
    /// # Errors
    /// [`Error`].
    pub async fn mixtures(&self) -> Result<MixtureList, Error> {
        self.list("mixtures").await
    }

    /// The rules in force.
    ///
    /// ```no_run
    /// # async fn example(brimline: brimline_client::Client) -> Result<(), brimline_client::Error> {
    /// println!("{} rules are in force", brimline.rules().await?.items.len());
    /// # Ok(()) }
    /// ```
    ///
    /// # Errors
    /// [`Error`].
    pub async fn rules(&self) -> Result<RuleList, Error> {
        self.list("rules").await
    }

    /// What moved figures, by version.
    ///
    /// ```no_run
    /// # async fn example(brimline: brimline_client::Client) -> Result<(), brimline_client::Error> {
    /// println!("{} changes moved figures", brimline.changes().await?.items.len());
    /// # Ok(()) }
    /// ```
    ///
    /// # Errors
    /// [`Error`].
    pub async fn changes(&self) -> Result<ChangeList, Error> {
        self.list("changes").await
    }

    /// The units that requests may use.
    ///
    /// ```no_run
    /// # async fn example(brimline: brimline_client::Client) -> Result<(), brimline_client::Error> {
    /// println!("{} units are read", brimline.units().await?.items.len());
    /// # Ok(()) }
    /// ```
    ///
    /// # Errors
    /// [`Error`].
    pub async fn units(&self) -> Result<UnitList, Error> {
        self.list("units").await
    }

    async fn list<A: DeserializeOwned>(&self, name: &str) -> Result<A, Error> {
        let url = self.url(&[name]);
        self.read(name, || self.http.get(url.clone())).await
    }

    /// The URL of a path below `/v1`.
    fn url(&self, path: &[&str]) -> Url {
        let mut url = self.base.clone();
        // An address that cannot have a path was refused.
        if let Ok(mut segments) = url.path_segments_mut() {
            segments.pop_if_empty().push("v1").extend(path);
        }
        url
    }

    /// A body of lines, on its way to the service.
    pub(crate) fn lines(&self, body: Vec<u8>) -> RequestBuilder {
        let ndjson = crate::batch::NDJSON;
        let request = self.http.post(self.url(&["batch"]));
        self.known(request.header("content-type", ndjson).header("accept", ndjson).body(body))
    }

    fn known(&self, request: RequestBuilder) -> RequestBuilder {
        match &self.authorization {
            Some(value) => request.header(AUTHORIZATION, value.clone()),
            None => request,
        }
    }

    /// Sends a request, again where that can help: every question may be asked twice without harm.
    async fn read<A: DeserializeOwned>(
        &self,
        what: &str,
        request: impl Fn() -> RequestBuilder,
    ) -> Result<A, Error> {
        let mut tried = 0;
        loop {
            tried += 1;
            tracing::debug!(what, tried, "asking");
            let why = match self.known(request()).timeout(self.time_out).send().await {
                Ok(response) => match reply::answer(response, self.time_out).await {
                    Ok(answer) => return Ok(answer),
                    Err(why) => why,
                },
                Err(error) => Error::unsent(error, self.time_out),
            };
            self.paused(what, tried, why).await?;
        }
    }

    /// Waits before the next try; the error, where there is none.
    pub(crate) async fn paused(&self, what: &str, tried: u32, why: Error) -> Result<(), Error> {
        let pause = if why.is_retryable() { self.retry.pause(tried, why.retry_after()) } else { None };
        let Some(pause) = pause else {
            tracing::debug!(what, tried, %why, "not answered");
            return Err(why);
        };
        tracing::warn!(what, tried, pause_ms = pause.as_secs_f64() * 1000.0, %why, "asking again");
        tokio::time::sleep(pause).await;
        Ok(())
    }
}

/// The address of a service. A name or password in it is refused, since addresses are shown.
fn address(base: &str) -> Result<Url, Error> {
    let wrong = |why: String| Error::WrongAddress(why);
    let url =
        Url::parse(base).map_err(|why| wrong(format!("{why}; one such as http://127.0.0.1:8080 is")))?;
    if !matches!(url.scheme(), "http" | "https") {
        return Err(wrong(format!("it begins with {}: and not with http: or https:", url.scheme())));
    }
    if !url.username().is_empty() || url.password().is_some() {
        return Err(wrong("it holds a name or password; a token is given apart".to_owned()));
    }
    if url.query().is_some() || url.fragment().is_some() {
        return Err(wrong("it goes on behind its path".to_owned()));
    }
    Ok(url)
}
