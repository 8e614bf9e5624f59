#include "protocol/sync/armour.hpp"

#include <doctest/doctest.h>

#include <algorithm>

#include "tests/support/protocol/seeded_random.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using namespace ladderline::test;

namespace {

Bytes some_bytes(std::size_t size) {
    SeededRandom random(size + 1);
    Bytes out(size);
    random.fill(out);
    return out;
}

// Every line with `before` in front and `after` behind.
std::string lines_with(const std::string& text, const std::string& before, const std::string& after) {
    std::string out;
    std::size_t from = 0;
    while (from < text.size()) {
        const std::size_t end = text.find('\n', from);
        out += before + text.substr(from, end - from) + after;
        from = end + 1;
    }
    return out;
}

bool reads_as(const std::string& text, const Bytes& wanted) {
    const auto got = from_armour(text);
    return got.size() == 1 && got[0].has_value() && got[0].value() == wanted;
}

}  // namespace

TEST_CASE("bytes of any length come back from text, seven-bit and with short lines") {
    for (std::size_t size = 0; size < 200; ++size) {
        CAPTURE(size);
        const Bytes bytes = some_bytes(size);
        const std::string text = to_armour(bytes);
        CHECK(reads_as(text, bytes));
        CHECK(std::all_of(text.begin(), text.end(), [](char c) { return c == '\n' || (c >= 0x20 && c < 0x7F); }));
        std::size_t longest = 0;
        std::size_t from = 0;
        for (std::size_t end = text.find('\n'); end != std::string::npos; end = text.find('\n', from)) {
            longest = std::max(longest, end - from);
            from = end + 1;
        }
        CHECK(longest <= 64);
    }
}

TEST_CASE("the base 64 is that of RFC 4648, section 10, without padding") {
    // Test vectors "foob" and "foobar" of that section.
    CHECK(to_armour(as_bytes("foob")).find("\nZm9vYg\n") != std::string::npos);
    CHECK(to_armour(as_bytes("foobar")).find("\nZm9vYmFy\n") != std::string::npos);
}

TEST_CASE("text survives what letters do to it") {
    const Bytes bytes = some_bytes(1000);
    const std::string text = to_armour(bytes);
    CHECK(reads_as(lines_with(text, "", "\r\n"), bytes));
    CHECK(reads_as(lines_with(text, "", "  \t\n"), bytes));
    CHECK(reads_as(lines_with(text, "", "\n\n"), bytes));
    CHECK(reads_as(lines_with(text, "> ", "\n"), bytes));
    CHECK(reads_as(lines_with(text, ">> | ", " \r\n"), bytes));
    CHECK(reads_as("Dear Max,\nnews from the field day:\n\n" + text + "\nBest, Ada\n", bytes));
    CHECK(reads_as(text.substr(0, text.size() - 1), bytes));
}

TEST_CASE("several bundles in one text are read in order, and a spoiled one spoils no other") {
    const Bytes first = some_bytes(70);
    const Bytes third = some_bytes(90);
    std::string spoiled = to_armour(some_bytes(80));
    spoiled[30] = spoiled[30] == 'A' ? 'B' : 'A';
    const auto got = from_armour(to_armour(first) + "\nand\n" + spoiled + to_armour(third));
    REQUIRE(got.size() == 3);
    CHECK(got[0].value() == first);
    CHECK(got[1].error().fault() == Fault::damaged);
    CHECK(got[2].value() == third);
}

TEST_CASE("a line among the armour's that is none of its own is noticed") {
    std::string text = to_armour(some_bytes(100));
    text.insert(text.find('\n') + 1, "no line of it\n");
    const auto got = from_armour(text);
    REQUIRE(got.size() == 1);
    CHECK(got[0].error().fault() == Fault::damaged);
}

TEST_CASE("any character changed is noticed, or changes nothing") {
    const Bytes bytes = some_bytes(100);
    const std::string text = to_armour(bytes);
    for (std::size_t at = 0; at < text.size(); ++at) {
        for (const char c : {'A', '!', '\n', ' '}) {
            std::string changed = text;
            changed[at] = c;
            CAPTURE(at);
            CAPTURE(c);
            const auto parts = from_armour(changed);
            if (at > text.find('\n')) CHECK(parts.size() == 1);  // its first line is what it is found by
            for (const auto& part : parts) {
                if (part)
                    CHECK(part.value() == bytes);
                else
                    CHECK(part.error().sentence().ends_with("."));
            }
        }
    }
}

TEST_CASE("text that is cut in a bundle says that its end is missing") {
    const std::string text = to_armour(some_bytes(100));
    const auto got = from_armour(text.substr(0, 80));
    REQUIRE(got.size() == 1);
    CHECK(got[0].error().sentence().find("cut short") != std::string::npos);
}

TEST_CASE("a bundle that begins inside another ends that one") {
    const Bytes bytes = some_bytes(50);
    const std::string text = to_armour(bytes);
    const auto got = from_armour(text.substr(0, 60) + "\n" + text);
    REQUIRE(got.size() == 2);
    CHECK(got[0].has_error());
    CHECK(got[1].value() == bytes);
}

TEST_CASE("a text without a bundle gives none") {
    CHECK(from_armour("Minutes of the meeting\n").empty());
    CHECK_FALSE(holds_armour("Minutes of the meeting\n"));
}

TEST_CASE("a text with more bundles than are read at once says so behind the last one read") {
    std::string text;
    for (std::size_t i = 0; i <= limits::bundle_text_parts_max; ++i) text += to_armour(some_bytes(3));
    const auto got = from_armour(text);
    REQUIRE(got.size() == limits::bundle_text_parts_max + 1);
    CHECK(got.back().has_error());
    CHECK(got[limits::bundle_text_parts_max - 1].has_value());
}
