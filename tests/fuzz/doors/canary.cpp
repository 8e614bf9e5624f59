// A door with bugs planted in it, one at a time (environment variable LADDERLINE_PLANTED), so that a driver that stops
// changing its inputs, or an alarm that stops ringing, is noticed (canary.sh). The input is a list of counted texts:
// one byte of length, then that many bytes; the mark ";" ends it.

#include <cstdlib>
#include <stdexcept>

#include "tests/fuzz/engine/door.hpp"

namespace ladderline::fuzz {
namespace {

std::string_view planted() {
    const char* name = std::getenv("LADDERLINE_PLANTED");
    return name == nullptr ? std::string_view() : std::string_view(name);
}

// What each bug does once it is reached: three texts, the last of which is longer than what is there.
void spring(ByteView rest, std::size_t said) {
    if (planted() == "crash") demand(false, "a length was trusted");
    if (planted() == "memory") static_cast<void>(Bytes(said << 20));
    if (planted() == "leak") {
        static std::vector<Bytes*> lost;
        lost.push_back(new Bytes(rest.begin(), rest.end()));
    }
    if (planted() == "work") {
        for (int i = 0; i < 100'000; ++i) static_cast<void>(Bytes(said << 8));
    }
    if (planted() == "throw") throw std::runtime_error("nobody catches this");
    if (planted() == "sentence") demand_sentence("something went wrong");
}

void knock(ByteView input) {
    for (std::size_t texts = 0; !input.empty() && input[0] != ';'; ++texts) {
        const std::size_t said = input[0];
        input = input.subspan(1);
        if (said > input.size()) {
            if (texts >= 2) spring(input, said);
            return;
        }
        input = input.subspan(said);
    }
}

}  // namespace

Door door() {
    Door out;
    out.knock = knock;
    out.seeds = {{"four_texts", to_bytes(as_bytes("\x05hello\x03you\x02ok\x01!;"))}};
    out.runs = 5000;
    return out;
}

}  // namespace ladderline::fuzz
