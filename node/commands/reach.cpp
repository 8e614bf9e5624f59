#include "node/commands/reach.hpp"

#include <algorithm>
#include <array>
#include <set>

#include "node/commands/who_is_meant.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

// Name of a device's owner in any shared circle; empty if unknown.
Result<std::string> owner_name(Context& context, const DeviceId& device) {
    std::string name;
    TRY(context.db.query(
        "SELECT member.name FROM device JOIN member USING (circle, member) WHERE device.device = ?1 LIMIT 1",
        [&](const store::sqlite::Row& row) { name = row.text(0); }, device));
    return name;
}

constexpr std::array<std::string_view, 5> step_words{"The address means a machine", "A program there takes the call",
                                                     "It is that device, and it knows you as a member",
                                                     "Both say what they hold", "Both hold the same"};

// What to look at when a call came as far as that and no further.
std::string_view advice_after(store::ReachStep step) {
    switch (step) {
        case store::ReachStep::none:
            return "Look at the spelling of the address, or write it in numbers, as 192.168.1.20:7300.";
        case store::ReachStep::address:
            return "See that Ladderline runs there and listens, that both are in the same network, and that no guest "
                   "network, firewall or router stands in between; a carried bundle or a drop folder needs none of it.";
        case store::ReachStep::answer:
            return "Something answers, but not as that device, or it does not count you as a member: ask there whether "
                   "the program was set up anew, or whether you are still in the circle.";
        case store::ReachStep::proof:
        case store::ReachStep::talk:
            return "The line broke while both compared; what came is kept, and the next call goes on from there.";
        case store::ReachStep::same:
            break;
    }
    return "";
}

constexpr std::string_view own_disk_advice =
    "The line is good, but this machine's own disk did not take what came: make room on it, or see to it, and the next "
    "call brings what is missing.";

// `unkept`: the last of it was not kept here.
ReachLine line_of(const store::PeerNote& note, std::string name, bool unkept) {
    ReachLine out{std::move(name), note.address, std::nullopt, note.last_same, {}, "not called yet", "", ""};
    if (!note.last) return out;
    const auto come = static_cast<std::size_t>(note.last->step);
    out.last_try = note.last->at;
    for (std::size_t k = 0; k < step_words.size(); ++k) {
        out.steps.push_back({std::string(step_words.at(k)), k < come});
    }
    const bool same = note.last->step == store::ReachStep::same;
    out.state = (same     ? "in step at "
                 : unkept ? "not kept by this machine's disk at "
                          : "last tried ") +
                to_iso_minute(note.last->at);
    if (!same) {
        const std::string last_good =
            note.last_same ? "in step last at " + to_iso_minute(*note.last_same) : std::string("never in step so far");
        out.state += ", came to step " + std::to_string(come) + " of 5; " + last_good;
    }
    out.why = note.last->note;
    // A call that goes on has nothing to advise on.
    if (!out.why.empty()) out.advice = unkept ? own_disk_advice : advice_after(note.last->step);
    return out;
}

}  // namespace

Result<Done> reach(Context& context, std::string_view who, std::string_view address) {
    if (address.find(':') == std::string_view::npos || address.size() > limits::name_bytes_max) {
        return Error{Fault::bad_input, "Say where: ladderline reach NAME HOST:PORT."};
    }
    TRY(const PersonView person, find_anywhere(context, who));
    std::vector<DeviceId> devices;
    TRY(context.db.query(
        "SELECT DISTINCT device FROM device WHERE member = ?1",
        [&](const store::sqlite::Row& row) { devices.push_back(row.fixed<DeviceId>(0)); }, person.id));
    for (const DeviceId& device : devices) {
        TRY(store::remember_address(context.db, device, address));
    }
    return Done{person.name + "'s node is looked for at " + std::string(address) + ".", {}};
}

Result<std::vector<ReachLine>> reached(Context& context) {
    TRY(auto notes, store::peer_notes(context.db));
    TRY(const auto refused, store::all_unkept(context.db));
    std::set<DeviceId> unkept;
    for (const store::Unkept& one : refused) {
        const DeviceId device = one.device.value_or(DeviceId{});
        auto note = std::find_if(notes.begin(), notes.end(), [&](const auto& n) { return n.device == device; });
        if (note == notes.end()) note = notes.insert(notes.end(), store::PeerNote{device, "", {}, {}, {}});
        note->last = one.reached;
        unkept.insert(device);
    }
    std::vector<ReachLine> out;
    for (const store::PeerNote& note : notes) {
        TRY(std::string name, owner_name(context, note.device));
        out.push_back(line_of(note, name.empty() ? "somebody" : std::move(name), unkept.contains(note.device)));
    }
    return out;
}

Result<std::size_t> count_others(Context& context) {
    std::size_t out = 0;
    TRY(context.db.query(
        "SELECT count(DISTINCT member) FROM member WHERE removed = 0 AND member <> ?1",
        [&](const store::sqlite::Row& row) { out = static_cast<std::size_t>(row.integer(0)); }, context.me.id()));
    return out;
}

}  // namespace ladderline::node
