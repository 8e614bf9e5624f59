#include "node/net/interfaces.hpp"

#include <ifaddrs.h>
#include <net/if.h>

#include <map>
#include <memory>

namespace ladderline::node::net {
namespace {

boost::asio::ip::address_v4 v4_of(const sockaddr* address) {
    return boost::asio::ip::address_v4(ntohl(reinterpret_cast<const sockaddr_in*>(address)->sin_addr.s_addr));
}

}  // namespace

std::vector<Interface> interfaces() {
    ifaddrs* list = nullptr;
    if (getifaddrs(&list) != 0) return {};
    const std::unique_ptr<ifaddrs, decltype(&freeifaddrs)> keeper(list, &freeifaddrs);
    std::map<std::string, Interface> by_name;
    for (const ifaddrs* at = list; at != nullptr; at = at->ifa_next) {
        const bool usable = (at->ifa_flags & IFF_UP) != 0 && (at->ifa_flags & IFF_LOOPBACK) == 0;
        if (!usable || at->ifa_addr == nullptr) continue;
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
