#include "store/circles/new_key.hpp"

#include <doctest/doctest.h>

#include <algorithm>

#include "tests/support/store/founded_circle.hpp"

using namespace ladderline;
using namespace ladderline::protocol;

namespace {

// The path of Ada, who has a guardian and a mentor.
struct World : test::FoundedCircle {
    World() : FoundedCircle(71, CircleKind::path) {
        admit(node, ben, MemberRole::guardian);
        admit(node, cal, MemberRole::mentor);
    }
    store::EventLog::Rotation key_for(Readers readers) {
        auto out = store::new_key_for(node.log, circle, state(node), readers).value();
        std::sort(out.boxes.begin(), out.boxes.end());
        return out;
    }
};

std::vector<DhPublic> in_order(std::vector<DhPublic> boxes) {
    std::sort(boxes.begin(), boxes.end());
    return boxes;
}

}  // namespace

TEST_CASE("a new key for everyone goes to the devices of all members") {
    World w;
    CHECK(w.key_for(Readers::everyone).boxes == in_order({w.ada.box.pub, w.ben.box.pub, w.cal.box.pub}));
}

TEST_CASE("a new key for the household does not go to the mentor") {
    World w;
    CHECK(w.key_for(Readers::household).boxes == in_order({w.ada.box.pub, w.ben.box.pub}));
}

TEST_CASE("a new key goes to nobody who was removed") {
    World w;
    w.say(w.node, kind::remove, codec::encode(RemoveBody{w.cal.id(), "", {}}));
    CHECK(w.key_for(Readers::everyone).boxes == in_order({w.ada.box.pub, w.ben.box.pub}));
}

TEST_CASE("a new key goes to no lost device") {
    World w;
    w.say(w.node, kind::revoke, codec::encode(RevokeBody{w.cal.device_id(), "lost", {}}));
    CHECK(w.key_for(Readers::everyone).boxes == in_order({w.ada.box.pub, w.ben.box.pub}));
}

TEST_CASE("a new key goes to the paper box of whoever shows one") {
    World w;
    const DhPublic paper = make_dh_keys(w.random).pub;
    w.say(w.node, kind::paper_box, codec::encode(PaperBoxBody{paper}));
    CHECK(w.key_for(Readers::household).boxes == in_order({w.ada.box.pub, w.ben.box.pub, paper}));
}

TEST_CASE("the first new key continues the founding key, a later one the key before it") {
    World w;
    CHECK(w.key_for(Readers::everyone).parents == std::vector{id_of_key(w.key)});
    w.rotate(w.node);
    const KeyId second = id_of_key(w.node.log.current_key(w.circle).value());
    REQUIRE(second != id_of_key(w.key));
    CHECK(w.key_for(Readers::everyone).parents == std::vector{second});
}
