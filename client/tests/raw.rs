//! A server that writes these octets, one entry a connection, and closes: for replies that no server of HTTP would make.

use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::TcpListener;

/// The address of a server that writes each of these replies to one connection.
pub async fn writing(replies: Vec<String>) -> String {
    let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
    let address = listener.local_addr().unwrap();
    tokio::spawn(async move {
        for reply in replies {
            let (mut stream, _) = listener.accept().await.unwrap();
            let mut head = [0; 64 * 1024];
            let _ = stream.read(&mut head).await;
            let _ = stream.write_all(reply.as_bytes()).await;
        }
    });
    format!("http://{address}")
}

/// A reply that promises more octets than it has.
pub fn cut(content_type: &str, body: &str) -> String {
    let promised = body.len() + 100;
    format!("HTTP/1.1 200 OK\r\ncontent-type: {content_type}\r\ncontent-length: {promised}\r\n\r\n{body}")
}
