//! Many questions, one a line, answered one by one in the order of the lines.
//!
//! The lines are sent in parts within the service's bounds. The reply to a part is read as the caller asks for answers and no
//! faster, so that memory is bounded by one part however many lines there are. Where a reply breaks off, or the service is busy, the
//! lines without an answer are asked again, as [`Retry`](crate::Retry) says; a line that has its answer is never asked twice.

mod lines;

use crate::{Client, Error, Question};
use brimline_openapi::{Ending, Outcome, Problem};
use futures_core::Stream;
use futures_util::StreamExt as _;
use lines::{Reply, ReplyLines};
use serde::Serialize;
use serde_json::Value;
use serde_json::value::RawValue;
use std::collections::VecDeque;
use std::time::Duration;

/// The type of a batch and of its reply.
pub(crate) const NDJSON: &str = "application/x-ndjson";
/// Most lines that the service takes at once; what is more goes into the next part.
///
/// ```
/// assert_eq!(brimline_client::batch::MOST_LINES, 25_000);
/// ```
pub const MOST_LINES: usize = 25_000;
/// Longest line that the service takes, octets.
///
/// ```
/// use brimline_client::{Error, batch::{LONGEST_LINE, Line}};
/// let long = Line::json(1, "spill", &"x".repeat(LONGEST_LINE).into());
/// assert!(matches!(long, Err(Error::LineTooLong { .. })));
/// ```
pub const LONGEST_LINE: usize = 64 * 1024;
/// Largest part, octets: a quarter of the 16 MiB that the service takes, so that it arrives in time over a slow line.
///
/// ```
/// assert_eq!(brimline_client::batch::LARGEST_PART * 4, 16 * 1024 * 1024);
/// ```
pub const LARGEST_PART: usize = 4 * 1024 * 1024;
/// How long the service may be silent if nothing is said: a whole part is read before the first answer.
const SILENCE: Duration = Duration::from_secs(120);

/// A question of a batch, with a reference that comes back with its answer.
///
/// ```
/// use brimline_client::{FlashPointMargin, batch::Line};
/// use serde_json::json;
/// // Typed, or by the name of the question and any JSON.
/// let typed = Line::of("S3", &FlashPointMargin::of("ethanol"))?;
/// let untyped = Line::json("S3", "flash-point-margin", &json!({"liquid": "ethanol"}))?;
/// assert_eq!(typed, untyped);
/// # Ok::<(), brimline_client::Error>(())
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    reference: Value,
    question: String,
    /// As it is sent, with its line break.
    text: String,
}

impl Line {
    /// A typed question.
    ///
    /// ```
    /// use brimline_client::{FlashPointMargin, batch::Line};
    /// let line = Line::of("S3", &FlashPointMargin::of("ethanol"))?;
    /// # Ok::<(), brimline_client::Error>(())
    /// ```
    ///
    /// # Errors
    /// [`Error::Unwritable`], [`Error::LineTooLong`].
    pub fn of<Q: Question>(reference: impl Into<Value>, request: &Q) -> Result<Self, Error> {
        Self::written(reference.into(), Q::NAME, request)
    }

    /// A question by its name, with any request; the service judges both.
    ///
    /// ```
    /// use brimline_client::batch::Line;
    /// use serde_json::json;
    /// let line = Line::json(json!({"room": "S3"}), "spill", &json!({"liquid": "ethanol", "amount": "250 mL"}))?;
    /// # Ok::<(), brimline_client::Error>(())
    /// ```
    ///
    /// # Errors
    /// [`Error::Unwritable`], [`Error::LineTooLong`].
    pub fn json(reference: impl Into<Value>, question: &str, request: &Value) -> Result<Self, Error> {
        Self::written(reference.into(), question, request)
    }

