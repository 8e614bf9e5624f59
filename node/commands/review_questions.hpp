#pragma once
// Parts of the review that its single questions use too; for those two alone.

#include "node/commands/club_people.hpp"
#include "node/commands/review.hpp"

namespace ladderline::node {

MentorLine mentor_line(const ClubPeople& people, const PersonView& mentor);
std::vector<MentorLine> mentors_with_room(const ClubPeople& people);
std::vector<MentorLine> mentors_over_five(const ClubPeople& people);
// The oldest among the newest rows.
std::optional<WallTime> oldest_news(const ClubPeople& people);
// Newcomers of whom no row may be read.
int unknown_newcomers(const ClubPeople& people);

// Stage number of a row; none: nothing left to do, or a newer program's words.
std::optional<std::size_t> stage_of(const protocol::ClubRowBody& row);
// The day on which the stage of the write at `last` began, as far as the rows tell.
Day stage_began(const std::vector<RowWrite>& history, std::size_t last);

}  // namespace ladderline::node
