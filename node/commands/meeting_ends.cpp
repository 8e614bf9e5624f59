#include "node/commands/meeting_ends.hpp"

namespace ladderline::node {
namespace {

std::string with(const PersonView* person) {
    return "with " + (person != nullptr ? person->name : std::string("somebody who has left"));
}

}  // namespace

protocol::MemberId helper_id_of(const WayView& way, const MeetingView& meeting) {
    return meeting.meeting.other == way.owner.id ? meeting.by : meeting.meeting.other;
}

const PersonView* helper_of(const WayView& way, const MeetingView& meeting) {
    return person_on(way, helper_id_of(way, meeting));
}

bool is_end_of(const Context& context, const WayView& way, const MeetingView& meeting) {
    const protocol::MemberId me = context.me.id();
    return me == way.owner.id || me == helper_id_of(way, meeting);
}

std::string both_ends(const WayView& way, const MeetingView& meeting) {
    return way.owner.name + " " + with(helper_of(way, meeting));
}

std::string ends_words(const Context& context, const WayView& way, const MeetingView& meeting) {
    return is_end_of(context, way, meeting) ? with(other_of(context, way, meeting)) : both_ends(way, meeting);
}

}  // namespace ladderline::node
