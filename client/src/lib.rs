//! Typed client of the Brimline service: one method for each question, typed refusals, time-outs, retries of what can be
//! retried. The contract's types are re-exported.
//!
//! ```no_run
//! # async fn example() -> Result<(), brimline_client::Error> {
//! use brimline_client::{Client, FlashPointMargin};
//! let brimline = Client::new("http://127.0.0.1:8080")?;
//! let reply = brimline.flash_point_margin(&FlashPointMargin::of("ethanol").room_temperature("21 Cel")).await?;
//! println!("{}", reply.verdict.sentence);
//! # Ok(()) }
//! ```

mod error;
mod retry;

pub use brimline_openapi::*;
pub use error::Error;
pub use retry::Retry;

use brimline_openapi::catalogue::{MixtureList, RuleList, Substance, SubstanceList, UnitList};
use reqwest::header::{AUTHORIZATION, HeaderValue};
use reqwest::{RequestBuilder, Response};
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::time::Duration;

/// How long one try may take if nothing is said.
const TIME_OUT: Duration = Duration::from_secs(10);

/// A client of one service; cheap to clone, its connections are shared.
#[derive(Debug, Clone)]
pub struct Client {
    http: reqwest::Client,
    base: String,
    retry: Retry,
    /// What the service knows this caller by; marked as sensitive, so that it is not shown.
    authorization: Option<HeaderValue>,
}

impl Client {
    /// A client of the service at a base URL such as `http://127.0.0.1:8080`, with a time-out of 10 s a try.
    ///
    /// # Errors
    /// [`Error::Unreachable`] if the URL is none or the transport cannot be set up.
    pub fn new(base: &str) -> Result<Self, Error> {
        Self::with_time_out(base, TIME_OUT)
    }

    /// A client with another time-out for each try.
    ///
    /// # Errors
    /// As [`Client::new`].
    pub fn with_time_out(base: &str, time_out: Duration) -> Result<Self, Error> {
        let http = reqwest::Client::builder().timeout(time_out).build().map_err(Error::Unreachable)?;
        let base = base.trim_end_matches('/').to_owned();
        // A wrong URL is found here and not at the first question.
        http.get(&base).build().map_err(Error::Unreachable)?;
        Ok(Self { http, base, retry: Retry::default(), authorization: None })
    }

    /// The same client with other retries.
    #[must_use]
    pub const fn retrying(mut self, retry: Retry) -> Self {
        self.retry = retry;
        self
    }

    /// The same client with the token that a service on the network asks for.
    ///
    /// # Errors
    /// [`Error::WrongToken`] if it cannot stand in a header.
    pub fn with_token(mut self, token: &str) -> Result<Self, Error> {
        let mut value = HeaderValue::from_str(&format!("Bearer {token}")).map_err(|_| Error::WrongToken)?;
        value.set_sensitive(true);
        self.authorization = Some(value);
        Ok(self)
    }

    /// How much vapour stands over a liquid.
    ///
    /// # Errors
    /// [`Error`].
    pub async fn vapour_pressure(&self, request: &VapourPressure) -> Result<VapourPressureReply, Error> {
        self.ask("vapour-pressure", request).await
    }

    /// How far a liquid is below its flash point.
    ///
    /// # Errors
    /// [`Error`].
    pub async fn flash_point_margin(
        &self,
        request: &FlashPointMargin,
    ) -> Result<FlashPointMarginReply, Error> {
        self.ask("flash-point-margin", request).await
    }

    /// The lower flammable limit in a room, and the amounts that reach shares of it.
    ///
    /// # Errors
    /// [`Error`].
    pub async fn room_flammable_limit(
        &self,
        request: &RoomFlammableLimit,
    ) -> Result<RoomFlammableLimitReply, Error> {
        self.ask("room-flammable-limit", request).await
    }

    /// The largest fill at which every limit considered holds.
    ///
    /// # Errors
    /// [`Error`].
    pub async fn safe_fill(&self, request: &SafeFill) -> Result<SafeFillReply, Error> {
        self.ask("safe-fill", request).await
    }

    /// How fast a liquid evaporates from an open surface, and how far its vapour can be lit.
    ///
    /// # Errors
    /// [`Error`].
    pub async fn evaporation(&self, request: &Evaporation) -> Result<EvaporationReply, Error> {
        self.ask("evaporation", request).await
    }

    /// What the nearest person breathes, against exposure limits.
    ///
    /// # Errors
    /// [`Error`].
    pub async fn exposure(&self, request: &Exposure) -> Result<ExposureReply, Error> {
        self.ask("exposure", request).await
    }

    /// What a dropped container does.
    ///
    /// # Errors
    /// [`Error`].
    pub async fn spill(&self, request: &Spill) -> Result<SpillReply, Error> {
        self.ask("spill", request).await
    }

    /// How long, how hot and how tall a liquid burns from open vessels, how near people may be.
    ///
    /// # Errors
    /// [`Error`].
    pub async fn burning(&self, request: &Burning) -> Result<BurningReply, Error> {
        self.ask("burning", request).await
    }

