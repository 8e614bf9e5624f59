#include "node/domain/rules/call_sign.hpp"

#include <algorithm>
#include <array>

#include "protocol/base/letters.hpp"

namespace ladderline::domain {
namespace {

bool is_letter(char c) {
    return c >= 'A' && c <= 'Z';
}
bool is_figure(char c) {
    return c >= '0' && c <= '9';
}

bool one_of(std::string_view letters, char c) {
    return letters.find(c) != std::string_view::npos;
}

template <std::size_t N>
bool one_of(const std::array<std::string_view, N>& words, std::string_view word) {
    return std::find(words.begin(), words.end(), word) != words.end();
}

std::string upper_without_blanks(std::string_view text) {
    std::string out;
    for (const char c : text) {
        if (c != ' ' && c != '\t') out += upper(c);
    }
    return out;
}

bool is_us_prefix(std::string_view prefix) {
    if (prefix.size() == 1) return one_of("KNW", prefix[0]);
    if (prefix.size() != 2) return false;
    return one_of("KNW", prefix[0]) || (prefix[0] == 'A' && prefix[1] <= 'L');
}

Error not_a_call(const std::string& text, const std::string& reason) {
    return {Fault::bad_input, "'" + text + "' is not a call sign of United States form: " + reason + "."};
}

// A block that was given away: all suffixes of one length from first to last behind the digits from .. to.
struct Block {
    std::string_view prefix;
    char digit_first;
    char digit_last;
    std::string_view suffix_first;
    std::string_view suffix_last;
};

constexpr std::array<Block, 7> blocks{{{"KA", '2', '9', "AA", "ZZ"},
                                       {"KC", '4', '4', "AAA", "AAF"},
                                       {"KC", '4', '4', "USA", "USZ"},
                                       {"KG", '4', '4', "AA", "ZZ"},
                                       {"KC", '6', '6', "AA", "ZZ"},
                                       {"KL", '9', '9', "KAA", "KHZ"},
                                       {"KX", '6', '6', "AA", "ZZ"}}};

bool in_block(const UsCallSign& call) {
    return std::any_of(blocks.begin(), blocks.end(), [&](const Block& block) {
        return call.prefix == block.prefix && call.digit >= block.digit_first && call.digit <= block.digit_last &&
               call.suffix.size() == block.suffix_first.size() && call.suffix >= block.suffix_first &&
               call.suffix <= block.suffix_last;
    });
}

constexpr std::array<std::string_view, 5> w_prefixes_without_2x3{"WC", "WK", "WM", "WR", "WT"};

std::optional<std::string> why_no_2x3(const UsCallSign& call) {
    if (call.prefix.size() != 2 || call.suffix.size() != 3) return {};
    if (call.suffix[0] == 'X') return "A 2x3 call sign whose suffix begins with X is an experimental station's.";
    if (one_of("AKNW", call.prefix[0]) && call.prefix[1] == 'F' && call.suffix == "EMA") {
        return "The suffix EMA behind AF, KF, NF and WF is kept for an agency.";
    }
    if (call.prefix[0] == 'A' || call.prefix[0] == 'N') return "2x3 call signs begin with K or W only.";
    if (one_of(w_prefixes_without_2x3, call.prefix)) return "2x3 call signs with this prefix are not assigned.";
    return {};
}

bool is_demo_base(const std::string& base) {
    if (base.starts_with('Q')) {
        return std::any_of(base.begin(), base.end(), is_figure) && is_letter(base.back());
    }
    const auto call = parse_us_call_sign(base);
    if (!call) return false;
    const UsCallSign& c = call.value();
    return c.prefix.size() == 2 && c.suffix.size() == 3 && one_of("KW", c.prefix[0]) &&
           !one_of(w_prefixes_without_2x3, c.prefix) && one_of("01", c.digit) && c.suffix[0] == 'X';
}

bool looks_like_a_call(std::string_view part) {
    for (std::size_t k = 1; k < part.size(); ++k) {
        if (is_figure(part[k - 1]) && is_letter(part[k])) return true;
    }
    return false;
}

std::vector<std::string> parts_of(const std::string& text) {
    std::vector<std::string> out(1);
    for (const char c : text) {
        if (c == '/') {
            out.emplace_back();
        } else {
            out.back() += c;
        }
    }
    return out;
}

}  // namespace

Result<UsCallSign> parse_us_call_sign(std::string_view text) {
    const std::string call = upper_without_blanks(text);
    const auto figure = std::find_if(call.begin(), call.end(), is_figure);
    if (figure == call.end()) return not_a_call(call, "it has no digit");
    UsCallSign out{{call.begin(), figure}, *figure, {figure + 1, call.end()}};
    if (out.prefix.size() == 2 && out.prefix[0] == 'A' && one_of("MNOPQRSTUVWXYZ", out.prefix[1])) {
        return not_a_call(call, "the prefixes AM to AZ belong to other countries");
    }
    if (!std::all_of(out.prefix.begin(), out.prefix.end(), is_letter) || !is_us_prefix(out.prefix)) {
        return not_a_call(call, "it must begin with K, N, W, AA to AL, KA to KZ, NA to NZ or WA to WZ");
    }
    const bool letters = std::all_of(out.suffix.begin(), out.suffix.end(), is_letter);
    if (!letters || out.suffix.empty() || out.suffix.size() > 3) {
        return not_a_call(call, "one to three letters must follow its digit");
    }
    return out;
}

std::optional<std::string> why_not_available(const UsCallSign& call) {
    if (call.prefix.size() == 1 && call.suffix.size() == 1) {
        return call.suffix == "X" ? "The letter X is not used in 1x1 call signs."
                                  : "1x1 call signs are lent to special events only.";
    }
    if (call.suffix == "SOS") return "The suffix SOS is a distress signal.";
    if (call.suffix.size() == 3 && call.suffix >= "QRA" && call.suffix <= "QUZ") {
        return "The suffixes QRA to QUZ are operating signals.";
    }
    if (in_block(call)) return "This block of call signs is not available to amateurs.";
    if (const auto reason = why_no_2x3(call)) return reason;
    const bool pacific_or_caribbean_p =
        one_of("KNW", call.prefix[0]) && call.prefix.size() == 2 && call.prefix[1] == 'P';
    if (pacific_or_caribbean_p && one_of("06789", call.digit)) {
        return "Behind KP, NP and WP only the digits 1 to 5 are assigned.";
    }
    return {};
}

std::optional<CallGroup> group_of(const UsCallSign& call) {
    if (why_not_available(call)) return {};
    if (call.prefix.size() == 1) return call.suffix.size() == 2 ? CallGroup::a : CallGroup::c;
    if (call.suffix.size() == 1) return CallGroup::a;
    if (call.suffix.size() == 3) return CallGroup::d;
    // 2x2: the prefixes of Alaska, the Caribbean and the Pacific have rows of their own.
    switch (call.prefix[1]) {
        case 'L':
            return call.prefix[0] == 'A' ? CallGroup::b : CallGroup::c;
        case 'P':
            return call.prefix[0] == 'K' ? CallGroup::b : CallGroup::c;
        case 'H':
            return call.prefix[0] == 'A' ? CallGroup::b : CallGroup::c;
        default:
            return call.prefix[0] == 'A' ? CallGroup::a : CallGroup::b;
    }
}

bool is_impossible_demo_call(std::string_view call) {
    const auto split = split_call(call);
    return split && is_demo_base(split.value().base);
}

Result<SplitCall> split_call(std::string_view text) {
    const std::string call = upper_without_blanks(text);
    const bool usable =
        std::all_of(call.begin(), call.end(), [](char c) { return is_letter(c) || is_figure(c) || c == '/'; });
    if (!usable || call.find_first_not_of('/') == std::string::npos) {
        return Error{Fault::bad_input,
                     "'" + std::string(text) + "' is not a call sign; it may hold letters, digits and strokes only."};
    }
    const std::vector<std::string> parts = parts_of(call);
    std::size_t base = 0;
    for (std::size_t k = 1; k < parts.size(); ++k) {
        const auto rank = [&](std::size_t at) { return std::pair{looks_like_a_call(parts[at]), parts[at].size()}; };
        if (rank(k) > rank(base)) base = k;
    }
    SplitCall out;
    out.base = parts[base];
    for (std::size_t k = 0; k < parts.size(); ++k) {
        if (k == base || parts[k].empty()) continue;
        if (k < base) {
            out.country_prefix = parts[k];
        } else {
            out.marks.push_back(parts[k]);
        }
    }
    return out;
}

bool same_call(const SplitCall& a, const SplitCall& b) {
    const bool prefixes_agree =
        a.country_prefix.empty() || b.country_prefix.empty() || a.country_prefix == b.country_prefix;
    return a.base == b.base && prefixes_agree;
}

}  // namespace ladderline::domain
