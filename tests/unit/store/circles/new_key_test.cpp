#include "store/circles/new_key.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <set>

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
        auto out = store::new_key_for(node.log, circle, state(node), readers, ada.id()).value();
        std::sort(out.boxes.begin(), out.boxes.end());
        return out;
    }
};

std::vector<DhPublic> in_order(std::vector<DhPublic> boxes) {
    std::sort(boxes.begin(), boxes.end());
    return boxes;
}

// So many devices more of somebody, as the circle would know them; gives their boxes.
std::set<DhPublic> add_devices(CircleState& state, const MemberId& whose, std::size_t count, Random& random) {
    std::set<DhPublic> boxes;
    for (std::size_t i = 0; i < count; ++i) {
        const auto box = random.draw<DhPublic>();
        const auto device = random.draw<DeviceId>();
        state.devices[device] = {whose, device, random.draw<DhPublic>(), box, "device", {}, {}};
        boxes.insert(box);
    }
    return boxes;
}

std::size_t count_among(const std::vector<DhPublic>& boxes, const std::set<DhPublic>& wanted) {
    return static_cast<std::size_t>(
        std::count_if(boxes.begin(), boxes.end(), [&](const DhPublic& box) { return wanted.contains(box); }));
}

constexpr std::size_t member_copies_max = 64;

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

TEST_CASE("a new key goes to all devices of a member with as many as that") {
    World w;
    CircleState state = w.state(w.node);
    const auto boxes = add_devices(state, w.cal.id(), member_copies_max - 1, w.random);
    const auto key = store::new_key_for(w.node.log, w.circle, state, Readers::everyone, w.ada.id()).value();
    CHECK(count_among(key.boxes, boxes) == boxes.size());
    CHECK(key.boxes.size() == boxes.size() + 3);
}

TEST_CASE("a member with more devices than a key has copies gets some, and keeps nobody else from theirs") {
    World w;
    CircleState state = w.state(w.node);
    const auto boxes = add_devices(state, w.cal.id(), limits::wrap_copies_max, w.random);
    const auto key = store::new_key_for(w.node.log, w.circle, state, Readers::everyone, w.ada.id()).value();
    CHECK(key.boxes.size() == member_copies_max + 2);
    CHECK(count_among(key.boxes, {w.ada.box.pub, w.ben.box.pub}) == 2);
}

TEST_CASE("where all devices are more than a key has copies its author's and one of everybody's are among them") {
    World w;
    CircleState state = w.state(w.node);
    std::vector<std::set<DhPublic>> of_each;
    for (std::size_t i = 0; i < limits::wrap_copies_max / member_copies_max + 2; ++i) {
        const auto member = w.random.draw<MemberId>();
        state.members[member] = Member{MemberRole::mentor, 2, "member"};
        of_each.push_back(add_devices(state, member, member_copies_max, w.random));
    }
    auto adas = add_devices(state, w.ada.id(), member_copies_max - 1, w.random);
    adas.insert(w.ada.box.pub);
    const DhPublic paper = make_dh_keys(w.random).pub;
    state.paper_boxes[w.cal.id()] = paper;
    const auto key = store::new_key_for(w.node.log, w.circle, state, Readers::everyone, w.ada.id()).value();
    CHECK(key.boxes.size() == limits::wrap_copies_max);
    CHECK(count_among(key.boxes, adas) == adas.size());
    CHECK(count_among(key.boxes, {w.ben.box.pub, w.cal.box.pub, paper}) == 3);
    for (const auto& boxes : of_each) CHECK(count_among(key.boxes, boxes) > 0);
}
