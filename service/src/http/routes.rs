//! The route list.

use super::{docs, listings, observe, pages, questions, reply, server::State};
use crate::question::Refusal;
use actix_web::http::Method;
use actix_web::{HttpRequest, HttpResponse, Resource, Route, guard, web};
use brimline_openapi::operations::QUESTIONS;
use std::sync::atomic::Ordering;

/// Every path of the service.
pub fn routes(config: &mut web::ServiceConfig, with_metrics: bool) {
    for question in QUESTIONS {
        let path = format!("/v1/{}", question.name);
        let resource = web::resource(path).app_data(web::Data::new(*question));
        let get = read().to(questions::get);
        config.service(only(resource.route(get).route(web::post().to(questions::post)), "GET, HEAD, POST"));
    }
    config.service(only(web::resource("/v1/substances").route(read().to(listings::substances)), "GET, HEAD"));
    config.service(only(
        web::resource("/v1/substances/{name}").route(read().to(listings::substance)),
        "GET, HEAD",
    ));
    config.service(only(web::resource("/v1/mixtures").route(read().to(listings::mixtures)), "GET, HEAD"));
    config.service(only(web::resource("/v1/rules").route(read().to(listings::rules)), "GET, HEAD"));
    config.service(only(web::resource("/v1/units").route(read().to(listings::units)), "GET, HEAD"));
    config.service(only(web::resource("/openapi.json").route(read().to(docs::document)), "GET, HEAD"));
    for path in ["/docs", "/docs/"] {
        config.service(only(web::resource(path).route(read().to(docs::page_shown)), "GET, HEAD"));
    }
    config.service(only(web::resource("/problems").route(read().to(pages::problems)), "GET, HEAD"));
    config.service(only(web::resource("/problems/{code}").route(read().to(pages::problem)), "GET, HEAD"));
    config.service(only(web::resource("/").route(read().to(home)), "GET, HEAD"));
    config.service(only(web::resource("/healthz").route(read().to(healthz)), "GET, HEAD"));
    config.service(only(web::resource("/readyz").route(read().to(readyz)), "GET, HEAD"));
    if with_metrics {
        metrics(config);
    }
    config.default_service(web::to(nowhere));
}

/// `/metrics`, on the main address or on its own.
pub fn metrics(config: &mut web::ServiceConfig) {
    config.service(only(web::resource("/metrics").route(read().to(observe::metrics)), "GET, HEAD"));
}

/// GET implies HEAD.
fn read() -> Route {
    web::route().guard(guard::Any(guard::Method(Method::GET)).or(guard::Method(Method::HEAD)))
}

/// Other methods are answered with the ones that there are.
fn only(resource: Resource, allow: &'static str) -> Resource {
    resource.default_service(web::to(move |request: HttpRequest| async move {
        let detail = format!("{} does not answer {}; it answers {allow}", request.path(), request.method());
        let mut response = reply::problem(&Refusal::whole("method-not-allowed", detail));
        let value = actix_web::http::header::HeaderValue::from_static(allow);
        response.headers_mut().insert(actix_web::http::header::ALLOW, value);
        response
    }))
}

async fn nowhere(request: HttpRequest) -> HttpResponse {
    let path: String = request.path().chars().take(100).collect();
    let mut refusal = Refusal::whole("not-found", format!("there is nothing at {path}"));
    let known = QUESTIONS.iter().map(|question| question.name);
    let near = path.strip_prefix("/v1/").and_then(|name| crate::question::reader::nearest(name, known));
    if let Some(fault) = refusal.faults.first_mut() {
        fault.suggestion = near.map(|name| format!("/v1/{name}"));
    }
    reply::problem(&refusal)
}

async fn home(state: web::Data<State>) -> HttpResponse {
    HttpResponse::SeeOther()
        .insert_header(("Location", format!("{}/docs", state.settings.public_path)))
        .finish()
}

async fn healthz() -> HttpResponse {
    HttpResponse::Ok().insert_header(("Cache-Control", "no-store")).content_type("text/plain").body("alive\n")
}

async fn readyz(state: web::Data<State>) -> HttpResponse {
    let (mut answer, text) = if state.draining.load(Ordering::SeqCst) {
        (HttpResponse::ServiceUnavailable(), "draining\n")
    } else {
        (HttpResponse::Ok(), "ready\n")
    };
    answer.insert_header(("Cache-Control", "no-store")).content_type("text/plain").body(text)
}
