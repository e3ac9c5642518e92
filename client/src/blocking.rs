//! The client for programs without an asynchronous runtime.
//!
//! ```no_run
//! use brimline_client::{FlashPointMargin, blocking::Client};
//! let brimline = Client::new("http://127.0.0.1:8080")?;
//! println!("{}", brimline.flash_point_margin(&FlashPointMargin::of("ethanol"))?.verdict.sentence);
//! # Ok::<(), brimline_client::Error>(())
//! ```
//!
//! Inside an asynchronous runtime it would hold up other work: there, every call is [`Error::InsideRuntime`].

use crate::batch::{self, Line, Told};
use crate::{Error, Question, Retry};
use brimline_openapi::catalogue::{MixtureList, RuleList, Substance, SubstanceList, UnitList};
use brimline_openapi::recheck::ChangeList;
use futures_core::Stream;
use futures_util::stream::Iter;
use std::future::Future;
use std::sync::Arc;
use std::time::Duration;
use tokio::runtime::{Builder, Handle, Runtime};

/// A client of one service that waits for each answer; cheap to clone, its connections are shared.
///
/// ```
/// use brimline_client::{Retry, blocking::Client};
/// let brimline = Client::new("http://127.0.0.1:8080")?.retrying(Retry::never());
/// # Ok::<(), brimline_client::Error>(())
/// ```
#[derive(Debug, Clone)]
pub struct Client {
    client: crate::Client,
    runtime: Arc<Own>,
}

/// A runtime that may be dropped anywhere: one that is dropped inside another one panics.
#[derive(Debug)]
struct Own(Option<Runtime>);

impl Drop for Own {
    fn drop(&mut self) {
        if let Some(runtime) = self.0.take() {
            runtime.shutdown_background();
        }
    }
}

impl Own {
    fn wait<T>(&self, what: impl Future<Output = Result<T, Error>>) -> Result<T, Error> {
        match &self.0 {
            Some(runtime) if Handle::try_current().is_err() => runtime.block_on(what),
            _ => Err(Error::InsideRuntime),
        }
    }
}

