//! The HTTP doors: routes, reading, formats, problems, pages, health, metrics. No chemistry.
//!
//! | module | holds |
//! |---|---|
//! | [`server`] | start, drain, stop |
//! | [`listener`], [`connection`] | the socket, connections that stand still |
//! | [`doors`] | what every request passes |
//! | [`overload`], [`long`], [`rate`] | what is taken on, and how often of whom |
//! | [`routes`] | the route list |
//! | [`questions`] | `POST` and `GET /v1/{question}` |
//! | [`batch`] | `POST /v1/batch` |
//! | [`listings`] | substances, mixtures, rules, units |
//! | [`coding`], [`unpack`] | content codings: gzip and zstd both ways |
//! | [`mod@read`] | the body of a request, within its bounds |
//! | [`mod@format`] | which format is wanted |
//! | [`reply`] | entity tags, caching, problems |
//! | [`retirement`] | what is announced before it is taken away |
//! | [`pages`] | the layout of pages, the guides |
//! | [`problem_page`] | a page for each kind of problem, with a request that makes it |
//! | [`docs`], [`schema_table`] | the documentation page |
//! | [`method_page`], [`worked`] | a page for each method, with an example worked out |
//! | [`kept_pages`] | pages made when they are first asked for |
//! | [`picture`], [`picture_curves`], [`picture_bars`], [`picture_margin`], [`picture_above`] | pictures as SVG |
//! | [`sheet`], [`sheet_written`] | the sheet of a plan to sign, as a page and as Markdown |
//! | [`access`], [`callers`] | who may ask |
//! | [`tls`] | the certificate |
//! | [`trace`] | W3C Trace Context; `otel`, behind its feature, sends spans |
//! | [`kept_answers`] | answers given lately |
//! | [`observe`], [`metrics`] | request ids and logs, what is counted |

pub mod access;
pub mod batch;
pub mod callers;
pub mod coding;
pub mod connection;
pub mod docs;
pub mod doors;
pub mod format;
pub mod kept_answers;
pub mod kept_pages;
pub mod listener;
pub mod listings;
pub mod long;
pub mod method_page;
pub mod metrics;
pub mod observe;
#[cfg(feature = "otel")]
pub mod otel;
pub mod overload;
pub mod pages;
pub mod picture;
pub mod picture_above;
pub mod picture_bars;
pub mod picture_curves;
pub mod picture_margin;
pub mod picture_spectrum;
pub mod problem_page;
pub mod questions;
pub mod rate;
pub mod read;
pub mod reply;
pub mod retirement;
pub mod routes;
pub mod schema_table;
pub mod server;
pub mod sheet;
pub mod sheet_written;
pub mod substance_page;
pub mod tls;
pub mod trace;
pub mod unpack;
pub mod worked;
