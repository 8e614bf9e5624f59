#include "node/commands/class_view.hpp"

#include <doctest/doctest.h>

#include <algorithm>

#include "node/commands/exam.hpp"
#include "node/commands/mock.hpp"
#include "node/commands/study.hpp"
#include "protocol/event/kinds.hpp"
#include "protocol/event/study_bodies.hpp"
#include "tests/support/node/member_fixture.hpp"
#include "tests/support/node/practice_pool.hpp"

namespace ladderline {
namespace {

using protocol::CircleKind;
using protocol::MemberRole;
using protocol::StudyShareBody;
using namespace test;

// Olga's club. What members show is put together by hand, so that every count can be chosen.
struct Club {
    SetClock clock;
    MemberNode olga{clock, 1};
    std::deque<MemberNode> members;

    Club() {
        clock.to("2026-03-02T18:00Z");
        begin_as(olga, "Olga", MemberRole::officer, false, "Hill Club");
    }
    MemberNode& enter(const std::string& name, MemberRole role = MemberRole::newcomer, bool under_18 = false) {
        MemberNode& member = members.emplace_back(clock, 10 + members.size());
        begin_as(member, name, role, under_18);
        join(olga, member, name, CircleKind::club, role, under_18);
        return member;
    }
    void show(MemberNode& member, const StudyShareBody& body) {
        const auto club = member.circle(CircleKind::club);
        std::vector<protocol::EventId> before;
        for (const auto& view : must(node::shown(member.db(), club, protocol::kind::study_share))) {
            if (view.by == member.id()) before.push_back(view.id);
        }
        must(node::say(member.context, club, protocol::kind::study_share, protocol::codec::encode(body), before));
        sync(olga, member);
    }
    // `count` members who are weak in these groups.
    void learners(int count, const std::vector<std::string>& weak) {
        for (int k = 0; k < count; ++k) show(enter("Learner " + std::to_string(members.size())), share(weak));
    }
    static StudyShareBody share(const std::vector<std::string>& weak) {
        StudyShareBody out;
        out.pool = "2";
        out.edition = "Element 2";
        out.groups = weak;
        out.weak = weak;
        out.last_practice = day("2026-03-01");
        return out;
    }
    node::ClassView view() { return must(node::class_view(olga.context)); }
};

std::string groups(const node::ClassView& view) {
    std::string out;
    for (const auto& g : view.weak) out += (out.empty() ? "" : " ") + g.group + ":" + g.count;
    return out;
}

}  // namespace

TEST_CASE("the class is for officers and mentors of the club") {
    Club c;
    MemberNode& ana = c.enter("Ana");
    CHECK(must_fail(node::class_view(ana.context)).sentence() ==
          "The class is for the club's officers and mentors to look at; ask one of them.");
    MemberNode& max = c.enter("Max", MemberRole::mentor);
    CHECK(node::class_view(max.context).has_value());
}

TEST_CASE("of fewer than five people nothing is counted") {
    Club c;
    c.learners(4, {"T1A"});
    CHECK(c.view().people == "fewer than five");
    CHECK(groups(c.view()).empty());
    CHECK(c.view().weak_note == "Fewer than five show their study of one pool, so nothing is counted.");
    CHECK(c.view().edition == "Element 2");
}

TEST_CASE("a group is shown from five people on, most first") {
    Club c;
    c.learners(5, {"T1A", "T5C"});
    c.learners(1, {"T5C"});
    c.learners(1, {"T9A"});
    CHECK(c.view().people == "7");
    CHECK(groups(c.view()) == "T5C:6 T1A:5");
    CHECK(c.view().weak_note == "Groups that are weak for fewer than five are not shown.");
}

TEST_CASE("the pool that most of them study is counted, and no other") {
    Club c;
    c.learners(5, {"T1A"});
    StudyShareBody other = Club::share({"G1A"});
    other.pool = "3";
    other.edition = "Element 3";
    for (int k = 0; k < 2; ++k) c.show(c.enter("General " + std::to_string(k)), other);
    CHECK(c.view().people == "5");
    CHECK(groups(c.view()) == "T1A:5");
}

TEST_CASE("whoever stops showing, or leaves, is counted no more") {
    Club c;
    c.learners(6, {"T1A"});
    c.show(c.members.front(), StudyShareBody());
    CHECK(groups(c.view()) == "T1A:5");
    c.show(c.members.back(), StudyShareBody());
    CHECK(groups(c.view()).empty());
}

TEST_CASE("a booked exam is named while it is to come, and who has not practised for three weeks is to be asked") {
    Club c;
    StudyShareBody booked = Club::share({});
    booked.exam_booked = day("2026-03-14");
    booked.last_practice = day("2026-01-01");
    c.show(c.enter("Ana"), booked);
    StudyShareBody past = Club::share({});
    past.exam_booked = day("2026-02-14");
    c.show(c.enter("Ben"), past);
    StudyShareBody quiet = Club::share({});
    quiet.last_practice = day("2026-02-09");
    c.show(c.enter("Cleo"), quiet);
    StudyShareBody nearly = Club::share({});
    nearly.last_practice = day("2026-02-10");
    c.show(c.enter("Dan"), nearly);
    const auto view = c.view();
    REQUIRE(view.booked.size() == 1);
    CHECK(view.booked.front().name == "Ana");
    REQUIRE(view.ask.size() == 1);
    CHECK(view.ask.front().name == "Cleo");
}

TEST_CASE("who rests is not asked, and nobody under 18 is named") {
    Club c;
    StudyShareBody quiet = Club::share({});
    quiet.last_practice = day("2026-01-01");
    MemberNode& ana = c.enter("Ana");
    c.show(ana, quiet);
    node::CardRequest rest;
    rest.resting = true;
    must(node::change_card(ana.context, rest));
    sync(c.olga, ana);
    c.show(c.enter("Kim", MemberRole::newcomer, true), quiet);
    CHECK(c.view().ask.empty());
    CHECK(c.view().minors_note == "Nobody under 18 is named here; ask with their guardian or mentor.");
}

TEST_CASE("a member shows the groups of their own answers, and stops") {
    Club c;
    MemberNode& ana = c.enter("Ana");
    must(node::import_pool(ana.context, element_2_pool()));
    for (int k = 0; k < 3; ++k) {
        const auto q = must(node::next_question(ana.context, {}));
        must(node::answer(ana.context, {{2}, q.id, q.order, std::nullopt}));
    }
    const auto done = must(node::publish_study(ana.context, {"hill", {}}));
    CHECK(done.sentence.find("what was synced cannot be called back") != std::string::npos);
    const auto share_of = [&] {
        const auto all = must(node::shown(ana.db(), ana.circle(CircleKind::club), protocol::kind::study_share));
        REQUIRE(all.size() == 1);
        return *protocol::read_payload<StudyShareBody>(all.front().payload);
    };
    CHECK(share_of().pool == "2");
    CHECK_FALSE(share_of().groups.empty());
    CHECK(share_of().weak == share_of().groups);
    CHECK(share_of().last_practice == day("2026-03-02"));
    must(node::stop_publishing(ana.context));
    CHECK(share_of().pool.empty());
}

TEST_CASE("what is shown is renewed by the first answer or marked paper of a day, and by no other") {
    Club c;
    MemberNode& ana = c.enter("Ana");
    must(node::import_pool(ana.context, element_2_pool()));
    must(node::publish_study(ana.context, {"club", {}}));
    const auto answer_one = [&] {
        const auto q = must(node::next_question(ana.context, {}));
        must(node::answer(ana.context, {{2}, q.id, q.order, std::nullopt}));
    };
    const auto club_events = [&] {
        return must(node::shown_history(ana.db(), ana.circle(CircleKind::club), protocol::kind::study_share)).size();
    };
    answer_one();
    CHECK(club_events() == 1);
    c.clock.pass_days(1);
    answer_one();
    answer_one();
    CHECK(club_events() == 2);
    c.clock.pass_days(1);
    const auto paper = must(node::draw_mock_paper(ana.context, {}, domain::MockMode::faithful));
    must(node::mark_mock_paper(ana.context, {paper.number, std::string(paper.questions.size(), '?')}));
    CHECK(club_events() == 3);
    must(node::stop_publishing(ana.context));
    c.clock.pass_days(1);
    answer_one();
    CHECK(club_events() == 4);
}

TEST_CASE("nobody shows practice items, or shows study to what is no club of theirs") {
    Club c;
    MemberNode& ana = c.enter("Ana");
    CHECK(must_fail(node::publish_study(ana.context, {"club", {}})).fault() == Fault::bad_input);
    CHECK(must_fail(node::publish_study(ana.context, {"Valley", {}})).sentence() ==
          "Your club is called Hill Club, and study is shown to a club alone.");
}

TEST_CASE("under 18 nothing is shown before a guardian agreed on the path") {
    Club c;
    MemberNode& kim = c.enter("Kim", MemberRole::newcomer, true);
    must(node::import_pool(kim.context, element_2_pool()));
    const auto before = kim.events();
    CHECK(must_fail(node::publish_study(kim.context, {"club", {}})).fault() == Fault::refused);
    CHECK(kim.events() == before);
}

}  // namespace ladderline
