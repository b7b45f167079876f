//! Taking connections: a bounded number of them, each with a time in which it must have said what it wants.

use std::convert::Infallible;
use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::body::Body;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::Semaphore;

/// Both ends of the connection that a request came by.
#[derive(Clone, Copy, Debug)]
pub struct Ends {
    pub peer: SocketAddr,
    /// The address of ours that was called.
    pub local: SocketAddr,
}

/// A shop has a few dozen devices, each with a few connections.
const MOST_CONNECTIONS: usize = 512;

/// In which the head of a request must have come.
const HEAD_WITHIN: Duration = Duration::from_secs(10);

pub async fn accept(listener: TcpListener, router: Router) {
    let room = Arc::new(Semaphore::new(MOST_CONNECTIONS));
    loop {
        let Ok(place) = Arc::clone(&room).acquire_owned().await else { return };
        match listener.accept().await {
            Ok((stream, peer)) => {
                let router = router.clone();
                tokio::spawn(async move {
                    converse(stream, peer, router).await;
                    drop(place);
                });
            }
            // out of file handles, or a peer that has gone already: the next may fare better
            Err(_) => tokio::time::sleep(Duration::from_millis(20)).await,
        }
    }
}

async fn converse(stream: TcpStream, peer: SocketAddr, router: Router) {
    let Ok(local) = stream.local_addr() else { return };
    // a page is many small answers; waiting to fill a packet only delays them
    let _ = stream.set_nodelay(true);
    let service = hyper::service::service_fn(move |request: hyper::Request<hyper::body::Incoming>| {
        let mut request = request.map(Body::new);
        request.extensions_mut().insert(Ends { peer, local });
        let mut router = router.clone();
        async move {
            let answer = tower_service::Service::call(&mut router, request).await;
            answer.map_err(|never: Infallible| never)
        }
    });
    let _ = http1::Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(HEAD_WITHIN)
        .max_buf_size(64 * 1024)
        .serve_connection(TokioIo::new(stream), service)
        .await;
}
