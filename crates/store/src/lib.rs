//! The store: where pieces and weavings are kept.
//!
//! A piece is kept as its plan's text. Its revisions form a tree: each holds the whole text, its parent and
//! what was done; undo and redo move the piece's head along the tree and are recorded themselves, so nothing
//! is ever lost and undo has no limit. A change names the revision it was made on; when the piece has moved
//! on meanwhile, the answer is what changed ([`Changed::Stale`]) and nothing is saved.
//!
//! A weaving is one cloth made from a piece: the counts it was begun with and a log of ticks that only grows
//! ([`fellmark_core::weaving`]).
//!
//! What a call has acknowledged is on the disk. One thread writes; every call may be made from any thread and
//! waits for its answer. The clock and chance come from the caller's [`World`].
//!
//! ```
//! use fellmark_store::{Change, Changed, Store, SystemWorld};
//! # let home = tempfile::tempdir().unwrap();
//! # let folder = home.path();
//! let store = Store::open(folder, SystemWorld)?;
//! let opened = store.open_text("schema = 1\n# a plan's text\n", "laptop")?;
//! let change = Change {
//!     id: None,
//!     base: opened.revision,
//!     text: "schema = 1\n# another\n".to_owned(),
//!     label: r#"{"edit":"text"}"#.to_owned(),
//!     by: "laptop".to_owned(),
//! };
//! let Changed::Saved(head) = store.edit(opened.piece, change)? else { panic!("nobody else is here") };
//! let Changed::Saved(back) = store.undo(opened.piece, head.revision.id, "laptop")? else { panic!() };
//! assert_eq!(back.revision.id, opened.revision);
//! # Ok::<(), fellmark_store::Error>(())
//! ```

mod archive;
mod backup;
mod devices;
mod error;
mod folder;
mod id;
mod moves;
mod pieces;
mod schema;
mod store;
mod ticks;
mod weavings;
mod world;
mod woven;
mod writer;

pub use archive::{Brought, Came, Imported};
pub use devices::{Device, MOST_DEVICES, May, NewDevice, TokenHash};
pub use error::{Doing, Error, Missing, Trouble};
pub use folder::data_folder;
pub use id::{DeviceId, IdError, PieceId, RevisionId, WeavingId, read_tick_id, write_tick_id};
pub use moves::{Move, MoveKind};
pub use pieces::{Change, Changed, Conflict, Head, Opened, Parted, PieceInfo, Revision, RevisionInfo};
pub use schema::SCHEMA;
pub use store::Store;
pub use ticks::{NewTick, Ticked};
pub use weavings::{Begun, Listed, NewWeaving, Weaving, WeavingInfo, WeavingPlan};
pub use world::{SystemWorld, World};

/// What a call of the store gives.
pub type Result<T> = std::result::Result<T, Error>;
