#include "node/domain/study/pool.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "tests/unit/domain/study/pool_text.hpp"

using namespace ladderline;
using namespace ladderline::domain;
using study_test::small_pool;
using study_test::with;

namespace {

Pool read(const std::string& text) {
    Result<Pool> pool = read_pool(text);
    REQUIRE_MESSAGE(pool.has_value(), pool.error().sentence());
    return pool.value();
}

PoolQuestion question(const Pool& pool, const std::string& id) {
    const std::optional<int> index = pool.find(id);
    REQUIRE(index.has_value());
    return pool.questions[static_cast<std::size_t>(*index)];
}

std::string all_replaced(std::string text, const std::string& what, const std::string& instead) {
    for (std::size_t at = text.find(what); at != std::string::npos; at = text.find(what, at + instead.size())) {
        text.replace(at, what.size(), instead);
    }
    return text;
}

}  // namespace

TEST_CASE("a pool is read with its element, edition and dates") {
    const Pool pool = read(small_pool);
    CHECK(pool.element == 2);
    CHECK(pool.title == "FCC Element 2 Question Pool");
    CHECK(pool.edition == "2030-2034 Practice Class Question Pool 1st Errata");
    CHECK(pool.first_year == 2030);
    CHECK(pool.last_year == 2034);
    CHECK(pool.effective == "7/01/2030 - 6/30/2034");
    CHECK(to_iso(*pool.valid_from) == "2030-07-01");
    CHECK(to_iso(*pool.valid_until) == "2034-06-30");
}

TEST_CASE("sub-elements and groups are read with their titles") {
    const Pool pool = read(small_pool);
    REQUIRE(pool.subelements.size() == 2);
    CHECK(pool.subelements[0] == PoolSubelement{"Q1", "LAMPS AND SWITCHES"});
    REQUIRE(pool.groups.size() == 3);
    CHECK(pool.groups[0].title == "Lamps on the table and under it");
    CHECK(pool.groups[1].id == "Q1B");
}

TEST_CASE("a question is read with key, citation, text and choices") {
    const PoolQuestion first = question(read(small_pool), "Q1A01");
    CHECK(first.group == 0);
    CHECK(first.key == 2);
    CHECK(first.citation == "97.1, 97.3(a)");
    CHECK(first.choices[3] == "The fourth one");
    CHECK(first.figure.empty());
}

TEST_CASE("trap 1: long questions and choices go on over several lines") {
    const PoolQuestion first = question(read(small_pool), "Q1A01");
    CHECK(first.stem == "Which lamp is red?");
    CHECK(first.choices[0] == "The first one, which stands on the left");
}

TEST_CASE("trap 1: a page break falls anywhere in a question") {
    for (const char* line : {"red?", "on the left", "C. The third one", "~~\n", "Q1A02 (A)",
                             "Q1A Lamps on the table and", "under it", "SUBELEMENT Q2", "~~~end"}) {
        CAPTURE(std::string(line));
        const std::size_t at = small_pool.rfind("FCC Element 2 Question Pool\n");
        const std::string body = small_pool.substr(at);
        CHECK(read(small_pool.substr(0, at) + with(body, line, std::string("\f") + line)) == read(small_pool));
    }
}

TEST_CASE("a word broken at its hyphen is put together again, a hanging hyphen keeps its blank") {
    const Pool broken = read(with(small_pool, "C. The third one\nD.", "C. A 24-\nhour lamp\nD."));
    CHECK(question(broken, "Q1A01").choices[2] == "A 24-hour lamp");
    const Pool hanging = read(with(small_pool, "C. The third one\nD.", "C. The two-\nand three-lamp set\nD."));
    CHECK(question(hanging, "Q1A01").choices[2] == "The two- and three-lamp set");
}

