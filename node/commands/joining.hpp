#pragma once
// Joining and greeting inside a running node, as a page works with them. Nothing here waits: a deed begins something,
// and whoever looks again sees how far it has come.

#include "node/commands/circles.hpp"

namespace ladderline::node {

// What the other side is told of whoever joins. not_found: the store has no owner yet.
struct Joiner {
    std::string name;
    bool is_minor = false;
};
Result<Joiner> joiner(Context& context);

// The own side of a join, by a code or by voice; one at a time.
struct JoinLook {
    enum class Step : std::uint8_t {
        none,
        calling,    // the other node is called
        comparing,  // by voice: `letters` are known, and this side's word is awaited
        answered,   // by voice: this side said "the same", and the other side's word is awaited
        joined,     // `circle` and `host` are known
        failed,     // `sentence` says why; nothing was joined
    };
    Step step = Step::none;
    std::string address;   // host:port that is or was called
    std::string letters;   // six, A to Z
    std::string sentence;  // after `failed`
    protocol::CircleId circle;
    protocol::MemberId host;  // who let them in

    bool is_under_way() const { return step == Step::calling || step == Step::comparing || step == Step::answered; }
};

// The door for one stranger with whom check words are compared.
struct GreetLook {
    enum class Stage : std::uint8_t {
        closed,
        waiting,
        comparing,  // `letters` has the four that the stranger must read first
        answered,   // `letters` has all six, to be read to them
        joined,     // `outcome` is their name
        refused,    // `outcome` says why they were kept out
        locked,     // too many failures
        over,       // nobody came in time
    };
    Stage stage = Stage::closed;
    std::string letters;
    std::string outcome;
    std::string warning;       // about comparisons that failed; empty without any
    std::int64_t left_ms = 0;  // until it shuts by itself
    std::string address;       // what the stranger types, host:port

    bool is_open() const { return stage == Stage::waiting || stage == Stage::comparing || stage == Stage::answered; }
};

// What the running node does for pages.
class Arrivals {
public:
    virtual ~Arrivals() = default;

    virtual JoinLook join_look() = 0;
    // busy: a join is under way. bad_input: an address that is none.
    virtual Result<void> join_by_code(const InviteCode& code, bool under_18) = 0;
    virtual Result<void> join_by_voice(const std::string& address, bool under_18) = 0;
    // The person's word on the six letters. not_found: none are shown.
    virtual Result<void> say(bool same) = 0;
    // Forgets what came of the last join.
    virtual void forget() = 0;

    virtual GreetLook greet_look() = 0;
    // The same refusals as an invite; busy: it is open.
    virtual Result<void> open_greeting(const InviteRequest& request) = 0;
    // The last two letters heard, A to Z. refused: they differ, which counts. not_found: there is nothing to compare.
    virtual Result<void> hear(const std::string& last_two) = 0;
    virtual Result<void> differ() = 0;
    virtual void shut_greeting() = 0;
};

// The live topic that says that something above has changed.
inline constexpr std::string_view arrivals_topic = "arrivals";

}  // namespace ladderline::node
