#include "node/net/doorstep.hpp"

#include <algorithm>
#include <map>
#include <tuple>

namespace ladderline::node::net {

namespace asio = boost::asio;

asio::ip::address network_of(const asio::ip::address& address) {
    if (address.is_v4()) return address;
    const asio::ip::address_v6 v6 = address.to_v6();
    if (v6.is_v4_mapped()) return asio::ip::make_address_v4(asio::ip::v4_mapped, v6);
    asio::ip::address_v6::bytes_type bytes = v6.to_bytes();
    std::fill(bytes.begin() + bytes.size() / 2, bytes.end(), std::uint8_t{0});
    return asio::ip::address_v6(bytes, v6.scope_id());
}

std::optional<std::size_t> who_makes_room(const std::vector<Caller>& callers, const asio::ip::address& newcomer,
                                          const DoorPlaces& places) {
    const asio::ip::address home = network_of(newcomer);
    std::map<std::pair<asio::ip::address, bool>, std::size_t> count;
    const auto like = [](const Caller& caller) { return std::pair(network_of(caller.from), caller.is_known); };
    for (const Caller& caller : callers) ++count[like(caller)];
    const bool is_home_full = count[{home, true}] + count[{home, false}] >= places.of_one_network;
    if (!is_home_full && callers.size() < places.all) return std::nullopt;
    const auto weight = [&](const Caller& caller) {
        const bool may_go = !is_home_full || network_of(caller.from) == home;
        return std::tuple(may_go, !caller.is_known, count.at(like(caller)));
    };
    const auto goes = std::max_element(callers.begin(), callers.end(),
                                       [&](const Caller& a, const Caller& b) { return weight(a) < weight(b); });
    return static_cast<std::size_t>(goes - callers.begin());
}

}  // namespace ladderline::node::net
