#include "node/domain/rules/call_sign.hpp"

#include <doctest/doctest.h>

#include "node/domain/rules/phonetics.hpp"

using namespace ladderline;
using namespace ladderline::domain;

namespace {

std::string listed(const SplitCall& split) {
    std::string out = split.country_prefix + "|" + split.base;
    for (const std::string& mark : split.marks) out += "|" + mark;
    return out;
}

// How many call signs with this prefix, digit and length of suffix no amateur gets.
int count_unavailable(const char* prefix, char digit, std::size_t letters) {
    int out = 0;
    std::string suffix(letters, 'A');
    for (bool more = true; more;) {
        out += why_not_available({prefix, digit, suffix}).has_value();
        more = false;
        for (std::size_t k = letters; k-- > 0 && !more;) {
            more = suffix[k] != 'Z';
            suffix[k] = more ? static_cast<char>(suffix[k] + 1) : 'A';
        }
    }
    return out;
}

}  // namespace

TEST_CASE("call signs of every form are read in either case") {
    for (const std::string prefix : {"K", "N", "W", "AA", "AL", "KZ", "NA", "WX"}) {
        for (std::size_t letters = 1; letters <= 3; ++letters) {
            const std::string text = prefix + '0' + std::string(letters, 'X');
            CAPTURE(text);
            const UsCallSign call = parse_us_call_sign(text).value();
            CHECK(call == UsCallSign{prefix, '0', std::string(letters, 'X')});
            CHECK(call.form() == std::to_string(prefix.size()) + "x" + std::to_string(letters));
        }
    }
    CHECK(parse_us_call_sign("kd0xaa").value() == UsCallSign{"KD", '0', "XAA"});
    CHECK(parse_us_call_sign("kd0 xaa").value().text() == "KD0XAA");
}

TEST_CASE("what is not of United States form is refused with the reason") {
    struct Row {
        const char* text;
        const char* reason;
    };
    static constexpr Row rows[] = {
        {"", "no digit"},
        {"KDXAA", "no digit"},
        {"Q1ABC", "must begin"},
        {"AM1XAA", "other countries"},
        {"AZ9XAA", "other countries"},
        {"KDX0XA", "must begin"},
        {"1XA", "must begin"},
        {"KD0", "one to three"},
        {"KD0XAAA", "one to three"},
        {"KD0XA1", "one to three"},
        {"KD0XAA/P", "one to three"},
        {"QQ1ABC", "must begin"},
        {"K\xC3", "no digit"},
        {"K\xC3\x84"
         "0XAA",
         "must begin"},
    };
    for (const Row& row : rows) {
        CAPTURE(row.text);
        const auto call = parse_us_call_sign(row.text);
        REQUIRE_FALSE(call);
        CHECK(call.error().sentence().find(row.reason) != std::string::npos);
    }
}

TEST_CASE("blocks and suffixes that no amateur gets are counted exactly") {
    // FCC, Amateur Call Sign Systems, list of call signs not available. Every three-letter suffix loses SOS and the 104
    // from QRA to QUZ; a 2x3 also the 676 that begin with X.
    constexpr int suffixes = 1 + 104;
    constexpr int of_2x3 = suffixes + 676;
    struct Row {
        const char* prefix;
        char digit;
        std::size_t letters;
        int unavailable;
    };
    static constexpr Row rows[] = {
        {"KD", '0', 3, of_2x3},
        {"K", '1', 3, suffixes},
        {"K", '1', 2, 0},
        {"KD", '0', 2, 0},
        {"KD", '0', 1, 0},
        {"K", '1', 1, 26},
        {"KA", '2', 2, 676},
        {"KA", '9', 2, 676},
        {"KA", '1', 2, 0},
        {"KA", '2', 3, of_2x3},
        {"KC", '4', 3, of_2x3 + 6 + 26},
        {"KC", '5', 3, of_2x3},
        {"KG", '4', 2, 676},
        {"KG", '5', 2, 0},
        {"KG", '4', 3, of_2x3},
        {"KC", '6', 2, 676},
        {"KX", '6', 2, 676},
        {"KX", '7', 2, 0},
        {"KL", '9', 3, of_2x3 + 208},
        {"KL", '8', 3, of_2x3},
        {"KF", '1', 3, of_2x3 + 1},
        {"WF", '1', 3, of_2x3 + 1},
        {"AA", '1', 3, 17576},
        {"NZ", '1', 3, 17576},
        {"WC", '1', 3, 17576},
        {"WT", '1', 3, 17576},
        {"WS", '1', 3, of_2x3},
        {"WC", '1', 2, 0},
        {"KP", '0', 1, 26},
        {"NP", '6', 2, 676},
        {"WP", '9', 3, 17576},
        {"KP", '4', 3, of_2x3},
        {"KP", '1', 1, 0},
    };
    for (const Row& row : rows) {
        CAPTURE(row.prefix);
        CAPTURE(row.digit);
        CAPTURE(row.letters);
        CHECK(count_unavailable(row.prefix, row.digit, row.letters) == row.unavailable);
    }
}

