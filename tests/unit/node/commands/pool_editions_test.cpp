// Two editions of one element side by side, and the pictures of a pool's figures.

#include <doctest/doctest.h>

#include "node/commands/figures.hpp"
#include "node/commands/mock.hpp"
#include "tests/support/node/member_fixture.hpp"
#include "tests/support/node/practice_pool.hpp"

namespace ladderline {
namespace {

using protocol::MemberRole;
using namespace test;

constexpr node::PoolChoice earlier{2, 2022};
constexpr node::PoolChoice later{2, 2026};

std::string replaced(std::string text, const std::string& from, const std::string& to) {
    const std::size_t at = text.find(from);
    REQUIRE(at != std::string::npos);
    return text.replace(at, from.size(), to);
}

// The edition that follows element_2_pool(): T1A01 asks something else, all others are the same under their numbers.
std::string later_pool() {
    std::string out = replaced(element_2_pool(), "2022-2026", "2026-2030");
    out = replaced(out, "7/01/2022 - 6/30/2026", "7/01/2026 - 6/30/2030");
    return replaced(out, "What does T1A01 ask?", "What is new here?");
}

struct Learner {
    SetClock clock;
    MemberNode ana{clock, 1};

    Learner() {
        clock.to("2026-03-02T18:00Z");
        begin_as(ana, "Ana", MemberRole::newcomer);
        must(node::import_pool(context(), element_2_pool()));
    }
    node::Context& context() { return ana.context; }
    void answer(const node::PoolChoice& pool, const char* question) {
        must(node::answer(context(), {pool, question, "0123", std::uint8_t{0}}));
        clock.pass_minutes(1);
    }
    std::size_t seen(const node::PoolChoice& pool) { return must(node::ready(context(), pool, {})).seen; }
    int edition_practised() { return must(node::next_question(context(), {2})).from.edition.value(); }
};

TEST_CASE("a second edition stands beside the first") {
    Learner l;
    CHECK(must(node::import_pool(l.context(), later_pool())).corrected == 0);
    const auto all = must(node::pools(l.context()));
    REQUIRE(all.size() == 3);
    CHECK(all[1].which.edition == 2022);
    CHECK(all[2].which.edition == 2026);
}

TEST_CASE("without a booked exam today's edition is practised") {
    Learner l;
    must(node::import_pool(l.context(), later_pool()));
    CHECK(l.edition_practised() == 2022);
    l.clock.to("2026-07-01T00:00Z");
    CHECK(l.edition_practised() == 2026);
}

TEST_CASE("the edition of the booked exam's day is practised") {
    Learner l;
    must(node::import_pool(l.context(), later_pool()));
    tick_item(l.ana, "02.04", "2026-07-04");
    CHECK(l.edition_practised() == 2026);
    CHECK(must(node::pools(l.context()))[2].counts);
}

TEST_CASE("an edition can be named against the calendar") {
    Learner l;
    must(node::import_pool(l.context(), later_pool()));
    CHECK(must(node::next_question(l.context(), later)).from.edition == 2026);
}

TEST_CASE("an edition that is not here is refused with those that are") {
    Learner l;
    CHECK(must_fail(node::next_question(l.context(), {2, 2018})).sentence() ==
          "There is no edition of element 2 here that begins in 2018; those here begin in 2022.");
}

TEST_CASE("an answer counts in both editions where the question reads the same") {
    Learner l;
    CHECK(must(node::import_pool(l.context(), later_pool())).carried_over == 69);
    l.answer(earlier, "T1A02");
    CHECK(l.seen(earlier) == 1);
    CHECK(l.seen(later) == 1);
}

TEST_CASE("an answer counts in its own edition alone where the other asks something else under the same number") {
    Learner l;
    must(node::import_pool(l.context(), later_pool()));
    l.answer(earlier, "T1A01");
    CHECK(l.seen(earlier) == 1);
    CHECK(l.seen(later) == 0);
}

TEST_CASE("a question that has another number in the next edition is known there") {
    Learner l;
    std::string moved = later_pool();
    moved = replaced(moved, "What does T1A02 ask?", "What does T7E02 ask?");
    moved.replace(moved.rfind("What does T7E02 ask?"), 20, "What does T1A02 ask?");
    must(node::import_pool(l.context(), moved));
    l.answer(earlier, "T1A02");
    const auto state = must(node::next_question(l.context(), later));
    CHECK(l.seen(later) == 1);
    CHECK(must(node::question_again(l.context(), later, "T7E02", "0123")).stem == "What does T1A02 ask?");
    CHECK(state.reason == domain::PracticeReason::not_seen);
}

TEST_CASE("an erratum of one edition leaves what was answered in the other") {
    Learner l;
    must(node::import_pool(l.context(), later_pool()));
    l.answer(later, "T1A02");
    CHECK(l.seen(earlier) == 1);
    must(node::import_pool(l.context(), element_2_pool("T1A02")));
    CHECK(l.seen(earlier) == 0);
    CHECK(l.seen(later) == 1);
}

TEST_CASE("a mock paper is made again from the edition it was drawn from") {
    Learner l;
    must(node::import_pool(l.context(), later_pool()));
    const auto drawn = must(node::draw_mock_paper(l.context(), later, domain::MockMode::faithful));
    const auto again = must(node::mock_paper(l.context(), drawn.number));
    CHECK(again.edition == drawn.edition);
    CHECK(again.questions.front().from.edition == 2026);
}

TEST_CASE("a marked paper names its questions by the edition it was drawn from") {
    Learner l;
    must(node::import_pool(l.context(), later_pool()));
    const auto drawn = must(node::draw_mock_paper(l.context(), later, domain::MockMode::faithful));
    must(node::mark_mock_paper(l.context(), {drawn.number, std::string(35, '?'), {}}));
    CHECK(must(node::marked_paper(l.context(), drawn.number)).from.edition == 2026);
}

std::string pool_with_figure() {
    return replaced(element_2_pool(), "What does T1A01 ask?", "What is component 1 in figure T-1?");
}

// The first bytes of a PNG file; nothing here decodes it.
Bytes png() {
    return to_bytes(as_bytes("\x89PNG\r\n\x1a\n and so on"));
}

TEST_CASE("a figure that a question names is missing until its picture is added") {
    Learner l;
    must(node::import_pool(l.context(), pool_with_figure()));
    const auto shown = must(node::question_again(l.context(), {2}, "T1A01", "0123"));
    CHECK_FALSE(must(node::has_figure(l.context(), shown)));
    CHECK(must(node::add_figure(l.context(), {2}, "T-1", png())) == "Figure T-1 is here now; 1 question shows it.");
    CHECK(must(node::has_figure(l.context(), shown)));
    CHECK(must(node::figure(l.context(), {2}, "T-1")).image == png());
}

TEST_CASE("a figure that no question names is refused with those that are") {
    Learner l;
    must(node::import_pool(l.context(), pool_with_figure()));
    CHECK(must_fail(node::add_figure(l.context(), {2}, "T-9", png())).sentence() ==
          "The pool of element 2 has no figure 'T-9': its questions name T-1; nothing was kept.");
}

TEST_CASE("bytes that are no picture, or one that can hold a program, are refused") {
    Learner l;
    must(node::import_pool(l.context(), pool_with_figure()));
    for (const char* bytes : {"", "%PDF-1.7", "<svg xmlns='http://www.w3.org/2000/svg'/>", "RIFF1234WAVE"}) {
        CHECK(must_fail(node::add_figure(l.context(), {2}, "T-1", as_bytes(std::string_view(bytes)))).fault() ==
              Fault::bad_input);
    }
    CHECK_FALSE(must(node::figures(l.context(), {2})).front().is_here);
}

TEST_CASE("a picture belongs to one edition") {
    Learner l;
    must(node::import_pool(l.context(), pool_with_figure()));
    must(node::import_pool(l.context(), replaced(later_pool(), "What is new here?", "What is in figure T-1?")));
    must(node::add_figure(l.context(), earlier, "T-1", png()));
    CHECK(node::figure(l.context(), earlier, "T-1").has_value());
    CHECK_FALSE(node::figure(l.context(), later, "T-1").has_value());
}

}  // namespace
}  // namespace ladderline
