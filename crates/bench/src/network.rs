//! The door for devices on the same network: shut until it is opened on this machine, and shut again at once.

use crate::accept::accept;
use crate::addresses::{Address, addresses};
use crate::answer::{Answer, Refusal};
use crate::bench::Bench;
use crate::door::{Door, Reach};
use crate::events::Notice;
use crate::pairing::Pairing;
use crate::routes::routes;
use crate::{Limits, lock};
use axum::http::StatusCode;
use fellmark_store::DeviceId;
use std::collections::BTreeMap;
use std::io;
use std::net::{IpAddr, SocketAddr, TcpListener};
use std::sync::Mutex;
use std::time::{Duration, SystemTime};
use tokio::task::JoinHandle;
use tokio_util::sync::CancellationToken;

/// How long answers that are under way get when the door is shut: enough to say that it was.
const LAST_WORDS: Duration = Duration::from_millis(250);
/// How often to look whether this machine is still on the network.
const LOOK: Duration = Duration::from_secs(5);
/// How long the door stays open where nobody thinks of shutting it.
const LONGEST: Duration = Duration::from_secs(12 * 60 * 60);

/// The door for devices on the network.
#[derive(Debug)]
pub(crate) struct Network {
    only: Option<IpAddr>,
    port: u16,
    limits: Limits,
    open: Mutex<Option<Open>>,
    listening: Mutex<BTreeMap<DeviceId, usize>>,
    pub(crate) pairing: Mutex<Pairing>,
}

/// The door while it is open.
#[derive(Debug)]
struct Open {
    shut: CancellationToken,
    /// The best first.
    at: Vec<OpenAt>,
    devices: BTreeMap<DeviceId, CancellationToken>,
}

/// The door where it is open at one of this machine's addresses.
#[derive(Debug)]
struct OpenAt {
    own: Address,
    reach: Reach,
    shut: CancellationToken,
    accepting: JoinHandle<()>,
}

/// For how long a device is let through.
#[derive(Debug, Clone)]
pub(crate) struct Passage {
    /// Ends when the device is sent away or may do something else, and when the door is shut.
    pub(crate) ends: CancellationToken,
    /// Ends when the door is shut.
    pub(crate) shut: CancellationToken,
    pub(crate) device: DeviceId,
}

impl Network {
    /// A shut door. It will be on `port`, if that is free on the network too, and on the address `only`, if one
    /// is asked for.
    pub(crate) fn new(only: Option<IpAddr>, port: u16, limits: Limits) -> Network {
        Network {
            only,
            port,
            limits,
            open: Mutex::default(),
            listening: Mutex::default(),
            pairing: Mutex::new(Pairing::new(limits.between_tries)),
        }
    }

    /// Where the door is, the best address first; `None` if it is shut.
    pub(crate) fn reaches(&self) -> Option<Vec<SocketAddr>> {
        lock(&self.open).as_ref().map(|open| open.at.iter().map(|door| door.reach.at).collect())
    }

    /// How long a code works.
    pub(crate) fn code_lasts(&self) -> Duration {
        self.limits.code
    }

    /// The passage of a device; `None` if the door is shut.
    pub(crate) fn passage(&self, device: DeviceId) -> Option<Passage> {
        let mut open = lock(&self.open);
        let open = open.as_mut()?;
        let ends = open.devices.entry(device).or_insert_with(|| open.shut.child_token()).clone();
        Some(Passage { ends, shut: open.shut.clone(), device })
    }

    /// Whether a device listens to notices now.
    pub(crate) fn listens(&self, device: DeviceId) -> bool {
        lock(&self.listening).contains_key(&device)
    }

    /// Ends a device's passage: what it has begun ends now, and what it asks next is looked at anew.
    pub(crate) fn end_passage(&self, device: DeviceId) {
        let ended = lock(&self.open).as_mut().and_then(|open| open.devices.remove(&device));
        if let Some(ended) = ended {
            ended.cancel();
        }
    }

    /// Waits until the door is shut and all that came through it is answered or cut.
    pub(crate) async fn settled(&self) {
        let open = lock(&self.open).take();
        for door in open.into_iter().flat_map(|open| open.at) {
            let _ = door.accepting.await;
        }
    }

    /// Shuts it where this machine has the address no longer; at the others it stays open. Whether one of these is
    /// left; `None` if nothing has changed.
    pub(crate) fn stay_at(&self, now: &[Address]) -> Option<bool> {
        let mut open = lock(&self.open);
        let open = open.as_mut()?;
        let (stay, gone): (Vec<OpenAt>, Vec<OpenAt>) =
            std::mem::take(&mut open.at).into_iter().partition(|door| now.contains(&door.own));
        open.at = stay;
        for door in &gone {
            door.shut.cancel();
        }
        (!gone.is_empty()).then_some(!open.at.is_empty())
    }
}

/// A device that listens to notices, for as long as it does.
#[derive(Debug)]
pub(crate) struct Listening(Bench, DeviceId);