    fn written<R: Serialize>(reference: Value, question: &str, request: &R) -> Result<Self, Error> {
        #[derive(Serialize)]
        struct Sent<'a, R> {
            #[serde(rename = "ref", skip_serializing_if = "Value::is_null")]
            reference: &'a Value,
            question: &'a str,
            request: &'a R,
        }
        let sent = Sent { reference: &reference, question, request };
        let mut text = serde_json::to_string(&sent).map_err(|why| Error::Unwritable(why.to_string()))?;
        if text.len() > LONGEST_LINE {
            return Err(Error::LineTooLong { octets: text.len() });
        }
        text.push('\n');
        Ok(Self { reference, question: question.to_owned(), text })
    }
}

/// What a line of a batch was told.
///
/// ```no_run
/// # fn example(told: brimline_client::batch::Told) {
/// match told.answer {
///     Ok(answer) => println!("{}: {}", told.reference, answer.json()),
///     Err(problem) => println!("{} (line {}): {}", told.reference, told.line, problem.detail),
/// }
/// # }
/// ```
#[derive(Debug)]
pub struct Told {
    /// The number of the line in the whole batch, from 1.
    pub line: u64,
    /// The reference of the line.
    pub reference: Value,
    /// The answer, or why the line was refused; its pointers begin in the request of the line. A problem of status 503 is no fault of
    /// the line: it may be asked again.
    pub answer: Result<Answer, Box<Problem>>,
}

/// The answer to a line: its bytes as the service wrote them, read as a type when that is asked for.
///
/// ```no_run
/// # fn example(answer: brimline_client::batch::Answer) -> Result<(), brimline_client::Error> {
/// use brimline_client::Spill;
/// if answer.question() == "spill" {
///     println!("{}", answer.read::<Spill>()?.verdict.sentence);
/// }
/// # Ok(()) }
/// ```
#[derive(Debug, Clone)]
pub struct Answer {
    question: String,
    text: Box<RawValue>,
}

impl Answer {
    /// The name of the question that it answers.
    ///
    /// ```no_run
    /// # fn example(answer: brimline_client::batch::Answer) {
    /// println!("an answer to {}", answer.question());
    /// # }
    /// ```
    #[must_use]
    pub fn question(&self) -> &str {
        &self.question
    }

    /// The JSON, byte for byte.
    ///
    /// ```no_run
    /// # fn example(answer: brimline_client::batch::Answer) {
    /// println!("{}", answer.json().get());
    /// # }
    /// ```
    #[must_use]
    pub fn json(&self) -> &RawValue {
        &self.text
    }

    /// The answer in the type of its question.
    ///
    /// ```no_run
    /// # fn example(answer: brimline_client::batch::Answer) -> Result<(), brimline_client::Error> {
    /// use brimline_client::FlashPointMargin;
    /// println!("{}", answer.read::<FlashPointMargin>()?.verdict.sentence);
    /// # Ok(()) }
    /// ```
    ///
    /// # Errors
    /// [`Error::AnotherQuestion`], [`Error::NotUnderstood`].
    pub fn read<Q: Question>(&self) -> Result<Q::Answer, Error> {
        if self.question != Q::NAME {
            return Err(Error::AnotherQuestion { asked: self.question.clone(), read: Q::NAME });
        }
        self.parsed()
    }

    /// Whether the answer is complete and within its limits: what a script may go by. False where a limit is passed, could not be
    /// checked or was not there, where something is left out, where the outcome is a word of a newer service, and of `recheck` where
    /// the earlier answer is not confirmed.
    ///
    /// ```no_run
    /// # fn example(answer: brimline_client::batch::Answer) -> Result<(), brimline_client::Error> {
    /// println!("{}", if answer.is_within()? { "within its limits, nothing left out" } else { "to be looked at" });
    /// # Ok(()) }
    /// ```
    ///
    /// # Errors
    /// [`Error::NotUnderstood`].
    pub fn is_within(&self) -> Result<bool, Error> {
        self.parsed().map(Ending::is_within)
    }

