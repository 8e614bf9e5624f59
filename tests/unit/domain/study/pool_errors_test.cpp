#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "node/domain/study/pool.hpp"
#include "node/domain/study/random.hpp"
#include "tests/unit/domain/study/pool_text.hpp"

using namespace ladderline;
using namespace ladderline::domain;
using study_test::small_pool;
using study_test::with;

namespace {

int line_of(const std::string& text, const std::string& what) {
    return 1 + static_cast<int>(
                   std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(text.find(what)), '\n'));
}

// A lone carriage return ends a line as well.
int line_count(const std::string& text) {
    return 1 +
           static_cast<int>(std::count(text.begin(), text.end(), '\n') + std::count(text.begin(), text.end(), '\r'));
}

std::string sentence(const std::string& text) {
    const Result<Pool> pool = read_pool(text);
    if (pool) return "read";
    CHECK(pool.error().fault() == Fault::bad_input);
    return pool.error().sentence();
}

bool begins(const std::string& text, const std::string& start) {
    return text.rfind(start, 0) == 0;
}

}  // namespace

TEST_CASE("a slip in a pool is named with its line") {
    struct Row {
        const char* what;  // replaced
        const char* instead;
        const char* at;  // the error is about the first line with this
        const char* says;
    };
    const Row rows[] = {
        {"C. The third one\nD. The fourth", "D. The fourth", "D. The fourth", "choice D where choice C was due"},
        {"B. The second one\nC. The third one\nD. The fourth", "B. The second one\nX\nD. The fourth", "D. The fourth",
         "choice D where choice C was due"},
        {"D. The fourth one\n", "D. The fourth one\nA. The fifth\n", "A. The fifth", "choice A where ~~ was due"},
        {"D. The fourth one\n~~", "D. The fourth one\n", "Q1A02 (A)", "Q1A01 is not closed"},
        {"A rope that carries current", "A rope\nSUBELEMENT Q3 - X", "SUBELEMENT Q3", "Q2A01 is not closed"},
        {"D. A kind of table\n~~", "D. A kind of table\n", "~~~end", "Q2A01 is not closed"},
        {"D. Six\n~~", "~~ ", "~~ ", "no choice D"},
        {"D. Six", "D.", "SUBELEMENT Q2 ", ""},
        {"Q1A05 (D)", "Q1A05 (E)", "Q1A05 (E)", "Q1A05 does not say (A), (B), (C) or (D)"},
        {"Q1A05 (D)", "Q1A05", "Q1A05 [", "Q1A05 does not say (A), (B), (C) or (D)"},
        {"Q1A05 (D)", "Q1A01 (D)", "Q1A01 (D)", "Q1A01 is there a second time"},
        {"Q1A05 (D)", "Q1A03 (D)", "Q1A03 (D)", "Q1A03 is there a second time"},
        {"Q1A05 (D)", "Q1C05 (D)", "Q1C05 (D)", "does not stand in its group Q1C"},
        {"[97.111((5)(b)]", "[97.111((5)(b)", "A. One", "citation of question Q1A05 lacks its closing bracket"},
        {"[97.111((5)(b)]", "[97.111((5)(b)\nAlpha\nBeta\nGamma", "Gamma", "Q1A05 lacks its closing bracket"},
        {"Which lamp in figure Q1-2 is off?\n", "", "~~\n\nQ1B -", "Q1A05 has no text"},
        {"Q1A03 Question Deleted (section not renumbered)\n~~", "Q1A03 Question Deleted", "Q1A05",
         "Q1A03 is not closed"},
        {"~~\n\nQ1A05", "~~\n~~\n\nQ1A05", "~~\n\nQ1A05", "none was begun"},
        {"~~\n\nQ1A05", "~~\nAnd then there was a lamp\nQ1A05", "And then", "a question id, a heading or the end mark"},
        {"Q1B - Lamps on the wall\n\nQ1B01", "Q2B - Lamps on the wall\n\nQ2B01", "Q2B - ",
         "group Q2B stands under sub-element Q1"},
        {"Q1B - Lamps on the wall\n\nQ1B01", "Q1A - Lamps on the wall\n\nQ1A06", "Q1A - ",
         "Q1A is begun a second time"},
        {"Q1B - Lamps on the wall\n\nQ1B01", "Q1B -\n\nQ1B01", "Q1B -\n", "Q1B has no title"},
        {"SUBELEMENT Q2", "SUBELEMENT R2", "SUBELEMENT R2", "does not belong to a pool of letter Q"},
        {"SUBELEMENT Q2", "SUBELEMENT Q1", "SUBELEMENT Q1 - CABLES", "Q1 is begun a second time"},
        {"What is the noise", "What is\x01the noise", "What is\x01the", "control character"},
        {"What is the noise", "What is\x92the noise", "What is\x92the", "not UTF-8"},
        {"Pool\nEffective 7/01/2030", "Pool\nEffective 13/41/2030", "Effective 13/41", "a date that does not exist"},
        {"Pool\nEffective 7/01/2030", "Pool\nEffective 7/01/2040", "Effective 7/01/2040", "end before it begins"},
        {"SUBELEMENT Q1 - LAMPS AND SWITCHES", "SUBELEMENTS", "Q1A01 (C)", "Q1A01 stands before any SUBELEMENT"},
    };
    for (const Row& row : rows) {
        CAPTURE(std::string(row.instead));
        const std::string text = with(small_pool, row.what, row.instead);
        const std::string said = sentence(text);
        CAPTURE(said);
        if (*row.says == '\0') {
            CHECK(said.find("choice D of question Q1B01 is empty") != std::string::npos);
            continue;
        }
        CHECK(begins(said, "Line " + std::to_string(line_of(text, row.at)) + " of the pool: "));
        CHECK(said.find(row.says) != std::string::npos);
    }
}

