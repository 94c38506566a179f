//! The local server behind the page: it keeps the pieces open, answers the page's requests and tells it what has
//! changed. It listens on loopback alone, and lets in only who knows the secret in the address that it prints.

mod accept;
mod answer;
mod archive;
mod assets;
mod bench;
mod choices;
mod edits;
mod events;
mod examples;
mod guard;
mod pictures;
mod pieces;
mod routes;
mod server;
mod session;
mod stale;
mod studies;
#[cfg(test)]
mod tests;
mod views;
mod weavings;

pub use server::{Limits, Server, Settings, StartError, Stopper, USUAL_PORT};

use std::sync::{Mutex, MutexGuard, PoisonError};

/// What the lock guards, even where a thread that held it failed: all of it is of one piece at every moment.
fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
