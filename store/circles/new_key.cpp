#include "store/circles/new_key.hpp"

#include <map>

#include "protocol/event/kinds.hpp"
#include "protocol/limits.hpp"

namespace ladderline::store {

using namespace protocol;

namespace {

// Whoever says they have more devices than this has copies for so many of them.
constexpr std::size_t member_copies_max = 64;

// The paper boxes, since nobody seals a key for them later, then the devices of whoever brings the key, and then one
// device of each of the others, the next of each, and so on, for as many as a key has copies.
std::vector<DhPublic> boxes_of(const CircleState& state, const std::set<MemberId>& members, const MemberId& by) {
    std::vector<DhPublic> out;
    for (const auto& [member, box] : state.paper_boxes) {
        if (members.contains(member)) out.push_back(box);
    }
    std::vector<std::vector<DhPublic>> rounds(member_copies_max);
    std::map<MemberId, std::size_t> counted;
    for (const auto& [id, device] : state.devices) {
        if (!state.present_member(id) || !members.contains(device.member)) continue;
        const std::size_t nth = counted[device.member]++;
        if (nth < member_copies_max) rounds[device.member == by ? 0 : nth].push_back(device.box);
    }
    for (const auto& boxes : rounds) out.insert(out.end(), boxes.begin(), boxes.end());
    if (out.size() > limits::wrap_copies_max) out.resize(limits::wrap_copies_max);
    return out;
}

}  // namespace

Result<EventLog::Rotation> new_key_for(EventLog& log, const CircleId& circle, const CircleState& state, Readers readers,
                                       const MemberId& by) {
    EventLog::Rotation out;
    out.readers = readers;
    const std::set<MemberId> members = members_of(state, readers);
    out.members = digest_of(members);
    out.boxes = boxes_of(state, members, by);
    for (const Epoch& epoch : state.epochs) {
        if (out.parents.size() < limits::control_heads_max) out.parents.push_back(epoch.key);
    }
    if (out.parents.empty()) {
        TRY(const AeadKey founding, log.current_key(circle));
        out.parents.push_back(id_of_key(founding));
    }
    return out;
}

Result<void> see_off_within(EventLog& log, const CircleId& circle, const CircleState& state, const MemberId& by,
                            WallTime now) {
    for (const auto& [id, member] : state.members) {
        if (!member.left || !may_remove(state, by, id)) continue;
        RemoveBody body{id, "has left", {}};
        const auto ends = state.cuts.find(id);
        if (ends != state.cuts.end()) {
            for (const auto& [log_id, cut] : ends->second) body.cuts.push_back(cut);
        }
        TRY(log.append_within({circle, kind::remove, codec::encode(body), {}}, now));
    }
    return ok();
}

}  // namespace ladderline::store
