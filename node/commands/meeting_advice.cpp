#include "node/commands/meeting_advice.hpp"

#include <algorithm>
#include <cmath>

#include "node/commands/stations.hpp"
#include "node/domain/licence/term.hpp"
#include "node/domain/radio/adif.hpp"
#include "node/domain/rules/call_series.hpp"

namespace ladderline::node {
namespace {

using protocol::MemberRole;

// As call_series.tsv names the country of the shipped rule book.
constexpr std::string_view own_holder = "United States of America";

std::string abroad_of(const std::string& call) {
    if (call.empty()) return {};
    const auto holder = domain::holder_of_call(call);
    return holder && holder->holder != own_holder ? holder->holder : std::string();
}

std::string class_on_card(const PersonView& person) {
    if (!person.card) return {};
    const domain::LicenceClass* found = own_rule_book().find_class(person.card->licence_class);
    return found != nullptr ? found->code : std::string();
}

Result<std::optional<domain::Locator>> locator_of(const std::string& typed, const PersonView& person) {
    std::string text = typed;
    if (text.empty() && person.card) text = person.card->locator;
    if (text.empty()) return std::optional<domain::Locator>();
    TRY(domain::Locator locator, domain::Locator::parse(text));
    return std::optional<domain::Locator>(std::move(locator));
}

// None is in force on the day on which the way was read: the first is waited for, or it ended (the clock of its grace
// runs, or has run out).
bool is_without_licence(const WayView& way) {
    if (domain::first_licence_pending(way.dates, domain::shipped_clocks())) return true;
    return std::any_of(way.due.begin(), way.due.end(),
                       [](const domain::DueLine& line) { return line.what == domain::Due::grace_ends; });
}

}  // namespace

MeetingEnds ends_of(const WayView& way, const PersonView& other) {
    MeetingEnds out;
    out.one.name = way.owner.name;
    const bool none = is_without_licence(way);
    if (!none) out.one.licence_class = way.exam.held_class.empty() ? class_on_card(way.owner) : way.exam.held_class;
    out.one.is_guest = none || (way.call_sign.empty() && out.one.licence_class.empty());
    out.one.abroad = abroad_of(way.call_sign);
    out.other.name = other.name;
    out.other.licence_class = class_on_card(other);
    if (other.card) out.other.abroad = abroad_of(other.card->call_sign);
    return out;
}

std::vector<domain::JudgedPlace> frequencies_for(const WayView& way, const PersonView& other) {
    const MeetingEnds ends = ends_of(way, other);
    return domain::places_for(own_rule_book(), ends.one, ends.other);
}

std::vector<std::string> frequency_words_for(const WayView& way, const PersonView& other, const std::string& mhz,
                                             const std::string& mode) {
    const auto hz = domain::parse_megahertz(mhz);
    if (!hz) return {hz.error().sentence()};
    const MeetingEnds ends = ends_of(way, other);
    const auto both = domain::both_may(own_rule_book(), ends.one, ends.other, hz.value(), mode);
    if (!both) return {"Whether you may send there is not known: " + both.error().sentence()};
    return both.value().sentences;
}

std::string guardian_names(const WayView& way) {
    std::string out;
    for (const PersonView& p : way.people) {
        if (p.role == MemberRole::guardian && p.id != way.owner.id) out += (out.empty() ? "" : " and ") + p.name;
    }
    return out;
}

std::string guardian_words(const WayView& way) {
    if (!way.owner.is_minor) return {};
    const std::string names = guardian_names(way);
    if (names.empty()) return {};
    return way.owner.name + " is under 18: " + names +
           (names.find(" and ") == std::string::npos ? ", the guardian, sees" : ", the guardians, see") +
           " this arrangement and is there or listens (item 09.13).";
}

std::string advice_on(const WayView& view, const PersonView& other, const MeetRequest& request) {
    const MeetingEnds ends = ends_of(view, other);
    std::vector<std::string> all;
    for (const std::string* mhz : {&request.first_frequency, &request.second_frequency}) {
        if (mhz->empty()) continue;
        for (std::string& sentence : frequency_words_for(view, other, *mhz, request.mode)) {
            if (std::find(all.begin(), all.end(), sentence) == all.end()) all.push_back(std::move(sentence));
        }
    }
    for (std::string& sentence : domain::guest_words(own_rule_book(), ends.one, ends.other)) {
        all.push_back(std::move(sentence));
    }
    const std::string guardian = guardian_words(view);
    if (!guardian.empty()) all.push_back(guardian);
    std::string out;
    for (const std::string& sentence : all) out += " " + sentence;
    return out;
}

ChanceRequest with_own_station(Context& context, const WayView& way, ChanceRequest request) {
    const auto hz = domain::parse_megahertz(request.mhz);
    const domain::Band* band = hz ? domain::band_of(hz.value()) : nullptr;
    const auto all = stations(context);
    if (band == nullptr || !all) return request;
    for (const StationView& station : all.value()) {
        const double mhz = station.now.transmission.frequency_mhz;
        if (domain::band_of(std::llround(mhz * 1e6)) != band) continue;
        auto& height = way.owner.id == context.me.id() ? request.one_height_m : request.other_height_m;
        if (!height) height = station.now.height_m;
        if (!request.power_w) request.power_w = station.now.transmission.peak_w;
        break;
    }
    return request;
}

Result<domain::Chance> chance_for(const WayView& way, const PersonView& other, const ChanceRequest& request) {
    domain::ChanceAsk ask;
    TRY(const std::int64_t hz, domain::parse_megahertz(request.mhz));
    ask.frequency_mhz = static_cast<double>(hz) / 1e6;
    ask.start = request.start;
    ask.power_w = request.power_w;
    ask.one.name = way.owner.name;
    ask.other.name = other.name;
    TRY(ask.one.locator, locator_of(request.one_locator, way.owner));
    TRY(ask.other.locator, locator_of(request.other_locator, other));
    ask.one.height_m = request.one_height_m;
    ask.other.height_m = request.other_height_m;
    return domain::chance_of(ask);
}

}  // namespace ladderline::node
