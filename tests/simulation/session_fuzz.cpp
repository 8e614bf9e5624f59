#include "tests/simulation/session_fuzz.hpp"

#include <deque>
#include <memory>

#include "protocol/crypto/hash.hpp"
#include "protocol/sync/session.hpp"
#include "tests/simulation/changer.hpp"
#include "tests/support/protocol/log_writer.hpp"
#include "tests/support/protocol/memory_log.hpp"

namespace ladderline::simulation {

using namespace protocol;

namespace {

constexpr std::size_t moves_max = 3000;
// An honest side answers each message with a few; what it owes at any time is bounded.
constexpr std::size_t waiting_bytes_max = 6 * 1024 * 1024;

// Logs that devices wrote, made and checked once: keys and signatures cost more than sessions.
struct Library {
    Dice dice{77};
    CircleId circle = dice.draw<CircleId>();
    AeadKey key = AeadKey::random(dice);
    std::vector<std::unique_ptr<SignKeys>> devices;
    std::vector<test::LogWriter> logs;
    std::vector<test::LogWriter> branches;  // of the first logs, from their third event on
    test::MemoryLog checked;
    test::MemoryLog checked_branches;

    Library() {
        init_crypto();
        for (int i = 0; i < 48; ++i) {
            devices.push_back(std::make_unique<SignKeys>(make_sign_keys(dice)));
            test::LogWriter log(circle, *devices.back(), dice);
            for (std::size_t n = 4 + dice.below(8); n > 0; --n) {
                if (i < 4 && n == 2) branches.push_back(log);
                log.write_note(key, std::string(dice.below(200), 'x'));
            }
            logs.push_back(std::move(log));
        }
        for (test::LogWriter& branch : branches) branch.write_note(key, "another branch");
        for (const test::LogWriter& log : logs) ENSURE(checked.append_run(circle, log.run()).has_value());
        for (const test::LogWriter& log : branches) ENSURE(checked_branches.append_run(circle, log.run()).has_value());
    }
};

Library& library() {
    static Library made;
    return made;
}

void fill(test::MemoryLog& to, const Library& from, Dice& dice, const std::vector<std::size_t>& lengths) {
    for (std::size_t i = 0; i < lengths.size(); ++i) {
        const std::size_t count = dice.chance(70) ? lengths[i] : dice.below(lengths[i] + 1);
        const bool forked = i < from.branches.size() && dice.chance(10);
        const test::LogWriter& log = forked ? from.branches[i] : from.logs[i];
        const std::size_t held = std::min(count, log.events().size());
        const test::MemoryLog& checked = forked ? from.checked_branches : from.checked;
        if (held > 0) to.copy_events(checked, from.circle, log.log(), held);
    }
}

struct Side {
    Session session;
    std::deque<Bytes> sent;
    bool refused = false;
};

class Meeting {
public:
    Meeting(test::MemoryLog& a, test::MemoryLog& b, Dice& dice, bool changes) : dice_(dice), changes_(changes) {
        Bytes binding(32);
        dice.fill(binding);
        const CircleId circle = library().circle;
        sides_.push_back({Session(a, Session::Side::caller, {circle}, binding, as_bytes("b")), {}});
        sides_.push_back({Session(b, Session::Side::called, {circle}, binding, as_bytes("a")), {}});
        liar_ = dice.below(2);
        for (Side& side : sides_) ENSURE(side.session.begin().has_value());
    }

    // Empty, or what is wrong.
    std::string run() {
        std::size_t idle = 0;
        for (std::size_t move = 0; move < moves_max && idle < 24; ++move) {
            idle = step(move % 2, dice_.chance(50)) ? 0 : idle + 1;
            if (!wrong_.empty()) return wrong_;
            if (sides_[0].refused || sides_[1].refused) return {};
        }
        if (idle < 24 && !changes_) return "An honest session does not come to an end.";
        return {};
    }
    bool refused() const { return sides_[0].refused || sides_[1].refused; }
    bool equal() const { return sides_[0].session.in_step() && sides_[1].session.in_step(); }
    std::size_t changed() const { return changed_; }

private:
    bool step(std::size_t which, bool speaks) {
        Side& from = sides_[which];
        if (speaks) {
            auto message = from.sent.size() < 8 ? from.session.next_output() : std::nullopt;
            if (message) from.sent.push_back(std::move(*message));
            return message.has_value();
        }
        if (from.sent.empty()) return false;
        const std::size_t at = changes_ && which == liar_ && dice_.chance(3) ? dice_.below(from.sent.size()) : 0;
        Bytes message = from.sent[at];
        const bool doubled = changes_ && which == liar_ && dice_.chance(3);
        if (!doubled) from.sent.erase(from.sent.begin() + static_cast<std::ptrdiff_t>(at));
        if (changes_ && which == liar_ && dice_.chance(25)) change(message);
        hear(sides_[1 - which], message, 1 - which == liar_);
        return true;
    }

