#include "node/commands/reach.hpp"

#include "store/circles/peers.hpp"

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

}  // namespace

Result<Done> reach(Context& context, std::string_view who, std::string_view address) {
    if (address.find(':') == std::string_view::npos || address.size() > limits::name_bytes_max) {
        return Error{Fault::bad_input, "Say where: ladderline reach NAME HOST:PORT."};
    }
    TRY(const auto all, circles(context.db));
    for (const CircleView& circle : all) {
        if (circle.kind == CircleKind::desk) continue;
        const auto person = find_person(context, circle.id, who);
        if (!person) continue;
        std::vector<DeviceId> devices;
        TRY(context.db.query(
            "SELECT device FROM device WHERE circle = ?1 AND member = ?2",
            [&](const store::sqlite::Row& row) { devices.push_back(row.fixed<DeviceId>(0)); }, circle.id,
            person.value().id));
        for (const DeviceId& device : devices) {
            TRY(store::remember_address(context.db, device, address));
        }
        return Done{person.value().name + "'s node is looked for at " + std::string(address) + ".", {}};
    }
    return Error{Fault::not_found, "Nobody called '" + std::string(who) + "' shares a circle with you."};
}

Result<std::vector<ReachLine>> reached(Context& context) {
    TRY(const auto notes, store::peer_notes(context.db));
    std::vector<ReachLine> out;
    for (const store::PeerNote& note : notes) {
        TRY(std::string name, owner_name(context, note.device));
        std::string state = note.last_ok ? "last reached " + to_iso_minute(*note.last_ok) : "not reached yet";
        if (!note.note.empty()) state += "; " + note.note;
        out.push_back({name.empty() ? "somebody" : std::move(name), note.address, std::move(state)});
    }
    return out;
}

}  // namespace ladderline::node