/// A method that waits for the one of the same name, with its example.
macro_rules! waiting {
    ($($(#[$doc:meta])* $method:ident($($argument:ident: $type:ty, $example:literal)?) -> $answer:ty, $told:literal;)+) => {
        impl Client {
            $($(#[$doc])*
            #[doc = "\n```no_run"]
            #[doc = "# fn example(brimline: brimline_client::blocking::Client) -> Result<(), brimline_client::Error> {"]
            #[doc = concat!("let found = brimline.", stringify!($method), "(", $($example,)? ")?;")]
            #[doc = $told]
            #[doc = "# Ok(()) }"]
            #[doc = "```\n\n# Errors\n[`Error`]."]
            pub fn $method(&self $(, $argument: $type)?) -> Result<$answer, Error> {
                self.runtime.wait(self.client.$method($($argument)?))
            })+
        }
    };
}

waiting! {
    /// The substances that match a text, best first; all for an empty one. One page of at most 500.
    substances(search: &str, "\"IPA\"") -> SubstanceList, "println!(\"{} match\", found.items.len());";
    /// One substance by id, name, synonym or CAS number.
    substance(name: &str, "\"67-63-0\"") -> Substance, "println!(\"{}\", found.name);";
    /// The mixtures that are recognised by name.
    mixtures() -> MixtureList, "println!(\"{} are known\", found.items.len());";
    /// The rules in force.
    rules() -> RuleList, "println!(\"{} are in force\", found.items.len());";
    /// What moved figures, by version.
    changes() -> ChangeList, "println!(\"{} moved figures\", found.items.len());";
    /// The units that requests may use.
    units() -> UnitList, "println!(\"{} are read\", found.items.len());";
}

impl Client {
    /// A client of the service at a base URL such as `http://127.0.0.1:8080`, with a time-out of 10 s a try.
    ///
    /// ```
    /// let brimline = brimline_client::blocking::Client::new("http://127.0.0.1:8080")?;
    /// # Ok::<(), brimline_client::Error>(())
    /// ```
    ///
    /// # Errors
    /// As [`crate::Client::new`]; [`Error::InsideRuntime`], [`Error::NoRuntime`].
    pub fn new(base: &str) -> Result<Self, Error> {
        crate::Client::new(base)?.try_into()
    }

    /// A client with another time-out for each try.
    ///
    /// ```
    /// use std::time::Duration;
    /// use brimline_client::blocking::Client;
    /// let patient = Client::with_time_out("http://127.0.0.1:8080", Duration::from_secs(60))?;
    /// # Ok::<(), brimline_client::Error>(())
    /// ```
    ///
    /// # Errors
    /// As [`Client::new`].
    pub fn with_time_out(base: &str, time_out: Duration) -> Result<Self, Error> {
        crate::Client::with_time_out(base, time_out)?.try_into()
    }

    /// The same client with other retries.
    ///
    /// ```
    /// use brimline_client::{Retry, blocking::Client};
    /// let hasty = Client::new("http://127.0.0.1:8080")?.retrying(Retry::never());
    /// # Ok::<(), brimline_client::Error>(())
    /// ```
    #[must_use]
    pub fn retrying(mut self, retry: Retry) -> Self {
        self.client = self.client.retrying(retry);
        self
    }

    /// The same client with the token that a service on the network asks for.
    ///
    /// ```
    /// use brimline_client::blocking::Client;
    /// let brimline = Client::new("https://brimline.ottermoor.example")?.with_token("printed once")?;
    /// # Ok::<(), brimline_client::Error>(())
    /// ```
    ///
    /// # Errors
    /// [`Error::WrongToken`] if it cannot stand in a header.
    pub fn with_token(mut self, token: &str) -> Result<Self, Error> {
        self.client = self.client.with_token(token)?;
        Ok(self)
    }

    /// Asks any question; [`Question`] names them.
    ///
    /// ```no_run
    /// # fn example(brimline: brimline_client::blocking::Client) -> Result<(), brimline_client::Error> {
    /// let reply = brimline.ask(&brimline_client::FlashPointMargin::of("ethanol"))?;
    /// println!("{}", reply.verdict.sentence);
    /// # Ok(()) }
    /// ```
    ///
    /// # Errors
    /// [`Error`].
    pub fn ask<Q: Question>(&self, request: &Q) -> Result<Q::Answer, Error> {
        self.runtime.wait(self.client.ask(request))
    }

    /// Asks many questions, one a line, and gives the answers one by one in the order of the lines, as they are asked for.
    ///
    /// ```no_run
    /// # fn example(brimline: brimline_client::blocking::Client) -> Result<(), brimline_client::Error> {
    /// use brimline_client::{FlashPointMargin, batch::Line};
    /// for told in brimline.batch([Line::of("S3", &FlashPointMargin::of("ethanol"))?]) {
    ///     // An error means that lines have no answer.
    ///     let told = told?;
    ///     match told.answer {
    ///         Ok(answer) if answer.is_within()? => println!("{}: within its limits", told.reference),
    ///         Ok(answer) => println!("{}: {}", told.reference, answer.outcome()?.1),
    ///         Err(problem) => println!("{} was refused: {}", told.reference, problem.detail),
    ///     }
    /// }
    /// # Ok(()) }
    /// ```
    pub fn batch<I: IntoIterator<Item = Line>>(&self, lines: I) -> Batch<Iter<I::IntoIter>> {
        let lines = futures_util::stream::iter(lines);
        Batch { batch: self.client.batch_of_stream(lines), runtime: Arc::clone(&self.runtime) }
    }
}

impl TryFrom<crate::Client> for Client {
    type Error = Error;

    fn try_from(client: crate::Client) -> Result<Self, Error> {
        if Handle::try_current().is_ok() {
            return Err(Error::InsideRuntime);
        }
        let runtime = Builder::new_current_thread().enable_all().build().map_err(Error::NoRuntime)?;
        Ok(Self { client, runtime: Arc::new(Own(Some(runtime))) })
    }
}

/// The answers to a batch, in the order of its lines; as [`batch::Batch`].
///
/// ```
/// let brimline = brimline_client::blocking::Client::new("http://127.0.0.1:8080")?;
/// assert!(brimline.batch([]).next().is_none(), "nothing was asked");
/// # Ok::<(), brimline_client::Error>(())
/// ```
#[derive(Debug)]
pub struct Batch<S> {
    batch: batch::Batch<S>,
    runtime: Arc<Own>,
}

impl<S: Stream<Item = Line> + Unpin> Batch<S> {
    /// Goes on after an error, from the first line without an answer.
    ///
    /// ```no_run
    /// # fn example(brimline: brimline_client::blocking::Client, lines: Vec<brimline_client::batch::Line>) -> Result<(), brimline_client::Error> {
    /// let mut answers = brimline.batch(lines);
    /// let (mut within, mut to_look_at, mut resumed) = (0, Vec::new(), 0);
    /// while let Some(told) = answers.next() {
    ///     match told {
    ///         Ok(told) => match told.answer {
    ///             Ok(answer) if answer.is_within()? => within += 1,
    ///             // Not within, not complete, or refused.
    ///             _ => to_look_at.push(told.reference),
    ///         },
    ///         Err(why) if why.is_retryable() && resumed < 3 => {
    ///             resumed += 1;
    ///             answers.resume();
    ///         }
    ///         Err(why) => return Err(why),
    ///     }
    /// }
    /// println!("{within} within their limits; to look at: {to_look_at:?}");
    /// # Ok(()) }
    /// ```
    pub const fn resume(&mut self) {
        self.batch.resume();
    }
}

impl<S: Stream<Item = Line> + Unpin> Iterator for Batch<S> {
    type Item = Result<Told, Error>;

    fn next(&mut self) -> Option<Self::Item> {
        // Inside a runtime there is an error each time it is asked, never an end that could be taken for one.
        self.runtime.wait(async { Ok(self.batch.next().await) }).unwrap_or_else(|why| Some(Err(why)))
    }
}