    void change(Bytes& message) {
        changed_ += 1;
        auto decoded = decode_message(message);
        if (!decoded || dice_.chance(5)) {
            dice_.pick(message) ^= static_cast<std::uint8_t>(1 + dice_.below(255));
            return;
        }
        SyncMessage value = std::move(decoded).value();
        if (auto* run = std::get_if<RunMessage>(&value); run != nullptr && !run->runs.empty() && dice_.chance(60)) {
            change_run(dice_.pick(run->runs));
        } else {
            std::visit([&](auto& body) { Changer(dice_).change(body); }, value);
        }
        message = encode_message(value);
    }

    void change_run(RunMessage::Entry& entry) {
        auto run = decode_run_body({}, entry.run);
        if (!run) return;
        RunEvent& event = dice_.pick(run.value().events);
        switch (dice_.below(5)) {
            case 0:
                run.value().first_seq += 1 + dice_.below(3);
                break;
            case 1:
                event.signature.data[dice_.below(64)] ^= 1;
                break;
            case 2:
                if (!event.sealed.empty()) dice_.pick(event.sealed) ^= 1;
                break;
            case 3:
                run.value().events.resize(1 + dice_.below(run.value().events.size()));
                break;
            default:
                if (run.value().first_seq > 0) run.value().first_seq -= 1;
        }
        if ((run.value().first_seq == 0) == run.value().opening.has_value()) entry.run = encode_run_body(run.value());
    }

    void hear(Side& to, const Bytes& message, bool is_liar) {
        const auto outcome = to.session.on_message(message);
        if (!outcome) {
            to.refused = true;
            if (outcome.error().fault() != Fault::peer && outcome.error().fault() != Fault::unsupported && !is_liar) {
                wrong_ = "A changed message was not taken for the peer's fault: " + outcome.error().sentence();
            }
            if (!changes_) wrong_ = "An honest session was refused: " + outcome.error().sentence();
        }
        if (to.session.in_flight() > waiting_bytes_max) wrong_ = "More is under way than may be.";
    }

    Dice& dice_;
    bool changes_;
    std::vector<Side> sides_;
    std::size_t liar_ = 0;
    std::size_t changed_ = 0;
    std::string wrong_;
};

Root root_at(test::MemoryLog& log) {
    return root_of(library().circle, log.heads(library().circle).value());
}

}  // namespace

FuzzedSession fuzz_session(std::uint64_t seed) {
    Dice dice(mixed(seed, 8));
    const Library& from = library();
    std::vector<std::size_t> lengths(1 + dice.below(from.logs.size()));
    for (std::size_t i = 0; i < lengths.size(); ++i) lengths[i] = from.logs[i].events().size();
    test::MemoryLog a;
    test::MemoryLog b;
    if (dice.chance(70)) {
        a.instance = dice.draw<InstanceTag>();
        b.instance = dice.draw<InstanceTag>();
    }
    fill(a, from, dice, lengths);
    fill(b, from, dice, lengths);
    FuzzedSession out;
    Meeting meeting(a, b, dice, true);
    out.wrong = meeting.run();
    out.refused = meeting.refused();
    out.equal = meeting.equal();
    out.changed = meeting.changed();
    // A lie in the first may have taught one side something false about the other: a second meeting clears it up.
    for (int again = 0; again < 2 && out.wrong.empty() && (again == 0 || root_at(a) != root_at(b)); ++again) {
        Meeting honest(a, b, dice, false);
        out.wrong = honest.run();
    }
    if (out.wrong.empty() && root_at(a) != root_at(b))
        out.wrong = "After honest sessions the two do not hold the same.";
    return out;
}

}  // namespace ladderline::simulation
