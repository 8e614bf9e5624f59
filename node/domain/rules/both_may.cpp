#include "node/domain/rules/both_may.hpp"

#include <algorithm>
#include <map>

#include "embedded/rules.hpp"
#include "protocol/base/ensure.hpp"

namespace ladderline::domain {
namespace {

struct EndVerdict {
    Verdict verdict = Verdict::not_known;
    std::string sentence;  // empty for yes
    std::vector<PowerLimit> limits;
};

Result<EndVerdict> judge(const RuleBook& book, const RadioEnd& end, std::int64_t hz, const std::string& mode) {
    EndVerdict out;
    if (!end.abroad.empty()) {
        out.sentence = "The call sign of " + end.name + " belongs to " + end.abroad +
                       ", whose rules are not here: they have to say themselves what they may use.";
        return out;
    }
    if (end.is_guest) {
        out.sentence = "For " + end.name + " the licensed operator beside them decides, whose class is not known here.";
        return out;
    }
    if (end.licence_class.empty()) {
        out.sentence =
            "The class of " + end.name + " is not known here, so it is not known whether they may send there.";
        return out;
    }
    TransmitAsk ask;
    ask.control_class = end.licence_class;
    ask.frequency_hz = hz;
    ask.mode = mode;
    TRY(const TransmitAnswer answer, may_transmit(book, ask));
    out.verdict = answer.verdict;
    out.limits = answer.limits;
    if (answer.verdict != Verdict::yes) out.sentence = "For " + end.name + ": " + answer.reason;
    return out;
}

void take_limits(BothMay& out, const std::vector<PowerLimit>& limits) {
    for (const PowerLimit& limit : limits) {
        const auto same = std::find_if(out.limits.begin(), out.limits.end(),
                                       [&](const PowerLimit& known) { return known.basis == limit.basis; });
        if (same == out.limits.end()) {
            out.limits.push_back(limit);
        } else {
            same->watts = std::min(same->watts, limit.watts);
        }
    }
}

std::map<std::string, std::vector<MeetingPlace>, std::less<>> read_places() {
    constexpr std::string_view ending = "_places.tsv";
    std::map<std::string, std::vector<MeetingPlace>, std::less<>> out;
    for (const auto& file : embedded::rules::all) {
        const std::string_view name = file.name;
        if (!name.ends_with(ending)) continue;
        auto places = parse_meeting_places(file.text);
        ENSURE(places.has_value());
        out[std::string(name.substr(0, name.size() - ending.size()))] = std::move(places).value();
    }
    return out;
}

}  // namespace

Result<BothMay> both_may(const RuleBook& book, const RadioEnd& one, const RadioEnd& other, std::int64_t frequency_hz,
                         const std::string& mode) {
    BothMay out;
    out.verdict = Verdict::yes;
    for (const RadioEnd* end : {&one, &other}) {
        TRY(const EndVerdict said, judge(book, *end, frequency_hz, mode));
        if (!said.sentence.empty()) out.sentences.push_back(said.sentence);
        take_limits(out, said.limits);
        const bool is_open = end->is_guest && end->abroad.empty();
        if (said.verdict == Verdict::no) out.verdict = Verdict::no;
        if (said.verdict == Verdict::not_known && !is_open && out.verdict == Verdict::yes) {
            out.verdict = Verdict::not_known;
        }
    }
    if (one.is_guest && other.is_guest && out.verdict == Verdict::yes) out.verdict = Verdict::not_known;
    return out;
}

Result<std::vector<MeetingPlace>> parse_meeting_places(std::string_view text) {
    TRY(const RuleTable table, RuleTable::read("places.tsv", text, "mhz\tmode\tnote\tsource"));
    std::vector<MeetingPlace> out;
    for (const RuleTable::Row& row : table.rows()) {
        const auto hz = parse_frequency(row.fields[0]);
        if (!hz) return table.bad(row, "'" + row.fields[0] + "' is no frequency");
        if (find_emission_mode(row.fields[1]) == nullptr) {
            return table.bad(row, "there is no mode '" + row.fields[1] + "'");
        }
        if (row.fields[2].empty() || row.fields[3].empty()) return table.bad(row, "note or source is missing");
        out.push_back({hz.value(), row.fields[1], row.fields[2], row.fields[3]});
    }
    return out;
}

const std::vector<MeetingPlace>& shipped_meeting_places(std::string_view country) {
    static const auto all = read_places();
    static const std::vector<MeetingPlace> none;
    const auto found = all.find(country);
    return found != all.end() ? found->second : none;
}

std::vector<JudgedPlace> places_for(const RuleBook& book, const RadioEnd& one, const RadioEnd& other) {
    std::vector<JudgedPlace> out;
    for (const MeetingPlace& place : shipped_meeting_places(book.country)) {
        auto both = both_may(book, one, other, place.hz, place.mode);
        if (!both || both.value().verdict == Verdict::no) continue;
        out.push_back({place, std::move(both).value()});
    }
    std::stable_partition(out.begin(), out.end(),
                          [](const JudgedPlace& place) { return place.both.verdict == Verdict::yes; });
    return out;
}

std::vector<std::string> guest_words(const RuleBook& book, const RadioEnd& one, const RadioEnd& other) {
    std::vector<std::string> out;
    const CountryFact& guest = book.fact("guest");
    for (const RadioEnd* end : {&one, &other}) {
        if (!end->is_guest) continue;
        if (guest.value != "yes" || !guest.source.certain) {
            out.push_back("Whether " + end->name +
                          ", who has no licence yet, may speak as a guest was not checked; ask the " +
                          book.fact("regulator").value + ".");
            continue;
        }
        out.push_back(end->name +
                      " has no licence in force and speaks as a guest: a licensed operator stays beside them, "
                      "at the controls, and watches all the time (" +
                      guest.source.rule + ").");
        out.push_back(
            "The call sign said is that of the station, and that operator's class decides about the frequency.");
        const RadioEnd& far = end == &one ? other : one;
        if (far.abroad.empty()) continue;
        const CountryFact& abroad = book.fact("guest-abroad");
        out.push_back("A guest may speak to " + far.abroad + " only if there is an agreement with it (" +
                      abroad.source.rule + "); look that up with the " + book.fact("regulator").value + " first.");
    }
    return out;
}

std::string megahertz_text(std::int64_t hz) {
    std::string out = frequency_words(hz);
    const std::size_t unit = out.find(" MHz");
    if (unit != std::string::npos) return out.substr(0, unit);
    out = std::to_string(hz / 1'000'000) + "." + std::to_string(1'000'000 + hz % 1'000'000).substr(1);
    while (out.back() == '0') out.pop_back();
    if (out.back() == '.') out.pop_back();
    return out;
}

}  // namespace ladderline::domain
