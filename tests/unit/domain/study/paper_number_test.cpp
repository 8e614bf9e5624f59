#include "node/domain/study/paper_number.hpp"

#include <doctest/doctest.h>

#include <map>
#include <set>

#include "tests/unit/domain/study/pool_text.hpp"

using namespace ladderline;
using namespace ladderline::domain;

namespace {

Pool small() {
    return read_pool(study_test::small_pool).value();
}

MockDraw draw_of(std::uint32_t salt, MockMode mode = MockMode::faithful) {
    return {mode, 2, 29'000'000, salt};
}

std::string sentence_of(const Result<MockPlaces>& read) {
    return read ? "read" : read.error().sentence();
}

}  // namespace

TEST_CASE("a paper is made again from its number") {
    const Pool pool = small();
    const std::vector<std::string> seen{"Q1A01"};
    for (std::uint32_t salt = 0; salt < 50; ++salt) {
        const MockDraw draw = draw_of(salt * 2'654'435'761U, salt % 2 == 0 ? MockMode::faithful : MockMode::fresh);
        const MockPaper paper = draw_numbered(pool, draw, seen);
        const ReadNumber read = read_paper_number(paper_number(pool, draw, paper)).value();
        CHECK(read.draw == draw);
        CHECK(draw_numbered(pool, read.draw, seen) == paper);
        CHECK(is_number_of(read, pool, paper));
    }
}

TEST_CASE("the number survives the first and the last minute and element that it can name") {
    const Pool pool = small();
    for (const std::int64_t minute : {mock_minute_min, mock_minute_max}) {
        for (const int element : {0, 15}) {
            const MockDraw draw{MockMode::fresh, element, minute, 0xFFFFFFFF};
            const std::string number = paper_number(pool, draw, draw_numbered(pool, draw, {}));
            CHECK(read_paper_number(number).value().draw == draw);
        }
    }
}

TEST_CASE("a number is sixteen characters in four groups and may be typed in small letters without hyphens") {
    const Pool pool = small();
    const MockDraw draw = draw_of(77);
    const std::string number = paper_number(pool, draw, draw_numbered(pool, draw, {}));
    REQUIRE(number.size() == 19);
    std::string typed;
    for (const char c : number) {
        if (c != '-') typed += static_cast<char>(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c);
    }
    CHECK(read_paper_number(" " + typed + " ").value().draw == draw);
}

TEST_CASE("one wrong character of a number is found") {
    const Pool pool = small();
    const MockDraw draw = draw_of(4711);
    const std::string number = paper_number(pool, draw, draw_numbered(pool, draw, {}));
    int found = 0;
    int tried = 0;
    for (std::size_t at = 0; at < number.size(); ++at) {
        if (number[at] == '-') continue;
        std::string wrong = number;
        wrong[at] = number[at] == '7' ? '8' : '7';
        const ReadNumber read = read_paper_number(wrong).value();
        found += is_number_of(read, pool, draw_numbered(pool, read.draw, {})) ? 0 : 1;
        ++tried;
    }
    CHECK(found == tried);
}

TEST_CASE("what is no number of a paper is refused with one sentence") {
    for (const char* typed : {"", "ABCD", "ABCD-EFGH-JKMN-PQR", "ABCD-EFGH-JKMN-PQRS-T", "ABCD-EFGH-JKMN-PQR!", "U"}) {
        CAPTURE(std::string(typed));
        const auto read = read_paper_number(typed);
        REQUIRE_FALSE(read.has_value());
        CHECK(read.error().fault() == Fault::bad_input);
        CHECK(read.error().sentence().find("sixteen letters and digits") != std::string::npos);
    }
}

TEST_CASE("the check covers the printed text: a changed word makes it another paper") {
    const Pool pool = small();
    const MockDraw draw = draw_of(5);
    const MockPaper paper = draw_numbered(pool, draw, {});
    const ReadNumber number = read_paper_number(paper_number(pool, draw, paper)).value();
    Pool corrected = pool;
    for (PoolQuestion& question : corrected.questions) question.stem += "!";
    CHECK_FALSE(is_number_of(number, corrected, draw_numbered(corrected, draw, {})));
}

TEST_CASE("papers of different numbers draw every question of a group about equally often") {
    const Pool pool = small();
    std::map<std::string, int> drawn;
    constexpr int papers = 3000;
    for (std::uint32_t salt = 0; salt < papers; ++salt) {
        drawn[draw_numbered(pool, draw_of(salt), {}).showings[0].question] += 1;
    }
    REQUIRE(drawn.size() == 3);
    for (const auto& [id, times] : drawn) {
        CAPTURE(id);
        CHECK(times > papers / 3 - 150);  // five standard deviations of 26
        CHECK(times < papers / 3 + 150);
    }
}

TEST_CASE("a fresh paper takes what was not seen before") {
    const Pool pool = small();
    for (std::uint32_t salt = 0; salt < 40; ++salt) {
        const MockPaper paper =
            draw_numbered(pool, draw_of(salt, MockMode::fresh), std::vector<std::string>{"Q1A01", "Q1A05"});
        CHECK(paper.showings[0].question == "Q1A02");
    }
}

TEST_CASE("answers are read in either case, with blanks between, and a question mark or a hyphen for one left open") {
    const MockPlaces places = read_answers("ab Cd\n?-", 6).value();
    CHECK(places == MockPlaces{0, 1, 2, 3, {}, {}});
    CHECK(read_answers("", 0).value().empty());
}

TEST_CASE("a letter that no choice has is named with its place") {
    CHECK(sentence_of(read_answers("ABE?", 4)) ==
          "Answer 3 is E, but only A, B, C, D, or ? for one left open can stand there; nothing was stored.");
    CHECK(sentence_of(read_answers("AB\xC3\xA9?", 4)).find("Answer 3 is \xC3\xA9,") != std::string::npos);
    CHECK(sentence_of(read_answers("A\xFF", 2)).find("Answer 2 is a character,") != std::string::npos);
}

TEST_CASE("too few or too many answers are named with both counts") {
    CHECK(sentence_of(read_answers("ABC", 4)) ==
          "The paper has 4 questions, but 3 answers were given; write ? for one left open. Nothing was stored.");
    CHECK(sentence_of(read_answers("A", 4)).find("1 answer was given") != std::string::npos);
    CHECK(sentence_of(read_answers("ABCDA", 4)).find("5 answers were given") != std::string::npos);
}
