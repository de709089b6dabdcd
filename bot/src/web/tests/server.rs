//! Over a real socket on loopback: what only shows there.

use super::super::{ServeSettings, serve};
use super::{DEMO_SECRET, Stage, message};
use crate::signing::{Secret, sign};
use crate::web::LimitSettings;
use std::fmt::Write as _;
use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::Notify;
use tokio::task::JoinHandle;

struct Server {
    address: SocketAddr,
    stop: Arc<Notify>,
    task: JoinHandle<()>,
}

async fn start(stage: &Stage, settings: ServeSettings) -> Server {
    let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
    let address = listener.local_addr().unwrap();
    let stop = Arc::new(Notify::new());
    let waited = stop.clone();
    let router = stage.router.clone();
    let task = tokio::spawn(async move {
        serve(listener, router, settings, async move {
            waited.notified().await;
        })
        .await;
    });
    Server {
        address,
        stop,
        task,
    }
}

fn head(stage: &Stage, body: &str, length: &str) -> String {
    let key = Secret::parse(DEMO_SECRET).unwrap();
    let signature = sign(&[key], "evt-1", stage.now(), body.as_bytes());
    format!(
        "POST /events HTTP/1.1\r\nhost: cueline\r\nconnection: close\r\n\
         content-type: application/cloudevents+json\r\nwebhook-id: evt-1\r\n\
         webhook-timestamp: {}\r\nwebhook-signature: {signature}\r\n{length}\r\n\r\n",
        stage.now()
    )
}

/// Everything the server says until it closes, within five seconds.
async fn hear(stream: &mut TcpStream) -> String {
    let mut heard = Vec::new();
    let all = stream.read_to_end(&mut heard);
    tokio::time::timeout(Duration::from_secs(5), all)
        .await
        .expect("the server closes the connection")
        .unwrap();
    String::from_utf8(heard).unwrap()
}

#[tokio::test]
async fn a_signed_event_goes_all_the_way_through_a_socket() {
    let stage = Stage::new();
    let server = start(&stage, ServeSettings::default()).await;
    let body = message().to_string();
    let mut stream = TcpStream::connect(server.address).await.unwrap();
    let length = format!("content-length: {}", body.len());
    let request = format!("{}{body}", head(&stage, &body, &length));
    stream.write_all(request.as_bytes()).await.unwrap();
    let answer = hear(&mut stream).await;
    assert!(answer.starts_with("HTTP/1.1 202 "), "{answer}");
    assert_eq!(stage.stored().len(), 1);
}

#[tokio::test]
async fn a_chunked_event_is_read_too() {
    let stage = Stage::new();
    let server = start(&stage, ServeSettings::default()).await;
    let body = message().to_string();
    let (first, second) = body.split_at(100);
    let mut request = head(&stage, &body, "transfer-encoding: chunked");
    for piece in [first, second, ""] {
        write!(request, "{:x}\r\n{piece}\r\n", piece.len()).unwrap();
    }
    let mut stream = TcpStream::connect(server.address).await.unwrap();
    stream.write_all(request.as_bytes()).await.unwrap();
    assert!(hear(&mut stream).await.starts_with("HTTP/1.1 202 "));
}

#[tokio::test]
async fn a_sender_that_never_ends_its_headers_is_cut_off() {
    let stage = Stage::new();
    let quick = ServeSettings {
        header_deadline: Duration::from_millis(100),
        ..ServeSettings::default()
    };
    let server = start(&stage, quick).await;
    let mut stream = TcpStream::connect(server.address).await.unwrap();
    stream
        .write_all(b"POST /events HTTP/1.1\r\nhost: c")
        .await
        .unwrap();
    let answer = hear(&mut stream).await;
    assert!(
        answer.is_empty() || answer.starts_with("HTTP/1.1 408"),
        "{answer}"
    );
}

#[tokio::test]
async fn a_sender_that_stops_in_the_body_is_told_408_and_closed() {
    let stage = Stage::with(LimitSettings {
        body_deadline: Duration::from_millis(100),
        ..LimitSettings::default()
    });
    let server = start(&stage, ServeSettings::default()).await;
    let mut stream = TcpStream::connect(server.address).await.unwrap();
    let request = head(&stage, "{}", "content-length: 2000");
    stream.write_all(request.as_bytes()).await.unwrap();
    stream.write_all(b"{").await.unwrap();
    let answer = hear(&mut stream).await;
    assert!(answer.starts_with("HTTP/1.1 408 "), "{answer}");
}

#[tokio::test]
async fn oversized_headers_are_refused() {
    let stage = Stage::new();
    let server = start(&stage, ServeSettings::default()).await;
    let mut stream = TcpStream::connect(server.address).await.unwrap();
    let long = format!(
        "GET /health/live HTTP/1.1\r\nhost: c\r\nx: {}\r\n\r\n",
        "y".repeat(64 * 1024)
    );
    // The server may close before everything is written.
    let _ = stream.write_all(long.as_bytes()).await;
    let mut heard = vec![0_u8; 64];
    let count = stream.read(&mut heard).await.unwrap_or(0);
    let answer = String::from_utf8_lossy(&heard[..count]).into_owned();
    assert!(count == 0 || answer.starts_with("HTTP/1.1 431"), "{answer}");
}

#[tokio::test]
async fn hundreds_of_slow_senders_do_not_keep_a_good_one_out() {
    let stage = Stage::new();
    let server = start(&stage, ServeSettings::default()).await;
    let mut slow = Vec::new();
    for _ in 0..300 {
        let mut stream = TcpStream::connect(server.address).await.unwrap();
        stream.write_all(b"POST /ev").await.unwrap();
        slow.push(stream);
    }
    let body = message().to_string();
    let length = format!("content-length: {}", body.len());
    let request = format!("{}{body}", head(&stage, &body, &length));
    let mut stream = TcpStream::connect(server.address).await.unwrap();
    stream.write_all(request.as_bytes()).await.unwrap();
    assert!(hear(&mut stream).await.starts_with("HTTP/1.1 202 "));
    drop(slow);
}

#[tokio::test]
async fn stopping_lets_the_running_request_finish_and_takes_no_new_one() {
    let stage = Stage::new();
    let server = start(&stage, ServeSettings::default()).await;
    let body = message().to_string();
    let mut stream = TcpStream::connect(server.address).await.unwrap();
    let length = format!("content-length: {}", body.len());
    let (first, rest) = body.split_at(50);
    let request = format!("{}{first}", head(&stage, &body, &length));
    stream.write_all(request.as_bytes()).await.unwrap();
    tokio::time::sleep(Duration::from_millis(100)).await;
    server.stop.notify_one();
    tokio::time::sleep(Duration::from_millis(100)).await;
    assert!(TcpStream::connect(server.address).await.is_err());
    stream.write_all(rest.as_bytes()).await.unwrap();
    assert!(hear(&mut stream).await.starts_with("HTTP/1.1 202 "));
    tokio::time::timeout(Duration::from_secs(5), server.task)
        .await
        .expect("the server ends")
        .unwrap();
}
