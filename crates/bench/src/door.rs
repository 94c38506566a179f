//! The two doors: one for browsers on this machine, by loopback, and one for devices on its network. What is
//! asked through one can't be asked through the other by another name.

use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr};

/// Where a request came in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Door {
    /// By loopback, with the port that is listened on.
    Here(u16),
    /// By an address of this machine on its network.
    There(Reach),
}

/// An address of this machine on its network.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Reach {
    /// The address, with the port that is listened on.
    pub(crate) at: SocketAddr,
    /// The bits that all addresses of the network share.
    pub(crate) mask: IpAddr,
}

impl Door {
    /// Whether a request that was sent to this host was sent here. The network's door has no name, only its
    /// address: a name could be bent to point here.
    pub(crate) fn answers_to(self, host: &str) -> bool {
        match self {
            Door::Here(port) => is_loopback(host, port),
            Door::There(reach) => host == reach.at.to_string(),
        }
    }

    /// Whether who connects from this address is let as far as the door: on the network only its own devices,
    /// so that it stays shut to the rest of the world where this machine has an address of the internet.
    pub(crate) fn admits(self, peer: IpAddr) -> bool {
        match self {
            Door::Here(_) => peer.is_loopback(),
            Door::There(reach) => reach.same_network(peer),
        }
    }
}

impl Reach {
    /// Whether an address is of the same network.
    pub(crate) fn same_network(self, peer: IpAddr) -> bool {
        match (self.at.ip(), self.mask, peer.to_canonical()) {
            (IpAddr::V4(own), IpAddr::V4(mask), IpAddr::V4(peer)) => own & mask == peer & mask,
            (IpAddr::V6(own), IpAddr::V6(mask), IpAddr::V6(peer)) => own & mask == peer & mask,
            _ => false,
        }
    }
}

fn is_loopback(host: &str, port: u16) -> bool {
    let Some((name, of_port)) = host.rsplit_once(':') else { return false };
    let of_loopback = match name.strip_prefix('[').and_then(|name| name.strip_suffix(']')) {
        Some(name) => name.parse().is_ok_and(|address: Ipv6Addr| address.is_loopback()),
        None => name.parse().is_ok_and(|address: Ipv4Addr| address.is_loopback()),
    };
    of_port == port.to_string() && (of_loopback || name.eq_ignore_ascii_case("localhost"))
}

#[cfg(test)]
mod tests {
    use super::{Door, Reach};

    const HERE: Door = Door::Here(7417);

    fn there(at: &str, mask: &str) -> Door {
        Door::There(Reach { at: at.parse().unwrap(), mask: mask.parse().unwrap() })
    }

    #[test]
    fn only_loopback_with_our_port_is_answered_by_loopback() {
        for host in ["127.0.0.1:7417", "localhost:7417", "LocalHost:7417", "[::1]:7417"] {
            assert!(HERE.answers_to(host), "{host}");
        }
        for host in [
            "",
            "127.0.0.1",
            "127.0.0.1:7418",
            "127.0.0.1:07417",
            "127.0.0.1.example:7417",
            "localhost.example:7417",
            "192.168.1.4:7417",
            "evil.example:7417",
            "evil.example@127.0.0.1:7417",
            "::1:7417",
            "[127.0.0.1]:7417",
        ] {
            assert!(!HERE.answers_to(host), "{host}");
        }
    }

    #[test]
    fn only_its_address_with_its_port_is_answered_on_the_network() {
        let door = there("192.168.1.4:7417", "255.255.255.0");
        assert!(door.answers_to("192.168.1.4:7417"));
        for host in [
            "",
            "192.168.1.4",
            "192.168.1.4:7418",
            "192.168.1.4:07417",
            "192.168.1.5:7417",
            "192.168.1.4.example:7417",
            "evil.example@192.168.1.4:7417",
            "127.0.0.1:7417",
            "localhost:7417",
            "loom.local:7417",
        ] {
            assert!(!door.answers_to(host), "{host}");
        }
        let door = there("[fd00::2]:7417", "ffff:ffff:ffff:ffff::");
        assert!(door.answers_to("[fd00::2]:7417") && !door.answers_to("fd00::2:7417"));
    }

    #[test]
    fn only_devices_of_the_same_network_come_to_the_door() {
        let door = there("192.168.1.4:7417", "255.255.255.0");
        for (peer, comes) in [
            ("192.168.1.4", true),
            ("192.168.1.200", true),
            ("192.168.2.1", false),
            ("127.0.0.1", false),
            ("203.0.113.9", false),
            ("::ffff:192.168.1.9", true),
            ("fd00::9", false),
        ] {
            assert_eq!(door.admits(peer.parse().unwrap()), comes, "{peer}");
        }
        let door = there("[fd00::2]:7417", "ffff:ffff:ffff:ffff::");
        assert!(door.admits("fd00::9".parse().unwrap()));
        assert!(!door.admits("fd00:0:0:1::9".parse().unwrap()));
        assert!(HERE.admits("127.0.0.1".parse().unwrap()) && !HERE.admits("192.168.1.4".parse().unwrap()));
    }
}
