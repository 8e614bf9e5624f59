#include "protocol/circle/epochs.hpp"

#include <doctest/doctest.h>

#include "protocol/crypto/hash.hpp"
#include "tests/support/protocol/circle_story.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::CircleStory;
using test::Person;

namespace {

struct Club {
    CircleStory story;
    Person ada;
    Person ben;
    Person cal;
    std::vector<EventId> all;

    explicit Club(std::uint64_t seed)
        : story(seed), ada(story.person("Ada")), ben(story.person("Ben")), cal(story.person("Cal")) {
        story.found(ada, CircleKind::club, MemberRole::officer);
        story.say(ada, kind::admit, CircleStory::admit(ben, MemberRole::officer));
        story.say(ada, kind::admit, CircleStory::admit(cal, MemberRole::newcomer));
        all = story.state().heads;
    }
    EventId rotate(const Person& by) { return story.say(by, kind::rotate_key, story.rotation(story.state())); }
};

constexpr Day today{20'000};

// Kay is under 18; the path fills up as it must.
struct Path {
    CircleStory story;
    Person kay;
    Person gus;
    Person sue;
    Person max;

    explicit Path(std::uint64_t seed)
        : story(seed),
          kay(story.person("Kay")),
          gus(story.person("Gus")),
          sue(story.person("Sue")),
          max(story.person("Max")) {
        story.found(kay, CircleKind::path, MemberRole::newcomer, true);
        story.say(kay, kind::admit, CircleStory::admit(gus, MemberRole::guardian));
        story.say(kay, kind::admit, CircleStory::admit(sue, MemberRole::second_adult));
        story.say(kay, kind::admit, CircleStory::admit(max, MemberRole::mentor));
    }
    EventId consent(Day until, bool withdrawn = false) {
        return story.say(gus, kind::consent, CircleStory::consent(today, until, withdrawn));
    }
    bool reads(const Person& who, Day day = today) { return may_read(story.state(), who.device_id(), KeyId{}, day); }
};

Epoch epoch(std::uint8_t id, std::set<MemberId> readers, int rank, std::size_t joined) {
    Epoch out;
    out.event.data.fill(id);
    out.readers = std::move(readers);
    out.rank = rank;
    out.joined = joined;
    return out;
}

MemberId person(std::uint8_t id) {
    MemberId out;
    out.data.fill(id);
    return out;
}

}  // namespace

TEST_CASE("a circle begins with its founding key, and a rotation brings the next") {
    Club club(1);
    CHECK(club.story.state().epochs.empty());
    CHECK_FALSE(rotation_due(club.story.state(), today));
    const EventId first = club.rotate(club.ada);
    REQUIRE(club.story.state().epochs.size() == 1);
    CHECK(club.story.state().epochs.front().event == first);
    const EventId second = club.rotate(club.ben);
    REQUIRE(club.story.state().epochs.size() == 1);
    CHECK(club.story.state().epochs.front().event == second);
}

TEST_CASE("whoever goes makes a new key due, until a rotation knows of it") {
    struct Row {
        std::uint16_t number;
        Bytes (*payload)(Club&);
        bool by_cal;
    };
    for (const Row& row : {Row{kind::remove, [](Club& c) { return CircleStory::remove(c.cal); }, false},
                           Row{kind::revoke, [](Club& c) { return CircleStory::revoke(c.cal); }, false},
                           Row{kind::leave, [](Club&) { return CircleStory::leave(); }, true}}) {
        for (const bool has_epoch : {false, true}) {
            Club club(2);
            CAPTURE(row.number);
            if (has_epoch) club.rotate(club.ada);
            club.story.say(row.by_cal ? club.cal : club.ada, row.number, row.payload(club));
            CHECK(rotation_due(club.story.state(), today));
            club.rotate(club.ben);
            CHECK_FALSE(rotation_due(club.story.state(), today));
        }
    }
}

TEST_CASE("a rotation that did not know of a removal stands, and is to be followed by another") {
    Club club(3);
    club.story.say(club.ada, kind::remove, CircleStory::remove(club.cal), club.all);
    CircleState before = club.story.state();
    before.members.at(club.cal.id()).removed = false;
    const EventId rotated = club.story.say(club.ben, kind::rotate_key, club.story.rotation(before), club.all);
    CHECK(club.story.has_effect(rotated));
    CHECK(club.story.state().epochs.front().readers.contains(club.cal.id()));
    CHECK(rotation_due(club.story.state(), today));
}

TEST_CASE("a key that was made after somebody left is good, also for who removes them side by side") {
    Club club(3);
    club.story.say(club.cal, kind::leave, CircleStory::leave());
    const std::vector<EventId> known = club.story.state().heads;
    club.rotate(club.ada);
    club.story.say(club.ben, kind::remove, CircleStory::remove(club.cal), known);
    CHECK_FALSE(rotation_due(club.story.state(), today));
}

TEST_CASE("a key that somebody may have got who came back side by side is changed once they are removed") {
    Club club(3);
    club.story.say(club.cal, kind::leave, CircleStory::leave());
    const std::vector<EventId> known = club.story.state().heads;
    club.rotate(club.ada);
    club.story.say(club.ben, kind::admit, CircleStory::admit(club.cal, MemberRole::newcomer), known);
    club.story.say(club.ada, kind::remove, CircleStory::remove(club.cal), known);
    REQUIRE_FALSE(club.story.is_present(club.cal));
    CHECK(rotation_due(club.story.state(), today));
}

TEST_CASE("of two keys side by side for the same people the guardian's goes before the newcomer's") {
    for (std::uint64_t seed = 10; seed < 20; ++seed) {  // either order of the two ids
        Path path(seed);
        CAPTURE(seed);
        const CircleState before = path.story.state();
        const std::vector<EventId> seen = before.heads;
        path.story.say(path.kay, kind::rotate_key, path.story.rotation(before), seen);
        const EventId by_guardian = path.story.say(path.gus, kind::rotate_key, path.story.rotation(before), seen);
        const CircleState state = path.story.state();
        REQUIRE(state.epochs.size() == 2);
        CHECK(state.epochs.front().event == by_guardian);
    }
}

TEST_CASE("of two keys side by side the one that leaves somebody out is written under") {
    for (std::uint64_t seed = 10; seed < 20; ++seed) {  // either order of the two ids
        Club club(seed);
        const CircleState before = club.story.state();
        const EventId removed = club.story.say(club.ben, kind::remove, CircleStory::remove(club.cal), club.all);
        const EventId narrow =
            club.story.say(club.ben, kind::rotate_key, club.story.rotation(club.story.state()), {removed});
        // Ada, the founder, has the older right; her rotation does not know that Cal is gone.
        club.story.say(club.ada, kind::rotate_key, club.story.rotation(before), club.all);
        const CircleState state = club.story.state();
        REQUIRE(state.epochs.size() == 2);
        CHECK(state.epochs.front().event == narrow);
        CHECK_FALSE(rotation_due(state, today));
        const EventId merged = club.rotate(club.ada);
        REQUIRE(club.story.state().epochs.size() == 1);
        CHECK(club.story.state().epochs.front().event == merged);
        CHECK_FALSE(club.story.state().epochs.front().readers.contains(club.cal.id()));
    }
}

TEST_CASE("of two keys for the same people the longer-standing officer's is written under") {
    for (std::uint64_t seed = 30; seed < 40; ++seed) {
        Club club(seed);
        const CircleState before = club.story.state();
        club.story.say(club.ben, kind::rotate_key, club.story.rotation(before), club.all);
        const EventId first = club.story.say(club.ada, kind::rotate_key, club.story.rotation(before), club.all);
        CHECK(club.story.state().epochs.front().event == first);
    }
}

TEST_CASE("of two keys for the same people the guardian's is written under, though the newcomer was there first") {
    Path path(60);
    const auto known = path.story.state().heads;
    const Bytes by_kay = path.story.rotation(path.story.state());
    const Bytes by_gus = path.story.rotation(path.story.state());
    path.story.say(path.kay, kind::rotate_key, by_kay, known);
    const EventId guardians = path.story.say(path.gus, kind::rotate_key, by_gus, known);
    REQUIRE(path.story.state().epochs.size() == 2);
    CHECK(path.story.state().epochs.front().event == guardians);
}

TEST_CASE("a rotation by somebody who was removed unseen is void") {
    Club club(40);
    const CircleState before = club.story.state();
    club.story.say(club.ben, kind::rotate_key, club.story.rotation(before), club.all);
    club.story.say(club.ada, kind::remove, CircleStory::remove(club.ben), club.all);
    CHECK(club.story.state().epochs.empty());
}

TEST_CASE("the order of epochs is the same whatever order they are given in") {
    const MemberId a = person(1);
    const MemberId b = person(2);
    const MemberId c = person(3);
    // By the rules one after another: narrowest first, then rank, then time in the role, then the id. The pairwise
    // preferences of the first three go round in a ring, so that no pairwise sort could settle them.
    std::vector<Epoch> epochs = {epoch(5, {a, b}, 1, 9), epoch(4, {a, b, c}, 4, 1), epoch(3, {c}, 2, 5),
                                 epoch(2, {a, c}, 5, 1), epoch(1, {a, b}, 1, 9),    epoch(6, {a, b}, 1, 7)};
    std::vector<std::uint8_t> ids;
    std::vector<std::size_t> turn = {0, 1, 2, 3, 4, 5};
    std::size_t rounds = 0;
    do {
        std::vector<Epoch> given;
        for (const std::size_t i : turn) given.push_back(epochs[i]);
        put_in_order(given);
        ids.clear();
        for (const Epoch& e : given) ids.push_back(e.event.data[0]);
        REQUIRE(ids == std::vector<std::uint8_t>{3, 6, 1, 5, 2, 4});
        ++rounds;
    } while (std::next_permutation(turn.begin(), turn.end()));
    CHECK(rounds == 720);
}

TEST_CASE("every order of arrival gives the same epochs") {
    Club club(41);
    const CircleState before = club.story.state();
    const EventId removed = club.story.say(club.ben, kind::remove, CircleStory::remove(club.cal), club.all);
    club.story.say(club.ben, kind::rotate_key, club.story.rotation(club.story.state()), {removed});
    club.story.say(club.ada, kind::rotate_key, club.story.rotation(before), club.all);
    const CircleState state = club.story.state();
    std::vector<ControlEvent> events = club.story.events;
    std::sort(events.begin(), events.end(), [](const auto& x, const auto& y) { return x.id < y.id; });
    do {
        REQUIRE(fold_control(club.story.circle, events) == state);
    } while (
        std::next_permutation(events.begin(), events.end(), [](const auto& x, const auto& y) { return x.id < y.id; }));
    CHECK(state.epochs.size() == 2);
}

TEST_CASE("a key is old after ninety days, if two devices share it") {
    Club club(42);
    const WallTime since = start_of(today);
    CHECK_FALSE(rotation_due(club.story.state(), since, start_of(today + 89)));
    CHECK(rotation_due(club.story.state(), since, start_of(today + 90)));
    CircleStory desk(43);
    const Person ada = desk.person("Ada");
    desk.found(ada, CircleKind::desk, MemberRole::newcomer);
    CHECK_FALSE(rotation_due(desk.state(), since, start_of(today + 900)));
}

TEST_CASE("officers rotate in a club, the newcomer and guardians on a path, the owner on a desk") {
    Club club(44);
    CHECK(may_rotate(club.story.state(), club.ben.id()).has_value());
    CHECK_FALSE(may_rotate(club.story.state(), club.cal.id()).has_value());
    Path path(45);
    for (const Person* who : {&path.kay, &path.gus}) CHECK(may_rotate(path.story.state(), who->id()).has_value());
    for (const Person* who : {&path.sue, &path.max}) CHECK_FALSE(may_rotate(path.story.state(), who->id()).has_value());
}

TEST_CASE("a minor's mentor reads with two adults and a consent in force, and not a day longer") {
    Path path(50);
    CHECK_FALSE(path.reads(path.max));  // nobody consented
    path.consent(today + 30);
    CHECK(path.reads(path.max, today + 30));
    CHECK_FALSE(path.reads(path.max, today + 31));
    for (const Person* who : {&path.kay, &path.gus, &path.sue}) CHECK(path.reads(*who, today + 31));
}

TEST_CASE("a consent that was taken back is none, and the mentor is left out of the next key") {
    Path path(51);
    path.consent(today + 30);
    path.consent(today + 30, true);
    CHECK_FALSE(path.reads(path.max));
    CHECK(readers_on(path.story.state(), today) == Readers::household);
    CHECK(rotation_due(path.story.state(), today));
    const EventId rotated =
        path.story.say(path.gus, kind::rotate_key, path.story.rotation(path.story.state(), Readers::household));
    REQUIRE(path.story.has_effect(rotated));
    CHECK_FALSE(path.story.state().epochs.front().readers.contains(path.max.id()));
    CHECK_FALSE(rotation_due(path.story.state(), today));
}

TEST_CASE("a consent that ended by one device's calendar is not opened again by another's, only by a guardian's word") {
    Path path(58);
    path.consent(today + 30);
    path.story.say(path.gus, kind::rotate_key, path.story.rotation(path.story.state(), Readers::household));
    CHECK_FALSE(rotation_due(path.story.state(), today));
    CHECK_FALSE(rotation_due(path.story.state(), today + 31));
    CHECK_FALSE(path.reads(path.max));
    path.consent(today + 30);
    CHECK(rotation_due(path.story.state(), today));
    CHECK(readers_on(path.story.state(), today) == Readers::everyone);
}

TEST_CASE("what was closed while an adult was missing opens again with the next adult") {
    Path path(59);
    path.consent(today + 30);
    path.story.say(path.kay, kind::remove, CircleStory::remove(path.max));
    path.story.say(path.sue, kind::leave, CircleStory::leave());
    path.story.say(path.gus, kind::rotate_key, path.story.rotation(path.story.state(), Readers::household));
    const Person sam = path.story.person("Sam");
    path.story.say(path.kay, kind::admit, CircleStory::admit(sam, MemberRole::second_adult));
    CHECK(readers_on(path.story.state(), today) == Readers::everyone);
}

TEST_CASE("a key that was made for the household stays with it until one for everybody follows") {
    Path path(52);
    path.story.say(path.gus, kind::rotate_key, path.story.rotation(path.story.state(), Readers::household));
    const KeyId household = path.story.state().epochs.front().key;
    path.consent(today + 30);
    CHECK_FALSE(may_read(path.story.state(), path.max.device_id(), household, today));
    CHECK(rotation_due(path.story.state(), today));  // a key for everybody
    path.story.say(path.gus, kind::rotate_key, path.story.rotation(path.story.state()));
    CHECK(may_read(path.story.state(), path.max.device_id(), path.story.state().epochs.front().key, today));
    CHECK(may_read(path.story.state(), path.max.device_id(), household, today));
}

TEST_CASE("a minor's mentor does not read once the guardian or the second adult is gone") {
    for (const bool guardian_goes : {true, false}) {
        Path path(53);
        path.consent(today + 30);
        path.story.say(guardian_goes ? path.gus : path.sue, kind::leave, CircleStory::leave());
        CHECK_FALSE(path.reads(path.max));
        CHECK(path.reads(path.kay));
    }
}

TEST_CASE("of two words about consent side by side, taking back goes before giving, the nearer day before the later") {
    Path path(54);
    const auto known = path.story.state().heads;
    const Person gil = path.story.person("Gil");
    path.story.say(path.gus, kind::admit, CircleStory::admit(gil, MemberRole::guardian));
    const auto both = path.story.state().heads;
    path.story.say(path.gus, kind::consent, CircleStory::consent(today, today + 90), both);
    path.story.say(gil, kind::consent, CircleStory::consent(today, today + 10), both);
    CHECK_FALSE(path.reads(path.max, today + 11));
    CHECK(path.reads(path.max, today + 10));
    const Person gia = path.story.person("Gia");
    path.story.say(path.gus, kind::consent, CircleStory::consent(today, today, true), both);
    CHECK_FALSE(path.reads(path.max));
}

TEST_CASE("only a guardian consents, only on a minor's path, and an end before its beginning is nonsense") {
    Path path(55);
    for (const Person* who : {&path.kay, &path.sue, &path.max}) {
        CHECK_FALSE(path.story.has_effect(path.story.say(*who, kind::consent, CircleStory::consent(today, today + 1))));
    }
    CHECK_FALSE(
        path.story.has_effect(path.story.say(path.gus, kind::consent, CircleStory::consent(today, today + -1))));
}

TEST_CASE("a paper box stands for its member, the latest one") {
    Club club(56);
    const DhPublic one = club.story.random.draw<DhPublic>();
    const DhPublic two = club.story.random.draw<DhPublic>();
    club.story.say(club.cal, kind::paper_box, codec::encode(PaperBoxBody{one}));
    club.story.say(club.cal, kind::paper_box, codec::encode(PaperBoxBody{two}));
    CHECK(club.story.state().paper_boxes == std::map<MemberId, DhPublic>{{club.cal.id(), two}});
}

TEST_CASE("a link opens under the newer key in its own circle alone, and holds the key that it names") {
    test::SeededRandom random(57);
    const auto circle = random.draw<CircleId>();
    const AeadKey older = AeadKey::random(random);
    const AeadKey newer = AeadKey::random(random);
    const KeyLink link = seal_link(circle, newer, older);
    CHECK(link.sealed.size() == 48);
    const auto opened = open_link(circle, newer, link);
    REQUIRE(opened.has_value());
    CHECK(equal_secret(opened.value().view(), older.view()));
    CHECK_FALSE(open_link(random.draw<CircleId>(), newer, link).has_value());
    CHECK_FALSE(open_link(circle, older, link).has_value());
    KeyLink other = link;
    other.key = random.draw<KeyId>();
    CHECK_FALSE(open_link(circle, newer, other).has_value());
}

TEST_CASE("a well-sealed link that holds another key than it names gives none") {
    test::SeededRandom random(61);
    const auto circle = random.draw<CircleId>();
    const AeadKey newer = AeadKey::random(random);
    const AeadKey slipped_in = AeadKey::random(random);
    const auto named = random.draw<KeyId>();
    const auto nonce = hash_as<XNonce>("ladderline key link 1", {id_of_key(newer).view(), named.view()});
    CHECK_FALSE(open_link(circle, newer, {named, xseal(newer, nonce, circle.view(), slipped_in.view())}).has_value());
    const KeyId honest = id_of_key(slipped_in);
    const auto fits = hash_as<XNonce>("ladderline key link 1", {id_of_key(newer).view(), honest.view()});
    CHECK(open_link(circle, newer, {honest, xseal(newer, fits, circle.view(), slipped_in.view())}).has_value());
}
