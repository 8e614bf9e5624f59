#pragma once
// What a club knows of its people, put together for pairing and review; used by those commands alone.

#include <map>

#include "node/commands/context.hpp"

namespace ladderline::node {

// One write of a newcomer's row.
struct RowWrite {
    WallTime said;
    protocol::ClubRowBody row;
};

struct ClubNewcomer {
    PersonView person;
    std::optional<RowWrite> row;  // none: never shown, or consent is over
    RowStory story;               // of all rows; empty without `row`
    bool is_consent_over = false;
    std::optional<protocol::MemberId> mentor;  // by a pairing that stands, else by their row
    std::optional<Day> in_club_since;          // first card or row seen
    bool is_minor = false;                     // by anyone's word
    bool is_resting = false;                   // by card or row
};

struct ClubPeople {
    CircleView club;
    PersonView me;
    std::map<protocol::MemberId, PersonView> all;        // present members
    std::vector<ClubNewcomer> newcomers;                 // by name
    std::vector<RowStory> former;                        // of people who left and whose consent stands; no names
    std::vector<PairingView> standing;                   // agreed and not ended since, in order of day
    std::map<protocol::MemberId, std::int32_t> carries;  // newcomers by mentor

    // The name on the card; "somebody outside the club" for strangers.
    std::string name_of(const protocol::MemberId& id) const;
};

// The club whose officer this node's owner is; refused if they are none.
Result<CircleView> club_as_officer(Context& context);
// Refused in the same way.
Result<ClubPeople> club_people(Context& context);

// Gate 1 for a newcomer under 18, on their path itself if this node shares it. Without it nothing is known of the
// adults there, and what is not known is not allowed. ok for adults.
Result<void> adults_on_path(Context& context, const ClubNewcomer& newcomer);

// People who take newcomers: mentors, and officers whose card offers places. By id.
std::vector<const PersonView*> mentors_of(const ClubPeople& people);
// What the card offers less the newcomers carried; 0 while they rest.
std::int32_t free_places_of(const ClubPeople& people, const PersonView& mentor);

}  // namespace ladderline::node