TEST_CASE("trap 2: a citation may be missing, and is kept as it is printed, misprints and all") {
    const Pool pool = read(small_pool);
    CHECK(question(pool, "Q1A02").citation.empty());
    CHECK(question(pool, "Q1A05").citation == "97.111((5)(b)");
    for (const char* citation : {"1.949", "PRB-1, 101 FCC 2d 952 (1985)", "FCC Part 97.113(a)(4)", "97.5a",
                                 "97.509(3)(i)(c)", "97.1] [97.3"}) {
        const Pool other = read(with(small_pool, "97.1, 97.3(a)", citation));
        CHECK(question(other, "Q1A01").citation == citation);
    }
}

TEST_CASE("trap 2: a citation may be broken over two lines") {
    const Pool pool = read(with(small_pool, "[97.1, 97.3(a)]", "[97.1,\n97.3(a)]"));
    CHECK(question(pool, "Q1A01").citation == "97.1, 97.3(a)");
    CHECK(question(pool, "Q1A01").stem == "Which lamp is red?");
}

TEST_CASE("trap 3: the blank between key and citation, or after a choice's letter, may be missing") {
    CHECK(question(read(with(small_pool, "(C) [", "(C)[")), "Q1A01").citation == "97.1, 97.3(a)");
    CHECK(question(read(with(small_pool, "Q1A01 (C)", "Q1A01(C)")), "Q1A01").key == 2);
    CHECK(question(read(with(small_pool, "D. The fourth one", "D.The fourth one")), "Q1A01").choices[3] ==
          "The fourth one");
}

TEST_CASE("trap 3: an abbreviation at the start of a wrapped line is no choice") {
    const Pool pool = read(with(small_pool, "Which lamp is\nred?", "Which lamp takes\nA.C. mains?"));
    CHECK(question(pool, "Q1A01").stem == "Which lamp takes A.C. mains?");
}

TEST_CASE("trap 4: errata that repeat whole headers are not taken for questions") {
    const Pool pool = read(with(small_pool, "Which lamp is green?", "Q1A02 (B) [97.999]\nWhich lamp is blue?"));
    CHECK(question(pool, "Q1A02").key == 0);
    CHECK(pool.questions.size() == 5);
}

TEST_CASE("trap 4: a sentence of the errata that ends like a title does not start the pool") {
    const Pool pool = read(with(small_pool, "Issued March", "Changes to the\nElement 2 Question Pool\nIssued March"));
    CHECK(pool == read(small_pool));
}

TEST_CASE("trap 5: hyphen, dashes, colon or nothing between id and title, and groups in any spelling") {
    for (const char* dash : {" - ", " \xE2\x80\x93 ", " \xE2\x80\x94 ", ": ", " ", "- "}) {
        CAPTURE(std::string(dash));
        const std::string text = all_replaced(small_pool, "Q1B - Lamps", std::string("Q1B") + dash + "Lamps");
        CHECK(read(text).groups[1].title == "Lamps on the wall");
        const std::string heading = std::string("SUBELEMENT Q2") + dash + "CABLES [1 exam question" + dash + "1 group]";
        const Pool pool = read(with(small_pool, "SUBELEMENT Q2 - CABLES [1 Exam Question - 1 Group]", heading));
        CHECK(pool.subelements[1] == PoolSubelement{"Q2", "CABLES"});
    }
}

TEST_CASE("trap 6: curly quotation marks and other signs come through as they are") {
    const std::string choice = "The \xE2\x80\x9Cthird\xE2\x80\x9D one, 50 \xCE\xA9";
    CHECK(question(read(with(small_pool, "C. The third one", "C. " + choice)), "Q1A01").choices[2] == choice);
}

TEST_CASE("trap 7: withdrawn questions are named, and gaps in the numbers are no error") {
    const Pool pool = read(small_pool);
    CHECK(pool.withdrawn == std::vector<std::string>{"Q1A03"});
    CHECK(pool.is_withdrawn("Q1A03"));
    CHECK_FALSE(pool.find("Q1A03"));
    CHECK_FALSE(pool.find("Q1A04"));
    CHECK(pool.groups[0].questions == std::vector<int>{0, 1, 2});
}

