//! What the store promises.

mod archive;
mod common;
mod crash;
mod devices;
mod disk;
mod files;
mod history;
mod taken_in;
mod weavings;
