#include "node/domain/radio/log_marks.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <functional>
#include <map>

#include "node/domain/radio/band.hpp"
#include "node/domain/rules/call_sign.hpp"
#include "node/domain/rules/continents.hpp"

namespace ladderline::domain {
namespace {

constexpr std::int64_t no_repeaters_below_hz = 28'000'000;
constexpr std::int64_t shortwave_below_hz = 30'000'000;
constexpr std::int64_t week_ms = 7 * 86'400'000LL;
constexpr double far_km = 5;
constexpr std::size_t ten = 10;

// A whole word, in either case.
bool has_word(std::string_view text, std::string_view word) {
    const auto is_letter = [](char c) { return std::isalnum(static_cast<unsigned char>(c)) != 0; };
    std::string lower(text);
    std::transform(lower.begin(), lower.end(), lower.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    for (std::size_t at = lower.find(word); at != std::string::npos; at = lower.find(word, at + 1)) {
        const bool begins = at == 0 || !is_letter(lower[at - 1]);
        const std::size_t end = at + word.size();
        if (begins && (end == lower.size() || !is_letter(lower[end]))) return true;
    }
    return false;
}

std::optional<std::int64_t> highest_hz(const MarkRow& row) {
    if (row.frequency_hz) return row.frequency_hz;
    const Band* band = find_band(row.band);
    return band == nullptr ? std::nullopt : std::optional<std::int64_t>(band->high_hz);
}

bool is_shortwave(const MarkRow& row) {
    const auto hz = highest_hz(row);
    return hz && *hz < shortwave_below_hz;
}

bool same_station(std::string_view a, std::string_view b) {
    const auto left = split_call(a);
    const auto right = split_call(b);
    return left && right && same_call(left.value(), right.value());
}

using Answer = std::optional<std::string>;  // how it is known
using Question = std::function<Answer(const MarkRow&)>;

Answer yes_if(bool so, std::string how = {}) {
    return so ? Answer(std::move(how)) : std::nullopt;
}

// Where call signs are from, each looked up once: a long log holds the same ones again and again.
class Places {
public:
    Answer other_country(const MarkRow& row) {
        const Place& theirs = of(row.worked);
        const Place& own = of(row.station);
        if (!theirs.country || !own.country || *theirs.country == *own.country) return std::nullopt;
        return "its call sign is of a series of " + *theirs.country;
    }
    Answer other_continent(const MarkRow& row) {
        const Place& theirs = of(row.worked);
        const Place& own = of(row.station);
        if (!theirs.continent || !own.continent || *theirs.continent == *own.continent) return std::nullopt;
        return "its call sign belongs to " + std::string(continent_name(*theirs.continent));
    }

private:
    struct Place {
        std::optional<std::string> country;
        std::optional<std::string> continent;
    };
    const Place& of(const std::string& call) {
        const auto found = known_.find(call);
        if (found != known_.end()) return found->second;
        return known_.emplace(call, Place{country_of_call(call), continent_of_call(call)}).first->second;
    }

    std::map<std::string, Place> known_;  // its nodes do not move
};

Answer direct(const MarkRow& row) {
    const ThroughWhat what = through_what(row);
    return yes_if(what.through == Through::direct, std::string(what.known_by));
}

class Marks {
public:
    explicit Marks(const std::vector<MarkRow>& rows) : rows_(rows) {}

    void first(MarkKind kind, bool as_guest, const Question& asked) { nth(kind, 1, as_guest, asked); }
    void nth(MarkKind kind, std::size_t count, bool as_guest, const Question& asked) {
        std::size_t seen = 0;
        for (std::size_t i = 0; i < rows_.size(); ++i) {
            if (rows_[i].as_guest != as_guest) continue;
            const Answer answer = asked(rows_[i]);
            if (!answer || ++seen < count) continue;
            found_.push_back({kind, i, *answer});
            return;
        }
    }
    std::vector<LogMark> take() { return std::move(found_); }

private:
    const std::vector<MarkRow>& rows_;
    std::vector<LogMark> found_;
};

}  // namespace

ThroughWhat through_what(const MarkRow& row) {
    if (has_word(row.remark, "repeater")) return {Through::repeater, "the remark says so"};
    if (has_word(row.remark, "direct") || has_word(row.remark, "simplex")) {
        return {Through::direct, "the remark says so"};
    }
    const auto hz = highest_hz(row);
    if (hz && *hz < no_repeaters_below_hz) return {Through::direct, "there are no repeaters on that band"};
    if (row.mode.mode == "CW" || row.mode.mode == "SSB") {
        return {Through::direct, "there are no repeaters in that mode"};
    }
    constexpr std::array<std::int64_t, 4> calling_hz{52'525'000, 146'520'000, 223'500'000, 446'000'000};
    const bool calls =
        row.frequency_hz && std::find(calling_hz.begin(), calling_hz.end(), *row.frequency_hz) != calling_hz.end();
    if (calls && row.mode.mode == "FM") return {Through::direct, "that frequency is kept for calls without a repeater"};
    return {};
}

bool is_portable(const MarkRow& row) {
    const auto station = split_call(row.station);
    const bool marked = station && std::find(station.value().marks.begin(), station.value().marks.end(), "P") !=
                                       station.value().marks.end();
    return marked || has_word(row.remark, "portable");
}

std::vector<LogMark> log_marks(const std::vector<MarkRow>& rows, const std::vector<std::string>& mentors) {
    const auto any = [](const MarkRow&) { return yes_if(true); };
    const auto with_mentor = [&](const MarkRow& row) {
        return yes_if(std::any_of(mentors.begin(), mentors.end(),
                                  [&](const std::string& call) { return same_station(call, row.worked); }),
                      "it is the mentor's call sign");
    };
    Marks marks(rows);
    Places places;
    marks.first(MarkKind::first_as_guest, true, any);
    marks.first(MarkKind::first, false, any);
    marks.first(MarkKind::with_mentor, false, with_mentor);
    const auto own = std::find_if(rows.begin(), rows.end(), [](const MarkRow& row) { return !row.as_guest; });
    marks.nth(MarkKind::second_within_week, 2, false,
              [&](const MarkRow& row) { return yes_if(row.start.ms - own->start.ms <= week_ms); });
    marks.nth(MarkKind::tenth, ten, false, any);
    marks.first(MarkKind::first_direct, false, direct);
    marks.first(MarkKind::direct_with_mentor, false, [&](const MarkRow& row) -> Answer {
        if (is_shortwave(row) || !with_mentor(row)) return std::nullopt;
        return direct(row);
    });
    marks.first(MarkKind::direct_far, false, [&](const MarkRow& row) -> Answer {
        if (is_shortwave(row) || row.distance_km.value_or(0) <= far_km) return std::nullopt;
        const Answer how = direct(row);
        return how ? Answer(*how + ", and the two locators are that far apart") : std::nullopt;
    });
    marks.first(MarkKind::guest_on_shortwave, true, [](const MarkRow& row) { return yes_if(is_shortwave(row)); });
    marks.first(MarkKind::first_data, false,
                [](const MarkRow& row) { return yes_if(group_of(row.mode) == ModeGroup::data); });
    marks.first(MarkKind::other_country, false, [&](const MarkRow& row) { return places.other_country(row); });
    marks.first(MarkKind::other_continent, false, [&](const MarkRow& row) { return places.other_continent(row); });
    marks.first(MarkKind::far_agreed, false, [&](const MarkRow& row) -> Answer {
        const Answer how = row.agreed ? places.other_country(row) : std::nullopt;
        return how ? Answer(*how + ", and the other log agrees") : std::nullopt;
    });
    marks.nth(MarkKind::ten_portable, ten, false, [](const MarkRow& row) {
        return yes_if(is_portable(row), "the remarks or the call sign sent say portable");
    });
    return marks.take();
}

}  // namespace ladderline::domain
