#include <array>
#include <string_view>

#include "tests/club_year/story.hpp"

namespace ladderline::club_year {
namespace {

constexpr std::array<std::string_view, 20> given{"Abel",  "Bruna", "Cosmo",  "Delia",   "Emil",    "Fenja", "Gideon",
                                                 "Hedda", "Ilja",  "Jorun",  "Kasimir", "Lorna",   "Merle", "Nuno",
                                                 "Odile", "Pelle", "Quirin", "Ronja",   "Severin", "Tilda"};
constexpr std::array<std::string_view, 20> family{"Ashlock",   "Brandle",      "Corvane",   "Dunmoss",    "Elderby",
                                                  "Fallowick", "Grimshade",    "Hollowell", "Ironmead",   "Juniperson",
                                                  "Kestrelby", "Larkmoor",     "Mossgate",  "Nettlefold", "Oakhurdle",
                                                  "Pennywort", "Quillfeather", "Rushbrack", "Sedgeley",   "Thornmill"};

}  // namespace

std::string invented_name(int n) {
    const auto of = static_cast<std::size_t>(n);
    // The second name moves on with each round, so that neighbours in the list share neither.
    return std::string(given[of % given.size()]) + " " + std::string(family[(of + of / given.size()) % family.size()]);
}

std::string invented_call(int n) {
    constexpr int letters = 26;
    const int of = n % (letters * letters);
    std::string out = n < letters * letters ? "KD0XAA" : "KF1XAA";
    out[4] = static_cast<char>('A' + of / letters);
    out[5] = static_cast<char>('A' + of % letters);
    return out;
}

}  // namespace ladderline::club_year
