// Who is told by a page that somebody in the club is under 18.

#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;
using protocol::CircleKind;
using protocol::MemberRole;

namespace {

// Pia, under 18, is in the club; so is her guardian Greta, who is on her path.
struct WithChild : Cast {
    WithChild() {
        begin_as(child, "Pia", MemberRole::newcomer, true);
        begin_as(guardian, "Greta", MemberRole::guardian);
        join(officer, child, "Pia", CircleKind::club, MemberRole::newcomer, true);
        join(officer, guardian, "Greta", CircleKind::club, MemberRole::mentor);
        join(child, guardian, "Greta", CircleKind::path, MemberRole::guardian);
        everybody_syncs();
    }
    static std::string circles_of(MemberNode& who) { return PagesOf(who).body("/circles"); }

    MemberNode child{clock, 31};
    MemberNode guardian{clock, 32};
};

}  // namespace

TEST_CASE("A club's list tells other members of nobody's age") {
    WithChild w;
    for (MemberNode* who : {&w.mentor, &w.newcomer}) {
        const std::string page = WithChild::circles_of(*who);
        CHECK(has(page, "Pia"));
        CHECK_FALSE(has(page, ", under 18"));
    }
}

TEST_CASE("A club's list names who is under 18 to its officers, to that person, and to those on their path") {
    WithChild w;
    for (MemberNode* who : {&w.officer, &w.child, &w.guardian}) {
        CHECK(has(WithChild::circles_of(*who), "newcomer, under 18"));
    }
}

TEST_CASE("Whoever decides about sharing reads that the flag came with joining") {
    WithChild w;
    CHECK(has(WithChild::circles_of(w.child), "whether you are under 18 came with joining"));
}