TEST_CASE("trap 8: questions are counted, whatever a heading says") {
    const Pool pool = read(with(small_pool, "SWITCHES [2 Exam Questions - 2 Groups]",
                                "SWITCHES [7 Exam Questions - 9 Groups] 54 Questions"));
    CHECK(pool.questions.size() == 5);
    CHECK(pool.groups.size() == 3);
    CHECK(pool.subelements[0] == PoolSubelement{"Q1", "LAMPS AND SWITCHES"});
}

TEST_CASE("trap 9: a figure is one that is named with its number") {
    const Pool pool = read(small_pool);
    CHECK(question(pool, "Q1A05").figure == "Q1-2");
    CHECK(question(pool, "Q1B01").figure.empty());
    struct Row {
        const char* stem;
        const char* figure;
    };
    const Row rows[] = {{"Which symbol in Figure T-1 is a lamp?", "T-1"},       {"See figure E9-12, please", "E9-12"},
                        {"What is the configuration T-1 called?", ""},          {"How is a figure T drawn?", ""},
                        {"Which noise figure is best in figure G7-1?", "G7-1"}, {"What does a figure-eight show?", ""}};
    for (const Row& row : rows) {
        CHECK(question(read(with(small_pool, "Which lamp is\nred?", row.stem)), "Q1A01").figure == row.figure);
    }
}

TEST_CASE("trap 9: the number of a figure may stand on the next line") {
    CHECK(question(read(with(small_pool, "in figure Q1-2", "in figure\nQ1-2")), "Q1A05").figure == "Q1-2");
}

TEST_CASE("trap 10: the text of a choice that speaks of the others is kept in its place") {
    CHECK(question(read(small_pool), "Q1A02").choices[3] == "All of the above");
}

TEST_CASE("line ends of other systems, a byte order mark and stray white space change nothing") {
    const Pool pool = read(small_pool);
    CHECK(read(all_replaced(small_pool, "\n", "\r\n")) == pool);
    CHECK(read(all_replaced(small_pool, "\n", "\r")) == pool);
    CHECK(read("\xEF\xBB\xBF" + small_pool) == pool);
    CHECK(read(all_replaced(small_pool, "\n", " \t\n  ")) == pool);
    CHECK(read(all_replaced(small_pool, "lamp ", "lamp\xC2\xA0 ")) == pool);
}

TEST_CASE("any of the published end marks ends the pool") {
    for (const char* mark : {"~~~~End of question pool text~~~~", "~~~END OF QUESTION POOL TEXT~~~"}) {
        CHECK(read(with(small_pool, "~~~end of question pool text~~~", mark)) == read(small_pool));
    }
}

TEST_CASE("what follows the end mark is not read") {
    CHECK(read(small_pool + "\nQ1A01 (A)\nSUBELEMENT Q1 - AGAIN\n") == read(small_pool));
}

TEST_CASE("page numbers between questions are passed over") {
    CHECK(read(with(small_pool, "~~\n\nQ1A02", "~~\n\n17\n\nQ1A02")) == read(small_pool));
}

TEST_CASE("a pool is in force from its first to its last day, or for good if none is printed") {
    const Pool pool = read(small_pool);
    CHECK_FALSE(pool.in_force(parse_day("2030-06-30").value()));
    CHECK(pool.in_force(parse_day("2030-07-01").value()));
    CHECK(pool.in_force(parse_day("2034-06-30").value()));
    CHECK_FALSE(pool.in_force(parse_day("2034-07-01").value()));
    const std::string open_end = all_replaced(small_pool, "7/01/2030 - 6/30/2034", "July 1, 2030");
    CHECK_FALSE(read(open_end).valid_until);
    CHECK(read(open_end).in_force(parse_day("2099-01-01").value()));
}
