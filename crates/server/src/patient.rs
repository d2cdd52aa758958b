//! A connection that gives up on a client which does not take what it asked for.

use std::io;
use std::pin::Pin;
use std::task::{Context, Poll};
use std::time::Duration;
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::time::{Sleep, sleep};

/// A stream whose writing fails where nothing of it goes on for a while.
#[derive(Debug)]
pub struct Patient<T> {
    inner: T,
    patience: Duration,
    stalled: Option<Pin<Box<Sleep>>>,
}

impl<T> Patient<T> {
    /// A stream with so much patience.
    pub fn new(inner: T, patience: Duration) -> Self {
        Self { inner, patience, stalled: None }
    }

    fn watched<R>(&mut self, context: &mut Context<'_>, polled: Poll<io::Result<R>>) -> Poll<io::Result<R>> {
        if polled.is_ready() {
            self.stalled = None;
            return polled;
        }
        let patience = self.patience;
        let stalled = self.stalled.get_or_insert_with(|| Box::pin(sleep(patience)));
        stalled.as_mut().poll(context).map(|()| Err(io::ErrorKind::TimedOut.into()))
    }
}

impl<T: AsyncRead + Unpin> AsyncRead for Patient<T> {
    fn poll_read(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        buffer: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        Pin::new(&mut self.inner).poll_read(context, buffer)
    }
}

impl<T: AsyncWrite + Unpin> AsyncWrite for Patient<T> {
    fn poll_write(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        bytes: &[u8],
    ) -> Poll<io::Result<usize>> {
        let polled = Pin::new(&mut self.inner).poll_write(context, bytes);
        self.watched(context, polled)
    }

    fn poll_write_vectored(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        pieces: &[io::IoSlice<'_>],
    ) -> Poll<io::Result<usize>> {
        let polled = Pin::new(&mut self.inner).poll_write_vectored(context, pieces);
        self.watched(context, polled)
    }

    fn is_write_vectored(&self) -> bool {
        self.inner.is_write_vectored()
    }

    fn poll_flush(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        let polled = Pin::new(&mut self.inner).poll_flush(context);
        self.watched(context, polled)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.inner).poll_shutdown(context)
    }
}
