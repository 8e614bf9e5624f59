// A pool that was damaged on the way here: what changes nothing is read as before, and what takes a part away is
// refused at its line.

#include <doctest/doctest.h>

#include <algorithm>
#include <functional>
#include <string>
#include <vector>

#include "node/domain/study/pool.hpp"
#include "node/domain/study/random.hpp"
#include "tests/unit/domain/study/pool_text.hpp"

using namespace ladderline;
using namespace ladderline::domain;
using study_test::small_pool;

namespace {

constexpr int damages = 200;

std::vector<std::string> lines_of(const std::string& text) {
    std::vector<std::string> out(1);
    for (const char c : text) {
        if (c == '\n') {
            out.emplace_back();
        } else {
            out.back() += c;
        }
    }
    return out;
}

std::string joined(const std::vector<std::string>& lines, const std::string& end = "\n") {
    std::string out;
    for (const std::string& line : lines) out += line + end;
    return out;
}

std::size_t below(SplitMix64& generator, std::size_t n) {
    return static_cast<std::size_t>(bounded(generator, n));
}

std::size_t line_of(const std::vector<std::string>& lines, std::string_view start) {
    const auto at = std::find_if(lines.begin(), lines.end(), [&](const std::string& line) { return line == start; });
    REQUIRE(at != lines.end());
    return static_cast<std::size_t>(at - lines.begin());
}

// One change of the kind that copying, printing to a file and mail bring, none of which means anything.
std::string harmless(std::string text, SplitMix64& generator) {
    std::vector<std::string> lines = lines_of(text);
    const std::size_t at = below(generator, lines.size());
    switch (bounded(generator, 7)) {
        case 0:
            lines[at] += std::string(1 + below(generator, 4), ' ');
            return joined(lines);
        case 1:
            lines[at].insert(0, 1 + below(generator, 4), at % 2 == 0 ? ' ' : '\t');
            return joined(lines);
        case 2:
            lines.insert(lines.begin() + static_cast<std::ptrdiff_t>(at), "");
            return joined(lines);
        case 3:
            lines[at].insert(0, "\f");
            return joined(lines);
        case 4:
            return joined(lines, "\r\n");
        case 5: {
            const std::size_t blank = lines[at].find(' ');
            if (blank != std::string::npos) lines[at].replace(blank, 1, "\xC2\xA0");
            return joined(lines);
        }
        default:
            return text + "\n";
    }
}

}  // namespace

TEST_CASE("200 pools with stray blanks, page breaks and other line ends are read as the same pool") {
    const Pool pool = read_pool(small_pool).value();
    SplitMix64 generator(12);
    for (int n = 0; n < damages; ++n) {
        std::string text = small_pool;
        const std::size_t changes = 1 + below(generator, 6);
        for (std::size_t i = 0; i < changes; ++i) text = harmless(text, generator);
        if (n % 2 == 0) text.insert(0, "\xEF\xBB\xBF");
        CAPTURE(text);
        const auto read = read_pool(text);
        REQUIRE(read.has_value());
        CHECK(read.value() == pool);
    }
}

TEST_CASE("200 pools that lack one needed line are refused at a line at or after the gap") {
    const std::vector<std::string> lines = lines_of(small_pool);
    // Needed: keys, the first line of each choice, closing marks and headings that questions stand under.
    std::vector<std::size_t> needed;
    for (std::size_t i = line_of(lines, "Q1A01 (C) [97.1, 97.3(a)]"); i < lines.size(); ++i) {
        const std::string& line = lines[i];
        const bool choice = line.size() > 2 && line[0] >= 'A' && line[0] <= 'D' && line[1] == '.';
        const bool group = line.starts_with("Q1B - ") || line.starts_with("Q2A - ");
        if (choice || line == "~~" || line.starts_with("SUBELEMENT") || group) needed.push_back(i);
    }
    REQUIRE(needed.size() > 25);
    SplitMix64 generator(13);
    for (int n = 0; n < damages; ++n) {
        const std::size_t gone = needed[static_cast<std::size_t>(n) < needed.size() ? static_cast<std::size_t>(n)
                                                                                    : below(generator, needed.size())];
        std::vector<std::string> damaged = lines;
        damaged.erase(damaged.begin() + static_cast<std::ptrdiff_t>(gone));
        // A blank line or two elsewhere before it moves the numbers, and the sentence with them.
        const std::size_t more = below(generator, 3);
        damaged.insert(damaged.begin(), more, "");
        CAPTURE(lines[gone]);
        const auto read = read_pool(joined(damaged));
        REQUIRE_FALSE(read.has_value());
        const std::string said = read.error().sentence();
        CAPTURE(said);
        REQUIRE(said.starts_with("Line "));
        const auto line = static_cast<std::size_t>(std::stoi(said.substr(5)));
        CHECK(line >= gone + more + 1);
        CHECK(line <= damaged.size() + 1);
        CHECK(said.find("nothing was imported") != std::string::npos);
    }
}