    /// The outcome and the sentence, which every answer has. An outcome is of what was checked: whether all was,
    /// [`is_within`](Self::is_within) tells.
    ///
    /// ```no_run
    /// # fn example(answer: brimline_client::batch::Answer) -> Result<(), brimline_client::Error> {
    /// let (outcome, sentence) = answer.outcome()?;
    /// println!("{outcome:?}: {sentence}");
    /// # Ok(()) }
    /// ```
    ///
    /// # Errors
    /// [`Error::NotUnderstood`].
    pub fn outcome(&self) -> Result<(Outcome, String), Error> {
        // Not `Verdict`: the answer to `recheck` has no `complete`.
        #[derive(serde::Deserialize)]
        struct Head {
            outcome: Outcome,
            sentence: String,
        }
        self.parsed().map(|head: Head| (head.outcome, head.sentence))
    }

    fn parsed<A: serde::de::DeserializeOwned>(&self) -> Result<A, Error> {
        let text = self.text.get();
        serde_json::from_str(text).map_err(|why| crate::reply::not_understood(&why, text.as_bytes()))
    }
}

/// The answers to a batch, in the order of its lines; see [`Client::batch`].
///
/// Nothing is sent before the first answer is asked for. Dropped, it ends the request.
///
/// ```
/// use brimline_client::{Client, FlashPointMargin, batch::Line};
/// let brimline = Client::new("http://127.0.0.1:8080")?;
/// let answers = brimline.batch([Line::of("S3", &FlashPointMargin::of("ethanol"))?]);
/// assert_eq!(answers.told(), 0);
/// # Ok::<(), brimline_client::Error>(())
/// ```
#[derive(Debug)]
pub struct Batch<S> {
    client: Client,
    lines: S,
    silence: Duration,
    /// The lines of the part that have no answer yet.
    waiting: VecDeque<Line>,
    /// A line that found no room in the part.
    next: Option<Line>,
    reply: Option<ReplyLines>,
    told: u64,
    /// Tries since the last answer.
    tried: u32,
    ended: bool,
}

impl<S: Stream<Item = Line> + Unpin> Batch<S> {
    pub(crate) fn of(client: Client, lines: S) -> Self {
        Self {
            client,
            lines,
            silence: SILENCE,
            waiting: VecDeque::new(),
            next: None,
            reply: None,
            told: 0,
            tried: 0,
            ended: false,
        }
    }

    /// The same where the service may be silent for so long before a try counts as broken off; 120 s if nothing is said.
    ///
    /// ```
    /// use std::time::Duration;
    /// let brimline = brimline_client::Client::new("http://127.0.0.1:8080")?;
    /// let answers = brimline.batch([]).silent_for(Duration::from_secs(30));
    /// # Ok::<(), brimline_client::Error>(())
    /// ```
    #[must_use]
    pub fn silent_for(mut self, silence: Duration) -> Self {
        self.silence = silence;
        self
    }

    /// How many lines have their answer or refusal.
    ///
    /// ```
    /// let brimline = brimline_client::Client::new("http://127.0.0.1:8080")?;
    /// assert_eq!(brimline.batch([]).told(), 0);
    /// # Ok::<(), brimline_client::Error>(())
    /// ```
    #[must_use]
    pub const fn told(&self) -> u64 {
        self.told
    }