impl Listening {
    pub(crate) fn new(bench: &Bench, device: DeviceId) -> Listening {
        let first = {
            let mut listening = lock(&bench.network.listening);
            let mine = listening.entry(device).or_default();
            *mine += 1;
            *mine == 1
        };
        if first {
            bench.notices.tell(Notice::Devices { devices: true });
        }
        Listening(bench.clone(), device)
    }
}

impl Drop for Listening {
    fn drop(&mut self) {
        let last = {
            let mut listening = lock(&self.0.network.listening);
            let mine = listening.get_mut(&self.1).filter(|mine| **mine > 1);
            let last = mine.is_none();
            match mine {
                Some(mine) => *mine -= 1,
                None => drop(listening.remove(&self.1)),
            }
            last
        };
        if last {
            self.0.notices.tell(Notice::Devices { devices: true });
        }
    }
}

/// Opens the door, if it is shut.
pub(crate) fn open(bench: &Bench) -> Answer<()> {
    let network = &bench.network;
    if network.reaches().is_some() {
        return Ok(());
    }
    let found = addresses(network.only).map_err(|said| no_door(&said))?;
    if found.is_empty() {
        return Err(no_network(network.only));
    }
    if let Some(shut) = open_at(bench, &found)? {
        tokio::spawn(watch(bench.clone(), shut));
    }
    Ok(())
}

/// Opens the door at these addresses, where that can be done; gives what shuts it. `None`: it is open already.
pub(crate) fn open_at(bench: &Bench, found: &[Address]) -> Answer<Option<CancellationToken>> {
    let network = &bench.network;
    let mut open = lock(&network.open);
    if open.is_some() {
        return Ok(None);
    }
    let all = CancellationToken::new();
    let (mut at, mut refused) = (Vec::new(), None);
    for &own in found {
        let listening = listen(own, network.port)
            .and_then(|(listener, reach)| Ok((tokio::net::TcpListener::from_std(listener)?, reach)));
        let (listener, reach) = match listening {
            Ok(listening) => listening,
            Err(said) => {
                refused = Some(said);
                continue;
            }
        };
        let door = Door::There(reach);
        let (limits, bench, shut) = (network.limits, bench.clone(), all.child_token());
        // Devices of the network can't take the places of this machine's own browser: each door has its own.
        let stop = shut.clone();
        let accepting = tokio::spawn(async move {
            accept(listener, door, routes(&bench, door, limits.body), limits, stop, LAST_WORDS).await;
        });
        at.push(OpenAt { own, reach, shut, accepting });
    }
    if let (true, Some(said)) = (at.is_empty(), refused) {
        return Err(no_door(&said));
    }
    *open = Some(Open { shut: all.clone(), at, devices: BTreeMap::new() });
    Ok(Some(all))
}

fn listen(own: Address, port: u16) -> io::Result<(TcpListener, Reach)> {
    let on = |port| TcpListener::bind((own.ip, port));
    let listener = on(port).or_else(|_| on(0))?;
    listener.set_nonblocking(true)?;
    let at = listener.local_addr()?;
    Ok((listener, own.reach(at)))
}

/// Shuts the door: streams are told so and end, connections are cut, the code is void. Devices stay known.
pub(crate) async fn shut(bench: &Bench) {
    lock(&bench.network.pairing).forget();
    if let Some(open) = lock(&bench.network.open).as_ref() {
        open.shut.cancel();
    }
    bench.network.settled().await;
    bench.notices.tell(Notice::Devices { devices: true });
}

/// Shuts the door where this machine leaves a network, so that it isn't open on the next one, and all of it when it
/// was open for very long.
async fn watch(bench: Bench, shut_already: CancellationToken) {
    let begun = SystemTime::now();
    loop {
        tokio::select! {
            () = shut_already.cancelled() => return,
            () = bench.stop.cancelled() => break,
            () = tokio::time::sleep(LOOK) => {}
        }
        let only = bench.network.only;
        let now = tokio::task::spawn_blocking(move || addresses(only)).await;
        let left = match now {
            Ok(Ok(now)) => bench.network.stay_at(&now),
            _ => None,
        };
        // A clock that was set back counts as long open.
        if left == Some(false) || begun.elapsed().is_ok_and(|open| open > LONGEST) || begun.elapsed().is_err()
        {
            break;
        }
        if left == Some(true) {
            bench.notices.tell(Notice::Devices { devices: true });
        }
    }
    shut(&bench).await;
}

fn no_network(only: Option<IpAddr>) -> Refusal {
    match only {
        Some(ip) => Refusal::new(
            StatusCode::CONFLICT,
            format!("This computer does not have the address {ip} now."),
            "Connect it to that network, or start Fellmark without --network.",
        ),
        None => Refusal::new(
            StatusCode::CONFLICT,
            "This computer is on no network now.",
            "Connect it to the network that the phone is on, and open it again.",
        ),
    }
}

fn no_door(said: &io::Error) -> Refusal {
    Refusal::new(
        StatusCode::CONFLICT,
        format!("The network can't be listened on: {said}."),
        "Look whether this computer's network works, and open it again.",
    )
}
