#include "tests/club_year/record.hpp"

#include <algorithm>

namespace ladderline::club_year {
namespace {

// Of the items that the stories use, those that the ladder calls milestones.
const std::set<std::string> milestones{"00.09", "01.20", "03.07", "03.08", "03.12", "04.03", "04.06",
                                       "05.10", "07.17", "09.06", "09.11", "10.11", "11.03", "16.08"};

int stage_number(const std::string& item) {
    return std::stoi(item.substr(0, 2));
}

template <class T>
void raise(std::optional<T>& what, const T& to) {
    what = std::max(what.value_or(to), to);
}

bool same(const RowThen& a, const RowThen& b) {
    return a.call == b.call && a.stage == b.stage && a.stage_since == b.stage_since && a.milestone == b.milestone &&
           a.contact == b.contact && a.touch == b.touch && a.mentor == b.mentor && a.topic == b.topic &&
           a.topic_since == b.topic_since && a.resting == b.resting && a.until == b.until;
}

}  // namespace

Record::Record(const Story& story, Day today) : story_(story), today_(today) {
    members_ = {first_officer};
    for (int who = first_newcomer; who < first_newcomer + club_year::newcomers; ++who) {
        newcomers_.emplace_back().who = who;
    }
    for (const Act& a : story.acts) {
        if (a.day <= today) happen(a);
    }
}

void Record::happen(const Act& a) {
    club_act(a);
    if (!story_.is_newcomer(a.who)) return;
    Newcomer& n = of(a.who);
    path_act(a, n);
    const bool of_the_club = a.what == What::pair || a.what == What::end_pair || a.what == What::checked;
    if (!of_the_club && a.what != What::off_path) write_row(n, a.day);
}

void Record::club_act(const Act& a) {
    switch (a.what) {
        case What::let_in:
            members_.insert(a.who);
            return;
        case What::leave:
            members_.erase(a.who);
            return;
        case What::pair:
            pairs_.push_back({a.who, a.other, a.day, false});
            return;
        case What::end_pair:
            for (Pair& pair : pairs_) {
                if (pair.newcomer == a.who && pair.mentor == a.other) pair = {a.who, a.other, a.day, true};
            }
            return;
        case What::held:
            held_ = a.day;
            return;
        default:
            return;
    }
}

void Record::path_act(const Act& a, Newcomer& n) {
    switch (a.what) {
        case What::let_in:
            n.in_club = true;
            return;
        case What::leave:
            n.in_club = false;
            n.left = a.day;
            return;
        case What::show_call:
            n.call = n.items["04.06"].text;
            return;
        case What::onto_path:
            n.seen_by.insert(a.other);
            if (a.role == protocol::MemberRole::mentor) n.mentors.insert(a.other);
            return;
        case What::off_path:
            n.seen_by.erase(a.other);
            n.mentors.erase(a.other);
            return;
        case What::guardian_agrees:
            n.items["00.05"].tick = a.day;
            return;
        case What::share:
            n.until = a.date;
            return;
        case What::tick:
            n.items[a.item].tick = a.date;
            n.items[a.item].text = a.text;
            return;
        case What::sign:
            n.items[a.item].sign = a.day;
            return;
        case What::reopen:
            n.items[a.item] = {std::nullopt, std::nullopt, true, {}};
            return;
        case What::touch:
            raise(n.touch, a.day);
            return;
        case What::contact:
            n.contacts.push_back(*a.date);
            return;
        case What::meet:
            n.meetings.push_back({*a.date, 0});
            return;
        case What::met:
            n.meetings.back().outcome = a.number;
            return;
        case What::ask:
            n.topic = a.text;
            n.topic_since = a.text.empty() ? std::nullopt : std::optional(a.day);
            return;
        case What::rest:
            n.resting = a.number == 1;
            return;
        case What::book:
            n.booked = a.date;
            return;
        case What::show_study:
            n.study = std::pair(a.text, *a.date);
            return;
        case What::checked:
            n.asked_and_fine.push_back(a.day);
            return;
        default:
            return;
    }
}

void Record::write_row(Newcomer& n, Day day) {
    if (!n.in_club || !n.until || *n.until < day) return;
    RowThen row;
    row.said = day;
    row.call = n.call;
    for (const auto& [item, marked] : n.items) {
        if (marked.reached() && milestones.contains(item)) {
            row.stage = std::max(row.stage, stage_number(item));
            raise(row.milestone, marked.day());
        }
    }
    for (const auto& [item, marked] : n.items) {
        if (marked.reached() && stage_number(item) <= row.stage) raise(row.stage_since, marked.day());
    }
    for (const Day contact : n.contacts) raise(row.contact, contact);
    row.touch = n.touch;
    if (!n.mentors.empty()) row.mentor = *n.mentors.begin();
    row.topic = n.topic;
    row.topic_since = n.topic_since;
    row.resting = n.resting;
    row.until = *n.until;
    if (n.rows.empty() || !same(n.rows.back(), row)) n.rows.push_back(row);
}

std::vector<Pair> Record::standing() const {
    std::vector<Pair> out;
    for (const Pair& pair : pairs_) {
        if (!pair.ended && is_member(pair.newcomer) && is_member(pair.mentor)) out.push_back(pair);
    }
    return out;
}

int Record::mentor_of(const Newcomer& n) const {
    int out = n.has_row(today_) ? n.rows.back().mentor : -1;
    for (const Pair& pair : standing()) {
        if (pair.newcomer == n.who) out = pair.mentor;
    }
    return out;
}

int Record::unknown(int number) const {
    const auto is_seen = [&](const Newcomer& n) {
        return std::any_of(story_.acts.begin(), story_.acts.end(), [&](const Act& a) {
            return a.what == What::onto_path && a.who == n.who && a.other == first_officer && a.day <= today_;
        });
    };
    return static_cast<int>(std::count_if(newcomers_.begin(), newcomers_.end(), [&](const Newcomer& n) {
        return n.in_club && (number == 19 ? is_minor(n.who) && !is_seen(n) : !n.has_row(today_));
    }));
}

std::optional<Day> Record::oldest_news() const {
    std::optional<Day> out;
    for (const Newcomer& n : newcomers_) {
        if (n.has_row(today_)) out = std::min(out.value_or(n.rows.back().said), n.rows.back().said);
    }
    return out;
}

std::optional<Day> Record::past_exam(const Newcomer& n) const {
    for (const RowThen& row : n.rows) {
        if (row.stage > 3) return std::min(row.stage_since.value_or(row.said), row.said);
    }
    return std::nullopt;
}

std::optional<Day> Record::first_contact(const Newcomer& n) const {
    std::optional<Day> out;
    for (const RowThen& row : n.rows) {
        if (row.contact) out = std::min(out.value_or(*row.contact), *row.contact);
    }
    return out;
}

std::vector<const Newcomer*> Record::listed() const {
    std::vector<const Newcomer*> out;
    for (const Newcomer& n : newcomers_) {
        const bool gone_with_row = n.left && !n.rows.empty() && n.rows.back().until >= today_;
        if (n.has_row(today_) || gone_with_row) out.push_back(&n);
    }
    return out;
}

std::string Record::small(int n) {
    return n < 5 ? "fewer than five" : std::to_string(n);
}

std::vector<std::string> Record::spring() const {
    int year = std::stoi(to_iso(today_).substr(0, 4));
    if (to_iso(today_).substr(5) < "06-01") --year;
    std::vector<std::string> out;
    for (const int within : {30, 90, 365}) {
        int of = 0;
        int on_air = 0;
        for (const Newcomer* n : listed()) {
            const auto passed = past_exam(*n);
            if (!passed || to_iso(*passed).substr(0, 4) != std::to_string(year)) continue;
            const std::string month = to_iso(*passed).substr(5, 2);
            if (month != "03" && month != "04" && month != "05") continue;
            if (!n->left && days(*passed) < within) continue;
            ++of;
            const auto contact = first_contact(*n);
            if (contact && days_between(*passed, *contact) <= within) ++on_air;
        }
        out.push_back("within " + std::to_string(within) + " days: " + small(on_air) + " of " + small(of) + " who");
    }
    return out;
}

std::vector<Record::Waited> Record::to_contact() const {
    std::vector<Waited> out;
    for (const Newcomer* n : listed()) {
        const auto began = past_exam(*n);
        if (!began) continue;
        const auto ended = first_contact(*n);
        const Day end = ended ? *ended : n->left ? n->rows.back().said : today_;
        out.push_back({*began, std::max(0, days_between(*began, end)), ended.has_value()});
    }
    return out;
}

std::map<std::string, int> Record::to_contact_by_year() const {
    std::map<std::string, int> out;
    for (const Waited& waited : to_contact()) ++out[to_iso(waited.began).substr(0, 4)];
    return out;
}

// Day by day: who had waited as long, and how many of them got there on that day.
std::optional<int> Record::median_days(const std::string& year) const {
    double waiting = 1;
    for (int day = 0; day <= 400; ++day) {
        int at_risk = 0;
        int reached = 0;
        for (const Waited& waited : to_contact()) {
            if (to_iso(waited.began).substr(0, 4) != year) continue;
            at_risk += waited.days >= day ? 1 : 0;
            reached += waited.reached && waited.days == day ? 1 : 0;
        }
        if (at_risk > 0) waiting *= 1.0 - static_cast<double>(reached) / at_risk;
        if (waiting < 0.5 - 1e-9) return day;
        if (waiting < 0.5 + 1e-9) return -1;  // half exactly: the middle of a span, which a test of words leaves out
    }
    return std::nullopt;
}

std::map<int, Record::Stage> Record::stages() const {
    std::map<int, Stage> out;
    for (const Newcomer* n : listed()) {
        std::set<int> been;
        for (const RowThen& row : n->rows) been.insert(row.stage);
        const RowThen& last = n->rows.back();
        for (const int stage : been) {
            Stage& line = out[stage];
            ++line.came;
            if (last.stage > stage) ++line.went_on;
            if (last.stage == stage && n->left) ++line.left;
            if (last.stage == stage && !n->left && !n->resting && days(last.said) >= 90) ++line.quiet;
        }
    }
    return out;
}

Record::Year Record::year() const {
    const auto in_year = [&](const std::optional<Day>& day) { return day && days(*day) < 365; };
    Year out;
    for (const Newcomer* n : listed()) {
        out.began += in_year(n->rows.front().said) ? 1 : 0;
        out.passed += in_year(past_exam(*n)) ? 1 : 0;
        out.on_air += in_year(first_contact(*n)) ? 1 : 0;
        out.left += n->left && in_year(n->rows.back().said) ? 1 : 0;
        out.asked +=
            std::any_of(n->rows.begin(), n->rows.end(), [&](const RowThen& row) { return in_year(row.topic_since); })
                ? 1
                : 0;
    }
    for (const Pair& pair : standing()) out.paired += in_year(pair.day) ? 1 : 0;
    return out;
}

}  // namespace ladderline::club_year
