#pragma once
// What may be said beforehand about an arranged contact: the frequencies by the rule book, whether the path can work,
// and who has to be there. Advice; nothing is stored.

#include "node/commands/meetings.hpp"
#include "node/domain/radio/meeting_chance.hpp"
#include "node/domain/rules/both_may.hpp"

namespace ladderline::node {

// The owner of the path (`one`) and the other person as the rule book sees them.
struct MeetingEnds {
    domain::RadioEnd one;
    domain::RadioEnd other;
};
MeetingEnds ends_of(const WayView& way, const PersonView& other);

// Places to begin with that both may use, then those of which it is not known.
std::vector<domain::JudgedPlace> frequencies_for(const WayView& way, const PersonView& other);
// What speaks against a frequency as typed, and what is not known of it: sentences, none if nothing does.
std::vector<std::string> frequency_words_for(const WayView& way, const PersonView& other, const std::string& mhz,
                                             const std::string& mode);

// What is said about both frequencies, about guests and about who has to be there, when it is arranged: sentences, each
// after a blank; empty where nothing is to be said. `other` is the far end from the path's owner.
std::string advice_on(const WayView& way, const PersonView& other, const MeetRequest& request);

// Names the guardians of somebody under 18 and what they do; empty for adults.
std::string guardian_words(const WayView& way);
// "Gus" or "Gus and Greta"; empty if there is none.
std::string guardian_names(const WayView& way);

struct ChanceRequest {
    std::string mhz;
    WallTime start;
    std::string one_locator;    // as typed; empty: the card's
    std::string other_locator;  // as typed; empty: the card's
    std::optional<double> one_height_m;
    std::optional<double> other_height_m;
    std::optional<double> power_w;
};
// Height and power that were not given, from the own station that is kept for the same band; what is not known stays
// empty.
ChanceRequest with_own_station(Context& context, const WayView& way, ChanceRequest request);
Result<domain::Chance> chance_for(const WayView& way, const PersonView& other, const ChanceRequest& request);

}  // namespace ladderline::node
