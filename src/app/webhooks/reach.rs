//! Which addresses of the net are open to everybody.

use std::net::{IpAddr, Ipv4Addr, Ipv6Addr};

/// Whether an address is one of the public net: not this machine, not a network of the shop or of
/// whoever hosts the service (IANA special-purpose address registries, RFC 6890).
pub fn is_public(address: IpAddr) -> bool {
    match address {
        IpAddr::V4(address) => is_public_v4(address),
        IpAddr::V6(address) => is_public_v6(address),
    }
}

const fn is_public_v4(address: Ipv4Addr) -> bool {
    let [a, b, c, _] = address.octets();
    let special = address.is_private()
        || address.is_loopback()
        || address.is_link_local()
        || address.is_documentation()
        || address.is_multicast()
        // "This network", shared address space (RFC 6598), IETF assignments, benchmarks, reserved.
        || a == 0
        || (a == 100 && b >= 64 && b < 128)
        || (a == 192 && b == 0 && c == 0)
        || (a == 198 && (b == 18 || b == 19))
        || a >= 240;
    !special
}

fn is_public_v6(address: Ipv6Addr) -> bool {
    let [a, b, ..] = address.segments();
    let low = address.octets();
    let inner = Ipv4Addr::new(low[12], low[13], low[14], low[15]);
    if address.to_ipv4_mapped().is_some() || (a == 0x64 && b == 0xff9b) {
        // An IPv4 address in other clothes (RFC 4291, RFC 6052).
        return is_public_v4(inner);
    }
    // Global unicast is 2000::/3 alone; in it 6to4, Teredo and documentation lead elsewhere.
    let global = a & 0xe000 == 0x2000;
    let elsewhere = a == 0x2002 || (a == 0x2001 && (b < 0x200 || b == 0xdb8)) || a == 0x3fff;
    global && !elsewhere
}

#[cfg(test)]
mod tests {
    use super::is_public;

    #[test]
    fn the_shops_own_net_is_not_the_public_one() {
        for inside in [
            "127.0.0.1",
            "10.1.2.3",
            "172.16.0.1",
            "192.168.1.1",
            "169.254.169.254",
            "100.64.0.1",
            "0.0.0.0",
            "255.255.255.255",
            "224.0.0.1",
            "192.0.2.1",
            "198.18.0.1",
            "::1",
            "::",
            "fe80::1",
            "fd00::1",
            "ff02::1",
            "::ffff:10.0.0.1",
            "64:ff9b::7f00:1",
            "2002:7f00:1::",
            "2001:db8::1",
            "::127.0.0.1",
        ] {
            assert!(!is_public(inside.parse().unwrap()), "{inside}");
        }
        for outside in ["1.1.1.1", "172.32.0.1", "2606:4700::1111", "::ffff:1.1.1.1"] {
            assert!(is_public(outside.parse().unwrap()), "{outside}");
        }
    }
}
