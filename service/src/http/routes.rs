//! The route list.

use super::{
    batch, docs, listings, method_page, metrics, pages, problem_page, questions, reply, server::State,
    substance_page,
};
use crate::question::Refusal;
use crate::question::reader::nearest;
use actix_web::http::Method;
use actix_web::http::header::{ALLOW, HeaderValue};
use actix_web::{FromRequest, Handler, HttpRequest, HttpResponse, Resource, Responder, Route, guard, web};
use brimline_openapi::operations::{BATCH, QUESTIONS, RECHECK};
use std::sync::atomic::Ordering;

/// The methods of a path that is only read.
pub const READ: &str = "GET, HEAD";

/// Every path of the service.
pub fn routes(config: &mut web::ServiceConfig, with_metrics: bool) {
    for question in QUESTIONS {
        let resource = web::resource(format!("/v1/{}", question.name))
            .app_data(web::Data::new(*question))
            .route(asking().to(questions::post))
            .route(reading().to(questions::get));
        config.service(only(resource, "GET, HEAD, POST"));
    }
    let recheck = web::resource(format!("/v1/{}", RECHECK.name))
        .app_data(web::Data::new(RECHECK))
        .route(asking().to(questions::post));
    config.service(only(recheck, "POST"));
    let batch = web::resource(format!("/v1/{}", BATCH.name))
        .app_data(web::Data::new(BATCH))
        .route(asking().to(batch::post));
    config.service(only(batch, "POST"));
    read(config, "/v1/substances", listings::substances);
    read(config, "/v1/substances/{name}", listings::substance);
    read(config, "/v1/mixtures", listings::mixtures);
    read(config, "/v1/rules", listings::rules);
    read(config, "/v1/changes", listings::changes);
    read(config, "/v1/units", listings::units);
    read(config, "/openapi.json", docs::document);
    read(config, "/openapi-3.0.json", docs::older);
    read(config, "/docs", docs::page_shown);
    read(config, "/docs/", docs::page_shown);
    read(config, "/docs/substances", substance_page::list);
    read(config, "/docs/substances/{name}", substance_page::one);
    read(config, "/docs/methods", method_page::list);
    read(config, "/docs/methods/{id}", method_page::one);
    read(config, "/docs/guides/{name}", pages::guide);
    read(config, "/problems", problem_page::list);
    read(config, "/problems/{code}", problem_page::one);
    read(config, "/", home);
    read(config, "/healthz", healthz);
    read(config, "/readyz", readyz);
    if with_metrics {
        read(config, "/metrics", metrics::shown);
    }
    config.default_service(web::to(nowhere));
}

/// The paths of the address of `--metrics-listen`.
pub fn metrics_only(config: &mut web::ServiceConfig) {
    read(config, "/metrics", metrics::shown);
    config.default_service(web::to(nowhere));
}

/// A path that is only read.
fn read<F, Args>(config: &mut web::ServiceConfig, path: &str, handler: F)
where
    F: Handler<Args>,
    Args: FromRequest + 'static,
    F::Output: Responder + 'static,
{
    config.service(only(web::resource(path).route(reading().to(handler)), READ));
}

/// GET implies HEAD. The framework's own guards note each method that they refuse, with every request; here `only` tells them.
fn reading() -> Route {
    web::route().guard(guard::fn_guard(|context| matches!(context.head().method, Method::GET | Method::HEAD)))
}

fn asking() -> Route {
    web::route().guard(guard::fn_guard(|context| context.head().method == Method::POST))
}

/// Other methods are answered with the ones that there are.
fn only(resource: Resource, allow: &'static str) -> Resource {
    resource.default_service(web::to(move |request: HttpRequest| async move {
        let mut response = reply::problem(&not_answered(request.path(), request.method().as_str(), allow));
        response.headers_mut().insert(ALLOW, HeaderValue::from_static(allow));
        response
    }))
}

/// The refusal of a method that a path does not answer; path and method are cut so that huge ones are not echoed whole.
#[must_use]
pub fn not_answered(path: &str, method: &str, allow: &str) -> Refusal {
    let method: String = method.chars().take(20).collect();
    let detail = format!("{} does not answer {method}; it answers {allow}", shown(path));
    Refusal::whole("method-not-allowed", detail)
}

fn shown(path: &str) -> String {
    path.chars().take(100).collect()
}

async fn nowhere(request: HttpRequest) -> HttpResponse {
    reply::problem(&nothing_at(request.path()))
}

/// The refusal of a path at which there is nothing.
#[must_use]
pub fn nothing_at(path: &str) -> Refusal {
    let path = shown(path);
    let mut refusal = Refusal::whole("not-found", format!("there is nothing at {path}"));
    let known = QUESTIONS.iter().chain([&RECHECK, &BATCH]).map(|question| question.name);
    let near = path.strip_prefix("/v1/").and_then(|name| nearest(name, known));
    if let Some(fault) = refusal.faults.first_mut() {
        fault.suggestion = near.map(|name| format!("/v1/{name}"));
    }
    refusal
}

async fn home(state: web::Data<State>) -> HttpResponse {
    HttpResponse::SeeOther()
        .insert_header(("Location", format!("{}/docs", state.settings.public_path)))
        .finish()
}

async fn healthz() -> HttpResponse {
    HttpResponse::Ok().insert_header(reply::NOT_CACHED).content_type("text/plain").body("alive\n")
}

async fn readyz(state: web::Data<State>) -> HttpResponse {
    let (mut answer, text) = if state.draining.load(Ordering::SeqCst) {
        (HttpResponse::ServiceUnavailable(), "draining\n")
    } else {
        (HttpResponse::Ok(), "ready\n")
    };
    answer.insert_header(reply::NOT_CACHED).content_type("text/plain").body(text)
}
