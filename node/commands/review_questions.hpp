#pragma once
// Parts of the review that its single questions use too; for those alone.

#include <span>

#include "node/commands/club_people.hpp"
#include "node/commands/review.hpp"
#include "node/commands/triage_facts.hpp"
#include "node/commands/way.hpp"

namespace ladderline::node {

using Answers = std::vector<ReviewedPerson>;

// A question that the rows, the cards and the pairings of the club answer.
struct RowQuestion {
    int number;
    std::string_view title;
    Result<Answers> (*answer)(Context&, const ClubPeople&);
    std::string_view cannot_know;
    bool of_rows = true;  // says nothing where no row may be read
};
std::span<const RowQuestion> row_questions();

// A question about what stays on paths: of the newcomers whose path this node shares.
struct PathQuestion {
    int number;
    std::string_view title;
    Answers (*answer)(Context&, const std::vector<WayView>&);
    std::string_view cannot_know;
    // Answers instead, in sentences without names; `none` is said where there are none.
    std::vector<std::string> (*counts)(const std::vector<WayView>&) = nullptr;
    std::string_view none = {};
};
std::span<const PathQuestion> path_questions();

// A question whose answer is counts.
struct CountQuestion {
    int number;
    std::string_view title;
    std::vector<std::string> (*answer)(const ClubPeople&, Day today);
    std::string_view cannot_know;
};
std::span<const CountQuestion> count_questions();

MentorLine mentor_line(const ClubPeople& people, const PersonView& mentor);
std::vector<MentorLine> mentors_with_room(const ClubPeople& people);
std::vector<MentorLine> mentors_over_five(const ClubPeople& people);
// The oldest among the newest rows.
std::optional<WallTime> oldest_news(const ClubPeople& people);
// How many are on the air, of how many, with what that means.
OnTheAir on_the_air(const ClubPeople& people, Day today);
// Newcomers of whom no row may be read.
int unknown_newcomers(const ClubPeople& people);

// The stage stands behind that of the examination.
bool is_past_exam(const std::string& stage);
// The first day on which the rows show that; none: not yet.
std::optional<Day> past_exam_since(const RowStory& story);

// Newcomers whose row may be read and who do not rest: resting people are left in peace.
std::vector<const ClubNewcomer*> awake(const ClubPeople& people);
// "1 day", "3 days"
std::string days_words(std::int32_t n);

}  // namespace ladderline::node
