#include "tests/club_year/story.hpp"

#include <algorithm>

#include "tests/support/protocol/seeded_random.hpp"

namespace ladderline::club_year {
namespace {

using protocol::MemberRole;

constexpr int vanishes_after_days = 190;
constexpr int noticed_after_days = 50;  // after that
constexpr const char* squares[] = {"FN31", "FN42", "EM75", "EN61"};
constexpr const char* topics[] = {"first contacts", "antennas", "nets", "digital voice", "shortwave"};
constexpr const char* questions[] = {"which antenna for a flat", "cannot get into the repeater", "what to say first",
                                     "which radio to borrow", "noise on the new supply"};
constexpr const char* skills[] = {"06.01", "06.02", "06.03", "06.04", "06.05", "06.06", "06.07"};

class Dice {
public:
    explicit Dice(std::uint64_t seed) : random_(seed) {}
    int below(int n) { return static_cast<int>(random_.next() % static_cast<std::uint64_t>(n)); }
    bool chance(int per_cent) { return below(100) < per_cent; }

private:
    test::SeededRandom random_;
};

// What one newcomer does, as if nothing came between; what comes between cuts it short.
class Journey {
public:
    Journey(Story& story, Dice dice, int who) : story_(story), dice_(dice), who_(who), nth_(who - first_newcomer) {}

    void plan() {
        joined_ = story_.first + 3 + dice_.below(nth_ == 11 ? 1 : 290);
        const Day gone = dice_.chance(18) ? joined_ + 30 + dice_.below(200) : story_.last + 1;
        const Day left = dice_.chance(18) ? joined_ + 30 + dice_.below(250) : story_.last + 1;
        begin();
        if (nth_ == 11) {
            came_licensed();
        } else {
            with_mentor();
            to_the_call_sign();
            if (grant_) on_the_air();
        }
        asides();
        // Who drifted away does nothing any more; who helps them still tries.
        std::erase_if(acts_, [&](const Act& a) { return a.day > gone && !is_helpers(a.what); });
        std::erase_if(acts_, [&](const Act& a) { return a.day >= left; });
        if (left <= story_.last) add(left, What::leave);
        for (Act& a : acts_) story_.acts.push_back(std::move(a));
    }

private:
    static bool is_helpers(What what) {
        return what == What::touch || what == What::pair || what == What::end_pair || what == What::checked;
    }
    Act& add(Day day, What what, int other = -1) {
        Act& a = acts_.emplace_back();
        a.day = day;
        a.what = what;
        a.who = who_;
        a.other = other;
        return a;
    }
    void tick(Day day, const char* item, std::string text = "", std::optional<Day> about = {}) {
        Act& a = add(day, What::tick);
        a.item = item;
        a.text = std::move(text);
        a.date = about.value_or(day);
    }
    bool is_there(Day day) const {
        return mentor_ >= 0 && day >= mentored_ &&
               !(mentor_ == vanishing_mentor && day >= story_.first + vanishes_after_days);
    }
    bool sign(Day day, const char* item, int per_cent) {
        if (!is_there(day) || !dice_.chance(per_cent)) return false;
        add(day, What::sign, mentor_).item = item;
        return true;
    }

    void begin() {
        add(joined_, What::let_in);
        add(joined_, What::card);
        if (!dice_.chance(85)) return;
        const int kept = dice_.chance(18) ? 40 + dice_.below(60) : 300 + dice_.below(400);
        const Day shared = joined_ + dice_.below(6);
        add(shared, What::share).date = shared + kept;
    }

    int choose_mentor() {
        if (nth_ % 8 == 3) return first_officer;
        if (dice_.chance(30)) return first_mentor + dice_.below(2);  // two of them carry more than the others
        return first_mentor + dice_.below(mentors);
    }

    void seat(Day day, int other, MemberRole role) { add(day, What::onto_path, other).role = role; }