    /// When a hot vessel may be touched or filled again.
    ///
    /// # Errors
    /// [`Error`].
    pub async fn cooling(&self, request: &Cooling) -> Result<CoolingReply, Error> {
        self.ask("cooling", request).await
    }

    /// How a liquid is kept in a closed container.
    ///
    /// # Errors
    /// [`Error`].
    pub async fn storage(&self, request: &Storage) -> Result<StorageReply, Error> {
        self.ask("storage", request).await
    }

    /// Several liquids for one use, criterion by criterion.
    ///
    /// # Errors
    /// [`Error`].
    pub async fn comparison(&self, request: &Comparison) -> Result<ComparisonReply, Error> {
        self.ask("comparison", request).await
    }

    /// A whole plan in the order in which it is done: every check, and the changes that mend it.
    ///
    /// # Errors
    /// [`Error`].
    pub async fn practical(&self, request: &Practical) -> Result<PracticalReply, Error> {
        self.ask("practical", request).await
    }

    /// Whether today's version gives what an earlier answer said.
    ///
    /// # Errors
    /// [`Error`].
    pub async fn recheck(&self, request: &Recheck) -> Result<Rechecked, Error> {
        self.ask("recheck", request).await
    }

    /// The substances that match a text, best first; all for an empty one. One page of at most 500.
    ///
    /// # Errors
    /// [`Error`].
    pub async fn substances(&self, search: &str) -> Result<SubstanceList, Error> {
        let mut query = vec![("limit", "500")];
        if !search.is_empty() {
            query.push(("search", search));
        }
        self.read(self.http.get(self.url("/v1/substances")).query(&query)).await
    }

    /// One substance by id, name, synonym or CAS number.
    ///
    /// # Errors
    /// [`Error`].
    pub async fn substance(&self, name: &str) -> Result<Substance, Error> {
        let mut url =
            reqwest::Url::parse(&self.url("/v1/substances")).map_err(|error| Error::wrong_address(&error))?;
        if let Ok(mut path) = url.path_segments_mut() {
            path.push(name);
        }
        self.read(self.http.get(url)).await
    }

    /// The mixtures that are recognised by name.
    ///
    /// # Errors
    /// [`Error`].
    pub async fn mixtures(&self) -> Result<MixtureList, Error> {
        self.read(self.http.get(self.url("/v1/mixtures"))).await
    }

    /// The rules in force.
    ///
    /// # Errors
    /// [`Error`].
    pub async fn rules(&self) -> Result<RuleList, Error> {
        self.read(self.http.get(self.url("/v1/rules"))).await
    }

    /// What moved figures, by version.
    ///
    /// # Errors
    /// [`Error`].
    pub async fn changes(&self) -> Result<ChangeList, Error> {
        self.read(self.http.get(self.url("/v1/changes"))).await
    }

    /// The units that requests may use.
    ///
    /// # Errors
    /// [`Error`].
    pub async fn units(&self) -> Result<UnitList, Error> {
        self.read(self.http.get(self.url("/v1/units"))).await
    }

    fn url(&self, path: &str) -> String {
        format!("{}{path}", self.base)
    }

    async fn ask<Q: Serialize + Sync, A: DeserializeOwned>(
        &self,
        question: &str,
        request: &Q,
    ) -> Result<A, Error> {
        self.read(self.http.post(self.url(&format!("/v1/{question}"))).json(request)).await
    }

    /// Sends a request, again where that can help: every question may be asked twice without harm.
    async fn read<A: DeserializeOwned>(&self, request: RequestBuilder) -> Result<A, Error> {
        let request = match &self.authorization {
            Some(value) => request.header(AUTHORIZATION, value.clone()),
            None => request,
        };
        let mut tried = 0;
        loop {
            tried += 1;
            let again = request.try_clone();
            let found = match again.unwrap_or_else(|| self.http.get(&self.base)).send().await {
                Ok(response) => read(response).await,
                Err(error) => Err(Error::Unreachable(error)),
            };
            match found {
                Err(error) if error.is_retryable() && tried < self.retry.tries => {
                    tokio::time::sleep(self.retry.pause(tried, error.retry_after())).await;
                }
                found => return found,
            }
        }
    }
}

/// The answer in a response, or why there is none.
async fn read<A: DeserializeOwned>(response: Response) -> Result<A, Error> {
    let status = response.status().as_u16();
    let header =
        |name: &str| response.headers().get(name).and_then(|value| value.to_str().ok()).map(str::to_owned);
    let retry_after = header("retry-after").and_then(|text| text.parse().ok()).map(Duration::from_secs);
    let is_problem = header("content-type").is_some_and(|kind| kind.starts_with("application/problem+json"));
    let body = response.bytes().await.map_err(Error::Unreachable)?;
    if matches!(status, 429 | 503) {
        return Err(Error::Busy { retry_after });
    }
    if (200..300).contains(&status)
        && let Ok(answer) = serde_json::from_slice(&body)
    {
        return Ok(answer);
    }
    if is_problem && let Ok(problem) = serde_json::from_slice(&body) {
        return Err(Error::Refused(Box::new(problem)));
    }
    Err(Error::Unexpected { status, body: String::from_utf8_lossy(&body).into_owned() })
}
