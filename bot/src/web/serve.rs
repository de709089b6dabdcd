//! Serves a router over TCP with the limits a plain listener lacks: a deadline for the headers, a
//! bound on connections and on header size, and an end that lets running requests finish.

use axum::Router;
use axum::extract::ConnectInfo;
use hyper::body::Incoming;
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use std::future::Future;
use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{OwnedSemaphorePermit, Semaphore};
use tower::ServiceExt as _;

/// Limits of the server.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ServeSettings {
    /// Longest time for a request's headers; a silent connection is closed after it too.
    pub header_deadline: Duration,
    /// Most connections at once; further ones wait.
    pub connections: usize,
    /// Largest header block, bytes; at least 8,192.
    pub header_bytes: usize,
    /// Longest time for running requests to finish at the end.
    pub finish_deadline: Duration,
}

impl Default for ServeSettings {
    /// 5 s, 1,024 connections, 16 KiB, 10 s.
    fn default() -> Self {
        Self {
            header_deadline: Duration::from_secs(5),
            connections: 1_024,
            header_bytes: 16 * 1024,
            finish_deadline: Duration::from_secs(10),
        }
    }
}

/// Serves until `stop` is done, then lets running requests finish.
pub async fn serve(
    listener: TcpListener,
    router: Router,
    settings: ServeSettings,
    stop: impl Future<Output = ()> + Send,
) {
    let running = GracefulShutdown::new();
    let slots = Arc::new(Semaphore::new(settings.connections));
    tokio::pin!(stop);
    loop {
        let next = tokio::select! {
            next = accept(&listener, &slots) => next,
            () = &mut stop => break,
        };
        let Some((stream, peer, slot)) = next else {
            // Out of file handles or the like: let some be freed.
            tokio::time::sleep(Duration::from_millis(50)).await;
            continue;
        };
        let router = router.clone();
        let service = service_fn(move |mut request: hyper::Request<Incoming>| {
            request.extensions_mut().insert(ConnectInfo(peer));
            router.clone().oneshot(request)
        });
        let connection = http1::Builder::new()
            .timer(TokioTimer::new())
            .header_read_timeout(settings.header_deadline)
            .max_buf_size(settings.header_bytes.max(8_192))
            .serve_connection(TokioIo::new(stream), service);
        let connection = running.watch(connection);
        tokio::spawn(async move {
            if let Err(error) = connection.await {
                tracing::debug!(%error, "connection ended early");
            }
            drop(slot);
        });
    }
    // Closed before the wait, so that a load balancer sees it at once.
    drop(listener);
    if tokio::time::timeout(settings.finish_deadline, running.shutdown())
        .await
        .is_err()
    {
        tracing::warn!("some requests did not finish in time");
    }
}

async fn accept(
    listener: &TcpListener,
    slots: &Arc<Semaphore>,
) -> Option<(TcpStream, SocketAddr, OwnedSemaphorePermit)> {
    let slot = slots.clone().acquire_owned().await.ok()?;
    match listener.accept().await {
        Ok((stream, peer)) => {
            // Small answers leave at once; without it they may wait for an acknowledgement.
            if let Err(error) = stream.set_nodelay(true) {
                tracing::debug!(%error, "no delay could not be set");
            }
            Some((stream, peer, slot))
        }
        Err(error) => {
            tracing::warn!(%error, "no connection accepted");
            None
        }
    }
}