    void with_mentor() {
        const bool minor = story_.people[static_cast<std::size_t>(who_)].minor;
        const int second = nth_ == 7 ? first_officer : second_officer;
        if (minor) {
            seat(joined_ + 1, guardian(), MemberRole::guardian);
            add(joined_ + 2, What::guardian_agrees, guardian());
            seat(joined_ + 3, second, MemberRole::second_adult);
        }
        if (!minor && nth_ % 8 != 3 && !dice_.chance(78)) return;
        mentor_ = choose_mentor();
        if (minor && mentor_ == second) mentor_ = first_mentor;
        mentored_ = joined_ + 5 + dice_.below(25);
        if (mentor_ == vanishing_mentor && mentored_ >= story_.first + vanishes_after_days) mentor_ = first_mentor + 4;
        seat(mentored_, mentor_, MemberRole::mentor);
        // An officer pairs somebody under 18 only where the officer sees both adults.
        if (minor ? nth_ == 7 : dice_.chance(80)) add(mentored_, What::pair, mentor_);
        touches(mentored_, mentor_);
        tick(mentored_ + 3 + dice_.below(4), "00.09", "club evening");
        sign(acts_.back().day + 1, "00.09", 50);
    }
    int guardian() const { return members + (nth_ == 7 ? 0 : nth_ == 23 ? 1 : 2); }

    void touches(Day from, int mentor) {
        Day day = from;
        while (day <= story_.last) {
            const int age = days_between(from, day);
            day = day + (age < 31 ? 6 + dice_.below(4) : age < 90 ? 12 + dice_.below(6) : 28 + dice_.below(5));
            const bool vanished = mentor == vanishing_mentor && day >= story_.first + vanishes_after_days;
            if (!vanished && !dice_.chance(15)) add(day, What::touch, mentor);
        }
    }

    void to_the_call_sign() {
        if (dice_.chance(30)) tick(joined_ + 10, "01.20", "club net");
        if (!dice_.chance(88)) return;
        const Day booked = joined_ + 8 + dice_.below(30);
        Day exam = booked + 7 + dice_.below(21);
        book(booked, exam);
        tick(exam, "03.07");
        if (dice_.chance(20)) {
            tick(exam, "03.10");
            if (!dice_.chance(60)) return;
            const Day again = exam + 9 + dice_.below(12);
            exam = again + 14;
            book(again, exam);
        }
        tick(exam, "03.08", "certificate in hand");
        sign(exam + 1 + dice_.below(3), "03.08", 70);
        if (dice_.chance(50)) tick(exam, "03.12", "Merle, on Friday");
        if (!dice_.chance(88)) return;
        const Day notice = exam + 2;
        tick(notice, "04.01");
        if (!dice_.chance(85)) return;
        const Day paid = notice + 1 + dice_.below(9);
        tick(paid, "04.03");
        if (!dice_.chance(93)) return;
        grant_ = paid + 1 + dice_.below(9);
        granted(*grant_);
    }
    void book(Day day, Day exam) {
        add(day, What::book).date = exam;
        if (!dice_.chance(40)) return;
        Act& a = add(day, What::show_study);
        a.date = exam;
        const int year = std::stoi(to_iso(exam).substr(0, 4));
        const int end = dice_.chance(30) ? year - 1 : year + 2;
        a.text = "Invented pool " + std::to_string(end - 4) + "-" + std::to_string(end);
    }
    void granted(Day day) {
        tick(day, "04.06", invented_call(300 + nth_));
        sign(day + 2, "04.06", 70);
        if (dice_.chance(80)) add(day + dice_.below(4), What::show_call);
    }

