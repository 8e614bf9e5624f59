// Text that may hold bundles: letters as they were forwarded, quoted and cut.

#include "protocol/sync/armour.hpp"

#include "tests/fuzz/engine/door.hpp"

namespace ladderline::fuzz {
namespace {

using namespace protocol;

void knock(ByteView input) {
    const std::vector<Result<Bytes>> parts = from_armour(as_text(input));
    demand(parts.size() <= limits::bundle_text_parts_max + 1, "no more parts than are read at once");
    demand(parts.empty() || holds_armour(as_text(input)), "a text with bundles is known by its looks");
    for (const Result<Bytes>& part : parts) {
        if (!part) {
            demand_sentence(part.error().sentence());
            continue;
        }
        const std::vector<Result<Bytes>> again = from_armour(to_armour(part.value()));
        demand(again.size() == 1 && again[0] && again[0].value() == part.value(), "armour holds what was put into it");
    }
}

std::string quoted(const std::string& text) {
    std::string out = "Dear Ada,\n\nhere it is.\n";
    for (const char c : text) {
        if (out.back() == '\n') out += "> | ";
        if (c == '\n') out += "  \r";
        out += c;
    }
    return out;
}

}  // namespace

Door door() {
    test::SeededRandom random(81);
    Bytes part(200);
    random.fill(part);
    const std::string one = to_armour(part);
    const std::string small = to_armour(ByteView(part).first(1));
    Door out;
    out.knock = knock;
    out.seeds = {{"one", to_bytes(as_bytes(one))},
                 {"two", to_bytes(as_bytes(one + "and\n" + small))},
                 {"empty", to_bytes(as_bytes(to_armour({})))},
                 {"quoted", to_bytes(as_bytes(quoted(one)))}};
    out.words = {"LADDERLINE-BUNDLE-BEGINS\n", "LADDERLINE-BUNDLE-ENDS ", "\n", "> ", "AAAA"};
    out.runs = 15'000;
    return out;
}

}  // namespace ladderline::fuzz
