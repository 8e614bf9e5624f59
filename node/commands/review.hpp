#pragma once
// The club's review: who needs help, who has no mentor, and what the club cannot know. Officers only. Everything here
// comes from the rows of consenting newcomers and from members' own cards; rows whose consent is over are not read.

#include "node/commands/context.hpp"
#include "node/domain/review/triage.hpp"

namespace ladderline::node {

// The order of lines is a suggestion where to look first, never a rank of persons; no figure of it is shown.
struct ReviewLine {
    protocol::MemberId person;
    std::string name;
    std::string call_sign;
    std::string stage;        // "09"; empty: nothing left to do
    std::string mentor_name;  // empty: none
    bool resting = false;
    std::vector<std::string> reasons;       // sentences; empty: nothing stands out
    std::vector<std::string> falls_out_if;  // each alone is enough: "Would fall out of the list if ..."
};

// Off the list, because somebody asked and they are fine.
struct AskedLine {
    protocol::MemberId person;
    std::string name;
    Day asked;
    Day until;  // first day on which the list looks at them again
};

// A date that does not move: a consent of the club's list, and of paths that this node shares the last safe day of a
// certificate, an unpaid fee, a guardian's consent.
struct ReviewPin {
    protocol::MemberId person;
    std::string name;
    Day day;
    std::int32_t days_left = 0;
    std::string sentence;
};

struct MentorLine {
    protocol::MemberId person;
    std::string name;
    std::int32_t places = 0;   // free
    std::int32_t carries = 0;  // standing pairings
    std::vector<std::string> topics;
    std::vector<std::string> bands;
    std::string locator;
};

struct StandingPair {
    protocol::MemberId newcomer;
    std::string newcomer_name;
    protocol::MemberId mentor;
    std::string mentor_name;
    Day since;
};

// "On the air": a contact in the last `days`, today included.
struct OnTheAir {
    std::int32_t days = 90;
    int on_air = 0;
    int of = 0;  // consenting newcomers whose row is known
    int unknown = 0;
    std::string sentence;  // the definition with the counts; groups below five are not spelled out
};

struct Review {
    std::string club;
    std::optional<WallTime> as_of;  // the oldest among the newest news of everyone listed
    std::string as_of_sentence;
    int consenting = 0;
    int unknown = 0;                // newcomers without a row, or whose consent is over
    std::vector<ReviewLine> lines;  // most in need first
    std::vector<AskedLine> asked;   // by name
    std::vector<ReviewPin> pinned;  // nearest first
    std::vector<std::string> without_mentor;
    std::vector<MentorLine> with_room;
    std::vector<MentorLine> over_five;   // mentors who carry more than five
    std::vector<StandingPair> standing;  // the latest last
    OnTheAir on_air;
    std::vector<PersonView> members;  // of the club, by name
};
Result<Review> review(Context& context);
struct ClubPeople;
Result<Review> review_of(Context& context, ClubPeople people);
// Says that the review meeting was held today; question 35 counts from here. Kept on this node alone.
Result<Done> review_held(Context& context);

struct ReviewedPerson {
    std::string name;
    std::string detail;  // a few words; may be empty
};
// What a question is answered from. Rows are for officers; paths for everybody who shares one, and about those alone.
enum class AnsweredFrom : std::uint8_t { rows, paths, counts };
struct ReviewQuestion {
    int number = 0;
    std::string_view title;
    AnsweredFrom from = AnsweredFrom::rows;
};
// All 36, by number.
std::vector<ReviewQuestion> review_questions();

// One of the club's questions.
struct ReviewAnswer {
    ReviewQuestion question;
    std::vector<ReviewedPerson> who;  // empty where `counts` answers
    std::string none;                 // what is said where nothing answers: nobody, or that nothing could be looked at
    std::vector<std::string> counts;  // sentences; groups below five are not spelled out
    std::string looked_at;            // of how many, in words
    std::optional<WallTime> as_of;    // the oldest among the newest news of those looked at
    int unknown = 0;                  // newcomers of the club of whom nothing could be looked at
    std::string cannot_know;          // a sentence
};
// bad_input: no number from 1 to 36. refused: the rows are for officers.
Result<ReviewAnswer> question(Context& context, int number);

}  // namespace ladderline::node
