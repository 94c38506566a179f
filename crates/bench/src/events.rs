//! Notices of change. They say only that something is new; the page asks for what.

use crate::bench::Bench;
use crate::network::Listening;
use crate::visitor::Visitor;
use axum::extract::State;
use axum::response::IntoResponse;
use axum::response::sse::{Event, KeepAlive, Sse};
use fellmark_store::{PieceId, RevisionId, WeavingId};
use futures_util::{StreamExt, TryStreamExt};
use serde::Serialize;
use std::time::Duration;
use tokio::sync::broadcast;
use tokio_stream::wrappers::BroadcastStream;

/// How many notices wait for a page that is slow to take them.
const WAITING: usize = 256;
const KEEP_ALIVE: Duration = Duration::from_secs(15);
/// How soon a page that lost the stream asks for it again.
const AGAIN: Duration = Duration::from_secs(1);

/// Something has changed.
#[derive(Debug, Clone, Serialize)]
#[serde(untagged)]
pub(crate) enum Notice {
    /// A piece has another head.
    Piece {
        piece: String,
        rev: String,
        /// Where it was put away just now, or brought back.
        #[serde(skip_serializing_if = "Option::is_none")]
        put_away: Option<bool>,
    },
    /// A weaving of a piece has a tick more, or is begun.
    Weaving { weaving: String, piece: String, seq: u64 },
    /// Devices on the network, or the door for them.
    Devices { devices: bool },
    /// Many things may have changed.
    All { all: bool },
}

impl Notice {
    /// A piece has another head.
    pub(crate) fn piece(id: PieceId, rev: RevisionId) -> Notice {
        Notice::Piece { piece: id.to_string(), rev: rev.to_string(), put_away: None }
    }

    /// A weaving has so many ticks.
    pub(crate) fn weaving(id: WeavingId, of: PieceId, seq: u64) -> Notice {
        Notice::Weaving { weaving: id.to_string(), piece: of.to_string(), seq }
    }

    /// A piece was put away, or brought back.
    pub(crate) fn moved(id: PieceId, rev: RevisionId, put_away: bool) -> Notice {
        Notice::Piece { piece: id.to_string(), rev: rev.to_string(), put_away: Some(put_away) }
    }
}

/// Everybody who wants to be told.
#[derive(Debug)]
pub(crate) struct Notices(broadcast::Sender<Notice>);

impl Default for Notices {
    fn default() -> Notices {
        Notices(broadcast::Sender::new(WAITING))
    }
}

impl Notices {
    pub(crate) fn tell(&self, notice: Notice) {
        // Nobody may be listening.
        let _ = self.0.send(notice);
    }
}

/// The stream of notices. It ends when the server stops, and where a page fell so far behind that notices were
/// lost: it comes again, and looks at everything anew. A device's ends with its passage; if that is because the door
/// is shut, its last event says so.
pub(crate) async fn stream(State(bench): State<Bench>, visitor: Visitor) -> impl IntoResponse {
    let passage = visitor.passage;
    let listening = passage.as_ref().map(|passage| Listening::new(&bench, passage.device));
    let notices = BroadcastStream::new(bench.notices.0.subscribe());
    let events =
        notices.map_err(axum::Error::new).and_then(async |notice| Event::default().json_data(notice));
    let begin = futures_util::stream::once(async { Ok(Event::default().retry(AGAIN).comment("here")) });
    let stop = bench.stop.clone();
    let ends = passage.as_ref().map(|passage| passage.ends.clone()).unwrap_or_default();
    let end = async move {
        // Dropped with the stream, however that ends.
        let _listening = listening;
        tokio::select! {
            () = stop.cancelled() => {}
            () = ends.cancelled() => {}
        }
    };
    let last = futures_util::stream::once(async move {
        let shut = passage.is_some_and(|passage| passage.shut.is_cancelled());
        shut.then(|| Ok(Event::default().event("shut").data("{}")))
    });
    let last = last.filter_map(std::future::ready);
    Sse::new(begin.chain(events).take_until(end).chain(last))
        .keep_alive(KeepAlive::new().interval(KEEP_ALIVE))
}
