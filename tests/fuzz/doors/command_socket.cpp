// What arrives at a running node's own socket: a command line in the strict encoding, and the reading of its words.

#include "node/app/control.hpp"
#include "node/cli/command_line.hpp"
#include "tests/fuzz/engine/again.hpp"

namespace ladderline::fuzz {
namespace {

using namespace node;

void knock(ByteView input) {
    demand_codec<ControlRequest>(input);
    demand_codec<ControlAnswer>(input);
    const auto request = protocol::codec::decode<ControlRequest>(input);
    if (!request) return;
    static_cast<void>(cli::wants_json(request.value().words));
    const auto line = cli::parse_command_line(request.value().words, request.value().folder);
    if (!line) demand(!line.error().sentence().empty(), "words that are no command are told so");
}

Seed seed(const std::string& name, std::vector<std::string> words) {
    return {name, protocol::codec::encode(ControlRequest{std::move(words), "/home/ada"})};
}

}  // namespace

Door door() {
    Door out;
    out.knock = knock;
    out.seeds = {seed("next", {"next"}), seed("tick", {"tick", "09.06", "--evidence", "heard by Bo", "--json"}),
                 seed("meet", {"meet", "2026-11-25T19:05Z", "--on", "146.520"}), seed("help", {"--help"}),
                 seed("nothing", {})};
    out.words = {"--home", "--json", "--", "-", "=", "\x06--help", "\x04next"};
    out.bytes_max = 4096;
    out.bounds.work = 256 * 1024 * 1024;
    out.bounds.memory_bytes = 32 * 1024 * 1024;
    out.runs = 60;
    return out;
}

}  // namespace ladderline::fuzz
