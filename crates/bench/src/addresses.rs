//! The addresses by which other devices on the network reach this machine.

use crate::door::Reach;
use if_addrs::{IfAddr, Interface};
use std::io;
use std::net::{IpAddr, Ipv4Addr, SocketAddr, UdpSocket};

/// An address of this machine and the bits that all addresses of its network share.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Address {
    pub(crate) ip: IpAddr,
    pub(crate) mask: IpAddr,
}

impl Address {
    pub(crate) fn reach(self, at: SocketAddr) -> Reach {
        Reach { at, mask: self.mask }
    }
}

/// The addresses of this machine on its networks, the one that most of its traffic takes first; or only the one
/// that is asked for.
///
/// # Errors
/// If the system doesn't tell them.
pub(crate) fn addresses(only: Option<IpAddr>) -> io::Result<Vec<Address>> {
    let interfaces = if_addrs::get_if_addrs()?;
    Ok(match only {
        Some(ip) => one(ip, &interfaces).into_iter().collect(),
        None => usual(&interfaces, preferred()),
    })
}

/// The address that is asked for, with its network.
fn one(ip: IpAddr, interfaces: &[Interface]) -> Option<Address> {
    let networks = interfaces.iter().map(of);
    networks
        .filter(|own| own.reach(SocketAddr::new(own.ip, 0)).same_network(ip))
        .map(|own| Address { ip, ..own })
        .next()
}

/// Addresses of version 4 where there are any: they can be typed, and each phone knows them. A line from point to
/// point has no network of devices on it.
fn usual(interfaces: &[Interface], preferred: Option<IpAddr>) -> Vec<Address> {
    let on_networks =
        interfaces.iter().filter(|found| !found.is_loopback() && !found.is_p2p() && !alone(of(found).mask));
    let (mut found, sixth): (Vec<Address>, Vec<Address>) = on_networks
        .filter(|found| found.ip().is_ipv4() || !found.is_link_local())
        .map(of)
        .partition(|address| address.ip.is_ipv4());
    if found.is_empty() {
        found = sixth;
    }
    found.sort_by_key(|address| Some(address.ip) != preferred);
    found
}

fn of(interface: &Interface) -> Address {
    match &interface.addr {
        IfAddr::V4(address) => Address { ip: address.ip.into(), mask: address.netmask.into() },
        IfAddr::V6(address) => Address { ip: address.ip.into(), mask: address.netmask.into() },
    }
}

/// Whether a network has no other address.
fn alone(mask: IpAddr) -> bool {
    match mask {
        IpAddr::V4(mask) => mask.to_bits() == u32::MAX,
        IpAddr::V6(mask) => mask.to_bits() == u128::MAX,
    }
}

/// The address that this machine would send from. Nothing is sent: a UDP socket that is connected only asks the
/// system for the way. The other end is of the range that RFC 5737 keeps for documents.
fn preferred() -> Option<IpAddr> {
    let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).ok()?;
    socket.connect((Ipv4Addr::new(198, 51, 100, 1), 9)).ok()?;
    Some(socket.local_addr().ok()?.ip())
}

#[cfg(test)]
mod tests {
    use super::*;
    use if_addrs::{IfOperStatus, Ifv4Addr, Ifv6Addr};

    fn interface(ip: &str, mask: &str, is_p2p: bool) -> Interface {
        let addr = match (ip.parse().unwrap(), mask.parse().unwrap()) {
            (IpAddr::V4(ip), IpAddr::V4(netmask)) => {
                IfAddr::V4(Ifv4Addr { ip, netmask, prefixlen: 0, broadcast: None })
            }
            (IpAddr::V6(ip), IpAddr::V6(netmask)) => {
                IfAddr::V6(Ifv6Addr { ip, netmask, prefixlen: 0, broadcast: None })
            }
            _ => panic!("{ip} {mask}"),
        };
        let oper_status = IfOperStatus::Up;
        Interface { name: "net".into(), addr, index: None, oper_status, is_p2p }
    }

    fn ips(found: &[Address]) -> Vec<String> {
        found.iter().map(|address| address.ip.to_string()).collect()
    }

    #[test]
    fn addresses_of_networks_are_offered_the_usual_way_out_first() {
        let all = [
            interface("127.0.0.1", "255.0.0.0", false),
            interface("172.17.0.1", "255.255.0.0", false),
            interface("192.168.178.23", "255.255.255.0", false),
            interface("10.8.0.6", "255.255.255.255", false),
            interface("10.9.0.6", "255.255.255.0", true),
            interface("fd00::2", "ffff:ffff:ffff:ffff::", false),
            interface("fe80::2", "ffff:ffff:ffff:ffff::", false),
        ];
        let preferred = Some("192.168.178.23".parse().unwrap());
        assert_eq!(ips(&usual(&all, preferred)), ["192.168.178.23", "172.17.0.1"]);
        assert_eq!(ips(&usual(&all[5..], preferred)), ["fd00::2"], "where there is no other");
        assert!(usual(&all[..1], None).is_empty());
        let asked = one("10.9.0.6".parse().unwrap(), &all).unwrap();
        assert_eq!(asked.mask.to_string(), "255.255.255.0");
        assert_eq!(one("203.0.113.1".parse().unwrap(), &all), None);
    }
}
