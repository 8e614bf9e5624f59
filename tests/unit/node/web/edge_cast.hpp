#pragma once
// Members whose own programs say whatever decodes.

#include "node/commands/study.hpp"
#include "tests/support/node/practice_pool.hpp"
#include "tests/support/protocol/edge_words.hpp"
#include "tests/unit/node/web/pages_cast.hpp"

namespace ladderline::test {

inline Subjects subjects_of(Cast& cast) {
    Subjects out;
    out.members = {cast.newcomer.id(), cast.mentor.id(), cast.officer.id()};
    must(cast.newcomer.db().query("SELECT id FROM event", [&](const store::sqlite::Row& row) {
        out.events.push_back(row.fixed<protocol::EventId>(0));
    }));
    out.words = {"01.17", "01.18",  "07.02", "09", "146.520", "14.070", "FM",  "2m",        "20m",          "KD0XBB",
                 "FN20",  "FN31pr", "E",     "T",  "2",       "T1A01",  "599", "2022-2026", "Europe/Berlin"};
    return out;
}

// Says one word of every kind in every circle that is held here, at a time that its clock is set to.
inline void say_everything(MemberNode& member, SeededRandom& random, const Subjects& subjects) {
    const WallTime now = member.context.now();
    for (const protocol::CircleId& circle : member.keys()) {
        for (const EdgeWord& word : edge_words(random, subjects)) {
            const std::int64_t ago = static_cast<std::int64_t>(random.next() % 400) * 86'400'000;
            must(member.log().append({circle, word.kind, word.payload}, WallTime{now.ms - ago}));
        }
    }
}

// Three rounds of it by everybody, each told to everybody.
inline void let_everybody_say(Cast& cast, std::uint64_t seed) {
    SeededRandom random(seed);
    must(node::import_pool(cast.newcomer.context, element_2_pool()));
    for (int round = 0; round < 3; ++round) {
        const Subjects subjects = subjects_of(cast);
        for (MemberNode* member : {&cast.newcomer, &cast.mentor, &cast.officer}) {
            say_everything(*member, random, subjects);
        }
        cast.everybody_syncs();
    }
}

}  // namespace ladderline::test
