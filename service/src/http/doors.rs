//! What every request passes on its way to its handler and back: a place among those that are answered, who asks, and how often.
//!
//! One door and not one for each of them: passing one costs about as much as what stands in it.

use super::connection::{Asked, Connection};
use super::overload::{Counted, NotTaken};
use super::server::State;
use super::{access, overload, rate, read, reply};
use actix_web::body::{BodySize, BoxBody, MessageBody};
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::header::CONTENT_LENGTH;
use actix_web::middleware::Next;
use actix_web::web::{self, Bytes};
use actix_web::{HttpMessage as _, HttpResponse};
use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll};
use std::time::Duration;

/// Bodies up to this are read before a refusal, so that the connection can be used again.
const SHORT_BODY: usize = 64 * 1024;
/// How long such a body may take.
const SHORT_TIME: Duration = Duration::from_secs(1);

/// Lets a request in, or tells its caller why not.
///
/// # Errors
/// Those of the handlers.
pub async fn pass(
    request: ServiceRequest,
    next: Next<impl MessageBody + 'static>,
) -> Result<ServiceResponse<BoxBody>, actix_web::Error> {
    let asked = request.conn_data::<Arc<Connection>>().map(Connection::asked);
    let Some(state) = request.app_data::<web::Data<State>>().cloned() else {
        return Ok(next.call(request).await?.map_into_boxed_body());
    };
    let exempt = overload::exempt(request.path());
    let place = match (!exempt).then(|| state.load.place()).transpose() {
        Ok(place) => place,
        Err(refusal) => {
            let mut refused = reply::problem(&refusal);
            refused.extensions_mut().insert(NotTaken);
            return Ok(turned_away(request, refused).await);
        }
    };
    let known = match access::noted(&request, &state) {
        Ok(known) => known,
        // Little is read of who may not ask, so that he takes no place from those who may.
        Err(refused) => {
            drop(place);
            return Ok(turned_away(request, *refused).await);
        }
    };
    let left = match if exempt { Ok(None) } else { rate::of_request(request.request(), &state) } {
        Ok(left) => left,
        Err(mut refused) => {
            refused.extensions_mut().insert(NotTaken);
            return Ok(turned_away(request, *refused).await);
        }
    };
    let mut response = next.call(request).await?;
    let headers = response.headers_mut();
    if known {
        access::close(headers);
    }
    rate::tell(&state, left, headers);
    Ok(response.map_body(|_, body| match body.boxed().try_into_bytes() {
        // It is handed over at once and whole.
        Ok(bytes) => BoxBody::new(bytes),
        Err(body) => BoxBody::new(Held { body, _place: place, _asked: asked }),
    }))
}

/// A refusal before a request was read; a short body is read and thrown away, so that the connection can be used again.
async fn turned_away(mut request: ServiceRequest, refused: HttpResponse) -> ServiceResponse<BoxBody> {
    let length = request.headers().get(CONTENT_LENGTH).and_then(|length| length.to_str().ok()?.parse().ok());
    if length.is_some_and(|length: usize| (1..=SHORT_BODY).contains(&length)) {
        read::discarded(request.take_payload(), SHORT_TIME).await;
    }
    request.into_response(refused)
}

/// A body that keeps the place of its request until its last byte was taken.
struct Held {
    body: BoxBody,
    _place: Option<Counted>,
    _asked: Option<Asked>,
}

impl MessageBody for Held {
    type Error = Box<dyn std::error::Error>;

    fn size(&self) -> BodySize {
        self.body.size()
    }

    fn poll_next(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
    ) -> Poll<Option<Result<Bytes, Self::Error>>> {
        Pin::new(&mut self.body).poll_next(context)
    }
}
