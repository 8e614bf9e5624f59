#include "node/commands/confirmed.hpp"

#include <algorithm>
#include <cmath>
#include <set>

namespace ladderline::node {
namespace {

using domain::MatchRow;

constexpr double ms_per_min = 60'000;
constexpr std::string_view former_member = "a former member";

// None where a call sign cannot be read.
std::optional<MatchRow> row_of(const ContactView& view) {
    const auto own = domain::split_call(view.contact.station);
    const auto worked = domain::split_call(view.contact.worked);
    if (!own || !worked) return {};
    return MatchRow{own.value(), worked.value(), static_cast<double>(view.contact.start.ms) / ms_per_min,
                    view.contact.band, domain::group_of(domain::normal_mode(view.contact.mode))};
}

// Rows that can be compared, and the contact that each stands for.
struct Log {
    std::vector<MatchRow> rows;
    std::vector<const ContactView*> contacts;

    void add(const ContactView& view) {
        if (auto row = row_of(view)) {
            rows.push_back(*std::move(row));
            contacts.push_back(&view);
        }
    }
};

OtherLog compare(const WayView& way, const PersonView& person) {
    Log own;
    Log theirs;
    for (const ContactView& view : way.contacts) own.add(view);
    for (const ContactView& view : way.other_sides) {
        if (view.by == person.id) theirs.add(view);
    }
    const domain::LogMatch match = domain::match_logs(own.rows, theirs.rows);
    OtherLog out{person, match.clocks, {}, {}};
    std::set<std::size_t> used;
    std::vector<std::pair<std::size_t, OtherLog::Pair>> pairs;
    for (const domain::RowPair& pair : match.agreed) {
        pairs.push_back({pair.a, {*own.contacts[pair.a], *theirs.contacts[pair.b], {}}});
        used.insert(pair.b);
    }
    for (const domain::NearMiss& miss : match.near_misses) {
        pairs.push_back({miss.a, {*own.contacts[miss.a], *theirs.contacts[miss.b], miss.in}});
        used.insert(miss.b);
    }
    std::sort(pairs.begin(), pairs.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
    for (auto& [place, pair] : pairs) out.pairs.push_back(std::move(pair));
    for (std::size_t i = 0; i < theirs.contacts.size(); ++i) {
        if (!used.contains(i)) out.only_theirs.push_back(*theirs.contacts[i]);
    }
    return out;
}

}  // namespace

std::vector<OtherLog> other_logs(const WayView& way) {
    std::set<protocol::MemberId> wrote;
    for (const ContactView& view : way.other_sides) wrote.insert(view.by);
    std::vector<OtherLog> out;
    for (const PersonView& person : way.people) {
        if (wrote.erase(person.id) > 0) out.push_back(compare(way, person));
    }
    // What somebody wrote down before they left stands, and so does what it confirms.
    for (const protocol::MemberId& gone : wrote) {
        PersonView person;
        person.id = gone;
        person.name = former_member;
        out.push_back(compare(way, person));
    }
    return out;
}

std::string clock_words(const OtherLog& log) {
    if (!log.clocks || !log.clocks->counts()) return {};
    const double minutes = std::fabs(log.clocks->minutes);
    if (const auto zone = log.clocks->looks_like_zone()) {
        return "The two logs are " + std::to_string(std::abs(*zone)) +
               " minutes apart throughout: was one of them kept in local time, not in UTC?";
    }
    std::string name = log.person.name;
    if (name == former_member) name = "A former member";
    return name + "'s clock ran about " + std::to_string(std::lround(minutes)) + " minutes " +
           (log.clocks->minutes > 0 ? "ahead of" : "behind") + " the other one.";
}

std::string difference_words(domain::Differs differs) {
    switch (differs) {
        case domain::Differs::call:
            return "one letter of a call sign differs";
        case domain::Differs::band:
            return "the band differs";
        case domain::Differs::mode:
            return "the mode differs";
        case domain::Differs::time:
            break;
    }
    return "the time differs";
}

std::string confirmed_by(const std::vector<OtherLog>& logs, const protocol::EventId& contact) {
    for (const OtherLog& log : logs) {
        for (const OtherLog::Pair& pair : log.pairs) {
            if (pair.own.id == contact && !pair.differs) return log.person.name;
        }
    }
    return {};
}

}  // namespace ladderline::node
