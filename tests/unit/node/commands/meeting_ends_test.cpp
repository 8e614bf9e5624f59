// Who is said to be on the air, to whoever reads of an arranged contact.

#include "node/commands/meeting_ends.hpp"

#include <doctest/doctest.h>

#include <filesystem>

#include "node/app/execute.hpp"
#include "node/cli/command_line.hpp"
#include "node/commands/goings.hpp"
#include "node/commands/meeting_card.hpp"
#include "node/commands/today.hpp"
#include "tests/support/node/member_fixture.hpp"

namespace ladderline {
namespace {

using protocol::CircleKind;
using protocol::MemberRole;
using namespace test;

// Mia is under 18. Max, her mentor, arranged a contact with her; Gus, her guardian, and Sue see her path.
struct Guarded {
    SetClock clock;
    MemberNode mia{clock, 1};
    MemberNode gus{clock, 2};
    MemberNode sue{clock, 3};
    MemberNode max{clock, 4};

    Guarded() {
        clock.to("2026-03-02T18:00Z");
        begin_as(mia, "Mia", MemberRole::newcomer, true);
        begin_as(gus, "Gus", MemberRole::guardian);
        begin_as(sue, "Sue", MemberRole::second_adult);
        begin_as(max, "Max", MemberRole::mentor);
        join(mia, gus, "Gus", CircleKind::path, MemberRole::guardian);
        tick_item(gus, "00.05", "agreed in writing", "Mia");
        sync(mia, gus);
        join(mia, sue, "Sue", CircleKind::path, MemberRole::second_adult);
        join(mia, max, "Max", CircleKind::path, MemberRole::mentor);
        set_card(mia, "KD0XAA", "T", "America/New_York");
        set_card(max, "KD0XBB", "G", "America/Chicago");
        set_card(gus, "", "", "America/Denver");
        sync(max, mia);
        sync(gus, mia);
        node::MeetRequest request;
        request.who = "Mia";
        request.start = utc("2026-03-03T19:00Z");
        request.first_frequency = "146.52";
        must(node::meet(max.context, request));
        for (MemberNode* other : {&max, &gus, &sue}) sync(*other, mia);
    }
    static void set_card(MemberNode& who, const std::string& call, const std::string& licence,
                         const std::string& zone) {
        node::CardRequest card;
        if (!call.empty()) card.call_sign = call;
        if (!licence.empty()) card.licence_class = licence;
        card.zone = zone;
        must(node::change_card(who.context, card));
    }
    node::WayView way_of(MemberNode& who) { return must(node::way(who.context, &who == &mia ? "" : "Mia")); }
    std::string words(MemberNode& who) {
        const auto view = way_of(who);
        return node::ends_words(who.context, view, view.meetings.front());
    }
    // What 'ladderline waiting' answers.
    std::string waiting(MemberNode& who) {
        std::vector<std::string> words{"waiting"};
        if (&who != &mia) words.emplace_back("Mia");
        const auto read = must(node::cli::parse_command_line(words, std::filesystem::temp_directory_path()));
        return node::execute(read, who.context).out;
    }
    std::string card(MemberNode& who) {
        const auto view = way_of(who);
        std::string out;
        for (const auto& line : node::card_lines(node::meeting_card(who.context, view, view.meetings.front()))) {
            out += line + "\n";
        }
        return out;
    }
};

bool has(const std::string& text, std::string_view words) {
    return text.find(words) != std::string::npos;
}

TEST_CASE("what is waited for names with whom a contact is arranged") {
    Guarded g;
    CHECK(has(g.waiting(g.mia), "Arranged contact with Max, 2026-03-03T19:00Z on 146.52 MHz"));
    CHECK(has(g.waiting(g.max), "Arranged contact with Mia, 2026-03-03T19:00Z"));
    CHECK(has(g.waiting(g.gus), "Arranged contact Mia with Max, 2026-03-03T19:00Z"));
}

TEST_CASE("guardian and second adult read both names of a contact that the mentor arranged") {
    Guarded g;
    CHECK(g.words(g.gus) == "Mia with Max");
    CHECK(g.words(g.sue) == "Mia with Max");
}

TEST_CASE("each end of an arranged contact reads the other's name") {
    Guarded g;
    CHECK(g.words(g.mia) == "with Max");
    CHECK(g.words(g.max) == "with Mia");
}

TEST_CASE("of a mentor who has left the guardian reads that somebody did") {
    Guarded g;
    must(node::leave_circle(g.max.context, must(node::circle_meant(g.max.context, "path", "Mia"))));
    sync(g.max, g.mia);
    sync(g.mia, g.gus);
    CHECK(g.words(g.gus) == "Mia with somebody who has left");
}

TEST_CASE("the guardian's card names both ends and the clocks of all three, and the words are the child's") {
    Guarded g;
    const std::string card = g.card(g.gus);
    CAPTURE(card);
    for (const char* words :
         {"Contact on the air: Mia with Max\n", "On the air: Mia, KD0XAA\n", "With: Max, KD0XBB\n",
          "When, on your clock: Tue 2026-03-03 12:00 MST", "On the clock of Mia: Tue 2026-03-03 14:00 EST",
          "On the clock of Max: Tue 2026-03-03 13:00 CST", "\"KD0XBB, this is KD0XAA. Over.\""}) {
        CAPTURE(words);
        CHECK(has(card, words));
    }
}

TEST_CASE("the mentor's card still begins with the mentor's own call sign and clock") {
    Guarded g;
    const std::string card = g.card(g.max);
    CAPTURE(card);
    CHECK(has(card, "Contact on the air with Mia\n"));
    CHECK(has(card, "When, on your clock: Tue 2026-03-03 13:00 CST"));
    CHECK(has(card, "\"KD0XAA, this is KD0XBB. Over.\""));
}

TEST_CASE("everybody's calendar says who talks with whom, whoever arranged it") {
    Guarded g;
    for (MemberNode* who : {&g.mia, &g.max, &g.gus, &g.sue}) {
        const auto view = g.way_of(*who);
        CHECK(node::calendar_entry(view, view.meetings.front(), who->context.now()).title ==
              "Contact on the air: Mia with Max");
    }
}

TEST_CASE("the guardian's day names both ends of the contact") {
    Guarded g;
    const auto parts = must(node::today(g.gus.context)).parts;
    REQUIRE(parts.size() == 1);
    REQUIRE_FALSE(parts[0].lines.empty());
    CHECK(parts[0].lines[0].sentence == "2026-03-03T19:00Z Mia with Max on 146.52 MHz FM");
}

}  // namespace
}  // namespace ladderline
