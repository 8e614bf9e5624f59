// The memory and the time that the worst legal frames of a peer take of a node with a big circle: each kind said until
// the node ends the session or says nothing new any more, in a process of its own.
//   bench_worst_bench [MEMBERS [EVENTS [FOLDER]]]     1,000, 100,000, and a new temporary folder, unless given
// The size that the goal is for: 5000 1000000. A folder that is given is kept, and its store is used again; it may be
// that of bench_review_bench.
// Prints a table and never fails on it.

#include <sys/wait.h>
#include <unistd.h>

#include <cstdio>
#include <cstdlib>
#include <functional>

#include "protocol/crypto/hash.hpp"
#include "protocol/event/event.hpp"
#include "tests/bench/cpu_time.hpp"
#include "tests/bench/own_memory.hpp"
#include "tests/bench/sync/peer.hpp"
#include "tests/support/protocol/seeded_random.hpp"
#include "tests/support/scratch.hpp"

using namespace ladderline;
using namespace ladderline::bench;
using namespace ladderline::protocol;

namespace {

constexpr double allowed_mib = 64;
constexpr std::size_t rounds_max = 5000;
constexpr std::size_t message_room = 1000 * 1000;  // of limits::message_bytes_max

// A member of the circle, who knows what a peer knows and says what the limits allow.
class Liar {
public:
    Liar(Node& node, const World& world)
        : circle_(world.circle()),
          binding_(random_.draw<Root>()),
          tree_key_(hash_as<TreeKey>("ladderline tree key 1", {binding_.view(), circle_.view()})),
          tree_(tree_key_, must(node.log().heads(circle_))),
          session_(node.log(), Session::Side::called, {circle_}, binding_.view()) {
        must(session_.begin());
        hear();
        say(AnswerMessage{{}, 0, {HelloAnswer::tree}});
    }

