//! A handler of the same framework that answers POST with a fixed body: what the load comparison measures against.
//!
//! `fixed_body ADDRESS FILE`: answers every POST with the bytes of FILE, after reading the request's body.

use actix_web::{App, HttpResponse, HttpServer, web};

#[actix_web::main]
async fn main() -> std::io::Result<()> {
    let mut arguments = std::env::args().skip(1);
    let (Some(address), Some(file)) = (arguments.next(), arguments.next()) else {
        return Err(std::io::Error::other("usage: fixed_body ADDRESS FILE"));
    };
    let body = web::Bytes::from(std::fs::read(file)?);
    HttpServer::new(move || {
        let body = body.clone();
        App::new().default_service(web::post().to(move |asked: web::Bytes| {
            let body = body.clone();
            async move {
                std::hint::black_box(asked.len());
                HttpResponse::Ok().content_type("application/json").body(body)
            }
        }))
    })
    .workers(std::thread::available_parallelism().map_or(1, usize::from))
    .bind(address)?
    .run()
    .await
}