TEST_CASE("a page break is no line of its own, so that the number is that of an editor") {
    const std::string text = with(with(small_pool, "red?", "\fred?"), "Q1A05 (D)", "\f\fQ1A05 (E)");
    CHECK(begins(sentence(text), "Line " + std::to_string(line_of(text, "Q1A05 (E)")) + " of the pool: "));
}

TEST_CASE("a pool without its end mark is an error at the last line that was read") {
    const std::string text = small_pool.substr(0, small_pool.find("\n~~~end"));
    const std::string said = sentence(text);
    CHECK(begins(said, "Line " + std::to_string(line_count(text) - 1) + " of the pool: the text stops here"));
}

TEST_CASE("a group whose questions are all withdrawn is an error at its heading") {
    const std::size_t from = small_pool.find("Q2A01 (A)");
    const std::size_t to = small_pool.find("~~\n\n~~~end");
    const std::string text = small_pool.substr(0, from) + "Q2A01 Question Deleted\n" + small_pool.substr(to);
    const std::string said = sentence(text);
    CHECK(begins(said, "Line " + std::to_string(line_of(text, "Q2A - Cables")) + " of the pool: group Q2A has no"));
}

TEST_CASE("a text that is no pool at all says so") {
    CHECK(sentence("").find("without a title") != std::string::npos);
    CHECK(sentence("Dear diary\n").find("without a title") != std::string::npos);
    CHECK(sentence("FCC Element 2 Question Pool Syllabus\n").find("without a title") != std::string::npos);
    CHECK(sentence("FCC Element 2 Question Pool\n~~~end of question pool text~~~").find("without a question") !=
          std::string::npos);
    CHECK(sentence(std::string(pool_text_bytes_max + 1, 'x')).find("far larger") != std::string::npos);
}

TEST_CASE("a pool that was cut short anywhere is not imported") {
    const std::size_t end = small_pool.find("~~~end of question pool text");
    for (std::size_t length = 0; length <= end; length += 7) {
        CAPTURE(length);
        CHECK(sentence(small_pool.substr(0, length)) != "read");
    }
}

