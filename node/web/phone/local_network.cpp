#include "node/web/phone/local_network.hpp"

namespace ladderline::node::web {
namespace {

using boost::asio::ip::address;

bool is_local_v4(std::uint32_t number) {
    struct Block {
        std::uint32_t first;
        std::uint32_t mask;
    };
    constexpr Block blocks[] = {
        {0x0A000000, 0xFF000000},  // 10.0.0.0/8
        {0xAC100000, 0xFFF00000},  // 172.16.0.0/12
        {0xC0A80000, 0xFFFF0000},  // 192.168.0.0/16
        {0xA9FE0000, 0xFFFF0000},  // 169.254.0.0/16
    };
    for (const Block& block : blocks) {
        if ((number & block.mask) == block.first) return true;
    }
    return false;
}

}  // namespace

bool is_of_local_network(const address& of) {
    if (of.is_loopback()) return true;
    if (of.is_v4()) return is_local_v4(of.to_v4().to_uint());
    const bool is_unique_local = (of.to_v6().to_bytes()[0] & 0xFEU) == 0xFCU;
    return is_unique_local || of.to_v6().is_link_local();
}

std::vector<OwnAddress> shareable(const std::vector<OwnAddress>& all) {
    std::vector<OwnAddress> out;
    for (const OwnAddress& own : all) {
        const bool needs_name = own.address.is_v6() && own.address.to_v6().is_link_local();
        if (is_of_local_network(own.address) && !own.address.is_loopback() && !needs_name) out.push_back(own);
    }
    return out;
}

std::string host_text(const address& of) {
    return of.is_v6() ? "[" + of.to_string() + "]" : of.to_string();
}

}  // namespace ladderline::node::web
