#pragma once
// Control events that one officer writes in order to be a burden, by kind of act; and a club's own years, for
// comparison.

#include <deque>
#include <functional>

#include "tests/support/protocol/circle_story.hpp"

namespace ladderline::test {

// A club whose founder writes, and one more officer who knows of nothing.
struct FloodedClub {
    FloodedClub() : story(7), liar(story.person("Liar")), other(story.person("Other")) {
        last = story.found(liar, protocol::CircleKind::club, protocol::MemberRole::officer);
        say(CircleStory::admit(other, protocol::MemberRole::officer), protocol::kind::admit);
    }

    protocol::EventId say(const Bytes& payload, std::uint16_t number) {
        return last = story.say(liar, number, payload, {last});
    }
    // Side by side with everything but the admission, in a log of its own.
    protocol::EventId say_aside(const Bytes& payload, std::uint16_t number, const Person* by = nullptr) {
        const protocol::EventId id = story.say(by == nullptr ? liar : *by, number, payload, {begin});
        protocol::ControlEvent& e = story.events.back();
        e.log = story.random.draw<protocol::LogId>();
        e.seq = 0;
        return id;
    }
    std::vector<protocol::Cut> some_cuts(std::size_t count) {
        std::vector<protocol::Cut> cuts;
        for (std::size_t i = 0; i < count; ++i) cuts.push_back({story.random.draw<protocol::LogId>(), i, {}});
        return cuts;
    }

    // Somebody not met yet. Made once for all clubs: keys cost more than what is done with them.
    const Person& puppet() {
        static SeededRandom random(8);
        static std::deque<Person> made;
        if (puppets_ == made.size()) made.push_back(make_person("Puppet", random));
        return made[puppets_++];
    }