namespace {

std::size_t below(SplitMix64& generator, std::size_t n) {
    return static_cast<std::size_t>(bounded(generator, n));
}

std::vector<std::string> lines_of(const std::string& text) {
    std::vector<std::string> lines(1);
    for (const char c : text) {
        if (c == '\n') {
            lines.emplace_back();
        } else {
            lines.back() += c;
        }
    }
    return lines;
}

std::string joined(const std::vector<std::string>& lines) {
    std::string text;
    for (const std::string& line : lines) text += line + "\n";
    return text;
}

std::string mutated(SplitMix64& generator) {
    std::string text = small_pool;
    std::vector<std::string> lines = lines_of(text);
    const std::size_t a = below(generator, lines.size());
    const std::size_t at = below(generator, text.size());
    static const std::string odd =
        "~ABCD.()[]\f\r\t\x01\xFF"
        "9Q";
    switch (bounded(generator, 8)) {
        case 0:
            lines.erase(lines.begin() + static_cast<std::ptrdiff_t>(a));
            return joined(lines);
        case 1:
            lines.insert(lines.begin() + static_cast<std::ptrdiff_t>(a), lines[below(generator, lines.size())]);
            return joined(lines);
        case 2:
            std::swap(lines[a], lines[below(generator, lines.size())]);
            return joined(lines);
        case 3:
            return text.erase(at, 1);
        case 4:
            text[at] = odd[below(generator, odd.size())];
            return text;
        case 5:
            return text.insert(at, 1, odd[below(generator, odd.size())]);
        case 6:
            return text.substr(0, at);
        default:
            return text.erase(at, below(generator, 200));
    }
}

// Everything that the rest of the program relies on.
bool is_sound(const Pool& pool) {
    std::size_t in_groups = 0;
    for (std::size_t g = 0; g < pool.groups.size(); ++g) {
        if (pool.groups[g].questions.empty()) return false;
        for (const int index : pool.groups[g].questions) {
            const PoolQuestion& question = pool.questions.at(static_cast<std::size_t>(index));
            const bool full = std::none_of(question.choices.begin(), question.choices.end(),
                                           [](const std::string& choice) { return choice.empty(); });
            if (question.group != static_cast<int>(g) || question.stem.empty() || !full) return false;
            if (question.key < 0 || question.key > 3 || question.id.substr(0, 3) != pool.groups[g].id) return false;
            if (pool.is_withdrawn(question.id) || pool.find(question.id) != index) return false;
            in_groups += 1;
        }
    }
    return in_groups == pool.questions.size() && in_groups > 0;
}

// One sentence: a line that exists, what is wrong with it, and what became of the import.
bool has_the_form(const std::string& said, int lines) {
    const std::string start = "Line ";
    const std::string end = "; nothing was imported, put the line right and read the file again.";
    if (!begins(said, start) || !said.ends_with(end) || std::count(said.begin(), said.end(), ';') != 1) return false;
    std::size_t digits = 0;
    const int line = std::stoi(said.substr(start.size()), &digits);
    return line >= 1 && line <= lines && begins(said.substr(start.size() + digits), " of the pool: ");
}

}  // namespace

TEST_CASE("200 damaged pools are either read as a sound pool or refused with one sentence and a line") {
    SplitMix64 generator(97);
    int read = 0;
    int refused = 0;
    for (int n = 0; n < 200; ++n) {
        const std::string text = mutated(generator);
        CAPTURE(text);
        const Result<Pool> pool = read_pool(text);
        if (pool) {
            CHECK(is_sound(pool.value()));
            read += 1;
            continue;
        }
        const std::string said = pool.error().sentence();
        CAPTURE(said);
        CHECK(has_the_form(said, line_count(text)));
        refused += 1;
    }
    CHECK(read > 20);
    CHECK(refused > 50);
}