    void on_the_air() {
        const Day radio = *grant_ + dice_.below(25);
        const bool borrowed = dice_.chance(30);
        if (dice_.chance(85)) tick(radio, "05.10", borrowed ? "borrowed from the club until June" : "bought new");
        if (dice_.chance(50)) tick(radio + 10, "05.11");
        if (borrowed && dice_.chance(40)) tick(radio + 45, "05.18");
        const Day sheet = *grant_ + 3 + dice_.below(10);
        std::optional<Day> cleared;
        if (dice_.chance(80)) {
            tick(sheet, "07.12", "handheld, 5 W");
            if (sign(sheet + 2, "07.12", 85)) cleared = sheet + 2;
        }
        if (dice_.chance(60)) {
            tick(sheet + 8, "07.17");
            sign(sheet + 11, "07.17", 55);
        }
        std::optional<Day> reopened;
        if (cleared && dice_.chance(15)) {
            reopened = *cleared + 60;
            add(*reopened, What::reopen).item = "07.12";
        }
        const auto may_send = [&](Day day) { return cleared && day >= *cleared && (!reopened || day < *reopened); };
        if (!dice_.chance(78)) return;
        Day day = *grant_ + 3 + dice_.below(45);
        contact(day, "");
        if (may_send(day)) tick(day, "09.06", "first one");
        const int more = dice_.chance(30) ? 0 : 1 + dice_.below(7);
        for (int i = 0; i < more; ++i) {
            day = day + 3 + dice_.below(20);
            contact(day, "");
            if (!may_send(day)) continue;
            if (i == 0) tick(day, "09.11");
            if (i == 2) tick(day, "11.03");
            if (i == 3) tick(day, "10.11");
            if (i == 5) tick(day, "16.08");
        }
    }
    void contact(Day day, std::string guest_of) {
        Act& a = add(day, What::contact);
        a.text = invented_call(dice_.below(200));
        a.guest_of = std::move(guest_of);
        a.date = day;
    }

    // Had a licence for long when they came.
    void came_licensed() {
        mentor_ = first_officer;
        mentored_ = joined_ + 6;
        seat(mentored_, mentor_, MemberRole::mentor);
        add(mentored_, What::pair, mentor_);
        tick(joined_ + 1, "03.08", "certificate", story_.first + -400);
        tick(joined_ + 1, "04.06", invented_call(300 + nth_), story_.first + -390);
        add(joined_ + 2, What::show_call);
        contact(joined_ + 2, "");
        acts_.back().date = story_.first + -380;
        for (const char* skill : skills) {
            tick(mentored_ + 1, skill);
            add(mentored_ + 2, What::sign, mentor_).item = skill;
        }
        for (int i = 0; i < 8; ++i) contact(joined_ + 20 + 30 * i, "");
        touches(mentored_, mentor_);
    }

    void asides() {
        if (dice_.chance(20)) contact(joined_ + 12 + dice_.below(20), invented_call(first_officer));
        if (dice_.chance(45)) {
            Day day = joined_ + 10 + dice_.below(200);
            add(day, What::ask).text = questions[dice_.below(5)];
            if (dice_.chance(65)) add(day + 1 + dice_.below(25), What::ask);
        }
        if (dice_.chance(35)) add(joined_ + 30 + dice_.below(250), What::checked);
        if (dice_.chance(15)) {
            const Day day = joined_ + 40 + dice_.below(150);
            add(day, What::rest).number = 1;
            if (dice_.chance(50)) add(day + 30 + dice_.below(60), What::rest).number = 0;
        }
        if (mentor_ >= 0 && dice_.chance(45)) {
            Day day = mentored_ + 20 + dice_.below(60);
            for (int tries = 0; tries < 3; ++tries) {
                const Day at = day + 3;
                add(day, What::meet).date = at;
                const int outcome = dice_.chance(45) ? 1 : 2 + dice_.below(2);
                add(at, What::met).number = outcome;
                if (outcome == 1 || !dice_.chance(60)) break;
                day = at + 2;
            }
        }
    }