    CircleStory story;
    Person liar;
    Person other;
    protocol::EventId last;
    protocol::EventId begin;

private:
    std::size_t puppets_ = 0;
};

struct ControlFlood {
    const char* name;
    std::function<void(FloodedClub&, std::size_t)> write;
};

inline std::vector<ControlFlood> floods_of_roles() {
    using namespace protocol;
    return {
        {"own role again",
         [](FloodedClub& c, std::size_t n) {
             for (std::size_t i = 0; i < n; ++i) {
                 c.say(CircleStory::set_role(c.liar, MemberRole::officer, static_cast<std::uint8_t>(i % 3)),
                       kind::set_role);
             }
         }},
        {"another's role again",
         [](FloodedClub& c, std::size_t n) {
             for (std::size_t i = 0; i < n; ++i) {
                 c.say(CircleStory::set_role(c.other, i % 2 == 0 ? MemberRole::mentor : MemberRole::officer),
                       kind::set_role);
             }
         }},
        {"role, side by side",
         [](FloodedClub& c, std::size_t n) {
             c.begin = c.last;
             for (std::size_t i = 0; i < n; ++i) {
                 c.say_aside(CircleStory::set_role(c.other, MemberRole::mentor), kind::set_role);
             }
         }},
    };
}

inline std::vector<ControlFlood> floods_of_people() {
    using namespace protocol;
    return {
        {"one leaves, side by side",
         [](FloodedClub& c, std::size_t n) {
             c.begin = c.last;
             for (std::size_t i = 0; i < n; ++i) c.say_aside(CircleStory::leave(), kind::leave, &c.other);
         }},
        {"new people",
         [](FloodedClub& c, std::size_t n) {
             for (std::size_t i = 0; i < n; ++i) {
                 c.say(CircleStory::admit(c.puppet(), MemberRole::newcomer), kind::admit);
             }
         }},
        {"new people, removed",
         [](FloodedClub& c, std::size_t n) {
             for (std::size_t i = 0; i < n / 2; ++i) {
                 const Person& puppet = c.puppet();
                 c.say(CircleStory::admit(puppet, MemberRole::newcomer), kind::admit);
                 c.say(CircleStory::remove(puppet), kind::remove);
             }
         }},
        {"one in and out",
         [](FloodedClub& c, std::size_t n) {
             const Person& puppet = c.puppet();
             for (std::size_t i = 0; i < n / 2; ++i) {
                 c.say(CircleStory::admit(puppet, MemberRole::newcomer), kind::admit);
                 c.say(CircleStory::remove(puppet), kind::remove);
             }
         }},
        {"one in and out, officer",
         [](FloodedClub& c, std::size_t n) {
             for (std::size_t i = 0; i < n / 2; ++i) {
                 c.say(CircleStory::remove(c.other), kind::remove);
                 c.say(CircleStory::admit(c.other, MemberRole::officer), kind::admit);
             }
         }},
        {"everybody back",
         [](FloodedClub& c, std::size_t n) {
             for (std::size_t i = 0; i < n / 3; ++i) {
                 const Person& puppet = c.puppet();
                 c.say(CircleStory::admit(puppet, MemberRole::newcomer), kind::admit);
                 c.say(CircleStory::remove(puppet), kind::remove);
                 c.say(CircleStory::admit(puppet, MemberRole::newcomer), kind::admit);
             }
         }},
        {"ten branches",
         [](FloodedClub& c, std::size_t n) {
             struct Branch {
                 LogId log;
                 EventId last;
             };
             std::vector<Branch> branches;
             for (int i = 0; i < 10; ++i) branches.push_back({c.story.random.draw<LogId>(), c.last});
             for (std::size_t i = 0; i < n; ++i) {
                 Branch& branch = branches[i % branches.size()];
                 const Bytes admit = CircleStory::admit(c.puppet(), MemberRole::newcomer);
                 branch.last = c.story.say(c.liar, kind::admit, admit, {branch.last});
                 c.story.events.back().log = branch.log;
                 c.story.events.back().seq = i / branches.size();
             }
         }},
    };
}

inline std::vector<ControlFlood> floods_of_removals() {
    using namespace protocol;
    return {
        {"removed side by side",
         [](FloodedClub& c, std::size_t n) {
             c.begin = c.last;
             for (std::size_t i = 0; i < n; ++i) c.say_aside(CircleStory::remove(c.other), kind::remove);
         }},
        {"back side by side",
         [](FloodedClub& c, std::size_t n) {
             c.begin = c.say(CircleStory::remove(c.other), kind::remove);
             for (std::size_t i = 0; i < n; ++i) {
                 c.say_aside(CircleStory::admit(c.other, MemberRole::mentor), kind::admit);
             }
         }},
        {"two against one another",
         [](FloodedClub& c, std::size_t n) {
             c.begin = c.last;
             for (std::size_t i = 0; i < n / 2; ++i) {
                 c.say_aside(CircleStory::remove(c.other), kind::remove);
                 c.say_aside(CircleStory::remove(c.liar), kind::remove, &c.other);
             }
         }},
        {"acts of one removed often",
         [](FloodedClub& c, std::size_t n) {
             c.begin = c.last;
             for (std::size_t i = 0; i < n / 2; ++i) {
                 c.say_aside(CircleStory::set_role(c.liar, MemberRole::officer), kind::set_role, &c.other);
                 c.say_aside(CircleStory::remove(c.other), kind::remove);
             }
         }},
        {"one after another",
         [](FloodedClub& c, std::size_t n) {
             const Person* last = &c.puppet();
             c.say(CircleStory::admit(*last, MemberRole::officer), kind::admit);
             for (std::size_t i = 0; i < n / 2; ++i) {
                 const Person& next = c.puppet();
                 c.begin = c.say(CircleStory::admit(next, MemberRole::officer), kind::admit);
                 c.say_aside(CircleStory::remove(next), kind::remove, last);
                 last = &next;
             }
         }},
    };
}

inline std::vector<ControlFlood> floods_of_devices() {
    using namespace protocol;
    return {
        {"new devices, lost",
         [](FloodedClub& c, std::size_t n) {
             for (std::size_t i = 0; i < n / 2; ++i) {
                 const Person device = test::second_device(c.liar, c.story.random);
                 c.say(CircleStory::certify(device), kind::certify);
                 c.say(CircleStory::revoke(device), kind::revoke);
             }
         }},
        {"lost, side by side",
         [](FloodedClub& c, std::size_t n) {
             const Person device = test::second_device(c.liar, c.story.random);
             c.begin = c.say(CircleStory::certify(device), kind::certify);
             for (std::size_t i = 0; i < n; ++i) c.say_aside(CircleStory::revoke(device), kind::revoke);
         }},
        {"cut extended",
         [](FloodedClub& c, std::size_t n) {
             c.say(CircleStory::remove(c.other), kind::remove);
             for (std::size_t i = 0; i < n; ++i) c.say(CircleStory::extend(c.other, c.some_cuts(10)), kind::extend_cut);
         }},
        {"cuts of many lost devices extended",
         [](FloodedClub& c, std::size_t n) {
             for (std::size_t i = 0; i < n / 4; ++i) {
                 const Person device = test::second_device(c.liar, c.story.random);
                 c.say(CircleStory::certify(device), kind::certify);
                 c.say(CircleStory::revoke(device), kind::revoke);
             }
             for (std::size_t i = 0; i < n / 2; ++i) {
                 c.say(CircleStory::extend(c.liar, c.some_cuts(10)), kind::extend_cut);
             }
         }},
        {"taken back",
         [](FloodedClub& c, std::size_t n) {
             for (std::size_t i = 0; i < n; ++i) {
                 c.say(codec::encode(TakeBackBody{c.some_cuts(10)}), kind::take_back);
             }
         }},
    };
}

inline std::vector<ControlFlood> floods_of_keys() {
    using namespace protocol;
    return {
        {"new keys",
         [](FloodedClub& c, std::size_t n) {
             const CircleState state = c.story.state();
             for (std::size_t i = 0; i < n; ++i) c.say(c.story.rotation(state), kind::rotate_key);
         }},
        {"new keys, side by side",
         [](FloodedClub& c, std::size_t n) {
             const CircleState state = c.story.state();
             c.begin = c.last;
             for (std::size_t i = 0; i < n; ++i) c.say_aside(c.story.rotation(state), kind::rotate_key);
         }},
        {"consents, which a club has none of",
         [](FloodedClub& c, std::size_t n) {
             for (std::size_t i = 0; i < n; ++i) c.say(CircleStory::consent(Day{1}, Day{2}), kind::consent);
         }},
        {"a club's years",  // nobody's burden: people come, half of them go, and every going changes the key
         [](FloodedClub& c, std::size_t n) {
             CircleState state = c.story.state();
             for (std::size_t i = 0; i + 4 < n; i += 4) {
                 const Person& stays = c.puppet();
                 const Person& goes = c.puppet();
                 c.say(CircleStory::admit(stays, MemberRole::newcomer), kind::admit);
                 c.say(CircleStory::admit(goes, MemberRole::newcomer), kind::admit);
                 c.say(CircleStory::remove(goes), kind::remove);
                 state.members[stays.id()];
                 c.say(c.story.rotation(state), kind::rotate_key);
             }
         }},
    };
}

inline const std::vector<ControlFlood>& control_floods() {
    static const std::vector<ControlFlood> all = [] {
        std::vector<ControlFlood> out;
        for (const auto& some :
             {floods_of_roles(), floods_of_people(), floods_of_removals(), floods_of_devices(), floods_of_keys()}) {
            out.insert(out.end(), some.begin(), some.end());
        }
        return out;
    }();
    return all;
}

}  // namespace ladderline::test
