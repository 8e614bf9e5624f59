#include "node/commands/mock.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <set>

#include "node/commands/study_pools.hpp"
#include "node/domain/study/readiness.hpp"
#include "tests/support/node/member_fixture.hpp"
#include "tests/support/node/practice_pool.hpp"

namespace ladderline {
namespace {

using domain::MockMode;
using protocol::MemberRole;
using namespace test;

struct Candidate {
    SetClock clock;
    MemberNode ana{clock, 1};

    Candidate() {
        clock.to("2026-03-02T18:00Z");
        begin_as(ana, "Ana", MemberRole::newcomer);
        must(node::import_pool(context(), element_2_pool()));
    }
    node::Context& context() { return ana.context; }
    node::MockSheet draw(MockMode mode = MockMode::faithful) {
        return must(node::draw_mock_paper(context(), {}, mode));
    }
    std::string mark(const node::MockSheet& sheet, const std::string& answers) {
        return must(node::mark_mock_paper(context(), {sheet.number, answers}));
    }
};

// The first `wrong` answered wrongly, the rest rightly.
std::string letters(const node::MockSheet& sheet, std::size_t wrong = 0) {
    std::string out;
    for (std::size_t i = 0; i < sheet.right_places.size(); ++i) {
        const int place = (sheet.right_places[i] + (i < wrong ? 1 : 0)) % 4;
        out += static_cast<char>('A' + place);
    }
    return out;
}

std::vector<std::string> ids(const node::MockSheet& sheet) {
    std::vector<std::string> out;
    for (const node::ShownQuestion& q : sheet.questions) out.push_back(q.id);
    return out;
}

TEST_CASE("a drawn paper has one question of each group and the pool's own pass mark") {
    Candidate c;
    const auto sheet = c.draw();
    CHECK(sheet.questions.size() == 35);
    CHECK(sheet.mark == 26);
    std::set<std::string> groups;
    for (const node::ShownQuestion& q : sheet.questions) groups.insert(q.group);
    CHECK(groups.size() == 35);
}

TEST_CASE("any pool can be written: the practice items make a paper of twelve") {
    Candidate c;
    const auto sheet = must(node::draw_mock_paper(c.context(), {0}, MockMode::faithful));
    CHECK(sheet.questions.size() == 12);
    CHECK(sheet.mark == 9);
    CHECK(must(node::marked_paper(c.context(), c.mark(sheet, letters(sheet, 3)))).passed);
}

TEST_CASE("drawing a paper says nothing to anybody") {
    Candidate c;
    const auto before = c.ana.events();
    c.draw();
    CHECK(c.ana.events() == before);
}

TEST_CASE("the number brings the same paper again, in the order in which its choices stood") {
    Candidate c;
    const auto sheet = c.draw();
    const auto again = must(node::mock_paper(c.context(), sheet.number));
    CHECK(ids(again) == ids(sheet));
    CHECK(again.right_places == sheet.right_places);
    CHECK(again.number == sheet.number);
}

TEST_CASE("a store that never saw the paper makes it again from the number and the same pool") {
    Candidate c;
    const auto sheet = c.draw();
    Candidate other;
    CHECK(ids(must(node::mock_paper(other.context(), sheet.number))) == ids(sheet));
}

TEST_CASE("a fresh paper can be marked although practice went on after it was drawn") {
    Candidate c;
    const auto sheet = c.draw(MockMode::fresh);
    c.clock.pass_minutes(5);
    for (const node::ShownQuestion& q : sheet.questions) {
        must(node::answer(c.context(), {{}, q.id, q.order, std::uint8_t{0}}));
    }
    CHECK(must(node::marked_paper(c.context(), c.mark(sheet, letters(sheet)))).points == 35);
}

TEST_CASE("a fresh paper takes what was not seen, a second one after it the rest") {
    Candidate c;
    const auto first = c.draw(MockMode::fresh);
    c.mark(first, letters(first));
    c.clock.pass_minutes(5);
    const auto one = ids(first);
    for (const std::string& id : ids(c.draw(MockMode::fresh))) {
        CHECK(std::find(one.begin(), one.end(), id) == one.end());
    }
}

TEST_CASE("passing is a matter of the count: nine wrong of 35 pass, ten do not") {
    Candidate c;
    const auto nine = c.draw();
    CHECK(must(node::marked_paper(c.context(), c.mark(nine, letters(nine, 9)))).passed);
    const auto ten = c.draw();
    const auto marked = must(node::marked_paper(c.context(), c.mark(ten, letters(ten, 10))));
    CHECK_FALSE(marked.passed);
    CHECK(marked.points == 25);
}

TEST_CASE("the groups that were missed are named") {
    Candidate c;
    const auto sheet = c.draw();
    const auto marked = must(node::marked_paper(c.context(), c.mark(sheet, letters(sheet, 2))));
    CHECK(marked.missed_groups() == std::vector<std::string>{"T1A", "T1B"});
    CHECK(node::result_lines(marked).back() == "Missed groups: T1A, T1B.");
}

TEST_CASE("what was given and what was right stand beside one another, and one left open says so") {
    Candidate c;
    const auto sheet = c.draw();
    std::string answers = letters(sheet, 1);
    answers[1] = '?';
    const auto marked = must(node::marked_paper(c.context(), c.mark(sheet, answers)));
    CHECK(marked.questions[0].given != "first");
    CHECK(marked.questions[0].right == "first");
    CHECK(marked.questions[1].given.empty());
    CHECK_FALSE(marked.questions[1].is_right);
    CHECK(marked.questions[2].given == "first");
}

TEST_CASE("the answers of a paper count as showings of their questions") {
    Candidate c;
    const auto sheet = c.draw();
    c.mark(sheet, letters(sheet, 5));
    const auto study = must(node::chosen_pool(c.context(), {}));
    const auto records = must(node::study_records(c.context(), study));
    REQUIRE(records.size() == 35);
    const auto wrong = std::count_if(records.begin(), records.end(),
                                     [](const domain::StudyAnswer& r) { return r.outcome == domain::Outcome::wrong; });
    CHECK(wrong == 5);
    CHECK(must(node::ready(c.context(), {}, {})).seen == 35);
}

TEST_CASE("one left open is a question that was not known, not a guess") {
    Candidate c;
    const auto sheet = c.draw();
    c.mark(sheet, std::string(35, '?'));
    const auto study = must(node::chosen_pool(c.context(), {}));
    const auto records = must(node::study_records(c.context(), study));
    REQUIRE(records.size() == 35);
    for (const domain::StudyAnswer& record : records) CHECK(record.outcome == domain::Outcome::dont_know);
}

TEST_CASE("what was to be expected is that of just before the paper") {
    Candidate c;
    const auto before = must(node::ready(c.context(), {}, {}));
    const auto sheet = c.draw();
    const auto marked = must(node::marked_paper(c.context(), c.mark(sheet, letters(sheet))));
    CHECK(marked.forecast.pass_chance == doctest::Approx(before.pass_chance).epsilon(1e-5));
    CHECK(marked.forecast.points_expected == doctest::Approx(before.points_expected).epsilon(1e-3));
    CHECK(marked.forecast.points_low == before.points_low);
    CHECK(marked.forecast.points_high == before.points_high);
    CHECK(must(node::ready(c.context(), {}, {})).points_expected > before.points_expected);
}

TEST_CASE("the time is noted where it is said and never judged") {
    Candidate c;
    const auto sheet = c.draw();
    must(node::mark_mock_paper(c.context(), {sheet.number, letters(sheet), 1440}));
    const auto marked = must(node::marked_paper(c.context(), sheet.number));
    CHECK(marked.minutes == 1440);
    CHECK(marked.passed);
    const auto other = c.draw();
    CHECK_FALSE(must(node::marked_paper(c.context(), c.mark(other, letters(other)))).minutes.has_value());
}

TEST_CASE("answers that cannot have been given store nothing") {
    Candidate c;
    const auto sheet = c.draw();
    const auto before = c.ana.events();
    struct Bad {
        std::string answers;
        std::optional<std::int64_t> minutes;
    };
    const std::string good = letters(sheet);
    for (const Bad& bad : {Bad{good.substr(1), {}}, Bad{good + "A", {}}, Bad{"E" + good.substr(1), {}}, Bad{"", {}},
                           Bad{good, -1}, Bad{good, 1441}}) {
        const Error error = must_fail(node::mark_mock_paper(c.context(), {sheet.number, bad.answers, bad.minutes}));
        CHECK(error.fault() == Fault::bad_input);
        CHECK((error.sentence().ends_with("othing was stored.")));
    }
    CHECK(c.ana.events() == before);
    CHECK(must(node::marked_papers(c.context())).empty());
}

TEST_CASE("a number with a slip in it is no paper, and nothing is stored") {
    Candidate c;
    auto sheet = c.draw();
    const std::string good = letters(sheet);
    sheet.number[18] = sheet.number[18] == '7' ? '8' : '7';
    const auto before = c.ana.events();
    CHECK(must_fail(node::mark_mock_paper(c.context(), {sheet.number, good})).fault() == Fault::not_found);
    CHECK(c.ana.events() == before);
}

TEST_CASE("a paper counts once") {
    Candidate c;
    const auto sheet = c.draw();
    c.mark(sheet, letters(sheet, 4));
    const auto before = c.ana.events();
    const Error error = must_fail(node::mark_mock_paper(c.context(), {sheet.number, letters(sheet)}));
    CHECK(error.fault() == Fault::refused);
    CHECK(error.sentence().find("31 of 35") != std::string::npos);
    CHECK(c.ana.events() == before);
}

TEST_CASE("an erratum after the draw is heeded: the paper is marked by the right answers of today") {
    Candidate c;
    const auto sheet = c.draw();
    const std::string changed = sheet.questions[0].id;
    c.clock.pass_minutes(1);
    must(node::import_pool(c.context(), element_2_pool(changed)));
    const auto again = must(node::mock_paper(c.context(), sheet.number));
    CHECK(again.right_places[0] != sheet.right_places[0]);
    CHECK(must(node::marked_paper(c.context(), c.mark(again, letters(again)))).points == 35);
}

TEST_CASE("a paper and its marking sheet are two sheets, and only the second has the answers") {
    Candidate c;
    const auto sheet = c.draw();
    const auto lines_of = [](const std::vector<std::string>& lines) {
        std::string out;
        for (const std::string& line : lines) out += line + "\n";
        return out;
    };
    const std::string paper = lines_of(node::paper_lines(sheet));
    const std::string marking = lines_of(node::marking_lines(sheet));
    std::string row = letters(sheet);
    for (std::size_t at = 30; at >= 5; at -= 5) row.insert(at, " ");
    CHECK(marking.find(row) != std::string::npos);
    CHECK(paper.find(row) == std::string::npos);
    CHECK(paper.find(sheet.number) != std::string::npos);
    CHECK(std::count(paper.begin(), paper.end(), '[') == 35);
    CHECK(std::count(marking.begin(), marking.end(), '[') == 35);
}

TEST_CASE("the page to print writes a question's signs as text and is complete in itself") {
    Candidate c;
    auto sheet = c.draw();
    sheet.questions[0].stem = "Is 1 < 2 & 3 > 2?";
    const std::string page = node::paper_page(sheet);
    CHECK(page.find("Is 1 &lt; 2 &amp; 3 &gt; 2?") != std::string::npos);
    CHECK(page.find("http") == std::string::npos);
    CHECK(page.find("src=") == std::string::npos);
    CHECK(node::marking_page(sheet).find("In one row") != std::string::npos);
}

TEST_CASE("without a paper nothing is said about the figures") {
    Candidate c;
    const auto view = must(node::calibration(c.context(), {}));
    CHECK(view.figures.papers == 0);
    CHECK(view.sentences.front().find("No mock paper") == 0);
}

TEST_CASE("of a few papers it is said how many fell in the band, and that they are too few to tell") {
    Candidate c;
    for (int i = 0; i < 7; ++i) {
        const auto sheet = c.draw();
        c.mark(sheet, letters(sheet, i == 0 ? 0 : 8));
        c.clock.pass_minutes(10);
    }
    const auto view = must(node::calibration(c.context(), {}));
    CHECK(view.figures.papers == 7);
    CHECK(view.sentences[0].find("Of 7 papers ") == 0);
    CHECK(view.sentences[2].find("too few papers to tell") != std::string::npos);
}

TEST_CASE("somebody who misses every band is told that the figures promise too much") {
    Candidate c;
    for (int i = 0; i < 12; ++i) {
        const auto sheet = c.draw();
        c.mark(sheet, letters(sheet, 35));
        c.clock.pass_days(1);
    }
    const auto view = must(node::calibration(c.context(), {}));
    REQUIRE(view.figures.below > 6);
    CHECK(view.sentences[2].find("as promising too much") != std::string::npos);
}

TEST_CASE("fresh papers are left out of the check, and that is said") {
    Candidate c;
    const auto sheet = c.draw(MockMode::fresh);
    c.mark(sheet, letters(sheet));
    const auto view = must(node::calibration(c.context(), {}));
    CHECK(view.figures.papers == 0);
    CHECK(view.fresh_papers == 1);
    CHECK(view.sentences[1].find("1 fresh paper left out") == 0);
}

}  // namespace
}  // namespace ladderline
