#pragma once
// What happened in a story, read off it with loops alone: whom each of the club's questions should name on a day. It
// shares no code with the program beyond days, and reads no store.

#include <map>
#include <set>

#include "tests/club_year/story.hpp"

namespace ladderline::club_year {

// The club's list as one newcomer let it stand from that day on.
struct RowThen {
    Day said;
    std::string call;
    int stage = 0;
    std::optional<Day> stage_since;
    std::optional<Day> milestone;
    std::optional<Day> contact;
    std::optional<Day> touch;
    int mentor = -1;
    std::string topic;
    std::optional<Day> topic_since;
    bool resting = false;
    Day until;
};

struct Marked {
    std::optional<Day> tick;
    std::optional<Day> sign;
    bool reopened = false;
    std::string text;

    bool reached() const { return tick || sign; }
    Day day() const { return sign ? *sign : *tick; }
};

struct Meeting {
    Day at;
    int outcome = 0;  // as Act::number; 0: none yet
};

// One newcomer at the end of the day that the record is of.
struct Newcomer {
    int who = 0;
    bool in_club = false;
    std::optional<Day> left;
    bool resting = false;
    std::string call;  // on the card
    std::optional<Day> until;
    std::vector<RowThen> rows;
    std::map<std::string, Marked> items;
    std::vector<Day> contacts;
    std::optional<Day> touch;
    std::set<int> mentors;  // on the path
    std::set<int> seen_by;  // everybody else on the path
    std::string topic;
    std::optional<Day> topic_since;
    std::optional<Day> booked;
    std::optional<std::pair<std::string, Day>> study;  // pool, exam
    std::vector<Meeting> meetings;
    std::vector<Day> asked_and_fine;

    bool has_row(Day today) const { return in_club && !rows.empty() && rows.back().until >= today; }
    bool awake(Day today) const { return has_row(today) && !resting; }
};

struct Pair {
    int newcomer = 0;
    int mentor = 0;
    Day day;  // of the last step
    bool ended = false;
};

class Record {
public:
    // Everything up to the end of that day.
    Record(const Story& story, Day today);

    Day today() const { return today_; }
    const std::vector<Newcomer>& newcomers() const { return newcomers_; }
    // Names, or "A and B" for pairs; sorted, but for question 10.
    std::vector<std::string> who(int number) const;
    // Without a row in force; for question 19, under 18 and on a path that the first officer is not on.
    int unknown(int number) const;
    std::optional<Day> oldest_news() const;
    int mentor_of(const Newcomer& n) const;  // -1: none
    std::vector<Pair> standing() const;
    const std::string& name(int who) const { return story_.people[static_cast<std::size_t>(who)].name; }

    bool is_minor(int who) const { return story_.people[static_cast<std::size_t>(who)].minor; }

    // Counts, with what the program prints for small ones.
    static std::string small(int n);
    std::vector<std::string> spring() const;                        // question 29
    std::optional<int> median_days(const std::string& year) const;  // question 30; none: not reached by half
    std::map<std::string, int> to_contact_by_year() const;          // how many began
    struct Stage {
        int came = 0;
        int went_on = 0;
        int left = 0;
        int quiet = 0;
    };
    std::map<int, Stage> stages() const;  // question 31
    struct Year {
        int began = 0;
        int passed = 0;
        int on_air = 0;
        int asked = 0;
        int paired = 0;
        int left = 0;
    };
    Year year() const;

private:
    using Names = std::vector<std::string>;
    struct Waited {
        Day began;
        int days = 0;
        bool reached = false;
    };
    void happen(const Act& a);
    void club_act(const Act& a);
    void path_act(const Act& a, Newcomer& n);
    void write_row(Newcomer& n, Day day);
    Newcomer& of(int who) { return newcomers_[static_cast<std::size_t>(who - first_newcomer)]; }
    bool is_member(int who) const { return members_.contains(who); }
    int days(Day from) const { return days_between(from, today_); }
    std::optional<Day> past_exam(const Newcomer& n) const;
    std::optional<Day> first_contact(const Newcomer& n) const;
    std::vector<const Newcomer*> listed() const;  // those with a readable row, and those who left with one
    std::vector<Waited> to_contact() const;
    std::optional<Names> who_of_rows(int number) const;
    std::optional<Names> who_of_pairs(int number) const;
    Names who_of_paths(int number) const;
    bool is_meant(const Newcomer& n, int number) const;    // rows
    bool is_on_path(const Newcomer& n, int number) const;  // paths
    bool changed_since(const Newcomer& n, Day since) const;
    Names near_tonight() const;

    const Story& story_;
    Day today_;
    std::set<int> members_;
    std::vector<Newcomer> newcomers_;
    std::vector<Pair> pairs_;
    std::optional<Day> held_;
};

}  // namespace ladderline::club_year
