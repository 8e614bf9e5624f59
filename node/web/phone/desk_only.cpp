#include "node/web/phone/desk_only.hpp"

#include <array>

namespace ladderline::node::web {
namespace {

constexpr std::string_view for_good = "it cannot be undone";
constexpr std::string_view lets_in = "it lets somebody in who stays";
constexpr std::string_view opens = "only who sits at the machine opens it to others";
constexpr std::string_view brings_file = "it takes in or writes a file";

struct Line {
    std::string_view path;  // ends with "/": everything below
    std::string_view why;   // empty: a telephone may
};

// The longest path that fits counts.
constexpr std::array lines{
    Line{"/goings/", for_good},
    Line{"/club/old", for_good},
    Line{"/club/officer", lets_in},
    Line{"/club/take-over", for_good},
    Line{"/club/step-down", for_good},
    Line{"/circles/invite", lets_in},
    Line{"/circles/let-in", lets_in},
    Line{"/greet/", lets_in},
    Line{"/join/", lets_in},
    Line{"/phone/open", opens},
    Line{"/store/copy", brings_file},
    Line{"/store/copy/stop", brings_file},
    Line{"/store/read", {}},
    Line{"/contact/file", brings_file},
    Line{"/practise/pools", brings_file},
    Line{"/ladder/", brings_file},
    Line{"/way/", {}},
    Line{"/rest", {}},
    Line{"/ask", {}},
    Line{"/people/", {}},
    Line{"/club/asked", {}},
    Line{"/club/pair", {}},
    Line{"/club/end", {}},
    Line{"/club/held", {}},
    Line{"/club/pairing/", {}},
    Line{"/meet", {}},
    Line{"/meet/", {}},
    Line{"/evening", {}},
    Line{"/evening/", {}},
    Line{"/exposure", {}},
    Line{"/exposure/", {}},
    Line{"/contact", {}},
    Line{"/contact/", {}},
    Line{"/practise", {}},
    Line{"/practise/", {}},
    Line{"/mock/", {}},
    Line{"/exam", {}},
    Line{"/pairing/", {}},
    Line{"/circles/share", {}},
    Line{"/circles/unshare", {}},
    Line{"/circles/reach", {}},
    Line{"/card", {}},
    Line{"/lock", {}},
    Line{"/phone/shut", {}},
};

bool fits(std::string_view path, std::string_view of_line) {
    return of_line.ends_with('/') ? path.starts_with(of_line) : path == of_line;
}

}  // namespace

PhoneRule phone_rule(std::string_view path) {
    const Line* best = nullptr;
    for (const Line& line : lines) {
        if (fits(path, line.path) && (best == nullptr || line.path.size() > best->path.size())) best = &line;
    }
    if (best == nullptr) return {false, "it was not made for a small screen elsewhere", false};
    return {best->why.empty(), best->why, true};
}

std::string on_machine_sentence(const PhoneRule& rule) {
    return "This is done on the machine itself and not from a telephone, because " + std::string(rule.why) +
           ". Nothing was changed.";
}

}  // namespace ladderline::node::web