TEST_CASE("a call sign tells its group") {
    struct Row {
        const char* prefix;
        std::size_t letters;
        std::optional<CallGroup> group;
    };
    static const Row rows[] = {
        {"K", 2, CallGroup::a},  {"NX", 1, CallGroup::a}, {"AA", 2, CallGroup::a}, {"KA", 2, CallGroup::b},
        {"N", 3, CallGroup::c},  {"KD", 3, CallGroup::d}, {"AL", 1, CallGroup::a}, {"AL", 2, CallGroup::b},
        {"KL", 2, CallGroup::c}, {"KL", 3, CallGroup::d}, {"KP", 2, CallGroup::b}, {"NP", 2, CallGroup::c},
        {"AH", 2, CallGroup::b}, {"KH", 2, CallGroup::c}, {"WH", 3, CallGroup::d}, {"K", 1, {}},
        {"NA", 3, {}},
    };
    for (const Row& row : rows) {
        CAPTURE(row.prefix);
        CAPTURE(row.letters);
        CHECK(group_of({row.prefix, '1', std::string(row.letters, 'B')}) == row.group);
    }
}

TEST_CASE("only a call sign that can belong to nobody passes as an example") {
    for (const char* text : {"KD0XAA", "kf1xqb", "WB0XMN", "KD0XAA/P", "Q1ABC", "QQ1ABC", "F/QQ1ABC", "KC0XAA"}) {
        CAPTURE(text);
        CHECK(is_impossible_demo_call(text));
    }
    for (const char* text : {"QRM", "Q1", ""}) {
        CAPTURE(text);
        CHECK_FALSE(is_impossible_demo_call(text));
    }
    const UsCallSign others[] = {{"KD", '2', "XAA"}, {"KD", '9', "XAA"}, {"WC", '0', "XAA"}, {"WK", '1', "XAA"},
                                 {"WM", '0', "XAA"}, {"WR", '0', "XAA"}, {"WT", '1', "XAA"}, {"KD", '0', "AAX"},
                                 {"K", '0', "XAA"},  {"ND", '0', "XAA"}, {"AD", '0', "XAA"}, {"KD", '0', "XA"}};
    for (const UsCallSign& call : others) {
        CAPTURE(call.text());
        CHECK_FALSE(is_impossible_demo_call(call.text()));
        CHECK_FALSE(is_impossible_demo_call("F/" + call.text()));
    }
}

TEST_CASE("a call sign is split into base, country prefix and side marks") {
    struct Row {
        const char* text;
        const char* parts;
    };
    static constexpr Row rows[] = {
        {"kd0xaa", "|KD0XAA"},
        {" KD0 XAA ", "|KD0XAA"},
        {"KD0XAA/P", "|KD0XAA|P"},
        {"KD0XAA/7", "|KD0XAA|7"},
        {"KD0XAA/MM", "|KD0XAA|MM"},
        {"F/QQ1ABC", "F|QQ1ABC"},
        {"F/QQ1ABC/QRP", "F|QQ1ABC|QRP"},
        {"Q2/QQ1ABC/P/QRP", "Q2|QQ1ABC|P|QRP"},
        {"KD0XAA/AG", "|KD0XAA|AG"},
        {"/KD0XAA/", "|KD0XAA"},
        {"QQ1ABC/KD0XAAA", "QQ1ABC|KD0XAAA"},
    };
    for (const Row& row : rows) {
        CAPTURE(row.text);
        CHECK(listed(split_call(row.text).value()) == row.parts);
    }
    for (const char* text : {"", " ", "/", "KD0XAA;", "KD0\xC3\x84"}) {
        CAPTURE(text);
        CHECK_FALSE(split_call(text));
    }
}

TEST_CASE("side marks are not compared, and country prefixes only where both have one") {
    const auto same = [](const char* a, const char* b) {
        return same_call(split_call(a).value(), split_call(b).value());
    };
    CHECK(same("KD0XAA/P", "kd0xaa"));
    CHECK(same("F/QQ1ABC", "QQ1ABC/M"));
    CHECK(same("F/QQ1ABC", "F/QQ1ABC"));
    CHECK_FALSE(same("F/QQ1ABC", "Q2/QQ1ABC"));
    CHECK_FALSE(same("KD0XAA", "KD0XAB"));
}

TEST_CASE("a call sign is spelt in the words of the ITU") {
    CHECK(spelling_of("KD0XAA") == "Kilo Delta Zero X-ray Alfa Alfa");
    CHECK(spelling_of("wj9/p") == "Whiskey Juliett Nine Stroke Papa");
    CHECK(spelling_of("") == "");
    CHECK(spelling_of("A B") == "Alfa Bravo");
}

TEST_CASE("every letter's word begins with the letter") {
    for (char c = 'A'; c <= 'Z'; ++c) {
        CAPTURE(c);
        CHECK(spelling_word(c).front() == c);
    }
}
