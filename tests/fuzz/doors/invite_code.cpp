// An invite code as somebody types or pastes it, the address in it, and addresses and weekly times as people write
// them. The first byte picks one.

#include "node/commands/circles.hpp"
#include "node/net/address.hpp"
#include "tests/fuzz/engine/door.hpp"

namespace ladderline::fuzz {
namespace {

using namespace node;

bool is_one_line(std::string_view text) {
    return is_utf8(text) && std::all_of(text.begin(), text.end(),
                                        [](char c) { return static_cast<unsigned char>(c) >= 0x20 && c != 0x7F; });
}

void code(std::string_view text) {
    const Result<InviteCode> read = parse_code(text);
    if (!read) return demand_sentence(read.error().sentence());
    demand(read.value().secret.size() == 32, "a code carries its secret");
    demand(is_one_line(read.value().address), "an address in a code is one line of text");
    const Result<InviteCode> again = parse_code(to_code(read.value()));
    demand(again && again.value().id == read.value().id && again.value().secret == read.value().secret &&
               again.value().address == read.value().address,
           "a code that is written reads back as it was");
}

void address(std::string_view text) {
    const auto read = net::parse_address(text);
    if (!read) return;
    const auto again = net::parse_address(net::to_text(read.value()));
    demand(again && again.value().host == read.value().host && again.value().port == read.value().port,
           "an address that is written reads back as it was");
}

void windows(std::string_view text) {
    const auto read = parse_windows(text);
    if (!read) return;
    demand(read.value().size() <= protocol::limits::list_max, "no more weekly times than a card holds");
    for (const protocol::WeeklyWindow& window : read.value()) {
        demand(window.weekday >= 1 && window.weekday <= 7 && window.start_minute < 1440 && window.end_minute < 1440,
               "a weekly time lies in a week");
    }
}

// Any bytes as the payload of a code whose check characters fit, so that the reader behind them is reached.
void forged(ByteView payload) {
    InviteCode made;
    made.secret = Bytes(32, 4);
    made.address = as_text(payload);
    code(to_code(made));
}

void knock(ByteView input) {
    if (input.empty()) return;
    const ByteView rest = input.subspan(1);
    if (input[0] % 4 == 0) code(as_text(rest));
    if (input[0] % 4 == 1) address(as_text(rest));
    if (input[0] % 4 == 2) windows(as_text(rest));
    if (input[0] % 4 == 3) forged(rest);
}

Seed seed(std::uint8_t kind, const std::string& name, std::string_view text) {
    Bytes input{kind};
    input.insert(input.end(), text.begin(), text.end());
    return {name, input};
}

}  // namespace

Door door() {
    InviteCode made;
    made.secret = Bytes(32, 4);
    made.address = "192.0.2.7:7300";
    Door out;
    out.knock = knock;
    out.seeds = {seed(0, "code", to_code(made)), seed(1, "address", "[2001:db8::7]:7300"),
                 seed(1, "name", "shack.example:7300"), seed(2, "windows", "Tue 18:00-21:00, Sat 23:30-01:15"),
                 seed(3, "address_in_a_code", "192.0.2.7:7300")};
    out.words = {"LADDER-", "-", "[", "]", ":", ":65535", ":65536", "\x1B[2J", ",", "Mon 00:00-23:59", "\n", "O", "I"};
    out.bytes_max = 4096;
    out.runs = 10'000;
    return out;
}

}  // namespace ladderline::fuzz
