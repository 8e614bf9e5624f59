#include "node/net/interfaces.hpp"

#include <ifaddrs.h>
#include <net/if.h>

#include <algorithm>
#include <map>
#include <memory>

namespace ladderline::node::net {
namespace {

boost::asio::ip::address_v4 v4_of(const sockaddr* address) {
    return boost::asio::ip::address_v4(ntohl(reinterpret_cast<const sockaddr_in*>(address)->sin_addr.s_addr));
}

boost::asio::ip::address_v6 v6_of(const sockaddr* address) {
    const auto* v6 = reinterpret_cast<const sockaddr_in6*>(address);
    boost::asio::ip::address_v6::bytes_type bytes;
    std::copy_n(v6->sin6_addr.s6_addr, bytes.size(), bytes.begin());
    return boost::asio::ip::address_v6(bytes, v6->sin6_scope_id);
}

using List = std::unique_ptr<ifaddrs, decltype(&freeifaddrs)>;

List all_addresses() {
    ifaddrs* list = nullptr;
    if (getifaddrs(&list) != 0) list = nullptr;
    return {list, &freeifaddrs};
}

bool is_usable(const ifaddrs& at) {
    return (at.ifa_flags & IFF_UP) != 0 && (at.ifa_flags & IFF_LOOPBACK) == 0 && at.ifa_addr != nullptr;
}

}  // namespace

std::vector<NamedAddress> named_addresses() {
    const List list = all_addresses();
    std::vector<NamedAddress> out;
    std::vector<NamedAddress> v6;
    for (const ifaddrs* at = list.get(); at != nullptr; at = at->ifa_next) {
        if (!is_usable(*at)) continue;
        if (at->ifa_addr->sa_family == AF_INET) out.push_back({at->ifa_name, v4_of(at->ifa_addr)});
        if (at->ifa_addr->sa_family == AF_INET6) v6.push_back({at->ifa_name, v6_of(at->ifa_addr)});
    }
    out.insert(out.end(), v6.begin(), v6.end());
    return out;
}

std::vector<Interface> interfaces() {
    const List list = all_addresses();
    std::map<std::string, Interface> by_name;
    for (const ifaddrs* at = list.get(); at != nullptr; at = at->ifa_next) {
        if (!is_usable(*at)) continue;
        Interface& one = by_name[at->ifa_name];
        one.index = if_nametoindex(at->ifa_name);
        if (at->ifa_addr->sa_family == AF_INET) {
            one.own = v4_of(at->ifa_addr);
            if ((at->ifa_flags & IFF_BROADCAST) != 0 && at->ifa_broadaddr != nullptr) {
                one.broadcast = v4_of(at->ifa_broadaddr);
            }
        } else if (at->ifa_addr->sa_family == AF_INET6) {
            one.has_v6 = true;
        }
    }
    std::vector<Interface> out;
    for (const auto& [name, one] : by_name) {
        if (!one.own.is_unspecified() || one.has_v6) out.push_back(one);
    }
    return out;
}

boost::asio::ip::address_v4 outward_address(boost::asio::io_context& io) {
    using boost::asio::ip::address_v4;
    using boost::asio::ip::udp;
    // An address of nobody (RFC 5737): joining a datagram socket to it only chooses the way there.
    const udp::endpoint elsewhere(boost::asio::ip::make_address_v4("192.0.2.1"), 9);
    boost::system::error_code error;
    udp::socket socket(io);
    socket.connect(elsewhere, error);
    if (error) return address_v4::loopback();
    const udp::endpoint own = socket.local_endpoint(error);
    if (error || !own.address().is_v4() || own.address().is_unspecified()) return address_v4::loopback();
    return own.address().to_v4();
}

}  // namespace ladderline::node::net
