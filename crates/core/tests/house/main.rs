//! House rules that the compiler doesn't see.

mod outside;
mod rooms;
mod sentences;
mod sources;
