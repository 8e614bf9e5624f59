#include "protocol/event/chain.hpp"

namespace ladderline::protocol {
namespace {

constexpr std::uint8_t key_follows = 1;
constexpr std::uint8_t ctl_follows = 2;

void write_event(codec::Writer& ar, const RunEvent& e) {
    const auto flags = static_cast<std::uint8_t>((e.key ? key_follows : 0) | (e.ctl ? ctl_follows : 0));
    ar(e.signature, e.salt, flags);
    if (e.key) ar(*e.key);
    if (e.ctl) ar(*e.ctl);
    ar(e.sealed);
}

RunEvent read_event(codec::Reader& ar) {
    RunEvent e;
    std::uint8_t flags = 0;
    ar(e.signature, e.salt, flags);
    if (flags > (key_follows | ctl_follows)) throw codec::DecodeFailure{"unknown flags on an event"};
    if ((flags & key_follows) != 0) ar(e.key.emplace());
    if ((flags & ctl_follows) != 0) {
        auto heads = codec::bounded<limits::control_heads_max>(e.ctl.emplace());
        ar(heads);
    }
    auto sealed = codec::bounded<limits::body_bytes_max>(e.sealed);
    ar(sealed);
    return e;
}

void read_run_body(codec::Reader& ar, Run& run) {
    ar(run.opening, run.first_seq);
    if (run.opening.has_value() != (run.first_seq == 0)) throw codec::DecodeFailure{"a log's opening is misplaced"};
    const std::size_t count = ar.get_length();
    if (count == 0 || count > limits::run_events_max)
        throw codec::DecodeFailure{"a run has too few or too many events"};
    for (std::size_t i = 0; i < count; ++i) run.events.push_back(read_event(ar));
    ar.expect_end();
}

void write_run_body(codec::Writer& ar, const Run& run) {
    ar(run.opening, run.first_seq);
    ar.put_varint(run.events.size());
    for (const RunEvent& e : run.events) write_event(ar, e);
}

// How many events a valid signature stands over, on the last of them and no further apart than a proof of a fork can
// hold. Signatures are dear to check: of a writer who signs each event one in 256 is looked at.
std::size_t authentic_beginning(const std::vector<CheckedEvent>& events, const SignPublic& device) {
    const auto is_signed = [&](std::size_t count) {
        return verify(events[count - 1].id.view(), events[count - 1].event.signature, device);
    };
    const auto signed_beginning = [&](std::size_t count) {
        while (count > 0 && !is_signed(count)) --count;
        return count;
    };
    std::size_t out = signed_beginning(events.size());
    for (std::size_t at = out; at > limits::fork_links_max;) {
        const std::size_t reach = at - limits::fork_links_max;
        std::size_t before = reach;
        while (before < at && !is_signed(before)) ++before;
        at = before < at ? before : out = signed_beginning(reach - 1);
    }
    return out;
}

}  // namespace

std::size_t encoded_size(const RunEvent& event) {
    codec::Writer ar;
    write_event(ar, event);
    return ar.take().size();
}

Bytes encode_run(const Run& run) {
    codec::Writer ar;
    ar(run.log);
    write_run_body(ar, run);
    return ar.take();
}

Bytes encode_run_body(const Run& run) {
    codec::Writer ar;
    write_run_body(ar, run);
    return ar.take();
}

Result<Run> decode_run_body(const LogId& log, ByteView bytes) {
    try {
        codec::Reader ar(bytes);
        Run run;
        run.log = log;
        read_run_body(ar, run);
        return run;
    } catch (const codec::DecodeFailure& failure) {
        return Error{Fault::peer, std::string("A run of events cannot be read: ") + failure.what + "."};
    }
}

Result<Run> decode_run(ByteView bytes) {
    try {
        codec::Reader ar(bytes);
        Run run;
        ar(run.log);
        read_run_body(ar, run);
        return run;
    } catch (const codec::DecodeFailure& failure) {
        return Error{Fault::peer, std::string("A run of events cannot be read: ") + failure.what + "."};
    }
}

CircleId header_circle(const CircleId& circle, const LogOpening& opening, std::uint64_t seq) {
    return opening.founding && seq == 0 ? CircleId{} : circle;
}

Result<std::vector<CheckedEvent>> check_run(const CircleId& circle, const LogOpening& opening, const ChainTip& tip,
                                            const Run& run) {
    ENSURE(run.first_seq == tip.next_seq);
    const CircleId committed = opening.founding ? CircleId{} : circle;
    if (log_id_of(committed, opening) != run.log) return Error{Fault::peer, "A log's name does not fit its opening."};
    std::vector<CheckedEvent> out;
    out.reserve(run.events.size());
    ChainTip at = tip;
    for (const RunEvent& e : run.events) {
        CheckedEvent next;
        EventHeader& header = next.event.header;
        if (e.key) at.key = *e.key;
        if (e.ctl) at.ctl = *e.ctl;
        header.circle = header_circle(circle, opening, at.next_seq);
        header.log = run.log;
        header.seq = at.next_seq;
        header.prev = at.head;
        header.ctl = at.ctl;
        header.key = at.key;
        header.body_bytes = static_cast<std::uint32_t>(e.sealed.size());
        header.body_hash = hash_of_body(e.sealed);
        header.salt = e.salt;
        next.event.signature = e.signature;
        next.event.sealed = e.sealed;
        next.id = id_of(header);
        at.head = next.id;
        at.next_seq += 1;
        out.push_back(std::move(next));
    }
    if (opening.founding && run.first_seq == 0 && out.front().id.data != circle.data) {
        return Error{Fault::peer, "A founding event does not fit its circle."};
    }
    out.resize(authentic_beginning(out, signing_key(opening.device)));
    if (out.empty()) return Error{Fault::peer, "A run of events carries no valid signature."};
    return out;
}

}  // namespace ladderline::protocol
