//! What all routes share.

use crate::answer::{Answer, Refusal};
use crate::assets::Assets;
use crate::events::Notices;
use crate::examples::Examples;
use crate::kept::{Pictures, Turns};
use crate::network::Network;
use crate::session::Sessions;
use crate::standing::Stands;
use crate::starts::Starts;
use crate::studies::Studies;
use crate::swatches::Swatches;
use crate::visitor::Visitor;
use axum::http::StatusCode;
use fellmark_core::weaving::Moment;
use fellmark_store::{Error, Missing, RevisionId, Store, SystemWorld, World};
use std::ops::Deref;
use std::sync::Arc;
use tokio_util::sync::CancellationToken;

/// The name under which the pieces' history says that something was done on this computer.
pub(crate) const HERE: &str = "this computer";

/// What all routes share.
#[derive(Debug, Clone)]
pub(crate) struct Bench(Arc<Parts>);

#[derive(Debug)]
pub(crate) struct Parts {
    pub(crate) store: Store,
    pub(crate) studies: Studies,
    pub(crate) kept: Pictures,
    pub(crate) turns: Turns,
    pub(crate) swatches: Swatches,
    pub(crate) stands: Stands,
    pub(crate) examples: Examples,
    pub(crate) starts: Starts,
    pub(crate) sessions: Sessions,
    pub(crate) network: Network,
    pub(crate) notices: Notices,
    pub(crate) assets: Assets,
    pub(crate) stop: CancellationToken,
}

impl Deref for Bench {
    type Target = Parts;

    fn deref(&self) -> &Parts {
        &self.0
    }
}

impl Bench {
    pub(crate) fn new(parts: Parts) -> Bench {
        Bench(Arc::new(parts))
    }

    /// What time it is.
    pub(crate) fn clock(&self) -> Moment {
        SystemWorld.now()
    }

    /// The id of a revision that is to be.
    pub(crate) fn new_revision(&self) -> RevisionId {
        RevisionId::new(&mut SystemWorld)
    }

    /// Does work that reads, computes or waits for the disk where it holds up no other request.
    pub(crate) async fn work<T: Send + 'static>(
        &self,
        work: impl FnOnce(&Bench) -> Answer<T> + Send + 'static,
    ) -> Answer<T> {
        let bench = self.clone();
        let done = tokio::task::spawn_blocking(move || work(&bench)).await;
        done.unwrap_or_else(|_| Err(Refusal::usual(StatusCode::INTERNAL_SERVER_ERROR)))
    }
}

impl Bench {
    /// Draws where it holds up no other request, when it is its turn. Whoever has gone by then costs nothing.
    pub(crate) async fn draw<T: Send + 'static>(
        &self,
        visitor: &Visitor,
        work: impl FnOnce(&Bench) -> Answer<T> + Send + 'static,
    ) -> Answer<T> {
        let turn = self.turns.wait(visitor.passage.is_some()).await;
        // Held until it is drawn, also where nobody waits for it any more.
        self.work(move |bench| {
            let _turn = turn;
            work(bench)
        })
        .await
    }
}

fn no_device() -> Refusal {
    Refusal::new(
        StatusCode::NOT_FOUND,
        "This device is not in the list any more.",
        "Look at the list again; with a new code the device can be let in.",
    )
}

/// The store words its own errors.
impl From<Error> for Refusal {
    fn from(error: Error) -> Refusal {
        let status = match &error {
            Error::NotThere(Missing::Piece) => return Refusal::not_there("piece"),
            Error::NotThere(Missing::Weaving) => return Refusal::not_there("weaving"),
            Error::NotThere(Missing::Device) => return no_device(),
            Error::NotThere(_) => StatusCode::NOT_FOUND,
            Error::TooLong { .. } => StatusCode::PAYLOAD_TOO_LARGE,
            Error::IdTaken | Error::NameTaken { .. } => StatusCode::CONFLICT,
            Error::OutOfBounds | Error::Archive { .. } => StatusCode::UNPROCESSABLE_ENTITY,
            Error::TooManyDevices { .. } => StatusCode::CONFLICT,
            Error::InUse { .. }
            | Error::Newer { .. }
            | Error::NotOurs { .. }
            | Error::Disk { .. }
            | Error::NoDataFolder
            | Error::Closed => StatusCode::SERVICE_UNAVAILABLE,
        };
        let (message, help) = error.words();
        Refusal::new(status, message, help)
    }
}
