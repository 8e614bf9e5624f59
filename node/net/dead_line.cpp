#include "node/net/dead_line.hpp"

#include <netinet/in.h>
#include <netinet/tcp.h>
#include <sys/socket.h>

namespace ladderline::node::net {

void notice_a_dead_line(boost::asio::ip::tcp::socket& socket) {
    constexpr int first_look_s = 3;
    constexpr int next_look_s = 2;
    constexpr int looks = 3;
    static_assert(1000 * (first_look_s + looks * next_look_s) == dead_line_ms_max);
    const auto set = [&socket](int level, int name, int value) {
        (void)::setsockopt(socket.native_handle(), level, name, &value, sizeof value);
    };
    set(SOL_SOCKET, SO_KEEPALIVE, 1);
    set(IPPROTO_TCP, TCP_KEEPIDLE, first_look_s);
    set(IPPROTO_TCP, TCP_KEEPINTVL, next_look_s);
    set(IPPROTO_TCP, TCP_KEEPCNT, looks);
    set(IPPROTO_TCP, TCP_USER_TIMEOUT, dead_line_ms_max);
}

}  // namespace ladderline::node::net
