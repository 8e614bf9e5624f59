// A paper key as somebody types it from the sheet.

#include "protocol/crypto/paper_key.hpp"

#include "tests/fuzz/engine/door.hpp"

namespace ladderline::fuzz {
namespace {

using namespace protocol;

void knock(ByteView input) {
    const std::string_view typed = as_text(input);
    static_cast<void>(tidy_paper_group(typed));
    const Result<PaperSeed> seed = read_paper_key(typed);
    if (!seed) return demand_sentence(seed.error().sentence());
    const Result<PaperSeed> again = read_paper_key(to_paper_text(seed.value()));
    demand(again.has_value(), "a key that is read is written so that it is read again");
    const ByteView a = seed.value().view();
    const ByteView b = again.value().view();
    demand(std::equal(a.begin(), a.end(), b.begin(), b.end()), "as the same key");
}

}  // namespace

Door door() {
    test::SeededRandom random(101);
    const std::string text = to_paper_text(PaperSeed::random(random));
    std::string sloppy;
    for (const char c : text)
        sloppy += c == '-' ? std::string(" \n") : std::string(1, static_cast<char>(std::tolower(c)));
    std::string wrong = text;
    std::swap(wrong[7], wrong[8]);
    Door out;
    out.knock = knock;
    out.seeds = {{"as_printed", to_bytes(as_bytes(text))},
                 {"sloppy", to_bytes(as_bytes(sloppy))},
                 {"two_swapped", to_bytes(as_bytes(wrong))}};
    out.words = {"-", "O", "I", "L", "U", " ", "\xC3\xA9", std::string("\0", 1)};
    out.runs = 10'000;
    return out;
}

}  // namespace ladderline::fuzz
