// Time and randomness are arguments, so that whole networks replay from a number. Only node/app reads the real ones.

#include "tests/tidy/rules.hpp"

namespace ladderline::tidy {

void check_clocks(const Tree& tree, Findings& out) {
    struct Door {
        std::string_view name;
        bool whole;  // false: any word that has it at its end or, for "randombytes_", at its start
    };
    constexpr std::array<Door, 13> doors{{{"lock::now", false},
                                          {"random_device", true},
                                          {"std::rand", true},
                                          {"srand", true},
                                          {"time(nullptr)", true},
                                          {"time(NULL)", true},
                                          {"time(0)", true},
                                          {"clock_gettime", true},
                                          {"gettimeofday", true},
                                          {"getrandom", true},
                                          {"getentropy", true},
                                          {"arc4random", true},
                                          {"randombytes_", false}}};
    for (const Source& source : tree.sources) {
        // A bench measures time, and a soak lasts for one.
        const bool lasts = source.below("tests/bench/") || source.below("tests/soak/");
        if (!source.is_cpp() || source.below("node/app/") || lasts) continue;
        const std::string_view code = source.code;
        for (const Door& door : doors) {
            const auto next = [&](std::size_t from) {
                return door.whole ? find_word(code, door.name, from) : code.find(door.name, from);
            };
            for (std::size_t at = next(0); at != std::string_view::npos; at = next(at + 1)) {
                out.push_back({source.path, source.line_of(at), "clock",
                               std::string(door.name) + " is read here; time and randomness are arguments, only "
                                                        "node/app reads them."});
            }
        }
    }
}

}  // namespace ladderline::tidy
