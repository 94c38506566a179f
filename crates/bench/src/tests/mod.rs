//! The server as it is met: over a socket.

mod attack;
mod client;
mod flows;
mod network;
mod notices;
mod page;
mod panels;
mod pictures;
mod running;
mod weavings;