    /// Goes on after an error, from the first line without an answer; the next call of [`Batch::next`] asks it again.
    ///
    /// ```no_run
    /// # async fn example(brimline: brimline_client::Client, lines: Vec<brimline_client::batch::Line>) -> Result<(), brimline_client::Error> {
    /// let sent = lines.len();
    /// let mut answers = brimline.batch(lines);
    /// let (mut within, mut to_look_at, mut resumed) = (0, Vec::new(), 0);
    /// while let Some(told) = answers.next().await {
    ///     match told {
    ///         Ok(told) => match told.answer {
    ///             Ok(answer) if answer.is_within()? => within += 1,
    ///             Ok(answer) => to_look_at.push(format!("{}: {}", told.reference, answer.outcome()?.1)),
    ///             Err(problem) => to_look_at.push(format!("{} was refused: {}", told.reference, problem.detail)),
    ///         },
    ///         // Each call has made its own tries before: three times is enough.
    ///         Err(why) if why.is_retryable() && resumed < 3 => {
    ///             resumed += 1;
    ///             answers.resume();
    ///         }
    ///         // What came before it is no whole answer.
    ///         Err(why) => return Err(why),
    ///     }
    /// }
    /// println!("{within} of {sent} within their limits, {} to look at: {to_look_at:#?}", to_look_at.len());
    /// # Ok(()) }
    /// ```
    pub const fn resume(&mut self) {
        self.ended = false;
        self.tried = 0;
    }

    /// The next answer; none at the end, and none after an error until [`Batch::resume`]. A call that is given up loses no answer.
    ///
    /// An error is [`Error::Incomplete`], which says how many lines were told, and why no more are.
    ///
    /// ```
    /// # fn main() -> Result<(), Box<dyn std::error::Error>> {
    /// # tokio::runtime::Builder::new_current_thread().enable_all().build()?.block_on(async {
    /// # use wiremock::{Mock, MockServer, ResponseTemplate, matchers::any};
    /// # let server = MockServer::start().await;
    /// # let lines = concat!(
    /// #     r#"{"line":1,"ref":"S1","status":200,"answer":{"outcome":"within_limit","complete":true,"sentence":"Within the limits checked."}}"#, "\n",
    /// #     r#"{"line":2,"ref":"S2","status":422,"problem":{"type":"/problems/unknown-unit","code":"unknown-unit","title":"A unit is not known","status":422,"detail":"`Cl` is no unit","errors":[]}}"#, "\n",
    /// #     r#"{"line":3,"ref":"S3","status":200,"answer":{"outcome":"over_limit","complete":true,"sentence":"Over the limit."}}"#, "\n",
    /// #     r#"{"line":4,"ref":"S4","status":200,"answer":{"outcome":"within_limit","complete":false,"sentence":"Within the limits checked."}}"#, "\n",
    /// #     r#"{"end":true,"lines":4,"answered":3,"refused":1}"#, "\n",
    /// # );
    /// # let reply = ResponseTemplate::new(200).set_body_raw(lines, "application/x-ndjson");
    /// # Mock::given(any()).respond_with(reply).mount(&server).await;
    /// # let brimline = brimline_client::Client::new(&server.uri())?;
    /// use brimline_client::{FlashPointMargin, batch::Line};
    /// let rooms = [("S1", "-15 Cel"), ("S2", "21 Cl"), ("S3", "21 Cel"), ("S4", "-12 Cel")];
    /// let line = |(room, temperature): (&str, &str)| {
    ///     Line::of(room, &FlashPointMargin::of("butanone").room_temperature(temperature))
    /// };
    /// let mut answers = brimline.batch(rooms.into_iter().map(line).collect::<Result<Vec<_>, _>>()?);
    /// let (mut within, mut not_within, mut refused) = (Vec::new(), Vec::new(), Vec::new());
    /// while let Some(told) = answers.next().await {
    ///     // An error means that lines have no answer: it is told, never left out.
    ///     let told = told?;
    ///     match told.answer {
    ///         Ok(answer) if answer.is_within()? => within.push(told.reference),
    ///         Ok(_) => not_within.push(told.reference),
    ///         Err(_) => refused.push(told.reference),
    ///     }
    /// }
    /// assert_eq!(within, ["S1"]);
    /// assert_eq!(not_within, ["S3", "S4"], "over the limit, and not complete");
    /// assert_eq!(refused, ["S2"]);
    /// assert_eq!(answers.told(), rooms.len() as u64);
    /// # Ok(()) })
    /// # }
    /// ```
    pub async fn next(&mut self) -> Option<Result<Told, Error>> {
        loop {
            if self.ended || !self.has_part().await {
                return None;
            }
            let why = match self.read().await {
                Ok(Some(told)) => return Some(Ok(told)),
                Ok(None) => continue,
                Err(why) => why,
            };
            self.reply = None;
            // Counted before the pause, which the caller may give up.
            self.tried += 1;
            if let Err(why) = self.client.paused("batch", self.tried, why).await {
                self.ended = true;
                return Some(Err(Error::Incomplete { answered: self.told, why: Box::new(why) }));
            }
        }
    }

