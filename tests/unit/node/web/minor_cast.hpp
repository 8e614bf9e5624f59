#pragma once
// The path of somebody under 18, on which a contact with the mentor is arranged, with everybody who is on it.

#include "node/commands/goings.hpp"
#include "node/commands/meetings.hpp"
#include "tests/unit/node/web/pages_cast.hpp"

namespace ladderline::test {

// Kay is under 18; Gus is her guardian, Sue the second adult, and Max mentors her. A contact with Max is arranged.
struct Minor {
    SetClock clock;
    MemberNode kay{clock, 41};
    MemberNode gus{clock, 42};
    MemberNode sue{clock, 43};
    MemberNode max{clock, 44};

    Minor() {
        clock.to("2026-03-02T18:00Z");
        begin_as(kay, "Kay", protocol::MemberRole::newcomer, true);
        begin_as(gus, "Gus", protocol::MemberRole::guardian);
        begin_as(sue, "Sue", protocol::MemberRole::mentor);
        begin_as(max, "Max", protocol::MemberRole::mentor);
        join(kay, gus, "Gus", protocol::CircleKind::path, protocol::MemberRole::guardian);
        join(kay, sue, "Sue", protocol::CircleKind::path, protocol::MemberRole::second_adult);
        sync(kay, gus);
        must(node::give_consent(gus.context, "Kay", day("2026-06-01")));
        sync(kay, gus);
        join(kay, max, "Max", protocol::CircleKind::path, protocol::MemberRole::mentor);
        arrange_with_max();
        everybody_syncs();
    }
    void arrange_with_max() {
        node::MeetRequest request;
        request.start = utc("2026-03-04T18:00Z");
        request.first_frequency = "146.52";
        request.with = "Max";
        must(node::meet(kay.context, request));
    }
    void everybody_syncs() {
        for (MemberNode* who : {&gus, &sue, &max}) sync(kay, *who);
        for (MemberNode* who : {&gus, &sue, &max}) sync(kay, *who);
    }
    void take_back() {
        clock.pass_minutes(1);
        must(node::give_consent(gus.context, "Kay", std::nullopt));
        everybody_syncs();
    }
    void second_adult_leaves() {
        must(node::leave_circle(sue.context, must(node::circle_meant(sue.context, "path", "Kay"))));
        everybody_syncs();
    }
    std::string of_kay() { return "/people/" + to_hex(kay.id().view()); }
    // Everybody's pages on which that path stands.
    std::vector<std::string> pages() {
        std::vector<std::string> out{PagesOf(kay).body("/meet")};
        for (MemberNode* who : {&gus, &max}) {
            out.push_back(PagesOf(*who).body("/people"));
            out.push_back(PagesOf(*who).body(of_kay()));
        }
        return out;
    }
};

}  // namespace ladderline::test
