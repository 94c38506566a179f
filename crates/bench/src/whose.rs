//! Whose program it is that connects from this machine, where the system says so. What lets a browser in could be seen by
//! other users of the machine: a program's arguments are listed, and a cookie goes to every port of its address. So what
//! another user's program asks for is refused, whatever it knows. (Linux lists the two ends of every connection with the
//! user of each; other systems don't say, and there the secrets alone keep others out.)

use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr};

/// Whose program is at the other end of a connection.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Whose {
    /// Of the user who runs this program, or of the system's own, which sees everything anyway.
    Ours,
    /// Of another user; or it has gone already, so that nobody knows.
    Others,
    /// The system doesn't say.
    Unknown,
}

/// The connections of this machine, as the system lists them: nothing where it doesn't.
fn listed() -> String {
    let tables = if cfg!(target_os = "linux") { ["tcp", "tcp6"].as_slice() } else { &[] };
    // A socket of IPv6 may speak IPv4 too, and then stands in the second.
    tables
        .iter()
        .filter_map(|table| std::fs::read_to_string(format!("/proc/self/net/{table}")).ok())
        .collect()
}

/// Whose program is at the other end of a connection of this machine with itself.
pub(crate) fn whose(here: SocketAddr, peer: SocketAddr) -> Whose {
    // A list that changes while it is read may leave a line out.
    let tries = (0..3).map(|_| in_list(&listed(), here, peer));
    let mut whose = Whose::Unknown;
    for found in tries {
        whose = found;
        if whose != Whose::Others {
            break;
        }
    }
    whose
}

/// The two ends of a connection, and whose this one is.
#[derive(Debug, PartialEq, Eq)]
struct End {
    local: SocketAddr,
    remote: SocketAddr,
    user: u32,
    /// Whether a program holds it still.
    is_held: bool,
}

impl End {
    /// A line of the list (Linux, Documentation/networking/proc_net_tcp: number, local and remote address, state, queues,
    /// timers, retransmissions, user, timeout, inode; from memory).
    fn read(line: &str) -> Option<End> {
        let mut fields = line.split_ascii_whitespace().skip(1);
        let (local, remote) = (address(fields.next()?)?, address(fields.next()?)?);
        let user = fields.nth(4)?.parse().ok()?;
        let inode: u64 = fields.nth(1)?.parse().ok()?;
        Some(End { local, remote, user, is_held: inode != 0 })
    }
}

fn in_list(list: &str, here: SocketAddr, peer: SocketAddr) -> Whose {
    let ends = || list.lines().filter_map(End::read);
    let Some(mine) = ends().find(|end| (end.local, end.remote) == (here, peer)) else {
        return Whose::Unknown;
    };
    // The user of an end that nobody holds is told as the system's own.
    let theirs = ends().find(|end| (end.local, end.remote) == (peer, here) && end.is_held);
    match theirs {
        Some(theirs) if theirs.user == mine.user || theirs.user == 0 => Whose::Ours,
        _ => Whose::Others,
    }
}

/// "0100007F:1CF9": numbers of four bytes, each in this machine's order, and the port.
fn address(text: &str) -> Option<SocketAddr> {
    let (address, port) = text.split_once(':')?;
    let words = |count: usize| {
        let digits =
            (address.len() == count * 8 && address.is_ascii()).then(|| address.as_bytes().chunks(8))?;
        let word = |digits: &[u8]| u32::from_str_radix(std::str::from_utf8(digits).ok()?, 16).ok();
        digits.map(|digits| word(digits).map(u32::to_ne_bytes)).collect::<Option<Vec<_>>>()
    };
    let address = match address.len() {
        8 => IpAddr::V4(Ipv4Addr::from(*words(1)?.first()?)),
        _ => IpAddr::V6(Ipv6Addr::from(<[u8; 16]>::try_from(words(4)?.concat()).ok()?)),
    };
    Some(SocketAddr::new(address.to_canonical(), u16::from_str_radix(port, 16).ok()?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::net::{TcpListener, TcpStream};

    fn at(port: u16) -> SocketAddr {
        (Ipv4Addr::LOCALHOST, port).into()
    }

    /// Four bytes as this machine writes them.
    fn word(bytes: [u8; 4]) -> String {
        format!("{:08X}", u32::from_ne_bytes(bytes))
    }

    fn line(from: u16, to: u16, user: u32, inode: u32) -> String {
        let loopback = word([127, 0, 0, 1]);
        format!(
            "   1: {loopback}:{from:04X} {loopback}:{to:04X} 01 00000000:00000000 00:00000000 00000000 {user:5} \
                    0 {inode} 1 00000000a404333e 20 4 30 10 -1\n"
        )
    }

    const HEAD: &str =
        "  sl  local_address rem_address   st tx_queue rx_queue tr tm->when retrnsmt   uid  timeout inode\n";

    #[test]
    fn only_our_own_user_and_the_system_are_ours() {
        let with = |theirs: String| {
            in_list(&[HEAD, &line(7417, 50_000, 1000, 7), &theirs].concat(), at(7417), at(50_000))
        };
        assert_eq!(with(line(50_000, 7417, 1000, 8)), Whose::Ours);
        assert_eq!(with(line(50_000, 7417, 0, 8)), Whose::Ours);
        assert_eq!(with(line(50_000, 7417, 1001, 8)), Whose::Others);
        // Whoever has let go of it is nobody.
        assert_eq!(with(line(50_000, 7417, 0, 0)), Whose::Others);
        assert_eq!(with(line(50_001, 7417, 1000, 8)), Whose::Others);
        assert_eq!(in_list(HEAD, at(7417), at(50_000)), Whose::Unknown);
        assert_eq!(in_list("", at(7417), at(50_000)), Whose::Unknown);
    }

    #[test]
    fn an_address_of_ipv4_is_known_in_the_list_of_ipv6_too() {
        let mapped = [word([0; 4]), word([0; 4]), word([0, 0, 255, 255]), word([127, 0, 0, 1])].concat();
        assert_eq!(address(&format!("{mapped}:C350")), Some(at(50_000)));
        let own = [word([0; 4]), word([0; 4]), word([0; 4]), word([0, 0, 0, 1])].concat();
        assert_eq!(address(&format!("{own}:0050")), Some("[::1]:80".parse().unwrap()));
        for wrong in ["", ":", "0100007F", "0100007F:", "x100007F:0050", "éé00007F:0050", &"0".repeat(40)] {
            assert_eq!(address(wrong), None, "{wrong}");
        }
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn this_program_is_its_own_user_s_until_it_lets_go() {
        let listener = TcpListener::bind(at(0)).unwrap();
        let here = listener.local_addr().unwrap();
        let client = TcpStream::connect(here).unwrap();
        let (accepted, peer) = listener.accept().unwrap();
        assert_eq!(accepted.local_addr().unwrap(), here);
        assert_eq!(whose(here, peer), Whose::Ours);
        drop(client);
        assert_eq!(whose(here, peer), Whose::Others);
        drop(accepted);
    }
}
