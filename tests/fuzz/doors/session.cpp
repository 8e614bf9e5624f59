// A whole sync session fed by a peer who says anything. Input: one byte that picks the side and what the two hold, then
// messages as pieces; an empty piece is news that a person here wrote. Whatever came, the session goes on or ends with
// one sentence, and an honest session afterwards brings both to the same root.

#include "tests/fuzz/engine/sync_messages.hpp"
#include "tests/fuzz/engine/talk.hpp"
#include "tests/support/protocol/log_writer.hpp"

namespace ladderline::fuzz {
namespace {

using namespace protocol;
using Side = Session::Side;
using test::LogWriter;
using test::MemoryLog;

// What the two hold.
enum class Story : std::uint8_t { a_few_logs, many_logs, since_last_time, a_fork };
constexpr std::size_t stories = 4;

void give(MemoryLog& to, const LogWriter& log, std::size_t first, std::size_t count) {
    ENSURE(to.append_run(log.circle(), log.run(first, count)).has_value());
}
void give(MemoryLog& to, const LogWriter& log) {
    give(to, log, 0, log.events().size());
}

struct World {
    explicit World(Story story) {
        mine.instance.data[0] = 1;
        theirs.instance.data[0] = 2;
        if (story == Story::many_logs) {
            for (int i = 0; i < 70; ++i) give(i % 7 == 0 ? mine : theirs, written(1 + i % 3));
        } else {
            hold_a_few();
        }
        if (story == Story::since_last_time) {
            sync();
            hold_a_few();
        }
        if (story == Story::a_fork) fork();
    }
    LogWriter written(int events) {
        LogWriter out(circle, device, random);
        for (int i = 0; i < events; ++i) out.write_note(key, "you are five and nine");
        return out;
    }
    void hold_a_few() {
        const LogWriter longer_here = written(5);
        give(mine, longer_here);
        give(theirs, longer_here, 0, 2);
        const LogWriter longer_there = written(6);
        give(mine, longer_there, 0, 3);
        give(theirs, longer_there);
        give(mine, written(2));
        give(theirs, written(2));
        const LogWriter common = written(3);
        give(mine, common);
        give(theirs, common);
    }
    void fork() {
        LogWriter one = written(3);
        LogWriter other = one;
        one.write_note(key, "on this machine");
        other.write_note(key, "on its copy");
        give(mine, one);
        give(theirs, other);
    }
    void sync();

    test::SeededRandom random{41};
    CircleId circle = random.draw<CircleId>();
    AeadKey key = AeadKey::random(random);
    Bytes binding = Bytes(32, 7);
    SignKeys device = make_sign_keys(random);
    LogWriter news = written(8);
    MemoryLog mine;
    MemoryLog theirs;
};

Session begun(MemoryLog& log, Side side, const World& world) {
    Session out(log, side, {world.circle}, world.binding, as_bytes("the other"));
    ENSURE(out.begin().has_value());
    return out;
}

void World::sync() {
    Session a = begun(mine, Side::caller, *this);
    Session b = begun(theirs, Side::called, *this);
    talk(a, b);
    demand(a.in_step() && b.in_step(), "two honest sessions agree");
}

const World& world_of(std::size_t story) {
    static const std::array<World, stories> worlds{World(Story::a_few_logs), World(Story::many_logs),
                                                   World(Story::since_last_time), World(Story::a_fork)};
    return worlds[story % stories];
}

// False if the session ended.
bool take(Session& session, const World& world, MemoryLog& mine, std::size_t& written, const Bytes& message) {
    Result<void> taken = ok();
    if (!message.empty()) {
        taken = session.on_message(message);
    } else if (written < world.news.events().size()) {
        give(mine, world.news, written++, 1);
        taken = session.on_local_news(world.circle);
    }
    if (!taken) demand_sentence(taken.error().sentence());
    all_said(session);
    demand(session.in_flight() <= 2 * limits::flight_bytes_max, "no more is under way than may be");
    return taken.has_value();
}

void demand_agreement(const World& world, MemoryLog& mine) {
    MemoryLog theirs = world.theirs;
    Session a = begun(mine, Side::caller, world);
    Session b = begun(theirs, Side::called, world);
    talk(a, b);
    const Root root = root_of(world.circle, mine.heads(world.circle).value());
    demand(root == root_of(world.circle, theirs.heads(world.circle).value()), "an honest session brings one root");
    demand(a.in_step() && b.in_step(), "and both say so");
}

void knock(ByteView input) {
    if (input.empty()) return;
    const World& world = world_of(input[0] / 2);
    MemoryLog mine = world.mine;
    std::size_t written = 0;
    Session session = begun(mine, input[0] % 2 == 0 ? Side::caller : Side::called, world);
    all_said(session);
    for (const Bytes& message : cut_pieces(input.subspan(1))) {
        if (!take(session, world, mine, written, message)) break;
    }
    demand_agreement(world, mine);
}

// What an honest peer says to this side, with news at the end.
Bytes recorded(std::uint8_t which) {
    const World& world = world_of(which / 2);
    MemoryLog mine = world.mine;
    MemoryLog theirs = world.theirs;
    const bool calls = which % 2 == 0;
    Session self = begun(mine, calls ? Side::caller : Side::called, world);
    Session peer = begun(theirs, calls ? Side::called : Side::caller, world);
    std::vector<Bytes> said = talk(self, peer);
    give(mine, world.news, 0, 1);
    ENSURE(self.on_local_news(world.circle).has_value());
    said.emplace_back();
    give(theirs, world.news, 0, 3);
    ENSURE(peer.on_local_news(world.circle).has_value());
    for (const Bytes& message : talk(self, peer)) said.push_back(message);
    peer.say_bye();
    for (const Bytes& message : all_said(peer)) said.push_back(message);
    Bytes out{which};
    const Bytes joined = join_pieces(said);
    out.insert(out.end(), joined.begin(), joined.end());
    return out;
}

}  // namespace

Door door() {
    Door out;
    out.knock = knock;
    for (std::uint8_t i = 0; i < 2 * stories; ++i) {
        out.seeds.push_back({"story_" + std::to_string(i / 2) + (i % 2 == 0 ? "_caller" : "_called"), recorded(i)});
    }
    out.reshape = [](ByteView input, test::SeededRandom& random) {
        if (input.empty()) return Bytes{};
        Bytes changed{input[0]};
        const Bytes rest = reshape_pieces(input.subspan(1), random, tweaked_message);
        changed.insert(changed.end(), rest.begin(), rest.end());
        return changed;
    };
    out.bounds.memory_bytes = 16 * 1024 * 1024;
    out.bounds.work = 128 * 1024 * 1024;
    out.runs = 400;
    return out;
}

}  // namespace ladderline::fuzz
