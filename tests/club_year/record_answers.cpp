// Whom each question should name.

#include <algorithm>
#include <cmath>

#include "tests/club_year/record.hpp"

namespace ladderline::club_year {
namespace {

// The middle of a square of four characters, degrees east and north.
std::pair<double, double> middle(const std::string& square) {
    return {(square[0] - 'A') * 20 - 180 + (square[2] - '0') * 2 + 1,
            (square[1] - 'A') * 10 - 90 + (square[3] - '0') + 0.5};
}

double far(const std::string& a, const std::string& b) {
    const auto rad = [](double degrees) { return degrees * 3.14159265358979323846 / 180; };
    const auto [lon_a, lat_a] = middle(a);
    const auto [lon_b, lat_b] = middle(b);
    const double c = std::sin(rad(lat_a)) * std::sin(rad(lat_b)) +
                     std::cos(rad(lat_a)) * std::cos(rad(lat_b)) * std::cos(rad(lon_a - lon_b));
    return std::acos(std::min(1.0, c));
}

std::string month_of(Day day) {
    return to_iso(day).substr(0, 7);
}

}  // namespace

std::vector<std::string> Record::who(int number) const {
    Names out;
    if (auto rows = who_of_rows(number)) {
        out = *rows;
    } else if (auto pairs = who_of_pairs(number)) {
        out = *pairs;
    } else {
        out = who_of_paths(number);
    }
    if (number != 10) std::sort(out.begin(), out.end());
    return out;
}

bool Record::is_meant(const Newcomer& n, int number) const {
    const RowThen& row = n.rows.back();
    const bool awake = n.awake(today_);
    switch (number) {
        case 1:
            return awake && !row.contact && row.stage > 3 && days(*past_exam(n)) > 30;
        case 2: {
            const auto shown = std::find_if(n.rows.begin(), n.rows.end(), [](auto& r) { return !r.call.empty(); });
            return awake && !row.contact && !row.call.empty() && days(shown->said) > 14;
        }
        case 6: {
            std::set<Day> on;
            for (const RowThen& r : n.rows) {
                if (r.contact) on.insert(*r.contact);
            }
            return awake && on.size() == 1 && days(*on.begin()) >= 21;
        }
        case 8:
            return mentor_of(n) < 0;
        case 9:
            return row.topic_since && days(*row.topic_since) >= 3;
        case 18:
            return days_between(today_, row.until) <= 60;
        case 28:
            return awake && row.milestone && month_of(*row.milestone) == month_of(today_);
        case 32: {
            Day heard = row.said;
            for (const auto& day : {row.milestone, row.contact, row.touch})
                heard = std::max(heard, day.value_or(heard));
            return awake && days(heard) >= 21;
        }
        default:
            return false;
    }
}

std::optional<Record::Names> Record::who_of_rows(int number) const {
    static const std::set<int> simple{1, 2, 6, 8, 9, 18, 28, 32};
    Names out;
    if (simple.contains(number)) {
        for (const Newcomer& n : newcomers_) {
            if (n.has_row(today_) && is_meant(n, number)) out.push_back(name(n.who));
        }
        return out;
    }
    if (number == 10) {
        std::vector<std::pair<Day, std::string>> all;
        for (const Newcomer& n : newcomers_) {
            if (!n.awake(today_)) continue;
            Day since = n.rows.back().said;
            for (auto row = n.rows.rbegin(); row != n.rows.rend() && row->stage == n.rows.back().stage; ++row)
                since = row->said;
            all.emplace_back(n.rows.back().stage_since.value_or(since), name(n.who));
        }
        std::sort(all.begin(), all.end());
        for (std::size_t i = 0; i < std::min<std::size_t>(5, all.size()); ++i) out.push_back(all[i].second);
        return out;
    }
    if (number == 24) return near_tonight();
    for (const Newcomer& n : newcomers_) {
        const bool over = n.in_club && !n.rows.empty() && n.rows.back().until < today_;
        if (number == 19 && n.in_club && is_minor(n.who)) out.push_back(name(n.who));
        if (number == 34 && over) out.push_back(name(n.who));
        if (number == 36 && n.in_club && n.rows.empty()) out.push_back(name(n.who));
        if (number != 21 || !n.in_club || !n.study || n.study->second < today_) continue;
        const std::string& pool = n.study->first;
        if (to_iso(n.study->second).substr(0, 4) >= pool.substr(pool.size() - 4)) out.push_back(name(n.who));
    }
    if (number == 19 || number == 21 || number == 34 || number == 36) return out;
    return std::nullopt;
}

std::optional<Record::Names> Record::who_of_pairs(int number) const {
    Names out;
    std::map<int, int> carries;
    for (const Newcomer& n : newcomers_) {
        if (n.in_club && mentor_of(n) >= 0) ++carries[mentor_of(n)];
    }
    const auto both = [&](const Pair& pair) { return name(pair.newcomer) + " and " + name(pair.mentor); };
    switch (number) {
        case 7:
            for (const Pair& pair : standing()) {
                const Newcomer& n = newcomers_[static_cast<std::size_t>(pair.newcomer - first_newcomer)];
                if (!n.awake(today_) || days(pair.day) > 31) continue;
                if (days(std::max(pair.day, n.rows.back().touch.value_or(pair.day))) >= 14) out.push_back(name(n.who));
            }
            return out;
        case 14:
            for (int who = 0; who < first_newcomer; ++who) {
                if (story_.people[static_cast<std::size_t>(who)].room > carries[who]) out.push_back(name(who));
            }
            return out;
        case 15:
            for (const auto& [who, carried] : carries) {
                if (carried > 5) out.push_back(name(who));
            }
            return out;
        case 16:
            for (const Pair& pair : standing()) {
                for (const int after : {30, 90, 365}) {
                    if (month_of(pair.day + after) == month_of(today_)) out.push_back(both(pair));
                }
            }
            return out;
        case 17:
            for (const Pair& pair : pairs_) {
                if (pair.ended && days(pair.day) <= 365) out.push_back(both(pair));
            }
            return out;
        case 35: {
            const Day since = held_.value_or(today_ + -30);
            for (const Newcomer& n : newcomers_) {
                if (n.has_row(today_) && changed_since(n, since)) out.push_back(name(n.who));
            }
            for (const Pair& pair : standing()) {
                if (pair.day > since) out.push_back(both(pair));
            }
            return out;
        }
        default:
            return std::nullopt;
    }
}

bool Record::changed_since(const Newcomer& n, Day since) const {
    const RowThen* before = nullptr;
    for (const RowThen& row : n.rows) {
        if (row.said <= since) before = &row;
    }
    if (before == nullptr) return true;
    const RowThen& now = n.rows.back();
    return before->stage != now.stage || before->milestone != now.milestone || before->contact != now.contact ||
           before->mentor != now.mentor || (before->topic.empty() && !now.topic.empty()) ||
           before->resting != now.resting;
}

// "A: X, Y, Z": the three nearest who have the evening.
Record::Names Record::near_tonight() const {
    Names out;
    for (const Newcomer& n : newcomers_) {
        if (!n.awake(today_) || n.rows.back().contact || n.rows.back().stage <= 3) continue;
        const std::string& here = story_.people[static_cast<std::size_t>(n.who)].locator;
        std::vector<std::pair<double, std::string>> near;
        for (const int who : members_) {
            const Person& p = story_.people[static_cast<std::size_t>(who)];
            const bool newcomer = story_.is_newcomer(who);
            const Newcomer* other = newcomer ? &newcomers_[static_cast<std::size_t>(who - first_newcomer)] : nullptr;
            const bool licensed = newcomer ? !other->call.empty() && !other->resting : !p.call.empty();
            if (who != n.who && licensed && p.has_times) near.emplace_back(far(here, p.locator), p.name);
        }
        std::sort(near.begin(), near.end());
        std::string line = name(n.who) + ":";
        for (std::size_t i = 0; i < std::min<std::size_t>(3, near.size()); ++i) line += " " + near[i].second;
        out.push_back(line);
    }
    return out;
}

bool Record::is_on_path(const Newcomer& n, int number) const {
    const auto at = [&](const char* item) {
        const auto found = n.items.find(item);
        return found == n.items.end() ? Marked() : found->second;
    };
    const bool passed = at("03.08").reached();
    switch (number) {
        case 3:
            return at("04.01").reached() && !at("04.03").reached() && !at("04.06").reached() &&
                   days_between(today_, *at("04.01").tick + 10) <= 3;
        case 4:
            return passed && !at("04.06").reached() && days(*at("03.08").tick) >= 10;
        case 5:
            return (at("03.07").reached() || passed) && !at("03.12").reached();
        case 11:
            return at("05.10").reached() && !at("05.11").reached();
        case 12:
            return at("07.17").tick && !at("07.17").sign;
        case 13:
            return at("07.12").reopened;
        case 20:
            return n.booked && *n.booked >= today_ && days_between(today_, *n.booked) <= 14;
        case 22:
            return at("03.10").reached() && !(n.booked && *n.booked >= today_) && !passed && !n.resting;
        case 23:
            return !n.resting && ((at("09.06").reached() && !at("11.03").reached()) ||
                                  (at("10.11").reached() && !at("16.08").reached()) || at("11.03").reached());
        case 25:
            return std::any_of(n.meetings.begin(), n.meetings.end(), [](const Meeting& m) { return m.outcome > 1; });
        case 27:
            return at("05.10").text.find("borrow") != std::string::npos && !at("05.18").reached();
        case 33: {
            const auto first = std::min_element(n.contacts.begin(), n.contacts.end());
            int skills = 0;
            for (const auto& [item, marked] : n.items) skills += item.starts_with("06.") && marked.sign ? 1 : 0;
            return first != n.contacts.end() && days(*first) >= 365 && skills >= 6;
        }
        default:
            return false;
    }
}

Record::Names Record::who_of_paths(int number) const {
    Names out;
    for (const Newcomer& n : newcomers_) {
        if (n.seen_by.contains(first_officer) && is_on_path(n, number)) out.push_back(name(n.who));
    }
    return out;
}

}  // namespace ladderline::club_year