    // False once the session is over.
    bool say(const SyncMessage& message) {
        const Bytes bytes = encode_message(message);
        if (bytes.size() > limits::message_bytes_max) throw std::runtime_error("a message of the bench is too long");
        said_ += 1;
        said_bytes_ += bytes.size();
        if (const auto taken = session_.on_message(bytes); !taken) {
            end_ = taken.error().sentence();
            return false;
        }
        return true;
    }
    // Takes everything that the node says.
    void hear() {
        while (session_.next_output()) {
        }
    }
    const HeadTree& tree() const { return tree_; }
    test::SeededRandom& random() { return random_; }
    std::uint64_t said() const { return said_; }
    std::uint64_t said_bytes() const { return said_bytes_; }
    const std::string& end() const { return end_; }

private:
    test::SeededRandom random_{11};
    CircleId circle_;
    Root binding_;
    TreeKey tree_key_;
    HeadTree tree_;
    Session session_;
    std::uint64_t said_ = 0;
    std::uint64_t said_bytes_ = 0;
    std::string end_;
};

TreeNode made_up_node(Liar& liar, NodePath path) {
    TreeNode out;
    out.path = path;
    for (NodeDigest& digest : out.digests) digest = liar.random().draw<NodeDigest>();
    return out;
}

LogPlace made_up_place(Liar& liar) {
    return {liar.random().draw<LogTag>(), limits::seq_max, std::nullopt, liar.random().draw<HeadTag>()};
}

// Every digest is another, down to the logs; there as many logs as one message may name that nobody has.
void tell_of_made_up_logs(Liar& liar, bool hears) {
    for (std::size_t round = 0; round < rounds_max; ++round) {
        TreeMessage second{0, {}};
        TreeMessage third{0, {}};
        for (std::size_t i = 0; i < HeadTree::fanout; ++i) {
            const NodePath child = HeadTree::child(HeadTree::root, i);
            second.nodes.push_back(made_up_node(liar, child));
            for (std::size_t k = 0; k < HeadTree::fanout; ++k) {
                TreeNode node;
                node.path = HeadTree::child(child, k);
                node.by_log = true;
                for (std::size_t n = 0; n < 19; ++n) node.logs.push_back(made_up_place(liar));
                third.nodes.push_back(std::move(node));
            }
        }
        for (const TreeMessage& message : {TreeMessage{0, {made_up_node(liar, HeadTree::root)}}, second, third}) {
            if (!liar.say(message)) return;
            if (hears) liar.hear();
        }
    }
}

void begin(Liar& liar) {
    liar.say(TreeMessage{0, {TreeNode{}}});  // nothing is here
    liar.say(NeedMessage{0, {}, {}, false});
}

// Everything is wanted again and again, and nothing acknowledged.
void ask_for_all(Liar& liar) {
    begin(liar);
    NeedMessage need{0, {}, {}, true};
    for (const HeadTree::Leaf& leaf : liar.tree().leaves()) need.logs.push_back({{leaf.tag, 0, std::nullopt, {}}});
    for (std::size_t round = 0; round < rounds_max / 10; ++round) {
        if (!liar.say(need)) return;
        liar.hear();
    }
}

// The dearest question, without taking an answer.
void ask_for_places(Liar& liar) {
    begin(liar);
    for (std::size_t round = 0; round < rounds_max; ++round) {
        const HeadTree::Leaf& leaf = liar.tree().leaves()[round % liar.tree().leaves().size()];
        ProbeMessage probe{0, leaf.tag, {}};
        for (std::size_t i = 0; i < limits::probe_places_max; ++i) {
            probe.places.push_back({i + 1, liar.random().draw<HeadTag>()});
        }
        if (!liar.say(probe)) return;
    }
}

// Runs of logs that nobody named, each the shortest there is.
void continue_made_up_logs(Liar& liar) {
    begin(liar);
    Run run{{}, std::nullopt, 5, {}};
    run.events.emplace_back();
    const Bytes body = encode_run_body(run);
    for (std::size_t round = 0; round < rounds_max; ++round) {
        RunMessage message{0, {}};
        for (std::size_t bytes = 0; bytes < message_room && message.runs.size() < limits::heads_max;) {
            message.runs.push_back({liar.random().draw<LogTag>(), body});
            bytes += body.size() + LogTag::size + 4;
        }
        if (!liar.say(message)) return;
        liar.hear();
    }
}

// Few bytes that are dear to answer.
void say_done(Liar& liar) {
    begin(liar);
    for (std::size_t round = 0; round < rounds_max / 10; ++round) {
        if (!liar.say(DoneMessage{0, liar.random().draw<Root>(), 0, 0})) return;
        liar.hear();
    }
}

void want_nothing(Liar& liar) {
    begin(liar);
    for (std::size_t round = 0; round < rounds_max / 10; ++round) {
        if (!liar.say(NeedMessage{0, {}, {}, false})) return;
        liar.hear();
    }
}

// New logs of one device, each with one event of an unknown kind, rightly signed and sealed.
void open_logs(Liar& liar, const World& world) {
    begin(liar);
    const test::Person person = test::make_person("Liar", liar.random());
    for (std::size_t round = 0; round < 20; ++round) {
        RunMessage message{0, {}};
        for (std::size_t bytes = 0; bytes < message_room;) {
            const LogOpening opening{person.device_id(), liar.random().draw<LogSalt>(), false};
            const LogId log = log_id_of(world.circle(), opening);
            const EventPlace place{header_circle(world.circle(), opening, 0), log, 0, {}, {}};
            const Body said{{world.end(), 0}, 60'000, {}, {}};
            const Event event = make_event(place, said, world.key(), person.device.secret, liar.random());
            const Run run{
                log, opening, 0, {{event.signature, event.header.salt, event.header.key, std::nullopt, event.sealed}}};
            message.runs.push_back({liar.tree().tag_of(log), encode_run_body(run)});
            bytes += message.runs.back().run.size() + LogTag::size + 4;
        }
        if (!liar.say(message)) return;
        liar.hear();
    }
}

using Lie = std::function<void(Liar&)>;

void report(const char* what, const std::filesystem::path& folder, const World& world, const Lie& lie) {
    std::fflush(nullptr);
    const pid_t child = fork();
    if (child == 0) {
        try {
            Node node(folder);
            must(node.log().add_key(world.circle(), world.key()));
            { Liar(node, world).hear(); }
            const std::uint64_t idle = status_kib("VmRSS:");
            std::ofstream("/proc/self/clear_refs") << "5";  // the peak begins anew
            Liar liar(node, world);
            const double begun_s = cpu_s();
            lie(liar);
            const double frame_ms =
                1000 * (cpu_s() - begun_s) / static_cast<double>(std::max<std::size_t>(liar.said(), 1));
            const double above = static_cast<double>(status_kib("VmHWM:") - idle) / 1024;
            std::printf("%-44s %8.1f %8.2f %8.2f %8llu %8.2f  %s\n", what, above, above / allowed_mib, frame_ms,
                        static_cast<unsigned long long>(liar.said()),
                        static_cast<double>(liar.said_bytes()) / (1024 * 1024),
                        liar.end().empty() ? "(goes on)" : liar.end().c_str());
            std::fflush(nullptr);
            _exit(0);
        } catch (const std::exception& fault) {
            std::fprintf(stderr, "worst_bench: %s: %s\n", what, fault.what());
            _exit(1);
        }
    }
    int status = 0;
    waitpid(child, &status, 0);
    if (status != 0) throw std::runtime_error("a process of the bench failed");
}

void build(const std::filesystem::path& folder, const World& world) {
    Node node(folder);
    must(node.log().add_key(world.circle(), world.key()));
    for (std::size_t i = 0; i < world.log_count(); ++i) {
        must(node.log().append_runs(world.circle(), world.write(i).runs));
    }
}

void run(const WorldSize& size, const std::filesystem::path& folder, const std::filesystem::path& copy) {
    const World world(size);
    if (!std::filesystem::exists(folder / "store.db")) build(folder, world);
    std::printf("%zu logs, %zu events; memory above idle, allowed %.0f MiB\n%-44s %8s %8s %8s %8s %8s\n", size.logs,
                size.events, allowed_mib, "", "MiB", "ratio", "ms each", "frames", "MiB said");
    report("logs that nobody has, all answers taken", folder, world, [](Liar& l) { tell_of_made_up_logs(l, true); });
    report("the same, no answer taken", folder, world, [](Liar& l) { tell_of_made_up_logs(l, false); });
    report("everything wanted again and again", folder, world, ask_for_all);
    report("places asked for, no answer taken", folder, world, ask_for_places);
    report("events of logs that nobody named", folder, world, continue_made_up_logs);
    report("a root that is another each time", folder, world, say_done);
    report("nothing wanted, again and again", folder, world, want_nothing);
    std::filesystem::create_directories(copy);
    std::filesystem::copy(folder, copy, std::filesystem::copy_options::recursive);  // this one is stored
    report("new logs, one after the other", copy, world, [&](Liar& l) { open_logs(l, world); });
}

}  // namespace

int main(int argc, char** argv) {
    WorldSize size{1000, 100'000, Sayings::club};
    if (argc > 1) size.logs = std::strtoull(argv[1], nullptr, 10);
    if (argc > 2) size.events = std::strtoull(argv[2], nullptr, 10);
    try {
        const test::ScratchFolder scratch("bench");
        run(size, argc > 3 ? std::filesystem::path(argv[3]) : scratch.path() / "club", scratch.path() / "copy");
    } catch (const std::exception& fault) {
        std::fprintf(stderr, "worst_bench: %s\n", fault.what());
        return 1;
    }
    return 0;
}
