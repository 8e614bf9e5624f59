#include "store/circles/new_key.hpp"

#include "protocol/limits.hpp"

namespace ladderline::store {

using namespace protocol;

namespace {

std::vector<DhPublic> boxes_of(const CircleState& state, const std::set<MemberId>& members) {
    std::vector<DhPublic> out;
    for (const auto& [id, device] : state.devices) {
        if (state.present_member(id) && members.contains(device.member)) out.push_back(device.box);
    }
    for (const auto& [member, box] : state.paper_boxes) {
        if (members.contains(member)) out.push_back(box);
    }
    return out;
}

}  // namespace

Result<EventLog::Rotation> new_key_for(EventLog& log, const CircleId& circle, const CircleState& state,
                                       Readers readers) {
    EventLog::Rotation out;
    out.readers = readers;
    const std::set<MemberId> members = members_of(state, readers);
    out.members = digest_of(members);
    out.boxes = boxes_of(state, members);
    for (const Epoch& epoch : state.epochs) {
        if (out.parents.size() < limits::control_heads_max) out.parents.push_back(epoch.key);
    }
    if (out.parents.empty()) {
        TRY(const AeadKey founding, log.current_key(circle));
        out.parents.push_back(id_of_key(founding));
    }
    return out;
}

}  // namespace ladderline::store
