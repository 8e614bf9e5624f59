#include "tests/scale/costs.hpp"

#include <algorithm>
#include <bit>
#include <cmath>

#include "protocol/courier/messages.hpp"
#include "protocol/handshake/channel.hpp"
#include "protocol/handshake/preface.hpp"
#include "protocol/sync/messages.hpp"
#include "protocol/sync/wraps.hpp"

namespace ladderline::scale {
namespace {

using namespace protocol;

constexpr std::uint64_t frame_bytes = frame_header_bytes + aead_tag_bytes;
constexpr std::uint64_t message_head = 4;
constexpr std::uint64_t noise_call = preface_bytes + frame_header_bytes + 96;
constexpr std::uint64_t noise_answer = frame_header_bytes + 48;
constexpr std::uint64_t place_bytes = LogTag::size + HeadTag::size;  // and a number
constexpr std::uint64_t batch_bytes = 64 * 1024;                     // protocol/sync/session.cpp
constexpr std::uint64_t ack_bytes = limits::flight_bytes_max / 4;
constexpr std::uint64_t opening_bytes = DeviceId::size + LogSalt::size + 1;
constexpr std::uint64_t ctl_bytes = 1 + EventId::size;

std::uint64_t varint(std::uint64_t value) {
    return std::max<std::uint64_t>(1, (static_cast<std::uint64_t>(std::bit_width(value)) + 6) / 7);
}

// Messages of one flight: they share frames.
class Flight {
public:
    void say(std::uint64_t bytes, std::uint64_t messages = 1) { plain_ += bytes + messages * message_head; }
    std::uint64_t bytes() const {
        return plain_ + frame_bytes * ((plain_ + frame_plain_bytes_max - 1) / frame_plain_bytes_max);
    }

private:
    std::uint64_t plain_ = 0;
};

std::uint64_t flight(std::initializer_list<std::uint64_t> messages) {
    Flight out;
    for (const std::uint64_t bytes : messages) {
        if (bytes > 0) out.say(bytes);
    }
    return out.bytes();
}

constexpr std::uint64_t access_bytes = 2 + CircleId::size + SignPublic::size + Signature::size;
constexpr std::uint64_t bye_bytes = 1;
constexpr std::uint64_t same_up_bytes = 4;

std::uint64_t granted_bytes(std::uint64_t used) {
    return 2 + 1 + AccessHint::size + 1 + varint(used) + 1;
}
std::uint64_t hello_bytes(std::uint64_t arrivals) {
    return 1 + InstanceTag::size + varint(arrivals) + 1 + CircleTag::size + Root::size;
}
constexpr std::uint64_t answer_bytes = 1 + InstanceTag::size + 1 + 1 + 1;
std::uint64_t done_bytes(std::uint64_t arrivals) {
    return 2 + Root::size + 1 + varint(arrivals);
}
std::uint64_t receipt_bytes(std::uint64_t arrivals) {
    constexpr std::uint64_t time_bytes = 6;
    return 1 + CircleId::size + Root::size + varint(arrivals) + time_bytes + 1 + Signature::size;
}

// Run messages: how many, and their bytes in all.
struct Runs {
    std::uint64_t messages = 0;
    std::uint64_t bytes = 0;
    std::uint64_t acks = 0;