    Story& story_;
    Dice dice_;
    int who_;
    int nth_;
    Day joined_;
    Day mentored_;
    int mentor_ = -1;
    std::optional<Day> grant_;
    std::vector<Act> acts_;
};

std::vector<Person> people_of(Dice& dice) {
    std::vector<Person> out(static_cast<std::size_t>(members) + 3);
    for (int i = 0; i < static_cast<int>(out.size()); ++i) {
        Person& p = out[static_cast<std::size_t>(i)];
        const int nth = i - first_newcomer;
        const bool is_newcomer = nth >= 0 && nth < newcomers;
        p.name = invented_name(i);
        p.locator = squares[dice.below(4)];
        p.outside = i >= members;
        p.role = p.outside             ? MemberRole::guardian
                 : i <= second_officer ? MemberRole::officer
                 : i < first_newcomer  ? MemberRole::mentor
                 : is_newcomer         ? MemberRole::newcomer
                                       : MemberRole::second_adult;
        p.minor = nth == 7 || nth == 23 || nth == 41;
        p.has_times = dice.chance(is_newcomer ? 60 : 12);
        if (is_newcomer || p.outside) continue;
        p.call = invented_call(i);
        p.licence_class = dice.chance(50) ? "G" : "E";
        if (i < first_newcomer && i != second_officer) {
            p.room = i == first_officer ? 4 : 3 + dice.below(4);
            p.topics = {topics[dice.below(5)]};
            p.has_times = true;
        }
    }
    return out;
}

// On which path of the story somebody is a mentor, and still in the club, at the end of that day.
bool is_in_club(const Story& story, int who, Day day) {
    bool in = false;
    for (const Act& a : story.acts) {
        if (a.who != who || a.day > day) continue;
        if (a.what == What::let_in) in = true;
        if (a.what == What::leave) in = false;
    }
    return in;
}

// Nobody hears of that mentor any more: the officer ends the pairs, and finds others for two of three.
void take_over(Story& story, Dice& dice) {
    const Day noticed = story.first + vanishes_after_days + noticed_after_days;
    std::vector<Act> more;
    for (int who = first_newcomer; who < first_newcomer + newcomers; ++who) {
        bool on_path = false;
        bool paired = false;
        for (const Act& a : story.acts) {
            if (a.who != who || a.other != vanishing_mentor) continue;
            on_path = on_path || (a.what == What::onto_path && a.day <= noticed);
            paired = paired || (a.what == What::pair && a.day <= noticed);
        }
        if (!on_path || !is_in_club(story, who, noticed + 7)) continue;
        if (paired) more.push_back({noticed, What::end_pair, who, vanishing_mentor, {}, {}, {}, {}, 0, {}});
        if (!dice.chance(67)) continue;
        const int next = first_mentor + 6;
        more.push_back({noticed + 7, What::off_path, who, vanishing_mentor, {}, {}, {}, {}, 0, {}});
        more.push_back({noticed + 7, What::onto_path, who, next, {}, {}, {}, {}, 0, MemberRole::mentor});
        more.push_back({noticed + 7, What::pair, who, next, {}, {}, {}, {}, 0, {}});
        for (const int after : {8, 15, 22, 36}) {
            if (is_in_club(story, who, noticed + after))
                more.push_back({noticed + after, What::touch, who, next, {}, {}, {}, {}, 0, {}});
        }
    }
    story.acts.insert(story.acts.end(), more.begin(), more.end());
}

}  // namespace

Story story_of(std::uint64_t seed, Day last) {
    Dice dice(seed);
    Story story;
    story.last = last;
    story.first = last + -364;
    story.people = people_of(dice);
    for (int who = 0; who < members; ++who) {
        if (story.is_newcomer(who)) continue;
        const Day day = story.first;
        if (who != first_officer) story.acts.push_back({day, What::let_in, who, -1, {}, {}, {}, {}, 0, {}});
        story.acts.push_back({day, What::card, who, -1, {}, {}, {}, {}, 0, {}});
    }
    for (int who = first_newcomer; who < first_newcomer + newcomers; ++who) {
        Journey(story, Dice(seed * 1'000 + static_cast<std::uint64_t>(who)), who).plan();
    }
    take_over(story, dice);
    for (int review = 30; review <= 364; review += 30) {
        story.acts.push_back({story.first + review, What::held, first_officer, -1, {}, {}, {}, {}, 0, {}});
    }
    std::erase_if(story.acts, [&](const Act& a) { return a.day > story.last; });
    std::stable_sort(story.acts.begin(), story.acts.end(), [](const Act& a, const Act& b) { return a.day < b.day; });
    return story;
}

}  // namespace ladderline::club_year