    /// The answers as a [`Stream`].
    ///
    /// ```no_run
    /// # async fn example(brimline: brimline_client::Client, lines: Vec<brimline_client::batch::Line>) -> Result<(), brimline_client::Error> {
    /// use futures_util::TryStreamExt as _;
    /// // All that is no complete answer within its limits, refused lines too. `try_` lets an error end it: `filter` would leave it out.
    /// let to_look_at: Vec<_> = brimline
    ///     .batch(lines)
    ///     .into_stream()
    ///     .try_filter_map(|told| async move {
    ///         let within = match &told.answer {
    ///             Ok(answer) => answer.is_within()?,
    ///             Err(_) => false,
    ///         };
    ///         Ok((!within).then_some(told.reference))
    ///     })
    ///     .try_collect()
    ///     .await?;
    /// println!("to look at: {to_look_at:?}");
    /// # Ok(()) }
    /// ```
    pub fn into_stream(self) -> impl Stream<Item = Result<Told, Error>> {
        futures_util::stream::unfold(self, |mut batch| async move {
            let told = batch.next().await?;
            Some((told, batch))
        })
    }

    /// Whether there are lines to ask, or a reply to read; takes the next part where the last one is done.
    async fn has_part(&mut self) -> bool {
        if self.reply.is_some() || self.tried > 0 && !self.waiting.is_empty() {
            return true;
        }
        // Filled up where a call was given up while lines were taken.
        let mut octets: usize = self.waiting.iter().map(|line| line.text.len()).sum();
        while self.waiting.len() < MOST_LINES {
            let line = match self.next.take() {
                Some(line) => line,
                None => match self.lines.next().await {
                    Some(line) => line,
                    None => break,
                },
            };
            octets += line.text.len();
            if octets > LARGEST_PART {
                self.next = Some(line);
                break;
            }
            self.waiting.push_back(line);
        }
        !self.waiting.is_empty()
    }

    /// One more line of the reply; none at its end.
    async fn read(&mut self) -> Result<Option<Told>, Error> {
        let reply = match &mut self.reply {
            Some(reply) => reply,
            None => {
                tracing::debug!(what = "batch", lines = self.waiting.len(), tried = self.tried + 1, "asking");
                let mut body = Vec::with_capacity(self.waiting.iter().map(|line| line.text.len()).sum());
                self.waiting.iter().for_each(|line| body.extend_from_slice(line.text.as_bytes()));
                let sent = self.client.lines(body);
                self.reply.insert(ReplyLines::of(sent, self.waiting.len(), self.silence).await?)
            }
        };
        let line = match reply.next(self.silence).await {
            Ok(Reply::Line(line)) => line,
            Ok(Reply::End) => {
                self.reply = None;
                return Ok(None);
            }
            // With every line told, nothing that matters is missing.
            Err(_) if self.waiting.is_empty() => {
                self.reply = None;
                return Ok(None);
            }
            Err(why) => return Err(why),
        };
        let Some(asked) = self.waiting.pop_front() else { return Err(ReplyLines::another()) };
        if asked.reference != line.reference {
            self.waiting.push_front(asked);
            return Err(ReplyLines::another());
        }
        self.told += 1;
        self.tried = 0;
        let answer = line.answer.map(|text| Answer { question: asked.question, text });
        Ok(Some(Told { line: self.told, reference: asked.reference, answer }))
    }
}