    Runs(std::uint64_t runs, std::uint64_t entries_bytes) {
        if (runs == 0) return;
        messages = 1 + entries_bytes / (batch_bytes + batch_bytes / 16);
        bytes = entries_bytes + messages * (2 + varint(runs / messages));
        acks = bytes / ack_bytes;
    }
};

std::uint64_t needs_message(const Difference& d) {
    if (d.needs + d.needs_unchanged == 0) return 0;
    return 2 + varint(d.needs) + d.needs_bytes + varint(d.needs_unchanged) + d.needs_unchanged + 1;
}

// The walk down the tree where there is no cursor: the expected number of nodes, because the tags are drawn anew for
// every connection.
struct Walk {
    std::uint64_t up = 0;    // the visitor's first node
    std::uint64_t down = 0;  // the courier's answer, node by node
};
Walk walk_of(const Difference& d, std::size_t logs) {
    if (d.visitor_logs <= HeadTree::leaf_logs_max) return {5 + d.visitor_logs * (place_bytes + 1), 0};
    Walk out{5 + HeadTree::fanout * NodeDigest::size, 0};
    const double lacking = d.runs_up + d.runs_down;
    double nodes = 1;
    for (double below = static_cast<double>(logs);;) {
        const double children = nodes * HeadTree::fanout;
        const double hit = children * (1 - std::pow(1 - 1 / children, lacking));
        below /= HeadTree::fanout;
        nodes = hit;
        if (below <= HeadTree::leaf_logs_max) {
            out.down += static_cast<std::uint64_t>(nodes * (5 + below * (place_bytes + 1)));
            return out;
        }
        out.down += static_cast<std::uint64_t>(nodes * (5 + HeadTree::fanout * NodeDigest::size));
    }
}

Bytes2 with_cursor(const VisitFigures& visit, const Difference& d) {
    const std::uint64_t after = visit.courier_arrivals + d.events_up;
    const std::uint64_t changes = 2 + varint(visit.behind) + varint(d.changes) + d.changes_bytes;
    const Runs up(d.runs_up, d.runs_up_bytes);
    const Runs down(d.runs_down, d.runs_down_bytes);
    const std::uint64_t needs = needs_message(d);
    Bytes2 out;
    out.up += flight({answer_bytes, changes});
    Flight answer;
    if (needs > 0) answer.say(needs);
    answer.say(down.bytes, down.messages);
    if (needs == 0) answer.say(done_bytes(after));
    out.down += answer.bytes() + up.acks * (frame_bytes + message_head + 4);
    Flight back;
    if (needs > 0) {
        back.say(up.bytes, up.messages);
        back.say(done_bytes(0));
    } else {
        back.say(same_up_bytes);
    }
    out.up += back.bytes() + down.acks * (frame_bytes + message_head + 4);
    out.down += needs > 0 ? flight({3 + varint(after), receipt_bytes(after)}) : flight({receipt_bytes(after)});
    out.up += flight({bye_bytes});
    return out;
}

Bytes2 by_tree(const VisitFigures& visit, const Difference& d, std::size_t logs) {
    const std::uint64_t after = visit.courier_arrivals + d.events_up;
    const Walk walk = walk_of(d, logs);
    const Runs up(d.runs_up, d.runs_up_bytes);
    const Runs down(d.runs_down, d.runs_down_bytes);
    Bytes2 out;
    out.up += flight({answer_bytes, walk.up}) + up.bytes + up.messages * message_head;
    out.down += flight({walk.down > 0 ? walk.down : 0, done_bytes(after)}) + down.bytes + down.messages * message_head;
    out.up += flight({same_up_bytes}) + down.acks * (frame_bytes + message_head + 4);
    out.down += flight({receipt_bytes(after)}) + up.acks * (frame_bytes + message_head + 4);
    if (walk.down > 0) {
        constexpr std::uint64_t numbered = 1 + 2 + HeadTag::size;
        out.up += d.runs_down * numbered + 5;
        out.down += frame_bytes;
    }
    out.up += flight({bye_bytes});
    return out;
}

std::uint64_t run_bytes(const Log& log, std::size_t from, std::size_t to) {
    std::uint64_t body = 1 + varint(from) + varint(to - from) + (from == 0 ? opening_bytes : 0);
    for (std::size_t i = from; i < to; ++i) {
        const Word& word = log.words[i];
        const std::uint64_t sealed = sealed_bytes(word);
        body += Signature::size + EventSalt::size + 1 + varint(sealed) + sealed;
        if ((word.flags & names_key) != 0) body += KeyId::size;
        if ((word.flags & names_ctl) != 0) body += ctl_bytes;
    }
    return LogTag::size + varint(body) + body;
}

std::uint64_t goal_bytes(const Log& log, std::size_t from, std::size_t to) {
    std::uint64_t out = from == 0 ? opening_bytes : 0;
    for (std::size_t i = from; i < to; ++i) {
        const Word& word = log.words[i];
        out += 91 + word.plain_bytes;
        if ((word.flags & names_key) != 0) out += KeyId::size;
        if ((word.flags & names_ctl) != 0) out += ctl_bytes;
    }
    return out;
}

void note_log(Difference& d, const Log& log, std::uint16_t mine, std::uint16_t theirs, std::uint16_t same) {
    d.logs += 1;
    if (mine != same) {
        d.changes += 1;
        d.changes_bytes += place_bytes + varint(std::uint64_t{mine} << 1);
    }
    if (mine > theirs) {
        if (theirs == same && theirs > 0) {
            d.needs_unchanged += 1;
        } else {
            d.needs += 1;
            d.needs_bytes += 1 + place_bytes + varint(std::uint64_t{theirs} << 1);
        }
        d.runs_up += 1;
        d.runs_up_bytes += run_bytes(log, theirs, mine);
        d.events_up += mine - theirs;
        d.events_bytes += goal_bytes(log, theirs, mine);
    } else if (theirs > mine) {
        d.runs_down += 1;
        d.runs_down_bytes += run_bytes(log, mine, theirs);
        d.events_down += theirs - mine;
        d.events_bytes += goal_bytes(log, mine, theirs);
    }
}

}  // namespace

Difference difference_of(const Circle& circle, const Seat& seat, std::size_t courier) {
    constexpr std::size_t stride = 64;
    Difference out;
    const auto& mine = seat.held.counts;
    const auto& theirs = circle.at_courier[courier].counts;
    const auto& same = seat.channels[courier].same.counts;
    const std::size_t logs = circle.logs.size();
    out.visitor_logs = static_cast<std::uint32_t>(logs - std::count(mine.begin(), mine.end(), 0));
    for (std::size_t at = 0; at < logs; at += stride) {
        const std::size_t count = std::min(stride, logs - at);
        const auto differ = [&](const std::vector<std::uint16_t>& a, const std::vector<std::uint16_t>& b) {
            return std::memcmp(a.data() + at, b.data() + at, count * sizeof(std::uint16_t)) != 0;
        };
        if (!differ(mine, same) && !differ(theirs, same)) continue;
        for (std::size_t i = at; i < at + count; ++i) {
            if (mine[i] != same[i] || theirs[i] != same[i]) note_log(out, circle.logs[i], mine[i], theirs[i], same[i]);
        }
    }
    return out;
}

Bytes2 bytes_of(const VisitFigures& visit, const Difference& difference) {
    Bytes2 out{noise_call + flight({access_bytes}),
               noise_answer + flight({granted_bytes(visit.used_bytes), hello_bytes(visit.courier_arrivals)})};
    switch (visit.kind) {
        case VisitKind::equal:
            out.up += flight({answer_bytes}) + flight({bye_bytes});
            out.down += flight({receipt_bytes(visit.courier_arrivals)});
            break;
        case VisitKind::cursor:
            out += with_cursor(visit, difference);
            break;
        case VisitKind::tree:
            out += by_tree(visit, difference, std::max<std::size_t>(difference.logs, difference.visitor_logs));
            break;
        case VisitKind::cut: {
            const std::uint64_t changes = 2 + varint(visit.behind) + varint(difference.changes);
            out.up += flight({answer_bytes, changes + difference.changes_bytes});
            break;
        }
    }
    return out;
}

double formula_bytes(const Difference& difference) {
    return 1.05 * static_cast<double>(difference.events_bytes) + 128 + 24.0 * difference.logs;
}

KeyCosts::KeyCosts(std::size_t boxes) {
    WrapAnswerMessage answer{{}, {{{}, {{}, Bytes(wrap_bytes), static_cast<std::uint16_t>(boxes / 2), {}}}}};
    answer.copies.front().wrap.proof.resize(
        std::min<std::size_t>(limits::wrap_proof_max, static_cast<std::size_t>(std::bit_width(boxes - 1))));
    copy = codec::encode(answer.copies.front()).size();
}

Bytes2 KeyCosts::left_by_registrar(std::size_t boxes) const {
    const std::uint64_t messages = (boxes + limits::list_max - 1) / limits::list_max;
    Flight left;
    left.say(boxes * copy + messages * (2 + CircleId::size), messages);
    left.say(encode_courier_message(RenewMessage{}).size());
    return {left.bytes(), encode_courier_message(SaidMessage{}).size() + message_head};
}

Bytes2 KeyCosts::fetched() const {
    return {flight({2 + CircleId::size + 2 * (KeyId::size + WrapTag::size)}), flight({2 + CircleId::size + copy})};
}

Bytes2 KeyCosts::come_back_by_former_key(std::size_t kept) const {
    const std::size_t named = std::min(kept, limits::list_max);
    const std::size_t asked = std::min(kept, limits::list_max / 2);
    Bytes2 out = second_claim();
    out.down += named * KeyId::size;
    out.up += flight({2 + CircleId::size + 2 * asked * (KeyId::size + WrapTag::size)});
    out.down += flight({2 + CircleId::size + asked * copy});
    return out;
}

Bytes2 KeyCosts::second_claim() {
    return {flight({access_bytes}), flight({granted_bytes(0)})};
}

}  // namespace ladderline::scale
