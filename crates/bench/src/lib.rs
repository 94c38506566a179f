//! The local server behind the page: it keeps the pieces open, answers the page's requests and tells it what has
//! changed. It listens on loopback alone, and lets in only who knows the secret in the address that it prints; devices on
//! the same network only after it was opened to them there, and only with a code.

mod accept;
mod addresses;
mod answer;
mod archive;
mod assets;
mod bench;
mod came;
mod choices;
mod clocks;
mod devices;
mod door;
mod edits;
mod events;
mod examples;
mod fit;
mod gaps;
mod guard;
mod kept;
mod lies;
mod map;
mod network;
mod pairing;
mod pictures;
mod pieces;
mod qr;
mod remedies;
mod routes;
mod server;
mod session;
mod sheet;
mod stale;
mod standing;
mod starts;
mod studies;
mod swatches;
#[cfg(test)]
mod tests;
mod views;
mod visitor;
mod weavings;
mod whose;

pub use server::{Limits, Server, Settings, StartError, Stopper, USUAL_PORT};

use std::sync::{Mutex, MutexGuard, PoisonError};

/// What the lock guards, even where a thread that held it failed: all of it is of one piece at every moment.
fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
