#include "node/commands/club_numbers.hpp"

#include <doctest/doctest.h>

#include "node/commands/goings.hpp"
#include "tests/unit/node/commands/review_club.hpp"

namespace ladderline {
namespace {

using protocol::ClubRowBody;
using namespace test;

struct Club : ReviewClub {
    // Named by their number, behind that stage.
    MemberNode& newcomer(const std::string& stage) {
        return ReviewClub::newcomer("N" + std::to_string(members.size() + 1), row(stage));
    }
    void show(MemberNode& member, const std::string& stage, std::optional<Day> contact = {}) {
        ClubRowBody body = row(stage);
        body.last_contact = contact;
        ReviewClub::show(member, body);
    }
    void remove(MemberNode& member) {
        const auto club = must(node::circle_meant(olga.context, "club", ""));
        must(node::remove_person(olga.context, club, to_hex(member.id().view()), ""));
    }
    node::WaitCurve to_contact() { return must(node::club_numbers(olga.context)).milestones.at(1); }
};

bool has(const std::string& text, std::string_view words) {
    return text.find(words) != std::string::npos;
}

TEST_CASE("figures are for officers") {
    Club c;
    MemberNode& ana = c.newcomer("02");
    CHECK(must_fail(node::club_numbers(ana.context)).fault() == Fault::refused);
    CHECK(must_fail(node::annual_report(ana.context)).fault() == Fault::refused);
}

TEST_CASE("of fewer than five people nothing is shown") {
    Club c;
    for (int i = 0; i < 4; ++i) c.show(c.newcomer("05"), "09", c.today());
    const auto milestone = c.to_contact();
    CHECK(milestone.all.curve.steps().empty());
    REQUIRE(milestone.sentences.size() == 1);
    CHECK(has(milestone.sentences[0], "Fewer than five people began"));
    CHECK(must(node::club_numbers(c.olga.context)).stages.empty());
}

TEST_CASE("from five people on the median is that of their days from the stage behind the examination") {
    Club c;
    for (int i = 0; i < 5; ++i) c.newcomer("05");
    const Day passed = c.today();
    for (int i = 0; i < 5; ++i) {
        c.clock.pass_days(10);
        c.show(c.members[static_cast<std::size_t>(i)], "09", c.today());
    }
    const auto milestone = c.to_contact();
    CHECK(milestone.all.persons == 5);
    CHECK(milestone.all.reached == 5);
    CHECK(milestone.all.median.days == days_between(passed, c.today()) - 20);
    CHECK(has(milestone.sentences.at(1), "half of them within 30 days"));
}

TEST_CASE("whoever waits still is counted as waiting") {
    Club c;
    for (int i = 0; i < 6; ++i) c.newcomer("05");
    c.clock.pass_days(10);
    c.show(c.members[0], "09", c.today());
    c.clock.pass_days(90);
    const auto milestone = c.to_contact();
    CHECK(milestone.all.reached == 1);
    CHECK_FALSE(milestone.all.median.days.has_value());
    CHECK(has(node::median_words(milestone.all), "more than half still waiting"));
}

// Klein & Moeschberger, Survival Analysis, 2nd ed., section 4.2: beyond the longest time that anybody was followed the
// product-limit estimate is not defined, unless nobody is still open there.
TEST_CASE("nothing is said of days beyond those that anybody was followed") {
    Club c;
    for (int i = 0; i < 6; ++i) c.newcomer("05");
    for (const std::size_t i : {0U, 1U, 2U}) {
        c.clock.pass_days(10);
        c.show(c.members[i], "09", c.today());
    }
    c.clock.pass_days(30);
    const auto milestone = c.to_contact();
    CHECK(
        milestone.sentences.at(2) ==
        "Of all who begin, those who leave among them, there are 50 % after 30 days; nobody was followed for 90 yet.");
    CHECK(milestone.all.is_followed(60));
    CHECK_FALSE(milestone.all.is_followed(90));
}

TEST_CASE("where nobody is still on the way the share is said for every span") {
    Club c;
    for (int i = 0; i < 5; ++i) c.newcomer("05");
    c.clock.pass_days(10);
    for (std::size_t i = 0; i < 5; ++i) c.show(c.members[i], "09", c.today());
    CHECK(has(c.to_contact().sentences.at(2), "100 % after 30, 100 % after 90, 100 % after 365 days."));
}

TEST_CASE("whoever left the club is counted as left, not as waiting for ever") {
    Club c;
    for (int i = 0; i < 6; ++i) c.newcomer("05");
    c.clock.pass_days(10);
    c.remove(c.members[0]);
    const auto milestone = c.to_contact();
    CHECK(milestone.all.persons == 6);
    CHECK(milestone.all.left == 1);
    CHECK(must(node::club_numbers(c.olga.context)).known == 6);
}

TEST_CASE("a stage tells how many went on, left or went quiet there") {
    Club c;
    for (int i = 0; i < 6; ++i) c.newcomer("05");
    c.clock.pass_days(1);
    for (std::size_t i = 0; i < 3; ++i) c.show(c.members[i], "06");
    c.remove(c.members[3]);
    c.clock.pass_days(90);
    const auto stages = must(node::club_numbers(c.olga.context)).stages;
    REQUIRE(stages.size() == 1);
    CHECK(stages[0].stage == "05");
    CHECK(stages[0].came == 6);
    CHECK(stages[0].went_on == 3);
    CHECK(stages[0].left == 1);
    CHECK(stages[0].quiet == 2);
    const auto answer = must(node::question(c.olga.context, 31));
    REQUIRE(answer.counts.size() == 1);
    CHECK(has(answer.counts[0], "of 6 who came, fewer than five went on"));
}

TEST_CASE("two years of five are compared, in words and with p") {
    Club c;
    for (int i = 0; i < 5; ++i) c.newcomer("05");
    c.clock.pass_days(5);
    for (std::size_t i = 0; i < 5; ++i) c.show(c.members[i], "09", c.today());
    c.clock.to("2027-02-01T18:00Z");
    for (int i = 0; i < 5; ++i) c.newcomer("05");
    c.clock.pass_days(5);
    for (std::size_t i = 5; i < 10; ++i) c.show(c.members[i], "09", c.today());
    const auto milestone = c.to_contact();
    REQUIRE(milestone.years.size() == 2);
    CHECK(milestone.years[0].title == "2027");
    CHECK(milestone.comparison ==
          "2027 and 2026 do not differ by more than chance explains (p = 1.00 by counting permutations).");
}

TEST_CASE("last spring's class is counted after 30, 90 and 365 days, those alone of whom that long is known") {
    Club c;
    for (int i = 0; i < 6; ++i) c.newcomer("05");
    c.clock.pass_days(20);
    for (std::size_t i = 0; i < 5; ++i) c.show(c.members[i], "09", c.today());
    c.clock.to("2026-07-01T18:00Z");
    const auto counts = must(node::question(c.olga.context, 29)).counts;
    REQUIRE(counts.size() == 3);
    CHECK(has(counts[0], "A contact within 30 days: 5 of 6 who came past the examination in spring 2026"));
    CHECK(has(counts[1], "A contact within 90 days: 5 of 6"));
    CHECK(has(counts[2], "A contact within 365 days: fewer than five of fewer than five"));
}

TEST_CASE("the year on one page counts and names nobody") {
    Club c;
    for (int i = 0; i < 5; ++i) c.newcomer("05");
    const auto report = must(node::annual_report(c.olga.context));
    CHECK(report.sentences.at(0) == "Newcomers who came into the club's list: 5.");
    CHECK(report.sentences.at(5) == "Left the club: fewer than five.");
    for (const std::string& sentence : report.sentences) CHECK_FALSE(has(sentence, "N1"));
}

}  // namespace
}  // namespace ladderline
